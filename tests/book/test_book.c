/* The book of the house: what it takes, what it refuses, and that nothing is lost between.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/account.h"
#include "book/draw.h"
#include "check.h"
#include "spirit/spirit.h"
#include "suites.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static jl_status take_at(jl_book *book, jl_book_entry *e, int64_t unix_s, jl_book_refusal *r) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    if (e->written.unix_s == 0) e->written = (jl_time){unix_s, 0};
    if (e->time.unix_s == 0) e->time = e->written;
    e->number = jl_book_next(book, e->written);
    jl_status status = jl_book_settle(book, &instrument, e, r);
    return status == JL_OK ? jl_book_take(book, e, r) : status;
}

static int64_t now_s = 1790000000;

static jl_status take(jl_book *book, jl_book_entry e, jl_book_refusal *r) {
    return take_at(book, &e, now_s += 60, r);
}

static double gap(double in, double out) {
    return fabs(in - out) / fmax(fmax(fabs(in), fabs(out)), 1e-3);
}

/* How far ethanol and water are from closing, relative to the larger side. */
static double open_by(const jl_book *book) {
    jl_book_flows f = jl_book_flowed(book);
    jl_spirit held = jl_book_held(book);
    double ethanol_in = f.opening.ethanol_kg + f.received.ethanol_kg + f.collected.ethanol_kg +
                        f.water.ethanol_kg + f.gained.ethanol_kg;
    double water_in = f.opening.water_kg + f.received.water_kg + f.collected.water_kg +
                      f.water.water_kg + f.gained.water_kg;
    double ethanol_out =
        held.ethanol_kg + f.charged.ethanol_kg + f.removed.ethanol_kg + f.lost.ethanol_kg;
    double water_out = held.water_kg + f.charged.water_kg + f.removed.water_kg + f.lost.water_kg;
    return fmax(gap(ethanol_in, ethanol_out), gap(water_in, water_out));
}

/* ---- read off other instruments ---- */

static void what_other_instruments_showed_is_kept_as_the_same_mixture(void) {
    const jl_alcoholometer own = JL_ALCOHOLOMETER;
    const jl_alcoholometer others[] = {{NAN, 25e-6, 2, -5}, {15, 25e-6, 0, 0},
                                       {NAN, 10e-6, 0, 0},  {20, 25e-6, -0.3, 0.4},
                                       {NAN, 25e-6, 0, 1},  {NAN, 25e-6, 1, 0}};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        double by_other, by_own;
        jl_book_measure m = JL_BOOK_UNMEASURED;
        m.reading.value = 43.2;
        m.temp_c = 24;
        CHECK_OK(jl_reading_to_mass_fraction(&others[i], m.reading, m.temp_c, &by_other));
        CHECK_OK(jl_book_measure_as(&others[i], &own, &m));
        CHECK(m.reading.value != 43.2 || m.temp_c != 24);
        CHECK_NEAR(m.temp_c, 24 + others[i].thermometer_correction_c, 1e-12);
        CHECK_OK(jl_reading_to_mass_fraction(&own, m.reading, m.temp_c, &by_own));
        CHECK_NEAR(by_own, by_other, 2e-8);
        CHECK_NEAR(1e6 * m.reading.value, round(1e6 * m.reading.value), 1e-6);
        CHECK_OK(jl_book_measure_as(&own, &others[i], &m));
        CHECK_NEAR(m.reading.value, 43.2, 2e-6);
        CHECK_NEAR(m.temp_c, 24, 1e-12);
    }
}

static void what_needs_no_correction_stays_as_it_was(void) {
    const jl_alcoholometer own = JL_ALCOHOLOMETER, same = {20, 25e-6, 0, 0},
                           warm = {NAN, 25e-6, 0, 2};
    jl_book_measure m = JL_BOOK_UNMEASURED;
    m.reading.value = 43.20000001;
    CHECK_OK(jl_book_measure_as(&warm, &own, &m)); /* without a temperature it is none yet */
    CHECK(m.reading.value == 43.20000001 && isnan(m.temp_c));
    m.temp_c = 24;
    CHECK_OK(jl_book_measure_as(&same, &own, &m));
    CHECK(m.reading.value == 43.20000001 && m.temp_c == 24);
    m.reading.value = NAN;
    CHECK_OK(jl_book_measure_as(&warm, &own, &m));
    CHECK(isnan(m.reading.value) && m.temp_c == 26);
    m.computed = true;
    CHECK_OK(jl_book_measure_as(&warm, &own, &m));
    CHECK(m.temp_c == 26);
    m.computed = false;
    m.reading.value = 101;
    CHECK_STATUS(jl_book_measure_as(&warm, &own, &m), JL_RANGE);
    CHECK(m.reading.value == 101 && m.temp_c == 26);
}

/* ---- one season ---- */

static void a_season_is_taken_and_closes(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("demijohn-1", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("cask-1", 20, "wood"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "demijohn-1", 4, 70), &r));
    CHECK_OK(take(book, part(JL_BOOK_MOVED, "demijohn-1", "cask-1", 2.5), &r));
    jl_book_entry water = entry_of(JL_BOOK_WATER, "", "cask-1");
    water.measured.weight_kg = 1.2;
    CHECK_OK(take(book, water, &r));
    const jl_book_vessel *cask = jl_book_vessel_named(book, "CASK-1");
    /* 2.5 L at 70 % and 1.2 kg of water on the scale: the strength by mass alone. */
    CHECK_NEAR(jl_pure_alcohol_l(cask->spirit), 1.75, 1e-9);
    CHECK_NEAR(cask->spirit.water_kg - 1.2012, 2.5 * 0.88556 - 1.75 * 0.78924, 2e-4);
    CHECK_OK(take(book, bottles(JL_BOOK_BOTTLED, "cask-1", "2026-7", 5), &r));
    jl_book_entry given = bottles(JL_BOOK_REMOVED, "lot:2026-7", "", 2);
    given.receiver = "harvest supper";
    CHECK_OK(take(book, given, &r));
    CHECK_OK(take(book, amount(JL_BOOK_GAUGED, "demijohn-1", 1.45, 69.8), &r));
    CHECK(jl_book_lot_named(book, "2026-7")->bottles == 3);
    CHECK(open_by(book) < 1e-12);
    jl_book_flows f = jl_book_flowed(book);
    CHECK_NEAR(jl_pure_alcohol_l(f.lost), 1.5 * 0.7 - 1.45 * 0.698, 1e-9);
    jl_book_free(book);
}

