/* The book of the house.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book.h"
#include "spirit/density.h"
#include "spirit/spirit.h"
#include "text/array.h"
#include "text/digits.h"
#include "text/letters.h"

#include <math.h>
#include <search.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A jar that was collected, and where. */
typedef struct jar_taken {
    char *key; /* run, a line feed, the jar */
    size_t entry;
} jar_taken;

struct jl_book {
    jl_book_entry *entries;
    size_t entry_count, entry_room; /* of a replay: those that it has taken */
    jl_book_vessel *vessels;
    size_t vessel_count, vessel_room;
    jl_book_lot *lots;
    size_t lot_count, lot_room;
    jl_book_flows flows;
    void *texts;      /* of tsearch: each text once */
    bool replays;     /* its entries and their texts are another book's */
    void *jars;       /* of tsearch: jar_taken */
    void *lot_places; /* of tsearch: name_place */
};

/* A name and where it stands in an array. */
typedef struct name_place {
    const char *name;
    size_t place;
} name_place;

static const char *const WORDS[JL_BOOK_WHATS] = {"vessel",  "opening", "received", "collected",
                                                 "charged", "moved",   "water",    "bottled",
                                                 "removed", "gauged",  "lost",     "cancelled"};

const char jl_book_words_expected[] = "vessel, opening, received, collected, charged, moved, "
                                      "water, bottled, removed, gauged, lost or cancelled";

const char *jl_book_word(jl_book_what what) {
    return WORDS[what];
}

jl_status jl_book_what_read(const char *word, jl_book_what *what) {
    for (int i = 0; i < JL_BOOK_WHATS; i++) {
        if (!jl_same_letters(word, WORDS[i])) continue;
        *what = (jl_book_what)i;
        return JL_OK;
    }
    return JL_FORM;
}

void jl_book_number_write(jl_book_number number, char text[JL_BOOK_NUMBER_BYTES]) {
    snprintf(text, JL_BOOK_NUMBER_BYTES, "%04d-%u", number.year, (unsigned)number.serial);
}

jl_status jl_book_number_read(const char *text, jl_book_number *number) {
    unsigned year = 0, serial = 0;
    size_t digits = strspn(text, "0123456789");
    if (digits != 4 || text[4] != '-') return JL_FORM;
    size_t more = strspn(text + 5, "0123456789");
    if (more < 1 || more > 9 || text[5 + more] != '\0' || text[5] == '0') return JL_FORM;
    for (size_t i = 0; i < 4; i++) year = year * 10 + (unsigned)(text[i] - '0');
    for (size_t i = 5; i < 5 + more; i++) serial = serial * 10 + (unsigned)(text[i] - '0');
    *number = (jl_book_number){(int)year, serial};
    return JL_OK;
}

/* ---- memory ---- */

jl_status jl_book_new(jl_book **book) {
    *book = calloc(1, sizeof **book);
    return *book == NULL ? JL_MEMORY : JL_OK;
}

jl_status jl_book_replay_new(const jl_book *of, jl_book **replay) {
    jl_status status = jl_book_new(replay);
    if (status != JL_OK) return status;
    (*replay)->replays = true;
    (*replay)->entries = of->entries;
    return JL_OK;
}

static void free_jar(void *jar) {
    free(((jar_taken *)jar)->key);
    free(jar);
}

void jl_book_free(jl_book *book) {
    if (book == NULL) return;
    tdestroy(book->texts, free);
    tdestroy(book->jars, free_jar);
    tdestroy(book->lot_places, free);
    if (!book->replays) free(book->entries);
    free(book->vessels);
    free(book->lots);
    free(book);
}

static int compare_texts(const void *a, const void *b) {
    return strcmp(a, b);
}

static int compare_jars(const void *a, const void *b) {
    return strcmp(((const jar_taken *)a)->key, ((const jar_taken *)b)->key);
}

static int compare_names(const void *a, const void *b) {
    return strcmp(((const name_place *)a)->name, ((const name_place *)b)->name);
}

/* The book's own copy of a text; NULL where memory is out. */
static const char *keep(jl_book *book, const char *text) {
    if (*text == '\0') return "";
    void *found = tfind(text, &book->texts, compare_texts);
    if (found != NULL) return *(char **)found;
    char *copy = strdup(text);
    if (copy != NULL && tsearch(copy, &book->texts, compare_texts) != NULL) return copy;
    free(copy);
    return NULL;
}

/* ---- looking up ---- */

static jl_book_vessel *vessel_of(const jl_book *book, const char *name) {
    /* A text of the book stands there once. */
    for (size_t i = 0; i < book->vessel_count; i++)
        if (book->vessels[i].name == name) return &book->vessels[i];
    for (size_t i = 0; i < book->vessel_count; i++)
        if (jl_same_letters(book->vessels[i].name, name)) return &book->vessels[i];
    return NULL;
}

const jl_book_vessel *jl_book_vessel_named(const jl_book *book, const char *name) {
    return vessel_of(book, name);
}

static jl_book_lot *lot_of(const jl_book *book, const char *name) {
    name_place key = {name, 0};
    void *found = tfind(&key, &book->lot_places, compare_names);
    return found == NULL ? NULL : &book->lots[(*(name_place **)found)->place];
}

const jl_book_lot *jl_book_lot_named(const jl_book *book, const char *name) {
    return lot_of(book, name);
}

static const char LOT[] = "lot:";
enum { LOT_LENGTH = sizeof LOT - 1 };

bool jl_book_has_size(const jl_book_measure *m) {
    return !isnan(m->volume_l) || !isnan(m->weight_kg);
}

bool jl_book_is_lot(const char *from) {
    return jl_same_letters_to(from, LOT, LOT_LENGTH);
}

const char *jl_book_lot_name(const char *lot) {
    return jl_book_is_lot(lot) ? lot + LOT_LENGTH : lot;
}

/* NULL: it is a vessel's. */
static const char *lot_name(const char *from) {
    return jl_book_is_lot(from) ? jl_book_lot_name(from) : NULL;
}

static void copy_name(char to[JL_BOOK_NAME_BYTES], const char *name) {
    snprintf(to, JL_BOOK_NAME_BYTES, "%s", name);
}

static jl_status refuse(jl_book_refusal *r, jl_book_why why, const char *name) {
    *r = (jl_book_refusal){.why = why, .status = JL_NO};
    copy_name(r->name, name);
    return JL_NO;
}

static jl_status refuse_figures(jl_book_refusal *r, jl_book_why why, const char *name, double has,
                                double asked) {
    refuse(r, why, name);
    r->has = has;
    r->asked = asked;
    return JL_NO;
}

