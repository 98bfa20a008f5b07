/* Gravity logs as people write them, and what is refused in one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "suites.h"
#include "wash/gravity.h"
#include "wash/wash_log.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static jl_wash_log *read_log(const char *text, jl_fault *fault) {
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_log *log = NULL;
    int fd = given(text);
    jl_status status = jl_wash_log_read(fd, &hydrometer, &log, fault);
    CHECK((status == JL_OK) == (log != NULL));
    close(fd);
    return log;
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
        size_t count, step_count;
        jl_fault fault = {0};
        jl_wash_log *log = read_log(TEXTS[i], &fault);
        const jl_wash_reading *rows = jl_wash_log_readings(log, &count);
        jl_wash_log_steps(log, &step_count);
        CHECK(count == 2 && step_count == 0);
        CHECK(rows[0].time.unix_s == 1788624000);
        CHECK(strcmp(rows[0].note, i < 2 ? "pitched" : "") == 0);
        CHECK(strcmp(rows[1].note, "") == 0);
        CHECK_NEAR(rows[0].reading.value, 1.053, 0);
        CHECK_NEAR(rows[0].temp_c, 18.5, 1e-12);
        jl_hydrometer hydrometer = JL_HYDROMETER;
        double sg = NAN;
        CHECK_OK(jl_gravity_at_20(&hydrometer, rows[0].reading, 18.5, &sg));
        CHECK_NEAR(rows[0].sg, sg, 1e-12);
        CHECK(rows[1].reading.unit == JL_UNIT_PLATO && isnan(rows[1].temp_c));
        CHECK_OK(jl_gravity_at_20(&hydrometer, rows[1].reading, 20, &sg));
        CHECK_NEAR(rows[1].sg, sg, 0);
        jl_wash_log_free(log);
    }
}

#define STEPS                                                                                      \
    "time,gravity,step,duration\n2026-09-05T18:00:00+02:00,1.053,,\n"                              \
    "2026-09-05T18:00:00+02:00,,degas,36h\n2026-09-06T18:00:00+02:00,, Settle ,\n"

static void steps_stand_between_the_gravities(void) {
    jl_fault fault = {0};
    size_t count, step_count;
    jl_wash_log *log = read_log(STEPS, &fault);
    const jl_wash_step *steps = jl_wash_log_steps(log, &step_count);
    jl_wash_log_readings(log, &count);
    CHECK(count == 1 && step_count == 2);
    CHECK(strcmp(steps[0].name, "degas") == 0 && steps[0].line == 3 && !steps[0].usual);
    CHECK_NEAR(steps[0].duration_s, 36 * 3600.0, 0);
    CHECK(steps[0].ends.unix_s - steps[0].begins.unix_s == 36 * 3600);
    CHECK(strcmp(steps[1].name, "Settle") == 0 && steps[1].usual);
    CHECK_NEAR(steps[1].duration_s, 48 * 3600.0, 0);
    jl_wash_log_free(log);
}

static void a_step_is_ahead_runs_or_is_done(void) {
    jl_fault fault = {0};
    size_t count;
    jl_wash_log *log = read_log(STEPS, &fault);
    const jl_wash_step *steps = jl_wash_log_steps(log, &count);
    jl_time now = steps[0].begins;
    CHECK(jl_wash_step_state(&steps[0], now) == JL_WAIT_RUNS);
    CHECK(jl_wash_step_state(&steps[1], now) == JL_WAIT_AHEAD);
    now.unix_s--;
    CHECK(jl_wash_step_state(&steps[0], now) == JL_WAIT_AHEAD);
    CHECK(jl_wash_waits_end(log, now).unix_s == steps[1].ends.unix_s);
    CHECK(jl_wash_step_state(&steps[1], steps[1].ends) == JL_WAIT_DONE);
    now.unix_s = steps[1].ends.unix_s + 5;
    CHECK(jl_wash_waits_end(log, now).unix_s == now.unix_s);
    CHECK(jl_wash_has_step(log, "SETTLE") && !jl_wash_has_step(log, "clear"));
    CHECK(!jl_wash_has_step(log, "settl"));
    jl_wash_log_free(log);
}

static void a_step_goes_by_any_of_its_words(void) {
    int fd = given("time,gravity,step\n"
                   "2026-11-01T08:00:00Z,1.062,\n"
                   "2026-11-02T08:00:00Z,,Degassed\n"
                   "2026-11-03T08:00:00Z,,racked\n"
                   "2026-11-04T08:00:00Z,,clear\n");
    jl_wash_log *log = NULL;
    CHECK_OK(jl_wash_log_read(fd, &JL_HYDROMETER, &log, NULL));
    close(fd);
    CHECK(jl_wash_has_step(log, "degas") && jl_wash_has_step(log, "clear"));
    CHECK(jl_wash_has_step(log, "racked") && !jl_wash_has_step(log, "settle"));
    jl_wash_log_free(log);
}

static void usual_waits_have_their_purpose(void) {
    size_t count;
    const jl_usual_wait *waits = jl_usual_waits(&count);
    CHECK(count == 3);
    CHECK(jl_wash_usual_wait_s("Settled") == 2 * 86400.0 && jl_wash_usual_wait_s("racked") == 0);
    CHECK(isnan(jl_wash_usual_wait_s("rested")));
    for (size_t i = 0; i < count; i++)
        CHECK(waits[i].duration_s >= 86400 && waits[i].purpose[0] != '\0');
}

static void a_log_is_judged_like_its_gravities(void) {
    jl_fault fault = {0};
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_ferment f = {.slope_per_day = 7};
    jl_wash_log *log = read_log("time,gravity\n2026-09-05T18:00:00Z,1.053\n"
                                "2026-09-14T18:00:00Z,0.998\n2026-09-17T17:59:59Z,0.998\n",
                                &fault);
    CHECK_OK(jl_wash_log_judge(log, &rule, &f));
    CHECK(f.state == JL_WORKING && !f.rises);
    CHECK_NEAR(f.finishes_s - f.still_since_s, 3 * 86400.0, 0);
    rule.span_s -= 1;
    CHECK_OK(jl_wash_log_judge(log, &rule, &f));
    CHECK(f.state == JL_FINISHED && isnan(f.finishes_s));
    jl_wash_log_free(log);
    log = read_log("time,gravity\n", &fault);
    CHECK_STATUS(jl_wash_log_judge(log, &rule, &f), JL_MISSING);
    jl_wash_log_free(log);
}

static void a_long_log_is_held_whole(void) {
    enum { ROWS = 100 };
    char text[64 * ROWS];
    size_t used = (size_t)sprintf(text, "time,gravity,step\n"), count, step_count;
    for (int i = 0; i < ROWS; i++)
        used += (size_t)sprintf(text + used,
                                "2026-09-05T18:%02d:%02dZ,1.0%02d,\n"
                                "2026-09-05T18:%02d:%02dZ,,settle\n",
                                i / 60, i % 60, 99 - i, i / 60, i % 60);
    jl_fault fault = {0};
    jl_wash_log *log = read_log(text, &fault);
    const jl_wash_reading *readings = jl_wash_log_readings(log, &count);
    jl_wash_log_steps(log, &step_count);
    CHECK(count == ROWS && step_count == ROWS);
    for (size_t i = 0; i < count; i++) CHECK(readings[i].line == 2 + 2 * i);
    jl_wash_log_free(log);
}

#define T1 "2026-09-05T18:00:00+02:00,"
#define T2 "2026-09-06T18:00:00+02:00,"

static void what_is_no_log_is_refused_with_its_place(void) {
    static const struct {
        const char *text;
        jl_status status;
        size_t line, column;
    } at[] = {
        {"", JL_MISSING, 0, 0},
        {"# nothing\n\n", JL_MISSING, 0, 0},
        {"time,volume_l\n", JL_FORM, 1, 2},
        {"time,note\n", JL_MISSING, 1, 0},
        {"gravity\n", JL_MISSING, 1, 0},
        {"time,gravity,gravity\n", JL_CONFLICT, 1, 3},
        {"time,gravity,temp_c,temp_f\n", JL_CONFLICT, 1, 4},
        {"time,gravity\n,1.053\n", JL_MISSING, 2, 1},
        {"time,gravity\n" T1 "\n", JL_MISSING, 2, 2},
        {"time,gravity\n" T1 "53\n", JL_RANGE, 2, 2},
        {"time,gravity\n" T1 "1\n", JL_FORM, 2, 2},
        {"time,gravity\n" T1 "1,053\n", JL_FORM, 2, 3},
        {"time,gravity\n" T1 "1.053x\n", JL_UNIT, 2, 2},
        {"time,gravity\n" T1 "abc\n", JL_FORM, 2, 2},
        {"time,gravity\n03/04/2026 18:00,1.053\n", JL_AMBIGUOUS, 2, 1},
        {"time,gravity\n" T2 "1.053\n" T1 "1.04\n", JL_CONFLICT, 3, 1},
        {"time,gravity\n" T1 "1.053\n" T1 "1.04\n", JL_CONFLICT, 3, 1},
        {"time,gravity,temp_c\n" T1 "1.053,41\n", JL_RANGE, 2, 3},
        {"time,gravity,temp_c\n" T1 "1.053,warm\n", JL_FORM, 2, 3},
        {"time,gravity,step\n" T1 "1.053,degas\n", JL_CONFLICT, 2, 3},
        {"time,gravity,step,duration\n" T1 ",degas,2\n", JL_UNIT, 2, 4},
        {"time,gravity,step,duration\n" T1 "1.053,,2d\n", JL_CONFLICT, 2, 4},
        {"time,gravity,step,add\n" T1 ",degas,6kg sugar\n", JL_CONFLICT, 2, 4},
        {"time,gravity,step\n" T1 ",rest\n", JL_MISSING, 2, 3},
        {"time,gravity,step,duration\n" T1 ",rested,\n", JL_MISSING, 2, 3},
        {"time,gravity\n\"" T1 "1.053\n", JL_FORM, 2, 0},
    };
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
        jl_fault fault = {0};
        CHECK(read_log(at[i].text, &fault) == NULL);
        bool good = fault.status == at[i].status && fault.line == at[i].line &&
                    (at[i].column == 0 || fault.column == at[i].column);
        if (!good)
            printf("\n    %s: status %d, line %zu, column %zu", at[i].text, (int)fault.status,
                   fault.line, fault.column);
        CHECK(good);
        CHECK(fault.expected != NULL);
    }
}

static void what_cannot_be_read_is_refused(void) {
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_log *log = NULL;
    jl_fault fault = {0};
    CHECK_STATUS(jl_wash_log_read(-1, &hydrometer, &log, &fault), JL_INPUT);
    int fd = given("time,gravity\n03/04/2026 18:00,1.053\n"); /* and the caller wants no place */
    CHECK_STATUS(jl_wash_log_read(fd, &hydrometer, &log, NULL), JL_AMBIGUOUS);
    close(fd);
    CHECK_STATUS(jl_wash_log_open("/nowhere/wash.csv", 0, &hydrometer, &log, &fault, NULL),
                 JL_INPUT);
    hydrometer.division_sg = 0;
    CHECK_STATUS(jl_wash_log_read(0, &hydrometer, &log, NULL), JL_RANGE);
    CHECK(log == NULL);
}