static void what_the_state_does_not_allow_is_refused(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("demijohn-1", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("demijohn-2", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "demijohn-1", 4, 70), &r));
    CHECK_STATUS(take(book, part(JL_BOOK_MOVED, "demijohn-1", "demijohn-2", 4.5), &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && fabs(r.has - 4) < 1e-9 && r.asked == 4.5);
    CHECK_STATUS(take(book, amount(JL_BOOK_RECEIVED, "demijohn-1", 1.5, 40), &r), JL_NO);
    CHECK(r.why == JL_BOOK_ABOVE_CAPACITY && r.asked == 5);
    CHECK_STATUS(take(book, part(JL_BOOK_MOVED, "demijohn-1", "demijonh-2", 1), &r), JL_NO);
    CHECK(r.why == JL_BOOK_NO_VESSEL);
    CU_ASSERT_STRING_EQUAL(r.nearest, "demijohn-2");
    CHECK_STATUS(take(book, part(JL_BOOK_MOVED, "demijohn-1", "demijohn-1", 1), &r), JL_NO);
    CHECK(r.why == JL_BOOK_SAME);
    CHECK_STATUS(take(book, vessel("Demijohn-1", 5, "glass"), &r), JL_NO);
    CHECK(r.why == JL_BOOK_EXISTS);
    jl_book_entry retired = entry_of(JL_BOOK_VESSEL, "demijohn-1", "");
    retired.kind = "retired";
    CHECK_STATUS(take(book, retired, &r), JL_NO);
    CHECK(r.why == JL_BOOK_NOT_EMPTY);
    retired.from = "demijohn-2";
    CHECK_OK(take(book, retired, &r));
    CHECK_STATUS(take(book, part(JL_BOOK_MOVED, "demijohn-1", "demijohn-2", 1), &r), JL_NO);
    CHECK(r.why == JL_BOOK_RETIRED);
    CHECK_STATUS(take(book, bottles(JL_BOOK_LOST, "lot:9", "", 1), &r), JL_NO);
    CHECK(r.why == JL_BOOK_NO_LOT);
    CHECK_OK(take(book, bottles(JL_BOOK_BOTTLED, "demijohn-1", "9", 2), &r));
    CHECK_STATUS(take(book, bottles(JL_BOOK_LOST, "lot:9", "", 3), &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && r.has == 2 && r.asked == 3);
    CHECK_STATUS(take(book, part(JL_BOOK_MOVED, "demijohn-1", "cask", NAN), &r), JL_NO);
    CHECK_STATUS(take(book, part(JL_BOOK_WATER, "", "demijohn-1", -1), &r), JL_RANGE);
    CHECK(r.why == JL_BOOK_NO_AMOUNT);
    jl_book_free(book);
}

/* 2 kg on the scale are 2.0012 ... 2.002 kg of a spirit: air carries a part. */
static void amounts_are_weighed_too(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 5, "glass"), &r));
    jl_book_entry in = entry_of(JL_BOOK_OPENING, "", "a");
    in.measured.weight_kg = 2;
    in.measured.strength = (jl_quantity){70, JL_UNIT_PCT_VOL};
    CHECK_OK(take(book, in, &r));
    const jl_book_vessel *a = jl_book_vessel_named(book, "a");
    /* 70 % vol is 885.56 kg/m3 at 20 °C (OIML R 22). */
    CHECK_NEAR(jl_mass_kg(a->spirit), 2 * (1 + 1.2 / 885.56 - 1.2 / 8000), 2e-5);
    CHECK_NEAR(jl_pure_alcohol_l(a->spirit), 0.7 * jl_mass_kg(a->spirit) / 0.88556, 2e-4);
    double had_kg = jl_mass_kg(a->spirit);
    jl_book_entry out = entry_of(JL_BOOK_MOVED, "a", "b");
    out.measured.weight_kg = 0.5;
    CHECK_OK(take(book, out, &r));
    CHECK_NEAR(jl_mass_kg(jl_book_vessel_named(book, "b")->spirit), had_kg / 4, 1e-9);
    out.measured.weight_kg = 1.6;
    CHECK_STATUS(take(book, out, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS);
    jl_book_entry measured = amount(JL_BOOK_COLLECTED, "b", 1, 60);
    measured.from = "october.csv:3-7";
    measured.run = "October";
    CHECK_OK(take(book, measured, &r));
    CHECK_NEAR(jl_pure_alcohol_l(jl_book_vessel_named(book, "b")->spirit),
               0.7 * had_kg / 4 / 0.88556 + 0.6, 2e-4);
    measured.from = "october.csv:8";
    measured.measured.weight_kg = 1;
    CHECK_STATUS(take(book, measured, &r), JL_MISSING); /* one of both */
    CHECK(open_by(book) < 1e-12);
    jl_book_free(book);
}

