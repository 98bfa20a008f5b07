/* cut: which jars are what, tried on paper.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/output.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "input/logfile.h"
#include "input/part.h"
#include "run/run.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

/* ---- What a choice comes to ---- */

/* The jars of a log and a fraction for each. */
typedef struct cut_choice {
    jl_run *run;
    const jl_jar *jars;
    size_t count;
    jl_fraction *fractions;
    jl_cut_rules rules; /* those of a suggestion */
} cut_choice;

/* What is to be made of the hearts. */
typedef struct bottling {
    const char *to_text; /* NULL: not asked for */
    double target;       /* mass fraction */
    double bottle_l;     /* 0: none */
} bottling;

/* The hearts of the choice; also without one jar, or with one more. */
static jl_total hearts_of(const cut_choice *c, size_t at, bool with) {
    jl_fraction had = c->fractions[at];
    c->fractions[at] = with ? JL_HEARTS : JL_UNDECIDED;
    jl_total hearts = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    c->fractions[at] = had;
    return hearts;
}

/* ---- bottling strength ---- */

/* False when the hearts are no stronger than that. */
static bool dilute(jl_spirit hearts, const bottling *b, jl_spirit *water, double *volume_l) {
    if (jl_bring_to(hearts, 0, b->target, water) != JL_OK) return false;
    *volume_l = jl_volume_l(jl_blend(hearts, *water), JL_STRENGTH_C);
    return true;
}

enum { IN_BULK = 1, IN_BOTTLES = 2 };

static const figure BOTTLING[] = {
    {"volume_l", "Volume at 20 °C", "L", 3},
    {"water_kg", NULL, "kg", 4},
    {"water_scale_kg", "Water, on a scale", "kg", 3},
    {"water_l", "or by volume at 20 °C", "L", 3},
    {"bottles", "Full bottles", "", 0, .of = IN_BOTTLES},
    {"left_over_l", "Left over", "L", 3, .of = IN_BOTTLES},
};
enum { BOTTLING_COUNT = sizeof BOTTLING / sizeof BOTTLING[0] };

static void show_bottling_figures(show *s, jl_spirit water, double volume_l, double bottle_l) {
    bool in_bottles = bottle_l > 0;
    jl_bottles bottles = in_bottles ? jl_fill_bottles(volume_l, bottle_l) : (jl_bottles){0};
    double values[BOTTLING_COUNT] = {volume_l,
                                     water.water_kg,
                                     jl_scale_kg(water, JL_STRENGTH_C),
                                     jl_volume_l(water, JL_STRENGTH_C),
                                     bottles.full,
                                     bottles.left_over_l};
    figures f = {BOTTLING, BOTTLING_COUNT, values, .of = in_bottles ? IN_BOTTLES : IN_BULK};
    show_figures(s, &f, 0, BOTTLING_COUNT);
}

static void show_bottling(show *s, jl_spirit hearts, const bottling *b) {
    char heading[96];
    jl_spirit water;
    double volume_l;
    if (!dilute(hearts, b, &water, &volume_l)) {
        show_warning(s,
                     "The hearts of this choice are no stronger than %s: they cannot be brought to "
                     "it with water.",
                     b->to_text);
        return;
    }
    snprintf(heading, sizeof heading, "The hearts at %s", b->to_text);
    show_group(s, "bottling", heading);
    show_bottling_figures(s, water, volume_l, b->bottle_l);
    show_group_end(s);
}

/* ---- one jar more or less ---- */

static void show_alternative(show *s, const char *what, const jl_total *p, const jl_total *chosen,
                             const bottling *b) {
    jl_spirit water;
    double volume_l = NAN;
    bool any = p->jars > 0;
    if (b->to_text != NULL && any && !dilute(p->spirit, b, &water, &volume_l)) volume_l = NAN;
    show_cells(s, CELLS(V(what), V(any ? jl_volume_l(p->spirit, JL_STRENGTH_C) : 0),
                        V(any ? jl_spirit_strength_pct(p->spirit) : NAN),
                        V(any && chosen->jars > 0 ? jl_spirit_strength_pct(p->spirit) -
                                                        jl_spirit_strength_pct(chosen->spirit)
                                                  : NAN),
                        V(any ? jl_pure_alcohol_l(p->spirit) : 0),
                        v_with(volume_l, digits_of(volume_l, 3, "L")),
                        V(b->bottle_l > 0 ? jl_fill_bottles(volume_l, b->bottle_l).full : NAN)));
}

