/* selfcheck: every published table in reference/ recomputed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"

#include "answer/say.h"
#include "answer/show.h"
#include "command.h"
#include "input/args.h"

#include <math.h>
#include <string.h>

/* Deviations run from 1e-13 to 1, so for people they are texts of two digits. */
static const column COLUMNS[] = {
    {"table", "table", "", 23, 0, COLUMN_WORDS},
    {"quantity", "figure", "", 11, 0, COLUMN_WORDS},
    {"publication", NULL, "", 0, 0, COLUMN_WORDS},
    {"cells", "cells", "", 5, 0, COLUMN_NUMBERS},
    {"suspect", "out", "", 3, 0, COLUMN_NUMBERS},
    {"largest_deviation", NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "apart", "", 7, 0, COLUMN_NUMBERS},
    {"at", NULL, "", 0, 0, COLUMN_WORDS},
    {"line", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"tolerance", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"unit", NULL, "", 0, 0, COLUMN_WORDS},
    {NULL, "within", "", 13, 0, COLUMN_WORDS},
    {"tolerance_from", NULL, "", 0, 0, COLUMN_WORDS},
    {"pass", NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "", "", 6, 0, COLUMN_WORDS},
};

/* Where a tolerance is from. */
static const char *const FROM[] = {
    [CHECK_DIGIT] = "the source's last digit",
    [CHECK_SCATTER] = "the scatter among sources",
    [CHECK_GUARD] = "what the model reaches: a guard against change",
    [CHECK_OURSELVES] = "the program is compared with itself",
};

static void show_row(show *s, const check *c) {
    char apart[32] = "-";
    char within[64];
    if (isfinite(c->largest)) snprintf(apart, sizeof apart, "%.2g", c->largest);
    snprintf(within, sizeof within, "%.2g %s", c->tolerance, c->unit);
    show_cells(s, CELLS(V(c->file), V(c->quantity), V(c->source), V((double)c->cells),
                        V((double)c->suspect), V(isfinite(c->largest) ? c->largest : NAN), V(apart),
                        V(c->at), V((double)c->line), V(c->tolerance), V(c->unit), V(within),
                        V(FROM[c->by]), V(c->pass),
                        V(!c->pass                   ? "FAIL"
                          : c->by == CHECK_OURSELVES ? "itself"
                                                     : "ok")));
}

/* The source and where the largest deviation stands, for who wants to look. */
static void show_place(show *s, const check *c) {
    char line[32] = "";
    if (c->line > 0) snprintf(line, sizeof line, ", line %zu", c->line);
    show_remark(s, "%s, %s: farthest at %s%s. Source: %s. Tolerance: %s.", c->file, c->quantity,
                c->at, line, c->source, FROM[c->by]);
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

/* How many rows hold, of what kind. */
typedef struct verdict {
    size_t rows, cells, failed, guards, ourselves;
} verdict;

static void count(verdict *v, const check *c) {
    v->rows++;
    v->cells += c->cells;
    v->failed += !c->pass;
    v->guards += c->by == CHECK_GUARD;
    v->ourselves += c->by == CHECK_OURSELVES;
}

static void show_verdict(show *s, const verdict *v) {
    char text[160];
    size_t agree = v->rows - v->guards - v->ourselves;
    if (v->failed > 0)
        snprintf(text, sizeof text, "%zu of %zu rows fail", v->failed, v->rows);
    else
        snprintf(text, sizeof text,
                 "%zu rows, %zu cells: %zu within their source, %zu guards, %zu itself", v->rows,
                 v->cells, agree, v->guards, v->ourselves);
    show_text(s, NULL, v->failed > 0 ? "Does not hold" : "All hold", text);
    show_truth(s, "pass", v->failed == 0);
    show_number(s, "cells", NULL, (double)v->cells, 0, "");
    show_number(s, "row_count", NULL, (double)v->rows, 0, "");
    show_number(s, "failed", NULL, (double)v->failed, 0, "");
}

static int run_checks(const char *const *names, bool details, bool json) {
    verdict v = {0};
    show *s = show_open(json);
    show_table(s, "tables", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < CHECKS_COUNT; i++) {
        check c = CHECKS[i];
        if (!is_wanted(&c, names)) continue;
        check_run(&c);
        if (strcmp(c.at, jl_status_text(JL_MEMORY)) == 0)
            return show_abandon(s, fail(EXIT_MEMORY, "%s: out of memory", c.file));
        show_row(s, &c);
        count(&v, &c);
        if (!json && (details || !c.pass)) show_place(s, &c);
    }
    show_verdict(s, &v);
    show_note(
        s, "apart: the largest deviation of a recomputed cell from the printed one. within: "
           "its tolerance. out: rows left out as misprints in the copy that was read. itself: the "
           "table is what the program computes with, so the row shows no agreement.");
    return show_close(s, v.failed == 0 ? EXIT_DONE : EXIT_NO);
}

int command_selfcheck(int argc, const char **argv) {
    int details = 0;
    int json = 0;
    const struct poptOption options[] = {
        FLAG("details", &details, "also each source, and where it lies farthest"),
        JSON_LAST(&json),
    };
    args a;
    if (args_read(&a, argc, argv, options, "[TABLE...]",
                  "Every published table recomputed: largest deviation and tolerance")) {
        a.exit_status = 0;
        for (size_t i = 0; i < a.count && a.exit_status == 0; i++)
            if (!is_known(a.words[i]))
                a.exit_status =
                    refuse("no table is called '%s'; without a name all are checked and listed",
                           a.words[i]);
        if (a.exit_status == 0) a.exit_status = run_checks(a.words, details != 0, json != 0);
    }
    return args_close(&a);
}
