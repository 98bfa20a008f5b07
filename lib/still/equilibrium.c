/* Boiling point, vapour and heat of ethanol and water.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Ideal vapour; activity coefficients by NRTL (Renon and Prausnitz, AIChE J. 14 (1968) 135, from
 * memory); vapour pressures by DIPPR equation 101 with the constants of Perry's Chemical Engineers'
 * Handbook, 8th ed., table 2-8.
 *
 * Heat of pure liquids: DIPPR equation 100; latent heat: DIPPR equation 106, with the constants of
 * Perry's handbook, 8th ed. A dilute mixture holds more heat than both, by the table in Perry's
 * handbook, 7th ed. (reference/heat-capacity-mixture.csv): what the table has above the pure
 * liquids is carried on beyond 41 °C along its own line from 23 to 41 °C, on which it dwindles. */
#include "still/equilibrium.h"
#include "spirit/density.h"

#include <math.h>

/* J/(kmol K), powers of T in K. */
static const double ETHANOL_100[5] = {1.0264e5, -139.63, -0.030341, 0.0020386, 0};
static const double WATER_100[5] = {2.7637e5, -2090.1, 8.125, -0.014116, 9.3701e-6};

/* What a mixture's specific heat has above that of its parts: w(1-w)(c0 + c1 w + c2 w² + c3 w³)
 * J/(kg K), w mass fraction of ethanol, through the four mixtures of the table at each temperature.
 */
enum { TEMPS = 3, TERMS = 4 };
static const double EXCESS[TEMPS][TERMS] = {
    {5206.714966, -12414.437139, 13326.935975, -5706.413763},
    {2343.894098, 7277.507081, -22279.264862, 15157.933407},
    {2428.937463, 5126.934485, -16796.355775, 11025.161324},
};
static const double EXCESS_C[TEMPS] = {3, 23, 41};
static const double ZERO_C = 23; /* where the heat of a liquid counts from */

static double dippr_100(const double c[5], double temp_k) {
    return (((c[4] * temp_k + c[3]) * temp_k + c[2]) * temp_k + c[1]) * temp_k + c[0];
}

static double dippr_100_integral(const double c[5], double temp_k) {
    return ((((c[4] / 5 * temp_k + c[3] / 4) * temp_k + c[2] / 3) * temp_k + c[1] / 2) * temp_k +
            c[0]) *
           temp_k;
}

/* J/mol above ZERO_C: kJ per kmol are J per mol. */
static double pure_heat(const double c[5], double temp_c) {
    return (dippr_100_integral(c, temp_c + JL_KELVIN) - dippr_100_integral(c, ZERO_C + JL_KELVIN)) /
           1000;
}

static double excess_at(int row, double w) {
    const double *c = EXCESS[row];
    return w * (1 - w) * (((c[3] * w + c[2]) * w + c[1]) * w + c[0]);
}

/* Value and rise per °C of the excess at ZERO_C, on the side of temp_c. */
static void excess_line(double w, double temp_c, double *value, double *per_c) {
    int other = temp_c < ZERO_C ? 0 : 2;
    *value = excess_at(1, w);
    *per_c = (excess_at(other, w) - *value) / (EXCESS_C[other] - ZERO_C);
}

double jl_liquid_heat_j_mol(double x, double temp_c) {
    double w = jl_mass_fraction_from_mole(x);
    double above_c = temp_c - ZERO_C;
    double value, per_c;
    excess_line(w, temp_c, &value, &per_c);
    return x * pure_heat(ETHANOL_100, temp_c) + (1 - x) * pure_heat(WATER_100, temp_c) +
           jl_kg_mol(x) * (value + per_c / 2 * above_c) * above_c;
}

