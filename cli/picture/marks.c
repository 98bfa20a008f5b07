/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/marks.h"
#include "answer/characters.h"
#include "answer/say.h"
#include "answer/table.h"
#include "picture/ties.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void sheet_begin(sheet *s, double width, double height) {
    *s = (sheet){.width = width, .height = height};
}

void sheet_free(sheet *s) {
    for (size_t i = 0; i < s->count; i++) free(s->marks[i].text);
    free(s->marks);
    free(s->places);
    free(s->describes);
    *s = (sheet){0};
}

void sheet_describe(sheet *s, const char *words) {
    free(s->describes);
    s->describes = clean_text(words);
}

static mark *sheet_mark(sheet *s, mark_kind kind, mark_shape shape) {
    need_room(&s->marks, s->count, &s->marks_room, sizeof *s->marks);
    mark *m = &s->marks[s->count++];
    *m = (mark){.kind = kind, .shape = shape};
    return m;
}

/* U+FFFE and U+FFFF, which a file of XML may not hold. */
static bool no_character(const unsigned char *at, size_t length) {
    return length == 3 && utf8_code((const char *)at, length) >= 0xfffe;
}

char *clean_text(const char *text) {
    const unsigned char *from = (const unsigned char *)text;
    char *clean = need(malloc(3 * strlen(text) + 1)), *to = clean;
    while (*from != '\0') {
        size_t length = utf8_bytes((const char *)from);
        if (length == 0 || no_character(from, length)) {
            memcpy(to, "\xef\xbf\xbd", 3); /* U+FFFD */
            to += 3;
            from += length == 0 ? 1 : length;
            continue;
        }
        if (utf8_steers((const char *)from, length))
            *to++ = ' ';
        else {
            memcpy(to, from, length);
            to += length;
        }
        from += length;
    }
    *to = '\0';
    return clean;
}

mark *sheet_text(sheet *s, mark_kind kind, box where, mark_align align, double size,
                 const char *text) {
    mark *m = sheet_mark(s, kind, SHAPE_TEXT);
    m->box = where;
    m->align = align;
    m->size = size;
    m->text = clean_text(text);
    return m;
}

mark *sheet_box(sheet *s, mark_kind kind, box where, mark_tone tone, mark_pattern pattern) {
    mark *m = sheet_mark(s, kind, SHAPE_BOX);
    m->box = where;
    m->tone = tone;
    m->pattern = pattern;
    return m;
}

mark *sheet_dot(sheet *s, mark_kind kind, place at, double diameter, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_DOT);
    m->box = (box){at.x - diameter / 2, at.y - diameter / 2, diameter, diameter};
    m->size = diameter;
    m->tone = tone;
    return m;
}

mark *sheet_line(sheet *s, mark_kind kind, double width, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_LINE);
    m->first = s->places_count;
    m->size = width;
    m->tone = tone;
    return m;
}

mark *sheet_area(sheet *s, mark_kind kind, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_AREA);
    m->first = s->places_count;
    m->tone = tone;
    return m;
}

void sheet_place(sheet *s, place at) {
    need_room(&s->places, s->places_count, &s->places_room, sizeof *s->places);
    s->places[s->places_count++] = at;
    s->marks[s->count - 1].count++;
}

mark *sheet_straight(sheet *s, mark_kind kind, double width, mark_tone tone, place from, place to) {
    mark *m = sheet_line(s, kind, width, tone);
    sheet_place(s, from);
    sheet_place(s, to);
    return m;
}

static size_t characters(const char *text) {
    size_t count = 0;
    for (; *text != '\0'; text++) count += ((unsigned char)*text & 0xc0) != 0x80;
    return count;
}

double text_room(const char *text, double size) {
    return ((double)characters(text) * 0.66 + 0.3) * size;
}

/* Advances of the characters from space to ~ in hundredths of the type's height: DejaVu Sans 2.37, as
 * wide a font as a screen has for "sans-serif"; its bold is a little wider. */
