/* The words of a command line: options by a popt table, the rest in order.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Options are strings (POPT_ARG_STRING) or flags (POPT_ARG_NONE with an int); the quantity in a
 * string is read by the command, with the functions below. A leading '-' before a digit is a
 * number. */
#ifndef JARLINE_ARGS_H
#define JARLINE_ARGS_H

#include "jarline.h"

#include <popt.h>

#define OPTION(name, place, argument, help)                                                        \
    { name, '\0', POPT_ARG_STRING, place, 0, help, argument }
#define FLAG(name, place, help)                                                                    \
    { name, '\0', POPT_ARG_NONE, place, 0, help, NULL }

/* Every key of the table that may stand somewhere of where and is an option; words: a char * for
 * each key. */
#define KEYS_OF_TABLE 0xffffu
#define KEY_OPTIONS(where, words)                                                                  \
    { "", '\0', KEYS_OF_TABLE, words, where, NULL, NULL }

/* One key of the table as an option; words: as above. */
#define KEY_OF_TABLE 0xfffeu
#define KEY_OPTION(id, words)                                                                      \
    { "", '\0', KEY_OF_TABLE, &(words)[id], id, NULL, NULL }

/* What ends the table of nearly every command. */
#define JSON_LAST(place) FLAG("json", place, "answer as JSON"), POPT_TABLEEND

typedef struct args {
    poptContext context;
    struct poptOption *table; /* a copy, numbered, with --why and --help added */
    const char **argv;
    int argc;
    bool *own_help; /* by option: whether its help is to be freed */
    size_t *given;  /* by option: the how-manieth it was; 0: not given */
    size_t count_given;
    char **first;       /* its text, as first given */
    const char **words; /* what is not an option, in order, NULL-terminated */
    size_t count;
    const char *of_wash; /* what stands before --help, where these are the options of a wash */
    bool ended;          /* args_read says no, */
    int exit_status;     /* with this */
} args;

/* Reads all options. Each may stand once.
 *
 * Returns false when the command is to end with args->exit_status: after --help or a bad option.
 * usage: what stands behind the command's name in --help; about: one line of what it answers. */
bool args_read(args *a, int argc, const char **argv, const struct poptOption *table,
               const char *usage, const char *about);

/* What stands above the usage in the --help of this process. */
void help_begins_with(void (*print)(void));

/* The same in steps, for options whose order matters: begin, then next until it returns NULL, then
 * finish. A named option may repeat when the command sets its place to NULL after taking it. */
bool args_begin(args *a, int argc, const char **argv, const struct poptOption *table,
                const char *usage, const char *about);
const struct poptOption *args_next(args *a);

/* The rest of args_read, behind args_begin. */
bool args_take(args *a);
bool args_finish(args *a);

/* Whether an option that args_next gave stands for the first time; says so if not, and the command is
 * to end with args->exit_status. */
bool args_once(args *a, const struct poptOption *option);

/* Whether both options with these places were given, and the first stood behind the other. */
bool args_later(const args *a, const void *place, const void *other);

/* Says that there are too few words or one too many, with what is expected; returns EXIT_USAGE. */
int fail_count(const args *a, size_t wanted, const char *expected);

/* Frees everything, the strings in the option places too. Returns the exit status. */
int args_close(args *a);

/* Reads a quantity from an option or an argument; says what is wrong and returns the exit status,
 * or 0. name is what the message calls it: "--at", "the reading". */
int arg_quantity(const char *name, const char *text, jl_kind kind, jl_quantity *quantity);

/* The same, for kinds of one unit. *value keeps what it has when text is NULL (option not given).
 */
int arg_value(const char *name, const char *text, jl_kind kind, double *value);

/* The same, above 0; expected: what is said of one that is not. */
int arg_above_zero(const char *name, const char *text, jl_kind kind, const char *expected,
                   double *value);

/* A whole number from least to most, in the same way. */
int arg_whole(const char *name, const char *text, double least, double most, double *number);

/* "0.5g/100mL", of --solids; *solids_g_100ml keeps what it has when text is NULL. */
int arg_solids(const char *text, double *solids_g_100ml);

/* A strength in any of its units, as a mass fraction. */
int arg_strength(const char *name, const char *text, double *mass_fraction);

/* The same, of --to: one above 0. */
int arg_target(const char *text, double *mass_fraction);

#endif
