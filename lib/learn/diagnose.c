/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/diagnose.h"

#include "learn/learnt.h"
#include "run/run.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GAPS = 4 };

/* What may be missing, in jars, with chances; most often a whole one. Common practice, no source. */
static const double GAP[GAPS] = {1, 0.25, 0.5, 0.75},
                    GAP_WEIGHT[GAPS] = {0.5, 1.0 / 6, 1.0 / 6, 1.0 / 6};

/* Chances before: of a slip a jar, of something missing or a pause a place. In a run of more jars than
 * usual they are a usual run's in all: more places alone must not make a fault likely. Common practice,
 * no source. */
static const double SLIP = 0.01, MISSING = 0.005, PAUSE = 0.01, CHARGE = 0.02, READINGS = 0.01,
                    STILL = 0.02;
enum { JARS_USUAL = 15 };

/* How wrong: % vol, ln of the time. Common practice, no source. */
static const double SLIP_U_PCT = 10, PAUSE_U = 1;

/* What an interval departs by from the heat of its jars, besides their volumes: common practice, no
 * source. */
static const double INTERVAL_U = 0.01;

/* A kind and its place are named from there on: common practice, no source. */
static const double TOLD = 0.8;

/* ---- Sums of evidence, which may be of any size ---- */

typedef struct evidence {
    double ln;             /* of the sum of weights */
    double mean, variance; /* of a value, by the weights */
} evidence;

static const evidence NO_EVIDENCE = {-INFINITY, 0, 0};

static void gather_law(evidence *e, double ln_weight, double mean, double variance) {
    const double nothing = 40; /* in ln, below what is there */
    if (!(ln_weight > e->ln - nothing)) return;
    double more = fmax(e->ln, ln_weight);
    double before = exp(e->ln - more), now = exp(ln_weight - more), off = mean - e->mean;
    double part = now / (before + now);
    e->mean += part * off;
    e->variance += part * (variance - e->variance + (1 - part) * off * off);
    e->ln = more + log(before + now);
}

static void gather(evidence *e, double ln_weight, double value) {
    gather_law(e, ln_weight, value, 0);
}

/* For each cause, at each jar: slips of jar k, missing or paused behind k jars. */
typedef struct findings {
    evidence clean, still, charge_l, charge_pct, readings;
    evidence *slip, *missing, *pause;
} findings;

/* ---- One run, from one node ---- */

/* A row as a node and a noise see it: made independent, and turned so that what the unknowns take of
 * any column of rows is the square of a sum. */
typedef struct seen_row {
    double free; /* what is left of the reading */
    double turned[JL_UNKNOWNS];
    double gain, narrow; /* of the filter */
} seen_row;

/* A node by one noise. */
typedef struct view {
    seen_row *rows;
    double all[JL_UNKNOWNS]; /* sums over the unknowns of what is left */
    double ln_clean;
} view;

/* What rows behind a place come to, when each reads so much more and the jars' sum, as the filter has
 * it, was off by w litres there: squares, products with what is left, and sums over the unknowns, as
 * polynomials in w. */
typedef struct tail {
    double squares[3], product[2];
    double turned[2][JL_UNKNOWNS];
} tail;

typedef struct bout {
    const jl_learning_run *run;
    jl_look *look;
    size_t rows;
    double ln_place;       /* how much less likely a fault is at each place */
    double jar_l;          /* the size of the jars that may be missing */
    size_t moments;        /* jars with a moment */
    size_t *moment_of;     /* and which these are */
    double *values;        /* room for all of the following */
    double *gap_predicted; /* for each gap what the rows should read, if it came first */
    double *gap_heat;      /* and the heat at each moment; in front of them without a gap */
    double *clock;         /* ln of how much longer each interval took */
    double *clock_inverse; /* of the covariance of that, for a level of the heat's variance */
    double *shows;         /* how much of a change of pace each interval shows */
    double net_w, clock_level, clock_ln_det;
    double *clock_pull;         /* that inverse times the clock */
    double *later, *later_pull; /* what a gap does to the clock, and the inverse times that */
    double *gap_clock;   /* for each gap, behind each jar: what it does to the clock's ln density */
    double *pause_clock; /* the same of a pause in each interval */
    view view;
    double ln_clean[JL_NOISES]; /* of the node that is looked at, by each noise */
    tail *still_thermometers;   /* for each gap, behind each jar: rows that are no strengths */
    double best;                /* ln of the most evidence so far */
    const jl_node *best_node;   /* without any fault, and ln of its evidence */
    double ln_best, other_gain; /* and what another still could gain upon it */
    double ln_prior_most;
    findings found;
} bout;

