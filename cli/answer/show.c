/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/show.h"
#include "answer/characters.h"
#include "answer/json.h"
#include "answer/say.h"
#include "answer/units.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef enum item_kind { HEADING, FIGURE, WORD, TRUTH, GROUP, GROUP_END, TABLE } item_kind;
typedef struct item {
    item_kind kind;
    const char *key;
    char *label;  /* a heading's words too */
    double value; /* of a truth: 0 or 1 */
    double seen;  /* of a figure: for people, in their unit */
    int decimals;
    bool above;       /* of a table: in text it stands above the answer */
    const char *text; /* of a figure its unit for people */
    struct table *table;
} item;

enum { DEPTH_MOST = 8 };
typedef enum sentence {
    ASSUMPTION,
    NOTE,
    CAUTION,
    STANDING,
    WARNING,
    REMARK,
    TEXT_REMARK,
    NEXT,
    SENTENCE_KINDS
} sentence;

typedef struct sentences {
    const char **texts;
    size_t count;
} sentences;

static bool all_sentences = false; /* --why */
static bool few_sentences = false; /* --quiet */
static const char *bench = NULL;

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
    char on_disk[512]; /* what is there, also where nobody sees the answer */
};

/* ---- Gathering ---- */

static item *add(show *s, item_kind kind, const char *key, const char *label) {
    need_room(&s->items, s->count, &s->room, sizeof *s->items);
    item *i = &s->items[s->count++];
    *i = (item){.kind = kind, .key = keep_text(&s->kept, key), .label = keep_text(&s->kept, label)};
    return i;
}

void show_heading(show *s, const char *text) {
    add(s, HEADING, NULL, text);
}

void show_heading_at(show *s, const char *what) {
    size_t size = strlen(what) + strlen(both_at()) + sizeof ", ";
    char *text = keep_room(&s->kept, size);
    snprintf(text, size, "%s, %s", what, both_at());
    show_heading(s, text);
}

void show_number(show *s, const char *key, const char *label, double value, int decimals,
                 const char *unit) {
    item *i = add(s, FIGURE, key, label);
    i->value = value;
    i->seen = label == NULL ? NAN : value_seen(value, unit);
    i->decimals = digits_of(value, decimals, unit);
    i->text = keep_text(&s->kept, unit_seen(unit));
    if (label != NULL) label_seen(i->label, unit);
}

void show_difference(show *s, const char *key, const char *label, double value, double standard,
                     int decimals, const char *unit) {
    const figure_text small = figure_below_zero(value, standard, decimals % EXACT, unit);
    bool in_words = *small.text != '\0' && label != NULL;
    show_number(s, key, in_words ? NULL : label, value, decimals, unit);
    if (in_words) show_text(s, NULL, label, small.text);
}

