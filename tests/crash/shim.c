/* A disk that fails: loaded before the C library, it counts the file calls that a process makes in
 * one folder and spoils one of them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * CRASH_FOLDER   the folder, as realpath gives it
 * CRASH_AT       which call is spoilt, from 1; 0 for none
 * CRASH_HOW      enospc, eio   the call fails and does nothing
 *                stuck         it fails with EIO, and so does every later one
 *                short         a read or write does half of its bytes
 *                kill          the process ends before the call
 *                tear          a write does half of its bytes, then the process ends
 *                moved         an fsync is done, then the log has another name
 *                signal        a signal interrupts the call, which has done nothing
 *                foreign       every fchown fails: nobody else's file may be given away
 *                old           no rename knows flags, as in some file systems
 * CRASH_SHADOW   where the disk is kept as a power cut would leave it: data/INODE holds the bytes
 *                that an fsync brought there, names the entries that an fsync of the folder did;
 *                ahead/INODE holds them as a disk does that writes at once what is written, but cuts
 *                a file shorter only at its fsync
 * CRASH_TRACE    gets a line "NUMBER CALL WAITING NAME" for each call: WAITING bytes stand in the
 *                pipe that is standard output, which the driver leaves alone until the process has
 *                ended; NAME is what is opened, - for another call
 *
 * A name reaches the disk by an fsync of its folder only, bytes by an fsync of their file only. */
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#define SHOWN __attribute__((visibility("default")))

typedef enum how { NOTHING, FAIL, SHORT } how;

static long calls;
static bool stuck;
static const char *opened = "-"; /* name of the file that is being opened */

static const char *setting(const char *name) {
    const char *value = getenv(name);
    return value == NULL ? "" : value;
}

static bool in_folder(const char *path) {
    const char *folder = setting("CRASH_FOLDER");
    size_t length = strlen(folder);
    return length > 0 && strncmp(path, folder, length) == 0 &&
           (path[length] == '/' || path[length] == '\0');
}

static bool path_counts(int folder_fd, const char *path) {
    char whole[PATH_MAX];
    if (path[0] == '/') return in_folder(path);
    if (folder_fd != AT_FDCWD || getcwd(whole, sizeof whole) == NULL) return false;
    return in_folder(whole);
}

static bool fd_counts(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n < 0) return false;
    path[n] = '\0';
    return in_folder(path);
}

static void trace(const char *name) {
    char line[NAME_MAX + 64];
    int fd = (int)syscall(SYS_openat, AT_FDCWD, setting("CRASH_TRACE"),
                          O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
    if (fd < 0) return;
    int waiting = 0;
    if (ioctl(STDOUT_FILENO, FIONREAD, &waiting) != 0) waiting = -1;
    int n = snprintf(line, sizeof line, "%ld %s %d %s\n", calls, name, waiting, opened);
    if (syscall(SYS_write, fd, line, (size_t)n) != n) abort();
    syscall(SYS_close, fd);
}

/* Counts a call and says how it is spoilt; length is of a read or write, else 0. */
static how spoil(const char *name, size_t length) {
    const char *kind = setting("CRASH_HOW");
    calls++;
    trace(name);
    bool here = calls == atol(setting("CRASH_AT"));
    if (here && strcmp(kind, "kill") == 0) kill(getpid(), SIGKILL);
    if (here && strcmp(kind, "stuck") == 0) stuck = true;
    if (stuck || (here && strcmp(kind, "eio") == 0)) {
        errno = EIO;
        return FAIL;
    }
    if (here && (strcmp(kind, "enospc") == 0 || strcmp(kind, "signal") == 0)) {
        errno = kind[0] == 'e' ? ENOSPC : EINTR;
        return FAIL;
    }
    bool half = strcmp(kind, "short") == 0 || strcmp(kind, "tear") == 0;
    return here && half && length > 1 ? SHORT : NOTHING;
}

/* ---- the disk as a power cut would leave it ---- */

static int shadow_open(const char *name, unsigned long inode) {
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s/%s", setting("CRASH_SHADOW"), name);
    if (inode != 0) snprintf(path, sizeof path, "%s/%s/%lu", setting("CRASH_SHADOW"), name, inode);
    return (int)syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
}

static void shadow_put(int to, const void *bytes, size_t length) {
    if (syscall(SYS_write, to, bytes, length) != (long)length) abort();
}

static void shadow_data(const char *where, int fd, const struct stat *file) {
    char bytes[4096];
    off_t at = 0;
    long n;
    int to = shadow_open(where, file->st_ino);
    if (to < 0) return;
    char again[64];
    snprintf(again, sizeof again, "/proc/self/fd/%d", fd);
    int from = (int)syscall(SYS_openat, AT_FDCWD, again, O_RDONLY | O_CLOEXEC, 0);
    while ((n = syscall(SYS_pread64, from, bytes, sizeof bytes, at)) > 0) {
        shadow_put(to, bytes, (size_t)n);
        at += n;
    }
    syscall(SYS_close, from);
    syscall(SYS_close, to);
}

static void shadow_names(void) {
    DIR *folder = opendir(setting("CRASH_FOLDER"));
    int to = shadow_open("names", 0);
    if (folder == NULL || to < 0) return;
    for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
        char line[NAME_MAX + 32];
        int n = snprintf(line, sizeof line, "%lu %s\n", (unsigned long)entry->d_ino, entry->d_name);
        shadow_put(to, line, (size_t)n);
    }
    syscall(SYS_close, to);
    closedir(folder);
}

