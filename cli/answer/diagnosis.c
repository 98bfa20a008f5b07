/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/diagnosis.h"
#include "answer/slips.h"
#include "answer/units.h"
#include "run/run.h"

#include <math.h>

/* A cause that holds less of the evidence is not worth its words. */
static const double WORTH_SAYING = 0.1;
/* Standard uncertainties by which a figure of the charge is off before it is named: jars tell its
 * alcohol better than whether volume or strength made it so. Common practice, no source. */
static const double SURE = 3, ALCOHOL_OFF = 0.03;

static const char *const NAMES[JL_CAUSES] = {NULL,     "slip",     "missing jar", "pause",
                                             "charge", "readings", "still"};

/* "jar 4", of the place of a jar. */
static void write_jar(const jl_run *run, size_t place, char text[32]) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    snprintf(text, 32, "jar %s", place < count ? jars[place].name : "?");
}

static const char *likely(const jl_suspicion *s) {
    return s->jar_told ? "" : "most likely ";
}

/* Jars that no charge can have given ask for one that is none. */
static bool charge_fits(const jl_diagnosis *d) {
    return d->charge_l > 0 && d->charge_strength_pct > 0 && d->charge_strength_pct < 100;
}

/* What the jars alone do not tell of a charge is not said of it: mostly which of its volume and its
 * strength it is. A charge too small is the same as jars too large. */
static void write_charge(const jl_run *run, const jl_diagnosis *d, char *text, size_t size) {
    jl_spirit said = jl_run_recovery(run)->charge;
    double off_l = d->charge_l - jl_volume_l(said, JL_STRENGTH_C);
    double off_pct = d->charge_strength_pct - jl_spirit_strength_pct(said);
    double alcohol = d->charge_l * d->charge_strength_pct /
                     (jl_volume_l(said, JL_STRENGTH_C) * jl_spirit_strength_pct(said));
    double sure_l = fabs(off_l) / d->charge_l_u,
           sure_pct = fabs(off_pct) / d->charge_strength_u_pct;
    bool fits = d->of[JL_CAUSE_CHARGE].share >= WORTH_SAYING; /* else not even together */
    bool volume = fits && sure_l > SURE, strength = fits && sure_pct > SURE;
    const char *larger = off_l < 0 ? "smaller" : "larger";
    const char *stronger = off_pct < 0 ? "weaker" : "stronger";
    const figure_text fits_pct = figure_in_words(d->charge_strength_pct, NAN, EXACT + 1, PCT_VOL);
    const char *fitting = fits_pct.text;
    if (!charge_fits(d))
        snprintf(text, size, "no charge would fit");
    else if (strength && volume)
        snprintf(text, size, "the charge was %s and %s: %.2f L of %s would fit", stronger, larger,
                 d->charge_l, fitting);
    else if (strength)
        snprintf(text, size, "the charge was %s: %s would fit", stronger, fitting);
    else if (volume)
        snprintf(text, size, "the charge was %s, or the jars %s, than said: %.2f L would fit",
                 larger, off_l < 0 ? "larger" : "smaller", d->charge_l);
    else if (fabs(alcohol - 1) > ALCOHOL_OFF)
        snprintf(text, size, "the charge held %s alcohol than said", alcohol < 1 ? "less" : "more");
    else
        snprintf(text, size, "the charge was not as said");
}

/* A jar that was recorded twice looks as if one were missing. NULL: none was. */
static const jl_jar *jar_twice(const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 1; i < count; i++)
        if (jl_run_same_jar(&jars[i - 1], &jars[i])) return &jars[i];
    return NULL;
}

static void write_missing(const jl_run *run, const jl_diagnosis *d, const char *jar, char *text,
                          size_t size) {
    const jl_jar *twice = jar_twice(run);
    const char *much = d->missing_jars < 0.75 ? "part of a jar" : "a jar";
    if (d->alike) much = "a jar or a part of one"; /* it is told apart no better */
    if (twice != NULL)
        snprintf(text, size, "jar %s is the one before it, recorded twice", twice->name);
    else
        snprintf(text, size, "%s is missing, %sbefore %s", much, likely(&d->of[JL_CAUSE_MISSING]),
                 jar);
}

