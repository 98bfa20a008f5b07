/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/learnt.h"
#include "keys/facts.h"
#include "keys/settings.h"
#include "learn/mixture.h"
#include "learn/model.h"
#include "text/status.h"

#include <math.h>
#include <string.h>

const jl_learning_widths JL_LEARNING_WIDTHS = {.alcoholometer_pct = 0.29,
                                               .thermometer_c = 0.58,
                                               .thermometer_read_c = 0.144,
                                               .scale = 0.0082,
                                               .boiler_c = 0.58,
                                               .head_c = 0.58,
                                               .still_read_c = 0.2,
                                               .time_s = 17.3,
                                               .shift = JL_VAPOUR_OFF_U};
/* Common practice, no source. */
const double JL_CHARGE_WRONG_U = 0.1, JL_READINGS_WRONG_U_PCT = 3;
const jl_learning_told JL_LEARNING_TOLD = {
    .efficiency = 0.9, .stages = NAN, .share = NAN, .spread = NAN};
const double JL_LEARNT_SPREAD[JL_LEARNT_SPREADS] = {0.004, 0.012, 0.025, 0.045, 0.08};
const double JL_STAGES_FIRST[JL_STAGES_TRIED] = {1, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8};

/* A pot is the commonest still; the others are alike: common practice, no source. */
static const double POT_PRIOR = 0.25;
/* Stages stand for those halfway to their neighbours, the first and the last for these. */
static const double FIRST_SIDE = 0.25, LAST_SIDE = 1;
/* Half-normal with this standard deviation, for the spread of runs: up to 10 % of a reflux. */
static const double SPREAD_U = 0.03;

double jl_spread_prior(int spread) {
    double below = 0, above = 1;
    const double *at = JL_LEARNT_SPREAD;
    if (spread > 0) below = erf((at[spread - 1] + at[spread]) / 2 / SPREAD_U / M_SQRT2);
    if (spread + 1 < JL_LEARNT_SPREADS)
        above = erf((at[spread] + at[spread + 1]) / 2 / SPREAD_U / M_SQRT2);
    return above - below;
}

/* The stages that a place in a rising list stands for. */
static void cell_of(const double *stages, size_t count, size_t place, double *low, double *high) {
    double at = stages[place];
    bool first = place == 0 || stages[place - 1] <= 1, last = place + 1 == count;
    *low = first ? fmin(at, JL_STAGES_FIRST[1]) - FIRST_SIDE : (stages[place - 1] + at) / 2;
    *high = last ? fmax(at, JL_STAGES_FIRST[JL_STAGES_TRIED - 1]) + LAST_SIDE
                 : (stages[place + 1] + at) / 2;
}

/* Of the stages tried first each has as much as the others, spread evenly over its cell. */
static double chance_between(double low, double high) {
    double sum = 0;
    for (size_t i = 1; i < JL_STAGES_TRIED; i++) {
        double from, to;
        cell_of(JL_STAGES_FIRST, JL_STAGES_TRIED, i, &from, &to);
        double common = fmin(high, to) - fmax(low, from);
        if (common > 0) sum += (1 - POT_PRIOR) / (JL_STAGES_TRIED - 1) * common / (to - from);
    }
    return sum;
}

double jl_stages_prior(const double *stages, size_t count, size_t place) {
    double low, high;
    if (count == 1) return 1;
    if (stages[place] <= 1) return POT_PRIOR;
    cell_of(stages, count, place, &low, &high);
    return fmax(chance_between(low, high), 1e-6);
}

/* What halves the uncertainty of before is learnt. */
static const double HALF = 0.5;

/* ---- The most likely stages ---- */

const jl_learnt_stages *jl_learnt_best(const jl_learnt_still *still) {
    const jl_learnt_stages *best = &still->of[0];
    for (size_t i = 1; i < still->count; i++)
        if (still->of[i].weight > best->weight) best = &still->of[i];
    return best;
}

