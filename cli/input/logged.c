/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/logged.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/logfile.h"
#include "run/run.h"
#include "still/settings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- What the instruments leave open ---- */

/* A moment is written down within a minute: common practice, no source. */
static const double MOMENT_U_S = 30;
/* % vol for each °C: what a reading near 60 % vol moves. OIML R 22. */
static const double PCT_PER_C = 0.35;
/* Nothing is known to better than this, or a fit could not be weighed: 0.01 % vol, a thousandth. */
static const double LEAST_PCT = 0.01, LEAST_SHARE = 0.001;

static double pct_u(const jl_instruments *in, bool common) {
    double u = sqrt(jl_instrument_variance(in, JL_BY_ALCOHOLOMETER, common) +
                    PCT_PER_C * PCT_PER_C * jl_instrument_variance(in, JL_BY_THERMOMETER, common));
    return fmax(u, LEAST_PCT);
}

jl_common_uncertainty logged_uncertainty(const jl_instruments *in) {
    double share =
        sqrt(2 * jl_instrument_variance(in, JL_BY_JUG, true)); /* of the charge and of the jars */
    return (jl_common_uncertainty){pct_u(in, true), fmax(share, LEAST_SHARE),
                                   hypot(pct_u(in, true), pct_u(in, false)), MOMENT_U_S};
}

/* ---- The still ---- */

/* A rule by an amount is not followed, and the usual strength stays. */
static logged_end end_of(const logged *s, jl_key_id id, jl_cut rule, double usual_pct) {
    logged_end end = {.rule = rule, .pct = usual_pct, .stated = jl_is_stated(s->settings, id)};
    end.followed = jl_spout_at_rule(&s->still, rule, &end.pct) == JL_OK;
    return end;
}

static void take_still(logged *s, double charge_pct) {
    const jl_cut_rules usual = jl_default_cuts(charge_pct);
    const jl_plan plan = jl_settings_to_plan(s->settings, charge_pct);
    bool strip = usual.hearts.by != JL_CUT_SPOUT_PCT;
    s->still = jl_settings_to_still(s->settings);
    s->stop = end_of(s, JL_KEY_STOP_AT, plan.cuts.tails, usual.tails.at);
    s->hearts_end =
        end_of(s, JL_KEY_HEARTS_UNTIL, plan.cuts.hearts, strip ? usual.tails.at : usual.hearts.at);
    if (plan.cuts.hearts.by != JL_CUT_NEVER) return;
    s->hearts_end.pct = s->stop.pct; /* no end of their own */
    s->hearts_end.followed = true;
}

/* ---- Jars ---- */

static void keep_jars(logged *s, const jl_run *run, double u_pct) {
    const jl_jar *jars = jl_run_jars(run, &s->count);
    s->jars = need(calloc(s->count + 1, sizeof *s->jars));
    s->numbers = need(calloc(s->count + 1, sizeof *s->numbers));
    for (size_t i = 0; i < s->count; i++) {
        s->numbers[i] = jars[i].number;
        s->jars[i] = (jl_logged_jar){jars[i].volume_20c_l, jl_spirit_strength_pct(jars[i].spirit),
                                     u_pct, jars[i].has_time ? (double)jars[i].time.unix_s : NAN};
    }
}

void logged_of_run(const char *path, const jl_run *run, const jl_instruments *in, logged *s) {
    const char *title = jl_run_title(run);
    *s = (logged){.name = path, .tally = *jl_run_tally(run), .recovery = *jl_run_recovery(run)};
    double charge_pct = s->recovery.charge_stated ? jl_spirit_strength_pct(s->recovery.charge) : 30;
    s->settings = need(malloc(sizeof *s->settings));
    *s->settings = *jl_run_settings(run);
    take_still(s, charge_pct);
    keep_jars(s, run, pct_u(in, false));
    if (title != NULL) s->title = need(strdup(title));
    s->has_started = jl_run_started(run, &s->started);
    s->expected_pure_l = jl_run_expected_pure_l(run);
    double last_s = s->count > 0 ? s->jars[s->count - 1].full_s : NAN;
    s->hours = s->has_started ? (last_s - (double)s->started.unix_s) / 3600 : NAN;
}

int logged_read(const char *path, const jl_instruments *in, bool may_be_empty, logged *s) {
    jl_run *run;
    jl_fault fault = {0};
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    say_torn(path, jl_run_torn_line(run));
    if (!may_be_empty && jl_run_some(run, &fault) != JL_OK)
        bad = fail_fault(path, &fault);
    else
        logged_of_run(path, run, in, s);
    jl_run_free(run);
    return bad;
}

void logged_free(logged *s) {
    free(s->jars);
    free(s->numbers);
    free(s->title);
    free(s->settings);
    *s = (logged){0};
}

jl_logged_run logged_run(const logged *s) {
    const jl_still *still = &s->still;
    return (jl_logged_run){.jars = s->jars,
                           .count = s->count,
                           .charge_l = jl_volume_l(s->recovery.charge, JL_STRENGTH_C),
                           .charge_strength_pct = jl_spirit_strength_pct(s->recovery.charge),
                           .power_w =
                               jl_is_stated(s->settings, JL_KEY_POWER) ? still->power_w : NAN,
                           .loss_w = still->loss_w,
                           .boiler_heat_j_k = still->boiler_heat_j_k,
                           .pressure_kpa = still->pressure_kpa};
}
