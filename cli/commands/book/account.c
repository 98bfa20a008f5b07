/* account: a period of the book that closes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/account.h"
#include "answer/assume.h"
#include "answer/balance.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "commands/book/open.h"
#include "commands/book/stock.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/settings.h"
#include "picture/html.h"
#include "picture/paper.h"
#include "spirit/spirit.h"
#include "text/letters.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* ---- what an account says, apart from how it looks ---- */

typedef struct unit {
    bool gallons;
    int decimals;
    const char *name;
} unit;

typedef struct distilling {
    double charged_l, collected_l, left_l, not_recovered_l;
    double not_recovered_u_l; /* at the most: what the logs share adds up */
    size_t runs;
} distilling;

typedef struct statement {
    const char *path;
    const jl_book_file *file;
    const jl_book *book;
    jl_instruments instruments;
    jl_account account;
    int64_t since_s, until_s;
    unit unit;
    const char *house; /* "": not named */
    distilling distilling;
    size_t logs;
    char **warnings, **notes; /* of the run logs */
    size_t warning_count, warning_room, note_count, note_room;
    keep kept;
} statement;

static void warn(statement *d, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void warn(statement *d, const char *format, ...) {
    char *text;
    va_list list;
    va_start(list, format);
    if (vasprintf(&text, format, list) < 0) need(NULL);
    va_end(list);
    need_room(&d->warnings, d->warning_count, &d->warning_room, sizeof *d->warnings);
    d->warnings[d->warning_count++] = text;
}

/* ---- lines ---- */

typedef struct account_line {
    const char *label;
    const char *key; /* the JSON key, with _l behind it */
    unsigned lines;  /* a set of 1 << jl_account_line */
    int sign;        /* of the line in the sum */
} account_line;

enum {
    LOST = 1 << JL_ACCOUNT_LOST_HANDLING | 1 << JL_ACCOUNT_LOST_WOOD |
           1 << JL_ACCOUNT_LOST_GAUGING | 1 << JL_ACCOUNT_LOST_BOTTLES
};

static const account_line LINES[] = {
    {"Opening", "opening", 1 << JL_ACCOUNT_OPENING, 1},
    {"Received", "received", 1 << JL_ACCOUNT_RECEIVED, 1},
    {"Collected", "collected", 1 << JL_ACCOUNT_COLLECTED, 1},
    {"Gained", "gained", 1 << JL_ACCOUNT_GAINED, 1},
    {"Charged", "charged", 1 << JL_ACCOUNT_CHARGED, -1},
    {"Removed", "removed", 1 << JL_ACCOUNT_REMOVED, -1},
    {"Lost", "lost", LOST, -1},
    {"Closing", "closing", 1 << JL_ACCOUNT_CLOSING, 0},
};
enum { LINE_COUNT = sizeof LINES / sizeof LINES[0] };

static const account_line LOSSES[] = {
    {"  spilled or thrown away", "lost_handling", 1 << JL_ACCOUNT_LOST_HANDLING, 0},
    {"  wood", "lost_wood", 1 << JL_ACCOUNT_LOST_WOOD, 0},
    {"  found by gauging", "lost_gauging", 1 << JL_ACCOUNT_LOST_GAUGING, 0},
    {"  bottles", "lost_bottles", 1 << JL_ACCOUNT_LOST_BOTTLES, 0},
};
enum { LOSS_COUNT = sizeof LOSSES / sizeof LOSSES[0] };

/* Of one kind: it closes by this too. Of all of them together it is nothing. */
static const account_line BECAME = {"Became", "became", 1 << JL_ACCOUNT_KIND, 1};

/* Pieces of a list of entries' numbers that a screen or a sheet has room for. */
enum { PIECES = 12 };

static double line_l(const jl_account_kind *k, unsigned lines) {
    double sum_l = 0;
    for (int line = 0; line < JL_ACCOUNT_LINES; line++)
        if ((lines & 1u << line) != 0) sum_l += jl_pure_alcohol_l(k->of[line]);
    return sum_l;
}

/* Proof gallons of pure alcohol alone: a gallon at 60 °F of 100 proof holds half of it. */
static double proof_gallons(double alcohol_l) {
    if (alcohol_l == 0) return 0;
    return jl_proof_gallons_us((jl_spirit){fabs(alcohol_l) * JL_ETHANOL_KG_L, 0}) *
           (alcohol_l < 0 ? -1 : 1);
}

static double rounded(double value, int decimals) {
    double scale = pow(10, decimals);
    return floor(fabs(value) * scale + 0.5) / scale * (value < 0 ? -1 : 1);
}

static double in_unit(double alcohol_l, const unit *u) {
    return u->gallons ? jl_rounded_gallons(proof_gallons(alcohol_l)) : alcohol_l;
}

/* What printed lines miss of adding up. All have the same last digit, whatever their uncertainty is: so
 * their reader can add them. */
static double rounding_of(const jl_account_kind *k, const unit *u) {
    double sum = 0;
    for (int i = 0; i < LINE_COUNT; i++)
        sum += LINES[i].sign * rounded(in_unit(line_l(k, LINES[i].lines), u), u->decimals);
    sum += BECAME.sign * rounded(in_unit(line_l(k, BECAME.lines), u), u->decimals);
    double closing = line_l(k, LINES[LINE_COUNT - 1].lines);
    return rounded(rounded(in_unit(closing, u), u->decimals) - sum, u->decimals);
}

static void show_line(show *s, const char *label, const account_line *line,
                      const jl_account_kind *k, const unit *u) {
    char key[48];
    double alcohol_l = line_l(k, line->lines);
    snprintf(key, sizeof key, "%s_l", line->key);
    show_number(s, key, u->gallons ? NULL : label, alcohol_l, EXACT + 3, "L");
    snprintf(key, sizeof key, "%s_proof_gallons", line->key);
    show_number(s, key, u->gallons ? label : NULL, jl_rounded_gallons(proof_gallons(alcohol_l)),
                EXACT + 1, "proof gallons");
}

/* How far it may be off, of what was measured; NaN: nothing was. */
static double uncertainty_l(const account_line *line, const jl_account *a) {
    double variance = 0;
    for (int l = 0; l < JL_ACCOUNT_LINES; l++)
        if ((line->lines & 1u << l) != 0) variance += a->standard_kg[l] * a->standard_kg[l];
    return variance > 0 ? JL_COVERAGE_K * sqrt(variance) / JL_ETHANOL_KG_L : NAN;
}

static void show_uncertain(show *s, const account_line *line, const jl_account *a) {
    char key[48];
    double u_l = uncertainty_l(line, a);
    snprintf(key, sizeof key, "%s_uncertainty_l", line->key);
    if (!isnan(u_l)) show_number(s, key, NULL, u_l, EXACT + 3, "L");
}

/* "Lost: 0.026 L spilled or thrown away, 0.012 L wood." */
static void show_lost(show *s, const jl_account_kind *all, const unit *u) {
    char text[320] = "";
    int n = 0;
    for (size_t i = 0; i < LOSS_COUNT; i++) {
        double lost_l = line_l(all, LOSSES[i].lines);
        if (lost_l == 0) continue;
        show_line(s, NULL, &LOSSES[i], all, u);
        n += snprintf(text + n, sizeof text - (size_t)n, "%s%.*f %s %s", n > 0 ? ", " : "",
                      u->decimals, in_unit(lost_l, u), u->name,
                      LOSSES[i].label + strspn(LOSSES[i].label, " "));
    }
    if (n > 0) show_note(s, "Lost: %s.", text);
}

static void show_account(show *s, const jl_account *a, const unit *u) {
    double closing_l = line_l(&a->all, LINES[LINE_COUNT - 1].lines);
    show_number(s, NULL, "Closing, pure alcohol", in_unit(closing_l, u), EXACT + u->decimals,
                u->name);
    show_group(s, "account", "Pure alcohol");
    for (int i = 0; i < LINE_COUNT; i++) {
        show_line(s, LINES[i].label, &LINES[i], &a->all, u);
        show_uncertain(s, &LINES[i], a);
        if (LINES[i].lines == (unsigned)LOST) show_lost(s, &a->all, u);
    }
    double gap = rounding_of(&a->all, u);
    show_number(s, "rounding", gap != 0 ? "Rounding of these lines" : NULL, gap,
                EXACT + u->decimals, u->name);
    show_group_end(s);
}

/* Half of the last digit of a litre that is shown. */
static const double SHOWN_L = 0.0005;

static bool any_kind_has(const jl_account *a, unsigned lines) {
    for (size_t k = 0; k < a->kind_count; k++)
        if (fabs(line_l(&a->kinds[k], lines)) > SHOWN_L) return true;
    return false;
}

/* unit_name: over every column, on a page; a screen has few lines. */
static struct table *kinds_table(statement *d, const char *unit_name) {
    const jl_account *a = &d->account;
    const unit *u = &d->unit;
    column columns[LINE_COUNT + 2] = {{"kind", "kind", "", 0, 0, COLUMN_WORDS}};
    for (int i = 0; i <= LINE_COUNT; i++) {
        bool became = i == LINE_COUNT;
        const char *key = became ? "became" : LINES[i].key;
        char *whole_key = keep_room(&d->kept, 48);
        snprintf(whole_key, 48, "%s_%s", key, u->gallons ? "proof_gallons" : "l");
        /* what no kind has is for programs */
        bool any = any_kind_has(a, became ? 1 << JL_ACCOUNT_KIND : LINES[i].lines);
        columns[i + 1] = (column){whole_key, any ? key : NULL,    unit_name,
                                  5,         EXACT + u->decimals, COLUMN_NUMBERS};
    }
    struct table *t = table_new(columns, LINE_COUNT + 2);
    for (size_t k = 0; k < a->kind_count; k++) {
        table_add_text(t, a->kinds[k].kind[0] == '\0' ? "-" : a->kinds[k].kind);
        for (int i = 0; i < LINE_COUNT; i++)
            table_add_number(t, in_unit(line_l(&a->kinds[k], LINES[i].lines), u));
        table_add_number(t, in_unit(line_l(&a->kinds[k], 1 << JL_ACCOUNT_KIND), u));
    }
    return t;
}

static const char *receiver_name(const jl_account_receiver *r) {
    return *r->receiver == '\0' ? "(nobody named)" : r->receiver;
}

static struct table *receivers_table(const statement *d) {
    const unit *u = &d->unit;
    const column columns[] = {
        {"receiver", "removed to", "", 0, 0, COLUMN_WORDS},
        {"bottles", "bottles", "", 7, 0, COLUMN_NUMBERS},
        {u->gallons ? "proof_gallons_us" : "pure_alcohol_l", "pure alcohol", u->name, 9,
         EXACT + u->decimals, COLUMN_NUMBERS},
    };
    struct table *t = table_new(columns, 3);
    for (size_t i = 0; i < d->account.receiver_count; i++) {
        const jl_account_receiver *r = &d->account.receivers[i];
        table_row(t,
                  CELLS(V(receiver_name(r)), V(r->bottles == 0 ? (double)NAN : (double)r->bottles),
                        V(in_unit(jl_pure_alcohol_l(r->spirit), u))));
    }
    return t;
}

/* ---- what was measured ---- */

static const jl_book_entry *gauging_entry(const statement *d, const jl_account_gauging *g) {
    size_t count;
    return &jl_book_entries(d->book, &count)[g->entry];
}

/* Where it was measured, also where the entry takes that back. */
static const char *gauged_vessel(const statement *d, const jl_account_gauging *g) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(d->book, &count), *e = &all[g->entry];
    if (e->what == JL_BOOK_CANCELLED) e = &all[e->taken_back];
    return e->what == JL_BOOK_GAUGED ? e->from : e->into;
}

