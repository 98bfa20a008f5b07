/* record: jars into a run log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/record.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "input/args.h"
#include "input/clock.h"
#include "input/jar_words.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct record_options {
    char *head, *boiler, *strength, *fraction, *time, *note, *jar;
    int undo, json;
    left_words left;
} record_options;

/* ---- options ---- */

static int read_strength(const char *text, jl_entry *e) {
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity("--strength", text, JL_STRENGTH, &e->strength);
    if (bad == EXIT_DONE && e->strength.unit == JL_UNIT_PCT_MASS)
        bad = fail_argument("--strength", text, JL_UNIT, "% vol at 20 °C or US proof, as 72%");
    return bad;
}

static int read_fraction(const char *text, jl_entry *e) {
    jl_fraction fraction;
    if (text == NULL) return EXIT_DONE;
    if (jl_fraction_read(text, strlen(text), &fraction) != JL_OK)
        return fail_argument("--fraction", text, JL_FORM, FRACTIONS_EXPECTED);
    e->fraction = fraction == JL_UNDECIDED ? "" : jl_fraction_name(fraction);
    return EXIT_DONE;
}

static int read_time(const char *text, jl_entry *e, char *stamp) {
    jl_time when = clock_now();
    bool none = text != NULL && strcmp(text, "none") == 0;
    if (text != NULL && !none) {
        int bad = clock_read("--time", text, &when);
        if (bad != EXIT_DONE) return bad;
    }
    clock_write(when, stamp);
    e->now = none ? NULL : stamp;
    if (text != NULL) e->time = none ? "" : stamp;
    return EXIT_DONE;
}

static int read_entry(const record_options *o, const args *a, jl_entry *e, char *stamp) {
    *e = no_entry();
    int bad = EXIT_DONE;
    for (size_t i = 1; i < a->count && bad == EXIT_DONE; i++) bad = read_jar_word(a->rest[i], e);
    if (bad == EXIT_DONE) bad = read_strength(o->strength, e);
    if (bad == EXIT_DONE) bad = read_vapour("--head", o->head, &e->head_c);
    if (bad == EXIT_DONE) bad = read_vapour("--boiler", o->boiler, &e->boiler_c);
    if (bad == EXIT_DONE) bad = read_fraction(o->fraction, e);
    if (bad == EXIT_DONE) bad = read_time(o->time, e, stamp);
    e->note = o->note;
    return bad;
}

/* ---- answers ---- */

/* Above it a log is no run that goes on, and learning from it would take long. */
enum { JARS_OF_A_RUN = 200 };

static void note_uncertainties(show *s, const running *run, const past_jar *jar) {
    warnings d = warnings_of(run, jar);
    for (size_t i = 0; i < d.count; i++)
        show_note(s,
                  "Look again at jar %" PRId64 ": %s. --jar %" PRId64 " mends it, --undo takes "
                  "the last one back.",
                  jar->number, d.text[i], jar->number);
}

static int answer_jar(const char *path, const char *deed, const running *run, const past_jar *jar,
                      bool json) {
    char figures[160], heading[224];
    show *s = show_open(json);
    write_figures(jar, figures, sizeof figures);
    snprintf(heading, sizeof heading, "Jar %" PRId64 " %s: %s", jar->number, deed, figures);
    show_heading(s, heading);
    show_text(s, "done", NULL, deed);
    show_recorded_jar(s, run, jar);
    show_run_so_far(s, run, run->jars <= JARS_OF_A_RUN);
    if (run->jars <= JARS_OF_A_RUN) show_rest_of_log(s, path);
    if (!isnan(jar->reading.value)) assume_log_instrument(s, &run->instrument, jar->reading.unit);
    if (isnan(jar->temp_c)) show_note(s, "Without a temperature the volume counts as at 20 °C.");
    note_uncertainties(s, run, jar);
    return show_close_written(s, "jar %" PRId64 " is in %s", jar->number, path);
}

static int record_one(const char *path, const jl_entry *e, bool json) {
    running run;
    int64_t number;
    int bad = check_entry(e);
    if (bad == EXIT_DONE) bad = write_jar(path, e, &run, &number);
    if (bad == EXIT_DONE) bad = answer_jar(path, "recorded", &run, running_newest(&run), json);
    if (bad == EXIT_DONE || bad == EXIT_IO) running_free(&run);
    return bad;
}

