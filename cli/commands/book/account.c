/* account: a period of the book that closes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/account.h"
#include "answer/assume.h"
#include "answer/keep.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "book/against.h"
#include "command.h"
#include "commands/book/open.h"
#include "input/args.h"
#include "input/clock.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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

static double pure_l(jl_spirit s) {
    return s.ethanol_kg / JL_ETHANOL_KG_L;
}

static double line_l(const jl_account_kind *k, unsigned lines) {
    double sum_l = 0;
    for (int line = 0; line < JL_ACCOUNT_LINES; line++)
        if ((lines & 1u << line) != 0) sum_l += pure_l(k->of[line]);
    return sum_l;
}

/* Proof gallons of pure alcohol alone: a gallon at 60 °F of 100 proof holds half of it. By 27 CFR 30.64
 * to one decimal: a second decimal below 0.05 is dropped, 0.05 and more raised. */
static double proof_gallons(double alcohol_l) {
    if (alcohol_l == 0) return 0;
    return jl_proof_gallons_us((jl_spirit){fabs(alcohol_l) * JL_ETHANOL_KG_L, 0}) *
           (alcohol_l < 0 ? -1 : 1);
}

static double rounded(double value, int decimals) {
    double scale = pow(10, decimals);
    return floor(fabs(value) * scale + 0.5) / scale * (value < 0 ? -1 : 1);
}

typedef struct unit {
    bool gallons;
    int decimals;
    const char *name;
} unit;

static double in_unit(double alcohol_l, const unit *u) {
    return u->gallons ? proof_gallons(alcohol_l) : alcohol_l;
}

/* What printed lines miss of adding up. */
static double rounding_of(const jl_account_kind *k, const unit *u) {
    double sum = 0;
    for (int i = 0; i < LINE_COUNT; i++)
        sum += LINES[i].sign * rounded(in_unit(line_l(k, LINES[i].lines), u), u->decimals);
    double closing = line_l(k, LINES[LINE_COUNT - 1].lines) - line_l(k, 1 << JL_ACCOUNT_KIND);
    return rounded(rounded(in_unit(closing, u), u->decimals) - sum, u->decimals);
}

static void show_line(show *s, const char *label, const account_line *line,
                      const jl_account_kind *k, const unit *u) {
    char key[48];
    double alcohol_l = line_l(k, line->lines);
    snprintf(key, sizeof key, "%s_l", line->key);
    show_number(s, key, u->gallons ? NULL : label, alcohol_l, 3, "L");
    snprintf(key, sizeof key, "%s_proof_gallons", line->key);
    show_number(s, key, u->gallons ? label : NULL, rounded(proof_gallons(alcohol_l), 1), 1,
                "proof gallons");
}

/* The same, with how far it may be off, of what was measured. */
static void show_uncertain(show *s, const account_line *line, const jl_account *a) {
    char key[48];
    double variance = 0;
    for (int l = 0; l < JL_ACCOUNT_LINES; l++)
        if ((line->lines & 1u << l) != 0) variance += a->standard_kg[l] * a->standard_kg[l];
    if (variance == 0) return;
    snprintf(key, sizeof key, "%s_uncertainty_l", line->key);
    show_number(s, key, NULL, JL_COVERAGE_K * sqrt(variance) / JL_ETHANOL_KG_L, 3, "L");
}

static void show_lost(show *s, const jl_account_kind *all, const unit *u) {
    static const account_line KINDS[] = {
        {"  spilled or thrown away", "lost_handling", 1 << JL_ACCOUNT_LOST_HANDLING, 0},
        {"  wood", "lost_wood", 1 << JL_ACCOUNT_LOST_WOOD, 0},
        {"  found by gauging", "lost_gauging", 1 << JL_ACCOUNT_LOST_GAUGING, 0},
        {"  bottles", "lost_bottles", 1 << JL_ACCOUNT_LOST_BOTTLES, 0}};
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (line_l(all, KINDS[i].lines) != 0) show_line(s, KINDS[i].label, &KINDS[i], all, u);
}

static void show_account(show *s, const jl_account *a, const unit *u) {
    show_group(s, "account", "Pure alcohol");
    for (int i = 0; i < LINE_COUNT; i++) {
        show_line(s, LINES[i].label, &LINES[i], &a->all, u);
        show_uncertain(s, &LINES[i], a);
        if (LINES[i].lines == (unsigned)LOST) show_lost(s, &a->all, u);
    }
    double gap = rounding_of(&a->all, u);
    show_number(s, "rounding", gap != 0 ? "Rounding of these lines" : NULL, gap, u->decimals,
                u->name);
    show_group_end(s);
}

