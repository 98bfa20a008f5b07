/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/book/write.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "book/account.h"
#include "input/clock.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/settings.h"
#include "text/letters.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- what the state does not allow ---- */

static void add_numbers(const jl_book_refusal *r, char *text, size_t size) {
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; i < r->entry_count && n < size; i++)
        n += (size_t)snprintf(text + n, size - n, "%s%s", i == 0 ? "" : ", ",
                              ENTRY_NUMBER(r->entries[i]));
}

/* What a refusal's sentence has beside its words, in this order. */
typedef enum says {
    NAME,
    NAME_NEAREST,
    NAME_HAS_ASKED,
    NAME_ASKED_HAS,
    NAME_ENTRIES,
    NAME_RUN_ENTRIES
} says;

typedef struct sentence {
    says of;
    const char *usual, *else_of; /* the other: see is_else */
} sentence;

static const sentence SENTENCES[] = {
    [JL_BOOK_NO_VESSEL] = {NAME_NEAREST, "the book has no vessel '%s'%s%s%s", NULL},
    [JL_BOOK_NO_LOT] = {NAME_NEAREST, "the book has no lot '%s'%s%s%s", NULL},
    [JL_BOOK_RETIRED] = {NAME, "%s is retired", NULL},
    [JL_BOOK_HOLDS_LESS] = {NAME_HAS_ASKED, "%s holds %s; %s cannot be taken out",
                            "lot %s has %s bottles, not %s"},
    [JL_BOOK_ABOVE_CAPACITY] = {NAME_ASKED_HAS, "%s has room for %s, and %s would stand in it",
                                NULL},
    [JL_BOOK_EMPTY] = {NAME, "%s is empty", NULL},
    [JL_BOOK_TWICE] = {NAME_RUN_ENTRIES, "jar %s of %.*s was collected already, by entry %s", NULL},
    [JL_BOOK_BEFORE_LAST] =
        {NAME_ENTRIES,
         "the moment is before %s, when the last entry, %s, was written; "
         "--late enters it as one that comes late; where that entry's own moment "
         "is wrong, 'cancelled %s' takes it back",
         "this machine's clock shows a time before %s, when the last entry, "
         "%s, was written; set the clock"},
    [JL_BOOK_STANDS_ON] = {NAME_ENTRIES, "later entries stand on %s: %s; cancel those first", NULL},
    [JL_BOOK_NO_ENTRY] = {NAME, "the book has no entry %s that stands", NULL},
    [JL_BOOK_EXISTS] = {NAME, "the book has a vessel '%s' already",
                        "lot %s has bottles of another size"},
    [JL_BOOK_NOT_EMPTY] = {NAME_HAS_ASKED, "%s holds %s; empty it first", NULL},
    [JL_BOOK_SAME] = {NAME, "%s is both vessels; expected two different ones", NULL},
    [JL_BOOK_NAME] = {NAME,
                      "'%s' cannot be asked for later; expected a name without a colon, as cask-1",
                      NULL},
};

/* Of bottles, or of an entry that comes late. */
static bool is_else(const jl_book_entry *e, jl_book_why why) {
    return why == JL_BOOK_HOLDS_LESS    ? jl_book_is_lot(e->from)
           : why == JL_BOOK_BEFORE_LAST ? e->late
                                        : e->what == JL_BOOK_BOTTLED;
}

static int amount_text(const jl_book_entry *e, const jl_book_refusal *r, char *text, size_t size) {
    bool solids = r->status == JL_NO && !isnan(e->measured.solids_g_100ml);
    if (solids)
        snprintf(text, size, "%s", phrase_solids());
    else
        snprintf(text, size,
                 "%s: %s; expected a volume or a weight above 0 with what the entry needs: a "
                 "strength, or a reading with its temperature",
                 jl_book_word(e->what), jl_status_text(r->status));
    return solids ? EXIT_NO : exit_of_argument(r->status);
}

