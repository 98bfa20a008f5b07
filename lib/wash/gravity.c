/* Gravity: from °P and back, and from the temperature of a reading to 20 °C.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/gravity.h"

#include <math.h>

const jl_hydrometer JL_HYDROMETER = {20, 25e-6, 0.001};

/* American Society of Brewing Chemists; within 0.003 °P of the USDA sucrose table. */
double jl_extract_polynomial(double sg) {
    return ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868;
}

static double extract_slope(double sg) {
    return (3 * 135.997 * sg - 2 * 630.272) * sg + 1111.14;
}

bool jl_gravity_ok(double sg) {
    return sg >= JL_GRAVITY_MIN && sg <= JL_GRAVITY_MAX;
}

bool jl_hydrometer_ok(const jl_hydrometer *instrument) {
    return instrument->calibrated_c >= 0 && instrument->calibrated_c <= 40 &&
           instrument->glass_per_c >= 0 && instrument->glass_per_c <= 1e-4 &&
           instrument->division_sg > 0 && instrument->division_sg <= 0.02;
}

/* Both targets are nearly straight in sg over this span, so Newton steps close in from anywhere. */
bool jl_gravity_solve(int power, double target, double *sg) {
    enum { STEPS_MOST = 40 };
    double s = 1;
    for (int i = 0; i < STEPS_MOST; i++) {
        double extract = jl_extract_polynomial(s), slope = extract_slope(s);
        double error = (power == 0 ? extract : extract * s) - target;
        double step = error / (power == 0 ? slope : extract + s * slope);
        s -= step;
        if (!(s > 0.5 && s < 2)) return false;
        if (fabs(step) > 1e-13) continue;
        if (!(s >= JL_GRAVITY_MIN - 1e-12 && s <= JL_GRAVITY_MAX + 1e-12)) return false;
        *sg = fmin(fmax(s, JL_GRAVITY_MIN), JL_GRAVITY_MAX);
        return true;
    }
    return false;
}

jl_status jl_extract_from_gravity(double sg, double *extract_pct) {
    if (!jl_gravity_ok(sg)) return JL_RANGE;
    *extract_pct = jl_extract_polynomial(sg);
    return JL_OK;
}

jl_status jl_gravity_from_extract(double extract_pct, double *sg) {
    return isfinite(extract_pct) && jl_gravity_solve(0, extract_pct, sg) ? JL_OK : JL_RANGE;
}

double jl_hydrometer_density(const jl_hydrometer *instrument, double sg, double temp_c) {
    double water = NAN;
    jl_water_density_kg_m3(instrument->calibrated_c, &water);
    return sg * water * (1 - instrument->glass_per_c * (temp_c - instrument->calibrated_c));
}

jl_status jl_gravity_sg(jl_quantity reading, double *sg) {
    if (reading.unit == JL_UNIT_PLATO) return jl_gravity_from_extract(reading.value, sg);
    if (reading.unit != JL_UNIT_SG) return JL_UNIT;
    if (!jl_gravity_ok(reading.value)) return JL_RANGE;
    *sg = reading.value;
    return JL_OK;
}

jl_status jl_gravity_at_20(const jl_hydrometer *instrument, jl_quantity reading, double temp_c,
                           double *sg) {
    double shown, water;
    if (!jl_hydrometer_ok(instrument)) return JL_RANGE;
    jl_status status = jl_gravity_sg(reading, &shown);
    if (status == JL_OK) status = jl_water_density_kg_m3(temp_c, &water);
    if (status != JL_OK) return status;
    double corrected = jl_hydrometer_density(instrument, shown, temp_c) / water;
    if (!jl_gravity_ok(corrected)) return JL_RANGE;
    *sg = corrected;
    return JL_OK;
}
