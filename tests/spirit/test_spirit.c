/* Amounts, their views, mixing and dilution.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "spirit/dilution.h"
#include "spirit/spirit.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

static double draw(double least, double most) {
    return least + (most - least) * rand() / (double)RAND_MAX;
}

static jl_spirit any_spirit(void) {
    return (jl_spirit){draw(0, 5) * pow(10, draw(-3, 3)), draw(0.001, 5) * pow(10, draw(-3, 3))};
}

static jl_spirit read_amount(const char *text) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_spirit spirit = {NAN, NAN};
    jl_fault fault;
    CHECK_OK(jl_spirit_read(text, &instrument, &spirit, &fault));
    return spirit;
}

static void blending_is_associative_and_order_free(void) {
    srand(2);
    for (int i = 0; i < 10000; i++) {
        jl_spirit a = any_spirit(), b = any_spirit(), c = any_spirit();
        jl_spirit left = jl_blend(jl_blend(a, b), c), right = jl_blend(c, jl_blend(b, a));
        CHECK_NEAR(left.ethanol_kg / right.ethanol_kg, 1, 1e-12);
        CHECK_NEAR(left.water_kg / right.water_kg, 1, 1e-12);
        CHECK_NEAR(left.ethanol_kg, a.ethanol_kg + b.ethanol_kg + c.ethanol_kg,
                   1e-12 * left.ethanol_kg);
        CHECK_NEAR(jl_volume_l(left, 20) / jl_volume_l(right, 20), 1, 1e-12);
    }
}

static void dilution_conserves_ethanol_and_water(void) {
    srand(3);
    for (int i = 0; i < 10000; i++) {
        jl_spirit spirit = any_spirit(), addition;
        double p = jl_mass_fraction(spirit), other = draw(0, p), target = draw(other, p);
        if (!(target > other && target < p)) continue;
        CHECK_OK(jl_bring_to(spirit, other, target, &addition));
        CHECK_NEAR(jl_mass_fraction(jl_blend(spirit, addition)), target, 1e-12);
        CHECK_NEAR(addition.ethanol_kg, other * jl_mass_kg(addition), 1e-12 * jl_mass_kg(addition));
        jl_spirit strong, weak;
        double volume_l = draw(0.1, 10);
        CHECK_OK(jl_make_up(&(jl_dilution){p, other, target}, volume_l, &strong, &weak));
        jl_spirit made = jl_blend(strong, weak);
        CHECK_NEAR(jl_volume_l(made, 20), volume_l, 3e-12 * volume_l);
        CHECK_NEAR(jl_mass_fraction(made), target, 1e-12);
    }
}

static void a_target_that_cannot_be_reached_is_refused(void) {
    jl_spirit spirit = {0.4, 0.6}, out = {7, 7}, other = {7, 7};
    CHECK_STATUS(jl_bring_to(spirit, 0, 0.5, &out), JL_NO);
    CHECK_STATUS(jl_bring_to(spirit, 0.3, 0.3, &out), JL_NO);
    CHECK_STATUS(jl_bring_to(spirit, 0.3, 0.2, &out), JL_NO);
    CHECK_STATUS(jl_bring_to(spirit, 0, 1.1, &out), JL_RANGE);
    CHECK_STATUS(jl_bring_to((jl_spirit){0, 0}, 0, 0.2, &out), JL_RANGE);
    CHECK_STATUS(jl_make_up(&(jl_dilution){0.4, 0, 0.5}, 1, &out, &other), JL_NO);
    CHECK_STATUS(jl_make_up(&(jl_dilution){0.4, 0, 0.3}, 0, &out, &other), JL_RANGE);
    CHECK(out.ethanol_kg == 7 && other.ethanol_kg == 7);
    CHECK_OK(jl_bring_to(spirit, 0, 0.4, &out));
    CHECK(out.ethanol_kg == 0 && out.water_kg == 0);
    CHECK_OK(jl_bring_to(spirit, 0.9, 0.5, &out)); /* a stronger spirit mends a weak blend */
    CHECK_NEAR(jl_mass_fraction(jl_blend(spirit, out)), 0.5, 1e-12);
}

