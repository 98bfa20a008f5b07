/* A run as marks or letters: strength over volume, head temperature, running pure alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_H
#define JARLINE_CHART_H

#include "answer/keep.h"
#include "picture/compare.h"
#include "picture/panel.h"

#include <stdbool.h>
#include <stddef.h>

/* All axes go from 0, strength to 100 % vol; those of volume end at volume_l, which several pictures
 * share: round, and with room for each run. */
double chart_end_for(const run_picture *runs, size_t count);

/* --volume-to, the end that was asked for; stays 0 where it was not. Returns the exit status, or 0. */
int chart_end_read(const char *volume_to, double *volume_l);

/* The end of every chart of the house, or that which the runs ask for where they go further. house_l:
 * the bench file's; NaN: it has none. */
double chart_end_of_house(double house_l, const run_picture *runs, size_t count);

/* Where an axis of volume ends. charge_l > 0: it is numbered in % of that charge, with the litres
 * below. */
typedef struct chart_end {
    double volume_l, charge_l;
} chart_end;

/* The end of a report's chart: the house's; of a bench file that has none the same share of every
 * charge, so that all end alike; of a log without a charge a round volume. */
chart_end chart_end_of_report(double house_l, const run_picture *r);
/* Whether a run has room up to there. */
int chart_end_check(const char *volume_to, double volume_l, const char *path, const run_picture *r);

/* One run in a box. */
void chart_run(const run_picture *r, box frame, double em, chart_end end, sheet *s);

/* The marks of one run or, as small multiples on the same axes, of several. */
enum { CHART_RUNS_MOST = 24 };

/* So many stand beside each other on a sheet of their own, and then so many rows below each other. */
size_t chart_across(size_t count);
size_t chart_down(size_t count, size_t across);

/* How many of them a page of a size has room for in type that can be read, and how many beside each
 * other. */
size_t chart_on_page(double width, double height, size_t count, size_t *across);

/* A good size in px for so many runs; CHART_SMALL_W each, of several. */
extern const double CHART_SMALL_W;
void chart_sheet_size(size_t count, size_t across, double *width, double *height);

/* down: the rows that there is room for; fewer runs leave some free. */
void chart_sheet(const run_picture *runs, size_t count, size_t down, size_t across, double volume_l,
                 double width, double height, double margin, double em, sheet *s);

/* ---- In a page of HTML ---- */

/* For wide screens and for narrow ones, with what it shows in words; also: what follows these words. */
void chart_html(bytes *b, const run_picture *r, chart_end end, const char *also);

/* ---- In letters ---- */

void chart_text(const run_picture *r, double volume_l, bytes *b);

/* One to COMPARE_RUNS_MOST runs on the same axes, each with a letter of its own and a line that says
 * what it came to. */
void chart_text_together(const run_picture *runs, size_t count, compare_over over, double volume_l,
                         bytes *b);

#endif
