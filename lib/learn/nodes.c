/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/nodes.h"

#include "learn/learnt.h"
#include "learn/mixture.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Shares of a still of which nothing is known, and of one that is known, over three standard
 * deviations to each side. */
enum { SHARES_ANY = 15, SHARES_KNOWN = 7, SHARES_FEW = 5, SHARES_CLOSER = 7 };
static const double SHARE_ANY_END = 0.96, SHARE_SIDE = 3;

/* Of the weight of the best: less is none; before the shares are looked at more closely, and then. And
 * stages of which a learnt still has less weight do not matter. Common practice, no source. */
static const double WEIGHT_LEAST = 1e-5, WEIGHT_KEPT = 1e-3, STAGES_LEAST = 0.01;

/* What these steps of a path change is a tenth or less of the uncertainty of a reading. */
static const double STRIDE = 2, STRIDE_GLANCE = 3;

/* ---- Points ---- */

/* Everything but the share, when this is what it is in the run: the still's part of it has the
 * covariance that says by how much the rest goes with it. */
static void condition_on_share(const jl_learnt_stages *of, const jl_learning_run *run,
                               double variance, jl_node *n) {
    enum { LAST = JL_LEARNT_LN_EFFICIENCY };
    double off = n->share - of->mean[JL_LEARNT_SHARE];
    const double *with = of->covariance[JL_LEARNT_SHARE];
    double mean[JL_LEARNT_COUNT], covariance[JL_LEARNT_COUNT][JL_LEARNT_COUNT];
    for (int k = JL_LEARNT_SHARE + 1; k < JL_LEARNT_COUNT; k++) {
        double per_share = variance > 0 ? with[k] / variance : 0;
        mean[k] = of->mean[k] + per_share * off;
        for (int j = 0; j < JL_LEARNT_COUNT; j++)
            covariance[k][j] = of->covariance[k][j] - per_share * with[j];
    }
    n->prior = (jl_normal){{0}, {{0}}};
    for (int k = JL_LEARNT_SHARE + 1; k < LAST; k++) {
        n->prior.mean[JL_UNKNOWN_OF[k]] = mean[k];
        for (int j = JL_LEARNT_SHARE + 1; j < LAST; j++)
            n->prior.covariance[JL_UNKNOWN_OF[k]][JL_UNKNOWN_OF[j]] = covariance[k][j];
    }
    double own[JL_UNKNOWNS];
    jl_own_variance(run, 0, own);
    for (int k = 0; k < JL_UNKNOWNS; k++) n->prior.covariance[k][k] += own[k];
    n->prior.mean[JL_UNKNOWN_SHARE] = n->share;
    n->ln_heat = mean[LAST];
    n->heat_variance = fmax(covariance[LAST][LAST], 0) + JL_HEAT_SPREAD * JL_HEAT_SPREAD;
}

/* How likely a run's share is, with each spread of runs. */
static double density_of(const jl_learnt_still *still, double variance, double off) {
    double sum = 0, all = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++) {
        double spread = JL_LEARNT_SPREAD[k], weight = still->spread_weight[k];
        if (weight > 0) sum += weight * gsl_ran_gaussian_pdf(off, sqrt(variance + spread * spread));
        all += weight;
    }
    return all > 0 ? sum / all : gsl_ran_gaussian_pdf(off, sqrt(variance));
}

static double spread_variance(const jl_learnt_still *still) {
    double sum = 0, all = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++) {
        sum += still->spread_weight[k] * JL_LEARNT_SPREAD[k] * JL_LEARNT_SPREAD[k];
        all += still->spread_weight[k];
    }
    return all > 0 ? sum / all : 0;
}

/* The shares of some stages: from low on, so many steps. */
typedef struct range {
    double low, step;
    size_t count;
} range;

static double variance_of(const jl_learnt_still *still, const jl_learnt_stages *of) {
    return of->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE] + spread_variance(still);
}

