/* What goes into a wash: read, summed, and what is still to go in.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/recipe.h"
#include "text/letters.h"
#include "wash/gravity.h"
#include "wash/wash.h"

#include <math.h>
#include <string.h>

const char JL_INGREDIENT_FORMS[] =
    "an amount, a name and, where it is not usual, its share of sugar or its gravity: 6kg sugar, "
    "4kg molasses 55%, 3L juice 12P, 40L water";

/* Common practice, no source, but for dextrose, which has a molecule of water: by molar masses. */
typedef struct usual {
    const char *name;
    jl_sugar sugar;
    double share;  /* of sugar in its mass; NaN: to be given */
    double solids; /* all that dissolves, of its mass; NaN: the sugar alone */
} usual;

static const usual USUAL[] = {
    {"sugar", JL_SUCROSE, 1, NAN},
    {"sucrose", JL_SUCROSE, 1, NAN},
    {"glucose", JL_GLUCOSE, 1, NAN},
    {"dextrose", JL_GLUCOSE, JL_GLUCOSE_KG_KMOL / 198.171, NAN},
    {"extract", JL_EXTRACT, 1, NAN},
    {"honey", JL_GLUCOSE, 0.80, 0.82},
    {"molasses", JL_SUCROSE, NAN, 0.80},
    {"water", JL_SUCROSE, 0, NAN},
};

/* Of anything else; what a gravity shows is not all sugar. */
static const usual OTHER = {"", JL_GLUCOSE, NAN, NAN};
static const double SUGAR_IN_EXTRACT = 0.9;

static const usual *usual_of(const char *name) {
    for (size_t i = 0; i < sizeof USUAL / sizeof USUAL[0]; i++)
        if (jl_same_letters(name, USUAL[i].name)) return &USUAL[i];
    return &OTHER;
}

/* ---- words ---- */

enum { WORDS_MOST = 6, WORD_BYTES = 32 };

typedef struct words {
    char of[WORDS_MOST][WORD_BYTES];
    size_t count;
} words;

static jl_status split(const char *text, size_t length, words *w) {
    const char *end = text + length;
    *w = (words){.count = 0};
    for (;;) {
        while (text < end && (*text == ' ' || *text == '\t')) text++;
        if (text == end) return w->count == 0 ? JL_MISSING : JL_OK;
        size_t n = 0;
        while (text + n < end && text[n] != ' ' && text[n] != '\t' && text[n] != '\0') n++;
        if (n == 0 || n >= WORD_BYTES || w->count == WORDS_MOST) return JL_FORM;
        memcpy(w->of[w->count], text, n);
        w->of[w->count++][n] = '\0';
        text += n;
    }
}

/* "6kg", or "6" and "kg" as two words; *used of them. */
static jl_status read_size(const words *w, jl_ingredient *in, size_t *used) {
    char both[2 * WORD_BYTES];
    jl_quantity q;
    in->mass_kg = in->volume_l = NAN;
    for (*used = 1; *used <= 2 && *used <= w->count; (*used)++) {
        size_t first = strlen(w->of[0]), second = *used == 2 ? strlen(w->of[1]) : 0;
        memcpy(both, w->of[0], first);
        memcpy(both + first, w->of[1], second);
        both[first + second] = '\0';
        if (jl_quantity_read(both, JL_MASS, &q) == JL_OK)
            in->mass_kg = q.value;
        else if (jl_quantity_read(both, JL_VOLUME, &q) == JL_OK)
            in->volume_l = q.value;
        else
            continue;
        return q.value > 0 ? JL_OK : JL_RANGE;
    }
    return JL_FORM;
}

/* A last word that is a share or a gravity; both NaN where it is neither. */
static bool read_content(const char *word, double *share, double *sg) {
    jl_quantity q;
    *share = *sg = NAN;
    if (jl_quantity_read(word, JL_SHARE, &q) == JL_OK)
        *share = q.value;
    else if (jl_quantity_read(word, JL_GRAVITY, &q) != JL_OK || jl_gravity_sg(q, sg) != JL_OK)
        return false;
    return true;
}

