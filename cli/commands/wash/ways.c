/* The answer of the wash command: each way on its own, then how far they are apart, and how sure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/ways.h"
#include "answer/phrases.h"
#include "wash/wash.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a wash has, as bits of its figures. */
enum {
    SAMPLE = 1,
    GRAVITIES = 2,
    SUGAR = 4,
    SO_FAR = 8,      /* gravities say how far the sugar has fermented */
    ALL = 16,        /* nothing says so: what all of it will give */
    SUGAR_WASH = 32, /* it is one of sugar, for which the rule is not made */
    VOLUME = 64,
    ORIGINAL = 128 /* an original gravity was read */
};

enum {
    BEST,
    BEST_VOLUME,
    BEST_PURE,
    DISTILLED,
    DISTILLED_DIVISION,
    DISTILLED_PURE,
    DISTILLATE,
    SAMPLE_L,
    MADE_UP_L,
    FERMENTED,
    FERMENTED_LEAST,
    FERMENTED_MOST,
    ORIGINAL_DIVISION,
    FINAL_DIVISION,
    FERMENTED_PURE,
    ORIGINAL_SG,
    ORIGINAL_EXTRACT,
    FINAL_SG,
    APPARENT_EXTRACT,
    REAL_EXTRACT,
    APPARENT_ATTENUATION,
    REAL_ATTENUATION,
    SUGAR_SO_FAR,
    SUGAR_EXPECTED,
    SUGAR_ALL,
    YIELD_POINT,
    SUGAR_ALL_PURE,
    SUGAR_PURE,
    SUGAR_SG,
    SUGAR_EXTRACT,
    ORIGINAL_READ,
    ORIGINAL_DIFFERENCE,
    SUGAR_PER_PCT,
    LEAST,
    AS_READ,
    LEAST_DIVISION,
    LEAST_SG,
    DISTILLED_LESS_GRAVITY,
    DISTILLED_LESS_SO_FAR,
    DISTILLED_LESS_ALL,
    DISTILLED_LESS_BOUND,
    GRAVITY_LESS_SUGAR,
    BY_DISTILLED, /* the strengths once more, as their uncertainties call them */
    BY_GRAVITY,
    BY_SUGAR,
    FIGURES
};

#define PCT        "% vol", 2
#define PURE_IN    NULL, "L", 2, .of = VOLUME /* its label names the volume */
#define LESS(a, b) a " less " b, PCT

