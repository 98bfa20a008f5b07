/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/book/words.h"
#include "answer/say.h"
#include "input/args.h"
#include "input/logfile.h"
#include "spirit/spirit.h"
#include "text/letters.h"

#include <stdlib.h>
#include <string.h>

/* ---- what happened ---- */

typedef struct synonym {
    const char *word;
    jl_book_what what;
} synonym;

/* What people say for it. */
static const synonym SYNONYMS[] = {
    {"broke", JL_BOOK_LOST},        {"broken", JL_BOOK_LOST},     {"spilled", JL_BOOK_LOST},
    {"spilt", JL_BOOK_LOST},        {"loss", JL_BOOK_LOST},       {"gave", JL_BOOK_REMOVED},
    {"given", JL_BOOK_REMOVED},     {"gift", JL_BOOK_REMOVED},    {"sold", JL_BOOK_REMOVED},
    {"sample", JL_BOOK_REMOVED},    {"samples", JL_BOOK_REMOVED}, {"tasted", JL_BOOK_REMOVED},
    {"tasting", JL_BOOK_REMOVED},   {"drunk", JL_BOOK_REMOVED},   {"destroyed", JL_BOOK_REMOVED},
    {"measured", JL_BOOK_GAUGED},   {"counted", JL_BOOK_GAUGED},  {"read", JL_BOOK_GAUGED},
    {"gauge", JL_BOOK_GAUGED},      {"bottles", JL_BOOK_BOTTLED}, {"bottle", JL_BOOK_BOTTLED},
    {"filled", JL_BOOK_BOTTLED},    {"topped", JL_BOOK_MOVED},    {"topped up", JL_BOOK_MOVED},
    {"poured", JL_BOOK_MOVED},      {"blended", JL_BOOK_MOVED},   {"blend", JL_BOOK_MOVED},
    {"mixed", JL_BOOK_MOVED},       {"move", JL_BOOK_MOVED},      {"diluted", JL_BOOK_WATER},
    {"watered", JL_BOOK_WATER},     {"bought", JL_BOOK_RECEIVED}, {"run", JL_BOOK_COLLECTED},
    {"jars", JL_BOOK_COLLECTED},    {"charge", JL_BOOK_CHARGED},  {"still", JL_BOOK_CHARGED},
    {"mistake", JL_BOOK_CANCELLED}, {"undo", JL_BOOK_CANCELLED},  {"wrong", JL_BOOK_CANCELLED},
    {"cancel", JL_BOOK_CANCELLED},  {"new", JL_BOOK_VESSEL},      {"cask", JL_BOOK_VESSEL},
    {"demijohn", JL_BOOK_VESSEL},   {"start", JL_BOOK_OPENING},   {"stood", JL_BOOK_OPENING},
};

bool book_what_of(const char *text, jl_book_what *what) {
    if (jl_book_what_read(text, what) == JL_OK) return true;
    for (size_t i = 0; i < sizeof SYNONYMS / sizeof SYNONYMS[0]; i++) {
        if (!jl_same_letters(text, SYNONYMS[i].word)) continue;
        *what = SYNONYMS[i].what;
        return true;
    }
    return false;
}

/* ---- figures ---- */

static int fail_words(const char *what, const char *expected) {
    return refuse("%s: expected %s", what, expected);
}

const char *book_times(const char *text, double *times) {
    size_t digits = strspn(text, "0123456789");
    bool several = digits > 0 && digits < 5 && jl_lower(text[digits]) == 'x';
    *times = several ? atoi(text) : 1;
    return several ? text + digits + 1 : text;
}

/* "2.5L", "2.5L@24C", "1.2kg", "3x20ml", "all" */
static int read_size(const char *what, const char *text, jl_book_measure *m) {
    char size[64];
    double times;
    jl_quantity quantity;
    text = book_times(text, &times);
    const char *at = strchr(text, '@');
    if (strcmp(text, "all") == 0) {
        m->all = true;
        return EXIT_DONE;
    }
    snprintf(size, sizeof size, "%.*s", at == NULL ? 60 : (int)(at - text), text);
    if (at != NULL) {
        int bad = arg_value(what, at + 1, JL_TEMPERATURE, &m->temp_c);
        if (bad != EXIT_DONE) return bad;
    }
    if (jl_quantity_read(size, JL_MASS, &quantity) == JL_OK)
        m->weight_kg = times * quantity.value;
    else if (arg_quantity(what, size, JL_VOLUME, &quantity) == EXIT_DONE)
        m->volume_l = times * quantity.value;
    else
        return EXIT_USAGE;
    return EXIT_DONE;
}

