/* Jarline: alcoholometry, run forecasts and the run log of a small still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * This header is a tour. First the tools: what a function answers with, numbers with units, moments,
 * facts, density of ethanol and water, a reading, an amount of spirit. Then the job in its order: the
 * wash, has it finished, the charge, boiling, the run to expect and the settings of its still, the
 * run log read and what the run gave, its cut, the log written, mixing and bottling strength. Last
 * what makes the next run better: uncertainty, learning.
 *
 * Three rules hold everywhere.
 * - A function that can fail returns a jl_status and writes its result through its last pointer
 *   only when it returns JL_OK. Nothing is printed, the process is never ended, there is no mutable
 *   global state: any function may be called from any thread.
 * - A name carries its unit when its type does not: volume_l, temp_c, strength_pct. A strength in
 *   % vol without more words holds at 20 °C. A mass fraction is kg of ethanol per kg of mixture.
 * - NaN and infinities are refused (JL_RANGE), never passed on.
 *
 * A struct that begins with its size may grow: what your header lacks is taken as usual, and what
 * you have no room for is left out. Begin with the value named beside it. Other structs stay as they
 * are.
 *
 * It is written for C17, and for C++11 as well.
 */
#ifndef JARLINE_H
#define JARLINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define JL_API __attribute__((visibility("default")))

/* ---- What a function answers with ------------------------------------------------------------ */

typedef enum jl_status {
    JL_OK = 0,
    JL_END,   /* no further row */
    JL_NO,    /* the answer is no: a target above the strength in hand, a goal that is not met */
    JL_RANGE, /* an argument lies outside the range that its function states */
    JL_NO_MIXTURE, /* no mixture of ethanol and water behaves like that */
    JL_FORM,       /* a text has not the form that was expected */
    JL_UNIT,       /* a number without a unit, or with a unit that is not known here */
    JL_AMBIGUOUS,  /* a text that can be read in two ways: 1,000 */
    JL_MISSING,    /* a cell, a column or a fact that is needed is not there */
    JL_CONFLICT,   /* two cells or facts that contradict each other */
    JL_TOO_LONG,   /* a cell of more than 64 KiB */
    JL_INPUT,      /* input cannot be read: a folder, no such file, no permission */
    JL_EXISTS,     /* output exists, is read-only or cannot be created */
    JL_IO,         /* full disk or input/output error */
    JL_BUSY,       /* another writer holds the log */
    JL_MEMORY,     /* out of memory */
    JL_NUMERIC     /* a solver did not reach its tolerance */
} jl_status;

/* A status in words.
 *
 * Given:    status
 * Returned: a static text without a full stop, never NULL
 */
JL_API const char *jl_status_text(jl_status status);

/* Keeps the numerical library from ending the process. Jarline stands on GSL and checks ranges
 * before it calls it, but where GSL fails all the same its own error handler would abort. It is one
 * for the whole process: this turns it off, so that a failure comes back as JL_NUMERIC. It is the
 * one exception to "no global state", and the library never does it by itself. Call it once, before
 * you start threads; a program that uses GSL itself may set a handler that returns instead.
 */
JL_API void jl_quiet(void);

/* Where and why reading failed. Readers fill the caller's fault when they do not return JL_OK. */
typedef struct jl_fault {
    jl_status status;
    size_t line;          /* from 1; 0 when there is none */
    size_t column;        /* number of the cell in its row, from 1; 0 when there is none */
    char cell[48];        /* the first bytes of the cell or argument, NUL-terminated */
    const char *expected; /* static text: what would have been right */
} jl_fault;

/* ---- Numbers with units ---------------------------------------------------------------------- */

/* What kind of quantity a text is read as; jl_quantity.value is then in the unit named here. */
typedef enum jl_kind {
    JL_VOLUME,                 /* l */
    JL_MASS,                   /* kg, as a scale in air shows it */
    JL_STRENGTH,               /* see jl_unit: % vol at 20 °C, % mas, US proof */
    JL_TEMPERATURE,            /* °C */
    JL_TEMPERATURE_DIFFERENCE, /* °C: 5F is 2.78 */
    JL_POWER,                  /* W */
    JL_DURATION,               /* s */
    JL_PRESSURE,               /* kPa */
    JL_ALTITUDE,               /* m */
    JL_GRAVITY,                /* see jl_unit: SG or °Plato */
    JL_SHARE,                  /* 67% gives 0.67 */
    JL_NUMBER,                 /* no unit at all */
    JL_HEAT                    /* J/K, that a body takes up */
} jl_kind;

/* The scale of a quantity whose kind has more than one that only a model can convert. */
typedef enum jl_unit {
    JL_UNIT_BASE,     /* the unit named beside the kind */
    JL_UNIT_PCT_VOL,  /* %: by volume; at 20 °C, or at an instrument's own temperature in a reading
                       */
    JL_UNIT_PCT_MASS, /* %mas: by mass */
    JL_UNIT_PROOF_US, /* proof: twice the % vol at 60 °F */
    JL_UNIT_SG,       /* specific gravity */
    JL_UNIT_PLATO     /* °P: % extract by mass */
} jl_unit;

typedef struct jl_quantity {
    double value;
    jl_unit unit;
} jl_quantity;

/* Where a decimal comma may stand in a number. */
typedef enum jl_comma {
    JL_COMMA_NONE,   /* nowhere: a comma is an error */
    JL_COMMA_SAFE,   /* as a point, except before exactly three digits (JL_AMBIGUOUS); 0,500 is safe
                      */
    JL_COMMA_DECIMAL /* always a point: the cells of a file whose delimiter is not a comma */
} jl_comma;

/* A decimal number, the same in every locale.
 *
 * Given:    text, length: bytes, need not be NUL-terminated; white space around them is passed over
 *           comma: where a decimal comma may stand
 * Returned: *value: the nearest double
 * Errors:   JL_FORM (not a number; also "nan", "inf", hexadecimal), JL_AMBIGUOUS, JL_RANGE (too
 *           large for a double)
 */
JL_API jl_status jl_decimal_read(const char *text, size_t length, jl_comma comma, double *value);

/* A number and its unit, with or without a space, in any letter case: "500mL", "72.5 %", "2h30".
 *
 * Given:    text: NUL-terminated; kind: what it is to be read as
 * Returned: *quantity: value in the unit of its kind, and the scale. Signs are kept; ranges are the
 *           business of the function that takes the value, except that a value no quantity of the
 *           kind can have is refused (a negative volume, a strength above 100 %)
 * Errors:   JL_FORM, JL_UNIT (no unit or an unknown one), JL_AMBIGUOUS ("1,000mL"), JL_RANGE
 * Source:   US gallon 231 in³, inch 25.4 mm, pound 0.45359237 kg (NIST SP 811); imperial gallon
 *           4.54609 l (Weights and Measures Act 1985); mmHg 133.322387415 Pa, foot 0.3048 m
 *           (SP 811)
 */
JL_API jl_status jl_quantity_read(const char *text, jl_kind kind, jl_quantity *quantity);

/* The forms that jl_quantity_read accepts for a kind, for a message.
 *
 * Given:    kind
 * Returned: a static text such as "500mL, 0.5L, 2gal (US), 2impgal"
 */
JL_API const char *jl_quantity_forms(jl_kind kind);

/* A number as text, with a point in every locale and without a negative zero.
 *
 * Given:    value: finite; decimals: 0 to 17; size: bytes at text, 32 are always enough below 1e9
 * Returned: text: NUL-terminated
 * Errors:   JL_RANGE (not finite, decimals out of range, text too small)
 */
JL_API jl_status jl_decimal_write(double value, int decimals, char *text, size_t size);

/* ---- A moment -------------------------------------------------------------------------------- */

typedef struct jl_time {
    int64_t unix_s; /* seconds since 1970-01-01T00:00:00Z */
    int offset_s;   /* of the local clock, east positive */
} jl_time;

enum { JL_TIME_BYTES = 26 }; /* what jl_time_write writes, with its NUL */

/* A date and time with offset: "2026-03-07T18:05:00+01:00".
 *
 * Given:    text, length: bytes, need not be NUL-terminated; a blank may stand for the T; white
 *           space around is passed over
 * Returned: *time; fractions of a second are checked and left out, a leap second counts as the
 *           next one
 * Errors:   JL_FORM (also without an offset), JL_RANGE (30 February, 25 o'clock)
 * Source:   RFC 3339, section 5.6 and 5.7
 */
JL_API jl_status jl_time_read(const char *text, size_t length, jl_time *time);

/* A moment as text, in its own offset.
 *
 * Given:    time: years 0 to 9999 there, offset of whole minutes below a day; size: bytes at text,
 *           JL_TIME_BYTES are enough
 * Returned: text: "2026-03-07T18:05:00+01:00", NUL-terminated
 * Errors:   JL_RANGE
 * Source:   RFC 3339
 */
JL_API jl_status jl_time_write(jl_time time, char *text, size_t size);

/* ---- Facts ----------------------------------------------------------------------------------- */

/* Facts are rows of a key and its values: "#charge_l,24" in a run log, "charge_l,24" in a file of
 * its own (a still's settings, a charge). A key is letters, digits and _, in any letter case. */
typedef struct jl_fact {
    const char *key;           /* in lower case, without # */
    const char *text;          /* all values, joined by ", "; "" when there is none */
    const char *const *values; /* each NUL-terminated, white space around it taken off */
    size_t count;              /* of values, up to the last that is not empty */
    size_t line;               /* in its file, from 1 */
    jl_comma comma;            /* where a decimal comma may stand in its numbers */
} jl_fact;

typedef struct jl_facts jl_facts;

/* What a fact is called and what it may be. The unit stands at the end of the key: with the stem
 * "charge" and the kind JL_VOLUME the keys are charge_l and charge_ml. JL_NUMBER has no unit: the
 * stem is the key. Other ends: _c _f; _pct _proof (of a strength), _pct (of a share); _kg _g; _w
 * _kw; _s _min _h; _kpa _hpa _mmhg; _m _ft; _kj_c; a gravity has none, or _plato. */
typedef struct jl_fact_key {
    const char *stem;
    jl_kind kind;
    double least, most;   /* in the unit named at jl_kind; for proof twice of that */
    const char *expected; /* static text for a fault: "a volume above 0, as charge_l,24" */
} jl_fact_key;

/* A fact to be written: a key, then numbers, then a text. Without both it stands for the fact's
 * removal. */
typedef struct jl_fact_entry {
    const char *key;
    double values[3];
    int count;        /* of values, 0 to 3 */
    const char *text; /* NULL: none */
} jl_fact_entry;

/* Reads a file of facts.
 *
 * Given:    fd: open for reading, read from its present position; stays the caller's
 * Returned: *facts, to be freed by jl_facts_free; *fault (may be NULL)
 *           The delimiter is the comma, semicolon or tab under which there are keys. A row "#key,
 *           value" is a fact as well; other rows that begin with # are comments, and so is one with
 *           a blank after the #.
 * Errors:   JL_FORM (a row that is not key and value, NUL, quotes), JL_TOO_LONG, JL_RANGE (more
 *           than 4 MiB of facts; "jarline" with another number than 1), JL_INPUT, JL_IO, JL_MEMORY
 */
JL_API jl_status jl_facts_read(int fd, jl_facts **facts, jl_fault *fault);

/* Frees facts; NULL is passed over. */
JL_API void jl_facts_free(jl_facts *facts);

/* The facts in the order of the file, as a row like "expect" may stand many times.
 *
 * Given:    index: from 0
 * Returned: the fact, NULL behind the last; valid as long as facts and until one is added
 */
JL_API const jl_fact *jl_facts_at(const jl_facts *facts, size_t index);

/* The last fact with a key: what is written later holds.
 *
 * Given:    key: in lower case, with its unit
 * Returned: the fact or NULL
 */
JL_API const jl_fact *jl_facts_find(const jl_facts *facts, const char *key);

/* The number that a fact states.
 *
 * Given:    key: its stem, kind and range
 * Returned: *quantity: in the unit of its kind, with its scale; *fault (may be NULL)
 * Errors:   JL_MISSING (no such fact, or without a value), JL_FORM (also a second value: a decimal
 *           comma that needs quotes), JL_AMBIGUOUS, JL_RANGE
 */
JL_API jl_status jl_facts_quantity(const jl_facts *facts, const jl_fact_key *key,
                                   jl_quantity *quantity, jl_fault *fault);

/* The text that a fact states.
 *
 * Given:    key
 * Returned: the text, all values joined by ", "; NULL when there is none
 */
JL_API const char *jl_facts_text(const jl_facts *facts, const char *key);

/* ---- Density of ethanol and water ------------------------------------------------------------ */

#define JL_TEMP_MIN_C   (-20.0)
#define JL_TEMP_MAX_C   40.0
#define JL_STRENGTH_C   20.0          /* reference temperature of a strength in % vol (OIML R 22) */
#define JL_PROOF_C      (140.0 / 9.0) /* 60 °F, reference temperature of US proof (27 CFR 30.11) */
#define JL_ETHANOL_KG_L 0.78923912329997688 /* density of ethanol at 20 °C by OIML R 22, kg/l */

/* Density of a mixture of ethanol and water.
 *
 * Given:    mass_fraction: 0 to 1; temp_c: -20 to 40 °C
 * Returned: *density_kg_m3 in kg/m³
 * Errors:   JL_RANGE
 * Source:   OIML R 22 (1975), general formula. Below the freezing curve of a weak mixture the
 *           formula goes on smoothly though the liquid may be partly ice.
 */
JL_API jl_status jl_density_kg_m3(double mass_fraction, double temp_c, double *density_kg_m3);

/* The mixture that has a density.
 *
 * Given:    density_kg_m3; temp_c: -20 to 40 °C
 * Returned: *mass_fraction: 0 to 1, within 1e-10 of the root of jl_density_kg_m3
 * Errors:   JL_RANGE (temperature), JL_NO_MIXTURE (denser than water or lighter than ethanol there)
 * Source:   OIML R 22 (1975); bracketed Halley steps
 */
JL_API jl_status jl_mass_fraction_from_density(double density_kg_m3, double temp_c,
                                               double *mass_fraction);

/* Strength by volume at a reference temperature: 100 p ρ(p,T)/ρ(1,T).
 *
 * Given:    mass_fraction: 0 to 1; reference_c: -20 to 40 °C
 * Returned: *strength_pct: 0 to 100 % vol at reference_c
 * Errors:   JL_RANGE
 * Source:   OIML R 22 (1975)
 */
JL_API jl_status jl_strength_pct(double mass_fraction, double reference_c, double *strength_pct);

/* The mixture that has a strength by volume.
 *
 * Given:    strength_pct: 0 to 100 % vol; reference_c: the temperature at which it holds, -20 to
 *           40 °C
 * Returned: *mass_fraction: 0 to 1
 * Errors:   JL_RANGE
 * Source:   OIML R 22 (1975); bracketed Halley steps
 */
JL_API jl_status jl_mass_fraction_from_strength(double strength_pct, double reference_c,
                                                double *mass_fraction);

/* Density of water without air in it, at 101.325 kPa.
 *
 * Given:    temp_c: 0 to 40 °C
 * Returned: *density_kg_m3 in kg/m³
 * Errors:   JL_RANGE
 * Source:   Tanaka et al., Metrologia 38 (2001) 301 (the formula from memory)
 */
JL_API jl_status jl_water_density_kg_m3(double temp_c, double *density_kg_m3);

/* ---- A reading ------------------------------------------------------------------------------- */

/* A glass alcoholometer and its thermometer. Start from JL_ALCOHOLOMETER and change what differs.
 */
typedef struct jl_alcoholometer {
    double calibrated_c;           /* 0 to 40 °C: 20 (OIML R 44), JL_PROOF_C, 15; NaN: as the scale
                                      says, 60 °F for proof and 20 °C for % vol */
    double glass_per_c;            /* cubic expansion of the glass, 0 to 1e-4 per °C */
    double reading_correction_pct; /* added to the reading, % vol (a certificate's correction) */
    double thermometer_correction_c; /* added to the temperature, °C */
} jl_alcoholometer;

