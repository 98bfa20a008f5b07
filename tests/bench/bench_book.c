/* Stock and account of a book of 100,000 entries, against a bare libcsv pass with strtod over its
 * columns of numbers; what it takes of memory; and how it grows from 10,000.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "book/account.h"
#include "book/book_file.h"

#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <unistd.h>

enum { ENTRIES = 100000, VESSELS = 20, COLUMNS = 21 };

typedef struct job {
    FILE *book;
    double held_l, closing_l; /* by jarline */
    double sum;               /* by libcsv */
    size_t column;
    bool failed;
} job;

typedef struct writing {
    FILE *to;
    size_t entries;
    jl_spirit litre;
    double holds_l[VESSELS];
} writing;

/* One row; volume_l 0: none. */
static void add(writing *w, const char *what, const char *from, const char *into, double volume_l,
                const char *strength, const char *more) {
    size_t n = ++w->entries;
    jl_spirit s = {w->litre.ethanol_kg * volume_l, w->litre.water_kg * volume_l};
    fprintf(w->to,
            "2026-%zu,2026-%02zu-%02zuT%02zu:%02zu:00+01:00,%s,%s,%s,%s,spirit,%.6g,,,%s,,,,,,,,,%."
            "17f,%.17f\n",
            n, 1 + n / 40320 % 12, 1 + n / 1440 % 28, n / 60 % 24, n % 60, what, from, into, more,
            volume_l, strength, s.ethanol_kg, s.water_kg);
}

static void add_vessels(writing *w) {
    for (int v = 0; v < VESSELS; v++) {
        char name[16];
        snprintf(name, sizeof name, "v%d", v);
        size_t n = ++w->entries;
        fprintf(w->to,
                "2026-%zu,2026-01-01T00:%02zu:00+01:00,vessel,,%s,,glass,1e7,,,,,,,,,,,,0,0\n", n,
                n % 60, name);
    }
}

/* What a house writes, over and over: collected from outside, moved, sold, lost, gauged. */
static void add_round(writing *w) {
    size_t k = w->entries % VESSELS, other = (k * 7 + 3) % VESSELS;
    char v[16], to[16];
    snprintf(v, sizeof v, "v%zu", k);
    snprintf(to, sizeof to, "v%zu", other == k ? (k + 1) % VESSELS : other);
    add(w, "received", "", v, 10, "70", "");
    w->holds_l[k] += 10;
    add(w, "moved", v, to, 2.5, "", "");
    w->holds_l[k] -= 2.5;
    w->holds_l[other == k ? (k + 1) % VESSELS : other] += 2.5;
    add(w, "removed", v, "", 5, "", "shop");
    add(w, "lost", v, "", 0.25, "", "");
    w->holds_l[k] -= 5.25;
    add(w, "gauged", v, "", w->holds_l[k], "70", "");
}

static FILE *generate(size_t entries) {
    writing w = {.to = tmpfile()};
    double p;
    if (w.to == NULL || jl_mass_fraction_from_strength(70, JL_STRENGTH_C, &p) != JL_OK ||
        jl_spirit_from_volume(1, p, JL_STRENGTH_C, &w.litre) != JL_OK)
        return NULL;
    fprintf(w.to,
            "#jarline,1\n#kind,book\nentry,time,what,from,into,receiver,kind,volume_l,weight_kg,"
            "reading_pct,strength_pct,temp_c,solids_g_100ml,bottles,bottle_ml,lot,run,late,note,"
            "ethanol_kg,water_kg\n");
    add_vessels(&w);
    while (w.entries < entries) add_round(&w);
    fflush(w.to);
    return w.to;
}

static void read_book(job *j, jl_book_file **f) {
    lseek(fileno(j->book), 0, SEEK_SET);
    j->failed = j->failed || jl_book_read(fileno(j->book), f, NULL) != JL_OK;
}

static void stock(void *with) {
    job *j = with;
    jl_book_file *f = NULL;
    read_book(j, &f);
    if (f != NULL) j->held_l = jl_pure_alcohol_l(jl_book_held(jl_book_in(f)));
    jl_book_close(f);
}

static void account(void *with) {
    job *j = with;
    jl_book_file *f = NULL;
    jl_account a;
    jl_settings bench;
    jl_settings_begin(&bench);
    const jl_instruments in = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&in, JL_ALCOHOLOMETER};
    read_book(j, &f);
    if (f == NULL) return;
    j->failed = j->failed || jl_account_of(jl_book_in(f), INT64_MIN, INT64_MAX, by, &a) != JL_OK;
    if (!j->failed) {
        j->closing_l = jl_pure_alcohol_l(a.all.of[JL_ACCOUNT_CLOSING]);
        jl_account_free(&a);
    }
    jl_book_close(f);
}

static void on_cell(void *text, size_t length, void *with) {
    job *j = with;
    (void)length;
    size_t c = j->column++ % COLUMNS;
    if ((c >= 7 && c <= 14) || c >= 19) j->sum += strtod(text, NULL);
}

static void on_row(int end, void *with) {
    (void)end;
    ((job *)with)->column = 0;
}

static void by_libcsv(void *with) {
    static char block[65536];
    job *j = with;
    struct csv_parser parser;
    j->column = 0;
    csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL);
    lseek(fileno(j->book), 0, SEEK_SET);
    ssize_t n;
    while ((n = read(fileno(j->book), block, sizeof block)) > 0)
        if (csv_parse(&parser, block, (size_t)n, on_cell, on_row, j) != (size_t)n) j->failed = true;
    csv_fini(&parser, on_cell, on_row, j);
    csv_free(&parser);
}

static double peak_mib(void) {
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return (double)usage.ru_maxrss / 1024;
}

int main(void) {
    enum { ROUNDS = 9 };
    jl_quiet();
    job small = {.book = generate(ENTRIES / 10)}, large = {.book = generate(ENTRIES)};
    if (small.book == NULL || large.book == NULL) return fprintf(stderr, "no temporary file\n"), 1;
    double stock_s = 1e300, account_s = 1e300, floor_s = 1e300, small_s = 1e300;
    /* In turns, so that what disturbs the machine disturbs all. */
    for (int i = 0; i < ROUNDS; i++) {
        small_s = fmin(small_s, bench_least_processor_s(account, &small, 1));
        stock_s = fmin(stock_s, bench_least_processor_s(stock, &large, 1));
        account_s = fmin(account_s, bench_least_processor_s(account, &large, 1));
        floor_s = fmin(floor_s, bench_least_processor_s(by_libcsv, &large, 1));
    }
    if (large.failed || small.failed || !(large.held_l > 0) ||
        fabs(large.held_l - large.closing_l) > 1e-6)
        return fprintf(stderr, "the book is not read to its end\n"), 1;
    double growth = account_s / small_s, mib = peak_mib();
    int worst = bench_row("stock of 100000 entries (floor: libcsv, strtod)", stock_s * 1e3,
                          floor_s * 1e3, "ms", stock_s / floor_s, "<= 4", stock_s / floor_s <= 4);
    worst |= bench_row("account of 100000 entries (floor: the same)", account_s * 1e3,
                       floor_s * 1e3, "ms", account_s / floor_s, "<= 4", account_s / floor_s <= 4);
    worst |= bench_row("  against 10000 entries: linear", account_s * 1e3, small_s * 1e3, "ms",
                       growth, "<= 14", growth <= 14);
    return worst | bench_row("  peak memory", mib, 128, "Mi", mib / 128, "<= 128 MiB", mib <= 128);
}
