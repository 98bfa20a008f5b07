/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "uncertainty/readings.h"
#include "spirit/alcoholometer.h"
#include "text/quantity.h"

#include <assert.h>
#include <math.h>

static_assert(JL_KEY_VESSEL_REPEATABILITY - JL_KEY_ALCOHOLOMETER_LIMIT + 1 ==
                  JL_INSTRUMENTS * JL_WIDTHS,
              "the table has the widths in the order of jl_instrument and jl_width");

jl_key_id jl_width_key(jl_instrument which, jl_width what) {
    return (jl_key_id)(JL_KEY_ALCOHOLOMETER_LIMIT + (int)which * JL_WIDTHS + (int)what);
}

jl_alcoholometer jl_settings_to_alcoholometer(const jl_settings *s) {
    jl_alcoholometer a = JL_ALCOHOLOMETER;
    a.calibrated_c = jl_setting_value(s, JL_KEY_CALIBRATED);
    a.glass_per_c = jl_setting_value(s, JL_KEY_GLASS);
    a.reading_correction_pct = jl_setting_value(s, JL_KEY_READING_CORRECTION);
    a.thermometer_correction_c = jl_setting_value(s, JL_KEY_THERMOMETER_CORRECTION);
    if (jl_is_proof_c(a.calibrated_c)) a.calibrated_c = JL_PROOF_C;
    return a;
}

double jl_alcoholometer_limit_pct(double division_pct) {
    static const double DIVISION_LIMIT[][2] = {{0.1, 0.1}, {0.2, 0.15}, {0.5, 0.25}, {1, 0.4}};
    size_t i = 0, last = sizeof DIVISION_LIMIT / sizeof DIVISION_LIMIT[0] - 1;
    while (i < last && division_pct > DIVISION_LIMIT[i][0] + 1e-9) i++;
    /* Common practice, no source: a scale coarser than those is off by as much of its divisions. */
    return DIVISION_LIMIT[i][1] * fmax(1, division_pct / DIVISION_LIMIT[last][0]);
}

/* A certificate says more than a class: it stands in the place of a limit that is not stated. */
static void set_limit(jl_instruments *in, jl_instrument which) {
    double *width = in->width[which];
    if (in->stated[which][JL_LIMIT]) return;
    if (in->stated[which][JL_CERTIFICATE])
        width[JL_LIMIT] = 0;
    else if (which == JL_BY_ALCOHOLOMETER)
        width[JL_LIMIT] = jl_alcoholometer_limit_pct(width[JL_DIVISION]);
}

jl_instruments jl_settings_to_instruments(const jl_settings *s) {
    jl_instruments in = {0};
    jl_settings usual;
    if (s == NULL) {
        jl_settings_begin(&usual);
        s = &usual;
    }
    for (int which = 0; which < JL_INSTRUMENTS; which++) {
        for (int what = 0; what < JL_WIDTHS; what++) {
            jl_key_id id = jl_width_key((jl_instrument)which, (jl_width)what);
            in.stated[which][what] = jl_is_stated(s, id);
            in.width[which][what] = s->of[id].has ? s->of[id].number.value : 0;
            in.source[which][what] = in.stated[which][what] ? s->of[id].source : NULL;
        }
        set_limit(&in, (jl_instrument)which);
    }
    return in;
}

void jl_instrument_divide(jl_instruments *in, jl_instrument which, double division) {
    if (in->width[which][JL_DIVISION] == division) return;
    in->width[which][JL_DIVISION] = division;
    in->stated[which][JL_DIVISION] = true;
    set_limit(in, which);
}

double jl_instrument_variance(const jl_instruments *in, jl_instrument which, bool common) {
    const double *w = in->width[which];
    double bound = common ? w[JL_LIMIT] : w[JL_DIVISION] / 2;
    double normal = common ? w[JL_CERTIFICATE] / JL_COVERAGE_K : w[JL_REPEATABILITY];
    return bound * bound / 3 + normal * normal;
}

double jl_vessel_own_variance(const jl_instruments *in, double volume_l) {
    const double *w = in->width[JL_BY_VESSEL];
    double half = w[JL_DIVISION] / 2 / volume_l;
    return half * half / 3 + w[JL_REPEATABILITY] * w[JL_REPEATABILITY];
}