static bool any_kind_has(const jl_account *a, unsigned lines) {
    for (size_t k = 0; k < a->kind_count; k++)
        if (fabs(line_l(&a->kinds[k], lines)) > 0.0005) return true;
    return false;
}

static void show_kinds(show *s, const jl_account *a, const unit *u) {
    column columns[LINE_COUNT + 2] = {{"kind", "kind", "", 0, 0, COLUMN_WORDS}};
    char keys[LINE_COUNT][32];
    const char *end = u->gallons ? "proof_gallons" : "l";
    for (int i = 0; i < LINE_COUNT; i++) {
        snprintf(keys[i], sizeof keys[i], "%s_%s", LINES[i].key, end);
        /* what no kind has is for programs */
        const char *title = any_kind_has(a, LINES[i].lines) ? LINES[i].key : NULL;
        columns[i + 1] = (column){keys[i], title, "", 5, u->decimals, COLUMN_NUMBERS};
    }
    columns[LINE_COUNT + 1] = (column){u->gallons ? "became_proof_gallons" : "became_l",
                                       any_kind_has(a, 1 << JL_ACCOUNT_KIND) ? "became" : NULL,
                                       "",
                                       6,
                                       u->decimals,
                                       COLUMN_NUMBERS};
    if (a->kind_count < 2) return;
    show_table(s, "kinds", columns, LINE_COUNT + 2);
    for (size_t k = 0; k < a->kind_count; k++) {
        show_cell_text(s, a->kinds[k].kind[0] == '\0' ? "-" : a->kinds[k].kind);
        for (int i = 0; i < LINE_COUNT; i++)
            show_cell(s, in_unit(line_l(&a->kinds[k], LINES[i].lines), u));
        show_cell(s, in_unit(line_l(&a->kinds[k], 1 << JL_ACCOUNT_KIND), u));
    }
}

static void show_receivers(show *s, const jl_account *a, const unit *u) {
    const column columns[] = {
        {"receiver", "removed to", "", 0, 0, COLUMN_WORDS},
        {"bottles", "bottles", "", 7, 0, COLUMN_NUMBERS},
        {u->gallons ? "proof_gallons_us" : "pure_alcohol_l", "pure alcohol", u->name, 9,
         u->decimals, COLUMN_NUMBERS},
    };
    if (a->receiver_count == 0) return;
    show_table(s, "receivers", columns, 3);
    for (size_t i = 0; i < a->receiver_count; i++) {
        const jl_account_receiver *r = &a->receivers[i];
        show_cell_text(s, *r->receiver == '\0' ? "(nobody named)" : r->receiver);
        show_cell(s, r->bottles == 0 ? (double)NAN : (double)r->bottles);
        show_cell(s, in_unit(pure_l(r->spirit), u));
    }
}

/* ---- what was measured ---- */

static void show_gaugings(show *s, const jl_book *book, const jl_account *a, const unit *u) {
    const column columns[] = {
        {"entry", "gauged in", "", 0, 0, COLUMN_WORDS},
        {"vessel", "", "", 0, 0, COLUMN_WORDS},
        {u->gallons ? "gained_proof_gallons" : "gained_l", "gained", u->name, 6, u->decimals,
         COLUMN_NUMBERS},
        {u->gallons ? "uncertainty_proof_gallons" : "uncertainty_l", "±", "k = 2", 5, u->decimals,
         COLUMN_NUMBERS},
        {"told", "", "", 0, 0, COLUMN_NOTES},
    };
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    if (a->gauging_count == 0) return;
    show_table(s, "gaugings", columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < a->gauging_count; i++) {
        const jl_account_gauging *g = &a->gaugings[i];
        const jl_book_entry *of = &e[g->entry];
        char number[JL_BOOK_NUMBER_BYTES];
        jl_book_number_write(of->number, number);
        show_cell_text(s, number);
        show_cell_text(s, of->what == JL_BOOK_CANCELLED ? e[of->taken_back].from : of->from);
        show_cell(s, in_unit(g->gain_kg / JL_ETHANOL_KG_L, u));
        show_cell(s, in_unit(JL_COVERAGE_K * g->standard_kg / JL_ETHANOL_KG_L, u));
        show_cell_text(s, phrase_gauged(g->gain_kg, g->standard_kg));
    }
}

