/* A run as a chart of letters, 80 columns wide.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_TEXT_H
#define JARLINE_CHART_TEXT_H

#include "answer/keep.h"
#include "picture/chart.h"

void chart_text(const run_picture *r, double volume_l, bytes *b);

#endif
