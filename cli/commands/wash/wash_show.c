/* The answer of the wash command: each way on its own, then how far they are apart.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "commands/wash/wash.h"

#include <math.h>
#include <stdio.h>

static void show_pure_alcohol(show *s, const wash *w, double strength_pct) {
    char label[64];
    if (isnan(w->volume_l)) return;
    snprintf(label, sizeof label, "Pure alcohol in %g l, at 20 °C", w->volume_l);
    show_number(s, "pure_alcohol_l", label, strength_pct / 100 * w->volume_l, 2, "l");
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

static void show_fermented(show *s, const wash *w) {
    const jl_fermented *f = &w->fermented;
    double original_sg = w->original_from_sugar ? w->sugared.original_sg : w->original.sg;
    show_group(s, "gravity",
               w->original_from_sugar ? "From the sugar's original gravity and the final gravity"
                                      : "From original and final gravity");
    show_number(s, "strength_pct", "Strength at 20 °C", f->strength_pct, 2, "% vol");
    if (w->kind == KIND_SUGAR) show_sugar_range(s, f->strength_pct);
    show_number(s, "original_division_pct", "  one division of the original is worth",
                f->original_division_pct, 2, "% vol");
    show_number(s, "final_division_pct", "  one division of the final is worth",
                f->final_division_pct, 2, "% vol");
    show_pure_alcohol(s, w, f->strength_pct);
    show_number(s, "original_gravity", "Original gravity, 20/20 °C", original_sg, 4, "SG");
    show_number(s, "original_extract_pct", "  its extract", f->original_extract_pct, 2, "°P");
    show_number(s, "final_gravity", "Final gravity, 20/20 °C", w->final.sg, 4, "SG");
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

static void assume_sugar(show *s, const wash *w) {
    static const char *const FROM[] = {
        "1 g of sucrose gives at most 0.5384 g of alcohol (the water of inversion counted)",
        ("1 g of glucose gives at most 0.5114 g of alcohol; weighed without water of "
         "crystallisation, of the monohydrate it takes 10 % more"),
        "1 g of malt extract gives at most 0.4839 g of alcohol (Balling)"};
    show_assumption(s, "%s.", FROM[w->sugar]);
    show_assumption(s, "%.3g %% of that is reached%s.", 100 * w->yield,
                    w->yield == jl_sugar_usual_yield(w->sugar)
                        ? " (default; common practice, no source; --yield changes it)"
                        : "");
    show_assumption(s, "The volume is that of the wash made up at 20 °C, sugar dissolved in it.");
    if (w->sugar == JL_GLUCOSE)
        show_assumption(s, "The gravity of glucose is taken to be that of as much sucrose (common "
                           "practice, no source).");
}

static void show_sugared(show *s, const wash *w) {
    const jl_sugared *x = &w->sugared;
    bool so_far = !isnan(w->sugar_now_pct);
    show_group(s, "sugar", "From the sugar");
    if (so_far)
        show_number(s, "strength_pct", "Strength so far, at 20 °C", w->sugar_now_pct, 2, "% vol");
    show_number(s, so_far ? "strength_expected_pct" : "strength_pct",
                "Strength at 20 °C, all fermented", x->strength_pct, 2, "% vol");
    show_number(s, "yield_point_pct", "  1 % of yield is worth", x->strength_pct / (100 * w->yield),
                2, "% vol");
    show_number(s, NULL, "Pure alcohol, all fermented", x->pure_alcohol_l, 2, "l");
    show_number(s, "pure_alcohol_l", NULL,
                so_far ? w->sugar_now_pct / 100 * w->volume_l : x->pure_alcohol_l, 2, "l");
    show_number(s, "original_gravity", "Original gravity to be expected", x->original_sg, 4, "SG");
    show_number(s, "original_extract_pct", "  its extract", x->original_extract_pct, 2, "°P");
    if (w->original.known) {
        show_number(s, "original_gravity_read", "Original gravity as read, at 20 °C",
                    w->original.sg, 4, "SG");
        show_number(s, "original_gravity_difference", "  read less expected",
                    w->original.sg - x->original_sg, 4, "SG");
    }
    show_number(s, "sugar_g_l_per_pct", "Sugar for each 1 % vol", x->g_l_per_pct, 2, "g/l");
    show_group_end(s);
    if (so_far)
        show_note(s,
                  "Strength so far is %s times the share that the gravities say has fermented "
                  "(real attenuation, 100 %% at the most).",
                  w->sugar == JL_EXTRACT ? "what the extract gives at most"
                                         : "the sugar's whole strength");
    else if (!w->by_distilled)
        show_note(s, "That is to be expected when all has fermented; a final gravity (--fg) tells "
                     "how far it is.");
    assume_sugar(s, w);
}

/* ---- a distilled sample ---- */

