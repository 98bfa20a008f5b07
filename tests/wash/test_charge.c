/* How a wash goes into the boiler.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "wash/charge.h"

static const jl_charge_plan PLAN = {
    .wash_l = 27, .sediment_l = 1.5, .mark_l = 20, .covered_l = 4, .taken_share = 1.0 / 3};

static void even_loads_share_the_wash(void) {
    jl_charge c = {0};
    CHECK_OK(jl_charge_loads(&PLAN, &c));
    CHECK(c.loads == 2);
    CHECK_NEAR(c.available_l, 25.5, 1e-12);
    CHECK_NEAR(c.load_l, 12.75, 1e-12);
    CHECK_NEAR(c.ends_at_l, 8.5, 1e-12);
    CHECK(c.last_l == 0 && c.left_over_l == 0);
    jl_charge_plan three = PLAN;
    three.loads = 3;
    CHECK_OK(jl_charge_loads(&three, &c));
    CHECK_NEAR(c.load_l, 8.5, 1e-12);
}

static void full_loads_leave_a_rest(void) {
    jl_charge_plan plan = PLAN;
    jl_charge c = {0};
    plan.full = true;
    plan.wash_l = 47.5;
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 2 && c.left_over_l == 0);
    CHECK_NEAR(c.load_l, 20, 1e-12);
    CHECK_NEAR(c.last_l, 6, 1e-12);
    CHECK_NEAR(c.ends_at_l, 4, 1e-12);
    plan.wash_l = 47.4; /* the rest would end at 3.93 l */
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.last_l == 0);
    CHECK_NEAR(c.left_over_l, 5.9, 1e-12);
    CHECK_NEAR(c.ends_at_l, 20 * 2.0 / 3, 1e-12);
    plan.loads = 1;
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 1 && c.last_l == 0);
    CHECK_NEAR(c.left_over_l, 25.9, 1e-12);
    plan.loads = 0;
    plan.wash_l = 12; /* less than one full load is one load */
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 1 && c.last_l == 0 && c.left_over_l == 0);
    CHECK_NEAR(c.load_l, 10.5, 1e-12);
}

static void a_wash_that_fits_exactly_is_one_load(void) {
    jl_charge c = {0};
    jl_charge_plan plan = {.wash_l = 24, .mark_l = 36 * (2.0 / 3)};
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 1);
    plan.wash_l = 0.3;
    plan.mark_l = 0.1; /* 0.3 / 0.1 is not 3 in binary */
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 3);
    plan.full = true;
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 3 && c.last_l == 0 && c.left_over_l == 0);
}

static void loads_above_the_mark_are_refused(void) {
    jl_charge c = {.loads = 7};
    jl_charge_plan plan = PLAN;
    plan.loads = 1;
    CHECK_STATUS(jl_charge_loads(&plan, &c), JL_CONFLICT);
    plan.full = true;
    plan.loads = 2;
    CHECK_STATUS(jl_charge_loads(&plan, &c), JL_CONFLICT);
    CHECK(c.loads == 7);
}

static void loads_that_bare_the_element_are_refused(void) {
    jl_charge c = {.loads = 7};
    jl_charge_plan plan = PLAN;
    plan.covered_l = 8.6;
    CHECK_STATUS(jl_charge_loads(&plan, &c), JL_NO);
    plan.taken_share = 0.3;
    plan.covered_l = 8.9;
    CHECK_OK(jl_charge_loads(&plan, &c));
    plan.full = true;
    plan.covered_l = 14.5;
    CHECK_STATUS(jl_charge_loads(&plan, &c), JL_NO);
    CHECK(c.loads == 2);
}

static void a_refusal_names_what_would_be_right(void) {
    jl_charge_plan plan = PLAN; /* 25.5 l under a mark of 20 l, 4 l covered after a third */
    jl_charge_bounds b = {.loads = 7};
    CHECK_OK(jl_charge_bounds_of(&plan, &b));
    CHECK(b.loads == 2);
    CHECK_NEAR(b.load_l, 12.75, 1e-12);
    CHECK_NEAR(b.least_load_l, 6, 1e-12);
    plan.loads = 1;
    CHECK_OK(jl_charge_bounds_of(&plan, &b));
    CHECK(b.loads == 2);
    CHECK_NEAR(b.load_l, 25.5, 1e-12);
    plan.full = true;
    CHECK_OK(jl_charge_bounds_of(&plan, &b));
    CHECK(b.loads == 1 && b.load_l == 20);
    plan.mark_l = 26; /* no full load is there */
    CHECK_OK(jl_charge_bounds_of(&plan, &b));
    CHECK(b.loads == 0);
    CHECK_NEAR(b.load_l, 25.5, 1e-12);
    b.loads = 7;
    plan.mark_l = 0;
    CHECK_STATUS(jl_charge_bounds_of(&plan, &b), JL_RANGE);
    plan.mark_l = 20;
    plan.sediment_l = 27;
    CHECK_STATUS(jl_charge_bounds_of(&plan, &b), JL_MISSING);
    CHECK(b.loads == 7);
}

