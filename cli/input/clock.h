/* Clock times as a person gives them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CLOCK_H
#define JARLINE_CLOCK_H

#include "jarline.h"

/* Now, with the offset of the place. */
jl_time clock_now(void);

/* A moment as people write it (JL_TIME_FORMS); a bare time is today's. Without an offset the place's
 * own is meant, and which of the two where daylight saving shows a time twice, or none, is said.
 * Returns the exit status, or 0; name is what a message calls it. */
int clock_read(const char *name, const char *text, jl_time *when);

/* The same, where a bare time is the first such moment from another on, to the minute, on its clock.
 * NULL: none is known, and it is today's. */
int clock_read_from(const char *name, const char *text, const jl_time *from, jl_time *when);

/* Says which two days a date may mean, and returns the exit status. */
int fail_ambiguous(const char *name, const char *text);

/* RFC 3339 in text[JL_TIME_BYTES]. */
void clock_write(jl_time when, char *text);

#endif
