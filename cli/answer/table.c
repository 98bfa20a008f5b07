/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/table.h"
#include "answer/characters.h"
#include "answer/json.h"
#include "answer/say.h"
#include "answer/units.h"

#include <inttypes.h>
#include <limits.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* Jars or loads. */
typedef struct item_list {
    const char *text, *json;
} item_list;

typedef union content {
    double number;
    const char *text;
    const item_list *list;
} content;

/* What a value is: a number's decimals, or one of these. A byte, as there may be millions. */
enum { TEXT = 32, TRUTH, LIST };

typedef struct cell {
    content is;
    unsigned char form;
} cell;

/* A column and what the table knows about it. */
typedef struct set_column {
    column is;
    char *titles; /* its lines behind each other */
    int title_lines;
    const char *unit;   /* of its numbers, which people may see in another */
    const char *prefix; /* in JSON */
    int csv_decimals;
    int tail;              /* decimals of the number that has most, so far */
    int width;             /* in text, so far */
    const char *last_text; /* most often the next one too */
} set_column;

struct table {
    keep heads, texts;
    set_column *columns;
    size_t columns_count;
    size_t *shown, shown_count; /* columns for people */
    int title_lines;            /* of the longest title */
    bool units;
    content *values; /* of the cells, and their forms */
    unsigned char *forms;
    size_t count, room;
    bool headed, begun; /* what has been written: a head in text, rows in JSON */
};

/* ---- Building ---- */

static int wider(int a, int b) {
    return a > b ? a : b;
}

static void set_title(struct table *t, set_column *s) {
    s->titles = keep_text(&t->heads, s->is.title);
    label_seen(s->titles, s->unit);
    s->title_lines = s->titles[0] != '\0' ? 1 : 0;
    for (char *at = s->titles; (at = strchr(at, '\n')) != NULL; s->title_lines++) *at++ = '\0';
    t->title_lines = wider(t->title_lines, s->title_lines);
    t->units = t->units || s->is.unit[0] != '\0';
}

static void set(struct table *t, set_column *s, const column *c) {
    *s = (set_column){.is = *c, .csv_decimals = c->decimals % EXACT};
    s->is.key = keep_text(&t->heads, c->key);
    s->is.title = keep_text(&t->heads, c->title);
    s->unit = keep_text(&t->heads, c->unit);
    s->is.unit = keep_text(&t->heads, unit_seen(c->unit));
    s->is.group = c->group == NULL ? "" : keep_text(&t->heads, c->group);
    if (c->title != NULL) set_title(t, s);
    if (c->key == NULL) return;
    size_t size = strlen(c->key) + sizeof "\"\":";
    char *prefix = keep_room(&t->heads, size);
    snprintf(prefix, size, "\"%s\":", c->key);
    s->prefix = prefix;
}

struct table *table_new(const column *columns, size_t count) {
    struct table *t = need(calloc(1, sizeof *t));
    t->columns = need(calloc(count, sizeof *t->columns));
    t->columns_count = count;
    t->shown = need(calloc(count, sizeof *t->shown));
    for (size_t i = 0; i < count; i++) {
        set(t, &t->columns[i], &columns[i]);
        if (columns[i].title != NULL) t->shown[t->shown_count++] = i;
    }
    return t;
}

void table_free(struct table *t) {
    if (t == NULL) return;
    keep_free(&t->heads);
    keep_free(&t->texts);
    free(t->columns);
    free(t->shown);
    free(t->values);
    free(t->forms);
    free(t);
}

void table_csv_decimals(struct table *t, size_t at, int decimals) {
    t->columns[at].csv_decimals = decimals;
}

static set_column *next_column(const struct table *t) {
    return &t->columns[t->count % t->columns_count];
}

static void add(struct table *t, content is, int form) {
    set_column *c = next_column(t);
    if (form < TEXT && isfinite(is.number)) c->tail = wider(c->tail, form);
    size_t room = t->room;
    need_room(&t->values, t->count, &room, sizeof *t->values);
    need_room(&t->forms, t->count, &t->room, sizeof *t->forms);
    t->values[t->count] = is;
    t->forms[t->count++] = (unsigned char)form;
}

