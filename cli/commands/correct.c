/* correct: a reading at a temperature, as strength at 20 °C; or readings from standard input, answered
 * line by line as they come.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each line of a stream is read by itself, so that a program that asks and waits gets its answer at
 * once. */
#include "answer/figures.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "spirit/spirit.h"
#include "text/csv.h"
#include "text/letters.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { STRENGTH, PROOF, MASS_PCT, DENSITY, TEMP, FIGURES };

static const figure LIST[FIGURES] = {
    [STRENGTH] = {"strength_pct", "Strength at 20 °C", "% vol", EXACT + 2, .brief = "strength"},
    [PROOF] = {"proof_us", "US proof at 60 °F", "proof", EXACT + 2, .brief = "proof"},
    [MASS_PCT] = {"mass_pct", "By mass", "% mas", EXACT + 2, .brief = "by mass"},
    [DENSITY] = {"density_kg_m3", "Density", "kg/m³", 2, .at = true, .brief = "density",
                 .alone = "Density as it is"},
    [TEMP] = {"temp_c", NULL, "°C", 1},
};

typedef struct inputs {
    const jl_alcoholometer *instrument;
    jl_unit unit; /* of the reading */
    jl_measured reading, temp;
    double solids_g_100ml; /* NaN: none */
} inputs;

static jl_status fill(const double *x, double *v, void *with) {
    const inputs *in = with;
    double mass_fraction, temp_c = jl_measured_at(&in->temp, x);
    jl_quantity reading = {jl_measured_at(&in->reading, x), in->unit};
    jl_status status = jl_reading_to_mass_fraction(in->instrument, reading, temp_c, &mass_fraction);
    if (status != JL_OK) return status;
    v[TEMP] = temp_c + in->instrument->thermometer_correction_c;
    /* Of the liquid with its solids, in which the instrument floats. */
    status = jl_density_kg_m3(mass_fraction, v[TEMP], &v[DENSITY]);
    if (status == JL_OK) status = jl_mixture_behind_solids(in->solids_g_100ml, &mass_fraction);
    if (status != JL_OK) return status;
    v[MASS_PCT] = 100 * mass_fraction;
    status = jl_strength_pct(mass_fraction, JL_STRENGTH_C, &v[STRENGTH]);
    if (status == JL_OK) status = jl_strength_pct(mass_fraction, JL_PROOF_C, &v[PROOF]);
    v[PROOF] *= 2;
    return status;
}

static void assume_solids(show *s, double solids_g_100ml) {
    if (isnan(solids_g_100ml)) return;
    if (solids_g_100ml < JL_SOLIDS_COUNT_G)
        show_assumption(s, "Less than 0.4 g of solids in 100 mL is not counted (27 CFR 30.71).");
    else
        show_assumption(s,
                        "%g g of solids in 100 mL hide %.1f proof, which are added (27 CFR "
                        "30.32); \"by mass\" leaves the solids out.",
                        solids_g_100ml, 4 * solids_g_100ml);
}

static int correct_one(const char *reading_text, const char *temp_text, const char *solids_text,
                       const jl_alcoholometer *instrument, uncertainty *u, bool json) {
    jl_quantity reading;
    double temp_c, solids_g_100ml = NAN, values[FIGURES];
    int bad = arg_quantity("the reading", reading_text, JL_STRENGTH, &reading);
    if (bad == 0) bad = arg_value("--at", temp_text, JL_TEMPERATURE, &temp_c);
    if (bad == 0) bad = arg_solids(solids_text, &solids_g_100ml);
    if (bad != 0) return bad;
    inputs in = {instrument, reading.unit, jl_measure_strength(&u->by, reading),
                 jl_measure(&u->by, JL_BY_THERMOMETER, temp_c, 1), solids_g_100ml};
    jl_status status = fill(NULL, values, &in);
    if (status == JL_NO) return fail_solids();
    if (status != JL_OK)
        return fail_reading(reading_text, temp_text, instrument, reading, temp_c, status);

    show *s = show_open(json);
    figures f = {LIST, FIGURES, values, .temp_c = values[TEMP]};
    show_figures(s, &f, 0, FIGURES);
    bad = show_uncertainty(s, u, &f, fill, &in);
    if (bad != 0) return show_abandon(s, bad);
    assume_instrument(s, instrument, reading.unit);
    assume_solids(s, solids_g_100ml);
    note_on_reading(s, values[STRENGTH], values[TEMP]);
    return show_close(s, EXIT_DONE);
}

/* ---- A stream ---- */

enum { NOWHERE = -1, COLUMNS_MOST = 64 };

/* Where reading and temperature stand in a line, and the units that a header gave them. */
typedef struct layout {
    int reading, temp;
    const char *reading_unit, *temp_unit;
} layout;

static const layout WITHOUT_HEADER = {0, 1, "", ""};

typedef struct stream {
    inputs in;
    const char *usual_temp; /* --at: for lines that have none; may be NULL */
    layout at;
    size_t line;
    bool bad;        /* some line could not be read */
    bool pct, proof; /* scales that were read */
    show *s;
} stream;

