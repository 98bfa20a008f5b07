/* What the page of a run says: jars, fractions, balance, water to bottling strength, how sure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/report/contents.h"
#include "answer/bytes.h"
#include "answer/figures.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/logfile.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void page_sentence(report_sentences *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static struct table *report_table(report_part *part, const char *heading, const column *columns,
                                  size_t count) {
    part->heading = heading;
    return part->table = table_new(columns, count);
}

static void page_sentence(report_sentences *s, const char *format, ...) {
    va_list list;
    va_start(list, format);
    if (vasprintf(&s->text[s->count++], format, list) < 0) need(NULL);
    va_end(list);
}

/* ---- Jars: one a row, or several where a page has not room for all ---- */

static const column JAR_COLUMNS[] = {
    {NULL, "jar", "", 0, 0, COLUMN_NUMBERS},     {NULL, "time", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "reads", "", 0, 1, COLUMN_NUMBERS},   {NULL, "at", "°C", 0, 1, COLUMN_NUMBERS},
    {NULL, "volume", "l", 0, 3, COLUMN_NUMBERS}, {NULL, "strength", "% vol", 0, 2, COLUMN_NUMBERS},
    {NULL, "so far", "l", 0, 3, COLUMN_NUMBERS}, {NULL, "pure", "l", 0, 3, COLUMN_NUMBERS},
    {NULL, "head", "°C", 0, 1, COLUMN_NUMBERS},  {NULL, "fraction", "", 0, 0, COLUMN_WORDS},
    {NULL, "note", "", 0, 0, COLUMN_NOTES},
};

static void cell_time(struct table *t, const jl_jar *jar) {
    char text[JL_TIME_BYTES] = "";
    if (jar->has_time) jl_time_write(jar->time, text, sizeof text);
    table_add_print(t, "%.5s", strlen(text) > 16 ? text + 11 : "");
}

static void cell_reading(struct table *t, const jl_jar *jar) {
    if (jar->has_reading && jar->reading.unit == JL_UNIT_PROOF_US)
        table_add_print(t, "%.1f pf", jar->reading.value);
    else
        table_add_number(t, jar->has_reading ? jar->reading.value : NAN);
}

static void cells_collected(struct table *t, const jl_jar *jar) {
    table_add_number(t, jl_volume_l(jar->so_far, JL_STRENGTH_C));
    table_add_number(t, jl_pure_alcohol_l(jar->so_far));
    table_add_number(t, jar->head_c);
}

static void one_jar(const jl_jar *jar, struct table *t) {
    table_add_number(t, (double)jar->number);
    cell_time(t, jar);
    cell_reading(t, jar);
    table_add_number(t, jar->temp_c);
    table_add_number(t, jl_volume_l(jar->spirit, JL_STRENGTH_C));
    table_add_number(t, jl_spirit_strength_pct(jar->spirit));
    cells_collected(t, jar);
    table_add_text(t, jl_fraction_name(jar->fraction));
    table_add_text(t, jar->note_length > 0 ? jar->note : NULL);
}

/* Volumes added, strengths as blended; what is one jar's alone stays out. */
static void several_jars(const jl_jar *jars, size_t count, struct table *t) {
    const jl_jar *last = &jars[count - 1];
    jl_spirit all = {0, 0};
    bool mixed = false;
    double volume_l = 0;
    for (size_t i = 0; i < count; i++) {
        all = jl_blend(all, jars[i].spirit);
        volume_l += jl_volume_l(jars[i].spirit, JL_STRENGTH_C);
        mixed = mixed || jars[i].fraction != jars[0].fraction;
    }
    table_add_print(t, "%" PRIu32 "-%" PRIu32, jars[0].number, last->number);
    for (int i = 0; i < 3; i++) table_add_text(t, NULL);
    table_add_number(t, volume_l);
    table_add_number(t, jl_spirit_strength_pct(all));
    cells_collected(t, last);
    table_add_text(t, mixed ? "several" : jl_fraction_name(jars[0].fraction));
    table_add_text(t, NULL);
}

