/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/panel.h"
#include "answer/units.h"
#include "picture/look.h"

#include <math.h>
#include <stdio.h>

static double round_step(double least) {
    double power = pow(10, floor(log10(least)));
    double times = least / power;
    return (times <= 1 + 1e-9 ? 1 : times <= 2 + 1e-9 ? 2 : times <= 5 + 1e-9 ? 5 : 10) * power;
}

double axis_end(double high) {
    static const double ROUND[] = {1, 1.5, 2, 3, 4, 5, 6, 8};
    if (!(high > 0)) return 1;
    double power = pow(10, floor(log10(high) + 1e-9));
    for (size_t i = 0; i < sizeof ROUND / sizeof ROUND[0]; i++)
        if (high <= ROUND[i] * power * (1 + 1e-9)) return ROUND[i] * power;
    return 10 * power;
}

static axis with_step(double low, double high, double step, bool whole) {
    if (!whole) return (axis){low, high, step, 0};
    return (axis){floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step, step, 0};
}

/* So that what goes from 0 to a round end says where it ends: 0, 2.5, 5 in place of 0, 2, 4. */
static double step_to_end(const axis *a) {
    double steps = a->high / a->step;
    bool is_round = a->low == 0 && fabs(axis_end(a->high) / a->high - 1) < 1e-9;
    if (!is_round || fabs(steps - round(steps)) < 1e-9) return a->step;
    return a->high / fmax(floor(steps), 2);
}

axis axis_for(double low, double high, int most, bool whole) {
    enum { LEAST = 3 };
    if (!(high > low)) { /* one value stands in the middle */
        double half = low != 0 ? fabs(low) * 0.05 : 0.5;
        high = low + half;
        low -= half;
    }
    double step = round_step((high - low) / (most > 1 ? most - 1 : 1));
    axis a = with_step(low, high, step, whole);
    while (axis_ticks(&a) < LEAST) {
        step = round_step(step / 2.5); /* the next finer one */
        a = with_step(low, high, step, whole);
    }
    if (!whole) a.step = step_to_end(&a);
    return a;
}

axis axis_between(double low, double high, int most) {
    axis a = axis_for(low, high, most, false);
    return axis_ticks(&a) <= (size_t)most ? a : (axis){low, high, (high - low) / 2, low};
}

int axis_ticks_up(double length, double em) {
    int ticks = 1 + (int)(length / (1.15 * em)); /* the outer ones stand half beyond */
    return ticks < 3 ? 3 : ticks > 7 ? 7 : ticks;
}

static double first_tick(const axis *a) {
    return ceil((a->low - a->from) / a->step - 1e-9);
}

size_t axis_ticks(const axis *a) {
    return (size_t)(floor((a->high - a->from) / a->step + 1e-9) - first_tick(a)) + 1;
}

double axis_tick(const axis *a, size_t i) {
    return a->from + (first_tick(a) + (double)i) * a->step;
}

int axis_ticks_along(double length, double em) {
    enum { MOST = 9 };
    const double NUMBER = 3.6; /* with the room beside it, in heights of the type */
    int ticks = (int)(length / (NUMBER * em));
    return ticks > MOST ? MOST : ticks;
}

void axis_label(const axis *a, double value, char *text, size_t size) {
    enum { DECIMALS_MOST = 9 };
    int decimals = 0;
    double per = a->per > 0 ? a->per : 1;
    for (double step = a->step / per; fabs(step - round(step)) > 1e-6 && decimals < DECIMALS_MOST;
         step *= 10)
        decimals++;
    if (jl_decimal_write(value / per, decimals, text, size) != JL_OK) snprintf(text, size, "-");
}

/* ---- A panel ---- */

double panel_x(const panel *p, double value) {
    return p->at.x + (value - p->x.low) / (p->x.high - p->x.low) * p->at.w;
}

double panel_y(const panel *p, double value) {
    return p->at.y + p->at.h - (value - p->y.low) / (p->y.high - p->y.low) * p->at.h;
}

double strength_y(const panel *p, double pct) {
    return panel_y(p, value_seen(pct, PCT_VOL));
}

double temp_y(const panel *p, double temp_c) {
    return panel_y(p, value_seen(temp_c, CELSIUS));
}

