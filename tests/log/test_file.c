/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "log/columns.h"
#include "log/file.h"
#include "suites.h"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>

/* ---- a kind of file ---- */

enum { WHEN, HEAT, ROLES };

static const jl_column TABLE[] = {
    {"when", WHEN, 0, 0, JL_UNIT_BASE, 0, 0, "a word"},
    {"heat_c", HEAT, 1, 0, JL_UNIT_BASE, 0, 100, "0 to 100 °C"},
    {"heat_f", HEAT, 5.0 / 9, 32, JL_UNIT_BASE, 0, 100, "32 to 212 °F"},
    {NULL, 0, 0, 0, JL_UNIT_BASE, 0, 0, NULL},
};

static bool has_heat(const jl_row *header, void *unused) {
    (void)unused;
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *c = jl_column_named(TABLE, header->cells[i].text, header->cells[i].length);
        if (c != NULL && c->role == HEAT) return true;
    }
    return false;
}

static jl_file file_of(const char *text) {
    jl_file file = {.bytes = strdup(text), .size = strlen(text)};
    CHECK_OK(jl_file_begin(&file, has_heat, NULL, NULL));
    return file;
}

/* The rows that say something, as "LINE:cells" and "end:torn line". */
static const char *rows_in(const char *text) {
    static char out[400];
    size_t used = 0;
    jl_row row;
    jl_fault fault;
    jl_status status;
    jl_file file = file_of(text);
    while ((status = jl_file_next(&file, &row, &fault)) == JL_OK)
        used += (size_t)sprintf(out + used, "%zu:%zu ", row.line, row.count);
    sprintf(out + used, "%s%zu:%zu%s", status == JL_END ? "" : "!", file.end, file.torn_line,
            file.ours ? " ours" : "");
    jl_file_free(&file);
    return out;
}

#define CHECK_ROWS(text, want) CU_ASSERT_STRING_EQUAL(rows_in(text), want)

static void rows_that_say_something_are_read(void) {
    CHECK_ROWS("", "0:0");
    CHECK_ROWS("when,heat_c\na,1\n\n,,\n\"\"\nb,2\n", "1:2 2:2 6:2 27:0");
    CHECK_ROWS("when,heat_c\na,1\n,,", "1:2 2:2 18:0");
    CHECK_ROWS("when,heat_c\na,1", "1:2 2:2 15:0");
    CHECK_ROWS("when;heat_c\r\na;1,5\r\n", "1:2 2:2 20:0");
    CHECK_ROWS("when,heat_c\na,\"1\nb", "1:2 !18:0");
}

static void what_was_not_written_to_its_end_is_left_out(void) {
    CHECK_ROWS("#jarline,1\nheat_c\n1\n2", "1:2 2:1 3:1 20:4 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n,,", "1:2 2:1 3:1 20:4 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n\"\"", "1:2 2:1 3:1 20:4 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n\"2", "1:2 2:1 3:1 20:4 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n \t", "1:2 2:1 3:1 20:0 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n2\r", "1:2 2:1 3:1 20:4 ours");
    CHECK_ROWS("#jarline,1\nheat_c\n1\n\n", "1:2 2:1 3:1 21:0 ours");
    CHECK_ROWS("#jarline,1", "0:1 ours");
}

static void a_file_shows_how_it_writes_its_rows(void) {
    jl_file file = file_of("#x;\"two\nlines\"\r\nwhen;heat_c\r\n");
    CHECK(file.dialect.delimiter == ';' && file.dialect.comma && file.dialect.crlf);
    jl_file_free(&file);
    file = file_of("when\theat_c\na\t1\n");
    CHECK(file.dialect.delimiter == '\t' && !file.dialect.comma && !file.dialect.crlf);
    jl_file_free(&file);
}

