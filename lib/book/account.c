/* A period of the book.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The entries are taken once more, into a book of their own: what each kind held when the period began
 * and when it ended is then looked at, not computed. */
#include "book/account.h"
#include "run/run.h"
#include "spirit/spirit.h"
#include "text/array.h"
#include "text/letters.h"
#include "text/quantity.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- How sure its sums are ---- */

static const jl_book_spread NONE = {{0}, {0}, 0, 0, 0};

double jl_book_spread_standard_kg(const jl_book_spread *s) {
    double variance = s->variance;
    for (int i = 0; i < JL_INSTRUMENTS; i++) variance += s->common[i] * s->common[i];
    return sqrt(variance);
}

/* Adds another, as a sum of amounts does; sign -1: as a difference does. */
static void spread_add(jl_book_spread *sum, const jl_book_spread *more, double sign) {
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

/* What a degree makes of a reading's ethanol. */
static double per_degree(const jl_book_spreads *s, const jl_book_measure *m, double ethanol_kg) {
    double low, high;
    if (!(ethanol_kg > 0) ||
        jl_reading_to_mass_fraction(&s->instrument, m->reading, m->temp_c - 0.5, &low) != JL_OK ||
        jl_reading_to_mass_fraction(&s->instrument, m->reading, m->temp_c + 0.5, &high) != JL_OK)
        return 0;
    return ethanol_kg * 2 * (high - low) / (low + high);
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
    const jl_quantity strength = reading ? m.reading : m.strength;
    double pct = strength.value / jl_per_pct(strength.unit);
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
    spread_add(&part, &measured, 1);
    spread_add(from, &measured, -1);
    return part;
}

/* Nothing later stands on the entry, so that its vessels are as sure as they were before it. */
static jl_book_spread take_back(jl_book_spread *from, jl_book_spread *into,
                                const jl_book_entry_spread *taken) {
    if (into != NULL) *into = taken->into;
    if (from != NULL) *from = taken->from;
    return mapped(&taken->change, -1, 0, -1);
}

static jl_book_spread held_in(const jl_book_spread *vessel) {
    return vessel == NULL ? NONE : *vessel;
}

static jl_book_spread take_entry(jl_book_spreads *s, const jl_book *book, jl_book_spread *from,
                                 jl_book_spread *into, const jl_book_entry *e) {
    jl_book_spread change = NONE, found;
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
        spread_add(&change, from, -1);
        *from = found;
        return change;
    case JL_BOOK_VESSEL:
        return change;
    default:
        if (from != NULL) change = take_part(s, book, from, e);
        break;
    }
    if (into != NULL) spread_add(into, &change, 1);
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
    const jl_book_entry *of = cancelled == NULL ? e : cancelled;
    jl_book_spread *from = vessel_spread(s, before, jl_book_taken_from(of));
    jl_book_spread *into = vessel_spread(s, before, of->into);
    jl_book_entry_spread made = {.from = held_in(from), .into = held_in(into)};
    made.change = cancelled == NULL ? take_entry(s, before, from, into, e)
                                    : take_back(from, into, &s->entries[at]);
    s->entries[s->count++] = made;
    return JL_OK;
}

/* Of what measuring found in an entry that has been taken, the one of index at. */
static jl_book_spread spread_found(const jl_book_spreads *s, const jl_book_entry *e, size_t at) {
    jl_book_spread found = s->entries[at].change;
    if (!jl_book_measured_apart(e)) return found;
    jl_book_entry logged = *e;
    logged.amount = e->logged;
    logged.measured = JL_BOOK_UNMEASURED;
    const jl_book_spread known = of_amount(s, &logged);
    spread_add(&found, &known, -1);
    return found;
}

void jl_book_spreads_free(jl_book_spreads *s) {
    free(s->vessels);
    free(s->entries);
    s->vessels = NULL;
    s->entries = NULL;
}

/* ---- The account ---- */

