/* The figures of one jar, asked for one after the other, in the units of the log's columns.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_FORM_H
#define JARLINE_RECORD_FORM_H

#include "input/questions.h"
#include "jarline.h"

/* A jar that is being typed. Nothing in it points into the record, which other words may read anew. */
typedef struct form {
    jl_run *const *run;                /* the record as it stands */
    char name[JL_JAR_NAME_BYTES];      /* of the jar that is corrected; "": a new one */
    char forgotten[JL_JAR_NAME_BYTES]; /* the name of a jar to be put in, as "8a"; "": none */
    jl_entry e;                        /* what was typed, or taken as offered */
    char *note;                        /* what e.note is, to be freed */
    char fraction[16];                 /* what e.fraction is; "": none */
    jl_time now;                       /* as its first answer came */
    bool is_begun;                     /* it did */
    char stamp[JL_TIME_BYTES];         /* of that, or the time that was typed */
    bool time_kept;                    /* an unlikely one */
    bool time_asked;                   /* the jar waits for its moment alone */
    bool time_held;           /* and is asked for it, though nothing is unlikely any more */
    bool is_first;            /* of this prompt: where help is, is said */
    bool by_weight, by_spout; /* as the jar before, or as was typed */
    bool is_stated;           /* a line had its strength */
    double jar_l;             /* of the bench; NaN: not known */
    bool was_taken[JL_JAR_FIGURES];
    char given[JL_JAR_FIGURES][REMARK_WORD]; /* in a line; "": as it stands */
    bool has_given[JL_JAR_FIGURES];          /* until it is taken */
} form;

/* A new jar. jar_l: how large one is by the bench; NaN: it does not say. */
void form_begin(form *f, jl_run *const *run, double jar_l);

/* One that stands, to be corrected. */
void form_correct(form *f, jl_run *const *run, const char *name);

/* One that was forgotten. */
void form_put_in(form *f, jl_run *const *run, const char *name, double jar_l);
void form_free(form *f);

/* "74.1 24C": figures to be corrected, each known by its unit; a bare number is the reading. False: one
 * of them is none, and has been said. */
bool form_line(form *f, const char *text);

/* "352g 64.5% 21.5C --empty 184g": a jar in the words of the command. False: as above. */
bool form_words(form *f, const char *text);

/* "63%@24C", "63 24": what the running spout shows; "": it is asked for, or no longer. False: a
 * figure is none, and has been said. */
bool form_spout(form *f, const char *text);

/* The questions of a jar. Their words are the caller's, in obey, which gets f. */
questions form_questions(form *f, obeyed (*obey)(void *f, const char *word, bool begun),
                         const char *words);

/* The note that the jar has so far, to be extended or replaced. */
void form_note(form *f, const char *note);

/* The last jar whose place is before that name's, whether the run has it or not; NULL: none.
 * name: NULL or "": a new jar. */
const jl_jar *jar_before_named(const jl_run *run, const char *name);

/* The moment behind which a bare time of a jar lies: that of the jars before it, or the start;
 * before: NULL: it is the first. False: nothing says it. */
bool moment_before(const jl_run *run, const jl_jar *before, jl_time *when);

/* "9:40". Returns whether it could be read; what is wrong has then been said. */
bool form_time(form *f, const char *text);

/* A word has changed what comes before the jar: one that waits for its moment alone goes on waiting. */
void form_hold(form *f);

/* Tells what is unlikely of the moment that was given. False: nothing is. */
bool form_tell_moment(form *f);

/* The volume, reading and temperature of what is left in the boiler, the same way. */
typedef struct left_form {
    jl_run *const *run;
    jl_left left;
} left_form;

questions left_questions(left_form *f, obeyed (*obey)(void *f, const char *word, bool begun),
                         const char *words);

#endif
