/* history: runs side by side, sums for a period, trends.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "input/logfile.h"
#include "input/logged.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DATE = 11 };

/* One run as it is shown. */
typedef struct past {
    logged run;
    char date[DATE];                             /* "2026-10-17"; "" when the log has no start */
    double charged_l, collected_l, recovery_pct; /* pure alcohol at 20 °C */
    jl_spirit collected, hearts, feints;
    double kwh, kwh_per_l, expected_l, apart_pct;
} past;

typedef struct history {
    past *runs;
    size_t count, read;
    const char **undated,
        **empty; /* names of logs that cannot be put into a period, and without jars */
    size_t undated_count, empty_count;
} history;

/* ---- Reading ---- */

static void work_out(past *p) {
    logged *s = &p->run;
    char text[JL_TIME_BYTES];
    const jl_recovery *r = &s->recovery;
    if (s->has_started && jl_time_write(s->started, text, sizeof text) == JL_OK)
        snprintf(p->date, sizeof p->date, "%.10s", text);
    p->collected = jl_tally_sum(&s->tally, JL_OF_ALL).spirit;
    p->hearts = s->tally.of[JL_HEARTS].spirit;
    p->feints = jl_tally_sum(&s->tally, JL_OF_FEINTS).spirit;
    p->charged_l = r->charge_stated ? jl_pure_alcohol_l(r->charge) : NAN;
    p->collected_l = jl_pure_alcohol_l(p->collected);
    p->recovery_pct = r->recovery_pct;
    bool powered = jl_is_stated(s->settings, JL_KEY_POWER) && s->hours > 0;
    p->kwh = powered ? s->still.power_w * s->hours / 1000 : NAN;
    p->kwh_per_l = p->kwh / p->collected_l;
    p->expected_l = s->expected_pure_l;
    p->apart_pct = 100 * (p->collected_l / p->expected_l - 1);
}

/* An undated run comes last, in the order given. */
static int by_date(const void *a, const void *b) {
    const past *x = a, *y = b;
    if (x->run.has_started != y->run.has_started) return x->run.has_started ? -1 : 1;
    if (!x->run.has_started || x->run.started.unix_s == y->run.started.unix_s)
        return (x->run.name > y->run.name) - (x->run.name < y->run.name);
    return x->run.started.unix_s < y->run.started.unix_s ? -1 : 1;
}

static bool within(const past *p, const char *from, const char *to) {
    if (from == NULL && to == NULL) return true;
    if (p->date[0] == '\0') return false;
    return (from == NULL || strcmp(p->date, from) >= 0) && (to == NULL || strcmp(p->date, to) <= 0);
}

static int check_date(const char *name, const char *text) {
    char moment[48];
    jl_time time;
    if (text == NULL) return 0;
    int n = snprintf(moment, sizeof moment, "%sT00:00:00Z", text);
    if (strlen(text) == DATE - 1 && jl_time_read(moment, (size_t)n, &time) == JL_OK) return 0;
    return fail_argument(name, text, JL_FORM, "a date, as 2026-10-31");
}

static int read_all(history *h, const args *a, const char *from, const char *to) {
    jl_instruments in;
    int bad = instruments_read(NULL, &in);
    h->runs = need(calloc(a->count, sizeof *h->runs));
    h->undated = need(calloc(a->count, sizeof *h->undated));
    h->empty = need(calloc(a->count, sizeof *h->empty));
    for (size_t i = 0; i < a->count && bad == 0; i++) {
        past *p = &h->runs[h->count];
        *p = (past){0};
        bad = logged_read(a->rest[i], &in, true, &p->run);
        if (bad != 0) return bad;
        if (p->run.count == 0) {
            h->empty[h->empty_count++] = p->run.name;
            logged_free(&p->run);
            continue;
        }
        work_out(p);
        h->read++;
        if (p->date[0] == '\0') h->undated[h->undated_count++] = p->run.name;
        if (within(p, from, to))
            h->count++;
        else
            logged_free(&p->run);
    }
    if (h->count > 1) qsort(h->runs, h->count, sizeof *h->runs, by_date);
    return bad;
}

/* ---- Showing ---- */

static const char *base_of(const char *name) {
    const char *slash = strrchr(name, '/');
    return slash == NULL ? name : slash + 1;
}

static double pure_or_0(jl_spirit spirit) {
    return jl_mass_kg(spirit) > 0 ? jl_pure_alcohol_l(spirit) : 0;
}

/* Of a run whose jars are in no fraction yet nothing is known of hearts and feints. */
static double pure_of_part(const past *p, jl_spirit part) {
    bool undecided = p->run.tally.of[JL_UNDECIDED].jars == p->run.count;
    return undecided ? NAN : pure_or_0(part);
}

