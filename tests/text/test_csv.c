/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "suites.h"
#include "text/csv.h"

#include <fcntl.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The rows of a text, each cell between brackets, each row on a line of its own with its number;
 * at the end the error, if there is one, as "! status line column cell". */
static const char *show(const char *text, size_t size, char delimiter) {
    static char out[4096];
    size_t used = 0;
    jl_rows *rows;
    jl_row row;
    jl_fault fault;
    if (jl_rows_open(text, size, delimiter, &rows) != JL_OK) return "no memory";
    jl_status status;
    while ((status = jl_rows_next(rows, &row, &fault)) == JL_OK) {
        used += (size_t)sprintf(out + used, "%zu%s", row.line, row.unended ? "~" : "");
        for (size_t i = 0; i < row.count; i++)
            used += (size_t)sprintf(out + used, "[%s]", row.cells[i].text);
        used += (size_t)sprintf(out + used, "\n");
    }
    out[used] = '\0';
    if (status != JL_END)
        sprintf(out + used, "! %s %zu %zu %s\n", status_name(status), fault.line, fault.column,
                fault.cell);
    jl_rows_close(rows);
    return out;
}

#define CHECK_ROWS(text, delimiter, want)                                                          \
    check_rows(text, sizeof(text) - 1, delimiter, want, __LINE__)

static void check_rows(const char *text, size_t size, char delimiter, const char *want,
                       unsigned line) {
    const char *got = show(text, size, delimiter);
    bool good = strcmp(got, want) == 0;
    if (!good) printf("\n    want\n%s    got\n%s", want, got);
    CU_assertImplementation(good, line, "rows", __FILE__, "", CU_FALSE);
}

static void rows_as_rfc_4180_has_them(void) {
    CU_ASSERT_STRING_EQUAL(show(NULL, 0, ','), "");
    CHECK_ROWS("", ',', "");
    CHECK_ROWS("a,b\n1,2\n", ',', "1[a][b]\n2[1][2]\n");
    CHECK_ROWS("a,b\r\n1,2\r\n", ',', "1[a][b]\n2[1][2]\n");
    CHECK_ROWS("a\n\"x,\"\"y\"\"\"\n", ',', "1[a]\n2[x,\"y\"]\n");
    CHECK_ROWS("a,,\n,,\n", ',', "1[a][][]\n2[][][]\n");
    CHECK_ROWS("a;b,c\n", ';', "1[a][b,c]\n");
    CHECK_ROWS("a\tb c\t\n", '\t', "1[a][b c][]\n");
    CHECK_ROWS("\xef\xbb\xbf"
               "a,b\n",
               ',', "1[a][b]\n");
    CHECK_ROWS("\xef\xbb\xbf", ',', "");
    CHECK_ROWS(" a , \" b \" \n", ',', "1[a][ b ]\n");
}

static void a_last_row_without_a_line_end_says_so(void) {
    CHECK_ROWS("a,b\n1,2", ',', "1[a][b]\n2~[1][2]\n");
    CHECK_ROWS("a,b\n1,", ',', "1[a][b]\n2~[1][]\n");
    CHECK_ROWS("a\n\"1\"", ',', "1[a]\n2~[1]\n");
    CHECK_ROWS("a\r\n1\r", ',', "1[a]\n2~[1]\n");
    CHECK_ROWS("a\n  ", ',', "1[a]\n");
}

static void lines_are_counted_as_an_editor_counts_them(void) {
    CHECK_ROWS("a\n\n  \n\t\r\nb\n", ',', "1[a]\n5[b]\n");
    CHECK_ROWS("a\n\"x\n\ny\",z\nb\n", ',', "1[a]\n2[x\n\ny][z]\n5[b]\n");
    CHECK_ROWS("a\n\"x\r\ny\"\r\nb\r\n", ',', "1[a]\n2[x\r\ny]\n4[b]\n");
}

static void an_open_quote_names_the_line_where_the_cell_began(void) {
    CHECK_ROWS("a,b\n1,\"x\n2,y\n3,z\n", ',', "1[a][b]\n! FORM 2 2 x\n2,y\n3,z\n\n");
    CHECK_ROWS("\"a\nb\",c,\"d\ne\nf", ',', "! FORM 2 3 d\ne\nf\n");
    CHECK_ROWS("\"", ',', "! FORM 1 1 \n");
    CHECK_ROWS("\n\n\"\n\n", ',', "! FORM 3 1 \n\n\n");
}

