/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/simulator.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

const sim_limits SIM_LIMITS = {.alcoholometer_pct = 0.5,
                               .alcoholometer_division_pct = 1,
                               .thermometer_c = 1,
                               .thermometer_division_c = 0.5,
                               .jug = 0.01,
                               .jug_division_l = 0.01,
                               .vessel = 0.01,
                               .vessel_read = 0.005,
                               .still_thermometer_c = 1,
                               .pressure_kpa = 1,
                               .time_division_s = 60};

static const double ETHANOL_KG = 0.046069, WATER_KG = 0.018015; /* a mole */

/* ---- Vapour, by NRTL, solved by bisection ---- */

/* Vapour pressures by Antoine's equation in kPa and °C, from the boiling points 78.29 and 99.97 °C
 * and the slopes there (common tables, from memory). */
static double antoine(double a, double b, double c, double temp_c) {
    return pow(10, a - b / (c + temp_c)) * 0.133322368;
}

typedef struct bubble {
    double y, temp_c;
} bubble;

static double pressures(double x, double temp_c, double *volatility) {
    const double t = temp_c + 273.15, w = 1 - x;
    /* Fitted to the same published vapours as the library's, apart from it. */
    const double tau12 = -1.0233270 + 325.481483 / t, tau21 = 3.8529245 - 729.440095 / t;
    const double g12 = exp(-0.3 * tau12), g21 = exp(-0.3 * tau21);
    const double s1 = x + w * g21, s2 = w + x * g12;
    const double ln1 = w * w * (tau21 * g21 * g21 / (s1 * s1) + tau12 * g12 / (s2 * s2));
    const double ln2 = x * x * (tau12 * g12 * g12 / (s2 * s2) + tau21 * g21 / (s1 * s1));
    const double e = antoine(8.20417, 1642.89, 230.300, temp_c) * exp(ln1);
    const double h = antoine(8.07131, 1730.63, 233.426, temp_c) * exp(ln2);
    *volatility = e / h;
    return x * e + w * h;
}

static bubble boil(double x, double pressure_kpa, double shift) {
    double low = 50, high = 110, volatility;
    for (int i = 0; i < 45; i++) {
        double middle = (low + high) / 2;
        if (pressures(x, middle, &volatility) > pressure_kpa)
            high = middle;
        else
            low = middle;
    }
    volatility = 1 + (volatility - 1) * (1 + shift);
    return (bubble){volatility * x / (1 + (volatility - 1) * x), low};
}

/* Over even steps of the root of x, so that weak liquids have many. */
enum { POINTS = 1501 };
typedef struct vapours {
    double y[POINTS], temp_c[POINTS];
} vapours;

/* Filled once for a shift: the pressure of a day moves temperatures by 0.28 °C/kPa, and vapours hardly.
 */
static const vapours *vapours_of(double pressure_kpa, double shift) {
    static vapours filled;
    static double of_pressure_kpa = 0, of_shift = 0;
    vapours *v = &filled;
    if (pressure_kpa == of_pressure_kpa && shift == of_shift) return v;
    of_pressure_kpa = pressure_kpa;
    of_shift = shift;
    for (int i = 0; i < POINTS; i++) {
        double root = (double)i / (POINTS - 1);
        bubble b = boil(root * root, pressure_kpa, shift);
        v->y[i] = b.y;
        v->temp_c[i] = b.temp_c;
    }
    return v;
}

static double on_line(const double *values, double x) {
    x = fmin(fmax(x, 0), 1);
    double place = sqrt(x) * (POINTS - 1);
    int i = place >= POINTS - 1 ? POINTS - 2 : (int)place;
    double low = (double)i / (POINTS - 1), high = (double)(i + 1) / (POINTS - 1);
    double part = (x - low * low) / (high * high - low * low);
    return values[i] + part * (values[i + 1] - values[i]);
}

/* ---- Stages, from the boiler up ---- */

/* The vapour of the top stage if the distillate were d, less d. */
static double miss_of(const vapours *v, int stages, double share, double x, double d) {
    double y = on_line(v->y, x);
    for (int i = 1; i < stages; i++) {
        double liquid = (y - (1 - share) * d) / share;
        if (liquid <= 0) return -1;
        if (liquid >= 1) return 1;
        y = on_line(v->y, liquid);
    }
    return y - d;
}