static void a_descriptor_is_read_to_its_end(void) {
    jl_file file;
    int ends[2], fd = given("0123456789");
    lseek(fd, 4, SEEK_SET);
    CHECK_OK(jl_file_read(fd, true, &file, NULL));
    CHECK(file.size == 6 && memcmp(file.bytes, "456789", 6) == 0);
    jl_file_free(&file);
    close(fd);
    CHECK(pipe(ends) == 0 && write(ends[1], "abc", 3) == 3);
    close(ends[1]);
    CHECK_OK(jl_file_read(ends[0], true, &file, NULL));
    CHECK(file.size == 3 && memcmp(file.bytes, "abc", 3) == 0);
    jl_file_free(&file);
    CHECK_STATUS(jl_file_read(-1, true, &file, NULL), JL_INPUT);
}

/* ---- columns ---- */

static void columns_are_found_by_their_names(void) {
    jl_file file = file_of("x, Heat_F ,WHEN,,\n,50,a,,\n,,b,,\n,hot,c,,\n,500,d,,\n,50\n");
    jl_row row;
    jl_columns columns;
    jl_fault fault;
    double value;
    bool comma = true;
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_read(TABLE, &row, ',', &columns, NULL));
    CHECK(columns.count == 3 && columns.cells == 5 && columns.line == 1);
    CHECK(columns.at[HEAT] == 1 && columns.what[HEAT] == &TABLE[2] && columns.at[WHEN] == 2);
    CHECK(columns.unknown_count == 1 && strcmp(columns.unknown[0], "x") == 0);
    CHECK(jl_columns_at(&columns, 2) == &TABLE[0] && jl_columns_at(&columns, 0) == NULL);
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_width(&columns, &row, NULL));
    CHECK_OK(jl_columns_value(&columns, &row, HEAT, &value, NULL));
    CHECK_NEAR(value, 10, 1e-12);
    CHECK(strcmp(jl_columns_cell(&columns, &row, WHEN).text, "a") == 0);
    CHECK(!jl_columns_mark(&columns, &row, &comma));
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_value(&columns, &row, HEAT, &value, NULL));
    CHECK(isnan(value));
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_STATUS(jl_columns_value(&columns, &row, HEAT, &value, &fault), JL_FORM);
    CHECK(fault.line == 4 && fault.column == 2 && fault.expected == TABLE[2].expected);
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_STATUS(jl_columns_value(&columns, &row, HEAT, &value, NULL), JL_RANGE);
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_STATUS(jl_columns_width(&columns, &row, &fault), JL_MISSING);
    CHECK(fault.column == 3 && jl_columns_cell(&columns, &row, WHEN).length == 0);
    jl_columns_add(&columns, &TABLE[0]);
    CHECK(columns.at[WHEN] == 5 && columns.cells == 6);
    jl_file_free(&file);
}

static void a_role_has_one_column(void) {
    jl_file file = file_of("heat_c,heat_f\n");
    jl_row row;
    jl_columns columns;
    jl_fault fault;
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_STATUS(jl_columns_read(TABLE, &row, ',', &columns, &fault), JL_CONFLICT);
    CHECK(fault.column == 2);
    jl_file_free(&file);
}

static void a_number_shows_its_mark(void) {
    jl_file file = file_of("when;heat_c\n1,5;20\n1,5;20,5\n1.5;20.5\n");
    jl_row row;
    jl_columns columns;
    bool comma = false;
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_read(TABLE, &row, ';', &columns, NULL));
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK(!jl_columns_mark(&columns, &row, &comma));
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK(jl_columns_mark(&columns, &row, &comma) && comma);
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK(jl_columns_mark(&columns, &row, &comma) && !comma);
    jl_file_free(&file);
}

/* ---- cells written ---- */

static const char *text_of(jl_text *text) {
    static char out[200];
    CHECK(!text->failed && text->length < sizeof out);
    memcpy(out, text->bytes, text->length);
    out[text->length] = '\0';
    jl_text_free(text);
    return out;
}