static jl_status refuse_entry(jl_book_refusal *r, jl_book_why why, const char *name,
                              jl_book_number entry) {
    refuse(r, why, name);
    r->entries[0] = entry;
    r->entry_count = 1;
    return JL_NO;
}

static jl_status refuse_amount(jl_book_refusal *r, jl_status status, const char *name) {
    refuse(r, JL_BOOK_NO_AMOUNT, name);
    return r->status = status;
}

static jl_status refuse_unknown(jl_book_refusal *r, jl_book_why why, const jl_nearest *near) {
    refuse(r, why, near->word);
    if (near->found != NULL) copy_name(r->nearest, near->found);
    return JL_NO;
}

static jl_status no_vessel(const jl_book *book, const char *name, jl_book_refusal *r) {
    jl_nearest near = jl_nearest_to(name);
    for (size_t i = 0; i < book->vessel_count; i++) jl_nearest_offer(&near, book->vessels[i].name);
    return refuse_unknown(r, JL_BOOK_NO_VESSEL, &near);
}

static jl_status no_lot(const jl_book *book, const char *name, jl_book_refusal *r) {
    jl_nearest near = jl_nearest_to(name);
    for (size_t i = 0; i < book->lot_count; i++) jl_nearest_offer(&near, book->lots[i].name);
    return refuse_unknown(r, JL_BOOK_NO_LOT, &near);
}

static jl_status find_vessel(const jl_book *book, const char *name, jl_book_vessel **vessel,
                             jl_book_refusal *r) {
    *vessel = vessel_of(book, name);
    if (*vessel == NULL) return no_vessel(book, name, r);
    if ((*vessel)->retired) return refuse(r, JL_BOOK_RETIRED, (*vessel)->name);
    return JL_OK;
}

/* ---- what an entry comes to ---- */

static jl_spirit minus(jl_spirit a, jl_spirit b) {
    return (jl_spirit){a.ethanol_kg - b.ethanol_kg, a.water_kg - b.water_kg};
}

static bool is_none(jl_spirit s) {
    return !(s.ethanol_kg > 0 || s.water_kg > 0);
}

static double volume_20c_l(jl_spirit s) {
    return is_none(s) ? 0 : jl_volume_l(s, JL_STRENGTH_C);
}

static double liquid_c(const jl_book_measure *m, const jl_alcoholometer *instrument) {
    return isnan(m->temp_c) ? JL_STRENGTH_C : m->temp_c + instrument->thermometer_correction_c;
}

static bool show_the_same(const jl_alcoholometer *a, const jl_alcoholometer *b, jl_unit scale) {
    return jl_calibrated_c(a, scale) == jl_calibrated_c(b, scale) &&
           a->glass_per_c == b->glass_per_c &&
           a->reading_correction_pct == b->reading_correction_pct &&
           a->thermometer_correction_c == b->thermometer_correction_c;
}

jl_status jl_book_measure_as(const jl_alcoholometer *shown_by, const jl_alcoholometer *by,
                             jl_book_measure *m) {
    double p, temp_c = liquid_c(m, shown_by) - by->thermometer_correction_c;
    if (isnan(m->temp_c) || m->computed || show_the_same(shown_by, by, m->reading.unit))
        return JL_OK;
    if (!isnan(m->reading.value)) {
        jl_status status = jl_reading_to_mass_fraction(shown_by, m->reading, m->temp_c, &p);
        if (status == JL_OK)
            status =
                jl_reading_from_mass_fraction(by, p, temp_c, m->reading.unit, &m->reading.value);
        if (status != JL_OK) return status;
        m->reading.value = round(1e6 * m->reading.value) / 1e6;
    }
    m->temp_c = temp_c;
    return JL_OK;
}

/* The mixture that reading or strength name, with what dissolved solids hide of a reading. */
static jl_status mixture_of(const jl_book_measure *m, const jl_alcoholometer *instrument,
                            double *mass_fraction) {
    jl_status status;
    if (!isnan(m->strength.value)) return jl_strength_to_mass_fraction(m->strength, mass_fraction);
    if (isnan(m->reading.value) || isnan(m->temp_c)) return JL_MISSING;
    status = jl_reading_to_mass_fraction(instrument, m->reading, m->temp_c, mass_fraction);
    return status == JL_OK ? jl_mixture_behind_solids(m->solids_g_100ml, mass_fraction) : status;
}

/* A reading beside a true strength: that of a sample that was distilled, because solids hide too
 * much. */
static jl_status distilled_amount(const jl_book_measure *m, const jl_alcoholometer *instrument,
                                  jl_spirit *spirit) {
    double apparent, p;
    if (isnan(m->temp_c)) return JL_MISSING;
    jl_status status = jl_reading_to_mass_fraction(instrument, m->reading, m->temp_c, &apparent);
    if (status == JL_OK) status = jl_strength_to_mass_fraction(m->strength, &p);
    if (status != JL_OK) return status;
    return isnan(m->volume_l)
               ? jl_obscured_by_weight(m->weight_kg, apparent, p, spirit)
               : jl_obscured_by_volume(m->volume_l, liquid_c(m, instrument), apparent, p, spirit);
}

/* A volume or a weight of a mixture. */
static jl_status amount_of(const jl_book_measure *m, double mass_fraction, double temp_c,
                           jl_spirit *spirit) {
    double kg_m3;
    if (!isnan(m->volume_l))
        return jl_spirit_from_volume(m->volume_l, mass_fraction, temp_c, spirit);
    jl_status status = jl_density_kg_m3(mass_fraction, temp_c, &kg_m3);
    return status != JL_OK ? status
                           : jl_spirit_from_mass(jl_mass_from_scale_kg(m->weight_kg, kg_m3),
                                                 mass_fraction, spirit);
}

/* An amount that stands on its own figures: volume or weight, and a strength. */
static jl_status whole_amount(const jl_book_measure *m, const jl_alcoholometer *instrument,
                              jl_spirit *spirit) {
    double p;
    if (isnan(m->volume_l) == isnan(m->weight_kg)) return JL_MISSING;
    if (!isnan(m->reading.value) && !isnan(m->strength.value))
        return distilled_amount(m, instrument, spirit);
    jl_status status = mixture_of(m, instrument, &p);
    return status != JL_OK ? status : amount_of(m, p, liquid_c(m, instrument), spirit);
}

/* Rounding of a volume that was read off the book itself. */
static const double ALL_BUT = 1e-9;

