/* The rows of a run log that are jars: its columns, a row as a jar, an entry as cells.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_JARS_H
#define JL_JARS_H

#include "jarline.h"
#include "keys/facts.h"
#include "log/columns.h"
#include "log/file.h"
#include "spirit/alcoholometer.h"
#include "text/timestamp.h"

typedef enum jl_role {
    JL_ROLE_JAR,
    JL_ROLE_TIME,
    JL_ROLE_VOLUME,
    JL_ROLE_READING,
    JL_ROLE_STRENGTH,
    JL_ROLE_TEMP,
    JL_ROLE_HEAD,
    JL_ROLE_BOILER,
    JL_ROLE_WEIGHT,
    JL_ROLE_EMPTY,
    JL_ROLE_SPOUT,
    JL_ROLE_SPOUT_TEMP,
    JL_ROLE_TAKEN,
    JL_ROLE_FRACTION,
    JL_ROLE_NOTE,
    JL_ROLES
} jl_role;

extern const jl_column jl_jar_columns[];
extern const char jl_header_expected[];

/* Whether a header has a volume column: by it the dialect is known. */
bool jl_header_is_known(const jl_row *header);

/* Errors: JL_MISSING, JL_CONFLICT */
jl_status jl_jar_columns_read(const jl_row *header, char delimiter, jl_columns *columns,
                              jl_fault *fault);

/* What the facts state of the instrument, and of the weight of an empty jar (NaN: nothing). Errors: as
 * jl_facts_quantity but JL_MISSING; JL_CONFLICT (columns in proof on an instrument that is not of
 * 60 °F) */
jl_status jl_instrument_read(const jl_facts *facts, const jl_columns *columns,
                             jl_alcoholometer *instrument, double *empty_kg, jl_fault *fault);

bool jl_is_of_the_instrument(const jl_fact *fact);

/* The jars of a log, row by row. */
typedef struct jl_jar_reader {
    jl_alcoholometer instrument;
    jl_isotherm_cache isotherms;
    jl_isotherm at_20c;
    double empty_kg;  /* of a jar without its own, by the facts; NaN: they state none */
    uint32_t highest; /* jar number of those that stand so far, 0 when there is none */
    bool time_known;
    jl_time time; /* of the jar before, or the start: a bare time follows it */
    size_t times_unread;
    jl_fault time_fault; /* of the first */
    jl_typed_times typed;
} jl_jar_reader;

void jl_jar_reader_begin(jl_jar_reader *reader);

/* A row as a jar. Its note lies in the row; what has run before it is not known here.
 * Errors: JL_MISSING, JL_FORM, JL_AMBIGUOUS, JL_RANGE, JL_NO_MIXTURE, JL_CONFLICT, JL_MEMORY */
jl_status jl_jar_read(jl_jar_reader *reader, const jl_columns *columns, const jl_row *row,
                      jl_jar *jar, jl_fault *fault);

/* A jar's place among the others: its number 32 times, and 1 to 26 for a letter behind it. */
typedef uint64_t jl_jar_key;
enum { JL_JAR_LETTERS = 32 };

/* A jar's name in a cell: "8" or "8a". Errors: JL_FORM, JL_RANGE, JL_MEMORY */
jl_status jl_jar_name_read(const char *text, size_t length, jl_jar_key *key);
void jl_jar_name_write(jl_jar_key key, char name[JL_JAR_NAME_BYTES]);
jl_jar_key jl_jar_key_of(const jl_jar *jar);
extern const char jl_jar_number_expected[];

/* Where a number stands that a column has, in l, kg, °C or on its scale; NULL: it has words. */
double *jl_jar_place(jl_jar *jar, jl_role role);
double *jl_entry_place(jl_entry *entry, jl_role role);

/* That number; NaN: nothing. */
double jl_jar_number(const jl_jar *jar, jl_role role);

/* The column of a figure. */
jl_role jl_role_of(jl_jar_figure figure);

/* The mixture of a jar that is known from the spout alone, % vol at 20 °C, and what it then holds.
 * Errors: JL_RANGE, at the jar's line */
jl_status jl_jar_remix(jl_jar_reader *reader, double strength_pct, jl_jar *jar, jl_fault *fault);

