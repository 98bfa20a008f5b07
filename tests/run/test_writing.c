/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/faults.h"
#include "run/run.h"
#include "run/run_of.h"
#include "suites.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- a log in a folder of its own ---- */

typedef struct place {
    char folder[32], path[64];
    char bytes[4096];
} place;

static place make_log(const char *text) {
    place p;
    strcpy(p.folder, "/tmp/logwrite-XXXXXX");
    if (mkdtemp(p.folder) == NULL) abort();
    snprintf(p.path, sizeof p.path, "%s/run.csv", p.folder);
    if (text == NULL) return p;
    FILE *file = fopen(p.path, "wb");
    fputs(text, file);
    fclose(file);
    return p;
}

static void clear_log(const place *p) {
    char command[64];
    snprintf(command, sizeof command, "rm -rf %s", p->folder);
    CHECK(system(command) == 0);
}

static const char *read_file(place *p, const char *suffix) {
    char path[80];
    snprintf(path, sizeof path, "%s%s", p->path, suffix);
    FILE *file = fopen(path, "rb");
    size_t n = file == NULL ? 0 : fread(p->bytes, 1, sizeof p->bytes - 1, file);
    if (file != NULL) fclose(file);
    p->bytes[n] = '\0';
    return p->bytes;
}

static void check_log(place *p, const char *want) {
    const char *got = read_file(p, "");
    if (strcmp(got, want) != 0) printf("\n--- want\n%s--- got\n%s---", want, got);
    CHECK(strcmp(got, want) == 0);
}

static jl_entry jar(double volume_l, double reading_pct, double temp_c) {
    jl_entry e = JL_ENTRY;
    e.volume_l = volume_l;
    e.reading.value = reading_pct;
    e.temp_c = temp_c;
    return e;
}

static jl_run *open_log(const place *p) {
    jl_run *run = NULL;
    CHECK_OK(jl_run_open(p->path, 0, &run, NULL, NULL));
    CU_ASSERT_PTR_NOT_NULL_FATAL(run);
    return run;
}

static jl_status add(const place *p, jl_entry e) {
    jl_run *run = open_log(p);
    jl_status status = jl_run_add_jar(run, &e, NULL);
    jl_run_free(run);
    return status;
}

static jl_status correct(const place *p, const char *name, jl_entry e) {
    jl_run *run = open_log(p);
    jl_status status = jl_run_correct_jar(run, name, &e, NULL);
    jl_run_free(run);
    return status;
}

/* ---- adding ---- */

static void a_new_log_takes_jars(void) {
    place p = make_log(NULL);
    const jl_fact_entry facts[] = {{.key = "title", .text = "cider, \"late\""},
                                   {.key = "charge_l", .values = {24}, .count = 1},
                                   {.key = "expect", .values = {0.5, 78.25, 78.9}, .count = 3}};
    CHECK_OK(jl_run_create(p.path, facts, 3, JL_LOG_PCT_C, NULL, NULL));
    CHECK_STATUS(jl_run_create(p.path, facts, 3, JL_LOG_PCT_C, NULL, NULL), JL_EXISTS);
    jl_entry e = jar(0.5, 72.5, 24);
    e.now = "2026-11-21T10:40:00+01:00";
    e.head_c = 79.25;
    e.note = "pear, clean";
    CHECK_OK(add(&p, e));
    CHECK_OK(add(&p, jar(0.4755, 71, 23.5)));
    check_log(&p, "#jarline,1\n#kind,run\n#title,\"cider, "
                  "\"\"late\"\"\"\n#charge_l,24\n#expect,0.5,78.25,78.9\n"
                  "jar,time,volume_ml,reading_pct,temp_c,head_c,boiler_c,fraction,note\n"
                  "1,2026-11-21T10:40:00+01:00,500,72.5,24,79.25,,,\"pear, clean\"\n"
                  "2,,475.5,71,23.5,,,,\n");
    clear_log(&p);
}

static void a_foreign_file_keeps_its_ways(void) {
    place p = make_log("\xef\xbb\xbf#charge_l;24;;\r\nVolume_L;Reading_pct;temp_F;x\r\n"
                       "0,5;78,1;70;\r\n0,5;76,0;71;");
    CHECK_OK(add(&p, jar(0.4755, 72.5, 24.3)));
    check_log(&p, "\xef\xbb\xbf#charge_l;24;;\r\nVolume_L;Reading_pct;temp_F;x\r\n"
                  "0,5;78,1;70;\r\n0,5;76,0;71;\r\n0,4755;72,5;75,74;\r\n");
    clear_log(&p);
}

static void decimal_commas_in_quotes_stay_unambiguous(void) {
    place p = make_log("volume_l,reading_pct,temp_c\n\"0,5\",\"78,1\",21\n");
    CHECK_OK(add(&p, jar(1.255, 72.5, 24)));
    check_log(&p, "volume_l,reading_pct,temp_c\n\"0,5\",\"78,1\",21\n\"1,2550\",\"72,5\",24\n");
    clear_log(&p);
}

static void a_figure_without_a_column_gets_one(void) {
    place p = make_log("#jarline,1\njar,volume_ml,reading_pct,temp_c\n1, 500 ,78.10,21\n");
    jl_entry e = jar(0.5, 72.5, 24);
    e.head_c = 80;
    e.now = "2026-11-21T10:40:00+01:00"; /* no column asks for it */
    CHECK_OK(add(&p, e));
    check_log(&p, "#jarline,1\njar,volume_ml,reading_pct,temp_c,head_c\n1, 500 ,78.10,21,\n"
                  "2,500,72.5,24,80\n");
    e.time = "2026-11-21T10:50:00+01:00";
    e.head_c = NAN;
    CHECK_OK(add(&p, e));
    check_log(&p, "#jarline,1\njar,volume_ml,reading_pct,temp_c,head_c,time\n"
                  "1, 500 ,78.10,21,,\n2,500,72.5,24,80,\n"
                  "3,500,72.5,24,,2026-11-21T10:50:00+01:00\n");
    clear_log(&p);
}

