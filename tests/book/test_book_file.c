/* The book on the disk.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_file.h"
#include "check.h"
#include "given.h"
#include "suites.h"

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char HEAD[] =
    "#jarline,1\n#kind,book\n"
    "entry,time,what,from,into,receiver,kind,volume_l,weight_kg,reading_pct,strength_pct,temp_c,"
    "solids_g_100ml,bottles,bottle_ml,lot,run,late,note,ethanol_kg,water_kg\n";

static char folder[64];

static const char *path_of(const char *name) {
    static char path[128];
    if (*folder == '\0') {
        strcpy(folder, "/tmp/jarline-book-XXXXXX");
        if (mkdtemp(folder) == NULL) return NULL;
    }
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static jl_book_entry entry_of(jl_book_what what, const char *from, const char *into, int64_t s) {
    jl_book_entry e = JL_BOOK_BLANK(what);
    e.from = from;
    e.into = into;
    e.time = e.written = (jl_time){1790000000 + s, 7200};
    return e;
}

static jl_status write_one(const char *path, jl_book_entry *e, jl_book_refusal *r,
                           jl_fault *fault) {
    jl_book_file *f;
    jl_trouble trouble;
    jl_status status = jl_book_open(path, 0, &f, fault, &trouble);
    if (status != JL_OK) return status;
    status = jl_book_write(f, e, r, fault);
    jl_book_close(f);
    return status;
}

static void write_season(const char *path) {
    jl_book_refusal r;
    jl_fault fault;
    jl_book_entry e = entry_of(JL_BOOK_OPENING, "", "demijohn-1", 60);
    e.measured.volume_l = 4.2;
    e.measured.reading.value = 71.5;
    e.measured.temp_c = 22.5;
    e.note = "=SUM(A1), \"as said\"";
    CHECK_OK(write_one(path, &e, &r, &fault));
    CHECK(e.number.year == 2026 && e.number.serial == 2);
    e = entry_of(JL_BOOK_BOTTLED, "demijohn-1", "", 120);
    e.bottles = 3;
    e.bottle_l = 0.7;
    e.lot = "2026-1";
    CHECK_OK(write_one(path, &e, &r, &fault));
    e = entry_of(JL_BOOK_GAUGED, "lot:2026-1", "", 180);
    e.bottles = 2;
    CHECK_OK(write_one(path, &e, &r, &fault));
    e = entry_of(JL_BOOK_REMOVED, "demijohn-1", "", 100);
    e.late = true;
    e.written.unix_s += 140;
    e.measured.all = true;
    CHECK_OK(write_one(path, &e, &r, &fault));
    e = entry_of(JL_BOOK_CANCELLED, "", "", 300);
    e.cancelled = (jl_book_number){2026, 5};
    e.note = "it was water";
    CHECK_OK(write_one(path, &e, &r, &fault));
}

static jl_book_file *read_back(const char *path, jl_status wanted, jl_fault *fault) {
    jl_book_file *f = NULL;
    int fd = open(path, O_RDONLY);
    CHECK(fd >= 0);
    CHECK_STATUS(jl_book_read(fd, &f, fault), wanted);
    close(fd);
    return f;
}

static void what_is_written_is_read(void) {
    const char *path = path_of("season.csv");
    jl_fault fault;
    size_t count, odd;
    jl_book_refusal r;
    jl_book_entry first = entry_of(JL_BOOK_VESSEL, "", "demijohn-1", 0);
    first.kind = "glass";
    CHECK_STATUS(jl_book_create(path, NULL, &first, &r, &fault, NULL), JL_RANGE);
    CHECK(access(path, F_OK) != 0); /* nothing is left of a refusal */
    first.measured.volume_l = 5;
    CHECK_OK(jl_book_create(path, "The house, \"north\"", &first, &r, &fault, NULL));
    CHECK_STATUS(jl_book_create(path, NULL, &first, &r, &fault, NULL), JL_EXISTS);
    write_season(path);
    jl_book_file *f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    const jl_book_entry *e = jl_book_entries(jl_book_in(f), &count);
    CHECK(count == 6 && e[4].late && e[4].taken_back == 5);
    CU_ASSERT_STRING_EQUAL(e[1].note, "=SUM(A1), \"as said\"");
    CU_ASSERT_STRING_EQUAL(jl_facts_text(jl_book_facts(f), "title"), "The house, \"north\"");
    CHECK(jl_book_lot_named(jl_book_in(f), "2026-1")->bottles == 2);
    CHECK_NEAR(jl_volume_l(jl_book_vessel_named(jl_book_in(f), "demijohn-1")->spirit, 20),
               jl_volume_l(e[1].amount, 20) - 2.1, 1e-9);
    jl_book_odd_rows(f, &odd);
    CHECK(odd == 0 && jl_book_torn_line(f) == 0);
    jl_book_close(f);
    unlink(path);
}

