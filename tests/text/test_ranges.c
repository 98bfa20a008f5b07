/* The ranges that jarline.h states: what lies out of them, NaN included, is refused, and the place for
 * the result is left as it was.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "text/array.h"
#include "text/status.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_interp.h>
#include <stddef.h>
#include <string.h>

enum { UNTOUCHED = 7 };

/* An expression that writes to &got; it must not. */
#define REFUSED(call, want)                                                                        \
    do {                                                                                           \
        got = UNTOUCHED;                                                                           \
        CHECK_STATUS(call, want);                                                                  \
        CHECK_NEAR(got, UNTOUCHED, 0);                                                             \
    } while (0)

/* The next double outside of a range, on either side, and what is no number of it at all. */
typedef struct outside {
    double values[5];
} outside;

static outside of(double low, double high) {
    return (outside){
        {nextafter(low, -INFINITY), nextafter(high, INFINITY), NAN, INFINITY, -INFINITY}};
}

static void a_figure_out_of_its_range_is_refused(void) {
    double got;
    outside share = of(0, 1), cool = of(-20, 40), hot = of(0, 120), pct = of(0, 100);
    for (int i = 0; i < 5; i++) {
        REFUSED(jl_density_kg_m3(share.values[i], 20, &got), JL_RANGE);
        REFUSED(jl_density_kg_m3(0.5, cool.values[i], &got), JL_RANGE);
        REFUSED(jl_mass_fraction_from_density(900, cool.values[i], &got), JL_RANGE);
        REFUSED(jl_strength_pct(share.values[i], 20, &got), JL_RANGE);
        REFUSED(jl_strength_pct(0.5, cool.values[i], &got), JL_RANGE);
        REFUSED(jl_mass_fraction_from_strength(pct.values[i], 20, &got), JL_RANGE);
        REFUSED(jl_mass_fraction_from_strength(40, cool.values[i], &got), JL_RANGE);
        REFUSED(jl_heat_capacity_kj_kg_k(share.values[i], 20, &got), JL_RANGE);
        REFUSED(jl_heat_capacity_kj_kg_k(0.5, hot.values[i], &got), JL_RANGE);
        REFUSED(jl_latent_heat_kj_kg(share.values[i], 80, &got), JL_RANGE);
        REFUSED(jl_latent_heat_kj_kg(0.5, hot.values[i], &got), JL_RANGE);
        REFUSED(jl_flash_point_c(of(10, 96).values[i], &got), JL_RANGE);
    }
}

static void the_ends_of_a_range_belong_to_it(void) {
    static const double SHARE[] = {0, 1}, COOL[] = {-20, 40}, HOT[] = {0, 120}, PCT[] = {0, 100};
    double got;
    for (int i = 0; i < 2; i++) {
        CHECK_OK(jl_density_kg_m3(SHARE[i], COOL[i], &got));
        CHECK_OK(jl_mass_fraction_from_density(900, COOL[i], &got));
        CHECK_OK(jl_strength_pct(SHARE[i], COOL[i], &got));
        CHECK_OK(jl_mass_fraction_from_strength(PCT[i], COOL[i], &got));
        CHECK_OK(jl_heat_capacity_kj_kg_k(SHARE[i], HOT[i], &got));
        CHECK_OK(jl_latent_heat_kj_kg(SHARE[i], HOT[i], &got));
        CHECK_OK(jl_flash_point_c(i == 0 ? 10 : 96, &got));
        CHECK_OK(jl_strength_to_mass_fraction((jl_quantity){PCT[i], JL_UNIT_PCT_MASS}, &got));
        CHECK_OK(
            jl_reading_from_mass_fraction(&JL_ALCOHOLOMETER, SHARE[i], 20, JL_UNIT_PCT_VOL, &got));
    }
}

static void a_strength_needs_a_unit_of_strength(void) {
    double got;
    outside share = of(0, 100);
    REFUSED(jl_strength_to_mass_fraction((jl_quantity){40, JL_UNIT_SG}, &got), JL_UNIT);
    for (int i = 0; i < 5; i++)
        REFUSED(
            jl_strength_to_mass_fraction((jl_quantity){share.values[i], JL_UNIT_PCT_MASS}, &got),
            JL_RANGE);
    CHECK_OK(jl_strength_to_mass_fraction((jl_quantity){25, JL_UNIT_PCT_MASS}, &got));
    CHECK_NEAR(got, 0.25, 1e-15);
}

