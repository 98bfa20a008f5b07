/* Settings of still and instruments from their files and options: an option beats the file, the
 * file beats the default.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SETTINGS_H
#define JARLINE_SETTINGS_H

#include "input/args.h"
#include "keys/settings.h"
#include "uncertainty/readings.h"

/* The words of the options; NULL where one was not given. */
typedef struct setting_options {
    char *file;
    char *words[JL_KEYS];
} setting_options;

#define STILL_OPTIONS(o)                                                                           \
    OPTION("still", &(o).file, "FILE", "a settings file with any of the following"),               \
        KEY_OPTIONS(JL_IN_STILL, (o).words)

#define INSTRUMENT_OPTIONS(o)                                                                      \
    OPTION("instrument", &(o).file, "FILE", "limits and divisions of the instruments"),            \
        KEY_OPTIONS(JL_IN_INSTRUMENTS, (o).words)

/* A still, how it is driven and where it is cut. */
typedef struct still_settings {
    jl_settings all;
    jl_still still; /* its schedule lies in all: keep the struct where it was filled */
    jl_plan plan;
} still_settings;

/* Each reads what was given, says what is wrong and returns the exit status, or 0. */

/* charge_strength_pct: decides between a strip run's rules and others. */
int still_settings_read(const setting_options *o, double charge_strength_pct, still_settings *s);

/* The same on top of what s->all has. */
int still_settings_add(const setting_options *o, double charge_strength_pct, still_settings *s);

/* The file's instruments, or the defaults alone when file is NULL. */
int instruments_read(const char *file, jl_settings *bench);

/* The alcoholometer of file and options. */
int arg_instrument(const setting_options *o, jl_alcoholometer *instrument);

/* What file and options state, on top of what is known before. */
int settings_read(const setting_options *o, unsigned where, jl_settings *s);

/* The file's part of that. */
int settings_file(const char *file, unsigned where, jl_settings *s);

/* The air's pressure by one of two options: --pressure, --altitude. NULL: not given. */
int arg_air(const char *pressure, const char *altitude, jl_settings *s, double *pressure_kpa);

/* A rule for a cut. */
int arg_cut(const char *name, const char *word, jl_cut *cut);

/* One option's word. */
int arg_setting(const char *word, jl_key_id id, jl_settings *s);

#endif