/* ---- Clock ---- */

static size_t intervals_of(const bout *b) {
    return b->moments > 1 ? b->moments - 1 : 0;
}

static double length_s(const bout *b, size_t interval) {
    const jl_learning_jar *jars = b->run->jars;
    return jars[b->moment_of[interval + 1]].full_s - jars[b->moment_of[interval]].full_s;
}

/* Below this an interval is as long as moments are off, and may even be none: of three whole minutes one
 * may be of the writing. */
static double short_s(const bout *b) {
    return 12 * b->look->widths->time_s;
}

/* The ln of a time, but straight where it is short, so that what moments are off by stays normal. */
static double ln_of(const bout *b, double s) {
    double least_s = short_s(b);
    return s > least_s ? log(s) : log(least_s) + s / least_s - 1;
}

/* How much of a change of pace an interval shows in that. */
static double shows(const bout *b, size_t interval) {
    const double *end_l = b->look->linear.end_l;
    const size_t *moment = b->moment_of;
    const jl_learning_jar *jars = b->run->jars;
    double all_s = jars[moment[b->moments - 1]].full_s - jars[moment[0]].full_s;
    double all_l = end_l[moment[b->moments - 1]] - end_l[moment[0]];
    double usual_s = all_s * (end_l[moment[interval + 1]] - end_l[moment[interval]]) / all_l;
    return fmin(fmax(usual_s, length_s(b, interval)) / short_s(b), 1);
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

/* Over a night, or where the log says that the heat was off, the clock tells nothing. */
static bool is_timed(const bout *b, size_t interval) {
    return length_s(b, interval) <= JL_JAR_LONGEST_S &&
           !b->run->jars[b->moment_of[interval + 1]].paused;
}

/* Variance of an interval's heat, in ln. */
static double variance_of_jars(const bout *b, size_t interval) {
    size_t from = b->moment_of[interval], to = b->moment_of[interval + 1];
    const double *end_l = b->look->linear.end_l;
    double sum = 0, volume_l = end_l[to] - end_l[from];
    for (size_t k = from + 1; k <= to; k++)
        sum += b->run->jars[k].volume_u_l * b->run->jars[k].volume_u_l;
    return INTERVAL_U * INTERVAL_U + sum / (volume_l * volume_l);
}

static double covariance_of(const bout *b, size_t i, size_t j, double level) {
    const double anything = 1e4; /* of a variance in ln */
    double read_i = b->look->widths->time_s / fmax(length_s(b, i), short_s(b));
    double read_j = b->look->widths->time_s / fmax(length_s(b, j), short_s(b));
    size_t fewer = b->moment_of[(i < j ? i : j) + 1];
    double sum = level + JL_HEAT_WALK * JL_HEAT_WALK * (double)fewer;
    if (i == j) sum += variance_of_jars(b, i);
    sum *= b->shows[i] * b->shows[j];
    if (i == j) sum += 2 * read_i * read_i;
    if (i + 1 == j || j + 1 == i) sum -= read_i * read_j;
    if (i == j && !is_timed(b, i)) sum += anything;
    return sum;
}

/* Nodes mostly have the same level, or nearly; within a twentieth is the same: common practice, no
 * source. */
static void invert_clock(bout *b, double level) {
    size_t count = intervals_of(b);
    if (fabs(b->clock_level - level) <= 0.05 * level) return;
    b->clock_level = level;
    b->clock_ln_det = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++)
            b->clock_inverse[i * count + j] = covariance_of(b, i, j, level);
    gsl_matrix_view m = gsl_matrix_view_array(b->clock_inverse, count, count);
    gsl_linalg_cholesky_decomp1(&m.matrix);
    for (size_t i = 0; i < count; i++) b->clock_ln_det += 2 * log(b->clock_inverse[i * count + i]);
    gsl_linalg_cholesky_invert(&m.matrix);
}