static jl_status correct(jl_alcoholometer instrument, double reading, double temp_c, double *got) {
    return jl_reading_to_mass_fraction(&instrument, (jl_quantity){reading, JL_UNIT_PCT_VOL}, temp_c,
                                       got);
}

static jl_status show(jl_alcoholometer instrument, double mass_fraction, double temp_c,
                      double *got) {
    return jl_reading_from_mass_fraction(&instrument, mass_fraction, temp_c, JL_UNIT_PCT_VOL, got);
}

static void an_alcoholometer_that_cannot_be_is_refused(void) {
    double got;
    for (int i = 0; i < 5; i++) {
        jl_alcoholometer odd = JL_ALCOHOLOMETER;
        odd.glass_per_c = of(0, 1e-4).values[i];
        REFUSED(correct(odd, 50, 20, &got), JL_RANGE);
        odd = JL_ALCOHOLOMETER;
        if (i > 1) odd.reading_correction_pct = of(0, 0).values[i];
        if (i > 1) REFUSED(correct(odd, 50, 20, &got), JL_RANGE);
        odd = JL_ALCOHOLOMETER;
        REFUSED(correct(odd, 50, of(-20, 40).values[i], &got), JL_RANGE);
        REFUSED(correct(odd, of(0, 100).values[i], 20, &got), JL_RANGE);
        REFUSED(show(odd, of(0, 1).values[i], 20, &got), JL_RANGE);
        REFUSED(show(odd, 0.5, of(-20, 40).values[i], &got), JL_RANGE);
    }
    for (int i = 0; i < 5; i++) {
        jl_alcoholometer odd = JL_ALCOHOLOMETER;
        if (i != 2) odd.calibrated_c = of(0, 40).values[i]; /* NaN is that of the scale */
        if (i != 2) REFUSED(correct(odd, 50, 20, &got), JL_RANGE);
        if (i != 2) REFUSED(show(odd, 0.5, 20, &got), JL_RANGE);
    }
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    REFUSED(jl_reading_to_mass_fraction(&instrument, (jl_quantity){50, JL_UNIT_SG}, 20, &got),
            JL_UNIT);
    REFUSED(jl_reading_from_mass_fraction(&instrument, 0.5, 20, JL_UNIT_SG, &got), JL_UNIT);
}

/* A certificate may take the reading off either end of the scale. */
static void a_reading_beyond_the_scale_is_not_made_up(void) {
    double got;
    jl_alcoholometer low = JL_ALCOHOLOMETER;
    low.reading_correction_pct = 5;
    REFUSED(show(low, 0.01, 20, &got), JL_NO_MIXTURE);
    REFUSED(correct(low, 95.1, 20, &got), JL_RANGE);
    low.reading_correction_pct = -5;
    REFUSED(show(low, 0.999, 20, &got), JL_NO_MIXTURE);
    REFUSED(correct(low, 4.9, 20, &got), JL_RANGE);
}

