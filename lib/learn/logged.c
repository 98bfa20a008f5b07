/* A run's record as learning takes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "still/settings.h"
#include "uncertainty/readings.h"

#include <math.h>

/* A moment is written down within a minute: common practice, no source. */
static const double MOMENT_U_S = 30;
/* % vol for each °C: what a reading near 60 % vol moves. OIML R 22. */
static const double PCT_PER_C = 0.35;
/* Nothing is known to better than this, or a fit could not be weighed: 0.01 % vol, a thousandth. */
static const double LEAST_PCT = 0.01, LEAST_SHARE = 0.001;

static jl_instruments instruments_of(const jl_settings *stated) {
    jl_settings usual;
    if (stated != NULL) return jl_settings_to_instruments(stated);
    jl_settings_begin(&usual);
    return jl_settings_to_instruments(&usual);
}

static double pct_u(const jl_instruments *in, bool common) {
    double u = sqrt(jl_instrument_variance(in, JL_BY_ALCOHOLOMETER, common) +
                    PCT_PER_C * PCT_PER_C * jl_instrument_variance(in, JL_BY_THERMOMETER, common));
    return fmax(u, LEAST_PCT);
}

jl_common_uncertainty jl_logged_uncertainty(const jl_settings *instruments) {
    const jl_instruments in = instruments_of(instruments);
    double share =
        sqrt(2 * jl_instrument_variance(&in, JL_BY_JUG, true)); /* of the charge and of the jars */
    return (jl_common_uncertainty){pct_u(&in, true), fmax(share, LEAST_SHARE),
                                   hypot(pct_u(&in, true), pct_u(&in, false)), MOMENT_U_S};
}

jl_logged_run jl_run_logged(const jl_run *run, const jl_settings *instruments,
                            jl_logged_jar *jars) {
    const jl_instruments in = instruments_of(instruments);
    const jl_settings *s = jl_run_settings(run);
    const jl_recovery *r = jl_run_recovery(run);
    const jl_still still = jl_settings_to_still(s);
    size_t count;
    const jl_jar *read = jl_run_jars(run, &count);
    double u_pct = pct_u(&in, false);
    for (size_t i = 0; i < count; i++)
        jars[i] = (jl_logged_jar){read[i].volume_20c_l, jl_spirit_strength_pct(read[i].spirit),
                                  u_pct, read[i].has_time ? (double)read[i].time.unix_s : NAN};
    return (jl_logged_run){
        .jars = jars,
        .count = count,
        .charge_l = r->charge_stated ? jl_volume_l(r->charge, JL_STRENGTH_C) : NAN,
        .charge_strength_pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : NAN,
        .power_w = jl_is_stated(s, JL_KEY_POWER) ? still.power_w : NAN,
        .loss_w = still.loss_w,
        .boiler_heat_j_k = still.boiler_heat_j_k,
        .pressure_kpa = still.pressure_kpa};
}
