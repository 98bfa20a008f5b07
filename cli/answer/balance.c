/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/balance.h"
#include "answer/rest.h"
#include "answer/say.h"

#include <math.h>
#include <stdlib.h>

static void measure(balance *b, jl_measuring *by, jl_instrument size_by, jl_amount amount,
                    const jl_alcoholometer *instrument, double u_pct, int place) {
    need_room(&b->parts, b->count, &b->room, sizeof *b->parts);
    b->parts[b->count++] =
        (balance_part){jl_measure_amount_known(by, size_by, amount, instrument, u_pct), place};
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
jl_status balance_part_at(const balance_part *p, const double *x, jl_spirit *spirit) {
    if (p->place != IN_LEFT || jl_measured_at(&p->amount.strength, x) >= 0)
        return jl_measured_amount_at(&p->amount, x, spirit);
    return jl_spirit_from_volume(jl_measured_at(&p->amount.size, x), 0, JL_STRENGTH_C, spirit);
}

/* A part as it was last computed: most inputs leave most parts as they are. */
typedef struct last {
    double size, strength, temp_c, pure_l;
} last;

typedef struct missing {
    balance of;
    last *parts;
} missing;

static jl_status pure_at(const balance_part *p, const double *x, last *known) {
    const last now = {jl_measured_at(&p->amount.size, x), jl_measured_at(&p->amount.strength, x),
                      jl_measured_at(&p->amount.temp, x), known->pure_l};
    if (now.size == known->size && now.strength == known->strength && now.temp_c == known->temp_c)
        return JL_OK;
    jl_spirit spirit;
    jl_status status = balance_part_at(p, x, &spirit);
    if (status != JL_OK) return status;
    *known = now;
    known->pure_l = jl_pure_alcohol_l(spirit);
    return JL_OK;
}

static jl_status missing_at(const double *x, double *missing_l, void *with) {
    const missing *m = with;
    *missing_l = 0;
    for (size_t i = 0; i < m->of.count; i++) {
        jl_status status = pure_at(&m->of.parts[i], x, &m->parts[i]);
        if (status != JL_OK) return status;
        *missing_l += (m->of.parts[i].place == IN_CHARGE ? 1 : -1) * m->parts[i].pure_l;
    }
    return JL_OK;
}

double balance_missing_u_l(const jl_run *run, const jl_instruments *instruments) {
    size_t jars;
    jl_uncertainty u;
    missing m = {0};
    jl_run_jars(run, &jars);
    if (jars > JARS_OF_A_RUN) return 0;
    jl_measuring by = {.instruments = *instruments, .budget = need(jl_budget_new())};
    balance_measure(&m.of, &by, run);
    m.parts = need(calloc(m.of.count + 1, sizeof *m.parts));
    bool known = jl_budget_count(by.budget) > 0 &&
                 jl_budget_first_order(by.budget, missing_at, &m, 1, &u) == JL_OK;
    jl_budget_free(by.budget);
    free(m.of.parts);
    free(m.parts);
    return known ? u.standard : 0;
}
