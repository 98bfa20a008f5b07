/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "jarline.h"
#include "log/durable.h"
#include "log/faults.h"
#include "suites.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* A folder of its own for each test. */
typedef struct place {
    char folder[32];
    char path[64], other[64];
} place;

static place make_place(void) {
    place p;
    strcpy(p.folder, "/tmp/durable-XXXXXX");
    if (mkdtemp(p.folder) == NULL) abort();
    snprintf(p.path, sizeof p.path, "%s/run.csv", p.folder);
    snprintf(p.other, sizeof p.other, "%s/other", p.folder);
    return p;
}

static void clear_place(const place *p) {
    char command[64];
    snprintf(command, sizeof command, "rm -rf %s", p->folder);
    CHECK(system(command) == 0);
}

static int files_in(const place *p) {
    char command[80];
    snprintf(command, sizeof command, "ls -A %s | wc -l", p->folder);
    FILE *list = popen(command, "r");
    int count = -1;
    if (fscanf(list, "%d", &count) != 1) count = -1;
    pclose(list);
    return count;
}

static void put(const char *path, const char *text) {
    FILE *file = fopen(path, "w");
    fputs(text, file);
    fclose(file);
}

static bool holds(const char *path, const char *text) {
    char bytes[256];
    FILE *file = fopen(path, "r");
    if (file == NULL) return false;
    size_t n = fread(bytes, 1, sizeof bytes - 1, file);
    fclose(file);
    bytes[n] = '\0';
    return strcmp(bytes, text) == 0;
}

static void a_new_file_is_whole_and_never_overwrites(void) {
    place p = make_place();
    jl_trouble trouble;
    CHECK_OK(jl_create(p.path, "abc\n", 4, &trouble));
    CHECK(holds(p.path, "abc\n"));
    CHECK_STATUS(jl_create(p.path, "x", 1, &trouble), JL_EXISTS);
    CHECK(trouble.error == EEXIST && !trouble.uncertain);
    CHECK(holds(p.path, "abc\n"));
    CHECK(symlink("nowhere", p.other) == 0);
    CHECK_STATUS(jl_create(p.other, "x", 1, NULL), JL_EXISTS);
    CHECK(files_in(&p) == 2);
    CHECK_STATUS(jl_create("/tmp/no-such-folder-here/run.csv", "x", 1, NULL), JL_EXISTS);
    CHECK_OK(jl_replace(p.path, "de\n", 3, &trouble));
    CHECK(holds(p.path, "de\n") && files_in(&p) == 2);
    CHECK_STATUS(jl_replace("/tmp", "x", 1, &trouble), JL_EXISTS);
    CHECK(trouble.error == EPERM);
    clear_place(&p);
}

static void a_file_that_appears_meanwhile_is_not_overwritten(void) {
    place p = make_place();
    jl_pending_file pending;
    CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_NEW, &pending));
    put(p.path, "theirs");
    CHECK_OK(jl_pending_file_write(&pending, "ours", 4));
    CHECK_STATUS(jl_pending_file_commit(&pending, JL_PENDING_NEW), JL_EXISTS);
    CHECK(holds(p.path, "theirs"));
    CHECK(files_in(&p) == 1);
    clear_place(&p);
}

static void a_replaced_file_keeps_mode_and_its_link(void) {
    place p = make_place();
    struct stat after;
    jl_pending_file pending;
    put(p.path, "old");
    CHECK(chmod(p.path, 0604) == 0);
    CHECK(symlink(p.path, p.other) == 0);
    CHECK_OK(jl_pending_file_open(p.other, JL_PENDING_REPLACE, &pending));
    CHECK_OK(jl_pending_file_write(&pending, "new", 3));
    CHECK(holds(p.path, "old"));
    CHECK_OK(jl_pending_file_commit(&pending, JL_PENDING_REPLACE));
    CHECK(holds(p.path, "new"));
    CHECK(lstat(p.other, &after) == 0 && S_ISLNK(after.st_mode));
    CHECK(stat(p.path, &after) == 0 && (after.st_mode & 07777) == 0604);
    CHECK(files_in(&p) == 2);
    clear_place(&p);
}

