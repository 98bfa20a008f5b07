/* The one table, as text, JSON and CSV.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/json.h"
#include "answer/table.h"
#include "picture/suites.h"

#include <locale.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef void set_rows(struct table *t, FILE *to);

/* What a table is as text, compared; frees nothing but what it made. */
static void check_text(struct table *t, set_rows *set, const char *want) {
    char *text = NULL;
    size_t size = 0;
    setlocale(LC_CTYPE, "C.UTF-8");
    FILE *to = open_memstream(&text, &size);
    set(t, to);
    fclose(to);
    if (strcmp(text, want) != 0) printf("\n%s--- want\n%s---", text, want);
    CU_ASSERT_STRING_EQUAL(text, want);
    free(text);
}

static void csv(struct table *t, FILE *to) {
    table_csv(t, to);
}

static const column COLUMNS[] = {
    {"jar", "jar", "", 3, 0, COLUMN_NUMBERS},   {"volume_l", "volume", "l", 7, 3, COLUMN_NUMBERS},
    {"head_c", NULL, "", 0, 1, COLUMN_NUMBERS}, {NULL, "fraction", "", 9, 0, COLUMN_WORDS},
    {"note", "note", "", 0, 0, COLUMN_NOTES},
};

static void add_row(struct table *t, double jar, double volume_l, const char *fraction,
                    const char *note) {
    table_add_number(t, jar);
    table_add_number(t, volume_l);
    table_add_number(t, 78.25);
    table_add_text(t, fraction);
    table_add_text(t, note);
}

static struct table *some_jars(void) {
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    add_row(t, 1, 0.5, "heads", "sharp");
    add_row(t, 12, NAN, "hearts", NULL);
    return t;
}

static void columns_are_aligned_below_two_lines_of_heads(void) {
    struct table *t = some_jars();
    check_text(t, table_text_rows,
               "jar   volume  fraction   note\n"
               "           l\n"
               "  1    0.500  heads      sharp\n"
               " 12        -  hearts     -\n");
    table_free(t);
}

static void numbers_widen_their_column(void) {
    struct table *t = some_jars();
    add_row(t, 10000, 123456.5, "tails", "");
    check_text(t, table_text_rows,
               "  jar      volume  fraction   note\n"
               "                l\n"
               "    1       0.500  heads      sharp\n"
               "   12           -  hearts     -\n"
               "10000  123456.500  tails\n");
    table_free(t);
}

static void words_that_are_too_wide_end_in_a_mark(void) {
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    add_row(t, 1, 0.5, "foreshots", "nine fit");
    add_row(t, 2, 0.5, "foreshots!", "ten do not");
    /* Each of these letters takes two columns of a screen: U+6885 is a plum. */
    add_row(t, 3, 0.5, "\u6885\u6885\u6885\u6885\u6885", "wide");
    add_row(t, 4, 0.5, "e\u0301t\u00e9", "an accent of its own takes none");
    check_text(t, table_text_rows,
               "jar   volume  fraction   note\n"
               "           l\n"
               "  1    0.500  foreshots  nine fit\n"
               "  2    0.500  foreshot…  ten do not\n"
               "  3    0.500  \u6885\u6885\u6885\u6885…  wide\n"
               "  4    0.500  e\u0301t\u00e9        an accent of its own takes none\n");
    table_free(t);
}

static void notes_go_on_in_further_lines_of_their_row(void) {
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    add_row(t, 1, 0.5, "heads",
            "sharp at first, then pears, and from the middle on clean, so hearts");
    add_row(t, 2, 0.5, "hearts", "clean");
    check_text(t, table_text_rows,
               "jar   volume  fraction   note\n"
               "           l\n"
               "  1    0.500  heads      sharp at first, then pears, and from the middle on\n"
               "                         clean, so hearts\n"
               "  2    0.500  hearts     clean\n");
    table_free(t);
}

static void no_byte_of_a_cell_moves_the_cursor(void) {
    struct table *t = table_new(COLUMNS + 3, 2);
    table_add_text(t, "a\x1b[2J");
    table_add_text(t, "\xff\xc3 \xc2\x85");
    check_text(t, table_text_rows,
               "fraction   note\n"
               "a\\x1b[2J   \\xff\\xc3 \\xc2\\x85\n");
    table_free(t);
}

