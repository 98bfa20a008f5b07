/* calibrate: a still learnt from its runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/calibrate.h"
#include "answer/assume.h"
#include "answer/diagnosis.h"
#include "answer/next.h"
#include "answer/output.h"
#include "answer/say.h"
#include "command.h"
#include "input/factfile.h"
#include "input/logfile.h"
#include "learn/model.h"
#include "run/run.h"
#include "text/letters.h"

#include <stdlib.h>
#include <string.h>

typedef struct words {
    output_options still;
    char *stages, *reflux;
    setting_options with;
    int json;
} words;

typedef struct work {
    const char *const *names;
    jl_run **logs;
    jl_settings bench;
    jl_calibrating of;
    jl_calibration *result;
} work;

/* ---- Reading ---- */

/* The name that the first log that names its still gives it; NULL: none does. */
static const jl_fact *still_of(const work *w, size_t *run) {
    const jl_fact *still = NULL;
    for (*run = 0; *run < w->of.count; ++*run)
        if ((still = jl_facts_find(jl_run_facts(w->logs[*run]), jl_keys[JL_KEY_STILL].name)) !=
            NULL)
            break;
    return still;
}

/* Runs of two stills have no still in common. A log without a name is taken for one of the others'. */
static int check_still(const work *w, size_t i) {
    size_t first;
    const jl_fact *known = still_of(w, &first);
    const jl_fact *own = jl_facts_find(jl_run_facts(w->logs[i]), jl_keys[JL_KEY_STILL].name);
    if (known == NULL || own == NULL || jl_same_letters(known->text, own->text)) return 0;
    return fail(
        EXIT_DATA,
        "%s:%zu: the run is of the still '%s', that of %s of '%s'; expected runs of one still",
        w->names[i], own->line, own->text, w->names[first], known->text);
}

static int read_runs(work *w, const args *a) {
    int bad = 0;
    w->names = a->words;
    w->logs = need(calloc(a->count, sizeof(jl_run *)));
    for (size_t i = 0; i < a->count && bad == 0; i++, w->of.count++)
        bad = run_read_jars(w->names[i], &w->logs[i]);
    w->of.runs = (const jl_run *const *)w->logs;
    for (size_t i = 0; i < w->of.count && bad == 0; i++) bad = check_still(w, i);
    return bad;
}

/* What an option says is held. */
static int read_told(const words *o, jl_learning_told *told) {
    jl_settings said;
    *told = JL_LEARNING_TOLD;
    jl_settings_begin(&said);
    int bad = arg_setting(o->stages, JL_KEY_STAGES, &said);
    if (bad == 0) bad = arg_setting(o->reflux, JL_KEY_REFLUX, &said);
    double reflux = jl_setting_value(&said, JL_KEY_REFLUX);
    if (bad == 0 && o->reflux != NULL && reflux / (1 + reflux) > JL_SHARE_END)
        bad = fail_argument(
            "--reflux", o->reflux, JL_RANGE,
            "0 to 49: with more, the reflux cannot be distinguished from a total one");
    if (o->stages != NULL) told->stages = jl_setting_value(&said, JL_KEY_STAGES);
    if (o->reflux != NULL) told->share = reflux / (1 + reflux);
    return bad;
}

/* ---- What is learnt ---- */

static bool told_one_stage(const work *w) {
    return w->of.told.stages == 1;
}

typedef enum known { LEARNT, HELD, NOT_IDENTIFIABLE, AS_SAID, EXPECTED } known;

/* A pot's share is no figure. */
enum { STAGES, SHARE, REFLUX, SPREAD, EFFICIENCY, CHARGES, NEXT, NEXT_UNKNOWN, FIGURES };

typedef struct figure_learnt {
    const char *key, *label;
} figure_learnt;

