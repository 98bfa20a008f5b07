/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/forecast/show.h"
#include "answer/say.h"
#include "answer/status.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- Figures ---- */

/* Hearts and the duration in hours are shown with their uncertainty alone. */
const figure RUN_FIGURES[JL_RUN_FIGURES] = {
    [JL_RUN_COLLECTED_L] = {"volume_l", "  Volume at 20 °C", "l", 3, .brief = "collected",
                            .alone = "Collected at 20 °C"},
    [JL_RUN_COLLECTED_PCT] = {"strength_pct", "  Strength at 20 °C", "% vol", 1,
                              .brief = "strength", .alone = "its strength"},
    [JL_RUN_COLLECTED_PURE_L] = {"pure_alcohol_l", "  Pure alcohol", "l", 3, .brief = "pure alc.",
                                 .alone = "its pure alcohol"},
    [JL_RUN_HEARTS_L] = {"hearts_l", "Hearts at 20 °C", "l", 3, .of = WITH_HEARTS,
                         .brief = "hearts"},
    [JL_RUN_HEARTS_PCT] = {"hearts_pct", "their strength", "% vol", 1, .of = WITH_HEARTS,
                           .brief = "of hearts"},
    [JL_RUN_HEARTS_PURE_L] = {"hearts_pure_alcohol_l", "their pure alcohol", "l", 3,
                              .of = WITH_HEARTS, .brief = "hearts alc."},
    [JL_RUN_LEFT_L] = {"volume_l", "  Volume at 20 °C", "l", 3},
    [JL_RUN_LEFT_PCT] = {"strength_pct", "  Strength at 20 °C", "% vol", 1},
    [JL_RUN_LEFT_PURE_L] = {"pure_alcohol_l", "  Pure alcohol", "l", 3},
    [JL_RUN_FIRST_DROP_S] = {"first_drop_s", "First drop after", "s", 0},
    [JL_RUN_DURATION_S] = {"duration_s", "The run takes", "s", 0},
    [JL_RUN_DURATION_H] = {"duration_h", "Duration", "h", 2, .of = WITH_CLOCK, .brief = "duration"},
    [JL_RUN_ENERGY_KWH] = {"energy_kwh", "Energy", "kWh", 2},
    [JL_RUN_COOLANT_L] = {"coolant_l", "Cooling water", "l", 1},
    [JL_RUN_COOLANT_MOST_L_MIN] = {"coolant_most_l_min", "  its largest flow", "l/min", 2},
    [JL_RUN_FIRST_SPOUT_PCT] = {"first_spout_pct", "First drop at 20 °C", "% vol", 1},
};

const figure CHAIN_FIGURES[JL_CHAIN_FIGURES] = {
    [JL_CHAIN_STRIP_RECOVERED_PCT] = {"recovery_pct", "  of that in the load", "%", 1},
    [JL_CHAIN_STRIPS_S] = {"duration_s", NULL, "s", 0},
    [JL_CHAIN_STRIPS_KWH] = {"energy_kwh", "  Energy of all", "kWh", 2},
    [JL_CHAIN_STRIPS_COOLANT_L] = {"coolant_l", "  Cooling water of all", "l", 1},
    [JL_CHAIN_LOW_WINES_L] = {"low_wines_l", "Low wines at 20 °C", "l", 3, .brief = "low wines"},
    [JL_CHAIN_LOW_WINES_PCT] = {"low_wines_pct", "their strength", "% vol", 1, .brief = "of wines"},
    [JL_CHAIN_LOW_WINES_PURE_L] = {"low_wines_pure_alcohol_l", "their pure alcohol", "l", 3,
                                   .brief = "wines alc."},
    [JL_CHAIN_HEARTS_L] = {"hearts_l", "  Hearts at 20 °C", "l", 3, .brief = "hearts",
                           .alone = "Hearts at 20 °C"},
    [JL_CHAIN_HEARTS_PCT] = {"hearts_pct", "  Their strength at 20 °C", "% vol", 1,
                             .brief = "of hearts", .alone = "their strength"},
    [JL_CHAIN_HEARTS_PURE_L] = {"hearts_pure_alcohol_l", "  Pure alcohol in them", "l", 3,
                                .brief = "hearts alc.", .alone = "their pure alcohol"},
    [JL_CHAIN_HEARTS_SHARE_PCT] = {"hearts_share_pct", "  of that in wash and feints", "%", 1},
    [JL_CHAIN_FEINTS_PURE_L] = {"feints_pure_alcohol_l", "  Pure alcohol in heads and tails", "l",
                                3},
    [JL_CHAIN_DURATION_S] = {"duration_s", "  All runs take", "s", 0},
    [JL_CHAIN_DURATION_H] = {"duration_h", "All runs take", "h", 2, .of = WITH_CLOCK,
                             .brief = "duration"},
    [JL_CHAIN_ENERGY_KWH] = {"energy_kwh", "  Energy", "kWh", 2},
    [JL_CHAIN_COOLANT_L] = {"coolant_l", "  Cooling water", "l", 1},
};

