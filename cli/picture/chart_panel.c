/* A panel: its frame, its ticks, its legend.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"

#include <math.h>

double panel_x(const panel *p, double value) {
    return p->at.x + (value - p->x.low) / (p->x.high - p->x.low) * p->at.w;
}

double panel_y(const panel *p, double value) {
    return p->at.y + p->at.h - (value - p->y.low) / (p->y.high - p->y.low) * p->at.h;
}

box panel_head(const panel *p) {
    double h = line_height(p->em);
    return (box){p->at.x, p->at.y - p->head_up - h - 0.2 * p->em, p->at.w, h};
}

/* What the name of an axis may take of a panel's head, in heights of its type; then the legend. */
static const double NAME_W = 17;

/* Numbers need less than words; a number below a panel keeps clear of the one beside its corner. */
static const double NUMBER_H = 1.08, CLEAR = 0.55;

static void tick_y(const panel *p, double value, sheet *s) {
    char text[32];
    double y = panel_y(p, value), h = NUMBER_H * p->em, w = 4 * p->em;
    axis_label(&p->y, value, text, sizeof text);
    sheet_straight(s, MARK_GRID, 0.6, TONE_FAINT, (place){p->at.x, y},
                   (place){p->at.x + p->at.w, y});
    sheet_text(s, MARK_TICK_Y, (box){p->at.x - w - 0.4 * p->em, y - h / 2, w, h}, ALIGN_RIGHT,
               0.9 * p->em, text);
}

static void tick_x(const panel *p, double value, bool number, sheet *s) {
    char text[32];
    double x = panel_x(p, value), bottom = p->at.y + p->at.h;
    axis_label(&p->x, value, text, sizeof text);
    sheet_straight(s, MARK_GRID, 0.6, TONE_FAINT, (place){x, p->at.y}, (place){x, bottom});
    if (!number) return;
    double w = text_room(text, 0.9 * p->em);
    sheet_text(s, MARK_TICK_X, (box){x - w / 2, bottom + CLEAR * p->em, w, NUMBER_H * p->em},
               ALIGN_CENTRE, 0.9 * p->em, text);
}

void panel_marks(const panel *p, const char *shows, bool number_x, sheet *s) {
    for (size_t i = 0; i < axis_ticks(&p->y); i++) tick_y(p, axis_tick(&p->y, i), s);
    for (size_t i = 0; i < axis_ticks(&p->x); i++) tick_x(p, axis_tick(&p->x, i), number_x, s);
    sheet_box(s, MARK_PANEL, p->at, TONE_GREY, PATTERN_NONE)->size = 0.8;
    box head = panel_head(p);
    head.w = fmin(head.w, NAME_W * p->em);
    sheet_text(s, MARK_AXIS, head, ALIGN_LEFT, p->em, shows)->bold = true;
}

void panel_legend(const panel *p, mark_tone tone, double width, mark_pattern pattern,
                  const char *words, sheet *s) {
    box head = panel_head(p);
    double size = 0.9 * p->em, sample = 2 * p->em, gap = 0.4 * p->em;
    double w = fmin(text_room(words, size), head.w - NAME_W * p->em - sample - 2 * gap);
    double x = head.x + head.w - w, y = head.y + head.h / 2;
    sheet_straight(s, MARK_LEGEND, width, tone, (place){x - sample - gap, y}, (place){x - gap, y})
        ->pattern = pattern;
    sheet_text(s, MARK_LEGEND, (box){x, head.y, w, head.h}, ALIGN_LEFT, size, words)->tone =
        TONE_GREY;
}
