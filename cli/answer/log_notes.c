/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/log_notes.h"
#include "keys/keys.h"

#include <stdio.h>
#include <string.h>

void note_passed_over(show *s, const jl_log *log) {
    const jl_facts *facts = jl_log_facts(log);
    size_t line[JL_KEYS + 1] = {0};
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        jl_key_id key = jl_key_of(fact, JL_IN_RUN);
        if (key == JL_KEYS)
            show_note(s,
                      "Line %zu: '%s' is no fact that is known here, and was passed over ('# ' and "
                      "a text makes a comment).",
                      fact->line, fact->key);
        else if ((jl_keys[key].where & JL_REPEATS) == 0 && line[key] > 0)
            show_note(s, "Line %zu: '%s' was stated in line %zu already; the later one holds.",
                      fact->line, fact->key, line[key]);
        line[key] = fact->line;
    }
    bool charge = line[JL_KEY_CHARGE] > 0;
    if (charge != (line[JL_KEY_CHARGE_STRENGTH] > 0))
        show_note(s, "The log states %s without %s: half a charge counts as none.",
                  charge ? "charge_l" : "charge_strength_pct",
                  charge ? "charge_strength_pct" : "charge_l");
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
