/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/balance.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void measure(balance *b, jl_measuring *by, jl_instrument size_by, jl_amount amount,
                    const jl_alcoholometer *instrument, double u_pct, int place) {
    need_room(&b->parts, b->count, &b->room, sizeof *b->parts);
    b->parts[b->count++] = (balance_part){
        .amount = jl_measure_amount_known(by, size_by, amount, instrument, u_pct), .place = place};
}

void balance_measure(balance *b, jl_measuring *by, const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *r = jl_run_recovery(run);
    jl_alcoholometer instrument = jl_run_instrument(run);
    for (size_t i = 0; i < count; i++)
        measure(b, by, JL_BY_JUG, jl_jar_amount(&jars[i]), &instrument, NAN, (int)jars[i].fraction);
    if (!r->charge_stated) return;
    measure(b, by, jl_run_charge_by(run), jl_amount_at_20(r->charge), &JL_ALCOHOLOMETER,
            jl_setting_value(jl_run_settings(run), JL_KEY_CHARGE_STRENGTH_U), IN_CHARGE);
    if (r->left_stated && jl_mass_kg(r->left) > 0)
        measure(b, by, JL_BY_JUG, jl_amount_at_20(r->left), &JL_ALCOHOLOMETER, NAN, IN_LEFT);
}

/* A weak rest may be read as less than nothing: it then holds no alcohol. */
static jl_status compute(const balance_part *p, const double *x, jl_spirit *spirit) {
    if (p->place != IN_LEFT || jl_measured_at(&p->amount.strength, x) >= 0)
        return jl_measured_amount_at(&p->amount, x, spirit);
    return jl_spirit_from_volume(jl_measured_at(&p->amount.size, x), 0, JL_STRENGTH_C, spirit);
}

jl_status balance_part_at(balance_part *p, const double *x, jl_spirit *spirit) {
    const double now[] = {jl_measured_at(&p->amount.size, x),
                          jl_measured_at(&p->amount.strength, x),
                          jl_measured_at(&p->amount.temp, x)};
    if (!p->known || memcmp(now, p->last, sizeof now) != 0) {
        p->known = false;
        jl_status status = compute(p, x, &p->spirit);
        if (status != JL_OK) return status;
        memcpy(p->last, now, sizeof now);
        p->known = true;
    }
    *spirit = p->spirit;
    return JL_OK;
}

double charge_pure_standard(const jl_run *run) {
    jl_spirit charge = jl_run_recovery(run)->charge;
    return digits_charged(jl_volume_l(charge, JL_STRENGTH_C), jl_spirit_strength_pct(charge),
                          jl_setting_value(jl_run_settings(run), JL_KEY_CHARGE_STRENGTH_U));
}

double expected_pure_standard(const jl_run *run, double expected_pure_l) {
    return charge_pure_standard(run) / jl_pure_alcohol_l(jl_run_recovery(run)->charge) *
           expected_pure_l;
}

static jl_status missing_at(const double *x, double *missing_l, void *with) {
    const balance *b = with;
    *missing_l = 0;
    for (size_t i = 0; i < b->count; i++) {
        jl_spirit spirit;
        jl_status status = balance_part_at(&b->parts[i], x, &spirit);
        if (status != JL_OK) return status;
        *missing_l += (b->parts[i].place == IN_CHARGE ? 1 : -1) * jl_pure_alcohol_l(spirit);
    }
    return JL_OK;
}

double balance_missing_u_l(const jl_run *run, const jl_instruments *instruments) {
    size_t jars;
    jl_uncertainty u;
    balance b = {0};
    jl_run_jars(run, &jars);
    if (jars > JARS_OF_A_RUN) return 0;
    jl_measuring by = {.instruments = *instruments, .budget = need(jl_budget_new())};
    balance_measure(&b, &by, run);
    bool known = jl_budget_count(by.budget) > 0 &&
                 jl_budget_first_order(by.budget, missing_at, &b, 1, &u) == JL_OK;
    jl_budget_free(by.budget);
    free(b.parts);
    return known ? u.standard : 0;
}

void warn_of_recovery(show *s, const jl_recovery *r, double missing_u_l) {
    if (!(r->missing_l < -JL_COVERAGE_K * missing_u_l)) return;
    show_warning(s,
                 "More pure alcohol was collected than the log says was charged: look at %sthe "
                 "charge and at the readings.",
                 r->left_stated ? "what is left, at " : "");
}

/* By mass, of the charge: boilers are gauged roughly, and a head and a column hold some. Common practice,
 * no source. */
static const double LEFT_APART = 0.1;

void warn_of_left(show *s, const jl_recovery *r) {
    double charge_kg = jl_mass_kg(r->charge), left_kg = jl_mass_kg(r->left);
    double should_kg = fmax(charge_kg - jl_mass_kg(r->collected), 0);
    if (!r->charge_stated || !r->left_stated || !(left_kg > 0) ||
        fabs(left_kg - should_kg) <= LEFT_APART * charge_kg)
        return;
    double left_l = jl_volume_l(r->left, JL_STRENGTH_C);
    show_warning(s,
                 "%s are left, where the charge less what was collected comes to about %s: look at "
                 "what is left, at the charge and at the jars.",
                 LITRES(left_l), LITRES(left_l * should_kg / left_kg));
}
