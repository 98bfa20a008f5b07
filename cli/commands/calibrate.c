/* calibrate: a still learnt from its runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/assume.h"
#include "answer/output.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "input/factfile.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "run/run.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct words {
    output_options still;
    char *stages, *reflux, *file;
    int json;
} words;

typedef struct work {
    const char *const *names;
    jl_run **logs;
    jl_logged_run *runs; /* out of them */
    jl_logged_jar **jars;
    jl_run_fit *fits;
    size_t count;
    jl_common_uncertainty uncertainty;
    jl_settings bench;
    jl_still_guess guess;
    bool usual_stages; /* neither an option nor a log says how many */
    jl_calibration result;
} work;

/* Where the search begins: common practice, no source. */
static const double STAGES_USUAL = 4;

/* ---- Reading ---- */

/* Jars no further apart than their own uncertainty have no shape that a still could be read from. */
static bool all_alike(const jl_logged_run *run) {
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < run->count; i++) {
        least = fmin(least, run->jars[i].strength_pct);
        most = fmax(most, run->jars[i].strength_pct);
    }
    return run->count > 0 && most - least < 3 * run->jars[0].strength_u_pct;
}

static int check_run(const char *name, const jl_recovery *r, const jl_logged_run *run) {
    if (!r->charge_stated)
        return fail(EXIT_DATA,
                    "%s says nothing of its charge; expected #charge_l and #charge_strength_pct",
                    name);
    if (run->count < 3)
        return fail(EXIT_DATA, "%s has %zu jar%s; expected at least 3 with a strength each", name,
                    run->count, run->count == 1 ? "" : "s");
    if (all_alike(run))
        return fail(EXIT_DATA,
                    "%s: its jars are all alike, which tells nothing of the still; expected "
                    "strengths that fall, from the first jar into the tails",
                    name);
    double pct = run->charge_strength_pct;
    if (pct > 0.5 && pct < 90) return 0;
    return fail(EXIT_DATA,
                "%s: a charge of %.1f %% vol; expected 0.5 to 90 %% vol, where jars can tell of "
                "the still",
                name, pct);
}

static int read_run(work *w, size_t i) {
    size_t count;
    int bad = run_read_jars(w->names[i], &w->logs[i]);
    if (bad != 0) return bad;
    w->count++;
    jl_run_jars(w->logs[i], &count);
    w->jars[i] = need(calloc(count, sizeof **w->jars));
    w->fits[i].strength_pct = need(calloc(count, sizeof(double)));
    w->runs[i] = jl_run_logged(w->logs[i], &w->bench, w->jars[i]);
    return check_run(w->names[i], jl_run_recovery(w->logs[i]), &w->runs[i]);
}

static int read_runs(work *w, const args *a) {
    int bad = 0;
    w->names = a->rest;
    w->logs = need(calloc(a->count, sizeof(jl_run *)));
    w->jars = need(calloc(a->count, sizeof(jl_logged_jar *)));
    w->runs = need(calloc(a->count, sizeof *w->runs));
    w->fits = need(calloc(a->count, sizeof *w->fits));
    for (size_t i = 0; i < a->count && bad == 0; i++) bad = read_run(w, i);
    return bad;
}

/* What the runs that count state of a setting. */
typedef struct statements {
    size_t stating, runs;
    bool differ;
    const jl_settings *first; /* that states it; NULL: none does */
} statements;

static statements stated(const work *w, jl_key_id id) {
    statements all = {0};
    for (size_t i = 0; i < w->count; i++) {
        const jl_settings *s = jl_run_settings(w->logs[i]);
        if (w->fits[i].left_out) continue;
        all.runs++;
        if (!jl_is_stated(s, id)) continue;
        all.stating++;
        if (all.first == NULL) all.first = s;
        all.differ = all.differ || !jl_same_setting(all.first, s, id);
    }
    return all;
}

static bool all_state(const work *w, jl_key_id id) {
    const statements all = stated(w, id);
    return all.stating == all.runs && !all.differ;
}

