/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/compare.h"
#include "answer/keep.h"
#include "answer/say.h"
#include "answer/units.h"
#include "picture/panel.h"

#include <math.h>
#include <stdlib.h>

/* ---- How runs differ: by dash, and by a tone that grey paper keeps apart less ---- */

static const struct {
    mark_pattern dash;
    mark_tone tone;
    double width;
} LOOKS[COMPARE_RUNS_MOST] = {
    {PATTERN_NONE, TONE_INK, 2.2},    {PATTERN_LONG, TONE_PURE, 2.2},
    {PATTERN_SHORT, TONE_HEAD, 2.2},  {PATTERN_DASH_DOT, TONE_INK, 2.2},
    {PATTERN_DASHED, TONE_PURE, 2.2}, {PATTERN_DASH_TWO_DOTS, TONE_HEAD, 2.2},
    {PATTERN_NONE, TONE_GREY, 1},     {PATTERN_LONG, TONE_GREY, 1},
};

/* ---- Where a jar stands ---- */

static double share_pct(const run_picture *r, double pure_l) {
    return 100 * pure_l / r->charge_pure_l;
}

double compare_end(const run_picture *r, compare_over over, size_t jars) {
    if (jars == 0) return 0;
    if (over == OVER_VOLUME) return r->end_l[jars - 1];
    return share_pct(r, jl_pure_alcohol_l(r->jars[jars - 1].so_far));
}

static place jar_place(const run_picture *r, compare_over over, const panel *p, size_t i) {
    double middle = (compare_end(r, over, i) + compare_end(r, over, i + 1)) / 2;
    return (place){panel_x(p, middle), strength_y(p, jl_spirit_strength_pct(r->jars[i].spirit))};
}

void compare_words(size_t count, compare_over over, char *text, size_t size) {
    snprintf(text, size, "%zu run%s %s: strength over %s", count, count == 1 ? "" : "s", both_at(),
             over == OVER_VOLUME ? "the volume collected" : "the pure alcohol recovered");
}

const char *compare_axis(compare_over over) {
    return over == OVER_VOLUME ? PICTURE_VOLUME : "Recovered, % of the charge's pure alcohol";
}

/* Returns the last place. */
static place run_line(const run_picture *r, compare_over over, const panel *p, size_t look,
                      sheet *s) {
    place last = {p->at.x, p->at.y + p->at.h};
    bool open = false;
    for (size_t i = 0; i < r->count; i++) {
        place at = jar_place(r, over, p, i);
        bool known = !isnan(at.x) && !isnan(at.y);
        if (known && !open)
            sheet_line(s, MARK_COMPARED, LOOKS[look].width, LOOKS[look].tone)->pattern =
                LOOKS[look].dash;
        if (known) sheet_place(s, last = at);
        open = known;
    }
    return last;
}

/* ---- The expected run as a band ---- */

static void interval(const run_picture *r, compare_over over, const panel *p, sheet *s) {
    if (r->slice_count == 0) return;
    double *at = need(calloc(r->slice_count, sizeof *at)), pure_l = 0;
    for (size_t k = 0; k < r->slice_count; k++) {
        double slice_pure_l = r->slice_l * r->slices[k].value / 100;
        at[k] = over == OVER_VOLUME ? r->slice_l * ((double)k + 0.5)
                                    : share_pct(r, pure_l + slice_pure_l / 2);
        pure_l += slice_pure_l;
    }
    panel_interval(p, at, r->slices, r->slice_count, s);
    free(at);
}

/* ---- Names at the lines' ends, kept apart ---- */

static const double NAMES_W = 18, SAMPLE_W = 3.6, BRIEF = 0.8; /* in heights of the type */

typedef struct name {
    size_t run;
    place end; /* of its line */
    double y, h;
} name;

static int by_height(const void *a, const void *b) {
    const name *l = a, *r = b;
    return (l->end.y > r->end.y) - (l->end.y < r->end.y);
}

/* Down from the top, then up from the bottom where they went too far. */
static void keep_apart(name *names, size_t count, double top, double bottom) {
    /* cppcheck-suppress uninitvar ; so many of them are set */
    qsort(names, count, sizeof *names, by_height);
    for (size_t i = 0; i < count; i++) {
        names[i].y = fmax(names[i].end.y - names[i].h / 2, top);
        top = names[i].y + names[i].h;
    }
    for (size_t i = count; i-- > 0;) {
        names[i].y = fmin(names[i].y, bottom - names[i].h);
        bottom = names[i].y;
    }
}

/* What a run came to, in as many lines as it takes. */
static double brief_h(const run_picture *r, double em, double w) {
    char words[128];
    picture_words_brief(r, words, sizeof words);
    return text_lines(words, BRIEF * em, false, w) * 1.2 * BRIEF * em;
}

static double title_h(const run_picture *r, double em, double w) {
    enum { MOST = 3 };
    int lines = text_lines(r->title, 0.9 * em, false, w);
    return (lines > MOST ? MOST : lines) * 1.2 * 0.9 * em;
}

