/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "text/digits.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>

static jl_status decimal(const char *text, jl_comma comma, double *value) {
    return jl_decimal_read(text, strlen(text), comma, value);
}

static void decimals_are_the_nearest_double(void) {
    static const char *const texts[] = {"0",
                                        "-0.0",
                                        "72.5",
                                        "  12.250 ",
                                        "1e3",
                                        "1.5E-7",
                                        "+4",
                                        ".5",
                                        "5.",
                                        "123456789012345678901",
                                        "0.1e-30",
                                        "9007199254740993",
                                        "2.2250738585072011e-308",
                                        "1.7976931348623157e308",
                                        "0.000000000000000000000000000001",
                                        "-.5",
                                        "12e+4",
                                        "1e-9999999"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double value = NAN;
        CHECK_OK(decimal(texts[i], JL_COMMA_NONE, &value));
        CHECK_NEAR(value, strtod(texts[i], NULL), 0);
    }
}

static void random_decimals_equal_strtod(void) {
    srand(1);
    for (int i = 0; i < 20000; i++) {
        char text[64];
        double value = NAN;
        snprintf(text, sizeof text, "%d.%0*de%d", rand() % 100000, rand() % 12 + 1, rand(),
                 rand() % 60 - 30);
        CHECK_OK(decimal(text, JL_COMMA_NONE, &value));
        CHECK_NEAR(value, strtod(text, NULL), 0);
    }
}

static void what_is_no_decimal_is_refused(void) {
    static const char *const texts[] = {"",     " ",     "-",   ".",   "e5",  "nan", "inf",
                                        "0x10", "1.2.3", "1 2", "--1", "12a", "1e",  "1,5"};
    double value = 7;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        CHECK_STATUS(decimal(texts[i], JL_COMMA_NONE, &value), JL_FORM);
    CHECK_STATUS(decimal("1e999", JL_COMMA_NONE, &value), JL_RANGE);
    CHECK_STATUS(decimal("1e9999999", JL_COMMA_NONE, &value), JL_RANGE);
    CHECK(value == 7);
}

/* What stands behind it is not looked at. */
static void a_number_ends_with_its_length(void) {
    static const char TEXT[] = "12.5e3", BEHIND[] = "5.,e-+ ";
    static const double WANT[] = {1, 12, 12, 12.5};
    for (size_t i = 0; i < sizeof WANT / sizeof WANT[0]; i++)
        for (const char *next = BEHIND; *next != '\0'; next++) {
            char text[sizeof TEXT];
            double value = NAN;
            memcpy(text, TEXT, sizeof text);
            text[i + 1] = *next;
            CHECK_OK(jl_decimal_read(text, i + 1, JL_COMMA_DECIMAL, &value));
            CHECK_NEAR(value, WANT[i], 0);
        }
    double value = NAN;
    CHECK_STATUS(jl_decimal_read(TEXT, 5, JL_COMMA_NONE, &value), JL_FORM);
    CHECK_OK(jl_decimal_read(TEXT, 6, JL_COMMA_NONE, &value));
    CHECK_NEAR(value, 12500, 0);
}

/* Longer than what is copied without memory of its own; with a comma, which the copy has as a point. */
static void a_number_may_have_hundreds_of_digits(void) {
    char text[301];
    double value = NAN;
    memset(text, '1', 300);
    text[300] = '\0';
    text[2] = ',';
    CHECK_OK(decimal(text, JL_COMMA_DECIMAL, &value));
    CHECK_NEAR(value, 100.0 / 9, 1e-14);
    memset(text, '0', 290);
    text[1] = '.';
    CHECK_OK(decimal(text, JL_COMMA_NONE, &value));
    CHECK_NEAR(value, 1e-288 / 9, 1e-297);
}

static void a_comma_is_a_point_only_where_that_is_certain(void) {
    double value = 7;
    CHECK_OK(decimal("72,5", JL_COMMA_SAFE, &value));
    CHECK_NEAR(value, 72.5, 0);
    CHECK_OK(decimal("0,500", JL_COMMA_SAFE, &value));
    CHECK_NEAR(value, 0.5, 0);
    CHECK_STATUS(decimal("1,000", JL_COMMA_SAFE, &value), JL_AMBIGUOUS);
    CHECK_OK(decimal("1,000", JL_COMMA_DECIMAL, &value));
    CHECK_NEAR(value, 1, 0);
    CHECK_STATUS(decimal("1.000,5", JL_COMMA_DECIMAL, &value), JL_FORM);
}