/* ln of the time that the boiling takes from one heat to another. */
static double ln_time(const bout *b, double from_j, double to_j) {
    return ln_of(b, fmax(to_j - from_j, 1) / b->net_w);
}

/* ---- A node ---- */

static void predict_gaps(bout *b, int gaps) {
    const jl_linear *l = &b->look->linear;
    jl_batch batch = jl_run_batch(&b->look->tracks->base, b->run, b->look->at);
    for (int g = -1; g < gaps; g++) {
        double lost_l = g < 0 ? 0 : GAP[g] * b->jar_l;
        size_t milestone = 0;
        if (g >= 0) jl_linear_predict(l, &batch, lost_l, b->gap_predicted + (size_t)g * b->rows);
        for (size_t i = 0; i < b->moments; i++) {
            jl_waypoint at = jl_batch_on_to(&batch, lost_l + l->end_l[b->moment_of[i]], &milestone);
            b->gap_heat[(size_t)(g + 1) * b->moments + i] =
                jl_batch_heat_j(&batch, &at, b->run->boiler_heat_j_k);
        }
    }
}

/* What the rows hold for one noise, as the filter left them, by what the unknowns are afterwards. */
static void see_rows(const bout *b, const jl_normal *prior, const jl_normal *after, view *v) {
    double factor[JL_UNKNOWNS][JL_UNKNOWNS];
    jl_factor(after, factor);
    memset(v->all, 0, sizeof v->all);
    for (size_t i = 0; i < b->rows; i++) {
        const jl_linear_row *row = &b->look->linear.rows[i];
        const double *column = row->independent;
        seen_row *seen = &v->rows[i];
        *seen = (seen_row){.free = column[JL_DATA], .gain = row->gain, .narrow = row->narrow};
        for (int k = 0; k < JL_UNKNOWNS; k++) seen->free -= column[k] * prior->mean[k];
        for (int j = 0; j < JL_UNKNOWNS; j++) {
            if (column[j] == 0) continue;
            for (int k = 0; k <= j; k++) seen->turned[k] += factor[j][k] * column[j];
        }
        for (int k = 0; k < JL_UNKNOWNS; k++) v->all[k] += seen->free * seen->turned[k];
    }
}

/* One row more in front: it reads so much more. */
static void prepend(const jl_linear_row *row, const seen_row *seen, double more, tail *t) {
    double a = more * seen->narrow, b = -row->per_l * seen->narrow;
    double to = seen->gain * more, keeps = 1 - seen->gain * row->per_l;
    t->squares[0] += a * a + to * (t->squares[1] + to * t->squares[2]);
    t->squares[1] = 2 * a * b + keeps * (t->squares[1] + 2 * to * t->squares[2]);
    t->squares[2] = b * b + keeps * keeps * t->squares[2];
    t->product[0] += a * seen->free + to * t->product[1];
    t->product[1] = b * seen->free + keeps * t->product[1];
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        t->turned[0][k] += a * seen->turned[k] + to * t->turned[1][k];
        t->turned[1][k] = b * seen->turned[k] + keeps * t->turned[1][k];
    }
}

/* What the ln of the evidence gains when a column of rows is taken off the readings. */
static double gain_of(const view *v, const tail *t) {
    double gain = 2 * t->product[0] - t->squares[0];
    for (int k = 0; k < JL_UNKNOWNS; k++)
        gain += t->turned[0][k] * (t->turned[0][k] - 2 * v->all[k]);
    return gain / 2;
}

/* Readings that are all off by as much, or in proportion, on average by an unknown % vol. Those of the
 * charge are not: an alcoholometer of another scale, a temperature that was not taken. */
