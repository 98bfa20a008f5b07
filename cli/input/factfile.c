/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/factfile.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A file of facts holds a key and its value on each line. */
static bool is_one_line(const char *text) {
    for (; *text != '\0'; text++)
        if ((unsigned char)*text < ' ' || *text == 127) return false;
    return true;
}

void facts_text(const char *comment, const jl_fact_entry *facts, size_t count, jl_text *text) {
    const jl_dialect plain = {.delimiter = ','};
    jl_text_add(text, "# ", 2);
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

/* A figure that is not known has no row. */
static void add_number(jl_fact_entry *rows, size_t *count, jl_key_id id, double value) {
    if (!isnan(value)) rows[(*count)++] = (jl_fact_entry){jl_keys[id].name, {value}, 1, NULL};
}

int write_charge(const output_options *to_file, const charge_facts *facts) {
    jl_fact_entry rows[JL_KEYS];
    size_t count = 0;
    jl_text text = {0};
    if (!is_one_line(facts->title))
        return fail(EXIT_USAGE, "--title '%s': expected text on one line", facts->title);
    rows[count++] = (jl_fact_entry){jl_keys[JL_KEY_TITLE].name, {0}, 0, facts->title};
    add_number(rows, &count, JL_KEY_CHARGE, facts->charge_l);
    add_number(rows, &count, JL_KEY_CHARGE_STRENGTH, facts->charge_strength_pct);
    add_number(rows, &count, JL_KEY_CHARGE_STRENGTH_U, facts->charge_strength_u_pct);
    facts_text(facts->origin, rows, count, &text);
    int bad = output_write(to_file, text.bytes, text.length);
    jl_text_free(&text);
    return bad;
}

static int fail_missing(const char *path, jl_key_id id) {
    jl_fault fault = {.status = JL_MISSING, .expected = jl_keys[id].fact.expected};
    snprintf(fault.cell, sizeof fault.cell, "%s", jl_keys[id].name);
    return fail_fault(path, &fault);
}

int read_charge(const char *path, charge_facts *facts) {
    jl_settings s;
    double p;
    *facts = (charge_facts){0};
    jl_settings_begin(&s);
    const settings_file file = {.name = path, .where = JL_IN_CHARGE};
    int bad = settings_file_read(&file, JL_IN_CHARGE, &s, NULL);
    for (jl_key_id id = JL_KEY_CHARGE; bad == 0 && id <= JL_KEY_CHARGE_STRENGTH; id++)
        if (!s.of[id].has) bad = fail_missing(path, id);
    if (bad != 0) return bad;
    facts->charge_l = jl_setting_value(&s, JL_KEY_CHARGE);
    facts->charge_strength_u_pct = jl_setting_value(&s, JL_KEY_CHARGE_STRENGTH_U);
    if (jl_strength_to_mass_fraction(s.of[JL_KEY_CHARGE_STRENGTH].number, &p) == JL_OK &&
        jl_strength_pct(p, JL_STRENGTH_C, &facts->charge_strength_pct) == JL_OK)
        return 0;
    return fail(EXIT_DATA, "%s: the strength is out of range; expected %s", path,
                jl_keys[JL_KEY_CHARGE_STRENGTH].fact.expected);
}
