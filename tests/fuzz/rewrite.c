/* What the reader accepts and the writer then changes reads back as before but for the change, and
 * every byte that nobody asked to change is still there. The first byte of the input chooses the
 * change, the rest is the log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jars.h"
#include "run/run.h"
#include "scratch.h"

#include <inttypes.h>

enum { JARS_MOST = 200, BYTES_MOST = 1 << 16, CELLS_MOST = 64 };

/* REUSE: a jar is taken back, and another gets its number. */
typedef enum deed {
    MARK,
    MEND,
    SET_FACT,
    ADD_JAR,
    UNDO,
    LEFT,
    WEIGHED,
    SPOUT,
    INSERT,
    REUSE,
    CHARGE,
    DEEDS
} deed;

typedef struct logged {
    char name[JL_JAR_NAME_BYTES];
    uint32_t number;
    jl_fraction fraction;
    jl_spirit spirit;
    double volume_l, head_c;
    bool from_spout; /* its mixture goes by the jars around it */
} logged;

typedef struct reading {
    logged jars[JARS_MOST];
    size_t count;
    bool good;
} reading;

/* ---- the file ---- */

static char path[128], torn_path[128];

/* ---- what a reader makes of it ---- */

static void read_jars(const char *bytes, size_t size, reading *r) {
    jl_run *run;
    int fd = given_bytes(bytes, size);
    *r = (reading){.good = jl_run_read(fd, &run, NULL) == JL_OK};
    close(fd);
    if (!r->good) return;
    const jl_jar *jars = jl_run_jars(run, &r->count);
    for (size_t i = 0; i < r->count && i < JARS_MOST; i++) {
        r->jars[i] = (logged){.number = jars[i].number,
                              .fraction = jars[i].fraction,
                              .spirit = jars[i].spirit,
                              .volume_l = jars[i].volume_l,
                              .head_c = jars[i].head_c,
                              .from_spout = jars[i].from_spout};
        memcpy(r->jars[i].name, jars[i].name, JL_JAR_NAME_BYTES);
    }
    jl_run_free(run);
}

