/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/rule_text.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"

#include <stdio.h>
#include <string.h>

/* The same in every locale. */
static void number_text(double value, char text[16]) {
    snprintf(text, 16, "%.6g", value);
    char *comma = strchr(text, ',');
    if (comma != NULL) *comma = '.';
}

/* ---- Cuts ---- */

static const char AMOUNT_FORMS[] = "100mL, '2% of charge' (of its volume), '5% of alcohol' (of its "
                                   "pure alcohol) or none";
static const char ANY_FORMS[] = "60% (at the spout), '92C head', '96C boiler', a volume as 3L, "
                                "'30% of charge', '80% of alcohol' or none";

/* Whether text ends in a word, behind something; that goes into rest. */
static bool ends_in(const char *text, const char *word, char *behind, size_t size) {
    size_t length = strlen(text), tail = strlen(word);
    while (length > 0 && text[length - 1] == ' ') length--;
    if (length <= tail || length >= size || !jl_same_letters_to(text + length - tail, word, tail))
        return false;
    memcpy(behind, text, length - tail);
    behind[length - tail] = '\0';
    return true;
}

/* "2% of charge" and "2%charge". */
static bool is_share_of(const char *text, const char *what, char *behind, size_t size) {
    char before[64];
    if (!ends_in(text, what, before, sizeof before)) return false;
    if (!ends_in(before, " of", behind, size)) snprintf(behind, size, "%s", before);
    return true;
}

static const struct {
    jl_kind kind;
    double most, scale; /* scale: in which it is written */
    const char *unit;
} BY[] = {
    [JL_CUT_VOLUME_L] = {JL_VOLUME, 1e6, 1, "L"},
    [JL_CUT_CHARGE_SHARE] = {JL_SHARE, 1, 100, "% of charge"},
    [JL_CUT_ALCOHOL_SHARE] = {JL_SHARE, 1, 100, "% of alcohol"},
    [JL_CUT_SPOUT_PCT] = {JL_STRENGTH, 100, 1, "%"},
    [JL_CUT_BOILER_C] = {JL_TEMPERATURE, 120, 1, "C boiler"},
    [JL_CUT_HEAD_C] = {JL_TEMPERATURE, 120, 1, "C head"},
};

double jl_cut_most(jl_cut_by by) {
    return BY[by].most;
}

static jl_status cut_value(const char *text, jl_cut_by by, jl_cut *cut) {
    jl_quantity quantity;
    jl_status status = jl_quantity_read(text, BY[by].kind, &quantity);
    if (status != JL_OK) return status;
    if (!jl_between(quantity.value, 0, BY[by].most)) return JL_RANGE;
    *cut = (jl_cut){by, quantity.value};
    return JL_OK;
}

static jl_status cut_strength(const char *text, jl_cut *cut) {
    jl_quantity strength;
    double p, pct;
    jl_status status = jl_quantity_read(text, JL_STRENGTH, &strength);
    if (status == JL_OK) status = jl_strength_to_mass_fraction(strength, &p);
    if (status == JL_OK) status = jl_strength_pct(p, JL_STRENGTH_C, &pct);
    if (status == JL_OK) *cut = (jl_cut){JL_CUT_SPOUT_PCT, pct};
    return status;
}

static jl_status cut_of(const char *text, bool amount_only, jl_cut *cut) {
    char behind[64];
    if (jl_same_letters(text, "none")) {
        *cut = (jl_cut){JL_CUT_NEVER, 0};
        return JL_OK;
    }
    if (is_share_of(text, "charge", behind, sizeof behind))
        return cut_value(behind, JL_CUT_CHARGE_SHARE, cut);
    if (is_share_of(text, "alcohol", behind, sizeof behind))
        return cut_value(behind, JL_CUT_ALCOHOL_SHARE, cut);
    if (!amount_only && ends_in(text, "head", behind, sizeof behind))
        return cut_value(behind, JL_CUT_HEAD_C, cut);
    if (!amount_only && ends_in(text, "boiler", behind, sizeof behind))
        return cut_value(behind, JL_CUT_BOILER_C, cut);
    if (strchr(text, '%') == NULL && strcasestr(text, "proof") == NULL)
        return cut_value(text, JL_CUT_VOLUME_L, cut);
    return amount_only ? JL_AMBIGUOUS : cut_strength(text, cut);
}

