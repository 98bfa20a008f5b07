/* A run as far as its log goes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RUNNING_H
#define JARLINE_RUNNING_H

#include "jarline.h"

/* A jar that counts. Numbers that the log does not have are NaN. */
typedef struct past_jar {
    int64_t number;
    jl_spirit spirit;
    double measured_l; /* at temp_c */
    double strength_pct;
    jl_quantity reading, stated; /* stated: a true strength in the log */
    double temp_c, head_c, boiler_c;
    bool timed;
    jl_time time;
    double before_l, until_l; /* what had run, at 20 °C, before it and with it */
    double pure_until_l;
} past_jar;

enum { JARS_KEPT = 12 };

typedef struct running {
    jl_alcoholometer instrument;
    jl_recovery recovery; /* what the facts state of the charge and of what was left */
    double (*expect)[3];  /* forecast jars: what has run at the end, strength, head */
    size_t expected;
    past_jar last[JARS_KEPT]; /* the newest ones, in order */
    size_t kept;
    size_t jars;
    jl_spirit total;
    past_jar sought; /* the jar that running_read was asked for */
    bool found;
    size_t torn_line; /* of half a row at the end, which was left out; 0: none */
} running;

/* Reads the log from its beginning; sought: a jar to keep, or -1. Returns the exit status, or 0. */
int running_read(const char *path, int fd, int64_t sought, running *run);
void running_free(running *run);

/* The newest jar, or NULL. */
const past_jar *running_newest(const running *run);

/* The jar before one of the newest, or NULL when it is not known. */
const past_jar *running_before(const running *run, int64_t number);

/* What a jar is, by the instrument of its log. Returns the exit status, or 0. */
int jar_of_entry(const jl_alcoholometer *instrument, const jl_entry *entry, past_jar *jar);

/* Counts one more jar. */
void running_add(running *run, past_jar jar);

/* The forecast's mean strength between two volumes; NaN outside it or without one. */
double running_expected_pct(const running *run, double from_l, double to_l);

/* All that the forecast expects to run; NaN without one. */
double running_expected_l(const running *run);
double running_expected_pure_l(const running *run);

/* Minutes from the jar before to this one, and the rate; NaN when a time is missing or does not go
 * on. */
double minutes_between(const past_jar *before, const past_jar *jar);
double rate_ml_min(const past_jar *before, const past_jar *jar);

#endif
