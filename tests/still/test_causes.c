/* What a forecast depends on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "still/causes.h"
#include "suites.h"

static const jl_still_known NOTHING = {NAN, NAN, NAN, NAN}, LEARNT = {0.03, 0.02, NAN, NAN};

/* A share that was learnt together with the volatility goes with it. */
static void what_was_learnt_together_goes_together(void) {
    jl_still still = JL_STILL;
    jl_input in[JL_STILL_INPUTS];
    const jl_still_known known = {0.01, NAN, 0.02, -0.8};
    still.stages = 3;
    still.reflux_ratio = 1;
    still.vapour_off_share = 0.005;
    jl_still_inputs(&still, &known, in);
    CHECK_NEAR(in[JL_OF_VAPOUR].width, 0.02, 1e-15);
    CHECK_NEAR(in[JL_OF_REFLUX].width, 0.01, 1e-15);
    jl_still other = jl_still_deviating(&still, &known, (double[]){0.05, 0.01, 0, 0});
    CHECK_NEAR(other.vapour_off_share, 0.055, 1e-15);
    CHECK_NEAR(other.reflux_ratio / (1 + other.reflux_ratio), 0.5 - 0.8 * 0.05 + 0.01, 1e-12);
}

static void what_nobody_measured_is_a_share_of_itself(void) {
    jl_input in[JL_STILL_INPUTS];
    jl_still still = JL_STILL;
    still.reflux_ratio = 2;
    jl_still_inputs(&still, &NOTHING, in);
    CHECK(in[JL_OF_VAPOUR].width == JL_VAPOUR_OFF_U && in[JL_OF_VAPOUR].spread == JL_NORMAL);
    CHECK(in[JL_OF_REFLUX].width == 0.1 && in[JL_OF_REFLUX].spread == JL_RECTANGULAR);
    CHECK(in[JL_OF_EFFICIENCY].width == 0.05 && in[JL_OF_EFFICIENCY].spread == JL_RECTANGULAR);
    for (size_t k = 0; k < JL_STILL_INPUTS; k++) CHECK(in[k].value == 0);
    jl_still other = jl_still_deviating(&still, &NOTHING, (double[]){0.03, 0.1, -0.05, 0});
    CHECK_NEAR(other.vapour_off_share, 0.03, 1e-15);
    CHECK_NEAR(other.reflux_ratio, 2.2, 1e-12);
    CHECK_NEAR(other.efficiency_share, 0.855, 1e-12);
}

static void what_runs_taught_is_in_its_own_unit(void) {
    jl_input in[JL_STILL_INPUTS];
    jl_still still = JL_STILL;
    still.reflux_ratio = 1;
    jl_still_inputs(&still, &LEARNT, in);
    CHECK(in[JL_OF_REFLUX].width == 0.03 && in[JL_OF_REFLUX].spread == JL_NORMAL);
    CHECK(in[JL_OF_EFFICIENCY].width == 0.02 && in[JL_OF_EFFICIENCY].spread == JL_NORMAL);
    jl_still other = jl_still_deviating(&still, &LEARNT, (double[]){0, 0.1, -0.05, 0});
    CHECK_NEAR(other.reflux_ratio, 1.5, 1e-12); /* a share of 0.6 */
    CHECK_NEAR(other.efficiency_share, 0.85, 1e-12);
    other = jl_still_deviating(&still, &LEARNT, (double[]){0, 5, 5, 0});
    CHECK_NEAR(other.reflux_ratio, 49, 1e-9); /* kept to a share of 0.98 */
    CHECK(other.efficiency_share == 1);
    other = jl_still_deviating(&still, &LEARNT, (double[]){0, -5, -5, 0});
    CHECK(other.reflux_ratio == 0 && other.efficiency_share == 0.01);
}

static void a_setting_that_plays_no_part_does_not_deviate(void) {
    jl_input in[JL_STILL_INPUTS];
    jl_still still = JL_STILL;
    const jl_reflux_step step = {JL_WHEN_TIME_S, 60, 2};
    still.power_w = 0;
    jl_still_inputs(&still, &LEARNT, in);
    CHECK(in[JL_OF_REFLUX].width == 0 && in[JL_OF_EFFICIENCY].width == 0);
    CHECK(jl_still_deviating(&still, &LEARNT, (double[]){0, 0.1, 0, 0}).reflux_ratio == 0);
    still.reflux_ratio = 2;
    still.schedule = &step;
    still.schedule_count = 1;
    jl_still_inputs(&still, &NOTHING, in);
    CHECK(in[JL_OF_REFLUX].width == 0);
}

