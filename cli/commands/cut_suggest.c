/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/cut_suggest.h"
#include "answer/say.h"
#include "answer/status.h"
#include "run/run.h"
#include "still/settings.h"

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

void cut_rules_read(const jl_run *record, cut_run *run) {
    const jl_settings *s = jl_run_settings(record);
    if (run->recovery.charge_stated)
        run->rules = jl_settings_to_plan(s, jl_spirit_strength_pct(run->recovery.charge)).cuts;
    run->stated[JL_FORESHOTS] = jl_is_stated(s, JL_KEY_FORESHOTS);
    run->stated[JL_HEADS] = jl_is_stated(s, JL_KEY_HEADS);
    run->stated[JL_HEARTS] = jl_is_stated(s, JL_KEY_HEARTS_UNTIL);
}

/* Foreshots and heads are there when a rule ends them; hearts follow in any case. */
static bool has_fraction(jl_cut rule, int fraction) {
    return rule.by != JL_CUT_NEVER || fraction >= JL_HEARTS;
}

int cut_suggest(cut_run *run) {
    if (!run->recovery.charge_stated)
        return fail(EXIT_NO, "--suggest: the log states no charge (charge_l, charge_strength_pct), "
                             "on which the rules rest");
    const jl_cut ends[JL_FRACTIONS] = {[JL_FORESHOTS] = run->rules.foreshots,
                                       [JL_HEADS] = run->rules.heads,
                                       [JL_HEARTS] = run->rules.hearts,
                                       [JL_TAILS] = {JL_CUT_NEVER, 0}};
    if (ends[JL_FORESHOTS].by == JL_CUT_NEVER && ends[JL_HEADS].by == JL_CUT_NEVER &&
        ends[JL_HEARTS].by == JL_CUT_NEVER)
        return fail(EXIT_NO,
                    "--suggest: a charge of %.1f %% vol makes a strip run, which is kept "
                    "whole for a second run and has no cut",
                    jl_spirit_strength_pct(run->recovery.charge));
    int now = JL_FORESHOTS;
    progress p = {0};
    for (size_t i = 0; i < run->count; i++) {
        cut_jar *jar = &run->jars[i];
        while (now < JL_TAILS &&
               (!has_fraction(ends[now], now) || has_ended(run, ends[now], &p, jar))) {
            now++;
            p = (progress){0};
        }
        jar->chosen = (jl_fraction)now;
        p.volume_l += jl_volume_l(jar->spirit, JL_STRENGTH_C);
        p.pure_l += jl_pure_alcohol_l(jar->spirit);
    }
    return EXIT_DONE;
}

static void assume_rule(show *s, const cut_run *run, jl_fraction fraction, const jl_cut *rule,
                        const char *source) {
    char text[JL_CUT_BYTES];
    jl_cut_write(rule, text);
    show_assumption(s, "%s: %s (%s).",
                    fraction == JL_FORESHOTS ? "Foreshots"
                    : fraction == JL_HEADS   ? "Heads"
                                             : "Hearts until",
                    text, run->stated[fraction] ? "as the log states" : source);
}

void assume_cut_rules(show *s, const cut_run *run) {
    assume_rule(s, run, JL_FORESHOTS, &run->rules.foreshots, "default: common practice, no source");
    assume_rule(s, run, JL_HEADS, &run->rules.heads,
                "default: published practice, cognac 1 to 2 % of a second charge");
    assume_rule(s, run, JL_HEARTS, &run->rules.hearts,
                "default: published practice, malt whisky and cognac 58 to 60 %");
    show_assumption(s, "A jar goes by its middle and by its own strength.");
}
