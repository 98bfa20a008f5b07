/* How sure a forecast is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/uncertain.h"
#include "commands/forecast/forecast.h"

#include <math.h>

/* Half widths, as shares, of what nobody measures before a run: common practice, no source. */
static const double REFLUX_SHARE = 0.1, EFFICIENCY_SHARE = 0.05;
/* A forecast costs a thousand times what a reading does. */
enum { DRAWS = 2000 };

/* ---- What a still's figures depend on ---- */

typedef struct causes {
    const still_settings *settings;
    bool has_reflux, has_clock;
    size_t vapour, reflux, efficiency; /* places of their deviations */
} causes;

/* What runs of this still have told is in its own units: of the share that runs back, of the
 * efficiency. What nobody has measured is a share of itself. */
static size_t list_one(uncertainty *d, const char *cause, double told_u, double untold_share) {
    return isnan(told_u) ? uncertainty_input(d, cause, untold_share, JL_RECTANGULAR)
                         : uncertainty_input(d, cause, told_u, JL_NORMAL);
}

static causes list_causes(uncertainty *d, const still_settings *settings) {
    const jl_still *still = &settings->still;
    causes c = {.settings = settings,
                .has_reflux = still->reflux > 0 && still->schedule_count == 0,
                .has_clock = still->power_w > 0};
    c.vapour = uncertainty_input(d, "published vapours", JL_VAPOUR_OFF_U, JL_NORMAL);
    if (c.has_reflux) c.reflux = list_one(d, "reflux", settings->reflux_share_u, REFLUX_SHARE);
    if (c.has_clock)
        c.efficiency =
            list_one(d, "efficiency of heating", settings->efficiency_u, EFFICIENCY_SHARE);
    return c;
}

static jl_still still_at(const jl_still *plan, const causes *c, const double *x) {
    jl_still still = *plan;
    still.vapour_off = x[c->vapour];
    double off = c->has_reflux ? x[c->reflux] : 0;
    if (isnan(c->settings->reflux_share_u))
        still.reflux *= 1 + off;
    else if (still.reflux > 0) {
        double share = fmin(fmax(still.reflux / (1 + still.reflux) + off, 0), 0.98);
        still.reflux = share / (1 - share);
    }
    off = c->has_clock ? x[c->efficiency] : 0;
    off *= isnan(c->settings->efficiency_u) ? still.efficiency : 1;
    still.efficiency = fmin(fmax(still.efficiency + off, 0.01), 1);
    return still;
}

