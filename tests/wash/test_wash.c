/* Strength of a wash by four ways, and the rules they come from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"
#include "wash/gravity.h"
#include "wash/wash.h"

static jl_quantity sg(double value) {
    return (jl_quantity){value, JL_UNIT_SG};
}

/* The published tables are held by the suite "reference". */
static void an_extract_leads_back_to_its_gravity(void) {
    for (int i = 0; i <= 2100; i++) {
        double sg_20 = JL_GRAVITY_MIN + i * 1e-4;
        double extract = NAN, back = NAN;
        CHECK_OK(jl_extract_from_gravity(sg_20, &extract));
        CHECK_OK(jl_gravity_from_extract(extract, &back));
        CHECK_NEAR(back, sg_20, 1e-12);
    }
}

static void digits_mean_the_gravity_that_has_them(void) {
    static const char *const NONE[] = {"12", "1.012345", "1190", "0.95", "1012345", "0"};
    CHECK_NEAR(jl_gravity_meant("1012"), 1.012, 1e-12);
    CHECK_NEAR(jl_gravity_meant("10.12"), 1.012, 1e-12);
    CHECK_NEAR(jl_gravity_meant("985"), 0.985, 1e-12);
    CHECK_NEAR(jl_gravity_meant("108"), 1.08, 1e-12);
    for (size_t i = 0; i < sizeof NONE / sizeof NONE[0]; i++)
        CHECK(isnan(jl_gravity_meant(NONE[i])));
    static const char *const UNITS[][2] = {{"12", "12P or 12pts, which is 1.012"},
                                           {"60", "60pts, which is 1.060"},
                                           {"180", "180pts, which is 1.180"}};
    static const char *const TYPED[][2] = {{"60pts", "1.060"},        {"1060", "1.060"},
                                           {"40.5 points", "1.0405"}, {"15.2P", "15.2P"},
                                           {"1,060", "1,060"},        {"-8pts", "0.992"}};
    char units[JL_GRAVITY_UNITS_BYTES], text[JL_GRAVITY_TEXT_BYTES];
    for (size_t i = 0; i < 3; i++)
        CHECK(jl_gravity_units_meant(UNITS[i][0], units) && strcmp(units, UNITS[i][1]) == 0);
    CHECK(!jl_gravity_units_meant("1", units) && !jl_gravity_units_meant("181", units));
    CHECK(!jl_gravity_units_meant("1.060", units) && !jl_gravity_units_meant("12P", units));
    for (size_t i = 0; i < sizeof TYPED / sizeof TYPED[0]; i++) {
        jl_gravity_write(TYPED[i][0], text);
        CHECK(strcmp(text, TYPED[i][1]) == 0);
    }
    CHECK(jl_gravity_is_bare("1") && !jl_gravity_is_bare("1.0") && !jl_gravity_is_bare("12P"));
}

static void a_division_is_worth_what_models_say(void) {
    jl_fermented f = {0};
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_least least = {0};
    CHECK_OK(jl_wash_from_gravity(1.080, 0.992, 0.001, &f));
    CHECK_NEAR(f.original_division_pct, 0.14, 0.005); /* computed once by hand from the rule */
    CHECK_NEAR(f.final_division_pct, 0.13, 0.005);
    CHECK_OK(jl_wash_least(&hydrometer, sg(0.980), 20, &least));
    CHECK_NEAR(least.division_pct, 0.9, 0.05);
    /* It is the difference that one division makes. */
    jl_fermented more = {0}, less = {0};
    CHECK_OK(jl_wash_from_gravity(1.0805, 0.992, 0.001, &more));
    CHECK_OK(jl_wash_from_gravity(1.0795, 0.992, 0.001, &less));
    CHECK_NEAR(f.original_division_pct, more.strength_pct - less.strength_pct, 1e-12);
}

