/* What a character is, and letters compared without their case, the same in every locale: in a Turkish
 * one strcasecmp does not take TIME for time. And how far a misspelt word is from one that is known.
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

static inline bool jl_is_digit(char c) {
    return c >= '0' && c <= '9';
}

static inline bool jl_is_blank(char c) {
    return c == ' ' || c == '\t';
}

/* Without a character that is no text: not one line then. */
static inline bool jl_is_one_line(const char *text) {
    for (; *text != '\0'; text++)
        if ((unsigned char)*text < ' ' || *text == 127) return false;
    return true;
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

/* Letters to be changed, added, left out, or exchanged with their neighbour, those of either case alike:
 * the optimal string alignment distance. Of words of more than 63 bytes: SIZE_MAX. */
size_t jl_letters_apart(const char *a, const char *b);

/* Of the words that are offered the one that a misspelt one is nearest to. It may be a third of its
 * letters away, one at the least. */
typedef struct jl_nearest {
    const char *word, *found; /* NULL: none is so near */
    size_t apart;
} jl_nearest;

jl_nearest jl_nearest_to(const char *word);
void jl_nearest_offer(jl_nearest *nearest, const char *offered);

#endif
