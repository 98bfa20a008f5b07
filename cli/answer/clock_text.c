/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/clock_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *write_stamp(double unix_s, jl_time like, char text[JL_TIME_BYTES]) {
    const double most_s = 2e11; /* about the year 8300: beyond it no moment is one */
    if (!(fabs(unix_s) < most_s)) return NULL;
    like.unix_s = (int64_t)llround(unix_s);
    return jl_time_write(like, text, JL_TIME_BYTES) == JL_OK ? text : NULL;
}

static bool write_minute(double unix_s, jl_time like, bool date, char text[JL_TIME_BYTES]) {
    if (write_stamp(unix_s, like, text) == NULL) return false;
    text[16] = '\0';
    if (date)
        text[10] = ' ';
    else
        memmove(text, text + 11, 6);
    return true;
}

const char *write_clock_span(const jl_estimate *at, jl_time like, char text[CLOCK_SPAN_BYTES]) {
    char value[JL_TIME_BYTES], low[JL_TIME_BYTES], high[JL_TIME_BYTES];
    const double day_s = 86400;
    bool date = at->high - (double)like.unix_s > day_s;
    if (write_minute(60 * round(at->value / 60), like, date, value) &&
        write_minute(60 * floor(at->low / 60), like, date, low) &&
        write_minute(60 * ceil(at->high / 60), like, date, high))
        snprintf(text, CLOCK_SPAN_BYTES, "%s (%s to %s)", value, low, high);
    else
        snprintf(text, CLOCK_SPAN_BYTES, "some day");
    return text;
}
