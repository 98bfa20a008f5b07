/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "log/columns.h"
#include "log/faults.h"
#include "log/file.h"
#include "suites.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>

/* ---- a kind of file ---- */

enum { WHEN, HEAT, ROLES };

static const jl_column TABLE[] = {
    {"when", WHEN, NULL, 0, 0, "a word"},
    {"heat_c", HEAT, &jl_units[JL_C], 0, 100, "0 to 100 °C"},
    {"heat_f", HEAT, &jl_units[JL_F], 0, 100, "32 to 212 °F"},
    {NULL, 0, NULL, 0, 0, NULL},
};

static bool has_heat(const jl_row *header) {
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *c = jl_column_named(TABLE, header->cells[i].text, header->cells[i].length);
        if (c != NULL && c->role == HEAT) return true;
    }
    return false;
}

static jl_file file_of(const char *text) {
    jl_file file = {.bytes = strdup(text), .size = strlen(text)};
    CHECK_OK(jl_file_begin(&file, has_heat, NULL));
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
    CHECK_ROWS("a", "1:1 1:0");
    CHECK_ROWS("a\n", "1:1 2:0");
    CHECK_ROWS(",,\n\n#jarline,1\nheat_c\n", "3:2 4:1 22:0 ours");
}

/* Asked again, the end is where it was. */
static void an_end_is_found_once(void) {
    jl_file file = file_of("#jarline,1\nheat_c\n1\n2\n3");
    jl_row row;
    while (jl_file_next(&file, &row, NULL) == JL_OK) continue;
    CHECK(file.end == 22 && file.torn_line == 5);
    CHECK_STATUS(jl_file_next(&file, &row, NULL), JL_END);
    CHECK(file.end == 22 && file.torn_line == 5);
    jl_file_free(&file);
}

/* Without its lock a file is read all the same: it may stand where there are none. The third call
 * after a signal is the one that lets go. */
static void a_lock_that_cannot_be_had_stops_no_reader(void) {
    static const fault_call AT[][FAULTS_MOST] = {
        {{"flock", 1, EWOULDBLOCK, false}},
        {{"flock", 1, EINTR, false}, {"flock", 3, ENOLCK, false}},
        {{"flock", 1, ENOLCK, false}},
        {{"flock", 1, EWOULDBLOCK, true}},
        {{"read", 1, EINTR, false}},
        {{"read", 1, HALF, false}},
        {{"fstat", 1, EIO, false}}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_file file = {.bytes = NULL};
        int fd = given("0123456789");
        faults_begin(AT[i]);
        CHECK_OK(jl_file_read(fd, true, &file, NULL));
        CHECK(faults_end());
        CHECK(file.size == 10 && memcmp(file.bytes, "0123456789", 10) == 0);
        jl_file_free(&file);
        close(fd);
    }
}

static void bytes_that_cannot_be_read_say_why(void) {
    static const struct {
        int error;
        jl_status status;
    } AT[] = {{EIO, JL_IO},      {ENOMEM, JL_MEMORY}, {EISDIR, JL_INPUT},
              {EBADF, JL_INPUT}, {EACCES, JL_INPUT},  {ESTALE, JL_IO}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        const fault_call faults[FAULTS_MOST] = {{"read", 2, AT[i].error, false}};
        jl_file file = {.size = 7};
        jl_fault fault;
        int fd = given("0123456789");
        faults_begin(faults);
        CHECK_STATUS(jl_file_read(fd, false, &file, &fault), AT[i].status);
        CHECK(faults_end() && file.size == 7 && file.bytes == NULL);
        CHECK(fault.status == AT[i].status && fault.line == 0 && fault.expected == NULL);
        close(fd);
    }
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

/* The first few names that are not known are kept, each as far as it has room. */
static void unknown_columns_are_kept_to_be_told(void) {
    jl_file file = file_of("a,b,c,d234567890123456789012345678901234567890,e,heat_c\n");
    jl_row row;
    jl_columns columns;
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_read(TABLE, &row, ',', &columns, NULL));
    CHECK(columns.unknown_count == JL_UNKNOWN_MOST && strcmp(columns.unknown[2], "c") == 0);
    CU_ASSERT_STRING_EQUAL(columns.unknown[3], "d234567890123456789012345678901");
    CHECK(columns.at[HEAT] == 5 && columns.count == 6);
    jl_file_free(&file);
}

