/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/forecast.h"
#include "keys/rule_text.h"
#include "spirit/density.h"
#include "still/boildown.h"
#include "text/array.h"
#include "text/quantity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Less heat than this boils nothing in a lifetime, and its times leave what a double can hold. */
static const double NET_LEAST_W = 1e-3;

/* Cooling water: 4.18 kJ/(kg K) and 0.998 kg/l at 20 °C (IAPWS-95). */
static const double COOLANT_J_L_K = 4.18e3 * 0.998;

/* A thousandth of the charge, by moles, is as good as dry. */
static const double DRY_S = 6.907755278982137;

struct jl_forecasting {
    jl_still still;
    jl_reflux_step *schedule;
    jl_plan plan;
    jl_spirit charge;
    jl_table table;
    jl_boildown batch;
    jl_isotherm at_20c, measured;
    double moles;        /* charged */
    double charge_l;     /* at 20 °C */
    double net_w;        /* what reaches the liquid and is not lost again */
    double begin_heat_j; /* of liquid and boiler at the first drop, as held_j */
    double first_drop_s;
    size_t heats, traces; /* where these sums stand; JL_SUMS_MOST when they are not kept */

    jl_point at, jar_begin, fraction_begin;
    jl_point last_begin; /* of the jar that was taken last */
    jl_fraction fraction;
    size_t jars, next_step;
    bool ended;
    jl_forecast sum;
};

/* ---- Structs that may grow ---- */

/* Of the first edition: what every caller has. */
enum {
    STILL_LEAST = offsetof(jl_still, min_liquid_l) + sizeof(double),
    PLAN_LEAST = offsetof(jl_plan, congeners) + sizeof(bool),
    JAR_LEAST = offsetof(jl_forecast_jar, elapsed_s) + sizeof(double),
    FORECAST_LEAST = offsetof(jl_forecast, ending) + sizeof(jl_ending)
};

/* What a caller's header does not have stays as it usually is. */
static bool take_still(const jl_still *given, jl_still *still) {
    *still = JL_STILL;
    return jl_sized_take(given, STILL_LEAST, still, sizeof *still);
}

static bool take_plan(const jl_plan *given, jl_plan *plan) {
    *plan = JL_PLAN(0);
    return jl_sized_take(given, PLAN_LEAST, plan, sizeof *plan);
}

/* ---- What is asked for ---- */

static bool column_ok(double stages, double reflux) {
    return jl_between(stages, 1, JL_STAGES_MOST) && jl_between(reflux, 0, JL_REFLUX_MOST);
}

static bool still_ok(const jl_still *s) {
    bool good = column_ok(s->stages, s->reflux_ratio) && jl_pressure_ok(s->pressure_kpa) &&
                jl_between(s->vapour_off_share, -JL_VAPOUR_OFF_MOST, JL_VAPOUR_OFF_MOST) &&
                jl_between(s->dilute_off_share, -JL_VAPOUR_OFF_MOST, JL_VAPOUR_OFF_MOST) &&
                jl_between(s->power_w, 0, 1e6) && s->efficiency_share > 0 &&
                s->efficiency_share <= 1 && jl_between(s->loss_w, 0, 1e6) &&
                jl_between(s->boiler_heat_j_k, 0, 1e7) && jl_between(s->start_c, 0, 60) &&
                jl_between(s->spout_c, 0, JL_TEMP_MAX_C) && s->coolant_rise_c > 0 &&
                s->coolant_rise_c <= 90 && jl_between(s->min_liquid_l, 0, 1e6) &&
                (s->schedule != NULL || s->schedule_count == 0) && s->schedule_count <= 10000;
    for (size_t i = 0; good && i < s->schedule_count; i++)
        good = jl_between(s->schedule[i].reflux_ratio, 0, 1000) &&
               jl_between(s->schedule[i].at, 0, 1e9);
    return good;
}

