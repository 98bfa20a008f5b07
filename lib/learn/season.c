/* A still learnt from its runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * For each number of stages the runs are made linear about their best point, by a few steps of Gauss
 * and Newton. On the last of these lines every spread of the share from run to run, every width of
 * what the vessels may be off by and every wobble of the hand is small linear algebra, and so is the
 * evidence for each. What is learnt is the mixture of them all. */
#include "learn/learnt.h"
#include "learn/mixture.h"
#include "learn/pace.h"
#include "text/quantity.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { JARS_LEAST = 3, STARTS = 7, STEPS_MOST = 6, SCALES = 2, SEARCH_RUNS = 2, ROUNDS_MOST = 8 };

/* Beside stages of more weight than this the next quarters are tried too. */
static const double REFINE_FROM = 0.1, QUARTER = 0.25;
/* Less weight than this is none. */
static const double WEIGHT_LEAST = 1e-4;

/* Nothing is known of the share: so wide a normal is flat, and its evidence is set right after. */
static const double SHARE_MEAN = 0.5, SHARE_U = 3;
/* Spread of runs with which the best point is sought. */
static const double SPREAD_SEARCH = 0.025;
/* A charge may be off by far more than its vessel's limit: lees, dead volume, a wrong mark. */
static const double SCALE_WIDE = 0.035, SCALE_WEIGHT[SCALES] = {0.8, 0.2}, SCALE_SEARCH = 0.016;

/* A chance below this, shared among the runs, is no chance. */
static const double NO_CHANCE = 1e-4;

/* How a run's heat depends on its unknowns. */
typedef struct heat_row {
    bool has;
    double at; /* ln of the efficiency that its clock shows, at the point */
    double slope[JL_UNKNOWNS];
    double variance; /* of the clock and the heating */
} heat_row;

/* One number of stages. */
typedef struct node {
    double stages;
    double still[JL_UNKNOWNS];  /* the point about which runs are linear: the still's part */
    double (*own)[JL_UNKNOWNS]; /* and each run's own, beside it */
    jl_gram (*grams)[JL_NOISES];
    heat_row *heats;
    double ln_evidence;
    jl_normal normal; /* of the still's unknowns */
    double spread_weight[JL_LEARNT_SPREADS];
    int spread, noise; /* of most weight */
} node;

typedef struct season {
    const jl_learning_run *runs;
    size_t count;
    const jl_learning_widths *widths;
    const jl_learning_told *told;
    jl_progress *progress;
    void *progress_with;
    double x_top;
    jl_linear *linear;
    jl_pace *paces;
    jl_vapours *vapours; /* one for each pressure */
    size_t *vapours_of;
    double *weight; /* of each run */
    double *times;  /* by which each is farther off than chance */
    jl_tracks *tracks;
    size_t node_count;
    node nodes[JL_LEARNT_STAGES_MOST];
} season;

/* ---- Priors ---- */

static double scale_of(const season *s, int scale) {
    return scale == 0 ? s->widths->scale : fmax(SCALE_WIDE, s->widths->scale);
}

static jl_normal still_prior(const season *s, double stages, double scale_u) {
    const jl_learning_widths *w = s->widths;
    jl_normal prior = {{0}, {{0}}};
    const double width[JL_UNKNOWNS] = {
        [JL_UNKNOWN_SHARE] = stages > 1 && isnan(s->told->share) ? SHARE_U : 0,
        [JL_UNKNOWN_SHIFT] = w->shift,
        [JL_UNKNOWN_SCALE] = scale_u,
        [JL_UNKNOWN_ALCOHOLOMETER] = w->alcoholometer_pct,
        [JL_UNKNOWN_THERMOMETER] = w->thermometer_c,
        [JL_UNKNOWN_BOILER] = w->boiler_c,
        [JL_UNKNOWN_HEAD] = w->head_c,
    };
    for (int k = 0; k < JL_UNKNOWNS; k++) prior.covariance[k][k] = width[k] * width[k];
    if (stages > 1)
        prior.mean[JL_UNKNOWN_SHARE] = isnan(s->told->share) ? SHARE_MEAN : s->told->share;
    return prior;
}

static void own_variance(const jl_learning_run *run, double stages, double spread,
                         double variance[JL_UNKNOWNS]) {
    jl_own_variance(run, stages > 1 ? spread : 0, variance);
}

