/* A share of all that the library does, for tests that do it under pressure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WORKS_H
#define JARLINE_WORKS_H

#include "jarline.h"

/* All figures and bytes that came out, bit by bit. */
typedef struct digest {
    uint64_t hash;
} digest;

typedef struct work {
    const char *name;
    jl_status good;         /* what it gives when nothing is in its way */
    long allocations_least; /* as many as this it needs */
    jl_status (*run)(const char *folder, digest *d);
    bool
        gsl_forgets; /* gsl_matrix_alloc, from memory of its source, drops the matrix's head when there
                         is no memory for its block: leaks after a failure are not judged here */
} work;

/* Ends with a work without a name. folder: where a work may write files; nobody else then may. */
extern const work works[];

#endif
