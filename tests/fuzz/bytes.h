/* Numbers made of an input's bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FUZZ_BYTES_H
#define JARLINE_FUZZ_BYTES_H

#include "target.h"

typedef struct bytes {
    const uint8_t *at;
    size_t left;
} bytes;

static inline uint8_t next_byte(bytes *b) {
    if (b->left == 0) return 0;
    b->left--;
    return *b->at++;
}

/* One byte chooses between a number of the range, one beside it and eight bytes as they are. */
static inline double next(bytes *b, double least, double most) {
    static const double odd[] = {0, -0.0, 1, -1, 1e-300, 1e300, -1e300, 5e-324, 1e9, 100};
    uint8_t how = next_byte(b);
    double value = 0;
    if (how < 200) {
        unsigned share = (unsigned)next_byte(b) << 8 | next_byte(b);
        return least + (most - least) * share / 65535;
    }
    if (how < 210) return odd[how - 200];
    if (how < 225) return nextafter(how & 1 ? least : most, how & 2 ? -1e300 : 1e300);
    if (how < 235) return how & 1 ? least : most;
    for (size_t i = 0; i < sizeof value; i++) ((uint8_t *)&value)[i] = next_byte(b);
    return value;
}

#endif
