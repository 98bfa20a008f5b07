/* card: tables for the wall.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "input/settings.h"
#include "picture/paper.h"
#include "still/from_settings.h"
#include "text/letters.h"
#include "text/quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* ---- On paper ---- */

enum { CARD_ROWS_MOST = 61, CARD_COLUMNS_MOST = 102, CARD_FEET_MOST = 12, CARD_PAGES_MOST = 24 };

/* {0} is an empty one. */
typedef struct card {
    char title[96], above[96]; /* above: what the columns stand for */
    struct table *table;       /* the card's own */
    size_t bold_row;           /* its number of rows: none */
    bool even;                 /* its columns show the same of different readings */
    keep kept;
    const char *feet[CARD_FEET_MOST];
    size_t feet_count;
} card;

/* A line at the foot: source, calibration, caution. */
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

/* The answer as JSON; the table is the answer's from now on. to: a file with the card, or none.
 * Returns the exit status. */
static int card_json(card *c, const output_options *to) {
    show *s = show_open(true);
    show_text(s, "title", NULL, c->title);
    show_whole_table(s, "rows", c->table);
    c->table = NULL;
    for (size_t i = 0; i < c->feet_count; i++) show_note(s, "%s", c->feet[i]);
    show_written(s, to);
    return show_close(s, EXIT_DONE);
}

/* ---- The sheets ---- */

/* Of an A4 sheet; a smaller one has them in proportion, but no text below FOOT_LEAST. */
static const double A4_WIDTH = 595, MARGIN = 36, FOOT_SIZE = 9, FOOT_LEAST = 7, TITLE_SIZE = 20;
static const double SIZE_MOST = 22, SIZE_LEAST = 9; /* of the table */
static const double BETWEEN = 1.5;                  /* blocks, in heights of the type */

typedef struct card_layout {
    double width, height; /* of the page */
    double scale, margin, inside, title_h, above_h, foot_size, feet_h;
    size_t blocks;  /* of rows, beside each other */
    size_t columns; /* behind the first, on each page */
    table_style style;
} card_layout;

static double foot_height(const card_layout *l, const char *text) {
    const double LINE = 1.2, AFTER = 0.3; /* heights of the type */
    return (text_lines(text, l->foot_size, false, l->inside) * LINE + AFTER) * l->foot_size;
}

static card_layout page_of(const card *c, double width, double height) {
    double scale = fmin(fmin(width, height) / A4_WIDTH, 1);
    card_layout l = {.width = width, .height = height, .scale = scale, .margin = scale * MARGIN};
    l.inside = width - 2 * l.margin;
    l.title_h = scale * 34;
    l.above_h = scale * 24;
    l.foot_size = fmax(scale * FOOT_SIZE, FOOT_LEAST);
    for (size_t i = 0; i < c->feet_count; i++) l.feet_h += foot_height(&l, c->feet[i]);
    return l;
}

/* The type in which so many blocks of a part's rows fit. */
static void fit_table(const card *c, const struct table *part, size_t blocks, card_layout *l) {
    double table_h =
        l->height - 2 * l->margin - l->title_h - l->above_h - l->feet_h - l->scale * 12;
    size_t rows = (table_rows(part) + blocks - 1) / blocks;
    double lines = (double)rows + table_head_lines(part) + (table_has_groups(part) ? 1 : 0) + 0.3;
    double ems =
        (double)blocks * page_table_room(part, "-", c->even) + (double)(blocks - 1) * BETWEEN;
    l->blocks = blocks;
    l->columns = table_columns(part) - 1;
    l->style = (table_style){.type = fmin(fmin(l->inside / ems, table_h / lines / 1.3), SIZE_MOST),
                             .gap = 0.3,
                             .rule = 1.2,
                             .rule_tone = TONE_INK,
                             .bold = true,
                             .even = c->even,
                             .bold_row = c->bold_row,
                             .missing = "-"};
    l->style.row_h = fmin(table_h / lines, 1.75 * l->style.type);
    l->style.rule_at = 0.15 * l->style.row_h;
}

/* The largest type for a part, upright or across, in one block or in several. */
static card_layout best_for(const card *c, const struct table *part, double width, double height) {
    const card_layout ways[] = {page_of(c, width, height), page_of(c, height, width)};
    card_layout best = ways[0];
    best.style.type = 0;
    for (int i = 0; i < 2; i++)
        for (size_t blocks = 1; blocks <= 4; blocks++) {
            card_layout l = ways[i];
            fit_table(c, part, blocks, &l);
            if (l.style.type > best.style.type * 1.001) best = l;
        }
    return best;
}

/* All pages in the type of the part that needs the smallest. */
static card_layout pages_for(const card *c, size_t columns, double width, double height) {
    card_layout least = {0};
    for (size_t from = 1; from < table_columns(c->table); from += columns) {
        struct table *part = table_cut(c->table, 0, table_rows(c->table), from, columns);
        card_layout l = best_for(c, part, width, height);
        l.columns = columns;
        if (from == 1 || l.style.type < least.style.type) least = l;
        table_free(part);
    }
    return least;
}

static card_layout layout_for(const card *c, double width, double height) {
    size_t all = table_columns(c->table) - 1;
    card_layout l = {0};
    for (size_t pages = 1; pages <= CARD_PAGES_MOST && pages <= all; pages++) {
        l = pages_for(c, (all + pages - 1) / pages, width, height);
        if (l.style.type >= l.scale * SIZE_LEAST) break;
    }
    return l;
}

static void put_feet(const card *c, const card_layout *l, sheet *s) {
    double y = l->height - l->margin - l->feet_h;
    for (size_t i = 0; i < c->feet_count; i++) {
        double h = foot_height(l, c->feet[i]);
        box at = {l->margin, y, l->inside, h};
        sheet_text(s, MARK_TEXT, at, ALIGN_LEFT, l->foot_size, c->feet[i])->wraps = true;
        y += h;
    }
}

