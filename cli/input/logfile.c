/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/logfile.h"
#include "answer/say.h"
#include "answer/status.h"

#include <errno.h>
#include <fcntl.h>
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
            bad = fail(EXIT_USAGE, "%s is the same log as %s; expected each once", all[i - 1].path,
                       all[i].path);
    free(all);
    return bad;
}

const char *log_name(const char *path) {
    return strcmp(path, "-") == 0 ? "standard input" : path;
}

int log_open(const char *path, int *fd) {
    struct stat about;
    bool standard = strcmp(path, "-") == 0;
    *fd = standard ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (*fd < 0) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    if (fstat(*fd, &about) != 0 || !S_ISDIR(about.st_mode)) return EXIT_DONE;
    if (!standard) close(*fd);
    return fail(EXIT_INPUT, "%s is a folder; expected a log", log_name(path));
}

int run_read_log(const char *path, jl_run **run) {
    jl_fault fault = {0};
    int fd;
    int bad = log_open(path, &fd);
    if (bad != EXIT_DONE) return bad;
    if (jl_run_read(fd, run, &fault) != JL_OK) bad = fail_fault(log_name(path), &fault);
    if (fd != STDIN_FILENO) close(fd);
    return bad;
}

void say_torn(const char *path, size_t line) {
    if (line > 0)
        say("%s:%zu: the last row has no line end: it was not written to its end and is left out",
            log_name(path), line);
}

int logfile_open(logfile *f, const char *path) {
    jl_fault fault = {0};
    *f = (logfile){.name = log_name(path)};
    int bad = log_open(path, &f->fd);
    if (bad != EXIT_DONE) return bad;
    if (jl_log_open(f->fd, &f->log, &fault) == JL_OK) return EXIT_DONE;
    bad = fail_fault(f->name, &fault);
    if (f->fd != STDIN_FILENO) close(f->fd);
    return bad;
}

static int at_end(logfile *f) {
    jl_fault fault = {0};
    say_torn(f->name, jl_log_torn_line(f->log));
    return f->may_be_empty || jl_log_some(f->log, &fault) == JL_OK ? 0
                                                                   : fail_fault(f->name, &fault);
}

int logfile_next(logfile *f, jl_jar *jar, bool *more) {
    jl_fault fault = {0};
    jl_status status = jl_log_next(f->log, jar, &fault);
    *more = status == JL_OK;
    if (status == JL_OK) return 0;
    return status == JL_END ? at_end(f) : fail_fault(f->name, &fault);
}

void logfile_close(logfile *f) {
    jl_log_close(f->log);
    if (f->fd > 0) close(f->fd);
}

jl_amount amount_of_jar(const jl_jar *jar) {
    jl_amount amount = {jar->volume_l, false, true, jar->reading, jar->temp_c};
    if (jar->has_reading) return amount;
    /* A strength holds at 20 °C: so does then the volume. */
    return (jl_amount){jl_volume_l(jar->spirit, JL_STRENGTH_C), false, false, jar->strength,
                       JL_STRENGTH_C};
}
