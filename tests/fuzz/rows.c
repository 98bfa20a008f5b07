/* A mutator that knows what a file of rows is made of: rows of cells, facts, quotes, a last row that was
 * not written to its end. Every other time bytes change as they do without it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/keys.h"
#include "mutator.h"
#include "target.h"

#include <string.h>

enum { CELL_MOST = 64, ROW_MOST = 512 };

typedef struct editing {
    char *text;
    size_t size, most;
    unsigned seed;
    char delimiter;
} editing;

/* In the place of what stands from begin to end. */
static void put(editing *e, size_t begin, size_t end, const char *text, size_t length) {
    if (begin > end || end > e->size || e->size - (end - begin) + length > e->most) return;
    memmove(e->text + begin + length, e->text + end, e->size - end);
    memcpy(e->text + begin, text, length);
    e->size = e->size - (end - begin) + length;
}

static char most_used(const char *text, size_t size) {
    static const char DELIMITERS[] = ",;\t";
    size_t most = 0;
    char best = ',';
    for (size_t i = 0; i < 3; i++) {
        size_t count = 0;
        for (size_t k = 0; k < size; k++) count += text[k] == DELIMITERS[i];
        if (count <= most) continue;
        most = count;
        best = DELIMITERS[i];
    }
    return best;
}

/* A row by chance, its line end included; quotes are not looked at. */
static void any_row(editing *e, size_t *begin, size_t *end) {
    size_t at = below(&e->seed, e->size + 1);
    while (at > 0 && e->text[at - 1] != '\n') at--;
    *begin = at;
    while (at < e->size && e->text[at] != '\n') at++;
    *end = at < e->size ? at + 1 : at;
}

/* A cell of a row by chance, without what stands around it. */
static void any_cell(editing *e, size_t *begin, size_t *end) {
    size_t row, row_end;
    any_row(e, &row, &row_end);
    size_t at = row + below(&e->seed, row_end - row + 1);
    while (at > row && e->text[at - 1] != e->delimiter) at--;
    *begin = at;
    while (at < row_end && e->text[at] != e->delimiter && e->text[at] != '\n') at++;
    *end = at;
}

static void change_cell(editing *e) {
    static const char *const CELLS[] = {"",
                                        "\"\"",
                                        " ",
                                        "0",
                                        "1",
                                        "2",
                                        "-1",
                                        "1e9",
                                        "0.5",
                                        "0,5",
                                        "\"0,5\"",
                                        "1.250",
                                        "78.5",
                                        "20",
                                        "100",
                                        "999999999",
                                        "8a",
                                        "hearts",
                                        "heads",
                                        "tails",
                                        "=1",
                                        " =1",
                                        "\"a, b\"",
                                        "\"a\nb\"",
                                        "\"",
                                        "#undone",
                                        "#left_l",
                                        "2026-03-07T18:05:00+01:00",
                                        "24.10.2026 9:02",
                                        "9:03 pm",
                                        "3/4/2026",
                                        "settle",
                                        "2d",
                                        "1.012",
                                        "15.2P",
                                        "6kg sugar",
                                        "vessel",
                                        "moved",
                                        "gauged",
                                        "cancelled",
                                        "2026-1",
                                        "a",
                                        "b",
                                        "250ml",
                                        "\r",
                                        "\xef\xbb\xbf",
                                        "nan",
                                        "5e-324",
                                        "\xc2\xb0"};
    size_t begin, end;
    any_cell(e, &begin, &end);
    const char *cell = CELLS[below(&e->seed, sizeof CELLS / sizeof CELLS[0])];
    put(e, begin, end, cell, strlen(cell));
}

/* Over another of its kind; beside: mostly in front of it. */
static void copy_part(editing *e, void (*any)(editing *, size_t *, size_t *), size_t most,
                      bool beside) {
    char copy[ROW_MOST];
    size_t begin, end;
    any(e, &begin, &end);
    size_t length = end - begin < most ? end - begin : most;
    memcpy(copy, e->text + begin, length);
    any(e, &begin, &end);
    if (beside && below(&e->seed, 4) != 0) end = begin;
    put(e, begin, end, copy, length);
}

static void copy_cell(editing *e) {
    copy_part(e, any_cell, CELL_MOST, false);
}

static void copy_row(editing *e) {
    copy_part(e, any_row, ROW_MOST, true);
}

static void drop_row(editing *e) {
    size_t begin, end;
    any_row(e, &begin, &end);
    put(e, begin, end, "", 0);
}

static void add_fact(editing *e) {
    static const char *const VALUES[] = {"1",        "0,5",        "78.5", "-3",
                                         "\"a, b\"", "",           "1e6",  "2026-03-07T18:05:00Z",
                                         "3@1h",     "0.5,78.5,79"};
    char row[160];
    size_t begin, end;
    any_row(e, &begin, &end);
    const jl_key *key = &jl_keys[below(&e->seed, JL_KEYS)];
    int n = snprintf(row, sizeof row, "%s%s%c%s%s", below(&e->seed, 4) == 0 ? "" : "#", key->name,
                     e->delimiter, VALUES[below(&e->seed, sizeof VALUES / sizeof VALUES[0])],
                     below(&e->seed, 8) == 0 ? "\r\n" : "\n");
    put(e, begin, begin, row, (size_t)n);
}

/* As a crash leaves it, as a hand leaves it, as a spreadsheet leaves it. */
static void unfinish(editing *e) {
    char tail[8];
    size_t begin, end;
    switch (below(&e->seed, 4)) {
    case 0:
        put(e, below(&e->seed, e->size + 1), e->size, "", 0);
        break;
    case 1:
        if (e->size > 0 && e->text[e->size - 1] == '\n') e->size--;
        break;
    case 2:
        memset(tail, e->delimiter, sizeof tail);
        put(e, e->size, e->size, tail, 1 + below(&e->seed, sizeof tail));
        break;
    default:
        any_row(e, &begin, &end);
        end = end > begin && e->text[end - 1] == '\n' ? end - 1 : end;
        put(e, end, end, &e->delimiter, 1);
    }
}

static void quote_cell(editing *e) {
    size_t begin, end;
    any_cell(e, &begin, &end);
    put(e, end, end, "\"", 1);
    put(e, begin, begin, "\"", 1);
}

static void drop_cell(editing *e) {
    size_t begin, end;
    any_cell(e, &begin, &end);
    if (end < e->size && e->text[end] == e->delimiter) end++;
    put(e, begin, end, "", 0);
}

static void swap_delimiter(editing *e) {
    char new = ",;\t"[below(&e->seed, 3)];
    for (size_t i = 0; i < e->size; i++)
        if (e->text[i] == e->delimiter) e->text[i] = new;
    e->delimiter = new;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed) {
    static void (*const CHANGES[])(editing *) = {
        change_cell, change_cell, copy_cell, copy_row,   copy_row,  drop_row,
        add_fact,    unfinish,    unfinish,  quote_cell, drop_cell, swap_delimiter};
    /* The first byte of some targets chooses what is done: it is left to the bytes' own changes. */
    size_t head = ROWS_BEGIN < size ? ROWS_BEGIN : size;
    editing e = {(char *)data + head, size - head, most - head, seed, ','};
    e.delimiter = most_used(e.text, e.size);
    if (below(&e.seed, 2) == 0) return LLVMFuzzerMutate(data, size, most);
    for (unsigned i = 1 + below(&e.seed, 3); i > 0; i--)
        CHANGES[below(&e.seed, sizeof CHANGES / sizeof CHANGES[0])](&e);
    return head + e.size;
}