jl_status jl_heat_capacity_kj_kg_k(double mass_fraction, double temp_c, double *kj_kg_k) {
    if (!(mass_fraction >= 0 && mass_fraction <= 1) || !(temp_c >= 0 && temp_c <= 120))
        return JL_RANGE;
    double temp_k = temp_c + JL_KELVIN;
    double value, per_c;
    excess_line(mass_fraction, temp_c, &value, &per_c);
    double joule = mass_fraction * dippr_100(ETHANOL_100, temp_k) / 1000 / JL_ETHANOL_KG_MOL +
                   (1 - mass_fraction) * dippr_100(WATER_100, temp_k) / 1000 / JL_WATER_KG_MOL +
                   value + per_c * (temp_c - ZERO_C);
    *kj_kg_k = joule / 1000;
    return JL_OK;
}

void jl_latent_j_mol(double temp_c, double *ethanol, double *water) {
    double temp_k = temp_c + JL_KELVIN;
    double re = temp_k / 514;
    double rw = temp_k / 647.096;
    *ethanol = 5.5789e4 * pow(1 - re, 0.31245);
    *water = 5.2053e4 * pow(1 - rw, 0.3199 + rw * (-0.212 + rw * 0.25795));
}

jl_status jl_latent_heat_kj_kg(double mass_fraction, double temp_c, double *kj_kg) {
    if (!(mass_fraction >= 0 && mass_fraction <= 1) || !(temp_c >= 0 && temp_c <= 120))
        return JL_RANGE;
    double ethanol, water;
    jl_latent_j_mol(temp_c, &ethanol, &water);
    *kj_kg = (mass_fraction * ethanol / JL_ETHANOL_KG_MOL +
              (1 - mass_fraction) * water / JL_WATER_KG_MOL) /
             1000;
    return JL_OK;
}

static const double NON_RANDOMNESS = 0.3;

const jl_nrtl JL_NRTL = {-1.0236571, 325.611115, 3.8539086, -729.823686};

/* ln of the vapour pressure in kPa: C1 + C2/T + C3 ln T + C4 T², less ln 1000. */
static const double ETHANOL_101[4] = {73.304, -7122.3, -7.1424, 2.8853e-6};
static const double WATER_101[4] = {73.649, -7258.2, -7.3037, 4.1653e-6};
static const double LN_1000 = 6.907755278982137;

bool jl_pressure_ok(double pressure_kpa) {
    return pressure_kpa >= JL_PRESSURE_MIN_KPA && pressure_kpa <= JL_PRESSURE_MAX_KPA;
}

static double dippr_101(const double c[4], double temp_k, double ln_temp) {
    return exp(c[0] + c[1] / temp_k + c[2] * ln_temp + c[3] * temp_k * temp_k - LN_1000);
}

void jl_saturation_kpa(double temp_k, double *ethanol, double *water) {
    double ln_temp = log(temp_k);
    *ethanol = dippr_101(ETHANOL_101, temp_k, ln_temp);
    *water = dippr_101(WATER_101, temp_k, ln_temp);
}

static void activity(const jl_nrtl *nrtl, double x, double temp_k, double ln_gamma[2]) {
    double tau12 = nrtl->a12 + nrtl->b12 / temp_k;
    double tau21 = nrtl->a21 + nrtl->b21 / temp_k;
    double g12 = exp(-NON_RANDOMNESS * tau12);
    double g21 = exp(-NON_RANDOMNESS * tau21);
    double w = 1 - x;
    double around1 = x + w * g21;
    double around2 = w + x * g12;
    double r21 = g21 / around1;
    double r12 = g12 / around2;
    ln_gamma[0] = w * w * (tau21 * r21 * r21 + tau12 * g12 / (around2 * around2));
    ln_gamma[1] = x * x * (tau12 * r12 * r12 + tau21 * g21 / (around1 * around1));
}

/* Partial pressures over a liquid, kPa, and the relative volatility. */
static double pressure_over(const jl_nrtl *nrtl, double x, double temp_k, double *ethanol_kpa,
                            double *volatility) {
    double ln_gamma[2], ethanol, water;
    activity(nrtl, x, temp_k, ln_gamma);
    jl_saturation_kpa(temp_k, &ethanol, &water);
    ethanol *= exp(ln_gamma[0]);
    water *= exp(ln_gamma[1]);
    *ethanol_kpa = x * ethanol;
    *volatility = ethanol / water;
    return x * ethanol + (1 - x) * water;
}

