/* A bench file changed key by key.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "log/faults.h"
#include "log/settings_file.h"
#include "suites.h"

#include <errno.h>
#include <stdlib.h>
#include <sys/stat.h>

typedef struct place {
    char folder[32], path[48];
} place;

static place make_place(const char *text) {
    place p;
    strcpy(p.folder, "/tmp/settings-XXXXXX");
    if (mkdtemp(p.folder) == NULL) abort();
    snprintf(p.path, sizeof p.path, "%s/bench.csv", p.folder);
    if (text != NULL) CHECK_OK(jl_create(p.path, text, strlen(text), NULL));
    return p;
}

static const char *bytes_of(const place *p) {
    static char bytes[1000];
    FILE *file = fopen(p->path, "rb");
    size_t n = file == NULL ? 0 : fread(bytes, 1, sizeof bytes - 1, file);
    if (file != NULL) fclose(file);
    bytes[n] = '\0';
    return bytes;
}

static void clear(const place *p) {
    unlink(p->path);
    CHECK(rmdir(p->folder) == 0);
}

static jl_status set_in(const char *path, const char *still, const char *key, const char *value,
                        jl_fault *fault) {
    const jl_settings_change change = {still, key, value, NULL};
    jl_trouble trouble;
    return jl_settings_file_change(path, &change, 1, fault, &trouble);
}

/* What a file becomes by one change. */
static void check_change(const char *before, const char *still, const char *key, const char *value,
                         const char *after, unsigned line) {
    place p = make_place(before);
    jl_fault fault;
    jl_status status = set_in(p.path, still, key, value, &fault);
    const char *got = bytes_of(&p);
    bool good = status == JL_OK && strcmp(got, after) == 0;
    if (!good) printf("\n--- status %d, want\n%s--- got\n%s---", (int)status, after, got);
    CU_assertImplementation(good, line, after, __FILE__, "", CU_FALSE);
    clear(&p);
}

#define CHECK_CHANGE(before, still, key, value, after)                                             \
    check_change(before, still, key, value, after, __LINE__)

static void a_line_is_put_over_the_one_that_stands(void) {
    CHECK_CHANGE("power_w,1500\nstages,2\n", NULL, "power_w", "1800", "power_w,1800\nstages,2\n");
    CHECK_CHANGE("# mine\n\"power_w\" , \"1500\",,\nstages,2", NULL, "power_w", "1800",
                 "# mine\n\"power_w\" ,1800,,\nstages,2");
    CHECK_CHANGE("#power_kw;1,5\r\nstages;2\r\n", NULL, "power_w", "1800",
                 "#power_w;1800\r\nstages;2\r\n");
    CHECK_CHANGE("power_w,1500\n", NULL, "power_w", "1500", "power_w,1500\n");
}

static void a_section_is_renamed_or_goes_with_all_its_lines(void) {
    CHECK_CHANGE("loss_w,1\nstill,A\n# mine\n\npower_w,5\nstill,B\nstages,2\n", "a", "still", "",
                 "loss_w,1\n# mine\n\nstill,B\nstages,2\n");
    CHECK_CHANGE("#still;A\r\npower_w;5\r\nstill;B", "b", "still", "C; D",
                 "#still;A\r\npower_w;5\r\nstill;\"C; D\"");
    CHECK_CHANGE("still,A\npower_w,5\n", "b", "still", "", "still,A\npower_w,5\n");
}

static void a_section_in_a_torn_file_stays(void) {
    place p = make_place("still,A\nstages,\"2\n");
    jl_fault fault;
    CHECK_STATUS(set_in(p.path, "a", "still", "", &fault), JL_FORM);
    CU_ASSERT_STRING_EQUAL(bytes_of(&p), "still,A\nstages,\"2\n");
    clear(&p);
}

