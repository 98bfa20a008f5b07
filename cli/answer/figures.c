/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/assume.h"
#include "answer/characters.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "input/part.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DRAWS_USUAL = 10000, FIGURES_ABREAST = 4, CAUSE_WIDTH = 30, SHARE_WIDTH = 10 };

static bool asked(unsigned bits, unsigned of) {
    return bits == 0 || (bits & of) != 0;
}

void show_duration(show *s, const char *label, double seconds) {
    char text[32] = "-";
    double minutes = round(seconds / 60);
    if (!isnan(seconds))
        snprintf(text, sizeof text, "%.0f h %02.0f min", floor(minutes / 60), fmod(minutes, 60));
    show_text(s, NULL, label, text);
}

/* What a figure is printed with: down to the first digit of its standard uncertainty. */
static int decimals_by(const figures *f, size_t i) {
    const figure *one = &f->list[i];
    if (f->standard == NULL || !(f->standard[i] > 0)) return one->decimals; /* by its unit */
    return EXACT + digits_left(difference_seen(f->standard[i], one->unit), one->decimals % EXACT);
}

static void show_figure(show *s, const figures *f, size_t i, const char *label) {
    const figure *one = &f->list[i];
    bool time = strcmp(one->unit, "s") == 0;
    if (time && label != NULL) show_duration(s, label, f->values[i]);
    double standard = one->difference && f->standard != NULL ? f->standard[i] : NAN;
    show_difference(s, one->key, time ? NULL : label, f->values[i], standard, decimals_by(f, i),
                    one->unit);
}

void show_figures(show *s, const figures *f, size_t from, size_t to) {
    for (size_t i = from; i < to; i++) {
        char named[96];
        const figure *one = &f->list[i];
        const char *label = asked(one->text_of, f->of) ? one->label : NULL;
        if (!asked(one->of, f->of)) continue;
        if (one->at && label != NULL) {
            phrase_at(named, sizeof named, label, f->temp_c);
            label = named;
        }
        show_figure(s, f, i, label);
    }
}

/* Behind n bytes of a line; returns how many there are then. */
static size_t add_in_line(const figures *f, size_t i, char *line, size_t size, size_t n) {
    char number[CELL_BYTES];
    const figure *one = &f->list[i];
    int decimals = digits_of(f->values[i], decimals_by(f, i), one->unit);
    double value = value_seen(f->values[i], one->unit);
    bool known = jl_decimal_write(value, decimals, number, sizeof number) == JL_OK;
    bool pure = one->key != NULL && strstr(one->key, "pure_alcohol_l") != NULL;
    return n + (size_t)snprintf(line + n, size - n, "%s%s %s%s", n > 0 ? ", " : "",
                                known ? number : "-", unit_seen(one->unit),
                                pure ? " of pure alcohol" : "");
}

void show_figures_in_line(show *s, const figures *f, const char *key, const char *label,
                          size_t from, size_t to) {
    char line[200] = "";
    size_t n = 0;
    if (key != NULL) show_group(s, key, NULL);
    for (size_t i = from; i < to; i++) {
        const figure *one = &f->list[i];
        if (!asked(one->of, f->of)) continue;
        show_figure(s, f, i, NULL);
        if (one->label != NULL) n = add_in_line(f, i, line, sizeof line, n);
    }
    if (key != NULL) show_group_end(s);
    show_text(s, NULL, label, line);
}

void show_hearts_line(show *s, jl_spirit spirit, const double *standard) {
    static const figure AMOUNT[] = {
        {NULL, "", "L", 3}, {NULL, "", "% vol", 1}, {"pure_alcohol_l", "", "L", 3}};
    char line[120] = "";
    double values[] = {jl_volume_l(spirit, JL_STRENGTH_C), jl_spirit_strength_pct(spirit),
                       jl_pure_alcohol_l(spirit)};
    double measured[] = {0, 0, digits_standards(spirit).pure_alcohol_l};
    if (standard != NULL) memcpy(measured, standard, sizeof measured);
    const figures f = {.list = AMOUNT, .count = 3, .values = values, .standard = measured};
    size_t n = 0;
    for (size_t i = 0; i < 3; i++) n = add_in_line(&f, i, line, sizeof line, n);
    show_text(s, NULL, "Hearts at 20 °C", line);
}

static void fraction_row(struct table *t, const jl_tally *tally, jl_fraction which,
                         const char *name, const jl_jar *const *jars, size_t count) {
    jl_spirit of = tally->of[which].spirit, all = jl_tally_sum(tally, JL_OF_ALL).spirit;
    table_row(t, CELLS(V(name), v_jars(jars, count), V((double)tally->of[which].jars), V_AMOUNT(of),
                       V(100 * jl_pure_alcohol_l(of) / jl_pure_alcohol_l(all))));
}

