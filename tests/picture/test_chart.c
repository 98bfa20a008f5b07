/* The marks of a chart against the numbers, through the ticks that a reader would use.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/units.h"
#include "check.h"
#include "picture/chart.h"
#include "picture/look.h"
#include "picture/ties.h"
#include "runs.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

/* ---- Finding marks ---- */

static const mark *nth(const sheet *s, mark_kind kind, mark_shape shape, size_t n) {
    for (size_t i = 0; i < s->count; i++)
        if (s->marks[i].kind == kind && s->marks[i].shape == shape && n-- == 0) return &s->marks[i];
    return NULL;
}

static size_t count_of(const sheet *s, mark_kind kind, mark_shape shape) {
    size_t n = 0;
    while (nth(s, kind, shape, n) != NULL) n++;
    return n;
}

static double middle_x(const mark *m) {
    return m->box.x + m->box.w / 2;
}

static double middle_y(const mark *m) {
    return m->box.y + m->box.h / 2;
}

/* What a reader takes from an axis: the value at a place, from the first and the last tick whose
 * numbers stand beside a panel. */
typedef struct ruler {
    double at0, value0, per_px;
} ruler;

static double read_value(ruler r, double at) {
    return r.value0 + (at - r.at0) * r.per_px;
}

/* Of an axis without ticks: near to no number. */
static const ruler UNREADABLE = {NAN, NAN, NAN};

static ruler ruler_of(double at0, double value0, double at1, double value1) {
    return (ruler){at0, value0, (value1 - value0) / (at1 - at0)};
}

static ruler ruler_x(const sheet *s) {
    const mark *a = nth(s, MARK_TICK_X, SHAPE_TEXT, 0);
    const mark *b = nth(s, MARK_TICK_X, SHAPE_TEXT, count_of(s, MARK_TICK_X, SHAPE_TEXT) - 1);
    if (a == NULL || b == NULL) return UNREADABLE;
    return ruler_of(middle_x(a), strtod(a->text, NULL), middle_x(b), strtod(b->text, NULL));
}

/* Of the panel in that place from above. */
static ruler ruler_y(const sheet *s, size_t panel_no) {
    const mark *frame = nth(s, MARK_PANEL, SHAPE_BOX, panel_no), *a = NULL, *b = NULL, *m;
    if (frame == NULL) return UNREADABLE;
    for (size_t i = 0; (m = nth(s, MARK_TICK_Y, SHAPE_TEXT, i)) != NULL; i++) {
        double y = middle_y(m);
        if (y < frame->box.y - 1 || y > frame->box.y + frame->box.h + 1) continue;
        if (a == NULL) a = m;
        b = m;
    }
    if (a == NULL || b == NULL) return UNREADABLE;
    return ruler_of(middle_y(a), strtod(a->text, NULL), middle_y(b), strtod(b->text, NULL));
}

/* ---- The numbers ---- */

static const double HALF_PX = 0.5;

static void draw(const run_picture *r, sheet *s) {
    double volume_l = chart_end_for(r, 1);
    chart_sheet(r, 1, 1, 1, volume_l, 800, 560, 16, 12, s);
}

static void steps_show_the_numbers(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD | RUN_CHARGE, &r);
    draw(&r, &s);
    ruler x = ruler_x(&s), y = ruler_y(&s, 0);
    const mark *steps = nth(&s, MARK_STEPS, SHAPE_LINE, 0);
    CHECK(steps->count == 40);
    for (size_t i = 0; i < 20; i++) {
        const place *p = s.places + steps->first + 2 * i;
        CHECK_NEAR(read_value(x, p[0].x), r.end_l[i] - 0.25, HALF_PX * x.per_px);
        CHECK_NEAR(read_value(x, p[1].x), r.end_l[i], HALF_PX * x.per_px);
        CHECK_NEAR(read_value(y, p[0].y), jl_spirit_strength_pct(r.jars[i].spirit),
                   HALF_PX * fabs(y.per_px));
        CHECK_NEAR(p[0].y, p[1].y, 0);
    }
    sheet_free(&s);
    picture_free(&r);
}

/* All that is drawn of strengths, and the heads, read from axes in proof and °F. */
static void in_proof_and_fahrenheit_all_stands_where_its_number_is(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD | RUN_CHARGE | RUN_FORECAST, &r);
    units_by((units){true, true}, UNITS_OF_COMMAND);
    draw(&r, &s);
    units_by((units){false, false}, UNITS_OF_COMMAND);
    ruler y = ruler_y(&s, 0), head = ruler_y(&s, 1);
    const mark *steps = nth(&s, MARK_STEPS, SHAPE_LINE, 0);
    const mark *expected = nth(&s, MARK_EXPECTED, SHAPE_LINE, 0);
    const mark *heads = nth(&s, MARK_HEAD, SHAPE_LINE, 0);
    for (size_t i = 0; i < 20; i++) {
        CHECK_NEAR(read_value(y, s.places[steps->first + 2 * i].y), jl_proof_us(r.jars[i].spirit),
                   HALF_PX * fabs(y.per_px));
        CHECK_NEAR(read_value(head, s.places[heads->first + i].y), 1.8 * r.jars[i].head_c + 32,
                   HALF_PX * fabs(head.per_px));
    }
    CHECK_NEAR(read_value(y, s.places[expected->first].y), 2 * r.expected[0].strength_pct, 0.5);
    sheet_free(&s);
    picture_free(&r);
}