static void put_blocks(const card *c, const card_layout *l, size_t from, box at, sheet *s) {
    size_t rows = (table_rows(c->table) + l->blocks - 1) / l->blocks;
    double between = BETWEEN * l->style.type;
    at.w = (at.w - (double)(l->blocks - 1) * between) / (double)l->blocks;
    for (size_t row = 0; row < table_rows(c->table); row += rows) {
        struct table *part = table_cut(c->table, row, rows, from, l->columns);
        table_style style = l->style;
        style.bold_row = c->bold_row >= row ? c->bold_row - row : rows;
        page_table(part, &style, at, s);
        table_free(part);
        at.x += at.w + between;
    }
}

static void put_page(const card *c, const card_layout *l, size_t from, sheet *s) {
    box at = {l->margin, l->margin, l->inside, l->title_h};
    double title = fmin(l->scale * TITLE_SIZE, l->inside / text_room(c->title, 1));
    sheet_begin(s, l->width, l->height);
    s->on_paper = true;
    sheet_text(s, MARK_TITLE, at, ALIGN_LEFT, title, c->title)->bold = true;
    at.y += l->title_h;
    at.h = l->above_h;
    double above = fmin(l->scale * 12, l->inside / text_room(c->above, 1));
    sheet_text(s, MARK_NOTE, at, ALIGN_LEFT, above, c->above);
    at.y += l->above_h;
    put_blocks(c, l, from, at, s);
    put_feet(c, l, s);
}

/* Sheets in the largest type that lets it fit, upright or across, in blocks beside each other; on
 * several where its columns would be too small on one. width, height: of the upright page in points.
 * Returns how many there are; each is to be freed. */
static size_t card_pages(const card *c, double width, double height, sheet pages[CARD_PAGES_MOST]) {
    card_layout l = layout_for(c, width, height);
    size_t all = table_columns(c->table) - 1, count = (all + l.columns - 1) / l.columns;
    for (size_t i = 0, from = 1; i < count; i++, from += l.columns) {
        l.columns = (all - from + count - i) / (count - i); /* of those left, by the pages left */
        put_page(c, &l, from, &pages[i]);
    }
    return count;
}

/* ---- Tables: their cells are what correct, dilute and boil answer ---- */

/* Texts of --low, --high and --step; NULL when not given. */
typedef struct card_span_words {
    char *low, *high, *step;
} card_span_words;

/* Texts of the options of any card; NULL when not given. */
typedef struct card_words {
    char *temps, *to, *bottle, *water_temp;
    card_span_words span;
    setting_options with; /* the bench file, the instrument, the air */
    int proof;
} card_words;

typedef struct card_kind {
    const char *name;
    unsigned asks; /* which settings, JL_IN_... */
    /* Fills a card. Returns the exit status, or 0. */
    int (*fill)(const card_words *w, const jl_settings *settings, card *c);
} card_kind;

enum { CARD_CORRECTION, CARD_DILUTION, CARD_BOIL, CARD_HEAD, CARDS };

/* ---- The units of a card: % vol at 20 °C and °C, or US proof at 60 °F and °F ---- */

static double reference_c(units u) {
    return u.proof ? JL_PROOF_C : JL_STRENGTH_C;
}

static jl_unit scale_of(units u) {
    return u.proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL;
}

static const char *strength_unit(units u) {
    return u.proof ? "proof" : "% vol";
}

static double in_scale(double mass_fraction, units u) {
    double pct;
    if (jl_strength_pct(mass_fraction, reference_c(u), &pct) != JL_OK) return NAN;
    return u.proof ? 2 * pct : pct;
}

/* NaN: no such mixture. */
static double from_scale(double strength, units u) {
    double mass_fraction;
    double pct = u.proof ? strength / 2 : strength;
    return jl_mass_fraction_from_strength(pct, reference_c(u), &mass_fraction) == JL_OK
               ? mass_fraction
               : NAN;
}

static double mole_in_scale(double mole_fraction, units u) {
    return isnan(mole_fraction) ? NAN : in_scale(jl_mass_fraction_from_mole(mole_fraction), u);
}

static double from_celsius(double temp_c, units u) {
    return u.fahrenheit ? jl_in_unit(&jl_units[JL_F], temp_c) : temp_c;
}

static double to_celsius(double temp, units u) {
    return u.fahrenheit ? jl_from_unit(&jl_units[JL_F], temp) : temp;
}

/* A difference. */
static double in_degrees(double celsius, units u) {
    return u.fahrenheit ? celsius * 9 / 5 : celsius;
}

static const char *degree(units u) {
    return u.fahrenheit ? "°F" : "°C";
}

static bool is_whole(double value) {
    return value == round(value);
}

static bool in_proof(const char *strength) {
    return strength != NULL && unit_of_reading(strength) == JL_UNIT_PROOF_US;
}

/* The option decides, or a strength wanted in proof, else what --low is written in, else the bench file. */
static units units_of(const card_words *w, const jl_settings *bench) {
    bool proof =
        w->proof != 0 || in_proof(w->to) ||
        (w->span.low != NULL ? in_proof(w->span.low) : jl_setting_value(bench, JL_KEY_PROOF) > 0);
    return (units){proof, proof};
}

static const char *span_expected(units u) {
    return u.proof ? "US proof, as 80proof" : "% vol at 20 °C, as 60%";
}

/* ---- Evenly spaced values ---- */

/* For its rows or columns. */
typedef struct card_span {
    double low, high, step;
    size_t count;
} card_span;

static int read_bound(const char *name, const char *text, units u, double *value) {
    jl_quantity strength;
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (bad != 0) return bad;
    if (strength.unit != scale_of(u)) return fail_argument(name, text, JL_UNIT, span_expected(u));
    *value = strength.value;
    return EXIT_DONE;
}

