/* A descriptor that holds a text, for tests of readers of files.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_GIVEN_H
#define JARLINE_GIVEN_H

#include "jarline.h"

#include <fcntl.h>
#include <stdbool.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

static inline int given_bytes(const char *bytes, size_t size) {
    int fd = memfd_create("given", MFD_CLOEXEC);
    while (fd >= 0 && size > 0) {
        ssize_t n = write(fd, bytes, size);
        if (n <= 0) break;
        bytes += n;
        size -= (size_t)n;
    }
    if (fd >= 0) lseek(fd, 0, SEEK_SET);
    return fd;
}

/* For texts of what is wanted. */
static inline const char *status_name(jl_status status) {
    static const char *const names[] = {
        "OK",     "END",       "NO",      "RANGE",    "NO_MIXTURE", "FORM",
        "UNIT",   "AMBIGUOUS", "MISSING", "CONFLICT", "TOO_LONG",   "INPUT",
        "EXISTS", "IO",        "BUSY",    "MEMORY",   "NUMERIC",
    };
    return names[status];
}

static inline int given(const char *text) {
    return given_bytes(text, strlen(text));
}

/* Until input_back the next file that is opened has the number 0, which is as good as any. */
static inline int input_away(void) {
    int kept = fcntl(0, F_DUPFD_CLOEXEC, 3);
    close(0);
    return kept;
}

/* Whether the number 0 is free again. */
static inline bool input_back(int kept) {
    bool freed = fcntl(0, F_GETFD) == -1;
    if (kept >= 0) dup2(kept, 0);
    if (kept >= 0) close(kept);
    return freed;
}

#endif
