/* dilute: water to bottling strength, by weight and by volume, and the check after mixing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "command.h"
#include "commands/book/write.h"
#include "input/part.h"
#include "spirit/dilution.h"

#include <string.h>

/* What a question has: a plan or a check after mixing, and bottles. */
enum { PLAN = 1, CHECK = 2, BOTTLED = 4 };

/* A liquid to be measured out is three figures: on a scale, by volume, its mass. */
enum {
    SPIRIT,
    ADD_WATER = SPIRIT + 3,
    ADD_WEAKER = ADD_WATER + 3,
    ADD_STRONGER = ADD_WEAKER + 3,
    IN_HAND = ADD_STRONGER + 3,
    FOUND = IN_HAND + 3,
    TARGET,
    STRENGTH,
    VOLUME,
    VOLUME_NOW,
    CONTRACTION,
    PURE,
    RESULT,
    BOTTLES,
    BOTTLE,
    LEFT_OVER,
    TO_ADD,
    TO_ADD_NOW,
    FIGURES
};

#define MEASURED_OUT(place, key)                                                                   \
    [place] = {key "_scale_kg", "On a scale in air", "kg", 4},                                     \
    [(place) + 1] = {key "_l", "By volume", "L", 4, .at = true},                                   \
    [(place) + 2] = {key "_kg", "Mass", "kg", 4}

static const figure LIST[FIGURES] = {
    MEASURED_OUT(SPIRIT, "spirit"),
    MEASURED_OUT(ADD_WATER, "water"),
    MEASURED_OUT(ADD_WEAKER, "addition"),
    MEASURED_OUT(ADD_STRONGER, "stronger"),
    [IN_HAND] = {"volume_l", "", "L", 3},
    [IN_HAND + 1] = {"strength_pct", "", "% vol", 2},
    [IN_HAND + 2] = {"pure_alcohol_l", "", "L", 3},
    [FOUND] = {"checked_pct", "Strength found", "% vol", 2, .of = CHECK, .brief = "strength"},
    [TARGET] = {"target_pct", "Strength wanted", "% vol", 2, .of = CHECK},
    [STRENGTH] = {"strength_pct", "Strength", "% vol", 2, .of = PLAN, .brief = "strength",
                  .alone = "Strength of the result"},
    [VOLUME] = {"volume_l", "Volume", "L", 3, .of = PLAN, .brief = "volume",
                .alone = "Volume at 20 °C"},
    [VOLUME_NOW] = {"volume_l", "Volume now", "L", 3, .of = CHECK, .brief = "volume",
                    .alone = "Volume now at 20 °C"},
    [CONTRACTION] = {"contraction_l", "Contraction", "L", EXACT + 4, .of = PLAN},
    [PURE] = {"pure_alcohol_l", "Pure alcohol", "L", 3, .brief = "pure alcohol",
              .alone = "Pure alcohol at 20 °C"},
    [RESULT] = {"result_l", "Volume", "L", 3, .of = CHECK},
    [BOTTLES] = {"bottles", "Full bottles", "", 0, .of = BOTTLED},
    [BOTTLE] = {"bottle_l", "  each of", "L", 3, .of = BOTTLED},
    [LEFT_OVER] = {"left_over_l", "  and left over", "L", 4, .of = BOTTLED},
    [TO_ADD] = {"to_add_scale_kg", "To add, on a scale", "kg", 4, .of = PLAN, .brief = "to add"},
    [TO_ADD_NOW] = {"to_add_scale_kg", "To add now, on a scale", "kg", 4, .of = CHECK,
                    .brief = "to add"},
};

/* The words of the command line, read: what is measured, and what is exact. */
typedef struct plan {
    const char *to_text;
    jl_dilution d;              /* at the best estimates */
    double raise_mass_fraction; /* of another spirit for what is too weak; NaN: the one in hand */
    double other_c;             /* temperature of what is added */
    double bottle_l;            /* 0: none */
    int steps;                  /* 0: in one go */
    bool make, weaker, check;
    bool raise;    /* it is too weak before anything is mixed: what is added is the other spirit */
    bool as_found; /* the book has it at about that strength: the check is of what stands there */
    bool too_weak; /* the check found it so: spirit is to be added */
    jl_alcoholometer instrument;
    jl_spirit spirit, addition; /* as planned; the addition is weighed */
    file_part of;               /* where the spirit is from */

    jl_measured_amount in_hand;
    jl_measured other, added_kg, reading, temp; /* added_kg: as the scale shows it */
    jl_measured stronger;
    jl_unit other_unit, reading_unit, stronger_unit;
} plan;