static range shares_of(const jl_learnt_still *still, const jl_learnt_stages *of) {
    double mean = of->mean[JL_LEARNT_SHARE], side = SHARE_SIDE * sqrt(variance_of(still, of));
    if (of->stages <= 1) return (range){0, 0, 1};
    if (still->any_share) return (range){0, SHARE_ANY_END / (SHARES_ANY - 1), SHARES_ANY};
    if (side <= 0) return (range){mean, 0, 1};
    double low = fmin(fmax(mean - side, 0), JL_SHARE_END - 0.01);
    double high = fmax(fmin(mean + side, JL_SHARE_END), low + 0.01);
    return (range){low, (high - low) / (SHARES_KNOWN - 1), SHARES_KNOWN};
}

/* Of a share; of the only one 1. */
static double ln_density(const jl_learnt_still *still, const jl_learnt_stages *of, double share,
                         double step) {
    if (step == 0 || still->any_share) return 0;
    double off = share - of->mean[JL_LEARNT_SHARE];
    return log(density_of(still, of->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE], off));
}

static void set_node(const jl_learnt_still *still, const jl_learning_run *run,
                     const jl_learnt_stages *of, double share, double step, double ln_scale,
                     jl_node *n) {
    *n = (jl_node){
        .of = of, .stages = of->stages, .share = share, .step = step, .ln_scale = ln_scale};
    n->ln_prior = ln_scale + ln_density(still, of, share, step) + (step > 0 ? log(step) : 0);
    bool fixed = of->stages <= 1 || still->any_share;
    condition_on_share(of, run, fixed ? 0 : variance_of(still, of), n);
}

/* Weights of a range add to the stages' own. */
static size_t set_nodes(const jl_learnt_still *still, const jl_learning_run *run,
                        const jl_learnt_stages *of, double weight, jl_node *nodes) {
    double sum = 0;
    const range r = shares_of(still, of);
    for (size_t i = 0; i < r.count; i++)
        sum += exp(ln_density(still, of, r.low + (double)i * r.step, r.step)) *
               (r.step > 0 ? r.step : 1);
    for (size_t i = 0; i < r.count; i++)
        set_node(still, run, of, r.low + (double)i * r.step, r.step,
                 log(weight) - log(sum > 0 ? sum : 1), &nodes[i]);
    return r.count;
}

/* With little that runs back runs teach of many stages the same: one of them stands for all. */
static bool alike(const jl_learnt_stages *a, const jl_learnt_stages *b) {
    const double near = 0.1; /* of a standard deviation */
    if (a->stages <= 1 || b->stages <= 1) return false;
    for (int k = JL_LEARNT_SHARE; k <= JL_LEARNT_SHIFT; k++) {
        double u = sqrt(a->covariance[k][k]);
        if (!(fabs(a->mean[k] - b->mean[k]) <= near * u)) return false;
        if (!(fabs(sqrt(b->covariance[k][k]) - u) <= near * u)) return false;
    }
    return true;
}

static jl_status all_points(const jl_learnt_still *still, const jl_learning_run *run,
                            jl_points *points) {
    jl_node *all = calloc(still->count * SHARES_ANY, sizeof *all);
    if (all == NULL) return JL_MEMORY;
    *points = (jl_points){still, all, 0};
    for (size_t i = 0, next = 0; i < still->count; i = next) {
        double weight = 0;
        const jl_learnt_stages *of = &still->of[i];
        for (; next < still->count; next++) {
            if (next > i && (still->any_share || !alike(of, &still->of[next]))) break;
            weight += still->of[next].weight;
        }
        if (weight >= STAGES_LEAST)
            points->count += set_nodes(still, run, of, weight, all + points->count);
    }
    return JL_OK;
}

size_t jl_points_most(const jl_points *points) {
    return points->still->count * SHARES_ANY;
}

void jl_points_free(jl_points *points) {
    free(points->nodes);
    points->nodes = NULL;
    points->count = 0;
}

