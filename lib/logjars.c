/* Jars in a run log: added, mended, given their fraction.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "entrycells.h"
#include "logwriter.h"

#include <string.h>
#include <strings.h>

static jl_status check_texts(const jl_entry *e) {
    if (!jl_is_one_line(e->note) || !jl_is_one_line(e->time) || !jl_is_one_line(e->fraction))
        return JL_FORM;
    return e->note != NULL && strlen(e->note) >= JL_CELL_BYTES_MOST ? JL_TOO_LONG : JL_OK;
}

/* Columns that an entry needs and the header lacks get a place behind its last one. */
static void place_columns(jl_layout *l, const jl_entry *e, const jl_layout *old) {
    for (jl_log_column column = JL_COLUMN_TIME; column < JL_COLUMNS; column++) {
        bool empty = column == JL_COLUMN_FRACTION && e->fraction != NULL && e->fraction[0] == '\0';
        if (l->at[column] == JL_NO_PLACE && jl_entry_gives(old, NULL, e, column) && !empty)
            l->at[column] = l->columns++;
    }
}

static jl_status add_columns(const jl_writer *w, jl_edit *edit, const jl_row *row,
                             const jl_layout *more, jl_row_kind kind) {
    jl_change changes[JL_COLUMNS] = {0};
    size_t count = 0;
    for (size_t at = w->layout.columns; at < more->columns; at++)
        for (jl_log_column column = 0; column < JL_COLUMNS; column++)
            if (more->at[column] == at) {
                const char *name = kind == JL_ROW_HEADER ? jl_log_column_name(column) : "";
                changes[count] = (jl_change){.cell = at};
                jl_text_add(&changes[count++].text, name, strlen(name));
            }
    jl_status status = jl_edit_row(edit, row, changes, count);
    for (size_t i = 0; i < count; i++) jl_text_free(&changes[i].text);
    return status;
}

static jl_status visit_columns(const jl_writer *w, jl_edit *edit, const jl_row *row,
                               jl_row_kind kind, int64_t jar, void *with) {
    (void)jar;
    return kind == JL_ROW_FACT ? JL_OK : add_columns(w, edit, row, with, kind);
}

static void add_jar_row(const jl_layout *l, const jl_entry *e, int64_t jar, jl_text *text) {
    for (size_t at = 0; at < l->columns; at++) {
        if (at > 0) jl_delimiter_add(text, &l->dialect);
        for (jl_log_column column = 0; column < JL_COLUMNS; column++) {
            if (l->at[column] != at) continue;
            if (column == JL_COLUMN_JAR)
                jl_cell_add_number(text, &l->dialect, (double)jar);
            else if (jl_entry_gives(l, NULL, e, column))
                jl_entry_add(l, e, column, text);
        }
    }
    jl_line_end_add(text, &l->dialect);
}

jl_status jl_writer_add_jar(jl_writer *w, const jl_entry *given) {
    jl_text row = {0};
    jl_layout more = w->layout;
    jl_entry entry = *given;
    if (entry.time == NULL && w->layout.at[JL_COLUMN_TIME] != JL_NO_PLACE) entry.time = entry.now;
    jl_status status = check_texts(&entry);
    if (status != JL_OK) return status;
    place_columns(&more, &entry, &w->layout);
    add_jar_row(&more, &entry, w->layout.next_jar, &row);
    status = more.columns == w->layout.columns ? jl_writer_append(w, &row)
                                               : jl_writer_rewrite(w, visit_columns, &more, &row);
    jl_text_free(&row);
    return status;
}

/* ---- mending ---- */

typedef struct mend {
    int64_t jar;
    const jl_entry *entry;
    jl_layout more;
    size_t found;
} mend;

