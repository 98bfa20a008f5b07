/* Where the clock of a run tells how fast its heat came: over stretches with the heat on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_PACE_H
#define JL_PACE_H

#include "learn/model.h"

/* From one moment to another, with the heat on. */
typedef struct jl_stretch {
    size_t from, to; /* jars */
} jl_stretch;

typedef struct jl_pace {
    jl_stretch *stretches;
    size_t count, jars; /* of stretches; and jars in them */
    size_t last;        /* jar with a moment; behind all: none */
    double timed_s;     /* in all stretches */
    double *room;
} jl_pace;

/* Room for a run. Errors: JL_MEMORY */
jl_status jl_pace_open(const jl_learning_run *run, jl_pace *pace);
void jl_pace_close(jl_pace *pace);

/* The stretches of a run, by the heat that its jars took as a batch has it. */
void jl_pace_find(const jl_linear *linear, const jl_batch *batch, double time_s, jl_pace *pace);

/* Variance of the ln of the time in them, by what moments are off. */
double jl_pace_variance(const jl_pace *pace, double time_s);

/* The heat of all stretches, and between two places; J, at least 1. */
double jl_pace_heat_j(const jl_linear *linear, const jl_batch *batch, const jl_pace *pace);
double jl_heat_between_j(const jl_linear *linear, const jl_batch *batch, double from_l,
                         double to_l);

/* The jars' sum at a moment; 0 behind all. */
double jl_moment_l(const jl_linear *linear, size_t jar);

#endif