static double strength_of(double mass_fraction) {
    double pct = NAN;
    jl_strength_pct(mass_fraction, JL_STRENGTH_C, &pct);
    return pct;
}

/* ---- The figures ---- */

/* What went in, as it may really be. */
typedef struct parts {
    jl_spirit spirit, addition;
    double other_mass_fraction;
} parts;

static jl_status parts_at(const plan *p, const double *x, parts *in) {
    double density_kg_m3, other;
    jl_quantity strength = {jl_measured_at(&p->other, x), p->other_unit};
    jl_status status = jl_measured_amount_at(&p->in_hand, x, &in->spirit);
    if (status == JL_OK) status = jl_strength_to_mass_fraction(strength, &other);
    if (status == JL_OK) status = jl_density_kg_m3(other, p->other_c, &density_kg_m3);
    if (status != JL_OK) return status;
    double mass_kg = jl_mass_from_scale_kg(jl_measured_at(&p->added_kg, x), density_kg_m3);
    in->addition = (jl_spirit){mass_kg * other, mass_kg * (1 - other)};
    in->other_mass_fraction = other;
    return JL_OK;
}

/* liquid: negative where there is already too much of it. */
static void measure_out(jl_spirit liquid, double temp_c, double *three) {
    double sign = jl_mass_kg(liquid) < 0 ? -1 : 1;
    three[0] = sign * jl_scale_kg(jl_spirit_times(liquid, sign), temp_c);
    three[1] = jl_volume_l(liquid, temp_c);
    three[2] = jl_mass_kg(liquid);
}

static void fill_addition(jl_spirit more, double temp_c, double *v) {
    measure_out(more, temp_c, v + ADD_WATER);
    measure_out(more, temp_c, v + ADD_WEAKER);
    measure_out(more, temp_c, v + ADD_STRONGER);
    v[TO_ADD] = v[TO_ADD_NOW] = v[ADD_WATER];
}

static void fill_bottles(double volume_l, double bottle_l, double *v) {
    jl_bottles bottles = jl_fill_bottles(volume_l, bottle_l);
    v[BOTTLES] = bottles.full;
    v[BOTTLE] = bottle_l;
    v[LEFT_OVER] = bottles.left_over_l;
}

/* The planned addition is what goes in; what should go in depends on what is really in hand. */
static jl_status fill_plan(const plan *p, const parts *in, double *v) {
    double other = in->other_mass_fraction;
    double needed_kg = jl_addition_kg(in->spirit, other, p->d.target_mass_fraction);
    jl_spirit result = jl_blend(in->spirit, in->addition);
    if (!isfinite(needed_kg)) return JL_NO;
    fill_addition((jl_spirit){needed_kg * other, needed_kg * (1 - other)}, p->other_c, v);
    v[STRENGTH] = jl_spirit_strength_pct(result);
    v[VOLUME] = jl_volume_l(result, JL_STRENGTH_C);
    v[CONTRACTION] = jl_contraction_l(
        jl_volume_l(in->spirit, JL_STRENGTH_C) + jl_volume_l(in->addition, JL_STRENGTH_C), result);
    v[PURE] = jl_pure_alcohol_l(result);
    fill_bottles(v[VOLUME], p->bottle_l, v);
    return JL_OK;
}

/* After mixing: the alcohol is still what went in, so a reading tells how much liquid there is. */
static jl_status fill_check(const plan *p, const parts *in, const double *x, double *v) {
    double found;
    jl_check check = {.too_weak = p->too_weak};
    jl_dilution d = {jl_mass_fraction(in->spirit), p->raise ? 0 : in->other_mass_fraction,
                     p->d.target_mass_fraction};
    jl_quantity stronger = {jl_measured_at(&p->stronger, x), p->stronger_unit};
    jl_quantity reading = {jl_measured_at(&p->reading, x), p->reading_unit};
    jl_status status =
        jl_reading_to_mass_fraction(&p->instrument, reading, jl_measured_at(&p->temp, x), &found);
    if (status == JL_OK && !isnan(p->raise_mass_fraction))
        status = jl_strength_to_mass_fraction(stronger, &d.strong_mass_fraction);
    if (status == JL_OK)
        status = jl_check_side(&d, jl_blend(in->spirit, in->addition), found, &check);
    if (status != JL_OK) return status;
    fill_addition(check.addition, check.too_weak ? JL_STRENGTH_C : p->other_c, v);
    v[FOUND] = strength_of(found);
    v[TARGET] = strength_of(d.target_mass_fraction);
    v[VOLUME_NOW] = jl_volume_l(check.batch, JL_STRENGTH_C);
    v[PURE] = jl_pure_alcohol_l(check.batch);
    v[RESULT] = jl_volume_l(check.result, JL_STRENGTH_C);
    fill_bottles(v[RESULT], p->bottle_l, v);
    return JL_OK;
}