/* Takes a column of a header; false when its name is not known here. */
static bool take_column(layout *at, int place, const jl_cell *cell) {
    static const struct {
        const char *name;
        bool temp;
        const char *unit;
    } KNOWN[] = {
        {"reading", false, ""}, {"reading_pct", false, "%"}, {"reading_proof", false, "proof"},
        {"temp", true, ""},     {"temp_c", true, "C"},       {"temp_f", true, "F"}};
    for (size_t i = 0; i < sizeof KNOWN / sizeof KNOWN[0]; i++) {
        if (!jl_same_letters(cell->text, KNOWN[i].name)) continue;
        *(KNOWN[i].temp ? &at->temp : &at->reading) = place;
        *(KNOWN[i].temp ? &at->temp_unit : &at->reading_unit) = KNOWN[i].unit;
        return true;
    }
    return false;
}

/* A first line with a column of readings is a header. */
static bool take_header(layout *at, const jl_row *row) {
    layout found = {NOWHERE, NOWHERE, "", ""};
    for (size_t i = 0; i < row->count && i < COLUMNS_MOST; i++)
        take_column(&found, (int)i, &row->cells[i]);
    if (found.reading == NOWHERE) return false;
    *at = found;
    return true;
}

/* A cell with the unit that its header gave, where the cell itself has none. */
static void with_unit(const jl_row *row, int place, const char *unit, char *text, size_t size) {
    const char *cell = place >= 0 && (size_t)place < row->count ? row->cells[place].text : "";
    size_t length = strlen(cell);
    bool bare = length > 0 && (isdigit((unsigned char)cell[length - 1]) || cell[length - 1] == '.');
    snprintf(text, size, "%s%s", cell, bare ? unit : "");
}

static void show_empty(stream *t) {
    t->bad = true;
    show_cells(t->s, CELLS(V((double)t->line), V_MISSING, V_MISSING, V_MISSING, V_MISSING,
                           V_MISSING, V_MISSING));
}

static bool complain(stream *t, const char *cell, jl_status status, const char *expected) {
    say("line %zu: '%.40s': %s; expected %s", t->line, cell, jl_status_text(status), expected);
    show_empty(t);
    return false;
}

static void take_exactly(inputs *in, jl_quantity reading, double temp_c) {
    in->unit = reading.unit;
    in->reading = (jl_measured){.value = reading.value};
    in->temp = (jl_measured){.value = temp_c};
}

/* Reads and corrects a line. What is wrong is said, and false returned. */
static bool read_row(stream *t, const jl_row *row, char *reading_text, size_t size,
                     double *values) {
    char temp_text[64];
    jl_quantity reading, temp;
    with_unit(row, t->at.reading, t->at.reading_unit, reading_text, size);
    with_unit(row, t->at.temp, t->at.temp_unit, temp_text, sizeof temp_text);
    if (temp_text[0] == '\0' && t->usual_temp != NULL)
        snprintf(temp_text, sizeof temp_text, "%s", t->usual_temp);
    jl_status status = jl_quantity_read(reading_text, JL_STRENGTH, &reading);
    if (status != JL_OK) return complain(t, reading_text, status, jl_quantity_forms(JL_STRENGTH));
    status = jl_quantity_read(temp_text, JL_TEMPERATURE, &temp);
    if (status != JL_OK)
        return complain(t, temp_text, temp_text[0] == '\0' ? JL_MISSING : status,
                        "the liquid's temperature behind the reading, as 72.5%,24C");
    take_exactly(&t->in, reading, temp.value);
    status = fill(NULL, values, &t->in);
    return status == JL_OK ||
           complain(t, reading_text, status,
                    "a reading that a mixture shows, at -20 to 40 °C, on this instrument");
}

static void answer_row(stream *t, const jl_row *row) {
    char reading_text[64];
    double values[FIGURES];
    if (!read_row(t, row, reading_text, sizeof reading_text, values)) return;
    *(t->in.unit == JL_UNIT_PROOF_US ? &t->proof : &t->pct) = true;
    show_cells(t->s, CELLS(V((double)t->line), V(reading_text), V(t->in.temp.value)));
    for (int i = 0; i <= DENSITY; i++) show_cells(t->s, CELLS(V(values[i])));
}

static char delimiter_of(const char *line, size_t length) {
    if (memchr(line, ';', length) != NULL) return ';';
    return memchr(line, '\t', length) != NULL ? '\t' : ',';
}

static void answer_line(stream *t, const char *line, size_t length) {
    jl_rows *rows;
    jl_row row;
    jl_fault fault = {0};
    jl_status status = jl_rows_open(line, length, delimiter_of(line, length), &rows);
    if (status != JL_OK) exit(fail(EXIT_MEMORY, "out of memory"));
    status = jl_rows_next(rows, &row, &fault);
    if (status == JL_OK && !(t->line == 1 && take_header(&t->at, &row)))
        answer_row(t, &row);
    else if (status != JL_OK && status != JL_END)
        complain(t, fault.cell, status, fault.expected);
    jl_rows_close(rows);
}

