/* A part of a file as an amount: a run's fraction or jars, what a vessel of the book holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PART_H
#define JARLINE_PART_H

#include "jarline.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Both ends belong to it; an open end is INT64_MIN or INT64_MAX. */
typedef struct range {
    int64_t first, last;
} range;

typedef struct ranges {
    range *all;
    size_t count;
} ranges;

/* What the book calls a run: its title, or its file's name, and its start. To be freed. */
char *run_name(const char *path, const jl_run *run);

/* False when the text cannot be read; nothing then has to be freed. */
bool ranges_read(const char *text, ranges *r);
bool ranges_have(const ranges *r, int64_t jar);
void ranges_free(ranges *r);

typedef struct file_part {
    char *path;       /* NULL: the text names no part of a file */
    jl_spirit spirit; /* all of it, mixed */
    double parts_l;   /* its jars' volumes at 20 °C, before they were mixed */
    char *run;        /* of a run log: its title and start */
    char *jars;       /* and its jars: "3-7 9" */
    const char
        *kind; /* and what a fraction becomes in the store: "spirit", "feints", "low wines"; "" */
    char *vessel; /* of a book */
} file_part;

/* "october.csv:hearts", "october.csv:3-11", "book.csv:demijohn-3", "book.csv:demijohn-3:2.5L". A text
 * that does not begin with the name of a file and a colon is none. Returns the exit status, or 0; what
 * is wrong has then been said. Free the part only after 0. */
int part_read(const char *text, file_part *part);
void part_free(file_part *part);

#endif
