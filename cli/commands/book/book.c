/* book: an entry into the book of the house.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "book/book_file.h"
#include "command.h"
#include "commands/book/words.h"
#include "input/args.h"
#include "input/clock.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* ---- what the state does not allow ---- */

static void add_numbers(const jl_book_refusal *r, char *text, size_t size) {
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; i < r->entry_count && n < size; i++) {
        char number[JL_BOOK_NUMBER_BYTES];
        jl_book_number_write(r->entries[i], number);
        n += (size_t)snprintf(text + n, size - n, "%s%s", i == 0 ? "" : ", ", number);
    }
}

static int fail_refusal(const jl_book_entry *e, const jl_book_refusal *r) {
    char numbers[JL_BOOK_STANDING_MOST * JL_BOOK_NUMBER_BYTES];
    const char *near = r->nearest[0] == '\0' ? "" : "; was it ";
    bool lot = strncmp(e->from, "lot:", 4) == 0;
    add_numbers(r, numbers, sizeof numbers);
    switch (r->why) {
    case JL_BOOK_NO_VESSEL:
        return fail(EXIT_NO, "the book has no vessel '%s'%s%s", r->name, near, r->nearest);
    case JL_BOOK_NO_LOT:
        return fail(EXIT_NO, "the book has no lot '%s'%s%s", r->name, near, r->nearest);
    case JL_BOOK_RETIRED:
        return fail(EXIT_NO, "%s is retired", r->name);
    case JL_BOOK_HOLDS_LESS:
        return lot ? fail(EXIT_NO, "lot %s has %.0f bottles, not %.0f", r->name, r->has, r->asked)
                   : fail(EXIT_NO, "%s holds %.3f L; %.3f L cannot be taken out", r->name, r->has,
                          r->asked);
    case JL_BOOK_ABOVE_CAPACITY:
        return fail(EXIT_NO, "%s has room for %.3f L, and %.3f L would stand in it", r->name,
                    r->asked, r->has);
    case JL_BOOK_EMPTY:
        return fail(EXIT_NO, "%s is empty", r->name);
    case JL_BOOK_TWICE:
        return fail(EXIT_NO, "jar %s was collected already, by entry %s", r->name, numbers);
    case JL_BOOK_BEFORE_LAST:
        return fail(EXIT_NO,
                    "the moment is before that of the last entry, %s; --late enters it as "
                    "one that comes late",
                    numbers);
    case JL_BOOK_STANDS_ON:
        return fail(EXIT_NO, "later entries stand on %s: %s; cancel those first", r->name, numbers);
    case JL_BOOK_NO_ENTRY:
        return fail(EXIT_NO, "the book has no entry %s that stands", r->name);
    case JL_BOOK_EXISTS:
        return e->what == JL_BOOK_BOTTLED
                   ? fail(EXIT_NO, "lot %s has bottles of another size", r->name)
                   : fail(EXIT_NO, "the book has a vessel '%s' already", r->name);
    case JL_BOOK_NOT_EMPTY:
        return fail(EXIT_NO, "%s holds %.3f L; empty it first", r->name, r->has);
    case JL_BOOK_SAME:
        return fail(EXIT_NO, "%s into itself moves nothing", r->name);
    default:
        if (r->status == JL_NO && !isnan(e->measured.solids_g_100ml)) return fail_solids();
        return fail(exit_of_argument(r->status),
                    "%s: %s; expected a volume or a weight above 0 with what the entry needs: a "
                    "strength, or a reading with its temperature",
                    jl_book_word(e->what), jl_status_text(r->status));
    }
}

/* ---- the answer ---- */

static void show_vessel(show *s, const jl_book_vessel *v) {
    bool any = jl_mass_kg(v->spirit) > 0;
    show_cell_text(s, v->name);
    show_cell(s, any ? jl_volume_l(v->spirit, JL_STRENGTH_C) : 0);
    show_cell(s, any ? jl_spirit_strength_pct(v->spirit) : NAN);
    show_cell(s, jl_pure_alcohol_l(v->spirit));
    show_cell_text(s, v->kind);
}

