/* blend: any amounts mixed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "args.h"
#include "command.h"
#include "doubt.h"
#include "phrases.h"
#include "say.h"
#include "show.h"

#include <stdlib.h>
#include <string.h>

/* What has gone into the blend so far. */
typedef struct mix {
    jl_spirit spirit;
    double parts_l; /* the parts' volumes at 20 °C */
    size_t parts;
} mix;

static void pour(mix *m, jl_spirit part, size_t parts) {
    m->spirit = jl_blend(m->spirit, part);
    m->parts_l += jl_volume_l(part, JL_STRENGTH_C);
    m->parts += parts;
}

/* The parts with the doubt of each. */
typedef struct doubtful {
    const jl_alcoholometer *instrument;
    measured_amount *parts;
    size_t count;
} doubtful;

static void pour_doubtful(doubtful *in, doubt *d, const char *text) {
    jl_amount amount;
    if (d == NULL || jl_amount_read(text, &amount, NULL) != JL_OK) return;
    in->parts = need(realloc(in->parts, (in->count + 1) * sizeof *in->parts));
    in->parts[in->count++] = doubt_amount(d, amount);
}

static jl_status mix_doubtful(const double *x, double *figures, void *with) {
    const doubtful *in = with;
    mix m = {0};
    for (size_t i = 0; i < in->count; i++) {
        jl_spirit part;
        jl_status status = measured_amount_at(&in->parts[i], in->instrument, x, &part);
        if (status != JL_OK) return status;
        pour(&m, part, 1);
    }
    figures[0] = jl_volume_l(m.spirit, JL_STRENGTH_C);
    figures[1] = jl_spirit_strength_pct(m.spirit);
    figures[2] = jl_pure_alcohol_l(m.spirit);
    figures[3] = jl_contraction_l(m.parts_l, m.spirit);
    return JL_OK;
}

static int show_doubt(show *s, doubt *d, doubtful *in) {
    static const figure FIGURES[] = {
        {"volume_l", "Volume at 20 °C", "volume", "l"},
        {"strength_pct", "Strength at 20 °C", "strength", "% vol"},
        {"pure_alcohol_l", "Pure alcohol at 20 °C", "pure alc.", "l"},
        {"contraction_l", "Contraction at 20 °C", "contract.", "l"},
    };
    return d == NULL ? 0 : doubt_show(s, d, mix_doubtful, in, FIGURES, 4);
}

static int show_mix(const mix *m, doubtful *in, doubt *d, const char *reading, bool json) {
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
    int bad = show_doubt(s, d, in);
    if (bad != 0) return show_abandon(s, bad);
    if (reading != NULL) assume_instrument(s, in->instrument, unit_of_reading(reading));
    return show_close(s, EXIT_DONE);
}

int command_blend(int argc, const char **argv) {
    int json = 0;
    instrument_options with = {0};
    doubt_options doubts = {0};
    const struct poptOption table[] = {
        INSTRUMENT_OPTIONS(with),
        DOUBT_OPTIONS(doubts),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    mix m = {0};
    jl_alcoholometer instrument;
    doubtful in = {.instrument = &instrument};
    doubt *d = NULL;
    const char *reading = NULL;
    if (args_read(&a, argc, argv, table, "AMOUNT ...",
                  "Any amounts mixed: 1L@96% 3.2L@72.5%@24C 2.8kg@72%")) {
        a.exit_status = arg_instrument(&with, &instrument);
        if (a.exit_status == 0) a.exit_status = doubt_open(&doubts, with.file, &d);
        for (size_t i = 0; i < a.count && a.exit_status == 0; i++) {
            jl_spirit part;
            a.exit_status = arg_amount(a.rest[i], &instrument, &part);
            if (a.exit_status == 0) pour(&m, part, 1);
            if (a.exit_status == 0) pour_doubtful(&in, d, a.rest[i]);
            if (strchr(strchrnul(a.rest[i], '@') + 1, '@') != NULL) reading = a.rest[i];
        }
        if (a.exit_status == 0 && m.parts == 0)
            a.exit_status = fail(EXIT_USAGE, "expected at least one amount, as 3.2L@72%%");
        if (a.exit_status == 0) a.exit_status = show_mix(&m, &in, d, reading, json != 0);
    }
    int exit_status = a.exit_status;
    free(in.parts);
    doubt_close(d);
    args_close(&a);
    return exit_status;
}
