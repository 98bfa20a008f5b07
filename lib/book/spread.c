/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/spread.h"
#include "text/array.h"
#include "text/letters.h"

#include <math.h>
#include <stdlib.h>

static const jl_book_spread NONE = {{0}, {0}, 0, 0, 0};

double jl_book_spread_standard_kg(const jl_book_spread *s) {
    double variance = s->variance;
    for (int i = 0; i < JL_INSTRUMENTS; i++) variance += s->common[i] * s->common[i];
    return sqrt(variance);
}

void jl_book_spread_add(jl_book_spread *sum, const jl_book_spread *more, double sign) {
    for (int i = 0; i < JL_INSTRUMENTS; i++) {
        sum->common[i] += sign * more->common[i];
        sum->common_l[i] += sign * more->common_l[i];
    }
    sum->variance += more->variance;
    sum->covariance += more->covariance;
    sum->variance_l += more->variance_l;
}

/* The same spread after ethanol = a ethanol + b volume, volume = c volume. */
static jl_book_spread mapped(const jl_book_spread *s, double a, double b, double c) {
    jl_book_spread to;
    for (int i = 0; i < JL_INSTRUMENTS; i++) {
        to.common[i] = a * s->common[i] + b * s->common_l[i];
        to.common_l[i] = c * s->common_l[i];
    }
    to.variance = a * a * s->variance + 2 * a * b * s->covariance + b * b * s->variance_l;
    to.covariance = c * (a * s->covariance + b * s->variance_l);
    to.variance_l = c * c * s->variance_l;
    return to;
}

/* Adds what is read on an instrument: what one of its units makes of the ethanol and of the volume; own:
 * what its common error's unit is of the reading's. */
static void read_on(jl_book_spread *s, const jl_instruments *by, jl_instrument which, double kg,
                    double l, double own) {
    double common = own * sqrt(jl_instrument_variance(by, which, true));
    double variance = jl_instrument_variance(by, which, false);
    s->common[which] += kg * common;
    s->common_l[which] += l * common;
    s->variance += kg * kg * variance;
    s->covariance += kg * l * variance;
    s->variance_l += l * l * variance;
}

/* A volume or a weight, whose common error is a share. */
static void measured_size(jl_book_spread *s, const jl_instruments *by, const jl_book_measure *m,
                          double ethanol_kg, double volume_l) {
    bool weighed = isnan(m->volume_l);
    double size = weighed ? m->weight_kg : m->volume_l;
    if (size > 0)
        read_on(s, by, weighed ? JL_BY_SCALE : JL_BY_JUG, ethanol_kg / size, volume_l / size, size);
}

static double pct_of(jl_quantity strength) {
    return strength.unit == JL_UNIT_PROOF_US ? strength.value / 2 : strength.value;
}

/* What a degree makes of a reading's ethanol. */
static double per_degree(const jl_book_spreads *s, const jl_book_measure *m, double ethanol_kg) {
    double low, high;
    if (jl_reading_to_mass_fraction(&s->instrument, m->reading, m->temp_c - 0.5, &low) != JL_OK ||
        jl_reading_to_mass_fraction(&s->instrument, m->reading, m->temp_c + 0.5, &high) != JL_OK)
        return 0;
    return low + high > 0 ? ethanol_kg * 2 * (high - low) / (low + high) : 0;
}

/* An amount on its own figures. */
static jl_book_spread of_amount(const jl_book_spreads *s, const jl_book_entry *e) {
    jl_book_spread spread = NONE;
    jl_book_measure m = e->measured;
    double ethanol_kg = e->amount.ethanol_kg;
    if (!(jl_mass_kg(e->amount) > 0)) return spread;
    double volume_l = jl_volume_l(e->amount, JL_STRENGTH_C);
    if (!jl_book_has_size(&m)) {
        m.volume_l = volume_l;
        m.strength = (jl_quantity){jl_spirit_strength_pct(e->amount), JL_UNIT_PCT_VOL};
        m.reading.value = NAN;
    }
    measured_size(&spread, s->by, &m, ethanol_kg, volume_l);
    bool reading = isnan(m.strength.value);
    double pct = pct_of(reading ? m.reading : m.strength);
    if (pct > 0) read_on(&spread, s->by, JL_BY_ALCOHOLOMETER, ethanol_kg / pct, 0, 1);
    if (reading) read_on(&spread, s->by, JL_BY_THERMOMETER, per_degree(s, &m, ethanol_kg), 0, 1);
    return spread;
}

