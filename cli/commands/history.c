/* history: runs side by side, sums for a period, trends.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/balance.h"
#include "answer/say.h"
#include "answer/show.h"
#include "command.h"
#include "input/args.h"
#include "input/clock.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "learn/trend.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DATE = 11 };

/* One run. */
typedef struct past {
    const char *name;
    jl_run *run;
    jl_time started;
    bool has_started;
    char date[DATE]; /* "2026-10-17"; "" when the log has no start */
    jl_past of;
    double again_l; /* of its charge's pure alcohol: low wines and feints of earlier runs */
} past;

typedef struct history {
    past *runs;
    size_t count, read;
    jl_past_sums sums;
    const char **undated,
        **empty; /* names of logs that cannot be put into a period, and without jars */
    size_t undated_count, empty_count;
} history;

/* ---- Reading ---- */

static void work_out(past *p) {
    char text[JL_TIME_BYTES];
    p->has_started = jl_run_started(p->run, &p->started);
    if (p->has_started && jl_time_write(p->started, text, sizeof text) == JL_OK)
        snprintf(p->date, sizeof p->date, "%.10s", text);
    jl_run_past(p->run, &p->of);
}

/* An undated run comes last, in the order given. */
static int by_date(const void *a, const void *b) {
    const past *x = a, *y = b;
    if (x->has_started != y->has_started) return x->has_started ? -1 : 1;
    if (!x->has_started || x->started.unix_s == y->started.unix_s)
        return (x->name > y->name) - (x->name < y->name);
    return x->started.unix_s < y->started.unix_s ? -1 : 1;
}

static bool within(const past *p, const char *from, const char *to) {
    if (from == NULL && to == NULL) return true;
    if (p->date[0] == '\0') return false;
    return (from == NULL || strcmp(p->date, from) >= 0) && (to == NULL || strcmp(p->date, to) <= 0);
}

/* A day as people write it, as 2026-10-31; *bound: NULL where there is none. */
static int read_day(const char *name, const char *text, char day[DATE], const char **bound) {
    char moment[JL_TIME_BYTES];
    jl_written_time w;
    *bound = NULL;
    if (text == NULL) return 0;
    jl_status status = jl_written_time_read(text, strlen(text), &w);
    if (status == JL_AMBIGUOUS) return fail_ambiguous(name, text);
    if (status == JL_OK && (w.has_clock || !w.has_date)) status = JL_FORM;
    if (status == JL_OK)
        status = jl_time_write((jl_time){w.days * JL_DAY_S, 0}, moment, sizeof moment);
    if (status != JL_OK) return fail_argument(name, text, status, "a date, as 2026-10-31");
    snprintf(day, DATE, "%.*s", DATE - 1, moment);
    *bound = day;
    return 0;
}

/* Keeps a run that has jars and lies in the period. */
static void take_run(history *h, past *p, const char *from, const char *to) {
    if (jl_run_jar(p->run, 0) == NULL) {
        h->empty[h->empty_count++] = p->name;
    } else {
        work_out(p);
        h->read++;
        if (p->date[0] == '\0') h->undated[h->undated_count++] = p->name;
        if (within(p, from, to)) {
            h->count++;
            return;
        }
    }
    jl_run_free(p->run);
}

static int read_all(history *h, const args *a, const char *from, const char *to) {
    h->runs = need(calloc(a->count, sizeof *h->runs));
    h->undated = need(calloc(a->count, sizeof *h->undated));
    h->empty = need(calloc(a->count, sizeof *h->empty));
    for (size_t i = 0; i < a->count; i++) {
        past *p = &h->runs[h->count];
        *p = (past){.name = a->words[i]};
        int bad = run_read_log(p->name, &p->run);
        if (bad != 0) return bad;
        say_torn(p->name, jl_run_torn_line(p->run));
        take_run(h, p, from, to);
    }
    if (h->count > 1) qsort(h->runs, h->count, sizeof *h->runs, by_date);
    return 0;
}

static bool first_of_all(const past *p) {
    return !p->has_started && p->of.strip;
}

static void add_run(history *h, past *p) {
    double share = jl_past_add(&h->sums, &p->of);
    p->again_l = isnan(p->of.charge_pure_l) ? NAN : share * p->of.charge_pure_l;
}

/* A strip run without a start came before what was made of it. */
static void add_up(history *h) {
    for (size_t i = 0; i < h->count; i++)
        if (first_of_all(&h->runs[i])) add_run(h, &h->runs[i]);
    for (size_t i = 0; i < h->count; i++)
        if (!first_of_all(&h->runs[i])) add_run(h, &h->runs[i]);
}

