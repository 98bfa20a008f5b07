/* A new file of facts, such as --charge-from takes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FACTFILE_H
#define JARLINE_FACTFILE_H

#include "jarline.h"
#include "log/file.h"

#include <math.h>

struct output_options;

/* What goes into the boiler, and, of a plan, how often and how. NaN: not stated. */
typedef struct charge_facts {
    const char *title;
    const char *origin; /* a comment: where the figures are from */
    const char *vessel; /* of the book, that it is from; NULL: none */
    double charge_l;    /* at 20 °C */
    double charge_strength_pct;
    double charge_strength_u_pct; /* standard uncertainty */
    double loads, last_load_l;
    double sediment_l, mark_l, min_liquid_l;
    double feints_l, feints_strength_pct;
} charge_facts;

/* Nothing stated. */
#define CHARGE_FACTS                                                                               \
    (charge_facts) {                                                                               \
        NULL, NULL, NULL, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN                         \
    }

/* All charges of a plan together, in litres. */
double charge_facts_all_l(const charge_facts *facts);

/* A file of facts as text: a comment, then a row for each. */
void facts_text(const char *comment, const jl_fact_entry *facts, size_t count, jl_text *text);

/* Writes all of it or nothing. Says on standard error what went wrong and returns the exit status, or
 * 0. */
int write_charge(const struct output_options *to_file, const charge_facts *facts);

/* Reads such a file, but for title and origin. The same. */
int read_charge(const char *path, charge_facts *facts);

#endif
