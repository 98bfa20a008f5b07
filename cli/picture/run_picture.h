/* What a picture of a run shows: its jars, its forecast, its charge.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Volumes and strengths at 20 °C. What is not known is NaN. */
#ifndef JARLINE_RUN_PICTURE_H
#define JARLINE_RUN_PICTURE_H

#include "jarline.h"

typedef struct run_picture {
    jl_run *run;           /* the record that it was made of; NULL: none */
    char *title, *started; /* as the log has them; NULL: not there */
    bool forecast;         /* the jars are a forecast's */
    bool goes_on;          /* jars are to come, or it is followed */
    jl_spirit charge;      /* 0 and 0: not known */
    double charge_l, charge_strength_pct, charge_pure_l;
    const jl_jar *jars; /* the record's, or own */
    double *end_l;      /* what has run with each of them, jar beside jar */
    size_t count;
    jl_jar *own; /* NULL: none */
    const jl_expected *expected;
    size_t expected_count;
    jl_outlook outlook;    /* of a run that goes on: one of which jars are to come */
    jl_estimate *rest_pct; /* their strengths, up to the stop */
    size_t rest_count;
    double rest_jar_l;   /* as large are they */
    jl_estimate *slices; /* of the expected run, of slice_l each; NULL: not asked for */
    size_t slice_count;
    double slice_l;
} run_picture;

/* What the axis of volume shows, and what a run that goes on carries. */
extern const char PICTURE_VOLUME[], PICTURE_NEVER_ALONE[];

/* Of the axis of strength in the units that are seen: what it shows, and its end. */
const char *picture_strength_words(void);
double picture_strength_end(void);

void picture_begin(run_picture *r);
void picture_free(run_picture *r);

/* A log's run. path: "-" is standard input. A torn last row is said on standard error. Returns the exit
 * status, or 0; free the picture only then. */
int picture_read(const char *path, run_picture *r);

/* Whether its log says of what stages its still is: without, nearly any run is to be expected. */
bool picture_knows_still(const run_picture *r);

/* Adds what was to be expected of the run before its first jar, with its interval. Says what is missing
 * in the log. Returns the exit status, or 0. */
int picture_expect(const char *path, run_picture *r);
/* The same where it can be had. */
void picture_expect_if(run_picture *r);

/* Jars without a log, each with its number, fraction, spirit, so_far and head_c; the picture frees
 * them. */
void picture_own_jars(run_picture *r, jl_jar *jars, size_t count);

/* Collected so far, jar beside jar: blended they have less volume. */
double picture_volume_l(const run_picture *r);
/* What the forecast goes to; 0: there is none. */
double picture_expected_l(const run_picture *r);
/* What is collected with what is to come. */
double picture_to_come_l(const run_picture *r);
double picture_pure_l(const run_picture *r);
/* All that was collected, and its hearts, as they blend. */
jl_spirit picture_collected(const run_picture *r);
jl_spirit picture_hearts(const run_picture *r);
bool picture_has_head(const run_picture *r);

/* Sentences above a picture: where it began and from what; what was collected. */
void picture_words_charge(const run_picture *r, char *text, size_t size);
void picture_words_collected(const run_picture *r, char *text, size_t size);
/* The same where there is little room: the share is of the charge's pure alcohol, and above it stands
 * that volumes are at 20 °C. */
void picture_words_charge_brief(const run_picture *r, char *text, size_t size);
void picture_words_brief(const run_picture *r, char *text, size_t size);

/* What the picture shows, for those who cannot see it: in one line, and with the sentences above. */
void picture_words_summary(const run_picture *r, char *text, size_t size);
void picture_words_all(const run_picture *r, char *text, size_t size);

#endif
