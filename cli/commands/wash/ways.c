/* The answer of the wash command: each way on its own, then how far they are apart, and how sure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/ways.h"
#include "answer/phrases.h"

#include <math.h>
#include <stdio.h>

/* The ways in the order of jl_wash_way. */
static const struct way {
    const char *key, *name;
} WAYS[JL_WAYS] = {
    {"distilled", "Distilled sample"},
    {"gravity", "Gravities"},
    {"sugar", "Sugar, all fermented"},
    {"lower_bound", "Lower bound"},
};

double wash_strength(const wash_answer *w, const char **way) {
    static const char *const FROM[JL_WAYS] = {"a distilled sample", "original and final gravity",
                                              "its sugar, when all has fermented",
                                              "its final gravity alone"};
    jl_wash_way best = w->ways.best;
    if (way != NULL)
        *way = best == JL_WAY_GRAVITY && w->ways.original_from_sugar ? "its sugar and final gravity"
                                                                     : FROM[best];
    return best == JL_WAY_BOUND ? NAN : w->ways.strength_pct[best];
}

static void show_pure_alcohol(show *s, const wash_answer *w, double strength_pct) {
    char label[64];
    if (isnan(w->wash.volume_l)) return;
    snprintf(label, sizeof label, "Pure alcohol in %g l, at 20 °C", w->wash.volume_l);
    show_number(s, "pure_alcohol_l", label, strength_pct / 100 * w->wash.volume_l, 2, "l");
}

/* ---- two gravities ---- */

/* Of a sucrose wash the rule gives 1 to 7 %% of its value too little. */
static void show_sugar_range(show *s, double strength_pct) {
    show_number(s, "strength_sugar_least_pct", "  of a sugar wash, at least", 1.01 * strength_pct,
                2, "% vol");
    show_number(s, "strength_sugar_most_pct", "  and at most", 1.07 * strength_pct, 2, "% vol");
    show_note(s,
              "Balling's rule is one for malt. Of a sucrose wash it gives 1 to 7 %% of its value "
              "too little; --sugar and --volume put the sugar's own figure beside it.");
}

static void show_fermented(show *s, const wash_answer *w) {
    const jl_fermented *f = &w->ways.fermented;
    show_group(s, "gravity",
               w->ways.original_from_sugar
                   ? "From the sugar's original gravity and the final gravity"
                   : "From original and final gravity");
    show_number(s, "strength_pct", "Strength at 20 °C", f->strength_pct, 2, "% vol");
    if (w->kind == KIND_SUGAR) show_sugar_range(s, f->strength_pct);
    show_number(s, "original_division_pct", "  one division of the original is worth",
                f->original_division_pct, 2, "% vol");
    show_number(s, "final_division_pct", "  one division of the final is worth",
                f->final_division_pct, 2, "% vol");
    show_pure_alcohol(s, w, f->strength_pct);
    show_number(s, "original_gravity", "Original gravity, 20/20 °C", w->ways.original_sg, 4, "SG");
    show_number(s, "original_extract_pct", "  its extract", f->original_extract_pct, 2, "°P");
    show_number(s, "final_gravity", "Final gravity, 20/20 °C", w->ways.final_sg, 4, "SG");
    show_number(s, "apparent_extract_pct", "  its apparent extract", f->apparent_extract_pct, 2,
                "°P");
    show_number(s, "real_extract_pct", "Extract left, by the rule", f->real_extract_pct, 2, "°P");
    show_number(s, "apparent_attenuation_pct", "Apparent attenuation",
                100 * f->apparent_attenuation, 1, "%");
    show_number(s, "real_attenuation_pct", "Real attenuation: fermented so far",
                100 * f->real_attenuation, 1, "%");
    show_group_end(s);
    show_assumption(s, "Extract by the polynomial of the American Society of Brewing Chemists, "
                       "strength by Balling's empirical rule.");
    if (w->kind == KIND_UNSTATED)
        show_note(s, "Balling's rule is one for malt; of a sucrose wash it gives 1 to 7 %% of its "
                     "value too little (--kind sugar shows it).");
    if (f->real_extract_pct < 0)
        show_note(s, "Less than no extract left: the rule is one for malt, and a dry sugar wash "
                     "goes a little beyond it. Far beyond, look at the readings again.");
}

