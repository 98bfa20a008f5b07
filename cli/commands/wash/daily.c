/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/daily.h"
#include "answer/next.h"
#include "answer/output.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "commands/wash/log.h"
#include "input/clock.h"
#include "input/file_kind.h"
#include "input/logfile.h"
#include "text/letters.h"
#include "wash/gravity.h"
#include "wash/recipe.h"
#include "wash/wash.h"
#include "wash/wash_log.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what goes in ---- */

/* Molasses, fruit and juice have no usual share of sugar: it is what is missing. */
static int fail_add(const char *word, jl_status status) {
    if (status == JL_MISSING && jl_ingredient_has_name(word))
        return refuse(
            "--add '%s': its share of sugar is missing; expected it behind, as '%s 55%%', or "
            "of a juice its gravity, as '3L juice 12P'",
            word, word);
    return fail_argument("--add", word, status, JL_INGREDIENT_FORMS);
}

/* Takes the word of one --add, which is the list's from now on. Returns the exit status, or 0. */
static int additions_take(additions *list, char *word) {
    jl_ingredient in;
    jl_status status = jl_ingredient_read(word, strlen(word), &in);
    list->words = need(realloc(list->words, (list->count + 1) * sizeof *list->words));
    list->in = need(realloc(list->in, (list->count + 1) * sizeof *list->in));
    list->words[list->count] = word;
    list->in[list->count++] = in;
    return status == JL_OK ? EXIT_DONE : fail_add(word, status);
}

void additions_free(additions *list) {
    for (size_t i = 0; i < list->count; i++) free(list->words[i]);
    free(list->words);
    free(list->in);
}

void assume_yields(show *s, const char *sugar) {
    show_assumption(
        s,
        "%s gives %g %% of theory, malt extract %g %%; yields within %g %%, stated shares "
        "within %g %%, masses within %g %% (common practice, no source).",
        sugar, 100 * jl_sugar_usual_yield_share(JL_SUCROSE),
        100 * jl_sugar_usual_yield_share(JL_EXTRACT), 100 * JL_YIELD_SHARE, 100 * JL_STATED_SHARE,
        100 * JL_MASS_SHARE);
}

/* What they come to. sugar_kg: more of it that is still to go in. */
static void show_recipe(show *s, const jl_recipe *recipe) {
    show_group(s, "recipe", NULL);
    show_number(s, "strength_pct", "Strength when all has fermented", recipe->strength_pct, 1,
                "% vol");
    show_number(s, "strength_expanded_pct", "  ± (k = 2)", JL_COVERAGE_K * recipe->strength_u_pct,
                1, "% vol");
    show_number(s, "volume_l", "Volume at 20 °C", recipe->volume_l, 1, "L");
    show_number(s, "pure_alcohol_l", "Pure alcohol in it", recipe->pure_alcohol_l, 2, "L");
    show_number(s, "original_sg", "Original gravity to expect", recipe->original_sg, 3, "SG");
    show_number(s, "expected_final_sg", "Final gravity, at or below", jl_recipe_end_sg(recipe), 3,
                "SG");
    show_group_end(s);
    assume_yields(s, "Sugar");
    if (recipe->solids_kg > 0)
        show_assumption(
            s, "The final gravity is 1.000 and what %.2f kg that cannot ferment adds to it.",
            recipe->solids_kg);
    else
        show_assumption(s,
                        "The final gravity of a sugar wash is 1.000 (common practice, no source).");
}

static int fail_recipe(jl_status status) {
    if (status == JL_MISSING)
        return fail(EXIT_NO, "nothing that ferments goes in; expected --add, as --add '6kg sugar'");
    return refuse("so much in that volume: out of range; expected 1.180 SG (40P) or less, about "
                  "0.47 kg of sugar in a litre");
}

/* Sugar for the strength wanted, behind what is in already. */
static int add_sugar(additions *all, double volume_l, double to_pct, double *sugar_kg) {
    char *word = need(malloc(48));
    if (jl_recipe_sugar_kg(all->in, all->count, volume_l, to_pct, sugar_kg) != JL_OK) {
        free(word);
        return refuse("--to: out of range; expected above 0, to 30 %% vol, as 10%%");
    }
    snprintf(word, 48, "%.9fkg sugar", fmax(*sugar_kg, 1e-9));
    return additions_take(all, word);
}

