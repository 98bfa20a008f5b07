/* Settings: a value for each key, and where it is from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * They begin with the defaults; each source that is read then takes the place of those before it:
 * files, the log, options. */
#ifndef JL_SETTINGS_H
#define JL_SETTINGS_H

#include "keys/keys.h"
#include "keys/rule_text.h"

typedef enum jl_origin { JL_FROM_DEFAULT, JL_FROM_FILE, JL_FROM_LOG, JL_FROM_OPTION } jl_origin;

typedef struct jl_setting {
    bool has; /* false: neither stated nor a default */
    jl_origin origin;
    const char *source; /* name of the file or log, the caller's; NULL: none */
    size_t line;        /* in it */
    jl_quantity number; /* a strength that is a difference is in % vol */
    jl_cut cut;
} jl_setting;

/* Texts, times and rows are not kept: jl_facts_text, jl_facts_time and jl_fact_number read them. */
struct jl_settings {
    jl_setting of[JL_KEYS];
    jl_reflux_step steps[JL_STEPS_MOST]; /* of the reflux schedule */
    size_t step_count;
};

/* The key that a fact has, of those that may stand somewhere of where; JL_KEYS: none. */
jl_key_id jl_key_of(const jl_fact *fact, unsigned where);

/* Nothing but defaults. */
void jl_settings_begin(jl_settings *settings);

/* Takes what facts state.
 *
 * Given:    where: what kind of file it is, JL_IN_...; origin; source: its name, kept
 *           Of a log or a charge other keys are passed over, the last of several holds, and a key
 *           without a value states nothing. A file of settings has known keys only, each once and
 *           with a value
 * Returned: *fault (may be NULL); its expected is NULL for a key that is not known
 * Errors:   JL_FORM, JL_UNIT, JL_AMBIGUOUS, JL_RANGE, JL_MISSING, JL_CONFLICT, JL_TOO_LONG */
jl_status jl_settings_take(jl_settings *settings, const jl_facts *facts, unsigned where,
                           jl_origin origin, const char *source, jl_fault *fault);

/* The same of a file of settings that may have a section for each still: what holds for all, then what
 * holds for one still, in whose place it comes. Keys of stills alone stand in a section.
 *
 * Given:    still: which section, its first fact, of jl_still_section; NULL: none
 *           source, still_source: names of the file, and of the section in it, kept
 * Errors:   as jl_settings_take, of any section: a file is never half used */
jl_status jl_settings_take_sections(jl_settings *settings, const jl_facts *facts, unsigned where,
                                    const jl_fact *still, const char *source,
                                    const char *still_source, jl_fault *fault);

bool jl_begins_section(const jl_fact *fact);

/* The first fact, with the name, of the section at index; NULL: there are no more. */
const jl_fact *jl_still_section(const jl_facts *facts, size_t index);

/* The section of the still of that name, whatever its case; name NULL: of the only still, and *still is
 * NULL where there is none. Errors: JL_MISSING: which of several; JL_NO: none has the name */
jl_status jl_still_named(const jl_facts *facts, const char *name, const jl_fact **still);

/* Puts what is stated in one and may stand somewhere of where in the place of what the other has. */
void jl_settings_over(jl_settings *settings, const jl_settings *from, unsigned where);

/* Takes an option's word: "2kW" for power.
 *
 * Returned: *fault (may be NULL): the word and what was expected
 * Errors:   as jl_settings_take */
jl_status jl_settings_option(jl_settings *settings, jl_key_id id, const char *word,
                             jl_fault *fault);

/* A number of which the source is known. */
void jl_settings_number(jl_settings *settings, jl_key_id id, double value, jl_origin origin,
                        const char *source);

/* Whether a source stated it. */
bool jl_is_stated(const jl_settings *settings, jl_key_id id);

/* The value of a number; NaN where there is none. */
double jl_setting_value(const jl_settings *settings, jl_key_id id);

/* Whether both have the same value, whatever it is from; not for a schedule. */
bool jl_same_setting(const jl_settings *a, const jl_settings *b, jl_key_id id);

/* Settings as rows of a file, with the room for their texts. */
typedef struct jl_setting_rows {
    jl_fact_entry rows[JL_KEYS];
    size_t count;
    char cuts[JL_KEYS][JL_CUT_BYTES];
    char schedule[JL_SCHEDULE_BYTES];
    char names[JL_KEYS][32]; /* of what is in proof */
} jl_setting_rows;

/* What is stated and may stand somewhere of where, in the order of the table. */
void jl_settings_rows(const jl_settings *settings, unsigned where, jl_setting_rows *rows);

/* Whether a key's strength is a difference of two, as a limit or a correction, which in proof is twice of
 * that in % vol. */
bool jl_is_strength_difference(const jl_key *key);

#endif
