/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jars.h"
#include "run/run.h"
#include "run/run_of.h"
#include "suites.h"

#include <fcntl.h>
#include <stdlib.h>

#define HEADER "jar,time,volume_ml,reading_pct,temp_c,head_c,boiler_c,fraction,note\n"

/* The only jar of a log. */
static jl_jar one_jar(const char *text) {
    jl_run *run = run_of(text);
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    CU_ASSERT_EQUAL_FATAL(count, 1);
    CHECK_OK(jl_run_some(run, NULL));
    jl_jar jar = jars[0];
    jar.note = NULL;
    jl_run_free(run);
    return jar;
}

/* The numbers of the jars that count, as "1 2 4", or "!STATUS:LINE:CELL'S NUMBER:CELL" if the log
 * cannot be read. */
static const char *numbers_in(const char *text, size_t size, size_t *torn_line) {
    static char out[400];
    size_t used = 0, count;
    jl_run *run;
    jl_fault fault = {.expected = ""};
    int fd = given_bytes(text, size);
    out[0] = '\0';
    jl_status status = jl_run_read(fd, &run, &fault);
    close(fd);
    if (status != JL_OK) {
        CHECK(fault.status == status && fault.expected != NULL);
        sprintf(out, "!%s:%zu:%zu:%s", status_name(status), fault.line, fault.column, fault.cell);
        return out;
    }
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        used += (size_t)sprintf(out + used, "%s%s", used > 0 ? " " : "", jars[i].name);
    *torn_line = jl_run_torn_line(run);
    jl_run_free(run);
    return out;
}

static void check_numbers(const char *text, size_t size, const char *want, size_t torn,
                          unsigned line) {
    size_t torn_line = 0;
    const char *got = numbers_in(text, size, &torn_line);
    bool good = strcmp(got, want) == 0 && torn_line == torn;
    if (!good) printf("\n    want %s, got %s, torn line %zu", want, got, torn_line);
    CU_assertImplementation(good, line, want, __FILE__, "", CU_FALSE);
}

#define CHECK_JARS(text, want)      check_numbers(text, sizeof(text) - 1, want, 0, __LINE__)
#define CHECK_TORN(text, want, row) check_numbers(text, sizeof(text) - 1, want, row, __LINE__)

/* ---- what is read ---- */

static void a_jar_is_read_whole(void) {
    jl_run *run = run_of("#jarline,1\n#title,Apples\n" HEADER
                         "7,2026-03-07T18:05:00+01:00,512.5,72.4,24.5,79.1,88,Hearts,"
                         "\"apples, \"\"round\"\"\"\n");
    size_t count;
    const jl_jar jar = jl_run_jars(run, &count)[0];
    CU_ASSERT_STRING_EQUAL(jl_run_title(run), "Apples");
    CHECK(jar.number == 7 && jar.line == 4 && jar.fraction == JL_HEARTS);
    CHECK(jar.has_time && jar.time.unix_s == 1772903100 && jar.time.offset_s == 3600);
    CHECK_NEAR(jar.volume_l, 0.5125, 1e-15);
    CHECK(jar.has_reading && !jar.has_strength && !jar.at_20c);
    CHECK(jar.reading.value == 72.4 && jar.reading.unit == JL_UNIT_PCT_VOL);
    CHECK(jar.temp_c == 24.5 && jar.liquid_c == 24.5 && jar.head_c == 79.1 && jar.boiler_c == 88);
    CU_ASSERT_STRING_EQUAL(jar.note, "apples, \"round\"");
    CHECK(jar.note_length == 15);
    jl_run_free(run);
}

/* The one blank that keeps a spreadsheet from computing it is no part of a note; those typed are. */
static void a_note_ends_where_its_cell_does(void) {
    static const struct {
        const char *cell, *note;
    } notes[] = {{"\" =1+1\"", "=1+1"},
                 {"\"  =1+1\"", " =1+1"},
                 {"\" plums\"", " plums"},
                 {" plums", "plums"}};
    for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
        char text[200];
        size_t count;
        snprintf(text, sizeof text, HEADER "1,,500,70,20,,,,%s\n2,,500,69,20,,,,after\n",
                 notes[i].cell);
        jl_run *run = run_of(text);
        const jl_jar *jars = jl_run_jars(run, &count);
        CHECK(count == 2 && jars[0].note_length == strlen(notes[i].note));
        CHECK(memcmp(jars[0].note, notes[i].note, jars[0].note_length) == 0);
        jl_run_free(run);
    }
}

/* The model is the one that jl_reading_to_mass_fraction and its friends have. */
static void a_jar_is_computed_as_a_single_reading_is(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    instrument.calibrated_c = 15;
    instrument.reading_correction_pct = -0.3;
    instrument.thermometer_correction_c = 0.4;
    double p = NAN;
    jl_spirit spirit = {NAN, NAN};
    CHECK_OK(
        jl_reading_to_mass_fraction(&instrument, (jl_quantity){72.4, JL_UNIT_PCT_VOL}, 24.5, &p));
    CHECK_OK(jl_spirit_from_volume(0.5, p, 24.9, &spirit));
    jl_jar jar = one_jar("#jarline,1\n#calibrated_c,15\n#reading_correction_pct,-0.3\n"
                         "#thermometer_correction_c,0.4\nvolume_l,reading_pct,temp_c\n"
                         "0.5,72.4,24.5\n");
    CHECK_NEAR(jar.mass_fraction, p, 1e-15);
    CHECK_NEAR(jar.liquid_c, 24.9, 1e-12);
    CHECK_NEAR(jar.spirit.ethanol_kg, spirit.ethanol_kg, 1e-12);
    CHECK_NEAR(jar.spirit.water_kg, spirit.water_kg, 1e-12);
    CHECK_NEAR(jar.volume_20c_l, jl_volume_l(spirit, 20), 1e-12);
}

