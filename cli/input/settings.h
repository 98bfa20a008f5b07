/* Settings of still and instruments from files and options: an option beats the still's file, which
 * beats the bench file, which beats the default.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SETTINGS_H
#define JARLINE_SETTINGS_H

#include "input/args.h"
#include "keys/settings.h"
#include "still/causes.h"
#include "uncertainty/readings.h"

/* The words of the options; NULL where one was not given. */
typedef struct setting_options {
    char *bench, *still, *still_name;
    bool bench_later;  /* --bench stands behind --still */
    bool any_still;    /* the bench's stills may stay unnamed: no key of theirs is needed */
    bool in_its_units; /* of which people see the answer's figures, where nothing else says them */
    const char *log;   /* in whose folder a bench file may be; NULL: none */
    char *words[JL_KEYS];
} setting_options;

#define BENCH_OPTION(o)                                                                            \
    OPTION("bench", &(o).bench, "FILE", "the bench file: instruments and stills")

#define STILL_NAME_OPTION(o)                                                                       \
    OPTION("still-name", &(o).still_name, "NAME", "which still of the bench file")

#define STILL_OPTIONS(o)                                                                           \
    OPTION("still", &(o).still, "FILE", "a settings file with any of the following"),              \
        STILL_NAME_OPTION(o), KEY_OPTIONS(JL_IN_STILL, (o).words)

#define INSTRUMENT_OPTIONS(o) KEY_OPTIONS(JL_IN_INSTRUMENTS, (o).words)

/* A still, how it is driven and where it is cut. */
typedef struct still_settings {
    jl_settings all;
    jl_still still; /* its schedule lies in all: keep the struct where it was filled */
    jl_plan plan;
    const char *name; /* NULL: not stated */
    jl_learnt_still
        learnt; /* of the file, by calibrate; count 0: none, or an option says otherwise */
    jl_still_known known; /* how well what the file says is known */
} still_settings;

/* Each reads what was given, says what is wrong and returns the exit status, or 0. */

/* charge_strength_pct: decides between a strip run's rules and others. */
int still_settings_read(const setting_options *o, double charge_strength_pct, still_settings *s);

/* The same on top of what s->all has. */
int still_settings_add(const setting_options *o, double charge_strength_pct, still_settings *s);

/* The bench's instruments and the options' on the defaults. Of a log that exists only limits, divisions
 * and sizes are asked: it has the rest itself. */
int instruments_read(const setting_options *o, jl_settings *bench);

/* The alcoholometer that they state, with its sources for the answer's sentences. */
jl_alcoholometer instrument_of(const jl_settings *bench);

/* The alcoholometer of bench and options. */
int arg_instrument(const setting_options *o, jl_alcoholometer *instrument);

/* What files and options state, on top of what is known before. */
int settings_read(const setting_options *o, unsigned where, jl_settings *s);

/* The air's pressure, by --pressure or --altitude, else the bench's. */
int arg_air(const setting_options *o, jl_settings *s, double *pressure_kpa);

/* A bottle by its option's word, else the bench's; 0: neither states one. */
int arg_bottle(const char *word, const jl_settings *bench, double *bottle_l);

/* How large a jar is by the bench; NaN: it does not say. */
int bench_jar(const setting_options *o, double *jar_l);

/* The house's name in the bench file; "": it has none. Kept. */
int bench_house(const setting_options *o, const char **house);

/* A rule for a cut. */
int arg_cut(const char *name, const char *word, jl_cut *cut);

/* One option's word. */
int arg_setting(const char *word, jl_key_id id, jl_settings *s);

#endif
