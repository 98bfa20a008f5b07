/* Slips of the pen in what was measured in the store.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_of.h"
#include "suites.h"

#include <math.h>

/* The entry after "a" (20 L) was said to hold 4 L at 70 %, and "b" nothing. */
static bool slip_after(jl_book_entry e, jl_book_slip *slip) {
    size_t count;
    const jl_book_entry all[] = {vessel("a", 20, "glass"), vessel("b", 20, "glass"),
                                 amount(JL_BOOK_OPENING, "a", 4, 70), e};
    jl_book *book = book_of(all, sizeof all / sizeof all[0]);
    const jl_book_entry *taken = jl_book_entries(book, &count);
    bool suspect = jl_book_slip_of(book, &taken[count - 1], jl_book_found(&taken[count - 1]), slip);
    jl_book_free(book);
    return suspect;
}

static jl_book_entry gauged(double volume_l, double weight_kg, jl_quantity strength) {
    jl_book_entry e = entry_of(JL_BOOK_GAUGED, "a", "");
    e.measured.volume_l = volume_l;
    e.measured.weight_kg = weight_kg;
    e.measured.strength = strength;
    return e;
}

static void a_point_or_a_digit_away_is_named(void) {
    static const struct {
        double volume_l, weight_kg, strength;
        jl_unit unit;
        double meant; /* NaN: nothing that fits */
        const char *shown;
    } AT[] = {
        {0.4, NAN, 70, JL_UNIT_PCT_VOL, 4, "L"},
        {NAN, 0.354, 70, JL_UNIT_PCT_VOL, 3.54, "kg"}, /* 4 L at 885.6 kg/m3 */
        {4, NAN, 7, JL_UNIT_PCT_VOL, 70, "%"},
        {4, NAN, 14, JL_UNIT_PROOF_US, 140, "proof"},
        {8, NAN, 70, JL_UNIT_PCT_VOL, 4, "L"},
        {5.5, NAN, 30, JL_UNIT_PCT_VOL, 9.5, "L"}, /* 2.85 L of 2.8: nearer than 50 % */
        {2.77, NAN, 70, JL_UNIT_PCT_VOL, NAN, ""}, /* a third less, and no digit makes it 4 */
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_book_slip slip;
        CHECK(slip_after(
            gauged(AT[i].volume_l, AT[i].weight_kg, (jl_quantity){AT[i].strength, AT[i].unit}),
            &slip));
        bool none = isnan(AT[i].meant);
        CHECK(none ? isnan(slip.meant) : fabs(slip.meant - AT[i].meant) < 1e-9);
        CU_ASSERT_STRING_EQUAL(slip.unit, AT[i].shown);
    }
}

/* A tenth more or a quarter less is found at times; of what is empty nothing can be said. */
static void what_is_found_at_times_is_no_slip(void) {
    static const struct {
        double volume_l;
        bool suspect;
    } AT[] = {{4.39, false}, {4.41, true}, {3.01, false}, {2.99, true}, {0, false}};
    const jl_quantity strength = {70, JL_UNIT_PCT_VOL};
    jl_book_slip slip;
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++)
        CHECK(slip_after(gauged(AT[i].volume_l, NAN, strength), &slip) == AT[i].suspect);
    jl_book_entry empty = amount(JL_BOOK_GAUGED, "b", 4, 70);
    CHECK(!slip_after(empty, &slip) && isnan(slip.meant));
    /* nothing known beside it: an opening has no slip that the book could show */
    CHECK(!slip_after(amount(JL_BOOK_OPENING, "b", 4, 70), &slip));
    CHECK(!slip_after(vessel("c", 5, "glass"), &slip));
}

/* Of bottles there is a count alone, and no guess at it. */
static void a_lot_is_suspect_without_a_guess(void) {
    size_t count;
    const jl_book_entry all[] = {vessel("a", 20, "glass"), amount(JL_BOOK_OPENING, "a", 4, 70),
                                 bottles(JL_BOOK_BOTTLED, "a", "9", 4),
                                 bottles(JL_BOOK_GAUGED, "lot:9", "", 2)};
    jl_book *book = book_of(all, sizeof all / sizeof all[0]);
    jl_book_slip slip;
    const jl_book_entry *last = &jl_book_entries(book, &count)[3];
    CHECK(jl_book_slip_of(book, last, jl_book_found(last), &slip));
    CHECK(isnan(slip.meant) && *slip.unit == '\0');
    jl_book_free(book);
}

/* Jars that were measured as they were collected have their log beside them. */
static void jars_beside_their_log_may_be_a_slip(void) {
    jl_book_slip slip;
    jl_book_entry e = amount(JL_BOOK_COLLECTED, "b", 0.2, 70);
    e.from = "october.csv:3-7";
    e.logged = (jl_spirit){2 * 0.7 * 0.78924, 0.7};
    CHECK(slip_after(e, &slip));
    CHECK_NEAR(slip.meant, 2, 1e-9);
    CU_ASSERT_STRING_EQUAL(slip.unit, "L");
}

CU_TestInfo slip_tests[] = {
    {"a point or a digit away is named", a_point_or_a_digit_away_is_named},
    {"what is found at times is no slip", what_is_found_at_times_is_no_slip},
    {"a lot is suspect without a guess", a_lot_is_suspect_without_a_guess},
    {"jars beside their log may be a slip", jars_beside_their_log_may_be_a_slip},
    CU_TEST_INFO_NULL,
};
