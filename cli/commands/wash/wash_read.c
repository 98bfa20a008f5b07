/* What the wash command is told, read and computed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "commands/wash/wash.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char GRAVITY_FORMS[] = "a gravity from 0.970 to 1.180, as 1.062, or 15.2P";

int fail_gravity(const char *name, const char *text, jl_status status) {
    jl_quantity q;
    bool read = jl_quantity_read(text, JL_GRAVITY, &q) == JL_OK && q.unit == JL_UNIT_SG;
    if (read && q.value >= 900 && q.value <= 1200)
        return fail(EXIT_USAGE, "%s '%s': %s; perhaps %.3f was meant; expected %s", name, text,
                    jl_status_text(status), q.value / 1000, GRAVITY_FORMS);
    return fail_argument(name, text, status, GRAVITY_FORMS);
}

/* A division in SG, also when it was given in °P. */
static int read_division(const char *text, double *division) {
    jl_quantity q;
    double from, to;
    if (text == NULL) return 0;
    int bad = arg_quantity("--division", text, JL_GRAVITY, &q);
    if (bad != 0) return bad;
    if (q.unit == JL_UNIT_PLATO && jl_gravity_from_extract(0, &from) == JL_OK &&
        jl_gravity_from_extract(q.value, &to) == JL_OK)
        q.value = to - from;
    else if (q.unit == JL_UNIT_PLATO)
        q.value = NAN;
    *division = q.value;
    if (*division > 0 && *division <= 0.02) return 0;
    return fail_argument("--division", text, JL_RANGE, "above 0, to 0.02 (5P), as 0.001 or 0.2P");
}

int wash_read_hydrometer(const wash_words *words, wash *w) {
    w->hydrometer = JL_HYDROMETER;
    int bad =
        arg_value("--calibrated", words->calibrated, JL_TEMPERATURE, &w->hydrometer.calibrated_c);
    if (bad == 0) bad = arg_value("--glass", words->glass, JL_NUMBER, &w->hydrometer.glass_per_c);
    if (bad == 0) bad = read_division(words->division, &w->hydrometer.division);
    if (bad != 0) return bad;
    if (!(w->hydrometer.calibrated_c >= 0 && w->hydrometer.calibrated_c <= 40))
        return fail_argument("--calibrated", words->calibrated, JL_RANGE, "20C, 60F or 15C");
    if (!(w->hydrometer.glass_per_c >= 0 && w->hydrometer.glass_per_c <= 1e-4))
        return fail_argument("--glass", words->glass, JL_RANGE, "0 to 1e-4 per °C, as 25e-6");
    return 0;
}

static int read_gravity(const char *name, const char *text, const char *own_name,
                        const char *own_temp, const wash_words *words, wash *w, gravity *g) {
    if (text == NULL) return 0;
    bool own = own_temp != NULL;
    g->temp_c = w->hydrometer.calibrated_c;
    g->temp_stated = own || words->temp != NULL;
    int bad = arg_quantity(name, text, JL_GRAVITY, &g->reading);
    if (bad == 0)
        bad = arg_value(own ? own_name : "--temp", own ? own_temp : words->temp, JL_TEMPERATURE,
                        &g->temp_c);
    if (bad != 0) return bad;
    if (!(g->temp_c >= 0 && g->temp_c <= 40))
        return fail_argument(own ? own_name : "--temp", own ? own_temp : words->temp, JL_RANGE,
                             "0 to 40 °C (32 to 104 °F)");
    jl_status status = jl_gravity_at_20(&w->hydrometer, g->reading, g->temp_c, &g->sg);
    if (status != JL_OK) return fail_gravity(name, text, status);
    g->known = true;
    return 0;
}

static int read_gravities(const wash_words *words, wash *w) {
    int bad = read_gravity("--og", words->og, "--og-temp", words->og_temp, words, w, &w->original);
    if (bad == 0)
        bad = read_gravity("--fg", words->fg, "--fg-temp", words->fg_temp, words, w, &w->final);
    if (bad != 0) return bad;
    if (words->og_temp != NULL && words->og == NULL)
        return fail(EXIT_USAGE, "--og-temp goes with --og");
    if (words->fg_temp != NULL && words->fg == NULL)
        return fail(EXIT_USAGE, "--fg-temp goes with --fg");
    if (words->temp != NULL && words->og == NULL && words->fg == NULL)
        return fail(EXIT_USAGE, "--temp goes with --og or --fg; a distilled sample takes --at");
    return 0;
}

static wash_kind kind_of(jl_sugar sugar) {
    return sugar == JL_EXTRACT ? KIND_MALT : KIND_SUGAR;
}

static int read_kind(const wash_words *words, wash *w) {
    const char *text = words->kind;
    if (text == NULL)
        w->kind = w->by_sugar ? kind_of(w->sugar) : KIND_UNSTATED;
    else if (strcmp(text, "malt") == 0)
        w->kind = KIND_MALT;
    else if (strcmp(text, "sugar") == 0)
        w->kind = KIND_SUGAR;
    else
        return fail_argument("--kind", text, JL_FORM, "malt or sugar");
    return 0;
}