static void an_amount_out_of_its_range_is_refused(void) {
    jl_spirit untouched = {UNTOUCHED, UNTOUCHED}, spirit = untouched, other = untouched;
    static const double BAD[] = {0, -1, NAN, INFINITY, 1.1e9};
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        CHECK_STATUS(jl_spirit_from_volume(BAD[i], 0.5, 20, &spirit), JL_RANGE);
        CHECK_STATUS(jl_spirit_from_mass(BAD[i], 0.5, &spirit), JL_RANGE);
        CHECK_STATUS(jl_make_up(&(jl_dilution){0.8, 0, 0.4}, BAD[i], &spirit, &other), JL_RANGE);
    }
    for (int i = 0; i < 5; i++) {
        double bad = of(0, 1).values[i];
        CHECK_STATUS(jl_spirit_from_volume(1, bad, 20, &spirit), JL_RANGE);
        CHECK_STATUS(jl_spirit_from_volume(1, 0.5, of(-20, 40).values[i], &spirit), JL_RANGE);
        CHECK_STATUS(jl_spirit_from_mass(1, bad, &spirit), JL_RANGE);
        CHECK_STATUS(jl_bring_to((jl_spirit){1, 1}, bad, 0.4, &spirit), JL_RANGE);
        CHECK_STATUS(jl_bring_to((jl_spirit){1, 1}, 0, bad, &spirit), JL_RANGE);
        CHECK_STATUS(jl_make_up(&(jl_dilution){bad, 0, 0.4}, 1, &spirit, &other), JL_RANGE);
        CHECK_STATUS(jl_make_up(&(jl_dilution){0.8, bad, 0.4}, 1, &spirit, &other), JL_RANGE);
        CHECK_STATUS(jl_make_up(&(jl_dilution){0.8, 0, bad}, 1, &spirit, &other), JL_RANGE);
    }
    CHECK_STATUS(jl_bring_to((jl_spirit){0, 0}, 0, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_bring_to((jl_spirit){INFINITY, 1}, 0, 0.4, &spirit), JL_RANGE);
    CHECK_STATUS(jl_make_up(&(jl_dilution){0.4, 0.8, 0.5}, 1, &spirit, &other), JL_NO);
    CHECK_STATUS(jl_make_up(&(jl_dilution){0.8, 0.4, 0.2}, 1, &spirit, &other), JL_NO);
    CHECK_STATUS(jl_make_up(&(jl_dilution){0.8, 0.4, 0.9}, 1, &spirit, &other), JL_NO);
    CHECK(memcmp(&spirit, &untouched, sizeof spirit) == 0);
    CHECK(memcmp(&other, &untouched, sizeof other) == 0);
    CHECK(isnan(jl_volume_l((jl_spirit){1, 1}, 41)));
    CHECK(isnan(jl_spirit_strength_pct((jl_spirit){0, 0})));
    CHECK(isnan(jl_strength_pct_from_mole(-0.01)) && isnan(jl_strength_pct_from_mole(1.01)));
    CHECK(isnan(jl_scale_from_mass_kg(1, 499)));
    CHECK(isnan(jl_mass_from_scale_kg(1, 25001)));
}

/* A member of a still or a plan, and the range that jarline.h gives it. */
typedef struct member {
    size_t at;
    double low, high;
} member;

static double *member_of(void *whole, size_t at) {
    return (double *)(void *)((char *)whole + at);
}

static jl_status forecast(const jl_still *still, const jl_plan *plan) {
    jl_forecast sum = JL_FORECAST;
    return jl_forecast_run(still, (jl_spirit){2, 8}, plan, &sum);
}

static const member STILL[] = {
    {offsetof(jl_still, stages), 1, 100},
    {offsetof(jl_still, reflux_ratio), 0, 1000},
    {offsetof(jl_still, pressure_kpa), 30, 110},
    {offsetof(jl_still, vapour_off_share), -0.5, 0.5},
    {offsetof(jl_still, dilute_off_share), -0.5, 0.5},
    {offsetof(jl_still, power_w), 0, 1e6},
    {offsetof(jl_still, loss_w), 0, 1e6},
    {offsetof(jl_still, boiler_heat_j_k), 0, 1e7},
    {offsetof(jl_still, start_c), 0, 60},
    {offsetof(jl_still, spout_c), 0, 40},
    {offsetof(jl_still, min_liquid_l), 0, 1e6},
    {offsetof(jl_still, efficiency_share), 1e-300, 1},
    {offsetof(jl_still, coolant_rise_c), 1e-300, 90},
};

static void a_still_out_of_its_range_is_refused(void) {
    jl_plan plan = JL_PLAN(25);
    for (size_t m = 0; m < sizeof STILL / sizeof STILL[0]; m++)
        for (int i = 0; i < 5; i++) {
            jl_still odd = JL_STILL;
            *member_of(&odd, STILL[m].at) = of(STILL[m].low, STILL[m].high).values[i];
            if (STILL[m].low == 1e-300 && i == 0) *member_of(&odd, STILL[m].at) = 0;
            CHECK_STATUS(forecast(&odd, &plan), JL_RANGE);
        }
    jl_reflux_step step = {0};
    for (int i = 0; i < 5; i++) {
        jl_still odd = JL_STILL;
        odd.schedule = &step;
        odd.schedule_count = 1;
        step = (jl_reflux_step){.reflux_ratio = of(0, 1000).values[i]};
        CHECK_STATUS(forecast(&odd, &plan), JL_RANGE);
        step = (jl_reflux_step){.reflux_ratio = 1, .at = of(0, 1e9).values[i]};
        CHECK_STATUS(forecast(&odd, &plan), JL_RANGE);
    }
    jl_still none = JL_STILL;
    none.schedule_count = 1;
    CHECK_STATUS(forecast(&none, &plan), JL_RANGE);
    none.schedule = &step;
    none.schedule_count = 10001;
    CHECK_STATUS(forecast(&none, &plan), JL_RANGE);
}

