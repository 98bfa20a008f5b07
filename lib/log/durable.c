/* Files that lose nothing: append under a lock, create, replace.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * open, write, fsync, ftruncate, rename and a lock, and nothing else that changes a file. A write
 * may be short and any call may be interrupted by a signal: both go on. */
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
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

/* ---- pending files ---- */

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
        int fd = open_file(*path, O_RDWR | O_APPEND | O_CREAT | O_EXCL, 0666);
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

/* A signal that ends the process would leave the file behind. */
static void let_signals_wait(jl_pending_file *pending) {
    sigset_t ending;
    sigemptyset(&ending);
    sigaddset(&ending, SIGINT);
    sigaddset(&ending, SIGTERM);
    sigaddset(&ending, SIGHUP);
    pending->waits = pthread_sigmask(SIG_BLOCK, &ending, &pending->signals) == 0;
}

static void pending_free(jl_pending_file *pending) {
    if (pending->fd >= 0) close(pending->fd);
    if (pending->folder_fd >= 0) close(pending->folder_fd);
    free(pending->target);
    free(pending->path);
    pending->fd = pending->folder_fd = -1;
    pending->target = pending->path = NULL;
    if (pending->waits) pthread_sigmask(SIG_SETMASK, &pending->signals, NULL);
    pending->waits = false;
}

static jl_status pending_fail(jl_pending_file *pending) {
    jl_status status = trouble_of(&pending->trouble, JL_EXISTS);
    pending_free(pending);
    return status;
}

jl_status jl_pending_file_open(const char *path, jl_pending_file_kind kind,
                               jl_pending_file *pending) {
    struct stat old;
    pending->fd = pending->folder_fd = -1;
    pending->path = NULL;
    pending->status = JL_OK;
    pending->trouble = (jl_trouble){0};
    pending->waiting = 0;
    let_signals_wait(pending);
    pending->target = kind == JL_PENDING_NEW ? strdup(path) : real_target(path);
    if (pending->target == NULL) return pending_fail(pending);
    bool stands = lstat(pending->target, &old) == 0;
    if (stands && (kind == JL_PENDING_NEW || !S_ISREG(old.st_mode))) {
        errno = kind == JL_PENDING_NEW ? EEXIST : EPERM;
        return pending_fail(pending);
    }
    pending->folder_fd = open_folder_of(pending->target);
    if (pending->folder_fd < 0) return pending_fail(pending);
    pending->fd = open_beside(pending->target, &pending->path);
    if (pending->fd < 0) return pending_fail(pending);
    if (stands) take_over_mode(pending->fd, &old);
    return JL_OK;
}

static bool pending_flush(jl_pending_file *pending) {
    size_t length = pending->waiting;
    pending->waiting = 0;
    if (pending->status != JL_OK) return false;
    if (write_all(pending->fd, pending->buffer, length)) return true;
    pending->status = trouble_of(&pending->trouble, JL_IO);
    return false;
}

jl_status jl_pending_file_write(jl_pending_file *pending, const void *bytes, size_t length) {
    const char *from = bytes;
    while (length > 0 && pending->status == JL_OK) {
        size_t room = JL_PENDING_BUFFER - pending->waiting;
        size_t n = length < room ? length : room;
        memcpy(pending->buffer + pending->waiting, from, n);
        pending->waiting += n;
        from += n;
        length -= n;
        if (pending->waiting == JL_PENDING_BUFFER) pending_flush(pending);
    }
    return pending->status;
}

void jl_pending_file_drop(jl_pending_file *pending) {
    if (pending->path != NULL) unlink(pending->path);
    pending_free(pending);
}

/* Gives the pending file its name unless something stands there. A file system that cannot do that in
 * one step gets an empty file first, which nobody else can then take. */
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
static jl_status folder_unsynced(jl_pending_file *pending, jl_pending_file_kind kind) {
    jl_status status = trouble_of(&pending->trouble, JL_IO);
    pending->trouble.uncertain = kind == JL_PENDING_REPLACE || unlink(pending->target) != 0;
    return status;
}

jl_status jl_pending_file_commit(jl_pending_file *pending, jl_pending_file_kind kind) {
    jl_status status = pending_flush(pending) ? JL_OK : pending->status;
    if (status == JL_OK && !sync_file(pending->fd)) status = trouble_of(&pending->trouble, JL_IO);
    if (status == JL_OK) {
        bool named = kind == JL_PENDING_NEW ? rename_new(pending->path, pending->target)
                                            : rename(pending->path, pending->target) == 0;
        if (!named) status = trouble_of(&pending->trouble, JL_EXISTS);
    }
    if (status != JL_OK) {
        jl_pending_file_drop(pending);
        return status;
    }
    if (!sync_folder(pending->folder_fd)) status = folder_unsynced(pending, kind);
    pending_free(pending);
    return status;
}

static jl_status write_whole(const char *path, jl_pending_file_kind kind, const void *bytes,
                             size_t length, jl_trouble *trouble) {
    jl_pending_file *pending = malloc(sizeof *pending);
    if (pending == NULL) return JL_MEMORY;
    jl_status status = jl_pending_file_open(path, kind, pending);
    if (status == JL_OK) {
        jl_pending_file_write(pending, bytes, length);
        status = jl_pending_file_commit(pending, kind);
    }
    if (trouble != NULL) *trouble = pending->trouble;
    free(pending);
    return status;
}

jl_status jl_create(const char *path, const void *bytes, size_t length, jl_trouble *trouble) {
    return write_whole(path, JL_PENDING_NEW, bytes, length, trouble);
}

jl_status jl_replace(const char *path, const void *bytes, size_t length, jl_trouble *trouble) {
    return write_whole(path, JL_PENDING_REPLACE, bytes, length, trouble);
}

