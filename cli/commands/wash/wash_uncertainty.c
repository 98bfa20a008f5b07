/* How sure the strength of a wash is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/uncertain.h"
#include "commands/wash/wash.h"

#include <math.h>

/* Half width of a yield, as a share of it: common practice, no source. */
static const double YIELD_SHARE = 0.05;
/* SG to °P near a wash's gravities: ASBC polynomial. */
static const double PLATO_PER_SG = 250;

typedef struct measured_gravity {
    const gravity *of;
    measured reading, temp;
} measured_gravity;

typedef struct doubtful {
    const wash *wash;
    measured_gravity original, final;
    measured sugar, volume; /* the sugar's way */
    size_t yield;           /* place of its deviation */
    measured reading, temp; /* the distilled sample's */
    measured sample_l, made_up_l;
    bool has_sugar;
} doubtful;

static measured_gravity measure(uncertainty *d, const gravity *g) {
    double scale = g->reading.unit == JL_UNIT_PLATO ? PLATO_PER_SG : 1;
    return (measured_gravity){g, uncertainty_measure(d, HYDROMETER, g->reading.value, scale),
                              uncertainty_measure(d, THERMOMETER, g->temp_c, 1)};
}

static jl_status gravity_at(const wash *w, const measured_gravity *m, const double *x, double *sg) {
    jl_quantity reading = {measured_at(&m->reading, x), m->of->reading.unit};
    return jl_gravity_at_20(&w->hydrometer, reading, measured_at(&m->temp, x), sg);
}

static jl_status sugared_at(const doubtful *d, const double *x, jl_sugared *sugared) {
    const wash *w = d->wash;
    double yield = fmin(w->yield * (1 + x[d->yield]), 1);
    return jl_wash_from_sugar(w->sugar, measured_at(&d->sugar, x), measured_at(&d->volume, x),
                              yield, sugared);
}

static jl_status by_gravity(const doubtful *d, const double *x, double sugar_sg, double *pct) {
    const wash *w = d->wash;
    double original_sg = sugar_sg, final_sg;
    jl_fermented fermented;
    jl_status status = JL_OK;
    if (!w->original_from_sugar) status = gravity_at(w, &d->original, x, &original_sg);
    if (status == JL_OK) status = gravity_at(w, &d->final, x, &final_sg);
    if (status == JL_OK)
        status = jl_wash_from_gravity(original_sg, final_sg, w->hydrometer.division, &fermented);
    if (status == JL_OK) *pct = fermented.strength_pct;
    return status;
}

static jl_status by_distilled(const doubtful *d, const double *x, double *pct) {
    const wash *w = d->wash;
    jl_distilled distilled;
    jl_quantity reading = {measured_at(&d->reading, x), w->reading.unit};
    jl_status status = jl_wash_from_distilled(&w->alcoholometer, reading, measured_at(&d->temp, x),
                                              w->reading_division_pct, measured_at(&d->sample_l, x),
                                              measured_at(&d->made_up_l, x), &distilled);
    if (status == JL_OK) *pct = distilled.strength_pct;
    return status;
}

static jl_status wash_doubtful(const double *x, double *figures, void *with) {
    const doubtful *d = with;
    const wash *w = d->wash;
    jl_sugared sugared = {.original_sg = NAN};
    size_t n = 0;
    jl_status status = d->has_sugar ? sugared_at(d, x, &sugared) : JL_OK;
    if (status == JL_OK && w->by_distilled) status = by_distilled(d, x, &figures[n++]);
    if (status == JL_OK && w->by_gravity)
        status = by_gravity(d, x, sugared.original_sg, &figures[n++]);
    if (status == JL_OK && d->has_sugar) figures[n++] = sugared.strength_pct;
    return status;
}

static void measure_all(doubtful *d, uncertainty *with) {
    const wash *w = d->wash;
    if (w->by_gravity && !w->original_from_sugar) d->original = measure(with, &w->original);
    if (w->by_gravity) d->final = measure(with, &w->final);
    if (w->by_sugar) {
        d->sugar = uncertainty_measure(with, SCALE, w->sugar_kg, 1);
        d->volume = uncertainty_measure(with, JUG, w->volume_l, 1);
        d->yield = uncertainty_input(with, "yield", YIELD_SHARE, JL_RECTANGULAR);
    }
    if (w->by_distilled) {
        d->reading = uncertainty_strength(with, w->reading);
        d->temp = uncertainty_measure(with, THERMOMETER, w->reading_c, 1);
        d->sample_l = uncertainty_measure(with, JUG, w->sample_l, 1);
        d->made_up_l = uncertainty_measure(with, JUG, w->made_up_l, 1);
    }
}

int wash_uncertainty(show *s, uncertainty *with, const wash *w, bool division_stated) {
    figure figures[3];
    size_t n = 0;
    if (with == NULL) return 0;
    if (division_stated) uncertainty_set(with, HYDROMETER, DIVISION, w->hydrometer.division);
    if (w->by_distilled)
        figures[n++] = (figure){"distilled_pct", "By distillation", "distilled", "% vol"};
    if (w->by_gravity) figures[n++] = (figure){"gravity_pct", "By gravity", "gravity", "% vol"};
    if (w->by_sugar) figures[n++] = (figure){"sugar_pct", "By sugar", "sugar", "% vol"};
    if (n == 0) {
        show_note(s, "A lower bound has no uncertainty of this kind: half a division is off it.");
        return 0;
    }
    doubtful d = {.wash = w, .has_sugar = w->by_sugar};
    measure_all(&d, with);
    int bad = uncertainty_show(s, with, wash_doubtful, &d, figures, n);
    if (bad == 0 && w->by_sugar)
        show_assumption(s, "The yield holds within ±5 %% of itself (common practice, no source).");
    if (bad == 0 && w->by_gravity)
        show_note(s,
                  "The uncertainty is that of the readings; the rule's own bias on a sugar wash, "
                  "1 to 7 %% of the value too low, comes on top.");
    return bad;
}
