/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/characters.h"
#include "text/array.h"
#include "text/timestamp.h"

#include <errno.h>
#include <langinfo.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void progress_begin(progress *p) {
    *p = (progress){.percent = -1};
    clock_gettime(CLOCK_MONOTONIC, &p->begun);
}

static double since_s(const progress *p) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - p->begun.tv_sec) + 1e-9 * (double)(now.tv_nsec - p->begun.tv_nsec);
}

bool progress_step(double done, void *with) {
    progress *p = with;
    int percent = (int)(100 * done);
    if (percent == p->percent || since_s(p) < 1 || !isatty(STDERR_FILENO)) return true;
    fprintf(stderr, "\r%3d %% done", percent);
    fflush(stderr);
    p->percent = percent;
    p->shown = true;
    return true;
}

void progress_end(progress *p) {
    if (p->shown) fputs("\r          \r", stderr);
    p->shown = false;
}

/* ---- Lines ---- */

size_t words_within(const char *text, int width) {
    size_t length = strcspn(text, " ");
    int used = text_width_to(text, length);
    while (text[length] == ' ') {
        size_t gap = strspn(text + length, " ");
        size_t word = strcspn(text + length + gap, " ");
        used += 1 + text_width_to(text + length + gap, word);
        if (used > width || word == 0) break;
        length += gap + word;
    }
    return length;
}

void put_sentence(FILE *to, const char *lead, const char *inset, const char *text) {
    do {
        size_t length = words_within(text, PAGE - text_width(lead));
        fprintf(to, "%s%.*s\n", lead, (int)length, text);
        text += length + strspn(text + length, " ");
        lead = inset;
    } while (*text != '\0');
}

/* ---- Messages ---- */

static const char *name_of_command = "";

static void (*flush_answer)(void *) = NULL;
static void *answer = NULL;

void say_after(void (*flush)(void *), void *with) {
    flush_answer = flush;
    answer = with;
}

void say_name(const char *command) {
    name_of_command = command;
}

