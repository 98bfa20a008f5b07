/* A sheet of paper as a list of marks: what each means, where it stands, what it says. Computed
 * without drawing; the drawing module only paints them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Lengths are in px on a screen and in points on paper, y downwards. A text never leaves its box:
 * one too long is shortened with a mark, so two texts overlap only when their boxes do. */
#ifndef JARLINE_MARKS_H
#define JARLINE_MARKS_H

#include <stdbool.h>
#include <stddef.h>

/* What a mark means. */
typedef enum mark_kind {
    MARK_TITLE,
    MARK_NOTE,       /* a sentence about the whole */
    MARK_PANEL,      /* frame of a panel */
    MARK_GRID,       /* line at a tick */
    MARK_TICK_X,     /* number at a tick */
    MARK_TICK_Y,     /* number at a tick */
    MARK_LITRES,     /* what a number in % is in litres */
    MARK_AXIS,       /* what an axis shows, and its unit */
    MARK_BAND,       /* a fraction's share of the volume */
    MARK_BAND_LABEL, /* its name */
    MARK_LEADER,     /* from the name to the band */
    MARK_STEPS,      /* strength jar by jar */
    MARK_EXPECTED,   /* strength, or head temperature, of the forecast */
    MARK_REST,       /* between what a jar to come lies */
    MARK_INTERVAL,   /* where the expected strength lies */
    MARK_COMPARED,   /* strength of one of several runs on the same axes */
    MARK_RUN,        /* its name at the line's end */
    MARK_HEAD,       /* head temperature */
    MARK_PURE,       /* running pure alcohol */
    MARK_GOAL,       /* pure alcohol in the charge */
    MARK_JAR,        /* number of a jar */
    MARK_LEGEND,     /* sample of a line or of a band, or its words */
    MARK_RULE,       /* line of a table */
    MARK_SHADE,      /* tone behind a row of a table */
    MARK_HEADING,    /* head of a column or of a section */
    MARK_CELL,       /* of a table */
    MARK_TEXT        /* a paragraph */
} mark_kind;

/* An area is what a line encloses. */
typedef enum mark_shape { SHAPE_TEXT, SHAPE_LINE, SHAPE_AREA, SHAPE_BOX, SHAPE_DOT } mark_shape;
typedef enum mark_align { ALIGN_LEFT, ALIGN_CENTRE, ALIGN_RIGHT } mark_align;

/* Tones differ in lightness too, so that they hold in black and white. */
typedef enum mark_tone {
    TONE_INK,
    TONE_GREY,  /* words of less weight, the forecast */
    TONE_FAINT, /* grid */
    TONE_HEAD,  /* head temperature */
    TONE_PURE,  /* pure alcohol */
    TONE_BAND_FORESHOTS,
    TONE_BAND_HEADS,
    TONE_BAND_HEARTS,
    TONE_BAND_TAILS,
    TONE_BAND_OPEN, /* not yet decided */
    TONE_SHADE,
    TONE_INTERVAL,
    TONE_COUNT
} mark_tone;

typedef enum mark_pattern {
    PATTERN_NONE,
    PATTERN_CROSSED, /* lines both ways */
    PATTERN_RISING,  /* lines / */
    PATTERN_FALLING, /* lines \ */
    PATTERN_DOTTED,
    /* Of lines only. */
    PATTERN_DASHED,
    PATTERN_LONG,
    PATTERN_SHORT,
    PATTERN_DASH_DOT,
    PATTERN_DASH_TWO_DOTS
} mark_pattern;

#define POINTS_PER_MM (72 / 25.4)

typedef struct place {
    double x, y;
} place;

typedef struct box {
    double x, y, w, h;
} box;

typedef struct mark {
    mark_kind kind;
    mark_shape shape;
    box box;             /* of text and of a box; a dot stands in its middle */
    size_t first, count; /* a line's places in the sheet */
    double size;         /* of text: its height; of a line: its width; of a dot: its diameter */
    mark_align align;
    bool bold;
    bool wraps; /* over several lines, from the top of its box */
    mark_tone tone;
    mark_pattern pattern;
    char *text;
} mark;

