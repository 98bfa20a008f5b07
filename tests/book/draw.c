/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/draw.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

jl_book_entry entry_of(jl_book_what what, const char *from, const char *into) {
    jl_book_entry e = JL_BOOK_BLANK(what);
    e.from = from;
    e.into = into;
    return e;
}

jl_book_entry vessel(const char *name, double capacity_l, const char *use) {
    jl_book_entry e = entry_of(JL_BOOK_VESSEL, "", name);
    e.kind = use;
    e.measured.volume_l = capacity_l;
    return e;
}

jl_book_entry amount(jl_book_what what, const char *into, double volume_l, double pct) {
    jl_book_entry e = entry_of(what, "", into);
    if (what == JL_BOOK_GAUGED) e = entry_of(what, into, "");
    e.measured.volume_l = volume_l;
    e.measured.strength = (jl_quantity){pct, JL_UNIT_PCT_VOL};
    return e;
}

jl_book_entry part(jl_book_what what, const char *from, const char *into, double volume_l) {
    jl_book_entry e = entry_of(what, from, into);
    e.measured.volume_l = volume_l;
    e.measured.all = isnan(volume_l);
    return e;
}

jl_book_entry bottles(jl_book_what what, const char *from, const char *lot, uint32_t count) {
    jl_book_entry e = entry_of(what, from, "");
    e.lot = lot;
    e.bottles = count;
    e.bottle_l = 0.7;
    return e;
}

static uint32_t drawn = 1;

uint32_t draw(uint32_t below) {
    drawn = drawn * 1664525u + 1013904223u;
    return (drawn >> 8) % below;
}

double draw_between(double low, double high) {
    return low + (high - low) * draw(100000) / 1e5;
}

static jl_book_entry drawn_entry(const jl_book *book, int64_t now_s, char from[16], char into[16],
                                 char lot[16]) {
    snprintf(from, 16, "v%u", draw(6));
    snprintf(into, 16, "v%u", draw(6));
    snprintf(lot, 16, "%u", draw(4));
    jl_book_entry e;
    switch (draw(12)) {
    case 0:
        return amount(JL_BOOK_RECEIVED, into, draw_between(0.1, 6), draw_between(0, 96));
    case 1:
        return amount(JL_BOOK_OPENING, into, draw_between(0.1, 6), draw_between(0, 96));
    case 2:
        e = draw(2) ? entry_of(JL_BOOK_COLLECTED, "", into)
                    : amount(JL_BOOK_COLLECTED, into, draw_between(0.1, 6), draw_between(0, 96));
        e.amount = e.logged = (jl_spirit){draw_between(0, 3), draw_between(0, 3)};
        return e;
    case 3:
        return part(JL_BOOK_CHARGED, from, "", draw(2) ? NAN : draw_between(0.1, 5));
    case 4:
    case 5:
        return part(JL_BOOK_MOVED, from, into, draw(3) ? draw_between(0.1, 5) : NAN);
    case 6:
        e = entry_of(JL_BOOK_WATER, "", into);
        e.measured.weight_kg = draw_between(0.1, 2);
        return e;
    case 7:
        return bottles(JL_BOOK_BOTTLED, from, lot, 1 + draw(5));
    case 8:
        memmove(from + 4, lot, strlen(lot) + 1);
        memcpy(from, "lot:", 4);
        return bottles(draw(2)   ? JL_BOOK_REMOVED
                       : draw(2) ? JL_BOOK_LOST
                                 : JL_BOOK_GAUGED,
                       from, "", draw(4));
    case 9:
        return amount(JL_BOOK_GAUGED, from, draw_between(0, 6), draw_between(0, 96));
    case 10:
        return part(draw(2) ? JL_BOOK_LOST : JL_BOOK_REMOVED, from, "", draw_between(0.1, 2));
    default:
        e = entry_of(JL_BOOK_CANCELLED, "", "");
        e.cancelled = jl_book_next(book, (jl_time){now_s, 0});
        e.cancelled.serial -= 1 + draw(4);
        return e;
    }
}

jl_book_entry drawn_any(const jl_book *book, int64_t now_s, char from[16], char into[16],
                        char lot[16]) {
    static const char *const KINDS[] = {"spirit", "low wines", "feints", ""};
    jl_book_entry e = drawn_entry(book, now_s, from, into, lot);
    if (e.what != JL_BOOK_CANCELLED && draw(4) == 0) e.kind = KINDS[draw(4)];
    if (draw(20) == 0) {
        e.time = (jl_time){now_s - 86400, 0};
        e.late = true;
    }
    return e;
}
