/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart_forecast.h"
#include "answer/say.h"
#include "answer/status.h"

#include <stdio.h>

static void name_it(const planned *p, run_picture *r) {
    const jl_still *still = &p->settings.still;
    if (asprintf(&r->title, "Forecast: %g stage%s, reflux %g%s, %.2f kPa", still->stages,
                 still->stages == 1 ? "" : "s", still->reflux_ratio,
                 still->schedule_count > 0 ? " at first" : "", still->pressure_kpa) < 0)
        need(NULL);
    r->forecast = true;
    r->charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    r->charge_strength_pct = jl_spirit_strength_pct(p->charge);
    r->charge_pure_l = jl_pure_alcohol_l(p->charge);
}

int picture_forecast(const plan_words *words, const char *charge, planned *p, run_picture *r) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_forecast_jars all;
    int bad =
        planned_charge(words->from == NULL ? charge : NULL, words->from, &instrument, &p->charge);
    if (bad == 0)
        bad = still_settings_read(&words->still, jl_spirit_strength_pct(p->charge), &p->settings);
    if (bad == 0) bad = planned_jars(p, &all);
    if (bad != 0) return bad;
    if (all.count == 0)
        return fail(EXIT_NO, "the run ends at its first drop: there is nothing to draw; --stop-at "
                             "says where it ends");
    picture_begin(r);
    for (size_t i = 0; i < all.count; i++) {
        const jl_forecast_jar *jar = &all.jars[i];
        picture_add_jar(r, (int64_t)jar->number, jar->fraction, jar->spirit, jar->head_c);
    }
    jl_forecast_jars_free(&all);
    name_it(p, r);
    return 0;
}
