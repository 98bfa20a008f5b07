/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/jar_words.h"
#include "answer/say.h"
#include "run/jars.h"
#include "text/letters.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum figure { FIGURE_VOLUME, FIGURE_READING, FIGURE_TEMP } figure;
#define FIGURES (FIGURE_TEMP + 1)

static const jl_kind KIND_OF[FIGURES] = {JL_VOLUME, JL_STRENGTH, JL_TEMPERATURE};

static double *place_of(figure which, jl_entry *entry) {
    return which == FIGURE_VOLUME    ? &entry->volume_l
           : which == FIGURE_READING ? &entry->reading.value
                                     : &entry->temp_c;
}

/* A figure ten times too large is most often one whose point was forgotten: 725 for 72.5. */
static int fail_size(const char *name, const char *text, double most, const char *expected) {
    double value;
    char digits[32];
    size_t length = strspn(text, "0123456789.,");
    if (jl_decimal_read(text, length, JL_COMMA_SAFE, &value) == JL_OK && value > most &&
        value <= 10 * most && jl_decimal_write(value / 10, 1, digits, sizeof digits) == JL_OK)
        return refuse("%s '%s': %s; expected %s. Was %s meant?", name, text,
                      jl_status_text(JL_RANGE), expected, digits);
    return fail_argument(name, text, JL_RANGE, expected);
}

static int fail_reading_size(const char *name, const char *text) {
    bool proof = strcasestr(text, "proof") != NULL;
    return fail_size(name, text, proof ? 200 : 100, proof ? "0 to 200 proof" : "0 to 100 %");
}

static int take(figure which, const char *name, const char *text, jl_quantity quantity,
                jl_entry *entry) {
    if (which == FIGURE_VOLUME && !(quantity.value > 0))
        return fail_argument(name, text, JL_RANGE, "a volume above 0");
    if (which == FIGURE_READING) {
        if (quantity.unit == JL_UNIT_PCT_MASS)
            return fail_argument(name, text, JL_UNIT,
                                 "what the alcoholometer shows, as 72.5% or 145proof");
        entry->reading = quantity;
    } else
        *place_of(which, entry) = quantity.value;
    return EXIT_DONE;
}

bool is_clock(const char *word) {
    size_t hours = strspn(word, "0123456789");
    const char *sign = word + hours, *more = sign + (*sign != '\0');
    size_t minutes = strspn(more, "0123456789");
    bool half = jl_same_letters(more + minutes, "am") || jl_same_letters(more + minutes, "pm");
    if (hours == 0 || hours > 2) return false;
    if (*sign == ':') return minutes == 2;
    return half && minutes == 2 && *sign == '.';
}

/* Each figure tells what it is by its unit: "500mL", "72.5%" or "145proof", "24C"; any order.
 * Returns the exit status, or 0. */
static int read_jar_word(const char *word, jl_entry *entry) {
    jl_quantity weight;
    if (jl_quantity_read(word, JL_MASS, &weight) == JL_OK) {
        if (!isnan(entry->weight_kg))
            return refuse("'%s': the weight stands twice; expected it once", word);
        entry->weight_kg = weight.value;
        return EXIT_DONE;
    }
    for (figure which = FIGURE_VOLUME; which < FIGURES; which++) {
        jl_quantity quantity;
        jl_status status = jl_quantity_read(word, KIND_OF[which], &quantity);
        if (status == JL_UNIT || status == JL_FORM) continue;
        if (status == JL_RANGE && which == FIGURE_READING)
            return fail_reading_size("the reading", word);
        if (status != JL_OK)
            return fail_argument("figure", word, status, jl_quantity_forms(KIND_OF[which]));
        if (!isnan(*place_of(which, entry)))
            return refuse("'%s': this figure stands twice; expected a volume, a reading and a "
                          "temperature once each",
                          word);
        return take(which, "figure", word, quantity, entry);
    }
    if (is_clock(word))
        return refuse("'%s': a time of day; expected it behind --time, as --time '9:02 pm'", word);
    return refuse("'%s': no figure of a jar; expected a volume (500mL), a reading (72.5%%, "
                  "145proof) and its temperature (24C, 75F), each with its unit",
                  word);
}

