/* What may be wrong with a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each cause is a hypothesis whose evidence has a closed form at every node of what the still may
 * be, so that all are weighed on the paths of one look. */
#include "learn/learnt.h"
#include "learn/mixture.h"
#include "learn/nodes.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GAPS = 4 };

/* What may be missing, in jars, with chances; most often a whole one. */
static const double GAP[GAPS] = {1, 0.25, 0.5, 0.75},
                    GAP_WEIGHT[GAPS] = {0.5, 1.0 / 6, 1.0 / 6, 1.0 / 6};

/* Chances before: of a slip a jar, of something missing or a pause a place. */
static const double SLIP = 0.01, MISSING = 0.005, PAUSE = 0.01, CHARGE = 0.02, STILL = 0.02;

/* How wrong: % vol, a share of the charge's volume and strength, ln of the time. */
static const double SLIP_U_PCT = 10, CHARGE_U = 0.1, PAUSE_U = 1;

/* What an interval departs by from the heat of its jar: the jar's volume. */
static const double INTERVAL_U = 0.01;

static const double TOLD = 0.8;

/* ---- Sums of evidence, which may be of any size ---- */

typedef struct evidence {
    double ln;   /* of the sum of weights */
    double mean; /* of a value, by the weights */
} evidence;

static const evidence NO_EVIDENCE = {-INFINITY, 0};

static void gather(evidence *e, double ln_weight, double value) {
    if (!(ln_weight > -INFINITY)) return;
    double more = fmax(e->ln, ln_weight);
    double before = exp(e->ln - more), now = exp(ln_weight - more);
    e->mean = (before * e->mean + now * value) / (before + now);
    e->ln = more + log(before + now);
}

/* For each cause, at each jar: slips of jar k, missing or paused behind k jars. */
typedef struct findings {
    evidence clean, still, charge_l, charge_pct;
    evidence *slip, *missing, *pause;
} findings;

/* ---- One run, from one node ---- */

typedef struct bout {
    const jl_learning_run *run;
    jl_look *look;
    const jl_learning_widths *widths;
    size_t rows, strengths;
    double jar_l;          /* the size of the jars that may be missing */
    size_t moments;        /* jars with a moment */
    size_t *moment_of;     /* and which these are */
    double *values;        /* room for all of the following */
    double *jacobian;      /* JL_UNKNOWNS columns, made independent, one behind the other */
    double *gap_predicted; /* for each gap what the rows should read, if it came first */
    double *gap_heat;      /* and the heat at each moment; in front of them without a gap */
    double *left, *mixed;  /* residuals, and those of a hypothesis */
    double *free, *unit;   /* made independent */
    double *clock, *clock_mixed, *solved; /* ln of how much longer each interval took */
    double *clock_covariance;
    double *gap_clock; /* for each gap, behind each jar: what it does to the clock's ln density */
    findings found;
} bout;

/* v' C w */
static double through(const jl_normal *n, const double *v, const double *w) {
    double sum = 0;
    for (int k = 0; k < JL_UNKNOWNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) sum += v[k] * n->covariance[k][j] * w[j];
    return sum;
}

static double dot(const double *a, const double *b, size_t count) {
    double sum = 0;
    for (size_t i = 0; i < count; i++) sum += a[i] * b[i];
    return sum;
}

static void onto_unknowns(const bout *b, const double *independent, double *pull) {
    for (int k = 0; k < JL_UNKNOWNS; k++)
        pull[k] = dot(b->jacobian + (size_t)k * b->rows, independent, b->rows);
}

/* a' S^-1 b of the data's whole covariance S, for columns that were made independent. */
static double product(const bout *b, const jl_normal *after, const double *a, const double *c) {
    double of_a[JL_UNKNOWNS], of_c[JL_UNKNOWNS];
    onto_unknowns(b, a, of_a);
    onto_unknowns(b, c, of_c);
    return dot(a, c, b->rows) - through(after, of_a, of_c);
}

/* ---- Clock ---- */

static size_t intervals_of(const bout *b) {
    return b->moments > 1 ? b->moments - 1 : 0;
}

static double length_s(const bout *b, size_t interval) {
    const double least_s = 20; /* less is a moment written down late */
    const jl_learning_jar *jars = b->run->jars;
    return fmax(jars[b->moment_of[interval + 1]].full_s - jars[b->moment_of[interval]].full_s,
                least_s);
}

