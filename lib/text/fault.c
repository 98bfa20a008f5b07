/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/fault.h"

#include <string.h>

static bool continues_a_character(char c) {
    return ((unsigned char)c & 0xc0) == 0x80;
}

jl_status jl_fault_at(jl_fault *fault, jl_status status, size_t line, size_t column,
                      const char *cell, size_t length, const char *expected) {
    if (fault == NULL) return status;
    *fault = (jl_fault){.status = status, .line = line, .column = column, .expected = expected};
    if (length >= sizeof fault->cell) {
        length = sizeof fault->cell - 1;
        for (int i = 0; i < 3 && continues_a_character(cell[length]); i++) length--;
    }
    if (length > 0) memcpy(fault->cell, cell, length);
    return status;
}