static void notes_come_back_or_are_refused(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct,note\n");
    static const char *const NOTES[] = {
        "=1+1",    "+x",         "-",        "@me", " =2",
        "a,b;c",   "say \"ah\"", " blanks ", "#5",  "\xf0\x9f\x8d\x90 \xd7\xa9",
        "\xff\xfe"};
    for (size_t i = 0; i < sizeof NOTES / sizeof NOTES[0]; i++) {
        jl_entry e = JL_ENTRY;
        e.volume_l = 0.5;
        e.strength.value = 70;
        e.note = NOTES[i];
        CHECK_OK(add(&p, e));
    }
    check_log(&p, "#jarline,1\njar,volume_ml,strength_pct,note\n1,500,70,\" =1+1\"\n"
                  "2,500,70,\" +x\"\n3,500,70,\" -\"\n4,500,70,\" @me\"\n5,500,70,\"  =2\"\n"
                  "6,500,70,\"a,b;c\"\n7,500,70,\"say \"\"ah\"\"\"\n8,500,70,\" blanks \"\n"
                  "9,500,70,\"#5\"\n10,500,70,\xf0\x9f\x8d\x90 \xd7\xa9\n11,500,70,\xff\xfe\n");
    jl_entry e = jar(0.5, 70, 20);
    e.note = "two\nlines";
    CHECK_STATUS(add(&p, e), JL_FORM);
    char *large = malloc(70000);
    memset(large, 'a', 69999);
    large[69999] = '\0';
    e.note = large;
    CHECK_STATUS(add(&p, e), JL_TOO_LONG);
    free(large);
    clear_log(&p);
}

/* ---- torn rows ---- */

static void a_torn_row_is_moved_aside(void) {
    static const char *const TORN[] = {"2,500,7", "2,500,70,\"still", "2"};
    for (size_t i = 0; i < sizeof TORN / sizeof TORN[0]; i++) {
        char text[128];
        snprintf(text, sizeof text, "#jarline,1\njar,volume_ml,strength_pct,note\n1,500,71,\n%s",
                 TORN[i]);
        place p = make_log(text);
        jl_entry e = JL_ENTRY;
        e.volume_l = 0.25;
        e.strength.value = 70;
        CHECK_OK(add(&p, e));
        check_log(&p, "#jarline,1\njar,volume_ml,strength_pct,note\n1,500,71,\n2,250,70,\n");
        CHECK(strcmp(read_file(&p, ".torn-1"), TORN[i]) == 0);
        clear_log(&p);
    }
}

static void an_open_quote_that_swallows_rows_is_no_torn_row(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct,note\n1,500,71,\"open\n2,500,7,\n");
    jl_run *run = NULL;
    jl_fault fault;
    CHECK_STATUS(jl_run_open(p.path, 0, &run, &fault, NULL), JL_FORM);
    CHECK(fault.line == 3);
    clear_log(&p);
}

/* ---- rewriting ---- */

static const char SPREADSHEET[] =
    "#note;\"kept; as it is\";;\r\n\"Jar\" ; Volume_ml;reading_pct;"
    "temp_c;Note;Fraction;\r\n\r\n 1;\"500\";78,10 ;21;\"two\r\nlines\";"
    "Heads;\r\n2;500,0;76;22;\"a \"\"b\"\"\";;\r\n#undone;1;\r\n"
    "3;500;74;23;;;\r\n;;;;;;\r\n";

static void correcting_changes_only_the_cells_it_must(void) {
    place p = make_log(SPREADSHEET);
    jl_entry e = JL_ENTRY;
    e.reading.value = 75.5;
    e.volume_l = 0.5;
    CHECK_OK(correct(&p, "2", e));
    char want[sizeof SPREADSHEET + 16];
    strcpy(want, SPREADSHEET);
    char *cell = strstr(want, "500,0;76;") + 6;
    memmove(cell + 4, cell + 2, strlen(cell + 2) + 1);
    memcpy(cell, "75,5", 4);
    check_log(&p, want);
    CHECK_STATUS(correct(&p, "9", e), JL_MISSING);
    check_log(&p, want);
    clear_log(&p);
}

/* The same moment, written otherwise, is no change. */
static void a_time_that_is_the_same_stays_as_it_was_written(void) {
    place p = make_log("jar,time,volume_ml,strength_pct\n1,2026-11-21T10:40+01:00,500,70\n");
    jl_entry e = JL_ENTRY;
    e.time = "2026-11-21T10:40:00+01:00";
    e.volume_l = 0.4;
    CHECK_OK(correct(&p, "1", e));
    check_log(&p, "jar,time,volume_ml,strength_pct\n1,2026-11-21T10:40+01:00,400,70\n");
    e.time = "2026-11-21T10:41:00+01:00";
    CHECK_OK(correct(&p, "1", e));
    check_log(&p, "jar,time,volume_ml,strength_pct\n1,2026-11-21T10:41:00+01:00,400,70\n");
    clear_log(&p);
}