static jl_status join_name(const words *w, size_t from, size_t to, char name[32]) {
    size_t n = 0;
    name[0] = '\0';
    for (size_t i = from; i < to; i++) {
        size_t length = strlen(w->of[i]);
        if (n + length + 2 > 32) return JL_TOO_LONG;
        if (n > 0) name[n++] = ' ';
        memcpy(name + n, w->of[i], length + 1);
        n += length;
    }
    return n > 0 ? JL_OK : JL_MISSING;
}

/* ---- an ingredient ---- */

static jl_status fill(const usual *u, double share, double sg, jl_ingredient *in) {
    double water_kg_l = NAN, extract = isnan(sg) ? NAN : jl_extract_polynomial(sg) / 100;
    bool water = u->share == 0;
    jl_water_density_kg_m3(JL_STRENGTH_C, &water_kg_l);
    water_kg_l /= 1000;
    in->stated = !isnan(share) || !isnan(sg);
    if (water && in->stated) return JL_CONFLICT;
    if (isnan(in->mass_kg) && !water && isnan(sg)) return JL_MISSING;
    if (isnan(in->mass_kg)) in->mass_kg = in->volume_l * water_kg_l * (water ? 1 : sg);
    if (water) in->volume_l = in->mass_kg / water_kg_l;
    if (isnan(share)) share = isnan(extract) ? u->share : SUGAR_IN_EXTRACT * extract;
    if (isnan(share)) return JL_MISSING;
    double solids = !isnan(extract) ? extract : isnan(u->solids) ? share : fmax(u->solids, share);
    if (!(share >= 0)) return JL_RANGE; /* what is lighter than water */
    in->sugar = u->sugar;
    in->sugar_kg = share * in->mass_kg;
    in->solids_kg = (solids - share) * in->mass_kg;
    in->yield_share = jl_sugar_usual_yield_share(u->sugar);
    return JL_OK;
}

jl_status jl_ingredient_read(const char *text, size_t length, jl_ingredient *ingredient) {
    words w;
    size_t used = 0, last;
    double share = NAN, sg = NAN;
    jl_ingredient in = {.mass_kg = NAN};
    jl_status status = split(text, length, &w);
    if (status == JL_OK) status = read_size(&w, &in, &used);
    if (status != JL_OK) return status;
    last = w.count;
    if (last > used + 1 && read_content(w.of[last - 1], &share, &sg)) last--;
    status = join_name(&w, used, last, in.name);
    if (status == JL_OK) status = fill(usual_of(in.name), share, sg, &in);
    if (status == JL_OK) *ingredient = in;
    return status;
}

bool jl_ingredient_has_name(const char *text) {
    words w;
    size_t used = 0;
    jl_ingredient in;
    return split(text, strlen(text), &w) == JL_OK && read_size(&w, &in, &used) == JL_OK &&
           w.count > used;
}

/* ---- all of them ---- */

static double pure_alcohol_l(const jl_ingredient *in) {
    return in->sugar_kg * jl_sugar_theory_kg_kg(in->sugar) * in->yield_share / JL_ETHANOL_KG_L;
}

/* What a sugar leaves of itself: of malt extract that which is not sugar at all. */
static double left_kg(const jl_ingredient *in) {
    double usual_share = jl_sugar_usual_yield_share(JL_SUCROSE);
    return in->sugar_kg * fmax(0, 1 - in->yield_share / usual_share) + in->solids_kg;
}

/* Half widths as shares of a value: of a mass, of a stated share, of a yield. */
static double variance_l2(const jl_ingredient *in) {
    const double mass = JL_MASS_SHARE, share = in->stated ? JL_STATED_SHARE : 0,
                 yield = JL_YIELD_SHARE;
    double pure_l = pure_alcohol_l(in);
    return pure_l * pure_l * (mass * mass + share * share + yield * yield) / 3;
}