enum { LINE_BYTES_MOST = 4096 };

/* The next line of standard input; false behind the last. Of one that is longer than any
 * reading only so much is read: *length is then LINE_BYTES_MOST. */
static bool next_line(char line[LINE_BYTES_MOST], size_t *length) {
    int c = getc_unlocked(stdin);
    if (c == EOF) return false;
    for (*length = 0; c != EOF && c != '\n' && *length < LINE_BYTES_MOST; c = getc_unlocked(stdin))
        line[(*length)++] = (char)c;
    return true;
}

static int correct_stream(const jl_alcoholometer *instrument, const char *usual_temp, bool json) {
    const column columns[] = {
        {"line", "line", "", 6, 0, COLUMN_NUMBERS},
        {"reading", "reading", "", 10, 0, COLUMN_WORDS},
        {"temp_c", "temperature", "°C", 11, 1, COLUMN_NUMBERS},
        figure_column(&LIST[STRENGTH], "at 20 °C", 9),
        figure_column(&LIST[PROOF], "at 60 °F", 9),
        figure_column(&LIST[MASS_PCT], "by mass", 8),
        figure_column(&LIST[DENSITY], "density", 9),
    };
    stream t = {.in = {.instrument = instrument, .solids_g_100ml = NAN},
                .usual_temp = usual_temp,
                .at = WITHOUT_HEADER};
    char line[LINE_BYTES_MOST];
    size_t length;
    int failure = 0;
    t.s = show_open(json);
    show_table(t.s, "answers", columns, sizeof columns / sizeof columns[0]);
    while (!show_stuck(t.s) && (errno = 0, next_line(line, &length))) {
        t.line++;
        if (length == LINE_BYTES_MOST) {
            complain(&t, "", JL_RANGE, "a line of less than 4096 bytes");
            break;
        }
        answer_line(&t, line, length);
        show_flush(t.s);
    }
    if (ferror(stdin)) failure = errno;
    if (failure != 0)
        return show_abandon(t.s, fail(failure == EISDIR ? EXIT_INPUT : EXIT_IO,
                                      "standard input: %s", strerror(failure)));
    if (!t.pct && !t.proof && !t.bad)
        return show_abandon(t.s, fail(EXIT_DATA, "standard input has no reading; expected lines as "
                                                 "72.5%%,24C"));
    if (t.pct) assume_instrument(t.s, instrument, JL_UNIT_PCT_VOL);
    if (t.proof) assume_instrument(t.s, instrument, JL_UNIT_PROOF_US);
    return show_close(t.s, t.bad ? EXIT_DATA : EXIT_DONE);
}

/* ---- The command ---- */

static int answer(const args *a, const char *at, const char *solids,
                  const jl_alcoholometer *instrument, uncertainty *u, bool json) {
    if (a->count != 1)
        return refuse("expected one reading, as 72.5%% or 144proof, or - for a stream");
    if (strcmp(a->words[0], "-") == 0 && uncertainty_wanted(u))
        return refuse("--uncertainty goes with one reading, not with a stream");
    if (strcmp(a->words[0], "-") == 0 && solids != NULL)
        return refuse("--solids goes with one reading, not with a stream");
    if (strcmp(a->words[0], "-") == 0) return correct_stream(instrument, at, json);
    if (access(a->words[0], R_OK) == 0)
        return refuse("'%s' is a file; expected a reading, or: jarline correct - <%s", a->words[0],
                      a->words[0]);
    if (at != NULL) return correct_one(a->words[0], at, solids, instrument, u, json);
    return refuse("a reading needs the temperature of the liquid; expected --at and %s",
                  jl_quantity_forms(JL_TEMPERATURE));
}

int command_correct(int argc, const char **argv) {
    char *at = NULL, *solids = NULL;
    int json = 0;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    const struct poptOption table[] = {
        OPTION("at", &at, "TEMP", "temperature of the liquid: 24C or 75F"),
        OPTION("solids", &solids, "MASS", "dissolved solids, which hide proof: 0.5g/100mL"),
        BENCH_OPTION(with),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        JSON_LAST(&json),
    };
    args a;
    jl_alcoholometer instrument;
    uncertainty u = {0};
    if (args_read(&a, argc, argv, table, "READING --at TEMP | -",
                  "A reading at a temperature, as strength at 20 °C: 72.5% --at 24C")) {
        units_by((units){false, false}, UNITS_OF_COMMAND); /* it shows both */
        a.exit_status = arg_instrument(&with, &instrument);
        if (a.exit_status == 0) a.exit_status = uncertainty_read(&uncertainties, &with, &u);
        if (a.exit_status == 0) a.exit_status = answer(&a, at, solids, &instrument, &u, json != 0);
    }
    uncertainty_free(&u);
    return args_close(&a);
}
