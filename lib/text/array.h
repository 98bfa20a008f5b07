/* Arrays that grow.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_ARRAY_H
#define JL_ARRAY_H

#include <stdbool.h>
#include <stddef.h>

/* Room for one more in the array whose pointer is at *at; that and *room are changed. False when
 * there is no memory: nothing then has changed. */
bool jl_grow(void *at, size_t count, size_t *room, size_t size);

/* ---- Structs that may grow: they begin with their size, as the caller's header has it ---- */

/* Whether a struct has a size, and at least that of the first edition. */
bool jl_sized_ok(const void *theirs, size_t least);

/* Takes over what a caller has of a struct; the rest of *ours stays as it is. False when its size is
 * none. */
bool jl_sized_take(const void *theirs, size_t least, void *ours, size_t size);

/* Hands over as much as a caller has room for, whose size stays. */
void jl_sized_give(const void *ours, size_t size, void *theirs);

#endif
