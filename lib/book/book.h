/* The book of the house: what stands in which vessel and in which lot of bottles, entry by entry.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every amount is ethanol and water by mass, so mixing, contraction and water need no rule of their
 * own. At every entry, for ethanol and for water: opening + received + collected + water + gained =
 * what vessels and lots hold + charged + removed + lost. Entries count in their order in the book. */
#ifndef JL_BOOK_H
#define JL_BOOK_H

#include "jarline.h"

typedef enum jl_book_what {
    JL_BOOK_VESSEL,    /* a vessel begins, changes or is retired */
    JL_BOOK_OPENING,   /* stock when the book begins */
    JL_BOOK_RECEIVED,  /* spirit from outside */
    JL_BOOK_COLLECTED, /* a run's fraction or jars into a vessel */
    JL_BOOK_CHARGED,   /* from a vessel into the still */
    JL_BOOK_MOVED,     /* from vessel to vessel */
    JL_BOOK_WATER,     /* added to a vessel */
    JL_BOOK_BOTTLED,   /* from a vessel into bottles of one lot */
    JL_BOOK_REMOVED,   /* out of the house */
    JL_BOOK_GAUGED,    /* measured or counted: the book takes what was found */
    JL_BOOK_LOST,      /* a known loss */
    JL_BOOK_CANCELLED, /* takes an earlier entry back */
    JL_BOOK_WHATS
} jl_book_what;

/* The word of an entry in the file: "vessel", "opening" ... */
const char *jl_book_word(jl_book_what what);
extern const char jl_book_words_expected[];

/* Errors: JL_FORM */
jl_status jl_book_what_read(const char *word, jl_book_what *what);

#define JL_BOOK_STANDS ((size_t)-1)

/* The entry's number in its calendar year: 2026-31. */
typedef struct jl_book_number {
    int year;
    uint32_t serial; /* from 1 */
} jl_book_number;

enum { JL_BOOK_NUMBER_BYTES = 24 };
void jl_book_number_write(jl_book_number number, char text[JL_BOOK_NUMBER_BYTES]);
/* Errors: JL_FORM */
jl_status jl_book_number_read(const char *text, jl_book_number *number);

/* What was measured; NaN: not. */
typedef struct jl_book_measure {
    bool all;             /* of what a vessel holds; without any other figure */
    double volume_l;      /* at temp_c; 20 °C where that is NaN */
    double weight_kg;     /* as a scale in air shows it, net */
    jl_quantity reading;  /* JL_UNIT_PCT_VOL or JL_UNIT_PROOF_US at temp_c */
    jl_quantity strength; /* true; beside a reading that of a distilled sample */
    double temp_c;
    double solids_g_100ml;
    bool computed; /* its temperature: no thermometer showed it */
} jl_book_measure;

/* A share of an amount below it is nothing: digits that a spreadsheet drops. */
#define JL_BOOK_DROPPED 1e-6

#define JL_BOOK_UNMEASURED                                                                         \
    ((jl_book_measure){                                                                            \
        false, NAN, NAN, {NAN, JL_UNIT_PCT_VOL}, {NAN, JL_UNIT_PCT_VOL}, NAN, NAN, false})

/* What was measured with instruments that show it, as others would have shown the same: reading, to a
 * millionth, and temperature. So a reading keeps what its own day's instruments made of it.
 * Errors: as jl_reading_to_mass_fraction and jl_reading_from_mass_fraction */
jl_status jl_book_measure_as(const jl_alcoholometer *shown_by, const jl_alcoholometer *by,
                             jl_book_measure *measured);

