/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The cells of a correction card are what correct answers. */
#include "commands/card/correction.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "text/letters.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* What the options ask for, in the units in which they were written. */
typedef struct correction {
    card_span temps, readings;
    bool fahrenheit, proof;
    jl_alcoholometer instrument;
} correction;

static bool in_fahrenheit(const char *text) {
    size_t length = strlen(text);
    while (length > 0 && isspace((unsigned char)text[length - 1])) length--;
    return length > 0 && jl_lower(text[length - 1]) == 'f';
}

static double from_celsius(double temp_c, bool fahrenheit) {
    return fahrenheit ? temp_c * 9 / 5 + 32 : temp_c;
}

static double to_celsius(double temp, bool fahrenheit) {
    return fahrenheit ? (temp - 32) * 5 / 9 : temp;
}

/* As fine as large type allows. */
static double temp_step(double span) {
    return span <= 40.5 ? 1 : span <= 81 ? 2 : 5;
}

static int read_temp(const char *name, const char *text, double *temp_c) {
    int bad = arg_value(name, text, JL_TEMPERATURE, temp_c);
    if (bad != 0) return bad;
    if (*temp_c >= JL_TEMP_MIN_C && *temp_c <= JL_TEMP_MAX_C) return EXIT_DONE;
    return fail_argument(name, text, JL_RANGE,
                         "-20 to 40 °C (-4 to 104 °F), where OIML R 22 holds");
}

static int read_temps(const correction_words *w, correction *k) {
    double from_c, to_c;
    if (w->from == NULL || w->to == NULL)
        return fail(EXIT_USAGE, "a correction card needs --from and --to; expected temperatures, "
                                "as --from 10C --to 30C");
    int bad = read_temp("--from", w->from, &from_c);
    if (bad == 0) bad = read_temp("--to", w->to, &to_c);
    if (bad != 0) return bad;
    if (to_c < from_c)
        return fail_argument("--to", w->to, JL_RANGE, "a temperature not below --from");
    k->fahrenheit = in_fahrenheit(w->from);
    k->temps.low = from_celsius(from_c, k->fahrenheit);
    k->temps.high = from_celsius(to_c, k->fahrenheit);
    k->temps.step = temp_step(k->temps.high - k->temps.low);
    return card_span_count(&k->temps, "temperatures", "rows", CARD_ROWS_MOST);
}

static int read_readings(const card_span_words *w, correction *k) {
    k->proof = w->low != NULL && unit_of_reading(w->low) == JL_UNIT_PROOF_US;
    k->readings = k->proof ? (card_span){70, 180, 10, 0} : (card_span){35, 90, 5, 0};
    int bad = k->proof ? card_span_read(w, JL_UNIT_PROOF_US, "US proof, as --low is", &k->readings)
                       : card_span_read(w, JL_UNIT_PCT_VOL, "% vol, or all of them in proof",
                                        &k->readings);
    return bad != 0 ? bad
                    : card_span_count(&k->readings, "readings", "columns", CARD_COLUMNS_MOST - 1);
}

static struct table *new_table(const correction *k) {
    column columns[CARD_COLUMNS_MOST] = {
        {k->fahrenheit ? "temp_f" : "temp_c", k->fahrenheit ? "°F" : "°C", "", 0,
         k->temps.low == round(k->temps.low) ? 0 : 1, COLUMN_NUMBERS}};
    char keys[CARD_COLUMNS_MOST][32], titles[CARD_COLUMNS_MOST][24];
    for (size_t i = 1; i <= k->readings.count; i++) {
        double reading = card_span_value(&k->readings, i - 1);
        snprintf(keys[i], sizeof keys[i], "reading_%g_%s", reading, k->proof ? "proof" : "pct");
        snprintf(titles[i], sizeof titles[i], "%g", reading);
        columns[i] = (column){keys[i], titles[i], "", 0, 1, COLUMN_NUMBERS};
    }
    struct table *t = table_new(columns, 1 + k->readings.count);
    for (size_t i = 1; i <= k->readings.count; i++) table_csv_decimals(t, i, 2);
    return t;
}