/* A part of what a vessel holds. */
static jl_status part_of(const jl_book_vessel *v, double asked, double has, jl_spirit *part,
                         jl_book_refusal *r) {
    if (is_none(v->spirit)) return refuse(r, JL_BOOK_EMPTY, v->name);
    if (!(asked > 0)) return refuse_amount(r, JL_RANGE, v->name);
    double share = asked / has;
    if (share > 1 + ALL_BUT) return refuse_figures(r, JL_BOOK_HOLDS_LESS, v->name, has, asked);
    *part = share > 1 - ALL_BUT ? v->spirit : jl_spirit_times(v->spirit, share);
    return JL_OK;
}

static jl_status measured_part(const jl_book_vessel *v, const jl_book_measure *m,
                               const jl_alcoholometer *instrument, jl_spirit *part,
                               jl_book_refusal *r) {
    double temp_c = liquid_c(m, instrument);
    if (m->all) {
        *part = v->spirit;
        return is_none(v->spirit) ? refuse(r, JL_BOOK_EMPTY, v->name) : JL_OK;
    }
    if (isnan(m->volume_l) == isnan(m->weight_kg)) return refuse_amount(r, JL_MISSING, v->name);
    if (!jl_temp_ok(temp_c)) return refuse_amount(r, JL_RANGE, v->name);
    if (is_none(v->spirit)) return refuse(r, JL_BOOK_EMPTY, v->name);
    double has_l = jl_volume_l(v->spirit, temp_c);
    if (!isnan(m->volume_l)) return part_of(v, m->volume_l, has_l, part, r);
    double mass_kg = jl_mass_from_scale_kg(m->weight_kg, jl_mass_kg(v->spirit) / has_l * 1000);
    return part_of(v, mass_kg, jl_mass_kg(v->spirit), part, r);
}

static jl_status water_amount(const jl_book_measure *m, const jl_alcoholometer *instrument,
                              jl_spirit *water) {
    if (isnan(m->volume_l) == isnan(m->weight_kg)) return JL_MISSING;
    return amount_of(m, 0, liquid_c(m, instrument), water);
}

static jl_status lot_part(const jl_book *book, const char *name, uint32_t bottles, jl_spirit *part,
                          jl_book_refusal *r) {
    const jl_book_lot *lot = lot_of(book, name);
    if (lot == NULL) return no_lot(book, name, r);
    if (bottles == 0) return refuse_amount(r, JL_RANGE, name);
    if (bottles > lot->bottles)
        return refuse_figures(r, JL_BOOK_HOLDS_LESS, name, lot->bottles, bottles);
    *part = bottles == lot->bottles ? lot->spirit
                                    : jl_spirit_times(lot->spirit, (double)bottles / lot->bottles);
    return JL_OK;
}

static jl_status bottled_amount(const jl_book_vessel *v, const jl_book_entry *e, jl_spirit *part,
                                jl_book_refusal *r) {
    if (e->bottles == 0 || !(e->bottle_l > 0)) return refuse_amount(r, JL_RANGE, v->name);
    return part_of(v, e->bottles * e->bottle_l, volume_20c_l(v->spirit), part, r);
}

/* Of what leaves a vessel or a lot. */
static jl_status amount_out(const jl_book *book, const jl_alcoholometer *instrument,
                            jl_book_entry *e, jl_book_refusal *r) {
    jl_book_vessel *from;
    const char *lot = lot_name(e->from);
    if (lot != NULL) return lot_part(book, lot, e->bottles, &e->amount, r);
    jl_status status = find_vessel(book, e->from, &from, r);
    if (status != JL_OK) return status;
    return e->what == JL_BOOK_BOTTLED
               ? bottled_amount(from, e, &e->amount, r)
               : measured_part(from, &e->measured, instrument, &e->amount, r);
}

/* A lot that is gauged is counted: its bottles are alike. */
static jl_status amount_found(const jl_book *book, const jl_alcoholometer *instrument,
                              jl_book_entry *e, jl_book_refusal *r) {
    const char *lot_text = lot_name(e->from);
    if (lot_text != NULL) {
        const jl_book_lot *lot = lot_of(book, lot_text);
        if (lot == NULL) return no_lot(book, lot_text, r);
        if (lot->bottles == 0) return refuse(r, JL_BOOK_EMPTY, lot->name);
        e->amount = jl_spirit_times(lot->spirit, (double)e->bottles / lot->bottles);
        return JL_OK;
    }
    const jl_book_measure *m = &e->measured;
    if (m->volume_l == 0 || m->weight_kg == 0) {
        e->amount = (jl_spirit){0, 0};
        return JL_OK;
    }
    jl_status status = whole_amount(m, instrument, &e->amount);
    return status == JL_OK ? JL_OK : refuse_amount(r, status, e->from);
}

jl_status jl_book_amount(const jl_book *book, const jl_alcoholometer *instrument, jl_book_entry *e,
                         jl_book_refusal *r) {
    jl_status status = JL_OK;
    switch (e->what) {
    case JL_BOOK_VESSEL:
    case JL_BOOK_CANCELLED:
        e->amount = (jl_spirit){0, 0};
        return JL_OK;
    case JL_BOOK_COLLECTED: /* the command has it from the log where nothing was measured */
        status = jl_book_has_size(&e->measured) ? whole_amount(&e->measured, instrument, &e->amount)
                 : e->amount.ethanol_kg >= 0 && e->amount.water_kg >= 0 ? JL_OK
                                                                        : JL_RANGE;
        break;
    case JL_BOOK_OPENING:
    case JL_BOOK_RECEIVED:
        status = whole_amount(&e->measured, instrument, &e->amount);
        break;
    case JL_BOOK_WATER:
        status = water_amount(&e->measured, instrument, &e->amount);
        break;
    case JL_BOOK_GAUGED:
        return amount_found(book, instrument, e, r);
    default:
        return amount_out(book, instrument, e, r);
    }
    return status == JL_OK ? JL_OK : refuse_amount(r, status, e->into);
}

/* ---- whether the state takes it ---- */

static jl_status check_into(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    jl_book_vessel *into;
    jl_status status = find_vessel(book, e->into, &into, r);
    if (status != JL_OK) return status;
    if (e->what == JL_BOOK_WATER && is_none(into->spirit))
        return refuse(r, JL_BOOK_EMPTY, into->name);
    double with_l = volume_20c_l(jl_blend(into->spirit, e->amount));
    if (with_l > into->capacity_l * (1 + ALL_BUT))
        return refuse_figures(r, JL_BOOK_ABOVE_CAPACITY, into->name, with_l, into->capacity_l);
    return JL_OK;
}