/* ---- A run, from them ---- */

jl_status jl_look_again(jl_look *look) {
    const jl_learning_run *run = look->run;
    double strongest_pct = run->charge_strength_pct + 7 * run->charge_strength_u_pct + 3;
    look->x_top = jl_mole_of_pct(fmin(strongest_pct, 96));
    jl_linear_close(&look->linear);
    return jl_linear_open(run, look->widths, &look->linear);
}

jl_status jl_look_open(const jl_learning_run *run, const jl_learning_widths *widths,
                       jl_look **look) {
    jl_look *l = calloc(1, sizeof *l);
    if (l == NULL) return JL_MEMORY;
    l->run = run;
    l->widths = widths;
    l->tracks = jl_tracks_new();
    jl_status status = l->tracks == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) status = jl_vapours_fill(run->pressure_kpa, &l->vapours);
    if (status == JL_OK) status = jl_look_again(l);
    if (status == JL_OK)
        *look = l;
    else
        jl_look_close(l);
    return status;
}

void jl_look_close(jl_look *look) {
    if (look == NULL) return;
    jl_linear_close(&look->linear);
    jl_tracks_free(look->tracks);
    free(look);
}

void jl_look_from(jl_look *look, const jl_node *node, const double unknowns[JL_UNKNOWNS]) {
    const jl_march_of of = {.stages = node->stages,
                            .share = node->share,
                            .x_top = look->x_top,
                            .heat = true,
                            .stride = STRIDE};
    double at[JL_UNKNOWNS];
    memcpy(at, unknowns, sizeof at);
    at[JL_UNKNOWN_SHARE] = node->share;
    at[JL_UNKNOWN_SHIFT] = fmin(fmax(at[JL_UNKNOWN_SHIFT], -JL_SHIFT_MOST), JL_SHIFT_MOST);
    jl_tracks_march(look->tracks, &look->vapours, &of, at[JL_UNKNOWN_SHIFT], false);
    jl_linearise(look->tracks, at, &look->linear);
    memcpy(look->at, at, sizeof at);
}

double jl_look_condition(jl_look *look, int noise, jl_node *node, jl_gram *gram) {
    jl_linear_gram(&look->linear, noise, gram);
    double ln = jl_condition(gram, &node->prior, &node->found[noise], NULL);
    return node->noise_weight[noise] = log(JL_NOISE_WEIGHT[noise]) + ln;
}

void jl_look_weigh(jl_look *look, jl_node *node) {
    jl_gram gram;
    for (int k = 0; k < JL_NOISES; k++) jl_look_condition(look, k, node, &gram);
    jl_node_settle(node);
}

void jl_node_settle(jl_node *node) {
    node->weighed = true;
    node->ln_evidence = node->ln_prior + jl_weigh(node->noise_weight, JL_NOISES);
    memset(node->mean, 0, sizeof node->mean);
    for (int i = 0; i < JL_NOISES; i++)
        for (int k = 0; k < JL_UNKNOWNS; k++)
            node->mean[k] += node->noise_weight[i] * node->found[i].mean[k];
}

/* ---- Those that are worth a look ---- */

/* Of a still of which nothing is known most points are far from any run. A glance at a few of its jars
 * tells: with the charge as said, or off by as much as charges that are wrong, and with the worst of
 * the jars left out, as one may be a slip. Generous, % vol: no point that could keep a weight may go. */
enum { GLANCE_JARS = 6, GLANCE_CHARGES = 5, GLANCE_LEAST = 3 };
static const double GLANCE_PCT = 2.5;
/* Of 2,000 simulated runs no point that kept a weight was further than 2.1. */
static const double GLANCE_FAR = 3;
static const double GLANCE_AT[GLANCE_CHARGES][2] = {
    {0, 0}, {0.1, 0}, {-0.1, 0}, {0, 0.1}, {0, -0.1}};