void table_add_text(struct table *t, const char *text) {
    set_column *c = next_column(t);
    bool again = text != NULL && c->last_text != NULL && strcmp(text, c->last_text) == 0;
    if (!again) c->last_text = keep_text(&t->texts, text);
    add(t, (content){.text = c->last_text}, TEXT);
}

void table_add_print(struct table *t, const char *format, ...) {
    va_list list;
    char *text;
    va_start(list, format);
    if (vasprintf(&text, format, list) < 0) need(NULL);
    va_end(list);
    table_add_text(t, text);
    free(text);
}

static void add_list(struct table *t, const char *text, const char *json) {
    item_list *l = keep_room(&t->texts, sizeof *l);
    *l = (item_list){keep_text(&t->texts, text), keep_text(&t->texts, json)};
    add(t, (content){.list = l}, LIST);
}

static void add_range(struct table *t, uint32_t first, uint32_t last, const char *quote) {
    char text[sizeof "4294967295-4294967295"] = "";
    bytes json = {0};
    if (first <= last) snprintf(text, sizeof text, "%" PRIu32, first);
    if (first < last) snprintf(text, sizeof text, "%" PRIu32 "-%" PRIu32, first, last);
    bytes_print(&json, "[");
    for (uint64_t n = first; n <= last; n++)
        bytes_print(&json, "%s%s%" PRIu64 "%s", n > first ? "," : "", quote, n, quote);
    bytes_print(&json, "]");
    add_list(t, text, json.data);
    bytes_free(&json);
}

/* Whether a jar's number is the next one, with no other jar of the run in between. */
static bool follows(const jl_jar *before, const jl_jar *jar) {
    static const char LETTERS[] = "abcdefghijklmnopqrstuvwxyz";
    return jar == before + 1 && jar->number == before->number + 1 &&
           strpbrk(before->name, LETTERS) == NULL && strpbrk(jar->name, LETTERS) == NULL;
}

void write_jars(bytes *text, const jl_jar *const *jars, size_t count, const char *between) {
    for (size_t i = 0; i < count; i++) {
        size_t last = i;
        while (last + 1 < count && follows(jars[last], jars[last + 1])) last++;
        bytes_print(text, "%s%s", i == 0 ? "" : between, jars[i]->name);
        if (last > i) bytes_print(text, "-%s", jars[last]->name);
        i = last;
    }
}

static void add_jars(struct table *t, const jl_jar *const *jars, size_t count) {
    bytes text = {0}, json = {0};
    bytes_print(&text, "%s", "");
    write_jars(&text, jars, count, ", ");
    bytes_print(&json, "[");
    for (size_t i = 0; i < count; i++)
        bytes_print(&json, "%s\"%s\"", i > 0 ? "," : "", jars[i]->name);
    bytes_print(&json, "]");
    add_list(t, text.data, json.data);
    bytes_free(&text);
    bytes_free(&json);
}

static int decimals_of(const struct table *t, const cell_shown *v) {
    const set_column *c = next_column(t);
    if (v->kind == OF_NUMBER_WITH) return v->decimals;
    if (v->kind == OF_NUMBER) return digits_of(v->number, c->is.decimals, c->unit);
    return digits_left(difference_seen(v->standard, c->unit), v->decimals);
}

static void add_shown(struct table *t, const cell_shown *v) {
    if (v->kind == OF_TEXT)
        table_add_text(t, v->text);
    else if (v->kind == OF_JARS)
        add_jars(t, v->jars, v->count);
    else if (v->kind == OF_RANGE || v->kind == OF_JAR_RANGE)
        add_range(t, v->first, v->last, v->kind == OF_RANGE ? "" : "\"");
    else
        add(t, (content){.number = v->number}, v->kind == OF_TRUTH ? TRUTH : decimals_of(t, v));
}