static bool cut_ok(const jl_cut *cut) {
    if (cut->by == JL_CUT_NEVER) return true;
    return cut->by <= JL_CUT_HEAD_C && jl_between(cut->at, 0, jl_cut_most(cut->by));
}

static bool plan_ok(const jl_plan *p) {
    return cut_ok(&p->cuts.foreshots) && cut_ok(&p->cuts.heads) && cut_ok(&p->cuts.hearts) &&
           cut_ok(&p->cuts.tails) && jl_between(p->jar_l, 0.001, 1e6) && jl_temp_ok(p->measured_c);
}

static bool charge_ok(jl_spirit charge) {
    return charge.ethanol_kg > 0 && charge.water_kg > 0 &&
           jl_between(jl_mass_kg(charge), 1e-3, 1e6);
}

/* ---- The column over the boiler ---- */

/* A column's solution may lie beside 0 to 1 by its rounding. */
static double strength_of(double distillate) {
    return jl_strength_pct_from_mole(fmin(fmax(distillate, 0), 1));
}

jl_status jl_first_drop(const jl_still *still, double mass_fraction, jl_boiling *boiling) {
    jl_table table;
    if (!jl_sized_ok(still, STILL_LEAST) || !column_ok(still->stages, still->reflux_ratio) ||
        !(mass_fraction > 0 && mass_fraction < 1))
        return JL_RANGE;
    jl_status status = jl_table_fill(still->pressure_kpa, still->vapour_off_share,
                                     still->dilute_off_share, true, &table);
    if (status != JL_OK) return status;
    jl_rectifier column = {&table.curve, still->stages, still->reflux_ratio};
    jl_distillate d = {0};
    double x = jl_mole_fraction(mass_fraction);
    jl_distil(&column, x, &d);
    *boiling = (jl_boiling){x, d.x, jl_table_temp_c(&table, x)};
    return JL_OK;
}

/* What leaves the spout at a point. */
static double distillate_at(jl_forecasting *run, const jl_point *point) {
    jl_distil(&run->batch.setup.column, point->x, &run->batch.near);
    return run->batch.near.x;
}

static double head_c_at(jl_forecasting *run, const jl_point *point) {
    return jl_head_c(&run->table, &run->batch.setup.column, point->x, distillate_at(run, point));
}

/* ---- Heat and clock ---- */

/* The vapour takes its latent heat, R + 1 times what is let out; the distillate carries away its
 * own heat, at first as warm as the head, at last as the spout. */
static void add_heats(const jl_forecasting *run, const jl_rectifier *column, double left, double x,
                      const jl_distillate *d, double *rate) {
    jl_at_boil boil = jl_table_at(&run->table, x);
    double head = column->reflux == 0 || column->stages == 1
                      ? boil.temp_c
                      : jl_head_c(&run->table, column, x, d->x);
    rate[0] = left * ((column->reflux + 1) * boil.latent_j_mol + jl_liquid_heat_j_mol(d->x, head));
    rate[1] = left * jl_liquid_heat_j_mol(d->x, run->still.spout_c);
}