static void head_and_pure_alcohol_show_the_numbers(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD | RUN_CHARGE, &r);
    draw(&r, &s);
    ruler x = ruler_x(&s), head = ruler_y(&s, 1), pure = ruler_y(&s, 2);
    const mark *line = nth(&s, MARK_PURE, SHAPE_LINE, 0);
    CHECK(line->count == 21);
    for (size_t i = 0; i < 20; i++) {
        const mark *dot = nth(&s, MARK_HEAD, SHAPE_DOT, i);
        const place *p = s.places + line->first + i + 1;
        CHECK_NEAR(read_value(x, middle_x(dot)), r.end_l[i], HALF_PX * x.per_px);
        CHECK_NEAR(read_value(head, middle_y(dot)), r.jars[i].head_c, HALF_PX * fabs(head.per_px));
        CHECK_NEAR(read_value(x, p->x), r.end_l[i], HALF_PX * x.per_px);
        CHECK_NEAR(read_value(pure, p->y), jl_pure_alcohol_l(r.jars[i].so_far),
                   HALF_PX * fabs(pure.per_px));
    }
    const mark *goal = nth(&s, MARK_GOAL, SHAPE_LINE, 0);
    CHECK_NEAR(read_value(pure, s.places[goal->first].y), 3.36, HALF_PX * fabs(pure.per_px));
    sheet_free(&s);
    picture_free(&r);
}

static void forecast_shows_the_numbers_and_reaches_beyond_a_run_in_progress(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD | RUN_CHARGE | RUN_FORECAST | RUN_OPEN, &r);
    draw(&r, &s);
    ruler x = ruler_x(&s), y = ruler_y(&s, 0);
    const mark *line = nth(&s, MARK_EXPECTED, SHAPE_LINE, 0);
    CHECK(line->count == 60);
    for (size_t i = 0; i < 30; i++) {
        const place *p = s.places + line->first + 2 * i + 1;
        CHECK_NEAR(read_value(x, p->x), r.expected[i].end_l, HALF_PX * x.per_px);
        CHECK_NEAR(read_value(y, p->y), r.expected[i].strength_pct, HALF_PX * fabs(y.per_px));
    }
    const mark *frame = nth(&s, MARK_PANEL, SHAPE_BOX, 0);
    CHECK_NEAR(read_value(x, frame->box.x + frame->box.w), 6, HALF_PX * x.per_px);
    CHECK(line < nth(&s, MARK_STEPS, SHAPE_LINE, 0)); /* behind it */
    ruler pure = ruler_y(&s, 2);
    const mark *sum =
        nth(&s, MARK_EXPECTED, SHAPE_LINE, count_of(&s, MARK_EXPECTED, SHAPE_LINE) - 1);
    double begin_l = 0, pure_l = 0;
    CHECK(sum->count == 31);
    for (size_t i = 0; i < 30; i++) {
        pure_l += (r.expected[i].end_l - begin_l) * r.expected[i].strength_pct / 100;
        begin_l = r.expected[i].end_l;
        CHECK_NEAR(read_value(pure, s.places[sum->first + i + 1].y), pure_l,
                   HALF_PX * fabs(pure.per_px));
    }
    sheet_free(&s);
    picture_free(&r);
}

static void bands_are_the_fractions(void) {
    static const char *const NAMES[] = {"foreshots", "heads", "hearts", "tails"};
    static const double ENDS_L[] = {0.25, 0.5, 3.25, 5}; /* jars 1, 2, 13 and 20 of 0.25 l */
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD, &r);
    draw(&r, &s);
    ruler x = ruler_x(&s);
    CHECK(count_of(&s, MARK_BAND, SHAPE_BOX) == 4);
    CHECK(count_of(&s, MARK_BAND_LABEL, SHAPE_TEXT) == 4);
    for (size_t i = 0; i < 4; i++) {
        const mark *band = nth(&s, MARK_BAND, SHAPE_BOX, i);
        CHECK_NEAR(read_value(x, band->box.x + band->box.w), ENDS_L[i], HALF_PX * x.per_px);
        CHECK(strcmp(nth(&s, MARK_BAND_LABEL, SHAPE_TEXT, 3 - i)->text, NAMES[i]) == 0);
    }
    sheet_free(&s);
    picture_free(&r);
}