/* 27 CFR 30.61, table 1, example: 193 proof at 75 °F is 189.5 proof. */
static void proof_and_fahrenheit(void) {
    jl_jar jar = one_jar("Volume_L,READING_PROOF, temp_f ,head_f,boiler_f\n1,193,75,180,200\n");
    CHECK_NEAR(jl_proof_us(jar.spirit), 189.5, 0.05);
    CHECK_NEAR(jar.temp_c, 23.888889, 1e-6);
    CHECK_NEAR(jar.head_c, 82.222222, 1e-6);
    CHECK_NEAR(jar.boiler_c, 93.333333, 1e-6);
    static const char *const same[] = {"#calibrated_c,15.56\n", "#calibrated_c,15.6\n",
                                       "#calibrated_f,60\n"};
    for (size_t i = 0; i < 3; i++) {
        char text[100];
        snprintf(text, sizeof text, "%svolume_l,reading_proof,temp_f\n1,193,75\n", same[i]);
        CHECK_NEAR(one_jar(text).mass_fraction, jar.mass_fraction, 1e-15);
    }
    jar = one_jar("volume_l,strength_proof\n1,100\n");
    CHECK_NEAR(jl_proof_us(jar.spirit), 100, 1e-9);
}

static void a_strength_without_a_temperature_has_its_volume_at_20_c(void) {
    jl_jar jar = one_jar("volume_l,strength_pct\n2,40\n");
    CHECK(jar.at_20c && isnan(jar.temp_c) && jar.liquid_c == 20 && !jar.has_reading);
    CHECK_NEAR(jl_pure_alcohol_l(jar.spirit), 0.8, 1e-9);
    CHECK_NEAR(jar.volume_20c_l, 2, 1e-12);
    jar = one_jar("volume_l,strength_pct,temp_c\n2,40,30\n");
    CHECK(!jar.at_20c && jar.liquid_c == 30);
    CHECK(jar.volume_20c_l < 1.99);
    CHECK_NEAR(jl_spirit_strength_pct(jar.spirit), 40, 1e-9);
    jar = one_jar("#thermometer_correction_c,10\nvolume_l,strength_pct\n2,40\n");
    CHECK(jar.liquid_c == 20);
}

static void a_reading_goes_before_a_strength_that_agrees(void) {
    jl_jar jar = one_jar("volume_l,reading_pct,temp_c,strength_pct\n1,40,20,40.199\n");
    CHECK_NEAR(jl_spirit_strength_pct(jar.spirit), 40, 1e-9);
    CHECK_JARS("volume_l,reading_pct,temp_c,strength_pct\n1,40,20,40.201\n",
               "!CONFLICT:2:4:40.201");
    /* 80 proof is 40 % vol at 60 °F and 40.07 at 20 °C. */
    CHECK_JARS("volume_l,reading_pct,temp_c,strength_proof\n1,40,20,80\n1,40,20,79.4\n",
               "!CONFLICT:3:4:79.4");
}

static void a_reading_of_the_spout_is_one_that_can_be(void) {
    CHECK_JARS("volume_l,spout_pct,spout_temp_c\n1,70,20\n1,69,20\n", "1 2");
    CHECK_JARS("volume_l,spout_pct,spout_temp_c\n1,70,\n", "!MISSING:2:3:");
    CHECK_JARS("volume_l,spout_pct,spout_temp_c\n1,70,20\n1,0.2,39\n", "!NO_MIXTURE:3:2:0.2");
    CHECK_JARS("#spout_volume_ml,900\nvolume_l,spout_pct,spout_temp_c\n0.5,70,20\n0.5,69,20\n",
               "!RANGE:3:0:");
}

static void every_jar_may_have_a_reading_or_a_strength(void) {
    CHECK_JARS("volume_l,reading_pct,temp_c,strength_pct\n1,40,20,\n1,,,40\n1,,25,40\n", "1 2 3");
    CHECK_JARS("volume_l,reading_pct,strength_pct\n1,,40\n1,40,40\n", "!MISSING:3:0:");
}

static void spreadsheets_save_logs_in_their_own_way(void) {
    CHECK_JARS("\xef\xbb\xbf#jarline;1;;;;\r\n#charge_l;24,5;;;;\r\njar;volume_ml;reading_pct;"
               "temp_c;;\r\n1;512,5;72,25;21,500;;\r\n;;;;;\r\n2;500;70;21;;\r\n;;;;;\r\n",
               "1 2");
    jl_jar jar = one_jar("jar;volume_ml;reading_pct;temp_c\n1;512,125;72,5;21\n");
    CHECK_NEAR(jar.volume_l, 0.512125, 1e-15);
    jar = one_jar("jar\tvolume_ml\treading_pct\ttemp_c\n1\t512,5\t72,5\t21\n");
    CHECK_NEAR(jar.volume_l, 0.5125, 1e-15);
    jar = one_jar("jar,volume_ml,reading_pct,temp_c\n1,\"512,5\",\"72,5\",21\n");
    CHECK_NEAR(jar.volume_l, 0.5125, 1e-15);
    CHECK_JARS("jar,volume_ml,reading_pct,temp_c\n1,\"1,000\",72,21\n", "!AMBIGUOUS:2:2:1,000");
    CHECK_JARS("jar,volume_ml,reading_pct,temp_c\n1,512,5,72,5,21\n", "!FORM:2:5:5");
}