static jl_status check_vessel(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    jl_book_vessel *named;
    bool ends = jl_same_letters(e->kind, "retired");
    if (*e->from == '\0') {
        if (*e->into == '\0') return refuse_amount(r, JL_MISSING, "into");
        if (vessel_of(book, e->into) != NULL) return refuse(r, JL_BOOK_EXISTS, e->into);
        return e->measured.volume_l > 0 ? JL_OK : refuse_amount(r, JL_RANGE, e->into);
    }
    jl_status status = find_vessel(book, e->from, &named, r);
    if (status != JL_OK) return status;
    double has_l = volume_20c_l(named->spirit);
    if (ends && has_l > 0) return refuse_figures(r, JL_BOOK_NOT_EMPTY, named->name, has_l, 0);
    if (!ends && !isnan(e->measured.volume_l) && e->measured.volume_l * (1 + ALL_BUT) < has_l)
        return refuse_figures(r, JL_BOOK_ABOVE_CAPACITY, named->name, has_l, e->measured.volume_l);
    const jl_book_vessel *other = vessel_of(book, e->into);
    return other == NULL || other == named ? JL_OK : refuse(r, JL_BOOK_EXISTS, e->into);
}

static jl_status check_found(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    jl_book_vessel *v;
    const char *lot = lot_name(e->from);
    if (lot != NULL) return lot_of(book, lot) != NULL ? JL_OK : no_lot(book, lot, r);
    jl_status status = find_vessel(book, e->from, &v, r);
    if (status != JL_OK) return status;
    double found_l = volume_20c_l(e->amount);
    if (found_l > v->capacity_l * (1 + ALL_BUT))
        return refuse_figures(r, JL_BOOK_ABOVE_CAPACITY, v->name, found_l, v->capacity_l);
    return JL_OK;
}

static size_t index_of(const jl_book *book, jl_book_number number) {
    for (size_t i = book->entry_count; i-- > 0;)
        if (book->entries[i].number.year == number.year &&
            book->entries[i].number.serial == number.serial)
            return i;
    return book->entry_count;
}

const char *jl_book_taken_from(const jl_book_entry *e) {
    bool in =
        e->what == JL_BOOK_OPENING || e->what == JL_BOOK_RECEIVED || e->what == JL_BOOK_COLLECTED;
    return in ? "" : e->from;
}

static bool same_place(const char *a, const char *b) {
    return *a != '\0' && jl_same_letters(a, b);
}

/* Whether an entry concerns a vessel or a lot that another one concerns. */
static bool concern_one(const jl_book_entry *a, const jl_book_entry *b) {
    const char *from_a = jl_book_taken_from(a), *from_b = jl_book_taken_from(b);
    const char *lot_a = a->what == JL_BOOK_BOTTLED ? a->lot : lot_name(from_a);
    const char *lot_b = b->what == JL_BOOK_BOTTLED ? b->lot : lot_name(from_b);
    if (lot_a != NULL && lot_b != NULL && same_place(lot_a, lot_b)) return true;
    return same_place(from_a, from_b) || same_place(from_a, b->into) ||
           same_place(a->into, from_b) || same_place(a->into, b->into);
}

static jl_status check_cancelled(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    char text[JL_BOOK_NUMBER_BYTES];
    size_t at = index_of(book, e->cancelled);
    jl_book_number_write(e->cancelled, text);
    /* One that cancels has the other's place there. */
    if (at == book->entry_count || book->entries[at].taken_back != JL_BOOK_STANDS)
        return refuse(r, JL_BOOK_NO_ENTRY, text);
    refuse(r, JL_BOOK_STANDS_ON, text);
    for (size_t i = at + 1; i < book->entry_count; i++) {
        if (book->entries[i].taken_back != JL_BOOK_STANDS) continue;
        if (!concern_one(&book->entries[at], &book->entries[i])) continue;
        if (r->entry_count < JL_BOOK_STANDING_MOST)
            r->entries[r->entry_count++] = book->entries[i].number;
    }
    return r->entry_count > 0 ? JL_NO : JL_OK;
}

/* ---- jars of a run ---- */

/* Calls each with "run, line feed, jar" of every jar of "october.csv:3-11 8a 14". */
static jl_status each_jar(const jl_book_entry *e, jl_status (*each)(void *with, const char *key),
                          void *with) {
    const char *at = strrchr(e->from, ':');
    jl_status status = JL_OK;
    for (at = at == NULL ? "" : at + 1; *at != '\0' && status == JL_OK;) {
        char jar[32], key[512];
        size_t length = strcspn(at, " ,");
        unsigned first, last;
        int used = 0;
        snprintf(jar, sizeof jar, "%.*s", (int)length, at);
        bool range = sscanf(jar, "%9u-%9u%n", &first, &last, &used) == 2 && jar[used] == '\0';
        if (!range) first = last = 0;
        for (unsigned n = first; status == JL_OK && n <= last && n - first < 10000; n++) {
            if (range) snprintf(jar, sizeof jar, "%u", n);
            snprintf(key, sizeof key, "%s\n%s", e->run, jar);
            status = each(with, key);
        }
        at += length;
        at += strspn(at, " ,");
    }
    return status;
}

/* JL_NO where it is the one that is looked for. */
static jl_status is_jar(void *with, const char *key) {
    return strcmp(strchr(key, '\n') + 1, with) == 0 ? JL_NO : JL_OK;
}

bool jl_book_collected_jar(const jl_book_entry *entry, const char *name) {
    return entry->what == JL_BOOK_COLLECTED && each_jar(entry, is_jar, (void *)name) == JL_NO;
}

typedef struct jar_look {
    jl_book *book;
    jl_book_refusal *refusal;
} jar_look;

static jl_status look_at_jar(void *with, const char *key) {
    const jar_look *look = with;
    char copy[512];
    snprintf(copy, sizeof copy, "%s", key);
    jar_taken sought = {copy, 0};
    void *found = tfind(&sought, &look->book->jars, compare_jars);
    if (found == NULL) return JL_OK;
    return refuse_entry(look->refusal, JL_BOOK_TWICE, strchr(key, '\n') + 1,
                        look->book->entries[(*(jar_taken **)found)->entry].number);
}

static jl_status keep_jar(void *with, const char *key) {
    jl_book *book = ((const jar_look *)with)->book;
    jar_taken *jar = malloc(sizeof *jar);
    char *copy = strdup(key);
    if (jar != NULL) *jar = (jar_taken){copy, book->entry_count};
    jar_taken **kept = jar == NULL || copy == NULL ? NULL : tsearch(jar, &book->jars, compare_jars);
    bool keeps = kept != NULL && *kept == jar;
    /* cppcheck-suppress memleak ; the tree has both */
    if (keeps) return JL_OK;
    free(copy);
    free(jar);
    return kept != NULL ? JL_OK : JL_MEMORY; /* an entry may name a jar twice */
}

