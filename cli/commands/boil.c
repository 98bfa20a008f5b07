/* boil: boiling point and vapour of a liquid, and back from a temperature.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/say.h"
#include "command.h"

#include <math.h>
#include <string.h>

typedef struct air {
    jl_settings settings;
    double kpa;
} air;

static void assume_air(show *s, const air *a) {
    if (a->settings.of[JL_KEY_ALTITUDE].has)
        show_assumption(
            s, "Air pressure %.5g kPa, an average day's at %.6g m (U.S. Standard Atmosphere 1976).",
            a->kpa, jl_setting_value(&a->settings, JL_KEY_ALTITUDE));
    else if (!jl_is_stated(&a->settings, JL_KEY_PRESSURE))
        show_assumption(
            s,
            "Default: air pressure 101.325 kPa, sea level (--pressure or --altitude changes it).");
    show_assumption(s, "Equilibrium by a model (NRTL) fitted to published data, which differ among "
                       "themselves by up to 0.018 mole fraction and 0.5 °C. Water boils here 0.05 "
                       "°C above IAPWS-95 (99.97 °C at 101.325 kPa).");
}

/* ---- What is asked, and its figures ---- */

enum question { OF_STRENGTH = 1, OF_BOILER = 2, OF_HEAD = 4 };

enum {
    BOIL,
    VAPOUR_AT_HEAD,
    LIQUID,
    LIQUID_IN_BOILER,
    VAPOUR_COLDER,
    VAPOUR_WARMER,
    LIQUID_COLDER,
    LIQUID_WARMER,
    LIQUID_BELOW,
    VAPOUR,
    LIQUID_X,
    VAPOUR_Y,
    BOILS_THERE,
    PRESSURE,
    FIGURE_COUNT
};

static const figure FIGURES[FIGURE_COUNT] = {
    [BOIL] = {"boil_c", "Boiling point", "°C", 1, .of = OF_STRENGTH},
    [VAPOUR_AT_HEAD] = {"vapour_pct", "Vapour at the head, condensed, at 20 °C", "% vol", 1,
                        .of = OF_HEAD},
    [LIQUID] = {"strength_pct", "Liquid at 20 °C", "% vol", 1, .of = OF_STRENGTH},
    [LIQUID_IN_BOILER] = {"strength_pct", "Liquid in the boiler, at 20 °C", "% vol", 1,
                          .of = OF_BOILER},
    [VAPOUR_COLDER] = {"vapour_colder_pct", "  if 0.1 °C colder", "% vol", 2, .of = OF_HEAD},
    [VAPOUR_WARMER] = {"vapour_warmer_pct", "  if 0.1 °C warmer", "% vol", 2, .of = OF_HEAD},
    [LIQUID_COLDER] = {"strength_colder_pct", "  if 0.1 °C colder", "% vol", 2, .of = OF_BOILER},
    [LIQUID_WARMER] = {"strength_warmer_pct", "  if 0.1 °C warmer", "% vol", 2, .of = OF_BOILER},
    [LIQUID_BELOW] = {"strength_pct", "Liquid that gives it off, at 20 °C", "% vol", 1,
                      .of = OF_HEAD},
    [VAPOUR] = {"vapour_pct", "Its vapour, condensed, at 20 °C", "% vol", 1,
                .of = OF_STRENGTH | OF_BOILER},
    [LIQUID_X] = {"x", "Ethanol in the liquid", "mole fraction", 3},
    [VAPOUR_Y] = {"y", "Ethanol in the vapour", "mole fraction", 3},
    [BOILS_THERE] = {"boil_c", NULL, "°C", 1, .of = OF_BOILER | OF_HEAD},
    [PRESSURE] = {"pressure_kpa", NULL, "kPa", 3},
};

/* What a tenth of a degree is worth. */
static jl_boiling beside(const jl_boiling *at, double apart_c, double kpa) {
    jl_boiling there;
    if (jl_boil_at_temp(at->temp_c + apart_c, kpa, &there) == JL_OK) return there;
    return (jl_boiling){NAN, NAN, NAN};
}

static void fill_figures(const jl_boiling *at, double kpa, double values[FIGURE_COUNT]) {
    const jl_boiling colder = beside(at, -0.1, kpa), warmer = beside(at, 0.1, kpa);
    values[BOIL] = values[BOILS_THERE] = at->temp_c;
    values[LIQUID] = values[LIQUID_IN_BOILER] = values[LIQUID_BELOW] =
        jl_strength_pct_from_mole(at->liquid_mole_fraction);
    values[VAPOUR] = values[VAPOUR_AT_HEAD] = jl_strength_pct_from_mole(at->vapour_mole_fraction);
    values[LIQUID_COLDER] = jl_strength_pct_from_mole(colder.liquid_mole_fraction);
    values[LIQUID_WARMER] = jl_strength_pct_from_mole(warmer.liquid_mole_fraction);
    values[VAPOUR_COLDER] = jl_strength_pct_from_mole(colder.vapour_mole_fraction);
    values[VAPOUR_WARMER] = jl_strength_pct_from_mole(warmer.vapour_mole_fraction);
    values[LIQUID_X] = at->liquid_mole_fraction;
    values[VAPOUR_Y] = at->vapour_mole_fraction;
    values[PRESSURE] = kpa;
}