static const unsigned char ADVANCES[] = {
    32, 40, 46, 84, 64, 95, 78, 27, 39,  39, 50, 84, 32, 36, 32, 34, 64, 64, 64, 64, 64, 64, 64, 64,
    64, 64, 34, 34, 84, 84, 84, 53, 100, 68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86, 75, 79,
    60, 79, 69, 63, 61, 73, 68, 99, 69,  61, 69, 39, 34, 39, 84, 50, 50, 61, 63, 55, 63, 62, 35, 63,
    63, 28, 28, 58, 28, 97, 63, 61, 63,  63, 41, 52, 39, 63, 59, 82, 59, 59, 52, 64, 34, 64, 84};
static const double BOLD_WIDER = 1.13, OTHER = 0.75, WIDE = 1.0;

/* Of the same font: what else stands in many sentences. */
static const struct {
    const char *text;
    double advance;
} SIGNS[] = {{"°", 0.5}, {"·", 0.32}, {"\xc2\xa0", 0.32}};

static double sign_advance(const char *text, size_t length) {
    for (size_t i = 0; i < sizeof SIGNS / sizeof SIGNS[0]; i++)
        if (strncmp(text, SIGNS[i].text, length) == 0) return SIGNS[i].advance;
    return OTHER;
}

static double advance(const char *text, size_t length, bool bold) {
    double wider = bold ? BOLD_WIDER : 1;
    if (length == 1 && *text >= ' ' && *text <= '~') return ADVANCES[*text - ' '] / 100.0 * wider;
    return utf8_width(text, length) == 2 ? WIDE : sign_advance(text, length) * wider;
}

double text_span(const char *text, double size, bool bold) {
    double span = 0;
    for (size_t next; *text != '\0'; text += next) {
        next = utf8_bytes(text);
        if (next == 0) next = 1;
        span += advance(text, next, bold);
    }
    return span * size;
}

size_t text_fits(const char *text, size_t length, double size, bool bold, double width) {
    size_t at = 0;
    double used = 0;
    while (at < length) {
        size_t next = utf8_bytes(text + at);
        if (next == 0) next = 1;
        used += advance(text + at, next, bold) * size;
        if (used > width + 1e-9) break;
        at += next;
    }
    return at;
}

size_t text_line(const char *text, double size, bool bold, double width) {
    size_t length = strlen(text), fits = text_fits(text, length, size, bold, width);
    if (fits == length) return length;
    for (size_t at = fits; at > 0; at--)
        if (text[at] == ' ' && !text_ties(text, at)) return at;
    return fits > 0 ? fits : length < 4 ? length : 4;
}

/* Of a width that lines are counted on: what draws them may be a little wider. */
static const double COUNTED_ON = 0.98;

int text_lines(const char *text, double size, bool bold, double width) {
    int lines = 0;
    for (; *text != '\0'; lines++) {
        text += text_line(text, size, bold, COUNTED_ON * width);
        text += *text == ' ';
    }
    return lines;
}

double line_height(double size) {
    return 1.4 * size;
}

double sheet_lines(sheet *s, mark_kind kind, box at, int most, double size, bool bold,
                   const char *text) {
    int lines = text_lines(text, size, bold, at.w);
    if (lines > most) lines = most;
    for (int line = 1; line <= lines; line++, at.y += at.h) {
        size_t length = text_line(text, size, bold, COUNTED_ON * at.w);
        char *words = need(strndup(text, line == lines ? strlen(text) : length));
        sheet_text(s, kind, at, ALIGN_LEFT, size, words)->bold = bold;
        free(words);
        text += length + (text[length] == ' ');
    }
    return at.y;
}

double sheet_paragraph(sheet *s, mark_kind kind, box at, int most, double size, bool bold,
                       const char *text) {
    bool several = most > 1 && text_lines(text, size, bold, at.w) > 1;
    at.h = several ? 1.2 * size : line_height(size);
    return sheet_lines(s, kind, at, most, size, bold, text);
}

/* ---- Tables: cells of the one table model, in type of any size ---- */

static const double BESIDE = 0.8;       /* clear of the text in a column, in heights of the type */
static const double ROUND_WORDS = 1.05; /* the same on both sides */