/* ---- sugar ---- */

static void assume_sugar(show *s, const wash_answer *w) {
    static const char *const FROM[] = {
        "1 g of sucrose gives at most 0.5384 g of alcohol (the water of inversion counted)",
        ("1 g of glucose gives at most 0.5114 g of alcohol; weighed without water of "
         "crystallisation, of the monohydrate it takes 10 % more"),
        "1 g of malt extract gives at most 0.4839 g of alcohol (Balling)"};
    show_assumption(s, "%s.", FROM[w->wash.sugar]);
    show_assumption(s, "%.3g %% of that is reached%s.", 100 * w->wash.yield,
                    w->wash.yield == jl_sugar_usual_yield(w->wash.sugar)
                        ? " (default; common practice, no source; --yield changes it)"
                        : "");
    show_assumption(s, "The volume is that of the wash made up at 20 °C, sugar dissolved in it.");
    if (w->wash.sugar == JL_GLUCOSE)
        show_assumption(s, "The gravity of glucose is taken to be that of as much sucrose (common "
                           "practice, no source).");
}

static void show_sugared(show *s, const wash_answer *w) {
    const jl_sugared *x = &w->ways.sugared;
    bool so_far = !isnan(w->ways.sugar_so_far_pct);
    show_group(s, "sugar", "From the sugar");
    if (so_far)
        show_number(s, "strength_pct", "Strength so far, at 20 °C", w->ways.sugar_so_far_pct, 2,
                    "% vol");
    show_number(s, so_far ? "strength_expected_pct" : "strength_pct",
                "Strength at 20 °C, all fermented", x->strength_pct, 2, "% vol");
    show_number(s, "yield_point_pct", "  1 % of yield is worth",
                x->strength_pct / (100 * w->wash.yield), 2, "% vol");
    show_number(s, NULL, "Pure alcohol, all fermented", x->pure_alcohol_l, 2, "l");
    show_number(s, "pure_alcohol_l", NULL,
                so_far ? w->ways.sugar_so_far_pct / 100 * w->wash.volume_l : x->pure_alcohol_l, 2,
                "l");
    show_number(s, "original_gravity", "Original gravity to be expected", x->original_sg, 4, "SG");
    show_number(s, "original_extract_pct", "  its extract", x->original_extract_pct, 2, "°P");
    if (w->wash.original.known) {
        show_number(s, "original_gravity_read", "Original gravity as read, at 20 °C",
                    w->ways.original_sg, 4, "SG");
        show_number(s, "original_gravity_difference", "  read less expected",
                    w->ways.original_sg - x->original_sg, 4, "SG");
    }
    show_number(s, "sugar_g_l_per_pct", "Sugar for each 1 % vol", x->g_l_per_pct, 2, "g/l");
    show_group_end(s);
    if (so_far)
        show_note(s,
                  "Strength so far is %s times the share that the gravities say has fermented "
                  "(real attenuation, 100 %% at the most).",
                  w->wash.sugar == JL_EXTRACT ? "what the extract gives at most"
                                              : "the sugar's whole strength");
    else if (!w->wash.has_sample)
        show_note(s, "That is to be expected when all has fermented; a final gravity (--fg) tells "
                     "how far it is.");
    assume_sugar(s, w);
}

/* ---- a distilled sample ---- */

static void assume_alcoholometer(show *s, const wash_answer *w) {
    char temp[64];
    const jl_alcoholometer *a = &w->wash.alcoholometer;
    bool proof = w->wash.sample_reading.unit == JL_UNIT_PROOF_US;
    phrase_at(temp, sizeof temp, "Alcoholometer calibrated",
              jl_calibrated_c(a, w->wash.sample_reading.unit));
    show_assumption(s, "%s%s, of soda-lime glass (OIML R 22 and R 44).", temp,
                    !isnan(a->calibrated_c) ? ""
                    : proof                 ? ", as US proof instruments are (27 CFR 30)"
                                            : " (default; --reading-calibrated)");
    if (a->reading_correction_pct != 0)
        show_assumption(s, "%+g %% vol added to the reading.", a->reading_correction_pct);
    if (a->thermometer_correction_c != 0)
        show_assumption(s, "%+g °C added to the temperature.", a->thermometer_correction_c);
}