/* A row that was written by hand has its amount, whatever was measured. */
static void what_a_row_takes_out_must_be_there(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    CHECK_OK(take(book, bottles(JL_BOOK_BOTTLED, "a", "9", 2), &r));
    jl_book_entry lost = part(JL_BOOK_LOST, "a", "", 1);
    lost.amount = (jl_spirit){9, 1};
    lost.written = lost.time = (jl_time){now_s += 60, 0};
    lost.number = jl_book_next(book, lost.written);
    CHECK_STATUS(jl_book_take(book, &lost, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && fabs(r.has - 2.6) < 1e-9 && r.asked > 10);
    jl_book_entry lot = bottles(JL_BOOK_LOST, "lot:9", "", 1);
    lot.amount = (jl_spirit){9, 1};
    lot.written = lot.time = lost.time;
    lot.number = lost.number;
    CHECK_STATUS(jl_book_take(book, &lot, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && r.has == 2);
    jl_book_entry smaller = entry_of(JL_BOOK_VESSEL, "a", "");
    smaller.measured.volume_l = 2.5;
    CHECK_STATUS(take(book, smaller, &r), JL_NO);
    CHECK(r.why == JL_BOOK_ABOVE_CAPACITY && fabs(r.has - 2.6) < 1e-9 && r.asked == 2.5);
    smaller.measured.volume_l = 2.7;
    CHECK_OK(take(book, smaller, &r));
    CHECK(jl_book_vessel_named(book, "a")->capacity_l == 2.7);
    jl_book_free(book);
}

/* Beyond that many the smallest are no longer kept apart, and nothing of them is lost. */
static void a_vessel_of_many_runs_keeps_the_largest(void) {
    enum { RUNS = JL_BOOK_ORIGINS + 6 };
    jl_book *book;
    jl_book_refusal r;
    char runs[RUNS][16], jars[RUNS][16];
    double sum_kg = 0, apart_kg = 0;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 100, "glass"), &r));
    for (int i = 0; i < RUNS; i++) {
        jl_book_entry e = entry_of(JL_BOOK_COLLECTED, jars[i], "a");
        snprintf(runs[i], sizeof runs[i], "run %d", i);
        snprintf(jars[i], sizeof jars[i], "r%d.csv:1", i);
        e.run = runs[i];
        e.amount = (jl_spirit){0.1 * (i + 1), 0.1};
        CHECK_OK(take(book, e, &r));
        sum_kg += e.amount.ethanol_kg;
    }
    const jl_book_vessel *a = jl_book_vessel_named(book, "a");
    CHECK(a->origin_count == JL_BOOK_ORIGINS);
    for (size_t i = 0; i < a->origin_count; i++) {
        apart_kg += a->origins[i].ethanol_kg;
        CHECK(strcmp(a->origins[i].run, "run 0") != 0);
    }
    CHECK_NEAR(apart_kg, sum_kg, 1e-12);
    CHECK_NEAR(a->spirit.ethanol_kg, sum_kg, 1e-12);
    jl_book_free(book);
}

/* ---- figures that give no amount ---- */

static jl_book_entry measured(jl_book_what what, const char *from, const char *into,
                              const double figures[5]) {
    jl_book_entry e = entry_of(what, from, into);
    e.measured.volume_l = figures[0];
    e.measured.weight_kg = figures[1];
    e.measured.reading.value = figures[2];
    e.measured.strength.value = figures[3];
    e.measured.temp_c = figures[4];
    return e;
}

