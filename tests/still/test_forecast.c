/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "spirit/density.h"
#include "still/boildown.h"
#include "still/forecast.h"
#include "suites.h"

#include <stdlib.h>

static jl_spirit amount(double volume_l, double strength_pct) {
    double w = NAN;
    jl_spirit spirit = {NAN, NAN};
    CHECK_OK(jl_mass_fraction_from_strength(strength_pct, 20, &w));
    CHECK_OK(jl_spirit_from_volume(volume_l, w, 20, &spirit));
    return spirit;
}

static jl_forecast forecast(const jl_still *still, jl_spirit charge, const jl_plan *plan) {
    jl_forecast sum = JL_FORECAST;
    sum.charge = (jl_spirit){NAN, NAN};
    CHECK_OK(jl_forecast_run(still, charge, plan, &sum));
    return sum;
}

/* ---- Runs that others measured ---- */

/* A student laboratory, 2024 (signed sheets of a course, values only): 200 ml
 * of ethanol of 98.8 % mas and 400 ml of water, a flask without a column. Fractions of 47.4, 84 and
 * 64 ml at 30.5 °C had 76.5, 75.5 and 66.6 % vol. */
static void student_laboratory_batch(void) {
    jl_spirit ethanol, water;
    CHECK_OK(jl_spirit_from_volume(0.2, 0.988, 20, &ethanol));
    CHECK_OK(jl_spirit_from_volume(0.4, 0, 20, &water));
    jl_still still = JL_STILL;
    jl_plan plan = {.size = sizeof plan,
                    .cuts = {.foreshots = {JL_CUT_VOLUME_L, 0.0474},
                             .heads = {JL_CUT_VOLUME_L, 0.084},
                             .hearts = {JL_CUT_VOLUME_L, 0.064}},
                    .jar_l = 1,
                    .measured_c = 30.5};
    jl_forecast sum = forecast(&still, jl_blend(ethanol, water), &plan);
    double first = jl_spirit_strength_pct(sum.fractions[JL_FORESHOTS]);
    double second = jl_spirit_strength_pct(sum.fractions[JL_HEADS]);
    double third = jl_spirit_strength_pct(sum.fractions[JL_HEARTS]);
    CHECK_NEAR(first, 76.5, 0.39); /* no further than the first edition was */
    CHECK_NEAR(second, 75.5, 1.59);
    CHECK_NEAR(third, 66.6, 1.22);
    CHECK(first > second && second > third);
    CHECK_NEAR(jl_volume_l(sum.fractions[JL_FORESHOTS], 30.5), 0.0474, 1e-9);
    CHECK_NEAR(jl_volume_l(sum.fractions[JL_HEADS], 30.5), 0.084, 1e-9);
    CHECK_NEAR(jl_volume_l(sum.fractions[JL_HEARTS], 30.5), 0.064, 1e-9);
}

/* University of São Paulo, 2009 (strengths only, read): low wines of 34.95 % vol in a copper pot
 * gave a head of 77.38, a heart of 71.15 and a tail of 30.12 % vol. Head: the first 2 % of the
 * charge; heart: to 59 % at the spout. Where the tail ended is not told. No further than the first
 * edition was. */
static double sao_paulo_tail(double stop_pct) {
    jl_still still = JL_STILL;
    jl_plan plan = {.size = sizeof plan,
                    .cuts = {.heads = {JL_CUT_CHARGE_SHARE, 0.02},
                             .hearts = {JL_CUT_SPOUT_PCT, 59},
                             .tails = {JL_CUT_SPOUT_PCT, stop_pct}},
                    .jar_l = 0.5,
                    .measured_c = 20};
    jl_forecast sum = forecast(&still, amount(20, 34.95), &plan);
    CHECK_NEAR(jl_spirit_strength_pct(sum.fractions[JL_HEADS]), 77.38, 0.44);
    CHECK_NEAR(jl_spirit_strength_pct(sum.fractions[JL_HEARTS]), 71.15, 0.36);
    return jl_spirit_strength_pct(sum.fractions[JL_TAILS]);
}

static void sao_paulo_second_distillation(void) {
    CHECK(sao_paulo_tail(5) > 30.12);
    CHECK(sao_paulo_tail(1) < 30.12);
}

/* ---- What must hold in every run ---- */

static double uniform(double a, double b) {
    return a + (b - a) * rand() / RAND_MAX;
}

static double logarithmic(double a, double b) {
    return a * pow(b / a, uniform(0, 1));
}

typedef struct any_run {
    jl_still still;
    jl_spirit charge;
    jl_plan plan;
    double strength_pct;
} any_run;