static jl_account_kind *kind_of(jl_account *a, const char *kind) {
    for (size_t i = 0; i < a->kind_count; i++)
        if (jl_same_letters(a->kinds[i].kind, kind)) return &a->kinds[i];
    if (!jl_grow(&a->kinds, a->kind_count, &a->kind_room, sizeof *a->kinds)) return NULL;
    jl_account_kind *made = &a->kinds[a->kind_count++];
    *made = (jl_account_kind){.kind = ""};
    snprintf(made->kind, sizeof made->kind, "%s", kind);
    return made;
}

static jl_status count(jl_account *a, jl_account_line line, const char *kind, jl_spirit s) {
    jl_account_kind *of = kind_of(a, kind);
    if (of == NULL) return JL_MEMORY;
    jl_spirit_add(&of->of[line], s, 1);
    jl_spirit_add(&a->all.of[line], s, 1);
    return JL_OK;
}

static jl_status count_receiver(jl_account *a, const jl_book_entry *e, double sign) {
    size_t i = 0;
    while (i < a->receiver_count && strcmp(a->receivers[i].receiver, e->receiver) != 0) i++;
    if (i == a->receiver_count) {
        if (!jl_grow(&a->receivers, i, &a->receiver_room, sizeof *a->receivers)) return JL_MEMORY;
        a->receivers[a->receiver_count++] = (jl_account_receiver){.receiver = e->receiver};
    }
    jl_spirit_add(&a->receivers[i].spirit, e->change, sign);
    a->receivers[i].bottles += sign > 0 ? e->bottles : 0 - e->bottles;
    return JL_OK;
}

static jl_account_line line_of_loss(const jl_book *then, const jl_book_entry *e) {
    const jl_book_vessel *v = jl_book_vessel_named(then, e->from);
    if (jl_book_is_lot(e->from)) return JL_ACCOUNT_LOST_BOTTLES;
    if (e->what == JL_BOOK_LOST) return JL_ACCOUNT_LOST_HANDLING;
    return v != NULL && jl_same_letters(v->use, "wood") ? JL_ACCOUNT_LOST_WOOD
                                                        : JL_ACCOUNT_LOST_GAUGING;
}

/* Of ethanol and of water what is more is gained and what is less is lost, as in the book. */
static jl_status count_found(jl_account *a, const jl_book *then, const jl_book_entry *e,
                             double sign) {
    jl_spirit found = jl_book_found(e), gain = {0, 0}, loss = {0, 0};
    *(found.ethanol_kg > 0 ? &gain : &loss) = (jl_spirit){sign * found.ethanol_kg, 0};
    (found.water_kg > 0 ? &gain : &loss)->water_kg = sign * found.water_kg;
    jl_status status = count(a, JL_ACCOUNT_GAINED, e->of, gain);
    jl_spirit lost = {-loss.ethanol_kg, -loss.water_kg};
    return status == JL_OK ? count(a, line_of_loss(then, e), e->of, lost) : status;
}

static jl_status count_entry(jl_account *a, const jl_book *then, const jl_book_entry *e,
                             double sign) {
    jl_spirit change = {sign * e->change.ethanol_kg, sign * e->change.water_kg};
    jl_status status;
    switch (e->what) {
    case JL_BOOK_OPENING:
        return count(a, JL_ACCOUNT_OPENING, e->of, change);
    case JL_BOOK_RECEIVED:
        return count(a, JL_ACCOUNT_RECEIVED, e->of, change);
    case JL_BOOK_COLLECTED:
        jl_spirit_add(&change, jl_book_found(e), -sign);
        status = count(a, JL_ACCOUNT_COLLECTED, e->of, change);
        return status == JL_OK ? count_found(a, then, e, sign) : status;
    case JL_BOOK_WATER:
        return count(a, JL_ACCOUNT_WATER, e->of, change);
    case JL_BOOK_CHARGED:
        return count(a, JL_ACCOUNT_CHARGED, e->of, change);
    case JL_BOOK_LOST:
        return count(a, line_of_loss(then, e), e->of, change);
    case JL_BOOK_GAUGED:
        return count_found(a, then, e, sign);
    case JL_BOOK_REMOVED:
        status = count_receiver(a, e, sign);
        return status == JL_OK ? count(a, JL_ACCOUNT_REMOVED, e->of, change) : status;
    default:
        return JL_OK; /* what is moved or bottled stays in the house */
    }
}

