/* dilute: water to bottling strength, by weight and by volume, and the check after mixing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/dilute.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "command.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static double density(double mass_fraction, double temp_c) {
    double density_kg_m3 = NAN;
    jl_density_kg_m3(mass_fraction, temp_c, &density_kg_m3);
    return density_kg_m3;
}

static double strength_pct(double mass_fraction) {
    double pct = NAN;
    jl_strength_pct(mass_fraction, JL_STRENGTH_C, &pct);
    return pct;
}

/* Why a target cannot be reached by adding what is to be added. */
static int fail_target(const plan *p) {
    if (p->target > p->strong)
        return fail(EXIT_NO,
                    "--to %s is %.2f %% vol and the spirit in hand has %.2f %% vol at 20 °C: "
                    "adding %s can only make it weaker",
                    p->to_text, strength_pct(p->target), strength_pct(p->strong),
                    p->with_other ? "a weaker spirit" : "water");
    return fail(EXIT_NO,
                "--to %s is %.2f %% vol, not above the %.2f %% vol of what is added: no amount of "
                "it is enough",
                p->to_text, strength_pct(p->target), strength_pct(p->other));
}

/* Three ways to measure out one liquid: a scale, a jug, and the mass for the record. */
static void show_measure(show *s, const char *key, const char *heading, jl_spirit liquid,
                         double temp_c) {
    char label[64], key_kg[32], key_scale[32], key_l[32];
    double mass_kg = jl_mass_kg(liquid);
    double p = mass_kg > 0 ? jl_mass_fraction(liquid) : 0;
    snprintf(key_kg, sizeof key_kg, "%s_kg", key);
    snprintf(key_scale, sizeof key_scale, "%s_scale_kg", key);
    snprintf(key_l, sizeof key_l, "%s_l", key);
    show_heading(s, heading);
    show_number(s, key_scale, "On a scale in air",
                jl_scale_from_mass_kg(mass_kg, density(p, temp_c)), 4, "kg");
    phrase_at(label, sizeof label, "By volume", temp_c);
    show_number(s, key_l, label, mass_kg / density(p, temp_c) * 1000, 4, "l");
    show_number(s, key_kg, "Mass", mass_kg, 4, "kg");
}

static void show_bottles(show *s, double volume_l, double bottle_l) {
    if (bottle_l <= 0) return;
    double bottles = floor(volume_l / bottle_l + 1e-9);
    show_number(s, "bottles", "Full bottles", bottles, 0, "");
    show_number(s, "bottle_l", "  each of", bottle_l, 3, "l");
    show_number(s, "rest_l", "  and left over", fmax(volume_l - bottles * bottle_l, 0), 4, "l");
}

