/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "jarline.h"
#include "suites.h"

#include <stdlib.h>

typedef struct run {
    jl_tally tally;
    jl_recovery recovery;
    jl_status status;
    jl_fault fault;
} run;

static run total(const char *text) {
    run r = {.status = JL_OK};
    jl_run *record;
    int fd = given(text);
    r.status = jl_run_read(fd, &record, &r.fault);
    if (r.status == JL_OK) {
        r.tally = *jl_run_tally(record);
        r.recovery = *jl_run_recovery(record);
        jl_run_free(record);
    }
    close(fd);
    return r;
}

#define HEADER "jar,volume_l,strength_pct,fraction\n"
#define JARS                                                                                       \
    "1,0.1,82,foreshots\n2,0.4,80,heads\n3,1,75,hearts\n4,1,65,hearts\n5,1,40,tails\n6,0.5,20,\n"

static void fractions_are_added_apart(void) {
    run r = total(HEADER JARS);
    static const double pure_l[JL_FRACTIONS] = {0.1, 0.082, 0.32, 1.4, 0.4};
    static const size_t jars[JL_FRACTIONS] = {1, 1, 1, 2, 1};
    for (int f = 0; f < JL_FRACTIONS; f++) {
        CHECK_NEAR(jl_pure_alcohol_l(r.tally.of[f].spirit), pure_l[f], 1e-9);
        CHECK(r.tally.of[f].jars == jars[f]);
    }
    CHECK(r.tally.at_20c == 6);
    jl_total kept = jl_tally_sum(&r.tally, JL_OF_KEPT), all = jl_tally_sum(&r.tally, JL_OF_ALL);
    CHECK(kept.jars == 4 && all.jars == 6);
    CHECK_NEAR(jl_pure_alcohol_l(kept.spirit), 2.12, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(all.spirit), 2.302, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(jl_tally_sum(&r.tally, JL_OF_FEINTS).spirit), 0.72, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(jl_tally_sum(&r.tally, JL_OF_HEARTS).spirit), 1.4, 1e-9);
    CHECK_NEAR(kept.parts_l, 3.4, 1e-9);
    CHECK_NEAR(kept.measured_l, 3.4, 1e-12);
    CHECK(jl_tally_sum(&r.tally, 0).jars == 0);
}

static void a_total_is_smaller_than_its_parts(void) {
    run r = total(HEADER "1,1,100,hearts\n2,1,0,hearts\n");
    jl_total hearts = r.tally.of[JL_HEARTS];
    double ethanol = NAN, water = NAN, mixed = NAN;
    CHECK_OK(jl_density_kg_m3(1, 20, &ethanol));
    CHECK_OK(jl_density_kg_m3(0, 20, &water));
    CHECK_OK(jl_density_kg_m3(ethanol / (ethanol + water), 20, &mixed));
    CHECK_NEAR(hearts.parts_l, 2, 1e-9);
    CHECK_NEAR(jl_contraction_l(hearts.parts_l, hearts.spirit), 2 - (ethanol + water) / mixed,
               1e-9);
    CHECK(hearts.parts_l > jl_volume_l(hearts.spirit, 20));
}

static void warm_jars_count_at_20_c(void) {
    run r = total("volume_l,strength_pct,temp_c\n1,80,30\n");
    CHECK_NEAR(r.tally.of[JL_UNDECIDED].measured_l, 1, 0);
    CHECK(r.tally.of[JL_UNDECIDED].parts_l < 0.992 && r.tally.at_20c == 0);
    CHECK_NEAR(jl_volume_l(r.tally.of[JL_UNDECIDED].spirit, 20), r.tally.of[JL_UNDECIDED].parts_l,
               1e-12);
}

static void logs_together_are_the_sum_of_their_jars(void) {
    run a = total(HEADER "1,0.1,82,foreshots\n2,0.4,80,heads\n3,1,75,hearts\n");
    run b = total(HEADER "4,1,65,hearts\n5,1,40,tails\n6,0.5,20,\n"), both = total(HEADER JARS);
    jl_tally_join(&a.tally, &b.tally);
    CHECK(a.tally.at_20c == both.tally.at_20c);
    for (int f = 0; f < JL_FRACTIONS; f++) {
        CHECK(a.tally.of[f].jars == both.tally.of[f].jars);
        CHECK_NEAR(a.tally.of[f].spirit.ethanol_kg, both.tally.of[f].spirit.ethanol_kg, 1e-15);
        CHECK_NEAR(a.tally.of[f].spirit.water_kg, both.tally.of[f].spirit.water_kg, 1e-15);
        CHECK_NEAR(a.tally.of[f].parts_l, both.tally.of[f].parts_l, 1e-15);
    }
}

