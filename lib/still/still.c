/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/still.h"

#include "still/equilibrium.h"
#include "still/heat.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Less heat than this boils nothing in a lifetime, and its times leave what a double can hold. */
static const double NET_LEAST_W = 1e-3;

/* Cooling water: 4.18 kJ/(kg K) and 0.998 kg/l at 20 °C (IAPWS-95). */
static const double COOLANT_J_L_K = 4.18e3 * 0.998;

/* ---- What is asked for ---- */

static bool between(double value, double least, double most) {
    return value >= least && value <= most;
}

static bool column_ok(double stages, double reflux) {
    return between(stages, 1, JL_STAGES_MOST) && between(reflux, 0, 1000);
}

static bool still_ok(const jl_still *s) {
    bool good = column_ok(s->stages, s->reflux) && jl_pressure_ok(s->pressure_kpa) &&
                between(s->vapour_off, -JL_VAPOUR_OFF_MOST, JL_VAPOUR_OFF_MOST) &&
                between(s->power_w, 0, 1e6) && s->efficiency > 0 && s->efficiency <= 1 &&
                between(s->loss_w, 0, 1e6) && between(s->boiler_heat_j_k, 0, 1e7) &&
                between(s->start_c, 0, 60) && between(s->spout_c, 0, JL_TEMP_MAX_C) &&
                s->coolant_rise_c > 0 && s->coolant_rise_c <= 90 &&
                between(s->min_liquid_l, 0, 1e6) &&
                (s->schedule != NULL || s->schedule_count == 0) && s->schedule_count <= 10000;
    for (size_t i = 0; good && i < s->schedule_count; i++)
        good = between(s->schedule[i].reflux, 0, 1000) && between(s->schedule[i].at, 0, 1e9);
    return good;
}

static bool cut_ok(const jl_cut *cut) {
    static const double MOST[] = {
        [JL_CUT_NEVER] = 1e300,     [JL_CUT_VOLUME_L] = 1e6,  [JL_CUT_CHARGE_SHARE] = 1,
        [JL_CUT_ALCOHOL_SHARE] = 1, [JL_CUT_SPOUT_PCT] = 100, [JL_CUT_BOILER_C] = 120,
        [JL_CUT_HEAD_C] = 120};
    if (cut->by == JL_CUT_NEVER) return true;
    return cut->by <= JL_CUT_HEAD_C && between(cut->at, 0, MOST[cut->by]);
}

static bool plan_ok(const jl_plan *p) {
    return cut_ok(&p->cuts.foreshots) && cut_ok(&p->cuts.heads) && cut_ok(&p->cuts.hearts) &&
           cut_ok(&p->cuts.tails) && between(p->jar_l, 0.001, 1e6) && jl_temp_ok(p->measured_c);
}

static bool charge_ok(jl_spirit charge) {
    return charge.ethanol_kg > 0 && charge.water_kg > 0 && between(jl_mass_kg(charge), 1e-3, 1e6);
}

jl_cut_rules jl_default_cuts(double strength_pct) {
    const double strip_below_pct = 20;
    if (strength_pct < strip_below_pct) return (jl_cut_rules){.tails = {JL_CUT_SPOUT_PCT, 10}};
    return (jl_cut_rules){
        .foreshots = {JL_CUT_CHARGE_SHARE, 0.005},
        .heads = {JL_CUT_CHARGE_SHARE, 0.02},
        .hearts = {JL_CUT_SPOUT_PCT, 60},
        .tails = {JL_CUT_SPOUT_PCT, 20},
    };
}

/* ---- The column over the boiler ---- */

double jl_head_c(const jl_table *table, const jl_column *column, double x, double distillate) {
    double slope;
    if (column->reflux == 0 || column->stages == 1) return jl_table_temp_c(table, x);
    return jl_table_temp_c(table, table->curve.liquid(&table->curve, distillate, &slope));
}

jl_status jl_first_drop(const jl_still *still, double mass_fraction, jl_boiling *boiling) {
    jl_table table;
    if (!column_ok(still->stages, still->reflux) || !(mass_fraction > 0 && mass_fraction < 1))
        return JL_RANGE;
    jl_status status = jl_table_fill(still->pressure_kpa, still->vapour_off, true, &table);
    if (status != JL_OK) return status;
    jl_column column = {&table.curve, still->stages, still->reflux};
    jl_distillate d = {0};
    double x = jl_mole_fraction(mass_fraction);
    jl_distil(&column, x, &d);
    *boiling = (jl_boiling){x, d.x, jl_table_temp_c(&table, x)};
    return JL_OK;
}

