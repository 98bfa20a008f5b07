/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart_text.h"
#include "answer/characters.h"
#include "input/part.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 78, LEFT = 8, PLOT = WIDTH - LEFT, ROWS = 15, TOGETHER_ROWS = 13, HEAD_ROWS = 6 };

static const char LETTERS[JL_FRACTIONS] = {
    [JL_UNDECIDED] = ':', [JL_FORESHOTS] = 'x', [JL_HEADS] = '/',
    [JL_HEARTS] = '#',    [JL_TAILS] = '\\',
};
static const char EXPECTED = 'o', REST = '~', HEAD = '*';

/* A text that is too long ends in a mark, which without UTF-8 is "...". */
static void put_line(bytes *b, const char *text) {
    char *clean = clean_text(text);
    int used;
    bool whole = clean[text_within(clean, WIDTH, &used)] == '\0';
    bytes_add(b, clean, text_within(clean, whole ? WIDTH : WIDTH - 3, &used));
    bytes_print(b, whole ? "\n" : "…\n");
    free(clean);
}

/* ---- A grid of letters ---- */

typedef struct grid {
    axis x, y;
    int rows;
    char cells[ROWS][PLOT + 1];
} grid;

static void grid_begin(grid *g, double volume_l, double low, double high, int rows) {
    g->rows = rows;
    g->x = axis_for(0, volume_l, 8, false);
    g->y = axis_for(low, high, rows / 2, true);
    for (int row = 0; row < rows; row++) {
        memset(g->cells[row], ' ', PLOT);
        g->cells[row][PLOT] = '\0';
    }
}

/* The row of a value, counted from above; the lowest row's middle is the axis' low end. */
static int row_of(const grid *g, double value) {
    double share = (value - g->y.low) / (g->y.high - g->y.low);
    return g->rows - 1 - (int)lround(share * (g->rows - 1));
}

static double volume_at(const grid *g, int column) {
    return g->x.high * (column + 0.5) / PLOT;
}

static int column_of(const grid *g, double volume_l) {
    int column = (int)floor(volume_l / g->x.high * PLOT);
    return column < 0 ? 0 : column >= PLOT ? PLOT - 1 : column;
}

static void fill_jars(grid *g, const run_picture *r) {
    size_t jar = 0;
    for (int column = 0; column < PLOT; column++) {
        while (jar < r->count && r->end_l[jar] < volume_at(g, column)) jar++;
        if (jar == r->count) return;
        if (isnan(jl_spirit_strength_pct(r->jars[jar].spirit))) continue;
        for (int row = row_of(g, jl_spirit_strength_pct(r->jars[jar].spirit)); row < g->rows; row++)
            g->cells[row][column] = LETTERS[r->jars[jar].fraction];
    }
}

static void fill_expected(grid *g, const run_picture *r) {
    size_t i = 0;
    for (int column = 0; column < PLOT; column++) {
        while (i < r->expected_count && r->expected[i].end_l < volume_at(g, column)) i++;
        if (i == r->expected_count) return;
        g->cells[row_of(g, r->expected[i].strength_pct)][column] = EXPECTED;
    }
}

/* The same without a forecast in the log. */
static void fill_slices(grid *g, const run_picture *r) {
    if (r->expected_count > 0) return;
    for (int column = 0; column < PLOT; column++) {
        double slice = volume_at(g, column) / r->slice_l;
        if (!(slice < (double)r->slice_count)) return;
        g->cells[row_of(g, r->slices[(size_t)slice].value)][column] = EXPECTED;
    }
}

/* Between what each jar to come lies. */
static void fill_rest(grid *g, const run_picture *r) {
    double from_l = picture_volume_l(r);
    for (int column = 0; column < PLOT; column++) {
        double jar = (volume_at(g, column) - from_l) / r->rest_jar_l;
        if (!(jar >= 0 && jar < (double)r->rest_count)) continue;
        const jl_estimate *pct = &r->rest_pct[(size_t)jar];
        for (int row = row_of(g, pct->high); row <= row_of(g, pct->low); row++)
            g->cells[row][column] = REST;
    }
}