/* A log with two columns for one figure could not be read. */
static void a_reading_on_another_scale_is_refused(void) {
    static const char LOG[] = "volume_l,temp_f,reading_pct\n0.5,70,78\n";
    place p = make_log(LOG);
    jl_entry e = jar(0.75, 140, 20);
    e.reading.unit = JL_UNIT_PROOF_US;
    CHECK_STATUS(correct(&p, "1", e), JL_CONFLICT);
    CHECK_STATUS(add(&p, e), JL_CONFLICT);
    check_log(&p, LOG);
    CHECK_OK(correct(&p, "1", jar(0.75, 77, 20)));
    check_log(&p, "volume_l,temp_f,reading_pct\n0.75,68,77\n");
    clear_log(&p);
}

static void the_jar_that_counts_is_corrected(void) {
    place p = make_log("jar,volume_ml,strength_pct\n4,500,71\n#undone,4,\n4,500,70\n");
    jl_entry e = JL_ENTRY;
    e.volume_l = 0.4;
    CHECK_OK(correct(&p, "4", e));
    check_log(&p, "jar,volume_ml,strength_pct\n4,500,71\n#undone,4,\n4,400,70\n");
    clear_log(&p);
    p = make_log("jar,volume_ml,strength_pct\n4,500,71\n4,500,70\n");
    jl_run *run;
    CHECK_STATUS(jl_run_open(p.path, 0, &run, NULL, NULL), JL_CONFLICT);
    clear_log(&p);
}

static jl_status mark(const place *p, const jl_fraction *fractions, size_t *changed) {
    jl_run *run = open_log(p);
    jl_status status = jl_run_mark(run, fractions, changed, NULL);
    jl_run_free(run);
    return status;
}

/* The first jar does not count. */
static void marking_changes_only_fractions(void) {
    place p = make_log(SPREADSHEET);
    size_t changed = 0;
    CHECK_OK(mark(&p, (jl_fraction[]){JL_HEARTS, JL_UNDECIDED}, &changed));
    CHECK(changed == 1);
    char want[sizeof SPREADSHEET + 16];
    strcpy(want, SPREADSHEET);
    char *cell = strstr(want, "\"\"\";;") + 4;
    memmove(cell + 6, cell, strlen(cell) + 1);
    memcpy(cell, "hearts", 6);
    check_log(&p, want);
    CHECK_OK(mark(&p, (jl_fraction[]){JL_UNDECIDED, JL_UNDECIDED}, &changed));
    CHECK(changed == 1);
    check_log(&p, SPREADSHEET);
    clear_log(&p);
}

static void marking_adds_the_column(void) {
    place p = make_log("#a,b\nvolume_ml,strength_pct\n500,71\n400,70\n300,70,\n#undone,2\n");
    size_t changed = 0;
    CHECK_OK(mark(&p, (jl_fraction[]){JL_HEADS, JL_HEARTS}, &changed));
    CHECK(changed == 2);
    check_log(&p, "#a,b\nvolume_ml,strength_pct,fraction\n500,71,heads\n400,70,\n300,70,hearts\n"
                  "#undone,2\n");
    clear_log(&p);
}

/* ---- facts ---- */

static void facts_are_set_where_they_stand(void) {
    place p = make_log("#jarline,1\n#left_l,17\nvolume_ml,strength_pct\n500,71\n"
                       "#left_temp_c,20\n#left_reading_pct,2.3\n#left_l,20");
    jl_run *run = open_log(&p);
    const jl_fact_entry facts[] = {{.key = "left_l", .values = {18}, .count = 1},
                                   {.key = "left_reading_pct"},
                                   {.key = "left_strength_pct", .values = {2.1}, .count = 1}};
    CHECK_OK(jl_run_set_facts(run, facts, 3, NULL));
    check_log(&p, "#jarline,1\n#left_l,18\nvolume_ml,strength_pct\n500,71\n#left_temp_c,20\n"
                  "#left_strength_pct,2.1\n");
    CHECK(strcmp(read_file(&p, ".torn-1"), "#left_l,20") == 0);
    CHECK(jl_run_torn_line(run) == 0);
    CHECK_OK(jl_run_undo(run, "1", "2026-03-07T18:05:00+01:00", NULL));
    size_t count;
    jl_run_jars(run, &count);
    CHECK(count == 0 && jl_run_recovery(run)->left_stated);
    jl_run_free(run);
    check_log(&p, "#jarline,1\n#left_l,18\nvolume_ml,strength_pct\n500,71\n#left_temp_c,20\n"
                  "#left_strength_pct,2.1\n#undone,1,2026-03-07T18:05:00+01:00\n");
    clear_log(&p);
}

/* Half of what is appended states nothing. */
static void what_is_left_is_stated_in_an_order_that_may_break_off(void) {
    static const char LOG[] = "#jarline,1\nvolume_ml,strength_pct\n500,71\n";
    place p = make_log(LOG);
    jl_run *run = open_log(&p);
    const jl_left left = {18, 21, {NAN, JL_UNIT_PCT_VOL}, {2, JL_UNIT_PCT_VOL}};
    CHECK_OK(jl_run_set_left(run, &left, NULL));
    CHECK(jl_run_recovery(run)->left_stated);
    char whole[200];
    strcpy(whole, read_file(&p, ""));
    CHECK(strcmp(whole + sizeof LOG - 1, "#left_temp_c,21\n#left_reading_pct,2\n#left_l,18\n") ==
          0);
    for (size_t size = sizeof LOG; size < strlen(whole); size++) {
        jl_run *torn;
        int fd = given_bytes(whole, size);
        CHECK_OK(jl_run_read(fd, &torn, NULL));
        CHECK(!jl_run_recovery(torn)->left_stated);
        jl_run_free(torn);
        close(fd);
    }
    const jl_left other = {17, NAN, {30, JL_UNIT_PROOF_US}, {NAN, JL_UNIT_PCT_VOL}};
    CHECK_OK(jl_run_set_left(run, &other, NULL));
    check_log(&p,
              "#jarline,1\nvolume_ml,strength_pct\n500,71\n#left_l,17\n#left_strength_proof,30\n");
    jl_run_free(run);
    clear_log(&p);
}

