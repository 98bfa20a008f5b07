/* Files that lose nothing: append under a lock, create, replace.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * open, write, fsync, ftruncate, rename and a lock, and nothing else that changes a file. A write
 * may be short and any call may be interrupted by a signal: both go on. */
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* Numbers tried for a name that is taken. */
enum { NAMES_MOST = 10000 };

/* ---- system calls that go on after a signal ---- */

static int open_file(const char *path, int flags, mode_t mode) {
    int fd;
    do fd = open(path, flags | O_CLOEXEC | O_NOCTTY, mode);
    while (fd < 0 && errno == EINTR);
    return fd;
}

static bool write_all(int fd, const char *bytes, size_t length) {
    while (length > 0) {
        ssize_t n = write(fd, bytes, length);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) {
            if (n == 0) errno = EIO;
            return false;
        }
        bytes += n;
        length -= (size_t)n;
    }
    return true;
}

static bool sync_file(int fd) {
    int result;
    do result = fsync(fd);
    while (result < 0 && errno == EINTR);
    return result == 0;
}

/* Some file systems keep names safe in their own way and answer EINVAL for a folder. */
static bool sync_folder(int fd) {
    return sync_file(fd) || errno == EINVAL;
}

static bool cut_file(int fd, off_t length) {
    int result;
    do result = ftruncate(fd, length);
    while (result < 0 && errno == EINTR);
    return result == 0;
}

static jl_status status_of(int error, jl_status when_missing) {
    switch (error) {
    case ENOMEM:
        return JL_MEMORY;
    case EEXIST:
    case EACCES:
    case EPERM:
    case EROFS:
    case ETXTBSY:
        return JL_EXISTS;
    case ENOENT:
    case ENOTDIR:
    case EISDIR:
    case ELOOP:
    case ENAMETOOLONG:
    case ENXIO:
        return when_missing;
    default:
        return JL_IO;
    }
}

static jl_status trouble_of(jl_trouble *trouble, jl_status when_missing) {
    trouble->error = errno;
    return status_of(errno, when_missing);
}

/* ---- drafts ---- */

static int open_folder_of(const char *path) {
    const char *slash = strrchr(path, '/');
    if (slash == NULL) return open_file(".", O_RDONLY | O_DIRECTORY, 0);
    char *folder = strndup(path, slash == path ? 1 : (size_t)(slash - path));
    if (folder == NULL) return -1;
    int fd = open_file(folder, O_RDONLY | O_DIRECTORY, 0);
    free(folder);
    return fd;
}

/* The file behind symbolic links; a path where nothing stands is its own. */
static char *real_target(const char *path) {
    char *real = realpath(path, NULL);
    if (real == NULL && errno == ENOENT) real = strdup(path);
    return real;
}

static int open_beside(const char *target, char **path) {
    const char *slash = strrchr(target, '/');
    int folder = slash == NULL ? 0 : (int)(slash + 1 - target);
    for (int n = 1; n <= NAMES_MOST; n++) {
        if (asprintf(path, "%.*s.%s.new-%d", folder, target, target + folder, n) < 0) {
            *path = NULL;
            errno = ENOMEM;
            return -1;
        }
        int fd = open_file(*path, O_WRONLY | O_CREAT | O_EXCL, 0666);
        if (fd >= 0) return fd;
        int error = errno;
        free(*path);
        *path = NULL;
        errno = error;
        if (error != EEXIST) return -1;
    }
    return -1;
}

/* Where the owner's group cannot be kept, another group gets nothing. */
static void take_over_mode(int fd, const struct stat *old) {
    mode_t mode = old->st_mode & 07777;
    if (fchown(fd, old->st_uid, old->st_gid) != 0 && fchown(fd, (uid_t)-1, old->st_gid) != 0)
        mode &= ~(mode_t)070;
    if (fchmod(fd, mode) != 0) return; /* a file system without modes */
}

static void draft_free(jl_draft *draft) {
    if (draft->fd >= 0) close(draft->fd);
    if (draft->folder_fd >= 0) close(draft->folder_fd);
    free(draft->target);
    free(draft->path);
    draft->fd = draft->folder_fd = -1;
    draft->target = draft->path = NULL;
}

static jl_status draft_fail(jl_draft *draft) {
    jl_status status = trouble_of(&draft->trouble, JL_EXISTS);
    draft_free(draft);
    return status;
}

