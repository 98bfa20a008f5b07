/* An answer as aligned text of at most 80 columns.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/show_kind.h"

#include "jarline.h"

#include <inttypes.h>
#include <libsmartcols.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

enum { LINES_MOST = 64, BATCH = 256 };

/* A result waits here until its block ends, so that the block can be aligned. */
typedef struct line {
    char label[64], value[320], unit[40];
    bool number;
} line;

typedef struct text_state {
    line lines[LINES_MOST];
    size_t waiting;
    bool begun; /* something stands above: a blank line comes first */
    const column *columns;
    size_t count, rows;
    bool headed; /* the table's head has been written */
    struct libscols_table *table;
    struct libscols_line *row;
} text_state;

void *show_text_open(void) {
    scols_init_debug(0);
    return need(calloc(1, sizeof(text_state)));
}

static void put(const char *text) {
    char simple[1024];
    fputs(plain(text, simple, sizeof simple), stdout);
}

static int wider(int a, int b) {
    return a > b ? a : b;
}

static void blank(text_state *s) {
    if (s->begun) fputc('\n', stdout);
    s->begun = true;
}

static int before_point(const line *l) {
    return (int)strcspn(l->value, ".");
}

static void copy(char *to, size_t size, const char *from) {
    snprintf(to, size, "%s", from);
}

static void put_line(const line *l, int labels, int wholes, int parts) {
    fputs(l->label, stdout);
    printf("%*s", labels - text_width(l->label) + 2, "");
    if (!l->number)
        put(l->value);
    else {
        int tail = (int)strlen(l->value) - before_point(l);
        printf("%*s%s", wholes - before_point(l), "", l->value);
        if (l->unit[0] != '\0') printf("%*s ", parts - tail, "");
        put(l->unit);
    }
    fputc('\n', stdout);
}

/* Labels left, decimal points below each other, units behind them. */
static void flush_lines(text_state *s) {
    int labels = 0, wholes = 0, parts = 0;
    if (s->waiting == 0) return;
    for (size_t i = 0; i < s->waiting; i++) {
        const line *l = &s->lines[i];
        labels = wider(labels, text_width(l->label));
        if (!l->number) continue;
        wholes = wider(wholes, before_point(l));
        parts = wider(parts, (int)strlen(l->value) - before_point(l));
    }
    for (size_t i = 0; i < s->waiting; i++) put_line(&s->lines[i], labels, wholes, parts);
    s->waiting = 0;
}

static line *next_line(text_state *s, const char *label) {
    if (s->waiting == LINES_MOST) flush_lines(s);
    if (s->waiting == 0) blank(s);
    line *l = &s->lines[s->waiting++];
    char simple[128];
    copy(l->label, sizeof l->label, plain(label, simple, sizeof simple));
    l->unit[0] = '\0';
    return l;
}

static void text_heading(void *state, const char *text) {
    text_state *s = state;
    flush_lines(s);
    blank(s);
    put(text);
    fputc('\n', stdout);
    s->begun = false; /* what follows stands close below */
}

static void write_number(double value, int decimals, char *text, size_t size) {
    if (jl_decimal_write(value, decimals, text, size) != JL_OK) copy(text, size, "-");
}

static void text_number(void *state, const char *key, const char *label, double value, int decimals,
                        const char *unit) {
    (void)key;
    if (label == NULL) return;
    line *l = next_line(state, label);
    l->number = true;
    write_number(value, decimals, l->value, sizeof l->value);
    copy(l->unit, sizeof l->unit, unit);
}

static void text_text(void *state, const char *key, const char *label, const char *text) {
    (void)key;
    if (label == NULL) return;
    line *l = next_line(state, label);
    l->number = false;
    copy(l->value, sizeof l->value, text == NULL ? "-" : text);
}

static void text_truth(void *state, const char *key, bool value) {
    (void)state;
    (void)key;
    (void)value;
}

static void text_group(void *state, const char *key, const char *heading) {
    (void)key;
    if (heading != NULL) text_heading(state, heading);
}

/* What follows a group is set on one page with it, until the next heading. */
static void text_group_end(void *state) {
    (void)state;
}

/* The bytes of text that fit a width; all of them when it fits whole. */
static size_t bytes_within(const char *text, int width) {
    mbstate_t state = {0};
    size_t at = 0, length = strlen(text);
    int used = 0;
    while (at < length) {
        wchar_t c;
        size_t taken = mbrtowc(&c, text + at, length - at, &state);
        bool broken = taken == (size_t)-1 || taken == (size_t)-2 || taken == 0;
        int wide = broken ? 4 : wcwidth(c); /* smartcols writes a broken byte as \xNN */
        if (broken) memset(&state, 0, sizeof state);
        used += wide < 0 ? 4 : wide;
        if (used > width) break;
        at += broken ? 1 : taken;
    }
    return at;
}

/* A text that is wider than its column ends in a mark. */
static void set_cell(text_state *s, size_t place, const column *c, const char *text) {
    char simple[512], cut[544];
    text = plain(text, simple, sizeof simple);
    if (c->left && text[bytes_within(text, c->width)] != '\0') {
        const char *mark = speaks_utf8() ? "…" : "~";
        snprintf(cut, sizeof cut, "%.*s%s", (int)bytes_within(text, c->width - 1), text, mark);
        text = cut;
    }
    if (scols_line_set_data(s->row, place, text) != 0) need(NULL);
}

