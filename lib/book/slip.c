/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/slip.h"
#include "text/digits.h"

#include <math.h>

/* Common practice, no source: what a gauging seldom finds more or less than was known, and how near to
 * that a guess comes; what shows a strength is at most so much. */
static const double GAINED_SHARE = 0.1, LOST_SHARE = 0.25, FITS_SHARE = 0.05;
static const double MOST_PCT = 100, MOST_PROOF = 200;

typedef struct guessing {
    double typed, most, found_kg, known_kg;
    const char *unit;
    double apart_kg; /* of the nearest guess */
    jl_book_slip *slip;
} guessing;

/* Ethanol goes with the figure, near enough for a guess. */
static void try_meant(void *with, double number) {
    guessing *g = with;
    double apart_kg = fabs(g->found_kg * number / g->typed - g->known_kg);
    if (!(number > 0 && number <= g->most) || !(apart_kg < g->apart_kg)) return;
    g->apart_kg = apart_kg;
    *g->slip = (jl_book_slip){number, g->unit};
}

static void try_figure(guessing *g, double typed, double most, const char *unit) {
    if (!(typed > 0)) return;
    g->typed = typed;
    g->most = most;
    g->unit = unit;
    jl_other_points(typed, try_meant, g);
    jl_other_digits(typed, try_meant, g);
}

bool jl_book_slip_of(const jl_book *book, const jl_book_entry *e, jl_book_slip *slip) {
    const char *name = e->what == JL_BOOK_GAUGED ? e->from : e->into;
    const jl_book_vessel *v = jl_book_vessel_named(book, name);
    const double room = v == NULL ? INFINITY : v->capacity_l; /* of a weight near enough */
    const jl_book_measure *m = &e->measured;
    const jl_quantity s = isnan(m->reading.value) ? m->strength : m->reading;
    const bool proof = s.unit == JL_UNIT_PROOF_US;
    double found_kg = e->amount.ethanol_kg, gain_kg = jl_book_found(e).ethanol_kg;
    double known_kg = found_kg - gain_kg;
    guessing g = {.found_kg = found_kg,
                  .known_kg = known_kg,
                  .apart_kg = FITS_SHARE * known_kg,
                  .slip = slip};
    *slip = (jl_book_slip){NAN, ""};
    if (!(found_kg > 0 && known_kg > 0) ||
        (gain_kg <= GAINED_SHARE * known_kg && -gain_kg <= LOST_SHARE * known_kg))
        return false;
    try_figure(&g, m->volume_l, room, "L");
    try_figure(&g, m->weight_kg, room, "kg");
    try_figure(&g, s.value, proof ? MOST_PROOF : MOST_PCT, proof ? "proof" : "%");
    return true;
}