/* Charge 2 to 95 % vol, 1 to 30 stages, reflux 0 to 50, 60 to 105 kPa, jars of 5 ml to 50 l. */
static any_run random_run(void) {
    any_run r = {.still = JL_STILL};
    double charge_l = logarithmic(0.5, 200);
    r.strength_pct = uniform(2, 95);
    r.charge = amount(charge_l, r.strength_pct);
    r.still.stages = rand() % 3 == 0 ? uniform(1, 30) : 1 + rand() % 30;
    r.still.reflux_ratio = rand() % 5 == 0 ? 0 : logarithmic(0.01, 50);
    r.still.pressure_kpa = uniform(60, 105);
    r.still.spout_c = uniform(5, 40);
    r.still.efficiency_share = uniform(0.3, 1);
    r.still.loss_w = uniform(0, 300);
    r.plan = JL_PLAN(r.strength_pct);
    do r.plan.jar_l = logarithmic(0.005, 50);
    while (charge_l / r.plan.jar_l > 500);
    r.plan.measured_c = uniform(5, 40);
    if (rand() % 3 == 0) r.plan.cuts.tails = (jl_cut){JL_CUT_SPOUT_PCT, uniform(0.5, 50)};
    if (rand() % 4 == 0) r.still.min_liquid_l = uniform(0, charge_l);
    return r;
}

static double relative(double a, double b, double to) {
    return fabs(a - b) / to;
}

static void moles_and_ethanol_are_conserved(void) {
    srand(11);
    for (int i = 0; i < 1000; i++) {
        any_run r = random_run();
        jl_forecasting *run = NULL;
        jl_forecast_jar jar = JL_FORECAST_JAR;
        jl_forecast sum = JL_FORECAST;
        jl_spirit out = {0, 0};
        size_t jars = 0;
        jl_status status;
        CHECK_OK(jl_forecast_open(&r.still, r.charge, &r.plan, &run));
        while ((status = jl_forecast_next(run, &jar)) == JL_OK) {
            out = jl_blend(out, jar.spirit);
            CHECK(jar.number == ++jars);
            CHECK(jl_volume_l(jar.spirit, r.plan.measured_c) <= r.plan.jar_l * (1 + 1e-9));
            CHECK(jar.head_c <= jar.boiler_c + 1e-9 || r.strength_pct > 90);
        }
        CHECK_STATUS(status, JL_END);
        jl_forecast_sum(run, &sum);
        jl_forecast_close(run);
        jl_spirit back = jl_blend(out, sum.left);
        CHECK(relative(back.ethanol_kg, r.charge.ethanol_kg, r.charge.ethanol_kg) <= 1e-9);
        double moles =
            r.charge.ethanol_kg / JL_ETHANOL_KG_MOL + r.charge.water_kg / JL_WATER_KG_MOL;
        double moles_back = back.ethanol_kg / JL_ETHANOL_KG_MOL + back.water_kg / JL_WATER_KG_MOL;
        CHECK(relative(moles_back, moles, moles) <= 1e-9);
        jl_spirit parts = {0, 0};
        for (int f = 0; f < 5; f++) parts = jl_blend(parts, sum.fractions[f]);
        CHECK(relative(parts.ethanol_kg, out.ethanol_kg, r.charge.ethanol_kg) <= 1e-12);
    }
}

static double heat_of(jl_spirit spirit, double temp_c) {
    double ethanol = spirit.ethanol_kg / JL_ETHANOL_KG_MOL;
    double moles = ethanol + spirit.water_kg / JL_WATER_KG_MOL;
    return moles > 0 ? moles * jl_liquid_heat_j_mol(ethanol / moles, temp_c) : 0;
}

/* What the plug gave is what was lost, what the cooling water took, and what charge, distillate and
 * boiler hold more than before. At 23 °C, where heat counts from, the distillate holds none. */
static void energy_in_is_energy_out(void) {
    srand(12);
    for (int i = 0; i < 200; i++) {
        any_run r = random_run();
        r.still.spout_c = 23;
        r.plan.jar_l = 1e3;
        jl_forecast sum = forecast(&r.still, r.charge, &r.plan);
        if (!(jl_mass_kg(sum.collected) > 0)) continue;
        jl_boiling end;
        CHECK_OK(jl_boil(jl_mole_fraction(jl_mass_fraction(sum.left)), r.still.pressure_kpa, &end));
        double held = heat_of(sum.left, end.temp_c) - heat_of(r.charge, r.still.start_c) +
                      r.still.boiler_heat_j_k * (end.temp_c - r.still.start_c);
        CHECK_NEAR(sum.energy_j, r.still.power_w * sum.duration_s, 1e-9 * sum.energy_j);
        CHECK_NEAR(sum.lost_j + sum.coolant_j + held, sum.energy_j, 1e-7 * sum.energy_j);
        CHECK(sum.coolant_most_l_s * sum.duration_s >= sum.coolant_l);
    }
}

/* A tenth of the last printed digit: 0.1 ml, 0.01 % vol, 0.01 °C, 0.1 min. Here a tenth of that
 * again. */
