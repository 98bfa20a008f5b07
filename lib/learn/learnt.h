/* What a still may be before anything is learnt of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LEARNT_H
#define JL_LEARNT_H

#include "still/causes.h"

/* Stages that are tried at first, the pot before the others. */
enum { JL_STAGES_TRIED = 10 };
extern const double JL_STAGES_FIRST[JL_STAGES_TRIED];

/* Chance of the stages that a place in a rising list stands for; it is the same for a list with
 * places more in between. */
double jl_stages_prior(const double *stages, size_t count, size_t place);

/* Chance of a spread of runs. */
double jl_spread_prior(int spread);

/* The most likely stages. */
const jl_learnt_stages *jl_learnt_best(const jl_learnt_still *still);

/* How well they are known for the next run, and the shift of volatility that goes with them. */
jl_still_known jl_learnt_known(const jl_learnt_still *still, double *vapour_off_share);

/* As jl_learnt_read, of a file of settings: what stands before its first still and in the section that
 * begins with a fact; NULL: before the first. */
jl_status jl_learnt_read_section(const jl_facts *facts, const jl_fact *section,
                                 jl_learnt_still *still, jl_fault *fault);

/* Whether a still that came from anywhere is one. */
bool jl_learnt_ok(const jl_learnt_still *still);

/* By what share a charge that is not as said is off, and by what % vol all readings are that are, as
 * standard deviations: common practice, no source. */
extern const double JL_CHARGE_WRONG_U, JL_READINGS_WRONG_U_PCT;

#endif