static void what_was_charged_is_recovered_or_missing(void) {
    run r = total("#charge_l,24\n#charge_strength_pct,10\n" HEADER JARS
                  "#left_l,10\n#left_strength_pct,0.5\n");
    CHECK_OK(r.status);
    CHECK(r.recovery.charge_stated && r.recovery.left_stated);
    CHECK_NEAR(r.recovery.recovery_pct, 100 * 2.302 / 2.4, 1e-7);
    CHECK_NEAR(r.recovery.missing_l, 2.4 - 2.302 - 0.05, 1e-9);
    r = total("#charge_l,24\n#charge_strength_pct,10\n" HEADER JARS);
    CHECK(!r.recovery.left_stated);
    CHECK_NEAR(r.recovery.missing_l, 0.098, 1e-9);
}

/* What was left is as warm as the thermometer says, put right: 10 l at 30 °C, read as 28. */
static void what_was_left_is_as_warm_as_its_thermometer_is_wrong(void) {
    run right = total("#charge_l,24\n#charge_strength_pct,10\n" HEADER JARS
                      "#left_l,10\n#left_strength_pct,6\n#left_temp_c,30\n");
    run wrong =
        total("#charge_l,24\n#charge_strength_pct,10\n#thermometer_correction_c,2\n" HEADER JARS
              "#left_l,10\n#left_strength_pct,6\n#left_temp_c,28\n");
    CHECK(right.recovery.left_stated && right.recovery.left.ethanol_kg > 0);
    CHECK_NEAR(wrong.recovery.left.ethanol_kg, right.recovery.left.ethanol_kg, 1e-12);
    CHECK_NEAR(wrong.recovery.left.water_kg, right.recovery.left.water_kg, 1e-12);
}

static void what_was_left_may_be_read_warm(void) {
    run r = total("#charge_ml,24000\n#charge_strength_proof,20\n#calibrated_c,15\n" HEADER JARS
                  "#left_l,10\n#left_reading_pct,6\n#left_temp_c,30\n");
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    instrument.calibrated_c = 15;
    double p = NAN, charged = NAN;
    jl_spirit left, charge;
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, (jl_quantity){6, JL_UNIT_PCT_VOL}, 30, &p));
    CHECK_OK(jl_spirit_from_volume(10, p, 30, &left));
    CHECK_OK(jl_strength_to_mass_fraction((jl_quantity){20, JL_UNIT_PROOF_US}, &charged));
    CHECK_OK(jl_spirit_from_volume(24, charged, 20, &charge));
    CHECK_OK(r.status);
    CHECK_NEAR(r.recovery.left.ethanol_kg, left.ethanol_kg, 1e-12);
    CHECK_NEAR(r.recovery.charge.ethanol_kg, charge.ethanol_kg, 1e-12);
    r = total("#charge_l,24\n#charge_strength_pct,10\n" HEADER JARS
              "#left_l,0\n#left_strength_pct,0\n");
    CHECK_OK(r.status);
    CHECK(r.recovery.left_stated && r.recovery.left.water_kg == 0);
}

static void without_a_charge_nothing_is_said_of_it(void) {
    static const char *const texts[] = {HEADER JARS, "#charge_l,24\n" HEADER JARS,
                                        "#charge_strength_pct,10\n" HEADER JARS};
    for (size_t i = 0; i < 3; i++) {
        run r = total(texts[i]);
        CHECK_OK(r.status);
        CHECK(!r.recovery.charge_stated);
        CHECK(isnan(r.recovery.recovery_pct) && isnan(r.recovery.missing_l));
    }
    run r = total("#charge_l,24\n#charge_strength_pct,0\n" HEADER "1,1,0,\n");
    CHECK(isnan(r.recovery.recovery_pct));
    CHECK_NEAR(r.recovery.missing_l, 0, 1e-12);
    r = total("#charge_l,24\n#charge_strength_pct,0\n" HEADER "1,1,60,hearts\n");
    CHECK(isnan(r.recovery.recovery_pct)); /* there is no share of nothing */
    CHECK_NEAR(r.recovery.missing_l, -0.6, 1e-9);
}

static void recoveries_join_when_each_states_its_charge(void) {
    run a = total("#charge_l,24\n#charge_strength_pct,10\n" HEADER "1,1,60,hearts\n");
    run b = total("#charge_l,10\n#charge_strength_pct,30\n" HEADER "1,4,70,hearts\n");
    run c = total(HEADER "1,4,70,hearts\n");
    jl_recovery both = jl_recovery_join(a.recovery, b.recovery);
    CHECK_NEAR(both.recovery_pct, 100 * 3.4 / 5.4, 1e-7);
    CHECK_NEAR(both.missing_l, 2, 1e-9);
    CHECK(isnan(jl_recovery_join(both, c.recovery).recovery_pct));
    CHECK(isnan(jl_recovery_join(c.recovery, both).missing_l));
}

