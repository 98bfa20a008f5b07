/* The page of a run: what it says, apart from how it looks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REPORT_H
#define JARLINE_REPORT_H

#include "answer/bytes.h"
#include "answer/table.h"
#include "picture/marks.h"
#include "picture/run_read.h"

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
    const run_record *run;
    char *facts; /* "2026-10-17 09:05 · charge 10 l at ..." */
    report_part jars, fractions, balance, dilution, uncertainty;
    report_sentences notes, cautions, sources;
} report;

/* jars_most: rows of the jar table; a longer run has several jars in a row. Returns the exit
 * status, or 0; the report is to be freed in any case. */
int report_fill(const run_record *run, const report_plan *plan, size_t jars_most, report *r);
void report_free(report *r);

struct table *report_table(report_part *part, const char *heading, const column *columns,
                           size_t count);
void page_sentence(report_sentences *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Parts of report_fill. */
void report_jars(const run_record *run, size_t most, report *r);
int report_dilution(const run_record *run, const report_plan *plan, report *r);
int report_uncertainty(const run_record *run, const report_plan *plan, report *r);

/* One page; width and height in points. */
void report_page(const report *r, double width, double height, sheet *s);

/* Rows of jars that a page has room for. */
enum { REPORT_PAGE_JARS = 24 };

/* One file. chart: a picture as SVG; width and height in points, for printing. */
void report_html(const report *r, const bytes *chart, double width, double height, bytes *b);

#endif
