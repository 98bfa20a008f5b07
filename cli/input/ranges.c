/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ranges.h"
#include "answer/say.h"

#include <ctype.h>
#include <errno.h>
#include <stdlib.h>

static bool read_number(const char **text, int64_t *number) {
    char *end;
    if (!isdigit((unsigned char)**text)) return false;
    errno = 0;
    long long value = strtoll(*text, &end, 10);
    if (errno != 0) return false;
    *number = value;
    *text = end;
    return true;
}

static void skip_blanks(const char **text) {
    while (**text == ' ') (*text)++;
}

/* "4", "4-11", "12-" or "-3". */
static bool read_range(const char **text, range *r) {
    *r = (range){INT64_MIN, INT64_MAX};
    skip_blanks(text);
    bool first = read_number(text, &r->first);
    skip_blanks(text);
    if (**text != '-') {
        r->last = r->first;
        return first;
    }
    (*text)++;
    skip_blanks(text);
    bool last = read_number(text, &r->last);
    skip_blanks(text);
    return (first || last) && r->first <= r->last;
}

bool ranges_read(const char *text, ranges *r) {
    *r = (ranges){0};
    for (;;) {
        range next;
        if (!read_range(&text, &next)) break;
        r->all = need(realloc(r->all, (r->count + 1) * sizeof *r->all));
        r->all[r->count++] = next;
        if (*text == '\0') return true;
        if (*text++ != ',') break;
    }
    ranges_free(r);
    return false;
}

bool ranges_have(const ranges *r, int64_t jar) {
    for (size_t i = 0; i < r->count; i++)
        if (jar >= r->all[i].first && jar <= r->all[i].last) return true;
    return false;
}

void ranges_free(ranges *r) {
    free(r->all);
    *r = (ranges){0};
}
