/* Clock times as a person gives them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CLOCK_H
#define JARLINE_CLOCK_H

#include "jarline.h"

/* Now, with the offset of the place. */
jl_time clock_now(void);

/* "10:40" (today), "2026-11-21 10:40", or either with seconds or an offset. Without an offset the
 * place's own is meant. Returns the exit status, or 0; name is what a message calls it. */
int clock_read(const char *name, const char *text, jl_time *when);

/* RFC 3339 in text[JL_TIME_BYTES]. */
void clock_write(jl_time when, char *text);

#endif
