/* blend: any amounts mixed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "input/logfile.h"
#include "run/run.h"

#include <stdlib.h>
#include <string.h>

enum { VOLUME, STRENGTH, PROOF, PURE, CONTRACTION, MASS, PARTS, FIGURES };

static const figure LIST[FIGURES] = {
    [VOLUME] = {"volume_l", "Volume at 20 °C", "l", 4, .brief = "volume"},
    [STRENGTH] = {"strength_pct", "Strength at 20 °C", "% vol", 2, .brief = "strength"},
    [PROOF] = {"proof_us", "US proof at 60 °F", "proof", 2},
    [PURE] = {"pure_alcohol_l", "Pure alcohol at 20 °C", "l", 4, .brief = "pure alc."},
    [CONTRACTION] = {"contraction_l", "Contraction at 20 °C", "l", 4, .brief = "contract."},
    [MASS] = {"mass_kg", "Mass", "kg", 4},
    [PARTS] = {"parts", "Parts", "", 0},
};

/* An instrument, and the scales of it that were read. */
typedef struct scales {
    jl_alcoholometer instrument;
    bool pct, proof;
} scales;

/* What goes into the blend. */
typedef struct mix {
    jl_measured_amount *parts;
    size_t count, room;
    uncertainty u;
    scales own;   /* of the command line */
    scales *logs; /* of each log that was read */
    size_t logs_count;
} mix;

static void pour(mix *m, jl_amount amount, scales *by) {
    need_room(&m->parts, m->count, &m->room, sizeof *m->parts);
    m->parts[m->count++] = jl_measure_amount(&m->u.by, amount, &by->instrument);
    if (amount.measured) *(amount.strength.unit == JL_UNIT_PROOF_US ? &by->proof : &by->pct) = true;
}

static int pour_text(mix *m, const char *text) {
    jl_amount amount;
    int bad = arg_written_amount(text, &m->own.instrument, &amount);
    if (bad == 0) pour(m, amount, &m->own);
    return bad;
}

/* Which jars of which log. */
typedef struct choice {
    const char *log;
    const char *fraction; /* NULL: all of them */
} choice;

static int pour_log(mix *m, const choice *from) {
    jl_run *run;
    jl_fraction wanted = JL_UNDECIDED;
    size_t before = m->count, count;
    if (from->fraction != NULL &&
        jl_fraction_read(from->fraction, strlen(from->fraction), &wanted) != JL_OK)
        return fail_argument("--fraction", from->fraction, JL_FORM,
                             "foreshots, heads, hearts, tails or undecided");
    int bad = run_read_jars(from->log, &run);
    if (bad != 0) return bad;
    scales in = {.instrument = jl_run_instrument(run)};
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        if (from->fraction == NULL || jars[i].fraction == wanted)
            pour(m, jl_jar_amount(&jars[i]), &in);
    jl_run_free(run);
    m->logs = need(realloc(m->logs, (m->logs_count + 1) * sizeof *m->logs));
    m->logs[m->logs_count++] = in;
    if (m->count == before)
        return fail(EXIT_DATA, "%s has no jar marked %s; 'jarline tally' shows what it has",
                    from->log, jl_fraction_name(wanted));
    return 0;
}

static jl_status fill(const double *x, double *v, void *with) {
    const mix *m = with;
    jl_spirit all;
    double parts_l;
    jl_status status = jl_measured_blend_at(m->parts, m->count, x, &all, &parts_l);
    if (status != JL_OK) return status;
    v[VOLUME] = jl_volume_l(all, JL_STRENGTH_C);
    v[STRENGTH] = jl_spirit_strength_pct(all);
    v[PROOF] = jl_proof_us(all);
    v[PURE] = jl_pure_alcohol_l(all);
    v[CONTRACTION] = jl_contraction_l(parts_l, all);
    v[MASS] = jl_mass_kg(all);
    v[PARTS] = (double)m->count;
    return JL_OK;
}

