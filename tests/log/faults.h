/* System calls of the library that fail when a test says so. The linker leads them here (--wrap).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FAULTS_H
#define JARLINE_FAULTS_H

#include <stdbool.h>

/* error: errno, or one of these. */
enum {
    HALF = -1,   /* the call does half of its bytes */
    NOTHING = -2 /* it does none of them, and says so */
};

typedef struct fault_call {
    const char *call; /* NULL: none */
    int nth;          /* from 1 on, from faults_begin on */
    int error;
    bool stays; /* later ones fail too */
} fault_call;

enum { FAULTS_MOST = 2 };

/* Until faults_end, which says whether all of them came about. */
void faults_begin(const fault_call faults[FAULTS_MOST]);
bool faults_end(void);

#endif
