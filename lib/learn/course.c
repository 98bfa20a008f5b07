/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/course.h"

#include "spirit/density.h"

#include <math.h>

double jl_mole_of_strength(double strength_pct) {
    double p = NAN;
    if (jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &p) != JL_OK) return NAN;
    return jl_mole_fraction(p);
}

jl_status jl_course_begin(const jl_path *path, double charge_l, double charge_strength_pct,
                          jl_course *course) {
    jl_spirit charge;
    double p, s;
    jl_status status = jl_mass_fraction_from_strength(charge_strength_pct, JL_STRENGTH_C, &p);
    if (status == JL_OK) status = jl_spirit_from_volume(charge_l, p, JL_STRENGTH_C, &charge);
    if (status != JL_OK) return status;
    double x = jl_mole_fraction(p);
    status = jl_path_of_boiler(path, x, &s);
    if (status != JL_OK) return status;
    course->path = path;
    course->begin = jl_path_at(path, s);
    course->scale = jl_mass_kg(charge) / jl_kg_mol(x) / course->begin.left;
    return JL_OK;
}

jl_place jl_course_at(const jl_course *course, double volume_l) {
    double s;
    double on_path = course->begin.volume_l + volume_l / course->scale;
    if (jl_path_of_volume(course->path, on_path, &s) != JL_OK) s = jl_path_end(course->path);
    return jl_path_at(course->path, s);
}

jl_spirit jl_course_between(const jl_course *course, const jl_place *from, const jl_place *to) {
    double ethanol = course->scale * (to->out - from->out);
    double all = course->scale * (from->left - to->left);
    return (jl_spirit){fmax(ethanol, 0) * JL_ETHANOL_KG_MOL,
                       fmax(all - ethanol, 0) * JL_WATER_KG_MOL};
}

double jl_course_strength_pct(const jl_course *course, const jl_place *from, const jl_place *to) {
    jl_spirit spirit = jl_course_between(course, from, to);
    return jl_mass_kg(spirit) > 0 ? jl_spirit_strength_pct(spirit) : 0;
}

double jl_course_heat_j(const jl_course *course, double boiler_heat_j_k, const jl_place *to) {
    return course->scale * (to->heat_j - course->begin.heat_j) +
           boiler_heat_j_k * (to->boiler_c - course->begin.boiler_c);
}