static void halving_the_tolerance_moves_no_printed_figure(void) {
    srand(13);
    for (int i = 0; i < 200; i++) {
        any_run r = random_run();
        jl_forecasting *a = NULL, *b = NULL;
        jl_forecast_jar ja = JL_FORECAST_JAR, jb = JL_FORECAST_JAR;
        CHECK_OK(jl_forecast_open_within(&r.still, r.charge, &r.plan, JL_TOLERANCE, &a));
        CHECK_OK(jl_forecast_open_within(&r.still, r.charge, &r.plan, JL_TOLERANCE / 2, &b));
        jl_status status = JL_OK;
        while (status == JL_OK) {
            status = jl_forecast_next(a, &ja);
            CHECK_STATUS(jl_forecast_next(b, &jb), status);
            if (status != JL_OK) break;
            CHECK(ja.fraction == jb.fraction);
            CHECK_NEAR(jl_volume_l(ja.spirit, 20), jl_volume_l(jb.spirit, 20), 1e-6);
            CHECK_NEAR(jl_spirit_strength_pct(ja.spirit), jl_spirit_strength_pct(jb.spirit), 1e-3);
            CHECK_NEAR(ja.spout_pct, jb.spout_pct, 1e-3);
            CHECK_NEAR(ja.head_c, jb.head_c, 1e-3);
            CHECK_NEAR(ja.boiler_c, jb.boiler_c, 1e-3);
            CHECK_NEAR(ja.elapsed_s, jb.elapsed_s, 0.6);
        }
        jl_forecast_close(a);
        jl_forecast_close(b);
    }
}

static jl_forecast_jar first_jar(const jl_still *still, jl_spirit charge, const jl_plan *plan) {
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    CHECK_OK(jl_forecast_open(still, charge, plan, &run));
    CHECK_OK(jl_forecast_next(run, &jar));
    jl_forecast_close(run);
    return jar;
}

static void more_stages_never_weaken_the_first_jar(void) {
    for (double strength = 3; strength <= 96; strength += 3) {
        jl_spirit charge = amount(20, strength);
        jl_plan plan = {.size = sizeof plan, .jar_l = 0.3, .measured_c = 20};
        double before = 0;
        for (double stages = 1; stages <= 30; stages += stages < 4 ? 0.25 : 1) {
            jl_still still = JL_STILL;
            still.stages = stages;
            still.reflux_ratio = 2;
            double pct = jl_spirit_strength_pct(first_jar(&still, charge, &plan).spirit);
            CHECK(pct >= before - 1e-6);
            before = pct;
        }
    }
}

static void same_runs(const jl_still *a, const jl_still *b, bool heat_too) {
    jl_forecasting *run[2] = {NULL, NULL};
    jl_forecast_jar jar[2] = {JL_FORECAST_JAR, JL_FORECAST_JAR};
    jl_plan plan = JL_PLAN(35);
    jl_status status = JL_OK;
    CHECK_OK(jl_forecast_open(a, amount(10, 35), &plan, &run[0]));
    CHECK_OK(jl_forecast_open(b, amount(10, 35), &plan, &run[1]));
    while (status == JL_OK) {
        status = jl_forecast_next(run[0], &jar[0]);
        CHECK_STATUS(jl_forecast_next(run[1], &jar[1]), status);
        CHECK(jar[0].spirit.ethanol_kg == jar[1].spirit.ethanol_kg);
        CHECK(jar[0].spirit.water_kg == jar[1].spirit.water_kg);
        CHECK(jar[0].head_c == jar[1].head_c && jar[0].boiler_c == jar[1].boiler_c);
        if (heat_too) CHECK(jar[0].elapsed_s == jar[1].elapsed_s);
    }
    jl_forecast_close(run[0]);
    jl_forecast_close(run[1]);
}

/* Without the clock: heat for what one stage's head returns would change the steps. */
static void one_stage_or_no_reflux_is_exactly_the_pot(void) {
    jl_still pot = JL_STILL, one = JL_STILL, none = JL_STILL;
    none.stages = 8;
    same_runs(&pot, &none, true);
    one.reflux_ratio = 3;
    one.power_w = pot.power_w = 0;
    same_runs(&pot, &one, false);
}

static void a_fraction_of_a_stage_is_continuous(void) {
    jl_spirit charge = amount(20, 30);
    jl_plan plan = JL_PLAN(30);
    for (double stages = 1; stages <= 8; stages += 0.5) {
        jl_still still = JL_STILL;
        still.reflux_ratio = 2;
        still.stages = stages;
        jl_forecast at = forecast(&still, charge, &plan);
        still.stages = stages + 1e-6;
        jl_forecast beyond = forecast(&still, charge, &plan);
        CHECK_NEAR(jl_pure_alcohol_l(beyond.fractions[JL_HEARTS]),
                   jl_pure_alcohol_l(at.fractions[JL_HEARTS]), 2e-5);
        CHECK_NEAR(beyond.first_spout_pct, at.first_spout_pct, 1e-4);
        CHECK_NEAR(beyond.duration_s, at.duration_s, 1);
    }
}

/* ---- Edges ---- */