static void figures_that_give_no_amount_are_refused(void) {
    static const struct {
        jl_book_what what;
        const char *from, *into;
        double figures[5]; /* l, kg, reading, strength, °C */
        jl_status status;
        jl_book_why why;
    } AT[] = {
        {JL_BOOK_OPENING, "", "a", {NAN, NAN, 60, NAN, 20}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, 1, 60, NAN, 20}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, NAN, NAN, 20}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, 60, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, 101, NAN, 20}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {NAN, 1, NAN, 60, 90}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, 40, 42, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, 101, 42, 20}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_OPENING, "", "a", {1, NAN, 40, 101, 20}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_WATER, "", "a", {NAN, NAN, NAN, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_WATER, "", "a", {1, 1, NAN, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_WATER, "", "a", {1, NAN, NAN, NAN, 90}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_WATER, "", "a", {NAN, 1, NAN, NAN, 90}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_WATER, "", "b", {1, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_EMPTY},
        {JL_BOOK_MOVED, "a", "b", {NAN, NAN, NAN, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_MOVED, "a", "b", {1, 1, NAN, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_MOVED, "a", "b", {0, NAN, NAN, NAN, NAN}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_MOVED, "a", "b", {1, NAN, NAN, NAN, 90}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_MOVED, "b", "a", {1, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_EMPTY},
        {JL_BOOK_GAUGED, "a", "", {1, NAN, 101, NAN, 20}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_GAUGED, "z", "", {1, NAN, NAN, 60, 20}, JL_NO, JL_BOOK_NO_VESSEL},
        {JL_BOOK_GAUGED, "a", "", {6, NAN, NAN, 60, 20}, JL_NO, JL_BOOK_ABOVE_CAPACITY},
        {JL_BOOK_GAUGED, "lot:8", "", {NAN, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_NO_LOT},
        {JL_BOOK_VESSEL, "z", "", {6, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_NO_VESSEL},
        {JL_BOOK_VESSEL, "a", "b", {6, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_EXISTS},
        {JL_BOOK_VESSEL, "", "", {6, NAN, NAN, NAN, NAN}, JL_MISSING, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_VESSEL, "", "z", {0, NAN, NAN, NAN, NAN}, JL_RANGE, JL_BOOK_NO_AMOUNT},
        {JL_BOOK_VESSEL, "", "lot:z", {6, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_NAME},
        {JL_BOOK_VESSEL, "a", "z:1", {6, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_NAME},
        {JL_BOOK_VESSEL, "", "  ", {6, NAN, NAN, NAN, NAN}, JL_NO, JL_BOOK_NAME},
    };
    jl_book *book;
    jl_book_refusal r;
    size_t count;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        CHECK_STATUS(take(book, measured(AT[i].what, AT[i].from, AT[i].into, AT[i].figures), &r),
                     AT[i].status);
        CHECK(r.why == AT[i].why && r.status == AT[i].status);
    }
    jl_book_entry bottled = bottles(JL_BOOK_BOTTLED, "a", "9", 0);
    CHECK_STATUS(take(book, bottled, &r), JL_RANGE);
    bottled.bottles = 2;
    bottled.bottle_l = 0;
    CHECK_STATUS(take(book, bottled, &r), JL_RANGE);
    bottled.bottle_l = 0.7;
    bottled.lot = "9:1";
    CHECK_STATUS(take(book, bottled, &r), JL_NO);
    CHECK(r.why == JL_BOOK_NAME);
    bottled.lot = "9";
    CHECK_OK(take(book, bottled, &r));
    CHECK_STATUS(take(book, bottles(JL_BOOK_LOST, "lot:9", "", 0), &r), JL_RANGE);
    bottled.bottle_l = 0.5;
    CHECK_STATUS(take(book, bottled, &r), JL_NO);
    CHECK(r.why == JL_BOOK_EXISTS);
    jl_book_entries(book, &count);
    CHECK(count == 4 && open_by(book) < 1e-12);
    jl_book_free(book);
}

/* A row has its amount already: what else it needs is looked at when it is taken. */
static void a_row_needs_what_an_entry_needs(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    CHECK_OK(take(book, bottles(JL_BOOK_BOTTLED, "a", "9", 2), &r));
    jl_book_entry e = bottles(JL_BOOK_BOTTLED, "a", "", 2);
    e.written = e.time = (jl_time){now_s += 60, 0};
    e.number = jl_book_next(book, e.written);
    e.amount = (jl_spirit){0.1, 0.1};
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_MISSING);
    CU_ASSERT_STRING_EQUAL(r.name, "lot");
    e.lot = "10";
    e.bottle_l = NAN;
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_RANGE);
    CU_ASSERT_STRING_EQUAL(r.name, "bottles");
    e = bottles(JL_BOOK_LOST, "lot:11", "", 1);
    e.written = e.time = (jl_time){now_s, 0};
    e.number = jl_book_next(book, e.written);
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_NO_LOT);
    CU_ASSERT_STRING_EQUAL(r.name, "11");
    e.what = JL_BOOK_GAUGED; /* in a book whose rows a spreadsheet has sorted */
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_NO_LOT);
    e.what = JL_BOOK_LOST;
    e.from = "lot:9"; /* so few bottles, so much in them */
    e.amount = (jl_spirit){9, 1};
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && r.has == 2 && r.asked == 1);
    e.bottles = 3;
    e.amount = (jl_spirit){0.1, 0.1};
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS && r.has == 2 && r.asked == 3);
    /* water alone may be more than there is */
    e = part(JL_BOOK_LOST, "a", "", 1);
    e.written = e.time = (jl_time){now_s, 0};
    e.number = jl_book_next(book, e.written);
    e.amount = (jl_spirit){0.1, 3};
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_HOLDS_LESS);
    /* digits that a spreadsheet dropped: a millionth more than there is empties it, and no more */
    e.amount = jl_spirit_times(jl_book_vessel_named(book, "a")->spirit, 1 + 1e-7);
    CHECK_OK(jl_book_take(book, &e, &r));
    CHECK(jl_book_vessel_named(book, "a")->spirit.ethanol_kg == 0);
    CHECK(jl_book_vessel_named(book, "a")->spirit.water_kg == 0);
    e.written.unix_s -= 1;
    CHECK_STATUS(jl_book_take(book, &e, &r), JL_NO);
    CHECK(r.why == JL_BOOK_BEFORE_LAST);
    jl_book_free(book);
}

/* All of it by its figure is all of it to the last bit, and water is spirit of 0 %. */
static void all_that_is_held_is_moved_by_its_figure(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 9, "glass"), &r));
    jl_book_entry in = amount(JL_BOOK_OPENING, "a", 3, 70);
    in.run = "October";
    CHECK_OK(take(book, in, &r));
    const jl_spirit held = jl_book_vessel_named(book, "a")->spirit;
    CHECK_OK(take(book, part(JL_BOOK_MOVED, "a", "b", 3), &r));
    const jl_book_vessel *a = jl_book_vessel_named(book, "a");
    const jl_book_vessel *b = jl_book_vessel_named(book, "b");
    CHECK(a->spirit.ethanol_kg == 0 && a->spirit.water_kg == 0 && a->origin_count == 0);
    CHECK(b->spirit.ethanol_kg == held.ethanol_kg && b->origin_count == 1);
    CU_ASSERT_STRING_EQUAL(b->origins[0].run, "October");
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 2, 0), &r));
    CHECK_OK(take(book, amount(JL_BOOK_GAUGED, "a", 1.5, 0), &r));
    CHECK(a->origin_count == 0 && a->spirit.ethanol_kg == 0);
    CHECK_OK(take(book, part(JL_BOOK_MOVED, "a", "b", 1), &r));
    CHECK(b->origin_count == 1 && b->spirit.ethanol_kg == held.ethanol_kg);
    CHECK_NEAR(b->spirit.water_kg, held.water_kg + 0.99820, 1e-5); /* water at 20 °C, IAPWS */
    CHECK_OK(take(book, part(JL_BOOK_LOST, "a", "", 0.5), &r));
    CHECK(a->spirit.water_kg == 0);
    jl_book_entry none = entry_of(JL_BOOK_GAUGED, "b", "");
    none.measured.weight_kg = 0;
    CHECK_OK(take(book, none, &r));
    CHECK(b->spirit.ethanol_kg == 0 && b->spirit.water_kg == 0);
    CHECK(open_by(book) < 1e-12);
    jl_book_free(book);
}

static void an_entry_number_is_a_year_and_a_number(void) {
    static const char *const BAD[] = {"",        "26-1",    "20261-1", "2026",
                                      "2026/1",  "2026-",   "2026-x",  "2026-0",
                                      "2026-01", "2026-1 ", "2026-1x", "2026-1234567890"};
    jl_book_number number = {1, 1};
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++)
        CHECK_STATUS(jl_book_number_read(BAD[i], &number), JL_FORM);
    CHECK(number.year == 1 && number.serial == 1);
    CHECK_OK(jl_book_number_read("2026-123456789", &number));
    CHECK(number.year == 2026 && number.serial == 123456789);
}

