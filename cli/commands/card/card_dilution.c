/* Water to a strength, for every strength in hand: the cells are what dilute answers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "commands/card/card.h"
#include "commands/card/card_range.h"

#include <math.h>
#include <stdio.h>

typedef struct dilution {
    double target, target_pct; /* mass fraction, and % vol at 20 °C */
    double water_c, bottle_l;  /* bottle_l 0: none */
    card_range strengths;      /* % vol at 20 °C */
} dilution;

static int read_pct(const char *name, const char *text, double *pct) {
    jl_quantity strength;
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (bad != 0) return bad;
    if (strength.unit != JL_UNIT_PCT_VOL)
        return fail_argument(name, text, JL_UNIT, "% vol at 20 °C, as 60%");
    *pct = strength.value;
    return EXIT_DONE;
}

static int read_strengths(const card_words *w, dilution *d) {
    double step = 0, high = 96;
    d->strengths.low = 2 * floor(d->target_pct / 2 + 1e-9) + 2;
    int bad = read_pct("--low", w->low, &d->strengths.low);
    if (bad == 0) bad = read_pct("--high", w->high, &high);
    if (bad == 0) bad = read_pct("--step", w->step, &step);
    if (bad != 0) return bad;
    if (w->step == NULL) step = high - d->strengths.low <= 30 ? 1 : 2;
    if (!(d->strengths.low > d->target_pct))
        return fail(EXIT_NO,
                    "the card begins at %g %% vol, not above the %.2f %% vol wanted: adding water "
                    "can only make it weaker",
                    d->strengths.low, d->target_pct);
    d->strengths.step = step;
    d->strengths.count = card_range_count(d->strengths.low, high, step, CARD_ROWS_MOST);
    if (d->strengths.count > 0) return EXIT_DONE;
    return fail(EXIT_USAGE,
                "strengths from %g to %g by %g do not fit a card; expected 1 to %d rows: change "
                "--low, --high or --step",
                d->strengths.low, high, step, CARD_ROWS_MOST);
}

static int read_dilution(const card_words *w, dilution *d) {
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
    return read_strengths(w, d);
}

static void add(card *c, const char *key, const char *head, const char *unit, int decimals) {
    card_column *k = card_add_column(c);
    snprintf(k->key, sizeof k->key, "%s", key);
    snprintf(k->head, sizeof k->head, "%s", head);
    snprintf(k->unit, sizeof k->unit, "%s", unit);
    k->decimals = decimals;
    k->csv_decimals = decimals + 1;
}

static void head_columns(const dilution *d, card *c) {
    add(c, "strength_pct", "in hand", "% vol", 0);
    if (d->strengths.step != round(d->strengths.step) ||
        d->strengths.low != round(d->strengths.low))
        c->columns[0].decimals = 1;
    add(c, "water_scale_g", "water to 1 l", "g", 0);
    add(c, "water_ml", "or", "ml", 0);
    add(c, "volume_l", "makes", "l", 3);
    if (d->bottle_l <= 0) return;
    add(c, "bottle_spirit_ml", "one bottle:", "ml spirit", 0);
    add(c, "bottle_water_scale_g", "and water", "g", 0);
}

static void fill_row(const dilution *d, double pct, double *cells) {
    jl_spirit litre, water, spirit, part;
    double strong = NAN;
    cells[0] = pct;
    for (int i = 1; i < CARD_COLUMNS_MOST; i++) cells[i] = NAN;
    if (jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &strong) != JL_OK ||
        jl_spirit_from_volume(1, strong, JL_STRENGTH_C, &litre) != JL_OK ||
        jl_bring_to(litre, 0, d->target, &water) != JL_OK)
        return;
    cells[1] = 1000 * jl_scale_kg(water, d->water_c);
    cells[2] = 1000 * jl_volume_l(water, d->water_c);
    cells[3] = jl_volume_l(jl_blend(litre, water), JL_STRENGTH_C);
    if (d->bottle_l <= 0 ||
        jl_make_up(&(jl_dilution){strong, 0, d->target}, d->bottle_l, &spirit, &part) != JL_OK)
        return;
    cells[4] = 1000 * jl_volume_l(spirit, JL_STRENGTH_C);
    cells[5] = 1000 * jl_scale_kg(part, d->water_c);
}

int card_dilution(const card_words *w, card *c) {
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
    head_columns(&d, c);
    c->strong_row = c->rows_count = d.strengths.count;
    for (size_t row = 0; row < c->rows_count; row++)
        fill_row(&d, card_range_value(&d.strengths, row), c->cells[row]);
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