static void show_change(show *s, const cut_choice *c, const jl_total *chosen, const bottling *b,
                        const char *verb, size_t at, bool more) {
    char what[48];
    jl_total p = hearts_of(c, at, more);
    if (more)
        snprintf(what, sizeof what, "%s jar %s (%s)", verb, c->jars[at].name,
                 jl_fraction_name(c->fractions[at]));
    else
        snprintf(what, sizeof what, "%s jar %s", verb, c->jars[at].name);
    show_alternative(s, what, &p, chosen, b);
}

static void show_alternatives(show *s, const cut_choice *c, const bottling *b) {
    size_t first = c->count, last = 0;
    for (size_t i = 0; i < c->count; i++) {
        if (c->fractions[i] != JL_HEARTS) continue;
        if (first == c->count) first = i;
        last = i;
    }
    if (first == c->count) return;
    const column columns[] = {
        {"alternative", "the hearts", "", 24, 0, COLUMN_WORDS},
        {"volume_l", "volume", "L, 20 °C", 8, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"strength_change_pct", "change", "% vol", 6, 1, COLUMN_NUMBERS, .difference = true},
        {"pure_alcohol_l", NULL, "L", 7, 3, COLUMN_NUMBERS},
        {"bottling_l", b->to_text == NULL ? NULL : "at", b->to_text == NULL ? "" : b->to_text, 8, 3,
         COLUMN_NUMBERS},
        {"bottles", b->bottle_l > 0 ? "bottles" : NULL, "", 7, 0, COLUMN_NUMBERS},
    };
    jl_total chosen = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    show_heading(s, "One jar more or less");
    show_table(s, "alternatives", columns, sizeof columns / sizeof columns[0]);
    show_table_above(s);
    show_alternative(s, "as chosen", &chosen, &chosen, b);
    if (first > 0) show_change(s, c, &chosen, b, "with", first - 1, true);
    show_change(s, c, &chosen, b, "without", first, false);
    if (last > first) show_change(s, c, &chosen, b, "without", last, false);
    if (last + 1 < c->count) show_change(s, c, &chosen, b, "with", last + 1, true);
}

/* The fractions of the choice, the hearts at bottling strength, and what one jar more or less would
 * change. */
static void show_choice(show *s, const cut_choice *c, const bottling *b) {
    const jl_tally tally = jl_run_tally_of(c->run, c->fractions);
    const jl_total hearts = tally.of[JL_HEARTS];
    if (hearts.jars > 0) show_hearts_line(s, hearts.spirit, NULL);
    show_tally(s, &tally, c->jars, c->count, c->fractions, jl_run_recovery(c->run)->charge);
    if (hearts.jars == 0 && b->to_text != NULL)
        show_warning(s, "No jar is hearts in this choice, so there is nothing to bottle.");
    if (hearts.jars > 0 && b->to_text != NULL) show_bottling(s, hearts.spirit, b);
    show_alternatives(s, c, b);
}

/* ---- a suggestion ---- */

static void assume_rule(show *s, const cut_choice *c, jl_key_id id, const jl_cut *rule) {
    bool stated = jl_is_stated(jl_run_settings(c->run), id);
    show_assumption(s, "%s: %s (%s%s).",
                    id == JL_KEY_FORESHOTS ? "Foreshots"
                    : id == JL_KEY_HEADS   ? "Heads"
                                           : "Hearts until",
                    RULE(rule),
                    stated                   ? "as the log states"
                    : id == JL_KEY_FORESHOTS ? "default: "
                                             : "default, ",
                    stated ? "" : jl_keys[id].source);
}

