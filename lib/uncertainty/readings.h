/* What is read on instruments, with all that may be off in it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An instrument's own error is one input of the budget for all that is read with it; its division and
 * its repeatability are new with each reading. */
#ifndef JL_READINGS_H
#define JL_READINGS_H

#include "keys/settings.h"
#include "uncertainty/budget.h"

/* By what something is measured. */
typedef enum jl_instrument {
    JL_BY_ALCOHOLOMETER,
    JL_BY_THERMOMETER,
    JL_BY_JUG,
    JL_BY_SCALE,
    JL_BY_HYDROMETER,
    JL_BY_VESSEL /* what a charge is measured in, if it is not the jug */
} jl_instrument;

/* Why a value read on an instrument may be off. The first two are common to all its readings, the
 * others are new in each. */
typedef enum jl_width {
    JL_LIMIT,         /* ±, of its class or its maker */
    JL_CERTIFICATE,   /* its certificate's expanded uncertainty (k = 2), in the place of a limit */
    JL_DIVISION,      /* it is read to the nearest division */
    JL_REPEATABILITY, /* standard uncertainty of the same reading taken again */
} jl_width;

#define JL_INSTRUMENTS (JL_BY_VESSEL + 1)
#define JL_WIDTHS      (JL_REPEATABILITY + 1)

/* Widths are in % vol, °C, l, kg and SG; of a jug, a scale and a vessel the first two
 * are shares, of a vessel the last too. 0: none. */
typedef struct jl_instruments {
    double width[JL_INSTRUMENTS][JL_WIDTHS];
    bool stated[JL_INSTRUMENTS][JL_WIDTHS];
    const char *source[JL_INSTRUMENTS][JL_WIDTHS]; /* of the settings; NULL: none, or not stated */
} jl_instruments;

/* What an alcoholometer is permitted to be off by, by the division of its scale in % vol (calibration
 * orders of the German Reich, 1885 and 1907). A division between two has the limit of the coarser. */
double jl_alcoholometer_limit_pct(double division_pct);

/* The key of a width. */
jl_key_id jl_width_key(jl_instrument which, jl_width what);

/* settings: NULL for the usual ones. */
jl_instruments jl_settings_to_instruments(const jl_settings *settings);

/* It has this division, and with it the limit that it may have, unless that is stated. */
void jl_instrument_divide(jl_instruments *in, jl_instrument which, double division);

/* Variance of what is common to all readings of an instrument, or new in each. */
double jl_instrument_variance(const jl_instruments *in, jl_instrument which, bool common);

/* The share by which a volume read on a vessel may be off, new in each reading: its variance. */
double jl_vessel_own_variance(const jl_instruments *in, double volume_l);

/* Standard uncertainties of an amount that is measured once: its volume in the jug, its strength with
 * alcoholometer and thermometer. */
typedef struct jl_standards {
    double volume_l, strength_pct, pure_alcohol_l;
    double stated_pct; /* of a strength at 20 °C that is stated, without a temperature of its own */
    double water_share; /* of the water that brings a strength so read to another */
} jl_standards;

jl_standards jl_amount_standards(const jl_instruments *in, double volume_l, double strength_pct);

/* The instruments of one question. Begin with instruments and budget alone. */
typedef struct jl_measuring {
    jl_instruments instruments;
    jl_budget *budget; /* NULL: what is read counts as exact */
    bool used[JL_INSTRUMENTS];
    size_t common[JL_INSTRUMENTS][JL_WIDTHS]; /* place + 1 of an instrument's own error */
} jl_measuring;

/* An uncertainty of its own, of what is not read on an instrument. Returns its place among the inputs
 * + 1; 0: there is none. */
size_t jl_measure_deviation(jl_measuring *by, const char *cause, double width, jl_spread spread);

/* Something read. scale: what a deviation of the instrument's own unit makes in value's unit: 2 for
 * proof, 1 otherwise. */
typedef struct jl_measured {
    double value, scale;
    size_t inputs[JL_WIDTHS]; /* place + 1; 0: none */
    bool share;               /* common errors are a share of the value */
    double near;              /* how much of them it has; the others are its own: */
    size_t apart[JL_WIDTHS];  /* place + 1 */
} jl_measured;

jl_measured jl_measure(jl_measuring *by, jl_instrument which, double value, double scale);

/* The same at another place of the instrument's scale: near, 1 to 0, is how far its error there goes
 * with the one that is common. */
jl_measured jl_measure_apart(jl_measuring *by, jl_instrument which, double value, double scale,
                             double near);

/* x: the inputs of a model; NULL for the best estimates. */
double jl_measured_at(const jl_measured *measured, const double *x);

/* A strength, read or stated: a stated one is as uncertain as a reading at 20 °C. */
jl_measured jl_measure_strength(jl_measuring *by, jl_quantity strength);

/* An amount as it was written, and what its reading was taken with. */
typedef struct jl_measured_amount {
    jl_amount amount;
    jl_alcoholometer instrument;
    jl_measured size, strength, temp;
} jl_measured_amount;

jl_measured_amount jl_measure_amount(jl_measuring *by, jl_amount amount,
                                     const jl_alcoholometer *instrument);
/* The same of an amount of which it is known by what its size was measured, and of a strength whose
 * standard uncertainty is known, u_pct: a wash's. 0 or NaN: it is not. */
jl_measured_amount jl_measure_amount_known(jl_measuring *by, jl_instrument size_by,
                                           jl_amount amount, const jl_alcoholometer *instrument,
                                           double u_pct);
jl_status jl_measured_amount_at(const jl_measured_amount *measured, const double *x,
                                jl_spirit *spirit);

/* How far the strength of a mixture may be off that is read at 20 °C: its standard uncertainty in % vol.
 * Errors: JL_MEMORY; as jl_reading_to_mass_fraction */
jl_status jl_strength_standard_pct(const jl_instruments *instruments, double strength_pct,
                                   double *standard_pct);

/* Several of them mixed. parts_l: the sum of their volumes at 20 °C. */
jl_status jl_measured_blend_at(const jl_measured_amount *parts, size_t count, const double *x,
                               jl_spirit *all, double *parts_l);

#endif