bool speaks_utf8(void) {
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

/* Longest first where one begins another. */
static const char *const PLAIN[][2] = {
    {"\xc2\xb0", ""},          /* ° */
    {"\xc2\xb1", "+/-"},       /* ± */
    {"\xc2\xb2", "2"},         /* ² */
    {"\xc2\xb3", "3"},         /* ³ */
    {"\xc2\xb7", "-"},         /* · */
    {"\xc3\x97", "x"},         /* × */
    {"\xce\xb3", "gamma"},     /* γ */
    {"\xe2\x80\x93", "-"},     /* – */
    {"\xe2\x80\x94", "-"},     /* — */
    {"\xe2\x80\xa6", "..."},   /* … */
    {"\xe2\x88\x92", "-"},     /* − */
    {"\xe2\x89\x88", "about "} /* ≈ */
};

/* What stands for a character where there is no UTF-8, and the bytes that it replaces; NULL: nothing. */
static const char *plain_at(const char *text, size_t *taken) {
    for (size_t i = 0; i < sizeof PLAIN / sizeof PLAIN[0] && (unsigned char)*text >= 0x80; i++) {
        *taken = strlen(PLAIN[i][0]);
        if (strncmp(text, PLAIN[i][0], *taken) == 0) return PLAIN[i][1];
    }
    *taken = 1;
    return NULL;
}

const char *plain(const char *text, char *buffer, size_t size) {
    if (speaks_utf8() || size == 0) return text;
    size_t n = 0, taken;
    for (; *text != '\0'; text += taken) {
        const char *with = plain_at(text, &taken);
        size_t length = with == NULL ? 1 : strlen(with);
        if (n + length >= size) break;
        memcpy(buffer + n, with == NULL ? text : with, length);
        n += length;
    }
    buffer[n] = '\0';
    return buffer;
}

static bool is_plain_ascii(const char *text) {
    while (*text >= ' ' && *text < 0x7f) text++;
    return *text == '\0';
}

/* One character of a text, of which it takes so many bytes, as the screen can show it. */
static void character_on_screen(const char *text, size_t *taken, char shown[8]) {
    size_t bytes = utf8_bytes(text);
    const char *with = speaks_utf8() ? NULL : plain_at(text, taken);
    if (with != NULL) {
        snprintf(shown, 8, "%s", with);
    } else if (bytes > 0 && utf8_width(text, bytes) >= 0 && (bytes == 1 || speaks_utf8())) {
        snprintf(shown, 8, "%.*s", (int)bytes, text);
        *taken = bytes;
    } else {
        snprintf(shown, 8, "\\x%02x", (unsigned)(unsigned char)*text);
        *taken = 1;
    }
}

const char *on_screen(const char *text, char *buffer, size_t size) {
    if (is_plain_ascii(text) || size == 0) return text;
    size_t n = 0, taken;
    for (; *text != '\0'; text += taken) {
        char shown[8];
        character_on_screen(text, &taken, shown);
        size_t length = strlen(shown);
        if (n + length >= size) break;
        memcpy(buffer + n, shown, length);
        n += length;
    }
    buffer[n] = '\0';
    return buffer;
}

static void say_list(const char *format, va_list list) {
    char message[1024], shown[ON_SCREEN_BYTES(sizeof message)];
    vsnprintf(message, sizeof message, format, list);
    void (*flush)(void *) = flush_answer;
    flush_answer = NULL; /* it may fail, and say so */
    if (flush != NULL) flush(answer);
    flush_answer = flush;
    fflush(stdout);
    const char *words = on_screen(message, shown, sizeof shown);
    char lead[64], inset[64];
    int width = snprintf(lead, sizeof lead, "jarline%s%s: ", *name_of_command == '\0' ? "" : " ",
                         name_of_command);
    snprintf(inset, sizeof inset, "%*s", width, "");
    if (isatty(STDERR_FILENO)) /* for a program every message is one line */
        put_sentence(stderr, lead, inset, words);
    else
        fprintf(stderr, "%s%s\n", lead, words);
}

void say(const char *format, ...) {
    va_list list;
    va_start(list, format);
    say_list(format, list);
    va_end(list);
}

int fail(int exit_status, const char *format, ...) {
    va_list list;
    va_start(list, format);
    say_list(format, list);
    va_end(list);
    return exit_status;
}

int fail_argument(const char *name, const char *text, jl_status status, const char *expected) {
    return fail(exit_of_argument(status), "%s '%s': %s; expected %s", name, text,
                jl_status_text(status), expected);
}

/* The two days that a cell may mean, in the place of what was expected. */
static const char *days_meant(const jl_fault *fault, char *text, size_t size) {
    char first[JL_DATE_BYTES], second[JL_DATE_BYTES];
    if (fault->status != JL_AMBIGUOUS ||
        jl_date_readings(fault->cell, strlen(fault->cell), first, second) != JL_OK)
        return fault->expected;
    snprintf(text, size, "%s or %s, the one that is meant", first, second);
    return text;
}

int fail_fault(const char *file, const jl_fault *fault) {
    char days[64];
    const char *expected = days_meant(fault, days, sizeof days);
    char line[32] = "", cell[32] = "", quoted[64] = "";
    if (fault->line > 0) snprintf(line, sizeof line, ":%zu", fault->line);
    if (fault->column > 0) snprintf(cell, sizeof cell, ", cell %zu", fault->column);
    if (fault->cell[0] != '\0') snprintf(quoted, sizeof quoted, " '%s'", fault->cell);
    return fail(exit_of_file(fault->status), "%s%s%s%s: %s%s%s", file, line, cell, quoted,
                jl_status_text(fault->status), expected == NULL ? "" : "; expected ",
                expected == NULL ? "" : expected);
}

static void reason(jl_status status, jl_trouble trouble, char text[200]) {
    const char *why = trouble.error != 0 ? strerror(trouble.error) : jl_status_text(status);
    if (status == JL_BUSY && trouble.error == 0)
        why = "another program holds the log, has changed it or put another file in its place "
              "meanwhile; try again";
    snprintf(text, 200, "%s%s", trouble.beside ? "a new file beside it cannot be made: " : "", why);
}

/* What would have been written could not be read again. */
static int fail_refused(const char *path, const jl_fault *fault, const char *done) {
    return refuse(
        "%s: line %zu would be one that cannot be read, cell %zu '%s': %s%s%s. Nothing was %s",
        path, fault->line, fault->column, fault->cell, jl_status_text(fault->status),
        fault->expected == NULL ? "" : "; expected ",
        fault->expected == NULL ? "" : fault->expected, done);
}

int fail_write(const char *path, jl_status status, jl_trouble trouble, const jl_fault *fault,
               const char *done) {
    char why[200];
    int exit_status = exit_of_file(status);
    if (fault != NULL && fault->line > 0) return fail_refused(path, fault, done);
    if (status == JL_FORM)
        return refuse("a text of more than one line: nothing was %s; expected one line", done);
    if (status == JL_TOO_LONG) return refuse("a note longer than 64 KiB: nothing was %s", done);
    if (status == JL_CONFLICT)
        return refuse("%s keeps its readings or strengths on another scale (%% vol or US proof); "
                      "expected this one on that scale. Nothing was %s",
                      path, done);
    reason(status, trouble, why);
    if (trouble.uncertain)
        return fail(exit_status, "%s: %s. It may have been %s all the same: look at the file", path,
                    why, done);
    const bool there = status == JL_EXISTS && trouble.error == EEXIST;
    return fail(exit_status, "%s: %s. Nothing was %s%s", path, why, done,
                there ? "; expected the name of a new file" : "");
}

int close_output(int exit_status) {
    errno = 0;
    if (fflush(stdout) == 0 && !ferror(stdout)) return exit_status;
    return fail(EXIT_IO, "standard output: %s; the answer is not complete",
                errno != 0 ? strerror(errno) : "cannot be written");
}

void *need(void *allocated) {
    if (allocated == NULL) exit(fail(EXIT_MEMORY, "out of memory"));
    return allocated;
}

void need_room(void *at, size_t count, size_t *room, size_t size) {
    if (!jl_grow(at, count, room, size)) need(NULL);
}
