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

/* The rows found on all pages, each once and in order, above the pages' ends; the headings beside
 * them. */
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

static struct table *with_notes(const char *note) {
    static const column COLUMNS[] = {{NULL, "jar", "", 0, 0, COLUMN_NUMBERS},
                                     {NULL, "reading", "% vol", 0, 1, COLUMN_NUMBERS},
                                     {NULL, "temperature", "°C", 0, 1, COLUMN_NUMBERS},
                                     {NULL, "volume", "L", 0, 3, COLUMN_NUMBERS},
                                     {NULL, "pure alcohol", "L so far", 0, 3, COLUMN_NUMBERS},
                                     {NULL, "fraction", "", 0, 0, COLUMN_WORDS},
                                     {NULL, "note", "", 0, 0, COLUMN_NOTES}};
    struct table *t = table_new(COLUMNS, 7);
    for (size_t i = 0; i < 6; i++)
        table_row(t, CELLS(V((double)i), V(70.5), V(22.0), V(0.25), V(1.106), V("foreshots"),
                           V(i % 2 == 0 ? note : NULL)));
    return t;
}

/* On a small paper a long note stands below its row, behind the first column; a short one, and any on
 * a wide paper, beside it. No cell leaves the table, none is cut, and the type stays as large. */
static void long_notes_have_room_on_a_small_paper(void) {
    static const char LONG[] =
        "the nose of this jar was of pears and of wet cardboard and it lay long on the tongue";
    static const struct {
        const char *note;
        double width;
        bool below;
    } GIVEN[] = {{LONG, 300, true}, {LONG, 533, false}, {"pears", 300, false}};
    for (size_t i = 0; i < 3; i++) {
        const table_style style = {
            .type = 7.4, .row_h = 9.2, .gap = 0.5, .rule = 0.6, .missing = ""};
        struct table *t = with_notes(GIVEN[i].note);
        size_t found = 0;
        sheet s;
        sheet_begin(&s, 600, 600);
        double end = page_table(t, &style, (box){20, 20, GIVEN[i].width, 0}, &s);
        CHECK_NEAR(end - 20, page_table_height(t, &style, GIVEN[i].width), 1e-6);
        for (size_t k = 0; k < s.count; k++) {
            const mark *m = &s.marks[k];
            if (m->shape != SHAPE_TEXT) continue;
            CHECK(m->box.x >= 20 && m->box.x + m->box.w <= 20 + GIVEN[i].width + 1e-6);
            CHECK_NEAR(m->size, 7.4, 1e-9);
            if (strcmp(m->text, GIVEN[i].note) != 0) continue;
            found++;
            CHECK((m->box.x < 20 + GIVEN[i].width / 4) == GIVEN[i].below);
            CHECK(text_lines(m->text, m->size, false, m->box.w) * 1.2 * m->size <= m->box.h + 2);
        }
        CHECK(found == 3);
        sheet_free(&s);
        table_free(t);
    }
}

/* A line of few columns can be followed. */
static void a_table_of_two_columns_is_no_wider_than_it_needs(void) {
    static const column COLUMNS[] = {{NULL, "", "", 0, 0, COLUMN_WORDS},
                                     {NULL, "pure alcohol", "L", 0, 3, COLUMN_NUMBERS}};
    page_part part = {.heading = "Distilling", .table = table_new(COLUMNS, 2)};
    size_t found = 0;
    sheet s;
    table_row(part.table, CELLS(V("Left in the boilers"), V(0.054)));
    sheet_begin(&s, 600, 600);
    page_put_part(&part, (box){31, 31, 533, 500}, &s);
    for (size_t i = 0; i < s.count; i++) {
        const mark *m = &s.marks[i];
        if (m->shape != SHAPE_TEXT || strcmp(m->text, "0.054") != 0) continue;
        CHECK(m->box.x + m->box.w < 31 + 533 / 2.0);
        found++;
    }
    CHECK(found == 1);
    sheet_free(&s);
    page_part_free(&part);
}

/* Counted and drawn by one rule, so that no blank line stays where the count was one too high. */
static void a_paragraph_has_as_many_lines_as_it_is_high(void) {
    static const char TITLE[] = "Forecast: 1 stage, reflux 0, 101.33 kPa, of the October cider";
    for (double width = 110; width < 500; width += 0.5)
        for (int most = 1; most <= 4; most++) {
            sheet s;
            char all[sizeof TITLE] = "";
            sheet_begin(&s, 600, 600);
            double end =
                sheet_paragraph(&s, MARK_TITLE, (box){31, 31, width, 0}, most, 13, true, TITLE);
            CHECK(s.count >= 1 && s.count <= (size_t)most);
            for (size_t i = 0; i < s.count; i++) {
                const mark *m = &s.marks[i];
                CHECK(!m->wraps && m->text[0] != '\0' && m->text[0] != ' ');
                CHECK(i + 1 == s.count || text_span(m->text, 13, true) <= width);
                snprintf(all + strlen(all), sizeof all - strlen(all), "%s%s", i > 0 ? " " : "",
                         m->text);
            }
            CHECK(strcmp(all, TITLE) == 0);
            const mark *last = &s.marks[s.count - 1];
            CHECK_NEAR(last->box.y + last->box.h, end, 1e-9);
            sheet_free(&s);
        }
}

CU_TestInfo document_tests[] = {
    {"a paragraph has as many lines as it is high", a_paragraph_has_as_many_lines_as_it_is_high},
    {"long notes have room on a small paper", long_notes_have_room_on_a_small_paper},
    {"a table of two columns is no wider than it needs",
     a_table_of_two_columns_is_no_wider_than_it_needs},
    {"a long table goes on below its heads on further pages",
     a_long_table_goes_on_below_its_heads_on_further_pages},
    CU_TEST_INFO_NULL,
};
