/* One run on a sheet, or several as small multiples on the same axes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"

#include <math.h>

/* Title and two sentences; returns what is left below. */
static box put_head(const run_picture *r, box frame, double em, bool brief, sheet *s) {
    char words[256];
    double title = line_height(1.3 * em), line = line_height(0.95 * em);
    box where = {frame.x, frame.y, frame.w, title};
    sheet_text(s, MARK_TITLE, where, ALIGN_LEFT, 1.3 * em, r->title)->bold = true;
    where.y += title;
    where.h = line;
    picture_words_charge(r, words, sizeof words);
    if (words[0] != '\0') {
        sheet_text(s, MARK_NOTE, where, ALIGN_LEFT, 0.95 * em, words);
        where.y += line;
    }
    if (brief)
        picture_words_brief(r, words, sizeof words);
    else
        picture_words_collected(r, words, sizeof words);
    sheet_text(s, MARK_NOTE, where, ALIGN_LEFT, 0.95 * em, words);
    where.y += line + 0.5 * em;
    return (box){frame.x, where.y, frame.w, frame.y + frame.h - where.y};
}

static size_t across_of(size_t count) {
    return (size_t)ceil(sqrt((double)count));
}

void chart_sheet_size(size_t count, double *width, double *height) {
    size_t across = across_of(count), down = (count + across - 1) / across;
    *width = count == 1 ? 800 : 440 * (double)across;
    *height = count == 1 ? 560 : 320 * (double)down;
}

void chart_sheet(const run_picture *runs, size_t count, double width, double height, double margin,
                 double em, sheet *s) {
    chart_axes axes = chart_axes_for(runs, count);
    box inside = {margin, margin, width - 2 * margin, height - 2 * margin};
    sheet_begin(s, width, height);
    if (count == 1) {
        chart_run(runs, put_head(runs, inside, em, false, s), em, &axes, s);
        return;
    }
    size_t across = across_of(count), down = (count + across - 1) / across;
    double gap = 1.5 * em, w = (inside.w - gap * (double)(across - 1)) / (double)across;
    double h = (inside.h - gap * (double)(down - 1)) / (double)down;
    for (size_t i = 0; i < count; i++) {
        box cell = {inside.x + (w + gap) * (double)(i % across),
                    inside.y + (h + gap) * (double)(i / across), w, h};
        chart_run_small(&runs[i], put_head(&runs[i], cell, em, true, s), em, &axes, s);
    }
}