static void quotes_inside_a_cell_are_refused(void) {
    CHECK_ROWS("a,b\n1,x\"y\n", ',', "1[a][b]\n! FORM 2 2 x\n");
    CHECK_ROWS("1,\"x\"y\n", ',', "! FORM 1 2 x\"\n");
    CHECK_ROWS("1,\"x\" \"y\n", ',', "! FORM 1 2 x\" \n");
    CHECK_ROWS("\"x\ny\",z\"q\n", ',', "! FORM 2 2 z\n");
    CHECK_ROWS("\"x\ny\"z\n", ',', "! FORM 1 1 x\ny\"\n");
}

static void a_nul_byte_is_refused(void) {
    CHECK_ROWS("a,b\n1,2\0\n", ',', "1[a][b]\n! FORM 2 2 2\n");
    CHECK_ROWS("\0", ',', "! FORM 1 1 \n");
    CHECK_ROWS("a\n\"b\n\0\"\n", ',', "1[a]\n! FORM 3 1 b\n\n");
}

static void a_lone_carriage_return_is_refused(void) {
    CHECK_ROWS("a,b\r1,2\r3,4\r", ',', "! FORM 1 3 \\r\n");
    CHECK_ROWS("a\rb\n", ',', "! FORM 1 2 \\r\n");
    CHECK_ROWS("a\r\"b\nc\"\n", ',', "! FORM 1 2 \\r\n");
    CHECK_ROWS("a\rb", ',', "! FORM 1 2 \\r\n");
    CHECK_ROWS("a\r\r\n\"b\rc\"\n", ',', "1[a]\n2[b\rc]\n");
}

/* Reads all rows; the status at the end, the number of rows in *count. */
static jl_status read_all(const char *text, size_t size, size_t *count, jl_fault *fault) {
    jl_rows *rows;
    jl_row row;
    *count = 0;
    jl_status status = jl_rows_open(text, size, ',', &rows);
    if (status != JL_OK) return status;
    while ((status = jl_rows_next(rows, &row, fault)) == JL_OK) ++*count;
    CHECK_STATUS(jl_rows_next(rows, &row, fault), (int)status);
    jl_rows_close(rows);
    return status;
}

static void a_cell_may_have_64_KiB_and_no_more(void) {
    enum { ALL = 10 << 20 };
    size_t size = ALL;
    char *text = malloc(ALL);
    CU_ASSERT_PTR_NOT_NULL_FATAL(text);
    memset(text, 'x', size);
    memcpy(text, "a\n1,", 4);
    jl_fault fault;
    size_t count;
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_TOO_LONG);
    CHECK(fault.line == 2 && fault.column == 2 && count == 1);
    CHECK(strncmp(fault.cell, "xxxx", 4) == 0);
    text[4] = '"';
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_TOO_LONG);
    CHECK(fault.line == 2 && fault.column == 2);
    text[4] = 'x';
    size = 4 + 65536;
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_END);
    CHECK(count == 2);
    size++;
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_TOO_LONG);
    text[size++] = ',';
    text[size++] = '\n';
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_TOO_LONG);
    CHECK(fault.line == 2 && fault.column == 2);
    memset(text, 'x', ALL);
    for (size_t i = 60000; i < ALL; i += 60001)
        text[i] = ','; /* cells that fit, and too many for a row */
    CHECK_STATUS(read_all(text, ALL, &count, &fault), JL_TOO_LONG);
    CHECK(fault.line == 1 && fault.column == 5 && strstr(fault.expected, "256 KiB") != NULL);
    memset(text, ',', ALL);
    size = ALL;
    CHECK_STATUS(read_all(text, size, &count, &fault), JL_TOO_LONG);
    CHECK(fault.line == 1 && fault.column == JL_ROW_CELLS_MOST + 1);
    free(text);
}

/* Rows of many lengths, so that every kind of byte falls on the edge of a block once. */
static void rows_do_not_depend_on_where_a_block_ends(void) {
    static char text[300000], unit[] = "1,\"a\r\nb\"\"c\",d\r\n";
    enum { UNIT = sizeof unit - 1 };
    for (size_t shift = 0; shift < UNIT; shift++) {
        size_t used = shift;
        memset(text, ' ', shift);
        while (used + UNIT < sizeof text) memcpy(text + used, unit, UNIT), used += UNIT;
        jl_rows *rows;
        jl_row row;
        size_t count = 0, wrong = 0;
        CHECK_OK(jl_rows_open(text, used, ',', &rows));
        for (; jl_rows_next(rows, &row, NULL) == JL_OK; count++) {
            size_t begin = count == 0 ? 0 : shift + count * UNIT;
            if (row.line != 1 + 2 * count || row.begin != begin || row.count != 3) wrong++;
            if (row.end != shift + (count + 1) * UNIT) wrong++;
            if (strcmp(row.cells[1].text, "a\r\nb\"c") != 0) wrong++;
        }
        CHECK(wrong == 0);
        CHECK(count == (used - shift) / UNIT);
        jl_rows_close(rows);
    }
}