/* ---- The best point for given stages ---- */

static const jl_vapours *vapours_of(const season *s, size_t run) {
    return &s->vapours[s->vapours_of[run]];
}

/* The still's and the run's own together, kept to where paths can be marched. */
static void unknowns_of(const node *n, size_t run, double unknowns[JL_UNKNOWNS]) {
    for (int k = 0; k < JL_UNKNOWNS; k++) unknowns[k] = n->still[k] + n->own[run][k];
    double *share = &unknowns[JL_UNKNOWN_SHARE], *shift = &unknowns[JL_UNKNOWN_SHIFT];
    *share = fmin(fmax(*share, JL_SHARE_LEAST), JL_SHARE_MOST - 0.005);
    *shift = fmin(fmax(*shift, -JL_SHIFT_MOST), JL_SHIFT_MOST);
}

static void march_run(season *s, const node *n, size_t run, double unknowns[JL_UNKNOWNS],
                      bool by_share) {
    unknowns_of(n, run, unknowns);
    const jl_march_of of = {n->stages, unknowns[JL_UNKNOWN_SHARE], s->x_top, true};
    jl_tracks_march(s->tracks, vapours_of(s, run), &of, unknowns[JL_UNKNOWN_SHIFT], by_share);
    jl_linearise(s->tracks, unknowns, &s->linear[run]);
}

/* ---- Heat ---- */

typedef struct heat_of {
    const jl_linear *linear;
    const jl_pace *pace;
} heat_of;

static void ln_efficiency(const jl_batch *batch, const void *with, double *figure) {
    const heat_of *h = with;
    const jl_learning_run *run = h->linear->run;
    double net_w = jl_pace_heat_j(h->linear, batch, h->pace) / h->pace->timed_s;
    *figure = log((net_w + run->loss_w) / run->power_w);
}

/* What lies between a stop and the going on tells nothing: for how long the boiler cooled is not known. */
static void find_heat(season *s, size_t run, const double unknowns[JL_UNKNOWNS], heat_row *row) {
    double other;
    const jl_learning_run *r = &s->runs[run];
    const jl_linear *linear = &s->linear[run];
    const jl_batch batch = jl_run_batch(&s->tracks->base, r, unknowns);
    jl_pace_find(linear, &batch, s->widths->time_s, &s->paces[run]);
    const heat_of h = {linear, &s->paces[run]};
    *row = (heat_row){.has = isfinite(r->power_w) && h.pace->count > 0};
    if (!row->has) return;
    const jl_figures_of f = {ln_efficiency, &h, 1};
    jl_differentiate(s->tracks, r, unknowns, &f, &row->at, &row->slope, &other);
    row->variance = JL_HEAT_SPREAD * JL_HEAT_SPREAD + jl_pace_variance(h.pace, s->widths->time_s);
    for (int k = 0; k < JL_UNKNOWNS; k++) row->at -= row->slope[k] * unknowns[k];
}

/* ---- Steps ---- */

/* A run's own unknowns when the still's are given. */
static void own_mean(const jl_gram *gram, double (*covariance)[JL_UNKNOWNS], const double *still,
                     double *own) {
    double pull[JL_UNKNOWNS];
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        pull[k] = gram->of[k][JL_DATA];
        for (int j = 0; j < JL_UNKNOWNS; j++) pull[k] -= gram->of[k][j] * still[j];
    }
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        own[k] = 0;
        for (int j = 0; j < JL_UNKNOWNS; j++) own[k] += covariance[k][j] * pull[j];
    }
}

/* By how much the point moved, in units that matter. */
static double moved(const double *before, const double *after) {
    static const double MATTERS[JL_UNKNOWNS] = {
        [JL_UNKNOWN_SHARE] = 0.004,    [JL_UNKNOWN_SHIFT] = 0.008,       [JL_UNKNOWN_SCALE] = 0.008,
        [JL_UNKNOWN_CHARGE_PCT] = 0.3, [JL_UNKNOWN_ALCOHOLOMETER] = 0.3,
    };
    double most = 0;
    for (int k = 0; k < JL_UNKNOWNS; k++)
        if (MATTERS[k] > 0) most = fmax(most, fabs(after[k] - before[k]) / MATTERS[k]);
    return most;
}

static double spread_of(const season *s) {
    return isnan(s->told->spread) ? SPREAD_SEARCH : s->told->spread;
}