/* A reading goes by about 0.4 % vol for each °C (OIML R 22, from 30 to 90 % vol). Bringing spirit of 60
 * to 95 % vol to 40 % vol makes 1/20 to 1/55 of a strength's error one of the water: 1/30 stands for all
 * (common practice, no source). */
jl_standards jl_amount_standards(const jl_instruments *in, double volume_l, double strength_pct) {
    static const double PCT_PER_C = 0.4, WATER_SHARE_PER_PCT = 1.0 / 30;
    double share = sqrt(jl_instrument_variance(in, JL_BY_JUG, true));
    double own_l = sqrt(jl_instrument_variance(in, JL_BY_JUG, false));
    double pct = 0, temp_c = 0;
    for (int common = 0; common < 2; common++) {
        pct += jl_instrument_variance(in, JL_BY_ALCOHOLOMETER, common != 0);
        temp_c += jl_instrument_variance(in, JL_BY_THERMOMETER, common != 0);
    }
    jl_standards u = {.volume_l = hypot(share * volume_l, own_l),
                      .strength_pct = sqrt(pct + PCT_PER_C * PCT_PER_C * temp_c),
                      .stated_pct = sqrt(pct)};
    u.pure_alcohol_l = hypot(u.volume_l * strength_pct, volume_l * u.strength_pct) / 100;
    u.water_share = hypot(share, u.strength_pct * WATER_SHARE_PER_PCT);
    return u;
}

static const char *const CAUSES[JL_INSTRUMENTS][JL_WIDTHS] = {
    {"alcoholometer's limit", "alcoholometer's certificate", "alcoholometer's division",
     "alcoholometer read again"},
    {"thermometer's limit", "thermometer's certificate", "thermometer's division",
     "thermometer read again"},
    {"jug's limit", "jug's certificate", "jug's division", "jug filled again"},
    {"scale's limit", "scale's certificate", "scale's division", "scale read again"},
    {"hydrometer's limit", "hydrometer's certificate", "hydrometer's division",
     "hydrometer read again"},
    {"charge's vessel", "its certificate", "its division", "charge's vessel read"},
};

size_t jl_measure_deviation(jl_measuring *by, const char *cause, double width, jl_spread spread) {
    bool none = by->budget == NULL || width == 0;
    return none ? 0 : 1 + jl_budget_input(by->budget, cause, width, spread);
}

/* A certificate states U at k = 2, a limit bounds, a reading is within half a division. */
static size_t add(jl_measuring *by, jl_instrument which, jl_width what, double value) {
    double width = by->instruments.width[which][what];
    if (which == JL_BY_VESSEL && what == JL_REPEATABILITY) width *= value;
    bool normal = what == JL_CERTIFICATE || what == JL_REPEATABILITY;
    if (what == JL_CERTIFICATE) width /= JL_COVERAGE_K;
    if (what == JL_DIVISION) width /= 2;
    return jl_measure_deviation(by, CAUSES[which][what], width,
                                normal ? JL_NORMAL : JL_RECTANGULAR);
}

static bool is_common(int what) {
    return what == JL_LIMIT || what == JL_CERTIFICATE;
}

jl_measured jl_measure(jl_measuring *by, jl_instrument which, double value, double scale) {
    jl_measured m = {.value = value,
                     .scale = scale,
                     .near = 1,
                     .share = which == JL_BY_JUG || which == JL_BY_SCALE || which == JL_BY_VESSEL};
    bool first = !by->used[which];
    by->used[which] = true;
    if (by->budget == NULL) return m;
    for (int what = 0; what < JL_WIDTHS; what++) {
        if (first && is_common(what))
            by->common[which][what] = add(by, which, (jl_width)what, value);
        m.inputs[what] =
            is_common(what) ? by->common[which][what] : add(by, which, (jl_width)what, value);
    }
    return m;
}

jl_measured jl_measure_apart(jl_measuring *by, jl_instrument which, double value, double scale,
                             double near) {
    jl_measured m = jl_measure(by, which, value, scale);
    m.near = near;
    for (int what = 0; by->budget != NULL && near < 1 && what < JL_WIDTHS; what++)
        if (is_common(what)) m.apart[what] = add(by, which, (jl_width)what, value);
    return m;
}

