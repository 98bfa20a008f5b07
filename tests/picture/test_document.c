/* Headed tables over as many pages as they take.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "picture/document.h"
#include "suites.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct table *numbers(size_t rows) {
    static const column COLUMNS[] = {{NULL, "entry", "", 0, 0, COLUMN_WORDS},
                                     {NULL, "note", "", 0, 0, COLUMN_NOTES}};
    struct table *t = table_new(COLUMNS, 2);
    for (size_t i = 0; i < rows; i++) {
        char text[32];
        snprintf(text, sizeof text, "2026-%zu", i + 1);
        table_row(t, CELLS(V((const char *)text), V(i % 7 == 0 ? "a word" : NULL)));
    }
    return t;
}

/* The rows found on all pages, each once and in order, above the pages' ends; the headings beside them. */
static size_t rows_on(const pages *p, size_t *headings) {
    size_t found = 0;
    *headings = 0;
    for (size_t page = 0; page < p->count; page++)
        for (size_t i = 0; i < p->sheets[page].count; i++) {
            const mark *m = &p->sheets[page].marks[i];
            if (m->shape != SHAPE_TEXT) continue;
            CHECK(m->box.y >= p->margin && m->box.y + m->box.h <= p->height - p->margin + 1e-6);
            if (strncmp(m->text, "Entries", strlen("Entries")) == 0) ++*headings;
            if (strncmp(m->text, "2026-", 5) == 0) CHECK((size_t)atoi(m->text + 5) == ++found);
        }
    return found;
}

static void a_long_table_goes_on_below_its_heads_on_further_pages(void) {
    static const size_t ROWS[] = {1, 20, 30, 40, 250};
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        size_t headings;
        page_part part = {.heading = "Entries", .table = numbers(ROWS[i])};
        pages p = {.title = "Account", .width = 472, .height = 372, .margin = 36};
        page_begin(&p);
        pages_put_rows(&p, &part);
        CHECK(rows_on(&p, &headings) == ROWS[i]);
        CHECK(headings == p.count && p.count >= 1 + ROWS[i] / 31);
        pages_number(&p);
        const sheet *last = &p.sheets[p.count - 1];
        if (ROWS[i] == 250) {
            char words[32];
            snprintf(words, sizeof words, "page %zu of %zu", p.count, p.count);
            CU_ASSERT_STRING_EQUAL(last->marks[last->count - 1].text, words);
        }
        pages_free(&p);
        page_part_free(&part);
    }
}

CU_TestInfo document_tests[] = {
    {"a long table goes on below its heads on further pages",
     a_long_table_goes_on_below_its_heads_on_further_pages},
    CU_TEST_INFO_NULL,
};