void show_pure(show *s, const char *key, const char *label, jl_spirit spirit) {
    int decimals = digits_left(digits_standards(spirit).pure_alcohol_l, 3);
    show_number(s, key, label, jl_pure_alcohol_l(spirit), EXACT + decimals, "L");
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

void show_table_above(show *s) {
    s->items[s->count - 1].above = true;
}

void show_cells(show *s, const cell_shown *cells, size_t count) {
    table_row(last_table(s), cells, count);
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

/* The sentences of a kind stand behind those of another. */
static void absorb(show *s, sentence into, sentence from) {
    sentences *of = &s->of[into], *more = &s->of[from];
    if (more->count == 0) return;
    of->texts = need(realloc(of->texts, (of->count + more->count) * sizeof *of->texts));
    memcpy(of->texts + of->count, more->texts, more->count * sizeof *more->texts);
    of->count += more->count;
    more->count = 0;
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
SENTENCE(show_standing_caution, STANDING)
SENTENCE(show_warning, WARNING)
SENTENCE(show_remark, REMARK)
SENTENCE(show_text_remark, TEXT_REMARK)
SENTENCE(show_next, NEXT)

void show_bench(const char *path) {
    bench = path;
}

/* Those up to said have been shown. */
static sentences readings_of_files;
static size_t readings_said;

void show_reading_of_file(const char *text) {
    sentences *of = &readings_of_files;
    for (size_t i = 0; i < of->count; i++)
        if (strcmp(of->texts[i], text) == 0) return;
    of->texts = need(realloc(of->texts, (of->count + 1) * sizeof *of->texts));
    of->texts[of->count++] = need(strdup(text));
}

/* And in text the units of an answer that assumes anything. */
static void assume_before_others(show *s) {
    sentences others = s->of[ASSUMPTION];
    const char *of_units = s->json || all_sentences || others.count == 0 ? NULL : units_in_words();
    if (of_units == NULL && readings_said == readings_of_files.count) return;
    s->of[ASSUMPTION] = (sentences){0};
    if (of_units != NULL) show_assumption(s, "%s.", of_units);
    for (; readings_said < readings_of_files.count; readings_said++)
        show_assumption(s, "%s", readings_of_files.texts[readings_said]);
    for (size_t i = 0; i < others.count; i++) show_assumption(s, "%s", others.texts[i]);
    free(others.texts);
}

void show_why(void) {
    all_sentences = true;
}

void show_quiet(void) {
    few_sentences = true;
}

/* ---- For people ---- */

static int wider(int a, int b) {
    return a > b ? a : b;
}

static const char *simple(show *s, const char *text) {
    size_t size = ON_SCREEN_BYTES(strlen(text));
    return on_screen(text, keep_room(&s->kept, size), size);
}

static void blank_line(show *s) {
    if (s->begun[0]) fputc('\n', stdout);
    s->begun[0] = true;
}

static void text_heading(show *s, const char *text) {
    blank_line(s);
    put_sentence(stdout, "", "  ", simple(s, text));
    s->begun[0] = false; /* what follows stands close below */
}

static void text_table(show *s, struct table *t) {
    if (table_columns(t) > 0 && table_rows(t) > 0 && !s->table_written) blank_line(s);
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
    return jl_decimal_write(i->seen, i->decimals, buffer, CELL_BYTES) == JL_OK ? buffer : "-";
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

/* Where its lines begin, a table is long: it stands above the answer, under its own heading. */
enum { LONG_TABLE_ROWS = 7 };

static size_t begin_of_long_table(const show *s, size_t at) {
    size_t begin = at;
    while (begin > 0 && s->items[begin - 1].kind == GROUP && s->items[begin - 1].label == NULL)
        begin--;
    bool headed = begin > 0 && is_break(&s->items[begin - 1]) && s->items[begin - 1].kind != TABLE;
    return headed ? begin - 1 : begin;
}

static bool is_long(const item *i) {
    return i->kind == TABLE && (i->above || table_rows(i->table) >= LONG_TABLE_ROWS);
}

/* Moves long tables to the top, in their order; what is left keeps its own. */
static void long_tables_first(show *s) {
    item *sorted = need(malloc((s->count + 1) * sizeof *sorted));
    bool *taken = need(calloc(s->count + 1, sizeof *taken));
    size_t n = 0;
    for (size_t i = 0; i < s->count; i++) {
        if (!is_long(&s->items[i])) continue;
        for (size_t k = begin_of_long_table(s, i); k <= i; k++) {
            sorted[n++] = s->items[k];
            taken[k] = true;
        }
    }
    for (size_t i = 0; i < s->count; i++)
        if (!taken[i]) sorted[n++] = s->items[i];
    free(taken);
    free(s->items);
    s->items = sorted;
    s->room = s->count + 1;
}

/* ---- Sentences for people ---- */

enum { WARNINGS_MOST = 4, ASSUMED_LINES = 3, CAUTIONS_MOST = 5 };

/* Weights only make plainer what the words say. */
static bool are_weights_shown(void) {
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    if (no_color != NULL && *no_color != '\0') return false;
    return isatty(STDOUT_FILENO) && term != NULL && strcmp(term, "dumb") != 0;
}

enum { PLAIN = 0, BOLD = 1, DIM = 2 };

/* How what follows is set on a terminal. */
static void set_weight(int weight) {
    if (are_weights_shown()) printf("\033[%dm", weight);
}

static void text_warnings(show *s) {
    const sentences *of = &s->of[WARNING];
    blank_line(s);
    for (size_t i = 0; i < of->count && (i < WARNINGS_MOST || all_sentences); i++) {
        set_weight(BOLD);
        put_sentence(stdout, "Warning: ", "  ", simple(s, of->texts[i]));
        set_weight(PLAIN);
    }
    if (of->count > WARNINGS_MOST && !all_sentences)
        printf("and %zu more: --why\n", of->count - WARNINGS_MOST);
}

/* besides: what stands beside the title; NULL: nothing. */
static void text_list(show *s, sentence kind, const char *title, const char *besides) {
    blank_line(s);
    printf("%s%s%s\n", title, besides == NULL ? "" : ". ",
           besides == NULL ? "" : simple(s, besides));
    for (size_t i = 0; i < s->of[kind].count; i++)
        put_sentence(stdout, "- ", "  ", simple(s, s->of[kind].texts[i]));
}

/* Bytes of an assumption's sentence without where a default comes from and without its stop. */
static size_t bare_length(const char *text) {
    static const char *const SOURCES[] = {" (common practice", " (published:", " (soda-lime glass"};
    for (size_t i = 0; i < sizeof SOURCES / sizeof SOURCES[0]; i++) {
        const char *source = strstr(text, SOURCES[i]);
        if (source != NULL) return (size_t)(source - text);
    }
    size_t length = strlen(text);
    return length > 0 && text[length - 1] == '.' ? length - 1 : length;
}

/* All of them as one list, short. */
static const char *joined(show *s, const sentences *of) {
    static const char lead[] = "Default: ";
    size_t size = 2;
    for (size_t i = 0; i < of->count; i++) size += strlen(of->texts[i]) + sizeof lead;
    char *text = keep_room(&s->kept, size), *end = text;
    bool listed = false;
    for (size_t i = 0; i < of->count; i++) {
        const char *one = of->texts[i], *between = i == 0 ? "" : listed ? "; " : ". ";
        bool is_default = strncmp(one, lead, strlen(lead)) == 0;
        if (is_default) one += strlen(lead);
        if (listed && !is_default) between = ". ";
        if (is_default && !listed && i > 0) between = ". Default: ";
        end += sprintf(end, "%s%.*s", between, (int)bare_length(one), one);
        listed = is_default;
    }
    strcpy(end, ".");
    return text;
}

enum { INSET = 2 };

/* Bytes of a text that lines hold of which the first begins with a lead of a width. */
static size_t bytes_in_lines(const char *text, int lead, int lines, int last_room) {
    size_t n = 0;
    for (int i = 0; i < lines && text[n] != '\0'; i++) {
        int room = PAGE - (i == 0 ? lead : INSET) - (i + 1 == lines ? last_room : 0);
        n += words_within(text + n, room);
        n += strspn(text + n, " ");
    }
    return n;
}

/* In so many lines at most; what does not fit is had with --why. */
static void put_shortened(show *s, const char *lead, const char *text, int lines) {
    static const char more[] = "... (--why)";
    int width = text_width(lead);
    text = simple(s, text);
    size_t size = strlen(text) + sizeof more;
    if (text[bytes_in_lines(text, width, lines, 0)] != '\0') {
        size_t n = bytes_in_lines(text, width, lines, (int)sizeof more);
        char *cut = keep_room(&s->kept, size);
        snprintf(cut, size, "%.*s%s", (int)n, text, more);
        text = cut;
    }
    put_sentence(stdout, lead, "  ", text);
}

static void text_cautions(show *s) {
    const sentences *of = &s->of[CAUTION];
    for (size_t i = 0; i < of->count && i < CAUTIONS_MOST; i++) {
        const char *text = of->texts[i], *end = strstr(text, ". ");
        size_t size = strlen(text) + 1;
        char *first = keep_room(&s->kept, size);
        snprintf(first, size, "%.*s", end == NULL ? (int)size : (int)(end - text) + 1, text);
        put_shortened(s, "Caution: ", first, 1);
    }
    if (of->count > CAUTIONS_MOST)
        printf("and %zu more of them: --why\n", of->count - CAUTIONS_MOST);
}

static void text_remarks(show *s, sentence kind) {
    const sentences *of = &s->of[kind];
    for (size_t i = 0; i < of->count; i++) put_sentence(stdout, "", "  ", simple(s, of->texts[i]));
}

/* Bytes of a command's next line; what is quoted is not taken apart. */
static size_t command_line_bytes(const char *text, int width) {
    size_t fit = words_within(text, width), quotes = 0, end = 0;
    for (size_t i = 0;; i++) {
        bool between = quotes % 2 == 0 && (text[i] == ' ' || text[i] == '\0');
        if (between && (end == 0 || i <= fit)) end = i;
        if (text[i] == '\0' || (i >= fit && end > 0)) return end;
        quotes += text[i] == '\'';
    }
}

/* In lines that a shell takes together. */
static void put_command(const char *lead, const char *text) {
    while (true) {
        bool fits = text_width(lead) + text_width(text) <= PAGE;
        size_t length = fits ? strlen(text) : command_line_bytes(text, PAGE - text_width(lead) - 2);
        const char *behind = text + length + strspn(text + length, " ");
        printf("%s%.*s%s\n", lead, (int)length, text, *behind == '\0' ? "" : " \\");
        if (*behind == '\0') return;
        text = behind;
        lead = "  ";
    }
}

static void text_next(show *s) {
    const sentences *of = &s->of[NEXT];
    for (size_t i = 0; i < of->count; i++) put_command("Next: ", simple(s, of->texts[i]));
}

static void text_bench(show *s) {
    if (bench != NULL && !few_sentences) printf("Bench file: %s\n", simple(s, bench));
}

static void text_short(show *s) {
    bool assumed = s->of[ASSUMPTION].count > 0;
    if (assumed || s->of[CAUTION].count > 0 || bench != NULL) blank_line(s);
    text_bench(s);
    if (assumed) {
        set_weight(DIM);
        put_shortened(s, "Assumed: ", joined(s, &s->of[ASSUMPTION]), ASSUMED_LINES);
        set_weight(PLAIN);
    }
    text_cautions(s);
}

static void text_whole(show *s) {
    static const char *const TITLES[] = {"Assumptions", "Notes", "Cautions"};
    absorb(s, CAUTION, STANDING);
    for (int kind = ASSUMPTION; kind <= CAUTION; kind++)
        if (s->of[kind].count > 0)
            text_list(s, (sentence)kind, TITLES[kind],
                      kind == ASSUMPTION ? units_in_words() : NULL);
    if (bench != NULL) blank_line(s);
    text_bench(s);
}

static void forget(show *s, sentence kind) {
    s->of[kind].count = 0;
}

static void text_sentences(show *s) {
    for (int kind = 0; few_sentences && kind < SENTENCE_KINDS; kind++)
        if (kind != WARNING && kind != REMARK) forget(s, (sentence)kind);
    if (s->of[WARNING].count > 0) text_warnings(s);
    if (all_sentences)
        text_whole(s);
    else
        text_short(s);
    bool any = s->of[ASSUMPTION].count + s->of[CAUTION].count > 0 || bench != NULL;
    bool below = any && !all_sentences;
    if (s->of[REMARK].count + s->of[TEXT_REMARK].count + s->of[NEXT].count > 0 && !below)
        blank_line(s);
    text_remarks(s, REMARK);
    text_remarks(s, TEXT_REMARK);
    text_next(s);
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

static void json_texts(const sentences *of) {
    for (size_t i = 0; i < of->count; i++) {
        if (i > 0) fputc(',', stdout);
        json_text(stdout, of->texts[i]);
    }
}

static void json_sentences(show *s) {
    static const char *const KEYS[SENTENCE_KINDS] = {
        [ASSUMPTION] = "assumptions", [NOTE] = "notes", [CAUTION] = "cautions",
        [WARNING] = "warnings",       [NEXT] = "next",
    };
    absorb(s, NOTE, REMARK);
    absorb(s, CAUTION, STANDING);
    for (int kind = 0; kind < SENTENCE_KINDS; kind++) {
        if (KEYS[kind] == NULL || s->of[kind].count == 0) continue;
        json_open(s, KEYS[kind], '[');
        json_texts(&s->of[kind]);
        json_close(s, ']');
    }
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
    if (!s->json && s->written == 0 && !s->table_written) long_tables_first(s);
    write_items(s, true);
    assume_before_others(s);
    if (s->json && bench != NULL) {
        json_key(s, "bench");
        json_text(stdout, bench);
    }
    s->json ? json_sentences(s) : text_sentences(s);
    if (s->json) fputs("}\n", stdout);
    char on_disk[sizeof s->on_disk];
    memcpy(on_disk, s->on_disk, sizeof on_disk);
    release(s);
    int closed = close_output(exit_status);
    if (closed != exit_status && on_disk[0] != '\0') say("%s all the same, on the disk", on_disk);
    return closed;
}

void show_on_disk(show *s, const char *format, ...) {
    va_list list;
    va_start(list, format);
    vsnprintf(s->on_disk, sizeof s->on_disk, format, list);
    va_end(list);
}

int show_abandon(show *s, int exit_status) {
    show_flush(s);
    release(s);
    return exit_status;
}
