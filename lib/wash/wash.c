/* Strength of a wash: from two gravities, from sugar, from a distilled sample, or, from the final
 * gravity alone, its lower bound.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/wash.h"
#include "text/array.h"
#include "wash/gravity.h"

#include <math.h>

/* ---- two gravities ---- */

/* Balling: 2.0665 g of extract give 1 g of alcohol, 0.9565 g of carbon dioxide, 0.11 g of yeast. */
static const double EXTRACT_PER_ALCOHOL = 2.0665, LOST_PER_ALCOHOL = 1.0665;

/* Density of ethanol relative to water, 20/20: % vol from % mas and SG. */
static const double ETHANOL_SG = 0.7907;

static double real_extract(double original_pct, double apparent_pct) {
    /* 0.1808 original + 0.8192 apparent, put so that equal ones give no alcohol to the last bit. */
    return original_pct - 0.8192 * (original_pct - apparent_pct);
}

static double alcohol_mass_pct(double original_pct, double apparent_pct) {
    return (original_pct - real_extract(original_pct, apparent_pct)) /
           (EXTRACT_PER_ALCOHOL - LOST_PER_ALCOHOL / 100 * original_pct);
}

static double balling_pct(double original_sg, double final_sg) {
    return alcohol_mass_pct(jl_extract_polynomial(original_sg), jl_extract_polynomial(final_sg)) *
           final_sg / ETHANOL_SG;
}

jl_status jl_wash_from_gravity(double original_sg, double final_sg, double division,
                               jl_fermented *fermented) {
    if (!jl_gravity_ok(original_sg) || !jl_gravity_ok(final_sg)) return JL_RANGE;
    if (!(division > 0 && division <= 0.02)) return JL_RANGE;
    double original_pct = jl_extract_polynomial(original_sg);
    double apparent_pct = jl_extract_polynomial(final_sg);
    double half = division / 2;
    if (final_sg > original_sg) return JL_CONFLICT;
    if (!(original_sg > 1 && original_pct > 0)) return JL_RANGE;
    double real_pct = real_extract(original_pct, apparent_pct);
    *fermented = (jl_fermented){
        .strength_pct = balling_pct(original_sg, final_sg),
        .alcohol_mass_pct = alcohol_mass_pct(original_pct, apparent_pct),
        .original_extract_pct = original_pct,
        .apparent_extract_pct = apparent_pct,
        .real_extract_pct = real_pct,
        .apparent_attenuation_share = (original_pct - apparent_pct) / original_pct,
        .real_attenuation_share = (original_pct - real_pct) / original_pct,
        .original_division_pct =
            balling_pct(original_sg + half, final_sg) - balling_pct(original_sg - half, final_sg),
        .final_division_pct =
            balling_pct(original_sg, final_sg - half) - balling_pct(original_sg, final_sg + half),
    };
    return JL_OK;
}

jl_status jl_original_extract_pct(double alcohol_pct, double real_extract_pct,
                                  double *original_extract_pct) {
    if (!(alcohol_pct >= 0 && alcohol_pct <= 30)) return JL_RANGE;
    if (!(real_extract_pct >= -10 && real_extract_pct <= 50)) return JL_RANGE;
    *original_extract_pct = 100 * (EXTRACT_PER_ALCOHOL * alcohol_pct + real_extract_pct) /
                            (100 + LOST_PER_ALCOHOL * alcohol_pct);
    return JL_OK;
}

/* ---- sugar ---- */

double jl_sugar_theory_kg_kg(jl_sugar sugar) {
    /* kg/kmol, from the conventional atomic weights 12.011, 1.008 and 15.999. */
    static const double ETHANOL = 46.069, GLUCOSE = 180.156, SUCROSE = 342.297;
    if (sugar == JL_SUCROSE) return 4 * ETHANOL / SUCROSE;
    return sugar == JL_GLUCOSE ? 2 * ETHANOL / GLUCOSE : 1 / EXTRACT_PER_ALCOHOL;
}

double jl_sugar_usual_yield_share(jl_sugar sugar) {
    return sugar == JL_EXTRACT ? 0.65 : 0.92;
}

