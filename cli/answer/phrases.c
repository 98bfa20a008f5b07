/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "run/run.h"
#include "spirit/alcoholometer.h"
#include "wash/gravity.h"

#include <math.h>
#include <string.h>

static void write_temp(char *text, size_t size, double temp_c) {
    int decimals = fabs(temp_c - round(temp_c)) < 0.005 ? 0 : 1;
    if (fabs(temp_c - JL_PROOF_C) < 0.006)
        snprintf(text, size, "60 °F (15.56 °C)");
    else
        snprintf(text, size, "%.*f °C", decimals, temp_c);
}

void phrase_at(char *text, size_t size, const char *what, double temp_c) {
    char temp[24];
    write_temp(temp, sizeof temp, temp_c);
    snprintf(text, size, "%s at %s", what, temp);
}

short_text moment_in_words(jl_time time, bool clock) {
    short_text t = {"-"};
    char moment[JL_TIME_BYTES];
    if (jl_time_write(time, moment, sizeof moment) != JL_OK) return t;
    snprintf(t.text, sizeof t.text, "%.10s%.*s", moment, clock ? 6 : 0, moment + 10);
    if (clock) t.text[10] = ' ';
    return t;
}

short_text rule_in_words(const jl_cut *cut) {
    short_text t;
    const units u = units_seen();
    if (cut->by == JL_CUT_SPOUT_PCT && u.proof)
        snprintf(t.text, sizeof t.text, "%.*s", (int)sizeof t.text - 1,
                 figure_short(cut->at, EXACT + 1, PCT_VOL).text);
    else if ((cut->by == JL_CUT_HEAD_C || cut->by == JL_CUT_BOILER_C) && u.fahrenheit)
        snprintf(t.text, sizeof t.text, "%.4gF %s", value_seen(cut->at, CELSIUS),
                 cut->by == JL_CUT_HEAD_C ? "head" : "boiler");
    else
        jl_cut_write(cut, t.text);
    return t;
}

/* By key; NULL: from no file. */
static const char *sources[JL_KEYS];

void phrase_sources(const jl_settings *instruments) {
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_setting *one = &instruments->of[id];
        sources[id] = one->has && one->origin == JL_FROM_FILE ? one->source : NULL;
    }
}

/* " (bench.csv)", or what stands there otherwise. */
static const char *source_text(jl_key_id id, const char *otherwise, char *text, size_t size) {
    if (sources[id] == NULL) return otherwise;
    snprintf(text, size, " (%s)", sources[id]);
    return text;
}

static void assume(show *s, const jl_alcoholometer *instrument, jl_unit scale, const char *by) {
    char temp[24], from[300];
    bool stated = !isnan(instrument->calibrated_c);
    write_temp(temp, sizeof temp, jl_calibrated_c(instrument, scale));
    if (stated)
        show_assumption(s, "Alcoholometer calibrated at %s%s.", temp,
                        source_text(JL_KEY_CALIBRATED, "", from, sizeof from));
    else if (scale == JL_UNIT_PROOF_US)
        show_assumption(
            s, "Alcoholometer calibrated at %s, as US proof instruments are (27 CFR 30).", temp);
    else
        show_assumption(s, "Alcoholometer calibrated at %s (default, OIML R 44; %s changes it).",
                        temp, by);
    const char *glass = instrument->glass_per_c == JL_ALCOHOLOMETER.glass_per_c
                            ? " (soda-lime glass, OIML R 22 and R 44)"
                            : "";
    show_assumption(s, "Its glass grows by %ge-6 per °C%s.", instrument->glass_per_c * 1e6,
                    source_text(JL_KEY_GLASS, glass, from, sizeof from));
    if (instrument->reading_correction_pct != 0)
        show_assumption(s, "%+g %s added to the reading%s.",
                        difference_seen(instrument->reading_correction_pct, PCT_VOL),
                        unit_seen(PCT_VOL),
                        source_text(JL_KEY_READING_CORRECTION, "", from, sizeof from));
    if (instrument->thermometer_correction_c != 0)
        show_assumption(s, "%+g %s added to the temperature%s.",
                        difference_seen(instrument->thermometer_correction_c, CELSIUS),
                        unit_seen(CELSIUS),
                        source_text(JL_KEY_THERMOMETER_CORRECTION, "", from, sizeof from));
}

void assume_instrument(show *s, const jl_alcoholometer *instrument, jl_unit scale) {
    assume(s, instrument, scale, "--alcoholometer-scale");
}

void assume_log_instrument(show *s, const jl_alcoholometer *instrument, jl_unit scale) {
    assume(s, instrument, scale, "the log's fact calibrated_c");
}

void assume_log_scales(show *s, const jl_run *run) {
    const jl_alcoholometer instrument = jl_run_instrument(run);
    const jl_jar *jar;
    bool pct = false, proof = false;
    for (size_t i = 0; (jar = jl_run_jar(run, i)) != NULL; i++)
        if (jar->has_reading) *(jar->reading.unit == JL_UNIT_PROOF_US ? &proof : &pct) = true;
    if (pct) assume_log_instrument(s, &instrument, JL_UNIT_PCT_VOL);
    if (proof) assume_log_instrument(s, &instrument, JL_UNIT_PROOF_US);
}

