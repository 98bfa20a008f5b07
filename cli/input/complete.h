/* What may stand next in a command line that is being typed, for the shells' completion.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A shell calls "jarline --complete WORD...": all words behind the command's name up to the cursor,
 * the last one as far as it is typed, "" where it is not begun. Each line of the answer is a word that
 * may stand there and, behind a tab, what it is. What a command takes is read from its own table of
 * options and its line of usage: these are what --help shows. */
#ifndef JARLINE_COMPLETE_H
#define JARLINE_COMPLETE_H

#include <popt.h>
#include <stdbool.h>
#include <stddef.h>

/* From now on commands offer words in the place of their answers. words: count of them, at least 1,
 * kept by the caller. */
void complete_begin(const char *const *words, size_t count);
bool completing(void);

/* Offers a word where what is typed begins it. about: NULL for nothing. */
void complete_offer(const char *word, const char *about);

/* Offers what a command takes there: options and their values, files of the right kind, their parts,
 * words of its own. usage: as --help has it, behind the command's name. */
void complete_command(const struct poptOption *table, const char *usage);

#endif
