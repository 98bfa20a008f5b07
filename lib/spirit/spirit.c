/* An amount of spirit: so much ethanol, so much water, by mass. Its views, mixing, and how a person
 * writes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "spirit/spirit.h"
#include "spirit/alcoholometer.h"
#include "spirit/density.h"
#include "text/quantity.h"
#include "text/status.h"

#include <math.h>
#include <string.h>

/* Less than a millionth of a millionth is nobody's amount, and ends where a double can no longer
 * hold its parts. */
static const double AMOUNT_LEAST = 1e-12, AMOUNT_MOST = 1e9;

static bool amount_ok(double amount) {
    return amount >= AMOUNT_LEAST && amount <= AMOUNT_MOST;
}

jl_spirit jl_spirit_of_mass(double mass_kg, double mass_fraction) {
    return (jl_spirit){mass_kg * mass_fraction, mass_kg * (1 - mass_fraction)};
}

/* ---- Made from ---- */

jl_status jl_strength_to_mass_fraction(jl_quantity strength, double *mass_fraction) {
    switch (strength.unit) {
    case JL_UNIT_PCT_VOL:
        return jl_mass_fraction_from_strength(strength.value, JL_STRENGTH_C, mass_fraction);
    case JL_UNIT_PROOF_US:
        return jl_mass_fraction_from_strength(strength.value / 2, JL_PROOF_C, mass_fraction);
    case JL_UNIT_PCT_MASS:
        if (!(strength.value >= 0 && strength.value <= 100)) return JL_RANGE;
        *mass_fraction = strength.value / 100;
        return JL_OK;
    default:
        return JL_UNIT;
    }
}

jl_status jl_spirit_from_volume(double volume_l, double mass_fraction, double temp_c,
                                jl_spirit *spirit) {
    double density_kg_m3;
    if (!amount_ok(volume_l)) return JL_RANGE;
    jl_status status = jl_density_kg_m3(mass_fraction, temp_c, &density_kg_m3);
    if (status == JL_OK)
        *spirit = jl_spirit_of_mass(volume_l * density_kg_m3 / 1000, mass_fraction);
    return status;
}

jl_status jl_spirit_at_20(double volume_l, double strength_pct, jl_spirit *spirit) {
    double p;
    jl_status status = jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &p);
    return status == JL_OK ? jl_spirit_from_volume(volume_l, p, JL_STRENGTH_C, spirit) : status;
}

jl_status jl_spirit_from_mass(double mass_kg, double mass_fraction, jl_spirit *spirit) {
    if (!amount_ok(mass_kg) || !jl_fraction_ok(mass_fraction)) return JL_RANGE;
    *spirit = jl_spirit_of_mass(mass_kg, mass_fraction);
    return JL_OK;
}

/* ---- Views ---- */

double jl_mass_kg(jl_spirit spirit) {
    return spirit.ethanol_kg + spirit.water_kg;
}

double jl_mass_fraction(jl_spirit spirit) {
    return spirit.ethanol_kg / jl_mass_kg(spirit);
}

double jl_pure_alcohol_l(jl_spirit spirit) {
    return spirit.ethanol_kg / JL_ETHANOL_KG_L;
}

double jl_volume_l(jl_spirit spirit, double temp_c) {
    double density_kg_m3, mass_kg = jl_mass_kg(spirit);
    if (mass_kg == 0) return 0;
    if (jl_density_kg_m3(jl_mass_fraction(spirit), temp_c, &density_kg_m3) != JL_OK) return NAN;
    return mass_kg / density_kg_m3 * 1000;
}

static double strength_at(jl_spirit spirit, double reference_c) {
    double strength_pct;
    if (jl_strength_pct(jl_mass_fraction(spirit), reference_c, &strength_pct) != JL_OK) return NAN;
    return strength_pct;
}

double jl_spirit_strength_pct(jl_spirit spirit) {
    return strength_at(spirit, JL_STRENGTH_C);
}

double jl_proof_us(jl_spirit spirit) {
    return 2 * strength_at(spirit, JL_PROOF_C);
}