static void fractions_differ_by_more_than_tone(void) {
    run_picture r;
    sheet s;
    made_up_run(5, RUN_MIXED, &r);
    draw(&r, &s);
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < i; k++)
            CHECK(nth(&s, MARK_BAND, SHAPE_BOX, i)->pattern !=
                  nth(&s, MARK_BAND, SHAPE_BOX, k)->pattern);
    sheet_free(&s);
    picture_free(&r);
}

static void missing_numbers_are_gaps(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD, &r);
    r.own[7].head_c = NAN;
    draw(&r, &s);
    CHECK(count_of(&s, MARK_HEAD, SHAPE_LINE) == 2);
    CHECK(count_of(&s, MARK_HEAD, SHAPE_DOT) == 19);
    CHECK(count_of(&s, MARK_GOAL, SHAPE_LINE) == 0); /* no charge is known */
    sheet_free(&s);
    picture_free(&r);
    made_up_run(500, RUN_HEAD, &r); /* so many dots would hide the line */
    draw(&r, &s);
    CHECK(count_of(&s, MARK_HEAD, SHAPE_LINE) == 1 && count_of(&s, MARK_HEAD, SHAPE_DOT) == 0);
    sheet_free(&s);
    picture_free(&r);
    made_up_run(20, 0, &r);
    draw(&r, &s);
    CHECK(count_of(&s, MARK_PANEL, SHAPE_BOX) == 2); /* no head temperatures, no panel for them */
    sheet_free(&s);
    picture_free(&r);
}

/* ---- Nothing overlaps ---- */

/* A leader must not run through a word. */
static bool crosses(const sheet *s, const mark *leader, box b) {
    const place *p = s->places + leader->first;
    for (double t = 0.02; t < 1; t += 0.02) {
        double x = p[0].x + t * (p[1].x - p[0].x), y = p[0].y + t * (p[1].y - p[0].y);
        if (x > b.x && x < b.x + b.w && y > b.y && y < b.y + b.h) return true;
    }
    return false;
}

static bool overlap(box a, box b) {
    const double hair = 1e-6;
    return a.x + a.w > b.x + hair && b.x + b.w > a.x + hair && a.y + a.h > b.y + hair &&
           b.y + b.h > a.y + hair;
}

static void no_overlap(const sheet *s, const char *what) {
    for (size_t i = 0; i < s->count; i++) {
        const mark *a = &s->marks[i];
        if (a->shape != SHAPE_TEXT) continue;
        bool inside = a->box.x >= 0 && a->box.y >= 0 && a->box.x + a->box.w <= s->width &&
                      a->box.y + a->box.h <= s->height && a->box.w > 0 && a->box.h >= a->size;
        if (!inside) printf("\n    %s: '%s' is not on the sheet", what, a->text);
        CHECK(inside);
        const mark *leader;
        for (size_t k = 0; (leader = nth(s, MARK_LEADER, SHAPE_LINE, k)) != NULL; k++)
            CHECK(!crosses(s, leader, a->box));
        for (size_t k = 0; k < i; k++) {
            const mark *b = &s->marks[k];
            if (b->shape != SHAPE_TEXT || !overlap(a->box, b->box)) continue;
            printf("\n    %s: '%s' overlaps '%s'", what, a->text, b->text);
            CHECK(false);
        }
    }
}

static void no_text_overlaps_another(void) {
    static const size_t JARS[] = {1, 3, 20, 500};
    static const double SIZES[][3] = {
        {800, 560, 12}, {842, 595, 12}, {523, 330, 8.5}, {320, 560, 13}};
    char what[64];
    for (size_t j = 0; j < 4; j++)
        for (unsigned flags = 0; flags < 32; flags++)
            for (size_t z = 0; z < 4; z++) {
                run_picture r;
                sheet s;
                made_up_run(JARS[j], flags, &r);
                snprintf(what, sizeof what, "%zu jars, flags %u, %g px", JARS[j], flags,
                         SIZES[z][0]);
                double volume_l = chart_end_for(&r, 1);
                chart_sheet(&r, 1, 1, 1, volume_l, SIZES[z][0], SIZES[z][1], 4, SIZES[z][2], &s);
                no_overlap(&s, what);
                sheet_free(&s);
                picture_free(&r);
            }
}

