/* A still's run as one table that serves every charge.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What leaves a boiler depends on what is in it and on nothing before: runs of one column at one
 * pressure follow one path of boiler compositions, entered at their own strength and scaled by
 * their own size. Learning from runs asks for many forecasts of one still, so the path is boiled
 * down once and kept. */
#ifndef JL_PATH_H
#define JL_PATH_H

#include "still/boildown.h"

typedef struct jl_path jl_path;

/* From x_top, a mole fraction, down to an exhausted boiler. table: at the run's pressure, with its
 * liquids; it must outlive the path. reflux_share: R / (R + 1), 0 to below 1. */
jl_status jl_path_new(const jl_table *table, double stages, double reflux_share, double x_top,
                      jl_path **path);
void jl_path_free(jl_path *path);

/* A place on the path, with amounts for one mole at its top. */
typedef struct jl_place {
    double s;
    double left;     /* moles in the boiler */
    double x;        /* in the boiler */
    double out;      /* moles of ethanol distilled since the top */
    double volume_l; /* of distillate, each drop at 20 °C */
    double boiler_c;
    double heat_j; /* that the boiling has taken, and that the liquid holds */
    double spout;  /* mole fraction of the distillate here */
} jl_place;

jl_place jl_path_at(const jl_path *path, double s);
double jl_path_end(const jl_path *path); /* the last s */

/* Where the boiler holds x, where so much distillate was made since the top, where the distillate
 * has fallen to a mole fraction. JL_NO: the path does not come there. */
jl_status jl_path_of_boiler(const jl_path *path, double x, double *s);
jl_status jl_path_of_volume(const jl_path *path, double volume_l, double *s);
jl_status jl_path_of_spout(const jl_path *path, double spout, double *s);

#endif