static double spread_variance(const jl_learnt_still *still) {
    double sum = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++)
        sum += still->spread_weight[k] * JL_LEARNT_SPREAD[k] * JL_LEARNT_SPREAD[k];
    return sum;
}

jl_still_known jl_learnt_known(const jl_learnt_still *still, double *vapour_off_share) {
    const jl_learnt_stages *best = jl_learnt_best(still);
    const int heat = JL_LEARNT_LN_EFFICIENCY;
    double shift = best->covariance[JL_LEARNT_SHIFT][JL_LEARNT_SHIFT];
    double both = best->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHIFT];
    double per_shift = shift > 0 ? both / shift : 0;
    double share = best->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE] - both * per_shift;
    double ln_u = sqrt(best->covariance[heat][heat] + JL_HEAT_SPREAD * JL_HEAT_SPREAD +
                       JL_HEAT_MODEL_U * JL_HEAT_MODEL_U);
    *vapour_off_share = best->mean[JL_LEARNT_SHIFT];
    return (jl_still_known){
        .reflux_share_u = best->stages > 1 ? sqrt(fmax(share, 0) + spread_variance(still)) : NAN,
        .efficiency_u = ln_u <= HALF * JL_HEAT_GUESS_U ? ln_u * exp(best->mean[heat]) : NAN,
        .vapour_u = sqrt(shift),
        .share_per_vapour = best->stages > 1 ? per_shift : NAN};
}

/* Rounding of what was written down may leave a variance that is no variance by a hair. */
static bool stages_ok(const jl_learnt_stages *s) {
    bool good =
        s->stages >= 1 && s->stages <= JL_STAGES_MOST && s->weight >= 0 && s->weight <= 1 + 1e-6;
    for (int k = 0; good && k < JL_LEARNT_COUNT; k++) {
        good = isfinite(s->mean[k]) && s->covariance[k][k] >= 0;
        for (int j = 0; good && j < k; j++) {
            double both = sqrt(s->covariance[k][k] * s->covariance[j][j]);
            good = s->covariance[k][j] == s->covariance[j][k] &&
                   fabs(s->covariance[k][j]) <= both * (1 + 1e-6);
        }
    }
    return good;
}

bool jl_learnt_ok(const jl_learnt_still *still) {
    double all = 0;
    bool good = still->count > 0 && still->count <= JL_LEARNT_STAGES_MOST;
    for (size_t i = 0; good && i < still->count; i++) {
        good = stages_ok(&still->of[i]);
        all += still->of[i].weight;
    }
    for (int k = 0; good && k < JL_LEARNT_SPREADS; k++) good = still->spread_weight[k] >= 0;
    return good && fabs(all - 1) < 1e-3;
}

/* ---- Stills of which nothing was learnt ---- */

static void add_stages(const jl_learning_widths *w, double stages, double weight, double efficiency,
                       jl_learnt_still *still) {
    jl_learnt_stages *to = &still->of[still->count++];
    *to = (jl_learnt_stages){.stages = stages, .weight = weight};
    const double width[JL_LEARNT_COUNT] = {
        [JL_LEARNT_SHIFT] = w->shift,
        [JL_LEARNT_SCALE] = w->scale,
        [JL_LEARNT_ALCOHOLOMETER] = w->alcoholometer_pct,
        [JL_LEARNT_THERMOMETER] = w->thermometer_c,
        [JL_LEARNT_BOILER] = w->boiler_c,
        [JL_LEARNT_HEAD] = w->head_c,
        [JL_LEARNT_LN_EFFICIENCY] = JL_HEAT_GUESS_U,
    };
    for (int k = 0; k < JL_LEARNT_COUNT; k++) to->covariance[k][k] = width[k] * width[k];
    to->mean[JL_LEARNT_LN_EFFICIENCY] = log(efficiency);
}

