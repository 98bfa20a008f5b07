/* Bytes that can be read more than once.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/source.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { COPY_BLOCK = 16384 };

static jl_status status_of_errno(void) {
    switch (errno) {
    case EISDIR:
    case EBADF:
    case EACCES:
        return JL_INPUT;
    case ENOMEM:
        return JL_MEMORY;
    default:
        return JL_IO;
    }
}

jl_source jl_source_memory(const void *bytes, size_t size) {
    return (jl_source){.bytes = bytes == NULL ? "" : bytes, .size = size, .fd = -1};
}

static jl_status copy_all(int fd, FILE *copy) {
    char block[COPY_BLOCK];
    for (;;) {
        ssize_t n = read(fd, block, sizeof block);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return status_of_errno();
        if (n == 0) break;
        if (fwrite(block, 1, (size_t)n, copy) != (size_t)n) return JL_IO;
    }
    return fflush(copy) == 0 ? JL_OK : JL_IO;
}

static jl_status source_copied(int fd, jl_source *source) {
    FILE *copy = tmpfile();
    if (copy == NULL) return errno == ENOMEM ? JL_MEMORY : JL_IO;
    jl_status status = copy_all(fd, copy);
    if (status != JL_OK) {
        fclose(copy);
        return status;
    }
    *source = (jl_source){.size = UINT64_MAX, .fd = fileno(copy), .copy = copy};
    return JL_OK;
}

jl_status jl_source_fd(int fd, jl_source *source) {
    struct stat about;
    off_t begin = lseek(fd, 0, SEEK_CUR);
    if (begin < 0) return errno == ESPIPE ? source_copied(fd, source) : status_of_errno();
    if (fstat(fd, &about) != 0) return status_of_errno();
    off_t end = S_ISREG(about.st_mode) && about.st_size > 0 ? about.st_size : INT64_MAX;
    *source =
        (jl_source){.size = end > begin ? (uint64_t)(end - begin) : 0, .fd = fd, .begin = begin};
    return JL_OK;
}

static jl_status read_memory(const jl_source *source, uint64_t offset, void *buffer, size_t size,
                             size_t *got) {
    uint64_t left = offset < source->size ? source->size - offset : 0;
    *got = left < size ? (size_t)left : size;
    memcpy(buffer, source->bytes + (source->size - left), *got);
    return JL_OK;
}

jl_status jl_source_read(const jl_source *source, uint64_t offset, void *buffer, size_t size,
                         size_t *got) {
    if (source->bytes != NULL) return read_memory(source, offset, buffer, size, got);
    uint64_t left = offset < source->size ? source->size - offset : 0;
    if (left < size) size = (size_t)left;
    ssize_t n;
    do n = pread(source->fd, buffer, size, source->begin + (off_t)offset);
    while (n < 0 && errno == EINTR);
    if (n < 0) return status_of_errno();
    *got = (size_t)n;
    return JL_OK;
}

void jl_source_close(jl_source *source) {
    if (source->copy != NULL) fclose(source->copy);
    *source = jl_source_memory(NULL, 0);
}
