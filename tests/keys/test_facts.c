/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "keys/facts.h"
#include "suites.h"

#include <fcntl.h>
#include <stdlib.h>

static const jl_fact_key CHARGE = {"charge", JL_VOLUME, 0, 1e6, "a volume, as charge_l,24"};
static const jl_fact_key STRENGTH = {"charge_strength", JL_STRENGTH, 0, 100, "0 to 100 % vol"};
static const jl_fact_key POWER = {"power", JL_POWER, 0, 1e6, "a power, as power_w,2000"};
static const jl_fact_key PRESSURE = {"pressure", JL_PRESSURE, 30, 110, "30 to 110 kPa"};
static const jl_fact_key BOILER = {"boiler", JL_TEMPERATURE, 0, 150, "0 to 150 °C"};
static const jl_fact_key STAGES = {"stages", JL_NUMBER, 1, 100, "1 to 100"};
static const jl_fact_key GRAVITY = {"og", JL_GRAVITY, 0.9, 1.3, "0.9 to 1.3"};

static jl_facts *read_facts(const char *text) {
    jl_facts *facts = NULL;
    int fd = given(text);
    CHECK_OK(jl_facts_read(fd, &facts, NULL));
    close(fd);
    CU_ASSERT_PTR_NOT_NULL_FATAL(facts);
    return facts;
}

static double number(const jl_facts *facts, const jl_fact_key *key) {
    jl_quantity quantity = {NAN, JL_UNIT_BASE};
    CHECK_OK(jl_facts_quantity(facts, key, &quantity, NULL));
    return quantity.value;
}

static void facts_are_keys_with_values(void) {
    jl_facts *facts = read_facts("# the old pot, copper\n\ntitle,First run\nCHARGE_L,24\n"
                                 "#power_w,1800\n\"stages\",1.5\nexpect,1,72.5\nexpect,2,70,,\n"
                                 "#half a thought\nempty,\n,,\n#colour\n");
    CU_ASSERT_STRING_EQUAL(jl_facts_text(facts, "title"), "First run");
    CHECK_NEAR(number(facts, &CHARGE), 24, 0);
    CHECK_NEAR(number(facts, &POWER), 1800, 0);
    CHECK_NEAR(number(facts, &STAGES), 1.5, 0);
    const jl_fact *expect = jl_facts_find(facts, "expect");
    CHECK(expect->count == 2 && expect->line == 8);
    CU_ASSERT_STRING_EQUAL(expect->text, "2, 70");
    double value = NAN;
    CHECK_OK(jl_fact_number(expect, 1, 0, 100, "0 to 100", &value, NULL));
    CHECK_NEAR(value, 70, 0);
    CHECK(jl_facts_at(facts, 5)->line == 8 && jl_facts_at(facts, 6)->count == 0);
    CHECK(jl_facts_at(facts, 7) == NULL);
    CHECK(jl_facts_text(facts, "empty") == NULL && jl_facts_text(facts, "none") == NULL);
    jl_facts_free(facts);
}

static void a_key_carries_its_unit(void) {
    jl_facts *facts = read_facts("charge_ml,24000\ncharge_strength_proof,90\npower_kw,1.8\n"
                                 "pressure_mmhg,740\nboiler_f,212\n");
    jl_quantity strength;
    CHECK_NEAR(number(facts, &CHARGE), 24, 1e-12);
    CHECK_NEAR(number(facts, &POWER), 1800, 1e-12);
    CHECK_NEAR(number(facts, &PRESSURE), 740 * 0.133322387415, 1e-12); /* NIST SP 811 */
    CHECK_NEAR(number(facts, &BOILER), 100, 1e-12);
    CHECK_OK(jl_facts_quantity(facts, &STRENGTH, &strength, NULL));
    CHECK(strength.value == 90 && strength.unit == JL_UNIT_PROOF_US);
    jl_facts_free(facts);
}