static const figure_learnt LIST[FIGURES] = {
    [STAGES] = {"stages", "Effective stages"},
    [SHARE] = {"reflux_share", "Share that runs back"},
    [REFLUX] = {"reflux", "  that is a reflux R of"},
    [SPREAD] = {"reflux_share_spread", "  its spread of runs"},
    [EFFICIENCY] = {"efficiency", "Efficiency of heating"},
    [CHARGES] = {"charges_of_said", "Charges, of what is said"},
    [NEXT] = {"next_until_hearts_end_pure_alcohol_l", "Next run, alcohol to hearts' end, L"},
    [NEXT_UNKNOWN] = {"next_until_hearts_end_unlearnt_l", "  of a still not known"},
};

typedef struct learnt {
    jl_estimate of;
    known how;
} learnt;

static const jl_estimate NONE = {NAN, NAN, NAN};

/* Without a value where it is not identifiable; what it may be is said all the same. */
static learnt learnt_of(jl_estimate e, bool told, bool held, known otherwise) {
    if (held) return (learnt){e, HELD};
    if (told) return (learnt){e, LEARNT};
    return (learnt){{NAN, e.low, e.high}, otherwise};
}

static jl_estimate ratio_of(jl_estimate share) {
    return (jl_estimate){share.value / (1 - share.value), share.low / (1 - share.low),
                         share.high / (1 - share.high)};
}

static void fill(const work *w, learnt of[FIGURES]) {
    const jl_calibration *c = w->result;
    const jl_learnt_summary *s = &c->summary;
    const jl_estimate stages = {s->stages, NAN, NAN}, scale = s->scale;
    const jl_estimate charges = {1 - scale.value, 1 - scale.high, 1 - scale.low};
    bool held = !isnan(w->of.told.stages), share_held = !isnan(w->of.told.share);
    of[STAGES] = learnt_of(stages, s->stages_told, held, NOT_IDENTIFIABLE);
    of[SHARE] = learnt_of(s->share, s->share_told, share_held, NOT_IDENTIFIABLE);
    of[REFLUX] = learnt_of(ratio_of(s->share), s->share_told, share_held, NOT_IDENTIFIABLE);
    of[SPREAD] = learnt_of(s->spread, s->spread_told, false, NOT_IDENTIFIABLE);
    of[EFFICIENCY] = learnt_of(s->efficiency_told ? s->efficiency : NONE, s->efficiency_told, false,
                               NOT_IDENTIFIABLE);
    of[CHARGES] = learnt_of(charges, s->scale_told, false, AS_SAID);
    of[NEXT] = (learnt){c->ahead.hearts_pure_l, EXPECTED};
    of[NEXT_UNKNOWN] = (learnt){c->ahead_unknown.hearts_pure_l, EXPECTED};
}

/* ---- Showing ---- */

static bool is_of_share(int figure) {
    return figure == SHARE || figure == REFLUX || figure == SPREAD;
}

/* People are shown what can be said, and of a share what it may be; programs all. */
static bool is_shown(const work *w, const learnt *l, int figure, bool json) {
    if (is_of_share(figure) && (w->result->summary.pot || told_one_stage(w))) return false;
    return json || !isnan(l->of.value) || figure == SHARE || figure == CHARGES;
}

static void show_still(show *s, const work *w, bool json) {
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "of the still, with 95 %", "", 35, 0, COLUMN_WORDS},
        {"value", "value", "", 7, 3, COLUMN_NUMBERS},
        {"low", "from", "", 7, 3, COLUMN_NUMBERS},
        {"high", "to", "", 7, 3, COLUMN_NUMBERS},
        {"origin", "origin", "", 16, 0, COLUMN_WORDS},
    };
    static const char *const HOW[] = {[LEARNT] = "learnt",
                                      [HELD] = "held",
                                      [NOT_IDENTIFIABLE] = "not identifiable",
                                      [AS_SAID] = "as said",
                                      [EXPECTED] = "expected"};
    learnt of[FIGURES];
    fill(w, of);
    show_table(s, "still", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (int i = 0; i < FIGURES; i++) {
        if (!is_shown(w, &of[i], i, json)) continue;
        int decimals = digits_of_estimate(of[i].of, 3);
        show_cells(s, CELLS(V(LIST[i].key), V(LIST[i].label), v_with(of[i].of.value, decimals),
                            v_with(of[i].of.low, decimals), v_with(of[i].of.high, decimals),
                            V(HOW[of[i].how])));
    }
    show_number(s, "pot_pct", NULL, 100 * w->result->summary.pot_weight, 1, "%");
}