/* The tick whose row this is, or false. */
static bool tick_at(const grid *g, int row, char *label, size_t size) {
    for (size_t i = 0; i < axis_ticks(&g->y); i++)
        if (row_of(g, axis_tick(&g->y, i)) == row) {
            axis_label(&g->y, axis_tick(&g->y, i), label, size);
            return true;
        }
    return false;
}

static void put_grid(const grid *g, bytes *b) {
    char label[16];
    for (int row = 0; row < g->rows; row++) {
        bool tick = tick_at(g, row, label, sizeof label);
        int end = PLOT;
        while (end > 0 && g->cells[row][end - 1] == ' ') end--;
        if (end > 0)
            bytes_print(b, "%6s  %.*s\n", tick ? label : "", end, g->cells[row]);
        else
            bytes_print(b, tick ? "%6s\n" : "%s\n", tick ? label : "");
    }
}

static void put_x_axis(const grid *g, bytes *b) {
    char line[WIDTH + 16], numbers[WIDTH + 32], label[16];
    memset(line, ' ', sizeof line);
    memset(numbers, ' ', sizeof numbers);
    int free_from = 0, last = 0, marked = 0;
    for (size_t i = 0; i < axis_ticks(&g->x); i++) {
        double value = axis_tick(&g->x, i);
        int at = LEFT + column_of(g, value);
        axis_label(&g->x, value, label, sizeof label);
        int length = (int)strlen(label), from = at - length / 2;
        line[at] = '\'';
        marked = at + 1;
        if (from + length > WIDTH) from = WIDTH - length;
        if (from < free_from) continue;
        memcpy(numbers + from, label, (size_t)length);
        last = from + length;
        free_from = last + 1;
    }
    bytes_print(b, "%.*s\n%.*s\n", marked, line, last, numbers);
}

/* ---- The chart ---- */

static void put_letters(const run_picture *r, bytes *b) {
    bool logged[JL_FRACTIONS] = {false};
    const char *gap = "";
    for (size_t i = 0; i < r->count; i++) logged[r->jars[i].fraction] = true;
    bytes_print(b, "%*s", LEFT, "");
    for (int f = 0; f < JL_FRACTIONS; f++) {
        int letter = (f + 1) % JL_FRACTIONS; /* not decided comes last */
        if (!logged[letter]) continue;
        bytes_print(b, "%s%c %s", gap, LETTERS[letter],
                    fraction_word((jl_fraction)letter, r->charge));
        gap = "  ";
    }
    if (r->expected_count + r->slice_count > 0) {
        bytes_print(b, "%s%c forecast", gap, EXPECTED);
        gap = "  ";
    }
    if (r->rest_count > 0) bytes_print(b, "%s%c to come, 95 %%", gap, REST);
    bytes_print(b, "\n");
}

static void put_head_grid(const run_picture *r, double volume_l, bytes *b) {
    grid g;
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < r->count; i++) {
        low = fmin(low, r->jars[i].head_c);
        high = fmax(high, r->jars[i].head_c);
    }
    if (!(high >= low)) return;
    grid_begin(&g, volume_l, low, high, HEAD_ROWS);
    for (size_t i = 0; i < r->count; i++)
        if (!isnan(r->jars[i].head_c))
            g.cells[row_of(&g, r->jars[i].head_c)][column_of(&g, r->end_l[i])] = HEAD;
    bytes_print(b, "\nHead temperature at the end of each jar, °C\n");
    put_grid(&g, b);
    put_x_axis(&g, b);
}