/* l at 20 °C of a spirit. */
double jl_jar_volume_20c_l(const jl_jar_reader *reader, jl_spirit spirit);

/* Whether a strength that is stated is that of a mixture, within 0.2 % vol at 20 °C. Errors:
 * JL_CONFLICT, JL_RANGE, JL_UNIT */
jl_status jl_strength_agrees(jl_quantity stated, double mass_fraction);
extern const char jl_strength_agrees_expected[];

/* ---- An entry as cells ---- */

/* Whether what is given may stand in a row. *fault (may be NULL) has the figure and what was expected,
 * here and below. Errors: JL_FORM (a text of more than one line), JL_TOO_LONG, JL_RANGE */
jl_status jl_entry_check(const jl_entry *entry, jl_fault *fault);

/* Whether a text, which may be NULL or empty, is a moment as it is written: RFC 3339. */
jl_status jl_moment_check(const char *text, jl_fault *fault);

/* Whether the entry has anything for a role. */
bool jl_entry_gives(const jl_entry *entry, jl_role role);

/* The column that a figure would get in a log with such columns: in °F where they are, in proof if so
 * said. */
const jl_column *jl_column_like(const jl_columns *columns, jl_role role, bool proof);

/* Adds the columns that an entry needs and the log lacks. Errors: JL_CONFLICT (a reading or a
 * strength on another scale than the log's) */
jl_status jl_entry_columns(const jl_entry *entry, jl_columns *columns, jl_fault *fault);

/* The whole row of a new jar. */
void jl_entry_add_row(const jl_entry *entry, jl_jar_key key, const jl_columns *columns,
                      const jl_dialect *dialect, jl_text *text);

/* The text of the cell in a column, quotes included. */
void jl_entry_add_cell(const jl_entry *entry, const jl_dialect *dialect, const jl_column *column,
                       jl_text *text);

/* Whether a jar has the same number or the same text in a column already. */
bool jl_entry_same(const jl_entry *entry, const jl_column *column, const jl_jar *jar);

/* Whether a correction takes a figure out, as it gives the amount or the strength in another way: a
 * weight replaces a volume, a strength a reading, a spout's reading that of the jar. */
bool jl_entry_replaces(const jl_entry *entry, const jl_jar *jar, jl_role role);

/* An entry of what a jar has, but for what the other gives or replaces. */
jl_entry jl_entry_over(const jl_entry *entry, const jl_jar *jar);

/* The jar that an entry would be, figures only. Errors: as jl_jar_read */
jl_status jl_entry_jar(jl_jar_reader *reader, const jl_entry *entry, jl_jar *jar, jl_fault *fault);

/* ---- Jars of which only the running spout was read ---- */

/* A reading in the spout as a jar ends. */
typedef struct jl_spout_reading {
    double until_l;      /* run by then, at 20 °C: rising, above 0 */
    double strength_pct; /* of what the spout gave at that moment, % vol at 20 °C */
} jl_spout_reading;

/* A jar's mean. */
typedef struct jl_spout_mean {
    double strength_pct; /* % vol at 20 °C of all that ran between two readings */
    double curve_u_pct;  /* its standard uncertainty for the curve between them */
} jl_spout_mean;

/* The volume-weighted mean of the run's own curve between the readings: a monotone cubic through
 * strengths over volume, so that it never swings beyond what was read.
 *
 * Given:    readings, count: 1 or more; begin_pct: strength of the first drop, NaN: not known, then
 *           the line through the first two readings is carried back to it; spout_l: what the vessel
 *           of the instrument holds, 0 or more: the reading is as late as that volume
 * Returned: means: count of them
 * Errors:   JL_RANGE (a strength outside 0 to 100 % vol, volumes that do not rise, a lag as large as
 *           the first jar), JL_MEMORY
 * Source:   monotone cubic: Steffen, Astron. Astrophys. 239 (1990) 443 (from memory; GSL's
 *           gsl_interp_steffen). The curve's uncertainty is a quarter of the difference to the mean
 *           of the straight line: common practice, no source */
jl_status jl_spout_means(const jl_spout_reading *readings, size_t count, double begin_pct,
                         double spout_l, jl_spout_mean *means);

#endif
