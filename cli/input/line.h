/* Lines that a person types, or that come from a pipe.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LINE_H
#define JARLINE_LINE_H

#include <signal.h>
#include <stdbool.h>
#include <stddef.h>

typedef enum line_result {
    LINE_GIVEN,
    LINE_END,         /* no more input */
    LINE_INTERRUPTED, /* Ctrl-C */
    LINE_UNREADABLE   /* a NUL byte in it */
} line_result;

/* From now on Ctrl-C interrupts line_ask and nothing else. */
void line_begin(void);

/* True when a person is there to be asked again. */
bool line_is_person(void);

/* Whether the prompt goes on behind a write that failed with an exit status: a person may put right
 * what was wrong, or make room, and type it again. Not where the file cannot be read, nor where
 * nobody sees the answer, which says what is written. */
bool line_may_go_on(int exit_status);

/* Asks on a terminal, reads on from a pipe. *line is without white space around it, to be freed. */
line_result line_ask(const char *prompt, char **line);

/* The same, for what only a person can say: lines that are pasted, or were typed ahead, wait for the
 * next line_ask. */
line_result line_ask_typed(const char *prompt, char **line);

/* A line that line_ask gives again. */
void line_put_back(const char *line);

/* While other questions are asked in between, the lines that wait go on waiting. */
void line_hold(bool held);

/* Of the last line that was read, from 1. */
size_t line_number(void);

/* What the prompt's module exports as jarline_prompt_line: a line without its end, to be freed; NULL
 * at the end of input. Comes back early when the caller's signal handler has set *interrupted. */
typedef char *line_editor(const char *prompt, volatile const sig_atomic_t *interrupted);

#endif
