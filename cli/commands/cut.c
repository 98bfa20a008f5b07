/* cut: which jars are what, tried on paper.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/cut_show.h"
#include "input/args.h"
#include "input/logfile.h"
#include "input/ranges.h"
#include "run/run.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- the log ---- */

static void keep_jars(cut_run *run, const jl_run *record) {
    const jl_jar *jars = jl_run_jars(record, &run->count);
    run->jars = need(calloc(run->count + 1, sizeof *run->jars));
    for (size_t i = 0; i < run->count; i++) {
        run->jars[i] = (cut_jar){.number = jars[i].number,
                                 .logged = jars[i].fraction,
                                 .chosen = jars[i].fraction,
                                 .spirit = jars[i].spirit,
                                 .head_c = jars[i].head_c,
                                 .boiler_c = jars[i].boiler_c};
        if (!jars[i].has_reading) continue;
        *(jars[i].reading.unit == JL_UNIT_PROOF_US ? &run->read_proof : &run->read_pct) = true;
    }
}

static void free_run(cut_run *run) {
    free(run->jars);
    *run = (cut_run){0};
}

static int take_run(const char *path, const jl_run *record, cut_run *run) {
    jl_fault fault;
    *run = (cut_run){0};
    say_torn(path, jl_run_torn_line(record));
    if (jl_run_some(record, &fault) != JL_OK) return fail_fault(path, &fault);
    keep_jars(run, record);
    run->instrument = jl_run_instrument(record);
    run->recovery = *jl_run_recovery(record);
    cut_rules_read(record, run);
    return EXIT_DONE;
}

/* ---- the choice ---- */

typedef struct choice {
    char *words[JL_FRACTIONS]; /* of each fraction, NULL where none are given */
    ranges of[JL_FRACTIONS];
} choice;

static bool is_number_of(const cut_run *run, int64_t number) {
    for (size_t i = 0; i < run->count; i++)
        if (run->jars[i].number == number) return true;
    return false;
}

/* A jar that is named must be there: a slip would otherwise move the cut. */
static int check_named(const cut_run *run, const char *option, const ranges *r) {
    for (size_t i = 0; i < r->count; i++) {
        const int64_t ends[] = {r->all[i].first, r->all[i].last};
        for (int e = 0; e < 2; e++) {
            bool open = ends[e] == INT64_MIN || ends[e] == INT64_MAX;
            if (!open && !is_number_of(run, ends[e]))
                return fail(EXIT_USAGE, "--%s: the log has no jar %" PRId64 " that counts", option,
                            ends[e]);
        }
    }
    return EXIT_DONE;
}

static int choose_jar(cut_jar *jar, const choice *c) {
    bool named = false;
    for (int f = JL_FORESHOTS; f <= JL_TAILS; f++) {
        if (!ranges_have(&c->of[f], jar->number)) continue;
        if (named)
            return fail(EXIT_USAGE, "jar %" PRIu32 " is both %s and %s; expected one of them",
                        jar->number, jl_fraction_name(jar->chosen),
                        jl_fraction_name((jl_fraction)f));
        jar->chosen = (jl_fraction)f;
        named = true;
    }
    return EXIT_DONE;
}

static int choose(cut_run *run, choice *c) {
    int bad = EXIT_DONE;
    for (int f = JL_FORESHOTS; f <= JL_TAILS && bad == EXIT_DONE; f++) {
        const char *option = jl_fraction_name((jl_fraction)f);
        if (c->words[f] == NULL) continue;
        bad = ranges_read(c->words[f], &c->of[f])
                  ? check_named(run, option, &c->of[f])
                  : fail(EXIT_USAGE,
                         "--%s '%s': cannot be read; expected jars, as 4-11, 1,3 or "
                         "12-",
                         option, c->words[f]);
    }
    for (size_t i = 0; i < run->count && bad == EXIT_DONE; i++) bad = choose_jar(&run->jars[i], c);
    return bad;
}

static bool has_choice(const choice *c) {
    for (int f = JL_FORESHOTS; f <= JL_TAILS; f++)
        if (c->words[f] != NULL) return true;
    return false;
}

/* ---- saving ---- */

/* Holds the log, so that the choice is one of the jars that it is written to. */
static int open_log(const char *path, jl_run **record) {
    jl_fault fault;
    jl_trouble trouble;
    if (strcmp(path, "-") == 0) return fail(EXIT_USAGE, "--save: expected a file, not '-'");
    jl_status status = jl_run_open(path, JL_WAIT_S, record, &fault, &trouble);
    if (status == JL_OK) return EXIT_DONE;
    return fault.line > 0 || fault.expected != NULL
               ? fail_fault(path, &fault)
               : fail_write(path, status, trouble, NULL, "saved");
}

static int save(const char *path, const cut_run *run, jl_run *record, size_t *changed) {
    jl_fault fault;
    jl_fraction *fractions = need(calloc(run->count + 1, sizeof *fractions));
    for (size_t i = 0; i < run->count; i++) fractions[i] = run->jars[i].chosen;
    jl_status status = jl_run_mark(record, fractions, changed, &fault);
    free(fractions);
    if (status == JL_OK) return EXIT_DONE;
    return fail_write(path, status, jl_run_trouble(record), &fault, "saved");
}

/* ---- the command ---- */

typedef struct cut_options {
    char *to, *bottle;
    int save, suggest, json;
} cut_options;