/* An option, or what all logs say alike, is held; of stages and reflux one is then sought. */
static int set_guess(work *w, const words *o) {
    jl_settings said = *jl_run_settings(w->logs[0]);
    bool stages_said = all_state(w, JL_KEY_STAGES), reflux_said = all_state(w, JL_KEY_REFLUX);
    if (!jl_is_stated(&said, JL_KEY_STAGES))
        jl_settings_number(&said, JL_KEY_STAGES, STAGES_USUAL, JL_FROM_DEFAULT, NULL);
    int bad = arg_setting(o->stages, JL_KEY_STAGES, &said);
    if (bad == 0) bad = arg_setting(o->reflux, JL_KEY_REFLUX, &said);
    if (bad != 0) return bad;
    double reflux = jl_setting_value(&said, JL_KEY_REFLUX);
    bool hold_stages = o->stages != NULL || (stages_said && o->reflux == NULL);
    bool hold_reflux = o->reflux != NULL || (reflux_said && !hold_stages);
    w->usual_stages = o->stages == NULL && !stages_said;
    w->guess =
        (jl_still_guess){jl_setting_value(&said, JL_KEY_STAGES),
                         hold_reflux ? reflux / (1 + reflux) : 0.3, 0.9, hold_stages, hold_reflux};
    return 0;
}

/* ---- Showing ---- */

static void show_figure(show *s, const char *key, const char *label, jl_learnt l, bool given) {
    show_cell_text(s, key);
    show_cell_text(s, label);
    show_cell(s, l.value);
    show_cell(s, l.told ? l.standard : NAN);
    show_cell(s, l.told ? l.low : NAN);
    show_cell(s, l.told ? l.high : NAN);
    show_cell_text(s, l.told ? "learnt" : given ? "as given" : "not told");
}

static void show_still(show *s, const work *w) {
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "of the still", "", 24, 0, COLUMN_WORDS},
        {"value", "value", "", 8, 3, COLUMN_NUMBERS},
        {"standard", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"low", "from", "k = 2", 8, 3, COLUMN_NUMBERS},
        {"high", "to", "k = 2", 8, 3, COLUMN_NUMBERS},
        {"origin", "origin", "", 9, 0, COLUMN_WORDS},
    };
    const jl_calibration *c = &w->result;
    jl_learnt r = c->reflux_share;
    jl_learnt reflux = {r.value / (1 - r.value), r.standard / ((1 - r.value) * (1 - r.value)),
                        r.low / (1 - r.low), r.high / (1 - r.high), r.told};
    show_table(s, "still", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_figure(s, "stages", "Effective stages", c->stages, w->guess.stages_held);
    show_figure(s, "reflux_share", "Reflux share R/(R+1)", r, w->guess.reflux_held);
    show_figure(s, "reflux", "  that is a reflux R of", reflux, w->guess.reflux_held);
    show_figure(s, "efficiency", "Efficiency of heating", c->efficiency, false);
    show_number(s, "figures", "Figures that the jars carry", (double)c->figures, 0, "");
    show_number(s, "misfit", "Residuals against uncertainty", c->residual, 2, "times");
}

static void show_runs(show *s, const work *w) {
    static const column COLUMNS[] = {
        {"log", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "run", "", 22, 0, COLUMN_WORDS},
        {"jars", "jars", "", 4, 0, COLUMN_NUMBERS},
        {"charge_pct_said", "charge", "said %", 7, 2, COLUMN_NUMBERS},
        {"charge_pct", "", "by jars", 7, 2, COLUMN_NUMBERS},
        {"misfit", "misfit", "times", 6, 2, COLUMN_NUMBERS},
        {"part", "part", "", 8, 0, COLUMN_WORDS},
    };
    show_heading(s, "The runs");
    show_table(s, "runs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < w->count; i++) {
        const char *name = w->names[i], *slash = strrchr(name, '/');
        show_cell_text(s, name);
        show_cell_text(s, slash == NULL ? name : slash + 1);
        show_cell(s, (double)w->runs[i].count);
        show_cell(s, w->runs[i].charge_strength_pct);
        show_cell(s, w->fits[i].charge_pct);
        show_cell(s, w->fits[i].residual);
        show_cell_text(s, w->fits[i].left_out ? "left out" : "in");
    }
}

static void show_residuals(show *s, const work *w) {
    static const column COLUMNS[] = {
        {"run", "run", "", 4, 0, COLUMN_NUMBERS},
        {"jar", "jar", "", 4, 0, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 9, 2, COLUMN_NUMBERS},
        {"fitted_pct", "this still", "% vol", 10, 2, COLUMN_NUMBERS},
        {"residual_pct", "apart", "% vol", 7, 2, COLUMN_NUMBERS},
    };
    show_heading(s, "Jar by jar, at 20 °C");
    show_table(s, "residuals", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < w->count; i++)
        for (size_t k = 0; k < w->runs[i].count; k++) {
            double logged_pct = w->runs[i].jars[k].strength_pct;
            show_cell(s, (double)(i + 1));
            show_cell(s, jl_run_jar(w->logs[i], k)->number);
            show_cell(s, logged_pct);
            show_cell(s, w->fits[i].strength_pct[k]);
            show_cell(s, logged_pct - w->fits[i].strength_pct[k]);
        }
}

