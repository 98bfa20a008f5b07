/* A new file of facts, such as --charge-from takes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FACTFILE_H
#define JARLINE_FACTFILE_H

#include "answer/output.h"
#include "jarline.h"
#include "log/file.h"

/* What goes into the boiler. */
typedef struct charge_facts {
    const char *title;
    const char *origin; /* a comment: where the figures are from */
    double charge_l;    /* at 20 °C */
    double charge_strength_pct;
    double charge_strength_u_pct; /* standard uncertainty; NaN: not known */
} charge_facts;

/* A file of facts as text: a comment, then a row for each. */
void facts_text(const char *comment, const jl_fact_entry *facts, size_t count, jl_text *text);

/* Writes all of it or nothing. Says on standard error what went wrong and returns the exit status, or
 * 0. */
int write_charge(const output_options *to_file, const charge_facts *facts);

/* Reads such a file. The same. */
int read_charge(const char *path, charge_facts *facts);

#endif
