/* Memory runs out at every allocation that the library makes, for good or just once: the answer is
 * JL_MEMORY or as without, and nothing leaks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Without a sanitizer malloc and its kin are this program's own, for the libraries below as well,
 * and what is still held is counted. With one, which has its own, the library's calls are led here
 * by -Wl,--wrap, and the sanitizer looks for leaks. */
#include "works.h"

#include <errno.h>
#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#if defined __SANITIZE_ADDRESS__
#define WRAPPED 1
#elif defined __has_feature
#if __has_feature(address_sanitizer)
#define WRAPPED 1
#endif
#endif

#ifdef WRAPPED
#define OWN(name)  __wrap_##name
#define REAL(name) __real_##name
#else
#define OWN(name)  name
#define REAL(name) __libc_##name
#endif

void *REAL(malloc)(size_t size);
void *REAL(calloc)(size_t count, size_t size);
void *REAL(realloc)(void *old, size_t size);
JL_API void *OWN(malloc)(size_t size);
JL_API void *OWN(calloc)(size_t count, size_t size);
JL_API void *OWN(realloc)(void *old, size_t size);

/* Allocations that still succeed; below 0: all. */
static long left = -1;
static bool once; /* the one that fails is the only one */
static bool failed;
static long held;

static bool fails(void) {
    if (left < 0) return false;
    if (left > 0) {
        left--;
        return false;
    }
    failed = true;
    if (once) left = -1;
    errno = ENOMEM;
    return true;
}

static void *counted(void *block) {
    if (block != NULL) held++;
    return block;
}

void *OWN(malloc)(size_t size) {
    return fails() ? NULL : counted(REAL(malloc)(size));
}

void *OWN(calloc)(size_t count, size_t size) {
    return fails() ? NULL : counted(REAL(calloc)(count, size));
}

void *OWN(realloc)(void *old, size_t size) {
    if (fails()) return NULL;
    return old == NULL ? counted(REAL(realloc)(old, size)) : REAL(realloc)(old, size);
}

#ifndef WRAPPED
void __libc_free(void *block);
JL_API void free(void *block);

void free(void *block) {
    if (block != NULL) held--;
    __libc_free(block);
}
#endif

static bool leaks(long before) {
#ifdef WRAPPED
    (void)before;
    return false;
#else
    return held != before;
#endif
}

/* What a work gives when only so many allocations succeed; -1: all. */
static jl_status try_one(const work *w, const char *folder, long allocations, digest *d,
                         bool *leaked) {
    long before = held;
    *d = (digest){0};
    failed = false;
    left = allocations;
    jl_status status = w->run(folder, d);
    left = -1;
    *leaked = leaks(before) && !(failed && w->gsl_forgets);
    return status;
}

/* None succeeds, then one, until the work needs no more of them. A lower library may do without
 * what it did not get: then the answer must be the same. */
static long try_all(const work *w, const char *folder) {
    digest whole, d;
    bool leaked;
    if (try_one(w, folder, -1, &whole, &leaked) != w->good || leaked) return -1;
    for (long n = 0;; n++) {
        jl_status status = try_one(w, folder, n, &d, &leaked);
        bool same = status == w->good && d.hash == whole.hash;
        if ((!same && !(failed && status == JL_MEMORY)) || leaked) {
            printf("%s, after %ld allocations %s fails: %s%s\n", w->name, n, once ? "one" : "each",
                   jl_status_text(status), leaked ? ", and leaks" : "");
            return -1;
        }
        if (!failed) return n;
    }
}

int main(void) {
    char folder[] = "/tmp/jarline-memory-XXXXXX";
    bool wrong = mkdtemp(folder) == NULL;
    long all = 0;
    jl_quiet();
    printf("What allocates, and how often:\n");
    for (const work *w = works; w->name != NULL; w++) {
        once = true;
        wrong |= try_all(w, folder) < 0;
        once = false;
        long allocations = try_all(w, folder);
        printf("  %-18s %5ld\n", w->name, allocations);
        wrong |= allocations < w->allocations_least;
        all += allocations;
    }
    printf("%ld allocations failed, for good and once\n", all);
    rmdir(folder);
    return wrong;
}
