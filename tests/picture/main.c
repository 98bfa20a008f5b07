/* Runs the suites of what the command shows.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "suites.h"

#include <CUnit/Basic.h>

int main(void) {
    static CU_SuiteInfo suites[] = {
        {"table", NULL, NULL, NULL, NULL, table_tests},
        {"json", NULL, NULL, NULL, NULL, json_tests},
        {"chart", NULL, NULL, NULL, NULL, chart_tests},
        {"document", NULL, NULL, NULL, NULL, document_tests},
        CU_SUITE_INFO_NULL,
    };
    if (CU_initialize_registry() != CUE_SUCCESS) return 1;
    if (CU_register_suites(suites) != CUE_SUCCESS) return 1;
    CU_basic_set_mode(CU_BRM_NORMAL);
    CU_basic_run_tests();
    unsigned failed = CU_get_number_of_failures();
    CU_cleanup_registry();
    return failed == 0 ? 0 : 1;
}