/* Linear about the point, and the point moved on; by how much. */
static double step(season *s, node *n) {
    const double share_step = 0.15;
    double unknowns[JL_UNKNOWNS], variance[JL_UNKNOWNS], covariance[JL_UNKNOWNS][JL_UNKNOWNS];
    double most = 0;
    jl_gram sum = {{{0}}, 0};
    for (size_t i = 0; i < s->count; i++) {
        march_run(s, n, i, unknowns, n->stages > 1);
        find_heat(s, i, unknowns, &n->heats[i]);
        jl_linear_gram(&s->linear[i], 0, &n->grams[i][0]);
        jl_gram own = n->grams[i][0];
        own_variance(&s->runs[i], n->stages, spread_of(s), variance);
        jl_integrate_out(&own, variance);
        jl_gram_add(&sum, &own, s->weight[i]);
    }
    jl_normal found, prior = still_prior(s, n->stages, SCALE_SEARCH);
    jl_condition(&sum, &prior, &found, NULL);
    double *share = &found.mean[JL_UNKNOWN_SHARE], before = n->still[JL_UNKNOWN_SHARE];
    *share = fmin(fmax(*share, before - share_step), before + share_step);
    *share = fmin(fmax(*share, JL_SHARE_LEAST), JL_SHARE_MOST);
    most = moved(n->still, found.mean);
    memcpy(n->still, found.mean, sizeof n->still);
    for (size_t i = 0; i < s->count; i++) {
        double own[JL_UNKNOWNS];
        own_variance(&s->runs[i], n->stages, spread_of(s), variance);
        jl_own_covariance(&n->grams[i][0], variance, covariance);
        own_mean(&n->grams[i][0], covariance, n->still, own);
        most = fmax(most, moved(n->own[i], own));
        memcpy(n->own[i], own, sizeof own);
    }
    return most;
}

/* The best of some shares, by the first runs alone. */
static void seek_start(season *s, node *n) {
    static const double SHARES[STARTS] = {0.03, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9};
    double best = -INFINITY, start = 0;
    size_t runs = s->count < SEARCH_RUNS ? s->count : SEARCH_RUNS;
    if (n->stages <= 1) return;
    if (!isnan(s->told->share)) {
        n->still[JL_UNKNOWN_SHARE] = s->told->share;
        return;
    }
    for (int k = 0; k < STARTS; k++) {
        double sum = 0, unknowns[JL_UNKNOWNS];
        n->still[JL_UNKNOWN_SHARE] = SHARES[k];
        for (size_t i = 0; i < runs; i++) {
            jl_gram gram;
            jl_normal normal = jl_prior_of(&s->runs[i], s->widths);
            normal.mean[JL_UNKNOWN_SHARE] = SHARES[k];
            march_run(s, n, i, unknowns, false);
            jl_linear_gram(&s->linear[i], 0, &gram);
            sum += jl_condition(&gram, &normal, &normal, NULL);
        }
        if (sum > best) start = SHARES[k];
        best = fmax(best, sum);
    }
    n->still[JL_UNKNOWN_SHARE] = start;
}

static jl_status tell_progress(const season *s, double done) {
    return s->progress == NULL || s->progress(done, s->progress_with) ? JL_OK : JL_END;
}

static void fit(season *s, node *n) {
    for (int i = 0; i < STEPS_MOST; i++)
        if (step(s, n) < 1) return;
}

/* ---- Evidence ---- */

/* What of a share lies where it can be, and what makes the wide normal flat from 0 to JL_SHARE_END. */
static double ln_of_share(const jl_normal *found) {
    double r = found->mean[JL_UNKNOWN_SHARE];
    double u = sqrt(found->covariance[JL_UNKNOWN_SHARE][JL_UNKNOWN_SHARE]);
    double within = gsl_cdf_ugaussian_P((JL_SHARE_END - r) / u) - gsl_cdf_ugaussian_P((0 - r) / u);
    double off = (r - SHARE_MEAN) / SHARE_U;
    return log(fmax(within, 1e-300)) + log(sqrt(2 * M_PI) * SHARE_U / JL_SHARE_END) + off * off / 2;
}

/* One way in which runs may spread, vessels be off and hands wobble. */
typedef struct way {
    int spread, noise;
    double ln_weight;
    jl_normal found;
} way;

enum { WAYS = JL_LEARNT_SPREADS * JL_NOISES * SCALES };

