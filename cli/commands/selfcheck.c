/* selfcheck: every published table in reference/ recomputed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/status.h"
#include "checks.h"

#include "answer/say.h"
#include "answer/show.h"
#include "command.h"
#include "input/args.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Deviations run from 1e-13 to 1, so for people they are texts of two digits. */
static const column COLUMNS[] = {
    {"table", "table", "", 25, 0, COLUMN_WORDS},
    {"quantity", "figure", "", 11, 0, COLUMN_WORDS},
    {"source", NULL, "", 0, 0, COLUMN_WORDS},
    {"cells", "cells", "", 5, 0, COLUMN_NUMBERS},
    {"suspect", "out", "", 3, 0, COLUMN_NUMBERS},
    {"largest_deviation", NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "apart", "", 7, 0, COLUMN_NUMBERS},
    {"at", NULL, "", 0, 0, COLUMN_WORDS},
    {"line", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"tolerance", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"unit", NULL, "", 0, 0, COLUMN_WORDS},
    {NULL, "within", "", 13, 0, COLUMN_WORDS},
    {"pass", NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "", "", 4, 0, COLUMN_WORDS},
};

static void show_row(show *s, const check *c) {
    char apart[32] = "-";
    char within[64];
    if (isfinite(c->largest)) snprintf(apart, sizeof apart, "%.2g", c->largest);
    snprintf(within, sizeof within, "%.2g %s", c->tolerance, c->unit);
    show_cells(s, CELLS(V(c->file), V(c->quantity), V(c->source), V((double)c->cells),
                        V((double)c->suspect), V(isfinite(c->largest) ? c->largest : NAN), V(apart),
                        V(c->at), V((double)c->line), V(c->tolerance), V(c->unit), V(within),
                        V(c->pass), V(c->pass ? "ok" : "FAIL")));
}

/* The source and where the largest deviation stands, for who wants to look. */
static void show_place(show *s, const check *c) {
    char line[32] = "";
    if (c->line > 0) snprintf(line, sizeof line, ", line %zu", c->line);
    show_remark(s, "%s, %s: farthest at %s%s. Source: %s.", c->file, c->quantity, c->at, line,
                c->source);
}

static bool is_wanted(const check *c, const char *const *names) {
    bool wanted = names[0] == NULL;
    for (; *names != NULL; names++) wanted = wanted || strcmp(c->file, *names) == 0;
    return wanted;
}

static bool is_known(const char *name) {
    for (size_t i = 0; i < CHECKS_COUNT; i++)
        if (strcmp(CHECKS[i].file, name) == 0) return true;
    return false;
}

static int run_checks(const char *const *names, bool details, bool json) {
    bool pass = true;
    show *s = show_open(json);
    show_table(s, "tables", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < CHECKS_COUNT; i++) {
        check c = CHECKS[i];
        if (!is_wanted(&c, names)) continue;
        check_run(&c);
        if (strcmp(c.at, jl_status_text(JL_MEMORY)) == 0)
            return show_abandon(s, fail(EXIT_MEMORY, "%s: out of memory", c.file));
        show_row(s, &c);
        pass = pass && c.pass;
        if (!json && (details || !c.pass)) show_place(s, &c);
    }
    show_truth(s, "pass", pass);
    show_note(s, "apart: the largest deviation of a recomputed cell from the printed one. within: "
                 "its tolerance. out: rows left out as misprints in the copy that was read.");
    return show_close(s, pass ? EXIT_DONE : EXIT_NO);
}

int command_selfcheck(int argc, const char **argv) {
    int details = 0;
    int json = 0;
    const struct poptOption options[] = {
        FLAG("details", &details, "also each source, and where it lies farthest"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, options, "[TABLE...]",
                  "Every published table recomputed: largest deviation and tolerance")) {
        a.exit_status = 0;
        for (size_t i = 0; i < a.count && a.exit_status == 0; i++)
            if (!is_known(a.rest[i]))
                a.exit_status = fail(EXIT_USAGE,
                                     "no table is called '%s'; without a name all are "
                                     "checked and listed",
                                     a.rest[i]);
        if (a.exit_status == 0) a.exit_status = run_checks(a.rest, details != 0, json != 0);
    }
    return args_close(&a);
}