/* 40 % by mass is 47.39 % vol at 20 °C (OIML R 22): the target of a dilution is a mass fraction. */
static void a_target_is_a_mass_fraction(void) {
    jl_spirit spirit = read_amount("3.2L@72%"), water;
    double target = NAN;
    CHECK_OK(jl_bring_to(spirit, 0, 0.40, &water));
    CHECK_NEAR(jl_spirit_strength_pct(jl_blend(spirit, water)), 47.39, 0.01);
    CHECK_OK(jl_strength_to_mass_fraction((jl_quantity){40, JL_UNIT_PCT_VOL}, &target));
    CHECK_OK(jl_bring_to(spirit, 0, target, &water));
    CHECK_NEAR(jl_spirit_strength_pct(jl_blend(spirit, water)), 40, 1e-9);
}

/* What went in keeps its alcohol, so the strength found says how much liquid there is. */
static void a_check_says_what_is_still_to_be_added(void) {
    const jl_spirit mixed = {1, 1.5};
    jl_dilution d = {0.65, 0, 0.35};
    jl_check check = {.too_weak = true};
    CHECK_OK(jl_check_mix(&d, mixed, 0.4, &check)); /* found as it was mixed: 40 % by mass */
    CHECK(!check.too_weak);
    CHECK_NEAR(check.batch.ethanol_kg, 1, 1e-15);
    CHECK_NEAR(check.batch.water_kg, 1.5, 1e-12);
    CHECK_NEAR(check.addition.ethanol_kg, 0, 0);
    CHECK_NEAR(check.addition.water_kg, 1 / 0.35 - 2.5, 1e-12);
    CHECK_NEAR(jl_mass_fraction(check.result), 0.35, 1e-12);
    CHECK_OK(jl_check_mix(&d, mixed, 0.32, &check)); /* more water in it than was meant */
    CHECK(check.too_weak);
    CHECK_NEAR(jl_mass_kg(check.batch), 1 / 0.32, 1e-12);
    CHECK_NEAR(jl_mass_fraction(check.addition), 0.65, 1e-12);
    CHECK_NEAR(check.addition.ethanol_kg, 0.65 * (0.35 / 0.32 - 1) / (0.65 - 0.35), 1e-12);
    CHECK_NEAR(jl_mass_fraction(check.result), 0.35, 1e-12);
    CHECK_OK(jl_check_mix(&d, mixed, 0.35, &check));
    CHECK(!check.too_weak && jl_mass_kg(check.addition) == 0);
}

static void a_check_that_nothing_can_be_made_of_is_refused(void) {
    const jl_spirit mixed = {1, 1.5};
    jl_check check = {.batch = {7, 7}};
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0, 0.35}, mixed, 0, &check), JL_RANGE);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0, 0.35}, mixed, NAN, &check), JL_RANGE);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0, 0.35}, mixed, 1.1, &check), JL_RANGE);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0, 0.35}, (jl_spirit){0, 1}, 0.3, &check),
                 JL_RANGE);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0.35, 0.35}, mixed, 0.4, &check), JL_NO);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.34, 0, 0.35}, mixed, 0.3, &check), JL_NO);
    CHECK_STATUS(jl_check_mix(&(jl_dilution){0.65, 0, 1.1}, mixed, 0.4, &check), JL_RANGE);
    CHECK(check.batch.ethanol_kg == 7);
}

/* The same reading a little above and below the target: of one liquid, with either sign. */
static void a_check_with_its_side_given_may_be_negative(void) {
    jl_dilution d = {0.65, 0, 0.35};
    jl_check check = {.too_weak = false};
    CHECK_OK(jl_check_side(&d, (jl_spirit){1, 1.5}, 0.34, &check));
    CHECK(!check.too_weak);
    CHECK_NEAR(check.addition.water_kg, 1 / 0.35 - 1 / 0.34, 1e-12);
    CHECK(check.addition.ethanol_kg == 0);
    CHECK_STATUS(jl_check_side(&d, (jl_spirit){1, 1.5}, 0, &check), JL_RANGE);
    CHECK_NEAR(jl_mass_fraction(check.result), 0.35, 1e-12);
}

/* Signed, where jl_bring_to refuses: a spirit of 40 % by mass for a target of 50 % has too much
 * water. */
static void what_is_to_be_added_has_a_sign(void) {
    CHECK_NEAR(jl_addition_kg((jl_spirit){0.6, 0.4}, 0, 0.5), 0.2, 1e-12);
    CHECK_NEAR(jl_addition_kg((jl_spirit){0.4, 0.6}, 0, 0.5), -0.2, 1e-12);
    CHECK(jl_addition_kg((jl_spirit){0.5, 0.5}, 0, 0.5) == 0);
    CHECK(!isfinite(jl_addition_kg((jl_spirit){0.4, 0.6}, 0.5, 0.5)));
}