static double try_readings(bout *b, double ln_clean) {
    const double wide = JL_READINGS_WRONG_U_PCT * JL_READINGS_WRONG_U_PCT;
    size_t count = b->look->linear.strengths;
    double mean_pct = 0, best = -INFINITY;
    for (size_t i = 0; i < count; i++) mean_pct += b->look->linear.rows[i].read / (double)count;
    for (int in_proportion = 0; in_proportion < 2; in_proportion++) {
        tail t = {.squares = {0}};
        for (size_t i = count; i-- > 0;) {
            const jl_linear_row *row = &b->look->linear.rows[i];
            prepend(row, &b->view.rows[i], in_proportion ? row->read / mean_pct : 1, &t);
        }
        double alone = t.squares[0], pull = t.product[0];
        for (int k = 0; k < JL_UNKNOWNS; k++) {
            alone -= t.turned[0][k] * t.turned[0][k];
            pull -= t.turned[0][k] * b->view.all[k];
        }
        double more = 1 + wide * fmax(alone, 0);
        double ln = ln_clean + (wide * pull * pull / more - log(more)) / 2 + log(READINGS / 2);
        gather(&b->found.readings, ln, wide * pull / more);
        best = fmax(best, ln);
    }
    return best;
}

/* A slip of unknown size adds a variance to one row. behind: the rows behind it. */
static void try_slip(bout *b, const view *v, size_t i, const tail *behind) {
    const double wide = SLIP_U_PCT * SLIP_U_PCT;
    const jl_linear_row *row = &b->look->linear.rows[i];
    const seen_row *seen = &v->rows[i];
    double alone = seen->narrow * seen->narrow + behind->squares[2] * seen->gain * seen->gain;
    double pull = seen->narrow * seen->free + behind->product[1] * seen->gain;
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        double turned = seen->narrow * seen->turned[k] + behind->turned[1][k] * seen->gain;
        alone -= turned * turned;
        pull -= turned * v->all[k];
    }
    double more = 1 + wide * alone;
    double ln_gain = (wide * pull * pull / more - log(more)) / 2;
    gather(&b->found.slip[row->jar], v->ln_clean + ln_gain + log(SLIP) + b->ln_place,
           row->read - wide * pull / more);
}

static void try_slips(bout *b, const view *v) {
    tail t = {.squares = {0}};
    for (size_t i = b->look->linear.strengths; i-- > 0;) {
        try_slip(b, v, i, &t);
        prepend(&b->look->linear.rows[i], &v->rows[i], 0, &t);
    }
}

static double later_of(const bout *b, int gap, size_t row) {
    return b->gap_predicted[(size_t)gap * b->rows + row] - b->look->linear.rows[row].predicted;
}

static void add_alone(const tail *one, tail *t) {
    t->squares[0] += one->squares[0];
    t->product[0] += one->product[0];
    for (int k = 0; k < JL_UNKNOWNS; k++) t->turned[0][k] += one->turned[0][k];
}

/* Rows of the still's thermometers depend on no row before: those of each jar. */
static void gather_thermometers(bout *b, const view *v, int gap) {
    memset(b->still_thermometers, 0, b->run->count * sizeof *b->still_thermometers);
    for (size_t i = b->look->linear.strengths; i < b->rows; i++) {
        const jl_linear_row *row = &b->look->linear.rows[i];
        tail one = {.squares = {0}};
        prepend(row, &v->rows[i], later_of(b, gap, i), &one);
        add_alone(&one, &b->still_thermometers[row->jar]);
    }
}

/* Rows behind a gap read what they would read later. */
static void try_gap(bout *b, const view *v, int gap) {
    tail t = {.squares = {0}};
    size_t count = b->run->count, left = b->look->linear.strengths;
    double ln_chance = v->ln_clean + log(MISSING * GAP_WEIGHT[gap]) + b->ln_place;
    gather_thermometers(b, v, gap);
    for (size_t behind = count; behind-- > 0;) {
        if (left > 0 && b->look->linear.rows[left - 1].jar == behind) {
            left--;
            prepend(&b->look->linear.rows[left], &v->rows[left], later_of(b, gap, left), &t);
        }
        add_alone(&b->still_thermometers[behind], &t);
        gather(&b->found.missing[behind],
               ln_chance + gain_of(v, &t) + b->gap_clock[(size_t)gap * count + behind], GAP[gap]);
    }
}

/* ---- The clock's part of it ---- */