/* ---- Showing ---- */

static double pure_or_0(jl_spirit spirit) {
    return jl_mass_kg(spirit) > 0 ? jl_pure_alcohol_l(spirit) : 0;
}

/* Of a run whose jars are in no fraction yet nothing is known of hearts and feints. */
static cell_shown pure_of_part(const past *p, jl_spirit part) {
    if (!p->of.decided) return V(NAN);
    if (jl_mass_kg(part) > 0) return v_pure(part);
    return V(0);
}

/* NULL: the log has no charge. */
static const char *kind_of(const jl_past *of) {
    return isnan(of->charge_pure_l) ? NULL : of->strip ? "strip" : "spirit";
}

/* ---- The figures of a run: one list for programs and for both tables ---- */

enum { NAME_ROOM = 20 };

typedef enum run_table { FOR_PROGRAMS, FIRST, SECOND, BOTH } run_table;

typedef struct run_figure {
    column as; /* its title: in the table that has it */
    run_table in;
} run_figure;

static const run_figure FIGURES[] = {
    {{"date", "date", "", 10, 0, COLUMN_WORDS}, FIRST},
    {{"log", "log", "", 0, 0, COLUMN_WORDS}, FOR_PROGRAMS},
    {{"title", "title", "", 0, 0, COLUMN_WORDS}, FOR_PROGRAMS},
    {{NULL, "run", "", NAME_ROOM, 0, COLUMN_WORDS}, BOTH},
    {{"run_kind", "kind", "", 6, 0, COLUMN_WORDS}, SECOND},
    {{"charge_l", "charge", "L", 6, 1, COLUMN_NUMBERS}, FOR_PROGRAMS},
    {{"charge_strength_pct", "strength", "% vol", 5, 1, COLUMN_NUMBERS}, FOR_PROGRAMS},
    {{"charge_pure_alcohol_l", "charged", "L", 7, 3, COLUMN_NUMBERS}, FIRST},
    {{"charged_again_l", "again", "L", 6, 3, COLUMN_NUMBERS}, SECOND},
    {{"pure_alcohol_l", "collected", "L", 9, 3, COLUMN_NUMBERS}, FIRST},
    {{"recovery_pct", "recovered", "%", 9, 1, COLUMN_NUMBERS}, FIRST},
    {{"hearts_pure_alcohol_l", "hearts", "L", 6, 3, COLUMN_NUMBERS}, FIRST},
    {{"feints_pure_alcohol_l", "feints", "L", 6, 3, COLUMN_NUMBERS}, FIRST},
    {{"hours", "time", "h", 5, 1, COLUMN_NUMBERS}, SECOND},
    {{"energy_kwh", "energy", "kWh", 6, 1, COLUMN_NUMBERS}, SECOND},
    {{"energy_kwh_per_l", "a litre", "kWh/L", 5, 2, COLUMN_NUMBERS}, SECOND},
    {{"expected_pure_alcohol_l", "forecast", "L", 8, 3, COLUMN_NUMBERS}, SECOND},
    {{"apart_pct", "differs", "%", 7, 1, COLUMN_NUMBERS}, SECOND},
};
enum { FIGURE_COUNT = sizeof FIGURES / sizeof FIGURES[0] };

static void figures_of(const past *p, cell_shown values[FIGURE_COUNT]) {
    const jl_past *of = &p->of;
    bool known = !isnan(of->charge_pure_l);
    double expected_u_l = expected_pure_standard(p->run, of->expected_pure_l);
    const cell_shown all[FIGURE_COUNT] = {
        V(p->date[0] == '\0' ? NULL : p->date),
        V(p->name),
        V(jl_run_title(p->run)),
        V(log_called(p->name, p->run, NAME_ROOM)),
        V(kind_of(of)),
        V(known ? jl_volume_l(of->charge, JL_STRENGTH_C) : NAN),
        V(known ? jl_spirit_strength_pct(of->charge) : NAN),
        known ? v_known_to(of->charge_pure_l, charge_pure_standard(p->run), 3) : V(NAN),
        V(p->again_l),
        v_pure(of->collected),
        v_known_to(of->recovery_pct, digits_share_standard(of->collected, of->charge), 1),
        pure_of_part(p, of->hearts),
        pure_of_part(p, of->feints),
        V(of->hours),
        V(of->energy_kwh),
        V(of->energy_kwh_per_l),
        v_known_to(of->expected_pure_l, expected_u_l, 3),
        V(of->apart_pct),
    };
    memcpy(values, all, sizeof all);
}

