/* Gravity: from °P and back, and from the temperature of a reading to 20 °C.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/gravity.h"
#include "spirit/alcoholometer.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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

double jl_gravity_meant(const char *text) {
    double digits = 0;
    int count = 0;
    for (const char *c = text; *c != '\0'; c++)
        if (jl_is_digit(*c) && ++count <= 6) digits = 10 * digits + (*c - '0');
    if (count < 3 || count > 6) return NAN;
    while (digits >= JL_GRAVITY_MAX) digits /= 10;
    return digits >= JL_GRAVITY_MIN ? digits : NAN;
}

bool jl_gravity_is_bare(const char *text) {
    return strpbrk(text, ".,Pp") == NULL && strspn(text, "0123456789") < 3;
}

bool jl_gravity_units_meant(const char *text, char meant[JL_GRAVITY_UNITS_BYTES]) {
    jl_quantity q;
    double plato_most = jl_extract_polynomial(JL_GRAVITY_MAX);
    bool bare = jl_quantity_read(text, JL_GRAVITY, &q) == JL_OK && strpbrk(text, ".,Pp") == NULL;
    if (!bare || q.value <= 1 || q.value > 1000 * (JL_GRAVITY_MAX - 1) + 1e-9) return false;
    int n =
        q.value <= plato_most ? snprintf(meant, JL_GRAVITY_UNITS_BYTES, "%.0fP or ", q.value) : 0;
    snprintf(meant + n, JL_GRAVITY_UNITS_BYTES - (size_t)n, "%.0fpts, which is %.3f", q.value,
             1 + q.value / 1000);
    return true;
}

void jl_gravity_write(const char *typed, char text[JL_GRAVITY_TEXT_BYTES]) {
    jl_quantity q;
    bool as_typed = jl_quantity_read(typed, JL_GRAVITY, &q) != JL_OK || q.unit != JL_UNIT_SG ||
                    (strpbrk(typed, ".,") != NULL && strpbrk(typed, "Tt") == NULL);
    if (as_typed)
        snprintf(text, JL_GRAVITY_TEXT_BYTES, "%s", typed);
    else
        snprintf(text, JL_GRAVITY_TEXT_BYTES,
                 fabs(1000 * q.value - round(1000 * q.value)) < 1e-6 ? "%.3f" : "%.4f", q.value);
}

bool jl_wash_temp_ok(double temp_c) {
    return temp_c >= 0 && temp_c <= 40;
}

bool jl_division_ok(double division_sg) {
    return division_sg > 0 && division_sg <= 0.02;
}

bool jl_hydrometer_ok(const jl_hydrometer *instrument) {
    return jl_wash_temp_ok(instrument->calibrated_c) && jl_glass_ok(instrument->glass_per_c) &&
           jl_division_ok(instrument->division_sg);
}

/* Both targets are nearly straight in sg over this span, so Newton steps close in from anywhere. */
bool jl_gravity_solve(int power, double target, double *sg) {
    enum { STEPS_MOST = 40 };
    double s = 1;
    for (int i = 0; i < STEPS_MOST; i++) { /* GCOVR_EXCL_BR_LINE: as below */
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
    return false; /* GCOVR_EXCL_LINE: it converges in a few steps or leaves the range */
}

/* in_it: extract times gravity of what is there already. */
static bool solids_on(double in_it, double solids_kg_l, double *sg) {
    double water_kg_m3 = NAN;
    jl_water_density_kg_m3(JL_STRENGTH_C, &water_kg_m3);
    return jl_gravity_solve(1, in_it + 100 * solids_kg_l * 1000 / water_kg_m3, sg);
}

bool jl_gravity_of_solids(double solids_kg_l, double *sg) {
    return solids_on(0, solids_kg_l, sg);
}

bool jl_gravity_raise(double sg, double solids_kg_l, double *raised_sg) {
    return solids_on(jl_extract_polynomial(sg) * sg, solids_kg_l, raised_sg);
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

/* ---- Has a fermentation ended: does the gravity stand still, and where ---- */

const jl_finish_rule JL_FINISH_RULE = {3.0 * JL_DAY_S, 0.001, 1.000, 0};

/* 31,000 years to each side of 1970: beyond them seconds get lost in a double. */
static const double TIME_MOST_S = 1e12;

/* 0.001 is not exact as a difference of two gravities. */
static const double ROUNDING = 1e-9;

/* To the nearest division: a correction for temperature moves a difference of one to either side of
 * it. */
static bool agree(double least, double most, const jl_finish_rule *rule) {
    return most - least < 1.5 * rule->division_sg - ROUNDING;
}

/* However little is known of where a wash ends: so far above it sugar is left. Common practice, no
 * source. */
static const double LEFT_SG = 0.004;

/* By how much it lies above where it is expected to end; a reading tells no less than half a division. */
static double above_sg(double sg, const jl_finish_rule *rule) {
    return sg - rule->expected_sg - rule->division_sg / 2 - ROUNDING;
}

static bool is_low(double sg, const jl_finish_rule *rule) {
    return above_sg(sg, rule) <= 0 || (above_sg(sg, rule) <= rule->expected_within_sg &&
                                       sg < rule->expected_sg + LEFT_SG - ROUNDING);
}

static jl_status check(const jl_dated_gravity *readings, size_t count, const jl_finish_rule *rule) {
    if (count < 2) return JL_MISSING;
    if (!(rule->span_s > 0 && isfinite(rule->span_s)) || !jl_gravity_ok(rule->expected_sg))
        return JL_RANGE;
    if (!jl_division_ok(rule->division_sg) || !jl_between(rule->expected_within_sg, 0, 0.05))
        return JL_RANGE;
    for (size_t i = 0; i < count; i++) {
        if (!(fabs(readings[i].time_s) <= TIME_MOST_S) || !jl_gravity_ok(readings[i].sg))
            return JL_RANGE;
        if (i > 0 && !(readings[i].time_s > readings[i - 1].time_s)) return JL_CONFLICT;
    }
    return JL_OK;
}

/* The first of the last readings that all agree. */
static size_t still_since(const jl_dated_gravity *readings, size_t count,
                          const jl_finish_rule *rule) {
    size_t first = count - 1;
    double least = readings[first].sg, most = least;
    for (size_t i = count - 1; i-- > 0;) {
        least = fmin(least, readings[i].sg);
        most = fmax(most, readings[i].sg);
        if (!agree(least, most, rule)) break;
        first = i;
    }
    return first;
}

/* The first reading within the span before the last, but at least the last but one. */
static size_t recent(const jl_dated_gravity *readings, size_t count, double span_s) {
    double last_s = readings[count - 1].time_s;
    size_t first = count - 2;
    while (first > 0 && readings[first - 1].time_s >= last_s - span_s) first--;
    return first;
}

static double slope_per_day(const jl_dated_gravity *readings, size_t first, size_t count) {
    double n = (double)(count - first), days = 0, sg = 0, products = 0, squares = 0;
    double from_s = readings[first].time_s;
    for (size_t i = first; i < count; i++) {
        days += (readings[i].time_s - from_s) / JL_DAY_S / n;
        sg += readings[i].sg / n;
    }
    for (size_t i = first; i < count; i++) {
        double d = (readings[i].time_s - from_s) / JL_DAY_S - days;
        products += d * (readings[i].sg - sg);
        squares += d * d;
    }
    return products / squares;
}

jl_status jl_ferment_judge(const jl_dated_gravity *readings, size_t count,
                           const jl_finish_rule *rule, jl_ferment *ferment) {
    jl_status status = check(readings, count, rule);
    if (status != JL_OK) return status;
    const jl_dated_gravity *last = &readings[count - 1];
    const jl_dated_gravity *still = &readings[still_since(readings, count, rule)];
    size_t first = recent(readings, count, rule->span_s);
    double slope = slope_per_day(readings, first, count);
    if (!isfinite(slope)) return JL_RANGE;
    bool low = is_low(last->sg, rule);
    bool stands = last->time_s - still->time_s >= rule->span_s;
    bool falls = slope < 0 && still == last;
    *ferment = (jl_ferment){
        .state = !stands ? JL_WORKING
                 : low   ? JL_FINISHED
                         : JL_STOPPED,
        .rises = !stands && slope > rule->division_sg,
        .still_since_s = still->time_s,
        .still_for_s = last->time_s - still->time_s,
        .slope_per_day = slope,
        .slope_over_s = last->time_s - readings[first].time_s,
        .finishes_s = !stands && low ? still->time_s + rule->span_s : NAN,
        .left_s = falls && above_sg(last->sg, rule) > 0
                      ? (last->sg - rule->expected_sg) / -slope * JL_DAY_S
                      : NAN,
    };
    return JL_OK;
}
