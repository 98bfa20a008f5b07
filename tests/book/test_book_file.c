/* The book on the disk.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_file.h"
#include "check.h"
#include "given.h"
#include "suites.h"

#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
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
            "2026-2,2026-10-01T09:05:00+02:00,opening,,d,,,4,,,70,,,,,,,,,2,1\n"
            "2026-3,2026-10-01T09:06:00+02:00,vessel,,e,,glass,5,,,,,,,,,,,,0,0\n"
            "2026-4,2026-10-01T09:07:00+02:00,moved,d,e,,,,,,,,,,,,,,,1,0.5\n2026-5,2026-1",
            HEAD);
    fclose(to);
    jl_book_file *f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    const jl_book_odd *rows = jl_book_odd_rows(f, &odd);
    CHECK(odd == 2 && rows[0].line == 5 && rows[0].number.serial == 2);
    CHECK_NEAR(jl_pure_alcohol_l(rows[0].measured), 2.8, 1e-9);
    /* a row that measured nothing moved all, which is as the first row states it */
    CHECK(rows[1].line == 7 && rows[1].stated.ethanol_kg == 1);
    CHECK_NEAR(rows[1].measured.ethanol_kg, 2, 1e-12);
    CHECK(jl_book_torn_line(f) == 8);
    jl_book_close(f);
    jl_book_refusal r;
    jl_book_entry e = entry_of(JL_BOOK_LOST, "d", "", 864000 * 10);
    e.measured.volume_l = 0.5;
    CHECK_OK(write_one(path, &e, &r, &fault));
    CHECK(e.number.serial == 5);
    f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    CHECK(jl_book_torn_line(f) == 0);
    jl_book_close(f);
    unlink(path);
}

/* What each refusal of a row expects, and where. */
static void a_row_that_the_book_refuses_says_what_it_needs(void) {
    static const struct {
        const char *row, *expected;
    } AT[] = {
        {"moved,z,d,,,1,,,,,,,,,,,,1,1", "a vessel of the book"},
        {"lost,lot:9,,,,,,,,,,1,,,,,,1,1", "a lot of the book"},
        {"opening,,e,,,1,,,60,,,,,,,,,0.5,0.5", "a vessel that is not retired"},
        {"lost,d,,,,1,,,,,,,,,,,,3,1", "no more than there is"},
        {"opening,,d,,,9,,,60,,,,,,,,,9,3", "no more than the vessel has room for"},
        {"water,,f,,,1,,,,,,,,,,,,0,1", "a vessel that holds something"},
        {"cancelled,2026-9,,,,,,,,,,,,,,,,0,0", "the number of an entry that stands"},
        {"cancelled,2026-1,,,,,,,,,,,,,,,,0,0", "an entry on which no later one stands"},
        {"vessel,,D,,glass,5,,,,,,,,,,,,0,0", "a new name; a lot's bottles all of one size"},
        {"vessel,d,,,retired,,,,,,,,,,,,,0,0", "an empty vessel"},
        {"bottled,d,,,,,,,,,,1,,9,,,,0.1,0.1", "what the entry needs, in its range"},
        {"moved,d,D,,,1,,,,,,,,,,,,1,1", "two vessels"},
    };
    char text[2000];
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_fault fault = {0};
        jl_book_file *f = NULL;
        snprintf(text, sizeof text,
                 "%s2026-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n"
                 "2026-2,2026-10-01T09:00:00+02:00,vessel,,e,,glass,5,,,,,,,,,,,,0,0\n"
                 "2026-3,2026-10-01T09:00:00+02:00,vessel,e,,,retired,,,,,,,,,,,,,0,0\n"
                 "2026-4,2026-10-01T09:00:00+02:00,vessel,,f,,glass,5,,,,,,,,,,,,0,0\n"
                 "2026-5,2026-10-01T09:05:00+02:00,opening,,d,,,4,,,70,,,,,,,,,2.21,1.33\n"
                 "2026-6,2026-10-01T09:06:00+02:00,%s\n",
                 HEAD, AT[i].row);
        int fd = given(text);
        CHECK_STATUS(jl_book_read(fd, &f, &fault), JL_CONFLICT);
        close(fd);
        CHECK(fault.line == 9);
        CU_ASSERT_STRING_EQUAL(fault.expected, AT[i].expected);
    }
}

