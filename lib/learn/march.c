/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/march.h"

#include "spirit/density.h"

#include <math.h>

/* Steps of the march: of the distillate, of its logarithm where it is weak, and of the boiler's. With
 * them strengths of jars lie within 0.001 % vol of those of a path of steps a quarter as long; with
 * steps of twice that length within 0.02, of three times within 0.1, of charges up to 40 % vol. */
static const double SPOUT_STEP = 0.018, SPOUT_RATIO = 0.22, BOILER_RATIO = 0.075;
/* Where the distillate is weak, below 14 % vol, it falls with the liquid, and steps are longer. */
static const double WEAK = 0.05, WEAK_STRIDE = 4;
/* Below a distillate of 0.07 % vol nothing but water comes, until hardly any is left. */
static const double SPOUT_LEAST = 2e-4, LEFT_LEAST = 1e-3;

/* ---- Vapours ---- */

static double litres_per_mole(double x, const jl_isotherm *at_20) {
    double kg_mol = x * JL_ETHANOL_KG_MOL + (1 - x) * JL_WATER_KG_MOL;
    return 1000 * kg_mol / jl_isotherm_density(at_20, jl_mass_fraction_from_mole(x));
}

static void fill_litres(jl_vapours *v) {
    const double near = 1e-5;
    jl_isotherm at_20;
    jl_isotherm_at(JL_STRENGTH_C, &at_20);
    for (int k = 0; k <= JL_VAPOURS_CELLS; k++) {
        double x = (double)k / JL_VAPOURS_CELLS;
        double low = fmax(x - near, 0), high = fmin(x + near, 1);
        v->litres[k][0] = litres_per_mole(x, &at_20);
        v->litres[k][1] =
            (litres_per_mole(high, &at_20) - litres_per_mole(low, &at_20)) / (high - low);
    }
}

/* Latent heat is tabled over x (1 + c)/(x + c): the liquid's effect is greatest where it is weak. */
static double place_of_liquid(double x) {
    const double c = 0.35;
    return x * (1 + c) / (x + c);
}

static double liquid_of_place(double u) {
    const double c = 0.35;
    return c * u / (1 + c - u);
}

static void fill_heats(jl_vapours *v) {
    const jl_table *table = &v->at[JL_SHIFTS / 2];
    for (int k = 0; k <= JL_VAPOURS_CELLS; k++) {
        double at = (double)k / JL_VAPOURS_CELLS, slope;
        double on_top = table->curve.liquid(&table->curve, at, &slope);
        v->warm[k] = jl_liquid_heat_j_mol(at, jl_table_temp_c(table, on_top));
        v->latent[k] = jl_table_at(table, liquid_of_place(at)).latent_j_mol;
    }
}

static void fill_temps(jl_vapours *v) {
    const double near = 1e-4;
    const jl_table *table = &v->at[JL_SHIFTS / 2];
    for (int k = 0; k <= JL_VAPOURS_CELLS; k++) {
        double at = (double)k / JL_VAPOURS_CELLS;
        double low = fmax(at - near, 0), high = fmin(at + near, 1);
        v->boils_c[k][0] = jl_table_temp_c(table, liquid_of_place(at));
        v->boils_c[k][1] = (jl_table_temp_c(table, liquid_of_place(high)) -
                            jl_table_temp_c(table, liquid_of_place(low))) /
                           (high - low);
    }
}

static double shift_of(int k) {
    return JL_SHIFT_MOST * (2.0 * k / (JL_SHIFTS - 1) - 1);
}

jl_status jl_vapours_fill(double pressure_kpa, jl_vapours *v) {
    jl_status status = JL_OK;
    for (int k = 0; status == JL_OK && k < JL_SHIFTS; k++)
        status = jl_table_fill(pressure_kpa, shift_of(k), 0, true, &v->at[k]);
    if (status != JL_OK) return status;
    jl_bubble at, above;
    const double x = 0.05, more_kpa = 0.1;
    status = jl_bubble_at(&JL_NRTL, x, pressure_kpa, 0, &at);
    if (status == JL_OK)
        status = jl_bubble_at(&JL_NRTL, x, pressure_kpa + more_kpa, at.temp_k, &above);
    if (status != JL_OK) return status;
    v->pressure_kpa = pressure_kpa;
    v->c_per_kpa = (above.temp_k - at.temp_k) / more_kpa;
    fill_litres(v);
    fill_heats(v);
    fill_temps(v);
    return JL_OK;
}