static struct table *gaugings_table(const statement *d) {
    const unit *u = &d->unit;
    const column columns[] = {
        {"entry", "entry", "", 0, 0, COLUMN_WORDS},
        {"vessel", "gauged", "", 0, 0, COLUMN_WORDS},
        {u->gallons ? "gained_proof_gallons" : "gained_l", "gained", u->name, 6, u->decimals,
         COLUMN_NUMBERS},
        {u->gallons ? "uncertainty_proof_gallons" : "uncertainty_l", "± (k = 2)", u->name, 5,
         u->decimals, COLUMN_NUMBERS},
        {"finding", "which is", "", 0, 0, COLUMN_NOTES},
    };
    struct table *t = table_new(columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < d->account.gauging_count; i++) {
        const jl_account_gauging *g = &d->account.gaugings[i];
        double standard = g->standard_kg / JL_ETHANOL_KG_L;
        if (u->gallons) standard = proof_gallons(standard);
        table_row(t,
                  CELLS(V(ENTRY_NUMBER(gauging_entry(d, g)->number)), V(gauged_vessel(d, g)),
                        v_known_to(in_unit(g->gain_kg / JL_ETHANOL_KG_L, u), standard, u->decimals),
                        v_known_to(JL_COVERAGE_K * standard, standard, u->decimals),
                        V(phrase_gauged(g->gain_kg, g->standard_kg))));
    }
    return t;
}

