/* report: a run on paper or as one HTML file: no script, nothing from outside.
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
#include "answer/units.h"
#include "command.h"
#include "input/bench.h"
#include "input/part.h"
#include "learn/trend.h"
#include "picture/chart.h"
#include "picture/html.h"
#include "picture/paper.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* ---- What the page says, apart from how it looks ---- */

/* What the page is asked for. */
typedef struct report_plan {
    double target;       /* bottling strength, a mass fraction */
    bool target_default; /* not asked for */
    double bottle_l;     /* 0: none */
    double volume_l;     /* where the chart's axis ends; 0: the house's, or as the run asks */
    double house_l;      /* the bench file's; NaN: none */
    const char *house;   /* "": not named */
    const setting_options *with; /* whose bench file has the instruments */
    jl_instruments instruments;
} report_plan;

/* The balance's figures, and those of the water to the hearts. */
enum {
    CHARGED,
    COLLECTED,
    LEFT,
    NOT_RECOVERED,
    RECOVERED,
    FORECAST,
    FORECAST_RECOVERED,
    APART,
    BALANCE_FIGURES
};
enum { WATER_KG, WATER_L, MADE_L, MADE_PCT, BOTTLES, BOTTLE_L, LEFT_OVER_L, DILUTION_FIGURES };
/* Logs that state a charge, what was left, a forecast, a charge and a forecast; bottles are asked
 * for. */
enum { OF_CHARGE = 1, OF_LEFT = 2, OF_FORECAST = 4, OF_BOTH = 8, OF_BOTTLES = 16 };

static const figure BALANCE[BALANCE_FIGURES] = {
    [CHARGED] = {"charged_l", "charged", "L", 3, .of = OF_CHARGE},
    [COLLECTED] = {"collected_l", "collected", "L", 3},
    [LEFT] = {"left_l", "left in the boiler", "L", 3, .of = OF_LEFT},
    [NOT_RECOVERED] = {"not_recovered_l", "not recovered", "L", 3, .difference = true,
                       .of = OF_CHARGE},
    [RECOVERED] = {"recovery_pct", "recovered", "%", 1, .of = OF_CHARGE},
    [FORECAST] = {"expected_pure_alcohol_l", "forecast", "L", 3, .of = OF_FORECAST},
    [FORECAST_RECOVERED] = {"expected_recovery_pct", "forecast, recovered", "%", 1, .of = OF_BOTH},
    [APART] = {"apart_pct", "collected against it", "%", 1, .of = OF_FORECAST},
};

static const figure DILUTION[DILUTION_FIGURES] = {
    [WATER_KG] = {"water_scale_kg", NULL, "kg", 3},
    [WATER_L] = {"water_l", NULL, "L", 3},
    [MADE_L] = {"volume_l", NULL, "L", 3},
    [MADE_PCT] = {"strength_pct", NULL, "% vol", 2},
    [BOTTLES] = {"bottles", NULL, "", 0, .of = OF_BOTTLES},
    [BOTTLE_L] = {"bottle_l", NULL, "L", 3, .of = OF_BOTTLES},
    [LEFT_OVER_L] = {"left_over_l", NULL, "L", 3, .of = OF_BOTTLES},
};

typedef struct report {
    const run_picture *run;
    jl_past past;
    unsigned has; /* of the figures below, as bits */
    double of_balance[BALANCE_FIGURES], of_dilution[DILUTION_FIGURES];
    bool diluted;  /* there are hearts that can be */
    chart_end end; /* of the chart */
    char *facts;   /* "2026-10-17 09:05 · charge 10 L at ..." */
    page_part jars, fractions, balance, dilution, uncertainty;
    page_sentences notes, cautions, sources;
} report;

/* Kept as long as the process lives. */
static keep headings;

static const char *heading(const char *what) {
    size_t size = strlen(what) + strlen(both_at()) + sizeof ", ";
    char *text = keep_room(&headings, size);
    snprintf(text, size, "%s, %s", what, both_at());
    return text;
}

/* ---- Jars: a column for what any of them has ---- */

/* Stands behind a mean between readings of the running spout. */
static const char SPOUT_MARK[] = "*";

static const column JAR_COLUMNS[] = {
    {"jar", "jar", "", 0, 0, COLUMN_NUMBERS},
    {"time", NULL, "", 0, 0, COLUMN_WORDS},
    {NULL, "time", "h:min", 0, 0, COLUMN_NUMBERS},
    {"reading_pct", "reading", "% vol", 0, EXACT + 1, COLUMN_NUMBERS},
    {"reading_proof", "reading", "proof", 0, EXACT + 1, COLUMN_NUMBERS},
    {"spout_pct", "spout", "% vol", 0, EXACT + 1, COLUMN_NUMBERS},
    {"spout_proof", "spout", "proof", 0, EXACT + 1, COLUMN_NUMBERS},
    {"temp_c", "temperature", "°C", 0, 1, COLUMN_NUMBERS},
    {"volume_l", "volume", "L", 0, 3, COLUMN_NUMBERS},
    {"strength_pct", NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "strength", "% vol", 0, 2, COLUMN_NUMBERS},
    {"cumulative_l", "volume", "L so far", 0, 3, COLUMN_NUMBERS},
    {"cumulative_pure_alcohol_l", "pure alcohol", "L so far", 0, 3, COLUMN_NUMBERS},
    {"head_c", "head", "°C", 0, 1, COLUMN_NUMBERS},
    {"boiler_c", "boiler", "°C", 0, 1, COLUMN_NUMBERS},
    {"fraction", "fraction", "", 0, 0, COLUMN_WORDS},
    {"note", "note", "", 0, 0, COLUMN_NOTES},
};