/* What is written late is of an earlier moment, and so is what follows it. */
static void moments_follow_one_another(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    jl_book_entry late = amount(JL_BOOK_OPENING, "a", 1, 60);
    late.late = true;
    late.written.unix_s = now_s += 600;
    late.time.unix_s = now_s - 1000;
    CHECK_OK(take(book, late, &r));
    jl_book_entry next = amount(JL_BOOK_OPENING, "a", 1, 60);
    next.written.unix_s = now_s + 60;
    next.time.unix_s = late.time.unix_s - 1; /* before both moments of the last */
    CHECK_STATUS(take(book, next, &r), JL_NO);
    CHECK(r.why == JL_BOOK_BEFORE_LAST && r.entry_count == 1 && r.entries[0].serial == 2);
    CHECK(strlen(r.name) == 16 && r.name[10] == ' ');
    next.time.unix_s = late.time.unix_s;
    CHECK_OK(take(book, next, &r));
    /* one that lies ahead holds none up that is written after it */
    jl_book_entry ahead = amount(JL_BOOK_OPENING, "a", 1, 60);
    ahead.written.unix_s = now_s += 60;
    ahead.time.unix_s = now_s + 86400;
    CHECK_OK(take(book, ahead, &r));
    jl_book_entry same = amount(JL_BOOK_OPENING, "a", 0.5, 60);
    same.time = same.written = ahead.written;
    CHECK_OK(take(book, same, &r));
    /* a moment that no calendar has: it is refused by its order alone, and named by its number */
    jl_book_entry far = amount(JL_BOOK_OPENING, "a", 1, 60);
    far.written.unix_s = INT64_MAX / 2;
    CHECK_OK(take(book, far, &r));
    CHECK(jl_book_next(book, far.written).serial == 7);
    CHECK_STATUS(take(book, next, &r), JL_NO);
    CHECK(r.why == JL_BOOK_BEFORE_LAST && r.entries[0].serial == 6 && *r.name == '\0');
    jl_book_free(book);
}

static void a_jar_is_collected_once(void) {
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("demijohn-1", 10, "glass"), &r));
    jl_book_entry hearts = entry_of(JL_BOOK_COLLECTED, "october.csv:3-7 8a", "demijohn-1");
    hearts.run = "October, 2026-10-24T09:02:00+02:00";
    hearts.amount = (jl_spirit){1, 0.5};
    CHECK_OK(take(book, hearts, &r));
    hearts.from = "october.csv:8-9";
    CHECK_OK(take(book, hearts, &r));
    hearts.from = "october.csv:2,7";
    CHECK_STATUS(take(book, hearts, &r), JL_NO);
    CHECK(r.why == JL_BOOK_TWICE && r.entries[0].serial == 2);
    CU_ASSERT_STRING_EQUAL(r.name, "7");
    hearts.from = "october.csv:6-10 11";
    CHECK_STATUS(take(book, hearts, &r), JL_NO);
    CU_ASSERT_STRING_EQUAL(r.name, "6");
    hearts.from = "october.csv:9,12";
    CHECK_STATUS(take(book, hearts, &r), JL_NO);
    CU_ASSERT_STRING_EQUAL(r.name, "9");
    CHECK(r.entries[0].serial == 3);
    hearts.from = "october.csv:8a";
    CHECK_STATUS(take(book, hearts, &r), JL_NO);
    hearts.run = "November, 2026-11-24T09:02:00+02:00";
    CHECK_OK(take(book, hearts, &r));
    /* a name that only looks like a range; a jar that stands there twice, and is free once it is
     * cancelled */
    hearts.from =
        "november.csv:1000-400000000"; /* no run has so many: the first 10,000 are looked at */
    CHECK(jl_book_collected_jar(&hearts, "10999") && !jl_book_collected_jar(&hearts, "11000"));
    hearts.from = "november.csv:3-7b 2 2";
    CHECK_OK(take(book, hearts, &r));
    CHECK(jl_book_collected_jar(&hearts, "3-7b") && !jl_book_collected_jar(&hearts, "4"));
    jl_book_entry cancel = entry_of(JL_BOOK_CANCELLED, "", "");
    cancel.cancelled = (jl_book_number){2026, 5};
    CHECK(!jl_book_collected_jar(&cancel, "2"));
    CHECK_OK(take(book, cancel, &r));
    hearts.from = "november.csv:2-4";
    CHECK_OK(take(book, hearts, &r));
    jl_book_free(book);
}

static void an_entry_is_cancelled_where_none_stands_on_it(void) {
    jl_book *book;
    jl_book_refusal r;
    size_t count;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    CHECK_OK(take(book, part(JL_BOOK_MOVED, "a", "b", 1), &r));
    jl_book_entry cancel = entry_of(JL_BOOK_CANCELLED, "", "");
    cancel.cancelled = (jl_book_number){2026, 3};
    CHECK_STATUS(take(book, cancel, &r), JL_NO);
    CHECK(r.why == JL_BOOK_STANDS_ON && r.entry_count == 1 && r.entries[0].serial == 4);
    cancel.cancelled.serial = 4;
    CHECK_OK(take(book, cancel, &r));
    for (uint32_t serial = 4; serial < 8; serial++) { /* cancelled; a cancelling; none such */
        if (serial == 6) cancel.cancelled.year = 2025;
        cancel.cancelled.serial = serial;
        CHECK_STATUS(take(book, cancel, &r), JL_NO);
        CHECK(r.why == JL_BOOK_NO_ENTRY);
    }
    cancel.cancelled = (jl_book_number){2026, 3};
    CHECK_OK(take(book, cancel, &r));
    CHECK(jl_pure_alcohol_l(jl_book_held(book)) == 0);
    CHECK(jl_book_entries(book, &count)[2].taken_back == 5 && count == 6);
    jl_book_free(book);
}

