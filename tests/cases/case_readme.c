/* The worked examples of a README as cases, so that they stay true.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "$ COMMAND" begins a case; the folder "examples" stands beside it, as in the source tree. */
static void begin_case(cli_cases *cases, const char *file, unsigned line, const char *command) {
    cli_case *c = add_case(cases, file, line);
    c->name = must(strdup(command));
    c->setup = must(strdup("ln -s \"$EXAMPLES\" examples"));
    c->run = must(strdup(command));
    c->exit_given = true;
}

/* Lines up to one of "..." are expected together; a blank line belongs to them. */
static void add_output(cli_case *c, unsigned line, const char *text, bool after_gap) {
    if (c->checks_count == 0 || after_gap) add_check(c, CHECK_HAS, false, line);
    check *last = &c->checks[c->checks_count - 1];
    last->value = with_line(last->value, text);
}

bool cases_read_readme(const char *path, cli_cases *cases) {
    FILE *in = fopen(path, "r");
    if (in == NULL) {
        perror(path);
        return false;
    }
    const char *slash = strrchr(path, '/');
    const char *file = slash != NULL ? slash + 1 : path;
    char *text = NULL;
    size_t room = 0;
    unsigned line = 0;
    bool inside = false, gap = false;
    size_t first = cases->count;
    while (getline(&text, &room, in) >= 0) {
        line++;
        text[strcspn(text, "\n")] = '\0';
        if (strncmp(text, "```", 3) == 0) {
            inside = strcmp(text, "```console") == 0;
        } else if (inside && strncmp(text, "$ jarline ", 10) == 0) {
            begin_case(cases, file, line, text + 2);
            gap = false;
        } else if (inside && strcmp(text, "...") == 0) {
            gap = true;
        } else if (inside && cases->count > first) {
            add_output(&cases->at[cases->count - 1], line, text, gap);
            gap = false;
        }
    }
    free(text);
    fclose(in);
    for (size_t i = first; i < cases->count; i++)
        if (cases->at[i].checks_count == 0) {
            fprintf(stderr, "%s:%u: an example without its answer\n", file, cases->at[i].line);
            return false;
        }
    return true;
}