/* What each kind holds; a vessel that was never filled is of none. */
static jl_status look_at_stock(jl_account *a, const jl_book *then, jl_account_line line) {
    size_t vessels, lots;
    const jl_book_vessel *v = jl_book_vessels(then, &vessels);
    const jl_book_lot *l = jl_book_lots(then, &lots);
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && i < vessels; i++)
        if (v[i].kind[0] != '\0' || jl_mass_kg(v[i].spirit) > 0)
            status = count(a, line, v[i].kind, v[i].spirit);
    for (size_t i = 0; status == JL_OK && i < lots; i++)
        status = count(a, line, l[i].kind, l[i].spirit);
    return status;
}

/* What changed its kind is what is left when all else of a kind is counted. */
static void settle_kinds(jl_account *a) {
    static const int SIGN[JL_ACCOUNT_LINES] = {
        [JL_ACCOUNT_OPENING] = -1,     [JL_ACCOUNT_RECEIVED] = -1,     [JL_ACCOUNT_COLLECTED] = -1,
        [JL_ACCOUNT_WATER] = -1,       [JL_ACCOUNT_GAINED] = -1,       [JL_ACCOUNT_CHARGED] = 1,
        [JL_ACCOUNT_REMOVED] = 1,      [JL_ACCOUNT_LOST_HANDLING] = 1, [JL_ACCOUNT_LOST_WOOD] = 1,
        [JL_ACCOUNT_LOST_GAUGING] = 1, [JL_ACCOUNT_LOST_BOTTLES] = 1,  [JL_ACCOUNT_CLOSING] = 1};
    for (size_t i = 0; i < a->kind_count; i++)
        for (int line = 0; line < JL_ACCOUNT_LINES; line++)
            jl_spirit_add(&a->kinds[i].of[JL_ACCOUNT_KIND], a->kinds[i].of[line], SIGN[line]);
}

/* From whom all was taken back had nothing. */
static void drop_receivers(jl_account *a) {
    size_t kept = 0;
    for (size_t i = 0; i < a->receiver_count; i++) {
        const jl_account_receiver *r = &a->receivers[i];
        if (r->bottles > 0 || fabs(jl_mass_kg(r->spirit)) > 1e-9) a->receivers[kept++] = *r;
    }
    a->receiver_count = kept;
}

/* The lines in which an entry counts. */
static unsigned lines_of(const jl_book *then, const jl_book_entry *e) {
    static const unsigned LINES[JL_BOOK_WHATS] = {
        [JL_BOOK_OPENING] = 1 << JL_ACCOUNT_OPENING,
        [JL_BOOK_RECEIVED] = 1 << JL_ACCOUNT_RECEIVED,
        [JL_BOOK_COLLECTED] = 1 << JL_ACCOUNT_COLLECTED,
        [JL_BOOK_CHARGED] = 1 << JL_ACCOUNT_CHARGED,
        [JL_BOOK_WATER] = 1 << JL_ACCOUNT_WATER,
        [JL_BOOK_REMOVED] = 1 << JL_ACCOUNT_REMOVED,
    };
    double found_kg = jl_book_found(e).ethanol_kg;
    if (e->what == JL_BOOK_LOST) return 1u << line_of_loss(then, e);
    if (fabs(found_kg) <= JL_BOOK_DROPPED * e->amount.ethanol_kg) return LINES[e->what];
    return LINES[e->what] | 1u << (found_kg < 0 ? line_of_loss(then, e) : JL_ACCOUNT_GAINED);
}

/* A period while it is replayed. */
typedef struct period {
    const jl_book_entry *entries;
    size_t entry_count;
    jl_book *then;
    jl_book_spreads spreads;
    jl_account *account;
} period;

