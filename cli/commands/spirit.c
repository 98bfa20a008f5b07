/* spirit: everything about one spirit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "input/part.h"

/* An amount, not a strength alone; at another temperature than 20 °C; with a known flash point. */
enum { AMOUNT = 1, ELSEWHERE = 2, FLASH = 4 };

enum {
    STRENGTH,
    PROOF,
    MASS_PCT,
    DENSITY,
    LITRE,
    LITRE_SCALE,
    TEMP,
    FLASH_POINT,
    VOLUME,
    VOLUME_AT,
    MASS,
    SCALE,
    PURE,
    PURE_HL,
    PROOF_GALLONS,
    FIGURES
};

/* What is below the flash point is of the amount, or of one litre at 20 °C. Text leaves out what a line of it
 * has in another power of ten. */
static const figure LIST[FIGURES] = {
    [STRENGTH] = {"strength_pct", "Strength at 20 °C", "% vol", EXACT + 2, .brief = "strength"},
    [PROOF] = {"proof_us", "US proof at 60 °F", "proof", EXACT + 2, .brief = "proof"},
    [MASS_PCT] = {"mass_pct", "By mass", "% mas", EXACT + 2, .brief = "by mass"},
    [DENSITY] = {"density_kg_m3", "Density", "kg/m³", 2, .at = true},
    [LITRE] = {"litre_kg", NULL, "kg", EXACT + 4},
    [LITRE_SCALE] = {"litre_scale_kg", "Weight of a litre in air", "kg", EXACT + 4, .at = true},
    [TEMP] = {"temp_c", NULL, "°C", 1},
    [FLASH_POINT] = {"flash_point_c", "Flash point, about", "°C", 0, .text_of = FLASH},
    [VOLUME] = {"volume_l", "Volume at 20 °C", "L", 3, .brief = "volume", .brief_of = AMOUNT},
    [VOLUME_AT] = {"volume_at_temp_l", "Volume", "L", 3, .at = true, .text_of = ELSEWHERE},
    [MASS] = {"mass_kg", "Mass", "kg", 4, .brief = "mass", .brief_of = AMOUNT},
    [SCALE] = {"scale_kg", "Weight in air", "kg", 4},
    [PURE] = {"pure_alcohol_l", "Pure alcohol at 20 °C", "L", 3, .brief = "pure alcohol",
              .brief_of = AMOUNT},
    [PURE_HL] = {"pure_alcohol_hl", NULL, "hL", 6},
    [PROOF_GALLONS] = {"proof_gallons_us", "", "US proof gallons (60 °F)", 4},
};

typedef struct inputs {
    const jl_alcoholometer *instrument;
    jl_measured_amount amount;
    double temp_c;
} inputs;

static jl_status fill(const double *x, double *v, void *with) {
    const inputs *in = with;
    jl_spirit spirit;
    double density_kg_m3;
    jl_status status = jl_measured_amount_at(&in->amount, x, &spirit);
    if (status == JL_OK)
        status = jl_density_kg_m3(jl_mass_fraction(spirit), in->temp_c, &density_kg_m3);
    if (status != JL_OK) return status;
    v[STRENGTH] = jl_spirit_strength_pct(spirit);
    v[PROOF] = jl_proof_us(spirit);
    v[MASS_PCT] = 100 * jl_mass_fraction(spirit);
    v[DENSITY] = density_kg_m3;
    v[LITRE] = density_kg_m3 / 1000;
    v[LITRE_SCALE] = jl_scale_from_mass_kg(v[LITRE], density_kg_m3);
    v[TEMP] = in->temp_c;
    if (jl_flash_point_c(v[STRENGTH], &v[FLASH_POINT]) != JL_OK) v[FLASH_POINT] = NAN;
    v[VOLUME] = jl_volume_l(spirit, JL_STRENGTH_C);
    v[VOLUME_AT] = jl_volume_l(spirit, in->temp_c);
    v[MASS] = jl_mass_kg(spirit);
    v[SCALE] = jl_scale_kg(spirit, in->temp_c);
    v[PURE] = jl_pure_alcohol_l(spirit);
    v[PURE_HL] = v[PURE] / 100;
    v[PROOF_GALLONS] = jl_proof_gallons_us(spirit);
    return JL_OK;
}

