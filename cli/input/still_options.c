/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/still_options.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/cut_words.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* A setting that is one number. */
typedef struct number {
    const char *name; /* of the option, after "--" */
    jl_fact_key key;  /* in a file; its range is in the unit of jl_still times scale */
    jl_kind kind;     /* of the option */
    size_t word;      /* place in still_options */
    size_t place;     /* of a double in still_settings */
    double scale;     /* what the fact's number is for 1 in jl_still */
    const char *unit; /* shown behind the number, with its blank */
    const char *why;  /* the default is so */
} number;

static const char POT[] = "a plain pot";
static const char COMMON[] = "common practice, no source";
static const char NONE[] = "unless you say";

#define WORD(name)  offsetof(still_options, name)
#define STILL(name) offsetof(still_settings, still.name)

static const number NUMBERS[STILL_NUMBERS] = {
    {"stages",
     {"stages", JL_NUMBER, 1, 100, "1 to 100 stages, the boiler counted in, as stages,3.5"},
     JL_NUMBER,
     WORD(stages),
     STILL(stages),
     1,
     "",
     POT},
    {"reflux",
     {"reflux", JL_NUMBER, 0, 1000,
      "0 to 1000 (with all returned nothing would be let out), as reflux,2"},
     JL_NUMBER,
     WORD(reflux),
     STILL(reflux),
     1,
     "",
     POT},
    {"power",
     {"power", JL_POWER, 1, 1e6, "1 W to 1000 kW, as power_w,2000"},
     JL_POWER,
     WORD(power),
     STILL(power_w),
     1,
     " W",
     COMMON},
    {"efficiency",
     {"efficiency", JL_NUMBER, 0.01, 1, "0.01 to 1 (an option: 1% to 100%), as efficiency,0.9"},
     JL_SHARE,
     WORD(efficiency),
     STILL(efficiency),
     1,
     "",
     COMMON},
    {"loss",
     {"loss", JL_POWER, 0, 1e6, "0 W to 1000 kW, as loss_w,150"},
     JL_POWER,
     WORD(loss),
     STILL(loss_w),
     1,
     " W",
     NONE},
    {"boiler-heat",
     {"boiler_heat_kj_c", JL_NUMBER, 0, 1e4, "0 to 10000 kJ/C, as boiler_heat_kj_c,3"},
     JL_NUMBER,
     WORD(boiler_heat),
     STILL(boiler_heat_j_k),
     1e-3,
     " kJ/°C",
     COMMON},
    {"start-temp",
     {"start", JL_TEMPERATURE, 0, 60, "0 to 60 °C, as start_c,20"},
     JL_TEMPERATURE,
     WORD(start_temp),
     STILL(start_c),
     1,
     " °C",
     COMMON},
    {"spout-temp",
     {"spout", JL_TEMPERATURE, 0, 40, "0 to 40 °C, as spout_c,20"},
     JL_TEMPERATURE,
     WORD(spout_temp),
     STILL(spout_c),
     1,
     " °C",
     COMMON},
    {"coolant-rise",
     {"coolant_rise", JL_TEMPERATURE_DIFFERENCE, 1, 90, "1 to 90 °C, as coolant_rise_c,30"},
     JL_TEMPERATURE_DIFFERENCE,
     WORD(coolant_rise),
     STILL(coolant_rise_c),
     1,
     " °C",
     COMMON},
    {"min-liquid",
     {"min_liquid", JL_VOLUME, 0, 1e6, "a volume, as min_liquid_l,4"},
     JL_VOLUME,
     WORD(min_liquid),
     STILL(min_liquid_l),
     1,
     " l",
     NONE},
    {"jar",
     {"jar", JL_VOLUME, 0.001, 1e6, "1 ml or more, as jar_ml,500"},
     JL_VOLUME,
     WORD(jar),
     offsetof(still_settings, plan.jar_l),
     1,
     " l",
     COMMON},
};

/* How sure a number of a file is, which its runs have told: without meaning beside an option. */
typedef struct uncertainty_of {
    jl_fact_key key;
    int number; /* place in NUMBERS */
    size_t place;
} uncertainty_of;