int answer_recipe(const additions *added, double volume_l, double to_pct, bool json) {
    additions all = {0};
    double sugar_kg = NAN;
    jl_recipe recipe;
    int bad = EXIT_DONE;
    for (size_t i = 0; i < added->count && bad == EXIT_DONE; i++)
        bad = additions_take(&all, need(strdup(added->words[i])));
    if (bad == EXIT_DONE && !isnan(to_pct)) bad = add_sugar(&all, volume_l, to_pct, &sugar_kg);
    jl_status status = jl_recipe_of(all.in, all.count, volume_l, &recipe);
    if (bad == EXIT_DONE && status != JL_OK) bad = fail_recipe(status);
    additions_free(&all);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    next_command next = {"jarline start"};
    if (!isnan(to_pct)) show_number(s, "sugar_kg", "Sugar still to go in", sugar_kg, 2, "kg");
    if (!isnan(to_pct) && sugar_kg == 0)
        show_remark(s, "It comes to that strength already: no sugar is to go in.");
    show_recipe(s, &recipe);
    char volume[32];
    snprintf(volume, sizeof volume, "%.4gL", recipe.volume_l);
    next_word(&next, "WASH.csv");
    next_option(&next, "wash", volume);
    for (size_t i = 0; i < added->count; i++) next_option(&next, "add", added->words[i]);
    snprintf(volume, sizeof volume, "%.2fkg sugar", sugar_kg);
    if (sugar_kg > 0.005) next_option(&next, "add", volume);
    show_next_command(s, &next);
    return show_close(s, EXIT_DONE);
}

/* ---- start ---- */

typedef struct start_words {
    char *wash, *title, *when, *add;
    setting_options with;
    double correction_c; /* of the bench's thermometer */
    additions added;
    int json;
    double volume_l;
    jl_time started;
} start_words;

static void caution_wash(show *s) {
    show_caution(s, "A working wash is never sealed: its carbon dioxide bursts a closed vessel. It "
                    "gathers in cellars and closed rooms, where it smothers: air them.");
}

static int create_wash(const char *path, const start_words *w) {
    char started[JL_TIME_BYTES];
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    jl_fact_entry facts[4];
    size_t n = 0;
    clock_write(w->started, started);
    if (w->title != NULL) facts[n++] = (jl_fact_entry){.key = "title", .text = w->title};
    facts[n++] = (jl_fact_entry){.key = "started", .text = started};
    facts[n++] = (jl_fact_entry){.key = "wash_l", .values = {w->volume_l}, .count = 1};
    if (w->correction_c != 0)
        facts[n++] = (jl_fact_entry){
            .key = "thermometer_correction_c", .values = {w->correction_c}, .count = 1};
    jl_wash_entry *entries = need(calloc(w->added.count + 1, sizeof *entries));
    for (size_t i = 0; i < w->added.count; i++)
        entries[i] = (jl_wash_entry){.time = w->started, .temp_c = NAN, .add = w->added.words[i]};
    jl_status status =
        jl_wash_log_create(path, facts, n, entries, w->added.count, &fault, &trouble);
    free(entries);
    return status == JL_OK ? EXIT_DONE : fail_write(path, status, trouble, &fault, "started");
}

static int answer_start(const char *path, const start_words *w) {
    jl_recipe recipe;
    jl_status status = jl_recipe_of(w->added.in, w->added.count, w->volume_l, &recipe);
    if (status != JL_OK && status != JL_MISSING)
        return fail_argument("--wash", w->wash, JL_RANGE,
                             "a volume in which what goes in makes 1.180 SG or less");
    int bad = create_wash(path, w);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(w->json != 0);
    next_command next = {"jarline record"};
    if (status == JL_OK) show_recipe(s, &recipe);
    show_text(s, "log", NULL, path);
    show_number(s, "wash_l", status == JL_OK ? NULL : "Wash, at 20 °C", w->volume_l, 2, "L");
    show_written_path(s, path);
    wash_assume_correction(s, w->correction_c);
    if (status != JL_OK)
        show_note(s, "What went in (--add \"6kg sugar\") gives the strength and the gravities to "
                     "expect.");
    caution_wash(s);
    next_word(&next, path);
    next_word(&next, "GRAVITY");
    next_word(&next, "TEMPERATURE");
    show_next_command(s, &next);
    show_on_disk(s, "the new log is in %s", path);
    return show_close(s, EXIT_DONE);
}

