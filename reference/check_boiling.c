/* Checks of boiling: vapour, temperatures, heat, air pressure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "still/equilibrium.h"

#include <math.h>
#include <string.h>

static const double CALORIE_J = 4.184; /* thermochemical */

static jl_boiling boiling_of_row(table *t, double *x) {
    jl_boiling at = {NAN, NAN, NAN};
    *x = table_number(t, "x");
    if (jl_boil(*x, table_number(t, "pressure_kpa"), &at) != JL_OK)
        at = (jl_boiling){NAN, NAN, NAN};
    return at;
}

void check_vle_vapour(table *t, check *c) {
    while (table_next(t)) {
        double x;
        jl_boiling at = boiling_of_row(t, &x);
        check_cell(c, t, at.vapour_mole_fraction, table_number(t, "y"), "x %.4f", x);
    }
}

void check_vle_temp(table *t, check *c) {
    while (table_next(t)) {
        double x;
        jl_boiling at = boiling_of_row(t, &x);
        check_cell(c, t, at.temp_c, table_number(t, "temp_c"), "x %.4f", x);
    }
}

/* Rows with a tolerance of their own, in which the deviation is counted; without one, none. */
void check_vle_temp_own(table *t, check *c) {
    while (table_next(t)) {
        double x;
        jl_boiling at = boiling_of_row(t, &x);
        double tolerance = table_number(t, "temp_tolerance_k");
        if (!isnan(tolerance))
            check_cell(c, t, at.temp_c / tolerance, table_number(t, "temp_c") / tolerance, "x %.4f",
                       x);
    }
}

/* The next row that was read in its source, and what the library says there. */
static bool next_azeotrope(table *t, jl_boiling *at) {
    while (table_next(t)) {
        if (strcmp(table_text(t, "how_sure"), "read") != 0) continue;
        if (jl_azeotrope(table_number(t, "pressure_kpa"), at) != JL_OK)
            *at = (jl_boiling){NAN, NAN, NAN};
        return true;
    }
    return false;
}

void check_azeotrope_x(table *t, check *c) {
    jl_boiling at;
    while (next_azeotrope(t, &at))
        check_cell(c, t, at.liquid_mole_fraction, table_number(t, "x"), "%g kPa",
                   table_number(t, "pressure_kpa"));
}

void check_azeotrope_temp(table *t, check *c) {
    jl_boiling at;
    while (next_azeotrope(t, &at))
        check_cell(c, t, at.temp_c, table_number(t, "temp_c"), "%g kPa",
                   table_number(t, "pressure_kpa"));
}

/* In per cent of the printed figure. */
static void check_share(check *c, const table *t, double got, double printed, double temp_c) {
    check_cell(c, t, 100 * got / printed, 100, "%g °C", temp_c);
}

void check_saturation(table *t, check *c) {
    while (table_next(t)) {
        double ethanol_kpa, water_kpa;
        double temp_c = table_number(t, "temp_c");
        jl_saturation_kpa(temp_c + JL_KELVIN, &ethanol_kpa, &water_kpa);
        check_share(c, t, 1000 * water_kpa, table_number(t, "pressure_pa"), temp_c);
    }
}

void check_latent_heat(table *t, check *c) {
    while (table_next(t)) {
        double kj_kg;
        double temp_c = table_number(t, "temp_c");
        if (jl_latent_heat_kj_kg(0, temp_c, &kj_kg) != JL_OK) kj_kg = NAN;
        check_share(c, t, kj_kg, table_number(t, "latent_heat_kj_kg"), temp_c);
    }
}

void check_atmosphere(table *t, check *c) {
    while (table_next(t)) {
        double kpa;
        double altitude_m = table_number(t, "altitude_m");
        if (jl_pressure_at_altitude_kpa(altitude_m, &kpa) != JL_OK) kpa = NAN;
        check_cell(c, t, 1000 * kpa, table_number(t, "pressure_pa"), "%g m", altitude_m);
    }
}

static void check_heat_of_row(table *t, check *c, double mole_pct) {
    static const struct {
        const char *column;
        double temp_c;
    } AT[] = {{"cp_3c_cal_g_k", 3}, {"cp_23c_cal_g_k", 23}, {"cp_41c_cal_g_k", 41}};
    double p = jl_mass_fraction_from_mole(mole_pct / 100);
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        double kj_kg_k;
        if (jl_heat_capacity_kj_kg_k(p, AT[i].temp_c, &kj_kg_k) != JL_OK) kj_kg_k = NAN;
        check_cell(c, t, 100 * kj_kg_k / CALORIE_J / table_number(t, AT[i].column), 100,
                   "%g mole %% at %g °C", mole_pct, AT[i].temp_c);
    }
}

static void check_heat(table *t, check *c, bool pure) {
    while (table_next(t)) {
        double mole_pct = table_number(t, "ethanol_mol_pct");
        if ((mole_pct == 100) == pure) check_heat_of_row(t, c, mole_pct);
    }
}

void check_mixture_heat(table *t, check *c) {
    check_heat(t, c, false);
}

void check_ethanol_heat(table *t, check *c) {
    check_heat(t, c, true);
}
