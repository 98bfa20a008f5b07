/* Headed tables and sentences, that a page of paper or an HTML file is made of.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DOCUMENT_H
#define JARLINE_DOCUMENT_H

#include "answer/keep.h"
#include "answer/table.h"
#include "picture/marks.h"

enum { PAGE_SENTENCES_MOST = 12 };

typedef struct page_sentences {
    const char *heading;
    char *text[PAGE_SENTENCES_MOST];
    size_t count;
} page_sentences;

/* A table with what stands above it, then sentences; without a row and a sentence there is none. */
typedef struct page_part {
    const char *heading;
    struct table *table;
    page_sentences words;
} page_part;

/* Whether its table has a row; whether there is anything in it. */
bool page_part_rows(const page_part *part);
bool page_part_any(const page_part *part);
void page_part_free(page_part *part);

/* A new table of a part. */
struct table *page_part_table(page_part *part, const char *heading, const column *columns,
                              size_t count);

/* One more; what is beyond the most is left out. */
void page_sentence(page_sentences *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void page_sentences_free(page_sentences *s);

/* Lines to write date and name on by hand. */
typedef struct page_blank {
    const char *words;
    double from, to; /* shares of the width */
} page_blank;

enum { PAGE_SIGN_LINES = 2 };
extern const page_blank PAGE_SIGN[PAGE_SIGN_LINES];

/* ---- On paper; lengths in points ---- */

/* Height of a part, 0 where there is none; where it ends when it is put at at. */
double page_part_h(const page_part *part, double width);
double page_put_part(const page_part *part, box at, sheet *s);

/* Pages of one size, the box what is left of the last one. Begins with of, title, margin, width and
 * height. */
typedef struct pages {
    const void *of; /* what stands on them */
    const char *title;
    double width, height, margin;
    sheet *sheets;
    size_t count, room;
    box at;
} pages;

/* A small paper has smaller ones. */
double page_margin(double width);

void pages_free(pages *p);
sheet *page_now(pages *p);
void page_begin(pages *p);
void page_took(pages *p, double h);

/* A sentence over the whole width. */
void pages_put_words(pages *p, mark_kind kind, double size, bool bold, const char *text);

/* Pieces with a dot between them: lines end at a dot. */
void pages_put_pieces(pages *p, double size, const char *text);

/* Begins a page where what comes next has no room on this one. */
void page_room(pages *p, double h);

/* A part's table, on as many pages as it takes. */
void pages_put_rows(pages *p, const page_part *part);

/* These lines, so high. */
enum { PAGES_SIGN_H = 28 };
void pages_put_sign(pages *p);

/* The title and "page 2 of 3" at the end of each, where there are several. */
void pages_number(pages *p);

double page_sentences_h(const page_sentences *in, double width);
double page_put_sentences(const page_sentences *in, box at, sheet *s);

#endif