static void add_sums(void *with, const jl_rectifier *column, double left, double x,
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

static double clock_s(const jl_forecasting *run, const jl_point *point) {
    if (run->heats == JL_SUMS_MOST) return NAN;
    double heat_j = held_j(run, point) - run->begin_heat_j + run->moles * point->sums[run->heats];
    return run->first_drop_s + heat_j / run->net_w;
}

static double coolant_j(const jl_forecasting *run, const jl_point *point) {
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

static jl_status fill_run(jl_forecasting *run, double tolerance) {
    const jl_still *still = &run->still;
    jl_spirit charge = run->charge;
    if (still->schedule_count > 0) {
        size_t bytes = still->schedule_count * sizeof *run->schedule;
        run->schedule = malloc(bytes);
        if (run->schedule == NULL) return JL_MEMORY;
        memcpy(run->schedule, still->schedule, bytes);
    }
    run->net_w = still->power_w * still->efficiency_share - still->loss_w;
    run->charge_l = jl_volume_l(charge, JL_STRENGTH_C);
    if (still->power_w > 0 && !(run->net_w >= NET_LEAST_W)) return JL_NO;
    if (run->charge_l <= still->min_liquid_l) return JL_NO;
    double ethanol = charge.ethanol_kg / JL_ETHANOL_KG_MOL;
    run->moles = ethanol + charge.water_kg / JL_WATER_KG_MOL;
    jl_isotherm_at(JL_STRENGTH_C, &run->at_20c);
    jl_isotherm_at(run->plan.measured_c, &run->measured);
    jl_status status = jl_table_fill(still->pressure_kpa, still->vapour_off_share,
                                     still->dilute_off_share, still->stages > 1, &run->table);
    if (status != JL_OK) return status;
    jl_boildown_setup setup = {.column = {&run->table.curve, still->stages, still->reflux_ratio},
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
    run->last_begin = run->jar_begin = run->fraction_begin = run->at;
    begin_heat(run);
    run->sum = (jl_forecast){.size = sizeof run->sum,
                             .charge = run->charge,
                             .left = run->charge,
                             .first_drop_s = run->first_drop_s,
                             .first_spout_pct = strength_of(distillate_at(run, &run->at)),
                             .ending = JL_ENDED_RULE};
    bool cuts = run->plan.cuts.foreshots.by != JL_CUT_NEVER ||
                run->plan.cuts.heads.by != JL_CUT_NEVER || run->plan.cuts.hearts.by != JL_CUT_NEVER;
    run->fraction = cuts ? JL_FORESHOTS : JL_UNDECIDED;
}

jl_status jl_forecast_open_within(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                                  double tolerance, jl_forecasting **run) {
    jl_forecasting *opened = calloc(1, sizeof *opened);
    if (opened == NULL) return JL_MEMORY;
    opened->charge = charge;
    bool good = take_still(still, &opened->still) && take_plan(plan, &opened->plan) &&
                still_ok(&opened->still) && plan_ok(&opened->plan) && charge_ok(charge);
    jl_status status = good ? fill_run(opened, tolerance) : JL_RANGE;
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
    return jl_forecast_open_within(still, charge, plan, JL_TOLERANCE, run);
}

void jl_forecast_close(jl_forecasting *run) {
    if (run == NULL) return;
    jl_boildown_close(&run->batch);
    free(run->schedule);
    free(run);
}

/* ---- What came out ---- */

static double volume_at(const jl_isotherm *isotherm, jl_spirit spirit) {
    double mass_kg = jl_mass_kg(spirit);
    if (!(mass_kg > 0)) return 0;
    return mass_kg * 1000 / jl_isotherm_density(isotherm, spirit.ethanol_kg / mass_kg);
}

static jl_spirit distilled(const jl_forecasting *run, const jl_point *from, const jl_point *to) {
    double ethanol = fmax(to->out - from->out, 0);
    double water = fmax(from->left - to->left - ethanol, 0);
    return (jl_spirit){run->moles * ethanol * JL_ETHANOL_KG_MOL,
                       run->moles * water * JL_WATER_KG_MOL};
}

/* ---- Where jars, fractions and the run itself end ---- */

/* What may happen next. The order decides between those that come at once. */
typedef enum event {
    EVENT_STOP,    /* the tails' rule */
    EVENT_ELEMENT, /* the heating element would be bared */
    EVENT_DRY,
    EVENT_CUT, /* the rule of the fraction that is running */
    EVENT_JAR, /* the jar is full */
    EVENT_REFLUX,
    EVENTS
} event;

static const jl_cut *rule_of(const jl_forecasting *run) {
    static const jl_cut none = {JL_CUT_NEVER, 0};
    switch (run->fraction) {
    case JL_FORESHOTS:
        return &run->plan.cuts.foreshots;
    case JL_HEADS:
        return &run->plan.cuts.heads;
    case JL_HEARTS:
        return &run->plan.cuts.hearts;
    default:
        return &none;
    }
}

/* How far beyond a rule a point lies: reached at 0. */
static double beyond_cut(jl_forecasting *run, const jl_cut *cut, const jl_point *begin,
                         const jl_point *point) {
    switch (cut->by) {
    case JL_CUT_NEVER:
        return -1;
    case JL_CUT_VOLUME_L:
        return volume_at(&run->measured, distilled(run, begin, point)) - cut->at;
    case JL_CUT_CHARGE_SHARE:
        return volume_at(&run->at_20c, distilled(run, begin, point)) - cut->at * run->charge_l;
    case JL_CUT_ALCOHOL_SHARE:
        return point->out - begin->out - cut->at * run->batch.setup.x;
    case JL_CUT_SPOUT_PCT:
        return cut->at - strength_of(distillate_at(run, point));
    case JL_CUT_BOILER_C:
        return jl_table_temp_c(&run->table, point->x) - cut->at;
    case JL_CUT_HEAD_C:
        break;
    }
    return head_c_at(run, point) - cut->at;
}

static double beyond_reflux(jl_forecasting *run, const jl_point *point) {
    static const jl_point start = {.left = 1};
    if (run->next_step == run->still.schedule_count) return -1;
    const jl_reflux_step *step = &run->schedule[run->next_step];
    switch (step->when) {
    case JL_WHEN_TIME_S:
        return clock_s(run, point) - step->at;
    case JL_WHEN_VOLUME_L:
        return volume_at(&run->measured, distilled(run, &start, point)) - step->at;
    case JL_WHEN_HEAD_C:
        break;
    }
    return head_c_at(run, point) - step->at;
}

static jl_spirit left_at(const jl_forecasting *run, const jl_point *point) {
    double moles = run->moles * point->left;
    return (jl_spirit){moles * point->x * JL_ETHANOL_KG_MOL,
                       moles * (1 - point->x) * JL_WATER_KG_MOL};
}

static double beyond(jl_forecasting *run, event e, const jl_point *point) {
    static const jl_point start = {.left = 1};
    switch (e) {
    case EVENT_STOP:
        return beyond_cut(run, &run->plan.cuts.tails, &start, point);
    case EVENT_ELEMENT:
        if (run->still.min_liquid_l == 0) return -1;
        return run->still.min_liquid_l - volume_at(&run->at_20c, left_at(run, point));
    case EVENT_DRY:
        return point->s - DRY_S;
    case EVENT_CUT:
        return beyond_cut(run, rule_of(run), &run->fraction_begin, point);
    case EVENT_JAR:
        return volume_at(&run->measured, distilled(run, &run->jar_begin, point)) - run->plan.jar_l;
    case EVENT_REFLUX:
    case EVENTS:
        break;
    }
    return beyond_reflux(run, point);
}

/* Where an event happens between run->at, before it, and a point beyond it: false position, with
 * the weight of an end that stays halved (Illinois). */
static void find(jl_forecasting *run, event e, double at_low, double at_high, jl_point *point) {
    enum { STEPS_MOST = 100 };
    double low = run->at.s, high = point->s;
    double reach = high;
    int stayed = 0;
    for (int i = 0; i < STEPS_MOST && high - low > 1e-14 * (1 + reach); i++) {
        double s = high - at_high * (high - low) / (at_high - at_low);
        if (!(s > low && s < high)) s = low + (high - low) / 2;
        jl_boildown_at(&run->batch, s, point);
        double miss = beyond(run, e, point);
        if (miss >= 0) {
            high = s;
            at_high = miss;
            if (stayed == 1) at_low /= 2;
            stayed = 1;
        } else {
            low = s;
            at_low = miss;
            if (stayed == -1) at_high /= 2;
            stayed = -1;
        }
    }
    jl_boildown_at(&run->batch, high, point);
}

/* The first event between run->at and *end, with *end put there; EVENTS when there is none. */
static event first_event(jl_forecasting *run, jl_point *end) {
    event first = EVENTS;
    for (event e = EVENT_STOP; e < EVENTS; e++) {
        double at_high = beyond(run, e, end);
        if (!(at_high >= 0)) continue;
        double at_low = beyond(run, e, &run->at);
        if (at_low >= 0)
            *end = run->at;
        else
            find(run, e, at_low, at_high, end);
        first = e;
    }
    return first;
}

/* The largest flow of cooling water is where the heat it takes rises fastest with the clock. */
static void watch_coolant(jl_forecasting *run) {
    double step = run->batch.half * 1e-3;
    double ends[] = {run->batch.begin, jl_boildown_end(&run->batch) - step};
    if (run->heats == JL_SUMS_MOST) return;
    for (int i = 0; i < 2; i++) {
        jl_point a, b;
        jl_boildown_at(&run->batch, ends[i], &a);
        jl_boildown_at(&run->batch, ends[i] + step, &b);
        double watt =
            (coolant_j(run, &b) - coolant_j(run, &a)) / (clock_s(run, &b) - clock_s(run, &a));
        run->sum.coolant_most_l_s = fmax(run->sum.coolant_most_l_s, watt);
    }
}

/* What came out and what is left are the charge: the distillate was summed up on its own. */
static bool conserved(const jl_forecasting *run) {
    double charged = run->batch.setup.x;
    return fabs(run->at.left * run->at.x + run->at.out - charged) <= 1e-9 * charged;
}

/* Passes over fractions that are over before their first drop. */
static void skip_fractions(jl_forecasting *run) {
    while (run->fraction != JL_UNDECIDED && run->fraction != JL_TAILS) {
        const jl_cut *rule = rule_of(run);
        bool none = rule->by == JL_CUT_NEVER && run->fraction != JL_HEARTS;
        if (!none && !(beyond_cut(run, rule, &run->fraction_begin, &run->at) >= 0)) return;
        run->fraction++;
    }
}

static void end_run(jl_forecasting *run, jl_ending ending) {
    run->ended = true;
    run->sum.ending = ending;
}

static void take_jar(jl_forecasting *run, jl_forecast_jar *jar) {
    static const jl_point start = {.left = 1};
    jl_forecast_jar made = {
        .size = sizeof made,
        .number = ++run->jars,
        .fraction = run->fraction,
        .spirit = distilled(run, &run->jar_begin, &run->at),
        .so_far = distilled(run, &start, &run->at),
        .spout_pct = strength_of(distillate_at(run, &run->at)),
        .head_c = head_c_at(run, &run->at),
        .boiler_c = jl_table_temp_c(&run->table, run->at.x),
        .reflux_ratio = run->batch.setup.column.reflux,
        .elapsed_s = clock_s(run, &run->at),
    };
    jl_sized_give(&made, sizeof made, jar);
    run->sum.collected = made.so_far;
    run->sum.fractions[made.fraction] = jl_blend(run->sum.fractions[made.fraction], made.spirit);
    run->last_begin = run->jar_begin;
    run->jar_begin = run->at;
}

/* What an event does. Returns whether a jar ends with it. */
static bool happen(jl_forecasting *run, event e) {
    switch (e) {
    case EVENT_STOP:
        end_run(run, JL_ENDED_RULE);
        return true;
    case EVENT_ELEMENT:
        end_run(run, JL_ENDED_ELEMENT);
        return true;
    case EVENT_DRY:
        end_run(run, JL_ENDED_DRY);
        return true;
    case EVENT_CUT:
    case EVENT_JAR:
        return true;
    case EVENT_REFLUX:
        jl_boildown_restart(&run->batch, &run->at, run->schedule[run->next_step++].reflux_ratio);
        return false;
    default:
        return false;
    }
}

/* On to the next event that ends a jar. */
static jl_status go_on(jl_forecasting *run, event *ended) {
    enum { STEPS_MOST = 1000000 };
    for (int i = 0; i < STEPS_MOST; i++) {
        jl_point end;
        if (run->at.s >= jl_boildown_end(&run->batch)) {
            jl_status status = jl_boildown_advance(&run->batch);
            if (status != JL_OK) return status;
            watch_coolant(run);
        }
        jl_boildown_at(&run->batch, jl_boildown_end(&run->batch), &end);
        *ended = first_event(run, &end);
        run->at = end;
        if (happen(run, *ended)) return conserved(run) ? JL_OK : JL_NUMERIC;
    }
    return JL_NUMERIC; /* GCOVR_EXCL_LINE: no run is known that takes so many steps */
}

jl_status jl_forecast_next(jl_forecasting *run, jl_forecast_jar *jar) {
    if (!jl_sized_ok(jar, JAR_LEAST)) return JL_RANGE;
    while (!run->ended) {
        event ended = EVENT_CUT;
        jl_fraction fraction = run->fraction;
        skip_fractions(run);
        if (run->fraction != fraction) run->fraction_begin = run->at;
        jl_status status = go_on(run, &ended);
        if (status != JL_OK) {
            run->ended = true;
            return status;
        }
        bool empty = run->at.s <= run->jar_begin.s;
        if (!empty) take_jar(run, jar);
        if (ended == EVENT_CUT) {
            run->fraction++;
            run->fraction_begin = run->at;
        }
        if (!empty) return JL_OK;
    }
    return JL_END;
}

/* ---- The sums ---- */

jl_status jl_forecast_sum(const jl_forecasting *run, jl_forecast *forecast) {
    const jl_still *still = &run->still;
    jl_forecast sum = run->sum;
    double coolant_j_l = COOLANT_J_L_K * still->coolant_rise_c, duration_s = clock_s(run, &run->at);
    if (!jl_sized_ok(forecast, FORECAST_LEAST)) return JL_RANGE;
    sum.left = left_at(run, &run->at);
    sum.duration_s = duration_s;
    sum.energy_j = still->power_w * duration_s;
    sum.lost_j = (still->power_w * (1 - still->efficiency_share) + still->loss_w) * duration_s;
    sum.coolant_j = coolant_j(run, &run->at);
    sum.coolant_l = sum.coolant_j / coolant_j_l;
    sum.coolant_most_l_s =
        run->heats == JL_SUMS_MOST ? NAN : run->sum.coolant_most_l_s / coolant_j_l;
    jl_sized_give(&sum, sizeof sum, forecast);
    return JL_OK;
}

double jl_forecast_congener(const jl_forecasting *run, size_t index) {
    if (index >= JL_CONGENERS || run->traces == JL_SUMS_MOST) return NAN;
    return exp(-run->at.sums[run->traces + index]);
}

void jl_forecast_congeners(const jl_forecasting *run, jl_congener_share jar[JL_CONGENER_FAMILIES],
                           jl_congener_share left[JL_CONGENER_FAMILIES]) {
    double now[JL_CONGENERS], gone[JL_CONGENERS];
    for (size_t i = 0; i < JL_CONGENERS; i++) {
        now[i] = jl_forecast_congener(run, i);
        gone[i] = isnan(now[i]) ? NAN : exp(-run->last_begin.sums[run->traces + i]) - now[i];
    }
    jl_congener_ranges(gone, jar);
    jl_congener_ranges(now, left);
}

/* ---- A whole run at once ---- */

static jl_status add_jar(jl_forecast_jars *all, size_t *room, const jl_forecast_jar *jar) {
    if (!jl_grow(&all->jars, all->count, room, sizeof *all->jars)) return JL_MEMORY;
    all->jars[all->count++] = *jar;
    return JL_OK;
}

/* all: NULL when only the sum is wanted. */
static jl_status run_through(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                             jl_forecast_jars *all, jl_forecast *sum) {
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    size_t room = 0;
    jl_status status = jl_forecast_open(still, charge, plan, &run);
    if (status != JL_OK) return status;
    while (status == JL_OK) {
        status = jl_forecast_next(run, &jar);
        if (status == JL_OK && all != NULL) status = add_jar(all, &room, &jar);
    }
    if (status == JL_END) status = jl_forecast_sum(run, sum);
    jl_forecast_close(run);
    return status;
}

jl_status jl_forecast_run(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                          jl_forecast *forecast) {
    return run_through(still, charge, plan, NULL, forecast);
}

jl_status jl_forecast_all(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                          jl_forecast_jars *all) {
    jl_forecast_jars made = {.sum = JL_FORECAST};
    jl_status status = run_through(still, charge, plan, &made, &made.sum);
    if (status == JL_OK)
        *all = made;
    else
        free(made.jars);
    return status;
}

void jl_forecast_jars_free(jl_forecast_jars *all) {
    free(all->jars);
    *all = (jl_forecast_jars){.count = 0};
}

void jl_spirit_figures(jl_spirit spirit, double figures[3]) {
    figures[0] = jl_volume_l(spirit, JL_STRENGTH_C);
    figures[1] = jl_spirit_strength_pct(spirit);
    figures[2] = jl_pure_alcohol_l(spirit);
}

void jl_forecast_figures(const jl_forecast *f, double figures[JL_RUN_FIGURES]) {
    jl_spirit_figures(f->collected, figures + JL_RUN_COLLECTED_L);
    jl_spirit_figures(f->fractions[JL_HEARTS], figures + JL_RUN_HEARTS_L);
    jl_spirit_figures(f->left, figures + JL_RUN_LEFT_L);
    figures[JL_RUN_FIRST_DROP_S] = f->first_drop_s;
    figures[JL_RUN_DURATION_S] = f->duration_s;
    figures[JL_RUN_DURATION_H] = f->duration_s / 3600;
    figures[JL_RUN_ENERGY_KWH] = f->energy_j / JL_J_KWH;
    figures[JL_RUN_COOLANT_L] = f->coolant_l;
    figures[JL_RUN_COOLANT_MOST_L_MIN] = 60 * f->coolant_most_l_s;
    figures[JL_RUN_FIRST_SPOUT_PCT] = f->first_spout_pct;
}

/* ---- A strip run in loads, its low wines pooled with feints, and the spirit runs on the pool ---- */

double jl_even_loads(double volume_l, double load_l) {
    const double rounding = 1e-9;
    return load_l > 0 ? fmax(ceil(volume_l / load_l * (1 - rounding)), 1) : 1;
}

static bool amount_ok(jl_spirit spirit) {
    return spirit.ethanol_kg >= 0 && spirit.water_kg >= 0;
}

/* As many as were stated, or as few as the load allows. */
static jl_status loads_of(jl_spirit all, size_t stated, double load_l, size_t *loads) {
    double count =
        stated > 0 ? (double)stated : jl_even_loads(jl_volume_l(all, JL_STRENGTH_C), load_l);
    if (!(count <= 1e6)) return JL_RANGE;
    *loads = (size_t)count;
    return JL_OK;
}

jl_spirit jl_chain_load(const jl_chain_charge *charge, size_t strip_loads) {
    double alike = (double)strip_loads - (charge->last_share > 0);
    return jl_spirit_times(charge->wash, (1 - charge->last_share) / alike);
}

/* Low wines go into one vessel, whatever the jars are that the still's settings name. */
static jl_status strip(const jl_still *still, const jl_plan *plan, const jl_chain_charge *charge,
                       jl_chain *c) {
    jl_plan whole = *plan;
    whole.jar_l = 1e6;
    jl_status status =
        jl_forecast_run(still, jl_chain_load(charge, c->strip_loads), &whole, &c->strip);
    c->last = c->strip;
    if (status == JL_OK && charge->last_share > 0)
        status =
            jl_forecast_run(still, jl_spirit_times(c->wash, charge->last_share), &whole, &c->last);
    if (status != JL_OK) return status;
    c->low_wines = jl_blend(jl_spirit_times(c->strip.collected, (double)(c->strip_loads - 1)),
                            c->last.collected);
    c->pool = jl_blend(c->low_wines, c->feints);
    return JL_OK;
}

jl_status jl_chain_strip(const jl_still *still, const jl_plan *plan, const jl_chain_charge *charge,
                         jl_chain *chain) {
    jl_chain c = {.wash = charge->wash,
                  .feints = charge->feints,
                  .strip = JL_FORECAST,
                  .last = JL_FORECAST,
                  .spirit = JL_FORECAST};
    if (!amount_ok(c.wash) || !amount_ok(c.feints) || !(charge->load_l >= 0)) return JL_RANGE;
    if (!(charge->last_share >= 0 && charge->last_share < 1) ||
        (charge->last_share > 0 && charge->strip_loads < 2))
        return JL_RANGE;
    jl_status status = loads_of(c.wash, charge->strip_loads, charge->load_l, &c.strip_loads);
    if (status == JL_OK) status = strip(still, plan, charge, &c);
    if (status == JL_OK)
        status = loads_of(c.pool, charge->spirit_loads, charge->load_l, &c.spirit_loads);
    if (status != JL_OK) return status;
    c.spirit_charge = jl_spirit_times(c.pool, 1 / (double)c.spirit_loads);
    *chain = c;
    return JL_OK;
}

/* Of all strip runs of the chain, from what one of each size takes. */
static double all_strips(const jl_chain *c, double strip, double last) {
    return (double)(c->strip_loads - 1) * strip + last;
}

void jl_chain_figures(const jl_chain *c, double figures[JL_CHAIN_FIGURES]) {
    const jl_forecast *strip = &c->strip, *last = &c->last, *spirit = &c->spirit;
    double runs = (double)c->spirit_loads;
    jl_spirit hearts = jl_spirit_times(spirit->fractions[JL_HEARTS], runs);
    jl_spirit feints =
        jl_spirit_times(jl_blend(spirit->fractions[JL_HEADS], spirit->fractions[JL_TAILS]), runs);
    jl_spirit_figures(c->low_wines, figures + JL_CHAIN_LOW_WINES_L);
    jl_spirit_figures(hearts, figures + JL_CHAIN_HEARTS_L);
    figures[JL_CHAIN_STRIP_RECOVERED_PCT] =
        100 * jl_pure_alcohol_l(c->low_wines) / jl_pure_alcohol_l(c->wash);
    figures[JL_CHAIN_STRIPS_S] = all_strips(c, strip->duration_s, last->duration_s);
    figures[JL_CHAIN_STRIPS_KWH] = all_strips(c, strip->energy_j, last->energy_j) / JL_J_KWH;
    figures[JL_CHAIN_STRIPS_COOLANT_L] = all_strips(c, strip->coolant_l, last->coolant_l);
    figures[JL_CHAIN_HEARTS_SHARE_PCT] =
        100 * jl_pure_alcohol_l(hearts) /
        (jl_pure_alcohol_l(c->wash) + jl_pure_alcohol_l(c->feints));
    figures[JL_CHAIN_FEINTS_PURE_L] = jl_pure_alcohol_l(feints);
    figures[JL_CHAIN_DURATION_S] = figures[JL_CHAIN_STRIPS_S] + runs * spirit->duration_s;
    figures[JL_CHAIN_DURATION_H] = figures[JL_CHAIN_DURATION_S] / 3600;
    figures[JL_CHAIN_ENERGY_KWH] =
        figures[JL_CHAIN_STRIPS_KWH] + runs * spirit->energy_j / JL_J_KWH;
    figures[JL_CHAIN_COOLANT_L] = figures[JL_CHAIN_STRIPS_COOLANT_L] + runs * spirit->coolant_l;
}