static jl_status fill(const double *x, double *v, void *with) {
    const plan *p = with;
    parts in;
    jl_status status = parts_at(p, x, &in);
    if (status != JL_OK) return status;
    measure_out(in.spirit, JL_STRENGTH_C, v + SPIRIT);
    v[IN_HAND] = jl_volume_l(in.spirit, JL_STRENGTH_C);
    v[IN_HAND + 1] = jl_spirit_strength_pct(in.spirit);
    v[IN_HAND + 2] = jl_pure_alcohol_l(in.spirit);
    return p->check ? fill_check(p, &in, x, v) : fill_plan(p, &in, v);
}

/* ---- Shown ---- */

static void show_measured_out(show *s, figures *f, const char *heading, size_t at, double temp_c) {
    f->temp_c = temp_c;
    show_heading(s, heading);
    show_figures(s, f, at, at + 3);
}

/* What is added, in its sentences. */
typedef struct added {
    const char *heading, *is_added, *which;
    size_t figures;
} added;

static const added *added_words(const plan *p) {
    static const added WATER = {"Water to add", "The water is added", "water", ADD_WATER},
                       WEAKER = {"Weaker spirit to add", "The weaker spirit is added",
                                 "a weaker spirit", ADD_WEAKER},
                       STRONGER = {"Stronger spirit to add", "The stronger spirit is added",
                                   "a stronger spirit", ADD_STRONGER};
    return p->raise ? &STRONGER : p->weaker ? &WEAKER : &WATER;
}

static void assume_addition(show *s, const plan *p) {
    char temp[48];
    phrase_at(temp, sizeof temp, added_words(p)->is_added, p->other_c);
    show_assumption(s, "%s%s.", temp,
                    p->other_c == JL_STRENGTH_C ? " (default; --water-temp changes it)" : "");
    show_assumption(
        s, "Weighed in air of 1.2 kg/m³ against steel (OIML D 28); densities by OIML R 22.");
}

