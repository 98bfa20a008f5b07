/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/keys.h"

#include <float.h>

const jl_key jl_keys[JL_KEYS] = {
#define KEY(id, stem, end, kind, least, most, range, example, form, where, usual, source, option,  \
            argument, help)                                                                        \
    {{stem, kind, least, most, range ", as " stem end "," example},                                \
     stem end,                                                                                     \
     range,                                                                                        \
     form,                                                                                         \
     where,                                                                                        \
     usual,                                                                                        \
     source,                                                                                       \
     option,                                                                                       \
     argument,                                                                                     \
     help},
#include "keys/key_table.h"
#undef KEY
};
