/* A share of all that the library does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "works.h"
#include "book/account.h"
#include "book/book_file.h"
#include "given.h"
#include "learn/trend.h"
#include "log/settings_file.h"
#include "run/run.h"
#include "still/forecast.h"
#include "text/csv.h"
#include "uncertainty/budget.h"
#include "wash/wash.h"
#include "wash/wash_log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void add_bytes(digest *d, const void *bytes, size_t size) {
    const unsigned char *at = bytes;
    for (size_t i = 0; i < size; i++) d->hash = (d->hash ^ at[i]) * 1099511628211u; /* FNV-1a */
}

static void add(digest *d, double figure) {
    add_bytes(d, &figure, sizeof figure);
}

static void add_text(digest *d, const char *text) {
    add_bytes(d, text, strlen(text));
}

/* ---- reading ---- */

static const char LOG[] = "#jarline,1\n#title,x\n#charge_l,24\n#charge_strength_pct,30\n"
                          "jar,time,volume_ml,reading_pct,temp_c,fraction,note\n"
                          "1,2026-11-21T10:00:00+01:00,500,78.1,21,heads,\"pear, clean\"\n"
                          "2,2026-11-21T10:12:00+01:00,500,76.0,22,hearts,\n"
                          "3,2026-11-21T10:25:00+01:00,500,74.2,23,hearts,\n"
                          "9000,2026-11-21T10:40:00+01:00,500,71.3,24,,x\n#undone,9000\n";

static jl_status read_log(const char *folder, digest *d) {
    jl_run *run;
    size_t count;
    (void)folder;
    int fd = given(LOG);
    jl_status status = jl_run_read(fd, &run, NULL);
    close(fd);
    if (status != JL_OK) return status;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++) {
        add(d, jars[i].volume_20c_l + jars[i].until_l);
        add_bytes(d, jars[i].note, jars[i].note_length);
    }
    add(d, jl_spirit_strength_pct(jl_tally_sum(jl_run_tally(run), JL_OF_HEARTS).spirit));
    jl_run_free(run);
    return JL_OK;
}

/* Many jars, jars undone, a long cell. */
static jl_status read_long_log(const char *folder, digest *d) {
    char text[8000];
    jl_run *run;
    size_t count;
    (void)folder;
    size_t used = (size_t)sprintf(text, "#jarline,1\n#title,x\n#expect,1,80,79\n"
                                        "jar,volume_l,strength_pct,note\n");
    for (int i = 0; i < 10; i++) used += (size_t)sprintf(text + used, "%d,1,40,\n", 1 + 2000 * i);
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(text + used, "%d,1,40,\n", 2 + i);
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(text + used, "#undone,%d,\n", 2 + i);
    sprintf(text + used, "50,1,40,%04500d\n", 0);
    int fd = given(text);
    jl_status status = jl_run_read(fd, &run, NULL);
    close(fd);
    if (status != JL_OK) return status;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++) add(d, jars[i].number);
    jl_run_free(run);
    return JL_OK;
}

static jl_status read_facts(const char *folder, digest *d) {
    char text[2000];
    jl_facts *facts;
    size_t used = 0;
    (void)folder;
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(text + used, "k%d,%d\n", i, i);
    int fd = given(text);
    jl_status status = jl_facts_read(fd, &facts, NULL);
    if (status == JL_OK) {
        const jl_fact *fact;
        for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) add_text(d, fact->text);
        jl_facts_free(facts);
    }
    close(fd);
    return status;
}