/* ---- entries ---- */

static void show_numbers(show *s, const jl_book_entry *first, const jl_book_entry *last) {
    char text[64];
    snprintf(text, sizeof text, "%s to %s", ENTRY_NUMBER(first->number),
             ENTRY_NUMBER(last->number));
    show_text(s, NULL, "Entries", text);
    show_text(s, "entries", NULL, ENTRY_NUMBER(first->number));
    show_text(s, "entries_to", NULL, ENTRY_NUMBER(last->number));
}

/* "2026-8 to 10, 2026-14": the period's entries that count in lines, in at most so many pieces. */
static char *numbers_of(const statement *d, unsigned lines, size_t most) {
    const jl_account *a = &d->account;
    size_t count, pieces = 0;
    bytes b = {0};
    const jl_book_entry *e = jl_book_entries(d->book, &count) + a->first;
    for (size_t i = 0; i < a->count && pieces <= most; i++) {
        size_t last = i;
        if ((lines & a->lines[i]) == 0) continue;
        while (last + 1 < a->count && (lines & a->lines[last + 1]) != 0 &&
               e[last + 1].number.year == e[i].number.year)
            last++;
        bytes_print(&b, "%s%s", b.count > 0 ? ", " : "",
                    pieces++ == most ? "more" : ENTRY_NUMBER(e[i].number));
        if (last > i && pieces <= most) bytes_print(&b, " to %u", (unsigned)e[last].number.serial);
        i = last;
    }
    return b.data;
}

/* People see the first ones, programs all. */
static struct table *lines_table(const statement *d, size_t most) {
    static const column COLUMNS[] = {
        {"account_line", "line", "", 0, 0, COLUMN_WORDS},
        {"entries", "its entries", "", 0, 0, COLUMN_NOTES},
    };
    struct table *t = table_new(COLUMNS, 2);
    for (int i = 0; i < LINE_COUNT; i++) {
        char *numbers = numbers_of(d, LINES[i].lines, most);
        if (numbers != NULL) table_row(t, CELLS(V(LINES[i].key), V(numbers)));
        free(numbers);
    }
    return t;
}

static void show_entries(show *s, const jl_book *book, const jl_account *a) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    if (a->count == 0)
        show_remark(s, "No entry was written in this period.");
    else
        show_numbers(s, &e[a->first], &e[a->first + a->count - 1]);
}

static void add_correction(struct table *t, const jl_book_entry *e) {
    char what[64];
    if (e->what == JL_BOOK_CANCELLED)
        snprintf(what, sizeof what, "cancels %s", ENTRY_NUMBER(e->cancelled));
    else
        snprintf(what, sizeof what, "%s, late", jl_book_word(e->what));
    table_row(t, CELLS(V(ENTRY_NUMBER(e->number)), V((const char *)what), V(DAY(e->time)),
                       V(*e->note == '\0' ? NULL : e->note)));
}

/* Entries that take one back, and those that came late. */
static struct table *corrections_table(const statement *d) {
    static const column COLUMNS[] = {
        {"entry", "entry", "", 0, 0, COLUMN_WORDS},
        {"what", "what", "", 0, 0, COLUMN_WORDS},
        {"happened", "happened", "", 10, 0, COLUMN_WORDS},
        {"note", "note", "", 0, 0, COLUMN_NOTES},
    };
    size_t count;
    const jl_book_entry *e = jl_book_entries(d->book, &count) + d->account.first;
    struct table *t = table_new(COLUMNS, 4);
    for (size_t i = 0; i < d->account.count; i++) {
        if (e[i].what == JL_BOOK_CANCELLED || e[i].late) add_correction(t, &e[i]);
    }
    return t;
}