static int run_start(start_words *w, const args *a) {
    jl_settings bench;
    w->started = clock_now();
    if (a->count != 1) return fail_count(a, 1, "one file to be made, as WASH.csv");
    w->with.log = a->words[0];
    int bad = instruments_read(&w->with, &bench);
    if (bad != 0) return bad;
    w->correction_c = jl_setting_value(&bench, JL_KEY_THERMOMETER_CORRECTION);
    bad = arg_above_zero("--wash", w->wash, JL_VOLUME, "a volume above 0, as 60L", &w->volume_l);
    if (bad == 0 && w->when != NULL) bad = clock_read("--time", w->when, &w->started);
    return bad == 0 ? answer_start(a->words[0], w) : bad;
}

bool read_with_additions(args *a, char **add, additions *list) {
    const struct poptOption *option;
    while ((option = args_next(a)) != NULL) {
        if (option->arg != add) {
            if (!args_once(a, option)) return false;
            continue;
        }
        char *word = *add;
        *add = NULL;
        a->exit_status = additions_take(list, word);
        if (a->exit_status != EXIT_DONE) return false;
    }
    return args_finish(a);
}

int start_wash(int argc, const char **argv) {
    start_words w = {0};
    const struct poptOption table[] = {
        OPTION("wash", &w.wash, "VOLUME", "a log of a wash of so much, at 20 °C"),
        OPTION("add", &w.add, "INGREDIENT", "what went in, once for each: '6kg sugar'"),
        OPTION("title", &w.title, "TEXT", "a name for the wash"),
        OPTION("time", &w.when, "TIME", "when it was made up (now)"),
        BENCH_OPTION(w.with),
        JSON_LAST(&w.json),
    };
    args a;
    args_begin(&a, argc, argv, table, "WASH.csv --wash VOLUME [--add INGREDIENT ...]",
               "A new log of a wash; 'record' writes gravities and steps into it.");
    a.of_wash = "--wash 60L";
    if (read_with_additions(&a, &w.add, &w.added)) a.exit_status = run_start(&w, &a);
    additions_free(&w.added);
    return args_close(&a);
}

/* ---- record ---- */

typedef struct record_words {
    char *step, *during, *add, *note, *when;
    setting_options with;
    int undo, json;
    char gravity[JL_GRAVITY_TEXT_BYTES];
    jl_wash_entry entry;
} record_words;

/* "settle 4d": a step that is known, and how long it takes, as behind their options. */
static bool take_step(record_words *w, const char *word) {
    jl_quantity q;
    char **to = w->step == NULL ? &w->step : w->during == NULL ? &w->during : NULL;
    bool fits = to == &w->step ? !isnan(jl_wash_usual_wait_s(word))
                               : jl_quantity_read(word, JL_DURATION, &q) == JL_OK;
    if (to != NULL && fits) *to = need(strdup(word));
    return to != NULL && fits;
}

/* As a wash's is, of which 12 is none. */
static bool is_near_water(jl_quantity gravity) {
    return fabs(gravity.value - 1) < 0.3;
}

static int read_word(record_words *w, const char *word) {
    jl_quantity q, t;
    bool temp = jl_quantity_read(word, JL_TEMPERATURE, &t) == JL_OK;
    bool gravity = jl_quantity_read(word, JL_GRAVITY, &q) == JL_OK && w->entry.gravity == NULL;
    if (gravity && is_bare_number(word) && !is_near_water(q)) return fail_wash_number(word);
    if (gravity) {
        jl_gravity_write(word, w->gravity);
        w->entry.gravity = w->gravity;
        return 0;
    }
    if (take_step(w, word)) return 0;
    if (isnan(w->entry.temp_c) && (temp || is_bare_number(word)))
        return arg_value("the temperature", word, JL_TEMPERATURE, &w->entry.temp_c);
    return refuse(
        "'%s': expected a gravity and a temperature, as 1.012 21C; a step is --step settle "
        "--during 4d, and what went in --add '2kg sugar'",
        word);
}

static int read_reading(const args *a, record_words *w) {
    w->entry.temp_c = NAN;
    for (size_t i = 1; i < a->count; i++) {
        int bad = read_word(w, a->words[i]);
        if (bad != 0) return bad;
    }
    if (!isnan(w->entry.temp_c) && !jl_wash_temp_ok(w->entry.temp_c))
        return refuse("the temperature: out of range; expected " JL_WASH_TEMP_FORMS);
    return 0;
}

