/* The prompt of the book: one entry after the other, each on the disk before the next is asked for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_PROMPT_H
#define JARLINE_BOOK_PROMPT_H

/* Returns the exit status. */
int book_prompt(const char *path);

#endif