static const uncertainty_of UNCERTAINTIES[STILL_UNCERTAINTIES] = {
    {{"reflux_share_u", JL_NUMBER, 1e-4, 0.5,
      "a standard uncertainty of 0.0001 to 0.5, as reflux_share_u,0.03"},
     1,
     offsetof(still_settings, reflux_share_u)},
    {{"efficiency_u", JL_NUMBER, 1e-4, 0.5,
      "a standard uncertainty of 0.0001 to 0.5, as efficiency_u,0.02"},
     3,
     offsetof(still_settings, efficiency_u)},
};

/* Settings that are words: in a file under these keys. */
enum { PRESSURE = STILL_NUMBERS, SCHEDULE, FORESHOTS, HEADS, HEARTS, STOP };

static const jl_fact_key PRESSURE_KEY = {"pressure", JL_PRESSURE, 60, 105,
                                         "60 to 105 kPa, as pressure_kpa,98.5"};
static const jl_fact_key ALTITUDE_KEY = {"altitude", JL_ALTITUDE, -300, 4150,
                                         "-300 to 4150 m, where the air has 60 to 105 kPa, as "
                                         "altitude_m,650"};

typedef struct rule_place {
    const char *option, *key;
    size_t word, place;
    cut_place where;
} rule_place;

static const rule_place RULES[] = {
    {"--foreshots", "foreshots", WORD(foreshots), offsetof(still_settings, plan.cuts.foreshots),
     CUT_AMOUNT},
    {"--heads", "heads", WORD(heads), offsetof(still_settings, plan.cuts.heads), CUT_AMOUNT},
    {"--hearts-until", "hearts_until", WORD(hearts_until),
     offsetof(still_settings, plan.cuts.hearts), CUT_ANY},
    {"--stop-at", "stop_at", WORD(stop_at), offsetof(still_settings, plan.cuts.tails), CUT_ANY},
};
enum { RULE_PLACES = sizeof RULES / sizeof RULES[0] };

static const char *word_of(const still_options *o, size_t place) {
    return *(char *const *)((const char *)o + place);
}

static double *number_at(still_settings *s, size_t place) {
    void *at = (char *)s + place;
    return at;
}

static jl_cut *cut_at(still_settings *s, size_t place) {
    return (jl_cut *)((char *)s + place);
}

/* ---- The file ---- */

/* What else may stand in a still's file. */
static const char *const PASSED_OVER[] = {"jarline", "title"};
enum {
    PASSED = sizeof PASSED_OVER / sizeof PASSED_OVER[0],
    KEYS = STILL_NUMBERS + STILL_UNCERTAINTIES + 2 + 1 + RULE_PLACES + PASSED
};

static jl_status only_known(const jl_facts *facts, jl_fault *fault) {
    jl_fact_key keys[KEYS];
    size_t n = 0;
    for (int i = 0; i < STILL_NUMBERS; i++) keys[n++] = NUMBERS[i].key;
    for (int i = 0; i < STILL_UNCERTAINTIES; i++) keys[n++] = UNCERTAINTIES[i].key;
    keys[n++] = PRESSURE_KEY;
    keys[n++] = ALTITUDE_KEY;
    keys[n++] = (jl_fact_key){.stem = "reflux_schedule", .kind = JL_NUMBER};
    for (int i = 0; i < RULE_PLACES; i++)
        keys[n++] = (jl_fact_key){.stem = RULES[i].key, .kind = JL_NUMBER};
    for (int i = 0; i < PASSED; i++)
        keys[n++] = (jl_fact_key){.stem = PASSED_OVER[i], .kind = JL_NUMBER};
    return jl_facts_only(
        facts, keys, n,
        "stages, reflux, reflux_share_u, reflux_schedule, power_w, efficiency, efficiency_u, "
        "loss_w, "
        "boiler_heat_kj_c, start_c, spout_c, coolant_rise_c, min_liquid_l, jar_ml, "
        "pressure_kpa or altitude_m, foreshots, heads, hearts_until, stop_at",
        fault);
}

/* *stated: whether the file has it; *value keeps what it has where it has not. */
static jl_status fact_number(const jl_facts *facts, const jl_fact_key *key, double scale,
                             double *value, bool *stated, jl_fault *fault) {
    jl_quantity quantity;
    jl_status status = jl_facts_quantity(facts, key, &quantity, fault);
    *stated = status == JL_OK;
    if (status == JL_OK) *value = quantity.value / scale;
    return status == JL_MISSING && fault->line == 0 ? JL_OK : status;
}

