/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/sized.h"

#include <string.h>

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
