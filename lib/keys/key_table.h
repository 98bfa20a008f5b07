/* The one table of keys: what may stand in a file of ours, and which option sets it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A line here makes an option, is read and written, and stands in manual pages and completion.
 * KEY(NAME, stem, end that is written, kind, least, most, range in words, example, form, where it
 * may stand, default in an option's words, where the default is from, option, its argument, help)
 *
 * A default is NULL where there is none, or where it depends on the charge. */

/* ---- Of every file ---- */

KEY(JARLINE, "jarline", "", JL_NUMBER, 1, 1, "1: another number means a file of a newer version",
    "1", JL_AS_ROW,
    JL_IN_RUN | JL_IN_STILL | JL_IN_INSTRUMENTS | JL_IN_CHARGE | JL_IN_WASH | JL_IN_BOOK, NULL,
    NULL, NULL, NULL, "the edition of the file's form")
KEY(KIND, "kind", "", JL_NUMBER, 0, 0, "run, wash, book or settings", "settings", JL_AS_TEXT,
    JL_IN_RUN | JL_IN_STILL | JL_IN_INSTRUMENTS | JL_IN_CHARGE | JL_IN_WASH | JL_IN_BOOK, NULL,
    NULL, NULL, NULL, "what the file is")
KEY(TITLE, "title", "", JL_NUMBER, 0, 0, "a text", "Apples", JL_AS_TEXT,
    JL_IN_RUN | JL_IN_STILL | JL_IN_INSTRUMENTS | JL_IN_CHARGE | JL_IN_WASH | JL_IN_BOOK, NULL,
    NULL, "title", "TEXT", "a name")

/* ---- A run ---- */

KEY(STARTED, "started", "", JL_NUMBER, 0, 0, "a time with its offset", "2026-03-07T18:05:00+01:00",
    JL_AS_TIME, JL_IN_RUN | JL_IN_WASH, NULL, NULL, "time", "TIME",
    "when the heat was turned on; of a wash, when it was set")
KEY(EXPECT, "expect", "", JL_NUMBER, 0, 1e9, "litres so far, % vol, °C at the head; litres go up",
    "0.5,78.2,82.1", JL_AS_ROW, JL_IN_RUN | JL_REPEATS, NULL, NULL, NULL, NULL,
    "a jar of the forecast")
KEY(EMPTY, "empty", "_g", JL_MASS, 1e-9, 1e6, "a weight above 0", "184", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_HEAD, NULL, NULL, NULL, NULL,
    "an empty jar, of jars without their own empty_g")
KEY(SPOUT_VOLUME, "spout_volume", "_ml", JL_VOLUME, 0, 100, "a volume", "30", JL_AS_NUMBER,
    JL_IN_RUN, "0mL", JL_NONE_STATED, NULL, NULL,
    "what the vessel of the alcoholometer at the spout holds")
KEY(RESUMED, "resumed", "", JL_NUMBER, 0, 0, "a time with its offset", "2026-03-07T19:05:00+01:00",
    JL_AS_TIME, JL_IN_RUN | JL_REPEATS, NULL, NULL, NULL, NULL,
    "when a run that was stopped went on: no rate across it")
KEY(UNDONE, "undone", "", JL_NUMBER, 1, JL_JAR_MOST, "a jar's number", "7", JL_AS_ROW,
    JL_IN_RUN | JL_IN_WASH | JL_REPEATS, NULL, NULL, NULL, NULL,
    "a jar that was undone; in a wash log before the cells of its row")

/* ---- The alcoholometer and the thermometer, as their certificates correct them ---- */

KEY(CALIBRATED, "calibrated", "_c", JL_TEMPERATURE, 0, 40, "0 to 40 °C", "20", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_HEAD | JL_IN_INSTRUMENTS | JL_IN_BOOK, NULL,
    "20 °C for % vol (OIML R 44), 60 °F for proof (27 CFR 30)", "alcoholometer-scale",
    "20C|60F|15C", "temperature of the alcoholometer's scale")
