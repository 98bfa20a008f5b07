/* What a run gave: totals by fraction, and what became of the alcohol charged.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/keys.h"
#include "run/jars.h"

#include <math.h>

/* ---- totals ---- */

void jl_tally_add(jl_tally *tally, const jl_jar *jar) {
    jl_total *total = &tally->of[jar->fraction];
    total->jars++;
    total->measured_l += jar->volume_l;
    total->parts_l += jar->volume_20c_l;
    total->spirit = jl_blend(total->spirit, jar->spirit);
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
}

jl_total jl_tally_sum(const jl_tally *tally, unsigned fractions) {
    jl_total sum = {0};
    for (int f = 0; f < JL_FRACTIONS; f++)
        if ((fractions & 1u << f) != 0) join_total(&sum, &tally->of[f]);
    return sum;
}

/* ---- recovery ---- */

#define FACT(id) (&jl_keys[JL_KEY_##id].fact)

/* A fault of the model at the fact that it came from. */
static jl_status fault_at(const jl_facts *facts, const jl_fact_key *key, jl_status status,
                          const char *expected, jl_fault *fault) {
    return jl_fact_fault(jl_facts_last(facts, key->stem, key->kind), 0, status, expected, fault);
}

static jl_status read_charge(const jl_facts *facts, jl_recovery *recovery, jl_fault *fault) {
    bool has_volume, has_strength;
    jl_quantity volume, strength;
    jl_status status = jl_facts_optional(facts, FACT(CHARGE), &has_volume, &volume, fault);
    if (status != JL_OK) return status;
    status = jl_facts_optional(facts, FACT(CHARGE_STRENGTH), &has_strength, &strength, fault);
    if (status != JL_OK || !has_volume || !has_strength) return status;
    double p;
    status = jl_strength_to_mass_fraction(strength, &p);
    if (status != JL_OK)
        return fault_at(facts, FACT(CHARGE_STRENGTH), status, FACT(CHARGE_STRENGTH)->expected,
                        fault);
    status = jl_spirit_from_volume(volume.value, p, JL_STRENGTH_C, &recovery->charge);
    if (status != JL_OK)
        return fault_at(facts, FACT(CHARGE), status, FACT(CHARGE)->expected, fault);
    recovery->charge_stated = true;
    return JL_OK;
}

/* What the facts say of the liquid in the boiler. */
typedef struct left {
    bool has_volume, has_strength, has_reading, has_temp;
    jl_quantity volume, strength, reading, temp;
} left;

static jl_status read_left_facts(const jl_facts *facts, left *l, jl_fault *fault) {
    jl_status status = jl_facts_optional(facts, FACT(LEFT), &l->has_volume, &l->volume, fault);
    if (status == JL_OK)
        status =
            jl_facts_optional(facts, FACT(LEFT_STRENGTH), &l->has_strength, &l->strength, fault);
    if (status == JL_OK)
        status = jl_facts_optional(facts, FACT(LEFT_READING), &l->has_reading, &l->reading, fault);
    if (status == JL_OK)
        status = jl_facts_optional(facts, FACT(LEFT_TEMP), &l->has_temp, &l->temp, fault);
    if (status == JL_OK && l->has_reading && !l->has_temp)
        return fault_at(facts, FACT(LEFT_READING), JL_MISSING,
                        "left_temp_c beside it: a reading needs its temperature", fault);
    return status;
}

static jl_status left_mixture(const jl_facts *facts, const jl_alcoholometer *instrument,
                              const left *l, double *p, jl_fault *fault) {
    jl_status status = JL_OK;
    if (l->has_strength) status = jl_strength_to_mass_fraction(l->strength, p);
    if (status != JL_OK)
        return fault_at(facts, FACT(LEFT_STRENGTH), status, FACT(LEFT_STRENGTH)->expected, fault);
    if (!l->has_reading) return JL_OK;
    status = jl_reading_to_mass_fraction(instrument, l->reading, l->temp.value, p);
    if (status != JL_OK)
        return fault_at(facts, FACT(LEFT_READING), status,
                        "a reading that some mixture of ethanol and water shows at that "
                        "temperature, on the instrument that the facts state",
                        fault);
    if (l->has_strength) status = jl_strength_agrees(l->strength, *p);
    if (status == JL_OK) return JL_OK;
    return fault_at(facts, FACT(LEFT_STRENGTH), status, jl_strength_agrees_expected, fault);
}

static jl_status read_left(const jl_facts *facts, const jl_alcoholometer *instrument,
                           jl_recovery *recovery, jl_fault *fault) {
    left l;
    jl_status status = read_left_facts(facts, &l, fault);
    if (status != JL_OK || !l.has_volume || !(l.has_strength || l.has_reading)) return status;
    double p;
    status = left_mixture(facts, instrument, &l, &p, fault);
    if (status != JL_OK) return status;
    recovery->left_stated = true;
    if (l.volume.value == 0) return JL_OK;
    double temp_c =
        l.has_temp ? l.temp.value + instrument->thermometer_correction_c : JL_STRENGTH_C;
    status = jl_spirit_from_volume(l.volume.value, p, temp_c, &recovery->left);
    return status == JL_OK
               ? JL_OK
               : fault_at(facts, FACT(LEFT_TEMP), status, FACT(LEFT_TEMP)->expected, fault);
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
    jl_status status = read_charge(facts, &r, fault);
    if (status == JL_OK) status = read_left(facts, instrument, &r, fault);
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
