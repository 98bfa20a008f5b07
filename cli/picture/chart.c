/* A run as marks: its panels, and several runs on one sheet.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/chart.h"
#include "answer/characters.h"
#include "answer/digits.h"
#include "answer/say.h"
#include "answer/units.h"
#include "input/args.h"
#include "input/part.h"
#include "picture/html.h"
#include "picture/svg.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- Fractions as bands: neighbours of one fraction are one band, with its name above ---- */

enum { BAND_ROWS = 2 };

static const struct {
    mark_tone tone;
    mark_pattern pattern;
} LOOK[JL_FRACTIONS] = {
    [JL_UNDECIDED] = {TONE_BAND_OPEN, PATTERN_DOTTED},
    [JL_FORESHOTS] = {TONE_BAND_FORESHOTS, PATTERN_CROSSED},
    [JL_HEADS] = {TONE_BAND_HEADS, PATTERN_RISING},
    [JL_HEARTS] = {TONE_BAND_HEARTS, PATTERN_NONE},
    [JL_TAILS] = {TONE_BAND_TAILS, PATTERN_FALLING},
};

/* The band that begins at jar first: where it ends, and its place. */
static size_t band_end(const run_picture *r, size_t first) {
    size_t end = first + 1;
    while (end < r->count && r->jars[end].fraction == r->jars[first].fraction) end++;
    return end;
}

static void band_span(const run_picture *r, const panel *p, size_t first, size_t end, double *left,
                      double *right) {
    *left = panel_x(p, first == 0 ? 0 : r->end_l[first - 1]);
    *right = panel_x(p, r->end_l[end - 1]);
}

static double names_h(int rows, double em) {
    return rows * line_height(0.9 * em) + 0.35 * em;
}

static void chart_bands(const run_picture *r, const panel *p, sheet *s) {
    double left, right;
    for (size_t first = 0, end; first < r->count; first = end) {
        end = band_end(r, first);
        jl_fraction fraction = r->jars[first].fraction;
        band_span(r, p, first, end, &left, &right);
        sheet_box(s, MARK_BAND, (box){left, p->at.y, right - left, p->at.h}, LOOK[fraction].tone,
                  LOOK[fraction].pattern);
    }
}

/* Names are set from right to left, so that a name in the upper row hangs its leader to the left of
 * those below. */
typedef struct labels {
    double starts[BAND_ROWS]; /* of what stands in each row; the lowest first */
    bool dropped;
} labels;

static const labels NO_LABELS = {{INFINITY, INFINITY}, false};

static int label_rows(const labels *l) {
    int rows = l->dropped ? BAND_ROWS : 0;
    while (rows < BAND_ROWS && !isinf(l->starts[rows])) rows++;
    return rows;
}

/* left_middle: of the band to the left, whose leader must pass. */
static void put_label(const panel *p, const char *name, double middle, double left_middle,
                      double top, labels *l, sheet *s) {
    double size = 0.9 * p->em, h = line_height(size), w = text_room(name, size);
    double x = fmin(fmax(middle - w / 2, p->at.x), p->at.x + p->at.w - w);
    double beside = fmin(fmax(x, left_middle + 4), middle);
    int row = beside + w <= fmin(l->starts[0], p->at.x + p->at.w) ? 0 : 1;
    if (row == 0) x = beside;
    if (row == 1 && (x + w > l->starts[1] || middle > l->starts[0] - 2)) {
        l->dropped = true;
        return;
    }
    double y = top + (BAND_ROWS - 1 - row) * h;
    sheet_text(s, MARK_BAND_LABEL, (box){x, y, w, h}, ALIGN_CENTRE, size, name);
    double from = fmin(fmax(middle, x + 1), x + w - 1);
    sheet_straight(s, MARK_LEADER, 0.8, TONE_GREY, (place){from, y + h}, (place){middle, p->at.y});
    l->starts[row] = x;
}

/* Where not every band could be named, the names stand with a sample of each. */
static void put_samples(const run_picture *r, const panel *p, double top, sheet *s) {
    bool logged[JL_FRACTIONS] = {false};
    double h = line_height(0.9 * p->em), x = p->at.x, w = 0;
    for (size_t i = 0; i < r->count; i++) logged[r->jars[i].fraction] = true;
    for (int f = 0; f < JL_FRACTIONS; f++)
        if (logged[f])
            w = fmax(w, NAME_ROOM * text_span(fraction_word((jl_fraction)f, r->charge), 0.9 * p->em,
                                              false));
    for (int f = 0; f < JL_FRACTIONS; f++) {
        if (!logged[f]) continue;
        const char *name = fraction_word((jl_fraction)f, r->charge);
        if (x + 2 * p->em + w > p->at.x + p->at.w) x = p->at.x, top += h;
        box sample = {x, top + 0.2 * h, 1.6 * p->em, 0.7 * h};
        sheet_box(s, MARK_LEGEND, sample, LOOK[f].tone, LOOK[f].pattern);
        sheet_box(s, MARK_LEGEND, sample, TONE_GREY, PATTERN_NONE)->size = 0.6;
        sheet_text(s, MARK_LEGEND, (box){x + 2 * p->em, top, w, h}, ALIGN_LEFT, 0.9 * p->em, name);
        x += 2.8 * p->em + w;
    }
}

static size_t band_begin(const run_picture *r, size_t end) {
    size_t first = end - 1;
    while (first > 0 && r->jars[first - 1].fraction == r->jars[end - 1].fraction) first--;
    return first;
}

