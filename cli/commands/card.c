/* card: tables for the wall. The cells are what correct, dilute and boil answer.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/keep.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "answer/table.h"
#include "command.h"
#include "input/args.h"
#include "input/settings.h"
#include "picture/marks.h"
#include "picture/paper.h"
#include "text/letters.h"

#include "jarline.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- A card: a table for the wall with what it says above and below ---- */

enum { CARD_COLUMNS_MOST = 16, CARD_ROWS_MOST = 61, CARD_FEET_MOST = 12 };

/* {0} is an empty one. */
typedef struct card {
    char title[96], above[96]; /* above: what the columns stand for */
    struct table *table;       /* the card's own */
    size_t bold_row;           /* its number of rows: none */
    keep kept;
    const char *feet[CARD_FEET_MOST];
    size_t feet_count;
} card;

/* Evenly spaced values for its rows or columns. */
typedef struct card_span {
    double low, high, step;
    size_t count;
} card_span;

/* Texts of --low, --high and --step; NULL when not given. */
typedef struct card_span_words {
    char *low, *high, *step;
} card_span_words;

/* A line at the foot: source, calibration, caution. */
static void card_foot(card *c, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void card_foot(card *c, const char *format, ...) {
    char *text;
    va_list list;
    va_start(list, format);
    if (vasprintf(&text, format, list) < 0) need(NULL);
    va_end(list);
    c->feet[c->feet_count++] = keep_text(&c->kept, text);
    free(text);
}

static void card_free(card *c) {
    table_free(c->table);
    keep_free(&c->kept);
}

/* ---- Text and JSON ---- */

static void put_words(card *c, const char *text, FILE *to) {
    size_t size = ON_SCREEN_BYTES(strlen(text));
    put_sentence(to, "", "  ", on_screen(text, keep_room(&c->kept, size), size));
}

static void card_text(card *c, FILE *to) {
    put_words(c, c->title, to);
    put_words(c, c->above, to);
    table_text_blocks(c->table, to);
    fputc('\n', to);
    for (size_t i = 0; i < c->feet_count; i++) put_words(c, c->feet[i], to);
}

/* The answer as JSON; the table is the answer's from now on. Returns the exit status. */
static int card_json(card *c) {
    show *s = show_open(true);
    show_text(s, "title", NULL, c->title);
    show_whole_table(s, "rows", c->table);
    c->table = NULL;
    for (size_t i = 0; i < c->feet_count; i++) show_note(s, "%s", c->feet[i]);
    return show_close(s, EXIT_DONE);
}

/* ---- The page: the largest type that lets it fit ---- */

static const double MARGIN = 36, FOOT_SIZE = 9, SIZE_MOST = 17, TITLE_H = 34, ABOVE_H = 24;

typedef struct card_layout {
    double width, height; /* of the page */
    double inside, feet_h;
    table_style style;
} card_layout;

static double foot_height(const char *text, double inside) {
    return text_lines(text, FOOT_SIZE, inside) * line_height(FOOT_SIZE);
}

static card_layout layout_for(const card *c, double width, double height) {
    card_layout l = {.width = width, .height = height, .inside = width - 2 * MARGIN};
    for (size_t i = 0; i < c->feet_count; i++) l.feet_h += foot_height(c->feet[i], l.inside);
    double table_h = height - 2 * MARGIN - TITLE_H - ABOVE_H - l.feet_h - 12;
    double lines = (double)table_rows(c->table) + table_head_lines(c->table) + 0.3;
    double type = fmin(l.inside / page_table_room(c->table, "-"), table_h / lines / 1.3);
    l.style = (table_style){.type = fmin(type, SIZE_MOST),
                            .gap = 0.3,
                            .rule = 1.2,
                            .rule_tone = TONE_INK,
                            .bold = true,
                            .bold_row = c->bold_row,
                            .missing = "-"};
    l.style.row_h = fmin(table_h / lines, 1.75 * l.style.type);
    l.style.rule_at = 0.15 * l.style.row_h;
    return l;
}

static void put_feet(const card *c, const card_layout *l, sheet *s) {
    double y = l->height - MARGIN - l->feet_h;
    for (size_t i = 0; i < c->feet_count; i++) {
        double h = foot_height(c->feet[i], l->inside);
        sheet_text(s, MARK_TEXT, (box){MARGIN, y, l->inside, h}, ALIGN_LEFT, FOOT_SIZE, c->feet[i])
            ->wraps = true;
        y += h;
    }
}

/* One page, upright or across, whichever gives the larger type. width, height: of the upright page
 * in points. */
static void card_page(const card *c, double width, double height, sheet *s) {
    card_layout upright = layout_for(c, width, height), across = layout_for(c, height, width);
    const card_layout *l = across.style.type > upright.style.type ? &across : &upright;
    box at = {MARGIN, MARGIN, l->inside, TITLE_H};
    sheet_begin(s, l->width, l->height);
    sheet_text(s, MARK_TITLE, at, ALIGN_LEFT, 20, c->title)->bold = true;
    at.y += TITLE_H;
    at.h = ABOVE_H;
    sheet_text(s, MARK_NOTE, at, ALIGN_LEFT, 12, c->above);
    at.y += ABOVE_H;
    page_table(c->table, &l->style, at, s);
    put_feet(c, l, s);
}

/* ---- Evenly spaced values ---- */

static int read_bound(const char *name, const char *text, jl_unit scale, const char *expected,
                      double *value) {
    jl_quantity strength;
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (bad != 0) return bad;
    if (strength.unit != scale) return fail_argument(name, text, JL_UNIT, expected);
    *value = strength.value;
    return EXIT_DONE;
}

/* Takes what is given. All are on one scale; expected: what is said to one on another. Returns the
 * exit status, or 0. */
static int card_span_read(const card_span_words *w, jl_unit scale, const char *expected,
                          card_span *span) {
    int bad = read_bound("--low", w->low, scale, expected, &span->low);
    if (bad == 0) bad = read_bound("--high", w->high, scale, expected, &span->high);
    if (bad == 0) bad = read_bound("--step", w->step, scale, expected, &span->step);
    return bad;
}

/* Counts the values; high is one of them when the step leads there. Refuses none, and more than most;
 * what: "readings", along: "columns". Returns the exit status, or 0. */
static int card_span_count(card_span *span, const char *what, const char *along, size_t most) {
    double count = floor((span->high - span->low) / span->step + 1e-9) + 1;
    span->count = span->step > 0 && count >= 1 && count <= (double)most ? (size_t)count : 0;
    if (span->count > 0) return EXIT_DONE;
    return fail(EXIT_USAGE,
                "%s from %g to %g by %g do not fit a card; expected 1 to %zu %s: change --low, "
                "--high or --step",
                what, span->low, span->high, span->step, most, along);
}

static double card_span_value(const card_span *span, size_t i) {
    return span->low + (double)i * span->step;
}

/* ---- Dilution; texts of options are NULL when not given ---- */

typedef struct dilution_words {
    char *to; /* strength */
    card_span_words strengths;
    char *bottle, *water_temp;
    setting_options bench;
} dilution_words;

typedef struct dilution {
    double target, target_pct; /* mass fraction, and % vol at 20 °C */
    double water_c, bottle_l;  /* bottle_l 0: none */
    card_span strengths;       /* % vol at 20 °C */
} dilution;

static int read_in_hand(const card_span_words *w, dilution *d) {
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
    jl_settings bench;
    *d = (dilution){.water_c = JL_STRENGTH_C};
    if (w->to == NULL)
        return fail(EXIT_USAGE, "a dilution card needs --to; expected the strength wanted, as "
                                "--to 40%%");
    int bad = instruments_read(&w->bench, &bench);
    if (bad == 0) bad = arg_strength("--to", w->to, &d->target);
    if (bad == 0 && !(d->target > 0))
        bad = fail_argument("--to", w->to, JL_RANGE, "a strength above 0, as 40%");
    if (bad == 0) bad = arg_value("--water-temp", w->water_temp, JL_TEMPERATURE, &d->water_c);
    if (bad == 0) bad = arg_bottle(w->bottle, &bench, &d->bottle_l);
    if (bad != 0) return bad;
    if (!(d->water_c >= 0 && d->water_c <= JL_TEMP_MAX_C))
        return fail_argument("--water-temp", w->water_temp, JL_RANGE, "0 to 40 °C, as 12C");
    jl_strength_pct(d->target, JL_STRENGTH_C, &d->target_pct);
    return read_in_hand(&w->strengths, d);
}

static struct table *dilution_table(const dilution *d) {
    bool whole = d->strengths.step == round(d->strengths.step) &&
                 d->strengths.low == round(d->strengths.low);
    const column ALL[] = {
        {"strength_pct", "in hand", "% vol", 0, whole ? 0 : 1, COLUMN_NUMBERS},
        {"water_scale_g", "water to 1 L", "g", 0, 0, COLUMN_NUMBERS},
        {"water_ml", "or", "mL", 0, 0, COLUMN_NUMBERS},
        {"volume_l", "makes", "L", 0, 3, COLUMN_NUMBERS},
        {"bottle_spirit_ml", "one bottle:", "mL spirit", 0, 0, COLUMN_NUMBERS},
        {"bottle_water_scale_g", "and water", "g", 0, 0, COLUMN_NUMBERS},
    };
    size_t count = d->bottle_l > 0 ? 6 : 4;
    struct table *t = table_new(ALL, count);
    table_csv_decimals(t, 0, 1);
    for (size_t i = 1; i < count; i++) table_csv_decimals(t, i, ALL[i].decimals + 1);
    return t;
}

static void dilution_row(const dilution *d, double pct, struct table *t) {
    jl_spirit litre, water, spirit, part;
    double strong = NAN;
    bool can = jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &strong) == JL_OK &&
               jl_spirit_from_volume(1, strong, JL_STRENGTH_C, &litre) == JL_OK &&
               jl_bring_to(litre, 0, d->target, &water) == JL_OK;
    table_row(t, CELLS(V(pct), V(can ? 1000 * jl_scale_kg(water, d->water_c) : NAN),
                       V(can ? 1000 * jl_volume_l(water, d->water_c) : NAN),
                       V(can ? jl_volume_l(jl_blend(litre, water), JL_STRENGTH_C) : NAN)));
    if (d->bottle_l <= 0) return;
    const jl_dilution wanted = {strong, 0, d->target};
    can = can && jl_make_up(&wanted, d->bottle_l, &spirit, &part) == JL_OK;
    table_row(t, CELLS(V(can ? 1000 * jl_volume_l(spirit, JL_STRENGTH_C) : NAN),
                       V(can ? 1000 * jl_scale_kg(part, d->water_c) : NAN)));
}