/* Some make a run that cannot be, which is another status. */
static void the_ends_of_a_still_s_ranges_belong_to_it(void) {
    jl_plan plan = JL_PLAN(25);
    jl_forecasting *run = NULL;
    for (size_t m = 0; m < sizeof STILL / sizeof STILL[0]; m++)
        for (int end = 0; end < 2; end++) {
            jl_still still = JL_STILL;
            *member_of(&still, STILL[m].at) = end == 0 ? STILL[m].low : STILL[m].high;
            jl_status status = jl_forecast_open(&still, (jl_spirit){2, 8}, &plan, &run);
            CHECK(status == JL_OK || status == JL_NO);
            if (status == JL_OK) jl_forecast_close(run);
        }
    static const jl_reflux_step ENDS[] = {{.reflux_ratio = 0, .at = 0},
                                          {.reflux_ratio = 1000, .at = 1e9}};
    jl_still still = JL_STILL;
    still.schedule = ENDS;
    still.schedule_count = 2;
    plan.jar_l = 0.001;
    plan.measured_c = -20;
    CHECK_OK(jl_forecast_open(&still, (jl_spirit){2, 8}, &plan, &run));
    jl_forecast_close(run);
    plan.jar_l = 1e6;
    plan.measured_c = 40;
    CHECK_OK(jl_forecast_open(&still, (jl_spirit){2, 8}, &plan, &run));
    jl_forecast_close(run);
}

static void a_plan_out_of_its_range_is_refused(void) {
    static const struct {
        jl_cut_by by;
        double most;
    } RULES[] = {{JL_CUT_VOLUME_L, 1e6},  {JL_CUT_CHARGE_SHARE, 1}, {JL_CUT_ALCOHOL_SHARE, 1},
                 {JL_CUT_SPOUT_PCT, 100}, {JL_CUT_BOILER_C, 120},   {JL_CUT_HEAD_C, 120}};
    jl_still still = JL_STILL;
    for (size_t r = 0; r < sizeof RULES / sizeof RULES[0]; r++)
        for (int i = 0; i < 5; i++) {
            jl_cut odd = {RULES[r].by, of(0, RULES[r].most).values[i]};
            jl_plan plans[4] = {JL_PLAN(25), JL_PLAN(25), JL_PLAN(25), JL_PLAN(25)};
            plans[0].cuts.foreshots = plans[1].cuts.heads = odd;
            plans[2].cuts.hearts = plans[3].cuts.tails = odd;
            for (int p = 0; p < 4; p++) CHECK_STATUS(forecast(&still, &plans[p]), JL_RANGE);
        }
    jl_plan unknown = JL_PLAN(25);
    unknown.cuts.hearts.by = (jl_cut_by)(JL_CUT_HEAD_C + 1);
    CHECK_STATUS(forecast(&still, &unknown), JL_RANGE);
    for (int i = 0; i < 5; i++) {
        jl_plan odd = JL_PLAN(25);
        odd.jar_l = of(0.001, 1e6).values[i];
        CHECK_STATUS(forecast(&still, &odd), JL_RANGE);
        odd = JL_PLAN(25);
        odd.measured_c = of(-20, 40).values[i];
        CHECK_STATUS(forecast(&still, &odd), JL_RANGE);
    }
}

