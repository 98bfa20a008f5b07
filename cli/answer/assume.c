/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/assume.h"
#include "answer/phrases.h"
#include "answer/units.h"
#include "keys/facts.h"
#include "still/from_settings.h"

#include <string.h>

/* ---- A value ---- */

/* The unit of a key, by the end of its name. */
static const char *unit_of(const jl_key *key) {
    static const char *const UNITS[][2] = {
        {"_kj_c", "kJ/°C"}, {"_sg", "SG"}, {"_ml", "mL"},    {"_l", "L"}, {"_kg", "kg"},
        {"_g", "g"},        {"_w", "W"},   {"_kpa", "kPa"},  {"_m", "m"}, {"_c", "°C"},
        {"_pct", "% vol"},  {"_s", "s"},   {"_plato", "°P"},
    };
    size_t length = strlen(key->name);
    if (key->fact.kind == JL_SHARE) return "%";
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        size_t end = strlen(UNITS[i][0]);
        if (length > end && strcmp(key->name + length - end, UNITS[i][0]) == 0) return UNITS[i][1];
    }
    return "";
}

static bool is_difference(const jl_key *key) {
    return key->fact.kind == JL_TEMPERATURE_DIFFERENCE || jl_is_strength_difference(key);
}

static void number_text(const jl_key *key, double value, char *text, size_t size) {
    const char *unit = unit_of(key);
    double number = jl_fact_value(key->name, &key->fact, value);
    number = is_difference(key) ? difference_seen(number, unit) : value_seen(number, unit);
    if (strcmp(unit, "L") == 0 && number > 0 && number < 1) {
        number *= 1000;
        unit = "mL";
    }
    /* A volume in US units has more digits than it was stated with. */
    bool whole = key->fact.kind != JL_VOLUME || fabs(number) >= 1000;
    snprintf(text, size, "%.*g%s%s", whole ? 6 : 4, number, unit[0] == '\0' ? "" : " ",
             unit_seen(unit));
}

/* An option's name in words: "heads" for --heads-rule. */
static void name_text(const jl_key *key, char *text, size_t size) {
    static const char RULE[] = "-rule";
    size_t length = strlen(key->option), end = strlen(RULE);
    if (length > end && strcmp(key->option + length - end, RULE) == 0) length -= end;
    snprintf(text, size, "%.*s", (int)length, key->option);
    for (char *c = text; *c != '\0'; c++)
        if (*c == '-') *c = ' ';
}

static void rule_text(jl_key_id id, const jl_cut *cut, char *text, size_t size) {
    char name[32];
    name_text(&jl_keys[id], name, sizeof name);
    snprintf(text, size, "%s %s", name, RULE(cut));
}

static bool is_rule(jl_key_id id) {
    return jl_keys[id].form == JL_AS_CUT || jl_keys[id].form == JL_AS_AMOUNT;
}

void setting_text(const jl_settings *settings, jl_key_id id, char *text, size_t size) {
    const jl_key *key = &jl_keys[id];
    const jl_setting *setting = &settings->of[id];
    char name[32], words[JL_SCHEDULE_BYTES];
    name_text(key, name, sizeof name);
    if (is_rule(id)) {
        rule_text(id, &setting->cut, text, size);
    } else if (key->form == JL_AS_SCHEDULE) {
        jl_schedule_write(settings->steps, settings->step_count, words);
        snprintf(text, size, "reflux %s", words);
    } else if (id == JL_KEY_ALTITUDE) {
        snprintf(text, size, "altitude %.6g m, on an average day %.5g kPa", setting->number.value,
                 jl_settings_to_still(settings).pressure_kpa);
    } else {
        number_text(key, setting->number.value, words, sizeof words);
        snprintf(text, size, "%s%s %s", id == JL_KEY_PRESSURE ? "air " : "", name, words);
    }
}

/* ---- A still ---- */

static void add(char *text, size_t size, const char *more) {
    size_t length = strlen(text);
    snprintf(text + length, size - length, "%s%s", length > 0 ? ", " : "", more);
}

