/* Letters compared without their case, the same in every locale: in a Turkish one strcasecmp does
 * not take TIME for time.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LETTERS_H
#define JL_LETTERS_H

#include <stdbool.h>
#include <stddef.h>

static inline char jl_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static inline bool jl_is_letter(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

/* Up to length bytes, and no further than the end of either. */
static inline bool jl_same_letters_to(const char *a, const char *b, size_t length) {
    for (; length > 0; a++, b++, length--) {
        if (jl_lower(*a) != jl_lower(*b)) return false;
        if (*a == '\0') return true;
    }
    return true;
}

static inline bool jl_same_letters(const char *a, const char *b) {
    return jl_same_letters_to(a, b, (size_t)-1);
}

#endif