jl_status jl_still_unknown(const jl_learning_widths *widths, double efficiency,
                           jl_learnt_still *still) {
    if (!jl_learning_widths_ok(widths) || !(efficiency > 0 && efficiency <= 1)) return JL_RANGE;
    *still = (jl_learnt_still){.any_share = true};
    for (size_t i = 0; i < JL_STAGES_TRIED; i++)
        add_stages(widths, JL_STAGES_FIRST[i], jl_stages_prior(JL_STAGES_FIRST, JL_STAGES_TRIED, i),
                   efficiency, still);
    return JL_OK;
}

jl_status jl_still_said(double stages, double share, double share_u,
                        const jl_learning_widths *widths, double efficiency,
                        jl_learnt_still *still) {
    if (!jl_learning_widths_ok(widths) || !(efficiency > 0 && efficiency <= 1)) return JL_RANGE;
    if (!(stages >= 1 && stages <= JL_STAGES_MOST && share >= 0 && share <= JL_SHARE_END &&
          share_u >= 0 && share_u <= 1))
        return JL_RANGE;
    *still = (jl_learnt_still){0};
    add_stages(widths, stages, 1, efficiency, still);
    still->of[0].mean[JL_LEARNT_SHARE] = stages > 1 ? share : 0;
    still->of[0].covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE] = stages > 1 ? share_u * share_u : 0;
    return JL_OK;
}

/* ---- What can be said ---- */

static const double STAGES_TOLD = 0.9, STAGES_NEAR = 0.25, SHARE_TOLD = 0.15, POT_TOLD = 0.5,
                    POT_LITTLE = 0.1;
/* Less may be two vessels within their limits of 1 %. */
static const double SCALE_TOLD = 0.02;
/* Where less runs back, stages from one and a half on behave alike, and one run's luck would name
 * some. */
static const double SHARE_LITTLE = 0.2;
enum { SPREAD_RUNS = 3 };

static double weight_near(const jl_learnt_still *still, double stages) {
    double sum = 0;
    for (size_t i = 0; i < still->count; i++)
        if (fabs(still->of[i].stages - stages) <= STAGES_NEAR + 1e-9) sum += still->of[i].weight;
    return sum;
}

static bool tried_first(double stages) {
    for (int i = 0; i < JL_STAGES_TRIED; i++)
        if (JL_STAGES_FIRST[i] == stages) return true;
    return false;
}

/* Stages whose neighbours hold enough; those tried first go before quarters in between. */
static void tell_stages(const jl_learnt_still *still, jl_learnt_summary *s) {
    double most = -1, best = -1;
    for (size_t i = 0; i < still->count; i++) {
        const jl_learnt_stages *of = &still->of[i];
        double near = weight_near(still, of->stages);
        double merit = of->weight + (near >= STAGES_TOLD ? 2 : 0) +
                       (near >= STAGES_TOLD && tried_first(of->stages) ? 2 : 0);
        if (merit <= best) continue;
        best = merit;
        most = near;
        s->stages = of->stages;
    }
    bool little = !s->pot && s->share.low < SHARE_LITTLE;
    s->stages_told = most >= STAGES_TOLD && !still->any_share && !little;
}

static jl_estimate estimate_of(const jl_part *parts, size_t count) {
    jl_mixed m = jl_mix(parts, count);
    return (jl_estimate){m.mean, m.low, m.high};
}

static size_t parts_of(const jl_learnt_still *still, jl_learnt_of what, jl_part *parts) {
    size_t count = 0;
    for (size_t i = 0; i < still->count; i++) {
        const jl_learnt_stages *of = &still->of[i];
        parts[count++] = (jl_part){of->weight, of->mean[what], sqrt(of->covariance[what][what])};
    }
    return count;
}

static double part_within(const jl_learnt_stages *of, double value) {
    jl_part p = {1, of->mean[JL_LEARNT_SHARE],
                 sqrt(of->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE])};
    double low = jl_mixture_below(&p, 1, 0), high = jl_mixture_below(&p, 1, JL_SHARE_END);
    double below = jl_mixture_below(&p, 1, fmin(fmax(value, 0), JL_SHARE_END));
    if (high > low) return (below - low) / (high - low);
    return value >= fmin(fmax(p.mean, 0), JL_SHARE_END) ? 1 : 0; /* all of it lies in one place */
}

