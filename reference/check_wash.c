/* Checks of the wash: gravity, extract, alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "wash/wash.h"

#include <math.h>

static const double DIVISION = 0.001; /* of the hydrometer; it does not enter what is checked */

void check_plato(table *t, check *c) {
    while (table_next(t)) {
        double extract_pct;
        double sg = table_number(t, "sg_20_20");
        if (jl_extract_from_gravity(sg, &extract_pct) != JL_OK) extract_pct = NAN;
        check_cell(c, t, extract_pct, table_number(t, "extract_pct_mass"), "SG %.5f", sg);
    }
}

void check_beer_extract(table *t, check *c) {
    while (table_next(t)) {
        double original_pct;
        double alcohol_pct = table_number(t, "alcohol_mass_pct");
        double real_pct = table_number(t, "real_extract");
        if (jl_original_extract_pct(alcohol_pct, real_pct, &original_pct) != JL_OK)
            original_pct = NAN;
        check_cell(c, t, original_pct, table_number(t, "original_extract"),
                   "%g %% mas, real extract %g", alcohol_pct, real_pct);
    }
}

static double alcohol_mass_pct(double original_pct, double apparent_pct) {
    double original_sg, final_sg;
    jl_fermented fermented;
    if (jl_gravity_from_extract(original_pct, &original_sg) != JL_OK ||
        jl_gravity_from_extract(apparent_pct, &final_sg) != JL_OK ||
        jl_wash_from_gravity(original_sg, final_sg, DIVISION, &fermented) != JL_OK)
        return NAN;
    return fermented.alcohol_mass_pct;
}

void check_beer_alcohol(table *t, check *c) {
    while (table_next(t)) {
        double original_pct = table_number(t, "original_extract");
        double apparent_pct = table_number(t, "apparent_extract");
        check_cell(c, t, alcohol_mass_pct(original_pct, apparent_pct),
                   table_number(t, "alcohol_mass_pct"), "%g to %g °P", original_pct, apparent_pct);
    }
}

static double strength_pct(int original_points, int final_points) {
    jl_fermented fermented;
    if (jl_wash_from_gravity(original_points / 1000.0, final_points / 1000.0, DIVISION,
                             &fermented) != JL_OK)
        return NAN;
    return fermented.strength_pct;
}

/* What the law presumed of each degree that a wash's gravity fell by: a little less than it gives. */
void check_presumed(table *t, check *c) {
    while (table_next(t)) {
        double presumed = table_number(t, "proof_spirit_gal") / table_number(t, "wash_gal") *
                          table_number(t, "proof_spirit_pct") / table_number(t, "degrees_lost");
        for (int original = 1030; original <= 1100; original += 10)
            check_cell(c, t, strength_pct(original, 995) / (original - 995), presumed, "SG %.3f",
                       original / 1000.0);
    }
}

/* Every pair of gravities of 1.030 to 1.100 and 0.990 and up whose difference lies in the band. */
void check_beer_duty(table *t, check *c) {
    while (table_next(t)) {
        double from = table_number(t, "attenuation_from");
        double to = table_number(t, "attenuation_to");
        double factor = table_number(t, "factor");
        for (int original = 1030; original <= 1100; original++)
            for (int final = 990; final <= original; final++) {
                int points = original - final;
                if (points >= from && points <= to)
                    check_cell(c, t, strength_pct(original, final), points * factor,
                               "SG %.3f to %.3f", original / 1000.0, final / 1000.0);
            }
    }
}
