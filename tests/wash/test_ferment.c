/* Has a fermentation ended: the rule, at and around its edges. Common practice, no source.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "wash/gravity.h"

static const double DAY = 86400;

typedef struct day {
    double day, sg;
} day;

static jl_ferment judge(const day *days, size_t count, const jl_finish_rule *rule) {
    jl_dated_gravity readings[16];
    jl_ferment ferment = {.slope_per_day = NAN};
    for (size_t i = 0; i < count; i++)
        readings[i] = (jl_dated_gravity){1.7e9 + days[i].day * DAY, days[i].sg};
    CHECK_OK(jl_ferment_judge(readings, count, rule, &ferment));
    return ferment;
}
#define JUDGE(days, rule) judge(days, sizeof(days) / sizeof(days)[0], rule)

static void a_wash_that_stands_low_for_three_days_has_finished(void) {
    static const day DAYS[] = {{0, 1.080}, {5, 1.010}, {9, 0.993}, {10, 0.992}, {12, 0.992}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_FINISHED);
    CHECK_NEAR(f.still_for_s, 3 * DAY, 1e-6);
    CHECK_NEAR(f.still_since_s, 1.7e9 + 9 * DAY, 1e-6);
    CHECK(isnan(f.left_s));
}

static void one_second_short_of_the_span_it_still_works(void) {
    static const day DAYS[] = {{0, 1.080}, {9, 0.992}, {12 - 1.0 / 86400, 0.992}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_WORKING);
    CHECK_NEAR(f.still_for_s, 3 * DAY - 1, 1e-3);
    rule.span_s = 2 * DAY;
    CHECK(JUDGE(DAYS, &rule).state == JL_FINISHED);
}

static void stopped_at_1_020_is_not_finished(void) {
    static const day DAYS[] = {{0, 1.080}, {6, 1.0205}, {8, 1.020}, {10, 1.020}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_STOPPED);
    CHECK(isnan(f.left_s));
    rule.expected_sg = 1.020;
    CHECK(JUDGE(DAYS, &rule).state == JL_FINISHED);
}

static void a_fall_of_more_than_a_division_is_work(void) {
    static const day DAYS[] = {{0, 1.080}, {9, 0.9945}, {12, 0.993}};
    jl_finish_rule rule = JL_FINISH_RULE;
    CHECK(JUDGE(DAYS, &rule).state == JL_WORKING);
    rule.division_sg = 0.0015;
    CHECK(JUDGE(DAYS, &rule).state == JL_FINISHED);
}

static void a_slow_fall_is_not_taken_for_standing(void) {
    /* Each step is within a division, all of them together are not. */
    static const day DAYS[] = {{0, 1.001}, {1, 1.0002}, {2, 0.9994}, {3, 0.9986}, {4, 0.9978}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_WORKING);
    CHECK_NEAR(f.still_for_s, 1 * DAY, 1e-6);
    CHECK_NEAR(f.slope_per_day, -0.0008, 1e-9);
}

static void within_what_is_known_of_its_end_a_wash_has_finished(void) {
    static const struct {
        double last_sg, within_sg, division_sg;
        jl_ferment_state state;
    } AT[] = {
        {1.0165, 0, 0.001, JL_FINISHED},     {1.0166, 0, 0.001, JL_STOPPED},
        {1.0175, 0.001, 0.001, JL_FINISHED}, {1.01751, 0.001, 0.001, JL_STOPPED},
        {1.0195, 0.003, 0.001, JL_FINISHED}, {1.01999, 0.01, 0.001, JL_FINISHED},
        {1.02, 0.01, 0.001, JL_STOPPED},     {1.02, 0.0035, 0.001, JL_STOPPED},
        {1.021, 0.01, 0.01, JL_FINISHED},    {1.0211, 0.01, 0.01, JL_STOPPED},
        {1.0155, 0.05, 0.001, JL_FINISHED},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        const day days[] = {{0, 1.080}, {9, AT[i].last_sg}, {13, AT[i].last_sg}};
        const jl_finish_rule rule = {3 * DAY, AT[i].division_sg, 1.016, AT[i].within_sg};
        CHECK(JUDGE(days, &rule).state == AT[i].state);
    }
}

/* Within what is known of its end it has a way to go all the same. */
static void time_left_is_to_what_is_expected(void) {
    static const day DAYS[] = {{0, 1.080}, {9, 1.0225}, {10, 1.018}};
    const jl_finish_rule rule = {3 * DAY, 0.001, 1.016, 0.003};
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_WORKING);
    CHECK_NEAR(f.left_s, 0.002 / 0.0045 * DAY, 1);
    CHECK_NEAR(f.finishes_s, 1.7e9 + 13 * DAY, 1e-3);
}

