/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart_html.h"
#include "picture/html.h"
#include "picture/svg.h"

#include <stdio.h>

/* The smallest type is 0.8 of TYPE, and is to be read at 11 px. */
enum { HEIGHT = 475, CLEAR = 4, TYPE = 14 };

static void draw(const run_picture *r, double volume_l, double width, bytes *b) {
    sheet s;
    sheet_begin(&s, width, HEIGHT);
    chart_run(r, (box){0, CLEAR, width, HEIGHT - 2 * CLEAR}, TYPE, volume_l, &s);
    svg_write(&s, r->title, b);
    sheet_free(&s);
}

void chart_html(bytes *b, const run_picture *r, double volume_l, const char *also) {
    bytes wide = {0}, narrow = {0};
    char words[1024], all[800];
    picture_words_all(r, all, sizeof all);
    snprintf(words, sizeof words,
             "Chart of the run: strength at 20 °C jar by jar over the volume collected%s. %s%s",
             picture_has_head(r) ? ", with the head temperature" : "", all, also);
    draw(r, volume_l, HTML_WIDE_ROOM_PX, &wide);
    draw(r, volume_l, HTML_NARROW_ROOM_PX, &narrow);
    html_picture(b, &wide, &narrow, words);
    bytes_free(&wide);
    bytes_free(&narrow);
}
