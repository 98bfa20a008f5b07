/* What a writer must know of a run log before it adds to it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "loglayout.h"

#include <math.h>
#include <string.h>
#include <strings.h>

static const char *const NAMES[JL_COLUMNS] = {
    [JL_COLUMN_JAR] = "jar",
    [JL_COLUMN_TIME] = "time",
    [JL_COLUMN_VOLUME_ML] = "volume_ml",
    [JL_COLUMN_VOLUME_L] = "volume_l",
    [JL_COLUMN_READING_PCT] = "reading_pct",
    [JL_COLUMN_READING_PROOF] = "reading_proof",
    [JL_COLUMN_STRENGTH_PCT] = "strength_pct",
    [JL_COLUMN_STRENGTH_PROOF] = "strength_proof",
    [JL_COLUMN_TEMP_C] = "temp_c",
    [JL_COLUMN_TEMP_F] = "temp_f",
    [JL_COLUMN_HEAD_C] = "head_c",
    [JL_COLUMN_HEAD_F] = "head_f",
    [JL_COLUMN_BOILER_C] = "boiler_c",
    [JL_COLUMN_BOILER_F] = "boiler_f",
    [JL_COLUMN_FRACTION] = "fraction",
    [JL_COLUMN_NOTE] = "note",
};

const char *jl_log_column_name(jl_log_column column) {
    return NAMES[column];
}

static size_t find_column(const jl_row *header, jl_log_column column) {
    for (size_t i = 0; i < header->count; i++)
        if (strcasecmp(header->cells[i].text, NAMES[column]) == 0) return i;
    return JL_NO_PLACE;
}

static bool has_volume(const jl_row *header, void *with) {
    (void)with;
    return find_column(header, JL_COLUMN_VOLUME_ML) != JL_NO_PLACE ||
           find_column(header, JL_COLUMN_VOLUME_L) != JL_NO_PLACE;
}

static jl_status take_header(jl_layout *layout, const jl_row *header, jl_fault *fault) {
    if (!has_volume(header, NULL))
        return jl_row_fault(header, 0, JL_MISSING, "a header with volume_ml or volume_l", fault);
    layout->columns = header->count;
    for (jl_log_column column = 0; column < JL_COLUMNS; column++)
        layout->at[column] = find_column(header, column);
    return JL_OK;
}

/* A carriage return before the line feed that ends a row. */
static bool ends_with_crlf(const jl_source *source, const jl_row *row) {
    char end[2];
    size_t got;
    return row->end - row->begin >= 2 &&
           jl_source_read(source, row->end - 2, end, sizeof end, &got) == JL_OK && got == 2 &&
           end[0] == '\r' && end[1] == '\n';
}

/* The first number with a point or a comma in it shows how the file writes them. */
static bool shows_mark(const jl_layout *layout, const jl_row *row, bool *comma) {
    for (jl_log_column column = JL_COLUMN_VOLUME_ML; column <= JL_COLUMN_BOILER_F; column++) {
        size_t at = layout->at[column];
        if (at >= row->count) continue;
        const char *mark = strpbrk(row->cells[at].text, ".,");
        if (mark == NULL) continue;
        *comma = *mark == ',';
        return true;
    }
    return false;
}

jl_status jl_layout_jar(const jl_layout *layout, const jl_row *row, int64_t nth, int64_t *jar,
                        jl_fault *fault) {
    size_t at = layout->at[JL_COLUMN_JAR];
    double number;
    if (at == JL_NO_PLACE) {
        *jar = nth;
        return JL_OK;
    }
    if (at >= row->count || row->cells[at].length == 0)
        return jl_row_fault(row, at, JL_MISSING, "the number of the jar", fault);
    const jl_cell *cell = &row->cells[at];
    jl_comma comma = jl_delimiter_comma(layout->dialect.delimiter);
    if (jl_decimal_read(cell->text, cell->length, comma, &number) != JL_OK ||
        number != floor(number) || !(number >= 0 && number <= 1e15))
        return jl_row_fault(row, at, JL_FORM, "the number of the jar, a whole one", fault);
    *jar = (int64_t)number;
    return JL_OK;
}

typedef struct scan {
    const jl_source *source;
    jl_layout *layout;
    size_t rows;
    int64_t jars;
    bool header, mark;
} scan;

static jl_status take_row(scan *s, const jl_row *row, jl_fault *fault) {
    jl_layout *l = s->layout;
    if (s->rows++ == 0) {
        l->ours = strcasecmp(row->cells[0].text, "#jarline") == 0;
        l->dialect.crlf = ends_with_crlf(s->source, row);
    }
    if (row->unended && l->ours) {
        l->torn = true;
        l->torn_at = row->begin;
        return JL_END;
    }
    l->unended = row->unended;
    if (jl_row_is_fact(row) || jl_row_is_empty(row)) return JL_OK;
    if (!s->header) {
        s->header = true;
        return take_header(l, row, fault);
    }
    if (!s->mark) s->mark = shows_mark(l, row, &l->dialect.comma);
    int64_t jar;
    jl_status status = jl_layout_jar(l, row, ++s->jars, &jar, fault);
    if (status == JL_OK && jar >= l->next_jar) l->next_jar = jar + 1;
    return status;
}

/* Half a row of ours is no error: it was never acknowledged. */
static jl_status pass_torn(const jl_rows *rows, jl_layout *layout, jl_status status) {
    uint64_t begin;
    if (status != JL_FORM || !layout->ours || !jl_rows_torn(rows, &begin)) return status;
    layout->torn = true;
    layout->torn_at = begin;
    return JL_END;
}

static jl_status scan_rows(scan *s, jl_rows *rows, jl_fault *fault) {
    jl_row row;
    jl_status status;
    do {
        status = jl_rows_next(rows, &row, fault);
        status = status == JL_OK ? take_row(s, &row, fault) : pass_torn(rows, s->layout, status);
    } while (status == JL_OK);
    if (status != JL_END) return status;
    if (s->header) return JL_OK;
    *fault = (jl_fault){.status = JL_MISSING,
                        .expected = "a header row with volume_ml or volume_l, then a row a jar"};
    return JL_MISSING;
}

jl_status jl_layout_read(const jl_source *source, jl_layout *layout, jl_fault *fault) {
    jl_rows *rows;
    *layout = (jl_layout){.next_jar = 1};
    jl_status status = jl_rows_open(source, ',', &rows);
    if (status == JL_OK) {
        scan s = {.source = source, .layout = layout};
        status = jl_rows_find_dialect(rows, has_volume, NULL, fault);
        layout->dialect.delimiter = jl_rows_delimiter(rows);
        layout->dialect.comma = layout->dialect.delimiter == ';';
        if (status == JL_OK) status = scan_rows(&s, rows, fault);
        jl_rows_close(rows);
    } else
        *fault = (jl_fault){.status = status};
    return status;
}

jl_status jl_layout_rows(const jl_source *source, const jl_layout *layout, jl_rows **rows) {
    return jl_rows_open(source, layout->dialect.delimiter, rows);
}
