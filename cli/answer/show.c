/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/show.h"
#include "answer/characters.h"
#include "answer/json.h"
#include "answer/keep.h"
#include "answer/say.h"
#include "answer/status.h"

#include "jarline.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

typedef enum item_kind { HEADING, FIGURE, WORD, TRUTH, GROUP, GROUP_END, TABLE } item_kind;
typedef struct item {
    item_kind kind;
    const char *key, *label; /* label: a heading's words too */
    double value;            /* of a truth: 0 or 1 */
    int decimals;
    const char *text; /* of a figure its unit */
    struct table *table;
} item;

enum { DEPTH_MOST = 8 };
typedef enum sentence { ASSUMPTION, NOTE, CAUTION, SENTENCE_KINDS } sentence;

typedef struct sentences {
    const char **texts;
    size_t count;
} sentences;

struct show {
    bool json, opened; /* opened: something has been written */
    keep kept;
    item *items;
    size_t count, room;
    size_t written;     /* items that the reader has */
    bool table_written; /* and a part of the table that comes next */
    sentences of[SENTENCE_KINDS];
    bool begun[DEPTH_MOST]; /* something stands above, in JSON at this depth */
    int depth;
};

/* ---- Gathering ---- */

static item *add(show *s, item_kind kind, const char *key, const char *label) {
    if (s->count == s->room) {
        s->room = s->room == 0 ? 32 : 2 * s->room;
        s->items = need(realloc(s->items, s->room * sizeof *s->items));
    }
    item *i = &s->items[s->count++];
    *i = (item){.kind = kind, .key = keep_text(&s->kept, key), .label = keep_text(&s->kept, label)};
    return i;
}

void show_heading(show *s, const char *text) {
    add(s, HEADING, NULL, text);
}

void show_number(show *s, const char *key, const char *label, double value, int decimals,
                 const char *unit) {
    item *i = add(s, FIGURE, key, label);
    i->value = value;
    i->decimals = decimals;
    i->text = keep_text(&s->kept, unit);
}

void show_text(show *s, const char *key, const char *label, const char *text) {
    add(s, WORD, key, label)->text = keep_text(&s->kept, text);
}

void show_truth(show *s, const char *key, bool value) {
    add(s, TRUTH, key, NULL)->value = value;
}

void show_group(show *s, const char *key, const char *heading) {
    add(s, GROUP, key, heading);
}

void show_group_end(show *s) {
    add(s, GROUP_END, NULL, NULL);
}

void show_whole_table(show *s, const char *key, struct table *t) {
    add(s, TABLE, key, NULL)->table = t;
}

void show_table(show *s, const char *key, const column *columns, size_t count) {
    show_whole_table(s, key, table_new(columns, count));
}

static struct table *last_table(const show *s) {
    return s->items[s->count - 1].table;
}

void show_cell(show *s, double value) {
    table_add_number(last_table(s), value);
}

void show_cell_text(show *s, const char *text) {
    table_add_text(last_table(s), text);
}

void show_cell_truth(show *s, bool value) {
    table_add_truth(last_table(s), value);
}

void show_cell_numbers(show *s, const uint32_t *numbers, size_t count) {
    table_add_numbers(last_table(s), numbers, count);
}

void show_cell_range(show *s, uint32_t first, uint32_t last) {
    table_add_range(last_table(s), first, last);
}

/* The same sentence is said once. */
static void keep_sentence(show *s, sentence kind, const char *format, va_list list) {
    sentences *of = &s->of[kind];
    char *text;
    if (vasprintf(&text, format, list) < 0) need(NULL);
    bool said = false;
    for (size_t i = 0; i < of->count; i++) said = said || strcmp(of->texts[i], text) == 0;
    if (!said) {
        of->texts = need(realloc(of->texts, (of->count + 1) * sizeof *of->texts));
        of->texts[of->count++] = keep_text(&s->kept, text);
    }
    free(text);
}

#define SENTENCE(name, kind)                                                                       \
    void name(show *s, const char *format, ...) {                                                  \
        va_list list;                                                                              \
        va_start(list, format);                                                                    \
        keep_sentence(s, kind, format, list);                                                      \
        va_end(list);                                                                              \
    }
