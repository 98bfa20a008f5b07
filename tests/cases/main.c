/* Runs the cases of a folder: cases COMMAND EXAMPLES FOLDER [NAME... | PART/PARTS]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * COMMAND is the path of the command, EXAMPLES the folder that $EXAMPLES names, FOLDER holds the
 * *.case files. Each file is a suite, and so is the README.md beside EXAMPLES; with names, only the
 * files so called; with 1/2, every second one from the first on. */
#include "case.h"

#include <CUnit/Basic.h>
#include <dirent.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* CUnit hands no data to a test, which therefore looks its case up by its name. */
static cli_cases cases;

static void run_current(void) {
    const char *suite = CU_get_current_suite()->pName;
    const char *name = CU_get_current_test()->pName;
    for (size_t i = 0; i < cases.count; i++)
        if (strcmp(cases.at[i].file, suite) == 0 && strcmp(cases.at[i].name, name) == 0) {
            case_run(&cases.at[i]);
            return;
        }
    CU_FAIL("no such case");
}

static int is_case_file(const struct dirent *entry) {
    const char *dot = strrchr(entry->d_name, '.');
    return dot != NULL && strcmp(dot, ".case") == 0;
}

static bool wanted(const char *file, int names, char **name) {
    static int place = 0;
    int part, parts;
    if (names == 1 && sscanf(name[0], "%d/%d", &part, &parts) == 2 && parts > 0)
        return place++ % parts == part - 1;
    for (int i = 0; i < names; i++)
        if (strncmp(file, name[i], strlen(name[i])) == 0) return true;
    return names == 0;
}

/* Adds one file as a suite: cases, or a README. */
static bool add_file(const char *folder, const char *file, bool is_case) {
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s/%s", folder, file);
    size_t first = cases.count;
    bool read = is_case ? cases_read(path, &cases) : cases_read_readme(path, &cases);
    if (!read) return false;
    CU_pSuite suite = CU_add_suite(file, NULL, NULL);
    for (size_t i = first; suite != NULL && i < cases.count; i++) {
        cases.at[i].file = suite->pName;
        /* Two of one name would be run as one. */
        if (CU_add_test(suite, cases.at[i].name, run_current) == NULL ||
            CU_get_error() != CUE_SUCCESS) {
            fprintf(stderr, "%s:%u: %s\n", file, cases.at[i].line, CU_get_error_msg());
            return false;
        }
    }
    return suite != NULL;
}

static bool add_folder(const char *folder, int names, char **name) {
    struct dirent **files;
    int count = scandir(folder, &files, is_case_file, alphasort);
    if (count < 0) perror(folder);
    bool good = count >= 0;
    for (int i = 0; i < count; i++) {
        if (good && wanted(files[i]->d_name, names, name))
            good = add_file(folder, files[i]->d_name, true);
        free(files[i]);
    }
    if (count >= 0) free(files);
    return good;
}

static bool add_readme(const char *examples, int names, char **name) {
    char folder[PATH_MAX];
    snprintf(folder, sizeof folder, "%s/..", examples);
    return !wanted("README.md", names, name) || add_file(folder, "README.md", false);
}

/* Nothing of the caller's settings reaches the command. */
static bool set_environment(const char *command, const char *examples) {
    char real[PATH_MAX], path[2 * PATH_MAX];
    static const char *const UNSET[] = {"NO_COLOR",    "COLUMNS",         "LC_ALL",
                                        "LANGUAGE",    "LC_CTYPE",        "LC_NUMERIC",
                                        "LC_MESSAGES", "POSIXLY_CORRECT", "JARLINE_BENCH"};
    for (size_t i = 0; i < sizeof UNSET / sizeof UNSET[0]; i++) unsetenv(UNSET[i]);
    if (realpath(command, real) == NULL) {
        perror(command);
        return false;
    }
    *strrchr(real, '/') = '\0';
    snprintf(path, sizeof path, "%s:%s", real, getenv("PATH"));
    if (setenv("PATH", path, 1) != 0 || setenv("LANG", "C.UTF-8", 1) != 0 ||
        setenv("TZ", "UTC", 1) != 0 || setenv("XDG_CONFIG_HOME", "/nonexistent", 1) != 0)
        return false;
    if (realpath(examples, real) == NULL) {
        perror(examples);
        return false;
    }
    return setenv("EXAMPLES", real, 1) == 0;
}

/* Leaks of libraries that cannot be told to let go: the font library keeps what its threads read.
 */
static bool pass_over_leaks(const char *folder) {
    char real[PATH_MAX], options[PATH_MAX + 64];
    if (realpath(folder, real) == NULL) return false;
    snprintf(options, sizeof options, "suppressions=%s/leaks.supp:print_suppressions=0", real);
    return setenv("LSAN_OPTIONS", options, 1) == 0;
}

int main(int argc, char **argv) {
    if (argc < 4) {
        fputs("usage: cases COMMAND EXAMPLES FOLDER [NAME... | PART/PARTS]\n", stderr);
        return 2;
    }
    if (!set_environment(argv[1], argv[2]) || !pass_over_leaks(argv[3])) return 2;
    if (CU_initialize_registry() != CUE_SUCCESS) return 2;
    if (!add_folder(argv[3], argc - 4, argv + 4)) return 2;
    if (!add_readme(argv[2], argc - 4, argv + 4)) return 2;
    setvbuf(stdout, NULL, _IOLBF, BUFSIZ); /* a failure shows before the end */
    CU_basic_set_mode(CU_BRM_NORMAL);
    CU_basic_run_tests();
    unsigned failed = CU_get_number_of_failures();
    unsigned run = CU_get_number_of_tests_run();
    CU_cleanup_registry();
    cases_free(&cases);
    if (run == 0) fputs("no case was run\n", stderr);
    return failed == 0 && run > 0 ? 0 : 1;
}
