/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/cut_show.h"
#include "answer/say.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

typedef struct part {
    jl_spirit spirit;
    double parts_l;
    size_t jars;
} part;

static void add(part *p, jl_spirit spirit) {
    p->spirit = jl_blend(p->spirit, spirit);
    p->parts_l += jl_volume_l(spirit, JL_STRENGTH_C);
    p->jars++;
}

/* Jars of a fraction; also without one jar, or with one more. */
static part part_of(const cut_run *run, jl_fraction fraction, size_t without, size_t with) {
    part p = {0};
    for (size_t i = 0; i < run->count; i++) {
        bool in = run->jars[i].chosen == fraction;
        if ((in && i != without) || i == with) add(&p, run->jars[i].spirit);
    }
    return p;
}

/* ---- fractions ---- */

static void show_jars(show *s, const cut_run *run, jl_fraction fraction) {
    uint32_t *numbers = need(calloc(run->count + 1, sizeof *numbers));
    size_t count = 0;
    for (size_t i = 0; i < run->count; i++)
        if (run->jars[i].chosen == fraction) numbers[count++] = run->jars[i].number;
    show_cell_numbers(s, numbers, count);
    free(numbers);
}

static void show_fractions(show *s, const cut_run *run) {
    static const jl_fraction ORDER[] = {JL_FORESHOTS, JL_HEADS, JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    static const column COLUMNS[] = {
        {"fraction", "fraction", "", 10, 0, COLUMN_WORDS},
        {"jars", "jars", "", 18, 0, COLUMN_WORDS},
        {"volume_l", "volume", "l, 20 °C", 9, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure", "l", 9, 4, COLUMN_NUMBERS},
        {"pure_alcohol_pct", "of all", "%", 6, 1, COLUMN_NUMBERS},
    };
    double all_l = 0;
    for (size_t i = 0; i < run->count; i++) all_l += jl_pure_alcohol_l(run->jars[i].spirit);
    show_table(s, "fractions", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < sizeof ORDER / sizeof ORDER[0]; i++) {
        part p = part_of(run, ORDER[i], SIZE_MAX, SIZE_MAX);
        if (p.jars == 0) continue;
        show_cell_text(s, jl_fraction_name(ORDER[i]));
        show_jars(s, run, ORDER[i]);
        show_cell(s, jl_volume_l(p.spirit, JL_STRENGTH_C));
        show_cell(s, jl_spirit_strength_pct(p.spirit));
        show_cell(s, jl_pure_alcohol_l(p.spirit));
        show_cell(s, 100 * jl_pure_alcohol_l(p.spirit) / all_l);
    }
}

/* ---- bottling strength ---- */

/* False when the hearts are no stronger than that. */
static bool dilute(jl_spirit hearts, const bottling *b, jl_spirit *water, double *volume_l) {
    if (jl_bring_to(hearts, 0, b->target, water) != JL_OK) return false;
    *volume_l = jl_volume_l(jl_blend(hearts, *water), JL_STRENGTH_C);
    return true;
}

static void show_bottles(show *s, const bottling *b, double volume_l) {
    if (b->bottle_l == 0) return;
    jl_bottles bottles = jl_fill_bottles(volume_l, b->bottle_l);
    show_number(s, "bottles", "Full bottles", bottles.full, 0, "");
    show_number(s, "rest_l", "Left over", bottles.left_over_l, 3, "l");
}

static void show_bottling(show *s, jl_spirit hearts, const bottling *b) {
    char heading[96];
    jl_spirit water;
    double volume_l;
    if (!dilute(hearts, b, &water, &volume_l)) {
        show_note(s,
                  "The hearts of this choice are no stronger than %s: they cannot be brought to "
                  "it with water.",
                  b->to_text);
        return;
    }
    snprintf(heading, sizeof heading, "The hearts at %s", b->to_text);
    show_group(s, "bottling", heading);
    show_number(s, "volume_l", "Volume at 20 °C", volume_l, 3, "l");
    show_number(s, "water_kg", NULL, water.water_kg, 4, "kg");
    show_number(s, "water_scale_kg", "Water, on a scale", jl_scale_kg(water, JL_STRENGTH_C), 3,
                "kg");
    show_number(s, "water_l", "or by volume at 20 °C", jl_volume_l(water, JL_STRENGTH_C), 3, "l");
    show_bottles(s, b, volume_l);
    show_group_end(s);
}

/* ---- one jar more or less ---- */

static void show_alternative(show *s, const char *what, const part *p, const part *chosen,
                             const bottling *b) {
    jl_spirit water;
    double volume_l = NAN;
    bool any = p->jars > 0;
    if (b->to_text != NULL && any && !dilute(p->spirit, b, &water, &volume_l)) volume_l = NAN;
    show_cell_text(s, what);
    show_cell(s, any ? jl_volume_l(p->spirit, JL_STRENGTH_C) : 0);
    show_cell(s, any ? jl_spirit_strength_pct(p->spirit) : NAN);
    show_cell(s, any && chosen->jars > 0
                     ? jl_spirit_strength_pct(p->spirit) - jl_spirit_strength_pct(chosen->spirit)
                     : NAN);
    show_cell(s, any ? jl_pure_alcohol_l(p->spirit) : 0);
    show_cell(s, volume_l);
    show_cell(s, b->bottle_l > 0 ? jl_fill_bottles(volume_l, b->bottle_l).full : NAN);
}

static void show_change(show *s, const cut_run *run, const part *chosen, const bottling *b,
                        const char *verb, size_t at, bool more) {
    char what[48];
    part p = part_of(run, JL_HEARTS, more ? SIZE_MAX : at, more ? at : SIZE_MAX);
    const cut_jar *jar = &run->jars[at];
    if (more)
        snprintf(what, sizeof what, "%s jar %" PRIu32 " (%s)", verb, jar->number,
                 jl_fraction_name(jar->chosen));
    else
        snprintf(what, sizeof what, "%s jar %" PRIu32, verb, jar->number);
    show_alternative(s, what, &p, chosen, b);
}

static void show_alternatives(show *s, const cut_run *run, const bottling *b) {
    size_t first = run->count, last = 0;
    for (size_t i = 0; i < run->count; i++) {
        if (run->jars[i].chosen != JL_HEARTS) continue;
        if (first == run->count) first = i;
        last = i;
    }
    if (first == run->count) return;
    const column columns[] = {
        {"change", "the hearts", "", 24, 0, COLUMN_WORDS},
        {"volume_l", "volume", "l, 20 °C", 8, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"strength_change_pct", "change", "% vol", 6, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure", "l", 7, 3, COLUMN_NUMBERS},
        {"bottling_l", b->to_text == NULL ? NULL : "at", b->to_text == NULL ? "" : b->to_text, 8, 3,
         COLUMN_NUMBERS},
        {"bottles", b->bottle_l > 0 ? "bottles" : NULL, "", 7, 0, COLUMN_NUMBERS},
    };
    part chosen = part_of(run, JL_HEARTS, SIZE_MAX, SIZE_MAX);
    show_heading(s, "One jar more or less");
    show_table(s, "alternatives", columns, sizeof columns / sizeof columns[0]);
    show_alternative(s, "as chosen", &chosen, &chosen, b);
    if (first > 0) show_change(s, run, &chosen, b, "with", first - 1, true);
    show_change(s, run, &chosen, b, "without", first, false);
    if (last > first) show_change(s, run, &chosen, b, "without", last, false);
    if (last + 1 < run->count) show_change(s, run, &chosen, b, "with", last + 1, true);
}

void show_choice(show *s, const cut_run *run, const bottling *b) {
    part hearts = part_of(run, JL_HEARTS, SIZE_MAX, SIZE_MAX);
    show_fractions(s, run);
    if (hearts.jars == 0 && b->to_text != NULL)
        show_note(s, "No jar is hearts in this choice, so there is nothing to bottle.");
    if (hearts.jars > 0 && b->to_text != NULL) show_bottling(s, hearts.spirit, b);
    show_alternatives(s, run, b);
}