/* ---- entries ---- */

static void show_numbers(show *s, const jl_book_entry *first, const jl_book_entry *last) {
    char from[JL_BOOK_NUMBER_BYTES], to[JL_BOOK_NUMBER_BYTES], text[64];
    jl_book_number_write(first->number, from);
    jl_book_number_write(last->number, to);
    snprintf(text, sizeof text, "%s to %s", from, to);
    show_text(s, NULL, "Entries", text);
    show_text(s, "entries", NULL, from);
    show_text(s, "entries_to", NULL, to);
}

/* "2026-8 to 10, 2026-14": the period's entries that count in lines, in at most so many pieces. */
static char *numbers_of(const jl_book *book, const jl_account *a, unsigned lines, size_t most) {
    size_t count, pieces = 0;
    bytes b = {0};
    const jl_book_entry *e = jl_book_entries(book, &count) + a->first;
    for (size_t i = 0; i < a->count && pieces <= most; i++) {
        char number[JL_BOOK_NUMBER_BYTES];
        size_t last = i;
        if ((lines & 1u << a->lines[i]) == 0) continue;
        while (last + 1 < a->count && (lines & 1u << a->lines[last + 1]) != 0 &&
               e[last + 1].number.year == e[i].number.year)
            last++;
        jl_book_number_write(e[i].number, number);
        if (pieces++ == most) snprintf(number, sizeof number, "more");
        bytes_print(&b, "%s%s", b.count > 0 ? ", " : "", number);
        if (last > i && pieces <= most) bytes_print(&b, " to %u", (unsigned)e[last].number.serial);
        i = last;
    }
    return b.data;
}

/* People see the first ones, programs all. */
static void show_line_entries(show *s, const jl_book *book, const jl_account *a, bool json) {
    static const column COLUMNS[] = {
        {"line", "line", "", 0, 0, COLUMN_WORDS},
        {"entries", "its entries", "", 0, 0, COLUMN_NOTES},
    };
    show_table(s, "lines", COLUMNS, 2);
    for (int i = 0; i < LINE_COUNT; i++) {
        char *numbers = numbers_of(book, a, LINES[i].lines, json ? SIZE_MAX : 12);
        if (numbers != NULL) {
            show_cell_text(s, LINES[i].key);
            show_cell_text(s, numbers);
        }
        free(numbers);
    }
}

static void show_entries(show *s, const jl_book *book, const jl_account *a) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    if (a->count == 0)
        show_remark(s, "No entry was written in this period.");
    else
        show_numbers(s, &e[a->first], &e[a->first + a->count - 1]);
}

static void show_late(show *s, const jl_book_entry *e) {
    char number[JL_BOOK_NUMBER_BYTES], of[JL_BOOK_NUMBER_BYTES], what[64];
    char moment[JL_TIME_BYTES] = "";
    jl_book_number_write(e->number, number);
    jl_book_number_write(e->cancelled, of);
    jl_time_write(e->time, moment, sizeof moment);
    moment[strlen("2026-10-31") < strlen(moment) ? strlen("2026-10-31") : 0] = '\0';
    if (e->what == JL_BOOK_CANCELLED)
        snprintf(what, sizeof what, "takes back %s", of);
    else
        snprintf(what, sizeof what, "%s, late", jl_book_word(e->what));
    show_cell_text(s, number);
    show_cell_text(s, what);
    show_cell_text(s, moment);
    show_cell_text(s, *e->note == '\0' ? NULL : e->note);
}

/* Entries that take one back, and those that came late. */
static void show_corrections(show *s, const jl_book *book, const jl_account *a) {
    static const column COLUMNS[] = {
        {"entry", "entry", "", 0, 0, COLUMN_WORDS},
        {"what", "what", "", 0, 0, COLUMN_WORDS},
        {"happened", "happened", "", 10, 0, COLUMN_WORDS},
        {"note", "note", "", 0, 0, COLUMN_NOTES},
    };
    size_t count, shown = 0;
    const jl_book_entry *e = jl_book_entries(book, &count);
    for (size_t i = a->first; i < a->first + a->count; i++) {
        if (e[i].what != JL_BOOK_CANCELLED && !e[i].late) continue;
        if (shown++ == 0) show_table(s, "corrections", COLUMNS, 4);
        show_late(s, &e[i]);
    }
}

