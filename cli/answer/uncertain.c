/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/uncertain.h"
#include "answer/assume.h"
#include "answer/progress.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DRAWS_USUAL = 10000, FIGURES_ABREAST = 4, INPUTS_MOST = 10000 };

struct uncertainty {
    jl_instruments in;
    bool used[JL_INSTRUMENTS];
    size_t common[JL_INSTRUMENTS][JL_WIDTHS]; /* place + 1 of an instrument's own error */
    jl_input *inputs;
    const char **causes; /* of each input */
    size_t count, room;
    size_t draws;
    uint32_t seed;
    bool intervals; /* draws were asked for: their intervals are shown */
};

static const char *const CAUSES[JL_INSTRUMENTS][JL_WIDTHS] = {
    {"alcoholometer's limit", "alcoholometer's certificate", "alcoholometer's division",
     "alcoholometer read again"},
    {"thermometer's limit", "thermometer's certificate", "thermometer's division",
     "thermometer read again"},
    {"jug's limit", "jug's certificate", "jug's division", "jug filled again"},
    {"scale's limit", "scale's certificate", "scale's division", "scale read again"},
    {"hydrometer's limit", "hydrometer's certificate", "hydrometer's division",
     "hydrometer read again"},
};

/* ---- Inputs ---- */

static int read_whole(const char *name, const char *text, double least, double most,
                      const char *expected, double *number) {
    int bad = arg_value(name, text, JL_NUMBER, number);
    if (bad != 0 || text == NULL) return bad;
    if (*number >= least && *number <= most && *number == floor(*number)) return 0;
    return fail_argument(name, text, JL_RANGE, expected);
}

int uncertainty_open(const uncertainty_options *o, const char *file, uncertainty **d) {
    double draws = DRAWS_USUAL, seed = 1;
    jl_instruments in;
    *d = NULL;
    int bad = read_whole("--monte-carlo", o->draws, 1000, 10000000,
                         "a whole number of draws from 1000 to 10000000", &draws);
    if (bad == 0)
        bad = read_whole("--seed", o->seed, 0, UINT32_MAX, "a whole number from 0 to 4294967295",
                         &seed);
    if (bad == 0 && (o->uncertainty != 0 || o->draws != NULL)) bad = instruments_read(file, &in);
    if (bad != 0) return bad;
    if (o->uncertainty == 0 && o->draws == NULL)
        return o->seed == NULL
                   ? 0
                   : fail(EXIT_USAGE, "--seed goes with --uncertainty or --monte-carlo");
    *d = need(calloc(1, sizeof **d));
    (*d)->in = in;
    (*d)->draws = (size_t)draws;
    (*d)->seed = (uint32_t)seed;
    (*d)->intervals = o->draws != NULL;
    return 0;
}

void uncertainty_usual_draws(uncertainty *d, size_t draws) {
    if (!d->intervals) d->draws = draws;
}

void uncertainty_set(uncertainty *d, jl_instrument which, jl_width what, double width) {
    d->in.width[which][what] = width;
    d->in.stated[which][what] = true;
}

void uncertainty_close(uncertainty *d) {
    if (d == NULL) return;
    free(d->inputs);
    free(d->causes);
    free(d);
}

size_t uncertainty_input(uncertainty *d, const char *cause, double width, jl_spread spread) {
    if (d->count == d->room) {
        d->room = d->room == 0 ? 64 : 2 * d->room;
        d->inputs = need(realloc(d->inputs, d->room * sizeof *d->inputs));
        d->causes = need(realloc(d->causes, d->room * sizeof *d->causes));
    }
    d->inputs[d->count] = (jl_input){0, width, spread};
    d->causes[d->count] = cause;
    return d->count++;
}

/* A certificate states U at k = 2, a limit bounds, a reading is within half a division. */
static size_t add(uncertainty *d, jl_instrument which, jl_width what) {
    double width = d->in.width[which][what];
    if (width == 0) return 0;
    bool normal = what == JL_CERTIFICATE || what == JL_REPEATABILITY;
    if (what == JL_CERTIFICATE) width /= JL_COVERAGE_K;
    if (what == JL_DIVISION) width /= 2;
    return 1 +
           uncertainty_input(d, CAUSES[which][what], width, normal ? JL_NORMAL : JL_RECTANGULAR);
}