static void show_vessels(show *s, const jl_book *book, const jl_book_entry *e) {
    static const column COLUMNS[] = {
        {"vessel", "now in", "", 0, 0, COLUMN_WORDS},
        {"volume_l", "volume", "L, 20 °C", 8, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure alcohol", "L", 7, 3, COLUMN_NUMBERS},
        {"kind", "kind", "", 0, 0, COLUMN_WORDS},
    };
    const char *names[] = {e->into, e->from};
    show_table(s, "vessels", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < 2; i++) {
        const jl_book_vessel *v = names[i][0] == '\0' ? NULL : jl_book_vessel_named(book, names[i]);
        if (v != NULL && !(i == 1 && strcmp(names[0], names[1]) == 0)) show_vessel(s, v);
    }
}

static void show_lot(show *s, const jl_book *book, const jl_book_entry *e) {
    const char *name = *e->lot != '\0'                    ? e->lot
                       : strncmp(e->from, "lot:", 4) == 0 ? e->from + 4
                                                          : "";
    const jl_book_lot *lot = *name == '\0' ? NULL : jl_book_lot_named(book, name);
    char text[128];
    if (lot == NULL) return;
    snprintf(text, sizeof text, "%u bottle%s of %g mL", lot->bottles, lot->bottles == 1 ? "" : "s",
             1000 * lot->bottle_l);
    show_text(s, NULL, "In the lot", text);
    show_group(s, "lot", NULL);
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

/* What was found beside what the book had. */
static void show_gauged(show *s, const jl_book *book, const jl_book_entry *e) {
    if (e->what != JL_BOOK_GAUGED) return;
    const jl_book_vessel *v = jl_book_vessel_named(book, e->from);
    double pure_l = e->change.ethanol_kg / JL_ETHANOL_KG_L;
    double found_l = e->amount.ethanol_kg / JL_ETHANOL_KG_L;
    show_number(s, "booked_l", "Pure alcohol by the book before", found_l - pure_l, 3, "L");
    show_number(s, "gained_l", pure_l < 0 ? NULL : "Gained, pure alcohol", fmax(pure_l, 0), 3, "L");
    show_number(s, "lost_l", pure_l < 0 ? "Lost, pure alcohol" : NULL, fmax(-pure_l, 0), 3, "L");
    if (v != NULL && strcmp(v->use, "wood") == 0 && pure_l < 0)
        show_remark(s, "Wood loses some of it: about 2 %% a year is usual (trade press, not "
                       "measured).");
}

static int answer(const char *path, const jl_book_file *f, bool json) {
    char number[JL_BOOK_NUMBER_BYTES], text[64];
    size_t count;
    const jl_book *book = jl_book_in(f);
    const jl_book_entry *entries = jl_book_entries(book, &count);
    const jl_book_entry *e = &entries[count - 1];
    const jl_book_entry *about = e->what == JL_BOOK_CANCELLED ? &entries[e->taken_back] : e;
    show *s = show_open(json);
    jl_book_number_write(e->number, number);
    snprintf(text, sizeof text, "%s %s", number, jl_book_word(e->what));
    show_text(s, NULL, "Entry", text);
    show_text(s, "entry", NULL, number);
    show_text(s, "what", NULL, jl_book_word(e->what));
    show_vessels(s, book, about);
    show_lot(s, book, about);
    show_contraction(s, book, e);
    show_gauged(s, book, e);
    return show_close_written(s, "entry %s is in %s", number, path);
}

/* ---- writing ---- */

/* A book begins with a vessel, and is made only for one that it takes: nothing is left of a refusal. */
static int begin_book(const char *path, jl_book_entry e) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_trouble trouble = {0};
    jl_book_refusal refusal;
    jl_book *empty;
    if (access(path, F_OK) == 0) return EXIT_DONE;
    if (e.what != JL_BOOK_VESSEL)
        return fail(EXIT_INPUT,
                    "%s: no such book; a new one begins with a vessel, as vessel "
                    "demijohn-1 5L glass",
                    path);
    if (jl_book_new(&empty) != JL_OK) need(NULL);
    jl_status status = jl_book_settle(empty, &instrument, &e, &refusal);
    jl_book_free(empty);
    if (status != JL_OK) return fail_refusal(&e, &refusal);
    status = jl_book_create(path, NULL, &trouble);
    if (status != JL_OK) return fail_write(path, status, trouble, NULL, "written");
    say("New book: %s", path);
    return EXIT_DONE;
}

static int set_moment(jl_book_entry *e, const book_options *o) {
    e->written = clock_now();
    e->time = e->written;
    int bad = o->time == NULL ? EXIT_DONE : clock_read("--time", o->time, &e->time);
    e->late = o->late != 0;
    if (!e->late) e->written = e->time;
    return bad;
}

static int open_book(const char *path, jl_book_file **f) {
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    jl_status status = jl_book_open(path, JL_WAIT_S, f, &fault, &trouble);
    if (status == JL_OK) return EXIT_DONE;
    return fault.line > 0 || fault.expected != NULL
               ? fail_fault(path, &fault)
               : fail_write(path, status, trouble, NULL, "written");
}

static int write_entry(const char *path, jl_book_entry *e, const book_options *o, bool json) {
    jl_book_file *f;
    jl_fault fault = {0};
    jl_book_refusal refusal;
    int bad = set_moment(e, o);
    if (bad == EXIT_DONE) bad = begin_book(path, *e);
    if (bad == EXIT_DONE) bad = open_book(path, &f);
    if (bad != EXIT_DONE) return bad;
    jl_status status = jl_book_write(f, e, &refusal, &fault);
    if (status == JL_OK)
        bad = answer(path, f, json);
    else if (refusal.why != JL_BOOK_TAKEN)
        bad = fail_refusal(e, &refusal);
    else
        bad = fail_write(path, status, jl_book_trouble(f), &fault, "written");
    jl_book_close(f);
    return bad;
}

static int run_book(const args *a, const book_options *o, bool json) {
    book_words w;
    if (a->count < 2)
        return fail(EXIT_USAGE, "expected a book and an entry, as house.csv moved demijohn-3 2.5L "
                                "--into cask-1");
    int bad = book_words_read(a->rest + 1, a->count - 1, o, &w);
    if (bad == EXIT_DONE) bad = write_entry(a->rest[0], &w.entry, o, json);
    book_words_free(&w);
    return bad;
}

int command_book(int argc, const char **argv) {
    book_options o = {0};
    int json = 0;
    const struct poptOption table[] = {
        OPTION("into", &o.into, "VESSEL", "of collected and moved: where it goes"),
        OPTION("receiver", &o.receiver, "WHO", "of removed: who has it now"),
        OPTION("sender", &o.sender, "WHO", "of received: where it came from"),
        OPTION("kind-of", &o.kind, "KIND", "what it is: low-wines, feints, spirit, your own word"),
        OPTION("lot", &o.lot, "LOT", "of bottled: the lot of the bottles, as 2026-7"),
        OPTION("run", &o.run, "RUN.csv", "of charged: the run that it was charged to"),
        OPTION("solids", &o.solids, "MASS", "of gauged: dissolved solids, as 0.5g/100ml"),
        OPTION("because", &o.because, "TEXT", "of cancelled: the reason"),
        OPTION("time", &o.time, "TIME", "when it happened (now)"),
        FLAG("late", &o.late, "it happened before entries that are in the book"),
        OPTION("note", &o.note, "TEXT", "anything"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv ENTRY ...",
                  "Writes one entry into the book of the house: vessel, opening, received, "
                  "collected,\ncharged, moved, water, bottled, removed, gauged, lost, cancelled."))
        a.exit_status = run_book(&a, &o, json != 0);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
