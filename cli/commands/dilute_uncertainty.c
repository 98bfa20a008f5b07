/* How sure a dilution is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/dilute.h"

#include <math.h>

typedef struct doubtful {
    const dilution *in;
    measured_amount spirit;
    measured other, addition; /* strength and scale reading of what is added */
    measured reading, temp;   /* of the check */
} doubtful;

/* Scale reading of what brings a spirit to the target, negative when it is too weak for it. */
static jl_status still_to_add(const plan *p, jl_spirit spirit, double other, double *scale_kg) {
    double density_kg_m3;
    jl_status status = jl_density_kg_m3(other, p->other_c, &density_kg_m3);
    if (status != JL_OK) return status;
    if (p->target == other) return JL_NO;
    double mass_kg = (spirit.ethanol_kg - p->target * jl_mass_kg(spirit)) / (p->target - other);
    *scale_kg = copysign(jl_scale_from_mass_kg(fabs(mass_kg), density_kg_m3), mass_kg);
    return JL_OK;
}

static jl_status other_of(const doubtful *d, const double *x, double *other) {
    *other = 0;
    if (!d->in->plan->with_other) return JL_OK;
    jl_quantity strength = {measured_at(&d->other, x), d->in->other.unit};
    return jl_strength_to_mass_fraction(strength, other);
}

/* The spirit in hand and what is added to it, as they may really be. */
static jl_status parts_of(const doubtful *d, const double *x, jl_spirit *spirit, double *other,
                          jl_spirit *addition) {
    double density_kg_m3, scale_kg = measured_at(&d->addition, x);
    jl_status status = measured_amount_at(&d->spirit, d->in->instrument, x, spirit);
    if (status == JL_OK) status = other_of(d, x, other);
    if (status == JL_OK) status = jl_density_kg_m3(*other, d->in->plan->other_c, &density_kg_m3);
    if (status != JL_OK) return status;
    double mass_kg = jl_mass_from_scale_kg(scale_kg, density_kg_m3);
    *addition = (jl_spirit){mass_kg * *other, mass_kg * (1 - *other)};
    return JL_OK;
}

static jl_status plan_doubtful(const double *x, double *figures, void *with) {
    const doubtful *d = with;
    jl_spirit spirit, addition;
    double other;
    jl_status status = parts_of(d, x, &spirit, &other, &addition);
    if (status != JL_OK) return status;
    jl_spirit result = jl_blend(spirit, addition);
    figures[0] = jl_spirit_strength_pct(result);
    figures[1] = jl_volume_l(result, JL_STRENGTH_C);
    figures[2] = jl_pure_alcohol_l(result);
    return still_to_add(d->in->plan, spirit, other, &figures[3]);
}

static jl_status check_doubtful(const double *x, double *figures, void *with) {
    const doubtful *d = with;
    const check *c = d->in->check;
    const plan *p = d->in->plan;
    jl_spirit spirit, addition, batch;
    double other, now;
    jl_quantity reading = {measured_at(&d->reading, x), c->reading.unit};
    jl_status status = parts_of(d, x, &spirit, &other, &addition);
    if (status == JL_OK)
        status =
            jl_reading_to_mass_fraction(d->in->instrument, reading, measured_at(&d->temp, x), &now);
    if (status != JL_OK) return status;
    double ethanol_kg = spirit.ethanol_kg + addition.ethanol_kg;
    status = now > 0 ? jl_spirit_from_mass(ethanol_kg / now, now, &batch) : JL_RANGE;
    if (status != JL_OK) return status;
    figures[0] = jl_spirit_strength_pct(batch);
    figures[1] = jl_volume_l(batch, JL_STRENGTH_C);
    figures[2] = jl_pure_alcohol_l(batch);
    bool weak = c->now < p->target;
    return still_to_add(p, batch, weak ? jl_mass_fraction(spirit) : other, &figures[3]);
}

/* What is to be added may be less than its own uncertainty. */
static void say_whether_told(show *s, const uncertainty *d, doubtful *with) {
    jl_uncertainty found[4];
    if (uncertainty_first_order(d, check_doubtful, with, 4, found) != JL_OK) return;
    if (fabs(found[3].value) < JL_COVERAGE_K * found[3].standard)
        show_note(s, "What would be added is less than its own uncertainty: this reading does not "
                     "tell the batch from the strength that was asked for.");
}

static measured weigh(uncertainty *d, const dilution *in) {
    double density_kg_m3 = NAN, mass_kg = jl_mass_kg(in->addition);
    if (mass_kg == 0) return (measured){.value = 0};
    jl_density_kg_m3(in->plan->other, in->plan->other_c, &density_kg_m3);
    return uncertainty_measure(d, JL_BY_SCALE, jl_scale_from_mass_kg(mass_kg, density_kg_m3), 1);
}

int dilute_uncertainty(show *s, uncertainty *d, const dilution *in) {
    static const figure PLAN[] = {
        {"strength_pct", "Strength of the result", "strength", "% vol"},
        {"volume_l", "Volume at 20 °C", "volume", "l"},
        {"pure_alcohol_l", "Pure alcohol at 20 °C", "pure alc.", "l"},
        {"to_add_scale_kg", "To add, on a scale", "to add", "kg"},
    };
    static const figure CHECK[] = {
        {"checked_pct", "Strength found", "strength", "% vol"},
        {"volume_l", "Volume now at 20 °C", "volume", "l"},
        {"pure_alcohol_l", "Pure alcohol at 20 °C", "pure alc.", "l"},
        {"to_add_scale_kg", "To add now, on a scale", "to add", "kg"},
    };
    doubtful with = {.in = in, .spirit = uncertainty_amount(d, in->spirit)};
    if (in->plan->with_other) with.other = uncertainty_strength(d, in->other);
    with.addition = weigh(d, in);
    if (in->check == NULL) return uncertainty_show(s, d, plan_doubtful, &with, PLAN, 4);
    with.reading = uncertainty_strength(d, in->check->reading);
    with.temp = uncertainty_measure(d, JL_BY_THERMOMETER, in->check->temp_c, 1);
    int bad = uncertainty_show(s, d, check_doubtful, &with, CHECK, 4);
    if (bad == 0) say_whether_told(s, d, &with);
    return bad;
}
