/* What a writer must know of a run log before it adds to it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/loglayout.h"
#include "keys/facts.h"
#include "text/status.h"

#include <string.h>

/* Whether a carriage return stands before the line feed that ends a row. */
static jl_status find_line_end(const jl_source *source, const jl_row *row, bool *crlf) {
    char byte;
    size_t got;
    *crlf = false;
    if (row->unended || row->end - row->begin < 2) return JL_OK;
    jl_status status = jl_source_read(source, row->end - 2, &byte, 1, &got);
    if (status == JL_OK) *crlf = got == 1 && byte == '\r';
    return status;
}

const jl_cell *jl_layout_cell(const jl_layout *l, const jl_row *row, jl_role role) {
    if (l->columns.what[role] == NULL) return NULL;
    size_t at = l->columns.at[role];
    return at < row->count && row->cells[at].length > 0 ? &row->cells[at] : NULL;
}

/* The first number with a point or a comma in it shows how the file writes them. */
static bool shows_mark(const jl_layout *l, const jl_row *row, bool *comma) {
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_BOILER; role++) {
        const jl_cell *cell = jl_layout_cell(l, row, role);
        const char *mark = cell == NULL ? NULL : strpbrk(cell->text, ".,");
        if (mark == NULL) continue;
        *comma = *mark == ',';
        return true;
    }
    return false;
}

jl_status jl_layout_jar(const jl_layout *l, const jl_row *row, uint32_t *highest, uint32_t *number,
                        jl_fault *fault) {
    const jl_cell *cell = jl_layout_cell(l, row, JL_ROLE_JAR);
    jl_status status = JL_OK;
    *number = *highest + 1;
    if (cell != NULL) status = jl_number_read(cell->text, cell->length, number);
    if (status != JL_OK)
        return jl_columns_fault(&l->columns, row, JL_ROLE_JAR, status, jl_number_expected, fault);
    if (*number > *highest) *highest = *number;
    return JL_OK;
}

typedef struct scan {
    const jl_source *source;
    jl_layout *layout;
    size_t rows;
    bool header, mark;
} scan;

static jl_status take_header(scan *s, const jl_row *row, jl_fault *fault) {
    jl_status status = find_line_end(s->source, row, &s->layout->dialect.crlf);
    if (status != JL_OK) return jl_fault_at(fault, status, 0, 0, NULL, 0, NULL);
    s->header = true;
    s->layout->header_cells = row->count;
    return jl_columns_read(row, s->layout->dialect.delimiter, &s->layout->columns, fault);
}

static jl_status take_row(scan *s, const jl_row *row, jl_fault *fault) {
    jl_layout *l = s->layout;
    uint32_t number;
    if (jl_row_is_empty(row)) return JL_OK;
    if (s->rows++ == 0) l->ours = jl_row_has_key(row, "jarline");
    if (row->unended && l->ours) {
        l->torn = true;
        l->torn_at = row->begin;
        return JL_END;
    }
    l->unended = row->unended;
    if (jl_row_is_fact(row)) return JL_OK;
    if (!s->header) return take_header(s, row, fault);
    if (!s->mark) s->mark = shows_mark(l, row, &l->dialect.comma);
    return jl_layout_jar(l, row, &l->highest, &number, fault);
}

/* Half a row of ours is no error: it was never acknowledged. */
static jl_status pass_torn(const scan *s, const jl_rows *rows, jl_status status) {
    uint64_t begin;
    if (status != JL_FORM || !s->layout->ours || !jl_rows_torn(rows, &begin)) return status;
    s->layout->torn = true;
    s->layout->torn_at = begin;
    return JL_END;
}

static jl_status scan_rows(scan *s, jl_rows *rows, jl_fault *fault) {
    jl_row row;
    jl_status status;
    do {
        status = jl_rows_next(rows, &row, fault);
        status = status == JL_OK ? take_row(s, &row, fault) : pass_torn(s, rows, status);
    } while (status == JL_OK);
    if (status != JL_END) return status;
    if (s->header) return JL_OK;
    return jl_fault_at(fault, JL_MISSING, 0, 0, NULL, 0, jl_header_expected);
}

jl_status jl_layout_read(const jl_source *source, jl_layout *layout, jl_fault *fault) {
    jl_rows *rows;
    *layout = (jl_layout){0};
    jl_status status = jl_rows_open(source, ',', &rows);
    if (status != JL_OK) return jl_fault_at(fault, status, 0, 0, NULL, 0, NULL);
    scan s = {.source = source, .layout = layout};
    status = jl_rows_find_dialect(rows, jl_header_is_known, NULL, fault);
    layout->dialect.delimiter = jl_rows_delimiter(rows);
    layout->dialect.comma = layout->dialect.delimiter == ';';
    if (status == JL_OK) status = scan_rows(&s, rows, fault);
    jl_rows_close(rows);
    return status;
}

jl_status jl_layout_rows(const jl_source *source, const jl_layout *layout, jl_rows **rows) {
    return jl_rows_open(source, layout->dialect.delimiter, rows);
}