static void attenuation_follows_from_the_extracts(void) {
    jl_fermented f = {0};
    CHECK_OK(jl_wash_from_gravity(1.080, 1.080, 0.001, &f));
    CHECK_NEAR(f.strength_pct, 0, 1e-12);
    CHECK_NEAR(f.real_attenuation_share, 0, 1e-12);
    /* By hand from the tables' 12.39 and 2.56 °P: a real extract of 4.34, attenuated by 79.3 % as it
     * seems and by 65.0 % in fact. */
    CHECK_OK(jl_wash_from_gravity(1.050, 1.010, 0.001, &f));
    CHECK_NEAR(f.original_extract_pct, 12.39, 0.005);
    CHECK_NEAR(f.apparent_extract_pct, 2.56, 0.005);
    CHECK_NEAR(f.real_extract_pct, 4.337, 0.005);
    CHECK_NEAR(f.apparent_attenuation_share, 0.7934, 0.0005);
    CHECK_NEAR(f.real_attenuation_share, 0.6500, 0.0005);
    /* Balling's balance, forwards: extract that is left, and 2.0665 g for each g of alcohol, of which
     * 1.0665 g left as gas and yeast. */
    double alcohol_pct = f.strength_pct * 789.24 / 998.20 / 1.010;
    CHECK_NEAR(alcohol_pct, f.alcohol_mass_pct, 0.001 * alcohol_pct);
    CHECK_NEAR(100 * (f.real_extract_pct + 2.0665 * alcohol_pct) / (100 + 1.0665 * alcohol_pct),
               f.original_extract_pct, 0.01);
}

static void gravities_that_are_none_are_refused(void) {
    jl_fermented f = {.strength_pct = 7};
    CHECK_STATUS(jl_wash_from_gravity(1.010, 1.050, 0.001, &f), JL_CONFLICT);
    CHECK_STATUS(jl_wash_from_gravity(0.992, 1.080, 0.001, &f), JL_CONFLICT);
    CHECK_STATUS(jl_wash_from_gravity(1080, 0.992, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.080, 992, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(0.999, 0.992, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.000001, 0.992, 0.001, &f), JL_RANGE); /* no extract yet */
    CHECK_STATUS(jl_wash_from_gravity(1, 0.992, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(NAN, 0.992, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.08, NAN, 0.001, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.08, 0.992, 0, &f), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.08, 0.992, NAN, &f), JL_RANGE);
    CHECK(f.strength_pct == 7);
    double x = 7;
    CHECK_STATUS(jl_extract_from_gravity(1.181, &x), JL_RANGE);
    CHECK_STATUS(jl_extract_from_gravity(NAN, &x), JL_RANGE);
    CHECK_STATUS(jl_gravity_from_extract(41, &x), JL_RANGE);
    CHECK_STATUS(jl_gravity_from_extract(-1e300, &x), JL_RANGE);
    CHECK_STATUS(jl_gravity_from_extract(NAN, &x), JL_RANGE);
    CHECK_STATUS(jl_original_extract_pct(-1, 3, &x), JL_RANGE);
    CHECK_STATUS(jl_original_extract_pct(31, 3, &x), JL_RANGE);
    CHECK_STATUS(jl_original_extract_pct(5, -11, &x), JL_RANGE);
    CHECK_STATUS(jl_original_extract_pct(5, 51, &x), JL_RANGE);
    CHECK_STATUS(jl_wash_from_gravity(1.08, 0.992, 0.021, &f), JL_RANGE);
    CHECK_STATUS(jl_original_extract_pct(5, NAN, &x), JL_RANGE);
    CHECK(x == 7);
}

static void theory_yields_are_the_published_ones(void) {
    CHECK_NEAR(jl_sugar_theory_kg_kg(JL_SUCROSE), 0.5383, 1e-4);
    CHECK_NEAR(jl_sugar_theory_kg_kg(JL_GLUCOSE), 0.5114, 1e-4);
    CHECK_NEAR(jl_sugar_theory_kg_kg(JL_EXTRACT), 1 / 2.0665, 1e-12);
}

static void six_kilograms_in_25_litres(void) {
    jl_sugared s = {0};
    CHECK_OK(jl_wash_from_sugar(JL_SUCROSE, 6, 25, 0.92, &s));
    CHECK_NEAR(s.g_l_per_pct, 15.94, 0.005);
    CHECK_NEAR(s.original_extract_pct, 22.0, 0.05);
    CHECK_NEAR(s.original_sg, 1.0920, 0.00005);
    CHECK_NEAR(s.strength_pct, 15.1, 0.05);
    CHECK_NEAR(s.pure_alcohol_l, 25 * s.strength_pct / 100, 1e-12);
    /* The mass of sugar is the extract's share of the wash's mass. */
    double water = NAN;
    CHECK_OK(jl_water_density_kg_m3(20, &water));
    CHECK_NEAR(s.original_extract_pct / 100 * s.original_sg * water / 1000 * 25, 6, 1e-9);
    CHECK_OK(jl_wash_from_sugar(JL_GLUCOSE, 6, 25, 0.92, &s));
    CHECK_NEAR(s.g_l_per_pct, 16.77, 0.005);
}

static void sugar_that_cannot_be_is_refused(void) {
    jl_sugared s = {.strength_pct = 7};
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 0, 25, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, 0, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, 25, 1.01, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, 25, 0, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, NAN, 25, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, NAN, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, 25, NAN, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, INFINITY, 25, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 6, 2e9, 0.92, &s), JL_RANGE);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 20, 25, 0.92, &s), JL_NO);
    CHECK_STATUS(jl_wash_from_sugar(JL_SUCROSE, 1e300, 1e-300, 0.92, &s), JL_NO);
    CHECK(s.strength_pct == 7);
}

