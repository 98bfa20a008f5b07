/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/rest.h"
#include "answer/diagnosis.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "run/run.h"
#include "still/from_settings.h"

#include <math.h>
#include <string.h>

/* ---- Predicted moments as text ---- */

enum { CLOCK_SPAN_BYTES = 96 };

/* RFC 3339 of seconds as jl_time has them, by the clock of another moment. */
static const char *write_stamp(double unix_s, jl_time like, char text[JL_TIME_BYTES]) {
    const double most_s = 2e11; /* about the year 8300: beyond it no moment is one */
    if (!(fabs(unix_s) < most_s)) return NULL;
    like.unix_s = (int64_t)llround(unix_s);
    return jl_time_write(like, text, JL_TIME_BYTES) == JL_OK ? text : NULL;
}

static bool write_minute(double unix_s, jl_time like, bool date, char text[JL_TIME_BYTES]) {
    if (write_stamp(unix_s, like, text) == NULL) return false;
    text[16] = '\0';
    if (date)
        text[10] = ' ';
    else
        memmove(text, text + 11, 6);
    return true;
}

/* "10:34 (10:30 to 10:39)", to the minute; beyond a day from that moment with the date. */
static const char *write_clock_span(const jl_estimate *at, jl_time like,
                                    char text[CLOCK_SPAN_BYTES]) {
    char value[JL_TIME_BYTES], low[JL_TIME_BYTES], high[JL_TIME_BYTES];
    bool date = at->high - (double)like.unix_s > JL_DAY_S;
    if (write_minute(60 * round(at->value / 60), like, date, value) &&
        write_minute(60 * floor(at->low / 60), like, date, low) &&
        write_minute(60 * ceil(at->high / 60), like, date, high))
        snprintf(text, CLOCK_SPAN_BYTES, "%s (%s to %s)", value, low, high);
    else
        snprintf(text, CLOCK_SPAN_BYTES, "some day");
    return text;
}

/* ---- Figures ---- */

/* A limit at the spout, as it was stated: "60 % vol". */
#define LIMIT(pct) figure_short(pct, EXACT + (units_seen().proof ? 1 : 2), PCT_VOL).text

static void show_row(show *s, const char *key, const char *label, jl_estimate e, const char *unit) {
    const jl_estimate seen = {value_seen(e.value, unit), value_seen(e.low, unit),
                              value_seen(e.high, unit)};
    int decimals = digits_of_estimate(seen, 2);
    show_cells(s, CELLS(V(key), V(label), V(e.value), V(e.low), V(e.high), V(unit),
                        v_with(seen.value, decimals), v_with(seen.low, decimals),
                        v_with(seen.high, decimals), V(unit_seen(unit))));
}

static void show_litres(show *s, const char *key, const char *label, jl_estimate litres) {
    show_row(s, key, label, litres, "L");
}

static void show_next_jars(show *s, const outlook *o, int most) {
    static const char *const KEYS[REST_NEXT] = {"next_pct", "second_pct", "third_pct"};
    char label[64];
    for (int i = 0; i < most; i++) {
        snprintf(label, sizeof label,
                 i == 0 ? "Strength of the next %.3g L" : "then the next %.3g L", o->of.plan.jar_l);
        if (!isnan(o->next[i].value)) show_row(s, KEYS[i], label, o->next[i], PCT_VOL);
    }
}

/* A row has its own unit, in which a person may see another figure than a program. */
static void begin_table(show *s, bool seen) {
#define FOR_PROGRAMS                                                                               \
    {"value", NULL, "", 0, 2, COLUMN_NUMBERS}, {"low", NULL, "", 0, 2, COLUMN_NUMBERS},            \
        {"high", NULL, "", 0, 2, COLUMN_NUMBERS}, {                                                \
        "unit", NULL, "", 0, 0, COLUMN_WORDS                                                       \
    }
    static const column SEEN[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "still to come", "", 36, 0, COLUMN_WORDS},
        FOR_PROGRAMS,
        {NULL, "value", "", 7, 2, COLUMN_NUMBERS},
        {NULL, "from", "95 %", 7, 2, COLUMN_NUMBERS},
        {NULL, "to", "95 %", 7, 2, COLUMN_NUMBERS},
        {NULL, "", "", 5, 0, COLUMN_WORDS},
    };
    static const column UNSEEN[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, NULL, "", 0, 0, COLUMN_WORDS},
        FOR_PROGRAMS,
        {NULL, NULL, "", 0, 2, COLUMN_NUMBERS},
        {NULL, NULL, "", 0, 2, COLUMN_NUMBERS},
        {NULL, NULL, "", 0, 2, COLUMN_NUMBERS},
        {NULL, NULL, "", 0, 0, COLUMN_WORDS},
    };