static void what_went_in_stands_beside_the_gravities(void) {
    jl_fault fault = {0};
    size_t count;
    jl_recipe r = {0};
    jl_wash_log *log = read_log("#jarline,1\n#kind,wash\n#wash_l,25\ntime,gravity,add,step\n"
                                "2026-09-05T18:00:00+02:00,,4kg molasses 55%,\n"
                                "2026-09-05T18:00:00+02:00,,2kg sugar,\n"
                                "2026-09-05T18:00:00+02:00,1.080,,\n"
                                "2026-09-06T18:00:00+02:00,,,racked\n",
                                &fault);
    const jl_wash_added *added = jl_wash_log_added(log, &count);
    CHECK(count == 2 && added[1].line == 6 && strcmp(added[0].in.name, "molasses") == 0);
    CHECK_OK(jl_wash_log_recipe(log, &r));
    CHECK_NEAR(r.volume_l, 25, 0);
    CHECK_NEAR(r.sugar_kg, 4.2, 1e-12);
    CHECK(strcmp(jl_facts_text(jl_wash_log_facts(log), "wash_l"), "25") == 0);
    const jl_wash_step *steps = jl_wash_log_steps(log, &count);
    CHECK(count == 1 && steps[0].duration_s == 0);
    jl_wash_log_free(log);
    log = read_log(STEPS, &fault);
    CHECK_STATUS(jl_wash_log_recipe(log, &r), JL_MISSING);
    jl_wash wash = JL_WASH;
    wash.size = 0;
    CHECK_STATUS(jl_wash_log_wash(log, &wash), JL_RANGE);
    CHECK(!wash.final.known);
    jl_wash_log_free(log);
    CHECK(read_log("#wash_l,0\ntime,gravity\n" T1 "1.053\n", &fault) == NULL);
    CHECK(fault.status == JL_RANGE && fault.line == 1);
    CHECK(read_log("#kind,run\ntime,gravity\n", &fault) == NULL && fault.status == JL_CONFLICT);
    CHECK(fault.line == 1 && fault.column == 2);
    CHECK(read_log("time,gravity,add\n2026-09-05T18:00:00+02:00,1.05,6kg sugar\n", &fault) == NULL);
    CHECK(fault.status == JL_CONFLICT && fault.column == 3);
    CHECK(read_log("time,gravity,add\n2026-09-05T18:00:00+02:00,,6kg molasses\n", &fault) == NULL);
    CHECK(fault.status == JL_MISSING && fault.line == 2 && fault.column == 3);
}

