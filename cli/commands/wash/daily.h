/* A wash log day by day: begun with what went in, and a row for each day that says something.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_DAILY_H
#define JARLINE_WASH_DAILY_H

#include "answer/show.h"
#include "input/args.h"

#include <stdbool.h>

/* What goes in, in the order given. */
typedef struct additions {
    char **words;
    jl_ingredient *in;
    size_t count;
} additions;

void additions_free(additions *list);

/* Options of which the one at add may stand more than once. False as args_read. */
bool read_with_additions(args *a, char **add, additions *list);

/* What a recipe comes to in a volume (NaN: its own), or, with a strength wanted (NaN: none), how much
 * sugar is still to go in. Returns the exit status. */
int answer_recipe(const additions *added, double volume_l, double to_pct, bool json);

enum { LOCK_WAIT_S = 10 };

/* Writes a row and answers. timed: its moment was typed. Returns the exit status. */
int wash_record_row(const char *path, const jl_wash_entry *entry, bool timed,
                    const jl_settings *bench, const jl_hydrometer *hydrometer, bool json);

/* What counts for what went in; sugar: the words that begin the sentence. */
void assume_yields(show *s, const char *sugar);

/* How strong it is by now, whether it has finished, what it waits for. True: it has. */
bool wash_show_so_far(show *s, const jl_wash_log *log, const jl_settings *bench, jl_time now);

/* Whether a command line is about a wash, by its words alone. */
bool is_wash_start(int argc, const char **argv);
bool is_wash_record(int argc, const char **argv);

/* Digits and a mark alone, as a gravity has them; of one that is none, says what was expected and
 * returns the exit status. */
bool is_bare_number(const char *word);
int fail_wash_number(const char *word);

/* start WASH.csv --wash 60L, and record WASH.csv 1.012 21C. */
int start_wash(int argc, const char **argv);
int record_wash(int argc, const char **argv);

/* Undoes the last row of the log. Returns the exit status. */
int wash_undo(const char *path, const jl_settings *bench, bool json);

/* "Gravity 0.995? The reading before had 1.040.", where it is unlikely behind the last one of the log;
 * "" otherwise. */
void wash_question_gravity(const jl_wash_log *log, const jl_wash_reading *last, double sg,
                           jl_time time, char *text, size_t size);

/* False, with what is accepted in sentences, where it lies above what the wash began with. */
bool wash_gravity_can_be(const jl_wash_log *log, double sg, char *text, size_t size);

#endif
