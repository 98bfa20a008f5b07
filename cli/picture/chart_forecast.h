/* A planned run as a picture.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_FORECAST_H
#define JARLINE_CHART_FORECAST_H

#include "input/planned.h"
#include "picture/run_picture.h"

typedef struct plan_words {
    char *from; /* a file with the charge */
    setting_options still;
} plan_words;

/* Runs the forecast. charge: an amount, or NULL with words->from. Returns the exit status, or 0;
 * the picture is to be freed only then. */
int picture_forecast(const plan_words *words, const char *charge, planned *p, run_picture *r);

#endif
