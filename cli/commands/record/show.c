/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/show.h"
#include "run/run.h"

#include <math.h>
#include <stdio.h>
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
    snprintf(text, size, "%g ml", 1000 * jar->volume_l);
    add_word(text, size, proof ? ", %.4g proof" : ", %.4g %%", jar->reading.value);
    add_word(text, size, " at %.3g °C", jar->temp_c);
    add_word(text, size, ", head %.4g °C", jar->head_c);
    add_word(text, size, ", boiler %.4g °C", jar->boiler_c);
}

static void show_figures(show *s, const jl_jar *jar) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    show_number(s, "jar", NULL, (double)jar->number, 0, "");
    show_number(s, proof ? "reading_proof" : "reading_pct", NULL, jar->reading.value, 1, "");
    show_number(s, "temp_c", NULL, jar->temp_c, 1, "°C");
    show_number(s, "head_c", NULL, jar->head_c, 1, "°C");
    show_number(s, "boiler_c", NULL, jar->boiler_c, 1, "°C");
    show_number(s, "strength_pct", "Strength at 20 °C", jl_spirit_strength_pct(jar->spirit), 2,
                "% vol");
}

/* "12.5 min, 20.0 ml/min". */
static void show_rate(show *s, const jl_jar *before, const jl_jar *jar) {
    char text[64];
    double minutes = jl_jar_minutes(before, jar);
    double rate = jl_jar_rate_ml_min(before, jar);
    show_number(s, "since_s", NULL, 60 * minutes, 0, "s");
    show_number(s, "rate_ml_min", NULL, rate, 1, "ml/min");
    if (isnan(minutes)) return;
    snprintf(text, sizeof text, "%.1f min, %.1f ml/min", minutes, rate);
    show_text(s, NULL, "Since the jar before", text);
}

void show_recorded_jar(show *s, const jl_run *run, const jl_jar *jar) {
    const jl_jar *before = jar_before(run, jar);
    double expected = jl_run_expected_pct(run, jar->before_l, jar->until_l);
    show_figures(s, jar);
    show_number(s, "expected_strength_pct", isnan(expected) ? NULL : "Forecast for it", expected, 2,
                "% vol");
    show_number(s, "measured_l", NULL, jar->volume_l, 4, "l");
    show_number(s, "volume_l", NULL, jl_volume_l(jar->spirit, JL_STRENGTH_C), 4, "l");
    show_number(s, "pure_alcohol_l", "Pure alcohol in it", jl_pure_alcohol_l(jar->spirit), 4, "l");
    show_rate(s, before, jar);
}

/* ---- the run ---- */

/* In text only where the rest of the run, learnt from three jars or more, does not follow. */
static void show_to_come(show *s, const jl_run *run, bool rest_follows) {
    double volume_l, pure_l;
    bool known = jl_run_to_come(run, &volume_l, &pure_l), told = known && !rest_follows;
    show_number(s, "to_come_l", told ? "Still to come by forecast" : NULL, known ? volume_l : NAN,
                3, "l");
    show_number(s, "to_come_pure_alcohol_l", told ? "Pure alcohol in that" : NULL,
                known ? pure_l : NAN, 3, "l");
}

/* What is missing is a figure only when the boiler's rest was measured. */
static void show_recovery(show *s, const jl_recovery *r) {
    if (!r->charge_stated) return;
    show_number(s, "recovery_pct", "Of that charged", r->recovery_pct, 1, "%");
    if (r->left_stated) {
        show_number(s, "left_pure_alcohol_l", "Left in the boiler", jl_pure_alcohol_l(r->left), 3,
                    "l");
        show_number(s, "missing_l", "Missing", r->missing_l, 3, "l");
    }
    if (r->missing_l <
        -0.02 * jl_pure_alcohol_l(r->charge)) /* more than jug and instrument may be out together */
        show_warning(
            s,
            "More pure alcohol came out than the log says went in: look at %sthe charge and at "
            "the readings.",
            r->left_stated ? "what is left, at " : "");
}

void show_run_so_far(show *s, const jl_run *run, bool rest_follows) {
    char heading[64];
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *recovery = jl_run_recovery(run);
    bool any = count > 0;
    double volume_l = any ? jars[count - 1].until_l : 0;
    double pure_l = any ? jl_pure_alcohol_l(recovery->collected) : 0;
    snprintf(heading, sizeof heading, "The run so far: %zu jar%s", count, count == 1 ? "" : "s");
    show_group(s, "total", heading);
    show_number(s, "jars", NULL, (double)count, 0, "");
    show_number(s, "volume_l", "Volume at 20 °C", volume_l, 3, "l");
    show_number(s, "strength_pct", any ? "Strength at 20 °C" : NULL,
                any ? jl_spirit_strength_pct(recovery->collected) : NAN, 2, "% vol");
    show_number(s, "pure_alcohol_l", "Pure alcohol", pure_l, 3, "l");
    show_recovery(s, recovery);
    show_to_come(s, run, rest_follows && count >= 3 && recovery->charge_stated);
    show_group_end(s);
}

static void show_clock(show *s, const jl_jar *jar) {
    char text[JL_TIME_BYTES];
    bool known = jar->has_time && jl_time_write(jar->time, text, sizeof text) == JL_OK;
    if (known) text[16] = '\0';
    show_cell_text(s, known ? text + 11 : NULL);
}

void show_table_of_jars(show *s, const jl_run *run, size_t most) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const column columns[] = {
        {"jar", "jar", "", 4, 0, COLUMN_NUMBERS},
        {"time", "time", "", 5, 0, COLUMN_WORDS},
        {"volume_ml", "volume", "ml", 6, 0, COLUMN_NUMBERS},
        {"reading", "reading", count == 0 ? "%" : scale_unit(jars[count - 1].reading), 7, 1,
         COLUMN_NUMBERS},
        {"temp_c", "at", "°C", 5, 1, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 1, COLUMN_NUMBERS},
        {"expected_strength_pct", "forecast", "% vol", 8, 1, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure", "l", 7, 3, COLUMN_NUMBERS},
        {"head_c", "head", "°C", 5, 1, COLUMN_NUMBERS},
        {"rate_ml_min", "ml/min", "", 6, 1, COLUMN_NUMBERS},
    };
    if (count == 0) return;
    show_table(s, "jars", columns, sizeof columns / sizeof columns[0]);
    for (const jl_jar *jar = jars + (count > most ? count - most : 0); jar < jars + count; jar++) {
        show_cell(s, jar->number);
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
