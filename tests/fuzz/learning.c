/* Any numbers into what learns from jars and into what weighs doubts: figures that can be, or a status.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bytes.h"

enum { JARS_MOST = 8, RUNS_MOST = 3, INPUTS_MOST = 4 };

static void uncertainty_holds(jl_uncertainty d) {
    HOLDS(isnan(d.value) || (isfinite(d.value) && isfinite(d.standard) && d.standard >= 0));
}

/* ---- A still's mixture, the rest of a run on it, what is wrong with it ---- */

static double next_or_none(bytes *b, double least, double most) {
    return next_byte(b) & 1 ? next(b, least, most) : NAN;
}

static jl_learning_widths widths(bytes *b) {
    jl_learning_widths w = JL_LEARNING_WIDTHS;
    w.alcoholometer_pct = next(b, 0.01, 2);
    w.scale = next(b, 0.001, 0.2);
    w.still_read_c = next(b, 0.05, 2);
    w.time_s = next(b, 0.1, 300);
    return w;
}

static jl_learning_run learning_run(bytes *b, jl_learning_jar *jars) {
    size_t count = next_byte(b) % (JARS_MOST + 1);
    for (size_t k = 0; k < count; k++)
        jars[k] = (jl_learning_jar){next(b, 0.01, 3),         next(b, 0, 0.1),
                                    next_or_none(b, 0, 100),  next(b, 0.05, 2),
                                    next_or_none(b, 20, 110), next_or_none(b, 20, 110),
                                    next_or_none(b, 0, 2e4)};
    return (jl_learning_run){.jars = jars,
                             .count = count,
                             .charge_l = next(b, 1, 50),
                             .charge_strength_pct = next(b, 1, 95),
                             .charge_share_u = next(b, 0.001, 0.1),
                             .charge_strength_u_pct = next(b, 0.05, 2),
                             .other_instrument = next_byte(b) & 1,
                             .charge_at_other_temp = next_byte(b) & 1,
                             .pressure_kpa = next(b, 30, 110),
                             .pressure_u_kpa = next(b, 0, 2),
                             .power_w = next_or_none(b, 100, 5000),
                             .loss_w = next(b, 0, 500),
                             .boiler_heat_j_k = next(b, 0, 1e4)};
}

static void estimate_holds(jl_estimate e, double least) {
    bool none = isnan(e.value) && isnan(e.low) && isnan(e.high);
    HOLDS(none || (e.low >= least && e.low <= e.high && isfinite(e.value)));
}

static void still_holds(const jl_learnt_still *still) {
    jl_learnt_summary s;
    jl_learnt_rows rows;
    HOLDS(jl_learnt_summarize(still, &s) == JL_OK);
    HOLDS(s.pot_weight >= 0 && s.pot_weight <= 1 + 1e-9 && s.stages >= 1);
    HOLDS(jl_learnt_write(still, &rows) == JL_OK && rows.count == still->count + 1);
    estimate_holds(s.share, 0);
    estimate_holds(s.efficiency, 0);
}

static void on_a_still(const jl_learning_run *run, const jl_learnt_still *still,
                       const jl_learning_widths *w, bytes *b) {
    jl_ahead_plan plan = {next(b, 0.1, 100), next(b, 0.1, 100), next(b, 0.01, 3), 2};
    jl_estimate next_pct[2];
    jl_ahead ahead;
    jl_diagnosis d;
    if (jl_run_ahead(run, still, w, &plan, next_pct, &ahead) == JL_OK) {
        for (int i = 0; i < 2; i++) estimate_holds(next_pct[i], 0);
        estimate_holds(ahead.stop_l, 0);
        estimate_holds(ahead.stop_pure_l, 0);
        estimate_holds(ahead.hearts_s, 0);
    }
    if (jl_run_diagnose(run, still, w, &d) != JL_OK) return;
    HOLDS(d.odds >= 0 && d.flagged == (d.odds > 1) && d.cause < JL_CAUSES);
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++)
        HOLDS(d.of[k].share >= 0 && d.of[k].share <= 1 + 1e-9 && d.of[k].jar < run->count + 1);
}

static void season(bytes *b) {
    static jl_learning_jar jars[RUNS_MOST][JARS_MOST];
    jl_learning_run runs[RUNS_MOST];
    jl_learnt_run each[RUNS_MOST] = {0};
    jl_learnt_still still;
    jl_learning_told told = JL_LEARNING_TOLD;
    size_t count = next_byte(b) % (RUNS_MOST + 1);
    jl_learning_widths w = widths(b);
    told.stages = next_or_none(b, 1, 12);
    for (size_t i = 0; i < count; i++) runs[i] = learning_run(b, jars[i]);
    if (jl_learn_still(runs, count, &w, &told, NULL, NULL, each, &still) != JL_OK) return;
    still_holds(&still);
    for (size_t i = 0; i < count; i++)
        HOLDS(isfinite(each[i].residual) && isfinite(each[i].share.standard));
    on_a_still(&runs[0], &still, &w, b);
}

static void run_on_a_still(bytes *b) {
    static jl_learning_jar jars[JARS_MOST];
    jl_learnt_still still;
    jl_learning_widths w = widths(b);
    jl_learning_run run = learning_run(b, jars);
    bool any = next_byte(b) & 1;
    jl_status status = any ? jl_still_unknown(&w, next(b, 0.05, 1), &still)
                           : jl_still_said(next(b, 1, 20), next(b, 0, 0.98), next(b, 0, 0.3), &w,
                                           next(b, 0.05, 1), &still);
    HOLDS(status == JL_OK || status == JL_RANGE);
    if (status == JL_OK) on_a_still(&run, &still, &w, b);
}

/* A sum and a ratio of the inputs; what is not finite has no figure. */
static jl_status model(const double *x, double *figures, void *with) {
    const size_t *count = with;
    figures[0] = 0;
    for (size_t i = 0; i < *count; i++) figures[0] += x[i];
    figures[1] = x[0] / x[*count - 1];
    return isfinite(figures[0]) && isfinite(figures[1]) ? JL_OK : JL_RANGE;
}

static void uncertainties(bytes *b) {
    jl_input inputs[INPUTS_MOST];
    double shares[INPUTS_MOST * 2];
    jl_uncertainty d[2];
    jl_drawn drawn[2];
    size_t count = 1 + next_byte(b) % INPUTS_MOST;
    for (size_t i = 0; i < count; i++)
        inputs[i] = (jl_input){next(b, -10, 10), next(b, 0, 2),
                               next_byte(b) & 1 ? JL_NORMAL : JL_RECTANGULAR};
    jl_measurement m = {
        .model = model, .with = &count, .inputs = inputs, .input_count = count, .figure_count = 2};
    if (jl_first_order(&m, shares, d) == JL_OK)
        for (int i = 0; i < 2; i++) {
            uncertainty_holds(d[i]);
            HOLDS(!isnan(d[i].value));
        }
    if (jl_monte_carlo(&m, 200, next_byte(b), drawn) != JL_OK) return;
    for (int i = 0; i < 2; i++) {
        HOLDS(drawn[i].low <= drawn[i].high && drawn[i].shortest_low <= drawn[i].shortest_high);
        HOLDS(drawn[i].standard >= 0 && drawn[i].refused <= 200);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static void (*const parts[])(bytes *) = {run_on_a_still, uncertainties, season};
    bytes b = {data, size};
    jl_quiet();
    parts[next_byte(&b) % (sizeof parts / sizeof parts[0])](&b);
    return 0;
}