/* Sugar that went in later stands for no original gravity, also where its time cannot be read; water
 * does. */
static void an_original_gravity_is_none_before_the_sugar(void) {
    static const struct {
        const char *row;
        bool known;
    } AT[] = {{"2026-09-06T18:00:00+02:00,,2kg sugar\n", false},
              {"2026-09-09T18:00:00+02:00,,2kg sugar\n", false},
              {"2026-09-05T18:00:00+02:00,,2kg sugar\n", true},
              {"2026-09-06T18:00:00+02:00,,2L water\n", true},
              {"at dawn,,2kg sugar\n", false}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[400];
        jl_fault fault = {0};
        jl_wash wash = JL_WASH;
        snprintf(text, sizeof text,
                 "#wash_l,25\ntime,gravity,add\n2026-09-05T17:00:00+02:00,,4kg sugar\n"
                 "2026-09-05T18:00:00+02:00,1.060,\n%s2026-09-09T18:00:00+02:00,0.996,\n",
                 AT[i].row);
        jl_wash_log *log = read_log(text, &fault);
        CHECK_OK(jl_wash_log_wash(log, &wash));
        CHECK(wash.original.known == AT[i].known && wash.final.known && wash.has_recipe);
        jl_wash_log_free(log);
    }
}

static void a_time_that_cannot_be_read_is_the_only_thing_missing(void) {
    jl_fault fault = {0}, first = {0};
    jl_ferment f;
    size_t count;
    jl_wash_log *log = read_log("time,gravity,step,duration\n" T1 "1.053,,\n"
                                "2026-09-31T18:00:00+02:00,1.02,,\nlater,,degas,1d\n"
                                "2026-09-20T18:00:00+02:00,0.998,,\n"
                                "2026-09-24T18:00:00+02:00,0.998,,\n",
                                &fault);
    CHECK(log != NULL && jl_wash_log_unread_times(log, &first) == 2);
    CHECK(first.line == 3 && first.column == 1);
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    CHECK(count == 4 && r[0].has_time && !r[1].has_time && r[2].has_time);
    CHECK_NEAR(r[1].sg, 1.02, 1e-12);
    jl_wash_log_steps(log, &count);
    CHECK(count == 0);
    CHECK_OK(jl_wash_log_judge(log, &JL_FINISH_RULE, &f));
    CHECK(f.state == JL_FINISHED);
    jl_wash_log_free(log);
}

