/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/units.h"
#include "spirit/spirit.h"
#include "text/quantity.h"

#include <string.h>

static units in_use;
static units_from stated;
static bool proof_seen;

void units_by(units u, units_from from) {
    bool joins = from == UNITS_OF_LOG && stated == UNITS_OF_LOG;
    if (from < stated) return;
    in_use.proof = u.proof && (in_use.proof || !joins);
    in_use.fahrenheit = u.fahrenheit && (in_use.fahrenheit || !joins);
    stated = from;
}

void units_by_log(const jl_run *run) {
    units_by((units){jl_run_unit(run, JL_JAR_READING).scale == JL_UNIT_PROOF_US,
                     jl_run_unit(run, JL_JAR_TEMP).offset != 0},
             UNITS_OF_LOG);
}

units units_seen(void) {
    return in_use;
}

const char *at_reference(units u) {
    return u.proof ? "60 °F" : "20 °C";
}

static bool as_proof(const char *unit) {
    return in_use.proof && strcmp(unit, PCT_VOL) == 0;
}

static bool as_fahrenheit(const char *unit) {
    return in_use.fahrenheit && strcmp(unit, CELSIUS) == 0;
}

double value_seen(double value, const char *unit) {
    proof_seen = proof_seen || as_proof(unit);
    if (as_proof(unit)) return jl_strength_on(JL_UNIT_PROOF_US, value);
    return as_fahrenheit(unit) ? jl_in_unit(&jl_units[JL_F], value) : value;
}

double difference_seen(double difference, const char *unit) {
    if (as_proof(unit)) return jl_per_pct(JL_UNIT_PROOF_US) * difference;
    return as_fahrenheit(unit) ? difference / jl_units[JL_F].factor : difference;
}

const char *unit_seen(const char *unit) {
    return as_proof(unit) ? "proof" : as_fahrenheit(unit) ? "°F" : unit;
}

void label_seen(char *label, const char *unit) {
    static const char HERE[] = "20 °C", THERE[sizeof HERE] = "60 °F";
    char *at = as_proof(unit) ? strstr(label, HERE) : NULL;
    if (at != NULL) memcpy(at, THERE, sizeof THERE - 1);
}

const char *both_at(void) {
    return in_use.proof ? "at 20 °C, proof at 60 °F" : "at 20 °C";
}

const char *units_in_words(void) {
    return proof_seen ? "Strengths in US proof at 60 °F, volumes at 20 °C" : NULL;
}
