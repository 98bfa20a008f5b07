/* Values of JSON.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/json.h"
#include "picture/suites.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *number(double value) {
    static char out[64];
    char *text = NULL;
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    json_number(to, value);
    fclose(to);
    snprintf(out, sizeof out, "%s", text);
    free(text);
    return out;
}

#define CHECK_NUMBER(value, want) CU_ASSERT_STRING_EQUAL(number(value), want)

static void whole_numbers_are_whole_below_a_thousand_million_million(void) {
    CHECK_NUMBER(0, "0");
    CHECK_NUMBER(-0.0, "0");
    CHECK_NUMBER(7, "7");
    CHECK_NUMBER(-12, "-12");
    CHECK_NUMBER(1e12, "1000000000000");
    CHECK_NUMBER(999999999999999, "999999999999999");
    CHECK_NUMBER(1e15, "1e15");
    CHECK_NUMBER(-1e15, "-1e15");
    CHECK_NUMBER(1e300, "1e300");
}

static void others_have_twelve_digits(void) {
    CHECK_NUMBER(0.5, "0.5");
    CHECK_NUMBER(1.0 / 3, "0.333333333333");
    CHECK_NUMBER(-100.0 / 3, "-33.3333333333");
    CHECK_NUMBER(123456.789, "123456.789");
    CHECK_NUMBER(1e-4, "0.0001");
    CHECK_NUMBER(0.99e-4, "9.9e-5");
    CHECK_NUMBER(1e-300, "1e-300");
    CHECK_NUMBER(99999999999.5, "99999999999.5");
}

static void what_is_no_number_is_null(void) {
    CHECK_NUMBER(NAN, "null");
    CHECK_NUMBER(INFINITY, "null");
    CHECK_NUMBER(-INFINITY, "null");
}

CU_TestInfo json_tests[] = {
    {"whole numbers are whole below a thousand million million",
     whole_numbers_are_whole_below_a_thousand_million_million},
    {"others have twelve digits", others_have_twelve_digits},
    {"what is no number is null", what_is_no_number_is_null},
    CU_TEST_INFO_NULL,
};
