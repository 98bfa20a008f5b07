/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "log/durable.h"
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

CU_TestInfo durable_tests[] = {
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
