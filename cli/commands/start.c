/* start: a new run log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/assume.h"
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "commands/wash/daily.h"
#include "input/clock.h"
#include "input/planned.h"
#include "still/causes.h"
#include "still/from_settings.h"

#include <stdlib.h>
#include <string.h>

typedef struct start {
    const char *path, *title;
    char started[JL_TIME_BYTES];
    jl_alcoholometer instrument;
    bool charged, proof, json;
    planned plan; /* the charge, and the run to expect of it */
    const char *charge_word;
    file_part of; /* the vessel or the run that the charge is from */
    jl_amount written;
    const setting_options *with;
    jl_forecast_jars expected;
} start;

/* ---- the charge and its forecast ---- */

static int read_charge_words(const char *amount, const char *from, const char *bench, start *s) {
    s->charged = amount != NULL || from != NULL;
    if (amount != NULL && from != NULL)
        return refuse("expected --charge or --charge-from, not both");
    if (!s->charged) return EXIT_DONE;
    given_amount given;
    int bad = given_charge(amount, from, &s->instrument, bench, &given);
    if (bad != EXIT_DONE) return bad;
    s->charge_word = amount;
    s->plan.charge = given.spirit;
    s->written = given.amount;
    s->of = given.part;
    return EXIT_DONE;
}

/* The jars to expect go into the log, so that no later change of a model changes them. */
static int forecast(start *s) {
    double pct = jl_spirit_strength_pct(s->plan.charge);
    jl_settings *all = &s->plan.settings.all;
    s->plan.settings.plan = jl_settings_to_plan(all, pct);
    jl_settings_number(all, JL_KEY_CHARGE, jl_volume_l(s->plan.charge, JL_STRENGTH_C),
                       JL_FROM_OPTION, NULL);
    jl_settings_number(all, JL_KEY_CHARGE_STRENGTH, pct, JL_FROM_OPTION, NULL);
    if (s->of.strength_u_pct > 0)
        jl_settings_number(all, JL_KEY_CHARGE_STRENGTH_U, s->of.strength_u_pct, JL_FROM_OPTION,
                           NULL);
    return planned_jars(&s->plan, &s->expected);
}

/* ---- the log ---- */

/* Facts in the order in which they will stand. */
static jl_fact_entry *gather(const start *s, const jl_setting_rows *rows,
                             const jl_learnt_rows *learnt, size_t *count) {
    const char *still = s->plan.settings.name;
    jl_fact_entry *facts =
        need(calloc(4 + rows->count + learnt->count + s->expected.count, sizeof *facts));
    size_t n = 0;
    if (s->title != NULL) facts[n++] = (jl_fact_entry){.key = "title", .text = s->title};
    facts[n++] = (jl_fact_entry){.key = "started", .text = s->started};
    if (still != NULL)
        facts[n++] = (jl_fact_entry){.key = jl_keys[JL_KEY_STILL].name, .text = still};
    for (size_t i = 0; i < rows->count; i++) facts[n++] = rows->rows[i];
    for (size_t i = 0; i < learnt->count; i++) facts[n++] = learnt->rows[i];
    if (s->of.vessel != NULL)
        facts[n++] = (jl_fact_entry){.key = jl_keys[JL_KEY_CHARGE_FROM].name, .text = s->of.vessel};
    for (size_t i = 0; i < s->expected.count; i++)
        facts[n++] = jl_expected_row(&s->expected.jars[i]);
    *count = n;
    return facts;
}

enum { ANY = 1, NONE = 2 };

static const figure EXPECTED[JL_RUN_FIGURES] = {
    [JL_RUN_COLLECTED_L] = {"volume_l", "Volume at 20 °C", "L", 3, .text_of = ANY},
    [JL_RUN_COLLECTED_PCT] = {"strength_pct", "Strength at 20 °C", "% vol", 1, .text_of = ANY},
    [JL_RUN_COLLECTED_PURE_L] = {"pure_alcohol_l", "Pure alcohol", "L", 3, .text_of = ANY},
};

