/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/output.h"
#include "answer/say.h"
#include "input/bench.h"
#include "input/file_kind.h"
#include "keys/facts.h"
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Whether all that a settings file states may stand where so little may, of one still at the most. */
static bool holds_only(const jl_facts *facts, unsigned where) {
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        if (jl_key_of(fact, where) == JL_KEYS) return false;
    return jl_still_section(facts, 1) == NULL;
}

/* Settings that new ones replace are no input, and of one kind with them: a still's, or a charge's. A
 * bench file holds more, which would be gone. */
static const char *of_settings(const char *path, const char *text, size_t length) {
    jl_facts *old = NULL, *new = NULL;
    jl_fault fault;
    int fd = open_to_read(path);
    bool known = fd >= 0 && jl_facts_read(fd, &old, &fault) == JL_OK &&
                 jl_facts_of_bytes(text, length, &new, &fault) == JL_OK;
    bool same =
        known && holds_only(old, holds_only(new, JL_IN_CHARGE) ? JL_IN_CHARGE : JL_IN_STILL);
    if (fd >= 0) close(fd);
    jl_facts_free(old);
    jl_facts_free(new);
    if (settings_file_was_read(path)) return "what this answer was made from";
    return same ? NULL : "a settings file that holds more";
}

/* Whether both begin with one row of names, as two tables of one kind that this command made. A table
 * may have the columns of a log; a log that this command makes begins with what it is. */
static bool same_table(const char *path, const char *text, size_t length) {
    char begin[256];
    size_t row = 0;
    while (row < length && text[row] != '\n') row++;
    if (row == length || ++row > sizeof begin || text[0] == '#') return false;
    int fd = open_to_read(path);
    if (fd < 0) return false;
    bool same = read(fd, begin, row) == (ssize_t)row && memcmp(begin, text, row) == 0;
    close(fd);
    return same;
}

/* What of ours stands there, which no output may replace; NULL: nothing of ours, or settings that new
 * ones replace. A record of a run, of a wash or of the house is never made anew. */
static const char *of_ours(const char *path, const char *text, size_t length) {
    char begin[8] = "";
    file_kind kind = file_kind_of(path);
    if (kind == FILE_SETTINGS && file_kind_of_bytes(text, length) == FILE_SETTINGS)
        return of_settings(path, text, length);
    if (kind != FILE_OTHER) return same_table(path, text, length) ? NULL : file_kind_name(kind);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0) return NULL;
    bool ours = read(fd, begin, sizeof begin) == (ssize_t)sizeof begin &&
                memcmp(begin, "#jarline", sizeof begin) == 0;
    close(fd);
    return ours ? "a file of jarline's that cannot be read" : NULL;
}

int output_write(const output_options *o, const char *text, size_t length) {
    jl_trouble trouble = {0};
    struct stat about;
    if (stat(o->path, &about) == 0 && S_ISDIR(about.st_mode))
        return fail(EXIT_CREATE, "-o %s is a folder; expected the name of a file", o->path);
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

void show_written_path(show *s, const char *path) {
    show_text(s, "written", NULL, path);
    show_text_remark(s, "Written: %s", path);
}

void show_written(show *s, const output_options *o) {
    if (o->path == NULL) return;
    show_written_path(s, o->path);
    show_on_disk(s, "%s is written", o->path);
}

int say_written(const output_options *o) {
    show *s = show_open(false);
    show_written(s, o);
    return show_close(s, EXIT_DONE);
}