/* ---- A run as a function of them ---- */

static const jl_amount CHARGE = {
    .size = 10, .measured = true, .strength = {35, JL_UNIT_PCT_VOL}, .temp_c = 24};

/* Instruments that are off by 0.3 % vol and 1 %, by their limits alone. */
static jl_measuring bench(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    by.instruments.width[JL_BY_ALCOHOLOMETER][JL_LIMIT] = 0.3;
    by.instruments.width[JL_BY_JUG][JL_LIMIT] = 0.01;
    CHECK(by.budget != NULL);
    return by;
}

static jl_spirit charge_of(jl_amount amount) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_spirit spirit = {NAN, NAN};
    CHECK_OK(jl_amount_spirit(&amount, &instrument, &spirit));
    return spirit;
}

enum { PLACES = 9 };

static void a_run_is_that_of_its_deviating_causes(void) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_measuring by = bench();
    jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(35);
    still.stages = 3;
    still.reflux_ratio = 2;
    jl_causes c = {.still = &still, .plan = &plan, .known = NOTHING};
    jl_causes_measure(&c, &by, CHARGE, &instrument);
    CHECK(jl_budget_count(by.budget) == 6); /* jug, alcoholometer, vapours, reflux, efficiency */
    double x[PLACES] = {0}, got[JL_RUN_FIGURES], want[JL_RUN_FIGURES];
    jl_forecast f = JL_FORECAST;
    CHECK_OK(jl_causes_figures(x, got, &c));
    CHECK_OK(jl_forecast_run(&still, charge_of(CHARGE), &plan, &f));
    jl_forecast_figures(&f, want);
    for (size_t i = 0; i < JL_RUN_FIGURES; i++) CHECK_NEAR(got[i], want[i], 1e-9 * want[i]);

    x[c.places[JL_OF_VAPOUR]] = 0.03;
    x[c.places[JL_OF_REFLUX]] = 0.1;
    x[c.places[JL_OF_EFFICIENCY]] = -0.05;
    x[0] = 0.01; /* the jug is the first that is measured with */
    CHECK_OK(jl_causes_figures(x, got, &c));
    jl_amount more = CHARGE;
    more.size *= 1.01;
    still = jl_still_deviating(&still, &NOTHING, (double[]){0.03, 0.1, -0.05, 0});
    CHECK_OK(jl_forecast_run(&still, charge_of(more), &plan, &f));
    jl_forecast_figures(&f, want);
    for (size_t i = 0; i < JL_RUN_FIGURES; i++) CHECK_NEAR(got[i], want[i], 1e-9 * want[i]);
    jl_budget_free(by.budget);
}

static void a_chain_is_that_of_its_deviating_causes(void) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_measuring by = bench();
    const jl_still still = JL_STILL;
    const jl_plan strip = JL_PLAN(0), plan = JL_PLAN(35);
    const jl_amount wash = {.size = 60, .strength = {9, JL_UNIT_PCT_VOL}, .temp_c = 20};
    const jl_amount feints = {.size = 1.5, .strength = {45, JL_UNIT_PCT_VOL}, .temp_c = 20};
    jl_causes c = {.still = &still,
                   .plan = &plan,
                   .strip_still = &still,
                   .strip_plan = &strip,
                   .loads = {.feints = charge_of(feints), .strip_loads = 3, .spirit_loads = 1},
                   .known = NOTHING};
    jl_causes_measure(&c, &by, wash, &instrument);
    double x[PLACES] = {0}, got[JL_CHAIN_FIGURES], want[JL_CHAIN_FIGURES];
    x[0] = 0.01; /* the same jug for wash and feints */
    CHECK_OK(jl_causes_figures(x, got, &c));
    jl_chain chain;
    jl_chain_charge charge = c.loads;
    charge.wash = charge_of(wash);
    charge.wash.ethanol_kg *= 1.01;
    charge.wash.water_kg *= 1.01;
    charge.feints.ethanol_kg *= 1.01;
    charge.feints.water_kg *= 1.01;
    CHECK_OK(jl_chain_strip(&still, &strip, &charge, &chain));
    CHECK_OK(jl_forecast_run(&still, chain.spirit_charge, &plan, &chain.spirit));
    jl_chain_figures(&chain, want);
    for (size_t i = 0; i < JL_CHAIN_FIGURES; i++) CHECK_NEAR(got[i], want[i], 1e-9 * want[i]);
    CHECK(chain.strip_loads == 3);
    x[0] = -2; /* less than nothing of both */
    got[0] = 7;
    CHECK_STATUS(jl_causes_figures(x, got, &c), JL_RANGE);
    x[0] = 0;
    c.feints.amount.strength.unit = JL_UNIT_SG;
    CHECK_STATUS(jl_causes_figures(x, got, &c), JL_UNIT);
    CHECK(got[0] == 7);
    jl_budget_free(by.budget);
}

