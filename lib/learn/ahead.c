/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/ahead.h"

#include "learn/learnt.h"
#include "learn/mixture.h"
#include "learn/pace.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

/* Figures of a charge on a path; the next jars' strengths behind them. */
enum {
    HEARTS_L,
    HEARTS_PURE_L,
    STOP_L,
    STOP_PURE_L,
    LN_PAST_J, /* heat while the clock tells the pace */
    HEARTS_J,  /* from the last moment on */
    STOP_J,
    NEXT
};

/* What is asked, in the order of the parts. Hours come from the heats. */
enum { OF_HEARTS_S = NEXT, OF_STOP_S, OF_CHARGE_L, OF_CHARGE_PCT, OF_SHARE, OF_NEXT };

typedef struct outlook {
    const jl_learning_run *run;
    const jl_ahead_plan *plan;
    const jl_linear *linear;
    double so_far_l;
    double hearts_x, stop_x; /* mole fractions at the spout */
    jl_pace pace;            /* of the clock so far */
    size_t figure_count, part_count, parts_most;
    double *values, *other;
    double (*slopes)[JL_UNKNOWNS];
    jl_part *parts; /* parts_most for each of what is asked */
} outlook;

/* ---- On one path ---- */

static double to_come(const jl_batch *batch, const jl_waypoint *now, double spout, double *pure_l) {
    double end_l = fmax(jl_batch_spout_l(batch, spout), now->volume_l);
    jl_waypoint end = jl_batch_at(batch, end_l);
    *pure_l = jl_between_pure_l(now, &end);
    return end_l - now->volume_l;
}

static void figures_of(const jl_batch *batch, const void *with, double *figures) {
    const outlook *o = with;
    jl_waypoint now = jl_batch_at(batch, o->so_far_l), from = now;
    figures[HEARTS_L] = to_come(batch, &now, o->hearts_x, &figures[HEARTS_PURE_L]);
    figures[STOP_L] = to_come(batch, &now, o->stop_x, &figures[STOP_PURE_L]);
    double last_l = jl_moment_l(o->linear, o->pace.last);
    double hearts_l = o->so_far_l + figures[HEARTS_L], stop_l = o->so_far_l + figures[STOP_L];
    figures[LN_PAST_J] = log(jl_pace_heat_j(o->linear, batch, &o->pace));
    figures[HEARTS_J] = jl_heat_between_j(o->linear, batch, last_l, hearts_l);
    figures[STOP_J] = jl_heat_between_j(o->linear, batch, last_l, stop_l);
    for (size_t i = 0; i < o->plan->jar_count; i++) {
        jl_waypoint to = jl_batch_at(batch, o->so_far_l + o->plan->jar_l * (double)(i + 1));
        figures[NEXT + i] = jl_between_pct(&from, &to);
        from = to;
    }
}

/* ---- Their laws ---- */

static jl_part *part_of(const outlook *o, size_t asked) {
    return &o->parts[asked * o->parts_most + o->part_count];
}

/* A sum of unknowns as a normal. */
static jl_part along(const jl_normal *found, const double *at, double value, const double *slope) {
    double variance = 0;
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        value += slope[k] * (found->mean[k] - at[k]);
        for (int j = 0; j < JL_UNKNOWNS; j++)
            variance += slope[k] * found->covariance[k][j] * slope[j];
    }
    return (jl_part){0, value, sqrt(fmax(variance, 0))};
}

/* Net heat as what is known of it before, and as the moments so far show it; ln of W. */
typedef struct net_heat {
    double ln_w, variance;
    double ln_evidence; /* of the moments, for what was known before */
    double clock_part;  /* of the clock's in ln_w: 1 where nothing was known before */
} net_heat;

/* A clock may be wrong altogether: the heat was off for a while, or a moment is another's. */
static double agreement(double off, double variance) {
    const double wrong = 0.02, wrong_u = 1;
    return log((1 - wrong) * gsl_ran_gaussian_pdf(off, sqrt(variance)) +
               wrong * gsl_ran_gaussian_pdf(off, hypot(wrong_u, sqrt(variance))));
}

