/* Several runs as lines in one panel.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_COMPARE_H
#define JARLINE_COMPARE_H

#include "picture/marks.h"
#include "picture/run_picture.h"

enum { COMPARE_RUNS_MOST = 8 };

/* What strength is drawn over. */
typedef enum compare_over {
    OVER_VOLUME,   /* L collected */
    OVER_RECOVERED /* % of the charge's pure alcohol collected: every run states its charge */
} compare_over;

/* What has run with so many of its jars, as the axis has it. */
double compare_end(const run_picture *r, compare_over over, size_t jars);

/* "2 runs: strength over the volume collected" */
void compare_words(size_t count, compare_over over, char *text, size_t size);

/* What the axis below shows. */
const char *compare_axis(compare_over over);

/* One to COMPARE_RUNS_MOST runs, each as a line through its jars' middles with a dash of its own and its
 * name at the end; the first run's slices as a band behind them. volume_l: where the volume ends. */
void compare_sheet(const run_picture *runs, size_t count, compare_over over, double volume_l,
                   double width, double height, double margin, sheet *s);

#endif
