/* tally: what a run gave, jar by jar and by fraction, and what became of its alcohol.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/assume.h"
#include "answer/balance.h"
#include "answer/diagnosis.h"
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/units.h"
#include "command.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/settings.h"
#include "jarline.h"
#include "keys/settings.h"
#include "log/columns.h"
#include "run/run.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- What a log states that is not known, twice, or odd ---- */

static bool states(const jl_facts *facts, jl_key_id id) {
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        if (jl_key_of(fact, JL_IN_RUN) == id) return true;
    return false;
}

static void note_half_charge(show *s, const jl_facts *facts) {
    bool charge = states(facts, JL_KEY_CHARGE);
    if (charge != states(facts, JL_KEY_CHARGE_STRENGTH))
        show_warning(s, "The log states %s without %s: half a charge counts as none.",
                     charge ? "charge_l" : "charge_strength_pct",
                     charge ? "charge_strength_pct" : "charge_l");
}

/* Facts and columns that are not known, facts that stand more than once, and half a charge. */
static void note_passed_over(show *s, const jl_run *run) {
    const char *name;
    warn_of_facts(s, jl_run_facts(run), JL_IN_RUN, jl_run_columns(run)->line);
    note_half_charge(s, jl_run_facts(run));
    for (size_t i = 0; (name = jl_run_unknown_column(run, i)) != NULL; i++)
        show_warning(s, "The column '%s' is not known here, and was passed over.", name);
}

/* Infinite where none is stated yet. */
static double charge_of(const jl_facts *facts) {
    jl_quantity charge;
    const jl_fact_key *key = &jl_keys[JL_KEY_CHARGE].fact;
    return jl_facts_quantity(facts, key, &charge, NULL) == JL_OK ? charge.value : INFINITY;
}

/* Jars that hold so much by their volume, and another amount by their weight. */
static void note_two_amounts(show *s, const jl_run *run) {
    size_t count;
    double weighed_l;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        if (jl_run_amounts_differ(run, &jars[i], &weighed_l))
            show_warning(s,
                         "Jar %s has %.4g mL, and by its weight %.4g mL: the volume counts. "
                         "'jarline record --jar %s' with the right one corrects it.",
                         jars[i].name, 1000 * jars[i].volume_l, 1000 * weighed_l, jars[i].name);
}

/* Jars whose volume looks like one in another unit: below 5 ml, or more than the charge. */
static void note_odd_jars(show *s, const jl_run *run) {
    const jl_jar *small_first = NULL, *large_first = NULL;
    size_t count, small = 0;
    const jl_jar *jars = jl_run_jars(run, &count);
    double charge_l = charge_of(jl_run_facts(run));
    for (size_t i = 0; i < count; i++) {
        if (jars[i].volume_l < JL_JAR_SMALL_L && small++ == 0) small_first = &jars[i];
        if (jars[i].volume_l > charge_l && large_first == NULL) large_first = &jars[i];
    }
    if (small == 1)
        show_warning(s, "Jar %s has less than 5 mL: is its volume in the column's unit?",
                     small_first->name);
    if (small > 1)
        show_warning(s,
                     "%zu jars, from jar %s on, have less than 5 mL: are their volumes in the "
                     "column's unit?",
                     small, small_first->name);
    if (large_first != NULL)
        show_warning(s, "Jar %s has more than the charge had: is its volume in the column's unit?",
                     large_first->name);
}

/* ---- The figures ---- */

/* Logs with hearts; with a charge; in which all that is left was measured, or not; that state both
 * what was charged, each of them. */
enum { HEARTS = 1, CHARGED = 2, LEFT_ALL = 4, LEFT_NOT = 8, BALANCED = 16 };

/* Jars together are five figures, an amount three. */
enum {
    TOTAL,
    KEPT = TOTAL + 5,
    FEINTS = KEPT + 5,
    OF_HEARTS = FEINTS + 5,
    CHARGE = OF_HEARTS + 3,
    COLLECTED = CHARGE + 3,
    LEFT,
    LEFT_SOME = LEFT + 3,
    RECOVERED_PCT,
    MISSING,
    NOT_COLLECTED,
    RECOVERED,
    FIGURES
};