/* Columns in another order and of other units, one that is nobody's, and more rows that are not what was
 * measured than are kept: all are counted. */
static void a_book_with_columns_of_its_own_is_read_and_written(void) {
    enum { ODD = JL_BOOK_ODD_MOST + 2 };
    const char *path = path_of("other.csv");
    jl_fault fault;
    jl_book_refusal r;
    size_t count, odd;
    FILE *to = fopen(path, "w");
    CHECK(to != NULL);
    if (to == NULL) return;
    fprintf(to, "#jarline;1\n#kind;book\nwhat;entry;colour;time;into;from;volume_ml;strength_proof;"
                "temp_f;ethanol_kg;water_kg\n"
                "vessel;2026-1;red;2026-09-01T09:00:00+02:00;d;;5000;;;0;0\n");
    for (int i = 0; i < ODD; i++)
        fprintf(to, "opening;2026-%d;;2026-09-01T09:00:00+02:00;d;;10;140;;0,05;0,025\n", 2 + i);
    fclose(to);
    jl_book_entry e = entry_of(JL_BOOK_OPENING, "", "d", 60);
    e.measured.volume_l = 1;
    e.measured.strength.value = 70;
    CHECK_OK(write_one(path, &e, &r, &fault));
    CHECK(e.number.serial == ODD + 2);
    /* 70 % vol is 140 proof but for the alcoholometers' temperatures, and in this file's own column */
    CHECK(e.measured.strength.unit == JL_UNIT_PROOF_US);
    CHECK_NEAR(e.measured.strength.value, 140, 0.2);
    CHECK_NEAR(e.amount.ethanol_kg, 0.7 * 0.78924, 1e-4);
    e.measured.strength = (jl_quantity){101, JL_UNIT_PCT_VOL};
    CHECK_STATUS(write_one(path, &e, &r, &fault), JL_RANGE);
    CHECK(r.why == JL_BOOK_NO_AMOUNT);
    e = entry_of(JL_BOOK_LOST, "d", "", 70);
    e.measured.all = true;
    e.note = "no column for it";
    CHECK_STATUS(write_one(path, &e, &r, &fault), JL_EXISTS);
    CU_ASSERT_STRING_EQUAL(fault.cell, "note");
    jl_book_file *f = read_back(path, JL_OK, &fault);
    if (f == NULL) return;
    const jl_book_odd *rows = jl_book_odd_rows(f, &odd);
    jl_book_entries(jl_book_in(f), &count);
    CHECK(odd == ODD && count == ODD + 2);
    CHECK(rows[0].line == 5 && rows[0].stated.ethanol_kg == 0.05 &&
          rows[JL_BOOK_ODD_MOST - 1].line == 20);
    jl_book_close(f);
    unlink(path);
}

/* The ends of what a column holds are read, and what lies a hair beyond is not. */
static void a_column_holds_what_it_says(void) {
    static const struct {
        const char *name;
        double least, most;
    } OF[] = {{"reading_pct", 0, 100},      {"reading_proof", 0, 200},  {"strength_pct", 0, 100},
              {"strength_proof", 0, 200},   {"solids_g_100ml", 0, 100}, {"bottles", 0, 1e9},
              {"bottle_ml", 0, 1e6},        {"weight_kg", 0, 1e9},      {"temp_c", -20, 40},
              {"logged_ethanol_kg", 0, 1e9}};
    const char *path = path_of("ends.csv");
    for (size_t i = 0; i < 4 * sizeof OF / sizeof OF[0]; i++) {
        const char *name = OF[i / 4].name;
        bool beyond = i % 2 == 1;
        double off = beyond ? 1 : 0,
               value = i % 4 < 2 ? OF[i / 4].least - off : OF[i / 4].most + off;
        jl_fault fault = {0};
        FILE *to = fopen(path, "w");
        if (to == NULL) return;
        fprintf(to,
                "#jarline,1\n#kind,book\nentry,time,what,into,volume_l,ethanol_kg,water_kg,%s\n"
                "2026-1,2026-09-01T09:00:00+02:00,vessel,d,5,0,0,\n"
                "2026-2,2026-09-01T09:01:00+02:00,opening,d,1,0.1,0.1,%.0f\n",
                name, value);
        fclose(to);
        jl_book_close(read_back(path, beyond ? JL_RANGE : JL_OK, &fault));
        CHECK(!beyond || (fault.line == 5 && fault.column == 8));
    }
    unlink(path);
}