static int read_row(const args *a, record_words *w) {
    jl_wash_entry *e = &w->entry;
    jl_ingredient in;
    e->time = clock_now();
    int bad = read_reading(a, w);
    if (bad == 0 && w->when != NULL) bad = clock_read("--time", w->when, &e->time);
    if (bad != 0) return bad;
    if ((e->gravity != NULL) + (w->step != NULL) + (w->add != NULL) != 1)
        return refuse("expected one thing at a time: a gravity, as 1.012 21C, --step, as --step "
                      "settle, or --add, as --add '2kg sugar'");
    if (w->during != NULL && w->step == NULL)
        return refuse("--during goes with --step, as --step settle --during 4d");
    double during_s;
    bad = arg_value("--during", w->during, JL_DURATION, &during_s);
    if (bad != 0) return bad;
    jl_status status = w->add == NULL ? JL_OK : jl_ingredient_read(w->add, strlen(w->add), &in);
    if (status != JL_OK) return fail_add(w->add, status);
    e->step = w->step;
    e->duration = w->during;
    e->add = w->add;
    e->note = w->note;
    return 0;
}

static void show_strength_so_far(show *s, const jl_wash_log *log, const jl_settings *bench) {
    size_t count;
    jl_wash wash = JL_WASH;
    jl_wash_strength one;
    jl_wash_log_readings(log, &count);
    if (count < 1 || jl_wash_log_wash(log, &wash) != JL_OK) return;
    if (!wash.final.known) return; /* nothing has fermented */
    if (jl_wash_strength_of(&wash, bench, &one) != JL_OK) return;
    show_number(s, "strength_pct", "Strength by now, at 20 °C", one.strength_pct, 1, "% vol");
    show_number(s, "strength_expanded_pct", "  ± (k = 2)", JL_COVERAGE_K * one.strength_u_pct,
                digits_of_expanded(JL_COVERAGE_K * one.strength_u_pct) + EXACT, "% vol");
}

static void show_to_expect(show *s, const char *label, double strength_pct, double u_pct) {
    double expanded_pct = JL_COVERAGE_K * u_pct;
    show_number(s, "expected_strength_pct", label, strength_pct, 1, "% vol");
    show_number(s, "expected_strength_expanded_pct", "  ± (k = 2)", expanded_pct,
                digits_of_expanded(expanded_pct) + EXACT, "% vol");
}

/* Of the first gravity, or where more went in: what the wash will come to, by what went in, else by that
 * gravity as the original and the usual final one. */
static void show_expected_strength(show *s, const jl_wash_log *log, const jl_settings *bench,
                                   bool fed) {
    size_t count;
    char label[64];
    jl_recipe recipe;
    jl_wash wash = JL_WASH;
    jl_wash_strength one;
    const double end_sg = JL_FINISH_RULE.expected_sg;
    const jl_wash_reading *first = jl_wash_log_readings(log, &count);
    if ((count != 1 && !fed) || count == 0 || jl_wash_log_wash(log, &wash) != JL_OK) return;
    if (jl_wash_log_recipe(log, &recipe) == JL_OK) {
        if (!fed)
            show_to_expect(s, "Strength when all has fermented", recipe.strength_pct,
                           recipe.strength_u_pct);
        return;
    }
    double original_sg = jl_wash_log_raised_sg(log, first);
    wash.later_kg_l = 0;
    wash.original = (jl_wash_gravity){true, {original_sg, JL_UNIT_SG}, JL_STRENGTH_C};
    wash.final = (jl_wash_gravity){true, {end_sg, JL_UNIT_SG}, JL_STRENGTH_C};
    if (!(original_sg > end_sg) || jl_wash_strength_of(&wash, bench, &one) != JL_OK) return;
    snprintf(label, sizeof label, "Strength when it is at %.3f, at 20 °C", end_sg);
    show_to_expect(s, label, one.strength_pct, one.strength_u_pct);
}

/* e: the row that was written, of which the answer has said what is odd; NULL: none. */
static bool show_by_now(show *s, const jl_wash_log *log, const jl_settings *bench, jl_time now,
                        const jl_wash_entry *e) {
    show_strength_so_far(s, log, bench);
    show_expected_strength(s, log, bench, e != NULL && e->add != NULL);
    wash_log_warn(s, log, NAN, e != NULL && e->gravity != NULL);
    wash_assume_correction(s, jl_wash_log_correction_c(log));
    return wash_log_show_by_now(s, log, now);
}