static int read_volume(const wash_words *words, wash *w) {
    w->volume_l = NAN;
    int bad = arg_value("--volume", words->volume, JL_VOLUME, &w->volume_l);
    if (bad == 0 && words->volume != NULL && !(w->volume_l > 0))
        bad = fail_argument("--volume", words->volume, JL_RANGE, "a volume above 0, as 25l");
    return bad;
}

static int read_sugar_kind(const wash_words *words, wash *w) {
    static const char *const NAMES[] = {"sucrose", "glucose", "extract"};
    const char *text = words->sugar_kind == NULL ? NAMES[0] : words->sugar_kind;
    for (int i = 0; i < 3; i++)
        if (strcmp(text, NAMES[i]) == 0) {
            w->sugar = (jl_sugar)i;
            return 0;
        }
    return fail_argument("--sugar-kind", text, JL_FORM, "sucrose, glucose or extract");
}

static int read_sugar(const wash_words *words, wash *w) {
    if (words->sugar == NULL && (words->sugar_kind != NULL || words->yield != NULL))
        return fail(EXIT_USAGE, "--sugar-kind and --yield go with --sugar, as --sugar 6kg");
    if (words->sugar == NULL) return 0;
    if (words->volume == NULL)
        return fail(EXIT_USAGE, "--sugar needs the volume of the wash made up with it; expected "
                                "--volume, as --volume 25l");
    int bad = arg_value("--sugar", words->sugar, JL_MASS, &w->sugar_kg);
    if (bad == 0) bad = read_sugar_kind(words, w);
    if (bad != 0) return bad;
    w->yield = jl_sugar_usual_yield(w->sugar);
    bad = arg_value("--yield", words->yield, JL_SHARE, &w->yield);
    if (bad != 0) return bad;
    if (!(w->yield > 0))
        return fail_argument("--yield", words->yield, JL_RANGE, "above 0, to 100%, as 92%");
    jl_status status =
        jl_wash_from_sugar(w->sugar, w->sugar_kg, w->volume_l, w->yield, &w->sugared);
    w->by_sugar = status == JL_OK;
    if (status == JL_NO)
        return fail_argument("--sugar", words->sugar, JL_RANGE,
                             "no more than a wash of 1.180 (40P) holds, about 0.47 kg in a litre");
    return status == JL_OK ? 0 : fail_argument("--sugar", words->sugar, status, "a mass, as 6kg");
}

static int read_distilled_words(const wash_words *words, wash *w) {
    if (words->reading == NULL || words->at == NULL)
        return fail(EXIT_USAGE,
                    "--distilled needs a reading of the distillate and its temperature; "
                    "expected --reading 8.3%% --at 21C");
    w->made_up_l = w->sample_l = NAN;
    w->reading_division_pct = 1;
    int bad = arg_value("--distilled", words->distilled, JL_VOLUME, &w->sample_l);
    if (bad == 0) {
        w->made_up_l = w->sample_l;
        bad = arg_value("--made-up-to", words->made_up_to, JL_VOLUME, &w->made_up_l);
    }
    if (bad == 0) bad = arg_quantity("--reading", words->reading, JL_STRENGTH, &w->reading);
    if (bad == 0) bad = arg_value("--at", words->at, JL_TEMPERATURE, &w->reading_c);
    if (bad == 0)
        bad = arg_value("--reading-division", words->reading_division, JL_STRENGTH,
                        &w->reading_division_pct);
    if (bad != 0) return bad;
    if (!(w->sample_l > 0))
        return fail_argument("--distilled", words->distilled, JL_RANGE,
                             "a volume above 0, as 200ml");
    if (!(w->made_up_l > 0))
        return fail_argument("--made-up-to", words->made_up_to, JL_RANGE,
                             "a volume above 0, as 200ml");
    if (!(w->reading_division_pct > 0 && w->reading_division_pct <= 10))
        return fail_argument("--reading-division", words->reading_division, JL_RANGE,
                             "above 0, to 10%, as 1%");
    return 0;
}

static int read_distilled(const wash_words *words, wash *w) {
    if (words->distilled == NULL) {
        if (words->made_up_to != NULL || words->reading != NULL || words->at != NULL ||
            words->reading_division != NULL || words->alcoholometer.calibrated != NULL ||
            words->alcoholometer.reading_correction != NULL ||
            words->alcoholometer.thermometer_correction != NULL)
            return fail(EXIT_USAGE,
                        "--made-up-to, --reading, --at and the alcoholometer's options go with "
                        "--distilled, as --distilled 200ml");
        return 0;
    }
    int bad = read_distilled_words(words, w);
    if (bad == 0) bad = arg_instrument(&words->alcoholometer, &w->alcoholometer);
    if (bad != 0) return bad;
    jl_status status =
        jl_wash_from_distilled(&w->alcoholometer, w->reading, w->reading_c, w->reading_division_pct,
                               w->sample_l, w->made_up_l, &w->distilled);
    w->by_distilled = status == JL_OK;
    if (status == JL_OK) return 0;
    double p;
    if (jl_reading_to_mass_fraction(&w->alcoholometer, w->reading, w->reading_c, &p) == JL_OK)
        return fail_argument("--made-up-to", words->made_up_to, JL_RANGE,
                             "a volume at which the wash comes to 100 % vol or less");
    return fail_reading(words->reading, words->at, &w->alcoholometer, w->reading, w->reading_c,
                        status);
}

