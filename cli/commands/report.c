/* report: a run on one page, on paper or as one HTML file: no script, nothing from outside.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/keep.h"
#include "answer/say.h"
#include "answer/status.h"
#include "answer/table.h"
#include "command.h"
#include "input/args.h"
#include "input/bench.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "picture/chart.h"
#include "picture/document.h"
#include "picture/html.h"
#include "picture/marks.h"
#include "picture/paper.h"
#include "picture/run_picture.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- What the page says, apart from how it looks ---- */

/* What the page is asked for. */
typedef struct report_plan {
    double target;               /* bottling strength, a mass fraction */
    bool target_default;         /* not asked for */
    double bottle_l;             /* 0: none */
    const setting_options *with; /* whose bench file has the instruments */
} report_plan;

typedef struct report {
    const run_picture *run;
    char *facts; /* "2026-10-17 09:05 · charge 10 L at ..." */
    page_part jars, fractions, balance, dilution, uncertainty;
    page_sentences notes, cautions, sources;
} report;

/* ---- Jars: one a row, or several where a page has not room for all ---- */

static const column JAR_COLUMNS[] = {
    {NULL, "jar", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "time", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "reading", "", 0, 1, COLUMN_NUMBERS},
    {NULL, "temperature", "°C", 0, 1, COLUMN_NUMBERS},
    {NULL, "volume", "L", 0, 3, COLUMN_NUMBERS},
    {NULL, "strength", "% vol", 0, 1, COLUMN_NUMBERS},
    {NULL, "volume", "L so far", 0, 3, COLUMN_NUMBERS},
    {NULL, "pure alcohol", "L so far", 0, 3, COLUMN_NUMBERS},
    {NULL, "head", "°C", 0, 1, COLUMN_NUMBERS},
    {NULL, "fraction", "", 0, 0, COLUMN_WORDS},
    {NULL, "note", "", 0, 0, COLUMN_NOTES},
};

static void cell_time(struct table *t, const jl_jar *jar) {
    char text[JL_TIME_BYTES] = "";
    if (jar->has_time) jl_time_write(jar->time, text, sizeof text);
    table_add_print(t, "%.5s", strlen(text) > 16 ? text + 11 : "");
}

static void cell_reading(struct table *t, const jl_jar *jar) {
    if (jar->has_reading && jar->reading.unit == JL_UNIT_PROOF_US)
        table_add_print(t, "%.1f proof", jar->reading.value);
    else
        table_add_number(t, jar->has_reading ? jar->reading.value : NAN);
}

static void cells_collected(struct table *t, const jl_jar *jar) {
    table_row(t, CELLS(V(jl_volume_l(jar->so_far, JL_STRENGTH_C)),
                       V(jl_pure_alcohol_l(jar->so_far)), V(jar->head_c)));
}

static void one_jar(const jl_jar *jar, struct table *t) {
    table_add_text(t, jar->name);
    cell_time(t, jar);
    cell_reading(t, jar);
    table_row(t, CELLS(V(jar->temp_c), V(jl_volume_l(jar->spirit, JL_STRENGTH_C)),
                       V(jl_spirit_strength_pct(jar->spirit))));
    cells_collected(t, jar);
    table_row(
        t, CELLS(V(jl_fraction_name(jar->fraction)), V(jar->note_length > 0 ? jar->note : NULL)));
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
    table_add_print(t, "%s-%s", jars[0].name, last->name);
    for (int i = 0; i < 3; i++) table_add_text(t, NULL);
    table_row(t, CELLS(V(volume_l), V(jl_spirit_strength_pct(all))));
    cells_collected(t, last);
    table_row(t, CELLS(V(mixed ? "several" : jl_fraction_name(jars[0].fraction)), V_MISSING));
}