/* The same water in equal parts: what each makes of it. */
static void show_steps(show *s, const plan *p, jl_spirit spirit, jl_spirit addition) {
    static const column COLUMNS[] = {
        {"step", "step", "", 5, 0, false},
        {"scale_kg", "add, on a scale", "kg", 16, 4, false},
        {"added_l", "by volume", "l", 10, 4, false},
        {"strength_pct", "then at 20 °C", "% vol", 14, 2, false},
        {"volume_l", "volume at 20 °C", "l", 16, 4, false},
    };
    double mass_kg = jl_mass_kg(addition) / p->steps;
    double each_density = density(p->other, p->other_c);
    show_heading(s, "In equal steps");
    show_table(s, "steps", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (int i = 1; i <= p->steps; i++) {
        jl_spirit part = {addition.ethanol_kg * i / p->steps, addition.water_kg * i / p->steps};
        jl_spirit now = jl_blend(spirit, part);
        show_cell(s, i);
        show_cell(s, jl_scale_from_mass_kg(mass_kg, each_density));
        show_cell(s, mass_kg / each_density * 1000);
        show_cell(s, jl_spirit_strength_pct(now));
        show_cell(s, jl_volume_l(now, JL_STRENGTH_C));
    }
    show_table_end(s);
}

static void show_result(show *s, const plan *p, jl_spirit spirit, jl_spirit addition) {
    jl_spirit result = jl_blend(spirit, addition);
    double spirit_l = jl_volume_l(spirit, JL_STRENGTH_C);
    double added_l = jl_mass_kg(addition) > 0 ? jl_volume_l(addition, JL_STRENGTH_C) : 0;
    double result_l = jl_volume_l(result, JL_STRENGTH_C);
    show_heading(s, "The result, at 20 °C");
    show_number(s, "strength_pct", "Strength", jl_spirit_strength_pct(result), 2, "% vol");
    show_number(s, "volume_l", "Volume", result_l, 4, "l");
    show_number(s, "contraction_l", "Contraction", jl_contraction_l(spirit_l + added_l, result), 4,
                "l");
    show_number(s, "pure_alcohol_l", "Pure alcohol", jl_pure_alcohol_l(result), 4, "l");
    show_bottles(s, result_l, p->bottle_l);
}

static void assume_addition(show *s, const plan *p) {
    char temp[48];
    phrase_at(temp, sizeof temp,
              p->with_other ? "The weaker spirit is added" : "The water is added", p->other_c);
    show_assumption(s, "%s%s.", temp,
                    p->other_c == JL_STRENGTH_C ? " (default; --water-temp changes it)" : "");
    show_assumption(
        s, "Weighed in air of 1.2 kg/m³ against steel (OIML D 28); densities by OIML R 22.");
}

static void show_plan(show *s, const plan *p, jl_spirit spirit, jl_spirit addition, bool make) {
    const char *key = p->with_other ? "addition" : "water";
    if (make) show_measure(s, "spirit", "Spirit to take", spirit, JL_STRENGTH_C);
    if (jl_mass_kg(addition) == 0)
        show_note(s, "It has that strength already: nothing is to be added.");
    show_measure(s, key, p->with_other ? "Weaker spirit to add" : "Water to add", addition,
                 p->other_c);
    if (p->steps > 1) show_steps(s, p, spirit, addition);
    show_result(s, p, spirit, addition);
    assume_addition(s, p);
    show_note(s,
              "Weigh rather than measure by volume, mix well, let it cool and stand, then take a "
              "reading and put it in with --check.");
}

/* After mixing: the alcohol is still what went in, so a reading tells how much liquid there is. */
static int show_check(show *s, const plan *p, jl_spirit mixed, double now) {
    jl_spirit batch, more;
    double batch_kg = mixed.ethanol_kg / now;
    jl_spirit_from_mass(batch_kg, now, &batch);
    double off_pct = strength_pct(now) - strength_pct(p->target);
    bool weak = off_pct < 0;
    show_heading(s, "The check, at 20 °C");
    show_number(s, "checked_pct", "Strength found", strength_pct(now), 2, "% vol");
    show_number(s, "target_pct", "Strength wanted", strength_pct(p->target), 2, "% vol");
    show_number(s, "volume_l", "Volume now", jl_volume_l(batch, JL_STRENGTH_C), 4, "l");
    show_number(s, "pure_alcohol_l", "Pure alcohol", jl_pure_alcohol_l(batch), 4, "l");
    show_truth(s, "too_weak", weak);
    jl_status status = jl_bring_to(batch, weak ? p->strong : p->other, p->target, &more);
    if (status != JL_OK) return fail_target(p);
    if (weak)
        show_measure(s, "mend", "Too weak: of the spirit in hand at first, add", more,
                     JL_STRENGTH_C);
    else
        show_measure(s, p->with_other ? "addition" : "water",
                     p->with_other ? "Of the weaker spirit, add another" : "Water to add now", more,
                     p->other_c);
    jl_spirit corrected = jl_blend(batch, more);
    show_heading(s, "Then, at 20 °C");
    show_number(s, "result_l", "Volume", jl_volume_l(corrected, JL_STRENGTH_C), 4, "l");
    show_bottles(s, jl_volume_l(corrected, JL_STRENGTH_C), p->bottle_l);
    assume_addition(s, p);
    show_assumption(s, "No spirit was lost since: the pure alcohol is what went into the mix.");
    show_note(s, "Let warm and gassy spirit rest first: mixing warms it, and bubbles lift the "
                 "instrument so that it shows too little.");
    return 0;
}

/* Option texts as popt leaves them. */
typedef struct words {
    char *to, *water_temp, *bottle, *steps, *with, *make, *check, *at;
    setting_options instrument;
    uncertainty_options uncertainties;
    int json;
} words;

static int read_steps(const char *text, int *steps) {
    double number = 0;
    int bad = arg_value("--steps", text, JL_NUMBER, &number);
    if (bad != 0 || text == NULL) return bad;
    if (!(number >= 1 && number <= 50 && number == floor(number)))
        return fail_argument("--steps", text, JL_RANGE, "a whole number from 1 to 50");
    *steps = (int)number;
    return 0;
}

static int read_plan(const words *w, plan *p) {
    *p = (plan){.to_text = w->to, .other_c = JL_STRENGTH_C, .with_other = w->with != NULL};
    if (w->to == NULL)
        return fail(EXIT_USAGE, "--to is missing; expected the strength wanted, as --to 40%%");
    int bad = arg_strength("--to", w->to, &p->target);
    if (bad == 0 && w->with != NULL) bad = arg_strength("--with", w->with, &p->other);
    if (bad == 0) bad = arg_value("--water-temp", w->water_temp, JL_TEMPERATURE, &p->other_c);
    if (bad == 0) bad = arg_value("--bottle", w->bottle, JL_VOLUME, &p->bottle_l);
    if (bad == 0) bad = read_steps(w->steps, &p->steps);
    if (bad != 0) return bad;
    if (!(p->other_c >= (p->with_other ? JL_TEMP_MIN_C : 0) && p->other_c <= JL_TEMP_MAX_C))
        return fail_argument("--water-temp", w->water_temp, JL_RANGE,
                             "0 to 40 °C (for --with -20 to 40 °C), as 12C");
    if (w->bottle != NULL && !(p->bottle_l > 0))
        return fail_argument("--bottle", w->bottle, JL_RANGE, "a volume above 0, as 700ml");
    if (!(p->target > 0))
        return fail_argument("--to", w->to, JL_RANGE, "a strength above 0, as 40%");
    return 0;
}

/* From an amount in hand, or from a strength and the volume wanted. */
static int read_spirit(const words *w, const char *what, const jl_alcoholometer *instrument,
                       plan *p, jl_spirit *spirit, jl_spirit *addition) {
    jl_status status;
    if (strchr(what, '@') != NULL) {
        if (w->make != NULL)
            return fail(EXIT_USAGE,
                        "--make goes with a strength, as 'dilute 95%% --to 40%% --make 1l'; "
                        "'%s' is an amount",
                        what);
        int bad = arg_amount(what, instrument, spirit);
        if (bad != 0) return bad;
        p->strong = jl_mass_fraction(*spirit);
        status = jl_bring_to(*spirit, p->other, p->target, addition);
    } else {
        double make_l;
        if (w->make == NULL)
            return fail(EXIT_USAGE,
                        "'%s' is not an amount; expected 3.2L@72%%, or a strength with "
                        "--make VOLUME",
                        what);
        int bad = arg_strength("strength", what, &p->strong);
        if (bad == 0) bad = arg_value("--make", w->make, JL_VOLUME, &make_l);
        if (bad != 0) return bad;
        if (!(make_l > 0))
            return fail_argument("--make", w->make, JL_RANGE, "a volume above 0, as 700ml");
        status =
            jl_make_up(&(jl_dilution){p->strong, p->other, p->target}, make_l, spirit, addition);
    }
    if (status == JL_OK && p->target > p->strong) status = JL_NO; /* --with a stronger spirit */
    if (status == JL_NO) return fail_target(p);
    return status == JL_OK ? 0 : fail_argument("amount", what, status, "a smaller amount");
}

static int read_check(const words *w, const plan *p, const jl_alcoholometer *instrument, check *c) {
    if (w->at == NULL)
        return fail(EXIT_USAGE, "--check needs the temperature of the liquid; expected --at and %s",
                    jl_quantity_forms(JL_TEMPERATURE));
    int bad = arg_quantity("--check", w->check, JL_STRENGTH, &c->reading);
    if (bad == 0) bad = arg_value("--at", w->at, JL_TEMPERATURE, &c->temp_c);
    if (bad != 0) return bad;
    jl_status status = jl_reading_to_mass_fraction(instrument, c->reading, c->temp_c, &c->now);
    if (status != JL_OK)
        return fail_reading(w->check, w->at, instrument, c->reading, c->temp_c, status);
    if (c->now > p->strong + 1e-9)
        return fail(
            EXIT_USAGE,
            "--check %s at %s is %.2f %% vol at 20 °C, more than the %.2f %% vol of what went "
            "in: look at the reading, and at the amount",
            w->check, w->at, strength_pct(c->now), strength_pct(p->strong));
    if (c->now > 0) return 0;
    return fail_argument("--check", w->check, JL_RANGE,
                         "a reading above 0: there is no alcohol in it");
}

/* The words as amounts, for their doubt: with --make the planned volume is what is measured out. */
static dilution dilution_of(const words *w, const char *what, const plan *p,
                            const jl_alcoholometer *instrument, jl_spirit spirit,
                            jl_spirit addition) {
    dilution in = {.plan = p, .instrument = instrument, .addition = addition};
    if (strchr(what, '@') != NULL)
        jl_amount_read(what, &in.spirit, NULL); /* it was read before */
    else {
        in.spirit =
            (jl_amount){.size = jl_volume_l(spirit, JL_STRENGTH_C), .temp_c = JL_STRENGTH_C};
        jl_quantity_read(what, JL_STRENGTH, &in.spirit.strength);
    }
    if (w->with != NULL) jl_quantity_read(w->with, JL_STRENGTH, &in.other);
    return in;
}

static int show_all(show *s, const words *w, const char *what, const plan *p,
                    const jl_alcoholometer *instrument, const check *c, jl_spirit spirit,
                    jl_spirit addition, uncertainty *d) {
    dilution in = dilution_of(w, what, p, instrument, spirit, addition);
    int bad = 0;
    if (w->check != NULL) {
        assume_instrument(s, instrument, unit_of_reading(w->check));
        in.check = c;
        bad = show_check(s, p, jl_blend(spirit, addition), c->now);
    } else
        show_plan(s, p, spirit, addition, w->make != NULL);
    return bad != 0 || d == NULL ? bad : dilute_uncertainty(s, d, &in);
}

static int answer(const words *w, const char *what, uncertainty *d) {
    jl_alcoholometer instrument;
    jl_spirit spirit, addition;
    plan p;
    check c;
    int bad = arg_instrument(&w->instrument, &instrument);
    if (bad == 0) bad = read_plan(w, &p);
    if (bad == 0) bad = read_spirit(w, what, &instrument, &p, &spirit, &addition);
    if (bad == 0 && w->check != NULL) bad = read_check(w, &p, &instrument, &c);
    if (bad == 0 && w->check != NULL && w->steps != NULL)
        bad = fail(EXIT_USAGE,
                   "--steps goes without --check: what is still to be added goes in at once");
    if (bad == 0 && w->check == NULL && w->at != NULL)
        bad = fail(EXIT_USAGE, "--at goes with --check; an amount says its own: 3.2L@72.5%%@24C");
    if (bad != 0) return bad;
    show *s = show_open(w->json != 0);
    bad = show_all(s, w, what, &p, &instrument, &c, spirit, addition, d);
    return bad == 0 ? show_close(s, EXIT_DONE) : show_abandon(s, bad);
}

int command_dilute(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("to", &w.to, "STRENGTH", "the strength wanted, at 20 °C"),
        OPTION("water-temp", &w.water_temp, "TEMP", "of the water, for its volume (20C)"),
        OPTION("with", &w.with, "STRENGTH", "add a weaker spirit of this strength, not water"),
        OPTION("make", &w.make, "VOLUME", "with a STRENGTH: the volume wanted at 20 °C"),
        OPTION("bottle", &w.bottle, "VOLUME", "count bottles of this volume"),
        OPTION("steps", &w.steps, "N", "add it in N equal parts"),
        OPTION("check", &w.check, "READING", "a reading after mixing: what is still to be added"),
        OPTION("at", &w.at, "TEMP", "temperature of the liquid at that reading"),
        INSTRUMENT_OPTIONS(w.instrument),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    uncertainty *d = NULL;
    if (args_read(&a, argc, argv, table,
                  "AMOUNT --to STRENGTH | STRENGTH --to STRENGTH --make VOLUME",
                  "Water to bottling strength: 3.2L@72% --to 40% --bottle 700ml")) {
        if (a.count != 1)
            a.exit_status = fail(EXIT_USAGE, "expected one amount or strength, as 3.2L@72%%");
        else if ((a.exit_status = uncertainty_open(&w.uncertainties, w.instrument.file, &d)) == 0)
            a.exit_status = answer(&w, a.rest[0], d);
    }
    int exit_status = a.exit_status;
    uncertainty_close(d);
    args_close(&a);
    return exit_status;
}