static double distillate(const vapours *v, int stages, double share, double x) {
    double y = on_line(v->y, x), low = y, high = 1;
    if (stages == 1 || share == 0) return y;
    double at_low = 1, at_high = -1;
    for (int i = 0; i < 60 && high - low > 1e-11; i++) {
        double d = i % 3 == 2 ? (low + high) / 2 : low + (high - low) * at_low / (at_low - at_high);
        d = fmin(fmax(d, low + 1e-3 * (high - low)), high - 1e-3 * (high - low));
        double miss = miss_of(v, stages, share, x, d);
        if (miss > 0) {
            low = d;
            at_low = miss;
        } else {
            high = d;
            at_high = miss;
        }
    }
    return (low + high) / 2;
}

static double mixed(const vapours *v, const sim_still *s, double share, double x) {
    int whole = (int)s->stages;
    double part = s->stages - whole, d = distillate(v, whole, share, x);
    if (part > 0) d = (1 - part) * d + part * distillate(v, whole + 1, share, x);
    return d;
}

/* Where a vapour begins to condense. */
static double dew_c(const vapours *v, double y) {
    double low = 0, high = 0.89;
    for (int i = 0; i < 40; i++) {
        double middle = (low + high) / 2;
        if (on_line(v->y, middle) > y)
            high = middle;
        else
            low = middle;
    }
    return on_line(v->temp_c, low);
}

/* ---- Heat: Watson's rule from the latent heats at the boiling points; J/mol ---- */

static double latent(double y, double temp_c) {
    double t = temp_c + 273.15;
    double e = 38560 * pow((514.0 - t) / (514.0 - 351.44), 0.38);
    double w = 40660 * pow((647.1 - t) / (647.1 - 373.12), 0.38);
    return y * e + (1 - y) * w;
}

/* What a mixture's heat capacity has above its parts', J/(kg K), at mass fractions of ethanol: by
 * Perry's table at 41 °C, in straight lines. */
static double excess(double w) {
    static const double AT[] = {0, 0.1, 0.249, 0.6, 0.8, 1}, J[] = {0, 247, 524, 431, 215, 0};
    int i = 0;
    while (i < 4 && AT[i + 1] < w) i++;
    return J[i] + (w - AT[i]) / (AT[i + 1] - AT[i]) * (J[i + 1] - J[i]);
}

/* J/mol of liquid above 23 °C, with heat capacities of the parts in the middle of the way to 90 °C. */
static double liquid_heat(double x, double temp_c) {
    double ethanol = x * ETHANOL_KG, water = (1 - x) * WATER_KG;
    double of_mixture = (ethanol + water) * 0.96 * excess(ethanol / (ethanol + water));
    return (x * 128 + (1 - x) * 75.5 + of_mixture) * (temp_c - 23);
}

/* ---- A batch, in small steps ---- */

enum { STEPS = 1500 };

typedef struct instant {
    double ethanol, water, volume_l, heat_j, x, spout, head_c, boiler_c;
} instant;

static double strength_of(double ethanol, double water) {
    double pct = 0;
    double kg = ethanol * ETHANOL_KG + water * WATER_KG;
    if (kg > 0) jl_strength_pct(ethanol * ETHANOL_KG / kg, 20, &pct);
    return pct;
}

static double litres(double ethanol, double water) {
    double density = 1000, kg = ethanol * ETHANOL_KG + water * WATER_KG;
    jl_density_kg_m3(fmin(ethanol * ETHANOL_KG / kg, 1), 20, &density);
    return kg / density * 1000;
}

