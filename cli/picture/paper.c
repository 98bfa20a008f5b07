/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/paper.h"
#include "answer/say.h"
#include "input/module.h"
#include "picture/drawing/drawing.h"
#include "picture/svg.h"
#include "text/letters.h"

#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

/* ---- What is asked for ---- */

static const char *const ENDINGS[PAPER_FORMATS] = {
    [PAPER_SVG] = ".svg",   [PAPER_PNG] = ".png",  [PAPER_PDF] = ".pdf",
    [PAPER_HTML] = ".html", [PAPER_TEXT] = ".txt", [PAPER_CSV] = ".csv",
};

int paper_format_of(const char *name, unsigned allowed, paper_format *format) {
    char forms[64] = "";
    size_t length = strlen(name);
    for (int i = 0; i < PAPER_FORMATS; i++) {
        if ((allowed & 1U << i) == 0) continue;
        size_t ending = strlen(ENDINGS[i]);
        if (length > ending && jl_same_letters(name + length - ending, ENDINGS[i])) {
            *format = (paper_format)i;
            return EXIT_DONE;
        }
        if (forms[0] != '\0') strcat(forms, ", ");
        strcat(forms, ENDINGS[i]);
    }
    return refuse("-o %s: the name's ending says what to make; expected one of %s", name, forms);
}

int paper_size(const paper_options *o, double *width, double *height) {
    static const struct {
        const char *name;
        double width, height;
    } SIZES[] = {{"a4", 210 * POINTS_PER_MM, 297 * POINTS_PER_MM},
                 {"a5", 148 * POINTS_PER_MM, 210 * POINTS_PER_MM},
                 {"letter", 612, 792}};
    for (size_t i = 0; i < sizeof SIZES / sizeof SIZES[0]; i++)
        if (jl_same_letters(o->paper == NULL ? "a4" : o->paper, SIZES[i].name)) {
            *width = SIZES[i].width;
            *height = SIZES[i].height;
            return EXIT_DONE;
        }
    return refuse("--paper '%s': no such size here; expected a4, a5 or letter", o->paper);
}

/* ---- Making it ---- */

static bool take(void *with, const unsigned char *data, size_t length) {
    bytes_add(with, (const char *)data, length);
    return true;
}

/* Libraries that find fonts end the process where there is no room for a thread or a table of theirs. A
 * page of text has taken 170 MB of addresses (measured); what is reserved here and given back costs no
 * memory. */
static bool has_room(void) {
    const size_t size = (size_t)256 << 20;
    void *room = mmap(NULL, size, PROT_NONE, MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    return room != MAP_FAILED && munmap(room, size) == 0;
}

static int draw_all(const sheet *sheets, size_t count, drawing_format format, const char *title,
                    bytes *b) {
    const char *why = "";
    if (!has_room())
        return fail(EXIT_MEMORY,
                    "a picture needs 256 MiB of address space, and so much is not there");
    union {
        void *found;
        drawing_draw *draw;
    } module = {module_function("jarline-drawing", "jarline_draw", &why)};
    if (module.found == NULL)
        return fail(EXIT_INPUT, "the drawing part of jarline cannot be loaded: %s",
                    why == NULL ? "it is not there" : why);
    const char *wrong = module.draw(sheets, count, format, title, take, b);
    return wrong == NULL ? EXIT_DONE : fail(EXIT_IO, "the picture cannot be drawn: %s", wrong);
}

int paper_print(const bytes *b) {
    char *simple = need(malloc(3 * b->count + 1));
    fputs(plain(b->data, simple, 3 * b->count + 1), stdout);
    free(simple);
    return close_output(EXIT_DONE);
}

int paper_make(const paper_options *o, const sheet *sheets, size_t count, paper_format format,
               const char *title) {
    bytes b = {0};
    int bad = EXIT_DONE;
    if (count > 1 && format != PAPER_PDF)
        return refuse(
            "-o %s: there are %zu pages, which only a PDF has; expected a name that ends in .pdf",
            o->file.path, count);
    if (format == PAPER_SVG)
        svg_write(sheets, title, &b);
    else
        bad = draw_all(sheets, count, format == PAPER_PNG ? DRAWING_PNG : DRAWING_PDF, title, &b);
    if (bad == EXIT_DONE) bad = output_write(&o->file, b.data, b.count);
    bytes_free(&b);
    return bad;
}
