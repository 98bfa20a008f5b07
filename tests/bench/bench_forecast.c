/* A forecast of 40 jars, against a plain integration of the same run by GSL: rkf45 at the same
 * tolerance, the bubble point solved wherever it asks, no jars, cuts, clock or heat.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "jarline.h"
#include "still/boildown.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdlib.h>

enum { REPEATS = 20 };

typedef struct work {
    jl_still still;
    jl_spirit charge;
    jl_plan plan;
    double x, s_end; /* the same run, for the floor */
    size_t jars;
    double left_x; /* what each of the two leaves in the boiler */
    double floor_x;
} work;

static int rate(double s, const double state[], double rates[], void *with) {
    jl_boiling at = {NAN, NAN, NAN};
    (void)with;
    jl_boil(state[0], 101.325, &at);
    rates[0] = state[0] - at.vapour_mole_fraction;
    rates[1] = at.vapour_mole_fraction * exp(-s);
    return GSL_SUCCESS;
}

static void by_gsl(void *with) {
    work *w = with;
    for (int i = 0; i < REPEATS; i++) {
        double state[2] = {w->x, 0}, s = 0;
        gsl_odeiv2_system system = {rate, NULL, 2, NULL};
        gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rkf45,
                                                                  1e-3, JL_TOLERANCE * w->x, 0);
        gsl_odeiv2_driver_apply(driver, &s, w->s_end, state);
        gsl_odeiv2_driver_free(driver);
        w->floor_x = state[0];
    }
}

static void by_jarline(void *with) {
    work *w = with;
    for (int i = 0; i < REPEATS; i++) {
        jl_forecasting *run;
        jl_forecast_jar jar = JL_FORECAST_JAR;
        jl_forecast sum = JL_FORECAST;
        if (jl_forecast_open(&w->still, w->charge, &w->plan, &run) != JL_OK) exit(1);
        while (jl_forecast_next(run, &jar) == JL_OK) w->jars = jar.number;
        jl_forecast_sum(run, &sum);
        jl_forecast_close(run);
        w->left_x = jl_mole_fraction(jl_mass_fraction(sum.left));
    }
}

static double moles(jl_spirit spirit) {
    return spirit.ethanol_kg / 0.046069 + spirit.water_kg / 0.018015;
}

/* A charge whose run fills about 40 jars. */
static work prepare(double stages, double reflux) {
    work w = {.still = JL_STILL, .plan = JL_PLAN(35)};
    double mass_fraction = NAN;
    jl_forecast sum = JL_FORECAST;
    jl_mass_fraction_from_strength(35, 20, &mass_fraction);
    jl_spirit_from_volume(25, mass_fraction, 20, &w.charge);
    w.still.stages = stages;
    w.still.reflux_ratio = reflux;
    w.x = jl_mole_fraction(mass_fraction);
    if (jl_forecast_run(&w.still, w.charge, &w.plan, &sum) != JL_OK) exit(1);
    w.plan.jar_l = jl_volume_l(sum.collected, 20) / 39;
    w.s_end = log(moles(w.charge) / moles(sum.left));
    return w;
}

static int compare(const char *figure, double stages, double reflux, double most) {
    work pot = prepare(1, 0), ours = prepare(stages, reflux);
    char bar[32];
    double floor_s = bench_least_s(by_gsl, &pot, 15) / REPEATS;
    double ours_s = bench_least_s(by_jarline, &ours, 15) / REPEATS;
    if (stages == 1) {
        by_jarline(&pot);
        if (fabs(pot.left_x - pot.floor_x) > 1e-7) {
            fprintf(stderr, "the two do not agree: %g and %g\n", pot.left_x, pot.floor_x);
            return 1;
        }
    }
    if (ours.jars < 40) {
        fprintf(stderr, "only %zu jars\n", ours.jars);
        return 1;
    }
    snprintf(bar, sizeof bar, "<= %g x", most);
    return bench_row(figure, ours_s * 1e6, floor_s * 1e6, "us", ours_s / floor_s, bar,
                     ours_s / floor_s <= most);
}

int main(void) {
    jl_quiet();
    int worst = compare("a pot run of 40 jars (floor: plain rkf45)", 1, 0, 1.5);
    return worst | compare("8 stages, reflux 3, 40 jars (floor: the pot)", 8, 3, 10);
}