#define JARS_TOGETHER(place)                                                                       \
    [place] = {"jars_count", NULL, "", 0}, [(place) + 1] = {"volume_l", "Volume", "L", 3},         \
    [(place) + 2] = {"strength_pct", "Strength", "% vol", 2},                                      \
    [(place) + 3] = {"pure_alcohol_l", "Pure alcohol", "L", 3},                                    \
    [(place) + 4] = {"contraction_l", NULL, "L", 4}

static const figure LIST[FIGURES] = {
    [TOTAL] = {"jars_count", NULL, "", 0},
    [TOTAL + 1] = {"volume_l", "Volume", "L", 3, .brief = "volume", .alone = "All jars at 20 °C"},
    [TOTAL + 2] = {"strength_pct", "Strength", "% vol", 2, .brief = "strength",
                   .alone = "their strength"},
    [TOTAL + 3] = {"pure_alcohol_l", "Pure alcohol", "L", 3, .brief = "pure alcohol",
                   .alone = "their pure alcohol"},
    [TOTAL + 4] = {"contraction_l", NULL, "L", 4},
    JARS_TOGETHER(KEPT),
    JARS_TOGETHER(FEINTS),
    [OF_HEARTS] = {"hearts_l", "Hearts at 20 °C", "L", 3, .of = HEARTS, .brief = "hearts"},
    [OF_HEARTS + 1] = {"hearts_pct", "their strength", "% vol", 2, .of = HEARTS,
                       .brief = "their strength"},
    [OF_HEARTS + 2] = {"hearts_pure_alcohol_l", "their pure alcohol", "L", 3, .of = HEARTS,
                       .brief = "their alcohol"},
    [CHARGE] = {"volume_l", NULL, "L", 3},
    [CHARGE + 1] = {"strength_pct", NULL, "% vol", 2},
    [CHARGE + 2] = {"pure_alcohol_l", "Pure alcohol charged", "L", 3},
    [COLLECTED] = {NULL, "  collected", "L", 3},
    [LEFT] = {"volume_l", NULL, "L", 3},
    [LEFT + 1] = {"strength_pct", NULL, "% vol", 2},
    [LEFT + 2] = {"pure_alcohol_l", "  left in the boiler", "L", 3, .of = LEFT_ALL},
    [LEFT_SOME] = {"pure_alcohol_l", "  left, where measured", "L", 3, .of = LEFT_NOT},
    [RECOVERED_PCT] = {"recovery_pct", "Recovered", "%", 1, .of = BALANCED, .brief = "recovered"},
    [MISSING] = {"not_recovered_l", "  not recovered", "L", 3, .difference = true, .of = LEFT_ALL,
                 .text_of = CHARGED, .brief = "not recovered", .alone = "Alcohol not recovered",
                 .brief_of = BALANCED},
    [NOT_COLLECTED] = {"not_recovered_l", "  not recovered", "L", 3, .difference = true,
                       .of = LEFT_NOT, .text_of = CHARGED, .brief = "not recovered",
                       .alone = "Alcohol not recovered", .brief_of = BALANCED},
    [RECOVERED] = {"recovery_pct", "Recovered", "% of the charge", 1, .text_of = CHARGED},
};

static void fill_jars(const jl_tally *tally, unsigned fractions, double *five) {
    jl_total t = jl_tally_sum(tally, fractions);
    five[0] = (double)t.jars;
    jl_spirit_figures(t.spirit, five + 1);
    five[4] = jl_contraction_l(t.parts_l, t.spirit);
}

/* What the logs come to. */
typedef struct sums {
    jl_tally tally;
    jl_recovery recovery;
} sums;

static void fill_sums(const sums *of, double *v) {
    const jl_recovery *r = &of->recovery;
    fill_jars(&of->tally, JL_OF_ALL, v + TOTAL);
    fill_jars(&of->tally, JL_OF_KEPT, v + KEPT);
    fill_jars(&of->tally, JL_OF_FEINTS, v + FEINTS);
    jl_spirit_figures(of->tally.of[JL_HEARTS].spirit, v + OF_HEARTS);
    jl_spirit_figures(r->charge, v + CHARGE);
    jl_spirit_figures(r->left, v + LEFT);
    v[LEFT_SOME] = v[LEFT + 2];
    v[COLLECTED] = jl_pure_alcohol_l(r->collected);
    v[RECOVERED] = v[RECOVERED_PCT] = r->recovery_pct;
    v[MISSING] = v[NOT_COLLECTED] = r->missing_l;
}