/* A strength needs a column on either scale. */
static void a_header_that_lacks_a_column_is_named(void) {
    static const char *const LACKS[] = {"strength_pct", "reading_proof"};
    const char *path = path_of("lacks.csv");
    for (int i = 0; i < 2; i++) {
        jl_fault fault = {0};
        jl_book_refusal r;
        jl_book_entry e = entry_of(JL_BOOK_OPENING, "", "d", 60);
        FILE *to = fopen(path, "w");
        if (to == NULL) return;
        fprintf(to, "#jarline,1\n#kind,book\n"
                    "entry,time,what,into,volume_l,reading_pct,temp_c,ethanol_kg,water_kg\n"
                    "2026-1,2026-09-01T09:00:00+02:00,vessel,d,5,,,0,0\n");
        fclose(to);
        e.measured.volume_l = 1;
        if (i == 0) e.measured.strength.value = 60;
        if (i == 1) e.measured.reading = (jl_quantity){120, JL_UNIT_PROOF_US};
        e.measured.temp_c = 20;
        CHECK_STATUS(write_one(path, &e, &r, &fault), JL_EXISTS);
        CHECK(fault.line == 3);
        CU_ASSERT_STRING_EQUAL(fault.cell, LACKS[i]);
    }
    unlink(path);
}

/* And the file is as it was, and the next entry is written. */
static void what_cannot_be_written_is_refused(void) {
    const char *path = path_of("held.csv");
    jl_fault fault = {0};
    jl_book_refusal r;
    struct rlimit before, small;
    struct stat then, now;
    jl_book_entry e = entry_of(JL_BOOK_VESSEL, "", "a", 0), bad;
    e.measured.volume_l = 5;
    CHECK_OK(jl_book_create(path, NULL, &e, &r, &fault, NULL));
    stat(path, &then);
    bad = entry_of(JL_BOOK_OPENING, "", "a", 60);
    bad.measured.volume_l = 1;
    bad.measured.strength.value = 60;
    bad.written.unix_s = INT64_MAX / 2;
    CHECK_STATUS(write_one(path, &bad, &r, &fault), JL_RANGE);
    CHECK(strstr(fault.expected, "a date and time") != NULL);
    bad.written.unix_s = 1790000060;
    bad.time.offset_s = 86400;
    CHECK_STATUS(write_one(path, &bad, &r, &fault), JL_RANGE);
    bad.time = bad.written;
    bad.note = "\177";
    CHECK_STATUS(write_one(path, &bad, &r, &fault), JL_FORM);
    bad.note = "";
    bad.measured.strength.value = NAN;
    bad.what = JL_BOOK_COLLECTED;
    const double KG[][2] = {{NAN, 1}, {1, NAN}, {-1, 1}, {1, -1}};
    bad.measured.volume_l = NAN;
    for (size_t i = 0; i < sizeof KG / sizeof KG[0]; i++) {
        bad.amount = (jl_spirit){KG[i][0], KG[i][1]};
        CHECK_STATUS(write_one(path, &bad, &r, &fault), JL_RANGE);
        CHECK(r.why == JL_BOOK_NO_AMOUNT);
    }
    bad.amount = (jl_spirit){1, 2};
    getrlimit(RLIMIT_FSIZE, &before);
    small = (struct rlimit){(rlim_t)then.st_size, before.rlim_max};
    void (*was)(int) = signal(SIGXFSZ, SIG_IGN);
    CHECK(setrlimit(RLIMIT_FSIZE, &small) == 0);
    CHECK_STATUS(write_one(path, &bad, &r, &fault), JL_IO);
    CHECK(setrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, was);
    CHECK(fault.status == JL_IO);
    /* what would read as another vessel is not written: so little room has no digits in a file */
    jl_book_entry little = entry_of(JL_BOOK_VESSEL, "", "b", 60);
    little.measured.volume_l = 1e-12;
    CHECK_STATUS(write_one(path, &little, &r, &fault), JL_CONFLICT);
    CHECK(fault.line == 5);
    stat(path, &now);
    CHECK(now.st_size == then.st_size);
    CHECK_OK(write_one(path, &bad, &r, &fault));
    CHECK(bad.number.serial == 2);
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
        {"2026-1,2026-10-01T09:00:00+02:00,vessel,,d,,glass,5,,,,,,,,,,,,0,0\n"
         "2025-2,2026-10-01T09:00:00+02:00,vessel,,e,,glass,5,,,,,,,,,,,,0,0\n",
         JL_CONFLICT, 5},
        {"2026-1,2026-10-01T09:00:00+02:00,bottled,d,,,,,,,,,,x,700,9,,,,0,0\n", JL_FORM, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,bottled,d,,,,,,,,,,2,x,9,,,,0,0\n", JL_FORM, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,opening,,d,,,4,,x,,20,,,,,,,,2,1\n", JL_FORM, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,opening,,d,,,4,,,101,20,,,,,,,,2,1\n", JL_RANGE, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,opening,,d,,,4,,,60,20,,,,,,,,-2,1\n", JL_RANGE, 4},
        {"2026-1,2026-10-01T09:00:00+02:00,opening,,d,,,4,,,60,20,,,,,,x,,2,1\n", JL_FORM, 4},
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
        CHECK(fault.line == AT[i].line && fault.status == AT[i].status);
    }
    unlink(path);
    rmdir(folder);
}