double jl_strength_on(jl_unit scale, double pct) {
    double p;
    if (scale != JL_UNIT_PROOF_US) return pct;
    jl_status status = jl_strength_to_mass_fraction((jl_quantity){pct, JL_UNIT_PCT_VOL}, &p);
    return status == JL_OK ? jl_proof_us((jl_spirit){p, 1 - p}) : NAN;
}

double jl_proof_gallons_us(jl_spirit spirit) {
    return jl_volume_l(spirit, JL_PROOF_C) / JL_GALLON_US_L * jl_proof_us(spirit) / 100;
}

/* Share of a mass that a scale in air does not show: it weighs against steel of 8000 kg/m³ in air
 * of 1.2 kg/m³ (OIML D 28). */
static double buoyancy(double density_kg_m3) {
    if (!(density_kg_m3 >= 500 && density_kg_m3 <= 25000)) return NAN;
    return (1 - 1.2 / density_kg_m3) / (1 - 1.2 / 8000);
}

/* Only what a scale can show: NaN for a negative mass and for one that is not finite. */
static double on_a_scale(double kg) {
    return kg >= 0 && isfinite(kg) ? kg : NAN;
}

double jl_scale_from_mass_kg(double mass_kg, double density_kg_m3) {
    return on_a_scale(mass_kg * buoyancy(density_kg_m3));
}

double jl_mass_from_scale_kg(double scale_kg, double density_kg_m3) {
    return on_a_scale(scale_kg / buoyancy(density_kg_m3));
}

double jl_scale_kg(jl_spirit spirit, double temp_c) {
    double density_kg_m3, mass_kg = jl_mass_kg(spirit);
    if (mass_kg == 0) return 0;
    if (jl_density_kg_m3(jl_mass_fraction(spirit), temp_c, &density_kg_m3) != JL_OK) return NAN;
    return jl_scale_from_mass_kg(mass_kg, density_kg_m3);
}

jl_status jl_flash_point_c(double strength_pct, double *flash_point_c) {
    static const double at[][2] = {{10, 49}, {20, 36}, {30, 29}, {40, 26}, {50, 24},
                                   {60, 22}, {70, 21}, {80, 20}, {90, 17}, {96, 17}};
    enum { POINTS = sizeof at / sizeof at[0] };
    if (!(strength_pct >= at[0][0] && strength_pct <= at[POINTS - 1][0])) return JL_RANGE;
    int i = 1;
    while (strength_pct > at[i][0]) i++;
    double weight = (strength_pct - at[i - 1][0]) / (at[i][0] - at[i - 1][0]);
    *flash_point_c = (1 - weight) * at[i - 1][1] + weight * at[i][1];
    return JL_OK;
}

/* ---- Mixing ---- */

jl_spirit jl_blend(jl_spirit a, jl_spirit b) {
    return (jl_spirit){a.ethanol_kg + b.ethanol_kg, a.water_kg + b.water_kg};
}

jl_spirit jl_spirit_times(jl_spirit spirit, double factor) {
    return (jl_spirit){spirit.ethanol_kg * factor, spirit.water_kg * factor};
}

void jl_spirit_add(jl_spirit *sum, jl_spirit spirit, double times) {
    *sum = jl_blend(*sum, jl_spirit_times(spirit, times));
}

double jl_contraction_l(double parts_l, jl_spirit result) {
    return parts_l - jl_volume_l(result, JL_STRENGTH_C);
}

/* ---- As a person writes it ---- */

enum { PARTS_MOST = 3, PART_BYTES = 32 };

static const char FORMS[] =
    "3.2L@72% (at 20 °C), 2gal@150proof (at 60 °F), 3.2L@72.5%@24C (a reading at its temperature), "
    "3.2L@24C@72.5% (a volume at its temperature, a true strength) or 2.8kg@72% (by weight)";

/* Splits at '@'; 0 when there are too many parts or one is too long for any quantity. */
static int split(const char *text, char parts[PARTS_MOST][PART_BYTES]) {
    int count = 0;
    for (;;) {
        size_t length = strcspn(text, "@");
        if (count == PARTS_MOST || length >= PART_BYTES) return 0;
        memcpy(parts[count], text, length);
        parts[count++][length] = '\0';
        if (text[length] == '\0') return count;
        text += length + 1;
    }
}