void book_amount_take(const jl_amount *amount, jl_book_measure *m) {
    *(amount->by_mass ? &m->weight_kg : &m->volume_l) = amount->size;
    *(amount->measured ? &m->reading : &m->strength) = amount->strength;
    if (amount->measured || amount->temp_c != JL_STRENGTH_C) m->temp_c = amount->temp_c;
}

/* "5L@70%", "5L@70%@21C", "2.8kg@72%" */
static int read_amount(const char *text, jl_book_measure *m) {
    jl_fault fault = {0};
    jl_amount amount;
    if (jl_amount_read(text, &amount, &fault) != JL_OK)
        return fail_argument("the amount", text, fault.status, fault.expected);
    if (amount.strength.unit == JL_UNIT_PCT_MASS)
        return fail_argument("the amount", text, JL_UNIT, "% vol or US proof, as 5L@70%");
    book_amount_take(&amount, m);
    return EXIT_DONE;
}

/* More solids than water allows for: weight and specific gravity at 60 °F give the volume there. */
static int set_gravity(double sg_60f, const char *text, book_words *w) {
    jl_book_measure *m = &w->entry.measured;
    jl_spirit water;
    if (isnan(m->weight_kg) || !isnan(m->volume_l))
        return fail_argument("gauged", text, JL_MISSING, "a weight beside it, as 20kg 1.030");
    if (jl_obscured_by_gravity(m->weight_kg, sg_60f, 0, &water) != JL_OK)
        return fail_argument("gauged", text, JL_RANGE, "a specific gravity of 1 to 2 at 60 °F");
    if (asprintf(&w->note, "weighed: %.6g kg, SG %.6g at 60 °F (27 CFR 30.41)", m->weight_kg,
                 sg_60f) < 0)
        need(NULL);
    w->entry.note = w->note;
    m->volume_l = jl_volume_l(water, JL_PROOF_C);
    m->weight_kg = NAN;
    m->temp_c = JL_PROOF_C;
    m->computed = true;
    return EXIT_DONE;
}

static bool take_word(const char *word, jl_book_measure *m, jl_quantity *strength,
                      const char **gravity) {
    jl_quantity q;
    if (jl_quantity_read(word, JL_VOLUME, &q) == JL_OK)
        m->volume_l = q.value;
    else if (jl_quantity_read(word, JL_MASS, &q) == JL_OK)
        m->weight_kg = q.value;
    else if (jl_quantity_read(word, JL_STRENGTH, &q) == JL_OK && q.unit != JL_UNIT_PCT_MASS)
        *strength = q;
    else if (jl_quantity_read(word, JL_TEMPERATURE, &q) == JL_OK)
        m->temp_c = q.value;
    else if (jl_quantity_read(word, JL_GRAVITY, &q) == JL_OK && q.unit == JL_UNIT_SG && q.value < 2)
        *gravity = word;
    else
        return false;
    return true;
}

/* "48.2L 44.5% 14C", or as an amount, "48.2L@44.5%@14C": each known by its unit, in any order.
 * Without a temperature the strength is one at 20 °C. distilled: NULL, or the true strength of a
 * sample. */
static int read_gauging(const char *const *words, size_t count, const char *distilled,
                        book_words *w) {
    jl_book_measure *m = &w->entry.measured;
    jl_quantity strength = {NAN, JL_UNIT_PCT_VOL}, q;
    const char *gravity = NULL;
    if (count == 1 && distilled == NULL && strchr(words[0], '@') != NULL)
        return read_amount(words[0], m);
    for (size_t i = 0; i < count; i++)
        if (!take_word(words[i], m, &strength, &gravity))
            return fail_argument("gauged", words[i], JL_FORM,
                                 "a volume, a reading or a temperature, as 48.2L 44.5% 14C");
    *(isnan(m->temp_c) ? &m->strength : &m->reading) = strength;
    if (distilled != NULL) {
        int bad = arg_quantity("--true-strength", distilled, JL_STRENGTH, &m->strength);
        if (bad != EXIT_DONE) return bad;
        if (m->strength.unit == JL_UNIT_PCT_MASS)
            return fail_argument("--true-strength", distilled, JL_UNIT,
                                 "% vol or US proof, as 40%");
    } else if (gravity != NULL)
        return fail_argument("gauged", gravity, JL_MISSING,
                             "--true-strength with the true strength beside a specific gravity");
    if (gravity == NULL) return EXIT_DONE;
    jl_quantity_read(gravity, JL_GRAVITY, &q);
    return set_gravity(q.value, gravity, w);
}