/* As uncertain as 'forecast' has them, with the same digits. */
static void know_expected(const start *s, figures *f, double standard[JL_RUN_FIGURES]) {
    static const uncertainty_options USUAL = {0};
    const still_settings *of = &s->plan.settings;
    uncertainty u;
    jl_causes causes = {.still = &of->still,
                        .plan = &of->plan,
                        .known = of->known,
                        .charge_u_pct = s->of.strength_u_pct};
    if (s->json || f->of == NONE || uncertainty_read(&USUAL, s->with, &u) != 0) return;
    uncertainty_for_digits(&u);
    jl_causes_measure(&causes, &u.by, s->written, &s->instrument);
    figures_take_digits(&u, f, standard, jl_causes_figures, &causes);
    uncertainty_free(&u);
}

static void show_expected(show *out, const start *s) {
    double values[JL_RUN_FIGURES], standard[JL_RUN_FIGURES];
    jl_spirit all = s->expected.sum.collected;
    bool any = s->expected.count > 0;
    figures f = {EXPECTED, JL_RUN_FIGURES, values, .of = any ? ANY : NONE};
    jl_forecast_figures(&s->expected.sum, values);
    know_expected(s, &f, standard);
    show_group(out, "expected", "Forecast, written into the log");
    show_number(out, "jars_count", "Jars", (double)s->expected.count, 0, "");
    show_figures(out, &f, JL_RUN_COLLECTED_L, JL_RUN_COLLECTED_PURE_L + 1);
    show_group_end(out);
    planned_show_learnt(&s->plan, all, out);
    planned_warn_full(&s->plan, s->plan.charge, out);
    if (!any)
        show_note(out, "By its rules this run ends at the first drop, so there are no jars to "
                       "compare with.");
    assume_still(out, &s->plan.settings.all, &s->plan.settings.plan);
}

/* At its prompt: a line with the figures to expect could be taken for a jar's own. */
static void suggest_record(show *out, const start *s) {
    next_command next = {"jarline record"};
    next_word(&next, s->path);
    show_next_command(out, &next);
}

/* One command writes one file: the vessel has given its charge when the book says so. */
static void suggest_charged(show *out, const start *s) {
    next_command next = {"jarline book"};
    bool of_plan = s->of.planned;
    const char *size = s->of.vessel == NULL || s->of.whole ? "all"
                       : of_plan                           ? s->of.path
                                                           : strrchr(s->charge_word, ':') + 1;
    if (s->of.vessel == NULL) return;
    next_word(&next, of_plan ? "BOOK.csv" : s->of.path);
    next_word(&next, "charged");
    next_word(&next, s->of.vessel);
    next_word(&next, size);
    next_option(&next, "run", s->path);
    show_next_command(out, &next);
}

static void warn_of_future(show *s, const char *started) {
    jl_time at;
    const jl_time now = clock_now();
    if (jl_time_read(started, strlen(started), &at) == JL_OK && at.unix_s / 60 > now.unix_s / 60)
        show_warning(s, "It starts at %s, and it is only %s now.", MOMENT(at), MOMENT(now));
}

static int answer(const start *s) {
    show *out = show_open(s->json);
    show_text(out, "log", "Started", s->path);
    show_text(out, "title", s->title == NULL ? NULL : "Title", s->title);
    show_text(out, "started", "At", s->started);
    warn_of_future(out, s->started);
    show_text(out, "still_name", s->plan.settings.name == NULL ? NULL : "Still",
              s->plan.settings.name);
    if (s->charged) {
        show_number(out, "charge_l", "Charge at 20 °C", jl_volume_l(s->plan.charge, JL_STRENGTH_C),
                    3, "L");
        show_number(out, "charge_strength_pct", "Its strength at 20 °C",
                    jl_spirit_strength_pct(s->plan.charge), 2, "% vol");
        double volume_l = jl_volume_l(s->plan.charge, JL_STRENGTH_C);
        double strength_pct = jl_spirit_strength_pct(s->plan.charge);
        double u_l = digits_charged(volume_l, strength_pct, s->of.strength_u_pct);
        show_number(out, "charge_pure_alcohol_l", "Pure alcohol in it",
                    jl_pure_alcohol_l(s->plan.charge), EXACT + digits_left(u_l, 3), "L");
        show_expected(out, s);
    } else
        show_note(out, "Without --charge there is no forecast to compare with, and what is "
                       "recovered cannot be computed.");
    suggest_charged(out, s);
    suggest_record(out, s);
    caution_running(out, true);
    show_on_disk(out, "the new log is in %s", s->path);
    return show_close(out, EXIT_DONE);
}