static void a_charge_around_the_azeotrope_is_right(void) {
    jl_boiling azeotrope;
    jl_still still = JL_STILL;
    jl_plan plan = {.size = sizeof plan, .jar_l = 1, .measured_c = 20};
    CHECK_OK(jl_azeotrope(still.pressure_kpa, &azeotrope));
    double strength;
    CHECK_OK(
        jl_strength_pct(jl_mass_fraction_from_mole(azeotrope.liquid_mole_fraction), 20, &strength));
    for (still.stages = 1; still.stages <= 21; still.stages += 10)
        for (int side = -2; side <= 2; side++) {
            jl_forecast_jar jar = JL_FORECAST_JAR;
            jl_forecasting *run = NULL;
            double charge_pct =
                side == 0 ? strength : strength + side * (side * side > 1 ? 1 : 0.01);
            still.reflux_ratio = 5;
            CHECK_OK(jl_forecast_open(&still, amount(10, charge_pct), &plan, &run));
            jl_status status;
            double last_c = 0;
            while ((status = jl_forecast_next(run, &jar)) == JL_OK) {
                double pct = jl_spirit_strength_pct(jar.spirit);
                CHECK(pct > 90 && pct <= 100);
                if (jar.number == 1 && side != 0)
                    CHECK((pct > charge_pct - 1e-4 && side < 0) || (pct < charge_pct && side > 0));
                CHECK(jar.boiler_c >= last_c - 1e-6); /* away from the azeotrope, either way */
                last_c = jar.boiler_c;
                if (jar.number > 8) break;
            }
            CHECK(status == JL_OK || status == JL_END);
            jl_forecast_close(run);
        }
}

static void nearly_water_gives_nearly_water(void) {
    jl_still still = JL_STILL;
    jl_plan plan = {.size = sizeof plan, .jar_l = 1, .measured_c = 20};
    for (double pct = 1e-6; pct < 0.1; pct *= 10) {
        jl_forecast sum = forecast(&still, amount(10, pct), &plan);
        CHECK(sum.ending == JL_ENDED_DRY);
        /* Vapour holds about 12 to 13 times the mole fraction of its dilute liquid. */
        CHECK(sum.first_spout_pct > 11 * pct && sum.first_spout_pct < 14 * pct);
    }
}

static void a_stop_met_at_once_gives_no_jar(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_forecast sum = JL_FORECAST;
    plan.cuts.tails = (jl_cut){JL_CUT_SPOUT_PCT, 95};
    CHECK_OK(jl_forecast_open(&still, amount(10, 30), &plan, &run));
    CHECK_STATUS(jl_forecast_next(run, &jar), JL_END);
    CHECK_STATUS(jl_forecast_next(run, &jar), JL_END);
    jl_forecast_sum(run, &sum);
    CHECK(jl_mass_kg(sum.collected) == 0 && sum.ending == JL_ENDED_RULE);
    CHECK_NEAR(sum.left.ethanol_kg, sum.charge.ethanol_kg, 1e-12);
    CHECK_NEAR(sum.duration_s, sum.first_drop_s, 1e-6);
    jl_forecast_close(run);
}

static void a_stop_never_met_runs_until_dry(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    plan.cuts.tails = (jl_cut){JL_CUT_BOILER_C, 119};
    plan.jar_l = 1000; /* and a jar larger than the run */
    jl_forecast sum = forecast(&still, amount(10, 30), &plan);
    CHECK(sum.ending == JL_ENDED_DRY);
    CHECK(jl_volume_l(sum.left, 20) < 0.02);
}

static void the_heating_element_is_never_bared(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(12);
    jl_forecasting *run = NULL;
    still.min_liquid_l = 16;
    jl_forecast sum = forecast(&still, amount(20, 12), &plan);
    CHECK(sum.ending == JL_ENDED_ELEMENT);
    CHECK_NEAR(jl_volume_l(sum.left, 20), 16, 1e-6);
    still.min_liquid_l = 20;
    CHECK_STATUS(jl_forecast_open(&still, amount(20, 12), &plan, &run), JL_NO);
    still.min_liquid_l = 5; /* the stop at 10 % comes before */
    CHECK(forecast(&still, amount(20, 12), &plan).ending == JL_ENDED_RULE);
    CHECK(run == NULL);
}

static void what_a_still_cannot_be_is_refused(void) {
    jl_plan plan = JL_PLAN(30);
    jl_spirit charge = amount(10, 30);
    jl_forecasting *run = NULL;
#define REFUSED(what, status)                                                                      \
    do {                                                                                           \
        jl_still still = JL_STILL;                                                                 \
        still.what;                                                                                \
        CHECK_STATUS(jl_forecast_open(&still, charge, &plan, &run), status);                       \
    } while (0)
    REFUSED(reflux_ratio = INFINITY, JL_RANGE);
    REFUSED(reflux_ratio = -1, JL_RANGE);
    REFUSED(reflux_ratio = NAN, JL_RANGE);
    REFUSED(stages = 0.5, JL_RANGE);
    REFUSED(stages = 101, JL_RANGE);
    REFUSED(pressure_kpa = 29, JL_RANGE);
    REFUSED(power_w = -1, JL_RANGE);
    REFUSED(efficiency_share = 0, JL_RANGE);
    REFUSED(coolant_rise_c = 0, JL_RANGE);
    REFUSED(loss_w = 1800, JL_NO); /* 2 kW at 0.9 */
    REFUSED(schedule_count = 1, JL_RANGE);
    jl_still still = JL_STILL;
    CHECK_STATUS(jl_forecast_open(&still, (jl_spirit){0, 1}, &plan, &run), JL_RANGE);
    CHECK_STATUS(jl_forecast_open(&still, (jl_spirit){1, 0}, &plan, &run), JL_RANGE);
    CHECK_STATUS(jl_forecast_open(&still, (jl_spirit){NAN, 1}, &plan, &run), JL_RANGE);
    plan.jar_l = 0;
    CHECK_STATUS(jl_forecast_open(&still, charge, &plan, &run), JL_RANGE);
    CHECK(run == NULL);
}

