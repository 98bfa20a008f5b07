/* The public header from C++: every macro is a value there too, and what it declares links.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <cmath>
#include <cstdio>

static bool usual_values_are_those_of_c() {
    jl_alcoholometer a = JL_ALCOHOLOMETER;
    jl_hydrometer h = JL_HYDROMETER;
    jl_finish_rule rule = JL_FINISH_RULE;
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    return std::isnan(a.calibrated_c) && a.glass_per_c == 25e-6 && h.division_sg == 0.001 &&
           rule.expected_sg == 1 && still.stages == 1 && still.schedule == nullptr &&
           still.pressure_kpa == JL_PRESSURE_KPA && still.power_w == 2000 &&
           still.efficiency_share == 0.9 && still.boiler_heat_j_k == 3000 && still.start_c == 20 &&
           still.spout_c == 20 && still.coolant_rise_c == 30 && still.min_liquid_l == 0 &&
           plan.jar_l == 0.5 && plan.measured_c == JL_STRENGTH_C && !plan.congeners;
}

static bool what_nothing_is_given_of_is_nan() {
    jl_entry entry = JL_ENTRY;
    jl_jar jar = {};
    jar.size = sizeof jar;
    return entry.size == sizeof entry && std::isnan(entry.volume_l) && entry.note == nullptr &&
           JL_LEARNING_WIDTHS.alcoholometer_pct == 0.29 && std::isnan(JL_LEARNING_TOLD.stages) &&
           JL_LEARNT_SPREAD[0] == 0.004;
}

static bool a_forecast_runs() {
    jl_spirit charge;
    jl_forecast sum = JL_FORECAST;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_forecasting *run = nullptr;
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(30);
    if (jl_spirit_from_volume(20, 0.25, JL_STRENGTH_C, &charge) != JL_OK ||
        jl_forecast_open(&still, charge, &plan, &run) != JL_OK)
        return false;
    while (jl_forecast_next(run, &jar) == JL_OK) continue;
    bool good = jl_forecast_sum(run, &sum) == JL_OK && jar.number > 10 &&
                jl_pure_alcohol_l(sum.collected) > 0;
    jl_forecast_close(run);
    return good;
}

static bool a_wash_has_its_ways() {
    jl_wash wash = JL_WASH;
    jl_wash_ways ways;
    wash.original.known = wash.final.known = true;
    wash.original.reading.value = 1.080;
    wash.final.reading.value = 0.992;
    return jl_wash_by_all_ways(&wash, &ways, nullptr) == JL_OK && ways.best == JL_WAY_GRAVITY;
}

int main() {
    jl_quiet();
    bool good = usual_values_are_those_of_c() && what_nothing_is_given_of_is_nan() &&
                a_forecast_runs() && a_wash_has_its_ways();
    std::printf("the header from C++: %s\n", good ? "as from C" : "otherwise than from C");
    return !good;
}
