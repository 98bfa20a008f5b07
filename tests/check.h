/* Checks that say what was wanted, what was got, and how far apart they are.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHECK_H
#define JARLINE_CHECK_H

#include <CUnit/CUnit.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>

#define CHECK(fact) CU_ASSERT(fact)

#define CHECK_STATUS(call, want) check_status((int)(call), (int)(want), #call, __FILE__, __LINE__)
#define CHECK_OK(call)           CHECK_STATUS(call, JL_OK)

/* Fails on NaN too. */
#define CHECK_NEAR(got, want, tolerance)                                                           \
    check_near((got), (want), (tolerance), #got, __FILE__, __LINE__)

static inline void check_near(double got, double want, double tolerance, const char *what,
                              const char *file, unsigned line) {
    bool good = fabs(got - want) <= tolerance;
    if (!good)
        printf("\n    %s: want %.12g, got %.12g, apart %.3g, tolerance %.3g", what, want, got,
               fabs(got - want), tolerance);
    CU_assertImplementation(good, line, what, file, "", CU_FALSE);
}

static inline void check_status(int got, int want, const char *what, const char *file,
                                unsigned line) {
    if (got != want) printf("\n    %s: want status %d, got %d", what, want, got);
    CU_assertImplementation(got == want, line, what, file, "", CU_FALSE);
}

#endif