/* A caller with an older header has smaller structs: what it lacks is as usual, and nothing behind
 * its own is written. One with a newer header has more, which is left alone. */
static void structs_may_grow(void) {
    struct {
        jl_still still;
        double more;
    } newer = {JL_STILL, 77};
    struct {
        jl_forecast forecast;
        double more;
    } big = {JL_FORECAST, 77};
    const jl_plan plan = JL_PLAN(30);
    jl_spirit charge = amount(10, 30);
    jl_forecast usual = forecast(&newer.still, charge, &plan), sum = usual;
    newer.still.size = sizeof newer;
    big.forecast.size = sizeof big;
    CHECK_OK(jl_forecast_run(&newer.still, charge, &plan, &big.forecast));
    CHECK(big.forecast.duration_s == usual.duration_s && big.more == 77);
    CHECK(big.forecast.size == sizeof big);
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    CHECK_OK(jl_forecast_open(&newer.still, charge, &plan, &run));
    jar.size = sizeof(size_t);
    CHECK_STATUS(jl_forecast_next(run, &jar), JL_RANGE);
    CHECK(jar.number == 0);
    jar = JL_FORECAST_JAR;
    CHECK_OK(jl_forecast_next(run, &jar));
    CHECK(jar.number == 1 && jar.size == sizeof jar);
    jl_forecast_close(run);
    run = NULL;
    const size_t none[] = {0, sizeof(size_t), sizeof(jl_forecast) / 2, SIZE_MAX / 2};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        jl_boiling drop = {7, 7, 7};
        jl_still still = JL_STILL;
        jl_plan odd = plan;
        sum.size = still.size = odd.size = none[i];
        CHECK_STATUS(jl_forecast_open(&still, charge, &plan, &run), JL_RANGE);
        CHECK_STATUS(jl_first_drop(&still, 0.2, &drop), JL_RANGE);
        still = JL_STILL;
        if (none[i] < sizeof odd || none[i] > sizeof big)
            CHECK_STATUS(jl_forecast_open(&still, charge, &odd, &run), JL_RANGE);
        sum.duration_s = 7;
        CHECK_STATUS(jl_forecast_run(&still, charge, &plan, &sum), JL_RANGE);
        CHECK(run == NULL && drop.liquid_mole_fraction == 7 && sum.duration_s == 7);
    }
}

/* ---- Rules ---- */

static void cut_rules_cut_where_they_say(void) {
    jl_still still = JL_STILL;
    jl_spirit charge = amount(20, 30);
    jl_plan plan = {.size = sizeof plan,
                    .cuts = {.foreshots = {JL_CUT_VOLUME_L, 0.1},
                             .heads = {JL_CUT_ALCOHOL_SHARE, 0.05},
                             .hearts = {JL_CUT_HEAD_C, 92},
                             .tails = {JL_CUT_BOILER_C, 98}},
                    .jar_l = 0.7,
                    .measured_c = 25};
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR, last[5] = {0};
    jl_forecast sum = JL_FORECAST;
    still.stages = 1;
    CHECK_OK(jl_forecast_open(&still, charge, &plan, &run));
    while (jl_forecast_next(run, &jar) == JL_OK) last[jar.fraction] = jar;
    jl_forecast_sum(run, &sum);
    jl_forecast_close(run);
    CHECK_NEAR(jl_volume_l(sum.fractions[JL_FORESHOTS], 25), 0.1, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(sum.fractions[JL_HEADS]), 0.05 * jl_pure_alcohol_l(charge), 1e-9);
    CHECK_NEAR(last[JL_HEARTS].head_c, 92, 1e-7);
    CHECK_NEAR(last[JL_TAILS].boiler_c, 98, 1e-7);
    plan.cuts.hearts = (jl_cut){JL_CUT_SPOUT_PCT, 60};
    plan.cuts.foreshots = (jl_cut){JL_CUT_NEVER, 0};
    CHECK_OK(jl_forecast_open(&still, charge, &plan, &run));
    CHECK_OK(jl_forecast_next(run, &jar));
    CHECK(jar.fraction == JL_HEADS);
    while (jl_forecast_next(run, &jar) == JL_OK) last[jar.fraction] = jar;
    jl_forecast_close(run);
    CHECK_NEAR(last[JL_HEARTS].spout_pct, 60, 1e-6);
}