static void columns_come_in_any_order_and_unknown_ones_are_passed_over(void) {
    jl_jar jar = one_jar("weather,TEMP_C,,Reading_Pct,volume_l,weather\nrain,20,x,40,2,sun\n");
    CHECK_NEAR(jl_pure_alcohol_l(jar.spirit), 0.8, 1e-9);
    CHECK(jar.number == 1 && !jar.has_time && isnan(jar.head_c) && isnan(jar.boiler_c));
}

static void fractions_are_read_in_any_letter_case(void) {
    static const struct {
        const char *text;
        jl_fraction fraction;
    } at[] = {{"", JL_UNDECIDED},          {"foreshots", JL_FORESHOTS}, {"Heads", JL_HEADS},
              {" HEARTS ", JL_HEARTS},     {"tails\t", JL_TAILS},       {" ", JL_UNDECIDED},
              {"undecided", JL_UNDECIDED}, {" Undecided", JL_UNDECIDED}};
    jl_fraction fraction;
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        CHECK_OK(jl_fraction_read(at[i].text, strlen(at[i].text), &fraction));
        CHECK(fraction == at[i].fraction);
    }
    static const char *const wrong[] = {"heart", "heartss", "h", "undecide", "head s"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        CHECK_STATUS(jl_fraction_read(wrong[i], strlen(wrong[i]), &fraction), JL_FORM);
    for (int f = JL_FORESHOTS; f < JL_FRACTIONS; f++) {
        const char *name = jl_fraction_name((jl_fraction)f);
        CHECK_OK(jl_fraction_read(name, strlen(name), &fraction));
        CHECK((int)fraction == f);
    }
}

/* ---- numbers of jars ---- */

#define PLAIN "jar,volume_l,strength_pct\n"

static void a_jar_without_a_number_gets_one(void) {
    CHECK_JARS("#title,a,b,c,d\nvolume_l,strength_pct\n1,40\n1,40\n", "1 2");
    CHECK_JARS("jar,volume_l,strength_pct\n,1,40\n5,1,40\n,1,40\n2,1,40\n,1,40\n", "1 2 5 6 7");
    CHECK_JARS("jar,volume_l,strength_pct\n999999999,1,40\n,1,40\n", "!RANGE:3:1:");
}

static void a_number_stands_once(void) {
    CHECK_JARS("jar,volume_l,strength_pct\n3,1,40\n1,1,40\n3,1,40\n", "!CONFLICT:4:1:3");
    CHECK_JARS("jar,volume_l,strength_pct\n0,1,40\n", "!RANGE:2:1:0");
    CHECK_JARS("jar,volume_l,strength_pct\n-1,1,40\n", "!RANGE:2:1:-1");
    CHECK_JARS("jar,volume_l,strength_pct\n1.5,1,40\n", "!RANGE:2:1:1.5");
    CHECK_JARS("jar,volume_l,strength_pct\n1000000000,1,40\n", "!RANGE:2:1:1000000000");
    CHECK_JARS("jar,volume_l,strength_pct\nfirst,1,40\n", "!FORM:2:1:first");
}

static void a_forgotten_jar_stands_in_its_place(void) {
    CHECK_JARS(PLAIN "7,1,40\n8,1,40\n9,1,40\n8a,1,40\n", "7 8 8a 9");
    CHECK_JARS(PLAIN "7,1,40\n8B,1,40\n8,1,40\n08a,1,40\n,1,40\n", "7 8 8a 8b 9");
    CHECK_JARS(PLAIN "7,1,40\n8,1,40\n#undone,7\n7,1,41\n", "7 8");
    CHECK_JARS(PLAIN "8a,1,40\n8,1,40\n8a,1,40\n", "!CONFLICT:4:1:8a");
    CHECK_JARS(PLAIN "8,1,40\n8a,1,40\n#undone,8A\n9,1,40\n", "8 9");
    CHECK_JARS(PLAIN "8,1,40\n#undone,8a\n", "!CONFLICT:3:2:8a");
    CHECK_JARS(PLAIN "8aa,1,40\n", "!FORM:2:1:8aa");
    CHECK_JARS(PLAIN "a,1,40\n", "!FORM:2:1:a");
    CHECK_JARS(PLAIN "8 a,1,40\n", "!FORM:2:1:8 a");
    CHECK_JARS(PLAIN "0a,1,40\n", "!RANGE:2:1:0a");
}

static void running_totals_go_by_the_numbers(void) {
    jl_run *run = run_of(PLAIN "1,1,60\n2,1,40\n1a,1,50\n");
    const jl_jar *between = jl_run_jar(run, 1);
    CU_ASSERT_STRING_EQUAL(between->name, "1a");
    CHECK(between->number == 1 && between->line == 4);
    CHECK_NEAR(between->before_l, 1, 1e-9);
    CHECK_NEAR(jl_run_jar_named(run, "2")->before_l, between->until_l, 1e-12);
    CHECK(jl_run_jar_named(run, "1A") == between && jl_run_jar_named(run, "1b") == NULL);
    jl_run_free(run);
}