/* What a gap does to each interval that lies behind it. */
static void find_later(bout *b, int gap) {
    const double *plain = b->gap_heat, *shifted = b->gap_heat + (size_t)(gap + 1) * b->moments;
    for (size_t i = 0; i < intervals_of(b); i++)
        b->later[i] = ln_time(b, plain[i], plain[i + 1]) - ln_time(b, shifted[i], shifted[i + 1]);
}

/* From the last interval on: squares and products of those that lie behind a gap, and of the one in
 * which it came. */
static void try_gap_on_clock(bout *b, int gap) {
    const double *plain = b->gap_heat, *shifted = b->gap_heat + (size_t)(gap + 1) * b->moments;
    size_t count = intervals_of(b), left = count;
    double sum = 0;
    find_later(b, gap);
    memset(b->later_pull, 0, count * sizeof *b->later_pull);
    for (size_t behind = b->run->count; behind-- > 0;) {
        for (; left > 0 && b->moment_of[left - 1] >= behind; left--) {
            size_t i = left - 1;
            const double *row = b->clock_inverse + i * count;
            sum +=
                b->later[i] * (2 * b->clock_pull[i] + 2 * b->later_pull[i] + b->later[i] * row[i]);
            for (size_t j = 0; j < count; j++) b->later_pull[j] += b->later[i] * row[j];
        }
        double within = 0;
        if (left > 0 && b->moment_of[left] >= behind) {
            size_t i = left - 1;
            double one = ln_time(b, plain[i], plain[left]) - ln_time(b, plain[i], shifted[left]);
            within = one * (2 * b->clock_pull[i] + 2 * b->later_pull[i] +
                            one * b->clock_inverse[i * count + i]);
        }
        b->gap_clock[(size_t)gap * b->run->count + behind] = -(sum + within) / 2;
    }
}

/* A pause makes one interval longer by a factor whose ln is half-normal. */
static void try_pauses_on_clock(bout *b) {
    size_t count = intervals_of(b);
    for (size_t i = 0; i < count; i++) {
        double alone = b->clock_inverse[i * count + i], pull = b->clock_pull[i];
        double more = 1 / (PAUSE_U * PAUSE_U) + alone;
        b->pause_clock[i] = pull * pull / more / 2 - log(PAUSE_U * PAUSE_U * more) / 2 +
                            log(2 * fmax(gsl_cdf_ugaussian_P(pull / sqrt(more)), 1e-300)) +
                            log(PAUSE) + b->ln_place;
    }
}

static double try_charge(bout *b, const jl_gram *gram, const jl_normal *prior, double ln_others) {
    jl_normal wide = *prior, after;
    double share = JL_CHARGE_WRONG_U * JL_CHARGE_WRONG_U,
           pct = JL_CHARGE_WRONG_U * b->run->charge_strength_pct;
    double high[JL_UNKNOWNS], high_pct = 0, high_variance = 0, charge_l = b->run->charge_l;
    wide.covariance[JL_UNKNOWN_SCALE][JL_UNKNOWN_SCALE] += share;
    wide.covariance[JL_UNKNOWN_CHARGE_PCT][JL_UNKNOWN_CHARGE_PCT] += pct * pct;
    double ln = ln_others + jl_condition(gram, &wide, &after, NULL) + log(CHARGE);
    jl_charge_read_high(b->run, high);
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        high_pct += high[k] * after.mean[k];
        for (int j = 0; j < JL_UNKNOWNS; j++)
            high_variance += high[k] * after.covariance[k][j] * high[j];
    }
    gather_law(&b->found.charge_l, ln, charge_l * (1 - after.mean[JL_UNKNOWN_SCALE]),
               charge_l * charge_l * after.covariance[JL_UNKNOWN_SCALE][JL_UNKNOWN_SCALE]);
    gather_law(&b->found.charge_pct, ln, b->run->charge_strength_pct - high_pct, high_variance);
    return ln;
}