/* Where water boils, closely enough to begin with. */
static double first_guess_k(double x, double pressure_kpa) {
    double water_k = 1 / (1 / (100 + JL_KELVIN) - log(pressure_kpa / JL_PRESSURE_KPA) / 4890);
    return water_k - 22 * (1 - exp(-7 * x));
}

jl_status jl_bubble_at(const jl_nrtl *nrtl, double x, double pressure_kpa, double start_k,
                       jl_bubble *bubble) {
    enum { STEPS_MOST = 40 };
    /* ln p falls with 1/T almost in a straight line, so secant steps there settle at once. */
    double inverse = 1 / (start_k > 0 ? start_k : first_guess_k(x, pressure_kpa));
    double slope = -4900;
    double before = 0, miss_before = 0;
    for (int i = 0; i < STEPS_MOST; i++) {
        double ethanol_kpa;
        double temp_k = 1 / inverse;
        double all_kpa = pressure_over(nrtl, x, temp_k, &ethanol_kpa, &bubble->volatility);
        double miss = log(all_kpa / pressure_kpa);
        if (!isfinite(miss)) return JL_NUMERIC;
        if (i > 0 && inverse != before) slope = (miss - miss_before) / (inverse - before);
        before = inverse;
        miss_before = miss;
        inverse -= miss / slope;
        if (fabs(miss) < 1e-9) {
            bubble->temp_k = 1 / inverse;
            bubble->y = ethanol_kpa / all_kpa;
            return JL_OK;
        }
    }
    return JL_NUMERIC; /* GCOVR_EXCL_LINE: it converges in a few steps at every pressure allowed */
}

jl_status jl_boil(double mole_fraction, double pressure_kpa, jl_boiling *boiling) {
    jl_bubble bubble;
    if (!(mole_fraction >= 0 && mole_fraction <= 1) || !jl_pressure_ok(pressure_kpa))
        return JL_RANGE;
    jl_status status = jl_bubble_at(&JL_NRTL, mole_fraction, pressure_kpa, 0, &bubble);
    if (status != JL_OK) return status;
    *boiling = (jl_boiling){mole_fraction, bubble.y, bubble.temp_k - JL_KELVIN};
    return JL_OK;
}

typedef struct place {
    double pressure_kpa, temp_k;
} place;

/* Halves a bracket until it is as narrow as doubles allow. */
static double halve(bool (*right_of_root)(double x, const void *with), const void *with, double low,
                    double high) {
    enum { HALVINGS = 52 };
    for (int i = 0; i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        if (right_of_root(middle, with))
            high = middle;
        else
            low = middle;
    }
    return low + (high - low) / 2;
}

static bool less_volatile_at_temp(double x, const void *with) {
    const place *at = with;
    double ethanol_kpa, volatility;
    pressure_over(&JL_NRTL, x, at->temp_k, &ethanol_kpa, &volatility);
    return volatility < 1;
}

static bool pressure_reached(double x, const void *with) {
    const place *at = with;
    double ethanol_kpa, volatility;
    return pressure_over(&JL_NRTL, x, at->temp_k, &ethanol_kpa, &volatility) > at->pressure_kpa;
}

static bool less_volatile_at_pressure(double x, const void *with) {
    const place *at = with;
    jl_bubble bubble;
    jl_status status = jl_bubble_at(&JL_NRTL, x, at->pressure_kpa, at->temp_k, &bubble);
    return status == JL_OK && bubble.volatility < 1;
}

jl_status jl_azeotrope(double pressure_kpa, jl_boiling *boiling) {
    if (!jl_pressure_ok(pressure_kpa)) return JL_RANGE;
    place at = {pressure_kpa, first_guess_k(1, pressure_kpa)};
    double x = halve(less_volatile_at_pressure, &at, 0.5, 1);
    return jl_boil(x, pressure_kpa, boiling);
}