static void report_jars(const run_picture *run, size_t most, report *r) {
    size_t count = run->count, each = (count + most - 1) / most;
    struct table *t =
        report_table(&r->jars, "Jars", JAR_COLUMNS, sizeof JAR_COLUMNS / sizeof JAR_COLUMNS[0]);
    for (size_t i = 0; i < count; i += each) {
        size_t together = i + each < count ? each : count - i;
        if (together == 1)
            one_jar(&run->jars[i], t);
        else
            several_jars(&run->jars[i], together, t);
    }
    if (each > 1)
        page_sentence(
            &r->notes,
            "%zu jars, %zu in a row: volumes added, strengths as blended, notes left out; "
            "the log and the HTML page have them all.",
            count, each);
}

/* ---- Fractions ---- */

static const column FRACTION_COLUMNS[] = {
    {NULL, "", "", 0, 0, COLUMN_WORDS},          {NULL, "jars", "", 0, 0, COLUMN_WORDS},
    {NULL, "volume", "l", 0, 3, COLUMN_NUMBERS}, {NULL, "strength", "% vol", 0, 2, COLUMN_NUMBERS},
    {NULL, "pure", "l", 0, 3, COLUMN_NUMBERS},   {NULL, "of it", "%", 0, 1, COLUMN_NUMBERS},
};

static void add_numbers(struct table *t, const run_picture *p, jl_fraction fraction) {
    uint32_t *numbers = need(calloc(p->count + 1, sizeof *numbers));
    size_t count = 0;
    for (size_t i = 0; i < p->count; i++)
        if (p->jars[i].fraction == fraction) numbers[count++] = p->jars[i].number;
    table_add_numbers(t, numbers, count);
    free(numbers);
}

static void add_total(struct table *t, jl_total total, double all_pure_l) {
    double pure_l = jl_pure_alcohol_l(total.spirit);
    table_add_number(t, jl_volume_l(total.spirit, JL_STRENGTH_C));
    table_add_number(t, jl_spirit_strength_pct(total.spirit));
    table_add_number(t, pure_l);
    table_add_number(t, 100 * pure_l / all_pure_l);
}