/* The same water in equal parts: what each makes of it. */
static void show_steps(show *s, const plan *p) {
    static const column COLUMNS[] = {
        {"step", "step", "", 5, 0, COLUMN_NUMBERS},
        {"scale_kg", "add, on a scale", "kg", 16, 4, COLUMN_NUMBERS},
        {"added_l", "by volume", "L", 10, 3, COLUMN_NUMBERS},
        {"strength_pct", "then at 20 °C", "% vol", 14, 2, COLUMN_NUMBERS},
        {"volume_l", "volume at 20 °C", "L", 16, 3, COLUMN_NUMBERS},
    };
    double each[3];
    measure_out(jl_spirit_times(p->addition, 1.0 / p->steps), p->other_c, each);
    show_heading(s, "In equal steps");
    show_table(s, "steps", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (int i = 1; i <= p->steps; i++) {
        jl_spirit now = jl_blend(p->spirit, jl_spirit_times(p->addition, (double)i / p->steps));
        show_cells(s, CELLS(V(i), V(each[0]), V(each[1]), V(jl_spirit_strength_pct(now)),
                            V(jl_volume_l(now, JL_STRENGTH_C))));
    }
}

static void show_plan(show *s, const plan *p, figures *f) {
    if (p->make) show_measured_out(s, f, "Spirit to take", SPIRIT, JL_STRENGTH_C);
    if (jl_mass_kg(p->addition) == 0)
        show_remark(s, "It has that strength already: nothing is to be added.");
    show_measured_out(s, f, added_words(p)->heading, added_words(p)->figures, p->other_c);
    if (p->steps > 1) show_steps(s, p);
    show_heading_at(s, "The result");
    show_figures(s, f, FOUND, TO_ADD);
    if (!p->make) show_figures_in_line(s, f, "in_hand", "From", IN_HAND, IN_HAND + 3);
    assume_addition(s, p);
    show_note(s, "Weigh rather than measure by volume, mix well, let it cool and stand, then take "
                 "a reading and put it in with --check.");
}

static void show_check(show *s, const plan *p, figures *f) {
    assume_instrument(s, &p->instrument, p->reading_unit);
    show_heading_at(s, "The check");
    show_figures(s, f, FOUND, RESULT);
    show_truth(s, "too_weak", p->too_weak);
    if (p->too_weak)
        show_measured_out(s, f,
                          isnan(p->raise_mass_fraction)
                              ? "Too weak: of the spirit in hand at first, add"
                              : "Too weak: of the stronger spirit, add",
                          ADD_STRONGER, JL_STRENGTH_C);
    else if (p->weaker)
        show_measured_out(s, f, "Of the weaker spirit, add another", ADD_WEAKER, p->other_c);
    else
        show_measured_out(s, f, "Water to add now", ADD_WATER, p->other_c);
    show_heading_at(s, "Then");
    show_figures(s, f, RESULT, TO_ADD);
    assume_addition(s, p);
    if (p->as_found)
        show_assumption(s, "No spirit was lost since: the pure alcohol is what the book has in %s.",
                        p->of.vessel);
    else
        show_assumption(s, "No spirit was lost since: the pure alcohol is what went into the mix.");
    show_note(s, "Let warm and gassy spirit rest first: mixing warms it, and bubbles lift the "
                 "instrument so that it shows too little.");
}

/* ---- The words ---- */

/* Option texts as popt leaves them. */
typedef struct words {
    char *to, *water_temp, *bottle, *steps, *with, *raise_with, *make, *check, *at, *time;
    setting_options instrument;
    uncertainty_options uncertainties;
    int write, json;
} words;

static figure_text in_words(double mass_fraction) {
    return figure_in_words(strength_of(mass_fraction), NAN, EXACT + 2, PCT_VOL);
}

/* Why a target cannot be reached by adding what is to be added. */
static int fail_target(const plan *p) {
    const figure_text target = in_words(p->d.target_mass_fraction);
    if (p->d.target_mass_fraction > p->d.strong_mass_fraction)
        return fail(EXIT_NO,
                    "--to %s is %s and the spirit in hand has %s at %s: adding %s can only make it "
                    "weaker. --raise-with 72%% gives how much of another spirit makes it stronger",
                    p->to_text, target.text, in_words(p->d.strong_mass_fraction).text,
                    at_reference(units_seen()), added_words(p)->which);
    return fail(EXIT_NO,
                "--to %s is %s, not above the %s of what is added: no amount of it is enough",
                p->to_text, target.text, in_words(p->d.other_mass_fraction).text);
}

static int read_steps(const char *text, int *steps) {
    double number = *steps;
    int bad = arg_whole("--steps", text, 1, 50, &number);
    if (bad == EXIT_DONE) *steps = (int)number;
    return bad;
}

/* Another spirit, for what is too weak. */
static int read_stronger(const words *w, plan *p) {
    p->raise_mass_fraction = NAN;
    if (w->raise_with == NULL) return 0;
    if (w->with != NULL && w->check == NULL)
        return refuse("expected one of --with and --raise-with");
    int bad = arg_strength("--raise-with", w->raise_with, &p->raise_mass_fraction);
    if (bad != 0 || p->raise_mass_fraction > p->d.target_mass_fraction) return bad;
    return fail(EXIT_NO, "--raise-with %s is not above --to %s: no amount of it is enough",
                w->raise_with, w->to);
}

static int read_plan(const words *w, const jl_settings *bench, plan *p) {
    if (w->to == NULL) return refuse("--to is missing; expected the strength wanted, as --to 40%%");
    int bad = arg_target(w->to, &p->d.target_mass_fraction);
    if (bad == 0 && w->with != NULL)
        bad = arg_strength("--with", w->with, &p->d.other_mass_fraction);
    if (bad == 0) bad = read_stronger(w, p);
    if (bad == 0) bad = arg_value("--water-temp", w->water_temp, JL_TEMPERATURE, &p->other_c);
    if (bad == 0) bad = arg_bottle(w->bottle, bench, &p->bottle_l);
    if (bad == 0) bad = read_steps(w->steps, &p->steps);
    if (bad != 0) return bad;
    if (!(p->other_c >= (p->weaker ? JL_TEMP_MIN_C : 0) && p->other_c <= JL_TEMP_MAX_C))
        return fail_argument("--water-temp", w->water_temp, JL_RANGE,
                             "0 to 40 °C (for --with -20 to 40 °C), as 12C");
    return 0;
}

/* What a spirit may be off that the book was told to have been brought to a strength: water is weighed
 * to a tenth of a gram. */
static const double BROUGHT_PCT = 0.05;

static bool is_as_found(const words *w, const plan *p) {
    return p->check && p->of.vessel != NULL && p->of.whole && w->with == NULL &&
           w->raise_with == NULL &&
           strength_of(p->d.strong_mass_fraction) <
               strength_of(p->d.target_mass_fraction) + BROUGHT_PCT;
}

static int read_in_hand(const words *w, const char *what, plan *p, jl_amount *amount,
                        jl_status *status) {
    given_amount given;
    if (w->make != NULL)
        return refuse(
            "--make goes with a strength, as 'dilute 95%% --to 40%% --make 1L'; '%s' is an amount",
            what);
    int bad = given_read(what, &p->instrument, w->instrument.bench, &given);
    if (bad != 0) return bad;
    *amount = given.amount;
    p->spirit = given.spirit;
    p->of = given.part;
    p->d.strong_mass_fraction = jl_mass_fraction(p->spirit);
    p->raise =
        !isnan(p->raise_mass_fraction) && p->d.strong_mass_fraction < p->d.target_mass_fraction;
    if (p->raise) p->d.other_mass_fraction = p->raise_mass_fraction;
    p->as_found = is_as_found(w, p);
    if (p->as_found) return 0;
    *status =
        jl_bring_to(p->spirit, p->d.other_mass_fraction, p->d.target_mass_fraction, &p->addition);
    return 0;
}

/* The planned volume is then what is measured out. */
static int read_to_make(const words *w, const char *what, plan *p, jl_amount *amount,
                        jl_status *status) {
    double make_l;
    if (w->make == NULL)
        return refuse("'%s' is not an amount; expected 3.2L@72%%, or a strength with --make VOLUME",
                      what);
    int bad = arg_strength("strength", what, &p->d.strong_mass_fraction);
    if (bad == 0)
        bad = arg_above_zero("--make", w->make, JL_VOLUME, "a volume above 0, as 700mL", &make_l);
    if (bad != 0) return bad;
    *status = jl_make_up(&p->d, make_l, &p->spirit, &p->addition);
    if (*status == JL_OK && jl_mass_kg(p->spirit) == 0) *status = JL_NO;
    *amount = (jl_amount){.size = jl_volume_l(p->spirit, JL_STRENGTH_C), .temp_c = JL_STRENGTH_C};
    jl_quantity_read(what, JL_STRENGTH, &amount->strength);
    return 0;
}

/* From an amount in hand, or from a strength and the volume wanted. */
static int read_spirit(const words *w, const char *what, plan *p, jl_amount *amount) {
    jl_status status = JL_OK;
    int bad = is_amount(what) ? read_in_hand(w, what, p, amount, &status)
                              : read_to_make(w, what, p, amount, &status);
    if (bad != 0) return bad;
    if (status == JL_OK && !p->raise && !p->as_found &&
        p->d.target_mass_fraction > p->d.strong_mass_fraction)
        status = JL_NO; /* --with a stronger spirit */
    if (status == JL_NO) return fail_target(p);
    return status == JL_OK ? 0 : fail_argument("amount", what, status, "a smaller amount");
}

/* Of a batch, whether it can be one of what went in. */
static int check_mixed(const words *w, const plan *p, double found) {
    double low = fmin(p->d.strong_mass_fraction, p->d.other_mass_fraction);
    double high = fmax(p->d.strong_mass_fraction, p->d.other_mass_fraction);
    if (found <= high + 1e-9 && found >= low - 1e-9) return 0;
    char gauged[220] = "";
    if (p->of.vessel != NULL)
        snprintf(gauged, sizeof gauged,
                 "; if %.40s shows it as it stands, 'book gauged %.40s VOLUME %.20s %.20s' says so",
                 p->of.vessel, p->of.vessel, w->check, w->at);
    return refuse(
        "--check %s at %s is %s at %s, %s than the %s of what went in: no mixture of these has "
        "that; check the reading, and what was mixed%s",
        w->check, w->at, in_words(found).text, at_reference(units_seen()),
        found > high ? "more" : "less", in_words(found > high ? high : low).text, gauged);
}

/* Of a vessel that was brought to that strength already. */
static int check_found(const words *w, const plan *p, double found) {
    if (!p->too_weak || !(found > 0)) return 0;
    return fail(EXIT_NO,
                "--check %s at %s is %s at %s, below --to %s: water can only make it "
                "weaker. 'book gauged %s VOLUME %s %s' tells the book; --raise-with 72%% gives how "
                "much of another spirit makes it stronger",
                w->check, w->at, in_words(found).text, at_reference(units_seen()), p->to_text,
                p->of.vessel, w->check, w->at);
}

static int read_check(const words *w, plan *p, jl_quantity *reading, double *temp_c) {
    double found;
    if (w->at == NULL)
        return refuse("--check needs the temperature of the liquid; expected --at and %s",
                      jl_quantity_forms(JL_TEMPERATURE));
    int bad = arg_quantity("--check", w->check, JL_STRENGTH, reading);
    if (bad == 0) bad = arg_value("--at", w->at, JL_TEMPERATURE, temp_c);
    if (bad != 0) return bad;
    jl_status status = jl_reading_to_mass_fraction(&p->instrument, *reading, *temp_c, &found);
    if (status != JL_OK)
        return fail_reading(w->check, w->at, &p->instrument, *reading, *temp_c, status);
    p->too_weak = found < p->d.target_mass_fraction;
    bad = p->as_found ? check_found(w, p, found) : check_mixed(w, p, found);
    if (bad != 0) return bad;
    if (found > 0) return 0;
    return fail_argument("--check", w->check, JL_RANGE,
                         "a reading above 0: there is no alcohol in it");
}

static int check_words(const words *w) {
    if (w->check != NULL && w->steps != NULL)
        return refuse("--steps goes without --check: what is still to be added goes in at once");
    if (w->check == NULL && w->at != NULL)
        return refuse("--at goes with --check; an amount says its own: 3.2L@72.5%%@24C");
    return 0;
}

/* All that is measured, in the order in which it is. */
static void measure(plan *p, jl_measuring *by, jl_amount amount, jl_quantity other,
                    jl_quantity stronger, jl_quantity reading, double temp_c) {
    double scale_kg = jl_scale_kg(p->addition, p->other_c);
    p->in_hand = jl_measure_amount(by, amount, &p->instrument);
    p->other = p->weaker || p->raise ? jl_measure_strength(by, other) : (jl_measured){.value = 0};
    p->other_unit = other.unit;
    p->added_kg =
        scale_kg > 0 ? jl_measure(by, JL_BY_SCALE, scale_kg, 1) : (jl_measured){.value = 0};
    if (!p->check) return;
    if (!isnan(p->raise_mass_fraction)) p->stronger = jl_measure_strength(by, stronger);
    p->stronger_unit = stronger.unit;
    p->reading = jl_measure_strength(by, reading);
    p->reading_unit = reading.unit;
    p->temp = jl_measure(by, JL_BY_THERMOMETER, temp_c, 1);
}

static int read_all(const words *w, const char *what, jl_measuring *by, plan *p) {
    jl_amount amount;
    jl_quantity other = {0, JL_UNIT_PCT_VOL}, reading = other, stronger = other;
    double temp_c = JL_STRENGTH_C;
    jl_settings bench;
    int bad = instruments_read(&w->instrument, &bench);
    p->instrument = instrument_of(&bench);
    if (bad == 0) bad = read_plan(w, &bench, p);
    if (bad == 0) bad = read_spirit(w, what, p, &amount);
    if (bad == 0) answer_by_amount(&amount);
    if (bad == 0 && p->check) bad = read_check(w, p, &reading, &temp_c);
    if (bad == 0) bad = check_words(w);
    if (bad != 0) return bad;
    if (p->weaker) jl_quantity_read(w->with, JL_STRENGTH, &other);
    if (w->raise_with != NULL) jl_quantity_read(w->raise_with, JL_STRENGTH, &stronger);
    measure(p, by, amount, p->raise ? stronger : other, stronger, reading, temp_c);
    return 0;
}

/* ---- Into the book ---- */

static int check_do(const words *w, const plan *p) {
    if (!w->write) return w->time == NULL ? EXIT_DONE : refuse("--time goes with --do");
    if (p->of.vessel == NULL || !p->of.whole)
        return refuse("--do writes water into a vessel of the book; expected all that one holds, "
                      "as house.csv:demijohn-3");
    if (w->check != NULL || w->with != NULL || w->steps != NULL)
        return refuse("--do writes the water at once; expected no --check, --with or --steps");
    if (jl_mass_kg(p->addition) == 0)
        return fail(EXIT_NO, "%s has that strength already: nothing is to be added", p->of.vessel);
    return EXIT_DONE;
}

/* The water as it is weighed, by what the book holds now: another may have written meanwhile. */
static int pour_water(const words *w, const plan *p, jl_book_file *f) {
    const jl_book_vessel *v = jl_book_vessel_named(jl_book_in(f), p->of.vessel);
    jl_book_entry e = JL_BOOK_BLANK(JL_BOOK_WATER);
    e.into = p->of.vessel;
    if (v == NULL || v->spirit.ethanol_kg != p->spirit.ethanol_kg ||
        v->spirit.water_kg != p->spirit.water_kg)
        return fail(EXIT_BUSY, "%s: %s was changed meanwhile; try again", p->of.path, p->of.vessel);
    e.measured.weight_kg = round(1e4 * jl_scale_kg(p->addition, p->other_c)) / 1e4;
    if (p->other_c != JL_STRENGTH_C) e.measured.temp_c = p->other_c;
    known_when known;
    int bad = entry_moment(w->time, false, &e, &known);
    if (bad == EXIT_DONE) settle_when(jl_book_in(f), known, &e);
    return bad == EXIT_DONE ? book_write(p->of.path, f, &e) : bad;
}

static int write_water(const words *w, const plan *p, jl_book_file **f) {
    int bad = check_do(w, p);
    if (bad != EXIT_DONE || !w->write) return bad;
    bad = book_open_to_write(p->of.path, f);
    if (bad != EXIT_DONE) return bad;
    bad = pour_water(w, p, *f);
    if (bad != EXIT_DONE) jl_book_close(*f);
    return bad;
}

/* ---- The command ---- */

/* What a vessel of the book is to hold: first the book is told, then it is measured. */
static void suggest_for_vessel(show *s, const words *w, const plan *p, const char *what) {
    next_command next = {"jarline dilute"};
    if (w->write) next = (next_command){"jarline book"};
    next_word(&next, w->write ? p->of.path : what);
    if (w->write) {
        next_word(&next, "gauged");
        next_word(&next, p->of.vessel);
        next_word(&next, "VOLUME");
        next_word(&next, "READING");
        next_word(&next, "TEMPERATURE");
    } else {
        next_option(&next, "to", w->to);
        next_option(&next, "water-temp", w->water_temp);
        next_flag(&next, "do");
    }
    show_next_command(s, &next);
}

/* What was read of a vessel is told to the book before more water is. */
static void suggest_gauging(show *s, const words *w, const plan *p) {
    next_command next = {"jarline book"};
    next_word(&next, p->of.path);
    next_word(&next, "gauged");
    next_word(&next, p->of.vessel);
    next_word(&next, "VOLUME");
    next_word(&next, w->check);
    next_word(&next, w->at);
    show_next_command(s, &next);
}

/* A reading after mixing, of a batch that is mixed at once. */
static void suggest_check(show *s, const words *w, const plan *p, const char *what) {
    next_command next = {"jarline dilute"};
    if (p->as_found) suggest_gauging(s, w, p);
    if (w->check != NULL || w->make != NULL || w->steps != NULL || jl_mass_kg(p->addition) == 0)
        return;
    if (p->of.vessel != NULL && p->of.whole && !p->weaker) {
        suggest_for_vessel(s, w, p, what);
        return;
    }
    next_word(&next, what);
    next_option(&next, "to", w->to);
    next_option(&next, "with", w->with);
    next_option(&next, "raise-with", w->raise_with);
    next_option(&next, "check", "READING");
    next_option(&next, "at", "TEMPERATURE");
    show_next_command(s, &next);
}

static int show_answer(const words *w, const char *what, uncertainty *u, plan *p, figures *f,
                       const jl_book_file *book) {
    show *s = show_open(w->json != 0);
    (p->check ? show_check : show_plan)(s, p, f);
    if (book != NULL) {
        show_group(s, "in_book", "In the book");
        show_last_entry(s, book, NULL);
        show_group_end(s);
    }
    int bad = show_uncertainty(s, u, f, fill, p);
    if (bad != 0) return show_abandon(s, bad);
    if (p->check && uncertainty_wanted(u) && fabs(f->values[TO_ADD_NOW]) < f->expanded[TO_ADD_NOW])
        show_warning(s, "What would be added is less than its own uncertainty: this reading shows "
                        "no difference from the strength that was asked for.");
    suggest_check(s, w, p, what);
    return book == NULL ? show_close(s, EXIT_DONE) : close_entry(s, p->of.path, book);
}

static int answer_plan(const words *w, const char *what, uncertainty *u, plan *p) {
    double values[FIGURES] = {0}, expanded[FIGURES], standard[FIGURES];
    jl_book_file *book = NULL;
    uncertainty_for_digits(u);
    int bad = read_all(w, what, &u->by, p);
    if (bad != 0) return bad;
    jl_status status = fill(NULL, values, p);
    if (status == JL_OK && p->check && values[ADD_WATER] < 0) status = JL_NO;
    if (status == JL_NO) return fail_target(p);
    if (status != JL_OK) return fail_argument("amount", what, status, "a smaller amount");
    bad = write_water(w, p, &book);
    if (bad != 0) return bad;
    figures f = {LIST, FIGURES, values, .expanded = expanded};
    f.of = (p->check ? CHECK : PLAN) | (p->bottle_l > 0 ? BOTTLED : 0);
    figures_take_digits(u, &f, standard, fill, p);
    figures_measured(&f, standard, IN_HAND, IN_HAND + 2);
    figures_measured(&f, standard, p->check ? VOLUME_NOW : VOLUME, PURE);
    if (fabs(values[PURE] - values[IN_HAND + 2]) < 1e-9) /* water adds none */
        standard[PURE] = standard[IN_HAND + 2];
    standard[IN_HAND + 1] = standard[STRENGTH] = standard[FOUND] = standard[RESULT] = 0;
    bad = show_answer(w, what, u, p, &f, book);
    jl_book_close(book);
    return bad;
}

static int answer(const words *w, const char *what, uncertainty *u) {
    plan p = {.to_text = w->to,
              .other_c = JL_STRENGTH_C,
              .make = w->make != NULL,
              .weaker = w->with != NULL,
              .check = w->check != NULL};
    int bad = answer_plan(w, what, u, &p);
    part_free(&p.of);
    return bad;
}

int command_dilute(int argc, const char **argv) {
    words w = {.instrument.in_its_units = true};
    const struct poptOption table[] = {
        OPTION("to", &w.to, "STRENGTH", "the strength wanted, at 20 °C"),
        OPTION("water-temp", &w.water_temp, "TEMP", "of the water, for its volume (20C)"),
        OPTION("with", &w.with, "STRENGTH", "add a weaker spirit of this strength, not water"),
        OPTION("raise-with", &w.raise_with, "STRENGTH",
               "for what is too weak: add a stronger spirit of this strength"),
        OPTION("make", &w.make, "VOLUME", "with a STRENGTH: the volume wanted at 20 °C"),
        OPTION("bottle", &w.bottle, "VOLUME", "count bottles of this volume"),
        OPTION("steps", &w.steps, "N", "add it in N equal parts"),
        OPTION("check", &w.check, "READING", "a reading after mixing: what is still to be added"),
        OPTION("at", &w.at, "TEMP", "temperature of the liquid at that reading"),
        FLAG("do", &w.write, "of a vessel of the book: write the water into the book"),
        OPTION("time", &w.time, "TIME", "with --do: when it was added (now)"),
        BENCH_OPTION(w.instrument),
        INSTRUMENT_OPTIONS(w.instrument),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        JSON_LAST(&w.json),
    };
    args a;
    uncertainty u = {0};
    if (args_read(&a, argc, argv, table, "AMOUNT --to STRENGTH [--make VOLUME]",
                  "Water to bottling strength: 3.2L@72% --to 40% --bottle 700mL; or of a\n"
                  "strength to a volume: 72% --to 40% --make 5L")) {
        if (a.count != 1)
            a.exit_status = fail_count(&a, 1, "one amount or strength, as 3.2L@72%, and --to 40%");
        else if ((a.exit_status = uncertainty_read(&w.uncertainties, &w.instrument, &u)) == 0)
            a.exit_status = answer(&w, a.words[0], &u);
    }
    uncertainty_free(&u);
    return args_close(&a);
}
