/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/running.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- counting ---- */

void running_add(running *run, past_jar jar) {
    jar.before_l = run->jars == 0 ? 0 : jl_volume_l(run->total, JL_STRENGTH_C);
    run->total = run->jars == 0 ? jar.spirit : jl_blend(run->total, jar.spirit);
    run->jars++;
    jar.until_l = jl_volume_l(run->total, JL_STRENGTH_C);
    jar.pure_until_l = jl_pure_alcohol_l(run->total);
    if (run->kept == JARS_KEPT)
        memmove(run->last, run->last + 1, (JARS_KEPT - 1) * sizeof run->last[0]);
    else
        run->kept++;
    run->last[run->kept - 1] = jar;
}

const past_jar *running_newest(const running *run) {
    return run->kept == 0 ? NULL : &run->last[run->kept - 1];
}

const past_jar *running_before(const running *run, int64_t number) {
    for (size_t i = 1; i < run->kept; i++)
        if (run->last[i].number == number) return &run->last[i - 1];
    return NULL;
}

double minutes_between(const past_jar *before, const past_jar *jar) {
    if (before == NULL || !before->timed || !jar->timed) return NAN;
    double seconds = (double)(jar->time.unix_s - before->time.unix_s);
    return seconds > 0 ? seconds / 60 : NAN;
}

double rate_ml_min(const past_jar *before, const past_jar *jar) {
    return 1000 * jar->measured_l / minutes_between(before, jar);
}

/* ---- the forecast ---- */

/* Pure alcohol that the forecast has collected when so much has run: linear within a jar. */
static double expected_pure_l(const running *run, double until_l) {
    double from_l = 0, pure_l = 0;
    for (size_t i = 0; i < run->expected; i++) {
        double to_l = run->expect[i][0];
        double part_l = fmin(until_l, to_l) - from_l;
        if (part_l <= 0) break;
        pure_l += part_l * run->expect[i][1] / 100;
        from_l = to_l;
    }
    return pure_l;
}

double running_expected_l(const running *run) {
    return run->expected == 0 ? NAN : run->expect[run->expected - 1][0];
}

double running_expected_pure_l(const running *run) {
    return run->expected == 0 ? NAN : expected_pure_l(run, INFINITY);
}

double running_expected_pct(const running *run, double from_l, double to_l) {
    double end_l = running_expected_l(run);
    if (!(to_l > from_l) || !(to_l <= end_l)) return NAN;
    return 100 * (expected_pure_l(run, to_l) - expected_pure_l(run, from_l)) / (to_l - from_l);
}

/* ---- one jar ---- */

static int fraction_of_reading(const jl_alcoholometer *instrument, const jl_entry *e, double *p) {
    char reading[48], temp[32];
    jl_status status = jl_reading_to_mass_fraction(instrument, e->reading, e->temp_c, p);
    if (status == JL_OK) return EXIT_DONE;
    bool proof = e->reading.unit == JL_UNIT_PROOF_US;
    snprintf(reading, sizeof reading, "%g%s", e->reading.value, proof ? "proof" : "%");
    snprintf(temp, sizeof temp, "%.4gC", e->temp_c);
    return fail_reading(reading, temp, instrument, e->reading, e->temp_c, status);
}

/* A log in which the two differ could not be read any more. */
static int compare_strength(const jl_entry *e, double p) {
    double stated, stated_pct;
    double pct = NAN;
    if (isnan(e->reading.value) || isnan(e->strength.value)) return EXIT_DONE;
    if (jl_strength_to_mass_fraction(e->strength, &stated) == JL_OK &&
        jl_strength_pct(p, JL_STRENGTH_C, &pct) == JL_OK &&
        jl_strength_pct(stated, JL_STRENGTH_C, &stated_pct) == JL_OK &&
        fabs(pct - stated_pct) <= 0.2)
        return EXIT_DONE;
    return fail(EXIT_USAGE,
                "the strength %g contradicts the reading, which comes to %.2f %% vol at "
                "20 °C; expected them within 0.2, or only one of them",
                e->strength.value, pct);
}

int jar_of_entry(const jl_alcoholometer *instrument, const jl_entry *e, past_jar *jar) {
    double p;
    double temp_c =
        isnan(e->temp_c) ? JL_STRENGTH_C : e->temp_c + instrument->thermometer_correction_c;
    int bad = EXIT_DONE;
    if (!isnan(e->reading.value))
        bad = fraction_of_reading(instrument, e, &p);
    else if (jl_strength_to_mass_fraction(e->strength, &p) != JL_OK)
        bad = fail(EXIT_USAGE, "the strength: %s; expected 0 to 100 %% vol or 0 to 200 proof",
                   jl_status_text(JL_RANGE));
    if (bad == EXIT_DONE) bad = compare_strength(e, p);
    if (bad != EXIT_DONE) return bad;
    jl_status status = jl_spirit_from_volume(e->volume_l, p, temp_c, &jar->spirit);
    if (status != JL_OK)
        return fail(EXIT_USAGE,
                    "%g l at %g °C: %s; expected a volume above 0, at -20 to 40 °C (-4 to 104 °F)",
                    e->volume_l, temp_c, jl_status_text(status));
    jar->measured_l = e->volume_l;
    jar->strength_pct = jl_spirit_strength_pct(jar->spirit);
    jar->reading = e->reading;
    jar->stated = e->strength;
    jar->temp_c = e->temp_c;
    jar->head_c = e->head_c;
    jar->boiler_c = e->boiler_c;
    return EXIT_DONE;
}