SENTENCE(show_assumption, ASSUMPTION)
SENTENCE(show_note, NOTE)
SENTENCE(show_caution, CAUTION)

/* ---- For people ---- */

static int wider(int a, int b) {
    return a > b ? a : b;
}

/* As a terminal without UTF-8 can show it. */
static const char *simple(show *s, const char *text) {
    if (speaks_utf8()) return text;
    size_t size = 3 * strlen(text) + 1;
    return plain(text, keep_room(&s->kept, size), size);
}

static void blank_line(show *s) {
    if (s->begun[0]) fputc('\n', stdout);
    s->begun[0] = true;
}

static void text_heading(show *s, const char *text) {
    blank_line(s);
    puts(simple(s, text));
    s->begun[0] = false; /* what follows stands close below */
}

static void text_table(show *s, struct table *t) {
    bool any = false;
    for (size_t i = 0; i < table_columns(t); i++) any = any || table_column(t, i)->title != NULL;
    if (any && !s->table_written) blank_line(s);
    table_text_rows(t, stdout);
}

static bool is_line(const item *i) {
    return (i->kind == FIGURE || i->kind == WORD) && i->label != NULL;
}

/* What ends a block of lines that are aligned with each other. */
static bool is_break(const item *i) {
    return i->kind == HEADING || i->kind == TABLE || (i->kind == GROUP && i->label != NULL);
}

static int before_point(const char *number) {
    return (int)strcspn(number, ".");
}

static const char *number_of(const item *i, char buffer[CELL_BYTES]) {
    return jl_decimal_write(i->value, i->decimals, buffer, CELL_BYTES) == JL_OK ? buffer : "-";
}

/* Room for labels, for what stands before the points, and from there on. */
typedef struct rooms {
    int labels, wholes, parts;
} rooms;

static void measure_line(show *s, const item *i, rooms *r) {
    char buffer[CELL_BYTES];
    r->labels = wider(r->labels, text_width(simple(s, i->label)));
    if (i->kind != FIGURE) return;
    const char *number = number_of(i, buffer);
    r->wholes = wider(r->wholes, before_point(number));
    r->parts = wider(r->parts, (int)strlen(number) - before_point(number));
}

static void put_line(show *s, const item *i, const rooms *r) {
    char buffer[CELL_BYTES];
    const char *label = simple(s, i->label);
    printf("%s%*s", label, r->labels - text_width(label) + 2, "");
    if (i->kind == WORD)
        fputs(i->text == NULL ? "-" : simple(s, i->text), stdout);
    else {
        const char *number = number_of(i, buffer);
        int whole = before_point(number);
        printf("%*s%s", r->wholes - whole, "", number);
        if (i->text[0] != '\0')
            printf("%*s %s", r->parts - (int)strlen(number) + whole, "", simple(s, i->text));
    }
    fputc('\n', stdout);
}

/* Labels left, decimal points below each other, units behind them. */
static void text_lines(show *s, size_t first, size_t end) {
    rooms r = {0, 0, 0};
    bool any = false;
    for (size_t i = first; i < end; i++) {
        if (!is_line(&s->items[i])) continue;
        any = true;
        measure_line(s, &s->items[i], &r);
    }
    if (any) blank_line(s);
    for (size_t i = first; i < end; i++)
        if (is_line(&s->items[i])) put_line(s, &s->items[i], &r);
}

/* Shows an item, or a block of lines up to end. Returns what comes next. */
static size_t text_item(show *s, size_t at, size_t end) {
    const item *i = &s->items[at];
    size_t next = at + 1;
    if (i->kind == TABLE)
        text_table(s, i->table);
    else if (is_break(i))
        text_heading(s, i->label);
    else {
        while (next < end && !is_break(&s->items[next])) next++;
        text_lines(s, at, next);
    }
    return next;
}

static void text_sentences(show *s, sentence kind) {
    static const char *const TITLES[SENTENCE_KINDS] = {"Taken as given", "To know", "Caution"};
    blank_line(s);
    puts(TITLES[kind]);
    for (size_t i = 0; i < s->of[kind].count; i++)
        put_sentence(stdout, "- ", "  ", simple(s, s->of[kind].texts[i]));
}

