/* Settings among the assumptions of an answer: what was taken, and where it is from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_ASSUME_H
#define JARLINE_ASSUME_H

#include "answer/show.h"
#include "keys/settings.h"
#include "uncertainty/readings.h"

/* A setting as a sentence has it: "power 2000 W", "hearts until 60%". */
void setting_text(const jl_settings *settings, jl_key_id id, char *text, size_t size);

/* The defaults with where they come from, then what file and options said. plan: of these
 * settings. */
void assume_still(show *to, const jl_settings *s, const jl_plan *plan);

/* Those of the keys that a file states. */
void assume_of_file(show *to, const jl_settings *s, const jl_key_id *ids, size_t count);

/* What was taken of an instrument's limits, and whether it was stated. */
void assume_limits(show *s, const jl_instruments *in, jl_instrument which);

/* Facts that may not stand in such a file (JL_IN_RUN, JL_IN_WASH, JL_IN_BOOK), and those that stand more
 * than once. Below the header of the table (its line; 0: the file has none) a fact that is known
 * corrects an earlier one, and is no warning. */
void warn_of_facts(show *s, const jl_facts *facts, unsigned where, size_t header_line);

#endif