static int show_mix(mix *m, bool json) {
    double values[FIGURES];
    jl_status status = fill(NULL, values, m);
    if (status != JL_OK) return fail(exit_of_argument(status), "%s", jl_status_text(status));
    figures f = {.list = LIST, .count = FIGURES, .values = values};
    show *s = show_open(json);
    show_figures(s, &f, 0, FIGURES);
    int bad = show_uncertainty(s, &m->u, &f, fill, m);
    if (bad != 0) return show_abandon(s, bad);
    if (m->own.pct) assume_instrument(s, &m->own.instrument, JL_UNIT_PCT_VOL);
    if (m->own.proof) assume_instrument(s, &m->own.instrument, JL_UNIT_PROOF_US);
    for (size_t i = 0; i < m->logs_count; i++) {
        const scales *in = &m->logs[i];
        if (in->pct) assume_log_instrument(s, &in->instrument, JL_UNIT_PCT_VOL);
        if (in->proof) assume_log_instrument(s, &in->instrument, JL_UNIT_PROOF_US);
    }
    show_assumption(s, "Densities by OIML R 22 (1975).");
    return show_close(s, EXIT_DONE);
}

/* The options in their order: --fraction belongs to the --log before it. Returns the exit status. */
static int read_choices(args *a, char **log, char **fraction, choice *choices, size_t *count) {
    const struct poptOption *option;
    while ((option = args_next(a)) != NULL) {
        if (option->arg == log) {
            choices[(*count)++] = (choice){*log, NULL};
            *log = NULL;
        } else if (option->arg == fraction) {
            if (*count == 0 || choices[*count - 1].fraction != NULL)
                return fail(EXIT_USAGE, "--fraction %s has no --log of its own before it",
                            *fraction);
            choices[*count - 1].fraction = *fraction;
            *fraction = NULL;
        } else if (!args_once(a, option))
            return a->exit_status;
    }
    return args_finish(a) ? 0 : a->exit_status;
}

static int pour_all(mix *m, const args *a, const choice *choices, size_t count) {
    int bad = 0;
    for (size_t i = 0; i < count && bad == 0; i++) bad = pour_log(m, &choices[i]);
    for (size_t i = 0; i < a->count && bad == 0; i++) bad = pour_text(m, a->rest[i]);
    if (bad == 0 && m->count == 0)
        return fail(EXIT_USAGE, "expected at least one amount, as 3.2L@72%%, or --log RUN.csv");
    return bad;
}

int command_blend(int argc, const char **argv) {
    int json = 0;
    char *log = NULL, *fraction = NULL;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    const struct poptOption table[] = {
        OPTION("log", &log, "RUN.csv", "jars of a run log; may repeat"),
        OPTION("fraction", &fraction, "FRACTION", "only these, of the --log before"),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    mix m = {0};
    choice *choices = need(calloc((size_t)argc, sizeof *choices));
    size_t count = 0;
    args_begin(&a, argc, argv, table, "AMOUNT ... [--log RUN.csv [--fraction hearts]] ...",
               "Any amounts mixed: 1L@96% 3.2L@72.5%@24C 2.8kg@72%");
    int bad = read_choices(&a, &log, &fraction, choices, &count);
    bool wanted = bad == 0 && a.rest != NULL; /* not after --help */
    if (wanted) bad = arg_instrument(&with, &m.own.instrument);
    if (wanted && bad == 0) bad = uncertainty_read(&uncertainties, with.file, &m.u);
    if (wanted && bad == 0) bad = pour_all(&m, &a, choices, count);
    if (wanted && bad == 0) bad = show_mix(&m, json != 0);
    for (size_t i = 0; i < count; i++) {
        free((char *)choices[i].log);
        free((char *)choices[i].fraction);
    }
    free(choices);
    free(m.parts);
    free(m.logs);
    uncertainty_free(&m.u);
    args_close(&a);
    return bad;
}