static void fill_fractions(const run_picture *run, report *r) {
    static const jl_fraction ORDER[] = {JL_FORESHOTS, JL_HEADS, JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    jl_total all = jl_tally_sum(jl_run_tally(run->run), JL_OF_ALL);
    double all_pure_l = jl_pure_alcohol_l(all.spirit);
    struct table *t = report_table(&r->fractions, "Fractions, blended, at 20 °C", FRACTION_COLUMNS,
                                   sizeof FRACTION_COLUMNS / sizeof FRACTION_COLUMNS[0]);
    for (size_t i = 0; i < JL_FRACTIONS; i++) {
        jl_total total = jl_run_tally(run->run)->of[ORDER[i]];
        if (total.jars == 0) continue;
        table_add_text(t, jl_fraction_name(ORDER[i]));
        add_numbers(t, run, ORDER[i]);
        add_total(t, total, all_pure_l);
    }
    table_add_text(t, "all");
    table_add_text(t, NULL);
    add_total(t, all, all_pure_l);
}

/* ---- Balance ---- */

static const column PAIRS[] = {
    {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "", "", 0, 0, COLUMN_WORDS},
};

static void pair(struct table *t, const char *label, double value, int decimals, const char *unit) {
    table_add_text(t, label);
    table_add_number_with(t, value, decimals);
    table_add_text(t, unit);
}

static void fill_balance(const run_picture *run, report *r) {
    const jl_recovery *v = jl_run_recovery(run->run);
    struct table *t = report_table(&r->balance, "Balance of pure alcohol, at 20 °C", PAIRS, 3);
    if (!v->charge_stated)
        page_sentence(&r->notes, "No balance: the log does not state charge_l and "
                                 "charge_strength_pct.");
    if (v->charge_stated) pair(t, "in the charge", jl_pure_alcohol_l(v->charge), 3, "l");
    pair(t, "collected", jl_pure_alcohol_l(v->collected), 3, "l");
    if (v->left_stated) pair(t, "left in the boiler", jl_pure_alcohol_l(v->left), 3, "l");
    if (!v->charge_stated) return;
    pair(t, v->left_stated ? "missing" : "left or missing", v->missing_l, 3, "l");
    pair(t, "recovered", v->recovery_pct, 1, "%");
}

/* ---- To the bottle ---- */

static void fill_dilution(const report_plan *plan, jl_spirit hearts, jl_spirit water, report *r) {
    struct table *t = r->dilution.table;
    double target_pct = NAN;
    jl_spirit result = jl_blend(hearts, water);
    double volume_l = jl_volume_l(result, JL_STRENGTH_C);
    jl_strength_pct(plan->target, JL_STRENGTH_C, &target_pct);
    pair(t, "hearts", jl_volume_l(hearts, JL_STRENGTH_C), 3, "l");
    pair(t, "at", jl_spirit_strength_pct(hearts), 2, "% vol");
    pair(t, "to", target_pct, 2, "% vol");
    pair(t, "water, on a scale", jl_scale_kg(water, JL_STRENGTH_C), 3, "kg");
    pair(t, "or, at 20 °C", jl_volume_l(water, JL_STRENGTH_C), 3, "l");
    pair(t, "makes", volume_l, 3, "l");
    if (plan->bottle_l > 0) {
        char label[48];
        snprintf(label, sizeof label, "full bottles of %g l", plan->bottle_l);
        pair(t, label, jl_fill_bottles(volume_l, plan->bottle_l).full, 0, "");
    }
}

static int report_dilution(const run_picture *run, const report_plan *plan, report *r) {
    jl_spirit hearts = jl_run_tally(run->run)->of[JL_HEARTS].spirit, water;
    report_table(&r->dilution, "Hearts to bottling strength", PAIRS, 3);
    if (jl_run_tally(run->run)->of[JL_HEARTS].jars == 0) {
        page_sentence(&r->notes, "No jar is hearts yet, so there is nothing to bring to bottling "
                                 "strength.");
        return EXIT_DONE;
    }
    jl_status status = jl_bring_to(hearts, 0, plan->target, &water);
    if (status == JL_OK)
        fill_dilution(plan, hearts, water, r);
    else
        page_sentence(
            &r->notes,
            "The hearts have %.2f %% vol, not above the bottling strength: water can only "
            "make them weaker.",
            jl_spirit_strength_pct(hearts));
    if (status == JL_OK && plan->target_default)
        page_sentence(&r->notes, "Bottling strength 40 %% vol is a default; --to changes it.");
    return EXIT_DONE;
}

/* ---- How sure ---- */

enum { UNCERTAINTY_JARS_MOST = 120, VOLUME = 0, STRENGTH, PURE, FIGURES };

typedef struct blend_of {
    jl_measured_amount *jars;
    size_t count;
} blend_of;

static jl_status blend_model(const double *x, double *v, void *with) {
    const blend_of *b = with;
    jl_spirit all;
    double parts_l;
    jl_status status = jl_measured_blend_at(b->jars, b->count, x, &all, &parts_l);
    if (status != JL_OK) return status;
    v[VOLUME] = jl_volume_l(all, JL_STRENGTH_C);
    v[STRENGTH] = jl_spirit_strength_pct(all);
    v[PURE] = jl_pure_alcohol_l(all);
    return JL_OK;
}

static void uncertainty_row(struct table *t, const char *label, jl_uncertainty found, int decimals,
                            const char *unit) {
    table_add_text(t, label);
    table_add_print(t, "%.*f ± %.*f", decimals, found.value, decimals,
                    JL_COVERAGE_K * found.standard);
    table_add_text(t, unit);
}

static void fill_uncertainty(const jl_uncertainty *uncertainties, const char *what, report *r) {
    struct table *t = report_table(&r->uncertainty, what, PAIRS, 3);
    uncertainty_row(t, "volume", uncertainties[VOLUME], 3, "l");
    uncertainty_row(t, "strength", uncertainties[STRENGTH], 2, "% vol");
    uncertainty_row(t, "pure alcohol", uncertainties[PURE], 3, "l");
}

static int report_uncertainty(const run_picture *run, const report_plan *plan, report *r) {
    const uncertainty_options options = {.uncertainty = 1};
    jl_alcoholometer instrument = jl_run_instrument(run->run);
    bool hearts = jl_run_tally(run->run)->of[JL_HEARTS].jars > 0;
    jl_uncertainty uncertainties[FIGURES];
    uncertainty u;
    if (run->count > UNCERTAINTY_JARS_MOST) {
        page_sentence(&r->notes, "No uncertainty on this page: it is worked out for up to %d jars.",
                      UNCERTAINTY_JARS_MOST);
        return EXIT_DONE;
    }
    int bad = uncertainty_read(&options, plan->instruments, &u);
    if (bad != 0) return bad;
    blend_of b = {need(calloc(run->count, sizeof *b.jars)), 0};
    for (size_t i = 0; i < run->count; i++)
        if (!hearts || run->jars[i].fraction == JL_HEARTS)
            b.jars[b.count++] = jl_measure_amount(&u.by, jl_jar_amount(&run->jars[i]), &instrument);
    jl_status status = jl_budget_first_order(u.by.budget, blend_model, &b, FIGURES, uncertainties);
    if (status == JL_OK)
        fill_uncertainty(uncertainties, hearts ? "How sure: hearts" : "How sure: all jars", r);
    else
        page_sentence(&r->notes, "No uncertainty: %s within that of the instruments.",
                      jl_status_text(status));
    if (status == JL_OK)
        page_sentence(
            &r->notes,
            "± is about 95 %% (k = 2), to first order (JCGM 100), from jug, alcoholometer "
            "and thermometer%s.",
            plan->instruments != NULL
                ? " as --instrument states them"
                : " as common practice has them (no source; --instrument FILE states them)");
    free(b.jars);
    uncertainty_free(&u);
    return EXIT_DONE;
}

/* ---- All of it ---- */

static void fill_facts(const run_picture *run, report *r) {
    static const char *const SHOWN_ELSEWHERE[] = {
        "jarline", "title", "started", "expect", "undone", "charge_l", "charge_strength_pct"};
    size_t elsewhere_count = jl_run_recovery(run->run)->charge_stated ? 7 : 5;
    char words[256];
    bytes b = {0};
    const jl_facts *facts = jl_run_facts(run->run);
    const jl_fact *fact;
    picture_words_charge(run, words, sizeof words);
    bytes_print(&b, "%s", words);
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        bool elsewhere = jl_facts_find(facts, fact->key) != fact || fact->count == 0;
        for (size_t k = 0; k < elsewhere_count; k++)
            elsewhere = elsewhere || strcmp(fact->key, SHOWN_ELSEWHERE[k]) == 0;
        if (!elsewhere) bytes_print(&b, "%s%s %s", b.count > 0 ? " · " : "", fact->key, fact->text);
    }
    r->facts = b.data;
}

