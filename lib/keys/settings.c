/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/settings.h"
#include "keys/facts.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A rival says the same in another way, so that only one of the two holds; what is said about a
 * value says nothing of another. */
static const struct {
    jl_key_id id, other;
    bool rival;
} RELATED[] = {
    {JL_KEY_PRESSURE, JL_KEY_ALTITUDE, true},      {JL_KEY_ALTITUDE, JL_KEY_PRESSURE, true},
    {JL_KEY_REFLUX, JL_KEY_REFLUX_SHARE_U, false}, {JL_KEY_EFFICIENCY, JL_KEY_EFFICIENCY_U, false},
    {JL_KEY_BOILER, JL_KEY_MARK, false},
};
enum { RELATIONS = sizeof RELATED / sizeof RELATED[0] };

static bool is_kept(jl_key_form form) {
    return form != JL_AS_TEXT && form != JL_AS_TIME && form != JL_AS_ROW;
}

static bool same_source(const jl_setting *a, const jl_setting *b) {
    return a->origin == b->origin && a->source == b->source;
}

/* Whether a rival of the key stands in the same source. */
static bool contradicts(const jl_settings *s, jl_key_id id, const jl_setting *from) {
    for (size_t i = 0; i < RELATIONS; i++)
        if (RELATED[i].id == id && RELATED[i].rival && s->of[RELATED[i].other].has &&
            same_source(&s->of[RELATED[i].other], from))
            return true;
    return false;
}

static void put(jl_settings *s, jl_key_id id, const jl_setting *setting) {
    for (size_t i = 0; i < RELATIONS; i++)
        if (RELATED[i].id == id &&
            (RELATED[i].rival || !same_source(&s->of[RELATED[i].other], setting)))
            s->of[RELATED[i].other].has = false;
    s->of[id] = *setting;
    s->of[id].has = true;
}

/* ---- Options ---- */

static const char *option_expected(const jl_key *key, jl_kind kind, jl_status status) {
    if (status == JL_AMBIGUOUS) return jl_unambiguous_expected;
    return status == JL_RANGE ? key->range : jl_quantity_forms(kind);
}

/* A correction has a sign, which a strength has not; a difference in proof is half of it in % vol.
 */
static jl_status read_difference(const char *word, jl_quantity *number) {
    bool negative = word[0] == '-';
    jl_status status = jl_quantity_read(word + negative, JL_STRENGTH, number);
    if (status != JL_OK) return status;
    if (number->unit == JL_UNIT_PCT_MASS) return JL_OK; /* refused as everywhere */
    double pct = number->value / jl_per_pct(number->unit);
    *number = (jl_quantity){negative ? -pct : pct, JL_UNIT_PCT_VOL};
    return JL_OK;
}

bool jl_is_strength_difference(const jl_key *key) {
    return key->fact.kind == JL_STRENGTH && (key->where & JL_IN_INSTRUMENTS) != 0;
}

static jl_status read_number(const jl_key *key, const char *word, jl_quantity *number,
                             jl_fault *fault) {
    jl_kind kind = key->form == JL_AS_SHARE ? JL_SHARE : key->fact.kind;
    bool difference = jl_is_strength_difference(key);
    jl_status status =
        difference ? read_difference(word, number) : jl_quantity_read(word, kind, number);
    if (status == JL_OK && number->unit == JL_UNIT_PCT_MASS) status = JL_UNIT;
    double scale = status == JL_OK ? jl_per_pct(number->unit) : 1;
    if (status == JL_OK &&
        !(number->value >= scale * key->fact.least && number->value <= scale * key->fact.most))
        status = JL_RANGE;
    if (status == JL_OK) return JL_OK;
    const char *expected = key->fact.kind == JL_STRENGTH && status == JL_UNIT
                               ? "% vol or proof, as 0.2%"
                               : option_expected(key, kind, status);
    return jl_text_fault(fault, status, word, expected);
}

/* A value as an option's word and, but for numbers, as a file has it. */
static jl_status read_word(jl_settings *s, jl_key_id id, const char *word, jl_setting *setting,
                           jl_fault *fault) {
    const jl_key *key = &jl_keys[id];
    if (key->form == JL_AS_CUT || key->form == JL_AS_AMOUNT)
        return jl_cut_read(word, key->form == JL_AS_AMOUNT, &setting->cut, fault);
    if (key->form == JL_AS_SCHEDULE) return jl_schedule_read(word, s->steps, &s->step_count, fault);
    return read_number(key, word, &setting->number, fault);
}

