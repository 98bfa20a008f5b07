/* Books of 200 drawn entries on the disk, and what the library has of each at every entry, for a program
 * that sums their columns: books FOLDER COUNT.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_file.h"
#include "book/draw.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { ENTRIES = 200, VESSELS = 6 };

static int64_t now_s = 1790000000;

static void print(jl_spirit s) {
    printf(" %.17g %.17g", s.ethanol_kg, s.water_kg);
}

static void print_state(const jl_book_file *f, const jl_book_entry *e) {
    char number[JL_BOOK_NUMBER_BYTES];
    jl_book_flows flows = jl_book_flowed(jl_book_in(f));
    const jl_spirit all[] = {flows.opening, flows.received, flows.collected, flows.water,
                             flows.gained,  flows.charged,  flows.removed,   flows.lost};
    jl_book_number_write(e->number, number);
    printf("%s", number);
    print(jl_book_held(jl_book_in(f)));
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) print(all[i]);
    putchar('\n');
}

static void at(jl_book_entry *e, int64_t unix_s) {
    e->written = (jl_time){unix_s, 0};
    if (!e->late) e->time = e->written;
}

static jl_book_entry vessel_at(int v, char name[16]) {
    snprintf(name, 16, "v%d", v);
    jl_book_entry e = vessel(name, 5 + 10 * v, v < 3 ? "glass" : "wood");
    at(&e, now_s += 60);
    return e;
}

/* Entries that the book refuses are passed over, as at a bench. */
static int write_book(const char *path) {
    char name[16], from[16], into[16], lot[16];
    jl_book_refusal r;
    jl_fault fault;
    jl_book_file *f;
    jl_book_entry e = vessel_at(0, name);
    if (jl_book_create(path, NULL, &e, &r, &fault, NULL) != JL_OK) return 1;
    if (jl_book_open(path, 0, &f, &fault, NULL) != JL_OK) return 1;
    printf("%s\n", path);
    for (int i = 1; i < ENTRIES; i++) {
        e = i < VESSELS ? vessel_at(i, name) : drawn_any(jl_book_in(f), now_s, from, into, lot);
        at(&e, now_s += 60);
        if (jl_book_write(f, &e, &r, &fault) == JL_OK) print_state(f, &e);
    }
    jl_book_close(f);
    return 0;
}

int main(int argc, char **argv) {
    char path[512];
    if (argc != 3) return fprintf(stderr, "books FOLDER COUNT\n"), 2;
    for (int b = 0, count = atoi(argv[2]); b < count; b++) {
        snprintf(path, sizeof path, "%s/book-%d.csv", argv[1], b);
        if (write_book(path) != 0) return fprintf(stderr, "%s is not written\n", path), 1;
    }
    return 0;
}
