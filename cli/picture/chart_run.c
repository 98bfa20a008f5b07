/* The panels of one run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"

#include <math.h>
#include <stdio.h>

static const char STRENGTH[] = "Strength at 20 °C, % vol", HEAD[] = "Head temperature, °C",
                  PURE[] = "Pure alcohol, l", VOLUME[] = "Collected, l at 20 °C";

static void stretch(double value, double *low, double *high) {
    if (isnan(value)) return;
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

chart_axes chart_axes_for(const run_picture *runs, size_t count) {
    chart_axes a = {0, INFINITY, -INFINITY};
    for (const run_picture *r = runs; r < runs + count; r++) {
        a.volume_l = fmax(a.volume_l, picture_volume_l(r));
        for (size_t i = 0; i < r->count; i++)
            stretch(r->jars[i].strength_pct, &a.strength_low, &a.strength_high);
        for (size_t i = 0; i < r->expected_count; i++) {
            a.volume_l = fmax(a.volume_l, r->expected[i].end_l);
            stretch(r->expected[i].strength_pct, &a.strength_low, &a.strength_high);
        }
    }
    if (!(a.strength_high >= a.strength_low)) a.strength_low = 0, a.strength_high = 100;
    double clear = 0.02 * (a.strength_high - a.strength_low); /* of the frame */
    a.strength_low = a.strength_low < 0.4 * a.strength_high ? 0 : a.strength_low - clear;
    a.strength_high = fmin(a.strength_high + clear, 100);
    return a;
}

/* ---- Lines ---- */

static void strength_steps(const run_picture *r, const panel *p, sheet *s) {
    double left = panel_x(p, 0);
    bool open = false;
    for (size_t i = 0; i < r->count; i++) {
        double right = panel_x(p, r->jars[i].end_l);
        bool known = !isnan(r->jars[i].strength_pct);
        if (known && !open) sheet_line(s, MARK_STEPS, 2.2, TONE_INK);
        if (known) {
            double y = panel_y(p, r->jars[i].strength_pct);
            sheet_place(s, (place){left, y});
            sheet_place(s, (place){right, y});
        }
        open = known;
        left = right;
    }
}

/* Each row of the forecast is a jar that ends there. */
static void expected_steps(const run_picture *r, const panel *p, sheet *s) {
    double left = panel_x(p, 0);
    if (r->expected_count == 0) return;
    sheet_line(s, MARK_EXPECTED, 1, TONE_GREY);
    for (size_t i = 0; i < r->expected_count; i++) {
        double right = panel_x(p, r->expected[i].end_l),
               y = panel_y(p, r->expected[i].strength_pct);
        sheet_place(s, (place){left, y});
        sheet_place(s, (place){right, y});
        left = right;
    }
}

static void head_line(const run_picture *r, const panel *p, sheet *s) {
    enum { DOTS_MOST = 60 };
    bool open = false;
    for (size_t i = 0; i < r->count; i++) {
        bool known = !isnan(r->jars[i].head_c);
        if (known && !open) sheet_line(s, MARK_HEAD, 1.4, TONE_HEAD);
        if (known)
            sheet_place(s, (place){panel_x(p, r->jars[i].end_l), panel_y(p, r->jars[i].head_c)});
        open = known;
    }
    for (size_t i = 0; i < r->count && r->count <= DOTS_MOST; i++)
        if (!isnan(r->jars[i].head_c))
            sheet_dot(s, MARK_HEAD,
                      (place){panel_x(p, r->jars[i].end_l), panel_y(p, r->jars[i].head_c)}, 5,
                      TONE_HEAD);
}

static void expected_head(const run_picture *r, const panel *p, sheet *s) {
    bool open = false;
    for (size_t i = 0; i < r->expected_count; i++) {
        const picture_expected *e = &r->expected[i];
        bool known = !isnan(e->head_c);
        if (known && !open) sheet_line(s, MARK_EXPECTED, 1, TONE_GREY);
        if (known) sheet_place(s, (place){panel_x(p, e->end_l), panel_y(p, e->head_c)});
        open = known;
    }
}

static void pure_line(const run_picture *r, const panel *p, sheet *s) {
    sheet_line(s, MARK_PURE, 2, TONE_PURE);
    sheet_place(s, (place){panel_x(p, 0), panel_y(p, 0)});
    for (size_t i = 0; i < r->count && !isnan(r->jars[i].end_pure_l); i++)
        sheet_place(s, (place){panel_x(p, r->jars[i].end_l), panel_y(p, r->jars[i].end_pure_l)});
}

/* ---- Numbers of the jars below the steps ---- */

static const double CLEAR = 0.55; /* of the number beside the panel's corner */

static double jar_middle(const run_picture *r, const panel *p, size_t i) {
    double begin_l = i == 0 ? 0 : r->jars[i - 1].end_l;
    return panel_x(p, (begin_l + r->jars[i].end_l) / 2);
}

static box jar_box(const run_picture *r, const panel *p, size_t i, char *text, size_t size) {
    double type = 0.8 * p->em;
    snprintf(text, size, "%lld", (long long)r->jars[i].number);
    double w = text_room(text, type);
    double x = fmin(fmax(jar_middle(r, p, i) - w / 2, p->at.x), p->at.x + p->at.w - w);
    return (box){x, p->at.y + p->at.h + CLEAR * p->em, w, line_height(type)};
}

static bool every_fits(const run_picture *r, const panel *p, size_t every) {
    char text[32];
    double end = -INFINITY;
    for (size_t i = every - 1; i < r->count; i += every) {
        box b = jar_box(r, p, i, text, sizeof text);
        if (b.x < end) return false;
        end = b.x + b.w;
    }
    return true;
}