/* "48.2 L 44.5 % 14 °C", "1.2 kg", "40 bottles of 700 mL": as it was entered. */
static void add_measured(const jl_book_entry *e, bytes *b) {
    const jl_book_measure *m = &e->measured;
    const bool reading = !isnan(m->reading.value);
    const jl_quantity strength = reading ? m->reading : m->strength;
    if (!isnan(m->volume_l)) bytes_print(b, " %.6g L", m->volume_l);
    if (!isnan(m->weight_kg)) bytes_print(b, " %.6g kg", m->weight_kg);
    if (!isnan(strength.value))
        bytes_print(b, "%s %.4g %s", reading ? ", reading" : "", strength.value,
                    reading_unit(strength.unit));
    if (!isnan(m->temp_c)) bytes_print(b, " at %.3g °C", m->temp_c);
    if (!isnan(m->solids_g_100ml)) bytes_print(b, " %.3g g/100 mL", m->solids_g_100ml);
    if (e->bottles > 0)
        bytes_print(b, " %u bottle%s", (unsigned)e->bottles, e->bottles == 1 ? "" : "s");
    if (e->bottle_l > 0) bytes_print(b, " of %g mL", 1000 * e->bottle_l);
}

static void add_words(const char *before, const char *words, bytes *b) {
    if (*words != '\0') bytes_print(b, "%s%s%s", b->count > 0 ? "; " : "", before, words);
}

/* "October, 2026-10-17T09:05:00+02:00" without the seconds. */
static void add_run_words(const char *run, bytes *b) {
    enum { DAY = 10, MINUTES = 16 };
    const char *time = strrchr(run, ',');
    if (time != NULL && strlen(time + 1) > 1 + MINUTES && time[2 + DAY] == 'T')
        bytes_print(b, "%sinto the run %.*s, %.*s %.*s", b->count > 0 ? "; " : "",
                    (int)(time - run), run, DAY, time + 2, MINUTES - DAY - 1, time + 3 + DAY);
    else
        add_words("into the run ", run, b);
}

static void add_entry(struct table *t, const jl_book_entry *e, const unit *u) {
    bytes more = {0};
    add_measured(e, &more);
    add_words("", e->what == JL_BOOK_VESSEL ? e->kind : "", &more);
    add_words("lot ", e->lot, &more);
    if (e->what == JL_BOOK_CHARGED) add_run_words(e->run, &more);
    add_words("", e->receiver, &more);
    add_words("", e->note, &more);
    add_words("written ", e->late ? MOMENT(e->written) : "", &more);
    const char *words = more.data == NULL ? NULL : more.data + (more.data[0] == ' ');
    table_row(t,
              CELLS(V(ENTRY_NUMBER(e->number)), V(MOMENT(e->time)), V(jl_book_word(e->what)),
                    V(e->what == JL_BOOK_CANCELLED ? ENTRY_NUMBER(e->cancelled) : e->from),
                    V(e->into), V(e->of), V(in_unit(jl_pure_alcohol_l(e->change), u)), V(words)));
    bytes_free(&more);
}

/* The record itself, for a page. */
static struct table *entries_table(const statement *d) {
    const column columns[] = {
        {NULL, "entry", "", 0, 0, COLUMN_WORDS},
        {NULL, "happened", "", 0, 0, COLUMN_WORDS},
        {NULL, "what", "", 0, 0, COLUMN_WORDS},
        {NULL, "from", "", 0, 0, COLUMN_WORDS},
        {NULL, "into", "", 0, 0, COLUMN_WORDS},
        {NULL, "kind", "", 0, 0, COLUMN_WORDS},
        {NULL, "pure\nalcohol", d->unit.name, 0, EXACT + d->unit.decimals, COLUMN_NUMBERS},
        {NULL, "measured, to\nwhom, note", "", 0, 0, COLUMN_NOTES},
    };
    size_t count;
    const jl_book_entry *e = jl_book_entries(d->book, &count) + d->account.first;
    struct table *t = table_new(columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < d->account.count; i++) add_entry(t, &e[i], &d->unit);
    return t;
}

/* ---- the distilling part ---- */

/* The vessel that its log says it was charged from, or what the charge's strength says of it. */
static void compare_charge(statement *d, const jl_against *a, const jl_run *run, const char *log) {
    const jl_recovery *v = jl_run_recovery(run);
    const char *from = jl_facts_text(jl_run_facts(run), jl_keys[JL_KEY_CHARGE_FROM].name);
    double log_l = v->charge_stated ? jl_pure_alcohol_l(v->charge) : NAN;
    double book_l = jl_pure_alcohol_l(a->charged);
    const litres_pair two = litres_apart(log_l, book_l);
    if (jl_against_charge_differs(a, run))
        warn(d, "%s: the log's charge is %s of pure alcohol, the book charged %s.", log,
             two.one.text, two.other.text);
    if (a->charged_count > 0 || !v->charge_stated) return;
    if (from != NULL)
        warn(d,
             "%s: its charge is not in the book; expected an entry as charged %s %.4gL --run %s.",
             log, from, jl_volume_l(v->charge, JL_STRENGTH_C), log);
    else if (!jl_makes_strip_run(v->charge))
        warn(d, "%s: its charge came from no vessel of the book.", log);
}

/* What the book has of a run, beside its log. */
static void compare_run(statement *d, const jl_run *run, const char *path) {
    const char *log = base_name(path); /* a page is read elsewhere than where it was made */
    char *name = run_name(path, run);
    jl_against a;
    if (jl_book_against(d->book, name, log, run, &a) != JL_OK) need(NULL);
    if (a.known_as != NULL) warn(d, RUN_KNOWN_AS, log, a.known_as);
    if (a.jar_count > 0) {
        bytes jars = {0};
        write_jars(&jars, a.jars, a.jar_count, ", ");
        warn(d, "%s: jars %s, %s of pure alcohol, are not in the book.", log, jars.data,
             PURE_OF(a.jars_spirit));
        bytes_free(&jars);
    }
    for (size_t i = 0; i < a.changed_count; i++) {
        const litres_pair two = litres_apart(jl_pure_alcohol_l(a.changed[i].booked),
                                             jl_pure_alcohol_l(a.changed[i].logged));
        warn(d,
             a.changed[i].measured
                 ? "%s: entry %s measured %s of pure alcohol where its jars have %s."
                 : "%s was changed since: entry %s collected %s of pure alcohol, its jars now have "
                   "%s. Gauge the vessel: the book takes what is found.",
             log, ENTRY_NUMBER(a.changed[i].number), two.one.text, two.other.text);
    }
    compare_charge(d, &a, run, log);
    jl_against_free(&a);
    free(name);
}

