/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/log_notes.h"
#include "keys/settings.h"
#include "run/run.h"

#include <math.h>

/* A key in a log: where it stands last, where first, how often. */
typedef struct stated {
    const jl_fact *fact;
    size_t first_line, times;
} stated;

/* More of them would hide the answer. */
enum { UNKNOWN_FACTS_MOST = 20 };

static void note_unknown(show *s, const jl_fact *fact, size_t times) {
    if (times <= UNKNOWN_FACTS_MOST)
        show_warning(s,
                     "Line %zu: '%s' is no fact that is known here, and was passed over ('# ' and "
                     "a text makes a comment).",
                     fact->line, fact->key);
}

static void note_stated_again(show *s, const stated *k) {
    if (k->times == 2)
        show_warning(s, "Line %zu: '%s' was stated in line %zu already; the later one holds.",
                     k->fact->line, k->fact->key, k->first_line);
    else if (k->times > 2)
        show_warning(
            s, "Line %zu: '%s' was stated %zu times before, first in line %zu; this one holds.",
            k->fact->line, k->fact->key, k->times - 1, k->first_line);
}

static void note_facts(show *s, const jl_facts *facts) {
    stated of[JL_KEYS + 1] = {{.times = 0}};
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        jl_key_id key = jl_key_of(fact, JL_IN_RUN);
        if (of[key].times++ == 0) of[key].first_line = fact->line;
        of[key].fact = fact;
        if (key == JL_KEYS) note_unknown(s, fact, of[key].times);
    }
    if (of[JL_KEYS].times > UNKNOWN_FACTS_MOST)
        show_warning(s, "%zu more facts are not known here, and were passed over.",
                     of[JL_KEYS].times - UNKNOWN_FACTS_MOST);
    for (int key = 0; key < JL_KEYS; key++)
        if ((jl_keys[key].where & JL_REPEATS) == 0) note_stated_again(s, &of[key]);
    bool charge = of[JL_KEY_CHARGE].times > 0;
    if (charge != (of[JL_KEY_CHARGE_STRENGTH].times > 0))
        show_warning(s, "The log states %s without %s: half a charge counts as none.",
                     charge ? "charge_l" : "charge_strength_pct",
                     charge ? "charge_strength_pct" : "charge_l");
}

void note_passed_over(show *s, const jl_run *run) {
    const char *name;
    note_facts(s, jl_run_facts(run));
    for (size_t i = 0; (name = jl_run_unknown_column(run, i)) != NULL; i++)
        show_warning(s, "The column '%s' is not known here, and was passed over.", name);
}

/* Infinite where none is stated yet. */
static double charge_of(const jl_facts *facts) {
    jl_quantity charge;
    const jl_fact_key *key = &jl_keys[JL_KEY_CHARGE].fact;
    return jl_facts_quantity(facts, key, &charge, NULL) == JL_OK ? charge.value : INFINITY;
}

void note_odd_jars(show *s, const jl_run *run) {
    const jl_jar *small_first = NULL, *large_first = NULL;
    size_t count, small = 0;
    const jl_jar *jars = jl_run_jars(run, &count);
    double charge_l = charge_of(jl_run_facts(run));
    for (size_t i = 0; i < count; i++) {
        if (jars[i].volume_l < 0.005 && small++ == 0) small_first = &jars[i];
        if (jars[i].volume_l > charge_l && large_first == NULL) large_first = &jars[i];
    }
    if (small == 1)
        show_warning(s, "Jar %u has less than 5 ml. Is its volume in the column's unit?",
                     small_first->number);
    if (small > 1)
        show_warning(
            s,
            "%zu jars, from jar %u on, have less than 5 ml. Are their volumes in the column's "
            "unit?",
            small, small_first->number);
    if (large_first != NULL)
        show_warning(s, "Jar %u has more than the charge had. Is its volume in the column's unit?",
                     large_first->number);
}