void table_row(struct table *t, const cell_shown *cells, size_t count) {
    for (size_t i = 0; i < count; i++) add_shown(t, &cells[i]);
}

void table_add_number(struct table *t, double number) {
    table_row(t, CELLS(V(number)));
}

void table_forget(struct table *t) {
    for (size_t i = 0; i < t->columns_count; i++) t->columns[i].last_text = NULL;
    keep_free(&t->texts);
    t->count = 0;
}

/* ---- What it holds ---- */

size_t table_rows(const struct table *t) {
    return t->count / t->columns_count;
}

bool table_row_whole(const struct table *t) {
    return t->count % t->columns_count == 0;
}

size_t table_columns(const struct table *t) {
    return t->shown_count;
}

static set_column *shown_column(const struct table *t, size_t at) {
    return &t->columns[t->shown[at]];
}

const column *table_column(const struct table *t, size_t at) {
    return &shown_column(t, at)->is;
}

int table_head_lines(const struct table *t) {
    return t->title_lines + (t->units ? 1 : 0);
}

const char *table_head(const struct table *t, size_t at, int line) {
    const set_column *c = shown_column(t, at);
    if (line >= t->title_lines) return c->is.unit;
    int before = line - (t->title_lines - c->title_lines);
    const char *title = c->titles;
    if (before < 0) return "";
    for (; before > 0; before--) title += strlen(title) + 1;
    return title;
}

static cell cell_at(const struct table *t, size_t row, size_t at) {
    size_t place = row * t->columns_count + at;
    return (cell){t->values[place], t->forms[place]};
}

/* The same for people. */
static cell cell_seen(const struct table *t, size_t row, size_t at) {
    const set_column *of = shown_column(t, at);
    cell c = cell_at(t, row, t->shown[at]);
    if (c.form < TEXT)
        c.is.number = of->is.difference ? difference_seen(c.is.number, of->unit)
                                        : value_seen(c.is.number, of->unit);
    return c;
}

static const char *cell_text(cell c, const char *missing, char buffer[CELL_BYTES]) {
    if (c.form == TRUTH) return c.is.number != 0 ? "yes" : "no";
    if (c.form == LIST) return c.is.list->text;
    if (c.form == TEXT) return c.is.text == NULL ? missing : c.is.text;
    return jl_decimal_write(c.is.number, c.form, buffer, CELL_BYTES) == JL_OK ? buffer : missing;
}

/* Blanks as wide as the point and the digits that a number lacks of its column's longest. */
static void pad_number(char buffer[CELL_BYTES], int decimals, int tail) {
    static const char POINT[] = "\xe2\x80\x88", DIGIT[] = "\xe2\x80\x87";
    size_t room = CELL_BYTES - strlen(buffer) - 1;
    if (decimals == 0 && tail > 0) strncat(buffer, POINT, room);
    for (; decimals < tail && strlen(buffer) + sizeof DIGIT <= CELL_BYTES; decimals++)
        strncat(buffer, DIGIT, CELL_BYTES - strlen(buffer) - 1);
}

const char *table_cell(const struct table *t, size_t row, size_t at, const char *missing,
                       char buffer[CELL_BYTES]) {
    cell c = cell_seen(t, row, at);
    const char *text = cell_text(c, missing, buffer);
    if (text == buffer) pad_number(buffer, c.form, shown_column(t, at)->tail);
    return text;
}

const char *table_group(const struct table *t, size_t at, size_t *count) {
    const char *group = shown_column(t, at)->is.group;
    *count = 1;
    if (group[0] == '\0' || (at > 0 && strcmp(shown_column(t, at - 1)->is.group, group) == 0))
        return "";
    while (at + *count < t->shown_count &&
           strcmp(shown_column(t, at + *count)->is.group, group) == 0)
        ++*count;
    return group;
}