static double band_middle(const run_picture *r, const panel *p, size_t first, size_t end) {
    double left, right;
    band_span(r, p, first, end, &left, &right);
    return (left + right) / 2;
}

static labels put_labels(const run_picture *r, const panel *p, double top, sheet *s) {
    labels l = NO_LABELS;
    for (size_t end = r->count, first; end > 0 && !l.dropped; end = first) {
        first = band_begin(r, end);
        double middle = band_middle(r, p, first, end), left = -INFINITY;
        if (first > 0) left = band_middle(r, p, band_begin(r, first), first);
        put_label(p, fraction_word(r->jars[first].fraction, r->charge), middle, left, top, &l, s);
    }
    return l;
}

static labels try_labels(const run_picture *r, const panel *p) {
    sheet trial;
    sheet_begin(&trial, 0, 0);
    labels l = put_labels(r, p, 0, &trial);
    sheet_free(&trial);
    return l;
}

/* They end at the panel's upper edge. */
static void chart_band_labels(const run_picture *r, const panel *p, sheet *s) {
    double top = p->at.y - names_h(BAND_ROWS, p->em);
    if (try_labels(r, p).dropped)
        put_samples(r, p, top, s);
    else
        put_labels(r, p, top, s);
}

/* ---- The panels of one run ---- */

static const char PURE[] = "Pure alcohol, L at 20 °C";

static const char *head_words(void) {
    return units_seen().fahrenheit ? "Head temperature, °F" : "Head temperature, °C";
}

static void stretch(double value, double *low, double *high) {
    if (isnan(value)) return;
    *low = fmin(*low, value);
    *high = fmax(*high, value);
}

static double volume_of(const run_picture *runs, size_t count) {
    double volume_l = 0;
    for (const run_picture *r = runs; r < runs + count; r++)
        volume_l = fmax(volume_l, fmax(picture_to_come_l(r), picture_expected_l(r)));
    return volume_l;
}

double chart_end_for(const run_picture *runs, size_t count) {
    return axis_end(volume_of(runs, count));
}

int chart_end_read(const char *volume_to, double *volume_l) {
    int bad = arg_value("--volume-to", volume_to, JL_VOLUME, volume_l);
    if (bad != 0 || volume_to == NULL || *volume_l > 0) return bad;
    return fail_argument("--volume-to", volume_to, JL_RANGE, "a volume above 0, as 6L");
}

double chart_end_of_house(double house_l, const run_picture *runs, size_t count) {
    return house_l >= volume_of(runs, count) ? house_l : chart_end_for(runs, count);
}

chart_end chart_end_of_report(double house_l, const run_picture *r) {
    /* Of a charge, what a run collects at the most, and what none can exceed; common practice, no
     * source. */
    const double USUAL = 0.6, ALL = 1;
    double volume_l = volume_of(r, 1);
    if (house_l >= volume_l) return (chart_end){house_l, 0};
    for (double share = USUAL; r->charge_l > 0 && isnan(house_l); share = ALL) {
        if (volume_l <= share * r->charge_l) return (chart_end){share * r->charge_l, r->charge_l};
        if (share == ALL) break;
    }
    return (chart_end){axis_end(volume_l), 0};
}

int chart_end_check(const char *volume_to, double volume_l, const char *path,
                    const run_picture *r) {
    if (volume_to == NULL || picture_volume_l(r) <= volume_l) return EXIT_DONE;
    return refuse("--volume-to '%s': %s goes to %.3f L", volume_to, path, picture_volume_l(r));
}

/* ---- Lines ---- */

/* What is forecast and not measured is thin and dashed. */
static void forecast_line(sheet *s) {
    sheet_line(s, MARK_EXPECTED, 1, TONE_GREY)->pattern = PATTERN_DASHED;
}

/* Of a line in a panel of small type, which a thick one would hide the steps of. */
static double thin(const panel *p, double width) {
    const double USUAL = 12; /* type in which it has its width */
    return width * fmin(1, p->em / USUAL);
}

static void drawn_line(const run_picture *r, const panel *p, mark_kind kind, double width,
                       mark_tone tone, sheet *s) {
    mark *m = sheet_line(s, kind, r->forecast ? 1 : thin(p, width), tone);
    if (r->forecast) m->pattern = PATTERN_DASHED;
}

