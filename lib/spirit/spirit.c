/* An amount of spirit: so much ethanol, so much water, by mass; and the views of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "spirit/density.h"

#include <math.h>
#include <string.h>

static const double GALLON_US_L = 3.785411784; /* 231 in³ */
/* Less than a millionth of a millionth is nobody's amount, and ends where a double can no longer
 * hold its parts. */
static const double AMOUNT_LEAST = 1e-12, AMOUNT_MOST = 1e9;

static bool amount_ok(double amount) {
    return amount >= AMOUNT_LEAST && amount <= AMOUNT_MOST;
}

static bool fraction_ok(double p) {
    return p >= 0 && p <= 1;
}

static jl_spirit of_mass(double mass_kg, double mass_fraction) {
    return (jl_spirit){mass_kg * mass_fraction, mass_kg * (1 - mass_fraction)};
}

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
    if (status == JL_OK) *spirit = of_mass(volume_l * density_kg_m3 / 1000, mass_fraction);
    return status;
}

jl_status jl_spirit_from_mass(double mass_kg, double mass_fraction, jl_spirit *spirit) {
    if (!amount_ok(mass_kg) || !fraction_ok(mass_fraction)) return JL_RANGE;
    *spirit = of_mass(mass_kg, mass_fraction);
    return JL_OK;
}

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
    double density_kg_m3;
    if (jl_density_kg_m3(jl_mass_fraction(spirit), temp_c, &density_kg_m3) != JL_OK) return NAN;
    return jl_mass_kg(spirit) / density_kg_m3 * 1000;
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

double jl_proof_gallons_us(jl_spirit spirit) {
    return jl_volume_l(spirit, JL_PROOF_C) / GALLON_US_L * jl_proof_us(spirit) / 100;
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
