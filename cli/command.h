/* The commands. Each stands in a file of its own and returns the exit status of the process.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_COMMAND_H
#define JARLINE_COMMAND_H

/* argv[0] is the command's own name. */
typedef int command_run(int argc, const char **argv);

command_run command_bench, command_calibrate, command_history;
command_run command_correct, command_spirit, command_blend, command_dilute, command_tally;
command_run command_card, command_chart, command_label, command_report;
command_run command_wash, command_charge;
command_run command_boil, command_forecast;
command_run command_selfcheck;
command_run command_start, command_record, command_cut;
command_run command_book, command_stock, command_account;

#endif