static jl_status drop_jar(void *with, const char *key) {
    jl_book *book = ((const jar_look *)with)->book;
    char copy[512];
    snprintf(copy, sizeof copy, "%s", key);
    jar_taken sought = {copy, 0};
    void *found = tfind(&sought, &book->jars, compare_jars);
    if (found == NULL) return JL_OK;
    jar_taken *jar = *(jar_taken **)found;
    tdelete(jar, &book->jars, compare_jars);
    free_jar(jar);
    return JL_OK;
}

/* ---- settling ---- */

/* "2026-11-27 09:40": to the minute. */
static jl_status refuse_before(jl_book_refusal *r, const jl_book_entry *last) {
    enum { DAY = 10, MINUTE = 16 };
    char moment[JL_TIME_BYTES] = "";
    jl_time_write(last->written, moment, sizeof moment);
    moment[DAY] = moment[DAY] == 'T' ? ' ' : '\0';
    moment[MINUTE] = '\0';
    return refuse_entry(r, JL_BOOK_BEFORE_LAST, moment, last->number);
}

static jl_status check_moment(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    if (book->entry_count == 0) return JL_OK;
    const jl_book_entry *last = &book->entries[book->entry_count - 1];
    if (e->written.unix_s < last->written.unix_s ||
        (!e->late && e->time.unix_s < last->time.unix_s && e->time.unix_s < last->written.unix_s))
        return refuse_before(r, last);
    return JL_OK;
}

/* A row that was changed by hand may take out more than there is. */
static bool has(jl_spirit held, jl_spirit amount) {
    double slack_kg = JL_BOOK_DROPPED * jl_mass_kg(held) + ALL_BUT;
    return amount.ethanol_kg <= held.ethanol_kg + slack_kg &&
           amount.water_kg <= held.water_kg + slack_kg;
}

static jl_status check_out(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    jl_book_vessel *from;
    const char *name = lot_name(e->from);
    const jl_book_lot *lot = name == NULL ? NULL : lot_of(book, name);
    if (name != NULL && lot == NULL) return no_lot(book, name, r);
    if (lot != NULL && (e->bottles > lot->bottles || !has(lot->spirit, e->amount)))
        return refuse_figures(r, JL_BOOK_HOLDS_LESS, lot->name, lot->bottles, e->bottles);
    if (lot != NULL) return JL_OK;
    jl_status status = find_vessel(book, e->from, &from, r);
    if (status != JL_OK || has(from->spirit, e->amount)) return status;
    return refuse_figures(r, JL_BOOK_HOLDS_LESS, from->name, volume_20c_l(from->spirit),
                          volume_20c_l(e->amount));
}

static jl_status check_state(const jl_book *book, const jl_book_entry *e, jl_book_refusal *r) {
    jar_look look = {(jl_book *)book, r};
    jl_status status;
    switch (e->what) {
    case JL_BOOK_VESSEL:
        return check_vessel(book, e, r);
    case JL_BOOK_CANCELLED:
        return check_cancelled(book, e, r);
    case JL_BOOK_GAUGED:
        return check_found(book, e, r);
    case JL_BOOK_MOVED:
        if (jl_same_letters(e->from, e->into)) return refuse(r, JL_BOOK_SAME, e->from);
        status = check_out(book, e, r);
        return status == JL_OK ? check_into(book, e, r) : status;
    case JL_BOOK_COLLECTED:
        status = each_jar(e, look_at_jar, &look);
        return status == JL_OK ? check_into(book, e, r) : status;
    case JL_BOOK_BOTTLED: {
        const jl_book_lot *lot = lot_of(book, e->lot);
        if (*e->lot == '\0') return refuse_amount(r, JL_MISSING, "lot");
        if (!(e->bottle_l > 0)) return refuse_amount(r, JL_RANGE, "bottles");
        if (lot != NULL && lot->bottle_l != e->bottle_l) return refuse(r, JL_BOOK_EXISTS, e->lot);
        return check_out(book, e, r);
    }
    case JL_BOOK_OPENING:
    case JL_BOOK_RECEIVED:
    case JL_BOOK_WATER:
        return check_into(book, e, r);
    default:
        return check_out(book, e, r);
    }
}

/* "lot:NAME" is a lot, "BOOK.csv:NAME:AMOUNT" a part of a book. A book that has such a name is read. */
static bool can_be_named(const char *name) {
    return name[strspn(name, " ")] != '\0' && strchr(name, ':') == NULL;
}

static jl_status check_new_name(const jl_book_entry *e, jl_book_refusal *r) {
    const char *name = e->what == JL_BOOK_VESSEL    ? e->into
                       : e->what == JL_BOOK_BOTTLED ? e->lot
                                                    : "";
    return *name == '\0' || can_be_named(name) ? JL_OK : refuse(r, JL_BOOK_NAME, name);
}

jl_status jl_book_settle(const jl_book *book, const jl_alcoholometer *instrument,
                         jl_book_entry *entry, jl_book_refusal *refusal) {
    jl_status status = check_moment(book, entry, refusal);
    if (status == JL_OK) status = jl_book_amount(book, instrument, entry, refusal);
    if (status == JL_OK) status = check_state(book, entry, refusal);
    if (status == JL_OK) status = check_new_name(entry, refusal);
    if (status == JL_OK) *refusal = (jl_book_refusal){.why = JL_BOOK_TAKEN, .status = JL_OK};
    return status;
}

/* ---- taking ---- */

/* Less than rounding is nothing: an emptied vessel is empty. */
static void take_out(jl_spirit *held, jl_spirit part) {
    jl_spirit left = minus(*held, part);
    double least = ALL_BUT * 1e-3 * (held->ethanol_kg + held->water_kg);
    if (fabs(left.ethanol_kg) < least || left.ethanol_kg < 0) left.ethanol_kg = 0;
    if (fabs(left.water_kg) < least || left.water_kg < 0) left.water_kg = 0;
    *held = left;
}

static void add_origin(jl_book_vessel *v, const char *run, double ethanol_kg) {
    size_t i = 0;
    if (!(ethanol_kg > 0)) return;
    while (i < v->origin_count && strcmp(v->origins[i].run, run) != 0) i++;
    if (i == JL_BOOK_ORIGINS) {
        /* The smallest joins those that are no longer kept apart. */
        for (size_t k = i = 0; k < JL_BOOK_ORIGINS; k++)
            if (v->origins[k].ethanol_kg < v->origins[i].ethanol_kg) i = k;
        v->origins[i].run = "";
    } else if (i == v->origin_count)
        v->origins[v->origin_count++] = (jl_book_origin){run, 0};
    v->origins[i].ethanol_kg += ethanol_kg;
}

