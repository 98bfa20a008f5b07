/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/write.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "input/clock.h"
#include "input/jar_words.h"
#include "input/logfile.h"
#include "input/planned.h"
#include "run/run.h"
#include "run/tally.h"
#include "still/from_settings.h"

#include <stdlib.h>
#include <string.h>

/* ---- what an entry is ---- */

static int fail_read(const jl_alcoholometer *instrument, const jl_entry *e, jl_status status) {
    char reading[48], temp[32];
    snprintf(reading, sizeof reading, "%g%s", e->reading.value, reading_unit(e->reading.unit));
    snprintf(temp, sizeof temp, "%.4gC", e->temp_c);
    return fail_reading(reading, temp, instrument, e->reading, e->temp_c, status);
}

/* A log in which the two differ could not be read any more. */
static int fail_strength(const jl_alcoholometer *instrument, const jl_entry *e) {
    double p, pct = NAN;
    if (jl_reading_to_mass_fraction(instrument, e->reading, e->temp_c, &p) == JL_OK)
        jl_strength_pct(p, JL_STRENGTH_C, &pct);
    return refuse("the strength %g contradicts the reading, which comes to %.2f %% vol at 20 °C; "
                  "expected them within 0.2, or only one of them",
                  e->strength.value, pct);
}

static int fail_volume(const jl_alcoholometer *instrument, const jl_entry *e) {
    double temp_c =
        isnan(e->temp_c) ? JL_STRENGTH_C : e->temp_c + instrument->thermometer_correction_c;
    return refuse("%g L at %g °C: %s; expected a volume above 0, at -20 to 40 °C (-4 to 104 °F)",
                  e->volume_l, temp_c, jl_status_text(JL_RANGE));
}

/* A jar's own empty weight, or that of all; NaN: none. */
static double empty_kg(const jl_run *run, const jl_entry *e) {
    return isnan(e->empty_kg) ? jl_setting_value(jl_run_settings(run), JL_KEY_EMPTY) : e->empty_kg;
}

static int fail_weight(const jl_entry *e, double empty) {
    if (isnan(empty))
        return refuse("no weight of the empty jar; expected one, as --empty 184g, or #empty_g,184 "
                      "in the log where all are alike");
    return refuse("the filled jar weighs %.7g g and the empty one %.7g g; expected the filled one "
                  "to weigh more",
                  1000 * e->weight_kg, 1000 * empty);
}

/* The figure that is at fault, by what the library says of the entry alone. */
static int fail_entry(const jl_run *run, const jl_entry *e, jl_status status) {
    double p;
    jl_alcoholometer instrument = jl_run_instrument(run);
    jl_status read = JL_OK;
    bool weighed = isnan(e->volume_l) && !isnan(e->weight_kg);
    if (weighed && !(e->weight_kg > empty_kg(run, e))) return fail_weight(e, empty_kg(run, e));
    if (!isnan(e->reading.value))
        read = jl_reading_to_mass_fraction(&instrument, e->reading, e->temp_c, &p);
    else if (jl_strength_to_mass_fraction(e->strength, &p) != JL_OK)
        return refuse("the strength: %s; expected 0 to 100 %% vol or 0 to 200 proof",
                      jl_status_text(JL_RANGE));
    if (read != JL_OK) return fail_read(&instrument, e, read);
    return status == JL_CONFLICT ? fail_strength(&instrument, e) : fail_volume(&instrument, e);
}

/* What an entry would be as a jar; name: NULL, or of the jar that it corrects. Returns the exit
 * status, or 0, as the following ones do. */
static int jar_of_entry(const jl_run *run, const char *name, const jl_entry *entry, jl_jar *jar) {
    jl_fault fault = {0};
    jl_status status = jl_run_jar_of_entry(run, name, entry, jar, &fault);
    if (status == JL_OK) return EXIT_DONE;
    if (entry->jar != NULL && strcmp(fault.cell, entry->jar) == 0)
        return fail_argument("--jar", entry->jar, status, fault.expected);
    const jl_jar *old = jl_run_jar_named(run, name);
    jl_entry whole = old == NULL ? *entry : jl_entry_over(entry, old);
    if (!isnan(whole.reading.value) && isnan(whole.temp_c))
        return refuse("a reading needs the temperature it was taken at, as 24C");
    return fail_entry(run, &whole, status);
}