/* Common practice calls such a dry sugar wash finished, no source; 15.7 and 16.1 from OIML R 22. */
static void the_final_gravity_alone_gives_a_lower_bound(void) {
    jl_hydrometer at_20 = JL_HYDROMETER, at_60f = JL_HYDROMETER;
    jl_least least = {0};
    at_60f.calibrated_c = JL_PROOF_C;
    CHECK_OK(jl_wash_least(&at_20, sg(0.980), 20, &least));
    CHECK_NEAR(least.as_read_pct, 15.7, 0.05);
    CHECK_NEAR(least.as_read_pct - least.least_pct, least.division_pct / 2, 0.02);
    CHECK_OK(jl_wash_least(&at_60f, sg(0.980), JL_PROOF_C, &least));
    CHECK_NEAR(least.as_read_pct, 16.1, 0.05);
    /* The bound is the mixture in which the hydrometer stands half a division higher. */
    at_20.division_sg = 0.002;
    CHECK_OK(jl_wash_least(&at_20, sg(0.985), 27, &least));
    double p = NAN, density = NAN, water = NAN;
    CHECK_OK(jl_mass_fraction_from_strength(least.least_pct, 20, &p));
    CHECK_OK(jl_density_kg_m3(p, 27, &density));
    CHECK_OK(jl_water_density_kg_m3(20, &water));
    CHECK_NEAR(density, 0.986 * water * (1 - 25e-6 * 7), 1e-9);
}

static void at_1_000_and_above_nothing_can_be_said(void) {
    jl_hydrometer hydrometer = JL_HYDROMETER;
    jl_least least = {.least_pct = 7};
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(1.000), 20, &least), JL_NO);
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(1.012), 20, &least), JL_NO);
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(0.9996), 20, &least), JL_NO); /* half a division */
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(0.998), 35, &least), JL_NO); /* water shows 0.9963 */
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(0.980), 41, &least), JL_RANGE);
    CHECK_STATUS(jl_wash_least(&hydrometer, sg(0.980), NAN, &least), JL_RANGE);
    CHECK_STATUS(jl_wash_least(&hydrometer, (jl_quantity){50, JL_UNIT_PCT_VOL}, 20, &least),
                 JL_UNIT);
    CHECK(least.least_pct == 7);
}

