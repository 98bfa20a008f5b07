/* What a cut comes to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CUT_SHOW_H
#define JARLINE_CUT_SHOW_H

#include "answer/show.h"
#include "jarline.h"

/* The jars of a log and a fraction for each. */
typedef struct cut_choice {
    jl_run *run;
    const jl_jar *jars;
    size_t count;
    jl_fraction *fractions;
    jl_cut_rules rules; /* those of a suggestion */
} cut_choice;

/* What is to be made of the hearts. */
typedef struct bottling {
    const char *to_text; /* NULL: not asked for */
    double target;       /* mass fraction */
    double bottle_l;     /* 0: none */
} bottling;

/* The fractions of the choice, the hearts at bottling strength, and what one jar more or less would
 * change. */
void show_choice(show *s, const cut_choice *c, const bottling *b);

/* The rules of a suggestion, with their source. */
void assume_cut_rules(show *s, const cut_choice *c);

#endif
