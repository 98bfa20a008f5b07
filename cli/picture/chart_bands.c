/* Fractions as bands: neighbours of one fraction are one band, with its name above.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"

#include <math.h>

static const struct {
    mark_tone tone;
    mark_pattern pattern;
} LOOK[JL_FRACTIONS] = {
    [JL_UNDECIDED] = {TONE_BAND_OPEN, PATTERN_DOTTED},
    [JL_FORESHOTS] = {TONE_BAND_FORESHOTS, PATTERN_CROSSED},
    [JL_HEADS] = {TONE_BAND_HEADS, PATTERN_RISING},
    [JL_HEARTS] = {TONE_BAND_HEARTS, PATTERN_NONE},
    [JL_TAILS] = {TONE_BAND_TAILS, PATTERN_FALLING},
};

/* The band that begins at jar first: where it ends, and its place. */
static size_t band_end(const run_picture *r, size_t first) {
    size_t end = first + 1;
    while (end < r->count && r->jars[end].fraction == r->jars[first].fraction) end++;
    return end;
}

static void band_span(const run_picture *r, const panel *p, size_t first, size_t end, double *left,
                      double *right) {
    *left = panel_x(p, first == 0 ? 0 : r->jars[first - 1].end_l);
    *right = panel_x(p, r->jars[end - 1].end_l);
}

double chart_names_h(double em) {
    return BAND_ROWS * line_height(0.9 * em) + 0.35 * em;
}

void chart_bands(const run_picture *r, const panel *p, sheet *s) {
    double left, right;
    for (size_t first = 0, end; first < r->count; first = end) {
        end = band_end(r, first);
        jl_fraction fraction = r->jars[first].fraction;
        band_span(r, p, first, end, &left, &right);
        sheet_box(s, MARK_BAND, (box){left, p->at.y, right - left, p->at.h}, LOOK[fraction].tone,
                  LOOK[fraction].pattern);
    }
}

/* Names are set from right to left, so that a name in the upper row hangs its leader to the left of
 * those below. */
typedef struct labels {
    double starts[BAND_ROWS]; /* of what stands in each row; the lowest first */
    bool dropped;
} labels;

static const labels NO_LABELS = {{INFINITY, INFINITY}, false};

/* left_middle: of the band to the left, whose leader must pass. */
static void put_label(const panel *p, const char *name, double middle, double left_middle,
                      double top, labels *l, sheet *s) {
    double size = 0.9 * p->em, h = line_height(size), w = text_room(name, size);
    double x = fmin(fmax(middle - w / 2, p->at.x), p->at.x + p->at.w - w);
    double beside = fmin(fmax(x, left_middle + 4), middle);
    int row = beside + w <= fmin(l->starts[0], p->at.x + p->at.w) ? 0 : 1;
    if (row == 0) x = beside;
    if (row == 1 && (x + w > l->starts[1] || middle > l->starts[0] - 2)) {
        l->dropped = true;
        return;
    }
    double y = top + (BAND_ROWS - 1 - row) * h;
    sheet_text(s, MARK_BAND_LABEL, (box){x, y, w, h}, ALIGN_CENTRE, size, name);
    double from = fmin(fmax(middle, x + 1), x + w - 1);
    sheet_straight(s, MARK_LEADER, 0.8, TONE_GREY, (place){from, y + h}, (place){middle, p->at.y});
    l->starts[row] = x;
}

/* Where not every band could be named, the names stand with a sample of each. */
static void put_samples(const run_picture *r, const panel *p, double top, sheet *s) {
    bool logged[JL_FRACTIONS] = {false};
    double h = line_height(0.9 * p->em), x = p->at.x;
    for (size_t i = 0; i < r->count; i++) logged[r->jars[i].fraction] = true;
    for (int f = 0; f < JL_FRACTIONS; f++) {
        if (!logged[f]) continue;
        const char *name = jl_fraction_name((jl_fraction)f);
        double w = text_room(name, 0.9 * p->em);
        if (x + 2 * p->em + w > p->at.x + p->at.w) x = p->at.x, top += h;
        box sample = {x, top + 0.2 * h, 1.6 * p->em, 0.7 * h};
        sheet_box(s, MARK_LEGEND, sample, LOOK[f].tone, LOOK[f].pattern);
        sheet_box(s, MARK_LEGEND, sample, TONE_GREY, PATTERN_NONE)->size = 0.6;
        sheet_text(s, MARK_LEGEND, (box){x + 2 * p->em, top, w, h}, ALIGN_LEFT, 0.9 * p->em, name);
        x += 2.8 * p->em + w;
    }
}

static size_t band_begin(const run_picture *r, size_t end) {
    size_t first = end - 1;
    while (first > 0 && r->jars[first - 1].fraction == r->jars[end - 1].fraction) first--;
    return first;
}

static double band_middle(const run_picture *r, const panel *p, size_t first, size_t end) {
    double left, right;
    band_span(r, p, first, end, &left, &right);
    return (left + right) / 2;
}

/* Returns whether all have a name. */
static bool put_labels(const run_picture *r, const panel *p, double top, sheet *s) {
    labels l = NO_LABELS;
    for (size_t end = r->count, first; end > 0 && !l.dropped; end = first) {
        first = band_begin(r, end);
        double middle = band_middle(r, p, first, end), left = -INFINITY;
        if (first > 0) left = band_middle(r, p, band_begin(r, first), first);
        put_label(p, jl_fraction_name(r->jars[first].fraction), middle, left, top, &l, s);
    }
    return !l.dropped;
}

void chart_band_labels(const run_picture *r, const panel *p, double top, sheet *s) {
    sheet trial;
    sheet_begin(&trial, 0, 0);
    bool named = put_labels(r, p, top, &trial);
    sheet_free(&trial);
    if (named)
        put_labels(r, p, top, s);
    else
        put_samples(r, p, top, s);
}
