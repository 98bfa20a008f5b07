/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

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

static jl_entry no_figures(void) {
    return (jl_entry){.volume_l = NAN,
                      .reading = {NAN, JL_UNIT_PCT_VOL},
                      .strength = {NAN, JL_UNIT_PCT_VOL},
                      .temp_c = NAN,
                      .head_c = NAN,
                      .boiler_c = NAN};
}

static jl_entry jar(double volume_l, double reading_pct, double temp_c) {
    jl_entry e = no_figures();
    e.volume_l = volume_l;
    e.reading.value = reading_pct;
    e.temp_c = temp_c;
    return e;
}

static jl_writer *open_log(const place *p) {
    jl_writer *w = NULL;
    CHECK_OK(jl_writer_open(p->path, 0, &w, NULL, NULL));
    return w;
}

static jl_status add(const place *p, jl_entry e) {
    jl_writer *w = open_log(p);
    jl_status status = jl_writer_add_jar(w, &e);
    jl_writer_close(w);
    return status;
}

static jl_status correct(const place *p, uint32_t number, jl_entry e) {
    jl_writer *w = open_log(p);
    jl_status status = jl_writer_correct_jar(w, number, &e);
    jl_writer_close(w);
    return status;
}

/* ---- adding ---- */

static void a_new_log_takes_jars(void) {
    place p = make_log(NULL);
    const jl_fact_entry facts[] = {{.key = "title", .text = "cider, \"late\""},
                                   {.key = "charge_l", .values = {24}, .count = 1},
                                   {.key = "expect", .values = {0.5, 78.25, 78.9}, .count = 3}};
    CHECK_OK(jl_log_create(p.path, facts, 3, JL_LOG_PCT_C, NULL));
    CHECK_STATUS(jl_log_create(p.path, facts, 3, JL_LOG_PCT_C, NULL), JL_EXISTS);
    jl_entry e = jar(0.5, 72.5, 24);
    e.now = "2026-11-21T10:40:00+01:00";
    e.head_c = 79.25;
    e.note = "pear, clean";
    CHECK_OK(add(&p, e));
    CHECK_OK(add(&p, jar(0.4755, 71, 23.5)));
    check_log(&p,
              "#jarline,1\n#title,\"cider, \"\"late\"\"\"\n#charge_l,24\n#expect,0.5,78.25,78.9\n"
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
        jl_entry e = no_figures();
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
        jl_entry e = no_figures();
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
    jl_writer *w = NULL;
    jl_fault fault;
    CHECK_STATUS(jl_writer_open(p.path, 0, &w, &fault, NULL), JL_FORM);
    CHECK(fault.line == 3);
    clear_log(&p);
}

/* ---- rewriting ---- */

static const char SPREADSHEET[] =
    "#note;\"kept; as it is\";;\r\n\"Jar\" ; Volume_ml;reading_pct;"
    "temp_c;Note;Fraction;\r\n\r\n 1;\"500\";78,10 ;21;\"two\r\nlines\";"
    "Heads;\r\n2;500,0;76;22;\"a \"\"b\"\"\";;\r\n#undone;1;x\r\n"
    "3;500;74;23;;;\r\n;;;;;;\r\n";

static void correcting_changes_only_the_cells_it_must(void) {
    place p = make_log(SPREADSHEET);
    jl_entry e = no_figures();
    e.reading.value = 75.5;
    e.volume_l = 0.5;
    CHECK_OK(correct(&p, 2, e));
    char want[sizeof SPREADSHEET + 16];
    strcpy(want, SPREADSHEET);
    char *cell = strstr(want, "500,0;76;") + 6;
    memmove(cell + 4, cell + 2, strlen(cell + 2) + 1);
    memcpy(cell, "75,5", 4);
    check_log(&p, want);
    CHECK_STATUS(correct(&p, 9, e), JL_MISSING);
    check_log(&p, want);
    clear_log(&p);
}

/* A log with two columns for one figure could not be read. */
static void a_reading_on_another_scale_is_refused(void) {
    static const char LOG[] = "volume_l,temp_f,reading_pct\n0.5,70,78\n";
    place p = make_log(LOG);
    jl_entry e = jar(0.75, 140, 20);
    e.reading.unit = JL_UNIT_PROOF_US;
    CHECK_STATUS(correct(&p, 1, e), JL_CONFLICT);
    CHECK_STATUS(add(&p, e), JL_CONFLICT);
    check_log(&p, LOG);
    CHECK_OK(correct(&p, 1, jar(0.75, 77, 20)));
    check_log(&p, "volume_l,temp_f,reading_pct\n0.75,68,77\n");
    clear_log(&p);
}

static void two_jars_of_one_number_are_not_corrected(void) {
    static const char TWICE[] = "jar,volume_ml,strength_pct\n4,500,71\n4,500,70\n";
    place p = make_log(TWICE);
    jl_entry e = no_figures();
    e.volume_l = 0.4;
    CHECK_STATUS(correct(&p, 4, e), JL_CONFLICT);
    check_log(&p, TWICE);
    clear_log(&p);
}

static const char *heads_then_hearts(uint32_t number, void *with) {
    (void)with;
    return number == 3 ? NULL : number == 1 ? "heads" : "hearts";
}

static void marking_changes_only_fractions(void) {
    place p = make_log(SPREADSHEET);
    jl_writer *w = open_log(&p);
    size_t changed = 0;
    CHECK_OK(jl_writer_mark(w, heads_then_hearts, NULL, &changed));
    jl_writer_close(w);
    CHECK(changed == 1);
    char want[sizeof SPREADSHEET + 16];
    strcpy(want, SPREADSHEET);
    char *cell = strstr(want, "\"\"\";;") + 4;
    memmove(cell + 6, cell, strlen(cell) + 1);
    memcpy(cell, "hearts", 6);
    check_log(&p, want);
    clear_log(&p);
}

static void marking_adds_the_column(void) {
    place p = make_log("#a,b\nvolume_ml,strength_pct\n500,71\n400\n300,70,\n");
    jl_writer *w = open_log(&p);
    size_t changed = 0;
    CHECK_OK(jl_writer_mark(w, heads_then_hearts, NULL, &changed));
    jl_writer_close(w);
    CHECK(changed == 2);
    check_log(&p, "#a,b\nvolume_ml,strength_pct,fraction\n500,71,heads\n400,,hearts\n300,70,\n");
    clear_log(&p);
}

/* ---- facts ---- */

static void facts_are_set_where_they_stand(void) {
    place p = make_log("#jarline,1\n#left_l,17;5,x\nvolume_ml,strength_pct\n500,71\n"
                       "#left_reading_pct,2.3\n#left_temp_c,20");
    jl_writer *w = open_log(&p);
    const jl_fact_entry facts[] = {{.key = "left_l", .values = {18}, .count = 1},
                                   {.key = "left_reading_pct"},
                                   {.key = "left_strength_pct", .values = {2.1}, .count = 1}};
    CHECK_OK(jl_writer_set_facts(w, facts, 3));
    jl_writer_close(w);
    check_log(&p, "#jarline,1\n#left_l,18,x\nvolume_ml,strength_pct\n500,71\n"
                  "#left_strength_pct,2.1\n");
    CHECK(strcmp(read_file(&p, ".torn-1"), "#left_temp_c,20") == 0);
    w = open_log(&p);
    const jl_fact_entry undone = {.key = "undone", .values = {1}, .count = 1, .text = "10:40"};
    CHECK_OK(jl_writer_add_facts(w, &undone, 1));
    jl_writer_close(w);
    check_log(&p, "#jarline,1\n#left_l,18,x\nvolume_ml,strength_pct\n500,71\n"
                  "#left_strength_pct,2.1\n#undone,1,10:40\n");
    clear_log(&p);
}

static void numbers_go_on_above_every_number(void) {
    place p = make_log("#jarline,1\njar,volume_ml,strength_pct\n7,500,71\n3,500,70\n#undone,7,x\n");
    jl_writer *w = open_log(&p);
    CHECK(jl_writer_next_jar(w) == 8);
    jl_writer_close(w);
    clear_log(&p);
}

CU_TestInfo logwriter_tests[] = {
    {"a new log takes jars", a_new_log_takes_jars},
    {"a foreign file keeps its ways", a_foreign_file_keeps_its_ways},
    {"decimal commas in quotes stay unambiguous", decimal_commas_in_quotes_stay_unambiguous},
    {"a figure without a column gets one", a_figure_without_a_column_gets_one},
    {"notes come back or are refused", notes_come_back_or_are_refused},
    {"a torn row is moved aside", a_torn_row_is_moved_aside},
    {"an open quote that swallows rows is no torn row",
     an_open_quote_that_swallows_rows_is_no_torn_row},
    {"mending changes only the cells it must", correcting_changes_only_the_cells_it_must},
    {"a reading on another scale is refused", a_reading_on_another_scale_is_refused},
    {"two jars of one number are not mended", two_jars_of_one_number_are_not_corrected},
    {"marking changes only fractions", marking_changes_only_fractions},
    {"marking adds the column", marking_adds_the_column},
    {"facts are set where they stand", facts_are_set_where_they_stand},
    {"numbers go on above every number", numbers_go_on_above_every_number},
    CU_TEST_INFO_NULL,
};