measured uncertainty_measure(uncertainty *d, jl_instrument which, double value, double scale) {
    measured m = {
        .value = value, .scale = scale, .share = which == JL_BY_JUG || which == JL_BY_SCALE};
    if (!d->used[which])
        for (jl_width what = JL_LIMIT; what <= JL_CERTIFICATE; what++)
            d->common[which][what] = add(d, which, what);
    d->used[which] = true;
    for (jl_width what = JL_LIMIT; what <= JL_CERTIFICATE; what++)
        m.inputs[what] = d->common[which][what];
    for (jl_width what = JL_DIVISION; what <= JL_REPEATABILITY; what++)
        m.inputs[what] = add(d, which, what);
    return m;
}

double measured_at(const measured *m, const double *x) {
    double common = 0, own = 0;
    for (jl_width what = JL_LIMIT; what <= JL_CERTIFICATE; what++)
        if (m->inputs[what] > 0) common += x[m->inputs[what] - 1];
    for (jl_width what = JL_DIVISION; what <= JL_REPEATABILITY; what++)
        if (m->inputs[what] > 0) own += x[m->inputs[what] - 1];
    return m->value + (m->share ? m->value * common : m->scale * common) + m->scale * own;
}

measured uncertainty_strength(uncertainty *d, jl_quantity strength) {
    return uncertainty_measure(d, JL_BY_ALCOHOLOMETER, strength.value,
                               strength.unit == JL_UNIT_PROOF_US ? 2 : 1);
}

measured_amount uncertainty_amount(uncertainty *d, jl_amount amount) {
    measured_amount m = {.amount = amount};
    m.size = uncertainty_measure(d, amount.by_mass ? JL_BY_SCALE : JL_BY_JUG, amount.size, 1);
    m.strength = uncertainty_strength(d, amount.strength);
    m.temp = amount.measured ? uncertainty_measure(d, JL_BY_THERMOMETER, amount.temp_c, 1)
                             : (measured){.value = amount.temp_c};
    return m;
}

jl_status measured_amount_at(const measured_amount *m, const jl_alcoholometer *instrument,
                             const double *x, jl_spirit *spirit) {
    jl_amount amount = m->amount;
    amount.size = measured_at(&m->size, x);
    amount.strength.value = measured_at(&m->strength, x);
    amount.temp_c = measured_at(&m->temp, x);
    return jl_amount_spirit(&amount, instrument, spirit);
}

/* ---- The answer ---- */

/* What was found for all figures of one question. */
typedef struct found {
    const figure *figures;
    size_t count;
    jl_uncertainty *first;
    jl_drawn *drawn;
    double *shares;
} found;

static bool curved(const found *f, size_t k) {
    return jl_is_curved(f->first[k], f->drawn[k]);
}

/* Where the model is curved the Monte Carlo figure is taken. */
static double standard_taken(const found *f, size_t k) {
    return curved(f, k) ? f->drawn[k].standard : f->first[k].standard;
}

/* As many decimals as give two digits of an uncertainty (GUM 7.2.6). */
static int decimals_for(double expanded) {
    if (!(expanded > 0)) return 4;
    int decimals = 1 - (int)floor(log10(expanded));
    return decimals < 0 ? 0 : decimals > 7 ? 7 : decimals;
}

static void cell_number(show *s, double value, int decimals) {
    char text[48];
    show_cell_text(s, jl_decimal_write(value, decimals, text, sizeof text) == JL_OK ? text : NULL);
}

