/* A record's ends, its rest, what a run that is over came to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "jarline.h"
#include "learn/trend.h"
#include "suites.h"

static const char JARS[] = "jar,volume_l,strength_pct,temp_c,time,fraction\n"
                           "1,0.5,82.0,20,2026-11-01T10:10:00Z,heads\n"
                           "2,0.5,80.9,20,2026-11-01T10:20:00Z,hearts\n"
                           "3,0.5,79.6,20,2026-11-01T10:30:00Z,hearts\n"
                           "4,0.5,78.1,20,2026-11-01T10:40:00Z,hearts\n"
                           "5,0.5,76.3,20,2026-11-01T10:50:00Z,tails\n";

static jl_run *read_text(const char *text) {
    jl_run *run = NULL;
    int fd = given(text);
    CHECK_OK(jl_run_read(fd, &run, NULL));
    close(fd);
    return run;
}

static jl_run *read_run(const char *facts) {
    char text[2000];
    snprintf(text, sizeof text, "%s%s", facts, JARS);
    return read_text(text);
}

#define CHARGE "#charge_l,24\n#charge_strength_pct,30\n"
#define STILL  "#stages,3\n#reflux,1\n"

/* ---- Where fractions end ---- */

static void ends_are(const char *facts, double hearts_pct, double stop_pct) {
    jl_run *run = read_run(facts);
    jl_spout_end hearts, stop;
    jl_run_ends(run, &hearts, &stop);
    CHECK_NEAR(hearts.strength_pct, hearts_pct, 1e-9);
    CHECK_NEAR(stop.strength_pct, stop_pct, 1e-9);
    jl_run_free(run);
}

static void ends_are_the_logs_or_the_usual_ones(void) {
    const jl_cut_rules spirit = jl_default_cuts(30), strip = jl_default_cuts(8);
    ends_are("", spirit.hearts.at, spirit.tails.at);
    ends_are(CHARGE, spirit.hearts.at, spirit.tails.at);
    ends_are(CHARGE "#hearts_until,65%\n#stop_at,25%\n", 65, 25);
    ends_are("#charge_l,24\n#charge_strength_pct,8\n", strip.tails.at, strip.tails.at);
    ends_are(CHARGE "#hearts_until,none\n#stop_at,25%\n", 25, 25);
}

static void an_end_by_an_amount_is_not_followed(void) {
    jl_run *run = read_run(CHARGE "#hearts_until,3L\n");
    jl_spout_end hearts, stop;
    jl_run_ends(run, &hearts, &stop);
    CHECK(hearts.stated && !hearts.followed && !stop.stated && stop.followed);
    CHECK_NEAR(hearts.strength_pct, jl_default_cuts(30).hearts.at, 0);
    jl_run_free(run);
}

/* Pure water boils at 100 °C under 101.325 kPa: nothing comes over. */
static void an_end_by_a_temperature_is_the_vapours_strength_there(void) {
    jl_run *run = read_run(CHARGE "#hearts_until,90C boiler\n#stop_at,95C head\n");
    jl_spout_end hearts, stop;
    jl_boiling boiling;
    double pct;
    jl_run_ends(run, &hearts, &stop);
    CHECK(hearts.followed && stop.followed);
    CHECK_OK(jl_boil_at_temp(90, JL_PRESSURE_KPA, &boiling));
    CHECK_OK(jl_strength_pct(jl_mass_fraction_from_mole(boiling.vapour_mole_fraction),
                             JL_STRENGTH_C, &pct));
    CHECK_NEAR(hearts.strength_pct, pct, 1e-3); /* a pot: the first drop is that vapour */
    CHECK(stop.strength_pct < hearts.strength_pct);
    jl_run_free(run);
}

/* ---- The rest ---- */

/* As that still gives them. */
#define FITTING                                                                                    \
    "volume_l,strength_pct,time\n"                                                                 \
    "0.5,87.8,2026-11-01T10:10:00Z\n"                                                              \
    "0.5,87.65,2026-11-01T10:20:00Z\n"                                                             \
    "0.5,87.5,2026-11-01T10:30:00Z\n"                                                              \
    "0.5,87.25,2026-11-01T10:40:00Z\n"                                                             \
    "0.5,87.0,2026-11-01T10:50:00Z\n"