void jl_vapours_shifted(const jl_vapours *v, double shift, jl_table *table) {
    double weights[JL_SHIFTS];
    double at = fmin(fmax(shift, -JL_SHIFT_MOST), JL_SHIFT_MOST);
    for (int k = 0; k < JL_SHIFTS; k++) { /* Lagrange's polynomial */
        weights[k] = 1;
        for (int j = 0; j < JL_SHIFTS; j++)
            if (j != k) weights[k] *= (at - shift_of(j)) / (shift_of(k) - shift_of(j));
    }
    jl_table_between(v->at, weights, JL_SHIFTS, table);
}

/* Hermite's cubic; t from 0 to 1 within a cell of width h. */
static double cubic(double a, double b, double slope_a, double slope_b, double h, double t) {
    double u = 1 - t;
    return u * u * (1 + 2 * t) * a + t * t * (3 - 2 * t) * b +
           h * t * u * (u * slope_a - t * slope_b);
}

static double cubic_slope(double a, double b, double slope_a, double slope_b, double h, double t) {
    double u = 1 - t;
    return 6 * t * u * (b - a) / h + u * (u - 2 * t) * slope_a + t * (t - 2 * u) * slope_b;
}

static int cell_of(double place) {
    return place >= JL_VAPOURS_CELLS ? JL_VAPOURS_CELLS - 1 : place > 0 ? (int)place : 0;
}

static double heat_at(const double *heats, double at) {
    double place = at * JL_VAPOURS_CELLS;
    int cell = cell_of(place);
    return heats[cell] + (place - cell) * (heats[cell + 1] - heats[cell]);
}

static double litres_at(const jl_vapours *v, double x, double *slope) {
    const double h = 1.0 / JL_VAPOURS_CELLS;
    double place = x * JL_VAPOURS_CELLS;
    int cell = cell_of(place);
    const double *a = v->litres[cell], *b = v->litres[cell + 1];
    *slope = cubic_slope(a[0], b[0], a[1], b[1], h, place - cell);
    return cubic(a[0], b[0], a[1], b[1], h, place - cell);
}

/* ---- The march, from weak to strong ---- */

/* A step: ln of the boiler's mole fraction, the distillate, and its slope over the former. */
typedef struct footprint {
    double w, x, spout, slope;
} footprint;

typedef struct trail {
    double stride; /* by what the steps are longer */
    size_t count;
    footprint at[JL_MARCH_MOST];
} trail;

static footprint step_to(const jl_curve *curve, int stages, double share, double spout) {
    double per_spout;
    double x = jl_step_down(curve, stages, share / (1 - share), spout, &per_spout, NULL);
    return (footprint){log(x), x, spout, x / per_spout};
}

/* Near the azeotrope the distillate of many stages may no longer change by what a double can show.
 * GCOVR_EXCL_START: of 390,000 paths over all stages, shares, shifts and pressures none came to it. */
static bool go_on(trail *t, double x_top) {
    footprint next = t->at[t->count - 1];
    next.w = fmin(next.w + t->stride * BOILER_RATIO, log(x_top));
    next.x = exp(next.w);
    next.slope = 0;
    t->at[t->count++] = next;
    return next.x < x_top * (1 - 1e-12);
}
/* GCOVR_EXCL_STOP */

static bool step_up(trail *t, const jl_curve *curve, int stages, double share, double x_top) {
    enum { HALVINGS_MOST = 60 };
    const footprint *last = &t->at[t->count - 1];
    double cap = x_top + (curve->end - x_top) / 2;
    double stride = t->stride * fmin(fmax(sqrt(WEAK / last->spout), 1), WEAK_STRIDE);
    double rise = stride * BOILER_RATIO;
    double step = stride * fmin(SPOUT_STEP, SPOUT_RATIO * last->spout);
    step = fmin(step, rise * last->slope);
    /* GCOVR_EXCL_BR_START: nor did one need more halvings, or step up by nothing. */
    for (int i = 0; i < HALVINGS_MOST && last->spout + step > last->spout; i++, step /= 2) {
        if (last->spout + step >= curve->end) continue;
        footprint next = step_to(curve, stages, share, last->spout + step);
        if (!(next.w > last->w) || next.w - last->w > 1.5 * rise || next.x > cap) continue;
        t->at[t->count++] = next;
        return next.x < x_top;
    }
    /* GCOVR_EXCL_BR_STOP */
    return go_on(t, x_top); /* GCOVR_EXCL_LINE: see there */
}