static void show_distilled(show *s, const wash_answer *w) {
    const jl_distilled *d = &w->ways.distilled;
    show_group(s, "distilled", "From a distilled sample");
    show_number(s, "strength_pct", "Strength at 20 °C", d->strength_pct, 2, "% vol");
    show_number(s, "division_pct", "  one division of the alcoholometer is worth", d->division_pct,
                2, "% vol");
    show_pure_alcohol(s, w, d->strength_pct);
    show_number(s, "distillate_pct", "Distillate as made up, at 20 °C", d->distillate_pct, 2,
                "% vol");
    show_number(s, "sample_l", "Volume of the sample", w->wash.sample_l, 3, "l");
    show_number(s, "made_up_l", "  made up with water to", w->wash.made_up_l, 3, "l");
    show_group_end(s);
    assume_alcoholometer(s, w);
    show_assumption(s, "One division of the alcoholometer is %g %% vol%s.",
                    w->wash.sample_division_pct,
                    w->wash.sample_division_pct == 1
                        ? " (default; common practice, no source; --reading-division)"
                        : "");
    show_assumption(s, "Sample and distillate were measured at one temperature, and all of the "
                       "alcohol came over (OIV-MA-AS312-01, 27 CFR 30.32).");
}

/* ---- the final gravity alone ---- */

static void show_bound(show *s, const wash_answer *w) {
    show_group(s, "lower_bound", "From the final gravity alone: a lower bound");
    show_number(s, "strength_least_pct", "Strength at 20 °C, at least", w->ways.least.least_pct, 2,
                "% vol");
    show_number(s, "strength_as_read_pct", "  with no half division taken off",
                w->ways.least.as_read_pct, 2, "% vol");
    show_number(s, "final_division_pct", "  one division of the hydrometer is worth",
                w->ways.least.division_pct, 2, "% vol");
    show_number(s, "final_gravity", "Final gravity, 20/20 °C", w->ways.final_sg, 4, "SG");
    show_group_end(s);
    show_assumption(s, "Ethanol in water of that density (OIML R 22), at the reading's own "
                       "temperature.");
    show_note(s, "Whatever is dissolved in the wash raises its gravity and hides alcohol: the "
                 "truth is above the bound, and the gravity cannot say how far.");
}

/* ---- all of them ---- */

static void assume_hydrometer(show *s, const wash_answer *w) {
    char temp[64];
    const jl_hydrometer *h = &w->wash.hydrometer;
    const jl_hydrometer usual = JL_HYDROMETER;
    if (!w->wash.original.known && !w->wash.final.known) return;
    phrase_at(temp, sizeof temp, "Hydrometer calibrated", h->calibrated_c);
    show_assumption(s, "%s%s, its glass growing by %ge-6 per °C%s.", temp,
                    h->calibrated_c == usual.calibrated_c ? " (default; --calibrated)" : "",
                    h->glass_per_c * 1e6,
                    h->glass_per_c == usual.glass_per_c ? " (soda-lime glass, OIML R 22)" : "");
    show_assumption(
        s, "One division of the hydrometer is %.2g SG%s.", h->division,
        h->division == usual.division ? " (default; common practice, no source; --division)" : "");
    if ((w->wash.original.known && !w->original_temp_stated) ||
        (w->wash.final.known && !w->final_temp_stated))
        show_assumption(s, "A gravity without a temperature was read at the hydrometer's own "
                           "(default; --temp, --og-temp, --fg-temp).");
    if ((w->wash.original.known && fabs(w->wash.original.temp_c - 20) > 0.05) ||
        (w->wash.final.known && fabs(w->wash.final.temp_c - 20) > 0.05))
        show_assumption(s, "The wash is taken to expand as water does: at 12 %% vol ten degrees "
                           "away that is off by up to 0.0006 SG.");
}