static void numbers_may_be_many_and_far_apart(void) {
    enum { JARS = 20000 };
    char *text = malloc(JARS * 32);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    size_t used = (size_t)sprintf(text, "jar,volume_l,strength_pct\n");
    for (unsigned i = 0; i < JARS; i++)
        used += (size_t)sprintf(text + used, "%u,1,40\n", 1 + 49999 * (JARS - i));
    jl_run *run = run_of(text);
    size_t count;
    jl_run_jars(run, &count);
    CHECK(count == JARS && jl_run_next_jar(run) == 2 + 49999 * JARS);
    jl_run_free(run);
    sprintf(text + used, "%d,1,40\n", 1 + 49999 * 7);
    jl_fault fault;
    int fd = given(text);
    CHECK_STATUS(jl_run_read(fd, &run, &fault), JL_CONFLICT);
    CHECK(fault.line == JARS + 2 && fault.column == 1);
    close(fd);
    free(text);
}

/* ---- undone ---- */

static void an_undone_jar_does_not_count(void) {
    CHECK_JARS(PLAIN "1,1,40\n2,1,40\n#undone,2,2026-03-07T18:05:00Z\n3,1,40\n", "1 3");
    CHECK_JARS(PLAIN "1,1,40\n#undone,1\n", "");
    CHECK_JARS(PLAIN "1,1,40\n2,1,40\n#undone,2,\n2,1,40\n", "1 2");
    CHECK_JARS(PLAIN "1,1,40\n#undone,1,\n1,1,40\n#Undone,1,\n1,1,40\n", "1");
    CHECK_JARS(PLAIN "1,1,40\n\"# undone\",1,\n2,1,40\n", "2");
    CHECK_JARS("jar;volume_l;strength_pct\n1;1;40\n#undone;1;\n", "");
    CHECK_JARS("volume_l,strength_pct\n1,40\n1,40\n#undone,2\n1,40\n", "1 2");
    CHECK_JARS("volume_l,strength_pct\n1,40\n1,40\n#undone,2\n1,40\n#undone,2\n1,40\n1,40\n",
               "1 2 3");
    CHECK_JARS("volume_l,strength_pct\n1,40\n1,40\n1,40\n#undone,2\n1,40\n", "1 3 4");
}

static void a_time_that_cannot_be_read_leaves_its_jar(void) {
    CHECK_JARS(HEADER "1,18:05,500,72,21,,,,\n2,,500,72,21,,,,\n", "1 2");
    CHECK_JARS(HEADER "1,2026-02-30T18:05:00Z,500,72,21,,,,\n2,18:05,500,72,21,,,,\n", "1 2");
}

static void an_undo_needs_its_jar(void) {
    CHECK_JARS(PLAIN "1,1,40\n#undone,2,\n2,1,40\n", "!CONFLICT:3:2:2");
    CHECK_JARS("#undone,1\n" PLAIN "1,1,40\n", "!CONFLICT:1:2:1");
    CHECK_JARS(PLAIN "1,1,40\n#undone,x,\n", "!FORM:3:2:x");
    CHECK_JARS(PLAIN "1,1,40\n#undone,,\n", "!MISSING:3:2:");
    CHECK_JARS(PLAIN "1,1,40\n#undone,1,noon\n", "");
    CHECK_JARS(PLAIN "1,1,40,\"#undone\"\n", "!FORM:2:4:#undone");
}

static void many_undos_are_settled(void) {
    enum { JARS = 20000 };
    char *text = malloc(JARS * 40);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    size_t used = (size_t)sprintf(text, PLAIN);
    for (int i = 1; i <= JARS; i++) used += (size_t)sprintf(text + used, "%d,1,40\n", i);
    for (int i = JARS; i > 1; i--) used += (size_t)sprintf(text + used, "#undone,%d,\n", i);
    size_t torn;
    CU_ASSERT_STRING_EQUAL(numbers_in(text, used, &torn), "1");
    free(text);
}

/* ---- facts ---- */

static void facts_may_stand_below_jars(void) {
    jl_run *run = run_of("#jarline,1\n#title,A\n" PLAIN "1,1,40\n#left_l,17\n2,1,40\n#title,B\n");
    CHECK(jl_facts_find(jl_run_facts(run), "left_l")->line == 5);
    CU_ASSERT_STRING_EQUAL(jl_run_title(run), "B");
    jl_run_free(run);
}

/* Quadratic, it took half a minute. */
static void facts_may_be_many(void) {
    enum { FACTS = 15000 };
    char *text = malloc(FACTS * 32 + 200);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    size_t used = (size_t)sprintf(text, "volume_l,strength_pct\n");
    for (int i = 0; i < FACTS; i++) used += (size_t)sprintf(text + used, "#calibrated_c,20\n");
    used += (size_t)sprintf(text + used, "1,40\n");
    for (int i = 0; i < FACTS; i++) used += (size_t)sprintf(text + used, "#left_l,1\n");
    size_t torn;
    CU_ASSERT_STRING_EQUAL(numbers_in(text, used, &torn), "1");
    free(text);
}