double jl_measured_at(const jl_measured *m, const double *x) {
    double common = 0, own = 0;
    for (int what = 0; x != NULL && what < JL_WIDTHS; what++) {
        if (m->inputs[what] > 0)
            *(is_common(what) ? &common : &own) +=
                (is_common(what) ? m->near : 1) * x[m->inputs[what] - 1];
        if (m->apart[what] > 0) common += sqrt(1 - m->near * m->near) * x[m->apart[what] - 1];
    }
    return m->value + (m->share ? m->value * common : m->scale * common) + m->scale * own;
}

jl_measured jl_measure_strength(jl_measuring *by, jl_quantity strength) {
    return jl_measure(by, JL_BY_ALCOHOLOMETER, strength.value, jl_per_pct(strength.unit));
}

static jl_measured_amount amount_by(jl_measuring *by, jl_instrument size_by, jl_amount amount,
                                    const jl_alcoholometer *instrument) {
    jl_measured_amount m = {.amount = amount, .instrument = *instrument};
    m.size = jl_measure(by, size_by, amount.size, 1);
    /* Water is water: nothing was read. */
    bool water = !amount.measured && amount.strength.value == 0;
    if (!water) m.strength = jl_measure_strength(by, amount.strength);
    m.temp = amount.measured ? jl_measure(by, JL_BY_THERMOMETER, amount.temp_c, 1)
                             : (jl_measured){.value = amount.temp_c};
    return m;
}

jl_measured_amount jl_measure_amount(jl_measuring *by, jl_amount amount,
                                     const jl_alcoholometer *instrument) {
    return amount_by(by, amount.by_mass ? JL_BY_SCALE : JL_BY_JUG, amount, instrument);
}

jl_measured_amount jl_measure_amount_known(jl_measuring *by, jl_instrument size_by,
                                           jl_amount amount, const jl_alcoholometer *instrument,
                                           double u_pct) {
    if (!(u_pct > 0)) return amount_by(by, size_by, amount, instrument);
    jl_measured_amount m = {.amount = amount, .instrument = *instrument};
    m.size = jl_measure(by, size_by, amount.size, 1);
    m.temp.value = amount.temp_c;
    m.strength = (jl_measured){.value = amount.strength.value, .scale = 1};
    m.strength.inputs[JL_REPEATABILITY] =
        jl_measure_deviation(by, "strength of the wash", u_pct, JL_NORMAL);
    return m;
}

jl_status jl_measured_amount_at(const jl_measured_amount *m, const double *x, jl_spirit *spirit) {
    jl_amount amount = m->amount;
    amount.size = jl_measured_at(&m->size, x);
    amount.strength.value = jl_measured_at(&m->strength, x);
    amount.temp_c = jl_measured_at(&m->temp, x);
    return jl_amount_spirit(&amount, &m->instrument, spirit);
}

jl_status jl_measured_blend_at(const jl_measured_amount *parts, size_t count, const double *x,
                               jl_spirit *all, double *parts_l) {
    *all = (jl_spirit){0, 0};
    *parts_l = 0;
    for (size_t i = 0; i < count; i++) {
        jl_spirit one;
        jl_status status = jl_measured_amount_at(&parts[i], x, &one);
        if (status != JL_OK) return status;
        *all = jl_blend(*all, one);
        *parts_l += jl_volume_l(one, JL_STRENGTH_C);
    }
    return JL_OK;
}

static jl_status strength_model(const double *x, double *v, void *with) {
    const jl_measured *read = with;
    double mass_fraction;
    const jl_quantity reading = {jl_measured_at(&read[0], x), JL_UNIT_PCT_VOL};
    jl_status status = jl_reading_to_mass_fraction(&JL_ALCOHOLOMETER, reading,
                                                   jl_measured_at(&read[1], x), &mass_fraction);
    return status == JL_OK ? jl_strength_pct(mass_fraction, JL_STRENGTH_C, v) : status;
}

jl_status jl_strength_standard_pct(const jl_instruments *instruments, double strength_pct,
                                   double *standard_pct) {
    jl_measuring by = {.instruments = *instruments, .budget = jl_budget_new()};
    jl_uncertainty found;
    if (by.budget == NULL) return JL_MEMORY;
    jl_measured read[] = {jl_measure(&by, JL_BY_ALCOHOLOMETER, strength_pct, 1),
                          jl_measure(&by, JL_BY_THERMOMETER, JL_STRENGTH_C, 1)};
    jl_status status = jl_budget_first_order(by.budget, strength_model, read, 1, &found);
    jl_budget_free(by.budget);
    if (status == JL_OK) *standard_pct = found.standard;
    return status;
}