static size_t try_scales(const season *s, const node *n, const jl_gram *sum, const way *so_far,
                         way *ways) {
    for (int k = 0; k < SCALES; k++) {
        way *w = &ways[k];
        jl_normal prior = still_prior(s, n->stages, scale_of(s, k));
        *w = *so_far;
        w->ln_weight += log(SCALE_WEIGHT[k]) + jl_condition(sum, &prior, &w->found, NULL);
        if (n->stages > 1 && isnan(s->told->share)) w->ln_weight += ln_of_share(&w->found);
    }
    return SCALES;
}

static bool plays(const season *s, const node *n, int spread) {
    if (n->stages <= 1) return spread == 0;
    return isnan(s->told->spread) || s->told->spread == JL_LEARNT_SPREAD[spread];
}

static void sum_runs(const season *s, const node *n, int spread, int noise, jl_gram *sum) {
    double variance[JL_UNKNOWNS];
    *sum = (jl_gram){{{0}}, 0};
    for (size_t i = 0; i < s->count; i++) {
        jl_gram own = n->grams[i][noise];
        own_variance(&s->runs[i], n->stages, JL_LEARNT_SPREAD[spread], variance);
        jl_integrate_out(&own, variance);
        jl_gram_add(sum, &own, s->weight[i]);
    }
}

static size_t try_ways(const season *s, const node *n, way ways[WAYS]) {
    size_t count = 0;
    for (int t = 0; t < JL_LEARNT_SPREADS; t++) {
        if (!plays(s, n, t)) continue;
        bool alone = n->stages <= 1 || !isnan(s->told->spread);
        for (int k = 0; k < JL_NOISES; k++) {
            jl_gram sum;
            sum_runs(s, n, t, k, &sum);
            const way so_far = {.spread = t,
                                .noise = k,
                                .ln_weight = log(JL_NOISE_WEIGHT[k]) +
                                             (alone ? 0 : log(jl_spread_prior(t)))};
            count += try_scales(s, n, &sum, &so_far, ways + count);
        }
    }
    return count;
}

/* Mean and covariance of a mixture. */
static void blend(const way *ways, const double *weights, size_t count, jl_normal *normal) {
    *normal = (jl_normal){{0}, {{0}}};
    for (size_t i = 0; i < count; i++)
        for (int k = 0; k < JL_UNKNOWNS; k++) normal->mean[k] += weights[i] * ways[i].found.mean[k];
    for (size_t i = 0; i < count; i++)
        for (int k = 0; k < JL_UNKNOWNS; k++)
            for (int j = 0; j < JL_UNKNOWNS; j++)
                normal->covariance[k][j] +=
                    weights[i] * (ways[i].found.covariance[k][j] +
                                  (ways[i].found.mean[k] - normal->mean[k]) *
                                      (ways[i].found.mean[j] - normal->mean[j]));
}

/* The runs are still linear about the node's point. */
static void weigh_node(const season *s, node *n) {
    way ways[WAYS];
    double weights[WAYS];
    for (size_t i = 0; i < s->count; i++)
        for (int k = 1; k < JL_NOISES; k++) jl_linear_gram(&s->linear[i], k, &n->grams[i][k]);
    size_t count = try_ways(s, n, ways), best = 0;
    for (size_t i = 0; i < count; i++) weights[i] = ways[i].ln_weight;
    n->ln_evidence = jl_weigh(weights, count);
    blend(ways, weights, count, &n->normal);
    memset(n->spread_weight, 0, sizeof n->spread_weight);
    for (size_t i = 0; i < count; i++) {
        n->spread_weight[ways[i].spread] += weights[i];
        if (weights[i] > weights[best]) best = i;
    }
    n->spread = ways[best].spread;
    n->noise = ways[best].noise;
}

static void weights_of(const season *s, double *weights) {
    double stages[JL_LEARNT_STAGES_MOST];
    for (size_t i = 0; i < s->node_count; i++) stages[i] = s->nodes[i].stages;
    for (size_t i = 0; i < s->node_count; i++)
        weights[i] = s->nodes[i].ln_evidence + log(jl_stages_prior(stages, s->node_count, i));
    jl_weigh(weights, s->node_count);
}

static size_t best_of(const season *s) {
    double weights[JL_LEARNT_STAGES_MOST];
    size_t best = 0;
    weights_of(s, weights);
    for (size_t i = 0; i < s->node_count; i++)
        if (weights[i] > weights[best]) best = i;
    return best;
}

