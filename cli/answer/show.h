/* One answer: gathered by a command, then shown to people as aligned text or to programs as JSON.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A thing with a NULL label (or title) is shown in JSON only, one with a NULL key in text only. A
 * number that is NaN is missing: "-" in text, null in JSON. Every text is copied. */
#ifndef JARLINE_SHOW_H
#define JARLINE_SHOW_H

#include "answer/table.h"

typedef struct show show;

/* json: for programs. Ends the process only when memory is out. */
show *show_open(bool json);

/* A heading above what follows; text only. */
void show_heading(show *s, const char *text);

/* The same of volumes and strengths: "WHAT, at 20 °C", with proof's own temperature where that is seen. */
void show_heading_at(show *s, const char *what);

/* One result. unit: "% vol", "L"; "" for none. decimals: at the most (answer/digits.h). */
void show_number(show *s, const char *key, const char *label, double value, int decimals,
                 const char *unit);

/* The same of a difference, by its standard uncertainty: below 0 with its ±, where that is all there is. */
void show_difference(show *s, const char *key, const char *label, double value, double standard,
                     int decimals, const char *unit);

/* The pure alcohol of an amount, in L, with the digits of its volume and strength. */
void show_pure(show *s, const char *key, const char *label, jl_spirit spirit);

void show_text(show *s, const char *key, const char *label, const char *text);
void show_truth(show *s, const char *key, bool value); /* JSON only */

/* A named group of results: an object in JSON, a heading (unless NULL) in text. */
void show_group(show *s, const char *key, const char *heading);
void show_group_end(show *s);

/* A table, which is to be filled before anything else is shown: an array of objects in JSON. */
void show_table(show *s, const char *key, const column *columns, size_t count);

/* The table begun last stands above the answer in text, with its heading, however short it is. A
 * table of 7 rows or more always does. */
void show_table_above(show *s);

/* One that was built before, and is the answer's from now on. */
void show_whole_table(show *s, const char *key, struct table *t);

/* Cells of the table that was begun last. */
void show_cells(show *s, const cell_shown *cells, size_t count);

/* What is whole so far, rows too, reaches the reader now: for a stream that is answered as it comes. */
void show_flush(show *s);

/* Sentences below the answer: what was assumed (a default and its source), what else is to be
 * known, what can hurt, what is odd in the data of this answer. JSON has them whole in the arrays
 * "assumptions", "notes", "cautions", "warnings". Text has at most 4 warnings, 3 lines of
 * assumptions, a line each of 2 cautions and no note, unless all are wanted. */
void show_assumption(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
void show_note(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
void show_caution(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A caution that is not of this answer alone: text has it with --why. */
void show_standing_caution(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
void show_warning(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A note that text always has, below the warnings: what was written, or was not. */
void show_remark(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A line that only text has, in the same place. */
void show_text_remark(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The command that follows, with this answer's figures; JSON: "next", an array. */
void show_next(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The bench file that the answers of this process rest on from now on; kept by the caller. NULL: none
 * is named. */
void show_bench(const char *path);

/* An assumption of the answer that is closed next, before its others: how a file was read. In one
 * process each is said once. */
void show_reading_of_file(const char *text);

/* All sentences in full (--why), in every answer of this process. */
void show_why(void);

/* The answer with its warnings and remarks alone (--quiet), in every answer of this process. */
void show_quiet(void);

/* True once standard output takes no more (closed, full disk): a long answer may stop. */
bool show_stuck(const show *s);

/* What is on the disk whether the answer is seen or not, as "jar 7 is in RUN.csv": said where the
 * answer could not be shown. */
void show_on_disk(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Ends the answer and frees it. Returns exit_status, or EXIT_IO with a message when standard output
 * did not take everything. */
int show_close(show *s, int exit_status);

/* Frees an answer of which nothing is to be shown: a failure that was found on the way. A table
 * already begun stays on the page as far as it went; JSON is left without its end, so that no
 * program takes it for whole. */
int show_abandon(show *s, int exit_status);

#endif