/* Takes what is given. Returns the exit status, or 0. */
static int card_span_read(const card_span_words *w, units u, card_span *span) {
    int bad = read_bound("--low", w->low, u, &span->low);
    if (bad == 0) bad = read_bound("--high", w->high, u, &span->high);
    if (bad == 0) bad = read_bound("--step", w->step, u, &span->step);
    return bad;
}

/* Counts the values; high is one of them when the step leads there. Refuses none, and more than most;
 * what: "readings", along: "columns". Returns the exit status, or 0. */
static int card_span_count(card_span *span, const char *what, const char *along, size_t most) {
    double count = floor((span->high - span->low) / span->step + 1e-9) + 1;
    span->count = span->step > 0 && count >= 1 && count <= (double)most ? (size_t)count : 0;
    if (span->count > 0) return EXIT_DONE;
    return refuse("%s from %g to %g by %g do not fit a card; expected 1 to %zu %s: change --low, "
                  "--high or --step",
                  what, span->low, span->high, span->step, most, along);
}

static double card_span_value(const card_span *span, size_t i) {
    return span->low + (double)i * span->step;
}

/* ---- Two temperatures: "10C-30C" ---- */

static bool in_fahrenheit(const char *text) {
    size_t length = strlen(text);
    while (length > 0 && isspace((unsigned char)text[length - 1])) length--;
    return length > 0 && jl_lower(text[length - 1]) == 'f';
}

/* The text up to the minus between two temperatures, which is not the sign of either; what is behind
 * it, or NULL. */
static const char *part_temps(const char *text, char first[32]) {
    const char *minus = *text == '\0' ? NULL : strchr(text + 1, '-');
    if (minus == NULL || minus - text >= 32) return NULL;
    snprintf(first, 32, "%.*s", (int)(minus - text), text);
    return minus + 1;
}

static int read_temp(const char *text, const char *expected, card_span within_c, double *temp_c) {
    int bad = arg_value("--temps", text, JL_TEMPERATURE, temp_c);
    if (bad != 0) return bad;
    if (*temp_c >= within_c.low && *temp_c <= within_c.high) return EXIT_DONE;
    return fail_argument("--temps", text, JL_RANGE, expected);
}

/* Those of --temps, in whose unit the card then is, if it is not in °F already. */
static int read_range(const char *text, const char *expected, card_span within_c, units *u,
                      card_span *temps) {
    double from_c, to_c;
    char first[32];
    const char *last = part_temps(text, first);
    if (last == NULL)
        return fail_argument("--temps", text, JL_FORM, "two temperatures, as 10C-30C");
    int bad = read_temp(first, expected, within_c, &from_c);
    if (bad == 0) bad = read_temp(last, expected, within_c, &to_c);
    if (bad != 0) return bad;
    if (to_c < from_c)
        return fail_argument("--temps", text, JL_RANGE, "the lower temperature first, as 10C-30C");
    u->fahrenheit = u->fahrenheit || in_fahrenheit(first);
    temps->low = round(1e6 * from_celsius(from_c, *u)) / 1e6;
    temps->high = round(1e6 * from_celsius(to_c, *u)) / 1e6;
    return EXIT_DONE;
}

/* ---- Dilution ---- */

typedef struct dilution {
    units units;
    double target, target_shown; /* mass fraction, and on the scale */
    double water_c, bottle_l;    /* bottle_l 0: none */
    card_span strengths;
} dilution;

static int read_in_hand(const card_words *w, dilution *d) {
    card_span *span = &d->strengths;
    double wide = d->units.proof ? 4 : 2;
    *span = (card_span){wide * floor(d->target_shown / wide + 1e-9) + wide, 48 * wide, 0, 0};
    int bad = card_span_read(&w->span, d->units, span);
    if (bad != 0) return bad;
    if (w->span.step == NULL) span->step = span->high - span->low <= 15 * wide ? wide / 2 : wide;
    if (!(span->low > d->target_shown))
        return fail(EXIT_NO,
                    "the card begins at %g %s, not above the %.2f %s wanted: adding water can only "
                    "make it weaker",
                    span->low, strength_unit(d->units), d->target_shown, strength_unit(d->units));
    return card_span_count(span, "strengths", "rows", CARD_ROWS_MOST);
}

static int read_dilution(const card_words *w, const jl_settings *bench, dilution *d) {
    const units u = units_of(w, bench);
    *d = (dilution){.units = u, .water_c = reference_c(u)};
    if (w->to == NULL)
        return refuse("a dilution card needs --to; expected the strength wanted, as --to 40%%");
    int bad = arg_target(w->to, &d->target);
    if (bad == 0) bad = arg_value("--water-temp", w->water_temp, JL_TEMPERATURE, &d->water_c);
    if (bad == 0) bad = arg_bottle(w->bottle, bench, &d->bottle_l);
    if (bad != 0) return bad;
    if (!(d->water_c >= 0 && d->water_c <= JL_TEMP_MAX_C))
        return fail_argument("--water-temp", w->water_temp, JL_RANGE, "0 to 40 °C, as 12C");
    d->target_shown = in_scale(d->target, u);
    return read_in_hand(w, d);
}

