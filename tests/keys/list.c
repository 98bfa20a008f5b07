/* The one table of keys, a line each, for bounds.py: name, form, least and most as a file has them,
 * where, option, kind, least and most in the unit of the kind, range.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/facts.h"
#include "keys/keys.h"

#include <stdio.h>

int main(void) {
    for (size_t id = 0; id < JL_KEYS; id++) {
        const jl_key *key = &jl_keys[id];
        printf("%s\t%d\t%.17g\t%.17g\t%u\t%s\t%d\t%.17g\t%.17g\t%s\n", key->name, (int)key->form,
               jl_fact_value(key->name, &key->fact, key->fact.least),
               jl_fact_value(key->name, &key->fact, key->fact.most), key->where,
               key->option == NULL ? "" : key->option, (int)key->fact.kind, key->fact.least,
               key->fact.most, key->range);
    }
    return 0;
}