/* Litres, or bottles of a lot. */
static litres_pair sizes_of(const jl_book_entry *e, const jl_book_refusal *r) {
    litres_pair two = litres_apart(r->has, r->asked);
    if (r->why != JL_BOOK_HOLDS_LESS || !is_else(e, r->why)) return two;
    snprintf(two.one.text, sizeof two.one.text, "%.0f", r->has);
    snprintf(two.other.text, sizeof two.other.text, "%.0f", r->asked);
    return two;
}

/* Of "logs/october.csv:3-11" october.csv. */
static int run_of_jars(const char *from, const char **run) {
    *run = base_name(from);
    const char *colon = strrchr(*run, ':');
    return colon == NULL ? (int)strlen(*run) : (int)(colon - *run);
}

int refusal_text(const jl_book_entry *e, const jl_book_refusal *r, char *text, size_t size) {
    char numbers[JL_BOOK_STANDING_MOST * JL_BOOK_NUMBER_BYTES];
    if (r->why == JL_BOOK_NO_AMOUNT || r->why == JL_BOOK_TAKEN)
        return amount_text(e, r, text, size);
    const sentence *s = &SENTENCES[r->why];
    const char *format = s->else_of != NULL && is_else(e, r->why) ? s->else_of : s->usual;
    const litres_pair two = sizes_of(e, r);
    const char *run;
    const int run_length = run_of_jars(e->from, &run);
    add_numbers(r, numbers, sizeof numbers);
    if (s->of == NAME)
        snprintf(text, size, format, r->name);
    else if (s->of == NAME_NEAREST)
        snprintf(text, size, format, r->name, r->nearest[0] == '\0' ? "" : "; was it ", r->nearest,
                 r->nearest[0] == '\0' ? "" : "?");
    else if (s->of == NAME_RUN_ENTRIES)
        snprintf(text, size, format, r->name, run_length, run, numbers);
    else if (s->of == NAME_ENTRIES)
        snprintf(text, size, format, r->name, numbers, numbers);
    else if (s->of == NAME_HAS_ASKED)
        snprintf(text, size, format, r->name, two.one.text, two.other.text);
    else
        snprintf(text, size, format, r->name, two.other.text, two.one.text);
    return EXIT_NO;
}

static int fail_refusal(const jl_book_entry *e, const jl_book_refusal *r) {
    char text[512];
    int exit_status = refusal_text(e, r, text, sizeof text);
    return fail(exit_status, "%s", text);
}

/* ---- the answer ---- */

static void show_vessel(show *s, const jl_book_vessel *v) {
    bool any = jl_mass_kg(v->spirit) > 0;
    show_cells(s, CELLS(V(v->name), V(any ? jl_volume_l(v->spirit, JL_STRENGTH_C) : 0),
                        V(any ? jl_spirit_strength_pct(v->spirit) : NAN), v_pure(v->spirit),
                        V(v->kind)));
}

/* The vessels that an entry is about, for people only where there is one. */
static void show_vessels(show *s, const jl_book *book, const jl_book_entry *e) {
    const char *names[] = {e->into, jl_book_taken_from(e)};
    const jl_book_vessel *of[2];
    for (size_t i = 0; i < 2; i++)
        of[i] = names[i][0] == '\0' ? NULL : jl_book_vessel_named(book, names[i]);
    if (of[1] == of[0]) of[1] = NULL;
    bool never_there = e->what == JL_BOOK_VESSEL && e->taken_back != JL_BOOK_STANDS;
    if (never_there && of[0] != NULL && of[0]->retired) of[0] = NULL;
    bool any = of[0] != NULL || of[1] != NULL;
    const column columns[] = {
        {"vessel", any ? "now in" : NULL, "", 0, 0, COLUMN_WORDS},
        {"volume_l", any ? "volume" : NULL, "L, 20 °C", 8, 3, COLUMN_NUMBERS},
        {"strength_pct", any ? "strength" : NULL, "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", any ? "pure alcohol" : NULL, "L", 7, 3, COLUMN_NUMBERS},
        {"kind", any ? "kind" : NULL, "", 0, 0, COLUMN_WORDS},
    };
    show_table(s, "vessels", columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < 2; i++)
        if (of[i] != NULL) show_vessel(s, of[i]);
}

