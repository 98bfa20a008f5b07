/* Cuts tried on the jars of a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run_of.h"
#include "still/from_settings.h"
#include "suites.h"

enum { JARS = 8 };

static const char ROWS[] = "jar,volume_l,strength_pct,temp_c,head_c,fraction\n"
                           "1,0.05,80,20,78,foreshots\n2,0.1,79,20,79,heads\n"
                           "3,0.1,78,20,80,heads\n4,0.5,75,20,81,hearts\n5,0.5,70,20,83,hearts\n"
                           "6,0.5,62,20,86,hearts\n7,0.5,50,20,90,tails\n8,0.5,30,20,95,\n";

static jl_run *read_run(const char *facts) {
    char text[1000];
    snprintf(text, sizeof text, "%s%s", facts, ROWS);
    return run_of(text);
}

#define CHARGE "#charge_l,10\n#charge_strength_pct,30\n"

static void is_cut(const jl_run *run, const jl_cut_rules *rules, const char *wanted) {
    static const char LETTERS[] = "ufhHt"; /* by jl_fraction; H: hearts */
    jl_fraction fractions[JARS];
    char got[JARS + 1] = "";
    CHECK_OK(jl_run_suggest_cut(run, rules, fractions));
    for (int i = 0; i < JARS; i++) got[i] = LETTERS[fractions[i]];
    CU_ASSERT_STRING_EQUAL(got, wanted);
}

/* Foreshots 0.5 % of 10 l are 50 ml, heads 2 % are 200 ml, hearts end at 60 % vol. */
static void usual_rules_go_by_the_middle_of_a_jar(void) {
    jl_run *run = read_run(CHARGE);
    jl_cut_rules rules;
    CHECK_OK(jl_run_cut_rules(run, &rules));
    is_cut(run, &rules, "fhhHHHtt");
    rules.foreshots.at = 0.002; /* 20 ml: the first jar's middle lies behind them */
    is_cut(run, &rules, "hhhHHHtt");
    jl_run_free(run);
}

static void each_kind_of_rule_ends_a_fraction(void) {
    jl_run *run = read_run(CHARGE);
    jl_cut_rules rules = {.foreshots = {JL_CUT_NEVER, 0},
                          .heads = {JL_CUT_VOLUME_L, 0.3},
                          .hearts = {JL_CUT_HEAD_C, 84},
                          .tails = {JL_CUT_NEVER, 0}};
    is_cut(run, &rules, "hhhHHttt");
    rules.heads = (jl_cut){JL_CUT_ALCOHOL_SHARE, 0.05}; /* 150 ml of pure alcohol */
    rules.hearts = (jl_cut){JL_CUT_NEVER, 0};
    is_cut(run, &rules, "hhHHHHHH");
    rules.hearts = (jl_cut){JL_CUT_BOILER_C, 90}; /* the log has no boiler's temperature */
    is_cut(run, &rules, "hhHHHHHH");
    rules = (jl_cut_rules){.foreshots = {JL_CUT_NEVER, 0},
                           .heads = {JL_CUT_NEVER, 0},
                           .hearts = {JL_CUT_SPOUT_PCT, 55},
                           .tails = {JL_CUT_NEVER, 0}};
    is_cut(run, &rules, "HHHHHHtt"); /* the end of the hearts alone is enough */
    jl_run_free(run);
}

static void a_logs_own_rules_come_first(void) {
    jl_run *run = read_run(CHARGE "#hearts_until,72%\n");
    jl_cut_rules rules;
    CHECK_OK(jl_run_cut_rules(run, &rules));
    is_cut(run, &rules, "fhhHtttt");
    jl_run_free(run);
}

