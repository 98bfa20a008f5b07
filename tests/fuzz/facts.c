/* Any bytes as a file of facts, and each fact under every kind.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/facts.h"
#include "target.h"

#include "keys/settings.h"

static void fact_holds(const jl_facts *facts, const jl_fact *fact) {
    char stem[32];
    snprintf(stem, sizeof stem, "%s", fact->key);
    char *unit = strrchr(stem, '_');
    if (unit != NULL) *unit = '\0';
    HOLDS(fact->line > 0 && fact->key[0] != '\0' && fact->text != NULL);
    for (jl_kind kind = JL_VOLUME; kind <= JL_HEAT; kind++) {
        jl_fault fault;
        jl_quantity quantity;
        const jl_fact_key key = {stem, kind, -1e6, 1e6, "a number"};
        jl_status status = jl_facts_quantity(facts, &key, &quantity, &fault);
        if (status == JL_OK)
            HOLDS(isfinite(quantity.value));
        else
            fault_holds(status, &fault);
    }
    for (size_t i = 0; i < fact->count; i++) {
        double value;
        if (jl_fact_number(fact, i, -10, 10, "a number", &value, NULL) == JL_OK)
            HOLDS(value >= -10 && value <= 10);
    }
    jl_time time;
    jl_facts_time(facts, fact->key, &time, NULL);
}

/* What is taken lies in its range, and is taken again as it is written. */
static void settings_hold(const jl_facts *facts, unsigned where) {
    jl_settings s;
    jl_setting_rows rows;
    jl_fault fault;
    jl_settings_begin(&s);
    jl_status status = jl_settings_take(&s, facts, where, JL_FROM_FILE, NULL, &fault);
    if (status != JL_OK) fault_holds(status, &fault);
    for (size_t id = 0; id < JL_KEYS; id++)
        if (s.of[id].has && jl_keys[id].form == JL_AS_NUMBER) {
            double scale = s.of[id].number.unit == JL_UNIT_PROOF_US ? 2 : 1;
            HOLDS(s.of[id].number.value >= scale * jl_keys[id].fact.least);
            HOLDS(s.of[id].number.value <= scale * jl_keys[id].fact.most);
        }
    jl_settings_rows(&s, where, &rows);
    for (size_t i = 0; i < rows.count; i++)
        HOLDS(rows.rows[i].count == 1 ? isfinite(rows.rows[i].values[0])
                                      : rows.rows[i].text[0] != '\0');
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_facts *facts;
    jl_fault fault;
    const jl_fact *fact;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) {
        fault_holds(status, &fault);
        return 0;
    }
    for (size_t i = 0; i < 50 && (fact = jl_facts_at(facts, i)) != NULL; i++)
        fact_holds(facts, fact);
    settings_hold(facts, JL_IN_RUN);
    settings_hold(facts, JL_IN_STILL | JL_IN_INSTRUMENTS);
    jl_facts_free(facts);
    return 0;
}
