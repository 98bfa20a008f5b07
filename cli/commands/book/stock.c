/* stock: what every vessel and lot holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/book/stock.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "commands/book/open.h"
#include "input/args.h"
#include "input/logfile.h"
#include "input/settings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int compare_origins(const void *a, const void *b) {
    const jl_book_origin *x = a, *y = b;
    return (x->ethanol_kg < y->ethanol_kg) - (x->ethanol_kg > y->ethanol_kg);
}

/* "October 62 %, September 38 %" */
static void write_origins(const jl_book_vessel *v, char *text, size_t size) {
    jl_book_origin origins[JL_BOOK_ORIGINS];
    double all_kg = 0;
    size_t n = 0;
    memcpy(origins, v->origins, v->origin_count * sizeof origins[0]);
    qsort(origins, v->origin_count, sizeof origins[0], compare_origins);
    text[0] = '\0';
    for (size_t i = 0; i < v->origin_count; i++) all_kg += origins[i].ethanol_kg;
    for (size_t i = 0; i < v->origin_count && n < size; i++) {
        if (!(origins[i].ethanol_kg > JL_BOOK_DROPPED * all_kg)) continue;
        n += (size_t)snprintf(text + n, size - n, "%s%s %.0f %%", n == 0 ? "" : "; ",
                              *origins[i].run == '\0' ? "other" : origins[i].run,
                              100 * origins[i].ethanol_kg / all_kg);
    }
}

static void add_vessel(struct table *t, const jl_book_vessel *v) {
    char origins[1024];
    bool any = jl_mass_kg(v->spirit) > 0;
    write_origins(v, origins, sizeof origins);
    table_row(t,
              CELLS(V(v->name), V(v->kind), V(any ? jl_volume_l(v->spirit, JL_STRENGTH_C) : 0),
                    V(v->capacity_l), V(v->use), V(any ? jl_spirit_strength_pct(v->spirit) : NAN),
                    v_pure(v->spirit), V(any ? DAY(v->since) : NULL),
                    V(any ? DAY(v->youngest) : NULL), V(any && *origins != '\0' ? origins : NULL)));
}

struct table *stock_table(const jl_book *book) {
    static const column COLUMNS[] = {
        {"vessel", "vessel", "", 0, 0, COLUMN_WORDS},
        {"kind", "kind", "", 0, 0, COLUMN_WORDS},
        {"volume_l", "volume\nat 20 °C", "L", 6, 3, COLUMN_NUMBERS},
        {"capacity_l", "size", "L", 4, EXACT + 1, COLUMN_NUMBERS},
        {"use", NULL, "", 0, 0, COLUMN_WORDS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure\nalcohol", "L", 7, 3, COLUMN_NUMBERS},
        {"since", "since", "", 10, 0, COLUMN_WORDS},
        {"youngest", "youngest", "", 10, 0, COLUMN_WORDS},
        {"from_runs", NULL, "", 0, 0, COLUMN_NOTES},
    };
    size_t count;
    const jl_book_vessel *v = jl_book_vessels(book, &count);
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < count; i++)
        if (!v[i].retired) add_vessel(t, &v[i]);
    return t;
}

