/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/cut_words.h"
#include "answer/say.h"
#include "answer/status.h"
#include "text/letters.h"

#include <stdio.h>
#include <string.h>

static const char AMOUNT_FORMS[] = "100ml, '2% of charge' (of its volume), '5% of alcohol' (of its "
                                   "pure alcohol) or none";
static const char ANY_FORMS[] = "60% (at the spout), '92C head', '96C boiler', a volume as 3l, "
                                "'30% of charge', '80% of alcohol' or none";
static const char SCHEDULE_FORM[] = "reflux@when, as '3@1h,5@2L,1@82C': a time from heat-on, a "
                                    "volume distilled or a head temperature";

static int refuse(const char *file, const char *name, const char *text, jl_status status,
                  const char *expected) {
    if (file == NULL) return fail_argument(name, text, status, expected);
    return fail(EXIT_DATA, "%s: %s '%s': %s; expected %s", file, name, text, jl_status_text(status),
                expected);
}

/* Whether text ends in a word; what stands before it goes into rest, without blanks at its end. */
static bool ends_in(const char *text, const char *word, char *rest, size_t size) {
    size_t length = strlen(text), tail = strlen(word);
    while (length > 0 && text[length - 1] == ' ') length--;
    if (length <= tail || length >= size || !jl_same_letters_to(text + length - tail, word, tail))
        return false;
    length -= tail;
    while (length > 0 && text[length - 1] == ' ') length--;
    memcpy(rest, text, length);
    rest[length] = '\0';
    return length > 0;
}

/* "2% of charge" and "2%charge". */
static bool is_share_of(const char *text, const char *what, char *rest, size_t size) {
    char before[64];
    if (!ends_in(text, what, before, sizeof before)) return false;
    if (!ends_in(before, " of", rest, size)) snprintf(rest, size, "%s", before);
    return true;
}

static jl_status cut_value(const char *text, jl_kind kind, double least, double most, jl_cut_by by,
                           jl_cut *cut) {
    jl_quantity quantity;
    jl_status status = jl_quantity_read(text, kind, &quantity);
    if (status != JL_OK) return status;
    if (!(quantity.value >= least && quantity.value <= most)) return JL_RANGE;
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

static jl_status cut_of(const char *text, cut_place where, jl_cut *cut) {
    char rest[64];
    if (jl_same_letters(text, "none")) {
        *cut = (jl_cut){JL_CUT_NEVER, 0};
        return JL_OK;
    }
    if (is_share_of(text, "charge", rest, sizeof rest))
        return cut_value(rest, JL_SHARE, 0, 1, JL_CUT_CHARGE_SHARE, cut);
    if (is_share_of(text, "alcohol", rest, sizeof rest))
        return cut_value(rest, JL_SHARE, 0, 1, JL_CUT_ALCOHOL_SHARE, cut);
    if (where == CUT_ANY && ends_in(text, "head", rest, sizeof rest))
        return cut_value(rest, JL_TEMPERATURE, 0, 120, JL_CUT_HEAD_C, cut);
    if (where == CUT_ANY && ends_in(text, "boiler", rest, sizeof rest))
        return cut_value(rest, JL_TEMPERATURE, 0, 120, JL_CUT_BOILER_C, cut);
    if (strchr(text, '%') == NULL && strcasestr(text, "proof") == NULL)
        return cut_value(text, JL_VOLUME, 0, 1e6, JL_CUT_VOLUME_L, cut);
    return where == CUT_ANY ? cut_strength(text, cut) : JL_AMBIGUOUS;
}

int cut_read(const char *file, const char *name, const char *text, cut_place where, jl_cut *cut) {
    jl_status status = cut_of(text, where, cut);
    if (status == JL_OK) return 0;
    return refuse(file, name, text, status, where == CUT_ANY ? ANY_FORMS : AMOUNT_FORMS);
}

void cut_text(const jl_cut *cut, char *text, size_t size) {
    switch (cut->by) {
    case JL_CUT_NEVER:
        snprintf(text, size, "none");
        break;
    case JL_CUT_VOLUME_L:
        snprintf(text, size, "%.6gl", cut->at);
        break;
    case JL_CUT_CHARGE_SHARE:
        snprintf(text, size, "%.6g%% of charge", 100 * cut->at);
        break;
    case JL_CUT_ALCOHOL_SHARE:
        snprintf(text, size, "%.6g%% of alcohol", 100 * cut->at);
        break;
    case JL_CUT_SPOUT_PCT:
        snprintf(text, size, "%.6g%%", cut->at);
        break;
    case JL_CUT_BOILER_C:
        snprintf(text, size, "%.6gC boiler", cut->at);
        break;
    case JL_CUT_HEAD_C:
        snprintf(text, size, "%.6gC head", cut->at);
        break;
    }
}

/* ---- Reflux ---- */

static jl_status step_of(char *text, jl_reflux_step *step) {
    static const struct {
        jl_kind kind;
        jl_when when;
    } KINDS[] = {{JL_VOLUME, JL_WHEN_VOLUME_L},
                 {JL_TEMPERATURE, JL_WHEN_HEAD_C},
                 {JL_DURATION, JL_WHEN_TIME_S}};
    char *at = strchr(text, '@');
    jl_quantity reflux, when;
    if (at == NULL) return JL_FORM;
    *at = '\0';
    jl_status status = jl_quantity_read(text, JL_NUMBER, &reflux);
    if (status != JL_OK) return status;
    if (!(reflux.value >= 0 && reflux.value <= 1000)) return JL_RANGE;
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++) {
        if (jl_quantity_read(at + 1, KINDS[i].kind, &when) != JL_OK) continue;
        if (!(when.value >= 0 && when.value <= 1e9)) return JL_RANGE;
        *step = (jl_reflux_step){KINDS[i].when, when.value, reflux.value};
        return JL_OK;
    }
    return JL_UNIT;
}

