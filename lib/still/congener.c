/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * ln(volatility relative to ethanol) = c0 + c1 x + ... + c4 x⁴, x the mole fraction of ethanol in
 * the liquid: predicted by published group contributions and NRTL parameters, not measured, at
 * 101.3 kPa and infinite dilution (reference/congener-volatility-predicted.csv). */
#include "still/congener.h"

#include <math.h>

static const jl_congener NAMES[JL_CONGENERS] = {
    {"methanol", "modified UNIFAC (Dortmund)"},
    {"methanol", "NRTL, DECHEMA pairs"},
    {"acetaldehyde", "modified UNIFAC (Dortmund)"},
    {"ethyl acetate", "modified UNIFAC (Dortmund)"},
    {"ethyl acetate", "NRTL, DECHEMA pairs"},
    {"1-propanol", "modified UNIFAC (Dortmund)"},
    {"isobutanol", "modified UNIFAC (Dortmund)"},
    {"isobutanol", "NRTL, DECHEMA pairs"},
    {"3-methyl-1-butanol", "modified UNIFAC (Dortmund)"},
    {"3-methyl-1-butanol", "NRTL, DECHEMA pairs"},
    {"2-methyl-1-butanol", "modified UNIFAC (Dortmund)"},
};

static const double COEFFICIENTS[JL_CONGENERS][5] = {
    {-0.441555, 3.537918, -6.103634, 5.837868, -2.362587},
    {-0.478099, 3.263126, -7.106758, 8.768185, -4.017251},
    {1.428775, 1.527016, -2.619009, 2.975070, -1.398404},
    {2.457872, -4.588587, 5.858327, -4.154382, 1.197895},
    {1.166013, 1.656982, -8.057064, 11.802021, -5.804173},
    {0.288312, -3.554778, 6.905706, -7.540029, 3.204339},
    {0.858705, -6.239802, 10.709273, -10.860805, 4.453423},
    {1.134655, -9.446412, 19.403981, -19.727198, 7.717143},
    {0.934506, -9.236205, 15.546104, -15.612325, 6.387160},
    {0.377916, -13.889740, 29.344768, -29.329157, 11.465538},
    {0.962826, -9.177089, 15.346908, -15.331001, 6.250021},
};

const jl_congener *jl_congener_at(size_t index) {
    return index < JL_CONGENERS ? &NAMES[index] : NULL;
}

/* How many congeners each family has, as they stand together. */
static const struct {
    const char *name;
    size_t count;
} FAMILIES[JL_CONGENER_FAMILIES] = {{"methanol", 2},      {"acetaldehyde", 1},
                                    {"ethyl acetate", 2}, {"1-propanol", 1},
                                    {"isobutanol", 2},    {"isoamyl alcohols", 3}};

const char *jl_congener_family(size_t index) {
    return index < JL_CONGENER_FAMILIES ? FAMILIES[index].name : NULL;
}

void jl_congener_ranges(const double of_each[JL_CONGENERS],
                        jl_congener_share ranges[JL_CONGENER_FAMILIES]) {
    const double *next = of_each;
    for (size_t f = 0; f < JL_CONGENER_FAMILIES; f++) {
        ranges[f] = (jl_congener_share){*next, *next};
        for (size_t i = 1; i < FAMILIES[f].count; i++) {
            ranges[f].least = fmin(ranges[f].least, next[i]);
            ranges[f].most = fmax(ranges[f].most, next[i]);
        }
        next += FAMILIES[f].count;
    }
}

static double volatility(size_t index, double x) {
    const double *c = COEFFICIENTS[index];
    return exp(c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * c[4]))));
}

double jl_congener_volatility(size_t index, double mole_fraction) {
    return index < JL_CONGENERS && mole_fraction >= 0 && mole_fraction <= 1
               ? volatility(index, mole_fraction)
               : NAN;
}

/* Down the stages with the trace as with the ethanol: its own equilibrium on each stage, the same
 * flows between them. */
static void step_down(const jl_rectifier *column, int stages, double x, double distillate,
                      double ratios[JL_CONGENERS]) {
    const double tiny = 1e-12; /* below it vapour over liquid no longer changes */
    double reflux = column->reflux;
    double liquid[JL_STAGES_MOST + 1], slope;
    if (stages == 1)
        liquid[0] = x;
    else
        jl_step_down(column->curve, stages, reflux, distillate, &slope, liquid);
    double trace[JL_CONGENERS]; /* in the liquid, for 1 in the distillate, which is the reflux */
    for (size_t i = 0; i < JL_CONGENERS; i++) trace[i] = 1;
    double y = distillate;
    for (int n = 0; n < stages; n++) {
        double held = fmax(liquid[n], tiny);
        double ethanol =
            liquid[n] > tiny ? y / held : column->curve->vapour(column->curve, tiny) / tiny;
        for (size_t i = 0; i < JL_CONGENERS; i++) {
            double vapour = (reflux * trace[i] + 1) / (reflux + 1);
            trace[i] = vapour / (volatility(i, liquid[n]) * ethanol);
        }
        y = (reflux * liquid[n] + distillate) / (reflux + 1);
    }
    for (size_t i = 0; i < JL_CONGENERS; i++) ratios[i] = 1 / trace[i];
}

/* As the distillate itself: between whole stages the two distillates are mixed. */
void jl_congener_ratios(const jl_rectifier *column, double x, const jl_distillate *d,
                        double ratios[JL_CONGENERS]) {
    bool pot = column->reflux == 0 || column->stages == 1;
    int whole = pot ? 1 : (int)column->stages;
    double part = pot ? 0 : column->stages - whole;
    double above[JL_CONGENERS];
    step_down(column, whole, x, d->below.distillate, ratios);
    if (part == 0) return;
    step_down(column, whole + 1, x, d->above.distillate, above);
    for (size_t i = 0; i < JL_CONGENERS; i++) ratios[i] += part * (above[i] - ratios[i]);
}