/* Shares lie from 0 to their end: normals cut there. */
static double share_below(const jl_learnt_still *still, double value) {
    double sum = 0, all = 0;
    for (size_t i = 0; i < still->count; i++) {
        if (still->of[i].stages <= 1) continue;
        sum += still->of[i].weight * part_within(&still->of[i], value);
        all += still->of[i].weight;
    }
    return sum / all;
}

static double share_quantile(const jl_learnt_still *still, double share) {
    enum { HALVINGS = 40 };
    double low = 0, high = JL_SHARE_END;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (low + high) / 2;
        if (share_below(still, middle) < share)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static void tell_share(const jl_learnt_still *still, jl_learnt_summary *s) {
    s->share = (jl_estimate){0, 0, 0};
    if (s->pot_weight >= 1 - 1e-9) return;
    s->share.low = share_quantile(still, 0.025);
    s->share.value = share_quantile(still, 0.5);
    s->share.high = share_quantile(still, 0.975);
    s->share_told = s->pot_weight < POT_LITTLE && !still->any_share &&
                    s->share.high - s->share.low <= SHARE_TOLD;
}

/* Of a few spreads with weights: mean and standard deviation. */
static void spread_moments(const double *weights, double *mean, double *standard) {
    double all = 0, sum = 0, squares = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++) {
        all += weights[k];
        sum += weights[k] * JL_LEARNT_SPREAD[k];
        squares += weights[k] * JL_LEARNT_SPREAD[k] * JL_LEARNT_SPREAD[k];
    }
    *mean = all > 0 ? sum / all : 0;
    *standard = all > 0 ? sqrt(fmax(squares / all - *mean * *mean, 0)) : 0;
}

static double spread_quantile(const double *weights, double share) {
    double all = 0, sum = 0;
    int k = 0;
    for (int i = 0; i < JL_LEARNT_SPREADS; i++) all += weights[i];
    while (k + 1 < JL_LEARNT_SPREADS && (sum += weights[k]) < share * all) k++;
    return JL_LEARNT_SPREAD[k];
}

static void tell_spread(const jl_learnt_still *still, jl_learnt_summary *s) {
    double before[JL_LEARNT_SPREADS], mean, standard, standard_before;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++) before[k] = jl_spread_prior(k);
    spread_moments(before, &mean, &standard_before);
    spread_moments(still->spread_weight, &mean, &standard);
    s->spread = (jl_estimate){mean, spread_quantile(still->spread_weight, 0.025),
                              spread_quantile(still->spread_weight, 0.975)};
    s->spread_told = !s->pot && still->runs >= SPREAD_RUNS && standard <= HALF * standard_before;
}

static void tell_rest(const jl_learnt_still *still, jl_learnt_summary *s) {
    jl_part parts[JL_LEARNT_STAGES_MOST];
    size_t count = parts_of(still, JL_LEARNT_SCALE, parts);
    jl_mixed scale = jl_mix(parts, count);
    s->scale = estimate_of(parts, count);
    s->scale_told = still->runs > 0 && fabs(scale.mean) > fmax(2 * scale.standard, SCALE_TOLD);
    count = parts_of(still, JL_LEARNT_LN_EFFICIENCY, parts);
    for (size_t i = 0; i < count; i++)
        parts[i].standard = hypot(parts[i].standard, JL_HEAT_MODEL_U);
    jl_mixed heat = jl_mix(parts, count);
    s->efficiency = (jl_estimate){exp(heat.mean), exp(heat.low), exp(heat.high)};
    s->efficiency_told = still->runs > 0 && heat.standard <= HALF * JL_HEAT_GUESS_U;
}

jl_status jl_learnt_summarize(const jl_learnt_still *still, jl_learnt_summary *summary) {
    if (!jl_learnt_ok(still)) return JL_RANGE;
    *summary = (jl_learnt_summary){0};
    for (size_t i = 0; i < still->count; i++)
        if (still->of[i].stages <= 1) summary->pot_weight += still->of[i].weight;
    summary->pot = summary->pot_weight >= POT_TOLD;
    tell_share(still, summary);
    tell_stages(still, summary);
    tell_spread(still, summary);
    tell_rest(still, summary);
    return JL_OK;
}

