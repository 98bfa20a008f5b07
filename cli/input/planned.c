/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/planned.h"
#include "answer/assume.h"
#include "answer/digits.h"
#include "answer/say.h"
#include "answer/units.h"
#include "still/from_settings.h"

void planned_take(planned *p, const setting_options *with, const file_part *of) {
    double min_liquid_l = of->planned ? of->plan.min_liquid_l : NAN;
    if (isnan(min_liquid_l) || with->words[JL_KEY_MIN_LIQUID] != NULL) return;
    p->settings.still.min_liquid_l = min_liquid_l;
    jl_settings_number(&p->settings.all, JL_KEY_MIN_LIQUID, min_liquid_l, JL_FROM_FILE, of->path);
}

int planned_jars(const planned *p, jl_forecast_jars *all) {
    jl_status status = jl_forecast_all(&p->settings.still, p->charge, &p->settings.plan, all);
    return status == JL_OK ? 0 : planned_fail(p, status);
}

/* ---- What runs taught ---- */

static void show_row(show *s, const char *key, const char *label, jl_estimate e, const char *unit) {
    int decimals = digits_of_estimate(e, 3);
    show_cells(s, CELLS(V(key), V(label), v_with(e.value, decimals), v_with(e.low, decimals),
                        v_with(e.high, decimals), V(unit)));
}

static jl_estimate times(jl_estimate e, double by) {
    return (jl_estimate){by * e.value, by * e.low, by * e.high};
}

/* On all that is known of the still, number of stages by number of stages. */
static void show_ahead(const planned *p, show *s) {
    jl_ahead_plan plan;
    jl_ahead a;
    const still_settings *of = &p->settings;
    char hearts[80], stop[80];
    if (of->learnt.count == 0 ||
        jl_plan_ahead(&of->all, p->charge, &of->learnt, NULL, &plan, &a) != JL_OK)
        return;
    snprintf(hearts, sizeof hearts, "Pure alcohol until %s",
             figure_short(plan.hearts_end_pct, EXACT + 2, PCT_VOL).text);
    snprintf(stop, sizeof stop, "Pure alcohol until %s",
             figure_short(plan.stop_pct, EXACT + 2, PCT_VOL).text);
    if (plan.hearts_end_pct != plan.stop_pct)
        show_row(s, "until_hearts_end_pure_alcohol_l", hearts, a.hearts_pure_l, "L");
    show_row(s, "until_stop_pure_alcohol_l", stop, a.stop_pure_l, "L");
    show_row(s, "until_stop_l", "  distillate, in the jug's litres", a.stop_l, "L");
    show_row(s, "until_stop_h", "  from the first drop", times(a.stop_s, 1.0 / 3600), "h");
}

static void show_balance(const planned *p, jl_spirit collected, show *s) {
    const jl_settings *all = &p->settings.all;
    double share = jl_setting_value(all, JL_KEY_NOT_RECOVERED);
    double u = JL_COVERAGE_K * jl_setting_value(all, JL_KEY_NOT_RECOVERED_U);
    double part = jl_pure_alcohol_l(p->charge), all_l = jl_pure_alcohol_l(collected);
    if (isnan(share)) return;
    show_row(s, "not_recovered_pct",
             share < 0 ? "My runs bring more, of the charge" : "My runs bring less, of the charge",
             (jl_estimate){100 * fabs(share), 100 * (fabs(share) - u), 100 * (fabs(share) + u)},
             "%");
    show_row(
        s, "my_runs_pure_alcohol_l", "  pure alcohol of all jars then",
        (jl_estimate){all_l - part * share, all_l - part * (share + u), all_l - part * (share - u)},
        "L");
}

void planned_show_learnt(const planned *p, jl_spirit collected, show *s) {
    static const column COLUMNS[] = {
        {"figure", NULL, "", 0, 0, COLUMN_WORDS},     {NULL, "by my runs", "", 34, 0, COLUMN_WORDS},
        {"value", "value", "", 7, 3, COLUMN_NUMBERS}, {"low", "from", "95 %", 7, 3, COLUMN_NUMBERS},
        {"high", "to", "95 %", 7, 3, COLUMN_NUMBERS}, {"unit", "", "", 3, 0, COLUMN_WORDS},
    };
    if (p->settings.learnt.count == 0 && !p->settings.all.of[JL_KEY_NOT_RECOVERED].has) return;
    show_table(s, "by_my_runs", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    show_ahead(p, s);
    show_balance(p, collected, s);
}

void planned_assume(const planned *p, show *s) {
    assume_still(s, &p->settings.all, &p->settings.plan);
    show_assumption(s, "A forecast by equilibrium stages: nothing held up in the head, no "
                       "entrainment, no heat lost in the head; a wash is taken as ethanol and "
                       "water.");
    show_assumption(s, "Vapour by NRTL fitted to published data, which differ among themselves by "
                       "up to 0.018 mole fraction; stages by McCabe and Thiele.");
}

void planned_warn_full(const planned *p, jl_spirit charge, show *s) {
    const jl_settings *all = &p->settings.all;
    double mark_l = jl_settings_to_mark_l(all), charge_l = jl_volume_l(charge, JL_STRENGTH_C);
    if (!(charge_l > mark_l * (1 + 1e-9))) return; /* where one is known */
    show_warning(s, "A charge of %s is above the %s that this boiler takes, %s.",
                 figure_short(charge_l, 3, "L").text, figure_short(mark_l, 3, "L").text,
                 jl_is_stated(all, JL_KEY_MARK) ? "its mark" : "two thirds of it");
}

int planned_fail_element(const planned *p) {
    return fail(EXIT_NO,
                "%.4g L of %s do not cover the heating element, which needs %.6g L "
                "(--min-liquid, or %s in a file)",
                jl_volume_l(p->charge, JL_STRENGTH_C),
                p->charge_is == NULL ? "charge" : p->charge_is, p->settings.still.min_liquid_l,
                jl_keys[JL_KEY_MIN_LIQUID].name);
}

int planned_fail(const planned *p, jl_status status) {
    const jl_still *still = &p->settings.still;
    double charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    if (status == JL_NO && charge_l <= still->min_liquid_l) return planned_fail_element(p);
    if (status == JL_NO)
        return fail(EXIT_NO,
                    "%.6g W at an efficiency of %.6g do not make up for a loss of %.6g W: it never "
                    "boils",
                    still->power_w, still->efficiency_share, still->loss_w);
    if (status == JL_RANGE && !(p->charge.ethanol_kg > 0 && p->charge.water_kg > 0))
        return refuse(
            "the charge: expected a mixture of ethanol and water, above 0 and below 100 %% vol");
    if (status == JL_RANGE) return refuse("the charge: expected 1 g to 1000 t, as 20L@12%%");
    return fail(exit_of_argument(status), "the forecast failed: %s", jl_status_text(status));
}
