/* What learning takes: every figure within its bounds, and none that is not.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/ahead.h"
#include "learn/learnt.h"
#include "learn/mixture.h"
#include "learn/model.h"
#include "run/run.h"
#include "run/run_of.h"
#include "suites.h"

#include <stddef.h>
#include <stdlib.h>

/* A figure, what lies below and above what it can be, and whether it may be left out (NaN). */
typedef struct bounds {
    size_t at;
    double below, above;
    bool may_lack;
} bounds;

/* All that one try is made of, so that each can change one figure of a good one. */
typedef struct inputs {
    jl_learning_jar jars[4];
    jl_learning_run run;
    jl_learning_widths widths;
    jl_learning_told told;
    jl_ahead_plan plan;
    jl_learnt_still still;
} inputs;

static inputs good_inputs(void) {
    static const double PCT[] = {82, 80.9, 79.6, 78.1};
    inputs in = {.widths = JL_LEARNING_WIDTHS, .told = JL_LEARNING_TOLD, .plan = {60, 20, 0.5, 1}};
    in.run = (jl_learning_run){.count = 4,
                               .charge_l = 24,
                               .charge_strength_pct = 30,
                               .charge_share_u = 0.005,
                               .charge_strength_u_pct = 0.3,
                               .pressure_kpa = JL_PRESSURE_KPA,
                               .pressure_u_kpa = 0.6,
                               .power_w = 2000};
    for (int i = 0; i < 4; i++)
        in.jars[i] = (jl_learning_jar){0.5, 0.003, PCT[i], 0.3, 85, 80, 600 + 600 * i};
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &in.widths, 0.9, &in.still));
    return in;
}

typedef jl_status checking(inputs *in);

static jl_status check_run(inputs *in) {
    in->run.jars = in->jars;
    return jl_ahead_check(&in->run, &in->still, &in->widths, &in->plan);
}

/* Of what is told before a still is learnt; the rest is checked before anything is computed. */
static jl_status check_told(inputs *in) {
    jl_learnt_run each;
    in->run.jars = in->jars;
    in->run.count = 0; /* too few jars, but not before what is told was looked at */
    return jl_learn_still(&in->run, 1, &in->widths, &in->told, NULL, NULL, &each, &in->still);
}

static void hold(const bounds *b, size_t count, checking *check, jl_status good) {
    for (size_t i = 0; i < count; i++) {
        const double values[] = {b[i].below, b[i].above, NAN};
        for (int k = 0; k < 3; k++) {
            inputs in = good_inputs();
            memcpy((char *)&in + b[i].at, &values[k], sizeof values[k]);
            jl_status status = check(&in);
            bool right = status == (k == 2 && b[i].may_lack ? good : JL_RANGE);
            if (!right) printf("\n    figure %zu, value %g: status %d", i, values[k], (int)status);
            CHECK(right);
        }
    }
    inputs in = good_inputs();
    CHECK_STATUS(check(&in), good);
}

#define OF(member) offsetof(inputs, member)

