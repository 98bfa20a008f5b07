/* What may be wrong with a run, said.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DIAGNOSIS_H
#define JARLINE_DIAGNOSIS_H

#include "answer/show.h"
#include "jarline.h"

enum { DIAGNOSIS_BYTES = 480 };

/* One sentence with the cause, or with all that fit, the one that is named first, else in one order:
 * "A jar is missing before jar 4, or the charge was weaker: 30.9 % vol would fit." False: nothing is
 * wrong, and text is empty. */
bool write_diagnosis(const jl_run *run, const jl_diagnosis *d, char text[DIAGNOSIS_BYTES]);

/* The same as a warning if seen, and a group "diagnosis" for programs. */
void show_diagnosis(show *s, const jl_run *run, const jl_diagnosis *d, bool seen);

#endif