/* A vessel's size is read back: "5" may have been meant otherwise. */
static void show_capacity(show *s, const jl_book *book, const jl_book_entry *e) {
    const jl_book_vessel *v =
        e->what != JL_BOOK_VESSEL || *e->into == '\0' ? NULL : jl_book_vessel_named(book, e->into);
    char text[64];
    if (v == NULL || v->retired) return;
    snprintf(text, sizeof text, "%.6g L, %.40s", v->capacity_l, v->use);
    show_text(s, NULL, "Holds when full", text);
    show_number(s, "capacity_l", NULL, v->capacity_l, 2, "L");
}

static void show_lot(show *s, const jl_book *book, const jl_book_entry *e) {
    const char *name = *e->lot != '\0'           ? e->lot
                       : jl_book_is_lot(e->from) ? jl_book_lot_name(e->from)
                                                 : "";
    const jl_book_lot *lot = *name == '\0' ? NULL : jl_book_lot_named(book, name);
    char text[128];
    if (lot == NULL) return;
    snprintf(text, sizeof text, "%u bottle%s of %g mL", lot->bottles, lot->bottles == 1 ? "" : "s",
             1000 * lot->bottle_l);
    show_text(s, NULL, "In the lot", text);
    show_group(s, "in_lot", NULL);
    show_text(s, "lot", NULL, lot->name);
    show_number(s, "bottles", NULL, lot->bottles, 0, "");
    show_number(s, "bottle_l", NULL, lot->bottle_l, 3, "L");
    show_group_end(s);
}

/* What mixing shrank: of spirit or water poured onto spirit. */
static void show_contraction(show *s, const jl_book *book, const jl_book_entry *e) {
    const jl_book_vessel *v = *e->into == '\0' ? NULL : jl_book_vessel_named(book, e->into);
    if (v == NULL || (e->what != JL_BOOK_MOVED && e->what != JL_BOOK_WATER)) return;
    jl_spirit before = {v->spirit.ethanol_kg - e->amount.ethanol_kg,
                        v->spirit.water_kg - e->amount.water_kg};
    if (!(before.ethanol_kg > 1e-9)) return;
    double parts_l = jl_volume_l(before, JL_STRENGTH_C) + jl_volume_l(e->amount, JL_STRENGTH_C);
    show_number(s, "contraction_l", "Contraction", jl_contraction_l(parts_l, v->spirit), 3, "L");
}

bool write_book_slip(const jl_book *book, const jl_book_entry *e, jl_spirit found,
                     jl_book_slip *slip, char text[SLIP_OF_BOOK_BYTES]) {
    if (!jl_book_slip_of(book, e, found, slip)) return false;
    double found_l = jl_pure_alcohol_l(e->amount), known_l = found_l - jl_pure_alcohol_l(found);
    const litres_pair two = litres_apart(found_l, known_l);
    int n =
        snprintf(text, SLIP_OF_BOOK_BYTES,
                 "%s of pure alcohol was measured where %s was known: so much is seldom %s unseen.",
                 two.one.text, two.other.text, found_l > known_l ? "gained" : "lost");
    if (!isnan(slip->meant))
        snprintf(text + n, SLIP_OF_BOOK_BYTES - (size_t)n, " Was %.6g %s meant?", slip->meant,
                 slip->unit);
    return true;
}

/* More or less than can be, beyond the instruments' uncertainty. */
static void warn_of_slip(show *s, const jl_book *book, const jl_book_entry *e) {
    char why[SLIP_OF_BOOK_BYTES];
    jl_book_slip slip;
    if (!write_book_slip(book, e, jl_book_found(e), &slip, why)) return;
    show_warning(s, "%s 'cancelled %s --because slip' takes it back.", why,
                 ENTRY_NUMBER(e->number));
}

