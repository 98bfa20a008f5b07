/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/file_kind.h"
#include "keys/settings.h"
#include "run/jars.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

/* What tells a kind stands near the beginning. */
enum { HEAD_BYTES = 65536 };

static file_kind kind_named(jl_cell kind) {
    static const char *const KINDS[] = {[FILE_RUN] = "run",
                                        [FILE_WASH] = "wash",
                                        [FILE_BOOK] = "book",
                                        [FILE_SETTINGS] = "settings"};
    for (file_kind k = FILE_RUN; k <= FILE_SETTINGS; k++)
        if (jl_cell_is(jl_cell_trimmed(kind), KINDS[k])) return k;
    return FILE_OTHER;
}

static file_kind kind_of_row(const jl_row *row) {
    char key[JL_KEY_BYTES];
    for (size_t i = 0; i < row->count; i++) {
        if (jl_cell_is(jl_cell_trimmed(row->cells[i]), "gravity")) return FILE_WASH;
        if (jl_cell_is(jl_cell_trimmed(row->cells[i]), "what")) return FILE_BOOK;
    }
    if (jl_header_is_known(row)) return FILE_RUN;
    const jl_fact fact = {.key = key};
    bool setting = !jl_row_is_fact(row) && row->count > 1 && jl_row_read_key(row, key) &&
                   jl_key_of(&fact, JL_IN_SETTINGS) != JL_KEYS;
    return setting ? FILE_SETTINGS : FILE_OTHER;
}

static file_kind kind_of_rows(jl_rows *rows) {
    static const char DELIMITERS[] = {',', ';', '\t'};
    file_kind kind = FILE_OTHER;
    jl_row row;
    for (size_t i = 0; i < sizeof DELIMITERS && kind == FILE_OTHER; i++) {
        jl_rows_rewind(rows, DELIMITERS[i]);
        while (kind == FILE_OTHER && jl_rows_next(rows, &row, NULL) == JL_OK) {
            bool fact = jl_row_is_fact(&row);
            if (fact && row.count > 1 && jl_row_has_key(&row, "kind"))
                return kind_named(row.cells[1]);
            if (fact || jl_row_is_empty(&row)) continue;
            kind = kind_of_row(&row);
            break;
        }
    }
    return kind;
}

file_kind file_kind_of_bytes(const char *bytes, size_t size) {
    jl_rows *rows;
    if (jl_rows_open(bytes, size, ',', &rows) != JL_OK) return FILE_OTHER;
    file_kind kind = kind_of_rows(rows);
    jl_rows_close(rows);
    return kind;
}

int open_to_read(const char *path) {
    int fd;
    do fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    while (fd < 0 && errno == EINTR);
    return fd;
}

static ssize_t read_again(int fd, char *bytes, size_t size) {
    ssize_t count;
    do count = read(fd, bytes, size);
    while (count < 0 && errno == EINTR);
    return count;
}

file_kind file_kind_of(const char *path) {
    struct stat about;
    errno = 0;
    if (stat(path, &about) != 0 || !S_ISREG(about.st_mode)) return FILE_OTHER;
    int fd = open_to_read(path);
    char *head = malloc(HEAD_BYTES);
    ssize_t size = fd < 0 || head == NULL ? 0 : read_again(fd, head, HEAD_BYTES);
    int error = errno;
    file_kind kind = size > 0 ? file_kind_of_bytes(head, (size_t)size) : FILE_OTHER;
    free(head);
    if (fd >= 0) close(fd);
    errno = kind == FILE_OTHER ? error : 0;
    return kind;
}

const char *file_kind_name(file_kind kind) {
    static const char *const NAMES[] = {[FILE_OTHER] = NULL,
                                        [FILE_RUN] = "a run log",
                                        [FILE_WASH] = "a wash log",
                                        [FILE_BOOK] = "a book",
                                        [FILE_SETTINGS] = "a settings file"};
    return NAMES[kind];
}
