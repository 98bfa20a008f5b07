/* boil: boiling point and vapour of a liquid, and back from a temperature.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>

typedef struct air {
    jl_settings settings;
    double kpa;
} air;

static void assume_air(show *s, const air *a) {
    if (a->settings.of[JL_KEY_ALTITUDE].has)
        show_assumption(s,
                        "Air pressure %.5g kPa, an average day's at %.6g m (U.S. Standard "
                        "Atmosphere 1976).",
                        a->kpa, jl_setting_value(&a->settings, JL_KEY_ALTITUDE));
    else if (!jl_is_stated(&a->settings, JL_KEY_PRESSURE))
        show_assumption(s, "Default: air pressure 101.325 kPa, sea level (--pressure or --altitude "
                           "changes it).");
    show_assumption(s, "Equilibrium by a model (NRTL) fitted to published data, which differ among "
                       "themselves by up to 0.018 mole fraction and 0.5 °C. Water boils here "
                       "0.05 °C above IAPWS-95 (99.97 °C at 101.325 kPa).");
}

static void show_boiling(show *s, const jl_boiling *at, const air *a) {
    char kpa[64];
    snprintf(kpa, sizeof kpa, "Boiling point at %.5g kPa", a->kpa);
    show_number(s, "boil_c", kpa, at->temp_c, 1, "°C");
    show_number(s, "strength_pct", "Liquid at 20 °C",
                jl_strength_pct_from_mole(at->liquid_mole_fraction), 1, "% vol");
    show_number(s, "vapour_pct", "Its vapour, condensed, at 20 °C",
                jl_strength_pct_from_mole(at->vapour_mole_fraction), 1, "% vol");
    show_number(s, "x", "Ethanol in the liquid", at->liquid_mole_fraction, 4, "mole fraction");
    show_number(s, "y", "Ethanol in the vapour", at->vapour_mole_fraction, 4, "mole fraction");
    show_number(s, "pressure_kpa", NULL, a->kpa, 3, "kPa");
}

static int boil_strength(const char *text, const air *a, bool json) {
    double p;
    jl_boiling at;
    int bad = arg_strength("the strength", text, &p);
    if (bad != 0) return bad;
    jl_status status = jl_boil(jl_mole_fraction(p), a->kpa, &at);
    if (status != JL_OK) return fail_argument("the strength", text, status, "0 to 100 %");
    show *s = show_open(json);
    show_boiling(s, &at, a);
    assume_air(s, a);
    return show_close(s, EXIT_DONE);
}

static int fail_no_liquid(const char *name, const char *text, const air *a) {
    jl_boiling azeotrope, water;
    if (jl_azeotrope(a->kpa, &azeotrope) != JL_OK || jl_boil(0, a->kpa, &water) != JL_OK)
        return fail_argument(name, text, JL_NO_MIXTURE, "a boiling point");
    return fail(EXIT_USAGE,
                "%s '%s': no mixture boils there at %.5g kPa; expected %.2f °C (%.1f %% vol, which "
                "boils first) to %.2f °C (water)",
                name, text, a->kpa, azeotrope.temp_c,
                jl_strength_pct_from_mole(azeotrope.liquid_mole_fraction), water.temp_c);
}

/* What a tenth of a degree is worth. */
static void show_tenth(show *s, const air *a, double temp_c, bool head) {
    const char *const keys[] = {head ? "vapour_colder_pct" : "strength_colder_pct",
                                head ? "vapour_warmer_pct" : "strength_warmer_pct"};
    const char *const labels[] = {"  if 0.1 °C colder", "  if 0.1 °C warmer"};
    for (int i = 0; i < 2; i++) {
        jl_boiling at = {NAN, NAN, NAN};
        if (jl_boil_at_temp(temp_c + (i == 0 ? -0.1 : 0.1), a->kpa, &at) != JL_OK)
            at = (jl_boiling){NAN, NAN, NAN};
        show_number(
            s, keys[i], labels[i],
            jl_strength_pct_from_mole(head ? at.vapour_mole_fraction : at.liquid_mole_fraction), 2,
            "% vol");
    }
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
    if (head) {
        show_number(s, "vapour_pct", "Vapour at the head, condensed, at 20 °C",
                    jl_strength_pct_from_mole(at.vapour_mole_fraction), 1, "% vol");
        show_tenth(s, a, temp_c, true);
        show_number(s, "strength_pct", "Liquid that gives it off, at 20 °C",
                    jl_strength_pct_from_mole(at.liquid_mole_fraction), 1, "% vol");
    } else {
        show_number(s, "strength_pct", "Liquid in the boiler, at 20 °C",
                    jl_strength_pct_from_mole(at.liquid_mole_fraction), 1, "% vol");
        show_tenth(s, a, temp_c, false);
        show_number(s, "vapour_pct", "Its vapour, condensed, at 20 °C",
                    jl_strength_pct_from_mole(at.vapour_mole_fraction), 1, "% vol");
    }
    show_number(s, "x", "Ethanol in the liquid", at.liquid_mole_fraction, 4, "mole fraction");
    show_number(s, "y", "Ethanol in the vapour", at.vapour_mole_fraction, 4, "mole fraction");
    show_number(s, "boil_c", NULL, at.temp_c, 1, "°C");
    show_number(s, "pressure_kpa", NULL, a->kpa, 3, "kPa");
    assume_air(s, a);
    if (head)
        show_note(s,
                  "In a plain pot the liquid that gives it off is the boiler's; with reflux it is "
                  "what runs back at the head.");
    note_second_liquid(s, a, temp_c);
    return show_close(s, EXIT_DONE);
}

static int boil(const args *words, const char *boiler, const char *head, const air *a, bool json) {
    if ((boiler != NULL) + (head != NULL) + (int)words->count != 1)
        return fail(EXIT_USAGE,
                    "expected one of a strength, as 12%%, --at-boiler 91.2C and --at-head 82C");
    if (boiler != NULL) return boil_temp("--at-boiler", boiler, a, false, json);
    if (head != NULL) return boil_temp("--at-head", head, a, true, json);
    return boil_strength(words->rest[0], a, json);
}

int command_boil(int argc, const char **argv) {
    char *boiler = NULL, *head = NULL;
    setting_options with = {0};
    int json = 0;
    const struct poptOption table[] = {
        OPTION("at-boiler", &boiler, "TEMP", "the liquid that boils there: 91.2C"),
        OPTION("at-head", &head, "TEMP", "the vapour that condenses there: 82C"),
        KEY_OPTION(JL_KEY_PRESSURE, &with.words[JL_KEY_PRESSURE]),
        KEY_OPTION(JL_KEY_ALTITUDE, &with.words[JL_KEY_ALTITUDE]),
        BENCH_OPTION(with),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
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
