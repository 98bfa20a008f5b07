/* Density of ethanol and water.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * OIML R 22, International alcoholometric tables (1975), general formula and its coefficients; the
 * same stand in Council Directive 76/766/EEC. */
#include "spirit/density.h"

#include <math.h>
#include <string.h>

enum { TERMS = JL_ISOTHERM_TERMS, POWERS = 6 };

/* A: of p^0 to p^11 at 20 °C. */
static const double A[TERMS] = {
    998.20123,   -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
    306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
};

/* For each power of (t - 20) from the first on: B, then C of p^1 to p^11; zero where the formula
 * has no term. Of one shape, so that one loop without branches sums them. */
static const double BC[POWERS][TERMS] = {
    {
        -0.20618513,
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
        -0.0052682542,
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
        0,
    },
    {
        3.6130013e-05,
        -0.0006802995733503803,
        0.01876837790289664,
        -0.2002561813734156,
        1.02299296671922,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -0.5411227621436812,
        0,
        0,
    },
    {
        -3.8957702e-07,
        4.075376675622027e-06,
        -8.76305857347111e-06,
        6.515031360099368e-06,
        -1.51578483698721e-06,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
    },
    {
        7.169354e-09,
        -2.788074354782409e-08,
        1.345612883493354e-08,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
    },
    {
        -9.9739231e-11,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
        0,
    },
};

/* Mass fraction at every 1/128 of strength by volume at 20 °C: where the steps of a solution begin.
 * Computed from the formula above; a worse table would cost steps, not digits. */
enum { START_CELLS = 128 };
static const float START[START_CELLS + 1] = {
    0.000000f, 0.006184f, 0.012383f, 0.018596f, 0.024822f, 0.031061f, 0.037314f, 0.043579f,
    0.049856f, 0.056145f, 0.062446f, 0.068759f, 0.075082f, 0.081417f, 0.087763f, 0.094119f,
    0.100486f, 0.106863f, 0.113250f, 0.119648f, 0.126056f, 0.132474f, 0.138903f, 0.145342f,
    0.151792f, 0.158253f, 0.164725f, 0.171209f, 0.177704f, 0.184212f, 0.190732f, 0.197265f,
    0.203812f, 0.210373f, 0.216948f, 0.223539f, 0.230146f, 0.236769f, 0.243409f, 0.250068f,
    0.256744f, 0.263440f, 0.270156f, 0.276893f, 0.283650f, 0.290430f, 0.297233f, 0.304058f,
    0.310908f, 0.317783f, 0.324682f, 0.331608f, 0.338560f, 0.345540f, 0.352547f, 0.359583f,
    0.366647f, 0.373741f, 0.380864f, 0.388018f, 0.395203f, 0.402419f, 0.409666f, 0.416946f,
    0.424257f, 0.431602f, 0.438980f, 0.446391f, 0.453837f, 0.461317f, 0.468831f, 0.476381f,
    0.483966f, 0.491587f, 0.499245f, 0.506939f, 0.514671f, 0.522441f, 0.530250f, 0.538097f,
    0.545984f, 0.553912f, 0.561880f, 0.569890f, 0.577943f, 0.586039f, 0.594179f, 0.602364f,
    0.610595f, 0.618872f, 0.627197f, 0.635570f, 0.643993f, 0.652467f, 0.660992f, 0.669570f,
    0.678202f, 0.686888f, 0.695631f, 0.704431f, 0.713290f, 0.722209f, 0.731190f, 0.740234f,
    0.749344f, 0.758521f, 0.767767f, 0.777085f, 0.786477f, 0.795948f, 0.805499f, 0.815136f,
    0.824862f, 0.834682f, 0.844602f, 0.854628f, 0.864767f, 0.875027f, 0.885417f, 0.895948f,
    0.906632f, 0.917481f, 0.928511f, 0.939743f, 0.951199f, 0.962907f, 0.974906f, 0.987246f,
    1.000000f,
};

bool jl_temp_ok(double temp_c) {
    return temp_c >= JL_TEMP_MIN_C && temp_c <= JL_TEMP_MAX_C;
}

bool jl_fraction_ok(double p) {
    return p >= 0 && p <= 1;
}

/* NaN stays NaN. Inlined, where fmin and fmax are calls. */
static double within(double x, double least, double most) {
    return x < least ? least : x > most ? most : x;
}

/* Even and odd powers are summed apart: two short chains instead of a long one. */
static double evaluate(const double *c, double p) {
    double q = p * p;
    double even = c[10], odd = c[11];
    for (int k = 8; k >= 0; k -= 2) {
        even = even * q + c[k];
        odd = odd * q + c[k + 1];
    }
    return even + p * odd;
}

void jl_isotherm_at(double temp_c, jl_isotherm *isotherm) {
    double d = temp_c - JL_STRENGTH_C;
    memcpy(isotherm->c, A, sizeof A);
    isotherm->ethanol = JL_ETHANOL_KG_L * 1000;
    if (d == 0) return;
    double sum[TERMS];
    memcpy(sum, BC[POWERS - 1], sizeof sum);
    for (int i = POWERS - 2; i >= 0; i--)
        for (int k = 0; k < TERMS; k++) sum[k] = sum[k] * d + BC[i][k];
    for (int k = 0; k < TERMS; k++) isotherm->c[k] += d * sum[k];
    isotherm->ethanol = evaluate(isotherm->c, 1);
}