/* How far what was found may be off, by the bench's instruments. */
static void show_sure(show *s, const jl_book_file *f, const jl_book_entry *e,
                      const jl_settings *bench) {
    jl_account a;
    const jl_instruments instruments = jl_settings_to_instruments(bench);
    const jl_account_by by = {&instruments, jl_book_instrument(f)};
    if (jl_account_of(jl_book_in(f), e->written.unix_s, INT64_MAX, by, &a) != JL_OK) need(NULL);
    size_t count;
    jl_book_entries(jl_book_in(f), &count);
    const jl_account_gauging *g = a.gauging_count > 0 ? &a.gaugings[a.gauging_count - 1] : NULL;
    if (g != NULL && g->entry == count - 1) {
        show_number(s, "uncertainty_l", "  ± (k = 2)",
                    JL_COVERAGE_K * g->standard_kg / JL_ETHANOL_KG_L, 3, "L");
        show_remark(s, "That is %s.", phrase_gauged(g->gain_kg, g->standard_kg));
        if (fabs(g->gain_kg) > JL_COVERAGE_K * g->standard_kg) warn_of_slip(s, jl_book_in(f), e);
    }
    jl_account_free(&a);
}

/* What was found beside what the book had, or beside what the run's log has. */
static void show_found(show *s, const jl_book_file *f, const jl_book_entry *e,
                       const jl_settings *bench) {
    bool apart = jl_book_measured_apart(e);
    if (e->what != JL_BOOK_GAUGED && !apart) return;
    const jl_book_vessel *v = jl_book_vessel_named(jl_book_in(f), e->from);
    double pure_l = jl_pure_alcohol_l(jl_book_found(e));
    double found_l = jl_pure_alcohol_l(e->amount);
    int decimals = EXACT + digits_left(digits_standards(e->amount).pure_alcohol_l, 3);
    show_number(s, apart ? "logged_l" : "booked_l",
                apart ? "Pure alcohol by the run's log" : "Pure alcohol by the book before",
                found_l - pure_l, decimals, "L");
    show_number(s, "gained_l", pure_l < 0 ? NULL : "Gained, pure alcohol", fmax(pure_l, 0),
                decimals, "L");
    show_number(s, "lost_l", pure_l < 0 ? "Lost, pure alcohol" : NULL, fmax(-pure_l, 0), decimals,
                "L");
    show_sure(s, f, e, bench);
    if (v != NULL && strcmp(v->use, "wood") == 0 && pure_l < 0)
        show_remark(
            s, "Wood loses some of it: about 2 %% a year is usual (trade press, not measured).");
}

/* What was moved onto another kind keeps the name of what it was poured onto; what came into the store
 * gives it its own. */
static void warn_of_mixing(show *s, const jl_book *book, const jl_book_entry *e) {
    const jl_book_vessel *into = jl_book_vessel_named(book, e->into);
    const bool moved = e->what == JL_BOOK_MOVED;
    const bool came =
        e->what == JL_BOOK_COLLECTED || e->what == JL_BOOK_RECEIVED || e->what == JL_BOOK_OPENING;
    if ((moved ? *e->kind != '\0' : !came || *e->kind == '\0') || into == NULL || *e->of == '\0' ||
        *e->onto == '\0' || jl_same_letters(e->onto, e->of))
        return;
    show_warning(s, "%s was poured onto %s: all of it in %s %s %s; --kind-of names it anew.", e->of,
                 e->onto, into->name, moved ? "stays" : "is now", into->kind);
}

/* Stock of the book's beginning, behind entries that are of no beginning. */
static void warn_of_opening(show *s, const jl_book *book, const jl_book_entry *e) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count);
    if (e->what != JL_BOOK_OPENING) return;
    for (size_t i = 0; i < count; i++) {
        if (all[i].what == JL_BOOK_VESSEL || all[i].what == JL_BOOK_OPENING ||
            all[i].what == JL_BOOK_CANCELLED || all[i].taken_back != JL_BOOK_STANDS)
            continue;
        show_warning(s,
                     "The book began before, with entry %s: opening is what stood there then, and "
                     "counts so in every account; 'received' is what came since, 'gauged' what "
                     "was found.",
                     ENTRY_NUMBER(all[i].number));
        return;
    }
}

