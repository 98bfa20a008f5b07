/* Any bytes as a book: entries that hold together and an account that closes, or a fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/account.h"
#include "book/book_file.h"
#include "target.h"

#include <string.h>

static double apart(double a, double b) {
    return fabs(a - b) / fmax(fmax(fabs(a), fabs(b)), 1e-3);
}

static bool is_amount(jl_spirit s) {
    return s.ethanol_kg >= 0 && s.water_kg >= 0 && isfinite(s.ethanol_kg) && isfinite(s.water_kg);
}

/* What came in is what is held and what went out. */
static void flows_hold(const jl_book *book) {
    jl_book_flows f = jl_book_flowed(book);
    jl_spirit held = jl_book_held(book);
    double in = f.opening.ethanol_kg + f.received.ethanol_kg + f.collected.ethanol_kg +
                f.water.ethanol_kg + f.gained.ethanol_kg;
    double out = held.ethanol_kg + f.charged.ethanol_kg + f.removed.ethanol_kg + f.lost.ethanol_kg;
    HOLDS(apart(in, out) < 1e-4); /* digits that were dropped are not refused */
}

static void vessels_hold(const jl_book *book) {
    size_t count;
    const jl_book_vessel *v = jl_book_vessels(book, &count);
    for (size_t i = 0; i < count; i++) {
        HOLDS(is_amount(v[i].spirit) && v[i].origin_count <= JL_BOOK_ORIGINS);
        HOLDS(jl_book_vessel_named(book, v[i].name) != NULL);
    }
}

static void account_holds(const jl_book *book) {
    jl_settings bench;
    jl_account a;
    jl_settings_begin(&bench);
    const jl_instruments in = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&in, JL_ALCOHOLOMETER};
    if (jl_account_of(book, INT64_MIN, INT64_MAX, by, &a) != JL_OK) return;
    HOLDS(apart(a.all.of[JL_ACCOUNT_CLOSING].ethanol_kg, jl_book_held(book).ethanol_kg) < 1e-9);
    for (size_t i = 0; i < a.gauging_count; i++) HOLDS(a.gaugings[i].standard_kg >= 0);
    jl_account_free(&a);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_book_file *file;
    jl_fault fault;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_book_read(fd, &file, &fault);
    close(fd);
    if (status == JL_OK) {
        flows_hold(jl_book_in(file));
        vessels_hold(jl_book_in(file));
        account_holds(jl_book_in(file));
        jl_book_close(file);
    } else
        fault_holds(status, &fault);
    return 0;
}