static void every_figure_of_a_run_has_its_bounds(void) {
    static const bounds RUN[] = {
        {OF(run.charge_l), 1e-7, 2e9, false},
        {OF(run.charge_strength_pct), 0.4, 95.1, false},
        {OF(run.charge_share_u), 1e-7, 1.1, false},
        {OF(run.charge_strength_u_pct), 1e-4, 51, false},
        {OF(run.pressure_kpa), 10, 1000, false},
        {OF(run.pressure_u_kpa), -0.1, 21, false},
        {OF(run.loss_w), -1, 2e6, false},
        {OF(run.boiler_heat_j_k), -1, 2e7, false},
        {OF(run.power_w), 1e-4, 2e6, true},
        {OF(jars[1].volume_l), 1e-7, 2e6, false},
        {OF(jars[1].volume_u_l), -0.1, 2e6, false},
        {OF(jars[1].strength_pct), -0.1, 100.1, true},
        {OF(jars[1].strength_u_pct), 1e-4, 51, false},
        {OF(jars[1].boiler_c), -0.1, 151, true},
        {OF(jars[1].head_c), -0.1, 151, true},
        {OF(jars[1].full_s), -INFINITY, INFINITY, true},
        {OF(widths.alcoholometer_pct), 1e-4, 21, false},
        {OF(widths.thermometer_c), 1e-4, 21, false},
        {OF(widths.thermometer_read_c), -0.1, 21, false},
        {OF(widths.scale), 1e-7, 1.1, false},
        {OF(widths.boiler_c), 1e-4, 21, false},
        {OF(widths.head_c), 1e-4, 21, false},
        {OF(widths.still_read_c), 1e-4, 21, false},
        {OF(widths.time_s), 1e-4, 2e6, false},
        {OF(widths.shift), 1e-7, 0.2, false},
        {OF(plan.hearts_end_pct), 0.05, 100.1, false},
        {OF(plan.stop_pct), 0.05, 100.1, false},
        {OF(plan.jar_l), 0, 2e6, false},
        {OF(still.of[0].stages), 0.9, JL_STAGES_MOST + 1, false},
        {OF(still.of[0].weight), -0.1, 1.1, false},
        {OF(still.of[0].mean[JL_LEARNT_SCALE]), -INFINITY, INFINITY, false},
        {OF(still.of[0].covariance[JL_LEARNT_SCALE][JL_LEARNT_SCALE]), -0.1, -1, false},
        {OF(still.of[0].covariance[JL_LEARNT_SCALE][JL_LEARNT_SHIFT]), -0.1, 0.1, false},
        {OF(still.spread_weight[1]), -0.1, -1, false},
    };
    hold(RUN, sizeof RUN / sizeof RUN[0], check_run, JL_OK);
    inputs in = good_inputs();
    in.plan.jar_count = 1001;
    CHECK_STATUS(check_run(&in), JL_RANGE);
    in = good_inputs();
    for (int i = 0; i < 2; i++) { /* more than two may share */
        double both = 1.1 * sqrt(in.still.of[0].covariance[JL_LEARNT_SHIFT][JL_LEARNT_SHIFT] *
                                 in.still.of[0].covariance[JL_LEARNT_SCALE][JL_LEARNT_SCALE]);
        in.still.of[0].covariance[JL_LEARNT_SCALE][JL_LEARNT_SHIFT] = i == 0 ? both : -both;
        in.still.of[0].covariance[JL_LEARNT_SHIFT][JL_LEARNT_SCALE] = i == 0 ? both : -both;
        CHECK_STATUS(check_run(&in), JL_RANGE);
    }
    in = good_inputs();
    in.still.count = 0;
    CHECK_STATUS(check_run(&in), JL_RANGE);
    in.still.count = JL_LEARNT_STAGES_MOST + 1;
    CHECK_STATUS(check_run(&in), JL_RANGE);
    in = good_inputs();
    in.still.of[0].weight = 0.9; /* chances that are not all */
    CHECK_STATUS(check_run(&in), JL_RANGE);
}

static void every_figure_that_is_told_has_its_bounds(void) {
    static const bounds TOLD[] = {
        {OF(told.efficiency), 1e-4, 1.1, false},
        {OF(told.stages), 0.9, JL_STAGES_MOST + 1, true},
        {OF(told.share), -0.01, 0.99, true},
        {OF(told.spread), 0, -1, true},
    };
    hold(TOLD, sizeof TOLD / sizeof TOLD[0], check_told, JL_MISSING);
    inputs in = good_inputs();
    CHECK_STATUS(jl_learn_still(&in.run, 0, &in.widths, &in.told, NULL, NULL, NULL, &in.still),
                 JL_MISSING);
}

static void a_still_is_said_within_bounds(void) {
    static const double SAID[][4] = {/* stages, share, its width, efficiency */
                                     {0.9, 0.5, 0.02, 0.9}, {JL_STAGES_MOST + 1, 0.5, 0.02, 0.9},
                                     {2, -0.01, 0.02, 0.9}, {2, 0.99, 0.02, 0.9},
                                     {2, 0.5, -0.01, 0.9},  {2, 0.5, 1.1, 0.9},
                                     {2, 0.5, 0.02, 0},     {2, 0.5, 0.02, 1.1},
                                     {NAN, 0.5, 0.02, 0.9}, {2, NAN, 0.02, 0.9},
                                     {2, 0.5, NAN, 0.9},    {2, 0.5, 0.02, NAN}};
    jl_learnt_still still = {.runs = 7};
    jl_learning_widths bad = JL_LEARNING_WIDTHS;
    bad.shift = NAN;
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++)
        CHECK_STATUS(jl_still_said(SAID[i][0], SAID[i][1], SAID[i][2], &JL_LEARNING_WIDTHS,
                                   SAID[i][3], &still),
                     JL_RANGE);
    CHECK_STATUS(jl_still_said(2, 0.5, 0.02, &bad, 0.9, &still), JL_RANGE);
    CHECK_STATUS(jl_still_unknown(&bad, 0.9, &still), JL_RANGE);
    CHECK_STATUS(jl_still_unknown(&JL_LEARNING_WIDTHS, 0, &still), JL_RANGE);
    CHECK_STATUS(jl_still_unknown(&JL_LEARNING_WIDTHS, 1.1, &still), JL_RANGE);
    CHECK(still.runs == 7);
}

