/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/instruments.h"
#include "answer/say.h"
#include "answer/status.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* A width that a file of facts may state, and what is taken without it where that is not 0. Common
 * practice, no source. */
typedef struct known {
    instrument_kind which;
    fault_of what;
    jl_fact_key key;
    double usual;
} known;

#define WIDTH(stem, kind, most, form)                                                              \
    { stem, kind, 0, most, "a width of 0 or more, as " form }

static const known KNOWN[] = {
    {ALCOHOLOMETER, LIMIT,
     WIDTH("alcoholometer_limit", JL_STRENGTH, 10, "alcoholometer_limit_pct,0.5"), 0.5},
    {ALCOHOLOMETER, CERTIFICATE,
     WIDTH("alcoholometer_certificate", JL_STRENGTH, 10, "alcoholometer_certificate_pct,0.1"), 0},
    {ALCOHOLOMETER, DIVISION,
     WIDTH("alcoholometer_division", JL_STRENGTH, 10, "alcoholometer_division_pct,1"), 1},
    {ALCOHOLOMETER, REPEATABILITY,
     WIDTH("alcoholometer_repeatability", JL_STRENGTH, 10, "alcoholometer_repeatability_pct,0.1"),
     0},
    {THERMOMETER, LIMIT,
     WIDTH("thermometer_limit", JL_TEMPERATURE_DIFFERENCE, 10, "thermometer_limit_c,0.5"), 1},
    {THERMOMETER, CERTIFICATE,
     WIDTH("thermometer_certificate", JL_TEMPERATURE_DIFFERENCE, 10,
           "thermometer_certificate_c,0.1"),
     0},
    {THERMOMETER, DIVISION,
     WIDTH("thermometer_division", JL_TEMPERATURE_DIFFERENCE, 10, "thermometer_division_c,1"), 1},
    {THERMOMETER, REPEATABILITY,
     WIDTH("thermometer_repeatability", JL_TEMPERATURE_DIFFERENCE, 10,
           "thermometer_repeatability_c,0.1"),
     0},
    {JUG, LIMIT, WIDTH("jug_limit", JL_SHARE, 0.2, "jug_limit_pct,1"), 0.01},
    {JUG, CERTIFICATE, WIDTH("jug_certificate", JL_SHARE, 0.2, "jug_certificate_pct,0.5"), 0},
    {JUG, DIVISION, WIDTH("jug_division", JL_VOLUME, 100, "jug_division_ml,10"), 0.01},
    {JUG, REPEATABILITY, WIDTH("jug_repeatability", JL_VOLUME, 100, "jug_repeatability_ml,2"), 0},
    {SCALE, LIMIT, WIDTH("scale_limit", JL_SHARE, 0.2, "scale_limit_pct,0.2"), 0.002},
    {SCALE, CERTIFICATE, WIDTH("scale_certificate", JL_SHARE, 0.2, "scale_certificate_pct,0.1"), 0},
    {SCALE, DIVISION, WIDTH("scale_division", JL_MASS, 100, "scale_division_g,1"), 0.001},
    {SCALE, REPEATABILITY, WIDTH("scale_repeatability", JL_MASS, 100, "scale_repeatability_g,1"),
     0},
    {HYDROMETER, LIMIT, WIDTH("hydrometer_limit_sg", JL_NUMBER, 0.1, "hydrometer_limit_sg,0.001"),
     0.001},
    {HYDROMETER, CERTIFICATE,
     WIDTH("hydrometer_certificate_sg", JL_NUMBER, 0.1, "hydrometer_certificate_sg,0.0005"), 0},
    {HYDROMETER, DIVISION,
     WIDTH("hydrometer_division_sg", JL_NUMBER, 0.1, "hydrometer_division_sg,0.001"), 0.001},
    {HYDROMETER, REPEATABILITY,
     WIDTH("hydrometer_repeatability_sg", JL_NUMBER, 0.1, "hydrometer_repeatability_sg,0.0005"), 0},
};

/* The instrument itself and its certificates' corrections, as in the head of a run log. */
static const jl_fact_key CALIBRATED = {"calibrated", JL_TEMPERATURE, 0, 40,
                                       "0 to 40 °C, as calibrated_c,20"};
static const jl_fact_key GLASS = {"glass_per_c", JL_NUMBER, 0, 1e-4,
                                  "0 to 1e-4 per °C, as glass_per_c,25e-6"};
static const jl_fact_key READING = {"reading_correction", JL_STRENGTH, -20, 20,
                                    "what is added to a reading, as reading_correction_pct,-0.2"};
static const jl_fact_key THERMOMETER_CORRECTION = {
    "thermometer_correction", JL_TEMPERATURE_DIFFERENCE, -20, 20,
    "what is added to a temperature, as thermometer_correction_c,0.3"};

enum { WIDTHS = sizeof KNOWN / sizeof KNOWN[0], OTHERS = 6, KEYS = WIDTHS + OTHERS };

/* ---- Reading ---- */

static void take_usual(instruments *in) {
    *in = (instruments){.alcoholometer = JL_ALCOHOLOMETER};
    for (size_t i = 0; i < WIDTHS; i++) in->width[KNOWN[i].which][KNOWN[i].what] = KNOWN[i].usual;
}