typedef struct sheet {
    double width, height;
    bool on_paper; /* its lengths are points */
    char
        *describes; /* what it shows, in words, for those who cannot see it; NULL: its title does */
    double pixels_across; /* of a PNG; 0: two for each px */
    mark *marks;
    size_t count;
    place *places;
    size_t places_count;
    size_t marks_room, places_room;
} sheet;

/* Memory: each ends the process when it is out, as need() does. */
void sheet_begin(sheet *s, double width, double height);
void sheet_free(sheet *s);

void sheet_describe(sheet *s, const char *words);

/* New marks; each pointer holds until the next one. Text stands in a box: control characters become
 * spaces, what is not UTF-8 becomes U+FFFD. */
mark *sheet_text(sheet *s, mark_kind kind, box where, mark_align align, double size,
                 const char *text);
mark *sheet_box(sheet *s, mark_kind kind, box where, mark_tone tone, mark_pattern pattern);
mark *sheet_dot(sheet *s, mark_kind kind, place at, double diameter, mark_tone tone);

/* A line, then its places in order. */
mark *sheet_line(sheet *s, mark_kind kind, double width, mark_tone tone);
void sheet_place(sheet *s, place at);

/* The places of an area follow in the same way. */
mark *sheet_area(sheet *s, mark_kind kind, mark_tone tone);
mark *sheet_straight(sheet *s, mark_kind kind, double width, mark_tone tone, place from, place to);

/* More than any usual font needs for a text of one line. */
double text_room(const char *text, double size);

/* Width of a text of one line in a font as wide as any usual. */
double text_span(const char *text, double size, bool bold);

/* Bytes of the characters at a text's beginning that fit a width, in a font as wide as any usual. */
size_t text_fits(const char *text, size_t length, double size, bool bold, double width);

/* Bytes of a paragraph that stand in its next line: up to a space, where there is one. */
size_t text_line(const char *text, double size, bool bold, double width);

/* Lines that a paragraph of a width needs at the most. */
int text_lines(const char *text, double size, bool bold, double width);

/* A text from at on, in lines as high as at: each is a mark for itself, so that as many are drawn as
 * were counted, but no more than most; returns where it ends. */
double sheet_lines(sheet *s, mark_kind kind, box at, int most, double size, bool bold,
                   const char *text);

/* A paragraph from at on, over as many lines as it needs, but no more than most; returns where it
 * ends. */
double sheet_paragraph(sheet *s, mark_kind kind, box at, int most, double size, bool bold,
                       const char *text);

/* Height of a line of text. */
double line_height(double size);

/* A text made clean as sheet_text does it, to be freed. */
char *clean_text(const char *text);

/* ---- Tables: cells of the one table model, in type of any size ---- */

struct table;

/* How a table is set. Lengths are those of the sheet. */
typedef struct table_style {
    double type, row_h;
    double gap;           /* between columns, in heights of the type */
    double rule, rule_at; /* line below the heads, its thickness; and what it is kept clear by */
    mark_tone rule_tone;
    bool bold;           /* heads and the first column */
    bool even;           /* columns behind the first are as wide as each other */
    size_t bold_row;     /* with bold */
    const char *missing; /* what stands for a missing cell */
    double
        stretch; /* room beyond what a column needs, in heights of the type; 0: the width is filled */
    bool notes_below; /* notes stand below their rows: the table itself finds that out */
} table_style;

/* Width that a table in bold needs at the most, in heights of its type. */
double page_table_room(const struct table *t, const char *missing, bool even);

double page_table_height(const struct table *t, const table_style *style, double width);

/* Puts it below at.y, as wide as at. Where the width is less than it needs, the widest column of
 * words is shortened, then the type gets smaller; notes go on in further lines of their row. Returns
 * where it ends. */
double page_table(const struct table *t, const table_style *style, box at, sheet *s);

/* The same from a row on, with the heads, as far as the height of at goes. Returns the row that is next;
 * at->y: where it ends. */
size_t page_table_from(const struct table *t, const table_style *style, size_t row, box *at,
                       sheet *s);

#endif