static void bottles_are_full_ones(void) {
    jl_bottles b = jl_fill_bottles(nextafter(3, 0), 0.75);
    CHECK(b.full == 4 && b.left_over_l == 0);
    b = jl_fill_bottles(3, 0.75);
    CHECK(b.full == 4 && b.left_over_l == 0);
    b = jl_fill_bottles(0.1 + 0.2, 0.1); /* 0.30000000000000004 */
    CHECK(b.full == 3);
    b = jl_fill_bottles(3 * 0.7, 0.7); /* a rounding short of three */
    CHECK(b.full == 3 && b.left_over_l >= 0 && b.left_over_l < 1e-12);
    b = jl_fill_bottles(5, 0.7);
    CHECK(b.full == 7);
    CHECK_NEAR(b.left_over_l, 0.1, 1e-12);
    b = jl_fill_bottles(NAN, 0.7);
    CHECK(isnan(b.full) && isnan(b.left_over_l));
}

static void views_agree_with_what_the_amount_was_made_from(void) {
    jl_spirit spirit = read_amount("3.2L@72%");
    CHECK_NEAR(jl_volume_l(spirit, 20), 3.2, 1e-12);
    CHECK_NEAR(jl_spirit_strength_pct(spirit), 72, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(spirit), 3.2 * 0.72, 1e-9);
    spirit = read_amount("1gal@100proof");
    CHECK_NEAR(jl_proof_us(spirit), 100, 1e-9);
    /* 27 CFR 30.11: a wine gallon at 60 °F of 100 proof is one proof gallon; this one is at 20 °C.
     */
    CHECK_NEAR(jl_proof_gallons_us(spirit), jl_volume_l(spirit, JL_PROOF_C) / 3.785411784, 1e-9);
    jl_amount amount = jl_amount_at_20(spirit);
    jl_spirit again = {NAN, NAN};
    CHECK(!amount.measured && !amount.by_mass && amount.temp_c == 20);
    CHECK_OK(jl_amount_spirit(&amount, &JL_ALCOHOLOMETER, &again));
    CHECK_NEAR(again.ethanol_kg, spirit.ethanol_kg, 1e-12);
    CHECK_NEAR(again.water_kg, spirit.water_kg, 1e-12);
    spirit = read_amount("2kg@30%mas");
    CHECK_NEAR(100 * jl_mass_fraction(spirit), 30, 1e-12);
    double density = NAN;
    CHECK_OK(jl_density_kg_m3(0.3, 20, &density));
    CHECK_NEAR(jl_scale_from_mass_kg(jl_mass_kg(spirit), density), 2, 1e-12);
    CHECK_NEAR(jl_scale_kg(spirit, 20), 2, 1e-12);
    CHECK(isnan(jl_scale_kg(spirit, 41)));
    spirit = jl_spirit_times(spirit, 0.5);
    CHECK_NEAR(jl_scale_kg(spirit, 20), 1, 1e-12);
    CHECK(jl_scale_kg((jl_spirit){0, 0}, 20) == 0 && jl_volume_l((jl_spirit){0, 0}, 20) == 0);
}

static void a_reading_at_a_temperature_makes_an_amount(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    double p = NAN, density = NAN;
    CHECK_OK(
        jl_reading_to_mass_fraction(&instrument, (jl_quantity){72.5, JL_UNIT_PCT_VOL}, 24, &p));
    CHECK_OK(jl_density_kg_m3(p, 24, &density));
    jl_spirit spirit = read_amount("3.2L@72.5%@24C");
    CHECK_NEAR(jl_mass_kg(spirit), 3.2 * density / 1000, 1e-12);
    CHECK_NEAR(jl_mass_fraction(spirit), p, 1e-15);
}