static void rows_that_come_later_go_on_below(void) {
    struct table *t = some_jars();
    check_text(t, table_text_rows,
               "jar   volume  fraction   note\n"
               "           l\n"
               "  1    0.500  heads      sharp\n"
               " 12        -  hearts     -\n");
    table_forget(t);
    add_row(t, 3, 0.25, "tails", NULL);
    check_text(t, table_text_rows, "  3    0.250  tails      -\n");
    table_free(t);
}

static void a_table_too_wide_for_a_page_stands_in_blocks(void) {
    static const column WIDE[] = {
        {"a", "first", "", 10, 0, COLUMN_NUMBERS},
        {"b", "second", "l", 40, 1, COLUMN_NUMBERS},
        {"c", "third", "", 40, 1, COLUMN_NUMBERS},
    };
    struct table *t = table_new(WIDE, 3);
    for (int i = 1; i <= 3; i++) table_add_number(t, i);
    check_text(t, table_text_blocks,
               "\n     first                                    second\n"
               "                                                   l\n"
               "         1                                       2.0\n"
               "\n     first                                     third\n\n"
               "         1                                       3.0\n");
    table_free(t);
}

static void heads_have_the_lines_that_they_need(void) {
    static const column SOME[] = {
        {"jar", "jar", "", 3, 0, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"cumulative_l", "pure alcohol\nso far", "L", 7, 3, COLUMN_NUMBERS},
        {NULL, "cut\nso far", "", 0, 0, COLUMN_WORDS},
    };
    struct table *t = table_new(SOME, sizeof SOME / sizeof SOME[0]);
    table_add_number(t, 1);
    table_add_number(t, 78.4);
    table_add_number(t, 0.25);
    table_add_text(t, "hearts");
    check_text(t, table_text_rows,
               "               pure alcohol  cut\n"
               "jar  strength        so far  so far\n"
               "        % vol             L\n"
               "  1      78.4         0.250  hearts\n");
    table_free(t);
}

static void jars_that_follow_each_other_are_ranges(void) {
    static const column ONE[] = {{"jars", "jars", "", 0, 0, COLUMN_WORDS}};
    static const jl_jar JARS[] = {
        {.number = 1, .name = "1"}, {.number = 2, .name = "2"},   {.number = 3, .name = "3"},
        {.number = 7, .name = "7"}, {.number = 8, .name = "8"},   {.number = 8, .name = "8a"},
        {.number = 9, .name = "9"}, {.number = 10, .name = "10"},
    };
    const jl_jar *const all[] = {JARS,     JARS + 1, JARS + 2, JARS + 3,
                                 JARS + 4, JARS + 5, JARS + 6, JARS + 7};
    const jl_jar *const without[] = {JARS + 4, JARS + 6, JARS + 7};
    struct table *t = table_new(ONE, 1);
    table_row(t, CELLS(v_jars(all, sizeof all / sizeof all[0]), v_jars(without, 3), v_jars(NULL, 0),
                       v_jar_range(3, 5), v_range(0xffffffff, 0xffffffff), v_range(2, 1)));
    check_text(t, table_text_rows, "jars\n1-3, 7-8, 8a, 9-10\n8, 9-10\n\n3-5\n4294967295\n\n");
    check_text(t, table_json_rows,
               "\n{\"jars\":[\"1\",\"2\",\"3\",\"7\",\"8\",\"8a\",\"9\",\"10\"]},"
               "\n{\"jars\":[\"8\",\"9\",\"10\"]},\n{\"jars\":[]},"
               "\n{\"jars\":[\"3\",\"4\",\"5\"]},"
               "\n{\"jars\":[4294967295]},\n{\"jars\":[]}");
    table_free(t);
}

static void json_has_what_has_a_key(void) {
    struct table *t = some_jars();
    check_text(t, table_json_rows,
               "\n{\"jar\":1,\"volume_l\":0.5,\"head_c\":78.25,\"note\":\"sharp\"},"
               "\n{\"jar\":12,\"volume_l\":null,\"head_c\":78.25,\"note\":null}");
    table_free(t);
}

static void csv_is_quoted_where_it_must_be(void) {
    struct table *t = some_jars();
    add_row(t, 3, 1.0 / 3, "tails", "\"wet\", dull");
    table_csv_decimals(t, 1, 5);
    check_text(t, csv,
               "jar,volume_l,head_c,note\r\n"
               "1,0.50000,78.2,sharp\r\n"
               "12,,78.2,\r\n"
               "3,0.33333,78.2,\"\"\"wet\"\", dull\"\r\n");
    table_free(t);
}

static void json_texts_are_utf8(struct table *unused, FILE *to) {
    (void)unused;
    json_text(to, "a\"\\\n\x01\x7f\u202e \u00b0 \xff\xe2\x82 \xed\xa0\x80");
}

