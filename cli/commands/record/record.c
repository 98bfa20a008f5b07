/* record: jars into a run log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/slips.h"
#include "answer/status.h"
#include "command.h"
#include "commands/record/prompt.h"
#include "commands/record/show.h"
#include "commands/record/write.h"
#include "commands/wash/daily.h"
#include "commands/wash/prompt.h"
#include "input/clock.h"
#include "input/file_kind.h"
#include "input/jar_words.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "run/jars.h"
#include "run/run.h"
#include "text/timestamp.h"

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct record_options {
    jar_options of_jar;
    char *jar, *charge;
    int undo, json, resume;
    char *left[JL_KEYS]; /* what is left in the boiler */
    setting_options with;
} record_options;

/* ---- options ---- */

/* The moment behind which a bare time lies: the jar before's, or the start. name: NULL: a new jar. */
static bool moment_before(const jl_run *run, const char *name, jl_time *before) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count), *jar = jl_run_jar_named(run, name);
    size_t behind = jar == NULL ? count : (size_t)(jar - jars);
    if (behind > 0 && jars[behind - 1].has_time) {
        *before = jars[behind - 1].time;
        return true;
    }
    return jl_run_started(run, before);
}

static bool is_bare(const char *text) {
    jl_written_time w;
    return jl_written_time_read(text, strlen(text), &w) == JL_OK && w.has_clock && !w.has_date;
}

static int read_bare_time(const char *path, const char *name, const char *text, jl_time *when) {
    jl_run *run;
    jl_time before;
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    bool known = moment_before(run, name, &before);
    jl_run_free(run);
    return clock_read_from("--time", text, known ? &before : NULL, when);
}

static int read_time(const char *path, const char *name, const char *text, jl_entry *e,
                     char *stamp) {
    jl_time when = clock_now();
    bool none = text != NULL && strcmp(text, "none") == 0;
    if (text != NULL && !none) {
        int bad = is_bare(text) ? read_bare_time(path, name, text, &when)
                                : clock_read("--time", text, &when);
        if (bad != EXIT_DONE) return bad;
    }
    clock_write(when, stamp);
    e->now = none ? NULL : stamp;
    if (text != NULL) e->time = none ? "" : stamp;
    return EXIT_DONE;
}

static int read_entry(const record_options *o, const args *a, size_t count, jl_entry *e,
                      char *stamp) {
    int bad = read_jar(a->rest + 1, count - 1, &o->of_jar, e);
    if (bad == EXIT_DONE) bad = read_time(a->rest[0], o->jar, o->of_jar.time, e, stamp);
    return bad;
}

/* ---- answers ---- */

static int answer_jar(const char *path, const char *deed, const jl_run *run, const jl_jar *jar,
                      bool json) {
    show *s = show_open(json);
    show_jar_done(s, run, jar, jar->name, deed);
    bool doubted = note_slips(s, run, jar) > 0;
    jl_alcoholometer instrument = jl_run_instrument(run);
    if (jar->has_reading && (json || !doubted))
        assume_log_instrument(s, &instrument, jar->reading.unit);
    if (jar->at_20c) show_note(s, "Without a temperature the volume counts as at 20 °C.");
    return show_close_written(s, "jar %s is in %s", jar->name, path);
}

static int record_one(const char *path, const jl_entry *e, bool json) {
    jl_run *run;
    char name[JL_JAR_NAME_BYTES];
    int bad = check_entry(e);
    if (bad == EXIT_DONE) bad = write_jar(path, e, &run, name);
    if (bad != EXIT_DONE) return bad;
    bad = answer_jar(path, "recorded", run, jl_run_jar_named(run, name), json);
    jl_run_free(run);
    return bad;
}

static int check_name(const char *option, const char *text) {
    jl_jar_key key;
    jl_status status = jl_jar_name_read(text, strlen(text), &key);
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(option, text, status,
                         "the number of a jar, as 5, or 5a for one that was put in behind it");
}