static jl_status numbers_from_file(const jl_facts *facts, still_settings *s, jl_fault *fault) {
    jl_status status = JL_OK;
    bool stated;
    for (int i = 0; status == JL_OK && i < STILL_NUMBERS; i++) {
        const number *n = &NUMBERS[i];
        status = fact_number(facts, &n->key, n->scale, number_at(s, n->place), &stated, fault);
        if (stated) s->origins[i] = BY_FILE;
    }
    for (int i = 0; status == JL_OK && i < STILL_UNCERTAINTIES; i++)
        status = fact_number(facts, &UNCERTAINTIES[i].key, 1, number_at(s, UNCERTAINTIES[i].place),
                             &stated, fault);
    if (status != JL_OK) return status;
    status = fact_number(facts, &PRESSURE_KEY, 1, &s->still.pressure_kpa, &stated, fault);
    if (stated) s->origins[PRESSURE] = BY_FILE;
    if (status != JL_OK) return status;
    status = fact_number(facts, &ALTITUDE_KEY, 1, &s->altitude_m, &s->by_altitude, fault);
    if (s->by_altitude && stated) {
        const jl_fact *altitude = jl_facts_find(facts, "altitude_m");
        *fault = (jl_fault){.status = JL_CONFLICT,
                            .line = altitude == NULL ? 0 : altitude->line,
                            .expected = "a pressure or an altitude, not both"};
        return JL_CONFLICT;
    }
    if (s->by_altitude) s->origins[PRESSURE] = BY_FILE;
    return status;
}

static int words_from_file(const jl_facts *facts, still_settings *s) {
    const char *text = jl_facts_text(facts, "reflux_schedule");
    if (text != NULL) {
        int bad = schedule_read(s->file, "reflux_schedule", text, s->steps, STILL_STEPS_MOST,
                                &s->still.schedule_count);
        if (bad != 0) return bad;
        s->origins[SCHEDULE] = BY_FILE;
    }
    for (int i = 0; i < RULE_PLACES; i++) {
        text = jl_facts_text(facts, RULES[i].key);
        if (text == NULL) continue;
        int bad = cut_read(s->file, RULES[i].key, text, RULES[i].where, cut_at(s, RULES[i].place));
        if (bad != 0) return bad;
        s->origins[FORESHOTS + i] = BY_FILE;
    }
    return 0;
}