/* Each kind in turn, taken and cancelled: what is held and what has flowed is as before it. */
static void a_cancelled_entry_of_any_kind_leaves_nothing(void) {
    jl_book *book;
    jl_book_refusal r;
    jl_book_entry collected = entry_of(JL_BOOK_COLLECTED, "october.csv:3-5", "a");
    collected.run = "October, 2026-10-24T09:02:00+02:00";
    collected.amount = (jl_spirit){0.2, 0.1};
    const jl_book_entry each[] = {amount(JL_BOOK_OPENING, "a", 0.5, 60),
                                  amount(JL_BOOK_RECEIVED, "a", 0.5, 40),
                                  collected,
                                  part(JL_BOOK_CHARGED, "a", "", 1),
                                  part(JL_BOOK_MOVED, "a", "b", 1),
                                  part(JL_BOOK_WATER, "", "a", 0.3),
                                  bottles(JL_BOOK_BOTTLED, "a", "9", 2),
                                  part(JL_BOOK_REMOVED, "a", "", 0.5),
                                  bottles(JL_BOOK_REMOVED, "lot:9", "", 1),
                                  amount(JL_BOOK_GAUGED, "a", 3, 69),
                                  amount(JL_BOOK_GAUGED, "a", 4.5, 70),
                                  bottles(JL_BOOK_GAUGED, "lot:9", "", 1),
                                  part(JL_BOOK_LOST, "a", "", 0.25),
                                  bottles(JL_BOOK_LOST, "lot:9", "", 2)};
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 5, "glass"), &r));
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    CHECK_OK(take(book, bottles(JL_BOOK_BOTTLED, "a", "9", 2), &r));
    const jl_spirit held = jl_book_held(book), in_a = jl_book_vessel_named(book, "a")->spirit;
    for (size_t i = 0; i < sizeof each / sizeof each[0]; i++) {
        size_t count;
        CHECK_OK(take(book, each[i], &r));
        const jl_book_entry *entries = jl_book_entries(book, &count);
        jl_book_entry cancel = entry_of(JL_BOOK_CANCELLED, "", "");
        cancel.cancelled = entries[count - 1].number;
        CHECK(fabs(jl_book_vessel_named(book, "a")->spirit.ethanol_kg - in_a.ethanol_kg) > 1e-3 ||
              each[i].what == JL_BOOK_WATER || jl_book_lot_named(book, "9")->bottles != 2);
        CHECK_OK(take(book, cancel, &r));
        CHECK_NEAR(jl_book_held(book).ethanol_kg, held.ethanol_kg, 1e-12);
        CHECK_NEAR(jl_book_held(book).water_kg, held.water_kg, 1e-12);
        CHECK_NEAR(jl_book_vessel_named(book, "a")->spirit.ethanol_kg, in_a.ethanol_kg, 1e-12);
        CHECK_NEAR(jl_book_vessel_named(book, "a")->spirit.water_kg, in_a.water_kg, 1e-12);
        CHECK(jl_book_lot_named(book, "9")->bottles == 2);
        CHECK(open_by(book) < 1e-12);
        CHECK_NEAR(jl_book_flowed(book).opening.ethanol_kg, 4 * 0.7 * 0.78924, 1e-4);
        CHECK_NEAR(jl_book_flowed(book).lost.ethanol_kg, 0, 1e-12);
        CHECK_NEAR(jl_book_flowed(book).removed.ethanol_kg, 0, 1e-12);
    }
    /* The jars of what was cancelled are free again. */
    CHECK_OK(take(book, collected, &r));
    jl_book_free(book);
}

static void a_cancelled_change_of_a_vessel_gives_back_what_it_was(void) {
    jl_book *book;
    jl_book_refusal r;
    jl_book_entry change = entry_of(JL_BOOK_VESSEL, "a", "b"),
                  retired = entry_of(JL_BOOK_VESSEL, "a", ""),
                  cancel = entry_of(JL_BOOK_CANCELLED, "", "");
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 5, "glass"), &r));
    change.kind = "wood";
    change.measured.volume_l = 9;
    retired.kind = "retired";
    CHECK_OK(take(book, change, &r));
    cancel.cancelled = (jl_book_number){2026, 2};
    CHECK_OK(take(book, cancel, &r));
    const jl_book_vessel *a = jl_book_vessel_named(book, "a");
    CU_ASSERT_PTR_NOT_NULL_FATAL(a);
    CHECK(a->capacity_l == 5 && strcmp(a->use, "glass") == 0 && !a->retired);
    CHECK_OK(take(book, retired, &r));
    CHECK(jl_book_vessel_named(book, "a")->retired);
    CHECK_STATUS(take(book, change, &r), JL_NO); /* and takes no change */
    CHECK(r.why == JL_BOOK_RETIRED);
    cancel.cancelled.serial = 4;
    CHECK_OK(take(book, cancel, &r));
    CHECK(!jl_book_vessel_named(book, "a")->retired);
    /* its own name in other letters is no other vessel's */
    CHECK_OK(take(book, entry_of(JL_BOOK_VESSEL, "a", "A"), &r));
    CU_ASSERT_STRING_EQUAL(jl_book_vessel_named(book, "a")->name, "A");
    CHECK_OK(take(book, amount(JL_BOOK_OPENING, "a", 4, 70), &r));
    jl_book_free(book);
}