/* What the clock says without any fault: ln of its density, 0 where there is none. */
static double look_at_clock(bout *b, const jl_node *n, bool *clock) {
    double level, ln_w, squares = 0;
    size_t count = intervals_of(b);
    *clock = net_of(b, n, &ln_w, &level);
    if (!*clock) return 0;
    invert_clock(b, level);
    b->net_w = exp(ln_w);
    for (size_t i = 0; i < count; i++)
        b->clock[i] = ln_of(b, length_s(b, i)) - ln_time(b, b->gap_heat[i], b->gap_heat[i + 1]);
    for (size_t i = 0; i < count; i++) {
        b->clock_pull[i] = 0;
        for (size_t j = 0; j < count; j++)
            b->clock_pull[i] += b->clock_inverse[i * count + j] * b->clock[j];
        squares += b->clock_pull[i] * b->clock[i];
    }
    return -(squares + b->clock_ln_det) / 2;
}

static void try_clock(bout *b, bool clock) {
    memset(b->gap_clock, 0, GAPS * b->run->count * sizeof *b->gap_clock);
    if (!clock) return;
    for (int g = 0; g < GAPS; g++) try_gap_on_clock(b, g);
    try_pauses_on_clock(b);
}

/* ---- Whether another still may say it better ---- */

/* From one still to another all readings change smoothly: by a few waves over the run. Common practice,
 * no source. */
enum { WAVES = 4 };

/* What the ln of the evidence would gain at most by waves in some rows. */
static double gain_of_waves(const view *v, size_t first, size_t count) {
    double gain = 0;
    for (int wave = 0; wave < WAVES; wave++) {
        double pull = 0, alone = 0, turned[JL_UNKNOWNS] = {0};
        for (size_t i = 0; i < count; i++) {
            const seen_row *seen = &v->rows[first + i];
            double height = cos(M_PI * wave * ((double)i + 0.5) / (double)count);
            pull += height * seen->free;
            alone += height * height;
            for (int k = 0; k < JL_UNKNOWNS; k++) turned[k] += height * seen->turned[k];
        }
        for (int k = 0; k < JL_UNKNOWNS; k++) {
            pull -= turned[k] * v->all[k];
            alone -= turned[k] * turned[k];
        }
        gain += alone > 1e-6 ? pull * pull / alone / 2 : 0;
    }
    return gain;
}

static double gain_of_pace(const bout *b) {
    size_t count = intervals_of(b);
    double pull = 0, alone = 0;
    for (size_t i = 0; i < count; i++) {
        pull += b->shows[i] * b->clock_pull[i];
        for (size_t j = 0; j < count; j++)
            alone += b->shows[i] * b->shows[j] * b->clock_inverse[i * count + j];
    }
    return pull * pull / alone / 2;
}

/* All that another still could gain: in strengths, in each of the still's thermometers, and by its
 * heat. */
static double gain_of_other(const bout *b, const view *v, bool clock) {
    double gain = clock ? gain_of_pace(b) : 0;
    for (size_t first = 0, next = 0; first < b->rows; first = next) {
        const jl_linear_row *rows = b->look->linear.rows;
        while (next < b->rows && rows[next].of == rows[first].of) next++;
        gain += gain_of_waves(v, first, next - first);
    }
    return gain;
}

/* Nodes whose evidence, without fault or with another charge or readings, is less by that in ln are
 * looked at no closer: common practice, no source. */
static const double FAR_BEHIND = 10;

static void try_closer(bout *b, const jl_node *n, bool clock) {
    predict_gaps(b, GAPS);
    try_clock(b, clock);
    for (int k = 0; k < JL_NOISES; k++) {
        jl_gram gram;
        view *v = &b->view;
        v->ln_clean = b->ln_clean[k];
        jl_linear_gram(&b->look->linear, k, &gram);
        see_rows(b, &n->prior, &n->found[k], v);
        if (k == 0 && b->best_node == n) b->other_gain = gain_of_other(b, v, clock);
        try_slips(b, v);
        for (int g = 0; g < GAPS; g++) try_gap(b, v, g);
        for (size_t i = 0; clock && i < intervals_of(b); i++)
            gather(&b->found.pause[b->moment_of[i] + 1], v->ln_clean + b->pause_clock[i], 0);
    }
}