static bool torn(const char *text, size_t size, size_t *begin) {
    jl_rows *rows;
    jl_row row;
    CHECK_OK(jl_rows_open(text, size, ',', &rows));
    while (jl_rows_next(rows, &row, NULL) == JL_OK) continue;
    bool answer = jl_rows_torn(rows, begin);
    jl_rows_close(rows);
    return answer;
}

#define TORN(text, begin) torn(text, sizeof(text) - 1, begin)

static void an_error_in_a_last_row_without_a_line_end_is_told_apart(void) {
    size_t begin = 0;
    CHECK(TORN("a\n1,\"x", &begin) && begin == 2);
    CHECK(TORN("a\n\n1\0\0", &begin) && begin == 3);
    CHECK(!TORN("a\n1,\"x\n", &begin));
    CHECK(!TORN("a\n1,\"x\ny", &begin));
    CHECK(!TORN("a\n1\0\n\0", &begin));
    CHECK(!TORN("a\n\"1\n2\0", &begin)); /* a row of two lines was not torn at its last byte */
    CHECK(!TORN("a\n1,x\"", &begin));
    CHECK(!TORN("a\n1,x", &begin));
}

static bool has_volume(const jl_row *header) {
    for (size_t i = 0; i < header->count; i++)
        if (strcmp(header->cells[i].text, "volume_ml") == 0) return true;
    return false;
}

static char dialect(const char *text) {
    jl_rows *rows;
    CHECK_OK(jl_rows_open(text, strlen(text), ',', &rows));
    CHECK_OK(jl_rows_find_dialect(rows, has_volume, NULL));
    char answer = jl_rows_delimiter(rows);
    jl_row row;
    if (text[0] != '\0') {
        CHECK_OK(jl_rows_next(rows, &row, NULL));
        CHECK(row.line == 1);
    }
    jl_rows_close(rows);
    return answer;
}

static void the_dialect_is_the_one_whose_header_is_known(void) {
    CHECK(dialect("jar,volume_ml\n") == ',');
    CHECK(dialect("jar;volume_ml\n") == ';');
    CHECK(dialect("jar\tvolume_ml\n") == '\t');
    CHECK(dialect("volume_ml\n") == ',');
    CHECK(dialect("#title;a, b, c\n;;\njar;volume_ml;x,y,z\n") == ';');
    CHECK(dialect("#title;\"a, b\"\njar;volume_ml\n") == ';');
    CHECK(dialect("jar;what\n") == ';');
    CHECK(dialect("") == ',');
    CHECK(dialect("#title;\"a, b\"\n") == ';');
}

static void descriptors_are_read_from_where_they_stand(void) {
    char name[] = "/tmp/jarline-rows-XXXXXX";
    int fd = mkstemp(name);
    CU_ASSERT_FATAL(fd >= 0);
    unlink(name);
    CHECK(write(fd, "skip\na\nb\n", 9) == 9);
    CHECK(lseek(fd, 5, SEEK_SET) == 5);
    char *bytes;
    size_t size;
    CHECK_OK(jl_bytes_read(fd, &bytes, &size, NULL));
    CHECK(size == 4 && memcmp(bytes, "a\nb\n", 4) == 0);
    free(bytes);
    CHECK_OK(jl_bytes_read(fd, &bytes, &size, NULL));
    CHECK(size == 0);
    /* cppcheck-suppress doubleFree ; jl_bytes_read has made it anew */
    free(bytes);
    close(fd);
}

static void *write_a_million(void *with) {
    char block[1000];
    int fd = *(int *)with;
    memset(block, 'x', sizeof block);
    for (int i = 0; i < 1000; i++)
        if (write(fd, block, sizeof block) != (ssize_t)sizeof block) break;
    close(fd);
    return NULL;
}

static void a_pipe_is_read_to_its_end(void) {
    int ends[2];
    pthread_t writer;
    char *bytes;
    size_t size;
    CU_ASSERT_FATAL(pipe(ends) == 0);
    CU_ASSERT_FATAL(pthread_create(&writer, NULL, write_a_million, &ends[1]) == 0);
    CHECK_OK(jl_bytes_read(ends[0], &bytes, &size, NULL));
    pthread_join(writer, NULL);
    close(ends[0]);
    CHECK(size == 1000000 && bytes[999999] == 'x');
    free(bytes);
}