/* ---- What was measured ---- */

typedef struct inputs {
    const setting_options *with;
    uncertainty u;
    balance of; /* empty where neither an uncertainty nor digits are wanted */
    size_t logs, charged;
    double missing_u_l, charge_u_l; /* at the most: what the logs share adds up */
    sums sums;                      /* at the best estimates, as the logs' records have them */
} inputs;

static void measure_log(inputs *in, const jl_run *run) {
    const jl_recovery *r = jl_run_recovery(run);
    if (in->u.by.budget != NULL) balance_measure(&in->of, &in->u.by, run);
    jl_tally_join(&in->sums.tally, jl_run_tally(run));
    in->sums.recovery = in->logs == 0 ? *r : jl_recovery_join(in->sums.recovery, *r);
    in->logs++;
    if (!r->charge_stated) return;
    in->charged++;
    in->missing_u_l += balance_missing_u_l(run, &in->u.by.instruments);
    in->charge_u_l += charge_pure_standard(run);
}

static void pour(sums *to, int place, jl_spirit spirit) {
    jl_recovery *r = &to->recovery;
    if (place == IN_CHARGE)
        r->charge = jl_blend(r->charge, spirit);
    else if (place == IN_LEFT)
        r->left = jl_blend(r->left, spirit);
    else {
        jl_total *t = &to->tally.of[place];
        t->spirit = jl_blend(t->spirit, spirit);
        t->parts_l += jl_volume_l(spirit, JL_STRENGTH_C);
        r->collected = jl_blend(r->collected, spirit);
    }
}

static jl_status fill(const double *x, double *v, void *with) {
    static const jl_recovery NOTHING = {.charge_stated = true, .left_stated = true};
    const inputs *in = with;
    const jl_recovery *r = &in->sums.recovery;
    sums varied = {.recovery = {.charge_stated = r->charge_stated, .left_stated = r->left_stated}};
    for (size_t i = 0; i < in->of.count; i++) {
        jl_spirit spirit;
        jl_status status = balance_part_at(&in->of.parts[i], x, &spirit);
        if (status != JL_OK) return status;
        pour(&varied, in->of.parts[i].place, spirit);
    }
    varied.recovery = jl_recovery_join(varied.recovery, NOTHING);
    fill_sums(&varied, v);
    return JL_OK;
}

static unsigned question_of(const inputs *in) {
    const jl_recovery *r = &in->sums.recovery;
    bool balanced = in->charged > 0 && in->charged == in->logs;
    return (in->sums.tally.of[JL_HEARTS].jars > 0 ? HEARTS : 0) | (r->charge_stated ? CHARGED : 0) |
           (r->left_stated ? LEFT_ALL : LEFT_NOT) | (balanced ? BALANCED : 0);
}

/* ---- Jars ---- */