static void a_gravity_is_brought_to_20_degrees(void) {
    jl_hydrometer at_20 = JL_HYDROMETER, at_60f = JL_HYDROMETER;
    double corrected = NAN, water_20 = NAN, water_30 = NAN;
    CHECK_OK(jl_gravity_at_20(&at_20, sg(1.050), 20, &corrected));
    CHECK_NEAR(corrected, 1.050, 1e-15);
    /* At its own temperature an instrument of 60 °F shows SG 60/60: water there is 1 by definition.
     */
    at_60f.calibrated_c = JL_PROOF_C;
    CHECK_OK(jl_gravity_at_20(&at_60f, sg(1.050), JL_PROOF_C, &corrected));
    CHECK_NEAR(corrected, 1.050, 1e-15);
    CHECK_OK(jl_water_density_kg_m3(20, &water_20));
    CHECK_OK(jl_water_density_kg_m3(30, &water_30));
    CHECK_OK(jl_gravity_at_20(&at_20, sg(1.050), 30, &corrected));
    CHECK_NEAR(corrected, 1.050 * water_20 * (1 - 25e-6 * 10) / water_30, 1e-12);
    CHECK_OK(jl_gravity_at_20(&at_20, (jl_quantity){12.39, JL_UNIT_PLATO}, 20, &corrected));
    CHECK_NEAR(corrected, 1.050, 0.0001);
    /* The liquid is taken to expand as water: off by up to 0.0006 at 12 % vol ten degrees away. */
    double p = NAN, at_30 = NAN, at_20c = NAN;
    CHECK_OK(jl_mass_fraction_from_strength(12, 20, &p));
    CHECK_OK(jl_density_kg_m3(p, 30, &at_30));
    CHECK_OK(jl_density_kg_m3(p, 20, &at_20c));
    double shown = at_30 / (1 - 25e-6 * 10) / water_20;
    CHECK_OK(jl_gravity_at_20(&at_20, sg(shown), 30, &corrected));
    CHECK_NEAR(corrected, at_20c / water_20, 0.0006);
    corrected = 7;
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(1.050), 41, &corrected), JL_RANGE);
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(1.050), -1, &corrected), JL_RANGE);
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(1050), 20, &corrected), JL_RANGE);
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(NAN), 20, &corrected), JL_RANGE);
    /* at 40 °C water is lighter: what is read at the top of the scale lies above it */
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(JL_GRAVITY_MAX), 40, &corrected), JL_RANGE);
    static const struct {
        double calibrated_c, glass_per_c, division_sg;
    } NONE[] = {{-1, 25e-6, 0.001}, {41, 25e-6, 0.001}, {20, -1e-6, 0.001}, {20, 2e-4, 0.001},
                {20, 25e-6, 0},     {20, 25e-6, 0.021}, {NAN, 25e-6, 0.001}};
    for (size_t i = 0; i < sizeof NONE / sizeof NONE[0]; i++) {
        const jl_hydrometer none = {.calibrated_c = NONE[i].calibrated_c,
                                    .glass_per_c = NONE[i].glass_per_c,
                                    .division_sg = NONE[i].division_sg};
        jl_least least;
        CHECK_STATUS(jl_gravity_at_20(&none, sg(1.050), 20, &corrected), JL_RANGE);
        CHECK_STATUS(jl_wash_least(&none, sg(0.980), 20, &least), JL_RANGE);
    }
    at_20.calibrated_c = 50;
    CHECK_STATUS(jl_gravity_at_20(&at_20, sg(1.050), 20, &corrected), JL_RANGE);
    CHECK(corrected == 7);
}

/* Tanaka et al., Metrologia 38 (2001) 301: printed points from memory, the formula too. */
static void water_density_is_the_printed_one(void) {
    static const double AT[][2] = {{0, 999.8428},  {4, 999.9749},  {15, 999.1026}, {20, 998.2067},
                                   {25, 997.0470}, {30, 995.6488}, {40, 992.2152}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        double density = NAN;
        CHECK_OK(jl_water_density_kg_m3(AT[i][0], &density));
        CHECK_NEAR(density, AT[i][1], 0.00051);
    }
}