static void show_boiling(show *s, const jl_boiling *at, const air *a, enum question question) {
    char boiling_point[64];
    double values[FIGURE_COUNT];
    figure list[FIGURE_COUNT];
    memcpy(list, FIGURES, sizeof list);
    snprintf(boiling_point, sizeof boiling_point, "Boiling point at %.5g kPa", a->kpa);
    list[BOIL].label = boiling_point;
    fill_figures(at, a->kpa, values);
    show_figures(s, &(figures){.list = list, .values = values, .of = question}, 0, FIGURE_COUNT);
}

static int boil_strength(const char *text, const air *a, bool json) {
    double p;
    jl_boiling at;
    int bad = arg_strength("the strength", text, &p);
    if (bad != 0) return bad;
    jl_status status = jl_boil(jl_mole_fraction(p), a->kpa, &at);
    if (status != JL_OK) return fail_argument("the strength", text, status, "0 to 100 %");
    show *s = show_open(json);
    show_boiling(s, &at, a, OF_STRENGTH);
    assume_air(s, a);
    return show_close(s, EXIT_DONE);
}

static int fail_no_liquid(const char *name, const char *text, const air *a) {
    jl_boiling azeotrope, water;
    if (jl_azeotrope(a->kpa, &azeotrope) != JL_OK || jl_boil(0, a->kpa, &water) != JL_OK)
        return fail_argument(name, text, JL_NO_MIXTURE, "a boiling point");
    return refuse("%s '%s': no mixture boils there at %.5g kPa; expected %.2f °C (%.1f %% vol, "
                  "which boils first) to %.2f °C (water)",
                  name, text, a->kpa, azeotrope.temp_c,
                  jl_strength_pct_from_mole(azeotrope.liquid_mole_fraction), water.temp_c);
}

static void note_second_liquid(show *s, const air *a, double temp_c) {
    jl_boiling ethanol, azeotrope;
    if (jl_boil(1, a->kpa, &ethanol) != JL_OK || jl_azeotrope(a->kpa, &azeotrope) != JL_OK) return;
    if (temp_c <= ethanol.temp_c)
        show_remark(s,
                    "A mixture stronger than %.1f %% vol boils here as well; the answer is the one "
                    "weaker than that.",
                    jl_strength_pct_from_mole(azeotrope.liquid_mole_fraction));
}

static int boil_temp(const char *name, const char *text, const air *a, bool head, bool json) {
    double temp_c;
    jl_boiling at;
    int bad = arg_value(name, text, JL_TEMPERATURE, &temp_c);
    if (bad != 0) return bad;
    jl_status status = jl_boil_at_temp(temp_c, a->kpa, &at);
    if (status == JL_NO_MIXTURE || status == JL_RANGE) return fail_no_liquid(name, text, a);
    if (status != JL_OK) return fail_argument(name, text, status, "a boiling point");
    show *s = show_open(json);
    show_boiling(s, &at, a, head ? OF_HEAD : OF_BOILER);
    assume_air(s, a);
    if (head)
        show_note(s, "In a plain pot the liquid that gives it off is the boiler's; with reflux it "
                     "is what runs back at the head.");
    note_second_liquid(s, a, temp_c);
    return show_close(s, EXIT_DONE);
}

static int boil(const args *words, const char *boiler, const char *head, const air *a, bool json) {
    if ((boiler != NULL) + (head != NULL) + (int)words->count != 1)
        return refuse("expected one of a strength, as 12%%, --at-boiler 91.2C and --at-head 82C");
    if (boiler != NULL) return boil_temp("--at-boiler", boiler, a, false, json);
    if (head != NULL) return boil_temp("--at-head", head, a, true, json);
    return boil_strength(words->words[0], a, json);
}

int command_boil(int argc, const char **argv) {
    char *boiler = NULL, *head = NULL;
    setting_options with = {.in_its_units = true};
    int json = 0;
    const struct poptOption table[] = {
        OPTION("at-boiler", &boiler, "TEMP", "the liquid that boils there: 91.2C"),
        OPTION("at-head", &head, "TEMP", "the vapour that condenses there: 82C"),
        KEY_OPTION(JL_KEY_PRESSURE, with.words),
        KEY_OPTION(JL_KEY_ALTITUDE, with.words),
        BENCH_OPTION(with),
        JSON_LAST(&json),
    };
    args a;
    air around;
    if (args_read(&a, argc, argv, table, "STRENGTH",
                  "Boiling point and vapour of a liquid: 12%; or back from a temperature.")) {
        a.exit_status = arg_air(&with, &around.settings, &around.kpa);
        if (a.exit_status == 0) a.exit_status = boil(&a, boiler, head, &around, json != 0);
    }
    return args_close(&a);
}
