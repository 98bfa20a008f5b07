/* A descriptor that holds a text, for readers of files.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_GIVEN_H
#define JARLINE_GIVEN_H

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

static inline int given(const char *text) {
    return given_bytes(text, strlen(text));
}

#endif
