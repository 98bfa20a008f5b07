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
    return true;
}
