/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/logged.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/logfile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- What the instruments leave open ---- */

/* A moment is written down within a minute: common practice, no source. */
static const double MOMENT_U_S = 30;
/* % vol for each °C: what a reading near 60 % vol moves. OIML R 22. */
static const double PCT_PER_C = 0.35;
/* Nothing is known to better than this, or a fit could not be weighed: 0.01 % vol, a thousandth. */
static const double LEAST_PCT = 0.01, LEAST_SHARE = 0.001;

static double square(double x) {
    return x * x;
}

/* Variance of what is common to all readings, or new in each. */
static double variance(const instruments *in, instrument_kind which, bool common) {
    const double *w = in->width[which];
    return common ? square(w[LIMIT]) / 3 + square(w[CERTIFICATE] / JL_COVERAGE_K)
                  : square(w[DIVISION] / 2) / 3 + square(w[REPEATABILITY]);
}

static double pct_u(const instruments *in, bool common) {
    double u = sqrt(variance(in, ALCOHOLOMETER, common) +
                    square(PCT_PER_C) * variance(in, THERMOMETER, common));
    return fmax(u, LEAST_PCT);
}

jl_common_uncertainty logged_uncertainty(const instruments *in) {
    double share = sqrt(2 * variance(in, JUG, true)); /* of the charge and of the jars */
    return (jl_common_uncertainty){pct_u(in, true), fmax(share, LEAST_SHARE),
                                   hypot(pct_u(in, true), pct_u(in, false)), MOMENT_U_S};
}

/* ---- Facts ---- */

static const jl_fact_key STAGES = {"stages", JL_NUMBER, 1, 100, "1 to 100 stages, as stages,3.5"};
static const jl_fact_key REFLUX = {"reflux", JL_NUMBER, 0, 49, "0 to 49, as reflux,2"};
static const jl_fact_key POWER = {"power", JL_POWER, 1, 1e6, "1 W to 1000 kW, as power_w,2000"};
static const jl_fact_key EFFICIENCY = {"efficiency", JL_NUMBER, 0.05, 1,
                                       "0.05 to 1, as efficiency,0.9"};
static const jl_fact_key LOSS = {"loss", JL_POWER, 0, 1e6, "0 W to 1000 kW, as loss_w,150"};
static const jl_fact_key BOILER = {"boiler_heat_kj_c", JL_NUMBER, 0, 1e4,
                                   "0 to 10000 kJ/C, as boiler_heat_kj_c,3"};
static const jl_fact_key PRESSURE = {"pressure", JL_PRESSURE, 60, 105,
                                     "60 to 105 kPa, as pressure_kpa,98.5"};
static const jl_fact_key ALTITUDE = {"altitude", JL_ALTITUDE, -300, 4150,
                                     "-300 to 4150 m, as altitude_m,650"};
static const jl_fact_key REFLUX_U = {"reflux_share_u", JL_NUMBER, 1e-4, 0.5,
                                     "0.0001 to 0.5, as reflux_share_u,0.03"};
static const jl_fact_key JAR = {"jar", JL_VOLUME, 0.001, 1e6, "1 ml or more, as jar_ml,500"};

/* *value keeps what it has where the log is silent. */
static jl_status take(const jl_facts *facts, const jl_fact_key *key, double unit, double *value,
                      bool *stated, jl_fault *fault) {
    jl_quantity quantity;
    jl_status status = jl_facts_quantity(facts, key, &quantity, fault);
    *stated = status == JL_OK;
    if (status == JL_OK) *value = quantity.value * unit;
    return status == JL_MISSING && fault->line == 0 ? JL_OK : status;
}

/* "60%": a rule by temperature or volume is another rule, for which the usual strength stays. */
static void take_strength(const jl_facts *facts, const char *key, double *pct, bool *stated) {
    jl_quantity strength;
    double p;
    const char *text = jl_facts_text(facts, key);
    *stated = text != NULL && jl_quantity_read(text, JL_STRENGTH, &strength) == JL_OK &&
              jl_strength_to_mass_fraction(strength, &p) == JL_OK &&
              jl_strength_pct(p, JL_STRENGTH_C, pct) == JL_OK;
}

static jl_status take_air(const jl_facts *facts, double *pressure_kpa, jl_fault *fault) {
    bool stated;
    double altitude_m = 0;
    jl_status status = take(facts, &ALTITUDE, 1, &altitude_m, &stated, fault);
    if (status == JL_OK && stated) jl_pressure_at_altitude_kpa(altitude_m, pressure_kpa);
    if (status == JL_OK) status = take(facts, &PRESSURE, 1, pressure_kpa, &stated, fault);
    return status;
}

