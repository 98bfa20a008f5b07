/* Runs the suites of the library: units [SUITE...], all without a name.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "blocks.h"
#include "check.h"
#include "jarline.h"
#include "suites.h"

#include <CUnit/Basic.h>
#include <string.h>

/* ---- What a test leaves behind ---- */

enum { TESTS_MOST = 4000 };
static CU_TestFunc tests[TESTS_MOST]; /* as they are run, one after the other */
static size_t test_count, test_next;

/* Something may be kept for good the first time; a leak comes again. A failure is kept too. */
static void whether_it_leaks(void) {
    enum { TIMES = 3 };
    CU_TestFunc test = tests[test_next++];
    unsigned failures = CU_get_number_of_failures();
    long more = 1;
    for (int i = 0; i < TIMES && more > 0; i++) {
        long before = blocks_in_use();
        test();
        if (CU_get_number_of_failures() > failures) return;
        more = blocks_in_use() - before;
    }
    if (more > 0) printf("\n    %ld blocks of memory are left behind", more);
    CHECK(more <= 0);
}

static void watch(CU_TestInfo *suite) {
    for (; suite->pName != NULL && test_count < TESTS_MOST; suite++) {
        tests[test_count++] = suite->pTestFunc;
        suite->pTestFunc = whether_it_leaks;
    }
}

static bool wanted(const char *name, int names, char **words) {
    for (int i = 0; i < names; i++)
        if (strcmp(name, words[i]) == 0) return true;
    return names == 0;
}

int main(int argc, char **argv) {
    static CU_SuiteInfo suites[] = {
#define SUITE(name) {#name, NULL, NULL, NULL, NULL, name##_tests},
        ALL_SUITES
#undef SUITE
            CU_SUITE_INFO_NULL,
    };
    jl_quiet();
    setvbuf(stdout, NULL, _IOLBF, BUFSIZ); /* a failure shows before the end */
    if (CU_initialize_registry() != CUE_SUCCESS) return 1;
    for (CU_SuiteInfo *s = suites; s->pName != NULL; s++) {
        CU_SuiteInfo one[] = {*s, CU_SUITE_INFO_NULL};
        if (!wanted(s->pName, argc - 1, argv + 1)) continue;
        watch(s->pTests);
        if (CU_register_suites(one) != CUE_SUCCESS) return 1;
    }
    CU_basic_set_mode(CU_BRM_NORMAL);
    CU_basic_run_tests();
    unsigned failed = CU_get_number_of_failures();
    unsigned run = CU_get_number_of_tests_run();
    CU_cleanup_registry();
    return failed == 0 && run > 0 ? 0 : 1;
}