static void texts_that_are_no_amount_are_refused(void) {
    static const struct {
        const char *text;
        jl_status status;
    } at[] = {
        {"3.2L", JL_FORM},
        {"3.2@72%", JL_UNIT},
        {"0.50000000000000000000000000000L@72%", JL_FORM}, /* 32 bytes are no quantity */
        {"3.2L@72", JL_UNIT},
        {"0L@72%", JL_RANGE},
        {"-1L@72%", JL_RANGE},
        {"1,000ml@72%", JL_AMBIGUOUS},
        {"3.2L@72%@24C@1", JL_FORM},
        {"3.2L@101%", JL_RANGE},
        {"3.2L@72%@24", JL_UNIT},
        {"3.2L@72%@41C", JL_RANGE},
        {"3.2L@41C@72%", JL_RANGE},
        {"3.2kg@41C@72%", JL_RANGE},
        {"3.2L@72%@2000C", JL_RANGE},
        {"3.2L@72.0000000000000000000000000000000000%", JL_FORM},
        {"3.2L@30%mas@24C", JL_UNIT},
        {"3.2L@1%@30C", JL_NO_MIXTURE},
        {"@", JL_FORM},
        {"", JL_FORM},
        {"3.2W@72%", JL_UNIT},
    };
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_spirit spirit = {7, 7};
        jl_fault fault = {0};
        CHECK_STATUS(jl_spirit_read(at[i].text, &instrument, &spirit, &fault), at[i].status);
        CHECK(spirit.ethanol_kg == 7 && fault.status == at[i].status && fault.expected != NULL);
        CHECK_STATUS(jl_spirit_read(at[i].text, &instrument, &spirit, NULL), at[i].status);
    }
    instrument.calibrated_c = 20;
    jl_spirit spirit;
    CHECK_OK(jl_spirit_read("0.5000000000000000000000000000L@72%", &instrument, &spirit,
                            NULL)); /* 31 are one */
    CHECK_STATUS(jl_spirit_read("1L@144proof@75F", &instrument, &spirit, NULL), JL_CONFLICT);
}

static void flash_points_are_the_quoted_ones(void) {
    double c = NAN;
    CHECK_OK(jl_flash_point_c(40, &c));
    CHECK_NEAR(c, 26, 0);
    CHECK_OK(jl_flash_point_c(96, &c));
    CHECK_NEAR(c, 17, 0);
    CHECK_STATUS(jl_flash_point_c(9.9, &c), JL_RANGE);
    CHECK_STATUS(jl_flash_point_c(NAN, &c), JL_RANGE);
}

static void what_cannot_be_held_is_refused(void) {
    jl_spirit spirit;
    CHECK(isnan(jl_scale_from_mass_kg(-1, 900)) && isnan(jl_mass_from_scale_kg(-1, 900)));
    CHECK(isnan(jl_scale_from_mass_kg(INFINITY, 900)));
    CHECK_STATUS(jl_spirit_from_volume(5e-324, 0.5, 20, &spirit), JL_RANGE);
    CHECK_STATUS(jl_spirit_from_mass(5e-324, 0.5, &spirit), JL_RANGE);
}

/* 27 CFR 30.32: up to 0.6 g in 100 ml, from 0.4 g and from 80 to 100 proof on by four times the
 * solids. */
static void solids_hide_proof_within_bounds(void) {
    static const double BAD_PROOF[] = {-0.1, 200.1, NAN};
    double proof = 7, p = 7;
    CHECK_OK(jl_obscured_proof(80, 0.5, &proof));
    CHECK_NEAR(proof, 82, 1e-12);
    CHECK_OK(jl_obscured_proof(80, 0.6, &proof));
    CHECK_NEAR(proof, 82.4, 1e-12);
    CHECK_OK(jl_obscured_proof(120, 0.39, &proof));
    CHECK_NEAR(proof, 120, 0);
    for (size_t i = 0; i < 3; i++)
        CHECK_STATUS(jl_obscured_proof(BAD_PROOF[i], 0, &proof), JL_RANGE);
    CHECK_STATUS(jl_obscured_proof(80, -0.1, &proof), JL_RANGE);
    CHECK_STATUS(jl_obscured_proof(80, NAN, &proof), JL_RANGE);
    CHECK_STATUS(jl_obscured_proof(80, 0.601, &proof), JL_NO);
    CHECK_STATUS(jl_obscured_proof(79.9, 0.5, &proof), JL_NO);
    CHECK_STATUS(jl_obscured_proof(100.1, 0.5, &proof), JL_NO);
    CHECK_NEAR(proof, 120, 0);
    p = 0.3;
    CHECK_OK(jl_mixture_behind_solids(NAN, &p));
    CHECK_STATUS(jl_mixture_behind_solids(0.7, &p), JL_NO);
    CHECK(p == 0.3);
}

