/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/record.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/* ---- doubts ---- */

/* Common practice, no source: what a slip of the pen exceeds and a run seldom does. */
static const double FORECAST_PCT = 5, RISE_PCT = 3, FALL_PCT = 10, TEMP_C = 10, HEAD_C = 5,
                    VOLUME_TIMES = 5;

static void uncertainty(warnings *d, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void uncertainty(warnings *d, const char *format, ...) {
    va_list list;
    if (d->count == WARNINGS_MOST) return;
    va_start(list, format);
    vsnprintf(d->text[d->count++], WARNING_SIZE, format, list);
    va_end(list);
}

static double apart_from_forecast(const running *run, const past_jar *jar) {
    return jar->strength_pct - running_expected_pct(run, jar->before_l, jar->until_l);
}

/* A run that goes its own way is said once and not at every jar. */
static void uncertainty_forecast(warnings *d, const running *run, const past_jar *before,
                                 const past_jar *jar) {
    double apart = apart_from_forecast(run, jar);
    bool known = before != NULL && fabs(apart_from_forecast(run, before) - apart) < RISE_PCT;
    if (fabs(apart) > FORECAST_PCT && !known)
        uncertainty(d, "its strength is %.1f %% vol %s what was forecast (%.1f)", fabs(apart),
                    apart > 0 ? "above" : "below", jar->strength_pct - apart);
}

static void uncertainty_before(warnings *d, const past_jar *before, const past_jar *jar) {
    double rise = jar->strength_pct - before->strength_pct;
    double times = jar->measured_l / before->measured_l;
    if (rise > RISE_PCT || rise < -FALL_PCT)
        uncertainty(d, "its strength is %.1f %% vol %s the jar before (%.1f)", fabs(rise),
                    rise > 0 ? "above" : "below", before->strength_pct);
    if (times > VOLUME_TIMES || times < 1 / VOLUME_TIMES)
        uncertainty(d, "its volume is %.0f ml, that of the jar before %.0f ml",
                    1000 * jar->measured_l, 1000 * before->measured_l);
    if (fabs(jar->temp_c - before->temp_c) > TEMP_C)
        uncertainty(d, "it is %.1f °C warm, the jar before was %.1f °C", jar->temp_c,
                    before->temp_c);
    if (fabs(jar->head_c - before->head_c) > HEAD_C)
        uncertainty(d, "the head shows %.1f °C, at the jar before %.1f °C", jar->head_c,
                    before->head_c);
    if (jar->timed && before->timed && jar->time.unix_s < before->time.unix_s)
        uncertainty(d, "its time lies before that of the jar before");
}

warnings warnings_of(const running *run, const past_jar *jar) {
    warnings d = {.count = 0};
    const past_jar *before = running_before(run, jar->number);
    uncertainty_forecast(&d, run, before, jar);
    if (before != NULL) uncertainty_before(&d, before, jar);
    return d;
}

/* ---- one jar ---- */

static const char *scale_unit(jl_quantity reading) {
    return reading.unit == JL_UNIT_PROOF_US ? "proof" : "%";
}

static void add_word(char *text, size_t size, const char *format, double value) {
    size_t length = strlen(text);
    if (!isnan(value)) snprintf(text + length, size - length, format, value);
}

void write_figures(const past_jar *jar, char *text, size_t size) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    snprintf(text, size, "%g ml", 1000 * jar->measured_l);
    add_word(text, size, proof ? ", %.4g proof" : ", %.4g %%", jar->reading.value);
    add_word(text, size, " at %.3g °C", jar->temp_c);
    add_word(text, size, ", head %.4g °C", jar->head_c);
    add_word(text, size, ", boiler %.4g °C", jar->boiler_c);
}

static void show_figures(show *s, const past_jar *jar) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    show_number(s, "jar", NULL, (double)jar->number, 0, "");
    show_number(s, proof ? "reading_proof" : "reading_pct", NULL, jar->reading.value, 1, "");
    show_number(s, "temp_c", NULL, jar->temp_c, 1, "°C");
    show_number(s, "head_c", NULL, jar->head_c, 1, "°C");
    show_number(s, "boiler_c", NULL, jar->boiler_c, 1, "°C");
    show_number(s, "strength_pct", "Strength at 20 °C", jar->strength_pct, 2, "% vol");
}

/* "12.5 min, 20.0 ml/min". */
static void show_rate(show *s, const past_jar *before, const past_jar *jar) {
    char text[64];
    double minutes = minutes_between(before, jar);
    double rate = rate_ml_min(before, jar);
    show_number(s, "since_s", NULL, 60 * minutes, 0, "s");
    show_number(s, "rate_ml_min", NULL, rate, 1, "ml/min");
    if (isnan(minutes)) return;
    snprintf(text, sizeof text, "%.1f min, %.1f ml/min", minutes, rate);
    show_text(s, NULL, "Since the jar before", text);
}

