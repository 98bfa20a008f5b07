/* The published tables of reference/ recomputed. One runner serves the command and the tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * To add a table: its file in reference/ (named in meson.build, cited in README.md there), a
 * runner in one of the check_*.c, declared below, and a row in checks.c that says what it checks
 * and how close. A file may have several rows, one for each quantity with a tolerance of its own. */
#ifndef JARLINE_SELFCHECK_H
#define JARLINE_SELFCHECK_H

#include <stdbool.h>
#include <stddef.h>

/* ---- A table of reference/, row by row ---- */

typedef struct table table;

/* The next row that is not marked suspect; those are counted. False at the end, or when the file
 * cannot be read. */
bool table_next(table *t);

/* A number of the row by its column's name; NaN when the cell is empty. A column that is not there
 * or a cell that is no number fails the check. */
double table_number(table *t, const char *column);

/* A cell as it stands, until the next row; "" when the column is not there, which fails the check.
 */
const char *table_text(table *t, const char *column);

/* ---- One check ---- */

typedef struct check check;

/* Where a tolerance is from. */
typedef enum check_by {
    CHECK_DIGIT = 1, /* the source's last digit, its rounding and its reprint's */
    CHECK_SCATTER,   /* the scatter among sources, or what they state of themselves */
    CHECK_GUARD,     /* what the model reaches: a guard against change, no agreement */
    CHECK_OURSELVES  /* the table is what the program computes with */
} check_by;

/* Compares cells of a table by calling check_cell for each. */
typedef void check_runner(table *t, check *c);

/* What is checked, and how it came out. */
struct check {
    /* Given, a row of CHECKS. */
    const char *file;     /* in reference/, without ".csv" */
    const char *quantity; /* what is recomputed */
    const char *source;   /* short; reference/README.md has it in full */
    double tolerance;     /* the largest deviation that passes */
    const char *unit;     /* of deviation and tolerance; "" for none */
    check_by by;
    check_runner *run;

    /* Returned. */
    size_t cells;   /* compared */
    size_t suspect; /* rows left out: misprints in the copy that was read */
    double largest; /* deviation; infinite when a figure could not be computed */
    char at[80];    /* where that was */
    size_t line;    /* of the file, where that was */
    bool pass;      /* cells were compared, all within the tolerance, none unreadable */
};

/* Compares one figure. format: where it is, for a person. t: NULL when that is no line of the
 * table. */
void check_cell(check *c, const table *t, double got, double want, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

extern const check CHECKS[];
extern const size_t CHECKS_COUNT;

/* Runs a check on the file that is compiled in, or on a text in its place. */
void check_run(check *c);
void check_run_on(check *c, const char *text, size_t length);

/* ---- The runners ---- */

/* check_density.c */
check_runner check_lange, check_usp29_volume, check_usp29_density, check_oiml_coefficients,
    check_oiml_points, check_water_density, check_flash_point;

/* check_dilution.c */
check_runner check_dilution_1l, check_dilution_1000g, check_dilution_60f;

/* check_gauging.c */
check_runner check_alcoholometer_limits;
check_runner check_us_gauging;

/* check_wash.c */
check_runner check_plato, check_beer_extract, check_beer_alcohol, check_beer_duty, check_presumed;

/* check_boiling.c */
check_runner check_vle_vapour, check_vle_temp, check_vle_temp_own, check_azeotrope_x,
    check_azeotrope_temp, check_saturation, check_latent_heat, check_atmosphere, check_mixture_heat,
    check_ethanol_heat;

/* check_batch.c */
check_runner check_batch, check_congeners;

/* Density by the library; NaN outside its range. */
double check_density(double mass_fraction, double temp_c);

#endif
