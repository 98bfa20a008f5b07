/* The rest of a run, forecast from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/course.h"
#include "run/run.h"
#include "still/settings.h"
#include "uncertainty/fit.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { REFLUX, READING, CHARGE_SHARE, CHARGE_PCT, UNKNOWNS };
enum { HEARTS_L, HEARTS_PURE_L, STOP_L, STOP_PURE_L, ENDS };

typedef struct rest {
    const jl_run_plan *plan;
    const jl_logged_jar *jars;
    size_t count, next_count;
    double so_far_l;
    jl_table table;
    double x_top;
    jl_path *path, *moved;
    double reflux; /* for which path stands */
} rest;

/* ---- Residuals ---- */

static jl_status path_for(rest *r, const double *p, int changed, const jl_path **path) {
    bool moved = changed == REFLUX;
    jl_path **kept = moved ? &r->moved : &r->path;
    if (moved || (changed == JL_ALL_CHANGED && !(p[REFLUX] == r->reflux))) {
        jl_path_free(*kept);
        *kept = NULL;
        jl_status status = jl_path_new(&r->table, r->plan->stages, p[REFLUX], r->x_top, kept);
        if (!moved) r->reflux = status == JL_OK ? p[REFLUX] : NAN;
        if (status != JL_OK) return status;
    }
    *path = *kept;
    return JL_OK;
}

static jl_status begin(rest *r, const double *p, int changed, jl_course *course) {
    const jl_path *path;
    jl_status status = path_for(r, p, changed, &path);
    if (status != JL_OK) return status;
    return jl_course_begin(path, r->plan->charge_l * (1 + p[CHARGE_SHARE]),
                           fmax(r->plan->charge_strength_pct + p[CHARGE_PCT], 0.01), course);
}

static jl_status residuals(const double *p, int changed, double *rows, void *with) {
    rest *r = with;
    jl_course course;
    jl_status status = begin(r, p, changed, &course);
    if (status != JL_OK) return status;
    jl_place from = course.begin;
    double volume_l = 0;
    for (size_t i = 0; i < r->count; i++) {
        volume_l += r->jars[i].volume_l;
        jl_place to = jl_course_at(&course, volume_l);
        double pct = jl_course_strength_pct(&course, &from, &to) + p[READING];
        rows[i] = (pct - r->jars[i].strength_pct) / r->jars[i].strength_u_pct;
        from = to;
    }
    return JL_OK;
}

/* ---- What is still to come ---- */

static void to_end(const jl_course *course, const jl_place *now, double spout_pct, double *volume_l,
                   double *pure_l) {
    double s;
    *volume_l = *pure_l = NAN;
    if (jl_path_of_spout(course->path, jl_mole_of_strength(spout_pct), &s) != JL_OK || s <= now->s)
        return;
    jl_place end = jl_path_at(course->path, s);
    *volume_l = course->scale * (end.volume_l - now->volume_l);
    *pure_l = jl_pure_alcohol_l(jl_course_between(course, now, &end));
}

/* The ends first, then the strengths of the next jars. */
static jl_status outlook(rest *r, const double *p, int changed, double *figures) {
    jl_course course;
    jl_status status = begin(r, p, changed, &course);
    if (status != JL_OK) return status;
    jl_place from = jl_course_at(&course, r->so_far_l);
    to_end(&course, &from, r->plan->hearts_end_pct, &figures[HEARTS_L], &figures[HEARTS_PURE_L]);
    to_end(&course, &from, r->plan->stop_pct, &figures[STOP_L], &figures[STOP_PURE_L]);
    for (size_t i = 0; i < r->next_count; i++) {
        jl_place to = jl_course_at(&course, r->so_far_l + r->plan->jar_l * (double)(i + 1));
        bool comes = to.s < jl_path_end(course.path);
        figures[ENDS + i] = comes ? jl_course_strength_pct(&course, &from, &to) : NAN;
        from = to;
    }
    return JL_OK;
}

/* GUM 5.2.2 with the covariance of the fit; effect: for each unknown the change that one standard
 * uncertainty of it makes. */
static double combine(const jl_fitted *f, const double *effect, size_t stride) {
    double variance = 0;
    for (int i = 0; i < UNKNOWNS; i++)
        for (int k = 0; k < UNKNOWNS; k++) {
            double product = f->standard[i] * f->standard[k];
            if (product > 0)
                variance += effect[(size_t)i * stride] * effect[(size_t)k * stride] *
                            f->covariance[i * UNKNOWNS + k] / product;
        }
    return sqrt(fmax(variance, 0));
}

