/* The figures of a jar, as words of a command line or answers at the prompt.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_JAR_WORDS_H
#define JARLINE_JAR_WORDS_H

#include "jarline.h"

#define FRACTIONS_EXPECTED "foreshots, heads, hearts, tails or undecided"

typedef enum figure { FIGURE_VOLUME, FIGURE_READING, FIGURE_TEMP } figure;
#define FIGURES (FIGURE_TEMP + 1)

/* Whether anything but the moment is given. */
bool gives_anything(const jl_entry *entry);

/* Each figure tells what it is by its unit: "500mL", "72.5%" or "145proof", "24C"; any order.
 * Returns the exit status, or 0. */
int read_jar_word(const char *word, jl_entry *entry);

/* The temperature of a vapour or of what boils; NULL leaves it as it is. */
int read_vapour(const char *name, const char *text, double *temp_c);

/* "63%@24C", the reading of the running spout; NULL leaves it as it is. */
int read_spout(const char *text, jl_entry *entry);

/* Whether there is a volume or a weight, and a reading, a strength or one of the spout. */
bool gives_jar(const jl_entry *entry);

/* Whether a new jar has what it needs: a volume, a reading with its temperature or a strength. */
int check_entry(const jl_entry *entry);

#endif
