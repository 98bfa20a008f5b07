/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/settings_file.h"
#include "keys/facts.h"
#include "keys/settings.h"
#include "text/letters.h"
#include "text/status.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char HEAD[] = "jarline,1\nkind,settings\n";

/* Where a change goes. */
typedef struct place {
    bool section;              /* its still has one, or it needs none */
    bool stands;               /* the line is there, from begin to end */
    size_t begin, end, behind; /* behind: where a new line comes */
    char name[JL_KEY_BYTES];   /* the key as it stands */
    bool marked;               /* by a # */
} place;

static bool is_still(const char *key) {
    return strcmp(key, jl_keys[JL_KEY_STILL].name) == 0;
}

/* Whether both are the same key, whatever their units. */
static bool is_same_key(const char *a, const char *b) {
    const jl_fact first = {.key = a}, second = {.key = b};
    jl_key_id id = jl_key_of(&first, JL_IN_SETTINGS);
    return id != JL_KEYS ? id == jl_key_of(&second, JL_IN_SETTINGS) : strcmp(a, b) == 0;
}

static void take_row(const jl_row *row, const char *key, const jl_settings_change *change,
                     place *p) {
    if (change->cells == NULL && is_same_key(key, change->key)) {
        p->stands = true;
        p->begin = row->begin;
        p->end = row->end;
        p->marked = jl_row_is_fact(row);
        strcpy(p->name, key);
    }
    p->behind = row->end;
}

/* A name in several cells is another one to readers, who join them. */
static bool names_still(const jl_row *row, const char *still) {
    return still != NULL && jl_row_used(row) == 2 && jl_same_letters(row->cells[1].text, still);
}

static jl_status find(const jl_file *file, const jl_settings_change *change, place *p,
                      jl_fault *fault) {
    jl_row row;
    char key[JL_KEY_BYTES];
    bool within = change->still == NULL, first = true;
    jl_status status;
    *p = (place){.section = within, .behind = file->size};
    while ((status = jl_rows_next(file->rows, &row, fault)) == JL_OK) {
        if (!jl_row_read_key(&row, key)) continue;
        if (is_still(key)) {
            if (within && first) p->behind = row.begin;
            within = names_still(&row, change->still);
            if (within) p->behind = row.end;
            p->section = p->section || within;
        } else if (within)
            take_row(&row, key, change, p);
        first = first && !within;
    }
    return status == JL_END ? JL_OK : status;
}

static void add_line(jl_text *text, const jl_dialect *dialect, const char *key,
                     const char *const *values, size_t count) {
    jl_text_add(text, key, strlen(key));
    for (size_t i = 0; i < count; i++) {
        jl_delimiter_add(text, dialect);
        jl_cell_add(text, dialect, values[i], strlen(values[i]));
    }
    jl_line_end_add(text, dialect);
}

static void put_over(jl_edit *edit, const jl_settings_change *change, const place *p) {
    jl_change cells[2] = {{.cell = 0}, {.cell = 1}};
    bool renamed = strcmp(p->name, change->key) != 0;
    if (p->marked) jl_text_add(&cells[0].text, "#", 1);
    jl_text_add(&cells[0].text, change->key, strlen(change->key));
    jl_cell_add(&cells[1].text, &edit->file->dialect, change->value, strlen(change->value));
    if (!renamed) jl_text_free(&cells[0].text);
    jl_edit_cells(edit, p->begin, p->end, cells + !renamed, renamed ? 2 : 1);
}

/* Its name becomes another, or all its lines go; blank lines and remarks stay. */
static jl_status change_section(const jl_file *file, const jl_settings_change *change,
                                jl_text *text, jl_fault *fault) {
    jl_row row;
    jl_edit edit;
    char key[JL_KEY_BYTES];
    bool within = false, goes = change->value[0] == '\0';
    jl_status status;
    jl_edit_begin(&edit, file);
    while ((status = jl_rows_next(file->rows, &row, fault)) == JL_OK) {
        if (!jl_row_read_key(&row, key)) continue;
        bool head = is_still(key);
        if (head) within = names_still(&row, change->still);
        if (within && goes) jl_edit_drop(&edit, row.begin, row.end);
        if (!within || goes || !head) continue;
        jl_change name = {.cell = 1};
        jl_cell_add(&name.text, &file->dialect, change->value, strlen(change->value));
        jl_edit_cells(&edit, row.begin, row.end, &name, 1);
    }
    jl_status ended = jl_edit_end(&edit, NULL);
    if (status != JL_END) {
        jl_text_free(&edit.text);
        return status;
    }
    if (ended == JL_OK) *text = edit.text;
    return ended;
}

