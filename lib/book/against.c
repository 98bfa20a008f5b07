/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/against.h"
#include "run/run.h"
#include "text/array.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The jars of a run while its entries are looked at. */
typedef struct jars {
    const jl_jar *all;
    size_t count;
    bool *collected;
} jars;

static jl_status compare(const jl_book_entry *e, jars *j, jl_against *a) {
    jl_spirit logged = {0, 0};
    for (size_t i = 0; i < j->count; i++) {
        if (!jl_book_collected_jar(e, j->all[i].name)) continue;
        j->collected[i] = true;
        logged = jl_blend(logged, j->all[i].spirit);
    }
    bool apart = jl_book_measured_apart(e);
    bool measured = !apart && jl_book_has_size(&e->measured);
    jl_spirit booked = apart ? e->logged : e->amount;
    double least_kg = 1e-6 * jl_mass_kg(booked);
    if (fabs(logged.ethanol_kg - booked.ethanol_kg) <= least_kg &&
        fabs(logged.water_kg - booked.water_kg) <= least_kg)
        return JL_OK;
    if (!jl_grow(&a->changed, a->changed_count, &a->changed_room, sizeof *a->changed))
        return JL_MEMORY;
    a->changed[a->changed_count++] = (jl_against_entry){e->number, measured, booked, logged};
    return JL_OK;
}

static jl_status look(const jl_book *book, const char *name, jars *j, jl_against *a) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        if (e[i].taken_back != JL_BOOK_STANDS || strcmp(e[i].run, name) != 0) continue;
        if (e[i].what == JL_BOOK_COLLECTED) status = compare(&e[i], j, a);
        if (e[i].what != JL_BOOK_CHARGED) continue;
        a->charged = jl_blend(a->charged, e[i].amount);
        a->charged_count++;
    }
    return status;
}

jl_status jl_book_against(const jl_book *book, const char *name, const jl_run *run,
                          jl_against *against) {
    jl_against a = {0};
    jars j;
    j.all = jl_run_jars(run, &j.count);
    j.collected = calloc(j.count + 1, sizeof *j.collected);
    a.jars = calloc(j.count + 1, sizeof *a.jars);
    jl_status status = j.collected == NULL || a.jars == NULL ? JL_MEMORY : look(book, name, &j, &a);
    for (size_t i = 0; status == JL_OK && i < j.count; i++) {
        if (j.collected[i]) continue;
        a.jars[a.jar_count++] = &j.all[i];
        a.jars_spirit = jl_blend(a.jars_spirit, j.all[i].spirit);
    }
    free(j.collected);
    if (status == JL_OK)
        *against = a;
    else
        jl_against_free(&a);
    return status;
}

void jl_against_free(jl_against *a) {
    free(a->jars);
    free(a->changed);
    a->jars = NULL;
    a->changed = NULL;
}