static void note_choice(show *s, const cut_run *run, const cut_options *o, bool chosen) {
    if (run->read_pct) assume_log_instrument(s, &run->instrument, JL_UNIT_PCT_VOL);
    if (run->read_proof) assume_log_instrument(s, &run->instrument, JL_UNIT_PROOF_US);
    if (o->suggest != 0) assume_cut_rules(s, run);
    if (o->suggest != 0)
        show_note(s, "Nose and tongue decide where hearts begin and end, not this suggestion: it "
                     "knows volumes and strengths only.");
    if (o->suggest != 0 || chosen)
        show_note(s, o->save != 0 ? "The choice is in the log now."
                                  : "Nothing was written; --save writes the choice into the log.");
    show_caution(s, "The first runnings smell of solvents and are thrown away by custom; that does "
                    "not show that the rest can be drunk: methanol is not confined to them.");
}

static int answer(const char *path, const cut_run *run, const cut_options *o, const bottling *b,
                  bool chosen, size_t changed) {
    show *s = show_open(o->json != 0);
    if (o->save != 0) {
        char text[64];
        snprintf(text, sizeof text, "%zu jar%s changed", changed, changed == 1 ? "" : "s");
        show_text(s, NULL, "Saved", text);
        show_number(s, "saved_jars", NULL, (double)changed, 0, "");
    }
    show_choice(s, run, b);
    note_choice(s, run, o, chosen);
    return o->save != 0 ? show_close_written(s, "the choice is in %s", path)
                        : show_close(s, EXIT_DONE);
}

/* Reads the log, chooses, and writes where that is asked for. */
static int choose_jars(const char *path, const cut_options *o, choice *c, cut_run *run,
                       size_t *changed) {
    jl_run *record;
    int bad = o->save != 0 ? open_log(path, &record) : run_read_log(path, &record);
    if (bad != EXIT_DONE) return bad;
    bad = take_run(path, record, run);
    if (bad == EXIT_DONE) {
        bad = o->suggest != 0 ? cut_suggest(run) : choose(run, c);
        if (bad == EXIT_DONE && o->save != 0) bad = save(path, run, record, changed);
        if (bad != EXIT_DONE) free_run(run);
    }
    jl_run_free(record);
    return bad;
}

static int read_bottling(const cut_options *o, bottling *b) {
    *b = (bottling){.to_text = o->to};
    if (o->to == NULL && o->bottle != NULL)
        return fail(EXIT_USAGE, "--bottle: expected --to with it, the bottling strength");
    int bad = o->to == NULL ? EXIT_DONE : arg_strength("--to", o->to, &b->target);
    if (bad == EXIT_DONE) bad = arg_value("--bottle", o->bottle, JL_VOLUME, &b->bottle_l);
    if (bad == EXIT_DONE && o->bottle != NULL && !(b->bottle_l > 0))
        bad = fail_argument("--bottle", o->bottle, JL_RANGE, "a volume above 0, as 700ml");
    if (bad == EXIT_DONE && o->to != NULL && !(b->target > 0))
        bad = fail_argument("--to", o->to, JL_RANGE, "a strength above 0, as 40%");
    return bad;
}

static int run_cut(const args *a, const cut_options *o, choice *c) {
    bottling b;
    cut_run run;
    size_t changed = 0;
    bool chosen = has_choice(c);
    if (a->count != 1) return fail(EXIT_USAGE, "expected one run log, as RUN.csv");
    if (o->suggest != 0 && chosen)
        return fail(EXIT_USAGE, "expected a choice of jars or --suggest, not both");
    if (o->save != 0 && !chosen && o->suggest == 0)
        return fail(EXIT_USAGE, "--save: expected a choice to save, as --hearts 4-11");
    int bad = read_bottling(o, &b);
    if (bad == EXIT_DONE) bad = choose_jars(a->rest[0], o, c, &run, &changed);
    for (int f = 0; f < JL_FRACTIONS; f++) ranges_free(&c->of[f]);
    if (bad != EXIT_DONE) return bad;
    bad = answer(a->rest[0], &run, o, &b, chosen, changed);
    free_run(&run);
    return bad;
}

int command_cut(int argc, const char **argv) {
    choice c = {0};
    cut_options o = {0};
    const struct poptOption table[] = {
        OPTION("foreshots", &c.words[JL_FORESHOTS], "JARS", "jars that are foreshots: 1"),
        OPTION("heads", &c.words[JL_HEADS], "JARS", "heads: 2-3"),
        OPTION("hearts", &c.words[JL_HEARTS], "JARS", "hearts: 4-9,11"),
        OPTION("tails", &c.words[JL_TAILS], "JARS", "tails: 12- is from 12 to the end"),
        OPTION("to", &o.to, "STRENGTH", "the hearts at this strength: 40%"),
        OPTION("bottle", &o.bottle, "VOLUME", "and in bottles of this size: 700ml"),
        FLAG("suggest", &o.suggest, "mark jars by the rules of a forecast"),
        FLAG("save", &o.save, "write the choice into the log"),
        FLAG("json", &o.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv --heads 1-3 --hearts 4-11 --tails 12-",
                  "Tries a cut on paper: what each fraction comes to. Jars not named stay as the "
                  "log has\nthem; nothing is written without --save."))
        a.exit_status = run_cut(&a, &o, &c);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