bool wash_show_so_far(show *s, const jl_wash_log *log, const jl_settings *bench, jl_time now) {
    return show_by_now(s, log, bench, now, NULL);
}

void wash_question_gravity(const jl_wash_log *log, const jl_wash_reading *last, double sg,
                           jl_time time, char *text, size_t size) {
    text[0] = '\0';
    if (last == NULL) return;
    double raised_sg = jl_wash_log_raised_sg(log, last);
    double before_sg = sg > last->sg ? fmin(sg, raised_sg) : last->sg; /* sg: raised is not known */
    double days = last->has_time ? (double)(time.unix_s - last->time.unix_s) / JL_DAY_S : NAN;
    char raised[64] = ", and no fermentation raises it";
    if (jl_wash_sg_follows(before_sg, sg, days)) return;
    if (raised_sg > last->sg)
        snprintf(raised, sizeof raised, ", and what went in since raises it to %.3f", raised_sg);
    snprintf(text, size, "Gravity %.3f? The reading before had %.3f%s.", sg, last->sg,
             sg > last->sg ? raised : "");
}

bool wash_gravity_can_be(const jl_wash_log *log, double sg, char *text, size_t size) {
    double most_sg = jl_wash_log_most_sg(log);
    if (!(sg > most_sg)) return true;
    snprintf(
        text, size,
        "%.3f is above what this wash began with; expected %.3f or less. More sugar is written "
        "with add, and a wrong row is undone with undo.",
        sg, most_sg);
    return false;
}

/* Of the command line, where nothing is asked. */
static void warn_of_wait(show *s, const jl_wash_log *log, const char *step) {
    jl_time until;
    if (jl_wash_log_waits_twice(log, &until))
        show_warning(s, "%s is in the log already, until %s; --undo undoes this row.", step,
                     MOMENT(until));
}

static void remark_no_temp(show *s, const jl_settings *bench) {
    char text[120];
    const jl_hydrometer hydrometer = jl_settings_to_hydrometer(bench);
    phrase_at(text, sizeof text, "Without a temperature the gravity counts as read",
              hydrometer.calibrated_c);
    show_remark(s, "%s, the hydrometer's own.", text);
}

static void warn_of_gravity(show *s, const jl_wash_log *log) {
    char text[160];
    size_t count;
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    if (count < 2) return;
    wash_question_gravity(log, &r[count - 2], r[count - 1].sg, r[count - 1].time, text,
                          sizeof text);
    if (text[0] != '\0') show_warning(s, "%s --undo undoes the row.", text);
}

static int answer_record(const char *path, const jl_wash_log *log, const jl_wash_entry *e,
                         bool timed, const jl_settings *bench, bool json) {
    size_t count;
    show *s = show_open(json);
    next_command next = {"jarline wash"};
    const jl_wash_reading *r = jl_wash_log_readings(log, &count);
    show_text(s, "log", NULL, path);
    show_text(s, "recorded", "Recorded",
              e->add != NULL    ? e->add
              : e->step != NULL ? e->step
                                : e->gravity);
    if (e->gravity != NULL)
        show_number(s, "gravity_sg", "Gravity, 20/20 °C", r[count - 1].sg, 4, "SG");
    if (timed) show_text(s, NULL, "Time", MOMENT(e->time));
    if (e->note != NULL) show_text(s, NULL, "Note", e->note);
    if (e->gravity != NULL) warn_of_gravity(s, log);
    if (e->gravity != NULL && isnan(e->temp_c)) remark_no_temp(s, bench);
    if (e->step != NULL) warn_of_wait(s, log, e->step);
    jl_recipe recipe;
    if (e->add != NULL && jl_wash_log_recipe(log, &recipe) == JL_OK) show_recipe(s, &recipe);
    show_by_now(s, log, bench, e->time, e);
    next_word(&next, path);
    show_next_command(s, &next);
    show_on_disk(s, "the row is in %s", path);
    return show_close(s, EXIT_DONE);
}