/* Samples of bands and of lines: none lies on a panel's edge, and each line ends with a dash. */
static void check_samples(const sheet *s) {
    const mark *m, *frame;
    for (size_t i = 0; (m = nth(s, MARK_LEGEND, SHAPE_BOX, i)) != NULL; i++)
        for (size_t k = 0; (frame = nth(s, MARK_PANEL, SHAPE_BOX, k)) != NULL; k++)
            CHECK(!overlap(m->box, frame->box));
    for (size_t i = 0; (m = nth(s, MARK_LEGEND, SHAPE_LINE, i)) != NULL; i++) {
        const double *lengths;
        size_t count = look_dash(m->pattern, &lengths);
        double period = 0, length = s->places[m->first + 1].x - s->places[m->first].x;
        for (size_t k = 0; k < count; k++) period += lengths[k];
        if (count > 0) CHECK_NEAR(remainder(length + lengths[count - 1], period), 0, 1e-6);
        CHECK(length < 60);
    }
}

static void samples_are_whole(void) {
    static const double SIZES[][3] = {{800, 560, 12}, {523, 330, 8.5}, {320, 560, 14}};
    for (size_t z = 0; z < 3; z++) {
        run_picture r;
        sheet s;
        made_up_run(20, RUN_HEAD | RUN_CHARGE | RUN_FORECAST, &r);
        chart_sheet(&r, 1, 1, 1, 6, SIZES[z][0], SIZES[z][1], 16, SIZES[z][2], &s);
        CHECK(count_of(&s, MARK_LEGEND, SHAPE_LINE) == 2);
        const mark *steps = nth(&s, MARK_STEPS, SHAPE_LINE, 0);
        CHECK_NEAR(steps->size, 2.2 * fmin(1, SIZES[z][2] / 12), 1e-9);
        check_samples(&s);
        sheet_free(&s);
        picture_free(&r);
    }
}

/* Left and right of a chart are as much as its text needs, and the margin is the same. */
static void margins_are_even(void) {
    static const double ENDS[] = {0.5, 5, 400, 2000};
    for (size_t i = 0; i < 4; i++) {
        run_picture r;
        sheet s;
        double right = 0;
        made_up_run(20, RUN_HEAD, &r);
        for (size_t k = 0; k < 20; k++) r.end_l[k] *= ENDS[i] / 5;
        chart_sheet(&r, 1, 1, 1, ENDS[i], 800, 560, 16, 12, &s);
        for (size_t k = 0; k < s.count; k++)
            right = fmax(right, s.marks[k].box.x + s.marks[k].box.w);
        CHECK_NEAR(right, 800 - 16, 0.5);
        CHECK_NEAR(nth(&s, MARK_TITLE, SHAPE_TEXT, 0)->box.x, 16, 1e-9);
        sheet_free(&s);
        picture_free(&r);
    }
}

/* In % of the charge: the numbers below are the litres of those above, and the marks still agree. */
static void an_axis_in_shares_of_the_charge_has_its_litres_below(void) {
    static const double CHARGES[] = {12, 8.7, 220};
    for (size_t i = 0; i < 3; i++) {
        run_picture r;
        sheet s;
        made_up_run(20, RUN_HEAD | RUN_CHARGE, &r);
        for (size_t k = 0; k < 20; k++) r.end_l[k] *= CHARGES[i] / 12;
        r.charge_l = CHARGES[i];
        sheet_begin(&s, 523, 330);
        chart_end end = chart_end_of_report(NAN, &r);
        chart_run(&r, (box){0, 0, 523, 330}, 8.5, end, &s);
        no_overlap(&s, "an axis in %");
        ruler x = ruler_x(&s);
        const mark *frame = nth(&s, MARK_PANEL, SHAPE_BOX, 0), *litres;
        CHECK_NEAR(read_value(x, frame->box.x + frame->box.w), 60, 0.01);
        CHECK_NEAR(read_value(x, s.places[nth(&s, MARK_PURE, SHAPE_LINE, 0)->first + 20].x),
                   100 * r.end_l[19] / CHARGES[i], HALF_PX * x.per_px);
        CHECK(count_of(&s, MARK_LITRES, SHAPE_TEXT) == count_of(&s, MARK_TICK_X, SHAPE_TEXT));
        for (size_t k = 0; (litres = nth(&s, MARK_LITRES, SHAPE_TEXT, k)) != NULL; k++)
            CHECK_NEAR(strtod(litres->text, NULL),
                       read_value(x, middle_x(litres)) * CHARGES[i] / 100, CHARGES[i] / 1000);
        sheet_free(&s);
        picture_free(&r);
    }
}

static double gap_above(const sheet *s, size_t run) {
    const mark *head = nth(s, MARK_AXIS, SHAPE_TEXT, 2 * run);
    double end = 0;
    for (size_t i = 0; i < s->count; i++) {
        const mark *m = &s->marks[i];
        bool words = m->kind == MARK_TITLE || m->kind == MARK_NOTE;
        if (words && m->box.y < head->box.y && fabs(m->box.x - head->box.x) < 100)
            end = fmax(end, m->box.y + m->box.h);
    }
    return head->box.y - end;
}

/* A long title makes its own row's heads high, and panels stay as large as each other, on a
 * half-filled page too. */