/* Two gravities; with sugar and a final one, the sugar stands for the original. */
static int ferment_by_gravity(wash *w) {
    double original_sg = w->original.known ? w->original.sg : w->sugared.original_sg;
    w->original_from_sugar = !w->original.known;
    jl_status status =
        jl_wash_from_gravity(original_sg, w->final.sg, w->hydrometer.division, &w->fermented);
    w->by_gravity = status == JL_OK;
    if (status == JL_OK) return 0;
    if (status == JL_CONFLICT && w->original_from_sugar)
        return fail(EXIT_USAGE,
                    "the final gravity %.4f is above %.4f, the original gravity that this sugar "
                    "makes, both at 20 °C; expected more sugar, less volume or a lower --fg",
                    w->final.sg, original_sg);
    if (status == JL_CONFLICT)
        return fail(EXIT_USAGE,
                    "the final gravity %.4f is above the original %.4f, both at 20 °C; expected a "
                    "final gravity that is not higher: perhaps the two were exchanged",
                    w->final.sg, original_sg);
    return fail(EXIT_USAGE,
                "the original gravity %.4f at 20 °C is out of range; expected one above "
                "1.000, up to 1.180",
                original_sg);
}

static int bound_by_gravity(wash *w) {
    jl_status status = jl_wash_least(&w->hydrometer, w->final.reading, w->final.temp_c, &w->least);
    w->by_bound = status == JL_OK;
    if (status == JL_OK || (status == JL_NO && w->by_distilled)) return 0;
    if (status != JL_NO)
        return fail(EXIT_USAGE,
                    "--fg at %.1f °C: %s; expected a mixture of ethanol and water "
                    "from 0.970 up",
                    w->final.temp_c, jl_status_text(status));
    return fail(EXIT_NO,
                "a final gravity of %.4f at 20 °C, half a division of %g allowed for, is not below "
                "water: alone it says nothing of the strength; needed: the original gravity "
                "(--og), the sugar (--sugar and --volume), or a distilled sample (--distilled)",
                w->final.sg, w->hydrometer.division);
}

/* A yield below 1 stands for by-products of a sugar that ferments wholly, but for what does not
 * ferment of an extract, and the attenuation knows that already. */
static double sugar_so_far(const wash *w) {
    double share = fmin(w->fermented.real_attenuation, 1);
    double whole_pct = w->sugared.strength_pct;
    return w->sugar == JL_EXTRACT ? whole_pct / w->yield * share : whole_pct * share;
}

int wash_read(const wash_words *words, wash *w) {
    int bad = read_volume(words, w);
    if (bad == 0) bad = read_gravities(words, w);
    if (bad == 0) bad = read_sugar(words, w);
    if (bad == 0) bad = read_distilled(words, w);
    if (bad == 0) bad = read_kind(words, w);
    if (bad != 0) return bad;
    if (!w->original.known && !w->final.known && !w->by_sugar && !w->by_distilled)
        return fail(EXIT_USAGE, "nothing to go by; expected --og and --fg, --sugar and --volume, "
                                "--distilled with --reading and --at, --log, or --fg alone");
    if (w->original.known && !w->final.known && !w->by_sugar)
        return fail(EXIT_USAGE, "--og needs the final gravity; expected --fg, as --fg 0.992");
    if (!w->original.known && !w->final.known &&
        (words->calibrated != NULL || words->division != NULL || words->glass != NULL))
        return fail(EXIT_USAGE, "--calibrated, --glass and --division belong to the hydrometer of "
                                "--og and --fg; the alcoholometer has --reading-calibrated and "
                                "--reading-division");
    if (w->final.known && (w->original.known || w->by_sugar)) bad = ferment_by_gravity(w);
    if (w->final.known && !w->original.known && !w->by_sugar) bad = bound_by_gravity(w);
    if (bad != 0) return bad;
    w->sugar_now_pct = w->by_sugar && w->by_gravity ? sugar_so_far(w) : NAN;
    return 0;
}

double wash_strength(const wash *w, const char **way) {
    const char *unwanted;
    if (way == NULL) way = &unwanted;
    if (w->by_distilled) {
        *way = "a distilled sample";
        return w->distilled.strength_pct;
    }
    if (w->by_gravity) {
        *way =
            w->original_from_sugar ? "its sugar and final gravity" : "original and final gravity";
        return w->fermented.strength_pct;
    }
    *way = "its sugar, when all has fermented";
    return w->by_sugar ? w->sugared.strength_pct : NAN;
}
