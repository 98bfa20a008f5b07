/* The jars of a log with their fractions, and those that the rules of a forecast would give.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CUT_SUGGEST_H
#define JARLINE_CUT_SUGGEST_H

#include "answer/show.h"
#include "jarline.h"

/* A jar that counts, with the fraction it has in the log and the one of this choice. */
typedef struct cut_jar {
    uint32_t number;
    jl_fraction logged, chosen;
    jl_spirit spirit;
    double head_c, boiler_c;
} cut_jar;

typedef struct cut_run {
    cut_jar *jars;
    size_t count;
    bool read_pct, read_proof; /* scales that were read */
    jl_alcoholometer instrument;
    jl_recovery recovery;
    jl_cut_rules rules;        /* of the log, or the usual ones for its charge */
    bool stated[JL_FRACTIONS]; /* which of them the log states */
} cut_run;

/* The rules that hold for the log. */
void cut_rules_read(const jl_run *record, cut_run *run);

/* Gives the jars the fraction that the rules of a forecast would. Returns the exit status, or 0. */
int cut_suggest(cut_run *run);

/* The rules of a suggestion, with their source. */
void assume_cut_rules(show *s, const cut_run *run);

#endif
