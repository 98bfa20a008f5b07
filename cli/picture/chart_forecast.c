/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart_forecast.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/factfile.h"

#include <stdio.h>

static int read_planned(const plan_words *words, const char *charge, planned *p) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    double volume_l, strength_pct, mass_fraction;
    int bad;
    if (words->from == NULL)
        bad = arg_amount(charge, &instrument, &p->charge);
    else if ((bad = read_charge(words->from, &volume_l, &strength_pct)) == 0) {
        jl_status status =
            jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &mass_fraction);
        if (status == JL_OK)
            status = jl_spirit_from_volume(volume_l, mass_fraction, JL_STRENGTH_C, &p->charge);
        if (status != JL_OK)
            bad = fail(EXIT_DATA, "%s: the charge is %s", words->from, jl_status_text(status));
    }
    if (bad != 0) return bad;
    return still_settings_read(&words->still, jl_spirit_strength_pct(p->charge), &p->settings);
}

static void name_it(const planned *p, run_picture *r) {
    const jl_still *still = &p->settings.still;
    if (asprintf(&r->title, "Forecast: %g stage%s, reflux %g%s, %.2f kPa", still->stages,
                 still->stages == 1 ? "" : "s", still->reflux,
                 still->schedule_count > 0 ? " at first" : "", still->pressure_kpa) < 0)
        need(NULL);
    r->forecast = true;
    r->charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    r->charge_strength_pct = jl_spirit_strength_pct(p->charge);
    r->charge_pure_l = jl_pure_alcohol_l(p->charge);
}

static jl_status run_jars(const planned *p, run_picture *r) {
    jl_forecasting *run;
    jl_forecast_jar jar;
    jl_status status = jl_forecast_open(&p->settings.still, p->charge, &p->settings.plan, &run);
    if (status != JL_OK) return status;
    while ((status = jl_forecast_next(run, &jar)) == JL_OK)
        picture_add_jar(r, (int64_t)jar.number, jar.fraction, jar.spirit, jar.head_c);
    jl_forecast_close(run);
    return status == JL_END ? JL_OK : status;
}

int picture_forecast(const plan_words *words, const char *charge, planned *p, run_picture *r) {
    *p = (planned){.times = 1};
    picture_begin(r);
    int bad = read_planned(words, charge, p);
    if (bad != 0) return bad;
    jl_status status = run_jars(p, r);
    if (status != JL_OK)
        bad = fail_run(p, status);
    else if (r->count == 0)
        bad = fail(EXIT_NO, "the run ends at its first drop: there is nothing to draw; --stop-at "
                            "says where it ends");
    if (bad == 0)
        name_it(p, r);
    else
        picture_free(r);
    return bad;
}