static void an_instrument_is_stated_before_the_first_jar(void) {
    CHECK_JARS("volume_l,reading_pct,temp_c\n#calibrated_c,15\n1,40,20\n", "1");
    double at_20 = one_jar("volume_l,reading_pct,temp_c\n1,40,25\n").mass_fraction;
    double at_15 =
        one_jar("volume_l,reading_pct,temp_c\n#calibrated_c,15\n1,40,25\n").mass_fraction;
    CHECK(at_20 - at_15 > 1e-4 || at_15 - at_20 > 1e-4);
    CHECK_JARS("volume_l,reading_pct,temp_c\n1,40,20\n#calibrated_f,60\n",
               "!CONFLICT:3:1:#calibrated_f");
    CHECK_JARS("volume_l,reading_pct,temp_c\n1,40,20\n#reading_correction_pct,1\n",
               "!CONFLICT:3:1:#reading_correction_pct");
    CHECK_JARS("volume_l,reading_pct,temp_c\n1,40,20\n#thermometer_correction_c,1\n",
               "!CONFLICT:3:1:#thermometer_correction_c");
    CHECK_JARS("volume_l,reading_proof,temp_c\n#calibrated_c,20\n1,80,20\n",
               "!CONFLICT:1:2:reading_proof");
    CHECK_JARS("#calibrated_c,20\nvolume_l,reading_proof,temp_c\n1,80,20\n",
               "!CONFLICT:2:2:reading_proof");
    CHECK_JARS("#calibrated_c,warm\nvolume_l,reading_pct,temp_c\n", "!FORM:1:2:warm");
    CHECK_JARS("#calibrated_c,41\nvolume_l,reading_pct,temp_c\n", "!RANGE:1:2:41");
    CHECK_JARS("#thermometer_correction_c,11\nvolume_l,reading_pct,temp_c\n", "!RANGE:1:2:11");
}

static void no_more_is_taken_out_than_was_in_it(void) {
    CHECK_JARS("volume_ml,strength_pct,taken_ml\n250,70,250\n250,70,0\n", "1 2");
    CHECK_JARS("volume_ml,strength_pct,taken_ml\n250,70,250.1\n", "!RANGE:2:3:250.1");
    CHECK_JARS("volume_ml,strength_pct,taken_ml\n250,70,-0.1\n", "!RANGE:2:3:-0.1");
}

static void a_file_of_a_newer_version_is_refused(void) {
    CHECK_JARS("#jarline,2\n" PLAIN "1,1,40\n", "!RANGE:1:2:2");
    CHECK_JARS("#min_liquid_l,1\n#jarline\n" PLAIN "1,1,40\n", "!RANGE:2:2:");
    CHECK_JARS("#jarline\n" PLAIN "1,1,40\n", "!RANGE:1:2:");
}

/* ---- what is refused ---- */

static void headers_that_do_not_do(void) {
    CHECK_JARS("", "!MISSING:0:0:");
    CHECK_JARS("\n\n", "!MISSING:0:0:");
    CHECK_JARS("#jarline,1\n#title,x\n", "!MISSING:0:0:");
    CHECK_JARS("1,500,72,21\n", "!MISSING:1:0:");
    CHECK_JARS("jar,reading_pct,temp_c\n1,40,20\n", "!MISSING:1:0:");
    CHECK_JARS("\njar,volume_ml\n1,40\n", "!MISSING:2:0:");
    CHECK_JARS("jar,volume_ml,temp_c\n1,500,20\n", "!MISSING:1:0:");
    CHECK_JARS("jar,volume_ml,reading_pct\n1,500,40\n", "!MISSING:1:0:");
    CHECK_JARS("volume_ml,strength_pct,Volume_L\n", "!CONFLICT:1:3:Volume_L");
    CHECK_JARS("volume_ml,strength_pct,volume_ml\n", "!CONFLICT:1:3:volume_ml");
    CHECK_JARS("volume_ml,strength_pct,temp_c,temp_f\n", "!CONFLICT:1:4:temp_f");
    CHECK_JARS("volume_ml,reading_pct,temp_c,reading_proof\n", "!CONFLICT:1:4:reading_proof");
    CHECK_JARS("volume_ml,strength_pct,strength_proof\n", "!CONFLICT:1:3:strength_proof");
    CHECK_JARS("jar,volume_ml,strength_pct,jar\n", "!CONFLICT:1:4:jar");
}

static void a_header_without_jars_is_told(void) {
    jl_run *run = run_of("#jarline,1\n" PLAIN "\n");
    jl_fault fault;
    CHECK_STATUS(jl_run_some(run, &fault), JL_MISSING);
    CHECK(fault.line == 2 && fault.expected != NULL);
    jl_run_free(run);
}