/* One standard uncertainty up for each unknown: a share at 0 has no other side. */
static jl_status look_ahead(rest *r, const jl_fitted *f, double wider,
                            jl_uncertainty *uncertainties) {
    size_t count = ENDS + r->next_count;
    double *figures = calloc((UNKNOWNS + 1) * count, sizeof *figures), p[UNKNOWNS];
    if (figures == NULL) return JL_MEMORY;
    memcpy(p, f->values, sizeof p);
    jl_status status = outlook(r, p, JL_ALL_CHANGED, figures);
    for (int k = 0; status == JL_OK && k < UNKNOWNS; k++) {
        double *moved = figures + (size_t)(k + 1) * count;
        p[k] = f->values[k] + f->standard[k];
        if (k == REFLUX) p[k] = fmin(p[k], JL_REFLUX_SHARE_MOST);
        status = outlook(r, p, k, moved);
        for (size_t i = 0; i < count; i++) moved[i] -= figures[i];
        p[k] = f->values[k];
    }
    for (size_t i = 0; status == JL_OK && i < count; i++)
        uncertainties[i] =
            (jl_uncertainty){figures[i], wider * combine(f, figures + count + i, count)};
    free(figures);
    return status;
}

/* ---- The plan as it looks now ---- */

/* A change of two standard uncertainties both of what was learnt and of what is now thought. */
static int contradicted(double off, double before, double now) {
    double learnt = before * before - now * now;
    if (!(learnt > 0.05 * before * before)) return 0;
    if (fabs(off) < 2 * fmax(sqrt(learnt), now)) return 0;
    return off > 0 ? 1 : -1;
}

static void update_plan(const jl_run_plan *plan, const jl_fitted *f, jl_rest *result) {
    double off[UNKNOWNS];
    for (int k = 0; k < UNKNOWNS; k++) off[k] = f->values[k];
    off[REFLUX] -= plan->reflux_share;
    result->charge_strength_pct = (jl_update){
        {plan->charge_strength_pct + off[CHARGE_PCT], f->standard[CHARGE_PCT]},
        contradicted(off[CHARGE_PCT], plan->uncertainty.charge_pct, f->standard[CHARGE_PCT])};
    result->charge_l = (jl_update){
        {plan->charge_l * (1 + off[CHARGE_SHARE]), plan->charge_l * f->standard[CHARGE_SHARE]},
        contradicted(off[CHARGE_SHARE], plan->uncertainty.charge_share, f->standard[CHARGE_SHARE])};
    result->reflux_share =
        (jl_update){{f->values[REFLUX], f->standard[REFLUX]},
                    contradicted(off[REFLUX], plan->reflux_share_u, f->standard[REFLUX])};
}

/* ---- The whole ---- */

static bool plan_ok(const jl_run_plan *p) {
    const jl_common_uncertainty *d = &p->uncertainty;
    return p->charge_l > 0 && p->charge_strength_pct > 0 && p->charge_strength_pct < 95 &&
           p->stages >= 1 && p->stages <= JL_STAGES_MOST && p->reflux_share >= 0 &&
           p->reflux_share <= JL_REFLUX_SHARE_MOST && p->reflux_share_u > 0 &&
           p->pressure_kpa >= JL_PRESSURE_MIN_KPA && p->pressure_kpa <= JL_PRESSURE_MAX_KPA &&
           p->hearts_end_pct >= 0 && p->hearts_end_pct <= 100 && p->stop_pct >= 0 &&
           p->stop_pct <= 100 && p->jar_l > 0 && d->strength_pct > 0 && d->charge_share > 0 &&
           d->charge_pct > 0;
}

static bool jars_ok(const jl_logged_jar *jars, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (!(jars[i].volume_l > 0 && jars[i].strength_pct >= 0 && jars[i].strength_pct <= 100 &&
              jars[i].strength_u_pct > 0))
            return false;
    return true;
}

static jl_status fit_plan(rest *r, jl_fitted *fitted) {
    const jl_run_plan *plan = r->plan;
    const jl_common_uncertainty *d = &plan->uncertainty;
    double pct = plan->charge_strength_pct;
    const jl_parameter unknowns[UNKNOWNS] = {
        {plan->reflux_share, plan->reflux_share_u, 0, JL_REFLUX_SHARE_MOST, plan->reflux_share_u,
         plan->stages == 1, 0}, /* without a stage above the boiler nothing can run back */
        {0, d->strength_pct, -20, 20, d->strength_pct, false, 0},
        {0, d->charge_share, -0.9, 9, d->charge_share, false, 0},
        {0, d->charge_pct, -pct, 6 * d->charge_pct, d->charge_pct, false, 0},
    };
    const jl_fit_problem problem = {residuals, r, unknowns, UNKNOWNS, r->count};
    jl_status status = jl_fitted_alloc(&problem, fitted);
    if (status != JL_OK) return status;
    status = jl_fit(&problem, fitted);
    if (status != JL_OK) jl_fitted_free(fitted);
    return status;
}

static jl_status open_path(rest *r) {
    double pct = fmin(r->plan->charge_strength_pct + 7 * r->plan->uncertainty.charge_pct, 96);
    r->x_top = jl_mole_of_strength(pct);
    r->reflux = NAN;
    for (size_t i = 0; i < r->count; i++) r->so_far_l += r->jars[i].volume_l;
    return jl_table_fill(r->plan->pressure_kpa, 0, true, &r->table);
}

