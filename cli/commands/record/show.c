/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/show.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "input/clock.h"
#include "run/run.h"
#include "run/tally.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const jl_jar *jar_before(const jl_run *run, const jl_jar *jar) {
    size_t count;
    return jar > jl_run_jars(run, &count) ? jar - 1 : NULL;
}

/* ---- one jar ---- */

static const char *scale_unit(jl_quantity reading) {
    return reading.unit == JL_UNIT_PROOF_US ? "proof" : "%";
}

static void add_word(char *text, size_t size, const char *format, double value) {
    size_t length = strlen(text);
    if (!isnan(value)) snprintf(text + length, size - length, format, value);
}

void write_figures(const jl_jar *jar, char *text, size_t size) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    snprintf(text, size, jar->by_weight ? "%.4g mL" : "%g mL", 1000 * jar->volume_l);
    add_word(text, size, proof ? ", %.4g proof" : ", %.4g %%", jar->reading.value);
    if (jar->from_spout) add_word(text, size, ", %.4g at the spout", jar->spout.value);
    add_word(text, size, " at %.3g °C", jar->from_spout ? jar->spout_temp_c : jar->temp_c);
    if (jar->taken_l > 0) add_word(text, size, ", %g mL taken", 1000 * jar->taken_l);
    add_word(text, size, ", head %.4g °C", jar->head_c);
    add_word(text, size, ", boiler %.4g °C", jar->boiler_c);
}

static void show_figures(show *s, const jl_jar *jar) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    show_text(s, "jar", NULL, jar->name);
    show_number(s, proof ? "reading_proof" : "reading_pct", NULL, jar->reading.value, 1, "");
    show_number(s, "temp_c", NULL, jar->temp_c, 1, "°C");
    show_number(s, "head_c", NULL, jar->head_c, 1, "°C");
    show_number(s, "boiler_c", NULL, jar->boiler_c, 1, "°C");
    show_number(s, "strength_pct", NULL, jl_spirit_strength_pct(jar->spirit), 2, "% vol");
}

static void show_recorded_jar(show *s, const jl_run *run, const jl_jar *jar) {
    const jl_jar *before = jar_before(run, jar);
    show_figures(s, jar);
    show_number(s, "expected_strength_pct", NULL,
                jl_run_expected_pct(run, jar->before_l, jar->until_l), 2, "% vol");
    show_number(s, "measured_l", NULL, jar->volume_l, 4, "L");
    show_number(s, "volume_l", NULL, jl_volume_l(jar->spirit, JL_STRENGTH_C), 4, "L");
    show_number(s, "pure_alcohol_l", NULL, jl_pure_alcohol_l(jar->spirit), 4, "L");
    show_number(s, "since_s", NULL, 60 * jl_jar_minutes(before, jar), 0, "s");
    show_number(s, "rate_ml_min", NULL, jl_jar_rate_ml_min(before, jar), 1, "mL/min");
}

/* ---- the run ---- */

static void show_to_come(show *s, const jl_run *run, bool seen) {
    double volume_l, pure_l;
    bool known = jl_run_to_come(run, &volume_l, &pure_l), told = known && seen;
    show_number(s, "to_come_l", told ? "Still to come by forecast" : NULL, known ? volume_l : NAN,
                3, "L");
    show_number(s, "to_come_pure_alcohol_l", told ? "Pure alcohol in that" : NULL,
                known ? pure_l : NAN, 3, "L");
}

/* What is missing is a figure only when the boiler's rest was measured. */
static void show_recovery(show *s, const jl_recovery *r, bool seen) {
    if (!r->charge_stated) return;
    show_number(s, "recovery_pct", seen ? "Recovered" : NULL, r->recovery_pct, 1,
                "% of the charge");
    if (!r->left_stated) return;
    show_number(s, "left_pure_alcohol_l", seen ? "Left in the boiler" : NULL,
                jl_pure_alcohol_l(r->left), 3, "L");
    show_number(s, "not_recovered_l", seen ? "Not recovered" : NULL, r->missing_l, 3, "L");
}

