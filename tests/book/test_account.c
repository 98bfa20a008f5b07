/* A period of the book, how far it may be off, and a run beside it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/account.h"
#include "book/book_of.h"
#include "run/run.h"
#include "run/run_of.h"
#include "suites.h"

#include <math.h>

static jl_instruments instruments_of_the_bench(void) {
    jl_settings bench;
    jl_settings_begin(&bench);
    return jl_settings_to_instruments(&bench);
}

static jl_book_entry cancelling(uint32_t serial) {
    jl_book_entry e = entry_of(JL_BOOK_CANCELLED, "", "");
    e.cancelled.serial = serial;
    return e;
}

/* From the entry of index since on and before that of index until. */
static jl_account account_between(const jl_book *book, size_t since, size_t until) {
    const jl_instruments in = instruments_of_the_bench();
    const jl_account_by by = {&in, JL_ALCOHOLOMETER};
    jl_account account = {0};
    CHECK_OK(jl_account_of(book, moment_of(since).unix_s, moment_of(until).unix_s, by, &account));
    return account;
}

static void a_gauging_counts_where_it_stands_at_the_end(void) {
    const jl_book_entry entries[] = {vessel("a", 20, "glass"), amount(JL_BOOK_OPENING, "a", 4, 70),
                                     amount(JL_BOOK_GAUGED, "a", 4.1, 70), /* 2: taken back by 3 */
                                     cancelling(3), amount(JL_BOOK_GAUGED, "a", 3.9, 70)};
    static const struct {
        size_t since, until, gaugings;
        double gain_l,
            lost_l; /* of pure alcohol; the first gauging's gain, and the line of losses */
    } AT[] = {{0, 3, 1, 0.07, 0},     {0, 4, 0, NAN, 0},      {3, 4, 1, -0.07, 0},
              {3, 5, 2, -0.07, 0.07}, {0, 5, 1, -0.07, 0.07}, {4, 4, 0, NAN, 0}};
    jl_book *book = book_of(entries, sizeof entries / sizeof entries[0]);
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_account a = account_between(book, AT[i].since, AT[i].until);
        CHECK(a.gauging_count == AT[i].gaugings && a.count == AT[i].until - AT[i].since);
        if (a.gauging_count > 0 && AT[i].gaugings > 0)
            CHECK_NEAR(a.gaugings[0].gain_kg / 0.78924, AT[i].gain_l, 1e-4);
        CHECK_NEAR(a.all.of[JL_ACCOUNT_LOST_GAUGING].ethanol_kg / 0.78924, AT[i].lost_l, 1e-4);
        /* how sure a loss is is told where there is one */
        CHECK((a.standard_kg[JL_ACCOUNT_LOST_GAUGING] > 0) == (AT[i].lost_l > 0));
        jl_account_free(&a);
    }
    jl_book_free(book);
}

/* The degree's part of a reading's ethanol; where the table ends there is none, and of water none. */
static void a_reading_is_as_sure_as_its_instruments(void) {
    static const struct {
        double pct, temp_c;
        bool by_degree;
    } AT[] = {{60, 20, true}, {60, 40, false}, {60, -20, false}, {0, 20, false}};
    const jl_instruments in = instruments_of_the_bench();
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_book *before;
        jl_book_refusal r;
        jl_book_spreads s = {.by = &in, .instrument = JL_ALCOHOLOMETER};
        jl_book_entry e = amount(JL_BOOK_OPENING, "a", 5, NAN);
        CHECK_OK(jl_book_new(&before));
        e.measured.reading.value = AT[i].pct;
        e.measured.temp_c = AT[i].temp_c;
        jl_status status = jl_book_amount(before, &s.instrument, &e, &r);
        CHECK_OK(status);
        CHECK_OK(jl_book_spreads_take(&s, before, &e, NULL, 0));
        CHECK((s.entries[0].change.common[JL_BY_THERMOMETER] != 0) == AT[i].by_degree);
        CHECK((s.entries[0].change.common[JL_BY_ALCOHOLOMETER] != 0) == (AT[i].pct > 0));
        /* 5 L on a jug: its own error is a share of the ethanol */
        double jug = sqrt(jl_instrument_variance(&in, JL_BY_JUG, true));
        CHECK_NEAR(s.entries[0].change.common[JL_BY_JUG], jug * e.amount.ethanol_kg, 1e-12);
        jl_book_spreads_free(&s);
        jl_book_free(before);
    }
}