/* ---- For programs ---- */

static void json_key(show *s, const char *key) {
    if (s->begun[s->depth]) fputc(',', stdout);
    s->begun[s->depth] = true;
    json_text(stdout, key);
    fputc(':', stdout);
}

static void json_open(show *s, const char *key, char bracket) {
    json_key(s, key);
    fputc(bracket, stdout);
    s->begun[++s->depth] = false;
}

static void json_close(show *s, char bracket) {
    fputc(bracket, stdout);
    s->depth--;
}

/* goes_on: further rows may come. */
static void json_table(show *s, const item *i, bool goes_on) {
    if (i->key == NULL) return;
    if (!s->table_written) json_open(s, i->key, '[');
    table_json_rows(i->table, stdout);
    if (!goes_on) json_close(s, ']');
}

static void json_item(show *s, const item *i, bool goes_on) {
    bool has_value = i->key != NULL && i->kind != TABLE && i->kind != GROUP;
    if (has_value) json_key(s, i->key);
    if (i->kind == TABLE)
        json_table(s, i, goes_on);
    else if (i->kind == GROUP)
        json_open(s, i->key, '{');
    else if (i->kind == GROUP_END)
        json_close(s, '}');
    else if (has_value && i->kind == FIGURE)
        json_number(stdout, i->value);
    else if (has_value && i->kind == WORD)
        json_text(stdout, i->text);
    else if (has_value)
        json_truth(stdout, i->value != 0);
}

static void json_sentences(show *s, sentence kind) {
    static const char *const KEYS[SENTENCE_KINDS] = {"assumptions", "notes", "cautions"};
    json_open(s, KEYS[kind], '[');
    for (size_t i = 0; i < s->of[kind].count; i++) {
        if (i > 0) fputc(',', stdout);
        json_text(stdout, s->of[kind].texts[i]);
    }
    json_close(s, ']');
}

/* ---- Showing ---- */

/* whole: nothing more comes. Otherwise lines wait until their block ends, and the last table may go
 * on. */
static void write_items(show *s, bool whole) {
    size_t end = s->count;
    while (!whole && !s->json && end > s->written && !is_break(&s->items[end - 1])) end--;
    bool goes_on = !whole && end == s->count && end > 0 && s->items[end - 1].kind == TABLE;
    if (s->json && !s->opened) fputc('{', stdout);
    s->opened = true;
    for (size_t i = s->written; i < end;) {
        if (s->json)
            json_item(s, &s->items[i], goes_on && i + 1 == end), i++;
        else
            i = text_item(s, i, end);
        s->table_written = goes_on && i == end;
    }
    s->written = goes_on ? end - 1 : end;
    if (goes_on) table_forget(last_table(s));
}

void show_flush(show *s) {
    bool within_row = s->count > 0 && last_table(s) != NULL && !table_row_whole(last_table(s));
    if (s->count > 0 && !within_row) write_items(s, false);
    fflush(stdout);
}

/* A message stands behind what was answered so far. */
static void flush_before_message(void *with) {
    show_flush(with);
}

show *show_open(bool json) {
    show *s = need(calloc(1, sizeof *s));
    s->json = json;
    say_after(flush_before_message, s);
    return s;
}

bool show_stuck(const show *s) {
    (void)s;
    return ferror(stdout) != 0;
}

static void release(show *s) {
    say_after(NULL, NULL);
    for (int kind = 0; kind < SENTENCE_KINDS; kind++) free(s->of[kind].texts);
    for (size_t i = 0; i < s->count; i++) table_free(s->items[i].table);
    keep_free(&s->kept);
    free(s->items);
    free(s);
}

int show_close(show *s, int exit_status) {
    write_items(s, true);
    for (int kind = 0; kind < SENTENCE_KINDS; kind++)
        if (s->of[kind].count > 0)
            s->json ? json_sentences(s, (sentence)kind) : text_sentences(s, (sentence)kind);
    if (s->json) fputs("}\n", stdout);
    release(s);
    return close_output(exit_status);
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
    show_flush(s);
    release(s);
    return exit_status;
}
