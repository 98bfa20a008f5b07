/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/settings.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/units.h"
#include "input/bench.h"
#include "learn/learnt.h"
#include "still/from_settings.h"

#include <math.h>

int arg_setting(const char *word, jl_key_id id, jl_settings *s) {
    char name[48];
    jl_fault fault;
    if (word == NULL || jl_settings_option(s, id, word, &fault) == JL_OK) return 0;
    snprintf(name, sizeof name, "--%s", jl_keys[id].option);
    return fail_argument(name, word, fault.status, fault.expected);
}

int arg_cut(const char *name, const char *word, jl_cut *cut) {
    jl_fault fault;
    if (jl_cut_read(word, false, cut, &fault) == JL_OK) return 0;
    return fail_argument(name, word, fault.status, fault.expected);
}

/* What is learnt of a still goes with its stages and reflux: another file's take it away. */
static int read_file(const settings_file *file, unsigned where, still_settings *s) {
    static jl_learnt_still own; /* too large for some stacks */
    settings_file with = *file;
    const char *stages = s->all.of[JL_KEY_STAGES].source, *reflux = s->all.of[JL_KEY_REFLUX].source;
    own.count = 0;
    with.learnt = &own;
    int bad = settings_file_read(&with, where, &s->all, &s->name);
    if (own.count > 0 || s->all.of[JL_KEY_STAGES].source != stages ||
        s->all.of[JL_KEY_REFLUX].source != reflux)
        s->learnt = own;
    return bad;
}

static int read_bench(const setting_options *o, const char *path, unsigned where,
                      still_settings *s) {
    if (path == NULL) return 0;
    const settings_file file = {path, JL_IN_SETTINGS, o->still_name,
                                o->any_still || o->still != NULL, NULL};
    show_bench(path);
    return read_file(&file, where, s);
}

static int read_still(const setting_options *o, unsigned where, still_settings *s) {
    if (o->still == NULL || (where & JL_IN_STILL) == 0) return 0;
    const settings_file file = {o->still, JL_IN_STILL, o->still_name, true, NULL};
    return read_file(&file, where, s);
}

/* Options stand above files, and of two files the later above the other. */
static int read_all(const setting_options *o, unsigned where, still_settings *s) {
    const char *path = bench_path(o->bench, o->log);
    s->name = o->still_name;
    s->learnt.count = 0;
    if (o->still_name != NULL && o->still == NULL && path == NULL)
        return refuse("--still-name '%s': there is no bench file; expected --bench FILE or --still "
                      "FILE with that still",
                      o->still_name);
    int bad = o->bench_later ? read_still(o, where, s) : 0;
    if (bad == 0) bad = read_bench(o, path, where, s);
    if (bad == 0 && !o->bench_later) bad = read_still(o, where, s);
    for (jl_key_id id = 0; bad == 0 && id < JL_KEYS; id++)
        if ((jl_keys[id].where & where) != 0) bad = arg_setting(o->words[id], id, &s->all);
    return bad;
}

int settings_read(const setting_options *o, unsigned where, jl_settings *s) {
    static still_settings all; /* too large for some stacks */
    all.all = *s;
    int bad = read_all(o, where, &all);
    *s = all.all;
    return bad;
}

/* Another still, or another reflux, than was learnt of. */
static bool says_otherwise(const setting_options *o) {
    static const jl_key_id IDS[] = {JL_KEY_STAGES, JL_KEY_REFLUX, JL_KEY_REFLUX_SCHEDULE,
                                    JL_KEY_EFFICIENCY};
    for (size_t i = 0; i < sizeof IDS / sizeof IDS[0]; i++)
        if (o->words[IDS[i]] != NULL) return true;
    return false;
}

int still_settings_add(const setting_options *o, double charge_strength_pct, still_settings *s) {
    int bad = read_all(o, JL_IN_STILL, s);
    s->still = jl_settings_to_still(&s->all);
    s->plan = jl_settings_to_plan(&s->all, charge_strength_pct);
    s->known = (jl_still_known){.reflux_share_u = jl_setting_value(&s->all, JL_KEY_REFLUX_SHARE_U),
                                .efficiency_u = jl_setting_value(&s->all, JL_KEY_EFFICIENCY_U),
                                .vapour_u = NAN,
                                .share_per_vapour = NAN};
    if (says_otherwise(o)) s->learnt.count = 0;
    if (s->learnt.count == 0) return bad;
    const jl_still_known stated = s->known;
    s->known = jl_learnt_known(&s->learnt, &s->still.vapour_off_share);
    if (isnan(stated.reflux_share_u)) s->known.reflux_share_u = NAN;
    if (isnan(stated.efficiency_u)) s->known.efficiency_u = NAN;
    return bad;
}

int still_settings_read(const setting_options *o, double charge_strength_pct, still_settings *s) {
    jl_settings_begin(&s->all);
    return still_settings_add(o, charge_strength_pct, s);
}

static void answer_by_bench(const setting_options *o, const jl_settings *bench) {
    bool proof = o->in_its_units && jl_setting_value(bench, JL_KEY_PROOF) == 1;
    if (proof) units_by((units){true, true}, UNITS_OF_BENCH);
}

int instruments_read(const setting_options *o, jl_settings *bench) {
    jl_settings_begin(bench);
    int bad = settings_read(o, JL_IN_INSTRUMENTS, bench);
    const jl_instruments instruments = jl_settings_to_instruments(bench);
    digits_by(&instruments);
    answer_by_bench(o, bench);
    return bad;
}

int arg_air(const setting_options *o, jl_settings *s, double *pressure_kpa) {
    setting_options any = *o;
    any.any_still = true;
    jl_settings_begin(s);
    int bad = settings_read(&any, JL_IN_STILL | (o->in_its_units ? JL_IN_INSTRUMENTS : 0), s);
    answer_by_bench(o, s);
    *pressure_kpa = jl_settings_to_still(s).pressure_kpa;
    return bad;
}

int arg_bottle(const char *word, const jl_settings *bench, double *bottle_l) {
    double stated = jl_setting_value(bench, JL_KEY_BOTTLE);
    *bottle_l = isnan(stated) ? 0 : stated;
    int bad = arg_value("--bottle", word, JL_VOLUME, bottle_l);
    if (bad != 0 || word == NULL || *bottle_l > 0) return bad;
    return fail_argument("--bottle", word, JL_RANGE, "a volume above 0, as 700mL");
}

int bench_jar(const setting_options *o, double *jar_l) {
    jl_settings s;
    setting_options any = *o;
    any.any_still = true;
    jl_settings_begin(&s);
    int bad = settings_read(&any, JL_IN_STILL, &s);
    *jar_l = jl_is_stated(&s, JL_KEY_JAR) ? jl_setting_value(&s, JL_KEY_JAR) : NAN;
    return bad;
}

int bench_house(const setting_options *o, const char **house) {
    const char *path = bench_path(o->bench, o->log);
    *house = "";
    return path == NULL ? 0 : settings_file_text(path, "house", house);
}

jl_alcoholometer instrument_of(const jl_settings *bench) {
    phrase_sources(bench);
    return jl_settings_to_alcoholometer(bench);
}

int arg_instrument(const setting_options *o, jl_alcoholometer *instrument) {
    jl_settings s;
    int bad = instruments_read(o, &s);
    *instrument = instrument_of(&s);
    return bad;
}