/* The stages that the still may have, for programs. */
static void show_stages(show *s, const jl_learnt_still *still) {
    static const column COLUMNS[] = {
        {"stages", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"weight", NULL, "", 0, 4, COLUMN_NUMBERS},
        {"reflux_share", NULL, "", 0, 4, COLUMN_NUMBERS},
        {"efficiency", NULL, "", 0, 4, COLUMN_NUMBERS},
    };
    show_table(s, "stages_tried", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < still->count; i++) {
        const jl_learnt_stages *of = &still->of[i];
        show_cells(s, CELLS(V(of->stages), V(of->weight),
                            V(of->stages > 1 ? of->mean[JL_LEARNT_SHARE] : NAN),
                            V(exp(of->mean[JL_LEARNT_LN_EFFICIENCY]))));
    }
}

/* What a run has that others of the same still have not; false: nothing, or another still altogether. */
static bool find_fault(const work *w, size_t i, char text[DIAGNOSIS_BYTES]) {
    const jl_diagnosis *d = &w->result->suspicions[i];
    return d->cause != JL_CAUSE_STILL && write_diagnosis(w->logs[i], d, text);
}

static void show_runs(show *s, const work *w) {
    static const column COLUMNS[] = {
        {"log", NULL, "", 0, 0, COLUMN_WORDS},
        {"jars_count", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"charge_strength_pct_said", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"charge_strength_pct", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"charge_l_said", NULL, "", 0, 3, COLUMN_NUMBERS},
        {"charge_l", NULL, "", 0, 3, COLUMN_NUMBERS},
        {"reflux_share", NULL, "", 0, 3, COLUMN_NUMBERS},
        {"residual", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"part", NULL, "", 0, 0, COLUMN_WORDS},
        {"finding", NULL, "", 0, 0, COLUMN_WORDS},
    };
    show_table(s, "runs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < w->of.count; i++) {
        size_t jars;
        char text[DIAGNOSIS_BYTES];
        const jl_learnt_run *of = &w->result->each[i];
        const jl_spirit charge = jl_run_recovery(w->logs[i])->charge;
        jl_run_jars(w->logs[i], &jars);
        show_cells(s, CELLS(V(w->names[i]), V((double)jars), V(jl_spirit_strength_pct(charge)),
                            V(of->charge_strength_pct.value), V(jl_volume_l(charge, JL_STRENGTH_C)),
                            V(of->charge_l.value),
                            V(w->result->summary.pot ? NAN : fmax(of->share.value, 0)),
                            V(of->residual), V(of->counted_down ? "counted down" : "in"),
                            V(find_fault(w, i, text) ? text : NULL)));
    }
}

static void show_residuals(show *s, const work *w) {
    static const column COLUMNS[] = {
        {"run", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"jar", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"strength_pct", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"fitted_pct", NULL, "", 0, 2, COLUMN_NUMBERS},
        {"residual_pct", NULL, "", 0, 2, COLUMN_NUMBERS},
    };
    show_table(s, "residuals", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < w->of.count; i++) {
        size_t jars;
        const jl_jar *jar = jl_run_jars(w->logs[i], &jars);
        for (size_t k = 0; k < jars; k++) {
            double read_pct = jl_spirit_strength_pct(jar[k].spirit);
            double fitted_pct = w->result->each[i].strength_pct[k];
            show_cells(s, CELLS(V((double)(i + 1)), V(jar[k].name), V(read_pct), V(fitted_pct),
                                V(read_pct - fitted_pct)));
        }
    }
}

/* ---- Sentences ---- */