static void numbers_do_not_follow_the_locale(void) {
    char text[32];
    double value = NAN;
    const char *known = setlocale(LC_NUMERIC, "de_DE.UTF-8");
    CHECK_OK(decimal("123456789012345678901.5", JL_COMMA_NONE, &value));
    CHECK_NEAR(value, 123456789012345678901.5, 0);
    CHECK_OK(jl_decimal_write(-72.25, 2, text, sizeof text));
    CHECK(strcmp(text, "-72.25") == 0);
    if (known != NULL) setlocale(LC_NUMERIC, "C");
}

static void written_numbers_have_no_negative_zero(void) {
    char text[32];
    CHECK_OK(jl_decimal_write(-0.0004, 3, text, sizeof text));
    CHECK(strcmp(text, "0.000") == 0);
    CHECK_OK(jl_decimal_write(-0.0006, 3, text, sizeof text));
    CHECK(strcmp(text, "-0.001") == 0);
    CHECK_STATUS(jl_decimal_write(NAN, 3, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_decimal_write(123, 3, text, 5), JL_RANGE);
    CHECK_STATUS(jl_decimal_write(123, 3, text, 7), JL_RANGE);
    CHECK_OK(jl_decimal_write(123, 3, text, 8)); /* with the NUL */
    CHECK_STATUS(jl_decimal_write(1e20, 1, text, 23), JL_RANGE);
    CHECK_OK(jl_decimal_write(1e20, 1, text, 24));
    CHECK_STATUS(jl_decimal_write(123, 18, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_decimal_write(123, -1, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_decimal_write(1e15, 3, text, 19), JL_RANGE);
    text[0] = 'x';
    CHECK_STATUS(jl_decimal_write(1, 0, text, 0), JL_RANGE);
    CHECK(text[0] == 'x');
}

/* Also beside the middle between two results, where a product rounds to the wrong side. */
static void written_numbers_are_what_printf_writes(void) {
    char text[64], want[64];
    srand(1);
    for (int i = 0; i < 200000; i++) {
        int decimals = rand() % 18;
        double value = (rand() - RAND_MAX / 2) * pow(10, rand() % 20 - 16);
        if (i % 3 == 0) value = (rand() % 100000 + 0.5) / pow(10, decimals);
        if (i % 6 == 0) value = nextafter(value, i % 12 == 0 ? -1e9 : 1e9);
        snprintf(want, sizeof want, "%.*f", decimals, value);
        bool zero = strspn(want, "-0.") == strlen(want);
        CHECK_OK(jl_decimal_write(value, decimals, text, sizeof text));
        bool same = strcmp(text, zero && want[0] == '-' ? want + 1 : want) == 0;
        if (!same) printf("\n    %s for %.17g, printf has %s", text, value, want);
        CHECK(same);
    }
}

/* Factors: NIST SP 811; imperial gallon 4.54609 l. */
static void every_unit_converts(void) {
    static const struct {
        const char *text;
        jl_kind kind;
        double value;
        jl_unit unit;
    } at[] = {
        {"500ml", JL_VOLUME, 0.5, JL_UNIT_BASE},
        {"0.5 L", JL_VOLUME, 0.5, JL_UNIT_BASE},
        {"0,5l", JL_VOLUME, 0.5, JL_UNIT_BASE},
        {" \t500ml", JL_VOLUME, 0.5, JL_UNIT_BASE},
        {"2gal", JL_VOLUME, 7.570823568, JL_UNIT_BASE},
        {"2impgal", JL_VOLUME, 9.09218, JL_UNIT_BASE},
        /* US, by the gallon of 231 cubic inches, NIST SP 811 */
        {"4qt", JL_VOLUME, 3.785411784, JL_UNIT_BASE},
        {"1 pt", JL_VOLUME, 0.473176473, JL_UNIT_BASE},
        {"128 fl oz", JL_VOLUME, 3.785411784, JL_UNIT_BASE},
        {"12floz", JL_VOLUME, 0.35488235475, JL_UNIT_BASE},
        {"1.5kg", JL_MASS, 1.5, JL_UNIT_BASE},
        {"250g", JL_MASS, 0.25, JL_UNIT_BASE},
        {"3lb", JL_MASS, 1.36077711, JL_UNIT_BASE},
        {"72.5%", JL_STRENGTH, 72.5, JL_UNIT_PCT_VOL},
        {"72.5 % vol", JL_STRENGTH, 72.5, JL_UNIT_PCT_VOL},
        {"30%mas", JL_STRENGTH, 30, JL_UNIT_PCT_MASS},
        {"144Proof", JL_STRENGTH, 144, JL_UNIT_PROOF_US},
        {"24C", JL_TEMPERATURE, 24, JL_UNIT_BASE},
        {"-5 °C", JL_TEMPERATURE, -5, JL_UNIT_BASE},
        {"75F", JL_TEMPERATURE, 43.0 * 5 / 9, JL_UNIT_BASE},
        {"5F", JL_TEMPERATURE_DIFFERENCE, 25.0 / 9, JL_UNIT_BASE},
        {"2kW", JL_POWER, 2000, JL_UNIT_BASE},
        {"1800W", JL_POWER, 1800, JL_UNIT_BASE},
        {"90min", JL_DURATION, 5400, JL_UNIT_BASE},
        {"2h30", JL_DURATION, 9000, JL_UNIT_BASE},
        {"2h30min", JL_DURATION, 9000, JL_UNIT_BASE},
        {"1h59", JL_DURATION, 7140, JL_UNIT_BASE},
        {"2H30", JL_DURATION, 9000, JL_UNIT_BASE},
        {"2h5m", JL_DURATION, 7500, JL_UNIT_BASE},
        {"2h30s", JL_DURATION, 7230, JL_UNIT_BASE},
        {"2h0.5min", JL_DURATION, 7230, JL_UNIT_BASE},
        {"1.5h", JL_DURATION, 5400, JL_UNIT_BASE},
        {"3d", JL_DURATION, 259200, JL_UNIT_BASE},
        {"98.5kPa", JL_PRESSURE, 98.5, JL_UNIT_BASE},
        {"985hPa", JL_PRESSURE, 98.5, JL_UNIT_BASE},
        {"760mmHg", JL_PRESSURE, 101.3250144354, JL_UNIT_BASE},
        {"650m", JL_ALTITUDE, 650, JL_UNIT_BASE},
        {"2100ft", JL_ALTITUDE, 640.08, JL_UNIT_BASE},
        {"1.062", JL_GRAVITY, 1.062, JL_UNIT_SG},
        {"1,062", JL_GRAVITY, 1.062, JL_UNIT_SG},
        {"15.2P", JL_GRAVITY, 15.2, JL_UNIT_PLATO},
        {"15.2 °P", JL_GRAVITY, 15.2, JL_UNIT_PLATO},
        {"67%", JL_SHARE, 0.67, JL_UNIT_BASE},
        {"5cl", JL_VOLUME, 0.05, JL_UNIT_BASE},
        {"3dl", JL_VOLUME, 0.3, JL_UNIT_BASE},
        {"2hl", JL_VOLUME, 200, JL_UNIT_BASE},
        {"32oz", JL_MASS, 0.90718474, JL_UNIT_BASE},
        {"293.15K", JL_TEMPERATURE, 20, JL_UNIT_BASE},
        {"2K", JL_TEMPERATURE_DIFFERENCE, 2, JL_UNIT_BASE},
        {"0F", JL_TEMPERATURE_DIFFERENCE, 0, JL_UNIT_BASE},
        {"-2C", JL_TEMPERATURE_DIFFERENCE, -2, JL_UNIT_BASE},
        {"45s", JL_DURATION, 45, JL_UNIT_BASE},
        {"3m", JL_DURATION, 180, JL_UNIT_BASE},
        {"985mbar", JL_PRESSURE, 98.5, JL_UNIT_BASE},
        {"1.013bar", JL_PRESSURE, 101.3, JL_UNIT_BASE},
        {"98500Pa", JL_PRESSURE, 98.5, JL_UNIT_BASE},
        {"1.2km", JL_ALTITUDE, 1200, JL_UNIT_BASE},
        {"1.062sg", JL_GRAVITY, 1.062, JL_UNIT_SG},
        {"3kJ/C", JL_HEAT, 3000, JL_UNIT_BASE},
        {"3kJ/K", JL_HEAT, 3000, JL_UNIT_BASE},
        {"500J/C", JL_HEAT, 500, JL_UNIT_BASE},
        {"500J/K", JL_HEAT, 500, JL_UNIT_BASE},
        {"4", JL_NUMBER, 4, JL_UNIT_BASE},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_quantity q = {NAN, JL_UNIT_BASE};
        CHECK_OK(jl_quantity_read(at[i].text, at[i].kind, &q));
        CHECK_NEAR(q.value, at[i].value, 1e-9);
        CHECK(q.unit == at[i].unit);
    }
}

static void texts_that_are_no_quantity_are_refused(void) {
    static const struct {
        const char *text;
        jl_kind kind;
        jl_status status;
    } at[] = {
        {"500", JL_VOLUME, JL_UNIT},
        {"500mg", JL_VOLUME, JL_UNIT},
        {"1,000ml", JL_VOLUME, JL_AMBIGUOUS},
        {"1,000,000ml", JL_VOLUME, JL_AMBIGUOUS},
        {"1,000,0ml", JL_VOLUME, JL_AMBIGUOUS},
        {"-1ml", JL_VOLUME, JL_RANGE},
        {"ml", JL_VOLUME, JL_FORM},
        {"72.5", JL_STRENGTH, JL_UNIT},
        {"101%", JL_STRENGTH, JL_RANGE},
        {"201proof", JL_STRENGTH, JL_RANGE},
        {"-1%", JL_STRENGTH, JL_RANGE},
        {"24", JL_TEMPERATURE, JL_UNIT},
        {"-300C", JL_TEMPERATURE, JL_RANGE},
        {"2h75", JL_DURATION, JL_FORM},
        {"1h60", JL_DURATION, JL_FORM},
        {"1.5h30", JL_DURATION, JL_FORM},
        {"30", JL_DURATION, JL_UNIT},
        {"2h30x", JL_DURATION, JL_FORM},
        {"2h30h", JL_DURATION, JL_FORM},
        {"2h1e999", JL_DURATION, JL_RANGE},
        {"1,5,ml", JL_VOLUME, JL_UNIT},
        {"2ex", JL_VOLUME, JL_UNIT},
        {"1", (jl_kind)(JL_HEAT + 1), JL_RANGE},
        {"1.0.6", JL_GRAVITY, JL_UNIT},
        {"4x", JL_NUMBER, JL_UNIT},
        {"", JL_VOLUME, JL_FORM},
        {"nanml", JL_VOLUME, JL_FORM},
        {"1e999ml", JL_VOLUME, JL_RANGE},
        {"110%", JL_SHARE, JL_RANGE},
        {"verylongunitname1234567890", JL_VOLUME, JL_FORM},
        {"5verylongunitname1234567890", JL_VOLUME, JL_UNIT},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_quantity q = {7, JL_UNIT_BASE};
        CHECK_STATUS(jl_quantity_read(at[i].text, at[i].kind, &q), at[i].status);
        CHECK(q.value == 7);
    }
}

static void every_kind_has_its_range(void) {
    static const struct {
        jl_kind kind;
        const char *least, *below, *most, *above;
    } AT[] = {
        {JL_VOLUME, "0l", "-1ml", "1e9l", "1000000001l"},
        {JL_MASS, "0g", "-1g", "1e9kg", "1000000001kg"},
        {JL_STRENGTH, "0%", "-0.1%", "100%", "100.1%"},
        {JL_STRENGTH, "0proof", "-0.1proof", "200proof", "200.1proof"},
        {JL_TEMPERATURE, "-273.15C", "-273.16C", "1000C", "1000.1C"},
        {JL_TEMPERATURE_DIFFERENCE, "-1000C", "-1000.1C", "1000C", "1000.1C"},
        {JL_POWER, "0W", "-1W", "1e9W", "1000000001W"},
        {JL_DURATION, "0s", "-1s", "1e9s", "1000000001s"},
        {JL_PRESSURE, "0Pa", "-1Pa", "1e6kPa", "1000001kPa"},
        {JL_ALTITUDE, "-1000m", "-1001m", "12000m", "12001m"},
        {JL_GRAVITY, "-100P", "-100.1P", "1e9", "1000000001"},
        {JL_SHARE, "0%", "-0.1%", "100%", "100.1%"},
        {JL_HEAT, "0J/K", "-1J/K", "1e9J/K", "1000000001J/K"},
        {JL_NUMBER, "-1e300", "-1.1e300", "1e300", "1.1e300"},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_quantity q = {7, JL_UNIT_BASE};
        CHECK_STATUS(jl_quantity_read(AT[i].below, AT[i].kind, &q), JL_RANGE);
        CHECK_STATUS(jl_quantity_read(AT[i].above, AT[i].kind, &q), JL_RANGE);
        CHECK(q.value == 7);
        CHECK_OK(jl_quantity_read(AT[i].least, AT[i].kind, &q));
        CHECK_OK(jl_quantity_read(AT[i].most, AT[i].kind, &q));
    }
}

static void every_kind_tells_its_forms(void) {
    for (int kind = 0; kind <= JL_HEAT; kind++) CHECK(strlen(jl_quantity_forms((jl_kind)kind)) > 0);
    CU_ASSERT_STRING_EQUAL(jl_quantity_forms((jl_kind)(JL_HEAT + 1)), "");
}

/* ---- numbers that may have been meant ---- */

typedef struct meant {
    double numbers[200];
    size_t count;
} meant;

static void note_meant(void *with, double number) {
    meant *m = with;
    if (m->count < 200) m->numbers[m->count] = number;
    m->count++;
}

static bool was_meant(const meant *m, double number) {
    for (size_t i = 0; i < m->count && i < 200; i++)
        if (m->numbers[i] == number) return true;
    return false;
}

static void one_slip_of_a_digit_is_undone(void) {
    meant m = {.count = 0};
    jl_other_digits(72.5, note_meant, &m);
    CHECK(was_meant(&m, 42.5) && was_meant(&m, 172.5) && was_meant(&m, 7.5));
    CHECK(was_meant(&m, 27.5) && was_meant(&m, 725) && was_meant(&m, 7.25));
    CHECK(was_meant(&m, 72.51) && was_meant(&m, 70.5) && !was_meant(&m, 42));
    CHECK(!was_meant(&m, 7.2) && !was_meant(&m, 0.725));
    /* a digit put in at 5 places or over one of 4, one left out of 3, two exchanged at 3 */
    CHECK(m.count == 50 + 40 + 3 + 3);
}

/* A minus or an exponent is no digit that a finger slips on. */
static void what_is_no_plain_number_has_no_slips(void) {
    static const double NUMBERS[] = {-5, 1e-7, 1e9, NAN, INFINITY};
    meant m = {.count = 0};
    for (size_t i = 0; i < sizeof NUMBERS / sizeof NUMBERS[0]; i++)
        jl_other_digits(NUMBERS[i], note_meant, &m);
    CHECK(m.count == 0);
}

static void a_point_may_have_moved(void) {
    meant m = {.count = 0};
    jl_other_points(7.25, note_meant, &m);
    CHECK(m.count == 4 && was_meant(&m, 72.5) && was_meant(&m, 725));
    CHECK_NEAR(m.numbers[0], 0.725, 1e-15);
    CHECK_NEAR(m.numbers[2], 0.0725, 1e-15);
}

CU_TestInfo quantity_tests[] = {
    {"every kind tells its forms", every_kind_tells_its_forms},
    {"every kind has its range", every_kind_has_its_range},
    {"a number ends with its length", a_number_ends_with_its_length},
    {"a number may have hundreds of digits", a_number_may_have_hundreds_of_digits},
    {"one slip of a digit is undone", one_slip_of_a_digit_is_undone},
    {"what is no plain number has no slips", what_is_no_plain_number_has_no_slips},
    {"a point may have moved", a_point_may_have_moved},
    {"decimals are the nearest double", decimals_are_the_nearest_double},
    {"written numbers are what printf writes", written_numbers_are_what_printf_writes},
    {"random decimals equal strtod", random_decimals_equal_strtod},
    {"what is no decimal is refused", what_is_no_decimal_is_refused},
    {"a comma is a point only where certain", a_comma_is_a_point_only_where_that_is_certain},
    {"numbers do not follow the locale", numbers_do_not_follow_the_locale},
    {"written numbers have no negative zero", written_numbers_have_no_negative_zero},
    {"every unit converts", every_unit_converts},
    {"texts that are no quantity are refused", texts_that_are_no_quantity_are_refused},
    CU_TEST_INFO_NULL,
};
