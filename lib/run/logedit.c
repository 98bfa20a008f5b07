/* A copy of a file in which single cells differ.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/logedit.h"

#include <stdlib.h>

jl_status jl_edit_copy(jl_edit *e, uint64_t to) {
    char block[8192];
    while (e->at < to) {
        size_t want = to - e->at < sizeof block ? (size_t)(to - e->at) : sizeof block;
        size_t got;
        jl_status status = jl_source_read(e->source, e->at, block, want, &got);
        if (status != JL_OK) return status;
        if (got == 0) return JL_IO; /* shorter than when it was scanned */
        jl_pending_file_write(e->pending, block, got);
        e->at += got;
    }
    return JL_OK;
}

jl_status jl_edit_drop(jl_edit *e, const jl_row *row) {
    jl_status status = jl_edit_copy(e, row->begin);
    e->at = row->end;
    return status;
}

/* Where the last cell ends: there further ones are added. */
static uint64_t end_of_cells(const jl_row *row, const jl_span *spans, size_t count) {
    return row->begin + spans[count - 1].end;
}

static jl_status edit_cells(jl_edit *e, const jl_row *row, const jl_span *spans, size_t count,
                            const jl_change *changes, size_t changed) {
    jl_status status = JL_OK;
    size_t cells = count;
    for (size_t i = 0; i < changed && status == JL_OK; i++) {
        const jl_change *c = &changes[i];
        if (c->text.failed) return JL_MEMORY;
        bool stands = c->cell < count;
        uint64_t from =
            stands ? row->begin + spans[c->cell].begin : end_of_cells(row, spans, count);
        status = jl_edit_copy(e, from);
        for (; !stands && cells <= c->cell; cells++)
            jl_pending_file_write(e->pending, &e->delimiter, 1);
        jl_pending_file_write(e->pending, c->text.bytes, c->text.length);
        if (stands) e->at = row->begin + spans[c->cell].end;
    }
    return status;
}

static jl_status read_row(const jl_source *source, const jl_row *row, char *raw, size_t length) {
    size_t have = 0;
    while (have < length) {
        size_t got;
        jl_status status =
            jl_source_read(source, row->begin + have, raw + have, length - have, &got);
        if (status != JL_OK) return status;
        if (got == 0) return JL_IO;
        have += got;
    }
    return JL_OK;
}

jl_status jl_edit_row(jl_edit *e, const jl_row *row, const jl_change *changes, size_t count) {
    if (count == 0) return JL_OK;
    size_t length = (size_t)(row->end - row->begin);
    size_t cells;
    char *raw = malloc(length);
    jl_span *spans = malloc(row->count * sizeof *spans);
    jl_status status = raw == NULL || spans == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) status = read_row(e->source, row, raw, length);
    if (status == JL_OK)
        status = jl_row_spans(raw, length, e->delimiter, spans, row->count, &cells);
    if (status == JL_OK) status = edit_cells(e, row, spans, cells, changes, count);
    free(raw);
    free(spans);
    return status;
}
