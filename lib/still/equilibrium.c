/* Boiling point and vapour of ethanol and water.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ideal vapour; activity coefficients by NRTL (Renon and Prausnitz, AIChE J. 14 (1968) 135, from
 * memory); vapour pressures by DIPPR equation 101 with the constants of Perry's Chemical Engineers'
 * Handbook, 8th ed., table 2-8. */
#include "still/equilibrium.h"

#include <math.h>

static const double NON_RANDOMNESS = 0.3;

const jl_nrtl JL_NRTL = {-1.0236571, 325.611115, 3.8539086, -729.823686};

/* ln of the vapour pressure in kPa: C1 + C2/T + C3 ln T + C4 T², less ln 1000. */
static const double ETHANOL_101[4] = {73.304, -7122.3, -7.1424, 2.8853e-6};
static const double WATER_101[4] = {73.649, -7258.2, -7.3037, 4.1653e-6};
static const double LN_1000 = 6.907755278982137;

bool jl_pressure_ok(double pressure_kpa) {
    return pressure_kpa >= JL_PRESSURE_MIN_KPA && pressure_kpa <= JL_PRESSURE_MAX_KPA;
}

static double dippr_101(const double c[4], double temp_k, double ln_temp) {
    return exp(c[0] + c[1] / temp_k + c[2] * ln_temp + c[3] * temp_k * temp_k - LN_1000);
}

void jl_saturation_kpa(double temp_k, double *ethanol, double *water) {
    double ln_temp = log(temp_k);
    *ethanol = dippr_101(ETHANOL_101, temp_k, ln_temp);
    *water = dippr_101(WATER_101, temp_k, ln_temp);
}

static void activity(const jl_nrtl *nrtl, double x, double temp_k, double ln_gamma[2]) {
    double tau12 = nrtl->a12 + nrtl->b12 / temp_k;
    double tau21 = nrtl->a21 + nrtl->b21 / temp_k;
    double g12 = exp(-NON_RANDOMNESS * tau12);
    double g21 = exp(-NON_RANDOMNESS * tau21);
    double w = 1 - x;
    double around1 = x + w * g21;
    double around2 = w + x * g12;
    double r21 = g21 / around1;
    double r12 = g12 / around2;
    ln_gamma[0] = w * w * (tau21 * r21 * r21 + tau12 * g12 / (around2 * around2));
    ln_gamma[1] = x * x * (tau12 * r12 * r12 + tau21 * g21 / (around1 * around1));
}

double jl_pressure_over(const jl_nrtl *nrtl, double x, double temp_k, double *ethanol_kpa,
                        double *volatility) {
    double ln_gamma[2], ethanol, water;
    activity(nrtl, x, temp_k, ln_gamma);
    jl_saturation_kpa(temp_k, &ethanol, &water);
    ethanol *= exp(ln_gamma[0]);
    water *= exp(ln_gamma[1]);
    *ethanol_kpa = x * ethanol;
    *volatility = ethanol / water;
    return x * ethanol + (1 - x) * water;
}

/* Where water boils, closely enough to begin with. */
static double first_guess_k(double x, double pressure_kpa) {
    double water_k = 1 / (1 / 373.15 - log(pressure_kpa / 101.325) / 4890);
    return water_k - 22 * (1 - exp(-7 * x));
}

jl_status jl_bubble_at(const jl_nrtl *nrtl, double x, double pressure_kpa, double start_k,
                       jl_bubble *bubble) {
    enum { STEPS_MOST = 40 };
    /* ln p falls with 1/T almost in a straight line, so secant steps there settle at once. */
    double inverse = 1 / (start_k > 0 ? start_k : first_guess_k(x, pressure_kpa));
    double slope = -4900;
    double before = 0, miss_before = 0;
    for (int i = 0; i < STEPS_MOST; i++) {
        double ethanol_kpa;
        double temp_k = 1 / inverse;
        double all_kpa = jl_pressure_over(nrtl, x, temp_k, &ethanol_kpa, &bubble->volatility);
        double miss = log(all_kpa / pressure_kpa);
        if (!isfinite(miss)) return JL_NUMERIC;
        if (i > 0 && inverse != before) slope = (miss - miss_before) / (inverse - before);
        before = inverse;
        miss_before = miss;
        inverse -= miss / slope;
        if (fabs(miss) < 1e-9) {
            bubble->temp_k = 1 / inverse;
            bubble->y = ethanol_kpa / all_kpa;
            return JL_OK;
        }
    }
    return JL_NUMERIC;
}