static double solution_l(double mass_kg, double solids_kg) {
    double sg, water_kg_m3 = NAN;
    jl_water_density_kg_m3(JL_STRENGTH_C, &water_kg_m3);
    if (!jl_gravity_solve(0, 100 * solids_kg / mass_kg, &sg)) return NAN;
    return mass_kg / (sg * water_kg_m3 / 1000);
}

/* Pure sugar leaves nothing above 1.000. */
static double final_u_sg(const jl_recipe *r) {
    if (r->fermentable_share == 1) return 0;
    double width = r->kind == JL_KIND_SUGAR
                       ? JL_REMAINDER_SHARE * (r->expected_final_sg - 1)
                       : JL_ATTENUATION_SHARE * (r->original_sg - r->expected_final_sg);
    return fmax(0, width) / sqrt(3);
}

static jl_wash_kind kind_of(const jl_ingredient *all, size_t count) {
    bool malt = false, sugar = false;
    for (size_t i = 0; i < count; i++)
        if (all[i].sugar_kg > 0) *(all[i].sugar == JL_EXTRACT ? &malt : &sugar) = true;
    return malt && sugar ? JL_KIND_UNSTATED : malt ? JL_KIND_MALT : JL_KIND_SUGAR;
}

jl_status jl_recipe_of(const jl_ingredient *all, size_t count, double volume_l, jl_recipe *recipe) {
    jl_recipe r = {.volume_l = volume_l};
    double variance = 0, left = 0, mass_kg = 0;
    for (size_t i = 0; i < count; i++) {
        r.sugar_kg += all[i].sugar_kg;
        r.solids_kg += all[i].solids_kg;
        r.pure_alcohol_l += pure_alcohol_l(&all[i]);
        mass_kg += all[i].mass_kg;
        left += left_kg(&all[i]);
        variance += variance_l2(&all[i]);
    }
    if (!(r.sugar_kg > 0)) return JL_MISSING;
    r.fermentable_share = 1 - left / (r.sugar_kg + r.solids_kg);
    r.kind = kind_of(all, count);
    if (isnan(volume_l)) r.volume_l = solution_l(mass_kg, r.sugar_kg + r.solids_kg);
    if (isnan(r.volume_l)) return JL_NO;
    if (!(r.volume_l > 0 && r.volume_l <= 1e9)) return JL_RANGE;
    if (!jl_gravity_of_solids((r.sugar_kg + r.solids_kg) / r.volume_l, &r.original_sg))
        return JL_NO;
    jl_gravity_of_solids(left / r.volume_l, &r.expected_final_sg); /* less of it: it has one too */
    r.expected_final_u_sg = final_u_sg(&r);
    r.strength_pct = 100 * r.pure_alcohol_l / r.volume_l;
    r.strength_u_pct = 100 * sqrt(variance) / r.volume_l;
    *recipe = r;
    return JL_OK;
}

double jl_recipe_end_sg(const jl_recipe *recipe) {
    return ceil(1000 * recipe->expected_final_sg - 0.05) / 1000;
}

jl_status jl_recipe_sugar_kg(const jl_ingredient *all, size_t count, double volume_l,
                             double strength_pct, double *sugar_kg) {
    if (!(volume_l > 0 && volume_l <= 1e9) || !(strength_pct > 0 && strength_pct <= 30))
        return JL_RANGE;
    double pure_l = volume_l * strength_pct / 100;
    for (size_t i = 0; i < count; i++) pure_l -= pure_alcohol_l(&all[i]);
    *sugar_kg = fmax(0, pure_l) * JL_ETHANOL_KG_L /
                (jl_sugar_theory_kg_kg(JL_SUCROSE) * jl_sugar_usual_yield_share(JL_SUCROSE));
    return JL_OK;
}