jl_status jl_settings_option(jl_settings *s, jl_key_id id, const char *word, jl_fault *fault) {
    jl_setting setting = {.origin = JL_FROM_OPTION};
    if (!is_kept(jl_keys[id].form)) return JL_OK;
    if (contradicts(s, id, &setting))
        return jl_text_fault(fault, JL_CONFLICT, word, "a pressure or an altitude, not both");
    jl_status status = read_word(s, id, word, &setting, fault);
    if (status == JL_OK) put(s, id, &setting);
    return status;
}

void jl_settings_begin(jl_settings *s) {
    *s = (jl_settings){0};
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        jl_setting *setting = &s->of[id];
        setting->has = jl_keys[id].usual != NULL;
        if (setting->has) (void)read_word(s, id, jl_keys[id].usual, setting, NULL);
    }
}

void jl_settings_number(jl_settings *s, jl_key_id id, double value, jl_origin origin,
                        const char *source) {
    const jl_setting setting = {
        .origin = origin, .source = source, .number = {value, JL_UNIT_BASE}};
    put(s, id, &setting);
}

/* ---- Files ---- */

jl_key_id jl_key_of(const jl_fact *fact, unsigned where) {
    jl_key_id id = 0;
    while (id < JL_KEYS && !((jl_keys[id].where & where) != 0 &&
                             jl_fact_is(fact, jl_keys[id].fact.stem, jl_keys[id].fact.kind)))
        id++;
    return id;
}

static jl_status read_fact(jl_settings *s, jl_key_id id, const jl_fact *fact, jl_setting *setting,
                           jl_fault *fault) {
    const jl_key *key = &jl_keys[id];
    jl_fault own = {0};
    if (key->form == JL_AS_NUMBER || key->form == JL_AS_SHARE) {
        jl_status status = jl_fact_quantity(fact, &key->fact, &setting->number, fault);
        if (status == JL_OK && jl_is_strength_difference(key) &&
            setting->number.unit == JL_UNIT_PROOF_US)
            setting->number = (jl_quantity){setting->number.value / 2, JL_UNIT_PCT_VOL};
        return status;
    }
    jl_status status =
        fact->text[0] == '\0' ? JL_MISSING : read_word(s, id, fact->text, setting, &own);
    if (status == JL_MISSING) own.expected = key->fact.expected;
    return status == JL_OK ? JL_OK : jl_fact_fault(fact, 0, status, own.expected, fault);
}

static bool has_value(const jl_fact *fact) {
    return fact->text[0] != '\0';
}

/* Facts of a file, from one to before another. */
typedef struct part {
    const jl_facts *facts;
    size_t from, to;
    unsigned where;
} part;

static const jl_fact *fact_of(const part *p, size_t at) {
    return at < p->to ? jl_facts_at(p->facts, at) : NULL;
}

/* Whether a fact of a file of settings may stand there at all. */
static jl_status check_strictly(const part *p, size_t at, jl_key_id id, jl_fault *fault) {
    const jl_fact *fact = fact_of(p, at), *later;
    const char *expected = id == JL_KEYS ? NULL : "each key once, in one unit";
    bool twice = false;
    if (id == JL_KEY_KIND && !jl_same_letters(fact->text, "settings"))
        return jl_fact_fault(fact, 0, JL_CONFLICT, "a file of settings: kind,settings", fault);
    if (id != JL_KEYS && (jl_keys[id].where & JL_REPEATS) == 0)
        for (size_t i = at + 1; !twice && (later = fact_of(p, i)) != NULL; i++)
            twice = jl_fact_is(later, jl_keys[id].fact.stem, jl_keys[id].fact.kind);
    if (id != JL_KEYS && !twice) return JL_OK;
    return jl_fault_at(fault, id == JL_KEYS ? JL_FORM : JL_CONFLICT, fact->line, 1, fact->key,
                       strlen(fact->key), expected);
}

/* Of a boiler and its mark the one that was read last says so. */
static bool is_above_boiler(const jl_settings *s, jl_key_id id) {
    const jl_setting *boiler = &s->of[JL_KEY_BOILER], *mark = &s->of[JL_KEY_MARK];
    return (id == JL_KEY_BOILER || id == JL_KEY_MARK) && boiler->has && mark->has &&
           mark->number.value > boiler->number.value;
}

