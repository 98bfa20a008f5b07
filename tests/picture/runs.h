/* Runs made up for the tests of pictures.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TEST_RUNS_H
#define JARLINE_TEST_RUNS_H

#include "picture/run_picture.h"

#include <stddef.h>

enum { RUN_HEAD = 1, RUN_CHARGE = 2, RUN_FORECAST = 4, RUN_MIXED = 8, RUN_OPEN = 16 };

/* A run of so many jars, 80 falling to 20 % vol; flags of the enum above. RUN_MIXED: every jar of
 * another fraction than its neighbours. RUN_OPEN: in progress, half of the jars not decided. */
void made_up_run(size_t jars, unsigned flags, run_picture *r);

#endif
