/* forecast: the run to expect, jar by jar, before the heat is turned on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "input/logfile.h"
#include "input/planned.h"
#include "spirit/spirit.h"
#include "still/from_settings.h"

#include <stdlib.h>
#include <string.h>

/* ---- Figures: the library's, of a run and of a chain ---- */

/* What a run or a chain has. */
enum { WITH_HEARTS = 1, WITH_CLOCK = 2 };

/* Hearts and the duration in hours are shown with their uncertainty alone. */
static const figure RUN_FIGURES[JL_RUN_FIGURES] = {
    [JL_RUN_COLLECTED_L] = {"volume_l", "  Volume at 20 °C", "L", 3, .brief = "collected",
                            .alone = "Collected at 20 °C"},
    [JL_RUN_COLLECTED_PCT] = {"strength_pct", "  Strength at 20 °C", "% vol", 1,
                              .brief = "strength", .alone = "its strength"},
    [JL_RUN_COLLECTED_PURE_L] = {"pure_alcohol_l", "  Pure alcohol", "L", 3,
                                 .brief = "pure alcohol", .alone = "its pure alcohol"},
    [JL_RUN_HEARTS_L] = {"hearts_l", "Hearts at 20 °C", "L", 3, .of = WITH_HEARTS,
                         .brief = "hearts"},
    [JL_RUN_HEARTS_PCT] = {"hearts_pct", "their strength", "% vol", 1, .of = WITH_HEARTS,
                           .brief = "their strength"},
    [JL_RUN_HEARTS_PURE_L] = {"hearts_pure_alcohol_l", "their pure alcohol", "L", 3,
                              .of = WITH_HEARTS, .brief = "their alcohol"},
    [JL_RUN_LEFT_L] = {"volume_l", "  Volume at 20 °C", "L", 3},
    [JL_RUN_LEFT_PCT] = {"strength_pct", "  Strength at 20 °C", "% vol", 1},
    [JL_RUN_LEFT_PURE_L] = {"pure_alcohol_l", "  Pure alcohol", "L", 3},
    [JL_RUN_FIRST_DROP_S] = {"first_drop_s", "First drop after", "s", 0},
    [JL_RUN_DURATION_S] = {"duration_s", "The run takes", "s", 0},
    [JL_RUN_DURATION_H] = {"duration_h", "Duration", "h", 2, .of = WITH_CLOCK, .brief = "duration"},
    [JL_RUN_ENERGY_KWH] = {"energy_kwh", "Energy", "kWh", 2},
    [JL_RUN_COOLANT_L] = {"coolant_l", "Cooling water", "L", 1},
    [JL_RUN_COOLANT_MOST_L_MIN] = {"coolant_most_l_min", "  its largest flow", "L/min", 2},
    [JL_RUN_FIRST_SPOUT_PCT] = {"first_spout_pct", "First drop at 20 °C", "% vol", 1},
};

static const figure CHAIN_FIGURES[JL_CHAIN_FIGURES] = {
    [JL_CHAIN_STRIP_RECOVERED_PCT] = {"recovery_pct", "  of the load's alcohol", "%", 1},
    [JL_CHAIN_STRIPS_S] = {"duration_s", NULL, "s", 0},
    [JL_CHAIN_STRIPS_KWH] = {"energy_kwh", "  Energy of all", "kWh", 2},
    [JL_CHAIN_STRIPS_COOLANT_L] = {"coolant_l", "  Cooling water of all", "L", 1},
    [JL_CHAIN_LOW_WINES_L] = {"low_wines_l", "Low wines at 20 °C", "L", 3, .brief = "low wines"},
    [JL_CHAIN_LOW_WINES_PCT] = {"low_wines_pct", "their strength", "% vol", 1,
                                .brief = "their strength"},
    [JL_CHAIN_LOW_WINES_PURE_L] = {"low_wines_pure_alcohol_l", "their pure alcohol", "L", 3,
                                   .brief = "their alcohol"},
    [JL_CHAIN_HEARTS_L] = {"hearts_l", "  Hearts at 20 °C", "L", 3, .brief = "hearts",
                           .alone = "Hearts at 20 °C"},
    [JL_CHAIN_HEARTS_PCT] = {"hearts_pct", "  Their strength at 20 °C", "% vol", 1,
                             .brief = "their strength", .alone = "their strength"},
    [JL_CHAIN_HEARTS_PURE_L] = {"hearts_pure_alcohol_l", "  Pure alcohol in them", "L", 3,
                                .brief = "their alcohol", .alone = "their pure alcohol"},
    [JL_CHAIN_HEARTS_SHARE_PCT] = {"hearts_share_pct", "  of that in wash and feints", "%", 1},
    [JL_CHAIN_FEINTS_PURE_L] = {"feints_pure_alcohol_l", "  Pure alcohol in heads and tails", "L",
                                3},
    [JL_CHAIN_DURATION_S] = {"duration_s", "  All runs take", "s", 0},
    [JL_CHAIN_DURATION_H] = {"duration_h", "All runs take", "h", 2, .of = WITH_CLOCK,
                             .brief = "duration"},
    [JL_CHAIN_ENERGY_KWH] = {"energy_kwh", "  Energy", "kWh", 2},
    [JL_CHAIN_COOLANT_L] = {"coolant_l", "  Cooling water", "L", 1},
};

/* What is known of a run: its figures, and their standard uncertainties where they are. */
typedef struct run_known {
    double values[JL_RUN_FIGURES], standard[JL_RUN_FIGURES];
} run_known;

static figures figures_of(run_known *k) {
    return (figures){
        .list = RUN_FIGURES, .count = JL_RUN_FIGURES, .values = k->values, .standard = k->standard};
}

static void show_run_figures(show *s, run_known *k, size_t from, size_t to) {
    const figures f = figures_of(k);
    show_figures(s, &f, from, to);
}

