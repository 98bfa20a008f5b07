/* Reading, judging and showing a wash log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/log.h"
#include "answer/assume.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "input/args.h"
#include "input/clock.h"
#include "input/logfile.h"
#include "wash/wash_log.h"

#include <math.h>

/* ---- reading ---- */

static int read_rule(const wash_log_words *words, judged_log *log) {
    jl_quantity expected;
    log->expected_stated = words->expect_fg != NULL;
    int bad = arg_above_zero("--span", words->span, JL_DURATION, "above 0, as 3d or 48h",
                             &log->rule.span_s);
    if (bad != 0) return bad;
    if (words->expect_fg == NULL) return 0;
    bad = arg_quantity("--expect-fg", words->expect_fg, JL_GRAVITY, &expected);
    if (bad != 0) return bad;
    const jl_hydrometer plain_one = JL_HYDROMETER;
    jl_status status =
        jl_gravity_at_20(&plain_one, expected, JL_STRENGTH_C, &log->rule.expected_sg);
    return status == JL_OK ? 0 : fail_gravity("--expect-fg", words->expect_fg, status);
}

static int read_now(const wash_log_words *words, jl_time *now) {
    if (words->time != NULL) return clock_read("--time", words->time, now);
    *now = clock_now();
    return 0;
}

static int read_file(const char *path, const jl_hydrometer *hydrometer, judged_log *log) {
    int bad = wash_read_log(path, hydrometer, &log->log);
    if (bad != 0) return bad;
    log->readings = jl_wash_log_readings(log->log, &log->count);
    if (log->count > 0) return 0;
    return fail(EXIT_DATA, "%s: no gravity in it; expected rows with a time and a gravity",
                log_name(path));
}

/* One reading says how strong the wash is by what went in, below water's gravity at the least; not
 * whether it still works. */
static bool is_single(const judged_log *log) {
    const jl_wash_reading *only = log->readings;
    return log->count == 1 && only->has_time && (log->expected_of_recipe || only->sg < 1);
}

static int judge(const char *file, judged_log *log) {
    jl_status status = jl_wash_log_judge(log->log, &log->rule, &log->ferment);
    if (status == JL_OK) return 0;
    if (status == JL_MISSING && is_single(log)) return 0;
    if (status == JL_MISSING)
        return fail(EXIT_NO,
                    "%s: %s: it cannot show that the gravity stands still; expected another one, "
                    "%.3g days or more after it",
                    file,
                    log->count > 1 ? "fewer than two readings have a time that can be read"
                                   : "one reading only",
                    log->rule.span_s / JL_DAY_S);
    return fail(exit_of_file(status), "%s: %s", file, jl_status_text(status));
}

/* Where nothing else is said, what went in says where it ends. */
static int expect_of_log(bool malt, judged_log *log) {
    jl_finish_rule rule;
    if (log->expected_stated) return 0;
    log->expected_of_recipe = jl_wash_log_rule(log->log, &rule);
    log->rule.expected_sg = rule.expected_sg;
    log->rule.expected_within_sg = rule.expected_within_sg;
    if (log->expected_of_recipe || !malt) return 0;
    return refuse("where a malt wash ends depends on its recipe; expected --expect-fg, as "
                  "--expect-fg 1.010, or what went in (add) in the log");
}

int wash_log_read(const char *file, const wash_log_words *words, const jl_hydrometer *hydrometer,
                  bool malt, judged_log *log) {
    *log = (judged_log){.rule = JL_FINISH_RULE};
    log->rule.division_sg = hydrometer->division_sg;
    int bad = read_rule(words, log);
    if (bad == 0) bad = read_now(words, &log->now);
    if (bad == 0) bad = read_file(file, hydrometer, log);
    if (bad == 0) bad = expect_of_log(malt, log);
    return bad == 0 ? judge(log_name(file), log) : bad;
}

void wash_log_free(judged_log *log) {
    jl_wash_log_free(log->log);
}

/* ---- the verdict ---- */

static const char *verdict(const jl_ferment *f) {
    if (f->state == JL_FINISHED) return "finished";
    if (f->state == JL_STOPPED) return "stopped, not finished";
    return f->still_for_s > 0 ? "unchanged, but not for long enough" : "still working";
}