static void what_is_written_later_holds(void) {
    jl_facts *facts = read_facts("charge_l,24\ncharge_ml,23500\n");
    CHECK_NEAR(number(facts, &CHARGE), 23.5, 1e-12);
    jl_facts_free(facts);
}

static void the_delimiter_is_found(void) {
    jl_facts *facts = read_facts("\xef\xbb\xbf# pot, copper; 25 l\r\ncharge_l;23,5\r\n"
                                 "title;a, b\r\nog;1,062\r\n");
    CHECK_NEAR(number(facts, &CHARGE), 23.5, 0);
    CHECK_NEAR(number(facts, &GRAVITY), 1.062, 0);
    CU_ASSERT_STRING_EQUAL(jl_facts_text(facts, "title"), "a, b");
    jl_facts_free(facts);
    facts = read_facts("#colour\ncharge_l\t23,5\n");
    CHECK_NEAR(number(facts, &CHARGE), 23.5, 0);
    jl_facts_free(facts);
    facts = read_facts("#charge_l;23\n#title;x\n");
    CHECK_NEAR(number(facts, &CHARGE), 23, 0);
    jl_facts_free(facts);
    facts = read_facts("charge_l,\"23,5\"\nog,\"1,062\"\n");
    CHECK_NEAR(number(facts, &CHARGE), 23.5, 0);
    CHECK_NEAR(number(facts, &GRAVITY), 1.062, 0);
    jl_facts_free(facts);
}

static void texts_and_moments(void) {
    jl_facts *facts = read_facts("title,\" My run, \",second\nstarted,2026-03-07T18:05:00+01:00\n"
                                 "ended,yesterday\npaused,\nparts,1,,3\n");
    CU_ASSERT_STRING_EQUAL(jl_facts_text(facts, "title"), "My run,, second");
    CU_ASSERT_STRING_EQUAL(jl_facts_text(facts, "parts"), "1, , 3");
    jl_time time;
    jl_fault fault;
    CHECK_OK(jl_facts_time(facts, "started", &time, NULL));
    CHECK(time.unix_s == 1772903100 && time.offset_s == 3600);
    CHECK_STATUS(jl_facts_time(facts, "ended", &time, &fault), JL_FORM);
    CHECK(fault.line == 3 && fault.column == 2 && strcmp(fault.cell, "yesterday") == 0);
    CHECK_STATUS(jl_facts_time(facts, "paused", &time, &fault), JL_MISSING);
    CHECK(fault.line == 4 && fault.column == 2 && fault.cell[0] == '\0');
    CHECK_STATUS(jl_facts_time(facts, "resumed", &time, &fault), JL_MISSING);
    CHECK(fault.line == 0 && strcmp(fault.cell, "resumed") == 0);
    jl_facts_free(facts);
}

static void check_refused(const char *text, const jl_fact_key *key, jl_status want, size_t line,
                          size_t column, const char *cell) {
    jl_facts *facts = read_facts(text);
    jl_quantity quantity = {7, JL_UNIT_BASE};
    jl_fault fault = {.status = JL_OK};
    CHECK_STATUS(jl_facts_quantity(facts, key, &quantity, &fault), (int)want);
    CHECK(quantity.value == 7);
    CHECK(fault.status == want && fault.line == line && fault.column == column);
    CU_ASSERT_STRING_EQUAL(fault.cell, cell);
    CHECK(fault.expected == key->expected || column == 3);
    jl_facts_free(facts);
}

static void numbers_that_cannot_be_read_are_refused(void) {
    check_refused("title,x\n", &CHARGE, JL_MISSING, 0, 0, "charge_l");
    check_refused("\ncharge_l,\n", &CHARGE, JL_MISSING, 2, 2, "");
    check_refused("charge_l,24 l\n", &CHARGE, JL_FORM, 1, 2, "24 l");
    check_refused("charge_l,24,5\n", &CHARGE, JL_FORM, 1, 3, "5");
    check_refused("charge_l,\"1,000\"\n", &CHARGE, JL_AMBIGUOUS, 1, 2, "1,000");
    check_refused("charge_l,-1\n", &CHARGE, JL_RANGE, 1, 2, "-1");
    check_refused("charge_strength_proof,200.5\n", &STRENGTH, JL_RANGE, 1, 2, "200.5");
    check_refused("charge_strength_pct,nan\n", &STRENGTH, JL_FORM, 1, 2, "nan");
}