/* Burning range: NIOSH. Two thirds full: laboratory practice. Methanol: reference/README.md on
 * predicted volatilities. */
void caution_running(show *s, bool all) {
    void (*caution)(show *, const char *, ...) = all ? show_caution : show_standing_caution;
    show_caution(s, "Fire: no flame or spark near, and air the room. Ethanol vapour burns between "
                    "3.3 and 19 %% in air and is heavier than air.");
    caution(s, "Never close a boiler, and never leave a running still alone. The vapour's way to "
               "the open receiver stays free.");
    caution(s, "Fill to the mark at the most; about two thirds where it foams. A hot boiler is "
               "heavy and scalds: let it cool.");
    caution(s, "No figure here shows that a spirit may be drunk; setting the first runnings aside "
               "does not remove methanol.");
    caution(s, "Most countries require a licence to distil: ask your own authority.");
}

const char *reading_unit(jl_unit scale) {
    return scale == JL_UNIT_PROOF_US ? "proof" : "%";
}

jl_unit unit_of_reading(const char *text) {
    return strcasestr(text, "proof") != NULL ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL;
}

void note_on_reading(show *s, double strength_pct, double temp_c) {
    if (strength_pct < 25)
        show_note(s, "A wash, or anything with sugar or other solids in it, cannot be read with an "
                     "alcoholometer: 100 mg of solids in 100 mL hide 0.4 proof (27 CFR 30.32).");
    if (temp_c < 0)
        show_warning(s, "Below 0 °C a weak spirit may hold ice; a reading is then wrong.");
}

/* What the instrument would show in water and in ethanol alone, as far as that is on its scale. */
static int fail_no_mixture(const char *reading_text, const char *temp_text,
                           const jl_alcoholometer *instrument, jl_unit scale, double temp_c) {
    double least = 0, most = scale == JL_UNIT_PROOF_US ? 200 : 100;
    double shown;
    if (jl_reading_from_mass_fraction(instrument, 0, temp_c, scale, &shown) == JL_OK) least = shown;
    if (jl_reading_from_mass_fraction(instrument, 1, temp_c, scale, &shown) == JL_OK) most = shown;
    return refuse(
        "the reading '%s' at %s: %s; there water alone shows %.2f and ethanol alone %.2f %s",
        reading_text, temp_text, jl_status_text(JL_NO_MIXTURE), least, most, reading_unit(scale));
}

int fail_reading(const char *reading_text, const char *temp_text,
                 const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                 jl_status status) {
    double true_c = temp_c + instrument->thermometer_correction_c;
    if (status == JL_NO_MIXTURE)
        return fail_no_mixture(reading_text, temp_text, instrument, reading.unit, temp_c);
    if (status == JL_RANGE && !(true_c >= JL_TEMP_MIN_C && true_c <= JL_TEMP_MAX_C))
        return fail_argument("the temperature", temp_text, status,
                             "-20 to 40 °C (-4 to 104 °F), where OIML R 22 holds");
    if (status == JL_UNIT)
        return fail_argument(
            "the reading", reading_text, status,
            "a reading in % vol or proof: an alcoholometer has no % mas scale here");
    if (status == JL_CONFLICT)
        return fail_argument("the reading", reading_text, status, jl_proof_expected);
    return fail_argument(
        "the reading", reading_text, status,
        "a reading on the scale, 0 to 100 % or 0 to 200 proof, also after its correction");
}

int fail_gravity(const char *name, const char *text, jl_status status) {
    char meant[JL_GRAVITY_UNITS_BYTES];
    if (jl_gravity_units_meant(text, meant))
        return refuse("%s '%s': expected its unit: %s", name, text, meant);
    return fail_argument(name, text, status, JL_GRAVITY_FORMS);
}

const char *phrase_solids(void) {
    return "--solids: 0.1 g in 100 mL hides 0.4 proof only from 80 to 100 proof and up to 0.6 g in "
           "100 mL (27 CFR 30.32); elsewhere distil a sample, bring it back to its volume with "
           "water and read that (book: --true-strength)";
}

int fail_solids(void) {
    return fail(EXIT_NO, "%s", phrase_solids());
}

const char *phrase_gauged(double gain, double standard) {
    return fabs(gain) > JL_COVERAGE_K * standard ? "more than the instruments explain"
                                                 : "within the instruments' uncertainty";
}

bool write_spout_note(const jl_run *run, const jl_instruments *by, const char *begin, char *text,
                      size_t size) {
    size_t count, spouts = 0;
    double most_u_pct = 0;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++) {
        if (!jars[i].from_spout) continue;
        spouts++;
        most_u_pct = fmax(most_u_pct, jl_jar_spout_u_pct(&jars[i], by));
    }
    snprintf(text, size,
             "%s%zu %s read at the spout alone: the mean follows from the readings before and "
             "after, within ±%.1f %s (k = 2).",
             begin, spouts, spouts == 1 ? "jar was" : "jars were",
             difference_seen(JL_COVERAGE_K * most_u_pct, PCT_VOL), unit_seen(PCT_VOL));
    return spouts > 0;
}
