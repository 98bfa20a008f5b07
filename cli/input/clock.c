/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/clock.h"
#include "answer/say.h"
#include "text/timestamp.h"

#include <string.h>

static jl_time at_place(time_t when) {
    struct tm local;
    localtime_r(&when, &local);
    /* RFC 3339 knows whole minutes only. */
    return (jl_time){when, (int)(local.tm_gmtoff / 60 * 60)};
}

jl_time clock_now(void) {
    return at_place(time(NULL));
}

void clock_write(jl_time when, char *text) {
    if (jl_time_write(when, text, JL_TIME_BYTES) != JL_OK) text[0] = '\0';
}

static int offset_at(int64_t unix_s) {
    return at_place((time_t)unix_s).offset_s;
}

/* The moments at which the clock of the place shows so many seconds since 1970; where daylight saving
 * leaves them out, the one that the clock would show had it not been moved. Returns how many. */
static int at_clock(int64_t wall_s, jl_time found[2]) {
    const int before = offset_at(wall_s - JL_DAY_S), after = offset_at(wall_s + JL_DAY_S);
    int count = 0;
    if (offset_at(wall_s - before) == before) found[count++] = (jl_time){wall_s - before, before};
    if (after != before && offset_at(wall_s - after) == after)
        found[count++] = (jl_time){wall_s - after, after};
    if (count == 0) found[0] = at_place((time_t)(wall_s - before));
    return count;
}

static jl_time read_at_place(const char *name, const char *text, int64_t wall_s) {
    jl_time found[2];
    char meant[JL_TIME_BYTES], other[JL_TIME_BYTES];
    int count = at_clock(wall_s, found);
    clock_write(found[0], meant);
    clock_write(found[1 % (count > 0 ? count : 1)], other);
    if (count == 0) say("%s '%s': the clock leaves that out here; taken as %s", name, text, meant);
    if (count == 2)
        say("%s '%s': the clock shows that twice here; taken as %s, not as %s", name, text, meant,
            other);
    return found[0];
}

int fail_ambiguous(const char *name, const char *text) {
    char first[JL_DATE_BYTES], second[JL_DATE_BYTES];
    if (jl_date_readings(text, strlen(text), first, second) != JL_OK)
        return fail_argument(name, text, JL_AMBIGUOUS, JL_TIME_FORMS);
    return refuse("%s '%s': %s or %s; expected the one that is meant", name, text, first, second);
}

/* Else a bare time is today's. */
static void add_today(jl_written_time *w) {
    const jl_time now = clock_now();
    if (!w->has_date) w->days = (now.unix_s + now.offset_s) / JL_DAY_S;
    w->has_date = true;
}

/* The first from a moment on, to the minute; not the next day's while that is still to come. */
static void add_day_from(jl_written_time *w, jl_time from) {
    int64_t wall_s = from.unix_s + from.offset_s;
    int64_t minute_s = wall_s % JL_DAY_S / 60 * 60;
    if (w->has_date) return;
    w->days = wall_s / JL_DAY_S;
    w->has_date = true;
    if (!w->has_offset) w->offset_s = from.offset_s;
    w->has_offset = true;
    int64_t next_s = (w->days + 1) * JL_DAY_S + w->second_of_day - w->offset_s;
    if (w->second_of_day < minute_s && next_s / 60 <= clock_now().unix_s / 60) w->days++;
}

int clock_read_from(const char *name, const char *text, const jl_time *from, jl_time *when) {
    char stamp[JL_TIME_BYTES];
    jl_written_time w;
    jl_status status = jl_written_time_read(text, strlen(text), &w);
    if (status == JL_AMBIGUOUS) return fail_ambiguous(name, text);
    if (status == JL_OK && !w.has_clock)
        return refuse("%s '%s': the hour is missing; expected %s", name, text, JL_TIME_FORMS);
    if (status == JL_OK) {
        if (from != NULL) add_day_from(&w, *from);
        add_today(&w);
        if (!w.has_offset)
            *when = read_at_place(name, text, w.days * JL_DAY_S + w.second_of_day);
        else
            status = jl_time_of_written(&w, NULL, 0, when);
    }
    if (status == JL_OK) status = jl_time_write(*when, stamp, sizeof stamp);
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(name, text, status, JL_TIME_FORMS);
}

int clock_read(const char *name, const char *text, jl_time *when) {
    return clock_read_from(name, text, NULL, when);
}
