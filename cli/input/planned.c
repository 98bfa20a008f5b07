/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/planned.h"
#include "answer/assume.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/factfile.h"
#include "input/part.h"

int planned_charge(const char *amount, const char *file, const jl_alcoholometer *instrument,
                   jl_spirit *charge) {
    jl_amount stated = {.strength.unit = JL_UNIT_PCT_VOL, .temp_c = JL_STRENGTH_C};
    if (file == NULL) return arg_spirit(amount, instrument, charge);
    int bad = read_charge(file, &stated.size, &stated.strength.value);
    if (bad != 0) return bad;
    jl_status status = jl_amount_spirit(&stated, instrument, charge);
    return status == JL_OK ? 0
                           : fail(EXIT_DATA, "%s: the charge is %s", file, jl_status_text(status));
}

int planned_jars(const planned *p, jl_forecast_jars *all) {
    jl_status status = jl_forecast_all(&p->settings.still, p->charge, &p->settings.plan, all);
    return status == JL_OK ? 0 : planned_fail(p, status);
}

void planned_assume(const planned *p, show *s) {
    assume_still(s, &p->settings.all, &p->settings.plan);
    show_assumption(s, "A forecast by equilibrium stages: nothing held up in the head, no "
                       "entrainment, no heat lost in the head; a wash is taken as ethanol and "
                       "water.");
    show_assumption(s, "Vapour by NRTL fitted to published data, which differ among themselves by "
                       "up to 0.018 mole fraction; stages by McCabe and Thiele. Volumes and "
                       "strengths hold at 20 °C.");
}

int planned_fail(const planned *p, jl_status status) {
    const jl_still *still = &p->settings.still;
    double charge_l = jl_volume_l(p->charge, JL_STRENGTH_C);
    if (status == JL_NO && charge_l <= still->min_liquid_l)
        return fail(EXIT_NO,
                    "%.6g L of charge do not cover the heating element, which needs %.6g L "
                    "(--min-liquid)",
                    charge_l, still->min_liquid_l);
    if (status == JL_NO)
        return fail(EXIT_NO,
                    "%.6g W at an efficiency of %.6g do not make up for a loss of %.6g W: it never "
                    "boils",
                    still->power_w, still->efficiency_share, still->loss_w);
    if (status == JL_RANGE && !(p->charge.ethanol_kg > 0 && p->charge.water_kg > 0))
        return fail(EXIT_USAGE, "the charge: expected a mixture of ethanol and water, above 0 and "
                                "below 100 %% vol");
    if (status == JL_RANGE)
        return fail(EXIT_USAGE, "the charge: expected 1 g to 1000 t, as 20L@12%%");
    return fail(exit_of_argument(status), "the forecast failed: %s", jl_status_text(status));
}