static double off_at(const jl_look *look, const jl_batch *batch, const jl_linear_row *row) {
    double end_l = look->linear.end_l[row->jar];
    jl_waypoint from = jl_batch_at(batch, end_l - look->run->jars[row->jar].volume_l);
    jl_waypoint to = jl_batch_at(batch, end_l);
    double off = (row->read - jl_between_pct(&from, &to)) / GLANCE_PCT;
    return off * off;
}

static double off_of(const jl_look *look, const jl_batch *batch) {
    double sum = 0, worst = 0;
    size_t strengths = look->linear.strengths;
    size_t jars = strengths < GLANCE_JARS ? strengths : GLANCE_JARS;
    for (size_t i = 0; i < jars; i++) {
        double off = off_at(look, batch, &look->linear.rows[i * (strengths - 1) / (jars - 1)]);
        sum += off;
        worst = fmax(worst, off);
    }
    return sum - worst;
}

/* table: of the shift that the node begins with. */
static double glance(jl_look *look, const jl_node *node, const jl_table *table) {
    const jl_march_of of = {.stages = node->stages,
                            .share = node->share,
                            .x_top = look->x_top,
                            .stride = STRIDE_GLANCE};
    const jl_learning_run *run = look->run;
    jl_march *march = &look->tracks->of_share; /* a look about a node leaves it alone */
    double least = INFINITY;
    jl_march_through(&look->vapours, table, &of, march);
    for (int i = 0; i < GLANCE_CHARGES; i++) {
        const jl_batch batch = jl_batch_on(march, run->charge_l * (1 + GLANCE_AT[i][0]),
                                           run->charge_strength_pct * (1 + GLANCE_AT[i][1]));
        least = fmin(least, off_of(look, &batch));
    }
    return least;
}

static void sift(jl_look *look, jl_points *points) {
    size_t kept = 0;
    double least = INFINITY, shift = NAN;
    jl_node *nodes = points->nodes;
    jl_table table;
    if (look->linear.strengths < GLANCE_LEAST) return;
    for (size_t i = 0; i < points->count; i++) {
        if (nodes[i].prior.mean[JL_UNKNOWN_SHIFT] != shift)
            jl_vapours_shifted(&look->vapours, nodes[i].prior.mean[JL_UNKNOWN_SHIFT], &table);
        shift = nodes[i].prior.mean[JL_UNKNOWN_SHIFT];
        nodes[i].glance = glance(look, &nodes[i], &table);
        least = fmin(least, nodes[i].glance);
    }
    for (size_t i = 0; i < points->count; i++)
        if (nodes[i].glance <= least + GLANCE_FAR) nodes[kept++] = nodes[i];
    points->count = kept;
}

jl_status jl_points_of(const jl_learnt_still *still, jl_look *look, jl_points *points) {
    jl_status status = all_points(still, look->run, points);
    if (status == JL_OK && still->any_share) sift(look, points);
    return status;
}

/* ---- Those that keep a weight ---- */

const jl_node *jl_points_weigh(jl_look *look, jl_points *points) {
    const jl_node *best = NULL;
    for (size_t i = 0; i < points->count; i++) {
        jl_node *n = &points->nodes[i];
        if (!n->weighed) {
            jl_look_from(look, n, n->prior.mean);
            jl_look_weigh(look, n);
        }
        if (n->ln_evidence > (best != NULL ? best->ln_evidence : -INFINITY)) best = n;
    }
    return best;
}

/* What was found between two shares, in straight lines. */
static void mean_at(const jl_node *nodes, size_t count, double share, double mean[JL_UNKNOWNS]) {
    size_t i = 0;
    while (i + 2 < count && nodes[i + 1].share < share) i++;
    const jl_node *a = &nodes[i], *b = &nodes[i + 1 < count ? i + 1 : i];
    double part = b->share > a->share ? (share - a->share) / (b->share - a->share) : 0;
    part = fmin(fmax(part, 0), 1);
    for (int k = 0; k < JL_UNKNOWNS; k++) mean[k] = a->mean[k] + part * (b->mean[k] - a->mean[k]);
}

