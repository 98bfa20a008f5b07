/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/path.h"

#include "spirit/density.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SUM_VOLUME, SUM_HEAT, SUMS, STATES = SUMS + 2 };
enum { OF_BOILER, OF_OUT, OF_VOLUME, OF_HEAT };

/* Values and slopes over s at one node; between nodes the path is cubic. */
typedef struct node {
    double s, spout;
    double value[STATES], slope[STATES];
} node;

struct jl_path {
    const jl_table *table;
    size_t count, room;
    node *nodes;
};

/* Of a step, relative: a hundredth of what matters to a reading of 0.01 % vol. */
static const double TOLERANCE = 1e-8;
/* Below this the boiler is exhausted: 0.001 % vol. */
static const double X_LEAST = 3e-6;

static double litres_per_mole(double x, const jl_isotherm *at_20) {
    return 1000 * jl_kg_mol(x) / jl_isotherm_density(at_20, jl_mass_fraction_from_mole(x));
}

typedef struct rates_with {
    const jl_table *table;
    jl_isotherm at_20;
} rates_with;

/* Heat as a forecast counts it: the vapour's, R + 1 times what is let out, and the distillate's. */
static void rates(void *with, const jl_column *column, double left, double x,
                  const jl_distillate *d, double *rate) {
    const rates_with *r = with;
    double head_c = jl_head_c(r->table, column, x, d->x);
    rate[SUM_VOLUME] = left * litres_per_mole(d->x, &r->at_20);
    rate[SUM_HEAT] = left * ((column->reflux + 1) * jl_table_at(r->table, x).latent_j_mol +
                             jl_liquid_heat_j_mol(d->x, head_c));
}

static jl_status add(jl_path *path, const jl_boildown *b, int k, const jl_column *column) {
    if (path->count == path->room) {
        size_t room = path->room == 0 ? 128 : 2 * path->room;
        node *nodes = realloc(path->nodes, room * sizeof *nodes);
        if (nodes == NULL) return JL_MEMORY;
        path->nodes = nodes;
        path->room = room;
    }
    node *n = &path->nodes[path->count++];
    jl_distillate near = b->near;
    n->s = b->begin + k * b->half;
    memcpy(n->value, b->state[k], sizeof n->value);
    memcpy(n->slope, b->rate[k], sizeof n->slope);
    jl_distil(column, n->value[OF_BOILER], &near);
    n->spout = near.x;
    return JL_OK;
}

static jl_status fill(jl_path *path, jl_boildown *b, const jl_column *column) {
    enum { ADVANCES_MOST = 5000 };
    jl_status status = add(path, b, 2, column);
    for (int i = 0; status == JL_OK && i < ADVANCES_MOST; i++) {
        if (path->nodes[path->count - 1].value[OF_BOILER] < X_LEAST) return JL_OK;
        status = jl_boildown_advance(b);
        if (status == JL_OK) status = add(path, b, 1, column);
        if (status == JL_OK) status = add(path, b, 2, column);
    }
    return status == JL_OK ? JL_NUMERIC : status;
}

jl_status jl_path_new(const jl_table *table, double stages, double reflux_share, double x_top,
                      jl_path **path) {
    if (!(stages >= 1 && stages <= JL_STAGES_MOST && reflux_share >= 0 && reflux_share < 1 &&
          x_top > X_LEAST && x_top < table->curve.end))
        return JL_RANGE;
    rates_with with = {.table = table};
    jl_isotherm_at(JL_STRENGTH_C, &with.at_20);
    jl_boildown b;
    const jl_boildown_setup setup = {
        .column = {&table->curve, stages, reflux_share / (1 - reflux_share)},
        .x = x_top,
        .tolerance = TOLERANCE,
        .sums = SUMS,
        .scales = {0.02, 4e4},
        .rates = rates,
        .with = &with,
    };
    jl_path *p = calloc(1, sizeof *p);
    if (p == NULL) return JL_MEMORY;
    p->table = table;
    jl_status status = jl_boildown_open(&setup, &b);
    if (status == JL_OK) status = fill(p, &b, &setup.column);
    jl_boildown_close(&b);
    if (status == JL_OK)
        *path = p;
    else
        jl_path_free(p);
    return status;
}

void jl_path_free(jl_path *path) {
    if (path == NULL) return;
    free(path->nodes);
    free(path);
}

double jl_path_end(const jl_path *path) {
    return path->nodes[path->count - 1].s;
}

/* The node at or before which a rising measure of the path reaches a value. */
typedef double measure(const node *n);

static double measure_s(const node *n) {
    return n->s;
}

static double measure_boiler(const node *n) {
    return -n->value[OF_BOILER];
}

