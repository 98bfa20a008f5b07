/* Any finite numbers, and others, into the public numeric functions: a finite result in range, or a
 * status. The input's bytes are the numbers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bytes.h"
#include "learn/trend.h"
#include "wash/gravity.h"
#include "wash/wash.h"

#define GIVES(call, result, least, most)                                                           \
    do {                                                                                           \
        if ((call) == JL_OK) HOLDS((result) >= (least) && (result) <= (most));                     \
    } while (0)

static void density(bytes *b) {
    double p = next(b, 0, 1), t = next(b, -20, 40), r;
    GIVES(jl_density_kg_m3(p, t, &r), r, 700, 1010);
    GIVES(jl_mass_fraction_from_density(next(b, 760, 1010), t, &r), r, 0, 1);
    GIVES(jl_strength_pct(p, t, &r), r, 0, 100);
    GIVES(jl_mass_fraction_from_strength(next(b, 0, 100), t, &r), r, 0, 1);
    GIVES(jl_water_density_kg_m3(t, &r), r, 990, 1001);
    GIVES(jl_flash_point_c(next(b, 10, 96), &r), r, 0, 100);
    GIVES(jl_heat_capacity_kj_kg_k(p, next(b, 0, 120), &r), r, 1, 6);
    GIVES(jl_latent_heat_kj_kg(p, next(b, 0, 120), &r), r, 500, 3000);
}

static jl_alcoholometer instrument(bytes *b) {
    jl_alcoholometer a = JL_ALCOHOLOMETER;
    if (next_byte(b) & 1) a.calibrated_c = next(b, 0, 40);
    a.glass_per_c = next(b, 0, 1e-4);
    a.reading_correction_pct = next(b, -1, 1);
    a.thermometer_correction_c = next(b, -2, 2);
    return a;
}

static void reading(bytes *b) {
    const jl_unit scales[] = {JL_UNIT_PCT_VOL, JL_UNIT_PROOF_US, JL_UNIT_PCT_MASS};
    jl_alcoholometer a = instrument(b);
    jl_unit scale = scales[next_byte(b) % 3];
    double t = next(b, -20, 40), p, r;
    jl_quantity q = {next(b, 0, 200), scale};
    GIVES(jl_strength_to_mass_fraction(q, &p), p, 0, 1);
    if (jl_reading_to_mass_fraction(&a, q, t, &p) != JL_OK) return;
    HOLDS(p >= 0 && p <= 1);
    jl_status status = jl_reading_from_mass_fraction(&a, p, t, scale, &r);
    /* Back at the scale's very end the last bit may lie off it. */
    if (status == JL_OK) HOLDS(fabs(r - q.value) < 1e-6);
    if (status != JL_OK) HOLDS(status == JL_NO_MIXTURE);
}

static void spirit_holds(jl_spirit s) {
    HOLDS(isfinite(s.ethanol_kg) && isfinite(s.water_kg));
    HOLDS(s.ethanol_kg >= 0 && s.water_kg >= 0);
    if (jl_mass_kg(s) <= 0) return;
    HOLDS(jl_mass_fraction(s) >= 0 && jl_mass_fraction(s) <= 1);
    HOLDS(jl_volume_l(s, 20) > 0 && isfinite(jl_volume_l(s, 20)));
    HOLDS(jl_spirit_strength_pct(s) >= 0 && jl_spirit_strength_pct(s) <= 100 + 1e-9);
    HOLDS(jl_proof_us(s) >= 0 && jl_proof_us(s) <= 200 + 1e-9);
    HOLDS(jl_proof_gallons_us(s) >= 0 && jl_pure_alcohol_l(s) >= 0);
}

/* A mix that is read: all its alcohol is still there, and what is to be added brings it to the
 * target. */
static void checked(bytes *b, jl_spirit mixed, double weak, double target) {
    const jl_dilution d = {next(b, 0, 1), weak, target};
    jl_check check;
    if (jl_check_mix(&d, mixed, next(b, 0, 1), &check) != JL_OK) return;
    spirit_holds(check.batch);
    spirit_holds(check.addition);
    HOLDS(fabs(check.batch.ethanol_kg - mixed.ethanol_kg) <= 1e-12 * mixed.ethanol_kg);
    HOLDS(fabs(jl_mass_fraction(check.result) - target) < 1e-9);
    jl_bottles bottles = jl_fill_bottles(jl_volume_l(check.result, 20), 0.7);
    HOLDS(bottles.full >= 0 && bottles.left_over_l >= 0);
}

