/* The exit status of the process.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_EXIT_STATUS_H
#define JARLINE_EXIT_STATUS_H

#include "jarline.h"

/* Exit statuses, after sysexits where it has one. */
enum {
    EXIT_DONE = 0,
    EXIT_NO = 1,      /* the answer is no */
    EXIT_USAGE = 2,   /* an argument cannot be read or is out of range */
    EXIT_DATA = 65,   /* a cell or a line of input cannot be read */
    EXIT_INPUT = 66,  /* input missing, unreadable, a folder */
    EXIT_MEMORY = 71, /* out of memory */
    EXIT_CREATE = 73, /* output exists, is read-only or cannot be created */
    EXIT_IO = 74,     /* full disk, input/output error, closed standard output */
    EXIT_BUSY = 75    /* another writer holds the log */
};

/* The exit status of a status that came from an argument, or from a file. */
int exit_of_argument(jl_status status);
int exit_of_file(jl_status status);

#endif
