/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "instruments.h"
#include "command.h"
#include "say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A key of the file, and the default where it is not 0. */
typedef struct known {
    instrument_kind which;
    fault_of what;
    const char *key;
    double unit; /* what the key's unit is in ours */
    double most; /* above this the key is taken for a slip */
    double usual;
} known;

static const known KNOWN[] = {
    {ALCOHOLOMETER, LIMIT, "alcoholometer_limit_pct", 1, 10, 0.5},
    {ALCOHOLOMETER, CERTIFICATE, "alcoholometer_certificate_pct", 1, 10, 0},
    {ALCOHOLOMETER, DIVISION, "alcoholometer_division_pct", 1, 10, 1},
    {ALCOHOLOMETER, REPEATABILITY, "alcoholometer_repeatability_pct", 1, 10, 0},
    {THERMOMETER, LIMIT, "thermometer_limit_c", 1, 10, 1},
    {THERMOMETER, CERTIFICATE, "thermometer_certificate_c", 1, 10, 0},
    {THERMOMETER, DIVISION, "thermometer_division_c", 1, 10, 1},
    {THERMOMETER, REPEATABILITY, "thermometer_repeatability_c", 1, 10, 0},
    {JUG, LIMIT, "jug_limit_pct", 0.01, 20, 1},
    {JUG, CERTIFICATE, "jug_certificate_pct", 0.01, 20, 0},
    {JUG, DIVISION, "jug_division_ml", 0.001, 10000, 10},
    {JUG, REPEATABILITY, "jug_repeatability_ml", 0.001, 10000, 0},
    {SCALE, LIMIT, "scale_limit_pct", 0.01, 20, 0.2},
    {SCALE, CERTIFICATE, "scale_certificate_pct", 0.01, 20, 0},
    {SCALE, DIVISION, "scale_division_g", 0.001, 10000, 1},
    {SCALE, REPEATABILITY, "scale_repeatability_g", 0.001, 10000, 0},
    {HYDROMETER, LIMIT, "hydrometer_limit_sg", 1, 0.1, 0.001},
    {HYDROMETER, CERTIFICATE, "hydrometer_certificate_sg", 1, 0.1, 0},
    {HYDROMETER, DIVISION, "hydrometer_division_sg", 1, 0.1, 0.001},
    {HYDROMETER, REPEATABILITY, "hydrometer_repeatability_sg", 1, 0.1, 0},
};
enum { KEYS = sizeof KNOWN / sizeof KNOWN[0] };

static void take_defaults(instruments *in) {
    *in = (instruments){.alcoholometer = JL_ALCOHOLOMETER};
    for (size_t i = 0; i < KEYS; i++)
        in->width[KNOWN[i].which][KNOWN[i].what] = KNOWN[i].usual * KNOWN[i].unit;
}

static const char *const NAMES[INSTRUMENTS] = {"Alcoholometer", "Thermometer", "Jug", "Scale",
                                               "Hydrometer"};

static const known *key_of(instrument_kind which, fault_of what) {
    for (size_t i = 0; i < KEYS; i++)
        if (KNOWN[i].which == which && KNOWN[i].what == what) return &KNOWN[i];
    return NULL;
}

/* "±0.5 % vol": the width in the key's own unit, whose name ends the key. */
static int write_width(char *text, size_t size, const instruments *in, instrument_kind which,
                       fault_of what) {
    static const char *const UNITS[][2] = {
        {"_pct", "%"}, {"_c", "°C"}, {"_ml", "ml"}, {"_g", "g"}, {"_sg", "SG"}};
    static const char *const WORDS[FAULTS] = {"limit ±%g %s", "certificate ±%g %s (k = 2)",
                                              "division %g %s", "repeatability %g %s"};
    const known *k = key_of(which, what);
    const char *unit = "", *tail = strrchr(k->key, '_');
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++)
        if (strcmp(tail, UNITS[i][0]) == 0) unit = UNITS[i][1];
    if (which == ALCOHOLOMETER) unit = "% vol";
    char number[64];
    int n = snprintf(number, sizeof number, WORDS[what], in->width[which][what] / k->unit, unit);
    return snprintf(text, size, "%.*s%s", n, number,
                    in->stated[which][what] ? "" : " (common practice, no source)");
}

void assume_instrument_doubt(show *s, const instruments *in, instrument_kind which) {
    char line[320];
    int n = snprintf(line, sizeof line, "%s:", NAMES[which]);
    for (fault_of what = LIMIT; what <= REPEATABILITY; what++) {
        if (in->width[which][what] == 0) continue;
        if (line[n - 1] != ':') n += snprintf(line + n, sizeof line - (size_t)n, ",");
        n += snprintf(line + n, sizeof line - (size_t)n, " ");
        n += write_width(line + n, sizeof line - (size_t)n, in, which, what);
    }
    show_assumption(s, "%s%s.", line, line[n - 1] == ':' ? " taken as exact" : "");
}

int instruments_read(const char *file, instruments *in) {
    (void)file;
    take_defaults(in);
    return 0;
}