/* ---- the log ---- */

int open_log(const char *path, jl_run **run) {
    jl_fault fault;
    jl_trouble trouble;
    if (strcmp(path, "-") == 0)
        return refuse("'-': a log that is written must be a file, as RUN.csv");
    jl_status status = jl_run_open(path, JL_WAIT_S, run, &fault, &trouble);
    if (status == JL_OK) {
        answer_by_log(path, *run);
        return EXIT_DONE;
    }
    if (fault.line > 0 || fault.expected != NULL) return fail_fault(path, &fault);
    return fail_write(path, status, trouble, NULL, "recorded");
}

/* Nobody waits for our answer. */
static int close_log(const char *path, jl_run **run, int bad, jl_status status,
                     const jl_fault *fault) {
    jl_run_release(*run);
    if (bad == EXIT_DONE && status != JL_OK)
        bad = fail_write(path, status, jl_run_trouble(*run), fault, "recorded");
    if (bad == EXIT_DONE) return EXIT_DONE;
    jl_run_free(*run);
    *run = NULL;
    return bad;
}

/* *name: of the jar. When a forgotten one was full nobody knows. */
static int add_jar(jl_run *run, const jl_entry *entry, char name[JL_JAR_NAME_BYTES],
                   jl_status *status, jl_fault *fault) {
    jl_jar jar = {.size = sizeof jar};
    jl_entry own = *entry;
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    int bad = jar_of_entry(run, NULL, entry, &jar);
    if (bad != EXIT_DONE) return bad;
    memcpy(name, jar.name, JL_JAR_NAME_BYTES);
    if (count > 0 && jl_jar_key_of(&jars[count - 1]) > jl_jar_key_of(&jar)) own.now = NULL;
    *status = jl_run_add_jar(run, &own, fault);
    return EXIT_DONE;
}

int write_jar(const char *path, const jl_entry *entry, jl_run **run, char name[JL_JAR_NAME_BYTES]) {
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    bad = add_jar(*run, entry, name, &status, &fault);
    return close_log(path, run, bad, status, &fault);
}

int write_corrected(const char *path, const char *name, const jl_entry *entry, jl_run **run,
                    bool *added) {
    jl_jar jar = {.size = sizeof jar};
    char own[JL_JAR_NAME_BYTES];
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    *added = jl_run_jar_named(*run, name) == NULL;
    if (*added) {
        jl_entry new = *entry;
        new.jar = name;
        if (!gives_jar(entry))
            bad = refuse("%s has no jar %s that counts; a jar that is put in there needs its "
                         "volume and reading",
                         path, name);
        if (bad == EXIT_DONE) bad = add_jar(*run, &new, own, &status, &fault);
    } else {
        bad = jar_of_entry(*run, name, entry, &jar);
        if (bad == EXIT_DONE) status = jl_run_correct_jar(*run, name, entry, &fault);
    }
    return close_log(path, run, bad, status, &fault);
}

int write_undone(const char *path, const char *wanted, jl_run **run, char name[JL_JAR_NAME_BYTES]) {
    char now[JL_TIME_BYTES];
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    const jl_jar *jar = wanted == NULL ? jl_run_last_written(*run) : jl_run_jar_named(*run, wanted);
    clock_write(clock_now(), now);
    if (jar != NULL) {
        memcpy(name, jar->name, JL_JAR_NAME_BYTES);
        status = jl_run_undo(*run, name, now, &fault);
    } else if (wanted == NULL)
        bad = fail(EXIT_NO, "%s has no jar to undo", path);
    else
        bad = refuse("%s has no jar %s that counts", path, wanted);
    return close_log(path, run, bad, status, &fault);
}

int write_fact(const char *path, const jl_fact_entry *fact, jl_run **run) {
    jl_fault fault;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    jl_status status = jl_run_add_facts(*run, fact, 1, &fault);
    return close_log(path, run, EXIT_DONE, status, &fault);
}

/* The charge as later facts, and the jars to expect of it behind them. What was known of the strength
 * before says nothing of the new one; u_pct 0: as of any reading. */