static jl_status take_part(jl_settings *s, const part *p, jl_origin origin, const char *source,
                           jl_fault *fault) {
    bool strict = (p->where & JL_IN_SETTINGS) != 0;
    const jl_fact *fact;
    for (size_t i = p->from; (fact = fact_of(p, i)) != NULL; i++) {
        jl_setting setting = {.origin = origin, .source = source, .line = fact->line};
        jl_key_id id = jl_key_of(fact, p->where);
        jl_status status = strict ? check_strictly(p, i, id, fault) : JL_OK;
        if (status != JL_OK) return status;
        if (id == JL_KEYS || !is_kept(jl_keys[id].form) || (!strict && !has_value(fact))) continue;
        if (strict && contradicts(s, id, &setting))
            return jl_fact_fault(fact, 0, JL_CONFLICT, "a pressure or an altitude, not both",
                                 fault);
        status = read_fact(s, id, fact, &setting, fault);
        if (status != JL_OK) return status;
        put(s, id, &setting);
        if (strict && is_above_boiler(s, id))
            return jl_fact_fault(fact, 0, JL_RANGE, "a mark within the boiler's volume", fault);
    }
    return JL_OK;
}

jl_status jl_settings_take(jl_settings *s, const jl_facts *facts, unsigned where, jl_origin origin,
                           const char *source, jl_fault *fault) {
    return take_part(s, &(part){facts, 0, SIZE_MAX, where}, origin, source, fault);
}

/* ---- A section a still ---- */

bool jl_begins_section(const jl_fact *fact) {
    return strcmp(fact->key, jl_keys[JL_KEY_STILL].name) == 0;
}

/* Where the next section begins, or the facts end. */
static size_t next_section(const jl_facts *facts, size_t at) {
    const jl_fact *fact;
    while ((fact = jl_facts_at(facts, at)) != NULL && !jl_begins_section(fact)) at++;
    return at;
}

const jl_fact *jl_still_section(const jl_facts *facts, size_t index) {
    size_t at = next_section(facts, 0);
    while (index-- > 0 && jl_facts_at(facts, at) != NULL) at = next_section(facts, at + 1);
    return jl_facts_at(facts, at);
}

/* One without a line is none, as long as another has some. */
static jl_status only_still(const jl_facts *facts, const jl_fact **still) {
    size_t filled = 0, at = next_section(facts, 0);
    const jl_fact *section, *only = jl_facts_at(facts, at);
    for (; (section = jl_facts_at(facts, at)) != NULL; at = next_section(facts, at + 1)) {
        if (next_section(facts, at + 1) == at + 1) continue;
        only = section;
        filled++;
    }
    if (filled > 1 || (filled == 0 && jl_still_section(facts, 1) != NULL)) return JL_MISSING;
    *still = only;
    return JL_OK;
}

jl_status jl_still_named(const jl_facts *facts, const char *name, const jl_fact **still) {
    const jl_fact *found;
    if (name == NULL) return only_still(facts, still);
    for (size_t i = 0; (found = jl_still_section(facts, i)) != NULL; i++)
        if (jl_same_letters(found->text, name)) break;
    if (found == NULL) return JL_NO;
    *still = found;
    return JL_OK;
}

static jl_status check_name(const jl_facts *facts, const jl_fact *still, jl_fault *fault) {
    const jl_fact *first;
    if (!has_value(still))
        return jl_fact_fault(still, 0, JL_MISSING, jl_keys[JL_KEY_STILL].fact.expected, fault);
    for (size_t i = 0; (first = jl_still_section(facts, i)) != still; i++)
        if (jl_same_letters(first->text, still->text))
            return jl_fact_fault(still, 0, JL_CONFLICT, "each still once", fault);
    return JL_OK;
}

/* Also of the sections that are not wanted. */
static jl_status take_sections(jl_settings *s, jl_settings *unused, const jl_facts *facts,
                               unsigned where, const jl_fact *still, const char *source,
                               const char *still_source, jl_fault *fault) {
    size_t end = next_section(facts, 0);
    jl_status status = take_part(s, &(part){facts, 0, end, where}, JL_FROM_FILE, source, fault);
    for (const jl_fact *name; status == JL_OK && (name = jl_facts_at(facts, end)) != NULL;) {
        const part section = {facts, end, next_section(facts, end + 1), JL_IN_STILL};
        jl_settings_begin(unused);
        status = check_name(facts, name, fault);
        if (status == JL_OK)
            status =
                take_part(name == still ? s : unused, &section, JL_FROM_FILE, still_source, fault);
        end = section.to;
    }
    return status;
}