jl_status jl_draft_open(const char *path, jl_draft_kind kind, jl_draft *draft) {
    struct stat old;
    draft->fd = draft->folder_fd = -1;
    draft->path = NULL;
    draft->status = JL_OK;
    draft->trouble = (jl_trouble){0};
    draft->waiting = 0;
    draft->target = kind == JL_DRAFT_NEW ? strdup(path) : real_target(path);
    if (draft->target == NULL) return draft_fail(draft);
    bool stands = lstat(draft->target, &old) == 0;
    if (stands && (kind == JL_DRAFT_NEW || !S_ISREG(old.st_mode))) {
        errno = kind == JL_DRAFT_NEW ? EEXIST : EPERM;
        return draft_fail(draft);
    }
    draft->folder_fd = open_folder_of(draft->target);
    if (draft->folder_fd < 0) return draft_fail(draft);
    draft->fd = open_beside(draft->target, &draft->path);
    if (draft->fd < 0) return draft_fail(draft);
    if (stands) take_over_mode(draft->fd, &old);
    return JL_OK;
}

static bool draft_flush(jl_draft *draft) {
    size_t length = draft->waiting;
    draft->waiting = 0;
    if (draft->status != JL_OK) return false;
    if (write_all(draft->fd, draft->buffer, length)) return true;
    draft->status = trouble_of(&draft->trouble, JL_IO);
    return false;
}

jl_status jl_draft_write(jl_draft *draft, const void *bytes, size_t length) {
    const char *from = bytes;
    while (length > 0 && draft->status == JL_OK) {
        size_t room = JL_DRAFT_BUFFER - draft->waiting;
        size_t n = length < room ? length : room;
        memcpy(draft->buffer + draft->waiting, from, n);
        draft->waiting += n;
        from += n;
        length -= n;
        if (draft->waiting == JL_DRAFT_BUFFER) draft_flush(draft);
    }
    return draft->status;
}

void jl_draft_drop(jl_draft *draft) {
    if (draft->path != NULL) unlink(draft->path);
    draft_free(draft);
}

/* Gives the draft its name unless something stands there. A file system that cannot do that in one
 * step gets an empty file first, which nobody else can then take. */
static bool rename_new(const char *from, const char *to) {
    if (renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0) return true;
    if (errno != EINVAL && errno != ENOSYS) return false;
    int fd = open_file(to, O_WRONLY | O_CREAT | O_EXCL, 0666);
    if (fd < 0) return false;
    close(fd);
    if (rename(from, to) == 0) return true;
    int error = errno;
    unlink(to);
    errno = error;
    return false;
}

/* A folder that did not reach the disk: a new name is taken back, a replaced file cannot be. */
static jl_status folder_unsynced(jl_draft *draft, jl_draft_kind kind) {
    jl_status status = trouble_of(&draft->trouble, JL_IO);
    draft->trouble.uncertain = kind == JL_DRAFT_REPLACE || unlink(draft->target) != 0;
    return status;
}

jl_status jl_draft_commit(jl_draft *draft, jl_draft_kind kind) {
    jl_status status = draft_flush(draft) ? JL_OK : draft->status;
    if (status == JL_OK && !sync_file(draft->fd)) status = trouble_of(&draft->trouble, JL_IO);
    if (status == JL_OK) {
        bool named = kind == JL_DRAFT_NEW ? rename_new(draft->path, draft->target)
                                          : rename(draft->path, draft->target) == 0;
        if (!named) status = trouble_of(&draft->trouble, JL_EXISTS);
    }
    if (status != JL_OK) {
        jl_draft_drop(draft);
        return status;
    }
    if (!sync_folder(draft->folder_fd)) status = folder_unsynced(draft, kind);
    draft_free(draft);
    return status;
}

jl_status jl_create(const char *path, const void *bytes, size_t length, jl_trouble *trouble) {
    jl_draft *draft = malloc(sizeof *draft);
    if (draft == NULL) return JL_MEMORY;
    jl_status status = jl_draft_open(path, JL_DRAFT_NEW, draft);
    if (status == JL_OK) {
        jl_draft_write(draft, bytes, length);
        status = jl_draft_commit(draft, JL_DRAFT_NEW);
    }
    if (trouble != NULL) *trouble = draft->trouble;
    free(draft);
    return status;
}

/* ---- holds ---- */

static double now_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static jl_status lock_until(int fd, double deadline_s, jl_trouble *trouble) {
    const struct timespec pause = {0, 2000000};
    while (flock(fd, LOCK_EX | LOCK_NB) != 0) {
        if (errno == EINTR) continue;
        if (errno != EWOULDBLOCK) return trouble_of(trouble, JL_IO);
        if (now_s() >= deadline_s) return JL_BUSY;
        nanosleep(&pause, NULL);
    }
    return JL_OK;
}

/* Whether the file that we hold still has its name, and how long it is. */
static bool still_there(const jl_hold *hold, off_t *length) {
    struct stat held, named;
    if (fstat(hold->fd, &held) != 0 || stat(hold->name, &named) != 0) return false;
    *length = held.st_size;
    return held.st_dev == named.st_dev && held.st_ino == named.st_ino;
}

