/* The table of jars: one a row, or several where a page has not room for all.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/report/report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const column COLUMNS[] = {
    {NULL, "jar", "", 0, 0, COLUMN_NUMBERS},     {NULL, "time", "", 0, 0, COLUMN_NUMBERS},
    {NULL, "reads", "", 0, 1, COLUMN_NUMBERS},   {NULL, "at", "°C", 0, 1, COLUMN_NUMBERS},
    {NULL, "volume", "l", 0, 3, COLUMN_NUMBERS}, {NULL, "strength", "% vol", 0, 2, COLUMN_NUMBERS},
    {NULL, "so far", "l", 0, 3, COLUMN_NUMBERS}, {NULL, "pure", "l", 0, 3, COLUMN_NUMBERS},
    {NULL, "head", "°C", 0, 1, COLUMN_NUMBERS},  {NULL, "fraction", "", 0, 0, COLUMN_WORDS},
    {NULL, "note", "", 0, 0, COLUMN_NOTES},
};

static void cell_time(struct table *t, const jl_jar *jar) {
    char text[JL_TIME_BYTES] = "";
    if (jar->has_time) jl_time_write(jar->time, text, sizeof text);
    table_add_print(t, "%.5s", strlen(text) > 16 ? text + 11 : "");
}

static void cell_reading(struct table *t, const jl_jar *jar) {
    if (jar->has_reading && jar->reading.unit == JL_UNIT_PROOF_US)
        table_add_print(t, "%.1f pf", jar->reading.value);
    else
        table_add_number(t, jar->has_reading ? jar->reading.value : NAN);
}

static void cells_collected(struct table *t, const picture_jar *jar) {
    table_add_number(t, jar->blended_l);
    table_add_number(t, jar->end_pure_l);
    table_add_number(t, jar->head_c);
}

static void one_jar(const run_record *run, size_t i, struct table *t) {
    const picture_jar *logged = &run->picture.jars[i];
    const jl_jar *jar = &run->rows[i].jar;
    table_add_number(t, (double)logged->number);
    cell_time(t, jar);
    cell_reading(t, jar);
    table_add_number(t, jar->temp_c);
    table_add_number(t, logged->volume_l);
    table_add_number(t, logged->strength_pct);
    cells_collected(t, logged);
    table_add_text(t, jl_fraction_name(logged->fraction));
    table_add_text(t, run->rows[i].note);
}

/* Volumes added, strengths as blended; what is one jar's alone stays out. */
static void several_jars(const run_record *run, size_t first, size_t end, struct table *t) {
    const picture_jar *jars = run->picture.jars;
    jl_spirit all = {0, 0};
    bool mixed = false;
    double volume_l = 0;
    for (size_t i = first; i < end; i++) {
        all = jl_blend(all, run->rows[i].jar.spirit);
        volume_l += jars[i].volume_l;
        mixed = mixed || jars[i].fraction != jars[first].fraction;
    }
    table_add_print(t, "%lld-%lld", (long long)jars[first].number, (long long)jars[end - 1].number);
    for (int i = 0; i < 3; i++) table_add_text(t, NULL);
    table_add_number(t, volume_l);
    table_add_number(t, jl_spirit_strength_pct(all));
    cells_collected(t, &jars[end - 1]);
    table_add_text(t, mixed ? "several" : jl_fraction_name(jars[first].fraction));
    table_add_text(t, NULL);
}

void report_jars(const run_record *run, size_t most, report *r) {
    size_t count = run->picture.count, each = (count + most - 1) / most;
    struct table *t = report_table(&r->jars, "Jars", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < count; i += each) {
        size_t end = i + each < count ? i + each : count;
        if (end - i == 1)
            one_jar(run, i, t);
        else
            several_jars(run, i, end, t);
    }
    if (each > 1)
        page_sentence(
            &r->notes,
            "%zu jars, %zu in a row: volumes added, strengths as blended, notes left out; "
            "the log and the HTML page have them all.",
            count, each);
}