static void report_jars(const run_picture *run, size_t most, report *r) {
    size_t count = run->count, each = (count + most - 1) / most;
    struct table *t =
        page_part_table(&r->jars, "Jars", JAR_COLUMNS, sizeof JAR_COLUMNS / sizeof JAR_COLUMNS[0]);
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
    {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "jars", "", 0, 0, COLUMN_WORDS},
    {NULL, NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "volume", "L", 0, 3, COLUMN_NUMBERS},
    {NULL, "strength", "% vol", 0, 1, COLUMN_NUMBERS},
    {NULL, "pure alcohol", "L", 0, 3, COLUMN_NUMBERS},
    {NULL, "of it", "%", 0, 1, COLUMN_NUMBERS},
};

static void fill_fractions(const run_picture *run, report *r) {
    const jl_tally *tally = jl_run_tally(run->run);
    jl_spirit all = jl_tally_sum(tally, JL_OF_ALL).spirit;
    struct table *t =
        page_part_table(&r->fractions, "Fractions, blended, at 20 °C", FRACTION_COLUMNS,
                        sizeof FRACTION_COLUMNS / sizeof FRACTION_COLUMNS[0]);
    fraction_rows(t, tally, run->jars, run->count, NULL);
    table_row(t, CELLS(V("all"), V_MISSING, V_MISSING, V_AMOUNT(all), V(100)));
}

/* ---- Balance ---- */

static const column PAIRS[] = {
    {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "", "", 0, 0, COLUMN_WORDS},
};

static void pair(struct table *t, const char *label, double value, int decimals, const char *unit) {
    table_row(t, CELLS(V(label), v_with(value, decimals), V(unit)));
}

static void fill_balance(const run_picture *run, report *r) {
    const jl_recovery *v = jl_run_recovery(run->run);
    struct table *t = page_part_table(&r->balance, "Balance of pure alcohol, at 20 °C", PAIRS, 3);
    if (!v->charge_stated)
        page_sentence(&r->notes, "No balance: the log does not state charge_l and "
                                 "charge_strength_pct.");
    if (v->charge_stated) pair(t, "charged", jl_pure_alcohol_l(v->charge), 3, "L");
    pair(t, "collected", jl_pure_alcohol_l(v->collected), 3, "L");
    if (v->left_stated) pair(t, "left in the boiler", jl_pure_alcohol_l(v->left), 3, "L");
    if (!v->charge_stated) return;
    pair(t, "not recovered", v->missing_l, 3, "L");
    pair(t, "recovered", v->recovery_pct, 1, "%");
}

/* ---- To the bottle ---- */

static void fill_dilution(const report_plan *plan, jl_spirit hearts, jl_spirit water, report *r) {
    struct table *t = r->dilution.table;
    double target_pct = NAN;
    jl_spirit result = jl_blend(hearts, water);
    double volume_l = jl_volume_l(result, JL_STRENGTH_C);
    jl_strength_pct(plan->target, JL_STRENGTH_C, &target_pct);
    pair(t, "hearts", jl_volume_l(hearts, JL_STRENGTH_C), 3, "L");
    pair(t, "at", jl_spirit_strength_pct(hearts), 2, "% vol");
    pair(t, "to", target_pct, 2, "% vol");
    pair(t, "water, on a scale", jl_scale_kg(water, JL_STRENGTH_C), 3, "kg");
    pair(t, "or, at 20 °C", jl_volume_l(water, JL_STRENGTH_C), 3, "L");
    pair(t, "makes", volume_l, 3, "L");
    if (plan->bottle_l > 0) {
        char label[48];
        snprintf(label, sizeof label, "full bottles of %g L", plan->bottle_l);
        pair(t, label, jl_fill_bottles(volume_l, plan->bottle_l).full, 0, "");
    }
}