static int from_file(still_settings *s) {
    jl_facts *facts;
    jl_fault fault = {0};
    int fd = open(s->file, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", s->file, strerror(errno));
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(s->file, &fault);
    status = only_known(facts, &fault);
    if (status == JL_OK) status = numbers_from_file(facts, s, &fault);
    int bad = status == JL_OK ? words_from_file(facts, s) : fail_fault(s->file, &fault);
    jl_facts_free(facts);
    return bad;
}

/* ---- The options ---- */

/* What a fact may be, without the form of a fact. */
static int refuse_option(const char *name, const char *text, const jl_fact_key *key) {
    char range[160];
    const char *form = strstr(key->expected, ", as ");
    size_t length = form == NULL ? strlen(key->expected) : (size_t)(form - key->expected);
    snprintf(range, sizeof range, "%.*s", (int)length, key->expected);
    return fail_argument(name, text, JL_RANGE, range);
}

static int number_from_option(const number *n, const char *text, double *value) {
    char name[32];
    snprintf(name, sizeof name, "--%s", n->name);
    int bad = n->place == STILL(boiler_heat_j_k) ? heat_read(name, text, value)
                                                 : arg_value(name, text, n->kind, value);
    if (bad != 0) return bad;
    if (*value * n->scale >= n->key.least && *value * n->scale <= n->key.most) return 0;
    return refuse_option(name, text, &n->key);
}

static int air_from_options(const still_options *o, still_settings *s) {
    if (o->pressure != NULL && o->altitude != NULL)
        return fail(EXIT_USAGE, "expected --pressure or --altitude, not both");
    if (o->pressure == NULL && o->altitude == NULL) return 0;
    s->origins[PRESSURE] = BY_OPTION;
    s->by_altitude = o->altitude != NULL;
    int bad = arg_value("--pressure", o->pressure, JL_PRESSURE, &s->still.pressure_kpa);
    if (bad == 0) bad = arg_value("--altitude", o->altitude, JL_ALTITUDE, &s->altitude_m);
    return bad;
}

/* An altitude means the pressure of an average day there. */
static int settle_air(const still_options *o, still_settings *s) {
    const jl_fact_key *key = s->by_altitude ? &ALTITUDE_KEY : &PRESSURE_KEY;
    const char *name = s->by_altitude ? "--altitude" : "--pressure";
    const char *text = s->by_altitude ? o->altitude : o->pressure;
    bool good = !s->by_altitude ||
                jl_pressure_at_altitude_kpa(s->altitude_m, &s->still.pressure_kpa) == JL_OK;
    if (good && s->still.pressure_kpa >= 60 && s->still.pressure_kpa <= 105) return 0;
    return refuse_option(name, text == NULL ? "" : text, key);
}

static int from_options(const still_options *o, still_settings *s) {
    int bad = 0;
    for (int i = 0; bad == 0 && i < STILL_NUMBERS; i++) {
        const char *text = word_of(o, NUMBERS[i].word);
        if (text == NULL) continue;
        bad = number_from_option(&NUMBERS[i], text, number_at(s, NUMBERS[i].place));
        s->origins[i] = BY_OPTION;
    }
    for (int i = 0; i < STILL_UNCERTAINTIES; i++)
        if (s->origins[UNCERTAINTIES[i].number] == BY_OPTION)
            *number_at(s, UNCERTAINTIES[i].place) = NAN;
    if (bad == 0) bad = air_from_options(o, s);
    if (bad == 0 && o->schedule != NULL) {
        bad = schedule_read(NULL, "--reflux-schedule", o->schedule, s->steps, STILL_STEPS_MOST,
                            &s->still.schedule_count);
        s->origins[SCHEDULE] = BY_OPTION;
    }
    for (int i = 0; bad == 0 && i < RULE_PLACES; i++) {
        const char *text = word_of(o, RULES[i].word);
        if (text == NULL) continue;
        bad = cut_read(NULL, RULES[i].option, text, RULES[i].where, cut_at(s, RULES[i].place));
        s->origins[FORESHOTS + i] = BY_OPTION;
    }
    return bad;
}

int still_settings_read(const still_options *o, double charge_strength_pct, still_settings *s) {
    *s = (still_settings){.still = JL_STILL, .plan = JL_PLAN(charge_strength_pct)};
    s->reflux_share_u = s->efficiency_u = NAN;
    s->usual = s->plan.cuts;
    s->file = o->still;
    int bad = s->file == NULL ? 0 : from_file(s);
    if (bad == 0) bad = from_options(o, s);
    if (bad == 0) bad = settle_air(o, s);
    s->still.schedule = s->steps;
    return bad;
}

/* ---- What was taken ---- */

static void add(char *text, size_t size, const char *more) {
    size_t length = strlen(text);
    snprintf(text + length, size - length, "%s%s", length > 0 ? ", " : "", more);
}

static void number_text(const still_settings *s, int i, char *text, size_t size) {
    const number *n = &NUMBERS[i];
    double value = *number_at((still_settings *)s, n->place) * n->scale;
    const char *unit = n->unit;
    if (n->place == offsetof(still_settings, plan.jar_l) && value < 1) {
        value *= 1000;
        unit = " ml";
    }
    snprintf(text, size, "%s %.6g%s", n->name, value, unit);
}

static void word_text(const still_settings *s, int setting, char *text, size_t size) {
    char words[STILL_TEXT_BYTES];
    if (setting == PRESSURE) {
        if (s->by_altitude)
            snprintf(text, size, "altitude %.6g m, on an average day %.5g kPa", s->altitude_m,
                     s->still.pressure_kpa);
        else
            snprintf(text, size, "air pressure %.6g kPa", s->still.pressure_kpa);
    } else if (setting == SCHEDULE) {
        schedule_text(s->steps, s->still.schedule_count, words, sizeof words);
        snprintf(text, size, "reflux %s", words);
    } else {
        static const char *const NAMES[] = {"foreshots", "heads", "hearts until", "stop at"};
        int rule = setting - FORESHOTS;
        cut_text(cut_at((still_settings *)s, RULES[rule].place), words, sizeof words);
        snprintf(text, size, "%s %s", NAMES[rule], words);
    }
}

static void settings_of(const still_settings *s, origin which, char *all, size_t size) {
    char text[STILL_TEXT_BYTES + 32];
    all[0] = '\0';
    for (int i = 0; i < STILL_SETTINGS; i++) {
        if (s->origins[i] != which) continue;
        if (i < STILL_NUMBERS)
            number_text(s, i, text, sizeof text);
        else
            word_text(s, i, text, sizeof text);
        add(all, size, text);
    }
}

static void assume_numbers(const still_settings *s, show *to, const char *why) {
    char all[512] = "", text[128];
    for (int i = 0; i < STILL_NUMBERS; i++) {
        if (s->origins[i] != BY_DEFAULT || NUMBERS[i].why != why) continue;
        number_text(s, i, text, sizeof text);
        add(all, sizeof all, text);
    }
    if (all[0] != '\0') show_assumption(to, "Default: %s (%s).", all, why);
}

static void assume_rules(const still_settings *s, show *to) {
    static const char *const WHY[] = {
        "common practice, no source", "published practice: cognac 1 to 2 % of a second charge",
        "published practice: malt whisky and cognac, 58 to 60 %", "common practice, no source"};
    char text[128];
    bool strip = s->usual.heads.by == JL_CUT_NEVER;
    for (int i = 0; i < RULE_PLACES; i++) {
        if (s->origins[FORESHOTS + i] != BY_DEFAULT) continue;
        const jl_cut *cut = cut_at((still_settings *)s, RULES[i].place);
        if (cut->by == JL_CUT_NEVER) continue;
        word_text(s, FORESHOTS + i, text, sizeof text);
        show_assumption(to, "Default: %s (%s).", text, WHY[i]);
    }
    if (strip)
        show_assumption(to, "Default: a charge under 20 %% vol makes a strip run, without cuts "
                            "(common practice, no source).");
}

void still_settings_assume(const still_settings *s, show *to) {
    char all[1000];
    assume_numbers(s, to, POT);
    assume_numbers(s, to, COMMON);
    assume_numbers(s, to, NONE);
    if (s->origins[PRESSURE] == BY_DEFAULT)
        show_assumption(to, "Default: air pressure 101.325 kPa, sea level (U.S. Standard "
                            "Atmosphere 1976).");
    assume_rules(s, to);
    settings_of(s, BY_FILE, all, sizeof all);
    if (all[0] != '\0') show_assumption(to, "From %s: %s.", s->file, all);
    settings_of(s, BY_OPTION, all, sizeof all);
    if (all[0] != '\0') show_assumption(to, "As you said: %s.", all);
}

/* ---- As facts ---- */

static const char *number_key(const number *n) {
    static const char *const ENDS[][2] = {
        {"power", "power_w"},
        {"loss", "loss_w"},
        {"start", "start_c"},
        {"spout", "spout_c"},
        {"coolant_rise", "coolant_rise_c"},
        {"min_liquid", "min_liquid_l"},
        {"jar", "jar_l"},
    };
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++)
        if (strcmp(n->key.stem, ENDS[i][0]) == 0) return ENDS[i][1];
    return n->key.stem;
}

