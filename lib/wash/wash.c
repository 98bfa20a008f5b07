/* Strength of a wash: from two gravities, from sugar, from a distilled sample, or, from the final
 * gravity alone, its lower bound.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/wash.h"
#include "text/array.h"
#include "text/quantity.h"
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
    if (!jl_division_ok(division)) return JL_RANGE;
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
    static const double ETHANOL = 46.069, GLUCOSE = JL_GLUCOSE_KG_KMOL, SUCROSE = 342.297;
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
    enum { BELOW, AS_READ, ABOVE, READINGS };
    double sg, pct[READINGS];
    if (!jl_hydrometer_ok(instrument) || !jl_wash_temp_ok(temp_c)) return JL_RANGE;
    jl_status status = jl_gravity_sg(reading, &sg);
    if (status != JL_OK) return status;
    double half = instrument->division_sg / 2;
    for (int i = BELOW; status == JL_OK && i < READINGS; i++)
        status = strength_of_density(
            jl_hydrometer_density(instrument, sg + (AS_READ - i) * half, temp_c), temp_c, &pct[i]);
    if (status != JL_OK) return JL_NO; /* no mixture is as dense */
    *least = (jl_least){pct[BELOW], pct[AS_READ], pct[ABOVE] - pct[BELOW]};
    return JL_OK;
}

/* ---- a distilled sample ---- */

