/* Showing a gravity log: the verdict, the trend, the readings.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/wash_log.h"
#include "commands/wash/wash_steps.h"

#include <math.h>
#include <stdio.h>

static const double DAY_S = 86400;

static const char *verdict(const jl_ferment *f) {
    if (f->state == JL_FINISHED) return "finished";
    if (f->state == JL_STOPPED) return "stopped, not finished";
    return f->still_for_s > 0 ? "unchanged, but not for long enough" : "still working";
}

static void show_moment(show *s, const char *key, const char *label, jl_time time) {
    char text[MOMENT_BYTES], full[JL_TIME_BYTES];
    write_moment(time, text);
    show_text(s, NULL, label, text);
    show_text(s, key, NULL, jl_time_write(time, full, sizeof full) == JL_OK ? full : NULL);
}

static jl_time moment(double seconds, jl_time like) {
    return (jl_time){(int64_t)llround(seconds), like.offset_s};
}

static void show_trend(show *s, const wash_log *log) {
    const jl_ferment *f = &log->ferment;
    const jl_wash_row *last = &log->gravities[log->count - 1];
    bool known = !isnan(f->left_s);
    show_number(s, "slope_sg_per_day", "Trend of the last readings", f->slope_per_day, 5,
                "SG a day");
    show_number(s, "left_d", known ? "At this slope, to the expected gravity" : NULL,
                f->left_s / DAY_S, 1, "d");
    if (known) {
        double expected_s = (double)last->time.unix_s + f->left_s;
        bool past = expected_s < (double)log->now.unix_s;
        show_moment(s, "expected_at",
                    past ? "  that was at the earliest" : "  that is at the earliest",
                    moment(expected_s, last->time));
        if (past) show_note(s, "That moment is past: take a new reading.");
        show_note(s, "A fermentation slows towards its end: it will take longer than the slope "
                     "says, and the gravity must then stand still.");
    }
    if (f->state == JL_WORKING && last->sg <= log->rule.expected_sg + 1e-9)
        show_moment(s, "finished_at", "Finished if it still stands so at",
                    moment(f->still_since_s + log->rule.span_s, last->time));
    if (f->state == JL_WORKING && f->slope_per_day > log->rule.division)
        show_note(s, "The gravity rises, which no fermentation does: look at the readings, their "
                     "temperatures, and whether sugar was added.");
}

static void show_readings(show *s, const wash_log *log) {
    static const column COLUMNS[] = {
        {NULL, "time", "", 16, 0, true},
        {"time", NULL, "", 0, 0, true},
        {"day", "day", "", 6, 1, false},
        {"temp_c", "at", "°C", 6, 1, false},
        {"gravity", "gravity", "20/20 °C", 9, 4, false},
        {"change", "change", "SG", 8, 4, false},
    };
    int64_t first_s = log->gravities[0].time.unix_s;
    show_heading(s, "Readings");
    show_table(s, "readings", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < log->count; i++) {
        const jl_wash_row *row = &log->gravities[i];
        char text[MOMENT_BYTES], full[JL_TIME_BYTES] = "";
        write_moment(row->time, text);
        jl_time_write(row->time, full, sizeof full);
        show_cell_text(s, text);
        show_cell_text(s, full);
        show_cell(s, (double)(row->time.unix_s - first_s) / DAY_S);
        show_cell(s, row->temp_c);
        show_cell(s, row->sg);
        show_cell(s, i == 0 ? NAN : row->sg - log->gravities[i - 1].sg);
    }
    show_table_end(s);
}

static void assume_rule(show *s, const wash_log *log) {
    const jl_finish_rule usual = JL_FINISH_RULE;
    show_assumption(s,
                    "Finished: the gravity the same within %.2g SG over %.3g days%s, and at or "
                    "below %.3f SG%s. Common practice, no source.",
                    log->rule.division, log->rule.span_s / DAY_S,
                    log->rule.span_s == usual.span_s ? " (default; --division, --span)" : "",
                    log->rule.expected_sg,
                    log->expected_stated ? "" : " (default, for a sugar wash; --expect-fg)");
    for (size_t i = 0; i < log->count; i++)
        if (isnan(log->gravities[i].temp_c)) {
            show_assumption(s,
                            "A reading without a temperature was taken at the hydrometer's own.");
            return;
        }
}

static void note_age(show *s, const wash_log *log) {
    double age_s = (double)(log->now.unix_s - log->gravities[log->count - 1].time.unix_s);
    if (age_s > log->rule.span_s) show_note(s, "The last reading is %.0f days old.", age_s / DAY_S);
    if (age_s < 0)
        show_note(s, "The last reading lies after the present moment: look at the clock and the "
                     "dates.");
}

void wash_log_show(show *s, const wash_log *log) {
    const jl_ferment *f = &log->ferment;
    const jl_wash_row *last = &log->gravities[log->count - 1];
    static const char *const STATES[] = {"working", "stopped", "finished"};
    show_group(s, "fermentation", NULL);
    show_text(s, NULL, "Fermentation", verdict(f));
    show_text(s, "state", NULL, STATES[f->state]);
    show_moment(s, "still_since", "Unchanged since", moment(f->still_since_s, last->time));
    show_number(s, "still_for_d", "  that is for", f->still_for_s / DAY_S, 1, "d");
    show_number(s, "last_gravity", "Last gravity, 20/20 °C", last->sg, 4, "SG");
    show_number(s, "expected_gravity", "Expected final gravity", log->rule.expected_sg, 4, "SG");
    show_trend(s, log);
    show_group_end(s);
    show_readings(s, log);
    wash_steps_show(s, log);
    assume_rule(s, log);
    note_age(s, log);
    if (f->state == JL_STOPPED)
        show_caution(s, "Sugar left in a wash foams and scorches in the boiler, and a stopped "
                        "fermentation may start again: no closed vessel.");
    if (f->state == JL_WORKING)
        show_caution(s, "A wash that still works foams in the boiler. Carbon dioxide gathers in "
                        "low places: air the room.");
}