/* Texts are "" where there is none. */
typedef struct jl_book_entry {
    jl_book_number number;
    jl_time time;    /* of the event */
    jl_time written; /* later than time where the entry is late */
    bool late;
    jl_book_what what;
    const char *from, *into; /* vessels; "lot:2026-7"; a run's jars: "october.csv:3-11" */
    const char *receiver, *kind, *lot, *run, *note;
    jl_book_measure measured;
    uint32_t bottles;
    double bottle_l;          /* at 20 °C */
    jl_book_number cancelled; /* of JL_BOOK_CANCELLED */
    jl_spirit amount;         /* what it came to: see jl_book_settle */
    jl_spirit logged; /* of jars that were measured as they were collected: what their log has */
    size_t line;      /* in its file; 0: not yet */
    /* Filled when the book takes it: */
    jl_spirit change; /* as amount; of a gauging its gain, negative where it is a loss; of a
                         cancelling what it takes back, negative */
    struct {
        const char *name, *use;
        double capacity_l;
    } was;             /* the vessel that it changes, before it */
    const char *of;    /* the kind of the spirit that it is about */
    const char *onto;  /* the kind of what stood where it went; "": nothing stood there */
    size_t taken_back; /* index of the entry that cancels this one, or of the one that this cancels;
                          JL_BOOK_STANDS: none */
} jl_book_entry;

#define JL_BOOK_BLANK(is)                                                                          \
    ((jl_book_entry){.what = (is),                                                                 \
                     .from = "",                                                                   \
                     .into = "",                                                                   \
                     .receiver = "",                                                               \
                     .kind = "",                                                                   \
                     .lot = "",                                                                    \
                     .run = "",                                                                    \
                     .note = "",                                                                   \
                     .measured = JL_BOOK_UNMEASURED})

/* "lot:2026-7" names a lot, anything else a vessel. */
bool jl_book_is_lot(const char *from);

/* The lot's own name, with "lot:" before it or without. */
const char *jl_book_lot_name(const char *lot);

/* The vessel or "lot:..." that an entry takes from; "" where its from is a run's jars or a sender. */
const char *jl_book_taken_from(const jl_book_entry *entry);

/* Whether a volume or a weight of it was measured. */
bool jl_book_has_size(const jl_book_measure *measured);

/* Whether its jars were measured as they were collected, beside what their log has. */
bool jl_book_measured_apart(const jl_book_entry *entry);

/* What measuring found beside what was known: of a gauging, and of jars that were measured as they were
 * collected; negative where it is a loss. The entry has been taken. */
jl_spirit jl_book_found(const jl_book_entry *entry);

/* Whether an entry collected a jar of its run. */
bool jl_book_collected_jar(const jl_book_entry *entry, const char *name);

/* A share of a vessel's ethanol, by where it came from. */
typedef struct jl_book_origin {
    const char *run; /* title and start of a run, or the sender; "": more than are kept apart */
    double ethanol_kg;
} jl_book_origin;

enum { JL_BOOK_ORIGINS = 16 };

typedef struct jl_book_vessel {
    const char *name;
    double capacity_l; /* at 20 °C */
    const char *use;   /* "glass", "steel", "wood", "other" */
    const char *kind;  /* of what it holds */
    jl_spirit spirit;
    jl_time since;    /* it last began to hold something */
    jl_time youngest; /* of the spirit in it: when the last of it came into the store */
    jl_book_origin origins[JL_BOOK_ORIGINS];
    size_t origin_count;
    bool retired;
} jl_book_vessel;

typedef struct jl_book_lot {
    const char *name;
    const char *kind;
    uint32_t bottles;
    double bottle_l;
    jl_spirit spirit; /* of all its bottles */
    jl_time since;
} jl_book_lot;

/* What has flowed since the book began. */
typedef struct jl_book_flows {
    jl_spirit opening, received, collected, water, gained;
    jl_spirit charged, removed, lost;
} jl_book_flows;

/* Why an entry is refused by the state of the book. */
typedef enum jl_book_why {
    JL_BOOK_TAKEN,
    JL_BOOK_NO_VESSEL,      /* name, nearest */
    JL_BOOK_NO_LOT,         /* name, nearest */
    JL_BOOK_RETIRED,        /* name */
    JL_BOOK_HOLDS_LESS,     /* name, has, asked: l at 20 °C, or bottles */
    JL_BOOK_ABOVE_CAPACITY, /* name, has (with the entry), asked (capacity) */
    JL_BOOK_EMPTY,          /* name: nothing in it to take, water or bottle */
    JL_BOOK_TWICE,          /* name: the jar; entry: where it stands */
    JL_BOOK_BEFORE_LAST,    /* entry: the last; name: when it was written */
    JL_BOOK_STANDS_ON,      /* entries stand on the one to be cancelled */
    JL_BOOK_NO_ENTRY,       /* no such entry, or it is cancelled already */
    JL_BOOK_EXISTS,         /* a vessel of that name; a lot with other bottles */
    JL_BOOK_NOT_EMPTY,      /* a vessel that is to be retired holds something */
    JL_BOOK_NO_AMOUNT,      /* what was measured gives no amount: status says why */
    JL_BOOK_SAME,           /* from and into are one vessel */
    JL_BOOK_NAME            /* name: of a new vessel or lot, that no later entry could ask for */
} jl_book_why;