static void a_distilled_sample_reads_as_correct_does(void) {
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_quantity reading = {8.3, JL_UNIT_PCT_VOL};
    jl_distilled d = {0};
    double p = NAN, corrected = NAN;
    CHECK_OK(jl_reading_to_mass_fraction(&instrument, reading, 21, &p));
    CHECK_OK(jl_strength_pct(p, 20, &corrected));
    CHECK_OK(jl_wash_from_distilled(&instrument, reading, 21, 1, 0.2, 0.2, &d));
    CHECK_NEAR(d.strength_pct, corrected, 1e-12);
    CHECK_NEAR(d.distillate_pct, corrected, 1e-12);
    CHECK_NEAR(d.division_pct, 1, 0.02);
    CHECK_OK(jl_wash_from_distilled(&instrument, reading, 21, 1, 0.4, 0.2, &d));
    CHECK_NEAR(d.strength_pct, corrected / 2, 1e-12);
    CHECK_NEAR(d.division_pct, 0.5, 0.01);
    jl_distilled by_proof = {0}; /* half as many per cent, on an alcoholometer of 60 °F */
    CHECK_OK(jl_wash_from_distilled(&instrument, (jl_quantity){16.6, JL_UNIT_PROOF_US}, 15.56, 1,
                                    0.4, 0.2, &by_proof));
    CHECK_NEAR(by_proof.distillate_pct, 8.3, 0.05);
    CHECK_NEAR(by_proof.division_pct, 0.5, 0.01);
    /* At the end of the scale a division is still worth something. */
    CHECK_OK(jl_wash_from_distilled(&instrument, (jl_quantity){100, JL_UNIT_PCT_VOL}, 20, 1, 0.4,
                                    0.2, &d));
    CHECK_NEAR(d.strength_pct, 50, 1e-9);
    CHECK_NEAR(d.division_pct, 0.5, 0.01);
    reading.value = 0.2;
    CHECK_OK(jl_wash_from_distilled(&instrument, reading, 20, 1, 0.2, 0.2, &d));
    CHECK_NEAR(d.division_pct, 1, 0.02);
    CHECK_OK(jl_wash_from_distilled(&instrument, reading, 20, 10, 1e9, 1e9, &d));
    d.strength_pct = 7;
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 1, 0, 0.2, &d), JL_RANGE);
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 1, 0.2, NAN, &d), JL_RANGE);
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 0, 0.2, 0.2, &d), JL_RANGE);
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 11, 0.2, 0.2, &d), JL_RANGE);
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 1, 2e9, 0.2, &d), JL_RANGE);
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 1, 0.2, 2e9, &d), JL_RANGE);
    reading.value = 60;
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 20, 1, 0.2, 0.4, &d), JL_RANGE);
    reading.value = 1;
    CHECK_STATUS(jl_wash_from_distilled(&instrument, reading, 30, 1, 0.2, 0.2, &d), JL_NO_MIXTURE);
    CHECK(d.strength_pct == 7);
}

static void equal_gravities_give_no_alcohol(void) {
    for (int i = 1; i <= 180; i++) {
        jl_fermented f = {.strength_pct = NAN};
        double sg = 1 + i / 1000.0;
        if (sg > JL_GRAVITY_MAX) break;
        CHECK_OK(jl_wash_from_gravity(sg, sg, 0.001, &f));
        CHECK(f.strength_pct == 0 && f.real_attenuation_share == 0);
    }
}

/* ---- by every way that is known ---- */

static jl_wash gravities(double original_sg, double final_sg) {
    jl_wash w = JL_WASH;
    w.original = (jl_wash_gravity){!isnan(original_sg), sg(original_sg), 20};
    w.final = (jl_wash_gravity){!isnan(final_sg), sg(final_sg), 20};
    return w;
}

static void put_sugar(jl_wash *w, jl_sugar sugar) {
    w->has_sugar = true;
    w->sugar = sugar;
    w->sugar_kg = 6;
    w->volume_l = 25;
    w->yield_share = jl_sugar_usual_yield_share(sugar);
}

static void put_sample(jl_wash *w) {
    w->has_sample = true;
    w->sample_reading = (jl_quantity){8.3, JL_UNIT_PCT_VOL};
    w->sample_c = 21;
    w->sample_l = w->made_up_l = 0.2;
}

