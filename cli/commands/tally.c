/* tally: what a run gave, jar by jar and by fraction, and what became of its alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/assume.h"
#include "answer/log_notes.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "commands/tally_uncertainty.h"
#include "input/logfile.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One log on its way through. */
typedef struct count {
    jl_tally tally;
    jl_recovery recovery;
    jl_alcoholometer instrument;
    bool pct, proof; /* scales that were read */
    jl_spirit running;
    bool started;
    int64_t started_s;
    odd_jars odd;
} count;

static const column JAR_COLUMNS[] = {
    {"jar", "jar", "", 4, 0, false},
    {NULL, "reading", "", 10, 0, false},
    {"reading_pct", NULL, "", 0, 0, false},
    {"reading_proof", NULL, "", 0, 0, false},
    {"temp_c", "temp.", "°C", 5, 1, false},
    {"strength_pct", "strength", "% vol", 8, 2, false},
    {"volume_l", "volume", "l", 7, 3, false},
    {"pure_alcohol_l", "pure", "l", 7, 3, false},
    {"cumulative_pure_l", "running", "l", 7, 3, false},
    {"cumulative_l", NULL, "", 0, 0, false},
    {"cumulative_pct", NULL, "", 0, 0, false},
    {"head_c", "head", "°C", 5, 1, false},
    {"boiler_c", NULL, "", 0, 0, false},
    {"elapsed_s", NULL, "", 0, 0, false},
    {"fraction", "fraction", "", 9, 0, true},
    {"note", NULL, "", 0, 0, true},
};

static void write_reading(const jl_jar *jar, char *text, size_t size) {
    char number[32];
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    if (!jar->has_reading ||
        jl_decimal_write(jar->reading.value, 1, number, sizeof number) != JL_OK)
        snprintf(text, size, "-");
    else
        snprintf(text, size, "%s %s", number, proof ? "proof" : "%");
}