static void spirit(bytes *b) {
    jl_spirit s, other, more;
    double p = next(b, 0, 1), target = next(b, 0, 1), weak = next(b, 0, 1);
    if (jl_spirit_from_mass(next(b, 0, 100), p, &s) == JL_OK) spirit_holds(s);
    if (jl_make_up(&(jl_dilution){p, weak, target}, next(b, 0, 100), &other, &more) == JL_OK) {
        spirit_holds(other);
        spirit_holds(more);
        HOLDS(fabs(jl_mass_fraction(jl_blend(other, more)) - target) < 1e-9);
    }
    if (jl_spirit_from_volume(next(b, 0, 100), p, next(b, -20, 40), &s) != JL_OK) return;
    spirit_holds(s);
    checked(b, s, weak, target);
    if (jl_bring_to(s, weak, target, &more) != JL_OK) return;
    spirit_holds(more);
    if (jl_mass_kg(more) > 0) HOLDS(fabs(jl_mass_fraction(jl_blend(s, more)) - target) < 1e-9);
}

static void scale(bytes *b) {
    double kg = next(b, 0, 100), density_kg_m3 = next(b, 500, 25000);
    double shown = jl_scale_from_mass_kg(kg, density_kg_m3);
    if (isnan(shown)) return;
    HOLDS(isfinite(shown) && shown >= 0);
    if (kg < 1e-290) return; /* a double has few digits there */
    HOLDS(fabs(jl_mass_from_scale_kg(shown, density_kg_m3) - kg) <= 1e-12 * kg);
}

static void wash(bytes *b) {
    jl_hydrometer h = {next(b, 0, 40), next(b, 0, 1e-4), next(b, 0, 0.02)};
    jl_quantity q = {next(b, 0.97, 1.18), JL_UNIT_SG};
    double t = next(b, 0, 40), r;
    jl_fermented f;
    jl_least l;
    jl_sugared s;
    jl_distilled d;
    if (next_byte(b) & 1) q = (jl_quantity){next(b, -8, 40), JL_UNIT_PLATO};
    GIVES(jl_extract_from_gravity(q.value, &r), r, -10, 50);
    GIVES(jl_gravity_from_extract(next(b, -8, 40), &r), r, JL_GRAVITY_MIN, JL_GRAVITY_MAX);
    GIVES(jl_gravity_at_20(&h, q, t, &r), r, JL_GRAVITY_MIN, JL_GRAVITY_MAX);
    GIVES(jl_original_extract_pct(next(b, 0, 30), next(b, -10, 50), &r), r, -20, 100);
    GIVES(jl_wash_from_gravity(q.value, next(b, 0.97, 1.18), h.division_sg, &f), f.strength_pct, 0,
          40);
    GIVES(jl_wash_least(&h, q, t, &l), l.least_pct, 0, 100);
    jl_sugar sugar = (jl_sugar)(next_byte(b) % 3);
    GIVES(jl_wash_from_sugar(sugar, next(b, 0, 20), next(b, 0, 100), next(b, 0, 1), &s),
          s.strength_pct, 0, 40);
    jl_alcoholometer a = instrument(b);
    q = (jl_quantity){next(b, 0, 100), JL_UNIT_PCT_VOL};
    GIVES(jl_wash_from_distilled(&a, q, t, next(b, 0, 10), next(b, 0, 1), next(b, 0, 1), &d),
          d.strength_pct, 0, 100);
}

static void fermentation(bytes *b) {
    jl_dated_gravity readings[6];
    jl_finish_rule rule = {next(b, 0, 1e6), next(b, 0, 0.02), next(b, 0.97, 1.02)};
    size_t count = next_byte(b) % 7;
    jl_ferment f;
    for (size_t i = 0; i < count; i++)
        readings[i] = (jl_dated_gravity){next(b, 0, 1e6), next(b, 0.97, 1.18)};
    if (jl_ferment_judge(readings, count, &rule, &f) != JL_OK) return;
    HOLDS(isfinite(f.slope_per_day) && f.still_for_s >= 0 && isfinite(f.still_for_s));
    HOLDS(isnan(f.left_s) || f.left_s >= 0);
}

static void trend(bytes *b) {
    double values[8];
    size_t count = next_byte(b) % 9;
    jl_trend t;
    for (size_t i = 0; i < count; i++) values[i] = next(b, 0, 100);
    if (jl_trend_of(values, count, 0.05, &t) != JL_OK) return;
    HOLDS(isfinite(t.per_step) && isfinite(t.standard) && t.standard >= 0);
}