static void a_new_line_comes_at_the_end_of_its_section(void) {
    CHECK_CHANGE("power_w,1500\n", NULL, "altitude_m", "650", "power_w,1500\naltitude_m,650\n");
    CHECK_CHANGE("", NULL, "altitude_m", "650", "altitude_m,650\n");
    CHECK_CHANGE("\npower_w,1500\r\n", NULL, "altitude_m", "650",
                 "\npower_w,1500\r\naltitude_m,650\n");
    CHECK_CHANGE("power_w,1500", NULL, "altitude_m", "650", "power_w,1500\naltitude_m,650\n");
    CHECK_CHANGE("power_w;1500\r\n", NULL, "altitude_m", "650",
                 "power_w;1500\r\naltitude_m;650\r\n");
    CHECK_CHANGE("power_w,1500\nstill,Pot\nstages,1\n", NULL, "altitude_m", "650",
                 "power_w,1500\naltitude_m,650\nstill,Pot\nstages,1\n");
    CHECK_CHANGE("still,Pot\nstages,1\nstill,Column\nstages,3\n", "pot", "jar_ml", "250",
                 "still,Pot\nstages,1\njar_ml,250\nstill,Column\nstages,3\n");
    CHECK_CHANGE("still,Pot\nstages,1\nstill,Column\nstages,3\n", "Column", "stages", "4",
                 "still,Pot\nstages,1\nstill,Column\nstages,4\n");
    CHECK_CHANGE("still,Pot\nstages,1\n", "a, \"b\"", "stages", "2",
                 "still,Pot\nstages,1\nstill,\"a, \"\"b\"\"\"\nstages,2\n");
}

/* A name in several cells is one that readers join. */
static void a_section_is_the_one_that_readers_see(void) {
    CHECK_CHANGE("still,Pot,2\nstages,2\n", "Pot", "stages", "3",
                 "still,Pot,2\nstages,2\nstill,Pot\nstages,3\n");
    CHECK_CHANGE("still,Pot,,\nstages,2\n", "Pot", "stages", "3", "still,Pot,,\nstages,3\n");
}

static void without_a_value_all_lines_of_a_key_go(void) {
    CHECK_CHANGE("power_w,1500\nstages,2\npower_w,1600\n", NULL, "power_w", "", "stages,2\n");
    CHECK_CHANGE("power_kw,1.5\nstages,2\n", NULL, "power_w", "", "stages,2\n");
    CHECK_CHANGE("stages,2\n", NULL, "power_w", "", "stages,2\n");
    CHECK_CHANGE("power_w,1\nstill,Pot\npower_w,1500\n", "Pot", "power_w", "",
                 "power_w,1\nstill,Pot\n");
}

static void a_new_file_says_what_it_is(void) {
    place p = make_place(NULL);
    jl_fault fault;
    CHECK_OK(set_in(p.path, NULL, "power_w", "1800", &fault));
    CU_ASSERT_STRING_EQUAL(bytes_of(&p), "jarline,1\nkind,settings\npower_w,1800\n");
    CHECK_OK(set_in(p.path, "Pot", "stages", "1", &fault));
    CU_ASSERT_STRING_EQUAL(bytes_of(&p),
                           "jarline,1\nkind,settings\npower_w,1800\nstill,Pot\nstages,1\n");
    clear(&p);
}

static void several_changes_are_one(void) {
    const jl_settings_change changes[] = {{NULL, "power_w", "1800", NULL},
                                          {"Pot", "stages", "1", NULL},
                                          {NULL, "altitude_m", "", NULL}};
    const jl_settings_change bad[] = {{NULL, "power_w", "2000", NULL},
                                      {"Pot", "stages", "many", NULL}};
    place p = make_place("altitude_m,650\nstill,Pot\njar_ml,250\n");
    jl_fault fault;
    jl_trouble trouble;
    CHECK_OK(jl_settings_file_change(p.path, changes, 3, &fault, &trouble));
    const char *after = "power_w,1800\nstill,Pot\njar_ml,250\nstages,1\n";
    CU_ASSERT_STRING_EQUAL(bytes_of(&p), after);
    CHECK_STATUS(jl_settings_file_change(p.path, bad, 2, &fault, &trouble), JL_FORM);
    CHECK(fault.line == 4 && fault.column == 2 && strcmp(fault.cell, "many") == 0);
    CU_ASSERT_STRING_EQUAL(bytes_of(&p), after);
    clear(&p);
}