/* ln of the net power, and its variance: what is known of it before. */
static bool net_of(const bout *b, const jl_node *n, double *ln_w, double *variance) {
    const jl_learning_run *r = b->run;
    if (!isfinite(r->power_w) || intervals_of(b) == 0) return false;
    double power_w = r->power_w * exp(n->ln_heat), net_w = power_w - r->loss_w;
    if (!(net_w > 0.01 * power_w)) return false;
    *ln_w = log(net_w);
    *variance = n->heat_variance * power_w / net_w * power_w / net_w;
    return true;
}

static void clock_covariance(bout *b, double level) {
    size_t count = intervals_of(b);
    double read = b->widths->time_s * b->widths->time_s;
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++) {
            size_t fewer = b->moment_of[(i < j ? i : j) + 1];
            double sum = level + JL_HEAT_WALK * JL_HEAT_WALK * (double)fewer;
            double shared = read / length_s(b, i) / length_s(b, j);
            if (i == j) sum += 2 * shared + INTERVAL_U * INTERVAL_U;
            if (i + 1 == j || j + 1 == i) sum -= shared;
            b->clock_covariance[i * count + j] = sum;
        }
}

/* In place by its Cholesky factor; returns ln of its determinant. */
static double factor(bout *b) {
    size_t count = intervals_of(b);
    double ln_det = 0;
    gsl_matrix_view m = gsl_matrix_view_array(b->clock_covariance, count, count);
    gsl_linalg_cholesky_decomp1(&m.matrix);
    for (size_t i = 0; i < count; i++) ln_det += 2 * log(b->clock_covariance[i * count + i]);
    return ln_det;
}

static void solve(bout *b, const double *right) {
    size_t count = intervals_of(b);
    gsl_matrix_view m = gsl_matrix_view_array(b->clock_covariance, count, count);
    gsl_vector_const_view v = gsl_vector_const_view_array(right, count);
    gsl_vector_view x = gsl_vector_view_array(b->solved, count);
    gsl_linalg_cholesky_solve(&m.matrix, &v.vector, &x.vector);
}

/* How much longer each interval took, in ln, if a gap lies behind so many jars; gap GAPS: none. */
static void lengths(const bout *b, double ln_w, int gap, size_t behind, double *longer) {
    const double *plain = b->gap_heat, *shifted = b->gap_heat + (size_t)(gap + 1) * b->moments;
    for (size_t i = 0; i < intervals_of(b); i++) {
        bool from_shifted = gap < GAPS && b->moment_of[i] >= behind;
        bool to_shifted = gap < GAPS && b->moment_of[i + 1] >= behind;
        double from_j = from_shifted ? shifted[i] : plain[i];
        double to_j = to_shifted ? shifted[i + 1] : plain[i + 1];
        longer[i] = log(length_s(b, i)) + ln_w - log(fmax(to_j - from_j, 1));
    }
}

/* ---- A node ---- */

static void predict_gaps(bout *b) {
    const jl_linear *l = &b->look->linear;
    jl_batch batch = jl_run_batch(&b->look->tracks->base, b->run, b->look->at);
    for (int g = -1; g < GAPS; g++) {
        double lost_l = g < 0 ? 0 : GAP[g] * b->jar_l;
        if (g >= 0) jl_linear_predict(l, &batch, lost_l, b->gap_predicted + (size_t)g * b->rows);
        for (size_t i = 0; i < b->moments; i++) {
            jl_waypoint at = jl_batch_at(&batch, lost_l + l->end_l[b->moment_of[i]]);
            b->gap_heat[(size_t)(g + 1) * b->moments + i] =
                jl_batch_heat_j(&batch, &at, b->run->boiler_heat_j_k);
        }
    }
}

/* What the rows are off by with the unknowns at the prior's means. */
static void find_left(bout *b, const jl_normal *prior) {
    for (size_t i = 0; i < b->rows; i++) {
        const jl_row *row = &b->look->linear.rows[i];
        b->left[i] = row->column[JL_DATA];
        for (int k = 0; k < JL_UNKNOWNS; k++) b->left[i] -= row->column[k] * prior->mean[k];
    }
}

static void whiten_columns(bout *b) {
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        double *column = b->jacobian + (size_t)k * b->rows;
        for (size_t i = 0; i < b->rows; i++) column[i] = b->look->linear.rows[i].column[k];
        jl_linear_whiten(&b->look->linear, column, column);
    }
}