/* 25e-6 per °C: soda-lime glass, OIML R 22 and R 44. */
JL_API extern const jl_alcoholometer JL_ALCOHOLOMETER;

/* What a reading means: the mixture in which the instrument shows it at that temperature.
 *
 * Given:    instrument: as above, ranges there; its corrections are added first
 *           reading: unit JL_UNIT_PCT_VOL (0 to 100) or JL_UNIT_PROOF_US (0 to 200)
 *           temp_c: of the liquid, -20 to 40 °C
 * Returned: *mass_fraction: 0 to 1
 * Errors:   JL_RANGE; JL_CONFLICT (a proof reading on an instrument not of 60 °F);
 *           JL_NO_MIXTURE (1 % at 30 °C: water alone shows 1.54 there)
 * Source:   OIML R 22 and R 44: ρ(p, t) = ρ(p₀, T₀)(1 - γ(t - T₀)); 27 CFR 30.23 for the order
 */
JL_API jl_status jl_reading_to_mass_fraction(const jl_alcoholometer *instrument,
                                             jl_quantity reading, double temp_c,
                                             double *mass_fraction);

/* What an instrument would show: the inverse of jl_reading_to_mass_fraction, corrections taken off.
 *
 * Given:    instrument; mass_fraction: 0 to 1; temp_c: -20 to 40 °C; scale: JL_UNIT_PCT_VOL or
 *           JL_UNIT_PROOF_US
 * Returned: *reading: on that scale
 * Errors:   JL_RANGE, JL_CONFLICT; JL_NO_MIXTURE (off the scale)
 * Source:   as jl_reading_to_mass_fraction
 */
JL_API jl_status jl_reading_from_mass_fraction(const jl_alcoholometer *instrument,
                                               double mass_fraction, double temp_c, jl_unit scale,
                                               double *reading);

/* The calibration temperature that holds for a scale.
 *
 * Given:    instrument; scale: JL_UNIT_PCT_VOL or JL_UNIT_PROOF_US
 * Returned: °C: the instrument's own, or the scale's usual one where it is NaN
 */
JL_API double jl_calibrated_c(const jl_alcoholometer *instrument, jl_unit scale);

/* ---- An amount of spirit --------------------------------------------------------------------- */

/* So much ethanol and so much water, by mass. Volume, strength, proof and litres of pure alcohol
 * are views of it. Mixing is adding, so contraction needs no rule of its own. */
typedef struct jl_spirit {
    double ethanol_kg;
    double water_kg;
} jl_spirit;

/* The mixture that a strength names.
 *
 * Given:    strength: JL_UNIT_PCT_VOL at 20 °C (0 to 100), JL_UNIT_PCT_MASS (0 to 100) or
 *           JL_UNIT_PROOF_US at 60 °F (0 to 200)
 * Returned: *mass_fraction: 0 to 1
 * Errors:   JL_RANGE; JL_UNIT (another unit)
 * Source:   OIML R 22; US proof is twice the % vol at 60 °F (27 CFR 30.11)
 */
JL_API jl_status jl_strength_to_mass_fraction(jl_quantity strength, double *mass_fraction);

/* Spirit from a volume.
 *
 * Given:    volume_l: 1e-12 to 1e9 l, measured at temp_c; mass_fraction: 0 to 1; temp_c: -20 to
 *           40 °C
 * Returned: *spirit
 * Errors:   JL_RANGE
 * Source:   OIML R 22
 */
JL_API jl_status jl_spirit_from_volume(double volume_l, double mass_fraction, double temp_c,
                                       jl_spirit *spirit);

/* Spirit from a mass in kg.
 *
 * Given:    mass_kg: 1e-12 to 1e9 kg (see jl_mass_from_scale_kg for a scale's reading);
 *           mass_fraction: 0 to 1
 * Returned: *spirit
 * Errors:   JL_RANGE
 */
JL_API jl_status jl_spirit_from_mass(double mass_kg, double mass_fraction, jl_spirit *spirit);

/* An amount as a person writes it, before anything is computed from it. */
typedef struct jl_amount {
    double size;          /* l at temp_c, or kg as a scale in air shows it */
    bool by_mass;         /* size is kg */
    bool measured;        /* strength is a reading at temp_c, not a strength at 20 °C */
    jl_quantity strength; /* JL_UNIT_PCT_VOL, JL_UNIT_PROOF_US or JL_UNIT_PCT_MASS */
    double temp_c;        /* of the volume; of a reading too */
} jl_amount;

/* "3.2L@72%" (both at 20 °C), "2gal@150proof" (both at 60 °F), "3.2L@72.5%@24C" (a reading at a
 * temperature), "3.2L@24C@72.5%" (a volume at a temperature, a true strength), "2.8kg@72%",
 * "2.8kg@72.5%@24C" (mass as a scale in air shows it).
 *
 * Given:    text: NUL-terminated
 * Returned: *amount; *fault (may be NULL), when it fails: its cell and what was expected
 * Errors:   JL_FORM, JL_UNIT, JL_AMBIGUOUS, JL_RANGE
 */
JL_API jl_status jl_amount_read(const char *text, jl_amount *amount, jl_fault *fault);

/* What a written amount is.
 *
 * Given:    amount; instrument: for a reading, its thermometer for the temperature of the volume too
 * Returned: *spirit
 * Errors:   JL_UNIT, JL_RANGE, JL_NO_MIXTURE, JL_CONFLICT
 */
JL_API jl_status jl_amount_spirit(const jl_amount *amount, const jl_alcoholometer *instrument,
                                  jl_spirit *spirit);

/* An amount as it would be written: its volume and its strength at 20 °C.
 *
 * Given:    spirit
 * Returned: the amount
 */
JL_API jl_amount jl_amount_at_20(jl_spirit spirit);

/* Both in one: the spirit that a text names.
 *
 * Given:    text: NUL-terminated; instrument: for readings
 * Returned: *spirit; *fault (may be NULL), when it fails: its cell and what was expected
 * Errors:   those of jl_amount_read and jl_amount_spirit
 */
JL_API jl_status jl_spirit_read(const char *text, const jl_alcoholometer *instrument,
                                jl_spirit *spirit, jl_fault *fault);

/* Views of an amount. They hold for any amount whose parts are finite, not negative, and not both
 * 0; the volume of no amount is 0.
 *
 * jl_mass_kg            kg
 * jl_mass_fraction      kg of ethanol per kg
 * jl_pure_alcohol_l     litres of pure alcohol, at 20 °C: mass of ethanol / ρ(1, 20 °C)
 * jl_volume_l           litres at temp_c (-20 to 40 °C; NaN outside)
 * jl_spirit_strength_pct  % vol at 20 °C
 * jl_proof_us           US proof: twice the % vol at 60 °F
 * Source: OIML R 22; 27 CFR 30.11
 */
JL_API double jl_mass_kg(jl_spirit spirit);
JL_API double jl_mass_fraction(jl_spirit spirit);
JL_API double jl_pure_alcohol_l(jl_spirit spirit);
JL_API double jl_volume_l(jl_spirit spirit, double temp_c);
JL_API double jl_spirit_strength_pct(jl_spirit spirit);
JL_API double jl_proof_us(jl_spirit spirit);

/* US proof gallons: wine gallons at 60 °F times proof / 100.
 *
 * Given:    spirit
 * Returned: proof gallons
 * Source:   27 CFR 30.11; wine gallon 231 in³
 */
JL_API double jl_proof_gallons_us(jl_spirit spirit);

/* What a scale in air shows for a mass, and back.
 *
 * Given:    mass_kg or scale_kg: 0 or more; density_kg_m3 of what is weighed: 500 to 25000
 * Returned: kg; NaN outside the range, and where kg would not be finite
 * Source:   OIML D 28 (2004): conventional mass, air 1.2 kg/m³, weights 8000 kg/m³
 */
JL_API double jl_scale_from_mass_kg(double mass_kg, double density_kg_m3);
JL_API double jl_mass_from_scale_kg(double scale_kg, double density_kg_m3);

/* What a scale in air shows for an amount.
 *
 * Given:    spirit; temp_c: of it, -20 to 40 °C
 * Returned: kg; 0 for no amount; NaN outside the range
 * Source:   as jl_scale_from_mass_kg; OIML R 22
 */
JL_API double jl_scale_kg(jl_spirit spirit, double temp_c);
/* Flash point of a spirit, closed cup, approximate by nature: it depends on the method.
 *
 * Given:    strength_pct: 10 to 96 % vol at 20 °C
 * Returned: *flash_point_c in °C, linear between the quoted points
 * Errors:   JL_RANGE
 * Source:   quoted second-hand, the same series as NFPA 325; reference/flash-point.csv
 */
JL_API jl_status jl_flash_point_c(double strength_pct, double *flash_point_c);

/* Why writing failed, beside the status. */
typedef struct jl_trouble {
    int error;      /* the system's error number, 0 when there was none */
    bool uncertain; /* what was asked may have been done, or half done: look at the file */
    bool beside;    /* it is a new file in the same folder that could not be made */
} jl_trouble;

/* ---- The wash -------------------------------------------------------------------------------- */

#define JL_GRAVITY_MIN 0.970 /* of a wash, SG 20/20: drier than any that a yeast leaves */
#define JL_GRAVITY_MAX 1.180 /* about 40 °P: sweeter than any that a yeast begins */

/* A glass hydrometer for gravity. Start from JL_HYDROMETER and change what differs. */
typedef struct jl_hydrometer {
    double calibrated_c; /* 0 to 40 °C: at it, water shows 1.000 */
    double glass_per_c;  /* cubic expansion of the glass, 0 to 1e-4 per °C */
    double division_sg;  /* of its scale: above 0, to 0.02 */
} jl_hydrometer;

/* 20 °C, soda-lime glass as JL_ALCOHOLOMETER, divisions of 0.001 (common practice, no source). */
JL_API extern const jl_hydrometer JL_HYDROMETER;

/* Extract of a gravity, and the gravity of an extract.
 *
 * Given:    sg: SG 20/20, JL_GRAVITY_MIN to JL_GRAVITY_MAX; extract_pct: g in 100 g (°P), in the
 *           same span
 * Returned: *extract_pct; below 1.000 it is negative: an apparent extract only. *sg
 * Errors:   JL_RANGE
 * Source:   polynomial of the American Society of Brewing Chemists; the inverse by Newton steps to
 *           1e-13
 */
JL_API jl_status jl_extract_from_gravity(double sg, double *extract_pct);
JL_API jl_status jl_gravity_from_extract(double extract_pct, double *sg);

/* A gravity as read at a temperature, brought to SG 20/20. The liquid is taken to expand as water
 * does, which is off by up to 0.0006 at 12 % vol ten degrees away.
 *
 * Given:    instrument; reading: unit JL_UNIT_SG or JL_UNIT_PLATO; temp_c: of the liquid, 0 to
 *           40 °C
 * Returned: *sg: SG 20/20
 * Errors:   JL_RANGE (also when the result is not that of a wash); JL_UNIT (another unit)
 * Source:   ρ = SG ρ_w(T₀)(1 - γ(t - T₀)) as for a reading; Tanaka 2001 for water
 */
JL_API jl_status jl_gravity_at_20(const jl_hydrometer *instrument, jl_quantity reading,
                                  double temp_c, double *sg);

/* What two gravities tell of a wash. */
typedef struct jl_fermented {
    double strength_pct;               /* % vol at 20 °C */
    double alcohol_mass_pct;           /* g of alcohol in 100 g */
    double original_extract_pct;       /* °P */
    double apparent_extract_pct;       /* °P of the final gravity, alcohol not allowed for */
    double real_extract_pct;           /* °P of what is left, alcohol allowed for */
    double apparent_attenuation_share; /* shares of the original extract */
    double real_attenuation_share;     /* above 1 on a dry sugar wash: the rule is one for malt */
    double original_division_pct; /* % vol that one division of the hydrometer is worth, original */
    double final_division_pct;    /* the same, final */
} jl_fermented;

/* Strength of a wash from its gravity before and after.
 *
 * Given:    original_sg, final_sg: SG 20/20, JL_GRAVITY_MIN to JL_GRAVITY_MAX; the original above
 *           1.000; division_sg: of the hydrometer, above 0, to 0.02
 * Returned: *fermented
 * Errors:   JL_RANGE; JL_CONFLICT (final above original)
 * Source:   Balling: an empirical rule for malt. Of a sucrose wash it gives 1 to 7 % of the value
 *           too little
 */
JL_API jl_status jl_wash_from_gravity(double original_sg, double final_sg, double division_sg,
                                      jl_fermented *fermented);

typedef enum jl_sugar {
    JL_SUCROSE,
    JL_GLUCOSE, /* without water of crystallisation */
    JL_EXTRACT  /* dry extract of malt */
} jl_sugar;

/* kg of ethanol from 1 kg if all of it became ethanol: sucrose 0.5384 (the water of inversion
 * counted), glucose 0.5114, from molar masses; extract 0.4839, Balling's 1 / 2.0665. */
JL_API double jl_sugar_theory_kg_kg(jl_sugar sugar);

/* The part of theory that is usual: 0.92 of a sugar; 0.65 of malt extract, which does not ferment
 * wholly. Common practice, no source. */
JL_API double jl_sugar_usual_yield_share(jl_sugar sugar);

/* What sugar makes of a wash. */
typedef struct jl_sugared {
    double strength_pct;         /* % vol at 20 °C when all has fermented */
    double pure_alcohol_l;       /* at 20 °C */
    double original_extract_pct; /* °P before fermenting */
    double original_sg;          /* SG 20/20 before fermenting */
    double g_l_per_pct;          /* g of sugar in a litre of wash for each 1 % vol */
} jl_sugared;

/* Strength to be expected from the sugar that went in.
 *
 * Given:    sugar_kg: above 0; volume_l: of the wash made up with the sugar dissolved, at 20 °C,
 *           above 0, to 1e9 l; yield_share: part of theory, above 0, to 1
 * Returned: *sugared. The gravity is that of sucrose, whichever sugar it is
 * Errors:   JL_RANGE; JL_NO (more sugar than JL_GRAVITY_MAX allows in that volume)
 * Source:   stoichiometry; the polynomial of jl_extract_from_gravity
 */
JL_API jl_status jl_wash_from_sugar(jl_sugar sugar, double sugar_kg, double volume_l,
                                    double yield_share, jl_sugared *sugared);

/* What a final gravity alone can tell: only a lower bound. */
typedef struct jl_least {
    double least_pct;    /* % vol at 20 °C: half a division taken off */
    double as_read_pct;  /* % vol at 20 °C of ethanol in water of the gravity as read */
    double division_pct; /* % vol that one division of the hydrometer is worth here */
} jl_least;

/* The least strength of a wash of a final gravity: dissolved solids raise the gravity, so the truth
 * is above.
 *
 * Given:    as jl_gravity_at_20. The reading's own temperature enters through the mixture
 * Returned: *least
 * Errors:   JL_RANGE, JL_UNIT; JL_NO (as dense as water there within half a division: nothing can
 *           be said)
 * Source:   OIML R 22: ρ(p, t) = SG ρ_w(T₀)(1 - γ(t - T₀))
 */
JL_API jl_status jl_wash_least(const jl_hydrometer *instrument, jl_quantity reading, double temp_c,
                               jl_least *least);

/* What a distilled sample tells. */
typedef struct jl_distilled {
    double strength_pct;   /* of the wash, % vol at 20 °C */
    double distillate_pct; /* of the distillate as made up, % vol at 20 °C */
    double division_pct;   /* % vol of the wash that one division of the alcoholometer is worth */
} jl_distilled;

/* Strength of a wash from a sample that was distilled and made up with water.
 *
 * Given:    instrument, reading, temp_c: as jl_reading_to_mass_fraction; division_pct: of the
 *           alcoholometer, % vol, above 0, to 10; sample_l, made_up_l: above 0, measured at one
 *           temperature
 * Returned: *distilled
 * Errors:   as jl_reading_to_mass_fraction; JL_RANGE (also a result above 100 % vol)
 * Source:   the reference method of OIV-MA-AS312-01 and 27 CFR 30.32
 */
