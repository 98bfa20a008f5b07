/* Jarline: alcoholometry, run forecasts and the run log of a small still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * This header is a tour in the order of the job: what a function answers with (status, fault),
 * numbers with units, density of ethanol and water, a reading, an amount of spirit, mixing and
 * dilution.
 *
 * Three rules hold everywhere.
 * - A function that can fail returns a jl_status and writes its result through its last pointer
 * only when it returns JL_OK. Nothing is printed, the process is never ended, there is no mutable
 * global state: any function may be called from any thread.
 * - A name carries its unit when its type does not: volume_l, temp_c, strength_pct. A strength in
 *   % vol without more words holds at 20 °C. A mass fraction is kg of ethanol per kg of mixture.
 * - NaN and infinities are refused (JL_RANGE), never passed on.
 *
 * The library uses GSL and checks ranges before it calls it, but GSL's default error handler ends
 * the process. Call gsl_set_error_handler_off() once, before you start threads.
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
    JL_NUMBER                  /* no unit at all */
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
 * Errors:   JL_FORM (not a number; also "nan", "inf", hexadecimal), JL_AMBIGUOUS, JL_RANGE
 * (overflow)
 */
JL_API jl_status jl_decimal_read(const char *text, size_t length, jl_comma comma, double *value);

/* A number and its unit, with or without a space, in any letter case: "500ml", "72.5 %", "2h30".
 *
 * Given:    text: NUL-terminated; kind: what it is to be read as
 * Returned: *quantity: value in the unit of its kind, and the scale. Signs are kept; ranges are the
 *           business of the function that takes the value, except that a value no quantity of the
 * kind can have is refused (a negative volume, a strength above 100 %) Errors:   JL_FORM, JL_UNIT
 * (no unit or an unknown one), JL_AMBIGUOUS ("1,000ml"), JL_RANGE Source:   US gallon 231 in³,
 * inch 25.4 mm, pound 0.45359237 kg (NIST SP 811); imperial gallon 4.54609 l (Weights and Measures
 * Act 1985); mmHg 133.322387415 Pa, foot 0.3048 m (SP 811)
 */
JL_API jl_status jl_quantity_read(const char *text, jl_kind kind, jl_quantity *quantity);

/* The forms that jl_quantity_read accepts for a kind, for a message.
 *
 * Given:    kind
 * Returned: a static text such as "500ml, 0.5l, 2gal (US), 2impgal"
 */
JL_API const char *jl_quantity_forms(jl_kind kind);

/* A number as text, with a point in every locale and without a negative zero.
 *
 * Given:    value: finite; decimals: 0 to 17; size: bytes at text, 32 are always enough below 1e9
 * Returned: text: NUL-terminated
 * Errors:   JL_RANGE (not finite, decimals out of range, text too small)
 */
JL_API jl_status jl_decimal_write(double value, int decimals, char *text, size_t size);

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
 * Given:    strength_pct: 0 to 100 % vol; reference_c: the temperature at which it holds, -20 to 40
 * °C Returned: *mass_fraction: 0 to 1 Errors:   JL_RANGE Source:   OIML R 22 (1975); bracketed
 * Newton steps
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
#define JL_ALCOHOLOMETER ((jl_alcoholometer){__builtin_nan(""), 25e-6, 0, 0})

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
 * Given:    volume_l: above 0, to 1e9 l, measured at temp_c; mass_fraction: 0 to 1; temp_c: -20 to
 * 40 °C Returned: *spirit Errors:   JL_RANGE Source:   OIML R 22
 */
JL_API jl_status jl_spirit_from_volume(double volume_l, double mass_fraction, double temp_c,
                                       jl_spirit *spirit);

/* Spirit from a mass in kg.
 *
 * Given:    mass_kg: above 0, to 1e9 kg (see jl_mass_from_scale_kg for a scale's reading);
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
    double temp_c;        /* 20 unless measured */
} jl_amount;

/* "3.2L@72%", "3.2L@72.5%@24C" (a reading at a temperature), "2.8kg@72%", "2.8kg@72.5%@24C" (mass
 * as a scale in air shows it).
 *
 * Given:    text: NUL-terminated
 * Returned: *amount; *fault (may be NULL), when it fails: its cell and what was expected
 * Errors:   JL_FORM, JL_UNIT, JL_AMBIGUOUS, JL_RANGE
 */
