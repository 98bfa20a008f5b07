/* Files that are made to be looked at: which format a name means, how large a page is, and a whole
 * file or none.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PAPER_H
#define JARLINE_PAPER_H

#include "answer/keep.h"
#include "answer/output.h"
#include "picture/marks.h"

typedef enum paper_format {
    PAPER_SVG,
    PAPER_PNG,
    PAPER_PDF,
    PAPER_HTML,
    PAPER_TEXT,
    PAPER_CSV,
    PAPER_FORMATS
} paper_format;

/* The options of every command that writes such a file. */
typedef struct paper_options {
    output_options file;
    char *paper;
} paper_options;

#define PAPER_OPTIONS(o, forms)                                                                    \
    OUTPUT_OPTIONS((o).file, "the file to make: " forms),                                          \
        OPTION("paper", &(o).paper, "a4|a5|letter", "size of a page (a4)")

/* What the output's name asks for. allowed: a set of 1 << paper_format. Returns the exit status, or
 * 0. */
int paper_format_of(const char *name, unsigned allowed, paper_format *format);

/* Width and height of the upright page in points. */
int paper_size(const paper_options *o, double *width, double *height);

/* Text on standard output, as far as the terminal's character set goes. Returns the exit status. */
int paper_print(const bytes *b);

/* Draws and writes: one sheet as SVG, PNG or PDF, several as pages of a PDF; others have no room for
 * them, which is said. */
int paper_make(const paper_options *o, const sheet *sheets, size_t count, paper_format format,
               const char *title);

#endif
