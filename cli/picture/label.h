/* Sheets of labels: where each stands, and what it says in the largest type that fits.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LABEL_H
#define JARLINE_LABEL_H

#include "picture/marks.h"

/* What the labels are cut from, or stand on. Lengths in points. */
typedef struct label_stock {
    double width, height; /* of the sheet */
    size_t rows, columns;
    double margin_top, margin_side; /* at both ends */
    double gap_rows, gap_columns;
    size_t used; /* labels of the first sheet that are gone */
    bool lines;  /* to cut along */
} label_stock;

/* A line of a label. */
typedef struct label_line {
    const char *text;
    double weight; /* of its type, among the lines */
    bool bold;
    bool wraps;      /* over several lines */
    const char *end; /* behind a blank to be filled in, which begins at the text; NULL: none */
} label_line;

enum { LABEL_LINES_MOST = 8 };

typedef struct label {
    const char *number; /* large at the left; NULL: the lines stand in the middle */
    label_line lines[LABEL_LINES_MOST];
    size_t count;
} label;

/* Type below which a label is not read. */
#define LABEL_TYPE_LEAST 6.0

/* How large a label is; false: the margins leave less than 5 mm. */
bool label_size(const label_stock *stock, double *width, double *height);

size_t label_sheets(const label_stock *stock, size_t labels);

/* The size of the type in which a label's words fit, for a weight of 1; 0: none that is read. */
double label_type(const label_stock *stock, const label *l);

/* Puts a label at its place on its sheet, of those that label_sheets counts; all in type of one size,
 * and all numbers as large as the longest can be. */
void label_put(const label_stock *stock, const label *l, size_t at, double type,
               const char *longest, sheet *s);

/* The sheet of a label, from 0. */
size_t label_sheet(const label_stock *stock, size_t at);

#endif