static void a_charge_that_cannot_be_boiled_is_refused(void) {
    static const jl_spirit CHARGES[] = {{0, 1}, {1, 0}, {-1, 2}, {NAN, 1}, {1, NAN}, {1e6, 1e6}};
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(25);
    jl_forecast sum = JL_FORECAST;
    for (size_t i = 0; i < sizeof CHARGES / sizeof CHARGES[0]; i++)
        CHECK_STATUS(jl_forecast_run(&still, CHARGES[i], &plan, &sum), JL_RANGE);
    jl_boiling drop;
    for (int i = 0; i < 5; i++)
        CHECK_STATUS(jl_first_drop(&still, of(0, 1).values[i], &drop), JL_RANGE);
    still.pressure_kpa = 29;
    CHECK_STATUS(jl_first_drop(&still, 0.3, &drop), JL_RANGE);
}

static void a_struct_has_at_most_64_kib(void) {
    const size_t sizes[] = {sizeof(size_t) - 1, sizeof(size_t), 65536, 65537};
    for (int i = 0; i < 4; i++) CHECK(jl_sized_ok(&sizes[i], sizeof(size_t)) == (i == 1 || i == 2));
}

/* A curve through one point: its own handler would end the program. */
static void gsl_ends_no_program(void) {
    gsl_error_handler_t *before = gsl_set_error_handler(NULL);
    jl_quiet();
    CHECK(gsl_interp_alloc(gsl_interp_steffen, 1) == NULL);
    gsl_set_error_handler(before);
}

static void each_status_has_words_of_its_own(void) {
    for (int a = JL_OK; a <= JL_NUMERIC; a++) {
        CHECK(strcmp(jl_status_text((jl_status)a), "unknown status") != 0);
        for (int b = JL_OK; b < a; b++)
            CHECK(strcmp(jl_status_text((jl_status)a), jl_status_text((jl_status)b)) != 0);
    }
    CHECK(strcmp(jl_status_text((jl_status)(JL_NUMERIC + 1)), "unknown status") == 0);
}

/* A fault shows the first bytes, and of a character that does not fit whole none. */
static void a_fault_shows_whole_characters(void) {
    static const struct {
        const char *end;
        size_t shown;
    } AT[] = {{"xxxxxxxx", 47},
              {"xxx\xc3\xa9xxx", 46},
              {"xxxx\xc3\xa9xx", 47},
              {"xxx\xf0\x9f\xa5\x83xx", 46},
              {"\x80\x80\x80\x80\x80\x80\x80\x80", 44}};
    char text[64];
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_fault fault;
        snprintf(text, sizeof text, "%043d%s", 0, AT[i].end);
        CHECK_STATUS(jl_text_fault(&fault, JL_FORM, text, "words"), JL_FORM);
        CHECK(strlen(fault.cell) == AT[i].shown && strncmp(fault.cell, text, AT[i].shown) == 0);
        CU_ASSERT_STRING_EQUAL(fault.expected, "words");
        CHECK(fault.line == 0 && fault.column == 0);
    }
    CHECK_STATUS(jl_text_fault(NULL, JL_FORM, text, "words"), JL_FORM);
}

CU_TestInfo ranges_tests[] = {
    {"a fault shows whole characters", a_fault_shows_whole_characters},
    {"a figure out of its range is refused", a_figure_out_of_its_range_is_refused},
    {"the ends of a range belong to it", the_ends_of_a_range_belong_to_it},
    {"the ends of a still's ranges belong to it", the_ends_of_a_still_s_ranges_belong_to_it},
    {"a struct has at most 64 KiB", a_struct_has_at_most_64_kib},
    {"GSL ends no program", gsl_ends_no_program},
    {"a strength needs a unit of strength", a_strength_needs_a_unit_of_strength},
    {"an alcoholometer that cannot be is refused", an_alcoholometer_that_cannot_be_is_refused},
    {"a reading beyond the scale is not made up", a_reading_beyond_the_scale_is_not_made_up},
    {"an amount out of its range is refused", an_amount_out_of_its_range_is_refused},
    {"a still out of its range is refused", a_still_out_of_its_range_is_refused},
    {"a plan out of its range is refused", a_plan_out_of_its_range_is_refused},
    {"a charge that cannot be boiled is refused", a_charge_that_cannot_be_boiled_is_refused},
    {"each status has words of its own", each_status_has_words_of_its_own},
    CU_TEST_INFO_NULL,
};