static void scale_origins(jl_book_vessel *v, double share) {
    for (size_t i = 0; i < v->origin_count; i++) v->origins[i].ethanol_kg *= share;
    if (share == 0) v->origin_count = 0;
}

static void pour_in(jl_book_vessel *v, const jl_book_entry *e, jl_spirit amount, jl_time youngest) {
    if (is_none(v->spirit)) {
        v->since = e->time;
        v->youngest = youngest;
    } else if (youngest.unix_s > v->youngest.unix_s)
        v->youngest = youngest;
    jl_spirit_add(&v->spirit, amount, 1);
    if (*e->kind != '\0') v->kind = e->kind;
}

static void pour_out(jl_book_vessel *v, jl_spirit amount) {
    double had_kg = v->spirit.ethanol_kg;
    take_out(&v->spirit, amount);
    scale_origins(v, had_kg > 0 ? v->spirit.ethanol_kg / had_kg : 0);
}

static void move(jl_book_vessel *from, jl_book_vessel *into, const jl_book_entry *e) {
    double share = from->spirit.ethanol_kg > 0 ? e->amount.ethanol_kg / from->spirit.ethanol_kg : 0;
    for (size_t i = 0; i < from->origin_count; i++)
        add_origin(into, from->origins[i].run, share * from->origins[i].ethanol_kg);
    if (*e->kind == '\0' && is_none(into->spirit)) into->kind = from->kind;
    pour_in(into, e, e->amount, from->youngest);
    pour_out(from, e->amount);
}

static jl_status add_vessel(jl_book *book, const jl_book_entry *e) {
    if (!jl_grow(&book->vessels, book->vessel_count, &book->vessel_room, sizeof *book->vessels))
        return JL_MEMORY;
    book->vessels[book->vessel_count++] = (jl_book_vessel){.name = e->into,
                                                           .capacity_l = e->measured.volume_l,
                                                           .use = e->kind,
                                                           .kind = "",
                                                           .since = e->time,
                                                           .youngest = e->time};
    return JL_OK;
}

static jl_status take_vessel(jl_book *book, const jl_book_entry *e) {
    if (*e->from == '\0') return add_vessel(book, e);
    jl_book_vessel *v = vessel_of(book, e->from);
    v->retired = jl_same_letters(e->kind, "retired");
    if (v->retired) return JL_OK;
    if (*e->into != '\0') v->name = e->into;
    if (!isnan(e->measured.volume_l)) v->capacity_l = e->measured.volume_l;
    if (*e->kind != '\0') v->use = e->kind;
    return JL_OK;
}

static jl_status lot_to_fill(jl_book *book, const jl_book_entry *e, jl_book_lot **lot) {
    *lot = lot_of(book, e->lot);
    if (*lot != NULL) return JL_OK;
    if (!jl_grow(&book->lots, book->lot_count, &book->lot_room, sizeof *book->lots))
        return JL_MEMORY;
    name_place *place = malloc(sizeof *place);
    if (place != NULL) *place = (name_place){e->lot, book->lot_count};
    if (place == NULL || tsearch(place, &book->lot_places, compare_names) == NULL) {
        free(place);
        return JL_MEMORY;
    }
    *lot = &book->lots[book->lot_count++];
    **lot =
        (jl_book_lot){.name = e->lot, .kind = e->kind, .bottle_l = e->bottle_l, .since = e->time};
    return JL_OK;
}

static jl_status take_bottled(jl_book *book, const jl_book_entry *e) {
    jl_book_lot *lot;
    jl_status status = lot_to_fill(book, e, &lot);
    if (status != JL_OK) return status;
    jl_book_vessel *from = vessel_of(book, e->from);
    if (*lot->kind == '\0') lot->kind = from->kind;
    pour_out(from, e->amount);
    jl_spirit_add(&lot->spirit, e->amount, 1);
    lot->bottles += e->bottles;
    return JL_OK;
}

static void take_from(jl_book *book, const jl_book_entry *e) {
    const char *name = lot_name(e->from);
    if (name == NULL) {
        pour_out(vessel_of(book, e->from), e->amount);
        return;
    }
    jl_book_lot *lot = lot_of(book, name);
    take_out(&lot->spirit, e->amount);
    lot->bottles -= e->bottles;
}

bool jl_book_measured_apart(const jl_book_entry *e) {
    return e->what == JL_BOOK_COLLECTED && !is_none(e->logged) && jl_book_has_size(&e->measured);
}

jl_spirit jl_book_found(const jl_book_entry *e) {
    if (e->what == JL_BOOK_GAUGED) return e->change;
    return jl_book_measured_apart(e) ? minus(e->amount, e->logged) : (jl_spirit){0, 0};
}

jl_spirit jl_book_would_find(const jl_book *book, const jl_book_entry *e) {
    if (e->what != JL_BOOK_GAUGED) return jl_book_found(e);
    const jl_book_vessel *v = jl_book_vessel_named(book, e->from);
    const char *name = lot_name(e->from);
    const jl_book_lot *lot = name == NULL ? NULL : jl_book_lot_named(book, name);
    const jl_spirit known = lot != NULL ? lot->spirit : v != NULL ? v->spirit : (jl_spirit){0, 0};
    return minus(e->amount, known);
}

/* Returns the gain. */
static jl_spirit take_found(jl_book *book, const jl_book_entry *e) {
    const char *name = lot_name(e->from);
    const jl_spirit gain = jl_book_would_find(book, e);
    if (name != NULL) {
        jl_book_lot *lot = lot_of(book, name);
        lot->spirit = e->amount;
        lot->bottles = e->bottles;
        return gain;
    }
    jl_book_vessel *v = vessel_of(book, e->from);
    if (is_none(v->spirit)) v->since = v->youngest = e->time;
    if (gain.ethanol_kg > 0)
        add_origin(v, "", gain.ethanol_kg);
    else if (v->spirit.ethanol_kg > 0)
        scale_origins(v, e->amount.ethanol_kg / v->spirit.ethanol_kg);
    v->spirit = e->amount;
    return gain;
}

/* Of each, ethanol and water, what is more is gained, what is less lost. */
static void count_found(jl_book_flows *f, jl_spirit found, double sign) {
    jl_spirit_add(&f->gained, (jl_spirit){fmax(found.ethanol_kg, 0), fmax(found.water_kg, 0)},
                  sign);
    jl_spirit_add(&f->lost, (jl_spirit){fmax(-found.ethanol_kg, 0), fmax(-found.water_kg, 0)},
                  sign);
}