static struct table *dilution_table(const dilution *d) {
    const char *const litre = "To 1 L in hand", *const bottle = "For one bottle";
    bool whole = is_whole(d->strengths.step) && is_whole(d->strengths.low);
    const column ALL[] = {
        {d->units.proof ? "proof_us" : "strength_pct", "in hand", strength_unit(d->units), 0,
         whole ? 0 : 1, COLUMN_NUMBERS, NULL},
        {"water_scale_g", "water", "g", 5, 0, COLUMN_NUMBERS, litre},
        {"water_ml", "or water", "mL", 0, 0, COLUMN_NUMBERS, litre},
        {"volume_l", "makes", "L", 0, EXACT + 3, COLUMN_NUMBERS, litre},
        {"bottle_spirit_ml", "spirit", "mL", 8, 0, COLUMN_NUMBERS, bottle},
        {"bottle_water_scale_g", "and water", "g", 0, 0, COLUMN_NUMBERS, bottle},
    };
    size_t count = d->bottle_l > 0 ? 6 : 4;
    struct table *t = table_new(ALL, count);
    table_csv_decimals(t, 0, 1);
    for (size_t i = 1; i < count; i++) table_csv_decimals(t, i, ALL[i].decimals % EXACT + 1);
    return t;
}

static void dilution_row(const dilution *d, double shown, struct table *t) {
    jl_spirit litre, water, spirit, part;
    double strong = from_scale(shown, d->units), at_c = reference_c(d->units);
    bool can = !isnan(strong) && jl_spirit_from_volume(1, strong, at_c, &litre) == JL_OK &&
               jl_bring_to(litre, 0, d->target, &water) == JL_OK;
    table_row(t, CELLS(V(shown), V(can ? 1000 * jl_scale_kg(water, d->water_c) : NAN),
                       V(can ? 1000 * jl_volume_l(water, d->water_c) : NAN),
                       V(can ? jl_volume_l(jl_blend(litre, water), at_c) : NAN)));
    if (d->bottle_l <= 0) return;
    const jl_dilution wanted = {strong, 0, d->target};
    can = can && jl_make_up(&wanted, d->bottle_l, &spirit, &part) == JL_OK;
    table_row(t, CELLS(V(can ? 1000 * jl_volume_l(spirit, at_c) : NAN),
                       V(can ? 1000 * jl_scale_kg(part, d->water_c) : NAN)));
}

static int card_dilution(const card_words *w, const jl_settings *bench, card *c) {
    dilution d;
    char water[64], bottle[48] = "";
    int bad = read_dilution(w, bench, &d);
    if (bad != 0) return bad;
    snprintf(c->title, sizeof c->title, "Water to %.4g %s at %s", d.target_shown,
             strength_unit(d.units), at_reference(d.units));
    if (d.bottle_l > 0)
        snprintf(bottle, sizeof bottle, "; a bottle holds %g mL", 1000 * d.bottle_l);
    snprintf(c->above, sizeof c->above, "Down: strength of the spirit in hand, %s at %s%s",
             strength_unit(d.units), at_reference(d.units), bottle);
    c->table = dilution_table(&d);
    c->bold_row = d.strengths.count;
    for (size_t row = 0; row < d.strengths.count; row++)
        dilution_row(&d, card_span_value(&d.strengths, row), c->table);
    phrase_at(water, sizeof water, "The water is added", d.water_c);
    card_foot(c, "%s%s. Strengths and volumes at %s%s.", water,
              w->water_temp == NULL ? ", the default" : "", at_reference(d.units),
              d.units.proof && d.bottle_l > 0 ? ", a bottle at 20 °C" : "");
    card_foot(c, "Grams as a scale in air shows them (OIML D 28). Weigh rather than measure; mix, "
                 "let it cool and stand, then read it with an alcoholometer.");
    card_foot(c,
              "Correct the reading in hand to %s first; the label's strength is for a calibrated "
              "instrument to say.",
              at_reference(d.units));
    card_foot(c, "Density by OIML R 22 (1975). Jarline %s.", JARLINE_VERSION);
    return EXIT_DONE;
}

/* ---- Correction ---- */

/* What the options ask for, in the units in which they were written. */
typedef struct correction {
    card_span temps, readings;
    units units;
    jl_alcoholometer instrument;
} correction;

/* As fine as large type allows. */
static double temp_step(double span) {
    return span <= 40.5 ? 1 : span <= 81 ? 2 : 5;
}

static int read_temps(const card_words *w, correction *k) {
    if (w->temps == NULL)
        return refuse("a correction card needs --temps; expected the first and the last "
                      "temperature, as --temps 10C-30C");
    k->units.fahrenheit = w->proof != 0 || (w->span.low == NULL && k->units.proof);
    int bad = read_range(w->temps, "-20 to 40 °C (-4 to 104 °F), where OIML R 22 holds",
                         (card_span){JL_TEMP_MIN_C, JL_TEMP_MAX_C, 0, 0}, &k->units, &k->temps);
    if (bad != 0) return bad;
    k->temps.step = temp_step(k->temps.high - k->temps.low);
    return card_span_count(&k->temps, "temperatures", "rows", CARD_ROWS_MOST);
}

static int read_readings(const card_words *w, correction *k) {
    k->readings = k->units.proof ? (card_span){70, 180, 10, 0} : (card_span){35, 90, 5, 0};
    int bad = card_span_read(&w->span, k->units, &k->readings);
    return bad != 0 ? bad
                    : card_span_count(&k->readings, "readings", "columns", CARD_COLUMNS_MOST - 1);
}

static struct table *correction_table(const correction *k) {
    column columns[CARD_COLUMNS_MOST] = {{k->units.fahrenheit ? "temp_f" : "temp_c",
                                          degree(k->units), "", 0, is_whole(k->temps.low) ? 0 : 1,
                                          COLUMN_NUMBERS}};
    char keys[CARD_COLUMNS_MOST][32], titles[CARD_COLUMNS_MOST][24];
    for (size_t i = 1; i <= k->readings.count; i++) {
        double reading = card_span_value(&k->readings, i - 1);
        snprintf(keys[i], sizeof keys[i], "reading_%g_%s", reading,
                 k->units.proof ? "proof" : "pct");
        for (char *point = keys[i]; (point = strchr(point, '.')) != NULL;) *point = '_';
        snprintf(titles[i], sizeof titles[i], "%g", reading);
        columns[i] = (column){keys[i], titles[i], "", 0, 1, COLUMN_NUMBERS};
    }
    struct table *t = table_new(columns, 1 + k->readings.count);
    for (size_t i = 1; i <= k->readings.count; i++) table_csv_decimals(t, i, 2);
    return t;
}