static void say_about(show *s, const work *w) {
    const jl_calibration *c = &w->result;
    for (size_t i = 0; i < w->count; i++)
        if (w->fits[i].left_out)
            show_warning(
                s,
                "%s does not belong to the others (misfit %.1f) and was left out: a leak, a "
                "jar forgotten, another charge than was written down?",
                w->names[i], w->fits[i].residual);
    for (size_t i = 0; i < w->count; i++)
        if (jl_is_stated(jl_run_settings(w->logs[i]), JL_KEY_REFLUX_SCHEDULE))
            show_warning(s,
                         "%s has a reflux schedule, which is not followed: one reflux is sought.",
                         w->names[i]);
    if (!c->stages.told && !w->guess.stages_held)
        show_note(s,
                  "The jars cannot tell stages and reflux apart: the stages were held at %g%s and "
                  "the reflux share goes with that number.",
                  c->stages.value, w->usual_stages ? " (--stages changes it)" : "");
    if (!c->reflux_share.told && !w->guess.reflux_held)
        show_note(s, "The jars do not tell the reflux share.");
    if (!c->efficiency.told)
        show_note(s, "The efficiency needs times of the jars and #power_w in the log.");
    if (c->widened)
        show_warning(
            s,
            "The residuals are larger than the instruments allow; the intervals were widened "
            "by that (%.1f times). The model has no holdup and no heat lost in the head, and "
            "published vapour compositions differ by 0.01.",
            c->residual);
    if (w->count == 2 && c->widened)
        show_warning(s, "With two runs it cannot be said which one does not belong.");
    if (w->usual_stages)
        show_assumption(s, "The search begins with %g stages (common practice, no source).",
                        STAGES_USUAL);
    if (c->efficiency.told)
        show_assumption(s,
                        "Before the jars the efficiency is 0.9 ± 0.3 (k = 2; common practice, no "
                        "source).");
    const jl_instruments in = jl_settings_to_instruments(&w->bench);
    for (int which = JL_BY_ALCOHOLOMETER; which <= JL_BY_JUG; which++)
        assume_limits(s, &in, (jl_instrument)which);
    show_assumption(s, "A moment is written down to 30 s, the charge's volume and strength are as "
                       "uncertain as jug and alcoholometer (common practice, no source).");
    show_assumption(s,
                    "Nonlinear least squares; intervals from the covariance (k = 2, about 95 %%).");
}

/* ---- The still's file ---- */

static double to_digits(double value, int digits) {
    char text[32];
    snprintf(text, sizeof text, "%.*g", digits, value);
    return strtod(text, NULL);
}

static void put(jl_settings *s, jl_key_id id, double value, int digits) {
    const jl_fact_key *key = &jl_keys[id].fact;
    value = fmin(fmax(to_digits(value, digits), key->least), key->most);
    jl_settings_number(s, id, value, JL_FROM_LOG, NULL);
}

/* What the jars told, in the place of what the logs say of it. */
static void put_learnt(jl_settings *s, const jl_calibration *c) {
    double share = c->reflux_share.value;
    put(s, JL_KEY_STAGES, c->stages.value, 4);
    put(s, JL_KEY_REFLUX, share / (1 - share), 4);
    if (c->reflux_share.told) put(s, JL_KEY_REFLUX_SHARE_U, c->reflux_share.standard, 3);
    if (!c->efficiency.told) return;
    put(s, JL_KEY_EFFICIENCY, c->efficiency.value, 4);
    put(s, JL_KEY_EFFICIENCY_U, c->efficiency.standard, 3);
}

/* One reflux was sought, whatever schedule the logs have. */
static bool is_carried(jl_key_id id) {
    return (jl_keys[id].where & JL_IN_STILL) != 0 && (jl_keys[id].where & JL_IN_RUN) != 0 &&
           jl_keys[id].form != JL_AS_TEXT && id != JL_KEY_REFLUX_SCHEDULE;
}

/* All that the runs were fitted under, where they do not differ. */
static void still_of_runs(const work *w, jl_settings *s) {
    jl_settings_begin(s);
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const statements all = stated(w, id);
        if (is_carried(id) && all.stating > 0 && !all.differ) s->of[id] = all.first->of[id];
    }
    put_learnt(s, &w->result);
}

