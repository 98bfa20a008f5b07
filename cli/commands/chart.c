/* chart: a run as a picture.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "input/args.h"
#include "picture/chart_forecast.h"
#include "picture/chart_text.h"
#include "picture/paper.h"

#include <string.h>

enum { PICTURES = 1 << PAPER_SVG | 1 << PAPER_PNG | 1 << PAPER_PDF };

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
    paper_format format;
    sheet s;
    int bad = paper_format_of(o->output, PICTURES, &format);
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

static int make(const paper_options *o, const run_picture *runs, size_t count) {
    return o->output != NULL ? draw(o, runs, count) : print(runs, count);
}

static int answer_logs(const paper_options *o, const char *const *paths, size_t count) {
    run_picture runs[CHART_RUNS_MOST];
    size_t n = 0;
    int bad = 0;
    if (count < 1 || count > CHART_RUNS_MOST)
        return fail(EXIT_USAGE, "expected 1 to %d run logs, as run.csv", CHART_RUNS_MOST);
    for (; n < count && bad == 0; n += bad == 0) bad = picture_read(paths[n], &runs[n]);
    if (bad == 0) bad = make(o, runs, count);
    while (n > 0) picture_free(&runs[--n]);
    return bad;
}

/* The defaults stand below, wherever the picture went. */
static int answer_plan(const paper_options *o, const plan_words *w, const args *a) {
    planned p;
    run_picture r;
    if ((w->from != NULL) + a->count != 1)
        return fail(EXIT_USAGE, "expected one charge, as --forecast 20l@12%%, or --charge-from "
                                "FILE");
    int bad = picture_forecast(w, w->from == NULL ? a->rest[0] : NULL, &p, &r);
    if (bad != 0) return bad;
    bad = make(o, &r, 1);
    picture_free(&r);
    if (bad != 0) return bad;
    show *s = show_open(false);
    planned_assume(&p, s);
    return show_close(s, EXIT_DONE);
}

static int answer(const paper_options *o, const plan_words *w, bool forecast, const args *a) {
    static const plan_words NOTHING;
    paper_format format;
    double width, height;
    int bad = o->output == NULL ? 0 : paper_format_of(o->output, PICTURES, &format);
    if (bad == 0) bad = paper_size(o, &width, &height);
    if (bad != 0) return bad;
    if (forecast) return answer_plan(o, w, a);
    if (memcmp(w, &NOTHING, sizeof NOTHING) != 0)
        return fail(EXIT_USAGE, "a charge and a still belong to --forecast; a log has its own");
    return answer_logs(o, a->rest, a->count);
}

int command_chart(int argc, const char **argv) {
    paper_options o = {0};
    plan_words w = {0};
    int forecast = 0;
    const struct poptOption table[] = {
        PAPER_OPTIONS(o, "run.svg, .png or .pdf"),
        FLAG("forecast", &forecast, "draw a run to come: --forecast 20l@12%"),
        OPTION("charge-from", &w.from, "FILE", "its charge from a file of facts"),
        STILL_OPTIONS(w.still),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table,
                  "RUN.csv ... [-o run.svg] | --forecast CHARGE [-o run.svg]",
                  "A run as a picture; several on the same axes. Without -o as text."))
        a.exit_status = answer(&o, &w, forecast != 0, &a);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