JL_API jl_status jl_wash_from_distilled(const jl_alcoholometer *instrument, jl_quantity reading,
                                        double temp_c, double division_pct, double sample_l,
                                        double made_up_l, jl_distilled *distilled);

/* ---- What goes into a wash ------------------------------------------------------------------- */

/* One thing that goes in, as a person writes it: "6kg sugar", "4kg molasses 55%", "3L juice 12P",
 * "40L water". */
typedef struct jl_ingredient {
    char name[32];
    double mass_kg;
    double volume_l;    /* at 20 °C; NaN: it was weighed, and is no water */
    jl_sugar sugar;     /* by which its sugar counts */
    double sugar_kg;    /* that can ferment */
    double solids_kg;   /* others that dissolve and stay */
    double yield_share; /* part of theory that its sugar gives */
    bool stated;        /* its share of sugar was given, not the usual one */
} jl_ingredient;

/* How an ingredient is written, for messages. */
JL_API extern const char JL_INGREDIENT_FORMS[];

/* Reads an ingredient: an amount, a name, and a share of sugar or a gravity. Sugar, sucrose, glucose,
 * dextrose, extract (dry, of malt), honey and water have a usual share; any other needs its own, and a
 * volume of anything but water its gravity.
 *
 * Given:    text, length: in UTF-8
 * Returned: *ingredient
 * Errors:   JL_FORM, JL_MISSING (a share, or the gravity of a volume), JL_RANGE, JL_UNIT
 * Source:   glucose in dextrose by molar masses; honey 80 % sugar, molasses 80 % solids in all, nine
 *           tenths of the solids of a juice sugar: common practice, no source
 */
JL_API jl_status jl_ingredient_read(const char *text, size_t length, jl_ingredient *ingredient);

/* What was fermented: the rule of two gravities is one for malt. */
typedef enum jl_wash_kind {
    JL_KIND_UNSTATED, /* also of both */
    JL_KIND_MALT,
    JL_KIND_SUGAR
} jl_wash_kind;

/* What several of them come to. */
typedef struct jl_recipe {
    double volume_l;            /* of the wash at 20 °C */
    double strength_pct;        /* % vol at 20 °C when all has fermented */
    double strength_u_pct;      /* its standard uncertainty */
    double pure_alcohol_l;      /* at 20 °C */
    double original_sg;         /* SG 20/20 of all that dissolves, as if it were sucrose */
    double expected_final_sg;   /* 1.000, and what does not ferment above it */
    double expected_final_u_sg; /* standard uncertainty of what does not ferment */
    double sugar_kg, solids_kg; /* that can ferment; that stays */
    double fermentable_share;   /* of all that dissolves; of malt extract two thirds */
    jl_wash_kind kind;          /* by what its sugar is from */
} jl_recipe;

/* The strength that a recipe gives, its original gravity, and where its fermentation ends.
 *
 * Given:    all, count; volume_l: of the wash, at 20 °C, to 1e9 l; NaN: as the parts and the volume of
 *           their solution give it
 * Returned: *recipe. Its uncertainty: masses within 1 %, stated shares within 3 % and yields within 5 %
 *           of themselves; what does not ferment of sugar and the like within a fifth of itself, of malt
 *           the share fermented within 3 % (common practice, no source)
 * Errors:   JL_MISSING (nothing in it that ferments); JL_RANGE; JL_NO (more solids than
 *           JL_GRAVITY_MAX allows in that volume)
 * Source:   stoichiometry as jl_wash_from_sugar; the polynomial of jl_extract_from_gravity
 */
JL_API jl_status jl_recipe_of(const jl_ingredient *all, size_t count, double volume_l,
                              jl_recipe *recipe);

/* How much sugar (sucrose, at its usual yield) is still to go in for a strength.
 *
 * Given:    all, count: what is in, may be none; volume_l: of the wash made up, at 20 °C, above 0;
 *           strength_pct: above 0, to 30
 * Returned: *sugar_kg: 0 where it is strong enough already
 * Errors:   JL_RANGE
 */
JL_API jl_status jl_recipe_sugar_kg(const jl_ingredient *all, size_t count, double volume_l,
                                    double strength_pct, double *sugar_kg);

/* ---- One strength from all that is known ------------------------------------------------------ */

typedef struct jl_settings jl_settings; /* below, with the still */

/* A gravity of a wash as it was read. */
typedef struct jl_wash_gravity {
    bool known;
    jl_quantity reading; /* unit JL_UNIT_SG or JL_UNIT_PLATO */
    double temp_c;
} jl_wash_gravity;

/* All that is known of a wash. Start from JL_WASH and put in what was measured. */
typedef struct jl_wash {
    size_t size;     /* of the struct, as your header has it */
    double volume_l; /* at 20 °C; NaN: not known; needed with sugar */
    jl_hydrometer hydrometer;
    jl_wash_gravity original, final;
    bool has_sugar; /* the next three as jl_wash_from_sugar has them */
    jl_sugar sugar;
    double sugar_kg, yield_share;
    bool has_sample; /* the others as jl_wash_from_distilled has them */
    jl_alcoholometer alcoholometer;
    jl_quantity sample_reading;
    double sample_c, sample_division_pct, sample_l, made_up_l;
    jl_wash_kind kind;
    bool has_recipe; /* what went in, in the place of has_sugar */
    jl_recipe recipe;
    double later_kg_l; /* that dissolves, and went in after the original gravity was read: it counts
                          as if it had been in then */
} jl_wash;

/* Nothing known: the usual instruments, with an alcoholometer of whole % (common practice, no
 * source). */
static inline jl_wash jl_wash_usual(void) {
    const jl_wash_gravity unknown = {false, {0, JL_UNIT_SG}, JL_STRENGTH_C};
    jl_wash wash;
    wash.size = sizeof wash;
    wash.volume_l = __builtin_nan("");
    wash.hydrometer = JL_HYDROMETER;
    wash.original = wash.final = unknown;
    wash.has_sugar = wash.has_sample = false;
    wash.sugar = JL_SUCROSE;
    wash.sugar_kg = wash.yield_share = 0;
    wash.alcoholometer = JL_ALCOHOLOMETER;
    wash.sample_reading.value = 0;
    wash.sample_reading.unit = JL_UNIT_PCT_VOL;
    wash.sample_c = JL_STRENGTH_C;
    wash.sample_division_pct = 1;
    wash.sample_l = wash.made_up_l = 0;
    wash.kind = JL_KIND_UNSTATED;
    wash.has_recipe = false;
    wash.later_kg_l = 0;
    /* cppcheck-suppress [uninitvar, uninitStructMember] ; there is no recipe */
    return wash;
}

#define JL_WASH (jl_wash_usual())

/* The ways to a strength, the nearest to a measurement first. */
typedef enum jl_wash_way {
    JL_WAY_DISTILLED,
    JL_WAY_GRAVITY,
    JL_WAY_SUGAR,
    JL_WAY_BOUND, /* the final gravity alone: a lower bound only */
    JL_WAYS       /* how many there are */
} jl_wash_way;

/* What every way makes of a wash; what a way needs and what it found holds where by[] says so. */
typedef struct jl_wash_ways {
    bool by[JL_WAYS];
    double strength_pct[JL_WAYS]; /* at 20 °C; NaN: not known. By the sugar: all fermented */
    jl_wash_way best;             /* the first of those known */
    double original_sg, final_sg; /* SG 20/20; NaN: not known */
    bool original_from_sugar;     /* no original gravity was read: it is that of the sugar */
    double sugar_so_far_pct;      /* of the sugar's strength, as far as the gravities say that it
                                       has fermented (real attenuation, 100 % at the most); NaN */
    double counted_pct[JL_WAYS]; /* as it counts in one strength: what is known to be off corrected,
                                     of the sugar what has fermented; NaN: it does not count */
    jl_distilled distilled;
    jl_fermented fermented;
    jl_sugared sugared;
    jl_least least;
} jl_wash_ways;

/* The part of what is known of a wash that cannot be. */
typedef enum jl_wash_part {
    JL_PART_NONE,
    JL_PART_ORIGINAL,
    JL_PART_FINAL,
    JL_PART_SUGAR,
    JL_PART_SAMPLE,
    JL_PART_BOTH_GRAVITIES, /* one beside the other, or beside the sugar's */
    JL_PART_FINAL_ALONE     /* as a lower bound */
} jl_wash_part;

typedef struct jl_wash_fault {
    jl_status status;
    jl_wash_part part;
    double original_sg, final_sg; /* as far as they are known; else NaN */
} jl_wash_fault;

/* The strength of a wash by every way that what is known of it allows. Two gravities count before a
 * lower bound; without an original gravity that of the sugar stands for it.
 *
 * Given:    wash
 * Returned: *ways; *fault (may be NULL)
 * Errors:   JL_MISSING (no way: nothing is known, or an original gravity alone); as
 *           jl_gravity_at_20, jl_wash_from_sugar, jl_wash_from_distilled, jl_wash_from_gravity and
 *           jl_wash_least, of which JL_NO is none beside a sample
 */
JL_API jl_status jl_wash_by_all_ways(const jl_wash *wash, jl_wash_ways *ways, jl_wash_fault *fault);

/* All ways that count, as one strength. */
typedef struct jl_wash_strength {
    double strength_pct, strength_u_pct; /* % vol at 20 °C, and its standard uncertainty */
    double counted_pct[JL_WAYS];         /* as jl_wash_ways has it */
    double u_pct[JL_WAYS];               /* standard uncertainty of each; NaN where none counts */
    double weight[JL_WAYS];              /* shares that add to 1 */
    bool disagree;                 /* two ways lie further apart than they are uncertain (k = 2) */
    jl_wash_way one, other;        /* the two that are furthest apart, by that measure */
    double apart_pct, apart_u_pct; /* by how much, and its standard uncertainty */
} jl_wash_strength;

/* One strength with its uncertainty: the ways weighted by their uncertainties, what they share (one
 * hydrometer, one volume) counted once. Two gravities are corrected for the rule's known bias on sugar:
 * 1 to 7 % of the value (unless stated, 0 to 7 %). Where ways disagree the uncertainty grows until it
 * explains that. A lower bound does not count.
 *
 * Given:    wash; instruments: their limits; NULL: the usual ones
 * Returned: *strength
 * Errors:   as jl_wash_by_all_ways; JL_NO (a lower bound alone); JL_MEMORY
 * Source:   JCGM 100:2008 (GUM), 3.2.4 and 5.2.2; weights of least variance, none below 0; the rule
 *           within 0.12 % mass (beer-analyses.csv); an instrument's error at two places of its scale is
 *           one where they are near, and two 0.05 SG apart, and the share fermented holds within 3 %
 *           (both common practice, no source)
 */
JL_API jl_status jl_wash_strength_of(const jl_wash *wash, const jl_settings *instruments,
                                     jl_wash_strength *strength);

/* ---- Has it finished ------------------------------------------------------------------------- */

typedef struct jl_dated_gravity {
    double time_s; /* seconds since 1970-01-01 UTC */
    double sg;     /* SG 20/20 */
} jl_dated_gravity;

/* When a fermentation counts as finished; each by half a division more, which no reading tells. Start
 * from JL_FINISH_RULE and change what differs. */
typedef struct jl_finish_rule {
    double span_s;             /* how long the gravity must stand still: above 0 */
    double division_sg;        /* within what: above 0, to 0.02 */
    double expected_sg;        /* and at or below which final gravity */
    double expected_within_sg; /* by which that may lie higher, 0 to 0.05, of which less than 0.004
                                  counts; 0: it is exact */
} jl_finish_rule;

/* 3 days, 0.001, 1.000 (a sugar wash). Common practice, no source. */
JL_API extern const jl_finish_rule JL_FINISH_RULE;

typedef enum jl_ferment_state {
    JL_WORKING, /* it moves, or has not stood still for long enough to say */
    JL_STOPPED, /* it stands still above the expected final gravity: stopped, not finished */
    JL_FINISHED
} jl_ferment_state;

typedef struct jl_ferment {
    jl_ferment_state state;
    bool rises;           /* by more than a division a day, which no fermentation does */
    double still_since_s; /* first of the last readings that agree; may be the last itself */
    double still_for_s;   /* from then to the last reading */
    double slope_per_day; /* SG per day over the last readings (those within the rule's span, at
                             least two), least squares */
    double slope_over_s;  /* from the first of those to the last: of minutes it says nothing */
    double finishes_s; /* the moment when it has finished if it still stands so; NaN when it is not
                          at or below the expected gravity, or stands long enough already */
    double left_s;     /* to the expected final gravity at that slope; NaN when it cannot be said:
                      at or below it already, or the gravity stands still or rises */
} jl_ferment;

/* ---- A wash log ------------------------------------------------------------------------------ */

/* Readings of a fermentation as CSV, made by hand or in a spreadsheet: columns time (RFC 3339),
 * gravity (1.062 or 15.2P), temp_c or temp_f, step, duration, add, note, in any order and letter
 * case. A row holds a gravity, or a step: a wait before the still, from its time on (degas, clear,
 * settle or a word of one's own) and how long it takes (24h, 2d), or what went in (6kg sugar). */
typedef struct jl_wash_log jl_wash_log;

typedef struct jl_wash_reading {
    size_t line; /* in the file, from 1 */
    jl_time time;
    jl_quantity reading; /* as it stands there */
    double temp_c;       /* as it stands there, without the log's thermometer_correction_c; NaN: not
                            given; then the reading counts as at the hydrometer's own */
    double sg;           /* SG 20/20 */
    const char *note;    /* "" when there is none */
    bool has_time;       /* false: its cell cannot be read, and time says nothing */
} jl_wash_reading;

typedef struct jl_wash_step {
    size_t line;
    const char *name;
    jl_time begins, ends;
    double duration_s;
    bool usual; /* the duration is not stated: it is the usual one */
} jl_wash_step;

/* What went in at a moment. */
typedef struct jl_wash_added {
    size_t line;
    jl_time time;
    jl_ingredient in;
    bool has_time;
} jl_wash_added;

/* Reads a wash log into memory, once and under a shared lock, as jl_run_read does.
 *
 * Given:    fd: open for reading, stays the caller's; instrument: for every reading
 * Returned: *log, to be freed by jl_wash_log_free; *fault (may be NULL)
 * Errors:   JL_RANGE (also the instrument); JL_MISSING (an empty file; no column for time or
 *           gravity; a row without a time, or with neither gravity nor step; a step of one's own
 *           without a duration); JL_FORM (also a column that is not known); JL_CONFLICT (a column
 *           that stands twice; a gravity and a step in one row; a time before the row above, or a
 *           gravity's at the time of the last); JL_UNIT, JL_AMBIGUOUS, JL_TOO_LONG, JL_INPUT,
 *           JL_IO, JL_MEMORY; as jl_facts_quantity for wash_l, but JL_MISSING
 */
JL_API jl_status jl_wash_log_read(int fd, const jl_hydrometer *instrument, jl_wash_log **log,
                                  jl_fault *fault);

/* Frees it, and lets go of the file; NULL is passed over. */
JL_API void jl_wash_log_free(jl_wash_log *log);

/* Its facts (title, started, wash_l), and what went in, in order of time. */
JL_API const jl_facts *jl_wash_log_facts(const jl_wash_log *log);
JL_API const jl_wash_added *jl_wash_log_added(const jl_wash_log *log, size_t *count);

/* What all that went in comes to, in the volume that the log states (wash_l).
 *
 * Errors:   as jl_recipe_of; JL_CONFLICT (a gravity is higher than what was in by then can give: more
 *           went in than the log says)
 */
JL_API jl_status jl_wash_log_recipe(const jl_wash_log *log, jl_recipe *recipe);

/* What a log knows of its wash: volume, first and last gravity, what went in by the last of them. Where
 * sugar went in between the two, or there is only one, that of all that went in stands for the original
 * one; a last gravity that is no lower is no final one then, as nothing has fermented. Where a gravity is
 * higher than what went in can give, the gravities alone count, and what went in later raises the first.
 *
 * Given:    log; *wash: begun from JL_WASH; a volume that is known already stays
 * Returned: *wash, its other fields untouched
 * Errors:   JL_RANGE (a size that is none)
 */