static void fill_sentences(const run_picture *run, report *r) {
    if (run->expected_count > 0)
        page_sentence(&r->cautions, "The forecast is a model's: equilibrium stages, no holdup, no "
                                    "heat lost in the head, a wash taken as ethanol and water.");
    page_sentence(&r->cautions,
                  "Hot alcohol vapour burns and is heavier than air: no flame or spark "
                  "near it, never close a boiler, never leave a running still.");
    page_sentence(&r->cautions,
                  "No figure here shows that a spirit is fit to drink: methanol is not "
                  "confined to the first runnings.");
    page_sentence(&r->cautions,
                  "Most countries require a licence to distil, and a strength on a label needs "
                  "instruments and a practice that your authority accepts: ask it.");
    page_sentence(
        &r->sources,
        "Strength, volume and pure alcohol by OIML R 22 (1975), readings after OIML R 44, "
        "US proof by 27 CFR part 30, weighing in air by OIML D 28. Jarline %s.",
        JARLINE_VERSION);
}

int report_fill(const run_picture *run, const report_plan *plan, size_t jars_most, report *r) {
    *r = (report){.run = run,
                  .notes = {.heading = "Notes"},
                  .cautions = {.heading = "Cautions"},
                  .sources = {.heading = "Sources"}};
    fill_facts(run, r);
    report_jars(run, jars_most, r);
    fill_fractions(run, r);
    fill_balance(run, r);
    if (jl_run_tally(run->run)->at_20c > 0)
        page_sentence(&r->notes, "%zu jar%s without a temperature: the volume counts as at 20 °C.",
                      jl_run_tally(run->run)->at_20c,
                      jl_run_tally(run->run)->at_20c == 1 ? "" : "s");
    int bad = report_dilution(run, plan, r);
    if (bad == 0) bad = report_uncertainty(run, plan, r);
    fill_sentences(run, r);
    return bad;
}

static void free_sentences(report_sentences *s) {
    for (size_t i = 0; i < s->count; i++) free(s->text[i]);
}

void report_free(report *r) {
    free(r->facts);
    table_free(r->jars.table);
    table_free(r->fractions.table);
    table_free(r->balance.table);
    table_free(r->dilution.table);
    table_free(r->uncertainty.table);
    free_sentences(&r->notes);
    free_sentences(&r->cautions);
    free_sentences(&r->sources);
}
