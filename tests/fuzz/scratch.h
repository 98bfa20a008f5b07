/* A folder of a target's own, in memory where that can be had, since a writer waits for the disk.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FUZZ_SCRATCH_H
#define JARLINE_FUZZ_SCRATCH_H

#include "target.h"

#include <dirent.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char scratch[64];

static inline void scratch_clear(void) {
    DIR *dir = scratch[0] == '\0' ? NULL : opendir(scratch);
    const struct dirent *entry;
    while (dir != NULL && (entry = readdir(dir)) != NULL)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            unlinkat(dirfd(dir), entry->d_name, 0);
    if (dir != NULL) closedir(dir);
}

static inline void scratch_make(void) {
    struct stat info;
    if (scratch[0] != '\0') return;
    bool shm = stat("/dev/shm", &info) == 0 && access("/dev/shm", W_OK) == 0;
    snprintf(scratch, sizeof scratch, "%s/jarline-fuzz-XXXXXX", shm ? "/dev/shm" : "/tmp");
    HOLDS(mkdtemp(scratch) != NULL);
}

__attribute__((destructor)) static inline void scratch_end(void) {
    scratch_clear();
    if (scratch[0] != '\0') rmdir(scratch);
}

static inline void scratch_path(const char *name, char path[128]) {
    scratch_make();
    snprintf(path, 128, "%s/%s", scratch, name);
}

static inline void scratch_put(const char *name, const void *data, size_t size) {
    char path[128];
    scratch_path(name, path);
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    HOLDS(fd >= 0 && write(fd, data, size) == (ssize_t)size);
    close(fd);
}

/* How many bytes; SIZE_MAX: no such file. */
static inline size_t scratch_get(const char *name, char *bytes, size_t room) {
    char path[128];
    scratch_path(name, path);
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0) return SIZE_MAX;
    ssize_t n = read(fd, bytes, room);
    HOLDS(n >= 0);
    close(fd);
    return (size_t)n;
}

#endif