JL_API jl_status jl_wash_log_wash(const jl_wash_log *log, jl_wash *wash);

/* A row to be written: a gravity, a step, or what went in; NULL and NaN for what it has not. */
typedef struct jl_wash_entry {
    jl_time time;
    const char *gravity; /* as it is read: "1.012", "15.2P" */
    double temp_c;
    const char *step, *duration; /* "settle", "4d" */
    const char *add;             /* "6kg sugar" */
    const char *note;
} jl_wash_entry;

/* A new wash log with what went in so far. What is written is read before it is put in place.
 *
 * Given:    path: of a file that is not there; facts, fact_count; entries, count: in order of time
 * Returned: *fault, *trouble (may be NULL)
 * Errors:   JL_EXISTS, JL_FORM, JL_IO, JL_MEMORY; as jl_wash_log_read for what is to be written
 */
JL_API jl_status jl_wash_log_create(const char *path, const jl_fact_entry *facts, size_t fact_count,
                                    const jl_wash_entry *entries, size_t count, jl_fault *fault,
                                    jl_trouble *trouble);

/* Reads a wash log and holds it locked against other writers, for whom it waits up to wait_s.
 *
 * Errors:   as jl_wash_log_read, and JL_BUSY, JL_EXISTS (read-only)
 */
JL_API jl_status jl_wash_log_open(const char *path, double wait_s, const jl_hydrometer *instrument,
                                  jl_wash_log **log, jl_fault *fault, jl_trouble *trouble);

/* Appends a row, in a column of its own where the header has none for it: it is on the disk when this
 * returns JL_OK, and nothing has changed otherwise, unless jl_wash_log_trouble says uncertain. The log
 * then has it.
 *
 * Errors:   JL_EXISTS (only read), JL_BUSY, JL_IO, JL_MEMORY; as jl_wash_log_read for the row
 */
JL_API jl_status jl_wash_log_write(jl_wash_log *log, const jl_wash_entry *entry, jl_fault *fault);
JL_API jl_trouble jl_wash_log_trouble(const jl_wash_log *log);

/* The gravities, and the steps, in order of time. A gravity far above those before it and what went in is
 * left out.
 *
 * Given:    log
 * Returned: the first; *count: of them, may be 0
 */
JL_API const jl_wash_reading *jl_wash_log_readings(const jl_wash_log *log, size_t *count);
JL_API const jl_wash_step *jl_wash_log_steps(const jl_wash_log *log, size_t *count);

/* The times of a log that cannot be read: their rows count without a moment, but for steps, which do not
 * count.
 *
 * Given:    log
 * Returned: how many; *first: the fault of the first, where there is one
 */
JL_API size_t jl_wash_log_unread_times(const jl_wash_log *log, jl_fault *first);

/* The line of a last row that was left out, since it was not written to its end (as
 * jl_run_torn_line). 0: none. */
JL_API size_t jl_wash_log_torn_line(const jl_wash_log *log);

/* When a log's fermentation counts as finished: JL_FINISH_RULE with its hydrometer's division, and,
 * where what went in is known, the final gravity of that, rounded up to 0.001.
 *
 * Given:    log
 * Returned: *rule; whether what went in is known, all of it (jl_wash_log_recipe)
 * Source:   common practice, no source (JL_FINISH_RULE)
 * / */
JL_API bool jl_wash_log_rule(const jl_wash_log *log, jl_finish_rule *rule);

/* Has the fermentation of a log ended: jl_ferment_judge of its readings, of those since sugar went in;
 * with fewer than two of these it works.
 *
 * Given:    log; rule
 * Returned: *ferment
 * Errors:   as jl_ferment_judge; JL_MEMORY
 */
JL_API jl_status jl_wash_log_judge(const jl_wash_log *log, const jl_finish_rule *rule,
                                   jl_ferment *ferment);

/* Waits that usually come before the charge. */
typedef struct jl_usual_wait {
    const char *name;
    double duration_s;
    const char *purpose; /* in words */
} jl_usual_wait;

/* All of them in their usual order: degas, clear, settle. Common practice, no source.
 *
 * Returned: the first; *count
 */
JL_API const jl_usual_wait *jl_usual_waits(size_t *count);

/* Whether a step of a name, in any letter case, stands in the log. */
JL_API bool jl_wash_has_step(const jl_wash_log *log, const char *name);

typedef enum jl_wait_state { JL_WAIT_AHEAD, JL_WAIT_RUNS, JL_WAIT_DONE } jl_wait_state;

/* Where a step stands at a moment. */
JL_API jl_wait_state jl_wash_step_state(const jl_wash_step *step, jl_time now);

/* The moment when the last of a log's steps is over; now when none is still to come. */
JL_API jl_time jl_wash_waits_end(const jl_wash_log *log, jl_time now);

/* ---- The charge ------------------------------------------------------------------------------ */

typedef struct jl_charge_plan {
    double wash_l;       /* in the fermenter: above 0 */
    double sediment_l;   /* stays there: 0 or more */
    double mark_l;       /* the most that a load may be: above 0 */
    double covered_l;    /* the least liquid that keeps a heating element covered; 0: none */
    double taken_share;  /* of a load's volume, that a run takes off: 0 to below 1 */
    double strength_pct; /* of the wash, 0 to 100 */
    size_t loads;        /* as many as wanted; 0: as few as the mark allows */
    bool full;           /* full loads and a rest, not even ones */
} jl_charge_plan;

typedef struct jl_charge {
    double available_l; /* wash less sediment */
    size_t loads;       /* of load_l each */
    double load_l;
    double last_l;               /* one more load, smaller; 0: none */
    double left_over_l;          /* of what is available: in no load */
    double ends_at_l;            /* what stays in the boiler of the smallest load */
    double pure_alcohol_l;       /* in all loads */
    double stays_pure_alcohol_l; /* in the sediment and in what is left over */
} jl_charge;

/* How a wash goes into the boiler. Volumes at one temperature.
 *
 * Given:    plan
 * Returned: *charge. A rest too small to keep the element covered is left over
 * Errors:   JL_RANGE; JL_MISSING (the sediment is all of the wash); JL_CONFLICT (even loads above
 *           the mark, or more full loads than there is wash for); JL_NO (a load bares the element
 *           before the run's end)
 */
JL_API jl_status jl_charge_loads(const jl_charge_plan *plan, jl_charge *charge);

/* Filling the boiler by hand. */
typedef struct jl_lifting {
    double empty_kg; /* the boiler's own mass, 0 or more; NaN: not known */
    double carry_l;  /* the vessel that fills it, above 0; NaN: none */
} jl_lifting;

typedef struct jl_load {
    double volume_l, pure_alcohol_l, mass_kg;
    double boiler_kg; /* boiler and load; NaN when its own mass is not known */
    double carries;   /* how many; NaN without a vessel, as the next two */
    double carry_l;   /* a full one, or all of the load */
    double carry_kg;  /* without the vessel */
    double ends_at_l; /* what stays in the boiler when the run has taken its share */
} jl_load;

/* What a load is and weighs.
 *
 * Given:    plan: its strength and share; lifting; volume_l: of the load, at 20 °C
 * Returned: *load
 * Errors:   JL_RANGE
 * Source:   ethanol and water of that strength, OIML R 22; what is dissolved adds a little
 */
JL_API jl_status jl_charge_load(const jl_charge_plan *plan, const jl_lifting *lifting,
                                double volume_l, jl_load *load);

/* ---- Boiling --------------------------------------------------------------------------------- */

#define JL_PRESSURE_MIN_KPA 30.0
#define JL_PRESSURE_MAX_KPA 110.0
#define JL_PRESSURE_KPA     101.325 /* sea level, U.S. Standard Atmosphere 1976 */

/* A liquid of ethanol and water at its boiling point and the vapour over it: mole fractions of
 * ethanol. */
typedef struct jl_boiling {
    double liquid_mole_fraction;
    double vapour_mole_fraction;
    double temp_c;
} jl_boiling;

/* Boiling point and vapour of a liquid.
 *
 * Given:    mole_fraction: of ethanol in the liquid, 0 to 1; pressure_kpa: 30 to 110 kPa
 * Returned: *boiling
 * Errors:   JL_RANGE, JL_NUMERIC
 * Source:   ideal vapour; NRTL with parameters fitted to reference/vle-*.csv and azeotrope.csv by
 *           reference/fit-nrtl; vapour pressures by DIPPR 101 (Perry's handbook, 8th ed., table
 *           2-8). Published vapours differ among themselves by up to 0.018 mole fraction.
 */
JL_API jl_status jl_boil(double mole_fraction, double pressure_kpa, jl_boiling *boiling);

/* The liquid and the vapour that belong to a temperature: of the boiler (the liquid) or of the head
 * (the vapour).
 *
 * Given:    temp_c: 0 to 120 °C; pressure_kpa: 30 to 110 kPa
 * Returned: *boiling: of the two mixtures that there may be near ethanol's boiling point the one
 *           below the azeotrope
 * Errors:   JL_RANGE; JL_NO_MIXTURE (below the azeotrope's boiling point or above water's)
 * Source:   as jl_boil
 */
JL_API jl_status jl_boil_at_temp(double temp_c, double pressure_kpa, jl_boiling *boiling);

/* The mixture whose vapour is as strong as itself.
 *
 * Given:    pressure_kpa: 30 to 110 kPa
 * Returned: *boiling
 * Errors:   JL_RANGE, JL_NUMERIC
 * Source:   as jl_boil
 */
JL_API jl_status jl_azeotrope(double pressure_kpa, jl_boiling *boiling);

/* Air pressure at an altitude, on an average day.
 *
 * Given:    altitude_m: -500 to 11000 m
 * Returned: *pressure_kpa
 * Errors:   JL_RANGE
 * Source:   U.S. Standard Atmosphere, 1976
 */
JL_API jl_status jl_pressure_at_altitude_kpa(double altitude_m, double *pressure_kpa);

/* Mole fraction of ethanol from its mass fraction, and back; both 0 to 1.
 *
 * Source: standard atomic weights: 46.069 and 18.015 g/mol
 */
JL_API double jl_mole_fraction(double mass_fraction);
JL_API double jl_mass_fraction_from_mole(double mole_fraction);

/* Strength of a mixture from its mole fraction of ethanol.
 *
 * Given:    mole_fraction
 * Returned: % vol at 20 °C; NaN outside 0 to 1
 * Source:   OIML R 22 (1975)
 */
JL_API double jl_strength_pct_from_mole(double mole_fraction);

/* Specific heat of a liquid and latent heat of its vapour, where the vapour has the mass fraction.
 *
 * Given:    mass_fraction: 0 to 1; temp_c: 0 to 120 °C
 * Returned: kJ/(kg K); kJ/kg
 * Errors:   JL_RANGE
 * Source:   DIPPR 100 and 106 for the parts; what a mixture holds more from Perry's handbook, 7th
 *           ed., specific heats of aqueous solutions (reference/heat-capacity-mixture.csv), carried on
 *           beyond 41 °C along its own line
 */
JL_API jl_status jl_heat_capacity_kj_kg_k(double mass_fraction, double temp_c, double *kj_kg_k);
JL_API jl_status jl_latent_heat_kj_kg(double mass_fraction, double temp_c, double *kj_kg);

/* ---- A run, before the fire is lit ----------------------------------------------------------- */

/* From when on a reflux holds. */
typedef enum jl_when {
    JL_WHEN_TIME_S,   /* clock from heat-on */
    JL_WHEN_VOLUME_L, /* distilled so far, at the temperature at which jars are measured */
    JL_WHEN_HEAD_C    /* the head has become so warm */
} jl_when;

typedef struct jl_reflux_step {
    jl_when when;
    double at;
    double reflux_ratio; /* 0 to 1000 */
} jl_reflux_step;

/* A still and how it is driven. Start from JL_STILL and change what differs. */
typedef struct jl_still {
    size_t size; /* of the struct, as your header has it */
    double
        stages; /* 1 to 100 equilibrium stages, the boiler counted in; 2.5 lies between 2 and 3 */
    double reflux_ratio;            /* 0 to 1000: what the head returns, to what it lets out */
    const jl_reflux_step *schedule; /* each waits for the one before it */
    size_t schedule_count;
    double pressure_kpa;     /* 30 to 110 kPa */
    double vapour_off_share; /* -0.5 to 0.5: by how much, as a share, the volatility lies further
                               from 1 than in the model; the azeotrope stays */
    double power_w;          /* 0 to 1e6 W; 0: no clock, no energy */
    double efficiency_share; /* above 0, to 1: what part of the power reaches the liquid */
    double loss_w;           /* 0 to 1e6 W: what the boiler's walls lose */
    double boiler_heat_j_k;  /* 0 to 1e7 J/K: heat that the boiler itself takes up */
    double start_c;          /* 0 to 60 °C: of the charge at heat-on */
    double spout_c;          /* 0 to 40 °C: of the distillate */
    double coolant_rise_c;   /* above 0, to 90 °C */
    double min_liquid_l;     /* 0 to 1e6 l at 20 °C: less would bare the heating element */
    double dilute_off_share; /* -0.5 to 0.5: as vapour_off_share and beside it, where the liquid is
                               dilute: in full at mole fractions near 0, by half at 0.05 */
} jl_still;

#define JL_VAPOUR_OFF_MOST 0.5

/* Standard uncertainty of the model as vapour_off_share: the root mean square of how far five published
 * sets of vapour compositions lie from it (Carey and Lewis 1932 -0.042, Kirschbaum 1939 -0.029 and
 * -0.008, Voutsas 2011 -0.041, Kamihama 2012 0.031). */
#define JL_VAPOUR_OFF_U 0.033

/* The same as dilute_off_share: what their ten points below a mole fraction of 0.05 scatter beyond that,
 * as a root mean square. */
#define JL_DILUTE_OFF_U 0.116

/* A plain pot at sea level. Heat: common practice, no source. */
static inline jl_still jl_still_usual(void) {
    jl_still still;
    still.size = sizeof still;
    still.stages = 1;
    still.reflux_ratio = 0;
    still.schedule = NULL;
    still.schedule_count = 0;
    still.pressure_kpa = JL_PRESSURE_KPA;
    still.vapour_off_share = 0;
    still.dilute_off_share = 0;
    still.power_w = 2000;
    still.efficiency_share = 0.9;
    still.loss_w = 0;
    still.boiler_heat_j_k = 3000;
    still.start_c = 20;
    still.spout_c = 20;
    still.coolant_rise_c = 30;
    still.min_liquid_l = 0;
    return still;
}

#define JL_STILL (jl_still_usual())

/* How a rule for a cut is put. */
typedef enum jl_cut_by {
    JL_CUT_NEVER,         /* no such fraction; for hearts and tails: no such end */
    JL_CUT_VOLUME_L,      /* the fraction's own volume */
    JL_CUT_CHARGE_SHARE,  /* its volume as a share of the charge's, both at 20 °C: 0.02 */
    JL_CUT_ALCOHOL_SHARE, /* its pure alcohol as a share of the charge's */
    JL_CUT_SPOUT_PCT,     /* strength at the spout has fallen to it, % vol at 20 °C */
    JL_CUT_BOILER_C,      /* the boiler has become so warm */
    JL_CUT_HEAD_C         /* the head has become so warm */
} jl_cut_by;

typedef struct jl_cut {
    jl_cut_by by;
    double at;
} jl_cut;

/* Where each fraction ends. The tails' rule also ends the run, whatever fraction it is in; a volume
 * or share there counts from the first drop. Without foreshots, heads and hearts (a strip run) all
 * that is collected is JL_UNDECIDED. */
typedef struct jl_cut_rules {
    jl_cut foreshots, heads, hearts, tails;
} jl_cut_rules;

#define JL_CUTS_FROM_PCT 20.0 /* a weaker charge makes a strip run: common practice, no source */

/* Whether a charge makes a strip run, which is not cut.
 *
 * Given:    charge: nothing at all, as where it is not known, makes none
 */
JL_API bool jl_makes_strip_run(jl_spirit charge);