/* The first table has all figures for programs, and the second, for people, those that do not fit beside
 * the first ones on a page. */
static void show_runs(show *s, const history *h, run_table table) {
    column columns[FIGURE_COUNT];
    size_t count = 0, of[FIGURE_COUNT];
    for (size_t i = 0; i < FIGURE_COUNT; i++) {
        const run_figure *f = &FIGURES[i];
        bool here = f->in == table || f->in == BOTH;
        if (!here && table != FIRST) continue;
        columns[count] = f->as;
        if (!here) columns[count].title = NULL;
        if (table != FIRST) columns[count].key = NULL;
        of[count++] = i;
    }
    show_table(s, table == FIRST ? "runs" : NULL, columns, count);
    for (size_t i = 0; i < h->count; i++) {
        cell_shown all[FIGURE_COUNT], row[FIGURE_COUNT];
        figures_of(&h->runs[i], all);
        for (size_t k = 0; k < count; k++) row[k] = all[of[k]];
        show_cells(s, row, count);
    }
}

/* ---- Sums ---- */

static void show_sum_row(show *s, const char *key, const char *label, jl_spirit sum) {
    double pure_l = pure_or_0(sum);
    double gallons = pure_l > 0 ? jl_proof_gallons_us(sum) : 0;
    double u_l = pure_l > 0 ? digits_standards(sum).pure_alcohol_l : 0;
    show_cells(s, CELLS(V(key), V(label), v_known_to(pure_l, u_l, 3),
                        v_known_to(pure_l / 100, u_l / 100, 5),
                        v_known_to(gallons, u_l * gallons / pure_l, 3)));
}