/* Those of some weight, as " (2 with a share of 0.13, 3 with 0.08 explain them alike)". */
static void list_stages(const jl_learnt_still *still, char *text, size_t size) {
    const double some = 0.05;
    const size_t room = 40; /* two lines in all */
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; i < still->count; i++) {
        const jl_learnt_stages *of = &still->of[i];
        if (of->stages <= 1 || of->weight < some || of->stages != floor(of->stages)) continue;
        if (n < room)
            n += (size_t)snprintf(text + n, size - n, "%s%g with %s%.2f", n > 0 ? ", " : " (",
                                  of->stages, n > 0 ? "" : "a share of ",
                                  fmax(of->mean[JL_LEARNT_SHARE], 0));
    }
    if (n > 0) snprintf(text + n, size - n, " explain them alike)");
}

static void say_what_it_is(show *s, const work *w) {
    const jl_learnt_summary *sum = &w->result->summary;
    const double pot_some = 0.05;
    char text[200];
    if (!isnan(w->of.told.stages)) return;
    if (sum->pot && sum->stages_told)
        show_remark(s, "It is a plain pot: nothing runs back, and there is no share to learn.");
    else if (sum->pot)
        show_remark(s, "It is a plain pot by %.0f to %.0f: another run of it would decide.",
                    100 * sum->pot_weight, 100 * (1 - sum->pot_weight));
    else if (!sum->stages_told && sum->pot_weight >= pot_some)
        show_remark(s, "These runs do not show whether it is a plain pot or a small column: both "
                       "explain them, and forecasts weigh both.");
    else if (!sum->stages_told) {
        list_stages(&w->result->still, text, sizeof text);
        show_remark(s, "These runs do not show how many stages it has%s: forecasts weigh all.",
                    text);
    }
}

static void say_charges(show *s, const jl_learnt_summary *sum) {
    double value = sum->scale.value, low = sum->scale.low, high = sum->scale.high;
    if (!sum->scale_told) return;
    show_warning(s, "The charges look %.1f %% %s than said (%.1f to %.1f).", 100 * fabs(value),
                 value > 0 ? "smaller" : "larger", 100 * fmin(fabs(low), fabs(high)),
                 100 * fmax(fabs(low), fabs(high)));
    show_note(s, "Charges that look smaller or larger than said: lees, a dead volume, a vessel's "
                 "mark, the jug's. Forecasts with this still count with that.");
}

static void say_run(show *s, const work *w, size_t i) {
    const jl_learnt_run *run = &w->result->each[i];
    char text[DIAGNOSIS_BYTES];
    bool found = find_fault(w, i, text);
    if (run->counted_down)
        show_warning(s,
                     "%s does not belong to the others (residuals %.1f times their uncertainty) "
                     "and counts for less: %s",
                     w->names[i], run->residual,
                     found ? text
                           : "a leak, a jar forgotten, another charge than was written down?");
    else if (found)
        show_warning(s, "%s: %s", w->names[i], text);
}

/* Each takes a while: of many runs only the first ones. */
enum { CONTRADICTED_MOST = 5 };

static void say_contradicted(show *s, const work *w, size_t i) {
    size_t place;
    const jl_settings *said = jl_run_settings(w->logs[i]);
    double stages = jl_setting_value(said, JL_KEY_STAGES);
    if (!jl_is_stated(said, JL_KEY_STAGES) ||
        jl_run_other_still(w->logs[i], &w->bench, &place) != JL_OK)
        return;
    show_warning(
        s, "%s says %g stage%s and a reflux of %g; its jars show another still from jar %s on.",
        w->names[i], stages, stages == 1 ? "" : "s", jl_setting_value(said, JL_KEY_REFLUX),
        jl_run_jar(w->logs[i], place)->name);
}

static void say_runs(show *s, const work *w) {
    for (size_t i = 0; i < w->of.count; i++) say_run(s, w, i);
    for (size_t i = 0; i < w->of.count && i < CONTRADICTED_MOST; i++) say_contradicted(s, w, i);
    for (size_t i = 0; i < w->of.count; i++)
        if (jl_is_stated(jl_run_settings(w->logs[i]), JL_KEY_REFLUX_SCHEDULE))
            show_warning(s,
                         "%s has a reflux schedule, which is not followed: one reflux is sought.",
                         w->names[i]);
}