enum { JL_BOOK_NAME_BYTES = 64, JL_BOOK_STANDING_MOST = 8 };

typedef struct jl_book_refusal {
    jl_book_why why;
    jl_status status; /* JL_NO, or of the measured values */
    char name[JL_BOOK_NAME_BYTES], nearest[JL_BOOK_NAME_BYTES];
    double has, asked;
    jl_book_number entries[JL_BOOK_STANDING_MOST]; /* the first ones */
    size_t entry_count;
} jl_book_refusal;

typedef struct jl_book jl_book;

/* Errors: JL_MEMORY */
jl_status jl_book_new(jl_book **book);
void jl_book_free(jl_book *book);

/* Another book before its first entry, which takes that book's entries once more, one by one. It shares
 * them, so that the other book stays as it is while there is a replay. Errors: JL_MEMORY */
jl_status jl_book_replay_new(const jl_book *of, jl_book **replay);

/* Takes the next of them, of which there must be one. Errors: JL_MEMORY */
jl_status jl_book_replay(jl_book *replay);

/* What was measured comes to, whether or not the book would take the entry: entry->amount. Errors: as
 * jl_book_settle */
jl_status jl_book_amount(const jl_book *book, const jl_alcoholometer *instrument,
                         jl_book_entry *entry, jl_book_refusal *refusal);

/* What an entry comes to as the book stands: entry->amount, which of a gauging is what was found.
 * Nothing is changed in the book.
 * Errors: JL_NO (refused by the state, see *refusal), JL_RANGE, JL_MISSING, JL_NO_MIXTURE (what was
 * measured), JL_MEMORY */
jl_status jl_book_settle(const jl_book *book, const jl_alcoholometer *instrument,
                         jl_book_entry *entry, jl_book_refusal *refusal);

/* As jl_book_found, of an entry that is settled and not yet taken. */
jl_spirit jl_book_would_find(const jl_book *book, const jl_book_entry *entry);

/* Takes an entry with its amount into the book, which copies its texts. Errors: as jl_book_settle */
jl_status jl_book_take(jl_book *book, const jl_book_entry *entry, jl_book_refusal *refusal);

/* The book as it stood before until_s, in seconds since 1970: a replay of the entries written before
 * then.
 * Errors: JL_MEMORY */
jl_status jl_book_until(const jl_book *book, int64_t until_s, jl_book **then);

/* The number of an entry written then. */
jl_book_number jl_book_next(const jl_book *book, jl_time written);

/* Views. Those of one call are valid until the next entry is taken. */
const jl_book_entry *jl_book_entries(const jl_book *book, size_t *count);
const jl_book_vessel *jl_book_vessels(const jl_book *book, size_t *count);
const jl_book_lot *jl_book_lots(const jl_book *book, size_t *count);
const jl_book_vessel *jl_book_vessel_named(const jl_book *book, const char *name);
const jl_book_lot *jl_book_lot_named(const jl_book *book, const char *name);
jl_book_flows jl_book_flowed(const jl_book *book);

/* All that vessels and lots hold. */
jl_spirit jl_book_held(const jl_book *book);

/* ---- A gauging that may be a slip of the pen ---- */

typedef struct jl_book_slip {
    double meant;     /* what was probably meant; NaN: nothing that fits */
    const char *unit; /* "L", "kg", "%", "proof" */
} jl_book_slip;

/* Whether so much more or less was measured than was known that it is seldom true; then what comes to
 * what was known, with one figure's point or one of its digits changed.
 *
 * Given: entry: settled; found: by jl_book_found, or jl_book_would_find where it is not yet taken */
bool jl_book_slip_of(const jl_book *book, const jl_book_entry *entry, jl_spirit found,
                     jl_book_slip *slip);

#endif
