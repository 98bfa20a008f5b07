/* Bytes that can be read more than once: a descriptor or memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_SOURCE_H
#define JL_SOURCE_H

#include "jarline.h"

#include <stdio.h>

typedef struct jl_source {
    const char *bytes; /* memory; NULL: a descriptor */
    uint64_t size; /* of memory, or of a file as it was opened: what is added later is not read */
    int fd;
    int64_t begin; /* where in fd the source begins */
    FILE *copy;    /* of a pipe or a terminal, which can be read only once */
} jl_source;

/* Bytes in memory, which must stay as long as the source. Nothing has to be closed. */
jl_source jl_source_memory(const void *bytes, size_t size);

/* An open descriptor, from its present position on; it stays the caller's, and its position is not
 * moved. What cannot be read twice is copied to a temporary file first.
 * Errors: JL_INPUT, JL_IO, JL_MEMORY; nothing then has to be closed. */
jl_status jl_source_fd(int fd, jl_source *source);

/* Up to size bytes from an offset on; *got is 0 only at the end. Errors: JL_INPUT (a folder),
 * JL_IO. */
jl_status jl_source_read(const jl_source *source, uint64_t offset, void *buffer, size_t size,
                         size_t *got);

void jl_source_close(jl_source *source);

#endif