/* ---- Stages ---- */

static void close_node(node *n) {
    free(n->own);
    free(n->grams);
    free(n->heats);
}

/* A node in its place; NULL where memory is out. */
static node *add_node(season *s, double stages) {
    size_t place = 0;
    node n = {.stages = stages,
              .own = calloc(s->count, sizeof *n.own),
              .grams = calloc(s->count, sizeof *n.grams),
              .heats = calloc(s->count, sizeof *n.heats)};
    if (n.own == NULL || n.grams == NULL || n.heats == NULL) {
        close_node(&n);
        return NULL;
    }
    while (place < s->node_count && s->nodes[place].stages < stages) place++;
    memmove(&s->nodes[place + 1], &s->nodes[place], (s->node_count - place) * sizeof n);
    s->nodes[place] = n;
    s->node_count++;
    return &s->nodes[place];
}

static bool has_node(const season *s, double stages) {
    for (size_t i = 0; i < s->node_count; i++)
        if (s->nodes[i].stages == stages) return true;
    return false;
}

static jl_status fit_first(season *s) {
    jl_status status = JL_OK;
    bool told = !isnan(s->told->stages);
    size_t count = told ? 1 : JL_STAGES_TRIED;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        status = tell_progress(s, 0.6 * (double)i / (double)count);
        if (status != JL_OK) break;
        node *n = add_node(s, told ? s->told->stages : JL_STAGES_FIRST[i]);
        if (n == NULL) return JL_MEMORY;
        seek_start(s, n);
        fit(s, n);
        weigh_node(s, n);
    }
    return status;
}

static jl_status fit_beside(season *s, double stages, const node *near) {
    if (has_node(s, stages) || s->node_count == JL_LEARNT_STAGES_MOST) return JL_OK;
    double share = near->still[JL_UNKNOWN_SHARE];
    node *n = add_node(s, stages);
    if (n == NULL) return JL_MEMORY;
    n->still[JL_UNKNOWN_SHARE] = share;
    fit(s, n);
    weigh_node(s, n);
    return JL_OK;
}

static jl_status refine(season *s) {
    double weights[JL_LEARNT_STAGES_MOST], stages[JL_LEARNT_STAGES_MOST];
    size_t count = 0;
    jl_status status = JL_OK;
    if (!isnan(s->told->stages)) return JL_OK;
    weights_of(s, weights);
    for (size_t i = 0; i < s->node_count; i++)
        if (weights[i] > REFINE_FROM && s->nodes[i].stages > 1)
            stages[count++] = s->nodes[i].stages;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        status = tell_progress(s, 0.6 + 0.3 * (double)i / (double)count);
        for (int side = -1; status == JL_OK && side <= 1; side += 2) {
            size_t place = 0;
            while (s->nodes[place].stages != stages[i]) place++;
            status = fit_beside(s, stages[i] + side * QUARTER, &s->nodes[place]);
        }
    }
    return status;
}

/* ---- A run that does not belong ---- */

/* Squares of each run against a still as the others tell it, over what its readings allow. Returns
 * the most. */
static double compare_runs(const season *s, const node *n, double *times) {
    double most = 0;
    jl_gram sum;
    sum_runs(s, n, n->spread, n->noise, &sum);
    for (size_t i = 0; i < s->count; i++) {
        double variance[JL_UNKNOWNS], squares;
        jl_gram own = n->grams[i][n->noise], others = sum;
        jl_normal still = still_prior(s, n->stages, scale_of(s, SCALES - 1)), after;
        own_variance(&s->runs[i], n->stages, JL_LEARNT_SPREAD[n->spread], variance);
        jl_integrate_out(&own, variance);
        jl_gram_add(&others, &own, -s->weight[i]);
        jl_condition(&others, &still, &still, NULL);
        jl_condition(&own, &still, &after, &squares);
        double rows = (double)s->linear[i].count;
        times[i] = squares * s->weight[i] / gsl_cdf_chisq_Qinv(NO_CHANCE / (double)s->count, rows);
        most = fmax(most, times[i]);
    }
    return most;
}

/* Those that are nearly as far off as the worst weigh as little as makes them fit; one that is not so
 * far may only look so for their sake. */