static void a_column_s_range_has_its_ends(void) {
    jl_file file = file_of("heat_c\n0\n100\n-0.1\n100.1\n");
    jl_row row;
    jl_columns columns;
    double value;
    CHECK_OK(jl_file_next(&file, &row, NULL));
    CHECK_OK(jl_columns_read(TABLE, &row, ',', &columns, NULL));
    for (int i = 0; i < 4; i++) {
        CHECK_OK(jl_file_next(&file, &row, NULL));
        CHECK_STATUS(jl_columns_value(&columns, &row, HEAT, &value, NULL),
                     i < 2 ? JL_OK : JL_RANGE);
        if (i < 2) CHECK_NEAR(value, 100.0 * i, 0);
    }
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

static void cells_are_quoted_where_they_must_be(void) {
    static const struct {
        const char *cell, *german, *plain;
    } AT[] = {
        {"", "", ""},
        {"a b", "a b", "a b"},
        {" a", "\" a\"", "\" a\""},
        {"a\t", "\"a\t\"", "\"a\t\""},
        {"#a", "\"#a\"", "\"#a\""},
        {"a#", "a#", "a#"},
        {"a,b", "a,b", "\"a,b\""},
        {"a;b", "\"a;b\"", "a;b"},
        {"a\"b", "\"a\"\"b\"", "\"a\"\"b\""},
        {"a\nb", "\"a\nb\"", "\"a\nb\""},
    };
    const jl_dialect german = {';', true, true}, plain = {',', false, false};
    jl_text text = {0};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_text_add(&text, "|", 1);
        jl_cell_add(&text, &german, AT[i].cell, strlen(AT[i].cell));
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].german);
        jl_text_add(&text, "|", 1);
        jl_cell_add(&text, &plain, AT[i].cell, strlen(AT[i].cell));
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].plain);
    }
}

static void numbers_are_written_as_they_read_back(void) {
    static const struct {
        double value;
        const char *tab, *german, *plain;
    } AT[] = {
        {0.5, "0,5", "0,5", "0.5"},
        {100, "100", "100", "100"},
        {-1.25, "-1,25", "-1,25", "-1.25"},
        {1.125, "1,1250", "1,125", "1.125"},
        {1e-10, "0", "0", "0"},
        {NAN, "", "", ""},
        {INFINITY, "", "", ""},
        {1e60, "", "", ""},
    };
    const jl_dialect tab = {'\t', true, false}, german = {';', true, true},
                     plain = {',', false, false};
    jl_text text = {0};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_text_add(&text, "|", 1);
        jl_cell_add_number(&text, &tab, AT[i].value);
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].tab);
        jl_text_add(&text, "|", 1);
        jl_cell_add_number(&text, &german, AT[i].value);
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].german);
        jl_text_add(&text, "|", 1);
        jl_cell_add_number(&text, &plain, AT[i].value);
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].plain);
    }
}

/* A blank before what a table program would take for a formula, and read back without it. */
static void a_formula_is_a_note(void) {
    static const struct {
        const char *note, *cell;
        size_t skip; /* of the note itself, read as a cell */
    } AT[] = {{"pear", "pear", 0},      {"=1+1", "\" =1+1\"", 0},        {" =1", "\"  =1\"", 1},
              {"\t=1", "\" \t=1\"", 0}, {"  @a", "\"   @a\"", 1},        {"", "", 0},
              {" ", "\" \"", 0},        {"-5 still", "\" -5 still\"", 0}};
    const jl_dialect plain = {',', false, false};
    jl_text text = {0};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_text_add(&text, "|", 1);
        jl_cell_add_note(&text, &plain, AT[i].note, strlen(AT[i].note));
        CU_ASSERT_STRING_EQUAL(text_of(&text) + 1, AT[i].cell);
        CHECK(jl_note_skip(AT[i].note, strlen(AT[i].note)) == AT[i].skip);
    }
}

