/* What the ways of recording share: one jar by a command line, many at a prompt.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_H
#define JARLINE_RECORD_H

#include "answer/show.h"
#include "commands/record/running.h"

/* Writes one jar; *number is the one it gets, *run the run with it. Returns the exit status, or 0
 * once the jar is on the disk. */
int write_jar(const char *path, const jl_entry *entry, running *run, int64_t *number);

/* Changes a jar's figures; *run is the run after that, with the jar in run->sought. */
int write_corrected(const char *path, int64_t number, const jl_entry *entry, running *run);

/* Takes the newest jar back, whose number *number then is; *run is the run without it. */
int write_undone(const char *path, running *run, int64_t *number);

/* Sets facts of the log; *run is the run after that. */
int write_facts(const char *path, const jl_fact_entry *facts, size_t count, running *run);

/* The run as the log has it; sought as in running_read. */
int read_run(const char *path, int64_t sought, running *run);

/* What of a jar does not fit what was expected or what came before: a slip of the pen, most often.
 */
enum { WARNINGS_MOST = 6, WARNING_SIZE = 160 };
typedef struct warnings {
    char text[WARNINGS_MOST][WARNING_SIZE];
    size_t count;
} warnings;
warnings warnings_of(const running *run, const past_jar *jar);

/* What was written down: "250 ml, 66.5 % at 20 °C, head 89.7 °C". */
void write_figures(const past_jar *jar, char *text, size_t size);

/* What it comes to, for people and programs. */
void show_recorded_jar(show *s, const running *run, const past_jar *jar);

/* The run so far: sums, what the forecast has still to come. rest_follows: what is shown next says
 * that better. */
void show_run_so_far(show *s, const running *run, bool rest_follows);

/* The newest jars as a table. */
void show_table_of_jars(show *s, const running *run, size_t most);

/* The prompt. Returns the exit status. */
int record_prompt(const char *path);

/* What is left in the boiler, as options give it. Returns the exit status. */
typedef struct left_words {
    char *volume, *strength, *reading, *temp;
} left_words;
int record_left(const char *path, const left_words *left, bool json);

#endif