static jl_status read_gravity(const char *folder, digest *d) {
    jl_wash_log *log;
    (void)folder;
    int fd = given("#wash_l,25\ntime,gravity,temp_c,step,duration,add,note\n"
                   "2026-11-01T08:00:00+01:00,,,,,4kg sugar,\n"
                   "2026-11-01T08:00:00+01:00,1.062,21,,,,begun\n"
                   "2026-11-02T08:00:00+01:00,1.15,20,,,,no fermentation raises it\n"
                   "2026-11-05T08:00:00+01:00,0.996,20,,,,\n"
                   "2026-11-06T08:00:00+01:00,,,settle,24h,,\n");
    jl_status status = jl_wash_log_read(fd, &JL_HYDROMETER, &log, NULL);
    if (status == JL_OK) {
        size_t count, step_count;
        const jl_wash_reading *readings = jl_wash_log_readings(log, &count);
        const jl_wash_step *steps = jl_wash_log_steps(log, &step_count);
        jl_ferment ferment;
        jl_finish_rule rule = JL_FINISH_RULE;
        for (size_t i = 0; i < count; i++) add(d, readings[i].sg);
        for (size_t i = 0; i < step_count; i++) add(d, steps[i].duration_s);
        status = jl_wash_log_judge(log, &rule, &ferment);
        if (status == JL_OK) add(d, ferment.slope_per_day);
        jl_wash wash = JL_WASH;
        jl_wash_strength strength;
        jl_uncertainty apart = {0, 0};
        if (status == JL_OK) status = jl_wash_log_wash(log, &wash);
        if (status == JL_OK) status = jl_wash_original_difference(&wash, NULL, &apart);
        if (status == JL_OK) add(d, apart.value);
        if (status == JL_OK) status = jl_wash_strength_of(&wash, NULL, &strength);
        if (status == JL_OK) add(d, strength.strength_pct + strength.strength_u_pct);
        jl_wash_log_free(log);
    }
    close(fd);
    return status;
}

/* A new log, a row of each kind in it, and one that needs a column of its own. */
static jl_status write_wash(const char *folder, digest *d) {
    char path[256];
    jl_wash_log *log = NULL;
    const jl_fact_entry fact = {.key = "wash_l", .values = {25}, .count = 1};
    const jl_time time = {1790000000, 7200};
    const jl_wash_entry entries[] = {{.time = time, .add = "4 kg sugar", .temp_c = NAN},
                                     {.time = time, .gravity = "1.062", .temp_c = 21}};
    char row[JL_WASH_ROW_BYTES];
    const jl_wash_entry more = {
        .time = {1790400000, 7200}, .gravity = "0.996", .temp_c = NAN, .note = "=x"};
    snprintf(path, sizeof path, "%s/wash.csv", folder);
    jl_status status = jl_wash_log_create(path, &fact, 1, entries, 2, NULL, NULL);
    if (status == JL_OK) status = jl_wash_log_open(path, 0, &JL_HYDROMETER, &log, NULL, NULL);
    if (status == JL_OK) status = jl_wash_log_write(log, &more, NULL);
    if (status == JL_OK) {
        size_t count;
        add(d, jl_wash_log_readings(log, &count)[1].sg);
        status = jl_wash_log_undo(log, row, NULL);
    }
    jl_wash_log_free(log);
    unlink(path);
    return status;
}

static jl_status find_spans(const char *folder, digest *d) {
    jl_span spans[4];
    size_t count;
    (void)folder;
    jl_status status = jl_row_spans("a,\"b\",c\n", 8, ',', spans, 4, &count);
    if (status == JL_OK) add_bytes(d, spans, count * sizeof spans[0]);
    return status;
}

/* ---- writing ---- */

static jl_entry jar_of(double volume_l) {
    jl_entry e = JL_ENTRY;
    e.volume_l = volume_l;
    e.reading.value = 72.5;
    e.temp_c = 24;
    if (volume_l > 0.5) e.head_c = 80.5;
    e.time = "2026-11-21T10:40:00+01:00";
    return e;
}

/* A jar that was weighed and read in the running spout. */
static jl_entry weighed_jar(const char *name) {
    jl_entry e = JL_ENTRY;
    e.jar = name;
    e.weight_kg = 0.652;
    e.empty_kg = 0.184;
    e.spout.value = 71.5;
    e.spout_temp_c = 24;
    e.taken_l = 0.01;
    e.time = "2026-11-21T10:55:00+01:00";
    return e;
}