/* From left on: a sample of its line, then its words in a width. */
static void put_name(const run_picture *r, const name *n, double left, double em, double words_w,
                     sheet *s) {
    char words[128];
    double x = left + (0.3 + SAMPLE_W) * em, y = n->y + n->h / 2;
    double w = fmin(SAMPLE_W * em, panel_sample_w(LOOKS[n->run].dash, (SAMPLE_W - 0.8) * em));
    sheet_straight(s, MARK_LEGEND, LOOKS[n->run].width, LOOKS[n->run].tone, (place){left, y},
                   (place){left + w, y})
        ->pattern = LOOKS[n->run].dash;
    box at = {x, n->y, words_w, title_h(r, em, words_w)};
    sheet_text(s, MARK_RUN, at, ALIGN_LEFT, 0.9 * em, r->title)->wraps = true;
    picture_words_brief(r, words, sizeof words);
    box brief = {x, at.y + at.h, at.w, brief_h(r, em, words_w)};
    mark *m = sheet_text(s, MARK_RUN, brief, ALIGN_LEFT, BRIEF * em, words);
    m->tone = TONE_GREY;
    m->wraps = true;
}

static double name_h(const run_picture *r, double em, double w) {
    return title_h(r, em, w) + brief_h(r, em, w) + 0.7 * em;
}

static void put_names(const run_picture *runs, const place *ends, size_t count, const panel *p,
                      sheet *s) {
    name names[COMPARE_RUNS_MOST];
    double left = p->at.x + p->at.w + 0.4 * p->em;
    for (size_t i = 0; i < count; i++)
        names[i] = (name){.run = i, .end = ends[i], .h = name_h(&runs[i], p->em, NAMES_W * p->em)};
    keep_apart(names, count, p->at.y - p->em, p->at.y + p->at.h);
    for (size_t i = 0; i < count; i++) {
        sheet_straight(s, MARK_LEADER, 0.6, TONE_GREY, names[i].end,
                       (place){left, names[i].y + names[i].h / 2})
            ->pattern = PATTERN_SHORT; /* no run is dotted so thin */
        put_name(&runs[names[i].run], &names[i], left, p->em, NAMES_W * p->em, s);
    }
}

/* What a sample leaves of a width for words. */
static double words_below_w(double width, double em) {
    return width - (0.3 + SAMPLE_W) * em;
}

/* Where there is no room beside the panel. */
static void put_names_below(const run_picture *runs, size_t count, box at, double em, sheet *s) {
    double w = words_below_w(at.w, em);
    for (size_t i = 0; i < count; i++) {
        name n = {.run = i, .y = at.y, .h = name_h(&runs[i], em, w)};
        put_name(&runs[i], &n, at.x, em, w, s);
        at.y += n.h;
    }
}

/* ---- The sheet ---- */

static const double TYPE = 12;

static void describe(const run_picture *runs, size_t count, sheet *s) {
    bytes b = {0};
    char words[800];
    bytes_print(&b, "%zu runs on the same axes.", count);
    for (size_t i = 0; i < count; i++) {
        picture_words_all(&runs[i], words, sizeof words);
        bytes_print(&b, " %s: %s", runs[i].title, words);
    }
    sheet_describe(s, b.data);
    bytes_free(&b);
}

/* What the band is, or why there is none. */
static void words_of_band(const run_picture *first, char *text, size_t size) {
    if (first->slice_count > 0)
        snprintf(text, size, "grey: what was to be expected of %s, in 95 %% of runs", first->title);
    else
        snprintf(text, size, "no grey band of what was to be expected: the log of %s states no %s",
                 first->title, picture_knows_still(first) ? "charge that boils" : "stages");
}

static box put_head(size_t count, const run_picture *first, compare_over over, box frame, double em,
                    sheet *s) {
    char words[256];
    compare_words(count, over, words, sizeof words);
    double y = sheet_paragraph(s, MARK_TITLE, frame, 2, 1.3 * em, true, words);
    words_of_band(first, words, sizeof words);
    y = sheet_paragraph(s, MARK_NOTE, (box){frame.x, y, frame.w, 0}, 3, 0.95 * em, false, words);
    double used = y + 0.5 * em - frame.y;
    return (box){frame.x, frame.y + used, frame.w, frame.h - used};
}

void compare_sheet(const run_picture *runs, size_t count, compare_over over, double volume_l,
                   double width, double height, double margin, sheet *s) {
    bool narrow = width < 40 * TYPE;
    double em = narrow ? TYPE : fmin(TYPE, width / 64), names = 0;
    box frame = {margin, margin, width - 2 * margin, height - 2 * margin};
    place ends[COMPARE_RUNS_MOST];
    sheet_begin(s, width, height);
    describe(runs, count, s);
    box in = put_head(count, runs, over, frame, em, s);
    double top = line_height(em) + 0.3 * em, foot = 1.7 * em + line_height(em);
    if (narrow) foot += 0.6 * em; /* between the axis's words and the first name */
    for (size_t i = 0; i < count && narrow; i++)
        names += name_h(&runs[i], em, words_below_w(in.w, em));
    double beside = narrow ? 1.6 : 0.7 + SAMPLE_W + NAMES_W;
    panel p = {
        .at = {in.x + 4.6 * em, in.y + top, in.w - (4.6 + beside) * em, in.h - top - foot - names},
        .em = em};
    p.x = axis_for(0, over == OVER_VOLUME ? volume_l : 100, axis_ticks_along(p.at.w, em), false);
    p.y = axis_for(0, picture_strength_end(), axis_ticks_up(p.at.h, em), true);
    interval(runs, over, &p, s);
    panel_marks(&p, picture_strength_words(), true, s);
    panel_words_below(&p, compare_axis(over), s);
    for (size_t i = 0; i < count; i++) ends[i] = run_line(&runs[i], over, &p, i, s);
    if (narrow)
        put_names_below(runs, count, (box){in.x, in.y + in.h - names, in.w, names}, em, s);
    else
        put_names(runs, ends, count, &p, s);
}