/* A file that could not be read before is mended or left. */
static void what_could_not_be_read_is_not_written(void) {
    static const struct {
        const char *text;
        jl_status status;
    } AT[] = {
        {"stages,many\n", JL_FORM},
        {"stages\n", JL_FORM},
        {"12,5\n", JL_FORM},
        {"colour,red\n", JL_FORM},
        {"still,Pot\nstill,pot\n", JL_CONFLICT},
        {"stages,\"2\n", JL_FORM},
        {"jarline,99\n", JL_RANGE},
    };
    jl_fault fault;
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        place p = make_place(AT[i].text);
        jl_status status = set_in(p.path, NULL, "power_w", "1800", &fault);
        if (status == JL_OK) printf("\n    %s", AT[i].text);
        CHECK_STATUS(status, AT[i].status);
        CU_ASSERT_STRING_EQUAL(bytes_of(&p), AT[i].text);
        clear(&p);
    }
    CHECK_CHANGE("stages,many\n", NULL, "stages", "2", "stages,2\n");
    place p = make_place(NULL);
    CHECK_STATUS(set_in(p.path, NULL, "power_w", "1e9", &fault), JL_RANGE);
    CHECK(access(p.path, F_OK) != 0);
    CHECK(mkdir(p.path, 0700) == 0);
    CHECK_STATUS(set_in(p.path, NULL, "power_w", "1800", &fault), JL_INPUT);
    CHECK(rmdir(p.path) == 0);
    clear(&p);
    CHECK_STATUS(set_in("/dev/null/bench.csv", NULL, "power_w", "1800", &fault), JL_INPUT);
}

/* What another file said is no part of what this one says. */
static void a_file_is_checked_by_itself(void) {
    CHECK_CHANGE("pressure_kpa,98\n", NULL, "power_w", "1800", "pressure_kpa,98\npower_w,1800\n");
    CHECK_CHANGE("altitude_m,650\n", NULL, "power_w", "1800", "altitude_m,650\npower_w,1800\n");
    place p = make_place("altitude_m,650\n");
    jl_fault fault;
    CHECK_STATUS(set_in(p.path, NULL, "pressure_kpa", "98", &fault), JL_CONFLICT);
    CU_ASSERT_STRING_EQUAL(fault.expected, "a pressure or an altitude, not both");
    CU_ASSERT_STRING_EQUAL(bytes_of(&p), "altitude_m,650\n");
    clear(&p);
}

static void a_file_that_cannot_be_read_or_written_stays(void) {
    static const struct {
        fault_call fault;
        jl_status status;
        int error;
    } AT[] = {{{"read", 1, EIO, false}, JL_IO, 0},
              {{"write", 1, ENOSPC, false}, JL_IO, ENOSPC},
              {{"open", 1, EACCES, false}, JL_EXISTS, EACCES},
              {{"fsync", 1, EIO, false}, JL_IO, EIO}};
    const jl_settings_change change = {NULL, "power_w", "1800", NULL};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        const fault_call faults[FAULTS_MOST] = {AT[i].fault};
        place p = make_place("power_w,1500\n");
        jl_fault fault;
        jl_trouble trouble;
        faults_begin(faults);
        CHECK_STATUS(jl_settings_file_change(p.path, &change, 1, &fault, &trouble), AT[i].status);
        CHECK(faults_end() && trouble.error == AT[i].error && !trouble.uncertain);
        CU_ASSERT_STRING_EQUAL(bytes_of(&p), "power_w,1500\n");
        clear(&p);
    }
}

CU_TestInfo settings_file_tests[] = {
    {"a line is put over the one that stands", a_line_is_put_over_the_one_that_stands},
    {"a section is renamed, or goes with all its lines",
     a_section_is_renamed_or_goes_with_all_its_lines},
    {"a section in a torn file stays", a_section_in_a_torn_file_stays},
    {"a new line comes at the end of its section", a_new_line_comes_at_the_end_of_its_section},
    {"a section is the one that readers see", a_section_is_the_one_that_readers_see},
    {"without a value all lines of a key go", without_a_value_all_lines_of_a_key_go},
    {"a new file says what it is", a_new_file_says_what_it_is},
    {"several changes are one", several_changes_are_one},
    {"what could not be read is not written", what_could_not_be_read_is_not_written},
    {"a file is checked by itself", a_file_is_checked_by_itself},
    {"a file that cannot be read or written stays", a_file_that_cannot_be_read_or_written_stays},
    CU_TEST_INFO_NULL,
};