static jl_status open_regular(jl_hold *hold) {
    struct stat held;
    hold->path = realpath(hold->name, NULL);
    if (hold->path == NULL) return trouble_of(&hold->trouble, JL_INPUT);
    hold->fd = open_file(hold->path, O_RDWR | O_APPEND, 0);
    if (hold->fd < 0) return trouble_of(&hold->trouble, JL_INPUT);
    if (fstat(hold->fd, &held) != 0) return trouble_of(&hold->trouble, JL_INPUT);
    return S_ISREG(held.st_mode) ? JL_OK : JL_INPUT;
}

static void let_go(jl_hold *hold) {
    if (hold->fd >= 0) close(hold->fd);
    free(hold->path);
    hold->fd = -1;
    hold->path = NULL;
}

jl_status jl_hold_open(const char *name, double wait_s, jl_hold *hold) {
    double deadline_s = now_s() + wait_s;
    *hold = (jl_hold){.fd = -1, .name = strdup(name)};
    jl_status status = hold->name == NULL ? JL_MEMORY : JL_OK;
    while (status == JL_OK) {
        status = open_regular(hold);
        if (status == JL_OK) status = lock_until(hold->fd, deadline_s, &hold->trouble);
        if (status != JL_OK || still_there(hold, &hold->length)) break;
        let_go(hold);
        if (now_s() >= deadline_s) status = JL_BUSY;
    }
    if (status != JL_OK) jl_hold_release(hold);
    return status;
}

void jl_hold_release(jl_hold *hold) {
    let_go(hold);
    free(hold->name);
    hold->name = NULL;
}

static bool cut_back(jl_hold *hold, off_t length) {
    return cut_file(hold->fd, length) && sync_file(hold->fd);
}

jl_status jl_hold_append(jl_hold *hold, const void *bytes, size_t length) {
    off_t now;
    hold->trouble = (jl_trouble){0};
    if (!still_there(hold, &now) || now != hold->length) return JL_BUSY;
    if (!write_all(hold->fd, bytes, length) || !sync_file(hold->fd)) {
        jl_status status = trouble_of(&hold->trouble, JL_IO);
        hold->trouble.uncertain = !cut_back(hold, hold->length);
        return status;
    }
    if (!still_there(hold, &now)) return JL_BUSY; /* it went into a file without a name */
    hold->length += (off_t)length;
    hold->trouble.uncertain = now != hold->length;
    return hold->trouble.uncertain ? JL_BUSY : JL_OK;
}

/* Copies the end of the file; short reads only at its end. */
static jl_status copy_tail(jl_hold *hold, off_t from, jl_draft *draft) {
    char bytes[4096];
    for (;;) {
        ssize_t n = pread(hold->fd, bytes, sizeof bytes, from);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return trouble_of(&hold->trouble, JL_IO);
        if (n == 0) return JL_OK;
        jl_draft_write(draft, bytes, (size_t)n);
        from += n;
    }
}

static jl_status save_tail(jl_hold *hold, off_t from, const char *path, jl_draft *draft) {
    jl_status status = jl_draft_open(path, JL_DRAFT_NEW, draft);
    if (status == JL_OK) {
        status = copy_tail(hold, from, draft);
        if (status == JL_OK)
            status = jl_draft_commit(draft, JL_DRAFT_NEW);
        else
            jl_draft_drop(draft);
    }
    hold->trouble = draft->trouble;
    return status;
}

jl_status jl_hold_set_aside(jl_hold *hold, off_t from) {
    off_t now;
    hold->trouble = (jl_trouble){0};
    if (!still_there(hold, &now) || now != hold->length) return JL_BUSY;
    jl_draft *draft = malloc(sizeof *draft);
    jl_status status = draft == NULL ? JL_MEMORY : JL_EXISTS;
    for (int n = 1; status == JL_EXISTS && n <= NAMES_MOST; n++) {
        char *path;
        if (asprintf(&path, "%s.torn-%d", hold->path, n) < 0) {
            status = JL_MEMORY;
            break;
        }
        status = save_tail(hold, from, path, draft);
        free(path);
        if (status == JL_EXISTS && hold->trouble.error != EEXIST) break;
    }
    free(draft);
    if (status != JL_OK) return status;
    if (!cut_back(hold, from)) return trouble_of(&hold->trouble, JL_IO);
    hold->length = from;
    return JL_OK;
}

jl_status jl_hold_replace(jl_hold *hold, jl_draft *draft) {
    off_t now;
    hold->trouble = (jl_trouble){0};
    if (!still_there(hold, &now) || now != hold->length) {
        jl_draft_drop(draft);
        return JL_BUSY;
    }
    jl_status status = jl_draft_commit(draft, JL_DRAFT_REPLACE);
    hold->trouble = draft->trouble;
    return status;
}