static void a_changed_figure_is_named_and_half_a_row_left_out(void) {
    const char *path = path_of("changed.csv");
    jl_fault fault;
    size_t odd;
    FILE *to = fopen(path, "w");
    CHECK(to != NULL);
    if (to == NULL) return;
    fprintf(to,
            "%s2026-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n"
            "2026-2,2026-10-01T09:05:00+02:00,opening,,d,,,4,,,70,,,,,,,,,2,1\n2026-3,2026-1",
            HEAD);
    fclose(to);
    jl_book_file *f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    const jl_book_odd *rows = jl_book_odd_rows(f, &odd);
    CHECK(odd == 1 && rows[0].line == 5 && rows[0].number.serial == 2);
    CHECK_NEAR(jl_pure_alcohol_l(rows[0].measured), 2.8, 1e-9);
    CHECK(jl_book_torn_line(f) == 6);
    jl_book_close(f);
    jl_book_refusal r;
    jl_book_entry e = entry_of(JL_BOOK_LOST, "d", "", 864000 * 10);
    e.measured.volume_l = 0.5;
    CHECK_OK(write_one(path, &e, &r, &fault));
    CHECK(e.number.serial == 3);
    f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    CHECK(jl_book_torn_line(f) == 0);
    jl_book_close(f);
    unlink(path);
}

static void what_is_no_book_is_refused(void) {
    static const struct {
        const char *rows;
        jl_status status;
        size_t line;
    } AT[] = {
        {"2026-1,2026-10-01T09:00:00+02:00,vesel,,d,,glass,5,,,,,,,,,,,,0,0\n", JL_FORM, 4},
        {"26-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n", JL_FORM, 4},
        {"2026-1,,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n", JL_MISSING, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,moved,a,b,,,1,,,,,,,,,,,,1,1\n", JL_CONFLICT, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n"
         "2026-1,2026-10-01T09:00:00+02:00,vessel,,e,,glass,5,,,,,,,,,,,,0,0\n",
         JL_CONFLICT, 5},
        {"2026-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,-5,,,,,,,,,,,,0,0\n", JL_RANGE, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,bottled,d,,,,,,,,,,1.5,700,9,,,,0,0\n", JL_FORM, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,cancelled,first,,,,,,,,,,,,,,,,0,0\n", JL_FORM, 4},
    };
    const char *path = path_of("bad.csv");
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_fault fault = {0};
        FILE *to = fopen(path, "w");
        if (to == NULL) return;
        fprintf(to, "%s%s", HEAD, AT[i].rows);
        fclose(to);
        CHECK(read_back(path, AT[i].status, &fault) == NULL);
        CHECK(fault.line == AT[i].line);
    }
    unlink(path);
    rmdir(folder);
}

/* And nothing is written. */
static void texts_that_spoil_a_book_are_refused(void) {
    char *many = calloc(5000, 1);
    if (many == NULL) return;
    memset(many, 'a', 4999);
    const char *const TEXTS[] = {"two\nlines", "two\rlines", many};
    const jl_status STATUS[] = {JL_FORM, JL_FORM, JL_TOO_LONG};
    const char *path = path_of("texts.csv");
    jl_book_refusal r;
    jl_trouble trouble;
    jl_fault fault = {0};
    jl_book_entry e = entry_of(JL_BOOK_VESSEL, "", "a", 0);
    e.measured.volume_l = 5;
    e.kind = "glass";
    CHECK_OK(jl_book_create(path, "house", &e, &r, &fault, &trouble));
    for (size_t i = 0; i < 3; i++) {
        jl_book_entry bad = entry_of(JL_BOOK_OPENING, "", "a", 60);
        bad.measured.volume_l = 1;
        bad.measured.strength = (jl_quantity){70, JL_UNIT_PCT_VOL};
        bad.note = TEXTS[i];
        CHECK_STATUS(write_one(path, &bad, &r, &fault), (int)STATUS[i]);
        CHECK(fault.status == STATUS[i] && fault.expected != NULL);
        bad.note = "";
        bad.receiver = TEXTS[i];
        CHECK_STATUS(write_one(path, &bad, &r, &fault), (int)STATUS[i]);
    }
    CHECK_STATUS(jl_book_create(path_of("b.csv"), "two\nlines", &e, &r, &fault, &trouble), JL_FORM);
    CHECK(access(path_of("b.csv"), F_OK) != 0);
    jl_book_file *f;
    int fd = open(path_of("texts.csv"), O_RDONLY);
    CHECK_OK(jl_book_read(fd, &f, &fault));
    jl_book_entry more = entry_of(JL_BOOK_VESSEL, "", "b", 90);
    more.measured.volume_l = 5;
    CHECK_STATUS(jl_book_write(f, &more, &r, &fault), JL_EXISTS); /* it was only read */
    CHECK(jl_book_trouble(f).error == 0 && !jl_book_trouble(f).uncertain);
    jl_book_close(f);
    close(fd);
    unlink(path_of("texts.csv"));
    free(many);
}

CU_TestInfo book_file_tests[] = {
    {"texts that spoil a book are refused", texts_that_spoil_a_book_are_refused},
    {"what is written is read", what_is_written_is_read},
    {"a changed figure is named, and half a row left out",
     a_changed_figure_is_named_and_half_a_row_left_out},
    {"what is no book is refused", what_is_no_book_is_refused},
    CU_TEST_INFO_NULL,
};
