/* What the reader accepts and the writer then changes reads back as before but for the change, and
 * every byte that nobody asked to change is still there. The first byte of the input chooses the
 * change, the rest is the log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/loglayout.h"
#include "target.h"

#include <fcntl.h>
#include <sys/stat.h>

enum { JARS_MOST = 200, BYTES_MOST = 1 << 16, CELLS_MOST = 64 };

typedef enum deed { MARK, MEND, SET_FACT, ADD_JAR, DEEDS } deed;

typedef struct logged {
    uint32_t number;
    jl_fraction fraction;
    jl_spirit spirit;
    double volume_l, head_c;
} logged;

typedef struct reading {
    logged jars[JARS_MOST];
    size_t count;
    size_t torn_line;
    bool good;
} reading;

/* ---- the file ---- */

static char folder[64], path[96];

/* In memory where that can be had, since the writer waits for the disk. */
static void make_path(void) {
    struct stat info;
    if (path[0] != '\0') return;
    bool shm = stat("/dev/shm", &info) == 0 && access("/dev/shm", W_OK) == 0;
    snprintf(folder, sizeof folder, "%s/jarline-fuzz-XXXXXX", shm ? "/dev/shm" : "/tmp");
    HOLDS(mkdtemp(folder) != NULL);
    snprintf(path, sizeof path, "%s/run.csv", folder);
}

static void clear_up(void) {
    unlink(path);
    rmdir(folder);
    path[0] = '\0';
}

static void put(const uint8_t *data, size_t size) {
    int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    HOLDS(fd >= 0 && write(fd, data, size) == (ssize_t)size);
    close(fd);
}

static size_t get(char *bytes, size_t room) {
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t n = read(fd, bytes, room);
    HOLDS(fd >= 0 && n >= 0);
    close(fd);
    return (size_t)n;
}

/* ---- what a reader makes of it ---- */

static void read_jars(const char *bytes, size_t size, reading *r) {
    jl_log *log;
    jl_jar jar;
    int fd = given_bytes(bytes, size);
    *r = (reading){0};
    jl_status status = jl_log_open(fd, &log, NULL);
    if (status == JL_OK) {
        while (r->count < JARS_MOST && (status = jl_log_next(log, &jar, NULL)) == JL_OK)
            r->jars[r->count++] =
                (logged){jar.number, jar.fraction, jar.spirit, jar.volume_l, jar.head_c};
        r->torn_line = jl_log_torn_line(log);
        jl_log_close(log);
    }
    r->good = status == JL_END;
    close(fd);
}