/* Proof has two degrees to the hundredth of volume that an alcoholometer is off by. */
static void proof_is_as_sure_as_its_hundredths(void) {
    static const jl_quantity SAID[] = {{60, JL_UNIT_PCT_VOL}, {120, JL_UNIT_PROOF_US}};
    const jl_instruments in = instruments_of_the_bench();
    double off = sqrt(jl_instrument_variance(&in, JL_BY_ALCOHOLOMETER, true));
    for (size_t i = 0; i < sizeof SAID / sizeof SAID[0]; i++) {
        jl_book *before;
        jl_book_refusal r;
        jl_book_spreads s = {.by = &in, .instrument = JL_ALCOHOLOMETER};
        jl_book_entry e = amount(JL_BOOK_OPENING, "a", 5, NAN);
        CHECK_OK(jl_book_new(&before));
        e.measured.strength = SAID[i];
        CHECK_OK(jl_book_amount(before, &s.instrument, &e, &r));
        CHECK_OK(jl_book_spreads_take(&s, before, &e, NULL, 0));
        CHECK_NEAR(s.entries[0].change.common[JL_BY_ALCOHOLOMETER] * 60 / e.amount.ethanol_kg, off,
                   1e-12);
        jl_book_spreads_free(&s);
        jl_book_free(before);
    }
}

/* A row that takes nothing out of nothing leaves nothing unsure. */
static void nothing_out_of_nothing_is_sure(void) {
    const jl_instruments in = instruments_of_the_bench();
    const jl_book_entry entries[] = {vessel("a", 20, "glass")};
    jl_book *book = book_of(entries, 1);
    jl_book_spreads s = {.by = &in, .instrument = JL_ALCOHOLOMETER};
    jl_book_entry row = part(JL_BOOK_LOST, "a", "", 0.5);
    CHECK_OK(jl_book_spreads_take(&s, book, &row, NULL, 0));
    CHECK(jl_book_spread_standard_kg(&s.entries[0].change) == 0);
    CHECK(jl_book_spread_standard_kg(&s.vessels[0]) == 0);
    jl_book_spreads_free(&s);
    jl_book_free(book);
}

/* Of what is measured out of a vessel its own measure is all that is unsure where the strength is exact:
 * what the vessel held more or less has no part in it. */
static void a_part_is_as_sure_as_its_own_measure(void) {
    jl_instruments in = {0};
    const jl_book_entry entries[] = {vessel("a", 20, "glass"), amount(JL_BOOK_OPENING, "a", 4, 70),
                                     vessel("b", 20, "glass"), part(JL_BOOK_MOVED, "a", "b", 1)};
    in.width[JL_BY_JUG][JL_DIVISION] = 0.1;
    jl_book *book = book_of(entries, sizeof entries / sizeof entries[0]), *then;
    jl_book_spreads s = {.by = &in, .instrument = JL_ALCOHOLOMETER};
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    CHECK_OK(jl_book_replay_new(book, &then));
    for (size_t i = 0; i < count; i++) {
        CHECK_OK(jl_book_spreads_take(&s, then, &e[i], NULL, 0));
        CHECK_OK(jl_book_replay(then));
    }
    double kg_l = 0.7 * 0.78924, own = kg_l * 0.1 / sqrt(12); /* half a division is a bound */
    CHECK_NEAR(jl_book_spread_standard_kg(&s.vessels[1]), own, 1e-5 * own);
    jl_book_spreads_free(&s);
    jl_book_free(then);
    jl_book_free(book);
}

/* One jug measured a run's jars and what came of them: by as much as it is off both are, so that only the
 * difference is as unsure as the jug, a share of it. */