/* Cut rules for a charge. One that makes a strip run: no cuts, until 10 % at the
 * spout. Others: foreshots 0.5 % and heads 2 % of the charge's volume, hearts until 60 % and tails
 * until 20 % at the spout.
 *
 * Given:    strength_pct: of the charge
 * Source:   published practice: heads 1 to 2 % of a second charge and hearts to 58 to 60 %
 *           (cognac), hearts from about 72 to 60 % (malt whisky). Foreshots, tails and the strip
 *           run: common practice, no source
 */
JL_API jl_cut_rules jl_default_cuts(double strength_pct);

/* What is to be done with a run. Start from JL_PLAN and change what differs. */
typedef struct jl_plan {
    size_t size; /* of the struct, as your header has it */
    jl_cut_rules cuts;
    double jar_l;      /* 0.001 to 1e6 l; a jar is full, or ends at a cut */
    double measured_c; /* -20 to 40 °C: at which volumes of jars and cuts are measured */
    bool congeners;    /* follow them too: see jl_forecast_congener */
} jl_plan;

/* Cuts by jl_default_cuts and jars of half a litre. */
static inline jl_plan jl_plan_usual(double strength_pct) {
    jl_plan plan;
    plan.size = sizeof plan;
    plan.cuts = jl_default_cuts(strength_pct);
    plan.jar_l = 0.5;
    plan.measured_c = JL_STRENGTH_C;
    plan.congeners = false;
    return plan;
}

#define JL_PLAN(strength_pct) (jl_plan_usual(strength_pct))

/* ---- Settings of a still, from a file ---- */

enum { JL_CUT_BYTES = 40 };

/* A rule for a cut as a person writes it: "100mL", "2% of charge", "5% of alcohol", "none"; and
 * unless amount_only "60%", "120proof", "92C head", "96C boiler".
 *
 * Given:    text: NUL-terminated
 * Returned: *cut; *fault (may be NULL): the text and what was expected
 * Errors:   those of jl_quantity_read
 */
JL_API jl_status jl_cut_read(const char *text, bool amount_only, jl_cut *cut, jl_fault *fault);

/* The same text of a rule. */
JL_API void jl_cut_write(const jl_cut *cut, char text[JL_CUT_BYTES]);

/* What a file or a log states of a still, its runs and the instruments, the rest as it usually is. */
typedef struct jl_settings jl_settings;

/* Reads a file of settings: rows of a key and its value, as jarline-bench(5) has them. A section
 * begins with the name of a still, still,NAME, and holds what is said of that still alone.
 *
 * Given:    fd: open for reading, stays the caller's
 *           A file with one section is read with it
 * Returned: *settings, to be freed by jl_settings_free; *fault (may be NULL)
 * Errors:   JL_FORM (also a key that is not known), JL_UNIT, JL_AMBIGUOUS, JL_RANGE, JL_MISSING (a
 *           key without a value; which of several stills), JL_CONFLICT (a key twice, a pressure and
 *           an altitude), JL_TOO_LONG, JL_INPUT, JL_IO, JL_MEMORY
 */
JL_API jl_status jl_settings_read(int fd, jl_settings **settings, jl_fault *fault);

/* The same with the section of one still.
 *
 * Given:    still: its name, whatever its letters' case; NULL: of the only one
 * Returned: as jl_settings_read
 * Errors:   those of jl_settings_read; JL_NO (no still has the name)
 */
JL_API jl_status jl_settings_read_still(int fd, const char *still, jl_settings **settings,
                                        jl_fault *fault);

/* Frees them; NULL is passed over. */
JL_API void jl_settings_free(jl_settings *settings);

/* The still that they state; its schedule lies in the settings, which must stay as long.
 *
 * Given:    still->size, as of JL_STILL
 * Returned: *still
 * Errors:   JL_RANGE (a size that is none)
 */
JL_API jl_status jl_settings_still(const jl_settings *settings, jl_still *still);

/* Jars and cuts; rules that are not stated are those of jl_default_cuts.
 *
 * Given:    charge_strength_pct: % vol at 20 °C; plan->size, as of JL_PLAN
 * Returned: *plan
 * Errors:   JL_RANGE (a size that is none)
 */
JL_API jl_status jl_settings_plan(const jl_settings *settings, double charge_strength_pct,
                                  jl_plan *plan);

/* The alcoholometer that they state. */
JL_API jl_alcoholometer jl_settings_to_alcoholometer(const jl_settings *settings);

typedef enum jl_fraction {
    JL_UNDECIDED, /* not yet: counted apart */
    JL_FORESHOTS,
    JL_HEADS,
    JL_HEARTS,
    JL_TAILS
} jl_fraction;

/* A jar of a forecast; temperatures, spout and clock at its end. Begin with JL_FORECAST_JAR, so that
 * no more is filled than your header has. */
typedef struct jl_forecast_jar {
    size_t size;   /* of the struct, as your header has it */
    size_t number; /* from 1 */
    jl_fraction fraction;
    jl_spirit spirit;
    jl_spirit so_far; /* all jars up to this one, mixed */
    double spout_pct; /* strength that leaves the spout, % vol at 20 °C */
    double head_c, boiler_c;
    double reflux_ratio;
    double elapsed_s; /* from heat-on; NaN without power */
} jl_forecast_jar;

static inline jl_forecast_jar jl_forecast_jar_begin(void) {
    jl_forecast_jar jar;
    jar.size = sizeof jar;
    jar.number = 0;
    /* cppcheck-suppress [uninitvar, uninitStructMember] ; whoever fills it sets the rest */
    return jar;
}

#define JL_FORECAST_JAR (jl_forecast_jar_begin())

/* What ended a run. */
typedef enum jl_ending {
    JL_ENDED_RULE,    /* the tails' rule */
    JL_ENDED_ELEMENT, /* less liquid would bare the heating element */
    JL_ENDED_DRY      /* a thousandth of the charge is left */
} jl_ending;

/* What a run gave up to its last jar. Begin with JL_FORECAST, so that no more is filled than your
 * header has. */
typedef struct jl_forecast {
    size_t size; /* of the struct, as your header has it */
    jl_spirit charge, collected, left;
    jl_spirit fractions[5]; /* by jl_fraction */
    double first_spout_pct; /* strength of the first drop */
    double first_drop_s;    /* from heat-on; NaN without power, as the other times and heats */
    double duration_s;
    double energy_j;         /* electric */
    double lost_j;           /* of it: that did not reach the liquid, or left through the walls */
    double coolant_j;        /* of it: what the cooling water takes */
    double coolant_l;        /* water, for the given rise */
    double coolant_most_l_s; /* its largest flow: all vapour condensed */
    jl_ending ending;
} jl_forecast;

static inline jl_forecast jl_forecast_begin(void) {
    jl_forecast forecast;
    forecast.size = sizeof forecast;
    /* cppcheck-suppress [uninitvar, uninitStructMember] ; whoever fills it sets the rest */
    return forecast;
}

#define JL_FORECAST (jl_forecast_begin())

typedef struct jl_forecasting jl_forecasting;

/* Begins a forecast. It costs a millisecond or less, prints nothing, and runs side by side with
 * others.
 *
 * Given:    still: ranges there; charge: more than 0 of both, 1e-3 kg to 1e6 kg; plan: as above
 * Returned: *run, to be ended by jl_forecast_close
 * Errors:   JL_RANGE; JL_NO (the power does not make up for the losses: it never boils; the charge
 *           is less than the heating element needs); JL_NUMERIC, JL_MEMORY
 * Source:   Rayleigh; McCabe and Thiele's stages with constant molar overflow, a total condenser
 *           and nothing held up; no entrainment; a wash is taken as ethanol and water
 */
JL_API jl_status jl_forecast_open(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                                  jl_forecasting **run);

/* The next jar.
 *
 * Given:    run; jar->size
 * Returned: *jar
 * Errors:   JL_END (also at once, when the stop rule is met by the first drop); JL_NUMERIC (the
 *           solver failed, or what came out and what is left are not the charge to 1e-9 of it);
 *           JL_RANGE (a size that is none: see JL_FORECAST_JAR)
 */
JL_API jl_status jl_forecast_next(jl_forecasting *run, jl_forecast_jar *jar);

/* What the run gave so far: all of it after JL_END.
 *
 * Given:    run; forecast->size
 * Returned: *forecast
 * Errors:   JL_RANGE (a size that is none: see JL_FORECAST)
 */
JL_API jl_status jl_forecast_sum(const jl_forecasting *run, jl_forecast *forecast);

JL_API void jl_forecast_close(jl_forecasting *run);

/* All of a run at once, without its jars: a jl_forecast_open, jl_forecast_next until JL_END,
 * jl_forecast_sum. */
JL_API jl_status jl_forecast_run(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                                 jl_forecast *forecast);

/* What leaves a still over a boiling charge, without a run.
 *
 * Given:    still: its stages, reflux and pressure; mass_fraction: of the charge, above 0, below 1
 * Returned: *boiling: the charge as liquid, the distillate as vapour, temp_c of the boiler
 * Errors:   JL_RANGE, JL_NUMERIC
 */
JL_API jl_status jl_first_drop(const jl_still *still, double mass_fraction, jl_boiling *boiling);

/* Congeners follow the main run as traces: how much of a jar's worth of them is a prediction, from
 * predicted volatilities, and says nothing about safety. Where the published methods differ a
 * compound stands twice. */
typedef struct jl_congener {
    const char *name;
    const char *method;
} jl_congener;

/* The congeners that are followed.
 *
 * Given:    index: from 0
 * Returned: the congener, NULL behind the last; those of one compound stand together
 * Source:   reference/congener-volatility-predicted.csv: predicted, not measured, at 101.3 kPa
 */
JL_API const jl_congener *jl_congener_at(size_t index);

/* What part of the charge's amount of a congener the boiler still holds after the last jar.
 *
 * Given:    run: its plan with congeners; index: of the congener
 * Returned: 1 before the first jar, falling to 0; NaN without congeners or behind the last
 */
JL_API double jl_forecast_congener(const jl_forecasting *run, size_t index);

/* Volatility of a congener relative to ethanol.
 *
 * Given:    index: of the congener; mole_fraction: of ethanol in the liquid, 0 to 1
 * Returned: the ratio; NaN outside
 */
JL_API double jl_congener_volatility(size_t index, double mole_fraction);

/* ---- The run log ----------------------------------------------------------------------------- */

/* A run log is CSV: rows of facts, a header, one row a jar. */

enum { JL_FRACTIONS = 5, JL_JAR_MOST = 999999999, JL_JAR_NAME_BYTES = 12 };

typedef struct jl_jar {
    size_t size;     /* of the struct, as your header has it */
    uint32_t number; /* 1 to JL_JAR_MOST; one more than the highest so far where the log has none */
    jl_fraction fraction;
    size_t line; /* in the file, from 1 */
    jl_time time;
    bool has_time, has_reading, has_strength;
    bool at_20c;             /* the log has no temperature: the volume counts as one at 20 °C */
    double volume_l;         /* as measured, at liquid_c */
    double temp_c;           /* of the jar, as the thermometer shows it; NaN when there is none */
    double liquid_c;         /* with the thermometer's correction; 20 °C when there is none */
    jl_quantity reading;     /* as the instrument shows it at temp_c */
    jl_quantity strength;    /* as the log states it, at 20 °C or 60 °F */
    double head_c, boiler_c; /* at the end of the jar; NaN when there is none */
    const char *note;        /* NUL-terminated, as in the file */
    size_t note_length;
    double mass_fraction; /* from the reading; from the strength where there is no reading */
    jl_spirit spirit;
    double volume_20c_l;      /* of the spirit, at 20 °C */
    jl_spirit so_far;         /* all jars that count up to this one, itself included, mixed */
    double before_l, until_l; /* what has run before it and with it: so_far's volume, at 20 °C */
    /* What stands on its tape: the number, "8"; "8a" of a jar that was put in behind it. */
    char name[JL_JAR_NAME_BYTES];
    double weight_kg, empty_kg; /* full and empty, as the scale shows; NaN: it was not weighed */
    double spout_temp_c;        /* NaN: none */
    double taken_l; /* a sample, or spilled: it has run, and is no longer in the jar; NaN: none */
    jl_quantity spout;  /* what the instrument showed in the running spout as it ended */
    double curve_u_pct; /* of from_spout: its standard uncertainty for the run's curve, % vol */
    bool by_weight;     /* its volume is what its weight comes to */
    bool from_spout; /* its mixture is the mean from such readings in a row, as there is no other */
    bool resumed;    /* the run was stopped and went on before it */
} jl_jar;

/* A fraction's name: "undecided", "foreshots", "heads", "hearts", "tails". */
JL_API const char *jl_fraction_name(jl_fraction fraction);

/* The fraction that a text names, in any letter case; nothing at all is JL_UNDECIDED.
 *
 * Given:    text, length: bytes, need not be NUL-terminated
 * Returned: *fraction
 * Errors:   JL_FORM
 */
JL_API jl_status jl_fraction_read(const char *text, size_t length, jl_fraction *fraction);

/* ---- What a run gave ------------------------------------------------------------------------- */

typedef struct jl_total {
    size_t jars;
    double measured_l; /* sum of the volumes as measured */
    double parts_l; /* sum of the volumes at 20 °C: less jl_volume_l(spirit, 20) is contraction */
    jl_spirit spirit; /* all of it mixed */
} jl_total;

/* Begin with a tally that is all zero: jl_tally tally = {0}. */
typedef struct jl_tally {
    jl_total of[JL_FRACTIONS];
    size_t at_20c;   /* jars without a temperature */
    jl_spirit taken; /* samples and what was spilled: no part of the fractions */
} jl_tally;

/* Sets of fractions for jl_tally_sum. Foreshots are thrown away and heads and tails go into the
 * next run as feints: common practice, no source. */
enum {
    JL_OF_HEARTS = 1 << JL_HEARTS,
    JL_OF_FEINTS = 1 << JL_HEADS | 1 << JL_TAILS,
    JL_OF_KEPT = JL_OF_FEINTS | JL_OF_HEARTS, /* what is undecided is not counted as kept */
    JL_OF_ALL = (1 << JL_FRACTIONS) - 1
};

/* Adds the jars of another log. */
JL_API void jl_tally_join(jl_tally *tally, const jl_tally *other);

/* Some fractions together.
 *
 * Given:    tally; fractions: a set of 1 << jl_fraction
 */
JL_API jl_total jl_tally_sum(const jl_tally *tally, unsigned fractions);

/* What became of the alcohol that was charged. */
typedef struct jl_recovery {
    bool charge_stated, left_stated;
    jl_spirit charge, left, collected;
    double recovery_pct; /* pure alcohol collected, of that charged; NaN when no charge is stated */
    double
        missing_l; /* pure alcohol at 20 °C, neither collected nor left; NaN as above. What stayed
                         in the boiler is part of it when it is not stated */
} jl_recovery;

/* Two logs together; without figures when one of them states no charge. */
JL_API jl_recovery jl_recovery_join(jl_recovery a, jl_recovery b);

/* ---- The record of a run --------------------------------------------------------------------- */

/* A run log read once, whole: its facts, its jars that count, what they sum to, the run that was
 * expected. What a function below gives is the record's and valid as long as it. */
typedef struct jl_run jl_run;

/* What was to have run at the end of a jar, by the "#expect" rows of the log. */
typedef struct jl_expected {
    double end_l;        /* at 20 °C, since the first drop */
    double strength_pct; /* of that jar */
    double head_c;       /* NaN when the row has none */
} jl_expected;

/* Reads a log. While it reads, it holds a shared lock on the file, so that no row is read in part
 * which another is adding; after a second of waiting, or where there are no locks, it reads all the
 * same.
 *
 * Given:    fd: open for reading, read from its present position; stays the caller's, who holds no
 *           lock on it
 * Returned: *run, to be freed by jl_run_free; *fault (may be NULL)
 * Errors:   JL_MISSING (no header, or one without a volume, or without a reading or a strength; a row
 *           too short, no volume, neither reading nor strength, a reading without a temperature);
 *           JL_CONFLICT (a column twice or in two units, a proof scale on an instrument that is not of
 *           60 °F, an instrument's fact after the first jar, a number twice, an undo of no jar, reading
 *           and strength more than 0.2 % vol apart); JL_RANGE (also: "#expect" rows whose litres fall, a
 *           file of more than 64 MiB); JL_FORM, JL_AMBIGUOUS, JL_NO_MIXTURE, JL_TOO_LONG; JL_INPUT,
 *           JL_IO, JL_MEMORY. A log without jars is none: see jl_run_some
 */
