/* From what a glass alcoholometer shows to the mixture it floats in, and back.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The instrument shows the strength q where the liquid's density equals the density that its scale
 * assumes for q at the calibration temperature, less what the glass has grown since (OIML R 22, R
 * 44). */
#include "spirit/alcoholometer.h"
#include "text/quantity.h"

#include <math.h>

const char jl_proof_expected[] =
    "a reading in % vol, or an instrument calibrated at 60 °F, to which proof belongs";
const char jl_no_mixture_expected[] =
    "a reading that some mixture of ethanol and water shows at that temperature";

const jl_alcoholometer JL_ALCOHOLOMETER = {NAN, 25e-6, 0, 0};

double jl_calibrated_c(const jl_alcoholometer *instrument, jl_unit scale) {
    if (!isnan(instrument->calibrated_c)) return instrument->calibrated_c;
    return scale == JL_UNIT_PROOF_US ? JL_PROOF_C : JL_STRENGTH_C;
}

/* How much less dense than its scale says a liquid is in which the instrument floats at temp_c. */
static double glass_factor(const jl_alcoholometer *instrument, double temp_c, double calibrated_c) {
    return 1 - instrument->glass_per_c * (temp_c - calibrated_c);
}

bool jl_is_proof_c(double calibrated_c) {
    return fabs(calibrated_c - JL_PROOF_C) < 0.05;
}

bool jl_glass_ok(double glass_per_c) {
    return glass_per_c >= 0 && glass_per_c <= 1e-4;
}

static jl_status check(const jl_alcoholometer *instrument, jl_unit scale, double temp_c) {
    double calibrated_c = jl_calibrated_c(instrument, scale);
    if (scale != JL_UNIT_PCT_VOL && scale != JL_UNIT_PROOF_US) return JL_UNIT;
    if (scale == JL_UNIT_PROOF_US && !jl_is_proof_c(calibrated_c)) return JL_CONFLICT;
    if (!(calibrated_c >= 0 && calibrated_c <= 40)) return JL_RANGE;
    if (!jl_glass_ok(instrument->glass_per_c)) return JL_RANGE;
    if (!isfinite(instrument->reading_correction_pct)) return JL_RANGE;
    return jl_temp_ok(temp_c) ? JL_OK : JL_RANGE;
}

/* Mass fraction of the liquid in which an instrument of 20 °C shows each 1/32 of its scale, per °C
 * that the liquid is warmer: where the steps of a solution begin. Computed from OIML R 22 within a
 * degree of 20 °C; a worse table would cost steps, not digits. */
enum { DRIFT_CELLS = 32 };
static const float DRIFT_PER_C[DRIFT_CELLS + 1] = {
    -0.000913f, -0.001038f, -0.001193f, -0.001413f, -0.001704f, -0.002054f, -0.002434f,
    -0.002798f, -0.003103f, -0.003326f, -0.003466f, -0.003537f, -0.003561f, -0.003556f,
    -0.003539f, -0.003518f, -0.003500f, -0.003487f, -0.003480f, -0.003477f, -0.003477f,
    -0.003477f, -0.003476f, -0.003473f, -0.003470f, -0.003465f, -0.003455f, -0.003431f,
    -0.003382f, -0.003293f, -0.003157f, -0.002961f, -0.002668f,
};

static double start_at(double mass_fraction, double shown_pct, double warmer_c) {
    double place = shown_pct / 100 * DRIFT_CELLS;
    int cell = !(place < DRIFT_CELLS) ? DRIFT_CELLS - 1 : (int)place;
    double weight = place - cell;
    double drift =
        (1 - weight) * (double)DRIFT_PER_C[cell] + weight * (double)DRIFT_PER_C[cell + 1];
    return mass_fraction + warmer_c * drift;
}

void jl_isotherm_cache_begin(jl_isotherm_cache *isotherms) {
    isotherms->calibrated.temp_c = isotherms->liquid.temp_c = NAN;
}

const jl_isotherm *jl_isotherm_cache_at(jl_isotherm_slot *isotherms, double temp_c) {
    if (isotherms->temp_c != temp_c) {
        jl_isotherm_at(temp_c, &isotherms->isotherm);
        isotherms->temp_c = temp_c;
    }
    return &isotherms->isotherm;
}

jl_status jl_reading_solve(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                           jl_isotherm_cache *isotherms, double *mass_fraction) {
    double true_c = temp_c + instrument->thermometer_correction_c;
    jl_status status = check(instrument, reading.unit, true_c);
    if (status != JL_OK) return status;
    double scale = jl_per_pct(reading.unit);
    double shown_pct = reading.value / scale + instrument->reading_correction_pct;
    if (!(reading.value >= 0 && shown_pct >= 0 && shown_pct <= 100)) return JL_RANGE;

    double calibrated_c = jl_calibrated_c(instrument, reading.unit);
    double p;
    const jl_isotherm *calibrated = jl_isotherm_cache_at(&isotherms->calibrated, calibrated_c);
    status = jl_isotherm_from_strength(calibrated, shown_pct, &p);
    if (status != JL_OK || true_c == calibrated_c) {
        if (status == JL_OK) *mass_fraction = p;
        return status;
    }
    double target =
        jl_isotherm_density(calibrated, p) * glass_factor(instrument, true_c, calibrated_c);
    return jl_isotherm_solve(jl_isotherm_cache_at(&isotherms->liquid, true_c), 0, target,
                             start_at(p, shown_pct, true_c - calibrated_c), mass_fraction);
}

jl_status jl_reading_to_mass_fraction(const jl_alcoholometer *instrument, jl_quantity reading,
                                      double temp_c, double *mass_fraction) {
    jl_isotherm_cache isotherms;
    jl_isotherm_cache_begin(&isotherms);
    return jl_reading_solve(instrument, reading, temp_c, &isotherms, mass_fraction);
}

jl_status jl_reading_from_mass_fraction(const jl_alcoholometer *instrument, double mass_fraction,
                                        double temp_c, jl_unit scale, double *reading) {
    double true_c = temp_c + instrument->thermometer_correction_c;
    jl_status status = check(instrument, scale, true_c);
    if (status != JL_OK) return status;
    if (!(mass_fraction >= 0 && mass_fraction <= 1)) return JL_RANGE;
    double calibrated_c = jl_calibrated_c(instrument, scale);
    jl_isotherm isotherm;
    jl_isotherm_at(true_c, &isotherm);
    double assumed = jl_isotherm_density(&isotherm, mass_fraction) /
                     glass_factor(instrument, true_c, calibrated_c);
    double p;
    jl_isotherm_at(calibrated_c, &isotherm);
    status = jl_isotherm_solve(&isotherm, 0, assumed, mass_fraction, &p);
    if (status != JL_OK) return status;
    double shown_pct = 100 * p * jl_isotherm_density(&isotherm, p) / isotherm.ethanol -
                       instrument->reading_correction_pct;
    if (!(shown_pct >= 0 && shown_pct <= 100)) return JL_NO_MIXTURE;
    *reading = shown_pct * jl_per_pct(scale);
    return JL_OK;
}