static void cells_that_do_not_do(void) {
    static const char *const rows[][2] = {
        {"1,,x,72,21,,,,", "!FORM:2:3:x"},
        {"1,,500ml,72,21,,,,", "!FORM:2:3:500ml"},
        {"1,,0,72,21,,,,", "!RANGE:2:3:0"},
        {"1,,-5,72,21,,,,", "!RANGE:2:3:-5"},
        {"1,,1e13,72,21,,,,", "!RANGE:2:3:1e13"},
        {"1,,nan,72,21,,,,", "!FORM:2:3:nan"},
        {"1,,0x10,72,21,,,,", "!FORM:2:3:0x10"},
        {"1,,,72,21,,,,", "!MISSING:2:3:"},
        {"1,,500,,21,,,,", "!MISSING:2:4:"},
        {"1,,500,72,,,,,", "!MISSING:2:5:"},
        {"1,,500,100.1,21,,,,", "!RANGE:2:4:100.1"},
        {"1,,500,-1,21,,,,", "!RANGE:2:4:-1"},
        {"1,,500,72,40.1,,,,", "!RANGE:2:5:40.1"},
        {"1,,500,72,-20.1,,,,", "!RANGE:2:5:-20.1"},
        {"1,,500,72,warm,,,,", "!FORM:2:5:warm"},
        {"1,,500,1,30,,,,", "!NO_MIXTURE:2:4:1"}, /* water alone shows 1.54 there */
        {"1,,500,99,10,,,,", "!NO_MIXTURE:2:4:99"},
        {"1,,500,72,21,hot,,,", "!FORM:2:6:hot"},
        {"1,,500,72,21,151,,,", "!RANGE:2:6:151"},
        {"1,,500,72,21,,-21,,", "!RANGE:2:7:-21"},
        {"1,,500,72,21,,,heart,", "!FORM:2:8:heart"},
        {"1,03/04/2026 18:05,500,72,21,,,,", "!AMBIGUOUS:2:2:03/04/2026 18:05"},
        {"1,,500,72", "!MISSING:2:5:"},
        {"1,,500,72,21,,,", "!MISSING:2:9:"},
        {"1,,500,72,21,,,,,,x", "!FORM:2:11:x"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[300];
        int size = snprintf(text, sizeof text, HEADER "%s\n2,,500,72,21,,,,\n", rows[i][0]);
        check_numbers(text, (size_t)size, rows[i][1], 0, __LINE__);
    }
    CHECK_JARS(HEADER "1,,500,2,30,,,,\n2,,500,98,10,,,,,,\n", "1 2");
}

/* ---- what a name, a fraction and a strength can be ---- */

static void a_name_is_a_number_and_at_most_a_letter(void) {
    static const struct {
        const char *name;
        jl_status status;
        uint32_t key;
    } AT[] = {{"8", JL_OK, 8 * 32},       {" 8A ", JL_OK, 8 * 32 + 1},
              {"8z", JL_OK, 8 * 32 + 26}, {"8.0", JL_OK, 8 * 32},
              {"8{", JL_FORM, 0},         {"8[", JL_FORM, 0},
              {"8@", JL_FORM, 0},         {"8 a", JL_FORM, 0},
              {"8ab", JL_FORM, 0},        {"a", JL_FORM, 0},
              {"", JL_FORM, 0},           {"0", JL_RANGE, 0},
              {"8.5", JL_RANGE, 0},       {"99999999999", JL_RANGE, 0}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_jar_key key = 0;
        CHECK_STATUS(jl_jar_name_read(AT[i].name, strlen(AT[i].name), &key), AT[i].status);
        CHECK(key == AT[i].key);
    }
    char name[JL_JAR_NAME_BYTES];
    jl_jar_name_write((jl_jar_key)JL_JAR_MOST * JL_JAR_LETTERS + 26, name);
    jl_jar_key back = 0;
    CHECK_OK(jl_jar_name_read(name, strlen(name), &back));
    CHECK(back == (jl_jar_key)JL_JAR_MOST * JL_JAR_LETTERS + 26);
    CU_ASSERT_STRING_EQUAL(jl_fraction_name((jl_fraction)JL_FRACTIONS), "");
    CU_ASSERT_STRING_EQUAL(jl_fraction_name((jl_fraction)-1), "");
}

static void a_strength_that_is_none_agrees_with_nothing(void) {
    CHECK_OK(jl_strength_agrees((jl_quantity){100, JL_UNIT_PROOF_US}, 0.4244));
    CHECK_STATUS(jl_strength_agrees((jl_quantity){101, JL_UNIT_PCT_VOL}, 0.5), JL_RANGE);
    CHECK_STATUS(jl_strength_agrees((jl_quantity){40, JL_UNIT_PCT_VOL}, 1.5), JL_RANGE);
    CHECK_STATUS(jl_strength_agrees((jl_quantity){40, JL_UNIT_PCT_VOL}, 0.5), JL_CONFLICT);
}

/* The spout has a temperature of its own, or the jar's; cells that a row lacks are named by the columns
 * that the log has. */
static void what_a_row_lacks_is_named(void) {
    CHECK_JARS("volume_ml,spout_pct,temp_c\n500,72,24\n", "1");
    CHECK_JARS("volume_ml,spout_pct,temp_c,spout_temp_c\n500,72,24,\n", "1");
    CHECK_JARS("volume_ml,spout_pct,spout_temp_c\n500,72,\n", "!MISSING:2:3:");
    CHECK_JARS("weight_g,empty_g,reading_pct,temp_c\n,184,72,24\n", "!MISSING:2:1:");
    CHECK_JARS("weight_g,reading_pct,temp_c\n500,72,24\n", "!MISSING:2:0:");
    CHECK_JARS("weight_g,empty_g,reading_pct,temp_c\n184,184,72,24\n", "!RANGE:2:1:184");
    CHECK_JARS("volume_ml,strength_pct\n500,\n", "!MISSING:2:2:");
    CHECK_JARS("#undone\n" PLAIN "1,1,40\n", "!MISSING:1:2:");
    /* a reading of the spout beside a jar's own needs its temperature too */
    CHECK_JARS("volume_ml,strength_pct,spout_pct\n500,70,71\n500,,69\n", "!MISSING:3:0:");
}

static void a_strength_that_is_none_leaves_a_jar_as_it_was(void) {
    jl_jar_reader reader;
    jl_jar jar = {.size = sizeof jar};
    jl_entry e = JL_ENTRY;
    jl_fault fault = {0};
    e.volume_l = 0.5;
    e.strength.value = 70;
    jl_jar_reader_begin(&reader);
    CHECK_OK(jl_entry_jar(&reader, &e, &jar, NULL));
    jar.line = 9;
    const jl_spirit was = jar.spirit;
    CHECK_STATUS(jl_jar_remix(&reader, 101, &jar, &fault), JL_RANGE);
    CHECK(fault.line == 9);
    CHECK_STATUS(jl_jar_remix(&reader, -1, &jar, NULL), JL_RANGE);
    CHECK(jar.spirit.ethanol_kg == was.ethanol_kg);
    CHECK_OK(jl_jar_remix(&reader, 60, &jar, &fault));
    CHECK_NEAR(jl_pure_alcohol_l(jar.spirit), 0.3, 1e-9);
    jl_run *run = NULL;
    int fd = given("time,volume_l,strength_pct\n03/04/2026 18:05,1,70\n");
    CHECK_STATUS(jl_run_read(fd, &run, NULL),
                 JL_AMBIGUOUS); /* whether its place is asked for or not */
    close(fd);
}

/* Of several faults that show only at the end the first one in the file is told. */
static void the_first_of_several_conflicts_is_told(void) {
    CHECK_JARS(PLAIN "9,1,40\n9,1,41\n2,1,40\n2,1,41\n", "!CONFLICT:3:1:9");
    CHECK_JARS(PLAIN "1,1,40\n#undone,5\n,1,41\n", "!CONFLICT:3:2:5"); /* a jar takes a number */
    CHECK_JARS(PLAIN "2,1,40\n2,1,41\n9,1,40\n9,1,41\n", "!CONFLICT:3:1:2");
    jl_run *run = NULL;
    int fd = given(PLAIN "9,1,40\n9,1,41\n2,1,40\n2,1,41\n");
    CHECK_STATUS(jl_run_read(fd, &run, NULL), JL_CONFLICT);
    close(fd);
}

static void corrections_can_lead_out_of_range(void) {
    CHECK_JARS("#reading_correction_pct,1\nvolume_l,reading_pct,temp_c\n1,99.5,20\n",
               "!RANGE:3:2:99.5");
    CHECK_JARS("#thermometer_correction_c,1\nvolume_l,reading_pct,temp_c\n1,40,39.5\n",
               "!RANGE:3:2:40");
    CHECK_JARS("#thermometer_correction_c,1\nvolume_l,strength_pct,temp_c\n1,40,39.5\n",
               "!RANGE:3:3:39.5");
}

static void broken_text_names_its_place(void) {
    CHECK_JARS(PLAIN "1,1,40\n2,\"1,40\n3,1,40\n", "!FORM:3:2:1,40\n3,1,40\n");
    CHECK_JARS(PLAIN "1,1,40\n2,1\0,40\n", "!FORM:3:2:1");
    CHECK_JARS(PLAIN "1,1\",40\n", "!FORM:2:2:1");
    CHECK_JARS("jar,volume_l,strength_pct\r1,1,40\r", "!FORM:1:4:\\r");
}

static void a_cell_of_10_MiB_is_refused(void) {
    size_t size = 10u << 20;
    char *text = malloc(size);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    static const char *const heads[] = {"#jarline,1\n" PLAIN "1,1,40\n2,", PLAIN "1,1,40\n2,\"",
                                        "#jarline,1\n#title,", ""};
    static const char *const want[] = {
        "!TOO_LONG:4:2:", "!TOO_LONG:3:2:", "!TOO_LONG:2:2:", "!TOO_LONG:1:1:"};
    for (size_t i = 0; i < 4; i++) {
        memset(text, 'x', size);
        memcpy(text, heads[i], strlen(heads[i]));
        size_t torn;
        const char *got = numbers_in(text, size, &torn);
        CHECK(strncmp(got, want[i], strlen(want[i])) == 0);
    }
    free(text);
}

static void folders_are_no_logs(void) {
    int fd = open("/", O_RDONLY);
    jl_run *run = NULL;
    jl_fault fault;
    CHECK_STATUS(jl_run_read(fd, &run, &fault), JL_INPUT);
    CHECK(run == NULL && fault.status == JL_INPUT && fault.line == 0);
    close(fd);
    CHECK_STATUS(jl_run_read(fd, &run, &fault), JL_INPUT);
}

/* ---- a last row without a line end ---- */

#define OURS "#jarline,1\n" PLAIN

static void in_a_file_of_ours_it_is_left_out(void) {
    CHECK_TORN(OURS "1,1,40\n2,1,4", "1", 4);
    CHECK_TORN(OURS "1,1,40\n2,1,40", "1", 4);
    CHECK_TORN(OURS "1,1,40\n2", "1", 4);
    CHECK_TORN(OURS "1,1,40\n2,\"1", "1", 4);
    CHECK_TORN(OURS "1,1,40\n2,1\0\0\0\0", "1", 4);
    CHECK_TORN(OURS "1,1,40\n#undone,1,", "1", 4);
    CHECK_TORN(OURS "1,1,40\n#left_l,1", "1", 4);
    CHECK_TORN(OURS "1,1,40\r\n2,1,40\r", "1", 4);
    CHECK_JARS("#jarline,1\njar,volume_l,strength_pct", "!MISSING:0:0:");
    CHECK_JARS("#jarline,1", "!MISSING:0:0:");
    CHECK_JARS(OURS "1,1,40\n2,\"1\n3,1,40", "!FORM:4:2:1\n3,1,40");
    CHECK_JARS(OURS "1,1\0,40\n2,1,40", "!FORM:3:2:1");
}

static void in_a_hand_made_file_it_counts(void) {
    CHECK_JARS(PLAIN "1,1,40\n2,1,40", "1 2");
    CHECK_JARS("#title,x\n" PLAIN "1,1,40\n#undone,1,", "");
    CHECK_JARS(PLAIN "1,1,40\n2,1", "!MISSING:3:3:");
    CHECK_JARS(PLAIN "1,1,40\n2,\"1", "!FORM:3:2:1");
    CHECK_JARS(PLAIN "1,1,40\n2,1\0", "!FORM:3:2:1");
}

/* Spreadsheets write rows of empty cells, and blanks stand where somebody touched a key. */
static void empty_cells_without_a_line_end_are_no_row(void) {
    CHECK_TORN(OURS "1,1,40\n,,", "1", 4);
    CHECK_TORN(OURS "1,1,40\n\"\"", "1", 4);
    CHECK_TORN(OURS "1,1,40\n,", "1", 4);
    CHECK_JARS(OURS "1,1,40\n  ", "1");
    CHECK_JARS(PLAIN "1,1,40\n,,", "1");
    CHECK_JARS(PLAIN "1,1,40\n\"\"", "1");
}

CU_TestInfo jars_tests[] = {
    {"a jar is read whole", a_jar_is_read_whole},
    {"a note ends where its cell does", a_note_ends_where_its_cell_does},
    {"a jar is computed as a single reading is", a_jar_is_computed_as_a_single_reading_is},
    {"27 CFR 30: 193 proof at 75 °F is 189.5 proof", proof_and_fahrenheit},
    {"a strength without a temperature has its volume at 20 °C",
     a_strength_without_a_temperature_has_its_volume_at_20_c},
    {"a reading goes before a strength that agrees", a_reading_goes_before_a_strength_that_agrees},
    {"a reading of the spout is one that can be", a_reading_of_the_spout_is_one_that_can_be},
    {"every jar may have a reading or a strength", every_jar_may_have_a_reading_or_a_strength},
    {"spreadsheets save logs in their own way", spreadsheets_save_logs_in_their_own_way},
    {"columns come in any order, unknown ones are passed over",
     columns_come_in_any_order_and_unknown_ones_are_passed_over},
    {"fractions are read in any letter case", fractions_are_read_in_any_letter_case},
    {"a jar without a number gets one", a_jar_without_a_number_gets_one},
    {"a number stands once", a_number_stands_once},
    {"a forgotten jar stands in its place", a_forgotten_jar_stands_in_its_place},
    {"running totals go by the numbers", running_totals_go_by_the_numbers},
    {"numbers may be many and far apart", numbers_may_be_many_and_far_apart},
    {"an undone jar does not count", an_undone_jar_does_not_count},
    {"an undo needs its jar", an_undo_needs_its_jar},
    {"a time that cannot be read leaves its jar", a_time_that_cannot_be_read_leaves_its_jar},
    {"many undos are settled", many_undos_are_settled},
    {"facts may stand below jars", facts_may_stand_below_jars},
    {"facts may be many", facts_may_be_many},
    {"an instrument is stated before the first jar", an_instrument_is_stated_before_the_first_jar},
    {"no more is taken out than was in it", no_more_is_taken_out_than_was_in_it},
    {"a file of a newer version is refused", a_file_of_a_newer_version_is_refused},
    {"headers that do not do", headers_that_do_not_do},
    {"a header without jars is told", a_header_without_jars_is_told},
    {"cells that do not do", cells_that_do_not_do},
    {"a name is a number and at most a letter", a_name_is_a_number_and_at_most_a_letter},
    {"a strength that is none agrees with nothing", a_strength_that_is_none_agrees_with_nothing},
    {"a strength that is none leaves a jar as it was",
     a_strength_that_is_none_leaves_a_jar_as_it_was},
    {"what a row lacks is named", what_a_row_lacks_is_named},
    {"the first of several conflicts is told", the_first_of_several_conflicts_is_told},
    {"corrections can lead out of range", corrections_can_lead_out_of_range},
    {"broken text names its place", broken_text_names_its_place},
    {"a cell of 10 MiB is refused", a_cell_of_10_MiB_is_refused},
    {"folders are no logs", folders_are_no_logs},
    {"a last row without a line end is left out of a file of ours",
     in_a_file_of_ours_it_is_left_out},
    {"a last row without a line end counts in a hand-made file", in_a_hand_made_file_it_counts},
    {"empty cells without a line end are no row", empty_cells_without_a_line_end_are_no_row},
    CU_TEST_INFO_NULL,
};