/* Sugar behind the first gravity makes the original one unknown, whatever can be read of the times. */
static void a_row_without_its_time_has_its_place_and_no_moment(void) {
    static const struct {
        const char *rows;
        bool known;
        int64_t last_s; /* of the last gravity with a time; 0: there is none */
    } LOGS[] = {
        {T1 ",6kg sugar\nsome day,1.07,\n" T1 "1.06,\n", true, 1788624000},
        {"some day,1.0,\n2026-09-04T18:00:00+02:00,,6kg sugar\n" T1 "1.06,\n", false, 1788624000},
        {T1 "1.0,\nsome day,,6kg sugar\nlater,1.06,\n", false, 1788624000},
        {"some day,,6kg sugar\nlater,1.07,\nlater still,1.06,\n", true, 0},
    };
    for (size_t i = 0; i < sizeof LOGS / sizeof LOGS[0]; i++) {
        char text[400];
        jl_fault fault = {0};
        jl_ferment f;
        jl_wash wash = JL_WASH;
        size_t count;
        snprintf(text, sizeof text, "#wash_l,25\ntime,gravity,add\n%s", LOGS[i].rows);
        jl_wash_log *log = read_log(text, &fault);
        CHECK_OK(jl_wash_log_wash(log, &wash));
        CHECK(wash.original.known == LOGS[i].known);
        const jl_wash_reading *last = jl_wash_log_last_dated(log);
        CHECK((last == NULL) == (LOGS[i].last_s == 0));
        CHECK(last == NULL || last->time.unix_s == LOGS[i].last_s);
        const jl_wash_reading *all = jl_wash_log_readings(log, &count);
        for (size_t n = 0; n < count; n++) CHECK(all[n].has_time || all[n].time.unix_s == 0);
        CHECK_STATUS(jl_wash_log_judge(log, &JL_FINISH_RULE, &f), JL_MISSING);
        jl_wash_log_free(log);
    }
}

static void a_row_is_appended_in_the_files_own_form(void) {
    char path[] = "/tmp/jarline-wash-XXXXXX";
    int fd = mkstemp(path);
    static const char TEXT[] = "# by hand\r\nTime;Gravity;temp_f;;note\r\n"
                               "2026-09-05T18:00:00+02:00;1,053;65,3;;pitched";
    const jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_entry e = {.time = {1788800000, 7200}, .gravity = "1.012", .temp_c = 20, .note = "a;b"};
    jl_wash_log *log = NULL;
    jl_fault fault = {0};
    size_t count;
    char back[512] = "";
    CHECK(write(fd, TEXT, sizeof TEXT - 1) == (ssize_t)sizeof TEXT - 1);
    CHECK_OK(jl_wash_log_open(path, 1, &hydrometer, &log, &fault, NULL));
    CHECK_OK(jl_wash_log_write(log, &e, &fault));
    jl_wash_log_readings(log, &count);
    CHECK(count == 2);
    int now = open(path, O_RDONLY);
    CHECK(read(now, back, sizeof back - 1) > 0);
    CHECK(strstr(back, ";;note\r\n") != NULL); /* no column for what it has not */
    close(now);
    CHECK_STATUS(jl_wash_log_write(log, &e, &fault), JL_CONFLICT); /* at the same moment */
    e.time.unix_s += 60;
    e.gravity = "2.5";
    CHECK_STATUS(jl_wash_log_write(log, &e, &fault), JL_RANGE);
    e.gravity = NULL;
    e.add = "6kg sugar";
    CHECK_OK(jl_wash_log_write(log, &e, &fault)); /* in a column of its own */
    e.add = NULL;
    e.gravity =
        "1.01000000000000000000000000000000000000"; /* more digits than any hydrometer has */
    e.time = (jl_time){INT64_MAX, 0};
    CHECK_STATUS(jl_wash_log_write(log, &e, &fault), JL_RANGE);
    CHECK(fault.status == JL_RANGE && jl_wash_log_trouble(log).error == 0);
    jl_wash_log_free(log);
    jl_hydrometer none = JL_HYDROMETER;
    none.division_sg = 0;
    CHECK_STATUS(jl_wash_log_open(path, 0, &none, &log, &fault, NULL), JL_RANGE);
    fd = open(path, O_RDONLY);
    ssize_t n = read(fd, back, sizeof back - 1);
    CHECK(n > 0);
    CHECK(strcmp(back, "# by hand\r\nTime;Gravity;temp_f;;note;add\r\n"
                       "2026-09-05T18:00:00+02:00;1,053;65,3;;pitched;\r\n"
                       "2026-09-07T18:53:20+02:00;1,012;68;;\"a;b\";\r\n"
                       "2026-09-07T18:54:20+02:00;;68;;\"a;b\";6kg sugar\r\n") == 0);
    close(fd);
    CHECK_OK(jl_wash_log_read(fd = open(path, O_RDONLY), &hydrometer, &log, &fault));
    CHECK_STATUS(jl_wash_log_write(log, &e, &fault), JL_EXISTS); /* it was only read */
    char undone[JL_WASH_ROW_BYTES];
    CHECK_STATUS(jl_wash_log_undo(log, undone, &fault), JL_EXISTS);
    jl_wash_log_free(log);
    close(fd);
    unlink(path);
}

