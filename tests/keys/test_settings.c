/* Settings out of defaults, files and options, by the one table of keys.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "keys/facts.h"
#include "keys/likely.h"
#include "still/from_settings.h"
#include "suites.h"
#include "uncertainty/readings.h"

#include <string.h>

static void begin(jl_settings *s) {
    jl_settings_begin(s);
}

static jl_status take(jl_settings *s, const char *text, unsigned where, jl_fault *fault) {
    int fd = given(text);
    jl_facts *facts;
    CHECK_OK(jl_facts_read(fd, &facts, NULL));
    close(fd);
    jl_status status = jl_settings_take(s, facts, where, JL_FROM_FILE, "file", fault);
    jl_facts_free(facts);
    return status;
}

static void defaults_are_those_of_the_library(void) {
    static jl_settings s;
    begin(&s);
    const jl_still still = jl_settings_to_still(&s), usual = JL_STILL;
    CHECK(still.stages == usual.stages && still.reflux_ratio == usual.reflux_ratio);
    CHECK(still.pressure_kpa == usual.pressure_kpa &&
          still.vapour_off_share == usual.vapour_off_share);
    CHECK(still.power_w == usual.power_w && still.efficiency_share == usual.efficiency_share);
    CHECK(still.loss_w == usual.loss_w && still.boiler_heat_j_k == usual.boiler_heat_j_k);
    CHECK(still.start_c == usual.start_c && still.spout_c == usual.spout_c);
    CHECK(still.coolant_rise_c == usual.coolant_rise_c);
    CHECK(still.min_liquid_l == usual.min_liquid_l && still.schedule_count == 0);
    const jl_plan plan = jl_settings_to_plan(&s, 30), usual_plan = JL_PLAN(30);
    CHECK(plan.cuts.foreshots.at == usual_plan.cuts.foreshots.at);
    CHECK(plan.cuts.heads.at == usual_plan.cuts.heads.at);
    CHECK(plan.cuts.hearts.by == usual_plan.cuts.hearts.by && plan.cuts.hearts.at == 60);
    CHECK(plan.cuts.tails.by == usual_plan.cuts.tails.by && plan.cuts.tails.at == 20);
    CHECK(plan.jar_l == usual_plan.jar_l && plan.measured_c == usual_plan.measured_c);
    const jl_alcoholometer a = jl_settings_to_alcoholometer(&s), glass = JL_ALCOHOLOMETER;
    CHECK(isnan(a.calibrated_c) && a.glass_per_c == glass.glass_per_c);
    CHECK(a.reading_correction_pct == 0 && a.thermometer_correction_c == 0);
}

static void every_default_can_be_read(void) {
    static jl_settings s;
    begin(&s);
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        CHECK(s.of[id].has == (jl_keys[id].usual != NULL));
        CHECK(!jl_is_stated(&s, id));
    }
}

/* A word of each option and a row of each file at a bound, in the unit that the key is written in. */
static void bounds_hold_in_files(void) {
    static jl_settings s;
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_key *key = &jl_keys[id];
        if (key->form != JL_AS_NUMBER && key->form != JL_AS_SHARE) continue;
        for (int end = 0; end < 2; end++)
            for (int beyond = 0; beyond < 2; beyond++) {
                double bound = end == 0 ? key->fact.least : key->fact.most;
                double step = (end == 0 ? -1e-6 : 1e-6) * beyond;
                double value =
                    jl_fact_value(key->name, &key->fact, bound + step * fmax(1, fabs(bound)));
                char row[128];
                snprintf(row, sizeof row, "%s,%.17g\n", key->name, value);
                begin(&s);
                jl_fault fault = {0};
                jl_status status = take(&s, row, key->where & 63u, &fault);
                if (status != (beyond ? JL_RANGE : JL_OK)) printf("\n    %s", row);
                CHECK_STATUS(status, beyond ? JL_RANGE : JL_OK);
                if (beyond) CU_ASSERT_STRING_EQUAL(fault.expected, key->fact.expected);
            }
    }
}

/* The pressure at 650 m in the standard atmosphere, ISO 2533: 101.325 kPa (1 - 0.0065 * 650 /
 * 288.15)^5.25588. */
static const double KPA_AT_650_M = 93.756;