static jl_book_spread *vessel_spread(jl_book_spreads *s, const jl_book *book, const char *name) {
    size_t count;
    const jl_book_vessel *all = jl_book_vessels(book, &count);
    const jl_book_vessel *v = *name == '\0' ? NULL : jl_book_vessel_named(book, name);
    return v == NULL ? NULL : &s->vessels[v - all];
}

/* What is measured out of a vessel has its strength, whatever the vessel's own volume; all of it is all
 * that was there. */
static jl_book_spread take_part(const jl_book_spreads *s, const jl_book *book, jl_book_spread *from,
                                const jl_book_entry *e) {
    jl_spirit held = jl_book_vessel_named(book, e->from)->spirit;
    jl_book_spread measured = NONE, part = *from;
    bool all = e->bottles == 0 && !jl_book_has_size(&e->measured);
    if (all || !(jl_mass_kg(held) > 0)) {
        *from = NONE;
        return part;
    }
    double volume_l = jl_volume_l(held, JL_STRENGTH_C);
    double share = jl_mass_kg(e->amount) / jl_mass_kg(held);
    double by_strength = -share * held.ethanol_kg / volume_l;
    part = mapped(from, share, by_strength, 0);
    *from = mapped(from, 1 - share, -by_strength, 1);
    measured_size(&measured, s->by, &e->measured, e->amount.ethanol_kg, share * volume_l);
    jl_book_spread_add(&part, &measured, 1);
    jl_book_spread_add(from, &measured, -1);
    return part;
}

static jl_book_spread take_back(jl_book_spread *from, jl_book_spread *into,
                                const jl_book_spread *before, jl_book_what what) {
    if (into != NULL) jl_book_spread_add(into, before, -1);
    if (from != NULL) jl_book_spread_add(from, before, what == JL_BOOK_GAUGED ? -1 : 1);
    return mapped(before, -1, 0, -1);
}

static jl_book_spread take(jl_book_spreads *s, const jl_book *book, const jl_book_entry *e) {
    jl_book_spread change = NONE, found;
    jl_book_spread *from = vessel_spread(s, book, jl_book_taken_from(e));
    jl_book_spread *into = vessel_spread(s, book, e->into);
    switch (e->what) {
    case JL_BOOK_OPENING:
    case JL_BOOK_RECEIVED:
    case JL_BOOK_COLLECTED:
    case JL_BOOK_WATER:
        change = of_amount(s, e);
        break;
    case JL_BOOK_GAUGED:
        if (from == NULL) return change;
        found = change = of_amount(s, e);
        jl_book_spread_add(&change, from, -1);
        *from = found;
        return change;
    case JL_BOOK_VESSEL:
        return change;
    default:
        if (from != NULL) change = take_part(s, book, from, e);
        break;
    }
    if (into != NULL) jl_book_spread_add(into, &change, 1);
    return change;
}

jl_status jl_book_spreads_take(jl_book_spreads *s, const jl_book *before, const jl_book_entry *e,
                               const jl_book_entry *cancelled, size_t at) {
    size_t vessels;
    jl_book_vessels(before, &vessels);
    while (s->vessel_count < vessels) {
        if (!jl_grow(&s->vessels, s->vessel_count, &s->vessel_room, sizeof *s->vessels))
            return JL_MEMORY;
        s->vessels[s->vessel_count++] = NONE;
    }
    if (!jl_grow(&s->entries, s->count, &s->room, sizeof *s->entries)) return JL_MEMORY;
    s->entries[s->count++] =
        cancelled == NULL ? take(s, before, e)
                          : take_back(vessel_spread(s, before, jl_book_taken_from(cancelled)),
                                      vessel_spread(s, before, cancelled->into), &s->entries[at],
                                      cancelled->what);
    return JL_OK;
}

jl_book_spread jl_book_spread_found(const jl_book_spreads *s, const jl_book_entry *e, size_t at) {
    jl_book_spread found = s->entries[at];
    if (!jl_book_measured_apart(e)) return found;
    jl_book_entry logged = *e;
    logged.amount = e->logged;
    logged.measured = JL_BOOK_UNMEASURED;
    const jl_book_spread known = of_amount(s, &logged);
    jl_book_spread_add(&found, &known, -1);
    return found;
}

void jl_book_spreads_free(jl_book_spreads *s) {
    free(s->vessels);
    free(s->entries);
    s->vessels = s->entries = NULL;
}
