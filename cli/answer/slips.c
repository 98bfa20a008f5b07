/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/slips.h"
#include "answer/phrases.h"
#include "run/run.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void write_number(const jl_log_unit *unit, double number, char *text, size_t size) {
    bool fine = strcmp(unit->name, "L") == 0 || strcmp(unit->name, "kg") == 0;
    double step = fine || fabs(number) < 1 ? 1e-3 : 0.1;
    snprintf(text, size, "%.7g", round(number / step) * step);
}

double logged_number(const jl_run *run, jl_jar_figure figure, double value) {
    jl_log_unit unit = jl_run_unit(run, figure);
    return unit.scale == JL_UNIT_BASE ? value / unit.factor + unit.offset : value;
}

void write_logged(const jl_run *run, jl_jar_figure figure, double number, char *text, size_t size) {
    char digits[32];
    jl_log_unit unit = jl_run_unit(run, figure);
    write_number(&unit, number, digits, sizeof digits);
    snprintf(text, size, "%s %s", digits, unit.name);
}

static void write_beside(const jl_run *run, const jl_slip *slip, double number, char *text,
                         size_t size) {
    if (slip->figure != JL_JAR_TIME) {
        write_logged(run, slip->figure, number, text, size);
        return;
    }
    snprintf(text, size, "%s", MOMENT(((jl_time){(int64_t)number, slip->offset_s})));
}

const jl_jar *jar_doubted_too(const jl_run *run, const jl_slip *slip) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    bool named = slip->by == JL_SLIP_BEFORE || slip->by == JL_SLIP_AFTER;
    if (slip->figure != JL_JAR_TIME || !named) return NULL;
    while (count > 0 &&
           !(jars[count - 1].has_time && (double)jars[count - 1].time.unix_s == slip->beside))
        count--;
    return count > 0 ? &jars[count - 1] : NULL;
}

/* "jar 2 (2026-11-27 16:38)". */
static void write_earlier(const jl_run *run, const jl_slip *slip, char *text, size_t size) {
    const jl_jar *jar = jar_doubted_too(run, slip);
    if (jar != NULL) snprintf(text, size, "jar %s (%s)", jar->name, MOMENT(jar->time));
}

const char *figure_name(jl_jar_figure figure) {
    static const char *const NAMES[JL_JAR_FIGURES] = {"volume",
                                                      "reading",
                                                      "temperature",
                                                      "head",
                                                      "boiler",
                                                      "time",
                                                      "weight",
                                                      "weight of the empty jar",
                                                      "reading at the spout",
                                                      "temperature at the spout"};
    return NAMES[figure];
}

void write_guess(const jl_run *run, jl_jar_figure figure, const jl_guess *guess, char *text,
                 size_t size) {
    text[0] = '\0';
    if (guess->unit != NULL)
        snprintf(text, size, "%.7g %s", guess->typed, guess->unit);
    else if (!isnan(guess->number))
        write_logged(run, figure, guess->number, text, size);
}

static const char *why_format(const jl_slip *slip) {
    bool time = slip->figure == JL_JAR_TIME;
    switch (slip->by) {
    case JL_SLIP_BEFORE:
        return time ? "That is earlier than %s: is that one wrong?" : "The jar before had %s.";
    case JL_SLIP_EXPECTED:
        return "About %s was expected.";
    case JL_SLIP_USUAL:
        return slip->is < slip->beside ? "At least %s is usual." : "At most %s is usual.";
    case JL_SLIP_VAPOUR:
        return "The head shows %s, and a boiler is warmer.";
    case JL_SLIP_CHARGE:
        return slip->beside > 0 ? "Of the charge only %s is left."
                                : "Nothing of the charge is left.";
    case JL_SLIP_START:
        return "The run began at %s.";
    case JL_SLIP_LONG:
        return "That is more than 12 h after %s.";
    case JL_SLIP_AFTER:
        return "That is later than %s, which follows it: is that one wrong?";
    case JL_SLIP_SAME:
        return "All its figures are those of the jar before, full at %s, as if recorded twice.";
    case JL_SLIP_FUTURE:
        return "It is only %s now.";
    case JL_SLIP_WEIGHT:
        return "By its weight it holds %s, and the volume counts.";
    case JL_SLIP_EMPTY:
        return "The empty jar weighs %s.";
    }
    return "%s";
}

/* What was typed, why it is doubted, as a sentence, and what was meant; "": nothing likely. */
typedef struct slip_words {
    char is[48], why[160], guess[48];
} slip_words;

static slip_words words_of(const jl_run *run, const jl_slip *slip) {
    slip_words w;
    char beside[96];
    write_beside(run, slip, slip->is, w.is, sizeof w.is);
    write_beside(run, slip, slip->beside, beside, sizeof beside);
    write_earlier(run, slip, beside, sizeof beside);
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    snprintf(w.why, sizeof w.why, why_format(slip), beside);
#pragma GCC diagnostic pop
    write_guess(run, slip->figure, &slip->guess, w.guess, sizeof w.guess);
    return w;
}

const char *write_slip(const jl_run *run, const jl_slip *slip, char text[SLIP_BYTES]) {
    const slip_words w = words_of(run, slip);
    int n = snprintf(text, SLIP_BYTES, "%s %s? %s", figure_name(slip->figure), w.is, w.why);
    if (w.guess[0] != '\0') snprintf(text + n, SLIP_BYTES - (size_t)n, " Was %s meant?", w.guess);
    return text;
}

const char *write_slip_within(const jl_run *run, const jl_slip *slip, char text[SLIP_BYTES]) {
    static const char that_is[] = "That is ";
    slip_words w = words_of(run, slip);
    char *question = strstr(w.why, ": is that one wrong");
    w.why[question != NULL ? (size_t)(question - w.why) : strlen(w.why) - 1] = '\0';
    const char *why =
        strncmp(w.why, that_is, strlen(that_is)) == 0 ? w.why + strlen(that_is) : w.why;
    if (why == w.why && why[0] >= 'A' && why[0] <= 'Z') w.why[0] = (char)(why[0] - 'A' + 'a');
    int n = snprintf(text, SLIP_BYTES, "%s %s, %s", figure_name(slip->figure), w.is, why);
    if (w.guess[0] != '\0') snprintf(text + n, SLIP_BYTES - (size_t)n, " (was %s meant?)", w.guess);
    return text;
}