KEY(GLASS, "glass_per_c", "", JL_NUMBER, 0, 1e-4, "0 to 1e-4 per °C", "25e-6", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_HEAD | JL_IN_INSTRUMENTS | JL_IN_BOOK, "25e-6",
    "soda-lime glass, OIML R 22 and R 44", "alcoholometer-glass", "PER_C",
    "cubic expansion of its glass per °C")
KEY(READING_CORRECTION, "reading_correction", "_pct", JL_STRENGTH, -10, 10, "-10 to 10 % vol",
    "-0.2", JL_AS_NUMBER, JL_IN_RUN | JL_IN_RUN_HEAD | JL_IN_INSTRUMENTS | JL_IN_BOOK, "0%",
    JL_NONE_STATED, "reading-correction", "PCT",
    "its certificate's correction, added to the reading")
KEY(THERMOMETER_CORRECTION, "thermometer_correction", "_c", JL_TEMPERATURE_DIFFERENCE, -10, 10,
    "-10 to 10 °C", "0.3", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_HEAD | JL_IN_INSTRUMENTS | JL_IN_BOOK | JL_IN_WASH, "0C", JL_NONE_STATED,
    "thermometer-correction", "DEGREES", "the thermometer's correction, added to the temperature")

/* ---- The hydrometer ---- */

KEY(HYDROMETER_CALIBRATED, "hydrometer_calibrated", "_c", JL_TEMPERATURE, 0, 40, "0 to 40 °C", "20",
    JL_AS_NUMBER, JL_IN_INSTRUMENTS | JL_SINGLY, "20C", JL_COMMON_PRACTICE, "hydrometer-scale",
    "20C|60F|15C", "temperature of the hydrometer's scale")
KEY(HYDROMETER_GLASS, "hydrometer_glass_per_c", "", JL_NUMBER, 0, 1e-4, "0 to 1e-4 per °C", "25e-6",
    JL_AS_NUMBER, JL_IN_INSTRUMENTS | JL_SINGLY, "25e-6", "soda-lime glass, OIML R 22 and R 44",
    "hydrometer-glass", "PER_C", "cubic expansion of its glass per °C")

/* ---- The charge, and what is left of it ---- */

KEY(CHARGE, "charge", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "24", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_CHARGE, NULL, NULL, NULL, NULL, "what went into the boiler, at 20 °C")
KEY(CHARGE_STRENGTH, "charge_strength", "_pct", JL_STRENGTH, 0, 100, "0 to 100 % vol", "9.5",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_CHARGE, NULL, NULL, NULL, NULL, "its strength")
KEY(CHARGE_STRENGTH_U, "charge_strength_u", "_pct", JL_STRENGTH, 0, 50, "0 to 50 % vol", "0.25",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_CHARGE, NULL, NULL, NULL, NULL,
    "standard uncertainty of its strength, as 'wash' found it; not stated, or 0: that of a reading")
KEY(CHARGE_FROM, "charge_from", "", JL_NUMBER, 0, 0, "a vessel", "low-wines", JL_AS_TEXT,
    JL_IN_RUN | JL_IN_CHARGE, NULL, NULL, NULL, NULL,
    "the vessel of the book that the charge came from")
KEY(LOADS, "loads", "", JL_NUMBER, 1, 1e6, "1 to 1000000", "3", JL_AS_NUMBER, JL_IN_CHARGE, NULL,
    NULL, NULL, NULL, "of a plan: so many charges, all alike")
KEY(LAST_LOAD, "last_load", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "12", JL_AS_NUMBER,
    JL_IN_CHARGE, NULL, NULL, NULL, NULL, "and one more, of what is left over")
KEY(SEDIMENT, "sediment", "_l", JL_VOLUME, 0, 1e9, "a volume", "2", JL_AS_NUMBER, JL_IN_CHARGE,
    NULL, NULL, NULL, NULL, "of a plan: what stays in the fermenter")
KEY(FEINTS, "feints", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "1.5", JL_AS_NUMBER,
    JL_IN_CHARGE, NULL, NULL, NULL, NULL, "of a plan: feints that join the low wines, at 20 °C")
