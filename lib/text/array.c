/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/array.h"

#include <stdlib.h>
#include <string.h>

enum { ROOM_FIRST = 32 };

bool jl_grow(void *at, size_t count, size_t *room, size_t size) {
    void *array;
    if (count < *room) return true;
    size_t wanted = *room == 0 ? ROOM_FIRST : 2 * *room;
    memcpy(&array, at, sizeof array);
    void *grown = realloc(array, wanted * size);
    if (grown == NULL) return false;
    memcpy(at, &grown, sizeof grown);
    *room = wanted;
    /* cppcheck-suppress memleak ; it is where the caller's pointer is */
    return true;
}

/* ---- Structs that may grow: they begin with their size, as the caller's header has it ---- */

/* More is no size, but what lay in the memory. */
enum { SIZE_MOST = 1 << 16 };

static size_t size_of(const void *theirs) {
    size_t size;
    memcpy(&size, theirs, sizeof size);
    return size;
}

static size_t smaller(size_t a, size_t b) {
    return a < b ? a : b;
}

bool jl_sized_ok(const void *theirs, size_t least) {
    return size_of(theirs) >= least && size_of(theirs) <= SIZE_MOST;
}

bool jl_sized_take(const void *theirs, size_t least, void *ours, size_t size) {
    if (!jl_sized_ok(theirs, least)) return false;
    memcpy(ours, theirs, smaller(size_of(theirs), size));
    return true;
}

void jl_sized_give(const void *ours, size_t size, void *theirs) {
    size_t room = size_of(theirs);
    memcpy((char *)theirs + sizeof room, (const char *)ours + sizeof room,
           smaller(room, size) - sizeof room);
}
