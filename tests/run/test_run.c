/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jars.h"
#include "run/run.h"
#include "run/run_of.h"
#include "still/forecast.h"
#include "suites.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>

#define FACTS  "#jarline,1\n#title,Plum\n#started,2026-03-07T18:05:00+01:00\n"
#define HEADER "jar,volume_l,strength_pct,fraction,note\n"

/* The fault of one that cannot. */
static jl_fault fault_of(const char *text) {
    jl_run *run = NULL;
    jl_fault fault = {.status = JL_OK};
    int fd = given(text);
    CHECK(jl_run_read(fd, &run, &fault) != JL_OK && run == NULL);
    close(fd);
    return fault;
}

static void jars_are_kept_with_what_had_run_before(void) {
    jl_run *run = run_of(FACTS HEADER "1,0.5,80,heads,first\n4,1,70,hearts,\"a \"\"b\"\"\"\n2,1,40,"
                                      "undecided,\n#undone,4,2026-03-07T19:05:00+01:00\n");
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(count == 2 && jars[0].number == 1 && jars[1].number == 2);
    CHECK(strcmp(jars[0].note, "first") == 0 && jars[0].note_length == 5 && jars[1].note[0] == 0);
    CHECK(jars[1].fraction == JL_UNDECIDED && jars[1].line == 7);
    CHECK_NEAR(jars[0].before_l, 0, 0);
    CHECK_NEAR(jars[0].until_l, 0.5, 1e-12);
    CHECK_NEAR(jars[1].before_l, 0.5, 1e-12);
    CHECK_NEAR(jars[1].until_l, jl_volume_l(jl_blend(jars[0].spirit, jars[1].spirit), 20), 1e-12);
    CHECK_NEAR(jl_pure_alcohol_l(jars[1].so_far), 0.8, 1e-9);
    CHECK(jl_run_jar_named(run, "2") == &jars[1] && jl_run_jar_named(run, "4") == NULL);
    CHECK(jl_run_tally(run)->of[JL_HEADS].jars == 1 && jl_run_tally(run)->of[JL_HEARTS].jars == 0);
    CHECK_NEAR(jl_pure_alcohol_l(jl_run_recovery(run)->collected), 0.8, 1e-9);
    CHECK_OK(jl_run_some(run, NULL));
    jl_run_free(run);
    jl_run_free(NULL);
}

static void facts_are_the_record_s(void) {
    jl_run *run = run_of(FACTS "#calibrated_c,15\n#charge_l,10\n#charge_strength_pct,10\njar,"
                               "volume_l,strength_pct,heat\n1,1,50,\n#left_l,9\n"
                               "#left_strength_pct,5\n2,1");
    jl_time started;
    size_t count;
    CHECK(strcmp(jl_run_title(run), "Plum") == 0);
    CHECK(jl_run_started(run, &started) && started.unix_s == 1772903100);
    CHECK_NEAR(jl_run_instrument(run).calibrated_c, 15, 0);
    CHECK_NEAR(jl_run_recovery(run)->recovery_pct, 50, 1e-9);
    CHECK_NEAR(jl_run_recovery(run)->missing_l, 0.05, 1e-9);
    CHECK(jl_run_torn_line(run) == 11);
    CHECK(strcmp(jl_run_unknown_column(run, 0), "heat") == 0);
    CHECK(jl_run_unknown_column(run, 1) == NULL);
    CHECK(strcmp(jl_facts_text(jl_run_facts(run), "left_l"), "9") == 0);
    jl_run_expected(run, &count);
    CHECK(count == 0 && isnan(jl_run_expected_pure_l(run)));
    CHECK(isnan(jl_run_expected_pct(run, 0, 1)));
    jl_run_free(run);
    run = run_of(HEADER);
    jl_fault fault;
    CHECK(jl_run_title(run) == NULL && !jl_run_started(run, &started));
    CHECK_STATUS(jl_run_some(run, &fault), JL_MISSING);
    CHECK(fault.line == 1);
    jl_run_free(run);
}

static jl_spirit spirit_of(double litres, double strength_pct) {
    double p;
    jl_spirit spirit;
    CHECK_OK(jl_mass_fraction_from_strength(strength_pct, 20, &p));
    CHECK_OK(jl_spirit_from_volume(litres, p, 20, &spirit));
    return spirit;
}

/* As much of a spirit as makes another so many litres, by halving. */
static jl_spirit fill_up(jl_spirit from, double litres, double strength_pct) {
    double low = 0, high = 2 * litres;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        bool less = jl_volume_l(jl_blend(from, spirit_of(middle, strength_pct)), 20) < litres;
        *(less ? &low : &high) = middle;
    }
    return jl_blend(from, spirit_of(low, strength_pct));
}

/* Of the run below: mixed its jars shrink. */
static double filled_up(void) {
    jl_spirit all = spirit_of(0.5, 80);
    return jl_pure_alcohol_l(fill_up(fill_up(all, 1, 70), 2, 40));
}

static void an_expected_run_is_linear_within_a_jar(void) {
    jl_run *run =
        run_of("#expect,0.5,80,78\n#expect,0.5,90\n#expect,1,70,\n#expect,2,40,95\n" HEADER);
    size_t count;
    const jl_expected *rows = jl_run_expected(run, &count);
    CHECK(count == 4);
    CHECK_NEAR(rows[3].end_l, 2, 0);
    CHECK_NEAR(rows[3].strength_pct, 40, 0);
    CHECK(rows[0].head_c == 78 && isnan(rows[1].head_c) && isnan(rows[2].head_c));
    CHECK_NEAR(jl_run_expected_pure_l(run), filled_up(), 1e-9);
    CHECK_NEAR(jl_run_expected_pct(run, 0, 0.5), 80, 1e-9);
    CHECK_NEAR(jl_run_expected_pct(run, 0.25, 0.75), 75, 1e-9);
    CHECK_NEAR(jl_run_expected_pct(run, 1.5, 2), 40, 1e-9);
    CHECK(isnan(jl_run_expected_pct(run, 1, 1)) && isnan(jl_run_expected_pct(run, 1, 2.1)));
    jl_run_free(run);
}

