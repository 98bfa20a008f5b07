/* A card: one table for the wall, as a page, as text, CSV or JSON.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_H
#define JARLINE_CARD_H

#include "input/args.h"
#include "picture/marks.h"
#include "picture/paper.h"

enum { CARD_COLUMNS_MOST = 16, CARD_ROWS_MOST = 61, CARD_FEET_MOST = 12 };

typedef struct card_column {
    char key[32];  /* in CSV and JSON, with its unit */
    char head[24]; /* on the card: two lines */
    char unit[16];
    int decimals;     /* on the card */
    int csv_decimals; /* in CSV */
} card_column;

typedef struct card {
    char title[96], above[96]; /* above: what the columns stand for */
    card_column columns[CARD_COLUMNS_MOST];
    size_t columns_count, rows_count;
    double cells[CARD_ROWS_MOST][CARD_COLUMNS_MOST]; /* NaN: there is none */
    size_t strong_row;                               /* printed bold; rows_count: none */
    char *feet[CARD_FEET_MOST];
    size_t feet_count;
} card;

/* Texts of the options; NULL when not given. */
typedef struct card_words {
    char *from, *to, *low, *high, *step, *bottle, *water_temp, *altitude, *pressure;
    instrument_options instrument;
} card_words;

/* Each fills a card; returns the exit status, or 0. */
typedef int card_make(const card_words *w, card *c);
card_make card_correction, card_dilution, card_boil;

/* A line at the foot: source, calibration, caution. */
void card_foot(card *c, const char *format, ...) __attribute__((format(printf, 2, 3)));
card_column *card_add_column(card *c);
void card_free(card *c);

/* A cell as text: "-" where there is none. */
void card_cell_text(const card *c, size_t row, size_t column, char *text, size_t size);

void card_text(const card *c, bytes *b);
void card_csv(const card *c, bytes *b);
int card_json(const card *c);

/* One page, upright or across, whichever gives the larger type. width, height: of the upright page
 * in points. */
void card_page(const card *c, double width, double height, sheet *s);

#endif