#undef FOR_PROGRAMS
    show_table(s, "rest", seen ? SEEN : UNSEEN, sizeof SEEN / sizeof SEEN[0]);
}

static void show_figures(show *s, const outlook *o, rest_form form) {
    const jl_ahead_plan *plan = &o->of.plan;
    const jl_ahead *a = &o->of.ahead;
    char hearts[96], stop[96];
    snprintf(hearts, sizeof hearts, "Until the hearts' end at %s", LIMIT(plan->hearts_end_pct));
    snprintf(stop, sizeof stop, "Until the stop at %s", LIMIT(plan->stop_pct));
    begin_table(s, form != REST_LINE);
    show_next_jars(s, o, form == REST_PAGE ? 1 : REST_NEXT);
    if (plan->hearts_end_pct != plan->stop_pct && !a->hearts_past) {
        show_litres(s, "hearts_l", hearts, a->hearts_l);
        if (form != REST_PAGE)
            show_litres(s, "hearts_pure_alcohol_l", "  pure alcohol in that", a->hearts_pure_l);
    }
    if (!a->stop_past) {
        show_litres(s, "stop_l", stop, a->stop_l);
        show_litres(s, "stop_pure_alcohol_l", "  pure alcohol in that", a->stop_pure_l);
    }
}

/* ---- Clock ---- */

static void show_moment(show *s, const char *key, const char *label, const jl_outlook *o,
                        const jl_estimate *at) {
    char text[CLOCK_SPAN_BYTES], stamp[JL_TIME_BYTES], name[32];
    static const char *const ENDS[] = {"", "_low", "_high"};
    const double moments[] = {at->value, at->low, at->high};
    bool known = !isnan(at->value);
    for (int i = 0; i < 3; i++) {
        snprintf(name, sizeof name, "%s%s", key, ENDS[i]);
        show_text(s, name, NULL, known ? write_stamp(moments[i], o->from, stamp) : NULL);
    }
    if (known) show_text(s, NULL, label, write_clock_span(at, o->from, text));
}

static void show_clock(show *s, const jl_outlook *o, rest_form form) {
    bool same = o->plan.hearts_end_pct == o->plan.stop_pct, seen = form != REST_LINE;
    show_group(s, "clock", NULL);
    show_moment(s, "hearts_end_at", same || !seen ? NULL : "Hearts end at", o, &o->hearts_end_at);
    show_moment(s, "stop_at", seen ? "Stop at" : NULL, o, &o->stop_at);
    show_group_end(s);
    if (o->clock && !o->ahead.stop_past)
        show_standing_caution(s, "Never leave a running still alone.");
}

/* ---- The next event ---- */

/* A clock that is far from now is one of another day. */
static void add_minutes(double at, double from, jl_time now, char *text, size_t size) {
    const double same_s = 7200;
    double ahead_s = at - (double)now.unix_s, since_s = (double)now.unix_s - from;
    if (fabs(since_s) > same_s) return;
    if (ahead_s < 60)
        snprintf(text, size, " about now,");
    else
        snprintf(text, size, " in about %.0f min,", ahead_s / 60);
}

static void write_event(const char *what, const jl_outlook *o, const jl_estimate *at,
                        const jl_estimate *after_l, jl_time now, char text[EVENT_BYTES]) {
    char span[CLOCK_SPAN_BYTES], minutes[48] = "";
    if (isnan(at->value)) {
        int d = digits_of_estimate(*after_l, 2);
        snprintf(text, EVENT_BYTES, "%s after %.*f L more (%.*f to %.*f)", what, d, after_l->value,
                 d, after_l->low, d, after_l->high);
        return;
    }
    add_minutes(at->value, (double)o->from.unix_s, now, minutes, sizeof minutes);
    snprintf(text, EVENT_BYTES, "%s%s %s, after %.*f L", what, minutes,
             write_clock_span(at, o->from, span), digits_of_estimate(*after_l, 2), after_l->value);
}