jl_shown jl_run_shown(jl_forecasting *run, const jl_point *point) {
    jl_column *column = &run->batch.setup.column;
    jl_distil(column, point->x, &run->batch.near);
    double distillate = run->batch.near.x;
    return (jl_shown){distillate, jl_table_temp_c(&run->table, point->x),
                      jl_head_c(&run->table, column, point->x, distillate)};
}

/* ---- Heat and clock ---- */

/* The vapour takes its latent heat, R + 1 times what is let out; the distillate carries away its
 * own heat, at first as warm as the head, at last as the spout. */
static void add_heats(const jl_forecasting *run, const jl_column *column, double left, double x,
                      const jl_distillate *d, double *rate) {
    jl_at_boil boil = jl_table_at(&run->table, x);
    double head = column->reflux == 0 || column->stages == 1
                      ? boil.temp_c
                      : jl_head_c(&run->table, column, x, d->x);
    rate[0] = left * ((column->reflux + 1) * boil.latent_j_mol + jl_liquid_heat_j_mol(d->x, head));
    rate[1] = left * jl_liquid_heat_j_mol(d->x, run->still.spout_c);
}

static void add_sums(void *with, const jl_column *column, double left, double x,
                     const jl_distillate *d, double *rate) {
    const jl_forecasting *run = with;
    if (run->heats < JL_SUMS_MOST) add_heats(run, column, left, x, d, rate + run->heats);
    /* d ln(trace left) / ds is the ratio itself; kept as its negative, which rises. */
    if (run->traces < JL_SUMS_MOST) jl_congener_ratios(column, x, d, rate + run->traces);
}

/* Of the liquid left and the boiler, J above 23 and 0 °C. */
static double held_j(const jl_forecasting *run, const jl_point *point) {
    double temp_c = jl_table_temp_c(&run->table, point->x);
    return run->moles * point->left * jl_liquid_heat_j_mol(point->x, temp_c) +
           run->still.boiler_heat_j_k * temp_c;
}

double jl_run_clock_s(const jl_forecasting *run, const jl_point *point) {
    if (run->heats == JL_SUMS_MOST) return NAN;
    double heat_j = held_j(run, point) - run->begin_heat_j + run->moles * point->sums[run->heats];
    return run->first_drop_s + heat_j / run->net_w;
}

double jl_run_coolant_j(const jl_forecasting *run, const jl_point *point) {
    if (run->heats == JL_SUMS_MOST) return NAN;
    return run->moles * (point->sums[run->heats] - point->sums[run->heats + 1]);
}

static void begin_heat(jl_forecasting *run) {
    const jl_still *still = &run->still;
    double temp_c = jl_table_temp_c(&run->table, run->at.x);
    double warm_up_j = run->moles * (jl_liquid_heat_j_mol(run->at.x, temp_c) -
                                     jl_liquid_heat_j_mol(run->at.x, still->start_c)) +
                       still->boiler_heat_j_k * (temp_c - still->start_c);
    run->begin_heat_j = held_j(run, &run->at);
    run->first_drop_s = run->heats == JL_SUMS_MOST ? NAN : warm_up_j / run->net_w;
}

/* ---- Opening and closing ---- */

/* Room for the sums that are wanted, with the scale that each is to be right to. */
static void set_sums(jl_forecasting *run, jl_boildown_setup *setup) {
    run->heats = run->traces = JL_SUMS_MOST;
    if (run->still.power_w > 0) {
        run->heats = 0;
        setup->scales[0] = setup->scales[1] = 4e4; /* J/mol: latent heat */
        setup->sums = 2;
    }
    if (run->plan.congeners) {
        run->traces = setup->sums;
        for (size_t i = 0; i < JL_CONGENERS; i++) setup->scales[setup->sums++] = 1;
    }
}

static jl_status fill_run(jl_forecasting *run, const jl_still *still, jl_spirit charge,
                          const jl_plan *plan, double tolerance) {
    run->still = *still;
    run->plan = *plan;
    run->charge = charge;
    if (still->schedule_count > 0) {
        size_t bytes = still->schedule_count * sizeof *run->schedule;
        run->schedule = malloc(bytes);
        if (run->schedule == NULL) return JL_MEMORY;
        memcpy(run->schedule, still->schedule, bytes);
    }
    run->net_w = still->power_w * still->efficiency - still->loss_w;
    run->charge_l = jl_volume_l(charge, JL_STRENGTH_C);
    if (still->power_w > 0 && !(run->net_w >= NET_LEAST_W)) return JL_NO;
    if (run->charge_l <= still->min_liquid_l) return JL_NO;
    double ethanol = charge.ethanol_kg / JL_ETHANOL_KG_MOL;
    run->moles = ethanol + charge.water_kg / JL_WATER_KG_MOL;
    jl_isotherm_at(JL_STRENGTH_C, &run->at_20c);
    jl_isotherm_at(plan->measured_c, &run->measured);
    jl_status status =
        jl_table_fill(still->pressure_kpa, still->vapour_off, still->stages > 1, &run->table);
    if (status != JL_OK) return status;
    jl_boildown_setup setup = {.column = {&run->table.curve, still->stages, still->reflux},
                               .x = ethanol / run->moles,
                               .tolerance = tolerance,
                               .rates = add_sums,
                               .with = run};
    set_sums(run, &setup);
    return jl_boildown_open(&setup, &run->batch);
}