static jl_status read_part(const char *part, jl_kind kind, jl_quantity *quantity, jl_fault *fault) {
    jl_status status = jl_quantity_read(part, kind, quantity);
    if (status == JL_OK) return JL_OK;
    bool out = status == JL_RANGE && kind == JL_STRENGTH;
    return jl_text_fault(fault, status, part,
                         out ? "a strength of 0 to 100 %, or 0 to 200 proof"
                             : jl_quantity_forms(kind));
}

/* The first part is a volume or, failing that, a mass. */
static jl_status read_size(const char *part, jl_quantity *size, bool *by_mass, jl_fault *fault) {
    *by_mass = jl_quantity_read(part, JL_MASS, size) == JL_OK;
    jl_status status = *by_mass ? JL_OK : jl_quantity_read(part, JL_VOLUME, size);
    if (status != JL_OK)
        return jl_text_fault(fault, status, part, "a volume or a mass: 500mL, 0.5L, 2.8kg");
    if (!(size->value > 0))
        return jl_text_fault(fault, JL_RANGE, part, "a volume or a mass above 0");
    return JL_OK;
}

/* What stands behind the size: a strength, a strength and its reading's temperature, or the volume's
 * temperature and a true strength. */
static jl_status read_behind_size(char parts[PARTS_MOST][PART_BYTES], int count, jl_amount *amount,
                                  jl_fault *fault) {
    jl_quantity temp;
    bool volume_c = count == 3 && jl_quantity_read(parts[1], JL_TEMPERATURE, &temp) == JL_OK;
    jl_status status = read_part(parts[volume_c ? 2 : 1], JL_STRENGTH, &amount->strength, fault);
    if (status != JL_OK) return status;
    /* 27 CFR 30.11: a proof gallon is a gallon at 60 °F. */
    amount->temp_c = amount->strength.unit == JL_UNIT_PROOF_US ? JL_PROOF_C : JL_STRENGTH_C;
    amount->measured = count == 3 && !volume_c;
    if (count < 3) return JL_OK;
    if (!volume_c) status = read_part(parts[2], JL_TEMPERATURE, &temp, fault);
    if (status == JL_OK) amount->temp_c = temp.value;
    return status;
}

jl_status jl_amount_read(const char *text, jl_amount *amount, jl_fault *fault) {
    char parts[PARTS_MOST][PART_BYTES];
    int count = split(text, parts);
    jl_quantity size;
    jl_amount read = {0};
    if (count < 2) return jl_text_fault(fault, JL_FORM, text, FORMS);
    jl_status status = read_size(parts[0], &size, &read.by_mass, fault);
    if (status == JL_OK) status = read_behind_size(parts, count, &read, fault);
    if (status != JL_OK) return status;
    read.size = size.value;
    *amount = read;
    return JL_OK;
}

jl_amount jl_amount_at_20(jl_spirit spirit) {
    return (jl_amount){.size = jl_volume_l(spirit, JL_STRENGTH_C),
                       .strength = {jl_spirit_strength_pct(spirit), JL_UNIT_PCT_VOL},
                       .temp_c = JL_STRENGTH_C};
}

jl_status jl_amount_spirit(const jl_amount *amount, const jl_alcoholometer *instrument,
                           jl_spirit *spirit) {
    double p, density_kg_m3;
    double temp_c = amount->temp_c + (amount->measured ? instrument->thermometer_correction_c : 0);
    jl_status status = amount->measured ? jl_reading_to_mass_fraction(instrument, amount->strength,
                                                                      amount->temp_c, &p)
                                        : jl_strength_to_mass_fraction(amount->strength, &p);
    if (status != JL_OK) return status;
    if (!amount->by_mass) return jl_spirit_from_volume(amount->size, p, temp_c, spirit);
    status = jl_density_kg_m3(p, temp_c, &density_kg_m3);
    if (status != JL_OK) return status;
    return jl_spirit_from_mass(jl_mass_from_scale_kg(amount->size, density_kg_m3), p, spirit);
}