static jl_status change(jl_run *run, int step) {
    const jl_entry again = weighed_jar(NULL), forgotten = weighed_jar("1a");
    size_t changed;
    const jl_fact_entry facts[] = {{"left_l", {18}, 1, NULL}, {"title", {0}, 0, "=of, all"}};
    const jl_entry jar = jar_of(0.5), wide = jar_of(0.7);
    switch (step) {
    case 0:
        return jl_run_add_jar(run, &jar, NULL);
    case 1:
        return jl_run_correct_jar(run, "1", &wide, NULL);
    case 2:
        return jl_run_add_facts(run, facts, 1, NULL);
    case 3:
        return jl_run_set_facts(run, facts, 2, NULL);
    case 4:
        return jl_run_mark(run, &(jl_fraction){JL_HEADS}, &changed, NULL);
    case 5:
        return jl_run_undo(run, "1", "2026-11-21T10:50:00+01:00", NULL);
    case 6: /* its number is free again */
        return jl_run_add_jar(run, &again, NULL);
    default:
        return jl_run_add_jar(run, &forgotten, NULL);
    }
}

static jl_status write_log(const char *folder, digest *d) {
    char path[256];
    jl_run *run = NULL;
    const jl_fact_entry fact = {"charge_l", {24}, 1, NULL};
    snprintf(path, sizeof path, "%s/run.csv", folder);
    jl_status status = jl_run_create(path, &fact, 1, JL_LOG_PCT_C, NULL, NULL);
    for (int step = 0; step < 8 && status == JL_OK; step++) {
        if (step % 3 == 0) {
            jl_run_free(run);
            run = NULL;
            status = jl_run_open(path, 0, &run, NULL, NULL);
            if (status != JL_OK) break;
        }
        add(d, jl_run_next_jar(run));
        status = change(run, step);
    }
    jl_run_free(run);
    unlink(path);
    return status;
}

/* A jar behind a row that was not written to its end. */
static jl_status write_torn_log(const char *folder, digest *d) {
    static const char TORN[] =
        "#jarline,1\njar,volume_ml,reading_pct,temp_c\n1,500,78.1,21\n2,500,7";
    const jl_entry jar = jar_of(0.5);
    char path[256], torn[280];
    jl_run *run = NULL;
    snprintf(path, sizeof path, "%s/torn.csv", folder);
    jl_status status = jl_create(path, TORN, sizeof TORN - 1, NULL);
    if (status == JL_OK) status = jl_run_open(path, 0, &run, NULL, NULL);
    if (status == JL_OK) status = jl_run_add_jar(run, &jar, NULL);
    if (status == JL_OK) add(d, jl_run_next_jar(run));
    jl_run_free(run);
    unlink(path);
    snprintf(torn, sizeof torn, "%s.torn-1", path);
    unlink(torn);
    return status;
}

/* ---- forecasting and learning ---- */

static jl_status forecast(const char *folder, digest *d) {
    static const jl_reflux_step schedule[] = {{JL_WHEN_VOLUME_L, 1, 2}};
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_spirit charge;
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    (void)folder;
    still.stages = 3;
    still.schedule = schedule;
    still.schedule_count = 1;
    plan.congeners = true;
    jl_status status = jl_spirit_from_volume(24, 0.25, 20, &charge);
    if (status == JL_OK) status = jl_forecast_open(&still, charge, &plan, &run);
    if (status != JL_OK) return status;
    while ((status = jl_forecast_next(run, &jar)) == JL_OK) {
        add(d, jl_spirit_strength_pct(jar.spirit));
        add(d, jar.elapsed_s + jar.head_c);
    }
    add(d, jl_forecast_congener(run, 0));
    jl_forecast_close(run);
    return status;
}

static jl_status whole_forecast(const char *folder, digest *d) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_spirit charge;
    jl_forecast_jars all;
    (void)folder;
    plan.jar_l = 0.1;
    jl_status status = jl_spirit_from_volume(24, 0.25, 20, &charge);
    if (status == JL_OK) status = jl_forecast_all(&still, charge, &plan, &all);
    if (status != JL_OK) return status;
    add(d, (double)all.count + all.sum.duration_s);
    jl_forecast_jars_free(&all);
    return status;
}

static jl_status weighted(const double *x, double *sum, void *with) {
    (void)with;
    *sum = x[0] * x[1] + x[2];
    return JL_OK;
}

