/* Checks of density and strength.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "jarline.h"

#include <math.h>
#include <string.h>

double check_density(double mass_fraction, double temp_c) {
    double density_kg_m3;
    if (jl_density_kg_m3(mass_fraction, temp_c, &density_kg_m3) != JL_OK) return NAN;
    return density_kg_m3;
}

void check_lange(table *t, check *c) {
    /* The table is relative to water at 4 °C, 999.972 kg/m³. */
    const double water_4c = 999.972;
    while (table_next(t)) {
        double mass_pct = table_number(t, "mass_pct");
        double temp_c = table_number(t, "temp_c");
        check_cell(c, t, check_density(mass_pct / 100, temp_c),
                   table_number(t, "relative_density_t_4") * water_4c, "%g %% mas at %g °C",
                   mass_pct, temp_c);
    }
}

void check_usp29_volume(table *t, check *c) {
    while (table_next(t)) {
        double strength_pct = NAN;
        double mass_pct = table_number(t, "mass_pct");
        if (jl_strength_pct(mass_pct / 100, JL_PROOF_C, &strength_pct) != JL_OK) strength_pct = NAN;
        check_cell(c, t, strength_pct, table_number(t, "volume_pct_15_56c"), "%g %% mas", mass_pct);
    }
}

/* Weighed in air, against water at the same temperature. */
static double relative_density_in_air(double mass_fraction, double temp_c) {
    const double air = 1.2; /* kg/m³, OIML D 28 */
    return (check_density(mass_fraction, temp_c) - air) / (check_density(0, temp_c) - air);
}

void check_usp29_density(table *t, check *c) {
    while (table_next(t)) {
        double mass_pct = table_number(t, "mass_pct");
        check_cell(c, t, relative_density_in_air(mass_pct / 100, 25),
                   table_number(t, "sg_air_25_25"), "%g %% mas at 25 °C", mass_pct);
        check_cell(c, t, relative_density_in_air(mass_pct / 100, JL_PROOF_C),
                   table_number(t, "sg_air_15_56"), "%g %% mas at 15.56 °C", mass_pct);
    }
}

enum { A_TERMS = 13, B_TERMS = 7, C_ROWS = 6, C_COLUMNS = 12 };

/* The coefficients by the numbers that the standard gives them, from 1. */
typedef struct coefficients {
    double a[A_TERMS], b[B_TERMS], c[C_ROWS][C_COLUMNS];
} coefficients;

/* The formula as it is printed. */
static double printed_formula(const coefficients *f, double p, double temp_c) {
    double d = temp_c - 20;
    double sum = 0;
    for (int k = 1; k < A_TERMS; k++) sum += f->a[k] * pow(p, k - 1);
    for (int k = 1; k < B_TERMS; k++) sum += f->b[k] * pow(d, k);
    for (int i = 1; i < C_ROWS; i++)
        for (int k = 1; k < C_COLUMNS; k++) sum += f->c[i][k] * pow(p, k) * pow(d, i);
    return sum;
}

static void take_coefficient(table *t, check *c, coefficients *f) {
    const char *series = table_text(t, "series");
    double value = table_number(t, "value");
    double k = table_number(t, "k");
    double i = strcmp(series, "C") == 0 ? table_number(t, "i") : 0;
    if (strcmp(series, "A") == 0 && k >= 1 && k < A_TERMS)
        f->a[(int)k] = value;
    else if (strcmp(series, "B") == 0 && k >= 1 && k < B_TERMS)
        f->b[(int)k] = value;
    else if (strcmp(series, "C") == 0 && i >= 1 && i < C_ROWS && k >= 1 && k < C_COLUMNS)
        f->c[(int)i][(int)k] = value;
    else
        check_cell(c, t, NAN, 0, "a coefficient that the formula has not");
}

void check_oiml_coefficients(table *t, check *c) {
    coefficients f = {0};
    while (table_next(t)) take_coefficient(t, c, &f);
    for (int temp_c = -20; temp_c <= 40; temp_c += 2)
        for (int mass_pct = 0; mass_pct <= 100; mass_pct++)
            check_cell(c, NULL, check_density(mass_pct / 100.0, temp_c),
                       printed_formula(&f, mass_pct / 100.0, temp_c), "%d %% mas at %d °C",
                       mass_pct, temp_c);
}

void check_oiml_points(table *t, check *c) {
    while (table_next(t)) {
        double p = NAN;
        double strength_pct = table_number(t, "strength_pct");
        double temp_c = table_number(t, "temp_c");
        if (jl_mass_fraction_from_strength(strength_pct, 20, &p) != JL_OK) p = NAN;
        check_cell(c, t, check_density(p, temp_c), table_number(t, "density_kg_m3"),
                   "%g %% vol at %g °C", strength_pct, temp_c);
    }
}

void check_water_density(table *t, check *c) {
    while (table_next(t)) {
        double density_kg_m3;
        double temp_c = table_number(t, "temp_c");
        if (jl_water_density_kg_m3(temp_c, &density_kg_m3) != JL_OK) density_kg_m3 = NAN;
        check_cell(c, t, density_kg_m3, table_number(t, "density_kg_m3"), "%g °C", temp_c);
    }
}

void check_flash_point(table *t, check *c) {
    while (table_next(t)) {
        double flash_point_c;
        double strength_pct = table_number(t, "strength_pct");
        if (jl_flash_point_c(strength_pct, &flash_point_c) != JL_OK) flash_point_c = NAN;
        check_cell(c, t, flash_point_c, table_number(t, "flash_point_c"), "%g %% vol",
                   strength_pct);
    }
}