static int correct_one(const char *path, const char *jar_text, const jl_entry *e, bool json) {
    running run;
    jl_quantity number;
    int bad = arg_quantity("--jar", jar_text, JL_NUMBER, &number);
    if (bad != EXIT_DONE) return bad;
    if (!(number.value >= 1 && number.value <= JL_JAR_MOST && number.value == floor(number.value)))
        return fail_argument("--jar", jar_text, JL_RANGE, "the number of a jar, as 5");
    bad = write_corrected(path, (int64_t)number.value, e, &run);
    if (bad == EXIT_DONE) bad = answer_jar(path, "mended", &run, &run.sought, json);
    if (bad == EXIT_DONE || bad == EXIT_IO) running_free(&run);
    return bad;
}

static int undo_one(const char *path, bool json) {
    running run;
    int64_t number;
    char heading[48];
    int bad = write_undone(path, &run, &number);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    snprintf(heading, sizeof heading, "Jar %" PRId64 " taken back", number);
    show_heading(s, heading);
    show_text(s, "done", NULL, "taken back");
    show_number(s, "jar", NULL, (double)number, 0, "");
    show_run_so_far(s, &run, false);
    show_note(s, "It stays in the file, marked as undone, and no longer counts.");
    running_free(&run);
    return show_close_written(s, "jar %" PRId64 " is taken back in %s", number, path);
}

/* ---- the command ---- */

static bool has_left(const left_words *l) {
    return l->volume != NULL || l->strength != NULL || l->reading != NULL || l->temp != NULL;
}

static int run_record(const record_options *o, const args *a) {
    char stamp[JL_TIME_BYTES];
    jl_entry e;
    const char *path = a->rest[0];
    if (a->count == 0) return fail(EXIT_USAGE, "expected a run log, as RUN.csv");
    int bad = read_entry(o, a, &e, stamp);
    if (bad != EXIT_DONE) return bad;
    bool figures = gives_anything(&e);
    bool left = has_left(&o->left);
    if ((o->undo != 0) + left + (o->jar != NULL) > 1 || (figures && (o->undo != 0 || left)))
        return fail(EXIT_USAGE, "expected one thing at a time: a jar, --jar, --undo or --left");
    if (o->undo != 0) return undo_one(path, o->json != 0);
    if (left) return record_left(path, &o->left, o->json != 0);
    if (o->jar != NULL && !figures)
        return fail(EXIT_USAGE, "--jar %s: expected what is to be mended, as 72.5%%", o->jar);
    if (o->jar != NULL) return correct_one(path, o->jar, &e, o->json != 0);
    if (figures) return record_one(path, &e, o->json != 0);
    if (o->json != 0) return fail(EXIT_USAGE, "--json: expected a jar; the prompt has no JSON");
    return record_prompt(path);
}

int command_record(int argc, const char **argv) {
    record_options o = {0};
    const struct poptOption table[] = {
        OPTION("head", &o.head, "TEMP", "at the head, as the jar ends"),
        OPTION("boiler", &o.boiler, "TEMP", "in the boiler, as the jar ends"),
        OPTION("strength", &o.strength, "STRENGTH",
               "true strength at 20 °C, in place of a reading"),
        OPTION("fraction", &o.fraction, "NAME", "foreshots, heads, hearts, tails or undecided"),
        OPTION("time", &o.time, "TIME", "when it was full (now): 10:40, or none"),
        OPTION("note", &o.note, "TEXT", "smell, taste, anything"),
        OPTION("jar", &o.jar, "N", "mend jar N: only what is given changes"),
        FLAG("undo", &o.undo, "take the last jar back"),
        OPTION("left", &o.left.volume, "VOLUME", "what is left in the boiler, measured cold"),
        OPTION("left-strength", &o.left.strength, "STRENGTH", "its strength at 20 °C"),
        OPTION("left-reading", &o.left.reading, "READING", "or its reading"),
        OPTION("left-temp", &o.left.temp, "TEMP", "its temperature, 40 °C at the most"),
        FLAG("json", &o.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv [VOLUME READING TEMP]",
                  "Writes down one jar: RUN.csv 500ml 72.5% 24C. Without one it asks for them."))
        a.exit_status = run_record(&o, &a);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