static const jl_input INPUTS[] = {{5, 0.3, JL_NORMAL}, {7, 0.4, JL_NORMAL}, {1, 0.6, JL_NORMAL}};
static const double CORRELATION[] = {1, 0.5, 0, 0.5, 1, 0, 0, 0, 1};
static const jl_measurement MEASUREMENT = {.model = weighted,
                                           .inputs = INPUTS,
                                           .input_count = 3,
                                           .figure_count = 1,
                                           .correlation = CORRELATION};

static jl_status first_order(const char *folder, digest *d) {
    jl_uncertainty uncertainty;
    (void)folder;
    jl_status status = jl_first_order(&MEASUREMENT, NULL, &uncertainty);
    if (status == JL_OK) add(d, uncertainty.standard);
    return status;
}

static jl_status budget(const char *folder, digest *d) {
    const jl_draws draws = {.count = 200, .seed = 7};
    jl_budget *b = jl_budget_new();
    jl_combination c;
    (void)folder;
    if (b == NULL) return JL_MEMORY;
    for (int i = 0; i < 100; i++)
        jl_budget_input(b, i % 2 == 0 ? "even" : "odd", 0.1 * i, JL_NORMAL);
    jl_status status = jl_budget_combine(b, weighted, NULL, 1, &draws, &c);
    if (status == JL_OK) {
        add(d, c.figures[0].standard + c.shares[0]);
        jl_combination_free(&c);
    }
    jl_budget_free(b);
    return status;
}

static jl_status monte_carlo(const char *folder, digest *d) {
    jl_drawn drawn;
    (void)folder;
    jl_status status = jl_monte_carlo(&MEASUREMENT, 200, 7, &drawn);
    if (status == JL_OK) add(d, drawn.standard + drawn.shortest_low);
    return status;
}

static jl_status calibrate(const char *folder, digest *d) {
    jl_run *run;
    jl_settings settings;
    jl_calibration *c;
    size_t fault;
    (void)folder;
    int fd = given(LOG);
    jl_status status = jl_run_read(fd, &run, NULL);
    close(fd);
    if (status != JL_OK) return status;
    const jl_run *const runs[] = {run};
    const jl_calibrating of = {.runs = runs, .count = 1, .told = JL_LEARNING_TOLD};
    status = jl_calibrate(&of, &fault, &c);
    if (status == JL_OK) {
        jl_calibration_settings(&of, c, &settings);
        add(d, c->summary.share.high + c->each[0].strength_pct[1] + c->ahead.stop_l.value +
                   jl_setting_value(&settings, JL_KEY_REFLUX));
        jl_calibration_free(c);
    }
    jl_run_free(run);
    return status;
}

/* Five runs that use more from one to the next. */
static jl_status trends_of(digest *d) {
    jl_past pasts[5] = {{0}};
    const jl_past *at[5];
    jl_trends trends;
    for (int i = 0; i < 5; i++) {
        pasts[i].recovery_pct = 80 - i;
        at[i] = &pasts[i];
    }
    jl_status status = jl_trends_of(at, 5, &trends);
    if (status == JL_OK) add(d, trends.of[JL_PAST_RECOVERY][0].per_step);
    return status;
}

static jl_status rest_of_log(const char *folder, digest *d) {
    jl_run *run;
    jl_estimate next[2];
    jl_outlook o;
    jl_diagnosis of;
    (void)folder;
    int fd = given(LOG);
    jl_status status = jl_run_read(fd, &run, NULL);
    close(fd);
    if (status != JL_OK) return status;
    status = jl_run_rest(run, NULL, 2, next, &o);
    if (status == JL_OK) status = jl_run_suspect(run, NULL, &of);
    double slice_l = 0;
    if (status == JL_OK) status = jl_run_expected_slices(run, NULL, 2, next, &slice_l);
    if (status == JL_OK) status = trends_of(d);
    if (status == JL_OK) add(d, o.ahead.stop_l.value + next[1].high + of.odds + slice_l);
    jl_run_free(run);
    return status;
}

