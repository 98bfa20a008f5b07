/* A still and a plan of its run, out of settings.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_FROM_SETTINGS_H
#define JL_FROM_SETTINGS_H

#include "keys/settings.h"

/* The still; its schedule lies in settings, which must outlive it. */
jl_still jl_settings_to_still(const jl_settings *settings);

/* Jars and cuts; rules that are not stated are those for such a charge. */
jl_plan jl_settings_to_plan(const jl_settings *settings, double charge_strength_pct);

/* The most that the boiler takes, cold: its mark, else two thirds of it; NaN: neither is stated. */
double jl_settings_to_mark_l(const jl_settings *settings);

#endif
