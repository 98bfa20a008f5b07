/* Jars in a run log: added, mended, given their fraction.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/entrycells.h"
#include "run/logwriter.h"
#include "text/letters.h"

#include <string.h>

static jl_status check_texts(const jl_entry *e) {
    if (!jl_is_one_line(e->note) || !jl_is_one_line(e->time) || !jl_is_one_line(e->fraction))
        return JL_FORM;
    return e->note != NULL && strlen(e->note) >= JL_CELL_BYTES_MOST ? JL_TOO_LONG : JL_OK;
}

static bool is_empty_text(const char *text) {
    return text != NULL && text[0] == '\0';
}

/* Columns that an entry needs and the header lacks get a place behind its last one. */
static jl_status place_columns(jl_layout *l, const jl_entry *e) {
    for (jl_role role = 0; role < JL_ROLES; role++) {
        const jl_column *column;
        if (!jl_entry_gives(e, role)) continue;
        jl_status status = jl_entry_column(e, l, role, &column);
        if (status != JL_OK) return status;
        bool nothing = (role == JL_ROLE_FRACTION && is_empty_text(e->fraction)) ||
                       (role == JL_ROLE_NOTE && is_empty_text(e->note));
        if (l->columns.what[role] != NULL || nothing) continue;
        l->columns.what[role] = column;
        l->columns.at[role] = l->header_cells++;
    }
    return JL_OK;
}

/* What stands at a place of the header; NULL: nothing that is known. */
static const jl_column *column_at(const jl_layout *l, size_t at) {
    for (jl_role role = 0; role < JL_ROLES; role++)
        if (l->columns.what[role] != NULL && l->columns.at[role] == at)
            return l->columns.what[role];
    return NULL;
}

static jl_status apply(jl_edit *edit, const jl_row *row, jl_change *changes, size_t count) {
    jl_status status = jl_edit_row(edit, row, changes, count);
    for (size_t i = 0; i < count; i++) jl_text_free(&changes[i].text);
    return status;
}

static jl_status add_columns(const jl_writer *w, jl_edit *edit, const jl_row *row,
                             const jl_layout *more, jl_row_kind kind) {
    jl_change changes[JL_ROLES] = {0};
    size_t count = 0;
    for (jl_role role = 0; role < JL_ROLES; role++) {
        const jl_column *column = more->columns.what[role];
        if (column == NULL || w->layout.columns.what[role] != NULL) continue;
        const char *name = kind == JL_ROW_HEADER ? column->name : "";
        changes[count].cell = more->columns.at[role];
        jl_text_add(&changes[count++].text, name, strlen(name));
    }
    return apply(edit, row, changes, count);
}

static jl_status visit_columns(const jl_writer *w, jl_edit *edit, const jl_row *row,
                               jl_row_kind kind, uint32_t jar, void *with) {
    (void)jar;
    return kind == JL_ROW_FACT ? JL_OK : add_columns(w, edit, row, with, kind);
}

static void add_jar_row(const jl_layout *l, const jl_entry *e, uint32_t jar, jl_text *text) {
    for (size_t at = 0; at < l->header_cells; at++) {
        const jl_column *column = column_at(l, at);
        if (at > 0) jl_delimiter_add(text, &l->dialect);
        if (column == NULL) continue;
        if (column->role == JL_ROLE_JAR)
            jl_cell_add_number(text, &l->dialect, jar);
        else if (jl_entry_gives(e, column->role))
            jl_entry_add(e, &l->dialect, column, text);
    }
    jl_line_end_add(text, &l->dialect);
}

jl_status jl_writer_add_jar(jl_writer *w, const jl_entry *given) {
    jl_text row = {0};
    jl_layout more = w->layout;
    jl_entry entry = *given;
    if (entry.time == NULL && w->layout.columns.what[JL_ROLE_TIME] != NULL) entry.time = entry.now;
    jl_status status = w->layout.highest < JL_JAR_MOST ? check_texts(&entry) : JL_RANGE;
    if (status == JL_OK) status = place_columns(&more, &entry);
    if (status != JL_OK) return status;
    add_jar_row(&more, &entry, w->layout.highest + 1, &row);
    status = more.header_cells == w->layout.header_cells
                 ? jl_writer_append(w, &row)
                 : jl_writer_rewrite(w, visit_columns, &more, &row);
    jl_text_free(&row);
    return status;
}