jl_status jl_cut_read(const char *text, bool amount_only, jl_cut *cut, jl_fault *fault) {
    jl_status status = cut_of(text, amount_only, cut);
    if (status == JL_OK) return JL_OK;
    return jl_text_fault(fault, status, text, amount_only ? AMOUNT_FORMS : ANY_FORMS);
}

void jl_cut_write(const jl_cut *cut, char text[JL_CUT_BYTES]) {
    char at[16];
    if (cut->by == JL_CUT_NEVER) {
        snprintf(text, JL_CUT_BYTES, "none");
        return;
    }
    number_text(cut->at * BY[cut->by].scale, at);
    snprintf(text, JL_CUT_BYTES, "%s%s", at, BY[cut->by].unit);
}

/* ---- Reflux ---- */

static const char SCHEDULE_FORM[] = "reflux@when, as '3@1h,5@2L,1@82C': a time from heat-on, a "
                                    "volume distilled or a head temperature";

/* How a moment of the run is put, and the unit that it is written in. */
static const struct {
    jl_kind kind;
    jl_when when;
    double scale;
    const char *unit;
} WHEN[] = {{JL_VOLUME, JL_WHEN_VOLUME_L, 1, "L"},
            {JL_TEMPERATURE, JL_WHEN_HEAD_C, 1, "C"},
            {JL_DURATION, JL_WHEN_TIME_S, 60, "min"}};
enum { WHENS = sizeof WHEN / sizeof WHEN[0] };

static jl_status step_of(char *text, jl_reflux_step *step) {
    char *at = strchr(text, '@');
    jl_quantity reflux, when;
    if (at == NULL) return JL_FORM;
    *at = '\0';
    jl_status status = jl_quantity_read(text, JL_NUMBER, &reflux);
    if (status != JL_OK) return status;
    if (!(reflux.value >= 0 && reflux.value <= 1000)) return JL_RANGE;
    for (size_t i = 0; i < WHENS; i++) {
        if (jl_quantity_read(at + 1, WHEN[i].kind, &when) != JL_OK) continue;
        if (when.value < 0) return JL_RANGE;
        *step = (jl_reflux_step){WHEN[i].when, when.value, reflux.value};
        return JL_OK;
    }
    return JL_UNIT;
}

jl_status jl_schedule_read(const char *text, jl_reflux_step *steps, size_t *count,
                           jl_fault *fault) {
    char copy[JL_SCHEDULE_BYTES];
    jl_reflux_step read[JL_STEPS_MOST];
    size_t n = 0;
    if (strlen(text) >= sizeof copy) return jl_text_fault(fault, JL_TOO_LONG, text, SCHEDULE_FORM);
    memcpy(copy, text, strlen(text) + 1);
    char *save = NULL;
    for (char *part = strtok_r(copy, ",;", &save); part != NULL;
         part = strtok_r(NULL, ",;", &save)) {
        if (n == JL_STEPS_MOST) return jl_text_fault(fault, JL_RANGE, text, "16 steps or fewer");
        jl_status status = step_of(part, &read[n]);
        if (status != JL_OK) return jl_text_fault(fault, status, text, SCHEDULE_FORM);
        n++;
    }
    if (n == 0) return jl_text_fault(fault, JL_FORM, text, SCHEDULE_FORM);
    memcpy(steps, read, n * sizeof *steps);
    *count = n;
    return JL_OK;
}

void jl_schedule_write(const jl_reflux_step *steps, size_t count, char text[JL_SCHEDULE_BYTES]) {
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        char reflux[16], at[16];
        size_t k = 0;
        while (k + 1 < WHENS && WHEN[k].when != steps[i].when) k++;
        number_text(steps[i].reflux_ratio, reflux);
        number_text(steps[i].at / WHEN[k].scale, at);
        n += (size_t)snprintf(text + n, JL_SCHEDULE_BYTES - n, "%s%s@%s%s", i > 0 ? "," : "",
                              reflux, at, WHEN[k].unit);
    }
}