void fraction_rows(struct table *t, const jl_tally *tally, const jl_jar *jars, size_t count,
                   const jl_fraction *fractions, jl_spirit charge) {
    static const jl_fraction ORDER[] = {JL_FORESHOTS, JL_HEADS, JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    const jl_jar **of = need(calloc(count + 1, sizeof(jl_jar *)));
    for (size_t f = 0; f < JL_FRACTIONS; f++) {
        size_t in = 0;
        for (size_t i = 0; i < count; i++)
            if ((fractions == NULL ? jars[i].fraction : fractions[i]) == ORDER[f])
                of[in++] = &jars[i];
        if (tally->of[ORDER[f]].jars > 0)
            fraction_row(t, tally, ORDER[f], fraction_word(ORDER[f], charge), of, in);
    }
    free(of);
}

void show_tally(show *s, const jl_tally *tally, const jl_jar *jars, size_t count,
                const jl_fraction *fractions, jl_spirit charge) {
    const column columns[] = {
        {"fraction", "fraction", "", 10, 0, COLUMN_WORDS},
        {"jar_numbers", jars == NULL ? NULL : "jars", "", 18, 0, COLUMN_WORDS},
        {"jars_count", jars == NULL ? "jars" : NULL, "", 6, 0, COLUMN_NUMBERS},
        {"volume_l", "volume", "L, 20 °C", 9, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure alcohol", "L", 12, 3, COLUMN_NUMBERS},
        {"pure_alcohol_pct", "of all", "%", 6, 1, COLUMN_NUMBERS},
    };
    struct table *t = table_new(columns, sizeof columns / sizeof columns[0]);
    fraction_rows(t, tally, jars, jars == NULL ? 0 : count, fractions, charge);
    show_whole_table(s, "fractions", t);
}

column figure_column(const figure *f, const char *title, int width) {
    return (column){f->key, title, f->unit, width, f->decimals, COLUMN_NUMBERS};
}

/* ---- Inputs ---- */

int uncertainty_read(const uncertainty_options *o, const setting_options *with, uncertainty *u) {
    double draws = DRAWS_USUAL, seed = 1;
    jl_settings bench;
    *u = (uncertainty){.intervals = o->draws != NULL};
    bool wanted = o->uncertainty != 0 || o->draws != NULL;
    int bad = arg_whole("--monte-carlo", o->draws, 1000, 10000000, &draws);
    if (bad == 0) bad = arg_whole("--seed", o->seed, 0, UINT32_MAX, &seed);
    if (bad == 0) bad = instruments_read(with, &bench);
    if (bad != 0) return bad;
    if (!wanted && o->seed != NULL)
        return refuse("--seed goes with --uncertainty or --monte-carlo");
    u->draws = (size_t)draws;
    u->seed = (uint32_t)seed;
    u->wanted = wanted;
    u->by.instruments = jl_settings_to_instruments(&bench);
    if (wanted) u->by.budget = need(jl_budget_new());
    return 0;
}

void uncertainty_for_digits(uncertainty *u) {
    if (u->by.budget == NULL) u->by.budget = need(jl_budget_new());
}

void uncertainty_free(uncertainty *u) {
    jl_budget_free(u->by.budget);
}

bool uncertainty_wanted(const uncertainty *u) {
    return u->wanted;
}

/* ---- What was found ---- */

/* The figures of a question that have an uncertainty. */
typedef struct unsure {
    const figures *all;
    jl_model *model;
    void *with;
    size_t *at; /* their places in the list */
    size_t count;
    double *values; /* of the whole list, for the model */
    jl_combination found;
} unsure;

static const figure *figure_at(const unsure *w, size_t k) {
    return &w->all->list[w->at[k]];
}

static const char *label_of(const unsure *w, size_t k) {
    const figure *f = figure_at(w, k);
    return f->alone != NULL ? f->alone : f->label;
}

static jl_status fill(const double *x, double *values, void *with) {
    unsure *w = with;
    jl_status status = w->model(x, w->values, w->with);
    for (size_t k = 0; k < w->count; k++) values[k] = w->values[w->at[k]];
    return status;
}

/* All figures of a list; what a question does not have is exactly 0. */
typedef struct whole_list {
    jl_model *model;
    void *with;
    size_t count;
} whole_list;

static jl_status fill_whole(const double *x, double *values, void *with) {
    const whole_list *w = with;
    jl_status status = w->model(x, values, w->with);
    for (size_t i = 0; i < w->count; i++)
        if (!isfinite(values[i])) values[i] = 0;
    return status;
}

void figures_take_digits(const uncertainty *u, figures *f, double *standard, jl_model *model,
                         void *with) {
    whole_list w = {model, with, f->count};
    size_t inputs = u->by.budget == NULL ? 0 : jl_budget_count(u->by.budget);
    if (inputs == 0 || inputs > JL_INPUTS_MOST) return;
    jl_uncertainty *found = need(calloc(f->count, sizeof *found));
    if (jl_budget_first_order(u->by.budget, fill_whole, &w, f->count, found) == JL_OK) {
        for (size_t i = 0; i < f->count; i++) standard[i] = found[i].standard;
        f->standard = standard;
    }
    free(found);
}

void figures_measured(figures *f, double *standard, size_t volume, size_t pure) {
    double volume_l = f->values[volume], pure_l = f->values[pure];
    for (size_t i = 0; f->standard == NULL && i < f->count; i++) standard[i] = 0;
    f->standard = standard;
    standard[volume] = 0;
    standard[pure] =
        volume_l > 0 ? digits_of_amount(volume_l, 100 * pure_l / volume_l).pure_alcohol_l : 0;
}

static void cell_number(show *s, double value, int decimals) {
    char text[48];
    bool known = jl_decimal_write(value, decimals, text, sizeof text) == JL_OK;
    show_cells(s, CELLS(V(known ? text : NULL)));
}

static void table_for_people(show *s, const unsure *w, bool intervals) {
    static const column COLUMNS[] = {
        {NULL, "figure", "", 24, 0, COLUMN_WORDS},
        {NULL, "value", "", 10, 0, COLUMN_NUMBERS},
        {NULL, "\xc2\xb1 (k = 2)", "", 9, 0, COLUMN_NUMBERS},
        {NULL, "unit", "", 6, 0, COLUMN_WORDS},
        {NULL, "95 % from", "", 10, 0, COLUMN_NUMBERS},
        {NULL, "to", "", 10, 0, COLUMN_NUMBERS},
    };
    show_heading(s, "Uncertainty, about 95 %");
    show_table(s, NULL, COLUMNS, intervals ? 6 : 4);
    for (size_t k = 0; k < w->count; k++) {
        const jl_combined *c = &w->found.figures[k];
        const char *unit = figure_at(w, k)->unit;
        double expanded = difference_seen(JL_COVERAGE_K * c->standard, unit);
        int decimals = digits_of_expanded(expanded);
        show_cells(s, CELLS(V(label_of(w, k))));
        cell_number(s, value_seen(c->first_order.value, unit), decimals);
        cell_number(s, expanded, decimals);
        show_cells(s, CELLS(V(unit_seen(unit))));
        if (!intervals) continue;
        cell_number(s, value_seen(c->drawn.shortest_low, unit), decimals);
        cell_number(s, value_seen(c->drawn.shortest_high, unit), decimals);
    }
}

static void table_for_programs(show *s, const unsure *w) {
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {"value", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"unit", NULL, "", 0, 0, COLUMN_WORDS},
        {"expanded", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"standard", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"taken_from", NULL, "", 0, 0, COLUMN_WORDS},
        {"standard_first_order", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"standard_monte_carlo", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"low", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"high", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"shortest_low", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"shortest_high", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    show_table(s, "uncertainty", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t k = 0; k < w->count; k++) {
        const jl_combined *c = &w->found.figures[k];
        show_cells(s, CELLS(V(figure_at(w, k)->key), V(c->first_order.value),
                            V(figure_at(w, k)->unit), V(JL_COVERAGE_K * c->standard),
                            V(c->standard), V(c->curved ? "Monte Carlo" : "first order"),
                            V(c->first_order.standard), V(c->drawn.standard), V(c->drawn.low),
                            V(c->drawn.high), V(c->drawn.shortest_low), V(c->drawn.shortest_high)));
    }
}

static double share_pct(const unsure *w, size_t k, size_t cause) {
    return 100 * w->found.shares[k * w->found.cause_count + cause];
}

/* How many figures stand abreast from one on, so that a line fits the page. */
static size_t figures_abreast(const unsure *w, size_t from) {
    int width = CAUSE_WIDTH;
    size_t count = 0;
    for (; from + count < w->count && count < FIGURES_ABREAST; count++) {
        int heading = text_width(figure_at(w, from + count)->brief);
        width += 2 + (heading > SHARE_WIDTH ? heading : SHARE_WIDTH);
        if (count > 0 && width > PAGE + 2) break; /* a table may fill the terminal */
    }
    return count;
}

static void budget_for_people(show *s, const unsure *w, size_t from, size_t count) {
    column columns[1 + FIGURES_ABREAST] = {{NULL, "cause", "", CAUSE_WIDTH, 0, COLUMN_WORDS}};
    for (size_t k = 0; k < count; k++)
        columns[1 + k] =
            (column){NULL, figure_at(w, from + k)->brief, "%", SHARE_WIDTH, 0, COLUMN_NUMBERS};
    show_table(s, NULL, columns, 1 + count);
    for (size_t i = 0; i < w->found.cause_count; i++) {
        show_cells(s, CELLS(V(w->found.causes[i])));
        for (size_t k = 0; k < count; k++) show_cells(s, CELLS(V(share_pct(w, from + k, i))));
    }
}

static void budget_for_programs(show *s, const unsure *w) {
    static const column COLUMNS[] = {{"figure", NULL, "", 0, 0, COLUMN_WORDS},
                                     {"cause", NULL, "", 0, 0, COLUMN_WORDS},
                                     {"variance_share_pct", NULL, "", 0, 0, COLUMN_NUMBERS}};
    show_table(s, "budget", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t k = 0; k < w->count; k++)
        for (size_t i = 0; i < w->found.cause_count; i++) {
            show_cells(
                s, CELLS(V(figure_at(w, k)->key), V(w->found.causes[i]), V(share_pct(w, k, i))));
        }
}

static void say_curvature(show *s, const unsure *w) {
    for (size_t k = 0; k < w->count; k++) {
        const jl_combined *c = &w->found.figures[k];
        if (c->curved)
            show_note(s,
                      "%s: not linear in what was measured%s. First order gives u = %.3g, Monte "
                      "Carlo %.3g %s; Monte Carlo is taken.",
                      label_of(w, k), c->drawn.refused > 0 ? ", or the edge of what can be" : "",
                      difference_seen(c->first_order.standard, figure_at(w, k)->unit),
                      difference_seen(c->drawn.standard, figure_at(w, k)->unit),
                      unit_seen(figure_at(w, k)->unit));
    }
}

static void say_sources(show *s, const uncertainty *u, size_t refused) {
    for (int which = 0; which < JL_INSTRUMENTS; which++)
        if (u->by.used[which]) assume_limits(s, &u->by.instruments, (jl_instrument)which);
    show_assumption(
        s, "First order by JCGM 100 (GUM), checked by Monte Carlo (JCGM 101): %zu draws, seed %lu.",
        u->draws, (unsigned long)u->seed);
    if (refused > 0)
        show_note(s,
                  "%zu of the %zu draws belong to no mixture or amount and were left out: the "
                  "values stand near the edge of what can be.",
                  refused, u->draws);
}

static void show_found(show *s, const uncertainty *u, const unsure *w) {
    table_for_people(s, w, u->intervals);
    table_for_programs(s, w);
    show_heading(s, "Causes, as a share of the variance");
    for (size_t k = 0, count; k < w->count; k += count) {
        count = figures_abreast(w, k);
        budget_for_people(s, w, k, count);
    }
    budget_for_programs(s, w);
    show_number(s, "draws", NULL, (double)u->draws, 0, "");
    show_number(s, "seed", NULL, u->seed, 0, "");
    say_curvature(s, w);
    say_sources(s, u, w->found.figures[0].drawn.refused);
}

/* ---- The answer ---- */

static jl_status combine(const uncertainty *u, unsure *w) {
    progress p;
    const jl_draws draws = {u->draws, u->seed, progress_step, &p};
    progress_begin(&p);
    jl_status status = jl_budget_combine(u->by.budget, fill, w, w->count, &draws, &w->found);
    progress_end(&p);
    return status;
}

int show_uncertainty(show *s, uncertainty *u, const figures *f, jl_model *model, void *with) {
    if (!uncertainty_wanted(u)) return 0;
    size_t inputs = jl_budget_count(u->by.budget);
    if (inputs > JL_INPUTS_MOST)
        return refuse("--uncertainty: %zu readings are too many; expected at most %d", inputs,
                      JL_INPUTS_MOST);
    unsure w = {.all = f,
                .model = model,
                .with = with,
                .at = need(calloc(f->count, sizeof *w.at)),
                .values = need(calloc(f->count, sizeof *w.values))};
    for (size_t i = 0; i < f->count; i++) {
        const figure *one = &f->list[i];
        if (one->brief != NULL && asked(one->of, f->of) && asked(one->brief_of, f->of))
            w.at[w.count++] = i;
    }
    jl_status status = combine(u, &w);
    if (status == JL_OK) {
        show_found(s, u, &w);
        for (size_t k = 0; f->expanded != NULL && k < w.count; k++)
            f->expanded[w.at[k]] = JL_COVERAGE_K * w.found.figures[k].standard;
        jl_combination_free(&w.found);
    }
    free(w.at);
    free(w.values);
    if (status == JL_OK) return 0;
    return fail(exit_of_argument(status),
                "--uncertainty: %s within the instruments' uncertainty; expected values further "
                "from the edge of the scale, or better instruments (--bench)",
                jl_status_text(status));
}
