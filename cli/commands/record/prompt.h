/* The prompt: one jar after the other.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_PROMPT_H
#define JARLINE_RECORD_PROMPT_H

/* Returns the exit status. */
int record_prompt(const char *path);

#endif