/* label: NULL: for programs alone. */
static void show_moment(show *s, const char *key, const char *label, jl_time time) {
    char full[JL_TIME_BYTES];
    if (label != NULL) show_text(s, NULL, label, MOMENT(time));
    show_text(s, key, NULL, jl_time_write(time, full, sizeof full) == JL_OK ? full : NULL);
}

static jl_time moment(double seconds, jl_time like) {
    return (jl_time){(int64_t)llround(seconds), like.offset_s};
}

/* Over less a slip of one division looks like a trend. Common practice, no source. */
enum { TREND_LEAST_S = 6 * 3600 };

static void show_trend(show *s, const judged_log *log) {
    const jl_ferment *f = &log->ferment;
    const jl_wash_reading *last = jl_wash_log_last_dated(log->log);
    bool says = f->slope_over_s >= TREND_LEAST_S;
    bool known = says && !isnan(f->left_s);
    bool stands = f->still_for_s > 0;
    show_number(s, "slope_sg_per_day", stands || !says ? NULL : "Trend of the last readings",
                says ? f->slope_per_day : NAN, 4, "SG a day");
    show_number(s, "left_d", known ? "At this slope, to the expected gravity" : NULL,
                known ? f->left_s / JL_DAY_S : NAN, 1, "d");
    if (known) {
        double expected_s = (double)last->time.unix_s + f->left_s;
        bool past = expected_s < (double)log->now.unix_s;
        show_moment(s, "expected_at",
                    past ? "  that was at the earliest" : "  that is at the earliest",
                    moment(expected_s, last->time));
        if (past) show_warning(s, "That moment is past: take a new reading.");
        show_note(s, "A fermentation slows towards its end: it will take longer than the slope "
                     "says, and the gravity must then stand still.");
    }
    if (!isnan(f->finishes_s))
        show_moment(s, "finished_at", "Finished if it still stands so at",
                    moment(f->finishes_s, last->time));
    if (f->rises)
        show_warning(s, "The gravity rises, which no fermentation does: look at the readings, "
                        "their temperatures, and whether sugar was added.");
}

/* ---- the readings ---- */