static void a_weak_charge_is_a_strip_run_by_default(void) {
    jl_still still = JL_STILL;
    jl_plan weak = JL_PLAN(12), strong = JL_PLAN(20);
    jl_forecast sum = forecast(&still, amount(20, 12), &weak);
    CHECK_NEAR(jl_mass_kg(sum.fractions[JL_UNDECIDED]), jl_mass_kg(sum.collected), 1e-12);
    sum = forecast(&still, amount(20, 20), &strong);
    CHECK(jl_mass_kg(sum.fractions[JL_UNDECIDED]) == 0);
    /* One stage from 12 % begins at 59 %: the vapour's own model. */
    CHECK_NEAR(forecast(&still, amount(20, 12), &weak).first_spout_pct, 59, 0.5);
}

/* A schedule of one value is that value; a change holds from its place on. */
static void a_reflux_schedule_is_followed(void) {
    jl_still still = JL_STILL;
    jl_spirit charge = amount(10, 35);
    jl_plan plan = JL_PLAN(35);
    still.stages = 4;
    still.reflux_ratio = 2;
    jl_reflux_step same = {JL_WHEN_VOLUME_L, 1, 2};
    jl_forecast plain = forecast(&still, charge, &plan);
    still.schedule = &same;
    still.schedule_count = 1;
    jl_forecast with = forecast(&still, charge, &plan);
    CHECK_NEAR(jl_pure_alcohol_l(with.fractions[JL_HEARTS]),
               jl_pure_alcohol_l(plain.fractions[JL_HEARTS]), 1e-8);
    CHECK_NEAR(with.duration_s, plain.duration_s, 1e-3);

    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_forecasting *run = NULL;
    bool warm = false;
    jl_reflux_step steps[] = {
        {JL_WHEN_TIME_S, 3600, 4}, {JL_WHEN_VOLUME_L, 2, 8}, {JL_WHEN_HEAD_C, 79.5, 0.5}};
    plan.jar_l = 0.1;
    still.schedule = steps;
    still.schedule_count = 3;
    CHECK_OK(jl_forecast_open(&still, charge, &plan, &run));
    while (jl_forecast_next(run, &jar) == JL_OK) {
        double so_far_l = jl_volume_l(jar.so_far, 20);
        warm = warm || jar.head_c >= 79.5;
        double want = jar.elapsed_s < 3600 ? 2 : so_far_l < 2 - 1e-9 ? 4 : !warm ? 8 : 0.5;
        CHECK(jar.reflux_ratio == want);
    }
    CHECK(jar.reflux_ratio == 0.5);
    jl_forecast_close(run);
}

static void without_power_there_is_no_clock(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(35);
    still.power_w = 0;
    jl_forecast sum = forecast(&still, amount(10, 35), &plan);
    CHECK(isnan(sum.duration_s) && isnan(sum.energy_j) && isnan(sum.coolant_most_l_s));
    jl_still heated = JL_STILL;
    jl_forecast hot = forecast(&heated, amount(10, 35), &plan);
    CHECK_NEAR(jl_pure_alcohol_l(hot.collected), jl_pure_alcohol_l(sum.collected), 1e-7);
}

/* 1 kW into water from 20 to 100 °C (4.19 kJ/(kg K), 2257 kJ/kg: IAPWS): 10 kg take 3352 s, then
 * 0.443 g/s boil away. */
static void clock_of_boiling_water(void) {
    jl_still still = JL_STILL;
    jl_plan plan = {
        .size = sizeof plan, .cuts = {.tails = {JL_CUT_VOLUME_L, 1}}, .jar_l = 2, .measured_c = 20};
    still.power_w = 1000;
    still.efficiency_share = 1;
    still.boiler_heat_j_k = 0;
    jl_forecast sum = forecast(&still, amount(10, 1e-6), &plan);
    double charge_kg = jl_mass_kg(sum.charge), out_kg = jl_mass_kg(sum.collected);
    CHECK_NEAR(sum.first_drop_s, charge_kg * 80 * 4.19, 0.005 * sum.first_drop_s);
    double boiling_s = sum.duration_s - sum.first_drop_s;
    CHECK_NEAR(boiling_s, out_kg * 2257, 0.005 * boiling_s);
    CHECK_NEAR(sum.coolant_l, out_kg * (2257 + 80 * 4.19) / (30 * 4.18 * 0.998),
               0.005 * sum.coolant_l);
    CHECK_NEAR(sum.coolant_most_l_s, sum.coolant_l / boiling_s, 1e-3 * sum.coolant_most_l_s);
    /* A liter of water at 20 °C takes 4.17 kJ for each degree: 0.99821 kg of 4.1817 kJ/(kg K) by
     * IAPWS-95. */
    CHECK_NEAR(sum.coolant_j / sum.coolant_l / still.coolant_rise_c, 0.99821 * 4181.7, 3.5);
}

