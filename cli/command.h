/* The commands. Each stands in a file of its own and returns the exit status of the process.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_COMMAND_H
#define JARLINE_COMMAND_H

/* argv[0] is the command's own name. */
typedef int command_run(int argc, const char **argv);

command_run command_calibrate, command_history;
command_run command_correct, command_spirit, command_blend, command_dilute, command_tally;
command_run command_card, command_chart, command_report;
command_run command_wash, command_charge;
command_run command_boil, command_forecast;
command_run command_selfcheck;
command_run command_start, command_record, command_cut;

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

#endif