static void a_number_is_free_after_an_undo(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct\n7,500,71\n3,500,70\n#undone,7\n");
    jl_run *run = open_log(&p);
    CHECK(jl_run_next_jar(run) == 4);
    jl_entry e = jar(0.5, 72.5, 24);
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    CHECK_OK(jl_run_undo(run, "4", "2026-03-07T18:05:00Z", NULL));
    CHECK(jl_run_next_jar(run) == 4);
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    CU_ASSERT_STRING_EQUAL(jl_run_jar(run, 1)->name, "4");
    jl_run_free(run);
    check_log(&p, "#jarline,1\njar,volume_ml,strength_pct,reading_pct,temp_c\n7,500,71,,\n"
                  "3,500,70,,\n#undone,7\n4,500,,72.5,24\n#undone,4,2026-03-07T18:05:00Z\n"
                  "4,500,,72.5,24\n");
    clear_log(&p);
}

static void after_the_highest_number_there_is_no_jar(void) {
    place p = make_log("jar,volume_ml,reading_pct,temp_c\n999999999,250,60,20\n");
    jl_fault fault = {.line = 7};
    jl_run *run = open_log(&p);
    const jl_entry e = jar(0.25, 59, 20);
    CHECK_STATUS(jl_run_add_jar(run, &e, &fault), JL_RANGE);
    CHECK(fault.line == 0); /* of the entry, not of the log */
    jl_run_free(run);
    check_log(&p, "jar,volume_ml,reading_pct,temp_c\n999999999,250,60,20\n");
    clear_log(&p);
}

static void a_forgotten_jar_is_put_in(void) {
    place p = make_log("#jarline,1\nvolume_ml,strength_pct\n500,71\n400,70\n300,69\n");
    jl_run *run = open_log(&p);
    jl_entry e = JL_ENTRY;
    jl_jar made = {.size = sizeof made};
    jl_fault fault;
    e.volume_l = 0.45;
    e.strength.value = 70.5;
    e.jar = "1a";
    CHECK_OK(jl_run_jar_of_entry(run, NULL, &e, &made, NULL));
    CU_ASSERT_STRING_EQUAL(made.name, "1a");
    CHECK_NEAR(made.before_l, 0.5, 1e-9);
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    CHECK(jl_run_next_jar(run) == 4);
    CHECK_STATUS(jl_run_add_jar(run, &e, &fault), JL_CONFLICT);
    CU_ASSERT_STRING_EQUAL(fault.cell, "1a");
    e.jar = "5a";
    CHECK_STATUS(jl_run_add_jar(run, &e, NULL), JL_MISSING);
    e.jar = "6";
    CHECK_STATUS(jl_run_add_jar(run, &e, NULL), JL_MISSING);
    e.jar = "first";
    CHECK_STATUS(jl_run_add_jar(run, &e, NULL), JL_FORM);
    CHECK_OK(jl_run_undo(run, "2", NULL, NULL));
    e.jar = "2";
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    CHECK_NEAR(jl_run_jar_named(run, "2")->volume_l, 0.45, 1e-12);
    CHECK_OK(jl_run_undo(run, "1a", NULL, NULL));
    jl_run_free(run);
    check_log(&p, "#jarline,1\nvolume_ml,strength_pct,jar\n500,71,\n400,70,\n300,69,\n"
                  "450,70.5,1a\n#undone,2,\n450,70.5,2\n#undone,1a,\n");
    clear_log(&p);
}

/* ---- one record for one and many changes ---- */

static void a_record_goes_on_after_a_change(void) {
    static const char *const LOGS[] = {
        "#jarline,1\njar,volume_ml,reading_pct,temp_c\n1,500,70,20\n",
        "jar,volume_ml,reading_pct,temp_c\n1,500,70,20"};
    for (size_t i = 0; i < 2; i++) {
        place p = make_log(LOGS[i]);
        jl_run *run = open_log(&p), *other;
        size_t count;
        jl_entry e = jar(0.25, 65, 21);
        e.head_c = 80;
        CHECK_OK(jl_run_add_jar(run, &e, NULL));
        e = jar(0.3, 60, 22);
        CHECK_OK(jl_run_add_jar(run, &e, NULL));
        const jl_jar *jars = jl_run_jars(run, &count);
        CHECK(count == 3 && jars[2].number == 3 && jars[1].head_c == 80);
        CHECK_NEAR(jars[2].before_l, jars[1].until_l, 0);
        CHECK_STATUS(jl_run_open(p.path, 0, &other, NULL, NULL), JL_BUSY);
        jl_run_release(run);
        CHECK_STATUS(jl_run_add_jar(run, &e, NULL), JL_EXISTS);
        CHECK_OK(jl_run_open(p.path, 0, &other, NULL, NULL));
        jl_run_free(other);
        jl_run_free(run);
        clear_log(&p);
    }
}

