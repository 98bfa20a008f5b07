/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/status.h"

#include <gsl/gsl_errno.h>
#include <string.h>

const char *jl_status_text(jl_status status) {
    switch (status) {
    case JL_OK:
        return "done";
    case JL_END:
        return "no further row";
    case JL_NO:
        return "not possible";
    case JL_RANGE:
        return "out of range";
    case JL_NO_MIXTURE:
        return "no mixture of ethanol and water is like that";
    case JL_FORM:
        return "cannot be read";
    case JL_UNIT:
        return "unit missing or unknown";
    case JL_AMBIGUOUS:
        return "can be read in two ways";
    case JL_MISSING:
        return "something is missing";
    case JL_CONFLICT:
        return "contradicts another figure";
    case JL_TOO_LONG:
        return "longer than 64 KiB";
    case JL_INPUT:
        return "input cannot be read";
    case JL_EXISTS:
        return "output exists, is read-only or cannot be created";
    case JL_IO:
        return "full disk or input/output error";
    case JL_BUSY:
        return "busy: another writer holds the log";
    case JL_MEMORY:
        return "out of memory";
    case JL_NUMERIC:
        return "the solver did not reach its tolerance";
    }
    return "unknown status";
}

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

void jl_quiet(void) {
    gsl_set_error_handler_off();
}