static void what_measuring_found_is_as_sure_as_the_difference(void) {
    jl_instruments in = {0};
    const jl_account_by by = {&in, JL_ALCOHOLOMETER};
    jl_book_entry entries[] = {vessel("a", 20, "glass"), amount(JL_BOOK_COLLECTED, "a", 1.1, 40)};
    jl_account a = {0};
    in.width[JL_BY_JUG][JL_LIMIT] = 0.01;
    entries[1].from = "x.csv:1";
    entries[1].run = "x";
    CHECK_OK(jl_spirit_read("1L@40%", &JL_ALCOHOLOMETER, &entries[1].logged, NULL));
    jl_book *book = book_of(entries, 2);
    CHECK_OK(jl_account_of(book, moment_of(0).unix_s, moment_of(2).unix_s, by, &a));
    double gain_kg = 0.1 * 0.4 * 0.78924;
    CHECK(a.gauging_count == 1);
    CHECK_NEAR(a.gaugings[0].gain_kg, gain_kg, 1e-5 * gain_kg);
    CHECK_NEAR(a.gaugings[0].standard_kg, 0.01 / sqrt(3) * gain_kg, 1e-5 * gain_kg);
    jl_account_free(&a);
    jl_book_free(book);
}

/* What was poured in and taken back leaves the vessel as sure as it was. */
static void what_is_taken_back_leaves_nothing_unsure(void) {
    const jl_instruments in = instruments_of_the_bench();
    const jl_book_entry entries[] = {vessel("a", 20, "glass"),
                                     amount(JL_BOOK_OPENING, "a", 4, 70),
                                     vessel("b", 20, "glass"),
                                     part(JL_BOOK_MOVED, "a", "b", 1),
                                     cancelling(4),
                                     amount(JL_BOOK_GAUGED, "b", 0, 70),
                                     cancelling(2)};
    jl_book *book = book_of(entries, sizeof entries / sizeof entries[0]), *then;
    jl_book_spreads s = {.by = &in, .instrument = JL_ALCOHOLOMETER};
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    CHECK_OK(jl_book_replay_new(book, &then));
    for (size_t i = 0; i < count; i++) {
        bool back = e[i].what == JL_BOOK_CANCELLED;
        CHECK_OK(jl_book_spreads_take(&s, then, &e[i], back ? &e[e[i].taken_back] : NULL,
                                      back ? e[i].taken_back : 0));
        CHECK_OK(jl_book_replay(then));
    }
    CHECK(s.vessel_count == 2 && s.count == count);
    CHECK(jl_book_spread_standard_kg(&s.vessels[0]) == 0);
    CHECK(jl_book_spread_standard_kg(&s.vessels[1]) == 0);
    CHECK(s.entries[1].change.common[JL_BY_JUG] > 0);
    CHECK(jl_book_spread_standard_kg(&s.entries[5].change) ==
          0); /* nothing found is nothing measured */
    jl_book_spreads_free(&s);
    jl_book_free(then);
    jl_book_free(book);
}

/* ---- a run beside the book ---- */

static void a_run_is_compared_with_its_entries(void) {
    static const char LOG[] = "#jarline,1\n#title,x\njar,volume_l,strength_pct\n"
                              "1,1,60\n2,1,50\n3,1,40\n4,1,30\n";
    size_t count;
    jl_run *run = run_of(LOG);
    const jl_jar *jars = jl_run_jars(run, &count);
    jl_book_entry entries[] = {vessel("a", 20, "glass"),
                               entry_of(JL_BOOK_COLLECTED, "x.csv:1", "a"),
                               entry_of(JL_BOOK_COLLECTED, "x.csv:2", "a"),
                               amount(JL_BOOK_COLLECTED, "a", 1.1, 40),
                               part(JL_BOOK_CHARGED, "a", "", 0.5),
                               part(JL_BOOK_CHARGED, "a", "", 0.25)};
    entries[1].amount = jars[0].spirit;
    entries[2].amount = jars[1].spirit;
    entries[2].amount.water_kg += 0.01; /* its ethanol is the log's, its water no longer */
    entries[3].from = "x.csv:3";
    for (int i = 1; i < 5; i++) entries[i].run = "x";
    jl_book *book = book_of(entries, sizeof entries / sizeof entries[0]);
    jl_against a;
    CHECK_OK(jl_book_against(book, "x", "x.csv", run, &a));
    CHECK(a.changed_count == 2 && a.charged_count == 1);
    CHECK(a.changed[0].number.serial == 3 && !a.changed[0].measured);
    CHECK_NEAR(a.changed[0].booked.water_kg - a.changed[0].logged.water_kg, 0.01, 1e-12);
    CHECK(a.changed[1].number.serial == 4 && a.changed[1].measured);
    CHECK_NEAR(jl_pure_alcohol_l(a.changed[1].booked), 0.44, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(a.changed[1].logged), 0.4, 1e-9);
    CHECK(a.jar_count == 1 && a.jars[0] == &jars[3]);
    jl_against_free(&a);
    jl_book_free(book);
    jl_run_free(run);
}