/* ---- As rows of a file ----
 *
 * The numbers behind the first stand in one cell, with blanks between and points in every locale: no
 * spreadsheet takes them for a number or splits them, nor for a formula, since no standard deviation
 * begins with a minus. */

enum {
    SPREADS = JL_LEARNT_SPREADS,
    OF_STAGES = 2 * JL_LEARNT_COUNT + JL_LEARNT_COUNT * (JL_LEARNT_COUNT - 1) / 2
};

static const char RUNS[] = "learnt_runs", STAGES[] = "learnt_stages";
static const char EXPECTED_RUNS[] = "runs, then five weights, as 3,0.6 0.3 0.1 0 0";
static const char EXPECTED_STAGES[] =
    "stages, their weight, then 8 standard deviations, 8 means and 28 correlations";
static const char EXPECTED_STILL[] =
    "what calibrate wrote: weights that add to 1, each stages once";

/* ---- Written ---- */

/* To nine decimals, without the noughts behind. */
static void add_number(char *text, double value) {
    size_t used = strlen(text);
    if (used > 0) text[used++] = ' ';
    jl_decimal_write(value, 9, text + used, JL_LEARNT_ROW_BYTES - used);
    size_t end = strlen(text);
    while (text[end - 1] == '0') end--;
    if (text[end - 1] == '.') end--;
    text[end] = '\0';
}

static void write_stages(const jl_learnt_stages *of, char *text) {
    double standard[JL_LEARNT_COUNT];
    text[0] = '\0';
    for (int k = 0; k < JL_LEARNT_COUNT; k++) {
        standard[k] = sqrt(of->covariance[k][k]);
        add_number(text, standard[k]);
    }
    for (int k = 0; k < JL_LEARNT_COUNT; k++) add_number(text, of->mean[k]);
    for (int k = 0; k < JL_LEARNT_COUNT; k++)
        for (int j = 0; j < k; j++) {
            double both = standard[k] * standard[j];
            add_number(text, both > 0 ? fmin(fmax(of->covariance[k][j] / both, -1), 1) : 0);
        }
}

jl_status jl_learnt_write(const jl_learnt_still *still, jl_learnt_rows *rows) {
    if (!jl_learnt_ok(still)) return JL_RANGE;
    rows->texts[0][0] = '\0';
    for (int k = 0; k < SPREADS; k++) add_number(rows->texts[0], still->spread_weight[k]);
    rows->rows[0] = (jl_fact_entry){RUNS, {(double)still->runs}, 1, rows->texts[0]};
    rows->count = 1;
    for (size_t i = 0; i < still->count; i++) {
        const jl_learnt_stages *of = &still->of[i];
        char *text = rows->texts[rows->count];
        write_stages(of, text);
        rows->rows[rows->count++] = (jl_fact_entry){STAGES, {of->stages, of->weight}, 2, text};
    }
    return JL_OK;
}

/* ---- Read ---- */

/* Numbers with blanks between, exactly so many. */
static jl_status read_numbers(const jl_fact *fact, size_t index, size_t count, const char *expected,
                              double *numbers, jl_fault *fault) {
    if (index >= fact->count) return jl_fact_fault(fact, index, JL_MISSING, expected, fault);
    const char *at = fact->values[index];
    for (size_t i = 0; i < count; i++) {
        at += strspn(at, " ");
        size_t length = strcspn(at, " ");
        if (jl_decimal_read(at, length, JL_COMMA_NONE, &numbers[i]) != JL_OK)
            return jl_fact_fault(fact, index, JL_FORM, expected, fault);
        at += length;
    }
    if (at[strspn(at, " ")] != '\0' || fact->count > index + 1)
        return jl_fact_fault(fact, index, JL_FORM, expected, fault);
    return JL_OK;
}

