/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/next.h"
#include "answer/units.h"
#include "input/part.h"

#include <math.h>
#include <string.h>

static void add(next_command *n, const char *text) {
    size_t length = strlen(n->text), more = strlen(text);
    n->cut_off = n->cut_off || length + more >= sizeof n->text;
    if (!n->cut_off) memcpy(n->text + length, text, more + 1);
}

static bool is_plain(const char *word) {
    static const char safe[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                               "-_./,:=@%+";
    return *word != '\0' && word[strspn(word, safe)] == '\0';
}

void next_word(next_command *n, const char *word) {
    bool bare = is_plain(word);
    add(n, bare ? " " : " '");
    for (; *word != '\0'; word++)
        add(n, !bare && *word == '\'' ? "'\\''" : (const char[]){*word, '\0'});
    if (!bare) add(n, "'");
}

void next_option(next_command *n, const char *name, const char *word) {
    if (word == NULL) return;
    add(n, " --");
    add(n, name);
    next_word(n, word);
}

void next_flag(next_command *n, const char *name) {
    add(n, " --");
    add(n, name);
}

void next_still(next_command *n, const setting_options *o) {
    next_option(n, "bench", o->bench);
    next_option(n, "still", o->still);
    next_option(n, "still-name", o->still_name);
    for (size_t id = 0; id < JL_KEYS; id++)
        if (jl_keys[id].option != NULL) next_option(n, jl_keys[id].option, o->words[id]);
}

void next_amount(next_command *n, double volume_l, double strength_pct) {
    next_word(n, amount_in_a_word(volume_l, strength_pct).text);
}

void next_part(next_command *n, const char *path, const char *part, jl_spirit spirit) {
    char text[512];
    int length = snprintf(text, sizeof text, "%s:%s", path, part);
    bool file = strcmp(path, "-") != 0 && length > 0 && (size_t)length < sizeof text;
    if (file)
        next_word(n, text);
    else
        next_amount(n, jl_volume_l(spirit, JL_STRENGTH_C), jl_spirit_strength_pct(spirit));
}

const char *usual_bottling(void) {
    return units_seen().proof ? "80proof" : "40%";
}

bool gave_low_wines(const jl_tally *t, jl_spirit charge) {
    return t->of[JL_UNDECIDED].jars > 0 && jl_makes_strip_run(charge);
}

/* 40 % vol: a usual strength in bottles (common practice, no source). */
bool next_after_run(next_command *n, const char *path, const jl_tally *t, jl_spirit charge) {
    const jl_total *undecided = &t->of[JL_UNDECIDED], *hearts = &t->of[JL_HEARTS];
    *n = (next_command){"jarline"};
    if (gave_low_wines(t, charge)) {
        next_word(n, "forecast");
        next_part(n, path, "low-wines", undecided->spirit);
    } else if (undecided->jars > 0) {
        next_word(n, "cut");
        next_word(n, path);
        if (jl_mass_kg(charge) > 0) next_flag(n, "suggest");
    } else if (hearts->jars > 0 && jl_spirit_strength_pct(hearts->spirit) > 40) {
        next_word(n, "dilute");
        next_part(n, path, jl_fraction_name(JL_HEARTS), hearts->spirit);
        next_option(n, "to", usual_bottling());
    } else
        return false;
    return undecided->jars == 0 || jl_makes_strip_run(charge) || strcmp(path, "-") != 0;
}

void show_next_command(show *s, const next_command *n) {
    if (!n->cut_off) show_next(s, "%s", n->text);
}

void show_next_after_run(show *s, const char *path, const jl_tally *t, jl_spirit charge) {
    next_command next;
    if (!next_after_run(&next, path, t, charge)) return;
    if (gave_low_wines(t, charge))
        show_text_remark(s, "Low wines of other strip runs join these by 'jarline blend', or in "
                            "the book.");
    show_next_command(s, &next);
}