/* Midpoint rule over moles boiled off. */
static size_t boil_down(const sim_still *s, double share, const vapours *v, double moles, double x,
                        double boiler_j_k, instant *at) {
    size_t count = 0;
    double ethanol_left = moles * x, left = moles, step = moles * 0.985 / STEPS;
    instant now = {.x = x};
    now.spout = mixed(v, s, share, x);
    now.head_c = dew_c(v, now.spout);
    now.boiler_c = on_line(v->temp_c, x);
    at[count++] = now;
    for (int i = 0; i < STEPS; i++) {
        double half_x = (ethanol_left - now.spout * step / 2) / (left - step / 2);
        double d = fmin(mixed(v, s, share, fmax(half_x, 0)), ethanol_left / step);
        double top_c = dew_c(v, d);
        double half_c = on_line(v->temp_c, half_x);
        double vapour = on_line(v->y, half_x);
        double held_j = left * liquid_heat(now.x, now.boiler_c) + boiler_j_k * now.boiler_c;
        now.ethanol += d * step;
        now.water += (1 - d) * step;
        now.volume_l += litres(d * step, (1 - d) * step);
        ethanol_left -= d * step;
        left -= step;
        now.x = fmax(ethanol_left / left, 0);
        now.boiler_c = on_line(v->temp_c, now.x);
        now.heat_j += latent(vapour, half_c) * step / (1 - share) + step * liquid_heat(d, top_c) +
                      left * liquid_heat(now.x, now.boiler_c) + boiler_j_k * now.boiler_c - held_j;
        now.spout = mixed(v, s, share, now.x);
        now.head_c = dew_c(v, now.spout);
        at[count++] = now;
    }
    return count;
}

static instant at_volume(const instant *at, size_t count, double volume_l) {
    size_t low = 0, high = count - 1;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (at[middle].volume_l > volume_l)
            high = middle;
        else
            low = middle;
    }
    double part = (volume_l - at[low].volume_l) / (at[low + 1].volume_l - at[low].volume_l);
    const double *a = (const double *)&at[low], *b = (const double *)&at[low + 1];
    instant found;
    double *f = (double *)&found;
    for (size_t i = 0; i < sizeof found / sizeof *f; i++) f[i] = a[i] + part * (b[i] - a[i]);
    /* cppcheck-suppress uninitvar ; filled through f */
    return found;
}

static double volume_at_spout(const instant *at, size_t count, double pct) {
    for (size_t i = 1; i < count; i++) {
        double before = strength_of(at[i - 1].spout, 1 - at[i - 1].spout);
        double now = strength_of(at[i].spout, 1 - at[i].spout);
        if (now > pct) continue;
        double part = before > pct ? (before - pct) / (before - now) : 0;
        return at[i - 1].volume_l + part * (at[i].volume_l - at[i - 1].volume_l);
    }
    return at[count - 1].volume_l;
}

/* ---- The person and the bench ---- */

static double within(gsl_rng *rng, double limit) {
    return limit * (2 * gsl_rng_uniform(rng) - 1);
}

static double to_division(double value, double division) {
    return division > 0 ? division * round(value / division) : value;
}

sim_bench sim_bench_of(const sim_limits *limits, gsl_rng *rng) {
    return (sim_bench){
        .limits = limits,
        .alcoholometer_pct = within(rng, limits->alcoholometer_pct),
        .thermometer_c = within(rng, limits->thermometer_c),
        .jug = within(rng, limits->jug),
        .vessel = within(rng, limits->vessel),
        .boiler_c = within(rng, limits->still_thermometer_c),
        .head_c = within(rng, limits->still_thermometer_c),
    };
}

/* A strength read from a sample at some temperature near 20 °C, and corrected. */
static double read_strength(double pct, const sim_bench *b, double temp_c, gsl_rng *rng) {
    const jl_alcoholometer glass = JL_ALCOHOLOMETER;
    const sim_limits *l = b->limits;
    double p = 0, got = 0;
    jl_quantity shown = {0, JL_UNIT_PCT_VOL};
    jl_mass_fraction_from_strength(pct, 20, &p);
    if (jl_reading_from_mass_fraction(&glass, p, temp_c, JL_UNIT_PCT_VOL, &shown.value) != JL_OK)
        return pct;
    shown.value += b->alcoholometer_pct + gsl_ran_gaussian(rng, l->wobble_pct);
    shown.value = fmin(fmax(to_division(shown.value, l->alcoholometer_division_pct), 0), 100);
    double shown_c = to_division(temp_c + b->thermometer_c, l->thermometer_division_c);
    if (jl_reading_to_mass_fraction(&glass, shown, shown_c, &p) != JL_OK)
        return fmax(shown.value, 0);
    jl_strength_pct(p, 20, &got);
    return got;
}

