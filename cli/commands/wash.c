/* wash: how strong a wash is, or what can be said of it, and whether it has finished.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/wash.h"
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/output.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "commands/wash/daily.h"
#include "commands/wash/log.h"
#include "input/factfile.h"
#include "wash/gravity.h"

#include <string.h>

/* ---- Each way to a strength, how far they are apart, how sure they are ---- */

/* What was known, and what every way makes of it. */
typedef struct wash_answer {
    jl_wash wash;
    bool original_temp_stated, final_temp_stated;
    jl_wash_ways ways;
    jl_settings bench;
    jl_wash_strength one; /* of all ways; NaN where a bound is all there is */
} wash_answer;

/* What a wash has, as bits of its figures. */
enum {
    SAMPLE = 1,
    GRAVITIES = 2,
    SUGAR = 4,
    SO_FAR = 8,      /* gravities say how far the sugar has fermented */
    ALL = 16,        /* nothing says so: what all of it will give */
    SUGAR_WASH = 32, /* it is one of sugar, for which the rule is not made */
    VOLUME = 64,
    ORIGINAL = 128, /* an original gravity was read */
    ONE_WAY = 256,  /* text has room for what stands beside a strength */
    SEVERAL = 512,
    A_STRENGTH = 1024 /* and not a bound alone */
};