static void assume_alcoholometer(show *s, const wash *w) {
    char temp[64];
    const jl_alcoholometer *a = &w->alcoholometer;
    bool proof = w->reading.unit == JL_UNIT_PROOF_US;
    phrase_at(temp, sizeof temp, "Alcoholometer calibrated", jl_calibrated_c(a, w->reading.unit));
    show_assumption(s, "%s%s, of soda-lime glass (OIML R 22 and R 44).", temp,
                    !isnan(a->calibrated_c) ? ""
                    : proof                 ? ", as US proof instruments are (27 CFR 30)"
                                            : " (default; --reading-calibrated)");
    if (a->reading_correction_pct != 0)
        show_assumption(s, "%+g %% vol added to the reading.", a->reading_correction_pct);
    if (a->thermometer_correction_c != 0)
        show_assumption(s, "%+g °C added to the temperature.", a->thermometer_correction_c);
}

static void show_distilled(show *s, const wash *w) {
    const jl_distilled *d = &w->distilled;
    show_group(s, "distilled", "From a distilled sample");
    show_number(s, "strength_pct", "Strength at 20 °C", d->strength_pct, 2, "% vol");
    show_number(s, "division_pct", "  one division of the alcoholometer is worth", d->division_pct,
                2, "% vol");
    show_pure_alcohol(s, w, d->strength_pct);
    show_number(s, "distillate_pct", "Distillate as made up, at 20 °C", d->distillate_pct, 2,
                "% vol");
    show_number(s, "sample_l", "Volume of the sample", w->sample_l, 3, "l");
    show_number(s, "made_up_l", "  made up with water to", w->made_up_l, 3, "l");
    show_group_end(s);
    assume_alcoholometer(s, w);
    show_assumption(s, "One division of the alcoholometer is %g %% vol%s.", w->reading_division_pct,
                    w->reading_division_pct == 1
                        ? " (default; common practice, no source; --reading-division)"
                        : "");
    show_assumption(s, "Sample and distillate were measured at one temperature, and all of the "
                       "alcohol came over (OIV-MA-AS312-01, 27 CFR 30.32).");
}

/* ---- the final gravity alone ---- */

static void show_bound(show *s, const wash *w) {
    show_group(s, "lower_bound", "From the final gravity alone: a lower bound");
    show_number(s, "strength_least_pct", "Strength at 20 °C, at least", w->least.least_pct, 2,
                "% vol");
    show_number(s, "strength_as_read_pct", "  with no half division taken off",
                w->least.as_read_pct, 2, "% vol");
    show_number(s, "final_division_pct", "  one division of the hydrometer is worth",
                w->least.division_pct, 2, "% vol");
    show_number(s, "final_gravity", "Final gravity, 20/20 °C", w->final.sg, 4, "SG");
    show_group_end(s);
    show_assumption(s, "Ethanol in water of that density (OIML R 22), at the reading's own "
                       "temperature.");
    show_note(s, "Whatever is dissolved in the wash raises its gravity and hides alcohol: the "
                 "truth is above the bound, and the gravity cannot say how far.");
}

