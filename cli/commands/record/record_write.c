/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "commands/record/record.h"
#include "input/clock.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

static int open_writer(const char *path, jl_writer **w) {
    jl_fault fault;
    jl_trouble trouble;
    if (strcmp(path, "-") == 0)
        return fail(EXIT_USAGE, "'-': a log that is written must be a file, as RUN.csv");
    jl_status status = jl_writer_open(path, JL_WAIT_S, w, &fault, &trouble);
    if (status == JL_OK) return EXIT_DONE;
    if (fault.line > 0 || fault.expected != NULL) return fail_fault(path, &fault);
    return fail_write(path, status, trouble, "recorded");
}

/* Holds the log and reads it: nobody else can then write what would make the answer wrong. */
static int begin(const char *path, int64_t sought, jl_writer **w, running *run) {
    *run = (running){0};
    int bad = open_writer(path, w);
    if (bad != EXIT_DONE) return bad;
    bad = running_read(path, jl_writer_fd(*w), sought, run);
    if (bad != EXIT_DONE) jl_writer_close(*w);
    return bad;
}

static int end(const char *path, jl_writer *w, jl_status status) {
    jl_trouble trouble = jl_writer_trouble(w);
    jl_writer_close(w);
    return status == JL_OK ? EXIT_DONE : fail_write(path, status, trouble, "recorded");
}

int read_run(const char *path, int64_t sought, running *run) {
    *run = (running){0};
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    int bad = running_read(path, fd, sought, run);
    close(fd);
    return bad;
}

/* After a change that is on the disk. */
static int read_changed(const char *path, int64_t sought, running *run) {
    running_free(run);
    int bad = read_run(path, sought, run);
    if (bad != EXIT_DONE) say("the change is in %s all the same, on the disk", path);
    return bad;
}

int write_jar(const char *path, const jl_entry *entry, running *run, int64_t *number) {
    jl_writer *w;
    past_jar jar = {0};
    int bad = begin(path, -1, &w, run);
    if (bad != EXIT_DONE) return bad;
    bad = jar_of_entry(&run->instrument, entry, &jar);
    if (bad != EXIT_DONE) {
        jl_writer_close(w);
        return bad;
    }
    const char *time = entry->time != NULL ? entry->time : entry->now;
    jar.timed = time != NULL && jl_time_read(time, strlen(time), &jar.time) == JL_OK;
    jar.number = *number = jl_writer_next_jar(w);
    bad = end(path, w, jl_writer_add_jar(w, entry));
    if (bad == EXIT_DONE) running_add(run, jar);
    return bad;
}

/* What the jar will be after the change: the new figures, the old ones where none are given. */
static int check_corrected(const running *run, const jl_entry *entry) {
    past_jar ignored;
    const past_jar *old = &run->sought;
    jl_entry whole = *entry;
    if (isnan(whole.volume_l)) whole.volume_l = old->measured_l;
    if (isnan(whole.temp_c)) whole.temp_c = old->temp_c;
    if (isnan(whole.reading.value)) whole.reading = old->reading;
    if (isnan(whole.strength.value)) whole.strength = old->stated;
    if (!isnan(whole.reading.value) && isnan(whole.temp_c))
        return fail(EXIT_USAGE, "a reading needs the temperature it was taken at, as 24C");
    return jar_of_entry(&run->instrument, &whole, &ignored);
}

static int check_sought(const char *path, int64_t number, const running *run) {
    if (!run->found) return fail(EXIT_USAGE, "%s has no jar %" PRId64 " that counts", path, number);
    return EXIT_DONE;
}

int write_corrected(const char *path, int64_t number, const jl_entry *entry, running *run) {
    jl_writer *w;
    int bad = begin(path, number, &w, run);
    if (bad != EXIT_DONE) return bad;
    bad = check_sought(path, number, run);
    if (bad == EXIT_DONE) bad = check_corrected(run, entry);
    if (bad != EXIT_DONE) {
        jl_writer_close(w);
        return bad;
    }
    bad = end(path, w, jl_writer_correct_jar(w, (uint32_t)number, entry));
    return bad == EXIT_DONE ? read_changed(path, number, run) : bad;
}

int write_undone(const char *path, running *run, int64_t *number) {
    jl_writer *w;
    char now[JL_TIME_BYTES];
    int bad = begin(path, -1, &w, run);
    if (bad != EXIT_DONE) return bad;
    const past_jar *newest = running_newest(run);
    if (newest == NULL) {
        jl_writer_close(w);
        return fail(EXIT_NO, "%s has no jar to take back", path);
    }
    *number = newest->number;
    clock_write(clock_now(), now);
    const jl_fact_entry undone = {
        .key = "undone", .values = {(double)*number}, .count = 1, .text = now};
    bad = end(path, w, jl_writer_add_facts(w, &undone, 1));
    return bad == EXIT_DONE ? read_changed(path, -1, run) : bad;
}

int write_facts(const char *path, const jl_fact_entry *facts, size_t count, running *run) {
    jl_writer *w;
    int bad = begin(path, -1, &w, run);
    if (bad == EXIT_DONE) bad = end(path, w, jl_writer_set_facts(w, facts, count));
    return bad == EXIT_DONE ? read_changed(path, -1, run) : bad;
}
