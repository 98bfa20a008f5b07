/* A card: a table for the wall with what it says above and below, as text or on sheets of paper.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_PAGE_H
#define JARLINE_CARD_PAGE_H

#include "answer/keep.h"
#include "answer/table.h"
#include "picture/marks.h"

enum { CARD_ROWS_MOST = 61, CARD_COLUMNS_MOST = 102, CARD_FEET_MOST = 12, CARD_PAGES_MOST = 24 };

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

/* Sheets in the largest type that lets it fit, upright or across, in blocks beside each other; on several
 * where its columns would be too small on one. width, height: of the upright page in points. Returns how
 * many there are; each is to be freed. */
size_t card_pages(const card *c, double width, double height, sheet pages[CARD_PAGES_MOST]);

#endif
