/* blend: any amounts mixed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "answer/uncertain.h"
#include "command.h"
#include "input/logfile.h"
#include "input/settings.h"

#include <stdlib.h>
#include <string.h>

/* A part with the doubt of what was measured of it, and the instrument it was read with. */
typedef struct doubtful_part {
    measured_amount amount;
    jl_alcoholometer instrument;
} doubtful_part;

/* The instrument of a log, and the scales of it that were read. */
typedef struct log_instrument {
    jl_alcoholometer instrument;
    bool pct, proof;
} log_instrument;

/* What has gone into the blend so far. */
typedef struct mix {
    jl_spirit spirit;
    double parts_l; /* the parts' volumes at 20 °C */
    size_t parts;
    uncertainty *uncertainty; /* NULL: not asked for; then no doubtful part is kept */
    doubtful_part *doubtful;
    jl_alcoholometer instrument; /* of the command line */
    bool pct, proof;             /* scales of it that were read */
    log_instrument *logs;        /* of each log that was read */
    size_t logs_count;
} mix;

static void pour(mix *m, jl_spirit part) {
    m->spirit = jl_blend(m->spirit, part);
    m->parts_l += jl_volume_l(part, JL_STRENGTH_C);
    m->parts++;
}

static void pour_measured(mix *m, jl_spirit part, jl_amount amount,
                          const jl_alcoholometer *instrument) {
    pour(m, part);
    if (m->uncertainty == NULL) return;
    m->doubtful = need(realloc(m->doubtful, m->parts * sizeof *m->doubtful));
    m->doubtful[m->parts - 1] =
        (doubtful_part){uncertainty_amount(m->uncertainty, amount), *instrument};
}

static int pour_text(mix *m, const char *text) {
    jl_amount amount;
    jl_spirit part;
    int bad = arg_amount(text, &m->instrument, &part);
    if (bad != 0) return bad;
    jl_amount_read(text, &amount, NULL);
    if (amount.measured) *(amount.strength.unit == JL_UNIT_PROOF_US ? &m->proof : &m->pct) = true;
    pour_measured(m, part, amount, &m->instrument);
    return 0;
}

/* Which jars of which log. */
typedef struct choice {
    const char *log;
    const char *fraction; /* NULL: all of them */
} choice;

static int pour_log(mix *m, const choice *from) {
    logfile f;
    jl_jar jar;
    jl_fraction wanted = JL_UNDECIDED;
    bool more = true;
    size_t before = m->parts;
    if (from->fraction != NULL &&
        jl_fraction_read(from->fraction, strlen(from->fraction), &wanted) != JL_OK)
        return fail_argument("--fraction", from->fraction, JL_FORM,
                             "foreshots, heads, hearts, tails or undecided");
    int bad = logfile_open(&f, from->log);
    if (bad != 0) return bad;
    log_instrument in = {.instrument = jl_log_instrument(f.log)};
    while ((bad = logfile_next(&f, &jar, &more)) == 0 && more) {
        if (from->fraction != NULL && jar.fraction != wanted) continue;
        pour_measured(m, jar.spirit, amount_of_jar(&jar), &in.instrument);
        if (jar.has_reading) *(jar.reading.unit == JL_UNIT_PROOF_US ? &in.proof : &in.pct) = true;
    }
    m->logs = need(realloc(m->logs, (m->logs_count + 1) * sizeof *m->logs));
    m->logs[m->logs_count++] = in;
    logfile_close(&f);
    if (bad == 0 && m->parts == before)
        return fail(EXIT_DATA, "%s has no jar marked %s; 'jarline tally' shows what it has",
                    from->log, jl_fraction_name(wanted));
    return bad;
}

static jl_status mix_doubtful(const double *x, double *figures, void *with) {
    const mix *in = with;
    mix m = {0};
    for (size_t i = 0; i < in->parts; i++) {
        jl_spirit part;
        const doubtful_part *p = &in->doubtful[i];
        jl_status status = measured_amount_at(&p->amount, &p->instrument, x, &part);
        if (status != JL_OK) return status;
        pour(&m, part);
    }
    figures[0] = jl_volume_l(m.spirit, JL_STRENGTH_C);
    figures[1] = jl_spirit_strength_pct(m.spirit);
    figures[2] = jl_pure_alcohol_l(m.spirit);
    figures[3] = jl_contraction_l(m.parts_l, m.spirit);
    return JL_OK;
}

static int show_uncertainty(show *s, mix *m) {
    static const figure FIGURES[] = {
        {"volume_l", "Volume at 20 °C", "volume", "l"},
        {"strength_pct", "Strength at 20 °C", "strength", "% vol"},
        {"pure_alcohol_l", "Pure alcohol at 20 °C", "pure alc.", "l"},
        {"contraction_l", "Contraction at 20 °C", "contract.", "l"},
    };
    return m->uncertainty == NULL
               ? 0
               : uncertainty_show(s, m->uncertainty, mix_doubtful, m, FIGURES, 4);
}

static int show_mix(mix *m, bool json) {
    show *s = show_open(json);
    show_number(s, "volume_l", "Volume at 20 °C", jl_volume_l(m->spirit, JL_STRENGTH_C), 4, "l");
    show_number(s, "strength_pct", "Strength at 20 °C", jl_spirit_strength_pct(m->spirit), 2,
                "% vol");
    show_number(s, "proof_us", "US proof at 60 °F", jl_proof_us(m->spirit), 2, "proof");
    show_number(s, "pure_alcohol_l", "Pure alcohol at 20 °C", jl_pure_alcohol_l(m->spirit), 4, "l");
    show_number(s, "contraction_l", "Contraction at 20 °C", jl_contraction_l(m->parts_l, m->spirit),
                4, "l");
    show_number(s, "mass_kg", "Mass", jl_mass_kg(m->spirit), 4, "kg");
    show_number(s, "parts", "Parts", (double)m->parts, 0, "");
    int bad = show_uncertainty(s, m);
    if (bad != 0) return show_abandon(s, bad);
    if (m->pct) assume_instrument(s, &m->instrument, JL_UNIT_PCT_VOL);
    if (m->proof) assume_instrument(s, &m->instrument, JL_UNIT_PROOF_US);
    for (size_t i = 0; i < m->logs_count; i++) {
        const log_instrument *in = &m->logs[i];
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
        }
    }
    return args_finish(a) ? 0 : a->exit_status;
}

static int pour_all(mix *m, const args *a, const choice *choices, size_t count) {
    int bad = 0;
    for (size_t i = 0; i < count && bad == 0; i++) bad = pour_log(m, &choices[i]);
    for (size_t i = 0; i < a->count && bad == 0; i++) bad = pour_text(m, a->rest[i]);
    if (bad == 0 && m->parts == 0)
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
    if (wanted) bad = arg_instrument(&with, &m.instrument);
    if (wanted && bad == 0) bad = uncertainty_open(&uncertainties, with.file, &m.uncertainty);
    if (wanted && bad == 0) bad = pour_all(&m, &a, choices, count);
    if (wanted && bad == 0) bad = show_mix(&m, json != 0);
    for (size_t i = 0; i < count; i++) {
        free((char *)choices[i].log);
        free((char *)choices[i].fraction);
    }
    free(choices);
    free(m.doubtful);
    free(m.logs);
    uncertainty_close(m.uncertainty);
    args_close(&a);
    return bad;
}