/* A run that knows its share better than the steps need more of them where its weight is. */
typedef struct closer_shares {
    const jl_node *all;              /* the points of one number of stages */
    size_t count, first, last, best; /* of them; from first to last they have a weight */
    bool closely;
    double low, step; /* if they are closer than before */
    size_t shares;
} closer_shares;

static double share_of(const closer_shares *g, size_t i) {
    return g->closely ? g->low + (double)i * g->step : g->all[g->first + i].share;
}

static void choose_shares(closer_shares *g) {
    const jl_node *first = &g->all[g->first];
    g->step = first->step;
    g->shares = g->last - g->first + 1;
    g->closely = g->step > 0 && g->shares <= SHARES_FEW;
    if (!g->closely) return;
    g->low = fmax(first->share - g->step, 0);
    double high = fmin(g->all[g->last].share + g->step, JL_SHARE_END);
    g->shares = SHARES_CLOSER;
    g->step = (high - g->low) / (SHARES_CLOSER - 1);
}

typedef struct walk {
    jl_look *look;
    jl_points points;
    double least; /* ln of the evidence below which one has no weight */
    jl_at_point *at;
    void *with;
} walk;

/* Looks at a share; whether the next one, away from the best, may have any weight. */
static bool step_on(walk *w, const closer_shares *g, size_t i, double *before) {
    jl_node *n = &w->points.nodes[w->points.count++];
    set_node(w->points.still, w->look->run, g->all->of, share_of(g, i), g->step, g->all->ln_scale,
             n);
    mean_at(g->all, g->count, n->share, n->mean);
    jl_look_from(w->look, n, n->mean);
    jl_look_weigh(w->look, n);
    w->at(w->look, n, w->with);
    bool on = n->ln_evidence >= w->least || n->ln_evidence > *before;
    *before = n->ln_evidence;
    return on;
}

/* From the share that had most weight so far to both sides. */
static void walk_through(walk *w, const closer_shares *g) {
    size_t start = 0;
    double best = g->all[g->best].share, up = -INFINITY, down;
    for (size_t i = 1; i < g->shares; i++)
        if (fabs(share_of(g, i) - best) < fabs(share_of(g, start) - best)) start = i;
    bool on = step_on(w, g, start, &up);
    down = up;
    for (size_t i = start + 1; on && i < g->shares; i++) on = step_on(w, g, i, &up);
    on = true;
    for (size_t i = start; on && i-- > 0;) on = step_on(w, g, i, &down);
}

jl_status jl_points_closer(jl_look *look, const jl_node *best, jl_points *points, jl_at_point *at,
                           void *with) {
    walk w = {look, {points->still, NULL, 0}, best->ln_evidence + log(WEIGHT_KEPT), at, with};
    double least = best->ln_evidence + log(WEIGHT_LEAST);
    const jl_node *all = points->nodes;
    w.points.nodes = calloc(jl_points_most(points), sizeof *all);
    if (w.points.nodes == NULL) return JL_MEMORY;
    for (size_t i = 0, next = 0; i < points->count; i = next) {
        closer_shares g = {.all = &all[i], .first = SIZE_MAX};
        for (; next < points->count && all[next].of == all[i].of; next++, g.count++) {
            if (!(all[next].ln_evidence >= least)) continue;
            if (g.first == SIZE_MAX) g.first = g.best = g.count;
            if (all[next].ln_evidence > g.all[g.best].ln_evidence) g.best = g.count;
            g.last = g.count;
        }
        if (g.first == SIZE_MAX) continue;
        choose_shares(&g);
        walk_through(&w, &g);
    }
    jl_points_free(points);
    *points = w.points;
    return JL_OK;
}