static void facts_are_rows(void) {
    const jl_dialect german = {';', true, true}, plain = {',', false, false};
    jl_text text = {0};
    jl_fact_add(&text, &german, &(jl_fact_entry){"expect", {0.125, 78.5, 80}, 3, NULL});
    jl_fact_add(&text, &plain, &(jl_fact_entry){"title", {0}, 0, "=a, \"b\""});
    CU_ASSERT_STRING_EQUAL(text_of(&text), "#expect;0,125;78,5;80\r\n#title,\" =a, \"\"b\"\"\"\n");
    CHECK(jl_fact_entry_ok(&(jl_fact_entry){"Left_l", {1}, 1, NULL}));
    CHECK(!jl_fact_entry_ok(&(jl_fact_entry){"left l", {1}, 1, NULL}));
    CHECK(!jl_fact_entry_ok(&(jl_fact_entry){" left", {1}, 1, NULL}));
    CHECK(!jl_fact_entry_ok(&(jl_fact_entry){"left", {NAN}, 1, NULL}));
    CHECK(!jl_fact_entry_ok(&(jl_fact_entry){"left", {1}, 1, "a\rb"}));
}

/* ---- changes ---- */

/* A change of the cells named by a digit each, to their letter, in the row from begin to end. */
static void change(jl_edit *edit, size_t begin, size_t end, const char *words) {
    jl_change changes[4] = {{.cell = 0}};
    size_t count = strlen(words) / 2;
    for (size_t i = 0; i < count; i++) {
        changes[i].cell = (size_t)(words[2 * i] - '0');
        jl_text_add(&changes[i].text, &words[2 * i + 1], 1);
    }
    jl_edit_cells(edit, begin, end, changes, count);
}

static void only_what_changes_changes(void) {
    jl_file file = file_of("when, heat_c\n a ,\"1\n2\"\nb,3\nc,4");
    jl_row row;
    jl_edit edit;
    jl_text more = {0};
    while (jl_file_next(&file, &row, NULL) == JL_OK) continue;
    jl_edit_begin(&edit, &file);
    change(&edit, 13, 23, "1x3y");
    jl_edit_drop(&edit, 23, 27);
    change(&edit, 27, 30, "0z");
    jl_text_add(&more, "d,5\n", 4);
    CHECK_OK(jl_edit_end(&edit, &more));
    CU_ASSERT_STRING_EQUAL(text_of(&edit.text), "when, heat_c\n a ,x,,y\nz,4\nd,5\n");
    jl_edit_begin(&edit, &file);
    change(&edit, 13, 19, "0z"); /* half of the row: its quote stays open */
    CHECK_STATUS(jl_edit_end(&edit, NULL), JL_FORM);
    CHECK(edit.text.bytes == NULL);
    jl_text_free(&more);
    jl_file_free(&file);
}

typedef struct place {
    char folder[32], path[48], torn[64];
    jl_locked_file lock;
    jl_file file;
    ino_t inode;
} place;

static place hold(const char *text) {
    place p = {.inode = 0};
    jl_row row;
    strcpy(p.folder, "/tmp/file-XXXXXX");
    if (mkdtemp(p.folder) == NULL) abort();
    snprintf(p.path, sizeof p.path, "%s/x.csv", p.folder);
    snprintf(p.torn, sizeof p.torn, "%s.torn-1", p.path);
    CHECK_OK(jl_create(p.path, text, strlen(text), NULL));
    CHECK_OK(jl_locked_file_open(p.path, 0, &p.lock));
    p.file = file_of(text);
    while (jl_file_next(&p.file, &row, NULL) == JL_OK) continue;
    return p;
}

static void check_bytes(const char *path, const char *want) {
    jl_file file = {.bytes = NULL};
    int fd = open(path, O_RDONLY);
    CHECK_OK(jl_file_read(fd, false, &file, NULL));
    CHECK(file.size == strlen(want) && memcmp(file.bytes, want, file.size) == 0);
    jl_file_free(&file);
    close(fd);
}

