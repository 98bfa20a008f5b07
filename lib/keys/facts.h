/* Collecting facts out of rows.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_FACTS_H
#define JL_FACTS_H

#include "text/csv.h"

jl_status jl_facts_new(jl_facts **facts);

/* Adds a row that begins with #, its delimiter for the sake of decimal commas. A row whose first
 * cell is no key is a comment and is passed over. *fact is what was added, or NULL. Errors: JL_RANGE
 * (facts of more than 4 MiB; "jarline" and not 1), JL_MEMORY */
jl_status jl_facts_add(jl_facts *facts, const jl_row *row, char delimiter, const jl_fact **fact,
                       jl_fault *fault);

/* The rows of a file of facts from its first one on, under the delimiter that it has. */
jl_status jl_fact_rows_begin(jl_rows *rows, jl_fault *fault);

enum { JL_KEY_BYTES = 64 };

/* Its key, in lower case; false for a comment, an empty row and what is no key. */
bool jl_row_read_key(const jl_row *row, char key[JL_KEY_BYTES]);

/* As jl_facts_read, of bytes. */
jl_status jl_facts_of_bytes(const char *bytes, size_t size, jl_facts **facts, jl_fault *fault);

/* Whether the fact's key is stem and a unit of the kind. */
bool jl_fact_is(const jl_fact *fact, const char *stem, jl_kind kind);

/* The last fact with the stem and a unit of the kind, or NULL. */
const jl_fact *jl_facts_last(const jl_facts *facts, const char *stem, jl_kind kind);

/* The number of a fact of which the key is known to be that one. Errors as jl_facts_quantity. */
jl_status jl_fact_quantity(const jl_fact *fact, const jl_fact_key *key, jl_quantity *quantity,
                           jl_fault *fault);

/* What stands in a file for a value in the unit of its kind. name: the key with its unit. */
double jl_fact_value(const char *name, const jl_fact_key *key, double value);

/* A fault at one value of a fact, index from 0. */
jl_status jl_fact_fault(const jl_fact *fact, size_t index, jl_status status, const char *expected,
                        jl_fault *fault);

/* Whether a text is a key: a letter, then letters, digits and _, and not too long. */
bool jl_is_key(const char *text);

/* Whether a row that begins with # has this key, which must be in lower case. */
bool jl_row_has_key(const jl_row *row, const char *key);

/* The moment that a fact states. Errors: JL_MISSING, JL_FORM, JL_RANGE */
jl_status jl_facts_time(const jl_facts *facts, const char *key, jl_time *time, jl_fault *fault);

/* One value of a fact that has several, index from 0, as a number from least to most. Errors as
 * jl_facts_quantity */
jl_status jl_fact_number(const jl_fact *fact, size_t index, double least, double most,
                         const char *expected, double *value, jl_fault *fault);

#endif
