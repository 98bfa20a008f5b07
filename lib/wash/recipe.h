/* What a recipe comes to beside what jarline.h shows of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_RECIPE_H
#define JL_RECIPE_H

#include "jarline.h"

/* Where a recipe ends, rounded up to a division of most hydrometers. */
double jl_recipe_end_sg(const jl_recipe *recipe);

/* Whether an amount has a name behind it, whatever is missing then. */
bool jl_ingredient_has_name(const char *text);

#endif
