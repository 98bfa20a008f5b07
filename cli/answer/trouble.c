/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/trouble.h"
#include "answer/say.h"
#include "answer/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *reason(jl_status status, jl_trouble trouble) {
    if (status == JL_BUSY && trouble.error == 0)
        return "another program holds the log, has changed it or put another file in its place "
               "meanwhile; try again";
    return trouble.error != 0 ? strerror(trouble.error) : jl_status_text(status);
}

int fail_write(const char *path, jl_status status, jl_trouble trouble, const char *done) {
    int exit_status = exit_of_file(status);
    if (status == JL_FORM)
        return fail(EXIT_USAGE, "a text of more than one line: nothing was %s; expected one line",
                    done);
    if (status == JL_TOO_LONG)
        return fail(EXIT_USAGE, "a note longer than 64 KiB: nothing was %s", done);
    if (status == JL_CONFLICT)
        return fail(EXIT_USAGE,
                    "%s keeps its readings or strengths on another scale (%% vol or US "
                    "proof); expected this one on that scale. Nothing was %s",
                    path, done);
    if (trouble.uncertain)
        return fail(exit_status, "%s: %s. It may have been %s all the same: look at the file", path,
                    reason(status, trouble), done);
    return fail(exit_status, "%s: %s. Nothing was %s", path, reason(status, trouble), done);
}

int close_written(show *s, const char *format, ...) {
    char what[512];
    va_list list;
    va_start(list, format);
    vsnprintf(what, sizeof what, format, list);
    va_end(list);
    int exit_status = show_close(s, EXIT_DONE);
    if (exit_status != EXIT_DONE) say("%s all the same, on the disk", what);
    return exit_status;
}
