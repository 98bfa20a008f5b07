/* blend: any amounts mixed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "input/part.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { VOLUME, STRENGTH, PROOF, PURE, CONTRACTION, MASS, PARTS, FIGURES };

/* Where the strength is not seen in proof already. */
enum { IN_PCT = 1 };

static const figure LIST[FIGURES] = {
    [VOLUME] = {"volume_l", "Volume at 20 °C", "L", 3, .brief = "volume"},
    [STRENGTH] = {"strength_pct", "Strength at 20 °C", "% vol", 2, .brief = "strength"},
    [PROOF] = {"proof_us", "US proof at 60 °F", "proof", 2, .text_of = IN_PCT},
    [PURE] = {"pure_alcohol_l", "Pure alcohol at 20 °C", "L", 3, .brief = "pure alcohol"},
    [CONTRACTION] = {"contraction_l", "Contraction at 20 °C", "L", EXACT + 4,
                     .brief = "contraction"},
    [MASS] = {"mass_kg", "Mass", "kg", 4},
    [PARTS] = {"parts", "Parts", "", 0},
};

/* An instrument, and the scales of it that were read. */
typedef struct scales {
    jl_alcoholometer instrument;
    bool pct, proof;
} scales;

/* One word of the command line. */
typedef struct source {
    const char *text;
    given_amount given;
    scales in; /* of a run log */
} source;

/* What goes into the blend. */
typedef struct mix {
    source *sources;
    size_t source_count;
    jl_measured_amount *parts;
    size_t count, room;
    uncertainty u;
    scales own; /* of the command line */
    bool again;
} mix;

static void pour(mix *m, jl_amount amount, double u_pct, scales *by) {
    need_room(&m->parts, m->count, &m->room, sizeof *m->parts);
    m->parts[m->count++] = jl_measure_amount_known(
        &m->u.by, amount.by_mass ? JL_BY_SCALE : JL_BY_JUG, amount, &by->instrument, u_pct);
    if (amount.measured) *(amount.strength.unit == JL_UNIT_PROOF_US ? &by->proof : &by->pct) = true;
}

/* Jars one by one, as each was measured. */
static void pour_source(mix *m, source *s) {
    const file_part *part = &s->given.part;
    s->in.instrument = part->instrument;
    if (part->count == 0) pour(m, s->given.amount, part->strength_u_pct, &m->own);
    for (size_t i = 0; i < part->count; i++) pour(m, part->measured[i], NAN, &s->in);
}

static int check_again(const mix *m, const source *s) {
    for (size_t i = 0; s->given.part.path != NULL && !m->again && i < m->source_count; i++) {
        const source *before = &m->sources[i];
        if (before->given.part.path != NULL && parts_overlap(&before->given.part, &s->given.part))
            return refuse(
                "%s: %s stands in this blend already; expected another source, or --again", s->text,
                before->text);
    }
    return EXIT_DONE;
}