static int begin(const start *s) {
    size_t count;
    jl_fault fault;
    jl_trouble trouble;
    jl_setting_rows rows;
    jl_learnt_rows *learnt = need(calloc(1, sizeof *learnt));
    jl_settings_rows(&s->plan.settings.all, JL_IN_RUN, &rows);
    if (s->plan.settings.learnt.count > 0) jl_learnt_write(&s->plan.settings.learnt, learnt);
    jl_fact_entry *facts = gather(s, &rows, learnt, &count);
    jl_log_units with = s->proof ? JL_LOG_PROOF_F : JL_LOG_PCT_C;
    jl_status status = jl_run_create(s->path, facts, count, with, &fault, &trouble);
    free(facts);
    free(learnt);
    if (status != JL_OK) return fail_write(s->path, status, trouble, &fault, "started");
    return answer(s);
}

typedef struct start_words {
    char *charge, *from, *title, *when;
    int proof, json;
    setting_options with;
} start_words;

static bool has_still(const setting_options *o) {
    bool any = o->still != NULL || o->still_name != NULL;
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        any = any || ((jl_keys[id].where & JL_IN_STILL) != 0 && o->words[id] != NULL);
    return any;
}

/* A log without a charge has the bench's still all the same: it was that still's run. */
static int read_settings(const start_words *w, start *s) {
    jl_settings *all = &s->plan.settings.all;
    jl_settings_begin(all);
    int bad = settings_read(&w->with, JL_IN_INSTRUMENTS, all);
    s->instrument = jl_settings_to_alcoholometer(all);
    s->proof = w->proof != 0 || jl_setting_value(all, JL_KEY_PROOF) == 1;
    units_by((units){s->proof, s->proof}, UNITS_OF_COMMAND);
    return bad == 0 ? still_settings_add(&w->with, 0, &s->plan.settings) : bad;
}

static int run_start(start_words *w, const args *a, start *s) {
    jl_time started = clock_now();
    if (a->count != 1)
        return fail_count(
            a, 1,
            "one file to be made, as RUN.csv; its charge is --charge 24L@8%, a wash's "
            "volume --wash 60L");
    s->path = a->words[0];
    s->with = &w->with;
    s->title = w->title;
    s->json = w->json != 0;
    w->with.log = s->path;
    w->with.bench_later = args_later(a, &w->with.bench, &w->with.still);
    int bad = read_settings(w, s);
    if (bad == 0 && w->when != NULL) bad = clock_read("--time", w->when, &started);
    if (bad == 0) bad = read_charge_words(w->charge, w->from, w->with.bench, s);
    if (bad == 0 && !s->charged && has_still(&w->with))
        bad = refuse("the still's options serve the forecast, which needs --charge");
    if (bad == 0 && s->proof && !isnan(s->instrument.calibrated_c) &&
        !jl_is_proof_c(s->instrument.calibrated_c))
        bad = refuse("--proof: a proof instrument is calibrated at 60 °F; expected no "
                     "--alcoholometer-scale, or 60F");
    if (bad == 0) planned_take(&s->plan, &w->with, &s->of);
    if (bad == 0 && s->charged) bad = forecast(s);
    if (bad != 0) return bad;
    clock_write(started, s->started);
    return begin(s);
}

int command_start(int argc, const char **argv) {
    if (is_wash_start(argc, argv)) return start_wash(argc, argv);
    start_words w = {0};
    const struct poptOption table[] = {
        OPTION("charge", &w.charge, "AMOUNT",
               "what goes into the boiler: 24L@8.6%, house.csv:low-wines:24L"),
        OPTION("charge-from", &w.from, "FILE", "the charge from a file that 'charge' wrote"),
        OPTION("title", &w.title, "TEXT", "a name for the run"),
        OPTION("time", &w.when, "TIME", "when it begins (now)"),
        FLAG("proof", &w.proof, "columns for readings in US proof and temperatures in °F"),
        BENCH_OPTION(w.with),
        STILL_OPTIONS(w.with),
        INSTRUMENT_OPTIONS(w.with),
        JSON_LAST(&w.json),
    };
    args a;
    start s = {0};
    if (args_read(&a, argc, argv, table, "RUN.csv --charge AMOUNT",
                  "A new run log with the forecast to compare with; 'record' writes jars into it.\n"
                  "A wash's log begins with --wash VOLUME: start WASH.csv --wash 60L."))
        a.exit_status = run_start(&w, &a, &s);
    jl_forecast_jars_free(&s.expected);
    part_free(&s.of);
    return args_close(&a);
}