static net_heat net_of(const outlook *o, const jl_node *n, double time_s) {
    const jl_learning_run *run = o->run;
    net_heat h = {0, 0, 0, 0};
    double precision = 0, clock = 0, shown = 0;
    double net_w = isfinite(run->power_w) ? run->power_w * exp(n->ln_heat) - run->loss_w : 0;
    if (net_w > 0.01 * run->power_w) {
        double per = run->power_w * exp(n->ln_heat) / net_w;
        double walked = JL_HEAT_WALK * JL_HEAT_WALK * (double)run->count;
        precision = 1 / (per * per * n->heat_variance + walked);
        h.ln_w = precision * log(net_w);
    }
    if (o->pace.count > 0) {
        double walked = JL_HEAT_WALK * JL_HEAT_WALK * (double)o->pace.jars / 3;
        clock = 1 / (jl_pace_variance(&o->pace, time_s) + walked);
        shown = o->values[LN_PAST_J] - log(o->pace.timed_s);
    }
    if (precision > 0 && clock > 0)
        h.ln_evidence = agreement(shown - h.ln_w / precision, 1 / precision + 1 / clock);
    h.ln_w += clock * shown;
    h.ln_w /= precision + clock;
    h.variance = 1 / (precision + clock);
    h.clock_part = clock / (precision + clock);
    return h;
}

/* An error of the path is in the heat behind and in the heat ahead, and mostly cancels. */
static jl_part seconds_of(const outlook *o, const jl_normal *found, const double *at,
                          const net_heat *net, int heat, double volume_l, double time_s) {
    double slope[JL_UNKNOWNS], net_w = exp(net->ln_w), s = o->values[heat] / net_w;
    for (int k = 0; k < JL_UNKNOWNS; k++)
        slope[k] = o->slopes[heat][k] / net_w - s * net->clock_part * o->slopes[LN_PAST_J][k];
    jl_part part = along(found, at, s, slope);
    double jars = o->run->count > 0 ? volume_l / o->plan->jar_l : 0; /* else it is in the spread */
    double walk = JL_HEAT_WALK * JL_HEAT_WALK * jars / 3;
    part.standard = hypot(part.standard, s * sqrt(net->variance + walk));
    if (o->pace.last < o->run->count)
        part.standard = hypot(part.standard, time_s); /* of its begin */
    return part;
}

/* ln_weight: until all are there to be weighed. */
static void put(outlook *o, size_t asked, double ln_weight, jl_part part) {
    part.weight = ln_weight;
    *part_of(o, asked) = part;
}

static void add_parts(outlook *o, const jl_node *n, const double *at, double time_s) {
    double charge[JL_UNKNOWNS], scale[JL_UNKNOWNS] = {[JL_UNKNOWN_SCALE] = -o->run->charge_l};
    double share[JL_UNKNOWNS] = {0}, low_pct[JL_UNKNOWNS];
    net_heat net = net_of(o, n, time_s);
    jl_charge_read_high(o->run, charge);
    double charge_pct = o->run->charge_strength_pct;
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        low_pct[k] = -charge[k];
        charge_pct -= charge[k] * at[k];
    }
    for (int i = 0; i < JL_NOISES; i++, o->part_count++) {
        const jl_normal *found = &n->found[i];
        double weight = n->ln_evidence + net.ln_evidence + log(n->noise_weight[i]);
        for (int k = 0; k < LN_PAST_J; k++)
            put(o, (size_t)k, weight, along(found, at, o->values[k], o->slopes[k]));
        put(o, OF_HEARTS_S, weight,
            seconds_of(o, found, at, &net, HEARTS_J, o->values[HEARTS_L], time_s));
        put(o, OF_STOP_S, weight,
            seconds_of(o, found, at, &net, STOP_J, o->values[STOP_L], time_s));
        put(o, OF_CHARGE_L, weight,
            along(found, at, o->run->charge_l * (1 - at[JL_UNKNOWN_SCALE]), scale));
        put(o, OF_CHARGE_PCT, weight, along(found, at, charge_pct, low_pct));
        put(o, OF_SHARE, weight, along(found, at, n->share, share));
        for (size_t k = 0; k < o->plan->jar_count; k++)
            put(o, OF_NEXT + k, weight, along(found, at, o->values[NEXT + k], o->slopes[NEXT + k]));
    }
}