static void check_file_refused(const char *text, size_t size, jl_status want, size_t line,
                               size_t column, const char *cell) {
    jl_facts *facts = NULL;
    jl_fault fault = {.status = JL_OK};
    int fd = given_bytes(text, size);
    CHECK_STATUS(jl_facts_read(fd, &facts, &fault), (int)want);
    close(fd);
    CHECK(facts == NULL && fault.status == want && fault.line == line && fault.column == column);
    CU_ASSERT_STRING_EQUAL(fault.cell, cell);
}

static void files_that_are_not_facts_are_refused(void) {
#define REFUSED(text, ...) check_file_refused(text, sizeof(text) - 1, __VA_ARGS__)
    REFUSED("charge_l,24\njust text\n", JL_FORM, 2, 1, "just text");
    REFUSED("charge_l\n", JL_FORM, 1, 1, "charge_l");
    REFUSED("charge_l,24\nche~ge,1\n", JL_FORM, 2, 1, "che~ge");
    REFUSED("charge_l,24\n{a,1\n", JL_FORM, 2, 1, "{a");
    REFUSED("charge_l,24\na:b,1\n", JL_FORM, 2, 1, "a:b");
    REFUSED("charge_l,24\na-b,1\n", JL_FORM, 2, 1, "a-b");
    REFUSED("charge_l,24\n_a,1\n", JL_FORM, 2, 1, "_a");
    REFUSED("charge_l,24\nk123456789012345678901234567890123456789012345678901234567890123,1\n",
            JL_FORM, 2, 1, "k1234567890123456789012345678901234567890123456");
    REFUSED("charge_l,24\n12,5\n", JL_FORM, 2, 1, "12");
    REFUSED("charge_l,24\ntitle,\"x\n", JL_FORM, 2, 2, "x\n");
    REFUSED("charge_l,24\0\n", JL_FORM, 1, 2, "24");
    REFUSED("#jarline,2\ncharge_l,24\n", JL_RANGE, 1, 2, "2");
    REFUSED("jarline,1x\n", JL_RANGE, 1, 2, "1x");
    int fd = open("/", O_RDONLY);
    jl_facts *facts = NULL;
    CHECK_STATUS(jl_facts_read(fd, &facts, NULL), JL_INPUT);
    close(fd);
}

static void facts_are_bounded(void) {
    size_t size = 5u << 20;
    char *text = malloc(size);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    static const char ROW[] = "charge_l,24\n";
    for (size_t i = 0; i < size; i++) text[i] = ROW[i % (sizeof ROW - 1)];
    jl_facts *facts = NULL;
    jl_fault fault;
    int fd = given_bytes(text, size);
    CHECK_STATUS(jl_facts_read(fd, &facts, &fault), JL_RANGE);
    CHECK(fault.line > 10000 && fault.column == 1);
    close(fd);
    free(text);
}

/* The end of a key says its unit; what ends otherwise has none. */
static void a_value_is_written_in_the_unit_of_its_key(void) {
    static const jl_fact_key TEMP = {"boiler", JL_TEMPERATURE, 0, 150, ""};
    CHECK_NEAR(jl_fact_value("boiler_f", &TEMP, 100), 212, 1e-12);
    CHECK_NEAR(jl_fact_value("boiler_c", &TEMP, 100), 100, 0);
    CHECK_NEAR(jl_fact_value("charge_ml", &CHARGE, 0.5), 500, 1e-12);
    CHECK_NEAR(jl_fact_value("charge_pints", &CHARGE, 0.5), 0.5, 0);
}