enum { JAR_COLUMNS_MOST = sizeof JAR_COLUMNS / sizeof JAR_COLUMNS[0] };

typedef struct jar_row {
    cell_shown cells[JAR_COLUMNS_MOST];
    char time[JL_TIME_BYTES], of_day[6], strength[16];
} jar_row;

static cell_shown on_scale(jl_quantity reading, bool has, jl_unit scale) {
    return V(has && reading.unit == scale ? reading.value : NAN);
}

static void fill_jar(const jl_jar *jar, jl_spirit charge, jar_row *row) {
    const bool read = jar->has_reading, spout = !isnan(jar->spout.value);
    double strength_pct = jl_spirit_strength_pct(jar->spirit);
    double strength = value_seen(strength_pct, PCT_VOL);
    *row = (jar_row){.time = ""};
    if (jar->has_time && jl_time_write(jar->time, row->time, sizeof row->time) == JL_OK)
        snprintf(row->of_day, sizeof row->of_day, "%.5s", row->time + 11);
    snprintf(row->strength, sizeof row->strength, "%.1f%s", strength, SPOUT_MARK);
    const cell_shown cells[JAR_COLUMNS_MOST] = {
        V(jar->name),
        V(jar->has_time ? row->time : NULL),
        V(row->of_day),
        on_scale(jar->reading, read, JL_UNIT_PCT_VOL),
        on_scale(jar->reading, read, JL_UNIT_PROOF_US),
        on_scale(jar->spout, spout, JL_UNIT_PCT_VOL),
        on_scale(jar->spout, spout, JL_UNIT_PROOF_US),
        V(jar->temp_c),
        V(jl_volume_l(jar->spirit, JL_STRENGTH_C)),
        V(strength_pct),
        jar->from_spout ? V(row->strength) : V(strength_pct),
        V(jl_volume_l(jar->so_far, JL_STRENGTH_C)),
        v_pure(jar->so_far),
        V(jar->head_c),
        V(jar->boiler_c),
        V(fraction_word(jar->fraction, charge)),
        V(jar->note_length > 0 ? jar->note : NULL),
    };
    memcpy(row->cells, cells, sizeof cells);
}

static bool any_has(const jar_row *rows, size_t count, size_t at) {
    for (size_t i = 0; i < count; i++) {
        const cell_shown *cell = &rows[i].cells[at];
        if (cell->kind == OF_TEXT ? cell->text != NULL && *cell->text != '\0'
                                  : !isnan(cell->number))
            return true;
    }
    return false;
}

/* For people: the columns that any jar fills. */
static void report_jars(const run_picture *run, report *r) {
    column columns[JAR_COLUMNS_MOST];
    jar_row *rows = need(calloc(run->count, sizeof *rows));
    for (size_t i = 0; i < run->count; i++) fill_jar(&run->jars[i], run->charge, &rows[i]);
    for (size_t c = 0; c < JAR_COLUMNS_MOST; c++) {
        columns[c] = JAR_COLUMNS[c];
        if (!any_has(rows, run->count, c)) columns[c].title = NULL;
    }
    struct table *t = page_part_table(&r->jars, heading("Jars"), columns, JAR_COLUMNS_MOST);
    for (size_t i = 0; i < run->count; i++) table_row(t, rows[i].cells, JAR_COLUMNS_MOST);
    free(rows);
}

/* ---- Fractions ---- */

static const column FRACTION_COLUMNS[] = {
    {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "jars", "", 0, 0, COLUMN_NOTES},
    {NULL, NULL, "", 0, 0, COLUMN_NUMBERS},
    {NULL, "volume", "L", 0, 3, COLUMN_NUMBERS},
    {NULL, "strength", "% vol", 0, 2, COLUMN_NUMBERS},
    {NULL, "pure alcohol", "L", 0, 3, COLUMN_NUMBERS},
    {NULL, "of all", "%", 0, 1, COLUMN_NUMBERS},
};

static void fill_fractions(const run_picture *run, report *r) {
    const jl_tally *tally = jl_run_tally(run->run);
    jl_spirit all = jl_tally_sum(tally, JL_OF_ALL).spirit;
    struct table *t =
        page_part_table(&r->fractions, heading("Fractions, blended"), FRACTION_COLUMNS,
                        sizeof FRACTION_COLUMNS / sizeof FRACTION_COLUMNS[0]);
    fraction_rows(t, tally, run->jars, run->count, NULL, run->charge);
    table_row(t, CELLS(V("all"), V_MISSING, V_MISSING, V_AMOUNT(all), V(100)));
}

/* ---- Balance ---- */

static const column PAIRS[] = {
    {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "", "", 0, 0, COLUMN_WORDS},
};