static void every_way_stands_on_its_own(void) {
    jl_wash w = gravities(1.080, 0.992);
    jl_wash_ways ways = {.best = JL_WAYS};
    jl_fermented fermented = {0};
    jl_sugared sugared = {0};
    put_sugar(&w, JL_SUCROSE);
    put_sample(&w);
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK_OK(jl_wash_from_gravity(ways.original_sg, ways.final_sg, 0.001, &fermented));
    CHECK_OK(jl_wash_from_sugar(JL_SUCROSE, 6, 25, w.yield_share, &sugared));
    CHECK(ways.by[JL_WAY_DISTILLED] && ways.by[JL_WAY_GRAVITY] && ways.by[JL_WAY_SUGAR]);
    CHECK(!ways.by[JL_WAY_BOUND] && isnan(ways.strength_pct[JL_WAY_BOUND]));
    CHECK(ways.best == JL_WAY_DISTILLED && !ways.original_from_sugar);
    CHECK_NEAR(ways.strength_pct[JL_WAY_DISTILLED], ways.distilled.strength_pct, 0);
    CHECK_NEAR(ways.strength_pct[JL_WAY_GRAVITY], fermented.strength_pct, 0);
    CHECK_NEAR(ways.strength_pct[JL_WAY_SUGAR], sugared.strength_pct, 0);
    CHECK_NEAR(ways.sugar_so_far_pct,
               sugared.strength_pct * fmin(fermented.real_attenuation_share, 1), 0);
}

/* Sugar that may still ferment is no strength beside a distilled sample. */
static void sugar_counts_alone_only(void) {
    jl_wash w = JL_WASH;
    jl_wash_ways ways = {.best = JL_WAYS};
    put_sugar(&w, JL_SUCROSE);
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK_NEAR(ways.counted_pct[JL_WAY_SUGAR], ways.sugared.strength_pct, 0);
    put_sample(&w);
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK(isnan(ways.counted_pct[JL_WAY_SUGAR]) && ways.best == JL_WAY_DISTILLED);
}

static void sugar_stands_for_an_original_gravity(void) {
    jl_wash w = gravities(NAN, 1.020);
    jl_wash_ways ways = {.best = JL_WAYS};
    put_sugar(&w, JL_EXTRACT);
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK(ways.best == JL_WAY_GRAVITY && ways.original_from_sugar && !ways.by[JL_WAY_BOUND]);
    CHECK_NEAR(ways.original_sg, ways.sugared.original_sg, 0);
    CHECK_NEAR(ways.sugar_so_far_pct,
               ways.sugared.strength_pct / 0.65 * ways.fermented.real_attenuation_share, 1e-12);
    w.final.known = false;
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK(ways.best == JL_WAY_SUGAR && isnan(ways.original_sg) && isnan(ways.sugar_so_far_pct));
}

static void a_final_gravity_alone_is_a_bound(void) {
    jl_wash w = gravities(NAN, 0.990);
    jl_wash_ways ways = {.best = JL_WAYS};
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK(ways.best == JL_WAY_BOUND && ways.by[JL_WAY_BOUND]);
    CHECK_NEAR(ways.strength_pct[JL_WAY_BOUND], ways.least.least_pct, 0);
    w.final.reading.value = 1.010; /* no bound: beside a sample that is no error */
    put_sample(&w);
    CHECK_OK(jl_wash_by_all_ways(&w, &ways, NULL));
    CHECK(ways.best == JL_WAY_DISTILLED && !ways.by[JL_WAY_BOUND]);
}

