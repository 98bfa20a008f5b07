/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/output.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/file_kind.h"
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

/* What of ours stands there, which no output may replace; NULL: nothing of ours, or settings that new
 * ones replace. A record of a run, of a wash or of the house is never made anew. */
static const char *of_ours(const char *path, const char *text, size_t length) {
    char begin[8] = "";
    file_kind kind = file_kind_of(path);
    if (kind == FILE_SETTINGS && file_kind_of_bytes(text, length) == FILE_SETTINGS) return NULL;
    if (kind != FILE_OTHER) return file_kind_name(kind);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0) return NULL;
    bool ours = read(fd, begin, sizeof begin) == (ssize_t)sizeof begin &&
                memcmp(begin, "#jarline", sizeof begin) == 0;
    close(fd);
    return ours ? "a file of jarline's that cannot be read" : NULL;
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