static double corrected(const correction *k, double reading, double temp_c) {
    double p;
    const jl_quantity read = {reading, scale_of(k->units)};
    return jl_reading_to_mass_fraction(&k->instrument, read, temp_c, &p) == JL_OK
               ? in_scale(p, k->units)
               : NAN;
}

/* As an instrument's scale is read; a coarse one leaves none. */
static int correction_decimals(const correction *k, double value) {
    return digits_of(value, 1, strength_unit(k->units));
}

/* Returns whether every cell has a figure. */
static bool fill(const correction *k, card *c) {
    bool whole = true;
    double calibrated_c = jl_calibrated_c(&k->instrument, scale_of(k->units));
    c->table = correction_table(k);
    c->bold_row = k->temps.count;
    c->even = true;
    for (size_t row = 0; row < k->temps.count; row++) {
        double temp = card_span_value(&k->temps, row), temp_c = to_celsius(temp, k->units);
        if (fabs(temp_c - calibrated_c) < 1e-6) c->bold_row = row;
        table_add_number(c->table, temp);
        for (size_t i = 0; i < k->readings.count; i++) {
            double value = corrected(k, card_span_value(&k->readings, i), temp_c);
            table_row(c->table, CELLS(v_with(value, correction_decimals(k, value))));
            whole = whole && !isnan(value);
        }
    }
    return whole;
}

static void correction_foot(const correction *k, bool whole, card *c) {
    char instrument[96];
    phrase_at(instrument, sizeof instrument, "Glass alcoholometer calibrated",
              jl_calibrated_c(&k->instrument, scale_of(k->units)));
    card_foot(c, "%s%s; its glass grows by %ge-6 per °C.", instrument,
              isnan(k->instrument.calibrated_c) ? " (default)" : "",
              k->instrument.glass_per_c * 1e6);
    if (k->instrument.reading_correction_pct != 0 || k->instrument.thermometer_correction_c != 0)
        card_foot(c,
                  "Already in the figures: %+g %% vol on the reading, %+g °C on the thermometer.",
                  k->instrument.reading_correction_pct, k->instrument.thermometer_correction_c);
    card_foot(c, "Between two columns or rows take the share of the difference.");
    if (!whole) card_foot(c, "-: no mixture of ethanol and water shows that there.");
    card_foot(
        c,
        "Only for ethanol and water: not for a wash, nor for anything sweetened (27 CFR 30.32).");
    card_foot(c, "Density by OIML R 22 (1975), the instrument after OIML R 44. Jarline %s.",
              JARLINE_VERSION);
}

static int card_correction(const card_words *w, const jl_settings *bench, card *c) {
    correction k = {.units = units_of(w, bench), .instrument = jl_settings_to_alcoholometer(bench)};
    int bad = read_temps(w, &k);
    if (bad == 0) bad = read_readings(w, &k);
    if (bad != 0) return bad;
    double p;
    const char *scale = w->with.words[JL_KEY_CALIBRATED];
    jl_quantity first = {k.readings.low, scale_of(k.units)};
    if (jl_reading_to_mass_fraction(&k.instrument, first, 20, &p) == JL_CONFLICT)
        return refuse("%s %s: a proof reading belongs to an instrument of 60 °F; expected 60F, or "
                      "readings in %%",
                      scale != NULL ? "--alcoholometer-scale" : "the bench file's calibrated_c",
                      scale != NULL ? scale : "");
    snprintf(c->title, sizeof c->title, "%s",
             k.units.proof ? "Reading to proof at 60 °F" : "Reading to strength at 20 °C, % vol");
    snprintf(c->above, sizeof c->above,
             "Down: temperature of the spirit, %s. Across: what the alcoholometer shows, %s",
             degree(k.units), k.units.proof ? "proof" : "%");
    correction_foot(&k, fill(&k, c), c);
    return EXIT_DONE;
}

/* ---- Boil, and the head ---- */

/* Closer where a wash and low wines are. */
static const double USUAL_PCT[] = {0,  1,  2,  3,  4,  5,  6,  7,  8,  9,  10, 12, 14, 16, 18, 20,
                                   25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95};
enum { USUAL = sizeof USUAL_PCT / sizeof USUAL_PCT[0] };

/* The usual strengths, or even ones where an option asks for them. */
static int read_strengths(const card_words *w, units u, double *strengths, size_t *count) {
    double wide = u.proof ? 2 : 1;
    card_span span = {0, 95 * wide, 5 * wide, 0};
    if (w->span.low == NULL && w->span.high == NULL && w->span.step == NULL) {
        *count = USUAL;
        for (size_t i = 0; i < USUAL; i++) strengths[i] = wide * USUAL_PCT[i];
        return EXIT_DONE;
    }
    int bad = card_span_read(&w->span, u, &span);
    if (w->span.step == NULL && span.high - span.low <= 30 * wide) span.step = wide;
    if (bad == 0) bad = card_span_count(&span, "strengths", "rows", CARD_ROWS_MOST);
    if (bad != 0) return bad;
    *count = span.count;
    for (size_t i = 0; i < span.count; i++) strengths[i] = card_span_value(&span, i);
    return EXIT_DONE;
}

