/* One strength of a wash out of all ways, and how far it holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "numbers.h"
#include "suites.h"
#include "wash/gravity.h"
#include "wash/wash.h"

static jl_wash of_gravities(double original, double final, jl_wash_kind kind) {
    jl_wash w = JL_WASH;
    w.original = (jl_wash_gravity){true, {original, JL_UNIT_SG}, 20};
    w.final = (jl_wash_gravity){true, {final, JL_UNIT_SG}, 20};
    w.kind = kind;
    return w;
}

static jl_wash_strength strength_of(const jl_wash *w) {
    jl_wash_strength s = {.strength_pct = NAN};
    CHECK_OK(jl_wash_strength_of(w, NULL, &s));
    return s;
}

/* The rule gives 11.83; 1 to 7 % of that are missing: 11.95 to 12.66. */
static void a_sugar_wash_holds_the_whole_span_of_its_bias(void) {
    jl_wash w = of_gravities(1.080, 0.992, JL_KIND_SUGAR);
    jl_wash_strength s = strength_of(&w);
    CHECK_NEAR(s.strength_pct, 1.04 * 11.832, 0.001);
    CHECK(s.strength_pct - 2 * s.strength_u_pct < 11.95);
    CHECK(s.strength_pct + 2 * s.strength_u_pct > 12.66);
    CHECK(s.strength_u_pct < 0.3 && !s.disagree);
    w.kind = JL_KIND_UNSTATED; /* it may be one of malt */
    s = strength_of(&w);
    CHECK(s.strength_pct - 2 * s.strength_u_pct < 11.83);
    CHECK(s.strength_pct + 2 * s.strength_u_pct > 12.66);
}

/* Cutaia and others, J. Inst. Brew. 115(4) 2009: alcohol as it was analysed. */
static void published_analyses_of_beer_lie_within(void) {
    const char *file = "beer-analyses";
    for (size_t i = 0; i < reference_rows(file); i++) {
        double original = NAN, final = NAN;
        double alcohol = reference_number(file, i, "alcohol_mass_pct");
        CHECK_OK(jl_gravity_from_extract(reference_number(file, i, "original_extract"), &original));
        CHECK_OK(jl_gravity_from_extract(reference_number(file, i, "apparent_extract"), &final));
        jl_wash w = of_gravities(original, final, JL_KIND_MALT);
        jl_wash_strength s = strength_of(&w);
        CHECK_NEAR(s.strength_pct, alcohol * final / 0.7907, 2 * s.strength_u_pct);
    }
}

/* HM Revenue and Customs, Notice 226: read in a quotation. It may differ by 0.32 itself. */
static void duty_factors_lie_within(void) {
    jl_wash w = of_gravities(1.048, 1.010, JL_KIND_MALT);
    jl_wash_strength s = strength_of(&w);
    CHECK_NEAR(s.strength_pct, 38 * 0.130, 2 * s.strength_u_pct);
}

/* United Kingdom, Spirits Act 1880, section 46(2): presumed, and so below what a wash has. */
static void the_presumed_yield_of_1880_lies_below(void) {
    const char *file = "presumed-yield";
    double degrees = 88, presumed_pct = degrees / reference_number(file, 0, "degrees_lost") *
                                        reference_number(file, 0, "proof_spirit_gal") /
                                        reference_number(file, 0, "wash_gal") *
                                        reference_number(file, 0, "proof_spirit_pct");
    jl_wash w = of_gravities(1.080, 0.992, JL_KIND_MALT);
    jl_wash_strength s = strength_of(&w);
    CHECK_NEAR(presumed_pct, 10.06, 0.01);
    CHECK(presumed_pct < s.strength_pct - 2 * s.strength_u_pct);
}

/* ---- what one hydrometer shares ---- */

static double u_by_limit(double original, double final) {
    jl_settings exact;
    jl_wash_strength s = {.strength_u_pct = NAN};
    jl_settings_begin(&exact);
    for (int which = 0; which < JL_INSTRUMENTS; which++)
        for (int what = 0; what < JL_WIDTHS; what++)
            if (what != JL_CERTIFICATE && (which != JL_BY_HYDROMETER || what != JL_LIMIT))
                jl_settings_number(&exact, jl_width_key((jl_instrument)which, (jl_width)what), 0,
                                   JL_FROM_OPTION, NULL);
    jl_wash w = of_gravities(original, final, JL_KIND_MALT);
    w.hydrometer.division_sg = 1e-9;
    CHECK_OK(jl_wash_strength_of(&w, &exact, &s));
    double rule = 0.12 * final / 0.7907 / sqrt(3);
    return sqrt(s.strength_u_pct * s.strength_u_pct - rule * rule);
}