static bool same_number(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

/* ---- the change ---- */

static const char *fraction_of(uint32_t jar, void *with) {
    (void)with;
    return jar % 3 == 0 ? "hearts" : jar % 3 == 1 ? "tails" : NULL;
}

static jl_entry entry_of(deed what) {
    jl_entry e = {
        NAN, {NAN, JL_UNIT_PCT_VOL}, {NAN, JL_UNIT_PCT_VOL}, NAN, NAN, NAN, NULL, NULL, NULL, NULL};
    e.head_c = 81.5;
    if (what == ADD_JAR) {
        e.volume_l = 0.5;
        e.strength = (jl_quantity){60, JL_UNIT_PCT_VOL};
        e.temp_c = 20;
        e.note = "=a, \"b\"";
    }
    return e;
}

static jl_status change(jl_writer *w, deed what, const reading *before) {
    size_t changed;
    const jl_entry entry = entry_of(what);
    const jl_fact_entry fact = {"title", {0}, 0, "a, \"b\""};
    if (what == MARK) return jl_writer_mark(w, fraction_of, NULL, &changed);
    if (what == SET_FACT) return jl_writer_set_facts(w, &fact, 1);
    if (what == ADD_JAR) return jl_writer_add_jar(w, &entry);
    return jl_writer_correct_jar(w, before->count > 0 ? before->jars[0].number : 1, &entry);
}

/* ---- what must hold ---- */

static void jars_hold(deed what, const reading *before, const reading *after) {
    HOLDS(after->good);
    HOLDS(after->count == before->count + (what == ADD_JAR));
    for (size_t i = 0; i < before->count; i++) {
        const logged *a = &before->jars[i], *b = &after->jars[i];
        const char *fraction = fraction_of(a->number, NULL);
        bool marked = what == MARK && fraction != NULL;
        HOLDS(a->number == b->number && a->volume_l == b->volume_l);
        HOLDS(a->spirit.ethanol_kg == b->spirit.ethanol_kg);
        HOLDS(a->spirit.water_kg == b->spirit.water_kg);
        HOLDS(marked ? strcmp(jl_fraction_name(b->fraction), fraction) == 0
                     : a->fraction == b->fraction);
        HOLDS(what == MEND && i == 0 ? fabs(b->head_c - 81.5) < 1e-8
                                     : same_number(a->head_c, b->head_c));
    }
}

static jl_role changed_role(deed what) {
    return what == MARK ? JL_ROLE_FRACTION : what == MEND ? JL_ROLE_HEAD : JL_ROLES;
}

/* The column that a change is about: its place, and whether it stood there before. */
typedef struct changed {
    size_t place;
    bool stood;
} changed;

/* Cell by cell, as they stand in the file: quotes and blanks too. */
static void row_holds(const char *a, const jl_row *ra, const char *b, const jl_row *rb,
                      char delimiter, changed but) {
    jl_span sa[CELLS_MOST], sb[2 * CELLS_MOST]; /* new columns are few */
    size_t na, nb;
    a += ra->begin;
    b += rb->begin;
    if (jl_row_spans(a, (size_t)(ra->end - ra->begin), delimiter, sa, CELLS_MOST, &na) != JL_OK)
        return;
    HOLDS(jl_row_spans(b, (size_t)(rb->end - rb->begin), delimiter, sb, 2 * CELLS_MOST, &nb) ==
          JL_OK);
    HOLDS(nb >= na);
    for (size_t i = 0; i < na; i++) {
        size_t length = sa[i].end - sa[i].begin;
        if (i == but.place) {
            HOLDS(but.stood || length == 0); /* a new column takes the place of nothing */
            continue;
        }
        HOLDS(length == sb[i].end - sb[i].begin);
        HOLDS(memcmp(a + sa[i].begin, b + sb[i].begin, length) == 0);
    }
}

static void rows_hold(deed what, const char *a, size_t na, const char *b, size_t nb) {
    jl_source sa = jl_source_memory(a, na), sb = jl_source_memory(b, nb);
    jl_layout layout, after;
    jl_rows *rows_a, *rows_b;
    jl_row ra, rb;
    HOLDS(jl_layout_read(&sa, &layout, NULL) == JL_OK);
    jl_role role = changed_role(what);
    HOLDS(jl_layout_read(&sb, &after, NULL) == JL_OK);
    changed but = {SIZE_MAX, role < JL_ROLES && layout.columns.what[role] != NULL};
    if (role < JL_ROLES && after.columns.what[role] != NULL) but.place = after.columns.at[role];
    HOLDS(jl_layout_rows(&sa, &layout, &rows_a) == JL_OK);
    HOLDS(jl_layout_rows(&sb, &layout, &rows_b) == JL_OK);
    while (jl_rows_next(rows_a, &ra, NULL) == JL_OK) {
        HOLDS(jl_rows_next(rows_b, &rb, NULL) == JL_OK);
        bool fact = jl_row_is_fact(&ra);
        if (fact && what == SET_FACT) continue; /* may be the one that was set */
        row_holds(a, &ra, b, &rb, layout.dialect.delimiter,
                  fact ? (changed){SIZE_MAX, false} : but);
    }
    jl_rows_close(rows_a);
    jl_rows_close(rows_b);
}

static void compare(deed what, const char *data, size_t size) {
    static char bytes[4 * BYTES_MOST];
    static reading before, after;
    jl_writer *w;
    read_jars(data, size, &before);
    if (before.torn_line != 0 || before.count >= JARS_MOST - 1) return;
    if (jl_writer_open(path, 0, &w, NULL, NULL) != JL_OK) {
        HOLDS(get(bytes, sizeof bytes) == size && memcmp(bytes, data, size) == 0);
        return;
    }
    jl_status status = change(w, what, &before);
    jl_writer_close(w);
    size_t length = get(bytes, sizeof bytes);
    HOLDS(length < sizeof bytes);
    if (status != JL_OK) {
        HOLDS(length == size && memcmp(bytes, data, size) == 0);
        return;
    }
    if (!before.good) return;
    read_jars(bytes, length, &after);
    jars_hold(what, &before, &after);
    rows_hold(what, data, size, bytes, length);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size < 1 || size > BYTES_MOST) return 0;
    make_path();
    put(data + 1, size - 1);
    compare((deed)(data[0] % DEEDS), (const char *)data + 1, size - 1);
    unlink(path);
    return 0;
}

__attribute__((destructor)) static void clear_up_at_end(void) {
    if (path[0] != '\0') clear_up();
}