static jl_status learn(const char *folder, digest *d) {
    jl_learning_jar jars[5];
    const jl_learning_run run = {.jars = jars,
                                 .count = 5,
                                 .charge_l = 24,
                                 .charge_strength_pct = 30,
                                 .charge_share_u = 0.005,
                                 .charge_strength_u_pct = 0.3,
                                 .pressure_kpa = JL_PRESSURE_KPA,
                                 .pressure_u_kpa = 0.6,
                                 .power_w = 2000};
    const double PCT[] = {82.0, 80.9, 79.6, 78.1, 76.3};
    jl_learnt_run each = {0};
    jl_learnt_still still;
    (void)folder;
    for (int i = 0; i < 5; i++)
        jars[i] = (jl_learning_jar){0.5, 0.003, PCT[i], 0.3, NAN, NAN, 600 + 670 * i};
    jl_status status =
        jl_learn_still(&run, 1, &JL_LEARNING_WIDTHS, &JL_LEARNING_TOLD, NULL, NULL, &each, &still);
    if (status == JL_OK) add(d, each.charge_l.value + still.of[0].weight);
    return status;
}

static jl_status look_ahead(const char *folder, digest *d) {
    const jl_learning_jar jars[] = {{0.5, 0.003, 80.2, 0.3, NAN, NAN, 1200},
                                    {0.5, 0.003, 79.1, 0.3, 88, 82, 1800}};
    const jl_learning_run run = {.jars = jars,
                                 .count = 2,
                                 .charge_l = 24,
                                 .charge_strength_pct = 30,
                                 .charge_share_u = 0.005,
                                 .charge_strength_u_pct = 0.3,
                                 .pressure_kpa = JL_PRESSURE_KPA,
                                 .pressure_u_kpa = 0.6,
                                 .power_w = 2000};
    const jl_ahead_plan plan = {60, 20, 0.5, 1};
    jl_learnt_still still;
    jl_estimate next;
    jl_ahead ahead;
    (void)folder;
    jl_status status = jl_still_said(2, 0.5, 0.02, &JL_LEARNING_WIDTHS, 0.9, &still);
    if (status == JL_OK)
        status = jl_run_ahead(&run, &still, &JL_LEARNING_WIDTHS, &plan, &next, &ahead);
    jl_diagnosis diagnosis;
    if (status == JL_OK) add(d, next.value + ahead.stop_s.high);
    if (status == JL_OK) status = jl_run_diagnose(&run, &still, &JL_LEARNING_WIDTHS, &diagnosis);
    if (status == JL_OK) add(d, diagnosis.odds);
    return status;
}

/* ---- the book ---- */

static const char BOOK[] =
    "#jarline,1\n#kind,book\n"
    "entry,time,what,from,into,receiver,kind,volume_l,strength_pct,bottles,bottle_ml,lot,late,note,"
    "ethanol_kg,water_kg\n";

static jl_book_entry book_entry(jl_book_what what, const char *from, const char *into, double l) {
    const jl_time time = {1790000000 + what, 7200};
    jl_book_entry e = {.what = what};
    e.from = from;
    e.into = into;
    e.receiver = e.kind = e.lot = e.run = e.note = "";
    e.time = e.written = time;
    e.measured = JL_BOOK_UNMEASURED;
    e.measured.volume_l = l;
    return e;
}

static jl_status account_of(const jl_book *book, int64_t since_s, digest *d) {
    jl_account account;
    jl_settings bench;
    jl_settings_begin(&bench);
    const jl_instruments instruments = jl_settings_to_instruments(&bench);
    const jl_account_by by = {&instruments, JL_ALCOHOLOMETER};
    jl_status status = jl_account_of(book, since_s, INT64_MAX, by, &account);
    if (status != JL_OK) return status;
    for (int i = 0; i < JL_ACCOUNT_LINES; i++)
        add(d, account.all.of[i].ethanol_kg + account.all.of[i].water_kg);
    for (size_t i = 0; i < account.receiver_count; i++) add_text(d, account.receivers[i].receiver);
    jl_account_free(&account);
    return JL_OK;
}

