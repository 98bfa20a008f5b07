/* Tables and sentences of a page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "commands/report/report.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

struct table *report_table(report_part *part, const char *heading, const column *columns,
                           size_t count) {
    part->heading = heading;
    return part->table = table_new(columns, count);
}

void page_sentence(report_sentences *s, const char *format, ...) {
    va_list list;
    va_start(list, format);
    if (vasprintf(&s->text[s->count++], format, list) < 0) need(NULL);
    va_end(list);
}

static void free_sentences(report_sentences *s) {
    for (size_t i = 0; i < s->count; i++) free(s->text[i]);
}

void report_free(report *r) {
    free(r->facts);
    table_free(r->jars.table);
    table_free(r->fractions.table);
    table_free(r->balance.table);
    table_free(r->dilution.table);
    table_free(r->uncertainty.table);
    free_sentences(&r->notes);
    free_sentences(&r->cautions);
    free_sentences(&r->sources);
}
