/* spirit: everything about one spirit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "answer/uncertain.h"
#include "command.h"
#include "input/settings.h"

#include <math.h>
#include <string.h>

static void show_liquid(show *s, jl_spirit spirit, double temp_c) {
    char density[48], litre[48], scale[64];
    double p = jl_mass_fraction(spirit);
    double density_kg_m3 = NAN;
    jl_density_kg_m3(p, temp_c, &density_kg_m3);
    phrase_at(density, sizeof density, "Density", temp_c);
    phrase_at(litre, sizeof litre, "Mass of a litre", temp_c);
    phrase_at(scale, sizeof scale, "Weight of a litre in air", temp_c);
    show_number(s, "strength_pct", "Strength at 20 °C", jl_spirit_strength_pct(spirit), 2, "% vol");
    show_number(s, "proof_us", "US proof at 60 °F", jl_proof_us(spirit), 2, "proof");
    show_number(s, "mass_pct", "By mass", 100 * p, 2, "% mas");
    show_number(s, "density_kg_m3", density, density_kg_m3, 2, "kg/m³");
    show_number(s, "litre_kg", litre, density_kg_m3 / 1000, 4, "kg");
    show_number(s, "litre_scale_kg", scale,
                jl_scale_from_mass_kg(density_kg_m3 / 1000, density_kg_m3), 4, "kg");
    show_number(s, "temp_c", NULL, temp_c, 1, "°C");
}

static void show_amount(show *s, jl_spirit spirit, double temp_c) {
    char volume[48];
    double density_kg_m3 = NAN;
    double pure_l = jl_pure_alcohol_l(spirit);
    jl_density_kg_m3(jl_mass_fraction(spirit), temp_c, &density_kg_m3);
    phrase_at(volume, sizeof volume, "Volume", temp_c);
    show_number(s, "volume_l", "Volume at 20 °C", jl_volume_l(spirit, JL_STRENGTH_C), 4, "l");
    if (temp_c != JL_STRENGTH_C) show_number(s, NULL, volume, jl_volume_l(spirit, temp_c), 4, "l");
    show_number(s, "volume_at_temp_l", NULL, jl_volume_l(spirit, temp_c), 4, "l");
    show_number(s, "mass_kg", "Mass", jl_mass_kg(spirit), 4, "kg");
    show_number(s, "scale_kg", "Weight in air",
                jl_scale_from_mass_kg(jl_mass_kg(spirit), density_kg_m3), 4, "kg");
    show_number(s, "pure_alcohol_l", "Pure alcohol at 20 °C", pure_l, 4, "l");
    show_number(s, "pure_alcohol_hl", NULL, pure_l / 100, 6, "hl");
    show_number(s, NULL, "", pure_l / 100, 6, "hl");
    show_number(s, "proof_gallons_us", "", jl_proof_gallons_us(spirit), 4,
                "US proof gallons (60 °F)");
}

static void show_flash_point(show *s, double strength_pct) {
    double flash_point_c = NAN;
    bool known = jl_flash_point_c(strength_pct, &flash_point_c) == JL_OK;
    show_number(s, "flash_point_c", known ? "Flash point, about" : NULL, flash_point_c, 0, "°C");
    if (known)
        show_caution(s,
                     "Above its flash point the spirit gives off vapour that a spark lights. The "
                     "figure is approximate: it depends on the method (quoted second-hand, the "
                     "same series as NFPA 325).");
}

/* An amount, or one litre at 20 °C of a strength. */
typedef struct doubtful {
    const jl_alcoholometer *instrument;
    measured_amount amount;
    bool litre; /* of a strength alone: no figure of an amount */
} doubtful;

static jl_status spirit_doubtful(const double *x, double *figures, void *with) {
    const doubtful *in = with;
    jl_spirit spirit;
    jl_status status = measured_amount_at(&in->amount, in->instrument, x, &spirit);
    if (status != JL_OK) return status;
    figures[0] = jl_spirit_strength_pct(spirit);
    figures[1] = jl_proof_us(spirit);
    figures[2] = 100 * jl_mass_fraction(spirit);
    if (in->litre) return JL_OK;
    figures[3] = jl_volume_l(spirit, JL_STRENGTH_C);
    figures[4] = jl_mass_kg(spirit);
    figures[5] = jl_pure_alcohol_l(spirit);
    return JL_OK;
}

