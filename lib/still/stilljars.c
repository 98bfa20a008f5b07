/* A run jar by jar: where jars, fractions and the run itself end.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/equilibrium.h"
#include "still/still.h"

#include <math.h>

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

static double strength_of(double distillate) {
    double pct = NAN;
    jl_strength_pct(jl_mass_fraction_from_mole(fmin(fmax(distillate, 0), 1)), JL_STRENGTH_C, &pct);
    return pct;
}

static double volume_at(const jl_isotherm *isotherm, jl_spirit spirit) {
    double mass_kg = jl_mass_kg(spirit);
    if (!(mass_kg > 0)) return 0;
    return mass_kg * 1000 / jl_isotherm_density(isotherm, spirit.ethanol_kg / mass_kg);
}

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
        return volume_at(&run->measured, jl_run_between(run, begin, point)) - cut->at;
    case JL_CUT_CHARGE_SHARE:
        return volume_at(&run->at_20c, jl_run_between(run, begin, point)) - cut->at * run->charge_l;
    case JL_CUT_ALCOHOL_SHARE:
        return point->out - begin->out - cut->at * run->batch.setup.x;
    case JL_CUT_SPOUT_PCT:
        return cut->at - strength_of(jl_run_shown(run, point).distillate);
    case JL_CUT_BOILER_C:
        return jl_table_temp_c(&run->table, point->x) - cut->at;
    case JL_CUT_HEAD_C:
        return jl_run_shown(run, point).head_c - cut->at;
    }
    return -1;
}

static double beyond_reflux(jl_forecasting *run, const jl_point *point) {
    static const jl_point start = {.left = 1};
    if (run->next_step == run->still.schedule_count) return -1;
    const jl_reflux_step *step = &run->schedule[run->next_step];
    switch (step->when) {
    case JL_WHEN_TIME_S:
        return jl_run_clock_s(run, point) - step->at;
    case JL_WHEN_VOLUME_L:
        return volume_at(&run->measured, jl_run_between(run, &start, point)) - step->at;
    case JL_WHEN_HEAD_C:
        return jl_run_shown(run, point).head_c - step->at;
    }
    return -1;
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
        return point->s - JL_DRY_S;
    case EVENT_CUT:
        return beyond_cut(run, rule_of(run), &run->fraction_begin, point);
    case EVENT_JAR:
        return volume_at(&run->measured, jl_run_between(run, &run->jar_begin, point)) -
               run->plan.jar_l;
    case EVENT_REFLUX:
        return beyond_reflux(run, point);
    default:
        return -1;
    }
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
            if (miss == 0) break;
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
        double watt = (jl_run_coolant_j(run, &b) - jl_run_coolant_j(run, &a)) /
                      (jl_run_clock_s(run, &b) - jl_run_clock_s(run, &a));
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
    jl_shown shown = jl_run_shown(run, &run->at);
    *jar = (jl_forecast_jar){
        .number = ++run->jars,
        .fraction = run->fraction,
        .spirit = jl_run_between(run, &run->jar_begin, &run->at),
        .so_far = jl_run_between(run, &start, &run->at),
        .spout_pct = strength_of(shown.distillate),
        .head_c = shown.head_c,
        .boiler_c = shown.boiler_c,
        .reflux = run->batch.setup.column.reflux,
        .elapsed_s = jl_run_clock_s(run, &run->at),
    };
    run->sum.collected = jar->so_far;
    run->sum.fractions[jar->fraction] = jl_blend(run->sum.fractions[jar->fraction], jar->spirit);
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
        jl_boildown_restart(&run->batch, &run->at, run->schedule[run->next_step++].reflux);
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
    return JL_NUMERIC;
}

jl_status jl_forecast_next(jl_forecasting *run, jl_forecast_jar *jar) {
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