void panel_interval(const panel *p, const double *at, const jl_estimate *values, size_t count,
                    sheet *s) {
    sheet_area(s, MARK_INTERVAL, TONE_INTERVAL);
    for (size_t k = 0; k < count; k++)
        sheet_place(s, (place){panel_x(p, at[k]), strength_y(p, values[k].high)});
    for (size_t k = count; k-- > 0;)
        sheet_place(s, (place){panel_x(p, at[k]), strength_y(p, values[k].low)});
}

static box panel_head(const panel *p) {
    double h = line_height(p->em);
    return (box){p->at.x, p->at.y - p->head_up - h - 0.2 * p->em, p->at.w, h};
}

const double NAME_ROOM = 1.04;

/* Numbers need less than words. */
static const double NUMBER_H = 1.08;

const double PANEL_CLEAR = 0.55;

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
    sheet_text(s, MARK_TICK_X, (box){x - w / 2, bottom + PANEL_CLEAR * p->em, w, NUMBER_H * p->em},
               ALIGN_CENTRE, 0.9 * p->em, text);
}

void panel_marks(const panel *p, const char *shows, bool number_x, sheet *s) {
    for (size_t i = 0; i < axis_ticks(&p->y); i++) tick_y(p, axis_tick(&p->y, i), s);
    for (size_t i = 0; i < axis_ticks(&p->x); i++) tick_x(p, axis_tick(&p->x, i), number_x, s);
    sheet_box(s, MARK_PANEL, p->at, TONE_GREY, PATTERN_NONE)->size = 0.8;
    box head = panel_head(p);
    head.w = fmin(head.w, NAME_ROOM * text_span(shows, p->em, true));
    sheet_text(s, MARK_AXIS, head, ALIGN_LEFT, p->em, shows)->bold = true;
}

double panel_sample_w(mark_pattern pattern, double near) {
    const double *lengths;
    double period = 0;
    size_t count = look_dash(pattern, &lengths);
    for (size_t i = 0; i < count; i++) period += lengths[i];
    if (count == 0) return near;
    return fmax(2, round((near + lengths[count - 1]) / period)) * period - lengths[count - 1];
}

bool panel_legend_beside(const panel *p, const char *shows, panel_sample of, const char *words) {
    double sample = panel_sample_w(of.pattern, 1.8 * p->em), gap = 0.4 * p->em;
    double w = NAME_ROOM * text_span(words, 0.9 * p->em, of.loud);
    return NAME_ROOM * text_span(shows, p->em, true) + 3 * gap + sample + w <= p->at.w;
}

void panel_legend(const panel *p, const char *shows, panel_sample of, const char *words, sheet *s) {
    box at = panel_head(p);
    double size = 0.9 * p->em, sample = panel_sample_w(of.pattern, 1.8 * p->em), gap = 0.4 * p->em;
    double w = NAME_ROOM * text_span(words, size, of.loud);
    bool beside = panel_legend_beside(p, shows, of, words);
    if (!beside) at.y = of.rising ? p->at.y + p->at.h - at.h : at.y + at.h;
    double x = at.x + at.w - w - (beside || !of.rising ? 0 : gap), y = at.y + at.h / 2;
    sheet_straight(s, MARK_LEGEND, of.width, of.tone, (place){x - sample - gap, y},
                   (place){x - gap, y})
        ->pattern = of.pattern;
    mark *m = sheet_text(s, MARK_LEGEND, (box){x, at.y, w, at.h}, ALIGN_LEFT, size, words);
    m->bold = of.loud;
    m->tone = of.loud ? TONE_INK : TONE_GREY;
}

void panel_words_below(const panel *p, const char *words, sheet *s) {
    const double NUMBERS_W = 4.6; /* beside the panel, in heights of the type */
    double span = NAME_ROOM * text_span(words, 1, true);
    box below = {p->at.x, p->at.y + p->at.h + 1.7 * p->em, p->at.w, line_height(p->em)};
    if (span * p->em > below.w) below.x -= NUMBERS_W * p->em, below.w += NUMBERS_W * p->em;
    sheet_text(s, MARK_AXIS, below, ALIGN_CENTRE, fmin(p->em, below.w / span), words)->bold = true;
}