static jl_status change_one(const jl_file *file, const jl_settings_change *change, jl_text *text,
                            jl_fault *fault) {
    if (is_still(change->key)) return change_section(file, change, text, fault);
    place p;
    jl_edit edit;
    jl_text lines = {0};
    jl_status status = find(file, change, &p, fault);
    if (status != JL_OK) return status;
    jl_edit_begin(&edit, file);
    const jl_fact *cells = change->cells;
    bool goes = cells == NULL && change->value[0] == '\0';
    if (p.stands && goes)
        jl_edit_drop(&edit, p.begin, p.end);
    else if (p.stands)
        put_over(&edit, change, &p);
    else if (!goes) {
        if (!p.section)
            add_line(&lines, &file->dialect, jl_keys[JL_KEY_STILL].name, &change->still, 1);
        add_line(&lines, &file->dialect, change->key,
                 cells == NULL ? &change->value : cells->values, cells == NULL ? 1 : cells->count);
        if (p.section && p.behind < file->size) {
            jl_edit_drop(&edit, p.behind, p.behind);
            jl_text_add(&edit.text, lines.bytes, lines.length);
            lines.length = 0;
        }
    }
    status = jl_edit_end(&edit, &lines);
    jl_text_free(&lines);
    if (status == JL_OK) *text = edit.text;
    return status;
}

/* A file of which the bytes are known. */
static jl_status begin_file(const jl_text *bytes, jl_file *file, jl_fault *fault) {
    *file = (jl_file){.bytes = bytes->bytes, .size = bytes->length, .end = bytes->length};
    if (jl_rows_open(file->bytes, file->size, ',', &file->rows) != JL_OK)
        return jl_no_memory(fault);
    jl_status status = jl_fact_rows_begin(file->rows, fault);
    char delimiter = jl_rows_delimiter(file->rows);
    const char *end = file->size == 0 ? NULL : memchr(file->bytes, '\n', file->size);
    file->dialect = (jl_dialect){.delimiter = delimiter,
                                 .comma = false,
                                 .crlf = end != NULL && end > file->bytes && end[-1] == '\r'};
    return status;
}

/* In the place of the bytes those with all changes. */
static jl_status change_all(jl_text *bytes, const jl_settings_change *changes, size_t count,
                            jl_fault *fault) {
    jl_status status = JL_OK;
    for (size_t i = 0; i < count && status == JL_OK; i++) {
        jl_file file;
        jl_text changed = {0};
        status = begin_file(bytes, &file, fault);
        if (status == JL_OK) status = change_one(&file, &changes[i], &changed, fault);
        jl_rows_close(file.rows);
        if (status != JL_OK) break;
        bool again = changes[i].cells == NULL && changes[i].value[0] == '\0' &&
                     changed.length < bytes->length;
        jl_text_free(bytes);
        *bytes = changed;
        if (again) i--; /* all lines of a key go */
    }
    return status;
}

/* Whether all of it can be read, each section with the rest. */
static jl_status check(const jl_text *bytes, jl_fault *fault) {
    jl_facts *facts;
    jl_settings *room = malloc(sizeof *room);
    if (room == NULL) return jl_no_memory(fault);
    jl_status status = jl_facts_of_bytes(bytes->bytes, bytes->length, &facts, fault);
    if (status == JL_OK) {
        jl_settings_begin(room);
        status = jl_settings_take_sections(room, facts, JL_IN_SETTINGS, NULL, NULL, NULL, fault);
        jl_facts_free(facts);
    }
    free(room);
    return status;
}

static jl_status make_new(const char *path, const jl_settings_change *changes, size_t count,
                          jl_fault *fault, jl_trouble *trouble) {
    jl_text bytes = {0};
    jl_text_add(&bytes, HEAD, sizeof HEAD - 1);
    jl_status status = bytes.failed ? JL_MEMORY : change_all(&bytes, changes, count, fault);
    if (status == JL_OK) status = check(&bytes, fault);
    if (status == JL_OK) status = jl_create(path, bytes.bytes, bytes.length, trouble);
    jl_text_free(&bytes);
    return status;
}

static jl_status change_held(jl_locked_file *lock, const jl_settings_change *changes, size_t count,
                             jl_fault *fault) {
    jl_file file = {0};
    jl_text bytes = {0};
    jl_status status = jl_bytes_read(lock->fd, &file.bytes, &file.size, fault);
    if (status != JL_OK) return status;
    file.end = file.size;
    jl_text_add(&bytes, file.bytes, file.size);
    status = bytes.failed ? JL_MEMORY : change_all(&bytes, changes, count, fault);
    if (status == JL_OK) status = check(&bytes, fault);
    if (status == JL_OK) status = jl_file_put(&file, lock, &bytes);
    jl_text_free(&bytes);
    free(file.bytes);
    return status;
}

jl_status jl_settings_file_change(const char *path, const jl_settings_change *changes, size_t count,
                                  jl_fault *fault, jl_trouble *trouble) {
    static const double WAIT_S = 5;
    jl_locked_file lock;
    *fault = (jl_fault){0};
    *trouble = (jl_trouble){0};
    if (access(path, F_OK) != 0 && errno == ENOENT)
        return make_new(path, changes, count, fault, trouble);
    jl_status status = jl_locked_file_open(path, WAIT_S, &lock);
    if (status == JL_OK) {
        status = change_held(&lock, changes, count, fault);
        jl_locked_file_release(&lock);
    }
    *trouble = lock.trouble;
    return status;
}