static void what_is_still_to_come_is_what_was_expected_beyond_the_jars(void) {
#define EXPECT_TWO "#expect,0.5,80\n#expect,1,70\n"
    static const char *const NOTHING[] = {
        HEADER "1,0.5,80,,\n", EXPECT_TWO HEADER "1,2,80,,\n",
        "#expect,0.5,80,\n#expect,1,10\n" HEADER "1,0.9,60,,\n", /* litres, but no alcohol */
        "#charge_l,10\n#charge_strength_pct,10\n#left_l,9\n#left_strength_pct,1\n" EXPECT_TWO HEADER
        "1,0.5,80,,\n"};
    double volume_l, pure_l;
    jl_run *run = run_of(EXPECT_TWO HEADER "1,0.5,80,,\n");
    CHECK(jl_run_to_come(run, &volume_l, &pure_l));
    CHECK_NEAR(volume_l, 0.5, 1e-12);
    CHECK_NEAR(pure_l, jl_pure_alcohol_l(fill_up(spirit_of(0.5, 80), 1, 70)) - 0.4, 1e-9);
    jl_run_free(run);
    run = run_of(EXPECT_TWO HEADER);
    CHECK(jl_run_to_come(run, &volume_l, &pure_l) && volume_l == 1);
    jl_run_free(run);
    for (size_t i = 0; i < sizeof NOTHING / sizeof NOTHING[0]; i++) {
        run = run_of(NOTHING[i]);
        CHECK(!jl_run_to_come(run, &volume_l, &pure_l));
        jl_run_free(run);
    }
#undef EXPECT_TWO
}

static void expected_litres_that_fall_are_refused(void) {
    jl_fault fault = fault_of("#expect,0.5,80\n#expect,0.4,70\n" HEADER "1,1,50,,\n");
    CHECK_STATUS(fault.status, JL_RANGE);
    CHECK(fault.line == 2 && fault.column == 2);
    fault = fault_of(HEADER "1,1,50,,\n#expect,0.5,101\n");
    CHECK(fault.status == JL_RANGE && fault.line == 3 && fault.column == 3);
    CHECK_STATUS(fault_of("#expect,0.5,80,151\n" HEADER).status, JL_RANGE);
    CHECK_STATUS(fault_of("#expect,0.5\n" HEADER).status, JL_MISSING);
}

static void a_later_charge_begins_the_expected_run_anew(void) {
    jl_run *run = run_of("#charge_l,20\n#expect,0.5,80\n#expect,3,60\n" HEADER
                         "1,1,50,,\n#charge_l,10\n#expect,0.25,70\n#expect,1.5,50\n");
    size_t count;
    const jl_expected *rows = jl_run_expected(run, &count);
    CHECK(count == 2 && rows[0].end_l == 0.25 && rows[1].end_l == 1.5);
    jl_run_free(run);
    run = run_of("#charge_l,20\n#expect,0.5,80\n#expect,3,60\n" HEADER "1,1,50,,\n#charge_l,10\n");
    jl_run_expected(run, &count);
    CHECK(count == 2);
    jl_run_free(run);
}

/* What a forecast writes into a log is read back as written, to the digits that are meant. */
static void an_expected_row_is_read_back(void) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(30);
    jl_forecast_jars all = {.count = 0};
    char text[4096] = "";
    size_t n = 0, count;
    CHECK_OK(jl_forecast_all(&still, (jl_spirit){2, 6}, &plan, &all));
    for (size_t i = 0; i < all.count; i++) {
        jl_fact_entry row = jl_expected_row(&all.jars[i]);
        CHECK(row.count == 3);
        n += (size_t)snprintf(text + n, sizeof text - n, "#%s,%.12g,%.12g,%.12g\n", row.key,
                              row.values[0], row.values[1], row.values[2]);
    }
    snprintf(text + n, sizeof text - n, HEADER);
    jl_run *run = run_of(text);
    const jl_expected *rows = jl_run_expected(run, &count);
    CHECK(count == all.count && count > 4);
    for (size_t i = 0; i < count; i++) {
        CHECK_NEAR(rows[i].end_l, jl_volume_l(all.jars[i].so_far, 20), 0.5001e-4);
        CHECK_NEAR(rows[i].strength_pct, jl_spirit_strength_pct(all.jars[i].spirit), 0.5001e-2);
        CHECK_NEAR(rows[i].head_c, all.jars[i].head_c, 0.5001e-2);
    }
    jl_run_free(run);
    jl_forecast_jars_free(&all);
}

static void faults_are_the_log_s(void) {
    jl_fault fault = fault_of(HEADER "1,1,50,,\n2,1,50,heart,\n");
    CHECK(fault.status == JL_FORM && fault.line == 3 && fault.column == 4);
    CHECK_STATUS(fault_of("").status, JL_MISSING);
    CHECK_STATUS(fault_of("#charge_l,-1\n#charge_strength_pct,9\n" HEADER).status, JL_RANGE);
    CHECK_STATUS(jl_run_read(-1, &(jl_run *){NULL}, NULL), JL_INPUT);
}

static void the_lock_is_given_back(void) {
    int fd = given(HEADER "1,1,50,,\n");
    char path[64];
    jl_run *run;
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    CHECK_OK(jl_run_read(fd, &run, NULL));
    int other = open(path, O_RDWR | O_CLOEXEC);
    /* Without /proc the file has no second name. */
    bool none = access("/proc/self", F_OK) != 0;
    CHECK(none || (other >= 0 && flock(other, LOCK_EX | LOCK_NB) == 0));
    close(other);
    close(fd);
    jl_run_free(run);
}

/* ---- slips ---- */

/* What looks like a slip in a jar, as "FORECAST STRENGTH ...". */
static const char *slips_of(const char *text, const char *name) {
    static const char *const FIGURES[] = {"VOLUME", "STRENGTH", "TEMP", "HEAD", "BOILER", "TIME"};
    static const char *const BY[] = {" ",        " expected ", " usual ", " vapour ",
                                     " charge ", " start ",    " long ",  " future "};
    static char out[80];
    size_t count;
    jl_slips slips;
    jl_run *run = run_of(text);
    const jl_jar *jar = jl_run_jar_named(run, name);
    CU_ASSERT_PTR_NOT_NULL_FATAL(jar);
    const jl_jar *before = jar > jl_run_jars(run, &count) ? jar - 1 : NULL;
    jl_run_slips(run, before, jar, NULL, &slips);
    out[0] = '\0';
    for (size_t i = 0; i < slips.count; i++) {
        strcat(out, FIGURES[slips.of[i].figure]);
        strcat(out, BY[slips.of[i].by]);
    }
    jl_run_free(run);
    return out;
}

#define JARS "jar,time,volume_l,strength_pct,temp_c,head_c\n"

/* ---- the running spout ---- */

