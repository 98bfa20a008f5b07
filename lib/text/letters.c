/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/letters.h"

#include <stdint.h>
#include <string.h>

enum { LETTERS_MOST = 63 };

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

size_t jl_letters_apart(const char *a, const char *b) {
    size_t rows[3][LETTERS_MOST + 1];
    size_t m = strlen(a), n = strlen(b);
    if (m > LETTERS_MOST || n > LETTERS_MOST) return SIZE_MAX;
    for (size_t j = 0; j <= n; j++) rows[0][j] = j;
    for (size_t i = 1; i <= m; i++) {
        size_t *row = rows[i % 3];
        const size_t *above = rows[(i + 2) % 3], *twice_above = rows[(i + 1) % 3];
        char letter = jl_lower(a[i - 1]);
        row[0] = i;
        for (size_t j = 1; j <= n; j++) {
            char other = jl_lower(b[j - 1]);
            row[j] = least(above[j - 1] + (letter != other), 1 + least(row[j - 1], above[j]));
            if (i > 1 && j > 1 && letter == jl_lower(b[j - 2]) && other == jl_lower(a[i - 2]))
                row[j] = least(row[j], twice_above[j - 2] + 1);
        }
    }
    return rows[m % 3][n];
}

jl_nearest jl_nearest_to(const char *word) {
    size_t third = strlen(word) / 3;
    return (jl_nearest){word, NULL, third > 0 ? third + 1 : 2};
}

void jl_nearest_offer(jl_nearest *nearest, const char *offered) {
    size_t apart = jl_letters_apart(nearest->word, offered);
    if (apart >= nearest->apart) return;
    nearest->apart = apart;
    nearest->found = offered;
}