static void a_division_is_the_same_whatever_the_temperature(void) {
    /* 1.017 and 1.016 read at 22 °C. */
    static const day WARM[] = {{0, 1.080}, {9, 1.01742}, {13, 1.01641}};
    jl_finish_rule rule = JL_FINISH_RULE;
    CHECK(JUDGE(WARM, &rule).state == JL_STOPPED);
    rule.expected_sg = 1.016; /* half a division below the last tells nothing */
    CHECK(JUDGE(WARM, &rule).state == JL_FINISHED);
    rule.expected_sg = 1.0159;
    CHECK(JUDGE(WARM, &rule).state == JL_STOPPED);
}

static void time_left_is_the_rest_at_the_present_slope(void) {
    static const day DAYS[] = {{0, 1.080}, {1, 1.070}, {4, 1.040}, {5, 1.030}, {6, 1.020}};
    static const day AT_REST[] = {{0, 1.080}, {4, 1.0205}, {6, 1.020}};
    static const day RISING[] = {{0, 1.010}, {1, 1.020}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK_NEAR(f.slope_per_day, -0.010, 1e-9);
    CHECK(f.slope_over_s > 0);
    CHECK_NEAR(f.left_s, 2 * DAY, 1);
    CHECK(isnan(JUDGE(AT_REST, &rule).left_s)); /* the fall is within a division */
    CHECK(isnan(JUDGE(RISING, &rule).left_s));
    CHECK(JUDGE(RISING, &rule).rises && !f.rises && !JUDGE(AT_REST, &rule).rises);
}

/* From its first reading on. */
static void a_wash_that_never_moved_has_stood_all_along(void) {
    static const day DAYS[] = {{0, 1.000}, {2, 1.000}, {4, 1.000}};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = JUDGE(DAYS, &rule);
    CHECK(f.state == JL_FINISHED && f.slope_per_day == 0);
    CHECK_NEAR(f.still_for_s, 4 * DAY, 1e-6);
}

static void readings_that_cannot_be_judged_are_refused(void) {
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_dated_gravity two[] = {{0, 1.080}, {DAY, 1.020}};
    jl_ferment f = {.slope_per_day = 7};
    CHECK_STATUS(jl_ferment_judge(two, 0, &rule, &f), JL_MISSING);
    CHECK_STATUS(jl_ferment_judge(two, 1, &rule, &f), JL_MISSING);
    two[1].time_s = 0;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_CONFLICT);
    two[1].time_s = -DAY;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_CONFLICT);
    two[1] = (jl_dated_gravity){NAN, 1.020};
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    two[1] = (jl_dated_gravity){DAY, 1020};
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    two[1] = (jl_dated_gravity){DAY, 1.020};
    rule.span_s = 0;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule.span_s = INFINITY;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule = JL_FINISH_RULE;
    rule.division_sg = 0;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule.division_sg = 0.021;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule = JL_FINISH_RULE;
    rule.expected_sg = NAN;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule = JL_FINISH_RULE;
    rule.expected_within_sg = -1e-9;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    rule.expected_within_sg = 0.0501;
    CHECK_STATUS(jl_ferment_judge(two, 2, &rule, &f), JL_RANGE);
    CHECK(f.slope_per_day == 7);
}

static void times_without_a_slope_are_refused(void) {
    const jl_finish_rule rule = JL_FINISH_RULE;
    const jl_dated_gravity far[] = {{0, 1.05}, {1e300, 1.04}};
    const jl_dated_gravity near[] = {{0, 1.05}, {5e-324, 1.04}};
    jl_ferment f;
    CHECK_STATUS(jl_ferment_judge(far, 2, &rule, &f), JL_RANGE);
    CHECK_STATUS(jl_ferment_judge(near, 2, &rule, &f), JL_RANGE);
}

CU_TestInfo ferment_tests[] = {
    {"standing low for three days is finished", a_wash_that_stands_low_for_three_days_has_finished},
    {"one second short of the span it still works", one_second_short_of_the_span_it_still_works},
    {"stopped at 1.020 is not finished", stopped_at_1_020_is_not_finished},
    {"time left is to what is expected", time_left_is_to_what_is_expected},
    {"within what is known of its end a wash has finished",
     within_what_is_known_of_its_end_a_wash_has_finished},
    {"a fall of more than a division is work", a_fall_of_more_than_a_division_is_work},
    {"a division is the same whatever the temperature",
     a_division_is_the_same_whatever_the_temperature},
    {"a slow fall is not taken for standing", a_slow_fall_is_not_taken_for_standing},
    {"time left is the rest at the present slope", time_left_is_the_rest_at_the_present_slope},
    {"a wash that never moved has stood all along", a_wash_that_never_moved_has_stood_all_along},
    {"readings that cannot be judged are refused", readings_that_cannot_be_judged_are_refused},
    {"times without a slope are refused", times_without_a_slope_are_refused},
    CU_TEST_INFO_NULL,
};
