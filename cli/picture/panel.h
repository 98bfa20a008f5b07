/* A panel of a chart: its frame, its axes with their ticks, its legend.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PANEL_H
#define JARLINE_PANEL_H

#include "jarline.h"
#include "picture/marks.h"

typedef struct axis {
    double low, high; /* of what is shown */
    double step;      /* from tick to tick: 1, 2 or 5 times a power of ten, or a part of it all */
    double from;      /* a tick */
    double per;       /* of a number on it: 0 where they are its values */
} axis;

/* An axis that holds low to high with about most ticks, three at least. whole: it begins and ends at a
 * tick; otherwise exactly at low and high, with a tick at a round end. */
axis axis_for(double low, double high, int most, bool whole);

/* As many ticks as there is room for along a length below a panel, in type of a height. */
int axis_ticks_along(double length, double em);

/* From low to high, with a tick in the middle where there is no room for more. */
axis axis_between(double low, double high, int most);

/* A round end for what goes from 0 to high, so that pictures of like runs end alike. */
double axis_end(double high);

/* The ticks on it, in order. */
size_t axis_ticks(const axis *a);
double axis_tick(const axis *a, size_t i);

/* A tick's number with no more decimals than the step needs. */
void axis_label(const axis *a, double value, char *text, size_t size);

/* As many ticks as there is room for up a length, in type of a height. */
int axis_ticks_up(double length, double em);

typedef struct panel {
    box at;
    axis x, y;
    double em;      /* height of its type */
    double head_up; /* room between it and its head, for names of bands */
} panel;

/* Between what estimates of strength lie, each at its place. */
void panel_interval(const panel *p, const double *at, const jl_estimate *values, size_t count,
                    sheet *s);

double panel_x(const panel *p, double value);
double panel_y(const panel *p, double value);

/* Of so many % vol on an axis of strength, and of a temperature, in the units that are seen. */
double strength_y(const panel *p, double pct);
double temp_y(const panel *p, double temp_c);

/* Frame, ticks, and what it shows. number_x: with numbers below. */
void panel_marks(const panel *p, const char *shows, bool number_x, sheet *s);

/* How a line of a legend looks. */
typedef struct panel_sample {
    mark_tone tone;
    double width;
    mark_pattern pattern;
    bool rising; /* what the panel shows, so that its lower corner is free, not its upper one */
    bool loud;   /* its words are bold */
} panel_sample;

/* How long a sample of a line is that ends with a dash, near to a length: cut within one, its pattern
 * would look like another. */
double panel_sample_w(mark_pattern pattern, double near);

/* Whether a legend has room at the right of the panel's head. */
bool panel_legend_beside(const panel *p, const char *shows, panel_sample of, const char *words);

/* A sample of a line and its words at the right of the panel's head, beside what it shows; where
 * there is no room, in a line of its own below, or inside in the lower corner that a rising curve
 * leaves. */
void panel_legend(const panel *p, const char *shows, panel_sample of, const char *words, sheet *s);

/* What the x axis shows, below its numbers: in smaller type where it would be too wide. */
void panel_words_below(const panel *p, const char *words, sheet *s);

/* A name's box is a little wider than its name: fonts differ. */
extern const double NAME_ROOM;

/* Of the height of its type: by what a number below a panel keeps clear of the one beside its corner. */
extern const double PANEL_CLEAR;

#endif