/* ---- locked files ---- */

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
static bool still_there(const jl_locked_file *file, off_t *length) {
    struct stat held, named;
    if (fstat(file->fd, &held) != 0 || stat(file->name, &named) != 0) return false;
    *length = held.st_size;
    return held.st_dev == named.st_dev && held.st_ino == named.st_ino;
}

static jl_status open_regular(jl_locked_file *file) {
    struct stat held;
    file->path = realpath(file->name, NULL);
    if (file->path == NULL) return trouble_of(&file->trouble, JL_INPUT);
    file->fd = open_file(file->path, O_RDWR | O_APPEND, 0);
    if (file->fd < 0) return trouble_of(&file->trouble, JL_INPUT);
    if (fstat(file->fd, &held) != 0) return trouble_of(&file->trouble, JL_INPUT);
    return S_ISREG(held.st_mode) ? JL_OK : JL_INPUT;
}

static void let_go(jl_locked_file *file) {
    if (file->fd >= 0) close(file->fd);
    free(file->path);
    file->fd = -1;
    file->path = NULL;
}

jl_status jl_locked_file_open(const char *name, double wait_s, jl_locked_file *file) {
    double deadline_s = now_s() + wait_s;
    *file = (jl_locked_file){.fd = -1, .name = strdup(name)};
    jl_status status = file->name == NULL ? JL_MEMORY : JL_OK;
    while (status == JL_OK) {
        status = open_regular(file);
        if (status == JL_OK) status = lock_until(file->fd, deadline_s, &file->trouble);
        if (status != JL_OK || still_there(file, &file->length)) break;
        let_go(file);
        if (now_s() >= deadline_s) status = JL_BUSY;
    }
    if (status != JL_OK) jl_locked_file_release(file);
    return status;
}

void jl_locked_file_release(jl_locked_file *file) {
    let_go(file);
    free(file->name);
    file->name = NULL;
}

static bool cut_back(jl_locked_file *file, off_t length) {
    return cut_file(file->fd, length) && sync_file(file->fd);
}

jl_status jl_locked_file_append(jl_locked_file *file, const void *bytes, size_t length) {
    off_t now;
    file->trouble = (jl_trouble){0};
    if (!still_there(file, &now) || now != file->length) return JL_BUSY;
    if (!write_all(file->fd, bytes, length) || !sync_file(file->fd)) {
        jl_status status = trouble_of(&file->trouble, JL_IO);
        file->trouble.uncertain = !cut_back(file, file->length);
        return status;
    }
    /* The file that took it may have another name by now, or have been copied with it. */
    file->length += (off_t)length;
    file->trouble.uncertain = !still_there(file, &now) || now != file->length;
    return file->trouble.uncertain ? JL_BUSY : JL_OK;
}

/* Copies the end of the file; short reads only at its end. */
static jl_status copy_tail(const jl_locked_file *file, off_t from, jl_pending_file *pending) {
    char bytes[4096];
    for (;;) {
        ssize_t n = pread(file->fd, bytes, sizeof bytes, from);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return trouble_of(&pending->trouble, JL_IO);
        if (n == 0) return JL_OK;
        jl_pending_file_write(pending, bytes, (size_t)n);
        from += n;
    }
}

static jl_status save_tail(jl_locked_file *file, off_t from, const char *path,
                           jl_pending_file *pending) {
    jl_status status = jl_pending_file_open(path, JL_PENDING_NEW, pending);
    bool opened = status == JL_OK;
    if (opened) {
        status = copy_tail(file, from, pending);
        if (status == JL_OK)
            status = jl_pending_file_commit(pending, JL_PENDING_NEW);
        else
            jl_pending_file_drop(pending);
    }
    file->trouble = pending->trouble;
    file->trouble.beside = !opened;
    return status;
}

jl_status jl_locked_file_set_aside(jl_locked_file *file, off_t from) {
    off_t now;
    file->trouble = (jl_trouble){0};
    if (!still_there(file, &now) || now != file->length) return JL_BUSY;
    jl_pending_file *pending = malloc(sizeof *pending);
    jl_status status = pending == NULL ? JL_MEMORY : JL_EXISTS;
    for (int n = 1; status == JL_EXISTS && n <= NAMES_MOST; n++) {
        char *path;
        if (asprintf(&path, "%s.torn-%d", file->path, n) < 0) {
            status = JL_MEMORY;
            break;
        }
        status = save_tail(file, from, path, pending);
        free(path);
        if (status == JL_EXISTS && file->trouble.error != EEXIST) break;
    }
    free(pending);
    if (status != JL_OK) return status;
    if (!cut_back(file, from)) return trouble_of(&file->trouble, JL_IO);
    file->length = from;
    return JL_OK;
}

/* From here on the new file is the one that is held; others who open it wait for us. */
static void hold_new(jl_locked_file *file, int fd, off_t length) {
    close(file->fd);
    file->fd = fd;
    file->length = length;
}

jl_status jl_locked_file_replace(jl_locked_file *file, jl_pending_file *pending) {
    off_t now;
    struct stat made;
    file->trouble = (jl_trouble){0};
    if (!still_there(file, &now) || now != file->length) {
        jl_pending_file_drop(pending);
        return JL_BUSY;
    }
    int fd =
        flock(pending->fd, LOCK_EX | LOCK_NB) == 0 ? fcntl(pending->fd, F_DUPFD_CLOEXEC, 0) : -1;
    jl_status status = jl_pending_file_commit(pending, JL_PENDING_REPLACE);
    file->trouble = pending->trouble;
    if (status == JL_OK && fd >= 0 && fstat(fd, &made) == 0)
        hold_new(file, fd, made.st_size);
    else if (fd >= 0)
        close(fd);
    return status;
}
