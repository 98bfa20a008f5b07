/* Cuts tried on the jars of a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/tally.h"
#include "still/from_settings.h"

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
    return false; /* GCOVR_EXCL_LINE: all kinds stand above */
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

/* ---- Where a log ends its fractions, as strengths at the spout ---- */

/* Over a boiler as warm as that stands a liquid; under a head as warm as that its vapour. */
jl_status jl_spout_at_rule(const jl_still *still, jl_cut rule, double *strength_pct) {
    jl_boiling boiling;
    if (rule.by == JL_CUT_SPOUT_PCT) {
        *strength_pct = rule.at;
        return JL_OK;
    }
    if (rule.by != JL_CUT_BOILER_C && rule.by != JL_CUT_HEAD_C) return JL_NO;
    jl_status status = jl_boil_at_temp(rule.at, still->pressure_kpa, &boiling);
    if (status == JL_OK && rule.by == JL_CUT_BOILER_C)
        status = jl_first_drop(still, jl_mass_fraction_from_mole(boiling.liquid_mole_fraction),
                               &boiling);
    if (status != JL_OK) return status;
    return jl_strength_pct(jl_mass_fraction_from_mole(boiling.vapour_mole_fraction), JL_STRENGTH_C,
                           strength_pct);
}

static jl_spout_end end_of(const jl_settings *s, const jl_still *still, jl_key_id id, jl_cut rule,
                           double usual_pct) {
    jl_spout_end end = {
        .strength_pct = usual_pct, .rule = rule, .stated = jl_is_stated(s, id), .followed = false};
    end.followed = jl_spout_at_rule(still, rule, &end.strength_pct) == JL_OK;
    return end;
}

void jl_settings_ends(const jl_settings *s, double charge_pct, jl_spout_end *hearts,
                      jl_spout_end *stop) {
    const jl_cut_rules usual = jl_default_cuts(charge_pct),
                       cuts = jl_settings_to_plan(s, charge_pct).cuts;
    const jl_still still = jl_settings_to_still(s);
    bool strip = usual.hearts.by != JL_CUT_SPOUT_PCT;
    *stop = end_of(s, &still, JL_KEY_STOP_AT, cuts.tails, usual.tails.at);
    *hearts = end_of(s, &still, JL_KEY_HEARTS_UNTIL, cuts.hearts,
                     strip ? usual.tails.at : usual.hearts.at);
    if (cuts.hearts.by != JL_CUT_NEVER) return;
    hearts->strength_pct = stop->strength_pct; /* no end of their own */
    hearts->followed = true;
}

void jl_run_ends(const jl_run *run, jl_spout_end *hearts, jl_spout_end *stop) {
    const jl_recovery *r = jl_run_recovery(run);
    /* Without a charge stated the usual rules are those of a spirit run. */
    double charge_pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : JL_CUTS_FROM_PCT;
    jl_settings_ends(jl_run_settings(run), charge_pct, hearts, stop);
}
