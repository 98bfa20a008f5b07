/* Files of settings, and the bench file among them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BENCH_H
#define JARLINE_BENCH_H

#include "keys/settings.h"

/* The bench file of this call: option, else $JARLINE_BENCH, else bench.csv in the log's folder (without
 * a log: here), else $XDG_CONFIG_HOME/jarline/bench.csv. NULL: there is none. */
const char *bench_path(const char *option, const char *log);

/* Where a new one is to be made when none is found: what was named, else in the user's settings; NULL:
 * nowhere. */
const char *bench_place(const char *option);

/* A file of settings, with a section for each of its stills. */
typedef struct settings_file {
    const char *name;
    unsigned where;          /* what may stand in it */
    const char *still;       /* which section; NULL: the only one */
    bool optional;           /* whether it may have no such section */
    jl_learnt_still *learnt; /* room for what calibrate learnt of that still; NULL: not wanted */
} settings_file;

/* Puts what the file states, of keys that may stand somewhere of wanted, in the place of what s has.
 * *still is the name of the section that was taken, and stays as it is where none was. Says what is
 * wrong and returns the exit status, or 0. */
int settings_file_read(const settings_file *file, unsigned wanted, jl_settings *s,
                       const char **still);

/* A text that it states, kept; *text stays as it is where there is none. The same. */
int settings_file_text(const char *name, const char *key, const char **text);

/* In words, the key that a misspelt one was meant to be, or else those that share its first word or
 * its unit; "": none. */
void list_akin_keys(const char *name, unsigned where, char *text, size_t size);

/* Its facts, to be freed; the same. */
int settings_file_facts(const char *name, jl_facts **facts);

/* Whether it is one that this call has read, by whichever name. */
bool settings_file_was_read(const char *path);

#endif
