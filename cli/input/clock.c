/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/clock.h"
#include "answer/say.h"
#include "answer/status.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

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

/* Today's date before a text that is only a time. */
static void add_date(const char *text, char *whole, size_t size) {
    char today[JL_TIME_BYTES];
    bool dated = strchr(text, '-') != NULL && strchr(text, '-') < strchr(text, ':');
    clock_write(clock_now(), today);
    snprintf(whole, size, "%.*s%s", dated ? 0 : 11, today, text);
}

/* Reads the clock of the place: as if in UTC first, then moved by the place's offset of that day.
 */
static jl_status read_at_place(const char *text, jl_time *when) {
    char whole[96];
    bool seconds = strchr(text, ':') != strrchr(text, ':');
    snprintf(whole, sizeof whole, "%s%s+00:00", text, seconds ? "" : ":00");
    jl_status status = jl_time_read(whole, strlen(whole), when);
    if (status != JL_OK) return status;
    time_t wall = when->unix_s;
    struct tm local;
    gmtime_r(&wall, &local);
    local.tm_isdst = -1;
    *when = at_place(mktime(&local));
    return JL_OK;
}

int clock_read(const char *name, const char *text, jl_time *when) {
    char whole[64];
    jl_status status = JL_FORM;
    if (strlen(text) < 40 && strchr(text, ':') != NULL) {
        add_date(text, whole, sizeof whole);
        status = jl_time_read(whole, strlen(whole), when);
        if (status == JL_FORM) status = read_at_place(whole, when);
    }
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(name, text, status, "10:40, or 2026-11-21T10:40:00+01:00");
}