/* More than jug and instrument may be out together. */
static void warn_of_recovery(show *s, const jl_recovery *r) {
    if (!r->charge_stated || !(r->missing_l < -0.02 * jl_pure_alcohol_l(r->charge))) return;
    show_warning(
        s,
        "More pure alcohol was collected than the log says was charged: look at %sthe charge and "
        "at the readings.",
        r->left_stated ? "what is left, at " : "");
}

static void show_sums(show *s, const jl_run *run, bool seen) {
    char heading[64];
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *recovery = jl_run_recovery(run);
    bool any = count > 0;
    snprintf(heading, sizeof heading, "The run so far: %zu jar%s", count, count == 1 ? "" : "s");
    show_group(s, "total", seen ? heading : NULL);
    show_number(s, "jars", NULL, (double)count, 0, "");
    show_number(s, "volume_l", seen ? "Volume so far, at 20 °C" : NULL,
                any ? jars[count - 1].until_l : 0, 3, "L");
    show_number(s, "strength_pct", any && seen ? "Strength so far" : NULL,
                any ? jl_spirit_strength_pct(recovery->collected) : NAN, 2, "% vol");
    show_number(s, "pure_alcohol_l", seen ? "Pure alcohol so far" : NULL,
                any ? jl_pure_alcohol_l(recovery->collected) : 0, 3, "L");
    show_recovery(s, recovery, seen);
    show_to_come(s, run, seen);
    show_group_end(s);
    warn_of_recovery(s, recovery);
}

void show_run_so_far(show *s, const jl_run *run) {
    show_sums(s, run, true);
}

static void show_clock(show *s, const jl_jar *jar) {
    char text[JL_TIME_BYTES];
    bool known = jar->has_time && jl_time_write(jar->time, text, sizeof text) == JL_OK;
    if (known) text[16] = '\0';
    show_cell_text(s, known ? text + 11 : NULL);
}

void show_table_of_jars(show *s, const jl_run *run, size_t from, size_t to) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const column columns[] = {
        {"jar", "jar", "", 4, 0, COLUMN_NUMBERS},
        {"time", "time", "", 5, 0, COLUMN_WORDS},
        {"volume_ml", "volume", "mL", 6, 0, COLUMN_NUMBERS},
        {"reading", "reading", count == 0 ? "%" : scale_unit(jars[count - 1].reading), 7, 1,
         COLUMN_NUMBERS},
        {"temp_c", "temperature", "°C", 11, 1, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"expected_strength_pct", "forecast", "% vol", 8, 1, COLUMN_NUMBERS},
        {"pure_alcohol_l", NULL, "L", 12, 3, COLUMN_NUMBERS},
        {"head_c", "head", "°C", 5, 1, COLUMN_NUMBERS},
        {"rate_ml_min", "mL/min", "", 6, 1, COLUMN_NUMBERS},
    };
    if (count == 0) return;
    show_table(s, "jars", columns, sizeof columns / sizeof columns[0]);
    for (const jl_jar *jar = jars + from; jar < jars + to; jar++) {
        show_cell_text(s, jar->name);
        show_clock(s, jar);
        show_cell(s, 1000 * jar->volume_l);
        show_cell(s, jar->reading.value);
        show_cell(s, jar->temp_c);
        show_cell(s, jl_spirit_strength_pct(jar->spirit));
        show_cell(s, jl_run_expected_pct(run, jar->before_l, jar->until_l));
        show_cell(s, jl_pure_alcohol_l(jar->so_far));
        show_cell(s, jar->head_c);
        show_cell(s, jl_jar_rate_ml_min(jar_before(run, jar), jar));
    }
}

/* ---- below a jar ---- */

/* "So far 2.000 L, 1.484 L pure, 54.4 % recovered." */
static void write_so_far(const jl_run *run, char *text, size_t size) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *r = jl_run_recovery(run);
    if (count == 0) {
        snprintf(text, size, "No jar counts so far.");
        return;
    }
    double pure_l = jl_pure_alcohol_l(r->collected);
    int n = snprintf(text, size, "So far %.3f L, %.3f L pure", jars[count - 1].until_l, pure_l);
    if (r->charge_stated)
        n += snprintf(text + n, size - (size_t)n, ", %.1f %% recovered",
                      100 * pure_l / jl_pure_alcohol_l(r->charge));
    snprintf(text + n, size - (size_t)n, ".");
}

