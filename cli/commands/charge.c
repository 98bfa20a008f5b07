/* charge: how a wash goes into the boiler, load by load.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/charge.h"
#include "answer/assume.h"
#include "answer/figures.h"
#include "answer/next.h"
#include "answer/output.h"
#include "answer/say.h"
#include "command.h"
#include "input/part.h"
#include "still/from_settings.h"

#include <string.h>

typedef struct words {
    char *from, *fill, *sediment, *taken, *loads, *feints;
    char *carry, *empty_mass, *lift, *title;
    setting_options with; /* the still: its boiler, and the least liquid in it */
    output_options output;
    int full, json;
} words;

/* The words, read, and what they come to. */
typedef struct charging {
    double boiler_l, lift_kg;
    bool taken_given, lift_given;
    given_amount wash;
    jl_spirit feints;
    still_settings still;
    jl_charge_plan plan;
    jl_lifting lifting;
    jl_charge charge;
    jl_load load, last; /* last: a smaller one, when there is one */
} charging;

/* Common practice, no source. */
static const double USUAL_LIFT_KG = 25;

/* ---- reading ---- */

/* A plan is all of its loads. */
static void take_wash(charging *c) {
    c->plan.wash_l = c->wash.part.planned ? charge_facts_all_l(&c->wash.part.plan)
                                          : jl_volume_l(c->wash.spirit, JL_STRENGTH_C);
    c->plan.strength_pct = jl_spirit_strength_pct(c->wash.spirit);
}

static int read_wash(const words *w, const args *a, charging *c) {
    const char *const *rest = a->words;
    if ((w->from != NULL) + a->count != 1)
        return fail_count(
            a, w->from == NULL ? 1 : 0,
            "one wash, as 27L@11.8%, wash.csv or --charge-from FILE, and the boiler's "
            "volume as --boiler-size 30L");
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    const char *at = a->count == 0 ? NULL : strchr(rest[0], '@');
    if (at != NULL && strchr(at + 1, '@') != NULL)
        return refuse("'%s': an alcoholometer cannot read a wash; expected its strength, as "
                      "27L@11.8%%, from 'jarline wash'",
                      rest[0]);
    int bad =
        given_charge(a->count == 0 ? NULL : rest[0], w->from, &instrument, w->with.bench, &c->wash);
    if (bad != 0) return bad;
    take_wash(c);
    return w->feints == NULL ? 0 : arg_spirit(w->feints, &instrument, w->with.bench, &c->feints);
}

/* Of two sources; one file is refused where it is read. */
static int refuse_high_mark(const words *w, const charging *c) {
    const char *mark = w->with.words[JL_KEY_MARK];
    if (mark != NULL)
        return fail_argument("--mark", mark, JL_RANGE, "a mark within the boiler's volume");
    return refuse("--boiler-size: the mark of %.6g L (%s) is above the boiler's %.6g L; expected "
                  "--mark too",
                  c->plan.mark_l, c->still.all.of[JL_KEY_MARK].source, c->boiler_l);
}

static int read_mark(const words *w, charging *c) {
    double fill = NAN;
    if (w->with.words[JL_KEY_MARK] != NULL && w->fill != NULL)
        return refuse("--mark and --fill say the same in two ways; expected one of them");
    int bad = still_settings_read(&w->with, c->plan.strength_pct, &c->still);
    if (bad == 0)
        bad = arg_above_zero("--fill", w->fill, JL_SHARE, "a share above 0, as 67%", &fill);
    if (bad != 0) return bad;
    c->boiler_l = jl_setting_value(&c->still.all, JL_KEY_BOILER);
    c->plan.mark_l = isnan(fill) ? jl_settings_to_mark_l(&c->still.all) : fill * c->boiler_l;
    if (isnan(c->plan.mark_l))
        return refuse("--boiler-size is missing; expected the volume of the boiler, as "
                      "--boiler-size 30L, or boiler_l in the bench file");
    return c->plan.mark_l > c->boiler_l ? refuse_high_mark(w, c) : 0;
}

