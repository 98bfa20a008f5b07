/* The instruments of the bench: what each can be off by.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A file of facts names them (--instrument FILE). What it leaves out is common practice, no source,
 * and the answer lists it. */
#ifndef JARLINE_INSTRUMENTS_H
#define JARLINE_INSTRUMENTS_H

#include "answer/show.h"
#include "jarline.h"

typedef enum instrument_kind { ALCOHOLOMETER, THERMOMETER, JUG, SCALE, HYDROMETER } instrument_kind;
#define INSTRUMENTS (HYDROMETER + 1)

/* Why a value read on an instrument may be off. The first two are common to all its readings, the
 * others are new in each. */
typedef enum fault_of {
    LIMIT,         /* ±, of its class or its maker */
    CERTIFICATE,   /* its certificate's expanded uncertainty (k = 2), in the place of a limit */
    DIVISION,      /* it is read to the nearest division */
    REPEATABILITY, /* standard uncertainty of the same reading taken again */
} fault_of;
#define FAULTS (REPEATABILITY + 1)

/* Widths are in % vol, °C, l, kg and SG; of a jug and a scale the first two are shares. 0: none. */
typedef struct instruments {
    double width[INSTRUMENTS][FAULTS];
    bool stated[INSTRUMENTS][FAULTS];
    jl_alcoholometer alcoholometer; /* JL_ALCOHOLOMETER and what the file corrects */
} instruments;

/* The file's instruments, or the defaults alone when file is NULL. Returns the exit status, or 0.
 */
int instruments_read(const char *file, instruments *in);

/* What was taken of an instrument, and whether it was stated. */
void assume_instrument_uncertainty(show *s, const instruments *in, instrument_kind which);

#endif
