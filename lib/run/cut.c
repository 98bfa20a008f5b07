/* Cuts tried on the jars of a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "still/settings.h"

/* What a fraction has collected so far. */
typedef struct progress {
    double volume_l, pure_l;
} progress;

/* Whether a fraction has ended before the middle of a jar, by its rule. */
static bool has_ended(jl_spirit charge, jl_cut rule, const progress *p, const jl_jar *jar) {
    double half_l = jl_volume_l(jar->spirit, JL_STRENGTH_C) / 2;
    double half_pure_l = jl_pure_alcohol_l(jar->spirit) / 2;
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

jl_status jl_run_cut_rules(const jl_run *run, jl_cut_rules *rules) {
    const jl_recovery *recovery = jl_run_recovery(run);
    if (!recovery->charge_stated) return JL_MISSING;
    *rules =
        jl_settings_to_plan(jl_run_settings(run), jl_spirit_strength_pct(recovery->charge)).cuts;
    return JL_OK;
}

/* Foreshots and heads are there when a rule ends them; hearts follow in any case. */
static bool has_fraction(jl_cut rule, int fraction) {
    return rule.by != JL_CUT_NEVER || fraction >= JL_HEARTS;
}

jl_status jl_run_suggest_cut(const jl_run *run, const jl_cut_rules *rules, jl_fraction *fractions) {
    const jl_recovery *recovery = jl_run_recovery(run);
    const jl_cut ends[JL_FRACTIONS] = {[JL_FORESHOTS] = rules->foreshots,
                                       [JL_HEADS] = rules->heads,
                                       [JL_HEARTS] = rules->hearts,
                                       [JL_TAILS] = {JL_CUT_NEVER, 0}};
    if (!recovery->charge_stated) return JL_MISSING;
    if (rules->foreshots.by == JL_CUT_NEVER && rules->heads.by == JL_CUT_NEVER &&
        rules->hearts.by == JL_CUT_NEVER)
        return JL_NO;
    int now = JL_FORESHOTS;
    progress p = {0};
    const jl_jar *jar;
    for (size_t i = 0; (jar = jl_run_jar(run, i)) != NULL; i++) {
        while (now < JL_TAILS &&
               (!has_fraction(ends[now], now) || has_ended(recovery->charge, ends[now], &p, jar))) {
            now++;
            p = (progress){0};
        }
        fractions[i] = (jl_fraction)now;
        p.volume_l += jl_volume_l(jar->spirit, JL_STRENGTH_C);
        p.pure_l += jl_pure_alcohol_l(jar->spirit);
    }
    return JL_OK;
}

jl_tally jl_run_tally_of(const jl_run *run, const jl_fraction *fractions) {
    jl_tally tally = {0};
    const jl_jar *logged;
    for (size_t i = 0; (logged = jl_run_jar(run, i)) != NULL; i++) {
        jl_jar jar = *logged;
        jar.fraction = fractions[i];
        jl_tally_add(&tally, &jar);
    }
    return tally;
}
