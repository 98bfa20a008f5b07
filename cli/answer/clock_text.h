/* Predicted moments as text.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CLOCK_TEXT_H
#define JARLINE_CLOCK_TEXT_H

#include "jarline.h"

enum { CLOCK_SPAN_BYTES = 96 };

/* RFC 3339 of seconds as jl_time has them, by the clock of another moment. */
const char *write_stamp(double unix_s, jl_time like, char text[JL_TIME_BYTES]);

/* "10:34 (10:30 to 10:39)", to the minute; beyond a day from that moment with the date. */
const char *write_clock_span(const jl_estimate *at, jl_time like, char text[CLOCK_SPAN_BYTES]);

#endif
