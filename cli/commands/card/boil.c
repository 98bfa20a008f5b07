/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/boil.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>

/* Closer where a wash and low wines are. */
static const double USUAL_PCT[] = {0,  1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 12, 14, 16, 18, 20,
                                   25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95};
enum { USUAL = sizeof USUAL_PCT / sizeof USUAL_PCT[0] };

/* The usual strengths, or even ones where an option asks for them. */
static int read_strengths(const card_span_words *w, double *strengths, size_t *count) {
    card_span span = {0, 95, 5, 0};
    if (w->low == NULL && w->high == NULL && w->step == NULL) {
        *count = USUAL;
        for (size_t i = 0; i < USUAL; i++) strengths[i] = USUAL_PCT[i];
        return EXIT_DONE;
    }
    int bad = card_span_read(w, JL_UNIT_PCT_VOL, "% vol at 20 °C, as 40%", &span);
    if (w->step == NULL && span.high - span.low <= 30) span.step = 1;
    if (bad == 0) bad = card_span_count(&span, "strengths", "rows", CARD_ROWS_MOST);
    if (bad != 0) return bad;
    *count = span.count;
    for (size_t i = 0; i < span.count; i++) strengths[i] = card_span_value(&span, i);
    return EXIT_DONE;
}

static struct table *new_table(bool whole) {
    const column COLUMNS[] = {
        {"strength_pct", "liquid", "% vol", 0, whole ? 0 : 1, COLUMN_NUMBERS},
        {"boil_c", "boils at", "°C", 0, 1, COLUMN_NUMBERS},
        {"vapour_pct", "vapour", "% vol", 0, 1, COLUMN_NUMBERS},
    };
    struct table *t = table_new(COLUMNS, 3);
    table_csv_decimals(t, 0, 1);
    table_csv_decimals(t, 1, 2);
    table_csv_decimals(t, 2, 2);
    return t;
}

static void add_row(double pct, double pressure_kpa, struct table *t) {
    double p;
    jl_boiling boiling = {NAN, NAN, NAN};
    if (jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &p) == JL_OK)
        jl_boil(jl_mole_fraction(p), pressure_kpa, &boiling);
    table_add_number(t, pct);
    table_add_number(t, boiling.temp_c);
    table_add_number(t, jl_strength_pct_from_mole(boiling.vapour_mole_fraction));
}

int card_boil(const boil_words *w, card *c) {
    jl_settings air;
    double pressure_kpa, strengths[CARD_ROWS_MOST];
    bool whole = true;
    int bad = arg_air(w->pressure, w->altitude, &air, &pressure_kpa);
    if (bad == 0) bad = read_strengths(&w->strengths, strengths, &c->bold_row);
    if (bad != 0) return bad;
    for (size_t row = 0; row < c->bold_row; row++)
        whole = whole && strengths[row] == round(strengths[row]);
    c->table = new_table(whole);
    for (size_t row = 0; row < c->bold_row; row++) add_row(strengths[row], pressure_kpa, c->table);
    snprintf(c->title, sizeof c->title, "Boiling at %.2f kPa (%.0f mmHg)", pressure_kpa,
             pressure_kpa / 0.133322387415);
    snprintf(c->above, sizeof c->above, "A liquid at its boiling point and the vapour over it");
    if (w->altitude != NULL)
        card_foot(c,
                  "Air pressure of an average day at %s (U.S. Standard Atmosphere 1976); a "
                  "barometer knows better: 1 kPa shifts the boiling point by about 0.3 °C.",
                  w->altitude);
    else
        card_foot(c, "Air pressure %.2f kPa%s.", pressure_kpa,
                  w->pressure == NULL ? " (default, sea level; --altitude or --pressure change it)"
                                      : "");
    card_foot(c, "Strengths at 20 °C. The boiler shows the temperature of its liquid; a head, that "
                 "of the vapour in it, where the third column then holds.");
    card_foot(c, "A model's figures: NRTL fitted to published measurements, which differ among "
                 "themselves by up to 0.018 in the mole fraction of the vapour. A wash is taken as "
                 "ethanol and water.");
    card_foot(c,
              "Hot vapour burns and is heavier than air; the way from boiler to receiver stays "
              "open. Jarline %s.",
              JARLINE_VERSION);
    return EXIT_DONE;
}