/* The rules of a suggestion, with their source. */
static void assume_cut_rules(show *s, const cut_choice *c) {
    assume_rule(s, c, JL_KEY_FORESHOTS, &c->rules.foreshots);
    assume_rule(s, c, JL_KEY_HEADS, &c->rules.heads);
    assume_rule(s, c, JL_KEY_HEARTS_UNTIL, &c->rules.hearts);
    show_assumption(s, "A jar goes by its middle and by its own strength.");
}

/* ---- the log ---- */

static void free_choice(cut_choice *c) {
    free(c->fractions);
    jl_run_free(c->run);
    *c = (cut_choice){0};
}

static int take_run(const char *path, cut_choice *c) {
    jl_fault fault;
    say_torn(path, jl_run_torn_line(c->run));
    if (jl_run_some(c->run, &fault) != JL_OK) return fail_fault(path, &fault);
    c->jars = jl_run_jars(c->run, &c->count);
    c->fractions = need(calloc(c->count + 1, sizeof *c->fractions));
    for (size_t i = 0; i < c->count; i++) c->fractions[i] = c->jars[i].fraction;
    return EXIT_DONE;
}

/* ---- the choice ---- */

/* The words of the command line. */
typedef struct cut_words {
    char *words[JL_FRACTIONS]; /* of each fraction, NULL where none are given */
    ranges of[JL_FRACTIONS];
} cut_words;

/* A jar that is named must be there: a slip would otherwise move the cut. */
static int check_named(const jl_run *run, const char *option, const ranges *r) {
    char name[JL_JAR_NAME_BYTES];
    if (ranges_stand(r, run, name)) return EXIT_DONE;
    return refuse("--%s: the log has no jar %s that counts", option, name);
}

static int choose_jar(const cut_words *w, const jl_jar *jar, jl_fraction *fraction) {
    bool named = false;
    for (int f = JL_FORESHOTS; f <= JL_TAILS; f++) {
        if (!ranges_have(&w->of[f], jar)) continue;
        if (named)
            return refuse("jar %s is both %s and %s; expected one of them", jar->name,
                          jl_fraction_name(*fraction), jl_fraction_name((jl_fraction)f));
        *fraction = (jl_fraction)f;
        named = true;
    }
    return EXIT_DONE;
}

static int choose(cut_words *w, cut_choice *c) {
    int bad = EXIT_DONE;
    for (int f = JL_FORESHOTS; f <= JL_TAILS && bad == EXIT_DONE; f++) {
        const char *option = jl_fraction_name((jl_fraction)f);
        if (w->words[f] == NULL) continue;
        bad = ranges_read(w->words[f], &w->of[f])
                  ? check_named(c->run, option, &w->of[f])
                  : refuse("--%s '%s': cannot be read; expected jars, as 4-11, 1,3 or 12-", option,
                           w->words[f]);
    }
    for (size_t i = 0; i < c->count && bad == EXIT_DONE; i++)
        bad = choose_jar(w, &c->jars[i], &c->fractions[i]);
    return bad;
}

static bool has_choice(const cut_words *w) {
    for (int f = JL_FORESHOTS; f <= JL_TAILS; f++)
        if (w->words[f] != NULL) return true;
    return false;
}

static int suggest(cut_choice *c) {
    jl_status status = jl_run_cut_rules(c->run, &c->rules);
    if (status == JL_OK) status = jl_run_suggest_cut(c->run, &c->rules, c->fractions);
    if (status == JL_OK) return EXIT_DONE;
    if (status == JL_MISSING)
        return fail(EXIT_NO, "--suggest: the log states no charge (charge_l, charge_strength_pct), "
                             "on which the rules rest");
    return fail(
        EXIT_NO,
        "--suggest: a charge of %s makes a strip run, which is kept whole for a second run and has "
        "no cut",
        AT_STRENGTH(jl_spirit_strength_pct(jl_run_recovery(c->run)->charge)));
}

/* ---- saving ---- */

