/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/rest.h"
#include "answer/clock_text.h"
#include "answer/diagnosis.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "run/run.h"
#include "still/settings.h"

#include <math.h>
#include <stdio.h>

/* ---- Figures ---- */

static void show_row(show *s, const char *key, const char *label, jl_estimate e, const char *unit) {
    show_cells(s, CELLS(V(key), V(label), V(e.value), V(e.low), V(e.high), V(unit)));
}

static void show_next_jars(show *s, const outlook *o, int most) {
    static const char *const KEYS[REST_NEXT] = {"next_pct", "second_pct", "third_pct"};
    char label[64];
    for (int i = 0; i < most; i++) {
        snprintf(label, sizeof label,
                 i == 0 ? "Strength of the next %.3g L" : "then the next %.3g L", o->of.plan.jar_l);
        if (!isnan(o->next[i].value)) show_row(s, KEYS[i], label, o->next[i], "% vol");
    }
}

/* brief: what fits on a screen below a jar. */
static void show_figures(show *s, const outlook *o, bool brief) {
    const jl_ahead_plan *plan = &o->of.plan;
    const jl_ahead *a = &o->of.ahead;
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "still to come", "", 36, 0, COLUMN_WORDS},
        {"value", "value", "", 7, 2, COLUMN_NUMBERS},
        {"low", "from", "95 %", 7, 2, COLUMN_NUMBERS},
        {"high", "to", "95 %", 7, 2, COLUMN_NUMBERS},
        {"unit", "", "", 5, 0, COLUMN_WORDS},
    };
    char hearts[64], stop[64];
    snprintf(hearts, sizeof hearts, "Until the hearts' end at %.4g %% vol", plan->hearts_end_pct);
    snprintf(stop, sizeof stop, "Until the stop at %.4g %% vol", plan->stop_pct);
    show_table(s, "rest", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_next_jars(s, o, brief ? 1 : REST_NEXT);
    if (plan->hearts_end_pct != plan->stop_pct && !a->hearts_past) {
        show_row(s, "hearts_l", hearts, a->hearts_l, "L");
        if (!brief)
            show_row(s, "hearts_pure_alcohol_l", "  pure alcohol in that", a->hearts_pure_l, "L");
    }
    if (!a->stop_past) {
        show_row(s, "stop_l", stop, a->stop_l, "L");
        show_row(s, "stop_pure_alcohol_l", "  pure alcohol in that", a->stop_pure_l, "L");
    }
}

/* ---- Clock ---- */

static void show_moment(show *s, const char *key, const char *label, const jl_outlook *o,
                        const jl_estimate *at) {
    char text[CLOCK_SPAN_BYTES], stamps[3][JL_TIME_BYTES], name[32];
    static const char *const ENDS[] = {"", "_low", "_high"};
    const double moments[] = {at->value, at->low, at->high};
    bool known = !isnan(at->value);
    for (int i = 0; i < 3; i++) {
        snprintf(name, sizeof name, "%s%s", key, ENDS[i]);
        show_text(s, name, NULL, known ? write_stamp(moments[i], o->from, stamps[i]) : NULL);
    }
    if (known) show_text(s, NULL, label, write_clock_span(at, o->from, text));
}

static void show_clock(show *s, const jl_outlook *o) {
    bool same = o->plan.hearts_end_pct == o->plan.stop_pct;
    show_group(s, "clock", NULL);
    show_moment(s, "hearts_end_at", same ? NULL : "Hearts end at", o, &o->hearts_end_at);
    show_moment(s, "stop_at", "Stop at", o, &o->stop_at);
    show_group_end(s);
    if (o->clock && !o->ahead.stop_past)
        show_standing_caution(s,
                              "A predicted time is no guard: never leave a running still alone.");
}

/* ---- What the jars say of the plan ---- */

/* A rule that is no strength at the spout is followed as one, or not at all. */
static void say_end(show *s, const char *what, const jl_spout_end *end) {
    char rule[JL_CUT_BYTES];
    jl_cut_write(&end->rule, rule);
    if (!end->followed)
        show_remark(s,
                    "The log's %s is '%s', which the rest of the run does not follow: it is "
                    "forecast to the usual %g %% vol at the spout.",
                    what, rule, end->strength_pct);
    else if (end->rule.by == JL_CUT_BOILER_C || end->rule.by == JL_CUT_HEAD_C)
        show_remark(s,
                    "The log's %s is '%s': about %.1f %% vol at the spout, by the still that the "
                    "log states.",
                    what, rule, end->strength_pct);
}

static void say_plan(show *s, const jl_settings *stated, const jl_outlook *o) {
    if (o->ahead.stop_past)
        show_warning(s, "The run is past its stop at %.4g %% vol at the spout.", o->plan.stop_pct);
    else if (o->ahead.hearts_past)
        show_warning(s, "The run is past the hearts' end at %.4g %% vol at the spout.",
                     o->plan.hearts_end_pct);
    if (jl_is_stated(stated, JL_KEY_REFLUX_SCHEDULE))
        show_remark(
            s, "The log has a reflux schedule; the rest of the run is forecast with one reflux "
               "throughout, as its jars so far tell it.");
    say_end(s, "hearts' end", &o->hearts_end);
    say_end(s, "stop", &o->stop);
}

