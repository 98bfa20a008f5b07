/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

static jl_quantity vol(double value) {
    return (jl_quantity){value, JL_UNIT_PCT_VOL};
}
static jl_quantity proof(double value) {
    return (jl_quantity){value, JL_UNIT_PROOF_US};
}

/* 27 CFR 30.61, Table 1: a reading of 193 proof at 75 °F is 189.5 proof. */
static void reading_193_proof_at_75_f(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    double p = NAN, pct = NAN;
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, proof(193), (75 - 32) / 1.8, &p));
    CHECK_OK(jl_strength_pct(p, JL_PROOF_C, &pct));
    CHECK_NEAR(2 * pct, 189.5, 0.05);
}

static void at_its_own_temperature_a_reading_is_the_strength(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    for (int i = 0; i <= 100; i++) {
        double p = NAN, pct = NAN;
        CHECK_OK(jl_reading_to_mass_fraction(&instrument, vol(i), 20, &p));
        CHECK_OK(jl_strength_pct(p, 20, &pct));
        CHECK_NEAR(pct, i, 1e-9);
    }
}

/* The limits stand in the project's notes on the models: water alone shows 1.54 % at 30 °C. */
static void readings_with_no_mixture_behind_them_are_refused(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    double p = 7;
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(1), 30, &p), JL_NO_MIXTURE);
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(99), 10, &p), JL_NO_MIXTURE);
    CHECK(p == 7);
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, vol(2), 30, &p));
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, vol(98), 10, &p));
    double shown = NAN;
    CHECK_OK(jl_reading_from_mass_fraction(&instrument, 0, 30, JL_UNIT_PCT_VOL, &shown));
    CHECK_NEAR(shown, 1.54, 0.005);
}

static void a_reading_and_its_inverse_agree(void) {
    static const double calibrated[] = {20, JL_PROOF_C, 15};
    for (int c = 0; c < 3; c++) {
        jl_alcoholometer instrument = JL_ALCOHOLOMETER;
        instrument.calibrated_c = calibrated[c];
        instrument.reading_correction_pct = -0.2;
        instrument.thermometer_correction_c = 0.3;
        for (double t = -19; t <= 39; t += 2.9)
            for (double shown = 2; shown <= 98; shown += 1.7) {
                double p, back = NAN;
                jl_status status = jl_reading_to_mass_fraction(&instrument, vol(shown), t, &p);
                if (status == JL_NO_MIXTURE) continue;
                CHECK_OK(status);
                CHECK_OK(jl_reading_from_mass_fraction(&instrument, p, t, JL_UNIT_PCT_VOL, &back));
                CHECK_NEAR(back, shown, 1e-7);
            }
    }
}

static void what_does_not_belong_together_is_refused(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    double p = 7;
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(50), 40.1, &p), JL_RANGE);
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(50), -20.1, &p), JL_RANGE);
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(50), NAN, &p), JL_RANGE);
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(NAN), 20, &p), JL_RANGE);
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(100.1), 20, &p), JL_RANGE);
    jl_quantity by_mass = {50, JL_UNIT_PCT_MASS};
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, by_mass, 20, &p), JL_UNIT);
    instrument.calibrated_c = 20;
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, proof(100), 20, &p), JL_CONFLICT);
    instrument.calibrated_c = 15.56; /* 60 °F as records write it */
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, proof(100), 20, &p));
    instrument.glass_per_c = 1;
    CHECK_STATUS(jl_reading_to_mass_fraction(&instrument, vol(50), 20, &p), JL_RANGE);
}

/* 27 CFR 30.23: the certificate's corrections come before the table. */
static void corrections_are_added_before_the_table(void) {
    jl_alcoholometer plain = JL_ALCOHOLOMETER, corrected = JL_ALCOHOLOMETER;
    corrected.reading_correction_pct = 0.3;
    corrected.thermometer_correction_c = -0.5;
    double want, got = NAN;
    CHECK_OK(jl_reading_to_mass_fraction(&plain, vol(60.3), 24.5, &want));
    CHECK_OK(jl_reading_to_mass_fraction(&corrected, vol(60), 25, &got));
    CHECK_NEAR(got, want, 1e-15);
}

CU_TestInfo alcoholometer_tests[] = {
    {"193 proof at 75 F is 189.5 (27 CFR 30.61)", reading_193_proof_at_75_f},
    {"at 20 C a reading is the strength", at_its_own_temperature_a_reading_is_the_strength},
    {"a reading with no mixture is refused", readings_with_no_mixture_behind_them_are_refused},
    {"a reading and its inverse agree", a_reading_and_its_inverse_agree},
    {"what does not belong together is refused", what_does_not_belong_together_is_refused},
    {"corrections come first (27 CFR 30.23)", corrections_are_added_before_the_table},
    CU_TEST_INFO_NULL,
};