static double corrected(const correction *k, double reading, double temp_c) {
    double p, strength;
    jl_unit scale = k->proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL;
    if (jl_reading_to_mass_fraction(&k->instrument, (jl_quantity){reading, scale}, temp_c, &p) !=
        JL_OK)
        return NAN;
    if (jl_strength_pct(p, k->proof ? JL_PROOF_C : JL_STRENGTH_C, &strength) != JL_OK) return NAN;
    return k->proof ? 2 * strength : strength;
}

/* Returns whether every cell has a figure. */
static bool fill(const correction *k, card *c) {
    bool whole = true;
    double calibrated_c =
        jl_calibrated_c(&k->instrument, k->proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL);
    c->table = new_table(k);
    c->bold_row = k->temps.count;
    for (size_t row = 0; row < k->temps.count; row++) {
        double temp = card_span_value(&k->temps, row), temp_c = to_celsius(temp, k->fahrenheit);
        if (fabs(temp_c - calibrated_c) < 1e-6) c->bold_row = row;
        table_add_number(c->table, temp);
        for (size_t i = 0; i < k->readings.count; i++) {
            double value = corrected(k, card_span_value(&k->readings, i), temp_c);
            table_add_number(c->table, value);
            whole = whole && !isnan(value);
        }
    }
    return whole;
}

static void foot(const correction *k, bool whole, card *c) {
    char instrument[96];
    jl_unit scale = k->proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL;
    phrase_at(instrument, sizeof instrument, "Glass alcoholometer calibrated",
              jl_calibrated_c(&k->instrument, scale));
    card_foot(c, "%s%s; its glass grows by %ge-6 per °C.", instrument,
              isnan(k->instrument.calibrated_c) ? " (default)" : "",
              k->instrument.glass_per_c * 1e6);
    if (k->instrument.reading_correction_pct != 0 || k->instrument.thermometer_correction_c != 0)
        card_foot(c,
                  "Already in the figures: %+g %% vol on the reading, %+g °C on the thermometer.",
                  k->instrument.reading_correction_pct, k->instrument.thermometer_correction_c);
    card_foot(c, "Between two columns or rows take the share of the difference.");
    if (!whole) card_foot(c, "-: no mixture of ethanol and water shows that there.");
    card_foot(c, "Only for ethanol and water: not for a wash, nor for anything sweetened "
                 "(27 CFR 30.32).");
    card_foot(c, "Density by OIML R 22 (1975), the instrument after OIML R 44. Jarline %s.",
              JARLINE_VERSION);
}

int card_correction(const correction_words *w, card *c) {
    correction k;
    int bad = arg_instrument(&w->instrument, &k.instrument);
    if (bad == 0) bad = read_temps(w, &k);
    if (bad == 0) bad = read_readings(&w->readings, &k);
    if (bad != 0) return bad;
    double p;
    jl_quantity first = {k.readings.low, k.proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL};
    jl_status status = jl_reading_to_mass_fraction(&k.instrument, first, 20, &p);
    if (status == JL_CONFLICT)
        return fail(EXIT_USAGE,
                    "--calibrated %s: a proof reading belongs to an instrument of "
                    "60 °F; expected 60F, or readings in %%",
                    w->instrument.words[JL_KEY_CALIBRATED]);
    snprintf(c->title, sizeof c->title, "%s",
             k.proof ? "Reading to proof at 60 °F" : "Reading to strength at 20 °C, % vol");
    snprintf(c->above, sizeof c->above,
             "Down: temperature of the spirit. Across: what the "
             "alcoholometer shows%s",
             k.proof ? ", proof" : ", %");
    foot(&k, fill(&k, c), c);
    return EXIT_DONE;
}
