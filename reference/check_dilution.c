/* Checks of dilution tables.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "jarline.h"

#include <math.h>

/* What a row is about: from one strength to another, both at one temperature. */
typedef struct step {
    double from_pct, to_pct; /* % vol */
    double strong, target;   /* mass fractions */
} step;

static step read_step(table *t, double temp_c) {
    step s = {table_number(t, "from_pct"), table_number(t, "to_pct"), NAN, NAN};
    if (jl_mass_fraction_from_strength(s.from_pct, temp_c, &s.strong) != JL_OK) s.strong = NAN;
    if (jl_mass_fraction_from_strength(s.to_pct, temp_c, &s.target) != JL_OK) s.target = NAN;
    return s;
}

void check_dilution_1l(table *t, check *c) {
    while (table_next(t)) {
        step s = read_step(t, JL_STRENGTH_C);
        jl_spirit spirit = {NAN, NAN};
        jl_spirit water = {NAN, NAN};
        jl_make_up(&(jl_dilution){s.strong, 0, s.target}, 1, &spirit, &water);
        check_cell(c, t, 1000 * jl_volume_l(spirit, JL_STRENGTH_C), table_number(t, "spirit_ml"),
                   "spirit, %g to %g %%", s.from_pct, s.to_pct);
        check_cell(c, t, 1000 * jl_volume_l(water, JL_STRENGTH_C), table_number(t, "water_ml"),
                   "water, %g to %g %%", s.from_pct, s.to_pct);
    }
}

void check_dilution_1000g(table *t, check *c) {
    while (table_next(t)) {
        step s = read_step(t, JL_STRENGTH_C);
        double result_l = 1000 / check_density(s.target, JL_STRENGTH_C); /* of one kilogram */
        jl_spirit spirit = {NAN, NAN};
        jl_spirit water = {NAN, NAN};
        jl_make_up(&(jl_dilution){s.strong, 0, s.target}, result_l, &spirit, &water);
        check_cell(c, t, 1000 * jl_mass_kg(spirit), table_number(t, "spirit_g"),
                   "spirit, %g to %g %%", s.from_pct, s.to_pct);
        check_cell(c, t, 1000 * jl_mass_kg(water), table_number(t, "water_g"), "water, %g to %g %%",
                   s.from_pct, s.to_pct);
    }
}

void check_dilution_60f(table *t, check *c) {
    while (table_next(t)) {
        step s = read_step(t, JL_PROOF_C);
        double printed = table_number(t, "water_per_100");
        jl_spirit spirit = {NAN, NAN};
        jl_spirit water = {NAN, NAN};
        jl_spirit_from_volume(100, s.strong, JL_PROOF_C, &spirit);
        jl_bring_to(spirit, 0, s.target, &water);
        /* In per cent of the water. */
        check_cell(c, t, 100 * jl_volume_l(water, JL_PROOF_C) / printed, 100, "%g to %g %%",
                   s.from_pct, s.to_pct);
    }
}
