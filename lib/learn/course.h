/* A logged run laid on a path: what its jars should have been.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_COURSE_H
#define JL_COURSE_H

#include "learn/path.h"

/* Where a run enters a path, and how large it is. */
typedef struct jl_course {
    const jl_path *path;
    jl_place begin;
    double scale; /* moles at the path's top for this charge */
} jl_course;

/* charge_l and charge_strength_pct at 20 °C. Errors: JL_RANGE; JL_NO (stronger than the path's top)
 */
jl_status jl_course_begin(const jl_path *path, double charge_l, double charge_strength_pct,
                          jl_course *course);

/* The place at which so much distillate (l, each drop at 20 °C) has come since the begin. A boiler
 * that holds no more gives the path's end. */
jl_place jl_course_at(const jl_course *course, double volume_l);

/* What came between two places. */
jl_spirit jl_course_between(const jl_course *course, const jl_place *from, const jl_place *to);

/* Its strength, % vol at 20 °C; 0 where nothing came. */
double jl_course_strength_pct(const jl_course *course, const jl_place *from, const jl_place *to);

/* J that liquid and boiler took since the begin. */
double jl_course_heat_j(const jl_course *course, double boiler_heat_j_k, const jl_place *to);

/* Mole fraction of a strength at 20 °C, 0 to 100 % vol. */
double jl_mole_of_strength(double strength_pct);

#endif