/* A log without a start is taken for one of the period. */
static bool began_within(const jl_run *run, const statement *d) {
    jl_time started;
    return !jl_run_started(run, &started) ||
           (started.unix_s >= d->since_s && started.unix_s < d->until_s);
}

static void add_run(statement *d, const jl_run *run, const char *path) {
    const jl_recovery *v = jl_run_recovery(run);
    if (v->charge_stated) {
        d->distilling.charged_l += jl_pure_alcohol_l(v->charge);
        d->distilling.collected_l += jl_pure_alcohol_l(v->collected);
        d->distilling.left_l += v->left_stated ? jl_pure_alcohol_l(v->left) : 0;
        d->distilling.not_recovered_l += v->missing_l;
        d->distilling.not_recovered_u_l += balance_missing_u_l(run, &d->instruments);
        d->distilling.runs++;
    } else
        warn(d, "%s states no charge and is left out of the distilling part.", base_name(path));
    compare_run(d, run, path);
}

static int read_logs(statement *d, const char *const *logs, size_t count) {
    for (size_t i = 0; i < count; i++) {
        jl_run *run;
        int bad = run_read_log(logs[i], &run);
        if (bad != EXIT_DONE) return bad;
        if (began_within(run, d))
            add_run(d, run, logs[i]);
        else {
            need_room(&d->notes, d->note_count, &d->note_room, sizeof *d->notes);
            if (asprintf(&d->notes[d->note_count++],
                         "%s did not begin in this period and is left out of the distilling part.",
                         base_name(logs[i])) < 0)
                need(NULL);
        }
        jl_run_free(run);
    }
    d->logs = count;
    return EXIT_DONE;
}

/* ---- what happened in the period and was written later ---- */

static void compare_later(statement *d) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(d->book, &count), *of;
    for (size_t i = d->account.first + d->account.count; i < count; i++) {
        char text[LATER_BYTES];
        if (!was_written_later(all, i, d->since_s, d->until_s, &of)) continue;
        double amount = fabs(in_unit(jl_pure_alcohol_l(of->change), &d->unit));
        later_in_words(&all[i], of, amount, d->unit.decimals, d->unit.name, text);
        warn(d, "%s: it counts in the period that holds %s.", text, DAY(all[i].written));
    }
}

/* ---- as text and JSON ---- */

static void show_distilling(show *s, const statement *d) {
    if (d->logs == 0) return;
    show_group(s, "distilling", "Distilling, pure alcohol by the run logs");
    show_number(s, "charged_l", "Charged", d->distilling.charged_l, 3, "L");
    show_number(s, "collected_l", "Collected", d->distilling.collected_l, 3, "L");
    show_number(s, "left_l", "Left in the boilers", d->distilling.left_l, 3, "L");
    show_difference(s, "not_recovered_l", "Not recovered", d->distilling.not_recovered_l,
                    d->distilling.not_recovered_u_l, 3, "L");
    show_number(s, "run_count", NULL, (double)d->distilling.runs, 0, "");
    show_group_end(s);
}

static void show_some(show *s, const char *key, struct table *t) {
    if (table_rows(t) > 0)
        show_whole_table(s, key, t);
    else
        table_free(t);
}

/* What the ± beside gains and losses came from. */
static void assume_gaugings(show *s, const jl_account *a, const jl_instruments *in) {
    if (a->gauging_count == 0) return;
    assume_limits(s, in, JL_BY_ALCOHOLOMETER);
    assume_limits(s, in, JL_BY_JUG);
    assume_limits(s, in, JL_BY_THERMOMETER);
    show_note(s, "The ± is of one set of instruments for all that was measured: what is off in "
                 "both the book's value and the gauging cancels.");
}

static const char PREVAILS[] =
    "Your authority's forms, measurements and rounding prevail over this.";
static const char ROUNDED[] = "Proof gallons rounded by 27 CFR 30.64, one decimal.";

static int show_statement(statement *d, const output_options *o, bool json) {
    show *s = show_open(json);
    if (d->account.kind_count > 1) show_whole_table(s, "kinds", kinds_table(d, ""));
    show_some(s, "receivers", receivers_table(d));
    show_some(s, "gaugings", gaugings_table(d));
    show_some(s, "lines", lines_table(d, json ? SIZE_MAX : PIECES));
    show_some(s, "corrections", corrections_table(d));
    show_distilling(s, d);
    show_account(s, &d->account, &d->unit);
    show_entries(s, d->book, &d->account);
    for (size_t i = 0; i < d->warning_count; i++) show_warning(s, "%s", d->warnings[i]);
    for (size_t i = 0; i < d->note_count; i++) show_note(s, "%s", d->notes[i]);
    warn_of_book(s, d->file);
    assume_gaugings(s, &d->account, &d->instruments);
    if (d->unit.gallons) show_assumption(s, "%s", ROUNDED);
    show_standing_caution(s, "%s", PREVAILS);
    show_written(s, o);
    return show_close(s, EXIT_DONE);
}

/* ---- as a page ---- */

enum {
    SUMS,
    KINDS,
    RECEIVERS,
    GAUGINGS,
    CORRECTIONS,
    DISTILLING,
    VESSELS,
    BOTTLES,
    ENTRIES, /* on paper below what is said */
    PARTS
};

typedef struct account_page {
    char title[256], period[256];
    page_part parts[PARTS];
    page_sentences warnings, notes;
} account_page;

