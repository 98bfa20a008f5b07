/* Real invocations of the command, kept as data: tests/cli/NAME.case.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A file holds any number of cases; each becomes one CUnit test. A line is "keyword: value".
 * Further lines of a value begin with "|" (and a space, which is not part of it). Lines that begin
 * with "#" and empty lines are passed over.
 *
 *   case: 193 proof at 75 F is 189.5 proof      begins a case and names the fact it checks
 *   source: 27 CFR 30.61, table 1               where the figure is from (for the reader)
 *   setup: printf 'jar,volume_l\n1,0.5\n' >a.csv   shell lines before, in the scratch folder
 *   stdin: 193proof,75F                         lines of standard input; without it, /dev/null
 *   run: jarline correct 193proof --at 75F --json
 *                                               the command line: sh, in the scratch folder, the
 *                                               command on PATH, $EXAMPLES the examples' folder
 *   exit: 0                                     the expected exit status; needed, as is one check
 *   stdout is: text                             all of it, the last line end included
 *   stdout has: text                            somewhere
 *   stdout lacks: text                          nowhere
 *   stdout line: ERE                            one whole line matches the regular expression
 *   stderr is, has, lacks, line: ...            the same of standard error
 *   json: .jars[0].volume_l ~ 0.5 0.0001        a number in standard output within a tolerance
 *   json: .title = "autumn"                     a JSON value
 *   json: .assumptions has OIML                 a string, or one string of an array, has the text
 *   json: .jars count 3                         elements of an array
 *   json: .missing_l absent                     no such key
 *   unchanged: a.csv                            the file's bytes are what they were before "run"
 *   folder unchanged:                           so are all files, and none came or went
 *
 * A path counts array elements from 0, or from the end with -1. A text or a value that is given
 * on no line ("stdout is:") is empty. Every case also fails when standard error has a sanitizer's
 * report. Locale C.UTF-8, time zone UTC, no other setting of the caller. A case that limits the size of
 * files sets GCOV_PREFIX=/proc, or a build that counts lines would leave half a count. */
#ifndef JARLINE_CASE_H
#define JARLINE_CASE_H

#include <stdbool.h>
#include <stddef.h>

typedef enum check_kind {
    CHECK_IS,
    CHECK_HAS,
    CHECK_LACKS,
    CHECK_LINE,
    CHECK_JSON,
    CHECK_UNCHANGED,
    CHECK_FOLDER
} check_kind;

typedef struct check {
    check_kind kind;
    bool of_stderr;
    unsigned line; /* in the file */
    char *value;
} check;

typedef struct cli_case {
    const char *file; /* of the folder */
    unsigned line;
    char *name;
    char *setup; /* NULL: none */
    char *input; /* NULL: none */
    char *run;
    int exit_status;
    bool exit_given;
    check *checks;
    size_t checks_count;
} cli_case;

typedef struct cli_cases {
    cli_case *at;
    size_t count;
} cli_cases;

/* Adds the cases of a file. Returns false, with a message on standard error, when one cannot be
 * read: a case that is passed over would look like one that holds. */
bool cases_read(const char *path, cli_cases *cases);

/* The same of the blocks marked "console" in a README: "$ jarline ...", then what it answers, where
 * a line of "..." stands for any lines left out. */
bool cases_read_readme(const char *path, cli_cases *cases);
void cases_free(cli_cases *cases);

/* For the two above: memory, or the end of the test; a text (NULL: nothing yet) with one more line;
 * a new case; a new check. */
void *must(void *allocated);
char *with_line(char *text, const char *line);
cli_case *add_case(cli_cases *cases, const char *file, unsigned line);
check *add_check(cli_case *c, check_kind kind, bool of_stderr, unsigned line);

/* Runs a case and asserts its checks. */
void case_run(const cli_case *c);

/* What is wrong with a JSON check, in problem; "" when it holds. */
void json_check(const char *text, const char *value, char *problem, size_t size);

#endif
