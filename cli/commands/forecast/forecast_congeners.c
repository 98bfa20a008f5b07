/* How the charge's congeners divide among the jars: a range where there are several methods.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/forecast/forecast.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { FAMILIES = 6, ROWS_MOST = 16 };

typedef struct family {
    const char *name; /* as jl_congener_at has it, or its end */
    const char *title, *second, *least, *most;
} family;

static const family ALL[FAMILIES] = {
    {"methanol", "methanol", "", "methanol_least_pct", "methanol_most_pct"},
    {"acetaldehyde", "acetal-", "dehyde", "acetaldehyde_least_pct", "acetaldehyde_most_pct"},
    {"ethyl acetate", "ethyl", "acetate", "ethyl_acetate_least_pct", "ethyl_acetate_most_pct"},
    {"1-propanol", "1-prop-", "anol", "1_propanol_least_pct", "1_propanol_most_pct"},
    {"isobutanol", "iso-", "butanol", "isobutanol_least_pct", "isobutanol_most_pct"},
    {"methyl-1-butanol", "isoamyl", "alcohols", "isoamyl_least_pct", "isoamyl_most_pct"},
};

static bool belongs(const jl_congener *congener, const family *f) {
    size_t length = strlen(congener->name), tail = strlen(f->name);
    return length >= tail && strcmp(congener->name + length - tail, f->name) == 0;
}

/* 100 needs no decimal, and the column has no room for it. */
static int decimals_of(double pct) {
    return pct < 99.95 ? 1 : 0;
}

static void show_share(show *s, double least, double most) {
    char low[16], high[16], text[40];
    snprintf(low, sizeof low, "%.*f", decimals_of(least), least);
    snprintf(high, sizeof high, "%.*f", decimals_of(most), most);
    if (strcmp(low, high) == 0)
        snprintf(text, sizeof text, "%s", high);
    else
        snprintf(text, sizeof text, "%s-%s", low, high);
    show_cell_text(s, text);
    show_cell(s, least);
    show_cell(s, most);
}

/* share: of every congener, 0 to 1. */
static void show_families(show *s, const double share[]) {
    for (int f = 0; f < FAMILIES; f++) {
        double least = INFINITY, most = -INFINITY;
        const jl_congener *congener;
        for (size_t i = 0; (congener = jl_congener_at(i)) != NULL; i++) {
            if (!belongs(congener, &ALL[f])) continue;
            least = fmin(least, 100 * share[i]);
            most = fmax(most, 100 * share[i]);
        }
        show_share(s, least, most);
    }
}

static void begin(show *s, const planned *p, column columns[]) {
    int n = 0;
    columns[n++] = (column){"jar", "jar", "", jar_width(p), 0, false};
    columns[n++] = (column){"fraction", "fraction", "", 9, 0, true};
    for (int f = 0; f < FAMILIES; f++) {
        columns[n++] = (column){NULL, ALL[f].title, ALL[f].second, 9, 0, false};
        columns[n++] = (column){ALL[f].least, NULL, "", 0, 0, false};
        columns[n++] = (column){ALL[f].most, NULL, "", 0, 0, false};
    }
    show_table(s, "congeners", columns, (size_t)n);
}

static void show_jar(show *s, const jl_forecasting *run, const jl_forecast_jar *jar,
                     double left[]) {
    double share[ROWS_MOST];
    show_cell(s, (double)jar->number);
    show_cell_text(s,
                   jar->fraction == JL_UNDECIDED ? "low wines" : jl_fraction_name(jar->fraction));
    for (size_t i = 0; jl_congener_at(i) != NULL; i++) {
        double now = jl_forecast_congener(run, i);
        share[i] = left[i] - now;
        left[i] = now;
    }
    show_families(s, share);
}

int show_congeners(show *s, const planned *p) {
    jl_forecasting *run;
    jl_forecast_jar jar;
    jl_plan plan = p->settings.plan;
    column columns[2 + 3 * FAMILIES];
    double left[ROWS_MOST];
    plan.congeners = true;
    for (size_t i = 0; i < ROWS_MOST; i++) left[i] = 1;
    jl_status status = jl_forecast_open(&p->settings.still, p->charge, &plan, &run);
    if (status != JL_OK) return fail_run(p, status);
    show_heading(s, "Prediction: % of the charge's amount of each congener in each jar");
    begin(s, p, columns);
    while ((status = jl_forecast_next(run, &jar)) == JL_OK && !show_stuck(s))
        show_jar(s, run, &jar, left);
    show_cell(s, NAN); /* no jar */
    show_cell_text(s, "in boiler");
    show_families(s, left);
    show_table_end(s);
    jl_forecast_close(run);
    if (status != JL_OK && status != JL_END) return fail_run(p, status);
    show_note(s, "The congeners are a prediction from published group-contribution and NRTL "
                 "parameters at 101.3 kPa, not measured; a range is what the methods differ by. It "
                 "says nothing of how much the charge holds, and nothing of safety.");
    show_note(s, "Methanol does not come off first from a dilute boiler: below about 0.17 to 0.24 "
                 "mole fraction of ethanol in the liquid it is less volatile than ethanol.");
    return 0;
}