static int check_order(const jl_wash_log *log, const jl_wash_entry *entry) {
    jl_time last;
    if (!jl_wash_log_last_time(log, &last) || entry->time.unix_s >= last.unix_s) return EXIT_DONE;
    return refuse("%s lies before the last row, of %s, and a row is written below it. Nothing was "
                  "recorded",
                  MOMENT(entry->time), MOMENT(last));
}

/* What cannot be read is for who writes it. */
static int check_gravity(const jl_wash_log *log, const jl_wash_entry *e,
                         const jl_hydrometer *hydrometer) {
    char text[200];
    jl_quantity q;
    double sg;
    if (e->gravity == NULL || jl_quantity_read(e->gravity, JL_GRAVITY, &q) != JL_OK ||
        jl_gravity_at_20(hydrometer, q, isnan(e->temp_c) ? hydrometer->calibrated_c : e->temp_c,
                         &sg) != JL_OK ||
        wash_gravity_can_be(log, sg, text, sizeof text))
        return EXIT_DONE;
    return refuse("the gravity: %s Nothing was recorded", text);
}

int wash_record_row(const char *path, const jl_wash_entry *entry, bool timed,
                    const jl_settings *bench, const jl_hydrometer *hydrometer, bool json) {
    jl_wash_log *log;
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    jl_status status = jl_wash_log_open(path, LOCK_WAIT_S, hydrometer, &log, &fault, &trouble);
    if (status != JL_OK) return fail_write(path, status, trouble, &fault, "recorded");
    assume_typed_times(path, jl_wash_log_typed_times(log));
    int bad = check_order(log, entry);
    if (bad == EXIT_DONE) bad = check_gravity(log, entry, hydrometer);
    if (bad != EXIT_DONE) {
        jl_wash_log_free(log);
        return bad;
    }
    status = jl_wash_log_write(log, entry, &fault);
    bad = status == JL_OK ? answer_record(path, log, entry, timed, bench, json)
                          : fail_write(path, status, jl_wash_log_trouble(log), &fault, "recorded");
    jl_wash_log_free(log);
    return bad;
}

static int answer_undone(const char *path, const jl_wash_log *log, const char *row,
                         const jl_settings *bench, bool json) {
    show *s = show_open(json);
    show_text(s, "log", NULL, path);
    show_text(s, "undone", "Undone", row);
    wash_show_so_far(s, log, bench, clock_now());
    show_remark(s, "The row stays in the file, marked as undone.");
    show_on_disk(s, "the row is undone in %s", path);
    return show_close(s, EXIT_DONE);
}

int wash_undo(const char *path, const jl_settings *bench, bool json) {
    jl_wash_log *log;
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    char row[JL_WASH_ROW_BYTES];
    const jl_hydrometer hydrometer = jl_settings_to_hydrometer(bench);
    jl_status status = jl_wash_log_open(path, LOCK_WAIT_S, &hydrometer, &log, &fault, &trouble);
    if (status != JL_OK) return fail_write(path, status, trouble, &fault, "undone");
    assume_typed_times(path, jl_wash_log_typed_times(log));
    status = jl_wash_log_undo(log, row, &fault);
    int bad = status == JL_OK ? answer_undone(path, log, row, bench, json)
              : status == JL_MISSING
                  ? fail(EXIT_NO, "%s has no row to undo", path)
                  : fail_write(path, status, jl_wash_log_trouble(log), &fault, "undone");
    jl_wash_log_free(log);
    return bad;
}

static int run_undo(record_words *w, const args *a) {
    jl_settings bench;
    if (a->count != 1 || w->step != NULL || w->during != NULL || w->add != NULL ||
        w->note != NULL || w->when != NULL)
        return refuse("--undo stands alone: it undoes the last row of the wash's log");
    w->with.log = a->words[0];
    int bad = instruments_read(&w->with, &bench);
    return bad == 0 ? wash_undo(a->words[0], &bench, w->json != 0) : bad;
}

static int run_record(record_words *w, const args *a) {
    jl_settings bench;
    if (w->undo != 0) return run_undo(w, a);
    int bad = read_row(a, w);
    const char *path = bad == 0 ? a->words[0] : NULL;
    w->with.log = path;
    if (bad == 0) bad = instruments_read(&w->with, &bench);
    if (bad != 0) return bad;
    const jl_hydrometer hydrometer = jl_settings_to_hydrometer(&bench);
    return wash_record_row(path, &w->entry, w->when != NULL, &bench, &hydrometer, w->json != 0);
}