static int write_still(const output_options *to_file, const work *w) {
    jl_settings s;
    jl_setting_rows rows;
    char comment[80];
    size_t runs = w->count - w->result.runs_left_out;
    snprintf(comment, sizeof comment, "learnt from %zu run%s by jarline calibrate", runs,
             runs == 1 ? "" : "s");
    still_of_runs(w, &s);
    jl_settings_rows(&s, JL_IN_STILL, &rows);
    jl_text text = {0};
    facts_text(comment, rows.rows, rows.count, &text);
    int bad = output_write(to_file, text.bytes, text.length);
    jl_text_free(&text);
    return bad;
}

static bool is_learnt(const work *w, jl_key_id id) {
    bool heating = id == JL_KEY_EFFICIENCY || id == JL_KEY_EFFICIENCY_U;
    return id == JL_KEY_STAGES || id == JL_KEY_REFLUX || id == JL_KEY_REFLUX_SHARE_U ||
           (heating && w->result.efficiency.told);
}

/* A forecast takes the default for what the file leaves out. */
static void say_differing(show *s, const work *w) {
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const statements all = stated(w, id);
        if (!is_carried(id) || is_learnt(w, id) || all.stating == 0) continue;
        if (all.differ)
            show_warning(
                s,
                "The logs differ in %s: each was fitted with its own, and the still's file "
                "has none.",
                jl_keys[id].name);
        else if (all.stating < all.runs)
            show_note(s, "%s stands in %zu of the %zu logs, and in the still's file.",
                      jl_keys[id].name, all.stating, all.runs);
    }
}

/* ---- The command ---- */

static int fail_fit(const work *w, jl_status status) {
    if (status == JL_NO)
        return fail(EXIT_NO, "the jars tell neither stages nor reflux nor efficiency: they are too "
                             "alike or too few, or one stage was given, above which nothing runs "
                             "back; expected a run from its first jar into the tails, with times");
    return fail(exit_of_file(status),
                "%s: %s; expected runs that begin with their first jar, with "
                "a charge that can have given them",
                w->count == 1 ? w->names[0] : "the runs", jl_status_text(status));
}

static int answer(work *w, const args *a, const words *o) {
    if (a->count == 0) return fail(EXIT_USAGE, "expected run logs, as run-1.csv run-2.csv");
    if (logfiles_differ(a->rest, a->count) != 0) return EXIT_USAGE;
    int bad = instruments_read(o->file, &w->bench);
    if (bad == 0) bad = read_runs(w, a);
    if (bad == 0) bad = set_guess(w, o);
    if (bad != 0) return bad;
    w->uncertainty = jl_logged_uncertainty(&w->bench);
    progress p;
    progress_begin(&p);
    jl_status status = jl_calibrate(w->runs, w->count, &w->uncertainty, &w->guess, progress_step,
                                    &p, w->fits, &w->result);
    progress_end(&p);
    if (status != JL_OK) return fail_fit(w, status);
    if (o->still.path != NULL) bad = write_still(&o->still, w);
    if (bad != 0) return bad;
    show *s = show_open(o->json != 0);
    show_still(s, w);
    show_runs(s, w);
    show_residuals(s, w);
    show_written(s, &o->still);
    say_about(s, w);
    if (o->still.path != NULL) say_differing(s, w);
    return show_close(s, EXIT_DONE);
}

static void release(work *w) {
    for (size_t i = 0; i < w->count; i++) {
        jl_run_free(w->logs[i]);
        free(w->jars[i]);
        free(w->fits[i].strength_pct);
    }
    free(w->logs);
    free(w->jars);
    free(w->runs);
    free(w->fits);
}

int command_calibrate(int argc, const char **argv) {
    words o = {0};
    const struct poptOption table[] = {
        OUTPUT_OPTIONS(o.still, "the still as a settings file"),
        OPTION("stages", &o.stages, "N", "hold the stages at this"),
        OPTION("reflux", &o.reflux, "R", "hold the reflux at this"),
        OPTION("instrument", &o.file, "FILE", "facts of the bench's instruments"),
        FLAG("json", &o.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    work w = {0};
    if (args_read(&a, argc, argv, table, "RUN.csv ... [-o FILE]",
                  "The still learnt from its runs: stages or reflux, efficiency"))
        a.exit_status = answer(&w, &a, &o);
    release(&w);
    return args_close(&a);
}