static void a_draft_larger_than_its_buffer_is_whole(void) {
    enum { TIMES = 5000 };
    place p = make_place();
    struct stat after;
    jl_pending_file pending;
    CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_REPLACE, &pending));
    for (int i = 0; i < TIMES; i++) jl_pending_file_write(&pending, "0123456789\n", 11);
    CHECK_OK(jl_pending_file_commit(&pending, JL_PENDING_REPLACE));
    CHECK(stat(p.path, &after) == 0 && after.st_size == 11 * TIMES);
    clear_place(&p);
}

static void a_dropped_draft_leaves_nothing(void) {
    place p = make_place();
    jl_pending_file pending;
    put(p.path, "old");
    CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_REPLACE, &pending));
    jl_pending_file_write(&pending, "new", 3);
    jl_pending_file_drop(&pending);
    CHECK(holds(p.path, "old"));
    CHECK(files_in(&p) == 1);
    clear_place(&p);
}

static volatile sig_atomic_t signals_came;

static void count_signal(int number) {
    (void)number;
    signals_came++;
}

static void a_signal_waits_for_a_pending_file(void) {
    const int SIGNALS[] = {SIGINT, SIGTERM, SIGHUP};
    place p = make_place();
    signals_came = 0;
    for (int i = 0; i < 3; i++) {
        static jl_pending_file pending;
        struct sigaction old, action = {.sa_handler = count_signal};
        sigaction(SIGNALS[i], &action, &old);
        CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_REPLACE, &pending));
        raise(SIGNALS[i]);
        CHECK(signals_came == i);
        if (i == 0)
            jl_pending_file_drop(&pending);
        else
            CHECK_OK(jl_pending_file_commit(&pending, JL_PENDING_REPLACE));
        CHECK(signals_came == i + 1);
        sigaction(SIGNALS[i], &old, NULL);
    }
    CHECK(rmdir(p.folder) != 0 && unlink(p.path) == 0 && rmdir(p.folder) == 0);
}