bool gives_anything(const jl_entry *e) {
    return !isnan(e->volume_l) || !isnan(e->reading.value) || !isnan(e->strength.value) ||
           !isnan(e->weight_kg) || !isnan(e->empty_kg) || !isnan(e->spout.value) ||
           !isnan(e->taken_l) || !isnan(e->temp_c) || !isnan(e->head_c) || !isnan(e->boiler_c) ||
           e->time != NULL || e->fraction != NULL || e->note != NULL;
}

static const jl_column *column_named(const char *name) {
    return jl_column_named(jl_jar_columns, name, strlen(name));
}

/* The temperature of a vapour or of what boils; NULL leaves it as it is. */
static int read_vapour(const char *name, const char *text, double *temp_c) {
    double value = NAN;
    int bad = arg_value(name, text, JL_TEMPERATURE, &value);
    if (bad != EXIT_DONE || text == NULL) return bad;
    const jl_column *column = column_named("head_c");
    if (!jl_between(value, column->least, column->most))
        return fail_size(name, text, column->most, "-20 to 150 °C (-4 to 302 °F)");
    *temp_c = value;
    return EXIT_DONE;
}

bool gives_jar(const jl_entry *e) {
    return !(isnan(e->volume_l) && isnan(e->weight_kg)) &&
           !(isnan(e->reading.value) && isnan(e->strength.value) && isnan(e->spout.value));
}

/* "63%@24C", the reading of the running spout; NULL leaves it as it is. */
static int read_spout(const char *text, jl_entry *e) {
    char words[64];
    jl_quantity quantity;
    if (text == NULL) return EXIT_DONE;
    snprintf(words, sizeof words, "%s", text);
    char *at = strchr(words, '@');
    if (at != NULL) *at++ = '\0';
    jl_status status = jl_quantity_read(words, JL_STRENGTH, &e->spout);
    if (status == JL_OK && e->spout.unit == JL_UNIT_PCT_MASS) status = JL_UNIT;
    if (status == JL_OK && at != NULL) {
        status = jl_quantity_read(at, JL_TEMPERATURE, &quantity);
        if (status == JL_OK) e->spout_temp_c = quantity.value;
    }
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument("--spout", text, status,
                         "what the alcoholometer shows in the running spout, as 63%@24C");
}

int check_entry(const jl_entry *e) {
    bool read = !isnan(e->reading.value), spout = !isnan(e->spout.value);
    if (isnan(e->volume_l) && isnan(e->weight_kg))
        return refuse("no volume; expected one, as 500mL");
    if (spout && !read && isnan(e->spout_temp_c) && isnan(e->temp_c))
        return refuse("no temperature; the spout's reading needs its own, as 63%%@24C");
    if (!read && !spout && isnan(e->strength.value))
        return refuse(
            "no reading; expected one with its temperature, as 72.5%% 24C, or --strength");
    if (read && isnan(e->temp_c))
        return refuse("no temperature; a reading needs the one it was taken at, as 24C. A true "
                      "strength at 20 °C is given with --strength");
    return EXIT_DONE;
}

/* ---- options, and a line of both ---- */

static int read_strength(const char *text, jl_entry *e) {
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity("--strength", text, JL_STRENGTH, &e->strength);
    if (bad == EXIT_DONE && e->strength.unit == JL_UNIT_PCT_MASS)
        bad = fail_argument("--strength", text, JL_UNIT, "% vol at 20 °C or US proof, as 72%");
    return bad;
}

static int read_fraction(const char *text, jl_entry *e) {
    jl_fraction fraction;
    if (text == NULL) return EXIT_DONE;
    if (jl_fraction_read(text, strlen(text), &fraction) != JL_OK)
        return fail_argument("--fraction", text, JL_FORM, FRACTIONS_EXPECTED);
    e->fraction = fraction == JL_UNDECIDED ? "" : jl_fraction_name(fraction);
    return EXIT_DONE;
}