static int read_loads(const words *w, charging *c) {
    double loads = 0;
    c->plan.full = w->full != 0;
    c->taken_given = w->taken != NULL;
    int bad = arg_value("--taken-off", w->taken, JL_SHARE, &c->plan.taken_share);
    if (bad == 0) bad = arg_whole("--loads", w->loads, 1, 1000, &loads);
    if (bad == 0) bad = arg_value("--sediment", w->sediment, JL_VOLUME, &c->plan.sediment_l);
    if (bad != 0) return bad;
    c->plan.covered_l = c->still.still.min_liquid_l;
    if (!(c->plan.taken_share < 1))
        return fail_argument("--taken-off", w->taken, JL_RANGE, "a share below 100%, as 33%");
    c->plan.loads = (size_t)loads;
    /* A wash without alcohol gives nothing. */
    if (w->taken == NULL && c->plan.strength_pct > 0 &&
        jl_charge_taken_in(&c->still.still, &c->still.plan, c->plan.strength_pct,
                           &c->plan.taken_share) != JL_OK)
        return refuse("a charge of %.4g %% vol has no forecast; expected --taken-off, as 33%%",
                      c->plan.strength_pct);
    return 0;
}

static int read_lifting(const words *w, charging *c) {
    c->lifting = (jl_lifting){NAN, NAN};
    c->lift_kg = USUAL_LIFT_KG;
    c->lift_given = w->lift != NULL;
    int bad = arg_above_zero("--carry", w->carry, JL_VOLUME, "a volume above 0, as 5L",
                             &c->lifting.carry_l);
    if (bad == 0) bad = arg_value("--empty-mass", w->empty_mass, JL_MASS, &c->lifting.empty_kg);
    if (bad != 0) return bad;
    return arg_above_zero("--lift", w->lift, JL_MASS, "a mass above 0, as 15kg", &c->lift_kg);
}

/* ---- refusals ---- */

static const char *by_forecast(const charging *c) {
    const jl_still *still = &c->still.still;
    return still->stages == 1 && still->reflux_ratio == 0 && still->schedule_count == 0
               ? "by the forecast of a plain pot"
               : "by the forecast of this still";
}

static int refuse_mark(const charging *c, const jl_charge_bounds *b) {
    double available_l = c->plan.wash_l - c->plan.sediment_l;
    if (c->plan.full)
        return fail(
            EXIT_NO,
            "--loads %zu: full loads of %.2f L need %.2f L, and %.2f L are there: %zu at the most",
            c->plan.loads, c->plan.mark_l, (double)c->plan.loads * c->plan.mark_l, available_l,
            b->loads);
    return fail(EXIT_NO,
                "--loads %zu: a load of %.2f L is above the %.2f L that the boiler may take; %zu "
                "loads are the fewest",
                c->plan.loads, b->load_l, c->plan.mark_l, b->loads);
}

static int refuse_bare(const charging *c, const jl_charge_bounds *b) {
    double available_l = c->plan.wash_l - c->plan.sediment_l;
    return fail(EXIT_NO,
                "a load of %.2f L ends at %.2f L when %.3g %% of it is taken off (%s), and %.2f L "
                "must cover the element: that needs a load of %.2f L%s",
                b->load_l, b->load_l * (1 - c->plan.taken_share), 100 * c->plan.taken_share,
                c->taken_given ? "--taken-off" : by_forecast(c), c->plan.covered_l, b->least_load_l,
                b->least_load_l > c->plan.mark_l * (1 + 1e-9) ? ", which is above the mark"
                : c->plan.full && b->load_l >= c->plan.mark_l ? ""
                : available_l < b->least_load_l               ? ", more wash than there is"
                                                : "; full loads and a rest (--full) may do");
}

static int refuse_charge(const charging *c, jl_status status) {
    jl_charge_bounds bounds;
    if (status == JL_MISSING)
        return fail(EXIT_NO,
                    "all of the wash, %.6g L, stays behind as sediment (--sediment): nothing is "
                    "left to charge",
                    c->plan.wash_l);
    if (jl_charge_bounds_of(&c->plan, &bounds) == JL_OK)
        return status == JL_CONFLICT ? refuse_mark(c, &bounds) : refuse_bare(c, &bounds);
    return refuse(
        "%.6g L of wash at %.6g L a load: out of range; expected no more than a million loads",
        c->plan.wash_l - c->plan.sediment_l, c->plan.mark_l);
}

static int compute(charging *c) {
    jl_status status = jl_charge_loads(&c->plan, &c->charge);
    if (status == JL_OK) status = jl_charge_load(&c->plan, &c->lifting, c->charge.load_l, &c->load);
    if (status == JL_OK && c->charge.last_l > 0)
        status = jl_charge_load(&c->plan, &c->lifting, c->charge.last_l, &c->last);
    return status == JL_OK ? 0 : refuse_charge(c, status);
}