static void a_held_file_is_busy_for_others(void) {
    place p = make_place();
    jl_locked_file file, second;
    put(p.path, "a\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK_STATUS(jl_locked_file_open(p.path, 0.02, &second), JL_BUSY);
    CHECK_OK(jl_locked_file_append(&file, "b\n", 2));
    CHECK_OK(jl_locked_file_append(&file, "c\n", 2));
    jl_locked_file_release(&file);
    CHECK_OK(jl_locked_file_open(p.path, 0.02, &second));
    CHECK(second.length == 6);
    jl_locked_file_release(&second);
    CHECK(holds(p.path, "a\nb\nc\n"));
    clear_place(&p);
}

/* On the clock that the lock goes by. */
static double seconds_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void a_wait_lasts_as_long_as_it_may(void) {
    const double WAIT_S = 0.06;
    place p = make_place();
    jl_locked_file file, second;
    put(p.path, "a\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    double begin_s = seconds_now();
    CHECK_STATUS(jl_locked_file_open(p.path, WAIT_S, &second), JL_BUSY);
    CHECK(seconds_now() - begin_s >= WAIT_S);
    CHECK(JL_WAIT_S == 5);
    jl_locked_file_release(&file);
    clear_place(&p);
}

static void *append_once(void *path) {
    jl_locked_file file;
    jl_status status = jl_locked_file_open(path, 5, &file);
    if (status == JL_OK) {
        status = jl_locked_file_append(&file, "late\n", 5);
        jl_locked_file_release(&file);
    }
    return (void *)(intptr_t)status;
}

/* The one who waited must not write into the file that has lost its name. */
static void a_file_replaced_while_we_wait_is_opened_again(void) {
    place p = make_place();
    jl_locked_file file;
    jl_pending_file pending;
    pthread_t waiter;
    void *status;
    put(p.path, "old\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK(pthread_create(&waiter, NULL, append_once, p.path) == 0);
    usleep(30000);
    CHECK_OK(jl_pending_file_open(file.path, JL_PENDING_REPLACE, &pending));
    jl_pending_file_write(&pending, "new\n", 4);
    CHECK_OK(jl_locked_file_replace(&file, &pending));
    jl_locked_file_release(&file);
    pthread_join(waiter, &status);
    CHECK((jl_status)(intptr_t)status == JL_OK);
    CHECK(holds(p.path, "new\nlate\n"));
    clear_place(&p);
}

static void a_file_changed_by_another_program_is_not_written_to(void) {
    place p = make_place();
    jl_locked_file file;
    jl_pending_file pending;
    put(p.path, "old\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    put(p.path, "changed\n");
    CHECK_STATUS(jl_locked_file_append(&file, "x\n", 2), JL_BUSY);
    CHECK_STATUS(jl_locked_file_set_aside(&file, 1), JL_BUSY);
    CHECK_OK(jl_pending_file_open(file.path, JL_PENDING_REPLACE, &pending));
    CHECK_STATUS(jl_locked_file_replace(&file, &pending), JL_BUSY);
    jl_locked_file_release(&file);
    CHECK(holds(p.path, "changed\n"));
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK(rename(p.path, p.other) == 0);
    CHECK_STATUS(jl_locked_file_append(&file, "x\n", 2), JL_BUSY);
    jl_locked_file_release(&file);
    CHECK(holds(p.other, "changed\n"));
    CHECK(files_in(&p) == 1);
    clear_place(&p);
}

static void what_cannot_be_held_is_refused(void) {
    place p = make_place();
    jl_locked_file file;
    CHECK_STATUS(jl_locked_file_open(p.path, 0, &file), JL_INPUT);
    CHECK_STATUS(jl_locked_file_open(p.folder, 0, &file), JL_INPUT);
    CHECK(mkfifo(p.path, 0600) == 0);
    CHECK_STATUS(jl_locked_file_open(p.path, 0, &file), JL_INPUT);
    clear_place(&p);
}

/* A file may not grow beyond the limit: the first bytes are written, the rest fails. */
static void a_failed_append_is_cut_back(void) {
    place p = make_place();
    jl_locked_file file;
    struct rlimit before, small;
    put(p.path, "old\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    void (*handler)(int) = signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &before);
    small = before;
    small.rlim_cur = 7;
    CHECK(setrlimit(RLIMIT_FSIZE, &small) == 0);
    CHECK_STATUS(jl_locked_file_append(&file, "a row\n", 6), JL_IO);
    CHECK(file.trouble.error == EFBIG && !file.trouble.uncertain);
    CHECK(setrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, handler);
    CHECK(holds(p.path, "old\n"));
    CHECK_OK(jl_locked_file_append(&file, "a row\n", 6));
    jl_locked_file_release(&file);
    CHECK(holds(p.path, "old\na row\n"));
    clear_place(&p);
}

static void a_torn_end_is_set_aside_under_the_next_number(void) {
    place p = make_place();
    char torn[80];
    jl_locked_file file;
    put(p.path, "whole\nto");
    snprintf(torn, sizeof torn, "%s.torn-1", p.path);
    put(torn, "earlier");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK_OK(jl_locked_file_set_aside(&file, 6));
    CHECK_OK(jl_locked_file_append(&file, "next\n", 5));
    jl_locked_file_release(&file);
    CHECK(holds(p.path, "whole\nnext\n"));
    CHECK(holds(torn, "earlier"));
    snprintf(torn, sizeof torn, "%s.torn-2", p.path);
    CHECK(holds(torn, "to"));
    clear_place(&p);
}

/* ---- system calls that fail ---- */

typedef enum deed { CREATE, REPLACE, HOLD, APPEND, SET_ASIDE, TAKE_PLACE } deed;

static jl_status held_deed(deed what, jl_locked_file *file) {
    jl_pending_file pending;
    if (what == APPEND) return jl_locked_file_append(file, "new\n", 4);
    if (what == SET_ASIDE) return jl_locked_file_set_aside(file, 4);
    CHECK_OK(jl_pending_file_open(file->path, JL_PENDING_REPLACE, &pending));
    jl_pending_file_write(&pending, "new\n", 4);
    return jl_locked_file_replace(file, &pending);
}

/* What is done to a file that holds "old\ntorn", or to none, while calls fail. */
static jl_status do_under(deed what, const char *path, const fault_call *faults, bool *came,
                          jl_trouble *trouble) {
    jl_locked_file file = {.fd = -1};
    jl_status status;
    *trouble = (jl_trouble){0};
    if (what > HOLD) CHECK_OK(jl_locked_file_open(path, 0, &file));
    faults_begin(faults);
    if (what == CREATE)
        status = jl_create(path, "new\n", 4, trouble);
    else if (what == REPLACE)
        status = jl_replace(path, "new\n", 4, trouble);
    else if (what == HOLD)
        status = jl_locked_file_open(path, 0.01, &file);
    else
        status = held_deed(what, &file);
    *came = faults_end();
    if (what > HOLD || status != JL_OK) *trouble = what < HOLD ? *trouble : file.trouble;
    if (what > HOLD || status == JL_OK) jl_locked_file_release(&file);
    return status;
}

#define OLD "old\ntorn"

/* holds: the file afterwards; files: how many there are in its folder. */
static const struct {
    deed what;
    fault_call faults[FAULTS_MOST];
    jl_status status;
    int error;
    const char *holds;
    int files;
    bool uncertain, beside;
} UNDER[] = {
    {CREATE, {{"open", 1, EIO}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"open", 1, EINTR}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"open", 2, EACCES}}, JL_EXISTS, EACCES, NULL, 0},
    {CREATE, {{"open", 2, ENOSPC}}, JL_IO, ENOSPC, NULL, 0},
    {CREATE, {{"open", 2, ENOMEM}}, JL_MEMORY, ENOMEM, NULL, 0},
    {CREATE, {{"open", 2, EEXIST}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"open", 2, EEXIST, true}}, JL_EXISTS, EEXIST, NULL, 0}, /* every name is taken */
    {CREATE, {{"write", 1, ENOSPC}}, JL_IO, ENOSPC, NULL, 0},
    {CREATE, {{"write", 1, EINTR}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"write", 1, EINTR}, {"write", 2, NOTHING}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"write", 1, HALF}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"write", 1, NOTHING}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"fsync", 1, EIO}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"fsync", 1, EINTR}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"fsync", 1, EINVAL}}, JL_IO, EINVAL, NULL, 0},
    {CREATE, {{"renameat2", 1, EEXIST}}, JL_EXISTS, EEXIST, NULL, 0},
    {CREATE, {{"renameat2", 1, EIO}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"renameat2", 1, EINVAL}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"renameat2", 1, ENOSYS}}, JL_OK, 0, "new\n", 1},
    {CREATE, {{"renameat2", 1, EINVAL}, {"open", 3, EEXIST}}, JL_EXISTS, EEXIST, NULL, 0},
    {CREATE, {{"renameat2", 1, EINVAL}, {"rename", 1, EIO}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"fsync", 2, EINVAL}}, JL_OK, 0, "new\n", 1}, /* a folder that needs no fsync */
    {CREATE, {{"fsync", 2, EIO}}, JL_IO, EIO, NULL, 0},
    {CREATE, {{"fsync", 2, EIO}, {"unlink", 1, EIO}}, JL_IO, EIO, "new\n", 1, true},

    {REPLACE, {{"realpath", 1, EACCES}}, JL_EXISTS, EACCES, OLD, 1},
    {REPLACE, {{"realpath", 1, EIO}}, JL_IO, EIO, OLD, 1},
    {REPLACE, {{"open", 1, EMFILE}}, JL_IO, EMFILE, OLD, 1},
    {REPLACE, {{"write", 1, ENOSPC}}, JL_IO, ENOSPC, OLD, 1},
    {REPLACE, {{"rename", 1, EACCES}}, JL_EXISTS, EACCES, OLD, 1},
    {REPLACE, {{"fchmod", 1, EPERM}}, JL_OK, 0, "new\n", 1},
    {REPLACE, {{"fsync", 2, EIO}}, JL_IO, EIO, "new\n", 1, true},

    {HOLD, {{"realpath", 1, ENAMETOOLONG}}, JL_INPUT, ENAMETOOLONG, OLD, 1},
    {HOLD, {{"open", 1, EACCES}}, JL_EXISTS, EACCES, OLD, 1},
    {HOLD, {{"open", 1, EROFS}}, JL_EXISTS, EROFS, OLD, 1},
    {HOLD, {{"fstat", 1, EIO}}, JL_IO, EIO, OLD, 1},
    {HOLD, {{"flock", 1, EINTR}}, JL_OK, 0, OLD, 1},
    {HOLD, {{"flock", 1, ENOLCK}}, JL_IO, ENOLCK, OLD, 1},
    {HOLD, {{"flock", 1, EWOULDBLOCK}}, JL_OK, 0, OLD, 1},
    {HOLD, {{"flock", 1, EWOULDBLOCK, true}}, JL_BUSY, 0, OLD, 1},
    {HOLD, {{"stat", 1, ENOENT}}, JL_OK, 0, OLD, 1}, /* replaced meanwhile: opened again */
    {HOLD, {{"stat", 1, ENOENT, true}}, JL_BUSY, 0, OLD, 1},

    {APPEND, {{"fstat", 1, EIO}}, JL_BUSY, 0, OLD, 1},
    {APPEND, {{"stat", 1, ENOENT}}, JL_BUSY, 0, OLD, 1},
    {APPEND, {{"write", 1, ENOSPC}}, JL_IO, ENOSPC, OLD, 1},
    {APPEND, {{"write", 1, HALF}}, JL_OK, 0, OLD "new\n", 1},
    {APPEND, {{"write", 1, HALF}, {"write", 2, ENOSPC}}, JL_IO, ENOSPC, OLD, 1},
    {APPEND, {{"fsync", 1, EIO}}, JL_IO, EIO, OLD, 1},
    {APPEND, {{"fsync", 1, EIO, true}}, JL_IO, EIO, OLD, 1, true},
    {APPEND, {{"fsync", 1, EIO}, {"ftruncate", 1, EINTR}}, JL_IO, EIO, OLD, 1},
    {APPEND, {{"fsync", 1, EIO}, {"ftruncate", 1, EROFS}}, JL_IO, EIO, OLD "new\n", 1, true},
    {APPEND, {{"fstat", 2, EIO}}, JL_BUSY, 0, OLD "new\n", 1, true},
    {APPEND, {{"stat", 2, ENOENT}}, JL_BUSY, 0, OLD "new\n", 1, true},

    {SET_ASIDE, {{"stat", 1, ENOENT}}, JL_BUSY, 0, OLD, 1},
    {SET_ASIDE, {{"open", 2, EACCES}}, JL_EXISTS, EACCES, OLD, 1, false, true},
    {SET_ASIDE, {{"open", 1, EMFILE}}, JL_IO, EMFILE, OLD, 1, false, true},
    {SET_ASIDE, {{"pread", 1, EINTR}}, JL_OK, 0, "old\n", 2},
    {SET_ASIDE, {{"pread", 1, EIO}}, JL_IO, EIO, OLD, 1},
    {SET_ASIDE, {{"pread", 2, EIO}}, JL_IO, EIO, OLD, 1},
    {SET_ASIDE, {{"write", 1, ENOSPC}}, JL_IO, ENOSPC, OLD, 1},
    {SET_ASIDE, {{"renameat2", 1, EEXIST}}, JL_OK, 0, "old\n", 2}, /* the next number */
    {SET_ASIDE, {{"renameat2", 1, EACCES}}, JL_EXISTS, EACCES, OLD, 1},
    {SET_ASIDE, {{"ftruncate", 1, EIO}}, JL_IO, EIO, OLD, 2},
    {SET_ASIDE, {{"fsync", 3, EIO}}, JL_IO, EIO, "old\n", 2},

    {TAKE_PLACE, {{"fstat", 1, EIO}}, JL_BUSY, 0, OLD, 1},
    {TAKE_PLACE, {{"rename", 1, EIO}}, JL_IO, EIO, OLD, 1},
    {TAKE_PLACE, {{"flock", 1, EWOULDBLOCK}}, JL_OK, 0, "new\n", 1},
    {TAKE_PLACE, {{"fsync", 2, EIO}}, JL_IO, EIO, "new\n", 1, true},
    {TAKE_PLACE, {{"fstat", 2, EIO}}, JL_OK, 0, "new\n", 1},
};

