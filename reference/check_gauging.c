/* Check of the worked examples of the United States' Gauging Manual.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "spirit/spirit.h"
#include "uncertainty/readings.h"

#include <math.h>
#include <string.h>

static const double GALLON_L = 3.785411784; /* 231 in³ */
static const double POUND_KG = 0.45359237;

/* What an example gives; NaN where it gives nothing. */
typedef struct example {
    double amount; /* wine gallons or pounds */
    double proof, to_proof;
    double temp_c;
} example;

static double mass_fraction(double proof) {
    double p;
    if (jl_mass_fraction_from_strength(proof / 2, JL_PROOF_C, &p) != JL_OK) return NAN;
    return p;
}

static double density_60f(double p) {
    return check_density(p, JL_PROOF_C);
}

static jl_spirit of_mass(double mass_kg, double p) {
    jl_spirit spirit = {NAN, NAN};
    jl_spirit_from_mass(mass_kg, p, &spirit);
    return spirit;
}

/* Pounds are weighed in air. */
static jl_spirit of_pounds(const example *e) {
    double p = mass_fraction(e->proof);
    return of_mass(jl_mass_from_scale_kg(e->amount * POUND_KG, density_60f(p)), p);
}

static jl_spirit of_gallons(const example *e) {
    double p = mass_fraction(e->proof);
    return of_mass(e->amount * GALLON_L * density_60f(p) / 1000, p);
}

static double pounds(jl_spirit spirit) {
    return jl_scale_from_mass_kg(jl_mass_kg(spirit), density_60f(jl_mass_fraction(spirit))) /
           POUND_KG;
}

static jl_spirit water_to_reduce(const example *e, jl_spirit spirit) {
    jl_spirit water = {NAN, NAN};
    jl_bring_to(spirit, 0, mass_fraction(e->to_proof), &water);
    return water;
}

static double true_proof(const example *e) {
    double p = NAN;
    jl_quantity reading = {e->proof, JL_UNIT_PROOF_US};
    if (jl_reading_to_mass_fraction(&JL_ALCOHOLOMETER, reading, e->temp_c, &p) != JL_OK) return NAN;
    return jl_proof_us(of_mass(1, p));
}

static double water_parts(const example *e) {
    double p = mass_fraction(e->proof);
    return 100 * density_60f(p) * (1 - p) / density_60f(0);
}

static double reduce_gallons(const example *e) {
    return jl_volume_l(water_to_reduce(e, of_gallons(e)), JL_PROOF_C) / GALLON_L;
}

static double wine_gallons(const example *e) {
    return jl_volume_l(of_pounds(e), JL_PROOF_C) / GALLON_L;
}

static double proof_gallons(const example *e) {
    return jl_proof_gallons_us(of_pounds(e));
}

static double reduce_pounds(const example *e) {
    return pounds(water_to_reduce(e, of_pounds(e)));
}

static double volume_factor(const example *e) {
    double p = mass_fraction(e->proof);
    return check_density(p, e->temp_c) / density_60f(p);
}

static double pounds_to_the_ounce(const example *e) {
    return ceil(16 * pounds(of_gallons(e))) / 16;
}

static double water_pounds_per_gallon(const example *e) {
    double density_kg_m3 = check_density(0, e->temp_c);
    return jl_scale_from_mass_kg(GALLON_L * density_kg_m3 / 1000, density_kg_m3) / POUND_KG;
}

static double reduce_total(const example *e) {
    return e->amount + reduce_pounds(e);
}

/* Measured at its temperature: its volume at 60 °F, and the proof gallons in it. */
static jl_spirit of_warm_gallons(const example *e) {
    double p = mass_fraction(e->proof);
    return of_mass(e->amount * GALLON_L * check_density(p, e->temp_c) / 1000, p);
}

static double gauged_gallons(const example *e) {
    return jl_volume_l(of_warm_gallons(e), JL_PROOF_C) / GALLON_L;
}

static double gauged_proof_gallons(const example *e) {
    return jl_proof_gallons_us(of_warm_gallons(e));
}

static double rounded_gallons(const example *e) {
    return jl_rounded_gallons(e->amount);
}

/* amount: g of solids in 100 mL */
static double obscured(const example *e) {
    double proof = NAN;
    jl_obscured_proof(e->proof, e->amount, &proof);
    return proof;
}

/* amount: specific gravity at 60 °F, of a pound */
static double gravity_gallons(const example *e) {
    jl_spirit spirit = {NAN, NAN};
    jl_obscured_by_gravity(POUND_KG, e->amount, 0.3, &spirit);
    return jl_volume_l(spirit, JL_PROOF_C) / GALLON_L;
}

static const struct {
    const char *name;
    double (*compute)(const example *e);
} KINDS[] = {
    {"true_proof", true_proof},
    {"water_parts", water_parts},
    {"reduce_gallons", reduce_gallons},
    {"wine_gallons", wine_gallons},
    {"proof_gallons", proof_gallons},
    {"reduce_pounds", reduce_pounds},
    {"volume_factor", volume_factor},
    {"reduce_total", reduce_total},
    {"gauged_gallons", gauged_gallons},
    {"gauged_proof_gallons", gauged_proof_gallons},
    {"rounded", rounded_gallons},
    {"obscured", obscured},
    {"gravity_gallons", gravity_gallons},
    {"pounds_to_the_ounce", pounds_to_the_ounce},
    {"water_pounds_per_gallon", water_pounds_per_gallon},
};

static double compute(const char *kind, const example *e) {
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (strcmp(KINDS[i].name, kind) == 0) return KINDS[i].compute(e);
    return NAN;
}

/* Each example has its own tolerance: the deviation is counted in it. */
void check_us_gauging(table *t, check *c) {
    while (table_next(t)) {
        example e = {table_number(t, "amount"), table_number(t, "proof"),
                     table_number(t, "to_proof"), (table_number(t, "temp_f") - 32) / 1.8};
        const char *kind = table_text(t, "kind");
        double printed = table_number(t, "printed");
        double tolerance = table_number(t, "tolerance");
        if (strcmp(table_text(t, "tolerance_kind"), "relative") == 0) tolerance *= printed;
        check_cell(c, t, compute(kind, &e) / tolerance, printed / tolerance, "%s, %s",
                   table_text(t, "source"), kind);
    }
}

void check_alcoholometer_limits(table *t, check *c) {
    while (table_next(t)) {
        double division_pct = table_number(t, "division_pct");
        check_cell(c, t, jl_alcoholometer_limit_pct(division_pct), table_number(t, "limit_pct"),
                   "division %g %% vol", division_pct);
    }
}