static double measure_volume(const node *n) {
    return n->value[OF_VOLUME];
}

static double measure_spout(const node *n) {
    return -n->spout;
}

static size_t cell_of(const jl_path *path, measure *of, double value) {
    size_t low = 0, high = path->count - 1;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (of(&path->nodes[middle]) > value)
            high = middle;
        else
            low = middle;
    }
    return low;
}

/* Hermite's cubic; t from 0 to 1 within a cell of width h. */
static double cubic(double a, double b, double slope_a, double slope_b, double h, double t) {
    double u = 1 - t;
    return u * u * (1 + 2 * t) * a + t * t * (3 - 2 * t) * b +
           h * t * u * (u * slope_a - t * slope_b);
}

static double value_at(const jl_path *path, size_t cell, int which, double t) {
    const node *a = &path->nodes[cell], *b = a + 1;
    return cubic(a->value[which], b->value[which], a->slope[which], b->slope[which], b->s - a->s,
                 t);
}

/* The distillate is what the boiler loses: dx/ds = x - spout. */
static double spout_at(const jl_path *path, size_t cell, double t) {
    const node *a = &path->nodes[cell], *b = a + 1;
    const double step = 1e-4;
    double low = fmax(t - step, 0), high = fmin(t + step, 1);
    double slope = (value_at(path, cell, OF_BOILER, high) - value_at(path, cell, OF_BOILER, low)) /
                   ((high - low) * (b->s - a->s));
    return value_at(path, cell, OF_BOILER, t) - slope;
}

jl_place jl_path_at(const jl_path *path, double s) {
    size_t cell = cell_of(path, measure_s, s);
    const node *a = &path->nodes[cell], *b = a + 1;
    double t = fmin(fmax((s - a->s) / (b->s - a->s), 0), 1);
    double at = a->s + t * (b->s - a->s), left = exp(-at);
    double x = value_at(path, cell, OF_BOILER, t);
    double temp_c = jl_table_temp_c(path->table, x);
    double held_j = left * jl_liquid_heat_j_mol(x, temp_c);
    return (jl_place){.s = at,
                      .left = left,
                      .x = x,
                      .boiler_c = temp_c,
                      .out = value_at(path, cell, OF_OUT, t),
                      .volume_l = value_at(path, cell, OF_VOLUME, t),
                      .heat_j = value_at(path, cell, OF_HEAT, t) + held_j,
                      .spout = spout_at(path, cell, t)};
}

/* Within a cell a rising value is found by false position, where an end that stays has its weight
 * halved. */
static double place_in(const jl_path *path, size_t cell, measure *of, double value,
                       double (*at)(const jl_path *, size_t, double)) {
    enum { STEPS_MOST = 40 };
    const double narrow = 1e-12; /* of a cell */
    double low = 0, high = 1, t = 0;
    double below = of(&path->nodes[cell]) - value, above = of(&path->nodes[cell + 1]) - value;
    for (int i = 0; i < STEPS_MOST && above > below; i++) {
        double last = t;
        t = (low * above - high * below) / (above - below);
        double off = at(path, cell, t) - value;
        if (off == 0 || fabs(t - last) < narrow) break;
        if (off > 0) {
            if (high != 1 && last == high) below /= 2;
            high = t;
            above = off;
        } else {
            if (low != 0 && last == low) above /= 2;
            low = t;
            below = off;
        }
    }
    return t;
}

static jl_status find(const jl_path *path, measure *of, double value,
                      double (*at)(const jl_path *, size_t, double), double *s) {
    if (!(value >= of(&path->nodes[0]) && value <= of(&path->nodes[path->count - 1]))) return JL_NO;
    size_t cell = cell_of(path, of, value);
    const node *a = &path->nodes[cell];
    *s = a->s + place_in(path, cell, of, value, at) * (a[1].s - a->s);
    return JL_OK;
}

static double minus_boiler(const jl_path *path, size_t cell, double t) {
    return -value_at(path, cell, OF_BOILER, t);
}

static double volume_so_far(const jl_path *path, size_t cell, double t) {
    return value_at(path, cell, OF_VOLUME, t);
}

static double minus_spout(const jl_path *path, size_t cell, double t) {
    return -spout_at(path, cell, t);
}

jl_status jl_path_of_boiler(const jl_path *path, double x, double *s) {
    return find(path, measure_boiler, -x, minus_boiler, s);
}

jl_status jl_path_of_volume(const jl_path *path, double volume_l, double *s) {
    return find(path, measure_volume, volume_l, volume_so_far, s);
}

jl_status jl_path_of_spout(const jl_path *path, double spout, double *s) {
    return find(path, measure_spout, -spout, minus_spout, s);
}
