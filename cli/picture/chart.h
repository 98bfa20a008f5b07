/* A run as marks: strength over volume, head temperature, running pure alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_H
#define JARLINE_CHART_H

#include "picture/axis.h"
#include "picture/marks.h"
#include "picture/run_picture.h"

/* Axes that several pictures share. */
typedef struct chart_axes {
    double volume_l;                    /* the x axes end here */
    double strength_low, strength_high; /* % vol, before rounding to ticks */
} chart_axes;

chart_axes chart_axes_for(const run_picture *runs, size_t count);

/* A panel and what its axes hold. */
typedef struct panel {
    box at;
    axis x, y;
    double em;      /* height of its type */
    double head_up; /* room between it and its head, for names of bands */
} panel;

double panel_x(const panel *p, double value);
double panel_y(const panel *p, double value);

/* Frame, grid, ticks; what the y axis shows above it. number_x: with the numbers of the x axis. */
void panel_marks(const panel *p, const char *shows, bool number_x, sheet *s);

/* The line above a panel, where its legend stands too. */
box panel_head(const panel *p);

/* A line's sample and its words at the right of a panel's head; words must be short. */
void panel_legend(const panel *p, mark_tone tone, double width, mark_pattern pattern,
                  const char *words, sheet *s);

/* Fractions as bands in a panel, and their names in rows above it. */
enum { BAND_ROWS = 2 };
double chart_names_h(double em);
void chart_bands(const run_picture *r, const panel *p, sheet *s);
void chart_band_labels(const run_picture *r, const panel *p, double top, sheet *s);

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
