/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/show.h"
#include "answer/say.h"
#include "answer/show_kind.h"
#include "answer/status.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct show {
    const show_kind *kind;
    void *state;
    size_t columns, cell;
    char **sentences[SENTENCE_KINDS];
    size_t counts[SENTENCE_KINDS];
};

static void flush_pending(void *with) {
    show *s = with;
    if (s->cell == 0) s->kind->table_flush(s->state);
}

show *show_open(bool json) {
    show *s = need(calloc(1, sizeof *s));
    s->kind = json ? &SHOW_JSON : &SHOW_TEXT;
    s->state = json ? show_json_open() : show_text_open();
    say_after(flush_pending, s);
    return s;
}

void show_heading(show *s, const char *text) {
    s->kind->heading(s->state, text);
}

void show_number(show *s, const char *key, const char *label, double value, int decimals,
                 const char *unit) {
    s->kind->number(s->state, key, label, value, decimals, unit);
}

void show_text(show *s, const char *key, const char *label, const char *text) {
    s->kind->text(s->state, key, label, text);
}

void show_truth(show *s, const char *key, bool value) {
    s->kind->truth(s->state, key, value);
}

void show_group(show *s, const char *key, const char *heading) {
    s->kind->group(s->state, key, heading);
}

void show_group_end(show *s) {
    s->kind->group_end(s->state);
}

void show_table(show *s, const char *key, const column *columns, size_t count) {
    s->columns = count;
    s->cell = 0;
    s->kind->table(s->state, key, columns, count);
}

static void put(show *s, const cell *c) {
    s->kind->cell(s->state, c, s->cell);
    s->cell = (s->cell + 1) % s->columns;
}

void show_cell(show *s, double value) {
    put(s, &(cell){.kind = CELL_NUMBER, .value = value});
}

void show_cell_text(show *s, const char *text) {
    put(s, &(cell){.kind = CELL_TEXT, .text = text});
}

void show_cell_truth(show *s, bool value) {
    put(s, &(cell){.kind = CELL_TRUTH, .value = value});
}

void show_cell_numbers(show *s, numbers_next *next, const void *with) {
    put(s, &(cell){.kind = CELL_NUMBERS, .next = next, .with = with});
}

void show_table_flush(show *s) {
    s->kind->table_flush(s->state);
}

void show_table_end(show *s) {
    s->kind->table_end(s->state);
}

/* The same sentence is said once. */
static void keep(show *s, sentence kind, const char *format, va_list list) {
    char *text;
    if (vasprintf(&text, format, list) < 0) need(NULL);
    for (size_t i = 0; i < s->counts[kind]; i++)
        if (strcmp(s->sentences[kind][i], text) == 0) {
            free(text);
            return;
        }
    size_t size = (s->counts[kind] + 1) * sizeof(char *);
    s->sentences[kind] = need(realloc(s->sentences[kind], size));
    s->sentences[kind][s->counts[kind]++] = text;
}

#define SENTENCE(name, kind)                                                                       \
    void name(show *s, const char *format, ...) {                                                  \
        va_list list;                                                                              \
        va_start(list, format);                                                                    \
        keep(s, kind, format, list);                                                               \
        va_end(list);                                                                              \
    }
SENTENCE(show_assumption, ASSUMPTION)
SENTENCE(show_note, NOTE)
SENTENCE(show_caution, CAUTION)

bool show_stuck(const show *s) {
    (void)s;
    return ferror(stdout) != 0;
}

static void release(show *s) {
    say_after(NULL, NULL);
    for (int kind = 0; kind < SENTENCE_KINDS; kind++) {
        for (size_t i = 0; i < s->counts[kind]; i++) free(s->sentences[kind][i]);
        free(s->sentences[kind]);
    }
    free(s);
}

int show_close(show *s, int exit_status) {
    for (int kind = 0; kind < SENTENCE_KINDS; kind++)
        if (s->counts[kind] > 0)
            s->kind->sentences(s->state, (sentence)kind, s->sentences[kind], s->counts[kind]);
    s->kind->end(s->state, true);
    release(s);
    errno = 0;
    if (fflush(stdout) == 0 && !ferror(stdout)) return exit_status;
    return fail(EXIT_IO, "standard output: %s; the answer is not complete",
                errno != 0 ? strerror(errno) : "cannot be written");
}

int show_close_written(show *s, const char *format, ...) {
    char what[512];
    va_list list;
    va_start(list, format);
    vsnprintf(what, sizeof what, format, list);
    va_end(list);
    int exit_status = show_close(s, EXIT_DONE);
    if (exit_status != EXIT_DONE) say("%s all the same, on the disk", what);
    return exit_status;
}

int show_abandon(show *s, int exit_status) {
    s->kind->end(s->state, false);
    release(s);
    fflush(stdout);
    return exit_status;
}
