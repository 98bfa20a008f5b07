/* The page of a run: what it says, apart from how it looks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REPORT_CONTENTS_H
#define JARLINE_REPORT_CONTENTS_H

#include "answer/table.h"
#include "picture/run_picture.h"

/* A table with what stands above it; without a table there is none. */
typedef struct report_part {
    const char *heading;
    struct table *table;
} report_part;

enum { REPORT_SENTENCES_MOST = 12 };

typedef struct report_sentences {
    const char *heading;
    char *text[REPORT_SENTENCES_MOST];
    size_t count;
} report_sentences;

/* What the page is asked for. */
typedef struct report_plan {
    double target;           /* bottling strength, a mass fraction */
    bool target_default;     /* not asked for */
    double bottle_l;         /* 0: none */
    const char *instruments; /* a file of instruments; NULL: none */
} report_plan;

typedef struct report {
    const run_picture *run;
    char *facts; /* "2026-10-17 09:05 · charge 10 l at ..." */
    report_part jars, fractions, balance, dilution, uncertainty;
    report_sentences notes, cautions, sources;
} report;

/* jars_most: rows of the jar table; a longer run has several jars in a row. Returns the exit
 * status, or 0; the report is to be freed in any case. */
int report_fill(const run_picture *run, const report_plan *plan, size_t jars_most, report *r);
void report_free(report *r);

#endif