bool table_has_groups(const struct table *t) {
    bool any = false;
    for (size_t i = 0; i < t->shown_count; i++)
        any = any || shown_column(t, i)->is.group[0] != '\0';
    return any;
}

static void copy_cell(struct table *to, const struct table *t, size_t row, size_t at) {
    cell c = cell_at(t, row, t->shown[at]);
    char buffer[CELL_BYTES];
    if (c.form < TEXT)
        add(to, c.is, c.form);
    else
        table_add_text(to, cell_text(c, NULL, buffer));
}

static column as_given(const struct table *t, size_t at) {
    column c = shown_column(t, at)->is;
    c.unit = shown_column(t, at)->unit;
    return c;
}

struct table *table_cut(const struct table *t, size_t row, size_t rows, size_t from,
                        size_t columns) {
    size_t last = from + columns < t->shown_count ? from + columns : t->shown_count;
    size_t end = row + rows < table_rows(t) ? row + rows : table_rows(t);
    column *kept = need(calloc(1 + last - from, sizeof *kept));
    kept[0] = as_given(t, 0);
    for (size_t i = from; i < last; i++) kept[1 + i - from] = as_given(t, i);
    struct table *cut = table_new(kept, 1 + last - from);
    free(kept);
    for (; row < end; row++) {
        copy_cell(cut, t, row, 0);
        for (size_t i = from; i < last; i++) copy_cell(cut, t, row, i);
    }
    return cut;
}

/* ---- Text ---- */

enum { GAP = 2, NOTES_LEAST = 12 };

/* What of a text stands in a line of a column. */
typedef struct piece {
    const char *text;
    size_t bytes;
    int width;
    bool cut; /* a mark stands behind it */
    int pad;  /* blanks behind it, in its width */
} piece;

static const char *kept_on_screen(struct table *t, const char *text) {
    size_t size = ON_SCREEN_BYTES(strlen(text));
    return on_screen(text, keep_room(&t->texts, size), size);
}

/* limit: columns of the screen; 0: none. */
static piece fit(const char *text, int limit) {
    piece p = {.text = text};
    p.bytes = text_within(text, limit > 0 ? limit : INT_MAX, &p.width);
    p.cut = text[p.bytes] != '\0';
    if (p.cut) p.bytes = text_within(text, limit - 1, &p.width);
    return p;
}

/* A line of notes: the turn-th of those that fill a width. */
static piece note_line(const char *text, int width, size_t turn) {
    size_t length = words_within(text, width);
    for (; turn > 0 && *text != '\0'; turn--) {
        text += length + strspn(text + length, " ");
        length = words_within(text, width);
    }
    return (piece){text, length, text_width_to(text, length), false, 0};
}

/* What a row shows of a column in its first line, or in a further one. */
static piece piece_at(struct table *t, size_t row, size_t at, size_t turn,
                      char buffer[CELL_BYTES]) {
    const set_column *c = shown_column(t, at);
    cell held = cell_seen(t, row, at);
    const char *text = cell_text(held, "-", buffer);
    if (text == buffer) {
        int width = turn == 0 ? (int)strlen(text) : 0;
        int pad = c->tail - held.form + (held.form == 0 && c->tail > 0);
        return (piece){text, (size_t)width, width + pad, false, pad};
    }
    text = kept_on_screen(t, text);
    if (c->is.kind == COLUMN_NOTES) return note_line(text, c->width, turn);
    return fit(turn == 0 ? text : "", c->is.kind == COLUMN_WORDS ? c->is.width : 0);
}

/* What the other columns leave of the page. */
static int room_for_notes(const struct table *t, const set_column *notes) {
    int used = 0;
    for (size_t i = 0; i < t->shown_count; i++)
        if (shown_column(t, i) != notes) used += shown_column(t, i)->width + GAP;
    return wider(NOTES_LEAST, PAGE - used);
}

