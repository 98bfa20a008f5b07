/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/factfile.h"
#include "answer/output.h"
#include "answer/say.h"
#include "input/bench.h"
#include "text/letters.h"

#include <string.h>

void facts_text(const char *comment, const jl_fact_entry *facts, size_t count, jl_text *text) {
    static const char HEAD[] = "jarline,1\nkind,settings\n# ";
    const jl_dialect plain = {.delimiter = ','};
    jl_text_add(text, HEAD, sizeof HEAD - 1);
    jl_text_add(text, comment, strlen(comment));
    jl_line_end_add(text, &plain);
    for (size_t i = 0; i < count; i++) {
        const char *words = facts[i].text;
        jl_text_add(text, facts[i].key, strlen(facts[i].key));
        for (int k = 0; k < facts[i].count; k++) {
            jl_delimiter_add(text, &plain);
            jl_cell_add_number(text, &plain, facts[i].values[k]);
        }
        if (words != NULL) {
            jl_delimiter_add(text, &plain);
            jl_cell_add_note(text, &plain, words, strlen(words));
        }
        jl_line_end_add(text, &plain);
    }
    if (text->failed) need(NULL);
}

/* The figures of such a file, in the order in which they stand. */
static const struct {
    jl_key_id id;
    size_t at;
} FIGURES[] = {
    {JL_KEY_CHARGE, offsetof(charge_facts, charge_l)},
    {JL_KEY_CHARGE_STRENGTH, offsetof(charge_facts, charge_strength_pct)},
    {JL_KEY_CHARGE_STRENGTH_U, offsetof(charge_facts, charge_strength_u_pct)},
    {JL_KEY_LOADS, offsetof(charge_facts, loads)},
    {JL_KEY_LAST_LOAD, offsetof(charge_facts, last_load_l)},
    {JL_KEY_SEDIMENT, offsetof(charge_facts, sediment_l)},
    {JL_KEY_MARK, offsetof(charge_facts, mark_l)},
    {JL_KEY_MIN_LIQUID, offsetof(charge_facts, min_liquid_l)},
    {JL_KEY_FEINTS, offsetof(charge_facts, feints_l)},
    {JL_KEY_FEINTS_STRENGTH, offsetof(charge_facts, feints_strength_pct)},
};

enum { FIGURE_COUNT = sizeof FIGURES / sizeof FIGURES[0] };

static double *figure_of(charge_facts *facts, size_t i) {
    return (double *)(void *)((char *)facts + FIGURES[i].at);
}

double charge_facts_all_l(const charge_facts *f) {
    return f->charge_l * (isnan(f->loads) ? 1 : f->loads) +
           (isnan(f->last_load_l) ? 0 : f->last_load_l);
}

/* What is not stated has no row. */
int write_charge(const struct output_options *to_file, const charge_facts *facts) {
    jl_fact_entry rows[FIGURE_COUNT + 2];
    charge_facts f = *facts;
    size_t count = 0;
    jl_text text = {0};
    /* A file of facts holds a key and its value on each line. */
    if (!jl_is_one_line(f.title)) return refuse("--title '%s': expected text on one line", f.title);
    rows[count++] = (jl_fact_entry){jl_keys[JL_KEY_TITLE].name, {0}, 0, f.title};
    for (size_t i = 0; i < FIGURE_COUNT; i++)
        if (!isnan(*figure_of(&f, i)))
            rows[count++] =
                (jl_fact_entry){jl_keys[FIGURES[i].id].name, {*figure_of(&f, i)}, 1, NULL};
    if (f.vessel != NULL)
        rows[count++] = (jl_fact_entry){jl_keys[JL_KEY_CHARGE_FROM].name, {0}, 0, f.vessel};
    facts_text(f.origin, rows, count, &text);
    int bad = output_write(to_file, text.bytes, text.length);
    jl_text_free(&text);
    return bad;
}

static int fail_missing(const char *path, jl_key_id id) {
    jl_fault fault = {.status = JL_MISSING, .expected = jl_keys[id].fact.expected};
    snprintf(fault.cell, sizeof fault.cell, "%s", jl_keys[id].name);
    return fail_fault(path, &fault);
}

/* A strength as % vol at 20 °C. */
static int to_pct(const char *path, const jl_settings *s, jl_key_id id, double *pct) {
    double p;
    if (!s->of[id].has || (jl_strength_to_mass_fraction(s->of[id].number, &p) == JL_OK &&
                           jl_strength_pct(p, JL_STRENGTH_C, pct) == JL_OK))
        return 0;
    return fail(EXIT_DATA, "%s: the strength is out of range; expected %s", path,
                jl_keys[id].fact.expected);
}

int read_charge(const char *path, charge_facts *facts) {
    jl_settings s;
    charge_facts f = CHARGE_FACTS;
    jl_settings_begin(&s);
    const settings_file file = {.name = path, .where = JL_IN_CHARGE};
    int bad = settings_file_read(&file, JL_IN_CHARGE, &s, NULL);
    for (jl_key_id id = JL_KEY_CHARGE; bad == 0 && id <= JL_KEY_CHARGE_STRENGTH; id++)
        if (!s.of[id].has) bad = fail_missing(path, id);
    for (size_t i = 0; i < FIGURE_COUNT; i++)
        if (jl_is_stated(&s, FIGURES[i].id))
            *figure_of(&f, i) = jl_setting_value(&s, FIGURES[i].id);
    if (bad == 0) bad = to_pct(path, &s, JL_KEY_CHARGE_STRENGTH, &f.charge_strength_pct);
    if (bad == 0) bad = to_pct(path, &s, JL_KEY_FEINTS_STRENGTH, &f.feints_strength_pct);
    if (bad == 0 && isnan(f.feints_l) != isnan(f.feints_strength_pct))
        bad = fail_missing(path, isnan(f.feints_l) ? JL_KEY_FEINTS : JL_KEY_FEINTS_STRENGTH);
    if (bad == 0) bad = settings_file_text(path, jl_keys[JL_KEY_CHARGE_FROM].name, &f.vessel);
    if (bad == 0) *facts = f;
    return bad;
}