static void show_sums(show *s, const history *h) {
    static const column COLUMNS[] = {
        {"sum", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "pure alcohol at 20 °C", "", 22, 0, COLUMN_WORDS},
        {"pure_alcohol_l", "litres", "L", 10, 3, COLUMN_NUMBERS},
        {"pure_alcohol_hl", "hectolitres", "hL", 11, 5, COLUMN_NUMBERS},
        {"proof_gallons_us", "US proof gallons", "at 60 °F", 16, 3, COLUMN_NUMBERS},
    };
    show_heading(s, "All of these runs, each litre of alcohol once");
    show_table(s, "sums", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_sum_row(s, "charged", "charged, from outside", h->sums.charge);
    show_sum_row(s, "collected", "collected, and kept", h->sums.collected);
    show_sum_row(s, "hearts", "of it hearts", h->sums.hearts);
    show_sum_row(s, "feints", "low wines and feints", h->sums.feints);
    show_sum_row(s, "carried", "charged again", h->sums.carried);
}

/* ---- Trends ---- */

static void say_trend(show *s, const char *of, const char *unit, const jl_trend *trend) {
    if (trend->stands_out)
        show_remark(s, "%s %s from run to run by %.2g ± %.1g %s (%zu runs): more than scatter.", of,
                    trend->per_step > 0 ? "rises" : "falls", fabs(trend->per_step), trend->expanded,
                    unit, trend->count);
}

static void show_trends(show *s, const history *h) {
    static const struct {
        const char *of, *unit;
    } NAMES[JL_PAST_FIGURES][2] = {
        [JL_PAST_RECOVERY] = {{"The recovery", "%"}, {"The recovery of strip runs", "%"}},
        [JL_PAST_ENERGY] = {{"The energy for a litre", "kWh/L"},
                            {"The energy for a litre of strip runs", "kWh/L"}},
        [JL_PAST_OUTCOME] = {{"The difference from the forecast", "%"},
                             {"The difference of strip runs from the forecast", "%"}},
    };
    const jl_past **pasts = need(calloc(h->count, sizeof(jl_past *)));
    jl_trends trends;
    for (size_t i = 0; i < h->count; i++) pasts[i] = &h->runs[i].of;
    if (jl_trends_of(pasts, h->count, &trends) != JL_OK) need(NULL);
    for (int f = 0; f < JL_PAST_FIGURES; f++)
        for (int strip = 0; strip < 2; strip++)
            say_trend(s, NAMES[f][strip].of, NAMES[f][strip].unit, &trends.of[f][strip]);
    free(pasts);
}

/* A run whose last jar is still far above its stop counts, but perhaps not as a whole. */
static void note_unended(show *s, const history *h) {
    for (size_t i = 0; i < h->count; i++) {
        const jl_past *of = &h->runs[i].of;
        if (of->cut_short)
            show_warning(s, "%s ends at %s, its stop is at %s%s: it may not have run to its end.",
                         base_name(h->runs[i].name), AT_STRENGTH(of->last_pct),
                         figure_short(of->stop.strength_pct, EXACT + 2, "% vol").text,
                         of->stop.stated && of->stop.followed ? "" : " (default)");
    }
}

static void note_stops(show *s, const history *h) {
    for (size_t i = 0; i < h->count; i++)
        if (h->runs[i].of.stops_h > 0)
            show_remark(
                s,
                "%s: %.1f h from the jar before its stop to where it went on are not counted "
                "as its time, and have no energy.",
                base_name(h->runs[i].name), h->runs[i].of.stops_h);
}

static void note_jumps(show *s, const history *h) {
    for (size_t i = 0; i < h->count; i++)
        if (h->runs[i].of.jumps_h > 0)
            show_warning(s,
                         "%s: %.0f h from one moment to the next, more than a day, are not counted "
                         "as its time: is a time wrong?",
                         base_name(h->runs[i].name), h->runs[i].of.jumps_h);
}

static int answer_logs(const args *a, const char *since, const char *until, bool json) {
    history h = {0};
    char first[DATE], last[DATE];
    const char *from, *to;
    if (a->count == 0) return refuse("expected run logs, as run-1.csv run-2.csv");
    if (logfiles_differ(a->words, a->count) != 0) return EXIT_USAGE;
    int bad = read_day("--since", since, first, &from);
    if (bad == 0) bad = read_day("--until", until, last, &to);
    if (bad == 0 && from != NULL && to != NULL && strcmp(from, to) > 0)
        bad = refuse("--since %s lies after --until %s", from, to);
    if (bad == 0) bad = read_all(&h, a, from, to);
    if (bad == 0 && h.count == 0)
        bad = h.read == 0 ? fail(EXIT_NO, "none of the logs holds a jar yet")
                          : fail(EXIT_NO, "none of the %zu runs began in that period", h.read);
    if (bad == 0) {
        show *s = show_open(json);
        add_up(&h);
        show_heading(s, "Charged, collected, hearts and feints: pure alcohol at 20 °C");
        show_runs(s, &h, FIRST);
        show_heading(s, "Kind, pure alcohol charged again, time, energy, forecast of pure alcohol");
        show_runs(s, &h, SECOND);
        show_sums(s, &h);
        show_trends(s, &h);
        note_unended(s, &h);
        note_jumps(s, &h);
        note_stops(s, &h);
        for (size_t i = 0; i < h.undated_count && (from != NULL || to != NULL); i++)
            show_warning(s, "%s has no #started, cannot be put into a period and is left out.",
                         base_name(h.undated[i]));
        for (size_t i = 0; i < h.empty_count; i++)
            show_warning(s, "%s holds no jar yet and is left out.", base_name(h.empty[i]));
        show_assumption(s, "Energy is the stated power for the whole time from start to last jar.");
        show_assumption(s, "A spirit run's charge was first what there was of low wines and feints "
                           "of these runs, which then count once.");
        show_note(s, "For records and returns the authority's own forms and measurements prevail.");
        bad = show_close(s, EXIT_DONE);
    }
    for (size_t i = 0; i < h.count; i++) jl_run_free(h.runs[i].run);
    free(h.runs);
    free(h.undated);
    free(h.empty);
    return bad;
}

static int answer(const args *a, const char *from, const char *to, bool json) {
    args logs = *a;
    logs.words = run_logs_of(a->words, &logs.count, true);
    int bad = answer_logs(&logs, from, to, json);
    free(logs.words);
    return bad;
}

int command_history(int argc, const char **argv) {
    char *from = NULL, *to = NULL;
    int json = 0;
    setting_options with = {0};
    jl_settings bench;
    const struct poptOption table[] = {
        OPTION("since", &from, "DATE", "only runs that began on this day or later"),
        OPTION("until", &to, "DATE", "only runs that began on this day or earlier"),
        BENCH_OPTION(with),
        JSON_LAST(&json),
    };
    args a;
    if (args_read(
            &a, argc, argv, table, "RUN.csv ...",
            "Runs side by side, their sums and trends: --since 2026-01-01 --until 2026-03-31")) {
        with.log = a.words[0];
        a.exit_status = instruments_read(&with, &bench); /* for the digits */
        if (a.exit_status == 0) a.exit_status = answer(&a, from, to, json != 0);
    }
    return args_close(&a);
}
