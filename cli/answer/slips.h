/* A figure that may be a slip of the pen, in words.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SLIPS_H
#define JARLINE_SLIPS_H

#include "jarline.h"

enum { SLIP_BYTES = 256 };

/* A number of a log, to a tenth; below 1 and in L to a thousandth: "74.1". */
void write_number(const jl_log_unit *unit, double number, char *text, size_t size);

/* A figure as the log would have it: of its unit, or on its scale. */
double logged_number(const jl_run *run, jl_jar_figure figure, double value);

/* With its unit: "74.1 %", "500 mL". */
void write_logged(const jl_run *run, jl_jar_figure figure, double number, char *text, size_t size);

/* "reading", "volume". */
const char *figure_name(jl_jar_figure figure);

/* What was meant: "73.5 %", "185 °F"; empty where nothing is likely. */
void write_guess(const jl_run *run, jl_jar_figure figure, const jl_guess *guess, char *text,
                 size_t size);

/* The jar before, where a time is earlier than its own and either may be wrong; NULL: another slip. */
const jl_jar *jar_doubted_too(const jl_run *run, const jl_slip *slip);

/* "reading 53.5 %? The jar before had 74.1 %. Was 73.5 % meant?" Returns text. */
const char *write_slip(const jl_run *run, const jl_slip *slip, char text[SLIP_BYTES]);

/* The same within a sentence: "reading 53.5 %, the jar before had 74.1 % (was 73.5 % meant?)". */
const char *write_slip_within(const jl_run *run, const jl_slip *slip, char text[SLIP_BYTES]);

#endif