/* The title and the unit of each column are two rows above the numbers. */
static void put_head(text_state *s) {
    bool units = false;
    for (size_t i = 0, n = 0; i < s->count; i++) {
        if (s->columns[i].title == NULL) continue;
        if (n == 0) s->row = need(scols_table_new_line(s->table, NULL));
        set_cell(s, n++, &s->columns[i], s->columns[i].title);
        units = units || s->columns[i].unit[0] != '\0';
    }
    if (!units) return;
    s->row = need(scols_table_new_line(s->table, NULL));
    for (size_t i = 0, n = 0; i < s->count; i++)
        if (s->columns[i].title != NULL) set_cell(s, n++, &s->columns[i], s->columns[i].unit);
}

static void text_table(void *state, const char *key, const column *columns, size_t count) {
    text_state *s = state;
    (void)key;
    flush_lines(s);
    s->columns = columns;
    s->count = count;
    s->rows = 0;
    s->headed = false;
    size_t shown = 0;
    for (size_t i = 0; i < count; i++) shown += columns[i].title != NULL;
    if (shown == 0) return;
    blank(s);
    s->table = need(scols_new_table());
    scols_table_enable_noheadings(s->table, 1);
    scols_table_set_column_separator(s->table, "  ");
    scols_table_set_termforce(s->table, SCOLS_TERMFORCE_NEVER);
    for (size_t i = 0; i < count; i++) {
        if (columns[i].title == NULL) continue;
        int flags = SCOLS_FL_STRICTWIDTH | (columns[i].left ? SCOLS_FL_TRUNC : SCOLS_FL_RIGHT);
        int head = wider(text_width(columns[i].title), text_width(columns[i].unit));
        /* Without a title of its own: one as wide as the hint would undo the hint. */
        need(scols_table_new_column(s->table, "", wider(columns[i].width, head), flags));
    }
}

/* Numbers that follow each other are written as a range; a list that is too long ends in a mark. */
static void write_numbers(const cell *c, char *text, size_t size) {
    size_t n = 0;
    text[0] = '\0';
    uint32_t first = c->next(c->with, 0);
    while (first != 0) {
        uint32_t last = first, after;
        while ((after = c->next(c->with, last)) == last + 1) last = after;
        if (n + 32 > size) {
            copy(text + n, size - n, ", ...");
            return;
        }
        n += (size_t)snprintf(text + n, size - n, "%s%" PRIu32, n > 0 ? ", " : "", first);
        if (last > first) n += (size_t)snprintf(text + n, size - n, "-%" PRIu32, last);
        first = after;
    }
}

static size_t place_in_text(const text_state *s, size_t index) {
    size_t place = 0;
    for (size_t i = 0; i < index; i++) place += s->columns[i].title != NULL;
    return place;
}

static void text_cell(void *state, const cell *c, size_t index) {
    text_state *s = state;
    char text[512];
    if (s->table == NULL) return;
    if (index == 0) {
        if (!s->headed) put_head(s);
        s->headed = true;
        s->row = need(scols_table_new_line(s->table, NULL));
    }
    if (s->columns[index].title != NULL) {
        if (c->kind == CELL_NUMBER)
            write_number(c->value, s->columns[index].decimals, text, sizeof text);
        else if (c->kind == CELL_TEXT)
            copy(text, sizeof text, c->text == NULL ? "-" : c->text);
        else if (c->kind == CELL_TRUTH)
            copy(text, sizeof text, c->value != 0 ? "yes" : "no");
        else
            write_numbers(c, text, sizeof text);
        set_cell(s, place_in_text(s, index), &s->columns[index], text);
    }
    if (index + 1 == s->count && ++s->rows == BATCH) SHOW_TEXT.table_flush(s);
}

/* Without the blanks that fill the last column. */
static void put_page(const char *page) {
    while (*page != '\0') {
        int length = (int)strcspn(page, "\n");
        int filled = length;
        while (filled > 0 && page[filled - 1] == ' ') filled--;
        printf("%.*s\n", filled, page);
        page += length + (page[length] == '\n');
    }
}

static void text_table_flush(void *state) {
    text_state *s = state;
    if (s->table == NULL) return;
    char *page;
    if (scols_print_table_to_string(s->table, &page) != 0) need(NULL);
    put_page(page);
    free(page);
    scols_table_remove_lines(s->table);
    s->rows = 0;
}

static void text_table_end(void *state) {
    text_state *s = state;
    if (s->table == NULL) return;
    if (s->rows > 0) text_table_flush(s);
    scols_unref_table(s->table);
    s->table = NULL;
}

static void put_wrapped(const char *text) {
    char simple[1024];
    const char *lead = "- ";
    for (text = plain(text, simple, sizeof simple); *text != '\0'; lead = "  ") {
        size_t length = words_within(text, PAGE - 2);
        printf("%s%.*s\n", lead, (int)length, text);
        text += length + strspn(text + length, " ");
    }
}

static void text_sentences(void *state, sentence kind, char *const *sentences, size_t count) {
    static const char *const TITLES[SENTENCE_KINDS] = {"Taken as given", "To know", "Caution"};
    text_state *s = state;
    flush_lines(s);
    blank(s);
    put(TITLES[kind]);
    fputc('\n', stdout);
    for (size_t i = 0; i < count; i++) put_wrapped(sentences[i]);
}

static void text_end(void *state, bool whole) {
    text_state *s = state;
    if (whole) flush_lines(s);
    text_table_end(s);
    free(s);
}

const show_kind SHOW_TEXT = {
    text_heading, text_number, text_text,        text_truth,     text_group,     text_group_end,
    text_table,   text_cell,   text_table_flush, text_table_end, text_sentences, text_end,
};
