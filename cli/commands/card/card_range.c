/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/card_range.h"

#include <math.h>

size_t card_range_count(double low, double high, double step, size_t most) {
    if (!(step > 0) || !(high >= low)) return 0;
    double count = floor((high - low) / step + 1e-9) + 1;
    return count <= (double)most ? (size_t)count : 0;
}

double card_range_value(const card_range *r, size_t i) {
    return r->low + (double)i * r->step;
}
