/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/faults.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <time.h>

static fault_call wanted[FAULTS_MOST];
static int came[FAULTS_MOST];
static bool active;

void faults_begin(const fault_call faults[FAULTS_MOST]) {
    memcpy(wanted, faults, sizeof wanted);
    memset(came, 0, sizeof came);
    active = true;
}

bool faults_end(void) {
    bool all = true;
    active = false;
    for (int i = 0; i < FAULTS_MOST; i++)
        if (wanted[i].call != NULL && came[i] < wanted[i].nth) all = false;
    return all;
}

/* 0, or what the call fails with. */
static int fault_of(const char *call) {
    int error = 0;
    for (int i = 0; active && i < FAULTS_MOST; i++) {
        if (wanted[i].call == NULL || strcmp(wanted[i].call, call) != 0) continue;
        came[i]++;
        if (came[i] == wanted[i].nth || (wanted[i].stays && came[i] > wanted[i].nth))
            error = wanted[i].error;
    }
    if (error > 0) errno = error;
    return error;
}

/* WRAPPED(result, symbol, call, parameters, arguments): of which the result of a failure is -1. */
#define WRAPPED(result, symbol, call, parameters, arguments)                                       \
    result __real_##symbol parameters;                                                             \
    result __wrap_##symbol parameters;                                                             \
    result __wrap_##symbol parameters {                                                            \
        return fault_of(call) != 0 ? -1 : __real_##symbol arguments;                               \
    }

/* Reads and writes may do a part of their bytes. */
#define WRAPPED_BYTES(symbol, call, parameters, length, arguments)                                 \
    ssize_t __real_##symbol parameters;                                                            \
    ssize_t __wrap_##symbol parameters;                                                            \
    ssize_t __wrap_##symbol parameters {                                                           \
        int fault = fault_of(call);                                                                \
        if (fault > 0) return -1;                                                                  \
        if (fault == NOTHING) return 0;                                                            \
        if (fault == HALF) length /= 2;                                                            \
        return __real_##symbol arguments;                                                          \
    }

/* Both names that a call has, with offsets of 64 bits and without. */
#define BOTH(WRAP, symbol, ...)                                                                    \
    WRAP(symbol, #symbol, __VA_ARGS__)                                                             \
    WRAP(symbol##64, #symbol, __VA_ARGS__)
#define INT(symbol, call, parameters, arguments) WRAPPED(int, symbol, call, parameters, arguments)

WRAPPED_BYTES(read, "read", (int fd, void *bytes, size_t length), length, (fd, bytes, length))
WRAPPED_BYTES(write, "write", (int fd, const void *bytes, size_t length), length,
              (fd, bytes, length))
BOTH(WRAPPED_BYTES, pread, (int fd, void *bytes, size_t length, off_t at), length,
     (fd, bytes, length, at))
INT(fsync, "fsync", (int fd), (fd))
BOTH(INT, ftruncate, (int fd, off_t length), (fd, length))
INT(flock, "flock", (int fd, int operation), (fd, operation))
INT(fchown, "fchown", (int fd, uid_t owner, gid_t group), (fd, owner, group))
INT(fchmod, "fchmod", (int fd, mode_t mode), (fd, mode))
INT(rename, "rename", (const char *from, const char *to), (from, to))
INT(renameat2, "renameat2",
    (int from_fd, const char *from, int to_fd, const char *to, unsigned flags),
    (from_fd, from, to_fd, to, flags))
INT(unlink, "unlink", (const char *path), (path))
BOTH(INT, fstat, (int fd, void *about), (fd, about))
BOTH(INT, stat, (const char *path, void *about), (path, about))

#if __SIZEOF_POINTER__ == 4 /* and the names of those with a time of 64 bits */
WRAPPED(int, __fstat64_time64, "fstat", (int fd, void *about), (fd, about))
WRAPPED(int, __stat64_time64, "stat", (const char *path, void *about), (path, about))
#endif

#define OPEN(symbol)                                                                               \
    int __real_##symbol(const char *path, int flags, ...);                                         \
    int __wrap_##symbol(const char *path, int flags, ...);                                         \
    int __wrap_##symbol(const char *path, int flags, ...) {                                        \
        va_list list;                                                                              \
        va_start(list, flags);                                                                     \
        mode_t mode = (flags & O_CREAT) != 0 ? va_arg(list, mode_t) : 0;                           \
        va_end(list);                                                                              \
        return fault_of("open") != 0 ? -1 : __real_##symbol(path, flags, mode);                    \
    }
OPEN(open)
OPEN(open64)

/* A wait between two tries is none while calls fail. */
#define WAIT(symbol)                                                                               \
    int __real_##symbol(const struct timespec *pause, struct timespec *left);                      \
    int __wrap_##symbol(const struct timespec *pause, struct timespec *left);                      \
    int __wrap_##symbol(const struct timespec *pause, struct timespec *left) {                     \
        return active ? 0 : __real_##symbol(pause, left);                                          \
    }
#if __SIZEOF_POINTER__ == 4
WAIT(__nanosleep64)
#else
WAIT(nanosleep)
#endif

char *__real_realpath(const char *path, char *out);
char *__wrap_realpath(const char *path, char *out);
char *__wrap_realpath(const char *path, char *out) {
    return fault_of("realpath") != 0 ? NULL : __real_realpath(path, out);
}