static jl_status take(period *p, size_t i) {
    const jl_book_entry *e = &p->entries[i];
    const jl_book_entry *of = e->what == JL_BOOK_CANCELLED ? &p->entries[e->taken_back] : NULL;
    jl_status status = JL_OK;
    if (p->spreads.by != NULL)
        status = jl_book_spreads_take(&p->spreads, p->then, e, of, of == NULL ? 0 : e->taken_back);
    return status == JL_OK ? jl_book_replay(p->then) : status;
}

static jl_status count_one(period *p, size_t i) {
    const jl_book_entry *e = &p->entries[i];
    bool back = e->what == JL_BOOK_CANCELLED;
    const jl_book_entry *of = back ? &p->entries[e->taken_back] : e;
    jl_status status = take(p, i);
    if (status != JL_OK) return status;
    p->account->lines[i - p->account->first] = lines_of(p->then, of);
    return count_entry(p->account, p->then, of, back ? -1 : 1);
}

/* The sums of lines that were measured, of which the instruments' own errors add up as they are. */
static void spread_lines(period *p, const jl_book_spread of[JL_ACCOUNT_LINES]) {
    for (int line = 0; line < JL_ACCOUNT_LINES; line++)
        p->account->standard_kg[line] = jl_book_spread_standard_kg(&of[line]);
}

static bool is_measured(const jl_book_entry *e) {
    return (e->what == JL_BOOK_GAUGED && !jl_book_is_lot(e->from)) || jl_book_measured_apart(e);
}

/* Where what was measured counts, of an entry's lines: a loss is the gain's negative. */
static jl_account_line line_of_found(unsigned lines, double *sign) {
    static const jl_account_line LOSSES[] = {JL_ACCOUNT_LOST_WOOD, JL_ACCOUNT_LOST_GAUGING};
    *sign = -1;
    for (size_t i = 0; i < sizeof LOSSES / sizeof LOSSES[0]; i++)
        if ((lines & 1u << LOSSES[i]) != 0) return LOSSES[i];
    *sign = 1;
    return JL_ACCOUNT_GAINED;
}

/* What was measured and taken back in the same period counts neither way. */
static jl_status list_gaugings(period *p) {
    jl_account *a = p->account;
    jl_book_spread of[JL_ACCOUNT_LINES];
    memset(of, 0, sizeof of);
    size_t end = a->first + a->count;
    for (size_t i = a->first; i < end; i++) {
        size_t other = p->entries[i].taken_back;
        bool back = p->entries[i].what == JL_BOOK_CANCELLED;
        size_t at = back ? other : i;
        const jl_book_entry *e = &p->entries[at];
        double sign, back_sign = back ? -1 : 1;
        if (!is_measured(e) || (back ? other >= a->first : other < end)) continue;
        if (!jl_grow(&a->gaugings, a->gauging_count, &a->gauging_room, sizeof *a->gaugings))
            return JL_MEMORY;
        const jl_book_spread spread = spread_found(&p->spreads, e, at);
        a->gaugings[a->gauging_count++] = (jl_account_gauging){
            i, back_sign * jl_book_found(e).ethanol_kg, jl_book_spread_standard_kg(&spread)};
        jl_account_line line = line_of_found(a->lines[i - a->first], &sign);
        spread_add(&of[line], &spread, sign * back_sign);
    }
    spread_lines(p, of);
    return JL_OK;
}

static jl_status replay(period *p, int64_t since_s, int64_t until_s) {
    jl_account *a = p->account;
    jl_status status = JL_OK;
    size_t i = 0;
    for (; status == JL_OK && i < p->entry_count && p->entries[i].written.unix_s < since_s; i++)
        status = take(p, i);
    if (status == JL_OK) status = look_at_stock(a, p->then, JL_ACCOUNT_OPENING);
    a->first = i;
    a->lines = calloc(p->entry_count - i + 1, sizeof *a->lines);
    if (a->lines == NULL) return JL_MEMORY;
    for (; status == JL_OK && i < p->entry_count && p->entries[i].written.unix_s < until_s; i++)
        status = count_one(p, i);
    a->count = i - a->first;
    if (status == JL_OK) status = look_at_stock(a, p->then, JL_ACCOUNT_CLOSING);
    return status == JL_OK && p->spreads.by != NULL ? list_gaugings(p) : status;
}