static bool count_down(season *s) {
    double most = compare_runs(s, &s->nodes[best_of(s)], s->times);
    if (most <= 1) return false;
    for (size_t i = 0; i < s->count; i++)
        if (s->times[i] > fmax(1, most / 2)) s->weight[i] /= 2 * s->times[i];
    return true;
}

/* Of three or more, a run that is not like the others counts for less. */
static jl_status fit_all(season *s) {
    jl_status status = fit_first(s);
    if (status == JL_OK) status = refine(s);
    size_t rounds = s->count < 3 ? 0 : s->count / 2 < ROUNDS_MOST ? s->count / 2 : ROUNDS_MOST;
    for (size_t round = 0; status == JL_OK && round < rounds && count_down(s); round++) {
        for (size_t i = 0; status == JL_OK && i < s->node_count; i++) {
            status = tell_progress(s, 0.9);
            fit(s, &s->nodes[i]);
            weigh_node(s, &s->nodes[i]);
        }
        if (status == JL_OK) status = refine(s);
    }
    return status;
}

/* ---- Results ---- */

static void copy_normal(const jl_normal *from, jl_learnt_stages *to) {
    for (int k = 0; k < JL_LEARNT_LN_EFFICIENCY; k++) {
        to->mean[k] = from->mean[JL_UNKNOWN_OF[k]];
        for (int j = 0; j < JL_LEARNT_LN_EFFICIENCY; j++)
            to->covariance[k][j] = from->covariance[JL_UNKNOWN_OF[k]][JL_UNKNOWN_OF[j]];
    }
}

/* A run's unknowns, the still's and its own together, as lines over the still's. */
typedef struct run_line {
    double still[JL_UNKNOWNS][JL_UNKNOWNS]; /* how they follow the still's */
    double own[JL_UNKNOWNS][JL_UNKNOWNS];   /* covariance of what does not */
    double mean[JL_UNKNOWNS];               /* with the still's at their mean */
} run_line;

static void line_of(const season *s, const node *n, size_t run, run_line *line) {
    double variance[JL_UNKNOWNS], own[JL_UNKNOWNS];
    const jl_gram *gram = &n->grams[run][n->noise];
    own_variance(&s->runs[run], n->stages, JL_LEARNT_SPREAD[n->spread], variance);
    jl_own_covariance(gram, variance, line->own);
    own_mean(gram, line->own, n->normal.mean, own);
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        line->mean[k] = n->normal.mean[k] + own[k];
        for (int j = 0; j < JL_UNKNOWNS; j++) {
            line->still[k][j] = k == j ? 1 : 0;
            for (int i = 0; i < JL_UNKNOWNS; i++)
                line->still[k][j] -= line->own[k][i] * gram->of[i][j];
        }
    }
}

/* v' M w */
static double product(const double *v, const double *m, const double *w) {
    double sum = 0;
    for (int k = 0; k < JL_UNKNOWNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) sum += v[k] * m[k * JL_UNKNOWNS + j] * w[j];
    return sum;
}

/* Each clock shows an efficiency that depends on the run's share and charge as well: the mean of them
 * goes with the still's unknowns, so that their errors cancel in the hours of the next run. */
typedef struct heat_mean {
    double mean, precision, own; /* own: variance of what comes from the runs' own unknowns */
    double slope[JL_UNKNOWNS];   /* over the still's */
} heat_mean;

static heat_mean mean_heat(const season *s, const node *n) {
    heat_mean h = {.mean = log(s->told->efficiency) / JL_HEAT_GUESS_U / JL_HEAT_GUESS_U,
                   .precision = 1 / JL_HEAT_GUESS_U / JL_HEAT_GUESS_U};
    for (size_t i = 0; i < s->count; i++) {
        run_line line;
        const heat_row *row = &n->heats[i];
        if (!row->has) continue;
        double weight = s->weight[i] / row->variance, at = row->at;
        line_of(s, n, i, &line);
        for (int k = 0; k < JL_UNKNOWNS; k++) {
            at += row->slope[k] * line.mean[k];
            for (int j = 0; j < JL_UNKNOWNS; j++)
                h.slope[j] += weight * row->slope[k] * line.still[k][j];
        }
        h.mean += weight * at;
        h.precision += weight;
        h.own += weight * weight * product(row->slope, &line.own[0][0], row->slope);
    }
    h.mean /= h.precision;
    h.own /= h.precision * h.precision;
    for (int j = 0; j < JL_UNKNOWNS; j++) h.slope[j] /= h.precision;
    return h;
}

