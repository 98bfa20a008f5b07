/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PAPER_SUITES_H
#define JARLINE_PAPER_SUITES_H

#include <CUnit/CUnit.h>

extern CU_TestInfo table_tests[], json_tests[], chart_tests[], document_tests[];

#endif
