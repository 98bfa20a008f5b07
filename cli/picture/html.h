/* One HTML file: headed tables, pictures and sentences, to be read on any screen and printed. No script,
 * nothing from outside.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_HTML_H
#define JARLINE_HTML_H

#include "answer/keep.h"
#include "picture/document.h"

/* Up to the title as the page's heading; printed, it is a sheet of width and height in points. */
void html_begin(bytes *b, const char *title, double width, double height);
/* The same of a page that a browser loads again after so many seconds; 0: never. */
void html_begin_renewed(bytes *b, const char *title, double width, double height, int seconds);
void html_end(bytes *b);

void html_escaped(bytes *b, const char *text);

/* A paragraph; strong: of more weight. */
void html_line(bytes *b, const char *text, bool strong);

/* Where the parts stand, as links; none where there are fewer than three. */
void html_contents(bytes *b, const page_part *const *parts, size_t count);

/* A table with its heading; nothing where it has no row. On a narrow screen each row of a wide one is a
 * block, its cells below each other behind their heads. */
void html_part(bytes *b, const page_part *part);

/* A picture is drawn as SVG for screens of several widths, the narrowest first; the last is for all
 * wider ones and for paper. alt: what it shows, in words. */
enum { HTML_WIDTHS = 3 };
void html_picture(bytes *b, const bytes drawn[HTML_WIDTHS], const char *alt);

/* The least room in px that a picture of each width has. */
extern const double HTML_ROOM_PX[HTML_WIDTHS];

/* The last part of a page: a place for date and signature, then what is to be said. */
void html_foot(bytes *b, const page_sentences *const *parts, size_t count);

#endif