/* A column's share of the words over it and its neighbours. */
static double group_room(const struct table *t, size_t at) {
    for (size_t i = at + 1, count; i-- > 0;) {
        const char *group = table_group(t, i, &count);
        if (group[0] != '\0')
            return i + count > at ? (text_span(group, 1, true) + BESIDE) / (double)count : 0;
    }
    return 0;
}

static double column_room(const struct table *t, size_t at, const char *missing, bool bold) {
    char buffer[CELL_BYTES];
    double room = group_room(t, at);
    for (int line = 0; line < table_head_lines(t); line++)
        room = fmax(room, text_span(table_head(t, at, line), 1, bold));
    for (size_t row = 0; row < table_rows(t); row++)
        room = fmax(room, text_span(table_cell(t, row, at, missing, buffer), 1, bold));
    if (table_column(t, at)->kind == COLUMN_NOTES) room /= COUNTED_ON;
    return room + (at > 0 && table_column(t, at)->kind != COLUMN_NUMBERS ? ROUND_WORDS : BESIDE);
}

/* The column whose cells may stand below their rows; 0: there is none. */
static size_t notes_of(const struct table *t) {
    for (size_t i = 1; i < table_columns(t); i++)
        if (table_column(t, i)->kind == COLUMN_NOTES) return i;
    return 0;
}

/* Whether a column's cells stand below their rows. */
static bool is_below(const struct table *t, const table_style *style, size_t at) {
    return style->notes_below && at > 0 && at == notes_of(t);
}

/* Of all columns, to be freed; sum: what they need. */
static double *rooms_of(const struct table *t, const table_style *style, double *sum) {
    size_t count = table_columns(t);
    double *rooms = need(calloc(count, sizeof *rooms)), most = 0;
    for (size_t i = 0; i < count; i++)
        rooms[i] = is_below(t, style, i) ? 0 : column_room(t, i, style->missing, style->bold);
    for (size_t i = 1; i < count; i++) most = fmax(most, rooms[i]);
    *sum = 0;
    for (size_t i = 0; i < count; i++) *sum += rooms[i] = style->even && i > 0 ? most : rooms[i];
    return rooms;
}

double page_table_room(const struct table *t, const char *missing, bool even) {
    const table_style style = {.missing = missing, .bold = true, .even = even};
    double room;
    free(rooms_of(t, &style, &room));
    return room;
}

static double head_height(const struct table *t, const table_style *style) {
    int lines = table_head_lines(t) + (table_has_groups(t) ? 1 : 0) + (style->notes_below ? 1 : 0);
    return lines == 0 ? 0 : lines * style->row_h + 2 * style->rule_at;
}

/* The column of words that gives way where there is too little room; of none, the first. */
static size_t giving_way(const struct table *t, const double *rooms) {
    size_t widest = 0;
    for (size_t i = 0; i < table_columns(t); i++) {
        bool words = table_column(t, i)->kind != COLUMN_NUMBERS;
        if (words && (table_column(t, widest)->kind == COLUMN_NUMBERS || rooms[i] > rooms[widest]))
            widest = i;
    }
    return widest;
}

/* In smaller type where the width, as that of a small paper, leaves words less than they need to be
 * read. */
static table_style scaled(const struct table *t, const table_style *style, double width) {
    const double WORDS = 10; /* heights of the type */
    table_style fits = *style;
    double sum, *rooms = rooms_of(t, style, &sum);
    double gives = rooms[giving_way(t, rooms)];
    double least = style->notes_below ? sum : sum - fmax(gives - WORDS, 0);
    double scale = fmin(1, width / (least * style->type));
    free(rooms);
    fits.type *= scale;
    fits.row_h *= scale;
    return fits;
}

/* Each its share of the width. Returns the widths, to be freed. */
static double *share_out(const struct table *t, const table_style *style, double width) {
    double sum, *widths = rooms_of(t, style, &sum);
    double lacking = fmax(sum - width / style->type, 0);
    widths[giving_way(t, widths)] -= lacking;
    for (size_t i = 0; i < table_columns(t); i++) widths[i] *= width / (sum - lacking);
    return widths;
}