/* All causes at one node of the still as it is known. */
static void try_all(bout *b, jl_node *n) {
    bool clock;
    double best = -INFINITY;
    jl_look_from(b->look, n, n->prior.mean);
    predict_gaps(b, 0);
    double ln_clock = look_at_clock(b, n, &clock);
    for (int k = 0; k < JL_NOISES; k++) {
        jl_gram gram;
        double ln_others = n->ln_prior + log(JL_NOISE_WEIGHT[k]) + ln_clock;
        b->ln_clean[k] = n->ln_prior + ln_clock + jl_look_condition(b->look, k, n, &gram);
        gather(&b->found.clean, b->ln_clean[k], 0);
        double ln_charge = try_charge(b, &gram, &n->prior, ln_others);
        see_rows(b, &n->prior, &n->found[k], &b->view);
        double ln_readings = try_readings(b, b->ln_clean[k]);
        best = fmax(best, fmax(b->ln_clean[k], fmax(ln_charge, ln_readings)));
    }
    jl_node_settle(n);
    b->best = fmax(b->best, best);
    if (b->best_node == NULL || n->ln_evidence + ln_clock > b->ln_best) {
        b->best_node = n;
        b->ln_best = n->ln_evidence + ln_clock;
        b->other_gain = INFINITY; /* unless it is looked at closer */
    }
    b->ln_prior_most = fmax(b->ln_prior_most, n->ln_prior);
    if (best > b->best - FAR_BEHIND) try_closer(b, n, clock);
}

/* The run without fault on any other still. */
static void try_other(bout *b, jl_node *n) {
    bool clock;
    jl_look_from(b->look, n, n->prior.mean);
    predict_gaps(b, 0);
    double ln_clock = look_at_clock(b, n, &clock);
    jl_look_weigh(b->look, n);
    gather(&b->found.still, n->ln_evidence + log(STILL) + ln_clock, 0);
}

/* ---- What it comes to ---- */

/* ln of the sum. */
static double sum_of(const evidence *e, size_t count, size_t *best) {
    evidence sum = NO_EVIDENCE;
    *best = 0;
    for (size_t i = 0; i < count; i++) {
        if (e[i].ln > e[*best].ln) *best = i;
        gather(&sum, e[i].ln, 0);
    }
    return sum.ln;
}

/* A missing jar among the first is like a charge: common practice, no source. */
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
        [JL_CAUSE_SLIP] = {f->slip, count},      [JL_CAUSE_MISSING] = {f->missing, count},
        [JL_CAUSE_PAUSE] = {f->pause, count},    [JL_CAUSE_CHARGE] = {&f->charge_l, 1},
        [JL_CAUSE_READINGS] = {&f->readings, 1}, [JL_CAUSE_STILL] = {&f->still, 1},
    };
    double ln[JL_CAUSES];
    evidence all = NO_EVIDENCE;
    *d = (jl_diagnosis){0};
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++) {
        jl_suspicion *s = &d->of[k];
        ln[k] = sum_of(causes[k].of, causes[k].count, &s->jar);
        s->jar_share = isfinite(ln[k]) ? exp(causes[k].of[s->jar].ln - ln[k]) : 0;
        s->jar_told = s->jar_share >= TOLD;
        gather(&all, ln[k], 0);
    }
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++)
        d->of[k].share = isfinite(all.ln) ? exp(ln[k] - all.ln) : 0;
    d->odds = exp(fmin(all.ln - f->clean.ln, 600));
    d->strength_pct = f->slip[d->of[JL_CAUSE_SLIP].jar].mean;
    d->missing_jars = f->missing[d->of[JL_CAUSE_MISSING].jar].mean;
    d->charge_l = f->charge_l.mean;
    d->charge_strength_pct = f->charge_pct.mean;
    d->charge_l_u = sqrt(fmax(f->charge_l.variance, 0));
    d->charge_strength_u_pct = sqrt(fmax(f->charge_pct.variance, 0));
    d->readings_high_pct = f->readings.mean;
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
    b->ln_place = count > JARS_USUAL ? log((double)JARS_USUAL / (double)count) : 0;
    size_t m = b->moments;
    double *at = calloc(rows * GAPS + m * (GAPS + 1) + 6 * m + m * m + GAPS * count, sizeof *at);
    b->values = at;
    b->view.rows = calloc(rows, sizeof *b->view.rows);
    b->still_thermometers = calloc(count, sizeof *b->still_thermometers);
    b->found.slip = calloc(3 * count, sizeof *b->found.slip);
    if (at == NULL || b->view.rows == NULL || b->still_thermometers == NULL ||
        b->found.slip == NULL)
        return JL_MEMORY;
    b->found.missing = b->found.slip + count;
    b->found.pause = b->found.missing + count;
    for (size_t k = 0; k < 3 * count; k++) b->found.slip[k] = NO_EVIDENCE;
    b->found.clean = b->found.still = b->found.readings = NO_EVIDENCE;
    b->found.charge_l = b->found.charge_pct = NO_EVIDENCE;
    b->best = b->ln_prior_most = -INFINITY;
    b->clock_level = NAN;
    carve(&at, &b->gap_predicted, rows * GAPS);
    carve(&at, &b->gap_heat, m * (GAPS + 1));
    carve(&at, &b->clock, m);
    carve(&at, &b->shows, m);
    carve(&at, &b->clock_pull, m);
    carve(&at, &b->later, m);
    carve(&at, &b->later_pull, m);
    carve(&at, &b->pause_clock, m);
    carve(&at, &b->clock_inverse, m * m);
    carve(&at, &b->gap_clock, GAPS * count);
    for (size_t i = 0; i < intervals_of(b); i++) b->shows[i] = shows(b, i);
    return JL_OK;
}