static void show_jar(show *s, const count *c, const jl_jar *jar) {
    char reading[48];
    bool proof = jar->has_reading && jar->reading.unit == JL_UNIT_PROOF_US;
    write_reading(jar, reading, sizeof reading);
    show_cell(s, jar->number);
    show_cell_text(s, reading);
    show_cell(s, jar->has_reading && !proof ? jar->reading.value : NAN);
    show_cell(s, proof ? jar->reading.value : NAN);
    show_cell(s, jar->temp_c);
    show_cell(s, jl_spirit_strength_pct(jar->spirit));
    show_cell(s, jl_volume_l(jar->spirit, JL_STRENGTH_C));
    show_cell(s, jl_pure_alcohol_l(jar->spirit));
    show_cell(s, jl_pure_alcohol_l(c->running));
    show_cell(s, jl_volume_l(c->running, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(c->running));
    show_cell(s, jar->head_c);
    show_cell(s, jar->boiler_c);
    show_cell(s, c->started && jar->has_time ? (double)(jar->time.unix_s - c->started_s) : NAN);
    show_cell_text(s, jar->fraction == JL_UNDECIDED ? NULL : jl_fraction_name(jar->fraction));
    show_cell_text(s, jar->note_length > 0 ? jar->note : NULL);
}

static void show_facts(show *s, const jl_facts *facts) {
    const char *title = jl_facts_text(facts, "title");
    const char *started = jl_facts_text(facts, "started");
    if (title != NULL) show_text(s, "title", "Run", title);
    if (started != NULL) show_text(s, "started", "Started", started);
}

/* Infinite where none is stated yet. */
static double charge_of(const jl_facts *facts) {
    const jl_fact_key *key = &jl_keys[JL_KEY_CHARGE].fact;
    jl_quantity charge;
    return jl_facts_quantity(facts, key, &charge, NULL) == JL_OK ? charge.value : INFINITY;
}

/* Reads a log to its end. s: where its jars are shown, or NULL. Returns the exit status. */
static int count_log(logfile *f, count *c, tally_uncertainty *unsure, show *s) {
    jl_jar jar;
    bool more = true;
    jl_time started;
    jl_fault fault = {0};
    *c = (count){.instrument = jl_log_instrument(f->log)};
    if (jl_facts_time(jl_log_facts(f->log), "started", &started, NULL) == JL_OK) {
        c->started = true;
        c->started_s = started.unix_s;
    }
    double charge_l = charge_of(jl_log_facts(f->log));
    for (;;) {
        int bad = logfile_next(f, &jar, &more);
        if (bad != 0) return bad;
        if (!more || (s != NULL && show_stuck(s))) break;
        jl_tally_add(&c->tally, &jar);
        odd_jars_see(&c->odd, &jar, charge_l);
        tally_uncertainty_jar(unsure, &jar, &c->instrument);
        if (jar.has_reading) *(jar.reading.unit == JL_UNIT_PROOF_US ? &c->proof : &c->pct) = true;
        if (s == NULL) continue;
        c->running = jl_blend(c->running, jar.spirit);
        show_jar(s, c, &jar);
    }
    jl_spirit collected = jl_tally_sum(&c->tally, JL_OF_ALL).spirit;
    if (jl_recovery_of(jl_log_facts(f->log), &c->instrument, collected, &c->recovery, &fault) !=
        JL_OK)
        return fail_fault(f->name, &fault);
    tally_uncertainty_log(unsure, &c->recovery);
    return 0;
}

/* ---- Totals ---- */

/* A fraction's jars, as show asks for them. */
typedef struct jars_of {
    const jl_log *log;
    jl_fraction fraction;
} jars_of;

static uint32_t next_jar(const void *with, uint32_t after) {
    const jars_of *j = with;
    return j->log == NULL ? 0 : jl_log_number(j->log, j->fraction, after);
}

static void show_total_row(show *s, const jl_total *t, double all_pure_l) {
    double pure_l = jl_pure_alcohol_l(t->spirit);
    show_cell(s, jl_volume_l(t->spirit, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(t->spirit));
    show_cell(s, pure_l);
    show_cell(s, 100 * pure_l / all_pure_l);
}

/* log: NULL when there are several, whose jar numbers would mean nothing. */
static void show_fractions(show *s, const jl_tally *tally, const jl_log *log) {
    static const jl_fraction ORDER[] = {JL_FORESHOTS, JL_HEADS, JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    const column columns[] = {
        {"fraction", "fraction", "", 10, 0, true},
        {"jars", log == NULL ? NULL : "jars", "", 18, 0, true},
        {"jars_count", log == NULL ? "jars" : NULL, "", 6, 0, false},
        {"volume_l", "volume", "l, 20 °C", 9, 3, false},
        {"strength_pct", "strength", "% vol", 8, 2, false},
        {"pure_alcohol_l", "pure", "l", 9, 4, false},
        {"pure_alcohol_pct", "of all", "%", 6, 1, false},
    };
    double all_pure_l = jl_pure_alcohol_l(jl_tally_sum(tally, JL_OF_ALL).spirit);
    show_table(s, "fractions", columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < sizeof ORDER / sizeof ORDER[0]; i++) {
        const jl_total *t = &tally->of[ORDER[i]];
        if (t->jars == 0) continue;
        show_cell_text(s, jl_fraction_name(ORDER[i]));
        show_cell_numbers(s, next_jar, &(jars_of){log, ORDER[i]});
        show_cell(s, (double)t->jars);
        show_total_row(s, t, all_pure_l);
    }
    show_table_end(s);
}

static void show_sum(show *s, const char *key, const char *heading, const jl_tally *tally,
                     unsigned fractions) {
    jl_total t = jl_tally_sum(tally, fractions);
    if (t.jars == 0) return;
    show_group(s, key, heading);
    show_number(s, "jars", NULL, (double)t.jars, 0, "");
    show_number(s, "volume_l", "Volume", jl_volume_l(t.spirit, JL_STRENGTH_C), 3, "l");
    show_number(s, "strength_pct", "Strength", jl_spirit_strength_pct(t.spirit), 2, "% vol");
    show_number(s, "pure_alcohol_l", "Pure alcohol", jl_pure_alcohol_l(t.spirit), 4, "l");
    show_number(s, "contraction_l", "Contraction", jl_contraction_l(t.parts_l, t.spirit), 4, "l");
    show_group_end(s);
}

static void show_part(show *s, const char *key, const char *label, bool stated, jl_spirit part) {
    if (!stated) return;
    show_group(s, key, NULL);
    show_number(s, "volume_l", NULL, jl_volume_l(part, JL_STRENGTH_C), 3, "l");
    show_number(s, "strength_pct", NULL, jl_spirit_strength_pct(part), 2, "% vol");
    show_number(s, "pure_alcohol_l", label, jl_pure_alcohol_l(part), 4, "l");
    show_group_end(s);
}

static void show_recovery(show *s, const jl_recovery *r) {
    if (r->charge_stated) {
        show_heading(s, "Pure alcohol, at 20 °C");
        show_part(s, "charge", "Charged", true, r->charge);
        show_number(s, NULL, "Collected", jl_pure_alcohol_l(r->collected), 4, "l");
        bool some = jl_mass_kg(r->left) > 0;
        show_part(s, "left", r->left_stated ? "Left in the boiler" : "Left, where measured",
                  r->left_stated || some, r->left);
    }
    const char *missing = r->left_stated ? "Missing" : "Not collected";
    bool shown = r->charge_stated;
    show_number(s, "missing_l", shown ? missing : NULL, r->missing_l, 4, "l");
    show_number(s, "recovery_pct", shown ? "Recovered" : NULL, r->recovery_pct, 1,
                "% of the charge");
    if (!shown)
        show_note(s, "The log states no charge (charge_l, charge_strength_pct): what was recovered "
                     "cannot be said.");
    else if (!r->left_stated)
        show_note(s,
                  "What stayed in the boiler was not measured%s (left_l, left_strength_pct): it is "
                  "among what was not collected.",
                  jl_mass_kg(r->left) > 0 ? " in every run" : "");
    if (r->missing_l < 0)
        show_note(s, "More pure alcohol came out than the log says went in: look at the charge's "
                     "volume and strength, and at the readings.");
}

static void show_sentences(show *s, const count *c) {
    if (c->pct) assume_log_instrument(s, &c->instrument, JL_UNIT_PCT_VOL);
    if (c->proof) assume_log_instrument(s, &c->instrument, JL_UNIT_PROOF_US);
    if (c->tally.at_20c > 0)
        show_assumption(s, "%zu %s no temperature: the volume counts as measured at 20 °C.",
                        c->tally.at_20c, c->tally.at_20c == 1 ? "jar has" : "jars have");
    if (jl_tally_sum(&c->tally, JL_OF_FEINTS).jars > 0)
        show_assumption(s, "Heads and tails are kept as feints and foreshots are not (common "
                           "practice, no source).");
}

static int tally_one(const char *path, tally_uncertainty *unsure, bool totals, bool json) {
    logfile f;
    count c;
    int bad = logfile_open(&f, path);
    if (bad != 0) return bad;
    show *s = show_open(json);
    show_text(s, "log", NULL, f.name);
    show_facts(s, jl_log_facts(f.log));
    if (!totals) show_table(s, "jars", JAR_COLUMNS, sizeof JAR_COLUMNS / sizeof JAR_COLUMNS[0]);
    bad = count_log(&f, &c, unsure, totals ? NULL : s);
    if (bad == 0 && !totals) show_table_end(s);
    if (bad == 0) {
        show_fractions(s, &c.tally, f.log);
        show_sum(s, "total", "All jars together, at 20 °C", &c.tally, JL_OF_ALL);
        show_sum(s, "kept", "Kept: heads, hearts and tails", &c.tally, JL_OF_KEPT);
        show_sum(s, "feints", "Feints for the next run: heads and tails", &c.tally, JL_OF_FEINTS);
        show_recovery(s, &c.recovery);
        bad = tally_uncertainty_show(unsure, s);
        show_sentences(s, &c);
        note_passed_over(s, f.log);
        note_odd_jars(s, &c.odd);
    } else if (!totals)
        say("no totals are shown");
    bad = bad == 0 ? show_close(s, EXIT_DONE) : show_abandon(s, bad);
    logfile_close(&f);
    return bad;
}

/* ---- Several logs ---- */

static void show_log_row(show *s, const char *name, const count *c) {
    jl_total all = jl_tally_sum(&c->tally, JL_OF_ALL);
    const jl_total *hearts = &c->tally.of[JL_HEARTS];
    const char *slash = strrchr(name, '/');
    show_cell_text(s, name);
    show_cell_text(s, slash == NULL ? name : slash + 1);
    show_cell(s, (double)all.jars);
    show_cell(s, c->recovery.charge_stated ? jl_pure_alcohol_l(c->recovery.charge) : NAN);
    show_cell(s, jl_volume_l(all.spirit, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(all.spirit));
    show_cell(s, jl_pure_alcohol_l(all.spirit));
    show_cell(s, jl_pure_alcohol_l(hearts->spirit));
    show_cell(s, c->recovery.recovery_pct);
    show_cell(s, c->recovery.missing_l);
}

static int add_log(const char *path, count *sum, tally_uncertainty *unsure, bool first, show *s) {
    logfile f;
    count c;
    int bad = logfile_open(&f, path);
    if (bad != 0) return bad;
    bad = count_log(&f, &c, unsure, NULL);
    if (bad == 0) {
        show_log_row(s, f.name, &c);
        jl_tally_join(&sum->tally, &c.tally);
        sum->recovery = first ? c.recovery : jl_recovery_join(sum->recovery, c.recovery);
    }
    logfile_close(&f);
    return bad;
}

static int tally_many(const args *a, tally_uncertainty *unsure, bool json) {
    static const column COLUMNS[] = {
        {"log", NULL, "", 0, 0, true},
        {NULL, "log", "", 18, 0, true},
        {"jars", "jars", "", 4, 0, false},
        {"charge_pure_alcohol_l", "charged", "l pure", 7, 3, false},
        {"volume_l", "volume", "l", 6, 3, false},
        {"strength_pct", "strength", "% vol", 8, 2, false},
        {"pure_alcohol_l", "pure", "l", 6, 3, false},
        {"hearts_pure_alcohol_l", "hearts", "l pure", 6, 3, false},
        {"recovery_pct", "recov.", "%", 6, 1, false},
        {"missing_l", NULL, "", 0, 0, false},
    };
    count sum = {0};
    int bad = logfiles_differ(a->rest, a->count);
    if (bad != 0) return bad;
    show *s = show_open(json);
    show_heading(s, "Volumes and strengths at 20 °C");
    show_table(s, "logs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < a->count && bad == 0; i++)
        bad = add_log(a->rest[i], &sum, unsure, i == 0, s);
    if (bad != 0) return show_abandon(s, bad);
    show_table_end(s);
    show_fractions(s, &sum.tally, NULL);
    show_sum(s, "total", "All jars together, at 20 °C", &sum.tally, JL_OF_ALL);
    show_sum(s, "feints", "Feints: heads and tails", &sum.tally, JL_OF_FEINTS);
    show_recovery(s, &sum.recovery);
    bad = tally_uncertainty_show(unsure, s);
    if (bad != 0) return show_abandon(s, bad);
    show_sentences(s, &sum);
    show_assumption(s,
                    "Each log's readings are corrected for its own instrument, as its facts say.");
    return show_close(s, EXIT_DONE);
}

/* Totals alone and what is still to come. */
static int tally_rest(const args *a, const char *file, bool json) {
    jl_instruments in;
    logged run;
    outlook o;
    if (a->count != 1) return fail(EXIT_USAGE, "--rest goes with one run log, as run.csv");
    int bad = instruments_read(file, &in);
    if (bad == 0) bad = logged_read(a->rest[0], &in, false, &run);
    if (bad != 0) return bad;
    bad = rest_forecast(&run, &in, &o);
    if (bad == 0) {
        show *s = show_open(json);
        show_text(s, "log", NULL, run.name);
        show_sum(s, "total", "All jars so far, at 20 °C", &run.tally, JL_OF_ALL);
        show_rest(s, &run, &o);
        for (int which = JL_BY_ALCOHOLOMETER; which <= JL_BY_JUG; which++)
            assume_limits(s, &in, (jl_instrument)which);
        bad = show_close(s, EXIT_DONE);
    }
    logged_free(&run);
    return bad;
}

static int answer(const args *a, tally_uncertainty *unsure, bool totals, bool json) {
    if (a->count == 0) return fail(EXIT_USAGE, "expected a run log, as run.csv, or -");
    return a->count == 1 ? tally_one(a->rest[0], unsure, totals, json)
                         : tally_many(a, unsure, json);
}

int command_tally(int argc, const char **argv) {
    int totals = 0, rest = 0, json = 0;
    char *file = NULL;
    uncertainty_options uncertainties = {0};
    uncertainty *d = NULL;
    const struct poptOption table[] = {
        FLAG("totals", &totals, "leave the jars out"),
        FLAG("rest", &rest, "of a run that goes on: what is still to come, by its jars"),
        UNCERTAINTY_OPTIONS(uncertainties),
        OPTION("instrument", &file, "FILE", "facts of the bench's instruments"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv ...",
                  "What a run gave: each jar at 20 °C, fractions, recovery; - is standard input")) {
        a.exit_status = uncertainty_open(&uncertainties, file, &d);
        tally_uncertainty *t = tally_uncertainty_open(d);
        if (a.exit_status == 0 && rest && d != NULL)
            a.exit_status = fail(EXIT_USAGE, "--rest has its own intervals; expected it without "
                                             "--uncertainty");
        if (a.exit_status == 0)
            a.exit_status =
                rest ? tally_rest(&a, file, json != 0) : answer(&a, t, totals != 0, json != 0);
        tally_uncertainty_close(t);
    }
    int exit_status = a.exit_status;
    uncertainty_close(d);
    args_close(&a);
    return exit_status;
}
