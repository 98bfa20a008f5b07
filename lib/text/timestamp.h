/* Moments as people and their phones write them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_TIMESTAMP_H
#define JL_TIMESTAMP_H

#include "jarline.h"

/* A moment as people and their phones write it, before it is known which day or offset is meant. */
typedef struct jl_written_time {
    bool has_date, has_clock, has_offset;
    int64_t days;      /* since 1970-01-01 */
    int second_of_day; /* 0 to 86399, by the clock of the place */
    int offset_s;      /* of that clock, east positive */
} jl_written_time;

enum { JL_DAY_S = 86400 };

enum { JL_DATE_BYTES = 11 }; /* "2026-10-24", with its NUL */

/* The forms that jl_written_time_read takes, for a message. */
#define JL_TIME_FORMS "2026-10-24 09:02, 24.10.2026 09:02, 24 Oct 2026 9:02, 09:02 or 9:02 pm"

/* "2026-10-24T09:02:30+02:00", "2026-10-24 09:02", "24.10.2026 09:02", "24 Oct 2026 9:02",
 * "Oct 24, 2026 at 9:02 AM", "24/10/2026 9:02", "09:02", "9:02 pm", "9.02 pm", each with or without seconds and
 * offset; a date alone is taken too.
 *
 * Given:    text, length: bytes, need not be NUL-terminated; white space around is passed over
 * Returned: *written
 * Errors:   JL_FORM; JL_RANGE (30 February, 25 o'clock); JL_AMBIGUOUS (03/04/2026: see
 *           jl_date_readings)
 * Source:   RFC 3339, ISO 8601; the others common practice, no source
 */
jl_status jl_written_time_read(const char *text, size_t length, jl_written_time *written);

/* The two dates that a text with slashes may mean.
 *
 * Given:    text, length: as above
 * Returned: first, second: "2026-04-03" and "2026-03-04" of 03/04/2026
 * Errors:   JL_NO (the text has not two readings)
 */
jl_status jl_date_readings(const char *text, size_t length, char first[JL_DATE_BYTES],
                           char second[JL_DATE_BYTES]);

/* The moment that a written time means: a bare time is the first such moment that does not lie
 * before the moment before.
 *
 * Given:    w; before: the moment before, NULL: none is known; offset_s: the clock's where the text
 *           has none, above -86400, below 86400
 * Returned: *time
 * Errors:   JL_MISSING (no time of day, or neither a date nor a moment before), JL_RANGE (offset)
 */
jl_status jl_time_of_written(const jl_written_time *w, const jl_time *before, int offset_s,
                             jl_time *time);

/* The moments of a file whose date or offset was not written, and between which two they were read. */
typedef struct jl_typed_times {
    size_t count;
    jl_time first, last;
} jl_typed_times;

/* A cell's moment at once. before gives the day to a bare time and the offset to a moment without one;
 * where there is none before, the machine's clock gives the offset.
 *
 * Given:    as jl_written_time_read and jl_time_of_written
 * Returned: *time; *typed: with this one; NULL: not wanted
 * Errors:   theirs
 */
jl_status jl_time_in_cell(const char *text, size_t length, const jl_time *before, jl_time *time,
                          jl_typed_times *typed);

#endif
