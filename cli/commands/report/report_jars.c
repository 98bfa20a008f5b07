/* The table of jars: one a row, or several where a page has not room for all.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/report/report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const report_column COLUMNS[] = {
    {"jar", "", 8.2, false},     {"time", "", 4.4, false},    {"reads", "", 5.6, false},
    {"at", "°C", 3.6, false},    {"volume", "l", 4.6, false}, {"strength", "% vol", 5.4, false},
    {"so far", "l", 4.6, false}, {"pure", "l", 4.6, false},   {"head", "°C", 4.2, false},
    {"fraction", "", 6.6, true}, {"note", "", 0, true},
};

static void cell_time(report_table *t, const jl_jar *jar) {
    char text[JL_TIME_BYTES] = "";
    if (jar->has_time) jl_time_write(jar->time, text, sizeof text);
    page_cell(t, "%.5s", strlen(text) > 16 ? text + 11 : "");
}

static void cell_reading(report_table *t, const jl_jar *jar) {
    if (!jar->has_reading)
        page_cell(t, "%s", "");
    else if (jar->reading.unit == JL_UNIT_PROOF_US)
        page_cell(t, "%.1f pf", jar->reading.value);
    else
        page_number(t, jar->reading.value, 1);
}

static void cells_collected(report_table *t, const picture_jar *jar) {
    page_number(t, jar->blended_l, 3);
    page_number(t, jar->end_pure_l, 3);
    page_number(t, jar->head_c, 1);
}

static void one_jar(const run_record *run, size_t i, report_table *t) {
    const picture_jar *logged = &run->picture.jars[i];
    const jl_jar *jar = &run->rows[i].jar;
    page_cell(t, "%lld", (long long)logged->number);
    cell_time(t, jar);
    cell_reading(t, jar);
    page_number(t, jar->temp_c, 1);
    page_number(t, logged->volume_l, 3);
    page_number(t, logged->strength_pct, 2);
    cells_collected(t, logged);
    page_cell(t, "%s", jl_fraction_name(logged->fraction));
    page_cell(t, "%s", run->rows[i].note == NULL ? "" : run->rows[i].note);
}

/* Volumes added, strengths as blended; what is one jar's alone stays out. */
static void several_jars(const run_record *run, size_t first, size_t end, report_table *t) {
    const picture_jar *jars = run->picture.jars;
    jl_spirit all = {0, 0};
    bool mixed = false;
    double volume_l = 0;
    for (size_t i = first; i < end; i++) {
        all = jl_blend(all, run->rows[i].jar.spirit);
        volume_l += jars[i].volume_l;
        mixed = mixed || jars[i].fraction != jars[first].fraction;
    }
    page_cell(t, "%lld-%lld", (long long)jars[first].number, (long long)jars[end - 1].number);
    for (int i = 0; i < 3; i++) page_cell(t, "%s", "");
    page_number(t, volume_l, 3);
    page_number(t, jl_spirit_strength_pct(all), 2);
    cells_collected(t, &jars[end - 1]);
    page_cell(t, "%s", mixed ? "several" : jl_fraction_name(jars[first].fraction));
    page_cell(t, "%s", "");
}

void report_jars(const run_record *run, size_t most, report *r) {
    size_t count = run->picture.count, each = (count + most - 1) / most;
    page_table(&r->jars, "Jars", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < count; i += each) {
        size_t end = i + each < count ? i + each : count;
        if (end - i == 1)
            one_jar(run, i, &r->jars);
        else
            several_jars(run, i, end, &r->jars);
    }
    if (each > 1)
        page_sentence(
            &r->notes,
            "%zu jars, %zu in a row: volumes added, strengths as blended, notes left out; "
            "the log and the HTML page have them all.",
            count, each);
}