static void a_header_without_what_happened_is_none(void) {
    static const char *const HEADERS[] = {"", "entry,time\n", "what,time\n2026-1\n"};
    for (size_t i = 0; i < sizeof HEADERS / sizeof HEADERS[0]; i++) {
        jl_fault fault = {0};
        jl_book_file *f = NULL;
        char text[100];
        snprintf(text, sizeof text, "#jarline,1\n#kind,book\n%s", HEADERS[i]);
        int fd = given(text);
        CHECK_STATUS(jl_book_read(fd, &f, &fault), JL_MISSING);
        close(fd);
        CHECK(fault.line == (i == 0 ? 0 : 3) && f == NULL);
        CHECK(strstr(fault.expected, "the columns entry, time and what") != NULL);
    }
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
        CHECK(fault.line == 0 && fault.column == 0); /* of the entry, not of the book */
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

static void the_number_of_its_file_may_be_0(void) {
    jl_book_refusal r;
    jl_fault fault;
    jl_trouble trouble;
    const char *path = path_of("zero.csv");
    jl_book_entry e = entry_of(JL_BOOK_VESSEL, "", "cask-1", 60);
    e.measured.volume_l = 50;
    CHECK_OK(jl_book_create(path, NULL, &e, &r, &fault, &trouble));
    e = entry_of(JL_BOOK_VESSEL, "", "cask-2", 90);
    e.measured.volume_l = 50;
    int kept = input_away();
    CHECK_OK(write_one(path, &e, &r, &fault));
    CHECK(input_back(kept));
    unlink(path);
}

CU_TestInfo book_file_tests[] = {
    {"a column holds what it says", a_column_holds_what_it_says},
    {"the number of its file may be 0", the_number_of_its_file_may_be_0},
    {"texts that spoil a book are refused", texts_that_spoil_a_book_are_refused},
    {"what is written is read", what_is_written_is_read},
    {"a changed figure is named, and half a row left out",
     a_changed_figure_is_named_and_half_a_row_left_out},
    {"a row that the book refuses says what it needs",
     a_row_that_the_book_refuses_says_what_it_needs},
    {"a book with columns of its own is read and written",
     a_book_with_columns_of_its_own_is_read_and_written},
    {"a header that lacks a column is named", a_header_that_lacks_a_column_is_named},
    {"what cannot be written is refused", what_cannot_be_written_is_refused},
    {"a header without what happened is none", a_header_without_what_happened_is_none},
    {"what is no book is refused", what_is_no_book_is_refused},
    CU_TEST_INFO_NULL,
};