/* A slip of unknown size adds a variance to one row. */
static void try_slips(bout *b, const jl_normal *after, double ln_clean) {
    const double wide = SLIP_U_PCT * SLIP_U_PCT;
    for (size_t i = 0; i < b->strengths; i++) {
        const jl_row *row = &b->look->linear.rows[i];
        for (size_t k = 0; k < b->rows; k++) b->unit[k] = k == i ? 1 : 0;
        jl_linear_whiten(&b->look->linear, b->unit, b->unit);
        double alone = product(b, after, b->unit, b->unit);
        double pull = product(b, after, b->unit, b->free);
        double more = 1 + wide * alone;
        double ln_gain = (wide * pull * pull / more - log(more)) / 2;
        gather(&b->found.slip[row->jar], ln_clean + ln_gain + log(SLIP),
               row->read - wide * pull / more);
    }
}

static void try_gaps_on_clock(bout *b, double ln_w, bool clock) {
    size_t count = b->run->count;
    double plain = clock ? dot(b->clock, b->solved, intervals_of(b)) : 0;
    for (int g = 0; g < GAPS; g++)
        for (size_t behind = 0; behind < count; behind++) {
            double *gain = &b->gap_clock[(size_t)g * count + behind];
            *gain = 0;
            if (!clock) continue;
            lengths(b, ln_w, g, behind, b->clock_mixed);
            solve(b, b->clock_mixed);
            *gain = (plain - dot(b->clock_mixed, b->solved, intervals_of(b))) / 2;
        }
}

/* Rows behind a gap read what they would read later. */
static void try_gaps(bout *b, const jl_normal *after, double ln_clean) {
    double plain = product(b, after, b->free, b->free);
    for (int g = 0; g < GAPS; g++)
        for (size_t behind = 0; behind < b->run->count; behind++) {
            for (size_t i = 0; i < b->rows; i++) {
                const jl_row *row = &b->look->linear.rows[i];
                double later = b->gap_predicted[(size_t)g * b->rows + i] - row->predicted;
                b->mixed[i] = b->left[i] - (row->jar >= behind ? later : 0);
            }
            jl_linear_whiten(&b->look->linear, b->mixed, b->mixed);
            double ln_gain = (plain - product(b, after, b->mixed, b->mixed)) / 2 +
                             b->gap_clock[(size_t)g * b->run->count + behind];
            gather(&b->found.missing[behind],
                   ln_clean + ln_gain + log(MISSING) + log(GAP_WEIGHT[g]), GAP[g]);
        }
}

/* A pause makes one interval longer by a factor whose ln is half-normal. */
static void try_pauses(bout *b, double ln_clean) {
    size_t count = intervals_of(b);
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < count; k++) b->clock_mixed[k] = k == i ? 1 : 0;
        solve(b, b->clock_mixed);
        double alone = b->solved[i], pull = dot(b->solved, b->clock, count);
        double more = 1 / (PAUSE_U * PAUSE_U) + alone;
        double ln_gain = pull * pull / more / 2 - log(PAUSE_U * PAUSE_U * more) / 2 +
                         log(2 * fmax(gsl_cdf_ugaussian_P(pull / sqrt(more)), 1e-300));
        gather(&b->found.pause[b->moment_of[i] + 1], ln_clean + ln_gain + log(PAUSE), 0);
    }
}

static void try_charge(bout *b, const jl_gram *gram, const jl_normal *prior, double ln_others) {
    jl_normal wide = *prior, after;
    double share = CHARGE_U * CHARGE_U, pct = CHARGE_U * b->run->charge_strength_pct;
    double high[JL_UNKNOWNS], high_pct = 0;
    wide.covariance[JL_UNKNOWN_SCALE][JL_UNKNOWN_SCALE] += share;
    wide.covariance[JL_UNKNOWN_CHARGE_PCT][JL_UNKNOWN_CHARGE_PCT] += pct * pct;
    double ln = ln_others + jl_condition(gram, &wide, &after, NULL) + log(CHARGE);
    jl_charge_read_high(b->run, high);
    for (int k = 0; k < JL_UNKNOWNS; k++) high_pct += high[k] * after.mean[k];
    gather(&b->found.charge_l, ln, b->run->charge_l * (1 - after.mean[JL_UNKNOWN_SCALE]));
    gather(&b->found.charge_pct, ln, b->run->charge_strength_pct - high_pct);
}