static void a_new_log_is_read_before_it_is_made(void) {
    char path[] = "/tmp/jarline-new-XXXXXX";
    int fd = mkstemp(path);
    jl_fault fault = {0};
    const jl_wash_entry good = {.time = {1788800000, 0}, .temp_c = NAN, .add = "6kg sugar"};
    const jl_wash_entry bad = {.time = {1788800000, 0}, .temp_c = NAN, .add = "6kg"};
    const jl_fact_entry fact = {.key = "title", .text = "one\nline"};
    close(fd);
    CHECK_STATUS(jl_wash_log_create(path, NULL, 0, &good, 1, &fault, NULL), JL_EXISTS);
    unlink(path);
    CHECK_STATUS(jl_wash_log_create(path, NULL, 0, &bad, 1, &fault, NULL), JL_MISSING);
    CHECK_STATUS(jl_wash_log_create(path, &fact, 1, &good, 1, &fault, NULL), JL_FORM);
    CHECK(access(path, F_OK) != 0);
    const jl_fact_entry facts[] = {{.key = "wash l", .values = {25}, .count = 1},
                                   {.key = "wash_l", .values = {25}, .count = 1}};
    CHECK_STATUS(jl_wash_log_create(path, facts, 2, &good, 1, &fault, NULL), JL_FORM);
    CHECK(access(path, F_OK) != 0);
    jl_trouble trouble;
    CHECK_STATUS(jl_wash_log_create("/nowhere/w.csv", facts + 1, 1, &good, 1, &fault, &trouble),
                 JL_EXISTS);
    CHECK(fault.status == JL_EXISTS && trouble.error == ENOENT);
    CHECK_OK(jl_wash_log_create(path, NULL, 0, &good, 1, &fault, NULL));
    jl_wash_log *log;
    fd = open(path, O_WRONLY | O_APPEND);
    CHECK(write(fd, "x,,,,,,\n", 8) == 8); /* by hand, and no row */
    close(fd);
    CHECK_STATUS(jl_wash_log_open(path, 0, &JL_HYDROMETER, &log, &fault, NULL), JL_MISSING);
    CHECK(fault.line == 5);
    unlink(path);
}

/* The log is as it was, and takes the same row once there is room. */
static void a_row_that_finds_no_room_is_not_there(void) {
    char path[] = "/tmp/jarline-full-XXXXXX";
    jl_fault fault = {0};
    const jl_wash_entry first = {.time = {1788800000, 0}, .temp_c = NAN, .gravity = "1.060"};
    const jl_wash_entry more = {
        .time = {1788900000, 0},
        .temp_c = NAN,
        .gravity = "1.01000000000000000000000000000000000000"}; /* cut to what a number needs */
    jl_wash_log *log;
    struct rlimit before, small;
    struct stat was;
    size_t count;
    close(mkstemp(path));
    unlink(path);
    CHECK_OK(jl_wash_log_create(path, NULL, 0, &first, 1, &fault, NULL));
    CHECK_OK(jl_wash_log_open(path, 0, &JL_HYDROMETER, &log, &fault, NULL));
    stat(path, &was);
    getrlimit(RLIMIT_FSIZE, &before);
    small = (struct rlimit){(rlim_t)was.st_size, before.rlim_max};
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    CHECK(setrlimit(RLIMIT_FSIZE, &small) == 0);
    CHECK_STATUS(jl_wash_log_write(log, &more, &fault), JL_IO);
    CHECK(setrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, handler);
    CHECK(fault.status == JL_IO && jl_wash_log_trouble(log).error == EFBIG);
    jl_wash_log_readings(log, &count);
    CHECK(count == 1);
    CHECK_OK(jl_wash_log_write(log, &more, &fault));
    CHECK_NEAR(jl_wash_log_readings(log, &count)[1].sg, 1.01, 1e-9);
    CHECK(count == 2);
    jl_wash_log_free(log);
    unlink(path);
}

static void the_number_of_its_file_may_be_0(void) {
    char path[] = "/tmp/jarline-zero-XXXXXX";
    const jl_wash_entry first = {.time = {1788800000, 0}, .temp_c = NAN, .gravity = "1.060"};
    const jl_wash_entry next = {.time = {1788900000, 0}, .temp_c = NAN, .gravity = "1.050"};
    jl_wash_log *log;
    close(mkstemp(path));
    unlink(path);
    CHECK_OK(jl_wash_log_create(path, NULL, 0, &first, 1, NULL, NULL));
    int kept = input_away();
    CHECK_OK(jl_wash_log_open(path, 0, &JL_HYDROMETER, &log, NULL, NULL));
    CHECK_OK(jl_wash_log_write(log, &next, NULL));
    jl_wash_log_free(log);
    CHECK(input_back(kept));
    unlink(path);
}

static void what_a_day_seldom_does_is_doubted(void) {
    CHECK(jl_wash_sg_follows(1.050, 1.0529, 1) && !jl_wash_sg_follows(1.050, 1.0531, 9));
    CHECK(jl_wash_sg_follows(1.050, 0.9901, NAN) && !jl_wash_sg_follows(1.060, 0.999, NAN));
    CHECK(!jl_wash_sg_follows(1.040, 0.995, 0.5) && jl_wash_sg_follows(1.040, 0.995, 1));
    CHECK(jl_wash_sg_follows(1.090, 0.990, 7) && !jl_wash_sg_follows(1.040, 1.024, -1));
    CHECK(jl_wash_temp_follows(20, 32) && jl_wash_temp_follows(20, 8));
    CHECK(!jl_wash_temp_follows(20, 32.1) && !jl_wash_temp_follows(20, 7.9));
    CHECK(jl_wash_temp_follows(NAN, 30));
}