JL_API jl_status jl_run_read(int fd, jl_run **run, jl_fault *fault);

/* Frees a record; NULL is passed over. */
JL_API void jl_run_free(jl_run *run);

/* The jars that count, in the order of their numbers: a jar 8a stands behind jar 8, whatever its row.
 *
 * Given:    run; index: from 0
 * Returned: the jar; NULL behind the last
 */
JL_API const jl_jar *jl_run_jar(const jl_run *run, size_t index);

/* The jar of a name, as "8" or "8a"; NULL when none that counts has it. */
JL_API const jl_jar *jl_run_jar_named(const jl_run *run, const char *name);

/* Whether there are jars at all.
 *
 * Given:    run
 * Returned: JL_OK, or JL_MISSING with *fault (may be NULL) at the header
 */
JL_API jl_status jl_run_some(const jl_run *run, jl_fault *fault);

JL_API const jl_facts *jl_run_facts(const jl_run *run);

/* What the facts state of still, cuts and instrument. */
JL_API const jl_settings *jl_run_settings(const jl_run *run);

/* The instrument that the facts state. */
JL_API jl_alcoholometer jl_run_instrument(const jl_run *run);

JL_API const jl_tally *jl_run_tally(const jl_run *run);
JL_API const jl_recovery *jl_run_recovery(const jl_run *run);

/* What was expected, litres going up. A "#charge..." fact behind such rows begins them anew, as the
 * expected run is computed again for a charge that was entered wrongly: the last block counts.
 *
 * Given:    run
 * Returned: the first row; *count, 0 when none is stated
 */
JL_API const jl_expected *jl_run_expected(const jl_run *run, size_t *count);

/* The row of a new log for a jar that is expected, with the digits that are meant: volumes to a tenth
 * of a millilitre, strengths and temperatures to a hundredth.
 *
 * Given:    jar: of a forecast of the run
 * Returned: a fact for jl_run_create
 */
JL_API jl_fact_entry jl_expected_row(const jl_forecast_jar *jar);

/* The mean strength expected between two volumes that have run (l at 20 °C), in % vol at 20 °C; NaN
 * where from_l is not below to_l, beyond the last row, and without one. */
JL_API double jl_run_expected_pct(const jl_run *run, double from_l, double to_l);

/* The fact "title"; NULL when there is none. */
JL_API const char *jl_run_title(const jl_run *run);

/* The fact "started", as a moment. False when there is none that can be read. */
JL_API bool jl_run_started(const jl_run *run, jl_time *started);

/* How many jars count without a time, since theirs could not be read. *first: the first such cell. */
JL_API size_t jl_run_unread_times(const jl_run *run, jl_fault *first);

/* The line of a last row that was left out: it has no line end and the file is one of ours
 * ("#jarline,1" in its first row), so that it was not written to its end. 0: none. */
JL_API size_t jl_run_torn_line(const jl_run *run);

/* A column of the header that is not known, and passed over: its name as it stands, cut to 31
 * bytes. index from 0; NULL behind the last, of four at the most. */
JL_API const char *jl_run_unknown_column(const jl_run *run, size_t index);

/* A jar as an amount that was measured: at its temperature where it was read, else at 20 °C. */
JL_API jl_amount jl_jar_amount(const jl_jar *jar);

/* The share of a jar that is left in it, 1 where nothing was taken out. */
JL_API double jl_jar_left_share(const jl_jar *jar);

/* How long a jar took, from the jar before it: minutes; NaN when a time is missing, the two lie less
 * than a minute apart, the run was stopped between them, or before is NULL. */
JL_API double jl_jar_minutes(const jl_jar *before, const jl_jar *jar);

/* Its volume as measured in that time, ml/min; NaN as above. */
JL_API double jl_jar_rate_ml_min(const jl_jar *before, const jl_jar *jar);

/* What is measured of a jar. */
typedef enum jl_jar_figure {
    JL_JAR_VOLUME,
    JL_JAR_READING, /* the strength where the jar has no reading */
    JL_JAR_TEMP,
    JL_JAR_HEAD,
    JL_JAR_BOILER,
    JL_JAR_TIME,
    JL_JAR_WEIGHT, /* full, on the scale */
    JL_JAR_EMPTY,
    JL_JAR_SPOUT, /* what the instrument shows in the running spout */
    JL_JAR_SPOUT_TEMP
} jl_jar_figure;

enum { JL_JAR_FIGURES = JL_JAR_SPOUT_TEMP + 1 };

/* How a log writes a figure: a number in it stands for (number - offset) * factor in l, kg or °C, or on
 * a scale of readings as it is. */
typedef struct jl_log_unit {
    double factor, offset;
    double least, most; /* numbers that the log may hold */
    jl_unit scale;      /* of a reading */
    const char *name;   /* "mL", "L", "g", "kg", "%", "proof", "°C", "°F" */
} jl_log_unit;

/* The unit of a figure's column; where the log has no such column, one like that of the others. A time
 * has none: its name is "". */
JL_API jl_log_unit jl_run_unit(const jl_run *run, jl_jar_figure figure);

/* A strength as a log would have it: one with readings in proof has its strengths in proof too.
 *
 * Given:    run; pct: % vol at 20 °C
 * Returned: % vol at 20 °C or US proof, as the scale of its readings; NaN for no strength
 */
JL_API double jl_run_strength(const jl_run *run, double pct);

/* Beside what a figure is unlikely. */
typedef enum jl_slip_by {
    JL_SLIP_BEFORE,   /* that of the jar before; a time: earlier than that */
    JL_SLIP_EXPECTED, /* what was expected of the jar */
    JL_SLIP_USUAL,    /* the least or the most that is usual */
    JL_SLIP_VAPOUR,   /* the head, than which the boiler is colder */
    JL_SLIP_CHARGE,   /* the charge, of which less is left */
    JL_SLIP_START,    /* the start of the run, which is later */
    JL_SLIP_LONG,     /* the jar before or the start, by more than 12 h */
    JL_SLIP_AFTER,    /* the jar behind it, which was full earlier */
    JL_SLIP_SAME,     /* the jar before, whose figures and minute it has */
    JL_SLIP_FUTURE,   /* now, which is earlier */
    JL_SLIP_EMPTY,    /* the empty jar, which weighs as much */
    JL_SLIP_WEIGHT    /* of a volume: what the jar holds by its weight */
} jl_slip_by;

/* What was probably meant. */
typedef struct jl_guess {
    double number; /* in the unit of the log; NaN: nothing that fits */
    double typed;  /* what was typed, where it is the unit that was another; NaN: the digits were */
    const char *unit; /* that one: "°F"; NULL: as above */
} jl_guess;

/* A figure that may be a slip of the pen; numbers in the unit of the log, of a time: s since 1970. */
typedef struct jl_slip {
    jl_jar_figure figure;
    jl_slip_by by;
    double is, beside;
    int offset_s; /* of the jar's clock, for a time */
    jl_guess guess;
} jl_slip;

typedef struct jl_slips {
    jl_slip of[JL_JAR_FIGURES];
    size_t count;
} jl_slips;

/* Whether a figure lies further from that of the jar before, or from what was expected, than a run
 * usually goes from jar to jar.
 *
 * Given:    run; before: the jar before, NULL: none; jar: of the run, or about to be written: as far as
 *           its figures are known, the others NaN; figure: of it, known; now: NULL where no time can lie
 *           in the future
 * Returned: whether it does, and then *slip
 * Source:   common practice, no source
 */
JL_API bool jl_run_slip(const jl_run *run, const jl_jar *before, const jl_jar *jar,
                        jl_jar_figure figure, const jl_time *now, jl_slip *slip);

/* The same for all figures of a jar. */
JL_API void jl_run_slips(const jl_run *run, const jl_jar *before, const jl_jar *jar,
                         const jl_time *now, jl_slips *slips);

/* The volume that the next jar probably has: that of the jar before, unless that one is small, as a
 * jar of foreshots is; then the size that the jars were expected to have, that the log states or that
 * is usual on the bench, else that of the last jar that was not small. Three jars alike say their
 * size themselves.
 *
 * Given:    run; before: the jar before, NULL: none; bench_l: a jar of the bench, NaN: not known
 * Returned: l, as jars are read: at their own temperature; NaN: nothing says it
 * Source:   common practice, no source
 * / */
JL_API double jl_run_next_volume_l(const jl_run *run, const jl_jar *before, double bench_l);

/* What may have been meant by a number that is none of a jar, or an unlikely one: the same digits in
 * another unit, another place of the point, one digit more, less or other; what fits the jar before
 * and the expected run best, and only what is no slip itself.
 *
 * Given:    as above; typed: in the unit of the log
 * Returned: the guess
 */
JL_API jl_guess jl_run_guess(const jl_run *run, const jl_jar *before, const jl_jar *jar,
                             jl_jar_figure figure, double typed);

/* ---- The cut --------------------------------------------------------------------------------- */

/* The cut rules of a run: those that its log states, the others as jl_default_cuts.
 *
 * Given:    run
 * Returned: *rules
 * Errors:   JL_MISSING (the log states no charge, on which the rules rest)
 */
JL_API jl_status jl_run_cut_rules(const jl_run *run, jl_cut_rules *rules);

/* The fractions that rules would give the jars of a run. A jar goes by its middle and by its own
 * strength. Nose and tongue decide where hearts begin and end, not this: it knows volumes and
 * strengths only.
 *
 * Given:    run; rules
 * Returned: fractions: one for each jar of jl_run_jar
 * Errors:   JL_MISSING (the log states no charge); JL_NO (the rules of a strip run, which has no
 *           cut)
 */
JL_API jl_status jl_run_suggest_cut(const jl_run *run, const jl_cut_rules *rules,
                                    jl_fraction *fractions);

/* What the jars of a run come to under a choice of fractions.
 *
 * Given:    run; fractions: one for each jar of jl_run_jar
 * Returned: as jl_run_tally
 */
JL_API jl_tally jl_run_tally_of(const jl_run *run, const jl_fraction *fractions);

/* The strength at the spout at which a cut rule ends a fraction, where the rule is one by what the
 * still shows and not by an amount.
 *
 * Given:    still: its stages, reflux and pressure; rule
 * Returned: *strength_pct: % vol at 20 °C
 * Errors:   JL_NO (an amount, or never); JL_NO_MIXTURE (a temperature that the still does not reach);
 *           JL_RANGE, JL_NUMERIC
 */
JL_API jl_status jl_spout_at_rule(const jl_still *still, jl_cut rule, double *strength_pct);

/* Where a log ends a fraction, as a strength at the spout. */
typedef struct jl_spout_end {
    double strength_pct; /* % vol at 20 °C */
    jl_cut rule;
    bool stated; /* by the log */
    bool
        followed; /* false: the rule is no strength at the spout, and the usual one stands for it */
} jl_spout_end;

/* Where hearts end and the run stops, by its log or by the usual rules. Without an end of their own
 * hearts go on to the stop. */
JL_API void jl_run_ends(const jl_run *run, jl_spout_end *hearts, jl_spout_end *stop);

/* The same of settings, for a charge of such a strength. */
JL_API void jl_settings_ends(const jl_settings *settings, double charge_pct, jl_spout_end *hearts,
                             jl_spout_end *stop);

/* ---- Writing a run log ----------------------------------------------------------------------- */

/* What one jar's row is to hold. A number that is NaN and a text that is NULL are not given. Start
 * from JL_ENTRY, which gives nothing. */
typedef struct jl_entry {
    size_t size;          /* of the struct, as your header has it */
    double volume_l;      /* as measured, at temp_c */
    jl_quantity reading;  /* what the instrument shows: JL_UNIT_PCT_VOL or JL_UNIT_PROOF_US */
    jl_quantity strength; /* true strength: the same units */
    double temp_c, head_c, boiler_c;
    const char *time;           /* RFC 3339 with offset; "": none */
    const char *now;            /* stands for time in a new jar, where the log has that column */
    const char *fraction;       /* a name as jl_fraction_read takes it */
    const char *note;           /* free text in one line */
    const char *jar;            /* of a new jar: its name, as "8a"; NULL: the next number */
    double weight_kg, empty_kg; /* of the jar, full and empty, as a scale in air shows */
    jl_quantity spout;          /* what the instrument shows in the running spout as the jar ends */
    double spout_temp_c;
    double taken_l; /* a sample, or what was spilled */
} jl_entry;

static inline jl_entry jl_entry_begin(void) {
    jl_entry entry;
    entry.size = sizeof entry;
    entry.volume_l = entry.temp_c = entry.head_c = entry.boiler_c = __builtin_nan("");
    entry.weight_kg = entry.empty_kg = entry.spout_temp_c = entry.taken_l = __builtin_nan("");
    entry.reading.value = entry.strength.value = entry.spout.value = __builtin_nan("");
    entry.reading.unit = entry.strength.unit = entry.spout.unit = JL_UNIT_PCT_VOL;
    entry.time = entry.now = entry.fraction = entry.note = entry.jar = NULL;
    return entry;
}

#define JL_ENTRY (jl_entry_begin())

/* The units of a new log's columns. */
typedef enum jl_log_units {
    JL_LOG_PCT_C,  /* readings in % vol, temperatures in °C */
    JL_LOG_PROOF_F /* readings in US proof, temperatures in °F */
} jl_log_units;

/* A new run log: facts, then a header without jars. It is on the disk, whole, or not there. It is
 * read before it is put there, so that no log is made that cannot be read.
 *
 * Given:    path: where nothing may stand yet; facts, count: in order; "jarline" is put first; units
 * Returned: *fault, *trouble (may be NULL), whatever the status is
 * Errors:   JL_EXISTS, JL_IO, JL_MEMORY; JL_FORM (a text of more than one line, a key that is none);
 *           those of jl_run_read (what would be written; the fault names the line it would have)
 */
JL_API jl_status jl_run_create(const char *path, const jl_fact_entry *facts, size_t count,
                               jl_log_units units, jl_fault *fault, jl_trouble *trouble);

/* Reads a log and holds it locked against other writers, for whom it waits up to wait_s. Nothing in
 * the file changes before one of the functions below is called. Each of them reads what it is about
 * to write before it is put in place; when it returns JL_OK, that is on the disk and the record is
 * the changed log's, so that what jl_run_jar and others gave before is no longer valid. Otherwise
 * neither has changed, unless jl_run_trouble says uncertain; fault (may be NULL) has the figure or
 * cell, and the line it would have had, and what was expected. A last row that was cut off in a file
 * of ours is moved to PATH.torn-N first.
 *
 * Given:    path; wait_s: 0 or more, usually JL_WAIT_S
 * Returned: *run; *fault and *trouble (may be NULL) when the status is not JL_OK
 * Errors:   JL_BUSY; JL_INPUT (no such file, a folder); JL_EXISTS (read-only); as jl_run_read
 */
#define JL_WAIT_S 5.0
JL_API jl_status jl_run_open(const char *path, double wait_s, jl_run **run, jl_fault *fault,
                             jl_trouble *trouble);

/* Lets go of the log; the record stays, to be read. jl_run_free does that too. */
JL_API void jl_run_release(jl_run *run);

/* The number that the next jar gets: one more than the highest of those that count, as it stands on
 * the tape; the number of a jar that was taken back is free again. */
JL_API uint32_t jl_run_next_jar(const jl_run *run);

/* What an entry would be as a jar, before it is written: measured values, spirit, what has run.
 *
 * Given:    run; name: NULL for a new jar, or that of a jar which it would correct; entry;
 *           jar->size
 * Returned: *jar, without time, fraction and note; *fault (may be NULL): the figure
 * Errors:   as jl_run_add_jar for the name; JL_MISSING (no such jar, no volume, neither reading nor
 *           strength, a reading without a temperature); JL_RANGE, JL_NO_MIXTURE, JL_UNIT;
 *           JL_CONFLICT (reading and strength more than 0.2 % vol apart)
 */
