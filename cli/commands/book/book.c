/* book: an entry into the book of the house.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "commands/book/stock.h"
#include "commands/book/words.h"
#include "commands/book/write.h"
#include "input/args.h"
#include "input/clock.h"
#include "input/line.h"
#include "input/logfile.h"
#include "input/questions.h"
#include "input/settings.h"
#include "spirit/spirit.h"
#include "text/letters.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- The prompt ---- */

enum {
    WHAT,
    NAME,
    CAPACITY,
    USE,
    PART,
    FROM,
    FIRST_INTO, /* of what is poured in from outside: the vessel before the amount */
    AMOUNT,
    SIZE,
    INTO,
    VOLUME,
    READING,
    TEMP,
    SOLIDS,
    TRUE_STRENGTH,
    BOTTLES,
    LOT,
    RUN,
    RECEIVER,
    SENDER,
    KIND,
    NUMBER,
    BECAUSE,
    WHEN,
    NOTE
};

/* An entry that is being typed. */
typedef struct typing {
    const char *path;
    const jl_settings *bench;
    const jl_book *book;
    jl_alcoholometer instrument;
    bool is_new;    /* no book is there yet */
    bool is_asked;  /* how much a vessel holds; else it stands behind the name in the line */
    bool is_topped; /* a vessel that was topped up is named before what went into it */
    jl_book_entry e;
    keep kept; /* its texts */
    file_part part;
    known_when known;
    const char *log; /* of the run that it names */
    int exit_status;
} typing;

/* ---- what happened ---- */

static const char *nearest_what(const char *text) {
    jl_nearest near = jl_nearest_to(text);
    for (int w = 0; w < JL_BOOK_WHATS; w++) jl_nearest_offer(&near, jl_book_word((jl_book_what)w));
    return near.found == NULL ? "" : near.found;
}

/* ---- checks, where it is typed ---- */

static const jl_book_entry *last_entry(const typing *t) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(t->book, &count);
    return count == 0 ? NULL : &e[count - 1];
}

/* Its moment is asked for later: behind all that the book has. */
static void set_moment(const typing *t, jl_book_entry *e) {
    const jl_book_entry *last = last_entry(t);
    e->time = e->written =
        last == NULL || last->written.unix_s < clock_now().unix_s ? clock_now() : last->written;
    if (last != NULL && last->time.unix_s > e->time.unix_s) e->time = e->written = last->time;
}

/* What the book as it stands says of an entry. */
static answered check(const typing *t, jl_book_entry e, remark *r) {
    jl_book_refusal refusal;
    char text[REMARK_BYTES - 1];
    set_moment(t, &e);
    if (jl_book_settle(t->book, &t->instrument, &e, &refusal) == JL_OK) return ANSWER_TAKEN;
    refusal_text(&e, &refusal, text, sizeof text);
    snprintf(r->text, sizeof r->text, "%s%c", text, refusal.nearest[0] == '\0' ? '.' : '?');
    snprintf(r->guess, sizeof r->guess, "%.40s", refusal.nearest);
    return ANSWER_REFUSED;
}

/* A vessel or a lot that holds something. */
static answered check_from(const typing *t, remark *r) {
    jl_book_entry e = JL_BOOK_BLANK(JL_BOOK_LOST);
    e.from = t->e.from;
    e.measured.all = true;
    e.bottles = 1;
    if (t->e.what == JL_BOOK_GAUGED && !jl_book_is_lot(e.from)) {
        e.what = JL_BOOK_GAUGED;
        e.measured.all = false;
        e.measured.volume_l = 0;
    }
    return check(t, e, r);
}

/* A vessel, whatever it holds. */
static answered check_vessel(const typing *t, const char *name, remark *r) {
    jl_book_entry e = JL_BOOK_BLANK(JL_BOOK_GAUGED);
    e.from = name;
    e.measured.volume_l = 0;
    if (jl_book_is_lot(name)) return answer_refused(r, "That is a lot; expected a vessel.");
    return check(t, e, r);
}

/* What leaves: whether there is so much; where it goes is asked for later. */
static answered check_out(const typing *t, remark *r) {
    jl_book_entry e = t->e;
    if (e.what != JL_BOOK_BOTTLED) e.what = JL_BOOK_LOST;
    if (e.what == JL_BOOK_BOTTLED && *e.lot == '\0') e.lot = "-";
    return check(t, e, r);
}

/* Of what was measured, when all of it is known: whether so much can have come or gone unseen. */
static answered check_found(const typing *t, bool stays, remark *r) {
    char text[SLIP_OF_BOOK_BYTES];
    jl_book_refusal refusal;
    jl_book_slip slip;
    jl_book_entry e = t->e;
    answered a = check(t, e, r);
    if (a != ANSWER_TAKEN || stays) return a;
    set_moment(t, &e);
    if (jl_book_settle(t->book, &t->instrument, &e, &refusal) != JL_OK ||
        !write_book_slip(t->book, &e, jl_book_would_find(t->book, &e), &slip, text))
        return ANSWER_TAKEN;
    snprintf(r->text, sizeof r->text, "%s 'volume' or 'reading' and a figure types that anew.",
             text);
    if (e.bottles > 0 || jl_book_is_lot(e.from)) snprintf(r->text, sizeof r->text, "%s", text);
    snprintf(r->kept, sizeof r->kept, "what was measured");
    return ANSWER_UNLIKELY;
}