jl_status jl_wash_from_sugar(jl_sugar sugar, double sugar_kg, double volume_l, double yield,
                             jl_sugared *sugared) {
    if (!(sugar_kg > 0 && isfinite(sugar_kg)) || !(volume_l > 0 && volume_l <= 1e9))
        return JL_RANGE;
    if (!(yield > 0 && yield <= 1)) return JL_RANGE;
    double water_kg_m3 = NAN, sg;
    jl_water_density_kg_m3(JL_STRENGTH_C, &water_kg_m3);
    double g_in_100_ml = 100 * sugar_kg / volume_l; /* to the factor of water's density */
    if (!jl_gravity_solve(1, g_in_100_ml * 1000 / water_kg_m3, &sg)) return JL_NO;
    double pure_l = sugar_kg * jl_sugar_theory_kg_kg(sugar) * yield / JL_ETHANOL_KG_L;
    *sugared = (jl_sugared){
        .strength_pct = 100 * pure_l / volume_l,
        .pure_alcohol_l = pure_l,
        .original_extract_pct = jl_extract_polynomial(sg),
        .original_sg = sg,
        .g_l_per_pct = 10 * JL_ETHANOL_KG_L / (jl_sugar_theory_kg_kg(sugar) * yield),
    };
    return JL_OK;
}

/* ---- the final gravity alone ---- */

static jl_status strength_of_density(double density_kg_m3, double temp_c, double *strength_pct) {
    double p;
    jl_status status = jl_mass_fraction_from_density(density_kg_m3, temp_c, &p);
    return status == JL_OK ? jl_strength_pct(p, JL_STRENGTH_C, strength_pct) : status;
}

jl_status jl_wash_least(const jl_hydrometer *instrument, jl_quantity reading, double temp_c,
                        jl_least *least) {
    double sg, below_pct, as_read_pct, above_pct;
    if (!jl_hydrometer_ok(instrument) || !(temp_c >= 0 && temp_c <= 40)) return JL_RANGE;
    jl_status status = jl_gravity_sg(reading, &sg);
    if (status != JL_OK) return status;
    double half = instrument->division_sg / 2;
    status = strength_of_density(jl_hydrometer_density(instrument, sg + half, temp_c), temp_c,
                                 &below_pct);
    if (status == JL_NO_MIXTURE) return JL_NO;
    if (status == JL_OK)
        status = strength_of_density(jl_hydrometer_density(instrument, sg, temp_c), temp_c,
                                     &as_read_pct);
    if (status == JL_OK)
        status = strength_of_density(jl_hydrometer_density(instrument, sg - half, temp_c), temp_c,
                                     &above_pct);
    if (status != JL_OK) return status;
    *least = (jl_least){below_pct, as_read_pct, above_pct - below_pct};
    return JL_OK;
}

/* ---- a distilled sample ---- */

/* Strength of the distillate for a reading off by some divisions, kept on the scale. */
static jl_status distillate(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                            double off_pct, double *strength_pct) {
    double p;
    reading.value += reading.unit == JL_UNIT_PROOF_US ? 2 * off_pct : off_pct;
    jl_status status = jl_reading_to_mass_fraction(instrument, reading, temp_c, &p);
    return status == JL_OK ? jl_strength_pct(p, JL_STRENGTH_C, strength_pct) : status;
}

jl_status jl_wash_from_distilled(const jl_alcoholometer *instrument, jl_quantity reading,
                                 double temp_c, double division_pct, double sample_l,
                                 double made_up_l, jl_distilled *distilled) {
    double as_read_pct, less_pct, more_pct;
    if (!(sample_l > 0 && sample_l <= 1e9) || !(made_up_l > 0 && made_up_l <= 1e9)) return JL_RANGE;
    if (!(division_pct > 0 && division_pct <= 10)) return JL_RANGE;
    jl_status status = distillate(instrument, reading, temp_c, 0, &as_read_pct);
    if (status != JL_OK) return status;
    double ratio = made_up_l / sample_l;
    if (!(as_read_pct * ratio <= 100)) return JL_RANGE;
    /* At the end of the scale the step is taken to the side that is there. */
    if (distillate(instrument, reading, temp_c, -division_pct / 2, &less_pct) != JL_OK)
        less_pct = NAN;
    if (distillate(instrument, reading, temp_c, division_pct / 2, &more_pct) != JL_OK)
        more_pct = NAN;
    double worth_pct = isnan(less_pct)   ? 2 * (more_pct - as_read_pct)
                       : isnan(more_pct) ? 2 * (as_read_pct - less_pct)
                                         : more_pct - less_pct;
    *distilled = (jl_distilled){as_read_pct * ratio, as_read_pct, worth_pct * ratio};
    return JL_OK;
}