static void sources_take_each_others_place(void) {
    static jl_settings s;
    jl_fault fault;
    begin(&s);
    CHECK_OK(take(&s, "reflux,2\nreflux_share_u,0.03\naltitude_m,650\nhearts_until,92C head\n",
                  JL_IN_STILL, NULL));
    CHECK(s.of[JL_KEY_REFLUX].origin == JL_FROM_FILE && s.of[JL_KEY_REFLUX].line == 1);
    CU_ASSERT_STRING_EQUAL(s.of[JL_KEY_REFLUX].source, "file");
    CHECK_NEAR(jl_settings_to_still(&s).pressure_kpa, KPA_AT_650_M, 0.001);
    CHECK(jl_settings_to_plan(&s, 30).cuts.hearts.by == JL_CUT_HEAD_C);
    CHECK_OK(jl_settings_option(&s, JL_KEY_REFLUX, "3", NULL));
    CHECK(isnan(jl_setting_value(&s, JL_KEY_REFLUX_SHARE_U)));
    CHECK_OK(jl_settings_option(&s, JL_KEY_PRESSURE, "985hPa", NULL));
    CHECK_NEAR(jl_settings_to_still(&s).pressure_kpa, 98.5, 1e-12);
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_ALTITUDE, "650m", &fault), JL_CONFLICT);
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_POWER, "0.5W", &fault), JL_RANGE);
    CU_ASSERT_STRING_EQUAL(fault.expected, "1 W to 1000 kW");
    CHECK_OK(jl_settings_option(&s, JL_KEY_READING_CORRECTION, "-1proof", NULL));
    CHECK(jl_setting_value(&s, JL_KEY_READING_CORRECTION) == -0.5);
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_READING_CORRECTION, "1%mas", &fault), JL_UNIT);
    CU_ASSERT_STRING_EQUAL(fault.expected, "% vol or proof, as 0.2%");
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_READING_CORRECTION, "-x%", &fault), JL_FORM);
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_JAR, "1,000ml", &fault), JL_AMBIGUOUS);
    CU_ASSERT_STRING_EQUAL(fault.expected,
                           "no comma before three digits: 1000 or 1.0 in its place");
    CHECK(jl_setting_value(&s, JL_KEY_READING_CORRECTION) == -0.5);
}

/* A boiler of another source has another mark; a mark lies within the boiler of its file. */
static void a_boiler_has_its_own_mark(void) {
    static const struct {
        const char *file, *boiler, *mark;
        double mark_l;
    } AT[] = {{"", NULL, NULL, NAN},
              {"boiler_l,30\n", NULL, NULL, 20},
              {"mark_l,25\n", NULL, NULL, 25},
              {"mark_l,25\nboiler_l,30\n", NULL, NULL, 25},
              {"boiler_l,25\nmark_l,25\n", NULL, NULL, 25},
              {"boiler_l,40\nmark_l,25\n", "30L", NULL, 20},
              {"boiler_l,40\nmark_l,25\n", NULL, "18L", 18},
              {"boiler_l,40\nmark_l,25\n", "30L", "18L", 18}};
    static jl_settings s;
    jl_fault fault = {0};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        begin(&s);
        CHECK_OK(take(&s, AT[i].file, JL_IN_STILL, NULL));
        if (AT[i].boiler != NULL)
            CHECK_OK(jl_settings_option(&s, JL_KEY_BOILER, AT[i].boiler, NULL));
        if (AT[i].mark != NULL) CHECK_OK(jl_settings_option(&s, JL_KEY_MARK, AT[i].mark, NULL));
        double mark_l = jl_settings_to_mark_l(&s);
        CHECK(isnan(AT[i].mark_l) ? isnan(mark_l) : fabs(mark_l - AT[i].mark_l) < 1e-12);
    }
    begin(&s);
    CHECK_STATUS(take(&s, "mark_l,25.01\npower_w,2000\nboiler_l,25\n", JL_IN_STILL, &fault),
                 JL_RANGE);
    CHECK(fault.line == 3);
    CU_ASSERT_STRING_EQUAL(fault.expected, "a mark within the boiler's volume");
}