/* ---- figures, a bare one in the unit that is asked for ---- */

static bool read_figure(const char *text, const char *unit, jl_kind kind, jl_quantity *q) {
    char with[64];
    size_t digits = strspn(text, "0123456789.,-");
    snprintf(with, sizeof with, "%.40s%s", text, text[digits] == '\0' ? unit : "");
    return jl_quantity_read(with, kind, q) == JL_OK;
}

static answered read_size(typing *t, const char *text, bool stays, remark *r) {
    jl_book_measure *m = &t->e.measured;
    jl_quantity q;
    double times;
    *m = JL_BOOK_UNMEASURED;
    if (jl_book_is_lot(t->e.from)) {
        if (!book_count_read(text, &t->e.bottles))
            return answer_refused(r, "A whole number of bottles, as 6.");
        return t->e.what == JL_BOOK_GAUGED ? check_found(t, stays, r) : check_out(t, r);
    }
    const char *one = book_times(text, &times);
    if (jl_same_letters(text, "all"))
        m->all = true;
    else if (read_figure(one, "L", JL_VOLUME, &q))
        m->volume_l = times * q.value;
    else if (jl_quantity_read(one, JL_MASS, &q) == JL_OK)
        m->weight_kg = times * q.value;
    else
        return answer_refused(r, "A volume or a weight, as 2.5L, 800mL or 1.2kg, or all.");
    bool into_known = t->e.what == JL_BOOK_WATER || t->is_topped;
    return into_known ? check(t, t->e, r) : check_out(t, r);
}

static answered read_amount(typing *t, const char *text, remark *r) {
    jl_amount amount;
    jl_book_measure *m = &t->e.measured;
    *m = JL_BOOK_UNMEASURED;
    if (jl_amount_read(text, &amount, NULL) != JL_OK || amount.strength.unit == JL_UNIT_PCT_MASS)
        return answer_refused(r,
                              "A volume or a weight and its strength, as 5L@70% or 5L@70.5%@21C.");
    book_amount_take(&amount, m);
    return check(t, t->e, r);
}

static answered read_found(typing *t, const char *text, remark *r) {
    jl_quantity q;
    jl_book_measure *m = &t->e.measured;
    m->volume_l = m->weight_kg = NAN;
    if (t->e.what == JL_BOOK_COLLECTED && answer_is_none(text)) return ANSWER_TAKEN;
    if (read_figure(text, "L", JL_VOLUME, &q))
        m->volume_l = q.value;
    else if (jl_quantity_read(text, JL_MASS, &q) == JL_OK)
        m->weight_kg = q.value;
    else
        return answer_refused(r,
                              "What it holds by measuring, as 48.2L or 44kg; 0 where it is empty.");
    return ANSWER_TAKEN;
}

static answered read_reading(typing *t, const char *text, remark *r) {
    jl_quantity q;
    if (!read_figure(text, "%", JL_STRENGTH, &q) || q.unit == JL_UNIT_PCT_MASS)
        return answer_refused(r, "What the alcoholometer shows, as 44.5% or 89proof.");
    /* where it was said to be a true strength, it is so still */
    *(isnan(t->e.measured.strength.value) ? &t->e.measured.reading : &t->e.measured.strength) = q;
    return ANSWER_TAKEN;
}

/* Without a temperature it is a true strength. */
static answered read_temp(typing *t, const char *text, bool stays, remark *r) {
    jl_book_measure *m = &t->e.measured;
    jl_quantity q;
    if (isnan(m->reading.value)) m->reading = m->strength;
    m->strength.value = m->temp_c = NAN;
    if (answer_is_none(text)) {
        m->strength = m->reading;
        m->reading.value = NAN;
    } else if (read_figure(text, "C", JL_TEMPERATURE, &q))
        m->temp_c = q.value;
    else
        return answer_refused(r, "The temperature of the liquid, as 14C or 57F.");
    /* of a gauging solids may be asked for, which hide strength */
    return t->e.what == JL_BOOK_GAUGED ? check(t, t->e, r) : check_found(t, stays, r);
}

static bool solids_hide_too_much(const typing *t) {
    remark ignored = {0};
    return t->e.measured.solids_g_100ml >= JL_SOLIDS_COUNT_G &&
           check(t, t->e, &ignored) != ANSWER_TAKEN;
}

static answered read_solids(typing *t, const char *text, bool stays, remark *r) {
    char *end;
    t->e.measured.solids_g_100ml = NAN;
    if (answer_is_none(text)) return check_found(t, stays, r);
    double value = strtod(text, &end);
    if (end == text || !(value >= 0 && value <= 100) ||
        (*end != '\0' && strncmp(end, "g/100", 5) != 0))
        return answer_refused(r, "Dissolved solids in g in 100 mL, as 0.5, or Enter for none.");
    t->e.measured.solids_g_100ml = value;
    return solids_hide_too_much(t) ? ANSWER_TAKEN : check_found(t, stays, r);
}

static answered read_true_strength(typing *t, const char *text, bool stays, remark *r) {
    jl_quantity q;
    if (!read_figure(text, "%", JL_STRENGTH, &q) || q.unit == JL_UNIT_PCT_MASS)
        return answer_refused(r, "The strength of a distilled sample, as 41%.");
    t->e.measured.strength = q;
    return check_found(t, stays, r);
}

