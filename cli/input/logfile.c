/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/logfile.h"
#include "answer/characters.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/units.h"
#include "input/file_kind.h"
#include "run/run.h"
#include "wash/wash_log.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct identity {
    dev_t device;
    ino_t inode;
    const char *path;
} identity;

static int compare(const void *a, const void *b) {
    const identity *x = a, *y = b;
    if (x->device != y->device) return x->device < y->device ? -1 : 1;
    return (x->inode > y->inode) - (x->inode < y->inode);
}

int logfiles_differ(const char *const *paths, size_t count) {
    identity *all = need(calloc(count + 1, sizeof *all));
    size_t known = 0;
    int bad = 0;
    for (size_t i = 0; i < count; i++) {
        struct stat about;
        if (stat(paths[i], &about) == 0)
            all[known++] = (identity){about.st_dev, about.st_ino, paths[i]};
    }
    qsort(all, known, sizeof *all, compare);
    for (size_t i = 1; i < known && bad == 0; i++)
        if (compare(&all[i - 1], &all[i]) == 0)
            bad = refuse("%s is the same log as %s; expected each once", all[i - 1].path,
                         all[i].path);
    free(all);
    return bad;
}

/* ---- Files of other kinds ---- */

const char **run_logs_of(const char *const *paths, size_t *count, bool alone) {
    const char **logs = need(calloc(*count + 1, sizeof *logs));
    char *others = NULL;
    size_t n = 0;
    for (size_t i = 0; i < *count; i++) {
        file_kind kind = alone && *count == 1 ? FILE_RUN : file_kind_of(paths[i]);
        char *before = others;
        if (kind == FILE_RUN || kind == FILE_OTHER) {
            logs[n++] = paths[i];
            continue;
        }
        if (asprintf(&others, "%s%s%s (%s)", before == NULL ? "" : before,
                     before == NULL ? "" : ", ", paths[i], file_kind_name(kind)) < 0)
            need(NULL);
        free(before);
    }
    if (others != NULL) say("left out, since they are no run logs: %s", others);
    free(others);
    *count = n;
    return logs;
}

const char *log_name(const char *path) {
    return strcmp(path, "-") == 0 ? "standard input" : path;
}

