/* The published tables of reference/, and that their runner notices what is wrong with one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Sources, and how sure each is, stand in reference/README.md; tolerances in checks.c. */
#include "check.h"
#include "checks.h"
#include "reference.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

static void every_table_holds_its_tolerance(void) {
    for (size_t i = 0; i < CHECKS_COUNT; i++) {
        check c = CHECKS[i];
        check_run(&c);
        if (!c.pass)
            printf("\n    %s, %s: %.3g %s apart at %s (line %zu), tolerance %g", c.file, c.quantity,
                   c.largest, c.unit, c.at, c.line, c.tolerance);
        CHECK(c.pass);
    }
}

/* The check of a quantity of a file. */
static check find(const char *file, const char *quantity) {
    for (size_t i = 0; i < CHECKS_COUNT; i++)
        if (strcmp(CHECKS[i].file, file) == 0 && strcmp(CHECKS[i].quantity, quantity) == 0)
            return CHECKS[i];
    CU_FAIL("no such check");
    return CHECKS[0];
}

static void all_cells_but_the_suspect_ones_are_compared(void) {
    static const struct {
        const char *file, *quantity;
        size_t cells, suspect;
    } of[] = {
        {"density-lange", "density", 397, 7},      {"usp29-by-mass", "volume %", 33, 0},
        {"usp29-by-mass", "in air", 66, 0},        {"us-gauging-examples", "see its row", 24, 0},
        {"dilution-to-1l", "both parts", 50, 0},   {"dilution-to-1000g", "both parts", 30, 0},
        {"dilution-per-100-60f", "water", 151, 2},
    };
    for (size_t i = 0; i < sizeof of / sizeof of[0]; i++) {
        check c = find(of[i].file, of[i].quantity);
        check_run(&c);
        CHECK_NEAR((double)c.cells, (double)of[i].cells, 0);
        CHECK_NEAR((double)c.suspect, (double)of[i].suspect, 0);
    }
}

static check checked(const char *text) {
    check c = find("density-lange", "density");
    check_run_on(&c, text, strlen(text));
    return c;
}

#define HEADER "mass_pct,temp_c,relative_density_t_4,suspect\n"

static void a_good_row_passes_and_a_suspect_one_is_left_out(void) {
    check c = checked(HEADER "20,20,0.96864,0\n");
    CHECK(c.pass && c.cells == 1 && c.suspect == 0);
    c = checked(HEADER "20,20,0.96864,0\n10,30,0.97575,1\n");
    CHECK(c.pass && c.cells == 1 && c.suspect == 1);
}

static void a_cell_out_of_tolerance_fails_and_is_named(void) {
    check c = checked(HEADER "20,20,0.96864,0\n10,30,0.97575,0\n50,20,0.91384,0\n");
    CHECK(!c.pass);
    CHECK(c.line == 3);
    CHECK(strstr(c.at, "10 % mas at 30 °C") != NULL);
    CHECK(c.largest > 2);
}

static void a_table_that_cannot_be_read_fails(void) {
    static const char *const bad[] = {
        "",
        HEADER,
        HEADER "10,30,0.97575,1\n",
        HEADER "20,20,,0\n",
        HEADER "20,20,0.9686x,0\n",
        HEADER "20,20,0.96864\n",
        HEADER "20,20,\"0.96864,0\n",
        HEADER "120,20,0.96864,0\n",
        "mass_pct,temp_c,density,suspect\n20,20,0.96864,0\n",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        check c = checked(bad[i]);
        if (c.pass) printf("\n    passes: %s", bad[i]);
        CHECK(!c.pass);
    }
}

static void a_coefficient_that_differs_fails(void) {
    for (size_t i = 0; i < REFERENCE_FILES_COUNT; i++) {
        if (strcmp(REFERENCE_FILES[i].name, "oiml-r22") != 0) continue;
        char *text = strdup(REFERENCE_FILES[i].text);
        char *digit = text != NULL ? strstr(text, "-0.0052682542") : NULL;
        CHECK(digit != NULL);
        if (digit != NULL) {
            check c = find("oiml-r22", "density");
            digit[12] = '3';
            check_run_on(&c, text, strlen(text));
            CHECK(!c.pass);
        }
        free(text);
    }
}

/* Files that are no table of the library's figures, and where they are used. */
static bool has_other_use(const char *file) {
    static const char *const OTHER[] = {
        "congener-volatility-predicted", /* predictions, data of the library */
        "runs-juliet",                   /* whole-run totals of another still */
        "vle-pentane-heptane",           /* a curve that an example of the next file takes */
        "worked-batch-examples",         /* suite boildown */
    };
    for (size_t i = 0; i < sizeof OTHER / sizeof OTHER[0]; i++)
        if (strcmp(OTHER[i], file) == 0) return true;
    return false;
}

static void no_file_is_forgotten(void) {
    for (size_t i = 0; i < REFERENCE_FILES_COUNT; i++) {
        const char *file = REFERENCE_FILES[i].name;
        bool checked_too = false;
        for (size_t k = 0; k < CHECKS_COUNT; k++)
            checked_too = checked_too || strcmp(CHECKS[k].file, file) == 0;
        if (!checked_too && !has_other_use(file)) printf("\n    no check of %s", file);
        CHECK(checked_too || has_other_use(file));
    }
}

CU_TestInfo reference_tests[] = {
    {"every published table holds its tolerance", every_table_holds_its_tolerance},
    {"no file is forgotten", no_file_is_forgotten},
    {"all cells but the suspect ones are compared", all_cells_but_the_suspect_ones_are_compared},
    {"a good row passes, a suspect one is left out",
     a_good_row_passes_and_a_suspect_one_is_left_out},
    {"a cell out of tolerance fails and is named", a_cell_out_of_tolerance_fails_and_is_named},
    {"a table that cannot be read fails", a_table_that_cannot_be_read_fails},
    {"a coefficient that differs fails", a_coefficient_that_differs_fails},
    CU_TEST_INFO_NULL,
};