/* A strength in proof has twice the range; a text is no setting. */
static void options_of_other_kinds(void) {
    static jl_settings s;
    begin(&s);
    CHECK_OK(jl_settings_option(&s, JL_KEY_LEFT_STRENGTH, "199proof", NULL));
    CHECK(s.of[JL_KEY_LEFT_STRENGTH].number.value == 199);
    CHECK(s.of[JL_KEY_LEFT_STRENGTH].number.unit == JL_UNIT_PROOF_US);
    CHECK_STATUS(jl_settings_option(&s, JL_KEY_CHARGE_STRENGTH_U, "101proof", NULL), JL_RANGE);
    CHECK_OK(jl_settings_option(&s, JL_KEY_TITLE, "Apples", NULL));
    CHECK(!s.of[JL_KEY_TITLE].has);
}

/* What goes with another key is out when another source states that; in one source both are meant. */
static void a_share_of_reflux_stays_beside_its_reflux(void) {
    static jl_settings s;
    begin(&s);
    CHECK_OK(take(&s, "reflux_share_u,0.03\nreflux,2\n", JL_IN_STILL, NULL));
    CHECK(jl_setting_value(&s, JL_KEY_REFLUX_SHARE_U) == 0.03);
    CHECK_OK(jl_settings_option(&s, JL_KEY_REFLUX, "2", NULL));
    CHECK(!jl_is_stated(&s, JL_KEY_REFLUX_SHARE_U));
}

static void settings_are_the_same_when_all_of_them_is(void) {
    static const struct {
        const char *a, *b;
        jl_key_id id;
        bool same;
    } AT[] = {
        {"", "", JL_KEY_HEADS, true},
        {"heads,2% of charge\n", "", JL_KEY_HEADS, false},
        {"heads,2% of charge\n", "heads,2% of charge\n", JL_KEY_HEADS, true},
        {"heads,2% of charge\n", "heads,3% of charge\n", JL_KEY_HEADS, false},
        {"heads,2% of charge\n", "heads,2% of alcohol\n", JL_KEY_HEADS, false},
        {"power_w,2000\n", "power_kw,2\n", JL_KEY_POWER, true},
        {"power_w,2000\n", "power_w,2001\n", JL_KEY_POWER, false},
    };
    static jl_settings a, b;
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        begin(&a);
        begin(&b);
        CHECK_OK(take(&a, AT[i].a, JL_IN_STILL, NULL));
        CHECK_OK(take(&b, AT[i].b, JL_IN_STILL, NULL));
        CHECK(jl_same_setting(&a, &b, AT[i].id) == AT[i].same);
        CHECK(jl_same_setting(&b, &a, AT[i].id) == AT[i].same);
    }
}

static void what_is_stated_goes_over_what_was(void) {
    static jl_settings s, over;
    begin(&s);
    begin(&over);
    CHECK_OK(take(&s, "stages,2\nreflux,1\npower_w,1500\n", JL_IN_STILL, NULL));
    CHECK_OK(take(&over, "power_w,1800\nreflux_schedule,\"3@60min,5@2l\"\n", JL_IN_STILL, NULL));
    jl_settings_over(&s, &over, JL_IN_STILL);
    CHECK(jl_setting_value(&s, JL_KEY_POWER) == 1800 && jl_setting_value(&s, JL_KEY_STAGES) == 2);
    const jl_still still = jl_settings_to_still(&s);
    CU_ASSERT_FATAL(still.schedule_count == 2);
    CHECK(still.schedule[1].reflux_ratio == 5 && still.schedule[1].when == JL_WHEN_VOLUME_L);
    begin(&s);
    jl_settings_over(&s, &over, JL_IN_INSTRUMENTS);
    CHECK(!jl_is_stated(&s, JL_KEY_POWER));
}

static void a_file_s_stills_are_read_by_name(void) {
    jl_settings *s = NULL;
    jl_fault fault = {0};
    int fd = given("still,Pot\nstages,1\nstill,Column\nstages,3\n");
    CHECK_STATUS(jl_settings_read_still(fd, NULL, &s, &fault), JL_MISSING);
    CHECK(fault.status == JL_MISSING && strcmp(fault.cell, "still") == 0);
    lseek(fd, 0, SEEK_SET);
    CHECK_STATUS(jl_settings_read_still(fd, "Retort", &s, &fault), JL_NO);
    CHECK(s == NULL && fault.expected != NULL);
    lseek(fd, 0, SEEK_SET);
    CHECK_OK(jl_settings_read_still(fd, "column", &s, &fault));
    CHECK(s != NULL && jl_setting_value(s, JL_KEY_STAGES) == 3);
    jl_settings_free(s);
    close(fd);
}

