/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/drawing/paint.h"

#include <math.h>
#include <pango/pangocairo.h>

/* Hues that the common forms of colour blindness keep apart; the bands also differ in lightness. */
static const double TONES[TONE_COUNT][3] = {
    [TONE_INK] = {0.08, 0.08, 0.10},        [TONE_GREY] = {0.38, 0.38, 0.40},
    [TONE_FAINT] = {0.80, 0.80, 0.80},      [TONE_HEAD] = {0.70, 0.26, 0.05},
    [TONE_PURE] = {0.05, 0.30, 0.55},       [TONE_BAND_FORESHOTS] = {0.74, 0.74, 0.76},
    [TONE_BAND_HEADS] = {0.97, 0.87, 0.70}, [TONE_BAND_HEARTS] = {1.00, 1.00, 1.00},
    [TONE_BAND_TAILS] = {0.69, 0.80, 0.91}, [TONE_BAND_OPEN] = {0.95, 0.95, 0.95},
    [TONE_SHADE] = {0.93, 0.94, 0.95},
};

static void set_tone(cairo_t *on, mark_tone tone) {
    cairo_set_source_rgb(on, TONES[tone][0], TONES[tone][1], TONES[tone][2]);
}

/* ---- Text ---- */

static PangoLayout *layout_of(PangoLayout *layout, const mark *m) {
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family(font, "sans-serif");
    pango_font_description_set_absolute_size(font, m->size * PANGO_SCALE);
    if (m->bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(layout, m->text, -1);
    pango_layout_set_width(layout, (int)(m->box.w * PANGO_SCALE));
    pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    /* A negative height counts lines, a positive one measures them. */
    pango_layout_set_height(layout, m->wraps ? (int)(m->box.h * PANGO_SCALE) : -1);
    return layout;
}

/* Hebrew and Arabic stand to the right of a box by themselves, so the place of what was laid out is
 * taken from its own extents. */
static void paint_text(cairo_t *on, PangoLayout *layout, const mark *m) {
    PangoRectangle logged;
    if (m->text[0] == '\0' || m->box.w <= 0) return;
    layout_of(layout, m);
    pango_layout_get_extents(layout, NULL, &logged);
    double x = (double)logged.x / PANGO_SCALE, w = (double)logged.width / PANGO_SCALE;
    double h = (double)logged.height / PANGO_SCALE;
    double slack = m->box.w - w;
    double left = m->align == ALIGN_LEFT ? 0 : m->align == ALIGN_CENTRE ? slack / 2 : slack;
    double top = m->wraps ? 0 : (m->box.h - h) / 2;
    set_tone(on, m->tone);
    cairo_move_to(on, m->box.x + left - x, m->box.y + top);
    pango_cairo_show_layout(on, layout);
}

/* ---- Lines, boxes, dots ---- */

static void paint_line(cairo_t *on, const sheet *s, const mark *m) {
    static const double DASH[] = {6, 4};
    if (m->count == 0) return;
    const place *p = s->places + m->first;
    set_tone(on, m->tone);
    cairo_set_line_width(on, m->size);
    cairo_set_line_join(on, CAIRO_LINE_JOIN_MITER);
    if (m->pattern == PATTERN_DASHED) cairo_set_dash(on, DASH, 2, 0);
    cairo_move_to(on, p[0].x, p[0].y);
    for (size_t i = 1; i < m->count; i++) cairo_line_to(on, p[i].x, p[i].y);
    cairo_stroke(on);
    cairo_set_dash(on, NULL, 0, 0);
}

static void hatch(cairo_t *on, box b, bool rising) {
    const double gap = 7;
    double first = rising ? b.x + b.y : b.x - b.y - b.h;
    double last = rising ? b.x + b.w + b.y + b.h : b.x + b.w - b.y;
    /* Lines stand where multiples of the gap are, so that neighbours of one kind go on. */
    for (double c = ceil(first / gap) * gap; c < last; c += gap) {
        cairo_move_to(on, rising ? c - b.y : c + b.y, b.y);
        cairo_line_to(on, rising ? c - b.y - b.h : c + b.y + b.h, b.y + b.h);
    }
    cairo_stroke(on);
}

static void dots(cairo_t *on, box b) {
    const double gap = 9;
    bool odd = false;
    for (double y = ceil(b.y / gap) * gap; y < b.y + b.h; y += gap, odd = !odd)
        for (double x = ceil(b.x / gap) * gap + (odd ? gap / 2 : 0); x < b.x + b.w; x += gap) {
            cairo_move_to(on, x, y);
            cairo_close_path(on); /* with round caps, a dot */
        }
    cairo_set_line_cap(on, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_width(on, 1.6);
    cairo_stroke(on);
    cairo_set_line_cap(on, CAIRO_LINE_CAP_BUTT);
}

static void paint_pattern(cairo_t *on, const mark *m) {
    if (m->pattern == PATTERN_NONE || m->box.w < 1) return;
    cairo_save(on);
    cairo_rectangle(on, m->box.x, m->box.y, m->box.w, m->box.h);
    cairo_clip(on);
    cairo_set_source_rgb(on, 0.55, 0.55, 0.55);
    cairo_set_line_width(on, 0.6);
    if (m->pattern == PATTERN_RISING || m->pattern == PATTERN_CROSSED) hatch(on, m->box, true);
    if (m->pattern == PATTERN_FALLING || m->pattern == PATTERN_CROSSED) hatch(on, m->box, false);
    if (m->pattern == PATTERN_DOTTED) dots(on, m->box);
    cairo_restore(on);
}

/* A size makes it a frame, none a surface. */
static void paint_box(cairo_t *on, const mark *m) {
    set_tone(on, m->tone);
    cairo_rectangle(on, m->box.x, m->box.y, m->box.w, m->box.h);
    if (m->size > 0) {
        cairo_set_line_width(on, m->size);
        cairo_stroke(on);
        return;
    }
    cairo_fill(on);
    paint_pattern(on, m);
}

static void paint_dot(cairo_t *on, const mark *m) {
    set_tone(on, m->tone);
    cairo_arc(on, m->box.x + m->size / 2, m->box.y + m->size / 2, m->size / 2, 0, 2 * M_PI);
    cairo_fill(on);
}

void paint_sheet(cairo_t *on, const sheet *s) {
    PangoLayout *layout = pango_cairo_create_layout(on);
    cairo_set_source_rgb(on, 1, 1, 1);
    cairo_paint(on);
    for (size_t i = 0; i < s->count; i++) {
        const mark *m = &s->marks[i];
        if (m->shape == SHAPE_TEXT) paint_text(on, layout, m);
        if (m->shape == SHAPE_LINE) paint_line(on, s, m);
        if (m->shape == SHAPE_BOX) paint_box(on, m);
        if (m->shape == SHAPE_DOT) paint_dot(on, m);
    }
    g_object_unref(layout);
}