jl_status jl_boil_at_temp(double temp_c, double pressure_kpa, jl_boiling *boiling) {
    place at = {pressure_kpa, temp_c + JL_KELVIN};
    double ethanol_kpa, volatility;
    /* 0 to 120 °C holds every boiling point between 30 and 110 kPa. */
    if (!(temp_c >= 0 && temp_c <= 120) || !jl_pressure_ok(pressure_kpa)) return JL_RANGE;
    /* At a fixed temperature the pressure rises with x up to the azeotrope of that temperature. */
    double most = halve(less_volatile_at_temp, &at, 0.5, 1);
    if (pressure_reached(0, &at) || !pressure_reached(most, &at)) return JL_NO_MIXTURE;
    double x = halve(pressure_reached, &at, 0, most);
    double all_kpa = pressure_over(&JL_NRTL, x, at.temp_k, &ethanol_kpa, &volatility);
    *boiling = (jl_boiling){x, ethanol_kpa / all_kpa, temp_c};
    return JL_OK;
}

jl_status jl_pressure_at_altitude_kpa(double altitude_m, double *pressure_kpa) {
    if (!(altitude_m >= -500 && altitude_m <= 11000)) return JL_RANGE;
    /* 288.15 K and 101.325 kPa at sea level, 6.5 K less per km; exponent g M / (R* L). */
    const double exponent = 9.80665 * 0.0289644 / (8.31432 * 0.0065);
    *pressure_kpa = JL_PRESSURE_KPA * pow(1 - 0.0065 * altitude_m / 288.15, exponent);
    return JL_OK;
}

/* ---- A curve of the caller's ---- */

static double function_vapour(const jl_curve *curve, double x) {
    const jl_vapour_function *f = curve->with;
    return f->y(x, f->with);
}

typedef struct curve_place {
    const jl_curve *curve;
    double y;
} curve_place;

static bool vapour_above(double x, const void *with) {
    const curve_place *at = with;
    return function_vapour(at->curve, x) > at->y;
}

static double function_liquid(const jl_curve *curve, double y, double *slope) {
    double x = halve(vapour_above, &(curve_place){curve, y}, 0, 1);
    double step = 1e-6;
    double left = fmax(x - step, 0), right = fmin(x + step, 1);
    *slope =
        (right - left) / fmax(function_vapour(curve, right) - function_vapour(curve, left), 1e-12);
    return x;
}

jl_curve jl_curve_of(const jl_vapour_function *function, double end) {
    return (jl_curve){function_vapour, function_liquid, function, end};
}

/* ---- The table of ethanol and water ---- */

static const double SPREAD = 0.35; /* c: found by trying; the series then falls fastest */

static double u_of(double x) {
    return x * (1 + SPREAD) / (x + SPREAD);
}

static double x_of(double u) {
    return SPREAD * u / (1 + SPREAD - u);
}

/* Sum of c_k T_k(z), k from 0, by Clenshaw's recurrence. */
static double sum_series(const double (*series)[3], int which, double z) {
    double b1 = 0, b2 = 0;
    for (int k = JL_SERIES_TERMS - 1; k > 0; k--) {
        double b = 2 * z * b1 - b2 + series[k][which];
        b2 = b1;
        b1 = b;
    }
    return z * b1 - b2 + series[0][which];
}

/* Boiling point and latent heat together: their recurrences run side by side. */
static jl_at_boil sum_heats(const double (*series)[3], double z) {
    double b1[2] = {0}, b2[2] = {0};
    for (int k = JL_SERIES_TERMS - 1; k > 0; k--)
        for (int i = 0; i < 2; i++) {
            double b = 2 * z * b1[i] - b2[i] + series[k][i + 1];
            b2[i] = b1[i];
            b1[i] = b;
        }
    return (jl_at_boil){z * b1[0] - b2[0] + series[0][1], z * b1[1] - b2[1] + series[0][2]};
}