static void close_bout(bout *b) {
    free(b->moment_of);
    free(b->values);
    free(b->view.rows);
    free(b->still_thermometers);
    free(b->found.slip);
}

/* As good a guess of the heating as the still as it was said has. */
static double efficiency_of(const jl_learnt_still *still) {
    double ln = 0;
    for (size_t i = 0; i < still->count; i++)
        ln += still->of[i].weight * still->of[i].mean[JL_LEARNT_LN_EFFICIENCY];
    return fmin(exp(ln), 1);
}

static jl_status try_others(bout *b, const jl_learnt_still *still, jl_learnt_still *unknown,
                            jl_points *others) {
    if (still->any_share || b->ln_prior_most - b->best_node->ln_prior + b->other_gain < -log(STILL))
        return JL_OK;
    jl_status status = jl_still_unknown(b->look->widths, efficiency_of(still), unknown);
    if (status == JL_OK) status = jl_points_of(unknown, b->look, others);
    for (size_t i = 0; status == JL_OK && i < others->count; i++) try_other(b, &others->nodes[i]);
    return status;
}

jl_status jl_look_diagnose(jl_look *look, const jl_points *points, jl_learnt_still *unknown,
                           jl_points *others, jl_diagnosis *diagnosis) {
    bout b = {.run = look->run, .look = look};
    *others = (jl_points){unknown, NULL, 0};
    jl_status status = open_bout(&b);
    for (size_t i = 0; status == JL_OK && i < points->count; i++) try_all(&b, &points->nodes[i]);
    if (status == JL_OK) status = try_others(&b, points->still, unknown, others);
    if (status == JL_OK && !isfinite(b.found.clean.ln)) status = JL_NUMERIC;
    if (status == JL_OK) conclude(&b, diagnosis);
    close_bout(&b);
    return status;
}

jl_status jl_run_diagnose(const jl_learning_run *run, const jl_learnt_still *still,
                          const jl_learning_widths *widths, jl_diagnosis *diagnosis) {
    jl_look *look = NULL;
    jl_learnt_still unknown;
    jl_points points = {still, NULL, 0}, others = {&unknown, NULL, 0};
    if (!jl_learning_widths_ok(widths) || !jl_learnt_ok(still)) return JL_RANGE;
    jl_status status = jl_learning_run_check(run, 1);
    if (status == JL_OK) status = jl_look_open(run, widths, &look);
    if (status == JL_OK) status = jl_points_of(still, look, &points);
    if (status == JL_OK) status = jl_look_diagnose(look, &points, &unknown, &others, diagnosis);
    jl_points_free(&points);
    jl_points_free(&others);
    jl_look_close(look);
    return status;
}
