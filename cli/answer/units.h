/* The units that people see: % vol at 20 °C and °C, or US proof at 60 °F and °F. Programs always have
 * the former.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_UNITS_H
#define JARLINE_UNITS_H

#include "jarline.h"

#include <stdbool.h>

typedef struct units {
    bool proof, fahrenheit;
} units;

/* Who says them, the stronger later. Of several run logs all must have them. */
typedef enum units_from {
    UNITS_OF_BENCH,
    UNITS_OF_WORDS,
    UNITS_OF_LOG,
    UNITS_OF_COMMAND
} units_from;

/* From now on, in all answers of this process, unless one who is stronger said otherwise. */
void units_by(units u, units_from from);
void units_by_log(const jl_run *run);
units units_seen(void);

/* The temperature at which their strengths hold: "20 °C", "60 °F". */
const char *at_reference(units u);

/* ---- Of what is gathered in % vol at 20 °C and °C ---- */

#define PCT_VOL "% vol"
#define CELSIUS "°C"

/* What people see of a value, of a difference, and of their unit; other units stay. */
double value_seen(double value, const char *unit);
double difference_seen(double difference, const char *unit);
const char *unit_seen(const char *unit);

/* "Strength at 60 °F" for "Strength at 20 °C", where that is what is seen of a unit: in text itself. */
void label_seen(char *label, const char *unit);

/* Of a line that has volumes too: "at 20 °C", "at 20 °C, proof at 60 °F". */
const char *both_at(void);

/* "Strengths in US proof at 60 °F, volumes at 20 °C", where any strength was seen so; NULL: none was. */
const char *units_in_words(void);

#endif