static void an_entry_is_a_jar_before_it_is_written(void) {
    place p = make_log("#jarline,1\n#thermometer_correction_c,1\njar,volume_ml,reading_pct,temp_c\n"
                       "1,500,70,20\n2,400,60,21\n");
    jl_run *run = open_log(&p);
    jl_jar made = {.size = sizeof made};
    jl_fault fault;
    jl_entry e = jar(0.25, 50, 22);
    size_t count;
    CHECK_OK(jl_run_jar_of_entry(run, NULL, &e, &made, NULL));
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    const jl_jar *jars = jl_run_jars(run, &count);
    CHECK(made.number == 3 && made.liquid_c == 23);
    CHECK_NEAR(made.spirit.ethanol_kg, jars[2].spirit.ethanol_kg, 1e-12);
    CHECK_NEAR(made.before_l, jars[2].before_l, 0);
    CHECK_NEAR(made.until_l, jars[2].until_l, 1e-12);
    e = JL_ENTRY;
    e.reading.value = 61;
    CHECK_OK(jl_run_jar_of_entry(run, "2", &e, &made, NULL));
    CHECK(made.number == 2 && made.volume_l == 0.4 && made.temp_c == 21);
    CHECK_NEAR(made.before_l, jars[1].before_l, 0);
    CHECK_STATUS(jl_run_jar_of_entry(run, "9", &e, &made, NULL), JL_MISSING);
    made.size = 0;
    CHECK_STATUS(jl_run_jar_of_entry(run, "2", &e, &made, NULL), JL_RANGE);
    CHECK(made.number == 2 && jl_run_jar(run, 1) == &jars[1] && jl_run_jar(run, count) == NULL);
    made.size = sizeof made;
    CHECK_STATUS(jl_run_jar_of_entry(run, NULL, &e, &made, NULL), JL_MISSING);
    e = jar(0.25, 1, 30);
    CHECK_STATUS(jl_run_jar_of_entry(run, NULL, &e, &made, &fault), JL_NO_MIXTURE);
    CHECK(strcmp(fault.cell, "1") == 0 && fault.expected != NULL);
    e = jar(0.25, 50, 39.5);
    CHECK_STATUS(jl_run_jar_of_entry(run, NULL, &e, &made, NULL), JL_RANGE);
    e = jar(0.25, 50, 20);
    e.strength.value = 40;
    CHECK_STATUS(jl_run_jar_of_entry(run, NULL, &e, &made, NULL), JL_CONFLICT);
    jl_run_free(run);
    clear_log(&p);
}

/* ---- what a log could not be read with is not written ---- */

static void what_spoils_a_log_is_refused(void) {
    static const char LOG[] =
        "#jarline,1\njar,time,volume_l,reading_pct,temp_c,head_c,fraction,note\n";
    static const struct {
        jl_entry e;
        jl_status status;
    } bad[] = {
#define ENTRY(v, r, t, h)                                                                          \
    .size = sizeof(jl_entry), .volume_l = v, .reading = {r, JL_UNIT_PCT_VOL},                      \
    .strength = {NAN, JL_UNIT_PCT_VOL}, .temp_c = t, .head_c = h, .boiler_c = NAN,                 \
    .weight_kg = NAN, .empty_kg = NAN, .spout = {NAN, JL_UNIT_PCT_VOL}, .spout_temp_c = NAN,       \
    .taken_l = NAN
        {{ENTRY(INFINITY, 70, 20, NAN)}, JL_RANGE},
        {{ENTRY(-0.5, 70, 20, NAN)}, JL_RANGE},
        {{ENTRY(0, 70, 20, NAN)}, JL_RANGE},
        {{ENTRY(1e-11, 70, 20, NAN)}, JL_RANGE}, /* nine decimals leave nothing of it */
        {{ENTRY(NAN, 70, 20, NAN)}, JL_MISSING},
        {{ENTRY(0.5, 500, 20, NAN)}, JL_RANGE},
        {{ENTRY(0.5, -INFINITY, 20, NAN)}, JL_RANGE},
        {{ENTRY(0.5, 70, NAN, NAN)}, JL_MISSING},
        {{ENTRY(0.5, NAN, 20, NAN)}, JL_MISSING},
        {{ENTRY(0.5, 70, 41, NAN)}, JL_RANGE},
        {{ENTRY(0.5, 1, 30, NAN)}, JL_NO_MIXTURE},
        {{ENTRY(0.5, 70, 20, 1e300)}, JL_RANGE},
        {{ENTRY(0.5, 70, 20, NAN), .time = "nonsense"}, JL_FORM},
        {{ENTRY(0.5, 70, 20, NAN), .time = "2026-02-30T18:05:00Z"}, JL_RANGE},
        {{ENTRY(0.5, 70, 20, NAN), .now = "later"}, JL_FORM},
        {{ENTRY(0.5, 70, 20, NAN), .fraction = "=cmd|x"}, JL_FORM},
        {{ENTRY(0.5, 70, 20, NAN), .note = "two\rlines"}, JL_FORM},
        {{.volume_l = 0.5}, JL_RANGE}, /* without its size */
    };
    place p = make_log(LOG);
    jl_run *run = open_log(&p);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        jl_fault fault = {.expected = NULL};
        CHECK_STATUS(jl_run_add_jar(run, &bad[i].e, &fault), (int)bad[i].status);
        CHECK(fault.status == bad[i].status && fault.expected != NULL);
    }
    CHECK(jl_run_next_jar(run) == 1 && !jl_run_trouble(run).uncertain);
    jl_run_free(run);
    check_log(&p, LOG);
    clear_log(&p);
}