/* Fills a card. Returns the exit status, or 0. */
static int card_dilution(const dilution_words *w, card *c) {
    dilution d;
    char water[64];
    int bad = read_dilution(w, &d);
    if (bad != 0) return bad;
    snprintf(c->title, sizeof c->title, "Water to %.4g %% vol at 20 °C", d.target_pct);
    if (d.bottle_l > 0)
        snprintf(c->above, sizeof c->above,
                 "To 1 L of spirit at 20 °C; and for one bottle of %g mL", 1000 * d.bottle_l);
    else
        snprintf(c->above, sizeof c->above, "To 1 L of spirit at 20 °C");
    c->table = dilution_table(&d);
    c->bold_row = d.strengths.count;
    for (size_t row = 0; row < d.strengths.count; row++)
        dilution_row(&d, card_span_value(&d.strengths, row), c->table);
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

/* ---- Correction ---- */

typedef struct correction_words {
    char *temps; /* "10C-30C" */
    card_span_words readings;
    setting_options instrument;
} correction_words;

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

static int read_temp(const char *text, double *temp_c) {
    int bad = arg_value("--temps", text, JL_TEMPERATURE, temp_c);
    if (bad != 0) return bad;
    if (*temp_c >= JL_TEMP_MIN_C && *temp_c <= JL_TEMP_MAX_C) return EXIT_DONE;
    return fail_argument("--temps", text, JL_RANGE,
                         "-20 to 40 °C (-4 to 104 °F), where OIML R 22 holds");
}

/* The text up to the minus between two temperatures, which is not the sign of either; what is behind
 * it, or NULL. */
static const char *part_temps(const char *text, char first[32]) {
    const char *minus = *text == '\0' ? NULL : strchr(text + 1, '-');
    if (minus == NULL || minus - text >= 32) return NULL;
    snprintf(first, 32, "%.*s", (int)(minus - text), text);
    return minus + 1;
}

static int read_temps(const correction_words *w, correction *k) {
    double from_c, to_c;
    char first[32];
    if (w->temps == NULL)
        return fail(EXIT_USAGE, "a correction card needs --temps; expected the first and the last "
                                "temperature, as --temps 10C-30C");
    const char *last = part_temps(w->temps, first);
    if (last == NULL)
        return fail_argument("--temps", w->temps, JL_FORM, "two temperatures, as 10C-30C");
    int bad = read_temp(first, &from_c);
    if (bad == 0) bad = read_temp(last, &to_c);
    if (bad != 0) return bad;
    if (to_c < from_c)
        return fail_argument("--temps", w->temps, JL_RANGE,
                             "the lower temperature first, as 10C-30C");
    k->fahrenheit = in_fahrenheit(first);
    k->temps.low = from_celsius(from_c, k->fahrenheit);
    k->temps.high = from_celsius(to_c, k->fahrenheit);
    k->temps.step = temp_step(k->temps.high - k->temps.low);
    return card_span_count(&k->temps, "temperatures", "rows", CARD_ROWS_MOST);
}

static int read_readings(const card_span_words *w, correction *k) {
    if (w->low != NULL) k->proof = unit_of_reading(w->low) == JL_UNIT_PROOF_US;
    k->readings = k->proof ? (card_span){70, 180, 10, 0} : (card_span){35, 90, 5, 0};
    int bad = k->proof ? card_span_read(w, JL_UNIT_PROOF_US, "US proof, as --low is", &k->readings)
                       : card_span_read(w, JL_UNIT_PCT_VOL, "% vol, or all of them in proof",
                                        &k->readings);
    return bad != 0 ? bad
                    : card_span_count(&k->readings, "readings", "columns", CARD_COLUMNS_MOST - 1);
}

static struct table *correction_table(const correction *k) {
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
    c->table = correction_table(k);
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

static void correction_foot(const correction *k, bool whole, card *c) {
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

/* Fills a card. Returns the exit status, or 0. */
static int card_correction(const correction_words *w, card *c) {
    correction k;
    jl_settings bench;
    int bad = instruments_read(&w->instrument, &bench);
    k.instrument = instrument_of(&bench);
    k.proof = jl_setting_value(&bench, JL_KEY_PROOF) == 1;
    if (bad == 0) bad = read_temps(w, &k);
    if (bad == 0) bad = read_readings(&w->readings, &k);
    if (bad != 0) return bad;
    double p;
    jl_quantity first = {k.readings.low, k.proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL};
    jl_status status = jl_reading_to_mass_fraction(&k.instrument, first, 20, &p);
    if (status == JL_CONFLICT)
        return fail(EXIT_USAGE,
                    "--alcoholometer-scale %s: a proof reading belongs to an instrument of "
                    "60 °F; expected 60F, or readings in %%",
                    w->instrument.words[JL_KEY_CALIBRATED]);
    snprintf(c->title, sizeof c->title, "%s",
             k.proof ? "Reading to proof at 60 °F" : "Reading to strength at 20 °C, % vol");
    snprintf(c->above, sizeof c->above,
             "Down: temperature of the spirit. Across: what the "
             "alcoholometer shows%s",
             k.proof ? ", proof" : ", %");
    correction_foot(&k, fill(&k, c), c);
    return EXIT_DONE;
}

/* ---- Boil ---- */

typedef struct boil_words {
    card_span_words strengths;
    setting_options air;
} boil_words;

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

static struct table *boil_table(bool whole) {
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

static void boil_row(double pct, double pressure_kpa, struct table *t) {
    double p;
    jl_boiling boiling = {NAN, NAN, NAN};
    if (jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &p) == JL_OK)
        jl_boil(jl_mole_fraction(p), pressure_kpa, &boiling);
    table_row(t, CELLS(V(pct), V(boiling.temp_c),
                       V(jl_strength_pct_from_mole(boiling.vapour_mole_fraction))));
}

/* Fills a card. Returns the exit status, or 0. */
static int card_boil(const boil_words *w, card *c) {
    jl_settings air;
    double pressure_kpa, strengths[CARD_ROWS_MOST];
    bool whole = true;
    int bad = arg_air(&w->air, &air, &pressure_kpa);
    if (bad == 0) bad = read_strengths(&w->strengths, strengths, &c->bold_row);
    if (bad != 0) return bad;
    for (size_t row = 0; row < c->bold_row; row++)
        whole = whole && strengths[row] == round(strengths[row]);
    c->table = boil_table(whole);
    for (size_t row = 0; row < c->bold_row; row++) boil_row(strengths[row], pressure_kpa, c->table);
    snprintf(c->title, sizeof c->title, "Boiling at %.2f kPa (%.0f mmHg)", pressure_kpa,
             pressure_kpa / 0.133322387415);
    snprintf(c->above, sizeof c->above, "A liquid at its boiling point and the vapour over it");
    if (air.of[JL_KEY_ALTITUDE].has)
        card_foot(c,
                  "Air pressure of an average day at %.6g m (U.S. Standard Atmosphere 1976); a "
                  "barometer is more exact: 1 kPa shifts the boiling point by about 0.3 °C.",
                  jl_setting_value(&air, JL_KEY_ALTITUDE));
    else
        card_foot(c, "Air pressure %.2f kPa%s.", pressure_kpa,
                  jl_is_stated(&air, JL_KEY_PRESSURE)
                      ? ""
                      : " (default, sea level; --altitude or --pressure change it)");
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

/* Which options belong to which card: a set of 1 << card. */
/* ---- The command ---- */

typedef enum card_kind { CORRECTION, DILUTION, BOIL, CARDS } card_kind;

static const char *const KINDS[CARDS] = {"correction", "dilution", "boil"};

/* Texts of the options; NULL when not given. */
typedef struct words {
    char *temps, *to, *bottle, *water_temp;
    card_span_words span;
    setting_options instrument;
    paper_options paper;
    int json;
} words;

static int refuse_others(const words *w, card_kind kind) {
    const struct {
        const char *name, *text;
        unsigned cards;
    } OPTIONS[] = {
        {"--temps", w->temps, 1 << CORRECTION},
        {"--alcoholometer-scale", w->instrument.words[JL_KEY_CALIBRATED], 1 << CORRECTION},
        {"--alcoholometer-glass", w->instrument.words[JL_KEY_GLASS], 1 << CORRECTION},
        {"--reading-correction", w->instrument.words[JL_KEY_READING_CORRECTION], 1 << CORRECTION},
        {"--thermometer-correction", w->instrument.words[JL_KEY_THERMOMETER_CORRECTION],
         1 << CORRECTION},
        {"--bottle", w->bottle, 1 << DILUTION},
        {"--water-temp", w->water_temp, 1 << DILUTION},
        {"--to", w->to, 1 << DILUTION},
        {"--altitude", w->instrument.words[JL_KEY_ALTITUDE], 1 << BOIL},
        {"--pressure", w->instrument.words[JL_KEY_PRESSURE], 1 << BOIL},
    };
    for (size_t i = 0; i < sizeof OPTIONS / sizeof OPTIONS[0]; i++)
        if (OPTIONS[i].text != NULL && (OPTIONS[i].cards & 1U << kind) == 0)
            return fail(EXIT_USAGE,
                        "%s does not belong to a %s card; 'jarline card --help' lists "
                        "what does",
                        OPTIONS[i].name, KINDS[kind]);
    return EXIT_DONE;
}

static int make(const words *w, card_kind kind, card *c) {
    if (kind == CORRECTION)
        return card_correction(&(correction_words){w->temps, w->span, w->instrument}, c);
    if (kind == DILUTION)
        return card_dilution(
            &(dilution_words){w->to, w->span, w->bottle, w->water_temp, w->instrument}, c);
    return card_boil(&(boil_words){w->span, w->instrument}, c);
}

/* to: a file, or NULL. */
static int put_letters(card *c, paper_format format, const paper_options *to) {
    bytes b = {0};
    FILE *text = need(open_memstream(&b.data, &b.count));
    format == PAPER_CSV ? table_csv(c->table, text) : card_text(c, text);
    if (fclose(text) != 0) need(NULL);
    int exit_status = to != NULL ? output_write(&to->file, b.data, b.count) : paper_print(&b);
    bytes_free(&b);
    return exit_status;
}

static int put_on_paper(const card *c, paper_format format, const paper_options *to) {
    double width, height;
    sheet s;
    int exit_status = paper_size(to, &width, &height);
    if (exit_status != EXIT_DONE) return exit_status;
    card_page(c, width, height, &s);
    exit_status = paper_make(to, &s, format, c->title);
    sheet_free(&s);
    return exit_status;
}

static int put(const words *w, paper_format format, card *c) {
    const paper_options *to = w->paper.file.path == NULL ? NULL : &w->paper;
    int exit_status = EXIT_DONE;
    if (to != NULL)
        exit_status = format == PAPER_TEXT || format == PAPER_CSV ? put_letters(c, format, to)
                                                                  : put_on_paper(c, format, to);
    if (exit_status != EXIT_DONE) return exit_status;
    if (w->json) return card_json(c);
    return to == NULL ? put_letters(c, PAPER_TEXT, NULL) : say_written(&to->file);
}

static int answer(const words *w, card_kind kind) {
    static const unsigned ALLOWED =
        1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG | 1 << PAPER_TEXT | 1 << PAPER_CSV;
    paper_format format = PAPER_TEXT;
    card c = {0};
    int bad = refuse_others(w, kind);
    if (bad == 0 && w->paper.file.path != NULL)
        bad = paper_format_of(w->paper.file.path, ALLOWED, &format);
    if (bad == 0) bad = make(w, kind, &c);
    if (bad == 0) bad = put(w, format, &c);
    card_free(&c);
    return bad;
}

static int answer_kind(const words *w, const char *name) {
    for (int i = 0; name != NULL && i < CARDS; i++)
        if (strcmp(name, KINDS[i]) == 0) return answer(w, (card_kind)i);
    return fail(EXIT_USAGE, "expected one card: correction, dilution or boil");
}

int command_card(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("temps", &w.temps, "TEMP-TEMP", "correction: first and last, 10C-30C or 50F-90F"),
        OPTION("to", &w.to, "STRENGTH", "dilution: the strength wanted, at 20 °C"),
        OPTION("low", &w.span.low, "STRENGTH", "lowest reading (35%), or strength"),
        OPTION("high", &w.span.high, "STRENGTH", "highest reading (90%), or strength"),
        OPTION("step", &w.span.step, "STRENGTH", "from one to the next"),
        BENCH_OPTION(w.instrument),
        INSTRUMENT_OPTIONS(w.instrument),
        OPTION("bottle", &w.bottle, "VOLUME", "dilution: what makes one bottle of this volume"),
        OPTION("water-temp", &w.water_temp, "TEMP", "dilution: of the water, for its volume (20C)"),
        OPTION("altitude", &w.instrument.words[JL_KEY_ALTITUDE], "ALTITUDE",
               "boil: 650m or 2100ft, for the air pressure"),
        OPTION("pressure", &w.instrument.words[JL_KEY_PRESSURE], "PRESSURE",
               "boil: 98.5kPa, 985hPa or 740mmHg"),
        PAPER_OPTIONS(w.paper, "card.pdf, .png, .svg, .txt or .csv"),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "correction|dilution|boil",
                  "A table for the wall, one page: correction --temps 10C-30C -o card.pdf"))
        a.exit_status = answer_kind(&w, a.count == 1 ? a.rest[0] : NULL);
    return args_close(&a);
}