static answered read_bottles(typing *t, const char *text, remark *r) {
    if (!book_bottles_read(text, "mL", t->bench, &t->e.bottles, &t->e.bottle_l))
        return answer_refused(r, "How many of which size, as 40x700mL.");
    return check_out(t, r);
}

/* ---- texts ---- */

static answered set_text(typing *t, const char **to, const char *text) {
    *to = answer_is_none(text) ? "" : keep_text(&t->kept, text);
    return ANSWER_TAKEN;
}

static answered read_part(typing *t, const char *text, remark *r) {
    part_free(&t->part);
    if (part_read(text, NULL, &t->part) != EXIT_DONE) {
        t->part = (file_part){.kind = ""};
        return ANSWER_REFUSED;
    }
    if (t->part.run == NULL)
        return answer_refused(r,
                              "A run log and its jars, as october.csv:hearts or october.csv:3-11.");
    char *from = keep_room(&t->kept, strlen(t->part.path) + strlen(t->part.jars) + 2);
    sprintf(from, "%s:%s", t->part.path, t->part.jars);
    t->e.from = from;
    t->e.run = t->part.run;
    t->log = t->part.path;
    t->e.kind = t->part.kind;
    t->e.amount = t->e.logged = t->part.spirit;
    return ANSWER_TAKEN;
}

static answered read_run(typing *t, const char *text) {
    jl_run *run;
    if (answer_is_none(text)) return set_text(t, &t->e.run, "");
    if (run_read_log(text, &run) != EXIT_DONE) return ANSWER_REFUSED;
    char *name = run_name(text, run);
    jl_run_free(run);
    set_text(t, &t->e.run, name);
    set_text(t, &t->log, text);
    free(name);
    return ANSWER_TAKEN;
}

static answered read_vessel_name(typing *t, const char *text, remark *r) {
    jl_book_entry e = JL_BOOK_BLANK(JL_BOOK_VESSEL);
    if (answer_is_none(text)) return answer_refused(r, "A name of one word, as cask-1.");
    if (t->is_new && strcmp(text, jl_book_word(JL_BOOK_VESSEL)) == 0)
        return answer_refused(r, "That is what an entry says, and no vessel is there yet; expected "
                                 "the first one's name, of one word, as cask-1.");
    t->is_asked = false;
    e.into = text;
    e.measured.volume_l = 1;
    set_text(t, &t->e.into, text);
    return check(t, e, r);
}

static answered read_capacity(typing *t, const char *text, remark *r) {
    jl_quantity q;
    if (!t->is_asked && text[strspn(text, "0123456789.,")] == '\0') {
        snprintf(r->text, sizeof r->text,
                 "'%.40s %.20s': a name is one word, as %.40s-%.20s (back: the name), and a size "
                 "behind it has its unit, as 50L.",
                 t->e.into, text, t->e.into, text);
        return ANSWER_REFUSED;
    }
    if (!read_figure(text, "L", JL_VOLUME, &q) || !(q.value > 0))
        return answer_refused(r, "How much it holds when it is full, as 50L.");
    t->e.measured.volume_l = q.value;
    return ANSWER_TAKEN;
}

static answered read_use(typing *t, const char *text, remark *r) {
    const char *use = book_use_of(text);
    if (use != NULL) return set_text(t, &t->e.kind, use);
    return answer_refused(r, "What it is of: glass, steel, wood or other.");
}

static void next_lot(const typing *t, char *name, size_t size) {
    char day[JL_TIME_BYTES] = "";
    jl_time_write(clock_now(), day, sizeof day);
    for (int n = 1; n < 10000; n++) {
        snprintf(name, size, "%.4s-%d", day, n);
        if (jl_book_lot_named(t->book, name) == NULL) return;
    }
}

static answered read_lot(typing *t, const char *text, remark *r) {
    char next[32];
    next_lot(t, next, sizeof next);
    set_text(t, &t->e.lot, answer_is_none(text) ? next : jl_book_lot_name(text));
    return check(t, t->e, r);
}

static answered read_number(typing *t, const char *text, remark *r) {
    if (!book_number_read(text, &t->e.cancelled))
        return answer_refused(r,
                              "The number of an entry, as 2026-31; 'entries' shows the last ones.");
    settle_cancelled(t->book, &t->e);
    return check(t, t->e, r);
}

/* A moment before the last entry's makes it a late one. */
static answered read_when(typing *t, const char *text, bool stays, remark *r) {
    char moment[JL_TIME_BYTES] = "";
    const jl_book_entry *last = last_entry(t);
    t->e.late = false;
    t->known = WHEN_NOW;
    t->e.time = t->e.written = clock_now();
    if (isalpha((unsigned char)text[0]) && *t->e.note == '\0') { /* words behind the last figure */
        if (stays) set_text(t, &t->e.note, text);
        snprintf(r->text, sizeof r->text, "'%.100s' is no time; it would be the note.", text);
        snprintf(r->kept, sizeof r->kept, "it as the note");
        return stays ? ANSWER_TAKEN : ANSWER_UNLIKELY;
    }
    if (event_read("time", answer_is_none(text) ? NULL : text, &t->e.time, &t->known) != EXIT_DONE)
        return ANSWER_REFUSED;
    t->e.written = t->e.time;
    settle_when(t->book, t->known, &t->e);
    if (entry_too_far(t->book, &t->e)) return answer_refused(r, "That is " ENTRY_TOO_FAR ".");
    if (last == NULL || t->e.time.unix_s >= last->written.unix_s) return ANSWER_TAKEN;
    t->e.late = true;
    t->e.written = clock_now();
    if (stays) return ANSWER_TAKEN;
    jl_time_write(last->written, moment, sizeof moment);
    snprintf(r->text, sizeof r->text,
             "That is before the last entry, %s of %.16s: it would be entered late.",
             ENTRY_NUMBER(last->number), moment);
    snprintf(r->kept, sizeof r->kept, "it, late");
    return ANSWER_UNLIKELY;
}