static void say_assumed(show *s, const work *w) {
    const jl_instruments in = jl_settings_to_instruments(&w->bench);
    show_assumption(s,
                    "Before the jars: a pot by one in four, any share, vapours by ±%.1f %% in "
                    "volatility, efficiency %g ± %g %% (k = 2; common practice, no source).",
                    100 * JL_COVERAGE_K * JL_LEARNING_WIDTHS.shift, w->of.told.efficiency,
                    100 * JL_COVERAGE_K * JL_HEAT_GUESS_U);
    for (int which = JL_BY_ALCOHOLOMETER; which <= JL_BY_JUG; which++)
        assume_limits(s, &in, (jl_instrument)which);
    assume_limits(s, &in, JL_BY_VESSEL);
    show_assumption(s, "A figure is learnt where the runs at least halve its uncertainty; stages "
                       "at a weight of 0.9, a share within 0.15.");
}

static void say_about(show *s, const work *w) {
    say_what_it_is(s, w);
    say_charges(s, &w->result->summary);
    say_runs(s, w);
    if (!w->result->summary.efficiency_told)
        show_note(s, "The efficiency needs times of the jars and #power_w in the log.");
    say_assumed(s, w);
}

/* ---- The still's file ---- */

static void add_entries(const jl_fact_entry *rows, size_t count, jl_fact_entry *all, size_t *n) {
    memcpy(all + *n, rows, count * sizeof *rows);
    *n += count;
}

static int write_still(const output_options *to_file, const work *w) {
    static jl_setting_rows settings; /* too large for some stacks */
    static jl_learnt_rows mixture;
    jl_fact_entry all[JL_KEYS + JL_LEARNT_STAGES_MOST + 2];
    jl_settings s;
    char comment[80];
    size_t runs = w->of.count - w->result->counted_down, count = 0, named;
    const jl_fact *name = still_of(w, &named);
    snprintf(comment, sizeof comment, "learnt from %zu run%s by jarline calibrate", runs,
             runs == 1 ? "" : "s");
    jl_calibration_settings(&w->of, w->result, &s);
    jl_settings_rows(&s, JL_IN_STILL, &settings);
    if (name != NULL)
        all[count++] = (jl_fact_entry){.key = jl_keys[JL_KEY_STILL].name, .text = name->text};
    add_entries(settings.rows, settings.count, all, &count);
    if (jl_learnt_write(&w->result->still, &mixture) == JL_OK)
        add_entries(mixture.rows, mixture.count, all, &count);
    jl_text text = {0};
    facts_text(comment, all, count, &text);
    int bad = output_write(to_file, text.bytes, text.length);
    jl_text_free(&text);
    return bad;
}

/* A forecast takes the default for what the file leaves out. */
static void say_differing(show *s, const work *w) {
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_stated all = jl_runs_state(&w->of, w->result, id);
        if (!jl_calibration_carries(w->result, id) || all.stating == 0) continue;
        if (all.differ)
            show_warning(s,
                         "The logs differ in %s: each was fitted with its own, and the still's "
                         "file has none.",
                         jl_keys[id].name);
        else if (all.stating < all.runs)
            show_note(s, "%s stands in %zu of the %zu logs, and in the still's file.",
                      jl_keys[id].name, all.stating, all.runs);
    }
}

static void say_next(show *s, const work *w, const char *still) {
    next_command n = {"jarline forecast"};
    const jl_spirit charge = jl_run_recovery(w->logs[w->of.count - 1])->charge;
    if (still == NULL) return;
    next_amount(&n, jl_volume_l(charge, JL_STRENGTH_C), jl_spirit_strength_pct(charge));
    next_option(&n, "still", still);
    show_next_command(s, &n);
}

/* ---- The command ---- */