JL_API jl_status jl_amount_read(const char *text, jl_amount *amount, jl_fault *fault);

/* What a written amount is.
 *
 * Given:    amount; instrument: for a reading, its thermometer for the temperature of the volume
 * too Returned: *spirit Errors:   JL_UNIT, JL_RANGE, JL_NO_MIXTURE, JL_CONFLICT
 */
JL_API jl_status jl_amount_spirit(const jl_amount *amount, const jl_alcoholometer *instrument,
                                  jl_spirit *spirit);

/* Both in one: the spirit that a text names.
 *
 * Given:    text: NUL-terminated; instrument: for readings
 * Returned: *spirit; *fault (may be NULL), when it fails: its cell and what was expected
 * Errors:   those of jl_amount_read and jl_amount_spirit
 */
JL_API jl_status jl_spirit_read(const char *text, const jl_alcoholometer *instrument,
                                jl_spirit *spirit, jl_fault *fault);

/* Views of an amount. They hold for any amount whose parts are finite, not negative, and not both
 * 0.
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
 * Returned: kg; NaN outside the range
 * Source:   OIML D 28 (2004): conventional mass, air 1.2 kg/m³, weights 8000 kg/m³
 */
JL_API double jl_scale_from_mass_kg(double mass_kg, double density_kg_m3);
JL_API double jl_mass_from_scale_kg(double scale_kg, double density_kg_m3);

/* Flash point of a spirit, closed cup, approximate by nature: it depends on the method.
 *
 * Given:    strength_pct: 10 to 96 % vol at 20 °C
 * Returned: *flash_point_c in °C, linear between the quoted points
 * Errors:   JL_RANGE
 * Source:   quoted second-hand, the same series as NFPA 325; reference/flash-point.csv
 */
JL_API jl_status jl_flash_point_c(double strength_pct, double *flash_point_c);

/* ---- Mixing and bottling strength ------------------------------------------------------------ */

/* Two amounts together. Masses add; the volume of the result is less than the sum (contraction). */
JL_API jl_spirit jl_blend(jl_spirit a, jl_spirit b);

/* Contraction of a blend: the parts' volumes less the result's, at 20 °C.
 *
 * Given:    parts_l: sum of the parts' volumes at 20 °C; result
 * Returned: l; positive when mixing shrinks
 */
JL_API double jl_contraction_l(double parts_l, jl_spirit result);

/* How much of another liquid brings an amount to a strength: water (other 0), a weaker spirit, or a
 * stronger one for a blend that came out too weak.
 *
 * Given:    spirit: what is in hand; other, target: mass fractions 0 to 1
 * Returned: *addition: the amount of the other liquid to add; none when the target is met already
 * Errors:   JL_NO (the target does not lie between the two, or is the other's own strength);
 *           JL_RANGE
 */
JL_API jl_status jl_bring_to(jl_spirit spirit, double other, double target, jl_spirit *addition);

/* How much spirit and how much water (or weaker spirit) make a wanted volume of a strength.
 *
 * Given:    strong, weak, target: mass fractions 0 to 1; volume_l: of the result at 20 °C, above 0
 * Returned: *spirit, *other: the two parts
 * Errors:   JL_NO (target not between the two), JL_RANGE
 */
JL_API jl_status jl_make_up(double strong, double weak, double target, double volume_l,
                            jl_spirit *spirit, jl_spirit *other);

/* ---- Uncertainty ----------------------------------------------------------------------------- */

/* How the doubt about an input is spread around its value. */
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

/* Any figures that come from inputs. A cause that several of them share (one instrument's error) is
 * one input that the model adds wherever it acts: that is how they are correlated. Inputs that were
 * estimated together carry a matrix of correlations. */
typedef struct jl_measurement {
    jl_model *model;
    void *with; /* handed to model */
    const jl_input *inputs;
    size_t input_count;        /* 1 to 10000 */
    size_t figure_count;       /* 1 to 1000 */
    const double *correlation; /* input_count rows of as many, 1 on the diagonal; NULL: none */
    jl_progress *progress;     /* NULL: none; used by jl_monte_carlo */
    void *progress_with;
} jl_measurement;

