/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "checks.h"
#include "still/boildown.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

static double distillate_over(const jl_curve *curve, double stages, double reflux, double x) {
    jl_rectifier column = {curve, stages, reflux};
    jl_distillate d = {0};
    jl_distil(&column, x, &d);
    return d.x;
}

/* All figures that the rows publish: a figure that is lost would pass unseen otherwise. */
static void textbook_examples_within_their_own_tolerance(void) {
    check c = {0};
    for (size_t i = 0; i < CHECKS_COUNT; i++)
        if (strcmp(CHECKS[i].file, "worked-batch-examples") == 0) c = CHECKS[i];
    check_run(&c);
    CHECK(c.pass);
    CHECK(c.cells == 18);
    CHECK_NEAR(c.largest, 0, 0.891); /* as the first edition: perry-ethanol's moles left */
    if (!c.pass) printf("\n    %s", c.at);
}

/* What was distilled, summed up on its own, and what is left are the charge. */
static void nothing_is_lost_on_the_way(void) {
    static jl_table model;
    CHECK_OK(jl_table_fill(80, 0, 0, true, &model));
    for (double charge = 1e-4; charge < 1; charge += 0.07)
        for (double reflux = 0; reflux < 4; reflux += 1.3) {
            jl_boildown_setup setup = {
                .column = {&model.curve, 4.5, reflux}, .x = charge, .tolerance = JL_TOLERANCE};
            jl_boildown b;
            jl_point point = {.left = 1};
            CHECK_OK(jl_boildown_open(&setup, &b));
            while (point.left > 1e-3) {
                CHECK_OK(jl_boildown_advance(&b));
                for (int i = 1; i <= 4; i++) {
                    jl_boildown_at(&b, b.begin + i * b.half / 2, &point);
                    CHECK_NEAR(point.x * point.left + point.out, charge, 1e-9 * charge);
                }
            }
            jl_boildown_close(&b);
        }
}

static double random_between(double a, double b) {
    return a + (b - a) * rand() / RAND_MAX;
}

static void more_stages_never_weaken_and_more_reflux_never_weakens(void) {
    static jl_table model;
    CHECK_OK(jl_table_fill(101.325, 0, 0, true, &model));
    for (double reflux = 0.1; reflux <= 50; reflux *= 1.6)
        for (double x = 1e-5; x < model.curve.end; x *= 1.3) {
            double before = 0;
            for (double stages = 1; stages <= 30; stages += 0.5) {
                double d = distillate_over(&model.curve, stages, reflux, x);
                double more = distillate_over(&model.curve, stages, 1.6 * reflux, x);
                CHECK(d >= before - 1e-9);
                CHECK(more >= d - 1e-9);
                CHECK(d <= model.curve.end + 1e-9);
                before = d;
            }
        }
}

/* The solution steps down to the liquid it is for. */
static void the_distillate_steps_down_to_its_liquid(void) {
    static jl_table model;
    CHECK_OK(jl_table_fill(90, 0, 0, true, &model));
    srand(3);
    for (int i = 0; i < 20000; i++) {
        int stages = 2 + rand() % 29;
        double reflux = pow(10, random_between(-2, 1.7));
        double x = i % 2 ? random_between(0, 1) : pow(10, random_between(-6, 0));
        double slope, liquid[JL_STAGES_MOST];
        double d = distillate_over(&model.curve, stages, reflux, x);
        double back = jl_step_down(&model.curve, stages, reflux, d, &slope, liquid);
        CHECK(liquid[stages - 1] == back);
        /* What a last bit of the distillate can move, and the model's own grain. */
        CHECK_NEAR(back, x, 1e-9 * x + 4e-15 * slope);
    }
}

static void one_stage_or_no_reflux_is_the_pot(void) {
    static jl_table model;
    CHECK_OK(jl_table_fill(101.325, 0, 0, true, &model));
    for (int i = 0; i <= 100; i++) {
        double x = i / 100.0;
        double pot = model.curve.vapour(&model.curve, x);
        CHECK(distillate_over(&model.curve, 1, 7, x) == pot);
        CHECK(distillate_over(&model.curve, 8, 0, x) == pot);
        CHECK_NEAR(distillate_over(&model.curve, 1 + 1e-9, 7, x), pot, 2e-9);
        CHECK_NEAR(distillate_over(&model.curve, 8, 1e-9, x), pot, 1e-7);
        for (int n = 2; n < 10; n++) {
            double at = distillate_over(&model.curve, n, 3, x);
            CHECK_NEAR(distillate_over(&model.curve, n - 1e-9, 3, x), at, 2e-9);
            CHECK_NEAR(distillate_over(&model.curve, n + 1e-9, 3, x), at, 2e-9);
        }
    }
}

/* Twice as much in the vapour as in the liquid; below a twentieth nobody knows. */
static double known_to_a_twentieth(const jl_curve *curve, double x) {
    (void)curve;
    return x < 0.05 ? NAN : 2 * x;
}

/* A step into what is not known is made smaller until it ends before, and nothing is made up. */
static void no_step_goes_where_nothing_is_known(void) {
    const jl_curve curve = {.vapour = known_to_a_twentieth, .end = 1};
    const jl_boildown_setup setup = {.column = {&curve, 1, 0}, .x = 0.3, .tolerance = JL_TOLERANCE};
    jl_boildown b;
    jl_point point = {.left = 1};
    CHECK_OK(jl_boildown_open(&setup, &b));
    jl_boildown_at(&b, 0, &point); /* before the first step it is the charge */
    CHECK(point.x == 0.3 && point.left == 1 && point.out == 0);
    for (int i = 0; i < 200; i++) {
        CHECK_OK(jl_boildown_advance(&b));
        jl_boildown_at(&b, jl_boildown_end(&b), &point);
        CHECK_NEAR(point.x, 0.3 * exp(-point.s), 1e-9); /* Rayleigh, of dx/ds = -x */
    }
    CHECK_NEAR(point.x, 0.05, 1e-6);
    CHECK(point.x >= 0.05);
    jl_boildown_close(&b);
    jl_boildown_close(&b); /* once more does nothing */
}

CU_TestInfo boildown_tests[] = {
    {"no step goes where nothing is known", no_step_goes_where_nothing_is_known},
    {"textbook examples within their own tolerance", textbook_examples_within_their_own_tolerance},
    {"nothing is lost on the way", nothing_is_lost_on_the_way},
    {"more stages or reflux never weaken", more_stages_never_weaken_and_more_reflux_never_weakens},
    {"the distillate steps down to its liquid", the_distillate_steps_down_to_its_liquid},
    {"one stage or no reflux is the pot", one_stage_or_no_reflux_is_the_pot},
    CU_TEST_INFO_NULL,
};
