/* A run that is planned: its charge, its still, and why there is no such run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PLANNED_H
#define JARLINE_PLANNED_H

#include "answer/show.h"
#include "input/part.h"
#include "input/settings.h"
#include "still/forecast.h"

typedef struct planned {
    jl_spirit charge;
    const char *charge_is; /* "low wines"; NULL: a charge */
    still_settings settings;
} planned;

/* What a plan states of the boiler, unless an option says otherwise. */
void planned_take(planned *p, const setting_options *with, const file_part *of);

/* All jars of the run. Says what is wrong and returns the exit status, or 0; then there is nothing to
 * free. */
int planned_jars(const planned *p, jl_forecast_jars *all);

/* What the still's runs taught of such a run; nothing where its file says nothing of it. */
void planned_show_learnt(const planned *p, jl_spirit collected, show *s);

/* What was taken for granted of the still, and what the model leaves out. */
void planned_assume(const planned *p, show *s);

/* Warns of a charge that is above what the boiler takes. */
void planned_warn_full(const planned *p, jl_spirit charge, show *s);

/* Says that the charge leaves nothing above the heating element, and returns the exit status. */
int planned_fail_element(const planned *p);

/* Says why a forecast has been refused and returns the exit status. */
int planned_fail(const planned *p, jl_status status);

#endif
