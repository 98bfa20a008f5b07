/* What every fuzzing target shares: the entry that libFuzzer calls, and a check that stops at the
 * input that broke it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TARGET_H
#define JARLINE_TARGET_H

#include "../given.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define HOLDS(fact)                                                                                \
    do {                                                                                           \
        if (!(fact)) {                                                                             \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #fact);              \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

/* What a reader says when it fails: the same status in both places, a text, a cell that ends. */
static inline void fault_holds(jl_status status, const jl_fault *fault) {
    HOLDS(status > JL_END && status <= JL_NUMERIC);
    HOLDS(fault->status == status);
    HOLDS(memchr(fault->cell, '\0', sizeof fault->cell) != NULL);
    HOLDS(fault->expected == NULL || fault->expected[0] != '\0');
}

#endif