/* Holds the log, so that the choice is one of the jars that it is written to. */
static int open_log(const char *path, jl_run **record) {
    jl_fault fault;
    jl_trouble trouble;
    if (strcmp(path, "-") == 0) return refuse("--save: expected a file, not '-'");
    jl_status status = jl_run_open(path, JL_WAIT_S, record, &fault, &trouble);
    if (status == JL_OK) {
        answer_by_log(path, *record);
        return EXIT_DONE;
    }
    return fault.line > 0 || fault.expected != NULL
               ? fail_fault(path, &fault)
               : fail_write(path, status, trouble, NULL, "saved");
}

static int save(const char *path, cut_choice *c, size_t *changed) {
    jl_fault fault;
    jl_status status = jl_run_mark(c->run, c->fractions, changed, &fault);
    if (status != JL_OK) return fail_write(path, status, jl_run_trouble(c->run), &fault, "saved");
    jl_run_release(c->run);
    c->jars = jl_run_jars(c->run, &c->count);
    return EXIT_DONE;
}

/* ---- the command ---- */

typedef struct cut_options {
    char *to, *bottle;
    int save, suggest, json;
    setting_options with;
} cut_options;

static void note_choice(show *s, const cut_choice *c, const cut_options *o, bool chosen) {
    assume_log_scales(s, c->run);
    if (o->suggest != 0) assume_cut_rules(s, c);
    if (o->suggest != 0)
        show_remark(s, "Nose and tongue decide where hearts begin and end, not this suggestion: it "
                       "knows volumes and strengths only.");
    if (o->suggest != 0 || chosen)
        show_remark(s, o->save != 0
                           ? "The choice is in the log now."
                           : "Nothing was written; --save writes the choice into the log.");
    show_caution(s, "Methanol is not confined to the first runnings. They smell of solvents and "
                    "are thrown away by custom, which does not show that the rest can be drunk.");
}

/* The choice into the log, and from there the hearts to the bottle. */
static void suggest_next(show *s, const char *path, const cut_choice *c, const cut_options *o,
                         const cut_words *w, bool chosen) {
    jl_total hearts = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    bool tried = o->save == 0 && (chosen || o->suggest != 0);
    next_command next = {"jarline"};
    next_word(&next, tried ? "cut" : "dilute");
    if (tried ? strcmp(path, "-") == 0 : hearts.jars == 0) return;
    if (tried) {
        next_word(&next, path);
        for (int f = JL_FORESHOTS; f <= JL_TAILS; f++)
            next_option(&next, jl_fraction_name((jl_fraction)f), w->words[f]);
        if (o->suggest != 0) next_word(&next, "--suggest");
        next_word(&next, "--save");
    } else {
        next_part(&next, path, jl_fraction_name(JL_HEARTS), hearts.spirit);
        next_option(&next, "to", o->to == NULL ? usual_bottling() : o->to);
        next_option(&next, "bottle", o->bottle);
    }
    show_next_command(s, &next);
}

/* Jars that an option's fraction keeps, as the log has them: whoever names all of its jars means others. */
static void warn_of_kept(show *s, const cut_choice *c, const cut_words *w) {
    for (int f = JL_FORESHOTS; f <= JL_TAILS; f++) {
        const jl_jar **kept = need(calloc(c->count + 1, sizeof(jl_jar *)));
        size_t count = 0;
        bytes names = {0};
        for (size_t i = 0; w->words[f] != NULL && i < c->count; i++)
            if (c->fractions[i] == (jl_fraction)f && !ranges_have(&w->of[f], &c->jars[i]))
                kept[count++] = &c->jars[i];
        write_jars(&names, kept, count, ", ");
        if (count > 0)
            show_warning(s, "%s %s: still %s, as the log has %s; an option names another fraction.",
                         count == 1 ? "Jar" : "Jars", names.data, jl_fraction_name((jl_fraction)f),
                         count == 1 ? "it" : "them");
        bytes_free(&names);
        free(kept);
    }
}