void write_next_event(const jl_outlook *o, jl_time now, char text[EVENT_BYTES]) {
    const jl_ahead *a = &o->ahead;
    bool hearts = o->plan.hearts_end_pct != o->plan.stop_pct;
    if (a->stop_past)
        snprintf(text, EVENT_BYTES, "Past the stop at %s at the spout", LIMIT(o->plan.stop_pct));
    else if (a->hearts_past || !hearts)
        write_event(hearts ? "Past the hearts' end; stop" : "Stop", o, &o->stop_at, &a->stop_l, now,
                    text);
    else
        write_event("Hearts end", o, &o->hearts_end_at, &a->hearts_l, now, text);
}

/* ---- What the jars say of the plan ---- */

/* A rule that is no strength at the spout is followed as one, or not at all. */
static void write_end(const char *what, const jl_spout_end *end, char *text, size_t size) {
    text[0] = '\0';
    if (!end->followed)
        snprintf(text, size,
                 "The log's %s is '%s', which the rest of the run does not follow: it is forecast "
                 "to the usual %s at the spout.",
                 what, RULE(&end->rule), LIMIT(end->strength_pct));
    else if (end->rule.by == JL_CUT_BOILER_C || end->rule.by == JL_CUT_HEAD_C)
        snprintf(text, size,
                 "The log's %s is '%s': about %s at the spout, by the still that the log states.",
                 what, RULE(&end->rule), AT_STRENGTH(end->strength_pct));
}

/* Below each jar it would be said again and again. */
static void remark(show *s, rest_form form, const char *text) {
    if (text[0] == '\0') return;
    if (form == REST_LINE)
        show_note(s, "%s", text);
    else
        show_remark(s, "%s", text);
}

static void say_plan(show *s, const jl_settings *stated, const jl_outlook *o, rest_form form) {
    char text[240];
    if (jl_is_stated(stated, JL_KEY_REFLUX_SCHEDULE))
        remark(s, form,
               "The log has a reflux schedule; the rest of the run is forecast with one reflux "
               "throughout, as its jars so far show it.");
    write_end("hearts' end", &o->hearts_end, text, sizeof text);
    remark(s, form, text);
    write_end("stop", &o->stop, text, sizeof text);
    remark(s, form, text);
}

static void warn_if_past(show *s, const jl_outlook *o) {
    if (o->ahead.stop_past)
        show_warning(s, "The run is past its stop at %s at the spout.", LIMIT(o->plan.stop_pct));
    else if (o->ahead.hearts_past)
        show_warning(s, "The run is past the hearts' end at %s at the spout.",
                     LIMIT(o->plan.hearts_end_pct));
}

/* Of two jars a day or more apart one moment is likely wrong. */
static void warn_of_jumps(show *s, const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 1; i < count; i++) {
        double minutes = jl_jar_minutes(&jars[i - 1], &jars[i]);
        if (minutes > JL_JAR_LONGEST_S / 60)
            show_warning(s,
                         "Jar %s was full %.0f h after jar %s: is its time right (the clock "
                         "leaves that out)?",
                         jars[i].name, minutes / 60, jars[i - 1].name);
    }
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
        show_assumption(
            s,
            "The rest of the run is a forecast for %g stage%s and a reflux of %g, as the log says.",
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
        show_assumption(s,
                        "Hearts until %s, stop at %s at the spout (what the log does not say as a "
                        "strength is the default).",
                        LIMIT(o->plan.hearts_end_pct), LIMIT(o->plan.stop_pct));
    if (o->clock)
        show_assumption(
            s, "The clock goes on from the last moment in the log, with the heat as it was.");
}

