/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "commands/forecast/forecast.h"
#include "input/cut_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Which jars a fraction has: they follow each other. */
typedef struct jar_range {
    size_t first, last;
} jar_range;

static uint32_t next_jar(const void *with, uint32_t after) {
    const jar_range *range = with;
    size_t next = after < range->first ? range->first : after + 1;
    return next <= range->last ? (uint32_t)next : 0;
}

static const char *name_of(jl_fraction fraction) {
    return fraction == JL_UNDECIDED ? "low wines" : jl_fraction_name(fraction);
}

int fail_run(const planned *p, jl_status status) {
    const jl_still *still = &p->settings.still;
    double charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    if (status == JL_NO && charge_l <= still->min_liquid_l)
        return fail(EXIT_NO,
                    "%.6g l of charge do not cover the heating element, which needs %.6g l "
                    "(--min-liquid)",
                    charge_l, still->min_liquid_l);
    if (status == JL_NO)
        return fail(EXIT_NO,
                    "%.6g W at an efficiency of %.6g do not make up for a loss of %.6g W: it never "
                    "boils",
                    still->power_w, still->efficiency, still->loss_w);
    if (status == JL_RANGE && !(p->charge.ethanol_kg > 0 && p->charge.water_kg > 0))
        return fail(EXIT_USAGE, "the charge: expected a mixture of ethanol and water, above 0 and "
                                "below 100 %% vol");
    if (status == JL_RANGE)
        return fail(EXIT_USAGE, "the charge: expected 1 g to 1000 t, as 20l@12%%");
    return fail(exit_of_argument(status), "the forecast failed: %s", jl_status_text(status));
}

static int fail_at_once(const planned *p, const jl_forecast *sum) {
    char rule[80];
    cut_text(&p->settings.plan.cuts.tails, rule, sizeof rule);
    return fail(EXIT_NO,
                "the run ends at its first drop, which has %.1f %% vol at 20 °C: the rule is to "
                "stop at %s (--stop-at)",
                sum->first_spout_pct, rule);
}

void duration_text(double seconds, char *text, size_t size) {
    if (isnan(seconds))
        snprintf(text, size, "-");
    else {
        double minutes = round(seconds / 60);
        snprintf(text, size, "%.0f h %02.0f min", floor(minutes / 60), fmod(minutes, 60));
    }
}

/* Five columns wide, whatever it is. */
static void clock_text(double seconds, char *text, size_t size) {
    double minutes = round(seconds / 60), hours = floor(minutes / 60);
    if (hours < 100)
        snprintf(text, size, "%.0f:%02.0f", hours, fmod(minutes, 60));
    else
        snprintf(text, size, "%.0f h", hours);
}

static int decimals_of(double volume_l) {
    return volume_l < 99 ? 3 : volume_l < 990 ? 2 : volume_l < 9900 ? 1 : 0;
}

static int digits_of(double count) {
    int digits = 1;
    for (; count >= 10; count /= 10) digits++;
    return digits;
}

int jar_width(const planned *p) {
    int digits = digits_of(jl_volume_l(p->charge, JL_STRENGTH_C) / p->settings.plan.jar_l + 5);
    return digits < 3 ? 3 : digits;
}

/* ---- Jars ---- */

static void begin_jars(show *s, const planned *p, column columns[]) {
    double charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    int places = decimals_of(charge_l);
    column all[] = {
        {"jar", "jar", "", jar_width(p), 0, false},
        {"fraction", "fraction", "", 9, 0, true},
        {"volume_l", "volume", "l", 6, places, false},
        {"strength_pct", "str.", "%", 5, 1, false},
        {"cumulative_l", "so far", "l", 6, places, false},
        {"cumulative_pct", "str.", "%", 5, 1, false},
        {"cumulative_pure_alcohol_l", "alc.", "l", 6, places, false},
        {"cumulative_share_pct", "share", "%", 5, 1, false},
        {"boiler_c", "boil.", "°C", 5, 1, false},
        {"head_c", "head", "°C", 5, 1, false},
        {NULL, "clock", "h:min", 5, 0, false},
        {"elapsed_s", NULL, "", 0, 0, false},
        {"pure_alcohol_l", NULL, "", 0, 0, false},
        {"spout_pct", NULL, "", 0, 0, false},
        {"spout_volume_l", NULL, "", 0, 0, false},
        {"reflux", NULL, "", 0, 0, false},
    };
    memcpy(columns, all, sizeof all);
    show_table(s, "jars", columns, sizeof all / sizeof *all);
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
    show_cell(s, jar->reflux);
}

int begin_run(const planned *p, jl_forecasting **run, jl_forecast_jar *first) {
    jl_status status = jl_forecast_open(&p->settings.still, p->charge, &p->settings.plan, run);
    if (status != JL_OK) return fail_run(p, status);
    status = jl_forecast_next(*run, first);
    if (status == JL_OK) return 0;
    jl_forecast sum;
    jl_forecast_sum(*run, &sum);
    jl_forecast_close(*run);
    return status == JL_END ? fail_at_once(p, &sum) : fail_run(p, status);
}