/* What the clock says without any fault: ln of its density, 0 where there is none. */
static double look_at_clock(bout *b, const jl_node *n, double *ln_w, bool *clock) {
    double level;
    *clock = net_of(b, n, ln_w, &level);
    if (!*clock) return 0;
    clock_covariance(b, level);
    double ln_det = factor(b);
    lengths(b, *ln_w, GAPS, 0, b->clock);
    solve(b, b->clock);
    return -(dot(b->clock, b->solved, intervals_of(b)) + ln_det) / 2;
}

static void look_from(bout *b, const jl_node *n) {
    jl_look_from(b->look, n, n->prior.mean);
    predict_gaps(b);
    find_left(b, &n->prior);
}

/* All causes at one node of the still as it is known. */
static void try_all(bout *b, const jl_node *n) {
    bool clock;
    double ln_w = 0;
    look_from(b, n);
    double ln_clock = look_at_clock(b, n, &ln_w, &clock);
    try_gaps_on_clock(b, ln_w, clock);
    for (int k = 0; k < JL_NOISES; k++) {
        jl_gram gram;
        jl_normal after;
        jl_linear_gram(&b->look->linear, k, &gram);
        double ln_others = n->ln_prior + log(JL_NOISE_WEIGHT[k]) + ln_clock;
        double ln_clean = ln_others + jl_condition(&gram, &n->prior, &after, NULL);
        gather(&b->found.clean, ln_clean, 0);
        whiten_columns(b);
        jl_linear_whiten(&b->look->linear, b->left, b->free);
        try_slips(b, &after, ln_clean);
        try_gaps(b, &after, ln_clean);
        if (clock) try_pauses(b, ln_clean);
        try_charge(b, &gram, &n->prior, ln_others);
    }
}

/* The run without fault on any other still. */
static void try_other(bout *b, const jl_node *n) {
    bool clock;
    double ln_w;
    look_from(b, n);
    double ln_clock = look_at_clock(b, n, &ln_w, &clock);
    for (int k = 0; k < JL_NOISES; k++) {
        jl_gram gram;
        jl_normal after;
        jl_linear_gram(&b->look->linear, k, &gram);
        gather(&b->found.still,
               n->ln_prior + log(JL_NOISE_WEIGHT[k]) + log(STILL) + ln_clock +
                   jl_condition(&gram, &n->prior, &after, NULL),
               0);
    }
}

/* ---- What it comes to ---- */

static double sum_of(const evidence *e, size_t count, double ln_clean, size_t *best) {
    double sum = 0, most = -INFINITY;
    *best = 0;
    for (size_t i = 0; i < count; i++) {
        sum += exp(fmin(e[i].ln - ln_clean, 600));
        if (e[i].ln > most) *best = i;
        most = fmax(most, e[i].ln);
    }
    return sum;
}

/* A missing jar among the first, or behind which nothing changes, is like a charge. */
enum { EARLY_JARS = 4 };

static void name_cause(jl_diagnosis *d) {
    const jl_suspicion *of = d->of;
    d->flagged = d->odds > 1;
    if (!d->flagged) return;
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++)
        if (of[k].share >= TOLD) d->cause = (jl_cause)k;
    bool early = of[JL_CAUSE_MISSING].jar < EARLY_JARS;
    double both = of[JL_CAUSE_CHARGE].share + (early ? of[JL_CAUSE_MISSING].share : 0);
    d->alike = both >= 0.5 && (early || d->cause == JL_CAUSE_CHARGE);
}

static void conclude(const bout *b, jl_diagnosis *d) {
    const findings *f = &b->found;
    size_t count = b->run->count;
    const struct {
        const evidence *of;
        size_t count;
    } causes[JL_CAUSES] = {
        [JL_CAUSE_SLIP] = {f->slip, count},   [JL_CAUSE_MISSING] = {f->missing, count},
        [JL_CAUSE_PAUSE] = {f->pause, count}, [JL_CAUSE_CHARGE] = {&f->charge_l, 1},
        [JL_CAUSE_STILL] = {&f->still, 1},
    };
    *d = (jl_diagnosis){0};
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++) {
        jl_suspicion *s = &d->of[k];
        s->share = sum_of(causes[k].of, causes[k].count, f->clean.ln, &s->jar);
        s->jar_share = s->share > 0 ? exp(causes[k].of[s->jar].ln - f->clean.ln) / s->share : 0;
        s->jar_told = s->jar_share >= TOLD;
        d->odds += s->share;
    }
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++)
        if (d->odds > 0) d->of[k].share /= d->odds;
    d->strength_pct = f->slip[d->of[JL_CAUSE_SLIP].jar].mean;
    d->missing_jars = f->missing[d->of[JL_CAUSE_MISSING].jar].mean;
    d->charge_l = f->charge_l.mean;
    d->charge_strength_pct = f->charge_pct.mean;
    name_cause(d);
}