static void a_long_title_leaves_the_other_rows_no_empty_space(void) {
    run_picture r[4];
    sheet s, half;
    for (size_t i = 0; i < 4; i++) made_up_run(20, RUN_CHARGE, &r[i]);
    free(r[3].title);
    r[3].title = strdup("Second distillation of the low wines of October with the feints of "
                        "September and of August");
    chart_sheet(r, 4, 2, 2, 5, 1000, 800, 16, 11, &s);
    chart_sheet(r, 2, 2, 2, 5, 1000, 800, 16, 11, &half);
    const mark *first = nth(&s, MARK_PANEL, SHAPE_BOX, 0), *other;
    for (size_t i = 0; (other = nth(&s, MARK_PANEL, SHAPE_BOX, i)) != NULL; i++)
        CHECK_NEAR(other->box.h, first->box.h, 1e-9);
    CHECK(gap_above(&s, 0) < 11);
    CHECK(gap_above(&s, 3) < 11);
    CHECK_NEAR(nth(&half, MARK_PANEL, SHAPE_BOX, 0)->box.h, first->box.h, 2 * 11 * 1.3);
    sheet_free(&s);
    sheet_free(&half);
    for (size_t i = 0; i < 4; i++) picture_free(&r[i]);
}

static void small_multiples_share_their_axes(void) {
    run_picture r[3];
    sheet s;
    made_up_run(3, RUN_CHARGE, &r[0]);
    made_up_run(20, RUN_HEAD | RUN_FORECAST, &r[1]);
    made_up_run(500, RUN_MIXED, &r[2]);
    double volume_l = chart_end_for(r, 3);
    chart_sheet(r, 3, 2, 2, volume_l, 1000, 700, 16, 11, &s);
    no_overlap(&s, "three runs");
    CHECK(count_of(&s, MARK_PANEL, SHAPE_BOX) == 3);
    const mark *first = nth(&s, MARK_PANEL, SHAPE_BOX, 0);
    for (size_t i = 1; i < 3; i++) {
        const mark *other = nth(&s, MARK_PANEL, SHAPE_BOX, i);
        CHECK_NEAR(other->box.w, first->box.w, 1e-9);
    }
    /* The forecast of the second ends at 6 l, so 5 l stand at the same share in each. */
    for (size_t i = 0; i < 3; i++) {
        const mark *steps = nth(&s, MARK_STEPS, SHAPE_LINE, i);
        double end = s.places[steps->first + steps->count - 1].x;
        const mark *frame = nth(&s, MARK_PANEL, SHAPE_BOX, i);
        CHECK_NEAR(end - frame->box.x, frame->box.w * 5 / 6, HALF_PX);
    }
    sheet_free(&s);
    for (size_t i = 0; i < 3; i++) picture_free(&r[i]);
}

static void axes_of_like_runs_end_alike(void) {
    static const double GIVEN[] = {0.9, 4.21, 4.46, 5, 5.01, 8.3, 44};
    static const double ENDS[] = {1, 5, 5, 5, 6, 10, 50};
    for (size_t i = 0; i < 7; i++) CHECK_NEAR(axis_end(GIVEN[i]), ENDS[i], 1e-9);
    for (size_t jars = 3; jars < 40; jars += 9) {
        run_picture r;
        sheet s;
        made_up_run(jars, RUN_HEAD | RUN_CHARGE, &r);
        draw(&r, &s);
        for (size_t panel_no = 0; panel_no < 3; panel_no++) {
            const mark *frame = nth(&s, MARK_PANEL, SHAPE_BOX, panel_no);
            ruler y = ruler_y(&s, panel_no);
            CHECK_NEAR(read_value(y, frame->box.y + frame->box.h), panel_no == 1 ? 70 : 0, 0.01);
            CHECK_NEAR(read_value(y, frame->box.y), panel_no == 2 ? 4 : 100, 0.01);
        }
        sheet_free(&s);
        picture_free(&r);
    }
}

/* Three runs in one panel: of 20, 20 and 10 jars of 5 L, the second mixed. */
static void three_together(compare_over over, run_picture r[3], sheet *s) {
    made_up_run(20, RUN_CHARGE, &r[0]);
    made_up_run(20, RUN_CHARGE | RUN_MIXED, &r[1]);
    made_up_run(10, RUN_CHARGE, &r[2]);
    r[0].slices = calloc(10, sizeof *r[0].slices);
    r[0].slice_count = 10;
    r[0].slice_l = 0.5;
    for (size_t i = 0; i < 10; i++)
        r[0].slices[i] =
            (jl_estimate){78 - 5.0 * (double)i, 76 - 5.0 * (double)i, 80 - 5.0 * (double)i};
    compare_sheet(r, 3, over, 6, 800, 560, 16, s);
}

