/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "text/timestamp.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

static jl_status read_text(const char *text, jl_time *time) {
    return jl_time_read(text, strlen(text), time);
}

/* The examples of RFC 3339, section 5.8; the seconds are timegm's. */
static void examples_of_rfc_3339(void) {
    static const struct {
        const char *text;
        int64_t unix_s;
        int offset_s;
    } at[] = {
        {"1985-04-12T23:20:50.52Z", 482196050, 0},
        {"1996-12-19T16:39:57-08:00", 851042397, -28800},
        {"1990-12-31T23:59:60Z", 662688000, 0},
        {"1990-12-31T15:59:60-08:00", 662688000, -28800},
        {"1937-01-01T12:00:27.87+00:20", -1041337173, 1200},
        {"1970-01-01T00:00:00Z", 0, 0},
        {" 2026-03-07t18:05:00z\t", 1772906700, 0},
        {"2026-03-07 19:05:00+01:00", 1772906700, 3600},
        {"2024-02-29T00:00:00-00:00", 1709164800, 0},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_time time = {0, 0};
        CHECK_OK(read_text(at[i].text, &time));
        CHECK_NEAR((double)time.unix_s, (double)at[i].unix_s, 0);
        CHECK(time.offset_s == at[i].offset_s);
    }
}

static void days_agree_with_the_c_library(void) {
    size_t wrong = 0;
    for (int64_t day = -719528; day < 2932897; day += 97) {
        int64_t unix_s = day * 86400 + 45296;
        time_t when = (time_t)unix_s;
        struct tm tm;
        char text[64], ours[JL_TIME_BYTES];
        jl_time time = {1, 1};
        gmtime_r(&when, &tm);
        snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02d+00:00", tm.tm_year + 1900,
                 tm.tm_mon + 1, tm.tm_mday, tm.tm_hour, tm.tm_min, tm.tm_sec);
        if (read_text(text, &time) != JL_OK || time.unix_s != unix_s) wrong++;
        if (jl_time_write(time, ours, sizeof ours) != JL_OK || strcmp(ours, text) != 0) wrong++;
    }
    CHECK(wrong == 0);
}