static jl_status put(place *p, const char *text) {
    jl_text bytes = {.bytes = strdup(text), .length = strlen(text)};
    jl_status status = jl_file_put(&p->file, &p->lock, &bytes);
    jl_text_free(&bytes);
    return status;
}

static ino_t inode_of(const char *path) {
    struct stat info = {.st_ino = 0};
    stat(path, &info);
    return info.st_ino;
}

static void clear(place *p) {
    jl_locked_file_release(&p->lock);
    jl_file_free(&p->file);
    unlink(p->torn);
    CHECK(unlink(p->path) == 0 && rmdir(p->folder) == 0);
}

static void rows_are_appended_to_a_file_of_ours(void) {
    place p = hold("#jarline,1\nheat_c\n1\n,,");
    ino_t before = inode_of(p.path);
    CHECK_OK(put(&p, "#jarline,1\nheat_c\n1\n2\n"));
    check_bytes(p.path, "#jarline,1\nheat_c\n1\n2\n");
    check_bytes(p.torn, ",,");
    CHECK(inode_of(p.path) == before);
    clear(&p);
}

static void any_other_change_makes_a_new_file(void) {
    static const char *const BEFORE[] = {"heat_c\n1\n", "#jarline,1\nheat_c\n1\n"},
                             *const AFTER[] = {"heat_c\n1\n2\n", "#jarline,1\nheat_c\n3\n"};
    for (size_t i = 0; i < 2; i++) {
        place p = hold(BEFORE[i]);
        ino_t before = inode_of(p.path);
        CHECK_OK(put(&p, AFTER[i]));
        check_bytes(p.path, AFTER[i]);
        CHECK(inode_of(p.path) != before);
        CHECK_OK(put(&p, AFTER[i])); /* it is held as the old one was */
        clear(&p);
    }
}

static void the_new_file_is_held_in_the_old_one_s_place(void) {
    place p = hold("heat_c\n1\n");
    jl_locked_file other;
    CHECK_OK(put(&p, "heat_c\n2\n"));
    CHECK_STATUS(jl_locked_file_open(p.path, 0, &other), JL_BUSY);
    CHECK_OK(jl_locked_file_append(&p.lock, "3\n", 2));
    check_bytes(p.path, "heat_c\n2\n3\n");
    jl_locked_file_release(&p.lock);
    CHECK_OK(jl_locked_file_open(p.path, 0, &other));
    jl_locked_file_release(&other);
    jl_file_free(&p.file);
    CHECK(unlink(p.path) == 0 && rmdir(p.folder) == 0);
}

static void what_does_not_change_is_not_written(void) {
    place p = hold("heat_c\n1\n");
    ino_t before = inode_of(p.path);
    CHECK_OK(put(&p, "heat_c\n1\n"));
    CHECK(inode_of(p.path) == before);
    clear(&p);
}

CU_TestInfo file_tests[] = {
    {"rows that say something are read", rows_that_say_something_are_read},
    {"what was not written to its end is left out", what_was_not_written_to_its_end_is_left_out},
    {"a file shows how it writes its rows", a_file_shows_how_it_writes_its_rows},
    {"a descriptor is read to its end", a_descriptor_is_read_to_its_end},
    {"columns are found by their names", columns_are_found_by_their_names},
    {"a role has one column", a_role_has_one_column},
    {"a number shows its mark", a_number_shows_its_mark},
    {"facts are rows", facts_are_rows},
    {"only what changes changes", only_what_changes_changes},
    {"rows are appended to a file of ours", rows_are_appended_to_a_file_of_ours},
    {"any other change makes a new file", any_other_change_makes_a_new_file},
    {"the new file is held in the old one's place", the_new_file_is_held_in_the_old_one_s_place},
    {"what does not change is not written", what_does_not_change_is_not_written},
    CU_TEST_INFO_NULL,
};