static void add_efficiency(const season *s, const node *n, jl_learnt_stages *to) {
    const int last = JL_LEARNT_LN_EFFICIENCY;
    const heat_mean h = mean_heat(s, n);
    to->mean[last] = h.mean;
    to->covariance[last][last] =
        1 / h.precision + h.own + product(h.slope, &n->normal.covariance[0][0], h.slope);
    for (int k = 0; k < last; k++) {
        double unit[JL_UNKNOWNS] = {0};
        unit[JL_UNKNOWN_OF[k]] = 1;
        to->covariance[last][k] = to->covariance[k][last] =
            product(unit, &n->normal.covariance[0][0], h.slope);
    }
}

static void keep_still(const season *s, jl_learnt_still *still) {
    double weights[JL_LEARNT_STAGES_MOST], all = 0;
    *still = (jl_learnt_still){.runs = s->count};
    weights_of(s, weights);
    for (size_t i = 0; i < s->node_count; i++)
        if (weights[i] >= WEIGHT_LEAST) all += weights[i];
    double spread[JL_LEARNT_SPREADS] = {0}, with_share = 0;
    for (size_t i = 0; i < s->node_count; i++) {
        const node *n = &s->nodes[i];
        if (weights[i] < WEIGHT_LEAST) continue;
        jl_learnt_stages *to = &still->of[still->count++];
        to->stages = n->stages;
        to->weight = weights[i] / all;
        copy_normal(&n->normal, to);
        add_efficiency(s, n, to);
        if (n->stages <= 1) continue;
        with_share += to->weight;
        for (int k = 0; k < JL_LEARNT_SPREADS; k++) spread[k] += to->weight * n->spread_weight[k];
    }
    for (int k = 0; k < JL_LEARNT_SPREADS; k++)
        still->spread_weight[k] = with_share > 0 ? spread[k] / with_share : jl_spread_prior(k);
}

/* Standard uncertainty of a sum of a run's unknowns. */
static double uncertainty_of(const node *n, const run_line *line, const double *sum) {
    double of_still[JL_UNKNOWNS] = {0};
    for (int k = 0; k < JL_UNKNOWNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) of_still[j] += sum[k] * line->still[k][j];
    return sqrt(fmax(product(sum, &line->own[0][0], sum) +
                         product(of_still, &n->normal.covariance[0][0], of_still),
                     0));
}

/* What the jars should have read, instruments' errors and all. */
static void keep_strengths(season *s, const node *n, size_t run, const run_line *line,
                           double *strength_pct) {
    double unknowns[JL_UNKNOWNS];
    march_run(s, n, run, unknowns, n->stages > 1);
    for (size_t i = 0; i < s->linear[run].strengths; i++) {
        const jl_linear_row *row = &s->linear[run].rows[i];
        double left = row->column[JL_DATA];
        for (int k = 0; k < JL_UNKNOWNS; k++) left -= row->column[k] * line->mean[k];
        strength_pct[row->jar] = row->read - left;
    }
}

static void keep_run(season *s, const node *n, size_t run, jl_learnt_run *each) {
    run_line line;
    const jl_learning_run *r = &s->runs[run];
    double *strength_pct = each->strength_pct;
    double share[JL_UNKNOWNS] = {[JL_UNKNOWN_SHARE] = 1},
           scale[JL_UNKNOWNS] = {[JL_UNKNOWN_SCALE] = 1};
    double charge[JL_UNKNOWNS], high_pct = 0;
    line_of(s, n, run, &line);
    jl_charge_read_high(r, charge);
    for (int k = 0; k < JL_UNKNOWNS; k++) high_pct += charge[k] * line.mean[k];
    *each = (jl_learnt_run){
        .share = {line.mean[JL_UNKNOWN_SHARE], uncertainty_of(n, &line, share)},
        .charge_l = {r->charge_l * (1 - line.mean[JL_UNKNOWN_SCALE]),
                     r->charge_l * uncertainty_of(n, &line, scale)},
        .charge_strength_pct = {r->charge_strength_pct - high_pct,
                                uncertainty_of(n, &line, charge)},
        .residual = sqrt(fmax(jl_gram_squares(&n->grams[run][0], line.mean), 0) /
                         (double)s->linear[run].count),
        .counted_down = s->weight[run] < 1,
        .strength_pct = strength_pct,
    };
    if (strength_pct != NULL) keep_strengths(s, n, run, &line, strength_pct);
}