/* ---- What can be said of it ---- */

/* A share that is known for sure, or that a fit leaves below 0, is told as it is: 0, and not the
 * most. */
static void a_share_at_its_end_is_told_there(void) {
    static const struct {
        double share, standard, told;
    } AT[] = {{0.5, 0, 0.5},
              {0, 0, 0},
              {-0.1, 0.001, 0},
              {JL_SHARE_END, 0, JL_SHARE_END},
              {1.2, 0.001, JL_SHARE_END}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_learnt_still still;
        jl_learnt_summary s;
        CHECK_OK(jl_still_said(2, 0.5, AT[i].standard, &JL_LEARNING_WIDTHS, 0.9, &still));
        still.of[0].mean[JL_LEARNT_SHARE] = AT[i].share;
        CHECK_OK(jl_learnt_summarize(&still, &s));
        CHECK_NEAR(s.share.value, AT[i].told, 1e-9);
        CHECK_NEAR(s.share.low, AT[i].told, 1e-9);
        CHECK_NEAR(s.share.high, AT[i].told, 1e-9);
        CHECK(s.spread.value == 0 && !s.spread_told && !s.scale_told && !s.efficiency_told);
        still.any_share = true;
        CHECK_OK(jl_learnt_summarize(&still, &s));
        CHECK(!s.share_told && !s.stages_told);
    }
}

/* Without a shift in doubt nothing of the share goes with it. */
static void what_is_known_of_a_still_goes_without_a_shift(void) {
    jl_learnt_still still;
    double off;
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &JL_LEARNING_WIDTHS, 0.9, &still));
    still.of[0].covariance[JL_LEARNT_SHIFT][JL_LEARNT_SHIFT] = 0;
    jl_still_known known = jl_learnt_known(&still, &off);
    CHECK(known.share_per_vapour == 0 && known.vapour_u == 0 && off == 0);
    CHECK_NEAR(known.reflux_share_u, 0.02, 1e-12);
    CHECK(isnan(known.efficiency_u)); /* a guess is no knowledge */
}

static void without_evidence_nothing_has_weight(void) {
    double weights[] = {-INFINITY, -INFINITY};
    CHECK(jl_weigh(weights, 2) == -INFINITY || isnan(jl_weigh(weights, 2)));
    CHECK(weights[0] == 0 && weights[1] == 0);
}

/* A strength that another alcoholometer measured says nothing of the jars'. */
static void a_charge_is_read_by_its_instrument(void) {
    inputs in = good_inputs();
    double per[JL_UNKNOWNS];
    jl_charge_read_high(&in.run, per);
    CHECK(per[JL_UNKNOWN_ALCOHOLOMETER] == 1 && per[JL_UNKNOWN_CHARGE_PCT] == 1);
    CHECK(per[JL_UNKNOWN_THERMOMETER] == 0);
    in.run.charge_at_other_temp = true;
    jl_charge_read_high(&in.run, per);
    CHECK_NEAR(per[JL_UNKNOWN_THERMOMETER], -0.4, 0.1); /* % vol per °C, about 0.4 at 30 % */
    in.run.other_instrument = true;
    jl_charge_read_high(&in.run, per);
    CHECK(per[JL_UNKNOWN_ALCOHOLOMETER] == 0 && per[JL_UNKNOWN_CHARGE_PCT] == 1);
    CHECK(per[JL_UNKNOWN_THERMOMETER] == 0);
}

/* ---- What a log says ---- */

#define LOG "volume_l,strength_pct,head_c,boiler_c\n0.5,80,150,95\n"

static void a_still_is_the_log_s(void) {
    static const struct {
        const char *facts;
        jl_status status;
        double efficiency_u;
    } AT[] = {{"#stages,2\n#reflux,1\n", JL_OK, NAN},
              {"#stages,2\n#reflux,1\n#efficiency,0.8\n#efficiency_u,0.02\n", JL_OK, 0.02},
              {"#learnt_stages,2,1,1\n", JL_FORM, NAN}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[300];
        jl_learnt_still still;
        snprintf(text, sizeof text, "%s" LOG, AT[i].facts);
        jl_run *run = run_of(text);
        CHECK_STATUS(jl_run_still(run, &JL_LEARNING_WIDTHS, &still), AT[i].status);
        double u = sqrt(still.of[0].covariance[JL_LEARNT_LN_EFFICIENCY][JL_LEARNT_LN_EFFICIENCY]);
        if (!isnan(AT[i].efficiency_u)) CHECK_NEAR(u, AT[i].efficiency_u / 0.8, 1e-12);
        if (AT[i].status == JL_OK && isnan(AT[i].efficiency_u)) CHECK(u > 0.05);
        jl_run_free(run);
    }
}