bool book_count_read(const char *text, uint32_t *count) {
    size_t digits = strspn(text, "0123456789");
    const char *unit = text + digits + strspn(text + digits, " ");
    bool bottles = jl_same_letters(unit, "bottles") || jl_same_letters(unit, "bottle");
    if (digits == 0 || digits > 6 || !(bottles || *unit == '\0')) return false;
    *count = (uint32_t)strtoul(text, NULL, 10);
    return true;
}

static int read_count(const char *what, const char *text, uint32_t *bottles) {
    if (book_count_read(text, bottles)) return EXIT_DONE;
    return fail_argument(what, text, JL_FORM, "a whole number of bottles, as 6");
}

/* ---- entries ---- */

const char *book_use_of(const char *word) {
    static const char *const USES[] = {"glass", "steel", "wood", "other"};
    for (size_t i = 0; i < sizeof USES / sizeof USES[0]; i++)
        if (jl_same_letters(word, USES[i])) return USES[i];
    return NULL;
}

/* "cask-1 50L wood", "cask-1 now 60L wood", "cask-1 renamed cask-old", "cask-1 retired" */
static int read_vessel(const char *const *words, size_t count, book_words *w) {
    static const char EXPECTED[] = "a name, a capacity and what it is of, as vessel cask-1 50L "
                                   "wood; or vessel cask-1 retired, "
                                   "vessel cask-1 now 60L wood, vessel cask-1 renamed cask-2";
    jl_book_entry *e = &w->entry;
    const char *second = count > 1 ? words[1] : "";
    bool changed = strcmp(second, "now") == 0;
    bool retired = count == 2 && strcmp(second, "retired") == 0;
    if (count == 3 && strcmp(second, "renamed") == 0) {
        e->from = words[0];
        e->into = words[2];
        return EXIT_DONE;
    }
    const char *use = count == (changed ? 4u : 3u) ? book_use_of(words[count - 1]) : NULL;
    e->kind = retired ? second : use;
    if (e->kind == NULL) return fail_words("vessel", EXPECTED);
    *(retired || changed ? &e->from : &e->into) = words[0];
    return retired ? EXIT_DONE : read_size("the capacity", words[count - 2], &e->measured);
}

/* What a vessel of another book holds, as that has it. */
static int take_vessel(const char *text, const file_part *part, jl_book_measure *m) {
    if (part->vessel == NULL || part->planned)
        return fail_argument(
            "the amount", text, JL_FORM,
            "5L@70%, or a vessel of another book, as other.csv:cask-1; a run's jars "
            "are collected, and a wash never stands in the store");
    m->volume_l = jl_volume_l(part->spirit, JL_STRENGTH_C);
    m->strength = (jl_quantity){jl_spirit_strength_pct(part->spirit), JL_UNIT_PCT_VOL};
    return EXIT_DONE;
}

/* One amount on its own figures, or a run's jars. */
static int read_in(const char *const *words, size_t count, const book_options *o, book_words *w) {
    jl_book_entry *e = &w->entry;
    const char *what = jl_book_word(e->what);
    if (count != 2) return fail_words(what, "a vessel and an amount, as opening demijohn-1 5L@70%");
    e->into = words[0];
    e->kind = "spirit";
    e->from = o->sender == NULL ? "" : o->sender;
    int bad = part_read(words[1], NULL, &w->part);
    if (bad != EXIT_DONE) return bad;
    return w->part.path == NULL ? read_amount(words[1], &e->measured)
                                : take_vessel(words[1], &w->part, &e->measured);
}

