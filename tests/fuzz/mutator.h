/* What mutators share: what libFuzzer calls and has, and a chance that its seed alone decides.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_MUTATOR_H
#define JARLINE_MUTATOR_H

#include <stddef.h>
#include <stdint.h>

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed);

static inline unsigned below(unsigned *seed, size_t most) {
    *seed = *seed * 1664525u + 1013904223u;
    return most == 0 ? 0 : (*seed >> 8) % (unsigned)most;
}

#endif