/* missing_u_l: standard uncertainty of what is missing; the figures that no budget has stay NaN. */
static void standards_of_balance(const jl_run *run, double missing_u_l, double expected_pure_l,
                                 double standard[BALANCE_FIGURES]) {
    const jl_recovery *v = jl_run_recovery(run);
    for (size_t i = 0; i < BALANCE_FIGURES; i++) standard[i] = NAN;
    standard[CHARGED] = charge_pure_standard(run);
    standard[COLLECTED] = digits_standards(v->collected).pure_alcohol_l;
    standard[LEFT] = digits_standards(v->left).pure_alcohol_l;
    standard[NOT_RECOVERED] = missing_u_l;
    standard[FORECAST] = expected_pure_standard(run, expected_pure_l);
    standard[RECOVERED] = 100 * missing_u_l / jl_pure_alcohol_l(v->charge);
}

static void values_of_balance(const jl_recovery *v, report *r) {
    const double values[BALANCE_FIGURES] = {
        [CHARGED] = jl_pure_alcohol_l(v->charge),
        [COLLECTED] = jl_pure_alcohol_l(v->collected),
        [LEFT] = jl_pure_alcohol_l(v->left),
        [NOT_RECOVERED] = v->missing_l,
        [RECOVERED] = v->recovery_pct,
        [FORECAST] = r->past.expected_pure_l,
        [FORECAST_RECOVERED] = 100 * r->past.expected_pure_l / r->past.charge_pure_l,
        [APART] = r->past.apart_pct,
    };
    bool forecast = !isnan(r->past.expected_pure_l);
    memcpy(r->of_balance, values, sizeof values);
    r->has |= (v->charge_stated ? OF_CHARGE : 0U) | (v->left_stated ? OF_LEFT : 0U) |
              (forecast ? OF_FORECAST : 0U) | (forecast && v->charge_stated ? OF_BOTH : 0U);
}

static void fill_balance(const run_picture *run, const report_plan *plan, report *r) {
    const jl_recovery *v = jl_run_recovery(run->run);
    double standard[BALANCE_FIGURES];
    struct table *t = page_part_table(&r->balance, "Balance of pure alcohol, at 20 °C", PAIRS, 3);
    if (!v->charge_stated)
        page_sentence(&r->notes, "No balance: the log does not state charge_l and "
                                 "charge_strength_pct.");
    values_of_balance(v, r);
    double missing_u_l = v->charge_stated ? balance_missing_u_l(run->run, &plan->instruments) : NAN;
    standards_of_balance(run->run, missing_u_l, r->past.expected_pure_l, standard);
    for (size_t i = 0; i < BALANCE_FIGURES; i++) {
        const figure *f = &BALANCE[i];
        double value = r->of_balance[i];
        if (f->of != 0 && (f->of & r->has) == 0) continue;
        const figure_text small = figure_below_zero(value, standard[i], f->decimals, "");
        table_add_text(t, f->label);
        if (f->difference && *small.text != '\0')
            table_add_text(t, small.text);
        else if (i == APART)
            table_add_print(t, "%+.1f", value);
        else
            table_row(t,
                      CELLS(v_with(value, digits_known(value, standard[i], f->decimals, f->unit))));
        table_add_text(t, f->unit);
    }
}

/* ---- To the bottle ---- */

/* "5 full bottles of 0.7 L and 0.228 L left over" */
static void say_bottles(report *r) {
    const double *of = r->of_dilution;
    page_sentence(&r->dilution.words, "It fills %.0f bottle%s of %g L; %s is left over.",
                  of[BOTTLES], of[BOTTLES] == 1 ? "" : "s", of[BOTTLE_L], LITRES(of[LEFT_OVER_L]));
}

static void values_of_dilution(const report_plan *plan, jl_spirit hearts, jl_spirit water,
                               report *r) {
    double *of = r->of_dilution;
    r->diluted = true;
    of[WATER_KG] = jl_scale_kg(water, JL_STRENGTH_C);
    of[WATER_L] = jl_volume_l(water, JL_STRENGTH_C);
    of[MADE_L] = jl_volume_l(jl_blend(hearts, water), JL_STRENGTH_C);
    of[MADE_PCT] = NAN;
    jl_strength_pct(plan->target, JL_STRENGTH_C, &of[MADE_PCT]);
    if (plan->bottle_l <= 0) return;
    jl_bottles bottles = jl_fill_bottles(of[MADE_L], plan->bottle_l);
    r->has |= OF_BOTTLES;
    of[BOTTLES] = bottles.full;
    of[BOTTLE_L] = plan->bottle_l;
    of[LEFT_OVER_L] = bottles.left_over_l;
}

static void say_dilution(const report_plan *plan, jl_spirit hearts, report *r) {
    const double *of = r->of_dilution;
    page_sentence(
        &r->dilution.words, "From %s at %s to %.4g %s: weigh out %s of water (%s at 20 °C).",
        LITRES(jl_volume_l(hearts, JL_STRENGTH_C)), AT_STRENGTH(jl_spirit_strength_pct(hearts)),
        value_seen(of[MADE_PCT], PCT_VOL), unit_seen(PCT_VOL),
        figure_in_words(of[WATER_KG], NAN, 3, "kg").text, LITRES(of[WATER_L]));
    page_sentence(&r->dilution.words, "That makes %s at 20 °C.", LITRES(of[MADE_L]));
    if (plan->bottle_l > 0) say_bottles(r);
    page_sentence(&r->dilution.words, "Then measure its strength again before it is bottled.");
    if (plan->target_default)
        page_sentence(&r->notes, "Bottling strength %.4g %s is a default; --to changes it.",
                      value_seen(of[MADE_PCT], PCT_VOL), unit_seen(PCT_VOL));
}