static int read_collected(const char *const *words, size_t count, const book_options *o,
                          book_words *w) {
    jl_book_entry *e = &w->entry;
    if (count < 1 || o->into == NULL)
        return fail_words("collected",
                          "a run's part and a vessel, as collected october.csv:hearts --into "
                          "demijohn-3");
    int bad = part_read(words[0], NULL, &w->part);
    if (bad != EXIT_DONE) return bad;
    if (w->part.path == NULL && strchr(words[0], ':') != NULL)
        return refuse("collected '%s': no file of that name; expected a run log and its jars, as "
                      "october.csv:hearts or october.csv:3-11",
                      words[0]);
    if (w->part.run == NULL)
        return fail_argument("collected", words[0], JL_FORM,
                             "a run log and its jars, as october.csv:hearts or october.csv:3-11");
    if (asprintf(&w->from, "%s:%s", w->part.path, w->part.jars) < 0) need(NULL);
    e->from = w->from;
    e->run = w->part.run;
    e->into = o->into;
    e->kind = w->part.kind;
    e->amount = e->logged = w->part.spirit;
    return count == 1 ? EXIT_DONE : read_gauging(words + 1, count - 1, NULL, w);
}

/* Out of a vessel, or bottles out of a lot: a bare number is of bottles. */
static int read_out(const char *const *words, size_t count, book_words *w) {
    jl_book_entry *e = &w->entry;
    const char *what = jl_book_word(e->what);
    if (count != 2)
        return fail_words(what, "from where and how much, as demijohn-3 2.5L, demijohn-3 all or "
                                "lot:2026-7 6");
    e->from = words[0];
    if (jl_book_is_lot(words[0])) return read_count(what, words[1], &e->bottles);
    return book_count_read(words[1], &e->bottles) ? EXIT_DONE
                                                  : read_size(what, words[1], &e->measured);
}

static int read_moved(const char *const *words, size_t count, const book_options *o,
                      book_words *w) {
    if (o->into == NULL || (count > 0 && jl_book_is_lot(words[0])))
        return fail_words("moved", "two vessels, as moved demijohn-3 2.5L --into cask-1");
    w->entry.into = o->into;
    return read_out(words, count, w);
}

static int read_charged(const char *const *words, size_t count, const book_options *o,
                        book_words *w) {
    jl_run *run;
    int bad = count == 2 ? part_read(words[1], NULL, &w->part) : EXIT_DONE;
    bool whole = count == 1 && !jl_book_is_lot(words[0]); /* a vessel alone: all that it holds */
    if (bad != EXIT_DONE) return bad;
    w->entry.measured.all = whole;
    if (w->part.planned) w->entry.measured.volume_l = w->part.plan.charge_l;
    if (w->part.planned || whole)
        w->entry.from = words[0];
    else
        bad = read_out(words, count, w);
    if (bad != EXIT_DONE || o->run == NULL) return bad;
    bad = run_read_log(o->run, &run);
    if (bad != EXIT_DONE) return bad;
    w->run = run_name(o->run, run);
    jl_run_free(run);
    w->entry.run = w->run;
    return EXIT_DONE;
}

bool book_bottles_read(const char *text, const char *unit, const jl_settings *bench,
                       uint32_t *count, double *bottle_l) {
    char number[16] = "", size[48];
    jl_quantity q = {jl_setting_value(bench, JL_KEY_BOTTLE), JL_UNIT_BASE};
    const char *x = strpbrk(text, "xX*");
    size_t length = x == NULL ? strlen(text) : (size_t)(x - text);
    if (length >= sizeof number) return false;
    snprintf(number, sizeof number, "%.*s", (int)length, text);
    if (x != NULL)
        snprintf(size, sizeof size, "%.40s%s", x + 1,
                 x[1 + strspn(x + 1, "0123456789.,")] == '\0' ? unit : "");
    bool known = x == NULL ? q.value > 0 : jl_quantity_read(size, JL_VOLUME, &q) == JL_OK;
    *bottle_l = q.value;
    return known && book_count_read(number, count);
}

static int read_bottled(const char *const *words, size_t count, const book_options *o,
                        const jl_settings *bench, book_words *w) {
    static const char EXPECTED[] =
        "a vessel, bottles and their lot, as bottled demijohn-3 40x700mL "
        "--lot 2026-7; 40 alone where the bench file has bottle_l";
    jl_book_entry *e = &w->entry;
    if (count != 2 || !book_bottles_read(words[1], "", bench, &e->bottles, &e->bottle_l))
        return fail_words("bottled", EXPECTED);
    if (o->lot == NULL)
        return refuse("bottled: --lot is missing; expected what stands on the labels of these "
                      "bottles, as --lot 2026-1");
    e->from = words[0];
    e->lot = jl_book_lot_name(o->lot);
    return EXIT_DONE;
}