static void march_up(const jl_curve *curve, int stages, double share, double x_top, trail *t) {
    t->count = 0;
    t->at[t->count++] = step_to(curve, stages, share, SPOUT_LEAST);
    while (t->count < JL_MARCH_MOST - 1 && step_up(t, curve, stages, share, x_top)) {
    }
}

/* Below its weakest the distillate falls with the liquid. */
static void at_liquid(const trail *t, double w, size_t *cell, double *spout, double *slope) {
    if (w <= t->at[0].w) {
        *spout = t->at[0].spout * exp(w - t->at[0].w);
        *slope = *spout;
        return;
    }
    while (*cell + 2 < t->count && t->at[*cell + 1].w < w) ++*cell;
    const footprint *a = &t->at[*cell], *b = a + 1;
    double h = b->w - a->w, at = fmin((w - a->w) / h, 1);
    *spout = cubic(a->spout, b->spout, a->slope, b->slope, h, at);
    *slope = cubic_slope(a->spout, b->spout, a->slope, b->slope, h, at);
}

/* Distillates of two whole numbers of stages, mixed over the liquids of the second. */
static void mix(trail *t, const trail *fewer, double part) {
    size_t cell = 0;
    for (size_t i = 0; i < t->count; i++) {
        double spout, slope;
        footprint *at = &t->at[i];
        at_liquid(fewer, at->w, &cell, &spout, &slope);
        at->spout = (1 - part) * spout + part * at->spout;
        at->slope = (1 - part) * slope + part * at->slope;
    }
}

/* ---- What it sums to, from strong to weak ---- */

/* What the sums rise by, over ln x, and how that changes. */
typedef struct rates {
    double left, left_slope;     /* of -ln of the moles left */
    double litres, litres_slope; /* of volume, for one mole left */
    double heat, heat_slope;     /* the slope as if a mole took the same heat on either side */
    double litres_mol, litres_mol_slope, heat_mol;
} rates;

static rates rates_at(const jl_march *m, const jl_march_of *of, const footprint *f) {
    rates r = {0};
    double apart = fmax(f->spout - f->x, 1e-9);
    r.left = f->x / apart;
    r.left_slope = f->x * (f->spout - f->slope) / (apart * apart);
    r.litres_mol = litres_at(m->vapours, f->spout, &r.litres_mol_slope);
    r.litres = r.litres_mol * r.left;
    r.litres_slope = r.litres_mol_slope * f->slope * r.left + r.litres_mol * r.left_slope;
    if (!of->heat) return r;
    r.heat_mol = heat_at(m->vapours->latent, place_of_liquid(f->x)) / (1 - of->share) +
                 heat_at(m->vapours->warm, f->spout);
    r.heat = r.heat_mol * r.left;
    r.heat_slope = r.heat_mol * r.left_slope;
    return r;
}

/* The trapezium's rule with its first correction, so that values and slopes at the ends give the
 * integral to the fourth order. */
static double between(double h, double a, double b, double slope_a, double slope_b) {
    return h / 2 * (a + b) + h * h / 12 * (slope_a - slope_b);
}

static void add_water(jl_march *m, const jl_march_of *of, double left, double x_top) {
    double slope;
    const jl_milestone *end = &m->at[m->count - 1];
    jl_milestone last = {.volume_l = end->volume_l, .ethanol = x_top, .heat_j = end->heat_j};
    double comes = left * (1 - LEFT_LEAST);
    double heat_mol = m->vapours->latent[0] / (1 - of->share) + m->vapours->warm[0];
    last.litres_mol = litres_at(m->vapours, 0, &slope);
    last.volume_l += comes * last.litres_mol;
    last.water = 1 - left * LEFT_LEAST - x_top;
    last.heat_per_l = of->heat ? heat_mol / last.litres_mol : 0;
    last.heat_j += last.heat_per_l * comes * last.litres_mol;
    m->at[m->count++] = last;
}