static int fail_run(const char *name, const jl_run *run, jl_status status) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    jl_run_jars(run, &count);
    if (!r->charge_stated)
        return fail(EXIT_DATA,
                    "%s does not state its charge; expected #charge_l and #charge_strength_pct",
                    name);
    if (status == JL_MISSING)
        return fail(EXIT_DATA, "%s has %zu jar%s; expected at least 3 with a strength each", name,
                    count, count == 1 ? "" : "s");
    if (status == JL_NO)
        return fail(EXIT_DATA,
                    "%s: its jars are all alike, which shows nothing of the still; expected "
                    "strengths that fall, from the first jar into the tails",
                    name);
    return fail(exit_of_file(status),
                "%s: a charge of %.6g L of %.1f %% vol; expected 0.5 to 95 %% vol, where jars show "
                "what the still does",
                name, jl_volume_l(r->charge, JL_STRENGTH_C), jl_spirit_strength_pct(r->charge));
}

static int fail_fit(const work *w, size_t fault, jl_status status) {
    if (fault < w->of.count && status != JL_MEMORY)
        return fail_run(w->names[fault], w->logs[fault], status);
    return fail(exit_of_file(status),
                "%s: %s; expected runs that begin with their first jar, with a charge that can "
                "have given them",
                w->of.count == 1 ? w->names[0] : "the runs", jl_status_text(status));
}

static int learn(work *w) {
    progress p;
    size_t fault;
    progress_begin(&p);
    w->of.progress = progress_step;
    w->of.progress_with = &p;
    jl_status status = jl_calibrate(&w->of, &fault, &w->result);
    progress_end(&p);
    return status == JL_OK ? 0 : fail_fit(w, fault, status);
}

static int answer_logs(work *w, const args *a, const words *o) {
    if (a->count == 0) return refuse("expected run logs, as run-1.csv run-2.csv");
    if (a->count > JL_CALIBRATE_RUNS_MOST)
        return refuse("%zu run logs; expected at most %d: the latest of them are enough", a->count,
                      JL_CALIBRATE_RUNS_MOST);
    if (logfiles_differ(a->words, a->count) != 0) return EXIT_USAGE;
    int bad = instruments_read(&o->with, &w->bench);
    w->of.instruments = &w->bench;
    if (bad == 0) bad = read_told(o, &w->of.told);
    if (bad == 0) bad = read_runs(w, a);
    if (bad == 0) bad = learn(w);
    if (bad == 0 && o->still.path != NULL) bad = write_still(&o->still, w);
    if (bad != 0) return bad;
    show *s = show_open(o->json != 0);
    show_still(s, w, o->json != 0);
    if (o->json) {
        show_stages(s, &w->result->still);
        show_runs(s, w);
        show_residuals(s, w);
    }
    show_written(s, &o->still);
    say_about(s, w);
    if (o->still.path != NULL) say_differing(s, w);
    say_next(s, w, o->still.path);
    return show_close(s, EXIT_DONE);
}

static int answer(work *w, const args *a, const words *o) {
    args logs = *a;
    logs.words = run_logs_of(a->words, &logs.count, true);
    int bad = answer_logs(w, &logs, o);
    free(logs.words);
    return bad;
}

static void release(work *w) {
    jl_calibration_free(w->result);
    for (size_t i = 0; i < w->of.count; i++) jl_run_free(w->logs[i]);
    free(w->logs);
}

int command_calibrate(int argc, const char **argv) {
    words o = {0};
    const struct poptOption table[] = {
        OUTPUT_OPTIONS(o.still, "the still as a settings file"),
        OPTION("stages", &o.stages, "N", "hold the stages at this"),
        OPTION("reflux", &o.reflux, "R", "hold the reflux at this"),
        BENCH_OPTION(o.with),
        JSON_LAST(&o.json),
    };
    args a;
    work w = {0};
    if (args_read(&a, argc, argv, table, "RUN.csv ... [-o FILE]",
                  "The still learnt from its runs: stages, reflux, efficiency, charges")) {
        o.with.log = a.words[0];
        a.exit_status = answer(&w, &a, &o);
    }
    release(&w);
    return args_close(&a);
}