/* "67.4 % vol, forecast 68.1." */
static void write_strength(const jl_run *run, const jl_jar *jar, char *text, size_t size) {
    double expected = jl_run_expected_pct(run, jar->before_l, jar->until_l);
    snprintf(text, size, "%.1f %% vol", jl_spirit_strength_pct(jar->spirit));
    add_word(text, size, ", forecast %.1f", expected);
    strncat(text, ". ", size - strlen(text) - 1);
}

void show_jar_done(show *s, const jl_run *run, const jl_jar *jar, const char *name,
                   const char *deed) {
    char figures[160] = "", heading[224], so_far[112], strength[64] = "", line[192];
    if (jar != NULL) write_figures(jar, figures, sizeof figures);
    snprintf(heading, sizeof heading, "Jar %s %s%s%s", name, deed, jar == NULL ? "" : ": ",
             figures);
    show_heading(s, heading);
    write_so_far(run, so_far, sizeof so_far);
    if (jar != NULL) write_strength(run, jar, strength, sizeof strength);
    snprintf(line, sizeof line, "%s%s", strength, so_far);
    show_heading(s, line);
    show_text(s, "done", NULL, deed);
    if (jar != NULL) show_recorded_jar(s, run, jar);
    show_sums(s, run, false);
    show_rest_after_jar(s, run, clock_now());
}

void show_cut_by_rules(show *s, const jl_run *run) {
    jl_cut_rules rules;
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    jl_fraction *fractions = need(calloc(count + 1, sizeof *fractions));
    jl_status status = jl_run_cut_rules(run, &rules);
    if (status == JL_OK) status = jl_run_suggest_cut(run, &rules, fractions);
    for (size_t i = 0, first = 0; status == JL_OK && i < count; i++) {
        if (i + 1 < count && fractions[i + 1] == fractions[i]) continue;
        show_text_remark(s, "By the rules %s: jar %s to %s.", jl_fraction_name(fractions[i]),
                         jars[first].name, jars[i].name);
        first = i + 1;
    }
    if (status == JL_MISSING)
        show_text_remark(s, "The log states no charge, on which the rules rest.");
    if (status == JL_NO) show_text_remark(s, "A strip run has no cut.");
    show_text_remark(s,
                     "Nose and tongue decide. 'cut hearts' marks the jars from now on; afterwards "
                     "'jarline cut' shows and saves any choice.");
    free(fractions);
}

/* ---- what is left in the boiler ---- */

void show_left_done(show *s, const jl_run *run, const jl_left *left) {
    const jl_recovery *recovery = jl_run_recovery(run);
    jl_alcoholometer instrument = jl_run_instrument(run);
    show_heading(s, "Recorded: what is left in the boiler");
    show_text(s, "done", NULL, "recorded");
    show_number(s, "left_l", "Volume at 20 °C", jl_volume_l(recovery->left, JL_STRENGTH_C), 3, "L");
    show_number(s, "left_strength_pct", "Strength at 20 °C", jl_spirit_strength_pct(recovery->left),
                2, "% vol");
    show_number(s, "left_pure_alcohol_l", "Pure alcohol in it", jl_pure_alcohol_l(recovery->left),
                3, "L");
    show_run_so_far(s, run);
    bool water = false;
    double p;
    if (!isnan(left->reading.value) &&
        jl_left_reading(&instrument, left->reading, left->temp_c, &water, &p) == JL_OK && water)
        show_remark(s,
                    "It reads within half a division of water: its strength counts as 0 %% vol.");
    if (!isnan(left->reading.value)) {
        assume_log_instrument(s, &instrument, left->reading.unit);
        note_on_reading(s, jl_spirit_strength_pct(recovery->left), left->temp_c);
    }
    if (!recovery->charge_stated)
        show_remark(s, "The log states no charge, so what is missing cannot be told.");
}
