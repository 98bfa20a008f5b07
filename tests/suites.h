/* The suites, one for each file of the library: tests/test_NAME.c defines NAME_tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SUITES_H
#define JARLINE_SUITES_H

#include <CUnit/CUnit.h>

/* clang-format off */
#define ALL_SUITES \
    SUITE(quantity) \
    SUITE(density) \
    SUITE(timestamp) \
    SUITE(csv) \
    SUITE(letters) \
    SUITE(facts) \
    SUITE(settings) \
    SUITE(jars) \
    SUITE(tally) \
    SUITE(run) \
    SUITE(cut) \
    SUITE(durable) \
    SUITE(file) \
    SUITE(settings_file) \
    SUITE(writing) \
    SUITE(alcoholometer) \
    SUITE(spirit) \
    SUITE(readings) \
    SUITE(equilibrium) \
    SUITE(boildown) \
    SUITE(forecast) \
    SUITE(chain) \
    SUITE(causes) \
    SUITE(congener) \
    SUITE(uncertainty) \
    SUITE(budget) \
    SUITE(march) \
    SUITE(model) \
    SUITE(season) \
    SUITE(ahead) \
    SUITE(diagnose) \
    SUITE(calibrate) \
    SUITE(rest) \
    SUITE(trend) \
    SUITE(given) \
    SUITE(wash) \
    SUITE(ferment) \
    SUITE(recipe) \
    SUITE(strength) \
    SUITE(wash_log) \
    SUITE(charge) \
    SUITE(ranges) \
    SUITE(spout) \
    SUITE(ways) \
    SUITE(book) \
    SUITE(book_file) \
    SUITE(slip) \
    SUITE(account) \
    SUITE(reference) \
/* clang-format on */

#define SUITE(name) extern CU_TestInfo name##_tests[];
ALL_SUITES
#undef SUITE

#endif