static double vapour_of(double volatility, double x) {
    return volatility * x / (1 + (volatility - 1) * x);
}

jl_at_boil jl_table_at(const jl_table *table, double x) {
    return sum_heats(table->series, 2 * u_of(x) - 1);
}

double jl_table_temp_c(const jl_table *table, double x) {
    return sum_series(table->series, 1, 2 * u_of(x) - 1);
}

static double table_vapour(const jl_curve *curve, double x) {
    const jl_table *table = curve->with;
    return vapour_of(sum_series(table->series, 0, 2 * u_of(x) - 1), x);
}

/* The quintic with value, slope and bend given at both ends of a cell. */
static double table_liquid(const jl_curve *curve, double y, double *slope) {
    const jl_table *table = curve->with;
    double scaled = y * JL_LIQUID_CELLS;
    int cell = scaled >= JL_LIQUID_CELLS ? JL_LIQUID_CELLS - 1 : scaled > 0 ? (int)scaled : 0;
    const double *a = table->liquid[cell], *b = table->liquid[cell + 1];
    double t = scaled - cell;
    double rise = b[0] - a[0] - a[1] - a[2] / 2;
    double turn = b[1] - a[1] - a[2];
    double bend = b[2] - a[2];
    double c3 = 10 * rise - 4 * turn + bend / 2;
    double c4 = -15 * rise + 7 * turn - bend;
    double c5 = 6 * rise - 3 * turn + bend / 2;
    *slope = (a[1] + t * (a[2] + t * (3 * c3 + t * (4 * c4 + t * 5 * c5)))) * JL_LIQUID_CELLS;
    return a[0] + t * (a[1] + t * (a[2] / 2 + t * (c3 + t * (c4 + t * c5))));
}

/* How far liquid of a mole fraction counts as dilute. Common practice, no source: it falls as the
 * scatter of published vapours does. */
static double diluteness(double x) {
    const double half = 0.05;
    return 1 / (1 + x * x / (half * half));
}

/* Values at the Chebyshev nodes, turned into coefficients. */
static jl_status fill_series(jl_table *table, double vapour_off_share, double dilute_off_share) {
    double value[JL_SERIES_TERMS][3];
    double start_k = 0;
    for (int j = 0; j < JL_SERIES_TERMS; j++) {
        double z = cos(M_PI * (j + 0.5) / JL_SERIES_TERMS);
        double x = x_of((z + 1) / 2);
        double ethanol, water;
        jl_bubble at;
        jl_status status = jl_bubble_at(&JL_NRTL, x, table->pressure_kpa, start_k, &at);
        if (status != JL_OK) return status;
        jl_latent_j_mol(at.temp_k - JL_KELVIN, &ethanol, &water);
        value[j][0] = at.volatility +
                      (vapour_off_share + dilute_off_share * diluteness(x)) * (at.volatility - 1);
        value[j][1] = at.temp_k - JL_KELVIN;
        double y = vapour_of(value[j][0], x);
        value[j][2] = y * ethanol + (1 - y) * water;
        start_k = at.temp_k;
        double before = 1, now = z; /* T_k(z), k from 0 */
        for (int k = 0; k < JL_SERIES_TERMS; k++) {
            for (int i = 0; i < 3; i++) {
                if (j == 0) table->series[k][i] = 0;
                table->series[k][i] += value[j][i] * before * (k > 0 ? 2 : 1) / JL_SERIES_TERMS;
            }
            double next = 2 * z * now - before;
            before = now;
            now = next;
        }
    }
    return JL_OK;
}