/* A vessel, stock, bottles of it, some given away, and that taken back. */
static jl_status keep_book(const char *folder, digest *d) {
    jl_book_entry e[] = {book_entry(JL_BOOK_VESSEL, "", "demijohn-1", 5),
                         book_entry(JL_BOOK_OPENING, "", "demijohn-1", 4),
                         book_entry(JL_BOOK_BOTTLED, "demijohn-1", "", NAN),
                         book_entry(JL_BOOK_REMOVED, "lot:2026-1", "", NAN),
                         book_entry(JL_BOOK_CANCELLED, "", "", NAN)};
    jl_book *book, *then;
    jl_book_refusal refusal;
    (void)folder;
    e[0].kind = "glass";
    e[1].measured.strength.value = 70;
    e[2].lot = "2026-1";
    e[2].bottles = 3;
    e[2].bottle_l = 0.7;
    e[3].bottles = 2;
    e[3].receiver = "harvest supper";
    e[3].note = "for the fire brigade";
    e[4].cancelled = (jl_book_number){2026, 4};
    jl_status status = jl_book_new(&book);
    if (status != JL_OK) return status;
    for (size_t i = 0; status == JL_OK && i < sizeof e / sizeof e[0]; i++) {
        e[i].number = jl_book_next(book, e[i].written);
        status = jl_book_settle(book, &JL_ALCOHOLOMETER, &e[i], &refusal);
        if (status == JL_OK) status = jl_book_take(book, &e[i], &refusal);
        if (status == JL_OK && i == 0) status = account_of(book, 0, d); /* of an empty vessel */
        if (status == JL_OK && i == 3) status = account_of(book, e[2].written.unix_s, d);
    }
    if (status == JL_OK) status = jl_book_until(book, e[3].written.unix_s, &then);
    if (status == JL_OK) {
        add(d, jl_book_held(then).ethanol_kg);
        jl_book_free(then);
    }
    jl_book_free(book);
    return status;
}

/* A run's jars, some of them collected and one entry of another amount, and a vessel gauged. */
static jl_status keep_run(const jl_run *run, digest *d) {
    jl_book_entry e[] = {book_entry(JL_BOOK_VESSEL, "", "demijohn-1", 50),
                         book_entry(JL_BOOK_GAUGED, "demijohn-1", "", 1),
                         book_entry(JL_BOOK_COLLECTED, "run.csv:1-2", "demijohn-1", NAN),
                         book_entry(JL_BOOK_GAUGED, "demijohn-1", "", 1)};
    jl_book *book;
    jl_book_refusal refusal;
    jl_against against;
    e[0].kind = "glass";
    e[1].measured.strength.value = e[3].measured.strength.value = 60;
    e[2].run = "a run";
    e[2].amount = (jl_spirit){0.5, 0.4};
    for (int i = 1; i < 4; i++) e[i].time.unix_s = e[i].written.unix_s = 1790000000 + 100 * i;
    jl_status status = jl_book_new(&book);
    if (status != JL_OK) return status;
    for (size_t i = 0; status == JL_OK && i < sizeof e / sizeof e[0]; i++) {
        e[i].number = jl_book_next(book, e[i].written);
        status = jl_book_settle(book, &JL_ALCOHOLOMETER, &e[i], &refusal);
        if (status == JL_OK) status = jl_book_take(book, &e[i], &refusal);
    }
    if (status == JL_OK) status = account_of(book, 0, d);
    if (status == JL_OK) status = jl_book_against(book, "a run", "a.csv", run, &against);
    if (status == JL_OK) {
        add(d, (double)against.jar_count + (double)against.changed_count);
        jl_against_free(&against);
    }
    jl_book_free(book);
    return status;
}

static jl_status compare_book(const char *folder, digest *d) {
    jl_run *run;
    (void)folder;
    int fd = given(LOG);
    jl_status status = jl_run_read(fd, &run, NULL);
    close(fd);
    if (status != JL_OK) return status;
    status = keep_run(run, d);
    jl_run_free(run);
    return status;
}