static const jl_book_entry *last_entry(const jl_book_file *f, const jl_book_entry **all) {
    size_t count;
    *all = jl_book_entries(jl_book_in(f), &count);
    return &(*all)[count - 1];
}

void show_last_entry(show *s, const jl_book_file *f, const jl_settings *bench) {
    char text[64];
    const jl_book *book = jl_book_in(f);
    const jl_book_entry *entries, *e = last_entry(f, &entries);
    const jl_book_entry *about = e->what == JL_BOOK_CANCELLED ? &entries[e->taken_back] : e;
    snprintf(text, sizeof text, "%s %s", ENTRY_NUMBER(e->number), jl_book_word(e->what));
    show_text(s, NULL, "Entry", text);
    show_text(s, "entry", NULL, ENTRY_NUMBER(e->number));
    show_text(s, "what", NULL, jl_book_word(e->what));
    show_capacity(s, book, about);
    show_vessels(s, book, about);
    show_lot(s, book, about);
    show_contraction(s, book, e);
    show_found(s, f, e, bench);
    warn_of_mixing(s, book, e);
    warn_of_opening(s, book, e);
}

int close_entry(show *s, const char *path, const jl_book_file *f) {
    const jl_book_entry *entries;
    show_on_disk(s, "entry %s is in %s", ENTRY_NUMBER(last_entry(f, &entries)->number), path);
    return show_close(s, EXIT_DONE);
}

/* ---- writing ---- */

/* A book begins with a vessel, and is there with it or not at all. *made: another may have made it
 * first. */
static int begin_book(const char *path, jl_book_entry *e, bool *made) {
    jl_trouble trouble = {0};
    jl_fault fault = {0};
    jl_book_refusal refusal;
    *made = false;
    if (access(path, F_OK) == 0) return EXIT_DONE;
    if (e->what != JL_BOOK_VESSEL)
        return fail(
            EXIT_INPUT,
            "%s: no such book; a new one begins with a vessel, as vessel demijohn-1 5L glass",
            path);
    e->late = false;
    e->written = e->time;
    jl_status status = jl_book_create(path, NULL, e, &refusal, &fault, &trouble);
    if (status == JL_EXISTS && trouble.error == EEXIST) return EXIT_DONE;
    if (refusal.why != JL_BOOK_TAKEN) return fail_refusal(e, &refusal);
    if (status != JL_OK) return fail_write(path, status, trouble, &fault, "written");
    say("New book: %s", path);
    *made = true;
    return EXIT_DONE;
}

int entry_moment(const char *time, bool late, jl_book_entry *e, known_when *known) {
    int bad = event_read("--time", time, &e->time, known);
    e->late = late;
    e->written = late ? clock_now() : e->time;
    return bad;
}

int book_open_to_write(const char *path, jl_book_file **f) {
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    jl_status status = jl_book_open(path, JL_WAIT_S, f, &fault, &trouble);
    if (status == JL_OK) {
        assume_typed_times(path, jl_book_typed_times(*f));
        return EXIT_DONE;
    }
    return fault.line > 0 || fault.expected != NULL
               ? fail_fault(path, &fault)
               : fail_write(path, status, trouble, NULL, "written");
}

enum { YEAR_S = 366 * JL_DAY_S };

bool entry_too_far(const jl_book *book, const jl_book_entry *e) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count);
    return count > 0 && e->time.unix_s > all[count - 1].written.unix_s + YEAR_S &&
           e->time.unix_s > clock_now().unix_s + JL_DAY_S;
}