static void heat_that_boils_nothing_in_a_lifetime_is_none(void) {
    jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(30);
    jl_spirit charge;
    jl_forecast f = JL_FORECAST;
    still.efficiency_share = 5e-324;
    CHECK_OK(jl_spirit_from_volume(10, 0.25, 20, &charge));
    CHECK_STATUS(jl_forecast_run(&still, charge, &plan, &f), JL_NO);
}

/* A pot gives the vapour over its charge; three stages that keep nearly all give the vapour of the
 * vapour of the vapour. */
static void the_first_drop_is_the_vapour_of_the_charge(void) {
    const double mass_fraction = 0.2, x = jl_mole_fraction(mass_fraction);
    jl_boiling drop, at;
    jl_still still = JL_STILL;
    CHECK_OK(jl_first_drop(&still, mass_fraction, &drop));
    CHECK_OK(jl_boil(x, JL_PRESSURE_KPA, &at));
    CHECK_NEAR(drop.liquid_mole_fraction, x, 1e-15);
    CHECK_NEAR(drop.vapour_mole_fraction, at.vapour_mole_fraction, 1e-8);
    CHECK_NEAR(drop.temp_c, at.temp_c, 1e-6);
    still.stages = 3;
    still.reflux_ratio = 1000;
    CHECK_OK(jl_first_drop(&still, mass_fraction, &drop));
    for (int i = 0; i < 2; i++) CHECK_OK(jl_boil(at.vapour_mole_fraction, JL_PRESSURE_KPA, &at));
    CHECK_NEAR(drop.vapour_mole_fraction, at.vapour_mole_fraction,
               1e-3); /* of every 1001 parts one is let out */
    still.pressure_kpa = 29;
    CHECK_STATUS(jl_first_drop(&still, mass_fraction, &drop), JL_RANGE);
    still = JL_STILL;
    CHECK_STATUS(jl_first_drop(&still, 0, &drop), JL_RANGE);
    CHECK_STATUS(jl_first_drop(&still, 1, &drop), JL_RANGE);
    CHECK_STATUS(jl_first_drop(&still, NAN, &drop), JL_RANGE);
    still.stages = NAN;
    CHECK_STATUS(jl_first_drop(&still, mass_fraction, &drop), JL_RANGE);
}

static void all_jars_at_once_are_the_run(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecast_jars all = {.count = 77};
    jl_spirit charge = amount(10, 30), out = {0, 0};
    jl_forecast sum = forecast(&still, charge, &plan);
    plan.jar_l = 0.02; /* more than the first allocation holds */
    CHECK_OK(jl_forecast_all(&still, charge, &plan, &all));
    CHECK(all.count > 200);
    for (size_t i = 0; i < all.count; i++) {
        CHECK(all.jars[i].number == i + 1);
        out = jl_blend(out, all.jars[i].spirit);
    }
    CHECK_NEAR(out.ethanol_kg, all.sum.collected.ethanol_kg, 1e-12);
    CHECK_NEAR(out.ethanol_kg, sum.collected.ethanol_kg, 1e-9);
    jl_forecast_jars_free(&all);
    CHECK(all.jars == NULL && all.count == 0);
    plan.cuts.tails = (jl_cut){JL_CUT_SPOUT_PCT, 95};
    CHECK_OK(jl_forecast_all(&still, charge, &plan, &all));
    CHECK(all.count == 0 && all.sum.first_spout_pct > 70);
    jl_forecast_jars_free(&all);
    all.count = 77;
    still.stages = 0;
    CHECK_STATUS(jl_forecast_all(&still, charge, &plan, &all), JL_RANGE);
    CHECK(all.count == 77);
}

static void figures_are_those_of_the_sum(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    double f[JL_RUN_FIGURES];
    jl_forecast sum = forecast(&still, amount(10, 30), &plan);
    jl_forecast_figures(&sum, f);
    CHECK_NEAR(f[JL_RUN_COLLECTED_L] * f[JL_RUN_COLLECTED_PCT] / 100, f[JL_RUN_COLLECTED_PURE_L],
               1e-9);
    CHECK(f[JL_RUN_COLLECTED_PURE_L] == jl_pure_alcohol_l(sum.collected));
    CHECK(f[JL_RUN_HEARTS_PURE_L] == jl_pure_alcohol_l(sum.fractions[JL_HEARTS]));
    CHECK(f[JL_RUN_LEFT_L] == jl_volume_l(sum.left, 20));
    CHECK(f[JL_RUN_FIRST_DROP_S] == sum.first_drop_s && f[JL_RUN_DURATION_S] == sum.duration_s);
    CHECK_NEAR(f[JL_RUN_DURATION_H] * 3600, sum.duration_s, 1e-9);
    CHECK_NEAR(f[JL_RUN_ENERGY_KWH], 2 * f[JL_RUN_DURATION_H], 1e-9); /* at 2 kW */
    CHECK(f[JL_RUN_COOLANT_L] == sum.coolant_l);
    CHECK_NEAR(f[JL_RUN_COOLANT_MOST_L_MIN] / 60, sum.coolant_most_l_s, 1e-12);
    CHECK(f[JL_RUN_FIRST_SPOUT_PCT] == sum.first_spout_pct);
    still.power_w = 0;
    plan.cuts = jl_default_cuts(0);
    sum = forecast(&still, amount(10, 30), &plan);
    jl_forecast_figures(&sum, f);
    CHECK(isnan(f[JL_RUN_ENERGY_KWH]) && isnan(f[JL_RUN_HEARTS_PCT]));
    CHECK(f[JL_RUN_HEARTS_L] == 0 && f[JL_RUN_HEARTS_PURE_L] == 0);
}