/* ---- the questions ---- */

#define BOTTLE_WORDS "bottle bottles"

static const question ENTRY[] = {
    {WHAT, QUESTION_FIGURE,
     "What happened, in a word: collected (from a run), charged (into the still), moved (from one "
     "vessel into another), water (added), bottled, removed (given, sold, a sample), gauged "
     "(measured "
     "or counted), lost (spilled, broken), received (from outside), opening (stock when the book "
     "begins), vessel (a new one), cancelled (an entry that was wrong).",
     .decides = true},
    {NAME, QUESTION_FIGURE, "The vessel's name, of one word: it stands in every entry."},
    {CAPACITY, QUESTION_FIGURE, "How much it holds when it is full, as 50L."},
    {USE, QUESTION_FIGURE, "glass, steel, wood or other: wood loses some of what it holds."},
    {PART, QUESTION_FIGURE,
     "A run log and which of its jars: october.csv:hearts, october.csv:3-11, october.csv:all."},
    {FIRST_INTO, QUESTION_FIGURE, "The vessel into which it went.", .leads = "into to"},
    {FROM, QUESTION_FIGURE,
     "The vessel that it came out of; or lot:NAME for bottles, as lot:2026-7.",
     .leads = "from with out-of"},
    {AMOUNT, QUESTION_FIGURE, "How much of which strength, as 5L@70%."},
    {SIZE, QUESTION_FIGURE, "How much, as 2.5L, 800mL, 1.2kg or all; of bottles how many.",
     .units = BOTTLE_WORDS},
    {INTO, QUESTION_FIGURE, "The vessel into which it went.", .leads = "into to"},
    {VOLUME, QUESTION_FIGURE,
     "What you measured in it, as 48.2L or 44kg; 0 where it is empty. Of jars that were collected "
     "Enter: as their run's log has them.",
     false, "volume weight"},
    {READING, QUESTION_FIGURE, "What the alcoholometer shows, as 44.5%.", false, "reading"},
    {TEMP, QUESTION_FIGURE,
     "The temperature at the reading, as 14C. Enter: it is a true strength at 20 °C.", false,
     "temperature temp"},
    {SOLIDS, QUESTION_FIGURE,
     "Sugar and whatever else is dissolved in it hides strength: g in 100 mL, as 0.5. Enter: "
     "none."},
    {TRUE_STRENGTH, QUESTION_FIGURE,
     "So much is dissolved that a sample has to be distilled and brought back to its volume: its "
     "strength."},
    {BOTTLES, QUESTION_FIGURE,
     "How many bottles of which size, as 40x700mL; 40 alone where the bench file has their size.",
     .units = BOTTLE_WORDS},
    {LOT, QUESTION_FIGURE, "The number on their labels; Enter takes the next one."},
    {RUN, QUESTION_FIGURE, "The log of the run that it was charged to. Enter: none."},
    {RECEIVER, QUESTION_TEXT, "Who has it now, or what became of it.", .leads = "to for",
     .led = true},
    {SENDER, QUESTION_TEXT, "From whom it came.", .leads = "from"},
    {KIND, QUESTION_TEXT, "low wines, feints, spirit or a word of your own."},
    {NUMBER, QUESTION_FIGURE, "The entry that was wrong, by its number: 2026-31."},
    {BECAUSE, QUESTION_TEXT, "What was wrong; it stays in the book."},
    {WHEN, QUESTION_TEXT, "When it happened: 18:30, 24.10.2026 18:30 or 2026-10-24. Enter: now.",
     true},
    {NOTE, QUESTION_TEXT, "Anything. Enter: none.", true},
};

/* Which entries have a question, but for those that all have. */
#define ON(what) (1u << JL_BOOK_##what)
static const unsigned ENTRIES[] = {
    [NAME] = ON(VESSEL),
    [CAPACITY] = ON(VESSEL),
    [USE] = ON(VESSEL),
    [PART] = ON(COLLECTED),
    [FROM] = ON(CHARGED) | ON(MOVED) | ON(BOTTLED) | ON(REMOVED) | ON(GAUGED) | ON(LOST),
    [FIRST_INTO] = ON(OPENING) | ON(RECEIVED) | ON(WATER),
    [AMOUNT] = ON(OPENING) | ON(RECEIVED),
    [SIZE] = ON(CHARGED) | ON(MOVED) | ON(WATER) | ON(REMOVED) | ON(LOST) | ON(GAUGED),
    [VOLUME] = ON(GAUGED) | ON(COLLECTED),
    [READING] = ON(GAUGED) | ON(COLLECTED),
    [TEMP] = ON(GAUGED) | ON(COLLECTED),
    [SOLIDS] = ON(GAUGED),
    [TRUE_STRENGTH] = ON(GAUGED),
    [BOTTLES] = ON(BOTTLED),
    [LOT] = ON(BOTTLED),
    [INTO] = ON(MOVED) | ON(COLLECTED),
    [RUN] = ON(CHARGED),
    [RECEIVER] = ON(REMOVED),
    [SENDER] = ON(RECEIVED),
    [KIND] = ON(OPENING) | ON(RECEIVED),
    [NUMBER] = ON(CANCELLED),
    [BECAUSE] = ON(CANCELLED),
};

