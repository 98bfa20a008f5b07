/* Tables on a sheet: cells of the one table model, in type of any size.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PAGE_H
#define JARLINE_PAGE_H

#include "answer/table.h"
#include "picture/marks.h"

/* How a table is set. Lengths are those of the sheet. */
typedef struct table_style {
    double type, row_h;
    double gap;           /* between columns, in heights of the type */
    double rule, rule_at; /* line below the heads, its thickness; and what it is kept clear by */
    mark_tone rule_tone;
    bool bold;           /* heads and the first column */
    size_t bold_row;     /* with bold */
    const char *missing; /* what stands for a missing cell */
} table_style;

/* Width that a table needs at the most, in heights of its type. */
double page_table_room(const struct table *t, const char *missing);

double page_table_height(const struct table *t, const table_style *style);

/* Puts it below at.y, as wide as at. Where the width is less than it needs, the widest column of
 * words is shortened. Returns where it ends. */
double page_table(const struct table *t, const table_style *style, box at, sheet *s);

#endif