/* 40 % vol is 948.05 kg/m³ at 20 °C (OIML R 22, printed). */
static void a_load_weighs_what_its_strength_says(void) {
    jl_charge_plan plan = PLAN;
    jl_load load;
    plan.strength_pct = 40;
    CHECK_OK(jl_charge_load(&plan, &(jl_lifting){9, 5}, 12, &load));
    CHECK_NEAR(load.mass_kg, 12 * 0.94805, 1e-4);
    CHECK_NEAR(load.boiler_kg, load.mass_kg + 9, 1e-12);
    CHECK_NEAR(load.pure_alcohol_l, 4.8, 1e-12);
    CHECK_NEAR(load.ends_at_l, 8, 1e-12);
    CHECK(load.carries == 3 && load.carry_l == 5);
    CHECK_NEAR(load.carry_kg, 5 * 0.94805, 1e-4);
    CHECK_OK(jl_charge_load(&plan, &(jl_lifting){NAN, 0.1}, 0.3, &load)); /* not 4 by rounding */
    CHECK(load.carries == 3 && isnan(load.boiler_kg));
    CHECK_OK(jl_charge_load(&plan, &(jl_lifting){0, 20}, 12, &load));
    CHECK(load.carries == 1 && load.carry_l == 12 && load.boiler_kg == load.mass_kg);
    CHECK_OK(jl_charge_load(&plan, &(jl_lifting){NAN, NAN}, 12, &load));
    CHECK(isnan(load.carries) && isnan(load.carry_l) && isnan(load.carry_kg));
    load.volume_l = 7;
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){-1, NAN}, 12, &load), JL_RANGE);
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){NAN, 0}, 12, &load), JL_RANGE);
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){NAN, NAN}, -1, &load), JL_RANGE);
    plan.taken_share = 1;
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){NAN, NAN}, 12, &load), JL_RANGE);
    plan.taken_share = -0.1;
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){NAN, NAN}, 12, &load), JL_RANGE);
    plan = PLAN;
    plan.strength_pct = 101;
    CHECK_STATUS(jl_charge_load(&plan, &(jl_lifting){NAN, NAN}, 12, &load), JL_RANGE);
    CHECK(load.volume_l == 7);
}

static void alcohol_stays_with_what_is_left_over(void) {
    jl_charge_plan plan = PLAN;
    jl_charge c;
    plan.strength_pct = 10;
    plan.full = true;
    plan.loads = 1;
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK_NEAR(c.left_over_l, 5.5, 1e-12);
    CHECK_NEAR(c.pure_alcohol_l, 2, 1e-12);
    CHECK_NEAR(c.stays_pure_alcohol_l, 0.7, 1e-12);
}

static void plans_that_are_none_are_refused(void) {
    jl_charge c = {.loads = 7};
    const struct {
        jl_charge_plan plan;
        jl_status status;
    } at[] = {
        {{.wash_l = 0, .mark_l = 20}, JL_RANGE},
        {{.wash_l = NAN, .mark_l = 20}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 0}, JL_RANGE},
        {{.wash_l = 27, .mark_l = NAN}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .sediment_l = -1}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .sediment_l = 27}, JL_MISSING},
        {{.wash_l = 27, .mark_l = 20, .covered_l = NAN}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .taken_share = 1}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .taken_share = NAN}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .strength_pct = 101}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .strength_pct = NAN}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .taken_share = -0.1}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .loads = 1000001}, JL_RANGE},
        {{.wash_l = 1e9, .mark_l = 1e-9}, JL_RANGE},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        CHECK_STATUS(jl_charge_loads(&at[i].plan, &c), at[i].status);
    CHECK(c.loads == 7);
}

/* What the usual still takes off, as the forecast has it. */
static jl_status taken_share(double strength_pct, double *share) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(strength_pct);
    return jl_charge_taken_in(&still, &plan, strength_pct, share);
}

static void what_a_run_takes_off_is_the_forecast_s(void) {
    const jl_still still = JL_STILL;
    jl_forecast run = JL_FORECAST;
    jl_spirit wash;
    double p, share = 7;
    CHECK_OK(jl_mass_fraction_from_strength(12, 20, &p));
    CHECK_OK(jl_spirit_from_volume(10, p, 20, &wash));
    const jl_plan plan = JL_PLAN(12);
    CHECK_OK(jl_forecast_run(&still, wash, &plan, &run));
    CHECK_OK(taken_share(12, &share));
    CHECK_NEAR(share, 1 - jl_volume_l(run.left, 20) / 10, 1e-12);
    CHECK(share > 0.2 && share < 0.5);
    share = 7;
    CHECK_STATUS(taken_share(0, &share), JL_RANGE);
    CHECK_STATUS(taken_share(101, &share), JL_RANGE);
    CHECK(share == 7);
}

CU_TestInfo charge_tests[] = {
    {"even loads share the wash", even_loads_share_the_wash},
    {"full loads leave a rest", full_loads_leave_a_rest},
    {"a wash that fits exactly is one load", a_wash_that_fits_exactly_is_one_load},
    {"loads above the mark are refused", loads_above_the_mark_are_refused},
    {"loads that bare the element are refused", loads_that_bare_the_element_are_refused},
    {"a refusal names what would be right", a_refusal_names_what_would_be_right},
    {"a load weighs what its strength says", a_load_weighs_what_its_strength_says},
    {"alcohol stays with what is left over", alcohol_stays_with_what_is_left_over},
    {"plans that are none are refused", plans_that_are_none_are_refused},
    {"what a run takes off is the forecast's", what_a_run_takes_off_is_the_forecast_s},
    CU_TEST_INFO_NULL,
};