static bool applies(void *with, int which) {
    const typing *t = with;
    const jl_book_measure *m = &t->e.measured;
    bool lot = jl_book_is_lot(t->e.from);
    if (which == WHAT || which == WHEN) return true;
    if (t->is_topped && (which == FIRST_INTO || which == INTO)) return which == FIRST_INTO;
    if (which == NOTE) return *t->e.note == '\0';
    if ((ENTRIES[which] & 1u << t->e.what) == 0) return false;
    if (t->e.what == JL_BOOK_COLLECTED)
        return (which != READING && which != TEMP) || jl_book_has_size(m);
    if (t->e.what != JL_BOOK_GAUGED || which == FROM) return true;
    /* Bottles are counted, and what is empty has no strength. */
    if (lot || which == SIZE) return lot && which == SIZE;
    return which == VOLUME ||
           (m->volume_l != 0 && (which != TRUE_STRENGTH || solids_hide_too_much(t)));
}

/* A new book begins with its vessels. */
static const char *given(void *with, int which) {
    const typing *t = with;
    size_t count;
    jl_book_vessels(t->book, &count);
    return which == WHAT && count == 0 ? jl_book_word(JL_BOOK_VESSEL) : NULL;
}

/* "cask-1 4.6, demijohn-3 2.2 L" */
static void list_vessels(const jl_book *book, bool holding, char *text, size_t size) {
    size_t count, n = 0;
    const jl_book_vessel *v = jl_book_vessels(book, &count);
    text[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        bool any = jl_mass_kg(v[i].spirit) > 0;
        if (v[i].retired || (holding && !any)) continue;
        double holds_l = any ? jl_volume_l(v[i].spirit, JL_STRENGTH_C) : 0;
        size_t room = size - n;
        int used = snprintf(text + n, room, "%s%s %.3g", n == 0 ? "" : ", ", v[i].name, holds_l);
        if (used < 0 || (size_t)used + 4 >= room) {
            snprintf(text + n, room, "%s", room > 4 ? ",..." : "");
            return;
        }
        n += (size_t)used;
    }
}

/* "; lot:2026-1 6", of those that are left. */
static void list_lots(const jl_book *book, char *text, size_t size) {
    size_t count, n = 0;
    const jl_book_lot *l = jl_book_lots(book, &count);
    text[0] = '\0';
    for (size_t i = count; i-- > 0;) {
        size_t room = size - n;
        if (l[i].bottles == 0) continue;
        int used = snprintf(text + n, room, "%slot:%.18s %u", n == 0 ? "; " : ", ", l[i].name,
                            (unsigned)l[i].bottles);
        if (used < 0 || (size_t)used + 4 >= room) {
            snprintf(text + n, room, "%s", n > 0 && room > 4 ? ",..." : "");
            return;
        }
        n += (size_t)used;
    }
}

static void write_from(const typing *t, char text[QUESTION_BYTES]) {
    /* together they fit a line of a terminal */
    char list[60], lots[32] = "";
    jl_book_what w = t->e.what;
    bool bottles = w == JL_BOOK_REMOVED || w == JL_BOOK_GAUGED || w == JL_BOOK_LOST;
    if (bottles) list_lots(t->book, lots, sizeof lots);
    list_vessels(t->book, w != JL_BOOK_GAUGED, list, sizeof list - strlen(lots));
    const char *asked_for = w == JL_BOOK_GAUGED ? "which" : "from";
    if (list[0] == '\0' && lots[0] == '\0')
        snprintf(text, QUESTION_BYTES, "  %s (no vessel holds anything): ", asked_for);
    else
        snprintf(text, QUESTION_BYTES, "  %s (%s L%s): ", asked_for, list, lots);
}

static void write_size(const typing *t, char text[QUESTION_BYTES]) {
    const jl_book_lot *lot =
        jl_book_is_lot(t->e.from) ? jl_book_lot_named(t->book, jl_book_lot_name(t->e.from)) : NULL;
    const jl_book_vessel *v = jl_book_vessel_named(t->book, t->e.from);
    if (lot != NULL)
        snprintf(text, QUESTION_BYTES, "  bottles (of %u): ", (unsigned)lot->bottles);
    else if (v != NULL && jl_mass_kg(v->spirit) > 0)
        snprintf(text, QUESTION_BYTES, "  how much, L, kg or all (of %s): ",
                 LITRES(jl_volume_l(v->spirit, JL_STRENGTH_C)));
    else
        snprintf(text, QUESTION_BYTES, "  how much, L or kg: ");
}