static void a_hydrometers_error_at_two_places_of_its_scale_is_not_one(void) {
    jl_fermented f = {0};
    CHECK_OK(jl_wash_from_gravity(1.080, 0.992, 0.001, &f));
    double apart = hypot(f.original_division_pct, f.final_division_pct) / sqrt(3);
    CHECK_NEAR(u_by_limit(1.080, 0.992), apart, 0.002);
    /* Side by side it is one, and nearly cancels. */
    CHECK(u_by_limit(1.050, 1.0499) < 0.02);
    CHECK(u_by_limit(1.050, 1.030) < 0.9 * apart);
}

/* ---- several ways ---- */

static jl_wash by_three(double distilled_pct) {
    jl_wash w = of_gravities(1.090, 0.991, JL_KIND_SUGAR);
    w.volume_l = 25;
    w.has_sugar = w.has_sample = true;
    w.sugar = JL_SUCROSE;
    w.sugar_kg = 6;
    w.yield_share = 0.92;
    w.sample_reading.value = distilled_pct;
    w.sample_l = w.made_up_l = 0.2;
    return w;
}

static void ways_that_agree_make_one_better_than_each(void) {
    jl_wash w = by_three(13.8);
    jl_wash_strength s = strength_of(&w);
    double sum = 0;
    CHECK(!s.disagree);
    for (int i = 0; i < JL_WAY_BOUND; i++) {
        CHECK(s.weight[i] >= 0 && s.strength_u_pct < s.u_pct[i]);
        sum += s.weight[i];
    }
    CHECK_NEAR(sum, 1, 1e-12);
    CHECK(s.weight[JL_WAY_BOUND] == 0 && isnan(s.counted_pct[JL_WAY_BOUND]));
    double combined = 0;
    for (int i = 0; i < JL_WAY_BOUND; i++) combined += s.weight[i] * s.counted_pct[i];
    CHECK_NEAR(s.strength_pct, combined, 1e-12);
}

static void ways_that_disagree_are_named_and_widen_it(void) {
    jl_wash agree = by_three(13.8), apart = by_three(11.5);
    jl_wash_strength good = strength_of(&agree), bad = strength_of(&apart);
    CHECK(bad.disagree && bad.one == JL_WAY_DISTILLED && bad.other == JL_WAY_GRAVITY);
    CHECK_NEAR(bad.apart_pct, bad.counted_pct[0] - bad.counted_pct[1], 1e-12);
    double more = fabs(bad.apart_pct) / (2 * bad.apart_u_pct);
    CHECK(more > 1);
    CHECK_NEAR(bad.strength_u_pct, more * good.strength_u_pct, 0.05);
}

static void a_bound_alone_is_no_strength(void) {
    jl_wash w = JL_WASH;
    jl_wash_strength s = {.strength_pct = 7};
    w.final = (jl_wash_gravity){true, {0.980, JL_UNIT_SG}, 20};
    CHECK_STATUS(jl_wash_strength_of(&w, NULL, &s), JL_NO);
    w = JL_WASH;
    CHECK_STATUS(jl_wash_strength_of(&w, NULL, &s), JL_MISSING);
    jl_uncertainty apart;
    CHECK_STATUS(jl_wash_original_difference(&w, NULL, &apart), JL_NO);
    w = of_gravities(1.06, 1, JL_KIND_SUGAR);
    CHECK_STATUS(jl_wash_original_difference(&w, NULL, &apart), JL_NO);
    w = by_three(13.8);
    CHECK_OK(jl_wash_original_difference(&w, NULL, &apart));
    w.final.known = false;
    CHECK_STATUS(jl_wash_original_difference(&w, NULL, &apart), JL_NO);
    w.final = (jl_wash_gravity){true, {992, JL_UNIT_SG}, 20};
    CHECK_STATUS(jl_wash_original_difference(&w, NULL, &apart), JL_RANGE);
    w.original = (jl_wash_gravity){true, {1060, JL_UNIT_SG}, 20};
    CHECK_STATUS(jl_wash_original_difference(&w, NULL, &apart), JL_RANGE);
    w.size = 0;
    CHECK_STATUS(jl_wash_strength_of(&w, NULL, &s), JL_RANGE);
    CHECK(s.strength_pct == 7);
}