/* The strength of the first jar of two that only the spout was read of, 72 % and 68 % at their ends. */
static double first_mean_pct(const char *facts) {
    char text[400];
    snprintf(text, sizeof text, "%svolume_l,spout_pct,spout_temp_c\n0.5,72,20\n0.5,68,20\n", facts);
    jl_run *run = run_of(text);
    double pct = jl_spirit_strength_pct(jl_run_jar(run, 0)->spirit);
    jl_run_free(run);
    return pct;
}

/* The spout began as the expected run does, shifted to the first reading; where that is none, on the
 * line of the readings. */
static void the_first_jar_begins_as_it_was_expected_to(void) {
    double straight_pct = first_mean_pct("");
    CHECK_NEAR(straight_pct, 74, 0.1); /* 76 to 72 */
    /* 80, 76, 72 in the middles of the jars: 82 at 0, 78 at half a litre; shifted: 76 */
    CHECK_NEAR(first_mean_pct("#expect,0.5,80\n#expect,1,76\n#expect,1.5,72\n"), 74, 0.1);
    /* twice as steep: it began at 80 */
    CHECK_NEAR(first_mean_pct("#expect,0.5,80\n#expect,1,72\n#expect,1.5,64\n"), 76, 0.3);
    CHECK_NEAR(first_mean_pct("#expect,0.2,80\n#expect,0.4,78.4\n#expect,0.6,76.8,,x\n"), 74, 0.1);
    /* the expected run ends before the first jar: its last slope goes on */
    CHECK_NEAR(first_mean_pct("#expect,0.1,80\n#expect,0.2,79.2\n"), 74, 0.1);
    /* one expected jar has no slope, and 72 % and 40 more are none */
    CHECK_NEAR(first_mean_pct("#expect,0.5,80\n"), straight_pct, 1e-12);
    CHECK_NEAR(first_mean_pct("#expect,0.5,90\n#expect,1,50\n"), straight_pct, 1e-12);
    CHECK_NEAR(first_mean_pct("#expect,0.5,1\n#expect,1,90\n"), straight_pct, 1e-12);
}

/* Behind a jar whose strength was measured: from its mean in its middle, 80 % at 1 L of 2, on the
 * line to 70 % at the end of half a litre. The line is at 80 - 10 * 1 / 1.5 = 73.3 % where the half
 * litre begins. */
static void a_later_jar_begins_on_the_line_from_the_one_before(void) {
    jl_run *run = run_of("volume_l,strength_pct,spout_pct,spout_temp_c\n2,80,,\n0.5,,70,20\n");
    CHECK_NEAR(jl_spirit_strength_pct(jl_run_jar(run, 1)->spirit), (73.333 + 70) / 2, 0.1);
    jl_run_free(run);
}

/* A jar between that has a strength of its own is read of the spout too. */
static void a_spout_that_shows_no_mixture_is_refused(void) {
    static const struct {
        const char *text;
        jl_status status;
        size_t line;
    } AT[] = {
        {"volume_l,strength_pct,spout_pct,spout_temp_c\n0.5,70,1,30\n0.5,,69,20\n", JL_NO_MIXTURE,
         2},
        {"volume_l,strength_pct,spout_pct,spout_temp_c\n0.5,70,71,\n0.5,,69,20\n", JL_MISSING, 2},
        {"#spout_volume_ml,600\nvolume_l,spout_pct,spout_temp_c\n0.5,70,20\n", JL_RANGE, 3},
        /* 100 g at 80 % are 116 mL and at the mean of some 70 % 113 */
        {"#empty_g,200\nweight_g,taken_ml,spout_pct,spout_temp_c\n300,,60,20\n300,115,80,20\n",
         JL_RANGE, 4},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_fault fault = fault_of(AT[i].text);
        CHECK(fault.status == AT[i].status && fault.line == AT[i].line);
        jl_run *run = NULL;
        int fd = given(AT[i].text);
        CHECK_STATUS(jl_run_read(fd, &run, NULL), AT[i].status);
        close(fd);
    }
    jl_run *run = run_of("#empty_g,200\nweight_g,taken_ml,spout_pct,spout_temp_c\n300,,60,20\n"
                         "300,112,80,20\n");
    CHECK(jl_run_jar(run, 1)->volume_l < 0.115);
    jl_run_free(run);
    run =
        run_of("volume_l,strength_pct,spout_pct,spout_temp_c,temp_c\n0.5,70,71,,20\n0.5,,69,20,\n");
    CHECK(!jl_run_jar(run, 0)->from_spout && jl_run_jar(run, 1)->from_spout);
    jl_run_free(run);
}

/* ---- more of the record ---- */

static void a_pause_lies_between_two_moments(void) {
    jl_run *run = run_of(
        "#resumed,2026-03-07T18:00:00Z\n#resumed,after lunch\n#resumed,2026-03-07T20:00:00Z\n" JARS
        "1,2026-03-07T18:05:00Z,0.5,70,,\n");
    jl_time at = jl_run_jar(run, 0)->time, later = at, on;
    later.unix_s += 60;
    CHECK(!jl_run_resumed(run, at, later, &on));
    later.unix_s += 2 * 3600;
    CHECK(jl_run_resumed(run, at, later, &on) && on.unix_s == at.unix_s + 115 * 60);
    at.unix_s -= 301;
    CHECK(jl_run_resumed(run, at, later, &on) && on.unix_s == at.unix_s + 1 + 120 * 60);
    later = at;
    CHECK(!jl_run_resumed(run, at, later, &on));
    later.unix_s += 2;
    CHECK(jl_run_resumed(run, at, later, &on) && on.unix_s == at.unix_s + 1);
    jl_run_free(run);
    /* a jar without its moment does not hide one */
    run = run_of("#resumed,2026-03-07T18:00:00Z\n" JARS "1,2026-03-07T17:50:00Z,0.5,70,,\n"
                 "2,,0.5,69,,\n3,2026-03-07T18:10:00Z,0.5,68,,\n4,,0.5,67,,\n"
                 "5,2026-03-07T18:20:00Z,0.5,66,,\n");
    for (size_t i = 0; i < 5; i++) CHECK(jl_run_jar(run, i)->resumed == (i == 2));
    jl_run_free(run);
}

