/* A record's ends, its rest, what a run that is over came to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/facts.h"
#include "learn/learnt.h"
#include "learn/simulator.h"
#include "learn/trend.h"
#include "log/file.h"
#include "run/run_of.h"
#include "suites.h"

#include <stdlib.h>

static const char JARS[] = "jar,volume_l,strength_pct,temp_c,time,fraction\n"
                           "1,0.5,82.0,20,2026-11-01T10:10:00Z,heads\n"
                           "2,0.5,80.9,20,2026-11-01T10:20:00Z,hearts\n"
                           "3,0.5,79.6,20,2026-11-01T10:30:00Z,hearts\n"
                           "4,0.5,78.1,20,2026-11-01T10:40:00Z,hearts\n"
                           "5,0.5,76.3,20,2026-11-01T10:50:00Z,tails\n";

static jl_run *read_run(const char *facts) {
    char text[2000];
    snprintf(text, sizeof text, "%s%s", facts, JARS);
    return run_of(text);
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
    jl_run *run = run_of(CHARGE STILL "#jar_l,0.4\n#reflux_share_u,0.02\n#power_w,2000\n" FITTING);
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

/* Fewer jars than that tell nothing of it, and as many do. */
static void the_first_jars_that_tell_another_still_are_found(void) {
    jl_run *run = read_run(CHARGE STILL);
    size_t place = 77;
    CHECK_OK(jl_run_other_still(run, NULL, &place));
    CHECK(place < 5);
    for (size_t count = place; count <= place + 1; count++) {
        char text[600];
        jl_diagnosis d = {0};
        const char *end = strchr(JARS, '\n');
        for (size_t i = 0; i < count; i++) end = strchr(end + 1, '\n');
        snprintf(text, sizeof text, "%s%.*s\n", CHARGE STILL, (int)(end - JARS), JARS);
        jl_run *first = run_of(text);
        bool told =
            jl_run_suspect(first, NULL, &d) == JL_OK && d.flagged && d.cause == JL_CAUSE_STILL;
        CHECK(told == (count > place));
        jl_run_free(first);
    }
    jl_run_free(run);
    run = run_of(CHARGE STILL "#reflux_share_u,0.02\n" FITTING);
    CHECK_STATUS(jl_run_other_still(run, NULL, &place), JL_NO);
    jl_run_free(run);
}

