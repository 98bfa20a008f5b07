/* The published values of this folder, as they stand in the files, compiled in.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * README.md beside this file says where each is from and how far to trust it. */
#ifndef JARLINE_REFERENCE_H
#define JARLINE_REFERENCE_H

#include <stddef.h>

typedef struct reference_file {
    const char *name; /* without ".csv" */
    const char *text; /* NUL-terminated */
    size_t length;    /* bytes, without the NUL */
} reference_file;

extern const reference_file REFERENCE_FILES[];
extern const size_t REFERENCE_FILES_COUNT;

#endif
