/* Boiling point and vapour of a liquid at one air pressure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "commands/card/card.h"
#include "commands/card/card_range.h"

#include <math.h>
#include <stdio.h>

static const double PRESSURE_LEAST_KPA = 60, PRESSURE_MOST_KPA = 105;

/* Closer where a wash and low wines are. */
static const double USUAL_PCT[] = {0,  1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 12, 14, 16, 18, 20,
                                   25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95};
enum { USUAL = sizeof USUAL_PCT / sizeof USUAL_PCT[0] };

static int read_pressure(const card_words *w, double *pressure_kpa) {
    double altitude_m;
    *pressure_kpa = JL_PRESSURE_KPA;
    if (w->altitude != NULL && w->pressure != NULL)
        return fail(EXIT_USAGE, "--altitude and --pressure both say the air pressure; expected one "
                                "of them");
    int bad = arg_value("--pressure", w->pressure, JL_PRESSURE, pressure_kpa);
    if (bad == 0) bad = arg_value("--altitude", w->altitude, JL_ALTITUDE, &altitude_m);
    if (bad != 0) return bad;
    if (w->altitude != NULL && jl_pressure_at_altitude_kpa(altitude_m, pressure_kpa) != JL_OK)
        *pressure_kpa = NAN;
    if (*pressure_kpa >= PRESSURE_LEAST_KPA && *pressure_kpa <= PRESSURE_MOST_KPA) return EXIT_DONE;
    return w->altitude != NULL
               ? fail_argument("--altitude", w->altitude, JL_RANGE,
                               "an altitude with 60 to 105 kPa of air: -300m to 4200m")
               : fail_argument("--pressure", w->pressure, JL_RANGE, "60 to 105 kPa, as 98.5kPa");
}

static int read_bound(const char *name, const char *text, double *pct) {
    jl_quantity strength;
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (bad != 0) return bad;
    if (strength.unit != JL_UNIT_PCT_VOL)
        return fail_argument(name, text, JL_UNIT, "% vol at 20 °C, as 40%");
    *pct = strength.value;
    return EXIT_DONE;
}

/* The usual strengths, or even ones where an option asks for them. */
static int read_strengths(const card_words *w, double *strengths, size_t *count) {
    card_range r = {0, 5, 0};
    double high = 95;
    int bad = read_bound("--low", w->low, &r.low);
    if (bad == 0) bad = read_bound("--high", w->high, &high);
    if (bad == 0) bad = read_bound("--step", w->step, &r.step);
    if (bad != 0) return bad;
    if (w->low == NULL && w->high == NULL && w->step == NULL) {
        *count = USUAL;
        for (size_t i = 0; i < USUAL; i++) strengths[i] = USUAL_PCT[i];
        return EXIT_DONE;
    }
    if (w->step == NULL && high - r.low <= 30) r.step = 1;
    *count = r.count = card_range_count(r.low, high, r.step, CARD_ROWS_MOST);
    for (size_t i = 0; i < r.count; i++) strengths[i] = card_range_value(&r, i);
    if (r.count > 0) return EXIT_DONE;
    return fail(EXIT_USAGE,
                "strengths from %g to %g by %g do not fit a card; expected 1 to %d rows: change "
                "--low, --high or --step",
                r.low, high, r.step, CARD_ROWS_MOST);
}

static void head_columns(bool whole, card *c) {
    *card_add_column(c) = (card_column){"strength_pct", "liquid", "% vol", whole ? 0 : 1, 1};
    *card_add_column(c) = (card_column){"boil_c", "boils at", "°C", 1, 2};
    *card_add_column(c) = (card_column){"vapour_pct", "vapour", "% vol", 1, 2};
}

static void fill_row(double pct, double pressure_kpa, double *cells) {
    double p;
    jl_boiling boiling;
    cells[0] = pct;
    cells[1] = cells[2] = NAN;
    if (jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &p) != JL_OK ||
        jl_boil(jl_mole_fraction(p), pressure_kpa, &boiling) != JL_OK)
        return;
    cells[1] = boiling.temp_c;
    jl_strength_pct(jl_mass_fraction_from_mole(boiling.y), JL_STRENGTH_C, &cells[2]);
}

int card_boil(const card_words *w, card *c) {
    double pressure_kpa, strengths[CARD_ROWS_MOST];
    bool whole = true;
    int bad = read_pressure(w, &pressure_kpa);
    if (bad == 0) bad = read_strengths(w, strengths, &c->rows_count);
    if (bad != 0) return bad;
    c->strong_row = c->rows_count;
    for (size_t row = 0; row < c->rows_count; row++) {
        whole = whole && strengths[row] == round(strengths[row]);
        fill_row(strengths[row], pressure_kpa, c->cells[row]);
    }
    head_columns(whole, c);
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