static void the_last_row_may_hold_an_earlier_jar(void) {
    jl_run *run = run_of(HEADER "1,0.5,80,,\n3,0.5,70,,\n2,0.5,75,,\n");
    CHECK(jl_run_last_written(run) == jl_run_jar(run, 1));
    jl_run_free(run);
    run = run_of(HEADER "1,0.5,80,,\n2,0.5,70,,\n");
    CHECK(jl_run_last_written(run) == jl_run_jar(run, 1));
    jl_run_free(run);
    run = run_of(HEADER);
    CHECK(jl_run_last_written(run) == NULL);
    jl_run_free(run);
}

static void a_charge_was_measured_with_something(void) {
    static const struct {
        const char *facts;
        jl_instrument by;
    } AT[] = {{"", JL_BY_VESSEL},
              {"#charge_measured_with,Scale\n", JL_BY_SCALE},
              {"#charge_measured_with,jug\n", JL_BY_JUG},
              {"#charge_measured_with,barrel\n", JL_BY_VESSEL}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[200];
        snprintf(text, sizeof text, "%s" HEADER, AT[i].facts);
        jl_run *run = run_of(text);
        CHECK(jl_run_charge_by(run) == AT[i].by);
        jl_run_free(run);
    }
}

static void a_weighed_jar_of_a_known_strength_is_its_weight(void) {
    jl_run *run =
        run_of("#empty_g,200\nweight_g,strength_pct,reading_pct,temp_c\n650,40,,\n650,,42,24\n");
    jl_amount a = jl_jar_amount(jl_run_jar(run, 1));
    CHECK(a.by_mass && a.measured && a.strength.value == 42 && a.temp_c == 24);
    a = jl_jar_amount(jl_run_jar(run, 0));
    CHECK(a.by_mass && !a.measured && a.strength.value == 40 && a.temp_c == 20);
    CHECK_NEAR(a.size, 0.45, 1e-12);
    jl_run_free(run);
}

/* ---- slips ---- */

static void slips_are_what_a_run_seldom_does(void) {
    static const char QUIET[] = JARS "1,2026-03-07T18:05:00Z,0.5,70,20,80\n"
                                     "2,2026-03-07T18:05:00Z,2.4,72.9,27.9,84.9\n";
    CU_ASSERT_STRING_EQUAL(slips_of(QUIET, "1"), "");
    CU_ASSERT_STRING_EQUAL(slips_of(QUIET, "2"), "");
    static const char LOUD[] = JARS "1,2026-03-07T18:05:00Z,0.5,70,20,80\n"
                                    "2,2026-03-07T18:04:59Z,2.6,73.1,28.1,85.1\n"
                                    "3,2026-03-07T18:05:00Z,0.5,63,20,80\n";
    CU_ASSERT_STRING_EQUAL(slips_of(LOUD, "2"), "VOLUME STRENGTH TEMP HEAD TIME ");
    CU_ASSERT_STRING_EQUAL(slips_of(LOUD, "3"), "VOLUME STRENGTH TEMP HEAD ");
    static const char FALL[] = JARS "1,,0.5,70,,\n2,,0.5,59.9,,\n3,,0.5,45,,\n4,,0.5,22.5,,\n";
    CU_ASSERT_STRING_EQUAL(slips_of(FALL, "2"), "STRENGTH "); /* 10 are a fall, or */
    CU_ASSERT_STRING_EQUAL(slips_of(FALL, "3"), "");          /* one and a half of that before */
    CU_ASSERT_STRING_EQUAL(slips_of(FALL, "4"), "STRENGTH ");
}

static void a_run_that_goes_its_own_way_is_said_once(void) {
#define EXPECTED "#expect,0.5,80\n#expect,1,78\n#expect,1.5,76\n"
    static const char RUN[] = EXPECTED JARS "1,,0.5,74.9,,\n2,,0.5,72.8,,\n3,,0.45,67.5,,\n";
    CU_ASSERT_STRING_EQUAL(slips_of(RUN, "1"), "STRENGTH expected ");
    CU_ASSERT_STRING_EQUAL(slips_of(RUN, "2"), "");
    CU_ASSERT_STRING_EQUAL(slips_of(RUN, "3"), "STRENGTH expected ");
    CU_ASSERT_STRING_EQUAL(slips_of(EXPECTED JARS "1,,0.5,75.1,,\n", "1"), "");
    CU_ASSERT_STRING_EQUAL(slips_of(EXPECTED JARS "1,,1.6,40,,\n", "1"), "");
}

/* Jars are expected as large as the largest of them, not as all together. */
static void a_first_jar_lies_beside_what_jars_were_to_hold(void) {
    jl_slip slip = {.beside = NAN};
    size_t count;
    jl_run *run = run_of(EXPECTED "#expect,1.6,74\n" JARS "1,,5,79,,\n");
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(jl_run_slip(run, NULL, &jars[0], JL_JAR_VOLUME, NULL, &slip));
    CHECK(slip.by == JL_SLIP_EXPECTED);
    CHECK_NEAR(slip.beside, 0.5, 1e-12);
    CHECK_NEAR(slip.guess.number, 0.5, 1e-12);
    jl_run_free(run);
}

/* What was meant by a number typed for the jar behind a run's last. */
static jl_guess meant_by(jl_run *run, jl_jar_figure figure, double typed) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    jl_jar jar = {.size = sizeof jar,
                  .volume_l = NAN,
                  .temp_c = NAN,
                  .head_c = NAN,
                  .boiler_c = NAN,
                  .reading = {NAN, JL_UNIT_PCT_VOL},
                  .strength = {NAN, JL_UNIT_PCT_VOL}};
    return jl_run_guess(run, count == 0 ? NULL : &jars[count - 1], &jar, figure, typed);
}

static double number_meant(jl_run *run, jl_jar_figure figure, double typed) {
    return meant_by(run, figure, typed).number;
}

#define READINGS "time,volume_ml,reading_pct,temp_c,head_c,boiler_c\n"

