/* Rules for cuts and reflux, as words.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * file: NULL for an option, else where the text stands; it goes into the message and decides the
 * exit status, which is returned, or 0. */
#ifndef JARLINE_CUT_WORDS_H
#define JARLINE_CUT_WORDS_H

#include "jarline.h"

/* What a rule may go by. */
typedef enum cut_place {
    CUT_AMOUNT, /* a volume or a share */
    CUT_ANY     /* a strength at the spout and temperatures, too */
} cut_place;

/* "100ml", "2% of charge", "5% of alcohol", "none"; "60%", "120proof", "92C head", "96C boiler". */
int cut_read(const char *file, const char *name, const char *text, cut_place where, jl_cut *cut);
void cut_text(const jl_cut *cut, char *text, size_t size);

/* "3@1h,5@2L,1@82C": reflux and from when on. */
int schedule_read(const char *file, const char *name, const char *text, jl_reflux_step *steps,
                  size_t most, size_t *count);
void schedule_text(const jl_reflux_step *steps, size_t count, char *text, size_t size);

/* "3kJ/C", "500J/K": J/K. */
int heat_read(const char *name, const char *text, double *j_k);

#endif