static void charge(bytes *b) {
    jl_charge_plan plan = {.wash_l = next(b, 0, 200),
                           .sediment_l = next(b, 0, 20),
                           .mark_l = next(b, 0, 50),
                           .covered_l = next(b, 0, 10),
                           .taken_share = next(b, 0, 1),
                           .loads = next_byte(b) % 12,
                           .full = next_byte(b) & 1};
    jl_charge c;
    if (jl_charge_loads(&plan, &c) != JL_OK) return;
    double all_l = (double)c.loads * c.load_l + c.last_l + c.left_over_l;
    HOLDS(c.load_l > 0 && c.last_l >= 0 && c.left_over_l >= 0);
    HOLDS(fabs(all_l - c.available_l) <= 1e-9 * c.available_l);
}

static void boiling(bytes *b) {
    jl_boiling boiling;
    double kpa = next(b, 30, 110), x = next(b, 0, 1), r;
    if (jl_boil(x, kpa, &boiling) == JL_OK) {
        HOLDS(boiling.vapour_mole_fraction >= 0 && boiling.vapour_mole_fraction <= 1 &&
              boiling.temp_c > 40 && boiling.temp_c < 110);
        HOLDS(boiling.liquid_mole_fraction == x);
    }
    if (jl_boil_at_temp(next(b, 0, 120), kpa, &boiling) == JL_OK) {
        HOLDS(boiling.liquid_mole_fraction >= 0 && boiling.liquid_mole_fraction <= 1 &&
              boiling.vapour_mole_fraction >= 0 && boiling.vapour_mole_fraction <= 1);
        HOLDS(boiling.vapour_mole_fraction >= boiling.liquid_mole_fraction - 1e-9);
    }
    GIVES(jl_azeotrope(kpa, &boiling), boiling.liquid_mole_fraction, 0.8, 1);
    GIVES(jl_pressure_at_altitude_kpa(next(b, -500, 11000), &r), r, 20, 110);
    jl_still still = JL_STILL;
    still.stages = next(b, 1, 100);
    still.reflux_ratio = next(b, 0, 1000);
    still.pressure_kpa = kpa;
    GIVES(jl_first_drop(&still, next(b, 0, 1), &boiling), boiling.vapour_mole_fraction, 0, 1);
}

static jl_cut cut(bytes *b) {
    static const double most[] = {1, 10, 1, 1, 100, 110, 110};
    jl_cut_by by = (jl_cut_by)(next_byte(b) % 7);
    return (jl_cut){by, next(b, 0, most[by])};
}

static void run(bytes *b) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_spirit filled;
    jl_forecast f = JL_FORECAST;
    still.stages = next(b, 1, 8);
    still.reflux_ratio = next(b, 0, 5);
    still.pressure_kpa = next(b, 30, 110);
    still.power_w = next(b, 0, 1e4);
    still.efficiency_share = next(b, 0, 1);
    still.loss_w = next(b, 0, 500);
    still.min_liquid_l = next(b, 0, 3);
    plan.cuts = (jl_cut_rules){cut(b), cut(b), cut(b), cut(b)};
    plan.jar_l = next(b, 0.3, 3);
    plan.measured_c = next(b, -20, 40);
    if (!(plan.jar_l >= 0.3)) return; /* a million jars are no fault, but slow */
    if (jl_spirit_from_volume(next(b, 1, 50), next(b, 0, 1), 20, &filled) != JL_OK) return;
    if (!(jl_mass_kg(filled) < 1000)) return;
    if (jl_forecast_run(&still, filled, &plan, &f) != JL_OK) return;
    spirit_holds(f.collected);
    spirit_holds(f.left);
    HOLDS(fabs(jl_mass_kg(f.collected) + jl_mass_kg(f.left) - jl_mass_kg(filled)) <=
          1e-9 * jl_mass_kg(filled));
    HOLDS(isnan(f.duration_s) || (f.duration_s >= 0 && isfinite(f.duration_s)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static void (*const parts[])(bytes *) = {density,      reading, spirit,  scale, wash,
                                             fermentation, charge,  boiling, run,   trend};
    bytes b = {data, size};
    jl_quiet();
    parts[next_byte(&b) % (sizeof parts / sizeof parts[0])](&b);
    return 0;
}
