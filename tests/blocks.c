/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "blocks.h"

#include <stdatomic.h>
#include <stdlib.h>

#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer)
#define SANITIZED
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || !defined(__GLIBC__)
#define SANITIZED
#endif

static atomic_long in_use;

long blocks_in_use(void) {
    return atomic_load(&in_use);
}

#ifndef SANITIZED
#define SHOWN __attribute__((visibility("default"))) /* to libraries too */

/* The C library's own, for a program that has a malloc of its own; all of the program comes here, and
 * what its libraries ask for. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);
void *__libc_memalign(size_t alignment, size_t size);
void __libc_free(void *block);

static void *counted(void *block) {
    if (block != NULL) atomic_fetch_add(&in_use, 1);
    return block;
}

SHOWN void *malloc(size_t size) {
    return counted(__libc_malloc(size));
}

SHOWN void *calloc(size_t count, size_t size) {
    return counted(__libc_calloc(count, size));
}

SHOWN void *aligned_alloc(size_t alignment, size_t size) {
    return counted(__libc_memalign(alignment, size));
}

SHOWN void free(void *block) {
    if (block != NULL) atomic_fetch_sub(&in_use, 1);
    __libc_free(block);
}

SHOWN void *realloc(void *block, size_t size) {
    void *moved = __libc_realloc(block, size);
    if (block == NULL) return counted(moved);
    if (moved == NULL && size == 0) atomic_fetch_sub(&in_use, 1);
    return moved;
}
#endif
