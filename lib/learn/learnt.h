/* What a still may be before anything is learnt of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LEARNT_H
#define JL_LEARNT_H

#include "jarline.h"

/* Stages that are tried at first, the pot before the others. */
enum { JL_STAGES_TRIED = 10 };
extern const double JL_STAGES_FIRST[JL_STAGES_TRIED];

/* Chance of the stages that a place in a rising list stands for; it is the same for a list with
 * places more in between. */
double jl_stages_prior(const double *stages, size_t count, size_t place);

/* Chance of a spread of runs. */
double jl_spread_prior(int spread);

/* Whether a still that came from anywhere is one. */
bool jl_learnt_ok(const jl_learnt_still *still);

/* What a share can be. */
#define JL_SHARE_END 0.98

#endif
