/* The marched path against the library's own forecast, which solves for the stages and integrates by
 * other means; and what only the path can do.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "learn/march.h"
#include "spirit/density.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

static const double PRESSURE_KPA = 101.325;

typedef struct on_path {
    jl_vapours vapours;
    jl_march march;
} on_path;

static on_path *march(double stages, double share, double shift) {
    on_path *p = malloc(sizeof *p);
    jl_table table;
    if (p == NULL) abort();
    const jl_march_of of = {stages, share, jl_mole_of_pct(45), true};
    CHECK_OK(jl_vapours_fill(PRESSURE_KPA, &p->vapours));
    jl_vapours_shifted(&p->vapours, shift, &table);
    jl_march_through(&p->vapours, &table, &of, &p->march);
    return p;
}

/* A jar of the forecast is mixed before its volume counts, and shrinks; small ones hardly do. */
static jl_status next_jar(jl_forecasting *run, jl_forecast_jar *jar, double *volume_l,
                          jl_spirit *spirit) {
    enum { PARTS = 12 };
    *spirit = (jl_spirit){0, 0};
    for (int i = 0; i < PARTS; i++) {
        jl_status status = jl_forecast_next(run, jar);
        if (status != JL_OK) return status;
        *volume_l += jl_volume_l(jar->spirit, 20);
        *spirit = jl_blend(*spirit, jar->spirit);
    }
    return JL_OK;
}

/* Jars, their thermometers and their clock. */
static void follow(double stages, double share, double shift) {
    on_path *p = march(stages, share, shift);
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_spirit charge, spirit;
    double mass_fraction, volume_l = 0, began_s = NAN;
    still.stages = stages;
    still.reflux_ratio = share / (1 - share);
    still.vapour_off_share = shift;
    still.efficiency_share = 1;
    plan.cuts.foreshots.by = plan.cuts.heads.by = JL_CUT_NEVER;
    plan.cuts.hearts = (jl_cut){JL_CUT_NEVER, 0};
    plan.jar_l = 0.02;
    CHECK_OK(jl_mass_fraction_from_strength(30, 20, &mass_fraction));
    CHECK_OK(jl_spirit_from_volume(10, mass_fraction, 20, &charge));
    CHECK_OK(jl_forecast_open(&still, charge, &plan, &run));
    jl_batch batch = jl_batch_on(&p->march, 10, 30);
    jl_waypoint from = jl_batch_at(&batch, 0), begin = from;
    while (next_jar(run, &jar, &volume_l, &spirit) == JL_OK) {
        jl_waypoint to = jl_batch_at(&batch, volume_l);
        double heat_j = jl_batch_heat_j(&batch, &to, still.boiler_heat_j_k) -
                        jl_batch_heat_j(&batch, &begin, still.boiler_heat_j_k);
        double s = heat_j / still.power_w;
        if (isnan(began_s)) began_s = jar.elapsed_s - s;
        CHECK_NEAR(jl_between_pct(&from, &to), jl_spirit_strength_pct(spirit), 0.005);
        CHECK_NEAR(jl_boiler_c(&p->march, &to), jar.boiler_c, 0.02);
        CHECK_NEAR(jl_march_head_c(&p->march, &to), jar.head_c, 0.05);
        CHECK_NEAR(s + began_s, jar.elapsed_s, 2e-3 * jar.elapsed_s);
        from = to;
    }
    jl_forecast_close(run);
    free(p);
}

static void a_path_is_the_run_that_is_forecast(void) {
    follow(1, 0, 0);
    follow(1, 0, 0.03);
    follow(2, 0.5, 0);
    follow(2.5, 0.4, -0.05);
    follow(4, 0.65, 0);
    follow(12, 0.8, 0);
}

static void what_came_over_and_what_is_left_are_the_charge(void) {
    on_path *p = march(3, 0.5, 0);
    jl_batch batch = jl_batch_on(&p->march, 10, 32);
    double slope_less = 0, before_pct = 100;
    jl_waypoint begin = jl_batch_at(&batch, 0);
    for (double volume_l = 0.01; volume_l < 9; volume_l += 0.01) {
        jl_waypoint at = jl_batch_at(&batch, volume_l);
        double charge = begin.left * begin.x;
        CHECK_NEAR(at.ethanol - begin.ethanol + at.left * at.x, charge, 1e-9 * charge);
        CHECK_NEAR(at.ethanol + at.water + at.left, batch.moles, 1e-9 * batch.moles);
        double pct = jl_strength_pct_from_mole(at.spout);
        slope_less = fmax(slope_less, pct - before_pct);
        before_pct = pct;
    }
    CHECK(slope_less <= 1e-9); /* the spout only falls */
    free(p);
}