static void what_was_meant_fits_the_log(void) {
    jl_run *run = run_of(READINGS "2026-03-07T18:05:00Z,500,74.1,21,83,90.1\n");
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 53.5), 73.5, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 735), 73.5, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 47.3), 74.3, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_VOLUME, 4000), 400, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_VOLUME, 0.5), 500, 1e-9);
    CU_ASSERT_STRING_EQUAL(meant_by(run, JL_JAR_VOLUME, 0.5).unit, "L");
    CHECK_NEAR(number_meant(run, JL_JAR_BOILER, 0.4), 90.4, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_HEAD, 185), 85, 1e-9);
    CU_ASSERT_STRING_EQUAL(meant_by(run, JL_JAR_HEAD, 185).unit, "°F");
    CHECK_NEAR(meant_by(run, JL_JAR_HEAD, 185).typed, 185, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_TEMP, 75), (75 - 32) / 1.8, 1e-9);
    CHECK(isnan(number_meant(run, JL_JAR_READING, 9)));
    CHECK(isnan(number_meant(run, JL_JAR_TIME, 12)) && isnan(number_meant(run, JL_JAR_HEAD, NAN)));
    jl_run_free(run);
    run = run_of(READINGS ",500,2,20,,\n");
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 0), 2, 1e-9); /* nobody means nothing */
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 20), 2, 1e-9);
    jl_run_free(run);
    run = run_of("time,volume_l,reading_proof,temp_f\n,0.5,148,70\n");
    CHECK_NEAR(number_meant(run, JL_JAR_TEMP, 21), 69.8, 1e-9);
    CU_ASSERT_STRING_EQUAL(meant_by(run, JL_JAR_TEMP, 21).unit, "°C");
    CHECK_NEAR(number_meant(run, JL_JAR_VOLUME, 500), 0.5, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 1475), 147.5, 1e-9);
    CHECK_NEAR(number_meant(run, JL_JAR_HEAD, 85), 185, 1e-9);
    jl_run_free(run);
}

static void a_boiler_s_step_is_one_of_five_degrees(void) {
    jl_slip slip;
    jl_run *run = run_of(READINGS ",500,74.1,21,83,90\n");
    for (int hundredths = 8495; hundredths <= 9505; hundredths += 5) {
        jl_jar jar = *jl_run_jar(run, 0);
        jar.boiler_c = hundredths / 100.0;
        bool want = hundredths < 8500 || hundredths > 9500;
        CHECK(jl_run_slip(run, jl_run_jar(run, 0), &jar, JL_JAR_BOILER, NULL, &slip) == want);
    }
    jl_run_free(run);
}

static void a_log_s_units_are_its_columns(void) {
    jl_run *run = run_of("volume_l,strength_proof\n");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_VOLUME).name, "L");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_READING).name, "proof");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_HEAD).name, "°F");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_TIME).name, "");
    CHECK_NEAR(jl_run_unit(run, JL_JAR_HEAD).most, 302, 1e-9);
    jl_spirit half;
    CHECK(jl_spirit_read("1L@50%", &JL_ALCOHOLOMETER, &half, NULL) == JL_OK);
    CHECK_NEAR(jl_run_strength(run, 50), jl_proof_us(half), 1e-6);
    CHECK(isnan(jl_run_strength(run, NAN)) && isnan(jl_run_strength(run, 101)));
    jl_run_free(run);
    run = run_of(JARS);
    CHECK(jl_run_strength(run, 50) == 50);
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_READING).name, "%");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_BOILER).name, "°C");
    jl_run_free(run);
}

static void what_is_usual_has_its_ends_in_it(void) {
    static const struct {
        jl_jar_figure figure;
        double least, most;
    } AT[] = {{JL_JAR_VOLUME, 0.005, 50}, {JL_JAR_TEMP, 2, 38},      {JL_JAR_HEAD, 60, 102},
              {JL_JAR_BOILER, 60, 112},   {JL_JAR_WEIGHT, 0.01, 60}, {JL_JAR_EMPTY, 0.005, 15},
              {JL_JAR_SPOUT_TEMP, 2, 38}};
    jl_run *run = run_of(READINGS ",500,74.1,21,,\n");
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++)
        for (int end = 0; end < 4; end++) {
            jl_slip slip = {.by = JL_SLIP_CHARGE};
            jl_jar jar = *jl_run_jar(run, 0);
            double value = (end % 2 == 0 ? AT[i].least : AT[i].most) * (end < 2    ? 1
                                                                        : end == 2 ? 1 - 1e-6
                                                                                   : 1 + 1e-6);
            *jl_jar_place(&jar, jl_role_of(AT[i].figure)) = value;
            CHECK(jl_run_slip(run, NULL, &jar, AT[i].figure, NULL, &slip) == (end >= 2));
            CHECK(end < 2 || slip.by == JL_SLIP_USUAL);
        }
    jl_run_free(run);
}

static bool time_slips(const jl_run *run, size_t place, jl_slip_by by) {
    jl_slip slip;
    const jl_jar *jar = jl_run_jar(run, place);
    bool any = jl_run_slip(run, place > 0 ? jar - 1 : NULL, jar, JL_JAR_TIME, NULL, &slip);
    return any && slip.by == by;
}

static void a_moment_lies_between_its_neighbours(void) {
    jl_slip slip;
    jl_run *run = run_of(READINGS "2026-03-07T18:05:00Z,500,74.1,21,,\n"
                                  "2026-03-07T18:35:00Z,500,73.1,21,,\n"
                                  "2026-03-07T18:25:00Z,500,72.1,21,,\n"
                                  "2026-03-08T06:25:00Z,500,71.1,21,,\n"
                                  "2026-03-08T18:26:00Z,500,70.1,21,,\n");
    CHECK(time_slips(run, 1, JL_SLIP_AFTER) && time_slips(run, 2, JL_SLIP_BEFORE));
    CHECK(!jl_run_slip(run, jl_run_jar(run, 2), jl_run_jar(run, 3), JL_JAR_TIME, NULL, &slip));
    CHECK(time_slips(run, 4, JL_SLIP_LONG));
    jl_run_free(run);
}

/* Figures and minute; another note, or another figure, is another jar. */
static void a_jar_recorded_twice_is_seen(void) {
    static const char FIRST[] = "2026-03-07T18:05:00Z,500,74.1,21,83,,same\n";
    static const struct {
        const char *row;
        bool twice;
    } AT[] = {{"2026-03-07T18:05:59Z,500,74.1,21,83,,same\n", true},
              {"2026-03-07T18:06:00Z,500,74.1,21,83,,same\n", false},
              {"2026-03-07T18:05:00Z,501,74.1,21,83,,same\n", false},
              {"2026-03-07T18:05:00Z,500,74,21,83,,same\n", false},
              {"2026-03-07T18:05:00Z,500,74.1,22,83,,same\n", false},
              {"2026-03-07T18:05:00Z,500,74.1,21,84,,same\n", false},
              {"2026-03-07T18:05:00Z,500,74.1,21,83,10,same\n", false},
              {"2026-03-07T18:05:00Z,500,74.1,21,83,,other\n", false},
              {",500,74.1,21,83,,same\n", false}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[400];
        snprintf(text, sizeof text, "time,volume_ml,reading_pct,temp_c,head_c,taken_ml,note\n%s%s",
                 FIRST, AT[i].row);
        jl_run *run = run_of(text);
        CHECK(jl_run_same_jar(jl_run_jar(run, 0), jl_run_jar(run, 1)) == AT[i].twice);
        CHECK(time_slips(run, 1, JL_SLIP_SAME) == AT[i].twice);
        CHECK(!jl_run_same_jar(NULL, jl_run_jar(run, 0)));
        jl_run_free(run);
    }
}