jl_status jl_rest_of_run(const jl_run_plan *plan, const jl_logged_jar *jars, size_t count,
                         size_t next_count, jl_uncertainty *next_pct, jl_rest *result) {
    if (count == 0) return JL_MISSING;
    if (!plan_ok(plan) || !jars_ok(jars, count) || next_count > 10000) return JL_RANGE;
    rest *r = calloc(1, sizeof *r); /* its curve points into it */
    jl_uncertainty *uncertainties = calloc(ENDS + next_count, sizeof *uncertainties);
    jl_fitted fitted;
    jl_status status = r == NULL || uncertainties == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        *r = (rest){.plan = plan, .jars = jars, .count = count, .next_count = next_count};
        status = open_path(r);
        if (status == JL_OK) status = fit_plan(r, &fitted);
        if (status == JL_OK) {
            double residual = sqrt(fitted.chi_squared / (double)count);
            bool chance = fitted.chi_squared <= gsl_cdf_chisq_Pinv(0.95, (double)count);
            status = look_ahead(r, &fitted, chance ? 1 : residual, uncertainties);
            if (status == JL_OK) {
                update_plan(plan, &fitted, result);
                result->residual = residual;
                result->hearts_l = uncertainties[HEARTS_L];
                result->hearts_pure_l = uncertainties[HEARTS_PURE_L];
                result->stop_l = uncertainties[STOP_L];
                result->stop_pure_l = uncertainties[STOP_PURE_L];
                for (size_t i = 0; i < next_count; i++) next_pct[i] = uncertainties[ENDS + i];
            }
            jl_fitted_free(&fitted);
        }
        jl_path_free(r->path);
        jl_path_free(r->moved);
    }
    free(uncertainties);
    free(r);
    return status;
}

/* ---- Of a record ---- */

enum { JARS_LEAST = 3 };

/* A reflux share as people set it is off by this, as a standard uncertainty: common practice, no
 * source. */
static const double REFLUX_U = 0.05;

bool jl_run_rest_possible(const jl_run *run) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    double pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : 0;
    jl_run_jars(run, &count);
    return count >= JARS_LEAST && pct > 0.5 && pct < 90;
}

static void plan_of(const jl_run *run, const jl_logged_run *logged, const jl_settings *instruments,
                    jl_outlook *o) {
    const jl_settings *s = jl_run_settings(run);
    const jl_still still = jl_settings_to_still(s);
    double share_u = jl_setting_value(s, JL_KEY_REFLUX_SHARE_U);
    jl_run_ends(run, &o->hearts_end, &o->stop);
    o->plan = (jl_run_plan){.charge_l = logged->charge_l,
                            .charge_strength_pct = logged->charge_strength_pct,
                            .stages = still.stages,
                            .reflux_share = still.reflux_ratio / (1 + still.reflux_ratio),
                            .reflux_share_u = isnan(share_u) ? REFLUX_U : share_u,
                            .pressure_kpa = still.pressure_kpa,
                            .hearts_end_pct = o->hearts_end.strength_pct,
                            .stop_pct = o->stop.strength_pct,
                            .jar_l = jl_is_stated(s, JL_KEY_JAR)
                                         ? jl_setting_value(s, JL_KEY_JAR)
                                         : logged->jars[logged->count - 1].volume_l,
                            .uncertainty = jl_logged_uncertainty(instruments)};
}

/* What a charge that is larger and stronger than said, by what that may be, has not yet given. */
static jl_status most_of(const jl_run *run, jl_outlook *o) {
    const jl_run_plan *plan = &o->plan;
    const jl_recovery *r = jl_run_recovery(run);
    double share = JL_COVERAGE_K * plan->uncertainty.charge_share;
    double pct = JL_COVERAGE_K * plan->uncertainty.charge_pct / plan->charge_strength_pct;
    double pure_l = jl_pure_alcohol_l(r->charge) * (1 + hypot(share, pct));
    o->most_l = fmax(plan->charge_l * (1 + share) - jl_volume_l(r->collected, JL_STRENGTH_C), 0);
    o->most_pure_l = fmax(pure_l - jl_pure_alcohol_l(r->collected), 0);
    return o->most_l > 0 ? JL_OK : JL_CONFLICT;
}

static bool is_in(const jl_outlook *o, jl_uncertainty volume_l, jl_uncertainty pure_l) {
    return volume_l.value <= o->most_l && pure_l.value <= o->most_pure_l;
}

jl_status jl_run_rest(const jl_run *run, const jl_settings *instruments, size_t next_count,
                      jl_uncertainty *next_pct, jl_outlook *outlook) {
    size_t count;
    if (!jl_run_rest_possible(run)) return JL_MISSING;
    jl_run_jars(run, &count);
    jl_logged_jar *jars = calloc(count, sizeof *jars);
    if (jars == NULL) return JL_MEMORY;
    const jl_logged_run logged = jl_run_logged(run, instruments, jars);
    plan_of(run, &logged, instruments, outlook);
    jl_rest *come = &outlook->rest;
    jl_status status = jl_rest_of_run(&outlook->plan, jars, count, next_count, next_pct, come);
    free(jars);
    if (status == JL_OK) status = most_of(run, outlook);
    if (status != JL_OK) return status;
    outlook->hearts_held = is_in(outlook, come->hearts_l, come->hearts_pure_l);
    outlook->stop_held = is_in(outlook, come->stop_l, come->stop_pure_l);
    return JL_OK;
}
