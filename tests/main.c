/* Runs every suite of the library.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"
#include "suites.h"

#include <CUnit/Basic.h>

int main(void) {
    static CU_SuiteInfo suites[] = {
#define SUITE(name) {#name, NULL, NULL, NULL, NULL, name##_tests},
        ALL_SUITES
#undef SUITE
            CU_SUITE_INFO_NULL,
    };
    jl_quiet();
    if (CU_initialize_registry() != CUE_SUCCESS) return 1;
    if (CU_register_suites(suites) != CUE_SUCCESS) return 1;
    CU_basic_set_mode(CU_BRM_NORMAL);
    CU_basic_run_tests();
    unsigned failed = CU_get_number_of_failures();
    CU_cleanup_registry();
    return failed == 0 ? 0 : 1;
}