static void strength_steps(const run_picture *r, const panel *p, sheet *s) {
    double left = panel_x(p, 0);
    bool open = false;
    for (size_t i = 0; i < r->count; i++) {
        double right = panel_x(p, r->end_l[i]);
        bool known = !isnan(jl_spirit_strength_pct(r->jars[i].spirit));
        if (known && !open) drawn_line(r, p, MARK_STEPS, 2.2, TONE_INK, s);
        if (known) {
            double y = strength_y(p, jl_spirit_strength_pct(r->jars[i].spirit));
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
    forecast_line(s);
    for (size_t i = 0; i < r->expected_count; i++) {
        double right = panel_x(p, r->expected[i].end_l),
               y = strength_y(p, r->expected[i].strength_pct);
        sheet_place(s, (place){left, y});
        sheet_place(s, (place){right, y});
        left = right;
    }
}

/* Between what each jar to come lies. */
static void rest_band(const run_picture *r, const panel *p, sheet *s) {
    double from_l = picture_volume_l(r);
    for (size_t i = 0; i < r->rest_count; i++) {
        double left = panel_x(p, from_l + r->rest_jar_l * (double)i),
               right = panel_x(p, from_l + r->rest_jar_l * (double)(i + 1)),
               top = strength_y(p, r->rest_pct[i].high), bottom = strength_y(p, r->rest_pct[i].low);
        sheet_box(s, MARK_REST, (box){left, top, right - left, bottom - top}, TONE_INTERVAL,
                  PATTERN_NONE);
    }
}

/* Where the expected run lies: its mean too, where the log has no forecast of its own. */
static void expected_slices(const run_picture *r, const panel *p, sheet *s) {
    if (r->slice_count == 0) return;
    double *at = need(calloc(r->slice_count, sizeof *at));
    for (size_t k = 0; k < r->slice_count; k++) at[k] = r->slice_l * ((double)k + 0.5);
    panel_interval(p, at, r->slices, r->slice_count, s);
    if (r->expected_count == 0) {
        forecast_line(s);
        for (size_t k = 0; k < r->slice_count; k++)
            sheet_place(s, (place){panel_x(p, at[k]), strength_y(p, r->slices[k].value)});
    }
    free(at);
}

/* What the forecast comes to, jar by jar. */
static void expected_pure(const run_picture *r, const panel *p, sheet *s) {
    double begin_l = 0, pure_l = 0;
    if (r->expected_count == 0) return;
    forecast_line(s);
    sheet_place(s, (place){panel_x(p, 0), panel_y(p, 0)});
    for (size_t i = 0; i < r->expected_count; i++) {
        pure_l += (r->expected[i].end_l - begin_l) * r->expected[i].strength_pct / 100;
        begin_l = r->expected[i].end_l;
        sheet_place(s, (place){panel_x(p, begin_l), panel_y(p, pure_l)});
    }
}

static void head_line(const run_picture *r, const panel *p, sheet *s) {
    const double DOT = thin(p, 5), APART = 1.3 * DOT; /* closer, they would hide the line */
    bool open = false, dots = (double)r->count * APART <= panel_x(p, picture_volume_l(r)) - p->at.x;
    for (size_t i = 0; i < r->count; i++) {
        bool known = !isnan(r->jars[i].head_c);
        if (known && !open) drawn_line(r, p, MARK_HEAD, 1.4, TONE_HEAD, s);
        if (known) sheet_place(s, (place){panel_x(p, r->end_l[i]), temp_y(p, r->jars[i].head_c)});
        open = known;
    }
    for (size_t i = 0; i < r->count && dots; i++)
        if (!isnan(r->jars[i].head_c))
            sheet_dot(s, MARK_HEAD, (place){panel_x(p, r->end_l[i]), temp_y(p, r->jars[i].head_c)},
                      DOT, TONE_HEAD);
}

static void expected_head(const run_picture *r, const panel *p, sheet *s) {
    bool open = false;
    for (size_t i = 0; i < r->expected_count; i++) {
        const jl_expected *e = &r->expected[i];
        bool known = !isnan(e->head_c);
        if (known && !open) forecast_line(s);
        if (known) sheet_place(s, (place){panel_x(p, e->end_l), temp_y(p, e->head_c)});
        open = known;
    }
}

static void pure_line(const run_picture *r, const panel *p, sheet *s) {
    drawn_line(r, p, MARK_PURE, 2, TONE_PURE, s);
    sheet_place(s, (place){panel_x(p, 0), panel_y(p, 0)});
    for (size_t i = 0; i < r->count && !isnan(r->jars[i].so_far.ethanol_kg); i++)
        sheet_place(
            s, (place){panel_x(p, r->end_l[i]), panel_y(p, jl_pure_alcohol_l(r->jars[i].so_far))});
}

/* ---- Numbers of the jars below the steps ---- */

static double jar_middle(const run_picture *r, const panel *p, size_t i) {
    double begin_l = i == 0 ? 0 : r->end_l[i - 1];
    return panel_x(p, (begin_l + r->end_l[i]) / 2);
}

static box jar_box(const run_picture *r, const panel *p, size_t i, char *text, size_t size) {
    double type = 0.8 * p->em;
    snprintf(text, size, "%s", r->jars[i].name);
    double w = text_room(text, type);
    double x = fmin(fmax(jar_middle(r, p, i) - w / 2, p->at.x), p->at.x + p->at.w - w);
    return (box){x, p->at.y + p->at.h + PANEL_CLEAR * p->em, w, line_height(type)};
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
    box word = {p->at.x - 4.4 * p->em, p->at.y + p->at.h + PANEL_CLEAR * p->em, 4 * p->em,
                line_height(0.8 * p->em)};
    sheet_text(s, MARK_JAR, word, ALIGN_RIGHT, 0.8 * p->em, "jar")->tone = TONE_GREY;
}

/* ---- Panels ---- */

/* Heights in those of the type. */
static const double HEAD_GAP = 0.3, PANEL_GAP = 0.4; /* below a panel's head, and below a panel */
static const double NUMBERS_H = 1.7;                 /* of the numbers below the last panel */
static const double LITRES_H = 0.95;                 /* of a second row of them */

/* What the panels of a run have in common: where they stand, and their axis of volume. */
typedef struct panels {
    box frame, in; /* with the numbers beside them, and without */
    double em;
    axis x;
    double charge_l; /* > 0: the axis is numbered in % of it */
} panels;

static axis volume_axis(chart_end end, double length, double em) {
    int most = axis_ticks_along(length, em);
    if (!(end.charge_l > 0)) return axis_for(0, end.volume_l, most, false);
    double per = end.charge_l / 100;
    axis a = axis_for(0, round(end.volume_l / per), most, false);
    return (axis){0, end.volume_l, a.step * per, 0, per};
}

/* What a number in % is in litres. */
static void litres_text(const axis *a, double value, char *text, size_t size) {
    int decimals = (int)fmax(0, 1 - floor(log10(a->step) + 1e-9));
    if (jl_decimal_write(value, decimals, text, size) != JL_OK) snprintf(text, size, "-");
}

/* Of the last number; axes in % have all the same, whatever the litres below it. */
static double last_room(const axis *a, double em) {
    static const char LITRES_MOST[] = "0.123";
    char text[32];
    if (a->per > 0) return text_room(LITRES_MOST, 0.8 * em);
    axis_label(a, axis_tick(a, axis_ticks(a) - 1), text, sizeof text);
    return text_room(text, 0.9 * em);
}

/* Clear of the numbers beside the panels, and of half the last one below them. */
static panels panels_in(box frame, double em, chart_end end) {
    const double BESIDE = 4.6, LAST_MOST = 1.6;
    box in = {frame.x + BESIDE * em, frame.y, frame.w - BESIDE * em, frame.h};
    axis x = volume_axis(end, in.w - LAST_MOST * em, em);
    in.w -= fmin(last_room(&x, em) / 2, LAST_MOST * em);
    return (panels){frame, in, em, x, end.charge_l};
}

static panel panel_in(const panels *all, box at, double high) {
    panel p = {.at = at, .em = all->em, .x = all->x};
    p.y = axis_for(0, high, axis_ticks_up(at.h, all->em), true);
    return p;
}

/* In capitals where nothing was measured yet. */
static const char *forecast_words(const run_picture *r) {
    if (r->slice_count > 0)
        return picture_knows_still(r) ? "forecast, with its 95 % band"
                                      : "forecast, 95 %: plain pot (default)";
    if (r->forecast) return "FORECAST";
    if (r->expected_count == 0) return r->rest_count > 0 ? "to come, 95 %" : NULL;
    if (r->rest_count > 0) return "forecast; band: to come, 95 %";
    return r->count == 0 ? "FORECAST" : "forecast";
}

static panel_sample forecast_sample(const run_picture *r) {
    if (r->expected_count == 0 && r->slice_count == 0 && r->goes_on)
        return (panel_sample){.tone = TONE_INTERVAL, .width = 6};
    bool alone = r->forecast || r->count == 0;
    return (panel_sample){alone ? TONE_INK : TONE_GREY, 1, PATTERN_DASHED, false, alone};
}

/* Of a line of its own for it, in a panel so wide. */
static double legend_h(const run_picture *r, double width, double em) {
    const panel p = {.at.w = width, .em = em};
    const char *words = forecast_words(r);
    bool beside = words == NULL ||
                  panel_legend_beside(&p, picture_strength_words(), forecast_sample(r), words);
    return beside ? 0 : line_height(em);
}

static void strength_panel(const run_picture *r, const panel *p, bool number_x, sheet *s) {
    chart_bands(r, p, s);
    expected_slices(r, p, s);
    panel_marks(p, picture_strength_words(), number_x, s);
    chart_band_labels(r, p, s);
    if (r->slice_count == 0) rest_band(r, p, s);
    expected_steps(r, p, s);
    strength_steps(r, p, s);
    const char *words = forecast_words(r);
    if (words != NULL) panel_legend(p, picture_strength_words(), forecast_sample(r), words, s);
}

static void head_panel(const run_picture *r, const panels *all, box at, sheet *s) {
    const double TENS = 10;
    double low = 70, high = 100; /* of every run alike */
    for (size_t i = 0; i < r->count; i++) stretch(r->jars[i].head_c, &low, &high);
    for (size_t i = 0; i < r->expected_count; i++) stretch(r->expected[i].head_c, &low, &high);
    panel p = {.at = at, .em = all->em, .x = all->x};
    low = value_seen(low, CELSIUS);
    high = value_seen(high, CELSIUS);
    p.y = axis_between(TENS * floor(low / TENS), TENS * ceil(high / TENS),
                       axis_ticks_up(at.h, all->em));
    panel_marks(&p, head_words(), false, s);
    expected_head(r, &p, s);
    head_line(r, &p, s);
}

/* Below the numbers in %: the litres of each. */
static void litres_below(const panel *p, sheet *s) {
    char text[32];
    double type = 0.8 * p->em, y = p->at.y + p->at.h + NUMBERS_H * p->em;
    for (size_t i = 0; i < axis_ticks(&p->x); i++) {
        double value = axis_tick(&p->x, i);
        litres_text(&p->x, value, text, sizeof text);
        double w = text_room(text, type);
        sheet_text(s, MARK_LITRES, (box){panel_x(p, value) - w / 2, y, w, LITRES_H * p->em},
                   ALIGN_CENTRE, type, text)
            ->tone = TONE_GREY;
    }
}

/* At the left of a row of numbers, what they are. */
static void beside_numbers(const panel *p, double down, double size, const char *word, sheet *s) {
    box at = {p->at.x - 4.4 * p->em, p->at.y + p->at.h + down * p->em, 2.8 * p->em,
              LITRES_H * p->em};
    sheet_text(s, MARK_AXIS, at, ALIGN_RIGHT, size * p->em, word)->tone = TONE_GREY;
}

static void volume_words(const panels *all, const panel *p, sheet *s) {
    if (!(all->charge_l > 0)) {
        panel_words_below(p, PICTURE_VOLUME, s);
        return;
    }
    panel lower = *p;
    lower.at.h += LITRES_H * p->em;
    const char *words = "Collected, % of the charge, and L at 20 °C";
    if (NAME_ROOM * text_span(words, p->em, true) > p->at.w) {
        words = "Collected: % of charge, and L";
        lower.at.x = all->frame.x;
        lower.at.w = all->frame.w;
    }
    litres_below(p, s);
    beside_numbers(p, PANEL_CLEAR, 0.9, "%", s);
    beside_numbers(p, NUMBERS_H, 0.8, "L", s);
    panel_words_below(&lower, words, s);
}

static void pure_panel(const run_picture *r, const panels *all, box at, sheet *s) {
    char words[64];
    bool goal = r->charge_pure_l > 0;
    double high = fmax(picture_pure_l(r), goal ? r->charge_pure_l : 0);
    panel p = panel_in(all, at, axis_end(1.02 * high));
    panel_marks(&p, PURE, true, s);
    if (goal) {
        double y = panel_y(&p, r->charge_pure_l);
        sheet_straight(s, MARK_GOAL, 1.4, TONE_INK, (place){at.x, y}, (place){at.x + at.w, y})
            ->pattern = PATTERN_DASHED;
        snprintf(words, sizeof words, "charged: %s", PURE_OF(r->charge));
        panel_legend(&p, PURE, (panel_sample){TONE_INK, 1.4, PATTERN_DASHED, true, false}, words,
                     s);
    }
    expected_pure(r, &p, s);
    pure_line(r, &p, s);
    volume_words(all, &p, s);
}

/* Where a run has head temperatures and where not, strength has most of the height. */
typedef struct shares {
    double strength, head;
} shares;

static shares shares_of(const run_picture *r) {
    return picture_has_head(r) ? (shares){0.56, 0.22} : (shares){0.68, 0};
}

void chart_run(const run_picture *r, box frame, double em, chart_end end, sheet *s) {
    const panels all = panels_in(frame, em, end);
    const shares share = shares_of(r);
    const int count = share.head > 0 ? 3 : 2;
    box in = all.in;
    double heads = line_height(em) + HEAD_GAP * em, gap = PANEL_GAP * em;
    double foot = NUMBERS_H * em + line_height(em) + (end.charge_l > 0 ? LITRES_H * em : 0);
    double jars_h = line_height(0.8 * em) + PANEL_CLEAR * em;
    panel across = {.at = in, .em = em, .x = all.x};
    labels named = try_labels(r, &across);
    double names = names_h(label_rows(&named), em) + legend_h(r, in.w, em);
    double room = in.h - heads * count - names - jars_h - foot - gap * (count - 1);
    double y = in.y + heads + names;
    panel strength =
        panel_in(&all, (box){in.x, y, in.w, share.strength * room}, picture_strength_end());
    strength.head_up = names;
    strength_panel(r, &strength, false, s);
    jar_numbers(r, &strength, s);
    y += strength.at.h + jars_h + gap + heads;
    if (share.head > 0) {
        head_panel(r, &all, (box){in.x, y, in.w, share.head * room}, s);
        y += share.head * room + gap + heads;
    }
    box pure = {in.x, y, in.w, (1 - share.strength - share.head) * room};
    pure_panel(r, &all, pure, s);
}

/* Strength alone, for small multiples. */
static void chart_run_small(const run_picture *r, box frame, double em, double volume_l, sheet *s) {
    const panels all = panels_in(frame, em, (chart_end){volume_l, 0});
    box in = all.in;
    double line = line_height(em), names = names_h(BAND_ROWS, em) + legend_h(r, in.w, em);
    double top = line + HEAD_GAP * em + names, foot = NUMBERS_H * em + line;
    panel p =
        panel_in(&all, (box){in.x, in.y + top, in.w, in.h - top - foot}, picture_strength_end());
    p.head_up = names;
    strength_panel(r, &p, true, s);
    panel_words_below(&p, PICTURE_VOLUME, s);
}

/* ---- One run on a sheet, or several as small multiples on the same axes ---- */

enum { TITLE_LINES_MOST = 3, SENTENCE_LINES_MOST = 4 };

/* Title and sentences; returns where they end. */
static double put_head(const run_picture *r, box at, double em, bool brief, sheet *s) {
    char words[256];
    double size = 0.95 * em;
    at.y = sheet_paragraph(s, MARK_TITLE, at, TITLE_LINES_MOST, 1.3 * em, true, r->title);
    (brief ? picture_words_charge_brief : picture_words_charge)(r, words, sizeof words);
    at.y = sheet_paragraph(s, MARK_NOTE, at, SENTENCE_LINES_MOST, size, false, words);
    picture_words_collected(r, words, sizeof words);
    at.y = sheet_paragraph(s, MARK_NOTE, at, SENTENCE_LINES_MOST, size, false, words);
    if (r->goes_on)
        at.y =
            sheet_paragraph(s, MARK_NOTE, at, SENTENCE_LINES_MOST, size, true, PICTURE_NEVER_ALONE);
    return at.y + 0.5 * em;
}

/* The highest head of several beside each other, so that their panels stand in a row. */
static double heads_h(const run_picture *runs, size_t count, double width, double em) {
    double h = 0;
    sheet trial;
    sheet_begin(&trial, 0, 0);
    for (size_t i = 0; i < count; i++)
        h = fmax(h, put_head(&runs[i], (box){0, 0, width, 0}, em, true, &trial));
    sheet_free(&trial);
    return h;
}

static box below(box frame, double used) {
    return (box){frame.x, frame.y + used, frame.w, frame.h - used};
}

size_t chart_across(size_t count) {
    return (size_t)ceil(sqrt((double)count));
}

size_t chart_down(size_t count, size_t across) {
    return (count + across - 1) / across;
}

const double CHART_SMALL_W = 440;

/* Of one run, and the height of one of several, in px: a panel of several is about half as high as
 * wide. */
static const double ALONE_W = 800, ALONE_H = 560, SMALL_H = 320;

void chart_sheet_size(size_t count, size_t across, double *width, double *height) {
    *width = count == 1 ? ALONE_W : CHART_SMALL_W * (double)across;
    *height = count == 1 ? ALONE_H : SMALL_H * (double)chart_down(count, across);
}

size_t chart_on_page(double width, double height, size_t count, size_t *across) {
    /* Type that can still be read on paper; a run's height in heights of it, of which its panel has
     * 13. */
    static const double TYPE = 12, TYPE_LEAST = 6.9, ROWS = 25;
    *across = chart_across(count);
    while (*across > 1 && width * TYPE < TYPE_LEAST * CHART_SMALL_W * (double)*across) --*across;
    double em = fmin(TYPE, width * TYPE / (CHART_SMALL_W * (double)*across));
    size_t down = (size_t)fmax(1, floor(height / (ROWS * em)));
    return *across * down < count ? *across * down : count;
}

static void describe(const run_picture *runs, size_t count, sheet *s) {
    bytes b = {0};
    char words[800];
    for (size_t i = 0; i < count; i++) {
        picture_words_all(&runs[i], words, sizeof words);
        bytes_print(&b, "%s%s%s%s", i > 0 ? " " : "", count > 1 ? runs[i].title : "",
                    count > 1 ? ": " : "", words);
    }
    sheet_describe(s, b.data);
    bytes_free(&b);
}

/* Panels of one size in rows, each below the heads of its own row; down: the rows that there is room
 * for. */
static void put_rows(const run_picture *runs, size_t count, size_t down, size_t across,
                     double volume_l, box in, double em, sheet *s) {
    double gap = 1.5 * em, w = (in.w - gap * (double)(across - 1)) / (double)across, most = 0;
    double heads[CHART_RUNS_MOST], all = 0;
    for (size_t row = 0; row < down; row++) {
        size_t first = row * across, end = first + across < count ? first + across : count;
        heads[row] = first < count ? heads_h(runs + first, end - first, w, em) : most;
        most = fmax(most, heads[row]);
        all += heads[row];
    }
    double h = (in.h - all - gap * (double)(down - 1)) / (double)down;
    for (size_t i = 0; i < count; i++) {
        size_t row = i / across;
        box cell = {in.x + (w + gap) * (double)(i % across), in.y, w, heads[row] + h};
        put_head(&runs[i], cell, em, true, s);
        chart_run_small(&runs[i], below(cell, heads[row]), em, volume_l, s);
        if (i % across + 1 == across) in.y += heads[row] + h + gap;
    }
}

void chart_sheet(const run_picture *runs, size_t count, size_t down, size_t across, double volume_l,
                 double width, double height, double margin, double em, sheet *s) {
    box inside = {margin, margin, width - 2 * margin, height - 2 * margin};
    sheet_begin(s, width, height);
    describe(runs, count, s);
    if (count == 1) {
        double used = put_head(runs, inside, em, false, s) - inside.y;
        chart_run(runs, below(inside, used), em, (chart_end){volume_l, 0}, s);
        return;
    }
    put_rows(runs, count, down, across, volume_l, inside, em, s);
}

/* ---- In a page of HTML ---- */

/* The smallest type is 0.8 of TYPE, and is to be read at 11 px. HEIGHT leaves three panels with their
 * heads some 250 px, as much as the narrowest screen has across. OVERHANG: of half a number beyond
 * the panels. */
enum { TYPE = 14 };
static const double HEIGHT = 475, OVERHANG = 4;

static void draw(const run_picture *r, chart_end end, double width, bytes *b) {
    sheet s;
    sheet_begin(&s, width, HEIGHT);
    chart_run(r, (box){0, OVERHANG, width, HEIGHT - 2 * OVERHANG}, TYPE, end, &s);
    svg_write(&s, r->title, b);
    sheet_free(&s);
}

void chart_html(bytes *b, const run_picture *r, chart_end end, const char *also) {
    bytes drawn[HTML_WIDTHS] = {{0}};
    char words[1024], all[800];
    picture_words_all(r, all, sizeof all);
    snprintf(words, sizeof words,
             "Chart of the run: strength at %s jar by jar over the volume collected%s. %s%s",
             at_reference(units_seen()), picture_has_head(r) ? ", with the head temperature" : "",
             all, also);
    for (int i = 0; i < HTML_WIDTHS; i++) draw(r, end, HTML_ROOM_PX[i], &drawn[i]);
    html_picture(b, drawn, words);
    for (int i = 0; i < HTML_WIDTHS; i++) bytes_free(&drawn[i]);
}

/* ---- In letters, 78 columns wide ---- */

enum { WIDTH = 78, LEFT = 8, PLOT = WIDTH - LEFT, ROWS = 15, TOGETHER_ROWS = 13, HEAD_ROWS = 6 };

static const char LETTERS[JL_FRACTIONS] = {
    [JL_UNDECIDED] = ':', [JL_FORESHOTS] = 'x', [JL_HEADS] = '/',
    [JL_HEARTS] = '#',    [JL_TAILS] = '\\',
};
static const char EXPECTED = 'o', REST = '~', HEAD_MARK = '*';

/* A text that is too long ends in a mark, which without UTF-8 is "...". */
static void put_line(bytes *b, const char *text) {
    char *clean = clean_text(text);
    int used;
    bool whole = clean[text_within(clean, WIDTH, &used)] == '\0';
    bytes_add(b, clean, text_within(clean, whole ? WIDTH : WIDTH - 3, &used));
    bytes_print(b, whole ? "\n" : "…\n");
    free(clean);
}

/* ---- A grid of letters ---- */

typedef struct grid {
    axis x, y;
    int rows;
    char cells[ROWS][PLOT + 1];
} grid;

static void grid_begin(grid *g, double volume_l, double low, double high, int rows) {
    g->rows = rows;
    g->x = axis_for(0, volume_l, 8, false);
    g->y = axis_for(low, high, rows / 2, true);
    for (int row = 0; row < rows; row++) {
        memset(g->cells[row], ' ', PLOT);
        g->cells[row][PLOT] = '\0';
    }
}

/* The row of a value, counted from above; the lowest row's middle is the axis' low end. */
static int row_of(const grid *g, double value) {
    double share = (value - g->y.low) / (g->y.high - g->y.low);
    return g->rows - 1 - (int)lround(share * (g->rows - 1));
}

static int strength_row(const grid *g, double pct) {
    return row_of(g, value_seen(pct, PCT_VOL));
}

static double volume_at(const grid *g, int across) {
    return g->x.high * (across + 0.5) / PLOT;
}

static int column_of(const grid *g, double volume_l) {
    int across = (int)floor(volume_l / g->x.high * PLOT);
    return across < 0 ? 0 : across >= PLOT ? PLOT - 1 : across;
}

static void fill_jars(grid *g, const run_picture *r) {
    size_t jar = 0;
    for (int across = 0; across < PLOT; across++) {
        while (jar < r->count && r->end_l[jar] < volume_at(g, across)) jar++;
        if (jar == r->count) return;
        if (isnan(jl_spirit_strength_pct(r->jars[jar].spirit))) continue;
        for (int row = strength_row(g, jl_spirit_strength_pct(r->jars[jar].spirit)); row < g->rows;
             row++)
            g->cells[row][across] = LETTERS[r->jars[jar].fraction];
    }
}

static void fill_expected(grid *g, const run_picture *r) {
    size_t i = 0;
    for (int across = 0; across < PLOT; across++) {
        while (i < r->expected_count && r->expected[i].end_l < volume_at(g, across)) i++;
        if (i == r->expected_count) return;
        g->cells[strength_row(g, r->expected[i].strength_pct)][across] = EXPECTED;
    }
}

/* The same without a forecast in the log. */
static void fill_slices(grid *g, const run_picture *r) {
    if (r->expected_count > 0) return;
    for (int across = 0; across < PLOT; across++) {
        double slice = volume_at(g, across) / r->slice_l;
        if (!(slice < (double)r->slice_count)) return;
        g->cells[strength_row(g, r->slices[(size_t)slice].value)][across] = EXPECTED;
    }
}

/* Between what each jar to come lies. */
static void fill_rest(grid *g, const run_picture *r) {
    double from_l = picture_volume_l(r);
    for (int across = 0; across < PLOT; across++) {
        double jar = (volume_at(g, across) - from_l) / r->rest_jar_l;
        if (!(jar >= 0 && jar < (double)r->rest_count)) continue;
        const jl_estimate *pct = &r->rest_pct[(size_t)jar];
        for (int row = strength_row(g, pct->high); row <= strength_row(g, pct->low); row++)
            g->cells[row][across] = REST;
    }
}

/* The tick whose row this is, or false. */
static bool tick_at(const grid *g, int row, char *label, size_t size) {
    for (size_t i = 0; i < axis_ticks(&g->y); i++)
        if (row_of(g, axis_tick(&g->y, i)) == row) {
            axis_label(&g->y, axis_tick(&g->y, i), label, size);
            return true;
        }
    return false;
}

static void put_grid(const grid *g, bytes *b) {
    char label[16];
    for (int row = 0; row < g->rows; row++) {
        bool tick = tick_at(g, row, label, sizeof label);
        int end = PLOT;
        while (end > 0 && g->cells[row][end - 1] == ' ') end--;
        if (end > 0)
            bytes_print(b, "%6s  %.*s\n", tick ? label : "", end, g->cells[row]);
        else
            bytes_print(b, tick ? "%6s\n" : "%s\n", tick ? label : "");
    }
}

static void put_x_axis(const grid *g, bytes *b) {
    char line[WIDTH + 16], numbers[WIDTH + 32], label[16];
    memset(line, ' ', sizeof line);
    memset(numbers, ' ', sizeof numbers);
    int free_from = 0, last = 0, marked = 0;
    for (size_t i = 0; i < axis_ticks(&g->x); i++) {
        double value = axis_tick(&g->x, i);
        int at = LEFT + column_of(g, value);
        axis_label(&g->x, value, label, sizeof label);
        int length = (int)strlen(label), from = at - length / 2;
        line[at] = '\'';
        marked = at + 1;
        if (from + length > WIDTH) from = WIDTH - length;
        if (from < free_from) continue;
        memcpy(numbers + from, label, (size_t)length);
        last = from + length;
        free_from = last + 1;
    }
    bytes_print(b, "%.*s\n%.*s\n", marked, line, last, numbers);
}

/* ---- The chart ---- */

static void put_letters(const run_picture *r, bytes *b) {
    bool logged[JL_FRACTIONS] = {false};
    const char *gap = "";
    for (size_t i = 0; i < r->count; i++) logged[r->jars[i].fraction] = true;
    bool ahead = r->expected_count + r->slice_count + r->rest_count > 0;
    bytes_print(b, "%-*s", LEFT, r->count > 0 && ahead ? "   run:" : "");
    for (int f = 0; f < JL_FRACTIONS; f++) {
        int letter = (f + 1) % JL_FRACTIONS; /* not decided comes last */
        if (!logged[letter]) continue;
        bytes_print(b, "%s%c %s", gap, LETTERS[letter],
                    fraction_word((jl_fraction)letter, r->charge));
        gap = "  ";
    }
    if (r->expected_count + r->slice_count > 0) {
        bytes_print(b, "%s%c forecast", gap, EXPECTED);
        gap = "  ";
    }
    if (r->rest_count > 0) bytes_print(b, "%s%c to come, 95 %%", gap, REST);
    bytes_print(b, "\n");
}

static void put_head_grid(const run_picture *r, double volume_l, bytes *b) {
    grid g;
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < r->count; i++) {
        low = fmin(low, value_seen(r->jars[i].head_c, CELSIUS));
        high = fmax(high, value_seen(r->jars[i].head_c, CELSIUS));
    }
    if (!(high >= low)) return;
    grid_begin(&g, volume_l, low, high, HEAD_ROWS);
    for (size_t i = 0; i < r->count; i++)
        if (!isnan(r->jars[i].head_c))
            g.cells[row_of(&g, value_seen(r->jars[i].head_c, CELSIUS))]
                   [column_of(&g, r->end_l[i])] = HEAD_MARK;
    bytes_print(b, "\nHead temperature at the end of each jar, %s\n", unit_seen(CELSIUS));
    put_grid(&g, b);
    put_x_axis(&g, b);
}

static void put_pure(const run_picture *r, bytes *b) {
    enum { BAR = 32 };
    char bar[BAR + 1] = "................................";
    if (!(r->charge_pure_l > 0)) return;
    double share = picture_pure_l(r) / r->charge_pure_l;
    int filled = (int)lround(fmin(fmax(share, 0), 1) * BAR);
    memset(bar, '#', (size_t)filled);
    bytes_print(b, "\nPure alcohol  %.2f of %.2f L at 20 °C  [%s]\n", picture_pure_l(r),
                r->charge_pure_l, bar);
}

void chart_text(const run_picture *r, double volume_l, bytes *b) {
    grid g;
    char words[256];
    put_line(b, r->title);
    picture_words_charge(r, words, sizeof words);
    if (words[0] != '\0') put_line(b, words);
    picture_words_collected(r, words, sizeof words);
    put_line(b, words);
    picture_words_summary(r, words, sizeof words);
    if (r->count > 0) put_line(b, words);
    if (r->goes_on) put_line(b, PICTURE_NEVER_ALONE);
    grid_begin(&g, volume_l, 0, picture_strength_end(), ROWS); /* filled from nothing up */
    fill_jars(&g, r);
    fill_expected(&g, r);
    fill_slices(&g, r);
    fill_rest(&g, r);
    bytes_print(b, "\n%s\n", picture_strength_words());
    put_grid(&g, b);
    put_x_axis(&g, b);
    bytes_print(b, "%*s%s\n", LEFT, "", PICTURE_VOLUME);
    put_letters(r, b);
    put_head_grid(r, volume_l, b);
    put_pure(r, b);
}

/* ---- Several runs on the same axes ---- */

static const char SEVERAL = '&';

/* The first jar that ends behind a place on the axis; count: none does. */
static size_t jar_at(const run_picture *r, compare_over over, double at) {
    size_t jar = 0;
    while (jar < r->count && !(compare_end(r, over, jar + 1) >= at)) jar++;
    return jar;
}

static void fill_run(grid *g, const run_picture *r, compare_over over, char letter) {
    for (int across = 0; across < PLOT; across++) {
        size_t jar = jar_at(r, over, volume_at(g, across));
        if (jar == r->count) return;
        double pct = jl_spirit_strength_pct(r->jars[jar].spirit);
        if (isnan(pct)) continue;
        char *cell = &g->cells[strength_row(g, pct)][across];
        *cell = *cell == ' ' ? letter : SEVERAL;
    }
}

/* "b  19 jars, 4.46 L, pure alcohol 2.56 L (94 %): Apples" */
static void put_run(const run_picture *r, char letter, bytes *b) {
    char words[128], line[512];
    picture_words_brief(r, words, sizeof words);
    snprintf(line, sizeof line, "%c  %s: %s", letter, words, r->title);
    put_line(b, line);
}

void chart_text_together(const run_picture *runs, size_t count, compare_over over, double volume_l,
                         bytes *b) {
    grid g;
    char words[128];
    bool goes_on = false, forecast = over == OVER_VOLUME && runs[0].slice_count > 0;
    compare_words(count, over, words, sizeof words);
    put_line(b, words);
    for (size_t i = 0; i < count; i++) {
        put_run(&runs[i], (char)('a' + i), b);
        goes_on = goes_on || runs[i].goes_on;
    }
    if (goes_on) put_line(b, PICTURE_NEVER_ALONE);
    grid_begin(&g, over == OVER_VOLUME ? volume_l : 100, 0, picture_strength_end(), TOGETHER_ROWS);
    if (forecast) fill_slices(&g, &runs[0]);
    for (size_t i = 0; i < count; i++) fill_run(&g, &runs[i], over, (char)('a' + i));
    bytes_print(b, "\n%s\n", picture_strength_words());
    put_grid(&g, b);
    put_x_axis(&g, b);
    bytes_print(b, "%*s%s\n%*s%c several runs", LEFT, "", compare_axis(over), LEFT, "", SEVERAL);
    if (forecast) bytes_print(b, "  %c forecast of a", EXPECTED);
    bytes_print(b, "\n");
}