static void add_sum(struct table *t, const statement *d, const account_line *line, bool html) {
    char *numbers = numbers_of(d, line->lines, html ? SIZE_MAX : PIECES);
    table_row(t, CELLS(V(line->label), V(in_unit(line_l(&d->account.all, line->lines), &d->unit)),
                       V((const char *)numbers)));
    free(numbers);
}

static struct table *sums_table(const statement *d, bool html) {
    const column columns[] = {
        {NULL, "", "", 0, 0, COLUMN_WORDS},
        {NULL, "pure alcohol", d->unit.name, 0, EXACT + d->unit.decimals, COLUMN_NUMBERS},
        {NULL, "entries", "", 0, 0, COLUMN_NOTES},
    };
    struct table *t = table_new(columns, 3);
    for (int i = 0; i < LINE_COUNT; i++) {
        add_sum(t, d, &LINES[i], html);
        for (int k = 0; LINES[i].lines == (unsigned)LOST && k < LOSS_COUNT; k++)
            if (line_l(&d->account.all, LOSSES[k].lines) != 0) add_sum(t, d, &LOSSES[k], html);
    }
    double gap = rounding_of(&d->account.all, &d->unit);
    if (gap != 0) table_row(t, CELLS(V("Rounding of these lines"), V(gap), V_MISSING));
    return t;
}

static struct table *distilling_table(const statement *d) {
    static const column COLUMNS[] = {
        {NULL, "", "", 0, 0, COLUMN_WORDS},
        {NULL, "pure alcohol", "L", 0, 3, COLUMN_NUMBERS},
    };
    struct table *t = table_new(COLUMNS, 2);
    if (d->logs == 0) return t;
    table_row(t, CELLS(V("Charged"), V(d->distilling.charged_l)));
    table_row(t, CELLS(V("Collected"), V(d->distilling.collected_l)));
    table_row(t, CELLS(V("Left in the boilers"), V(d->distilling.left_l)));
    const distilling *of = &d->distilling;
    const figure_text small = figure_below_zero(of->not_recovered_l, of->not_recovered_u_l, 3, "");
    table_add_text(t, "Not recovered");
    if (*small.text != '\0')
        table_add_text(t, small.text);
    else
        table_row(t, CELLS(V(of->not_recovered_l)));
    return t;
}

static void write_period(const statement *d, const char *since, const char *until, char *text,
                         size_t size) {
    size_t count, n = d->account.count;
    const jl_book_entry *e = jl_book_entries(d->book, &count) + d->account.first;
    int used = snprintf(
        text, size, "%s%s%s · %s", since == NULL ? "From the book's beginning" : since,
        until == NULL ? " to now" : " to ", until == NULL ? "" : until, base_name(d->path));
    if (n == 0 || used < 0 || (size_t)used >= size) return;
    snprintf(text + used, size - (size_t)used, " · entries %s to %s", ENTRY_NUMBER(e[0].number),
             ENTRY_NUMBER(e[n - 1].number));
}

static void fill_sentences(const statement *d, bool html, account_page *p) {
    size_t most = html ? PAGE_SENTENCES_MOST - 1 : 6;
    for (size_t i = 0; i < d->warning_count && i < most; i++)
        page_sentence(&p->warnings, "Warning: %s", d->warnings[i]);
    if (d->warning_count > most)
        page_sentence(&p->warnings, "And %zu more: 'jarline account' names them.",
                      d->warning_count - most);
    page_sentence(&p->notes, "Pure alcohol at 20 °C. Each line is the rounding of its true value. "
                             "± is about 95 %% (k = 2), by the limits of the instruments.");
    if (d->unit.gallons) page_sentence(&p->notes, "%s", ROUNDED);
    page_sentence(&p->notes, "%s Jarline %s.", PREVAILS, JARLINE_VERSION);
}

static void fill_page(statement *d, bool html, account_page *p) {
    const char *title = jl_facts_text(jl_book_facts(d->file), "title");
    jl_book *then;
    if (jl_book_until(d->book, d->until_s, &then) != JL_OK) need(NULL);
    snprintf(p->title, sizeof p->title, "Account: %s", title == NULL ? base_name(d->path) : title);
    const page_part parts[PARTS] = {
        [SUMS] = {"In all", sums_table(d, html)},
        [KINDS] = {d->unit.gallons ? "By kind, in proof gallons" : "By kind",
                   kinds_table(d, d->unit.gallons ? "" : d->unit.name)},
        [RECEIVERS] = {"Removed", receivers_table(d)},
        [GAUGINGS] = {"Gained and lost, beside the instruments", gaugings_table(d)},
        [CORRECTIONS] = {"Cancelled, and late", corrections_table(d)},
        [DISTILLING] = {"Distilling, by the run logs", distilling_table(d)},
        [VESSELS] = {"What each vessel holds at the end", stock_table(then)},
        [BOTTLES] = {"What is left of each lot at the end", lots_table(then)},
        [ENTRIES] = {"Entries", entries_table(d)},
    };
    memcpy(p->parts, parts, sizeof parts);
    jl_book_free(then);
    fill_sentences(d, html, p);
}

static void free_page(account_page *p) {
    for (size_t i = 0; i < PARTS; i++) page_part_free(&p->parts[i]);
    page_sentences_free(&p->warnings);
    page_sentences_free(&p->notes);
}

static const double GAP = 9, TITLE = 15, PERIOD = 8.5, PART_LEAST = 60;

static void put_page_head(pages *p) {
    const account_page *a = p->of;
    pages_put_words(p, MARK_TITLE, TITLE, true, a->title);
    pages_put_words(p, MARK_NOTE, PERIOD, false, a->period);
    page_took(p, GAP);
}