static void write_question(void *with, int which, char text[QUESTION_BYTES]) {
    static const char *const PLAIN[] = {
        [WHAT] = "what happened (?: the words for it): ",
        [NAME] = "  the vessel's name: ",
        [CAPACITY] = "  holds when full, L: ",
        [USE] = "  glass, steel, wood or other: ",
        [PART] = "  from which jars (october.csv:hearts): ",
        [AMOUNT] = "  how much (5L@70%): ",
        [VOLUME] = "  measured, L or kg: ",
        [READING] = "  reading, %: ",
        [TEMP] = "  temperature, °C: ",
        [SOLIDS] = "  dissolved, g in 100 mL (Enter: none): ",
        [TRUE_STRENGTH] = "  strength of a distilled sample, %: ",
        [BOTTLES] = "  bottles (40x700mL): ",
        [RUN] = "  into the run with the log (Enter: none): ",
        [RECEIVER] = "  to whom: ",
        [SENDER] = "  from whom: ",
        [KIND] = "  what it is (Enter: spirit): ",
        [NUMBER] = "  the entry that was wrong: ",
        [BECAUSE] = "  why: ",
        [WHEN] = "  when (Enter: now): ",
        [NOTE] = "  note (Enter: none): ",
    };
    typing *t = with;
    char list[60], next[32];
    t->is_asked = which == CAPACITY;
    double bottle_l = jl_setting_value(t->bench, JL_KEY_BOTTLE);
    if (which == FROM)
        write_from(t, text);
    else if (which == SIZE)
        write_size(t, text);
    else if (which == FIRST_INTO || which == INTO) {
        list_vessels(t->book, t->e.what == JL_BOOK_WATER, list, sizeof list);
        snprintf(text, QUESTION_BYTES, "  into (%s L): ", list);
    } else if (which == VOLUME && t->e.what == JL_BOOK_COLLECTED) {
        snprintf(text, QUESTION_BYTES, "  measured there, L or kg (Enter: as the log has it): ");
    } else if (which == BOTTLES && bottle_l > 0) {
        snprintf(text, QUESTION_BYTES, "  bottles (40 of %.6g mL, or 40x500mL): ", 1000 * bottle_l);
    } else if (which == LOT) {
        next_lot(t, next, sizeof next);
        snprintf(text, QUESTION_BYTES, "  lot (Enter: %s): ", next);
    } else
        snprintf(text, QUESTION_BYTES, "%s", PLAIN[which]);
}

static answered read_what(typing *t, const char *text, remark *r) {
    jl_book_what what;
    if (book_what_of(text, &what)) {
        t->e = JL_BOOK_BLANK(what);
        t->is_topped = jl_same_letters(text, "topped up");
        return ANSWER_TAKEN;
    }
    if (answer_is_none(text))
        return answer_refused(r, "A word for what happened; ? lists them, quit leaves.");
    snprintf(r->text, sizeof r->text,
             "'%.60s' is none of collected, charged, moved, water, bottled, removed, gauged, lost, "
             "received, opening, vessel, cancelled; ? says what they are.",
             text);
    snprintf(r->guess, sizeof r->guess, "%s", nearest_what(text));
    return ANSWER_REFUSED;
}

static answered read_from(typing *t, const char *text, remark *r) {
    char *lot = book_lot_meant(t->book, text);
    set_text(t, &t->e.from, lot == NULL ? text : lot);
    free(lot);
    if (answer_is_none(text)) return answer_refused(r, "A vessel, or a lot as lot:2026-7.");
    return check_from(t, r);
}

static answered read_into(typing *t, int which, const char *text, remark *r) {
    if (answer_is_none(text)) return answer_refused(r, "The name of a vessel is needed here.");
    set_text(t, &t->e.into, text);
    return which == INTO ? check(t, t->e, r) : check_vessel(t, t->e.into, r);
}

static answered read_because(typing *t, const char *text, remark *r) {
    if (answer_is_none(text))
        return answer_refused(r, "The reason stays in the book: a few words.");
    return set_text(t, &t->e.note, text);
}

static answered read_answer(void *with, int which, const char *text, bool stays, remark *r) {
    typing *t = with;
    switch (which) {
    case WHAT:
        return read_what(t, text, r);
    case NAME:
        return read_vessel_name(t, text, r);
    case CAPACITY:
        return read_capacity(t, text, r);
    case USE:
        return read_use(t, text, r);
    case PART:
        return read_part(t, text, r);
    case FROM:
        return read_from(t, text, r);
    case FIRST_INTO:
    case INTO:
        return read_into(t, which, text, r);
    case AMOUNT:
        return read_amount(t, text, r);
    case SIZE:
        return read_size(t, text, stays, r);
    case VOLUME:
        return read_found(t, text, r);
    case READING:
        return read_reading(t, text, r);
    case TEMP:
        return read_temp(t, text, stays, r);
    case SOLIDS:
        return read_solids(t, text, stays, r);
    case TRUE_STRENGTH:
        return read_true_strength(t, text, stays, r);
    case BOTTLES:
        return read_bottles(t, text, r);
    case LOT:
        return read_lot(t, text, r);
    case RUN:
        return read_run(t, text);
    case RECEIVER:
    case SENDER:
        return set_text(t, which == RECEIVER ? &t->e.receiver : &t->e.from, text);
    case KIND:
        return set_text(t, &t->e.kind, answer_is_none(text) ? "spirit" : text);
    case NUMBER:
        return read_number(t, text, r);
    case BECAUSE:
        return read_because(t, text, r);
    case WHEN:
        return read_when(t, text, stays, r);
    default:
        return answer_is_none(text) ? ANSWER_TAKEN : set_text(t, &t->e.note, text);
    }
}

