/* correct: a reading at a temperature, as strength at 20 °C.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/correct.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "answer/uncertain.h"
#include "command.h"
#include "input/settings.h"

#include <string.h>
#include <unistd.h>

jl_status correct(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                  corrected *c) {
    double true_c = temp_c + instrument->thermometer_correction_c;
    jl_status status = jl_reading_to_mass_fraction(instrument, reading, temp_c, &c->mass_fraction);
    if (status == JL_OK)
        status = jl_strength_pct(c->mass_fraction, JL_STRENGTH_C, &c->strength_pct);
    if (status == JL_OK) status = jl_strength_pct(c->mass_fraction, JL_PROOF_C, &c->proof_us);
    if (status == JL_OK) status = jl_density_kg_m3(c->mass_fraction, true_c, &c->density_kg_m3);
    c->proof_us *= 2;
    return status;
}

/* The same with the doubt of its inputs. */
typedef struct doubtful {
    const jl_alcoholometer *instrument;
    jl_unit unit;
    measured reading, temp;
} doubtful;

static jl_status correct_doubtful(const double *x, double *figures, void *with) {
    const doubtful *in = with;
    corrected c = {0};
    jl_quantity reading = {measured_at(&in->reading, x), in->unit};
    jl_status status = correct(in->instrument, reading, measured_at(&in->temp, x), &c);
    figures[0] = c.strength_pct;
    figures[1] = c.proof_us;
    figures[2] = 100 * c.mass_fraction;
    figures[3] = c.density_kg_m3;
    return status;
}

static int show_uncertainty(show *s, uncertainty *d, const jl_alcoholometer *instrument,
                            jl_quantity reading, double temp_c) {
    static const figure FIGURES[] = {
        {"strength_pct", "Strength at 20 °C", "strength", "% vol"},
        {"proof_us", "US proof at 60 °F", "proof", "proof"},
        {"mass_pct", "By mass", "by mass", "% mas"},
        {"density_kg_m3", "Density as it is", "density", "kg/m³"},
    };
    if (d == NULL) return 0;
    doubtful in = {instrument, reading.unit, uncertainty_strength(d, reading),
                   uncertainty_measure(d, JL_BY_THERMOMETER, temp_c, 1)};
    return uncertainty_show(s, d, correct_doubtful, &in, FIGURES,
                            sizeof FIGURES / sizeof FIGURES[0]);
}

static int correct_one(const char *reading_text, const char *temp_text,
                       const jl_alcoholometer *instrument, uncertainty *d, bool json) {
    jl_quantity reading;
    double temp_c;
    corrected c;
    int bad = arg_quantity("the reading", reading_text, JL_STRENGTH, &reading);
    if (bad == 0) bad = arg_value("--at", temp_text, JL_TEMPERATURE, &temp_c);
    if (bad != 0) return bad;
    jl_status status = correct(instrument, reading, temp_c, &c);
    if (status != JL_OK)
        return fail_reading(reading_text, temp_text, instrument, reading, temp_c, status);

    show *s = show_open(json);
    char density[48];
    double true_c = temp_c + instrument->thermometer_correction_c;
    phrase_at(density, sizeof density, "Density", true_c);
    show_number(s, "strength_pct", "Strength at 20 °C", c.strength_pct, 2, "% vol");
    show_number(s, "proof_us", "US proof at 60 °F", c.proof_us, 2, "proof");
    show_number(s, "mass_pct", "By mass", 100 * c.mass_fraction, 2, "% mas");
    show_number(s, "density_kg_m3", density, c.density_kg_m3, 2, "kg/m³");
    show_number(s, "temp_c", NULL, true_c, 1, "°C");
    bad = show_uncertainty(s, d, instrument, reading, temp_c);
    if (bad != 0) return show_abandon(s, bad);
    assume_instrument(s, instrument, reading.unit);
    note_on_reading(s, c.strength_pct, true_c);
    return show_close(s, EXIT_DONE);
}

static int answer(const args *a, const char *at, const jl_alcoholometer *instrument, uncertainty *d,
                  bool json) {
    if (a->count != 1)
        return fail(EXIT_USAGE, "expected one reading, as 72.5%% or 144proof, or - for a stream");
    if (strcmp(a->rest[0], "-") == 0 && d != NULL)
        return fail(EXIT_USAGE, "--uncertainty goes with one reading, not with a stream");
    if (strcmp(a->rest[0], "-") == 0) return correct_stream(instrument, at, json);
    if (access(a->rest[0], R_OK) == 0)
        return fail(EXIT_USAGE, "'%s' is a file; expected a reading, or: jarline correct - <%s",
                    a->rest[0], a->rest[0]);
    if (at != NULL) return correct_one(a->rest[0], at, instrument, d, json);
    return fail(EXIT_USAGE, "a reading needs the temperature of the liquid; expected --at and %s",
                jl_quantity_forms(JL_TEMPERATURE));
}

int command_correct(int argc, const char **argv) {
    char *at = NULL;
    int json = 0;
    setting_options with = {0};
    uncertainty_options uncertainties = {0};
    const struct poptOption table[] = {
        OPTION("at", &at, "TEMP", "temperature of the liquid: 24C or 75F"),
        INSTRUMENT_OPTIONS(with),
        UNCERTAINTY_OPTIONS(uncertainties),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    jl_alcoholometer instrument;
    uncertainty *d = NULL;
    if (args_read(&a, argc, argv, table, "READING --at TEMP | -",
                  "A reading at a temperature, as strength at 20 °C: 72.5% --at 24C")) {
        a.exit_status = arg_instrument(&with, &instrument);
        if (a.exit_status == 0) a.exit_status = uncertainty_open(&uncertainties, with.file, &d);
        if (a.exit_status == 0) a.exit_status = answer(&a, at, &instrument, d, json != 0);
    }
    uncertainty_close(d);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