static bool same_number(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

/* ---- the change ---- */

static jl_fraction fraction_of(uint32_t jar, jl_fraction had) {
    return jar % 3 == 0 ? JL_HEARTS : jar % 3 == 1 ? JL_TAILS : had;
}

static bool adds(deed what) {
    return what == ADD_JAR || (what >= WEIGHED && what <= REUSE);
}

static bool undoes(deed what) {
    return what == UNDO || what == REUSE;
}

static jl_entry entry_of(deed what) {
    jl_entry e = JL_ENTRY;
    e.head_c = 81.5;
    if (!adds(what)) return e;
    e.temp_c = 20;
    e.note = "=a, \"b\"";
    if (what == WEIGHED) {
        e.weight_kg = 0.652;
        e.empty_kg = 0.184;
    } else
        e.volume_l = 0.5;
    if (what == SPOUT) {
        e.spout = (jl_quantity){60, JL_UNIT_PCT_VOL};
        e.spout_temp_c = 20;
    } else
        e.strength = (jl_quantity){60, JL_UNIT_PCT_VOL};
    return e;
}

static const char *name_of(const reading *r, size_t at) {
    return at < r->count ? r->jars[at].name : "1";
}

static jl_status insert(jl_run *run, const reading *before) {
    char name[JL_JAR_NAME_BYTES + 1];
    jl_entry entry = entry_of(INSERT);
    snprintf(name, sizeof name, "%sa", name_of(before, 0));
    entry.jar = name;
    return jl_run_add_jar(run, &entry, NULL);
}

static jl_status undo(jl_run *run, const reading *before) {
    size_t last = before->count == 0 ? 0 : before->count - 1;
    return jl_run_undo(run, name_of(before, last), "2026-03-07T18:05:00Z", NULL);
}

static jl_status mark(jl_run *run, const reading *before) {
    jl_fraction fractions[JARS_MOST];
    size_t changed;
    for (size_t i = 0; i < before->count; i++)
        fractions[i] = fraction_of(before->jars[i].number, before->jars[i].fraction);
    return jl_run_mark(run, fractions, &changed, NULL);
}

static jl_status change(jl_run *run, deed what, const reading *before) {
    const jl_entry entry = entry_of(what);
    const jl_fact_entry title = {"title", {0}, 0, "a, \"b\""},
                        charge = {"charge_l", {23.5}, 1, NULL};
    const jl_left left = {17, NAN, {2, JL_UNIT_PCT_VOL}, {NAN, JL_UNIT_PCT_VOL}};
    switch (what) {
    case MARK:
        return mark(run, before);
    case MEND:
        return jl_run_correct_jar(run, name_of(before, 0), &entry, NULL);
    case SET_FACT:
        return jl_run_set_facts(run, &title, 1, NULL);
    case CHARGE:
        return jl_run_add_facts(run, &charge, 1, NULL);
    case INSERT:
        return insert(run, before);
    case UNDO:
        return undo(run, before);
    case LEFT:
        return jl_run_set_left(run, &left, NULL);
    default:
        return jl_run_add_jar(run, &entry, NULL);
    }
}

/* ---- what must hold ---- */

static void jar_holds(deed what, bool first, const logged *a, const logged *b) {
    HOLDS(strcmp(a->name, b->name) == 0);
    if (!a->from_spout) {
        HOLDS(a->volume_l == b->volume_l);
        HOLDS(a->spirit.ethanol_kg == b->spirit.ethanol_kg);
        HOLDS(a->spirit.water_kg == b->spirit.water_kg);
    }
    HOLDS(b->fraction == (what == MARK ? fraction_of(a->number, a->fraction) : a->fraction));
    HOLDS(what == MEND && first ? fabs(b->head_c - 81.5) < 1e-8
                                : same_number(a->head_c, b->head_c));
}

static void added_holds(deed what, const logged *added) {
    double strength_pct = jl_spirit_strength_pct(added->spirit);
    HOLDS(fabs(added->head_c - 81.5) < 1e-8);
    HOLDS(what == WEIGHED ? fabs(added->volume_l - 0.515) < 0.001
                          : fabs(added->volume_l - 0.5) < 1e-12);
    HOLDS(what == SPOUT ? added->from_spout : fabs(strength_pct - 60) < 1e-6);
}

/* A jar that was put in stands behind the first, another one last. */
static void jars_hold(deed what, const reading *before, const reading *after) {
    size_t stay = before->count - undoes(what), put_in = what == INSERT ? 1 : stay;
    HOLDS(after->good);
    HOLDS(after->count == stay + adds(what));
    for (size_t i = 0; i < stay; i++)
        jar_holds(what, i == 0, &before->jars[i],
                  &after->jars[i + (adds(what) && i >= put_in ? 1 : 0)]);
    if (!adds(what)) return;
    added_holds(what, &after->jars[put_in]);
    /* What was undone is free again: the next number is the one behind those that are left. */
    if (what == REUSE) {
        char next[JL_JAR_NAME_BYTES];
        snprintf(next, sizeof next, "%" PRIu32, stay == 0 ? 1 : before->jars[stay - 1].number + 1);
        HOLDS(strcmp(after->jars[put_in].name, next) == 0);
    }
}

static jl_role changed_role(deed what) {
    return what == MARK ? JL_ROLE_FRACTION : what == MEND ? JL_ROLE_HEAD : JL_ROLES;
}

/* The column that a change is about: its place, and where new ones may stand. */
typedef struct changed {
    size_t place, new_from;
} changed;

/* What a new column may take the place of: no cell, or one that is empty, in quotes or not. */
static bool is_nothing(const char *cell, size_t length) {
    for (size_t i = 0; i < length; i++)
        if (strchr("\" \t\r", cell[i]) == NULL) return false;
    return true;
}

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
        if (i == but.place) continue;
        if (i >= but.new_from && is_nothing(a + sa[i].begin, length)) continue;
        HOLDS(length == sb[i].end - sb[i].begin);
        HOLDS(memcmp(a + sa[i].begin, b + sb[i].begin, length) == 0);
    }
}