void show_recorded_jar(show *s, const running *run, const past_jar *jar) {
    const past_jar *before = running_before(run, jar->number);
    double expected = running_expected_pct(run, jar->before_l, jar->until_l);
    show_figures(s, jar);
    show_number(s, "expected_strength_pct", isnan(expected) ? NULL : "Forecast for it", expected, 2,
                "% vol");
    show_number(s, "measured_l", NULL, jar->measured_l, 4, "l");
    show_number(s, "volume_l", NULL, jl_volume_l(jar->spirit, JL_STRENGTH_C), 4, "l");
    show_number(s, "pure_alcohol_l", "Pure alcohol in it", jl_pure_alcohol_l(jar->spirit), 4, "l");
    show_rate(s, before, jar);
}

/* ---- the run ---- */

/* In text only where the rest of the run, learnt from three jars or more, does not follow. */
static void show_to_come(show *s, const running *run, bool rest_follows, double volume_l,
                         double pure_l) {
    double volume_to_come_l = running_expected_l(run) - volume_l;
    double pure_to_come_l = running_expected_pure_l(run) - pure_l;
    bool known = volume_to_come_l > 0 && pure_to_come_l > 0 && !run->recovery.left_stated;
    show_number(s, "to_come_l", known && !rest_follows ? "Still to come by forecast" : NULL,
                known ? volume_to_come_l : NAN, 3, "l");
    show_number(s, "to_come_pure_alcohol_l", known && !rest_follows ? "Pure alcohol in that" : NULL,
                known ? pure_to_come_l : NAN, 3, "l");
}

/* What is missing is a figure only when the boiler's rest was measured. */
static void show_recovery(show *s, const jl_recovery *r, double pure_l) {
    if (!r->charge_stated) return;
    double charged_l = jl_pure_alcohol_l(r->charge);
    double left_l = r->left_stated ? jl_pure_alcohol_l(r->left) : 0;
    show_number(s, "recovery_pct", "Of that charged", 100 * pure_l / charged_l, 1, "%");
    if (r->left_stated) {
        show_number(s, "left_pure_alcohol_l", "Left in the boiler", left_l, 3, "l");
        show_number(s, "missing_l", "Missing", charged_l - pure_l - left_l, 3, "l");
    }
    if (pure_l + left_l > 1.02 * charged_l) /* more than jug and instrument may be out together */
        show_note(
            s,
            "More pure alcohol came out than the log says went in: look at %sthe charge and at "
            "the readings.",
            r->left_stated ? "what is left, at " : "");
}

void show_run_so_far(show *s, const running *run, bool rest_follows) {
    char heading[64];
    bool any = run->jars > 0;
    double volume_l = any ? jl_volume_l(run->total, JL_STRENGTH_C) : 0;
    double pure_l = any ? jl_pure_alcohol_l(run->total) : 0;
    snprintf(heading, sizeof heading, "The run so far: %zu jar%s", run->jars,
             run->jars == 1 ? "" : "s");
    show_group(s, "total", heading);
    show_number(s, "jars", NULL, (double)run->jars, 0, "");
    show_number(s, "volume_l", "Volume at 20 °C", volume_l, 3, "l");
    show_number(s, "strength_pct", any ? "Strength at 20 °C" : NULL,
                any ? jl_spirit_strength_pct(run->total) : NAN, 2, "% vol");
    show_number(s, "pure_alcohol_l", "Pure alcohol", pure_l, 3, "l");
    show_recovery(s, &run->recovery, pure_l);
    show_to_come(s, run, rest_follows && run->jars >= 3 && run->recovery.charge_stated, volume_l,
                 pure_l);
    show_group_end(s);
}

static void show_clock(show *s, const past_jar *jar) {
    char text[JL_TIME_BYTES];
    bool known = jar->timed && jl_time_write(jar->time, text, sizeof text) == JL_OK;
    if (known) text[16] = '\0';
    show_cell_text(s, known ? text + 11 : NULL);
}

void show_table_of_jars(show *s, const running *run, size_t most) {
    const past_jar *newest = running_newest(run);
    const column columns[] = {
        {"jar", "jar", "", 4, 0, false},
        {"time", "time", "", 5, 0, true},
        {"volume_ml", "volume", "ml", 6, 0, false},
        {"reading", "reading", newest == NULL ? "%" : scale_unit(newest->reading), 7, 1, false},
        {"temp_c", "at", "°C", 5, 1, false},
        {"strength_pct", "strength", "% vol", 8, 1, false},
        {"expected_strength_pct", "forecast", "% vol", 8, 1, false},
        {"pure_alcohol_l", "pure", "l", 7, 3, false},
        {"head_c", "head", "°C", 5, 1, false},
        {"rate_ml_min", "ml/min", "", 6, 1, false},
    };
    if (newest == NULL) return;
    show_table(s, "jars", columns, sizeof columns / sizeof columns[0]);
    for (size_t i = run->kept > most ? run->kept - most : 0; i < run->kept; i++) {
        const past_jar *jar = &run->last[i];
        show_cell(s, (double)jar->number);
        show_clock(s, jar);
        show_cell(s, 1000 * jar->measured_l);
        show_cell(s, jar->reading.value);
        show_cell(s, jar->temp_c);
        show_cell(s, jar->strength_pct);
        show_cell(s, running_expected_pct(run, jar->before_l, jar->until_l));
        show_cell(s, jar->pure_until_l);
        show_cell(s, jar->head_c);
        show_cell(s, rate_ml_min(i == 0 ? NULL : jar - 1, jar));
    }
    show_table_end(s);
}
