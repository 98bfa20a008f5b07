/* Paints the marks of a sheet, on a surface of each format.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/drawing/drawing.h"
#include "picture/marks.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
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

/* White paper, then the marks in order. */
static void paint_sheet(cairo_t *on, const sheet *s) {
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

/* A picture of pixels is drawn twice as fine, for paper and dense screens. */
static const double PNG_SCALE = 2;

typedef struct sink {
    drawing_take *take;
    void *with;
    int decimals; /* SVG: behind a point, how many digits so far; -1: not behind one */
} sink;

static cairo_status_t pass_on(void *with, const unsigned char *bytes, unsigned length) {
    const sink *to = with;
    return to->take(to->with, bytes, length) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

/* Two decimals of a px are enough, and leave half of the file. */
static cairo_status_t pass_on_short(void *with, const unsigned char *bytes, unsigned length) {
    enum { DECIMALS = 2, PIECE = 4096 };
    sink *to = with;
    unsigned char piece[PIECE];
    unsigned kept = 0;
    for (unsigned i = 0; i < length; i++) {
        bool digit = bytes[i] >= '0' && bytes[i] <= '9';
        to->decimals = bytes[i] == '.' ? 0 : digit && to->decimals >= 0 ? to->decimals + 1 : -1;
        if (to->decimals > DECIMALS) continue;
        piece[kept++] = bytes[i];
        if (kept < PIECE) continue;
        if (pass_on(to, piece, kept) != CAIRO_STATUS_SUCCESS) return CAIRO_STATUS_WRITE_ERROR;
        kept = 0;
    }
    return pass_on(to, piece, kept);
}

static cairo_surface_t *surface_for(const sheet *s, drawing_format format, const char *title,
                                    sink *to) {
    cairo_surface_t *surface;
    switch (format) {
    case DRAWING_SVG:
        surface = cairo_svg_surface_create_for_stream(pass_on_short, to, s->width, s->height);
        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
        return surface;
    case DRAWING_PDF:
        surface = cairo_pdf_surface_create_for_stream(pass_on, to, s->width, s->height);
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
        /* What is no date takes the date away: the same sheet gives the same bytes. */
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "none");
        return surface;
    default:
        return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(s->width * PNG_SCALE),
                                          (int)ceil(s->height * PNG_SCALE));
    }
}

__attribute__((visibility("default"))) const char *jarline_draw(const sheet *s,
                                                                drawing_format format,
                                                                const char *title,
                                                                drawing_take *take, void *with) {
    sink to = {take, with, -1};
    cairo_surface_t *surface = surface_for(s, format, title, &to);
    cairo_t *on = cairo_create(surface);
    if (format == DRAWING_PNG) cairo_scale(on, PNG_SCALE, PNG_SCALE);
    paint_sheet(on, s);
    cairo_show_page(on);
    cairo_status_t status = cairo_status(on);
    cairo_destroy(on);
    if (status == CAIRO_STATUS_SUCCESS && format == DRAWING_PNG)
        status = cairo_surface_write_to_png_stream(surface, pass_on, &to);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status == CAIRO_STATUS_SUCCESS ? NULL : cairo_status_to_string(status);
}