int book_write(const char *path, jl_book_file *f, jl_book_entry *e) {
    jl_fault fault = {0};
    jl_book_refusal refusal;
    if (entry_too_far(jl_book_in(f), e)) return refuse("--time: " ENTRY_TOO_FAR);
    jl_status status = jl_book_write(f, e, &refusal, &fault);
    if (status == JL_OK) return EXIT_DONE;
    if (status == JL_EXISTS && fault.cell[0] != '\0')
        return fail(EXIT_CREATE, "%s: the header has no column %s, which this entry needs", path,
                    fault.cell);
    return refusal.why != JL_BOOK_TAKEN
               ? fail_refusal(e, &refusal)
               : fail_write(path, status, jl_book_trouble(f), &fault, "written");
}

/* What happened after the last entry was written is no late one, whatever was said of it. */
static void settle_late(const jl_book *book, jl_book_entry *e) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count);
    if (!e->late || (count > 0 && e->time.unix_s < all[count - 1].written.unix_s)) return;
    e->late = false;
    e->written = e->time;
}

/* The run that was charged; NULL: none is named. It keeps the name that the book has for it, so that none
 * of its jars is collected twice. */
static int settle_run(const jl_book *book, const char *log, jl_book_entry *e, jl_run **run,
                      char **known_as) {
    if (log == NULL || *e->run == '\0') return EXIT_DONE;
    int bad = run_read_log(log, run);
    if (bad != EXIT_DONE) return bad;
    const char *name = jl_book_known_as(book, e->run, log, *run);
    if (name != NULL) e->run = *known_as = need(strdup(name)); /* the book is read anew */
    return EXIT_DONE;
}

jl_alcoholometer book_instrument(const jl_book_file *f, const jl_settings *bench) {
    jl_settings both = *bench;
    jl_settings_take(&both, jl_book_facts(f), JL_IN_BOOK, JL_FROM_LOG, NULL, NULL);
    return instrument_of(&both);
}

/* The note, with what the instruments showed where the row has it as they are corrected. */
static char *note_with_shown(const char *note, const jl_book_measure *shown) {
    char reading[48] = "", *text;
    if (!isnan(shown->reading.value))
        snprintf(reading, sizeof reading, "%.6g %s at ", shown->reading.value,
                 reading_unit(shown->reading.unit));
    if (asprintf(&text, "%s%sshown: %s%.6g °C", note, *note == '\0' ? "" : "; ", reading,
                 shown->temp_c) < 0)
        need(NULL);
    return text;
}

static bool differ(double a, double b) {
    return fabs(a - b) > 0; /* of NaN never */
}

/* As the book keeps it, whose own instrument never changes. *note: of the entry, to be freed, where that
 * is another figure than what was shown; else NULL. */
static int correct_measured(const jl_book_file *f, const jl_alcoholometer *by, jl_book_entry *e,
                            char **note) {
    const jl_alcoholometer own = jl_book_instrument(f);
    const jl_book_measure shown = e->measured, *kept = &e->measured;
    jl_book_refusal r = {.why = JL_BOOK_NO_AMOUNT};
    *note = NULL;
    r.status = jl_book_measure_as(by, &own, &e->measured);
    if (r.status != JL_OK) return fail_refusal(e, &r);
    if (differ(shown.temp_c, kept->temp_c) || differ(shown.reading.value, kept->reading.value))
        e->note = *note = note_with_shown(e->note, &shown);
    return EXIT_DONE;
}

void settle_cancelled(const jl_book *book, jl_book_entry *e) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count);
    if (e->what == JL_BOOK_CANCELLED && e->cancelled.year == 0 && count > 0)
        e->cancelled.year = all[count - 1].number.year;
}