static int answer(const char *path, const cut_choice *c, const cut_options *o, const bottling *b,
                  const cut_words *w, size_t changed) {
    bool chosen = has_choice(w);
    show *s = show_open(o->json != 0);
    if (o->save != 0) {
        char text[64];
        snprintf(text, sizeof text, "%zu jar%s changed", changed, changed == 1 ? "" : "s");
        show_text_remark(s, "Saved: %s.", text);
        show_number(s, "saved_jars", NULL, (double)changed, 0, "");
        if (changed > 0) show_written_path(s, path);
    }
    show_choice(s, c, b);
    warn_of_kept(s, c, w);
    note_choice(s, c, o, chosen);
    suggest_next(s, path, c, o, w, chosen);
    if (o->save != 0) show_on_disk(s, "the choice is in %s", path);
    return show_close(s, EXIT_DONE);
}

/* Reads the log, chooses, and writes where that is asked for. */
static int choose_jars(const char *path, const cut_options *o, cut_words *w, cut_choice *c,
                       size_t *changed) {
    int bad = o->save != 0 ? open_log(path, &c->run) : run_read_log(path, &c->run);
    if (bad != EXIT_DONE) return bad;
    bad = take_run(path, c);
    if (bad == EXIT_DONE) bad = o->suggest != 0 ? suggest(c) : choose(w, c);
    if (bad == EXIT_DONE && o->save != 0) bad = save(path, c, changed);
    return bad;
}

/* The bench's bottle counts where there is a bottling strength. */
static int read_bottling(const cut_options *o, bottling *b) {
    jl_settings bench;
    *b = (bottling){.to_text = o->to};
    if (o->to == NULL && o->bottle != NULL)
        return refuse("--bottle: expected --to with it, the bottling strength");
    int bad = instruments_read(&o->with, &bench);
    if (bad == EXIT_DONE && o->to != NULL) bad = arg_target(o->to, &b->target);
    if (bad == EXIT_DONE && o->to != NULL) bad = arg_bottle(o->bottle, &bench, &b->bottle_l);
    return bad;
}

static int run_cut(const args *a, const cut_options *o, cut_words *w) {
    bottling b;
    cut_choice c = {0};
    size_t changed = 0;
    bool chosen = has_choice(w);
    if (a->count != 1) return fail_count(a, 1, "one run log, as RUN.csv, and jars as --hearts 3-9");
    if (o->suggest != 0 && chosen)
        return refuse("expected a choice of jars or --suggest, not both");
    if (o->save != 0 && !chosen && o->suggest == 0)
        return refuse("--save: expected a choice to save, as --hearts 4-11");
    int bad = read_bottling(o, &b);
    if (bad == EXIT_DONE) bad = choose_jars(a->words[0], o, w, &c, &changed);
    if (bad == EXIT_DONE) bad = answer(a->words[0], &c, o, &b, w, changed);
    for (int f = 0; f < JL_FRACTIONS; f++) ranges_free(&w->of[f]);
    free_choice(&c);
    return bad;
}

int command_cut(int argc, const char **argv) {
    cut_words w = {0};
    cut_options o = {0};
    const struct poptOption table[] = {
        OPTION("foreshots", &w.words[JL_FORESHOTS], "JARS", "jars that are foreshots: 1"),
        OPTION("heads", &w.words[JL_HEADS], "JARS", "heads: 2-3"),
        OPTION("hearts", &w.words[JL_HEARTS], "JARS", "hearts: 4-9,11"),
        OPTION("tails", &w.words[JL_TAILS], "JARS", "tails: 12- is from 12 to the end"),
        OPTION("to", &o.to, "STRENGTH", "the hearts at this strength: 40%"),
        OPTION("bottle", &o.bottle, "VOLUME", "and in bottles of this size: 700mL"),
        FLAG("suggest", &o.suggest, "mark jars by the rules of a forecast"),
        FLAG("save", &o.save, "write the choice into the log"),
        BENCH_OPTION(o.with),
        JSON_LAST(&o.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv --heads 1-3 --hearts 4-11 --tails 12-",
                  "Tries a cut on paper: what each fraction comes to. Jars not named stay as\n"
                  "the log has them; nothing is written without --save.")) {
        o.with.log = a.words[0];
        a.exit_status = run_cut(&a, &o, &w);
    }
    return args_close(&a);
}
