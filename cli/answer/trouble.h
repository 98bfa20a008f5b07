/* What is said when a run log could not be written.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TROUBLE_H
#define JARLINE_TROUBLE_H

#include "answer/show.h"
#include "jarline.h"

/* Says why, and whether anything was written: done is what was not, "recorded", "saved". Returns
 * the exit status. */
int fail_write(const char *path, jl_status status, jl_trouble trouble, const char *done);

/* Ends an answer about something that is on the disk; says so when the answer could not be shown.
 * what: "jar 7 is in RUN.csv". Returns the exit status. */
int close_written(show *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