static int show_jars(show *s, const planned *p, jl_forecasting *run, jl_forecast_jar jar,
                     jar_range ranges[JL_FRACTIONS]) {
    column columns[16];
    jl_status status = JL_OK;
    begin_jars(s, p, columns);
    for (; status == JL_OK && !show_stuck(s); status = jl_forecast_next(run, &jar)) {
        jar_range *range = &ranges[jar.fraction];
        if (range->first == 0) range->first = jar.number;
        range->last = jar.number;
        show_jar(s, p, &jar);
    }
    if (status != JL_OK && status != JL_END) return fail_run(p, status);
    show_table_end(s);
    return 0;
}

/* ---- Sums ---- */

void show_amount(show *s, const char *key, const char *heading, jl_spirit spirit) {
    show_group(s, key, heading);
    show_number(s, "volume_l", "  Volume at 20 °C", jl_volume_l(spirit, JL_STRENGTH_C), 3, "l");
    show_number(s, "strength_pct", "  Strength at 20 °C", jl_spirit_strength_pct(spirit), 1,
                "% vol");
    show_number(s, "pure_alcohol_l", "  Pure alcohol", jl_pure_alcohol_l(spirit), 3, "l");
    show_group_end(s);
}

static void show_fraction(show *s, const planned *p, jl_fraction fraction, jl_spirit spirit,
                          const jar_range *range) {
    double alcohol_l = jl_pure_alcohol_l(spirit);
    show_cell_text(s, name_of(fraction));
    show_cell_numbers(s, next_jar, range);
    show_cell(s, jl_volume_l(spirit, JL_STRENGTH_C));
    show_cell(s, jl_spirit_strength_pct(spirit));
    show_cell(s, alcohol_l);
    show_cell(s, 100 * alcohol_l / jl_pure_alcohol_l(p->charge));
}

static void show_fractions(show *s, const planned *p, const jl_forecast *sum,
                           const jar_range ranges[JL_FRACTIONS]) {
    int places = decimals_of(jl_volume_l(p->charge, JL_STRENGTH_C));
    const column columns[] = {
        {"fraction", "fraction", "", 9, 0, true},
        {"jars", "jars", "", 9, 0, false},
        {"volume_l", "volume", "l", 9, places, false},
        {"strength_pct", "strength", "% vol", 8, 1, false},
        {"pure_alcohol_l", "alcohol", "l", 9, places, false},
        {"share_pct", "of charge", "%", 9, 1, false},
    };
    show_table(s, "fractions", columns, sizeof columns / sizeof *columns);
    for (int f = 0; f < JL_FRACTIONS; f++)
        if (ranges[f].first > 0) show_fraction(s, p, (jl_fraction)f, sum->fractions[f], &ranges[f]);
    show_table_end(s);
}

static void show_day(show *s, const jl_forecast *sum) {
    char first[32], all[32];
    duration_text(sum->first_drop_s, first, sizeof first);
    duration_text(sum->duration_s, all, sizeof all);
    show_text(s, NULL, "First drop after", first);
    show_text(s, NULL, "The run takes", all);
    show_number(s, "first_drop_s", NULL, sum->first_drop_s, 0, "s");
    show_number(s, "duration_s", NULL, sum->duration_s, 0, "s");
    show_number(s, "energy_kwh", "Energy", sum->energy_j / 3.6e6, 2, "kWh");
    show_number(s, "coolant_l", "Cooling water", sum->coolant_l, 1, "l");
    show_number(s, "coolant_most_l_min", "  its largest flow", 60 * sum->coolant_most_l_s, 2,
                "l/min");
    show_number(s, "first_spout_pct", "First drop at 20 °C", sum->first_spout_pct, 1, "% vol");
}

static void show_sums(show *s, const planned *p, const jl_forecast *sum,
                      const jar_range ranges[JL_FRACTIONS]) {
    show_fractions(s, p, sum, ranges);
    show_amount(s, "total", "All that is distilled", sum->collected);
    show_amount(s, "left_in_boiler", "What stays in the boiler", sum->left);
    show_day(s, sum);
}

int show_forecast(show *s, const planned *p, jl_forecasting *run, jl_forecast_jar first,
                  jl_forecast *sum) {
    jar_range ranges[JL_FRACTIONS] = {{0}};
    int bad = show_jars(s, p, run, first, ranges);
    if (bad == 0) {
        jl_forecast_sum(run, sum);
        show_sums(s, p, sum, ranges);
    }
    jl_forecast_close(run);
    return bad;
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
    show_caution(s,
                 "A charge above 40 %% vol burns well and its vapour is rich: %.3f l of water at "
                 "20 °C bring it to 40 %% vol.",
                 litres);
}

void note_run(show *s, const planned *p, const jl_forecast *sum) {
    static const char *const ENDINGS[] = {
        [JL_ENDED_RULE] = "rule", [JL_ENDED_ELEMENT] = "element", [JL_ENDED_DRY] = "dry"};
    show_text(s, "ended_by", NULL, ENDINGS[sum->ending]);
    if (sum->ending == JL_ENDED_ELEMENT)
        show_caution(s,
                     "The run is stopped with %.3f l in the boiler: any less would bare the "
                     "heating element. The rule to stop was not met before.",
                     jl_volume_l(sum->left, JL_STRENGTH_C));
    if (sum->ending == JL_ENDED_DRY)
        show_caution(s, "The rule to stop is never met: this runs until the boiler is dry. Stop "
                        "sooner (--stop-at, --min-liquid).");
    caution_strong(s, p);
}