static const figure LIST[FIGURES] = {
    [BEST] = {"strength_pct", NULL, PCT},
    [BEST_VOLUME] = {"volume_l", NULL, "L", 2},
    [BEST_PURE] = {"pure_alcohol_l", NULL, "L", 4},

    [DISTILLED] = {"strength_pct", "Strength at 20 °C", PCT},
    [DISTILLED_DIVISION] = {"division_pct", "  one division of the alcoholometer is worth", PCT},
    [DISTILLED_PURE] = {"pure_alcohol_l", PURE_IN},
    [DISTILLATE] = {"distillate_pct", "Distillate as made up, at 20 °C", PCT},
    [SAMPLE_L] = {"sample_l", "Volume of the sample", "L", 3},
    [MADE_UP_L] = {"made_up_l", "  made up with water to", "L", 3},

    [FERMENTED] = {"strength_pct", "Strength at 20 °C", PCT},
    [FERMENTED_LEAST] = {"strength_sugar_least_pct", "  of a sugar wash, at least", PCT,
                         .of = SUGAR_WASH},
    [FERMENTED_MOST] = {"strength_sugar_most_pct", "  and at most", PCT, .of = SUGAR_WASH},
    [ORIGINAL_DIVISION] = {"original_division_pct", "  one division of the original is worth", PCT},
    [FINAL_DIVISION] = {"final_division_pct", "  one division of the final is worth", PCT},
    [FERMENTED_PURE] = {"pure_alcohol_l", PURE_IN},
    [ORIGINAL_SG] = {"original_gravity", "Original gravity, 20/20 °C", "SG", 4},
    [ORIGINAL_EXTRACT] = {"original_extract_pct", "  its extract", "°P", 2},
    [FINAL_SG] = {"final_gravity", "Final gravity, 20/20 °C", "SG", 4},
    [APPARENT_EXTRACT] = {"apparent_extract_pct", NULL, "°P", 2},
    [REAL_EXTRACT] = {"real_extract_pct", "Extract left, by the rule", "°P", 2},
    [APPARENT_ATTENUATION] = {"apparent_attenuation_pct", NULL, "%", 1},
    [REAL_ATTENUATION] = {"real_attenuation_pct", "Real attenuation: fermented so far", "%", 1},

    [SUGAR_SO_FAR] = {"strength_pct", "Strength so far, at 20 °C", PCT, .of = SO_FAR},
    [SUGAR_EXPECTED] = {"strength_expected_pct", "Strength at 20 °C, all fermented", PCT,
                        .of = SO_FAR},
    [SUGAR_ALL] = {"strength_pct", "Strength at 20 °C, all fermented", PCT, .of = ALL},
    [YIELD_POINT] = {"yield_point_pct", "  1 % of yield is worth", PCT},
    [SUGAR_ALL_PURE] = {NULL, "Pure alcohol, all fermented", "L", 2},
    [SUGAR_PURE] = {"pure_alcohol_l", NULL, "L", 2},
    [SUGAR_SG] = {"original_gravity", "Original gravity to be expected", "SG", 4},
    [SUGAR_EXTRACT] = {"original_extract_pct", "  its extract", "°P", 2},
    [ORIGINAL_READ] = {"original_gravity_read", "Original gravity as read, at 20 °C", "SG", 4,
                       .of = ORIGINAL},
    [ORIGINAL_DIFFERENCE] = {"original_gravity_difference", "  read less expected", "SG", 4,
                             .of = ORIGINAL},
    [SUGAR_PER_PCT] = {"sugar_g_l_per_pct", "Sugar for each 1 % vol", "g/L", 2},

    [LEAST] = {"strength_least_pct", "Strength at 20 °C, at least", PCT},
    [AS_READ] = {"strength_as_read_pct", "  with no half division taken off", PCT},
    [LEAST_DIVISION] = {"final_division_pct", "  one division of the hydrometer is worth", PCT},
    [LEAST_SG] = {"final_gravity", "Final gravity, 20/20 °C", "SG", 4},

    [DISTILLED_LESS_GRAVITY] = {"distilled_less_gravity_pct",
                                LESS("Distilled sample", "Gravities")},
    [DISTILLED_LESS_SO_FAR] = {"distilled_less_sugar_pct",
                               LESS("Distilled sample", "Sugar, so far"), .of = SO_FAR},
    [DISTILLED_LESS_ALL] = {"distilled_less_sugar_pct",
                            LESS("Distilled sample", "Sugar, all fermented"), .of = ALL},
    [DISTILLED_LESS_BOUND] = {"distilled_less_lower_bound_pct",
                              LESS("Distilled sample", "Lower bound")},
    [GRAVITY_LESS_SUGAR] = {"gravity_less_sugar_pct", LESS("Gravities", "Sugar, so far")},

    [BY_DISTILLED] = {"distilled_pct", "By distillation", PCT, .of = SAMPLE, .brief = "distilled"},
    [BY_GRAVITY] = {"gravity_pct", "By gravity", PCT, .of = GRAVITIES, .brief = "gravity"},
    [BY_SUGAR] = {"sugar_pct", "By sugar", PCT, .of = SUGAR, .brief = "sugar"},
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

/* ---- values ---- */

static void fill_distilled(const jl_wash *wash, const jl_distilled *d, double *v) {
    v[DISTILLED] = d->strength_pct;
    v[DISTILLED_DIVISION] = d->division_pct;
    v[DISTILLED_PURE] = d->strength_pct / 100 * wash->volume_l;
    v[DISTILLATE] = d->distillate_pct;
    v[SAMPLE_L] = wash->sample_l;
    v[MADE_UP_L] = wash->made_up_l;
}

static void fill_fermented(const jl_wash *wash, const jl_wash_ways *ways, double *v) {
    const jl_fermented *f = &ways->fermented;
    v[FERMENTED] = f->strength_pct;
    v[FERMENTED_LEAST] = 1.01 * f->strength_pct;
    v[FERMENTED_MOST] = 1.07 * f->strength_pct;
    v[ORIGINAL_DIVISION] = f->original_division_pct;
    v[FINAL_DIVISION] = f->final_division_pct;
    v[FERMENTED_PURE] = f->strength_pct / 100 * wash->volume_l;
    v[ORIGINAL_SG] = ways->original_sg;
    v[ORIGINAL_EXTRACT] = f->original_extract_pct;
    v[FINAL_SG] = ways->final_sg;
    v[APPARENT_EXTRACT] = f->apparent_extract_pct;
    v[REAL_EXTRACT] = f->real_extract_pct;
    v[APPARENT_ATTENUATION] = 100 * f->apparent_attenuation_share;
    v[REAL_ATTENUATION] = 100 * f->real_attenuation_share;
}

static void fill_sugared(const jl_wash *wash, const jl_wash_ways *ways, double *v) {
    const jl_sugared *x = &ways->sugared;
    double so_far_pct = ways->sugar_so_far_pct;
    v[SUGAR_SO_FAR] = so_far_pct;
    v[SUGAR_EXPECTED] = v[SUGAR_ALL] = x->strength_pct;
    v[YIELD_POINT] = x->strength_pct / (100 * wash->yield_share);
    v[SUGAR_ALL_PURE] = x->pure_alcohol_l;
    v[SUGAR_PURE] = isnan(so_far_pct) ? x->pure_alcohol_l : so_far_pct / 100 * wash->volume_l;
    v[SUGAR_SG] = x->original_sg;
    v[SUGAR_EXTRACT] = x->original_extract_pct;
    v[ORIGINAL_READ] = ways->original_sg;
    v[ORIGINAL_DIFFERENCE] = ways->original_sg - x->original_sg;
    v[SUGAR_PER_PCT] = x->g_l_per_pct;
}

static void fill_bound(const jl_wash_ways *ways, double *v) {
    v[LEAST] = ways->least.least_pct;
    v[AS_READ] = ways->least.as_read_pct;
    v[LEAST_DIVISION] = ways->least.division_pct;
    v[LEAST_SG] = ways->final_sg;
}

static void fill_ways(const jl_wash *wash, const jl_wash_ways *ways, double *v) {
    double best_pct = ways->best == JL_WAY_BOUND ? NAN : ways->strength_pct[ways->best];
    v[BEST] = best_pct;
    v[BEST_VOLUME] = wash->volume_l;
    v[BEST_PURE] = best_pct / 100 * wash->volume_l;
    v[BY_DISTILLED] = ways->strength_pct[JL_WAY_DISTILLED];
    v[BY_GRAVITY] = ways->strength_pct[JL_WAY_GRAVITY];
    v[BY_SUGAR] = ways->strength_pct[JL_WAY_SUGAR];
    v[DISTILLED_LESS_GRAVITY] = v[BY_DISTILLED] - v[BY_GRAVITY];
    v[DISTILLED_LESS_SO_FAR] = v[BY_DISTILLED] - ways->sugar_so_far_pct;
    v[DISTILLED_LESS_ALL] = v[BY_DISTILLED] - v[BY_SUGAR];
    v[DISTILLED_LESS_BOUND] = v[BY_DISTILLED] - ways->strength_pct[JL_WAY_BOUND];
    v[GRAVITY_LESS_SUGAR] = v[BY_GRAVITY] - ways->sugar_so_far_pct;
}

static void fill_all(const jl_wash *wash, const jl_wash_ways *ways, double *v) {
    fill_distilled(wash, &ways->distilled, v);
    fill_fermented(wash, ways, v);
    fill_sugared(wash, ways, v);
    fill_bound(ways, v);
    fill_ways(wash, ways, v);
}

static jl_status fill(const double *x, double *v, void *with) {
    const jl_wash wash = jl_measured_wash_at(with, x);
    jl_wash_ways ways;
    jl_status status = jl_wash_by_all_ways(&wash, &ways, NULL);
    if (status == JL_OK) fill_all(&wash, &ways, v);
    return status;
}

/* ---- two gravities ---- */

static void remark_fermented(show *s, const wash_answer *w) {
    if (w->kind == KIND_SUGAR)
        show_note(s, "Balling's rule is one for malt. Of a sucrose wash it gives 1 to 7 %% of its "
                     "value too little; --sugar and --volume put the sugar's own figure beside "
                     "it.");
    show_assumption(s, "Extract by the polynomial of the American Society of Brewing Chemists, "
                       "strength by Balling's empirical rule.");
    if (w->kind == KIND_UNSTATED)
        show_note(s, "Balling's rule is one for malt; of a sucrose wash it gives 1 to 7 %% of its "
                     "value too little (--fermented sugar shows it).");
    if (w->ways.fermented.real_extract_pct < 0)
        show_warning(s, "Less than no extract left: the rule is one for malt, and a dry sugar wash "
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
    show_assumption(s, "%.3g %% of that is reached%s.", 100 * w->wash.yield_share,
                    w->wash.yield_share == jl_sugar_usual_yield_share(w->wash.sugar)
                        ? " (default; common practice, no source; --yield changes it)"
                        : "");
    show_assumption(s, "The volume is that of the wash made up at 20 °C, sugar dissolved in it.");
    if (w->wash.sugar == JL_GLUCOSE)
        show_assumption(s, "The gravity of glucose is taken to be that of as much sucrose (common "
                           "practice, no source).");
}

static void remark_sugared(show *s, const wash_answer *w) {
    if (w->ways.by[JL_WAY_GRAVITY])
        show_warning(s,
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
                                            : " (default; --alcoholometer-scale)");
    if (a->reading_correction_pct != 0)
        show_assumption(s, "%+g %% vol added to the reading.", a->reading_correction_pct);
    if (a->thermometer_correction_c != 0)
        show_assumption(s, "%+g °C added to the temperature.", a->thermometer_correction_c);
}

static void remark_distilled(show *s, const wash_answer *w) {
    assume_alcoholometer(s, w);
    show_assumption(s, "One division of the alcoholometer is %g %% vol%s.",
                    w->wash.sample_division_pct,
                    w->wash.sample_division_pct == 1
                        ? " (default; common practice, no source; --alcoholometer-division)"
                        : "");
    show_assumption(s, "Sample and distillate were measured at one temperature, and all of the "
                       "alcohol came over (OIV-MA-AS312-01, 27 CFR 30.32).");
}

/* ---- the final gravity alone ---- */

static void remark_bound(show *s, const wash_answer *w) {
    (void)w;
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
                    h->calibrated_c == usual.calibrated_c ? " (default; --hydrometer-scale)" : "",
                    h->glass_per_c * 1e6,
                    h->glass_per_c == usual.glass_per_c ? " (soda-lime glass, OIML R 22)" : "");
    show_assumption(s, "One division of the hydrometer is %.2g SG%s.", h->division_sg,
                    h->division_sg == usual.division_sg
                        ? " (default; common practice, no source; --hydrometer-division)"
                        : "");
    if ((w->wash.original.known && !w->original_temp_stated) ||
        (w->wash.final.known && !w->final_temp_stated))
        show_assumption(s, "A gravity without a temperature was read at the hydrometer's own "
                           "(default; --temp, --og-temp, --fg-temp).");
    if ((w->wash.original.known && fabs(w->wash.original.temp_c - 20) > 0.05) ||
        (w->wash.final.known && fabs(w->wash.final.temp_c - 20) > 0.05))
        show_assumption(s, "The wash is taken to expand as water does: at 12 %% vol ten degrees "
                           "away that is off by up to 0.0006 SG.");
}

/* The figures of a way, and what is to be known of them. */
typedef struct group {
    jl_wash_way way;
    const char *key, *heading;
    size_t from, to;
    void (*remark)(show *s, const wash_answer *w);
} group;

static const group GROUPS[] = {
    {JL_WAY_DISTILLED, "distilled", "From a distilled sample", DISTILLED, FERMENTED,
     remark_distilled},
    {JL_WAY_GRAVITY, "gravity", "From original and final gravity", FERMENTED, SUGAR_SO_FAR,
     remark_fermented},
    {JL_WAY_SUGAR, "sugar", "From the sugar", SUGAR_SO_FAR, LEAST, remark_sugared},
    {JL_WAY_BOUND, "lower_bound", "From the final gravity alone: a lower bound", LEAST,
     DISTILLED_LESS_GRAVITY, remark_bound},
};

static void show_group_of(show *s, const wash_answer *w, const figures *f, const group *g) {
    bool of_sugar = g->way == JL_WAY_GRAVITY && w->ways.original_from_sugar;
    if (!w->ways.by[g->way]) return;
    show_group(s, g->key,
               of_sugar ? "From the sugar's original gravity and the final gravity" : g->heading);
    show_figures(s, f, g->from, g->to);
    show_group_end(s);
    g->remark(s, w);
}

static void show_differences(show *s, const wash_answer *w, const figures *f) {
    size_t count = 0;
    for (int i = 0; i < JL_WAYS; i++) count += w->ways.by[i];
    if (count < 2) return;
    show_group(s, "differences", "Differences between the methods, at 20 °C");
    for (size_t i = DISTILLED_LESS_GRAVITY; i < BY_DISTILLED; i++)
        if (!isnan(f->values[i])) show_figures(s, f, i, i + 1);
    show_group_end(s);
    if (f->values[DISTILLED_LESS_BOUND] < 0)
        show_warning(
            s, "The distilled sample lies below the lower bound, which cannot be: alcohol was "
               "lost in distilling, or a reading is wrong.");
}

static unsigned bits_of(const wash_answer *w) {
    const bool *by = w->ways.by;
    bool so_far = !isnan(w->ways.sugar_so_far_pct);
    return (by[JL_WAY_DISTILLED] ? SAMPLE : 0) | (by[JL_WAY_GRAVITY] ? GRAVITIES : 0) |
           (by[JL_WAY_SUGAR] ? SUGAR | (so_far ? SO_FAR : ALL) : 0) |
           (w->kind == KIND_SUGAR ? SUGAR_WASH : 0) | (isnan(w->wash.volume_l) ? 0 : VOLUME) |
           (w->wash.original.known ? ORIGINAL : 0);
}

/* ---- how sure ---- */

static int show_how_sure(show *s, const wash_answer *w, uncertainty *u, const figures *f,
                         jl_measured_wash *measured) {
    if (!uncertainty_wanted(u)) return 0;
    if (w->ways.best == JL_WAY_BOUND) {
        show_note(s, "A lower bound has no uncertainty of this kind: half a division is off it.");
        return 0;
    }
    int bad = show_uncertainty(s, u, f, fill, measured);
    if (bad == 0 && w->wash.has_sugar)
        show_assumption(s, "The yield holds within ±%g %% of itself (common practice, no source).",
                        100 * JL_YIELD_SHARE);
    if (bad == 0 && w->ways.by[JL_WAY_GRAVITY])
        show_note(s,
                  "The uncertainty is that of the readings; the rule's own bias on a sugar wash, "
                  "1 to 7 %% of the value too low, comes on top.");
    return bad;
}

int wash_show(show *s, const wash_answer *w, uncertainty *u) {
    figure list[FIGURES];
    double values[FIGURES];
    char pure_in[64];
    memcpy(list, LIST, sizeof list);
    snprintf(pure_in, sizeof pure_in, "Pure alcohol in %g L, at 20 °C", w->wash.volume_l);
    list[DISTILLED_PURE].label = list[FERMENTED_PURE].label = pure_in;
    figures f = {list, FIGURES, values, .of = bits_of(w)};
    jl_measured_wash measured = jl_measure_wash(&u->by, &w->wash);
    fill_all(&w->wash, &w->ways, values);
    show_figures(s, &f, BEST, DISTILLED);
    for (size_t i = 0; i < sizeof GROUPS / sizeof GROUPS[0]; i++)
        show_group_of(s, w, &f, &GROUPS[i]);
    show_differences(s, w, &f);
    assume_hydrometer(s, w);
    return show_how_sure(s, w, u, &f, &measured);
}
