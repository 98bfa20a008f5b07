/* A run log held for one change.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A row goes into a file of ours by one append: half of one shows at its missing line end. In a
 * hand-made file, whose last row may lack it, half a row would pass for a jar; there, and for
 * everything else, a new file is made of the bytes of the old one, but for what had to change. */
#include "run/logwriter.h"

#include <stdlib.h>
#include <string.h>

/* ---- opening ---- */

static jl_status open_source(jl_writer *w, jl_fault *fault) {
    jl_status status = jl_source_fd(w->file.fd, &w->source);
    if (status == JL_OK) {
        status = jl_layout_read(&w->source, &w->layout, fault);
        if (status != JL_OK) jl_source_close(&w->source);
    }
    return status;
}

jl_status jl_writer_open(const char *path, double wait_s, jl_writer **writer, jl_fault *fault,
                         jl_trouble *trouble) {
    jl_fault ignored;
    if (fault == NULL) fault = &ignored;
    *fault = (jl_fault){0};
    if (trouble != NULL) *trouble = (jl_trouble){0};
    jl_writer *w = calloc(1, sizeof *w);
    if (w == NULL) return fault->status = JL_MEMORY;
    jl_status status = jl_locked_file_open(path, wait_s, &w->file);
    if (status == JL_OK) {
        status = open_source(w, fault);
        if (status != JL_OK) jl_locked_file_release(&w->file);
    } else if (trouble != NULL)
        *trouble = w->file.trouble;
    if (status != JL_OK) {
        fault->status = status;
        free(w);
        return status;
    }
    *writer = w;
    return JL_OK;
}

int jl_writer_fd(const jl_writer *w) {
    return w->file.fd;
}

uint32_t jl_writer_next_jar(const jl_writer *w) {
    return w->layout.highest + 1;
}

jl_trouble jl_writer_trouble(const jl_writer *w) {
    return w->trouble;
}

void jl_writer_close(jl_writer *w) {
    if (w == NULL) return;
    jl_source_close(&w->source);
    jl_locked_file_release(&w->file);
    free(w);
}

bool jl_is_one_line(const char *text) {
    return text == NULL || strpbrk(text, "\r\n") == NULL;
}

/* ---- changing the file ---- */

static jl_status keep_trouble(jl_writer *w, jl_status status) {
    w->trouble = w->file.trouble;
    return status;
}

static jl_status settle_torn(jl_writer *w) {
    if (!w->layout.torn) return JL_OK;
    jl_status status = jl_locked_file_set_aside(&w->file, (off_t)w->layout.torn_at);
    if (status == JL_OK) w->layout.torn = false;
    return keep_trouble(w, status);
}

static jl_status visit_rows(jl_writer *w, jl_edit *edit, jl_rows *rows, jl_visit *each,
                            void *with) {
    jl_row row;
    jl_fault fault;
    jl_status status;
    bool header = false;
    uint32_t highest = 0;
    while ((status = jl_rows_next(rows, &row, &fault)) == JL_OK) {
        if (w->layout.torn && row.begin >= w->layout.torn_at) return JL_OK;
        if (jl_row_is_empty(&row)) continue;
        jl_row_kind kind = jl_row_is_fact(&row) ? JL_ROW_FACT : header ? JL_ROW_JAR : JL_ROW_HEADER;
        uint32_t jar = 0;
        if (kind == JL_ROW_HEADER) header = true;
        if (kind == JL_ROW_JAR) status = jl_layout_jar(&w->layout, &row, &highest, &jar, &fault);
        if (status == JL_OK) status = each(w, edit, &row, kind, jar, with);
        if (status != JL_OK) return status;
    }
    bool torn = status == JL_FORM && w->layout.torn;
    return status == JL_END || torn ? JL_OK : status;
}

static jl_status write_draft(jl_writer *w, jl_pending_file *pending, jl_visit *each, void *with,
                             const jl_text *added) {
    jl_rows *rows;
    jl_edit edit = {
        .source = &w->source, .pending = pending, .delimiter = w->layout.dialect.delimiter};
    jl_status status = jl_layout_rows(&w->source, &w->layout, &rows);
    if (status != JL_OK) return status;
    status = visit_rows(w, &edit, rows, each, with);
    jl_rows_close(rows);
    if (status == JL_OK) status = jl_edit_copy(&edit, (uint64_t)w->file.length);
    if (status != JL_OK || added == NULL) return status;
    jl_text end = {0};
    if (w->layout.unended) jl_line_end_add(&end, &w->layout.dialect);
    jl_pending_file_write(pending, end.bytes, end.length);
    jl_pending_file_write(pending, added->bytes, added->length);
    bool failed = end.failed || added->failed;
    jl_text_free(&end);
    return failed ? JL_MEMORY : JL_OK;
}

jl_status jl_writer_rewrite(jl_writer *w, jl_visit *each, void *with, const jl_text *added) {
    jl_status status = settle_torn(w);
    if (status != JL_OK) return status;
    jl_pending_file *pending = malloc(sizeof *pending);
    if (pending == NULL) return JL_MEMORY;
    status = jl_pending_file_open(w->file.path, JL_PENDING_REPLACE, pending);
    if (status != JL_OK)
        w->trouble = pending->trouble;
    else if ((status = write_draft(w, pending, each, with, added)) != JL_OK)
        jl_pending_file_drop(pending);
    else
        status = keep_trouble(w, jl_locked_file_replace(&w->file, pending));
    free(pending);
    return status;
}

static jl_status keep_row(const jl_writer *w, jl_edit *edit, const jl_row *row, jl_row_kind kind,
                          uint32_t jar, void *with) {
    (void)w;
    (void)edit;
    (void)row;
    (void)kind;
    (void)jar;
    (void)with;
    return JL_OK;
}

jl_status jl_writer_append(jl_writer *w, const jl_text *rows) {
    if (rows->failed) return JL_MEMORY;
    if (!w->layout.ours) return jl_writer_rewrite(w, keep_row, NULL, rows);
    jl_status status = settle_torn(w);
    if (status != JL_OK) return status;
    return keep_trouble(w, jl_locked_file_append(&w->file, rows->bytes, rows->length));
}

jl_status jl_writer_look(jl_writer *w, jl_visit *each, void *with) {
    jl_rows *rows;
    jl_status status = jl_layout_rows(&w->source, &w->layout, &rows);
    if (status != JL_OK) return status;
    status = visit_rows(w, NULL, rows, each, with);
    jl_rows_close(rows);
    return status;
}