/* What stands in a still's section goes over what stands before all of them. */
static void a_section_goes_over_what_stands_before(void) {
    jl_settings *s = NULL;
    int fd = given("pressure_kpa,98\npower_w,1500\nstill,Pot\naltitude_m,650\npower_w,1800\n");
    CHECK_OK(jl_settings_read_still(fd, "pot", &s, NULL));
    close(fd);
    CHECK(jl_setting_value(s, JL_KEY_POWER) == 1800 && !jl_is_stated(s, JL_KEY_PRESSURE));
    CHECK_NEAR(jl_settings_to_still(s).pressure_kpa, KPA_AT_650_M, 0.001);
    jl_settings_free(s);
}

/* A charge in proof stays in proof, so that the row reads back alike. */
static void a_strength_in_proof_is_written_in_proof(void) {
    static jl_settings s;
    static jl_setting_rows rows;
    bool found = false;
    begin(&s);
    CHECK_OK(take(&s, "charge_strength_proof,60\n", JL_IN_RUN, NULL));
    jl_settings_rows(&s, JL_IN_RUN, &rows);
    for (size_t i = 0; i < rows.count; i++)
        if (strcmp(rows.rows[i].key, "charge_strength_proof") == 0) {
            found = true;
            CHECK_NEAR(rows.rows[i].values[0], 60, 1e-12);
        }
    CHECK(found);
}

static void files_of_settings_are_strict_and_logs_are_not(void) {
    static jl_settings s;
    jl_fault fault;
    begin(&s);
    CHECK_STATUS(take(&s, "stages,2\ncolour,3\n", JL_IN_STILL, &fault), JL_FORM);
    CHECK(fault.line == 2 && fault.column == 1 && fault.expected == NULL);
    CHECK_STATUS(take(&s, "jar_ml,500\njar_l,1\n", JL_IN_STILL, &fault), JL_CONFLICT);
    CHECK_STATUS(take(&s, "stages,2\nkind,run\n", JL_IN_SETTINGS, &fault), JL_CONFLICT);
    CHECK(fault.line == 2 && strcmp(fault.cell, "run") == 0);
    CHECK_OK(take(&s, "kind,Settings\n", JL_IN_SETTINGS, NULL));
    CHECK_STATUS(take(&s, "pressure_kpa,98\naltitude_m,650\n", JL_IN_STILL, &fault), JL_CONFLICT);
    CHECK(fault.line == 2 && fault.column == 2);
    CHECK_STATUS(take(&s, "stop_at,sunset\n", JL_IN_STILL, &fault), JL_FORM);
    CHECK(fault.line == 1 && strstr(fault.expected, "92C head") != NULL);
    CHECK_STATUS(take(&s, "power_w,1800\nstop_at,\n", JL_IN_STILL, &fault), JL_MISSING);
    CHECK(fault.line == 2 && fault.column == 2 && fault.cell[0] == '\0');
    CU_ASSERT_STRING_EQUAL(fault.expected, jl_keys[JL_KEY_STOP_AT].fact.expected);
    CHECK_OK(take(&s, "colour,3\njar_ml,500\njar_l,1\nheads,\n", JL_IN_RUN, NULL));
    CHECK(jl_setting_value(&s, JL_KEY_JAR) == 1 && !jl_is_stated(&s, JL_KEY_HEADS));
}