/* The charge's vessel and the alcoholometer, in a liquid brought to 20 °C and read with care. */
static void write_charge(const sim_plan *plan, const sim_bench *b, gsl_rng *rng, sim_run *run) {
    const sim_limits *l = b->limits;
    double pct = plan->charge_pct + b->alcoholometer_pct;
    run->logged = (jl_learning_run){
        .jars = run->jars,
        .charge_l = plan->charge_l * (1 + b->vessel) * (1 + gsl_ran_gaussian(rng, l->vessel_read)),
        .charge_strength_pct = to_division(pct, l->alcoholometer_division_pct),
        .charge_share_u = l->vessel_read,
        .charge_strength_u_pct = l->alcoholometer_division_pct / sqrt(12),
        .pressure_kpa = plan->pressure_kpa,
        .pressure_u_kpa = l->pressure_kpa / sqrt(3),
        .power_w = plan->power_w,
        .boiler_heat_j_k = 3000,
    };
}

/* A jar is filled to about its size by the jug, whose litres are not quite litres. */
static void write_jar(const sim_bench *b, const instant *from, const instant *to, double now_s,
                      gsl_rng *rng, jl_learning_jar *jar, double *pct) {
    const sim_limits *l = b->limits;
    double jug_l = (to->volume_l - from->volume_l) * (1 + b->jug);
    *pct = strength_of(to->ethanol - from->ethanol, to->water - from->water);
    *jar = (jl_learning_jar){
        .volume_l = to_division(jug_l, l->jug_division_l),
        .volume_u_l = l->jug_division_l / sqrt(12),
        .strength_pct = read_strength(*pct, b, 20 + gsl_ran_gaussian(rng, 3), rng),
        .strength_u_pct = 0.3 * l->alcoholometer_division_pct,
        .boiler_c = to_division(to->boiler_c + b->boiler_c, l->thermometer_division_c),
        .head_c = to_division(to->head_c + b->head_c, l->thermometer_division_c),
        .full_s = to_division(now_s, l->time_division_s),
    };
}

/* Seconds of some heat: the net power wanders from jar to jar. */
typedef struct heater {
    double ln_net, walk;
    double heat_j, s;
} heater;

static double heat_to(heater *h, double heat_j) {
    h->s += (heat_j - h->heat_j) / exp(h->ln_net);
    h->heat_j = heat_j;
    return h->s;
}

static void take_jars(const instant *at, size_t count, const sim_plan *plan, const sim_bench *b,
                      heater *h, gsl_rng *rng, sim_run *run) {
    size_t most = plan->jars_most > 0 ? plan->jars_most : SIMULATED_JARS_MOST;
    instant from = at[0];
    double in_all_l = 0;
    bool lost = false;
    run->logged.count = 0;
    while (run->logged.count < most && run->logged.count < SIMULATED_JARS_MOST) {
        double fill_l = plan->jar_l / (1 + b->jug) + gsl_ran_gaussian(rng, 0.03 * plan->jar_l);
        if (plan->lost_jars > 0 && run->logged.count == plan->lost_after && !lost) {
            in_all_l += plan->lost_jars * plan->jar_l / (1 + b->jug);
            from = at_volume(at, count, in_all_l);
            heat_to(h, from.heat_j);
            lost = true;
        }
        if (in_all_l + fill_l > at[count - 1].volume_l) break;
        instant to = at_volume(at, count, in_all_l + fill_l);
        if (strength_of(to.spout, 1 - to.spout) < plan->last_pct && run->logged.count >= 3) break;
        size_t k = run->logged.count++;
        if (plan->pause_s > 0 && k == plan->pause_after) h->s += plan->pause_s;
        h->ln_net += gsl_ran_gaussian(rng, h->walk);
        run->true_s[k] = heat_to(h, to.heat_j);
        run->heat_j[k] = to.heat_j;
        write_jar(b, &from, &to, run->true_s[k], rng, &run->jars[k], &run->true_pct[k]);
        in_all_l += fill_l;
        from = to;
    }
    run->so_far_l = in_all_l * (1 + b->jug);
    run->so_far_s = h->s;
    run->so_far_pure_l = from.ethanol * ETHANOL_KG / 0.78924;
    instant next =
        at_volume(at, count, fmin(in_all_l + plan->jar_l / (1 + b->jug), at[count - 1].volume_l));
    run->next_pct = strength_of(next.ethanol - from.ethanol, next.water - from.water);
}

