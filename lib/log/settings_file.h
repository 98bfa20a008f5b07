/* A file of settings changed key by key, every other byte kept.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_SETTINGS_FILE_H
#define JL_SETTINGS_FILE_H

#include "log/file.h"

/* One line. */
typedef struct jl_settings_change {
    const char *still;    /* in whose section it stands; NULL: before the first */
    const char *key;      /* with its unit, of the table of keys; "still": its section, which value
                           * renames, or whose lines go */
    const char *value;    /* as a cell has it; "": its lines go */
    const jl_fact *cells; /* in value's place: a row with all values of this, beside what stands */
} jl_settings_change;

/* Makes the changes in the file, or makes it where there is none. What would come out of it is read
 * first: what cannot be read is not written.
 *
 * Returned: *fault, *trouble (neither may be NULL): of what would be the new file, or of writing it
 * Errors:   JL_FORM, JL_RANGE and so on, with *fault; those of jl_locked_file_open and jl_create */
jl_status jl_settings_file_change(const char *path, const jl_settings_change *changes, size_t count,
                                  jl_fault *fault, jl_trouble *trouble);

#endif
