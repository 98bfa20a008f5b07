/* correct -: readings from standard input, answered line by line as they come.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each line is read by itself, so that a program that asks and waits gets its answer at once. */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "commands/correct.h"
#include "text/csv.h"
#include "text/letters.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NOWHERE = -1, COLUMNS_MOST = 64 };

/* Where reading and temperature stand in a line, and the units that a header gave them. */
typedef struct layout {
    int reading, temp;
    const char *reading_unit, *temp_unit;
} layout;

static const layout WITHOUT_HEADER = {0, 1, "", ""};

typedef struct stream {
    const jl_alcoholometer *instrument;
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
    show_cell(t->s, (double)t->line);
    show_cell_text(t->s, NULL);
    for (int i = 0; i < 5; i++) show_cell(t->s, NAN);
}

static bool complain(stream *t, const char *cell, jl_status status, const char *expected) {
    say("line %zu: '%.40s': %s; expected %s", t->line, cell, jl_status_text(status), expected);
    show_empty(t);
    return false;
}

/* Reads and corrects a line. What is wrong is said, and false returned. */
static bool read_row(stream *t, const jl_row *row, char *reading_text, size_t size,
                     jl_quantity *reading, double *temp_c, corrected *c) {
    char temp_text[64];
    jl_quantity temp;
    with_unit(row, t->at.reading, t->at.reading_unit, reading_text, size);
    with_unit(row, t->at.temp, t->at.temp_unit, temp_text, sizeof temp_text);
    if (temp_text[0] == '\0' && t->usual_temp != NULL)
        snprintf(temp_text, sizeof temp_text, "%s", t->usual_temp);
    jl_status status = jl_quantity_read(reading_text, JL_STRENGTH, reading);
    if (status != JL_OK) return complain(t, reading_text, status, jl_quantity_forms(JL_STRENGTH));
    status = jl_quantity_read(temp_text, JL_TEMPERATURE, &temp);
    if (status != JL_OK)
        return complain(t, temp_text, temp_text[0] == '\0' ? JL_MISSING : status,
                        "the liquid's temperature behind the reading, as 72.5%,24C");
    *temp_c = temp.value;
    status = correct(t->instrument, *reading, *temp_c, c);
    return status == JL_OK ||
           complain(t, reading_text, status,
                    "a reading that a mixture shows, at -20 to 40 °C, on this instrument");
}

static void answer_row(stream *t, const jl_row *row) {
    char reading_text[64];
    jl_quantity reading;
    double temp_c = NAN;
    corrected c;
    if (!read_row(t, row, reading_text, sizeof reading_text, &reading, &temp_c, &c)) return;
    *(reading.unit == JL_UNIT_PROOF_US ? &t->proof : &t->pct) = true;
    show_cell(t->s, (double)t->line);
    show_cell_text(t->s, reading_text);
    show_cell(t->s, temp_c);
    show_cell(t->s, c.strength_pct);
    show_cell(t->s, c.proof_us);
    show_cell(t->s, 100 * c.mass_fraction);
    show_cell(t->s, c.density_kg_m3);
}

static char delimiter_of(const char *line, size_t length) {
    if (memchr(line, ';', length) != NULL) return ';';
    return memchr(line, '\t', length) != NULL ? '\t' : ',';
}

static void answer_line(stream *t, const char *line, size_t length) {
    jl_source source = jl_source_memory(line, length);
    jl_rows *rows;
    jl_row row;
    jl_fault fault = {0};
    jl_status status = jl_rows_open(&source, delimiter_of(line, length), &rows);
    if (status != JL_OK) exit(fail(EXIT_MEMORY, "out of memory"));
    status = jl_rows_next(rows, &row, &fault);
    if (status == JL_OK && !(t->line == 1 && take_header(&t->at, &row)))
        answer_row(t, &row);
    else if (status != JL_OK && status != JL_END)
        complain(t, fault.cell, status, fault.expected);
    jl_rows_close(rows);
}

int correct_stream(const jl_alcoholometer *instrument, const char *usual_temp, bool json) {
    static const column COLUMNS[] = {
        {"line", "line", "", 6, 0, false},
        {"reading", "reading", "", 10, 0, true},
        {"temp_c", "temp.", "°C", 6, 1, false},
        {"strength_pct", "at 20 °C", "% vol", 9, 2, false},
        {"proof_us", "at 60 °F", "proof", 9, 2, false},
        {"mass_pct", "by mass", "% mas", 8, 2, false},
        {"density_kg_m3", "density", "kg/m³", 9, 2, false},
    };
    stream t = {.instrument = instrument, .usual_temp = usual_temp, .at = WITHOUT_HEADER};
    char *line = NULL;
    size_t size = 0;
    ssize_t length;
    t.s = show_open(json);
    show_table(t.s, "answers", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    while (!show_stuck(t.s) && (errno = 0, length = getline(&line, &size, stdin)) >= 0) {
        t.line++;
        answer_line(&t, line, (size_t)length);
        show_flush(t.s);
    }
    int failure = ferror(stdin) ? errno : 0;
    free(line);
    show_table_end(t.s);
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
