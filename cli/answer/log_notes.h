/* What a log holds that was passed over, or that looks like a slip of the pen: said below an answer, so
 * that a misspelt word does not change a figure unseen.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOG_NOTES_H
#define JARLINE_LOG_NOTES_H

#include "answer/show.h"
#include "jarline.h"

/* Facts and columns that are not known, facts that stand more than once, and half a charge. */
void note_passed_over(show *s, const jl_run *run);

/* Jars whose volume looks like one in another unit: below 5 ml, or more than the charge. */
void note_odd_jars(show *s, const jl_run *run);

#endif
