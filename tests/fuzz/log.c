/* Any bytes as a run log: jars that hold together, or a fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"

static void facts_hold(const jl_log *log) {
    const jl_facts *facts = jl_log_facts(log);
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        HOLDS(fact->key[0] != '\0' && fact->line > 0 && jl_facts_find(facts, fact->key) != NULL);
}

static void jar_holds(const jl_jar *jar) {
    HOLDS(jar->number >= 1 && jar->number <= JL_JAR_MOST && jar->line > 0);
    HOLDS((unsigned)jar->fraction < JL_FRACTIONS);
    HOLDS(jar->has_reading || jar->has_strength);
    HOLDS(jar->volume_l > 0 && isfinite(jar->volume_l));
    HOLDS(jar->mass_fraction >= 0 && jar->mass_fraction <= 1);
    HOLDS(jar->spirit.ethanol_kg >= 0 && isfinite(jar->spirit.ethanol_kg));
    HOLDS(jar->spirit.water_kg >= 0 && isfinite(jar->spirit.water_kg));
    HOLDS(jar->volume_20c_l > 0 && isfinite(jar->volume_20c_l));
    HOLDS(jar->note[jar->note_length] == '\0');
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_log *log;
    jl_jar jar;
    jl_fault fault;
    jl_tally tally = {0};
    size_t jars = 0;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_log_open(fd, &log, &fault);
    if (status == JL_OK) {
        while ((status = jl_log_next(log, &jar, &fault)) == JL_OK) {
            jar_holds(&jar);
            jl_tally_add(&tally, &jar);
            jars++;
        }
        if (status != JL_END) HOLDS(jl_log_next(log, &jar, &fault) == status);
        facts_hold(log);
        HOLDS(jl_tally_sum(&tally, JL_OF_ALL).jars == jars);
        jl_alcoholometer instrument = jl_log_instrument(log);
        jl_spirit collected = jl_tally_sum(&tally, JL_OF_ALL).spirit;
        jl_recovery recovery;
        jl_recovery_of(jl_log_facts(log), &instrument, collected, &recovery, NULL);
        jl_log_close(log);
    }
    if (status != JL_END) fault_holds(status, &fault);
    close(fd);
    return 0;
}