static void runs_together_show_their_numbers_and_their_names(void) {
    run_picture r[3];
    sheet s;
    three_together(OVER_VOLUME, r, &s);
    no_overlap(&s, "three together");
    CHECK(count_of(&s, MARK_PANEL, SHAPE_BOX) == 1);
    ruler x = ruler_x(&s), y = ruler_y(&s, 0);
    for (size_t k = 0; k < 3; k++) {
        const mark *line = nth(&s, MARK_COMPARED, SHAPE_LINE, k);
        CHECK(line->count == r[k].count);
        for (size_t i = 0; i < r[k].count; i++) {
            double begin_l = i == 0 ? 0 : r[k].end_l[i - 1];
            const place *p = s.places + line->first + i;
            CHECK_NEAR(read_value(x, p->x), (begin_l + r[k].end_l[i]) / 2, HALF_PX * x.per_px);
            CHECK_NEAR(read_value(y, p->y), jl_spirit_strength_pct(r[k].jars[i].spirit),
                       HALF_PX * fabs(y.per_px));
        }
        for (size_t i = 0; i < k; i++)
            CHECK(line->pattern != nth(&s, MARK_COMPARED, SHAPE_LINE, i)->pattern);
        CHECK(strcmp(nth(&s, MARK_RUN, SHAPE_TEXT, 2 * k)->text, r[0].title) == 0);
    }
    const mark *band = nth(&s, MARK_INTERVAL, SHAPE_AREA, 0);
    CHECK(band->count == 20);
    CHECK_NEAR(read_value(y, s.places[band->first].y), 80, HALF_PX * fabs(y.per_px));
    CHECK_NEAR(read_value(x, s.places[band->first].x), 0.25, HALF_PX * x.per_px);
    CHECK_NEAR(read_value(y, s.places[band->first + 19].y), 76, HALF_PX * fabs(y.per_px));
    sheet_free(&s);
    for (size_t i = 0; i < 3; i++) picture_free(&r[i]);
}

static void runs_together_stand_over_what_was_recovered(void) {
    run_picture r[3];
    sheet s;
    three_together(OVER_RECOVERED, r, &s);
    ruler x = ruler_x(&s);
    const mark *line = nth(&s, MARK_COMPARED, SHAPE_LINE, 0);
    double before = 0;
    for (size_t i = 0; i < 20; i++) {
        double until = 100 * jl_pure_alcohol_l(r[0].jars[i].so_far) / r[0].charge_pure_l;
        CHECK_NEAR(read_value(x, s.places[line->first + i].x), (before + until) / 2,
                   HALF_PX * x.per_px);
        before = until;
    }
    sheet_free(&s);
    for (size_t i = 0; i < 3; i++) picture_free(&r[i]);
}

static void on_a_narrow_sheet_names_stand_below_the_panel(void) {
    run_picture r[3];
    sheet s;
    three_together(OVER_VOLUME, r, &s);
    double size = nth(&s, MARK_RUN, SHAPE_TEXT, 0)->size;
    sheet_free(&s);
    compare_sheet(r, 3, OVER_VOLUME, 6, 375, 560, 8, &s);
    no_overlap(&s, "three on a narrow sheet");
    const mark *frame = nth(&s, MARK_PANEL, SHAPE_BOX, 0);
    const mark *words = nth(&s, MARK_AXIS, SHAPE_TEXT, count_of(&s, MARK_AXIS, SHAPE_TEXT) - 1);
    const mark *first = nth(&s, MARK_RUN, SHAPE_TEXT, 0);
    CHECK(frame->box.w > 375 / 2.0);
    CHECK(first->box.y - (words->box.y + words->box.h) > size / 2);
    CHECK(count_of(&s, MARK_RUN, SHAPE_TEXT) == 6);
    for (size_t i = 0; i < 6; i++) {
        const mark *name = nth(&s, MARK_RUN, SHAPE_TEXT, i);
        CHECK(name->box.y > frame->box.y + frame->box.h);
        CHECK(name->box.x + name->box.w <= 375);
    }
    CHECK_NEAR(nth(&s, MARK_RUN, SHAPE_TEXT, 0)->size, size, 1e-9);
    sheet_free(&s);
    for (size_t i = 0; i < 3; i++) picture_free(&r[i]);
}

static void eight_runs_together_keep_their_names_apart(void) {
    static const double SIZES[][2] = {{800, 560}, {842, 595}, {595, 420}};
    for (size_t z = 0; z < 3; z++) {
        run_picture r[COMPARE_RUNS_MOST];
        sheet s;
        for (size_t i = 0; i < COMPARE_RUNS_MOST; i++) {
            made_up_run(20, RUN_CHARGE, &r[i]);
            free(r[i].title);
            r[i].title = strdup("Spirit run of the house in a wet October, of the second wash");
        }
        compare_sheet(r, COMPARE_RUNS_MOST, OVER_VOLUME, 5, SIZES[z][0], SIZES[z][1], 16, &s);
        no_overlap(&s, "eight together");
        CHECK(count_of(&s, MARK_RUN, SHAPE_TEXT) == 2 * COMPARE_RUNS_MOST);
        sheet_free(&s);
        for (size_t i = 0; i < COMPARE_RUNS_MOST; i++) picture_free(&r[i]);
    }
}