static void show_estimate(show *s, const char *key, jl_estimate e) {
    char name[48];
    show_number(s, key, NULL, e.value, 3, "");
    snprintf(name, sizeof name, "%s_low", key);
    show_number(s, name, NULL, e.low, 3, "");
    snprintf(name, sizeof name, "%s_high", key);
    show_number(s, name, NULL, e.high, 3, "");
}

static void show_plan(show *s, const jl_run *run, const jl_outlook *o) {
    const jl_still said = jl_settings_to_still(jl_run_settings(run));
    bool unknown = o->still_from == JL_STILL_UNKNOWN;
    show_group(s, "plan", NULL);
    show_number(s, "charge_strength_pct_said", NULL,
                jl_spirit_strength_pct(jl_run_recovery(run)->charge), 2, "");
    show_estimate(s, "charge_strength_pct", o->ahead.charge_strength_pct);
    show_estimate(s, "charge_l", o->ahead.charge_l);
    show_number(s, "reflux_share_said", NULL,
                unknown ? NAN : said.reflux_ratio / (1 + said.reflux_ratio), 3, "");
    show_estimate(s, "reflux_share", o->ahead.share);
    show_number(s, "pot_weight", NULL, o->ahead.pot_weight, 3, "");
    show_group_end(s);
}

static void say_share_u(show *s, const jl_settings *stated, double share_u) {
    bool usual = isnan(jl_setting_value(stated, JL_KEY_REFLUX_SHARE_U));
    show_assumption(s, "Before the jars the share that runs back is known to ±%.2g (k = 2; %s).",
                    JL_COVERAGE_K * share_u,
                    usual ? "common practice, no source" : "the log has it from earlier runs");
}

static void say_still(show *s, const jl_run *run, const jl_outlook *o) {
    const jl_still said = jl_settings_to_still(jl_run_settings(run));
    switch (o->still_from) {
    case JL_STILL_UNKNOWN:
        show_assumption(s, "The log names no stages: any still that its jars allow, a plain pot "
                           "before the others (common practice, no source).");
        break;
    case JL_STILL_SAID:
        show_assumption(s,
                        "The rest of the run is a forecast for %g stage%s and a reflux of %g, as "
                        "the log says.",
                        said.stages, said.stages == 1 ? "" : "s", said.reflux_ratio);
        if (said.stages > 1) say_share_u(s, jl_run_settings(run), o->share_said_u);
        break;
    case JL_STILL_LEARNT:
        show_assumption(s, "The still is as 'jarline calibrate' learnt it.");
    }
}

static void say_assumed(show *s, const jl_run *run, const jl_outlook *o) {
    say_still(s, run, o);
    show_assumption(s, "From and to hold 95 %%.");
    show_assumption(s, "Before the jars the charge is as uncertain as its vessel and alcoholometer "
                       "(common practice, no source).");
    if (!o->hearts_end.stated || !o->stop.stated)
        show_assumption(
            s,
            "Hearts until %.4g %% vol, stop at %.4g %% vol at the spout (what the log does "
            "not say as a strength is the default).",
            o->plan.hearts_end_pct, o->plan.stop_pct);
    if (o->clock)
        show_assumption(s, "The clock goes on from the last moment in the log, with the heat as it "
                           "was.");
}

int rest_forecast(const char *name, const jl_run *run, const jl_settings *instruments, outlook *o) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    jl_run_jars(run, &count);
    jl_status status = jl_run_rest(run, instruments, REST_NEXT, o->next, &o->of);
    if (status == JL_OK) return EXIT_DONE;
    if (!r->charge_stated)
        return fail(EXIT_DATA,
                    "%s: the rest of a run needs its charge; expected #charge_l and "
                    "#charge_strength_pct",
                    name);
    double pct = jl_spirit_strength_pct(r->charge);
    if (count == 0 || !(pct > 0.5 && pct < 90))
        return fail(EXIT_DATA,
                    "%s: %zu jar%s, of a charge of %.1f %% vol; expected at least 1 jar of a "
                    "charge of 0.5 to 90 %% vol",
                    name, count, count == 1 ? "" : "s", pct);
    if (!jl_run_rest_possible(run))
        return fail(EXIT_DATA,
                    "%s: its jars hold more than was charged; expected a charge that can "
                    "have given them",
                    name);
    return fail(exit_of_file(status),
                "%s: the rest of the run: %s; no still makes these jars "
                "of that charge",
                name, jl_status_text(status));
}

static void show_outlook(show *s, const jl_run *run, const outlook *o, bool brief) {
    show_heading(s, "The rest of the run, forecast anew from its jars, at 20 °C");
    show_figures(s, o, brief);
    show_clock(s, &o->of);
    show_plan(s, run, &o->of);
    say_plan(s, jl_run_settings(run), &o->of);
}

void show_rest(show *s, const jl_run *run, const outlook *o) {
    if (jl_run_recovery(run)->left_stated)
        show_note(s, "What is left in the boiler was measured: the run seems to have ended.");
    show_outlook(s, run, o, false);
    say_assumed(s, run, &o->of);
}

void show_rest_below_jar(show *s, const jl_run *run) {
    outlook o;
    if (jl_run_rest(run, NULL, REST_NEXT, o.next, &o.of) == JL_OK) show_outlook(s, run, &o, true);
}