/* ---- the distilling part ---- */

typedef struct distilling {
    int64_t since_s, until_s;
    double charged_l, collected_l, left_l, not_recovered_l;
    size_t runs;
} distilling;

/* The vessel that its log says it was charged from, or what the charge's strength says of it. */
static void compare_charge(show *s, const jl_against *a, const jl_run *run, const char *path) {
    const jl_recovery *v = jl_run_recovery(run);
    const char *from = jl_facts_text(jl_run_facts(run), jl_keys[JL_KEY_CHARGE_FROM].name);
    double log_l = v->charge_stated ? jl_pure_alcohol_l(v->charge) : NAN;
    double book_l = pure_l(a->charged);
    if (a->charged_count > 0 && fabs(book_l - log_l) > 0.0005)
        show_warning(s, "%s: the log's charge is %.3f L of pure alcohol, the book charged %.3f L.",
                     path, log_l, book_l);
    if (a->charged_count > 0 || !v->charge_stated) return;
    if (from != NULL)
        show_warning(s,
                     "%s: its charge is not in the book; expected an entry as charged %s %.4gL "
                     "--run %s.",
                     path, from, jl_volume_l(v->charge, JL_STRENGTH_C), path);
    else if (jl_spirit_strength_pct(v->charge) >= 20)
        show_warning(s, "%s: its charge came from no vessel of the book.", path);
}

/* What the book has of a run, beside its log. */
static void compare_run(show *s, const jl_book *book, const jl_run *run, const char *path) {
    char *name = run_name(path, run);
    jl_against a;
    if (jl_book_against(book, name, run, &a) != JL_OK) need(NULL);
    if (a.jar_count > 0) {
        char *jars = write_jars(a.jars, a.jar_count);
        show_warning(s, "%s: jars %s, %.3f L of pure alcohol, are not in the book.", path, jars,
                     pure_l(a.jars_spirit));
        free(jars);
    }
    for (size_t i = 0; i < a.changed_count; i++) {
        char number[JL_BOOK_NUMBER_BYTES];
        jl_book_number_write(a.changed[i].number, number);
        show_warning(s,
                     "%s was changed since: entry %s collected %.3f L of pure alcohol, its jars "
                     "now have %.3f L.",
                     path, number, pure_l(a.changed[i].booked), pure_l(a.changed[i].logged));
    }
    compare_charge(s, &a, run, path);
    jl_against_free(&a);
    free(name);
}

/* A log without a start is taken for one of the period. */
static bool began_within(const jl_run *run, const distilling *d) {
    jl_time started;
    return !jl_run_started(run, &started) ||
           (started.unix_s >= d->since_s && started.unix_s < d->until_s);
}

static int add_run(show *s, const jl_book *book, const char *path, distilling *d) {
    jl_run *run;
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    if (!began_within(run, d)) {
        show_note(s, "%s did not begin in this period and is left out of the distilling part.",
                  path);
        jl_run_free(run);
        return EXIT_DONE;
    }
    const jl_recovery *v = jl_run_recovery(run);
    if (v->charge_stated) {
        double left_l = v->left_stated ? jl_pure_alcohol_l(v->left) : 0;
        d->charged_l += jl_pure_alcohol_l(v->charge);
        d->collected_l += jl_pure_alcohol_l(v->collected);
        d->left_l += left_l;
        d->not_recovered_l += v->missing_l;
        d->runs++;
    } else
        show_warning(s, "%s states no charge and is left out of the distilling part.", path);
    compare_run(s, book, run, path);
    jl_run_free(run);
    return EXIT_DONE;
}

static int show_distilling(show *s, const jl_book *book, distilling d, const char *const *logs,
                           size_t count) {
    for (size_t i = 0; i < count; i++) {
        int bad = add_run(s, book, logs[i], &d);
        if (bad != EXIT_DONE) return bad;
    }
    if (count == 0) return EXIT_DONE;
    show_group(s, "distilling", "Distilling, pure alcohol by the run logs");
    show_number(s, "charged_l", "Charged", d.charged_l, 3, "L");
    show_number(s, "collected_l", "Collected", d.collected_l, 3, "L");
    show_number(s, "left_l", "Left in the boilers", d.left_l, 3, "L");
    show_number(s, "not_recovered_l", "Not recovered", d.not_recovered_l, 3, "L");
    show_number(s, "runs", NULL, (double)d.runs, 0, "");
    show_group_end(s);
    return EXIT_DONE;
}

