/* What a cut comes to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CUT_SHOW_H
#define JARLINE_CUT_SHOW_H

#include "commands/cut_suggest.h"

/* What is to be made of the hearts. */
typedef struct bottling {
    const char *to_text; /* NULL: not asked for */
    double target;       /* mass fraction */
    double bottle_l;     /* 0: none */
} bottling;

/* The fractions of the choice, the hearts at bottling strength, and what one jar more or less would
 * change. */
void show_choice(show *s, const cut_run *run, const bottling *b);

#endif
