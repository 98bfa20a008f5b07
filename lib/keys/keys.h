/* What may stand in a file of ours and what an option may set: one entry a key.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_KEYS_H
#define JL_KEYS_H

#include "jarline.h"

/* JL_KEY_STAGES and so on, in the order of the table. */
typedef enum jl_key_id {
#define KEY(id, ...) JL_KEY_##id,
#include "keys/key_table.h"
#undef KEY
    JL_KEYS
} jl_key_id;

/* Where a key may stand, and how. */
enum {
    JL_IN_RUN = 1,
    JL_IN_STILL = 2,       /* the settings of a still */
    JL_IN_INSTRUMENTS = 4, /* those of the bench */
    JL_IN_CHARGE = 8,
    JL_IN_WASH = 16,
    JL_IN_BOOK = 32,
    JL_IN_RUN_HEAD = 64, /* in a run log only before the first jar */
    JL_REPEATS = 128,    /* it may stand many times */
    JL_IN_RUN_END = 256, /* what record states of the end of a run */
    JL_SINGLY = 512,     /* its option stands only where a command names it */
    JL_IN_SETTINGS = JL_IN_STILL | JL_IN_INSTRUMENTS
};

typedef enum jl_key_form {
    JL_AS_NUMBER,
    JL_AS_SHARE,    /* a number in a file, 90% as an option */
    JL_AS_CUT,      /* a rule for a cut */
    JL_AS_AMOUNT,   /* a rule that can only be a volume or a share */
    JL_AS_SCHEDULE, /* of reflux */
    JL_AS_TEXT,
    JL_AS_TIME,
    JL_AS_ROW /* read by whoever knows its row */
} jl_key_form;

typedef struct jl_key {
    jl_fact_key fact;
    const char *name; /* as it is written: the stem and a unit */
    const char *range;
    jl_key_form form;
    unsigned where;
    const char *usual, *source; /* the default in an option's words, and where it is from */
    const char *option, *argument, *help;
} jl_key;

#define JL_COMMON_PRACTICE "common practice, no source"
#define JL_NONE_STATED     "unless you set it"

extern const jl_key jl_keys[JL_KEYS];

#endif