static void json_texts_hold_no_other_bytes(void) {
    check_text(
        NULL, json_texts_are_utf8,
        "\"a\\\"\\\\\\n\\u0001\\u007F\\u202E \u00b0 \ufffd\ufffd\ufffd \ufffd\ufffd\ufffd\"");
}

static void numbers(struct table *unused, FILE *to) {
    static const double ALL[] = {
        0,       -0.0, 12,       1e14,  0.1,          1.0 / 3, 1e-5,     2.0 / 3e7,      1e20,
        1.25e15, NAN,  INFINITY, -72.5, 3.0000000001, 1e-4,    99999.96, 2.9999999999999};
    (void)unused;
    for (size_t i = 0; i < sizeof ALL / sizeof ALL[0]; i++) {
        json_number(to, ALL[i]);
        fputc(' ', to);
    }
}

static void json_numbers_have_twelve_digits(void) {
    check_text(NULL, numbers,
               "0 0 12 100000000000000 0.1 0.333333333333 1e-5 6.66666666667e-8 1e20 1.25e15 null "
               "null -72.5 3.0000000001 0.0001 99999.96 3.0 ");
}

/* The same digits as printf has, for any size of a number. */
static void random_json_numbers_are_what_printf_writes(void) {
    srand(2);
    for (int i = 0; i < 20000; i++) {
        double value = (rand() - RAND_MAX / 2) * pow(10, rand() % 30 - 20) + 1e-9, read;
        char *text = NULL, want[64];
        size_t size = 0;
        FILE *to = open_memstream(&text, &size);
        json_number(to, value);
        fclose(to);
        snprintf(want, sizeof want, "%.12g", value);
        read = strtod(text, NULL);
        bool same = value == floor(value) || read == strtod(want, NULL);
        if (!same) printf("\n    %s, printf has %s", text, want);
        CU_ASSERT(same);
        free(text);
    }
}

/* A jug's litre is known to 0.006 L, ten to 0.06 L. */
static void a_column_has_its_points_below_each_other(void) {
    static const column AMOUNTS[] = {{"volume_l", "volume", "L", 6, 3, COLUMN_NUMBERS},
                                     {NULL, "exact", "L", 5, EXACT + 1, COLUMN_NUMBERS}};
    char buffer[CELL_BYTES];
    struct table *t = table_new(AMOUNTS, 2);
    table_row(t, CELLS(V(1.0), V(100)));
    table_row(t, CELLS(V(24.0), V(NAN)));
    table_row(t, CELLS(v_known_to(2.5, 0.3, 3), V(1)));
    check_text(t, table_text_rows,
               "volume  exact\n"
               "     L      L\n"
               " 1.000  100.0\n"
               "24.0        -\n"
               " 2.5      1.0\n");
    CU_ASSERT_STRING_EQUAL(table_cell(t, 1, 0, "", buffer), "24.0\xe2\x80\x87\xe2\x80\x87");
    check_text(t, csv, "volume_l\r\n1.000\r\n24.000\r\n2.500\r\n");
    table_free(t);
}

CU_TestInfo table_tests[] = {
    {"columns are aligned below two lines of heads", columns_are_aligned_below_two_lines_of_heads},
    {"numbers widen their column", numbers_widen_their_column},
    {"words that are too wide end in a mark", words_that_are_too_wide_end_in_a_mark},
    {"notes go on in further lines of their row", notes_go_on_in_further_lines_of_their_row},
    {"no byte of a cell moves the cursor", no_byte_of_a_cell_moves_the_cursor},
    {"rows that come later go on below", rows_that_come_later_go_on_below},
    {"heads have the lines that they need", heads_have_the_lines_that_they_need},
    {"a table too wide for a page stands in blocks", a_table_too_wide_for_a_page_stands_in_blocks},
    {"jars that follow each other are ranges", jars_that_follow_each_other_are_ranges},
    {"JSON has what has a key", json_has_what_has_a_key},
    {"CSV is quoted where it must be", csv_is_quoted_where_it_must_be},
    {"JSON texts hold no other bytes", json_texts_hold_no_other_bytes},
    {"JSON numbers have twelve digits", json_numbers_have_twelve_digits},
    {"random JSON numbers are what printf writes", random_json_numbers_are_what_printf_writes},
    {"a column has its points below each other", a_column_has_its_points_below_each_other},
    CU_TEST_INFO_NULL,
};