jl_status jl_account_of(const jl_book *book, int64_t since_s, int64_t until_s, jl_account_by by,
                        jl_account *account) {
    jl_account a = {.all = {.kind = ""}};
    period p = {.spreads = {.by = by.instruments, .instrument = by.scale}, .account = &a};
    p.entries = jl_book_entries(book, &p.entry_count);
    jl_status status = jl_book_replay_new(book, &p.then);
    if (status != JL_OK) return status;
    status = replay(&p, since_s, until_s);
    if (status == JL_OK) settle_kinds(&a);
    if (status == JL_OK) drop_receivers(&a);
    jl_book_free(p.then);
    jl_book_spreads_free(&p.spreads);
    if (status == JL_OK)
        *account = a;
    else
        jl_account_free(&a);
    return status;
}

void jl_account_free(jl_account *account) {
    free(account->kinds);
    free(account->receivers);
    free(account->lines);
    free(account->gaugings);
    account->kinds = NULL;
    account->receivers = NULL;
    account->lines = NULL;
    account->gaugings = NULL;
}

/* ---- What the book has of a run, beside the run's own log ---- */

/* The jars of a run while its entries are looked at. */
typedef struct jars {
    const jl_jar *all;
    size_t count;
    bool *collected;
} jars;

/* Whether its jars have by now what the log had when the entry collected them. */
static bool is_unchanged(const jl_book_entry *e, jars *j, jl_spirit *booked, jl_spirit *logged) {
    *logged = (jl_spirit){0, 0};
    for (size_t i = 0; i < j->count; i++) {
        if (!jl_book_collected_jar(e, j->all[i].name)) continue;
        if (j->collected != NULL) j->collected[i] = true;
        *logged = jl_blend(*logged, j->all[i].spirit);
    }
    *booked = jl_book_measured_apart(e) ? e->logged : e->amount;
    double least_kg = JL_BOOK_DROPPED * jl_mass_kg(*booked);
    return fabs(logged->ethanol_kg - booked->ethanol_kg) <= least_kg &&
           fabs(logged->water_kg - booked->water_kg) <= least_kg;
}

static jl_status compare(const jl_book_entry *e, jars *j, jl_against *a) {
    jl_spirit booked, logged;
    bool measured = !jl_book_measured_apart(e) && jl_book_has_size(&e->measured);
    if (is_unchanged(e, j, &booked, &logged)) return JL_OK;
    if (!jl_grow(&a->changed, a->changed_count, &a->changed_room, sizeof *a->changed))
        return JL_MEMORY;
    a->changed[a->changed_count++] = (jl_against_entry){e->number, measured, booked, logged};
    return JL_OK;
}

/* Of "October, 2026-10-17T09:05:00+02:00" the title. */
static size_t title_length(const char *name) {
    jl_written_time started;
    const char *comma = strrchr(name, ',');
    if (comma == NULL || comma[1] != ' ' ||
        jl_written_time_read(comma + 2, strlen(comma + 2), &started) != JL_OK)
        return strlen(name);
    return (size_t)(comma - name);
}

static bool has_another_start(const char *a, const char *b) {
    size_t length = title_length(a);
    return strcmp(a, b) != 0 && length == title_length(b) && strncmp(a, b, length) == 0;
}

/* Of "logs/october.csv:3-11" whether it is of such a log, in whichever folder. */
static bool is_out_of(const jl_book_entry *e, const char *log) {
    const char *slash = strrchr(log, '/'), *colon = strrchr(e->from, ':');
    const char *name = slash == NULL ? log : slash + 1;
    size_t length = strlen(name), whole = colon == NULL ? 0 : (size_t)(colon - e->from);
    return whole >= length && strncmp(colon - length, name, length) == 0 &&
           (whole == length || colon[-(ptrdiff_t)length - 1] == '/');
}