static void show_run_figures(show *s, double *values, size_t from, size_t to) {
    show_figures(s, &(figures){.list = RUN_FIGURES, .values = values}, from, to);
}

static void show_chain_figures(show *s, double *values, size_t from, size_t to) {
    show_figures(s, &(figures){.list = CHAIN_FIGURES, .values = values}, from, to);
}

/* ---- Jars ---- */

/* Which jars a fraction has: they follow each other. */
typedef struct jar_range {
    size_t first, last;
} jar_range;

static const char *name_of(jl_fraction fraction) {
    return fraction == JL_UNDECIDED ? "low wines" : jl_fraction_name(fraction);
}

/* Five columns wide, whatever it is. */
static void clock_text(double seconds, char *text, size_t size) {
    double minutes = round(seconds / 60), hours = floor(minutes / 60);
    if (hours < 100)
        snprintf(text, size, "%.0f:%02.0f", hours, fmod(minutes, 60));
    else
        snprintf(text, size, "%.0f h", hours);
}

static int decimals_of(const planned *p) {
    double volume_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    return volume_l < 99 ? 3 : volume_l < 990 ? 2 : volume_l < 9900 ? 1 : 0;
}

static void show_jar(show *s, const planned *p, const jl_forecast_jar *jar) {
    char clock[24];
    double so_far_l = jl_pure_alcohol_l(jar->so_far);
    clock_text(jar->elapsed_s, clock, sizeof clock);
    show_cell(s, (double)jar->number);
    show_cell_text(s, name_of(jar->fraction));
    show_cell(s, jl_volume_l(jar->spirit, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(jar->spirit));
    show_cell(s, jl_volume_l(jar->so_far, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(jar->so_far));
    show_cell(s, so_far_l);
    show_cell(s, 100 * so_far_l / jl_pure_alcohol_l(p->charge));
    show_cell(s, jar->boiler_c);
    show_cell(s, jar->head_c);
    show_cell_text(s, clock);
    show_cell(s, jar->elapsed_s);
    show_cell(s, jl_pure_alcohol_l(jar->spirit));
    show_cell(s, jar->spout_pct);
    show_cell(s, jl_volume_l(jar->spirit, p->settings.still.spout_c));
    show_cell(s, jar->reflux_ratio);
}

static void show_jars(show *s, const planned *p, const jl_forecast_jars *all) {
    int places = decimals_of(p);
    const column columns[] = {
        {"jar", "jar", "", 3, 0, COLUMN_NUMBERS},
        {"fraction", "fraction", "", 9, 0, COLUMN_WORDS},
        {"volume_l", "volume", "l", 6, places, COLUMN_NUMBERS},
        {"strength_pct", "str.", "%", 5, 1, COLUMN_NUMBERS},
        {"cumulative_l", "so far", "l", 6, places, COLUMN_NUMBERS},
        {"cumulative_pct", "str.", "%", 5, 1, COLUMN_NUMBERS},
        {"cumulative_pure_alcohol_l", "alc.", "l", 6, places, COLUMN_NUMBERS},
        {"cumulative_share_pct", "share", "%", 5, 1, COLUMN_NUMBERS},
        {"boiler_c", "boil.", "°C", 5, 1, COLUMN_NUMBERS},
        {"head_c", "head", "°C", 5, 1, COLUMN_NUMBERS},
        {NULL, "clock", "h:min", 5, 0, COLUMN_NUMBERS},
        {"elapsed_s", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"pure_alcohol_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"spout_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"spout_volume_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"reflux", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    show_table(s, "jars", columns, sizeof columns / sizeof *columns);
    show_table_above(s);
    for (size_t i = 0; i < all->count && !show_stuck(s); i++) show_jar(s, p, &all->jars[i]);
}

/* ---- Sums ---- */

static void show_amount(show *s, const char *key, const char *label, double *values,
                        jl_forecast_figure first) {
    show_figures_in_line(s, &(figures){.list = RUN_FIGURES, .values = values}, key, label, first,
                         first + 3);
}

/* An amount that is no figure of a run. */
static void show_spirit(show *s, const char *key, const char *label, jl_spirit spirit) {
    double values[JL_RUN_FIGURES];
    jl_forecast_figures(&(jl_forecast){.collected = spirit}, values);
    show_amount(s, key, label, values, JL_RUN_COLLECTED_L);
}

static void show_fraction(show *s, const planned *p, jl_fraction fraction, jl_spirit spirit,
                          const jar_range *range) {
    double alcohol_l = jl_pure_alcohol_l(spirit);
    show_cell_text(s, name_of(fraction));
    show_cell_range(s, (uint32_t)range->first, (uint32_t)range->last);
    show_cell(s, jl_volume_l(spirit, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(spirit));
    show_cell(s, alcohol_l);
    show_cell(s, 100 * alcohol_l / jl_pure_alcohol_l(p->charge));
}

static void show_fractions(show *s, const planned *p, const jl_forecast_jars *all) {
    jar_range ranges[JL_FRACTIONS] = {{0}};
    int places = decimals_of(p);
    const column columns[] = {
        {"fraction", "fraction", "", 9, 0, COLUMN_WORDS},
        {"jars", "jars", "", 9, 0, COLUMN_NUMBERS},
        {"volume_l", "volume", "l", 9, places, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"pure_alcohol_l", "alcohol", "l", 9, places, COLUMN_NUMBERS},
        {"share_pct", "of charge", "%", 9, 1, COLUMN_NUMBERS},
    };
    for (size_t i = 0; i < all->count; i++) {
        jar_range *range = &ranges[all->jars[i].fraction];
        range->last = all->jars[i].number;
        if (range->first == 0) range->first = range->last;
    }
    show_table(s, "fractions", columns, sizeof columns / sizeof *columns);
    for (int f = 0; f < JL_FRACTIONS; f++)
        if (ranges[f].first > 0)
            show_fraction(s, p, (jl_fraction)f, all->sum.fractions[f], &ranges[f]);
}

void show_charge(show *s, const char *what, const planned *p, size_t loads) {
    char text[160], more[48] = "";
    double pct = jl_spirit_strength_pct(p->charge);
    double litres = jl_volume_l(p->charge, JL_STRENGTH_C);
    const jl_cut_rules *cuts = &p->settings.plan.cuts;
    bool cut = cuts->heads.by != JL_CUT_NEVER || cuts->hearts.by != JL_CUT_NEVER ||
               cuts->foreshots.by != JL_CUT_NEVER;
    if (loads > 1) snprintf(more, sizeof more, ", one of %zu", loads);
    snprintf(text, sizeof text, "%s: %.6g l at %.4g %% vol%s%s", what, litres, pct,
             cut ? "" : ", without cuts", more);
    show_heading(s, text);
    show_number(s, "charge_l", NULL, litres, 3, "l");
    show_number(s, "charge_strength_pct", NULL, pct, 2, "% vol");
    show_number(s, "charge_pure_alcohol_l", NULL, jl_pure_alcohol_l(p->charge), 3, "l");
}

void show_forecast(show *s, const planned *p, const jl_forecast_jars *all) {
    double values[JL_RUN_FIGURES];
    jl_forecast_figures(&all->sum, values);
    show_jars(s, p, all);
    show_fractions(s, p, all);
    show_amount(s, "total", "Collected at 20 °C", values, JL_RUN_COLLECTED_L);
    show_amount(s, "left_in_boiler", "Left in the boiler", values, JL_RUN_LEFT_L);
    show_run_figures(s, values, JL_RUN_FIRST_DROP_S, JL_RUN_DURATION_H);
    show_run_figures(s, values, JL_RUN_ENERGY_KWH, JL_RUN_FIGURES);
}

/* ---- A chain of runs ---- */

static void show_low_wines(show *s, const jl_forecast *one) {
    double values[JL_RUN_FIGURES];
    jl_forecast_figures(one, values);
    show_number(s, "load_l", "  Each load at 20 °C", jl_volume_l(one->charge, JL_STRENGTH_C), 3,
                "l");
    show_number(s, "low_wines_l", "  Low wines of each at 20 °C", values[JL_RUN_COLLECTED_L], 3,
                "l");
    show_number(s, "low_wines_pct", "  Their strength at 20 °C", values[JL_RUN_COLLECTED_PCT], 1,
                "% vol");
    show_number(s, "pure_alcohol_l", "  Pure alcohol in them", values[JL_RUN_COLLECTED_PURE_L], 3,
                "l");
}

void show_strip(show *s, const jl_chain *c) {
    char heading[96];
    double values[JL_CHAIN_FIGURES];
    jl_chain_figures(c, values);
    snprintf(heading, sizeof heading, "Strip run: %zu load%s of %.6g l", c->strip_loads,
             c->strip_loads == 1 ? "" : "s", jl_volume_l(c->strip.charge, JL_STRENGTH_C));
    show_group(s, "strip", heading);
    show_number(s, "loads", "  Loads", (double)c->strip_loads, 0, "");
    show_low_wines(s, &c->strip);
    show_chain_figures(s, values, JL_CHAIN_STRIP_RECOVERED_PCT, JL_CHAIN_STRIPS_S);
    show_duration(s, "  Each takes", c->strip.duration_s);
    show_chain_figures(s, values, JL_CHAIN_STRIPS_S, JL_CHAIN_LOW_WINES_L);
    show_group_end(s);
    if (c->strip.ending == JL_ENDED_ELEMENT)
        show_caution(s, "The strip run stops with %.3f l in the boiler: less bares the element.",
                     jl_volume_l(c->strip.left, JL_STRENGTH_C));
    if (jl_mass_kg(c->feints) > 0)
        show_spirit(s, "feints", "Feints that join the low wines", c->feints);
    show_spirit(s, "pool", "Charge of all spirit runs", c->pool);
    show_number(s, "spirit_runs", "Spirit runs", (double)c->spirit_loads, 0, "");
    show_number(s, "spirit_charge_l", "  each on, at 20 °C",
                jl_volume_l(c->spirit_charge, JL_STRENGTH_C), 3, "l");
}

void show_chain(show *s, const jl_chain *c) {
    double values[JL_CHAIN_FIGURES];
    jl_chain_figures(c, values);
    show_group(s, "chain", "The whole chain");
    show_chain_figures(s, values, JL_CHAIN_HEARTS_L, JL_CHAIN_DURATION_H);
    show_chain_figures(s, values, JL_CHAIN_ENERGY_KWH, JL_CHAIN_FIGURES);
    show_group_end(s);
}

/* ---- Congeners ---- */

/* In the order of the library's families. */
static const struct {
    const char *title, *second, *least, *most;
} FAMILIES[JL_CONGENER_FAMILIES] = {
    {"methanol", "", "methanol_least_pct", "methanol_most_pct"},
    {"acetal-", "dehyde", "acetaldehyde_least_pct", "acetaldehyde_most_pct"},
    {"ethyl", "acetate", "ethyl_acetate_least_pct", "ethyl_acetate_most_pct"},
    {"1-prop-", "anol", "1_propanol_least_pct", "1_propanol_most_pct"},
    {"iso-", "butanol", "isobutanol_least_pct", "isobutanol_most_pct"},
    {"isoamyl", "alcohols", "isoamyl_least_pct", "isoamyl_most_pct"},
};

/* 100 needs no decimal, and the column has no room for it. */
static void share_text(double pct, char text[16]) {
    snprintf(text, 16, "%.*f", pct < 99.95 ? 1 : 0, pct);
}

static void show_shares(show *s, const jl_congener_share shares[JL_CONGENER_FAMILIES]) {
    for (int f = 0; f < JL_CONGENER_FAMILIES; f++) {
        double least = 100 * shares[f].least, most = 100 * shares[f].most;
        char low[16], high[16], text[40];
        share_text(least, low);
        share_text(most, high);
        bool same = strcmp(low, high) == 0;
        snprintf(text, sizeof text, "%s%s%s", same ? "" : low, same ? "" : "-", high);
        show_cell_text(s, text);
        show_cell(s, least);
        show_cell(s, most);
    }
}

enum { CONGENER_COLUMNS = 2 + 3 * JL_CONGENER_FAMILIES };

static void list_congeners(column columns[CONGENER_COLUMNS]) {
    int n = 0;
    columns[n++] = (column){"jar", "jar", "", 3, 0, COLUMN_NUMBERS};
    columns[n++] = (column){"fraction", "fraction", "", 9, 0, COLUMN_WORDS};
    for (int f = 0; f < JL_CONGENER_FAMILIES; f++) {
        columns[n++] = (column){NULL, FAMILIES[f].title, FAMILIES[f].second, 9, 0, COLUMN_NUMBERS};
        columns[n++] = (column){FAMILIES[f].least, NULL, "", 0, 0, COLUMN_NUMBERS};
        columns[n++] = (column){FAMILIES[f].most, NULL, "", 0, 0, COLUMN_NUMBERS};
    }
}

int show_congeners(show *s, const planned *p) {
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_plan plan = p->settings.plan;
    column columns[CONGENER_COLUMNS];
    jl_congener_share in_jar[JL_CONGENER_FAMILIES], left[JL_CONGENER_FAMILIES];
    plan.congeners = true;
    jl_status status = jl_forecast_open(&p->settings.still, p->charge, &plan, &run);
    if (status != JL_OK) return planned_fail(p, status);
    show_heading(s, "Prediction: % of the charge's amount of each congener in each jar");
    list_congeners(columns);
    show_table(s, "congeners", columns, CONGENER_COLUMNS);
    while ((status = jl_forecast_next(run, &jar)) == JL_OK && !show_stuck(s)) {
        jl_forecast_congeners(run, in_jar, left);
        show_cell(s, (double)jar.number);
        show_cell_text(s, name_of(jar.fraction));
        show_shares(s, in_jar);
    }
    jl_forecast_congeners(run, in_jar, left);
    show_cell(s, NAN); /* no jar */
    show_cell_text(s, "in boiler");
    show_shares(s, left);
    jl_forecast_close(run);
    if (status != JL_OK && status != JL_END) return planned_fail(p, status);
    show_note(s, "The congeners are a prediction from published group-contribution and NRTL "
                 "parameters at 101.3 kPa, not measured; a range is what the methods differ by. It "
                 "says nothing of how much the charge holds, and nothing of safety.");
    show_note(s, "Methanol does not come off first from a dilute boiler: below about 0.17 to 0.24 "
                 "mole fraction of ethanol in the liquid it is less volatile than ethanol.");
    return 0;
}

/* ---- To know ---- */

static void caution_strong(show *s, const planned *p) {
    const double strong_pct = 40;
    double target, litres = NAN;
    jl_spirit water;
    if (jl_spirit_strength_pct(p->charge) <= strong_pct) return;
    if (jl_mass_fraction_from_strength(strong_pct, JL_STRENGTH_C, &target) == JL_OK &&
        jl_bring_to(p->charge, 0, target, &water) == JL_OK)
        litres = jl_volume_l(water, JL_STRENGTH_C);
    show_number(s, "water_to_40_pct_l", NULL, litres, 3, "l");
    show_caution(
        s,
        "Bring this charge to 40 %% vol: %.3f l of water at 20 °C. A charge above 40 %% vol burns "
        "well and its vapour is rich.",
        litres);
}

void note_run(show *s, const planned *p, const jl_forecast *sum) {
    static const char *const ENDINGS[] = {
        [JL_ENDED_RULE] = "rule", [JL_ENDED_ELEMENT] = "element", [JL_ENDED_DRY] = "dry"};
    show_text(s, "ended_by", NULL, ENDINGS[sum->ending]);
    if (sum->ending == JL_ENDED_ELEMENT)
        show_caution(s,
                     "The run stops with %.3f l in the boiler: less bares the heating element. The "
                     "rule to stop was not met before.",
                     jl_volume_l(sum->left, JL_STRENGTH_C));
    if (sum->ending == JL_ENDED_DRY)
        show_caution(s, "The rule to stop is never met: this runs until the boiler is dry. Stop "
                        "sooner (--stop-at, --min-liquid).");
    caution_strong(s, p);
}