static void facts_that_spoil_a_log_are_refused(void) {
    static const char LOG[] = "#jarline,1\njar,volume_ml,strength_pct\n1,500,70\n";
    static const jl_fact_entry bad[] = {
        {.key = "a\nb", .text = "x"},
        {.key = "title\n2,500,60", .text = "x"},
        {.key = "1st", .text = "x"},
        {.key = "", .text = "x"},
        {.key = "title", .text = "x\ny"},
        {.key = "charge_l", .values = {INFINITY}, .count = 1},
        {.key = "calibrated_c", .values = {20}, .count = 1}, /* the jars above were read without */
        {.key = "undone", .values = {1}, .count = 1},        /* jl_run_undo takes jars back */
        {.key = "undone", .values = {2}, .count = 1},
        {.key = "left_l", .values = {-1}, .count = 1},
        {.key = "left_reading_pct", .values = {1}, .count = 1},
        {.key = "expect", .values = {1, 200, 80}, .count = 3},
        {.key = "jarline", .values = {2}, .count = 1},
    };
    place p = make_log(LOG);
    jl_run *run = open_log(&p);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        CHECK(jl_run_add_facts(run, &bad[i], 1, NULL) != JL_OK);
        CHECK(jl_run_set_facts(run, &bad[i], 1, NULL) != JL_OK);
    }
    char *large = malloc(70001);
    memset(large, 'a', 70000);
    large[70000] = '\0';
    const jl_fact_entry title = {.key = "title", .text = large};
    CHECK_STATUS(jl_run_add_facts(run, &title, 1, NULL), JL_TOO_LONG);
    place new = make_log(NULL);
    jl_fault fault;
    CHECK_STATUS(jl_run_create(new.path, &title, 1, JL_LOG_PCT_C, &fault, NULL), JL_TOO_LONG);
    CHECK(fault.line == 3 && access(new.path, F_OK) != 0);
    CHECK_STATUS(jl_run_create(new.path, &bad[1], 1, JL_LOG_PCT_C, NULL, NULL), JL_FORM);
    clear_log(&new);
    free(large);
    CHECK_STATUS(jl_run_undo(run, "2", "2026-03-07T18:05:00+01:00", NULL), JL_MISSING);
    CHECK_STATUS(jl_run_undo(run, "1", "noon", NULL), JL_FORM);
    jl_run_free(run);
    check_log(&p, LOG);
    clear_log(&p);
}

/* A log that was only read, and an entry without its size, change nothing. */
static void what_cannot_begin_is_refused(void) {
    static const char LOG[] = "#jarline,1\n#title,x\njar,volume_ml,strength_pct\n1,500,70\n";
    place p = make_log(LOG);
    const jl_fact_entry fact = {.key = "title", .text = "y"};
    const jl_fraction fraction = JL_HEARTS;
    jl_entry e = JL_ENTRY;
    jl_fact_entry many[17];
    size_t changed = 7;
    jl_fault fault;
    jl_run *run = run_of(LOG);
    e.volume_l = 0.4;
    CHECK_STATUS(jl_run_correct_jar(run, "1", &e, NULL), JL_EXISTS);
    CHECK_STATUS(jl_run_mark(run, &fraction, &changed, NULL), JL_EXISTS);
    CHECK_STATUS(jl_run_add_facts(run, &fact, 1, NULL), JL_EXISTS);
    CHECK_STATUS(jl_run_set_facts(run, &fact, 1, NULL), JL_EXISTS);
    CHECK_STATUS(jl_run_undo(run, "1", NULL, NULL), JL_EXISTS);
    CHECK(changed == 7);
    jl_run_free(run);
    run = open_log(&p);
    e.size = 0;
    jl_jar made = {.size = sizeof made};
    CHECK_STATUS(jl_run_correct_jar(run, "1", &e, &fault), JL_RANGE);
    CHECK(fault.status == JL_RANGE && fault.expected != NULL);
    CHECK_STATUS(jl_run_jar_of_entry(run, "1", &e, &made, NULL), JL_RANGE);
    for (size_t i = 0; i < 17; i++) many[i] = (jl_fact_entry){.key = "a", .text = "b"};
    CHECK_STATUS(jl_run_set_facts(run, many, 17, &fault), JL_RANGE);
    CHECK(strstr(fault.expected, "16") != NULL);
    jl_run_free(run);
    check_log(&p, LOG);
    clear_log(&p);
}

/* What could not be put in place is told of, whatever the caller's fault held before. */
static void what_was_not_put_in_place_is_told_of(void) {
    static const char LOG[] = "#jarline,1\n#title,x\njar,volume_ml,strength_pct\n1,500,70\n";
    static const fault_call FULL[FAULTS_MOST] = {{"fsync", 1, ENOSPC, false}};
    place p = make_log(LOG);
    const jl_fact_entry fact = {.key = "title", .text = "y"};
    jl_fault fault = {.status = JL_FORM, .line = 7};
    jl_run *run = open_log(&p);
    faults_begin(FULL);
    CHECK_STATUS(jl_run_set_facts(run, &fact, 1, &fault), JL_IO);
    CHECK(faults_end());
    CHECK(fault.status == JL_IO && fault.line == 0);
    jl_run_free(run);
    check_log(&p, LOG);
    clear_log(&p);
}

