/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/follow.h"
#include "answer/say.h"
#include "answer/status.h"

#include <errno.h>
#include <libgen.h>
#include <math.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* What a file looks like from outside: another when it was written. */
typedef struct looks {
    ino_t inode;
    off_t size;
    struct timespec written;
} looks;

/* False: it is not there, as for a moment while an editor replaces it. */
static bool look_at(const char *path, looks *of) {
    struct stat s;
    if (stat(path, &s) != 0) return false;
    *of = (looks){s.st_ino, s.st_size, s.st_mtim};
    return true;
}

static bool alike(const looks *a, const looks *b) {
    return a->inode == b->inode && a->size == b->size && a->written.tv_sec == b->written.tv_sec &&
           a->written.tv_nsec == b->written.tv_nsec;
}

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Watches the folder: a file that is replaced is another one. */
static int watch_folder_of(const char *path) {
    char *copy = need(strdup(path));
    int fd = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    if (fd >= 0 &&
        inotify_add_watch(fd, dirname(copy), IN_MODIFY | IN_CLOSE_WRITE | IN_MOVED_TO) < 0) {
        close(fd);
        fd = -1;
    }
    free(copy);
    return fd;
}

/* Until something in the folder was written, or for a while: a folder over a network says nothing. */
static void wait_for(int watch, double most_s) {
    const double LOOK_S = 2;
    char events[4096];
    struct pollfd on = {.fd = watch, .events = POLLIN};
    poll(&on, watch >= 0, (int)ceil(1000 * fmin(fmax(most_s, 0), LOOK_S)));
    while (watch >= 0 && read(watch, events, sizeof events) > 0) continue;
}

int follow_file(const char *path, double hours, follow_changed *changed, void *with) {
    double end_s = now_s() + 3600 * hours;
    int watch = watch_folder_of(path), bad = EXIT_DONE;
    bool over = false;
    looks last = {0}, seen;
    while (bad == EXIT_DONE && !over && now_s() < end_s) {
        if (look_at(path, &seen) && !alike(&seen, &last)) {
            last = seen; /* before it is read: what is written meanwhile is new */
            bad = changed(with, &over);
        } else
            wait_for(watch, end_s - now_s());
    }
    if (watch >= 0) close(watch);
    return bad;
}
