/* Gravity logs as people write them, and what is refused in one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "jarline.h"
#include "suites.h"

/* Reads a log to its end or its first fault; returns the rows that came through. */
static size_t read_log(const char *text, jl_wash_row *rows, size_t most, jl_fault *fault) {
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_log *log = NULL;
    jl_wash_row row;
    size_t count = 0;
    int fd = given(text);
    jl_status status = jl_wash_log_open(fd, &hydrometer, &log, fault);
    if (status == JL_OK)
        while ((status = jl_wash_log_next(log, &row, fault)) == JL_OK && count < most)
            rows[count++] = row;
    if (status == JL_END) fault->status = JL_END;
    jl_wash_log_close(log);
    close(fd);
    return count;
}

static void a_log_of_a_spreadsheet_reads_like_one_by_hand(void) {
    static const char *const TEXTS[] = {
        "time,gravity,temp_c,note\n2026-09-05T18:00:00+02:00,1.053,18.5,pitched\n"
        "2026-09-07T18:00:00+02:00,10.2P,,\n",
        "\xef\xbb\xbf# a comment\r\nNote;Gravity;TEMP_C;Time;;\r\n"
        "pitched;1,053;18,5;2026-09-05T18:00:00+02:00;;\r\n"
        ";10,2P;;2026-09-07T18:00:00+02:00;;\r\n;;;;;\r\n",
        "time\tgravity\ttemp_f\n2026-09-05T16:00:00Z\t1.053\t65.3\n\n"
        "2026-09-07T16:00:00Z\t10.2 P",
    };
    for (size_t i = 0; i < sizeof TEXTS / sizeof TEXTS[0]; i++) {
        jl_wash_row rows[4];
        jl_fault fault = {0};
        CHECK(read_log(TEXTS[i], rows, 4, &fault) == 2);
        CHECK(fault.status == JL_END);
        CHECK(!rows[0].is_step && rows[0].time.unix_s == 1788624000);
        CHECK_NEAR(rows[0].reading.value, 1.053, 0);
        CHECK_NEAR(rows[0].temp_c, 18.5, 1e-12);
        jl_hydrometer hydrometer = JL_HYDROMETER;
        double sg = NAN;
        CHECK_OK(jl_gravity_at_20(&hydrometer, rows[0].reading, 18.5, &sg));
        CHECK_NEAR(rows[0].sg, sg, 1e-12);
        CHECK(rows[1].reading.unit == JL_UNIT_PLATO && isnan(rows[1].temp_c));
        CHECK_OK(jl_gravity_at_20(&hydrometer, rows[1].reading, 20, &sg));
        CHECK_NEAR(rows[1].sg, sg, 0);
    }
}

static void steps_stand_between_the_gravities(void) {
    jl_wash_row rows[4];
    jl_fault fault = {0};
    CHECK(read_log("time,gravity,step,duration\n2026-09-05T18:00:00+02:00,1.053,,\n"
                   "2026-09-05T18:00:00+02:00,,degas,36h\n2026-09-06T18:00:00+02:00,,settle,\n",
                   rows, 4, &fault) == 3);
    CHECK(rows[1].is_step && isnan(rows[1].sg));
    CHECK_NEAR(rows[1].duration_s, 36 * 3600.0, 0);
    CHECK(rows[2].is_step && isnan(rows[2].duration_s));
}

#define T1 "2026-09-05T18:00:00+02:00,"
#define T2 "2026-09-06T18:00:00+02:00,"

static void what_is_no_log_is_refused_with_its_place(void) {
    static const struct {
        const char *text;
        jl_status status;
        size_t rows, line, column;
    } at[] = {
        {"", JL_MISSING, 0, 0, 0},
        {"# nothing\n\n", JL_MISSING, 0, 0, 0},
        {"time,volume_l\n", JL_FORM, 0, 1, 2},
        {"time,note\n", JL_MISSING, 0, 1, 0},
        {"gravity\n", JL_MISSING, 0, 1, 0},
        {"time,gravity,gravity\n", JL_CONFLICT, 0, 1, 3},
        {"time,gravity,temp_c,temp_f\n", JL_CONFLICT, 0, 1, 4},
        {"time,gravity\n,1.053\n", JL_MISSING, 0, 2, 1},
        {"time,gravity\n" T1 "\n", JL_MISSING, 0, 2, 2},
        {"time,gravity\n" T1 "1053\n", JL_RANGE, 0, 2, 2},
        {"time,gravity\n" T1 "1\n", JL_FORM, 0, 2, 2},
        {"time,gravity\n" T1 "1,053\n", JL_FORM, 0, 2, 3},
        {"time,gravity\n" T1 "1.053x\n", JL_UNIT, 0, 2, 2},
        {"time,gravity\n" T1 "abc\n", JL_FORM, 0, 2, 2},
        {"time,gravity\n2026-09-31T18:00:00+02:00,1.053\n", JL_RANGE, 0, 2, 1},
        {"time,gravity\n2026-09-05T18:00:00,1.053\n", JL_FORM, 0, 2, 1},
        {"time,gravity\n" T2 "1.053\n" T1 "1.04\n", JL_CONFLICT, 1, 3, 1},
        {"time,gravity\n" T1 "1.053\n" T1 "1.04\n", JL_CONFLICT, 1, 3, 1},
        {"time,gravity,temp_c\n" T1 "1.053,41\n", JL_RANGE, 0, 2, 3},
        {"time,gravity,temp_c\n" T1 "1.053,warm\n", JL_FORM, 0, 2, 3},
        {"time,gravity,step\n" T1 "1.053,degas\n", JL_CONFLICT, 0, 2, 3},
        {"time,gravity,step,duration\n" T1 ",degas,2\n", JL_UNIT, 0, 2, 4},
        {"time,gravity,step,duration\n" T1 "1.053,,2d\n", JL_CONFLICT, 0, 2, 4},
        {"time,gravity\n\"" T1 "1.053\n", JL_FORM, 0, 2, 0},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_wash_row rows[4];
        jl_fault fault = {0};
        size_t count = read_log(at[i].text, rows, 4, &fault);
        bool good = count == at[i].rows && fault.status == at[i].status &&
                    fault.line == at[i].line && (at[i].column == 0 || fault.column == at[i].column);
        if (!good)
            printf("\n    %s: %zu rows, status %d, line %zu, column %zu", at[i].text, count,
                   (int)fault.status, fault.line, fault.column);
        CHECK(good);
        CHECK(fault.expected != NULL);
    }
}

static void what_cannot_be_read_is_refused(void) {
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_log *log = NULL;
    jl_fault fault = {0};
    CHECK_STATUS(jl_wash_log_open(-1, &hydrometer, &log, &fault), JL_INPUT);
    hydrometer.division = 0;
    CHECK_STATUS(jl_wash_log_open(0, &hydrometer, &log, NULL), JL_RANGE);
    CHECK(log == NULL);
}

CU_TestInfo wash_log_tests[] = {
    {"a spreadsheet's log reads like one by hand", a_log_of_a_spreadsheet_reads_like_one_by_hand},
    {"steps stand between the gravities", steps_stand_between_the_gravities},
    {"what is no log is refused with its place", what_is_no_log_is_refused_with_its_place},
    {"what cannot be read is refused", what_cannot_be_read_is_refused},
    CU_TEST_INFO_NULL,
};
