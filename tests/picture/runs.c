/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "runs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static jl_fraction fraction_of(size_t i, size_t jars, unsigned flags) {
    double share = ((double)i + 0.5) / (double)jars;
    if ((flags & RUN_MIXED) != 0) return (jl_fraction)(i % JL_FRACTIONS);
    if ((flags & RUN_OPEN) != 0 && share > 0.5) return JL_UNDECIDED;
    return share < 0.03   ? JL_FORESHOTS
           : share < 0.12 ? JL_HEADS
           : share < 0.65 ? JL_HEARTS
                          : JL_TAILS;
}

static void expect(run_picture *r) {
    static jl_expected expected[30];
    for (int i = 1; i <= 30; i++)
        expected[i - 1] = (jl_expected){0.2 * i, 82 - 70.0 * i * i / 900, 83 + i / 2.0};
    r->expected = expected;
    r->expected_count = 30;
}

void made_up_run(size_t jars, unsigned flags, run_picture *r) {
    double volume_l = 5.0 / (double)jars;
    jl_jar *made = calloc(jars, sizeof *made);
    jl_spirit so_far = {0, 0};
    picture_begin(r);
    r->title = strdup("Spirit run, made up");
    for (size_t i = 0; i < jars; i++) {
        double done = ((double)i + 0.5) / (double)jars;
        double strength = 80 - 60 * done * done;
        jl_spirit spirit = {NAN, NAN};
        double p = NAN;
        if (jl_mass_fraction_from_strength(strength, 20, &p) == JL_OK)
            jl_spirit_from_volume(volume_l, p, 20, &spirit);
        so_far = jl_blend(so_far, spirit);
        made[i] = (jl_jar){.number = (uint32_t)i + 1,
                           .fraction = fraction_of(i, jars, flags),
                           .spirit = spirit,
                           .so_far = so_far,
                           .head_c = (flags & RUN_HEAD) != 0 ? 84 + 14 * done : NAN};
    }
    picture_own_jars(r, made, jars);
    if ((flags & RUN_CHARGE) != 0) {
        r->charge_l = 12;
        r->charge_strength_pct = 28;
        r->charge_pure_l = 3.36;
        double p = NAN;
        if (jl_mass_fraction_from_strength(28, 20, &p) == JL_OK)
            jl_spirit_from_volume(12, p, 20, &r->charge);
    }
    if ((flags & RUN_FORECAST) != 0) expect(r);
}