/* ---- The whole ---- */

static bool plan_ok(const jl_ahead_plan *p) {
    return p->hearts_end_pct >= 0.1 && p->hearts_end_pct <= 100 && p->stop_pct >= 0.1 &&
           p->stop_pct <= 100 && p->jar_l > 0 && p->jar_l <= 1e6 && p->jar_count <= 1000;
}

jl_ahead_plan jl_ahead_to(const jl_spout_end *hearts_end, const jl_spout_end *stop) {
    return (jl_ahead_plan){.hearts_end_pct = fmin(fmax(hearts_end->strength_pct, 0.1), 100),
                           .stop_pct = fmin(fmax(stop->strength_pct, 0.1), 100)};
}

jl_status jl_ahead_check(const jl_learning_run *run, const jl_learnt_still *still,
                         const jl_learning_widths *widths, const jl_ahead_plan *plan) {
    if (!plan_ok(plan) || !jl_learning_widths_ok(widths) || !jl_learnt_ok(still)) return JL_RANGE;
    return jl_learning_run_check(run, 0);
}

static jl_status open_outlook(outlook *o, size_t nodes) {
    size_t jars = o->plan->jar_count;
    for (size_t k = 0; k < o->run->count; k++) o->so_far_l += o->run->jars[k].volume_l;
    o->hearts_x = jl_mole_of_pct(o->plan->hearts_end_pct);
    o->stop_x = jl_mole_of_pct(o->plan->stop_pct);
    o->figure_count = NEXT + jars;
    o->parts_most = nodes * JL_NOISES;
    o->values = calloc(o->figure_count, sizeof *o->values);
    o->other = calloc(o->figure_count, sizeof *o->other);
    o->slopes = calloc(o->figure_count, sizeof *o->slopes);
    o->parts = calloc((OF_NEXT + jars) * o->parts_most, sizeof *o->parts);
    bool good = o->values != NULL && o->other != NULL && o->slopes != NULL && o->parts != NULL;
    return jl_pace_open(o->run, &o->pace) == JL_OK && good ? JL_OK : JL_MEMORY;
}

static void close_outlook(outlook *o) {
    free(o->values);
    free(o->other);
    free(o->slopes);
    free(o->parts);
    jl_pace_close(&o->pace);
}

/* What weighs next to nothing is left out of all that is asked. Common practice, no source: in the
 * tests' runs, of up to 180 parts, all that is left out has a hundred-thousandth of the chance in
 * all, where a bound of an interval leaves 25 thousandths on its side. */
static jl_status weigh_parts(outlook *o) {
    const double nothing = 1e-6;
    size_t kept = 0;
    double *ln_weights = calloc(o->part_count, sizeof *ln_weights);
    if (ln_weights == NULL) return JL_MEMORY;
    for (size_t i = 0; i < o->part_count; i++) ln_weights[i] = o->parts[i].weight;
    jl_weigh(ln_weights, o->part_count);
    for (size_t i = 0; i < o->part_count; i++) {
        if (!(ln_weights[i] > nothing)) continue;
        for (size_t asked = 0; asked < OF_NEXT + o->plan->jar_count; asked++) {
            jl_part *parts = &o->parts[asked * o->parts_most];
            parts[kept] = (jl_part){ln_weights[i], parts[i].mean, parts[i].standard};
        }
        kept++;
    }
    free(ln_weights);
    o->part_count = kept;
    return kept > 0 ? JL_OK : JL_NUMERIC;
}

static void look_ahead(jl_look *look, jl_node *n, void *with) {
    outlook *o = with;
    const jl_figures_of figures = {figures_of, o, o->figure_count};
    jl_differentiate(look->tracks, o->run, look->at, &figures, o->values, o->slopes, o->other);
    add_parts(o, n, look->at, look->widths->time_s);
}

