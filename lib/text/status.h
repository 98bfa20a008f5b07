/* Filling a jl_fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_STATUS_H
#define JL_STATUS_H

#include "jarline.h"

/* Fills *fault, which may be NULL, and gives back its status. The cell need not be NUL-terminated;
 * it is cut where a character of UTF-8 ends. */
jl_status jl_fault_at(jl_fault *fault, jl_status status, size_t line, size_t column,
                      const char *cell, size_t length, const char *expected);

/* The same of a text that no file holds. */
jl_status jl_text_fault(jl_fault *fault, jl_status status, const char *text, const char *expected);

/* The same of no place and no text. */
jl_status jl_plain_fault(jl_fault *fault, jl_status status, const char *expected);

/* The same of memory that is out. */
jl_status jl_no_memory(jl_fault *fault);

#endif