/* Of malt what does not ferment is in the attenuation already; of what else went in it is not. */
static void what_is_left_of_a_recipe_is_unsure_but_of_malt(void) {
    double u[2];
    for (int i = 0; i < 2; i++) {
        static const char *const IN[] = {"5kg extract", "7kg molasses 55%"};
        jl_wash w = of_gravities(1.07, 1.02, JL_KIND_UNSTATED);
        jl_ingredient in;
        CHECK_OK(jl_ingredient_read(IN[i], strlen(IN[i]), &in));
        CHECK_OK(jl_recipe_of(&in, 1, 25, &w.recipe));
        w.has_recipe = true;
        jl_wash_strength s = strength_of(&w);
        u[i] = s.u_pct[JL_WAY_SUGAR] / s.counted_pct[JL_WAY_SUGAR];
        CHECK(w.recipe.fermentable_share < 0.9);
    }
    CHECK(u[1] > 1.2 * u[0]);
}

/* Where two ways share a hydrometer that is badly off, the one that leans on it less stands alone: the
 * best sum of both would take the other's error twice. */
static void no_way_counts_below_nothing(void) {
    jl_settings bad;
    jl_ingredient in;
    jl_wash_strength s = {.strength_pct = NAN};
    jl_wash w = of_gravities(1.07, 1.02, JL_KIND_UNSTATED);
    CHECK_OK(jl_ingredient_read("5kg extract", 11, &in));
    CHECK_OK(jl_recipe_of(&in, 1, 25, &w.recipe));
    w.has_recipe = true;
    jl_settings_begin(&bad);
    jl_settings_number(&bad, jl_width_key(JL_BY_HYDROMETER, JL_LIMIT), 0.03, JL_FROM_OPTION, NULL);
    CHECK_OK(jl_wash_strength_of(&w, &bad, &s));
    CHECK(s.weight[JL_WAY_GRAVITY] == 0 && s.weight[JL_WAY_SUGAR] == 1);
    CHECK_NEAR(s.strength_pct, s.counted_pct[JL_WAY_SUGAR], 0);
    CHECK_NEAR(s.strength_u_pct, s.u_pct[JL_WAY_SUGAR], 1e-9);
    CHECK(s.u_pct[JL_WAY_GRAVITY] > s.u_pct[JL_WAY_SUGAR]);
}

/* Where a scale ends, what may be off leads to one side alone. */
static void a_strength_at_the_end_of_a_scale_is_as_unsure(void) {
    jl_wash w = JL_WASH;
    jl_wash_strength s = {.strength_pct = 7};
    w.has_sample = true;
    w.sample_reading.value = 100;
    w.sample_l = 0.4;
    w.made_up_l = 0.2;
    jl_wash_ways ways;
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK_OK(jl_wash_strength_of(&w, NULL, &s));
    CHECK_NEAR(s.strength_pct, 50, 1e-9);
    CHECK(s.strength_u_pct > 0.1 && s.strength_u_pct < 1);
}

/* ---- does the interval hold the truth ---- */

/* Reproducible: a multiplicative generator (Park and Miller, from memory). */
static double uniform(uint64_t *state, double half_width) {
    *state = *state * 48271 % 2147483647;
    return half_width * (2 * (double)*state / 2147483647 - 1);
}

static double read_sg(double sg, uint64_t *r) {
    return sg + uniform(r, 0.001) + uniform(r, 0.0005); /* its limit there, its division */
}

/* A wash whose strength is known, and what is read of it. Instruments, rule, yield and bias are off by
 * what is said of them. */
