/* One sheet on a surface of each format.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/drawing/drawing.h"
#include "picture/drawing/paint.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <math.h>

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
