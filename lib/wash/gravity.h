/* The gravity polynomial without range checks, for differences across the edge of its range.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_GRAVITY_H
#define JL_GRAVITY_H

#include "jarline.h"

/* °P by the ASBC polynomial. It rises with sg everywhere. */
double jl_extract_polynomial(double sg);

/* Solves extract(sg) sg^power = target for sg, power 0 (g in 100 g) or 1 (g in 100 ml, to a
 * factor). False when no gravity between JL_GRAVITY_MIN and JL_GRAVITY_MAX does it; the caller
 * knows what it means. */
bool jl_gravity_solve(int power, double target, double *sg);

/* The gravity of water in which so much has dissolved, kg in a litre of it. False: as above. */
bool jl_gravity_of_solids(double solids_kg_l, double *sg);

/* The gravity of a liquid in which more has dissolved, kg in a litre of it. False: as above. */
bool jl_gravity_raise(double sg, double solids_kg_l, double *raised_sg);

bool jl_gravity_ok(double sg);

#define JL_GRAVITY_FORMS "a gravity from 0.970 to 1.180, as 1.062, 62pts or 15.2P"

/* The gravity that has a number's digits: 1012 and 10.12 are 1.012; NaN: none has. */
double jl_gravity_meant(const char *text);

/* What a bare number that is no gravity may have meant: "12P or 12pts, which is 1.012". False:
 * nothing. */
enum { JL_GRAVITY_UNITS_BYTES = 64 };
bool jl_gravity_units_meant(const char *text, char meant[JL_GRAVITY_UNITS_BYTES]);

/* A gravity as a log has it: as it is typed, and points or thousandths as 1.060. */
enum { JL_GRAVITY_TEXT_BYTES = 24 };
void jl_gravity_write(const char *typed, char text[JL_GRAVITY_TEXT_BYTES]);

/* Whether a gravity stands without a point, a unit and thousandths, as 1 does, of 1,000. */
bool jl_gravity_is_bare(const char *text);

/* A wash is measured from 0 to 40 °C; its hydrometer is calibrated there too. */
#define JL_WASH_TEMP_FORMS "0 to 40 °C (32 to 104 °F)"
bool jl_wash_temp_ok(double temp_c);
bool jl_hydrometer_ok(const jl_hydrometer *instrument);

/* A scale's division is not coarser than 5 °P. */
bool jl_division_ok(double division_sg);

/* Density of the liquid in which the instrument shows sg at temp_c, kg/m³. */
double jl_hydrometer_density(const jl_hydrometer *instrument, double sg, double temp_c);

/* A reading in SG, whichever of its two units it has. JL_RANGE, JL_UNIT. */
jl_status jl_gravity_sg(jl_quantity reading, double *sg);

/* Has a fermentation ended, by its dated gravities in order. Errors: JL_MISSING (fewer than two);
 * JL_CONFLICT (a time not after the one before); JL_RANGE (also a time beyond 1e12 s, and times too near
 * for a slope). Source: common practice */
jl_status jl_ferment_judge(const jl_dated_gravity *readings, size_t count,
                           const jl_finish_rule *rule, jl_ferment *ferment);

#endif