static size_t changes_of_jar(const jl_writer *w, const jl_row *row, const mend *m,
                             jl_change changes[JL_COLUMNS]) {
    size_t count = 0;
    for (size_t at = 0; at < m->more.columns; at++)
        for (jl_log_column column = JL_COLUMN_TIME; column < JL_COLUMNS; column++) {
            if (m->more.at[column] != at) continue;
            bool given = jl_entry_gives(&w->layout, row, m->entry, column);
            const jl_cell *cell = jl_entry_cell(&w->layout, row, column);
            if (given ? jl_entry_same(&w->layout, cell, m->entry, column) && at < w->layout.columns
                      : !jl_entry_outdates(&w->layout, row, m->entry, column))
                continue;
            changes[count] = (jl_change){.cell = at};
            if (given) jl_entry_add(&w->layout, m->entry, column, &changes[count].text);
            count++;
        }
    return count;
}

static jl_status visit_mended(const jl_writer *w, jl_edit *edit, const jl_row *row,
                              jl_row_kind kind, int64_t jar, void *with) {
    jl_change changes[JL_COLUMNS] = {0};
    mend *m = with;
    if (kind == JL_ROW_FACT) return JL_OK;
    if (kind == JL_ROW_HEADER || jar != m->jar) return add_columns(w, edit, row, &m->more, kind);
    size_t count = changes_of_jar(w, row, m, changes);
    jl_status status = jl_edit_row(edit, row, changes, count);
    for (size_t i = 0; i < count; i++) jl_text_free(&changes[i].text);
    return status;
}

/* Whether there is exactly one jar of that number, before anything is written. */
static jl_status count_mended(const jl_writer *w, jl_edit *edit, const jl_row *row,
                              jl_row_kind kind, int64_t jar, void *with) {
    (void)w;
    (void)edit;
    (void)row;
    mend *m = with;
    m->found += kind == JL_ROW_JAR && jar == m->jar;
    return JL_OK;
}

static jl_status find_mended(jl_writer *w, mend *m) {
    jl_status status = jl_writer_look(w, count_mended, m);
    if (status == JL_OK && m->found != 1) status = m->found == 0 ? JL_MISSING : JL_CONFLICT;
    return status;
}

jl_status jl_writer_mend_jar(jl_writer *w, int64_t jar, const jl_entry *entry) {
    mend m = {.jar = jar, .entry = entry, .more = w->layout};
    jl_status status = check_texts(entry);
    if (status == JL_OK) status = find_mended(w, &m);
    if (status != JL_OK) return status;
    place_columns(&m.more, entry, &w->layout);
    return jl_writer_rewrite(w, visit_mended, &m, NULL);
}

/* ---- fractions ---- */

typedef struct marking {
    const char *(*fraction)(int64_t jar, void *with);
    void *with;
    size_t at;
    size_t changed;
} marking;

static jl_status visit_marked(const jl_writer *w, jl_edit *edit, const jl_row *row,
                              jl_row_kind kind, int64_t jar, void *with) {
    marking *m = with;
    bool new_column = w->layout.at[JL_COLUMN_FRACTION] == JL_NO_PLACE;
    if (kind == JL_ROW_FACT || (kind == JL_ROW_HEADER && !new_column)) return JL_OK;
    const jl_cell *cell = jl_entry_cell(&w->layout, row, JL_COLUMN_FRACTION);
    const char *wanted = kind == JL_ROW_HEADER ? "fraction" : m->fraction(jar, m->with);
    const char *had = cell == NULL ? "" : cell->text;
    bool same = kind == JL_ROW_HEADER || wanted == NULL || strcasecmp(wanted, had) == 0;
    if (!same) m->changed++;
    if (same && !new_column) return JL_OK;
    jl_change change = {.cell = m->at};
    if (wanted != NULL) jl_text_add(&change.text, wanted, strlen(wanted));
    jl_status status = jl_edit_row(edit, row, &change, 1);
    jl_text_free(&change.text);
    return status;
}

jl_status jl_writer_mark(jl_writer *w, const char *(*fraction)(int64_t jar, void *with), void *with,
                         size_t *changed) {
    size_t at = w->layout.at[JL_COLUMN_FRACTION];
    marking m = {fraction, with, at == JL_NO_PLACE ? w->layout.columns : at, 0};
    jl_status status = jl_writer_rewrite(w, visit_marked, &m, NULL);
    if (status == JL_OK) *changed = m.changed;
    return status;
}