double jl_isotherm_density(const jl_isotherm *isotherm, double mass_fraction) {
    return evaluate(isotherm->c, mass_fraction);
}

/* A function with its first two derivatives. */
typedef struct bent {
    double value, slope, bend;
} bent;

/* ρ(p), or p ρ(p) for power 1. */
static bent evaluate_bent(const double *c, int power, double p) {
    double q = p * p;
    bent even = {c[10], 0, 0}, odd = {c[11], 0, 0}; /* in q; bend is half the second derivative */
    for (int k = 8; k >= 0; k -= 2) {
        even.bend = even.bend * q + even.slope;
        even.slope = even.slope * q + even.value;
        even.value = even.value * q + c[k];
        odd.bend = odd.bend * q + odd.slope;
        odd.slope = odd.slope * q + odd.value;
        odd.value = odd.value * q + c[k + 1];
    }
    bent f = {even.value + p * odd.value, 2 * p * even.slope + odd.value + 2 * q * odd.slope,
              2 * even.slope + 8 * q * even.bend + 6 * p * odd.slope + 8 * q * p * odd.bend};
    if (power == 0) return f;
    return (bent){p * f.value, f.value + p * f.slope, 2 * f.slope + p * f.bend};
}

/* Halley's steps, kept between ends that close in on the root. */
jl_status jl_isotherm_solve(const jl_isotherm *isotherm, int power, double target, double start,
                            double *mass_fraction) {
    enum { STEPS_MOST = 100 };
    /* Rounding of a density near 1000 kg/m³: a target this close to an end value means the end. */
    const double rounding = 1e-9;
    double sign = power == 0 ? -1 : 1; /* density falls with p, ethanol per volume rises */
    double at_0 = power == 0 ? isotherm->c[0] : 0;
    if (!(sign * (target - at_0) >= -rounding && sign * (isotherm->ethanol - target) >= -rounding))
        return JL_NO_MIXTURE;
    double low = 0;
    double high = 1;
    double p = within(start, 0, 1);
    for (int i = 0; i < STEPS_MOST; i++) {
        bent f = evaluate_bent(isotherm->c, power, p);
        double miss = f.value - target;
        if (sign * miss > 0)
            high = p;
        else
            low = p;
        double wanted = p - 2 * miss * f.slope / (2 * f.slope * f.slope - miss * f.bend);
        double next = within(wanted, 0, 1);
        bool trusted = next >= low && next <= high;
        if (!trusted) next = low + (high - low) / 2;
        double step = fabs(next - p);
        p = next;
        /* What is left is about the cube of the step, times the square of how bent the curve is. */
        double bent_by = f.bend / f.slope;
        if (trusted && (bent_by * bent_by + 10) * step * step * step < 1e-11) break;
    }
    *mass_fraction = p;
    return JL_OK;
}

/* A first guess at the mass fraction of a strength, linear in the table. */
static double start_from_strength(double fraction_vol) {
    double place = within(fraction_vol, 0, 1) * START_CELLS;
    int cell = !(place < START_CELLS) ? START_CELLS - 1 : (int)place;
    double weight = place - cell;
    return (1 - weight) * (double)START[cell] + weight * (double)START[cell + 1];
}

jl_status jl_density_kg_m3(double mass_fraction, double temp_c, double *density_kg_m3) {
    if (!jl_fraction_ok(mass_fraction) || !jl_temp_ok(temp_c)) return JL_RANGE;
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
    if (!jl_fraction_ok(mass_fraction) || !jl_temp_ok(reference_c)) return JL_RANGE;
    jl_isotherm isotherm;
    jl_isotherm_at(reference_c, &isotherm);
    double share = mass_fraction * jl_isotherm_density(&isotherm, mass_fraction) / isotherm.ethanol;
    *strength_pct = 100 * fmin(share, 1); /* rounding may lift it a bit above */
    return JL_OK;
}

jl_status jl_isotherm_from_strength(const jl_isotherm *isotherm, double strength_pct,
                                    double *mass_fraction) {
    double fraction_vol = strength_pct / 100;
    return jl_isotherm_solve(isotherm, 1, fraction_vol * isotherm->ethanol,
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

/* ---- Moles ---- */

double jl_kg_mol(double mole_fraction) {
    return mole_fraction * JL_ETHANOL_KG_MOL + (1 - mole_fraction) * JL_WATER_KG_MOL;
}

double jl_mole_fraction(double mass_fraction) {
    double ethanol = mass_fraction / JL_ETHANOL_KG_MOL;
    return ethanol / (ethanol + (1 - mass_fraction) / JL_WATER_KG_MOL);
}

double jl_mass_fraction_from_mole(double mole_fraction) {
    double ethanol = mole_fraction * JL_ETHANOL_KG_MOL;
    return ethanol / (ethanol + (1 - mole_fraction) * JL_WATER_KG_MOL);
}

double jl_strength_pct_from_mole(double mole_fraction) {
    double pct = NAN;
    if (mole_fraction >= 0 && mole_fraction <= 1)
        jl_strength_pct(jl_mass_fraction_from_mole(mole_fraction), JL_STRENGTH_C, &pct);
    return pct;
}