static void report_dilution(const run_picture *run, const report_plan *plan, report *r) {
    jl_spirit hearts = jl_run_tally(run->run)->of[JL_HEARTS].spirit, water;
    r->dilution.heading = heading("Hearts to bottling strength");
    if (jl_run_tally(run->run)->of[JL_HEARTS].jars == 0)
        page_sentence(&r->notes, "No jar is hearts yet, so there is nothing to bring to bottling "
                                 "strength.");
    else if (jl_bring_to(hearts, 0, plan->target, &water) == JL_OK) {
        values_of_dilution(plan, hearts, water, r);
        say_dilution(plan, hearts, r);
    } else
        page_sentence(&r->notes,
                      "The hearts have %s%s, not above the bottling strength: water can only make "
                      "them weaker.",
                      AT_STRENGTH(jl_spirit_strength_pct(hearts)),
                      units_seen().proof ? "" : " at 20 °C");
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

static const column UNCERTAIN[] = {
    {"figure", NULL, "", 0, 0, COLUMN_WORDS},     {NULL, "", "", 0, 0, COLUMN_WORDS},
    {NULL, "", "", 0, 0, COLUMN_NUMBERS},         {NULL, "", "", 0, 0, COLUMN_WORDS},
    {"value", NULL, "", 0, 0, COLUMN_NUMBERS},    {"unit", NULL, "", 0, 0, COLUMN_WORDS},
    {"expanded", NULL, "", 0, 0, COLUMN_NUMBERS}, {"standard", NULL, "", 0, 0, COLUMN_NUMBERS},
};

/* Two digits of the uncertainty, and the value to the same place. */
static void uncertainty_row(struct table *t, const char *key, const char *label,
                            jl_uncertainty found, const char *unit) {
    double expanded = JL_COVERAGE_K * found.standard, seen = difference_seen(expanded, unit);
    int decimals = digits_of_expanded(seen);
    table_add_text(t, key);
    table_add_text(t, label);
    table_add_print(t, "%.*f ± %.*f", decimals, value_seen(found.value, unit), decimals, seen);
    table_row(t,
              CELLS(V(unit_seen(unit)), V(found.value), V(unit), V(expanded), V(found.standard)));
}

static void fill_uncertainty(const jl_uncertainty *uncertainties, const char *what, report *r) {
    struct table *t =
        page_part_table(&r->uncertainty, what, UNCERTAIN, sizeof UNCERTAIN / sizeof UNCERTAIN[0]);
    uncertainty_row(t, "volume_l", "volume", uncertainties[VOLUME], "L");
    uncertainty_row(t, "strength_pct", "strength", uncertainties[STRENGTH], "% vol");
    uncertainty_row(t, "pure_alcohol_l", "pure alcohol", uncertainties[PURE], "L");
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
        fill_uncertainty(uncertainties,
                         heading(hearts ? "Uncertainty: hearts" : "Uncertainty: all jars"), r);
    else
        page_sentence(&r->notes, "No uncertainty: %s within that of the instruments.",
                      jl_status_text(status));
    if (status == JL_OK)
        page_sentence(&r->notes,
                      "± is about 95 %% (k = 2), to first order (JCGM 100), from jug, "
                      "alcoholometer and thermometer%s.",
                      bench_path(plan->with->bench, plan->with->log) != NULL
                          ? " as the bench file states them"
                          : " as common practice has them (no source; a bench file states them)");
    free(b.jars);
    uncertainty_free(&u);
    return EXIT_DONE;
}

/* ---- All of it ---- */

/* Pieces of a sentence, with a dot between them. */
static void add_piece(bytes *b, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void add_piece(bytes *b, const char *format, ...) {
    va_list list;
    char piece[512];
    va_start(list, format);
    vsnprintf(piece, sizeof piece, format, list);
    va_end(list);
    if (piece[0] != '\0') bytes_print(b, "%s%s", b->count > 0 ? " · " : "", piece);
}

/* What the log states of a key, in the unit of its kind; NaN: nothing. */
static double stated(const jl_settings *settings, jl_key_id id) {
    const jl_setting *setting = &settings->of[id];
    return setting->has && setting->origin == JL_FROM_LOG ? setting->number.value : NAN;
}

static void add_stated(bytes *b, const jl_settings *settings, jl_key_id id, const char *unit) {
    double value = stated(settings, id);
    if (!isnan(value)) add_piece(b, "%.6g %s", value, unit);
}

/* ", −0.2 %" */
static const char *signed_text(double value, const char *unit, char *text, size_t size) {
    if (isnan(value)) return "";
    snprintf(text, size, "%s%.3g %s", value < 0 ? "−" : "+", fabs(difference_seen(value, unit)),
             unit_seen(unit));
    return text;
}

static void add_instruments(bytes *b, const jl_settings *settings) {
    char words[48], where[32] = "";
    double scale_c = stated(settings, JL_KEY_CALIBRATED);
    double reading = stated(settings, JL_KEY_READING_CORRECTION);
    double thermometer = stated(settings, JL_KEY_THERMOMETER_CORRECTION);
    if (!isnan(scale_c))
        snprintf(where, sizeof where, " at %.4g %s", value_seen(scale_c, CELSIUS),
                 unit_seen(CELSIUS));
    if (!isnan(scale_c) || !isnan(reading))
        add_piece(b, "alcoholometer%s%s%s", where, isnan(reading) ? "" : ", ",
                  signed_text(difference_seen(reading, PCT_VOL),
                              reading_unit(units_seen().proof ? JL_UNIT_PROOF_US : JL_UNIT_PCT_VOL),
                              words, sizeof words));
    if (!isnan(thermometer))
        add_piece(b, "thermometer %s", signed_text(thermometer, CELSIUS, words, sizeof words));
}

static void add_left(bytes *b, const jl_settings *settings) {
    char words[64] = "";
    double left_l = stated(settings, JL_KEY_LEFT),
           strength = stated(settings, JL_KEY_LEFT_STRENGTH);
    double reading = stated(settings, JL_KEY_LEFT_READING),
           temp = stated(settings, JL_KEY_LEFT_TEMP);
    jl_unit of = settings->of[JL_KEY_LEFT_STRENGTH].number.unit;
    if (isnan(left_l)) return;
    if (!isnan(strength))
        snprintf(words, sizeof words, " at %.4g %s",
                 of == JL_UNIT_PROOF_US ? strength : value_seen(strength, PCT_VOL),
                 of == JL_UNIT_PROOF_US ? "proof" : unit_seen(PCT_VOL));
    else if (!isnan(reading) && !isnan(temp))
        snprintf(words, sizeof words, ", reading %.4g %s at %.4g %s", reading,
                 reading_unit(settings->of[JL_KEY_LEFT_READING].number.unit),
                 value_seen(temp, CELSIUS), unit_seen(CELSIUS));
    add_piece(b, "left in the boiler %.4g L%s", left_l, words);
}

static void add_time_and_energy(bytes *b, const jl_past *past) {
    long minutes = isnan(past->hours) ? -1 : lround(60 * past->hours);
    if (minutes >= 0) add_piece(b, "%ld h %02ld min to the last jar", minutes / 60, minutes % 60);
    if (!isnan(past->energy_kwh)) add_piece(b, "%.1f kWh", past->energy_kwh);
}

static bool in_head(jl_key_id id) {
    static const jl_key_id IN_HEAD[] = {
        JL_KEY_POWER,
        JL_KEY_PRESSURE,
        JL_KEY_ALTITUDE,
        JL_KEY_CALIBRATED,
        JL_KEY_READING_CORRECTION,
        JL_KEY_THERMOMETER_CORRECTION,
        JL_KEY_LEFT,
        JL_KEY_LEFT_STRENGTH,
        JL_KEY_LEFT_READING,
        JL_KEY_LEFT_TEMP,
        JL_KEY_CHARGE,
        JL_KEY_CHARGE_STRENGTH,
        JL_KEY_TITLE,
        JL_KEY_STARTED,
        JL_KEY_STILL,
    };
    for (size_t i = 0; i < sizeof IN_HEAD / sizeof IN_HEAD[0]; i++)
        if (IN_HEAD[i] == id) return true;
    return false;
}

/* A fact that no sentence above has: a setting in words, one's own as it stands. */
static void add_fact(bytes *b, const jl_settings *settings, const jl_facts *facts,
                     const jl_fact *fact) {
    char words[256];
    jl_key_id id = jl_key_of(fact, JL_IN_RUN);
    if (fact->count == 0 || in_head(id)) return;
    if (id == JL_KEYS) {
        if (jl_facts_find(facts, fact->key) == fact) add_piece(b, "%s %s", fact->key, fact->text);
        return;
    }
    const jl_key *key = &jl_keys[id];
    if (key->option == NULL || !settings->of[id].has || settings->of[id].origin != JL_FROM_LOG)
        return;
    setting_text(settings, id, words, sizeof words);
    bool pot = id == JL_KEY_STAGES && settings->of[id].number.value == 1;
    add_piece(b, "%s", pot ? "plain pot" : words);
}

/* "2026-10-17 09:05 · charge ... · 2400 W · 97.5 kPa · alcoholometer at 20 °C, −0.2 %" */
static void fill_facts(const run_picture *run, const char *house, const jl_past *past, report *r) {
    char words[256];
    bytes b = {0};
    const jl_facts *facts = jl_run_facts(run->run);
    const char *still = jl_facts_text(facts, "still");
    const jl_fact *fact;
    jl_fault fault;
    jl_settings settings;
    jl_settings_begin(&settings);
    jl_settings_take(&settings, facts, JL_IN_RUN, JL_FROM_LOG, NULL, &fault);
    picture_words_charge(run, words, sizeof words);
    add_piece(&b, "%s", house);
    add_piece(&b, "%s", words);
    if (still != NULL) add_piece(&b, "%s", still);
    add_stated(&b, &settings, JL_KEY_POWER, "W");
    add_stated(&b, &settings, JL_KEY_PRESSURE, "kPa");
    add_stated(&b, &settings, JL_KEY_ALTITUDE, "m above the sea");
    add_instruments(&b, &settings);
    add_time_and_energy(&b, past);
    add_left(&b, &settings);
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        add_fact(&b, &settings, facts, fact);
    r->facts = b.data;
}

/* Of a run that goes on. On paper no minutes count from now. */
static void fill_rest(const run_picture *run, report *r) {
    char event[EVENT_BYTES], wrong[DIAGNOSIS_BYTES];
    if (run->rest_count == 0) return;
    write_next_event(&run->outlook, (jl_time){0, 0}, event);
    page_sentence(&r->notes,
                  "The run goes on. %s (95 %% of runs). Never leave a running still alone.", event);
    if (write_diagnosis(run->run, &run->outlook.diagnosis, wrong))
        page_sentence(&r->notes, "%s", wrong);
}

static void fill_sentences(const run_picture *run, report *r) {
    fill_rest(run, r);
    if (run->expected_count > 0)
        page_sentence(&r->cautions, "The forecast is a model's: equilibrium stages, no holdup, no "
                                    "heat lost in the head, a wash taken as ethanol and water.");
    page_sentence(&r->cautions,
                  "Hot alcohol vapour burns and is heavier than air: no flame or spark near it, "
                  "never close a boiler, never leave a running still.");
    page_sentence(&r->cautions, "No figure here shows that a spirit is fit to drink: methanol is "
                                "not confined to the first runnings.");
    page_sentence(&r->cautions,
                  "Most countries require a licence to distil, and a strength on a label needs "
                  "instruments and a practice that your authority accepts: ask it.");
    page_sentence(
        &r->sources,
        "Strength, volume and pure alcohol at 20 °C by OIML R 22 (1975), readings after OIML R 44, "
        "US proof by 27 CFR part 30, weighing in air by OIML D 28. Jarline %s.",
        JARLINE_VERSION);
}

/* Returns the exit status, or 0; the report is to be freed in any case. */
static int report_fill(const run_picture *run, const report_plan *plan, report *r) {
    char note[200], begin[8];
    *r = (report){.run = run,
                  .end = plan->volume_l > 0 ? (chart_end){plan->volume_l, 0}
                                            : chart_end_of_report(plan->house_l, run),
                  .notes = {.heading = "Notes"},
                  .cautions = {.heading = "Cautions"},
                  .sources = {.heading = "Sources"}};
    jl_run_past(run->run, &r->past);
    fill_facts(run, plan->house, &r->past, r);
    report_jars(run, r);
    fill_fractions(run, r);
    fill_balance(run, plan, r);
    snprintf(begin, sizeof begin, "%s ", SPOUT_MARK);
    if (write_spout_note(run->run, &plan->instruments, begin, note, sizeof note))
        page_sentence(&r->notes, "%s", note);
    if (jl_run_tally(run->run)->at_20c > 0)
        page_sentence(&r->notes, "%zu jar%s without a temperature: the volume counts as at 20 °C.",
                      jl_run_tally(run->run)->at_20c,
                      jl_run_tally(run->run)->at_20c == 1 ? "" : "s");
    report_dilution(run, plan, r);
    int bad = report_uncertainty(run, plan, r);
    fill_sentences(run, r);
    return bad;
}

static void report_free(report *r) {
    free(r->facts);
    page_part_free(&r->jars);
    page_part_free(&r->fractions);
    page_part_free(&r->balance);
    page_part_free(&r->dilution);
    page_part_free(&r->uncertainty);
    page_sentences_free(&r->notes);
    page_sentences_free(&r->cautions);
    page_sentences_free(&r->sources);
}

/* ---- The pages ---- */

static const double GAP = 8, FACTS = 8.4, CHART_TYPE = 8.4;

static void put_head(pages *p) {
    char words[256];
    const report *r = p->of;
    pages_put_words(p, MARK_TITLE, 15, true, r->run->title);
    pages_put_pieces(p, FACTS, r->facts == NULL ? "" : r->facts);
    page_took(p, 0.2 * FACTS);
    picture_words_collected(r->run, words, sizeof words);
    pages_put_words(p, MARK_NOTE, FACTS, true, words);
    page_took(p, 0.6 * GAP);
}

static void put_chart(pages *p, double h) {
    const report *r = p->of;
    chart_run(r->run, (box){p->at.x, p->at.y, p->at.w, h}, CHART_TYPE, r->end, page_now(p));
    page_took(p, h + GAP);
}

static void put_jars(pages *p) {
    const report *r = p->of;
    pages_put_rows(p, &r->jars);
    page_took(p, GAP);
}

/* Fractions and how sure at the left, balance and the water at the right. */
static const double LEFT_SHARE = 0.6;

static double left_w(const pages *p) {
    return LEFT_SHARE * p->at.w - GAP;
}

static double right_w(const pages *p) {
    return (1 - LEFT_SHARE) * p->at.w - GAP;
}

static double gap_after(const page_part *part) {
    return page_part_any(part) ? GAP : 0;
}

static double lower_h(const pages *p) {
    const report *r = p->of;
    double left = page_part_h(&r->fractions, left_w(p)) + gap_after(&r->fractions) +
                  page_part_h(&r->uncertainty, left_w(p));
    double right = page_part_h(&r->balance, right_w(p)) + gap_after(&r->balance) +
                   page_part_h(&r->dilution, right_w(p));
    return fmax(left, right) + GAP / 2;
}

static void put_lower(pages *p) {
    const report *r = p->of;
    sheet *s = page_now(p);
    double y = page_put_part(&r->fractions, (box){p->at.x, p->at.y, left_w(p), p->at.h}, s);
    box below = {p->at.x, y + gap_after(&r->fractions), 0.66 * left_w(p), p->at.h};
    page_put_part(&r->uncertainty, below, s);
    double x = p->at.x + LEFT_SHARE * p->at.w + GAP;
    y = page_put_part(&r->balance, (box){x, p->at.y, right_w(p), p->at.h}, s);
    box beside = {x, y + gap_after(&r->balance), right_w(p), p->at.h};
    page_put_part(&r->dilution, beside, s);
    page_took(p, lower_h(p));
}

static double foot_h(const pages *p) {
    const report *r = p->of;
    return page_sentences_h(&r->notes, p->at.w) + page_sentences_h(&r->cautions, p->at.w) +
           page_sentences_h(&r->sources, p->at.w) + 8;
}

/* At the end of the last page. */
static void put_foot(pages *p) {
    const report *r = p->of;
    sheet *s = page_now(p);
    box at = {p->at.x, p->at.y + p->at.h - foot_h(p), p->at.w, p->at.h};
    sheet_straight(s, MARK_RULE, 0.6, TONE_GREY, (place){at.x, at.y}, (place){at.x + at.w, at.y});
    at.y = page_put_sentences(&r->notes, (box){at.x, at.y + 4, at.w, at.h}, s);
    at.y = page_put_sentences(&r->cautions, (box){at.x, at.y + 2, at.w, at.h}, s);
    page_put_sentences(&r->sources, (box){at.x, at.y + 2, at.w, at.h}, s);
}

/* What one page leaves for the chart; where that is too little, there are more pages, and the chart
 * has its usual height. */
static double chart_h(const pages *p) {
    enum { LEAST = 225, USUAL = 270, MOST = 400 };
    const report *r = p->of;
    double others =
        page_part_h(&r->jars, p->at.w) + GAP + lower_h(p) + PAGES_SIGN_H + foot_h(p) + GAP;
    double room = p->at.h - others - GAP;
    return room < LEAST ? fmin(USUAL, 0.5 * p->at.h) : fmin(room, MOST);
}

static void report_pages(pages *p) {
    page_begin(p);
    put_head(p);
    put_chart(p, chart_h(p));
    put_jars(p);
    page_room(p, lower_h(p));
    put_lower(p);
    page_room(p, PAGES_SIGN_H + foot_h(p));
    pages_put_sign(p);
    put_foot(p);
    pages_number(p);
}

/* ---- As one HTML file ---- */

/* width and height in points, for printing. */
static void report_html(const report *r, double width, double height, bytes *b) {
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
    chart_html(b, p, r->end, " The figures stand in the table of jars.");
    html_part(b, &r->jars);
    bytes_print(b, "<div class=\"pair\">\n");
    for (size_t i = 1; i < 5; i++) html_part(b, parts[i]);
    bytes_print(b, "</div>\n");
    html_foot(b, foot, 3);
    html_end(b);
}

/* ---- For programs ---- */

static void show_facts(show *s, const jl_facts *facts) {
    static const column COLUMNS[] = {{"key", NULL, "", 0, 0, COLUMN_WORDS},
                                     {"stated", NULL, "", 0, 0, COLUMN_WORDS}};
    const jl_fact *fact;
    show_table(s, "facts", COLUMNS, 2);
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        jl_key_id id = jl_key_of(fact, JL_IN_RUN);
        if (id == JL_KEYS || jl_keys[id].form != JL_AS_ROW)
            show_cells(s, CELLS(V(fact->key), V(fact->text)));
    }
}

static void show_amount(show *s, const char *key, jl_spirit spirit) {
    show_group(s, key, NULL);
    show_number(s, "volume_l", NULL, jl_volume_l(spirit, JL_STRENGTH_C), 3, "L");
    show_number(s, "strength_pct", NULL, jl_spirit_strength_pct(spirit), 2, "% vol");
    show_number(s, "pure_alcohol_l", NULL, jl_pure_alcohol_l(spirit), 3, "L");
    show_group_end(s);
}

static void show_list(show *s, const char *key, const figure *list, size_t count,
                      const double *values, unsigned has) {
    const figures f = {.list = list, .count = count, .values = values, .of = has};
    show_group(s, key, NULL);
    show_figures(s, &f, 0, count);
    show_group_end(s);
}

/* A part's table is the answer's from now on. */
static void show_part(show *s, const char *key, page_part *part) {
    if (page_part_rows(part)) show_whole_table(s, key, part->table);
    if (page_part_rows(part)) part->table = NULL;
}

static void show_report(show *s, report *r) {
    const run_picture *run = r->run;
    const jl_recovery *v = jl_run_recovery(run->run);
    const jl_tally *tally = jl_run_tally(run->run);
    show_text(s, "title", NULL, run->title);
    show_text(s, "started", NULL, run->started);
    show_facts(s, jl_run_facts(run->run));
    show_number(s, "hours", NULL, r->past.hours, 1, "h");
    show_number(s, "energy_kwh", NULL, r->past.energy_kwh, 1, "kWh");
    show_part(s, "jars", &r->jars);
    show_tally(s, tally, run->jars, run->count, NULL, run->charge);
    show_amount(s, "total", jl_tally_sum(tally, JL_OF_ALL).spirit);
    if (v->charge_stated) show_amount(s, "charge", v->charge);
    show_list(s, "balance", BALANCE, BALANCE_FIGURES, r->of_balance, r->has);
    if (r->diluted) show_list(s, "dilution", DILUTION, DILUTION_FIGURES, r->of_dilution, r->has);
    show_part(s, "uncertainty", &r->uncertainty);
    for (size_t i = 0; i < r->notes.count; i++) show_note(s, "%s", r->notes.text[i]);
    for (size_t i = 0; i < r->cautions.count; i++) show_caution(s, "%s", r->cautions.text[i]);
    for (size_t i = 0; i < r->sources.count; i++) show_assumption(s, "%s", r->sources.text[i]);
}

/* ---- The command ---- */

typedef struct words {
    char *to, *bottle, *volume_to;
    setting_options with;
    paper_options paper;
    int json;
} words;

static int read_plan(const words *w, report_plan *plan) {
    jl_settings bench;
    *plan = (report_plan){.target_default = w->to == NULL, .with = &w->with};
    int bad = instruments_read(&w->with, &bench);
    if (bad == 0) plan->instruments = jl_settings_to_instruments(&bench);
    if (bad == 0) bad = bench_house(&w->with, &plan->house);
    if (bad == 0 && w->to != NULL) bad = arg_target(w->to, &plan->target);
    if (bad == 0) bad = arg_bottle(w->bottle, &bench, &plan->bottle_l);
    plan->house_l = jl_setting_value(&bench, JL_KEY_CHART_TO);
    return bad == 0 ? chart_end_read(w->volume_to, &plan->volume_l) : bad;
}

static int make_pdf(const words *w, const report *r) {
    pages p = {.of = r, .title = r->run->title};
    int bad = paper_size(&w->paper, &p.width, &p.height);
    if (bad != 0) return bad;
    p.margin = page_margin(p.width);
    report_pages(&p);
    bad = paper_make(&w->paper, p.sheets, p.count, PAPER_PDF, r->run->title);
    pages_free(&p);
    return bad;
}

static int make_html(const words *w, const report *r) {
    bytes page = {0};
    double width, height;
    int bad = paper_size(&w->paper, &width, &height);
    if (bad != 0) return bad;
    report_html(r, width, height, &page);
    bad = output_write(&w->paper.file, page.data, page.count);
    bytes_free(&page);
    return bad;
}

static int make(const words *w, const report_plan *plan, paper_format format,
                const run_picture *run) {
    report r;
    int bad = report_fill(run, plan, &r);
    if (bad == 0 && w->paper.file.path != NULL)
        bad = format == PAPER_PDF ? make_pdf(w, &r) : make_html(w, &r);
    if (bad == 0) {
        show *s = show_open(w->json != 0);
        if (w->json) show_report(s, &r);
        show_written(s, &w->paper.file);
        bad = show_close(s, EXIT_DONE);
    }
    report_free(&r);
    return bad;
}

static int answer(const words *w, const char *path) {
    paper_format format = PAPER_HTML;
    report_plan plan;
    run_picture run;
    int bad = EXIT_DONE;
    if (w->paper.file.path != NULL)
        bad = paper_format_of(w->paper.file.path, 1 << PAPER_PDF | 1 << PAPER_HTML, &format);
    else if (!w->json)
        bad = refuse(
            "-o is missing; expected the page to make, as -o run.pdf or -o run.html, or --json");
    if (bad == 0) bad = read_plan(w, &plan);
    if (bad == 0) bad = picture_read(path, &run);
    if (bad != 0) return bad;
    bad = chart_end_check(w->volume_to, plan.volume_l, path, &run);
    if (bad == 0 && w->to == NULL) bad = arg_target(usual_bottling(), &plan.target);
    if (bad == 0 && run.count > 0)
        bad = make(w, &plan, format, &run);
    else if (bad == 0)
        bad = fail(EXIT_DATA, "%s: no jar has been recorded yet, so there is nothing to report",
                   path);
    picture_free(&run);
    return bad;
}

int command_report(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("to", &w.to, "STRENGTH", "bottling strength of the hearts (40%)"),
        OPTION("bottle", &w.bottle, "VOLUME", "count bottles of this volume"),
        OPTION("volume-to", &w.volume_to, "VOLUME", "where the chart's axis of volume ends"),
        BENCH_OPTION(w.with),
        PAPER_OPTIONS(w.paper, "run.pdf or run.html"),
        FLAG("json", &w.json, "answer as JSON, with or without a page"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv -o run.pdf|run.html",
                  "A run on a page: facts, chart, jars, fractions, balance, dilution")) {
        w.with.log = a.words[0];
        a.exit_status =
            a.count == 1 ? answer(&w, a.words[0]) : refuse("expected one run log, as run.csv");
    }
    return args_close(&a);
}