static void write_cause(const jl_run *run, const jl_diagnosis *d, jl_cause cause, char *text,
                        size_t size) {
    const jl_suspicion *s = &d->of[cause];
    char jar[32];
    const figure_text fits_pct = figure_in_words(d->strength_pct, NAN, EXACT + 1, PCT_VOL);
    const char *fitting = fits_pct.text;
    write_jar(run, s->jar, jar);
    switch (cause) {
    case JL_CAUSE_SLIP:
        snprintf(text, size, "the strength of one jar is off, %s%s: %s would fit", likely(s), jar,
                 fitting);
        if (s->jar_told)
            snprintf(text, size, "the strength of %s is off: %s would fit", jar, fitting);
        break;
    case JL_CAUSE_MISSING:
        write_missing(run, d, jar, text, size);
        break;
    case JL_CAUSE_PAUSE:
        snprintf(text, size, "the run stood still for a while, %sbefore %s was full", likely(s),
                 jar);
        break;
    case JL_CAUSE_CHARGE:
        write_charge(run, d, text, size);
        break;
    case JL_CAUSE_READINGS:
        snprintf(text, size, "all readings are too %s: %.1f %s %s would fit",
                 d->readings_high_pct > 0 ? "high" : "low",
                 difference_seen(fabs(d->readings_high_pct), PCT_VOL), unit_seen(PCT_VOL),
                 d->readings_high_pct > 0 ? "less" : "more");
        break;
    case JL_CAUSE_STILL:
        snprintf(text, size, "the still is not as the log says ('jarline calibrate' shows it)");
        break;
    default:
        text[0] = '\0';
    }
}

static bool is_said(const jl_diagnosis *d, jl_cause cause) {
    bool alike = d->alike && (cause == JL_CAUSE_MISSING || cause == JL_CAUSE_CHARGE);
    if (d->cause != JL_CAUSE_NONE && !alike) return cause == d->cause;
    return alike || d->of[cause].share >= WORTH_SAYING;
}

/* The one that is named, then the others. */
static jl_cause cause_at(const jl_diagnosis *d, int place) {
    if (d->cause == JL_CAUSE_NONE) return (jl_cause)(JL_CAUSE_SLIP + place);
    if (place == 0) return d->cause;
    return (jl_cause)(JL_CAUSE_SLIP + place - (place <= (int)d->cause - JL_CAUSE_SLIP ? 1 : 0));
}

bool write_diagnosis(const jl_run *run, const jl_diagnosis *d, char text[DIAGNOSIS_BYTES]) {
    size_t used = 0;
    text[0] = '\0';
    for (int k = 0; d->flagged && k < JL_CAUSES - JL_CAUSE_SLIP; k++) {
        char one[160];
        jl_cause cause = cause_at(d, k);
        if (!is_said(d, cause)) continue;
        write_cause(run, d, cause, one, sizeof one);
        if (used == 0) one[0] = (char)(one[0] - 'a' + 'A');
        used += (size_t)snprintf(text + used, DIAGNOSIS_BYTES - used, "%s%s",
                                 used == 0 ? "" : ", or ", one);
    }
    if (used > 0) snprintf(text + used, DIAGNOSIS_BYTES - used, ".");
    return used > 0;
}

static void show_cause(show *s, const jl_run *run, const jl_diagnosis *d, jl_cause cause) {
    size_t count;
    const jl_suspicion *of = &d->of[cause];
    const jl_jar *jars = jl_run_jars(run, &count);
    bool placed = cause <= JL_CAUSE_PAUSE && of->jar < count;
    show_cells(s, CELLS(V(NAMES[cause]), V(of->share), V(placed ? jars[of->jar].name : NULL),
                        V(placed ? of->jar_share : NAN)));
}

void show_diagnosis(show *s, const jl_run *run, const jl_diagnosis *d, bool seen) {
    static const column COLUMNS[] = {
        {"cause", NULL, "", 0, 0, COLUMN_WORDS},
        {"share", NULL, "", 0, 3, COLUMN_NUMBERS},
        {"jar", NULL, "", 0, 0, COLUMN_WORDS},
        {"jar_share", NULL, "", 0, 3, COLUMN_NUMBERS},
    };
    char text[DIAGNOSIS_BYTES];
    bool slip = d->cause == JL_CAUSE_SLIP;
    bool charge = d->of[JL_CAUSE_CHARGE].share >= WORTH_SAYING && charge_fits(d);
    bool readings = d->of[JL_CAUSE_READINGS].share >= WORTH_SAYING;
    if (write_diagnosis(run, d, text) && seen) show_warning(s, "%s", text);
    show_group(s, "diagnosis", NULL);
    show_truth(s, "flagged", d->flagged);
    show_text(s, "cause", NULL, NAMES[d->cause]);
    show_number(s, "odds", NULL, d->odds, 3, "");
    show_number(s, "would_fit_pct", NULL, d->flagged && slip ? d->strength_pct : NAN, 2, "");
    show_number(s, "charge_would_fit_l", NULL, d->flagged && charge ? d->charge_l : NAN, 3, "");
    show_number(s, "charge_would_fit_pct", NULL,
                d->flagged && charge ? d->charge_strength_pct : NAN, 2, "");
    show_number(s, "readings_too_high_pct", NULL,
                d->flagged && readings ? d->readings_high_pct : NAN, 2, "");
    if (d->flagged) {
        show_table(s, "causes", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
        for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++) show_cause(s, run, d, (jl_cause)k);
    }
    show_group_end(s);
}
