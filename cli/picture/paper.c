/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/paper.h"
#include "answer/say.h"
#include "answer/status.h"
#include "book/book_file.h"
#include "input/module.h"
#include "keys/settings.h"
#include "log/durable.h"
#include "picture/drawing/drawing.h"
#include "text/letters.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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
    return fail(EXIT_USAGE, "-o %s: the name's ending says what to make; expected one of %s", name,
                forms);
}

int paper_size(const paper_options *o, double *width, double *height) {
    static const double A4[] = {210 / 25.4 * 72, 297 / 25.4 * 72}, LETTER[] = {612, 792};
    const double *size = NULL;
    if (o->paper == NULL || jl_same_letters(o->paper, "a4"))
        size = A4;
    else if (jl_same_letters(o->paper, "letter"))
        size = LETTER;
    else
        return fail(EXIT_USAGE, "--paper '%s': no such size here; expected a4 or letter", o->paper);
    *width = size[0];
    *height = size[1];
    return EXIT_DONE;
}

/* ---- Making it ---- */

static bool take(void *with, const unsigned char *data, size_t length) {
    bytes_add(with, (const char *)data, length);
    return true;
}

int paper_draw(const sheet *s, paper_format format, const char *title, bytes *b) {
    static const drawing_format FORMATS[] = {DRAWING_SVG, DRAWING_PNG, DRAWING_PDF};
    const char *why = "";
    union {
        void *found;
        drawing_draw *draw;
    } module = {module_function("jarline-drawing", "jarline_draw", &why)};
    if (module.found == NULL)
        return fail(EXIT_INPUT, "the drawing part of jarline cannot be loaded: %s",
                    why == NULL ? "it is not there" : why);
    const char *wrong = module.draw(s, FORMATS[format], title, take, b);
    return wrong == NULL ? EXIT_DONE : fail(EXIT_IO, "the picture cannot be drawn: %s", wrong);
}

static jl_status replace(const char *path, const bytes *b, jl_trouble *trouble) {
    jl_pending_file draft;
    jl_status status = jl_pending_file_open(path, JL_PENDING_REPLACE, &draft);
    if (status != JL_OK) {
        *trouble = draft.trouble;
        return status;
    }
    status = jl_pending_file_write(&draft, b->data, b->count);
    if (status == JL_OK)
        status = jl_pending_file_commit(&draft, JL_PENDING_REPLACE);
    else
        jl_pending_file_drop(&draft);
    *trouble = draft.trouble;
    return status;
}

/* What of ours stands there, which no output may replace; NULL: nothing of ours, or settings that new
 * ones replace. A record of a run, of a wash or of the house is never made anew. */
static const char *of_ours(const char *path, const bytes *b) {
    const char *kind = NULL;
    char begin[8] = "";
    jl_run *run;
    jl_book_file *book;
    jl_wash_log *wash;
    jl_facts *facts;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0) return NULL;
    if (jl_run_read(fd, &run, NULL) == JL_OK) {
        jl_run_free(run);
        kind = "a run log";
    } else if (lseek(fd, 0, SEEK_SET) == 0 && jl_book_read(fd, &book, NULL) == JL_OK) {
        jl_book_close(book);
        kind = "a book";
    } else if (lseek(fd, 0, SEEK_SET) == 0 &&
               jl_wash_log_read(fd, &JL_HYDROMETER, &wash, NULL) == JL_OK) {
        jl_wash_log_free(wash);
        kind = "a wash log";
    } else if (lseek(fd, 0, SEEK_SET) == 0 && jl_facts_read(fd, &facts, NULL) == JL_OK) {
        const jl_fact *fact = jl_facts_at(facts, 0);
        bool known = fact != NULL && jl_key_of(fact, ~0u) != JL_KEYS;
        if (known && !(b->count > 0 && b->data[0] == '#')) kind = "a settings file";
        jl_facts_free(facts);
    } else if (pread(fd, begin, sizeof begin, 0) == (ssize_t)sizeof begin &&
               memcmp(begin, "#jarline", sizeof begin) == 0)
        kind = "a file of jarline's that cannot be read";
    close(fd);
    return kind;
}

int paper_write(const paper_options *o, const bytes *b) {
    jl_trouble trouble = {0};
    const char *kind = o->force ? of_ours(o->output, b) : NULL;
    if (kind != NULL)
        return fail(EXIT_CREATE, "-o %s: that is %s, which --force does not replace", o->output,
                    kind);
    jl_status status = o->force ? replace(o->output, b, &trouble)
                                : jl_create(o->output, b->data, b->count, &trouble);
    if (status == JL_OK) return EXIT_DONE;
    const char *error = trouble.error != 0 ? strerror(trouble.error) : jl_status_text(status);
    return fail(
        exit_of_file(status), "-o %s: %s%s", o->output, error,
        status == JL_EXISTS && !o->force && trouble.error == EEXIST ? "; --force replaces it" : "");
}

int paper_print(const bytes *b) {
    char *simple = need(malloc(3 * b->count + 1));
    fputs(plain(b->data, simple, 3 * b->count + 1), stdout);
    free(simple);
    return close_output(EXIT_DONE);
}

int paper_make(const paper_options *o, const sheet *s, paper_format format, const char *title) {
    bytes b = {0};
    int exit_status = paper_draw(s, format, title, &b);
    if (exit_status == EXIT_DONE) exit_status = paper_write(o, &b);
    bytes_free(&b);
    return exit_status;
}
