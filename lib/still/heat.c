/* Heat capacity and latent heat.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Pure liquids: DIPPR equation 100; latent heat: DIPPR equation 106, with the constants of
 * Perry's handbook, 8th ed. A dilute mixture holds more heat than both, by the table in Perry's
 * handbook, 7th ed. (reference/heat-capacity-mixture.csv): what the table has above the pure
 * liquids is carried on beyond 41 °C along its own line from 23 to 41 °C, on which it dwindles. */
#include "still/heat.h"

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