/* ---- What is given ---- */

static jl_status check(const season *s) {
    const jl_learning_told *t = s->told;
    bool good = jl_learning_widths_ok(s->widths) && jl_between(t->efficiency, 1e-3, 1) &&
                (isnan(t->stages) || jl_between(t->stages, 1, JL_STAGES_MOST)) &&
                (isnan(t->share) || jl_between(t->share, 0, JL_SHARE_END)) &&
                (isnan(t->spread) || t->spread > 0);
    if (s->count == 0) return JL_MISSING;
    jl_status status = good ? JL_OK : JL_RANGE;
    for (size_t i = 0; status == JL_OK && i < s->count; i++)
        status = jl_learning_run_check(&s->runs[i], JARS_LEAST);
    return status;
}

/* ---- The whole ---- */

/* Runs at one pressure share their vapours. */
static jl_status open_vapours(season *s) {
    jl_status status = JL_OK;
    size_t known = 0;
    for (size_t i = 0; status == JL_OK && i < s->count; i++) {
        double pressure_kpa = s->runs[i].pressure_kpa;
        size_t at = 0;
        while (at < known && s->vapours[at].pressure_kpa != pressure_kpa) at++;
        if (at == known) status = jl_vapours_fill(pressure_kpa, &s->vapours[known++]);
        s->vapours_of[i] = at;
    }
    return status;
}

static jl_status open_season(season *s) {
    s->linear = calloc(s->count, sizeof *s->linear);
    s->paces = calloc(s->count, sizeof *s->paces);
    s->vapours = calloc(s->count, sizeof *s->vapours);
    s->vapours_of = calloc(s->count, sizeof *s->vapours_of);
    s->weight = calloc(2 * s->count, sizeof *s->weight);
    s->tracks = jl_tracks_new();
    if (s->linear == NULL || s->paces == NULL || s->vapours == NULL || s->vapours_of == NULL ||
        s->weight == NULL || s->tracks == NULL)
        return JL_MEMORY;
    s->times = s->weight + s->count;
    jl_status status = open_vapours(s);
    double strongest_pct = 0;
    for (size_t i = 0; status == JL_OK && i < s->count; i++) {
        s->weight[i] = 1;
        strongest_pct = fmax(strongest_pct,
                             s->runs[i].charge_strength_pct + 7 * s->runs[i].charge_strength_u_pct);
        status = jl_linear_open(&s->runs[i], s->widths, &s->linear[i]);
        if (status == JL_OK) status = jl_pace_open(&s->runs[i], &s->paces[i]);
    }
    s->x_top = jl_mole_of_pct(fmin(strongest_pct + 3, 96));
    return status;
}

static void close_season(season *s) {
    for (size_t i = 0; s->linear != NULL && i < s->count; i++) jl_linear_close(&s->linear[i]);
    for (size_t i = 0; s->paces != NULL && i < s->count; i++) jl_pace_close(&s->paces[i]);
    for (size_t i = 0; i < s->node_count; i++) close_node(&s->nodes[i]);
    free(s->linear);
    free(s->paces);
    free(s->vapours);
    free(s->vapours_of);
    free(s->weight);
    jl_tracks_free(s->tracks);
    free(s);
}

jl_status jl_learn_still(const jl_learning_run *runs, size_t count,
                         const jl_learning_widths *widths, const jl_learning_told *told,
                         jl_progress *progress, void *progress_with, jl_learnt_run *each,
                         jl_learnt_still *still) {
    season *s = calloc(1, sizeof *s);
    if (s == NULL) return JL_MEMORY;
    s->runs = runs;
    s->count = count;
    s->widths = widths;
    s->told = told;
    s->progress = progress;
    s->progress_with = progress_with;
    jl_status status = check(s);
    if (status == JL_OK) status = open_season(s);
    if (status == JL_OK) status = fit_all(s);
    if (status == JL_OK) {
        const node *best = &s->nodes[best_of(s)];
        if (!isfinite(best->ln_evidence)) status = JL_NUMERIC;
        for (size_t i = 0; status == JL_OK && i < count; i++) keep_run(s, best, i, &each[i]);
        if (status == JL_OK) keep_still(s, still);
    }
    close_season(s);
    return status;
}