static jl_status take_still(const jl_facts *facts, double charge_pct, logged_still *s,
                            jl_fault *fault) {
    bool stated;
    const jl_cut_rules usual = jl_default_cuts(charge_pct);
    *s = (logged_still){.still = JL_STILL, .jar_l = NAN, .reflux_share_u = NAN};
    s->hearts_end_pct = usual.hearts.by == JL_CUT_SPOUT_PCT ? usual.hearts.at : usual.tails.at;
    s->stop_pct = usual.tails.at;
    take_strength(facts, "hearts_until", &s->hearts_end_pct, &s->hearts_end);
    s->schedule = jl_facts_text(facts, "reflux_schedule") != NULL;
    take_strength(facts, "stop_at", &s->stop_pct, &s->stop);
    jl_status status = take(facts, &STAGES, 1, &s->still.stages, &s->stages, fault);
    if (status == JL_OK) status = take(facts, &REFLUX, 1, &s->still.reflux, &s->reflux, fault);
    if (status == JL_OK) status = take(facts, &POWER, 1, &s->still.power_w, &s->power, fault);
    if (status == JL_OK)
        status = take(facts, &EFFICIENCY, 1, &s->still.efficiency, &s->efficiency, fault);
    if (status == JL_OK) status = take(facts, &LOSS, 1, &s->still.loss_w, &stated, fault);
    if (status == JL_OK)
        status = take(facts, &BOILER, 1000, &s->still.boiler_heat_j_k, &stated, fault);
    if (status == JL_OK) status = take(facts, &JAR, 1, &s->jar_l, &stated, fault);
    if (status == JL_OK) status = take(facts, &REFLUX_U, 1, &s->reflux_share_u, &stated, fault);
    return status == JL_OK ? take_air(facts, &s->still.pressure_kpa, fault) : status;
}

/* ---- Jars ---- */

static void keep_jars(logged *s, const jl_run *run, double u_pct) {
    const jl_jar *jars = jl_run_jars(run, &s->count);
    s->jars = need(calloc(s->count + 1, sizeof *s->jars));
    s->numbers = need(calloc(s->count + 1, sizeof *s->numbers));
    for (size_t i = 0; i < s->count; i++) {
        s->numbers[i] = jars[i].number;
        s->jars[i] = (jl_logged_jar){jars[i].volume_20c_l, jl_spirit_strength_pct(jars[i].spirit),
                                     u_pct, jars[i].has_time ? (double)jars[i].time.unix_s : NAN};
    }
}

int logged_of_run(const char *path, const jl_run *run, const instruments *in, logged *s) {
    jl_fault fault = {0};
    const char *title = jl_run_title(run);
    *s = (logged){.name = path, .tally = *jl_run_tally(run), .recovery = *jl_run_recovery(run)};
    double charge_pct = s->recovery.charge_stated ? jl_spirit_strength_pct(s->recovery.charge) : 30;
    if (take_still(jl_run_facts(run), charge_pct, &s->still, &fault) != JL_OK)
        return fail_fault(path, &fault);
    keep_jars(s, run, pct_u(in, false));
    if (title != NULL) s->title = need(strdup(title));
    s->has_started = jl_run_started(run, &s->started);
    s->expected_pure_l = jl_run_expected_pure_l(run);
    double last_s = s->count > 0 ? s->jars[s->count - 1].full_s : NAN;
    s->hours = s->has_started ? (last_s - (double)s->started.unix_s) / 3600 : NAN;
    return EXIT_DONE;
}

int logged_read(const char *path, const instruments *in, bool may_be_empty, logged *s) {
    jl_run *run;
    jl_fault fault = {0};
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    say_torn(path, jl_run_torn_line(run));
    if (!may_be_empty && jl_run_some(run, &fault) != JL_OK)
        bad = fail_fault(path, &fault);
    else
        bad = logged_of_run(path, run, in, s);
    jl_run_free(run);
    return bad;
}

void logged_free(logged *s) {
    free(s->jars);
    free(s->numbers);
    free(s->title);
    *s = (logged){0};
}

jl_logged_run logged_run(const logged *s) {
    const jl_still *still = &s->still.still;
    return (jl_logged_run){.jars = s->jars,
                           .count = s->count,
                           .charge_l = jl_volume_l(s->recovery.charge, JL_STRENGTH_C),
                           .charge_strength_pct = jl_spirit_strength_pct(s->recovery.charge),
                           .power_w = s->still.power ? still->power_w : NAN,
                           .loss_w = still->loss_w,
                           .boiler_heat_j_k = still->boiler_heat_j_k,
                           .pressure_kpa = still->pressure_kpa};
}