/* *value keeps what it has where the file is silent. */
static jl_status take(const jl_facts *facts, const jl_fact_key *key, double *value, bool *stated,
                      jl_fault *fault) {
    jl_quantity quantity;
    jl_status status = jl_facts_quantity(facts, key, &quantity, fault);
    *stated = status == JL_OK;
    if (status == JL_MISSING) return JL_OK;
    if (status == JL_OK)
        *value = quantity.unit == JL_UNIT_PROOF_US ? quantity.value / 2 : quantity.value;
    return status;
}

/* A certificate says more than a class: it stands in the place of a limit that is not stated. */
static jl_status take_widths(const jl_facts *facts, instruments *in, jl_fault *fault) {
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && i < WIDTHS; i++) {
        const known *k = &KNOWN[i];
        status = take(facts, &k->key, &in->width[k->which][k->what], &in->stated[k->which][k->what],
                      fault);
    }
    for (int which = 0; which < INSTRUMENTS; which++)
        if (in->stated[which][CERTIFICATE] && !in->stated[which][LIMIT])
            in->width[which][LIMIT] = 0;
    return status;
}

static jl_status take_all(const jl_facts *facts, instruments *in, jl_fault *fault) {
    jl_fact_key keys[KEYS] = {CALIBRATED,
                              GLASS,
                              READING,
                              THERMOMETER_CORRECTION,
                              {"jarline", JL_NUMBER, 1, 1, "1"},
                              {"title", JL_NUMBER, 0, 0, ""}};
    bool stated;
    jl_alcoholometer *a = &in->alcoholometer;
    for (size_t i = 0; i < WIDTHS; i++) keys[OTHERS + i] = KNOWN[i].key;
    jl_status status = jl_facts_only(
        facts, keys, KEYS,
        "alcoholometer_, thermometer_, jug_, scale_ or hydrometer_ with limit_, certificate_, "
        "division_ or repeatability_ and a unit; calibrated_c, glass_per_c, "
        "reading_correction_pct, thermometer_correction_c",
        fault);
    if (status == JL_OK) status = take_widths(facts, in, fault);
    if (status == JL_OK) status = take(facts, &CALIBRATED, &a->calibrated_c, &stated, fault);
    if (status == JL_OK) status = take(facts, &GLASS, &a->glass_per_c, &stated, fault);
    if (status == JL_OK) status = take(facts, &READING, &a->reading_correction_pct, &stated, fault);
    if (status == JL_OK)
        status = take(facts, &THERMOMETER_CORRECTION, &a->thermometer_correction_c, &stated, fault);
    return status;
}

int instruments_read(const char *file, instruments *in) {
    jl_facts *facts;
    jl_fault fault = {0};
    take_usual(in);
    if (file == NULL) return 0;
    int fd = open(file, O_RDONLY | O_CLOEXEC);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", file, strerror(errno));
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(file, &fault);
    status = take_all(facts, in, &fault);
    jl_facts_free(facts);
    return status == JL_OK ? 0 : fail_fault(file, &fault);
}

/* ---- Saying ---- */

/* "limit ±0.5 % vol": a width in the unit that people use for it. */
static int write_width(char *text, size_t size, const known *k, const instruments *in) {
    static const char *const WORDS[FAULTS] = {"limit ±%g %s", "certificate ±%g %s (k = 2)",
                                              "division %g %s", "repeatability %g %s"};
    static const struct {
        jl_kind kind;
        double unit;
        const char *name;
    } UNITS[] = {{JL_STRENGTH, 1, "% vol"}, {JL_TEMPERATURE_DIFFERENCE, 1, "°C"},
                 {JL_SHARE, 0.01, "%"},     {JL_VOLUME, 0.001, "ml"},
                 {JL_MASS, 0.001, "g"},     {JL_NUMBER, 1, "SG"}};
    char number[64];
    size_t u = 0;
    while (UNITS[u].kind != k->key.kind) u++;
    snprintf(number, sizeof number, WORDS[k->what], in->width[k->which][k->what] / UNITS[u].unit,
             UNITS[u].name);
    return snprintf(text, size, "%s%s", number,
                    in->stated[k->which][k->what] ? "" : " (common practice, no source)");
}

void assume_instrument_uncertainty(show *s, const instruments *in, instrument_kind which) {
    static const char *const NAMES[INSTRUMENTS] = {"Alcoholometer", "Thermometer", "Jug", "Scale",
                                                   "Hydrometer"};
    char line[320];
    size_t n = (size_t)snprintf(line, sizeof line, "%s:", NAMES[which]);
    bool any = false;
    for (size_t i = 0; i < WIDTHS; i++) {
        if (KNOWN[i].which != which || in->width[which][KNOWN[i].what] == 0) continue;
        n += (size_t)snprintf(line + n, sizeof line - n, any ? ", " : " ");
        n += (size_t)write_width(line + n, sizeof line - n, &KNOWN[i], in);
        any = true;
    }
    show_assumption(s, "%s%s.", line, any ? "" : " taken as exact");
}