static void a_call_that_fails_is_told_and_taken_back(void) {
    for (size_t i = 0; i < sizeof UNDER / sizeof UNDER[0]; i++) {
        place p = make_place();
        jl_trouble trouble;
        bool came;
        if (UNDER[i].what != CREATE) put(p.path, OLD);
        jl_status status = do_under(UNDER[i].what, p.path, UNDER[i].faults, &came, &trouble);
        bool good = came && status == UNDER[i].status && trouble.error == UNDER[i].error &&
                    trouble.uncertain == UNDER[i].uncertain && trouble.beside == UNDER[i].beside &&
                    files_in(&p) == UNDER[i].files &&
                    (UNDER[i].holds == NULL || holds(p.path, UNDER[i].holds));
        if (!good)
            printf("\n    deed %d, %s %d: %s status %d error %d uncertain %d beside %d files %d",
                   UNDER[i].what, UNDER[i].faults[0].call, UNDER[i].faults[0].nth,
                   came ? "" : "not reached", status, trouble.error, trouble.uncertain,
                   trouble.beside, files_in(&p));
        CHECK(good);
        clear_place(&p);
    }
}

/* The folder above all is one too. */
static void a_file_beside_the_root_is_refused_as_any(void) {
    static const fault_call READ_ONLY[FAULTS_MOST] = {{"open", 2, EROFS, false}};
    jl_trouble trouble;
    faults_begin(READ_ONLY);
    CHECK_STATUS(jl_create("/jarline-never-made.csv", "x", 1, &trouble), JL_EXISTS);
    CHECK(faults_end() && trouble.error == EROFS);
}