/* ---- all of them ---- */

static void assume_hydrometer(show *s, const wash *w) {
    char temp[64];
    const jl_hydrometer *h = &w->hydrometer;
    const jl_hydrometer usual = JL_HYDROMETER;
    if (!w->original.known && !w->final.known) return;
    phrase_at(temp, sizeof temp, "Hydrometer calibrated", h->calibrated_c);
    show_assumption(s, "%s%s, its glass growing by %ge-6 per °C%s.", temp,
                    h->calibrated_c == usual.calibrated_c ? " (default; --calibrated)" : "",
                    h->glass_per_c * 1e6,
                    h->glass_per_c == usual.glass_per_c ? " (soda-lime glass, OIML R 22)" : "");
    show_assumption(
        s, "One division of the hydrometer is %.2g SG%s.", h->division,
        h->division == usual.division ? " (default; common practice, no source; --division)" : "");
    if ((w->original.known && !w->original.temp_stated) ||
        (w->final.known && !w->final.temp_stated))
        show_assumption(s, "A gravity without a temperature was read at the hydrometer's own "
                           "(default; --temp, --og-temp, --fg-temp).");
    if ((w->original.known && fabs(w->original.temp_c - 20) > 0.05) ||
        (w->final.known && fabs(w->final.temp_c - 20) > 0.05))
        show_assumption(s, "The wash is taken to expand as water does: at 12 %% vol ten degrees "
                           "away that is off by up to 0.0006 SG.");
}

typedef struct way {
    const char *key, *name;
    double strength_pct;
} way;

static void show_difference(show *s, const way *first, const way *second) {
    char key[64], label[96];
    snprintf(key, sizeof key, "%s_less_%s_pct", first->key, second->key);
    snprintf(label, sizeof label, "%s less %s", first->name, second->name);
    show_number(s, key, label, first->strength_pct - second->strength_pct, 2, "% vol");
}

static void show_differences(show *s, const wash *w) {
    way ways[4];
    size_t count = 0;
    if (w->by_distilled)
        ways[count++] = (way){"distilled", "Distilled sample", w->distilled.strength_pct};
    if (w->by_gravity) ways[count++] = (way){"gravity", "Gravities", w->fermented.strength_pct};
    if (w->by_sugar)
        ways[count++] = isnan(w->sugar_now_pct)
                            ? (way){"sugar", "Sugar, all fermented", w->sugared.strength_pct}
                            : (way){"sugar", "Sugar, so far", w->sugar_now_pct};
    if (w->by_bound) ways[count++] = (way){"lower_bound", "Lower bound", w->least.least_pct};
    if (count < 2) return;
    show_group(s, "differences", "How far the ways are apart, at 20 °C");
    for (size_t i = 0; i < count; i++)
        for (size_t j = i + 1; j < count; j++) show_difference(s, &ways[i], &ways[j]);
    show_group_end(s);
    if (w->by_bound && w->distilled.strength_pct < w->least.least_pct)
        show_note(s,
                  "The distilled sample lies below the lower bound, which cannot be: alcohol was "
                  "lost in distilling, or a reading is wrong.");
}

void wash_show(show *s, const wash *w) {
    double strength_pct = wash_strength(w, NULL);
    show_number(s, "strength_pct", NULL, strength_pct, 2, "% vol");
    show_number(s, "volume_l", NULL, w->volume_l, 2, "l");
    show_number(s, "pure_alcohol_l", NULL, strength_pct / 100 * w->volume_l, 4, "l");
    if (w->by_distilled) show_distilled(s, w);
    if (w->by_gravity) show_fermented(s, w);
    if (w->by_sugar) show_sugared(s, w);
    if (w->by_bound) show_bound(s, w);
    show_differences(s, w);
    assume_hydrometer(s, w);
}
