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

#endif