/* Where the owner cannot be kept the group still is; where it cannot be, another group gets nothing. */
static void rights_of_a_group_that_cannot_be_kept_are_dropped(void) {
    static const struct {
        fault_call faults[FAULTS_MOST];
        mode_t mode;
    } AT[] = {{{{"fchown", 1, EPERM, false}}, 0664},
              {{{"fchown", 1, EPERM, true}}, 0604},
              {{{"fchown", 1, EPERM, true}, {"fchmod", 1, EPERM, false}}, 0600}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        place p = make_place();
        struct stat after;
        mode_t mask = umask(077);
        put(p.path, "old");
        CHECK(chmod(p.path, 0664) == 0);
        faults_begin(AT[i].faults);
        CHECK_OK(jl_replace(p.path, "new", 3, NULL));
        CHECK(faults_end());
        umask(mask);
        CHECK(stat(p.path, &after) == 0 && (after.st_mode & 07777) == AT[i].mode);
        clear_place(&p);
    }
}

static void a_descriptor_may_be_0(void) {
    static jl_pending_file pending;
    place p = make_place();
    jl_locked_file file;
    put(p.path, "old\n");
    int kept = input_away();
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK(file.fd == 0);
    CHECK_OK(jl_locked_file_append(&file, "new\n", 4));
    jl_locked_file_release(&file);
    CHECK(fcntl(0, F_GETFD) == -1);
    CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_REPLACE, &pending));
    CHECK(pending.folder_fd == 0);
    jl_pending_file_drop(&pending);
    CHECK(input_back(kept));
    CHECK(holds(p.path, "old\nnew\n"));
    clear_place(&p);
}