static void the_next_place_is_the_same_place(void) {
    on_path *p = march(2.5, 0.4, 0);
    jl_batch batch = jl_batch_on(&p->march, 10, 30);
    size_t milestone = 0;
    for (double volume_l = -0.5; volume_l < 12; volume_l += volume_l < 2 ? 0.003 : 0.8) {
        jl_waypoint next = jl_batch_on_to(&batch, volume_l, &milestone);
        jl_waypoint at = jl_batch_at(&batch, volume_l);
        CHECK(memcmp(&next, &at, sizeof at) == 0);
    }
    CHECK(milestone == p->march.count - 2); /* it ended where all has come over */
    free(p);
}

/* Mixed jars take less room than their drops: 0.35 % vol in the last jars of a pot. */
static void volumes_are_those_of_the_parts(void) {
    on_path *p = march(1, 0, 0);
    jl_batch batch = jl_batch_on(&p->march, 10, 30);
    jl_waypoint from = jl_batch_at(&batch, 0), to = jl_batch_at(&batch, 4);
    jl_spirit all = {(to.ethanol - from.ethanol) * 0.046069, (to.water - from.water) * 0.018015};
    double blend_l = jl_volume_l(all, 20);
    CHECK_NEAR(blend_l, 4 - 0.004, 0.003);
    free(p);
}

static void the_place_of_a_strength_is_found(void) {
    on_path *p = march(2, 0.5, 0);
    jl_batch batch = jl_batch_on(&p->march, 10, 30);
    for (double pct = 85; pct > 1; pct -= 7) {
        double volume_l = jl_batch_spout_l(&batch, jl_mole_of_pct(pct));
        if (volume_l < 0) continue; /* stronger than the first drop */
        jl_waypoint at = jl_batch_at(&batch, volume_l);
        CHECK_NEAR(jl_strength_pct_from_mole(at.spout), pct, 0.01);
    }
    double end_l = jl_batch_spout_l(&batch, 0); /* never: all but a drop of water has come over */
    CHECK(end_l > 9.5 && end_l < 10.3);
    CHECK_NEAR(jl_batch_at(&batch, end_l + 1).ethanol, jl_batch_at(&batch, end_l).ethanol, 1e-9);
    free(p);
}

/* Each milestone has the spout's change per litre: by the milestones around it, whose parabola shows it
 * to 4 % where it falls most steeply. Between whole stages both are mixed. */
static void the_spout_changes_by_what_the_path_says(void) {
    static const double STAGES[] = {1, 2.5, 4.5};
    for (int i = 0; i < 3; i++) {
        on_path *p = march(STAGES[i], 0.4, 0);
        size_t count = p->march.count - 1; /* the last is of water alone */
        for (size_t k = 1; k + 1 < count; k++) {
            const jl_milestone *m = &p->march.at[k];
            double before_l = m[0].volume_l - m[-1].volume_l,
                   after_l = m[1].volume_l - m[0].volume_l;
            double before = (m[0].spout - m[-1].spout) / before_l;
            double after = (m[1].spout - m[0].spout) / after_l;
            double per_l = (before * after_l + after * before_l) / (before_l + after_l);
            CHECK_NEAR(m->per_l, per_l, 0.05 * fabs(per_l));
        }
        free(p);
    }
}

/* What water takes is what the last of the alcohol in it takes, also where most runs back. */
static void the_end_takes_the_heat_of_water(void) {
    for (double share = 0; share < 0.9; share += 0.4) {
        on_path *p = march(3, share, 0);
        const jl_milestone *end = &p->march.at[p->march.count - 1];
        CHECK_NEAR(end[0].heat_per_l, end[-1].heat_per_l, 0.01 * end[0].heat_per_l);
        free(p);
    }
}