static void slips_have_what_they_lie_beside(void) {
    jl_slip slip;
    size_t count;
    jl_run *run =
        run_of("#charge_l,5\n#charge_strength_pct,30\n#started,2026-03-07T18:00:00Z\n" READINGS
               "2026-03-07T18:05:00Z,500,74.1,21,83,90.1\n"
               "2026-03-09T18:05:00Z,4600,53.5,21,83,82\n");
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_READING, NULL, &slip));
    CHECK(slip.by == JL_SLIP_BEFORE && slip.is == 53.5 && slip.beside == 74.1);
    CHECK_NEAR(slip.guess.number, 73.5, 1e-9);
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_VOLUME, NULL, &slip));
    CHECK(slip.by == JL_SLIP_CHARGE && slip.beside < 4505);
    CHECK_NEAR(slip.is, 4600, 1e-9);
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_BOILER, NULL, &slip));
    CHECK(slip.by == JL_SLIP_BEFORE && slip.beside == 90.1);
    CHECK(jl_run_slip(run, NULL, &jars[1], JL_JAR_BOILER, NULL, &slip));
    CHECK(slip.by == JL_SLIP_VAPOUR && slip.beside == 83);
    CHECK(!jl_run_slip(run, &jars[0], &jars[1], JL_JAR_TEMP, NULL, &slip));
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_TIME, NULL, &slip) &&
          slip.by == JL_SLIP_LONG);
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_TIME, &jars[0].time, &slip));
    CHECK(slip.by == JL_SLIP_FUTURE);
    jl_jar early = jars[0];
    early.time.unix_s -= 301;
    CHECK(jl_run_slip(run, NULL, &early, JL_JAR_TIME, NULL, &slip) && slip.by == JL_SLIP_START);
    early.head_c = 40;
    CHECK(jl_run_slip(run, NULL, &early, JL_JAR_HEAD, NULL, &slip) && slip.by == JL_SLIP_USUAL);
    jl_run_free(run);
}

#define WEIGHED "weight_g,empty_g,spout_pct,spout_temp_c\n"

static void weights_and_spout_have_slips_too(void) {
    jl_slip slip;
    size_t count;
    jl_run *run =
        run_of(WEIGHED "420,184,74,22\n188.4,184,53.5,22\n420,400,73.5,33\n42,18,72,22\n");
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_WEIGHT, NULL, &slip));
    CHECK(slip.by == JL_SLIP_BEFORE && fabs(slip.beside - 420) < 1e-9);
    CHECK(!jl_run_slip(run, &jars[0], &jars[1], JL_JAR_VOLUME, NULL, &slip));
    CHECK(!jl_run_slip(run, &jars[0], &jars[1], JL_JAR_EMPTY, NULL, &slip));
    CHECK(jl_run_slip(run, &jars[0], &jars[1], JL_JAR_SPOUT, NULL, &slip));
    CHECK(slip.by == JL_SLIP_BEFORE && slip.is == 53.5 && slip.beside == 74);
    CHECK_NEAR(slip.guess.number, 73.5, 1e-9);
    CHECK(jl_run_slip(run, &jars[0], &jars[2], JL_JAR_EMPTY, NULL, &slip) &&
          jl_run_slip(run, &jars[0], &jars[2], JL_JAR_SPOUT_TEMP, NULL, &slip));
    CHECK_NEAR(number_meant(run, JL_JAR_WEIGHT, 0.06), 60, 1e-9);
    CU_ASSERT_STRING_EQUAL(meant_by(run, JL_JAR_WEIGHT, 0.06).unit, "kg");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_EMPTY).name, "g");
    jl_run_free(run);
    run = run_of("#empty_g,184\nweight_kg,reading_pct,temp_c\n0.42,74,22\n");
    jl_jar light = *jl_run_jars(run, &count);
    light.weight_kg = 0.1;
    CHECK(jl_run_slip(run, NULL, &light, JL_JAR_WEIGHT, NULL, &slip) && slip.by == JL_SLIP_EMPTY);
    CHECK_NEAR(slip.beside, 0.184, 1e-9);
    light.weight_kg = 0.184; /* the jar alone */
    CHECK(jl_run_slip(run, NULL, &light, JL_JAR_WEIGHT, NULL, &slip) && slip.by == JL_SLIP_EMPTY);
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_EMPTY).name, "kg");
    jl_run_free(run);
}