/* What is said, and on the same page the place where it is signed. */
static void put_signed(pages *p) {
    const account_page *a = p->of;
    const page_sentences *const said[] = {&a->warnings, &a->notes};
    enum { SAID = sizeof said / sizeof said[0] };
    double h[SAID], all = PAGES_SIGN_H + GAP;
    for (size_t i = 0; i < SAID; i++) all += h[i] = page_sentences_h(said[i], p->at.w) + GAP / 3;
    page_room(p, all);
    for (size_t i = 0; i < SAID; i++) {
        page_room(p, h[i]);
        page_put_sentences(said[i], p->at, page_now(p));
        page_took(p, h[i]);
    }
    page_room(p, PAGES_SIGN_H + GAP);
    pages_put_sign(p);
    page_took(p, GAP);
}

/* The account on the first page, the entries below it and on as many further ones as they take. */
static void put_account(pages *p) {
    const account_page *a = p->of;
    page_begin(p);
    put_page_head(p);
    for (size_t i = 0; i < ENTRIES; i++) {
        double h = page_part_h(&a->parts[i], p->at.w);
        page_room(p, fmin(h, PART_LEAST));
        pages_put_rows(p, &a->parts[i]);
        if (h > 0) page_took(p, GAP);
    }
    put_signed(p);
    page_room(p, PART_LEAST);
    pages_put_rows(p, &a->parts[ENTRIES]);
    pages_number(p);
}

static void page_as_html(const account_page *p, double width, double height, bytes *b) {
    const page_part *parts[PARTS];
    for (size_t i = 0; i < PARTS; i++) parts[i] = &p->parts[i];
    const page_sentences *const foot[] = {&p->warnings, &p->notes};
    html_begin(b, p->title, width, height);
    html_line(b, p->period, false);
    html_contents(b, parts, PARTS);
    for (size_t i = 0; i < PARTS; i++) html_part(b, parts[i]);
    html_foot(b, foot, 2);
    html_end(b);
}

/* ---- as CSV: a row a kind and line, then a row a receiver and gauging ---- */

enum { CSV_DECIMALS = 6 };

static void csv_line(struct table *t, const statement *d, const jl_account_kind *k,
                     const char *kind, const account_line *line) {
    bool all = k == &d->account.all;
    double alcohol_l = line_l(k, line->lines);
    char *numbers = all ? numbers_of(d, line->lines, SIZE_MAX) : NULL;
    table_row(t, CELLS(V(kind), V(line->key), V(alcohol_l),
                       V(jl_rounded_gallons(proof_gallons(alcohol_l))),
                       V(all ? uncertainty_l(line, &d->account) : (double)NAN),
                       V((const char *)numbers), V_MISSING, V_MISSING, V_MISSING));
    free(numbers);
}

/* The last line is what the others' last digits miss of adding up. */
static void csv_lines(struct table *t, const statement *d, const jl_account_kind *k,
                      const char *kind) {
    const unit litres = {false, CSV_DECIMALS, "L"}, gallons = {true, 1, "proof gallons"};
    for (int i = 0; i < LINE_COUNT; i++) csv_line(t, d, k, kind, &LINES[i]);
    csv_line(t, d, k, kind, &BECAME);
    for (int i = 0; i < LOSS_COUNT; i++) csv_line(t, d, k, kind, &LOSSES[i]);
    table_row(t,
              CELLS(V(kind), V("rounding"), V(rounding_of(k, &litres)), V(rounding_of(k, &gallons)),
                    V_MISSING, V_MISSING, V_MISSING, V_MISSING, V_MISSING));
}

static void csv_receivers(struct table *t, const jl_account *a) {
    for (size_t i = 0; i < a->receiver_count; i++) {
        const jl_account_receiver *r = &a->receivers[i];
        double alcohol_l = jl_pure_alcohol_l(r->spirit);
        table_row(t, CELLS(V("all"), V("removed_to"), V(alcohol_l),
                           V(jl_rounded_gallons(proof_gallons(alcohol_l))), V_MISSING, V_MISSING,
                           V(receiver_name(r)),
                           V(r->bottles == 0 ? (double)NAN : (double)r->bottles), V_MISSING));
    }
}

static void csv_gaugings(struct table *t, const statement *d) {
    for (size_t i = 0; i < d->account.gauging_count; i++) {
        const jl_account_gauging *g = &d->account.gaugings[i];
        const double gain_l = g->gain_kg / JL_ETHANOL_KG_L;
        table_row(t, CELLS(V("all"), V("gauging_found"), V(gain_l),
                           V(jl_rounded_gallons(proof_gallons(gain_l))),
                           V(JL_COVERAGE_K * g->standard_kg / JL_ETHANOL_KG_L),
                           V(ENTRY_NUMBER(gauging_entry(d, g)->number)), V(gauged_vessel(d, g)),
                           V_MISSING, V(phrase_gauged(g->gain_kg, g->standard_kg))));
    }
}

static void as_csv(const statement *d, bytes *b) {
    static const column COLUMNS[] = {
        {"kind", "kind", "", 0, 0, COLUMN_WORDS},
        {"line", "line", "", 0, 0, COLUMN_WORDS},
        {"pure_alcohol_l", "pure alcohol", "L", 0, CSV_DECIMALS, COLUMN_NUMBERS},
        {"proof_gallons_us", "proof gallons", "", 0, 1, COLUMN_NUMBERS},
        {"uncertainty_l", "±", "L", 0, CSV_DECIMALS, COLUMN_NUMBERS},
        {"entries", "entries", "", 0, 0, COLUMN_NOTES},
        {"receiver_or_vessel", "receiver or vessel", "", 0, 0, COLUMN_WORDS},
        {"bottles", "bottles", "", 0, 0, COLUMN_NUMBERS},
        {"finding", "which is", "", 0, 0, COLUMN_NOTES},
    };
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    csv_lines(t, d, &d->account.all, "all");
    for (size_t k = 0; k < d->account.kind_count; k++)
        csv_lines(t, d, &d->account.kinds[k], d->account.kinds[k].kind);
    csv_receivers(t, &d->account);
    csv_gaugings(t, d);
    FILE *to = need(open_memstream(&b->data, &b->count));
    table_csv(t, to);
    if (fclose(to) != 0) need(NULL);
    table_free(t);
}