KEY(FEINTS_STRENGTH, "feints_strength", "_pct", JL_STRENGTH, 0, 100, "0 to 100 % vol", "45",
    JL_AS_NUMBER, JL_IN_CHARGE, NULL, NULL, NULL, NULL, "their strength")
KEY(CHARGE_MEASURED_WITH, "charge_measured_with", "", JL_NUMBER, 0, 0, "jug, scale, or any vessel",
    "jug", JL_AS_TEXT, JL_IN_RUN | JL_IN_CHARGE, NULL, NULL, NULL, NULL,
    "by what its volume was measured: the jars' jug, the scale, or a vessel of its own")
KEY(LEFT, "left", "_l", JL_VOLUME, 0, 1e9, "a volume", "17.2", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_END, NULL, NULL, "left", "VOLUME",
    "what is left in the boiler, measured cold")
KEY(LEFT_STRENGTH, "left_strength", "_pct", JL_STRENGTH, 0, 100, "0 to 100 % vol", "0.8",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_RUN_END, NULL, NULL, "left-strength", "STRENGTH",
    "its strength at 20 °C")
KEY(LEFT_READING, "left_reading", "_pct", JL_STRENGTH, 0, 100, "0 to 100 % vol", "1.5",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_RUN_END, NULL, NULL, "left-reading", "READING",
    "or what the alcoholometer shows in it")
KEY(LEFT_TEMP, "left_temp", "_c", JL_TEMPERATURE, JL_TEMP_MIN_C, JL_TEMP_MAX_C,
    "-20 to 40 °C, where OIML R 22 ends: let it cool", "24", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_RUN_END, NULL, NULL, "left-temp", "TEMP", "its temperature")

/* ---- A wash ---- */

KEY(WASH, "wash", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "60", JL_AS_NUMBER, JL_IN_WASH,
    NULL, NULL, NULL, NULL, "the volume of a wash, at 20 °C")

/* ---- The still and how it is driven ---- */

KEY(STILL, "still", "", JL_NUMBER, 0, 0, "a name", "Copper pot", JL_AS_TEXT,
    JL_IN_RUN | JL_IN_STILL, NULL, NULL, "still-name", "NAME", "name of the still")
KEY(STAGES, "stages", "", JL_NUMBER, 1, 100, "1 to 100 stages, the boiler counted in", "3.5",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_STILL, "1", "a plain pot", "stages", "N",
    "equilibrium stages, the boiler counted in; 2.5 is fine")
KEY(REFLUX, "reflux", "", JL_NUMBER, 0, 1000,
    "0 to 1000 (with all returned nothing would be let out)", "2", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "0", "a plain pot", "reflux", "R",
    "what the head returns to what it lets out")
KEY(POWER, "power", "_w", JL_POWER, 1, 1e6, "1 W to 1000 kW", "2000", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "2kW", JL_COMMON_PRACTICE, "power", "POWER", "power of the heating")
KEY(EFFICIENCY, "efficiency", "", JL_NUMBER, 0.01, 1, "0.01 to 1 (an option: 1% to 100%)", "0.9",
    JL_AS_SHARE, JL_IN_RUN | JL_IN_STILL, "90%", JL_COMMON_PRACTICE, "heat-efficiency", "SHARE",
    "part of the power that reaches the liquid")
KEY(LOSS, "loss", "_w", JL_POWER, 0, 1e6, "0 W to 1000 kW", "150", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "0W", JL_NONE_STATED, "loss", "POWER", "what the hot boiler loses")
KEY(BOILER_HEAT, "boiler_heat", "_kj_c", JL_HEAT, 0, 1e7, "0 to 10000 kJ/C", "3", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "3kJ/C", JL_COMMON_PRACTICE, "boiler-heat", "HEAT",
    "heat that the boiler itself takes up")
KEY(START, "start", "_c", JL_TEMPERATURE, 0, 60, "0 to 60 °C", "20", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "20C", JL_COMMON_PRACTICE, "start-temp", "TEMP",
    "temperature of the charge at heat-on")
KEY(SPOUT, "spout", "_c", JL_TEMPERATURE, 0, JL_TEMP_MAX_C, "0 to 40 °C", "20", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "20C", JL_COMMON_PRACTICE, "spout-temp", "TEMP",
    "temperature of the distillate")