/* A rule by a temperature at which nothing boils has none. */
static void a_rule_has_the_strength_that_it_stops_at(void) {
    static const struct {
        jl_cut rule;
        jl_status status;
        double pct;
    } AT[] = {{{JL_CUT_SPOUT_PCT, 55}, JL_OK, 55},
              {{JL_CUT_BOILER_C, 101}, JL_NO_MIXTURE, 7},
              {{JL_CUT_HEAD_C, 101}, JL_NO_MIXTURE, 7},
              {{JL_CUT_BOILER_C, 121}, JL_RANGE, 7},
              {{JL_CUT_HEAD_C, -1}, JL_RANGE, 7},
              {{JL_CUT_VOLUME_L, 3}, JL_NO, 7},
              {{JL_CUT_NEVER, 0}, JL_NO, 7}};
    const jl_still still = JL_STILL;
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        double pct = 7;
        CHECK_STATUS(jl_spout_at_rule(&still, AT[i].rule, &pct), AT[i].status);
        CHECK_NEAR(pct, AT[i].pct, 0.01);
    }
}

static void without_a_charge_or_a_cut_nothing_is_suggested(void) {
    jl_run *run = read_run("");
    jl_cut_rules rules = jl_default_cuts(30);
    jl_fraction fractions[JARS] = {JL_TAILS};
    CHECK_STATUS(jl_run_cut_rules(run, &rules), JL_MISSING);
    CHECK_STATUS(jl_run_suggest_cut(run, &rules, fractions), JL_MISSING);
    jl_run_free(run);
    run = read_run("#charge_l,30\n#charge_strength_pct,8\n");
    CHECK_OK(jl_run_cut_rules(run, &rules));
    CHECK_STATUS(jl_run_suggest_cut(run, &rules, fractions), JL_NO);
    CHECK(fractions[0] == JL_TAILS);
    jl_run_free(run);
}

static void cuts_begin_at_20_pct(void) {
    static const jl_spirit NOTHING = {0};
    static const char *const STRIP[] = {"24L@0.5%", "24L@19.99%"};
    jl_spirit charge;
    for (int i = 0; i < 2; i++)
        CHECK(jl_spirit_read(STRIP[i], &JL_ALCOHOLOMETER, &charge, NULL) == JL_OK &&
              jl_makes_strip_run(charge));
    CHECK(jl_spirit_read("24L@20.01%", &JL_ALCOHOLOMETER, &charge, NULL) == JL_OK &&
          !jl_makes_strip_run(charge));
    CHECK(!jl_makes_strip_run(NOTHING));
    CHECK(jl_default_cuts(JL_CUTS_FROM_PCT).hearts.by == JL_CUT_SPOUT_PCT &&
          jl_default_cuts(19.99).hearts.by == JL_CUT_NEVER);
}

static void a_choice_is_tallied_as_if_the_log_had_it(void) {
    static const jl_fraction AS_LOGGED[JARS] = {JL_FORESHOTS, JL_HEADS,  JL_HEADS, JL_HEARTS,
                                                JL_HEARTS,    JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    jl_run *run = read_run(CHARGE);
    const jl_tally *logged = jl_run_tally(run);
    jl_fraction fractions[JARS];
    memcpy(fractions, AS_LOGGED, sizeof fractions);
    jl_tally tally = jl_run_tally_of(run, fractions);
    for (int f = 0; f < JL_FRACTIONS; f++) {
        CHECK(tally.of[f].jars == logged->of[f].jars);
        CHECK_NEAR(tally.of[f].spirit.ethanol_kg, logged->of[f].spirit.ethanol_kg, 0);
    }
    fractions[3] = JL_HEADS;
    tally = jl_run_tally_of(run, fractions);
    CHECK(tally.of[JL_HEADS].jars == 3 && tally.of[JL_HEARTS].jars == 2);
    jl_run_free(run);
}

CU_TestInfo cut_tests[] = {
    {"cuts begin at 20 % vol", cuts_begin_at_20_pct},
    {"a rule has the strength that it stops at", a_rule_has_the_strength_that_it_stops_at},
    {"usual rules go by the middle of a jar", usual_rules_go_by_the_middle_of_a_jar},
    {"each kind of rule ends a fraction", each_kind_of_rule_ends_a_fraction},
    {"a log's own rules come first", a_logs_own_rules_come_first},
    {"without a charge or a cut nothing is suggested",
     without_a_charge_or_a_cut_nothing_is_suggested},
    {"a choice is tallied as if the log had it", a_choice_is_tallied_as_if_the_log_had_it},
    CU_TEST_INFO_NULL,
};