static struct table *boil_table(units u, bool whole) {
    const column COLUMNS[] = {
        {u.proof ? "proof_us" : "strength_pct", "liquid", strength_unit(u), 0, whole ? 0 : 1,
         COLUMN_NUMBERS, NULL},
        {u.fahrenheit ? "boil_f" : "boil_c", "boils at", degree(u), 0, 1, COLUMN_NUMBERS, NULL},
        {u.proof ? "vapour_proof" : "vapour_pct", "vapour", strength_unit(u), 0, EXACT + 1,
         COLUMN_NUMBERS, NULL},
    };
    struct table *t = table_new(COLUMNS, 3);
    table_csv_decimals(t, 0, 1);
    table_csv_decimals(t, 1, 2);
    table_csv_decimals(t, 2, 2);
    return t;
}

static void boil_row(double strength, units u, double pressure_kpa, struct table *t) {
    double p = from_scale(strength, u);
    jl_boiling boiling = {NAN, NAN, NAN};
    if (!isnan(p)) jl_boil(jl_mole_fraction(p), pressure_kpa, &boiling);
    table_row(t, CELLS(V(strength), V(from_celsius(boiling.temp_c, u)),
                       V(mole_in_scale(boiling.vapour_mole_fraction, u))));
}

static void title_pressure(card *c, const char *what, double pressure_kpa) {
    snprintf(c->title, sizeof c->title, "%s at %.2f kPa (%.0f mmHg)", what, pressure_kpa,
             pressure_kpa / JL_MMHG_KPA);
}

/* Where the pressure is from. */
static void foot_air(card *c, const jl_settings *air, units u) {
    const jl_setting *altitude = &air->of[JL_KEY_ALTITUDE], *pressure = &air->of[JL_KEY_PRESSURE];
    const char *shift = u.fahrenheit ? "0.5 °F" : "0.3 °C";
    double metres = jl_setting_value(air, JL_KEY_ALTITUDE);
    if (altitude->has)
        card_foot(c,
                  "Air pressure of an average day at %.4g %s%s (U.S. Standard Atmosphere 1976); a "
                  "barometer is more exact: 1 kPa shifts the boiling point by about %s.",
                  u.fahrenheit ? jl_in_unit(jl_unit_ending(JL_ALTITUDE, "_ft"), metres) : metres,
                  u.fahrenheit ? "ft" : "m",
                  altitude->origin == JL_FROM_FILE ? ", of the bench file" : "", shift);
    else
        card_foot(c, "Air pressure %.2f kPa%s; 1 kPa shifts the boiling point by about %s.",
                  jl_setting_value(air, JL_KEY_PRESSURE),
                  !jl_is_stated(air, JL_KEY_PRESSURE)
                      ? " (default, sea level; --altitude or --pressure change it)"
                  : pressure->origin == JL_FROM_FILE ? ", of the bench file"
                                                     : "",
                  shift);
}

static void foot_hot(card *c) {
    card_foot(c,
              "Hot vapour burns and is heavier than air; the way from boiler to receiver stays "
              "open. Jarline %s.",
              JARLINE_VERSION);
}

static int card_boil(const card_words *w, const jl_settings *bench, card *c) {
    const units u = units_of(w, bench);
    double pressure_kpa = jl_settings_to_still(bench).pressure_kpa, strengths[CARD_ROWS_MOST];
    bool whole = true;
    int bad = read_strengths(w, u, strengths, &c->bold_row);
    if (bad != 0) return bad;
    for (size_t row = 0; row < c->bold_row; row++) whole = whole && is_whole(strengths[row]);
    c->table = boil_table(u, whole);
    for (size_t row = 0; row < c->bold_row; row++)
        boil_row(strengths[row], u, pressure_kpa, c->table);
    title_pressure(c, "Boiling", pressure_kpa);
    snprintf(c->above, sizeof c->above, "A liquid at its boiling point and the vapour over it");
    foot_air(c, bench, u);
    card_foot(c,
              "Strengths at %s. The boiler shows the temperature of its liquid; a head, that of "
              "the vapour in it, where the third column then holds.",
              at_reference(u));
    card_foot(
        c,
        "A model's figures: NRTL fitted to published measurements, which differ among themselves "
        "by up to 0.018 in the mole fraction of the vapour. A wash is taken as ethanol and water.");
    foot_hot(c);
    return EXIT_DONE;
}

typedef struct head {
    units units;
    double pressure_kpa;
    card_span temps;
    jl_instruments instruments;
    double temp_c; /* of the row */
} head;

/* Published boiling points differ among themselves by as much. */
static const double MODEL_C = 0.5;

enum { OF_VAPOUR, OF_LIQUID, HEAD_FIGURES };

static jl_status head_model(const double *x, double *v, void *with) {
    const head *h = with;
    jl_boiling at;
    jl_status status = jl_boil_at_temp(h->temp_c + x[0] + x[1], h->pressure_kpa, &at);
    if (status != JL_OK) return status;
    v[OF_VAPOUR] = mole_in_scale(at.vapour_mole_fraction, h->units);
    v[OF_LIQUID] = mole_in_scale(at.liquid_mole_fraction, h->units);
    return JL_OK;
}

/* By the thermometer and the model, k = 2; NaN: none. */
static void head_uncertainties(head *h, double expanded[HEAD_FIGURES]) {
    jl_uncertainty found[HEAD_FIGURES];
    double own = jl_instrument_variance(&h->instruments, JL_BY_THERMOMETER, false) +
                 jl_instrument_variance(&h->instruments, JL_BY_THERMOMETER, true);
    jl_budget *budget = need(jl_budget_new());
    jl_budget_input(budget, "thermometer", sqrt(own), JL_NORMAL);
    jl_budget_input(budget, "model", MODEL_C, JL_RECTANGULAR);
    jl_status status = jl_budget_first_order(budget, head_model, h, HEAD_FIGURES, found);
    jl_budget_free(budget);
    for (int i = 0; i < HEAD_FIGURES; i++)
        expanded[i] = status == JL_OK ? JL_COVERAGE_K * found[i].standard : NAN;
}