static void table_for_people(show *s, const uncertainty *d, const found *f) {
    static const column COLUMNS[] = {
        {NULL, "figure", "", 24, 0, true},           {NULL, "value", "", 10, 0, false},
        {NULL, "\xc2\xb1 (k = 2)", "", 9, 0, false}, {NULL, "unit", "", 6, 0, true},
        {NULL, "95 % from", "", 10, 0, false},       {NULL, "to", "", 10, 0, false},
    };
    show_heading(s, "Uncertainty, about 95 %");
    show_table(s, NULL, COLUMNS, d->intervals ? 6 : 4);
    for (size_t k = 0; k < f->count; k++) {
        double expanded = JL_COVERAGE_K * standard_taken(f, k);
        int decimals = decimals_for(expanded);
        show_cell_text(s, f->figures[k].label);
        cell_number(s, f->first[k].value, decimals);
        cell_number(s, expanded, decimals);
        show_cell_text(s, f->figures[k].unit);
        if (!d->intervals) continue;
        cell_number(s, f->drawn[k].shortest_low, decimals);
        cell_number(s, f->drawn[k].shortest_high, decimals);
    }
    show_table_end(s);
}

static void table_for_programs(show *s, const found *f) {
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, true},
        {"value", NULL, "", 0, 0, false},
        {"unit", NULL, "", 0, 0, true},
        {"expanded", NULL, "", 0, 0, false},
        {"standard", NULL, "", 0, 0, false},
        {"taken_from", NULL, "", 0, 0, true},
        {"standard_first_order", NULL, "", 0, 0, false},
        {"standard_monte_carlo", NULL, "", 0, 0, false},
        {"low", NULL, "", 0, 0, false},
        {"high", NULL, "", 0, 0, false},
        {"shortest_low", NULL, "", 0, 0, false},
        {"shortest_high", NULL, "", 0, 0, false},
    };
    show_table(s, "uncertainty", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t k = 0; k < f->count; k++) {
        const jl_drawn *drawn = &f->drawn[k];
        double standard = standard_taken(f, k);
        show_cell_text(s, f->figures[k].key);
        show_cell(s, f->first[k].value);
        show_cell_text(s, f->figures[k].unit);
        show_cell(s, JL_COVERAGE_K * standard);
        show_cell(s, standard);
        show_cell_text(s, curved(f, k) ? "Monte Carlo" : "first order");
        show_cell(s, f->first[k].standard);
        show_cell(s, drawn->standard);
        show_cell(s, drawn->low);
        show_cell(s, drawn->high);
        show_cell(s, drawn->shortest_low);
        show_cell(s, drawn->shortest_high);
    }
    show_table_end(s);
}

static bool first_of_its_cause(const uncertainty *d, size_t input) {
    for (size_t i = 0; i < input; i++)
        if (strcmp(d->causes[i], d->causes[input]) == 0) return false;
    return true;
}

static double share_of_cause(const uncertainty *d, const found *f, size_t k, size_t input) {
    double sum = 0;
    for (size_t i = input; i < d->count; i++)
        if (strcmp(d->causes[i], d->causes[input]) == 0) sum += f->shares[k * d->count + i];
    return sum;
}

/* A few figures abreast, so that a line fits the page. */
static void budget_for_people(show *s, const uncertainty *d, const found *f, size_t from) {
    column columns[1 + FIGURES_ABREAST] = {{NULL, "cause", "", 30, 0, true}};
    size_t count = f->count - from < FIGURES_ABREAST ? f->count - from : FIGURES_ABREAST;
    for (size_t k = 0; k < count; k++)
        columns[1 + k] = (column){NULL, f->figures[from + k].brief, "%", 10, 0, false};
    show_table(s, NULL, columns, 1 + count);
    for (size_t i = 0; i < d->count; i++) {
        if (!first_of_its_cause(d, i)) continue;
        show_cell_text(s, d->causes[i]);
        for (size_t k = 0; k < count; k++) show_cell(s, 100 * share_of_cause(d, f, from + k, i));
    }
    show_table_end(s);
}

static void budget_for_programs(show *s, const uncertainty *d, const found *f) {
    static const column COLUMNS[] = {{"figure", NULL, "", 0, 0, true},
                                     {"cause", NULL, "", 0, 0, true},
                                     {"share_pct", NULL, "", 0, 0, false}};
    show_table(s, "budget", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t k = 0; k < f->count; k++)
        for (size_t i = 0; i < d->count; i++) {
            if (!first_of_its_cause(d, i)) continue;
            show_cell_text(s, f->figures[k].key);
            show_cell_text(s, d->causes[i]);
            show_cell(s, 100 * share_of_cause(d, f, k, i));
        }
    show_table_end(s);
}