int rest_forecast(const char *name, const jl_run *run, const jl_settings *instruments, outlook *o) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    jl_run_jars(run, &count);
    jl_status status = jl_run_rest(run, instruments, REST_NEXT, o->next, &o->of);
    if (status == JL_OK) return EXIT_DONE;
    if (!r->charge_stated)
        return fail(
            EXIT_DATA,
            "%s: the rest of a run needs its charge; expected #charge_l and #charge_strength_pct",
            name);
    double pct = jl_spirit_strength_pct(r->charge);
    if (count == 0 || !(pct > JL_REST_LEAST_PCT && pct < JL_REST_MOST_PCT))
        return fail(EXIT_DATA,
                    "%s: %zu jar%s, of a charge of %s; expected at least 1 jar of a charge of %.3g "
                    "to %s",
                    name, count, count == 1 ? "" : "s", AT_STRENGTH(pct),
                    value_seen(JL_REST_LEAST_PCT, PCT_VOL), LIMIT(JL_REST_MOST_PCT));
    if (!jl_run_rest_possible(run))
        return fail(
            EXIT_DATA,
            "%s: its jars hold more than was charged; expected a charge that can have given them",
            name);
    return fail(exit_of_file(status),
                "%s: the rest of the run: %s; no still makes these jars of that charge", name,
                jl_status_text(status));
}

static const char *built_upon(const jl_diagnosis *d) {
    static const char *const WORDS[JL_CAUSES] = {NULL,
                                                 "without that strength",
                                                 "as if that jar had been written down",
                                                 "with the pause left out of the pace",
                                                 "for a charge that may be 10 % off",
                                                 "for readings that may all be 3 % vol off",
                                                 "for any still that the jars allow"};
    bool placed = d->cause <= JL_CAUSE_PAUSE && !d->of[d->cause].jar_told;
    bool other = d->alike && d->cause != JL_CAUSE_CHARGE;
    return !d->flagged || other || placed ? NULL : WORDS[d->cause];
}

/* Of which record warns by itself. */
static bool ends_twice(const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    return count > 1 && jl_run_same_jar(&jars[count - 2], &jars[count - 1]);
}

static void show_outlook(show *s, const jl_run *run, const outlook *o, rest_form form) {
    const char *upon = built_upon(&o->of.diagnosis);
    show_figures(s, o, form);
    show_clock(s, &o->of, form);
    show_plan(s, run, &o->of);
    if (form != REST_LINE) warn_if_past(s, &o->of);
    if (form != REST_LINE) warn_of_jumps(s, run);
    show_diagnosis(s, run, &o->of.diagnosis, form != REST_LINE || !ends_twice(run));
    say_plan(s, jl_run_settings(run), &o->of, form);
    if (upon != NULL) show_assumption(s, "The rest of the run is forecast %s.", upon);
}

static const char REST_HEADING[] = "The rest of the run, forecast anew from its jars";

void show_rest(show *s, const jl_run *run, const outlook *o) {
    if (jl_run_recovery(run)->left_stated)
        show_note(s, "What is left in the boiler was measured: the run seems to have ended.");
    show_heading_at(s, REST_HEADING);
    show_outlook(s, run, o, REST_WHOLE);
    say_assumed(s, run, &o->of);
}

static const jl_settings *bench = NULL; /* NULL: the usual ones */

void rest_by(const jl_settings *instruments) {
    bench = instruments;
}

jl_instruments rest_instruments(void) {
    return jl_settings_to_instruments(bench);
}

void show_rest_page(show *s, const jl_run *run) {
    outlook o;
    if (jl_run_rest(run, bench, REST_NEXT, o.next, &o.of) != JL_OK) return;
    show_heading_at(s, REST_HEADING);
    show_outlook(s, run, &o, REST_PAGE);
}

bool show_rest_after_jar(show *s, const jl_run *run, jl_time now) {
    outlook o;
    char line[EVENT_BYTES];
    size_t count;
    jl_run_jars(run, &count);
    if (count > JARS_OF_A_RUN || jl_run_recovery(run)->left_stated) return false;
    if (jl_run_rest(run, bench, REST_NEXT, o.next, &o.of) != JL_OK) return false;
    show_outlook(s, run, &o, REST_LINE);
    write_next_event(&o.of, now, line);
    show_heading(s, line);
    return o.of.ahead.stop_past;
}