static jl_status read_runs(const jl_fact *fact, jl_learnt_still *still, jl_fault *fault) {
    double runs;
    jl_status status = jl_fact_number(fact, 0, 0, 1e6, EXPECTED_RUNS, &runs, fault);
    if (status != JL_OK) return status;
    still->runs = (size_t)runs;
    return read_numbers(fact, 1, SPREADS, EXPECTED_RUNS, still->spread_weight, fault);
}

static void take_stages(const double *numbers, jl_learnt_stages *to) {
    const double *standard = numbers, *mean = numbers + JL_LEARNT_COUNT;
    const double *correlation = mean + JL_LEARNT_COUNT;
    for (int k = 0; k < JL_LEARNT_COUNT; k++) {
        to->mean[k] = mean[k];
        to->covariance[k][k] = standard[k] * standard[k];
        for (int j = 0; j < k; j++)
            to->covariance[k][j] = to->covariance[j][k] =
                *correlation++ * standard[k] * standard[j];
    }
}

static jl_status read_stages(const jl_fact *fact, jl_learnt_still *still, jl_fault *fault) {
    double numbers[OF_STAGES];
    jl_learnt_stages of = {0};
    if (still->count == JL_LEARNT_STAGES_MOST)
        return jl_fact_fault(fact, 0, JL_RANGE, EXPECTED_STILL, fault);
    jl_status status = jl_fact_number(fact, 0, 1, 100, EXPECTED_STAGES, &of.stages, fault);
    if (status == JL_OK)
        status = jl_fact_number(fact, 1, 0, 1 + 1e-6, EXPECTED_STAGES, &of.weight, fault);
    if (status == JL_OK) status = read_numbers(fact, 2, OF_STAGES, EXPECTED_STAGES, numbers, fault);
    if (status != JL_OK) return status;
    take_stages(numbers, &of);
    if (still->count > 0 && of.stages <= still->of[still->count - 1].stages)
        return jl_fact_fault(fact, 0, JL_RANGE, EXPECTED_STILL, fault);
    still->of[still->count++] = of;
    return JL_OK;
}

/* One row; *last: the last of ours. */
static jl_status read_row(const jl_fact *fact, jl_learnt_still *read, const jl_fact **last,
                          jl_fault *fault) {
    if (strcmp(fact->key, RUNS) == 0) {
        *read = (jl_learnt_still){0}; /* what is written later holds */
        *last = fact;
        return read_runs(fact, read, fault);
    }
    if (strcmp(fact->key, STAGES) != 0) return JL_OK;
    bool begun = *last != NULL;
    *last = fact;
    return begun ? read_stages(fact, read, fault)
                 : jl_fact_fault(fact, 0, JL_FORM, EXPECTED_STILL, fault);
}

/* sections: only what stands before the first and in that one. */
static jl_status read_rows(const jl_facts *facts, bool sections, const jl_fact *section,
                           jl_learnt_still *still, jl_fault *fault) {
    jl_learnt_still read = {0};
    const jl_fact *fact, *last = NULL, *within = NULL;
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && (fact = jl_facts_at(facts, i)) != NULL; i++) {
        if (sections && jl_begins_section(fact)) within = fact;
        if (within == NULL || within == section) status = read_row(fact, &read, &last, fault);
    }
    if (status != JL_OK) return status;
    if (last == NULL) return jl_text_fault(fault, JL_MISSING, RUNS, EXPECTED_RUNS);
    if (!jl_learnt_ok(&read)) return jl_fact_fault(last, 0, JL_RANGE, EXPECTED_STILL, fault);
    *still = read;
    return JL_OK;
}

jl_status jl_learnt_read(const jl_facts *facts, jl_learnt_still *still, jl_fault *fault) {
    return read_rows(facts, false, NULL, still, fault);
}

jl_status jl_learnt_read_section(const jl_facts *facts, const jl_fact *section,
                                 jl_learnt_still *still, jl_fault *fault) {
    return read_rows(facts, true, section, still, fault);
}