static struct table *head_table(const head *h) {
    const units u = h->units;
    const column COLUMNS[] = {
        {u.fahrenheit ? "head_f" : "head_c", "head", degree(u), 0,
         is_whole(h->temps.step) && is_whole(h->temps.low) ? 0 : 1, COLUMN_NUMBERS, NULL},
        {u.proof ? "vapour_proof" : "vapour_pct", "vapour", strength_unit(u), 0, 1, COLUMN_NUMBERS,
         NULL},
        {u.proof ? "vapour_expanded_proof" : "vapour_expanded_pct", "±", strength_unit(u), 0, 1,
         COLUMN_NUMBERS, NULL},
        {u.proof ? "proof_us" : "strength_pct", "liquid", strength_unit(u), 0, 1, COLUMN_NUMBERS,
         NULL},
    };
    struct table *t = table_new(COLUMNS, 4);
    for (size_t i = 0; i < 4; i++) table_csv_decimals(t, i, 2);
    return t;
}

/* Two digits of the uncertainty, and the figure to the same place; a model's tenth at the most. */
static int head_decimals(double expanded) {
    int decimals = isnan(expanded) ? 1 : digits_of_expanded(expanded);
    return decimals < 1 ? decimals : 1;
}

static bool any_missing(const struct table *t) {
    static const char NONE[] = "";
    char buffer[CELL_BYTES];
    for (size_t row = 0; row < table_rows(t); row++)
        for (size_t at = 0; at < table_columns(t); at++)
            if (table_cell(t, row, at, NONE, buffer) == NONE) return true;
    return false;
}

static void head_row(head *h, double temp, struct table *t) {
    jl_boiling at = {NAN, NAN, NAN};
    double expanded[HEAD_FIGURES];
    h->temp_c = to_celsius(temp, h->units);
    if (jl_boil_at_temp(h->temp_c, h->pressure_kpa, &at) != JL_OK) at = (jl_boiling){NAN, NAN, NAN};
    head_uncertainties(h, expanded);
    const int vapour = head_decimals(expanded[OF_VAPOUR]);
    table_row(t, CELLS(V(temp), v_with(mole_in_scale(at.vapour_mole_fraction, h->units), vapour),
                       v_with(expanded[OF_VAPOUR], vapour),
                       v_with(mole_in_scale(at.liquid_mole_fraction, h->units),
                              head_decimals(expanded[OF_LIQUID]))));
}

/* From where a vapour condenses first to water, or what --temps says. */
static int read_heads(const card_words *w, head *h) {
    jl_boiling first, last;
    double step = h->units.fahrenheit ? 1 : 0.5;
    if (jl_azeotrope(h->pressure_kpa, &first) != JL_OK ||
        jl_boil(0, h->pressure_kpa, &last) != JL_OK)
        return refuse("%g kPa: no boiling points there", h->pressure_kpa);
    h->temps.step = step;
    h->temps.low = ceil(from_celsius(first.temp_c, h->units) / step) * step;
    h->temps.high = floor(from_celsius(last.temp_c, h->units) / step) * step;
    if (w->temps != NULL) {
        int bad =
            read_range(w->temps, "70 to 110 °C", (card_span){70, 110, 0, 0}, &h->units, &h->temps);
        if (bad != 0) return bad;
        h->temps.step = h->temps.high - h->temps.low <= 12 * step ? step / 5 : step;
    }
    return card_span_count(&h->temps, "temperatures", "rows", CARD_ROWS_MOST);
}

static int card_head(const card_words *w, const jl_settings *bench, card *c) {
    head h = {.units = units_of(w, bench),
              .pressure_kpa = jl_settings_to_still(bench).pressure_kpa,
              .instruments = jl_settings_to_instruments(bench)};
    int bad = read_heads(w, &h);
    if (bad != 0) return bad;
    c->table = head_table(&h);
    c->bold_row = h.temps.count;
    for (size_t row = 0; row < h.temps.count; row++)
        head_row(&h, card_span_value(&h.temps, row), c->table);
    title_pressure(c, "Head to vapour", h.pressure_kpa);
    snprintf(c->above, sizeof c->above,
             "Temperature at the head, strength of the vapour there, and of the liquid under it");
    foot_air(c, bench, h.units);
    card_foot(c,
              "Strengths at %s. In a plain pot the liquid is the boiler's; with reflux it is what "
              "runs back at the head.%s",
              at_reference(h.units),
              any_missing(c->table) ? " -: no figure, or none that differs from the next." : "");
    card_foot(
        c,
        "± is about 95 %% (k = 2), from the thermometer, ±%.3g %s%s, and from the model (NRTL), "
        "whose published measurements differ among themselves by up to %.3g %s; the air "
        "pressure is not included.",
        in_degrees(h.instruments.width[JL_BY_THERMOMETER][JL_LIMIT], h.units), degree(h.units),
        h.instruments.stated[JL_BY_THERMOMETER][JL_LIMIT] ? "" : " (default)",
        in_degrees(MODEL_C, h.units), degree(h.units));
    card_foot(c, "The strength of what runs is for the alcoholometer to say.");
    foot_hot(c);
    return EXIT_DONE;
}

/* ---- Which ---- */

static const card_kind CARD_KINDS[] = {
    {"correction", JL_IN_INSTRUMENTS, card_correction},
    {"dilution", JL_IN_INSTRUMENTS, card_dilution},
    {"boil", JL_IN_INSTRUMENTS | JL_IN_STILL, card_boil},
    {"head", JL_IN_INSTRUMENTS | JL_IN_STILL, card_head},
};

/* ---- The command ---- */

typedef struct words {
    card_words card;
    paper_options paper;
    int json;
} words;