static void a_records_rest_is_that_of_its_jars_and_its_still(void) {
    jl_run *run =
        read_text(CHARGE STILL "#jar_l,0.4\n#reflux_share_u,0.02\n#power_w,2000\n" FITTING);
    jl_learning_jar jars[5];
    jl_learnt_still still;
    jl_estimate next[2], by_hand[2];
    jl_outlook o;
    jl_ahead ahead;
    CHECK(jl_run_rest_possible(run));
    CHECK_OK(jl_run_rest(run, NULL, 2, next, &o));
    CHECK_NEAR(o.plan.jar_l, 0.4, 0);
    CHECK_NEAR(o.plan.hearts_end_pct, 60, 0);
    CHECK(o.still_from == JL_STILL_SAID && !o.diagnosis.flagged);
    const jl_learning_run logged = jl_run_learning(run, NULL, jars);
    const jl_learning_widths widths = jl_run_widths((const jl_run *const *)&run, 1, NULL);
    CHECK(logged.count == 5 && logged.power_w == 2000);
    CHECK_NEAR(logged.charge_l, 24, 1e-9);
    CHECK_NEAR(jars[1].full_s - jars[0].full_s, 600, 0);
    CHECK_OK(jl_run_still(run, &widths, &still));
    CHECK(still.count == 1 && still.of[0].stages == 3);
    CHECK_NEAR(still.of[0].mean[JL_LEARNT_SHARE], 0.5, 1e-12);
    CHECK_NEAR(still.of[0].covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE], 4e-4, 1e-12);
    CHECK_OK(jl_run_ahead(&logged, &still, &widths, &o.plan, by_hand, &ahead));
    CHECK_NEAR(next[1].high, by_hand[1].high, 0);
    CHECK_NEAR(o.ahead.stop_l.low, ahead.stop_l.low, 0);
    jl_run_free(run);
}

/* The jars of a log that says another still. */
static void what_was_found_wrong_is_not_built_upon(void) {
    jl_run *run = read_run(CHARGE STILL);
    jl_learning_jar jars[5];
    jl_learnt_still still;
    jl_estimate next, by_hand;
    jl_outlook o;
    jl_ahead ahead;
    jl_diagnosis d;
    CHECK_OK(jl_run_rest(run, NULL, 1, &next, &o));
    CHECK_OK(jl_run_suspect(run, NULL, &d));
    CHECK(d.flagged && d.cause == JL_CAUSE_STILL && o.diagnosis.cause == d.cause);
    const jl_learning_run logged = jl_run_learning(run, NULL, jars);
    const jl_learning_widths widths = jl_run_widths((const jl_run *const *)&run, 1, NULL);
    CHECK_OK(jl_still_unknown(&widths, 0.9, &still));
    CHECK_OK(jl_run_ahead(&logged, &still, &widths, &o.plan, &by_hand, &ahead));
    CHECK_NEAR(next.value, by_hand.value, 1e-9);
    CHECK_NEAR(o.ahead.stop_l.high, ahead.stop_l.high, 1e-9);
    jl_run_free(run);
}

static double without(const char *facts, const char *rows, jl_cause cause) {
    char text[2000];
    jl_outlook o;
    snprintf(text, sizeof text, "%s%s", facts, rows);
    jl_run *run = read_text(text);
    CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
    CHECK(o.diagnosis.cause == cause);
    jl_run_free(run);
    return o.ahead.stop_l.value;
}

static void a_slip_moves_the_rest_of_a_run_little(void) {
    const char *facts = CHARGE STILL "#reflux_share_u,0.02\n";
    const char slip[] =
        "volume_l,strength_pct\n0.5,87.8\n0.5,87.65\n0.5,68.0\n0.5,87.25\n0.5,87.0\n";
    double right_l = without(facts, FITTING, JL_CAUSE_NONE);
    CHECK_NEAR(without(facts, slip, JL_CAUSE_SLIP), right_l, 0.02 * right_l);
}

/* An hour without heat between the third jar and the fourth, said or found: of what the jars showed nothing
 * else is left out. */