/* A jar of a log beside what it lies beside. */
static void a_slip_is_told_in_the_log_s_own_way(void) {
    static const struct {
        const char *text;
        size_t jar; /* by index */
        jl_jar_figure figure;
        int by; /* -1: no slip */
        double beside;
    } AT[] = {
        {"volume_l,strength_proof\n0.5,140\n0.5,100\n", 1, JL_JAR_READING, JL_SLIP_BEFORE, 140},
        {"volume_l,strength_pct,reading_pct,temp_c\n0.5,70,,\n0.5,,50,20\n", 1, JL_JAR_READING,
         JL_SLIP_BEFORE, 70},
        /* a fall that was expected is none */
        {"#expect,0.5,80\n#expect,1,60\nvolume_l,strength_pct\n0.5,80\n0.5,60\n", 1, JL_JAR_READING,
         -1, 0},
        {"#expect,0.5,80\n#expect,1,60\nvolume_l,strength_pct\n0.5,80\n0.5,50\n", 1, JL_JAR_READING,
         JL_SLIP_BEFORE, 80},
        {"#expect,0.5,80\n#expect,1,78\nvolume_l,spout_pct,spout_temp_c\n0.5,50,20\n", 0,
         JL_JAR_SPOUT, JL_SLIP_EXPECTED, 79},
        {"#expect,0.5,80\nvolume_l,strength_pct\n0.01,80\n", 0, JL_JAR_VOLUME, JL_SLIP_EXPECTED,
         0.5},
        {"#expect,0.5,80\nvolume_l,strength_pct\n20,80\n", 0, JL_JAR_VOLUME, JL_SLIP_EXPECTED, 0.5},
        {"#expect,0.5,80\nvolume_l,strength_pct\n0.5,80\n", 0, JL_JAR_VOLUME, -1, 0},
        {"#expect,0.5,80,81\n#expect,1,78,82\nvolume_l,strength_pct,head_c\n0.5,80,99\n", 0,
         JL_JAR_HEAD, JL_SLIP_EXPECTED, 81},
        {"#expect,0.5,80,81\n#expect,1,78,82\nvolume_l,strength_pct,head_c\n0.5,80,89\n", 0,
         JL_JAR_HEAD, -1, 0},
        /* the middle of the third jar lies in the third row */
        {"#expect,0.5,80,80\n#expect,1,78,80\n#expect,1.5,76,95\nvolume_l,strength_pct,head_c\n"
         "0.5,80,\n0.5,78,\n0.5,76,81\n",
         2, JL_JAR_HEAD, JL_SLIP_EXPECTED, 95},
        /* weighed behind one that was measured: 20 kg beside half a litre's weight */
        {"#empty_g,200\nvolume_l,weight_g,strength_pct\n0.5,,70\n,20000,70\n", 1, JL_JAR_WEIGHT,
         JL_SLIP_BEFORE, 630},
        /* 1.9 kg of spirit at 0.9 kg/L are more than the charge, and 1.3 kg are not */
        {"#charge_l,2\n#charge_strength_pct,30\n#empty_g,200\nweight_g,strength_pct\n2100,70\n", 0,
         JL_JAR_WEIGHT, JL_SLIP_CHARGE, 2000},
        {"#charge_l,2\n#charge_strength_pct,30\n#empty_g,200\nweight_g,strength_pct\n1500,70\n", 0,
         JL_JAR_WEIGHT, -1, 0},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_run *run = run_of(AT[i].text);
        jl_slip slip = {.by = JL_SLIP_USUAL};
        const jl_jar *jar = jl_run_jar(run, AT[i].jar);
        bool found =
            jl_run_slip(run, AT[i].jar == 0 ? NULL : jar - 1, jar, AT[i].figure, NULL, &slip);
        CHECK(found == (AT[i].by >= 0));
        if (found) CHECK((int)slip.by == AT[i].by);
        if (found && !isnan(AT[i].beside))
            CHECK_NEAR(slip.beside, AT[i].beside, 0.05 * AT[i].beside);
        jl_run_free(run);
    }
}

/* Before its volume is asked for, a jar lies where it begins. */
static void a_jar_without_its_volume_is_where_it_begins(void) {
    jl_run *run =
        run_of("#expect,0.5,80,81\n#expect,1,78,90\nvolume_l,strength_pct,head_c\n0.5,80,81\n");
    jl_jar jar = *jl_run_jar(run, 0);
    jl_slip slip;
    jar.volume_l = NAN;
    jar.head_c = 99;
    CHECK(jl_run_slip(run, NULL, &jar, JL_JAR_HEAD, NULL, &slip));
    CHECK(slip.by == JL_SLIP_EXPECTED && slip.beside == 81);
    jl_run_free(run);
}

/* And one that would be a slip itself, or that no mixture shows, is no guess. */
static void a_guess_fits_what_it_stands_among(void) {
    jl_run *run = run_of(READINGS ",500,97,10,,\n");
    CHECK(isnan(number_meant(run, JL_JAR_READING, 990))); /* 99 at 10 °C is no mixture */
    CHECK_NEAR(number_meant(run, JL_JAR_READING, 970), 97, 1e-9);
    jl_run_free(run);
    /* the expected run would go on above 100 % */
    run = run_of("#expect,0.5,60\n#expect,1,75\n" READINGS ",500,90,20,,\n");
    CHECK(isnan(number_meant(run, JL_JAR_READING, 9)));
    jl_run_free(run);
    run = run_of("volume_l,spout_proof,spout_temp_f\n0.5,140,70\n");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_HEAD).name, "°F");
    CU_ASSERT_STRING_EQUAL(jl_run_unit(run, JL_JAR_READING).name, "proof");
    jl_run_free(run);
    /* 300 would be near 500, and with it more than the charge */
    run = run_of("#charge_l,0.7\n#charge_strength_pct,30\n" READINGS ",500,74,20,,\n");
    CHECK(isnan(number_meant(run, JL_JAR_VOLUME, 3000)));
    jl_run_free(run);
}

static void a_pause_that_is_said_is_no_slip(void) {
    jl_slip slip;
    size_t count;
    jl_run *run = run_of(READINGS "2026-03-07T18:05:00Z,500,74.1,21,83,90.1\n"
                                  "#resumed,2026-03-09T18:00:00Z\n"
                                  "2026-03-09T18:05:00Z,500,73.5,21,83,90\n");
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(!jl_run_slip(run, &jars[0], &jars[1], JL_JAR_TIME, NULL, &slip));
    jl_run_free(run);
}

static void a_rate_needs_two_times(void) {
    jl_run *run = run_of(JARS "1,2026-03-07T18:05:00Z,0.5,70,,\n2,2026-03-07T18:17:30Z,0.25,69,,\n"
                              "3,2026-03-07T18:17:30Z,0.25,68,,\n4,,0.25,67,,\n");
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK_NEAR(jl_jar_minutes(&jars[0], &jars[1]), 12.5, 1e-12);
    CHECK_NEAR(jl_jar_rate_ml_min(&jars[0], &jars[1]), 20, 1e-12);
    CHECK(isnan(jl_jar_minutes(NULL, &jars[0])) && isnan(jl_jar_rate_ml_min(NULL, &jars[0])));
    CHECK(isnan(jl_jar_minutes(&jars[1], &jars[2])) && isnan(jl_jar_minutes(&jars[2], &jars[3])));
    CHECK(isnan(jl_jar_rate_ml_min(&jars[3], &jars[0])));
    jl_run_free(run);
}

/* The volumes of the jars so far, in mL; what is said of their size, and what the next is likely to
 * be. */
