/* What of a jar does not fit what was expected, or what came before it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <math.h>

/* Common practice, no source: what a slip of the pen exceeds and a run seldom does. */
static const double FORECAST_PCT = 5, RISE_PCT = 3, FALL_PCT = 10, TEMP_C = 10, HEAD_C = 5,
                    VOLUME_TIMES = 5;

static void add(jl_slips *slips, jl_slip_of what, double is, double beside) {
    slips->of[slips->count++] = (jl_slip){what, is, beside};
}

static double expected_pct(const jl_run *run, const jl_jar *jar) {
    return jl_run_expected_pct(run, jar->before_l, jar->until_l);
}

/* A run that goes its own way is said once and not at every jar. */
static void look_at_forecast(const jl_run *run, const jl_jar *before, const jl_jar *jar,
                             jl_slips *slips) {
    double is = jl_spirit_strength_pct(jar->spirit), expected = expected_pct(run, jar);
    bool known = false;
    if (before != NULL) {
        double apart = jl_spirit_strength_pct(before->spirit) - expected_pct(run, before);
        known = fabs(apart - (is - expected)) < RISE_PCT;
    }
    if (fabs(is - expected) > FORECAST_PCT && !known) add(slips, JL_SLIP_FORECAST, is, expected);
}

static void look_before(const jl_jar *before, const jl_jar *jar, jl_slips *slips) {
    double is = jl_spirit_strength_pct(jar->spirit), was = jl_spirit_strength_pct(before->spirit);
    double times = jar->volume_l / before->volume_l;
    if (is - was > RISE_PCT || is - was < -FALL_PCT) add(slips, JL_SLIP_STRENGTH, is, was);
    if (times > VOLUME_TIMES || times < 1 / VOLUME_TIMES)
        add(slips, JL_SLIP_VOLUME, jar->volume_l, before->volume_l);
    if (fabs(jar->temp_c - before->temp_c) > TEMP_C)
        add(slips, JL_SLIP_TEMP, jar->temp_c, before->temp_c);
    if (fabs(jar->head_c - before->head_c) > HEAD_C)
        add(slips, JL_SLIP_HEAD, jar->head_c, before->head_c);
    if (jar->has_time && before->has_time && jar->time.unix_s < before->time.unix_s)
        add(slips, JL_SLIP_TIME, NAN, NAN);
}

void jl_run_slips(const jl_run *run, const jl_jar *before, const jl_jar *jar, jl_slips *slips) {
    slips->count = 0;
    look_at_forecast(run, before, jar, slips);
    if (before != NULL) look_before(before, jar, slips);
}

jl_amount jl_jar_amount(const jl_jar *jar) {
    jl_amount amount = {jar->volume_l, false, true, jar->reading, jar->temp_c};
    if (jar->has_reading) return amount;
    /* A strength holds at 20 °C: so does then the volume. */
    return (jl_amount){jl_volume_l(jar->spirit, JL_STRENGTH_C), false, false, jar->strength,
                       JL_STRENGTH_C};
}

double jl_jar_minutes(const jl_jar *before, const jl_jar *jar) {
    if (before == NULL || !before->has_time || !jar->has_time) return NAN;
    double seconds = (double)(jar->time.unix_s - before->time.unix_s);
    return seconds > 0 ? seconds / 60 : NAN;
}

double jl_jar_rate_ml_min(const jl_jar *before, const jl_jar *jar) {
    return 1000 * jar->volume_l / jl_jar_minutes(before, jar);
}
