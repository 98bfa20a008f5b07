/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/write.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/clock.h"
#include "run/run.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- what an entry is ---- */

static int fail_read(const jl_alcoholometer *instrument, const jl_entry *e, jl_status status) {
    char reading[48], temp[32];
    bool proof = e->reading.unit == JL_UNIT_PROOF_US;
    snprintf(reading, sizeof reading, "%g%s", e->reading.value, proof ? "proof" : "%");
    snprintf(temp, sizeof temp, "%.4gC", e->temp_c);
    return fail_reading(reading, temp, instrument, e->reading, e->temp_c, status);
}

/* A log in which the two differ could not be read any more. */
static int fail_strength(const jl_alcoholometer *instrument, const jl_entry *e) {
    double p, pct = NAN;
    if (jl_reading_to_mass_fraction(instrument, e->reading, e->temp_c, &p) == JL_OK)
        jl_strength_pct(p, JL_STRENGTH_C, &pct);
    return fail(EXIT_USAGE,
                "the strength %g contradicts the reading, which comes to %.2f %% vol at "
                "20 °C; expected them within 0.2, or only one of them",
                e->strength.value, pct);
}

static int fail_volume(const jl_alcoholometer *instrument, const jl_entry *e) {
    double temp_c =
        isnan(e->temp_c) ? JL_STRENGTH_C : e->temp_c + instrument->thermometer_correction_c;
    return fail(EXIT_USAGE,
                "%g L at %g °C: %s; expected a volume above 0, at -20 to 40 °C (-4 to 104 °F)",
                e->volume_l, temp_c, jl_status_text(JL_RANGE));
}

/* The figure that is at fault, by what the library says of the entry alone. */
static int fail_entry(const jl_run *run, const jl_entry *e, jl_status status) {
    double p;
    jl_alcoholometer instrument = jl_run_instrument(run);
    jl_status read = JL_OK;
    if (!isnan(e->reading.value))
        read = jl_reading_to_mass_fraction(&instrument, e->reading, e->temp_c, &p);
    else if (jl_strength_to_mass_fraction(e->strength, &p) != JL_OK)
        return fail(EXIT_USAGE, "the strength: %s; expected 0 to 100 %% vol or 0 to 200 proof",
                    jl_status_text(JL_RANGE));
    if (read != JL_OK) return fail_read(&instrument, e, read);
    return status == JL_CONFLICT ? fail_strength(&instrument, e) : fail_volume(&instrument, e);
}

/* The new figures, the old ones where none are given. */
static jl_entry whole_entry(const jl_entry *e, const jl_jar *old) {
    jl_entry whole = *e;
    if (isnan(whole.volume_l)) whole.volume_l = old->volume_l;
    if (isnan(whole.temp_c)) whole.temp_c = old->temp_c;
    if (isnan(whole.reading.value)) whole.reading = old->reading;
    if (isnan(whole.strength.value)) whole.strength = old->strength;
    return whole;
}

int jar_of_entry(const jl_run *run, uint32_t number, const jl_entry *entry, jl_jar *jar) {
    jl_status status = jl_run_jar_of_entry(run, number, entry, jar, NULL);
    if (status == JL_OK) return EXIT_DONE;
    const jl_jar *old = number > 0 ? jl_run_jar_by_number(run, number) : NULL;
    jl_entry whole = old == NULL ? *entry : whole_entry(entry, old);
    if (!isnan(whole.reading.value) && isnan(whole.temp_c))
        return fail(EXIT_USAGE, "a reading needs the temperature it was taken at, as 24C");
    return fail_entry(run, &whole, status);
}

/* ---- the log ---- */

int open_log(const char *path, jl_run **run) {
    jl_fault fault;
    jl_trouble trouble;
    if (strcmp(path, "-") == 0)
        return fail(EXIT_USAGE, "'-': a log that is written must be a file, as RUN.csv");
    jl_status status = jl_run_open(path, JL_WAIT_S, run, &fault, &trouble);
    if (status == JL_OK) return EXIT_DONE;
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

int write_jar(const char *path, const jl_entry *entry, jl_run **run) {
    jl_jar jar = {.size = sizeof jar};
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    bad = jar_of_entry(*run, 0, entry, &jar);
    if (bad == EXIT_DONE) status = jl_run_add_jar(*run, entry, &fault);
    return close_log(path, run, bad, status, &fault);
}

int write_corrected(const char *path, uint32_t number, const jl_entry *entry, jl_run **run) {
    jl_jar jar = {.size = sizeof jar};
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    if (jl_run_jar_by_number(*run, number) == NULL)
        bad = fail(EXIT_USAGE, "%s has no jar %" PRIu32 " that counts", path, number);
    if (bad == EXIT_DONE) bad = jar_of_entry(*run, number, entry, &jar);
    if (bad == EXIT_DONE) status = jl_run_correct_jar(*run, number, entry, &fault);
    return close_log(path, run, bad, status, &fault);
}

int write_undone(const char *path, uint32_t known, jl_run **run, uint32_t *number) {
    char now[JL_TIME_BYTES];
    size_t count;
    jl_fault fault;
    jl_status status = JL_OK;
    int bad = open_log(path, run);
    if (bad != EXIT_DONE) return bad;
    const jl_jar *jars = jl_run_jars(*run, &count);
    clock_write(clock_now(), now);
    if (count == 0)
        bad = fail(EXIT_NO, "%s has no jar to take back", path);
    else if (known != 0 && jars[count - 1].number != known)
        bad = fail(EXIT_BUSY, "jar %" PRIu32 " was recorded meanwhile; nothing was undone",
                   jars[count - 1].number);
    else {
        *number = jars[count - 1].number;
        status = jl_run_undo(*run, *number, now, &fault);
    }
    return close_log(path, run, bad, status, &fault);
}

/* What cannot be is found before it is written. An empty boiler has any strength that can be. */
static int check_left(const jl_run *run, const jl_left *left) {
    jl_jar ignored = {.size = sizeof ignored};
    const jl_entry as_jar = {.size = sizeof as_jar,
                             .volume_l = left->volume_l > 0 ? left->volume_l : 1,
                             .reading = left->reading,
                             .strength = left->strength,
                             .temp_c = left->temp_c,
                             .head_c = NAN,
                             .boiler_c = NAN};
    return jar_of_entry(run, 0, &as_jar, &ignored);
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
