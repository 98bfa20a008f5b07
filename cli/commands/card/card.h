/* A card: a table for the wall with what it says above and below, as text, JSON and a page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_H
#define JARLINE_CARD_H

#include "answer/keep.h"
#include "answer/table.h"
#include "jarline.h"
#include "picture/marks.h"

enum { CARD_COLUMNS_MOST = 16, CARD_ROWS_MOST = 61, CARD_FEET_MOST = 12 };

/* {0} is an empty one. */
typedef struct card {
    char title[96], above[96]; /* above: what the columns stand for */
    struct table *table;       /* the card's own */
    size_t bold_row;           /* its number of rows: none */
    keep kept;
    const char *feet[CARD_FEET_MOST];
    size_t feet_count;
} card;

/* A line at the foot: source, calibration, caution. */
void card_foot(card *c, const char *format, ...) __attribute__((format(printf, 2, 3)));
void card_free(card *c);

void card_text(card *c, FILE *to);

/* The answer as JSON; the table is the answer's from now on. Returns the exit status. */
int card_json(card *c);

/* One page, upright or across, whichever gives the larger type. width, height: of the upright page
 * in points. */
void card_page(const card *c, double width, double height, sheet *s);

/* ---- Evenly spaced values for its rows or columns ---- */

typedef struct card_span {
    double low, high, step;
    size_t count;
} card_span;

/* Texts of --low, --high and --step; NULL when not given. */
typedef struct card_span_words {
    char *low, *high, *step;
} card_span_words;

/* Takes what is given. All are on one scale; expected: what is said to one on another. Returns the
 * exit status, or 0. */
int card_span_read(const card_span_words *w, jl_unit scale, const char *expected, card_span *span);

/* Counts the values; high is one of them when the step leads there. Refuses none, and more than most;
 * what: "readings", along: "columns". Returns the exit status, or 0. */
int card_span_count(card_span *span, const char *what, const char *along, size_t most);

double card_span_value(const card_span *span, size_t i);

#endif