static void show_readings(show *s, const judged_log *log) {
    static const column COLUMNS[] = {
        {NULL, "time", "", 16, 0, COLUMN_WORDS},
        {"time", NULL, "", 0, 0, COLUMN_WORDS},
        {"day", "day", "", 6, 1, COLUMN_NUMBERS},
        {"temp_c", "temperature", "°C", 6, 1, COLUMN_NUMBERS},
        {"gravity_sg", "gravity", "20/20 °C", 9, 4, COLUMN_NUMBERS},
        {"gravity_change_sg", "change", "SG", 8, 4, COLUMN_NUMBERS},
    };
    size_t dated_first = 0;
    while (dated_first + 1 < log->count && !log->readings[dated_first].has_time) dated_first++;
    int64_t first_s = log->readings[dated_first].time.unix_s;
    show_heading(s, "Readings");
    show_table(s, "readings", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_table_above(s);
    for (size_t i = 0; i < log->count; i++) {
        const jl_wash_reading *row = &log->readings[i];
        char full[JL_TIME_BYTES] = "";
        double day = (double)(row->time.unix_s - first_s) / JL_DAY_S;
        jl_time_write(row->time, full, sizeof full);
        bool dated = row->has_time;
        show_cells(s, CELLS(V(dated ? MOMENT(row->time) : NULL), V(dated ? full : NULL),
                            V(dated ? day : NAN), V(row->temp_c), V(row->sg),
                            V(i == 0 ? NAN : row->sg - log->readings[i - 1].sg)));
    }
}

static void assume_rule(show *s, const judged_log *log) {
    const jl_finish_rule usual = JL_FINISH_RULE;
    show_assumption(s,
                    "Finished: the gravity the same within %.2g SG over %.3g days%s, at or "
                    "below %.4f SG%s%s; to half a division, %.2g SG (common practice, no "
                    "source).",
                    log->rule.division_sg, log->rule.span_s / JL_DAY_S,
                    log->rule.span_s == usual.span_s ? " (default; --span)" : "",
                    log->rule.expected_sg, log->rule.expected_within_sg > 0 ? " and its ±" : "",
                    log->expected_stated ? ""
                    : log->expected_of_recipe || log->rule.expected_sg > usual.expected_sg
                        ? " (1.000 and what cannot ferment; --expect-fg)"
                        : " (default, for a sugar wash; --expect-fg)",
                    log->rule.division_sg / 2);
}

static void note_age(show *s, const judged_log *log) {
    double age_s = (double)(log->now.unix_s - jl_wash_log_last_dated(log->log)->time.unix_s);
    if (age_s > log->rule.span_s)
        show_warning(s, "The last reading is %.0f days old.", age_s / JL_DAY_S);
    if (age_s < 0)
        show_warning(
            s, "The last reading lies after the present moment: look at the clock and the dates.");
}

/* ---- the waits ---- */

static void show_step(show *s, const jl_wash_step *step, jl_time now) {
    static const char *const STATES[] = {"not begun", "runs", "done"};
    char begins_full[JL_TIME_BYTES], ends_full[JL_TIME_BYTES];
    clock_write(step->begins, begins_full);
    clock_write(step->ends, ends_full);
    show_cells(s, CELLS(V(step->name), V(MOMENT(step->begins)), V(begins_full),
                        V(step->duration_s / 3600), V(MOMENT(step->ends)), V(ends_full),
                        V(STATES[jl_wash_step_state(step, now)])));
}

static void note_not_logged(show *s, const judged_log *log) {
    char list[320] = "";
    size_t n = 0, count;
    const jl_usual_wait *waits = jl_usual_waits(&count);
    for (size_t i = 0; i < count; i++)
        if (!jl_wash_has_step(log->log, waits[i].name))
            n += (size_t)snprintf(list + n, sizeof list - n, "%s %s (%s; %.3g h)", n > 0 ? "," : "",
                                  waits[i].name, waits[i].purpose, waits[i].duration_s / 3600);
    if (n > 0)
        show_note(s, "Usual before the charge, and not in the log:%s. Common practice, no source.",
                  list);
}

/* The moment when the last of the logged waits is over, if that is still to come. */
static void show_ready(show *s, const judged_log *log) {
    jl_time ready = jl_wash_waits_end(log->log, log->now);
    if (ready.unix_s > log->now.unix_s) show_moment(s, "waits_end", "Logged waits are over", ready);
}

static void show_steps(show *s, const judged_log *log) {
    static const column COLUMNS[] = {
        {"step", "step", "", 14, 0, COLUMN_WORDS},
        {NULL, "begins", "", 16, 0, COLUMN_WORDS},
        {"begins", NULL, "", 0, 0, COLUMN_WORDS},
        {"duration_h", "takes", "h", 7, 1, COLUMN_NUMBERS},
        {NULL, "until", "", 16, 0, COLUMN_WORDS},
        {"ends", NULL, "", 0, 0, COLUMN_WORDS},
        {"state", "state", "", 10, 0, COLUMN_WORDS},
    };
    bool usual = false;
    size_t count;
    const jl_wash_step *steps = jl_wash_log_steps(log->log, &count);
    if (count > 0) {
        show_heading(s, "Waits before the charge");
        show_table(s, "steps", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
        show_table_above(s);
        for (size_t i = 0; i < count; i++) {
            show_step(s, &steps[i], log->now);
            usual = usual || steps[i].usual;
        }
        show_ready(s, log);
    }
    note_not_logged(s, log);
    if (usual)
        show_assumption(s,
                        "A wait without a duration takes: degas 24 h, clear 24 h, settle 48 h "
                        "(default; common practice, no source; the duration column changes it).");
}

/* ---- the answer ---- */

/* What went in is not known exactly; a gravity that was stated is. */
static void show_expected(show *s, const jl_finish_rule *rule) {
    bool exact = !(rule->expected_within_sg > 0);
    char text[64];
    snprintf(text, sizeof text, "%.4f SG ± %.4f SG (k = 2)", rule->expected_sg,
             rule->expected_within_sg);
    show_number(s, "expected_gravity", exact ? "Expected final gravity" : NULL, rule->expected_sg,
                4, "SG");
    show_number(s, "expected_gravity_expanded", NULL, exact ? NAN : rule->expected_within_sg, 4,
                "SG");
    if (!exact) show_text(s, NULL, "Expected final gravity", text);
}

void wash_assume_correction(show *s, double correction_c) {
    if (correction_c != 0)
        show_assumption(s,
                        "%+g °C added to each temperature (thermometer_correction_c in the log).",
                        correction_c);
}

static const char WAY_BACK[] = "--undo undoes the last row; '#undone,' before a row undoes another";

/* Gravities that no wash has behind those before them. */
static void warn_of_readings(show *s, const jl_wash_log *log, bool but_last) {
    size_t count, out;
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    const jl_wash_reading *left_out = jl_wash_log_left_out(log, &out);
    for (size_t i = 0; i < out; i++)
        show_warning(s, "Line %zu is left out: %.3f is above what this wash can have by then; %s.",
                     left_out[i].line, left_out[i].sg, WAY_BACK);
    for (size_t i = 1; i + but_last < count; i++)
        if (jl_wash_log_rises(log, i))
            show_warning(s,
                         "Line %zu has %.3f above %.3f of line %zu: no fermentation raises it; %s.",
                         r[i].line, r[i].sg, r[i - 1].sg, r[i - 1].line, WAY_BACK);
}

void wash_log_warn(show *s, const jl_wash_log *log, double volume_l, bool but_last) {
    warn_of_readings(s, log, but_last);
    double most_sg;
    const jl_wash_reading *r = jl_wash_log_unaccounted(log, volume_l, &most_sg);
    if (r == NULL) return;
    show_warning(s,
                 "Only the gravities count, as more went in than the log says: that gives %.3f at "
                 "most, and line %zu has %.3f.",
                 most_sg, r->line, r->sg);
}

bool wash_log_show_by_now(show *s, const jl_wash_log *log, jl_time now) {
    judged_log judged = {.log = (jl_wash_log *)log, .rule = JL_FINISH_RULE, .now = now};
    judged.readings = jl_wash_log_readings(log, &judged.count);
    judged.expected_of_recipe = jl_wash_log_rule(log, &judged.rule);
    jl_status status = jl_wash_log_judge(log, &judged.rule, &judged.ferment);
    if (status == JL_OK) {
        jl_time like = jl_wash_log_last_dated(log)->time;
        show_text(s, "verdict", "Fermentation", verdict(&judged.ferment));
        show_moment(s, "still_since", judged.ferment.still_for_s > 0 ? "Unchanged since" : NULL,
                    moment(judged.ferment.still_since_s, like));
        show_expected(s, &judged.rule);
        show_trend(s, &judged);
        assume_rule(s, &judged);
    } else
        show_note(s, "Two readings or more, days apart, show whether it has finished.");
    show_ready(s, &judged);
    return status == JL_OK && judged.ferment.state == JL_FINISHED;
}

void wash_log_show(show *s, const judged_log *log, double volume_l) {
    warn_of_facts(s, jl_wash_log_facts(log->log), JL_IN_WASH, 0);
    wash_log_warn(s, log->log, volume_l, false);
    wash_assume_correction(s, jl_wash_log_correction_c(log->log));
    const jl_ferment *f = &log->ferment;
    const jl_wash_reading *last = &log->readings[log->count - 1];
    static const char *const STATES[] = {"working", "stopped", "finished"};
    show_group(s, "fermentation", NULL);
    if (is_single(log)) {
        show_text(s, NULL, "Fermentation", "not known from one reading");
        show_text(s, "state", NULL, NULL);
    } else {
        show_text(s, NULL, "Fermentation", verdict(f));
        show_text(s, "state", NULL, STATES[f->state]);
        show_moment(s, "still_since", "Unchanged since",
                    moment(f->still_since_s, jl_wash_log_last_dated(log->log)->time));
        show_number(s, "still_for_d", "  that is for", f->still_for_s / JL_DAY_S, 1, "d");
    }
    show_number(s, "last_gravity", NULL, last->sg, 4, "SG");
    show_expected(s, &log->rule);
    if (is_single(log))
        show_warning(s,
                     "One reading cannot show that the gravity stands still: take another, %.3g "
                     "days or more after it.",
                     log->rule.span_s / JL_DAY_S);
    else
        show_trend(s, log);
    show_group_end(s);
    show_readings(s, log);
    show_steps(s, log);
    assume_rule(s, log);
    note_age(s, log);
    if (f->state == JL_STOPPED) {
        show_remark(s,
                    "Read it again after %.3g days; if this wash ends higher than expected, give "
                    "--expect-fg.",
                    log->rule.span_s / JL_DAY_S);
        show_caution(s, "Sugar left in a wash foams and scorches in the boiler. A stopped "
                        "fermentation may start again: no closed vessel.");
    }
    if (f->state == JL_WORKING)
        show_caution(s, "A wash that still works foams in the boiler. Carbon dioxide gathers in "
                        "low places: air the room.");
}