static void a_part_that_cannot_be_is_named(void) {
    jl_wash at[9];
    const jl_wash_fault expected[9] = {
        {JL_RANGE, JL_PART_ORIGINAL, 0, 0}, {JL_RANGE, JL_PART_FINAL, 0, 0},
        {JL_NO, JL_PART_SUGAR, 0, 0},       {JL_RANGE, JL_PART_SUGAR, 0, 0},
        {JL_RANGE, JL_PART_SAMPLE, 0, 0},   {JL_CONFLICT, JL_PART_BOTH_GRAVITIES, 0, 0},
        {JL_NO, JL_PART_FINAL_ALONE, 0, 0}, {JL_MISSING, JL_PART_NONE, 0, 0},
        {JL_MISSING, JL_PART_NONE, 0, 0},
    };
    at[0] = gravities(1080, 0.992);
    at[1] = gravities(1.080, 992);
    for (int i = 2; i < 5; i++) at[i] = gravities(1.080, 0.992);
    put_sugar(&at[2], JL_SUCROSE);
    at[2].sugar_kg = 60;
    put_sugar(&at[3], JL_SUCROSE);
    at[3].sugar_kg = 0;
    put_sample(&at[4]);
    at[4].made_up_l = 20;
    at[5] = gravities(0.992, 1.080);
    at[6] = gravities(NAN, 1.010);
    at[7] = gravities(1.080, NAN);
    at[8] = JL_WASH;
    for (int i = 0; i < 9; i++) {
        jl_wash_ways ways = {.best = JL_WAYS};
        jl_wash_fault fault = {.status = JL_OK};
        CHECK_STATUS(jl_wash_by_all_ways(&at[i], &ways, &fault), expected[i].status);
        CHECK(fault.status == expected[i].status && fault.part == expected[i].part);
        CHECK(ways.best == JL_WAYS);
    }
}

static void a_wash_without_its_size_is_refused(void) {
    jl_wash w = gravities(1.080, 0.992);
    jl_wash_ways ways = {.best = JL_WAYS};
    jl_wash_fault fault = {.status = JL_OK};
    struct {
        jl_wash known;
        double later;
    } longer = {w, 7};
    longer.known.size = sizeof longer;
    CHECK_OK(jl_wash_by_all_ways(&longer.known, &ways, NULL));
    w.size = 0;
    ways.best = JL_WAYS;
    CHECK_STATUS(jl_wash_by_all_ways(&w, &ways, &fault), JL_RANGE);
    CHECK(ways.best == JL_WAYS && fault.part == JL_PART_NONE);
    w.size = SIZE_MAX;
    CHECK_STATUS(jl_wash_by_all_ways(&w, &ways, &fault), JL_RANGE);
}

/* ---- measured ---- */

static jl_status strength_by_gravity(const double *x, double *figures, void *with) {
    const jl_wash w = jl_measured_wash_at(with, x);
    jl_wash_ways ways;
    jl_status status = jl_wash_by_all_ways(&w, &ways, NULL);
    if (status == JL_OK) figures[0] = ways.strength_pct[JL_WAY_GRAVITY];
    return status;
}

static void divisions_of_two_gravities_add_in_quadrature(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    jl_fermented f = {0};
    jl_uncertainty u = {NAN, NAN};
    by.instruments.width[JL_BY_HYDROMETER][JL_DIVISION] = 0.001;
    const jl_wash w = gravities(1.080, 0.992);
    jl_measured_wash m = jl_measure_wash(&by, &w);
    CHECK_OK(jl_budget_first_order(by.budget, strength_by_gravity, &m, 1, &u));
    CHECK_OK(jl_wash_from_gravity(1.080, 0.992, 0.001, &f));
    double expected = hypot(f.original_division_pct, f.final_division_pct) / sqrt(12);
    CHECK_NEAR(u.standard, expected, 1e-3 * expected);
    jl_budget_free(by.budget);
}

static jl_status strength_distilled(const double *x, double *figures, void *with) {
    const jl_wash w = jl_measured_wash_at(with, x);
    jl_wash_ways ways;
    jl_status status = jl_wash_by_all_ways(&w, &ways, NULL);
    if (status == JL_OK) figures[0] = ways.strength_pct[JL_WAY_DISTILLED];
    return status;
}

/* A sample's own division is read to, whatever the instrument's is that came with the instruments:
 * where all else is exact, and the sample as large as the wash, the strength is off by as much as the
 * reading. */
static void a_sample_s_division_is_its_own(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    jl_uncertainty u = {NAN, NAN};
    by.instruments.width[JL_BY_ALCOHOLOMETER][JL_DIVISION] = 7;
    by.instruments.stated[JL_BY_ALCOHOLOMETER][JL_LIMIT] = true; /* as exact */
    jl_wash w = gravities(NAN, NAN);
    put_sample(&w);
    w.sample_c = 20;
    w.sample_division_pct = 0.2;
    jl_measured_wash m = jl_measure_wash(&by, &w);
    CHECK_OK(jl_budget_first_order(by.budget, strength_distilled, &m, 1, &u));
    CHECK_NEAR(u.standard, 0.2 / sqrt(12), 1e-3);
    jl_budget_free(by.budget);
}

