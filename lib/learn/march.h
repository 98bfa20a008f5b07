/* A still's run as one table that serves every charge.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What leaves a boiler depends on what is in it and on nothing before: runs of one column at one
 * pressure follow one path of boiler compositions, entered at their own strength and scaled by their
 * own size. Stepping down from the distillate gives the boiler's liquid without a search, so the path
 * is marched from a weak distillate to the strongest charge.
 *
 * Jars are measured one by one, each before it is mixed with any other: the path's coordinate is the
 * sum of small volumes, not the volume of the blend, which shrinks. */
#ifndef JL_MARCH_H
#define JL_MARCH_H

#include "still/stages.h"

/* ---- Vapours of one pressure, under any shift ---- */

enum { JL_SHIFTS = 5, JL_VAPOURS_CELLS = 128 };

/* A shift of volatility (jl_still.vapour_off_share) beyond this is four times what is known of it. */
#define JL_SHIFT_MOST 0.14

/* The share that runs back goes a little below 0, where the formulae hold as well: a fit that may
 * cross 0 is not stopped by it, and what lies below is cut off afterwards. */
#define JL_SHARE_LEAST (-0.12)
#define JL_SHARE_MOST  0.985

typedef struct jl_vapours {
    double pressure_kpa;
    double c_per_kpa;                        /* of the boiling point */
    jl_table at[JL_SHIFTS];                  /* at even shifts, -JL_SHIFT_MOST to JL_SHIFT_MOST */
    double litres[JL_VAPOURS_CELLS + 1][2];  /* of a distillate at 20 °C, l/mol, and its slope */
    double warm[JL_VAPOURS_CELLS + 1];       /* J/mol that a distillate carries off as a liquid */
    double latent[JL_VAPOURS_CELLS + 1];     /* J/mol of vapour over a liquid */
    double boils_c[JL_VAPOURS_CELLS + 1][2]; /* and where that boils, with its slope: no shift of
                                                volatility changes it */
} jl_vapours;

/* Errors: JL_RANGE (pressure), JL_NUMERIC */
jl_status jl_vapours_fill(double pressure_kpa, jl_vapours *vapours);

/* Beyond JL_SHIFT_MOST the table of the bound. */
void jl_vapours_shifted(const jl_vapours *vapours, double shift, jl_table *table);

/* ---- The path ---- */

enum { JL_MARCH_MOST = 600 };

/* Amounts are those that came over since the path's top, for one mole there. */
typedef struct jl_milestone {
    double x, spout; /* mole fractions in boiler and distillate */
    double per_l;    /* of spout: its change per litre */
    double volume_l; /* each drop at 20 °C */
    double ethanol, water;
    double heat_j; /* that the boiling took; without the liquid's own */
    double heat_per_l, litres_mol;
} jl_milestone;

typedef struct jl_march {
    const jl_vapours *vapours;
    jl_table table; /* the shifted one; it points into itself */
    size_t count;
    jl_milestone at[JL_MARCH_MOST]; /* from the top down */
} jl_march;

/* What a path is marched for. */
typedef struct jl_march_of {
    double stages; /* 1 to JL_STAGES_MOST; in between the distillates over one liquid are mixed */
    double share;  /* that runs back, R / (R + 1): JL_SHARE_LEAST to JL_SHARE_MOST */
    double x_top;  /* the strongest charge, a mole fraction */
    bool heat;     /* whether heat will be asked for */
    double stride; /* by what its steps are longer than the finest: 1 (or less) to 3 */
} jl_march_of;

/* Marches a path through a shifted table; *table is copied. march: room, whatever is in it. */
void jl_march_through(const jl_vapours *vapours, const jl_table *table, const jl_march_of *of,
                      jl_march *march);

/* ---- A charge on it ---- */

typedef struct jl_batch {
    const jl_march *march;
    double moles;    /* at the path's top, for this charge */
    double volume_l; /* on the path where the charge enters, for one mole at the top */
} jl_batch;

/* charge_l and charge_pct at 20 °C: above 0, and not stronger than the path's top, where a stronger
 * one enters. */
jl_batch jl_batch_on(const jl_march *march, double charge_l, double charge_pct);

/* What has come over, and what boiler and spout hold, when so much distillate came since the charge
 * began to boil; behind the path's end nothing more comes. */
typedef struct jl_waypoint {
    double volume_l;       /* since the charge entered */
    double ethanol, water; /* moles, since the path's top */
    double x, spout;
    double heat_j; /* J since the path's top; without the liquid's own */
    double left;   /* moles in the boiler */
} jl_waypoint;

jl_waypoint jl_batch_at(const jl_batch *batch, double volume_l);

/* The same of one place after the other, for the search then is short: *milestone is 0 before the first,
 * and none may lie before the one that was asked for last. */
jl_waypoint jl_batch_on_to(const jl_batch *batch, double volume_l, size_t *milestone);

/* The volume at which the spout has fallen to a mole fraction; at the batch it may already have. At
 * the path's end where it never does. */
double jl_batch_spout_l(const jl_batch *batch, double spout);

/* Strength of what came between two places, % vol at 20 °C; 0 where nothing came. */
double jl_between_pct(const jl_waypoint *from, const jl_waypoint *to);
/* And its pure alcohol, l at 20 °C. */
double jl_between_pure_l(const jl_waypoint *from, const jl_waypoint *to);

double jl_boiler_c(const jl_march *march, const jl_waypoint *at);
double jl_march_head_c(const jl_march *march, const jl_waypoint *at);

/* Heat that boiling took since the path's top, and what the liquid and boiler hold now. */
double jl_batch_heat_j(const jl_batch *batch, const jl_waypoint *at, double boiler_heat_j_k);

/* Mole fraction of a strength at 20 °C, which is kept to 0 to 100 % vol. */
double jl_mole_of_pct(double strength_pct);

#endif
