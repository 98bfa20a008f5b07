/* Density of ethanol and water.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * OIML R 22, International alcoholometric tables (1975), general formula and its coefficients; the
 * same stand in Council Directive 76/766/EEC. */
#include "density.h"

#include <math.h>
#include <string.h>

enum { A_TERMS = JL_ISOTHERM_TERMS, B_TERMS = 6, C_SERIES = 5, C_MOST = 11 };

static const double A[A_TERMS] = {
    998.20123,   -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
    306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
};

static const double B[B_TERMS] = {
    -0.20618513, -0.0052682542, 3.6130013e-05, -3.8957702e-07, 7.169354e-09, -9.9739231e-11,
};

static const int C_TERMS[C_SERIES] = {11, 10, 9, 4, 2};

static const double C[C_SERIES][C_MOST] = {
    {
        0.1693443461530087,
        -10.46914743455169,
        71.96353469546523,
        -704.7478054272792,
        3924.090430035045,
        -12101.64659068747,
        22486.46550400788,
        -26055.62982188164,
        18523.73922069467,
        -7420.201433430137,
        1285.617841998974,
    },
    {
        -0.0119301300505701,
        0.2517399633803461,
        -2.170575700536993,
        13.53034988843029,
        -50.29988758547014,
        109.635566657757,
        -142.2753946421155,
        108.043594285623,
        -44.14153236817392,
        7.442971530188783,
    },
    {
        -0.0006802995733503803,
        0.01876837790289664,
        -0.2002561813734156,
        1.02299296671922,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -0.5411227621436812,
    },
    {
        4.075376675622027e-06,
        -8.76305857347111e-06,
        6.515031360099368e-06,
        -1.51578483698721e-06,
    },
    {
        -2.788074354782409e-08,
        1.345612883493354e-08,
    },
};

/* Mass fraction at every 1/32 of strength by volume at 20 °C: where Newton's steps begin. Computed
 * from the formula above; a worse table would cost steps, not digits. */
enum { START_CELLS = 32 };
static const float START[START_CELLS + 1] = {
    0.000000f, 0.024822f, 0.049856f, 0.075082f, 0.100486f, 0.126056f, 0.151792f,
    0.177704f, 0.203812f, 0.230146f, 0.256744f, 0.283650f, 0.310908f, 0.338560f,
    0.366647f, 0.395203f, 0.424257f, 0.453837f, 0.483966f, 0.514671f, 0.545984f,
    0.577943f, 0.610595f, 0.643993f, 0.678202f, 0.713290f, 0.749344f, 0.786477f,
    0.824862f, 0.864767f, 0.906632f, 0.951199f, 1.000000f,
};

bool jl_temp_ok(double temp_c) {
    return temp_c >= JL_TEMP_MIN_C && temp_c <= JL_TEMP_MAX_C;
}

static bool fraction_ok(double p) {
    return p >= 0 && p <= 1;
}

static double horner(const double *c, int terms, double x) {
    double sum = c[terms - 1];
    for (int k = terms - 2; k >= 0; k--) sum = sum * x + c[k];
    return sum;
}

void jl_isotherm_at(double temp_c, jl_isotherm *isotherm) {
    double d = temp_c - JL_STRENGTH_C;
    memcpy(isotherm->c, A, sizeof A);
    if (d == 0) return;
    isotherm->c[0] += d * horner(B, B_TERMS, d);
    double power = 1;
    for (int i = 0; i < C_SERIES; i++) {
        power *= d;
        for (int k = 0; k < C_TERMS[i]; k++) isotherm->c[k + 1] += C[i][k] * power;
    }
}

double jl_isotherm_density(const jl_isotherm *isotherm, double mass_fraction) {
    return horner(isotherm->c, JL_ISOTHERM_TERMS, mass_fraction);
}

/* p^power ρ(p) and its slope. */
static double value_and_slope(const jl_isotherm *isotherm, int power, double p, double *slope) {
    const double *c = isotherm->c;
    double value = c[JL_ISOTHERM_TERMS - 1];
    double d = 0;
    for (int k = JL_ISOTHERM_TERMS - 2; k >= 0; k--) {
        d = d * p + value;
        value = value * p + c[k];
    }
    if (power == 0) {
        *slope = d;
        return value;
    }
    *slope = value + p * d;
    return p * value;
}