/* Of a log that was begun at start and has two jars. */
static jl_run *run_begun(const char *start) {
    char log[400];
    snprintf(log, sizeof log,
             "#title,x\n%s#charge_l,5\n#charge_strength_pct,30\njar,volume_l,strength_pct\n"
             "1,1,60\n2,1,50\n",
             start);
    return run_of(log);
}

static void a_run_of_another_start_is_known_by_its_jars(void) {
    static const char NAME[] = "x, 2026-10-03T09:00:00+02:00";
    static const struct {
        const char *run, *from;
        double share; /* of what the jars have */
        bool known;
    } AT[] = {{"x, 2026-10-03T08:00:00+02:00", "x.csv:1-2", 1, true},
              {"x, 2026-10-03 08:00", "logs/x.csv:1 2", 1, true},
              {"x", "./x.csv:1-2", 1 + 0.9e-6, true},
              {"x", "x.csv:1-2", 1 + 5e-6, false},
              {"x", "x.csv:1", 1, false},
              {"x", "ax.csv:1-2", 1, false},
              {"x", "x.csv", 1, false},
              {"x", "csv:1-2", 1, false},
              {NAME, "x.csv:1-2", 1, false},
              {"x, soon", "x.csv:1-2", 1, false},
              {"x,2026-10-03", "x.csv:1-2", 1, false},
              {"y, 2026-10-03T08:00:00+02:00", "x.csv:1-2", 1, false}};
    jl_run *run = run_begun("#started,2026-10-03T09:00:00+02:00\n");
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_against a;
        jl_book_entry entries[] = {vessel("a", 20, "glass"),
                                   entry_of(JL_BOOK_COLLECTED, AT[i].from, "a"), cancelling(2)};
        entries[1].run = AT[i].run;
        entries[1].amount = jl_tally_sum(jl_run_tally(run), JL_OF_ALL).spirit;
        entries[1].amount.ethanol_kg *= AT[i].share;
        entries[1].amount.water_kg *= AT[i].share;
        jl_book *book = book_of(entries, 2), *back = book_of(entries, 3);
        const char *as = jl_book_known_as(book, NAME, "2026/x.csv", run);
        CHECK((as != NULL) == AT[i].known);
        if (as != NULL) CU_ASSERT_STRING_EQUAL(as, AT[i].run);
        CHECK(jl_book_known_as(back, NAME, "x.csv", run) == NULL);
        CHECK_OK(jl_book_against(book, NAME, "x.csv", run, &a));
        CHECK((a.jar_count == 0) == (AT[i].known || AT[i].run == NAME));
        jl_against_free(&a);
        jl_book_free(book);
        jl_book_free(back);
    }
    jl_run_free(run);
}