static void sum_down(const trail *t, const jl_march_of *of, jl_march *m) {
    rates above = rates_at(m, of, &t->at[t->count - 1]);
    double s = 0, left = 1, volume_l = 0, heat_j = 0, x_top = t->at[t->count - 1].x;
    m->count = t->count;
    for (size_t i = t->count; i-- > 0;) {
        const footprint *f = &t->at[i];
        rates r = rates_at(m, of, f);
        if (i + 1 < t->count) {
            double h = t->at[i + 1].w - f->w, before = left;
            s += between(h, r.left, above.left, r.left_slope, above.left_slope);
            left = exp(-s);
            /* Over ln x what is left falls downwards: its slope there is left times the rate. */
            volume_l += between(h, left * r.litres, before * above.litres,
                                left * (r.litres_slope + r.left * r.litres),
                                before * (above.litres_slope + above.left * above.litres));
            heat_j += between(h, left * r.heat, before * above.heat,
                              left * (r.heat_slope + r.left * r.heat),
                              before * (above.heat_slope + above.left * above.heat));
        }
        double ethanol = x_top - left * f->x;
        m->at[t->count - 1 - i] = (jl_milestone){
            .x = f->x,
            .spout = f->spout,
            .per_l = -f->slope / (left * r.litres),
            .volume_l = volume_l,
            .ethanol = ethanol,
            .water = 1 - left - ethanol,
            .litres_mol = r.litres_mol,
            .heat_j = heat_j,
            .heat_per_l = r.heat_mol / r.litres_mol,
        };
        above = r;
    }
    add_water(m, of, left, x_top);
}

void jl_march_through(const jl_vapours *vapours, const jl_table *table, const jl_march_of *of,
                      jl_march *march) {
    trail more, fewer;
    more.stride = fewer.stride = fmax(of->stride, 1);
    int whole = (int)of->stages;
    double part = of->stages - whole;
    march->vapours = vapours;
    march->table = *table;
    march->table.curve.with = &march->table;
    const jl_curve *curve = &march->table.curve;
    march_up(curve, part > 0 ? whole + 1 : whole, of->share, of->x_top, &more);
    if (part > 0) {
        double stronger = more.at[more.count - 1].x;
        march_up(curve, whole, of->share, stronger, &fewer);
        mix(&more, &fewer, part);
    }
    sum_down(&more, of, march);
}

/* ---- A charge on it ---- */

double jl_mole_of_pct(double strength_pct) {
    double p = 0;
    jl_mass_fraction_from_strength(fmin(fmax(strength_pct, 0), 100), JL_STRENGTH_C, &p);
    return jl_mole_fraction(p);
}

/* The milestone at or before which a rising measure of the path reaches a value. */
typedef double measure(const jl_milestone *m);

static double by_volume(const jl_milestone *m) {
    return m->volume_l;
}

static double by_boiler(const jl_milestone *m) {
    return -m->x;
}

static double by_spout(const jl_milestone *m) {
    return -m->spout;
}

static const jl_milestone *milestone_of(const jl_march *m, measure *of, double value) {
    size_t low = 0, high = m->count - 1;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (of(&m->at[middle]) > value)
            high = middle;
        else
            low = middle;
    }
    return &m->at[low];
}

static double left_of(const jl_milestone *m) {
    return 1 - m->ethanol - m->water;
}

jl_batch jl_batch_on(const jl_march *march, double charge_l, double charge_pct) {
    double slope, x_top = march->at[0].x;
    double x = fmin(fmax(jl_mole_of_pct(charge_pct), march->at[march->count - 2].x), x_top);
    const jl_milestone *a = milestone_of(march, by_boiler, -x), *b = a + 1;
    double h = log(b->x / a->x), t = log(x / a->x) / h;
    double left_a = left_of(a), left_b = left_of(b);
    double out_a = a->x / fmax(a->spout - a->x, 1e-9), out_b = b->x / fmax(b->spout - b->x, 1e-9);
    double left = exp(cubic(log(left_a), log(left_b), out_a, out_b, h, t));
    double moles = charge_l / litres_at(march->vapours, x, &slope);
    double volume_l = cubic(a->volume_l, b->volume_l, -left_a * out_a * a->litres_mol,
                            -left_b * out_b * b->litres_mol, h, t);
    return (jl_batch){march, moles / left, volume_l};
}

static double on_path(const jl_batch *batch, double volume_l) {
    return batch->volume_l + volume_l / batch->moles;
}

