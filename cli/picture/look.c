/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/look.h"

/* Hues that the common forms of colour blindness keep apart; the bands also differ in lightness. */
look_colour look_tone(mark_tone tone) {
    static const look_colour TONES[TONE_COUNT] = {
        [TONE_INK] = {20, 20, 26},           [TONE_GREY] = {97, 97, 102},
        [TONE_FAINT] = {204, 204, 204},      [TONE_HEAD] = {178, 66, 13},
        [TONE_PURE] = {13, 76, 140},         [TONE_BAND_FORESHOTS] = {189, 189, 194},
        [TONE_BAND_HEADS] = {247, 222, 178}, [TONE_BAND_HEARTS] = {255, 255, 255},
        [TONE_BAND_TAILS] = {176, 204, 232}, [TONE_BAND_OPEN] = {242, 242, 242},
        [TONE_SHADE] = {237, 240, 242},      [TONE_INTERVAL] = {110, 98, 84},
    };
    return TONES[tone];
}

/* Fractions behind an interval are still to be seen. */
double look_opacity(mark_tone tone) {
    return tone == TONE_INTERVAL ? 0.25 : 1;
}

const look_colour LOOK_PATTERN = {140, 140, 140};

size_t look_dash(mark_pattern pattern, const double **lengths) {
    static const struct {
        double lengths[6];
        size_t count;
    } DASHES[] = {
        [PATTERN_DASHED] = {{6, 4}, 2},
        [PATTERN_LONG] = {{14, 4}, 2},
        [PATTERN_SHORT] = {{2, 3}, 2},
        [PATTERN_DASH_DOT] = {{9, 3, 2, 3}, 4},
        [PATTERN_DASH_TWO_DOTS] = {{9, 3, 2, 3, 2, 3}, 6},
    };
    *lengths = DASHES[pattern].lengths;
    return DASHES[pattern].count;
}
