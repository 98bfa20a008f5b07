/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/output.h"
#include "answer/say.h"
#include "answer/status.h"
#include "book/book_file.h"
#include "keys/settings.h"
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* What of ours stands there, which no output may replace; NULL: nothing of ours, or settings that new
 * ones replace. A record of a run, of a wash or of the house is never made anew. */
static const char *of_ours(const char *path, const char *text, size_t length) {
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
        if (known && !(length > 0 && text[0] == '#')) kind = "a settings file";
        jl_facts_free(facts);
    } else if (pread(fd, begin, sizeof begin, 0) == (ssize_t)sizeof begin &&
               memcmp(begin, "#jarline", sizeof begin) == 0)
        kind = "a file of jarline's that cannot be read";
    close(fd);
    return kind;
}

int output_write(const output_options *o, const char *text, size_t length) {
    jl_trouble trouble = {0};
    const char *kind = o->force ? of_ours(o->path, text, length) : NULL;
    if (kind != NULL)
        return fail(EXIT_CREATE, "-o %s: that is %s, which --force does not replace", o->path,
                    kind);
    jl_status status = o->force ? jl_replace(o->path, text, length, &trouble)
                                : jl_create(o->path, text, length, &trouble);
    if (status == JL_OK) return EXIT_DONE;
    const char *error = trouble.error != 0 ? strerror(trouble.error) : jl_status_text(status);
    return fail(
        exit_of_file(status), "-o %s: %s%s", o->path, error,
        status == JL_EXISTS && !o->force && trouble.error == EEXIST ? "; --force replaces it" : "");
}

void show_written(show *s, const output_options *o) {
    if (o->path == NULL) return;
    show_text(s, "written", NULL, o->path);
    show_text_remark(s, "Written: %s", o->path);
}

int say_written(const output_options *o) {
    show *s = show_open(false);
    show_written(s, o);
    return show_close(s, EXIT_DONE);
}
