/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/digits.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

enum { DECIMALS_MOST = 18 };

static const double TEN[DECIMALS_MOST + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,
                                              1e7,  1e8,  1e9,  1e10, 1e11, 1e12, 1e13,
                                              1e14, 1e15, 1e16, 1e17, 1e18};

/* Below 1e12 the product is off by less than 1.2e-4: far from a half it is rounded right. */
static bool scale(double size, int decimals, uint64_t *whole) {
    if (decimals < 0 || decimals > DECIMALS_MOST) return false;
    double scaled = size * TEN[decimals];
    if (!(scaled < 1e12)) return false;
    double below = floor(scaled);
    if (fabs(scaled - below - 0.5) < 1e-3) return false;
    *whole = (uint64_t)below + (scaled - below > 0.5 ? 1 : 0);
    return true;
}

size_t jl_digits_write(double value, int decimals, char *text) {
    uint64_t whole;
    if (!scale(fabs(value), decimals, &whole)) return 0;
    char *end = text + JL_DIGITS_BYTES - 1, *at = end;
    bool negative = value < 0 && whole > 0;
    for (int i = 0; whole > 0 || i <= decimals; i++, whole /= 10) {
        if (i == decimals && decimals > 0) *--at = '.';
        *--at = (char)('0' + whole % 10);
    }
    if (negative) *--at = '-';
    size_t length = (size_t)(end - at);
    memmove(text, at, length);
    text[length] = '\0';
    return length;
}