jl_status jl_spirit_read(const char *text, const jl_alcoholometer *instrument, jl_spirit *spirit,
                         jl_fault *fault) {
    jl_amount amount;
    jl_status status = jl_amount_read(text, &amount, fault);
    if (status != JL_OK) return status;
    status = jl_amount_spirit(&amount, instrument, spirit);
    if (status == JL_OK) return JL_OK;
    return jl_text_fault(fault, status, text,
                         status == JL_CONFLICT ? jl_proof_expected
                         : status == JL_UNIT
                             ? "a reading in % vol or proof: an instrument has no % mas scale"
                         : status == JL_NO_MIXTURE
                             ? jl_no_mixture_expected
                             : "a strength of 0 to 100 % vol at a temperature of -20 to 40 °C");
}

/* ---- Solids that hide some of its proof ---- */

jl_status jl_obscured_proof(double apparent_proof, double solids_g_100ml, double *true_proof) {
    if (!(apparent_proof >= 0 && apparent_proof <= 200) || !(solids_g_100ml >= 0)) return JL_RANGE;
    if (solids_g_100ml > 0.6) return JL_NO;
    bool counts = solids_g_100ml >= JL_SOLIDS_COUNT_G;
    if (counts && !(apparent_proof >= 80 && apparent_proof <= 100)) return JL_NO;
    *true_proof = apparent_proof + (counts ? 4 * solids_g_100ml : 0);
    return JL_OK;
}

jl_status jl_mixture_behind_solids(double solids_g_100ml, double *mass_fraction) {
    double true_proof;
    if (isnan(solids_g_100ml)) return JL_OK;
    /* Rounded, so that a reading of 80 is 80. */
    double apparent =
        round(1e6 * jl_proof_us((jl_spirit){*mass_fraction, 1 - *mass_fraction})) / 1e6;
    jl_status status = jl_obscured_proof(apparent, solids_g_100ml, &true_proof);
    if (status != JL_OK || true_proof == apparent) return status;
    return jl_strength_to_mass_fraction((jl_quantity){true_proof, JL_UNIT_PROOF_US}, mass_fraction);
}

jl_status jl_obscured_by_weight(double weight_kg, double apparent, double true_mass_fraction,
                                jl_spirit *spirit) {
    double kg_m3;
    jl_status status = jl_density_kg_m3(apparent, JL_PROOF_C, &kg_m3);
    if (status != JL_OK) return status;
    double volume_l = jl_mass_from_scale_kg(weight_kg, kg_m3) / kg_m3 * 1000;
    return jl_spirit_from_volume(volume_l, true_mass_fraction, JL_PROOF_C, spirit);
}

/* Gallons of water that weigh a pound in air at 60 °F: 27 CFR 30.41. */
static const double GALLONS_PER_POUND = 0.120074;

jl_status jl_obscured_by_gravity(double weight_kg, double sg_60f, double true_mass_fraction,
                                 jl_spirit *spirit) {
    if (!(sg_60f >= 1 && sg_60f <= 2)) return JL_RANGE;
    double gallons = weight_kg / JL_POUND_KG * GALLONS_PER_POUND / sg_60f;
    return jl_spirit_from_volume(gallons * JL_GALLON_US_L, true_mass_fraction, JL_PROOF_C, spirit);
}

jl_status jl_obscured_by_volume(double volume_l, double temp_c, double apparent,
                                double true_mass_fraction, jl_spirit *spirit) {
    double there_kg_m3, proof_kg_m3;
    jl_status status = jl_density_kg_m3(apparent, temp_c, &there_kg_m3);
    if (status == JL_OK) status = jl_density_kg_m3(apparent, JL_PROOF_C, &proof_kg_m3);
    if (status != JL_OK) return status;
    return jl_spirit_from_volume(volume_l * there_kg_m3 / proof_kg_m3, true_mass_fraction,
                                 JL_PROOF_C, spirit);
}

double jl_rounded_gallons(double gallons) {
    /* As printed: what lies within rounding of a half is one. */
    double tenths = floor(10 * fabs(gallons) + 0.5 + 1e-9) / 10;
    return gallons < 0 ? -tenths : tenths;
}