/* What a cell has for its text: clear of the numbers before it. */
static box cell_box(const struct table *t, const table_style *style, size_t at, box where) {
    double gap = style->gap * style->type;
    where.w -= gap;
    if (at > 0 && table_column(t, at)->kind != COLUMN_NUMBERS) where.x += gap, where.w -= gap;
    return where;
}

static mark *put_cell(const struct table *t, const table_style *style, size_t at, box where,
                      mark_kind kind, const char *text, sheet *s) {
    bool left = table_column(t, at)->kind != COLUMN_NUMBERS;
    return sheet_text(s, kind, cell_box(t, style, at, where), left ? ALIGN_LEFT : ALIGN_RIGHT,
                      style->type, text);
}

/* From line to line of a note. */
static double note_h(const table_style *style) {
    return 1.2 * style->type;
}

/* Where a note stands below its row: behind the first column. */
static box below_row(const struct table *t, const table_style *style, box row,
                     const double *widths) {
    box behind = {row.x + widths[0], row.y + style->row_h, row.w - widths[0], row.h - style->row_h};
    return cell_box(t, style, notes_of(t), behind);
}

static int note_lines(const struct table *t, const table_style *style, size_t row, size_t at,
                      double width) {
    char buffer[CELL_BYTES];
    const char *text = table_cell(t, row, at, style->missing, buffer);
    return text_lines(text, style->type, false, cell_box(t, style, at, (box){0, 0, width, 0}).w);
}

static double row_height(const struct table *t, const table_style *style, size_t row,
                         const double *widths) {
    int most = 1, below = 0;
    double width = 0;
    for (size_t i = 1; i < table_columns(t); i++) width += widths[i];
    for (size_t i = 0; i < table_columns(t); i++) {
        if (table_column(t, i)->kind != COLUMN_NOTES) continue;
        bool under = is_below(t, style, i);
        int lines = note_lines(t, style, row, i, under ? width : widths[i]);
        if (under)
            below = lines;
        else if (lines > most)
            most = lines;
    }
    return style->row_h + (most - 1 + below) * note_h(style);
}

/* Where a small paper leaves notes a narrow column, in which one would take more lines than two or
 * smaller type than can be read, they stand below their rows over the whole width. */
static table_style fitted(const struct table *t, const table_style *style, double width) {
    enum { LINES_BESIDE = 2 };
    const double NARROW = 14; /* heights of the type: some five words */
    const double READ = 7;    /* points; common practice, no source */
    const table_style beside = scaled(t, style, width);
    table_style below = *style;
    size_t notes = notes_of(t);
    if (notes == 0) return beside;
    double *widths = share_out(t, &beside, width);
    bool narrow = widths[notes] < NARROW * beside.type;
    for (size_t row = 0; row < table_rows(t) && narrow && !below.notes_below; row++)
        below.notes_below = note_lines(t, &beside, row, notes, widths[notes]) > LINES_BESIDE;
    free(widths);
    below.notes_below = below.notes_below || beside.type < fmin(READ, style->type);
    return below.notes_below ? scaled(t, &below, width) : beside;
}

/* A table of few columns is no wider than a line of it can be followed; one with notes has room for
 * them. */
static double table_width(const struct table *t, const table_style *style, double width) {
    double sum;
    if (style->stretch == 0 || notes_of(t) > 0) return width;
    free(rooms_of(t, style, &sum));
    return fmin(width, (sum + style->stretch * (double)table_columns(t)) * style->type);
}

double page_table_height(const struct table *t, const table_style *style, double width) {
    width = table_width(t, style, width);
    const table_style fits = fitted(t, style, width);
    double *widths = share_out(t, &fits, width), h = head_height(t, &fits);
    for (size_t row = 0; row < table_rows(t); row++) h += row_height(t, &fits, row, widths);
    free(widths);
    return h;
}