jl_status jl_boil(double x, double pressure_kpa, jl_boiling *boiling) {
    jl_bubble bubble;
    if (!(x >= 0 && x <= 1) || !jl_pressure_ok(pressure_kpa)) return JL_RANGE;
    jl_status status = jl_bubble_at(&JL_NRTL, x, pressure_kpa, 0, &bubble);
    if (status != JL_OK) return status;
    *boiling = (jl_boiling){x, bubble.y, bubble.temp_k - JL_KELVIN};
    return JL_OK;
}

typedef struct place {
    double pressure_kpa, temp_k;
} place;

/* Halves a bracket until it is as narrow as doubles allow. */
static double halve(bool (*right_of_root)(double x, const place *at), const place *at, double low,
                    double high) {
    enum { HALVINGS = 52 };
    for (int i = 0; i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        if (right_of_root(middle, at))
            high = middle;
        else
            low = middle;
    }
    return low + (high - low) / 2;
}

static bool less_volatile_at_temp(double x, const place *at) {
    double ethanol_kpa, volatility;
    jl_pressure_over(&JL_NRTL, x, at->temp_k, &ethanol_kpa, &volatility);
    return volatility < 1;
}

static bool pressure_reached(double x, const place *at) {
    double ethanol_kpa, volatility;
    return jl_pressure_over(&JL_NRTL, x, at->temp_k, &ethanol_kpa, &volatility) > at->pressure_kpa;
}

static bool less_volatile_at_pressure(double x, const place *at) {
    jl_bubble bubble;
    jl_status status = jl_bubble_at(&JL_NRTL, x, at->pressure_kpa, at->temp_k, &bubble);
    return status == JL_OK && bubble.volatility < 1;
}

jl_status jl_azeotrope(double pressure_kpa, jl_boiling *boiling) {
    if (!jl_pressure_ok(pressure_kpa)) return JL_RANGE;
    place at = {pressure_kpa, first_guess_k(1, pressure_kpa)};
    double x = halve(less_volatile_at_pressure, &at, 0.5, 1);
    return jl_boil(x, pressure_kpa, boiling);
}

jl_status jl_boil_at_temp(double temp_c, double pressure_kpa, jl_boiling *boiling) {
    place at = {pressure_kpa, temp_c + JL_KELVIN};
    double ethanol_kpa, volatility;
    /* 0 to 120 °C holds every boiling point between 30 and 110 kPa. */
    if (!(temp_c >= 0 && temp_c <= 120) || !jl_pressure_ok(pressure_kpa)) return JL_RANGE;
    /* At a fixed temperature the pressure rises with x up to the azeotrope of that temperature. */
    double most = halve(less_volatile_at_temp, &at, 0.5, 1);
    if (pressure_reached(0, &at) || !pressure_reached(most, &at)) return JL_NO_MIXTURE;
    double x = halve(pressure_reached, &at, 0, most);
    double all_kpa = jl_pressure_over(&JL_NRTL, x, at.temp_k, &ethanol_kpa, &volatility);
    *boiling = (jl_boiling){x, ethanol_kpa / all_kpa, temp_c};
    return JL_OK;
}

jl_status jl_pressure_at_altitude_kpa(double altitude_m, double *pressure_kpa) {
    if (!(altitude_m >= -500 && altitude_m <= 11000)) return JL_RANGE;
    /* 288.15 K and 101.325 kPa at sea level, 6.5 K less per km; exponent g M / (R* L). */
    const double exponent = 9.80665 * 0.0289644 / (8.31432 * 0.0065);
    *pressure_kpa = 101.325 * pow(1 - 0.0065 * altitude_m / 288.15, exponent);
    return JL_OK;
}

double jl_mole_fraction(double mass_fraction) {
    double ethanol = mass_fraction / JL_ETHANOL_KG_MOL;
    return ethanol / (ethanol + (1 - mass_fraction) / JL_WATER_KG_MOL);
}

double jl_mass_fraction_from_mole(double x) {
    double ethanol = x * JL_ETHANOL_KG_MOL;
    return ethanol / (ethanol + (1 - x) * JL_WATER_KG_MOL);
}

double jl_strength_pct_from_mole(double mole_fraction) {
    double pct = NAN;
    if (mole_fraction >= 0 && mole_fraction <= 1)
        jl_strength_pct(jl_mass_fraction_from_mole(mole_fraction), JL_STRENGTH_C, &pct);
    return pct;
}
