/* What is read on instruments, and what may be off in it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "suites.h"
#include "uncertainty/readings.h"

enum { READINGS = 2 };

static jl_status sum_of(const double *x, double *figures, void *with) {
    const jl_measured *readings = with;
    figures[0] = 0;
    for (int i = 0; i < READINGS; i++) figures[0] += jl_measured_at(&readings[i], x);
    return JL_OK;
}

/* u of the sum of two readings. */
static double sum_u(jl_measuring *by, jl_instrument which, double first, double second,
                    double scale) {
    jl_measured readings[READINGS];
    jl_uncertainty u = {NAN, NAN};
    by->budget = jl_budget_new();
    readings[0] = jl_measure(by, which, first, scale);
    readings[1] = jl_measure(by, which, second, scale);
    CHECK(by->used[which]);
    CHECK_OK(jl_budget_first_order(by->budget, sum_of, readings, 1, &u));
    CHECK_NEAR(u.value, first + second, 1e-12);
    jl_budget_free(by->budget);
    return u.standard;
}

/* JCGM 100, 4.3.7 (rectangular limits) and 5.2.2, note 1: the limit is common to both readings and so
 * adds as it is; the division is new in each. */
static void two_readings_share_their_instruments_own_error(void) {
    jl_measuring by = {0};
    by.instruments.width[JL_BY_THERMOMETER][JL_LIMIT] = 0.6;
    by.instruments.width[JL_BY_THERMOMETER][JL_DIVISION] = 1;
    double limit = 2 * 0.6 / sqrt(3), division = sqrt(2) * 0.5 / sqrt(3);
    CHECK_NEAR(sum_u(&by, JL_BY_THERMOMETER, 20, 24, 1), hypot(limit, division), 1e-12);
}

/* A certificate's U is at k = 2; a repeatability is a standard uncertainty, new in each reading. */
static void a_certificate_is_halved_and_a_repeatability_taken_as_it_is(void) {
    jl_measuring by = {0};
    by.instruments.width[JL_BY_ALCOHOLOMETER][JL_CERTIFICATE] = 0.2;
    by.instruments.width[JL_BY_ALCOHOLOMETER][JL_REPEATABILITY] = 0.1;
    CHECK_NEAR(sum_u(&by, JL_BY_ALCOHOLOMETER, 40, 50, 1), hypot(2 * 0.1, sqrt(2) * 0.1), 1e-12);
    by = (jl_measuring){.instruments = by.instruments};
    CHECK_NEAR(sum_u(&by, JL_BY_ALCOHOLOMETER, 80, 100, 2), 2 * hypot(2 * 0.1, sqrt(2) * 0.1),
               1e-12);
}

static void a_jugs_own_error_is_a_share_of_the_volume(void) {
    jl_measuring by = {0};
    by.instruments.width[JL_BY_JUG][JL_LIMIT] = 0.01;
    by.instruments.width[JL_BY_JUG][JL_DIVISION] = 0.02;
    CHECK_NEAR(sum_u(&by, JL_BY_JUG, 1, 3, 1), hypot(4 * 0.01 / sqrt(3), sqrt(2) * 0.01 / sqrt(3)),
               1e-12);
}

static void an_error_above_0_is_more(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    by.instruments.width[JL_BY_JUG][JL_LIMIT] = 0.01;
    by.instruments.width[JL_BY_JUG][JL_DIVISION] = 0.02;
    jl_measured volume = jl_measure(&by, JL_BY_JUG, 3.2, 1);
    CHECK(jl_budget_count(by.budget) == 2);
    for (size_t i = 0; i < 2; i++) {
        double x[2] = {0};
        x[i] = 0.01;
        CHECK(jl_measured_at(&volume, x) > 3.2);
    }
    jl_budget_free(by.budget);
}

static void without_a_budget_everything_is_exact(void) {
    jl_measuring by = {0};
    jl_amount amount;
    jl_spirit spirit = {NAN, NAN}, plain = {1, 1};
    by.instruments.width[JL_BY_JUG][JL_LIMIT] = 0.01;
    jl_measured volume = jl_measure(&by, JL_BY_JUG, 3.2, 1);
    CHECK(by.used[JL_BY_JUG] && jl_measured_at(&volume, NULL) == 3.2);
    CHECK_OK(jl_amount_read("3.2L@72.5%@24C", &amount, NULL));
    CHECK_OK(jl_amount_spirit(&amount, &JL_ALCOHOLOMETER, &plain));
    jl_measured_amount m = jl_measure_amount(&by, amount, &JL_ALCOHOLOMETER);
    CHECK_OK(jl_measured_amount_at(&m, NULL, &spirit));
    CHECK(spirit.ethanol_kg == plain.ethanol_kg && spirit.water_kg == plain.water_kg);
    CHECK(by.used[JL_BY_ALCOHOLOMETER] && by.used[JL_BY_THERMOMETER] && !by.used[JL_BY_SCALE]);
}