/* *corrected: whether the instruments showed another figure than the row has. */
static int write_under_lock(const char *path, jl_book_entry *e, known_when known,
                            const jl_alcoholometer *by, jl_book_file *f, bool *corrected) {
    char *lot = book_lot_meant(jl_book_in(f), jl_book_taken_from(e)), *note;
    if (lot != NULL) e->from = lot;
    settle_when(jl_book_in(f), known, e);
    settle_late(jl_book_in(f), e);
    settle_cancelled(jl_book_in(f), e);
    int bad = correct_measured(f, by, e, &note);
    *corrected = note != NULL;
    if (bad == EXIT_DONE) bad = book_write(path, f, e);
    free(lot);
    free(note);
    return bad;
}

char *book_lot_meant(const jl_book *book, const char *from) {
    char *lot = NULL;
    if (*from == '\0' || jl_book_vessel_named(book, from) != NULL ||
        jl_book_lot_named(book, from) == NULL)
        return NULL;
    if (asprintf(&lot, "lot:%s", from) < 0) need(NULL);
    return lot;
}

/* The plan of a charge has them beside its wash; they stand in another vessel. */
static void ask_for_feints(show *s, const char *path, double feints_l) {
    if (!(feints_l > 0)) return;
    show_warning(s,
                 "The plan charges %.4g L of feints too: they are an entry from their own vessel.",
                 feints_l);
    show_next(s, "jarline book %s charged VESSEL %.6gL", path, feints_l);
}

/* What the book has charged to a run by now, beside the run's own log. */
static void warn_of_charge(show *s, const jl_book_file *f, const char *log, const jl_run *run) {
    const jl_book_entry *all, *e = last_entry(f, &all);
    jl_against a;
    if (e->what != JL_BOOK_CHARGED) return;
    if (jl_book_against(jl_book_in(f), e->run, log, run, &a) != JL_OK) need(NULL);
    const litres_pair two =
        litres_apart(jl_pure_alcohol_l(jl_run_recovery(run)->charge), jl_pure_alcohol_l(a.charged));
    if (jl_against_charge_differs(&a, run))
        show_warning(s, "%s: the log's charge is %s of pure alcohol, the book charged %s.",
                     base_name(log), two.one.text, two.other.text);
    jl_against_free(&a);
}

/* The run that it goes to begins with the same amount. */
static void ask_for_start(show *s, const jl_book_file *f, double feints_l) {
    const jl_book_entry *all, *e = last_entry(f, &all);
    if (e->what != JL_BOOK_CHARGED || *e->run != '\0' || feints_l > 0) return;
    show_next(s, "jarline start RUN.csv --charge %s", AMOUNT_WORD(e->amount));
}

int book_enter(const char *path, jl_book_entry *e, known_when known, const char *log,
               double feints_l, const jl_settings *bench, bool json) {
    jl_book_file *f;
    const jl_book_entry *all;
    jl_run *run = NULL;
    char *known_as = NULL;
    bool made, corrected = false;
    int bad = begin_book(path, e, &made);
    if (bad == EXIT_DONE) bad = made ? book_open_to_read(path, &f) : book_open_to_write(path, &f);
    if (bad != EXIT_DONE) return bad;
    const jl_alcoholometer by = book_instrument(f, bench);
    if (!made) bad = settle_run(jl_book_in(f), log, e, &run, &known_as);
    if (!made && bad == EXIT_DONE) bad = write_under_lock(path, e, known, &by, f, &corrected);
    if (bad == EXIT_DONE) {
        show *s = show_open(json);
        show_last_entry(s, f, bench);
        if (corrected) assume_instrument(s, &by, e->measured.reading.unit);
        if (known == WHEN_DAY)
            show_assumption(s, "Of the moment only the day is stated: it counts as %s.",
                            MOMENT(last_entry(f, &all)->time));
        if (known_as != NULL) show_warning(s, RUN_KNOWN_AS, base_name(log), known_as);
        if (run != NULL && !(feints_l > 0)) warn_of_charge(s, f, log, run);
        ask_for_feints(s, path, feints_l);
        ask_for_start(s, f, feints_l);
        warn_of_book(s, f);
        bad = close_entry(s, path, f);
    }
    jl_run_free(run);
    free(known_as);
    jl_book_close(f);
    return bad;
}