/* y of x with its first and second derivative. */
static void vapour_with_slopes(const jl_table *table, double x, double y[3]) {
    double u = u_of(x);
    double z = 2 * u - 1;
    double before[3] = {1, 0, 0}, now[3] = {z, 1, 0}; /* T_k(z) and its derivatives */
    double a[3] = {table->series[0][0], 0, 0};
    for (int k = 1; k < JL_SERIES_TERMS; k++) {
        double next[3] = {2 * z * now[0] - before[0], 2 * now[0] + 2 * z * now[1] - before[1],
                          4 * now[1] + 2 * z * now[2] - before[2]};
        for (int i = 0; i < 3; i++) {
            a[i] += table->series[k][0] * now[i];
            before[i] = now[i];
            now[i] = next[i];
        }
    }
    double z1 = 2 * SPREAD * (1 + SPREAD) / ((x + SPREAD) * (x + SPREAD));
    double z2 = -2 * z1 / (x + SPREAD);
    double a1 = a[1] * z1;
    double a2 = a[2] * z1 * z1 + a[1] * z2;
    double d = 1 + (a[0] - 1) * x;
    double d1 = a1 * x + a[0] - 1;
    double top = a1 * x * (1 - x) + a[0];
    y[0] = a[0] * x / d;
    y[1] = top / (d * d);
    y[2] = ((a2 * x * (1 - x) + 2 * a1 * (1 - x)) * d - 2 * top * d1) / (d * d * d);
}

static jl_status fill_liquid(jl_table *table) {
    const double cell = 1.0 / JL_LIQUID_CELLS;
    double x = 0, y[3] = {0, 1, 0};
    for (int j = 0; j <= JL_LIQUID_CELLS; j++) {
        enum { STEPS_MOST = 30 };
        double target = j * cell, miss = 1;
        if (j > 0) x += table->liquid[j - 1][1] + table->liquid[j - 1][2] / 2;
        for (int i = 0; i < STEPS_MOST && fabs(miss) > 1e-9; i++) {
            x = fmin(fmax(x, 0), 1);
            vapour_with_slopes(table, x, y);
            miss = y[0] - target;
            x -= miss / y[1];
        }
        if (!(fabs(miss) <= 1e-9)) return JL_NUMERIC;
        if (j == 0 || j == JL_LIQUID_CELLS) x = target; /* pure is pure, to the last bit */
        table->liquid[j][0] = x;
        table->liquid[j][1] = cell / y[1];
        table->liquid[j][2] = -y[2] * cell * cell / (y[1] * y[1] * y[1]);
    }
    return JL_OK;
}

static bool less_volatile_in_table(double x, const void *table) {
    return sum_series(((const jl_table *)table)->series, 0, 2 * u_of(x) - 1) < 1;
}

jl_status jl_table_fill(double pressure_kpa, double vapour_off_share, double dilute_off_share,
                        bool with_liquid, jl_table *table) {
    if (!jl_pressure_ok(pressure_kpa) || !(fabs(vapour_off_share) <= JL_VAPOUR_OFF_MOST) ||
        !(fabs(dilute_off_share) <= JL_VAPOUR_OFF_MOST))
        return JL_RANGE;
    table->pressure_kpa = pressure_kpa;
    jl_status status = fill_series(table, vapour_off_share, dilute_off_share);
    if (status == JL_OK && with_liquid) status = fill_liquid(table);
    if (status != JL_OK) return status;
    /* Where the series itself has its azeotrope, so that distillate and table agree. */
    double end = halve(less_volatile_in_table, table, 0.5, 1);
    table->curve = (jl_curve){table_vapour, table_liquid, table, end};
    return JL_OK;
}

void jl_table_between(const jl_table *tables, const double *weights, size_t count,
                      jl_table *table) {
    *table = (jl_table){.pressure_kpa = tables->pressure_kpa};
    table->curve = (jl_curve){table_vapour, table_liquid, table, 0};
    for (size_t i = 0; i < count; i++) {
        const jl_table *from = &tables[i];
        for (int k = 0; k < JL_SERIES_TERMS; k++)
            for (int j = 0; j < 3; j++) table->series[k][j] += weights[i] * from->series[k][j];
        for (int k = 0; k <= JL_LIQUID_CELLS; k++)
            for (int j = 0; j < 3; j++) table->liquid[k][j] += weights[i] * from->liquid[k][j];
        table->curve.end += weights[i] * from->curve.end;
    }
}