static void a_pause_that_is_found_is_as_one_that_is_said(void) {
    static const char ROWS[] = "volume_l,strength_pct,time\n"
                               "0.5,87.8,2026-11-01T10:10:00Z\n"
                               "0.5,87.65,2026-11-01T10:20:00Z\n"
                               "0.5,87.5,2026-11-01T10:30:00Z\n",
                      REST[] = "0.5,87.25,2026-11-01T11:40:00Z\n"
                               "0.5,87.0,2026-11-01T11:50:00Z\n"
                               "0.5,86.75,2026-11-01T12:00:00Z\n",
                      FACTS[] = CHARGE STILL "#reflux_share_u,0.02\n#power_w,2000\n";
    jl_estimate next[2];
    jl_outlook o[2];
    for (int said = 0; said < 2; said++) {
        char text[2000];
        snprintf(text, sizeof text, "%s%s%s%s", FACTS, ROWS,
                 said ? "#resumed,2026-11-01T11:30:00Z\n" : "", REST);
        jl_run *run = read_text(text);
        CHECK_OK(jl_run_rest(run, NULL, 1, &next[said], &o[said]));
        jl_run_free(run);
    }
    CHECK(o[0].diagnosis.cause == JL_CAUSE_PAUSE && o[0].diagnosis.of[JL_CAUSE_PAUSE].jar_told);
    CHECK(o[1].diagnosis.cause == JL_CAUSE_NONE);
    CHECK_NEAR(next[0].value, next[1].value, 1e-9);
    CHECK_NEAR(next[0].high, next[1].high, 1e-9);
    CHECK_NEAR(o[0].ahead.stop_l.value, o[1].ahead.stop_l.value, 1e-9);
    CHECK_NEAR(o[0].ahead.stop_s.low, o[1].ahead.stop_s.low, 1e-6);
}

static void the_run_before_its_first_jar_is_that_without_jars(void) {
    jl_run *run = read_run(CHARGE STILL "#stop_at,30%\n");
    jl_run *begun = read_text(CHARGE STILL "#stop_at,30%\njar,volume_l,strength_pct\n");
    jl_estimate of[20], alone[20];
    double slice_l = NAN, alone_l = NAN;
    CHECK_OK(jl_run_expected_slices(run, NULL, 20, of, &slice_l));
    CHECK_OK(jl_run_expected_slices(begun, NULL, 20, alone, &alone_l));
    CHECK_NEAR(slice_l, alone_l, 1e-12);
    for (size_t i = 0; i < 20; i++) {
        CHECK_NEAR(of[i].value, alone[i].value, 1e-9);
        CHECK(of[i].low < of[i].value && of[i].value < of[i].high);
        CHECK(i == 0 || of[i].value < of[i - 1].value);
    }
    CHECK(of[19].value < 45 && of[19].value > 30); /* the stop is where it ends */
    jl_run_free(run);
    jl_run_free(begun);
    run = read_run("");
    CHECK_STATUS(jl_run_expected_slices(run, NULL, 20, of, &slice_l), JL_MISSING);
    jl_run_free(run);
    run = read_run(CHARGE STILL "#stop_at,99%\n");
    CHECK_STATUS(jl_run_expected_slices(run, NULL, 20, of, &slice_l), JL_NO);
    jl_run_free(run);
}

static void the_clock_goes_on_from_the_last_moment(void) {
    jl_run *run = read_run(CHARGE STILL);
    jl_outlook o;
    CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
    CHECK(o.clock && o.from.unix_s == jl_run_jar(run, 4)->time.unix_s);
    CHECK_NEAR(o.stop_at.value, (double)o.from.unix_s + o.ahead.stop_s.value, 1e-3);
    CHECK(o.hearts_end_at.low > (double)o.from.unix_s && o.hearts_end_at.high < o.stop_at.low);
    jl_run_free(run);
    run = read_text(CHARGE STILL "volume_l,strength_pct\n0.5,82\n0.5,81\n");
    CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
    CHECK(!o.clock && isnan(o.stop_at.value) && isnan(o.hearts_end_at.high));
    jl_run_free(run);
}

/* Without a jar's size the next jars are as large as the last. */
static void of_a_log_without_stages_any_still_is_possible(void) {
    jl_run *run = read_run(CHARGE);
    jl_estimate next;
    jl_outlook o;
    CHECK_OK(jl_run_rest(run, NULL, 1, &next, &o));
    CHECK_NEAR(o.plan.jar_l, 0.5, 1e-9);
    CHECK(o.still_from == JL_STILL_UNKNOWN);
    CHECK(o.ahead.share.high - o.ahead.share.low > 0.1);
    jl_run_free(run);
}

static void has_no_rest(jl_run *run) {
    jl_estimate next;
    jl_outlook o;
    jl_diagnosis d;
    CHECK(!jl_run_rest_possible(run));
    CHECK_STATUS(jl_run_rest(run, NULL, 1, &next, &o), JL_MISSING);
    CHECK_STATUS(jl_run_suspect(run, NULL, &d), JL_MISSING);
    jl_run_free(run);
}

static void what_has_no_rest_is_refused(void) {
    has_no_rest(read_run(""));
    has_no_rest(read_run("#charge_l,24\n#charge_strength_pct,0.4\n"));
    has_no_rest(read_run("#charge_l,24\n#charge_strength_pct,92\n"));
    has_no_rest(read_text(CHARGE "volume_l,strength_pct\n"));
    has_no_rest(read_text(CHARGE "volume_l,strength_pct\n10,31\n10,30\n10,29\n"));
}

