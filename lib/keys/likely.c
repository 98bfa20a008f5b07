/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/likely.h"
#include "text/quantity.h"

#include <stdio.h>

/* Common practice, no source. */
static const struct {
    jl_key_id id;
    double least, most;
    const char *range;
    const char *units[2]; /* in which people think of it too */
} LIKELY[] = {{JL_KEY_POWER, 100, 1e5, "100 W to 100 kW", {"kW"}},
              {JL_KEY_JAR, 0.02, 50, "20 mL to 50 L", {"mL"}},
              {JL_KEY_BOTTLE, 0.1, 20, "100 mL to 20 L", {"mL", "cL"}},
              {JL_KEY_MIN_LIQUID, 0, 500, "0 to 500 L", {"mL"}},
              {JL_KEY_BOILER, 0.2, 5000, "200 mL to 5000 L", {"mL"}},
              {JL_KEY_MARK, 0.1, 5000, "100 mL to 5000 L", {"mL"}},
              {JL_KEY_CALIBRATED, 15, 20, "20 °C, 15 °C or 60 °F", {NULL}}};

enum { LIKELY_COUNT = sizeof LIKELY / sizeof LIKELY[0] };

bool jl_key_is_likely(jl_key_id id, double value) {
    for (size_t i = 0; i < LIKELY_COUNT; i++)
        if (LIKELY[i].id == id) return jl_between(value, LIKELY[i].least, LIKELY[i].most);
    return true;
}

const char *jl_key_likely_range(jl_key_id id) {
    for (size_t i = 0; i < LIKELY_COUNT; i++)
        if (LIKELY[i].id == id) return LIKELY[i].range;
    return "";
}

static bool is_likely_text(jl_key_id id, const char *number, const char *unit) {
    char text[64];
    jl_quantity q;
    snprintf(text, sizeof text, "%.40s%s", number, unit);
    return jl_quantity_read(text, jl_keys[id].fact.kind, &q) == JL_OK &&
           jl_key_is_likely(id, q.value);
}

const char *jl_key_unit_meant(jl_key_id id, const char *number) {
    for (size_t i = 0; i < LIKELY_COUNT; i++)
        for (size_t u = 0; LIKELY[i].id == id && u < 2 && LIKELY[i].units[u] != NULL; u++)
            if (is_likely_text(id, number, LIKELY[i].units[u])) return LIKELY[i].units[u];
    return NULL;
}