static int read_gauged(const char *const *words, size_t count, const book_options *o,
                       book_words *w) {
    jl_book_entry *e = &w->entry;
    if (count < 2)
        return fail_words("gauged", "a vessel and what it holds, as gauged cask-1 48.2L 44.5% 14C; "
                                    "or a lot and its bottles, as gauged lot:2026-7 38");
    e->from = words[0];
    if (jl_book_is_lot(words[0])) return read_count("gauged", words[1], &e->bottles);
    if (count == 2 && book_count_read(words[1], &e->bottles)) return EXIT_DONE;
    return read_gauging(words + 1, count - 1, o->distilled, w);
}

bool book_number_read(const char *text, jl_book_number *number) {
    if (jl_book_number_read(text, number) == JL_OK) return true;
    *number = (jl_book_number){0, 0};
    return book_count_read(text, &number->serial) && number->serial > 0;
}

static int read_cancelled(const char *const *words, size_t count, const book_options *o,
                          book_words *w) {
    if (count != 1 || !book_number_read(words[0], &w->entry.cancelled))
        return fail_words("cancelled", "the number of an entry, as cancelled 2026-31 --because "
                                       "\"it was cask-2\"");
    if (o->because == NULL)
        return fail_words("cancelled", "--because with the reason, which stays in the book");
    w->entry.note = o->because;
    return EXIT_DONE;
}

static int read_rest(const char *const *words, size_t count, const book_options *o,
                     const jl_settings *bench, book_words *w) {
    switch (w->entry.what) {
    case JL_BOOK_VESSEL:
        return read_vessel(words, count, w);
    case JL_BOOK_OPENING:
    case JL_BOOK_RECEIVED:
        return read_in(words, count, o, w);
    case JL_BOOK_COLLECTED:
        return read_collected(words, count, o, w);
    case JL_BOOK_CHARGED:
        return read_charged(words, count, o, w);
    case JL_BOOK_MOVED:
        return read_moved(words, count, o, w);
    case JL_BOOK_WATER:
        if (count != 2)
            return fail_words("water", "a vessel and how much, as water demijohn-3 1.2kg");
        w->entry.into = words[0];
        return read_size("water", words[1], &w->entry.measured);
    case JL_BOOK_BOTTLED:
        return read_bottled(words, count, o, bench, w);
    case JL_BOOK_GAUGED:
        return read_gauged(words, count, o, w);
    case JL_BOOK_CANCELLED:
        return read_cancelled(words, count, o, w);
    default:
        return read_out(words, count, w);
    }
}

/* An option that the entry has no use for was meant for another one. */
static int check_options(const book_options *o, jl_book_what what) {
    const struct {
        const char *option, *given;
        unsigned of;
    } uses[] = {
        {"--into", o->into, 1u << JL_BOOK_COLLECTED | 1u << JL_BOOK_MOVED},
        {"--receiver", o->receiver, 1u << JL_BOOK_REMOVED},
        {"--sender", o->sender, 1u << JL_BOOK_RECEIVED},
        {"--lot", o->lot, 1u << JL_BOOK_BOTTLED},
        {"--run", o->run, 1u << JL_BOOK_CHARGED},
        {"--solids", o->solids, 1u << JL_BOOK_GAUGED},
        {"--true-strength", o->distilled, 1u << JL_BOOK_GAUGED},
        {"--because", o->because, 1u << JL_BOOK_CANCELLED},
        {"--kind-of", o->kind,
         ~(1u << JL_BOOK_VESSEL | 1u << JL_BOOK_CANCELLED | 1u << JL_BOOK_WATER)},
    };
    for (size_t i = 0; i < sizeof uses / sizeof uses[0]; i++)
        if (uses[i].given != NULL && (uses[i].of & 1u << what) == 0)
            return refuse("%s does not belong to '%s'", uses[i].option, jl_book_word(what));
    return EXIT_DONE;
}

/* ---- words as people put them ---- */

enum { WORDS_MOST = 16 };