/* ---- by every way that is known ---- */

enum { WASH_LEAST = offsetof(jl_wash, made_up_l) + sizeof(double) }; /* of the first edition */

/* A yield below 1 stands for by-products of a sugar that ferments wholly, but for what does not
 * ferment of an extract, and the attenuation knows that already. */
static double sugar_so_far_pct(const jl_wash *wash, const jl_wash_ways *w) {
    double share = fmin(w->fermented.real_attenuation_share, 1);
    double whole_pct = w->sugared.strength_pct;
    return wash->sugar == JL_EXTRACT ? whole_pct / wash->yield_share * share : whole_pct * share;
}

static jl_status gravity_of(const jl_wash *wash, const jl_wash_gravity *gravity, double *sg) {
    *sg = NAN;
    return gravity->known
               ? jl_gravity_at_20(&wash->hydrometer, gravity->reading, gravity->temp_c, sg)
               : JL_OK;
}

/* What each measured part comes to by itself. */
static jl_status take_parts(const jl_wash *wash, jl_wash_ways *w, jl_wash_part *failed) {
    *failed = JL_PART_ORIGINAL;
    jl_status status = gravity_of(wash, &wash->original, &w->original_sg);
    if (status != JL_OK) return status;
    *failed = JL_PART_FINAL;
    status = gravity_of(wash, &wash->final, &w->final_sg);
    if (status != JL_OK) return status;
    *failed = JL_PART_SUGAR;
    w->by[JL_WAY_SUGAR] = wash->has_sugar;
    if (wash->has_sugar)
        status = jl_wash_from_sugar(wash->sugar, wash->sugar_kg, wash->volume_l, wash->yield_share,
                                    &w->sugared);
    if (status != JL_OK) return status;
    *failed = JL_PART_SAMPLE;
    w->by[JL_WAY_DISTILLED] = wash->has_sample;
    if (wash->has_sample)
        status = jl_wash_from_distilled(&wash->alcoholometer, wash->sample_reading, wash->sample_c,
                                        wash->sample_division_pct, wash->sample_l, wash->made_up_l,
                                        &w->distilled);
    return status;
}

static bool has_both_gravities(const jl_wash *wash) {
    return wash->final.known && (wash->original.known || wash->has_sugar);
}

/* Two gravities; with sugar and a final one, the sugar stands for the original. */
static jl_status take_gravities(const jl_wash *wash, jl_wash_ways *w, jl_wash_part *failed) {
    *failed = JL_PART_BOTH_GRAVITIES;
    w->by[JL_WAY_GRAVITY] = has_both_gravities(wash);
    if (!w->by[JL_WAY_GRAVITY]) return JL_OK;
    w->original_from_sugar = !wash->original.known;
    if (w->original_from_sugar) w->original_sg = w->sugared.original_sg;
    return jl_wash_from_gravity(w->original_sg, w->final_sg, wash->hydrometer.division_sg,
                                &w->fermented);
}

/* A gravity that gives no bound beside a sample says nothing, and harms nothing. */
static jl_status take_bound(const jl_wash *wash, jl_wash_ways *w, jl_wash_part *failed) {
    *failed = JL_PART_FINAL_ALONE;
    if (!wash->final.known || w->by[JL_WAY_GRAVITY]) return JL_OK;
    jl_status status =
        jl_wash_least(&wash->hydrometer, wash->final.reading, wash->final.temp_c, &w->least);
    w->by[JL_WAY_BOUND] = status == JL_OK;
    return status == JL_NO && wash->has_sample ? JL_OK : status;
}

static jl_status take_strengths(const jl_wash *wash, jl_wash_ways *w, jl_wash_part *failed) {
    const double strength_pct[JL_WAYS] = {w->distilled.strength_pct, w->fermented.strength_pct,
                                          w->sugared.strength_pct, w->least.least_pct};
    *failed = JL_PART_NONE;
    w->best = JL_WAYS;
    for (int i = JL_WAYS - 1; i >= 0; i--) {
        w->strength_pct[i] = w->by[i] ? strength_pct[i] : NAN;
        if (w->by[i]) w->best = (jl_wash_way)i;
    }
    w->sugar_so_far_pct =
        wash->has_sugar && w->by[JL_WAY_GRAVITY] ? sugar_so_far_pct(wash, w) : NAN;
    return w->best == JL_WAYS ? JL_MISSING : JL_OK;
}