/* None is below nothing. */
static jl_estimate estimate_of(const outlook *o, size_t asked) {
    jl_mixed m = jl_mix(&o->parts[asked * o->parts_most], o->part_count);
    return (jl_estimate){fmax(m.mean, 0), fmax(m.low, 0), fmax(m.high, 0)};
}

/* The weight of the points of a pot. */
static double pot_of(const jl_points *points) {
    double most = -INFINITY, pot = 0, all = 0;
    for (size_t i = 0; i < points->count; i++) most = fmax(most, points->nodes[i].ln_evidence);
    for (size_t i = 0; i < points->count; i++) {
        double weight = exp(points->nodes[i].ln_evidence - most);
        all += weight;
        if (points->nodes[i].stages <= 1) pot += weight;
    }
    return pot / all;
}

static void keep(const outlook *o, const jl_points *points, jl_estimate *next_pct,
                 jl_ahead *ahead) {
    const double none = 1e-9; /* less than a drop is past */
    bool clock = o->pace.count > 0 || isfinite(o->run->power_w);
    const jl_estimate no = {NAN, NAN, NAN};
    *ahead = (jl_ahead){
        .hearts_past =
            jl_mixture_below(&o->parts[HEARTS_L * o->parts_most], o->part_count, none) > 0.5,
        .stop_past = jl_mixture_below(&o->parts[STOP_L * o->parts_most], o->part_count, none) > 0.5,
        .hearts_l = estimate_of(o, HEARTS_L),
        .hearts_pure_l = estimate_of(o, HEARTS_PURE_L),
        .stop_l = estimate_of(o, STOP_L),
        .stop_pure_l = estimate_of(o, STOP_PURE_L),
        .hearts_s = clock ? estimate_of(o, OF_HEARTS_S) : no,
        .stop_s = clock ? estimate_of(o, OF_STOP_S) : no,
        .from_s = o->pace.last < o->run->count ? o->run->jars[o->pace.last].full_s : NAN,
        .charge_l = estimate_of(o, OF_CHARGE_L),
        .charge_strength_pct = estimate_of(o, OF_CHARGE_PCT),
        .share = estimate_of(o, OF_SHARE),
        .pot_weight = pot_of(points),
    };
    for (size_t k = 0; k < o->plan->jar_count; k++) next_pct[k] = estimate_of(o, OF_NEXT + k);
}

jl_status jl_look_ahead(jl_look *look, const jl_ahead_plan *plan, jl_points *points,
                        jl_estimate *next_pct, jl_ahead *ahead) {
    outlook o = {.run = look->run, .plan = plan, .linear = &look->linear};
    const jl_node *best = jl_points_weigh(look, points);
    if (best == NULL) return JL_NUMERIC;
    jl_look_from(look, best, best->mean);
    const jl_batch batch = jl_run_batch(&look->tracks->base, o.run, look->at);
    jl_status status = open_outlook(&o, jl_points_most(points));
    if (status == JL_OK) jl_pace_find(o.linear, &batch, look->widths->time_s, &o.pace);
    if (status == JL_OK) status = jl_points_closer(look, best, points, look_ahead, &o);
    if (status == JL_OK) status = weigh_parts(&o);
    if (status == JL_OK) keep(&o, points, next_pct, ahead);
    close_outlook(&o);
    return status;
}

jl_status jl_run_ahead(const jl_learning_run *run, const jl_learnt_still *still,
                       const jl_learning_widths *widths, const jl_ahead_plan *plan,
                       jl_estimate *next_pct, jl_ahead *ahead) {
    jl_look *look = NULL;
    jl_points points = {still, NULL, 0};
    jl_status status = jl_ahead_check(run, still, widths, plan);
    if (status == JL_OK) status = jl_look_open(run, widths, &look);
    if (status == JL_OK) status = jl_points_of(still, look, &points);
    if (status == JL_OK) status = jl_look_ahead(look, plan, &points, next_pct, ahead);
    jl_points_free(&points);
    jl_look_close(look);
    return status;
}
