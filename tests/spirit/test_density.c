/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

/* OIML R 22 (1975), printed values. */
static void oiml_r22_points(void) {
    static const struct {
        double strength_pct, temp_c, density_kg_m3;
    } at[] = {{100, 20, 789.24}, {100, 0, 806.22}, {100, 40, 771.93}, {40, 20, 948.05}};
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        double p = NAN;
        double density = NAN;
        CHECK_OK(jl_mass_fraction_from_strength(at[i].strength_pct, 20, &p));
        CHECK_OK(jl_density_kg_m3(p, at[i].temp_c, &density));
        CHECK_NEAR(density, at[i].density_kg_m3, 0.0051);
    }
}

/* A grid of the whole domain, finer where the slope is flattest and at both ends. */
static void inverses_return_their_input(void) {
    for (double t = JL_TEMP_MIN_C; t <= JL_TEMP_MAX_C; t += 0.5) {
        for (int i = 0; i <= 2000; i++) {
            double p = i / 2000.0;
            if (i < 20) p = pow(10, -i / 2.0);
            if (i > 1980) p = 1 - pow(10, -(2000 - i) / 2.0);
            double density, strength, back;
            CHECK_OK(jl_density_kg_m3(p, t, &density));
            CHECK_OK(jl_mass_fraction_from_density(density, t, &back));
            CHECK_NEAR(back, p, 1e-9);
            CHECK_OK(jl_strength_pct(p, t, &strength));
            CHECK_OK(jl_mass_fraction_from_strength(fmin(strength, 100), t, &back));
            CHECK_NEAR(back, p, 1e-9);
        }
    }
}

static void arguments_outside_the_domain_are_refused(void) {
    double out = 7;
    CHECK_STATUS(jl_density_kg_m3(-1e-9, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_density_kg_m3(1 + 1e-9, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_density_kg_m3(NAN, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_density_kg_m3(0.5, 40.001, &out), JL_RANGE);
    CHECK_STATUS(jl_density_kg_m3(0.5, -20.001, &out), JL_RANGE);
    CHECK_STATUS(jl_density_kg_m3(0.5, NAN, &out), JL_RANGE);
    CHECK_STATUS(jl_mass_fraction_from_density(NAN, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_mass_fraction_from_density(998.21, 20, &out), JL_NO_MIXTURE);
    CHECK_STATUS(jl_mass_fraction_from_density(789.23, 20, &out), JL_NO_MIXTURE);
    CHECK_STATUS(jl_mass_fraction_from_strength(100.01, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_mass_fraction_from_strength(-0.01, 20, &out), JL_RANGE);
    CHECK_STATUS(jl_strength_pct(INFINITY, 20, &out), JL_RANGE);
    CHECK(out == 7);
}

static void density_of_ethanol_is_the_constant(void) {
    double density = NAN;
    CHECK_OK(jl_density_kg_m3(1, 20, &density));
    CHECK_NEAR(density / 1000, JL_ETHANOL_KG_L, 1e-13); /* rounding of twelve terms */
}

static void no_strength_is_above_100_pct(void) {
    for (int i = -200; i <= 400; i++) {
        double pct = NAN;
        CHECK_OK(jl_strength_pct(nextafter(1, 0), i / 10.0, &pct));
        CHECK(pct <= 100);
    }
}

static void mole_and_mass_fraction_are_inverses(void) {
    for (int i = 0; i <= 1000; i++) {
        double w = i / 1000.0;
        double pct = NAN, x = jl_mole_fraction(w);
        CHECK_NEAR(jl_mass_fraction_from_mole(x), w, 1e-15);
        CHECK_OK(jl_strength_pct(w, 20, &pct));
        CHECK_NEAR(jl_strength_pct_from_mole(x), pct, 1e-10);
    }
    CHECK(isnan(jl_strength_pct_from_mole(-1e-9)) && isnan(jl_strength_pct_from_mole(NAN)));
}

CU_TestInfo density_tests[] = {
    {"mole and mass fraction are inverses", mole_and_mass_fraction_are_inverses},
    {"OIML R 22 printed densities", oiml_r22_points},
    {"inverses return their input over the domain", inverses_return_their_input},
    {"arguments outside the domain are refused", arguments_outside_the_domain_are_refused},
    {"the constant for pure alcohol is the formula's", density_of_ethanol_is_the_constant},
    {"no strength is above 100 %", no_strength_is_above_100_pct},
    CU_TEST_INFO_NULL,
};