/* On a scale the charge has the scale's error, not the jug's. */
static void a_weighed_charge_is_the_scale_s(void) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_measuring by = bench();
    jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(35);
    const jl_amount charge = {
        .size = 20, .strength = {35, JL_UNIT_PCT_VOL}, .temp_c = 20, .by_mass = true};
    jl_causes c = {.still = &still, .plan = &plan, .known = NOTHING};
    jl_causes_measure(&c, &by, charge, &instrument);
    CHECK(by.used[JL_BY_SCALE] && !by.used[JL_BY_JUG]);
    jl_budget_free(by.budget);
}

static void what_has_no_forecast_says_why(void) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_measuring by = bench();
    jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(35);
    double x[PLACES] = {0}, figures[JL_RUN_FIGURES];
    jl_causes c = {.still = &still, .plan = &plan, .known = NOTHING};
    jl_causes_measure(&c, &by, CHARGE, &instrument);
    still.loss_w = 5000;
    CHECK_STATUS(jl_causes_figures(x, figures, &c), JL_NO);
    x[0] = -2; /* less than nothing in the jug */
    CHECK_STATUS(jl_causes_figures(x, figures, &c), JL_RANGE);
    jl_budget_free(by.budget);
}

static double spread_of(double charge_pct, jl_forecast_figure which, double off) {
    const jl_still_known known = NOTHING;
    jl_still still = JL_STILL;
    double p = NAN, figures[JL_RUN_FIGURES], more[JL_RUN_FIGURES];
    jl_spirit charge;
    jl_forecast f = JL_FORECAST;
    const jl_plan plan = JL_PLAN(charge_pct);
    CHECK_OK(jl_mass_fraction_from_strength(charge_pct, 20, &p));
    CHECK_OK(jl_spirit_from_volume(20, p, 20, &charge));
    CHECK_OK(jl_forecast_run(&still, charge, &plan, &f));
    jl_forecast_figures(&f, figures);
    still =
        jl_still_deviating(&still, &known, (double[]){off == 0 ? JL_VAPOUR_OFF_U : 0, 0, 0, off});
    CHECK_OK(jl_forecast_run(&still, charge, &plan, &f));
    jl_forecast_figures(&f, more);
    return fabs(more[which] - figures[which]) / figures[which];
}

/* What published vapours of dilute liquid scatter by is most of a strip run's doubt, and little of
 * hearts that come from a strong charge. */
static void strip_runs_carry_the_doubt_of_dilute_liquid(void) {
    CHECK(spread_of(8, JL_RUN_COLLECTED_PCT, JL_DILUTE_OFF_U) >
          2 * spread_of(8, JL_RUN_COLLECTED_PCT, 0));
    CHECK(spread_of(40, JL_RUN_HEARTS_PCT, JL_DILUTE_OFF_U) < spread_of(40, JL_RUN_HEARTS_PCT, 0));
}

CU_TestInfo causes_tests[] = {
    {"strip runs carry the doubt of dilute liquid", strip_runs_carry_the_doubt_of_dilute_liquid},
    {"what was learnt together goes together", what_was_learnt_together_goes_together},
    {"what nobody measured is a share of itself", what_nobody_measured_is_a_share_of_itself},
    {"what runs taught is in its own unit", what_runs_taught_is_in_its_own_unit},
    {"a setting that plays no part does not deviate",
     a_setting_that_plays_no_part_does_not_deviate},
    {"a run is that of its deviating causes", a_run_is_that_of_its_deviating_causes},
    {"a chain is that of its deviating causes", a_chain_is_that_of_its_deviating_causes},
    {"what has no forecast says why", what_has_no_forecast_says_why},
    {"a weighed charge is the scale's", a_weighed_charge_is_the_scale_s},
    CU_TEST_INFO_NULL,
};