static bool so_far(const wash_answer *w, int way) {
    return way == JL_WAY_SUGAR && !isnan(w->ways.sugar_so_far_pct);
}

static void show_difference(show *s, const wash_answer *w, int first, int second) {
    char key[64], label[96];
    const int both[] = {first, second};
    const char *names[2];
    double pct[2];
    for (int i = 0; i < 2; i++) {
        names[i] = so_far(w, both[i]) ? "Sugar, so far" : WAYS[both[i]].name;
        pct[i] = so_far(w, both[i]) ? w->ways.sugar_so_far_pct : w->ways.strength_pct[both[i]];
    }
    snprintf(key, sizeof key, "%s_less_%s_pct", WAYS[first].key, WAYS[second].key);
    snprintf(label, sizeof label, "%s less %s", names[0], names[1]);
    show_number(s, key, label, pct[0] - pct[1], 2, "% vol");
}

static void show_differences(show *s, const wash_answer *w) {
    size_t count = 0;
    for (int i = 0; i < JL_WAYS; i++) count += w->ways.by[i];
    if (count < 2) return;
    show_group(s, "differences", "How far the ways are apart, at 20 °C");
    for (int i = 0; i < JL_WAYS; i++)
        for (int j = i + 1; j < JL_WAYS; j++)
            if (w->ways.by[i] && w->ways.by[j]) show_difference(s, w, i, j);
    show_group_end(s);
    if (w->ways.by[JL_WAY_BOUND] && w->ways.distilled.strength_pct < w->ways.least.least_pct)
        show_note(s,
                  "The distilled sample lies below the lower bound, which cannot be: alcohol was "
                  "lost in distilling, or a reading is wrong.");
}

void wash_show(show *s, const wash_answer *w) {
    double strength_pct = wash_strength(w, NULL);
    show_number(s, "strength_pct", NULL, strength_pct, 2, "% vol");
    show_number(s, "volume_l", NULL, w->wash.volume_l, 2, "l");
    show_number(s, "pure_alcohol_l", NULL, strength_pct / 100 * w->wash.volume_l, 4, "l");
    if (w->wash.has_sample) show_distilled(s, w);
    if (w->ways.by[JL_WAY_GRAVITY]) show_fermented(s, w);
    if (w->wash.has_sugar) show_sugared(s, w);
    if (w->ways.by[JL_WAY_BOUND]) show_bound(s, w);
    show_differences(s, w);
    assume_hydrometer(s, w);
}

/* ---- how sure ---- */

/* Half width of a yield, as a share of it: common practice, no source. */
static const double YIELD_SHARE = 0.05;
/* SG to °P near a wash's gravities: ASBC polynomial. */
static const double PLATO_PER_SG = 250;

/* The strengths by the ways in the order of jl_wash_way; each is a question's own bit. */
static const figure STRENGTHS[JL_WAYS] = {
    [JL_WAY_DISTILLED] = {"distilled_pct", "By distillation", "% vol", 2,
                          .of = 1 << JL_WAY_DISTILLED, .brief = "distilled"},
    [JL_WAY_GRAVITY] = {"gravity_pct", "By gravity", "% vol", 2, .of = 1 << JL_WAY_GRAVITY,
                        .brief = "gravity"},
    [JL_WAY_SUGAR] = {"sugar_pct", "By sugar", "% vol", 2, .of = 1 << JL_WAY_SUGAR,
                      .brief = "sugar"},
    [JL_WAY_BOUND] = {"lower_bound_pct", "Lower bound", "% vol", 2, .of = 1 << JL_WAY_BOUND},
};

typedef struct inputs {
    const wash_answer *answer;
    jl_measured original, original_c, final, final_c;
    jl_measured sugar, volume;
    size_t yield; /* place of its deviation */
    jl_measured reading, reading_c, sample_l, made_up_l;
} inputs;

static void measure_gravity(jl_measuring *by, const jl_wash_gravity *g, jl_measured *reading,
                            jl_measured *temp) {
    double scale = g->reading.unit == JL_UNIT_PLATO ? PLATO_PER_SG : 1;
    *reading = jl_measure(by, JL_BY_HYDROMETER, g->reading.value, scale);
    *temp = jl_measure(by, JL_BY_THERMOMETER, g->temp_c, 1);
}

