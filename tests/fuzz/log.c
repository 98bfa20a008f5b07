/* Any bytes as a run log: jars that hold together, or a fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "target.h"

static void facts_hold(const jl_facts *facts) {
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
    HOLDS(jar->before_l >= 0 && jar->until_l >= jar->before_l && isfinite(jar->until_l));
    HOLDS(jar->note[jar->note_length] == '\0');
}

static void expected_holds(const jl_run *run) {
    size_t count;
    const jl_expected *rows = jl_run_expected(run, &count);
    for (size_t i = 0; i < count; i++) {
        HOLDS(rows[i].end_l >= (i == 0 ? 0 : rows[i - 1].end_l));
        HOLDS(rows[i].strength_pct >= 0 && rows[i].strength_pct <= 100);
    }
    HOLDS((count == 0) == isnan(jl_run_expected_pure_l(run)));
    if (count == 0) return;
    double pct = jl_run_expected_pct(run, 0, rows[count - 1].end_l);
    HOLDS(isnan(pct) || (pct >= 0 && pct <= 100 + 1e-9));
}

static void run_holds(const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++) {
        jar_holds(&jars[i]);
        /* As on their tape, whatever their rows: 8a behind 8. */
        HOLDS(i == 0 || jars[i].number >= jars[i - 1].number);
        HOLDS(i == 0 || jars[i].line != jars[i - 1].line);
        HOLDS(i > 50 || jl_run_jar_named(run, jars[i].name) == &jars[i]);
    }
    facts_hold(jl_run_facts(run));
    expected_holds(run);
    HOLDS(jl_tally_sum(jl_run_tally(run), JL_OF_ALL).jars == count);
    HOLDS((jl_run_some(run, NULL) == JL_OK) == (count > 0));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_run *run;
    jl_fault fault;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_run_read(fd, &run, &fault);
    close(fd);
    if (status == JL_OK) {
        run_holds(run);
        jl_run_free(run);
    } else
        fault_holds(status, &fault);
    return 0;
}
