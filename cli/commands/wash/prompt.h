/* The prompt of a wash's log: one row after the other.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_PROMPT_H
#define JARLINE_WASH_PROMPT_H

#include "jarline.h"

/* bench: with whose hydrometer it is read. Returns the exit status. */
int wash_prompt(const char *path, const jl_settings *bench);

#endif
