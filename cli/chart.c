/* chart: a run as a picture.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "chart.h"
#include "args.h"
#include "chart_text.h"
#include "command.h"
#include "paper.h"
#include "run_read.h"
#include "say.h"

#include <stdlib.h>

/* Upright pages would leave the panels narrow. */
static int sheet_for(const paper_options *o, paper_format format, const run_picture *runs,
                     size_t count, sheet *s) {
    double width, height, long_side, short_side;
    int bad = paper_size(o, &short_side, &long_side);
    if (bad != 0) return bad;
    chart_sheet_size(count, &width, &height);
    if (format != PAPER_PDF) {
        chart_sheet(runs, count, width, height, 16, 12, s);
        return EXIT_DONE;
    }
    double shrink = count == 1 ? 1 : long_side / width;
    chart_sheet(runs, count, long_side, short_side, 36, shrink < 1 ? 12 * shrink : 12, s);
    return EXIT_DONE;
}

static int draw(const paper_options *o, const run_picture *runs, size_t count) {
    static const unsigned ALLOWED = 1 << PAPER_SVG | 1 << PAPER_PNG | 1 << PAPER_PDF;
    paper_format format;
    sheet s;
    int bad = paper_format_of(o->output, ALLOWED, &format);
    if (bad == 0) bad = sheet_for(o, format, runs, count, &s);
    if (bad != 0) return bad;
    bad = paper_make(o, &s, format, runs[0].title);
    sheet_free(&s);
    return bad;
}

static int print(const run_picture *runs, size_t count) {
    bytes b = {0};
    chart_axes axes = chart_axes_for(runs, count);
    for (size_t i = 0; i < count; i++) {
        if (i > 0) bytes_print(&b, "\n\n");
        chart_text(&runs[i], &axes, &b);
    }
    int exit_status = paper_print(&b);
    bytes_free(&b);
    return exit_status;
}

static int answer(const paper_options *o, const char *const *paths, size_t count) {
    run_record records[CHART_RUNS_MOST];
    run_picture runs[CHART_RUNS_MOST];
    size_t n = 0;
    int bad = 0;
    if (count < 1 || count > CHART_RUNS_MOST)
        return fail(EXIT_USAGE, "expected 1 to %d run logs, as run.csv", CHART_RUNS_MOST);
    for (; n < count && bad == 0; n += bad == 0) {
        bad = run_read(paths[n], false, &records[n]);
        if (bad == 0) runs[n] = records[n].picture;
    }
    if (bad == 0) bad = o->output != NULL ? draw(o, runs, count) : print(runs, count);
    while (n > 0) run_free(&records[--n]);
    return bad;
}

int command_chart(int argc, const char **argv) {
    paper_options o = {0};
    const struct poptOption table[] = {
        PAPER_OPTIONS(o, "run.svg, .png or .pdf"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv ... [-o run.svg]",
                  "A run as a picture; several on the same axes. Without -o as text."))
        a.exit_status = answer(&o, a.rest, a.count);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