jl_status jl_settings_take_sections(jl_settings *s, const jl_facts *facts, unsigned where,
                                    const jl_fact *still, const char *source,
                                    const char *still_source, jl_fault *fault) {
    jl_settings *room = malloc(2 * sizeof *room);
    if (room == NULL) return jl_no_memory(fault);
    room[0] = *s;
    jl_status status =
        take_sections(&room[0], &room[1], facts, where, still, source, still_source, fault);
    if (status == JL_OK) *s = room[0];
    free(room);
    return status;
}

void jl_settings_over(jl_settings *s, const jl_settings *from, unsigned where) {
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        if ((jl_keys[id].where & where) == 0 || !jl_is_stated(from, id)) continue;
        put(s, id, &from->of[id]);
        if (jl_keys[id].form != JL_AS_SCHEDULE) continue;
        memcpy(s->steps, from->steps, sizeof s->steps);
        s->step_count = from->step_count;
    }
}

static jl_status read_still(const jl_facts *facts, const char *name, jl_settings **settings,
                            jl_fault *fault) {
    static const char FILE_NAME[] = "", SECTION[] = ""; /* two sources, neither with a name */
    const jl_fact *still = NULL;
    jl_status status = jl_still_named(facts, name, &still);
    if (status != JL_OK)
        return jl_text_fault(fault, status, jl_keys[JL_KEY_STILL].name,
                             "the name of one of its stills");
    jl_settings *read = malloc(sizeof *read);
    if (read == NULL) return jl_no_memory(fault);
    jl_settings_begin(read);
    status =
        jl_settings_take_sections(read, facts, JL_IN_SETTINGS, still, FILE_NAME, SECTION, fault);
    if (status == JL_OK)
        *settings = read;
    else
        free(read);
    return status;
}

jl_status jl_settings_read_still(int fd, const char *still, jl_settings **settings,
                                 jl_fault *fault) {
    jl_facts *facts;
    jl_status status = jl_facts_read(fd, &facts, fault);
    if (status != JL_OK) return status;
    status = read_still(facts, still, settings, fault);
    jl_facts_free(facts);
    return status;
}

jl_status jl_settings_read(int fd, jl_settings **settings, jl_fault *fault) {
    return jl_settings_read_still(fd, NULL, settings, fault);
}

void jl_settings_free(jl_settings *settings) {
    free(settings);
}

/* ---- Values ---- */

bool jl_is_stated(const jl_settings *s, jl_key_id id) {
    return s->of[id].has && s->of[id].origin != JL_FROM_DEFAULT;
}

double jl_setting_value(const jl_settings *s, jl_key_id id) {
    return s->of[id].has ? s->of[id].number.value : NAN;
}

bool jl_same_setting(const jl_settings *a, const jl_settings *b, jl_key_id id) {
    const jl_setting *x = &a->of[id], *y = &b->of[id];
    if (!x->has || !y->has) return x->has == y->has;
    return x->number.value == y->number.value && x->cut.by == y->cut.by && x->cut.at == y->cut.at;
}

/* ---- As rows ---- */

void jl_settings_rows(const jl_settings *s, unsigned where, jl_setting_rows *rows) {
    rows->count = 0;
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_key *key = &jl_keys[id];
        if ((key->where & where) == 0 || !jl_is_stated(s, id)) continue;
        jl_fact_entry *row = &rows->rows[rows->count++];
        *row = (jl_fact_entry){.key = key->name};
        if (key->form == JL_AS_CUT || key->form == JL_AS_AMOUNT) {
            jl_cut_write(&s->of[id].cut, rows->cuts[id]);
            row->text = rows->cuts[id];
        } else if (key->form == JL_AS_SCHEDULE) {
            jl_schedule_write(s->steps, s->step_count, rows->schedule);
            row->text = rows->schedule;
        } else {
            row->values[0] = jl_fact_value(key->name, &key->fact, s->of[id].number.value);
            row->count = 1;
            if (s->of[id].number.unit != JL_UNIT_PROOF_US) continue;
            snprintf(rows->names[id], sizeof rows->names[id], "%s_proof", key->fact.stem);
            row->key = rows->names[id];
        }
    }
}