static void rows_read_back_alike(void) {
    static const char FILE_TEXT[] = "stages,3.5\npower_w,1800\nboiler_heat_kj_c,9\njar_ml,"
                                    "300\nreflux_schedule,\"3@60min,5@2l\"\n"
                                    "foreshots,none\nstop_at,98C boiler\n";
    static jl_settings s;
    static jl_setting_rows rows;
    begin(&s);
    CHECK_OK(take(&s, FILE_TEXT, JL_IN_STILL, NULL));
    jl_settings_rows(&s, JL_IN_RUN, &rows);
    CU_ASSERT_EQUAL_FATAL(rows.count, 7);
    CU_ASSERT_STRING_EQUAL(rows.rows[2].key, "boiler_heat_kj_c");
    CHECK(rows.rows[2].values[0] == 9 && rows.rows[2].count == 1);
    CU_ASSERT_STRING_EQUAL(rows.rows[3].key, "jar_l");
    CHECK(rows.rows[3].values[0] == 0.3);
    CU_ASSERT_STRING_EQUAL(rows.rows[4].text, "3@60min,5@2L");
    CU_ASSERT_STRING_EQUAL(rows.rows[5].text, "none");
    CU_ASSERT_STRING_EQUAL(rows.rows[6].text, "98C boiler");
    jl_settings_rows(&s, JL_IN_CHARGE, &rows);
    CHECK(rows.count == 0);
}

static void cuts_are_read_and_written(void) {
    static const char *const TEXTS[] = {"none", "3L",         "30% of charge", "80% of alcohol",
                                        "60%",  "96C boiler", "92.5C head"};
    jl_cut cut;
    jl_fault fault;
    char text[JL_CUT_BYTES];
    for (size_t i = 0; i < sizeof TEXTS / sizeof TEXTS[0]; i++) {
        CHECK_OK(jl_cut_read(TEXTS[i], false, &cut, NULL));
        jl_cut_write(&cut, text);
        CU_ASSERT_STRING_EQUAL(text, TEXTS[i]);
        CHECK_STATUS(jl_cut_read(TEXTS[i], true, &cut, &fault), i < 4    ? JL_OK
                                                                : i == 4 ? JL_AMBIGUOUS
                                                                         : JL_UNIT);
    }
    static const struct {
        const char *text, *alike;
    } ALIKE[] = {{"92C head  ", "92C head"},
                 {"2%charge", "2% of charge"},
                 {"2% OF Charge", "2% of charge"},
                 {"2 % of charge", "2% of charge"},
                 {"500mL", "0.5L"},
                 {"NONE", "none"},
                 {"200F boiler", "93.3333C boiler"}};
    for (size_t i = 0; i < sizeof ALIKE / sizeof ALIKE[0]; i++) {
        CHECK_OK(jl_cut_read(ALIKE[i].text, false, &cut, NULL));
        jl_cut_write(&cut, text);
        CU_ASSERT_STRING_EQUAL(text, ALIKE[i].alike);
    }
    static const struct {
        const char *text;
        jl_status status;
    } REFUSED[] = {
        {"121C head", JL_RANGE},
        {"-5C head", JL_RANGE},
        {"121C boiler", JL_RANGE},
        {"101% of charge", JL_RANGE},
        {"2000000L", JL_RANGE},
        {"101%", JL_RANGE},
        {"x%", JL_FORM},
        {"sunset", JL_FORM},
        {"", JL_FORM},
        {"   ", JL_FORM},
        {"head", JL_FORM},
        {" head", JL_FORM},
        {"of charge", JL_FORM},
        {"1.000000000000000000000000000000000000000000000000000000000000000C head", JL_UNIT},
    };
    for (size_t i = 0; i < sizeof REFUSED / sizeof REFUSED[0]; i++) {
        CHECK_STATUS(jl_cut_read(REFUSED[i].text, false, &cut, &fault), REFUSED[i].status);
        CHECK(strstr(fault.expected, "80% of alcohol") != NULL);
    }
    CHECK_STATUS(jl_cut_read("x%", true, &cut, &fault), JL_AMBIGUOUS);
    /* 50 % vol at 60 °F; by 20 °C ethanol has grown by 0.48 %, the mixture by 0.36 %. */
    CHECK_OK(jl_cut_read("100Proof", false, &cut, NULL));
    CHECK(cut.by == JL_CUT_SPOUT_PCT);
    CHECK_NEAR(cut.at, 50.06, 0.005);
    CHECK(strstr(fault.expected, "92C head") == NULL);
}