static void shadow_sync(int fd) {
    struct stat file;
    if (syscall(SYS_fstat, fd, &file) != 0) return;
    if (S_ISDIR(file.st_mode)) {
        shadow_names();
        return;
    }
    shadow_data("data", fd, &file);
    shadow_data("ahead", fd, &file);
}

static void shadow_write(int fd) {
    struct stat file;
    if (syscall(SYS_fstat, fd, &file) == 0 && S_ISREG(file.st_mode))
        shadow_data("ahead", fd, &file);
}

/* An inode's number may have belonged to a file that is gone. */
static void shadow_forget(int fd) {
    char path[PATH_MAX];
    struct stat file;
    if (syscall(SYS_fstat, fd, &file) != 0 || file.st_size != 0 || !S_ISREG(file.st_mode)) return;
    snprintf(path, sizeof path, "%s/data/%lu", setting("CRASH_SHADOW"), (unsigned long)file.st_ino);
    syscall(SYS_unlinkat, AT_FDCWD, path, 0);
    snprintf(path, sizeof path, "%s/ahead/%lu", setting("CRASH_SHADOW"),
             (unsigned long)file.st_ino);
    syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}

/* ---- the calls ---- */

#define REAL(result, name, ...)                                                                    \
    static result (*real_##name)(__VA_ARGS__);                                                     \
    if (real_##name == NULL) *(void **)&real_##name = dlsym(RTLD_NEXT, #name)

static int open_counted(int folder_fd, const char *path, int flags, mode_t mode) {
    const char *slash = strrchr(path, '/');
    opened = slash == NULL ? path : slash + 1;
    bool fails = path_counts(folder_fd, path) && spoil("open", 0) == FAIL;
    opened = "-";
    if (fails) return -1;
    int fd = (int)syscall(SYS_openat, folder_fd, path, flags, mode);
    if (fd >= 0 && (flags & O_CREAT) && path_counts(folder_fd, path)) shadow_forget(fd);
    return fd;
}

static mode_t mode_of(int flags, va_list list) {
    return flags & (O_CREAT | O_TMPFILE) ? va_arg(list, mode_t) : 0;
}

#define OPEN(name)                                                                                 \
    SHOWN int name(const char *path, int flags, ...) {                                             \
        va_list list;                                                                              \
        va_start(list, flags);                                                                     \
        mode_t mode = mode_of(flags, list);                                                        \
        va_end(list);                                                                              \
        return open_counted(AT_FDCWD, path, flags, mode);                                          \
    }
OPEN(open)
OPEN(open64)

#define OPENAT(name)                                                                               \
    SHOWN int name(int folder_fd, const char *path, int flags, ...) {                              \
        va_list list;                                                                              \
        va_start(list, flags);                                                                     \
        mode_t mode = mode_of(flags, list);                                                        \
        va_end(list);                                                                              \
        return open_counted(folder_fd, path, flags, mode);                                         \
    }
OPENAT(openat)
OPENAT(openat64)

SHOWN ssize_t write(int fd, const void *bytes, size_t length) {
    bool counts = fd_counts(fd);
    how h = counts ? spoil("write", length) : NOTHING;
    if (h == FAIL) return -1;
    ssize_t n = syscall(SYS_write, fd, bytes, h == SHORT ? length / 2 : length);
    if (counts && n > 0) shadow_write(fd);
    if (h == SHORT && strcmp(setting("CRASH_HOW"), "tear") == 0) kill(getpid(), SIGKILL);
    return n;
}

SHOWN ssize_t read(int fd, void *bytes, size_t length) {
    how h = fd_counts(fd) ? spoil("read", length) : NOTHING;
    if (h == FAIL) return -1;
    return syscall(SYS_read, fd, bytes, h == SHORT ? length / 2 : length);
}

#define PREAD(name)                                                                                \
    SHOWN ssize_t name(int fd, void *bytes, size_t length, off_t at) {                             \
        how h = fd_counts(fd) ? spoil("pread", length) : NOTHING;                                  \
        if (h == FAIL) return -1;                                                                  \
        return syscall(SYS_pread64, fd, bytes, h == SHORT ? length / 2 : length, at);              \
    }
PREAD(pread)
PREAD(pread64)

static void move_away(void) {
    char from[PATH_MAX], to[PATH_MAX];
    if (calls != atol(setting("CRASH_AT")) || strcmp(setting("CRASH_HOW"), "moved") != 0) return;
    snprintf(from, sizeof from, "%s/RUN.csv", setting("CRASH_FOLDER"));
    snprintf(to, sizeof to, "%s/MOVED.csv", setting("CRASH_FOLDER"));
    if (syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0) != 0) abort();
}

#define SYNC(name)                                                                                 \
    SHOWN int name(int fd) {                                                                       \
        bool counts = fd_counts(fd);                                                               \
        if (counts && spoil(#name, 0) == FAIL) return -1;                                          \
        int result = (int)syscall(SYS_##name, fd);                                                 \
        if (result == 0 && counts) shadow_sync(fd);                                                \
        if (counts) move_away();                                                                   \
        return result;                                                                             \
    }
SYNC(fsync)
SYNC(fdatasync)

#define TRUNCATE(name)                                                                             \
    SHOWN int name(int fd, off_t length) {                                                         \
        if (fd_counts(fd) && spoil("ftruncate", 0) == FAIL) return -1;                             \
        return (int)syscall(SYS_ftruncate, fd, length);                                            \
    }
TRUNCATE(ftruncate)
TRUNCATE(ftruncate64)

SHOWN int renameat2(int from_fd, const char *from, int to_fd, const char *to, unsigned flags) {
    if (path_counts(to_fd, to) && spoil("rename", 0) == FAIL) return -1;
    if (flags != 0 && strcmp(setting("CRASH_HOW"), "old") == 0) {
        errno = EINVAL;
        return -1;
    }
    return (int)syscall(SYS_renameat2, from_fd, from, to_fd, to, flags);
}

SHOWN int rename(const char *from, const char *to) {
    return renameat2(AT_FDCWD, from, AT_FDCWD, to, 0);
}

SHOWN int unlink(const char *path) {
    if (path_counts(AT_FDCWD, path) && spoil("unlink", 0) == FAIL) return -1;
    return (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}

SHOWN int close(int fd) {
    bool fails = fd_counts(fd) && spoil("close", 0) == FAIL;
    int error = errno;
    int result = (int)syscall(SYS_close, fd);
    if (fails) errno = error;
    return fails ? -1 : result;
}

SHOWN int flock(int fd, int operation) {
    if (fd_counts(fd) && spoil("flock", 0) == FAIL) return -1;
    return (int)syscall(SYS_flock, fd, operation);
}

SHOWN int fchmod(int fd, mode_t mode) {
    if (fd_counts(fd) && spoil("fchmod", 0) == FAIL) return -1;
    return (int)syscall(SYS_fchmod, fd, mode);
}

SHOWN int fchown(int fd, uid_t owner, gid_t group) {
    if (fd_counts(fd) && spoil("fchown", 0) == FAIL) return -1;
    if (fd_counts(fd) && strcmp(setting("CRASH_HOW"), "foreign") == 0) {
        errno = EPERM;
        return -1;
    }
    return (int)syscall(SYS_fchown, fd, owner, group);
}

#define FSTAT(name, result)                                                                        \
    SHOWN int name(int fd, struct result *out) {                                                   \
        REAL(int, name, int, struct result *);                                                     \
        if (fd_counts(fd) && spoil("fstat", 0) == FAIL) return -1;                                 \
        return real_##name(fd, out);                                                               \
    }
FSTAT(fstat, stat)
FSTAT(fstat64, stat64)

#define STAT(name, result)                                                                         \
    SHOWN int name(const char *path, struct result *out) {                                         \
        REAL(int, name, const char *, struct result *);                                            \
        if (path_counts(AT_FDCWD, path) && spoil(#name, 0) == FAIL) return -1;                     \
        return real_##name(path, out);                                                             \
    }
STAT(stat, stat)
STAT(stat64, stat64)
STAT(lstat, stat)
STAT(lstat64, stat64)

SHOWN char *realpath(const char *path, char *out) {
    REAL(char *, realpath, const char *, char *);
    if (path_counts(AT_FDCWD, path) && spoil("realpath", 0) == FAIL) return NULL;
    return real_realpath(path, out);
}
