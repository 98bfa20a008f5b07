/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The cells of a dilution card are what dilute answers. */
#include "commands/card/dilution.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/args.h"

#include <math.h>
#include <stdio.h>

typedef struct dilution {
    double target, target_pct; /* mass fraction, and % vol at 20 °C */
    double water_c, bottle_l;  /* bottle_l 0: none */
    card_span strengths;       /* % vol at 20 °C */
} dilution;

static int read_strengths(const card_span_words *w, dilution *d) {
    card_span *span = &d->strengths;
    *span = (card_span){2 * floor(d->target_pct / 2 + 1e-9) + 2, 96, 0, 0};
    int bad = card_span_read(w, JL_UNIT_PCT_VOL, "% vol at 20 °C, as 60%", span);
    if (bad != 0) return bad;
    if (w->step == NULL) span->step = span->high - span->low <= 30 ? 1 : 2;
    if (!(span->low > d->target_pct))
        return fail(EXIT_NO,
                    "the card begins at %g %% vol, not above the %.2f %% vol wanted: adding water "
                    "can only make it weaker",
                    span->low, d->target_pct);
    return card_span_count(span, "strengths", "rows", CARD_ROWS_MOST);
}

static int read_dilution(const dilution_words *w, dilution *d) {
    *d = (dilution){.water_c = JL_STRENGTH_C};
    if (w->to == NULL)
        return fail(EXIT_USAGE, "a dilution card needs --to; expected the strength wanted, as "
                                "--to 40%%");
    int bad = arg_strength("--to", w->to, &d->target);
    if (bad == 0 && !(d->target > 0))
        bad = fail_argument("--to", w->to, JL_RANGE, "a strength above 0, as 40%");
    if (bad == 0) bad = arg_value("--water-temp", w->water_temp, JL_TEMPERATURE, &d->water_c);
    if (bad == 0) bad = arg_value("--bottle", w->bottle, JL_VOLUME, &d->bottle_l);
    if (bad != 0) return bad;
    if (!(d->water_c >= 0 && d->water_c <= JL_TEMP_MAX_C))
        return fail_argument("--water-temp", w->water_temp, JL_RANGE, "0 to 40 °C, as 12C");
    if (w->bottle != NULL && !(d->bottle_l > 0))
        return fail_argument("--bottle", w->bottle, JL_RANGE, "a volume above 0, as 700ml");
    jl_strength_pct(d->target, JL_STRENGTH_C, &d->target_pct);
    return read_strengths(&w->strengths, d);
}

static struct table *new_table(const dilution *d) {
    bool whole = d->strengths.step == round(d->strengths.step) &&
                 d->strengths.low == round(d->strengths.low);
    const column ALL[] = {
        {"strength_pct", "in hand", "% vol", 0, whole ? 0 : 1, COLUMN_NUMBERS},
        {"water_scale_g", "water to 1 l", "g", 0, 0, COLUMN_NUMBERS},
        {"water_ml", "or", "ml", 0, 0, COLUMN_NUMBERS},
        {"volume_l", "makes", "l", 0, 3, COLUMN_NUMBERS},
        {"bottle_spirit_ml", "one bottle:", "ml spirit", 0, 0, COLUMN_NUMBERS},
        {"bottle_water_scale_g", "and water", "g", 0, 0, COLUMN_NUMBERS},
    };
    size_t count = d->bottle_l > 0 ? 6 : 4;
    struct table *t = table_new(ALL, count);
    table_csv_decimals(t, 0, 1);
    for (size_t i = 1; i < count; i++) table_csv_decimals(t, i, ALL[i].decimals + 1);
    return t;
}

static void add_row(const dilution *d, double pct, struct table *t) {
    jl_spirit litre, water, spirit, part;
    double strong = NAN;
    bool can = jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &strong) == JL_OK &&
               jl_spirit_from_volume(1, strong, JL_STRENGTH_C, &litre) == JL_OK &&
               jl_bring_to(litre, 0, d->target, &water) == JL_OK;
    table_add_number(t, pct);
    table_add_number(t, can ? 1000 * jl_scale_kg(water, d->water_c) : NAN);
    table_add_number(t, can ? 1000 * jl_volume_l(water, d->water_c) : NAN);
    table_add_number(t, can ? jl_volume_l(jl_blend(litre, water), JL_STRENGTH_C) : NAN);
    if (d->bottle_l <= 0) return;
    const jl_dilution wanted = {strong, 0, d->target};
    can = can && jl_make_up(&wanted, d->bottle_l, &spirit, &part) == JL_OK;
    table_add_number(t, can ? 1000 * jl_volume_l(spirit, JL_STRENGTH_C) : NAN);
    table_add_number(t, can ? 1000 * jl_scale_kg(part, d->water_c) : NAN);
}

int card_dilution(const dilution_words *w, card *c) {
    dilution d;
    char water[64];
    int bad = read_dilution(w, &d);
    if (bad != 0) return bad;
    snprintf(c->title, sizeof c->title, "Water to %.4g %% vol at 20 °C", d.target_pct);
    if (d.bottle_l > 0)
        snprintf(c->above, sizeof c->above,
                 "To 1 l of spirit at 20 °C; and for one bottle of %g ml", 1000 * d.bottle_l);
    else
        snprintf(c->above, sizeof c->above, "To 1 l of spirit at 20 °C");
    c->table = new_table(&d);
    c->bold_row = d.strengths.count;
    for (size_t row = 0; row < d.strengths.count; row++)
        add_row(&d, card_span_value(&d.strengths, row), c->table);
    phrase_at(water, sizeof water, "The water is added", d.water_c);
    card_foot(c, "%s%s. Strengths and volumes at 20 °C.", water,
              w->water_temp == NULL ? " (default)" : "");
    card_foot(c,
              "Grams as a scale in air shows them (OIML D 28). Weigh rather than measure; mix, let "
              "it cool and stand, then read it with an alcoholometer.");
    card_foot(c, "Correct the reading in hand to 20 °C first; the label's strength is for a "
                 "calibrated instrument to say.");
    card_foot(c, "Density by OIML R 22 (1975). Jarline %s.", JARLINE_VERSION);
    return EXIT_DONE;
}