const char *base_name(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

const char *log_called(const char *path, const jl_run *run, int room) {
    const char *base = base_name(path), *title = jl_run_title(run);
    if (title == NULL || title[0] == '\0') return base;
    return text_width(title) > room && text_width(base) <= room ? base : title;
}

const char *colon_behind_file(const char *text, char **path) {
    for (const char *colon = text + strlen(text); colon > text; colon--) {
        if (*colon != ':') continue;
        *path = need(strndup(text, (size_t)(colon - text)));
        if (access(*path, F_OK) == 0) return colon;
        free(*path);
    }
    *path = NULL;
    return NULL;
}

/* What is not there, with the file that was probably meant: its part was named, or its end left off. */
static int fail_open(const char *path) {
    const char *why = strerror(errno);
    char *file = NULL;
    if (errno == ENOENT && colon_behind_file(path, &file) == NULL &&
        asprintf(&file, "%s.csv", path) < 0)
        need(NULL);
    bool is_there = file != NULL && access(file, F_OK) == 0;
    int bad = is_there ? fail(EXIT_INPUT, "%s: %s; was %s meant?", path, why, file)
                       : fail(EXIT_INPUT, "%s: %s", path, why);
    free(file);
    return bad;
}

/* Opens any log for reading; path as above. Returns the exit status, or 0. */
static int log_open(const char *path, int *fd) {
    struct stat about;
    bool standard = strcmp(path, "-") == 0;
    *fd = standard ? STDIN_FILENO : open_to_read(path);
    if (*fd < 0) return fail_open(path);
    if (fstat(*fd, &about) != 0 || !S_ISDIR(about.st_mode)) return EXIT_DONE;
    if (!standard) close(*fd);
    return fail(EXIT_INPUT, "%s is a folder; expected a log", log_name(path));
}

/* A warning where times cannot be read, count of them; so: "the jar counts without its time". */
static void say_unread(const char *path, size_t count, const jl_fault *first, const char *so) {
    if (count > 0)
        say("%s:%zu, cell %zu '%s': %s; expected %s; %s", log_name(path), first->line,
            first->column, first->cell, jl_status_text(first->status), first->expected, so);
    if (count > 1) say("%s: %zu more times cannot be read", log_name(path), count - 1);
}

/* "2026-10-24 09:02", "14:30": the day only where it is another than the one before. */
static void write_moment(jl_time time, const char *day_before, char text[JL_TIME_BYTES]) {
    char moment[JL_TIME_BYTES] = "";
    jl_time_write(time, moment, sizeof moment);
    bool same = strncmp(moment, day_before, 10) == 0;
    snprintf(text, JL_TIME_BYTES, "%.*s%s%.5s", same ? 0 : 10, moment, same ? "" : " ",
             moment + 11);
}

void assume_typed_times(const char *path, const jl_typed_times *typed) {
    char first[JL_TIME_BYTES], last[JL_TIME_BYTES], whole[JL_TIME_BYTES] = "", text[600];
    if (typed->count == 0) return;
    write_moment(typed->first, "", first);
    write_moment(typed->last, first, last);
    jl_time_write(typed->first, whole, sizeof whole);
    bool one = typed->first.unix_s == typed->last.unix_s;
    snprintf(text, sizeof text, "%s has %zu time%s typed by hand, read as %s%s%s (%s).",
             log_name(path), typed->count, typed->count == 1 ? "" : "s", first, one ? "" : " to ",
             one ? "" : last, whole + strlen(whole) - 6);
    show_reading_of_file(text);
}

void answer_by_log(const char *path, const jl_run *run) {
    assume_typed_times(path, jl_run_typed_times(run));
    units_by_log(run);
}

/* A file of another kind of ours is called what it is. */
static int fail_read(const char *path, file_kind wanted, const jl_fault *fault) {
    file_kind kind = file_kind_of(path);
    bool another = kind != FILE_OTHER && kind != wanted;
    if (!another || exit_of_file(fault->status) != EXIT_DATA)
        return fail_fault(log_name(path), fault);
    return fail(EXIT_DATA, "%s is %s; expected %s", path, file_kind_name(kind),
                file_kind_name(wanted));
}

int run_read_log(const char *path, jl_run **run) {
    jl_fault fault = {0};
    int fd;
    int bad = log_open(path, &fd);
    if (bad != EXIT_DONE) return bad;
    if (jl_run_read(fd, run, &fault) != JL_OK) bad = fail_read(path, FILE_RUN, &fault);
    if (fd != STDIN_FILENO) close(fd);
    if (bad == EXIT_DONE)
        say_unread(path, jl_run_unread_times(*run, &fault), &fault,
                   "the jar counts without its time");
    if (bad == EXIT_DONE) answer_by_log(path, *run);
    return bad;
}

int wash_read_log(const char *path, const jl_hydrometer *hydrometer, jl_wash_log **log) {
    jl_fault fault = {0};
    int fd, bad = log_open(path, &fd);
    if (bad != EXIT_DONE) return bad;
    if (jl_wash_log_read(fd, hydrometer, log, &fault) != JL_OK)
        bad = fail_read(path, FILE_WASH, &fault);
    if (fd != STDIN_FILENO) close(fd);
    if (bad != EXIT_DONE) return bad;
    say_unread(path, jl_wash_log_unread_times(*log, &fault), &fault,
               "the row counts without its time");
    assume_typed_times(path, jl_wash_log_typed_times(*log));
    say_torn(path, jl_wash_log_torn_line(*log));
    return EXIT_DONE;
}

int book_open_to_read(const char *path, jl_book_file **f) {
    jl_fault fault = {0};
    bool standard = strcmp(path, "-") == 0;
    int fd = standard ? STDIN_FILENO : open_to_read(path);
    if (fd < 0) return fail_open(path);
    jl_status status = jl_book_read(fd, f, &fault);
    if (!standard) close(fd);
    if (status != JL_OK) return fail_read(path, FILE_BOOK, &fault);
    assume_typed_times(path, jl_book_typed_times(*f));
    return EXIT_DONE;
}

void say_torn(const char *path, size_t line) {
    if (line > 0)
        say("%s:%zu: the last row has no line end: it was not written to its end and is left out",
            log_name(path), line);
}

int run_read_jars(const char *path, jl_run **run) {
    jl_fault fault = {0};
    jl_run *read;
    int bad = run_read_log(path, &read);
    if (bad != EXIT_DONE) return bad;
    say_torn(path, jl_run_torn_line(read));
    if (jl_run_some(read, &fault) == JL_OK) {
        *run = read;
        return EXIT_DONE;
    }
    jl_run_free(read);
    return fail_fault(log_name(path), &fault);
}
