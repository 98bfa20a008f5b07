/* A strip run, the low wines pooled with feints, the spirit run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "commands/forecast/forecast.h"
#include "input/cut_words.h"

#include <math.h>
#include <stdio.h>

/* Loads that are all alike, none above the load's volume. */
static size_t loads_of(jl_spirit all, double load_l) {
    double volume_l = jl_volume_l(all, JL_STRENGTH_C);
    if (load_l <= 0) return 1;
    return (size_t)fmax(ceil(volume_l / load_l - 1e-9), 1);
}

int chain_strip(chain *c) {
    jl_plan plan = c->strip.settings.plan;
    plan.jar_l = 1e6;
    c->strip.times = loads_of(c->wash, c->load_l);
    c->strip.charge = jl_spirit_times(c->wash, 1 / (double)c->strip.times);
    jl_status status =
        jl_forecast_run(&c->strip.settings.still, c->strip.charge, &plan, &c->stripped);
    if (status != JL_OK) return fail_run(&c->strip, status);
    if (!(jl_mass_kg(c->stripped.collected) > 0)) {
        char rule[80];
        cut_text(&plan.cuts.tails, rule, sizeof rule);
        return fail(EXIT_NO,
                    "the strip run ends at its first drop, which has %.1f %% vol at 20 °C: the "
                    "rule is to stop at %s (--strip-until)",
                    c->stripped.first_spout_pct, rule);
    }
    jl_spirit pool =
        jl_blend(jl_spirit_times(c->stripped.collected, (double)c->strip.times), c->feints);
    c->spirit.times = loads_of(pool, c->load_l);
    c->spirit.charge = jl_spirit_times(pool, 1 / (double)c->spirit.times);
    return 0;
}

void show_strip(show *s, const chain *c) {
    char heading[96], each[32];
    const jl_forecast *one = &c->stripped;
    double loads = (double)c->strip.times;
    snprintf(heading, sizeof heading, "Strip run: %zu load%s of %.6g l", c->strip.times,
             c->strip.times == 1 ? "" : "s", jl_volume_l(c->strip.charge, JL_STRENGTH_C));
    show_group(s, "strip", heading);
    duration_text(one->duration_s, each, sizeof each);
    show_number(s, "loads", "  Loads", loads, 0, "");
    show_number(s, "load_l", "  Each load at 20 °C", jl_volume_l(c->strip.charge, JL_STRENGTH_C), 3,
                "l");
    show_number(s, "low_wines_l", "  Low wines of each at 20 °C",
                jl_volume_l(one->collected, JL_STRENGTH_C), 3, "l");
    show_number(s, "low_wines_pct", "  Their strength at 20 °C",
                jl_spirit_strength_pct(one->collected), 1, "% vol");
    show_number(s, "pure_alcohol_l", "  Pure alcohol in them", jl_pure_alcohol_l(one->collected), 3,
                "l");
    show_number(s, "recovery_pct", "  of that in the load",
                100 * jl_pure_alcohol_l(one->collected) / jl_pure_alcohol_l(one->charge), 1, "%");
    show_text(s, NULL, "  Each takes", each);
    show_number(s, "duration_s", NULL, loads * one->duration_s, 0, "s");
    show_number(s, "energy_kwh", "  Energy of all", loads * one->energy_j / 3.6e6, 2, "kWh");
    show_number(s, "coolant_l", "  Cooling water of all", loads * one->coolant_l, 1, "l");
    show_group_end(s);
    if (one->ending == JL_ENDED_ELEMENT)
        show_caution(s,
                     "The strip run is stopped with %.3f l in the boiler: any less would bare "
                     "the heating element.",
                     jl_volume_l(one->left, JL_STRENGTH_C));
    if (c->has_feints) show_amount(s, "feints", "Feints that join the low wines", c->feints);
    show_amount(s, "pool", "Charge of all spirit runs",
                jl_spirit_times(c->spirit.charge, (double)c->spirit.times));
    show_number(s, "spirit_runs", "Spirit runs", (double)c->spirit.times, 0, "");
    show_number(s, "spirit_charge_l", "  each on, at 20 °C",
                jl_volume_l(c->spirit.charge, JL_STRENGTH_C), 3, "l");
}

void show_chain(show *s, const chain *c, const jl_forecast *spirit_run) {
    char all[32];
    double strips = (double)c->strip.times, runs = (double)c->spirit.times;
    double seconds = strips * c->stripped.duration_s + runs * spirit_run->duration_s;
    jl_spirit hearts = jl_spirit_times(spirit_run->fractions[JL_HEARTS], runs);
    jl_spirit feints = jl_spirit_times(
        jl_blend(spirit_run->fractions[JL_HEADS], spirit_run->fractions[JL_TAILS]), runs);
    duration_text(seconds, all, sizeof all);
    show_group(s, "chain", "The whole chain");
    show_number(s, "hearts_l", "  Hearts at 20 °C", jl_volume_l(hearts, JL_STRENGTH_C), 3, "l");
    show_number(s, "hearts_pct", "  Their strength at 20 °C", jl_spirit_strength_pct(hearts), 1,
                "% vol");
    show_number(s, "hearts_pure_alcohol_l", "  Pure alcohol in them", jl_pure_alcohol_l(hearts), 3,
                "l");
    show_number(s, "hearts_share_pct", "  of that in wash and feints",
                100 * jl_pure_alcohol_l(hearts) /
                    (jl_pure_alcohol_l(c->wash) + jl_pure_alcohol_l(c->feints)),
                1, "%");
    show_number(s, "feints_pure_alcohol_l", "  Pure alcohol in heads and tails",
                jl_pure_alcohol_l(feints), 3, "l");
    show_text(s, NULL, "  All runs take", all);
    show_number(s, "duration_s", NULL, seconds, 0, "s");
    show_number(s, "energy_kwh", "  Energy",
                (strips * c->stripped.energy_j + runs * spirit_run->energy_j) / 3.6e6, 2, "kWh");
    show_number(s, "coolant_l", "  Cooling water",
                strips * c->stripped.coolant_l + runs * spirit_run->coolant_l, 1, "l");
    show_group_end(s);
}