int schedule_read(const char *file, const char *name, const char *text, jl_reflux_step *steps,
                  size_t most, size_t *count) {
    char copy[512];
    if (strlen(text) >= sizeof copy) return refuse(file, name, text, JL_TOO_LONG, SCHEDULE_FORM);
    memcpy(copy, text, strlen(text) + 1);
    *count = 0;
    char *save = NULL;
    for (char *part = strtok_r(copy, ",;", &save); part != NULL;
         part = strtok_r(NULL, ",;", &save)) {
        if (*count == most) return refuse(file, name, text, JL_RANGE, "16 steps or fewer");
        jl_status status = step_of(part, &steps[*count]);
        if (status != JL_OK) return refuse(file, name, text, status, SCHEDULE_FORM);
        ++*count;
    }
    return *count > 0 ? 0 : refuse(file, name, text, JL_FORM, SCHEDULE_FORM);
}

void schedule_text(const jl_reflux_step *steps, size_t count, char *text, size_t size) {
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; i < count && n + 32 < size; i++) {
        const char *unit = steps[i].when == JL_WHEN_TIME_S     ? "min"
                           : steps[i].when == JL_WHEN_VOLUME_L ? "l"
                                                               : "C";
        double at = steps[i].when == JL_WHEN_TIME_S ? steps[i].at / 60 : steps[i].at;
        n += (size_t)snprintf(text + n, size - n, "%s%.6g@%.6g%s", i > 0 ? "," : "",
                              steps[i].reflux, at, unit);
    }
}

/* ---- Heat that a boiler takes up ---- */

int heat_read(const char *name, const char *text, double *j_k) {
    static const struct {
        const char *unit;
        double j_k;
    } UNITS[] = {{"kJ/C", 1000}, {"kJ/K", 1000}, {"J/C", 1}, {"J/K", 1}};
    char rest[64];
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        if (!ends_in(text, UNITS[i].unit, rest, sizeof rest)) continue;
        jl_status status = jl_decimal_read(rest, strlen(rest), JL_COMMA_SAFE, j_k);
        *j_k *= UNITS[i].j_k;
        return status == JL_OK ? 0 : fail_argument(name, text, status, "3kJ/C or 500J/K");
    }
    return fail_argument(name, text, JL_UNIT, "heat for each degree, as 3kJ/C or 500J/K");
}