enum {
    BEST,
    BEST_U,
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
#define PURE_IN    NULL, "L", 2, .of = VOLUME
#define LESS(a, b) a " less " b, "% vol", EXACT + 2, .text_of = ONE_WAY

static const figure LIST[FIGURES] = {
    [BEST] = {"strength_pct", "Strength of the wash, at 20 °C", PCT, .text_of = A_STRENGTH,
              .brief = "together", .alone = "All together", .brief_of = SEVERAL},
    [BEST_U] = {"strength_expanded_pct", "  ± (k = 2)", "% vol", EXACT + 2, .text_of = A_STRENGTH},
    [BEST_VOLUME] = {"volume_l", NULL, "L", 2},
    [BEST_PURE] = {"pure_alcohol_l", NULL, "L", 4, .text_of = A_STRENGTH},

    [DISTILLED] = {"strength_pct", "  of the wash, at 20 °C", PCT, .text_of = ONE_WAY},
    [DISTILLED_DIVISION] = {"division_pct", "  one division of the alcoholometer is worth", "% vol",
                            EXACT + 2, .text_of = ONE_WAY},
    [DISTILLED_PURE] = {"pure_alcohol_l", PURE_IN},
    [DISTILLATE] = {"distillate_pct", "Distillate as made up, at 20 °C", PCT, .text_of = ONE_WAY},
    [SAMPLE_L] = {"sample_l", "Volume of the sample", "L", 3, .text_of = ONE_WAY},
    [MADE_UP_L] = {"made_up_l", "  made up with water to", "L", 3, .text_of = ONE_WAY},

    [FERMENTED] = {"strength_pct", "By the rule, at 20 °C", PCT, .text_of = ONE_WAY},
    [FERMENTED_LEAST] = {"strength_sugar_least_pct", "  of a sugar wash, at least", PCT,
                         .of = SUGAR_WASH, .text_of = ONE_WAY},
    [FERMENTED_MOST] = {"strength_sugar_most_pct", "  and at most", PCT, .of = SUGAR_WASH,
                        .text_of = ONE_WAY},
    [ORIGINAL_DIVISION] = {"original_division_pct", "  one division of the original is worth",
                           "% vol", EXACT + 2, .text_of = ONE_WAY},
    [FINAL_DIVISION] = {"final_division_pct", "  one division of the final is worth", "% vol",
                        EXACT + 2, .text_of = ONE_WAY},
    [FERMENTED_PURE] = {"pure_alcohol_l", PURE_IN},
    [ORIGINAL_SG] = {"original_gravity", "Original gravity, 20/20 °C", "SG", 4, .text_of = ONE_WAY},
    [ORIGINAL_EXTRACT] = {"original_extract_pct", NULL, "°P", 2},
    [FINAL_SG] = {"final_gravity", "Final gravity, 20/20 °C", "SG", 4, .text_of = ONE_WAY},
    [APPARENT_EXTRACT] = {"apparent_extract_pct", NULL, "°P", 2},
    [REAL_EXTRACT] = {"real_extract_pct", "Extract left, by the rule", "°P", 2, .text_of = ONE_WAY},
    [APPARENT_ATTENUATION] = {"apparent_attenuation_pct", NULL, "%", 1},
    [REAL_ATTENUATION] = {"real_attenuation_pct", "Real attenuation: fermented so far", "%", 1,
                          .text_of = ONE_WAY},

    [SUGAR_SO_FAR] = {"strength_pct", "Strength so far, at 20 °C", PCT, .of = SO_FAR,
                      .text_of = ONE_WAY},
    [SUGAR_EXPECTED] = {"strength_expected_pct", "Its sugar gives, all fermented", PCT,
                        .of = SO_FAR},
    [SUGAR_ALL] = {"strength_pct", "Its sugar gives, all fermented", PCT, .of = ALL,
                   .text_of = SEVERAL},
    [YIELD_POINT] = {"yield_point_pct", "  1 % of yield is worth", "% vol", EXACT + 2,
                     .text_of = ONE_WAY},
    [SUGAR_ALL_PURE] = {"pure_alcohol_all_fermented_l", NULL, "L", 2},
    [SUGAR_PURE] = {"pure_alcohol_l", NULL, "L", 2},
    [SUGAR_SG] = {"original_gravity", "Original gravity to be expected", "SG", 4,
                  .text_of = ONE_WAY},
    [SUGAR_EXTRACT] = {"original_extract_pct", NULL, "°P", 2},
    [ORIGINAL_READ] = {"original_gravity_read", "Original gravity as read, at 20 °C", "SG", 4,
                       .of = ORIGINAL, .text_of = ONE_WAY},
    [ORIGINAL_DIFFERENCE] = {"original_gravity_difference", NULL, "SG", 4, .of = ORIGINAL},
    [SUGAR_PER_PCT] = {"sugar_g_l_per_pct", "Sugar for each 1 % vol", "g/L", 2, .text_of = ONE_WAY},

    [LEAST] = {"strength_least_pct", "Strength at 20 °C, at least", PCT},
    [AS_READ] = {"strength_as_read_pct", "  with no half division taken off", PCT},
    [LEAST_DIVISION] = {"final_division_pct", "  one division of the hydrometer is worth", "% vol",
                        EXACT + 2},
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

/* In words, where only one way counts. */
static const char *way_of(const wash_answer *w) {
    static const char *const FROM[JL_WAYS] = {"a distilled sample", "original and final gravity",
                                              "its sugar, when all has fermented", ""};
    int counted = 0;
    for (int i = 0; i < JL_WAYS; i++) counted += w->one.weight[i] > 0;
    if (counted > 1) return "all ways together";
    if (w->one.weight[JL_WAY_SUGAR] > 0 && w->ways.by[JL_WAY_GRAVITY])
        return "its sugar and how far it has fermented";
    if (w->ways.best == JL_WAY_GRAVITY && w->ways.original_from_sugar)
        return "its sugar and final gravity";
    return FROM[w->ways.best];
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
    double width, bias = jl_wash_bias_share(JL_KIND_SUGAR, &width);
    v[FERMENTED] = f->strength_pct;
    v[FERMENTED_LEAST] = (1 + bias - width) * f->strength_pct;
    v[FERMENTED_MOST] = (1 + bias + width) * f->strength_pct;
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

/* As they count; of the sugar beside a sample alone, when all has fermented. */
static void fill_ways(const jl_wash_ways *ways, double *v) {
    const double *counted = ways->counted_pct;
    bool later = isnan(counted[JL_WAY_SUGAR]);
    v[BY_DISTILLED] = counted[JL_WAY_DISTILLED];
    v[BY_GRAVITY] = counted[JL_WAY_GRAVITY];
    v[BY_SUGAR] = later ? ways->strength_pct[JL_WAY_SUGAR] : counted[JL_WAY_SUGAR];
    v[DISTILLED_LESS_GRAVITY] = v[BY_DISTILLED] - v[BY_GRAVITY];
    v[DISTILLED_LESS_SO_FAR] = v[BY_DISTILLED] - counted[JL_WAY_SUGAR];
    v[DISTILLED_LESS_ALL] = v[BY_DISTILLED] - ways->strength_pct[JL_WAY_SUGAR];
    v[DISTILLED_LESS_BOUND] = v[BY_DISTILLED] - ways->strength_pct[JL_WAY_BOUND];
    v[GRAVITY_LESS_SUGAR] = v[BY_GRAVITY] - counted[JL_WAY_SUGAR];
}

static jl_status fill(const double *x, double *v, void *with) {
    const jl_measured_wash *measured = with;
    jl_wash_ways ways;
    jl_status status = jl_measured_ways_at(measured, x, &ways);
    if (status != JL_OK) return status;
    v[BEST] = jl_measured_strength(measured, x, &ways);
    v[BEST_VOLUME] = measured->wash.volume_l;
    v[BEST_PURE] = v[BEST] / 100 * measured->wash.volume_l;
    fill_distilled(&measured->wash, &ways.distilled, v);
    fill_fermented(&measured->wash, &ways, v);
    fill_sugared(&measured->wash, &ways, v);
    fill_bound(&ways, v);
    fill_ways(&ways, v);
    return JL_OK;
}

/* ---- two gravities ---- */

static void remark_fermented(show *s, const wash_answer *w) {
    double width, bias = jl_wash_bias_share(w->wash.kind, &width);
    double sucrose_width, sucrose = jl_wash_bias_share(JL_KIND_SUGAR, &sucrose_width);
    show_assumption(s,
                    "Extract by the polynomial of the American Society of Brewing Chemists, "
                    "strength by Balling's empirical rule, within %g %% mass.",
                    JL_RULE_MASS_PCT);
    if (bias > 0)
        show_assumption(s,
                        "The rule is one for malt; of a sucrose wash it gives %.3g to %.3g %% of "
                        "its value too little: %.3g %% of it are added, ± %.3g %%%s.",
                        100 * (sucrose - sucrose_width), 100 * (sucrose + sucrose_width),
                        100 * bias, 100 * width,
                        w->wash.kind == JL_KIND_UNSTATED
                            ? ", since malt or sugar is not stated (--fermented)"
                            : "");
    if (w->ways.fermented.real_extract_pct < 0)
        show_warning(s, "Less than no extract left: the rule is one for malt, and a dry sugar wash "
                        "goes a little beyond it; far beyond, look at the readings again.");
}

/* ---- sugar ---- */

static void assume_sugar(show *s, const wash_answer *w) {
    if (w->wash.has_recipe) {
        assume_yields(s, "What went in counts by its rows in the log: sugar");
        return;
    }
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

static void warn_of_original(show *s, const wash_answer *w) {
    jl_uncertainty by;
    if (jl_wash_original_difference(&w->wash, &w->bench, &by) != JL_OK) return;
    double expanded = JL_COVERAGE_K * by.standard;
    if (fabs(by.value) > expanded)
        show_warning(
            s,
            "The original gravity was read %.4f SG %s what went in gives, more than ±%.4f (k = 2): "
            "look at the amounts, the volume, and whether all was dissolved and stirred in.",
            fabs(by.value), by.value < 0 ? "below" : "above", expanded);
}

static void remark_sugared(show *s, const wash_answer *w) {
    warn_of_original(s, w);
    if (w->ways.by[JL_WAY_GRAVITY])
        show_assumption(s,
                        "Strength so far is %s times the share that the gravities say has "
                        "fermented (real attenuation, 100 %% at the most).",
                        w->wash.has_recipe            ? "what all that can ferment gives"
                        : w->wash.sugar == JL_EXTRACT ? "what the extract gives at most"
                                                      : "the sugar's whole strength");
    else if (!w->wash.has_sample)
        show_note(s, "That is to be expected when all has fermented; a final gravity (--fg) shows "
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
    show_assumption(
        s, "Ethanol in water of that density (OIML R 22), at the reading's own temperature.");
    show_note(s, "Whatever is dissolved in the wash raises its gravity and hides alcohol: the true "
                 "strength is above the bound, and the gravity does not show how far.");
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
    if ((w->wash.original.known && fabs(w->wash.original.temp_c - JL_STRENGTH_C) > 0.05) ||
        (w->wash.final.known && fabs(w->wash.final.temp_c - JL_STRENGTH_C) > 0.05))
        show_assumption(s,
                        "The wash is taken to expand as water does: at 12 %% vol ten degrees "
                        "away that is off by up to %g SG.",
                        10 * JL_EXPANSION_SG_C);
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
               (f->of & SEVERAL) != 0 ? NULL
               : of_sugar             ? "From the sugar's original gravity and the final gravity"
                                      : g->heading);
    show_figures(s, f, g->from, g->to);
    show_group_end(s);
    g->remark(s, w);
}

/* In the order of jl_wash_way. */
static const char *const WAYS[] = {"distilled sample", "gravities", "sugar"};

static void show_way(show *s, const char *way, double pct, double u_pct, double weight) {
    double expanded_pct = JL_COVERAGE_K * u_pct;
    show_cells(s, CELLS(V(way), v_known_to(pct, u_pct, 2),
                        v_with(expanded_pct, digits_of_expanded(expanded_pct)), V(100 * weight)));
}

static void show_ways(show *s, const wash_answer *w) {
    static const column COLUMNS[] = {
        {"way", "by", "", 18, 0, COLUMN_WORDS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"expanded_pct", "± (k = 2)", "% vol", 9, 2, COLUMN_NUMBERS},
        {"weight_pct", "counts", "%", 6, 0, COLUMN_NUMBERS},
    };
    int count = 0;
    for (int i = 0; i < JL_WAY_BOUND; i++) count += !isnan(w->one.counted_pct[i]);
    if (count < 2 || isnan(w->one.strength_pct)) return;
    show_heading(s, "Each way, corrected for what is known to be off");
    show_table(s, "ways", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (int i = 0; i < JL_WAY_BOUND; i++)
        if (!isnan(w->one.counted_pct[i]))
            show_way(s, WAYS[i], w->one.counted_pct[i], w->one.u_pct[i], w->one.weight[i]);
    if (w->one.disagree)
        show_warning(s,
                     "%s and %s lie %.2g %% vol apart, more than ±%.2g (k = 2): look at readings "
                     "and amounts; the ± is widened.",
                     w->one.one == JL_WAY_DISTILLED ? "Distilled sample" : "Gravities",
                     WAYS[w->one.other], fabs(w->one.apart_pct),
                     JL_COVERAGE_K * w->one.apart_u_pct);
}

static void show_differences(show *s, const wash_answer *w, const figures *f) {
    size_t count = 0;
    for (int i = 0; i < JL_WAYS; i++) count += w->ways.by[i];
    if (count < 2) return;
    show_group(s, "differences", NULL);
    for (size_t i = DISTILLED_LESS_GRAVITY; i < BY_DISTILLED; i++)
        if (!isnan(f->values[i])) show_figures(s, f, i, i + 1);
    show_group_end(s);
    if (f->values[DISTILLED_LESS_BOUND] < 0)
        show_warning(s, "The distilled sample lies below the lower bound, which is not possible: "
                        "alcohol was lost in distilling, or a reading is wrong.");
}

static unsigned bits_of(const wash_answer *w) {
    const bool *by = w->ways.by;
    bool so_far = !isnan(w->ways.sugar_so_far_pct);
    return (by[JL_WAY_DISTILLED] ? SAMPLE : 0) | (by[JL_WAY_GRAVITY] ? GRAVITIES : 0) |
           (by[JL_WAY_SUGAR] ? SUGAR | (so_far ? SO_FAR : ALL) : 0) |
           (w->wash.kind == JL_KIND_SUGAR ? SUGAR_WASH : 0) |
           (isnan(w->wash.volume_l) ? 0 : VOLUME) | (w->wash.original.known ? ORIGINAL : 0) |
           (isnan(w->one.strength_pct) ? 0 : A_STRENGTH) |
           (by[JL_WAY_DISTILLED] + by[JL_WAY_GRAVITY] + by[JL_WAY_SUGAR] <= 1 ? ONE_WAY : SEVERAL);
}

/* ---- their uncertainty ---- */

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
    if (bad == 0 && w->ways.by[JL_WAY_GRAVITY] && (w->wash.has_sugar || w->wash.has_recipe))
        show_assumption(
            s,
            "How far it has fermented holds within ±%g %% of itself (common practice, no source).",
            100 * JL_ATTENUATION_SHARE);
    return bad;
}

/* All figures, and what is to be known of them; the strengths with their uncertainty where that is
 * wanted. Returns the exit status, or 0. */
static int wash_show(show *s, const wash_answer *w, uncertainty *u) {
    figure list[FIGURES];
    double values[FIGURES];
    char pure_in[96];
    memcpy(list, LIST, sizeof list);
    snprintf(pure_in, sizeof pure_in, "Pure alcohol in %s, at 20 °C",
             figure_short(w->wash.volume_l, 3, "L").text);
    if (w->wash.volume_l > 0) list[BEST_PURE].label = pure_in;
    if (w->ways.best == JL_WAY_SUGAR) list[BEST].label = "Strength when all has fermented";
    figures f = {list, FIGURES, values, .of = bits_of(w)};
    jl_measured_wash measured = jl_measure_wash(&u->by, &w->wash);
    jl_measured_use(&measured, &u->by, &w->one);
    fill(NULL, values, &measured);
    if (!isfinite(values[YIELD_POINT])) list[YIELD_POINT].label = NULL; /* of a recipe */
    if (isnan(w->one.strength_pct)) values[BEST] = values[BEST_PURE] = NAN;
    values[BEST_U] = JL_COVERAGE_K * w->one.strength_u_pct;
    show_figures(s, &f, BEST, DISTILLED);
    show_ways(s, w);
    for (size_t i = 0; i < sizeof GROUPS / sizeof GROUPS[0]; i++)
        show_group_of(s, w, &f, &GROUPS[i]);
    show_differences(s, w, &f);
    assume_hydrometer(s, w);
    return show_how_sure(s, w, u, &f, &measured);
}

/* The words of the command line. */
typedef struct wash_words {
    char *og, *fg, *og_temp, *fg_temp, *temp, *fermented, *volume;
    char *division; /* of the hydrometer */
    char *sugar, *sugar_kind, *yield;
    char *distilled, *made_up_to, *reading, *at, *reading_division;
    setting_options alcoholometer;
    wash_log_words log;
    char *add, *to;
    additions added;
    output_options output;
    char *title;
    uncertainty_options uncertainties;
    int json;
} wash_words;

/* ---- the hydrometer and its gravities ---- */

/* A division in SG, also when it was given in °P. */
static int read_division(const char *text, double *division) {
    jl_quantity q;
    double from, to;
    if (text == NULL) return 0;
    int bad = arg_quantity("--hydrometer-division", text, JL_GRAVITY, &q);
    if (bad != 0) return bad;
    if (q.unit == JL_UNIT_PLATO && jl_gravity_from_extract(0, &from) == JL_OK &&
        jl_gravity_from_extract(q.value, &to) == JL_OK)
        q.value = to - from;
    else if (q.unit == JL_UNIT_PLATO)
        q.value = NAN;
    *division = q.value;
    if (jl_division_ok(*division)) return 0;
    return fail_argument("--hydrometer-division", text, JL_RANGE,
                         "above 0, to 0.02 (5P), as 0.001 or 0.2P");
}

static int read_instruments(const wash_words *words, wash_answer *w) {
    int bad = instruments_read(&words->alcoholometer, &w->bench);
    if (bad != 0) return bad;
    double division_pct = jl_setting_value(&w->bench, JL_KEY_ALCOHOLOMETER_DIVISION);
    w->wash.hydrometer = jl_settings_to_hydrometer(&w->bench);
    if (division_pct > 0) w->wash.sample_division_pct = division_pct;
    return read_division(words->division, &w->wash.hydrometer.division_sg);
}

/* Without a temperature it was read at the hydrometer's own. */
static int read_gravity(const char *name, const char *text, const char *own_name,
                        const char *own_temp, const wash_words *words, jl_wash_gravity *g) {
    if (text == NULL) return 0;
    bool own = own_temp != NULL;
    g->known = true;
    int bad = arg_quantity(name, text, JL_GRAVITY, &g->reading);
    if (bad == 0)
        bad = arg_value(own ? own_name : "--temp", own ? own_temp : words->temp, JL_TEMPERATURE,
                        &g->temp_c);
    if (bad == 0 && !jl_wash_temp_ok(g->temp_c))
        bad = fail_argument(own ? own_name : "--temp", own ? own_temp : words->temp, JL_RANGE,
                            JL_WASH_TEMP_FORMS);
    return bad;
}

static int read_gravities(const wash_words *words, wash_answer *w) {
    jl_wash *wash = &w->wash;
    if (words->og != NULL) wash->original.temp_c = wash->hydrometer.calibrated_c;
    if (words->fg != NULL) wash->final.temp_c = wash->hydrometer.calibrated_c;
    int bad = read_gravity("--og", words->og, "--og-temp", words->og_temp, words, &wash->original);
    if (bad == 0)
        bad = read_gravity("--fg", words->fg, "--fg-temp", words->fg_temp, words, &wash->final);
    if (bad != 0) return bad;
    if (words->og != NULL) w->original_temp_stated = words->og_temp != NULL || words->temp != NULL;
    if (words->fg != NULL) w->final_temp_stated = words->fg_temp != NULL || words->temp != NULL;
    if (words->og_temp != NULL && words->og == NULL) return refuse("--og-temp goes with --og");
    if (words->fg_temp != NULL && words->fg == NULL) return refuse("--fg-temp goes with --fg");
    if (words->temp != NULL && words->og == NULL && words->fg == NULL)
        return refuse("--temp goes with --og or --fg; a distilled sample takes --at");
    return 0;
}

/* ---- what else is known ---- */

static int read_kind(const wash_words *words, jl_wash *wash) {
    const char *text = words->fermented;
    if (text == NULL && wash->has_sugar)
        wash->kind = wash->sugar == JL_EXTRACT ? JL_KIND_MALT : JL_KIND_SUGAR;
    if (text == NULL) return 0;
    if (strcmp(text, "malt") != 0 && strcmp(text, "sugar") != 0)
        return fail_argument("--fermented", text, JL_FORM, "malt or sugar");
    wash->kind = strcmp(text, "malt") == 0 ? JL_KIND_MALT : JL_KIND_SUGAR;
    return 0;
}

static int read_volume(const wash_words *words, wash_answer *w) {
    return arg_above_zero("--volume", words->volume, JL_VOLUME, "a volume above 0, as 25L",
                          &w->wash.volume_l);
}

static int read_sugar_kind(const wash_words *words, wash_answer *w) {
    static const char *const NAMES[] = {"sucrose", "glucose", "extract"};
    const char *text = words->sugar_kind == NULL ? NAMES[0] : words->sugar_kind;
    for (int i = 0; i < 3; i++)
        if (strcmp(text, NAMES[i]) == 0) {
            w->wash.sugar = (jl_sugar)i;
            return 0;
        }
    return fail_argument("--sugar-kind", text, JL_FORM, "sucrose, glucose or extract");
}

static int read_sugar(const wash_words *words, wash_answer *w) {
    if (words->sugar == NULL && (words->sugar_kind != NULL || words->yield != NULL))
        return refuse("--sugar-kind and --yield go with --sugar, as --sugar 6kg");
    if (words->sugar == NULL) return 0;
    if (words->volume == NULL)
        return refuse("--sugar needs the volume of the wash made up with it; expected --volume, as "
                      "--volume 25L");
    int bad = arg_value("--sugar", words->sugar, JL_MASS, &w->wash.sugar_kg);
    if (bad == 0) bad = read_sugar_kind(words, w);
    if (bad != 0) return bad;
    w->wash.yield_share = jl_sugar_usual_yield_share(w->wash.sugar);
    bad = arg_above_zero("--yield", words->yield, JL_SHARE, "above 0, to 100%, as 92%",
                         &w->wash.yield_share);
    if (bad != 0) return bad;
    w->wash.has_sugar = true;
    w->wash.has_recipe = false;
    return 0;
}

static int read_sample_measured(const wash_words *words, jl_wash *w) {
    if (words->reading == NULL || words->at == NULL)
        return refuse("--distilled needs a reading of the distillate and its temperature; expected "
                      "--reading 8.3%% --at 21C");
    static const char VOLUME_EXPECTED[] = "a volume above 0, as 200mL";
    int bad =
        arg_above_zero("--distilled", words->distilled, JL_VOLUME, VOLUME_EXPECTED, &w->sample_l);
    w->made_up_l = w->sample_l;
    if (bad == 0)
        bad = arg_above_zero("--made-up-to", words->made_up_to, JL_VOLUME, VOLUME_EXPECTED,
                             &w->made_up_l);
    if (bad == 0) bad = arg_quantity("--reading", words->reading, JL_STRENGTH, &w->sample_reading);
    if (bad == 0) bad = arg_value("--at", words->at, JL_TEMPERATURE, &w->sample_c);
    if (bad == 0)
        bad = arg_value("--alcoholometer-division", words->reading_division, JL_STRENGTH,
                        &w->sample_division_pct);
    if (bad != 0) return bad;
    if (!(w->sample_division_pct > 0 && w->sample_division_pct <= 10))
        return fail_argument("--alcoholometer-division", words->reading_division, JL_RANGE,
                             "above 0, to 10%, as 1%");
    return 0;
}

static int read_sample(const wash_words *words, jl_wash *w) {
    if (words->distilled == NULL) {
        if (words->at != NULL && (words->og != NULL || words->fg != NULL))
            return refuse("--at is the temperature of a distilled sample; expected --temp for the "
                          "gravities, as --temp %s",
                          words->at);
        if (words->made_up_to != NULL || words->reading != NULL || words->at != NULL ||
            words->reading_division != NULL ||
            words->alcoholometer.words[JL_KEY_CALIBRATED] != NULL ||
            words->alcoholometer.words[JL_KEY_READING_CORRECTION] != NULL ||
            words->alcoholometer.words[JL_KEY_THERMOMETER_CORRECTION] != NULL)
            return refuse("--made-up-to, --reading, --at and the alcoholometer's options go with "
                          "--distilled, as --distilled 200mL");
        return 0;
    }
    w->has_sample = true;
    int bad = read_sample_measured(words, w);
    return bad == 0 ? arg_instrument(&words->alcoholometer, &w->alcoholometer) : bad;
}

static int read_known(const wash_words *words, wash_answer *w) {
    int bad = read_volume(words, w);
    if (bad == 0) bad = read_gravities(words, w);
    if (bad == 0) bad = read_sugar(words, w);
    if (bad == 0) bad = read_sample(words, &w->wash);
    return bad == 0 ? read_kind(words, &w->wash) : bad;
}

/* ---- what every way makes of it ---- */

static int fail_sample(const wash_words *words, const jl_wash *w, jl_status status) {
    double p;
    if (jl_reading_to_mass_fraction(&w->alcoholometer, w->sample_reading, w->sample_c, &p) == JL_OK)
        return fail_argument("--made-up-to", words->made_up_to, JL_RANGE,
                             "a volume at which the wash comes to 100 % vol or less");
    return fail_reading(words->reading, words->at, &w->alcoholometer, w->sample_reading,
                        w->sample_c, status);
}

static int fail_gravities(const jl_wash *w, const jl_wash_fault *fault) {
    double original_sg = fault->original_sg, final_sg = fault->final_sg;
    if (fault->status == JL_CONFLICT && !w->original.known)
        return refuse("the final gravity %.4f is above %.4f, the original gravity that this sugar "
                      "makes, both at 20 °C; expected more sugar, less volume or a lower --fg",
                      final_sg, original_sg);
    if (fault->status == JL_CONFLICT)
        return refuse("the final gravity %.4f is above the original %.4f, both at 20 °C; expected "
                      "a final gravity that is not higher: perhaps the two were exchanged",
                      final_sg, original_sg);
    return refuse(
        "the original gravity %.4f at 20 °C is out of range; expected one above 1.000, up to 1.180",
        original_sg);
}

static int fail_bound(const jl_wash *w, const jl_wash_fault *fault) {
    if (fault->status != JL_NO)
        return refuse("--fg at %.1f °C: %s; expected a mixture of ethanol and water from 0.970 up",
                      w->final.temp_c, jl_status_text(fault->status));
    return fail(EXIT_NO,
                "a final gravity of %.4f at 20 °C, half a division of %g allowed for, is not below "
                "water: alone it does not show the strength; expected the original gravity (--og), "
                "the sugar (--sugar and --volume), or a distilled sample (--distilled)",
                fault->final_sg, w->hydrometer.division_sg);
}

static int fail_part(const wash_words *words, const jl_wash *w, const jl_wash_fault *fault) {
    jl_status status = fault->status;
    switch (fault->part) {
    case JL_PART_ORIGINAL:
        return fail_gravity("--og", words->og, status);
    case JL_PART_FINAL:
        return fail_gravity("--fg", words->fg, status);
    case JL_PART_SUGAR:
        return fail_argument(
            "--sugar", words->sugar, status == JL_NO ? JL_RANGE : status,
            status == JL_NO ? "no more than a wash of 1.180 (40P) holds, about 0.47 kg in a litre"
                            : "a mass, as 6kg");
    case JL_PART_SAMPLE:
        return fail_sample(words, w, status);
    case JL_PART_BOTH_GRAVITIES:
        return fail_gravities(w, fault);
    case JL_PART_FINAL_ALONE:
        return fail_bound(w, fault);
    case JL_PART_NONE:
        break;
    }
    return refuse("nothing to go by; expected --og and --fg, --sugar and --volume, --distilled "
                  "with --reading and --at, a log of gravities, or --fg alone");
}

/* Reads what is known beside a log, whose gravities already stand in *w, and computes. */
static int read_wash(const wash_words *words, wash_answer *w) {
    const jl_wash *wash = &w->wash;
    jl_wash_fault fault = {.status = JL_OK};
    int bad = read_known(words, w);
    if (bad != 0) return bad;
    jl_wash_by_all_ways(wash, &w->ways, &fault);
    bool parts_hold = fault.status == JL_OK || fault.part == JL_PART_NONE;
    if (parts_hold && wash->original.known && !wash->final.known && !wash->has_sugar)
        return refuse("--og needs the final gravity; expected --fg, as --fg 0.992");
    if (fault.status != JL_OK) return fail_part(words, wash, &fault);
    w->one = (jl_wash_strength){.strength_pct = NAN, .strength_u_pct = NAN};
    if (w->ways.best != JL_WAY_BOUND) {
        jl_status status = jl_wash_strength_of(wash, &w->bench, &w->one);
        if (status != JL_OK) return fail(exit_of_argument(status), "%s", jl_status_text(status));
    }
    if (!wash->original.known && !wash->final.known &&
        (words->alcoholometer.words[JL_KEY_HYDROMETER_CALIBRATED] != NULL ||
         words->division != NULL || words->alcoholometer.words[JL_KEY_HYDROMETER_GLASS] != NULL))
        return refuse("--hydrometer-scale, --hydrometer-glass and --hydrometer-division belong to "
                      "the hydrometer of --og and --fg; the alcoholometer has "
                      "--alcoholometer-scale and --alcoholometer-division");
    return 0;
}

/* ---- what goes on to the charge ---- */

static int check_write(const wash_words *words, const wash_answer *w) {
    if (words->title != NULL && words->output.path == NULL)
        return refuse("--title goes with -o, as -o wash.csv");
    if (words->output.path == NULL) return 0;
    if (isnan(w->wash.volume_l))
        return refuse("-o needs the volume of the wash; expected --volume, as --volume 25L");
    if (isnan(w->one.strength_pct))
        return fail(EXIT_NO,
                    "-o %s: a lower bound is no strength to go on with; nothing was written",
                    words->output.path);
    return 0;
}

static int write_wash(const wash_words *words, const wash_answer *w) {
    char title[96], origin[160];
    double strength_pct = w->one.strength_pct;
    snprintf(title, sizeof title, "Wash of %g L, %.1f %% vol", w->wash.volume_l, strength_pct);
    snprintf(origin, sizeof origin,
             "Written by jarline wash: volume and strength at 20 °C, from %s.", way_of(w));
    charge_facts f = CHARGE_FACTS;
    f.title = words->title == NULL ? title : words->title;
    f.origin = origin;
    f.charge_l = w->wash.volume_l;
    f.charge_strength_pct = strength_pct;
    f.charge_strength_u_pct = w->one.strength_u_pct;
    return write_charge(&words->output, &f);
}

/* ---- the answer ---- */

/* Into the boiler, where volume and strength are known. */
static void suggest_charge(show *s, const wash_words *words, const char *log,
                           const wash_answer *w) {
    next_command next = {"jarline charge"};
    double strength_pct = w->one.strength_pct;
    if (words->output.path != NULL)
        next_word(&next, words->output.path);
    else if (log != NULL)
        next_word(&next, log);
    else if (w->wash.volume_l > 0 && !isnan(strength_pct))
        next_amount(&next, w->wash.volume_l, strength_pct);
    else
        return;
    next_option(&next, "boiler-size", "VOLUME");
    show_next_command(s, &next);
}

static int take_log(const wash_words *words, const judged_log *log, wash_answer *w) {
    const jl_wash_reading *last = &log->readings[log->count - 1], *first = &log->readings[0];
    int bad = read_volume(words, w);
    if (bad != 0) return bad;
    jl_status status = jl_wash_log_wash(log->log, &w->wash);
    w->final_temp_stated = !isnan(last->temp_c);
    w->original_temp_stated = !isnan(first->temp_c);
    return status == JL_OK ? 0 : fail(exit_of_file(status), "%s", jl_status_text(status));
}

static int read_log(const wash_words *words, const char *file, wash_answer *w, judged_log *log) {
    bool malt = words->fermented != NULL && strcmp(words->fermented, "malt") == 0;
    int bad = wash_log_read(file, &words->log, &w->wash.hydrometer, malt, log);
    if (bad == 0) bad = take_log(words, log, w);
    if (bad == 0) bad = read_wash(words, w);
    return bad == 0 ? check_write(words, w) : bad;
}

/* Whether the log alone gives this strength, so that a command that takes it has the same. */
static bool says_all(const wash_words *words, const jl_wash_log *log) {
    jl_wash wash = JL_WASH;
    return jl_wash_log_wash(log, &wash) == JL_OK && wash.volume_l > 0 && words->og == NULL &&
           words->sugar == NULL && words->distilled == NULL && words->volume == NULL &&
           words->fermented == NULL;
}

static void remark_no_temp(show *s, const wash_answer *w, const judged_log *log) {
    char at[64];
    size_t count = 0;
    for (size_t i = 0; i < log->count; i++) count += isnan(log->readings[i].temp_c) ? 1 : 0;
    phrase_at(at, sizeof at, "count as read", w->wash.hydrometer.calibrated_c);
    if (count > 0)
        show_remark(s, "%zu of %zu gravities have no temperature and %s.", count, log->count, at);
}

static int answer_log(const wash_words *words, const char *file, wash_answer *w, judged_log *log,
                      uncertainty *u) {
    int bad = read_log(words, file, w, log);
    if (bad != 0) return bad;
    bool finished = log->ferment.state == JL_FINISHED;
    if (words->output.path != NULL && finished) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    wash_log_show(s, log, w->wash.volume_l);
    remark_no_temp(s, w, log);
    show_assumption(
        s, "%s",
        !w->wash.final.known ? "The last reading of the log is no lower than what was in "
                               "by then gives: nothing has fermented."
        : w->wash.later_kg_l > 0
            ? "The first reading of the log, raised by what went in later, is taken "
              "for the original gravity, the last for the final one."
        : log->count == 1
            ? "The only reading of the log is taken for the final gravity, as of today."
        : !w->wash.original.known ? "Sugar went in after the first gravity: the "
                                    "original gravity is that of all that went in."
        : words->og == NULL ? "The first reading of the log is taken for the original gravity, the "
                              "last for the final one."
                            : "The last reading of the log is taken for the final gravity.");
    bad = wash_show(s, w, u);
    if (bad != 0) return show_abandon(s, bad);
    if (finished) show_written(s, &words->output);
    if (finished) suggest_charge(s, words, says_all(words, log->log) ? file : NULL, w);
    bad = show_close(s, finished ? EXIT_DONE : EXIT_NO);
    if (words->output.path != NULL && !finished)
        say("%s was not written: the wash has not finished", words->output.path);
    return bad;
}

static int answer_wash(const wash_words *words, wash_answer *w, uncertainty *u) {
    if (words->log.span != NULL || words->log.expect_fg != NULL || words->log.time != NULL)
        return refuse("--span, --expect-fg and --time go with a log of gravities, as wash.csv");
    int bad = read_wash(words, w);
    if (bad == 0) bad = check_write(words, w);
    if (bad == 0 && words->output.path != NULL) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    bad = wash_show(s, w, u);
    if (bad != 0) return show_abandon(s, bad);
    show_written(s, &words->output);
    suggest_charge(s, words, NULL, w);
    return show_close(s, EXIT_DONE);
}

/* What goes in stands alone: a strength that is measured is another question. */
static int answer_added(const wash_words *words, const char *file) {
    double volume_l = NAN;
    jl_quantity to = {NAN, JL_UNIT_PCT_VOL};
    if (file != NULL || words->og != NULL || words->fg != NULL || words->sugar != NULL ||
        words->distilled != NULL || words->output.path != NULL)
        return refuse("--add and --to go with --volume alone: what goes in, and what it will give");
    int bad = arg_value("--volume", words->volume, JL_VOLUME, &volume_l);
    if (bad == 0 && words->to != NULL) bad = arg_quantity("--to", words->to, JL_STRENGTH, &to);
    if (bad == 0 && words->to != NULL && to.unit != JL_UNIT_PCT_VOL)
        bad = fail_argument("--to", words->to, JL_UNIT, "% vol, as 10%");
    if (bad == 0 && words->to != NULL && words->volume == NULL)
        bad = refuse("--to needs the volume of the wash; expected --volume, as 25L");
    return bad == 0 ? answer_recipe(&words->added, volume_l, to.value, words->json != 0) : bad;
}

static int answer(const wash_words *words, const char *file, uncertainty *u) {
    if (words->added.count > 0 || words->to != NULL) return answer_added(words, file);
    wash_answer w = {.wash = JL_WASH};
    judged_log log = {.log = NULL};
    int bad = read_instruments(words, &w);
    if (bad != 0) return bad;
    if (file == NULL) return answer_wash(words, &w, u);
    if (words->fg != NULL || words->fg_temp != NULL)
        return refuse("the log has the final gravity already; expected --fg without a log");
    bad = answer_log(words, file, &w, &log, u);
    wash_log_free(&log);
    return bad;
}

static int answer_words(const args *a, wash_words *w) {
    uncertainty u = {0};
    int bad =
        a->count <= 1
            ? uncertainty_read(&w->uncertainties, &w->alcoholometer, &u)
            : fail_count(a, 1, "one log of gravities, or options alone, as --og 1.062 --fg 0.998");
    if (bad == EXIT_DONE) bad = answer(w, a->words[0], &u);
    uncertainty_free(&u);
    return bad;
}

int command_wash(int argc, const char **argv) {
    wash_words w = {0};
    const struct poptOption table[] = {
        OPTION("add", &w.add, "INGREDIENT",
               "what goes in, once for each: '6kg sugar', '4kg molasses 55%'"),
        OPTION("to", &w.to, "STRENGTH", "how much sugar is still to go in for it"),
        OPTION("og", &w.og, "GRAVITY", "original gravity, as 1.080 or 19.3P"),
        OPTION("fg", &w.fg, "GRAVITY", "final gravity; alone it gives only a lower bound"),
        OPTION("temp", &w.temp, "TEMP", "of the wash at both readings"),
        OPTION("og-temp", &w.og_temp, "TEMP", "at the original gravity's, instead"),
        OPTION("fg-temp", &w.fg_temp, "TEMP", "at the final gravity's, instead"),
        OPTION("fermented", &w.fermented, "malt|sugar", "what was fermented, for the rule's bias"),
        OPTION("volume", &w.volume, "VOLUME", "of the wash, at 20 °C"),
        KEY_OPTION(JL_KEY_HYDROMETER_CALIBRATED, w.alcoholometer.words),
        KEY_OPTION(JL_KEY_HYDROMETER_GLASS, w.alcoholometer.words),
        OPTION("hydrometer-division", &w.division, "GRAVITY", "of its scale (0.001)"),
        OPTION("sugar", &w.sugar, "MASS", "sugar that went in; with --volume"),
        OPTION("sugar-kind", &w.sugar_kind, "sucrose|glucose|extract",
               "what the sugar is (sucrose)"),
        OPTION("yield", &w.yield, "SHARE", "of theory (92%; of extract 65%)"),
        OPTION("distilled", &w.distilled, "VOLUME", "sample that was distilled"),
        OPTION("made-up-to", &w.made_up_to, "VOLUME", "its distillate and water (the same)"),
        OPTION("reading", &w.reading, "READING", "of the alcoholometer in that"),
        OPTION("at", &w.at, "TEMP", "temperature of the distillate at the reading"),
        OPTION("alcoholometer-division", &w.reading_division, "PCT", "of the alcoholometer (1%)"),
        KEY_OPTION(JL_KEY_CALIBRATED, w.alcoholometer.words),
        KEY_OPTION(JL_KEY_READING_CORRECTION, w.alcoholometer.words),
        KEY_OPTION(JL_KEY_THERMOMETER_CORRECTION, w.alcoholometer.words),
        OPTION("span", &w.log.span, "DURATION", "how long the gravity must stand still (3d)"),
        OPTION("expect-fg", &w.log.expect_fg, "GRAVITY", "final gravity to be reached (1.000)"),
        OPTION("time", &w.log.time, "TIME", "of a log: the moment to judge the waits by (now)"),
        OUTPUT_OPTIONS(w.output, "volume and strength, for charge and forecast"),
        OPTION("title", &w.title, "TEXT", "of that file"),
        BENCH_OPTION(w.alcoholometer),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        JSON_LAST(&w.json),
    };
    args a;
    args_begin(&a, argc, argv, table, "[WASH.csv] WAYS",
               "The strength of a wash: --og 1.080 --fg 0.992, --sugar 6kg --volume 25L,\n"
               "--distilled 200mL --reading 8.3% --at 21C, or a log of gravities; or what\n"
               "goes in: --add '6kg sugar' --volume 25L, --to 10%");
    if (read_with_additions(&a, &w.add, &w.added)) a.exit_status = answer_words(&a, &w);
    additions_free(&w.added);
    return args_close(&a);
}
