/* Sentences and labels that several commands share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PHRASES_H
#define JARLINE_PHRASES_H

#include "answer/show.h"
#include "keys/settings.h"
#include "uncertainty/readings.h"

/* "Density at 24 °C", with as many decimals as the temperature needs, one at the most. */
void phrase_at(char *text, size_t size, const char *what, double temp_c);

/* A day, "2026-10-24", a moment, "2026-10-24 09:02" ("-": there is no such one), a rule for a cut, in the
 * units that are seen, as texts that hold to the end of the expression that they stand in. */
typedef struct short_text {
    char text[JL_CUT_BYTES];
} short_text;
short_text moment_in_words(jl_time time, bool clock);
short_text rule_in_words(const jl_cut *cut);
#define DAY(time)    (moment_in_words(time, false).text)
#define MOMENT(time) (moment_in_words(time, true).text)
#define RULE(cut)    (rule_in_words(cut).text)

/* The instrument as an assumption: calibration, glass, corrections. */
void assume_instrument(show *s, const jl_alcoholometer *instrument, jl_unit scale);

/* From which files the alcoholometer of this call is, for those sentences; their names are kept. */
void phrase_sources(const jl_settings *instruments);

/* The same of a log's instrument, which its facts state. */
void assume_log_instrument(show *s, const jl_alcoholometer *instrument, jl_unit scale);

/* The same for each scale that was read in a log. */
void assume_log_scales(show *s, const jl_run *run);

/* What a reading cannot tell: sweetened spirit and wash, ice below 0 °C. */
void note_on_reading(show *s, double strength_pct, double temp_c);

/* Of running a still: what can hurt. */
void caution_running(show *s, bool all);

/* "%", "proof": of what an instrument shows. */
const char *reading_unit(jl_unit scale);

/* The scale that a reading's text names. */
jl_unit unit_of_reading(const char *text);

/* A reading that jl_reading_to_mass_fraction refused, with the range that would be right. */
int fail_reading(const char *reading_text, const char *temp_text,
                 const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                 jl_status status);

/* Solids that jl_mixture_behind_solids refused, with what the law asks there. */
const char *phrase_solids(void);
int fail_solids(void);

/* A gravity that is none, with what was probably meant. */
int fail_gravity(const char *name, const char *text, jl_status status);

/* What a gauging's gain says beside its standard uncertainty. */
const char *phrase_gauged(double gain, double standard);

/* What is to be said of jars that are known by the running spout alone; begin: what stands before it, as
 * the mark of their readings. False: there is none. */
bool write_spout_note(const jl_run *run, const jl_instruments *by, const char *begin, char *text,
                      size_t size);

#endif