static int report_dilution(const run_picture *run, const report_plan *plan, report *r) {
    jl_spirit hearts = jl_run_tally(run->run)->of[JL_HEARTS].spirit, water;
    page_part_table(&r->dilution, "Hearts to bottling strength", PAIRS, 3);
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
    struct table *t = page_part_table(&r->uncertainty, what, PAIRS, 3);
    uncertainty_row(t, "volume", uncertainties[VOLUME], 3, "L");
    uncertainty_row(t, "strength", uncertainties[STRENGTH], 2, "% vol");
    uncertainty_row(t, "pure alcohol", uncertainties[PURE], 3, "L");
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
    int bad = uncertainty_read(&options, plan->with, &u);
    if (bad != 0) return bad;
    blend_of b = {need(calloc(run->count, sizeof *b.jars)), 0};
    for (size_t i = 0; i < run->count; i++)
        if (!hearts || run->jars[i].fraction == JL_HEARTS)
            b.jars[b.count++] = jl_measure_amount(&u.by, jl_jar_amount(&run->jars[i]), &instrument);
    jl_status status = jl_budget_first_order(u.by.budget, blend_model, &b, FIGURES, uncertainties);
    if (status == JL_OK)
        fill_uncertainty(uncertainties, hearts ? "Uncertainty: hearts" : "Uncertainty: all jars",
                         r);
    else
        page_sentence(&r->notes, "No uncertainty: %s within that of the instruments.",
                      jl_status_text(status));
    if (status == JL_OK)
        page_sentence(
            &r->notes,
            "± is about 95 %% (k = 2), to first order (JCGM 100), from jug, alcoholometer "
            "and thermometer%s.",
            bench_path(plan->with->bench, plan->with->log) != NULL
                ? " as the bench file states them"
                : " as common practice has them (no source; a bench file states them)");
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

/* jars_most: rows of the jar table; a longer run has several jars in a row. Returns the exit
 * status, or 0; the report is to be freed in any case. */
static int report_fill(const run_picture *run, const report_plan *plan, size_t jars_most,
                       report *r) {
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

static void report_free(report *r) {
    free(r->facts);
    table_free(r->jars.table);
    table_free(r->fractions.table);
    table_free(r->balance.table);
    table_free(r->dilution.table);
    table_free(r->uncertainty.table);
    page_sentences_free(&r->notes);
    page_sentences_free(&r->cautions);
    page_sentences_free(&r->sources);
}

/* Rows of jars that a page has room for. */
enum { REPORT_PAGE_JARS = 24 };

static const double MARGIN = 31, GAP = 8, FACTS = 8, CHART_TYPE = 8;

/* ---- The page ---- */

static double put_head(const report *r, box page, sheet *s) {
    char words[256];
    const run_picture *p = r->run;
    double y = page.y;
    sheet_text(s, MARK_TITLE, (box){page.x, y, page.w, 22}, ALIGN_LEFT, 15, p->title)->bold = true;
    y += 22;
    int lines = text_lines(r->facts == NULL ? "" : r->facts, FACTS, page.w);
    if (lines > 3) lines = 3;
    double h = lines * line_height(FACTS) * 0.9;
    if (lines > 0)
        sheet_text(s, MARK_NOTE, (box){page.x, y, page.w, h}, ALIGN_LEFT, FACTS, r->facts)->wraps =
            true;
    y += h;
    picture_words_collected(p, words, sizeof words);
    sheet_text(s, MARK_NOTE, (box){page.x, y, page.w, 12}, ALIGN_LEFT, FACTS, words)->bold = true;
    return y + 12 + 0.6 * GAP;
}

/* Fractions and how sure at the left, balance and water at the right. */
static double lower_h(const report *r) {
    return fmax(page_part_h(&r->fractions) + GAP + page_part_h(&r->uncertainty),
                page_part_h(&r->balance) + GAP + page_part_h(&r->dilution));
}

static void put_lower(const report *r, box at, sheet *s) {
    double left = 0.58 * at.w - GAP, x = at.x + 0.58 * at.w + GAP, right = 0.42 * at.w - GAP;
    double y = page_put_part(&r->fractions, (box){at.x, at.y, left, at.h}, s);
    page_put_part(&r->uncertainty, (box){at.x, y + GAP, 0.62 * left, at.h}, s);
    y = page_put_part(&r->balance, (box){x, at.y, right, at.h}, s);
    page_put_part(&r->dilution, (box){x, y + (y > at.y ? GAP : 0), right, at.h}, s);
}

static double foot_h(const report *r, double width) {
    return page_sentences_h(&r->notes, width) + page_sentences_h(&r->cautions, width) +
           page_sentences_h(&r->sources, width) + 8;
}

static void put_foot(const report *r, box at, sheet *s) {
    sheet_straight(s, MARK_RULE, 0.6, TONE_GREY, (place){at.x, at.y}, (place){at.x + at.w, at.y});
    at.y = page_put_sentences(&r->notes, (box){at.x, at.y + 4, at.w, at.h}, s);
    at.y = page_put_sentences(&r->cautions, (box){at.x, at.y + 2, at.w, at.h}, s);
    page_put_sentences(&r->sources, (box){at.x, at.y + 2, at.w, at.h}, s);
}

/* One page; width and height in points. */
static void report_page(const report *r, double width, double height, sheet *s) {
    const run_picture *p = r->run;
    chart_axes axes = chart_axes_for(p, 1);
    box page = {MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN};
    sheet_begin(s, width, height);
    double y = put_head(r, page, s), bottom = page.y + page.h;
    double foot = foot_h(r, page.w), lower = lower_h(r), jars = page_part_h(&r->jars);
    double chart = fmin(bottom - y - foot - lower - jars - 3 * GAP, 400);
    chart_run(p, (box){page.x, y, page.w, chart}, CHART_TYPE, &axes, s);
    y += chart + GAP;
    y = page_put_part(&r->jars, (box){page.x, y, page.w, jars}, s) + GAP;
    put_lower(r, (box){page.x, y, page.w, lower}, s);
    put_foot(r, (box){page.x, bottom - foot, page.w, foot}, s);
}

/* ---- As one HTML file ---- */

/* What the chart shows, for those who do not see it. */
static void put_alternative(const run_picture *p, char *text, size_t size) {
    char collected[256];
    picture_words_collected(p, collected, sizeof collected);
    snprintf(text, size,
             "Chart of the run: strength jar by jar, from %.1f to %.1f %% vol at 20 °C, over the "
             "volume collected%s. %s. The figures stand in the table of jars.",
             jl_spirit_strength_pct(p->jars[0].spirit),
             jl_spirit_strength_pct(p->jars[p->count - 1].spirit),
             picture_has_head(p) ? ", with the head temperature" : "", collected);
}

/* wide, narrow: the chart as SVG; width and height in points, for printing. */
static void report_html(const report *r, const bytes *wide, const bytes *narrow, double width,
                        double height, bytes *b) {
    const run_picture *p = r->run;
    const page_part *const parts[] = {&r->jars, &r->fractions, &r->balance, &r->dilution,
                                      &r->uncertainty};
    const page_sentences *const foot[] = {&r->notes, &r->cautions, &r->sources};
    char words[512];
    html_begin(b, p->title, width, height);
    html_line(b, r->facts == NULL ? "" : r->facts, false);
    picture_words_collected(p, words, sizeof words);
    html_line(b, words, true);
    html_contents(b, parts, 5);
    put_alternative(p, words, sizeof words);
    html_picture(b, wide, narrow, words);
    html_part(b, &r->jars);
    bytes_print(b, "<div class=\"pair\">\n");
    for (size_t i = 1; i < 5; i++) html_part(b, parts[i]);
    bytes_print(b, "</div>\n");
    html_foot(b, foot, 3);
    html_end(b);
}

typedef struct words {
    char *to, *bottle;
    setting_options with;
    paper_options paper;
} words;

static int read_plan(const words *w, report_plan *plan) {
    *plan = (report_plan){.target_default = w->to == NULL, .with = &w->with};
    int bad = arg_strength("--to", w->to == NULL ? "40%" : w->to, &plan->target);
    if (bad == 0) bad = arg_value("--bottle", w->bottle, JL_VOLUME, &plan->bottle_l);
    if (bad != 0) return bad;
    if (!(plan->target > 0))
        return fail_argument("--to", w->to, JL_RANGE, "a strength above 0, as 40%");
    if (w->bottle != NULL && !(plan->bottle_l > 0))
        return fail_argument("--bottle", w->bottle, JL_RANGE, "a volume above 0, as 700mL");
    return EXIT_DONE;
}

static int make_pdf(const words *w, const report *r) {
    double width, height;
    sheet s;
    int bad = paper_size(&w->paper, &width, &height);
    if (bad != 0) return bad;
    report_page(r, width, height, &s);
    bad = paper_make(&w->paper, &s, PAPER_PDF, r->run->title);
    sheet_free(&s);
    return bad;
}

/* The chart for a screen so wide. */
static int draw_chart(const run_picture *run, double width, double height, bytes *b) {
    sheet s;
    chart_axes axes = chart_axes_for(run, 1);
    sheet_begin(&s, width, height);
    chart_run(run, (box){0, 4, width, height - 8}, 12, &axes, &s);
    int bad = paper_draw(&s, PAPER_SVG, run->title, b);
    sheet_free(&s);
    return bad;
}

static int make_html(const words *w, const report *r) {
    bytes wide = {0}, narrow = {0}, page = {0};
    double page_w, page_h;
    int bad = paper_size(&w->paper, &page_w, &page_h);
    if (bad == 0) bad = draw_chart(r->run, HTML_WIDE_ROOM_PX, 430, &wide);
    if (bad == 0) bad = draw_chart(r->run, HTML_NARROW_ROOM_PX, 430, &narrow);
    if (bad == 0) {
        report_html(r, &wide, &narrow, page_w, page_h, &page);
        bad = output_write(&w->paper.file, page.data, page.count);
    }
    bytes_free(&wide);
    bytes_free(&narrow);
    bytes_free(&page);
    return bad;
}

static int make(const words *w, const report_plan *plan, paper_format format,
                const run_picture *run) {
    report r;
    size_t most = format == PAPER_PDF ? REPORT_PAGE_JARS : run->count;
    int bad = report_fill(run, plan, most, &r);
    if (bad == 0) bad = format == PAPER_PDF ? make_pdf(w, &r) : make_html(w, &r);
    report_free(&r);
    return bad;
}

static int answer(const words *w, const char *path) {
    paper_format format;
    report_plan plan;
    run_picture run;
    if (w->paper.file.path == NULL)
        return fail(EXIT_USAGE, "-o is missing; expected the page to make, as -o run.pdf or "
                                "-o run.html");
    int bad = paper_format_of(w->paper.file.path, 1 << PAPER_PDF | 1 << PAPER_HTML, &format);
    if (bad == 0) bad = read_plan(w, &plan);
    if (bad == 0) bad = picture_read(path, &run);
    if (bad != 0) return bad;
    if (run.count > 0)
        bad = make(w, &plan, format, &run);
    else
        bad = fail(EXIT_DATA, "%s: no jar has been recorded yet, so there is nothing to report",
                   path);
    picture_free(&run);
    return bad == 0 ? say_written(&w->paper.file) : bad;
}

int command_report(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("to", &w.to, "STRENGTH", "bottling strength of the hearts (40%)"),
        OPTION("bottle", &w.bottle, "VOLUME", "count bottles of this volume"),
        BENCH_OPTION(w.with),
        PAPER_OPTIONS(w.paper, "run.pdf or run.html"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv -o run.pdf|run.html",
                  "A run on one page: facts, chart, jars, fractions, balance, dilution")) {
        w.with.log = a.rest[0];
        a.exit_status = a.count == 1 ? answer(&w, a.rest[0])
                                     : fail(EXIT_USAGE, "expected one run log, as run.csv");
    }
    return args_close(&a);
}