/* ---- the command ---- */

/* What the ± beside gains and losses came from. */
static void assume_gaugings(show *s, const jl_account *a, const jl_instruments *in) {
    if (a->gauging_count == 0) return;
    assume_limits(s, in, JL_BY_ALCOHOLOMETER);
    assume_limits(s, in, JL_BY_JUG);
    assume_limits(s, in, JL_BY_THERMOMETER);
    show_note(s,
              "The ± is of one set of instruments for all that was measured: what is off in both "
              "the book's value and the gauging cancels.");
}

typedef struct account_words {
    char *since, *until, *unit, *instrument;
    int json;
} account_words;

static int answer(const jl_book_file *f, const account_words *w, int64_t since_s, int64_t until_s,
                  const char *const *logs, size_t count) {
    jl_account a;
    const unit u = w->unit == NULL || strcmp(w->unit, "l") == 0 || strcmp(w->unit, "L") == 0
                       ? (unit){false, 3, "L"}
                       : (unit){true, 1, "proof gallons"};
    jl_settings bench;
    int bad = instruments_read(w->instrument, &bench);
    if (bad != EXIT_DONE) return bad;
    const jl_instruments instruments = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&instruments, jl_book_instrument(f)};
    if (jl_account_of(jl_book_in(f), since_s, until_s, by, &a) != JL_OK) need(NULL);
    show *s = show_open(w->json != 0);
    show_kinds(s, &a, &u);
    show_receivers(s, &a, &u);
    show_gaugings(s, jl_book_in(f), &a, &u);
    show_line_entries(s, jl_book_in(f), &a, w->json != 0);
    show_corrections(s, jl_book_in(f), &a);
    bad = show_distilling(s, jl_book_in(f), (distilling){since_s, until_s}, logs, count);
    if (bad == EXIT_DONE) {
        show_account(s, &a, &u);
        show_entries(s, jl_book_in(f), &a);
        warn_of_book(s, f);
        assume_gaugings(s, &a, &instruments);
        if (u.gallons) show_assumption(s, "Proof gallons rounded by 27 CFR 30.64, one decimal.");
        show_caution(s, "Your authority's forms, measurements and rounding prevail over this.");
    }
    jl_account_free(&a);
    return bad == EXIT_DONE ? show_close(s, EXIT_DONE) : show_abandon(s, bad);
}

static int run_account(const args *a, const account_words *w) {
    jl_book_file *f;
    jl_time since = {INT64_MIN, 0}, until = {INT64_MAX, 0};
    if (a->count < 1) return fail(EXIT_USAGE, "expected a book, as house.csv, and its run logs");
    if (w->unit != NULL && strcmp(w->unit, "proof-gallons") != 0 && strcmp(w->unit, "l") != 0 &&
        strcmp(w->unit, "L") != 0)
        return fail_argument("--unit", w->unit, JL_FORM, "L or proof-gallons");
    int bad = w->since == NULL ? EXIT_DONE : period_read("--since", w->since, false, &since);
    if (bad == EXIT_DONE && w->until != NULL) bad = period_read("--until", w->until, true, &until);
    if (bad == EXIT_DONE && since.unix_s >= until.unix_s)
        bad = fail_argument("--until", w->until, JL_RANGE, "a day not before --since");
    if (bad == EXIT_DONE) bad = book_open_to_read(a->rest[0], &f);
    if (bad != EXIT_DONE) return bad;
    bad = answer(f, w, since.unix_s, until.unix_s, a->rest + 1, a->count - 1);
    jl_book_close(f);
    return bad;
}

int command_account(int argc, const char **argv) {
    account_words w = {0};
    const struct poptOption table[] = {
        OPTION("since", &w.since, "DATE", "from this day on (the book's beginning)"),
        OPTION("until", &w.until, "DATE", "to the end of this day (now)"),
        OPTION("instrument", &w.instrument, "FILE", "what the instruments can be off by"),
        OPTION("unit", &w.unit, "L|proof-gallons", "of the printed lines (L)"),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv [RUN.csv ...] [--since DATE] [--until DATE]",
                  "A period's account: opening, what came, what went, closing; with its run logs "
                  "also\nwhat distilling made of what was charged"))
        a.exit_status = run_account(&a, &w);
    return args_close(&a);
}