/* A second end of the same draft does nothing. */
static void a_draft_ends_once(void) {
    static jl_pending_file pending;
    place p = make_place();
    CHECK_OK(jl_pending_file_open(p.path, JL_PENDING_NEW, &pending));
    jl_pending_file_drop(&pending);
    jl_pending_file_drop(&pending);
    CHECK(files_in(&p) == 0 && pending.fd == -1);
    clear_place(&p);
}

/* Where the lock of a file that took another's place could not be had, it is not written to. */
static void a_file_that_is_not_held_is_not_written_to(void) {
    static const fault_call BUSY[FAULTS_MOST] = {{"flock", 1, EWOULDBLOCK, false}};
    static jl_pending_file pending;
    place p = make_place();
    jl_locked_file file;
    put(p.path, "old\n");
    CHECK_OK(jl_locked_file_open(p.path, 0, &file));
    CHECK_OK(jl_pending_file_open(file.path, JL_PENDING_REPLACE, &pending));
    faults_begin(BUSY);
    CHECK_OK(jl_locked_file_replace(&file, &pending));
    CHECK(faults_end());
    CHECK_STATUS(jl_locked_file_append(&file, "x\n", 2), JL_BUSY);
    jl_locked_file_release(&file);
    CHECK(holds(p.path, ""));
    clear_place(&p);
}

