/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "still/curve.h"
#include "still/heat.h"
#include "suites.h"

/* Logarithmic towards both ends, even between. */
enum { PLACES = 2000 };
static double place(int i) {
    double even = i / (double)PLACES;
    if (i < 200) return pow(10, -9 + 8 * i / 200.0);
    if (i > PLACES - 200) return 1 - pow(10, -9 + 8 * (PLACES - i) / 200.0);
    return even;
}

static void the_table_stands_for_the_model(void) {
    static jl_table table;
    for (double kpa = 30; kpa <= 110; kpa += 10) {
        CHECK_OK(jl_table_fill(kpa, 0, true, &table));
        for (int i = 0; i <= PLACES; i++) {
            double x = place(i), ethanol, water;
            jl_boiling want;
            CHECK_OK(jl_boil(x, kpa, &want));
            jl_at_boil got = jl_table_at(&table, x);
            double y = table.curve.vapour(&table.curve, x);
            jl_latent_j_mol(want.temp_c, &ethanol, &water);
            CHECK_NEAR(y, want.y, 1e-9 * want.y);
            CHECK_NEAR(1 - y, 1 - want.y, 1e-9 * (1 - want.y) + 1e-15);
            CHECK_NEAR(got.temp_c, want.temp_c, 1e-7);
            CHECK_NEAR(got.latent_j_mol, want.y * ethanol + (1 - want.y) * water, 1e-4);
            CHECK_NEAR(jl_table_temp_c(&table, x), got.temp_c, 1e-12);
        }
    }
}

static void the_liquid_of_a_vapour_leads_back(void) {
    static jl_table table;
    for (double kpa = 30; kpa <= 110; kpa += 20) {
        CHECK_OK(jl_table_fill(kpa, 0, true, &table));
        for (int i = 0; i <= PLACES; i++) {
            double x = place(i), slope, unused;
            double y = table.curve.vapour(&table.curve, x);
            CHECK_NEAR(table.curve.liquid(&table.curve, y, &slope), x, 1e-8 * x + 1e-17);
            if (1 - y < 1e-5) continue; /* differences would be rounding */
            double step = 1e-6 * fmin(y, 1 - y);
            double right = table.curve.liquid(&table.curve, y + step, &unused);
            double left = table.curve.liquid(&table.curve, y - step, &unused);
            CHECK_NEAR((right - left) / (2 * step), slope, 1e-4 * slope);
        }
    }
}

static void the_end_of_the_table_is_the_azeotrope(void) {
    static jl_table table;
    jl_boiling azeotrope;
    CHECK_OK(jl_table_fill(101.325, 0, false, &table));
    CHECK_OK(jl_azeotrope(101.325, &azeotrope));
    CHECK_NEAR(table.curve.end, azeotrope.x, 1e-7);
}

/* A share off moves the volatility, and with it the vapour, but not where both are alike. */
static void a_vapour_off_keeps_its_azeotrope(void) {
    static jl_table table, as_it_is;
    const double off = 0.1;
    CHECK_OK(jl_table_fill(101.325, 0, false, &as_it_is));
    CHECK_OK(jl_table_fill(101.325, off, true, &table));
    CHECK_NEAR(table.curve.end, as_it_is.curve.end, 1e-7);
    for (double x = 0.05; x < 0.9; x += 0.05) {
        double slope, y = table.curve.vapour(&table.curve, x);
        double before = as_it_is.curve.vapour(&as_it_is.curve, x);
        double volatility = y * (1 - x) / (x * (1 - y));
        double model = before * (1 - x) / (x * (1 - before));
        CHECK_NEAR(volatility - 1, (1 + off) * (model - 1), 1e-8 * model);
        CHECK_NEAR(table.curve.liquid(&table.curve, y, &slope), x, 1e-8);
    }
    CHECK_STATUS(jl_table_fill(101.325, 0.51, true, &table), JL_RANGE);
    CHECK_STATUS(jl_table_fill(101.325, NAN, true, &table), JL_RANGE);
}

static double constant_volatility(double x, void *with) {
    double volatility = *(double *)with;
    return volatility * x / (1 + (volatility - 1) * x);
}

static void a_curve_of_the_callers_is_taken(void) {
    double volatility = 2.5, slope;
    jl_vapour_function function = {constant_volatility, &volatility};
    jl_curve curve = jl_curve_of(&function, 1);
    for (int i = 1; i < 100; i++) {
        double x = i / 100.0;
        double y = curve.vapour(&curve, x);
        CHECK_NEAR(y, 2.5 * x / (1 + 1.5 * x), 1e-15);
        CHECK_NEAR(curve.liquid(&curve, y, &slope), x, 1e-14);
        CHECK_NEAR(slope, (1 + 1.5 * x) * (1 + 1.5 * x) / 2.5, 1e-4);
    }
}

static void a_pressure_outside_the_range_has_no_table(void) {
    static jl_table table;
    CHECK_STATUS(jl_table_fill(29, 0, true, &table), JL_RANGE);
    CHECK_STATUS(jl_table_fill(NAN, 0, true, &table), JL_RANGE);
}

CU_TestInfo curve_tests[] = {
    {"the table stands for the model within 1e-9", the_table_stands_for_the_model},
    {"the liquid of a vapour leads back", the_liquid_of_a_vapour_leads_back},
    {"the end of the table is the azeotrope", the_end_of_the_table_is_the_azeotrope},
    {"a vapour that is off keeps its azeotrope", a_vapour_off_keeps_its_azeotrope},
    {"a curve of the caller's is taken", a_curve_of_the_callers_is_taken},
    {"a pressure outside the range has no table", a_pressure_outside_the_range_has_no_table},
    CU_TEST_INFO_NULL,
};