/* Comments and undos stand between facts, and count for none. */
static void facts_are_found_between_comments_and_undos(void) {
    place p =
        make_log("#jarline,1\n# as every year\n#title,x\njar,volume_ml,strength_pct\n1,500,70\n"
                 "#undone,1\n#left_l,17\n# the end\n#undone,1\n");
    jl_run *run = open_log(&p);
    const jl_fact_entry facts[] = {{.key = "LEFT_L", .values = {18}, .count = 1},
                                   {.key = "title", .text = "y"}};
    CHECK_OK(jl_run_set_facts(run, facts, 2, NULL));
    check_log(&p, "#jarline,1\n# as every year\n#title,y\njar,volume_ml,strength_pct\n1,500,70\n"
                  "#undone,1\n#left_l,18\n# the end\n#undone,1\n");
    jl_run_free(run);
    clear_log(&p);
}

static void a_reading_of_what_is_left_may_be_in_proof(void) {
    static const char LOG[] = "#jarline,1\nvolume_ml,strength_pct\n500,71\n";
    place p = make_log(LOG);
    jl_run *run = open_log(&p);
    const jl_left left = {18, 15.6, {NAN, JL_UNIT_PCT_VOL}, {4, JL_UNIT_PROOF_US}};
    CHECK_OK(jl_run_set_left(run, &left, NULL));
    CHECK_NEAR(jl_pure_alcohol_l(jl_run_recovery(run)->left), 18 * 0.02, 0.003);
    check_log(&p, "#jarline,1\nvolume_ml,strength_pct\n500,71\n#left_temp_c,15.6\n"
                  "#left_reading_proof,4\n#left_l,18\n");
    jl_run_free(run);
    clear_log(&p);
}

/* A cell changes where what it says changes, and a text of nothing needs no column. */
static void a_text_is_corrected_where_it_differs(void) {
    static const char HEAD[] = "jar,time,volume_ml,strength_pct,fraction\n";
    static const struct {
        const char *row, *time, *fraction, *note, *want;
    } AT[] = {
        {"1,2026-03-07T18:05:00+01:00,500,70,hearts\n", "2026-03-07T18:05:00+01:00", "HEARTS", "",
         "1,2026-03-07T18:05:00+01:00,500,70,hearts\n"},
        {"1,2026-03-07T18:05:00+01:00,500,70,hearts\n", "2026-03-07T17:05:00Z", "tails", NULL,
         "1,2026-03-07T17:05:00Z,500,70,tails\n"},
        {"1,2026-03-07T18:05:00+01:00,500,70,\n", "2026-03-07T18:06:00+01:00", NULL, NULL,
         "1,2026-03-07T18:06:00+01:00,500,70,\n"},
        {"1,2026-03-07T18:05:00+01:00,500,70,\n", "", "heads", NULL, "1,,500,70,heads\n"},
        {"1,,500,70,\n", "", "", NULL, "1,,500,70,\n"},
        {"1,,500,70,\n", "2026-03-07T18:06:00+01:00", NULL, NULL,
         "1,2026-03-07T18:06:00+01:00,500,70,\n"},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[300], want[300];
        snprintf(text, sizeof text, "%s%s", HEAD, AT[i].row);
        snprintf(want, sizeof want, "%s%s", HEAD, AT[i].want);
        place p = make_log(text);
        jl_entry e = JL_ENTRY;
        e.time = AT[i].time;
        e.fraction = AT[i].fraction;
        e.note = AT[i].note;
        CHECK_OK(correct(&p, "1", e));
        check_log(&p, want);
        clear_log(&p);
    }
    place p = make_log("jar,volume_ml,strength_pct\n1,500,70\n2,400,60\n");
    jl_entry e = JL_ENTRY;
    e.note = "pear";
    CHECK_OK(correct(&p, "1", e));
    check_log(&p, "jar,volume_ml,strength_pct,note\n1,500,70,pear\n2,400,60,\n");
    clear_log(&p);
}

/* What an entry does not say is the jar's own; of volume and weight the one that was measured. */
static void a_jar_is_measured_anew_over_what_it_was(void) {
    place p =
        make_log("#jarline,1\n#empty_g,200\njar,volume_ml,weight_g,empty_g,reading_pct,temp_c,"
                 "spout_pct,spout_temp_c\n1,500,,,70,20,,\n2,,600,180,,,69,22\n");
    jl_run *run = open_log(&p);
    jl_jar made = {.size = sizeof made};
    const jl_jar *weighed = jl_run_jar(run, 1);
    jl_entry e = JL_ENTRY;
    e.taken_l = 0.01;
    CHECK_OK(jl_run_jar_of_entry(run, "2", &e, &made, NULL));
    CHECK(made.by_weight && made.weight_kg == 0.6 && made.empty_kg == 0.18 && made.taken_l == 0.01);
    CHECK(made.spout.value == 69 && made.spout_temp_c == 22);
    e.weight_kg = 0.65;
    e.empty_kg = 0.19;
    e.spout.value = 60;
    e.spout_temp_c = 21;
    CHECK_OK(jl_run_jar_of_entry(run, "2", &e, &made, NULL));
    CHECK(made.weight_kg == 0.65 && made.empty_kg == 0.19);
    CHECK(made.spout.value == 60 && made.spout_temp_c == 21);
    CHECK(made.volume_l > weighed->volume_l);
    CHECK_OK(jl_run_jar_of_entry(run, "1", &e, &made, NULL));      /* weighed now */
    CHECK(made.by_weight && made.from_spout && !made.has_reading); /* and read at the spout */
    e = JL_ENTRY;
    e.volume_l = 0.4;
    CHECK_OK(jl_run_jar_of_entry(run, "2", &e, &made, NULL)); /* poured into a measure */
    CHECK(!made.by_weight && made.volume_l == 0.4 && made.spout.value == 69);
    CHECK_OK(jl_run_jar_of_entry(run, "1", &e, &made, NULL));
    CHECK(!made.by_weight && made.volume_l == 0.4 && made.temp_c == 20);
    jl_run_free(run);
    clear_log(&p);
}