/* The state of things at the first drop. */
static void begin(jl_forecasting *run) {
    run->at = (jl_point){.left = 1, .x = run->batch.setup.x};
    run->jar_begin = run->fraction_begin = run->at;
    begin_heat(run);
    jl_shown shown = jl_run_shown(run, &run->at);
    run->sum = (jl_forecast){.charge = run->charge,
                             .left = run->charge,
                             .first_drop_s = run->first_drop_s,
                             .ending = JL_ENDED_RULE};
    jl_strength_pct(jl_mass_fraction_from_mole(shown.distillate), JL_STRENGTH_C,
                    &run->sum.first_spout_pct);
    bool cuts = run->plan.cuts.foreshots.by != JL_CUT_NEVER ||
                run->plan.cuts.heads.by != JL_CUT_NEVER || run->plan.cuts.hearts.by != JL_CUT_NEVER;
    run->fraction = cuts ? JL_FORESHOTS : JL_UNDECIDED;
}

jl_status jl_run_open_within(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                             double tolerance, jl_forecasting **run) {
    if (!still_ok(still) || !plan_ok(plan) || !charge_ok(charge)) return JL_RANGE;
    jl_forecasting *opened = calloc(1, sizeof *opened);
    if (opened == NULL) return JL_MEMORY;
    jl_status status = fill_run(opened, still, charge, plan, tolerance);
    if (status != JL_OK) {
        jl_forecast_close(opened);
        return status;
    }
    begin(opened);
    *run = opened;
    return JL_OK;
}

jl_status jl_forecast_open(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                           jl_forecasting **run) {
    return jl_run_open_within(still, charge, plan, JL_TOLERANCE, run);
}

void jl_forecast_close(jl_forecasting *run) {
    if (run == NULL) return;
    jl_boildown_close(&run->batch);
    free(run->schedule);
    free(run);
}

/* ---- What came out ---- */

jl_spirit jl_run_between(const jl_forecasting *run, const jl_point *from, const jl_point *to) {
    double ethanol = fmax(to->out - from->out, 0);
    double water = fmax(from->left - to->left - ethanol, 0);
    return (jl_spirit){run->moles * ethanol * JL_ETHANOL_KG_MOL,
                       run->moles * water * JL_WATER_KG_MOL};
}

void jl_forecast_sum(const jl_forecasting *run, jl_forecast *forecast) {
    const jl_still *still = &run->still;
    *forecast = run->sum;
    forecast->left = (jl_spirit){
        run->moles * run->at.left * run->at.x * JL_ETHANOL_KG_MOL,
        run->moles * run->at.left * (1 - run->at.x) * JL_WATER_KG_MOL,
    };
    forecast->duration_s = jl_run_clock_s(run, &run->at);
    forecast->energy_j = still->power_w * forecast->duration_s;
    forecast->lost_j =
        (still->power_w * (1 - still->efficiency) + still->loss_w) * forecast->duration_s;
    forecast->coolant_j = jl_run_coolant_j(run, &run->at);
    forecast->coolant_l = forecast->coolant_j / (COOLANT_J_L_K * still->coolant_rise_c);
    forecast->coolant_most_l_s =
        run->heats == JL_SUMS_MOST
            ? NAN
            : run->sum.coolant_most_l_s / (COOLANT_J_L_K * still->coolant_rise_c);
}

double jl_forecast_congener(const jl_forecasting *run, size_t index) {
    if (index >= JL_CONGENERS || run->traces == JL_SUMS_MOST) return NAN;
    return exp(-run->at.sums[run->traces + index]);
}

jl_status jl_forecast_run(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                          jl_forecast *forecast) {
    jl_forecasting *run;
    jl_forecast_jar jar;
    jl_status status = jl_forecast_open(still, charge, plan, &run);
    if (status != JL_OK) return status;
    while (status == JL_OK) status = jl_forecast_next(run, &jar);
    if (status == JL_END) {
        jl_forecast_sum(run, forecast);
        status = JL_OK;
    }
    jl_forecast_close(run);
    return status;
}