/* The share goes through 0, where any stages are a pot, without a corner. */
static void a_share_of_nothing_is_a_pot_and_below_it_goes_on(void) {
    double pct[3];
    for (int i = 0; i < 3; i++) {
        on_path *p = march(3, 0.02 * (i - 1), 0);
        jl_batch batch = jl_batch_on(&p->march, 10, 30);
        jl_waypoint from = jl_batch_at(&batch, 2), to = jl_batch_at(&batch, 2.3);
        pct[i] = jl_between_pct(&from, &to);
        free(p);
    }
    on_path *p = march(1, 0, 0);
    jl_batch batch = jl_batch_on(&p->march, 10, 30);
    jl_waypoint from = jl_batch_at(&batch, 2), to = jl_batch_at(&batch, 2.3);
    CHECK_NEAR(pct[1], jl_between_pct(&from, &to), 1e-3);
    CHECK_NEAR(pct[1] - pct[0], pct[2] - pct[1], 0.05 * (pct[2] - pct[1]));
    CHECK(pct[2] > pct[1] + 0.3);
    free(p);
    p = march(8, JL_SHARE_LEAST, 0);
    CHECK(p->march.count > 50);
    free(p);
}

/* Of many stages the distillate of strong liquids hardly changes any more: the path goes on to its
 * top. */
static void a_path_goes_on_to_its_top(void) {
    static const struct {
        double stages, share, shift, stride;
    } AT[] = {{30, 0.9, 0, 1},        {100, 0.985, 0, 3}, {100, 0.985, 0.14, 1},
              {100, 0.985, -0.14, 2}, {50, 0.5, 0.14, 3}, {75.9, 0.98, 0.14, 3}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        on_path *p = malloc(sizeof *p);
        jl_table table;
        if (p == NULL) abort();
        const jl_march_of of = {AT[i].stages, AT[i].share, jl_mole_of_pct(93), true, AT[i].stride};
        CHECK_OK(jl_vapours_fill(PRESSURE_KPA, &p->vapours));
        jl_vapours_shifted(&p->vapours, AT[i].shift, &table);
        jl_march_through(&p->vapours, &table, &of, &p->march);
        CHECK(p->march.count < JL_MARCH_MOST && p->march.at[0].x >= of.x_top * (1 - 1e-9));
        for (size_t k = 1; k < p->march.count; k++) {
            CHECK(p->march.at[k].x < p->march.at[k - 1].x);
            CHECK(p->march.at[k].spout <= p->march.at[k - 1].spout + 1e-9);
        }
        free(p);
    }
}

static void shifted_vapours_are_those_of_a_shifted_table(void) {
    jl_vapours *v = malloc(sizeof *v);
    jl_table direct, shifted;
    if (v == NULL) abort();
    CHECK_OK(jl_vapours_fill(97, v));
    for (double shift = -0.13; shift < 0.14; shift += 0.043) {
        CHECK_OK(jl_table_fill(97, shift, 0, true, &direct));
        jl_vapours_shifted(v, shift, &shifted);
        for (double y = 0.02; y < 0.88; y += 0.03) {
            double slope;
            CHECK_NEAR(shifted.curve.liquid(&shifted.curve, y, &slope),
                       direct.curve.liquid(&direct.curve, y, &slope), 3e-5);
            CHECK_NEAR(shifted.curve.vapour(&shifted.curve, y),
                       direct.curve.vapour(&direct.curve, y), 1e-9);
        }
    }
    CHECK_STATUS(jl_vapours_fill(10, v), JL_RANGE);
    free(v);
}

CU_TestInfo march_tests[] = {
    {"a path is the run that is forecast", a_path_is_the_run_that_is_forecast},
    {"what came over and what is left are the charge",
     what_came_over_and_what_is_left_are_the_charge},
    {"the next place is the same place", the_next_place_is_the_same_place},
    {"volumes are those of the parts", volumes_are_those_of_the_parts},
    {"the place of a strength is found", the_place_of_a_strength_is_found},
    {"the end takes the heat of water", the_end_takes_the_heat_of_water},
    {"the spout changes by what the path says", the_spout_changes_by_what_the_path_says},
    {"a share of nothing is a pot, and below it goes on",
     a_share_of_nothing_is_a_pot_and_below_it_goes_on},
    {"a path goes on to its top", a_path_goes_on_to_its_top},
    {"shifted vapours are those of a shifted table", shifted_vapours_are_those_of_a_shifted_table},
    CU_TEST_INFO_NULL,
};