static int read_empty(const char *text, jl_entry *e) {
    int bad = arg_value("--empty", text, JL_MASS, &e->empty_kg);
    if (bad != EXIT_DONE || text == NULL ||
        (e->empty_kg > 0 && e->empty_kg <= column_named("empty_kg")->most))
        return bad;
    return fail_argument("--empty", text, JL_RANGE, "a weight above 0 g, up to 1000000 kg");
}

int read_jar(const char *const *words, size_t count, const jar_options *o, jl_entry *e) {
    *e = JL_ENTRY;
    int bad = EXIT_DONE;
    for (size_t i = 0; i < count && bad == EXIT_DONE; i++) bad = read_jar_word(words[i], e);
    if (bad == EXIT_DONE) bad = read_strength(o->strength, e);
    if (bad == EXIT_DONE) bad = read_vapour("--head", o->head, &e->head_c);
    if (bad == EXIT_DONE) bad = read_vapour("--boiler", o->boiler, &e->boiler_c);
    if (bad == EXIT_DONE) bad = read_empty(o->empty, e);
    if (bad == EXIT_DONE) bad = read_spout(o->spout, e);
    if (bad == EXIT_DONE) bad = arg_value("--taken", o->taken, JL_VOLUME, &e->taken_l);
    if (bad == EXIT_DONE) bad = read_fraction(o->fraction, e);
    e->note = o->note;
    return bad;
}

static bool is_option(const char *word) {
    return word[0] == '-' && word[1] == '-' && isalpha((unsigned char)word[2]);
}

/* 1 << kind; 0: none, or a number without a unit. */
static unsigned kind_of_word(const char *word) {
    static const jl_kind KINDS[] = {JL_VOLUME, JL_STRENGTH, JL_TEMPERATURE, JL_MASS};
    jl_quantity quantity;
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++) {
        jl_status status = jl_quantity_read(word, KINDS[i], &quantity);
        if (status == JL_OK || status == JL_RANGE) return 1u << KINDS[i];
    }
    return 0;
}

bool is_jar_line(const char *text) {
    char *copy = need(strdup(text)), *place = NULL;
    unsigned kinds = 0, kind = 1;
    size_t count = 0;
    bool option = false, figures = true;
    for (char *word = strtok_r(copy, " \t", &place); word != NULL && !option;
         word = strtok_r(NULL, " \t", &place), count++) {
        option = is_option(word);
        kind = kind_of_word(word);
        figures = figures && kind != 0 && (kinds & kind) == 0;
        kinds |= kind;
    }
    free(copy);
    return option || (figures && count > 1);
}

static bool is_bare(const char *word) {
    double value;
    return jl_decimal_read(word, strlen(word), JL_COMMA_SAFE, &value) == JL_OK;
}

/* Bare numbers to the front, in their order. */
static void sort_bare(jar_line *line) {
    for (size_t i = 0; i < line->args.count; i++) {
        const char *word = line->args.words[i];
        if (!is_bare(word)) continue;
        memmove(line->args.words + line->bare + 1, line->args.words + line->bare,
                (i - line->bare) * sizeof *line->args.words);
        line->args.words[line->bare++] = word;
    }
}

int jar_line_read(jar_line *line, const char *text) {
    static const char USAGE[] = "[VOLUME|WEIGHT READING TEMP] [options]";
    char *whole;
    int count = 0;
    *line = (jar_line){.entry = JL_ENTRY};
    if (asprintf(&whole, "record %s", text) < 0) need(NULL);
    int split = poptParseArgvString(whole, &count, &line->words);
    free(whole);
    if (split != 0) return refuse("'%s': expected words of a jar, quotes closed", text);
    const struct poptOption table[] = {JAR_OPTIONS(&line->options), POPT_TABLEEND};
    if (!args_read(&line->args, count, line->words, table, USAGE, "A jar in one line."))
        return line->args.exit_status;
    sort_bare(line);
    return read_jar(line->args.words + line->bare, line->args.count - line->bare, &line->options,
                    &line->entry);
}

void jar_line_free(jar_line *line) {
    if (line->args.argv != NULL) args_close(&line->args);
    free(line->words);
}
