/* A period of the book.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The entries are taken once more, into a book of their own: what each kind held when the period began
 * and when it ended is then looked at, not computed. */
#include "book/account.h"
#include "spirit/spirit.h"
#include "text/array.h"
#include "text/letters.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

/* What each kind holds. */
static jl_status look_at_stock(jl_account *a, const jl_book *then, jl_account_line line) {
    size_t vessels, lots;
    const jl_book_vessel *v = jl_book_vessels(then, &vessels);
    const jl_book_lot *l = jl_book_lots(then, &lots);
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && i < vessels; i++)
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

/* Digits that a spreadsheet drops make neither a gain nor a loss. */
static const double DROPPED = 1e-6;

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
    if (fabs(found_kg) <= DROPPED * e->amount.ethanol_kg) return LINES[e->what];
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
        const jl_book_spread spread = jl_book_spread_found(&p->spreads, e, at);
        a->gaugings[a->gauging_count++] = (jl_account_gauging){
            i, back_sign * jl_book_found(e).ethanol_kg, jl_book_spread_standard_kg(&spread)};
        jl_account_line line = line_of_found(a->lines[i - a->first], &sign);
        jl_book_spread_add(&of[line], &spread, sign * back_sign);
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