static double without(const char *facts, const char *rows, jl_cause cause) {
    char text[2000];
    jl_outlook o;
    snprintf(text, sizeof text, "%s%s", facts, rows);
    jl_run *run = run_of(text);
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

/* An hour without heat between the third jar and the fourth, said or found: of what the jars showed
 * nothing else is left out. */
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
        jl_run *run = run_of(text);
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

/* ---- What is wrong is put right before the rest is told ---- */

static sim_plan plan_of_a_pot(void) {
    return (sim_plan){.charge_l = 10,
                      .charge_pct = 30,
                      .jar_l = 0.3,
                      .last_pct = 15,
                      .power_w = 2000,
                      .pressure_kpa = 101.325,
                      .jars_most = 14};
}

/* The log of a simulated run of a pot, its charge said as so many times what it was. */
static jl_run *log_of(const sim_plan *plan, double said_times, sim_run *run) {
    static const sim_still POT = {.stages = 1, .efficiency = 0.8, .walk = 0.005};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    char text[4000];
    if (rng == NULL) abort();
    gsl_rng_set(rng, 7);
    const sim_bench bench = sim_bench_of(&SIM_LIMITS, rng);
    sim_run_still(&POT, plan, &bench, rng, run);
    gsl_rng_free(rng);
    size_t used =
        (size_t)snprintf(text, sizeof text,
                         "#charge_l,%.3f\n#charge_strength_pct,%.2f\n#stages,1\n"
                         "#power_w,2000\n#efficiency,0.8\n#efficiency_u,0.02\n#stop_at,20%%\n"
                         "volume_l,strength_pct,time\n",
                         run->logged.charge_l * said_times, run->logged.charge_strength_pct);
    for (size_t k = 0; k < run->logged.count; k++) {
        char moment[JL_TIME_BYTES];
        const jl_time at = {1790000000 + (int64_t)run->jars[k].full_s, 0};
        CHECK_OK(jl_time_write(at, moment, sizeof moment));
        used += (size_t)snprintf(text + used, sizeof text - used, "%.4f,%.2f,%s\n",
                                 run->jars[k].volume_l, run->jars[k].strength_pct, moment);
    }
    return run_of(text);
}

static void the_rest_is_that_of_what_was_put_right(void) {
    static const struct {
        jl_cause cause;
        size_t lost_after, pause_after;
        double said_times;
    } AT[] = {
        {JL_CAUSE_MISSING, 8, 0, 1}, {JL_CAUSE_PAUSE, 0, 6, 1}, {JL_CAUSE_CHARGE, 0, 0, 1.12}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        sim_plan plan = plan_of_a_pot();
        sim_run sim;
        jl_outlook o;
        plan.lost_after = AT[i].lost_after;
        plan.lost_jars = AT[i].lost_after > 0 ? 1 : 0;
        plan.pause_after = AT[i].pause_after;
        plan.pause_s = AT[i].pause_after > 0 ? 600 : 0;
        jl_run *run = log_of(&plan, AT[i].said_times, &sim);
        CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
        CHECK(o.diagnosis.flagged && o.diagnosis.cause == AT[i].cause);
        double rest_l = sim.stop_l - sim.so_far_l;
        /* the truth lies within, and what was not put right would lie beside it */
        CHECK(o.ahead.stop_l.low < rest_l && rest_l < o.ahead.stop_l.high);
        /* and the truth is told from that: a jar of 0.3 L off, say. How much narrower guards against
         * change. */
        CHECK(o.ahead.stop_l.high - o.ahead.stop_l.low < 0.2);
        jl_run_free(run);
    }
}

static void the_run_before_its_first_jar_is_that_without_jars(void) {
    jl_run *run = read_run(CHARGE STILL "#stop_at,30%\n");
    jl_run *begun = run_of(CHARGE STILL "#stop_at,30%\njar,volume_l,strength_pct\n");
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

/* A still of which stages and reflux are said is that still, and not the usual one. */
static void a_still_that_is_said_is_expected(void) {
    jl_run *pot = read_run(CHARGE "#stages,3\n"),
           *column = read_run(CHARGE "#stages,3\n#reflux,4\n");
    jl_estimate of_pot[4], of_column[4];
    double slice_l;
    CHECK_OK(jl_run_expected_slices(pot, NULL, 4, of_pot, &slice_l));
    CHECK_OK(jl_run_expected_slices(column, NULL, 4, of_column, &slice_l));
    CHECK(of_column[0].value > of_pot[0].value + 3);
    jl_run_free(pot);
    jl_run_free(column);
}

static void the_clock_goes_on_from_the_last_moment(void) {
    jl_run *run = read_run(CHARGE STILL);
    jl_outlook o;
    CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
    CHECK(o.clock && o.from.unix_s == jl_run_jar(run, 4)->time.unix_s);
    CHECK_NEAR(o.stop_at.value, (double)o.from.unix_s + o.ahead.stop_s.value, 1e-3);
    CHECK(o.hearts_end_at.low > (double)o.from.unix_s && o.hearts_end_at.high < o.stop_at.low);
    jl_run_free(run);
    run = run_of(CHARGE STILL "volume_l,strength_pct\n0.5,82\n0.5,81\n");
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

/* What a log's still was learnt from says how well it is known. */
static void of_a_still_learnt_the_log_has_its_rows(void) {
    static const jl_dialect PLAIN = {',', false, false};
    static jl_learnt_rows rows;
    jl_learnt_still still;
    jl_text text = {0};
    jl_outlook o;
    CHECK_OK(jl_still_said(3, 0.5, 0.02, &JL_LEARNING_WIDTHS, 0.9, &still));
    still.runs = 3;
    still.spread_weight[0] = 1;
    CHECK_OK(jl_learnt_write(&still, &rows));
    for (size_t i = 0; i < rows.count; i++) jl_fact_add(&text, &PLAIN, &rows.rows[i]);
    jl_text_add(&text, CHARGE FITTING, sizeof CHARGE FITTING);
    jl_run *run = run_of(text.bytes);
    CHECK_OK(jl_run_rest(run, NULL, 0, NULL, &o));
    CHECK(o.still_from == JL_STILL_LEARNT && isnan(o.share_said_u));
    CHECK(o.ahead.share.low > 0.4 && o.ahead.share.high < 0.6);
    jl_run_free(run);
    jl_text_free(&text);
}

/* Rows 1 and 2 are the first two numbers of stages. */
static void a_learnt_still_s_stages_rise(void) {
    static const int ORDERS[][3] = {{0, 1, 2}, {0, 2, 1}, {0, 1, 1}};
    static jl_learnt_rows rows;
    jl_learnt_still still, read;
    CHECK_OK(jl_still_unknown(&JL_LEARNING_WIDTHS, 0.9, &still));
    still.spread_weight[0] = 1;
    still.count = 2;
    still.of[0].weight = still.of[1].weight = 0.5;
    CHECK_OK(jl_learnt_write(&still, &rows));
    for (int i = 0; i < 3; i++) {
        static const jl_dialect PLAIN = {',', false, false};
        jl_text text = {0};
        jl_facts *facts;
        jl_fault fault;
        for (int row = 0; row < 3; row++) jl_fact_add(&text, &PLAIN, &rows.rows[ORDERS[i][row]]);
        CHECK_OK(jl_facts_of_bytes(text.bytes, text.length, &facts, NULL));
        CHECK_STATUS(jl_learnt_read(facts, &read, &fault), i == 0 ? JL_OK : JL_RANGE);
        CHECK(i == 0 || fault.line == 3);
        jl_facts_free(facts);
        jl_text_free(&text);
    }
    CHECK(read.count == 2 && read.of[1].stages == still.of[1].stages);
}

/* A tenth of a litre is left, of which no half litre comes. */
static void jars_that_do_not_come_have_no_strength(void) {
    jl_estimate next[2] = {{7, 7, 7}, {7, 7, 7}};
    jl_outlook o;
    jl_run *run = run_of("#charge_l,1.6\n#charge_strength_pct,35\nvolume_l,strength_pct\n"
                         "0.5,65\n0.5,35\n0.5,9\n");
    CHECK_OK(jl_run_rest(run, NULL, 2, next, &o));
    for (int i = 0; i < 2; i++)
        CHECK(isnan(next[i].value) && isnan(next[i].low) && isnan(next[i].high));
    jl_run_free(run);
}

static void has_no_rest(jl_run *run) {
    jl_estimate next;
    jl_outlook o;
    jl_diagnosis d;
    CHECK(!jl_run_rest_possible(run));
    CHECK_STATUS(jl_run_rest(run, NULL, 1, &next, &o), JL_MISSING);
    CHECK_STATUS(jl_run_suspect(run, NULL, &d), JL_MISSING);
    size_t place = 77;
    CHECK_STATUS(jl_run_other_still(run, NULL, &place), JL_MISSING);
    CHECK(place == 77);
    jl_run_free(run);
}

static void what_has_no_rest_is_refused(void) {
    has_no_rest(read_run(""));
    has_no_rest(read_run("#charge_l,24\n#charge_strength_pct,0.4\n"));
    has_no_rest(read_run("#charge_l,24\n#charge_strength_pct,92\n"));
    has_no_rest(run_of(CHARGE "volume_l,strength_pct\n"));
    has_no_rest(run_of(CHARGE "volume_l,strength_pct\n10,31\n10,30\n10,29\n"));
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
    jl_run *run = run_of("volume_l,strength_pct\n0.5,82\n");
    jl_past p;
    jl_run_past(run, &p);
    CHECK(!p.decided && !p.cut_short);
    CHECK(isnan(p.charge_pure_l) && isnan(p.recovery_pct) && isnan(p.hours));
    CHECK(isnan(p.energy_kwh) && isnan(p.energy_kwh_per_l) && isnan(p.apart_pct));
    jl_run_free(run);
    run = run_of("volume_l,strength_pct\n");
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

/* Not what lies between a jar and one that was filled days later, and not without both ends. */
static void hours_are_those_between_start_and_last_jar(void) {
    static const struct {
        const char *text;
        double hours, jumps_h, stops_h;
    } AT[] = {
        {"#started,2026-11-01T09:00:00Z\nvolume_l,strength_pct,time\n0.5,80,2026-11-01T10:00:00Z\n"
         "0.5,78,\n0.5,76,2026-11-01T11:00:00Z\n",
         2, 0},
        {"#started,2026-11-01T09:00:00Z\nvolume_l,strength_pct,time\n0.5,80,2026-11-01T10:00:00Z\n"
         "0.5,78,2026-11-04T10:00:00Z\n0.5,76,2026-11-04T10:30:00Z\n",
         1.5, 72},
        {"#started,2026-11-01T09:00:00Z\nvolume_l,strength_pct,time\n0.5,80,2026-11-01T10:00:00Z\n"
         "0.5,78,\n",
         NAN, 0},
        {"#started,2026-11-01T09:00:00Z\nvolume_l,strength_pct,time\n", NAN, 0},
        {"#started,2026-11-01T09:00:00Z\nvolume_l,strength_pct,time\n0.5,80,2026-11-01T10:00:00Z\n"
         "#resumed,2026-11-03T10:45:00Z\n0.5,78,2026-11-03T11:00:00Z\n",
         1.25, 0, 48.75},
        {"volume_l,strength_pct,time\n0.5,80,2026-11-01T10:00:00Z\n", NAN, 0},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[500];
        jl_past p;
        snprintf(text, sizeof text, "#power_w,2000\n%s", AT[i].text);
        jl_run *run = run_of(text);
        jl_run_past(run, &p);
        bool known = !isnan(AT[i].hours);
        CHECK(known ? fabs(p.hours - AT[i].hours) < 1e-9 : isnan(p.hours));
        CHECK(known ? fabs(p.energy_kwh - 2 * AT[i].hours) < 1e-9 : isnan(p.energy_kwh));
        CHECK_NEAR(p.jumps_h, AT[i].jumps_h, 1e-9);
        CHECK_NEAR(p.stops_h, AT[i].stops_h, 1e-9);
        jl_run_free(run);
    }
}

/* A receiver or two: how far it went is what the still makes of them. */
static void large_jars_are_cut_short_by_what_is_to_come(void) {
    static const struct {
        const char *jars;
        bool cut_short;
    } AT[] = {{"1,80\n1,78\n", true}, {"11.5,60\n", false}, {"0.5,38\n", false}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[300];
        jl_past p;
        snprintf(text, sizeof text,
                 CHARGE "#stages,2\n#reflux,0.5\n#stop_at,20%%\nvolume_l,strength_pct\n%s",
                 AT[i].jars);
        jl_run *run = run_of(text);
        jl_run_past(run, &p);
        CHECK(p.cut_short == AT[i].cut_short && !p.strip);
        jl_run_free(run);
    }
    jl_past p;
    jl_run *strip = run_of("#charge_l,24\n#charge_strength_pct,8\nvolume_l,strength_pct\n2,40\n");
    jl_run_past(strip, &p);
    CHECK(p.strip);
    jl_run_free(strip);
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

/* Two strip runs, a spirit run on their low wines and a half of its charge from elsewhere, then
 * another one on its feints: no litre counts twice. */
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
    {"the first jars that tell another still are found",
     the_first_jars_that_tell_another_still_are_found},
    {"a slip moves the rest of a run little", a_slip_moves_the_rest_of_a_run_little},
    {"a pause that is found is as one that is said", a_pause_that_is_found_is_as_one_that_is_said},
    {"the rest is that of what was put right", the_rest_is_that_of_what_was_put_right},
    {"the run before its first jar is that without jars",
     the_run_before_its_first_jar_is_that_without_jars},
    {"a still that is said is expected", a_still_that_is_said_is_expected},
    {"the clock goes on from the last moment", the_clock_goes_on_from_the_last_moment},
    {"of a log without stages any still is possible",
     of_a_log_without_stages_any_still_is_possible},
    {"jars that do not come have no strength", jars_that_do_not_come_have_no_strength},
    {"a learnt still's stages rise", a_learnt_still_s_stages_rise},
    {"of a still learnt the log has its rows", of_a_still_learnt_the_log_has_its_rows},
    {"what has no rest is refused", what_has_no_rest_is_refused},
    {"a charge that is not stated is not a number", a_charge_that_is_not_stated_is_not_a_number},
    {"instruments make a run as uncertain as they are",
     instruments_make_a_run_as_uncertain_as_they_are},
    {"a past run has its sums and its effort", a_past_run_has_its_sums_and_its_effort},
    {"what a log does not say is not a number", what_a_log_does_not_say_is_not_a_number},
    {"a planned run far above its stop was cut short",
     a_planned_run_far_above_its_stop_was_cut_short},
    {"hours are those between start and last jar", hours_are_those_between_start_and_last_jar},
    {"large jars are cut short by what is to come", large_jars_are_cut_short_by_what_is_to_come},
    {"sums of past runs add what is known", sums_of_past_runs_add_what_is_known},
    CU_TEST_INFO_NULL,
};