KEY(COOLANT_RISE, "coolant_rise", "_c", JL_TEMPERATURE_DIFFERENCE, 1, 90, "1 to 90 °C", "30",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_STILL, "30C", JL_COMMON_PRACTICE, "coolant-rise", "DEGREES",
    "by how much cooling water warms")
KEY(MIN_LIQUID, "min_liquid", "_l", JL_VOLUME, 0, 1e6, "0 to 1000000 L", "4", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL | JL_IN_CHARGE, "0L", JL_NONE_STATED, "min-liquid", "VOLUME",
    "liquid that just covers the heating element")
KEY(BOILER, "boiler", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "30", JL_AS_NUMBER,
    JL_IN_STILL | JL_SINGLY, NULL, NULL, "boiler-size", "VOLUME", "of the boiler, to the brim")
KEY(MARK, "mark", "_l", JL_VOLUME, 1e-12, 1e9, "a volume above 0", "24", JL_AS_NUMBER,
    JL_IN_STILL | JL_IN_CHARGE | JL_SINGLY, NULL, NULL, "mark", "VOLUME",
    "fill mark of the boiler: the most that it takes")
KEY(JAR, "jar", "_l", JL_VOLUME, 0.001, 1e6, "1 mL to 1000000 L", "0.5", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "500mL", JL_COMMON_PRACTICE, "jar-size", "VOLUME",
    "volume of a jar at 20 °C")
KEY(REFLUX_SHARE_U, "reflux_share_u", "", JL_NUMBER, 1e-4, 0.5, "0.0001 to 0.5", "0.03",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_STILL, NULL, NULL, NULL, NULL,
    "standard uncertainty of the share that runs back, as its runs show it")
KEY(EFFICIENCY_U, "efficiency_u", "", JL_NUMBER, 1e-4, 0.5, "0.0001 to 0.5", "0.02", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, NULL, NULL, NULL, NULL,
    "standard uncertainty of the efficiency, as its runs show it")
KEY(LEARNT_RUNS, "learnt_runs", "", JL_NUMBER, 0, 1e6, "runs, then weights", "3,0.6 0.3 0.1 0 0",
    JL_AS_ROW, JL_IN_RUN | JL_IN_STILL, NULL, NULL, NULL, NULL,
    "how many runs the still was learnt from, and how much they differ")
KEY(LEARNT_STAGES, "learnt_stages", "", JL_NUMBER, 1, 100,
    "stages, their weight, then standard deviations, means and correlations", "2,0.9,0.02 ...",
    JL_AS_ROW, JL_IN_RUN | JL_IN_STILL | JL_REPEATS, NULL, NULL, NULL, NULL,
    "what was learnt of the still if these are its stages")
KEY(NOT_RECOVERED, "not_recovered", "_pct", JL_SHARE, -0.2, 0.5, "-20 to 50 %", "4", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, NULL, NULL, NULL, NULL,
    "of the alcohol charged, what runs bring less, as their balances tell it")
KEY(NOT_RECOVERED_U, "not_recovered_u", "_pct", JL_SHARE, 1e-4, 0.5, "0.01 to 50 %", "0.8",
    JL_AS_NUMBER, JL_IN_RUN | JL_IN_STILL, NULL, NULL, NULL, NULL, "standard uncertainty of that")
KEY(PRESSURE, "pressure", "_kpa", JL_PRESSURE, 60, 105, "60 to 105 kPa", "98.5", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "101.325kPa", "sea level, U.S. Standard Atmosphere 1976", "pressure",
    "PRESSURE", "pressure of the air, as 985hPa")
KEY(ALTITUDE, "altitude", "_m", JL_ALTITUDE, -300, 4150,
    "-300 to 4150 m, where the air has 60 to 105 kPa", "650", JL_AS_NUMBER, JL_IN_RUN | JL_IN_STILL,
    NULL, NULL, "altitude", "ALTITUDE", "altitude in the place of a pressure, as 650m")