static int pour_all(mix *m, const args *a, const char *bench) {
    if (a->count == 0)
        return refuse("expected at least one amount, as 3.2L@72%% or october.csv:hearts");
    bool proof = true;
    m->sources = need(calloc(a->count, sizeof *m->sources));
    for (size_t i = 0; i < a->count; i++) {
        source *s = &m->sources[i];
        s->text = a->words[i];
        int bad = given_read(s->text, &m->own.instrument, bench, &s->given);
        if (bad != EXIT_DONE) return bad;
        bad = check_again(m, s);
        m->source_count++;
        if (bad != EXIT_DONE) return bad;
        pour_source(m, s);
        proof = proof && s->given.amount.strength.unit == JL_UNIT_PROOF_US;
    }
    if (proof) answer_by_amount(&m->sources[0].given.amount);
    return EXIT_DONE;
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

static void show_sources(show *s, const mix *m) {
    static const column COLUMNS[] = {
        {"source", "source", "", 0, 0, COLUMN_WORDS},
        {"volume_l", "volume", "L, 20 °C", 8, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure alcohol", "L", 8, 3, COLUMN_NUMBERS},
    };
    show_table(s, "sources", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < m->source_count; i++) {
        jl_spirit spirit = m->sources[i].given.spirit;
        show_cells(s, CELLS(V(m->sources[i].text), V_AMOUNT(spirit)));
    }
}

static void assume_scales(show *s, const mix *m) {
    if (m->own.pct) assume_instrument(s, &m->own.instrument, JL_UNIT_PCT_VOL);
    if (m->own.proof) assume_instrument(s, &m->own.instrument, JL_UNIT_PROOF_US);
    for (size_t i = 0; i < m->source_count; i++) {
        const scales *in = &m->sources[i].in;
        if (in->pct) assume_log_instrument(s, &in->instrument, JL_UNIT_PCT_VOL);
        if (in->proof) assume_log_instrument(s, &in->instrument, JL_UNIT_PROOF_US);
    }
}

/* Of the sum of what the sources hold. */
static double pure_standard(const mix *m) {
    double u_l = 0;
    for (size_t i = 0; i < m->source_count; i++)
        u_l = hypot(u_l, digits_standards(m->sources[i].given.spirit).pure_alcohol_l);
    return u_l;
}

/* Low wines and feints go back into the still. */
static bool is_distilled_again(const mix *m) {
    for (size_t i = 0; i < m->source_count; i++) {
        const char *kind = m->sources[i].given.part.kind;
        if (kind == NULL || (strcmp(kind, "low wines") != 0 && strcmp(kind, "feints") != 0))
            return false;
    }
    return true;
}

static int show_mix(mix *m, bool json) {
    double values[FIGURES], standard[FIGURES];
    jl_status status = fill(NULL, values, m);
    if (status != JL_OK) return fail(exit_of_argument(status), "%s", jl_status_text(status));
    figures f = {
        .list = LIST, .count = FIGURES, .values = values, .of = units_seen().proof ? 0 : IN_PCT};
    figures_measured(&f, standard, VOLUME, PURE);
    standard[PURE] = pure_standard(m);
    show *s = show_open(json);
    show_sources(s, m);
    show_figures(s, &f, 0, FIGURES);
    int bad = show_uncertainty(s, &m->u, &f, fill, m);
    if (bad != 0) return show_abandon(s, bad);
    assume_scales(s, m);
    show_assumption(s, "Densities by OIML R 22 (1975).");
    if (is_distilled_again(m)) {
        next_command next = {"jarline forecast"};
        next_amount(&next, values[VOLUME], values[STRENGTH]);
        show_next_command(s, &next);
    }
    return show_close(s, EXIT_DONE);
}

int command_blend(int argc, const char **argv) {
    int json = 0, again = 0;
    setting_options with = {.in_its_units = true};
    uncertainty_options uncertainties = {0};
    const struct poptOption table[] = {
        FLAG("again", &again, "the same source may go in more than once"),
        BENCH_OPTION(with),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        JSON_LAST(&json),
    };
    args a;
    mix m = {0};
    if (args_read(&a, argc, argv, table, "AMOUNT ... | RUN.csv:hearts ... | BOOK.csv:VESSEL ...",
                  "Any amounts mixed: 1L@96% 3.2L@72.5%@24C 2.8kg@72% october.csv:hearts")) {
        m.again = again != 0;
        a.exit_status = arg_instrument(&with, &m.own.instrument);
        if (a.exit_status == 0) a.exit_status = uncertainty_read(&uncertainties, &with, &m.u);
        if (a.exit_status == 0) a.exit_status = pour_all(&m, &a, with.bench);
        if (a.exit_status == 0) a.exit_status = show_mix(&m, json != 0);
    }
    int exit_status = a.exit_status;
    for (size_t i = 0; i < m.source_count; i++) given_free(&m.sources[i].given);
    free(m.sources);
    free(m.parts);
    uncertainty_free(&m.u);
    args_close(&a);
    return exit_status;
}