static void no_gravity_lies_far_above_what_a_wash_began_with(void) {
    static const struct {
        const char *rows;
        double most_sg;
    } AT[] = {
        {"", NAN},
        {"2026-09-05T18:00:00+02:00,1.060,20,\n2026-09-07T18:00:00+02:00,1.040,20,\n", 1.075},
        {"2026-09-05T18:00:00+02:00,1.060,20,\n2026-09-06T18:00:00+02:00,1.063,20,\n", 1.078},
        {"2026-09-05T17:00:00+02:00,,,1kg sugar\n2026-09-05T18:00:00+02:00,1.060,20,\n", 1.075},
        {"2026-09-05T18:00:00+02:00,1.060,20,\n2026-09-06T18:00:00+02:00,,,2L water\n", 1.075},
        {"2026-09-05T18:00:00+02:00,1.060,20,\n2026-09-06T18:00:00+02:00,,,1kg sugar\n", NAN}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[300];
        jl_fault fault = {0};
        jl_recipe r;
        for (int known = 0; known < 2; known++) {
            snprintf(text, sizeof text, "%stime,gravity,temp_c,add\n%s",
                     known ? "#wash_l,10\n" : "", AT[i].rows);
            jl_wash_log *log = read_log(text, &fault);
            double most_sg = AT[i].most_sg;
            if (!isnan(most_sg) && jl_wash_log_recipe(log, &r) == JL_OK)
                most_sg = fmax(1.060, r.original_sg) + 0.015;
            if (known && i == 5 && jl_gravity_raise(1.06, 0.1, &most_sg)) most_sg += 0.015;
            double got_sg = jl_wash_log_most_sg(log);
            CHECK(isnan(most_sg) ? isnan(got_sg) : fabs(got_sg - most_sg) < 2e-9);
            jl_wash_log_free(log);
        }
    }
    jl_fault fault = {0};
    jl_recipe r = {0};
    jl_wash_log *log = read_log("#wash_l,10\ntime,gravity,temp_c,add\n"
                                "2026-09-05T17:00:00+02:00,,,3kg sugar\n"
                                "2026-09-05T18:00:00+02:00,1.060,20,\n",
                                &fault);
    CHECK_OK(jl_wash_log_recipe(log, &r));
    CHECK(r.original_sg > 1.1);
    CHECK_NEAR(jl_wash_log_most_sg(log), r.original_sg + 0.015, 1e-12);
    jl_wash_log_free(log);
}

#define VOLUME "#wash_l,30\ntime,gravity,add\n"
#define DAY(n) "2026-09-0" #n "T09:00:00Z,"

/* Fruit and 1.5 kg of sugar in 30 l: 50 g/l are 0.0190 at 1.070 by the polynomial. */
static void more_went_in_than_the_log_says(void) {
    static const char TEXT[] =
        VOLUME DAY(1) "1.070,\n" DAY(4) "1.040,\n" DAY(5) ",1.5kg sugar\n" DAY(6) "1.056,\n";
    jl_fault fault = {0};
    double most_sg = NAN, raised_sg = NAN;
    jl_recipe r = {.volume_l = 7};
    jl_wash wash = JL_WASH;
    jl_wash_ways ways;
    jl_finish_rule rule;
    jl_wash_log *log = read_log(TEXT, &fault);
    const jl_wash_reading *odd = jl_wash_log_unaccounted(log, NAN, &most_sg);
    CHECK(odd != NULL && odd->line == 3 && most_sg == 1);
    CHECK_STATUS(jl_wash_log_recipe(log, &r), JL_CONFLICT);
    CHECK(r.volume_l == 7 && !jl_wash_log_rule(log, &rule) && rule.expected_sg == 1);
    CHECK_OK(jl_wash_log_wash(log, &wash));
    CHECK(!wash.has_recipe && wash.original.known && wash.final.known);
    CHECK(wash.kind == JL_KIND_UNSTATED);
    CHECK_NEAR(wash.later_kg_l, 0.05, 1e-12);
    CHECK_OK(jl_wash_by_all_ways(&wash, &ways, NULL));
    CHECK(jl_gravity_raise(1.07, 0.05, &raised_sg));
    CHECK_NEAR(raised_sg, 1.0890, 5e-5);
    CHECK_NEAR(ways.original_sg, raised_sg, 1e-12);
    CHECK_NEAR(ways.final_sg, 1.056, 1e-12);
    jl_wash_log_free(log);
    log = read_log(VOLUME DAY(1) ",8kg malt 60%\n" DAY(2) "1.120,\n" DAY(3) "1.020,\n", &fault);
    CHECK(!jl_wash_log_rule(log, &rule));
    CHECK(jl_wash_log_unaccounted(log, NAN, &most_sg)->line == 4);
    CHECK(jl_wash_log_unaccounted(log, 15, &most_sg) == NULL);
    jl_wash_log_free(log);
    log = read_log(VOLUME DAY(1) ",8kg molasses 55%\n" DAY(2) "1.120,\n", &fault);
    CHECK(!jl_wash_log_rule(log, &rule) && rule.expected_sg > 1.02);
    jl_wash_log_free(log);
}

