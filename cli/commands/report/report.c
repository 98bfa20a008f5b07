/* report: a run on one page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/report/html.h"
#include "commands/report/page.h"
#include "input/args.h"
#include "picture/chart.h"
#include "picture/paper.h"

#include <stdlib.h>

typedef struct words {
    char *to, *bottle, *instrument;
    paper_options paper;
} words;

static int read_plan(const words *w, report_plan *plan) {
    *plan = (report_plan){.target_default = w->to == NULL, .instruments = w->instrument};
    int bad = arg_strength("--to", w->to == NULL ? "40%" : w->to, &plan->target);
    if (bad == 0) bad = arg_value("--bottle", w->bottle, JL_VOLUME, &plan->bottle_l);
    if (bad != 0) return bad;
    if (!(plan->target > 0))
        return fail_argument("--to", w->to, JL_RANGE, "a strength above 0, as 40%");
    if (w->bottle != NULL && !(plan->bottle_l > 0))
        return fail_argument("--bottle", w->bottle, JL_RANGE, "a volume above 0, as 700ml");
    return EXIT_DONE;
}

static int make_pdf(const words *w, const report *r) {
    double width, height;
    sheet s;
    int bad = paper_size(&w->paper, &width, &height);
    if (bad != 0) return bad;
    report_page(r, width, height, &s);
    bad = paper_make(&w->paper, &s, PAPER_PDF, r->run->title);
    sheet_free(&s);
    return bad;
}

static int make_html(const words *w, const report *r) {
    static const double WIDTH = 470, HEIGHT = 430; /* its type is to be read on a phone too */
    bytes chart = {0}, page = {0};
    sheet s;
    double page_w, page_h;
    chart_axes axes = chart_axes_for(r->run, 1);
    int bad = paper_size(&w->paper, &page_w, &page_h);
    if (bad != 0) return bad;
    sheet_begin(&s, WIDTH, HEIGHT);
    chart_run(r->run, (box){0, 4, WIDTH, HEIGHT - 8}, 12, &axes, &s);
    bad = paper_draw(&s, PAPER_SVG, r->run->title, &chart);
    sheet_free(&s);
    if (bad == 0) {
        report_html(r, &chart, page_w, page_h, &page);
        bad = paper_write(&w->paper, &page);
    }
    bytes_free(&chart);
    bytes_free(&page);
    return bad;
}

static int make(const words *w, const report_plan *plan, paper_format format,
                const run_picture *run) {
    report r;
    size_t most = format == PAPER_PDF ? REPORT_PAGE_JARS : run->count;
    int bad = report_fill(run, plan, most, &r);
    if (bad == 0) bad = format == PAPER_PDF ? make_pdf(w, &r) : make_html(w, &r);
    report_free(&r);
    return bad;
}

static int answer(const words *w, const char *path) {
    paper_format format;
    report_plan plan;
    run_picture run;
    if (w->paper.output == NULL)
        return fail(EXIT_USAGE, "-o is missing; expected the page to make, as -o run.pdf or "
                                "-o run.html");
    int bad = paper_format_of(w->paper.output, 1 << PAPER_PDF | 1 << PAPER_HTML, &format);
    if (bad == 0) bad = read_plan(w, &plan);
    if (bad == 0) bad = picture_read(path, &run);
    if (bad != 0) return bad;
    if (run.count > 0)
        bad = make(w, &plan, format, &run);
    else
        bad = fail(EXIT_DATA, "%s: no jar has been recorded yet, so there is nothing to report",
                   path);
    picture_free(&run);
    return bad;
}

int command_report(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("to", &w.to, "STRENGTH", "bottling strength of the hearts (40%)"),
        OPTION("bottle", &w.bottle, "VOLUME", "count bottles of this volume"),
        OPTION("instrument", &w.instrument, "FILE", "what the instruments can be off by"),
        PAPER_OPTIONS(w.paper, "run.pdf or run.html"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv -o run.pdf|run.html",
                  "A run on one page: facts, chart, jars, fractions, balance, dilution"))
        a.exit_status = a.count == 1 ? answer(&w, a.rest[0])
                                     : fail(EXIT_USAGE, "expected one run log, as run.csv");
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
