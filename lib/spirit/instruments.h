/* The instruments of the bench: what corrects them, and what each can be off by.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_INSTRUMENTS_H
#define JL_INSTRUMENTS_H

#include "keys/settings.h"

/* By what something is measured. */
typedef enum jl_instrument {
    JL_BY_ALCOHOLOMETER,
    JL_BY_THERMOMETER,
    JL_BY_JUG,
    JL_BY_SCALE,
    JL_BY_HYDROMETER
} jl_instrument;

/* Why a value read on an instrument may be off. The first two are common to all its readings, the
 * others are new in each. */
typedef enum jl_width {
    JL_LIMIT,         /* ±, of its class or its maker */
    JL_CERTIFICATE,   /* its certificate's expanded uncertainty (k = 2), in the place of a limit */
    JL_DIVISION,      /* it is read to the nearest division */
    JL_REPEATABILITY, /* standard uncertainty of the same reading taken again */
} jl_width;

#define JL_INSTRUMENTS (JL_BY_HYDROMETER + 1)
#define JL_WIDTHS      (JL_REPEATABILITY + 1)

/* Widths are in % vol, °C, l, kg and SG; of a jug and a scale the first two are shares. 0: none. */
typedef struct jl_instruments {
    double width[JL_INSTRUMENTS][JL_WIDTHS];
    bool stated[JL_INSTRUMENTS][JL_WIDTHS];
    jl_alcoholometer alcoholometer;
} jl_instruments;

/* The key of a width. */
jl_key_id jl_width_key(jl_instrument which, jl_width what);

jl_instruments jl_settings_to_instruments(const jl_settings *settings);

/* Variance of what is common to all readings of an instrument, or new in each. */
double jl_instrument_variance(const jl_instruments *in, jl_instrument which, bool common);

#endif