/* The charge is the entry of index 2, written at moment_of(2): 2026-09-21T14:15:20Z. */
static void a_run_of_another_start_is_known_by_its_charge(void) {
    static const struct {
        const char *start;
        double charged_l;
        const char
            *log; /* out of which another entry collected jars of that name; NULL: none did */
        bool known;
    } AT[] = {{"#started,2026-09-22T14:15:20Z\n", 5, NULL, true},
              {"#started,2026-09-22T14:15:21Z\n", 5, NULL, false},
              {"#started,2026-09-20T14:15:20Z\n", 5, "x.csv:9", true},
              {"#started,2026-09-20T14:15:19Z\n", 5, NULL, false},
              {"#started,2026-09-21T14:15:20Z\n", 5 * 1.0009, NULL, true},
              {"#started,2026-09-21T14:15:20Z\n", 5 * 1.0011, NULL, false},
              {"#started,2026-09-21T14:15:20Z\n", 5, "y.csv:1", false},
              {"", 5, NULL, false}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_against a;
        jl_run *run = run_begun(AT[i].start);
        jl_book_entry entries[] = {vessel("a", 20, "glass"), amount(JL_BOOK_OPENING, "a", 9, 30),
                                   part(JL_BOOK_CHARGED, "a", "", AT[i].charged_l),
                                   entry_of(JL_BOOK_COLLECTED, AT[i].log, "a")};
        entries[2].run = entries[3].run = "x, 2025-09-21T14:10:00Z";
        CHECK_OK(jl_spirit_read("1L@40%", &JL_ALCOHOLOMETER, &entries[3].amount, NULL));
        jl_book *book = book_of(entries, AT[i].log == NULL ? 3 : 4);
        CHECK((jl_book_known_as(book, "x, 2026-09-22", "x.csv", run) != NULL) == AT[i].known);
        CHECK_OK(jl_book_against(book, "x, 2026-09-22", "x.csv", run, &a));
        CHECK(a.charged_count == (AT[i].known ? 1 : 0));
        CHECK((a.known_as != NULL) == AT[i].known);
        jl_against_free(&a);
        jl_book_free(book);
        jl_run_free(run);
    }
}

static void a_charge_differs_by_more_than_its_rounding(void) {
    static const struct {
        double charged_l; /* 0: none is */
        bool differs;
    } AT[] = {{5, false},         {5 + 0.0066, false}, {5 - 0.0066, false}, {5 + 0.0068, true},
              {5 - 0.0068, true}, {2.5, true},         {0, false}};
    jl_run *run = run_begun(""), *none = run_of("#title,x\njar,volume_l,strength_pct\n1,1,60\n");
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_against a, of_none;
        jl_book_entry entries[] = {vessel("a", 20, "glass"), amount(JL_BOOK_OPENING, "a", 9, 30),
                                   part(JL_BOOK_CHARGED, "a", "", AT[i].charged_l)};
        entries[2].run = "x";
        jl_book *book = book_of(entries, AT[i].charged_l > 0 ? 3 : 2);
        CHECK_OK(jl_book_against(book, "x", "x.csv", run, &a));
        CHECK(jl_against_charge_differs(&a, run) == AT[i].differs);
        CHECK_OK(jl_book_against(book, "x", "x.csv", none, &of_none));
        CHECK(!jl_against_charge_differs(&of_none, none));
        jl_against_free(&a);
        jl_against_free(&of_none);
        jl_book_free(book);
    }
    jl_run_free(run);
    jl_run_free(none);
}

CU_TestInfo account_tests[] = {
    {"a gauging counts where it stands at the end", a_gauging_counts_where_it_stands_at_the_end},
    {"a reading is as sure as its instruments", a_reading_is_as_sure_as_its_instruments},
    {"proof is as sure as its hundredths", proof_is_as_sure_as_its_hundredths},
    {"nothing out of nothing is sure", nothing_out_of_nothing_is_sure},
    {"a part is as sure as its own measure", a_part_is_as_sure_as_its_own_measure},
    {"what measuring found is as sure as the difference",
     what_measuring_found_is_as_sure_as_the_difference},
    {"what is taken back leaves nothing unsure", what_is_taken_back_leaves_nothing_unsure},
    {"a run is compared with its entries", a_run_is_compared_with_its_entries},
    {"a charge differs by more than its rounding", a_charge_differs_by_more_than_its_rounding},
    {"a run of another start is known by its jars", a_run_of_another_start_is_known_by_its_jars},
    {"a run of another start is known by its charge",
     a_run_of_another_start_is_known_by_its_charge},
    CU_TEST_INFO_NULL,
};