static void a_yield_stays_within_theory(void) {
    jl_measuring by = {.budget = jl_budget_new()};
    double x[] = {0.5};
    jl_wash w = gravities(NAN, NAN);
    put_sugar(&w, JL_SUCROSE);
    jl_measured_wash m = jl_measure_wash(&by, &w);
    CHECK(jl_budget_count(by.budget) == 1); /* nothing else may be off */
    CHECK_NEAR(jl_measured_wash_at(&m, x).yield_share, 1, 0);
    x[0] = -0.05;
    CHECK_NEAR(jl_measured_wash_at(&m, x).yield_share, 0.92 * 0.95, 1e-15);
    CHECK_NEAR(jl_measured_wash_at(&m, NULL).yield_share, 0.92, 0);
    jl_budget_free(by.budget);
}

static void an_exact_wash_is_itself_and_a_bound_is_not_measured(void) {
    jl_measuring by = {.budget = NULL};
    const double none = 0;
    jl_wash w = gravities(NAN, 0.990);
    put_sample(&w);
    jl_measured_wash m = jl_measure_wash(&by, &w);
    CHECK(m.yield == 0 && jl_measured_wash_at(&m, NULL).final.known);
    jl_wash at = jl_measured_wash_at(&m, &none);
    CHECK(!at.final.known);
    CHECK_NEAR(at.sample_reading.value, 8.3, 0);
    CHECK_NEAR(at.made_up_l, 0.2, 0);
    w = gravities(1.080, NAN); /* nor is an original gravity without a final one */
    put_sample(&w);
    m = jl_measure_wash(&by, &w);
    CHECK(jl_measured_wash_at(&m, NULL).original.known);
    CHECK(!jl_measured_wash_at(&m, &none).original.known);
}

CU_TestInfo wash_tests[] = {
    {"a sample's division is its own", a_sample_s_division_is_its_own},
    {"an extract leads back to its gravity", an_extract_leads_back_to_its_gravity},
    {"digits mean the gravity that has them", digits_mean_the_gravity_that_has_them},
    {"a division is worth 0.14, 0.13 and 0.9 % vol", a_division_is_worth_what_models_say},
    {"attenuation follows from the extracts", attenuation_follows_from_the_extracts},
    {"gravities that are none are refused", gravities_that_are_none_are_refused},
    {"theory yields are the published ones", theory_yields_are_the_published_ones},
    {"6 kg in 25 l are 22.0 °P, 1.0920 and 15.1 % vol", six_kilograms_in_25_litres},
    {"sugar that cannot be is refused", sugar_that_cannot_be_is_refused},
    {"the final gravity alone gives a lower bound", the_final_gravity_alone_gives_a_lower_bound},
    {"at 1.000 and above nothing can be said", at_1_000_and_above_nothing_can_be_said},
    {"a gravity is brought to 20 °C", a_gravity_is_brought_to_20_degrees},
    {"water density is the printed one", water_density_is_the_printed_one},
    {"a distilled sample reads as correct does", a_distilled_sample_reads_as_correct_does},
    {"equal gravities give no alcohol", equal_gravities_give_no_alcohol},
    {"every way stands on its own", every_way_stands_on_its_own},
    {"sugar counts alone only", sugar_counts_alone_only},
    {"sugar stands for an original gravity", sugar_stands_for_an_original_gravity},
    {"a final gravity alone is a bound", a_final_gravity_alone_is_a_bound},
    {"a part that cannot be is named", a_part_that_cannot_be_is_named},
    {"a wash without its size is refused", a_wash_without_its_size_is_refused},
    {"divisions of two gravities add in quadrature", divisions_of_two_gravities_add_in_quadrature},
    {"a yield stays within theory", a_yield_stays_within_theory},
    {"an exact wash is itself, and a bound is not measured",
     an_exact_wash_is_itself_and_a_bound_is_not_measured},
    CU_TEST_INFO_NULL,
};