/* What columns share, over them with a line below. Returns where it ends. */
static double put_groups(const struct table *t, const table_style *style, box at,
                         const double *widths, sheet *s) {
    if (!table_has_groups(t)) return at.y;
    double gap = 2 * style->gap * style->type, end = at.y + style->row_h;
    for (size_t i = 0, count; i < table_columns(t); i++) {
        const char *group = table_group(t, i, &count);
        box over = {at.x + gap, at.y, -gap, style->row_h};
        for (size_t k = i; k < i + count; k++) over.w += widths[k];
        at.x += widths[i];
        if (group[0] == '\0') continue;
        sheet_text(s, MARK_HEADING, over, ALIGN_CENTRE, style->type, group)->bold = style->bold;
        sheet_straight(s, MARK_RULE, style->rule / 2, style->rule_tone, (place){over.x, end},
                       (place){over.x + over.w, end});
    }
    return end;
}

static void put_heads(const struct table *t, const table_style *style, box at, const double *widths,
                      sheet *s) {
    at.y = put_groups(t, style, at, widths, s);
    double begin = at.x;
    for (size_t i = 0; i < table_columns(t); i++) {
        box where = {at.x, at.y, widths[i], style->row_h};
        for (int line = 0; line < table_head_lines(t) && !is_below(t, style, i);
             line++, where.y += style->row_h) {
            const char *text = table_head(t, i, line);
            bool unit = text == table_column(t, i)->unit;
            put_cell(t, style, i, where, MARK_HEADING, text, s)->bold = style->bold && !unit;
        }
        at.x += widths[i];
    }
    if (!style->notes_below) return;
    box row = {begin, at.y + (table_head_lines(t) - 1) * style->row_h, at.x - begin,
               2 * style->row_h};
    bytes words = {0};
    for (int line = 0; line < table_head_lines(t); line++)
        bytes_print(&words, "%s%s", words.count > 0 ? " " : "", table_head(t, notes_of(t), line));
    sheet_text(s, MARK_HEADING, below_row(t, style, row, widths), ALIGN_LEFT, style->type,
               words.data)
        ->bold = style->bold;
    bytes_free(&words);
}

static void put_row(const struct table *t, const table_style *style, size_t row, box at,
                    const double *widths, sheet *s) {
    char buffer[CELL_BYTES];
    double rise = (style->row_h - 1.17 * style->type) / 2; /* lines begin where a single one does */
    const box whole = at;
    if (row % 2 == 1) sheet_box(s, MARK_SHADE, at, TONE_SHADE, PATTERN_NONE);
    for (size_t i = 0; i < table_columns(t); i++) {
        box where = {at.x, at.y, widths[i], style->row_h};
        const char *text = table_cell(t, row, i, style->missing, buffer);
        if (is_below(t, style, i)) {
            box under = below_row(t, style, whole, widths);
            under.y -= rise;
            if (text[0] != '\0')
                sheet_text(s, MARK_CELL, under, ALIGN_LEFT, style->type, text)->wraps = true;
            continue;
        }
        mark *m = put_cell(t, style, i, where, MARK_CELL, text, s);
        m->bold = style->bold && (i == 0 || row == style->bold_row);
        m->wraps = table_column(t, i)->kind == COLUMN_NOTES && at.h > style->row_h;
        if (m->wraps) m->box.y += rise, m->box.h = at.h - rise;
        at.x += widths[i];
    }
}

size_t page_table_from(const struct table *t, const table_style *wanted, size_t row, box *at,
                       sheet *s) {
    const double width = table_width(t, wanted, at->w);
    const table_style fits = fitted(t, wanted, width), *style = &fits;
    double *widths = share_out(t, style, width), y = at->y + head_height(t, style);
    double bottom = at->y + at->h + 1e-6;
    if (table_head_lines(t) > 0) {
        double rule = y - style->rule_at;
        put_heads(t, style, *at, widths, s);
        sheet_straight(s, MARK_RULE, style->rule, style->rule_tone, (place){at->x, rule},
                       (place){at->x + width, rule});
    }
    for (; row < table_rows(t); row++) {
        double h = row_height(t, style, row, widths);
        if (y + h > bottom) break;
        put_row(t, style, row, (box){at->x, y, width, h}, widths, s);
        y += h;
    }
    free(widths);
    at->h -= y - at->y;
    at->y = y;
    return row;
}

double page_table(const struct table *t, const table_style *style, box at, sheet *s) {
    at.h = INFINITY;
    page_table_from(t, style, 0, &at, s);
    return at.y;
}