static bool is_of_a_still(jl_key_id id) {
    return (jl_keys[id].where & JL_IN_STILL) != 0 && jl_keys[id].option != NULL;
}

/* Where a setting is from, as a default's source or the name of a file. */
static const char *source_of(const jl_settings *s, jl_key_id id) {
    return s->of[id].origin == JL_FROM_DEFAULT ? jl_keys[id].source : s->of[id].source;
}

static bool is_same_source(const char *a, const char *b) {
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

/* Settings of a still from one origin with one source. */
static bool settings_of(const jl_settings *s, jl_origin origin, const char *source, char *all,
                        size_t size) {
    char text[JL_SCHEDULE_BYTES + 32];
    all[0] = '\0';
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        if (!is_of_a_still(id) || !s->of[id].has || s->of[id].origin != origin) continue;
        if (!is_same_source(source_of(s, id), source)) continue;
        setting_text(s, id, text, sizeof text);
        add(all, size, text);
    }
    return all[0] != '\0';
}

static bool is_first_of_source(const jl_settings *s, jl_key_id id) {
    for (jl_key_id before = 0; before < id; before++)
        if (is_of_a_still(before) && s->of[before].has &&
            s->of[before].origin == s->of[id].origin &&
            is_same_source(source_of(s, before), source_of(s, id)))
            return false;
    return true;
}

/* A sentence for each source of an origin. */
static void assume_origin(show *to, const jl_settings *s, jl_origin origin) {
    char all[1000];
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        if (!is_of_a_still(id) || !s->of[id].has || s->of[id].origin != origin) continue;
        const char *source = source_of(s, id);
        if (!is_first_of_source(s, id) || !settings_of(s, origin, source, all, sizeof all))
            continue;
        if (origin == JL_FROM_DEFAULT) show_assumption(to, "Default: %s (%s).", all, source);
        if (origin == JL_FROM_FILE) show_assumption(to, "From %s: %s.", source, all);
        if (origin == JL_FROM_OPTION) show_assumption(to, "You set: %s.", all);
    }
}

void assume_of_file(show *to, const jl_settings *s, const jl_key_id *ids, size_t count) {
    char all[300], text[64];
    for (size_t i = 0; i < count; i++) {
        bool first = jl_is_stated(s, ids[i]) && s->of[ids[i]].origin == JL_FROM_FILE;
        const char *source = s->of[ids[i]].source;
        all[0] = '\0';
        for (size_t k = 0; first && k < count; k++) {
            const jl_setting *one = &s->of[ids[k]];
            if (!one->has || one->origin != JL_FROM_FILE || !is_same_source(one->source, source))
                continue;
            first = k >= i;
            setting_text(s, ids[k], text, sizeof text);
            add(all, sizeof all, text);
        }
        if (first) show_assumption(to, "From %s: %s.", source, all);
    }
}

/* Rules that are not stated depend on the charge. */
static void assume_rules(show *to, const jl_settings *s, const jl_plan *plan) {
    const jl_cut *const cuts[] = {&plan->cuts.foreshots, &plan->cuts.heads, &plan->cuts.hearts,
                                  &plan->cuts.tails};
    char text[128];
    for (int i = 0; i < 4; i++) {
        jl_key_id id = (jl_key_id)(JL_KEY_FORESHOTS + i);
        if (jl_is_stated(s, id) || cuts[i]->by == JL_CUT_NEVER) continue;
        rule_text(id, cuts[i], text, sizeof text);
        show_assumption(to, "Default: %s (%s).", text, jl_keys[id].source);
    }
    if (!jl_is_stated(s, JL_KEY_HEADS) && plan->cuts.heads.by == JL_CUT_NEVER)
        show_assumption(to, "Default: a charge under %s makes a strip run, without cuts (%s).",
                        figure_short(JL_CUTS_FROM_PCT, 1, PCT_VOL).text, JL_COMMON_PRACTICE);
}