static void measure_all(inputs *in, jl_measuring *by) {
    const jl_wash *w = &in->answer->wash;
    bool gravity = in->answer->ways.by[JL_WAY_GRAVITY];
    if (gravity && w->original.known)
        measure_gravity(by, &w->original, &in->original, &in->original_c);
    if (gravity) measure_gravity(by, &w->final, &in->final, &in->final_c);
    if (w->has_sugar) {
        in->sugar = jl_measure(by, JL_BY_SCALE, w->sugar_kg, 1);
        in->volume = jl_measure(by, JL_BY_JUG, w->volume_l, 1);
        in->yield = jl_budget_input(by->budget, "yield", YIELD_SHARE, JL_RECTANGULAR);
    }
    if (w->has_sample) {
        in->reading = jl_measure_strength(by, w->sample_reading);
        in->reading_c = jl_measure(by, JL_BY_THERMOMETER, w->sample_c, 1);
        in->sample_l = jl_measure(by, JL_BY_JUG, w->sample_l, 1);
        in->made_up_l = jl_measure(by, JL_BY_JUG, w->made_up_l, 1);
    }
}

/* The wash with every measured value where the deviations put it; a bound is not asked for. */
static jl_wash deviated(const inputs *in, const double *x) {
    jl_wash w = in->answer->wash;
    w.final.known = in->answer->ways.by[JL_WAY_GRAVITY];
    w.original.known = w.original.known && w.final.known;
    if (w.original.known) {
        w.original.reading.value = jl_measured_at(&in->original, x);
        w.original.temp_c = jl_measured_at(&in->original_c, x);
    }
    if (w.final.known) {
        w.final.reading.value = jl_measured_at(&in->final, x);
        w.final.temp_c = jl_measured_at(&in->final_c, x);
    }
    if (w.has_sugar) {
        w.sugar_kg = jl_measured_at(&in->sugar, x);
        w.volume_l = jl_measured_at(&in->volume, x);
        w.yield = fmin(w.yield * (1 + x[in->yield]), 1);
    }
    if (w.has_sample) {
        w.sample_reading.value = jl_measured_at(&in->reading, x);
        w.sample_c = jl_measured_at(&in->reading_c, x);
        w.sample_l = jl_measured_at(&in->sample_l, x);
        w.made_up_l = jl_measured_at(&in->made_up_l, x);
    }
    return w;
}

static jl_status fill(const double *x, double *v, void *with) {
    const jl_wash wash = deviated(with, x);
    jl_wash_ways ways;
    jl_status status = jl_wash_by_all_ways(&wash, &ways, NULL);
    for (int i = 0; status == JL_OK && i < JL_WAYS; i++) v[i] = ways.strength_pct[i];
    return status;
}

int wash_show_uncertainty(show *s, uncertainty *u, const wash_answer *w, bool division_stated) {
    figures f = {.list = STRENGTHS, .count = JL_WAYS};
    if (!uncertainty_wanted(u)) return 0;
    for (int i = 0; i < JL_WAY_BOUND; i++)
        if (w->ways.by[i]) f.of |= STRENGTHS[i].of;
    if (f.of == 0) {
        show_note(s, "A lower bound has no uncertainty of this kind: half a division is off it.");
        return 0;
    }
    if (division_stated) {
        u->by.instruments.width[JL_BY_HYDROMETER][JL_DIVISION] = w->wash.hydrometer.division;
        u->by.instruments.stated[JL_BY_HYDROMETER][JL_DIVISION] = true;
    }
    inputs in = {.answer = w};
    measure_all(&in, &u->by);
    int bad = show_uncertainty(s, u, &f, fill, &in);
    if (bad == 0 && w->wash.has_sugar)
        show_assumption(s, "The yield holds within ±5 %% of itself (common practice, no source).");
    if (bad == 0 && w->ways.by[JL_WAY_GRAVITY])
        show_note(s,
                  "The uncertainty is that of the readings; the rule's own bias on a sugar wash, "
                  "1 to 7 %% of the value too low, comes on top.");
    return bad;
}