static void show_runs(show *s, const history *h) {
    static const column COLUMNS[] = {
        {"date", "date", "", 10, 0, COLUMN_WORDS},
        {"log", NULL, "", 0, 0, COLUMN_WORDS},
        {"title", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "run", "", 15, 0, COLUMN_WORDS},
        {"charge_l", "charge", "l", 6, 1, COLUMN_NUMBERS},
        {"charge_strength_pct", "", "% vol", 5, 1, COLUMN_NUMBERS},
        {"charge_pure_alcohol_l", "in", "l pure", 6, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "out", "l pure", 6, 2, COLUMN_NUMBERS},
        {"recovery_pct", "got", "%", 4, 1, COLUMN_NUMBERS},
        {"hearts_pure_alcohol_l", "hearts", "l pure", 6, 2, COLUMN_NUMBERS},
        {"feints_pure_alcohol_l", "feints", "l pure", 6, 2, COLUMN_NUMBERS},
        {"hours", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"energy_kwh", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"energy_kwh_per_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"expected_pure_alcohol_l", NULL, "", 0, 0, COLUMN_NUMBERS},
        {"apart_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    };
    show_table(s, "runs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < h->count; i++) {
        const past *p = &h->runs[i];
        bool known = p->run.recovery.charge_stated;
        jl_spirit charge = p->run.recovery.charge;
        show_cell_text(s, p->date[0] == '\0' ? NULL : p->date);
        show_cell_text(s, p->run.name);
        show_cell_text(s, p->run.title);
        show_cell_text(s, base_of(p->run.name));
        show_cell(s, known ? jl_volume_l(charge, JL_STRENGTH_C) : NAN);
        show_cell(s, known ? jl_spirit_strength_pct(charge) : NAN);
        show_cell(s, p->charged_l);
        show_cell(s, p->collected_l);
        show_cell(s, p->recovery_pct);
        show_cell(s, pure_of_part(p, p->hearts));
        show_cell(s, pure_of_part(p, p->feints));
        show_cell(s, p->run.hours);
        show_cell(s, p->kwh);
        show_cell(s, p->kwh_per_l);
        show_cell(s, p->expected_l);
        show_cell(s, p->apart_pct);
    }
}

/* The same runs again: what does not fit beside the first figures on a page. */
static void show_effort(show *s, const history *h) {
    static const column COLUMNS[] = {
        {NULL, "date", "", 10, 0, COLUMN_WORDS},
        {NULL, "run", "", 15, 0, COLUMN_WORDS},
        {NULL, "time", "h", 6, 1, COLUMN_NUMBERS},
        {NULL, "energy", "kWh", 6, 1, COLUMN_NUMBERS},
        {NULL, "for a litre", "kWh/l", 11, 2, COLUMN_NUMBERS},
        {NULL, "forecast", "l pure", 8, 2, COLUMN_NUMBERS},
        {NULL, "outcome", "%", 8, 1, COLUMN_NUMBERS},
    };
    show_heading(s, "Time, energy for a litre of pure alcohol, outcome against forecast");
    show_table(s, NULL, COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < h->count; i++) {
        const past *p = &h->runs[i];
        show_cell_text(s, p->date[0] == '\0' ? NULL : p->date);
        show_cell_text(s, base_of(p->run.name));
        show_cell(s, p->run.hours);
        show_cell(s, p->kwh);
        show_cell(s, p->kwh_per_l);
        show_cell(s, p->expected_l);
        show_cell(s, p->apart_pct);
    }
}

static void show_sum_row(show *s, const char *key, const char *label, jl_spirit sum) {
    double pure_l = pure_or_0(sum);
    show_cell_text(s, key);
    show_cell_text(s, label);
    show_cell(s, pure_l);
    show_cell(s, pure_l / 100);
    show_cell(s, pure_l > 0 ? jl_proof_gallons_us(sum) : 0);
}

static void show_sums(show *s, const history *h) {
    static const column COLUMNS[] = {
        {"sum", NULL, "", 0, 0, COLUMN_WORDS},
        {NULL, "pure alcohol at 20 °C", "", 22, 0, COLUMN_WORDS},
        {"pure_alcohol_l", "litres", "l", 10, 3, COLUMN_NUMBERS},
        {"pure_alcohol_hl", "hectolitres", "hl", 11, 5, COLUMN_NUMBERS},
        {"proof_gallons_us", "US proof gallons", "at 60 °F", 16, 3, COLUMN_NUMBERS},
    };
    jl_spirit charged = {0, 0}, collected = {0, 0}, hearts = {0, 0}, feints = {0, 0};
    for (size_t i = 0; i < h->count; i++) {
        const past *p = &h->runs[i];
        if (p->run.recovery.charge_stated) charged = jl_blend(charged, p->run.recovery.charge);
        collected = jl_blend(collected, p->collected);
        hearts = jl_blend(hearts, p->hearts);
        feints = jl_blend(feints, p->feints);
    }
    show_heading(s, "All of these runs");
    show_table(s, "sums", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_sum_row(s, "charged", "charged", charged);
    show_sum_row(s, "collected", "collected", collected);
    show_sum_row(s, "hearts", "of it hearts", hearts);
    show_sum_row(s, "feints", "of it feints", feints);
}

/* ---- Trends ---- */

static double recovery_of(const past *p) {
    return p->recovery_pct;
}

static double energy_of(const past *p) {
    return p->kwh_per_l;
}

static double outcome_of(const past *p) {
    return p->apart_pct;
}

static void show_trends(show *s, const history *h) {
    static const struct {
        const char *what, *unit;
        double (*of)(const past *);
    } FIGURES[] = {{"The recovery", "%", recovery_of},
                   {"The energy for a litre", "kWh/l", energy_of},
                   {"The outcome against forecast", "%", outcome_of}};
    double *values = need(calloc(h->count, sizeof *values));
    for (size_t f = 0; f < sizeof FIGURES / sizeof FIGURES[0]; f++) {
        jl_trend trend;
        size_t n = 0;
        for (size_t i = 0; i < h->count; i++)
            if (isfinite(FIGURES[f].of(&h->runs[i]))) values[n++] = FIGURES[f].of(&h->runs[i]);
        if (jl_trend_of(values, n, &trend) != JL_OK || !trend.stands_out) continue;
        show_remark(s,
                    "%s %s from run to run by %.2g ± %.1g %s (k = 2; %zu runs): more than scatter.",
                    FIGURES[f].what, trend.per_step > 0 ? "rises" : "falls", fabs(trend.per_step),
                    JL_COVERAGE_K * trend.standard, FIGURES[f].unit, n);
    }
    free(values);
}

/* A run whose last jar is still far above its stop counts, but perhaps not as a whole. */
static void note_unended(show *s, const history *h) {
    const double far_pct = 20; /* more than a jar falls: common practice, no source */
    for (size_t i = 0; i < h->count; i++) {
        const logged *run = &h->runs[i].run;
        double last_pct = run->jars[run->count - 1].strength_pct;
        bool planned = run->stop.stated || !isnan(run->expected_pure_l);
        if (planned && !run->recovery.left_stated && last_pct > run->stop.pct + far_pct)
            show_warning(
                s,
                "%s ends at %.1f %% vol, its stop is at %g %% vol%s: it may not have run to its "
                "end.",
                base_of(run->name), last_pct, run->stop.pct,
                run->stop.stated && run->stop.followed ? "" : " (default)");
    }
}

static int answer(const args *a, const char *from, const char *to, bool json) {
    history h = {0};
    if (a->count == 0) return fail(EXIT_USAGE, "expected run logs, as run-1.csv run-2.csv");
    if (logfiles_differ(a->rest, a->count) != 0) return EXIT_USAGE;
    int bad = check_date("--from", from);
    if (bad == 0) bad = check_date("--to", to);
    if (bad == 0 && from != NULL && to != NULL && strcmp(from, to) > 0)
        bad = fail(EXIT_USAGE, "--from %s lies after --to %s", from, to);
    if (bad == 0) bad = read_all(&h, a, from, to);
    if (bad == 0 && h.count == 0)
        bad = h.read == 0 ? fail(EXIT_NO, "none of the logs holds a jar yet")
                          : fail(EXIT_NO, "none of the %zu runs began in that period", h.read);
    if (bad == 0) {
        show *s = show_open(json);
        show_runs(s, &h);
        show_effort(s, &h);
        show_sums(s, &h);
        show_trends(s, &h);
        note_unended(s, &h);
        for (size_t i = 0; i < h.undated_count && (from != NULL || to != NULL); i++)
            show_warning(s, "%s has no #started, cannot be put into a period and is left out.",
                         base_of(h.undated[i]));
        for (size_t i = 0; i < h.empty_count; i++)
            show_warning(s, "%s holds no jar yet and is left out.", base_of(h.empty[i]));
        show_assumption(s, "Energy is the stated power for the whole time from start to last jar.");
        show_note(s, "Low wines of a strip run count again as the charge of a spirit run.");
        show_note(s, "For records and returns the authority's own forms and measurements prevail.");
        bad = show_close(s, EXIT_DONE);
    }
    for (size_t i = 0; i < h.count; i++) logged_free(&h.runs[i].run);
    free(h.runs);
    free(h.undated);
    free(h.empty);
    return bad;
}

int command_history(int argc, const char **argv) {
    char *from = NULL, *to = NULL;
    int json = 0;
    const struct poptOption table[] = {
        OPTION("from", &from, "DATE", "only runs that began on this day or later"),
        OPTION("to", &to, "DATE", "only runs that began on this day or earlier"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv ...",
                  "Runs side by side, their sums and trends: --from 2026-01-01 --to 2026-03-31"))
        a.exit_status = answer(&a, from, to, json != 0);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