static jl_status read_book(const char *folder, digest *d) {
    char text[2000];
    jl_book_file *file;
    (void)folder;
    snprintf(text, sizeof text,
             "%s2026-1,2026-09-21T18:13:20+02:00,vessel,,demijohn-1,,glass,5,,,,,,,0,0\n"
             "2026-2,2026-09-21T18:14:20+02:00,opening,,demijohn-1,,,4,70,,,,,,2.2,1.3\n",
             BOOK);
    int fd = given(text);
    jl_status status = jl_book_read(fd, &file, NULL);
    close(fd);
    if (status != JL_OK) return status;
    add(d, jl_book_held(jl_book_in(file)).ethanol_kg);
    jl_book_close(file);
    return JL_OK;
}

static jl_status write_book(const char *folder, digest *d) {
    char path[256];
    jl_book_file *file;
    jl_book_refusal refusal;
    jl_book_entry e = book_entry(JL_BOOK_VESSEL, "", "demijohn-1", 5);
    e.kind = "glass";
    snprintf(path, sizeof path, "%s/book.csv", folder);
    jl_status status = jl_book_create(path, "a house", &e, &refusal, NULL, NULL);
    if (status == JL_OK) status = jl_book_open(path, 0, &file, NULL, NULL);
    if (status == JL_OK) {
        e.into = "demijohn-2";
        status = jl_book_write(file, &e, &refusal, NULL);
        if (status == JL_OK) add(d, e.number.serial);
        jl_book_close(file);
    }
    unlink(path);
    return status;
}

/* What a header made by hand has no column for is refused, and not left out. */
static jl_status write_in_vain(const char *folder, digest *d) {
    char path[256];
    jl_book_file *file;
    jl_book_refusal refusal;
    jl_book_entry e = book_entry(JL_BOOK_VESSEL, "", "demijohn-1", 5);
    e.kind = "glass";
    e.receiver = "a neighbour";
    snprintf(path, sizeof path, "%s/hand.csv", folder);
    FILE *f = fopen(path, "w");
    if (f == NULL) return JL_MEMORY;
    fputs("#kind,book\nentry,time,what,from,into,kind,volume_l,ethanol_kg,water_kg\n", f);
    fclose(f);
    jl_status status = jl_book_open(path, 0, &file, NULL, NULL);
    if (status != JL_OK) return status;
    status = jl_book_write(file, &e, &refusal, NULL);
    add(d, status == JL_OK);
    jl_book_close(file);
    unlink(path);
    return status == JL_EXISTS ? JL_OK : status;
}

static jl_status read_settings(const char *folder, digest *d) {
    jl_settings *settings;
    jl_still still = JL_STILL;
    (void)folder;
    int fd = given("#power_w,2000\n#stages,3\n");
    jl_status status = jl_settings_read(fd, &settings, NULL);
    close(fd);
    if (status != JL_OK) return status;
    status = jl_settings_still(settings, &still);
    if (status == JL_OK) add(d, still.power_w + still.stages);
    jl_settings_free(settings);
    return status;
}

/* A new bench file, a section added to it, and a line of it changed. */
static jl_status write_settings(const char *folder, digest *d) {
    static const jl_settings_change CHANGES[] = {{NULL, "power_w", "1800", NULL},
                                                 {"Pot", "stages", "2", NULL}},
                                    AGAIN = {NULL, "power_w", "2000", NULL};
    char path[256];
    jl_fault fault;
    jl_trouble trouble;
    snprintf(path, sizeof path, "%s/bench.csv", folder);
    jl_status status = jl_settings_file_change(path, CHANGES, 2, &fault, &trouble);
    if (status == JL_OK) status = jl_settings_file_change(path, &AGAIN, 1, &fault, &trouble);
    add(d, status);
    unlink(path);
    return status;
}

/* As much as a pipe holds, which says nothing of its length: room is made twice. */
static jl_status read_pipe(const char *folder, digest *d) {
    static char block[65536];
    char *bytes;
    size_t size;
    int ends[2];
    (void)folder;
    if (pipe(ends) != 0) return JL_IO;
    ssize_t put = write(ends[1], block, sizeof block);
    close(ends[1]);
    jl_status status = jl_bytes_read(ends[0], &bytes, &size, NULL);
    close(ends[0]);
    if (status != JL_OK) return status;
    add(d, (double)put + (double)size);
    free(bytes);
    return JL_OK;
}

