/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/cut/show.h"
#include "answer/say.h"
#include "keys/settings.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* The hearts of the choice; also without one jar, or with one more. */
static jl_total hearts_of(const cut_choice *c, size_t at, bool with) {
    jl_fraction had = c->fractions[at];
    c->fractions[at] = with ? JL_HEARTS : JL_UNDECIDED;
    jl_total hearts = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    c->fractions[at] = had;
    return hearts;
}

/* ---- fractions ---- */

static void show_jars(show *s, const cut_choice *c, jl_fraction fraction) {
    uint32_t *numbers = need(calloc(c->count + 1, sizeof *numbers));
    size_t count = 0;
    for (size_t i = 0; i < c->count; i++)
        if (c->fractions[i] == fraction) numbers[count++] = c->jars[i].number;
    show_cell_numbers(s, numbers, count);
    free(numbers);
}

static void show_fractions(show *s, const cut_choice *c) {
    static const jl_fraction ORDER[] = {JL_FORESHOTS, JL_HEADS, JL_HEARTS, JL_TAILS, JL_UNDECIDED};
    static const column COLUMNS[] = {
        {"fraction", "fraction", "", 10, 0, COLUMN_WORDS},
        {"jars", "jars", "", 18, 0, COLUMN_WORDS},
        {"volume_l", "volume", "l, 20 °C", 9, 3, COLUMN_NUMBERS},
        {"strength_pct", "strength", "% vol", 8, 2, COLUMN_NUMBERS},
        {"pure_alcohol_l", "pure", "l", 9, 4, COLUMN_NUMBERS},
        {"pure_alcohol_pct", "of all", "%", 6, 1, COLUMN_NUMBERS},
    };
    const jl_tally tally = jl_run_tally_of(c->run, c->fractions);
    double all_l = jl_pure_alcohol_l(jl_tally_sum(&tally, JL_OF_ALL).spirit);
    show_table(s, "fractions", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
    for (size_t i = 0; i < sizeof ORDER / sizeof ORDER[0]; i++) {
        jl_total p = tally.of[ORDER[i]];
        if (p.jars == 0) continue;
        show_cell_text(s, jl_fraction_name(ORDER[i]));
        show_jars(s, c, ORDER[i]);
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
        show_warning(s,
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

static void show_alternative(show *s, const char *what, const jl_total *p, const jl_total *chosen,
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

static void show_change(show *s, const cut_choice *c, const jl_total *chosen, const bottling *b,
                        const char *verb, size_t at, bool more) {
    char what[48];
    jl_total p = hearts_of(c, at, more);
    if (more)
        snprintf(what, sizeof what, "%s jar %" PRIu32 " (%s)", verb, c->jars[at].number,
                 jl_fraction_name(c->fractions[at]));
    else
        snprintf(what, sizeof what, "%s jar %" PRIu32, verb, c->jars[at].number);
    show_alternative(s, what, &p, chosen, b);
}

static void show_alternatives(show *s, const cut_choice *c, const bottling *b) {
    size_t first = c->count, last = 0;
    for (size_t i = 0; i < c->count; i++) {
        if (c->fractions[i] != JL_HEARTS) continue;
        if (first == c->count) first = i;
        last = i;
    }
    if (first == c->count) return;
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
    jl_total chosen = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    show_heading(s, "One jar more or less");
    show_table(s, "alternatives", columns, sizeof columns / sizeof columns[0]);
    show_table_above(s);
    show_alternative(s, "as chosen", &chosen, &chosen, b);
    if (first > 0) show_change(s, c, &chosen, b, "with", first - 1, true);
    show_change(s, c, &chosen, b, "without", first, false);
    if (last > first) show_change(s, c, &chosen, b, "without", last, false);
    if (last + 1 < c->count) show_change(s, c, &chosen, b, "with", last + 1, true);
}

void show_choice(show *s, const cut_choice *c, const bottling *b) {
    jl_total hearts = jl_run_tally_of(c->run, c->fractions).of[JL_HEARTS];
    show_fractions(s, c);
    if (hearts.jars == 0 && b->to_text != NULL)
        show_warning(s, "No jar is hearts in this choice, so there is nothing to bottle.");
    if (hearts.jars > 0 && b->to_text != NULL) show_bottling(s, hearts.spirit, b);
    show_alternatives(s, c, b);
}

/* ---- a suggestion ---- */

static void assume_rule(show *s, const cut_choice *c, jl_key_id id, const jl_cut *rule,
                        const char *source) {
    char text[JL_CUT_BYTES];
    jl_cut_write(rule, text);
    show_assumption(s, "%s: %s (%s).",
                    id == JL_KEY_FORESHOTS ? "Foreshots"
                    : id == JL_KEY_HEADS   ? "Heads"
                                           : "Hearts until",
                    text, jl_is_stated(jl_run_settings(c->run), id) ? "as the log states" : source);
}

void assume_cut_rules(show *s, const cut_choice *c) {
    assume_rule(s, c, JL_KEY_FORESHOTS, &c->rules.foreshots, "default: common practice, no source");
    assume_rule(s, c, JL_KEY_HEADS, &c->rules.heads,
                "default: published practice, cognac 1 to 2 % of a second charge");
    assume_rule(s, c, JL_KEY_HEARTS_UNTIL, &c->rules.hearts,
                "default: published practice, malt whisky and cognac 58 to 60 %");
    show_assumption(s, "A jar goes by its middle and by its own strength.");
}