/* The columns of a log, and how far its rows go: what is torn lies behind. */
static void look(const char *bytes, size_t size, jl_columns *columns, jl_file *file) {
    jl_row row;
    *columns = (jl_columns){.line = 0};
    *file = (jl_file){.bytes = malloc(size + 1), .size = size};
    HOLDS(file->bytes != NULL);
    memcpy(file->bytes, bytes, size);
    HOLDS(jl_file_begin(file, jl_header_is_known, NULL) == JL_OK);
    while (jl_file_next(file, &row, NULL) == JL_OK)
        if (!jl_row_is_fact(&row) && columns->line == 0)
            HOLDS(jl_jar_columns_read(&row, file->dialect.delimiter, columns, NULL) == JL_OK);
}

static void rows_hold(deed what, const char *a, size_t na, const char *b, size_t nb) {
    jl_columns before, after;
    jl_file file_a, file_b;
    jl_rows *rows_a, *rows_b;
    jl_row ra, rb;
    look(a, na, &before, &file_a);
    look(b, nb, &after, &file_b);
    jl_role role = changed_role(what);
    changed but = {SIZE_MAX, before.cells};
    if (role < JL_ROLES && before.what[role] != NULL) but.place = before.at[role];
    HOLDS(jl_rows_open(a, file_a.end, file_a.dialect.delimiter, &rows_a) == JL_OK);
    HOLDS(jl_rows_open(b, nb, file_a.dialect.delimiter, &rows_b) == JL_OK);
    while (jl_rows_next(rows_a, &ra, NULL) == JL_OK) {
        bool fact = jl_row_is_fact(&ra);
        if (fact && (what == SET_FACT || what == LEFT)) continue; /* may be one that was set */
        do HOLDS(jl_rows_next(rows_b, &rb, NULL) == JL_OK);
        while (!fact && jl_row_is_fact(&rb));
        row_holds(a, &ra, b, &rb, file_a.dialect.delimiter,
                  fact ? (changed){SIZE_MAX, SIZE_MAX} : but);
    }
    jl_rows_close(rows_a);
    jl_rows_close(rows_b);
    jl_file_free(&file_a);
    jl_file_free(&file_b);
}

/* Nothing has changed, but that what was torn may be aside already. */
static void log_stands(const char *bytes, size_t length, const char *data, size_t size) {
    HOLDS(length <= size && memcmp(bytes, data, length) == 0);
    HOLDS(length == size || access(torn_path, F_OK) == 0);
}

static void compare(deed what, const char *data, size_t size) {
    static char bytes[4 * BYTES_MOST];
    static reading before, after;
    jl_run *run;
    read_jars(data, size, &before);
    jl_status status = jl_run_open(path, 0, &run, NULL, NULL);
    HOLDS((status == JL_OK) == before.good);
    if (before.count >= JARS_MOST - 1) what = DEEDS;
    if (status == JL_OK && what != DEEDS)
        status = change(run, what == REUSE ? UNDO : what, &before);
    if (status == JL_OK && what == REUSE && change(run, what, &before) != JL_OK)
        what = UNDO; /* that stands */
    if (before.good) jl_run_free(run);
    size_t length = scratch_get("run.csv", bytes, sizeof bytes);
    HOLDS(length < sizeof bytes);
    if (status != JL_OK) log_stands(bytes, length, data, size);
    if (status != JL_OK || what == DEEDS) return;
    read_jars(bytes, length, &after);
    jars_hold(what, &before, &after);
    rows_hold(what, data, size, bytes, length);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size < 1 || size > BYTES_MOST) return 0;
    scratch_path("run.csv", path);
    scratch_path("run.csv.torn-1", torn_path);
    scratch_put("run.csv", data + 1, size - 1);
    deed what = data[0] < 128   ? (deed)(data[0] % UNDO)
                : data[0] < 192 ? (deed)(UNDO + data[0] % 2)
                                : (deed)(WEIGHED + data[0] % (DEEDS - WEIGHED));
    compare(what, (const char *)data + 1, size - 1);
    scratch_clear();
    return 0;
}