jl_status jl_isotherm_solve(const jl_isotherm *isotherm, int power, double target, double start,
                            double *mass_fraction) {
    enum { STEPS_MOST = 100 };
    /* Rounding of a density near 1000 kg/m³: a target this close to an end value means the end. */
    const double rounding = 1e-9;
    double sign = power == 0 ? -1 : 1; /* density falls with p, ethanol per volume rises */
    double at_0 = power == 0 ? isotherm->c[0] : 0;
    double at_1 = jl_isotherm_density(isotherm, 1);
    if (!(sign * (target - at_0) >= -rounding && sign * (at_1 - target) >= -rounding))
        return JL_NO_MIXTURE;
    double low = 0;
    double high = 1;
    double p = start;
    for (int i = 0; i < STEPS_MOST; i++) {
        double slope;
        double miss = value_and_slope(isotherm, power, p, &slope) - target;
        if (sign * miss > 0)
            high = p;
        else
            low = p;
        double next = fmin(fmax(p - miss / slope, 0), 1);
        bool newton = next >= low && next <= high;
        if (!newton) next = low + (high - low) / 2;
        double step = fabs(next - p);
        p = next;
        /* Newton's error after this step is of the order of its square. */
        if (newton && step < 1e-8) break;
    }
    *mass_fraction = p;
    return JL_OK;
}

/* A first guess at the mass fraction of a strength, linear in the table. */
static double start_from_strength(double fraction_vol) {
    double place = fmin(fmax(fraction_vol, 0), 1) * START_CELLS;
    int cell = place >= START_CELLS ? START_CELLS - 1 : (int)place;
    double weight = place - cell;
    return (1 - weight) * (double)START[cell] + weight * (double)START[cell + 1];
}

jl_status jl_density_kg_m3(double mass_fraction, double temp_c, double *density_kg_m3) {
    if (!fraction_ok(mass_fraction) || !jl_temp_ok(temp_c)) return JL_RANGE;
    jl_isotherm isotherm;
    jl_isotherm_at(temp_c, &isotherm);
    *density_kg_m3 = jl_isotherm_density(&isotherm, mass_fraction);
    return JL_OK;
}

jl_status jl_mass_fraction_from_density(double density_kg_m3, double temp_c,
                                        double *mass_fraction) {
    if (!isfinite(density_kg_m3) || !jl_temp_ok(temp_c)) return JL_RANGE;
    jl_isotherm isotherm;
    jl_isotherm_at(temp_c, &isotherm);
    return jl_isotherm_solve(&isotherm, 0, density_kg_m3, 0.5, mass_fraction);
}

jl_status jl_strength_pct(double mass_fraction, double reference_c, double *strength_pct) {
    if (!fraction_ok(mass_fraction) || !jl_temp_ok(reference_c)) return JL_RANGE;
    jl_isotherm isotherm;
    jl_isotherm_at(reference_c, &isotherm);
    *strength_pct = 100 * mass_fraction * jl_isotherm_density(&isotherm, mass_fraction) /
                    jl_isotherm_density(&isotherm, 1);
    return JL_OK;
}

jl_status jl_isotherm_from_strength(const jl_isotherm *isotherm, double strength_pct,
                                    double *mass_fraction) {
    double fraction_vol = strength_pct / 100;
    return jl_isotherm_solve(isotherm, 1, fraction_vol * jl_isotherm_density(isotherm, 1),
                             start_from_strength(fraction_vol), mass_fraction);
}

jl_status jl_mass_fraction_from_strength(double strength_pct, double reference_c,
                                         double *mass_fraction) {
    if (!(strength_pct >= 0 && strength_pct <= 100) || !jl_temp_ok(reference_c)) return JL_RANGE;
    jl_isotherm isotherm;
    jl_isotherm_at(reference_c, &isotherm);
    return jl_isotherm_from_strength(&isotherm, strength_pct, mass_fraction);
}

jl_status jl_water_density_kg_m3(double temp_c, double *density_kg_m3) {
    if (!(temp_c >= 0 && temp_c <= 40)) return JL_RANGE;
    double from_maximum = temp_c - 3.983035;
    *density_kg_m3 = 999.974950 * (1 - from_maximum * from_maximum * (temp_c + 301.797) /
                                           (522528.9 * (temp_c + 69.34881)));
    return JL_OK;
}
