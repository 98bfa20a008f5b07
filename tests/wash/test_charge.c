/* How a wash goes into the boiler.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

static const jl_charge_plan PLAN = {
    .wash_l = 27, .sediment_l = 1.5, .mark_l = 20, .covered_l = 4, .taken = 1.0 / 3};

static void even_loads_share_the_wash(void) {
    jl_charge c = {0};
    CHECK_OK(jl_charge_loads(&PLAN, &c));
    CHECK(c.loads == 2);
    CHECK_NEAR(c.available_l, 25.5, 1e-12);
    CHECK_NEAR(c.load_l, 12.75, 1e-12);
    CHECK_NEAR(c.ends_at_l, 8.5, 1e-12);
    CHECK(c.rest_l == 0 && c.left_over_l == 0);
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
    CHECK_NEAR(c.rest_l, 6, 1e-12);
    CHECK_NEAR(c.ends_at_l, 4, 1e-12);
    plan.wash_l = 47.4; /* the rest would end at 3.93 l */
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.rest_l == 0);
    CHECK_NEAR(c.left_over_l, 5.9, 1e-12);
    CHECK_NEAR(c.ends_at_l, 20 * 2.0 / 3, 1e-12);
    plan.loads = 1;
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 1 && c.rest_l == 0);
    CHECK_NEAR(c.left_over_l, 25.9, 1e-12);
    plan.loads = 0;
    plan.wash_l = 12; /* less than one full load is one load */
    CHECK_OK(jl_charge_loads(&plan, &c));
    CHECK(c.loads == 1 && c.rest_l == 0 && c.left_over_l == 0);
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
    CHECK(c.loads == 3 && c.rest_l == 0 && c.left_over_l == 0);
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
    plan.taken = 0.3;
    plan.covered_l = 8.9;
    CHECK_OK(jl_charge_loads(&plan, &c));
    plan.full = true;
    plan.covered_l = 14.5;
    CHECK_STATUS(jl_charge_loads(&plan, &c), JL_NO);
    CHECK(c.loads == 2);
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
        {{.wash_l = 27, .mark_l = 20, .taken = 1}, JL_RANGE},
        {{.wash_l = 27, .mark_l = 20, .taken = NAN}, JL_RANGE},
        {{.wash_l = 1e9, .mark_l = 1e-9}, JL_RANGE},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        CHECK_STATUS(jl_charge_loads(&at[i].plan, &c), at[i].status);
    CHECK(c.loads == 7);
}

CU_TestInfo charge_tests[] = {
    {"even loads share the wash", even_loads_share_the_wash},
    {"full loads leave a rest", full_loads_leave_a_rest},
    {"a wash that fits exactly is one load", a_wash_that_fits_exactly_is_one_load},
    {"loads above the mark are refused", loads_above_the_mark_are_refused},
    {"loads that bare the element are refused", loads_that_bare_the_element_are_refused},
    {"plans that are none are refused", plans_that_are_none_are_refused},
    CU_TEST_INFO_NULL,
};
