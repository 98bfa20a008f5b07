/* Facts in a run log, and a new log of nothing but facts.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/logwriter.h"
#include "text/letters.h"

#include <string.h>

static void add_fact_row(const jl_dialect *dialect, const jl_fact_entry *fact, jl_text *text) {
    jl_text_add(text, "#", 1);
    jl_text_add(text, fact->key, strlen(fact->key));
    for (int i = 0; i < fact->count; i++) {
        jl_delimiter_add(text, dialect);
        jl_cell_add_number(text, dialect, fact->values[i]);
    }
    if (fact->text != NULL) {
        jl_delimiter_add(text, dialect);
        jl_cell_add_note(text, dialect, fact->text, strlen(fact->text));
    }
    jl_line_end_add(text, dialect);
}

static bool has_value(const jl_fact_entry *fact) {
    return fact->count > 0 || fact->text != NULL;
}

static jl_status check_facts(const jl_fact_entry *facts, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (!jl_is_one_line(facts[i].text)) return JL_FORM;
    return JL_OK;
}

jl_status jl_writer_add_facts(jl_writer *w, const jl_fact_entry *facts, size_t count) {
    jl_text rows = {0};
    jl_status status = check_facts(facts, count);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < count; i++) add_fact_row(&w->layout.dialect, &facts[i], &rows);
    status = jl_writer_append(w, &rows);
    jl_text_free(&rows);
    return status;
}

enum { FACTS_MOST = 16 };

typedef struct setting {
    const jl_fact_entry *facts;
    size_t count;
    bool stands[FACTS_MOST];
    bool looking; /* for those that stand, before anything is written */
} setting;

static jl_status set_value(const jl_writer *w, jl_edit *edit, const jl_row *row,
                           const jl_fact_entry *fact) {
    jl_change change = {.cell = 1};
    if (fact->text != NULL)
        jl_cell_add_note(&change.text, &w->layout.dialect, fact->text, strlen(fact->text));
    else
        jl_cell_add_number(&change.text, &w->layout.dialect, fact->values[0]);
    jl_status status = jl_edit_row(edit, row, &change, 1);
    jl_text_free(&change.text);
    return status;
}

static jl_status visit_set(const jl_writer *w, jl_edit *edit, const jl_row *row, jl_row_kind kind,
                           uint32_t jar, void *with) {
    setting *s = with;
    (void)jar;
    if (kind != JL_ROW_FACT) return JL_OK;
    for (size_t i = 0; i < s->count; i++) {
        if (!jl_same_letters(row->cells[0].text + 1, s->facts[i].key)) continue;
        s->stands[i] = true;
        if (s->looking) return JL_OK;
        return has_value(&s->facts[i]) ? set_value(w, edit, row, &s->facts[i])
                                       : jl_edit_drop(edit, row);
    }
    return JL_OK;
}

static jl_status find_set(jl_writer *w, setting *s, bool *any) {
    s->looking = true;
    jl_status status = jl_writer_look(w, visit_set, s);
    s->looking = false;
    for (size_t i = 0; i < s->count; i++) *any = *any || s->stands[i];
    return status;
}

jl_status jl_writer_set_facts(jl_writer *w, const jl_fact_entry *facts, size_t count) {
    setting s = {.facts = facts, .count = count};
    bool any = false;
    jl_text rows = {0};
    if (count > FACTS_MOST) return JL_RANGE;
    jl_status status = check_facts(facts, count);
    if (status == JL_OK) status = find_set(w, &s, &any);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < count; i++)
        if (!s.stands[i] && has_value(&facts[i]))
            add_fact_row(&w->layout.dialect, &facts[i], &rows);
    status = any ? jl_writer_rewrite(w, visit_set, &s, rows.length > 0 ? &rows : NULL)
                 : jl_writer_append(w, &rows);
    jl_text_free(&rows);
    return status;
}

/* ---- a new log ---- */

jl_status jl_log_create(const char *path, const jl_fact_entry *facts, size_t count,
                        jl_log_units units, jl_trouble *trouble) {
    static const char *const HEADERS[] = {
        [JL_LOG_PCT_C] = "jar,time,volume_ml,reading_pct,temp_c,head_c,boiler_c,fraction,note\n",
        [JL_LOG_PROOF_F] =
            "jar,time,volume_ml,reading_proof,temp_f,head_f,boiler_f,fraction,note\n",
    };
    const jl_dialect plain = {.delimiter = ','};
    jl_text text = {0};
    if (trouble != NULL) *trouble = (jl_trouble){0};
    jl_status status = check_facts(facts, count);
    if (status != JL_OK) return status;
    add_fact_row(&plain, &(jl_fact_entry){.key = "jarline", .values = {1}, .count = 1}, &text);
    for (size_t i = 0; i < count; i++) add_fact_row(&plain, &facts[i], &text);
    jl_text_add(&text, HEADERS[units], strlen(HEADERS[units]));
    status = text.failed ? JL_MEMORY : jl_create(path, text.bytes, text.length, trouble);
    jl_text_free(&text);
    return status;
}
