/* What went into a run and what came out of it, as it was measured.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BALANCE_H
#define JARLINE_BALANCE_H

#include "answer/show.h"
#include "run/run.h"
#include "uncertainty/readings.h"

/* A jar of a fraction, or: */
enum { IN_CHARGE = JL_FRACTIONS, IN_LEFT };

typedef struct balance_part {
    jl_measured_amount amount;
    int place;
    /* As it was last computed: most inputs of a budget leave most parts as they are. */
    bool known;
    double last[3]; /* size, strength, temperature */
    jl_spirit spirit;
} balance_part;

/* Begin with zeros; the caller frees the parts. */
typedef struct balance {
    balance_part *parts;
    size_t count, room;
} balance;

void balance_measure(balance *b, jl_measuring *by, const jl_run *run);
jl_status balance_part_at(balance_part *part, const double *x, jl_spirit *spirit);

/* Standard uncertainty, in L, of the pure alcohol that is missing; 0: of more jars than a run has. */
double balance_missing_u_l(const jl_run *run, const jl_instruments *instruments);

/* Of the pure alcohol charged, for its digits: its strength may be known to so much. */
double charge_pure_standard(const jl_run *run);

/* Of what was expected of it: as a share of itself as the charge. */
double expected_pure_standard(const jl_run *run, double expected_pure_l);

/* Where more was collected than the balance may be out (k = 2). */
void warn_of_recovery(show *s, const jl_recovery *r, double missing_u_l);

/* Where what is left in the boiler is not what the jars left of the charge. */
void warn_of_left(show *s, const jl_recovery *r);

#endif