/* Of more digits than are copied without memory. */
static jl_status read_long_number(const char *folder, digest *d) {
    char text[200];
    double value;
    (void)folder;
    memset(text, '1', sizeof text);
    jl_status status = jl_decimal_read(text, sizeof text, JL_COMMA_NONE, &value);
    if (status == JL_OK) add(d, value);
    return status;
}

/* ---- what needs no memory ---- */

static jl_status figures(const char *folder, digest *d) {
    jl_spirit spirit;
    jl_boiling boiling;
    jl_time time;
    static const char WRITTEN[] = "2026-11-21T10:40:00+01:00";
    char text[JL_TIME_BYTES];
    (void)folder;
    for (int i = 0; i <= 1000; i++) {
        double p, kg_m3;
        jl_quantity reading = {i / 10.0, JL_UNIT_PCT_VOL};
        if (jl_reading_to_mass_fraction(&JL_ALCOHOLOMETER, reading, 24, &p) != JL_OK) continue;
        if (jl_density_kg_m3(p, i / 50.0, &kg_m3) == JL_OK) add(d, kg_m3);
        if (jl_boil(p, 98.5, &boiling) == JL_OK)
            add(d, boiling.vapour_mole_fraction + boiling.temp_c);
    }
    jl_cut cut;
    char words[JL_CUT_BYTES];
    jl_status status = jl_cut_read("60%", false, &cut, NULL);
    if (status != JL_OK) return status;
    jl_cut_write(&cut, words);
    add(d, cut.at);
    add_text(d, words);
    status = jl_time_read(WRITTEN, strlen(WRITTEN), &time);
    if (status != JL_OK) return status;
    add(d, (double)time.unix_s + time.offset_s);
    status = jl_spirit_read("3.2L@72.5%@24C", &JL_ALCOHOLOMETER, &spirit, NULL);
    if (status != JL_OK) return status;
    add(d, jl_proof_gallons_us(spirit));
    status = jl_time_write((jl_time){1796000000, 3600}, text, sizeof text);
    add_text(d, text);
    return status;
}

const work works[] = {
    {"a log", JL_OK, 18, read_log, false},
    {"a long log", JL_OK, 16, read_long_log, false},
    {"a file of facts", JL_OK, 22, read_facts, false},
    {"a wash log", JL_OK, 9, read_gravity, false},
    {"a wash log written", JL_OK, 40, write_wash, false},
    {"spans", JL_OK, 1, find_spans, false},
    {"a log written", JL_OK, 20, write_log, false},
    {"a torn log written", JL_OK, 15, write_torn_log, false},
    {"a forecast", JL_END, 2, forecast, false},
    {"a forecast at once", JL_OK, 3, whole_forecast, false},
    {"first order", JL_OK, 1, first_order, false},
    {"a budget", JL_OK, 10, budget, false},
    {"Monte Carlo", JL_OK, 3, monte_carlo, true},
    {"a still learnt", JL_OK, 5, calibrate, true},
    {"the rest of a log", JL_OK, 24, rest_of_log, true},
    {"a still's mixture learnt", JL_OK, 40, learn, true},
    {"a run's rest on a still learnt", JL_OK, 20, look_ahead, true},
    {"a book", JL_OK, 15, keep_book, false},
    {"a book beside a run", JL_OK, 15, compare_book, false},
    {"a book read", JL_OK, 10, read_book, false},
    {"a book written", JL_OK, 25, write_book, false},
    {"a book without the column", JL_OK, 5, write_in_vain, false},
    {"settings", JL_OK, 5, read_settings, false},
    {"settings written", JL_OK, 30, write_settings, false},
    {"a pipe", JL_OK, 2, read_pipe, false},
    {"a long number", JL_OK, 1, read_long_number, false},
    {"figures", JL_OK, 0, figures, false},
    {NULL, JL_OK, 0, NULL, false},
};
