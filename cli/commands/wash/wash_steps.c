/* The waits of a wash before the still: degassing, a clearing agent, settling, and one's own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/wash_steps.h"
#include "text/letters.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* In their usual order. Common practice, no source. */
static const struct wait {
    const char *name;
    double usual_s;
    const char *what;
} WAITS[] = {
    {"degas", 86400, "let carbon dioxide out, which foams in the boiler"},
    {"clear", 86400, "a clearing agent, if you use one"},
    {"settle", 2 * 86400, "let the lees sink, which scorch"},
};
enum { WAITS_KNOWN = sizeof WAITS / sizeof WAITS[0] };

double usual_wait_s(const char *step) {
    for (int i = 0; i < WAITS_KNOWN; i++)
        if (jl_same_letters(step, WAITS[i].name)) return WAITS[i].usual_s;
    return NAN;
}

void write_moment(jl_time time, char text[MOMENT_BYTES]) {
    char full[JL_TIME_BYTES];
    if (jl_time_write(time, full, sizeof full) != JL_OK) {
        snprintf(text, MOMENT_BYTES, "-");
        return;
    }
    full[10] = ' ';
    snprintf(text, MOMENT_BYTES, "%.16s", full);
}

static jl_time end_of(const wash_step *step) {
    return (jl_time){step->begins.unix_s + (int64_t)llround(step->duration_s),
                     step->begins.offset_s};
}

static const char *state_of(const wash_step *step, jl_time now) {
    if (step->begins.unix_s > now.unix_s) return "not begun";
    return end_of(step).unix_s > now.unix_s ? "runs" : "done";
}

static void show_step(show *s, const wash_step *step, jl_time now) {
    char begins[MOMENT_BYTES], ends[MOMENT_BYTES];
    char begins_full[JL_TIME_BYTES] = "", ends_full[JL_TIME_BYTES] = "";
    write_moment(step->begins, begins);
    write_moment(end_of(step), ends);
    jl_time_write(step->begins, begins_full, sizeof begins_full);
    jl_time_write(end_of(step), ends_full, sizeof ends_full);
    show_cell_text(s, step->name);
    show_cell_text(s, begins);
    show_cell_text(s, begins_full);
    show_cell(s, step->duration_s / 3600);
    show_cell_text(s, ends);
    show_cell_text(s, ends_full);
    show_cell_text(s, state_of(step, now));
}

static bool is_logged(const wash_log *log, const char *name) {
    for (size_t i = 0; i < log->step_count; i++)
        if (jl_same_letters(log->steps[i].name, name)) return true;
    return false;
}

static void note_not_logged(show *s, const wash_log *log) {
    char list[320] = "";
    size_t n = 0;
    for (int i = 0; i < WAITS_KNOWN; i++)
        if (!is_logged(log, WAITS[i].name))
            n += (size_t)snprintf(list + n, sizeof list - n, "%s %s (%s; %.3g h)", n > 0 ? "," : "",
                                  WAITS[i].name, WAITS[i].what, WAITS[i].usual_s / 3600);
    if (n > 0)
        show_note(s, "Usual before the charge, and not in the log:%s. Common practice, no source.",
                  list);
}

/* The moment when the last of the logged waits is over, if that is still to come. */
static void show_ready(show *s, const wash_log *log) {
    jl_time ready = log->now;
    char text[MOMENT_BYTES], full[JL_TIME_BYTES];
    for (size_t i = 0; i < log->step_count; i++)
        if (end_of(&log->steps[i]).unix_s > ready.unix_s) ready = end_of(&log->steps[i]);
    if (ready.unix_s == log->now.unix_s) return;
    write_moment(ready, text);
    show_text(s, NULL, "Logged waits are over", text);
    if (jl_time_write(ready, full, sizeof full) == JL_OK) show_text(s, "waits_end", NULL, full);
}

void wash_steps_show(show *s, const wash_log *log) {
    static const column COLUMNS[] = {
        {"step", "step", "", 14, 0, true},   {NULL, "begins", "", 16, 0, true},
        {"begins", NULL, "", 0, 0, true},    {"duration_h", "takes", "h", 7, 1, false},
        {NULL, "until", "", 16, 0, true},    {"ends", NULL, "", 0, 0, true},
        {"state", "state", "", 10, 0, true},
    };
    bool usual = false;
    if (log->step_count > 0) {
        show_heading(s, "Waits before the charge");
        show_table(s, "steps", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
        for (size_t i = 0; i < log->step_count; i++) {
            show_step(s, &log->steps[i], log->now);
            usual = usual || log->steps[i].usual;
        }
        show_table_end(s);
        show_ready(s, log);
    }
    note_not_logged(s, log);
    if (usual)
        show_assumption(s,
                        "A wait without a duration takes: degas 24 h, clear 24 h, settle 48 h "
                        "(default; common practice, no source; the duration column changes it).");
}