/* A thermometer that shows too little by its offset: 155 °C is no boiling liquid. */
static void a_temperature_where_nothing_boils_is_left_out(void) {
    jl_run *run = run_of("#head_offset_c,-5\n#boiler_offset_c,-1\n" LOG);
    jl_settings bench;
    jl_learning_jar jar;
    jl_settings_begin(&bench);
    jl_settings_number(&bench, JL_KEY_HEAD_OFFSET, -5, JL_FROM_OPTION, NULL);
    jl_settings_number(&bench, JL_KEY_BOILER_OFFSET, -1, JL_FROM_OPTION, NULL);
    jl_run_learning(run, &bench, &jar);
    CHECK(isnan(jar.head_c));
    CHECK_NEAR(jar.boiler_c, 96, 1e-9);
    jl_run_free(run);
}

/* Boiling water, at any pressure that can be stated. */
static void a_thermometer_is_checked_at_any_pressure(void) {
    static const double KPA[] = {60, 101.325, 105};
    for (size_t i = 0; i < sizeof KPA / sizeof KPA[0]; i++) {
        jl_settings s;
        jl_boiling water;
        double offset_c = NAN, standard_c = NAN;
        jl_settings_begin(&s);
        CHECK_STATUS(jl_thermometer_check(100, &s, &offset_c, &standard_c), JL_MISSING);
        jl_settings_number(&s, JL_KEY_PRESSURE, KPA[i], JL_FROM_OPTION, NULL);
        CHECK_OK(jl_boil(0, KPA[i], &water));
        CHECK_OK(jl_thermometer_check(water.temp_c + 0.5, &s, &offset_c, &standard_c));
        CHECK_NEAR(offset_c, 0.5, 1e-9);
        CHECK(standard_c > 0.05 && standard_c < 1);
        CHECK_STATUS(jl_thermometer_check(water.temp_c + 21, &s, &offset_c, &standard_c), JL_RANGE);
    }
}

/* As jarline.h has them: ±0.5 % vol, ±1 °C, ±1 % of two vessels, half a division of 0.5 °C, half a minute. */
static void usual_widths_are_those_of_usual_instruments(void) {
    const jl_learning_widths *w = &JL_LEARNING_WIDTHS;
    const double of[][2] = {
        {w->alcoholometer_pct, 0.5},   {w->thermometer_c, 1},      {w->boiler_c, 1}, {w->head_c, 1},
        {w->thermometer_read_c, 0.25}, {w->scale, 0.01 * M_SQRT2}, {w->time_s, 30}};
    for (size_t i = 0; i < sizeof of / sizeof of[0]; i++)
        CHECK_NEAR(of[i][0], of[i][1] / sqrt(3), 0.005 * of[i][0]);
}

static void a_still_s_thermometer_shows_0_to_150_c(void) {
    jl_learning_jar jar;
    jl_run *run = run_of("#charge_l,10\n#charge_strength_pct,30\n"
                         "volume_l,strength_pct,head_c,boiler_c\n0.5,70,0,150\n");
    (void)jl_run_learning(run, NULL, &jar);
    CHECK(jar.head_c == 0 && jar.boiler_c == 150);
    jl_run_free(run);
}

CU_TestInfo given_tests[] = {
    {"usual widths are those of usual instruments", usual_widths_are_those_of_usual_instruments},
    {"a still's thermometer shows 0 to 150 C", a_still_s_thermometer_shows_0_to_150_c},
    {"every figure of a run has its bounds", every_figure_of_a_run_has_its_bounds},
    {"every figure that is told has its bounds", every_figure_that_is_told_has_its_bounds},
    {"a still is said within bounds", a_still_is_said_within_bounds},
    {"a share at its end is told there", a_share_at_its_end_is_told_there},
    {"what is known of a still goes without a shift",
     what_is_known_of_a_still_goes_without_a_shift},
    {"without evidence nothing has weight", without_evidence_nothing_has_weight},
    {"a charge is read by its instrument", a_charge_is_read_by_its_instrument},
    {"a still is the log's", a_still_is_the_log_s},
    {"a temperature where nothing boils is left out",
     a_temperature_where_nothing_boils_is_left_out},
    {"a thermometer is checked at any pressure", a_thermometer_is_checked_at_any_pressure},
    CU_TEST_INFO_NULL,
};