/* What went in is known within its shares and a tenth of the volume, a gravity within a division. */
static void a_gravity_a_little_above_what_went_in_comes_from_it(void) {
    static const struct {
        double above_sg;
        bool all;
    } AT[] = {{0.0095, true}, {0.0103, false}};
    jl_ingredient sugar;
    jl_recipe r = {.original_sg = NAN};
    CHECK_OK(jl_ingredient_read("6kg sugar", 9, &sugar));
    CHECK_OK(jl_recipe_of(&sugar, 1, 30, &r));
    for (size_t i = 0; i < 2; i++) {
        char text[200];
        double most_sg = NAN;
        jl_fault fault = {0};
        snprintf(text, sizeof text, VOLUME DAY(1) ",6kg sugar\n" DAY(2) "%.4f,\n",
                 r.original_sg + AT[i].above_sg);
        jl_wash_log *log = read_log(text, &fault);
        CHECK((jl_wash_log_unaccounted(log, NAN, &most_sg) == NULL) == AT[i].all);
        CHECK_NEAR(most_sg, r.original_sg, 0);
        jl_wash_log_free(log);
    }
}

/* Too much, or in a volume that is not stated, it raises nothing. */
static void sugar_that_cannot_be_counted_raises_nothing(void) {
    static const char *const TEXTS[] = {
        VOLUME DAY(1) "1.160,\n" DAY(5) ",3kg sugar\n" DAY(6) "1.110,\n",
        "time,gravity,add\n" DAY(1) "1.070,\n" DAY(5) ",3kg sugar\n" DAY(6) "1.050,\n"};
    for (size_t i = 0; i < 2; i++) {
        jl_fault fault = {0};
        size_t count;
        jl_wash wash = JL_WASH;
        jl_wash_log *log = read_log(TEXTS[i], &fault);
        const jl_wash_reading *r = jl_wash_log_readings(log, &count);
        CHECK_OK(jl_wash_log_wash(log, &wash));
        CHECK(wash.later_kg_l == 0 && wash.original.known == (i == 1) && wash.final.known);
        CHECK(isnan(jl_wash_log_raised_sg(log, &r[0])));
        CHECK(jl_wash_log_raised_sg(log, &r[1]) == r[1].sg);
        jl_wash_log_free(log);
    }
}

#define FED VOLUME DAY(1) ",3kg sugar\n" DAY(1) "1.038,\n" DAY(4) "1.020,\n" DAY(5) ",2kg sugar\n"

static void sugar_ferments_from_the_first_gravity_behind_it(void) {
    jl_fault fault = {0};
    jl_ferment f;
    size_t count;
    double raised_sg = NAN;
    jl_wash wash = JL_WASH;
    jl_wash_log *log = read_log(FED, &fault);
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    CHECK_OK(jl_wash_log_wash(log, &wash));
    CHECK(wash.has_recipe && wash.original.known && wash.final.known);
    CHECK_NEAR(wash.recipe.sugar_kg, 3, 1e-12);
    CHECK(jl_gravity_raise(1.02, 2.0 / 30, &raised_sg));
    CHECK_NEAR(jl_wash_log_raised_sg(log, &r[1]), raised_sg, 1e-12);
    CHECK_OK(jl_wash_log_judge(log, &JL_FINISH_RULE, &f));
    CHECK(f.state == JL_WORKING && f.slope_per_day == 0 && isnan(f.left_s) && isnan(f.finishes_s));
    CHECK_NEAR(f.still_since_s, (double)r[1].time.unix_s, 0);
    jl_wash_log_free(log);
    log = read_log(FED DAY(6) "1.045,\n", &fault);
    CHECK_OK(jl_wash_log_wash(log, &wash));
    CHECK(wash.has_recipe && !wash.original.known && wash.final.known);
    CHECK_NEAR(wash.recipe.sugar_kg, 5, 1e-12);
    CHECK_OK(jl_wash_log_judge(log, &JL_FINISH_RULE, &f));
    CHECK(f.state == JL_WORKING && f.slope_per_day == 0 && !f.rises);
    jl_wash_log_free(log);
    log = read_log(FED DAY(6) "1.045,\n" DAY(7) "1.025,\n", &fault);
    CHECK_OK(jl_wash_log_judge(log, &JL_FINISH_RULE, &f));
    CHECK_NEAR(f.slope_per_day, -0.02, 1e-9);
    jl_wash_log_free(log);
}

static void before_its_sugar_nothing_has_fermented(void) {
    static const char *const TEXTS[] = {
        VOLUME DAY(1) "1.000,\n" DAY(2) "1.000,\n" DAY(3) ",3kg sugar\n",
        VOLUME DAY(1) ",3kg sugar\n" DAY(1) "1.040,\n",
        VOLUME DAY(1) "1.000,\n" DAY(3) ",3kg sugar\n" DAY(4) "1.040,\n",
    };
    for (size_t i = 0; i < 3; i++) {
        jl_fault fault = {0};
        jl_wash wash = JL_WASH;
        jl_wash_log *log = read_log(TEXTS[i], &fault);
        CHECK_OK(jl_wash_log_wash(log, &wash));
        CHECK(wash.has_recipe && !wash.original.known && !wash.final.known);
        CHECK_NEAR(wash.recipe.sugar_kg, 3, 1e-12);
        jl_wash_log_free(log);
    }
}

