/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/status.h"
#include "run/run.h"
#include "still/settings.h"

#include <math.h>
#include <stdio.h>

/* ---- Figures ---- */

static void show_row(show *s, const char *key, const char *label, jl_uncertainty d, double most,
                     const char *unit) {
    show_cells(s,
               CELLS(V(key), V(label), V(d.value), V(fmax(d.value - JL_COVERAGE_K * d.standard, 0)),
                     V(fmin(d.value + JL_COVERAGE_K * d.standard, most)), V(unit)));
}

/* brief: what fits on a screen below a jar. */
static void show_figures(show *s, const outlook *o, bool brief) {
    const jl_run_plan *plan = &o->of.plan;
    const jl_rest *r = &o->of.rest;
    const jl_uncertainty *next = o->next;
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "still to come", "", 36, 0, COLUMN_WORDS},
        {"value", "value", "", 7, 2, COLUMN_NUMBERS},
        {"low", "from", "k = 2", 7, 2, COLUMN_NUMBERS},
        {"high", "to", "k = 2", 7, 2, COLUMN_NUMBERS},
        {"unit", "", "", 5, 0, COLUMN_WORDS},
    };
    char hearts[64], stop[64], jars[REST_NEXT][64];
    bool same = plan->hearts_end_pct == plan->stop_pct;
    snprintf(hearts, sizeof hearts, "Until the hearts' end at %.4g %% vol", plan->hearts_end_pct);
    snprintf(stop, sizeof stop, "Until the stop at %.4g %% vol", plan->stop_pct);
    show_table(s, "rest", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (int i = 0; i < (brief ? 1 : REST_NEXT); i++) {
        snprintf(jars[i], sizeof jars[i],
                 i == 0 ? "Strength of the next %.3g L" : "then the next %.3g L", plan->jar_l);
        if (!isnan(next[i].value))
            show_row(s,
                     i == 0   ? "next_pct"
                     : i == 1 ? "second_pct"
                              : "third_pct",
                     jars[i], next[i], 100, "% vol");
    }
    if (!same && o->of.hearts_held) {
        show_row(s, "hearts_l", hearts, r->hearts_l, o->of.most_l, "L");
        if (!brief)
            show_row(s, "hearts_pure_alcohol_l", "  pure alcohol in that", r->hearts_pure_l,
                     o->of.most_pure_l, "L");
    }
    if (o->of.stop_held) {
        show_row(s, "stop_l", stop, r->stop_l, o->of.most_l, "L");
        show_row(s, "stop_pure_alcohol_l", "  pure alcohol in that", r->stop_pure_l,
                 o->of.most_pure_l, "L");
    }
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
    const jl_run_plan *plan = &o->plan;
    const jl_rest *r = &o->rest;
    if (isnan(r->stop_l.value))
        show_warning(s, "The run is past its stop at %.4g %% vol at the spout.", plan->stop_pct);
    else if (isnan(r->hearts_l.value))
        show_warning(s, "The run is past the hearts' end at %.4g %% vol at the spout.",
                     plan->hearts_end_pct);
    if (!isnan(r->stop_l.value) && !o->stop_held)
        show_warning(s, "By these jars more would still come than the charge can hold: look at the "
                        "charge and at the jars.");
    if (jl_is_stated(stated, JL_KEY_REFLUX_SCHEDULE))
        show_remark(
            s, "The log has a reflux schedule; the rest of the run is forecast with one reflux "
               "throughout, as its jars so far tell it.");
    say_end(s, "hearts' end", &o->hearts_end);
    say_end(s, "stop", &o->stop);
    const jl_update *charge = &r->charge_strength_pct, *size = &r->charge_l,
                    *reflux = &r->reflux_share;
    if (charge->contradicted != 0)
        show_warning(
            s,
            "The jars contradict the plan: the charge looks %s than said, %.1f ± %.1f %% vol "
            "instead of %.1f.",
            charge->contradicted < 0 ? "weaker" : "stronger", charge->now.value,
            JL_COVERAGE_K * charge->now.standard, plan->charge_strength_pct);
    if (size->contradicted != 0)
        show_warning(s,
                     "The jars contradict the plan: the charge looks %s than said, %.2f ± %.2f L "
                     "instead of %.2f.",
                     size->contradicted < 0 ? "smaller" : "larger", size->now.value,
                     JL_COVERAGE_K * size->now.standard, plan->charge_l);
    if ((charge->contradicted != 0 || size->contradicted != 0) &&
        !jl_is_stated(stated, JL_KEY_STAGES))
        show_warning(s,
                     "Or the still is no plain pot, which is taken since the log names no stages: "
                     "'jarline calibrate' tells.");
    if (reflux->contradicted != 0)
        show_warning(s,
                     "The jars contradict the plan: %s reflux than said, a share of %.2f ± %.2f "
                     "instead of %.2f.",
                     reflux->contradicted < 0 ? "less" : "more", reflux->now.value,
                     JL_COVERAGE_K * reflux->now.standard, plan->reflux_share);
    if (r->residual > 2)
        show_warning(
            s,
            "The jars do not follow this still (%.1f times what the instruments allow); the "
            "intervals are that much wider. 'jarline calibrate' learns the still from whole "
            "runs.",
            r->residual);
}