static void every_end_of_a_key_is_a_unit(void) {
    static const struct {
        const char *key;
        jl_kind kind;
        double value, written;
    } AT[] = {
        {"x_l", JL_VOLUME, 3, 3},
        {"x_ml", JL_VOLUME, 3, 3000},
        {"x_kg", JL_MASS, 3, 3},
        {"x_g", JL_MASS, 3, 3000},
        {"x_pct", JL_STRENGTH, 3, 3},
        {"x_proof", JL_STRENGTH, 3, 3},
        {"x_c", JL_TEMPERATURE, 100, 100},
        {"x_f", JL_TEMPERATURE, 100, 212},
        {"x_c", JL_TEMPERATURE_DIFFERENCE, 5, 5},
        {"x_f", JL_TEMPERATURE_DIFFERENCE, 5, 9},
        {"x_w", JL_POWER, 3000, 3000},
        {"x_kw", JL_POWER, 3000, 3},
        {"x_s", JL_DURATION, 3600, 3600},
        {"x_min", JL_DURATION, 3600, 60},
        {"x_h", JL_DURATION, 3600, 1},
        {"x_kpa", JL_PRESSURE, 3, 3},
        {"x_hpa", JL_PRESSURE, 3, 30},
        {"x_mmhg", JL_PRESSURE, 0.133322387415, 1},
        {"x_m", JL_ALTITUDE, 3.048, 3.048},
        {"x_ft", JL_ALTITUDE, 3.048, 10},
        {"x", JL_GRAVITY, 1.05, 1.05},
        {"x_plato", JL_GRAVITY, 12, 12},
        {"x_pct", JL_SHARE, 0.25, 25},
        {"x_kj_c", JL_HEAT, 3000, 3},
        {"x", JL_NUMBER, 3, 3},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        const jl_fact_key key = {"x", AT[i].kind, -1e9, 1e9, ""};
        char row[64];
        jl_quantity q = {NAN, JL_UNIT_BASE};
        CHECK_NEAR(jl_fact_value(AT[i].key, &key, AT[i].value), AT[i].written,
                   1e-12 * AT[i].written);
        snprintf(row, sizeof row, "%s,%.15g\n", AT[i].key, AT[i].written);
        jl_facts *facts = read_facts(row);
        CHECK_OK(jl_facts_quantity(facts, &key, &q, NULL));
        CHECK_NEAR(q.value, AT[i].value, 1e-12 * AT[i].value);
        jl_facts_free(facts);
    }
}

static void numbers_of_a_row_have_their_place_and_range(void) {
    jl_facts *facts = read_facts("expect,1,72.5\n");
    const jl_fact *expect = jl_facts_find(facts, "expect");
    double value = 7;
    jl_fault fault = {.status = JL_OK};
    CHECK_STATUS(jl_fact_number(expect, 1, 0, 72, "0 to 72", &value, &fault), JL_RANGE);
    CHECK(fault.column == 3 && strcmp(fault.cell, "72.5") == 0);
    CHECK_STATUS(jl_fact_number(expect, 1, 73, 100, "73 to 100", &value, &fault), JL_RANGE);
    CHECK_STATUS(jl_fact_number(expect, 2, 0, 100, "0 to 100", &value, &fault), JL_MISSING);
    CHECK(fault.column == 4 && value == 7);
    jl_facts_free(facts);
}

CU_TestInfo facts_tests[] = {
    {"a value is written in the unit of its key", a_value_is_written_in_the_unit_of_its_key},
    {"numbers of a row have their place and range", numbers_of_a_row_have_their_place_and_range},
    {"every end of a key is a unit", every_end_of_a_key_is_a_unit},
    {"facts are keys with values", facts_are_keys_with_values},
    {"a key carries its unit", a_key_carries_its_unit},
    {"what is written later holds", what_is_written_later_holds},
    {"the delimiter is found", the_delimiter_is_found},
    {"texts and moments", texts_and_moments},
    {"numbers that cannot be read are refused", numbers_that_cannot_be_read_are_refused},
    {"files that are not facts are refused", files_that_are_not_facts_are_refused},
    {"facts are bounded", facts_are_bounded},
    CU_TEST_INFO_NULL,
};
