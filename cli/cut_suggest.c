/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"
#include "cut.h"
#include "say.h"

#include <math.h>

/* What a fraction has collected so far. */
typedef struct progress {
    double volume_l, pure_l;
} progress;

/* Whether a fraction has ended before the middle of a jar, by its rule. */
static bool has_ended(const cut_run *run, jl_cut rule, const progress *p, const cut_jar *jar) {
    double half_l = jl_volume_l(jar->spirit, JL_STRENGTH_C) / 2;
    double half_pure_l = jl_pure_alcohol_l(jar->spirit) / 2;
    jl_spirit charge = run->recovery.charge;
    switch (rule.by) {
    case JL_CUT_NEVER:
        return false;
    case JL_CUT_VOLUME_L:
        return p->volume_l + half_l > rule.at;
    case JL_CUT_CHARGE_SHARE:
        return p->volume_l + half_l > rule.at * jl_volume_l(charge, JL_STRENGTH_C);
    case JL_CUT_ALCOHOL_SHARE:
        return p->pure_l + half_pure_l > rule.at * jl_pure_alcohol_l(charge);
    case JL_CUT_SPOUT_PCT:
        return jl_spirit_strength_pct(jar->spirit) < rule.at;
    case JL_CUT_BOILER_C:
        return jar->boiler_c > rule.at;
    case JL_CUT_HEAD_C:
        return jar->head_c > rule.at;
    }
    return false;
}

static bool has_fraction(jl_cut rule, jl_fraction fraction) {
    return rule.by != JL_CUT_NEVER || fraction >= JL_HEARTS;
}

int cut_suggest(cut_run *run) {
    if (!run->recovery.charge_stated)
        return fail(EXIT_NO, "--suggest: the log states no charge (charge_l, charge_strength_pct), "
                             "on which the rules rest");
    jl_cut_rules rules = jl_default_cuts(jl_spirit_strength_pct(run->recovery.charge));
    const jl_cut ends[JL_FRACTIONS] = {[JL_FORESHOTS] = rules.foreshots,
                                       [JL_HEADS] = rules.heads,
                                       [JL_HEARTS] = rules.hearts,
                                       [JL_TAILS] = {JL_CUT_NEVER, 0}};
    if (rules.foreshots.by == JL_CUT_NEVER && rules.heads.by == JL_CUT_NEVER &&
        rules.hearts.by == JL_CUT_NEVER)
        return fail(EXIT_NO,
                    "--suggest: a charge of %.1f %% vol makes a strip run, which is kept "
                    "whole for a second run and has no cut",
                    jl_spirit_strength_pct(run->recovery.charge));
    int now = JL_FORESHOTS;
    progress p = {0};
    for (size_t i = 0; i < run->count; i++) {
        cut_jar *jar = &run->jars[i];
        while (now < JL_TAILS &&
               (!has_fraction(ends[now], (jl_fraction)now) || has_ended(run, ends[now], &p, jar))) {
            now++;
            p = (progress){0};
        }
        jar->chosen = (jl_fraction)now;
        p.volume_l += jl_volume_l(jar->spirit, JL_STRENGTH_C);
        p.pure_l += jl_pure_alcohol_l(jar->spirit);
    }
    return EXIT_DONE;
}

void assume_cut_rules(show *s, const cut_run *run) {
    jl_cut_rules rules = jl_default_cuts(jl_spirit_strength_pct(run->recovery.charge));
    show_assumption(s, "Foreshots: %g %% of the charge's volume (common practice, no source).",
                    100 * rules.foreshots.at);
    show_assumption(s,
                    "Heads: %g %% of the charge's volume (published practice for cognac: 1 to "
                    "2 %% of a second charge).",
                    100 * rules.heads.at);
    show_assumption(s,
                    "Hearts until %g %% vol at the spout (published practice: malt whisky to "
                    "60, cognac to 58 to 60); a jar counts by its own strength.",
                    rules.hearts.at);
}
