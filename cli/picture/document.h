/* Headed tables and sentences, that a page of paper or an HTML file is made of.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DOCUMENT_H
#define JARLINE_DOCUMENT_H

#include "answer/keep.h"
#include "answer/table.h"
#include "picture/marks.h"

/* A table with what stands above it; without a table there is none. */
typedef struct page_part {
    const char *heading;
    struct table *table;
} page_part;

enum { PAGE_SENTENCES_MOST = 12 };

typedef struct page_sentences {
    const char *heading;
    char *text[PAGE_SENTENCES_MOST];
    size_t count;
} page_sentences;

/* A new table of a part. */
struct table *page_part_table(page_part *part, const char *heading, const column *columns,
                              size_t count);

/* One more; what is beyond the most is left out. */
void page_sentence(page_sentences *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void page_sentences_free(page_sentences *s);

/* ---- On paper; lengths in points ---- */

/* Height of a part, 0 where its table has no row; where it ends when it is put at at. */
double page_part_h(const page_part *part);
double page_put_part(const page_part *part, box at, sheet *s);

double page_sentences_h(const page_sentences *in, double width);
double page_put_sentences(const page_sentences *in, box at, sheet *s);

#endif