jl_status jl_wash_by_all_ways(const jl_wash *wash, jl_wash_ways *ways, jl_wash_fault *fault) {
    jl_wash known = JL_WASH;
    jl_wash_ways w = {.best = JL_WAYS, .original_sg = NAN, .final_sg = NAN};
    jl_wash_part failed = JL_PART_NONE;
    jl_status status = jl_sized_take(wash, WASH_LEAST, &known, sizeof known) ? JL_OK : JL_RANGE;
    if (status == JL_OK) status = take_parts(&known, &w, &failed);
    if (status == JL_OK) status = take_gravities(&known, &w, &failed);
    if (status == JL_OK) status = take_bound(&known, &w, &failed);
    if (status == JL_OK) status = take_strengths(&known, &w, &failed);
    if (status == JL_OK)
        *ways = w;
    else if (fault != NULL)
        *fault = (jl_wash_fault){status, failed, w.original_sg, w.final_sg};
    return status;
}

/* ---- measured ---- */

/* SG to °P near a wash's gravities: ASBC polynomial. */
static const double PLATO_PER_SG = 250;

static jl_measured measure_gravity(jl_measuring *by, const jl_wash_gravity *gravity) {
    double scale = gravity->reading.unit == JL_UNIT_PLATO ? PLATO_PER_SG : 1;
    return jl_measure(by, JL_BY_HYDROMETER, gravity->reading.value, scale);
}

jl_measured_wash jl_measure_wash(jl_measuring *by, const jl_wash *wash) {
    jl_measured_wash m = {.wash = *wash};
    bool gravities = has_both_gravities(wash);
    if (gravities && wash->original.known) {
        m.original = measure_gravity(by, &wash->original);
        m.original_c = jl_measure(by, JL_BY_THERMOMETER, wash->original.temp_c, 1);
    }
    if (gravities) {
        m.final = measure_gravity(by, &wash->final);
        m.final_c = jl_measure(by, JL_BY_THERMOMETER, wash->final.temp_c, 1);
    }
    if (wash->has_sugar) {
        m.sugar = jl_measure(by, JL_BY_SCALE, wash->sugar_kg, 1);
        m.volume = jl_measure(by, JL_BY_JUG, wash->volume_l, 1);
        if (by->budget != NULL)
            m.yield = 1 + jl_budget_input(by->budget, "yield", JL_YIELD_SHARE, JL_RECTANGULAR);
    }
    if (wash->has_sample) {
        m.reading = jl_measure_strength(by, wash->sample_reading);
        m.reading_c = jl_measure(by, JL_BY_THERMOMETER, wash->sample_c, 1);
        m.sample_l = jl_measure(by, JL_BY_JUG, wash->sample_l, 1);
        m.made_up_l = jl_measure(by, JL_BY_JUG, wash->made_up_l, 1);
    }
    return m;
}

jl_wash jl_measured_wash_at(const jl_measured_wash *m, const double *x) {
    jl_wash w = m->wash;
    if (x == NULL) return w;
    w.final.known = has_both_gravities(&w);
    w.original.known = w.original.known && w.final.known;
    if (w.original.known) {
        w.original.reading.value = jl_measured_at(&m->original, x);
        w.original.temp_c = jl_measured_at(&m->original_c, x);
    }
    if (w.final.known) {
        w.final.reading.value = jl_measured_at(&m->final, x);
        w.final.temp_c = jl_measured_at(&m->final_c, x);
    }
    if (w.has_sugar) {
        w.sugar_kg = jl_measured_at(&m->sugar, x);
        w.volume_l = jl_measured_at(&m->volume, x);
        if (m->yield > 0) w.yield_share = fmin(w.yield_share * (1 + x[m->yield - 1]), 1);
    }
    if (w.has_sample) {
        w.sample_reading.value = jl_measured_at(&m->reading, x);
        w.sample_c = jl_measured_at(&m->reading_c, x);
        w.sample_l = jl_measured_at(&m->sample_l, x);
        w.made_up_l = jl_measured_at(&m->made_up_l, x);
    }
    return w;
}
