/* The figures of a jar, as words of a command line or answers at the prompt.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_JAR_WORDS_H
#define JARLINE_JAR_WORDS_H

#include "input/args.h"
#include "jarline.h"

#define FRACTIONS_EXPECTED "foreshots, heads, hearts, tails or undecided"

/* Whether anything but the moment is given. */
bool gives_anything(const jl_entry *entry);

/* What one jar has beside its words. */
typedef struct jar_options {
    char *head, *boiler, *strength, *empty, *spout, *taken, *fraction, *time, *note;
} jar_options;

#define JAR_OPTIONS(o)                                                                             \
    OPTION("head", &(o)->head, "TEMP", "at the head, as the jar ends"),                            \
        OPTION("boiler", &(o)->boiler, "TEMP", "in the boiler, as the jar ends"),                  \
        OPTION("strength", &(o)->strength, "STRENGTH",                                             \
               "true strength at 20 °C, in place of a reading"),                                   \
        OPTION("empty", &(o)->empty, "WEIGHT",                                                     \
               "of the empty jar, where it was weighed: 352g --empty 184g"),                       \
        OPTION("spout", &(o)->spout, "READING@TEMP",                                               \
               "what the alcoholometer shows in the running spout as the jar ends"),               \
        OPTION("taken", &(o)->taken, "VOLUME", "a sample out of the jar, or what was spilled"),    \
        OPTION("fraction", &(o)->fraction, "FRACTION",                                             \
               "foreshots, heads, hearts, tails or undecided"),                                    \
        OPTION("time", &(o)->time, "TIME", "when it was full (now): 10:40, or none"),              \
        OPTION("note", &(o)->note, "TEXT", "smell, taste, anything")

/* Words and options as a jar, all but its moment. The entry's texts are the options'. */
int read_jar(const char *const *words, size_t count, const jar_options *o, jl_entry *entry);

/* A line of such words, of which numbers without a unit are left to who asks: 250ml 74.5% 21C --note
 * "pear, clean". */
typedef struct jar_line {
    jl_entry entry; /* all but its moment */
    jar_options options;
    args args;
    const char **words;
    size_t bare; /* how many of args.rest are numbers without a unit: in front of the others */
} jar_line;

/* "9:02", "9.02pm": a word that is a time of day and no figure. */
bool is_clock(const char *word);

/* Whether a line is spelt so: it has an option, or several figures, each with its unit. */
bool is_jar_line(const char *text);
int jar_line_read(jar_line *line, const char *text);
void jar_line_free(jar_line *line);

/* Whether there is a volume or a weight, and a reading, a strength or one of the spout. */
bool gives_jar(const jl_entry *entry);

/* Whether a new jar has what it needs: a volume, a reading with its temperature or a strength. */
int check_entry(const jl_entry *entry);

#endif
