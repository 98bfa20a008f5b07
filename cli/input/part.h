/* A part of a file as an amount: a run's fraction or jars, what a vessel of the book holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PART_H
#define JARLINE_PART_H

#include "input/factfile.h"
#include "run/jars.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Both ends belong to it; an open end is 0 or RANGE_OPEN. */
typedef struct range {
    jl_jar_key first, last;
} range;

#define RANGE_OPEN UINT64_MAX

typedef struct ranges {
    range *all;
    size_t count;
} ranges;

/* A fraction's name in a run of that charge: what a strip run leaves undecided is low wines. */
const char *fraction_word(jl_fraction fraction, jl_spirit charge);

/* What the book calls a run: its title, or its file's name, and its start. To be freed. */
char *run_name(const char *path, const jl_run *run);

/* False when the text cannot be read; nothing then has to be freed. */
bool ranges_read(const char *text, ranges *r);
bool ranges_have(const ranges *r, const jl_jar *jar);

/* Whether all ends of ranges are jars that count; if not, name is the first that is none. */
bool ranges_stand(const ranges *r, const jl_run *run, char name[JL_JAR_NAME_BYTES]);
void ranges_free(ranges *r);

/* "3-7 9", of numbers that it sorts. To be freed. */

typedef struct file_part {
    char *path;       /* NULL: the text names no part of a file */
    jl_spirit spirit; /* all of it, mixed */
    double parts_l;   /* its jars' volumes at 20 °C, before they were mixed */
    char *run;        /* of a run log: its title and start */
    char *jars;       /* and its jars: "3-7 9" */
    jl_jar_key *keys; /* the same, in ascending order */
    size_t count;
    jl_amount *measured;         /* and what each was measured as, in the order of the log, */
    jl_alcoholometer instrument; /* with which instrument */
    const char *kind; /* and what a fraction becomes in the store, as "low wines"; "": unsettled */
    char *vessel;     /* of a book, also of one that a plan names */
    bool whole;       /* and all that it holds */
    bool wash;        /* of a wash's log */
    double strength_u_pct; /* its strength's standard uncertainty, where that is known; else 0 */
    bool planned;          /* a charge's file: one load of it */
    charge_facts plan;
} file_part;

/* "october.csv:hearts", "october.csv:3-11", "book.csv:demijohn-3", "book.csv:demijohn-3:2.5L",
 * "wash.csv", "wash.csv:24L", "plan.csv". A text that does not begin with the name of a file is none.
 * bench: the file that --bench names, by whose instruments a wash was measured; NULL: the one that is
 * found. Returns the exit status, or 0; what is wrong has then been said. Free the part only after 0. */
int part_read(const char *text, const char *bench, file_part *part);
void part_free(file_part *part);

/* Whether two are of one vessel, or have a jar in common. */
bool parts_overlap(const file_part *a, const file_part *b);

/* An amount out of a word, as it is written or as a part of a file at 20 °C. */
typedef struct given_amount {
    jl_amount amount;
    jl_spirit spirit;
    file_part part; /* path NULL: it was written */
} given_amount;

/* Whether a word gives an amount, not a strength alone. */
bool is_amount(const char *text);

/* bench: as above. Says what is wrong and returns the exit status, or 0; then it is to be freed. */
int given_read(const char *text, const jl_alcoholometer *instrument, const char *bench,
               given_amount *given);
/* People see the answer's figures in the units of one that is written in proof. */
void answer_by_amount(const jl_amount *amount);

void given_free(given_amount *given);

/* A charge from a word, or from a file of one; one of the two is NULL. */
int given_charge(const char *text, const char *file, const jl_alcoholometer *instrument,
                 const char *bench, given_amount *given);

/* The same, where the spirit alone is wanted. */
int arg_spirit(const char *text, const jl_alcoholometer *instrument, const char *bench,
               jl_spirit *spirit);

/* "7.55L@27%", as it is typed, to the end of the expression. */
typedef struct amount_word {
    char text[64];
} amount_word;
amount_word amount_in_a_word(double volume_l, double strength_pct);
#define AMOUNT_WORD(spirit)                                                                        \
    (amount_in_a_word(jl_volume_l(spirit, JL_STRENGTH_C), jl_spirit_strength_pct(spirit)).text)

#endif