/* ---- words ---- */

static const char WORDS[] = "Words at any question:\n"
                            "  stock    what every vessel and lot holds\n"
                            "  entries  the last ones, with their numbers\n"
                            "  Ctrl-C   drops the entry that is being typed\n";

enum { ENTRIES_SHOWN = 10 };

/* Who has it, which entry it takes back, and its note; the caller frees it. NULL: none. */
static char *beside_entry(const jl_book_entry *e) {
    bool takes_back = e->what == JL_BOOK_CANCELLED, to = *e->receiver != '\0';
    char *text, number[JL_BOOK_NUMBER_BYTES];
    jl_book_number_write(e->cancelled, number);
    const char *of = takes_back ? number : e->receiver;
    if (!takes_back && !to && *e->note == '\0') return NULL;
    if (asprintf(&text, "%s%s%s%s",
                 takes_back ? "cancels "
                 : to       ? "to "
                            : "",
                 of, *of == '\0' || *e->note == '\0' ? "" : "; ", e->note) < 0)
        need(NULL);
    return text;
}

static void show_entry(show *s, const jl_book_entry *e) {
    char *beside = beside_entry(e);
    show_cells(s, CELLS(V(ENTRY_NUMBER(e->number)), V(DAY(e->time)), V(jl_book_word(e->what)),
                        V(e->from), V(e->into), V(jl_pure_alcohol_l(e->change)),
                        V((const char *)beside)));
    free(beside);
}

static obeyed show_entries(typing *t) {
    static const column COLUMNS[] = {
        {NULL, "entry", "", 0, 0, COLUMN_WORDS},         {NULL, "when", "", 0, 0, COLUMN_WORDS},
        {NULL, "what", "", 0, 0, COLUMN_WORDS},          {NULL, "from", "", 0, 0, COLUMN_WORDS},
        {NULL, "into", "", 0, 0, COLUMN_WORDS},          {NULL, "pure", "L", 6, 3, COLUMN_NUMBERS},
        {NULL, "to whom, note", "", 0, 0, COLUMN_NOTES},
    };
    size_t count;
    const jl_book_entry *e = jl_book_entries(t->book, &count);
    show *s = show_open(false);
    if (count == 0) show_remark(s, "No entry is written yet.");
    show_table(s, NULL, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = count > ENTRIES_SHOWN ? count - ENTRIES_SHOWN : 0; i < count; i++)
        show_entry(s, &e[i]);
    return word_shown(s, &t->exit_status);
}

static obeyed obey(void *with, const char *word, bool begun) {
    typing *t = with;
    (void)begun;
    if (jl_same_letters(word, "entries")) return show_entries(t);
    if (!jl_same_letters(word, "stock")) return NO_WORD;
    show *s = show_open(false);
    show_stock(s, t->book);
    return word_shown(s, &t->exit_status);
}

/* ---- the round ---- */

/* *more: whether another entry is asked for. */
static int ask_entry(typing *t, bool *more) {
    questions q = {.all = ENTRY,
                   .count = sizeof ENTRY / sizeof ENTRY[0],
                   .words = WORDS,
                   .with = t,
                   .applies = applies,
                   .given = given,
                   .write = write_question,
                   .read = read_answer,
                   .obey = obey};
    t->e = JL_BOOK_BLANK(JL_BOOK_CANCELLED); /* until it is said what happened */
    asked a = questions_ask(&q);
    bool begun = t->e.what != JL_BOOK_CANCELLED || t->e.cancelled.serial != 0;
    if (a == ASKED_FAILED) return q.exit_status != EXIT_DONE ? q.exit_status : t->exit_status;
    if (a == ASKED_ALL) {
        int bad = book_enter(t->path, &t->e, t->known, t->log, NAN, t->bench, false);
        return line_may_go_on(bad) ? EXIT_DONE : bad;
    }
    if (begun) say("the unfinished entry was not written");
    *more = a == ASKED_DROPPED && begun;
    return a == ASKED_LEFT && begun && !line_is_person() ? EXIT_DATA : EXIT_DONE;
}

/* The book as it stands by now, also at other hands. */
static int open_typing(const char *path, const jl_settings *bench, jl_book_file **f,
                       jl_book **empty, typing *t) {
    *t = (typing){
        .path = path, .bench = bench, .instrument = JL_ALCOHOLOMETER, .part = {.kind = ""}};
    t->is_new = access(path, F_OK) != 0;
    if (t->is_new) {
        if (jl_book_new(empty) != JL_OK) need(NULL);
        t->book = *empty;
        return EXIT_DONE;
    }
    int bad = book_open_to_read(path, f);
    if (bad != EXIT_DONE) return bad;
    t->book = jl_book_in(*f);
    t->instrument = book_instrument(*f, bench);
    return EXIT_DONE;
}

