/* Any text as a moment that a person wrote, alone and behind another: a moment that a log can hold,
 * or a status.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"
#include "text/timestamp.h"

enum { DAY_S = 86400 };

static void written_holds(const jl_written_time *w) {
    HOLDS(w->has_date || w->has_clock);
    HOLDS(!w->has_clock || (w->second_of_day >= 0 && w->second_of_day < DAY_S));
    HOLDS(!w->has_offset || (w->offset_s > -DAY_S && w->offset_s < DAY_S));
}

/* As it is written out it is the same moment, and read exactly. */
static void moment_holds(jl_time time) {
    char text[JL_TIME_BYTES];
    jl_time back = {0, 1};
    jl_written_time w;
    if (jl_time_write(time, text, sizeof text) != JL_OK) return;
    HOLDS(jl_time_read(text, strlen(text), &back) == JL_OK);
    HOLDS(back.unix_s == time.unix_s && back.offset_s == time.offset_s);
    HOLDS(jl_written_time_read(text, strlen(text), &w) == JL_OK);
    HOLDS(w.has_date && w.has_clock && w.has_offset);
    HOLDS(w.days * DAY_S + w.second_of_day - w.offset_s == time.unix_s);
}

static void behind_holds(const char *text, size_t length, const jl_written_time *w) {
    static const jl_time before[] = {{1792825200, 7200}, {0, -18000}, {-62167219200, 0}};
    for (size_t i = 0; i < sizeof before / sizeof before[0]; i++) {
        jl_time time;
        if (jl_time_in_cell(text, length, &before[i], &time, NULL) != JL_OK) continue;
        moment_holds(time);
        HOLDS(w->has_date ||
              (time.unix_s >= before[i].unix_s && time.unix_s - before[i].unix_s < DAY_S + DAY_S));
    }
}

static void readings_hold(const char *text, size_t length, jl_status status) {
    char first[JL_DATE_BYTES] = "", second[JL_DATE_BYTES] = "";
    jl_written_time w;
    bool two = jl_date_readings(text, length, first, second) == JL_OK;
    HOLDS(two || status != JL_AMBIGUOUS);
    if (!two) return;
    HOLDS(strcmp(first, second) != 0);
    HOLDS(jl_written_time_read(first, strlen(first), &w) == JL_OK && w.has_date);
    HOLDS(jl_written_time_read(second, strlen(second), &w) == JL_OK && w.has_date);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    jl_written_time w;
    if (text == NULL) return 0;
    if (size > 0) memcpy(text, data, size);
    jl_status status = jl_written_time_read(text, size, &w);
    readings_hold(text, size, status);
    if (status == JL_OK) {
        written_holds(&w);
        behind_holds(text, size, &w);
    }
    free(text);
    return 0;
}