/* An amount by mass is weighed, one by volume poured into a jug; a strength in proof counts double. */
static void an_amount_is_as_it_would_have_been_read(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    jl_amount amount;
    jl_spirit spirit = {NAN, NAN}, want = {NAN, NAN};
    by.instruments.width[JL_BY_SCALE][JL_LIMIT] = 0.01;
    by.instruments.width[JL_BY_ALCOHOLOMETER][JL_LIMIT] = 0.5;
    CHECK_OK(jl_amount_read("2kg@100proof", &amount, NULL));
    jl_measured_amount m = jl_measure_amount(&by, amount, &JL_ALCOHOLOMETER);
    CHECK(jl_budget_count(by.budget) == 2 && !by.used[JL_BY_JUG] && !by.used[JL_BY_THERMOMETER]);
    const double x[] = {0.01, -0.5}; /* 1 % more on the scale, half a % vol less */
    CHECK_OK(jl_measured_amount_at(&m, x, &spirit));
    CHECK_OK(jl_spirit_read("2.02kg@99proof", &JL_ALCOHOLOMETER, &want, NULL));
    CHECK_NEAR(spirit.ethanol_kg, want.ethanol_kg, 1e-12);
    CHECK_NEAR(spirit.water_kg, want.water_kg, 1e-12);
    jl_budget_free(by.budget);
}

static void a_blend_of_parts_adds_them(void) {
    jl_measuring by = {0};
    jl_measured_amount parts[2];
    jl_amount amount;
    jl_spirit all = {NAN, NAN};
    double parts_l = NAN;
    CHECK_OK(jl_amount_read("1L@96%", &amount, NULL));
    parts[0] = jl_measure_amount(&by, amount, &JL_ALCOHOLOMETER);
    CHECK_OK(jl_amount_read("2L@40%", &amount, NULL));
    parts[1] = jl_measure_amount(&by, amount, &JL_ALCOHOLOMETER);
    CHECK_OK(jl_measured_blend_at(parts, 2, NULL, &all, &parts_l));
    CHECK_NEAR(parts_l, 3, 1e-12);
    CHECK_NEAR(jl_pure_alcohol_l(all), 0.96 + 0.8, 1e-9);
    parts[1].amount.strength.unit = JL_UNIT_BASE;
    CHECK_STATUS(jl_measured_blend_at(parts, 2, NULL, &all, &parts_l), JL_UNIT);
}

/* One degree of a spirit's temperature near 20 °C is 0.40 % vol at 40 % vol (OIML R 22). */
static void a_strength_is_as_well_known_as_its_reading_and_its_temperature(void) {
    jl_instruments in = {0};
    double u = NAN;
    CHECK_OK(jl_strength_standard_pct(&in, 40, &u));
    CHECK_NEAR(u, 0, 1e-12);
    in.width[JL_BY_ALCOHOLOMETER][JL_CERTIFICATE] = 0.2;
    CHECK_OK(jl_strength_standard_pct(&in, 40, &u));
    CHECK_NEAR(u, 0.1, 1e-4);
    in.width[JL_BY_THERMOMETER][JL_CERTIFICATE] = 1;
    CHECK_OK(jl_strength_standard_pct(&in, 40, &u));
    CHECK_NEAR(u, hypot(0.1, 0.5 * 0.40), 0.001);
    CHECK(jl_strength_standard_pct(&in, 140, &u) == JL_RANGE);
}

/* By hand: a jug of ±1 % and divisions of 10 mL; an alcoholometer of ±0.4 on whole divisions and a
 * thermometer of ±1 °C on whole ones, at 0.4 % vol for each °C: 0.2309, 0.2887, 0.2309, 0.1155 % vol. */
static void an_amount_measured_once_has_the_uncertainty_of_its_instruments(void) {
    const jl_instruments usual = jl_settings_to_instruments(NULL);
    jl_instruments exact = {0};
    jl_standards u = jl_amount_standards(&usual, 0.25, 60);
    CHECK_NEAR(u.volume_l, hypot(0.0025, 0.005) / sqrt(3), 1e-9);
    CHECK_NEAR(u.strength_pct, hypot(hypot(0.2309, 0.2887), hypot(0.2309, 0.1155)), 1e-3);
    CHECK_NEAR(u.pure_alcohol_l, hypot(u.volume_l * 0.6, 0.25 * u.strength_pct / 100), 1e-12);
    CHECK_NEAR(u.water_share, hypot(0.01 / sqrt(3), u.strength_pct / 30), 1e-12);
    u = jl_amount_standards(&exact, 24, 8);
    CHECK(u.volume_l == 0 && u.strength_pct == 0 && u.pure_alcohol_l == 0 && u.water_share == 0);
}

CU_TestInfo readings_tests[] = {
    {"two readings share their instrument's own error",
     two_readings_share_their_instruments_own_error},
    {"a certificate is halved, a repeatability taken as it is",
     a_certificate_is_halved_and_a_repeatability_taken_as_it_is},
    {"a jug's own error is a share of the volume", a_jugs_own_error_is_a_share_of_the_volume},
    {"an error above 0 is more", an_error_above_0_is_more},
    {"without a budget everything is exact", without_a_budget_everything_is_exact},
    {"an amount is as it would have been read", an_amount_is_as_it_would_have_been_read},
    {"a strength is as well known as its reading and its temperature",
     a_strength_is_as_well_known_as_its_reading_and_its_temperature},
    {"a blend of parts adds them", a_blend_of_parts_adds_them},
    {"an amount measured once has the uncertainty of its instruments",
     an_amount_measured_once_has_the_uncertainty_of_its_instruments},
    CU_TEST_INFO_NULL,
};