static void schedules_are_read_and_written(void) {
    static const struct {
        const char *text;
        jl_status status;
    } REFUSED[] = {
        {"", JL_FORM},       {",;", JL_FORM},       {"3", JL_FORM},      {"x@1h", JL_FORM},
        {"-1@1h", JL_RANGE}, {"1001@1h", JL_RANGE}, {"3@-5C", JL_RANGE}, {"3@noon", JL_UNIT},
        {"3@1h,5", JL_FORM}, {"3@", JL_UNIT},       {"3@60%", JL_UNIT},
    };
    char text[JL_SCHEDULE_BYTES + 1];
    jl_reflux_step steps[JL_STEPS_MOST];
    size_t count = 7;
    jl_fault fault;
    for (size_t i = 0; i < sizeof REFUSED / sizeof REFUSED[0]; i++) {
        CHECK_STATUS(jl_schedule_read(REFUSED[i].text, steps, &count, &fault), REFUSED[i].status);
        CHECK(count == 7 && strstr(fault.expected, "3@1h,5@2L,1@82C") != NULL);
    }
    memset(text, ',', JL_SCHEDULE_BYTES);
    text[JL_SCHEDULE_BYTES] = '\0';
    CHECK_STATUS(jl_schedule_read(text, steps, &count, &fault), JL_TOO_LONG);
    CHECK_STATUS(jl_schedule_read("1@1000000001s", steps, &count, NULL), JL_UNIT);
    CHECK_OK(jl_schedule_read("1@1e9L", steps, &count, NULL));
    CHECK(count == 1 && steps[0].at == 1e9);
    CHECK_OK(jl_schedule_read("0@0L;1000@82C;3@1h", steps, &count, NULL));
    CHECK(count == 3 && steps[0].when == JL_WHEN_VOLUME_L && steps[2].at == 3600);
    jl_schedule_write(steps, count, text);
    CU_ASSERT_STRING_EQUAL(text, "0@0L,1000@82C,3@60min");
}

/* As many steps as there may be, each as long as a step can be, have room. */
static void the_longest_schedule_is_written(void) {
    char text[JL_SCHEDULE_BYTES];
    jl_reflux_step steps[JL_STEPS_MOST + 1];
    size_t count;
    jl_fault fault;
    for (size_t i = 0; i <= JL_STEPS_MOST; i++)
        steps[i] = (jl_reflux_step){JL_WHEN_TIME_S, 1e9 / 3, 1.234567e-5};
    jl_schedule_write(steps, JL_STEPS_MOST, text);
    CHECK(strncmp(text, "1.23457e-05@5.55556e+06min,", 27) == 0);
    CHECK(strlen(text) == JL_STEPS_MOST * 27 - 1);
    CHECK_OK(jl_schedule_read(text, steps, &count, NULL));
    CHECK(count == JL_STEPS_MOST);
    strcat(text, ",1@1L");
    CHECK_STATUS(jl_schedule_read(text, steps, &count, &fault), JL_RANGE);
    CU_ASSERT_STRING_EQUAL(fault.expected, "16 steps or fewer");
}

static void widths_stand_by_their_instrument(void) {
    static jl_settings s;
    begin(&s);
    CHECK_OK(take(&s, "alcoholometer_certificate_proof,0.2\njug_division_ml,5\ncalibrated_f,60\n",
                  JL_IN_INSTRUMENTS, NULL));
    const jl_instruments in = jl_settings_to_instruments(&s);
    CHECK_NEAR(in.width[JL_BY_ALCOHOLOMETER][JL_CERTIFICATE], 0.1, 1e-15);
    CHECK(in.width[JL_BY_ALCOHOLOMETER][JL_LIMIT] == 0);
    CHECK(in.stated[JL_BY_JUG][JL_DIVISION] && !in.stated[JL_BY_JUG][JL_LIMIT]);
    CHECK_NEAR(in.width[JL_BY_JUG][JL_DIVISION], 0.005, 1e-15);
    CHECK_NEAR(in.width[JL_BY_JUG][JL_LIMIT], 0.01, 1e-15);
    CHECK(jl_settings_to_alcoholometer(&s).calibrated_c == JL_PROOF_C);
    CHECK_NEAR(jl_instrument_variance(&in, JL_BY_ALCOHOLOMETER, true), 0.0025, 1e-15);
    CHECK_NEAR(jl_instrument_variance(&in, JL_BY_ALCOHOLOMETER, false), 0.25 / 3, 1e-15);
}

/* ---- what every program may call ---- */

