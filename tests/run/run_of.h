/* The record of a log that can be read.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TESTS_RUN_OF_H
#define TESTS_RUN_OF_H

#include "check.h"
#include "given.h"

static inline jl_run *run_of(const char *text) {
    jl_run *run = NULL;
    jl_fault fault = {.expected = ""};
    int fd = given(text);
    CHECK_OK(jl_run_read(fd, &run, &fault));
    if (run == NULL) printf("\n    %zu, '%s': %s", fault.line, fault.cell, fault.expected);
    CU_ASSERT_PTR_NOT_NULL_FATAL(run);
    close(fd);
    return run;
}

#endif