/* ---- the command ---- */

typedef struct account_words {
    char *since, *until, *unit;
    setting_options with;
    paper_options paper;
    int json;
} account_words;

static int write_page(statement *d, const account_words *w, paper_format format) {
    account_page p = {.title = ""};
    pages on = {.of = &p, .title = p.title};
    bytes b = {0};
    int bad = paper_size(&w->paper, &on.width, &on.height);
    if (bad != EXIT_DONE) return bad;
    on.margin = page_margin(on.width);
    fill_page(d, format == PAPER_HTML, &p);
    if (*d->house != '\0') snprintf(p.period, sizeof p.period, "%s · ", d->house);
    size_t begun = strlen(p.period);
    write_period(d, w->since, w->until, p.period + begun, sizeof p.period - begun);
    if (format == PAPER_HTML) {
        page_as_html(&p, on.width, on.height, &b);
        bad = output_write(&w->paper.file, b.data, b.count);
    } else {
        put_account(&on);
        bad = paper_make(&w->paper, on.sheets, on.count, PAPER_PDF, p.title);
        pages_free(&on);
    }
    bytes_free(&b);
    free_page(&p);
    return bad;
}

static int write_output(statement *d, const account_words *w) {
    paper_format format;
    bytes b = {0};
    if (w->paper.file.path == NULL) return EXIT_DONE;
    int bad = paper_format_of(w->paper.file.path, 1 << PAPER_PDF | 1 << PAPER_HTML | 1 << PAPER_CSV,
                              &format);
    if (bad != EXIT_DONE) return bad;
    if (format != PAPER_CSV) return write_page(d, w, format);
    as_csv(d, &b);
    bad = output_write(&w->paper.file, b.data, b.count);
    bytes_free(&b);
    return bad;
}

static void free_statement(statement *d) {
    for (size_t i = 0; i < d->warning_count; i++) free(d->warnings[i]);
    for (size_t i = 0; i < d->note_count; i++) free(d->notes[i]);
    free(d->warnings);
    free(d->notes);
    keep_free(&d->kept);
    jl_account_free(&d->account);
}

static int answer(statement *d, const account_words *w, const char *const *logs, size_t count) {
    jl_settings bench;
    int bad = instruments_read(&w->with, &bench);
    if (bad == EXIT_DONE) bad = bench_house(&w->with, &d->house);
    if (bad != EXIT_DONE) return bad;
    bool gallons = w->unit == NULL ? jl_setting_value(&bench, JL_KEY_PROOF) == 1
                                   : strcmp(w->unit, "proof-gallons") == 0;
    d->unit = gallons ? (unit){true, 1, "proof gallons"} : (unit){false, 3, "L"};
    d->instruments = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&d->instruments, jl_book_instrument(d->file)};
    if (jl_account_of(d->book, d->since_s, d->until_s, by, &d->account) != JL_OK) need(NULL);
    compare_later(d);
    bad = read_logs(d, logs, count);
    if (bad == EXIT_DONE) bad = write_output(d, w);
    return bad == EXIT_DONE ? show_statement(d, &w->paper.file, w->json != 0) : bad;
}

static int run_account(const args *a, const account_words *w) {
    jl_book_file *f;
    jl_time since = {INT64_MIN, 0}, until = {INT64_MAX, 0};
    if (a->count < 1) return refuse("expected a book, as house.csv, and its run logs");
    if (w->unit != NULL && strcmp(w->unit, "proof-gallons") != 0 && !jl_same_letters(w->unit, "L"))
        return fail_argument("--unit", w->unit, JL_FORM, "L or proof-gallons");
    int bad = w->since == NULL ? EXIT_DONE : period_read("--since", w->since, false, &since);
    if (bad == EXIT_DONE && w->until != NULL) bad = period_read("--until", w->until, true, &until);
    if (bad == EXIT_DONE && since.unix_s >= until.unix_s)
        bad = fail_argument("--until", w->until, JL_RANGE, "a day not before --since");
    if (bad == EXIT_DONE) bad = book_open_to_read(a->words[0], &f);
    if (bad != EXIT_DONE) return bad;
    statement d = {.path = a->words[0],
                   .file = f,
                   .book = jl_book_in(f),
                   .since_s = since.unix_s,
                   .until_s = until.unix_s};
    size_t count = a->count - 1;
    const char **logs = run_logs_of(a->words + 1, &count, false);
    bad = answer(&d, w, logs, count);
    free(logs);
    free_statement(&d);
    jl_book_close(f);
    return bad;
}

int command_account(int argc, const char **argv) {
    account_words w = {0};
    const struct poptOption table[] = {
        OPTION("since", &w.since, "DATE", "from this day on (the book's beginning)"),
        OPTION("until", &w.until, "DATE", "to the end of this day (now)"),
        BENCH_OPTION(w.with),
        OPTION("unit", &w.unit, "L|proof-gallons", "of the printed lines (L)"),
        PAPER_OPTIONS(w.paper, "page.pdf, page.html or account.csv"),
        JSON_LAST(&w.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv [RUN.csv ...] [--since DATE] [--until DATE]",
                  "A period's account: opening, what came, what went, closing; with its run logs\n"
                  "also what distilling made of what was charged")) {
        w.with.log = a.words[0];
        a.exit_status = run_account(&a, &w);
    }
    return args_close(&a);
}