typedef struct plain_words {
    const char *all[WORDS_MOST];
    size_t count;
    book_options options;
} plain_words;

static bool is_word(const char *word, const char *one, const char *other) {
    return jl_same_letters(word, one) || jl_same_letters(word, other);
}

static bool is_size(const char *word) {
    double times;
    jl_quantity q;
    const char *one = book_times(word, &times);
    return jl_quantity_read(one, JL_VOLUME, &q) == JL_OK ||
           jl_quantity_read(one, JL_MASS, &q) == JL_OK;
}

/* "moved demijohn-3 2.5L into cask-1", "topped cask-1 1L from demijohn-3", "gave lot:2026-7 1 to Ann" */
static void take_preposition(jl_book_what what, plain_words *p) {
    bool moves = what == JL_BOOK_MOVED || what == JL_BOOK_COLLECTED;
    const char *word = p->count < 3 ? "" : p->all[p->count - 2];
    char *last = p->count < 3 ? NULL : (char *)p->all[p->count - 1];
    if (moves && p->options.into == NULL && is_word(word, "into", "to")) {
        p->options.into = last;
        p->count -= 2;
    } else if (what == JL_BOOK_REMOVED && p->options.receiver == NULL &&
               is_word(word, "to", "for")) {
        p->options.receiver = last;
        p->count -= 2;
    } else if (what == JL_BOOK_MOVED && p->options.into == NULL &&
               (is_word(word, "from", "out-of") || jl_same_letters(word, "with"))) {
        p->options.into = (char *)p->all[0];
        p->all[0] = last;
        p->count -= 2;
    } else if (what == JL_BOOK_MOVED && p->options.into == NULL && p->count == 3) {
        p->options.into = last;
        p->count--;
    }
}

/* "6 bottles lot:2026-7", "lot:2026-7 6 bottles" */
static void put_in_order(plain_words *p) {
    for (size_t i = 1; i < p->count; i++)
        if (is_word(p->all[i], "bottle", "bottles")) {
            for (size_t k = i--; k + 1 < p->count; k++) p->all[k] = p->all[k + 1];
            p->count--;
        }
    if (p->count != 2 || !(jl_book_is_lot(p->all[1]) || is_size(p->all[0]))) return;
    const char *first = p->all[0];
    p->all[0] = p->all[1];
    p->all[1] = first;
}

static plain_words plain_of(jl_book_what what, const char *const *words, size_t count,
                            const book_options *o) {
    plain_words p = {.count = count, .options = *o};
    for (size_t i = 0; i < count && i < WORDS_MOST; i++) p.all[i] = words[i];
    if (count > WORDS_MOST) p.count = WORDS_MOST;
    take_preposition(what, &p);
    if (what != JL_BOOK_VESSEL && what != JL_BOOK_COLLECTED) put_in_order(&p);
    return p;
}

int book_words_read(const char *const *words, size_t count, const book_options *o,
                    const jl_settings *bench, book_words *w) {
    jl_book_what what;
    *w = (book_words){.part = {.kind = ""}};
    if (!book_what_of(words[0], &what))
        return fail_argument("the entry", words[0], JL_FORM, jl_book_words_expected);
    bool up = count > 1 && jl_same_letters(words[0], "topped") && jl_same_letters(words[1], "up");
    const plain_words plain = plain_of(what, words + 1 + up, count - 1 - up, o);
    /* what was topped up is named first, and nothing else says which of two vessels it is */
    if (up && (count < 3 || plain.options.into != words[2]))
        return fail_words("topped up", "what it came from, as topped up cask-1 1L from demijohn-3");
    w->entry = JL_BOOK_BLANK(what);
    if (plain.options.receiver != NULL) w->entry.receiver = plain.options.receiver;
    int bad = check_options(o, what);
    if (bad == EXIT_DONE) bad = read_rest(plain.all, plain.count, &plain.options, bench, w);
    if (bad == EXIT_DONE) bad = arg_solids(o->solids, &w->entry.measured.solids_g_100ml);
    if (o->kind != NULL) w->entry.kind = strcmp(o->kind, "low-wines") == 0 ? "low wines" : o->kind;
    if (o->note != NULL) w->entry.note = o->note;
    return bad;
}

void book_words_free(book_words *w) {
    part_free(&w->part);
    free(w->from);
    free(w->run);
    free(w->note);
}