static void carve(double **from, double **to, size_t count) {
    *to = *from;
    *from += count;
}

static jl_status open_bout(bout *b) {
    size_t count = b->run->count, rows = b->look->linear.count;
    b->moment_of = calloc(count, sizeof *b->moment_of);
    if (b->moment_of == NULL) return JL_MEMORY;
    for (size_t k = 0; k < count; k++) {
        b->jar_l += b->run->jars[k].volume_l / (double)count;
        if (isfinite(b->run->jars[k].full_s)) b->moment_of[b->moments++] = k;
    }
    b->rows = rows;
    while (b->strengths < rows && b->look->linear.rows[b->strengths].of == JL_ROW_STRENGTH)
        b->strengths++;
    size_t m = b->moments;
    double *at = calloc(rows * (JL_UNKNOWNS + GAPS + 4) + m * (GAPS + 1 + 3) + m * m + GAPS * count,
                        sizeof *at);
    b->values = at;
    b->found.slip = calloc(3 * count, sizeof *b->found.slip);
    if (at == NULL || b->found.slip == NULL) return JL_MEMORY;
    b->found.missing = b->found.slip + count;
    b->found.pause = b->found.missing + count;
    for (size_t k = 0; k < 3 * count; k++) b->found.slip[k] = NO_EVIDENCE;
    b->found.clean = b->found.still = b->found.charge_l = b->found.charge_pct = NO_EVIDENCE;
    carve(&at, &b->jacobian, rows * JL_UNKNOWNS);
    carve(&at, &b->gap_predicted, rows * GAPS);
    carve(&at, &b->left, rows);
    carve(&at, &b->mixed, rows);
    carve(&at, &b->free, rows);
    carve(&at, &b->unit, rows);
    carve(&at, &b->gap_heat, m * (GAPS + 1));
    carve(&at, &b->clock, m);
    carve(&at, &b->clock_mixed, m);
    carve(&at, &b->solved, m);
    carve(&at, &b->clock_covariance, m * m);
    carve(&at, &b->gap_clock, GAPS * count);
    return JL_OK;
}

static void close_bout(bout *b) {
    free(b->moment_of);
    free(b->values);
    free(b->found.slip);
    jl_look_close(b->look);
}

typedef void trial(bout *b, const jl_node *n);

static jl_status try_still(bout *b, const jl_learnt_still *still, trial *each) {
    jl_node *nodes;
    size_t count;
    jl_status status = jl_nodes_of(still, b->run, &nodes, &count);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < count; i++) each(b, &nodes[i]);
    free(nodes);
    return JL_OK;
}

/* As good a guess of the heating as the still as it was said has. */
static double efficiency_of(const jl_learnt_still *still) {
    double ln = 0;
    for (size_t i = 0; i < still->count; i++)
        ln += still->of[i].weight * still->of[i].mean[JL_LEARNT_LN_EFFICIENCY];
    return fmin(exp(ln), 1);
}

jl_status jl_run_diagnose(const jl_learning_run *run, const jl_learnt_still *still,
                          const jl_learning_widths *widths, jl_diagnosis *diagnosis) {
    bout b = {.run = run, .widths = widths};
    jl_learnt_still other;
    if (!jl_learning_widths_ok(widths) || !jl_learnt_ok(still)) return JL_RANGE;
    jl_status status = jl_learning_run_check(run, 1);
    if (status == JL_OK) status = jl_look_open(run, widths, &b.look);
    if (status == JL_OK) status = open_bout(&b);
    if (status == JL_OK) status = try_still(&b, still, try_all);
    if (status == JL_OK && !still->any_share) {
        status = jl_still_unknown(widths, efficiency_of(still), &other);
        if (status == JL_OK) status = try_still(&b, &other, try_other);
    }
    if (status == JL_OK && !isfinite(b.found.clean.ln)) status = JL_NUMERIC;
    if (status == JL_OK) conclude(&b, diagnosis);
    close_bout(&b);
    return status;
}
