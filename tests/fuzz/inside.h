/* The command, called within the process: what it was given, what it said and how it ended.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FUZZ_INSIDE_H
#define JARLINE_FUZZ_INSIDE_H

#include "scratch.h"

typedef struct said {
    int status;
    char *out, *err;
    size_t out_size, err_size;
} said;

/* In the scratch folder, where the files of season() stand. words: without "jarline", ended by NULL. */
said run_inside(char **words, const void *input, size_t size);
void said_free(said *s);

/* A run log, a wash log, a book and a bench file, as they were. */
void season(void);

/* What holds of any call: a known status, plain text, a message where it failed, and files that can
 * still be read. */
void said_holds(const said *s, const void *typed, size_t size);

/* Whether a file is what season() made it. */
bool is_untouched(const char *name);

#endif