static double share_at(const run_known *k, size_t at) {
    return k->values[at] > 0 ? k->standard[at] / k->values[at] : 0;
}

/* The share of itself by which hearts, or all where there are none, are uncertain in volume or pure
 * alcohol: what stands which of the three. */
static double uncertain_share(const run_known *k, size_t which) {
    bool hearts = k->values[JL_RUN_HEARTS_L] > 0;
    return share_at(k, which + (hearts ? JL_RUN_HEARTS_L : JL_RUN_COLLECTED_L));
}

static double uncertain_pct(const run_known *k) {
    bool hearts = k->values[JL_RUN_HEARTS_L] > 0;
    return k->standard[hearts ? JL_RUN_HEARTS_PCT : JL_RUN_COLLECTED_PCT];
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

/* An amount as uncertain as all that is collected, and no less than what is measured. */
static cell_shown so_far(double value, double measured, double share, const planned *p) {
    return v_known_to(value, fmax(measured, value * share), decimals_of(p));
}

static void show_jar(show *s, const planned *p, const jl_forecast_jar *jar, const run_known *k) {
    char clock[24], name[24];
    double so_far_l = jl_pure_alcohol_l(jar->so_far);
    double volume_l = jl_volume_l(jar->so_far, JL_STRENGTH_C);
    const jl_standards u = digits_standards(jar->so_far);
    clock_text(jar->elapsed_s, clock, sizeof clock);
    snprintf(name, sizeof name, "%zu", jar->number); /* as 8a is one */
    show_cells(
        s, CELLS(V(name), V(name_of(jar->fraction)), V(jl_volume_l(jar->spirit, JL_STRENGTH_C)),
                 V(jl_spirit_strength_pct(jar->spirit)),
                 so_far(volume_l, u.volume_l, share_at(k, JL_RUN_COLLECTED_L), p),
                 V(jl_spirit_strength_pct(jar->so_far)),
                 so_far(so_far_l, u.pure_alcohol_l, share_at(k, JL_RUN_COLLECTED_PURE_L), p),
                 V(100 * so_far_l / jl_pure_alcohol_l(p->charge)), V(jar->boiler_c), V(jar->head_c),
                 V(clock), V(jar->elapsed_s), V(jl_pure_alcohol_l(jar->spirit)), V(jar->spout_pct),
                 V(jl_volume_l(jar->spirit, p->settings.still.spout_c)), V(jar->reflux_ratio)));
}

static void show_jars(show *s, const planned *p, const jl_forecast_jars *all, const run_known *k) {
    int places = decimals_of(p);
    const column columns[] = {
        {"jar", "jar", "", 3, 0, COLUMN_NUMBERS},
        {"fraction", "fraction", "", 9, 0, COLUMN_WORDS},
        {"volume_l", "volume", "L", 6, places, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"cumulative_l", "volume", "L so far", 8, places, COLUMN_NUMBERS},
        {"cumulative_pct", NULL, "%", 5, 1, COLUMN_NUMBERS},
        {"cumulative_pure_alcohol_l", "pure alcohol", "L so far", 12, places, COLUMN_NUMBERS},
        {"cumulative_share_pct", NULL, "%", 5, 1, COLUMN_NUMBERS},
        {"boiler_c", "boiler", "°C", 6, 1, COLUMN_NUMBERS},
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
    for (size_t i = 0; i < all->count && !show_stuck(s); i++) show_jar(s, p, &all->jars[i], k);
}

/* ---- Sums ---- */

static void show_run_line(show *s, const char *key, const char *label, run_known *k,
                          jl_forecast_figure from, jl_forecast_figure to) {
    const figures f = figures_of(k);
    show_figures_in_line(s, &f, key, label, from, to);
}

/* An amount that is no figure of a run. */
static void show_spirit(show *s, const char *key, const char *label, jl_spirit spirit) {
    run_known k = {.standard = {0}};
    jl_forecast_figures(&(jl_forecast){.collected = spirit}, k.values);
    k.standard[JL_RUN_COLLECTED_PURE_L] = digits_standards(spirit).pure_alcohol_l;
    show_run_line(s, key, label, &k, JL_RUN_COLLECTED_L, JL_RUN_LEFT_L);
}

/* As uncertain as hearts are, and no less than what is measured. */
static void show_fraction(show *s, const planned *p, jl_fraction fraction, jl_spirit spirit,
                          const jar_range *span, const run_known *k) {
    double pure_l = jl_pure_alcohol_l(spirit), volume_l = jl_volume_l(spirit, JL_STRENGTH_C);
    double pct = 100 * pure_l / jl_pure_alcohol_l(p->charge);
    const jl_standards u = digits_standards(spirit);
    int most = decimals_of(p);
    show_cells(
        s,
        CELLS(V(name_of(fraction)), v_jar_range((uint32_t)span->first, (uint32_t)span->last),
              v_known_to(volume_l, fmax(u.volume_l, volume_l * uncertain_share(k, 0)), most),
              v_known_to(jl_spirit_strength_pct(spirit), fmax(u.strength_pct, uncertain_pct(k)), 1),
              v_known_to(pure_l, fmax(u.pure_alcohol_l, pure_l * uncertain_share(k, 2)), most),
              v_known_to(pct, pct * uncertain_share(k, 2), 1)));
}

static void show_fractions(show *s, const planned *p, const jl_forecast_jars *all,
                           const run_known *k) {
    jar_range jars_of[JL_FRACTIONS] = {{0}};
    int places = decimals_of(p);
    const column columns[] = {
        {"fraction", "fraction", "", 9, 0, COLUMN_WORDS},
        {"jar_numbers", "jars", "", 9, 0, COLUMN_NUMBERS},
        {"volume_l", "volume", "L", 9, places, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure alcohol", "L", 9, places, COLUMN_NUMBERS},
        {"share_pct", "of charge", "%", 9, 1, COLUMN_NUMBERS},
    };
    for (size_t i = 0; i < all->count; i++) {
        jar_range *span = &jars_of[all->jars[i].fraction];
        span->last = all->jars[i].number;
        if (span->first == 0) span->first = span->last;
    }
    show_table(s, "fractions", columns, sizeof columns / sizeof *columns);
    for (int f = 0; f < JL_FRACTIONS; f++)
        if (jars_of[f].first > 0)
            show_fraction(s, p, (jl_fraction)f, all->sum.fractions[f], &jars_of[f], k);
}

/* What a charge is known to; NULL: what is measured. */
typedef struct charge_known {
    double volume_u_l, strength_u_pct;
} charge_known;

/* what: above a charge of which there are so many. */
static void write_run_of(const char *what, const planned *p, size_t loads, const charge_known *to,
                         char text[160]) {
    char more[48] = "";
    const jl_cut_rules *cuts = &p->settings.plan.cuts;
    bool cut = cuts->heads.by != JL_CUT_NEVER || cuts->hearts.by != JL_CUT_NEVER ||
               cuts->foreshots.by != JL_CUT_NEVER;
    if (loads > 1) snprintf(more, sizeof more, ", one of %zu", loads);
    double volume_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    double strength_pct = jl_spirit_strength_pct(p->charge);
    const figure_text volume = to == NULL ? figure_short(volume_l, 3, "L")
                                          : figure_in_words(volume_l, to->volume_u_l, 3, "L");
    const figure_text strength =
        to == NULL ? figure_short(strength_pct, 1, "% vol")
                   : figure_in_words(strength_pct, to->strength_u_pct, 1, "% vol");
    snprintf(text, 160, "%s: %s at %s%s%s", what, volume.text, strength.text,
             cut ? "" : ", without cuts", more);
}

/* For programs. */
static void show_charge(show *s, const planned *p) {
    show_number(s, "charge_l", NULL, jl_volume_l(p->charge, JL_STRENGTH_C), 3, "L");
    show_number(s, "charge_strength_pct", NULL, jl_spirit_strength_pct(p->charge), 2, "% vol");
    show_number(s, "charge_pure_alcohol_l", NULL, jl_pure_alcohol_l(p->charge), 3, "L");
}

static void show_left_and_time(show *s, run_known *k) {
    show_run_line(s, "left_in_boiler", "Left in the boiler", k, JL_RUN_LEFT_L, JL_RUN_FIRST_DROP_S);
    show_run_figures(s, k, JL_RUN_FIRST_DROP_S, JL_RUN_DURATION_H);
}

/* The jars, the fractions and the sums of a run. */
static void show_forecast(show *s, const planned *p, const jl_forecast_jars *all, run_known *k) {
    show_jars(s, p, all, k);
    if (all->sum.fractions[JL_HEARTS].ethanol_kg > 0)
        show_hearts_line(s, all->sum.fractions[JL_HEARTS], k->standard + JL_RUN_HEARTS_L);
    show_fractions(s, p, all, k);
    show_run_line(s, "total", "Collected at 20 °C", k, JL_RUN_COLLECTED_L, JL_RUN_HEARTS_L);
    show_left_and_time(s, k);
    show_run_figures(s, k, JL_RUN_ENERGY_KWH, JL_RUN_COOLANT_L);
    show_run_line(s, NULL, "Cooling water, its largest flow", k, JL_RUN_COOLANT_L,
                  JL_RUN_FIRST_SPOUT_PCT);
    show_run_figures(s, k, JL_RUN_FIRST_SPOUT_PCT, JL_RUN_FIGURES);
}

/* ---- A chain of runs ---- */

static void show_low_wines(show *s, const jl_forecast *one, const double *standard) {
    static const figure LOW_WINES[] = {{"low_wines_l", "", "L", 3},
                                       {"low_wines_pct", "", "% vol", 1},
                                       {"pure_alcohol_l", "", "L", 3}};
    double values[3], of_one[3];
    jl_spirit_figures(one->collected, values);
    for (int i = 0; i < 3; i++) of_one[i] = standard[i];
    show_figures_in_line(
        s, &(figures){.list = LOW_WINES, .count = 3, .values = values, .standard = of_one}, NULL,
        "  Low wines of each, at 20 °C", 0, 3);
}

/* Where it is a smaller one. */
static void show_last_load(show *s, const jl_forecast *last) {
    static const figure LAST[] = {{"last_low_wines_l", "", "L", 3},
                                  {"last_low_wines_pct", "", "% vol", 1}};
    double values[3];
    jl_spirit_figures(last->collected, values);
    show_number(s, "last_load_l", NULL, jl_volume_l(last->charge, JL_STRENGTH_C), 3, "L");
    show_figures_in_line(s, &(figures){.list = LAST, .count = 2, .values = values}, NULL,
                         "  Low wines of the last, at 20 °C", 0, 2);
}

static void show_chain_line(show *s, const figures *f, const char *label, jl_chain_figure from,
                            jl_chain_figure to) {
    show_figures_in_line(s, f, NULL, label, from, to);
}

/* What the spirit runs are of. */
static void show_pool(show *s, const jl_chain *c) {
    bool feints = jl_mass_kg(c->feints) > 0, several = c->spirit_loads > 1;
    if (feints) show_spirit(s, "feints", NULL, c->feints);
    show_spirit(s, "pool",
                feints    ? "  Spirit runs' charge, with feints"
                : several ? "  Charge of all spirit runs"
                          : NULL,
                c->pool);
    show_number(s, "spirit_runs", NULL, (double)c->spirit_loads, 0, "");
    show_number(s, "spirit_charge_l", NULL, jl_volume_l(c->spirit_charge, JL_STRENGTH_C), 3, "L");
}

/* The strip runs of a chain. */
static void show_strip(show *s, const jl_chain *c, const figures *f) {
    char heading[160], last[80] = "";
    double load_l = jl_volume_l(c->strip.charge, JL_STRENGTH_C);
    double last_l = jl_volume_l(c->last.charge, JL_STRENGTH_C);
    size_t alike = c->strip_loads - (last_l != load_l);
    if (last_l != load_l)
        snprintf(last, sizeof last, ", then one of %s", figure_short(last_l, 3, "L").text);
    snprintf(heading, sizeof heading, "Strip run: %zu load%s of %s%s", alike, alike == 1 ? "" : "s",
             figure_short(load_l, 3, "L").text, last);
    show_group(s, "strip", heading);
    show_number(s, "load_count", NULL, (double)c->strip_loads, 0, "");
    show_number(s, "load_l", NULL, jl_volume_l(c->strip.charge, JL_STRENGTH_C), 3, "L");
    show_low_wines(s, &c->strip, f->standard + JL_CHAIN_LOW_WINES_L);
    show_figures(s, f, JL_CHAIN_STRIP_RECOVERED_PCT, JL_CHAIN_STRIPS_S);
    show_duration(s, "  Each takes", c->strip.duration_s);
    if (last_l != load_l) show_last_load(s, &c->last);
    show_figures(s, f, JL_CHAIN_STRIPS_S, JL_CHAIN_STRIPS_KWH);
    show_chain_line(s, f, NULL, JL_CHAIN_STRIPS_KWH, JL_CHAIN_LOW_WINES_L);
    show_group_end(s);
    if (c->strip.ending == JL_ENDED_ELEMENT)
        show_caution(s, "The strip run stops with %s in the boiler: less uncovers the element.",
                     LITRES(jl_volume_l(c->strip.left, JL_STRENGTH_C)));
    show_pool(s, c);
}

/* Its spirit run: jars and fractions above the answer, as they are one load's. */
static void show_spirit_run(show *s, const planned *p, const jl_forecast_jars *all, size_t loads,
                            const charge_known *charge, run_known *k) {
    char heading[160];
    write_run_of("Spirit run", p, loads, charge, heading);
    show_charge(s, p);
    show_heading(s, "Jars of the spirit run; a strip run is kept whole");
    show_jars(s, p, all, k);
    show_heading_at(s, "Fractions of the spirit run");
    show_fractions(s, p, all, k);
    show_table_above(s);
    show_heading(s, heading);
    show_run_line(s, "total", "  Collected at 20 °C", k, JL_RUN_COLLECTED_L, JL_RUN_HEARTS_L);
    show_run_line(s, "left_in_boiler", NULL, k, JL_RUN_LEFT_L, JL_RUN_FIRST_DROP_S);
    show_number(s, "first_drop_s", NULL, k->values[JL_RUN_FIRST_DROP_S], 0, "s");
    show_number(s, "duration_s", NULL, k->values[JL_RUN_DURATION_S], 0, "s");
    show_duration(s, "  It takes", k->values[JL_RUN_DURATION_S]);
    show_run_line(s, NULL, "  Energy, water, its largest flow", k, JL_RUN_ENERGY_KWH,
                  JL_RUN_FIRST_SPOUT_PCT);
    show_number(s, "first_spout_pct", NULL, k->values[JL_RUN_FIRST_SPOUT_PCT], 1, "% vol");
}

/* All runs together. */
static void show_chain(show *s, const figures *f) {
    show_group(s, "chain", "Forecast of a strip run and the spirit run after it");
    show_chain_line(s, f, "Hearts at 20 °C", JL_CHAIN_HEARTS_L, JL_CHAIN_HEARTS_SHARE_PCT);
    show_figures(s, f, JL_CHAIN_HEARTS_SHARE_PCT, JL_CHAIN_DURATION_H);
    show_chain_line(s, f, "Energy, cooling water of all", JL_CHAIN_ENERGY_KWH, JL_CHAIN_FIGURES);
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
        show_cells(s, CELLS(V(text), V(least), V(most)));
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

/* Where the congeners go. Returns the exit status, or 0 when the run could be followed. */
static int show_congeners(show *s, const planned *p) {
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
        char name[24];
        snprintf(name, sizeof name, "%zu", jar.number);
        show_cells(s, CELLS(V(name), V(name_of(jar.fraction))));
        show_shares(s, in_jar);
    }
    jl_forecast_congeners(run, in_jar, left);
    show_cells(s, CELLS(V_MISSING, V("in boiler"))); /* no jar */
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
    const figure_text strong = figure_short(strong_pct, 0, "% vol");
    double target, litres = NAN;
    jl_spirit water;
    if (jl_spirit_strength_pct(p->charge) <= strong_pct) return;
    if (jl_mass_fraction_from_strength(strong_pct, JL_STRENGTH_C, &target) == JL_OK &&
        jl_bring_to(p->charge, 0, target, &water) == JL_OK)
        litres = jl_volume_l(water, JL_STRENGTH_C);
    show_number(s, "water_to_40_pct_l", NULL, litres, 3, "L");
    show_caution(s,
                 "Bring this charge to %s: %s of water at 20 °C. A charge above %s burns well and "
                 "its vapour is rich.",
                 strong.text, LITRES(litres), strong.text);
}

/* What is to be known of such a charge, and of how the run ended. */
static void note_run(show *s, const planned *p, const jl_forecast *sum) {
    static const char *const ENDINGS[] = {
        [JL_ENDED_RULE] = "rule", [JL_ENDED_ELEMENT] = "element", [JL_ENDED_DRY] = "dry"};
    planned_warn_full(p, p->charge, s);
    show_text(s, "ended_by", NULL, ENDINGS[sum->ending]);
    if (sum->ending == JL_ENDED_ELEMENT)
        show_caution(s,
                     "The run stops with %s in the boiler: less uncovers the heating element. The "
                     "rule to stop was not met before.",
                     LITRES(jl_volume_l(sum->left, JL_STRENGTH_C)));
    if (sum->ending == JL_ENDED_DRY)
        show_caution(s, "The rule to stop is never met: this runs until the boiler is dry. Stop "
                        "sooner (--stop-at, --min-liquid).");
    caution_strong(s, p);
    if (sum->first_drop_s > JL_DAY_S)
        show_warning(s, "The first drop takes %.0f days: is the power right, %.6g W?",
                     sum->first_drop_s / JL_DAY_S, p->settings.still.power_w);
}

typedef struct words {
    char *from, *load, *strip_until, *feints, *feints_from;
    setting_options with;
    uncertainty_options uncertainties;
    int strip, congeners, json;
    const char *reading; /* the charge as written, where it is a reading at a temperature */
    const char *word;    /* the charge as written; NULL: --charge-from */
    given_amount given;
} words;

/* ---- Reading ---- */

static int read_charge_words(words *w, const args *a, const jl_alcoholometer *instrument,
                             jl_spirit *charge) {
    const char *amount = w->from == NULL ? a->words[0] : NULL;
    const char *at = amount == NULL ? NULL : strchr(amount, '@');
    if (at != NULL && strchr(at + 1, '@') != NULL) w->reading = amount;
    w->word = amount;
    int bad = given_charge(amount, w->from, instrument, w->with.bench, &w->given);
    if (bad == 0) answer_by_amount(&w->given.amount);
    *charge = w->given.spirit;
    return bad;
}

/* Heads and tails of an earlier run. */
static int feints_of(const char *path, jl_spirit *feints) {
    jl_run *run;
    int bad = run_read_jars(path, &run);
    if (bad != 0) return bad;
    *feints = jl_tally_sum(jl_run_tally(run), JL_OF_FEINTS).spirit;
    jl_run_free(run);
    if (jl_mass_kg(*feints) > 0) return 0;
    return fail(EXIT_DATA, "%s has no jar marked heads or tails; 'jarline cut' marks them", path);
}

typedef struct feints_words {
    char **texts;
    bool *from_log;
    size_t count;
} feints_words;

static int read_feints(const feints_words *f, const jl_alcoholometer *instrument, const char *bench,
                       jl_spirit *feints) {
    int bad = 0;
    for (size_t i = 0; i < f->count && bad == 0; i++) {
        jl_spirit amount = {0, 0};
        bad = f->from_log[i] ? feints_of(f->texts[i], &amount)
                             : arg_spirit(f->texts[i], instrument, bench, &amount);
        *feints = jl_blend(*feints, amount);
    }
    return bad;
}

/* --feints and --feints-from may repeat, the others not. */
static int read_options(args *a, words *w, feints_words *f) {
    const struct poptOption *option;
    while ((option = args_next(a)) != NULL) {
        if (option->arg == &w->feints || option->arg == &w->feints_from) {
            f->from_log[f->count] = option->arg == &w->feints_from;
            f->texts[f->count++] = *(char **)option->arg;
            *(char **)option->arg = NULL;
            continue;
        }
        if (!args_once(a, option)) return a->exit_status;
    }
    return args_finish(a) ? 0 : a->exit_status;
}

/* ---- How sure it is ---- */

/* A forecast costs a thousand times what a reading does. */
enum { DRAWS = 2000 };

static void say_deviations(show *s, const jl_causes *c, const jl_settings *settings) {
    double reflux = c->inputs[JL_OF_REFLUX].width, efficiency = c->inputs[JL_OF_EFFICIENCY].width;
    bool known = !isnan(c->known.reflux_share_u) || !isnan(c->known.efficiency_u);
    show_assumption(s,
                    "Published vapour compositions lie ±%.2g %% (k = 2) about the model in how far "
                    "the volatility is from 1, by five sets; of dilute liquid, below 0.05 mole "
                    "fraction (some %s), ±%.2g %% beside that, falling off above.",
                    100 * JL_COVERAGE_K * JL_VAPOUR_OFF_U, figure_short(15, 0, "% vol").text,
                    100 * JL_COVERAGE_K * JL_DILUTE_OFF_U);
    if (reflux > 0 && isnan(c->known.reflux_share_u))
        show_assumption(s, "The reflux holds within ±%.0f %% (common practice, no source).",
                        100 * reflux);
    else if (reflux > 0)
        show_assumption(s, "The share that runs back holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * reflux, settings->of[JL_KEY_REFLUX_SHARE_U].source);
    if (efficiency > 0 && isnan(c->known.efficiency_u))
        show_assumption(
            s, "The efficiency holds within ±%.0f %% of itself (common practice, no source).",
            100 * efficiency);
    else if (efficiency > 0)
        show_assumption(s, "The efficiency holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * efficiency, settings->of[JL_KEY_EFFICIENCY_U].source);
    show_note(s,
              "The uncertainty is that of what was measured and of the vapour. That a real still "
              "differs from perfect stages is not in it%s.",
              known ? "" : ": 'jarline calibrate' learns a still's own figures");
}

/* What a run depends on beside its charge; strip: NULL, or a chain's. */
static jl_causes causes_of(const planned *run, const planned *strip, const jl_chain_charge *loads) {
    jl_causes c = {
        .still = &run->settings.still, .plan = &run->settings.plan, .known = run->settings.known};
    if (strip == NULL) return c;
    c.strip_still = &strip->settings.still;
    c.strip_plan = &strip->settings.plan;
    c.loads = *loads;
    return c;
}

/* Shows the main figures with their uncertainty, where it was asked for. Returns the exit status, or
 * 0. */
static int show_sure(show *s, uncertainty *u, jl_causes *c, const planned *run, const figures *f) {
    if (!uncertainty_wanted(u)) return 0;
    if (!u->intervals) u->draws = DRAWS;
    int bad = show_uncertainty(s, u, f, jl_causes_figures, c);
    if (bad != 0) return bad;
    say_deviations(s, c, &run->settings.all);
    if (jl_mass_kg(c->loads.feints) > 0)
        show_assumption(s, "The feints together are as uncertain as one jug and one reading.");
    return 0;
}

static unsigned of_those(double hearts_l, double duration_h) {
    return (hearts_l > 0 ? WITH_HEARTS : 0) | (duration_h > 0 ? WITH_CLOCK : 0);
}

/* ---- Answering ---- */

/* What a charge that was read with an alcoholometer rests on. */
static void assume_reading(show *s, const words *w, const planned *p) {
    jl_alcoholometer instrument;
    if (w->reading == NULL || arg_instrument(&w->with, &instrument) != 0) return;
    assume_instrument(s, &instrument, unit_of_reading(w->reading));
    note_on_reading(s, jl_spirit_strength_pct(p->charge), JL_STRENGTH_C);
}

static int finish(show *s, const words *w, const planned *p, const jl_forecast *sum, int bad) {
    if (bad == 0 && w->congeners) bad = show_congeners(s, p);
    if (bad != 0) return show_abandon(s, bad);
    planned_assume(p, s);
    assume_reading(s, w, p);
    note_run(s, p, sum);
    caution_running(s, false);
    return show_close(s, EXIT_DONE);
}

/* The same charge and still, as a run. */
static void suggest_start(show *s, const words *w, jl_spirit charge) {
    next_command next = {"jarline start RUN.csv"};
    char amount[64];
    const jl_amount *given = &w->given.amount;
    bool proof = !given->measured && given->strength.unit == JL_UNIT_PROOF_US;
    snprintf(amount, sizeof amount, "%.6gL@%.4g%%", jl_volume_l(charge, JL_STRENGTH_C),
             jl_spirit_strength_pct(charge));
    next_option(&next, w->from == NULL ? "charge" : "charge-from",
                w->from != NULL                        ? w->from
                : w->given.part.path == NULL && !proof ? amount
                                                       : w->word);
    if (units_seen().proof) next_flag(&next, "proof");
    next_still(&next, &w->with);
    show_next_command(s, &next);
}

/* A run that ends at its first drop is none. name: of the option with the rule. */
static int refuse_at_once(const char *what, const planned *p, const jl_forecast *sum,
                          const char *name) {
    if (sum->ending == JL_ENDED_ELEMENT) return planned_fail_element(p);
    return fail(EXIT_NO,
                "the %s ends at its first drop, which has %s%s: the rule is to stop at %s (%s)",
                what, AT_STRENGTH(sum->first_spout_pct), units_seen().proof ? "" : " at 20 °C",
                RULE(&p->settings.plan.cuts.tails), name);
}

/* The same as planned_jars, of a run that has any. */
static int some_jars(const planned *p, jl_forecast_jars *all) {
    int bad = planned_jars(p, all);
    if (bad != 0 || all->count > 0) return bad;
    return refuse_at_once("run", p, &all->sum, "--stop-at");
}

/* What the figures rest on, into the budget; their digits follow from it. */
static void take_causes(const words *w, jl_causes *causes, jl_amount written,
                        const jl_alcoholometer *instrument, uncertainty *u, figures *f) {
    causes->charge_u_pct = w->given.part.strength_u_pct;
    if (!w->json) uncertainty_for_digits(u);
    jl_causes_measure(causes, &u->by, written, instrument);
    if (!w->json) figures_take_digits(u, f, f->standard, jl_causes_figures, causes);
}

static int forecast_one(const words *w, jl_spirit charge, const jl_alcoholometer *instrument,
                        uncertainty *u) {
    planned p = {.charge = charge};
    jl_forecast_jars all;
    run_known k = {.standard = {0}};
    char heading[160];
    int bad = still_settings_read(&w->with, jl_spirit_strength_pct(charge), &p.settings);
    planned_take(&p, &w->with, &w->given.part);
    if (bad == 0) bad = some_jars(&p, &all);
    if (bad != 0) return bad;
    jl_causes causes = causes_of(&p, NULL, NULL);
    jl_forecast_figures(&all.sum, k.values);
    figures f = figures_of(&k);
    f.of = of_those(k.values[JL_RUN_HEARTS_L], k.values[JL_RUN_DURATION_H]);
    take_causes(w, &causes, w->given.amount, instrument, u, &f);
    show *s = show_open(w->json != 0);
    write_run_of("Forecast of a run", &p, 1, NULL, heading);
    show_heading(s, heading);
    show_charge(s, &p);
    show_forecast(s, &p, &all, &k);
    planned_show_learnt(&p, all.sum.collected, s);
    bad = show_sure(s, u, &causes, &p, &f);
    suggest_start(s, w, charge);
    bad = finish(s, w, &p, &all.sum, bad);
    jl_forecast_jars_free(&all);
    return bad;
}

/* ---- A strip run and the spirit run on its low wines ---- */

/* The same still as a plain pot, and its own rule to stop. */
static int read_strip(const words *w, planned *strip, double *load_l) {
    setting_options plain = w->with;
    static const jl_key_id SPIRIT_RUN[] = {JL_KEY_STAGES,    JL_KEY_REFLUX, JL_KEY_REFLUX_SCHEDULE,
                                           JL_KEY_FORESHOTS, JL_KEY_HEADS,  JL_KEY_HEARTS_UNTIL,
                                           JL_KEY_STOP_AT};
    for (size_t i = 0; i < sizeof SPIRIT_RUN / sizeof SPIRIT_RUN[0]; i++)
        plain.words[SPIRIT_RUN[i]] = NULL;
    int bad = still_settings_read(&plain, 0, &strip->settings);
    jl_cut_rules *cuts = &strip->settings.plan.cuts;
    *cuts = jl_default_cuts(0); /* rules in a file are the spirit run's */
    if (bad == 0 && w->strip_until != NULL)
        bad = arg_cut("--strip-until", w->strip_until, &cuts->tails);
    strip->settings.still.stages = 1;
    strip->settings.still.reflux_ratio = 0;
    strip->settings.still.schedule_count = 0;
    if (bad != 0) return bad;
    double mark_l = jl_settings_to_mark_l(&strip->settings.all);
    if (!isnan(mark_l)) *load_l = mark_l;
    return arg_above_zero("--load", w->load, JL_VOLUME, "a volume above 0, as 20L", load_l);
}

static void assume_strip(show *s, const words *w, const planned *strip, double load_l) {
    show_assumption(s, "Strip run: plain pot, no reflux, to %s%s.",
                    RULE(&strip->settings.plan.cuts.tails),
                    w->strip_until == NULL ? " (common practice, no source)" : "");
    if (w->given.part.planned)
        show_assumption(s, "Loads, mark and feints as %s states them.", w->given.part.path);
    else if (w->load == NULL && load_l > 0)
        show_assumption(s, "A load is no more than %s, %s (--load says otherwise).",
                        figure_short(load_l, 3, "L").text,
                        jl_is_stated(&strip->settings.all, JL_KEY_MARK)
                            ? "the boiler's mark"
                            : "two thirds of the boiler");
    else if (w->load == NULL)
        show_assumption(s, "All of the wash fits into one load (default; --load says otherwise).");
}

static int run_strip(planned *strip, const jl_chain_charge *charge, jl_chain *chain) {
    jl_status status = jl_chain_strip(&strip->settings.still, &strip->settings.plan, charge, chain);
    if (status == JL_OK && jl_mass_kg(chain->low_wines) > 0) return 0;
    if (status == JL_OK) return refuse_at_once("strip run", strip, &chain->strip, "--strip-until");
    double few = jl_even_loads(jl_volume_l(charge->wash, JL_STRENGTH_C), charge->load_l);
    strip->charge =
        jl_chain_load(charge, charge->strip_loads > 0 ? charge->strip_loads : (size_t)few);
    return planned_fail(strip, status);
}

/* Settings and jars of the spirit run, which is cut whatever its strength. */
static int run_spirit(const words *w, jl_chain *chain, planned *spirit, jl_forecast_jars *all) {
    double pct = jl_spirit_strength_pct(chain->spirit_charge);
    spirit->charge = chain->spirit_charge;
    int bad = still_settings_read(&w->with, fmax(pct, JL_CUTS_FROM_PCT), &spirit->settings);
    planned_take(spirit, &w->with, &w->given.part);
    if (bad == 0) bad = some_jars(spirit, all);
    if (bad == 0) chain->spirit = all->sum;
    return bad;
}

/* The first of its loads, in a plain pot. */
static void suggest_strip(show *s, const words *w, jl_spirit wash, size_t loads) {
    next_command next = {"jarline start STRIP.csv --charge"};
    setting_options still = w->with;
    bool stated = still.bench != NULL || still.still != NULL || still.still_name != NULL;
    still.words[JL_KEY_STAGES] = stated ? "1" : NULL;
    still.words[JL_KEY_REFLUX] = stated ? "0" : NULL;
    still.words[JL_KEY_REFLUX_SCHEDULE] = NULL;
    for (int id = JL_KEY_FORESHOTS; id <= JL_KEY_STOP_AT; id++) still.words[id] = NULL;
    if (w->given.part.planned)
        next_word(&next, w->given.part.path);
    else
        next_amount(&next, jl_volume_l(wash, JL_STRENGTH_C) / (double)loads,
                    jl_spirit_strength_pct(wash));
    if (units_seen().proof) next_flag(&next, "proof");
    next_option(&next, "stop-at", w->strip_until);
    next_still(&next, &still);
    show_next_command(s, &next);
}

/* All loads of a plan, and its feints. Loads of another size are an option's. */
static int take_plan(const words *w, jl_chain_charge *charge, jl_amount *written) {
    const charge_facts *plan = &w->given.part.plan;
    charge->wash = jl_spirit_times(charge->wash, charge_facts_all_l(plan) / plan->charge_l);
    *written = jl_amount_at_20(charge->wash);
    if (w->load == NULL) {
        charge->load_l = isnan(plan->mark_l) ? plan->charge_l : plan->mark_l;
        if (!isnan(plan->loads)) charge->strip_loads = (size_t)plan->loads;
        if (charge->strip_loads > 0 && plan->last_load_l > 0) {
            charge->strip_loads++;
            charge->last_share = plan->last_load_l / charge_facts_all_l(plan);
        }
    }
    if (isnan(plan->feints_l) || jl_mass_kg(charge->feints) > 0) return 0;
    jl_status status = jl_spirit_at_20(plan->feints_l, plan->feints_strength_pct, &charge->feints);
    return status == JL_OK ? 0
                           : fail(EXIT_DATA, "%s: the feints are %s", w->given.part.path,
                                  jl_status_text(status));
}

/* One load of the pool is as uncertain, as a share of itself, as the hearts of all. */
static void know_spirit_run(const figures *chain, run_known *k) {
    for (size_t i = 0; i < 3; i++) {
        double of_all = chain->values[JL_CHAIN_HEARTS_L + i];
        double share = of_all > 0 ? chain->standard[JL_CHAIN_HEARTS_L + i] / of_all : 0;
        k->standard[JL_RUN_HEARTS_L + i] = share * k->values[JL_RUN_HEARTS_L + i];
        k->standard[JL_RUN_COLLECTED_L + i] = share * k->values[JL_RUN_COLLECTED_L + i];
    }
}

/* And its charge as the low wines of a load. */
static charge_known known_pool(const jl_chain *c, const figures *chain) {
    double low_wines_l = chain->values[JL_CHAIN_LOW_WINES_L];
    return (charge_known){chain->standard[JL_CHAIN_LOW_WINES_L] / low_wines_l *
                              jl_volume_l(c->spirit_charge, JL_STRENGTH_C),
                          chain->standard[JL_CHAIN_LOW_WINES_PCT]};
}

static int forecast_chain(const words *w, jl_spirit wash, const feints_words *feints,
                          const jl_alcoholometer *instrument, uncertainty *u) {
    jl_chain_charge charge = {.wash = wash};
    jl_chain chain;
    planned strip = {.charge = wash}, spirit = {.charge_is = "low wines"};
    jl_forecast_jars all;
    double values[JL_CHAIN_FIGURES], standard[JL_CHAIN_FIGURES] = {0};
    run_known k = {.standard = {0}};
    jl_amount written = w->given.amount;
    int bad = read_strip(w, &strip, &charge.load_l);
    if (bad == 0) bad = read_feints(feints, instrument, w->with.bench, &charge.feints);
    if (bad == 0 && w->given.part.planned) bad = take_plan(w, &charge, &written);
    if (bad == 0) strip.charge = wash = charge.wash;
    if (bad == 0) planned_take(&strip, &w->with, &w->given.part);
    if (bad == 0) bad = run_strip(&strip, &charge, &chain);
    if (bad == 0) bad = run_spirit(w, &chain, &spirit, &all);
    if (bad != 0) return bad;
    charge.strip_loads = chain.strip_loads;
    charge.spirit_loads = chain.spirit_loads;
    jl_causes causes = causes_of(&spirit, &strip, &charge);
    jl_chain_figures(&chain, values);
    jl_forecast_figures(&all.sum, k.values);
    figures f = {.list = CHAIN_FIGURES,
                 .count = JL_CHAIN_FIGURES,
                 .values = values,
                 .standard = standard,
                 .of = of_those(values[JL_CHAIN_HEARTS_L], values[JL_CHAIN_DURATION_H])};
    take_causes(w, &causes, written, instrument, u, &f);
    know_spirit_run(&f, &k);
    const charge_known to = known_pool(&chain, &f);
    show *s = show_open(w->json != 0);
    show_chain(s, &f);
    show_strip(s, &chain, &f);
    show_spirit_run(s, &spirit, &all, chain.spirit_loads, &to, &k);
    bad = show_sure(s, u, &causes, &spirit, &f);
    planned_warn_full(&strip, chain.strip.charge, s);
    if (bad == 0) assume_strip(s, w, &strip, charge.load_l);
    suggest_strip(s, w, wash, chain.strip_loads);
    bad = finish(s, w, &spirit, &all.sum, bad);
    jl_forecast_jars_free(&all);
    return bad;
}

static int forecast(words *w, const args *a, const feints_words *feints, uncertainty *u) {
    jl_alcoholometer instrument;
    jl_spirit charge;
    if ((w->from != NULL) + a->count != 1)
        return refuse("expected one charge, as 20L@12%%, or --charge-from FILE");
    int bad = arg_instrument(&w->with, &instrument);
    if (bad == 0) bad = read_charge_words(w, a, &instrument, &charge);
    if (bad != 0) return bad;
    if (w->strip) return forecast_chain(w, charge, feints, &instrument, u);
    if (feints->count > 0 || w->load != NULL || w->strip_until != NULL)
        return refuse("--feints, --feints-from, --load and --strip-until belong to --strip");
    return forecast_one(w, charge, &instrument, u);
}

int command_forecast(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("charge-from", &w.from, "FILE", "the charge from a settings file"),
        BENCH_OPTION(w.with),
        STILL_OPTIONS(w.with),
        FLAG("strip", &w.strip, "a strip run first, then the spirit run on its low wines"),
        OPTION("load", &w.load, "VOLUME", "what the boiler takes at once (all of it)"),
        OPTION("strip-until", &w.strip_until, "RULE", "where the strip run ends (10%)"),
        OPTION("feints", &w.feints, "AMOUNT", "joins the low wines: 1.5L@45%; may repeat"),
        OPTION("feints-from", &w.feints_from, "RUN.csv",
               "heads and tails of an earlier run; may repeat"),
        FLAG("congeners", &w.congeners, "where methanol, esters and fusel oils would go"),
        INSTRUMENT_OPTIONS(w.with),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        JSON_LAST(&w.json),
    };
    args a;
    feints_words feints = {need(calloc((size_t)argc, sizeof *feints.texts)),
                           need(calloc((size_t)argc, sizeof *feints.from_log)), 0};
    args_begin(&a, argc, argv, table, "CHARGE",
               "The run to expect, jar by jar, before the heat is turned on: 20L@12%");
    int bad = read_options(&a, &w, &feints);
    uncertainty u = {0};
    bool wanted = bad == 0 && a.words != NULL; /* not after --help */
    w.with.bench_later = args_later(&a, &w.with.bench, &w.with.still);
    w.with.in_its_units = true;
    if (wanted) bad = uncertainty_read(&w.uncertainties, &w.with, &u);
    if (wanted && bad == 0) bad = forecast(&w, &a, &feints, &u);
    uncertainty_free(&u);
    for (size_t i = 0; i < feints.count; i++) free(feints.texts[i]);
    free(feints.texts);
    free(feints.from_log);
    given_free(&w.given);
    args_close(&a);
    return bad;
}