/* A group's columns are wide enough for its words. */
static void measure_groups(struct table *t) {
    for (size_t i = 0; i < t->shown_count; i++) {
        size_t count;
        int room = -GAP, width = text_width(kept_on_screen(t, table_group(t, i, &count)));
        for (size_t k = i; k < i + count; k++) room += shown_column(t, k)->width + GAP;
        if (width > room) shown_column(t, i + count - 1)->width += width - room;
    }
}

static void measure(struct table *t) {
    char buffer[CELL_BYTES];
    for (size_t i = 0; i < t->shown_count; i++) {
        set_column *c = shown_column(t, i);
        c->width = wider(c->width, c->is.width);
        for (int line = 0; line < table_head_lines(t); line++)
            c->width = wider(c->width, text_width(kept_on_screen(t, table_head(t, i, line))));
        if (c->is.kind == COLUMN_NOTES || (c->is.kind == COLUMN_WORDS && c->is.width > 0)) continue;
        for (size_t row = 0; row < table_rows(t); row++)
            c->width = wider(c->width, piece_at(t, row, i, 0, buffer).width);
    }
    for (size_t i = 0; i < t->shown_count; i++) {
        set_column *c = shown_column(t, i);
        if (c->is.kind == COLUMN_NOTES && c->is.width == 0) c->width = room_for_notes(t, c);
    }
    measure_groups(t);
}

/* A line of a table; no blanks stand at its end. */
typedef struct line {
    FILE *to;
    int owed; /* blanks before the next text */
    int columns;
} line;

static void put_piece(line *l, const set_column *c, piece p) {
    bool left = c->is.kind != COLUMN_NUMBERS;
    int beside = c->width - p.width;
    if (l->columns++ > 0) l->owed += GAP;
    if (!left) l->owed += beside;
    if (p.bytes > 0) {
        for (; l->owed > 0; l->owed--) fputc_unlocked(' ', l->to);
        fwrite_unlocked(p.text, 1, p.bytes, l->to);
        if (p.cut) fputs(speaks_utf8() ? "…" : "~", l->to);
    }
    l->owed += left ? beside - (p.cut ? 1 : 0) : p.pad;
}

static bool note_goes_on(const set_column *c, piece p) {
    return c->is.kind == COLUMN_NOTES && p.text[p.bytes] != '\0';
}

/* The columns that stand beside each other: the first, and others that follow each other. */
typedef struct block {
    size_t from, to;
} block;

static size_t after(block b, size_t at) {
    return at == 0 ? b.from : at + 1;
}

/* In as many lines as its notes need. */
static void put_row(struct table *t, size_t row, block b, FILE *to) {
    char buffer[CELL_BYTES];
    bool more = true;
    for (size_t turn = 0; more; turn++) {
        line l = {.to = to};
        more = false;
        for (size_t i = 0; i < b.to; i = after(b, i)) {
            const set_column *c = shown_column(t, i);
            piece p = piece_at(t, row, i, turn, buffer);
            put_piece(&l, c, p);
            more = more || note_goes_on(c, p);
        }
        fputc_unlocked('\n', to);
    }
}

/* Over the columns of a block that share it. */
static void put_groups(struct table *t, block b, FILE *to) {
    line l = {.to = to};
    for (size_t i = 0; i < b.to; i = after(b, i)) {
        size_t count = 1;
        const char *group = table_group(t, i, &count);
        set_column over = {.is.kind = COLUMN_WORDS, .width = -GAP};
        size_t last = group[0] == '\0' || i + count > b.to ? i : i + count - 1;
        for (size_t k = i; k <= last; k++) over.width += shown_column(t, k)->width + GAP;
        put_piece(&l, &over, fit(kept_on_screen(t, group), over.width));
        i = last;
    }
    fputc_unlocked('\n', to);
}

static void put_head(struct table *t, block b, FILE *to) {
    if (table_has_groups(t)) put_groups(t, b, to);
    for (int at = 0; at < table_head_lines(t); at++) {
        line l = {.to = to};
        for (size_t i = 0; i < b.to; i = after(b, i))
            put_piece(&l, shown_column(t, i), fit(kept_on_screen(t, table_head(t, i, at)), 0));
        fputc_unlocked('\n', to);
    }
}