static jl_wash simulated(uint64_t *r, int ways, double *truth_pct) {
    double original = 1.07 + uniform(r, 0.03), final = 1.0 + uniform(r, 0.008);
    jl_fermented f = {0};
    CHECK_OK(jl_wash_from_gravity(original, final, 0.001, &f));
    double by_rule = f.strength_pct + uniform(r, 0.12) * final / 0.7907;
    *truth_pct = by_rule * (1.04 + uniform(r, 0.03));
    jl_wash w = of_gravities(read_sg(original, r), read_sg(final, r), JL_KIND_SUGAR);
    if (ways < 2) return w;
    double yield = 0.92 * (1 + uniform(r, 0.05));
    double so_far = fmin(f.real_attenuation_share, 1) * (1 + uniform(r, 0.03));
    double sugar_kg = *truth_pct / 100 * 25 * JL_ETHANOL_KG_L /
                      (jl_sugar_theory_kg_kg(JL_SUCROSE) * yield * so_far);
    w.has_sugar = true;
    w.sugar = JL_SUCROSE;
    w.yield_share = 0.92;
    w.volume_l = 25 * (1 + uniform(r, 0.01));
    w.sugar_kg = sugar_kg;
    if (ways < 3) return w;
    w.has_sample = true;
    w.sample_l = w.made_up_l = 0.2;
    w.sample_reading.value = *truth_pct + uniform(r, 0.4) + uniform(r, 0.5);
    return w;
}

static double covered_share(int ways, int count) {
    uint64_t r = 20261127;
    int held = 0;
    for (int i = 0; i < count; i++) {
        double truth_pct = NAN;
        jl_wash w = simulated(&r, ways, &truth_pct);
        jl_wash_strength s = strength_of(&w);
        held += fabs(s.strength_pct - truth_pct) <= 2 * s.strength_u_pct;
    }
    return (double)held / count;
}

/* k = 2 holds a little more than 95 % where a rectangular cause leads. */
static void the_interval_holds_the_truth_of_about_95_in_100(void) {
    CHECK_NEAR(covered_share(1, 600), 0.965, 0.025);
    CHECK_NEAR(covered_share(2, 600), 0.965, 0.025);
    CHECK_NEAR(covered_share(3, 600), 0.965, 0.025);
}

/* Within 3 % of itself, rectangular. */
static void what_went_in_later_raises_the_original_gravity(void) {
    double raised_sg = NAN;
    jl_wash_ways ways = {.original_sg = 7};
    jl_wash_fault fault = {0};
    jl_wash w = of_gravities(1.070, 0.995, JL_KIND_UNSTATED);
    CHECK(jl_gravity_raise(1.070, 0.05, &raised_sg));
    const jl_wash at_once = of_gravities(raised_sg, 0.995, JL_KIND_UNSTATED);
    jl_wash_strength one = strength_of(&at_once);
    w.later_kg_l = 0.05;
    jl_wash_strength s = strength_of(&w);
    CHECK_NEAR(s.strength_pct, one.strength_pct, 1e-9);
    double more = s.strength_u_pct * s.strength_u_pct - one.strength_u_pct * one.strength_u_pct;
    CHECK_NEAR(sqrt(more), 0.019 * 0.03 / sqrt(3) * 142, 0.003);
    w.later_kg_l = 0.4;
    CHECK_STATUS(jl_wash_by_all_ways(&w, &ways, &fault), JL_RANGE);
    CHECK(ways.original_sg == 7 && fault.part == JL_PART_ORIGINAL);
    w.original.known = false;
    w.final.known = true;
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, &fault));
    CHECK(isnan(ways.original_sg));
}

CU_TestInfo strength_tests[] = {
    {"what went in later raises the original gravity",
     what_went_in_later_raises_the_original_gravity},
    {"a sugar wash holds the whole span of its bias",
     a_sugar_wash_holds_the_whole_span_of_its_bias},
    {"published analyses of beer lie within", published_analyses_of_beer_lie_within},
    {"duty factors lie within", duty_factors_lie_within},
    {"the presumed yield of 1880 lies below", the_presumed_yield_of_1880_lies_below},
    {"a hydrometer's error at two places of its scale is not one",
     a_hydrometers_error_at_two_places_of_its_scale_is_not_one},
    {"ways that agree make one better than each", ways_that_agree_make_one_better_than_each},
    {"ways that disagree are named and widen it", ways_that_disagree_are_named_and_widen_it},
    {"what is left of a recipe is unsure, but of malt",
     what_is_left_of_a_recipe_is_unsure_but_of_malt},
    {"no way counts below nothing", no_way_counts_below_nothing},
    {"a strength at the end of a scale is as unsure",
     a_strength_at_the_end_of_a_scale_is_as_unsure},
    {"a bound alone is no strength", a_bound_alone_is_no_strength},
    {"the interval holds the truth of about 95 in 100",
     the_interval_holds_the_truth_of_about_95_in_100},
    CU_TEST_INFO_NULL,
};