static void a_forecast_alone_is_thin_and_dashed_and_says_so(void) {
    run_picture r;
    sheet s;
    made_up_run(20, RUN_HEAD, &r);
    r.forecast = true;
    draw(&r, &s);
    const mark *steps = nth(&s, MARK_STEPS, SHAPE_LINE, 0);
    CHECK(steps->pattern == PATTERN_DASHED && steps->size <= 1);
    CHECK(nth(&s, MARK_HEAD, SHAPE_LINE, 0)->pattern == PATTERN_DASHED);
    CHECK(strcmp(nth(&s, MARK_LEGEND, SHAPE_TEXT, 0)->text, "FORECAST") == 0);
    CHECK(nth(&s, MARK_LEGEND, SHAPE_TEXT, 0)->bold);
    sheet_free(&s);
    r.forecast = false;
    draw(&r, &s);
    CHECK(nth(&s, MARK_STEPS, SHAPE_LINE, 0)->pattern == PATTERN_NONE);
    sheet_free(&s);
    picture_free(&r);
}

static void twenty_four_runs_fit_a_sheet(void) {
    run_picture r[CHART_RUNS_MOST];
    sheet s;
    for (size_t i = 0; i < CHART_RUNS_MOST; i++) made_up_run(20, RUN_CHARGE, &r[i]);
    chart_sheet_size(CHART_RUNS_MOST, chart_across(CHART_RUNS_MOST), &s.width, &s.height);
    double volume_l = chart_end_for(r, CHART_RUNS_MOST);
    chart_sheet(r, CHART_RUNS_MOST, 5, chart_across(CHART_RUNS_MOST), volume_l, s.width, s.height,
                16, 12, &s);
    no_overlap(&s, "24 runs");
    sheet_free(&s);
    for (size_t i = 0; i < CHART_RUNS_MOST; i++) picture_free(&r[i]);
}

static void marks_grow_no_faster_than_jars(void) {
    run_picture r;
    sheet small, large;
    made_up_run(1000, RUN_HEAD | RUN_MIXED, &r);
    draw(&r, &small);
    picture_free(&r);
    made_up_run(10000, RUN_HEAD | RUN_MIXED, &r);
    draw(&r, &large);
    picture_free(&r);
    CHECK(large.count + large.places_count <= 10 * (small.count + small.places_count));
    sheet_free(&small);
    sheet_free(&large);
}

/* ---- Texts and ticks ---- */

static void lines_do_not_end_between_a_number_and_its_unit(void) {
    static const char *const TIED[] = {"20 °C", "27.3 % vol", "1.5 L", "700 mL", "5 kg", "1000 W"};
    static const char *const FREE[] = {"19 jars", "3 Lemons", "20 and", "of L", "3 gins"};
    for (size_t i = 0; i < 6; i++) CHECK(text_ties(TIED[i], strcspn(TIED[i], " ")));
    for (size_t i = 0; i < 5; i++) CHECK(!text_ties(FREE[i], strcspn(FREE[i], " ")));
    const char *text =
        "weigh out 1.74 kg of water (1.75 L at 20 °C). That makes 3.93 L at 70.3 % vol";
    for (double width = 60; width < 400; width += 7)
        for (const char *at = text; *at != '\0';) {
            size_t length = text_line(at, 7, false, width);
            CHECK(!text_ties(text, (size_t)(at - text) + length));
            at += length + (at[length] == ' ');
        }
}

static void texts_are_made_clean(void) {
    char *clean = clean_text("a\nb\x01\xff\xc3\xa9\xed\xa0\x80");
    CHECK(strcmp(clean, "a b \xef\xbf\xbd\xc3\xa9\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd") == 0);
    free(clean);
}

static void ticks_stand_at_round_numbers(void) {
    static const double RANGES[][2] = {{0, 100}, {0, 4.4}, {83.2, 98.9}, {0, 0.03}, {17, 17}};
    char text[32];
    for (size_t i = 0; i < 5; i++) {
        axis a = axis_for(RANGES[i][0], RANGES[i][1], 6, true);
        double lead = a.step / pow(10, floor(log10(a.step) + 1e-9));
        CHECK(fabs(lead - 1) < 1e-9 || fabs(lead - 2) < 1e-9 || fabs(lead - 5) < 1e-9);
        CHECK(a.low <= RANGES[i][0] + 1e-9 && a.high >= RANGES[i][1] - 1e-9);
        CHECK(axis_ticks(&a) >= 3 && axis_ticks(&a) <= 8);
        for (size_t k = 0; k < axis_ticks(&a); k++) {
            axis_label(&a, axis_tick(&a, k), text, sizeof text);
            CHECK_NEAR(strtod(text, NULL), axis_tick(&a, k), 1e-9 * fabs(a.high));
        }
    }
}