static void obscuration_follows_the_gauging_manual(void) {
    double proof;
    /* 27 CFR 30.32(b), example: 0.50 g in 100 mL hides 2.0 proof */
    CHECK_OK(jl_obscured_proof(82.3, 0.5, &proof));
    CHECK_NEAR(proof, 84.3, 1e-12);
    CHECK_OK(jl_obscured_proof(150, 0.39, &proof));
    CHECK_NEAR(proof, 150, 0);
    CHECK_STATUS(jl_obscured_proof(150, 0.4, &proof), JL_NO);
    CHECK_STATUS(jl_obscured_proof(90, 0.61, &proof), JL_NO);
    CHECK_STATUS(jl_obscured_proof(90, -0.1, &proof), JL_RANGE);
    jl_spirit spirit;
    CHECK_STATUS(jl_obscured_by_gravity(1, 0.99, 0.3, &spirit), JL_RANGE);
    CHECK_STATUS(jl_obscured_by_weight(1, 1.1, 0.3, &spirit), JL_RANGE);
    /* 27 CFR 30.64: below 0.05 dropped, 0.05 and more raised */
    CHECK_NEAR(jl_rounded_gallons(10.049), 10.0, 1e-12);
    CHECK_NEAR(jl_rounded_gallons(10.05), 10.1, 1e-12);
    CHECK_NEAR(jl_rounded_gallons(-10.05), -10.1, 1e-12);
}

/* ---- how sure ---- */

/* What a gauging finds where the jug shows share more than there is and the alcoholometer pct more. */
static double gain_kg(double share, double pct, bool cancels, double *standard_kg,
                      jl_book_spread *spread) {
    jl_settings bench;
    jl_settings_begin(&bench);
    const jl_instruments in = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&in, JL_ALCOHOLOMETER};
    jl_account account;
    jl_book_refusal r;
    jl_book *book;
    CHECK_OK(jl_book_new(&book));
    jl_book_entry moved = part(JL_BOOK_MOVED, "a", "b", 2 * (1 + share));
    jl_book_entry entries[] = {vessel("a", 50, "glass"),
                               vessel("b", 50, "wood"),
                               amount(JL_BOOK_OPENING, "a", 5 * (1 + share), 60 + pct),
                               amount(JL_BOOK_RECEIVED, "b", 1 * (1 + share), 50 + pct),
                               moved,
                               amount(JL_BOOK_GAUGED, "b", 2.9 * (1 + share), 56 + pct)};
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++)
        CHECK_OK(take(book, entries[i], &r));
    if (cancels) {
        jl_book_entry back = entry_of(JL_BOOK_CANCELLED, "", "");
        back.cancelled = jl_book_next(book, (jl_time){now_s, 0});
        back.cancelled.serial--;
        CHECK_OK(take(book, back, &r));
        CHECK_OK(take(book, entries[5], &r));
    }
    CHECK_OK(jl_account_of(book, now_s, INT64_MAX, by, &account));
    CHECK(account.gauging_count == 1);
    double gain = account.gaugings[0].gain_kg;
    *standard_kg = account.gaugings[0].standard_kg;
    jl_book_spreads spreads = {.by = &in, .instrument = JL_ALCOHOLOMETER};
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    jl_book *then;
    CHECK_OK(jl_book_new(&then));
    for (size_t i = 0; i < count; i++) {
        bool back = e[i].what == JL_BOOK_CANCELLED;
        CHECK_OK(jl_book_spreads_take(&spreads, then, &e[i], back ? &e[e[i].taken_back] : NULL,
                                      back ? e[i].taken_back : 0));
        CHECK_OK(jl_book_take(then, &e[i], &r));
    }
    *spread = spreads.entries[count - 1].change;
    jl_book_spreads_free(&spreads);
    jl_account_free(&account);
    jl_book_free(then);
    jl_book_free(book);
    return gain;
}

/* An instrument's own error shifts the gain by what the first order says, most of it cancelling. */
static void what_one_instrument_measured_twice_cancels(void) {
    double standard, ignored;
    jl_book_spread spread, other;
    jl_settings bench;
    jl_settings_begin(&bench);
    const jl_instruments in = jl_settings_to_instruments(&bench);
    double jug = sqrt(jl_instrument_variance(&in, JL_BY_JUG, true));
    double alcoholometer = sqrt(jl_instrument_variance(&in, JL_BY_ALCOHOLOMETER, true));
    double gain = gain_kg(0, 0, false, &standard, &spread);
    double jug_shift = gain_kg(1e-4, 0, false, &ignored, &other) - gain;
    double pct_shift = gain_kg(0, 1e-3, false, &ignored, &other) - gain;
    CHECK_NEAR(jug_shift, spread.common[JL_BY_JUG] * 1e-4 / jug, 1e-8);
    CHECK_NEAR(pct_shift, spread.common[JL_BY_ALCOHOLOMETER] * 1e-3 / alcoholometer, 2e-7);
    CHECK_NEAR(standard, jl_book_spread_standard_kg(&spread), 1e-15);
    CHECK(fabs(spread.common[JL_BY_ALCOHOLOMETER]) < 0.05 * standard);
    /* a gauging that was taken back and entered again is as sure as the first */
    CHECK_NEAR(gain_kg(0, 0, true, &ignored, &other), gain, 1e-12);
    CHECK_NEAR(other.common[JL_BY_JUG], spread.common[JL_BY_JUG], 1e-12);
}

/* A sender may be called like a vessel. */
static void a_sender_is_no_vessel(void) {
    jl_book_refusal r;
    jl_book *book;
    CHECK_OK(jl_book_new(&book));
    CHECK_OK(take(book, vessel("a", 50, "glass"), &r));
    CHECK_OK(take(book, vessel("b", 50, "glass"), &r));
    jl_book_entry received = amount(JL_BOOK_RECEIVED, "a", 5, 60);
    received.from = "b";
    CHECK_OK(take(book, received, &r));
    jl_book_entry back = entry_of(JL_BOOK_CANCELLED, "", "");
    back.cancelled = jl_book_next(book, (jl_time){now_s, 0});
    back.cancelled.serial--;
    CHECK_OK(take(book, amount(JL_BOOK_RECEIVED, "b", 1, 60), &r));
    CHECK_OK(take(book, back, &r));
    CHECK_NEAR(jl_book_vessel_named(book, "a")->spirit.ethanol_kg, 0, 0);
    CHECK_NEAR(jl_volume_l(jl_book_vessel_named(book, "b")->spirit, JL_STRENGTH_C), 1, 1e-9);
    jl_book_free(book);
}

