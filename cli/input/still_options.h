/* A still, how it is driven and where it is cut, from options and from a file of facts: an option
 * beats the file, the file beats the default.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_STILL_OPTIONS_H
#define JARLINE_STILL_OPTIONS_H

#include "answer/show.h"
#include "input/args.h"

/* The words of the options; NULL where one was not given. */
typedef struct still_options {
    char *still;
    char *stages, *reflux, *schedule, *pressure, *altitude, *power, *efficiency, *loss;
    char *boiler_heat, *start_temp, *spout_temp, *coolant_rise, *min_liquid, *jar;
    char *foreshots, *heads, *hearts_until, *stop_at;
} still_options;

#define STILL_OPTIONS(o)                                                                           \
    OPTION("still", &(o).still, "FILE", "a file of facts with any of the following"),              \
        OPTION("stages", &(o).stages, "N",                                                         \
               "equilibrium stages, the boiler counted in; 2.5 is fine (1)"),                      \
        OPTION("reflux", &(o).reflux, "R", "returned by the head to let out (0)"),                 \
        OPTION("reflux-schedule", &(o).schedule, "R@WHEN,...",                                     \
               "other reflux from a time, volume or head temperature on: "                         \
               "'3@1h,5@2L,1@82C'"),                                                               \
        OPTION("pressure", &(o).pressure, "PRESSURE", "of the air: 985hPa (101.325kPa)"),          \
        OPTION("altitude", &(o).altitude, "ALTITUDE", "instead of a pressure: 650m"),              \
        OPTION("power", &(o).power, "POWER", "of the heating (2kW)"),                              \
        OPTION("efficiency", &(o).efficiency, "SHARE",                                             \
               "what part of it reaches the liquid (90%)"),                                        \
        OPTION("loss", &(o).loss, "POWER", "what the hot boiler loses (0W)"),                      \
        OPTION("boiler-heat", &(o).boiler_heat, "HEAT",                                            \
               "that the boiler itself takes up (3kJ/C)"),                                         \
        OPTION("start-temp", &(o).start_temp, "TEMP", "of the charge at heat-on (20C)"),           \
        OPTION("spout-temp", &(o).spout_temp, "TEMP", "of the distillate (20C)"),                  \
        OPTION("coolant-rise", &(o).coolant_rise, "DEGREES",                                       \
               "by which cooling water warms (30C)"),                                              \
        OPTION("min-liquid", &(o).min_liquid, "VOLUME",                                            \
               "below which the heating element would be bare (0)"),                               \
        OPTION("jar", &(o).jar, "VOLUME", "of a jar at 20 °C (500ml)"),                            \
        OPTION("foreshots", &(o).foreshots, "RULE",                                                \
               "100ml, '0.5% of charge', '1% of alcohol' or none"),                                \
        OPTION("heads", &(o).heads, "RULE", "the same"),                                           \
        OPTION("hearts-until", &(o).hearts_until, "RULE",                                          \
               "60% at the spout, '92C head', '96C boiler', or as heads"),                         \
        OPTION("stop-at", &(o).stop_at, "RULE", "where tails and the run end: the same")

enum {
    STILL_NUMBERS = 11,
    STILL_SETTINGS = STILL_NUMBERS + 6,
    STILL_UNCERTAINTIES = 2,
    STILL_FACTS = STILL_SETTINGS + STILL_UNCERTAINTIES,
    STILL_STEPS_MOST = 16,
    STILL_TEXT_BYTES = 448 /* of a schedule of so many steps, the longest of all */
};

typedef enum origin { BY_DEFAULT, BY_FILE, BY_OPTION } origin;

typedef struct still_settings {
    jl_still still; /* its schedule is steps below: keep the struct where it was filled */
    jl_plan plan;
    jl_reflux_step steps[STILL_STEPS_MOST];
    origin origins[STILL_SETTINGS]; /* of the numbers, then of pressure, schedule and cut rules */
    /* Standard uncertainties, as a file has them from runs of this still; NaN: none, or an option has
     * put another value. */
    double reflux_share_u, efficiency_u;
    const char *file;
    bool by_altitude;
    double altitude_m;
    jl_cut_rules usual; /* the default rules for this charge */
} still_settings;

/* Reads what was given. charge_strength_pct: decides between a strip run's rules and others. Says
 * what is wrong and returns the exit status, or 0. */
int still_settings_read(const still_options *o, double charge_strength_pct, still_settings *s);

/* The defaults with where they come from, then what the file and the options said. */
void still_settings_assume(const still_settings *s, show *to);

/* The settings as facts of a run log, with the keys of a still's own file: those that are not
 * defaults. Writes STILL_FACTS at the most and returns how many; texts go into room. */
size_t still_settings_facts(const still_settings *s, jl_fact_entry *facts,
                            char room[STILL_FACTS][STILL_TEXT_BYTES]);

#endif
