/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/undone.h"
#include "keys/facts.h"
#include "run/jarcells.h"
#include "text/letters.h"
#include "text/status.h"

#include <stdlib.h>
#include <string.h>

enum { UNDONE_MOST = 65536, BLOCK = 65536 };

static const char KEY[] = "undone";

typedef struct entry {
    uint32_t number;
    bool used;   /* a jar above its last line was taken back */
    size_t line; /* the last one */
} entry;

struct jl_undone {
    size_t count, room;
    entry *entries; /* ascending by number */
};

/* ---- a first glance ---- */

/* Whether "undone" stands behind a # in some bytes that end with a NUL. */
static bool glance(const char *bytes, size_t length) {
    const char *end = bytes + length;
    while (bytes < end && (bytes = memchr(bytes, '#', (size_t)(end - bytes))) != NULL) {
        bytes++;
        if (jl_same_letters_to(bytes + strspn(bytes, " \t"), KEY, sizeof KEY - 1)) return true;
    }
    return false;
}

/* Most logs have no such fact, and need not be read twice row by row. */
static jl_status glance_at_source(const jl_source *source, bool *logged) {
    enum { OVERLAP = 64 };
    *logged = false;
    char *block = malloc(BLOCK + OVERLAP + 1);
    if (block == NULL) return JL_MEMORY;
    jl_status status;
    uint64_t offset = 0;
    size_t kept = 0, got;
    while ((status = jl_source_read(source, offset, block + kept, BLOCK, &got)) == JL_OK &&
           got > 0 && !*logged) {
        size_t length = kept + got;
        block[length] = '\0';
        *logged = glance(block, length);
        kept = length < OVERLAP ? length : OVERLAP;
        memmove(block, block + length - kept, kept);
        offset += got;
    }
    free(block);
    return status;
}

/* ---- collecting ---- */

static size_t place_of(const jl_undone *u, uint32_t number) {
    size_t low = 0;
    size_t high = u->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (u->entries[middle].number < number)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static bool stands_at(const jl_undone *u, size_t at, uint32_t number) {
    return at < u->count && u->entries[at].number == number;
}

static jl_status add(jl_undone *u, uint32_t number, size_t line) {
    size_t at = place_of(u, number);
    if (stands_at(u, at, number)) {
        u->entries[at].line = line;
        return JL_OK;
    }
    if (u->count == UNDONE_MOST) return JL_RANGE;
    if (u->count == u->room) {
        size_t room = u->room == 0 ? 16 : 2 * u->room;
        entry *entries = realloc(u->entries, room * sizeof(entry));
        if (entries == NULL) return JL_MEMORY;
        u->entries = entries;
        u->room = room;
    }
    memmove(u->entries + at + 1, u->entries + at, (u->count - at) * sizeof(entry));
    u->entries[at] = (entry){number, false, line};
    u->count++;
    return JL_OK;
}

static jl_status collect(jl_rows *rows, bool unended_left_out, jl_undone *u, jl_fault *fault) {
    char delimiter = jl_rows_delimiter(rows);
    jl_row row;
    jl_status status;
    while ((status = jl_rows_next(rows, &row, fault)) == JL_OK) {
        uint32_t number;
        if (!jl_row_has_key(&row, KEY) || row.count < 2) continue;
        if (row.unended && unended_left_out) continue;
        if (jl_number_read(row.cells[1].text, row.cells[1].length, &number) != JL_OK) continue;
        status = add(u, number, row.line);
        if (status != JL_OK)
            return jl_row_fault(&row, 1, status, "at most 65536 jars that are undone", fault);
    }
    jl_rows_rewind(rows, delimiter);
    return status == JL_INPUT || status == JL_IO || status == JL_MEMORY ? status : JL_OK;
}

jl_status jl_undone_find(const jl_source *source, jl_rows *rows, bool unended_left_out,
                         jl_undone **undone, jl_fault *fault) {
    bool logged;
    *undone = NULL;
    jl_status status = glance_at_source(source, &logged);
    if (status != JL_OK) return jl_fault_at(fault, status, 0, 0, NULL, 0, NULL);
    if (!logged) return JL_OK;
    jl_undone *u = calloc(1, sizeof *u);
    if (u == NULL) return jl_fault_at(fault, JL_MEMORY, 0, 0, NULL, 0, NULL);
    status = collect(rows, unended_left_out, u, fault);
    if (status == JL_OK)
        *undone = u;
    else
        jl_undone_free(u);
    return status;
}

void jl_undone_free(jl_undone *undone) {
    if (undone == NULL) return;
    free(undone->entries);
    free(undone);
}

/* ---- reading the log ---- */

static entry *find(const jl_undone *u, uint32_t number) {
    if (u == NULL) return NULL;
    size_t at = place_of(u, number);
    return stands_at(u, at, number) ? &u->entries[at] : NULL;
}

bool jl_undone_takes(jl_undone *undone, uint32_t number, size_t line) {
    entry *e = find(undone, number);
    if (e == NULL || e->line < line) return false;
    e->used = true;
    return true;
}

jl_status jl_undone_check(const jl_undone *undone, const jl_row *row, jl_fault *fault) {
    uint32_t number = 0;
    jl_time time;
    if (row->count < 2 || row->cells[1].length == 0)
        return jl_row_fault(row, 1, JL_MISSING, jl_number_expected, fault);
    jl_status status = jl_number_read(row->cells[1].text, row->cells[1].length, &number);
    if (status != JL_OK) return jl_row_fault(row, 1, status, jl_number_expected, fault);
    if (row->count > 2 && row->cells[2].length > 0)
        status = jl_time_read(row->cells[2].text, row->cells[2].length, &time);
    if (status != JL_OK)
        return jl_row_fault(row, 2, status, "a time with its offset, as 2026-03-07T18:05:00+01:00",
                            fault);
    const entry *e = find(undone, number);
    if (e == NULL || !e->used)
        return jl_row_fault(row, 1, JL_CONFLICT, "the number of a jar that stands above", fault);
    return JL_OK;
}