#define JL_COVERAGE_K 2.0 /* expanded uncertainty U = k u, about 95 % (JCGM 100, 6.3.3) */

typedef struct jl_doubt {
    double value;    /* of the figure at the best estimates */
    double standard; /* u, its standard uncertainty */
} jl_doubt;

/* Uncertainty to first order, by differences of the model itself one standard uncertainty to each
 * side of an input; at the edge of what the model takes, to the inner side only.
 *
 * Given:    m: as above
 *           shares: NULL, or figure_count rows of input_count: what part of the variance u² comes
 *           from each input; a row adds to 1, and is 0 where u is 0
 * Returned: *doubts: figure_count of them
 * Errors:   JL_RANGE (counts, a width, a correlation outside -1 to 1 or not symmetric); JL_NUMERIC
 *           (a figure that is not finite); JL_MEMORY; what the model says of the best estimates, or
 *           of both sides of one input
 * Source:   JCGM 100:2008 (GUM), 5.1.2, 5.1.3 note 2 and 5.2.2
 */
JL_API jl_status jl_first_order(const jl_measurement *m, double *shares, jl_doubt *doubts);

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
 *           draws: 100 to 100000000; seed: of GSL's generator mt19937
 * Returned: *drawn: figure_count of them
 * Errors:   as jl_first_order; JL_END (progress said so); the model's own status when it refuses
 *           more than half of the draws
 * Source:   JCGM 101:2008, 5.9 and 7
 */
JL_API jl_status jl_monte_carlo(const jl_measurement *m, size_t draws, uint32_t seed,
                                jl_drawn *drawn);

/* Whether first order is not enough for a figure: the two standard uncertainties differ by more
 * than 5 %, because the model is curved across the width of its inputs. */
JL_API bool jl_is_curved(jl_doubt first_order, jl_drawn drawn);
/* ---- Boiling --------------------------------------------------------------------------------- */

#define JL_PRESSURE_MIN_KPA 30.0
#define JL_PRESSURE_MAX_KPA 110.0
#define JL_PRESSURE_KPA     101.325 /* sea level, U.S. Standard Atmosphere 1976 */

/* A liquid of ethanol and water at its boiling point and the vapour over it: mole fractions of
 * ethanol. */
typedef struct jl_boiling {
    double x; /* in the liquid */
    double y; /* in the vapour */
    double temp_c;
} jl_boiling;

/* Boiling point and vapour of a liquid.
 *
 * Given:    x: mole fraction of ethanol in the liquid, 0 to 1; pressure_kpa: 30 to 110 kPa
 * Returned: *boiling
 * Errors:   JL_RANGE, JL_NUMERIC
 * Source:   ideal vapour; NRTL with parameters fitted to reference/vle-*.csv and azeotrope.csv by
 *           reference/fit-nrtl; vapour pressures by DIPPR 101 (Perry's handbook, 8th ed., table
 *           2-8). Published vapours differ among themselves by up to 0.018 in y.
 */
JL_API jl_status jl_boil(double x, double pressure_kpa, jl_boiling *boiling);

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
JL_API double jl_mass_fraction_from_mole(double x);

/* Specific heat of a liquid and latent heat of its vapour, where the vapour has the mass fraction.
 *
 * Given:    mass_fraction: 0 to 1; temp_c: 0 to 120 °C
 * Returned: kJ/(kg K); kJ/kg
 * Errors:   JL_RANGE
 * Source:   DIPPR 100 and 106 for the parts; what a mixture holds more from Perry's handbook, 7th
 *           ed., table 2-20x, carried on beyond 41 °C along its own line
 */
JL_API jl_status jl_heat_capacity_kj_kg_k(double mass_fraction, double temp_c, double *kj_kg_k);
JL_API jl_status jl_latent_heat_kj_kg(double mass_fraction, double temp_c, double *kj_kg);

/* @@ next section @@ */

#ifdef __cplusplus
}
#endif

#endif