static void a_folder_is_no_input(void) {
    int fd = open("/", O_RDONLY);
    char *bytes;
    size_t size;
    jl_fault fault;
    CHECK_STATUS(jl_bytes_read(fd, &bytes, &size, &fault), JL_INPUT);
    CHECK(fault.line == 0 && fault.status == JL_INPUT);
    close(fd);
    CHECK_STATUS(jl_bytes_read(fd, &bytes, &size, NULL), JL_INPUT);
}

static void a_file_may_have_64_MiB_and_no_more(void) {
    for (int more = 0; more < 2; more++) {
        int fd = given("");
        char *bytes;
        size_t size = 7;
        CHECK(ftruncate(fd, JL_BYTES_MOST + more) == 0);
        CHECK_STATUS(jl_bytes_read(fd, &bytes, &size, NULL), more ? JL_RANGE : JL_OK);
        CHECK(size == (more ? 7 : JL_BYTES_MOST));
        if (!more) free(bytes);
        close(fd);
    }
}

static void what_never_ends_is_refused(void) {
    int fd = open("/dev/zero", O_RDONLY);
    char *bytes;
    size_t size;
    jl_fault fault;
    CHECK_STATUS(jl_bytes_read(fd, &bytes, &size, &fault), JL_RANGE);
    CHECK(fault.expected != NULL);
    close(fd);
}

static void check_spans(const char *raw, char delimiter, const char *want, unsigned line) {
    jl_span spans[8];
    size_t count = 0;
    char got[200] = "";
    CHECK_OK(jl_row_spans(raw, strlen(raw), delimiter, spans, 8, &count));
    for (size_t i = 0, used = 0; i < count; i++)
        used += (size_t)sprintf(got + used, "[%.*s]", (int)(spans[i].end - spans[i].begin),
                                raw + spans[i].begin);
    if (strcmp(got, want) != 0) printf("\n    want %s got %s", want, got);
    CU_assertImplementation(strcmp(got, want) == 0, line, raw, __FILE__, "", CU_FALSE);
}

static void spans_hold_a_cell_with_its_quotes_and_blanks(void) {
    check_spans("a,b\n", ',', "[a][b]", __LINE__);
    check_spans("a, b ,\r\n", ',', "[a][ b ][]", __LINE__);
    check_spans("\"a;\"\"\n\"; x;", ';', "[\"a;\"\"\n\"][ x][]", __LINE__);
    check_spans("a", ',', "[a]", __LINE__);
    check_spans("\t\tx", '\t', "[][][x]", __LINE__);
    jl_span spans[2];
    size_t count;
    CHECK_STATUS(jl_row_spans("a,b,c", 5, ',', spans, 2, &count), JL_TOO_LONG);
    CHECK_STATUS(jl_row_spans("a,\"b", 4, ',', spans, 2, &count), JL_FORM);
    CHECK_STATUS(jl_row_spans("", 0, ',', spans, 2, &count), JL_FORM);
}

CU_TestInfo csv_tests[] = {
    {"rows as RFC 4180 has them", rows_as_rfc_4180_has_them},
    {"a last row without a line end says so", a_last_row_without_a_line_end_says_so},
    {"lines are counted as an editor counts them", lines_are_counted_as_an_editor_counts_them},
    {"an open quote names the line where the cell began",
     an_open_quote_names_the_line_where_the_cell_began},
    {"quotes inside a cell are refused", quotes_inside_a_cell_are_refused},
    {"a NUL byte is refused", a_nul_byte_is_refused},
    {"a lone carriage return is refused", a_lone_carriage_return_is_refused},
    {"a cell may have 64 KiB and no more", a_cell_may_have_64_KiB_and_no_more},
    {"rows do not depend on where a block ends", rows_do_not_depend_on_where_a_block_ends},
    {"an error in a last row without a line end is told apart",
     an_error_in_a_last_row_without_a_line_end_is_told_apart},
    {"the dialect is the one whose header is known", the_dialect_is_the_one_whose_header_is_known},
    {"descriptors are read from where they stand", descriptors_are_read_from_where_they_stand},
    {"a pipe is read to its end", a_pipe_is_read_to_its_end},
    {"a folder is no input", a_folder_is_no_input},
    {"a file may have 64 MiB and no more", a_file_may_have_64_MiB_and_no_more},
    {"what never ends is refused", what_never_ends_is_refused},
    {"spans hold a cell with its quotes and blanks", spans_hold_a_cell_with_its_quotes_and_blanks},
    CU_TEST_INFO_NULL,
};