JL_API jl_status jl_run_jar_of_entry(const jl_run *run, const char *name, const jl_entry *entry,
                                     jl_jar *jar, jl_fault *fault);

/* Adds a jar, with the file's own delimiter, line ends, columns and units; a figure that no column
 * can take gets a new one. A jar that was forgotten is given a name and stands in its place: "8a"
 * behind jar 8, or a number that was taken back.
 *
 * Errors:   JL_CONFLICT (a name that a jar has), JL_MISSING (no jar stands before it: 8a without 8, a
 *           number above the next);
 *           JL_IO, JL_BUSY (another program changed the file), JL_EXISTS (also: the record was not
 *           opened for writing), JL_MEMORY; JL_CONFLICT (a reading or strength on another scale than
 *           the log's); JL_FORM (a text of more than one line), JL_TOO_LONG; JL_RANGE (also: no
 *           number is left for a jar); as jl_run_read
 */
JL_API jl_status jl_run_add_jar(jl_run *run, const jl_entry *entry, jl_fault *fault);

/* Changes what is given of a jar that counts, and no other byte, but for a figure that says the same in
 * another way: a weight takes the volume out, a volume the weights, a strength the reading, a reading of
 * the spout the jar's own unless it stood beside one.
 *
 * Errors:   JL_MISSING (no such jar); as jl_run_add_jar
 */
JL_API jl_status jl_run_correct_jar(jl_run *run, const char *name, const jl_entry *entry,
                                    jl_fault *fault);

/* Takes a jar back: it stays in the file and no longer counts, and its number is free again.
 *
 * Given:    name; time: when, RFC 3339 with offset
 * Errors:   JL_MISSING (no such jar); as jl_run_add_jar
 */
JL_API jl_status jl_run_undo(jl_run *run, const char *name, const char *time, jl_fault *fault);

/* Gives jars their fraction, and changes no other byte.
 *
 * Given:    fractions: one for each jar of jl_run_jar
 * Returned: *changed: how many jars had another fraction before
 * Errors:   as jl_run_add_jar
 */
JL_API jl_status jl_run_mark(jl_run *run, const jl_fraction *fractions, size_t *changed,
                             jl_fault *fault);

/* Adds facts at the end of the log.
 *
 * Errors:   as jl_run_add_jar
 */
JL_API jl_status jl_run_add_facts(jl_run *run, const jl_fact_entry *facts, size_t count,
                                  jl_fault *fault);

/* Gives facts a value: changes those that stand in the log, removes those that have no value, adds
 * the others at the end.
 *
 * Given:    facts, count: at most 16
 * Errors:   as jl_run_add_jar
 */
JL_API jl_status jl_run_set_facts(jl_run *run, const jl_fact_entry *facts, size_t count,
                                  jl_fault *fault);

/* What is left in the boiler, as it was measured. NaN: not given. */
typedef struct jl_left {
    double volume_l, temp_c;
    jl_quantity strength; /* true strength: JL_UNIT_PCT_VOL or JL_UNIT_PROOF_US */
    jl_quantity reading;  /* what the instrument shows at temp_c: the same units */
} jl_left;

/* States what is left, in the place of what the log said of it before.
 *
 * Errors:   as jl_run_add_jar
 */
JL_API jl_status jl_run_set_left(jl_run *run, const jl_left *left, jl_fault *fault);

/* Whether more is said to be left in the boiler than can be, or stronger than it was charged.
 *
 * Given:    run; left: its volume or its reading, what is not asked about NaN
 * Returned: whether it is; then *most: l at 20 °C of the charge that were not collected, or % vol of the
 *           charge
 * Source:   a tenth of the charge more is not questioned: common practice, no source
 */
JL_API bool jl_run_left_slip(const jl_run *run, const jl_left *left, double *most);

/* Why the last change failed. */
JL_API jl_trouble jl_run_trouble(const jl_run *run);

/* ---- Mixing and bottling strength ------------------------------------------------------------ */

/* Two amounts together. Masses add; the volume of the result is less than the sum (contraction). */
JL_API jl_spirit jl_blend(jl_spirit a, jl_spirit b);

/* Contraction of a blend: the parts' volumes less the result's, at 20 °C.
 *
 * Given:    parts_l: sum of the parts' volumes at 20 °C; result
 * Returned: l; positive when mixing shrinks
 */
JL_API double jl_contraction_l(double parts_l, jl_spirit result);

/* Several times an amount, or a share of it.
 *
 * Given:    spirit; factor: 0 or more
 * Returned: the amount
 */
JL_API jl_spirit jl_spirit_times(jl_spirit spirit, double factor);

/* How much of another liquid brings an amount to a strength: water (mass fraction 0), a weaker
 * spirit, or a stronger one for a blend that came out too weak. A strength as % vol becomes a mass
 * fraction with jl_strength_to_mass_fraction.
 *
 * Given:    spirit: what is in hand; other_mass_fraction, target_mass_fraction: 0 to 1
 * Returned: *addition: the amount of the other liquid to add; none when the target is met already
 * Errors:   JL_NO (the target does not lie between the two, or is the other's own strength);
 *           JL_RANGE
 */
JL_API jl_status jl_bring_to(jl_spirit spirit, double other_mass_fraction,
                             double target_mass_fraction, jl_spirit *addition);

/* Two liquids and the strength wanted of them. */
typedef struct jl_dilution {
    double strong_mass_fraction; /* of the spirit in hand */
    double other_mass_fraction;  /* of what is added: 0 is water */
    double target_mass_fraction;
} jl_dilution;

/* How much spirit and how much water (or weaker spirit) make a wanted volume of a strength.
 *
 * Given:    d: mass fractions 0 to 1; volume_l: of the result at 20 °C, 1e-12 to 1e9 l
 * Returned: *spirit, *other: the two parts
 * Errors:   JL_NO (target not between the two), JL_RANGE
 */
JL_API jl_status jl_make_up(const jl_dilution *d, double volume_l, jl_spirit *spirit,
                            jl_spirit *other);

/* What a reading after mixing says. */
typedef struct jl_check {
    jl_spirit batch;    /* what is there now: all the alcohol that went in, at the strength found */
    bool too_weak;      /* weaker than the target: what is to be added is of the spirit in hand */
    jl_spirit addition; /* what is still to be added: of that spirit, or else of the other liquid */
    jl_spirit result;   /* batch and addition */
} jl_check;

/* How much more a mix needs, by a reading of it. No spirit was lost since: the alcohol is what went
 * in, so that its strength tells how much liquid there is.
 *
 * Given:    d: mass fractions 0 to 1; mixed: what went in; found_mass_fraction: above 0 to 1
 *           (jl_reading_to_mass_fraction)
 * Returned: *check
 * Errors:   JL_NO (no mix of the two has the strength found, or no amount of what is to be added
 *           brings it to the target); JL_RANGE
 */
JL_API jl_status jl_check_mix(const jl_dilution *d, jl_spirit mixed, double found_mass_fraction,
                              jl_check *check);

typedef struct jl_bottles {
    double full; /* a whole number */
    double left_over_l;
} jl_bottles;

/* Bottles that a volume fills.
 *
 * Given:    volume_l: 0 or more; bottle_l: above 0
 * Returned: full bottles and what is left over; NaN for a volume that is NaN
 */
JL_API jl_bottles jl_fill_bottles(double volume_l, double bottle_l);

/* ---- Uncertainty ----------------------------------------------------------------------------- */

/* How the uncertainty of an input is spread around its value. */
typedef enum jl_spread {
    JL_NORMAL,     /* width is a standard uncertainty: repeatability, a certificate's U / 2 */
    JL_RECTANGULAR /* width is half the whole width: a stated limit of ±, half a division */
} jl_spread;

typedef struct jl_input {
    double value; /* the best estimate */
    double width; /* 0 or more, in the unit of value */
    jl_spread spread;
} jl_input;

/* Figures as a function of inputs. It returns JL_OK and fills every figure with a finite number, or
 * says why these inputs have none. */
typedef jl_status jl_model(const double *inputs, double *figures, void *with);

/* What share of a long work is done, 0 to 1. Returning false ends the work with JL_END. */
typedef bool jl_progress(double done, void *with);

#define JL_INPUTS_MOST 10000

/* Any figures that come from inputs. A cause that several of them share (one instrument's error) is
 * one input that the model adds wherever it acts: that is how they are correlated. Inputs that were
 * estimated together carry a matrix of correlations. */
typedef struct jl_measurement {
    jl_model *model;
    void *with; /* handed to model */
    const jl_input *inputs;
    size_t input_count;        /* 1 to JL_INPUTS_MOST */
    size_t figure_count;       /* 1 to 1000 */
    const double *correlation; /* input_count rows of as many, 1 on the diagonal; NULL: none */
    jl_progress *progress;     /* NULL: none; used by jl_monte_carlo */
    void *progress_with;
} jl_measurement;

#define JL_COVERAGE_K 2.0 /* expanded uncertainty U = k u, about 95 % (JCGM 100, 6.3.3) */

typedef struct jl_uncertainty {
    double value;    /* of the figure at the best estimates */
    double standard; /* u, its standard uncertainty */
} jl_uncertainty;

/* Uncertainty to first order, by differences of the model itself one standard uncertainty to each
 * side of an input; at the edge of what the model takes, to the inner side only.
 *
 * Given:    m: as above
 *           shares: NULL, or figure_count rows of input_count: what part of the variance u² comes
 *           from each input; a row adds to 1, and is 0 where u is 0
 * Returned: *uncertainties: figure_count of them
 * Errors:   JL_RANGE (counts, a width, a correlation outside -1 to 1 or not symmetric); JL_NUMERIC
 *           (a figure that is not finite); JL_MEMORY; what the model says of the best estimates, or
 *           of both sides of one input
 * Source:   JCGM 100:2008 (GUM), 5.1.2, 5.1.3 note 2 and 5.2.2
 */
JL_API jl_status jl_first_order(const jl_measurement *m, double *shares,
                                jl_uncertainty *uncertainties);

/* What the draws of a Monte Carlo calculation say of one figure. */
typedef struct jl_drawn {
    double mean, standard;
    double low, high;                   /* 95 %, as much probability below as above */
    double shortest_low, shortest_high; /* the shortest interval of 95 % */
    size_t refused; /* draws that the model refused, the same for every figure; left out */
} jl_drawn;

/* Propagation of distributions by Monte Carlo. The same seed gives the same figures.
 *
 * Given:    m: as above; correlated inputs must be normal
 *           draws: 100 to 100000000; seed: of GSL's generator taus2
 * Returned: *drawn: figure_count of them
 * Errors:   as jl_first_order; JL_END (progress said so); the model's own status when it refuses
 *           more than half of the draws
 * Source:   JCGM 101:2008, 5.9 and 7
 */
JL_API jl_status jl_monte_carlo(const jl_measurement *m, size_t draws, uint32_t seed,
                                jl_drawn *drawn);

/* Whether first order is not enough for a figure: the two standard uncertainties differ by more
 * than 5 %, because the model is curved across the width of its inputs. */
JL_API bool jl_is_curved(jl_uncertainty first_order, jl_drawn drawn);

/* ---- Learning from runs: with everything uncertain that is -------------------------------------- */

/* A jar as learning takes it. The first jar of a run begins where the distillate began. What was not
 * written down is NaN; a volume there must be. */
typedef struct jl_learning_jar {
    double volume_l;       /* at 20 °C, above 0 */
    double volume_u_l;     /* its standard uncertainty as far as it is new in each jar, 0 or more */
    double strength_pct;   /* at 20 °C, 0 to 100 % vol */
    double strength_u_pct; /* the same of its reading, above 0 where there is a strength */
    double boiler_c, head_c; /* when it was full */
    double full_s;           /* when that was, in s from any moment */
    bool paused;             /* the heat was off for a while since the moment before */
} jl_learning_jar;

typedef struct jl_learning_run {
    const jl_learning_jar *jars;
    size_t count;
    double charge_l, charge_strength_pct; /* at 20 °C; as read: the model adds what is uncertain */
    double charge_share_u;                /* of reading the charge's vessel, a share, above 0 */
    double charge_strength_u_pct;         /* of the charge's strength, new in each run, above 0 */
    double readings_u_pct;     /* of all its readings beside the alcoholometer's limit; mostly 0 */
    bool other_instrument;     /* that strength is not by the jars' alcoholometer */
    bool charge_at_other_temp; /* it was read and corrected, by the jars' thermometer */
    double pressure_kpa, pressure_u_kpa; /* 30 to 110 kPa */
    double power_w;                      /* of the heating; NaN: not known */
    double loss_w, boiler_heat_j_k;      /* as in jl_still */
} jl_learning_run;

/* Standard uncertainties of what jars or runs have in common, each above 0. */
typedef struct jl_learning_widths {
    double alcoholometer_pct;  /* limit of the alcoholometer, in all readings */
    double thermometer_c;      /* limit of the spirit's thermometer */
    double thermometer_read_c; /* and what is new in each of its readings */
    double scale;              /* of the charge's vessel against the jars' jug, a share */
    double boiler_c, head_c;   /* limits of the still's thermometers */
    double still_read_c;       /* and what is new in each of their readings */
    double time_s;             /* of one moment */
    double shift;              /* of volatility, of vapour data: as jl_still.vapour_off_share */
} jl_learning_widths;

/* Instruments of ±0.5 % vol, ±1 °C and ±1 %, with divisions of 1 % vol and 0.5 °C; moments to the
 * minute: common practice, no source. */
JL_API extern const jl_learning_widths JL_LEARNING_WIDTHS;

/* By how much a thermometer of the still shows too much, checked in boiling water.
 *
 * Given:    shown_c: what it shows there; settings: with the air's pressure or an altitude, and the
 *           division of the thermometer
 * Returned: *offset_c; *standard_c: its standard uncertainty, by the division, and by 0.58 kPa of a
 *           barometer or 1 kPa of an average day (common practice, no source)
 * Errors:   JL_MISSING (neither pressure nor altitude), JL_RANGE (more than 20 °C off), JL_NUMERIC
 */
JL_API jl_status jl_thermometer_check(double shown_c, const jl_settings *settings, double *offset_c,
                                      double *standard_c);

/* What the instruments of some runs have in common: the charge's vessel is another than the jars' jug
 * unless a log says that it is the same. instruments: NULL for the usual ones. */
JL_API jl_learning_widths jl_run_widths(const jl_run *const *runs, size_t count,
                                        const jl_settings *instruments);

/* A record as it is learnt from.
 *
 * Given:    run; instruments: as above; jars: room for its jars
 * Returned: the run, on jars; a charge that is not stated is NaN
 */
JL_API jl_learning_run jl_run_learning(const jl_run *run, const jl_settings *instruments,
                                       jl_learning_jar *jars);

/* What is learnt of a still and of the instruments at it, for given stages. */
typedef enum jl_learnt_of {
    JL_LEARNT_SHARE, /* of the condensate that runs back, R / (R + 1): about it runs spread */
    JL_LEARNT_SHIFT, /* of volatility, as jl_still.vapour_off_share */
    JL_LEARNT_SCALE, /* by which charges are smaller than said, in the jug's litres */
    JL_LEARNT_ALCOHOLOMETER, /* by which it shows too much, % vol */
    JL_LEARNT_THERMOMETER,   /* by which the spirit's shows too much, °C */
    JL_LEARNT_BOILER,        /* by which the boiler's does */
    JL_LEARNT_HEAD,          /* and the head's */
    JL_LEARNT_LN_EFFICIENCY, /* of the heating */
    JL_LEARNT_COUNT
} jl_learnt_of;

enum { JL_LEARNT_STAGES_MOST = 32, JL_LEARNT_SPREADS = 5 };

/* The same, jointly normal, for one number of stages. With one stage there is no share. */
typedef struct jl_learnt_stages {
    double stages, weight;
    double mean[JL_LEARNT_COUNT];
    double covariance[JL_LEARNT_COUNT][JL_LEARNT_COUNT];
} jl_learnt_stages;

