/* A period of the book: what came, what went, what is left.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_ACCOUNT_H
#define JL_ACCOUNT_H

#include "book/book.h"
#include "uncertainty/readings.h"

/* Of an amount: what each instrument's own error makes of its ethanol (kg) and of its volume (l),
 * signed, and variances and covariance of all that is new. */
typedef struct jl_book_spread {
    double common[JL_INSTRUMENTS], common_l[JL_INSTRUMENTS];
    double variance, covariance, variance_l;
} jl_book_spread;

/* Of the ethanol. */
double jl_book_spread_standard_kg(const jl_book_spread *spread);

/* Of an entry's change, and of what its vessels held before it. */
typedef struct jl_book_entry_spread {
    jl_book_spread change, from, into;
} jl_book_entry_spread;

typedef struct jl_book_spreads {
    const jl_instruments *by;
    jl_alcoholometer instrument; /* of the book */
    jl_book_spread *vessels;     /* of what a vessel holds */
    jl_book_entry_spread *entries;
    size_t vessel_count, vessel_room, count, room;
} jl_book_spreads;

/* The next entry, before the book takes it. Spreads begin with by and instrument alone. cancelled: the
 * entry that it takes back, which was the one of index at, or NULL.
 * Errors: JL_MEMORY */
jl_status jl_book_spreads_take(jl_book_spreads *spreads, const jl_book *before,
                               const jl_book_entry *entry, const jl_book_entry *cancelled,
                               size_t at);

void jl_book_spreads_free(jl_book_spreads *spreads);

/* ---- The account ---- */

/* Where what came or went is counted. Gauging finds gains and losses; of losses it is told what they
 * were of: a cask's wood, bottles, anything else that was measured anew. */
typedef enum jl_account_line {
    JL_ACCOUNT_OPENING,
    JL_ACCOUNT_RECEIVED,
    JL_ACCOUNT_COLLECTED,
    JL_ACCOUNT_WATER,
    JL_ACCOUNT_GAINED,
    JL_ACCOUNT_CHARGED,
    JL_ACCOUNT_REMOVED,
    JL_ACCOUNT_LOST_HANDLING,
    JL_ACCOUNT_LOST_WOOD,
    JL_ACCOUNT_LOST_GAUGING,
    JL_ACCOUNT_LOST_BOTTLES,
    JL_ACCOUNT_KIND, /* of one kind's spirit: what became it, less what became another kind */
    JL_ACCOUNT_CLOSING,
    JL_ACCOUNT_LINES
} jl_account_line;

/* One kind of spirit, or all of them. */
typedef struct jl_account_kind {
    char kind[JL_BOOK_NAME_BYTES]; /* "": of no kind */
    jl_spirit of[JL_ACCOUNT_LINES];
} jl_account_kind;

/* What one receiver had. */
typedef struct jl_account_receiver {
    const char *receiver;
    jl_spirit spirit;
    uint32_t bottles;
} jl_account_receiver;

/* A vessel measured, or jars as they were collected: the gain that was found, negative where it is a
 * loss, and how far it may be off. */
typedef struct jl_account_gauging {
    size_t entry;                /* index in the book */
    double gain_kg, standard_kg; /* of ethanol */
} jl_account_gauging;

typedef struct jl_account {
    jl_account_kind all, *kinds;
    size_t kind_count, kind_room;
    jl_account_receiver *receivers;
    size_t receiver_count, receiver_room;
    size_t first, count;          /* the period's entries, by index in the book */
    unsigned *lines;              /* where each of them counts: a set of 1 << jl_account_line */
    jl_account_gauging *gaugings; /* those that stand at the period's end */
    size_t gauging_count, gauging_room;
    double standard_kg
        [JL_ACCOUNT_LINES]; /* of the ethanol gained and lost, what was measured; else 0 */
} jl_account;

/* What the vessels were measured with. */
typedef struct jl_account_by {
    const jl_instruments *instruments; /* NULL: how far it may be off is not worked out */
    jl_alcoholometer scale;            /* of the book's readings */
} jl_account_by;

/* The account of the entries written from since_s on and before until_s, in seconds since 1970. A
 * closing is the next period's opening to the last bit, and the lines of any split of a period add up
 * to those of the whole. Stock that the book itself opened with counts as opening, whenever it was
 * entered. Receivers are texts of the book.
 * Errors: JL_MEMORY */
jl_status jl_account_of(const jl_book *book, int64_t since_s, int64_t until_s, jl_account_by by,
                        jl_account *account);

void jl_account_free(jl_account *account);

/* ---- What the book has of a run, beside the run's own log ---- */

/* An entry whose jars hold something else by now than what it collected, or was measured to be when it
 * was. */
typedef struct jl_against_entry {
    jl_book_number number;
    bool measured; /* without what its log had then */
    /* what the log had by the book, or was measured; what it has by now */
    jl_spirit booked, logged;
} jl_against_entry;

typedef struct jl_against {
    const jl_jar **jars; /* those of the log that no entry collected */
    size_t jar_count;
    jl_spirit jars_spirit;
    jl_against_entry *changed;
    size_t changed_count, changed_room;
    jl_spirit charged; /* by the book */
    size_t charged_count;
    const char *known_as; /* as jl_book_known_as; what is found under it is here too */
} jl_against;

/* What the book calls a run whose log let it begin at another moment then, a text of the book: a name of
 * the same title with which an entry collected out of a log of this name what its jars have now, or
 * charged its charge within a day of its start. NULL: there is none. name: what it would be called by its
 * log. */
const char *jl_book_known_as(const jl_book *book, const char *name, const char *log,
                             const jl_run *run);

/* The same of name and log. Entries that were taken back do not count.
 * Errors: JL_MEMORY; there is nothing to free then */
jl_status jl_book_against(const jl_book *book, const char *name, const char *log, const jl_run *run,
                          jl_against *against);

/* Whether the book charged another amount than the log's charge, beyond how one may round what it has
 * from the other. False: one of them has none. */
bool jl_against_charge_differs(const jl_against *against, const jl_run *run);

void jl_against_free(jl_against *against);

#endif
