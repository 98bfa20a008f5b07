/* What a run gave: totals by fraction, and what became of the alcohol charged.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/tally.h"
#include "keys/settings.h"
#include "run/jars.h"
#include "text/quantity.h"

#include <math.h>

/* ---- totals ---- */

static jl_spirit part_of(jl_spirit s, double share) {
    return (jl_spirit){share * s.ethanol_kg, share * s.water_kg};
}

double jl_jar_left_share(const jl_jar *jar) {
    return jar->taken_l > 0 ? 1 - jar->taken_l / jar->volume_l : 1;
}

void jl_tally_add(jl_tally *tally, const jl_jar *jar) {
    jl_total *total = &tally->of[jar->fraction];
    total->jars++;
    double left = jl_jar_left_share(jar);
    total->measured_l += left * jar->volume_l;
    total->parts_l += left * jar->volume_20c_l;
    total->spirit = jl_blend(total->spirit, part_of(jar->spirit, left));
    tally->taken = jl_blend(tally->taken, part_of(jar->spirit, 1 - left));
    if (jar->at_20c) tally->at_20c++;
}

static void join_total(jl_total *into, const jl_total *other) {
    into->jars += other->jars;
    into->measured_l += other->measured_l;
    into->parts_l += other->parts_l;
    into->spirit = jl_blend(into->spirit, other->spirit);
}

void jl_tally_join(jl_tally *tally, const jl_tally *other) {
    for (int f = 0; f < JL_FRACTIONS; f++) join_total(&tally->of[f], &other->of[f]);
    tally->at_20c += other->at_20c;
    tally->taken = jl_blend(tally->taken, other->taken);
}

jl_total jl_tally_sum(const jl_tally *tally, unsigned fractions) {
    jl_total sum = {0};
    for (int f = 0; f < JL_FRACTIONS; f++)
        if ((fractions & 1u << f) != 0) join_total(&sum, &tally->of[f]);
    return sum;
}

/* ---- recovery ---- */

/* A fault of the model at the fact that it came from. */
static jl_status fault_at(const jl_facts *facts, jl_key_id id, jl_status status,
                          const char *expected, jl_fault *fault) {
    const jl_fact_key *key = &jl_keys[id].fact;
    return jl_fact_fault(jl_facts_last(facts, key->stem, key->kind), 0, status,
                         expected == NULL ? key->expected : expected, fault);
}

/* Both are in their range: what is charged has its mixture. */
static void read_charge(const jl_settings *s, jl_recovery *recovery) {
    const jl_setting *volume = &s->of[JL_KEY_CHARGE], *strength = &s->of[JL_KEY_CHARGE_STRENGTH];
    double p = NAN;
    if (!volume->has || !strength->has) return;
    jl_strength_to_mass_fraction(strength->number, &p);
    jl_spirit_from_volume(volume->number.value, p, JL_STRENGTH_C, &recovery->charge);
    recovery->charge_stated = true;
}

const char jl_left_below_water[] =
    "a reading no lower than water's: solids dissolved in the rest hide its strength. Distil a "
    "measured sample, fill what came over up to the sample's volume with water, and read that";

jl_status jl_left_reading(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                          bool *water, double *mass_fraction) {
    const double half_division_pct = 0.5; /* of an instrument of 1 % vol, the usual one */
    double half = jl_per_pct(reading.unit) * half_division_pct;
    double shown;
    *water = false;
    jl_status status = jl_reading_to_mass_fraction(instrument, reading, temp_c, mass_fraction);
    if (status != JL_NO_MIXTURE ||
        jl_reading_from_mass_fraction(instrument, 0, temp_c, reading.unit, &shown) != JL_OK ||
        reading.value < shown - half || reading.value > shown)
        return status;
    *water = true;
    *mass_fraction = 0;
    return JL_OK;
}