static void a_charge_that_is_not_stated_is_not_a_number(void) {
    jl_run *run = read_run("#power_w,2000\n");
    jl_learning_jar jars[5];
    const jl_learning_run logged = jl_run_learning(run, NULL, jars);
    CHECK(isnan(logged.charge_l) && isnan(logged.charge_strength_pct));
    CHECK_NEAR(logged.power_w, 2000, 0);
    jl_run_free(run);
}

/* A limit of 2 % vol on a jug of 5 % says more of both, and no instrument is perfect. */
static void instruments_make_a_run_as_uncertain_as_they_are(void) {
    jl_settings *bench;
    int fd = given("alcoholometer_limit_pct,2\njug_limit_pct,5\nthermometer_limit_c,0\n");
    CHECK_OK(jl_settings_read(fd, &bench, NULL));
    close(fd);
    const jl_learning_widths usual = jl_run_widths(NULL, 0, NULL),
                             wide = jl_run_widths(NULL, 0, bench);
    CHECK_NEAR(wide.alcoholometer_pct, 2 / sqrt(3), 1e-9);
    CHECK_NEAR(usual.alcoholometer_pct, 0.4 / sqrt(3), 1e-9);
    CHECK(wide.thermometer_c < usual.thermometer_c && wide.thermometer_c > 0);
    jl_run *run = read_run(CHARGE);
    const jl_learning_widths of_run = jl_run_widths((const jl_run *const *)&run, 1, bench);
    CHECK_NEAR(of_run.scale, hypot(0.05, 0.01) / sqrt(3), 1e-9); /* the charge's vessel has 1 % */
    jl_run_free(run);
    jl_settings_free(bench);
}

/* ---- What it came to ---- */

static void a_past_run_has_its_sums_and_its_effort(void) {
    jl_run *run = read_run("#started,2026-11-01T09:50:00Z\n#power_w,2000\n" CHARGE
                           "#expect,2.5,80\n#left_l,20\n#left_strength_pct,20\n");
    jl_past p;
    jl_run_past(run, &p);
    double pure_l = jl_pure_alcohol_l(p.collected);
    CHECK(p.decided && !p.cut_short);
    CHECK_NEAR(p.charge_pure_l, 7.2, 1e-9);
    CHECK_NEAR(pure_l, 0.5 * (0.82 + 0.809 + 0.796 + 0.781 + 0.763), 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(p.hearts), 0.5 * (0.809 + 0.796 + 0.781), 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(p.feints), 0.5 * (0.82 + 0.763), 1e-9);
    CHECK_NEAR(p.hours, 1, 1e-12);
    CHECK_NEAR(p.energy_kwh, 2, 1e-12);
    CHECK_NEAR(p.energy_kwh_per_l, 2 / pure_l, 1e-12);
    CHECK_NEAR(p.expected_pure_l, 2, 1e-12);
    CHECK_NEAR(p.apart_pct, 100 * (pure_l / 2 - 1), 1e-9);
    CHECK_NEAR(p.recovery_pct, 100 * pure_l / 7.2, 1e-9);
    jl_run_free(run);
}

static void what_a_log_does_not_say_is_not_a_number(void) {
    jl_run *run = read_text("volume_l,strength_pct\n0.5,82\n");
    jl_past p;
    jl_run_past(run, &p);
    CHECK(!p.decided && !p.cut_short);
    CHECK(isnan(p.charge_pure_l) && isnan(p.recovery_pct) && isnan(p.hours));
    CHECK(isnan(p.energy_kwh) && isnan(p.energy_kwh_per_l) && isnan(p.apart_pct));
    jl_run_free(run);
    run = read_text("volume_l,strength_pct\n");
    jl_run_past(run, &p);
    CHECK(!p.decided && !p.cut_short && isnan(p.last_pct));
    jl_run_free(run);
}

/* Its last jar has 76.3 % vol. */
static void is_cut_short(const char *facts, bool wanted) {
    jl_run *run = read_run(facts);
    jl_past p;
    jl_run_past(run, &p);
    CHECK(p.cut_short == wanted);
    jl_run_free(run);
}

static void a_planned_run_far_above_its_stop_was_cut_short(void) {
    is_cut_short(CHARGE, false); /* nothing was planned */
    is_cut_short(CHARGE "#stop_at,56%\n", true);
    is_cut_short(CHARGE "#stop_at,57%\n", false);
    is_cut_short(CHARGE "#expect,2.5,80\n", true);
    is_cut_short(CHARGE "#stop_at,56%\n#left_l,20\n#left_strength_pct,20\n", false);
}