static void a_gravity_that_cannot_be_is_left_out(void) {
    jl_fault fault = {0};
    size_t count, out;
    jl_wash wash = JL_WASH;
    jl_wash_log *log =
        read_log(VOLUME DAY(1) "1.060,\n" DAY(2) "1.040,\n" DAY(3) "1.114,\n" DAY(4) "1.043,\n" DAY(
                     5) "1.0431,\n" DAY(6) "1.0462,\n" DAY(7) ",1kg sugar\n" DAY(8) "1.060,\n",
                 &fault);
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    const jl_wash_reading *odd = jl_wash_log_left_out(log, &out);
    CHECK(count == 6 && out == 1 && odd[0].line == 5 && odd[0].sg > 1.11);
    CHECK(!jl_wash_log_rises(log, 0) && !jl_wash_log_rises(log, 1) && !jl_wash_log_rises(log, 2));
    CHECK(!jl_wash_log_rises(log, 3) && jl_wash_log_rises(log, 4) && !jl_wash_log_rises(log, 5));
    CHECK_OK(jl_wash_log_wash(log, &wash));
    CHECK(wash.final.reading.value == r[5].reading.value);
    jl_wash_log_free(log);
}

static void the_thermometers_correction_is_added(void) {
    jl_fault fault = {0};
    size_t count;
    double sg = NAN;
    jl_wash wash = JL_WASH;
    const jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_wash_log *log = read_log("#thermometer_correction_c,-1.5\ntime,gravity,temp_c\n" DAY(
                                    1) "1.060,26.5\n" DAY(2) "1.050,\n",
                                &fault);
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    CHECK_OK(jl_gravity_at_20(&hydrometer, r[0].reading, 25, &sg));
    CHECK_NEAR(r[0].sg, sg, 1e-12);
    CHECK(r[0].temp_c == 26.5 && r[1].sg == 1.05 && jl_wash_log_correction_c(log) == -1.5);
    CHECK_OK(jl_wash_log_wash(log, &wash));
    CHECK(wash.original.temp_c == 25 && wash.final.temp_c == 20);
    jl_wash_log_free(log);
    CHECK(read_log("#thermometer_correction_c,x\ntime,gravity\n", &fault) == NULL);
}

static void a_wait_that_runs_already_is_known(void) {
    static const struct {
        const char *rows;
        int64_t until_day;
    } AT[] = {{"", 0},
              {DAY(1) ",settle,3d\n", 0},
              {DAY(1) ",settle,3d\n" DAY(4) ",settle,3d\n", 0},
              {DAY(1) ",settle,3d\n" DAY(3) ",degas,3d\n", 0},
              {DAY(1) ",settle,3d\n" DAY(3) ",Settle,1d\n", 4}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[200];
        jl_fault fault = {0};
        jl_time until = {0, 0};
        snprintf(text, sizeof text, "time,gravity,step,duration\n%s", AT[i].rows);
        jl_wash_log *log = read_log(text, &fault);
        CHECK(jl_wash_log_waits_twice(log, &until) == (AT[i].until_day > 0));
        CHECK(until.unix_s == (AT[i].until_day > 0 ? 1788512400 : 0));
        jl_wash_log_free(log);
    }
}

CU_TestInfo wash_log_tests[] = {
    {"a gravity that cannot be is left out", a_gravity_that_cannot_be_is_left_out},
    {"the thermometer's correction is added", the_thermometers_correction_is_added},
    {"a wait that runs already is known", a_wait_that_runs_already_is_known},
    {"no gravity lies far above what a wash began with",
     no_gravity_lies_far_above_what_a_wash_began_with},
    {"more went in than the log says", more_went_in_than_the_log_says},
    {"a gravity a little above what went in comes from it",
     a_gravity_a_little_above_what_went_in_comes_from_it},
    {"sugar that cannot be counted raises nothing", sugar_that_cannot_be_counted_raises_nothing},
    {"sugar ferments from the first gravity behind it",
     sugar_ferments_from_the_first_gravity_behind_it},
    {"before its sugar nothing has fermented", before_its_sugar_nothing_has_fermented},
    {"what a day seldom does is doubted", what_a_day_seldom_does_is_doubted},
    {"the number of its file may be 0", the_number_of_its_file_may_be_0},
    {"what went in stands beside the gravities", what_went_in_stands_beside_the_gravities},
    {"a time that cannot be read is the only thing missing",
     a_time_that_cannot_be_read_is_the_only_thing_missing},
    {"a row without its time has its place and no moment",
     a_row_without_its_time_has_its_place_and_no_moment},
    {"a row is appended in the file's own form", a_row_is_appended_in_the_files_own_form},
    {"a row that finds no room is not there", a_row_that_finds_no_room_is_not_there},
    {"an original gravity is none before the sugar", an_original_gravity_is_none_before_the_sugar},
    {"a new log is read before it is made", a_new_log_is_read_before_it_is_made},
    {"a spreadsheet's log reads like one by hand", a_log_of_a_spreadsheet_reads_like_one_by_hand},
    {"steps stand between the gravities", steps_stand_between_the_gravities},
    {"a step is ahead, runs, or is done", a_step_is_ahead_runs_or_is_done},
    {"usual waits have their purpose", usual_waits_have_their_purpose},
    {"a step goes by any of its words", a_step_goes_by_any_of_its_words},
    {"a log is judged like its gravities", a_log_is_judged_like_its_gravities},
    {"a long log is held whole", a_long_log_is_held_whole},
    {"what is no log is refused with its place", what_is_no_log_is_refused_with_its_place},
    {"what cannot be read is refused", what_cannot_be_read_is_refused},
    CU_TEST_INFO_NULL,
};