/* Which options belong to which card: a set of 1 << card. */
static int refuse_others(const card_words *w, size_t kind) {
    enum { CORRECTION = 1 << CARD_CORRECTION, DILUTION = 1 << CARD_DILUTION };
    enum { HEAD = 1 << CARD_HEAD, AIR = 1 << CARD_BOIL | HEAD };
    const struct {
        const char *name, *text;
        unsigned cards;
    } OPTIONS[] = {
        {"--temps", w->temps, CORRECTION | HEAD},
        {"--alcoholometer-scale", w->with.words[JL_KEY_CALIBRATED], CORRECTION},
        {"--alcoholometer-glass", w->with.words[JL_KEY_GLASS], CORRECTION},
        {"--reading-correction", w->with.words[JL_KEY_READING_CORRECTION], CORRECTION},
        {"--thermometer-correction", w->with.words[JL_KEY_THERMOMETER_CORRECTION], CORRECTION},
        {"--bottle", w->bottle, DILUTION},
        {"--water-temp", w->water_temp, DILUTION},
        {"--to", w->to, DILUTION},
        {"--low", w->span.low, ~(unsigned)HEAD},
        {"--high", w->span.high, ~(unsigned)HEAD},
        {"--step", w->span.step, ~(unsigned)HEAD},
        {"--altitude", w->with.words[JL_KEY_ALTITUDE], AIR},
        {"--pressure", w->with.words[JL_KEY_PRESSURE], AIR},
    };
    for (size_t i = 0; i < sizeof OPTIONS / sizeof OPTIONS[0]; i++)
        if (OPTIONS[i].text != NULL && (OPTIONS[i].cards & 1U << kind) == 0)
            return refuse("%s does not belong to a %s card; 'jarline card --help' lists what does",
                          OPTIONS[i].name, CARD_KINDS[kind].name);
    return EXIT_DONE;
}

static int make(const card_words *w, size_t kind, card *c) {
    jl_settings settings;
    setting_options with = w->with;
    with.any_still = true;
    jl_settings_begin(&settings);
    int bad = settings_read(&with, CARD_KINDS[kind].asks, &settings);
    if (bad != 0) return bad;
    phrase_sources(&settings);
    const jl_instruments by = jl_settings_to_instruments(&settings);
    digits_by(&by);
    return CARD_KINDS[kind].fill(w, &settings, c);
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
    sheet pages[CARD_PAGES_MOST];
    int exit_status = paper_size(to, &width, &height);
    if (exit_status != EXIT_DONE) return exit_status;
    size_t count = card_pages(c, width, height, pages);
    exit_status = paper_make(to, pages, count, format, c->title);
    for (size_t i = 0; i < count; i++) sheet_free(&pages[i]);
    return exit_status;
}

static int put(const words *w, paper_format format, card *c) {
    const paper_options *to = w->paper.file.path == NULL ? NULL : &w->paper;
    int exit_status = EXIT_DONE;
    if (to != NULL)
        exit_status = format == PAPER_TEXT || format == PAPER_CSV ? put_letters(c, format, to)
                                                                  : put_on_paper(c, format, to);
    if (exit_status != EXIT_DONE) return exit_status;
    if (w->json) return card_json(c, &w->paper.file);
    return to == NULL ? put_letters(c, PAPER_TEXT, NULL) : say_written(&to->file);
}

static int answer(const words *w, size_t kind) {
    static const unsigned ALLOWED =
        1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG | 1 << PAPER_TEXT | 1 << PAPER_CSV;
    paper_format format = PAPER_TEXT;
    card c = {0};
    int bad = refuse_others(&w->card, kind);
    if (bad == 0 && w->paper.file.path != NULL)
        bad = paper_format_of(w->paper.file.path, ALLOWED, &format);
    if (bad == 0) bad = make(&w->card, kind, &c);
    if (bad == 0) bad = put(w, format, &c);
    card_free(&c);
    return bad;
}

static int answer_kind(const words *w, const char *name) {
    for (size_t i = 0; name != NULL && i < CARDS; i++)
        if (strcmp(name, CARD_KINDS[i].name) == 0) return answer(w, i);
    return refuse("expected one card: correction, dilution, boil or head");
}

int command_card(int argc, const char **argv) {
    words w = {0};
    card_words *c = &w.card;
    const struct poptOption table[] = {
        OPTION("temps", &c->temps, "TEMP-TEMP",
               "correction, head: first and last, 10C-30C or 50F-90F"),
        OPTION("to", &c->to, "STRENGTH", "dilution: the strength wanted, at 20 °C"),
        OPTION("low", &c->span.low, "STRENGTH", "lowest reading (35%), or strength"),
        OPTION("high", &c->span.high, "STRENGTH", "highest reading (90%), or strength"),
        OPTION("step", &c->span.step, "STRENGTH", "from one to the next: 5%, 2.5% or 1%"),
        FLAG("proof", &c->proof, "in US proof at 60 °F, and in °F"),
        BENCH_OPTION(c->with),
        INSTRUMENT_OPTIONS(c->with),
        OPTION("bottle", &c->bottle, "VOLUME", "dilution: what makes one bottle of this volume"),
        OPTION("water-temp", &c->water_temp, "TEMP",
               "dilution: of the water, for its volume (20C)"),
        OPTION("altitude", &c->with.words[JL_KEY_ALTITUDE], "ALTITUDE",
               "boil, head: 650m or 2100ft, for the air pressure"),
        OPTION("pressure", &c->with.words[JL_KEY_PRESSURE], "PRESSURE",
               "boil, head: 98.5kPa, 985hPa or 740mmHg"),
        PAPER_OPTIONS(w.paper, "card.pdf, .png, .svg, .txt or .csv"),
        JSON_LAST(&w.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "correction|dilution|boil|head",
                  "A table for the wall: correction --temps 10C-30C -o card.pdf"))
        a.exit_status = answer_kind(&w, a.count == 1 ? a.words[0] : NULL);
    return args_close(&a);
}