static void say_curvature(show *s, const found *f) {
    for (size_t k = 0; k < f->count; k++)
        if (curved(f, k))
            show_note(
                s,
                "%s: curvature%s. First order gives u = %.3g, Monte Carlo %.3g %s, which is taken.",
                f->figures[k].label, f->drawn[k].refused > 0 ? ", or the edge of what can be" : "",
                f->first[k].standard, f->drawn[k].standard, f->figures[k].unit);
}

static void say_sources(show *s, const uncertainty *d, const found *f) {
    for (jl_instrument which = JL_BY_ALCOHOLOMETER; which < JL_INSTRUMENTS; which++)
        if (d->used[which]) assume_limits(s, &d->in, which);
    show_assumption(s,
                    "First order by JCGM 100 (GUM), checked by Monte Carlo (JCGM 101): %zu draws, "
                    "seed %lu.",
                    d->draws, (unsigned long)d->seed);
    if (f->drawn[0].refused > 0)
        show_note(s,
                  "%zu of the %zu draws belong to no mixture or amount and were left out: the "
                  "values stand near the edge of what can be.",
                  f->drawn[0].refused, d->draws);
}

static jl_status find(const uncertainty *d, jl_model *model, void *with, found *f) {
    progress p;
    jl_measurement m = {.model = model,
                        .with = with,
                        .inputs = d->inputs,
                        .input_count = d->count,
                        .figure_count = f->count,
                        .progress = progress_step,
                        .progress_with = &p};
    progress_begin(&p);
    jl_status status = jl_first_order(&m, f->shares, f->first);
    if (status == JL_OK) status = jl_monte_carlo(&m, d->draws, d->seed, f->drawn);
    progress_end(&p);
    return status;
}

jl_status uncertainty_first_order(const uncertainty *d, jl_model *model, void *with, size_t count,
                                  jl_uncertainty *uncertainties) {
    const jl_measurement m = {.model = model,
                              .with = with,
                              .inputs = d->inputs,
                              .input_count = d->count,
                              .figure_count = count};
    return jl_first_order(&m, NULL, uncertainties);
}

static void show_found(show *s, const uncertainty *d, const found *f) {
    table_for_people(s, d, f);
    table_for_programs(s, f);
    show_heading(s, "Where it comes from, as a share of the variance");
    for (size_t k = 0; k < f->count; k += FIGURES_ABREAST) budget_for_people(s, d, f, k);
    budget_for_programs(s, d, f);
    show_number(s, "draws", NULL, (double)d->draws, 0, "");
    show_number(s, "seed", NULL, d->seed, 0, "");
    say_curvature(s, f);
    say_sources(s, d, f);
}

int uncertainty_show(show *s, uncertainty *d, jl_model *model, void *with, const figure *figures,
                     size_t count) {
    if (d->count > INPUTS_MOST)
        return fail(EXIT_USAGE, "--uncertainty: %zu readings are too many; expected at most %d",
                    d->count, INPUTS_MOST);
    if (d->count == 0) uncertainty_input(d, "nothing", 0, JL_NORMAL);
    found f = {.figures = figures,
               .count = count,
               .first = need(calloc(count, sizeof *f.first)),
               .drawn = need(calloc(count, sizeof *f.drawn)),
               .shares = need(calloc(count * d->count, sizeof *f.shares))};
    jl_status status = find(d, model, with, &f);
    if (status == JL_OK) show_found(s, d, &f);
    free(f.first);
    free(f.drawn);
    free(f.shares);
    if (status == JL_OK) return 0;
    return fail(exit_of_argument(status),
                "--uncertainty: %s within the instruments' uncertainty; expected values further "
                "from the edge of the scale, or better instruments (--instrument)",
                jl_status_text(status));
}