/* 27 CFR 30.41, with its factor: 100 lb at a specific gravity of 1.1 are 10.91582 gallons. */
static void gallons_behind_solids_need_a_density(void) {
    jl_spirit spirit = {7, 7};
    CHECK_OK(jl_obscured_by_gravity(45.359237, 1.1, 0.4, &spirit));
    CHECK_NEAR(jl_volume_l(spirit, JL_PROOF_C) / 3.785411784, 10.91582, 1e-4);
    spirit.ethanol_kg = 7;
    CHECK_STATUS(jl_obscured_by_gravity(45, 0.999, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_obscured_by_gravity(45, 2.001, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_obscured_by_weight(45, 1.1, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_obscured_by_volume(10, 20, 1.1, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_obscured_by_volume(10, 41, 0.4, 0.4, &spirit), JL_RANGE);
    CHECK(spirit.ethanol_kg == 7);
}

static void a_mixture_lies_between_its_parts(void) {
    const jl_dilution d = {0.8, 0.1, 0.4};
    static const double BAD[] = {-0.1, 1.1, NAN};
    jl_check check = {.too_weak = true};
    CHECK_STATUS(jl_check_mix(&d, (jl_spirit){4, 6}, 0.81, &check), JL_NO);
    CHECK_STATUS(jl_check_mix(&d, (jl_spirit){4, 6}, 0.09, &check), JL_NO);
    CHECK_OK(jl_check_mix(&d, (jl_spirit){4, 6}, 0.8, &check));
    CHECK(!check.too_weak);
    for (size_t i = 0; i < 3; i++) {
        const jl_dilution odd[] = {{BAD[i], 0, 0.4}, {0.8, BAD[i], 0.4}, {0.8, 0, BAD[i]}};
        for (size_t k = 0; k < 3; k++)
            CHECK_STATUS(jl_check_mix(&odd[k], (jl_spirit){4, 6}, 0.5, &check), JL_RANGE);
        CHECK_STATUS(jl_check_mix(&d, (jl_spirit){4, 6}, BAD[i], &check), JL_RANGE);
    }
    CHECK_STATUS(jl_check_mix(&d, (jl_spirit){4, 6}, 0, &check), JL_RANGE);
}

/* The other liquid itself, asked for: nothing of the strong one goes in, not a rounding of it. */
static void a_made_up_amount_may_be_all_of_one_part(void) {
    jl_spirit spirit, other;
    CHECK_OK(jl_make_up(&(jl_dilution){0.8, 0.4, 0.4}, 3, &spirit, &other));
    CHECK(jl_mass_kg(spirit) == 0);
    CHECK_NEAR(jl_volume_l(other, 20), 3, 1e-12);
    CHECK_OK(jl_make_up(&(jl_dilution){0.8, 0.4, 0.8}, 3, &spirit, &other));
    CHECK(jl_mass_kg(other) == 0);
}

CU_TestInfo spirit_tests[] = {
    {"solids hide proof within bounds", solids_hide_proof_within_bounds},
    {"gallons behind solids need a density", gallons_behind_solids_need_a_density},
    {"a mixture lies between its parts", a_mixture_lies_between_its_parts},
    {"a made-up amount may be all of one part", a_made_up_amount_may_be_all_of_one_part},
    {"blending is associative and order-free", blending_is_associative_and_order_free},
    {"dilution conserves ethanol and water", dilution_conserves_ethanol_and_water},
    {"an unreachable target is refused", a_target_that_cannot_be_reached_is_refused},
    {"a target is a mass fraction", a_target_is_a_mass_fraction},
    {"a check says what is still to be added", a_check_says_what_is_still_to_be_added},
    {"a check that nothing can be made of is refused",
     a_check_that_nothing_can_be_made_of_is_refused},
    {"a check with its side given may be negative", a_check_with_its_side_given_may_be_negative},
    {"what is to be added has a sign", what_is_to_be_added_has_a_sign},
    {"bottles are full ones", bottles_are_full_ones},
    {"views agree with what an amount was made from",
     views_agree_with_what_the_amount_was_made_from},
    {"a reading at a temperature makes an amount", a_reading_at_a_temperature_makes_an_amount},
    {"texts that are no amount are refused", texts_that_are_no_amount_are_refused},
    {"flash points are the quoted ones", flash_points_are_the_quoted_ones},
    {"what cannot be held is refused", what_cannot_be_held_is_refused},
    CU_TEST_INFO_NULL,
};