static int correct_one(const char *path, const char *name, const jl_entry *e, bool json) {
    jl_run *run;
    bool added;
    int bad = check_name("--jar", name);
    if (bad == EXIT_DONE) bad = write_corrected(path, name, e, &run, &added);
    if (bad != EXIT_DONE) return bad;
    bad =
        answer_jar(path, added ? "recorded" : "corrected", run, jl_run_jar_named(run, name), json);
    jl_run_free(run);
    return bad;
}

static int undo_one(const char *path, const char *wanted, bool json) {
    jl_run *run;
    char name[JL_JAR_NAME_BYTES], heading[48];
    int bad = wanted == NULL ? EXIT_DONE : check_name("--undo", wanted);
    if (bad == EXIT_DONE) bad = write_undone(path, wanted, &run, name);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    snprintf(heading, sizeof heading, "Jar %s undone", name);
    show_heading(s, heading);
    show_text(s, "done", NULL, "undone");
    show_text(s, "jar", NULL, name);
    show_run_so_far(s, run);
    show_remark(s, "It stays in the file, marked as undone; its number is free again.");
    jl_run_free(run);
    return show_close_written(s, "jar %s is undone in %s", name, path);
}

/* ---- what is left in the boiler ---- */

static int read_left(char *const *words, jl_left *left) {
    jl_settings s;
    int bad = EXIT_DONE;
    jl_settings_begin(&s);
    for (jl_key_id id = JL_KEY_LEFT; bad == EXIT_DONE && id <= JL_KEY_LEFT_TEMP; id++)
        bad = arg_setting(words[id], id, &s);
    if (bad != EXIT_DONE) return bad;
    bool strength = s.of[JL_KEY_LEFT_STRENGTH].has, reading = s.of[JL_KEY_LEFT_READING].has;
    if (!s.of[JL_KEY_LEFT].has || strength == reading)
        return fail(EXIT_USAGE, "expected --left VOLUME with --left-strength, or with "
                                "--left-reading and --left-temp");
    if (reading && !s.of[JL_KEY_LEFT_TEMP].has)
        return fail(EXIT_USAGE, "--left-reading needs --left-temp: the temperature it was read at");
    const jl_quantity none = {NAN, JL_UNIT_PCT_VOL};
    left->volume_l = jl_setting_value(&s, JL_KEY_LEFT);
    left->temp_c = jl_setting_value(&s, JL_KEY_LEFT_TEMP);
    left->strength = strength ? s.of[JL_KEY_LEFT_STRENGTH].number : none;
    left->reading = reading ? s.of[JL_KEY_LEFT_READING].number : none;
    return EXIT_DONE;
}

static int record_left(const char *path, char *const *words, bool json) {
    jl_run *run;
    jl_left left;
    int bad = read_left(words, &left);
    if (bad == EXIT_DONE) bad = write_left(path, &left, &run);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    show_left_done(s, run, &left);
    jl_run_free(run);
    return show_close_written(s, "what is left is in %s", path);
}

/* ---- the command ---- */

static bool has_left(char *const *words) {
    bool any = false;
    for (size_t id = 0; id < JL_KEYS; id++) any = any || words[id] != NULL;
    return any;
}

/* Now, or at --time. */
static int resume(const char *path, const jl_entry *e, bool json) {
    jl_run *run;
    const char *when = e->time == NULL || *e->time == '\0' ? e->now : e->time;
    int bad = write_fact(path, &(jl_fact_entry){.key = "resumed", .text = when}, &run);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    show_heading(s, "Recorded: the run goes on");
    show_text(s, "done", NULL, "recorded");
    show_text(s, "resumed", "At", when);
    jl_run_free(run);
    return show_close_written(s, "the run goes on in %s", path);
}

static int correct_charge(const char *path, const char *word, bool json) {
    jl_run *run;
    size_t jars;
    int bad = write_run_charge(path, word, &run);
    if (bad != EXIT_DONE) return bad;
    const jl_spirit charge = jl_run_recovery(run)->charge;
    jl_run_expected(run, &jars);
    show *s = show_open(json);
    show_heading(s, "Recorded: the charge as it was");
    show_text(s, "done", NULL, "recorded");
    show_number(s, "charge_l", "Charge at 20 °C", jl_volume_l(charge, JL_STRENGTH_C), 3, "L");
    show_number(s, "charge_strength_pct", "Its strength at 20 °C", jl_spirit_strength_pct(charge),
                2, "% vol");
    show_number(s, "expected_jars", "Jars expected anew", (double)jars, 0, "");
    show_run_so_far(s, run);
    jl_run_free(run);
    return show_close_written(s, "the charge is in %s", path);
}

