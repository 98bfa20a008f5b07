/* A learnt still as rows of a file.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The numbers behind the first stand in one cell, with blanks between and points in every locale: no
 * spreadsheet takes them for a number or splits them, nor for a formula, since no standard deviation
 * begins with a minus. */
#include "keys/facts.h"
#include "learn/learnt.h"
#include "text/status.h"

#include <math.h>
#include <string.h>

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