/* ---- the answer ---- */

static double known(double value) {
    return value > 0 ? value : NAN;
}

static double pure_u_l(const charging *c, double volume_l) {
    return digits_charged(volume_l, c->plan.strength_pct, c->wash.part.strength_u_pct);
}

static void show_load(show *s, const charging *c, size_t first, size_t last, const jl_load *load) {
    show_cells(s,
               CELLS(v_range((uint32_t)first, (uint32_t)last), V(load->volume_l),
                     v_known_to(load->pure_alcohol_l, pure_u_l(c, load->volume_l), 3),
                     V(load->mass_kg), V(load->boiler_kg), V(load->carries), V(load->ends_at_l)));
}

static void show_loads(show *s, const charging *c) {
    static const column COLUMNS[] = {
        {"load", "load", "", 6, 0, COLUMN_WORDS},
        {"volume_l", "volume", "L", 8, 3, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure alcohol", "L", 12, 3, COLUMN_NUMBERS},
        {"mass_kg", "mass", "kg", 7, 1, COLUMN_NUMBERS},
        {"boiler_kg", "with boiler", "kg", 11, 1, COLUMN_NUMBERS},
        {"carries", "carries", "", 7, 0, COLUMN_NUMBERS},
        {"ends_at_l", "run ends at", "L", 11, 3, COLUMN_NUMBERS},
    };
    size_t loads = c->charge.loads;
    show_heading(s, "Each load, volumes at 20 °C");
    show_table(s, "loads", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_load(s, c, 1, loads, &c->load);
    if (c->charge.last_l > 0) show_load(s, c, loads + 1, loads + 1, &c->last);
}

/* Which of the figures an answer has; in text none that is nothing. */
enum { ALWAYS = 1, UNCERTAIN = 2, SEDIMENT = 4, LEFT_OVER = 8, STAYS_BEHIND = 16 };

static const figure WASH[] = {
    {"load_count", "Loads", "", 0},
    {"strength_pct", "Strength of the wash, at 20 °C", "% vol", 2},
    {"strength_expanded_pct", "  ± (k = 2)", "% vol", EXACT + 2, .text_of = UNCERTAIN},
    {"wash_l", "Wash, at 20 °C", "L", 3},
    {"sediment_l", "  stays behind as sediment", "L", 3, .text_of = SEDIMENT},
    {"available_l", "  to the boiler", "L", 3, .text_of = SEDIMENT},
    {"wash_left_over_l", "  left over, in no load", "L", 3, .text_of = LEFT_OVER},
    {"pure_alcohol_l", "Pure alcohol in all loads", "L", 3},
    {"pure_alcohol_expanded_l", NULL, "L", EXACT + 2}, /* the strength has it */
    {"stays_pure_alcohol_l", "  stays behind or left over", "L", 3, .text_of = STAYS_BEHIND},
    {"most_l", "A load may take at most", "L", 3},
};
enum { IN_LOADS = 7, STAYS = 9, WASH_COUNT = sizeof WASH / sizeof WASH[0] };

static const figure CARRY[] = {
    {"carry_l", "", "L", 3}, {"carry_kg", "", "kg", 1}, /* without the vessel */
};

static void show_wash(show *s, const charging *c) {
    const jl_charge *x = &c->charge;
    double expanded_pct = JL_COVERAGE_K * known(c->wash.part.strength_u_pct);
    double values[WASH_COUNT] = {(double)x->loads + (x->last_l > 0 ? 1 : 0),
                                 c->plan.strength_pct,
                                 expanded_pct,
                                 c->plan.wash_l,
                                 c->plan.sediment_l,
                                 x->available_l,
                                 x->left_over_l,
                                 x->pure_alcohol_l,
                                 expanded_pct / 100 * (x->available_l - x->left_over_l),
                                 x->stays_pure_alcohol_l,
                                 c->plan.mark_l};
    double standard[WASH_COUNT] = {[IN_LOADS] = pure_u_l(c, x->available_l - x->left_over_l),
                                   [STAYS] = pure_u_l(c, c->plan.sediment_l + x->left_over_l)};
    figures f = {WASH, WASH_COUNT, values,
                 .of = ALWAYS | (isnan(expanded_pct) ? 0 : UNCERTAIN) |
                       (c->plan.sediment_l > 0 ? SEDIMENT : 0) |
                       (x->left_over_l > 0 ? LEFT_OVER : 0) |
                       (x->stays_pure_alcohol_l > 0 ? STAYS_BEHIND : 0),
                 .standard = standard};
    show_figures(s, &f, 0, WASH_COUNT);
}

static void show_carry(show *s, const charging *c) {
    double values[] = {c->load.carry_l, c->load.carry_kg};
    const figures f = {CARRY, 2, values};
    if (!isnan(c->load.carry_l)) show_figures_in_line(s, &f, NULL, "A full carry", 0, 2);
}

static void assume(show *s, const words *w, const charging *c) {
    static const jl_key_id OF_BOILER[] = {JL_KEY_BOILER, JL_KEY_MIN_LIQUID, JL_KEY_MARK};
    assume_of_file(s, &c->still.all, OF_BOILER, w->fill == NULL ? 3 : 2);
    if (!jl_is_stated(&c->still.all, JL_KEY_MARK) && w->fill == NULL)
        show_assumption(s,
                        "No mark on the boiler: two thirds of its %g L are filled at most "
                        "(default; laboratory practice for what foams; --mark, --fill).",
                        c->boiler_l);
    if (w->sediment == NULL)
        show_assumption(s, "Nothing stays behind as sediment (default; --sediment).");
    if (!jl_is_stated(&c->still.all, JL_KEY_MIN_LIQUID))
        show_assumption(s, "No heating element has to stay covered (default; --min-liquid).");
    show_assumption(s, "A run takes off %.3g %% of a load's volume%s%s%s.",
                    100 * c->plan.taken_share, w->taken == NULL ? " (" : "",
                    w->taken == NULL ? by_forecast(c) : "",
                    w->taken == NULL ? " to its stop; --taken-off)" : "");
    show_assumption(s, "Masses are of ethanol and water of that strength (OIML R 22); what is "
                       "dissolved in the wash adds a little.");
    if (w->empty_mass == NULL)
        show_assumption(s, "The boiler's own mass is not known (--empty-mass).");
}

static void caution(show *s, const charging *c) {
    bool alone = isnan(c->load.boiler_kg);
    double boiler_kg = alone ? c->load.mass_kg : c->load.boiler_kg;
    if (boiler_kg > c->lift_kg)
        show_caution(s, "The full boiler is %.1f kg%s, above %.3g kg: fill it where it stands.",
                     boiler_kg, alone ? " and its own mass" : "", c->lift_kg);
    if (c->load.carry_kg > c->lift_kg)
        show_caution(s, "A carry is %.1f kg, above %.3g kg: take smaller ones.", c->load.carry_kg,
                     c->lift_kg);
    if (!c->lift_given)
        show_standing_caution(
            s,
            "%.3g kg is a usual limit for one person's lift at waist height. Less when you hold it "
            "away from the body, reach, bend, twist or climb (general guidance, from memory; "
            "--lift). What your doctor or your authority says comes first.",
            c->lift_kg);
    show_standing_caution(s, "After a run the boiler and what is in it scald: let it cool. Drain "
                             "it where it stands, and never move it hot.");
    show_standing_caution(s, "The mark is for cold wash: never above it. Water grows by 3.4 %% "
                             "from 20 to 90 °C (IAPWS-95), and a wash foams besides.");
}

static int write_plan(const words *w, const charging *c) {
    char title[96];
    charge_facts f = CHARGE_FACTS;
    const jl_charge *x = &c->charge;
    snprintf(title, sizeof title, "Load of %.4g L, %.1f %% vol", x->load_l, c->plan.strength_pct);
    f.title = w->title == NULL ? title : w->title;
    f.origin = "Written by jarline charge: each load, volumes and strengths at 20 °C.";
    f.vessel = c->wash.part.vessel;
    f.charge_l = x->load_l;
    f.charge_strength_pct = c->plan.strength_pct;
    f.charge_strength_u_pct = known(c->wash.part.strength_u_pct);
    f.loads = (double)x->loads;
    f.last_load_l = known(x->last_l);
    f.sediment_l = c->plan.sediment_l;
    f.mark_l = c->plan.mark_l;
    f.min_liquid_l = known(c->plan.covered_l);
    if (jl_mass_kg(c->feints) > 0) {
        f.feints_l = jl_volume_l(c->feints, JL_STRENGTH_C);
        f.feints_strength_pct = jl_spirit_strength_pct(c->feints);
    }
    return write_charge(&w->output, &f);
}

/* A wash whose low wines are enough for a spirit run. */
static bool is_stripped(const charging *c) {
    double stripped_l = (double)c->charge.loads * c->charge.load_l + c->charge.last_l;
    double pool_l = c->plan.taken_share * stripped_l + jl_volume_l(c->feints, JL_STRENGTH_C);
    return c->plan.strength_pct < JL_CUTS_FROM_PCT && pool_l > c->plan.covered_l;
}

/* A wash is stripped, with what was planned for it; anything stronger is not. */
static void suggest_forecast(show *s, const words *w, const charging *c) {
    next_command next = {"jarline forecast"};
    if (w->output.path == NULL && c->wash.part.wash) {
        char load[512];
        snprintf(load, sizeof load, "%s:%.4gL", c->wash.part.path, c->charge.load_l);
        next_word(&next, load);
    } else if (w->output.path == NULL)
        next_amount(&next, c->charge.load_l, c->plan.strength_pct);
    else {
        if (is_stripped(c)) next_flag(&next, "strip");
        next_word(&next, w->output.path);
    }
    show_next_command(s, &next);
}

static int answer(const words *w, const args *a) {
    charging c = {0};
    if (w->title != NULL && w->output.path == NULL)
        return refuse("--title goes with -o, as -o load.csv");
    int bad = read_wash(w, a, &c);
    if (bad == 0) bad = read_mark(w, &c);
    if (bad == 0) bad = read_loads(w, &c);
    if (bad == 0) bad = read_lifting(w, &c);
    if (bad == 0) bad = compute(&c);
    if (bad == 0 && w->output.path != NULL) bad = write_plan(w, &c);
    if (bad != 0) {
        given_free(&c.wash);
        return bad;
    }
    show *s = show_open(w->json != 0);
    show_wash(s, &c);
    show_loads(s, &c);
    show_carry(s, &c);
    assume(s, w, &c);
    caution(s, &c);
    show_written(s, &w->output);
    if (w->output.path != NULL && c.charge.last_l > 0)
        show_remark(s, "Its charge is a full load; the last one of %.2f L stands beside it.",
                    c.charge.last_l);
    suggest_forecast(s, w, &c);
    given_free(&c.wash);
    return show_close(s, EXIT_DONE);
}

int command_charge(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("charge-from", &w.from, "FILE", "the wash, as 'wash -o' wrote it, or its log"),
        KEY_OPTION(JL_KEY_BOILER, w.with.words),
        KEY_OPTION(JL_KEY_MARK, w.with.words),
        OPTION("fill", &w.fill, "SHARE", "without a mark: of its volume (2/3)"),
        OPTION("sediment", &w.sediment, "VOLUME", "what stays in the fermenter"),
        KEY_OPTION(JL_KEY_MIN_LIQUID, w.with.words),
        OPTION("feints", &w.feints, "AMOUNT", "that will join the low wines: 1.5L@45%"),
        OPTION("taken-off", &w.taken, "SHARE",
               "of a load's volume that a run takes off (by forecast)"),
        OPTION("loads", &w.loads, "N", "so many loads (as few as the mark allows)"),
        FLAG("full", &w.full, "full loads and a rest, not even ones"),
        OPTION("carry", &w.carry, "VOLUME", "of the vessel that fills the boiler"),
        OPTION("empty-mass", &w.empty_mass, "MASS", "of the boiler"),
        OPTION("lift", &w.lift, "MASS", "the most that you lift (25kg)"),
        BENCH_OPTION(w.with),
        OPTION("still", &w.with.still, "FILE", "the still's settings, where they are in a file"),
        STILL_NAME_OPTION(w.with),
        OUTPUT_OPTIONS(w.output, "the plan, for forecast, start and book"),
        OPTION("title", &w.title, "TEXT", "of that file"),
        JSON_LAST(&w.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "AMOUNT --boiler-size VOLUME",
                  "How a wash goes into the boiler: 27L@11.8% --boiler-size 30L --mark 25L"))
        a.exit_status = answer(&w, &a);
    return args_close(&a);
}