static void put_pure(const run_picture *r, bytes *b) {
    enum { BAR = 32 };
    char bar[BAR + 1] = "................................";
    if (!(r->charge_pure_l > 0)) return;
    double share = picture_pure_l(r) / r->charge_pure_l;
    int filled = (int)lround(fmin(fmax(share, 0), 1) * BAR);
    memset(bar, '#', (size_t)filled);
    bytes_print(b, "\nPure alcohol  %.2f of %.2f L at 20 °C  [%s]\n", picture_pure_l(r),
                r->charge_pure_l, bar);
}

void chart_text(const run_picture *r, double volume_l, bytes *b) {
    grid g;
    char words[256];
    put_line(b, r->title);
    picture_words_charge(r, words, sizeof words);
    if (words[0] != '\0') put_line(b, words);
    picture_words_collected(r, words, sizeof words);
    put_line(b, words);
    picture_words_summary(r, words, sizeof words);
    if (r->count > 0) put_line(b, words);
    if (r->goes_on) put_line(b, PICTURE_NEVER_ALONE);
    grid_begin(&g, volume_l, 0, 100, ROWS); /* filled from nothing up */
    fill_jars(&g, r);
    fill_expected(&g, r);
    fill_slices(&g, r);
    fill_rest(&g, r);
    bytes_print(b, "\n%s\n", PICTURE_STRENGTH);
    put_grid(&g, b);
    put_x_axis(&g, b);
    bytes_print(b, "%*s%s\n", LEFT, "", PICTURE_VOLUME);
    put_letters(r, b);
    put_head_grid(r, volume_l, b);
    put_pure(r, b);
}

/* ---- Several runs on the same axes ---- */

static const char SEVERAL = '&';

/* The first jar that ends behind a place on the axis; count: none does. */
static size_t jar_at(const run_picture *r, compare_over over, double at) {
    size_t jar = 0;
    while (jar < r->count && !(compare_end(r, over, jar + 1) >= at)) jar++;
    return jar;
}

static void fill_run(grid *g, const run_picture *r, compare_over over, char letter) {
    for (int column = 0; column < PLOT; column++) {
        size_t jar = jar_at(r, over, volume_at(g, column));
        if (jar == r->count) return;
        double pct = jl_spirit_strength_pct(r->jars[jar].spirit);
        if (isnan(pct)) continue;
        char *cell = &g->cells[row_of(g, pct)][column];
        *cell = *cell == ' ' ? letter : SEVERAL;
    }
}

/* "b  19 jars, 4.46 L, pure alcohol 2.56 L (94 %): Apples" */
static void put_run(const run_picture *r, char letter, bytes *b) {
    char words[128], line[512];
    picture_words_brief(r, words, sizeof words);
    snprintf(line, sizeof line, "%c  %s: %s", letter, words, r->title);
    put_line(b, line);
}

void chart_text_together(const run_picture *runs, size_t count, compare_over over, double volume_l,
                         bytes *b) {
    grid g;
    char words[128];
    bool goes_on = false, forecast = over == OVER_VOLUME && runs[0].slice_count > 0;
    compare_words(count, over, words, sizeof words);
    put_line(b, words);
    for (size_t i = 0; i < count; i++) {
        put_run(&runs[i], (char)('a' + i), b);
        goes_on = goes_on || runs[i].goes_on;
    }
    if (goes_on) put_line(b, PICTURE_NEVER_ALONE);
    grid_begin(&g, over == OVER_VOLUME ? volume_l : 100, 0, 100, TOGETHER_ROWS);
    if (forecast) fill_slices(&g, &runs[0]);
    for (size_t i = 0; i < count; i++) fill_run(&g, &runs[i], over, (char)('a' + i));
    bytes_print(b, "\n%s\n", PICTURE_STRENGTH);
    put_grid(&g, b);
    put_x_axis(&g, b);
    bytes_print(b, "%*s%s\n%*s%c several runs", LEFT, "", compare_axis(over), LEFT, "", SEVERAL);
    if (forecast) bytes_print(b, "  %c forecast of a", EXPECTED);
    bytes_print(b, "\n");
}