static const column JAR_COLUMNS[] = {
    {"jar", "jar", "", 3, 0, COLUMN_NUMBERS},
    {NULL, "reading", "", 8, 0, COLUMN_NUMBERS},
    {"reading_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"reading_proof", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"temp_c", "temperature", "°C", 11, 1, COLUMN_NUMBERS},
    {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
    {"volume_l", "volume", "L", 6, 3, COLUMN_NUMBERS},
    {"pure_alcohol_l", NULL, "L", 7, 3, COLUMN_NUMBERS},
    {"cumulative_pure_alcohol_l", "pure alcohol", "L so far", 12, 3, COLUMN_NUMBERS},
    {"cumulative_l", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"cumulative_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"head_c", "head", "°C", 5, 1, COLUMN_NUMBERS},
    {"boiler_c", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"elapsed_s", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"fraction", "fraction", "", 9, 0, COLUMN_WORDS},
    {"note", NULL, "", 0, 0, COLUMN_WORDS},
    {"spout_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"spout_proof", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"spout_temp_c", NULL, "", 0, 0, COLUMN_NUMBERS},
    {"strength_expanded_pct", NULL, "", 0, 0, COLUMN_NUMBERS}, /* k = 2, of the spout's mean */
};

static void write_reading(const jl_jar *jar, char *text, size_t size) {
    char number[32];
    if (jar->from_spout && jl_decimal_write(jar->spout.value, 1, number, sizeof number) == JL_OK)
        snprintf(text, size, "%s %s", jar->spout.unit == JL_UNIT_PROOF_US ? "at spout" : "spout",
                 number);
    else if (!jar->has_reading ||
             jl_decimal_write(jar->reading.value, 1, number, sizeof number) != JL_OK)
        snprintf(text, size, "-");
    else
        snprintf(text, size, "%s %s", number, reading_unit(jar->reading.unit));
}

/* started: NULL where the log does not say it. */
static void show_jar(show *s, const jl_run *run, const jl_jar *jar, const jl_time *started,
                     const jl_instruments *by) {
    const jl_spirit charge = jl_run_recovery(run)->charge;
    char reading[48];
    bool proof = jar->has_reading && jar->reading.unit == JL_UNIT_PROOF_US;
    bool timed = jar->has_time && started != NULL, spout = !isnan(jar->spout.value);
    bool spout_proof = spout && jar->spout.unit == JL_UNIT_PROOF_US;
    write_reading(jar, reading, sizeof reading);
    show_cells(s, CELLS(V(jar->name), V(reading),
                        V(jar->has_reading && !proof ? jar->reading.value : NAN),
                        V(proof ? jar->reading.value : NAN), V(jar->temp_c),
                        V(jl_spirit_strength_pct(jar->spirit)), V(jar->volume_20c_l),
                        v_pure(jar->spirit), v_pure(jar->so_far), V(jar->until_l),
                        V(jl_spirit_strength_pct(jar->so_far)), V(jar->head_c), V(jar->boiler_c),
                        V(timed ? (double)(jar->time.unix_s - started->unix_s) : NAN),
                        V(fraction_word(jar->fraction, charge)),
                        V(jar->note_length > 0 ? jar->note : NULL),
                        V(spout && !spout_proof ? jar->spout.value : NAN),
                        V(spout_proof ? jar->spout.value : NAN), V(spout ? jar->spout_temp_c : NAN),
                        V(JL_COVERAGE_K * jl_jar_spout_u_pct(jar, by))));
}

static void show_jars(show *s, const jl_run *run, const jl_instruments *by) {
    size_t count;
    jl_time time;
    const jl_time *started = jl_run_started(run, &time) ? &time : NULL;
    const jl_jar *jars = jl_run_jars(run, &count);
    show_table(s, "jars", JAR_COLUMNS, sizeof JAR_COLUMNS / sizeof JAR_COLUMNS[0]);
    for (size_t i = 0; i < count && !show_stuck(s); i++) show_jar(s, run, &jars[i], started, by);
}

static void show_facts(show *s, const jl_facts *facts) {
    const char *title = jl_facts_text(facts, "title");
    const char *started = jl_facts_text(facts, "started");
    if (title != NULL) show_text(s, "title", "Run", title);
    if (started != NULL) show_text(s, "started", "Started", started);
}

/* ---- Totals ---- */

static void show_sum(show *s, const figures *f, const char *key, const char *label, size_t at) {
    if (!(f->values[at] > 0)) return;
    show_figures_in_line(s, f, key, label, at, at + 5);
}

static void show_part(show *s, const figures *f, const char *key, size_t at, size_t to) {
    show_group(s, key, NULL);
    show_figures(s, f, at, to);
    show_group_end(s);
}

/* missing_u_l: standard uncertainty of what is missing. */
static void show_recovery(show *s, const figures *f, const jl_recovery *r, double missing_u_l) {
    bool some = jl_mass_kg(r->left) > 0;
    if (r->charge_stated) {
        show_part(s, f, "charge", CHARGE, COLLECTED);
        show_figures(s, f, COLLECTED, LEFT);
        if (r->left_stated || some) show_part(s, f, "left", LEFT, RECOVERED_PCT);
    }
    show_figures(s, f, MISSING, FIGURES);
    if (!r->charge_stated)
        show_warning(s, "The log states no charge (charge_l, charge_strength_pct): what was "
                        "recovered cannot be computed.");
    else if (!r->left_stated)
        show_warning(s,
                     "What stayed in the boiler was not measured%s (left_l, left_strength_pct): it "
                     "is part of what was not recovered.",
                     some ? " in every run" : "");
    warn_of_recovery(s, r, missing_u_l);
    warn_of_left(s, r);
}

static void note_ways(show *s, const jl_run *run, const jl_instruments *by) {
    char note[200];
    double taken_l = jl_volume_l(jl_run_tally(run)->taken, JL_STRENGTH_C);
    if (write_spout_note(run, by, "", note, sizeof note)) show_text_remark(s, "%s", note);
    if (taken_l > 0)
        show_text_remark(s, "%s were taken out of jars: recovered, and not in the blend.",
                         LITRES(taken_l));
}

static void assume_tally(show *s, const jl_tally *tally) {
    if (tally->at_20c > 0)
        show_assumption(s, "%zu %s no temperature: the volume counts as measured at 20 °C.",
                        tally->at_20c, tally->at_20c == 1 ? "jar has" : "jars have");
    if (jl_tally_sum(tally, JL_OF_FEINTS).jars > 0)
        show_assumption(s, "Heads and tails are kept as feints and foreshots are not (common "
                           "practice, no source).");
}

/* As of amounts that were measured once, as everywhere. missing_u_l: of what was not recovered, at the
 * most. */
static void take_digits(const inputs *in, figures *f, double standard[FIGURES]) {
    const jl_recovery *r = &in->sums.recovery;
    const struct {
        size_t at;
        jl_spirit spirit;
    } pure[] = {{TOTAL + 3, jl_tally_sum(&in->sums.tally, JL_OF_ALL).spirit},
                {KEPT + 3, jl_tally_sum(&in->sums.tally, JL_OF_KEPT).spirit},
                {FEINTS + 3, jl_tally_sum(&in->sums.tally, JL_OF_FEINTS).spirit},
                {COLLECTED, r->collected},
                {LEFT + 2, r->left},
                {LEFT_SOME, r->left}};
    for (size_t i = 0; i < FIGURES; i++) standard[i] = 0;
    for (size_t i = 0; i < sizeof pure / sizeof pure[0]; i++)
        standard[pure[i].at] = digits_standards(pure[i].spirit).pure_alcohol_l;
    if (r->charge_stated) {
        standard[CHARGE + 2] = in->charge_u_l;
        standard[MISSING] = standard[NOT_COLLECTED] = in->missing_u_l;
        standard[RECOVERED] = standard[RECOVERED_PCT] =
            digits_share_standard(r->collected, r->charge);
    }
    f->standard = standard;
}

/* run: the only log, or NULL. Returns the exit status, or 0. */
static int show_totals(show *s, inputs *in, const jl_run *run) {
    double values[FIGURES], standard[FIGURES];
    figures f = {.list = LIST, .count = FIGURES, .values = values, .of = question_of(in)};
    size_t count = 0; /* jar numbers of several logs would mean nothing */
    const jl_jar *jars = run == NULL ? NULL : jl_run_jars(run, &count);
    fill_sums(&in->sums, values);
    take_digits(in, &f, standard);
    show_tally(s, &in->sums.tally, jars, count, NULL, in->sums.recovery.charge);
    show_sum(s, &f, "total", "All jars at 20 °C", TOTAL);
    if (run != NULL) show_sum(s, &f, "kept", "Kept: heads, hearts, tails", KEPT);
    show_sum(s, &f, "feints", "Feints: heads, tails", FEINTS);
    show_recovery(s, &f, &in->sums.recovery, standard[MISSING]);
    return show_uncertainty(s, &in->u, &f, fill, in);
}

/* A log that stands never changes its figures. */
static void note_corrections(show *s, const jl_run *run, const jl_settings *bench) {
    const jl_settings *log = jl_run_settings(run);
    bool any = false;
    for (jl_key_id id = JL_KEY_READING_CORRECTION; id <= JL_KEY_THERMOMETER_CORRECTION; id++)
        any = any || (jl_setting_value(bench, id) != 0 && !jl_is_stated(log, id));
    if (any)
        show_remark(s, "The bench's corrections are not applied to a log that does not state them; "
                       "'jarline start' writes them into a new one.");
}

/* What of the jars does not fit, if the log says enough to tell; by the instruments that record has. */
static int show_suspicion(show *s, const setting_options *with, const jl_run *run) {
    size_t count;
    jl_settings bench;
    jl_diagnosis d;
    int bad = instruments_read(with, &bench);
    if (bad != 0) return bad;
    note_corrections(s, run, &bench);
    jl_run_jars(run, &count);
    if (count <= JARS_OF_A_RUN && jl_run_suspect(run, &bench, &d) == JL_OK)
        show_diagnosis(s, run, &d, true);
    return 0;
}

static void note_numbers_left_out(show *s, const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 1; i < count; i++)
        if (jars[i].number > jars[i - 1].number + 1)
            show_remark(s, "Behind jar %s comes jar %s: is one between them missing?",
                        jars[i - 1].name, jars[i].name);
}

static int tally_one(const char *path, inputs *in, bool totals, bool json) {
    jl_run *run;
    int bad = run_read_jars(path, &run);
    if (bad != 0) return bad;
    measure_log(in, run);
    show *s = show_open(json);
    show_text(s, "log", NULL, log_name(path));
    show_facts(s, jl_run_facts(run));
    if (!totals) show_jars(s, run, &in->u.by.instruments);
    bad = show_totals(s, in, run);
    assume_log_scales(s, run);
    assume_tally(s, &in->sums.tally);
    note_passed_over(s, run);
    note_odd_jars(s, run);
    note_numbers_left_out(s, run);
    note_two_amounts(s, run);
    note_ways(s, run, &in->u.by.instruments);
    if (bad == 0 && !totals) bad = show_suspicion(s, in->with, run);
    show_next_after_run(s, path, &in->sums.tally, in->sums.recovery.charge);
    bad = bad == 0 ? show_close(s, EXIT_DONE) : show_abandon(s, bad);
    jl_run_free(run);
    return bad;
}

/* ---- Several logs ---- */

enum { NAME_ROOM = 16 };

static void show_log_row(show *s, const char *name, const jl_run *run) {
    const jl_recovery *r = jl_run_recovery(run);
    jl_total all = jl_tally_sum(jl_run_tally(run), JL_OF_ALL);
    show_cells(
        s, CELLS(V(name), V(log_called(name, run, NAME_ROOM)), V((double)all.jars),
                 V(jl_volume_l(all.spirit, JL_STRENGTH_C)), V(jl_spirit_strength_pct(all.spirit)),
                 r->charge_stated
                     ? v_known_to(jl_pure_alcohol_l(r->charge), charge_pure_standard(run), 3)
                     : V(NAN),
                 v_pure(all.spirit), v_pure(jl_run_tally(run)->of[JL_HEARTS].spirit),
                 v_known_to(r->recovery_pct, digits_share_standard(all.spirit, r->charge), 1),
                 V(r->missing_l)));
}

/* pool: of strip runs, whose low wines are mixed next; "" once a log is of another run. */
static void add_log(const char *path, const jl_run *run, inputs *in, show *s, next_command *pool) {
    measure_log(in, run);
    bool strip =
        gave_low_wines(jl_run_tally(run), jl_run_recovery(run)->charge) && strcmp(path, "-") != 0;
    if (!strip) pool->text[0] = '\0';
    if (pool->text[0] != '\0') next_part(pool, path, "low-wines", (jl_spirit){0, 0});
    show_log_row(s, log_name(path), run);
}

/* Those that were read are the caller's to free, whatever is returned. */
static int read_all(const args *a, jl_run **runs) {
    int bad = logfiles_differ(a->words, a->count);
    for (size_t i = 0; i < a->count && bad == 0; i++) bad = run_read_jars(a->words[i], &runs[i]);
    return bad;
}

static int show_many(const args *a, jl_run *const *runs, inputs *in, bool json) {
    static const char PURE[] = "pure alcohol";
    static const column COLUMNS[] = {
        {"log", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "log", "", NAME_ROOM, 0, COLUMN_WORDS},
        {"jars_count", "jars", "", 4, 0, COLUMN_NUMBERS},
        {"volume_l", "volume", "L", 6, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"charge_pure_alcohol_l", "charged", "L", 7, 3, COLUMN_NUMBERS, PURE},
        {"pure_alcohol_l", "collected", "L", 9, 3, COLUMN_NUMBERS, PURE},
        {"hearts_pure_alcohol_l", "hearts", "L", 6, 3, COLUMN_NUMBERS, PURE},
        {"recovery_pct", "recovered", "%", 9, 1, COLUMN_NUMBERS},
        {"not_recovered_l", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    next_command pool = {"jarline blend"};
    show *s = show_open(json);
    show_heading(s, units_seen().proof ? "Volumes at 20 °C, proof at 60 °F"
                                       : "Volumes and strengths at 20 °C");
    show_table(s, "logs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < a->count; i++) add_log(a->words[i], runs[i], in, s, &pool);
    int bad = show_totals(s, in, NULL);
    if (bad != 0) return show_abandon(s, bad);
    assume_tally(s, &in->sums.tally);
    show_assumption(s,
                    "Each log's readings are corrected for its own instrument, as its facts say.");
    if (pool.text[0] != '\0') show_next_command(s, &pool);
    return show_close(s, EXIT_DONE);
}

/* What cannot be read is said before anything is shown. */
static int tally_many(const args *a, inputs *in, bool json) {
    jl_run **runs = need(calloc(a->count, sizeof(jl_run *)));
    int bad = read_all(a, runs);
    if (bad == 0) bad = show_many(a, runs, in, json);
    for (size_t i = 0; i < a->count; i++) jl_run_free(runs[i]);
    free(runs);
    return bad;
}

/* Totals alone and what is still to come. */
static int show_rest_of(const char *path, const jl_run *run, const jl_settings *bench, bool json) {
    double values[FIGURES];
    outlook o;
    int bad = rest_forecast(path, run, bench, &o);
    if (bad != 0) return bad;
    const jl_instruments in = jl_settings_to_instruments(bench);
    show *s = show_open(json);
    show_text(s, "log", NULL, path);
    fill_jars(jl_run_tally(run), JL_OF_ALL, values + TOTAL);
    show_sum(s, &(figures){.list = LIST, .values = values}, "total", "All jars so far, at 20 °C",
             TOTAL);
    show_rest(s, run, &o);
    for (int which = JL_BY_ALCOHOLOMETER; which <= JL_BY_JUG; which++)
        assume_limits(s, &in, (jl_instrument)which);
    return show_close(s, EXIT_DONE);
}

static int tally_rest(const args *a, const setting_options *with, bool json) {
    jl_settings bench;
    jl_run *run;
    if (a->count != 1) return refuse("--rest goes with one run log, as run.csv");
    int bad = instruments_read(with, &bench);
    if (bad == 0) bad = run_read_jars(a->words[0], &run);
    if (bad != 0) return bad;
    bad = show_rest_of(a->words[0], run, &bench, json);
    jl_run_free(run);
    return bad;
}

static int answer(const args *a, inputs *in, bool totals, bool json) {
    args logs = *a;
    logs.words = run_logs_of(a->words, &logs.count, true);
    int bad = logs.count == 0   ? refuse("expected a run log, as run.csv, or -")
              : logs.count == 1 ? tally_one(logs.words[0], in, totals, json)
                                : tally_many(&logs, in, json);
    free(logs.words);
    return bad;
}

int command_tally(int argc, const char **argv) {
    int totals = 0, rest = 0, json = 0;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    inputs in = {.with = &with};
    const struct poptOption table[] = {
        FLAG("totals", &totals, "leave the jars out"),
        FLAG("rest", &rest, "of a run that goes on: what is still to come, by its jars"),
        UNCERTAINTY_OPTIONS(uncertainties),
        BENCH_OPTION(with),
        JSON_LAST(&json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv ...",
                  "What a run gave: each jar at 20 °C, fractions, recovery; - is standard input")) {
        with.log = a.words[0];
        a.exit_status = uncertainty_read(&uncertainties, &with, &in.u);
        if (a.exit_status == 0 && rest && uncertainty_wanted(&in.u))
            a.exit_status =
                refuse("--rest has its own intervals; expected it without --uncertainty");
        if (a.exit_status == 0)
            a.exit_status =
                rest ? tally_rest(&a, &with, json != 0) : answer(&a, &in, totals != 0, json != 0);
    }
    uncertainty_free(&in.u);
    free(in.of.parts);
    return args_close(&a);
}