static void show_plan(show *s, const jl_run_plan *plan, const jl_rest *r) {
    show_group(s, "plan", NULL);
    show_number(s, "charge_strength_pct_said", NULL, plan->charge_strength_pct, 2, "");
    show_number(s, "charge_strength_pct", NULL, r->charge_strength_pct.now.value, 2, "");
    show_number(s, "charge_l", NULL, r->charge_l.now.value, 2, "");
    show_number(s, "reflux_share_said", NULL, plan->reflux_share, 3, "");
    show_number(s, "reflux_share", NULL, r->reflux_share.now.value, 3, "");
    show_number(s, "misfit", NULL, r->residual, 2, "");
    show_group_end(s);
}

static void say_assumed(show *s, const jl_settings *stated, const jl_outlook *o) {
    const jl_run_plan *plan = &o->plan;
    show_assumption(s, "From and to are k = 2, about 95 %%.");
    show_assumption(s, "The rest of the run is a forecast for %g stage%s%s and a reflux of %g%s.",
                    plan->stages, plan->stages == 1 ? "" : "s",
                    jl_is_stated(stated, JL_KEY_STAGES) ? "" : " (the log names none: a plain pot)",
                    jl_setting_value(stated, JL_KEY_REFLUX),
                    jl_is_stated(stated, JL_KEY_REFLUX) ? "" : " (the log names none)");
    show_assumption(s, "Before the jars the charge is as uncertain as jug and alcoholometer "
                       "(common practice, no source).");
    if (plan->stages > 1)
        show_assumption(s,
                        "Before the jars the share that runs back is known to ±%.2g (k = 2; %s).",
                        JL_COVERAGE_K * plan->reflux_share_u,
                        isnan(jl_setting_value(stated, JL_KEY_REFLUX_SHARE_U))
                            ? "common practice, no source"
                            : "the log has it from earlier runs");
    if (!o->hearts_end.stated || !o->stop.stated)
        show_assumption(
            s,
            "Hearts until %.4g %% vol, stop at %.4g %% vol at the spout (what the log does "
            "not say as a strength is the default).",
            plan->hearts_end_pct, plan->stop_pct);
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
    if (!jl_run_rest_possible(run))
        return fail(EXIT_DATA,
                    "%s: %zu jar%s, of a charge of %.1f %% vol; expected at least 3 jars of a "
                    "charge of 0.5 to 90 %% vol",
                    name, count, count == 1 ? "" : "s", jl_spirit_strength_pct(r->charge));
    if (status == JL_CONFLICT)
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
    show_plan(s, &o->of.plan, &o->of.rest);
    say_plan(s, jl_run_settings(run), &o->of);
}

void show_rest(show *s, const jl_run *run, const outlook *o) {
    if (jl_run_recovery(run)->left_stated)
        show_note(s, "What is left in the boiler was measured: the run seems to have ended.");
    show_outlook(s, run, o, false);
    say_assumed(s, jl_run_settings(run), &o->of);
}

void show_rest_below_jar(show *s, const jl_run *run) {
    outlook o;
    if (jl_run_rest(run, NULL, REST_NEXT, o.next, &o.of) == JL_OK) show_outlook(s, run, &o, true);
}
