/* Any text as a quantity of each kind, a number, a time, a fraction and an amount of spirit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"

static void numbers_hold(const char *text, size_t length) {
    char again[64];
    double value, back;
    for (jl_comma comma = JL_COMMA_NONE; comma <= JL_COMMA_DECIMAL; comma++) {
        if (jl_decimal_read(text, length, comma, &value) != JL_OK) continue;
        HOLDS(isfinite(value));
        if (jl_decimal_write(value, 9, again, sizeof again) != JL_OK) continue;
        HOLDS(jl_decimal_read(again, strlen(again), JL_COMMA_NONE, &back) == JL_OK);
        HOLDS(fabs(back - value) <= 5.1e-10 + 2e-16 * fabs(value));
    }
}

static void time_holds(const char *text, size_t length) {
    jl_time time, back;
    char again[JL_TIME_BYTES];
    if (jl_time_read(text, length, &time) != JL_OK) return;
    if (jl_time_write(time, again, sizeof again) != JL_OK) return;
    HOLDS(jl_time_read(again, strlen(again), &back) == JL_OK);
    HOLDS(back.unix_s == time.unix_s && back.offset_s == time.offset_s);
}

static void amount_holds(const char *text) {
    jl_spirit spirit;
    jl_fault fault;
    jl_status status = jl_spirit_read(text, &JL_ALCOHOLOMETER, &spirit, &fault);
    if (status != JL_OK) {
        fault_holds(status, &fault);
        return;
    }
    HOLDS(spirit.ethanol_kg >= 0 && spirit.water_kg >= 0 && isfinite(jl_mass_kg(spirit)));
    HOLDS(jl_mass_kg(spirit) > 0);
    double strength_pct = jl_spirit_strength_pct(spirit);
    HOLDS(strength_pct >= 0 && strength_pct <= 100 + 1e-9);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    jl_quantity quantity;
    jl_fraction fraction;
    if (text == NULL) return 0;
    if (size > 0) memcpy(text, data, size);
    text[size] = '\0';
    for (jl_kind kind = JL_VOLUME; kind <= JL_HEAT; kind++)
        if (jl_quantity_read(text, kind, &quantity) == JL_OK) HOLDS(isfinite(quantity.value));
    numbers_hold(text, size);
    time_holds(text, size);
    amount_holds(text);
    if (jl_fraction_read(text, size, &fraction) == JL_OK) HOLDS((unsigned)fraction < JL_FRACTIONS);
    free(text);
    return 0;
}