int record_wash(int argc, const char **argv) {
    record_words w = {0};
    const struct poptOption table[] = {
        OPTION("step", &w.step, "NAME", "degas, clear, settle or a word of your own"),
        OPTION("during", &w.during, "DURATION", "how long the step takes: 24h, 2d"),
        OPTION("add", &w.add, "INGREDIENT", "what went in: '2kg sugar'"),
        OPTION("note", &w.note, "TEXT", "smell, taste, anything"),
        OPTION("time", &w.when, "TIME", "when it was (now)"),
        FLAG("undo", &w.undo, "undo the last row"),
        BENCH_OPTION(w.with),
        JSON_LAST(&w.json),
    };
    args a;
    args_begin(&a, argc, argv, table, "WASH.csv [GRAVITY TEMP]",
               "Writes down a day of a wash: WASH.csv 1.012 21C, or what was done.");
    a.of_wash = "WASH.csv";
    if (args_take(&a)) a.exit_status = run_record(&w, &a);
    return args_close(&a);
}

/* ---- which of them ---- */

bool is_wash_start(int argc, const char **argv) {
    for (int i = 1; i < argc; i++)
        if (strcmp(argv[i], "--wash") == 0 || strncmp(argv[i], "--wash=", 7) == 0) return true;
    return false;
}

bool is_bare_number(const char *word) {
    size_t length = strlen(word);
    return length > 0 && strspn(word, "0123456789.,") == length;
}

int fail_wash_number(const char *word) {
    double same = jl_gravity_meant(word);
    char guess[40] = "", meant[JL_GRAVITY_UNITS_BYTES];
    if (jl_gravity_units_meant(word, meant))
        return refuse("'%s': expected its unit: %s", word, meant);
    if (!isnan(same)) snprintf(guess, sizeof guess, "; was %.3f meant?", same);
    return refuse("'%s': expected a gravity from 0.970 to 1.180 and a temperature, as 1.012 21C%s",
                  word, guess);
}

/* "1012" alone is a jar's volume without its unit. */
static bool is_gravity(const char *word) {
    jl_quantity q;
    return jl_quantity_read(word, JL_GRAVITY, &q) == JL_OK &&
           (q.unit == JL_UNIT_PLATO || is_near_water(q)) && strpbrk(word, ".,PpSs") != NULL;
}

/* Not "2kg sugar". */
static bool is_jar(int argc, const char **argv) {
    jl_quantity q;
    bool size = jl_quantity_read(argv[2], JL_VOLUME, &q) == JL_OK ||
                jl_quantity_read(argv[2], JL_MASS, &q) == JL_OK;
    return size && (argc < 4 || argv[3][0] == '-' || jl_is_digit(argv[3][0]));
}

/* --undo and --help are a run's and a wash's: the log says whose. */
static bool is_of_a_wash(int argc, const char **argv) {
    bool either = false, wash = false;
    for (int i = 1; i < argc; i++)
        either = either || strcmp(argv[i], "--undo") == 0 || strcmp(argv[i], "--help") == 0 ||
                 strcmp(argv[i], "-h") == 0;
    for (int i = 1; i < argc && either; i++)
        wash = wash || (argv[i][0] != '-' && file_kind_of(argv[i]) == FILE_WASH);
    return wash;
}

/* A jar's figures have units; a bare gravity is none of them. A log is opened once for a jar: it is looked
 * into only where the words are those of neither. */
bool is_wash_record(int argc, const char **argv) {
    static const char *const OPTIONS[] = {"--step", "--during", "--add"};
    for (int i = 1; i < argc; i++) {
        for (size_t o = 0; o < sizeof OPTIONS / sizeof OPTIONS[0]; o++) {
            size_t length = strlen(OPTIONS[o]);
            if (strncmp(argv[i], OPTIONS[o], length) == 0 &&
                (argv[i][length] == '=' || argv[i][length] == '\0'))
                return true;
        }
        if (i > 1 && argv[i - 1][0] != '-' && argv[i][0] != '-' && is_gravity(argv[i])) return true;
    }
    if (is_of_a_wash(argc, argv)) return true;
    bool words = argc > 2 && argv[1][0] != '-' && argv[2][0] != '-' && !is_jar(argc, argv);
    return words && file_kind_of(argv[1]) == FILE_WASH;
}