struct table *lots_table(const jl_book *book) {
    static const column COLUMNS[] = {
        {"lot", "lot", "", 0, 0, COLUMN_WORDS},
        {"kind", "kind", "", 0, 0, COLUMN_WORDS},
        {"bottles", "bottles", "", 7, 0, COLUMN_NUMBERS},
        {"bottle_l", "size", "L", 5, EXACT + 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure\nalcohol", "L", 7, 3, COLUMN_NUMBERS},
        {"since", "bottled", "", 10, 0, COLUMN_WORDS},
    };
    size_t count;
    const jl_book_lot *l = jl_book_lots(book, &count);
    struct table *t = table_new(COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < count; i++) {
        if (l[i].bottles == 0) continue;
        table_row(t, CELLS(V(l[i].name), V(l[i].kind), V((double)l[i].bottles), V(l[i].bottle_l),
                           V(jl_spirit_strength_pct(l[i].spirit)), v_pure(l[i].spirit),
                           V(DAY(l[i].since))));
    }
    return t;
}

/* Where the spirit in each vessel is from. */
static void note_origins(show *s, const jl_book *book) {
    size_t count;
    char origins[1024];
    const jl_book_vessel *v = jl_book_vessels(book, &count);
    for (size_t i = 0; i < count; i++) {
        if (v[i].retired || !(jl_mass_kg(v[i].spirit) > 0)) continue;
        write_origins(&v[i], origins, sizeof origins);
        if (*origins != '\0') show_note(s, "In %s, of its alcohol: %s.", v[i].name, origins);
    }
}

void show_stock(show *s, const jl_book *book) {
    jl_spirit held = jl_book_held(book);
    show_whole_table(s, "stock", stock_table(book));
    show_whole_table(s, "lots", lots_table(book));
    show_number(s, "pure_alcohol_l", "Pure alcohol in all", jl_pure_alcohol_l(held), 3, "L");
    const char *again = jl_mass_kg(held) > 0 ? "or" : NULL;
    show_number(s, "pure_alcohol_hl", again, jl_pure_alcohol_l(held) / 100, 5, "hL");
    show_number(s, "proof_gallons_us", again, jl_proof_gallons_us(held), 2, "proof gallons (US)");
    note_origins(s, book);
}

/* It is counted as in an account. */
static void warn_later(show *s, const jl_book *book, int64_t until_s) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count), *of;
    for (size_t i = 0; i < count; i++) {
        char text[LATER_BYTES];
        if (all[i].written.unix_s < until_s || !was_written_later(all, i, INT64_MIN, until_s, &of))
            continue;
        later_in_words(&all[i], of, fabs(jl_pure_alcohol_l(of->change)), 3, "L", text);
        show_warning(s, "%s: it counts from %s on.", text, DAY(all[i].written));
    }
}

static int answer(const jl_book_file *f, const jl_book *book, int64_t until_s, bool json) {
    show *s = show_open(json);
    show_stock(s, book);
    warn_later(s, jl_book_in(f), until_s);
    warn_of_book(s, f);
    show_standing_caution(
        s, "Spirit in store burns: no flame, no spark, a closed vessel. Its vapour burns "
           "too; keep no more than your law allows.");
    return show_close(s, EXIT_DONE);
}

static int run_stock(const char *path, const char *time, bool json) {
    jl_book_file *f;
    jl_book *then = NULL;
    jl_time when = {INT64_MAX, 0};
    int bad = time == NULL ? EXIT_DONE : period_read("--time", time, true, &when);
    if (bad == EXIT_DONE) bad = book_open_to_read(path, &f);
    if (bad != EXIT_DONE) return bad;
    if (time != NULL && jl_book_until(jl_book_in(f), when.unix_s, &then) != JL_OK) need(NULL);
    bad = answer(f, then == NULL ? jl_book_in(f) : then, when.unix_s, json);
    jl_book_free(then);
    jl_book_close(f);
    return bad;
}

int command_stock(int argc, const char **argv) {
    char *time = NULL;
    int json = 0;
    setting_options with = {.in_its_units = true};
    jl_settings bench;
    const struct poptOption table[] = {
        OPTION("time", &time, "TIME", "as it stood at the end of that day, or at that moment"),
        BENCH_OPTION(with),
        JSON_LAST(&json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv [--time DATE]",
                  "What every vessel and every lot of bottles holds")) {
        with.log = a.words[0];
        a.exit_status = a.count != 1 ? refuse("expected one book, as house.csv")
                                     : instruments_read(&with, &bench); /* for the digits */
        if (a.exit_status == 0) a.exit_status = run_stock(a.words[0], time, json != 0);
    }
    return args_close(&a);
}