static jl_status read_settings(const char *text, jl_settings **settings, jl_fault *fault) {
    int fd = given(text);
    jl_status status = jl_settings_read(fd, settings, fault);
    close(fd);
    return status;
}

static void a_program_reads_a_still_and_its_cuts(void) {
    jl_settings *s = NULL;
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    CHECK_OK(
        read_settings("stages,3\nreflux,2\nreflux_schedule,5@1h\nhearts_until,65%\njar_ml,250\n"
                      "calibrated_c,15\n",
                      &s, NULL));
    CHECK_OK(jl_settings_still(s, &still));
    CHECK(still.size == sizeof still && still.stages == 3 && still.reflux_ratio == 2);
    CHECK(still.schedule_count == 1 && still.schedule[0].reflux_ratio == 5);
    CHECK_OK(jl_settings_plan(s, 30, &plan));
    CHECK(plan.jar_l == 0.25 && plan.cuts.hearts.by == JL_CUT_SPOUT_PCT);
    CHECK_NEAR(plan.cuts.hearts.at, 65, 1e-9);
    CHECK(jl_settings_to_alcoholometer(s).calibrated_c == 15);
    still.size = plan.size = 0;
    CHECK_STATUS(jl_settings_still(s, &still), JL_RANGE);
    CHECK_STATUS(jl_settings_plan(s, 30, &plan), JL_RANGE);
    jl_settings_free(s);
    jl_settings_free(NULL);
}

static void settings_that_cannot_be_are_refused(void) {
    jl_settings *s = NULL;
    jl_fault fault = {0};
    CHECK_STATUS(read_settings("stages,3\nstages,4\n", &s, &fault), JL_CONFLICT);
    CHECK(fault.line == 1);
    CHECK_STATUS(read_settings("stages,300\n", &s, &fault), JL_RANGE);
    CHECK_STATUS(read_settings("sstages,3\n", &s, &fault), JL_FORM);
    CHECK_STATUS(read_settings("stages,3\nstill,\nstages,2\n", &s, &fault), JL_MISSING);
    CHECK(fault.line == 2 && fault.column == 2);
    CHECK_STATUS(read_settings("still,Pot\nstages,2\nstill,pot\nstages,3\n", &s, &fault),
                 JL_MISSING);
    CHECK_STATUS(jl_settings_read(-1, &s, NULL), JL_INPUT);
    CHECK(s == NULL);
}

static void of_most_keys_any_figure_is_likely(void) {
    CHECK(jl_key_is_likely(JL_KEY_STAGES, 1e9));
    CU_ASSERT_STRING_EQUAL(jl_key_likely_range(JL_KEY_STAGES), "");
}

CU_TestInfo settings_tests[] = {
    {"a boiler has its own mark", a_boiler_has_its_own_mark},
    {"defaults are those of the library", defaults_are_those_of_the_library},
    {"every default can be read", every_default_can_be_read},
    {"bounds hold in files", bounds_hold_in_files},
    {"sources take each other's place", sources_take_each_others_place},
    {"files of settings are strict, logs are not", files_of_settings_are_strict_and_logs_are_not},
    {"what is stated goes over what was", what_is_stated_goes_over_what_was},
    {"a file's stills are read by name", a_file_s_stills_are_read_by_name},
    {"a section goes over what stands before", a_section_goes_over_what_stands_before},
    {"a strength in proof is written in proof", a_strength_in_proof_is_written_in_proof},
    {"rows read back alike", rows_read_back_alike},
    {"cuts are read and written", cuts_are_read_and_written},
    {"schedules are read and written", schedules_are_read_and_written},
    {"the longest schedule is written", the_longest_schedule_is_written},
    {"options of other kinds", options_of_other_kinds},
    {"a share of reflux stays beside its reflux", a_share_of_reflux_stays_beside_its_reflux},
    {"settings are the same when all of them is", settings_are_the_same_when_all_of_them_is},
    {"widths stand by their instrument", widths_stand_by_their_instrument},
    {"a program reads a still and its cuts", a_program_reads_a_still_and_its_cuts},
    {"of most keys any figure is likely", of_most_keys_any_figure_is_likely},
    {"settings that cannot be are refused", settings_that_cannot_be_are_refused},
    CU_TEST_INFO_NULL,
};