/* Strength of the distillate for a reading off by some divisions, kept on the scale. */
static jl_status distillate(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                            double off_pct, double *strength_pct) {
    double p;
    reading.value += jl_per_pct(reading.unit) * off_pct;
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

/* What dissolves and what can ferment of it. A yield below 1 stands for by-products of a sugar that
 * ferments wholly, but for what does not ferment of an extract, and the attenuation knows that
 * already. */
static double sugar_so_far_pct(const jl_wash *wash, const jl_wash_ways *w) {
    bool malt = wash->has_recipe ? wash->recipe.kind != JL_KIND_SUGAR : wash->sugar == JL_EXTRACT;
    double can = wash->has_recipe ? wash->recipe.fermentable_share : malt ? wash->yield_share : 1;
    double share = fmin(w->fermented.real_attenuation_share, malt ? 1 : can);
    return w->sugared.strength_pct / can * share;
}

/* Of a sucrose wash the rule gives 1 to 7 % of its value too little. */
double jl_wash_bias_share(jl_wash_kind kind, double *half_width) {
    const double low = kind == JL_KIND_SUGAR ? 0.01 : 0, high = kind == JL_KIND_MALT ? 0 : 0.07;
    *half_width = (high - low) / 2;
    return (high + low) / 2;
}

static jl_status gravity_of(const jl_wash *wash, const jl_wash_gravity *gravity, double *sg) {
    *sg = NAN;
    return gravity->known
               ? jl_gravity_at_20(&wash->hydrometer, gravity->reading, gravity->temp_c, sg)
               : JL_OK;
}

static bool has_sweet(const jl_wash *wash) {
    return wash->has_sugar || wash->has_recipe;
}

static jl_sugared sugared_of(const jl_recipe *r) {
    return (jl_sugared){.strength_pct = r->strength_pct,
                        .pure_alcohol_l = r->pure_alcohol_l,
                        .original_extract_pct = jl_extract_polynomial(r->original_sg),
                        .original_sg = r->original_sg,
                        .g_l_per_pct = 1000 * r->sugar_kg / r->volume_l / r->strength_pct};
}

/* What each measured part comes to by itself. */
static jl_status take_parts(const jl_wash *wash, jl_wash_ways *w, jl_wash_part *failed) {
    *failed = JL_PART_ORIGINAL;
    jl_status status = gravity_of(wash, &wash->original, &w->original_sg);
    if (status == JL_OK && wash->original.known && wash->later_kg_l != 0 &&
        !jl_gravity_raise(w->original_sg, wash->later_kg_l, &w->original_sg))
        status = JL_RANGE;
    if (status != JL_OK) return status;
    *failed = JL_PART_FINAL;
    status = gravity_of(wash, &wash->final, &w->final_sg);
    if (status != JL_OK) return status;
    *failed = JL_PART_SUGAR;
    w->by[JL_WAY_SUGAR] = has_sweet(wash);
    if (wash->has_recipe) w->sugared = sugared_of(&wash->recipe);
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
    return wash->final.known && (wash->original.known || has_sweet(wash));
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

/* What the sugar will give when all has fermented is no strength beside a measured one. */
static void take_counted(const jl_wash *wash, jl_wash_ways *w) {
    double width, bias = jl_wash_bias_share(wash->kind, &width);
    bool alone = w->by[JL_WAY_SUGAR] && !w->by[JL_WAY_GRAVITY] && !w->by[JL_WAY_DISTILLED];
    w->counted_pct[JL_WAY_DISTILLED] = w->strength_pct[JL_WAY_DISTILLED];
    w->counted_pct[JL_WAY_GRAVITY] = w->strength_pct[JL_WAY_GRAVITY] * (1 + bias);
    w->counted_pct[JL_WAY_SUGAR] = alone ? w->strength_pct[JL_WAY_SUGAR] : w->sugar_so_far_pct;
    w->counted_pct[JL_WAY_BOUND] = NAN;
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
        has_sweet(wash) && w->by[JL_WAY_GRAVITY] ? sugar_so_far_pct(wash, w) : NAN;
    take_counted(wash, w);
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

jl_hydrometer jl_settings_to_hydrometer(const jl_settings *s) {
    jl_hydrometer h = JL_HYDROMETER;
    double division = jl_setting_value(s, JL_KEY_HYDROMETER_DIVISION);
    h.calibrated_c = jl_setting_value(s, JL_KEY_HYDROMETER_CALIBRATED);
    h.glass_per_c = jl_setting_value(s, JL_KEY_HYDROMETER_GLASS);
    if (division > 0) h.division_sg = division;
    return h;
}

/* SG to °P near a wash's gravities: ASBC polynomial. */
static const double PLATO_PER_SG = 250;

/* Beyond it two places of a hydrometer's scale have nothing in common. Common practice, no source. */
static const double APART_SG = 0.05;

static jl_measured measure_gravity(jl_measuring *by, const jl_wash_gravity *gravity, double near) {
    double scale = gravity->reading.unit == JL_UNIT_PLATO ? PLATO_PER_SG : 1;
    return jl_measure_apart(by, JL_BY_HYDROMETER, gravity->reading.value, scale, near);
}

static double nearness(const jl_wash *wash) {
    double original_sg, final_sg;
    if (jl_gravity_sg(wash->original.reading, &original_sg) != JL_OK ||
        jl_gravity_sg(wash->final.reading, &final_sg) != JL_OK)
        return 1;
    return fmax(0, 1 - fabs(original_sg - final_sg) / APART_SG);
}

static double off(size_t place, const double *x) {
    return place == 0 || x == NULL ? 0 : x[place - 1];
}

static double attenuation_width(const jl_wash *wash) {
    double can = wash->recipe.fermentable_share;
    bool remainder = wash->has_recipe && wash->recipe.kind == JL_KIND_SUGAR;
    return JL_ATTENUATION_SHARE + (remainder ? JL_REMAINDER_SHARE * (1 - can) / can : 0);
}

static void measure_gravities(jl_measuring *by, jl_measured_wash *m) {
    const jl_wash *wash = &m->wash;
    double bias_width;
    jl_wash_bias_share(wash->kind, &bias_width);
    jl_instrument_divide(&by->instruments, JL_BY_HYDROMETER, wash->hydrometer.division_sg);
    if (wash->original.known) {
        m->original = measure_gravity(by, &wash->original, 1);
        m->original_c = jl_measure(by, JL_BY_THERMOMETER, wash->original.temp_c, 1);
    }
    if (wash->original.known && wash->later_kg_l != 0)
        m->later = jl_measure_deviation(by, "what went in later", JL_STATED_SHARE, JL_RECTANGULAR);
    m->final = measure_gravity(by, &wash->final, wash->original.known ? nearness(wash) : 1);
    m->final_c = jl_measure(by, JL_BY_THERMOMETER, wash->final.temp_c, 1);
    m->rule = jl_measure_deviation(by, "the rule's own error", JL_RULE_MASS_PCT, JL_RECTANGULAR);
    m->bias = jl_measure_deviation(by, "the rule's bias on sugar", bias_width, JL_RECTANGULAR);
    m->expansion = jl_measure_deviation(
        by, "how the wash expands", JL_EXPANSION_SG_C * fabs(wash->final.temp_c - JL_STRENGTH_C),
        JL_RECTANGULAR);
    if (has_sweet(wash))
        m->attenuation = jl_measure_deviation(by, "how far it has fermented",
                                              attenuation_width(wash), JL_RECTANGULAR);
}

jl_measured_wash jl_measure_wash(jl_measuring *by, const jl_wash *wash) {
    jl_measured_wash m = {.wash = *wash};
    if (has_both_gravities(wash)) measure_gravities(by, &m);
    if (wash->has_sugar) {
        m.sugar = jl_measure(by, JL_BY_SCALE, wash->sugar_kg, 1);
        m.volume = jl_measure(by, JL_BY_JUG, wash->volume_l, 1);
        m.yield = jl_measure_deviation(by, "yield", JL_YIELD_SHARE, JL_RECTANGULAR);
    }
    if (wash->has_recipe)
        m.recipe = jl_measure_deviation(
            by, "what went in", wash->recipe.strength_u_pct / wash->recipe.strength_pct, JL_NORMAL);
    if (wash->has_sample) {
        jl_instrument_divide(&by->instruments, JL_BY_ALCOHOLOMETER, wash->sample_division_pct);
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
        w.later_kg_l *= 1 + off(m->later, x);
    }
    if (w.final.known) {
        double scale = w.final.reading.unit == JL_UNIT_PLATO ? PLATO_PER_SG : 1;
        w.final.reading.value = jl_measured_at(&m->final, x) + scale * off(m->expansion, x);
        w.final.temp_c = jl_measured_at(&m->final_c, x);
    }
    if (w.has_sugar) {
        w.sugar_kg = jl_measured_at(&m->sugar, x);
        w.volume_l = jl_measured_at(&m->volume, x);
        w.yield_share = fmin(w.yield_share * (1 + off(m->yield, x)), 1);
    }
    if (w.has_recipe) w.recipe.strength_pct *= 1 + off(m->recipe, x);
    if (w.has_sample) {
        w.sample_reading.value = jl_measured_at(&m->reading, x);
        w.sample_c = jl_measured_at(&m->reading_c, x);
        w.sample_l = jl_measured_at(&m->sample_l, x);
        w.made_up_l = jl_measured_at(&m->made_up_l, x);
    }
    return w;
}

jl_status jl_measured_ways_at(const jl_measured_wash *m, const double *x, jl_wash_ways *ways) {
    const jl_wash wash = jl_measured_wash_at(m, x);
    jl_status status = jl_wash_by_all_ways(&wash, ways, NULL);
    if (status != JL_OK) return status;
    ways->counted_pct[JL_WAY_GRAVITY] += off(m->bias, x) * ways->strength_pct[JL_WAY_GRAVITY] +
                                         off(m->rule, x) * ways->final_sg / ETHANOL_SG;
    if (ways->by[JL_WAY_GRAVITY]) ways->counted_pct[JL_WAY_SUGAR] *= 1 + off(m->attenuation, x);
    return JL_OK;
}

/* ---- one strength ---- */

enum { COUNTED = JL_WAY_BOUND, PAIRS = COUNTED * (COUNTED - 1) / 2 };

/* The ways that count, their differences pair by pair. */
typedef struct counted {
    const jl_measured_wash *measured;
    jl_wash_way ways[COUNTED];
    size_t count;
} counted;

static jl_status differences(const double *x, double *v, void *with) {
    const counted *c = with;
    jl_wash_ways ways;
    jl_status status = jl_measured_ways_at(c->measured, x, &ways);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < c->count; i++) *v++ = ways.counted_pct[c->ways[i]];
    for (size_t i = 0; i < c->count; i++)
        for (size_t k = i + 1; k < c->count; k++)
            *v++ = ways.counted_pct[c->ways[i]] - ways.counted_pct[c->ways[k]];
    return JL_OK;
}

/* Weights of least variance of those ways that are in the set, and that variance. False where one of
 * them is below 0: it would lean on an error that the ways share. */
static bool weigh(double covariance[COUNTED][COUNTED], size_t count, unsigned set, double *weight,
                  double *variance) {
    double a[COUNTED][COUNTED + 1] = {{0}};
    size_t in[COUNTED], n = 0;
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        if ((set & 1u << i) != 0) in[n++] = i;
    for (size_t i = 0; i < n; i++) {
        for (size_t k = 0; k < n; k++) a[i][k] = covariance[in[i]][in[k]];
        a[i][i] += 1e-12; /* exact ways share alike */
        a[i][n] = 1;
    }
    for (size_t i = 0; i < n; i++)
        for (size_t row = 0; row < n; row++) {
            double factor = a[row][i] / a[i][i];
            for (size_t k = i; row != i && k <= n; k++) a[row][k] -= factor * a[i][k];
        }
    for (size_t i = 0; i < n; i++) sum += a[i][n] / a[i][i];
    *variance = 1 / sum;
    for (size_t i = 0; i < count; i++) weight[i] = 0;
    for (size_t i = 0; i < n; i++) weight[in[i]] = a[i][n] / a[i][i] / sum;
    for (size_t i = 0; i < n; i++)
        if (!(weight[in[i]] >= 0)) return false;
    return sum > 0;
}

static void weigh_best(const counted *c, double covariance[COUNTED][COUNTED], jl_wash_strength *s) {
    double least = INFINITY, variance, weight[COUNTED];
    for (unsigned set = 1; set < 1u << c->count; set++) {
        if (!weigh(covariance, c->count, set, weight, &variance) || !(variance < least)) continue;
        least = variance;
        s->strength_u_pct = sqrt(fmax(variance - 1e-12, 0));
        for (size_t i = 0; i < c->count; i++) s->weight[c->ways[i]] = weight[i];
    }
    s->strength_pct = 0;
    for (size_t i = 0; i < c->count; i++)
        s->strength_pct += s->weight[c->ways[i]] * s->counted_pct[c->ways[i]];
}

/* The pair furthest apart for its uncertainty; beyond k = 2 they disagree. */
static void compare(const counted *c, const jl_uncertainty *pair, jl_wash_strength *s) {
    double furthest = JL_COVERAGE_K;
    for (size_t i = 0; i < c->count; i++)
        for (size_t k = i + 1; k < c->count; k++, pair++) {
            double u = fmax(pair->standard, 1e-9);
            if (!(fabs(pair->value) > furthest * u)) continue;
            furthest = fabs(pair->value) / u;
            s->disagree = true;
            s->one = c->ways[i];
            s->other = c->ways[k];
            s->apart_pct = pair->value;
            s->apart_u_pct = pair->standard;
        }
    s->strength_u_pct *= furthest / JL_COVERAGE_K;
}

static jl_status combine(jl_budget *budget, counted *c, jl_wash_strength *s) {
    jl_uncertainty u[COUNTED + PAIRS];
    double covariance[COUNTED][COUNTED];
    size_t pairs = c->count * (c->count - 1) / 2;
    jl_status status = jl_budget_first_order(budget, differences, c, c->count + pairs, u);
    if (status != JL_OK) return status;
    const jl_uncertainty *pair = u + c->count;
    for (size_t i = 0; i < c->count; i++) {
        double square = u[i].standard * u[i].standard;
        covariance[i][i] = square;
        s->counted_pct[c->ways[i]] = u[i].value;
        s->u_pct[c->ways[i]] = u[i].standard;
        for (size_t k = i + 1; k < c->count; k++, pair++)
            covariance[i][k] = covariance[k][i] =
                (square + u[k].standard * u[k].standard - pair->standard * pair->standard) / 2;
    }
    weigh_best(c, covariance, s);
    compare(c, u + c->count, s);
    return JL_OK;
}

/* What the volume, the masses and their shares leave open of a recipe's strength they leave open of its
 * gravity. */
static jl_status original_difference(const double *x, double *v, void *with) {
    const jl_measured_wash *m = with;
    jl_wash_ways ways;
    jl_status status = jl_measured_ways_at(m, x, &ways);
    if (status != JL_OK) return status;
    double expected = ways.sugared.original_sg - 1;
    *v = ways.original_sg - 1 - expected * (1 + off(m->recipe, x));
    return JL_OK;
}

jl_status jl_wash_original_difference(const jl_wash *wash, const jl_settings *instruments,
                                      jl_uncertainty *difference) {
    if (!wash->original.known || !wash->final.known || !has_sweet(wash)) return JL_NO;
    jl_measuring by = {.instruments = jl_settings_to_instruments(instruments),
                       .budget = jl_budget_new()};
    jl_status status = by.budget == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        jl_measured_wash measured = jl_measure_wash(&by, wash);
        status = jl_budget_first_order(by.budget, original_difference, &measured, 1, difference);
    }
    jl_budget_free(by.budget);
    return status;
}

jl_status jl_wash_strength_of(const jl_wash *wash, const jl_settings *instruments,
                              jl_wash_strength *strength) {
    jl_wash_ways ways;
    jl_wash_strength s = {.strength_pct = NAN};
    jl_measuring by = {.instruments = jl_settings_to_instruments(instruments),
                       .budget = jl_budget_new()};
    jl_status status = by.budget == NULL ? JL_MEMORY : jl_wash_by_all_ways(wash, &ways, NULL);
    if (status == JL_OK) {
        jl_wash known = JL_WASH;
        jl_sized_take(wash, WASH_LEAST, &known, sizeof known);
        const jl_measured_wash measured = jl_measure_wash(&by, &known);
        counted c = {.measured = &measured};
        for (int i = 0; i < JL_WAYS; i++) {
            s.counted_pct[i] = s.u_pct[i] = NAN;
            if (!isnan(ways.counted_pct[i])) c.ways[c.count++] = (jl_wash_way)i;
        }
        status = c.count == 0 ? JL_NO : combine(by.budget, &c, &s);
    }
    if (status == JL_OK) *strength = s;
    jl_budget_free(by.budget);
    return status;
}

void jl_measured_use(jl_measured_wash *m, jl_measuring *by, const jl_wash_strength *s) {
    double u = s->strength_u_pct;
    if (s->disagree) {
        double alone = u * JL_COVERAGE_K * s->apart_u_pct / fabs(s->apart_pct);
        m->disagreement = jl_measure_deviation(by, "ways that disagree",
                                               sqrt(fmax(u * u - alone * alone, 0)), JL_NORMAL);
    }
    for (int i = 0; i < JL_WAYS; i++) m->weight[i] = s->weight[i];
}

double jl_measured_strength(const jl_measured_wash *m, const double *x, const jl_wash_ways *ways) {
    double strength_pct = off(m->disagreement, x);
    for (int i = 0; i < JL_WAYS; i++)
        if (m->weight[i] > 0) strength_pct += m->weight[i] * ways->counted_pct[i];
    return strength_pct;
}