/* The sums that an entry adds to; sign -1 takes it back. */
static void count_flows(jl_book_flows *f, const jl_book_entry *e, jl_spirit change, double sign) {
    switch (e->what) {
    case JL_BOOK_OPENING:
        jl_spirit_add(&f->opening, change, sign);
        break;
    case JL_BOOK_RECEIVED:
        jl_spirit_add(&f->received, change, sign);
        break;
    case JL_BOOK_COLLECTED:
        jl_spirit_add(&f->collected, minus(change, jl_book_found(e)), sign);
        count_found(f, jl_book_found(e), sign);
        break;
    case JL_BOOK_WATER:
        jl_spirit_add(&f->water, change, sign);
        break;
    case JL_BOOK_CHARGED:
        jl_spirit_add(&f->charged, change, sign);
        break;
    case JL_BOOK_REMOVED:
        jl_spirit_add(&f->removed, change, sign);
        break;
    case JL_BOOK_LOST:
        jl_spirit_add(&f->lost, change, sign);
        break;
    case JL_BOOK_GAUGED:
        count_found(f, change, sign);
        break;
    default:
        break;
    }
}

static void vessel_back(jl_book_vessel *v, const jl_book_entry *e) {
    v->retired = *e->from == '\0'; /* what is retired takes no change */
    if (*e->from == '\0') return;
    v->name = e->was.name;
    v->use = e->was.use;
    v->capacity_l = e->was.capacity_l;
}

/* Nothing later stands on the entry, so that what it moved is still where it went. */
static void take_back(jl_book *book, size_t at) {
    const jl_book_entry *e = &book->entries[at];
    jl_spirit change = e->change;
    jar_look look = {book, NULL};
    jl_book_vessel *from = *jl_book_taken_from(e) == '\0' ? NULL : vessel_of(book, e->from);
    jl_book_vessel *into = *e->into == '\0' ? NULL : vessel_of(book, e->into);
    jl_book_lot *lot = e->what == JL_BOOK_BOTTLED                ? lot_of(book, e->lot)
                       : lot_name(jl_book_taken_from(e)) != NULL ? lot_of(book, lot_name(e->from))
                                                                 : NULL;
    double back = e->what == JL_BOOK_GAUGED ? -1 : 1;
    count_flows(&book->flows, e, change, -1);
    if (e->what == JL_BOOK_VESSEL) {
        vessel_back(into == NULL ? from : into, e);
        return;
    }
    if (e->what == JL_BOOK_COLLECTED && !book->replays) (void)each_jar(e, drop_jar, &look);
    if (into != NULL) pour_out(into, change);
    if (from != NULL) jl_spirit_add(&from->spirit, change, back);
    if (from != NULL && back > 0) add_origin(from, "", change.ethanol_kg);
    if (lot == NULL) return;
    if (e->what == JL_BOOK_BOTTLED) {
        take_out(&lot->spirit, change);
        lot->bottles -= e->bottles;
    } else {
        jl_spirit_add(&lot->spirit, change, back);
        lot->bottles = (uint32_t)llround(volume_20c_l(lot->spirit) / lot->bottle_l);
    }
}

static jl_status take_state(jl_book *book, const jl_book_entry *e, jl_spirit *change) {
    jar_look look = {book, NULL};
    jl_status status = JL_OK;
    *change = e->amount;
    switch (e->what) {
    case JL_BOOK_VESSEL:
        return take_vessel(book, e);
    case JL_BOOK_COLLECTED:
        if (!book->replays) status = each_jar(e, keep_jar, &look);
        if (status != JL_OK) return status;
        add_origin(vessel_of(book, e->into), e->run, e->amount.ethanol_kg);
        pour_in(vessel_of(book, e->into), e, e->amount, e->time);
        return JL_OK;
    case JL_BOOK_OPENING:
    case JL_BOOK_RECEIVED:
        add_origin(vessel_of(book, e->into), *e->run != '\0' ? e->run : e->receiver,
                   e->amount.ethanol_kg);
        pour_in(vessel_of(book, e->into), e, e->amount, e->time);
        return JL_OK;
    case JL_BOOK_WATER:
        jl_spirit_add(&vessel_of(book, e->into)->spirit, e->amount, 1);
        return JL_OK;
    case JL_BOOK_MOVED:
        move(vessel_of(book, e->from), vessel_of(book, e->into), e);
        return JL_OK;
    case JL_BOOK_BOTTLED:
        return take_bottled(book, e);
    case JL_BOOK_GAUGED:
        *change = take_found(book, e);
        return JL_OK;
    case JL_BOOK_CANCELLED:
        take_back(book, e->taken_back);
        *change = jl_spirit_times(book->entries[e->taken_back].change, -1);
        return JL_OK;
    default:
        take_from(book, e);
        return JL_OK;
    }
}

/* Of what an entry is about: what it says, or what the vessel or lot holds. */
static const char *kind_of(const jl_book *book, const jl_book_entry *e) {
    const char *name = lot_name(e->from);
    const jl_book_lot *lot = name == NULL ? NULL : lot_of(book, name);
    const jl_book_vessel *v = vessel_of(book, *e->from != '\0' && name == NULL ? e->from : e->into);
    if (e->what == JL_BOOK_VESSEL) return "";
    if (e->what == JL_BOOK_COLLECTED || e->what == JL_BOOK_OPENING || e->what == JL_BOOK_RECEIVED)
        v = vessel_of(book, e->into);
    if (lot != NULL) return lot->kind;
    if (*e->kind != '\0' && e->what != JL_BOOK_MOVED) return e->kind;
    return v == NULL ? "" : v->kind;
}

static jl_status keep_entry(jl_book *book, const jl_book_entry *e, jl_book_entry *kept) {
    *kept = *e;
    kept->from = keep(book, e->from);
    kept->into = keep(book, e->into);
    kept->receiver = keep(book, e->receiver);
    kept->kind = keep(book, e->kind);
    kept->lot = keep(book, e->lot);
    kept->run = keep(book, e->run);
    kept->note = keep(book, e->note);
    if (kept->from == NULL || kept->into == NULL || kept->receiver == NULL || kept->kind == NULL ||
        kept->lot == NULL || kept->run == NULL || kept->note == NULL)
        return JL_MEMORY;
    if (!jl_grow(&book->entries, book->entry_count, &book->entry_room, sizeof *book->entries))
        return JL_MEMORY;
    kept->taken_back =
        kept->what == JL_BOOK_CANCELLED ? index_of(book, kept->cancelled) : JL_BOOK_STANDS;
    kept->of = kind_of(book, kept);
    const jl_book_vessel *into = *kept->into == '\0' ? NULL : vessel_of(book, kept->into);
    kept->onto = into == NULL || is_none(into->spirit) ? "" : into->kind;
    const jl_book_vessel *v = kept->what == JL_BOOK_VESSEL ? vessel_of(book, kept->from) : NULL;
    if (v != NULL) {
        kept->was.name = v->name;
        kept->was.use = v->use;
        kept->was.capacity_l = v->capacity_l;
    }
    return JL_OK;
}