/* ---- a last row of nothing ---- */

static void a_last_row_of_nothing_takes_no_jar_with_it(void) {
    static const char *const ENDS[] = {";;;", "\"\"", ";", " ", "\t ", ";;;;;;", "\r", ";\r"};
    static const char *const HEADS[] = {"", "#jarline;1;;\n"};
    for (size_t h = 0; h < 2; h++)
        for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
            char text[200];
            snprintf(text, sizeof text, "%sjar;volume_ml;reading_pct;temp_c\n1;250;70;20\n%s",
                     HEADS[h], ENDS[i]);
            place p = make_log(text);
            size_t count, changed;
            CHECK_OK(add(&p, jar(0.25, 60, 20)));
            CHECK_OK(mark(&p, (jl_fraction[]){JL_HEADS, JL_HEARTS}, &changed));
            jl_run *run = open_log(&p);
            const jl_jar *jars = jl_run_jars(run, &count);
            CU_ASSERT_EQUAL_FATAL(count, 2);
            CHECK(jars[1].number == 2 && jars[1].reading.value == 60 && changed == 2);
            CHECK(jars[0].reading.value == 70 && jars[0].fraction == JL_HEADS);
            CHECK_OK(jl_run_undo(run, "2", "2026-03-07T18:05:00+01:00", NULL));
            CHECK_OK(jl_run_set_left(
                run, &(jl_left){18, NAN, {2, JL_UNIT_PCT_VOL}, {NAN, JL_UNIT_PCT_VOL}}, NULL));
            jl_run_free(run);
            clear_log(&p);
        }
}

static void the_number_of_its_file_may_be_0(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct\n1,500,70\n");
    jl_entry e = jar(0.5, NAN, NAN);
    e.strength.value = 69;
    int kept = input_away();
    jl_run *run = open_log(&p);
    CHECK_OK(jl_run_add_jar(run, &e, NULL));
    jl_run_free(run);
    CHECK(input_back(kept));
    clear_log(&p);
}

/* Its row is not where it stands among the jars. */
static void the_first_jar_is_changed_in_its_own_row(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct,fraction\n2,500,60,\n1,400,70,\n");
    const jl_fraction as[] = {JL_HEARTS, JL_TAILS};
    jl_entry e = JL_ENTRY;
    size_t changed;
    e.strength.value = 71;
    CHECK_OK(correct(&p, "1", e));
    jl_run *run = open_log(&p);
    CHECK_OK(jl_run_mark(run, as, &changed, NULL));
    CHECK(changed == 2);
    jl_run_free(run);
    check_log(&p,
              "#jarline,1\njar,volume_ml,strength_pct,fraction\n2,500,60,tails\n1,400,71,hearts\n");
    clear_log(&p);
}

CU_TestInfo writing_tests[] = {
    {"the first jar is changed in its own row", the_first_jar_is_changed_in_its_own_row},
    {"the number of its file may be 0", the_number_of_its_file_may_be_0},
    {"what cannot begin is refused", what_cannot_begin_is_refused},
    {"facts are found between comments and undos", facts_are_found_between_comments_and_undos},
    {"a reading of what is left may be in proof", a_reading_of_what_is_left_may_be_in_proof},
    {"a text is corrected where it differs", a_text_is_corrected_where_it_differs},
    {"a jar is measured anew over what it was", a_jar_is_measured_anew_over_what_it_was},
    {"a new log takes jars", a_new_log_takes_jars},
    {"a foreign file keeps its ways", a_foreign_file_keeps_its_ways},
    {"decimal commas in quotes stay unambiguous", decimal_commas_in_quotes_stay_unambiguous},
    {"a figure without a column gets one", a_figure_without_a_column_gets_one},
    {"notes come back or are refused", notes_come_back_or_are_refused},
    {"a torn row is moved aside", a_torn_row_is_moved_aside},
    {"an open quote that swallows rows is no torn row",
     an_open_quote_that_swallows_rows_is_no_torn_row},
    {"mending changes only the cells it must", correcting_changes_only_the_cells_it_must},
    {"a time that is the same stays as it was written",
     a_time_that_is_the_same_stays_as_it_was_written},
    {"a reading on another scale is refused", a_reading_on_another_scale_is_refused},
    {"the jar that counts is mended", the_jar_that_counts_is_corrected},
    {"marking changes only fractions", marking_changes_only_fractions},
    {"marking adds the column", marking_adds_the_column},
    {"facts are set where they stand", facts_are_set_where_they_stand},
    {"what was not put in place is told of", what_was_not_put_in_place_is_told_of},
    {"what is left is stated in an order that may break off",
     what_is_left_is_stated_in_an_order_that_may_break_off},
    {"after the highest number there is no jar", after_the_highest_number_there_is_no_jar},
    {"a number is free after an undo", a_number_is_free_after_an_undo},
    {"a forgotten jar is put in", a_forgotten_jar_is_put_in},
    {"a record goes on after a change", a_record_goes_on_after_a_change},
    {"an entry is a jar before it is written", an_entry_is_a_jar_before_it_is_written},
    {"what spoils a log is refused", what_spoils_a_log_is_refused},
    {"facts that spoil a log are refused", facts_that_spoil_a_log_are_refused},
    {"a last row of nothing takes no jar with it", a_last_row_of_nothing_takes_no_jar_with_it},
    CU_TEST_INFO_NULL,
};
