/* Figures that a small still may have, of keys whose unit people forget.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LIKELY_H
#define JL_LIKELY_H

#include "keys/keys.h"

/* Whether a figure, in the unit of jl_quantity.value, is one of a small still: another that was typed
 * without its unit was probably meant in another unit. */
bool jl_key_is_likely(jl_key_id id, double value);

/* What is likely, in words; "": anything. */
const char *jl_key_likely_range(jl_key_id id);

/* The unit behind a number with which it would be; NULL: none. */
const char *jl_key_unit_meant(jl_key_id id, const char *number);

#endif