static void sums_of_past_runs_add_what_is_known(void) {
    jl_run *charged = read_run(CHARGE), *not = read_run("");
    jl_past a, b;
    jl_past_sums sums = {0};
    jl_run_past(charged, &a);
    jl_run_past(not, &b);
    jl_past_add(&sums, &a);
    jl_past_add(&sums, &b);
    CHECK_NEAR(jl_pure_alcohol_l(sums.charge), 7.2, 1e-9);
    CHECK_NEAR(sums.collected.ethanol_kg, 2 * a.collected.ethanol_kg, 1e-15);
    CHECK_NEAR(sums.hearts.water_kg, 2 * a.hearts.water_kg, 1e-15);
    CHECK_NEAR(sums.feints.water_kg, 2 * a.feints.water_kg, 1e-15);
    jl_run_free(charged);
    jl_run_free(not );
}

/* Two strip runs, a spirit run on their low wines and a half of its charge from elsewhere, then another one
 * on its feints: no litre counts twice. */
static void low_wines_and_feints_count_once(void) {
    const jl_past strip = {.strip = true, .charge = {1.5, 20}, .collected = {1.2, 3}};
    const jl_past spirit = {
        .charge = {3.0, 7.5}, .collected = {2.8, 1.5}, .hearts = {1.9, 0.8}, .feints = {0.8, 0.6}};
    const jl_past last = {
        .charge = {0.5, 1}, .collected = {0.45, 0.3}, .hearts = {0.3, 0.1}, .feints = {0.1, 0.1}};
    jl_past_sums sums = {0};
    jl_past_add(&sums, &strip);
    jl_past_add(&sums, &strip);
    jl_past_add(&sums, &spirit);
    CHECK_NEAR(sums.charge.ethanol_kg, 3.0 + 0.6, 1e-12);
    CHECK_NEAR(sums.carried.ethanol_kg, 2.4, 1e-12);
    CHECK_NEAR(sums.collected.ethanol_kg, 2.8, 1e-12);
    CHECK_NEAR(sums.feints.ethanol_kg, 0.8, 1e-12);
    jl_past_add(&sums, &last);
    CHECK_NEAR(sums.charge.ethanol_kg, 3.6, 1e-12);
    CHECK_NEAR(sums.carried.ethanol_kg, 2.9, 1e-12);
    CHECK_NEAR(sums.feints.ethanol_kg, 0.3 + 0.1, 1e-12);
    CHECK_NEAR(sums.hearts.ethanol_kg, 2.2, 1e-12);
    CHECK_NEAR(sums.collected.ethanol_kg, 2.8 - 0.5 + 0.45, 1e-12);
}

CU_TestInfo rest_tests[] = {
    {"low wines and feints count once", low_wines_and_feints_count_once},
    {"ends are the log's or the usual ones", ends_are_the_logs_or_the_usual_ones},
    {"an end by an amount is not followed", an_end_by_an_amount_is_not_followed},
    {"an end by a temperature is the vapour's strength there",
     an_end_by_a_temperature_is_the_vapours_strength_there},
    {"a record's rest is that of its jars and its still",
     a_records_rest_is_that_of_its_jars_and_its_still},
    {"what was found wrong is not built upon", what_was_found_wrong_is_not_built_upon},
    {"a slip moves the rest of a run little", a_slip_moves_the_rest_of_a_run_little},
    {"a pause that is found is as one that is said", a_pause_that_is_found_is_as_one_that_is_said},
    {"the run before its first jar is that without jars",
     the_run_before_its_first_jar_is_that_without_jars},
    {"the clock goes on from the last moment", the_clock_goes_on_from_the_last_moment},
    {"of a log without stages any still is possible",
     of_a_log_without_stages_any_still_is_possible},
    {"what has no rest is refused", what_has_no_rest_is_refused},
    {"a charge that is not stated is not a number", a_charge_that_is_not_stated_is_not_a_number},
    {"instruments make a run as uncertain as they are",
     instruments_make_a_run_as_uncertain_as_they_are},
    {"a past run has its sums and its effort", a_past_run_has_its_sums_and_its_effort},
    {"what a log does not say is not a number", what_a_log_does_not_say_is_not_a_number},
    {"a planned run far above its stop was cut short",
     a_planned_run_far_above_its_stop_was_cut_short},
    {"sums of past runs add what is known", sums_of_past_runs_add_what_is_known},
    CU_TEST_INFO_NULL,
};