static void say_causes(show *s, const causes *c) {
    show_assumption(s,
                    "Published vapour compositions lie ±6.6 %% (k = 2) about the model in how far "
                    "the volatility is from 1, by five sets.");
    const still_settings *still = c->settings;
    bool told = !isnan(still->reflux_share_u) || !isnan(still->efficiency_u);
    if (c->has_reflux && isnan(still->reflux_share_u))
        show_assumption(s, "The reflux holds within ±10 %% (common practice, no source).");
    else if (c->has_reflux)
        show_assumption(s, "The share that runs back holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * still->reflux_share_u, still->file);
    if (c->has_clock && isnan(still->efficiency_u))
        show_assumption(
            s, "The efficiency holds within ±5 %% of itself (common practice, no source).");
    else if (c->has_clock)
        show_assumption(s, "The efficiency holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * still->efficiency_u, still->file);
    show_note(s,
              "The uncertainty is that of what was measured and of the vapour. That a still is no "
              "row of perfect stages comes on top%s.",
              told ? "" : ": 'jarline calibrate' learns a still's own figures");
}

/* Volume, strength and pure alcohol of an amount. */
static size_t fill_amount(double *figures, jl_spirit spirit) {
    figures[0] = jl_volume_l(spirit, JL_STRENGTH_C);
    figures[1] = jl_spirit_strength_pct(spirit);
    figures[2] = jl_pure_alcohol_l(spirit);
    return 3;
}

static const figure HEARTS[] = {
    {"hearts_l", "Hearts at 20 °C", "hearts", "l"},
    {"hearts_pct", "their strength", "of hearts", "% vol"},
    {"hearts_pure_alcohol_l", "their pure alcohol", "hearts alc.", "l"}};

static size_t list_three(const figure *three, figure *figures) {
    for (size_t i = 0; i < 3; i++) figures[i] = three[i];
    return 3;
}

/* ---- One run ---- */

typedef struct doubtful_run {
    const planned *run;
    const jl_alcoholometer *instrument;
    measured_amount charge;
    causes causes;
    bool has_cuts;
} doubtful_run;

static jl_status forecast_doubtful(const double *x, double *figures, void *with) {
    const doubtful_run *d = with;
    const jl_still still = still_at(&d->run->settings.still, &d->causes, x);
    jl_spirit charge;
    jl_forecast f;
    jl_status status = measured_amount_at(&d->charge, d->instrument, x, &charge);
    if (status == JL_OK) status = jl_forecast_run(&still, charge, &d->run->settings.plan, &f);
    if (status != JL_OK) return status;
    size_t n = fill_amount(figures, f.collected);
    if (d->has_cuts) n += fill_amount(figures + n, f.fractions[JL_HEARTS]);
    if (d->causes.has_clock) figures[n++] = f.duration_s / 3600;
    return JL_OK;
}

static size_t list_figures(const doubtful_run *d, figure *figures) {
    static const figure ALL[] = {{"volume_l", "Collected at 20 °C", "collected", "l"},
                                 {"strength_pct", "its strength", "strength", "% vol"},
                                 {"pure_alcohol_l", "its pure alcohol", "pure alc.", "l"}};
    size_t n = list_three(ALL, figures);
    if (d->has_cuts) n += list_three(HEARTS, figures + n);
    if (d->causes.has_clock) figures[n++] = (figure){"duration_h", "Duration", "duration", "h"};
    return n;
}

int forecast_uncertainty(show *s, uncertainty *d, const planned *p, const jl_amount *charge,
                         const jl_alcoholometer *instrument, const jl_forecast *sum) {
    figure figures[7];
    if (d == NULL) return 0;
    doubtful_run with = {.run = p,
                         .instrument = instrument,
                         .charge = uncertainty_amount(d, *charge),
                         .causes = list_causes(d, &p->settings),
                         .has_cuts = jl_mass_kg(sum->fractions[JL_HEARTS]) > 0};
    uncertainty_usual_draws(d, DRAWS);
    int bad =
        uncertainty_show(s, d, forecast_doubtful, &with, figures, list_figures(&with, figures));
    if (bad == 0) say_causes(s, &with.causes);
    return bad;
}

/* ---- A strip run and the spirit run on its low wines ---- */

typedef struct doubtful_chain {
    const chain *chain;
    const jl_alcoholometer *instrument;
    measured_amount wash, feints;
    causes causes;
} doubtful_chain;

/* As many loads as were planned, each a little larger or smaller with the wash. */
static jl_status chain_doubtful(const double *x, double *figures, void *with) {
    const doubtful_chain *d = with;
    const planned *strip = &d->chain->strip, *spirit = &d->chain->spirit;
    const jl_still first = still_at(&strip->settings.still, &d->causes, x);
    const jl_still second = still_at(&spirit->settings.still, &d->causes, x);
    const double loads = (double)strip->times, runs = (double)spirit->times;
    jl_spirit wash, feints = {0, 0};
    jl_forecast stripped, f;
    jl_status status = measured_amount_at(&d->wash, d->instrument, x, &wash);
    if (status == JL_OK && d->chain->has_feints)
        status = measured_amount_at(&d->feints, d->instrument, x, &feints);
    if (status == JL_OK)
        status = jl_forecast_run(&first, jl_spirit_times(wash, 1 / loads), &strip->settings.plan,
                                 &stripped);
    if (status != JL_OK) return status;
    jl_spirit low_wines = jl_spirit_times(stripped.collected, loads);
    status = jl_forecast_run(&second, jl_spirit_times(jl_blend(low_wines, feints), 1 / runs),
                             &spirit->settings.plan, &f);
    if (status != JL_OK) return status;
    size_t n = fill_amount(figures, low_wines);
    n += fill_amount(figures + n, jl_spirit_times(f.fractions[JL_HEARTS], runs));
    if (d->causes.has_clock)
        figures[n++] = (loads * stripped.duration_s + runs * f.duration_s) / 3600;
    return JL_OK;
}

/* An amount at 20 °C as if it had been measured so. */
static jl_amount as_measured(jl_spirit spirit) {
    return (jl_amount){.size = jl_volume_l(spirit, JL_STRENGTH_C),
                       .strength = {jl_spirit_strength_pct(spirit), JL_UNIT_PCT_VOL},
                       .temp_c = JL_STRENGTH_C};
}

int chain_uncertainty(show *s, uncertainty *d, const chain *c, const jl_amount *wash,
                      const jl_alcoholometer *instrument) {
    static const figure LOW_WINES[] = {
        {"low_wines_l", "Low wines at 20 °C", "low wines", "l"},
        {"low_wines_pct", "their strength", "of wines", "% vol"},
        {"low_wines_pure_alcohol_l", "their pure alcohol", "wines alc.", "l"}};
    figure figures[7];
    if (d == NULL) return 0;
    doubtful_chain with = {
        .chain = c, .instrument = instrument, .wash = uncertainty_amount(d, *wash)};
    if (c->has_feints) with.feints = uncertainty_amount(d, as_measured(c->feints));
    with.causes = list_causes(d, &c->spirit.settings);
    size_t n = list_three(LOW_WINES, figures);
    n += list_three(HEARTS, figures + n);
    if (with.causes.has_clock)
        figures[n++] = (figure){"duration_h", "All runs take", "duration", "h"};
    uncertainty_usual_draws(d, DRAWS);
    int bad = uncertainty_show(s, d, chain_doubtful, &with, figures, n);
    if (bad != 0) return bad;
    say_causes(s, &with.causes);
    if (c->has_feints)
        show_assumption(s, "The feints together are as uncertain as one jug and one reading.");
    return 0;
}