/* A moment within the jars that were taken. */
static double moment_of(const sim_run *run, double heat_j) {
    double before_s = run->first_drop_s, before_j = 0;
    for (size_t k = 0; k < run->logged.count; k++) {
        if (run->heat_j[k] >= heat_j)
            return before_s +
                   (heat_j - before_j) / (run->heat_j[k] - before_j) * (run->true_s[k] - before_s);
        before_s = run->true_s[k];
        before_j = run->heat_j[k];
    }
    return before_s;
}

/* What the rest of the run comes to: the net power wanders on, jar by jar. */
static double clock_at(const instant *at, size_t count, const sim_run *run, double volume_l,
                       double jar_l, heater h, gsl_rng *rng) {
    double from_l = run->so_far_l;
    if (volume_l <= from_l) return moment_of(run, at_volume(at, count, volume_l).heat_j);
    while (from_l < volume_l) {
        from_l = fmin(from_l + jar_l, volume_l);
        h.ln_net += gsl_ran_gaussian(rng, h.walk);
        heat_to(&h, at_volume(at, count, from_l).heat_j);
    }
    return h.s;
}

void sim_run_still(const sim_still *still, const sim_plan *plan, const sim_bench *b, gsl_rng *rng,
                   sim_run *run) {
    const vapours *v = vapours_of(plan->pressure_kpa, still->shift);
    instant *at = malloc((STEPS + 1) * sizeof *at);
    if (at == NULL) abort();
    double p = 0, density = 0, jug = 1 + b->jug;
    double warmer_c = 0.28 * within(rng, b->limits->pressure_kpa);
    run->share = fmin(fmax(still->share + gsl_ran_gaussian(rng, still->spread), 0), 0.97);
    jl_mass_fraction_from_strength(plan->charge_pct, 20, &p);
    jl_density_kg_m3(p, 20, &density);
    double kg = plan->charge_l * density / 1000;
    double ethanol = kg * p / ETHANOL_KG, water = kg * (1 - p) / WATER_KG;
    size_t count =
        boil_down(still, run->share, v, ethanol + water, ethanol / (ethanol + water), 3000, at);
    double level = still->efficiency * exp(gsl_ran_gaussian(rng, still->efficiency_spread));
    heater h = {log(plan->power_w * level), still->walk, 0, 60 * gsl_rng_uniform(rng)};
    double start_s = h.s;
    write_charge(plan, b, rng, run);
    take_jars(at, count, plan, b, &h, rng, run);
    for (size_t k = 0; k < run->logged.count; k++) {
        run->jars[k].boiler_c += warmer_c;
        run->jars[k].head_c += warmer_c;
    }
    double hearts_l = volume_at_spout(at, count, 60), stop_l = volume_at_spout(at, count, 20);
    run->hearts_l = hearts_l * jug;
    run->stop_l = stop_l * jug;
    run->hearts_pure_l = at_volume(at, count, hearts_l).ethanol * ETHANOL_KG / 0.78924 * jug;
    run->stop_pure_l = at_volume(at, count, stop_l).ethanol * ETHANOL_KG / 0.78924 * jug;
    run->so_far_pure_l *= jug;
    run->so_far_l /= jug;
    run->first_drop_s = start_s;
    run->hearts_s = clock_at(at, count, run, hearts_l, plan->jar_l, h, rng);
    run->stop_s = clock_at(at, count, run, stop_l, plan->jar_l, h, rng);
    run->so_far_l *= jug;
    free(at);
}