void assume_still(show *to, const jl_settings *s, const jl_plan *plan) {
    assume_rules(to, s, plan);
    assume_origin(to, s, JL_FROM_DEFAULT);
    assume_origin(to, s, JL_FROM_FILE);
    assume_origin(to, s, JL_FROM_OPTION);
}

/* ---- An instrument ---- */

/* Where a width is from, in brackets. */
static const char *width_source(const jl_instruments *in, jl_instrument which, int what, char *text,
                                size_t size) {
    bool by_division = which == JL_BY_ALCOHOLOMETER && what == JL_LIMIT;
    if (!in->stated[which][what])
        return by_division ? " (for its division, orders of 1885 and 1907)"
                           : " (" JL_COMMON_PRACTICE ")";
    if (in->source[which][what] == NULL) return "";
    snprintf(text, size, " (%.100s)", in->source[which][what]);
    return text;
}

void assume_limits(show *s, const jl_instruments *in, jl_instrument which) {
    static const char *const NAMES[JL_INSTRUMENTS] = {
        "Alcoholometer", "Thermometer", "Jug", "Scale", "Hydrometer", "Charge's vessel"};
    static const char *const WORDS[JL_WIDTHS] = {"limit ±%s", "certificate ±%s (k = 2)",
                                                 "division %s", "repeatability %s"};
    char line[640], number[48], words[96], source[120];
    size_t n = (size_t)snprintf(line, sizeof line, "%s:", NAMES[which]);
    bool any = false;
    for (int what = 0; what < JL_WIDTHS; what++) {
        double width = in->width[which][what];
        if (width == 0) continue;
        number_text(&jl_keys[jl_width_key(which, (jl_width)what)], width, number, sizeof number);
        snprintf(words, sizeof words, WORDS[what], number);
        n += (size_t)snprintf(line + n, sizeof line - n, "%s%s%s", any ? ", " : " ", words,
                              width_source(in, which, what, source, sizeof source));
        any = true;
    }
    show_assumption(s, "%s%s.", line, any ? "" : " taken as exact");
}

/* ---- What a file states that is not known, or more than once ---- */

/* A key in a log: where it stands last, where first, how often. */
typedef struct stated {
    const jl_fact *fact;
    size_t first_line, times;
} stated;

/* More of them would hide the answer. */
enum { UNKNOWN_FACTS_MOST = 20 };

static void note_unknown(show *s, const jl_fact *fact, size_t times) {
    if (times <= UNKNOWN_FACTS_MOST)
        show_warning(s,
                     "Line %zu: '%s' is no fact that is known here, and was passed over ('# ' and "
                     "a text makes a comment).",
                     fact->line, fact->key);
}

static void note_stated_again(show *s, const stated *k) {
    if (k->times == 2)
        show_warning(s, "Line %zu: '%s' was stated in line %zu already; the later one holds.",
                     k->fact->line, k->fact->key, k->first_line);
    else if (k->times > 2)
        show_warning(
            s, "Line %zu: '%s' was stated %zu times before, first in line %zu; this one holds.",
            k->fact->line, k->fact->key, k->times - 1, k->first_line);
}

void warn_of_facts(show *s, const jl_facts *facts, unsigned where, size_t header_line) {
    stated of[JL_KEYS + 1] = {{.times = 0}};
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        jl_key_id key = jl_key_of(fact, where);
        bool corrects = key != JL_KEYS && header_line > 0 && fact->line > header_line;
        if (corrects) continue;
        if (of[key].times++ == 0) of[key].first_line = fact->line;
        of[key].fact = fact;
        if (key == JL_KEYS) note_unknown(s, fact, of[key].times);
    }
    if (of[JL_KEYS].times > UNKNOWN_FACTS_MOST)
        show_warning(s, "%zu more facts are not known here, and were passed over.",
                     of[JL_KEYS].times - UNKNOWN_FACTS_MOST);
    for (int key = 0; key < JL_KEYS; key++)
        if ((jl_keys[key].where & JL_REPEATS) == 0) note_stated_again(s, &of[key]);
}
