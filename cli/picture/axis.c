/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/axis.h"

#include "jarline.h"

#include <math.h>
#include <stdio.h>

static double round_step(double least) {
    double power = pow(10, floor(log10(least)));
    double times = least / power;
    return (times <= 1 + 1e-9 ? 1 : times <= 2 + 1e-9 ? 2 : times <= 5 + 1e-9 ? 5 : 10) * power;
}

axis axis_for(double low, double high, int most, bool whole) {
    if (!(high > low)) { /* one value stands in the middle */
        double half = low != 0 ? fabs(low) * 0.05 : 0.5;
        high = low + half;
        low -= half;
    }
    axis a = {low, high, round_step((high - low) / (most > 1 ? most - 1 : 1))};
    if (!whole) return a;
    a.low = floor(low / a.step + 1e-9) * a.step;
    a.high = ceil(high / a.step - 1e-9) * a.step;
    return a;
}

static double first_tick(const axis *a) {
    return ceil(a->low / a->step - 1e-9);
}

size_t axis_ticks(const axis *a) {
    return (size_t)(floor(a->high / a->step + 1e-9) - first_tick(a)) + 1;
}

double axis_tick(const axis *a, size_t i) {
    return (first_tick(a) + (double)i) * a->step;
}

void axis_label(const axis *a, double value, char *text, size_t size) {
    int decimals = a->step >= 1 ? 0 : (int)ceil(-log10(a->step) - 1e-9);
    if (jl_decimal_write(value, decimals, text, size) != JL_OK) snprintf(text, size, "-");
}