static void the_next_jar_is_as_large_as_those_that_are_no_foreshots(void) {
    static const struct {
        const char *facts, *jars;
        double bench_l, next_l;
    } RUNS[] = {
        {"", "", 0.3, NAN},
        {"", "50", NAN, 0.05},
        {"", "50,foreshots", NAN, NAN},
        {"", "50 250", NAN, 0.25},
        {"", "50 250 90", NAN, 0.25},
        {"", "50", 0.3, 0.3},
        {"", "50 240", 0.3, 0.3},
        {"", "50 275", 0.3, 0.275},
        {"", "50 50", 0.3, 0.3},
        {"", "50 240 90", 0.3, 0.3},
        {"", "50 200 195", 0.3, 0.195},
        {"", "50 100 95 105", 0.3, 0.105},
        {"#jar_l,0.5\n", "50", 0.3, 0.5},
        {"#jar_l,0.5\n", "50 250 250 245", 0.3, 0.245},
        {"#jar_l,0.5\n#expect,0.05,75,85\n#expect,0.25,74,85\n#expect,0.5,73,86\n", "50", 0.3,
         0.25},
    };
    for (size_t i = 0; i < sizeof RUNS / sizeof RUNS[0]; i++) {
        char text[600];
        int n = snprintf(text, sizeof text, "%svolume_ml,strength_pct,fraction\n", RUNS[i].facts);
        for (const char *at = RUNS[i].jars; *at != '\0'; at += strspn(at, " ")) {
            const char *word = at;
            at += strcspn(at, " ");
            size_t number = strspn(word, "0123456789");
            n += snprintf(text + n, sizeof text - (size_t)n, "%.*s,70%.*s%s\n", (int)number, word,
                          (int)(at - word - (ptrdiff_t)number), word + number,
                          word + number == at ? "," : "");
        }
        jl_run *run = run_of(text);
        size_t count;
        const jl_jar *jars = jl_run_jars(run, &count);
        double next_l =
            jl_run_next_volume_l(run, count == 0 ? NULL : &jars[count - 1], RUNS[i].bench_l);
        CHECK(isnan(RUNS[i].next_l) ? isnan(next_l) : fabs(next_l - RUNS[i].next_l) < 1e-12);
        if (!(isnan(next_l) && isnan(RUNS[i].next_l)) && !(fabs(next_l - RUNS[i].next_l) < 1e-12))
            printf("\n    run %zu: %g", i, next_l);
        jl_run_free(run);
    }
}

/* A tenth of the charge is how well the rest may be measured; strengths are compared in one scale. */
static void more_is_left_than_can_be(void) {
    static const char CHARGE[] = "#charge_l,24\n#charge_strength_pct,9\n"
                                 "volume_l,strength_pct\n4,50\n";
    static const struct {
        double volume_l;
        jl_quantity reading;
        bool slip;
        double most;
    } LEFT[] = {
        {22.3, {NAN, JL_UNIT_BASE}, false, 20},    {22.5, {NAN, JL_UNIT_BASE}, true, 20},
        {NAN, {9, JL_UNIT_PCT_VOL}, false, 9},     {NAN, {9.1, JL_UNIT_PCT_VOL}, true, 9},
        {NAN, {17.9, JL_UNIT_PROOF_US}, false, 9}, {NAN, {18.1, JL_UNIT_PROOF_US}, true, 9},
    };
    jl_run *run = run_of(CHARGE), *unknown = run_of("volume_l,strength_pct\n4,50\n");
    for (size_t i = 0; i < sizeof LEFT / sizeof LEFT[0]; i++) {
        const jl_left left = {.volume_l = LEFT[i].volume_l, .reading = LEFT[i].reading};
        double most = NAN;
        CHECK(jl_run_left_slip(run, &left, &most) == LEFT[i].slip);
        CHECK_NEAR(most, LEFT[i].most, 1e-9);
        CHECK(!jl_run_left_slip(unknown, &left, &most));
    }
    jl_run_free(run);
    jl_run_free(unknown);
}

CU_TestInfo run_tests[] = {
    {"more is left than can be", more_is_left_than_can_be},
    {"the next jar is as large as those that are no foreshots",
     the_next_jar_is_as_large_as_those_that_are_no_foreshots},
    {"jars are kept with what had run before", jars_are_kept_with_what_had_run_before},
    {"facts are the record's", facts_are_the_record_s},
    {"an expected run is linear within a jar", an_expected_run_is_linear_within_a_jar},
    {"what is still to come is what was expected beyond the jars",
     what_is_still_to_come_is_what_was_expected_beyond_the_jars},
    {"expected litres that fall are refused", expected_litres_that_fall_are_refused},
    {"a later charge begins the expected run anew", a_later_charge_begins_the_expected_run_anew},
    {"an expected row is read back", an_expected_row_is_read_back},
    {"faults are the log's", faults_are_the_log_s},
    {"the lock is given back", the_lock_is_given_back},
    {"a first jar lies beside what jars were to hold",
     a_first_jar_lies_beside_what_jars_were_to_hold},
    {"a slip is told in the log's own way", a_slip_is_told_in_the_log_s_own_way},
    {"a jar without its volume is where it begins", a_jar_without_its_volume_is_where_it_begins},
    {"a guess fits what it stands among", a_guess_fits_what_it_stands_among},
    {"the first jar begins as it was expected to", the_first_jar_begins_as_it_was_expected_to},
    {"a later jar begins on the line from the one before",
     a_later_jar_begins_on_the_line_from_the_one_before},
    {"a spout that shows no mixture is refused", a_spout_that_shows_no_mixture_is_refused},
    {"a pause lies between two moments", a_pause_lies_between_two_moments},
    {"the last row may hold an earlier jar", the_last_row_may_hold_an_earlier_jar},
    {"a charge was measured with something", a_charge_was_measured_with_something},
    {"a weighed jar of a known strength is its weight",
     a_weighed_jar_of_a_known_strength_is_its_weight},
    {"slips are what a run seldom does", slips_are_what_a_run_seldom_does},
    {"a run that goes its own way is said once", a_run_that_goes_its_own_way_is_said_once},
    {"what was meant fits the log", what_was_meant_fits_the_log},
    {"a log's units are its columns", a_log_s_units_are_its_columns},
    {"a boiler's step is one of five degrees", a_boiler_s_step_is_one_of_five_degrees},
    {"what is usual has its ends in it", what_is_usual_has_its_ends_in_it},
    {"a moment lies between its neighbours", a_moment_lies_between_its_neighbours},
    {"a jar recorded twice is seen", a_jar_recorded_twice_is_seen},
    {"slips have what they lie beside", slips_have_what_they_lie_beside},
    {"weights and spout have slips too", weights_and_spout_have_slips_too},
    {"a pause that is said is no slip", a_pause_that_is_said_is_no_slip},
    {"a rate needs two times", a_rate_needs_two_times},
    CU_TEST_INFO_NULL,
};
