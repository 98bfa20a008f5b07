/* Paints the marks of a sheet, on a surface of each format.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/drawing/drawing.h"
#include "picture/look.h"
#include "picture/ties.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <math.h>
#include <pango/pangocairo.h>

static void set_colour(cairo_t *on, look_colour c, double opacity) {
    cairo_set_source_rgba(on, c.red / 255.0, c.green / 255.0, c.blue / 255.0, opacity);
}

static void set_tone(cairo_t *on, mark_tone tone) {
    set_colour(on, look_tone(tone), look_opacity(tone));
}

/* ---- Text ---- */

/* No line ends between a number and its unit. */
static PangoAttrList *ties_of(const char *text) {
    PangoAttrList *ties = pango_attr_list_new();
    for (size_t at = 0; text[at] != '\0'; at++) {
        if (!text_ties(text, at)) continue;
        PangoAttribute *tie = pango_attr_allow_breaks_new(FALSE);
        tie->start_index = (guint)at;
        tie->end_index = (guint)(g_utf8_next_char(text + at + 1) - text);
        pango_attr_list_insert(ties, tie);
    }
    return ties;
}

static PangoLayout *layout_of(PangoLayout *layout, const mark *m) {
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family(font, "sans-serif");
    pango_font_description_set_absolute_size(font, m->size * PANGO_SCALE);
    if (m->bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    PangoAttrList *ties = m->wraps ? ties_of(m->text) : NULL;
    pango_layout_set_text(layout, m->text, -1);
    pango_layout_set_attributes(layout, ties);
    if (ties != NULL) pango_attr_list_unref(ties);
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

static void trace(cairo_t *on, const sheet *s, const mark *m) {
    const place *p = s->places + m->first;
    set_tone(on, m->tone);
    cairo_move_to(on, p[0].x, p[0].y);
    for (size_t i = 1; i < m->count; i++) cairo_line_to(on, p[i].x, p[i].y);
}

static void paint_area(cairo_t *on, const sheet *s, const mark *m) {
    if (m->count == 0) return;
    trace(on, s, m);
    cairo_fill(on);
}

static void paint_line(cairo_t *on, const sheet *s, const mark *m) {
    const double *dash;
    int dashes = (int)look_dash(m->pattern, &dash);
    if (m->count == 0) return;
    cairo_set_line_width(on, m->size);
    cairo_set_line_join(on, CAIRO_LINE_JOIN_MITER);
    cairo_set_dash(on, dash, dashes, 0);
    trace(on, s, m);
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
    set_colour(on, LOOK_PATTERN, 1);
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

/* Letters stand where the font's own widths put them: rounded to pixels, they would stand unevenly. */
static PangoLayout *even_layout(cairo_t *on) {
    PangoLayout *layout = pango_cairo_create_layout(on);
    PangoContext *context = pango_layout_get_context(layout);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    pango_cairo_context_set_font_options(context, options);
    pango_context_set_round_glyph_positions(context, FALSE);
    cairo_font_options_destroy(options);
    return layout;
}

/* White paper, then the marks in order. */
static void paint_sheet(cairo_t *on, const sheet *s) {
    PangoLayout *layout = even_layout(on);
    cairo_set_source_rgb(on, 1, 1, 1);
    cairo_paint(on);
    for (size_t i = 0; i < s->count; i++) {
        const mark *m = &s->marks[i];
        if (m->shape == SHAPE_TEXT) paint_text(on, layout, m);
        if (m->shape == SHAPE_LINE) paint_line(on, s, m);
        if (m->shape == SHAPE_AREA) paint_area(on, s, m);
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
} sink;

static cairo_status_t pass_on(void *with, const unsigned char *bytes, unsigned length) {
    const sink *to = with;
    return to->take(to->with, bytes, length) ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

static double scale_of(const sheet *s) {
    return s->pixels_across > 0 ? s->pixels_across / s->width : PNG_SCALE;
}

static cairo_surface_t *surface_for(const sheet *s, drawing_format format, const char *title,
                                    sink *to) {
    if (format == DRAWING_PNG)
        return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)round(s->width * scale_of(s)),
                                          (int)round(s->height * scale_of(s)));
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(pass_on, to, s->width, s->height);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    /* What is no date takes the date away: the same sheet gives the same bytes. */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "none");
    return surface;
}

static void paint_all(cairo_t *on, const sheet *sheets, size_t count) {
    for (size_t i = 0; i < count; i++) {
        paint_sheet(on, &sheets[i]);
        cairo_show_page(on);
    }
}

__attribute__((visibility("default"))) const char *jarline_draw(const sheet *sheets, size_t count,
                                                                drawing_format format,
                                                                const char *title,
                                                                drawing_take *take, void *with) {
    sink to = {take, with};
    cairo_surface_t *surface = surface_for(sheets, format, title, &to);
    cairo_t *on = cairo_create(surface);
    if (format == DRAWING_PNG) cairo_scale(on, scale_of(sheets), scale_of(sheets));
    paint_all(on, sheets, count);
    cairo_status_t status = cairo_status(on);
    cairo_destroy(on);
    if (status == CAIRO_STATUS_SUCCESS && format == DRAWING_PNG)
        status = cairo_surface_write_to_png_stream(surface, pass_on, &to);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status == CAIRO_STATUS_SUCCESS ? NULL : cairo_status_to_string(status);
}