static int one_entry(const char *path, const jl_settings *bench, bool first, bool *more) {
    jl_book_file *f = NULL;
    jl_book *empty = NULL;
    typing t;
    int bad = open_typing(path, bench, &f, &empty, &t);
    if (bad == EXIT_DONE && first && t.is_new)
        puts("There is no such book yet. It begins with its vessels.");
    else if (bad == EXIT_DONE && first) {
        show *s = show_open(false);
        show_stock(s, t.book);
        warn_of_book(s, f);
        bad = show_close(s, EXIT_DONE);
    }
    show_bench(NULL); /* it is named once */
    if (bad == EXIT_DONE) bad = ask_entry(&t, more);
    part_free(&t.part);
    keep_free(&t.kept);
    jl_book_free(empty);
    jl_book_close(f);
    return bad;
}

/* Before the first entry is typed: a book that cannot be written. */
static int check_writable(const char *path) {
    jl_book_file *f;
    if (access(path, F_OK) != 0) return EXIT_DONE;
    int bad = book_open_to_write(path, &f);
    if (bad == EXIT_DONE) jl_book_close(f);
    return bad;
}

/* bench: whose bottles and instruments are meant. Returns the exit status. */
static int book_prompt(const char *path, const jl_settings *bench) {
    bool more = true;
    int bad = check_writable(path);
    line_begin();
    for (bool first = true; more && bad == EXIT_DONE; first = false)
        bad = one_entry(path, bench, first, &more);
    if (bad == EXIT_DONE && line_is_person() && access(path, F_OK) == 0)
        printf("\nAll entries are in %s. 'jarline book %s' goes on.\n", path, path);
    return bad;
}

/* ---- One entry ---- */

static bool options_given(const book_options *o) {
    const book_options none = {0};
    return memcmp(o, &none, sizeof none) != 0;
}

static int run_book(const args *a, const book_options *o, const setting_options *with, bool json) {
    book_words w;
    known_when known = WHEN_NOW;
    if (a->count == 0)
        return refuse(
            "expected a book, and an entry, as house.csv moved demijohn-3 2.5L --into cask-1");
    if (a->count == 1 && (json || options_given(o)))
        return refuse(
            "without an entry the book asks for one; its options, and --json, go with an entry");
    static jl_settings bench;
    int bad = instruments_read(with, &bench);
    if (bad != EXIT_DONE) return bad;
    if (a->count == 1) return book_prompt(a->words[0], &bench);
    bad = book_words_read(a->words + 1, a->count - 1, o, &bench, &w);
    if (bad == EXIT_DONE) bad = entry_moment(o->time, o->late != 0, &w.entry, &known);
    if (bad == EXIT_DONE)
        bad = book_enter(a->words[0], &w.entry, known, w.part.run != NULL ? w.part.path : o->run,
                         w.part.planned ? w.part.plan.feints_l : NAN, &bench, json);
    book_words_free(&w);
    return bad;
}

int command_book(int argc, const char **argv) {
    book_options o = {0};
    int json = 0;
    setting_options with = {.in_its_units = true};
    const struct poptOption table[] = {
        OPTION("into", &o.into, "VESSEL", "of collected and moved: where it goes"),
        OPTION("receiver", &o.receiver, "WHO", "of removed: who has it now"),
        OPTION("sender", &o.sender, "WHO", "of received: where it came from"),
        OPTION("kind-of", &o.kind, "KIND", "what it is: low-wines, feints, spirit, your own word"),
        OPTION("lot", &o.lot, "LOT", "of bottled: the lot of the bottles, as 2026-7"),
        OPTION("run", &o.run, "RUN.csv", "of charged: the run that it was charged to"),
        OPTION("solids", &o.solids, "MASS", "of gauged: dissolved solids, as 0.5g/100mL"),
        OPTION("true-strength", &o.distilled, "STRENGTH",
               "of gauged: the true one, of a distilled sample"),
        OPTION("because", &o.because, "TEXT", "of cancelled: the reason"),
        OPTION("time", &o.time, "TIME", "when it happened (now)"),
        FLAG("late", &o.late, "it happened before entries that are in the book"),
        OPTION("note", &o.note, "TEXT", "anything"),
        BENCH_OPTION(with),
        JSON_LAST(&json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv [ENTRY ...]",
                  "Writes one entry into the book of the house. Without one it asks.\n"
                  "  vessel NAME CAPACITY glass|steel|wood|other; NAME retired\n"
                  "  opening VESSEL AMOUNT           5L@70%\n"
                  "  received VESSEL AMOUNT [--sender WHO]\n"
                  "  collected RUN.csv:PART --into VESSEL\n"
                  "  charged VESSEL [SIZE] [--run RUN.csv]\n"
                  "  moved VESSEL SIZE --into VESSEL   2.5L, 1.2kg or all\n"
                  "  water VESSEL SIZE\n"
                  "  bottled VESSEL COUNTxVOLUME --lot LOT   40x700mL; 40 of the bench's\n"
                  "  removed FROM SIZE [--receiver WHO]   cask-1 50mL; lot:2026-7 6\n"
                  "  gauged VESSEL VOLUME READING TEMP   48.2L 44.5% 14C; lot:2026-7 38\n"
                  "  lost FROM SIZE\n"
                  "  cancelled NUMBER --because TEXT")) {
        with.log = a.words[0];
        a.exit_status = run_book(&a, &o, &with, json != 0);
    }
    return args_close(&a);
}
