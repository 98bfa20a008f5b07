/* How sure a forecast is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt.h"
#include "forecast.h"

#include <math.h>

/* Half widths, as shares, of what nobody measures before a run: common practice, no source. */
static const double REFLUX_SHARE = 0.1, EFFICIENCY_SHARE = 0.05;
/* A forecast costs a thousand times what a reading does. */
enum { DRAWS = 2000 };

typedef struct doubtful {
    const planned *run;
    const jl_alcoholometer *instrument;
    measured_amount charge;
    bool has_reflux, has_clock, has_cuts;
    size_t vapour, reflux, efficiency; /* places of their deviations */
} doubtful;

static jl_status forecast_doubtful(const double *x, double *figures, void *with) {
    const doubtful *d = with;
    jl_still still = d->run->settings.still;
    jl_spirit charge;
    jl_forecast f;
    still.vapour_off = x[d->vapour];
    if (d->has_reflux) still.reflux *= 1 + x[d->reflux];
    if (d->has_clock) still.efficiency = fmin(still.efficiency * (1 + x[d->efficiency]), 1);
    jl_status status = measured_amount_at(&d->charge, d->instrument, x, &charge);
    if (status == JL_OK) status = jl_forecast_run(&still, charge, &d->run->settings.plan, &f);
    if (status != JL_OK) return status;
    size_t n = 0;
    figures[n++] = jl_volume_l(f.collected, JL_STRENGTH_C);
    figures[n++] = jl_spirit_strength_pct(f.collected);
    figures[n++] = jl_pure_alcohol_l(f.collected);
    if (d->has_cuts) {
        figures[n++] = jl_volume_l(f.fractions[JL_HEARTS], JL_STRENGTH_C);
        figures[n++] = jl_spirit_strength_pct(f.fractions[JL_HEARTS]);
        figures[n++] = jl_pure_alcohol_l(f.fractions[JL_HEARTS]);
    }
    if (d->has_clock) figures[n++] = f.duration_s / 3600;
    return JL_OK;
}

static size_t list_figures(const doubtful *d, figure *figures) {
    static const figure ALL[] = {{"volume_l", "Collected at 20 °C", "collected", "l"},
                                 {"strength_pct", "its strength", "strength", "% vol"},
                                 {"pure_alcohol_l", "its pure alcohol", "pure alc.", "l"}};
    static const figure HEARTS[] = {
        {"hearts_l", "Hearts at 20 °C", "hearts", "l"},
        {"hearts_pct", "their strength", "strength", "% vol"},
        {"hearts_pure_alcohol_l", "their pure alcohol", "pure alc.", "l"}};
    size_t n = 0;
    for (size_t i = 0; i < 3; i++) figures[n++] = ALL[i];
    for (size_t i = 0; i < 3 && d->has_cuts; i++) figures[n++] = HEARTS[i];
    if (d->has_clock) figures[n++] = (figure){"duration_h", "Duration", "duration", "h"};
    return n;
}

int forecast_doubt(show *s, doubt *d, const planned *p, const jl_amount *charge,
                   const jl_alcoholometer *instrument, const jl_forecast *sum) {
    figure figures[7];
    if (d == NULL) return 0;
    const jl_still *still = &p->settings.still;
    doubtful with = {.run = p,
                     .instrument = instrument,
                     .charge = doubt_amount(d, *charge),
                     .has_reflux = still->reflux > 0 && still->schedule_count == 0,
                     .has_clock = still->power_w > 0,
                     .has_cuts = jl_mass_kg(sum->fractions[JL_HEARTS]) > 0};
    with.vapour = doubt_input(d, "published vapours", JL_VAPOUR_OFF_U, JL_NORMAL);
    if (with.has_reflux) with.reflux = doubt_input(d, "reflux", REFLUX_SHARE, JL_RECTANGULAR);
    if (with.has_clock)
        with.efficiency = doubt_input(d, "efficiency of heating", EFFICIENCY_SHARE, JL_RECTANGULAR);
    doubt_usual_draws(d, DRAWS);
    int bad = doubt_show(s, d, forecast_doubtful, &with, figures, list_figures(&with, figures));
    if (bad != 0) return bad;
    show_assumption(s,
                    "Published vapour compositions lie ±6.6 %% (k = 2) about the model in how far "
                    "the volatility is from 1, by five sets.");
    if (with.has_reflux)
        show_assumption(s, "The reflux holds within ±10 %% (common practice, no source).");
    if (with.has_clock)
        show_assumption(
            s, "The efficiency holds within ±5 %% of itself (common practice, no source).");
    show_note(s,
              "The uncertainty is that of what was measured and of the vapour. That a still is no "
              "row of perfect stages comes on top: 'jarline calibrate' learns a still's own "
              "figures.");
    return 0;
}