/* Water shows 1.5 % at 30 °C: half a division below that, and no more, is water too. */
static void what_water_shows_is_water(void) {
    static const struct {
        const char *facts;
        jl_status status;
    } AT[] = {
        {"#left_reading_pct,1.2\n#left_temp_c,30\n", JL_OK},
        {"#left_reading_pct,1\n#left_temp_c,30\n", JL_NO_MIXTURE},
        {"#left_reading_proof,1.0\n#left_temp_f,75\n", JL_OK},
        {"#left_reading_proof,0.2\n#left_temp_f,86\n", JL_NO_MIXTURE},
        /* no mixture either, but above all that there are */
        {"#left_reading_pct,100\n#left_temp_c,5\n", JL_NO_MIXTURE},
        {"#reading_correction_pct,-2\n#left_reading_pct,100\n#left_temp_c,5\n", JL_NO_MIXTURE},
        /* corrected it is warmer than the model goes */
        {"#left_reading_pct,2\n#left_temp_c,40\n#thermometer_correction_c,0.5\n", JL_RANGE},
        {"#left_strength_pct,2\n#left_temp_c,40\n#thermometer_correction_c,0.5\n", JL_RANGE}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[400];
        snprintf(text, sizeof text, "#left_l,10\n%s" HEADER "1,1,60,hearts\n", AT[i].facts);
        run r = total(text);
        CHECK_STATUS(r.status, AT[i].status);
        if (r.status == JL_OK) CHECK(jl_pure_alcohol_l(r.recovery.left) == 0);
        if (r.status != JL_OK) CHECK(r.fault.line >= 2 && r.fault.expected != NULL);
    }
}

static void a_reading_of_water_lies_within_half_a_division(void) {
    double shown;
    CHECK_OK(jl_reading_from_mass_fraction(&JL_ALCOHOLOMETER, 0, 30, JL_UNIT_PCT_VOL, &shown));
    for (int within = 0; within < 2; within++) {
        char text[200];
        snprintf(text, sizeof text, "#left_l,10\n#left_reading_pct,%.6f\n#left_temp_c,30\n" HEADER,
                 shown - (within ? 0.4999 : 0.5001));
        CHECK_STATUS(total(text).status, within ? JL_OK : JL_NO_MIXTURE);
    }
}

static void check_refused(const char *facts, jl_status want, size_t line, const char *cell) {
    char text[400];
    snprintf(text, sizeof text, HEADER "1,1,60,hearts\n%s", facts);
    run r = total(text);
    CHECK_STATUS(r.status, (int)want);
    CHECK(r.fault.status == want && r.fault.line == line && r.fault.column == 2);
    CU_ASSERT_STRING_EQUAL(r.fault.cell, cell);
}

static void facts_that_do_not_do_are_refused(void) {
    check_refused("#charge_l,0\n", JL_RANGE, 3, "0");
    check_refused("#charge_l,24l\n", JL_FORM, 3, "24l");
    check_refused("#charge_strength_pct,101\n", JL_RANGE, 3, "101");
    check_refused("#left_l,-1\n", JL_RANGE, 3, "-1");
    check_refused("#left_l,10\n#left_reading_pct,2\n", JL_MISSING, 4, "2");
    check_refused("#left_l,10\n#left_reading_pct,2\n#left_temp_c,60\n", JL_RANGE, 5, "60");
    check_refused("#left_l,10\n#left_reading_pct,1\n#left_temp_c,30\n", JL_NO_MIXTURE, 4, "1");
    check_refused("#left_l,10\n#left_reading_pct,6\n#left_temp_c,20\n#left_strength_pct,6.3\n",
                  JL_CONFLICT, 6, "6.3");
}

CU_TestInfo tally_tests[] = {
    {"fractions are added apart", fractions_are_added_apart},
    {"a total is smaller than its parts", a_total_is_smaller_than_its_parts},
    {"warm jars count at 20 °C", warm_jars_count_at_20_c},
    {"logs together are the sum of their jars", logs_together_are_the_sum_of_their_jars},
    {"what was charged is recovered or missing", what_was_charged_is_recovered_or_missing},
    {"what was left is as warm as its thermometer is wrong",
     what_was_left_is_as_warm_as_its_thermometer_is_wrong},
    {"what was left may be read warm", what_was_left_may_be_read_warm},
    {"without a charge nothing is said of it", without_a_charge_nothing_is_said_of_it},
    {"recoveries join when each states its charge", recoveries_join_when_each_states_its_charge},
    {"a reading of water lies within half a division",
     a_reading_of_water_lies_within_half_a_division},
    {"what water shows is water", what_water_shows_is_water},
    {"facts that do not do are refused", facts_that_do_not_do_are_refused},
    CU_TEST_INFO_NULL,
};
