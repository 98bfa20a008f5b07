/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "uncertainty/budget.h"
#include "text/array.h"

#include <stdlib.h>
#include <string.h>

struct jl_budget {
    jl_input *inputs;
    size_t *cause_of;    /* by input */
    const char **causes; /* at most as many as inputs */
    size_t count, room, cause_count;
    jl_status status;
};

jl_budget *jl_budget_new(void) {
    return calloc(1, sizeof(jl_budget));
}

void jl_budget_free(jl_budget *b) {
    if (b == NULL) return;
    free(b->inputs);
    free(b->cause_of);
    free(b->causes);
    free(b);
}

size_t jl_budget_count(const jl_budget *b) {
    return b->count;
}

/* ---- Inputs ---- */

static jl_status make_room(jl_budget *b) {
    size_t inputs = b->room, causes = inputs;
    bool grown = jl_grow(&b->inputs, b->count, &inputs, sizeof *b->inputs) &&
                 jl_grow(&b->causes, b->count, &causes, sizeof *b->causes) &&
                 jl_grow(&b->cause_of, b->count, &b->room, sizeof *b->cause_of);
    return grown ? JL_OK : JL_MEMORY;
}

static size_t find_cause(jl_budget *b, const char *cause) {
    size_t i = 0;
    while (i < b->cause_count && strcmp(b->causes[i], cause) != 0) i++;
    if (i == b->cause_count) b->causes[b->cause_count++] = cause;
    return i;
}

size_t jl_budget_input(jl_budget *b, const char *cause, double width, jl_spread spread) {
    if (b->status == JL_OK) b->status = make_room(b);
    if (b->status != JL_OK) return 0;
    b->inputs[b->count] = (jl_input){0, width, spread};
    b->cause_of[b->count] = find_cause(b, cause);
    return b->count++;
}

/* ---- Together ---- */

/* What is taken as exact throughout still has its figures, each ± 0. */
static jl_status begin(jl_budget *b, jl_model *model, void *with, size_t figure_count,
                       jl_measurement *m) {
    if (b->count == 0) jl_budget_input(b, "nothing", 0, JL_NORMAL);
    *m = (jl_measurement){.model = model,
                          .with = with,
                          .inputs = b->inputs,
                          .input_count = b->count,
                          .figure_count = figure_count};
    return b->status;
}

jl_status jl_budget_first_order(jl_budget *b, jl_model *model, void *with, size_t figure_count,
                                jl_uncertainty *uncertainties) {
    jl_measurement m;
    jl_status status = begin(b, model, with, figure_count, &m);
    return status == JL_OK ? jl_first_order(&m, NULL, uncertainties) : status;
}

/* Shares of all inputs, uncertainties and draws, before they are put together. */
typedef struct parts {
    double *shares;
    jl_uncertainty *first;
    jl_drawn *drawn;
} parts;

static jl_status find(jl_measurement *m, const jl_draws *draws, parts *p) {
    m->progress = draws->progress;
    m->progress_with = draws->with;
    jl_status status = jl_first_order(m, p->shares, p->first);
    return status == JL_OK ? jl_monte_carlo(m, draws->count, draws->seed, p->drawn) : status;
}

static void put_together(const jl_budget *b, const parts *p, jl_combination *c) {
    for (size_t k = 0; k < c->figure_count; k++) {
        bool curved = jl_is_curved(p->first[k], p->drawn[k]);
        c->figures[k] = (jl_combined){p->first[k], p->drawn[k], curved,
                                      curved ? p->drawn[k].standard : p->first[k].standard};
        for (size_t i = 0; i < b->count; i++)
            c->shares[k * c->cause_count + b->cause_of[i]] += p->shares[k * b->count + i];
    }
    memcpy(c->causes, b->causes, c->cause_count * sizeof *c->causes);
}

void jl_combination_free(jl_combination *c) {
    free(c->figures);
    free(c->causes);
    free(c->shares);
}

static jl_status open_combination(jl_combination *c) {
    c->figures = calloc(c->figure_count, sizeof *c->figures);
    c->causes = calloc(c->cause_count, sizeof *c->causes);
    c->shares = calloc(c->figure_count, c->cause_count * sizeof *c->shares);
    if (c->figures != NULL && c->causes != NULL && c->shares != NULL) return JL_OK;
    return JL_MEMORY;
}

jl_status jl_budget_combine(jl_budget *b, jl_model *model, void *with, size_t figure_count,
                            const jl_draws *draws, jl_combination *found) {
    jl_measurement m;
    jl_status status = begin(b, model, with, figure_count, &m);
    if (status != JL_OK) return status;
    jl_combination c = {.figure_count = figure_count, .cause_count = b->cause_count};
    parts p = {calloc(figure_count, b->count * sizeof(double)),
               calloc(figure_count, sizeof *p.first), calloc(figure_count, sizeof *p.drawn)};
    status = open_combination(&c);
    if (p.shares == NULL || p.first == NULL || p.drawn == NULL) status = JL_MEMORY;
    if (status == JL_OK) status = find(&m, draws, &p);
    if (status == JL_OK) {
        put_together(b, &p, &c);
        *found = c;
    } else
        jl_combination_free(&c);
    free(p.shares);
    free(p.first);
    free(p.drawn);
    return status;
}
