/* Tables and sentences of a page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "commands/report/report.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

void page_table(report_table *t, const char *heading, const report_column *columns, size_t count) {
    *t = (report_table){.heading = heading, .columns = columns, .columns_count = count};
}

static void take(report_table *t, char *text) {
    if (t->count == t->room) {
        t->room = t->room == 0 ? 64 : 2 * t->room;
        t->cells = need(realloc(t->cells, t->room * sizeof *t->cells));
    }
    t->cells[t->count++] = text;
}

void page_cell(report_table *t, const char *format, ...) {
    char *text;
    va_list list;
    va_start(list, format);
    if (vasprintf(&text, format, list) < 0) need(NULL);
    va_end(list);
    char *clean = clean_text(text);
    free(text);
    take(t, clean);
}

void page_number(report_table *t, double value, int decimals) {
    char text[48];
    if (jl_decimal_write(value, decimals, text, sizeof text) != JL_OK) text[0] = '\0';
    page_cell(t, "%s", text);
}

size_t page_rows(const report_table *t) {
    return t->columns_count == 0 ? 0 : t->count / t->columns_count;
}

void page_sentence(report_sentences *s, const char *format, ...) {
    va_list list;
    va_start(list, format);
    if (vasprintf(&s->text[s->count++], format, list) < 0) need(NULL);
    va_end(list);
}

static void free_table(report_table *t) {
    for (size_t i = 0; i < t->count; i++) free(t->cells[i]);
    free(t->cells);
}

static void free_sentences(report_sentences *s) {
    for (size_t i = 0; i < s->count; i++) free(s->text[i]);
}

void report_free(report *r) {
    free(r->facts);
    free_table(&r->jars);
    free_table(&r->fractions);
    free_table(&r->balance);
    free_table(&r->dilution);
    free_table(&r->uncertainty);
    free_sentences(&r->notes);
    free_sentences(&r->cautions);
    free_sentences(&r->sources);
}