size_t still_settings_facts(const still_settings *s, jl_fact_entry *facts,
                            char room[STILL_FACTS][STILL_TEXT_BYTES]) {
    size_t count = 0;
    for (int i = 0; i < STILL_NUMBERS; i++) {
        const number *n = &NUMBERS[i];
        if (s->origins[i] == BY_DEFAULT) continue;
        facts[count++] = (jl_fact_entry){
            number_key(n), {*number_at((still_settings *)s, n->place) * n->scale}, 1, NULL};
    }
    for (int i = 0; i < STILL_UNCERTAINTIES; i++) {
        double u = *number_at((still_settings *)s, UNCERTAINTIES[i].place);
        if (!isnan(u)) facts[count++] = (jl_fact_entry){UNCERTAINTIES[i].key.stem, {u}, 1, NULL};
    }
    if (s->origins[PRESSURE] != BY_DEFAULT)
        facts[count++] = (jl_fact_entry){"pressure_kpa", {s->still.pressure_kpa}, 1, NULL};
    if (s->origins[SCHEDULE] != BY_DEFAULT) {
        schedule_text(s->steps, s->still.schedule_count, room[count], sizeof room[count]);
        facts[count] = (jl_fact_entry){"reflux_schedule", {0}, 0, room[count]};
        count++;
    }
    for (int i = 0; i < RULE_PLACES; i++) {
        if (s->origins[FORESHOTS + i] == BY_DEFAULT) continue;
        cut_text(cut_at((still_settings *)s, RULES[i].place), room[count], sizeof room[count]);
        facts[count] = (jl_fact_entry){RULES[i].key, {0}, 0, room[count]};
        count++;
    }
    return count;
}
