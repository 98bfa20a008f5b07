/* Files that lose nothing: append under a lock, create, replace.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nothing is done until fsync has returned 0. What fails is taken back, so that the file is as it
 * was; where even that fails, uncertain says so. */
#ifndef JL_DURABLE_H
#define JL_DURABLE_H

#include "jarline.h"

#include <signal.h>
#include <sys/types.h>

/* ---- A new file, or one that takes the place of another ---- */

enum { JL_PENDING_BUFFER = 16384 };

/* Written beside its target under the name .NAME.new-N, and given the name at the end. Such a file
 * is left behind only when the process is killed, and may then be deleted. */
typedef struct jl_pending_file {
    int fd, folder_fd;
    bool waits; /* signals do, and get this mask again */
    sigset_t signals;
    char *target, *path;
    jl_status status; /* of the first write that failed */
    jl_trouble trouble;
    size_t waiting;
    char buffer[JL_PENDING_BUFFER];
} jl_pending_file;

/* JL_PENDING_NEW refuses a path where anything stands, at once and again at the end.
 * JL_PENDING_REPLACE takes over mode and, where it may, owner of the file it replaces, and follows a
 * symbolic link to it. */
typedef enum jl_pending_file_kind { JL_PENDING_NEW, JL_PENDING_REPLACE } jl_pending_file_kind;

/* Begins one. Errors: JL_EXISTS (stands already, read-only, no such folder), JL_IO, JL_MEMORY;
 * nothing then has to be closed. */
jl_status jl_pending_file_open(const char *path, jl_pending_file_kind kind,
                               jl_pending_file *pending);

/* Errors are kept, so that jl_pending_file_commit gives them too. */
jl_status jl_pending_file_write(jl_pending_file *pending, const void *bytes, size_t length);

/* Brings it to the disk, then its name. Errors: JL_EXISTS, JL_IO, JL_MEMORY. Frees all but
 * pending->trouble, whatever it returns. */
jl_status jl_pending_file_commit(jl_pending_file *pending, jl_pending_file_kind kind);

/* Takes it back. */
void jl_pending_file_drop(jl_pending_file *pending);

/* A whole new file at once: all of it or none. Errors as jl_pending_file_open and
 * jl_pending_file_commit; *trouble may be NULL. */
jl_status jl_create(const char *path, const void *bytes, size_t length, jl_trouble *trouble);

/* The same in the place of what stands there, if anything does. */
jl_status jl_replace(const char *path, const void *bytes, size_t length, jl_trouble *trouble);

/* ---- A file held for writing ---- */

typedef struct jl_locked_file {
    int fd;       /* open for reading and writing */
    char *name;   /* as given */
    char *path;   /* of the file itself, symbolic links followed */
    off_t length; /* bytes in it, as long as only the holder writes */
    jl_trouble trouble;
} jl_locked_file;

/* Opens a file and locks it against other holders; waits up to wait_s for them. When the file was
 * replaced while we waited, the new one is opened and locked. Errors: JL_BUSY, JL_INPUT (no such
 * file, a folder), JL_EXISTS (read-only), JL_IO, JL_MEMORY; nothing then has to be released. */
jl_status jl_locked_file_open(const char *name, double wait_s, jl_locked_file *file);

/* Adds bytes at the end. Errors: JL_IO; JL_BUSY when another program wrote to the file or replaced
 * it meanwhile, so that what was read from it no longer holds. Nothing was added, unless
 * trouble.uncertain. */
jl_status jl_locked_file_append(jl_locked_file *file, const void *bytes, size_t length);

/* Moves everything from an offset on to a new file PATH.torn-N. Errors: as jl_locked_file_append, and
 * JL_EXISTS when the new file cannot be created. */
jl_status jl_locked_file_set_aside(jl_locked_file *file, off_t from);

/* Puts a pending file of file->path in the file's place; then that one is held. It is freed. Errors:
 * as jl_pending_file_commit; JL_BUSY as jl_locked_file_append. */
jl_status jl_locked_file_replace(jl_locked_file *file, jl_pending_file *pending);

void jl_locked_file_release(jl_locked_file *file);

#endif