static void moments_are_written_in_their_own_offset(void) {
    static const char *const same[] = {
        "2026-03-07T18:05:09+01:00", "2026-12-31T23:59:59-09:30", "0000-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-12:00", "2024-02-29T23:30:00+05:45", "1969-12-31T23:59:59+00:00",
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        jl_time time;
        char text[JL_TIME_BYTES] = "";
        CHECK_OK(read_text(same[i], &time));
        CHECK_OK(jl_time_write(time, text, sizeof text));
        CU_ASSERT_STRING_EQUAL(text, same[i]);
    }
    char text[JL_TIME_BYTES];
    CHECK_STATUS(jl_time_write((jl_time){0, 0}, text, JL_TIME_BYTES - 1), JL_RANGE);
    CHECK_STATUS(jl_time_write((jl_time){0, 30}, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_time_write((jl_time){0, 86400}, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_time_write((jl_time){0, -86400}, text, sizeof text), JL_RANGE);
    /* The first second of the year 0 and the first of the year 10000, where the moment is. */
    CHECK_OK(jl_time_write((jl_time){-62167219200 - 3600, 3600}, text, sizeof text));
    CHECK_STATUS(jl_time_write((jl_time){-62167219200 - 3601, 3600}, text, sizeof text), JL_RANGE);
    CHECK_OK(jl_time_write((jl_time){253402300799 + 3600, -3600}, text, sizeof text));
    CHECK_STATUS(jl_time_write((jl_time){253402300799 + 3601, -3600}, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_time_write((jl_time){INT64_MAX, 0}, text, sizeof text), JL_RANGE);
    CHECK_STATUS(jl_time_write((jl_time){INT64_MIN, 0}, text, sizeof text), JL_RANGE);
}

static void what_is_no_moment_is_refused(void) {
    static const char *const form[] = {
        "",
        "2026-03-07",
        "2026-03-07T18:05:00",
        "2026-03-07T18:05+01:00",
        "26-03-07T18:05:00Z",
        "2026-3-7T18:05:00Z",
        "2026-03-07T18:05:00.Z",
        "2026-03-07T18:05:00+0100",
        "2026-03-07T18:05:00Zx",
        "2026-03-07T18:05:00 Z",
        "07/03/2026 18:05",
        "+026-03-07T18:05:00Z",
        "2026-03-07T18:05:00+1:00",
        "2026-03-07_18:05:00Z",
    };
    static const char *const range[] = {
        "2024-02-30T18:05:00Z", "2000-02-30T00:00:00Z",      "2026-02-30T18:05:00Z",
        "2026-02-29T18:05:00Z", "1900-02-29T00:00:00Z",      "2026-13-01T18:05:00Z",
        "2026-00-01T18:05:00Z", "2026-01-00T18:05:00Z",      "2026-04-31T18:05:00Z",
        "2026-03-07T24:00:00Z", "2026-03-07T18:60:00Z",      "2026-03-07T18:05:61Z",
        "2026-03-07T18:05:60Z", "2026-03-07T18:05:00+24:00", "2026-03-07T18:05:00+01:60",
    };
    jl_time time = {7, 7};
    for (size_t i = 0; i < sizeof form / sizeof form[0]; i++)
        CHECK_STATUS(read_text(form[i], &time), JL_FORM);
    for (size_t i = 0; i < sizeof range / sizeof range[0]; i++)
        CHECK_STATUS(read_text(range[i], &time), JL_RANGE);
    CHECK(time.unix_s == 7 && time.offset_s == 7);
}

/* The rule of the Gregorian calendar, in a year without a leap day. */
static void a_month_ends_with_its_last_day(void) {
    static const int LAST[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    for (int month = 1; month <= 12; month++)
        for (int beyond = 0; beyond <= 1; beyond++) {
            char text[32];
            jl_time time;
            snprintf(text, sizeof text, "2025-%02d-%02dT12:00:00Z", month,
                     LAST[month - 1] + beyond);
            CHECK_STATUS(read_text(text, &time), beyond ? JL_RANGE : JL_OK);
        }
}

static void every_byte_of_a_moment_counts(void) {
    static const char MOMENT[] = "2026-03-07T18:05:09.5+01:00";
    char text[sizeof MOMENT];
    jl_time time;
    for (size_t i = 0; i + 1 < sizeof MOMENT; i++) {
        memcpy(text, MOMENT, sizeof MOMENT);
        text[i] = 'x';
        CHECK_STATUS(read_text(text, &time), JL_FORM);
        CHECK_STATUS(jl_time_read(MOMENT, i, &time), JL_FORM);
    }
    CHECK_OK(jl_time_read(MOMENT, sizeof MOMENT - 1, &time));
}

static jl_status read_moment(const char *text, const jl_time *before, int offset_s, char *moment) {
    jl_written_time written;
    jl_time time;
    jl_status status = jl_written_time_read(text, strlen(text), &written);
    if (status == JL_OK) status = jl_time_of_written(&written, before, offset_s, &time);
    return status == JL_OK ? jl_time_write(time, moment, JL_TIME_BYTES) : status;
}

static void moments_are_read_as_people_write_them(void) {
    static const struct {
        const char *text, *moment;
    } at[] = {
        {"2026-10-24T09:02:30+02:00", "2026-10-24T09:02:30+02:00"},
        {"2026-10-24 09:02", "2026-10-24T09:02:00+01:00"},
        {"2026-10-24T09:02Z", "2026-10-24T09:02:00+00:00"},
        {"2026-10-24 9:02 +0530", "2026-10-24T09:02:00+05:30"},
        {"2026-10-24 09:02:59 -03", "2026-10-24T09:02:59-03:00"},
        {"2026/10/24 09:02", "2026-10-24T09:02:00+01:00"},
        {"24.10.2026 09:02", "2026-10-24T09:02:00+01:00"},
        {" 4.1.2026, 9:02\t", "2026-01-04T09:02:00+01:00"},
        {"24 Oct 2026 9:02", "2026-10-24T09:02:00+01:00"},
        {"24-oct-2026 9:02", "2026-10-24T09:02:00+01:00"},
        {"24 October 2026, 21:02", "2026-10-24T21:02:00+01:00"},
        {"Oct 24, 2026 at 9:02 AM", "2026-10-24T09:02:00+01:00"},
        {"Sept. 4 2026 9 p.m.", "2026-09-04T21:00:00+01:00"},
        {"24/10/2026 9:02 pm", "2026-10-24T21:02:00+01:00"},
        {"10/24/2026 12:02 am", "2026-10-24T00:02:00+01:00"},
        {"04/04/2026 12:02 pm", "2026-04-04T12:02:00+01:00"},
        {"24.10.2026 at 9 pm", "2026-10-24T21:00:00+01:00"},
        {"2026-10-24 9:02:30.25", "2026-10-24T09:02:30+01:00"},
        {"24.10.2026 9.02", "2026-10-24T09:02:00+01:00"},
        {"24 Oct 2026 9.02pm", "2026-10-24T21:02:00+01:00"},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        char moment[JL_TIME_BYTES] = "";
        CHECK_OK(read_moment(at[i].text, NULL, 3600, moment));
        CU_ASSERT_STRING_EQUAL(moment, at[i].moment);
    }
}

/* What stands behind it is not looked at. */
static void a_moment_ends_with_its_length(void) {
    static const char *const MOMENTS[] = {
        "2026-10-24T09:02:30+02:00",
        "2026-10-24T09:02:30.5Z",
        "2026-10-24 9:02",
        "2026-10-24 9:02:30.5",
        "24.10.2026 9 pm",
        "24 Oct 2026 9:02 p.m",
        "2026-10-24 9:02 +05",
        "2026-10-24",
        "Oct 24, 2026",
    };
    static const char BEHIND[] = "5:.+-zZamT, ";
    for (size_t i = 0; i < sizeof MOMENTS / sizeof MOMENTS[0]; i++)
        for (const char *next = BEHIND; *next != '\0'; next++) {
            char text[40];
            size_t length = strlen(MOMENTS[i]);
            jl_written_time alone, within;
            jl_time time;
            snprintf(text, sizeof text, "%s%c", MOMENTS[i], *next);
            CHECK_OK(jl_written_time_read(MOMENTS[i], length, &alone));
            CHECK_OK(jl_written_time_read(text, length, &within));
            CHECK(within.days == alone.days && within.second_of_day == alone.second_of_day);
            CHECK(within.offset_s == alone.offset_s && within.has_offset == alone.has_offset);
            CHECK_STATUS(jl_time_read(text, length, &time), i < 2 ? JL_OK : JL_FORM);
        }
}

static void a_bare_time_is_the_first_after_the_moment_before(void) {
    static const struct {
        const char *text, *before, *moment;
    } at[] = {
        {"09:02", "2026-10-24T08:50:00+02:00", "2026-10-24T09:02:00+02:00"},
        {"09:02", "2026-10-24T09:02:00+02:00", "2026-10-24T09:02:00+02:00"},
        {"9:02 pm", "2026-10-24T08:50:00+02:00", "2026-10-24T21:02:00+02:00"},
        {"9 P.M.", "2026-10-24T08:50:00+02:00", "2026-10-24T21:00:00+02:00"},
        {"00:10", "2026-10-24T23:58:00+02:00", "2026-10-25T00:10:00+02:00"},
        {"00:10", "2026-12-31T23:58:00+02:00", "2027-01-01T00:10:00+02:00"},
        {"09:02", "1969-12-30T09:03:00-05:00", "1969-12-31T09:02:00-05:00"},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        char moment[JL_TIME_BYTES] = "";
        jl_time before;
        CHECK_OK(read_text(at[i].before, &before));
        CHECK_OK(read_moment(at[i].text, &before, before.offset_s, moment));
        CU_ASSERT_STRING_EQUAL(moment, at[i].moment);
    }
    char moment[JL_TIME_BYTES];
    CHECK_STATUS(read_moment("09:02", NULL, 0, moment), JL_MISSING);
    CHECK_STATUS(read_moment("2026-10-24", NULL, 0, moment), JL_MISSING);
    CHECK_STATUS(read_moment("2026-10-24 9:02", NULL, 86400, moment), JL_RANGE);
    CHECK_STATUS(read_moment("2026-10-24 9:02", NULL, -86400, moment), JL_RANGE);
    const jl_written_time written = {true, true, false, 20000, 32520, 0};
    jl_time time = {7, 7};
    CHECK_STATUS(jl_time_of_written(&written, NULL, 86400, &time), JL_RANGE);
    CHECK_STATUS(jl_time_of_written(&written, NULL, -86400, &time), JL_RANGE);
    CHECK(time.unix_s == 7);
    CHECK_OK(jl_time_of_written(&written, NULL, -86340, &time));
    CHECK(time.unix_s == 20000 * INT64_C(86400) + 32520 + 86340 && time.offset_s == -86340);
}

static void a_date_of_two_readings_is_refused_with_both(void) {
    char first[JL_DATE_BYTES], second[JL_DATE_BYTES];
    jl_written_time w;
    CHECK_STATUS(jl_written_time_read("03/04/2026 9:02", 15, &w), JL_AMBIGUOUS);
    CHECK_OK(jl_date_readings("03/04/2026 9:02", 15, first, second));
    CU_ASSERT_STRING_EQUAL(first, "2026-04-03");
    CU_ASSERT_STRING_EQUAL(second, "2026-03-04");
    CHECK_STATUS(jl_date_readings("24/10/2026", 10, first, second), JL_NO);
    static const char *const form[] = {"",
                                       "today",
                                       "24 Oct",
                                       "9",
                                       "0902",
                                       "9.02",
                                       "24.10.26",
                                       "2026-10-24 0902",
                                       "2026-10-24x",
                                       "24 Okt 2026",
                                       "9:2",
                                       "9:02 xm",
                                       "9:02 +1",
                                       "9:02 +01:0",
                                       "Ma 4, 2026",
                                       "9:02:",
                                       "9:02 ax",
                                       "9:02 p.",
                                       "9:02:30.",
                                       "9:02:3",
                                       "9:02 +01:00x",
                                       "9:02 Zx",
                                       "2026-x",
                                       "2026-10x",
                                       "2026-10-x",
                                       "2026.10.24",
                                       "100.1.2026",
                                       "24.x.2026",
                                       "24.10x2026",
                                       "Oct x 2026",
                                       "Oct 24 26",
                                       "Mayx 4 2026",
                                       "Octobor 4 2026",
                                       "4 Octob{r 2026",
                                       "24.10.2026 am 9:02",
                                       "24.10.2026 ax 9:02"};
    static const char *const range[] = {"25:02",           "9:60",
                                        "13:02 pm",        "0:10 am",
                                        "9:02:60",         "30.2.2026",
                                        "2026-13-01 9:02", "31/31/2026",
                                        "9:02 +24:00",     "2026-00-10 9:02",
                                        "2026-01-00 9:02", "9:02 +01:60",
                                        "0/0/2026",        "Feb 29 2025",
                                        "9:02 -24"};
    for (size_t i = 0; i < sizeof form / sizeof form[0]; i++)
        CHECK_STATUS(jl_written_time_read(form[i], strlen(form[i]), &w), JL_FORM);
    for (size_t i = 0; i < sizeof range / sizeof range[0]; i++)
        CHECK_STATUS(jl_written_time_read(range[i], strlen(range[i]), &w), JL_RANGE);
}

static void a_cell_takes_day_and_offset_from_the_moment_before(void) {
    const jl_time before = {1792825200, 7200}; /* 2026-10-24T09:00+02:00 */
    jl_time t;
    CHECK_OK(jl_time_in_cell("9:02", 4, &before, &t, NULL));
    CHECK(t.unix_s == before.unix_s + 120 && t.offset_s == 7200);
    CHECK_OK(jl_time_in_cell("8:59", 4, &before, &t, NULL));
    CHECK(t.unix_s == before.unix_s + 86340);
    CHECK_OK(jl_time_in_cell("25.10.2026 09:00", 16, &before, &t, NULL));
    CHECK(t.unix_s == before.unix_s + 86400 && t.offset_s == 7200);
    CHECK_STATUS(jl_time_in_cell("9:02", 4, NULL, &t, NULL), JL_MISSING);
    CHECK_STATUS(jl_time_in_cell("25.10.2026", 10, &before, &t, NULL), JL_MISSING);
}

static void what_a_cell_lacks_is_counted_with_what_it_was_read_as(void) {
    static const char *const CELLS[] = {"9:30", "2026-10-24T09:02:00+02:00", "9:02 pm",
                                        "24.10.2026 09:01", "soon"};
    const jl_time before = {1792825200, 7200}; /* 2026-10-24T09:00+02:00 */
    jl_typed_times typed = {0};
    jl_time t;
    for (size_t i = 0; i < sizeof CELLS / sizeof CELLS[0]; i++)
        (void)jl_time_in_cell(CELLS[i], strlen(CELLS[i]), &before, &t, &typed);
    CHECK(typed.count == 3);
    CHECK(typed.first.unix_s == before.unix_s + 60 && typed.first.offset_s == 7200);
    CHECK(typed.last.unix_s == before.unix_s + 12 * 3600 + 120);
}

/* RFC 3339 knows whole minutes only; before time zones places had seconds too. */
static void a_place_s_offset_is_in_whole_minutes(void) {
    static const struct {
        const char *zone;
        int offset_s;
    } at[] = {{"XXX-5:53:28", 21180}, {"XXX4:56:02", -17760}, {"XXX-1", 3600}};
    const char *zone = getenv("TZ");
    char *before = zone == NULL ? NULL : strdup(zone);
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_time t = {0, 1};
        char text[JL_TIME_BYTES];
        setenv("TZ", at[i].zone, 1);
        tzset();
        CHECK_OK(jl_time_in_cell("24.10.2026 09:02", 16, NULL, &t, NULL));
        CHECK(t.offset_s == at[i].offset_s);
        CHECK_OK(jl_time_write(t, text, sizeof text));
        CHECK(strncmp(text, "2026-10-24T09:02:00", 19) == 0);
    }
    if (before == NULL)
        unsetenv("TZ");
    else
        setenv("TZ", before, 1);
    tzset();
    free(before);
}

CU_TestInfo timestamp_tests[] = {
    {"a place's offset is in whole minutes", a_place_s_offset_is_in_whole_minutes},
    {"a cell takes day and offset from the moment before",
     a_cell_takes_day_and_offset_from_the_moment_before},
    {"what a cell lacks is counted, with what it was read as",
     what_a_cell_lacks_is_counted_with_what_it_was_read_as},
    {"examples of RFC 3339", examples_of_rfc_3339},
    {"a month ends with its last day", a_month_ends_with_its_last_day},
    {"days agree with the C library over ten thousand years", days_agree_with_the_c_library},
    {"moments are written in their own offset", moments_are_written_in_their_own_offset},
    {"what is no moment is refused", what_is_no_moment_is_refused},
    {"every byte of a moment counts", every_byte_of_a_moment_counts},
    {"moments are read as people write them", moments_are_read_as_people_write_them},
    {"a moment ends with its length", a_moment_ends_with_its_length},
    {"a bare time is the first after the moment before",
     a_bare_time_is_the_first_after_the_moment_before},
    {"a date of two readings is refused with both", a_date_of_two_readings_is_refused_with_both},
    CU_TEST_INFO_NULL,
};