static jl_status left_mixture(const jl_facts *facts, const jl_alcoholometer *instrument,
                              const jl_settings *s, double *p, jl_fault *fault) {
    const jl_setting *strength = &s->of[JL_KEY_LEFT_STRENGTH];
    const jl_setting *reading = &s->of[JL_KEY_LEFT_READING];
    if (strength->has) jl_strength_to_mass_fraction(strength->number, p); /* in its range */
    if (!reading->has) return JL_OK;
    bool water;
    jl_status status = jl_left_reading(instrument, reading->number,
                                       jl_setting_value(s, JL_KEY_LEFT_TEMP), &water, p);
    if (status != JL_OK)
        return fault_at(facts, JL_KEY_LEFT_READING, status,
                        status == JL_NO_MIXTURE
                            ? jl_left_below_water
                            : "a reading that some mixture of ethanol and water shows at that "
                              "temperature, on the instrument that the facts state",
                        fault);
    if (strength->has) status = jl_strength_agrees(strength->number, *p);
    if (status == JL_OK) return JL_OK;
    return fault_at(facts, JL_KEY_LEFT_STRENGTH, status, jl_strength_agrees_expected, fault);
}

static jl_status read_left(const jl_facts *facts, const jl_alcoholometer *instrument,
                           const jl_settings *s, jl_recovery *recovery, jl_fault *fault) {
    const jl_setting *volume = &s->of[JL_KEY_LEFT], *temp = &s->of[JL_KEY_LEFT_TEMP];
    bool reading = s->of[JL_KEY_LEFT_READING].has;
    double p;
    if (reading && !temp->has)
        return fault_at(facts, JL_KEY_LEFT_READING, JL_MISSING,
                        "left_temp_c beside it: a reading needs its temperature", fault);
    if (!volume->has || !(s->of[JL_KEY_LEFT_STRENGTH].has || reading)) return JL_OK;
    jl_status status = left_mixture(facts, instrument, s, &p, fault);
    if (status != JL_OK) return status;
    recovery->left_stated = true;
    if (volume->number.value == 0) return JL_OK;
    double temp_c =
        temp->has ? temp->number.value + instrument->thermometer_correction_c : JL_STRENGTH_C;
    status = jl_spirit_from_volume(volume->number.value, p, temp_c, &recovery->left);
    if (status == JL_OK) return JL_OK;
    /* A volume that weighs nothing has no mixture at any temperature. */
    bool too_small =
        jl_spirit_from_volume(volume->number.value, p, JL_STRENGTH_C, &recovery->left) != JL_OK;
    return fault_at(facts, too_small ? JL_KEY_LEFT : JL_KEY_LEFT_TEMP, status, NULL, fault);
}

static void compare(jl_recovery *r) {
    double charged_l = jl_pure_alcohol_l(r->charge);
    double collected_l = jl_pure_alcohol_l(r->collected);
    r->recovery_pct = r->missing_l = NAN;
    if (!r->charge_stated) return;
    if (charged_l > 0) r->recovery_pct = 100 * collected_l / charged_l;
    r->missing_l = charged_l - collected_l - jl_pure_alcohol_l(r->left);
}

jl_status jl_recovery_of(const jl_facts *facts, const jl_alcoholometer *instrument,
                         jl_spirit collected, jl_recovery *recovery, jl_fault *fault) {
    jl_recovery r = {.collected = collected};
    jl_settings s;
    jl_settings_begin(&s);
    jl_status status =
        jl_settings_take(&s, facts, JL_IN_CHARGE | JL_IN_RUN_END, JL_FROM_LOG, NULL, fault);
    if (status != JL_OK) return status;
    read_charge(&s, &r);
    status = read_left(facts, instrument, &s, &r, fault);
    if (status != JL_OK) return status;
    compare(&r);
    *recovery = r;
    return JL_OK;
}

jl_recovery jl_recovery_join(jl_recovery a, jl_recovery b) {
    jl_recovery sum = {.charge_stated = a.charge_stated && b.charge_stated,
                       .left_stated = a.left_stated && b.left_stated,
                       .charge = jl_blend(a.charge, b.charge),
                       .left = jl_blend(a.left, b.left),
                       .collected = jl_blend(a.collected, b.collected)};
    compare(&sum);
    return sum;
}