static void a_text_becomes_a_file_of_its_own(void) {
    jl_text text = {0};
    jl_file file = {.size = 7};
    jl_text_add(&text, "heat_c\n1\n", 9);
    CHECK_OK(jl_file_of_text(&text, &file));
    CHECK(file.size == 9 && file.bytes != text.bytes);
    CU_ASSERT_STRING_EQUAL(file.bytes, "heat_c\n1\n");
    jl_text_free(&text);
    jl_file_free(&file);
    text.failed = true;
    CHECK_STATUS(jl_file_of_text(&text, &file), JL_MEMORY);
    CHECK(file.bytes == NULL);
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
    jl_edit_begin(&edit, &file);
    change(&edit, 13, 19, "0z");
    change(&edit, 23, 27, "0z"); /* an error stays the first one */
    CHECK_STATUS(jl_edit_end(&edit, &more), JL_FORM);
    jl_edit_begin(&edit, &file);
    jl_edit_cells(&edit, 23, 27, NULL, 0);
    CHECK_OK(jl_edit_end(&edit, NULL));
    CU_ASSERT_STRING_EQUAL(text_of(&edit.text), "when, heat_c\n a ,\"1\n2\"\nb,3\nc,4");
    jl_text_free(&more);
    jl_file_free(&file);
}

static void rows_come_behind_what_stands(void) {
    static const char *const BEFORE[] = {"", "a\n", "a"}, *const AFTER[] = {"b\n", "a\nb\n",
                                                                            "a\nb\n"};
    for (size_t i = 0; i < 3; i++) {
        jl_file file = file_of(BEFORE[i]);
        jl_edit edit;
        jl_text more = {0}, none = {0};
        jl_text_add(&more, "b\n", 2);
        jl_edit_begin(&edit, &file);
        CHECK_OK(jl_edit_end(&edit, &more));
        CU_ASSERT_STRING_EQUAL(text_of(&edit.text), AFTER[i]);
        jl_edit_begin(&edit, &file);
        CHECK_OK(jl_edit_end(&edit, &none));
        CHECK(edit.text.length == strlen(BEFORE[i]));
        jl_text_free(&edit.text);
        jl_text_free(&more);
        jl_file_free(&file);
    }
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
    static const char *const BEFORE[] = {"heat_c\n1\n", "#jarline,1\nheat_c\n1\n", "",
                                         "#jarline,1\nheat_c\n1\n"},
                             *const AFTER[] = {"heat_c\n1\n2\n", "#jarline,1\nheat_c\n3\n",
                                               "heat_c\n1\n", "#jarline,1\n"};
    for (size_t i = 0; i < 4; i++) {
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

static void a_folder_that_takes_no_file_is_blamed_itself(void) {
    static const fault_call NO_FILE[FAULTS_MOST] = {{"open", 2, EACCES, false}};
    place p = hold("heat_c\n1\n");
    faults_begin(NO_FILE);
    CHECK_STATUS(put(&p, "heat_c\n2\n"), JL_EXISTS);
    CHECK(faults_end() && p.lock.trouble.beside && p.lock.trouble.error == EACCES);
    check_bytes(p.path, "heat_c\n1\n");
    clear(&p);
    p = hold("#jarline,1\nheat_c\n1\n2");
    faults_begin(NO_FILE);
    CHECK_STATUS(put(&p, "#jarline,1\nheat_c\n1\n3\n"), JL_EXISTS);
    CHECK(faults_end() && p.lock.trouble.beside);
    check_bytes(p.path, "#jarline,1\nheat_c\n1\n2");
    clear(&p);
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
    {"a column's range has its ends", a_column_s_range_has_its_ends},
    {"a text becomes a file of its own", a_text_becomes_a_file_of_its_own},
    {"a number shows its mark", a_number_shows_its_mark},
    {"facts are rows", facts_are_rows},
    {"an end is found once", an_end_is_found_once},
    {"a lock that cannot be had stops no reader", a_lock_that_cannot_be_had_stops_no_reader},
    {"bytes that cannot be read say why", bytes_that_cannot_be_read_say_why},
    {"unknown columns are kept to be told", unknown_columns_are_kept_to_be_told},
    {"cells are quoted where they must be", cells_are_quoted_where_they_must_be},
    {"numbers are written as they read back", numbers_are_written_as_they_read_back},
    {"a formula is a note", a_formula_is_a_note},
    {"rows come behind what stands", rows_come_behind_what_stands},
    {"a folder that takes no file is blamed itself", a_folder_that_takes_no_file_is_blamed_itself},
    {"only what changes changes", only_what_changes_changes},
    {"rows are appended to a file of ours", rows_are_appended_to_a_file_of_ours},
    {"any other change makes a new file", any_other_change_makes_a_new_file},
    {"the new file is held in the old one's place", the_new_file_is_held_in_the_old_one_s_place},
    {"what does not change is not written", what_does_not_change_is_not_written},
    CU_TEST_INFO_NULL,
};