/* ---- any season ---- */

/* How far the account's own lines are from closing, and how far two parts of a period are from the
 * whole. */
static double account_open_by(const jl_account_kind *k) {
    double in = 0, out = k->of[JL_ACCOUNT_CLOSING].ethanol_kg;
    for (int line = JL_ACCOUNT_OPENING; line <= JL_ACCOUNT_GAINED; line++)
        in += k->of[line].ethanol_kg;
    for (int line = JL_ACCOUNT_CHARGED; line <= JL_ACCOUNT_LOST_BOTTLES; line++)
        out += k->of[line].ethanol_kg;
    return gap(in + k->of[JL_ACCOUNT_KIND].ethanol_kg, out);
}

static double split_gap(const jl_book *book, int64_t since_s, int64_t between_s, int64_t until_s) {
    jl_account whole, first, second;
    const jl_account_by by = {NULL, JL_ALCOHOLOMETER};
    CHECK_OK(jl_account_of(book, since_s, until_s, by, &whole));
    CHECK_OK(jl_account_of(book, since_s, between_s, by, &first));
    CHECK_OK(jl_account_of(book, between_s, until_s, by, &second));
    double worst = fmax(account_open_by(&whole.all), account_open_by(&first.all));
    for (size_t i = 0; i < whole.kind_count; i++)
        worst = fmax(worst, account_open_by(&whole.kinds[i]));
    for (int line = JL_ACCOUNT_RECEIVED; line < JL_ACCOUNT_KIND; line++)
        worst = fmax(worst, gap(whole.all.of[line].ethanol_kg,
                                first.all.of[line].ethanol_kg + second.all.of[line].ethanol_kg));
    CHECK(first.count + second.count == whole.count);
    /* an opening entry of the second part is in its opening, and in no closing before */
    jl_spirit opened = {0, 0};
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    for (size_t i = second.first; i < second.first + second.count; i++) {
        const jl_book_entry *of = e[i].what == JL_BOOK_CANCELLED ? &e[e[i].taken_back] : &e[i];
        if (of->what == JL_BOOK_OPENING) opened = jl_blend(opened, e[i].change);
    }
    worst = fmax(worst, gap(first.all.of[JL_ACCOUNT_CLOSING].ethanol_kg + opened.ethanol_kg,
                            second.all.of[JL_ACCOUNT_OPENING].ethanol_kg));
    jl_account_free(&whole);
    jl_account_free(&first);
    jl_account_free(&second);
    return worst;
}

static void random_books_close_at_every_entry(void) {
    double worst = 0, split = 0;
    size_t taken = 0, whats[JL_BOOK_WHATS] = {0};
    for (int b = 0; b < 2000; b++) {
        jl_book *book;
        jl_book_refusal r;
        CHECK_OK(jl_book_new(&book));
        for (int v = 0; v < 6; v++) {
            char name[16];
            snprintf(name, sizeof name, "v%d", v);
            CHECK_OK(take(book, vessel(name, 5 + 10 * v, v < 3 ? "glass" : "wood"), &r));
        }
        for (int i = 0; i < 200; i++) {
            char from[16], into[16], lot[16];
            jl_book_entry e = drawn_any(book, now_s, from, into, lot);
            if (take(book, e, &r) != JL_OK) continue;
            taken++;
            whats[e.what]++;
            worst = fmax(worst, open_by(book));
        }
        int64_t begun_s = now_s - 206 * 60;
        if (b % 10 == 0)
            split =
                fmax(split, split_gap(book, begun_s + 60 * draw(80), begun_s + 60 * (80 + draw(60)),
                                      begun_s + 60 * (140 + draw(80))));
        jl_book_free(book);
    }
    CHECK_NEAR(split, 0, 1e-12);
    CHECK_NEAR(worst, 0, 1e-12);
    CHECK(taken > 100000);
    for (int w = JL_BOOK_OPENING; w < JL_BOOK_WHATS; w++) CHECK(whats[w] > 1000);
}

CU_TestInfo book_tests[] = {
    {"what other instruments showed is kept as the same mixture",
     what_other_instruments_showed_is_kept_as_the_same_mixture},
    {"what needs no correction stays as it was", what_needs_no_correction_stays_as_it_was},
    {"a season is taken and closes", a_season_is_taken_and_closes},
    {"what the state does not allow is refused", what_the_state_does_not_allow_is_refused},
    {"amounts are weighed too", amounts_are_weighed_too},
    {"what a row takes out must be there", what_a_row_takes_out_must_be_there},
    {"a vessel of many runs keeps the largest", a_vessel_of_many_runs_keeps_the_largest},
    {"figures that give no amount are refused", figures_that_give_no_amount_are_refused},
    {"a row needs what an entry needs", a_row_needs_what_an_entry_needs},
    {"all that is held is moved by its figure", all_that_is_held_is_moved_by_its_figure},
    {"an entry's number is a year and a number", an_entry_number_is_a_year_and_a_number},
    {"moments follow one another", moments_follow_one_another},
    {"a jar is collected once", a_jar_is_collected_once},
    {"an entry is cancelled where none stands on it",
     an_entry_is_cancelled_where_none_stands_on_it},
    {"a cancelled entry of any kind leaves nothing", a_cancelled_entry_of_any_kind_leaves_nothing},
    {"a cancelled change of a vessel gives back what it was",
     a_cancelled_change_of_a_vessel_gives_back_what_it_was},
    {"obscuration follows the gauging manual", obscuration_follows_the_gauging_manual},
    {"what one instrument measured twice cancels", what_one_instrument_measured_twice_cancels},
    {"a sender is no vessel", a_sender_is_no_vessel},
    {"random books close at every entry", random_books_close_at_every_entry},
    CU_TEST_INFO_NULL,
};