static int show_uncertainty(show *s, uncertainty *d, const char *what,
                            const jl_alcoholometer *instrument) {
    static const figure FIGURES[] = {
        {"strength_pct", "Strength at 20 °C", "strength", "% vol"},
        {"proof_us", "US proof at 60 °F", "proof", "proof"},
        {"mass_pct", "By mass", "by mass", "% mas"},
        {"volume_l", "Volume at 20 °C", "volume", "l"},
        {"mass_kg", "Mass", "mass", "kg"},
        {"pure_alcohol_l", "Pure alcohol at 20 °C", "pure alc.", "l"},
    };
    bool amount = strchr(what, '@') != NULL;
    doubtful in = {.instrument = instrument, .litre = !amount};
    if (d == NULL) return 0;
    if (amount) {
        jl_amount written;
        jl_amount_read(what, &written, NULL); /* it was read before */
        in.amount = uncertainty_amount(d, written);
    } else {
        jl_quantity strength;
        jl_quantity_read(what, JL_STRENGTH, &strength);
        in.amount = (measured_amount){.amount = {.strength = strength},
                                      .size = {.value = 1},
                                      .strength = uncertainty_strength(d, strength),
                                      .temp = {.value = JL_STRENGTH_C}};
    }
    return uncertainty_show(s, d, spirit_doubtful, &in, FIGURES, amount ? 6 : 3);
}

static int answer(const char *what, double temp_c, const jl_alcoholometer *instrument,
                  uncertainty *d, bool json) {
    bool amount = strchr(what, '@') != NULL;
    bool reading = amount && strchr(strchr(what, '@') + 1, '@') != NULL;
    jl_spirit spirit;
    double p;
    int bad = amount ? arg_amount(what, instrument, &spirit) : arg_strength("strength", what, &p);
    if (bad != 0) return bad;
    if (!amount) jl_spirit_from_volume(1, p, JL_STRENGTH_C, &spirit);
    show *s = show_open(json);
    show_liquid(s, spirit, temp_c);
    show_flash_point(s, jl_spirit_strength_pct(spirit));
    show_heading(s, amount ? "The amount" : "One litre at 20 °C");
    show_amount(s, spirit, temp_c);
    bad = show_uncertainty(s, d, what, instrument);
    if (bad != 0) return show_abandon(s, bad);
    if (reading) assume_instrument(s, instrument, unit_of_reading(what));
    return show_close(s, EXIT_DONE);
}

int command_spirit(int argc, const char **argv) {
    char *at = NULL;
    int json = 0;
    double temp_c = JL_STRENGTH_C;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    uncertainty *d = NULL;
    const struct poptOption table[] = {
        OPTION("at", &at, "TEMP", "temperature for density and volume (20C)"),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    jl_alcoholometer instrument;
    if (args_read(&a, argc, argv, table, "AMOUNT|STRENGTH",
                  "Everything about one spirit: 3.2L@72%, 3.2L@72.5%@24C, 2.8kg@72% or 72%")) {
        a.exit_status = arg_instrument(&with, &instrument);
        if (a.exit_status == 0) a.exit_status = arg_value("--at", at, JL_TEMPERATURE, &temp_c);
        if (a.exit_status == 0 && !(temp_c >= JL_TEMP_MIN_C && temp_c <= JL_TEMP_MAX_C))
            a.exit_status = fail_argument("--at", at, JL_RANGE, "-20 to 40 °C (-4 to 104 °F)");
        if (a.exit_status == 0) a.exit_status = uncertainty_open(&uncertainties, with.file, &d);
        if (a.exit_status == 0)
            a.exit_status = a.count == 1 ? answer(a.rest[0], temp_c, &instrument, d, json != 0)
                                         : fail(EXIT_USAGE, "expected one amount or strength, as "
                                                            "3.2L@72%% or 72%%");
    }
    int exit_status = a.exit_status;
    uncertainty_close(d);
    args_close(&a);
    return exit_status;
}