static void jar_numbers(const run_picture *r, const panel *p, sheet *s) {
    static const size_t TIMES[] = {1, 2, 5};
    char text[32];
    size_t every = 1;
    for (size_t power = 1, i = 0; !every_fits(r, p, every); every = TIMES[i] * power)
        if (++i == 3) i = 0, power *= 10;
    for (size_t i = every - 1; i < r->count; i += every) {
        box b = jar_box(r, p, i, text, sizeof text);
        sheet_text(s, MARK_JAR, b, ALIGN_CENTRE, 0.8 * p->em, text)->tone = TONE_GREY;
    }
    if (r->count == 0) return;
    box word = {p->at.x - 4.4 * p->em, p->at.y + p->at.h + CLEAR * p->em, 4 * p->em,
                line_height(0.8 * p->em)};
    sheet_text(s, MARK_JAR, word, ALIGN_RIGHT, 0.8 * p->em, "jar")->tone = TONE_GREY;
}

/* ---- Panels ---- */

static int ticks_in(double length, double em) {
    int ticks = (int)(length / (1.15 * em));
    return ticks < 2 ? 2 : ticks > 7 ? 7 : ticks;
}

static panel panel_in(box at, double em, const chart_axes *axes, double low, double high) {
    panel p = {.at = at, .em = em};
    int across = (int)(at.w / (6 * em));
    p.x = axis_for(0, axes->volume_l, across > 11 ? 11 : across, false);
    p.y = axis_for(low, high, ticks_in(at.h, em), true);
    return p;
}

static void strength_panel(const run_picture *r, const panel *p, bool number_x, sheet *s) {
    chart_bands(r, p, s);
    panel_marks(p, STRENGTH, number_x, s);
    chart_band_labels(r, p, p->at.y - p->head_up, s);
    expected_steps(r, p, s);
    strength_steps(r, p, s);
    if (r->expected_count > 0) panel_legend(p, TONE_GREY, 1, PATTERN_NONE, "forecast", s);
}

static void head_panel(const run_picture *r, box at, double em, const chart_axes *axes, sheet *s) {
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < r->count; i++) stretch(r->jars[i].head_c, &low, &high);
    for (size_t i = 0; i < r->expected_count; i++) stretch(r->expected[i].head_c, &low, &high);
    panel p = panel_in(at, em, axes, low, high);
    panel_marks(&p, HEAD, false, s);
    expected_head(r, &p, s);
    head_line(r, &p, s);
}

static void pure_panel(const run_picture *r, box at, double em, const chart_axes *axes, sheet *s) {
    char words[64];
    bool goal = r->charge_pure_l > 0;
    double high = fmax(picture_pure_l(r), goal ? r->charge_pure_l : 0);
    panel p = panel_in(at, em, axes, 0, high > 0 ? 1.02 * high : 1);
    panel_marks(&p, PURE, true, s);
    if (goal) {
        double y = panel_y(&p, r->charge_pure_l);
        sheet_straight(s, MARK_GOAL, 1.4, TONE_INK, (place){at.x, y}, (place){at.x + at.w, y})
            ->pattern = PATTERN_DASHED;
        snprintf(words, sizeof words, "in the charge: %.2f l", r->charge_pure_l);
        panel_legend(&p, TONE_INK, 1.4, PATTERN_DASHED, words, s);
    }
    pure_line(r, &p, s);
}

static void volume_words(box at, double em, sheet *s) {
    box below = {at.x, at.y + at.h + 1.7 * em, at.w, line_height(em)};
    sheet_text(s, MARK_AXIS, below, ALIGN_CENTRE, em, VOLUME)->bold = true;
}

static box without_margins(box frame, double em) {
    return (box){frame.x + 4.6 * em, frame.y, frame.w - 6.2 * em, frame.h};
}

void chart_run(const run_picture *r, box frame, double em, const chart_axes *axes, sheet *s) {
    box in = without_margins(frame, em);
    bool head = picture_has_head(r);
    double line = line_height(em);
    double heads = line + 0.3 * em, foot = 1.7 * em + line;
    double strip = line_height(0.8 * em) + CLEAR * em, gap = 0.4 * em;
    double names = chart_names_h(em);
    double room = in.h - heads * (head ? 3 : 2) - names - strip - foot - gap * (head ? 2 : 1);
    double strength_h = room * (head ? 0.58 : 0.68), head_h = head ? room * 0.21 : 0;
    double y = in.y + heads + names;
    panel strength = panel_in((box){in.x, y, in.w, strength_h}, em, axes, axes->strength_low,
                              axes->strength_high);
    strength.head_up = names;
    strength_panel(r, &strength, false, s);
    jar_numbers(r, &strength, s);
    y += strength_h + strip + gap + heads;
    if (head) {
        head_panel(r, (box){in.x, y, in.w, head_h}, em, axes, s);
        y += head_h + gap + heads;
    }
    box pure = {in.x, y, in.w, room - strength_h - head_h};
    pure_panel(r, pure, em, axes, s);
    volume_words(pure, em, s);
}

void chart_run_small(const run_picture *r, box frame, double em, const chart_axes *axes, sheet *s) {
    box in = without_margins(frame, em);
    double line = line_height(em), names = chart_names_h(em);
    double top = line + 0.3 * em + names, foot = 1.7 * em + line;
    panel p = panel_in((box){in.x, in.y + top, in.w, in.h - top - foot}, em, axes,
                       axes->strength_low, axes->strength_high);
    p.head_up = names;
    strength_panel(r, &p, true, s);
    volume_words(p.at, em, s);
}
