/* A file that an answer is written into: whole, or not at all.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_OUTPUT_H
#define JARLINE_OUTPUT_H

#include "answer/show.h"
#include "input/args.h"

#include <stddef.h>

/* The options of every command that writes such a file. */
typedef struct output_options {
    char *path; /* NULL: none is wanted */
    int force;
} output_options;

#define OUTPUT_OPTIONS(o, help)                                                                    \
    OPTION("output", &(o).path, "FILE", help),                                                     \
        FLAG("force", &(o).force, "replace the file when it exists")

/* A whole new file, or with --force one that replaces it; a record of ours is never replaced. Says
 * what went wrong and returns the exit status, or 0. */
int output_write(const output_options *o, const char *text, size_t length);

/* "Written: FILE"; JSON: "written". */
void show_written_path(show *s, const char *path);

/* The same, whose answer the file is. Nothing where no file was wanted. */
void show_written(show *s, const output_options *o);

/* The same, of a command whose only answer is the file. Returns the exit status. */
int say_written(const output_options *o);

#endif