/* One litre at 20 °C, taken as exact, of a strength. */
static jl_measured_amount litre_of(uncertainty *u, jl_quantity strength) {
    return (jl_measured_amount){.amount = {.strength = strength},
                                .size = {.value = 1},
                                .strength = jl_measure_strength(&u->by, strength),
                                .temp = {.value = JL_STRENGTH_C}};
}

static int read_amount(const char *what, const char *bench, uncertainty *u, inputs *in) {
    given_amount given;
    jl_quantity strength;
    if (!is_amount(what)) {
        int bad = arg_quantity("strength", what, JL_STRENGTH, &strength);
        if (bad == 0) in->amount = litre_of(u, strength);
        return bad;
    }
    int bad = given_read(what, in->instrument, bench, &given);
    if (bad != 0) return bad;
    in->amount = jl_measure_amount_known(&u->by, given.amount.by_mass ? JL_BY_SCALE : JL_BY_JUG,
                                         given.amount, in->instrument, given.part.strength_u_pct);
    given_free(&given);
    return 0;
}

static int answer(const char *what, double temp_c, const jl_alcoholometer *instrument,
                  const char *bench, uncertainty *u, bool json) {
    double values[FIGURES], standard[FIGURES];
    inputs in = {.instrument = instrument, .temp_c = temp_c};
    int bad = read_amount(what, bench, u, &in);
    if (bad != 0) return bad;
    jl_status status = fill(NULL, values, &in);
    if (status != JL_OK) return fail_argument("amount", what, status, "a smaller or larger amount");
    bool amount = is_amount(what), flash = !isnan(values[FLASH_POINT]);
    figures f = {LIST, FIGURES, values, .temp_c = temp_c,
                 .of = (amount ? AMOUNT : 0) | (temp_c != JL_STRENGTH_C ? ELSEWHERE : 0) |
                       (flash ? FLASH : 0)};
    figures_measured(&f, standard, VOLUME, PURE);
    show *s = show_open(json);
    show_figures(s, &f, 0, VOLUME);
    if (flash)
        show_standing_caution(
            s, "Above its flash point the spirit gives off vapour that a spark lights. "
               "The figure is approximate: it depends on the method (quoted second-hand, "
               "the same series as NFPA 325).");
    show_heading(s, amount ? "The amount" : "One litre at 20 °C");
    show_figures(s, &f, VOLUME, FIGURES);
    bad = show_uncertainty(s, u, &f, fill, &in);
    if (bad != 0) return show_abandon(s, bad);
    if (in.amount.amount.measured) assume_instrument(s, instrument, in.amount.amount.strength.unit);
    return show_close(s, EXIT_DONE);
}

int command_spirit(int argc, const char **argv) {
    char *at = NULL;
    int json = 0;
    double temp_c = JL_STRENGTH_C;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    uncertainty u = {0};
    const struct poptOption table[] = {
        OPTION("density-at", &at, "TEMP", "temperature for density and volume (20C)"),
        BENCH_OPTION(with),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        JSON_LAST(&json),
    };
    args a;
    jl_alcoholometer instrument;
    if (args_read(&a, argc, argv, table, "AMOUNT|STRENGTH",
                  "Everything about one spirit: 3.2L@72%, 3.2L@72.5%@24C, 2.8kg@72% or 72%")) {
        units_by((units){false, false}, UNITS_OF_COMMAND); /* it shows both */
        a.exit_status = arg_instrument(&with, &instrument);
        if (a.exit_status == 0)
            a.exit_status = arg_value("--density-at", at, JL_TEMPERATURE, &temp_c);
        if (a.exit_status == 0 && !(temp_c >= JL_TEMP_MIN_C && temp_c <= JL_TEMP_MAX_C))
            a.exit_status =
                fail_argument("--density-at", at, JL_RANGE, "-20 to 40 °C (-4 to 104 °F)");
        if (a.exit_status == 0) a.exit_status = uncertainty_read(&uncertainties, &with, &u);
        if (a.exit_status == 0)
            a.exit_status = a.count == 1
                                ? answer(a.words[0], temp_c, &instrument, with.bench, &u, json != 0)
                                : fail_count(&a, 1, "one amount or strength, as 3.2L@72% or 72%");
    }
    uncertainty_free(&u);
    return args_close(&a);
}