static jl_fact_entry *facts_of_charge(const jl_run *run, jl_spirit charge, double u_pct,
                                      const jl_forecast_jars *expected, size_t *count) {
    bool had = !isnan(jl_setting_value(jl_run_settings(run), JL_KEY_CHARGE_STRENGTH_U));
    jl_fact_entry *facts = need(calloc(3 + expected->count, sizeof *facts));
    size_t n = 2;
    facts[0] = (jl_fact_entry){"charge_l", {jl_volume_l(charge, JL_STRENGTH_C)}, 1, NULL};
    facts[1] = (jl_fact_entry){"charge_strength_pct", {jl_spirit_strength_pct(charge)}, 1, NULL};
    if (had || u_pct > 0) facts[n++] = (jl_fact_entry){"charge_strength_u_pct", {u_pct}, 1, NULL};
    for (size_t i = 0; i < expected->count; i++) facts[n++] = jl_expected_row(&expected->jars[i]);
    *count = n;
    return facts;
}

static int expect_anew(const jl_run *run, const char *word, const char *bench, planned *p,
                       double *u_pct, jl_forecast_jars *jars) {
    const jl_alcoholometer instrument = jl_run_instrument(run);
    given_amount given;
    int bad = given_read(word, &instrument, bench, &given);
    if (bad != EXIT_DONE) return bad;
    p->charge = given.spirit;
    *u_pct = given.part.strength_u_pct;
    given_free(&given);
    p->settings.all = *jl_run_settings(run);
    p->settings.still = jl_settings_to_still(&p->settings.all);
    p->settings.plan = jl_settings_to_plan(&p->settings.all, jl_spirit_strength_pct(p->charge));
    return planned_jars(p, jars);
}

int write_run_charge(const char *path, const char *word, const char *bench, jl_run **run) {
    jl_fault fault;
    jl_status status = JL_OK;
    planned p;
    double u_pct = 0;
    size_t count;
    jl_forecast_jars jars = {0};
    if (word[0] == '+')
        return refuse(
            "--charge '%s': a boiler that is topped up in a run boils as no charge does, and "
            "neither the expected run nor what is recovered would hold; expected the whole charge "
            "that was meant, as 23.5L@8.4%%. A top-up begins a log of its own",
            word);
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    bad = expect_anew(*run, word, bench, &p, &u_pct, &jars);
    if (bad == EXIT_DONE) {
        jl_fact_entry *facts = facts_of_charge(*run, p.charge, u_pct, &jars, &count);
        status = jl_run_add_facts(*run, facts, count, &fault);
        free(facts);
        jl_forecast_jars_free(&jars);
    }
    return close_log(path, run, bad, status, &fault);
}

/* What cannot be is found before it is written. An empty boiler has any strength that can be. */
static int check_left(const jl_run *run, const jl_left *left) {
    jl_jar ignored = {.size = sizeof ignored};
    jl_entry as_jar = JL_ENTRY;
    as_jar.volume_l = left->volume_l > 0 ? left->volume_l : 1;
    as_jar.reading = left->reading;
    as_jar.strength = left->strength;
    as_jar.temp_c = left->temp_c;
    const jl_alcoholometer instrument = jl_run_instrument(run);
    bool water = false;
    double p;
    if (!isnan(left->reading.value)) {
        jl_status status = jl_left_reading(&instrument, left->reading, left->temp_c, &water, &p);
        if (status == JL_NO_MIXTURE)
            return refuse("%g %s at %.4g °C is below water; expected %s", left->reading.value,
                          reading_unit(left->reading.unit), left->temp_c, jl_left_below_water);
    }
    if (water) {
        as_jar.reading.value = NAN;
        as_jar.strength = (jl_quantity){0, JL_UNIT_PCT_VOL};
    }
    return jar_of_entry(run, NULL, &as_jar, &ignored);
}

int write_left(const char *path, const jl_left *left, jl_run **run) {
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    bad = check_left(*run, left);
    if (bad == EXIT_DONE) status = jl_run_set_left(*run, left, &fault);
    return close_log(path, run, bad, status, &fault);
}