/* ---- mending ---- */

typedef struct correct {
    uint32_t jar;
    const jl_entry *entry;
    jl_layout more;
    size_t found;
} correct;

static jl_status correct_row(const jl_writer *w, jl_edit *edit, const jl_row *row,
                             const correct *m) {
    jl_change changes[JL_ROLES] = {0};
    size_t count = 0;
    for (size_t at = 0; at < m->more.header_cells; at++) {
        const jl_column *column = column_at(&m->more, at);
        if (column == NULL) continue;
        bool given = jl_entry_gives(m->entry, column->role);
        bool is_new = at >= w->layout.header_cells;
        const jl_cell *cell = jl_layout_cell(&w->layout, row, column->role);
        if (!is_new && (!given || jl_entry_same(m->entry, column, cell, m->more.columns.comma)))
            continue;
        changes[count].cell = at;
        if (given) jl_entry_add(m->entry, &w->layout.dialect, column, &changes[count].text);
        count++;
    }
    return apply(edit, row, changes, count);
}

static jl_status visit_corrected(const jl_writer *w, jl_edit *edit, const jl_row *row,
                                 jl_row_kind kind, uint32_t jar, void *with) {
    const correct *m = with;
    if (kind == JL_ROW_FACT) return JL_OK;
    bool other = kind == JL_ROW_HEADER || jar != m->jar;
    return other ? add_columns(w, edit, row, &m->more, kind) : correct_row(w, edit, row, m);
}

/* Whether there is exactly one jar of that number, before anything is written. */
static jl_status count_corrected(const jl_writer *w, jl_edit *edit, const jl_row *row,
                                 jl_row_kind kind, uint32_t jar, void *with) {
    (void)w;
    (void)edit;
    (void)row;
    correct *m = with;
    m->found += kind == JL_ROW_JAR && jar == m->jar;
    return JL_OK;
}

jl_status jl_writer_correct_jar(jl_writer *w, uint32_t jar, const jl_entry *entry) {
    correct m = {.jar = jar, .entry = entry, .more = w->layout};
    jl_status status = check_texts(entry);
    if (status == JL_OK) status = jl_writer_look(w, count_corrected, &m);
    if (status == JL_OK && m.found != 1) status = m.found == 0 ? JL_MISSING : JL_CONFLICT;
    if (status == JL_OK) status = place_columns(&m.more, entry);
    return status == JL_OK ? jl_writer_rewrite(w, visit_corrected, &m, NULL) : status;
}

/* ---- fractions ---- */

typedef struct marking {
    const char *(*fraction)(uint32_t jar, void *with);
    void *with;
    size_t at;
    size_t changed;
} marking;

static jl_status visit_marked(const jl_writer *w, jl_edit *edit, const jl_row *row,
                              jl_row_kind kind, uint32_t jar, void *with) {
    marking *m = with;
    bool new_column = w->layout.columns.what[JL_ROLE_FRACTION] == NULL;
    if (kind == JL_ROW_FACT || (kind == JL_ROW_HEADER && !new_column)) return JL_OK;
    const jl_cell *cell = jl_layout_cell(&w->layout, row, JL_ROLE_FRACTION);
    const char *wanted = kind == JL_ROW_HEADER ? "fraction" : m->fraction(jar, m->with);
    const char *had = cell == NULL ? "" : cell->text;
    bool same = kind == JL_ROW_HEADER || wanted == NULL || jl_same_letters(wanted, had);
    if (!same) m->changed++;
    if (same && !new_column) return JL_OK;
    jl_change change = {.cell = m->at};
    if (wanted != NULL) jl_text_add(&change.text, wanted, strlen(wanted));
    return apply(edit, row, &change, 1);
}

jl_status jl_writer_mark(jl_writer *w, const char *(*fraction)(uint32_t jar, void *with),
                         void *with, size_t *changed) {
    bool stands = w->layout.columns.what[JL_ROLE_FRACTION] != NULL;
    size_t at = stands ? w->layout.columns.at[JL_ROLE_FRACTION] : w->layout.header_cells;
    marking m = {fraction, with, at, 0};
    jl_status status = jl_writer_rewrite(w, visit_marked, &m, NULL);
    if (status == JL_OK) *changed = m.changed;
    return status;
}