jl_status jl_book_take(jl_book *book, const jl_book_entry *entry, jl_book_refusal *refusal) {
    jl_book_entry kept;
    /* Its texts are kept first: a vessel is found faster by the book's own text of its name. */
    jl_status status = check_moment(book, entry, refusal);
    if (status == JL_OK) status = keep_entry(book, entry, &kept);
    if (status == JL_OK) status = check_state(book, &kept, refusal);
    if (status == JL_OK) status = take_state(book, &kept, &kept.change);
    if (status != JL_OK) return status;
    if (kept.what == JL_BOOK_CANCELLED)
        book->entries[kept.taken_back].taken_back = book->entry_count;
    else
        count_flows(&book->flows, &kept, kept.change, 1);
    book->entries[book->entry_count++] = kept;
    *refusal = (jl_book_refusal){.why = JL_BOOK_TAKEN, .status = JL_OK};
    return JL_OK;
}

jl_status jl_book_replay(jl_book *replay) {
    const jl_book_entry *e = &replay->entries[replay->entry_count];
    jl_spirit change;
    jl_status status = take_state(replay, e, &change);
    if (status != JL_OK) return status;
    if (e->what != JL_BOOK_CANCELLED) count_flows(&replay->flows, e, change, 1);
    replay->entry_count++;
    return JL_OK;
}

jl_status jl_book_until(const jl_book *book, int64_t until_s, jl_book **then) {
    jl_book *made;
    jl_status status = jl_book_replay_new(book, &made);
    if (status != JL_OK) return status;
    while (status == JL_OK && made->entry_count < book->entry_count &&
           book->entries[made->entry_count].written.unix_s < until_s)
        status = jl_book_replay(made);
    if (status == JL_OK)
        *then = made;
    else
        jl_book_free(made);
    return status;
}

/* The calendar year at the place where it is written. */
static int year_of(jl_time time) {
    char text[JL_TIME_BYTES];
    int year = 0;
    if (jl_time_write(time, text, sizeof text) == JL_OK) sscanf(text, "%4d", &year);
    return year;
}

jl_book_number jl_book_next(const jl_book *book, jl_time written) {
    jl_book_number next = {year_of(written), 1};
    if (book->entry_count == 0) return next;
    jl_book_number last = book->entries[book->entry_count - 1].number;
    if (last.year >= next.year) next = (jl_book_number){last.year, last.serial + 1};
    return next;
}

/* ---- views ---- */

const jl_book_entry *jl_book_entries(const jl_book *book, size_t *count) {
    *count = book->entry_count;
    return book->entries;
}

const jl_book_vessel *jl_book_vessels(const jl_book *book, size_t *count) {
    *count = book->vessel_count;
    return book->vessels;
}

const jl_book_lot *jl_book_lots(const jl_book *book, size_t *count) {
    *count = book->lot_count;
    return book->lots;
}

jl_book_flows jl_book_flowed(const jl_book *book) {
    return book->flows;
}

jl_spirit jl_book_held(const jl_book *book) {
    jl_spirit sum = {0, 0};
    for (size_t i = 0; i < book->vessel_count; i++) jl_spirit_add(&sum, book->vessels[i].spirit, 1);
    for (size_t i = 0; i < book->lot_count; i++) jl_spirit_add(&sum, book->lots[i].spirit, 1);
    return sum;
}

/* ---- A gauging that may be a slip of the pen ---- */

/* Common practice, no source: what a gauging seldom finds more or less than was known, and how near to
 * that a guess comes; what shows a strength is at most so much. */
static const double GAINED_SHARE = 0.1, LOST_SHARE = 0.25, FITS_SHARE = 0.05;
static const double MOST_PCT = 100, MOST_PROOF = 200;

typedef struct guessing {
    double typed, most, found_kg, known_kg;
    const char *unit;
    double apart_kg; /* of the nearest guess */
    jl_book_slip *slip;
} guessing;

/* Ethanol goes with the figure, near enough for a guess. */
static void try_meant(void *with, double number) {
    guessing *g = with;
    double apart_kg = fabs(g->found_kg * number / g->typed - g->known_kg);
    if (!(number > 0 && number <= g->most) || !(apart_kg < g->apart_kg)) return;
    g->apart_kg = apart_kg;
    *g->slip = (jl_book_slip){number, g->unit};
}

static void try_figure(guessing *g, double typed, double most, const char *unit) {
    if (!(typed > 0)) return;
    g->typed = typed;
    g->most = most;
    g->unit = unit;
    jl_other_points(typed, try_meant, g);
    jl_other_digits(typed, try_meant, g);
}

bool jl_book_slip_of(const jl_book *book, const jl_book_entry *e, jl_spirit found,
                     jl_book_slip *slip) {
    const char *name = e->what == JL_BOOK_GAUGED ? e->from : e->into;
    const jl_book_vessel *v = jl_book_vessel_named(book, name);
    const double room = v == NULL ? INFINITY : v->capacity_l; /* of a weight near enough */
    const jl_book_measure *m = &e->measured;
    const jl_quantity s = isnan(m->reading.value) ? m->strength : m->reading;
    const bool proof = s.unit == JL_UNIT_PROOF_US;
    double found_kg = e->amount.ethanol_kg, gain_kg = found.ethanol_kg;
    double known_kg = found_kg - gain_kg;
    guessing g = {.found_kg = found_kg,
                  .known_kg = known_kg,
                  .apart_kg = FITS_SHARE * known_kg,
                  .slip = slip};
    *slip = (jl_book_slip){NAN, ""};
    if (!(found_kg > 0 && known_kg > 0) ||
        (gain_kg <= GAINED_SHARE * known_kg && -gain_kg <= LOST_SHARE * known_kg))
        return false;
    try_figure(&g, m->volume_l, room, "L");
    try_figure(&g, m->weight_kg, room, "kg");
    try_figure(&g, s.value, proof ? MOST_PROOF : MOST_PCT, proof ? "proof" : "%");
    return true;
}