/* Behind a milestone and before the next. */
static jl_waypoint waypoint_behind(const jl_milestone *a, const jl_batch *batch, double volume_l) {
    const jl_march *m = batch->march;
    const jl_milestone *b = a + 1;
    double h = b->volume_l - a->volume_l;
    double t = h > 0 ? fmin(fmax((on_path(batch, volume_l) - a->volume_l) / h, 0), 1) : 0;
    double ethanol =
        cubic(a->ethanol, b->ethanol, a->spout / a->litres_mol, b->spout / b->litres_mol, h, t);
    double water = cubic(a->water, b->water, (1 - a->spout) / a->litres_mol,
                         (1 - b->spout) / b->litres_mol, h, t);
    ethanol = fmin(ethanol, m->at[0].x); /* the last cell, all but water, is wide */
    double left = fmax(1 - ethanol - water, 1e-12);
    return (jl_waypoint){
        .volume_l = volume_l,
        .ethanol = batch->moles * ethanol,
        .water = batch->moles * water,
        .x = fmax((m->at[0].x - ethanol) / left, 0),
        .spout = fmax(cubic(a->spout, b->spout, a->per_l, b->per_l, h, t), 0),
        .heat_j = batch->moles * cubic(a->heat_j, b->heat_j, a->heat_per_l, b->heat_per_l, h, t),
        .left = batch->moles * left,
    };
}

jl_waypoint jl_batch_at(const jl_batch *batch, double volume_l) {
    double l = on_path(batch, volume_l);
    return waypoint_behind(milestone_of(batch->march, by_volume, l), batch, volume_l);
}

jl_waypoint jl_batch_on_to(const jl_batch *batch, double volume_l, size_t *milestone) {
    const jl_march *m = batch->march;
    double l = on_path(batch, volume_l);
    while (*milestone + 2 < m->count && m->at[*milestone + 1].volume_l <= l) ++*milestone;
    return waypoint_behind(&m->at[*milestone], batch, volume_l);
}

double jl_batch_spout_l(const jl_batch *batch, double spout) {
    enum { HALVINGS = 45 };
    const jl_march *m = batch->march;
    const jl_milestone *end = &m->at[m->count - 1];
    if (spout < SPOUT_LEAST) return batch->moles * (end->volume_l - batch->volume_l);
    const jl_milestone *a = milestone_of(m, by_spout, -spout), *b = a + 1;
    double h = b->volume_l - a->volume_l, low = 0, high = 1;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        if (cubic(a->spout, b->spout, a->per_l, b->per_l, h, middle) > spout)
            low = middle;
        else
            high = middle;
    }
    return batch->moles * (a->volume_l + low * h - batch->volume_l);
}

static jl_spirit spirit_between(const jl_waypoint *from, const jl_waypoint *to) {
    return (jl_spirit){fmax(to->ethanol - from->ethanol, 0) * JL_ETHANOL_KG_MOL,
                       fmax(to->water - from->water, 0) * JL_WATER_KG_MOL};
}

double jl_between_pct(const jl_waypoint *from, const jl_waypoint *to) {
    jl_spirit spirit = spirit_between(from, to);
    return jl_mass_kg(spirit) > 0 ? jl_spirit_strength_pct(spirit) : 0;
}

double jl_between_pure_l(const jl_waypoint *from, const jl_waypoint *to) {
    return jl_pure_alcohol_l(spirit_between(from, to));
}

static double boils_c(const jl_vapours *v, double x) {
    double place = place_of_liquid(x) * JL_VAPOURS_CELLS;
    int cell = cell_of(place);
    const double *a = v->boils_c[cell], *b = v->boils_c[cell + 1];
    return cubic(a[0], b[0], a[1], b[1], 1.0 / JL_VAPOURS_CELLS, place - cell);
}

double jl_boiler_c(const jl_march *march, const jl_waypoint *at) {
    return boils_c(march->vapours, at->x);
}

double jl_march_head_c(const jl_march *march, const jl_waypoint *at) {
    double slope;
    const jl_curve *curve = &march->table.curve;
    return boils_c(march->vapours, curve->liquid(curve, at->spout, &slope));
}

double jl_batch_heat_j(const jl_batch *batch, const jl_waypoint *at, double boiler_heat_j_k) {
    double temp_c = jl_boiler_c(batch->march, at);
    return at->heat_j + at->left * jl_liquid_heat_j_mol(at->x, temp_c) + boiler_heat_j_k * temp_c;
}