/* ---- What a solver does not reach ---- */

static jl_status within(double tolerance, jl_status *after) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_status status = jl_forecast_open_within(&still, amount(24, 30), &plan, tolerance, &run);
    while (status == JL_OK) status = jl_forecast_next(run, &jar);
    *after = jl_forecast_next(run, &jar);
    jl_forecast_close(run);
    return status;
}

/* No step is right to nothing; and steps that may be wrong lose ethanol, which is seen. After that the
 * run has ended. */
static void a_run_that_cannot_be_solved_is_none(void) {
    jl_status after;
    CHECK_STATUS(within(JL_TOLERANCE, &after), JL_END);
    CHECK_STATUS(after, JL_END);
    CHECK_STATUS(within(0, &after), JL_NUMERIC);
    CHECK_STATUS(after, JL_END);
    CHECK_STATUS(within(1e3, &after), JL_NUMERIC);
    CHECK_STATUS(after, JL_END);
    jl_forecast_close(NULL);
}

/* A fraction without a rule has no jar, whichever are left out. */
static void the_first_fraction_is_the_first_with_a_rule(void) {
    static const struct {
        bool foreshots, heads, hearts;
        jl_fraction first;
    } AT[] = {{true, true, true, JL_FORESHOTS},   {false, true, true, JL_HEADS},
              {false, true, false, JL_HEADS},     {false, false, true, JL_HEARTS},
              {true, false, false, JL_FORESHOTS}, {false, false, false, JL_UNDECIDED}};
    const jl_cut none = {JL_CUT_NEVER, 0};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_still still = JL_STILL;
        jl_plan plan = JL_PLAN(30);
        jl_forecasting *run = NULL;
        jl_forecast_jar jar = JL_FORECAST_JAR;
        if (!AT[i].foreshots) plan.cuts.foreshots = none;
        if (!AT[i].heads) plan.cuts.heads = none;
        if (!AT[i].hearts) plan.cuts.hearts = none;
        CHECK_OK(jl_forecast_open(&still, amount(24, 30), &plan, &run));
        CHECK_OK(jl_forecast_next(run, &jar));
        CHECK(jar.fraction == AT[i].first);
        jl_forecast_close(run);
    }
}

CU_TestInfo forecast_tests[] = {
    {"a run that cannot be solved is none", a_run_that_cannot_be_solved_is_none},
    {"the first fraction is the first with a rule", the_first_fraction_is_the_first_with_a_rule},
    {"all jars at once are the run", all_jars_at_once_are_the_run},
    {"figures are those of the sum", figures_are_those_of_the_sum},
    {"a student laboratory's batch within 2 % vol", student_laboratory_batch},
    {"a second distillation of the University of São Paulo", sao_paulo_second_distillation},
    {"moles and ethanol are conserved to 1e-9 in 1000 runs", moles_and_ethanol_are_conserved},
    {"energy in is energy out", energy_in_is_energy_out},
    {"halving the tolerance moves no printed figure",
     halving_the_tolerance_moves_no_printed_figure},
    {"more stages never weaken the first jar", more_stages_never_weaken_the_first_jar},
    {"one stage or no reflux is exactly the pot", one_stage_or_no_reflux_is_exactly_the_pot},
    {"a fraction of a stage is continuous", a_fraction_of_a_stage_is_continuous},
    {"a charge around the azeotrope is right", a_charge_around_the_azeotrope_is_right},
    {"nearly water gives nearly water", nearly_water_gives_nearly_water},
    {"a stop met at once gives no jar", a_stop_met_at_once_gives_no_jar},
    {"a stop never met runs until dry", a_stop_never_met_runs_until_dry},
    {"the heating element is never bared", the_heating_element_is_never_bared},
    {"what a still cannot be is refused", what_a_still_cannot_be_is_refused},
    {"structs may grow", structs_may_grow},
    {"cut rules cut where they say", cut_rules_cut_where_they_say},
    {"a weak charge is a strip run by default", a_weak_charge_is_a_strip_run_by_default},
    {"a reflux schedule is followed", a_reflux_schedule_is_followed},
    {"without power there is no clock", without_power_there_is_no_clock},
    {"clock of boiling water", clock_of_boiling_water},
    {"heat that boils nothing in a lifetime is none",
     heat_that_boils_nothing_in_a_lifetime_is_none},
    {"the first drop is the vapour of the charge", the_first_drop_is_the_vapour_of_the_charge},
    CU_TEST_INFO_NULL,
};