/* Whether jars of the run that an entry names came out of a log of another name. */
static bool is_of_another_log(const jl_book *book, const jl_book_entry *of, const char *log) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    for (size_t i = 0; i < count; i++)
        if (e[i].what == JL_BOOK_COLLECTED && strcmp(e[i].run, of->run) == 0 &&
            !is_out_of(&e[i], log))
            return true;
    return false;
}

/* So far a log may round its charge: common practice, no source. */
static const double ROUNDED_SHARE = 1e-3;

static bool is_charge_of(const jl_book_entry *e, const jl_run *run) {
    jl_time started;
    const jl_recovery *v = jl_run_recovery(run);
    double charge_kg = v->charge.ethanol_kg;
    return v->charge_stated && jl_run_started(run, &started) &&
           llabs(e->time.unix_s - started.unix_s) <= JL_DAY_S &&
           fabs(e->amount.ethanol_kg - charge_kg) <= ROUNDED_SHARE * charge_kg;
}

const char *jl_book_known_as(const jl_book *book, const char *name, const char *log,
                             const jl_run *run) {
    size_t count;
    jars j = {.collected = NULL};
    jl_spirit booked, logged;
    const jl_book_entry *e = jl_book_entries(book, &count);
    j.all = jl_run_jars(run, &j.count);
    for (size_t i = 0; i < count; i++) {
        if (e[i].taken_back != JL_BOOK_STANDS || !has_another_start(e[i].run, name)) continue;
        bool same = e[i].what == JL_BOOK_COLLECTED
                        ? is_out_of(&e[i], log) && is_unchanged(&e[i], &j, &booked, &logged)
                        : e[i].what == JL_BOOK_CHARGED && is_charge_of(&e[i], run) &&
                              !is_of_another_log(book, &e[i], log);
        if (same) return e[i].run;
    }
    return NULL;
}

static jl_status look(const jl_book *book, const char *name, jars *j, jl_against *a) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        bool known = strcmp(e[i].run, name) == 0 ||
                     (a->known_as != NULL && strcmp(e[i].run, a->known_as) == 0);
        if (e[i].taken_back != JL_BOOK_STANDS || !known) continue;
        if (e[i].what == JL_BOOK_COLLECTED) status = compare(&e[i], j, a);
        if (e[i].what != JL_BOOK_CHARGED) continue;
        a->charged = jl_blend(a->charged, e[i].amount);
        a->charged_count++;
    }
    return status;
}

jl_status jl_book_against(const jl_book *book, const char *name, const char *log, const jl_run *run,
                          jl_against *against) {
    jl_against a = {.known_as = jl_book_known_as(book, name, log, run)};
    jars j;
    j.all = jl_run_jars(run, &j.count);
    j.collected = calloc(j.count + 1, sizeof *j.collected);
    a.jars = calloc(j.count + 1, sizeof(jl_jar *));
    jl_status status = j.collected == NULL || a.jars == NULL ? JL_MEMORY : look(book, name, &j, &a);
    for (size_t i = 0; status == JL_OK && i < j.count; i++) {
        if (j.collected[i]) continue;
        a.jars[a.jar_count++] = &j.all[i];
        a.jars_spirit = jl_blend(a.jars_spirit, j.all[i].spirit);
    }
    free(j.collected);
    if (status == JL_OK)
        *against = a;
    else
        jl_against_free(&a);
    return status;
}

/* Half of the last digit of a litre as people see it. */
static const double SEEN_L = 0.0005;

bool jl_against_charge_differs(const jl_against *a, const jl_run *run) {
    const jl_recovery *v = jl_run_recovery(run);
    if (a->charged_count == 0 || !v->charge_stated) return false;
    double log_l = jl_pure_alcohol_l(v->charge);
    return fabs(jl_pure_alcohol_l(a->charged) - log_l) > SEEN_L + ROUNDED_SHARE * log_l;
}

void jl_against_free(jl_against *a) {
    free(a->jars);
    free(a->changed);
    a->jars = NULL;
    a->changed = NULL;
}
