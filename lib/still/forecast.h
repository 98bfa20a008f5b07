/* The run to expect, jar by jar; jarline.h has what everyone may call.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FORECAST_H
#define JARLINE_FORECAST_H

#include "jarline.h"

/* With a tolerance of the integrator other than JL_TOLERANCE, for the tests. */
jl_status jl_forecast_open_within(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                                  double tolerance, jl_forecasting **run);

#define JL_J_KWH 3.6e6

/* Volume and strength at 20 °C and the pure alcohol of an amount. */
void jl_spirit_figures(jl_spirit spirit, double figures[3]);

#endif