CU_TestInfo durable_tests[] = {
    {"a call that fails is told and taken back", a_call_that_fails_is_told_and_taken_back},
    {"a file beside the root is refused as any", a_file_beside_the_root_is_refused_as_any},
    {"rights of a group that cannot be kept are dropped",
     rights_of_a_group_that_cannot_be_kept_are_dropped},
    {"a draft ends once", a_draft_ends_once},
    {"a descriptor may be 0", a_descriptor_may_be_0},
    {"a file that is not held is not written to", a_file_that_is_not_held_is_not_written_to},
    {"a new file is whole and never overwrites", a_new_file_is_whole_and_never_overwrites},
    {"a file that appears meanwhile is not overwritten",
     a_file_that_appears_meanwhile_is_not_overwritten},
    {"a replaced file keeps mode and its link", a_replaced_file_keeps_mode_and_its_link},
    {"a draft larger than its buffer is whole", a_draft_larger_than_its_buffer_is_whole},
    {"a dropped draft leaves nothing", a_dropped_draft_leaves_nothing},
    {"a signal waits for a pending file", a_signal_waits_for_a_pending_file},
    {"a held file is busy for others", a_held_file_is_busy_for_others},
    {"a wait lasts as long as it may", a_wait_lasts_as_long_as_it_may},
    {"a file replaced while we wait is opened again",
     a_file_replaced_while_we_wait_is_opened_again},
    {"a file changed by another program is not written to",
     a_file_changed_by_another_program_is_not_written_to},
    {"what cannot be held is refused", what_cannot_be_held_is_refused},
    {"a failed append is cut back", a_failed_append_is_cut_back},
    {"a torn end is set aside under the next number",
     a_torn_end_is_set_aside_under_the_next_number},
    CU_TEST_INFO_NULL,
};
