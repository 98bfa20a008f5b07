/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/nodes.h"

#include "learn/learnt.h"
#include "learn/mixture.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Shares of a still of which nothing is known, and of one that is known, over three standard
 * deviations to each side. */
enum { SHARES_ANY = 15, SHARES_KNOWN = 11 };
static const double SHARE_ANY_END = 0.96, SHARE_SIDE = 3;

/* Of the weight of the best: less is none. */
static const double WEIGHT_LEAST = 1e-5;

/* ---- Points ---- */

/* Everything but the share, when this is what it is in the run: the still's part of it has the
 * covariance that says by how much the rest goes with it. */
static void condition_on_share(const jl_learnt_stages *of, const jl_learning_run *run,
                               double variance, jl_node *n) {
    enum { LAST = JL_LEARNT_LN_EFFICIENCY };
    double off = n->share - of->mean[JL_LEARNT_SHARE];
    const double *with = of->covariance[JL_LEARNT_SHARE];
    double mean[JL_LEARNT_COUNT], covariance[JL_LEARNT_COUNT][JL_LEARNT_COUNT];
    for (int k = 0; k < JL_LEARNT_COUNT; k++) {
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

/* Shares for given stages, with weights that add to 1. */
static size_t shares_of(const jl_learnt_still *still, const jl_learnt_stages *of, double *shares,
                        double *weights) {
    double known = of->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE], sum = 0;
    double mean = of->mean[JL_LEARNT_SHARE], variance = known + spread_variance(still);
    bool any = still->any_share;
    size_t count = any ? SHARES_ANY : SHARES_KNOWN;
    if (of->stages <= 1 || (!any && variance <= 0)) {
        shares[0] = of->stages <= 1 ? 0 : mean;
        weights[0] = 1;
        return 1;
    }
    double low = any ? 0 : fmax(mean - SHARE_SIDE * sqrt(variance), 0);
    double high = any ? SHARE_ANY_END : fmin(mean + SHARE_SIDE * sqrt(variance), JL_SHARE_END);
    low = fmin(low, JL_SHARE_END - 0.01);
    high = fmax(high, low + 0.01);
    for (size_t i = 0; i < count; i++) {
        shares[i] = low + (high - low) * (double)i / (double)(count - 1);
        weights[i] = any ? 1 : density_of(still, known, shares[i] - mean);
        sum += weights[i];
    }
    for (size_t i = 0; i < count; i++) weights[i] = sum > 0 ? weights[i] / sum : 1 / (double)count;
    return count;
}

jl_status jl_nodes_of(const jl_learnt_still *still, const jl_learning_run *run, jl_node **nodes,
                      size_t *count) {
    jl_node *all = calloc(still->count * SHARES_ANY, sizeof *all);
    if (all == NULL) return JL_MEMORY;
    *count = 0;
    for (size_t i = 0; i < still->count; i++) {
        double shares[SHARES_ANY], weights[SHARES_ANY];
        const jl_learnt_stages *of = &still->of[i];
        size_t points = shares_of(still, of, shares, weights);
        double variance =
            of->stages <= 1 || still->any_share
                ? 0
                : of->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE] + spread_variance(still);
        for (size_t k = 0; k < points; k++) {
            jl_node *n = &all[(*count)++];
            n->stages = of->stages;
            n->share = shares[k];
            n->ln_prior = log(of->weight) + log(weights[k]);
            condition_on_share(of, run, variance, n);
        }
    }
    *nodes = all;
    return JL_OK;
}

/* ---- A run, from them ---- */

jl_status jl_look_open(const jl_learning_run *run, const jl_learning_widths *widths,
                       jl_look **look) {
    jl_look *l = calloc(1, sizeof *l);
    if (l == NULL) return JL_MEMORY;
    l->run = run;
    l->tracks = jl_tracks_new();
    jl_status status = l->tracks == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) status = jl_vapours_fill(run->pressure_kpa, &l->vapours);
    if (status == JL_OK) status = jl_linear_open(run, widths, &l->linear);
    double strongest_pct = run->charge_strength_pct + 7 * run->charge_strength_u_pct + 3;
    l->x_top = jl_mole_of_pct(fmin(strongest_pct, 96));
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
    const jl_march_of of = {node->stages, node->share, look->x_top, true};
    double at[JL_UNKNOWNS];
    memcpy(at, unknowns, sizeof at);
    at[JL_UNKNOWN_SHARE] = node->share;
    at[JL_UNKNOWN_SHIFT] = fmin(fmax(at[JL_UNKNOWN_SHIFT], -JL_SHIFT_MOST), JL_SHIFT_MOST);
    jl_tracks_march(look->tracks, &look->vapours, &of, at[JL_UNKNOWN_SHIFT], false);
    jl_linearise(look->tracks, at, &look->linear);
    memcpy(look->at, at, sizeof at);
}

void jl_look_weigh(jl_look *look, jl_node *node) {
    for (int k = 0; k < JL_NOISES; k++) {
        jl_gram gram;
        jl_linear_gram(&look->linear, k, &gram);
        node->noise_weight[k] =
            log(JL_NOISE_WEIGHT[k]) + jl_condition(&gram, &node->prior, &node->found[k], NULL);
    }
    node->ln_evidence = node->ln_prior + jl_weigh(node->noise_weight, JL_NOISES);
    memset(node->mean, 0, sizeof node->mean);
    for (int i = 0; i < JL_NOISES; i++)
        for (int k = 0; k < JL_UNKNOWNS; k++)
            node->mean[k] += node->noise_weight[i] * node->found[i].mean[k];
}

static bool weighs(const jl_node *node, double most) {
    return node->ln_evidence >= most + log(WEIGHT_LEAST);
}

static double most_of(const jl_node *nodes, size_t count) {
    double most = -INFINITY;
    for (size_t i = 0; i < count; i++) most = fmax(most, nodes[i].ln_evidence);
    return most;
}

void jl_nodes_weigh(jl_look *look, jl_node *nodes, size_t *count) {
    size_t kept = 0;
    for (size_t i = 0; i < *count; i++) {
        jl_look_from(look, &nodes[i], nodes[i].prior.mean);
        jl_look_weigh(look, &nodes[i]);
    }
    double most = most_of(nodes, *count);
    for (size_t i = 0; i < *count; i++)
        if (weighs(&nodes[i], most)) nodes[kept++] = nodes[i];
    *count = kept;
}
