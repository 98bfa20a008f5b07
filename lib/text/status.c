/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/status.h"

#include <gsl/gsl_errno.h>
#include <string.h>

const char *jl_status_text(jl_status status) {
    static const char *const TEXTS[] = {
        [JL_OK] = "done",
        [JL_END] = "no further row",
        [JL_NO] = "not possible",
        [JL_RANGE] = "out of range",
        [JL_NO_MIXTURE] = "no mixture of ethanol and water is like that",
        [JL_FORM] = "cannot be read",
        [JL_UNIT] = "unit missing or unknown",
        [JL_AMBIGUOUS] = "can be read in two ways",
        [JL_MISSING] = "something is missing",
        [JL_CONFLICT] = "contradicts another figure",
        [JL_TOO_LONG] = "longer than 64 KiB",
        [JL_INPUT] = "input cannot be read",
        [JL_EXISTS] = "output exists, is read-only or cannot be created",
        [JL_IO] = "full disk or input/output error",
        [JL_BUSY] = "busy: another writer holds the log",
        [JL_MEMORY] = "out of memory",
        [JL_NUMERIC] = "the solver did not reach its tolerance",
    };
    return status <= JL_NUMERIC ? TEXTS[status] : "unknown status";
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

jl_status jl_text_fault(jl_fault *fault, jl_status status, const char *text, const char *expected) {
    return jl_fault_at(fault, status, 0, 0, text, strlen(text), expected);
}

jl_status jl_plain_fault(jl_fault *fault, jl_status status, const char *expected) {
    return jl_text_fault(fault, status, "", expected);
}

jl_status jl_no_memory(jl_fault *fault) {
    return jl_plain_fault(fault, JL_MEMORY, NULL);
}

void jl_quiet(void) {
    gsl_set_error_handler_off();
}
