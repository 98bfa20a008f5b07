/* Words for a screen: messages on standard error with the exit status that goes with them, and
 * sentences filled into lines.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SAY_H
#define JARLINE_SAY_H

#include "answer/exit_status.h"

#include <stdbool.h>
#include <stdio.h>
#include <time.h>

/* Width of a page that leaves a terminal of 80 columns some air. */
enum { PAGE = 78 };

/* Bytes of the words that fill one line of a width: one word at least. What follows them begins
 * behind the blanks. */
size_t words_within(const char *text, int width);

/* Words filled into lines of the page: lead stands before the first, inset before the others. */
void put_sentence(FILE *to, const char *lead, const char *inset, const char *text);

/* The command whose name stands before every message. */
void say_name(const char *command);

/* What is to be done before a message, so that it stands behind what was answered so far; NULL:
 * nothing. */
void say_after(void (*flush)(void *), void *with);

/* "jarline COMMAND: message", one line; on a terminal filled into lines of its width. */
void say(const char *format, ...) __attribute__((format(printf, 1, 2)));

/* The same, and hands back the exit status: return fail(EXIT_NO, "..."). */
int fail(int exit_status, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* An argument or a word that cannot be. */
#define refuse(...) fail(EXIT_USAGE, __VA_ARGS__)

/* A reader's fault: file, line, cell, what it is and what was expected. Returns the exit status. */
int fail_fault(const char *file, const jl_fault *fault);

/* An argument that could not be used: its name or place, its text, the status, what was expected.
 */
int fail_argument(const char *name, const char *text, jl_status status, const char *expected);

/* A log that could not be written: why, and whether anything was; done is what was not, "recorded",
 * "saved". fault: the writer's, or NULL. Returns the exit status. */
int fail_write(const char *path, jl_status status, jl_trouble trouble, const jl_fault *fault,
               const char *done);

/* Standard output, to its last byte. Returns exit_status, or EXIT_IO with a message when it did not take
 * everything. */
int close_output(int exit_status);

/* Memory, or the end of the process with EXIT_MEMORY and a message. */
void *need(void *allocated);

/* Room for one more in the array at *at, as jl_grow; ends the process likewise. */
void need_room(void *at, size_t count, size_t *room, size_t size);

/* True when the terminal's character set is UTF-8. */
bool speaks_utf8(void);

/* Text for a terminal that may lack UTF-8: "°C" becomes "C", and so on. Returns text or buffer. */
const char *plain(const char *text, char *buffer, size_t size);

/* How far a work of more than a second is, on a terminal. */
typedef struct progress {
    struct timespec begun;
    bool shown;
    int percent;
} progress;

void progress_begin(progress *p);

/* A jl_progress; with is the progress. It never ends the work. */
bool progress_step(double done, void *with);

/* Takes the line away again. */
void progress_end(progress *p);

/* Bytes that on_screen needs at the most for a text of so many. */
#define ON_SCREEN_BYTES(length) (4 * (length) + 1)

/* The way of every text to a screen, as it may come from a file or an argument: as this terminal can
 * show it, and with every byte that would steer it, or that is no character, written as "\x1b". Returns
 * text or buffer. */
const char *on_screen(const char *text, char *buffer, size_t size);

#endif
