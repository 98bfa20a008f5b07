/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/keys.h"
#include "keys/facts.h"

#include <float.h>

const jl_key jl_keys[JL_KEYS] = {
#define KEY(id, stem, end, kind, least, most, range, example, form, where, usual, source, option,  \
            argument, help)                                                                        \
    {{stem, kind, least, most, range ", as " stem end "," example},                                \
     stem end,                                                                                     \
     range,                                                                                        \
     example,                                                                                      \
     form,                                                                                         \
     where,                                                                                        \
     usual,                                                                                        \
     source,                                                                                       \
     option,                                                                                       \
     argument,                                                                                     \
     help},
#include "keys/table.h"
#undef KEY
};

jl_key_id jl_key_of(const jl_fact *fact, unsigned where) {
    jl_key_id id = 0;
    while (id < JL_KEYS && !((jl_keys[id].where & where) != 0 &&
                             jl_fact_is(fact, jl_keys[id].fact.stem, jl_keys[id].fact.kind)))
        id++;
    return id;
}