KEY(REFLUX_SCHEDULE, "reflux_schedule", "", JL_NUMBER, 0, 0, "reflux@when, ...", "3@1h,5@2L,1@82C",
    JL_AS_SCHEDULE, JL_IN_RUN | JL_IN_STILL, NULL, NULL, "reflux-schedule", "R@WHEN,...",
    "other reflux from a time, volume or head temperature on: '3@1h,5@2L,1@82C'")
KEY(FORESHOTS, "foreshots", "", JL_NUMBER, 0, 0, "a rule", "0.5% of charge", JL_AS_AMOUNT,
    JL_IN_RUN | JL_IN_STILL, NULL, JL_COMMON_PRACTICE, "foreshots-rule", "RULE",
    "where foreshots end: 100mL, '0.5% of charge', '1% of alcohol' or none")
KEY(HEADS, "heads", "", JL_NUMBER, 0, 0, "a rule", "2% of charge", JL_AS_AMOUNT,
    JL_IN_RUN | JL_IN_STILL, NULL, "published: cognac 1 to 2 % of a second charge", "heads-rule",
    "RULE", "where heads end: the same")
KEY(HEARTS_UNTIL, "hearts_until", "", JL_NUMBER, 0, 0, "a rule", "60%", JL_AS_CUT,
    JL_IN_RUN | JL_IN_STILL, NULL, "published: malt whisky and cognac, 58 to 60 %", "hearts-until",
    "RULE", "where hearts end: 60% at the spout, '92C head', '96C boiler', or as heads")
KEY(STOP_AT, "stop_at", "", JL_NUMBER, 0, 0, "a rule", "20%", JL_AS_CUT, JL_IN_RUN | JL_IN_STILL,
    NULL, JL_COMMON_PRACTICE, "stop-at", "RULE", "where tails and the run end: the same")

/* ---- What else is the same every day ---- */

KEY(BOTTLE, "bottle", "_l", JL_VOLUME, 0.001, 1000, "1 mL to 1000 L", "0.7", JL_AS_NUMBER,
    JL_IN_INSTRUMENTS, NULL, NULL, NULL, NULL, "volume of a bottle")
KEY(CHART_TO, "chart_to", "_l", JL_VOLUME, 0.001, 100000, "1 mL to 100000 L", "5", JL_AS_NUMBER,
    JL_IN_INSTRUMENTS, NULL, NULL, NULL, NULL, "where the volume axis of charts and reports ends")
KEY(PROOF, "proof", "", JL_NUMBER, 0, 1, "0 or 1", "1", JL_AS_NUMBER, JL_IN_INSTRUMENTS, "0",
    JL_NONE_STATED, NULL, NULL, "1: new run logs and forecasts are in US proof and °F")
KEY(HOUSE, "house", "", JL_NUMBER, 0, 0, "a name", "Hill Farm", JL_AS_TEXT, JL_IN_INSTRUMENTS, NULL,
    NULL, NULL, NULL, "name of the house, for what is printed")

/* ---- Limits and divisions of the instruments, in the order of jl_instrument and jl_width ---- */

#define WIDTH_IN(name, stem, end, kind, most, range, example, usual)                               \
    KEY(name, stem, end, kind, 0, most, range, example, JL_AS_NUMBER, JL_IN_INSTRUMENTS, usual,    \
        JL_COMMON_PRACTICE, NULL, NULL, NULL)
#define WIDTH(name, stem, end, kind, most, example, usual)                                         \
    WIDTH_IN(name, stem, end, kind, most, "a width of 0 or more", example, usual)
