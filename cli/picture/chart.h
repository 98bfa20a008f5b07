/* A run as marks: strength over volume, head temperature, running pure alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_H
#define JARLINE_CHART_H

#include "picture/marks.h"
#include "picture/run_picture.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct axis {
    double low, high; /* of what is shown */
    double step;      /* from tick to tick: 1, 2 or 5 times a power of ten */
} axis;

/* An axis that holds low to high with about most ticks at the most. whole: it begins and ends at a
 * tick; otherwise exactly at low and high. */
axis axis_for(double low, double high, int most, bool whole);

/* The ticks on it, in order. */
size_t axis_ticks(const axis *a);
double axis_tick(const axis *a, size_t i);

/* A tick's number with no more decimals than the step needs. */
void axis_label(const axis *a, double value, char *text, size_t size);

/* Axes that several pictures share. */
typedef struct chart_axes {
    double volume_l;                    /* the x axes end here */
    double strength_low, strength_high; /* % vol, before rounding to ticks */
} chart_axes;

chart_axes chart_axes_for(const run_picture *runs, size_t count);

/* One run in a box: all panels, or strength alone for small multiples. */
void chart_run(const run_picture *r, box frame, double em, const chart_axes *axes, sheet *s);
void chart_run_small(const run_picture *r, box frame, double em, const chart_axes *axes, sheet *s);

/* The marks of one run or, as small multiples on the same axes, of several. */
enum { CHART_RUNS_MOST = 24 };

/* A good size in px for so many runs. */
void chart_sheet_size(size_t count, double *width, double *height);
void chart_sheet(const run_picture *runs, size_t count, double width, double height, double margin,
                 double em, sheet *s);

#endif