void table_text_rows(struct table *t, FILE *to) {
    const block all = {1, t->shown_count};
    if (table_rows(t) == 0 || t->shown_count == 0) return;
    measure(t);
    if (!t->headed) put_head(t, all, to);
    t->headed = true;
    for (size_t row = 0; row < table_rows(t); row++) put_row(t, row, all, to);
}

/* From a column on what fits beside the first: one at least. */
static block block_from(const struct table *t, size_t from) {
    block b = {from, from};
    int used = shown_column(t, 0)->width;
    for (; b.to < t->shown_count; b.to++) {
        used += GAP + shown_column(t, b.to)->width;
        if (b.to > from && used > PAGE) break;
    }
    return b;
}

void table_text_blocks(struct table *t, FILE *to) {
    block b = {1, 1};
    measure(t);
    do {
        b = block_from(t, b.to);
        fputc('\n', to);
        put_head(t, b, to);
        for (size_t row = 0; row < table_rows(t); row++) put_row(t, row, b, to);
    } while (b.to < t->shown_count);
}

/* ---- JSON and CSV ---- */

static void json_cell(cell c, FILE *to) {
    if (c.form == TRUTH)
        json_truth(to, c.is.number != 0);
    else if (c.form == LIST)
        fputs_unlocked(c.is.list->json, to);
    else if (c.form == TEXT)
        json_text(to, c.is.text);
    else
        json_number(to, c.is.number);
}

void table_json_rows(struct table *t, FILE *to) {
    for (size_t row = 0; row < table_rows(t); row++) {
        const char *between = "";
        fputs_unlocked(t->begun ? ",\n{" : "\n{", to);
        t->begun = true;
        for (size_t i = 0; i < t->columns_count; i++) {
            if (t->columns[i].prefix == NULL) continue;
            fputs_unlocked(between, to);
            fputs_unlocked(t->columns[i].prefix, to);
            json_cell(cell_at(t, row, i), to);
            between = ",";
        }
        fputc_unlocked('}', to);
    }
}

/* What a spreadsheet would take for a formula. */
static bool is_formula(const char *text) {
    char *end;
    bool begins = strchr("=+-@", text[strspn(text, " \t")]) != NULL && text[0] != '\0';
    strtod(text, &end);
    return begins && *end != '\0' && strcmp(text, "-") != 0;
}

/* Of one line; what steers a screen is written as JSON writes it. */
static void csv_text(const char *text, FILE *to) {
    bool quotes = strpbrk(text, "\",") != NULL;
    size_t length;
    if (quotes) fputc('"', to);
    if (is_formula(text)) fputc(' ', to);
    for (; *text != '\0'; text += length) {
        length = utf8_bytes(text);
        bool steers = length > 0 && utf8_steers(text, length);
        if (*text == '"') fputc('"', to);
        if (steers) fprintf(to, "\\u%04X", utf8_code(text, length));
        if (length == 0) length = 1;
        if (!steers) fwrite(text, 1, length, to);
    }
    if (quotes) fputc('"', to);
}

void table_csv(const struct table *t, FILE *to) {
    char buffer[CELL_BYTES];
    const char *between = "";
    for (size_t i = 0; i < t->columns_count; i++, between = ",")
        if (t->columns[i].is.key != NULL) fprintf(to, "%s%s", between, t->columns[i].is.key);
    fputs("\r\n", to);
    for (size_t row = 0; row < table_rows(t); row++) {
        between = "";
        for (size_t i = 0; i < t->columns_count; i++) {
            if (t->columns[i].is.key == NULL) continue;
            cell c = cell_at(t, row, i);
            fputs(between, to);
            if (c.form < TEXT) c.form = (unsigned char)t->columns[i].csv_decimals;
            csv_text(cell_text(c, "", buffer), to);
            between = ",";
        }
        fputs("\r\n", to);
    }
}
