/* What the prompt's module exports.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PROMPT_MODULE_H
#define JARLINE_PROMPT_MODULE_H

#include <signal.h>

/* A line without its end, to be freed; NULL at the end of input. Comes back early when the caller's
 * signal handler has set *interrupted. */
char *jarline_prompt_line(const char *prompt, volatile const sig_atomic_t *interrupted);

#endif
