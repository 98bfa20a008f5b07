/* What the two files of dilute share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DILUTE_H
#define JARLINE_DILUTE_H

#include "answer/uncertain.h"

/* The words of the command line, read. */
typedef struct plan {
    const char *to_text;
    double strong;   /* mass fraction of what is in hand */
    double target;   /* mass fraction wanted */
    double other;    /* mass fraction of what is added; 0: water */
    double other_c;  /* its temperature */
    bool with_other; /* a weaker spirit instead of water */
    double bottle_l; /* 0: none */
    int steps;       /* 0: in one go */
} plan;

/* A reading after mixing. */
typedef struct check {
    jl_quantity reading;
    double temp_c;
    double now; /* the mass fraction that it means */
} check;

/* What is measured out, as it was written. */
typedef struct dilution {
    const plan *plan;
    const jl_alcoholometer *instrument;
    jl_amount spirit;
    jl_quantity other;  /* strength of the weaker spirit */
    jl_spirit addition; /* as planned; it is weighed */
    const check *check; /* NULL: none */
} dilution;

/* The doubt about the result, when the planned addition is weighed in. Returns the exit status, or
 * 0. */
int dilute_uncertainty(show *s, uncertainty *d, const dilution *in);

#endif
