/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/log_notes.h"
#include "keys/facts.h"

#include <stdio.h>
#include <string.h>

/* Every fact that some command reads or writes. */
static const struct {
    const char *stem;
    jl_kind kind;
} KNOWN[] = {
    {"jarline", JL_NUMBER},
    {"title", JL_NUMBER},
    {"started", JL_NUMBER},
    {"expect", JL_NUMBER},
    {"undone", JL_NUMBER},
    {"charge", JL_VOLUME},
    {"charge_strength", JL_STRENGTH},
    {"calibrated", JL_TEMPERATURE},
    {"reading_correction", JL_STRENGTH},
    {"thermometer_correction", JL_TEMPERATURE_DIFFERENCE},
    {"left", JL_VOLUME},
    {"left_strength", JL_STRENGTH},
    {"left_reading", JL_STRENGTH},
    {"left_temp", JL_TEMPERATURE},
    {"stages", JL_NUMBER},
    {"reflux", JL_NUMBER},
    {"reflux_schedule", JL_NUMBER},
    {"power", JL_POWER},
    {"efficiency", JL_NUMBER},
    {"reflux_share_u", JL_NUMBER},
    {"efficiency_u", JL_NUMBER},
    {"loss", JL_POWER},
    {"boiler_heat_kj_c", JL_NUMBER},
    {"start", JL_TEMPERATURE},
    {"spout", JL_TEMPERATURE},
    {"coolant_rise", JL_TEMPERATURE_DIFFERENCE},
    {"min_liquid", JL_VOLUME},
    {"jar", JL_VOLUME},
    {"pressure", JL_PRESSURE},
    {"altitude", JL_ALTITUDE},
    {"foreshots", JL_NUMBER},
    {"heads", JL_NUMBER},
    {"hearts_until", JL_NUMBER},
    {"stop_at", JL_NUMBER},
};
enum {
    KNOWN_COUNT = sizeof KNOWN / sizeof KNOWN[0],
    MAY_REPEAT_FROM = 3,
    MAY_REPEAT_TO = 4,
    CHARGE = 5,
    CHARGE_STRENGTH = 6
};

static int known_fact(const jl_fact *fact) {
    for (int i = 0; i < KNOWN_COUNT; i++)
        if (jl_fact_is(fact, KNOWN[i].stem, KNOWN[i].kind)) return i;
    return -1;
}

void note_passed_over(show *s, const jl_log *log) {
    const jl_facts *facts = jl_log_facts(log);
    size_t line[KNOWN_COUNT] = {0};
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        int known = known_fact(fact);
        if (known < 0)
            show_note(s,
                      "Line %zu: '%s' is no fact that is known here, and was passed over ('# ' and "
                      "a text makes a comment).",
                      fact->line, fact->key);
        else if ((known < MAY_REPEAT_FROM || known > MAY_REPEAT_TO) && line[known] > 0)
            show_note(s, "Line %zu: '%s' was stated in line %zu already; the later one holds.",
                      fact->line, fact->key, line[known]);
        if (known >= 0) line[known] = fact->line;
    }
    if ((line[CHARGE] > 0) != (line[CHARGE_STRENGTH] > 0))
        show_note(s, "The log states %s without %s: half a charge counts as none.",
                  line[CHARGE] > 0 ? "charge_l" : "charge_strength_pct",
                  line[CHARGE] > 0 ? "charge_strength_pct" : "charge_l");
    const char *name;
    for (size_t i = 0; (name = jl_log_unknown_column(log, i)) != NULL; i++)
        show_note(s, "The column '%s' is not known here, and was passed over.", name);
}

void odd_jars_see(odd_jars *odd, const jl_jar *jar, double charge_l) {
    if (jar->volume_l < 0.005 && odd->small++ == 0) odd->small_first = jar->number;
    if (jar->volume_l > charge_l && odd->large_first == 0) odd->large_first = jar->number;
}

void note_odd_jars(show *s, const odd_jars *odd) {
    if (odd->small == 1)
        show_note(s, "Jar %u has less than 5 ml. Is its volume in the column's unit?",
                  odd->small_first);
    if (odd->small > 1)
        show_note(
            s,
            "%zu jars, from jar %u on, have less than 5 ml. Are their volumes in the column's "
            "unit?",
            odd->small, odd->small_first);
    if (odd->large_first > 0)
        show_note(s, "Jar %u has more than the charge had. Is its volume in the column's unit?",
                  odd->large_first);
}