/* ---- The chart of letters ---- */

static size_t longest_line(const char *text) {
    size_t longest = 0, now = 0;
    for (; *text != '\0'; text++) {
        if (((unsigned char)*text & 0xc0) != 0x80) now++;
        if (*text == '\n') now = 0;
        if (now > longest) longest = now;
    }
    return longest;
}

static void letters_fit_80_columns(void) {
    static const size_t JARS[] = {1, 3, 20, 500};
    for (size_t j = 0; j < 4; j++)
        for (unsigned flags = 0; flags < 32; flags++) {
            run_picture r;
            bytes b = {0};
            made_up_run(JARS[j], flags, &r);
            free(r.title);
            r.title = calloc(1, 601);
            for (int i = 0; i < 200; i++) memcpy(r.title + 2 * i, "\xc3\xa9", 2);
            double volume_l = chart_end_for(&r, 1);
            chart_text(&r, volume_l, &b);
            CHECK(longest_line(b.data) <= 80);
            CHECK(strstr(b.data, "…\n") != NULL);
            bytes_free(&b);
            picture_free(&r);
        }
}

/* Filled letters of a column, of 15 rows from 0 to the highest tick. */
static void letters_reach_up_to_the_strength(void) {
    run_picture r;
    bytes b = {0};
    made_up_run(2, 0, &r);
    double volume_l = chart_end_for(&r, 1);
    chart_text(&r, volume_l, &b);
    int hearts = 0, tails = 0;
    const char *line = strstr(b.data, "\nStrength at 20") + 1;
    for (int row = 0; row < 15; row++) {
        line = strchr(line, '\n') + 1;
        size_t length = strcspn(line, "\n");
        hearts += length > 8 && line[8] == '#';
        tails += length > 67 && line[67] == '\\';
    }
    /* 76.25 and 46.25 % vol of 100: rows 0 to 11 and 0 to 6 of 0 to 14. */
    CHECK(hearts == 12);
    CHECK(tails == 7);
    bytes_free(&b);
    picture_free(&r);
}

CU_TestInfo chart_tests[] = {
    {"the steps show strength and volume within 0.5 px", steps_show_the_numbers},
    {"in proof and °F all stands where its number is",
     in_proof_and_fahrenheit_all_stands_where_its_number_is},
    {"head temperature and pure alcohol show the numbers within 0.5 px",
     head_and_pure_alcohol_show_the_numbers},
    {"the forecast shows its numbers, behind the run and beyond it",
     forecast_shows_the_numbers_and_reaches_beyond_a_run_in_progress},
    {"bands end where fractions end and bear their names", bands_are_the_fractions},
    {"fractions differ by pattern and not by tone alone", fractions_differ_by_more_than_tone},
    {"what is missing is a gap", missing_numbers_are_gaps},
    {"no text overlaps another or leaves the sheet", no_text_overlaps_another},
    {"samples of a legend are whole and clear of the panels", samples_are_whole},
    {"margins are even", margins_are_even},
    {"an axis in % of the charge has its litres below",
     an_axis_in_shares_of_the_charge_has_its_litres_below},
    {"a long title leaves the other rows no empty space",
     a_long_title_leaves_the_other_rows_no_empty_space},
    {"small multiples share their axes", small_multiples_share_their_axes},
    {"axes of like runs end alike", axes_of_like_runs_end_alike},
    {"runs together show their numbers and their names",
     runs_together_show_their_numbers_and_their_names},
    {"runs together stand over what was recovered", runs_together_stand_over_what_was_recovered},
    {"on a narrow sheet names stand below the panel",
     on_a_narrow_sheet_names_stand_below_the_panel},
    {"eight runs together keep their names apart", eight_runs_together_keep_their_names_apart},
    {"a forecast alone is thin and dashed and says so",
     a_forecast_alone_is_thin_and_dashed_and_says_so},
    {"24 runs fit a sheet", twenty_four_runs_fit_a_sheet},
    {"marks grow no faster than jars", marks_grow_no_faster_than_jars},
    {"lines do not end between a number and its unit",
     lines_do_not_end_between_a_number_and_its_unit},
    {"control characters and broken UTF-8 are replaced", texts_are_made_clean},
    {"the chart of letters fits 80 columns", letters_fit_80_columns},
    {"letters reach up to the strength", letters_reach_up_to_the_strength},
    {"ticks stand at 1, 2 or 5 times a power of ten", ticks_stand_at_round_numbers},
    CU_TEST_INFO_NULL,
};