#define WIDTH_SG(name, stem, most, example, usual)                                                 \
    WIDTH_IN(name, stem, "", JL_NUMBER, most, "a width of 0 to " #most " SG", example, usual)

/* Its default is that of its division. */

WIDTH(ALCOHOLOMETER_LIMIT, "alcoholometer_limit", "_pct", JL_STRENGTH, 10, "0.5", NULL)
WIDTH(ALCOHOLOMETER_CERTIFICATE, "alcoholometer_certificate", "_pct", JL_STRENGTH, 10, "0.1", NULL)
WIDTH(ALCOHOLOMETER_DIVISION, "alcoholometer_division", "_pct", JL_STRENGTH, 10, "1", "1%")
WIDTH(ALCOHOLOMETER_REPEATABILITY, "alcoholometer_repeatability", "_pct", JL_STRENGTH, 10, "0.1",
      NULL)
WIDTH(THERMOMETER_LIMIT, "thermometer_limit", "_c", JL_TEMPERATURE_DIFFERENCE, 10, "0.5", "1C")
WIDTH(THERMOMETER_CERTIFICATE, "thermometer_certificate", "_c", JL_TEMPERATURE_DIFFERENCE, 10,
      "0.1", NULL)
WIDTH(THERMOMETER_DIVISION, "thermometer_division", "_c", JL_TEMPERATURE_DIFFERENCE, 10, "1", "1C")
WIDTH(THERMOMETER_REPEATABILITY, "thermometer_repeatability", "_c", JL_TEMPERATURE_DIFFERENCE, 10,
      "0.1", NULL)
WIDTH(JUG_LIMIT, "jug_limit", "_pct", JL_SHARE, 0.2, "1", "1%")
WIDTH(JUG_CERTIFICATE, "jug_certificate", "_pct", JL_SHARE, 0.2, "0.5", NULL)
WIDTH(JUG_DIVISION, "jug_division", "_ml", JL_VOLUME, 100, "10", "10mL")
WIDTH(JUG_REPEATABILITY, "jug_repeatability", "_ml", JL_VOLUME, 100, "2", NULL)
WIDTH(SCALE_LIMIT, "scale_limit", "_pct", JL_SHARE, 0.2, "0.2", "0.2%")
WIDTH(SCALE_CERTIFICATE, "scale_certificate", "_pct", JL_SHARE, 0.2, "0.1", NULL)
WIDTH(SCALE_DIVISION, "scale_division", "_g", JL_MASS, 100, "1", "1g")
WIDTH(SCALE_REPEATABILITY, "scale_repeatability", "_g", JL_MASS, 100, "1", NULL)
WIDTH_SG(HYDROMETER_LIMIT, "hydrometer_limit_sg", 0.1, "0.001", "0.001")
WIDTH_SG(HYDROMETER_CERTIFICATE, "hydrometer_certificate_sg", 0.1, "0.0005", NULL)
WIDTH_SG(HYDROMETER_DIVISION, "hydrometer_division_sg", 0.02, "0.001", "0.001")
WIDTH_SG(HYDROMETER_REPEATABILITY, "hydrometer_repeatability_sg", 0.1, "0.0005", NULL)
WIDTH(VESSEL_LIMIT, "vessel_limit", "_pct", JL_SHARE, 0.2, "1", "1%")
WIDTH(VESSEL_CERTIFICATE, "vessel_certificate", "_pct", JL_SHARE, 0.2, "0.5", NULL)
WIDTH(VESSEL_DIVISION, "vessel_division", "_ml", JL_VOLUME, 100, "100", NULL)
WIDTH(VESSEL_REPEATABILITY, "vessel_repeatability", "_pct", JL_SHARE, 0.2, "0.5", "0.5%")
#undef WIDTH
#undef WIDTH_SG
#undef WIDTH_IN

/* ---- What a check in boiling water showed of the still's thermometers ---- */

#define OFFSET(name, stem)                                                                         \
    KEY(name, stem, "_c", JL_TEMPERATURE_DIFFERENCE, -20, 20, "-20 to 20 °C", "0.4", JL_AS_NUMBER, \
        JL_IN_INSTRUMENTS, NULL, NULL, NULL, NULL, "by which it shows too much")                   \
    KEY(name##_U, stem "_u", "_c", JL_TEMPERATURE_DIFFERENCE, 0.001, 20, "0.001 to 20 °C", "0.2",  \
        JL_AS_NUMBER, JL_IN_INSTRUMENTS, NULL, NULL, NULL, NULL, "standard uncertainty of that")

OFFSET(HEAD_OFFSET, "head_thermometer_offset")
OFFSET(BOILER_OFFSET, "boiler_thermometer_offset")
#undef OFFSET

/* A test builds with a line more. */
#ifdef JL_KEY_MORE
#include JL_KEY_MORE
#endif