static int run_record(const record_options *o, const args *a) {
    static jl_settings bench;
    char stamp[JL_TIME_BYTES];
    jl_entry e;
    const char *path = a->rest[0];
    if (a->count == 0) return fail(EXIT_USAGE, "expected a run log, as RUN.csv");
    int bad = instruments_read(&o->with, &bench);
    if (bad != EXIT_DONE) return bad;
    rest_by(&bench);
    const char *undone = o->undo != 0 && a->count == 2 ? a->rest[1] : NULL;
    if (undone != NULL) return undo_one(path, undone, o->json != 0);
    bool lines = a->count == 2 && strcmp(a->rest[1], "-") == 0;
    for (size_t i = 1; i < a->count && bad == EXIT_DONE; i++)
        if (is_bare_number(a->rest[i]) && file_kind_of(path) == FILE_WASH)
            bad = fail_wash_number(a->rest[i]);
    if (bad != EXIT_DONE) return bad;
    bad = read_entry(o, a, lines ? 1 : a->count, &e, stamp);
    if (bad != EXIT_DONE) return bad;
    const char *time = e.time;
    if (o->resume != 0) e.time = NULL; /* it is that of the stop's end */
    bool figures = gives_anything(&e);
    e.time = time;
    bool left = has_left(o->left);
    if ((o->undo != 0) + (o->resume != 0) + (o->charge != NULL) + left + (o->jar != NULL) > 1 ||
        (figures && (o->undo != 0 || o->resume != 0 || o->charge != NULL || left)))
        return fail(EXIT_USAGE, "expected one thing at a time: a jar, --jar, --undo, --resume, "
                                "--charge or --left");
    if (o->charge != NULL) return correct_charge(path, o->charge, o->json != 0);
    if (o->resume != 0) return resume(path, &e, o->json != 0);
    if (o->undo != 0) return undo_one(path, NULL, o->json != 0);
    if (left) return record_left(path, o->left, o->json != 0);
    if (o->jar != NULL && !figures)
        return fail(EXIT_USAGE, "--jar %s: expected what is to be corrected, as 72.5%%", o->jar);
    if (o->jar != NULL) return correct_one(path, o->jar, &e, o->json != 0);
    if (figures) return record_one(path, &e, o->json != 0);
    if (o->json != 0) return fail(EXIT_USAGE, "--json: expected a jar; the prompt has no JSON");
    file_kind kind = file_kind_of(path);
    if (errno != 0 && errno != ENOENT) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    return kind == FILE_WASH ? wash_prompt(path, &bench) : record_prompt(path);
}

int command_record(int argc, const char **argv) {
    if (is_wash_record(argc, argv)) return record_wash(argc, argv);
    record_options o = {0};
    const struct poptOption table[] = {
        JAR_OPTIONS(&o.of_jar),
        OPTION("jar", &o.jar, "N",
               "correct jar N, only what is given; or put in a forgotten one, as 8a"),
        OPTION("charge", &o.charge, "AMOUNT",
               "the charge that was meant, where start had another: 23.5L@8.4%"),
        FLAG("resume", &o.resume, "a run that was stopped goes on: no rate across it"),
        FLAG("undo", &o.undo, "undo the last jar, or --undo 8a"),
        KEY_OPTIONS(JL_IN_RUN_END, o.left),
        BENCH_OPTION(o.with),
        FLAG("json", &o.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv|WASH.csv [VOLUME|WEIGHT READING TEMP]",
                  "Writes down one jar: RUN.csv 500mL 72.5% 24C. Without one it asks for them; - "
                  "takes lines.")) {
        o.with.log = a.rest[0];
        a.exit_status = run_record(&o, &a);
    }
    return args_close(&a);
}
