/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jarnumbers.h"

#include <stdlib.h>
#include <string.h>

enum { PIECE = 1024, PIECE_BYTES = PIECE / 2, PIECES_MOST = 32768 };

typedef struct piece {
    uint32_t first; /* number / PIECE */
    unsigned char *marks;
} piece;

struct jl_numbers {
    piece *pieces; /* in ascending order */
    size_t count, room;
    size_t last; /* the piece used last: jars mostly come in order */
};

jl_status jl_numbers_new(jl_numbers **numbers) {
    *numbers = calloc(1, sizeof **numbers);
    return *numbers == NULL ? JL_MEMORY : JL_OK;
}

void jl_numbers_free(jl_numbers *numbers) {
    if (numbers == NULL) return;
    for (size_t i = 0; i < numbers->count; i++) free(numbers->pieces[i].marks);
    free(numbers->pieces);
    free(numbers);
}

/* Index of the first piece that is not below. */
static size_t place_of(const jl_numbers *n, uint32_t first) {
    size_t low = 0;
    size_t high = n->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (n->pieces[middle].first < first)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static jl_status insert(jl_numbers *n, size_t at, uint32_t first) {
    if (n->count == PIECES_MOST) return JL_RANGE;
    if (n->count == n->room) {
        size_t room = n->room == 0 ? 8 : 2 * n->room;
        piece *pieces = realloc(n->pieces, room * sizeof(piece));
        if (pieces == NULL) return JL_MEMORY;
        n->pieces = pieces;
        n->room = room;
    }
    unsigned char *marks = calloc(1, PIECE_BYTES);
    if (marks == NULL) return JL_MEMORY;
    memmove(n->pieces + at + 1, n->pieces + at, (n->count - at) * sizeof(piece));
    n->pieces[at].first = first;
    n->pieces[at].marks = marks;
    n->count++;
    return JL_OK;
}

static unsigned shift_of(uint32_t number) {
    return number % 2 == 0 ? 0 : 4;
}

static unsigned mark_in(const piece *p, uint32_t number) {
    return (unsigned)(p->marks[number % PIECE / 2] >> shift_of(number)) & JL_MARK_MOST;
}

jl_status jl_numbers_mark(jl_numbers *n, uint32_t number, unsigned mark) {
    uint32_t first = number / PIECE;
    if (n->last >= n->count || n->pieces[n->last].first != first) {
        size_t at = place_of(n, first);
        if (at == n->count || n->pieces[at].first != first) {
            jl_status status = insert(n, at, first);
            if (status != JL_OK) return status;
        }
        n->last = at;
    }
    piece *p = &n->pieces[n->last];
    if (mark_in(p, number) != JL_MARK_NONE) return JL_CONFLICT;
    p->marks[number % PIECE / 2] |= (unsigned char)(mark << shift_of(number));
    return JL_OK;
}

uint32_t jl_numbers_next(const jl_numbers *n, unsigned mark, uint32_t after) {
    uint32_t number = after + 1;
    for (size_t at = place_of(n, number / PIECE); at < n->count; at++) {
        const piece *p = &n->pieces[at];
        if (number / PIECE < p->first) number = p->first * PIECE;
        for (; number / PIECE == p->first; number++)
            if (mark_in(p, number) == mark) return number;
    }
    return 0;
}