/* A still as far as it is known: a mixture over its stages, whose weights add to 1. */
typedef struct jl_learnt_still {
    size_t runs; /* that it was learnt from; 0: it was only said, or nothing is known */
    size_t count;
    jl_learnt_stages of[JL_LEARNT_STAGES_MOST]; /* in rising stages */
    bool any_share;                             /* nothing is known of the share */
    double spread_weight[JL_LEARNT_SPREADS]; /* of the share's standard deviation from run to run,
                                                   JL_LEARNT_SPREAD */
} jl_learnt_still;

JL_API extern const double JL_LEARNT_SPREAD[JL_LEARNT_SPREADS];

/* A still of which nothing is known.
 *
 * Given:    widths; efficiency: a guess, above 0, to 1
 * Returned: *still
 * Errors:   JL_RANGE
 * Source:   a pot with a chance of a quarter, the other stages alike, any share: common practice, no
 *           source
 */
JL_API jl_status jl_still_unknown(const jl_learning_widths *widths, double efficiency,
                                  jl_learnt_still *still);

/* A still as its owner says it is.
 *
 * Given:    stages: 1 to 100; share: 0 to 0.98, with its standard uncertainty, 0 or more
 * Returned: *still
 * Errors:   JL_RANGE
 */
JL_API jl_status jl_still_said(double stages, double share, double share_u,
                               const jl_learning_widths *widths, double efficiency,
                               jl_learnt_still *still);

/* The still of a record: as calibrate taught it, if start took that into the log, or else as the log
 * states it; one of which nothing is known where it states no stages.
 *
 * Given:    run; widths
 * Returned: *still
 * Errors:   JL_FORM, JL_RANGE
 */
JL_API jl_status jl_run_still(const jl_run *run, const jl_learning_widths *widths,
                              jl_learnt_still *still);

/* What is told of a still before it is learnt. */
typedef struct jl_learning_told {
    double efficiency; /* a guess, above 0, to 1 */
    double stages;     /* NaN: to be learnt */
    double share;      /* the same; runs spread about it */
    double spread;     /* one of JL_LEARNT_SPREAD; NaN: to be learnt */
} jl_learning_told;

/* Nothing but the usual guess of the heating's efficiency. */
JL_API extern const jl_learning_told JL_LEARNING_TOLD;

/* One run as the still looks now. */
typedef struct jl_learnt_run {
    jl_uncertainty share;
    jl_uncertainty charge_l, charge_strength_pct; /* as the jars tell them, in the jug's litres */
    double residual;      /* root mean square of the residuals in units of their uncertainty */
    bool counted_down;    /* it does not belong to the others, and weighs less */
    double *strength_pct; /* room for what each jar should have read; NULL: not wanted */
} jl_learnt_run;

/* A still from one or many of its runs: its stages by the evidence of the jars for each, for each
 * its share about which the runs' own spread, and what is uncertain of vapours, vessels and
 * instruments.
 *
 * Given:    runs, count: 1 or more, each of at least 3 jars with a strength; widths; told; progress:
 *           NULL for none
 * Returned: each: count of them; *still
 * Errors:   JL_RANGE; JL_MISSING (a run of fewer than 3 such jars); JL_END (progress said so);
 *           JL_MEMORY; JL_NUMERIC (no still is like that at all: readings far from any vapour)
 * Source:   linear about the best point for given stages, evidence by Laplace's method; spread of
 *           runs: half-normal of 0.03, from a reflux that varies by up to 10 % (common practice, no
 *           source)
 */
JL_API jl_status jl_learn_still(const jl_learning_run *runs, size_t count,
                                const jl_learning_widths *widths, const jl_learning_told *told,
                                jl_progress *progress, void *progress_with, jl_learnt_run *each,
                                jl_learnt_still *still);

enum { JL_LEARNT_ROW_BYTES = 800 };

/* A learnt still as rows of a file of settings or of a run log, with the room for their texts. */
typedef struct jl_learnt_rows {
    jl_fact_entry rows[JL_LEARNT_STAGES_MOST + 1];
    size_t count;
    char texts[JL_LEARNT_STAGES_MOST + 1][JL_LEARNT_ROW_BYTES];
} jl_learnt_rows;

/* A still as it is written down: learnt_runs with the runs and the weights of their spreads, then
 * learnt_stages for each number of stages, with its weight, standard deviations, means and
 * correlations in the order of jl_learnt_of.
 *
 * Given:    still
 * Returned: *rows; it points into itself: do not copy it
 * Errors:   JL_RANGE (it is no still)
 */
JL_API jl_status jl_learnt_write(const jl_learnt_still *still, jl_learnt_rows *rows);

/* And as it is read again.
 *
 * Given:    facts: of a file of settings or a run log
 * Returned: *still; *fault (may be NULL)
 * Errors:   JL_MISSING (nothing learnt stands there), JL_FORM, JL_RANGE
 */
JL_API jl_status jl_learnt_read(const jl_facts *facts, jl_learnt_still *still, jl_fault *fault);

/* A figure with its law: 95 % of it lies from low to high, as much below as above. NaN where there
 * is none. */
typedef struct jl_estimate {
    double value, low, high;
} jl_estimate;

/* What of a still can be said, and what its runs cannot tell. */
typedef struct jl_learnt_summary {
    double pot_weight;  /* that it is a plain pot, which has no share */
    bool pot;           /* that is at least a half */
    bool stages_told;   /* nine tenths of the weight lie within a quarter of these */
    double stages;      /* the most likely ones */
    bool share_told;    /* the interval is at most 0.15 wide, and it is no pot */
    jl_estimate share;  /* over all stages but a pot's */
    bool spread_told;   /* from three runs on, where it is half as uncertain as before */
    jl_estimate spread; /* of the share, from run to run */
    bool scale_told;    /* charges are not as said: by more than two standard deviations and 2 % */
    jl_estimate scale;  /* by which they are smaller, a share */
    bool efficiency_told; /* half as uncertain as a guess */
    jl_estimate efficiency;
} jl_learnt_summary;

/* Given:    still
 * Returned: *summary
 * Errors:   JL_RANGE (it is no still)
 */
JL_API jl_status jl_learnt_summarize(const jl_learnt_still *still, jl_learnt_summary *summary);

/* What is to be forecast of the rest of a run, or of all of it before its first jar. */
typedef struct jl_ahead_plan {
    double hearts_end_pct, stop_pct; /* at the spout, % vol at 20 °C, 0.1 to 100 */
    double jar_l;                    /* of the next jars, above 0 */
    size_t jar_count;                /* of next jars to forecast, 0 to 1000 */
} jl_ahead_plan;

/* Litres are the jug's. */
typedef struct jl_ahead {
    bool hearts_past, stop_past;         /* more likely than not: the figures of it are 0 then */
    jl_estimate hearts_l, hearts_pure_l; /* still to come until the hearts' end */
    jl_estimate stop_l, stop_pure_l;     /* until the stop */
    jl_estimate hearts_s, stop_s;        /* from from_s on; NaN: no clock and no power */
    double from_s;                       /* full_s of the last jar that has one; NaN: from the
                                                first drop on */
    jl_estimate charge_l, charge_strength_pct; /* as the jars tell them */
    jl_estimate share;                         /* of this run */
    double pot_weight;                         /* that the still is a pot */
} jl_ahead;

/* The rest of a run from its jars so far, their clock and their thermometers, on a still as far as
 * it is known; without a jar the whole run, as it is to be expected.
 *
 * Given:    run: its jars so far, may be none; still; widths; plan
 * Returned: next_pct: strengths of the next jars, plan->jar_count of them, 0 beyond what the boiler
 *           holds; *ahead
 * Errors:   JL_RANGE; JL_MEMORY; JL_NUMERIC (no still is like that)
 * Source:   evidence of the jars for each point of a grid of stages and share, all else linear and
 *           normal about it; the figures' laws are mixtures of normals, nothing is drawn
 */
JL_API jl_status jl_run_ahead(const jl_learning_run *run, const jl_learnt_still *still,
                              const jl_learning_widths *widths, const jl_ahead_plan *plan,
                              jl_estimate *next_pct, jl_ahead *ahead);

/* The same of a run that is planned, by its settings and the instruments of the bench (NULL: the usual
 * ones). Returned: *plan too. */
JL_API jl_status jl_plan_ahead(const jl_settings *settings, jl_spirit charge,
                               const jl_learnt_still *still, const jl_settings *instruments,
                               jl_ahead_plan *plan, jl_ahead *ahead);

/* Why a run's jars are not what they should be. */
typedef enum jl_cause {
    JL_CAUSE_NONE,     /* nothing is wrong with them */
    JL_CAUSE_SLIP,     /* the strength of one jar: a slip of the pen or of the eye */
    JL_CAUSE_MISSING,  /* a quarter of a jar to a whole one came over and was not written down */
    JL_CAUSE_PAUSE,    /* the heat was off for a while */
    JL_CAUSE_CHARGE,   /* its volume or its strength was not as said */
    JL_CAUSE_READINGS, /* all strengths are off by as much: of an alcoholometer or a temperature */
    JL_CAUSE_STILL,    /* its stages or its share were not as said */
    JL_CAUSES
} jl_cause;

/* One way in which a run may be wrong. */
typedef struct jl_suspicion {
    double share;     /* of all that speaks against a run without fault */
    size_t jar;       /* a slip: the jar's place, from 0; missing, a pause: behind so many jars */
    double jar_share; /* of what speaks for this cause, that it is there */
    bool jar_told;    /* that is at least 0.8 */
} jl_suspicion;

typedef struct jl_diagnosis {
    double odds;    /* that something is wrong, against nothing */
    bool flagged;   /* they are above 1 */
    jl_cause cause; /* that holds at least 0.8 of them; JL_CAUSE_NONE: none does, or not flagged */
    jl_suspicion of[JL_CAUSES];
    bool alike; /* an early jar missing and a weaker or smaller charge look alike here: name both */
    double strength_pct;                      /* that the jar of the slip should have, at 20 °C */
    double missing_jars;                      /* that are missing */
    double charge_l, charge_strength_pct;     /* that would fit, were it the charge; at 20 °C */
    double charge_l_u, charge_strength_u_pct; /* standard uncertainties of them */
    double readings_high_pct; /* by how much all strengths are too high, were it these, % vol */
} jl_diagnosis;

/* What may be wrong with a run, by the evidence of its jars, their clock and thermometers for each
 * cause; also while it runs.
 *
 * Given:    run: 1 jar or more; still: as it was said or learnt; widths
 * Returned: *diagnosis
 * Errors:   JL_RANGE; JL_MISSING (no jar with a strength); JL_MEMORY; JL_NUMERIC
 * Source:   chances before: a slip 1 in 100 a jar, a jar missing 1 in 200 a place, a pause 1 in 100,
 *           a wrong charge and another still 1 in 50 each, readings that are all off 1 in 100: common
 *           practice, no source
 */
JL_API jl_status jl_run_diagnose(const jl_learning_run *run, const jl_learnt_still *still,
                                 const jl_learning_widths *widths, jl_diagnosis *diagnosis);

/* ---- A still from the records of its runs ---- */

/* More runs tell no more of a still. */
#define JL_CALIBRATE_RUNS_MOST 200

typedef struct jl_calibrating {
    const jl_run *const *runs;
    size_t count;
    const jl_settings *instruments; /* NULL: the usual ones */
    jl_learning_told told;
    jl_progress *progress; /* NULL: none */
    void *progress_with;
} jl_calibrating;

typedef struct jl_calibration {
    size_t count, counted_down; /* runs, and those of them that do not belong to the others */
    jl_learnt_run *each;
    jl_diagnosis
        *suspicions; /* what may be wrong with each; of many runs only with those that do not
                                 fit well, the others are not flagged */
    jl_learning_widths widths; /* of the instruments */
    jl_learnt_still still;
    jl_learnt_summary summary;
    size_t balances;              /* runs of which what is left was measured */
    jl_uncertainty not_recovered; /* of the alcohol charged, by them; NaN: there are none */
    jl_ahead_plan next;           /* a run like the last of them */
    jl_ahead ahead,
        ahead_unknown; /* what is to be expected of it: on this still, and on one of which
                                      nothing is known */
} jl_calibration;

/* Given:    of
 * Returned: *calibration, to be freed by jl_calibration_free; *fault: the place of the run that is at
 *           fault, or their number
 * Errors:   JL_TOO_LONG (more than JL_CALIBRATE_RUNS_MOST); of a run JL_MISSING (no charge, fewer than
 *           3 jars), JL_NO (its jars are all alike), JL_RANGE; and as jl_learn_still
 */
JL_API jl_status jl_calibrate(const jl_calibrating *of, size_t *fault,
                              jl_calibration **calibration);
JL_API void jl_calibration_free(jl_calibration *calibration);

/* What the still's file states beside what jl_learnt_write writes: the most likely stages with their
 * reflux, the efficiency, and every setting in which the runs agree. */
JL_API void jl_calibration_settings(const jl_calibrating *of, const jl_calibration *calibration,
                                    jl_settings *settings);

/* ---- The rest of a record's run --------------------------------------------------------------- */

/* From where a record's still is known. */
typedef enum jl_still_from {
    JL_STILL_UNKNOWN, /* its log names no stages */
    JL_STILL_SAID,    /* it says stages, and what runs back */
    JL_STILL_LEARNT   /* it has what calibrate learnt */
} jl_still_from;

/* The rest of a record's run. */
typedef struct jl_outlook {
    jl_spout_end hearts_end, stop;
    jl_ahead_plan plan;
    jl_still_from still_from;
    double share_said_u; /* standard uncertainty of a share that is said; NaN: it is not */
    jl_diagnosis diagnosis;
    jl_ahead ahead; /* without what was found wrong, where one cause holds and its jar is told */
    bool clock;     /* a jar has its moment, and the pace is known */
    jl_time from;   /* of the last such jar */
    jl_estimate hearts_end_at, stop_at; /* as jl_time.unix_s; NaN: no clock, or past */
} jl_outlook;

#define JL_REST_LEAST_PCT 0.5  /* a rest is told of a charge above it, */
#define JL_REST_MOST_PCT  90.0 /* and below that */

/* Whether a record has what its rest needs: such a charge, a jar, and no more in its
 * jars than was charged. */
JL_API bool jl_run_rest_possible(const jl_run *run);

/* The rest of a run, forecast from its jars and the still as far as its log knows it.
 *
 * Given:    run; instruments: that its jars were measured with, NULL for the usual ones; next_count:
 *           of jars to forecast, 0 to 1000
 * Returned: next_pct: their strengths, NaN beyond what the boiler holds; *outlook
 * Errors:   as jl_run_ahead and jl_run_still; JL_MISSING (not possible)
 */
JL_API jl_status jl_run_rest(const jl_run *run, const jl_settings *instruments, size_t next_count,
                             jl_estimate *next_pct, jl_outlook *outlook);

/* A record's whole run as it was to be expected before its first jar, up to its stop.
 *
 * Given:    run; instruments: as above; count: into so many slices of one volume, 1 to 1000
 * Returned: pct: their strengths; *slice_l: that volume, at 20 °C
 * Errors:   as jl_run_ahead and jl_run_still; JL_MISSING (no charge of 0.5 to 90 % vol is stated); JL_NO
 *           (it stops with its first drop)
 */
JL_API jl_status jl_run_expected_slices(const jl_run *run, const jl_settings *instruments,
                                        size_t count, jl_estimate *pct, double *slice_l);

/* What may be wrong with a record's run. A jar is named by its place, as in jl_run_jar.
 *
 * Given:    run; instruments: as above
 * Returned: *diagnosis
 * Errors:   as jl_run_diagnose and jl_run_still; JL_MISSING (not possible)
 */
JL_API jl_status jl_run_suspect(const jl_run *run, const jl_settings *instruments,
                                jl_diagnosis *diagnosis);

/* From which jar on a record shows that its still is another than its log says.
 *
 * Given:    run; instruments: as above
 * Returned: *place, as in jl_run_jar
 * Errors:   as jl_run_suspect; JL_NO (it does not show that)
 */
JL_API jl_status jl_run_other_still(const jl_run *run, const jl_settings *instruments,
                                    size_t *place);

#ifdef __cplusplus
}
#endif

#endif
