/* Reading and judging a gravity log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/wash_log.h"
#include "answer/say.h"
#include "answer/status.h"
#include "commands/wash/wash_steps.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

void wash_log_free(wash_log *log) {
    for (size_t i = 0; i < log->step_count; i++) free(log->steps[i].name);
    free(log->steps);
    free(log->gravities);
}

/* ---- the rows ---- */

static int take_step(const char *file, const jl_wash_row *row, wash_log *log) {
    double duration_s = row->duration_s;
    bool usual = isnan(duration_s);
    if (usual) duration_s = usual_wait_s(row->step);
    if (isnan(duration_s))
        return fail(EXIT_DATA,
                    "%s:%zu: the step '%.40s' has no duration; expected one, as 24h or 2d: only "
                    "degas, clear and settle have a usual one",
                    file, row->line, row->step);
    log->steps = need(realloc(log->steps, (log->step_count + 1) * sizeof *log->steps));
    log->steps[log->step_count++] =
        (wash_step){need(strdup(row->step)), row->time, duration_s, usual};
    return 0;
}

static void take_gravity(const jl_wash_row *row, wash_log *log) {
    log->gravities = need(realloc(log->gravities, (log->count + 1) * sizeof *log->gravities));
    log->gravities[log->count] = *row;
    log->gravities[log->count].step = log->gravities[log->count].note = NULL;
    log->count++;
}

static int take_rows(const char *file, jl_wash_log *from, wash_log *log) {
    jl_wash_row row;
    jl_fault fault;
    jl_status status;
    int bad = 0;
    while (bad == 0 && (status = jl_wash_log_next(from, &row, &fault)) != JL_END) {
        if (status != JL_OK) return fail_fault(file, &fault);
        if (row.is_step)
            bad = take_step(file, &row, log);
        else
            take_gravity(&row, log);
    }
    return bad;
}

static const char *file_name(const char *name) {
    return strcmp(name, "-") == 0 ? "standard input" : name;
}

static int read_file(const char *name, const jl_hydrometer *hydrometer, wash_log *log) {
    jl_wash_log *from = NULL;
    jl_fault fault;
    bool standard = strcmp(name, "-") == 0;
    const char *file = file_name(name);
    int fd = standard ? STDIN_FILENO : open(name, O_RDONLY | O_CLOEXEC);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", name, strerror(errno));
    int bad = jl_wash_log_open(fd, hydrometer, &from, &fault) == JL_OK ? take_rows(file, from, log)
                                                                       : fail_fault(file, &fault);
    if (bad == 0 && log->count == 0)
        bad =
            fail(EXIT_DATA, "%s: no gravity in it; expected rows with a time and a gravity", file);
    jl_wash_log_close(from);
    if (!standard) close(fd);
    return bad;
}

/* ---- the rule ---- */

static int read_rule(const wash_words *words, const wash *w, wash_log *log) {
    jl_quantity expected;
    log->rule = JL_FINISH_RULE;
    log->rule.division = w->hydrometer.division;
    log->expected_stated = words->expect_fg != NULL;
    int bad = arg_value("--span", words->span, JL_DURATION, &log->rule.span_s);
    if (bad != 0) return bad;
    if (!(log->rule.span_s > 0))
        return fail_argument("--span", words->span, JL_RANGE, "above 0, as 3d or 48h");
    if (words->expect_fg == NULL && words->kind != NULL && strcmp(words->kind, "malt") == 0)
        return fail(EXIT_USAGE, "where a malt wash ends depends on its recipe; expected "
                                "--expect-fg, as --expect-fg 1.010");
    if (words->expect_fg == NULL) return 0;
    bad = arg_quantity("--expect-fg", words->expect_fg, JL_GRAVITY, &expected);
    if (bad != 0) return bad;
    const jl_hydrometer plain_one = JL_HYDROMETER;
    jl_status status =
        jl_gravity_at_20(&plain_one, expected, JL_STRENGTH_C, &log->rule.expected_sg);
    return status == JL_OK ? 0 : fail_gravity("--expect-fg", words->expect_fg, status);
}

static int read_now(const wash_words *words, wash_log *log) {
    log->now_stated = words->now != NULL;
    if (!log->now_stated) {
        time_t seconds = time(NULL);
        struct tm local;
        log->now.unix_s = (int64_t)seconds;
        if (localtime_r(&seconds, &local) != NULL) log->now.offset_s = (int)local.tm_gmtoff;
        return 0;
    }
    jl_status status = jl_time_read(words->now, strlen(words->now), &log->now);
    return status == JL_OK ? 0
                           : fail_argument("--now", words->now, status,
                                           "a time with its offset, as 2026-09-20T08:00:00+02:00");
}

static int judge(const char *file, wash_log *log) {
    jl_dated_gravity *dated = need(calloc(log->count, sizeof *dated));
    for (size_t i = 0; i < log->count; i++)
        dated[i] = (jl_dated_gravity){(double)log->gravities[i].time.unix_s, log->gravities[i].sg};
    jl_status status = jl_ferment_judge(dated, log->count, &log->rule, &log->ferment);
    free(dated);
    if (status == JL_OK) return 0;
    if (status == JL_MISSING)
        return fail(EXIT_NO,
                    "%s: one reading only: it cannot show that the gravity stands still; expected "
                    "another one, %.3g days or more after it",
                    file, log->rule.span_s / 86400);
    return fail(EXIT_DATA, "%s: %s", file, jl_status_text(status));
}

/* ---- its part in the strength ---- */

static gravity gravity_of(const jl_wash_row *row, const jl_hydrometer *hydrometer) {
    bool stated = !isnan(row->temp_c);
    return (gravity){.known = true,
                     .from_log = true,
                     .reading = row->reading,
                     .temp_c = stated ? row->temp_c : hydrometer->calibrated_c,
                     .temp_stated = stated,
                     .sg = row->sg};
}

int wash_log_read(const wash_words *words, wash *w, wash_log *log) {
    *log = (wash_log){0};
    if (words->fg != NULL || words->fg_temp != NULL)
        return fail(EXIT_USAGE, "--log has the final gravity already; expected --fg without --log");
    int bad = read_rule(words, w, log);
    if (bad == 0) bad = read_now(words, log);
    if (bad == 0) bad = read_file(words->log, &w->hydrometer, log);
    if (bad == 0) bad = judge(file_name(words->log), log);
    if (bad != 0) return bad;
    w->final = gravity_of(&log->gravities[log->count - 1], &w->hydrometer);
    if (words->og == NULL) w->original = gravity_of(&log->gravities[0], &w->hydrometer);
    return 0;
}
