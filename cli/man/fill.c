/* Fills a manual page with what the one table of keys says: fill PAGE OUT
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A line of the page that begins with .\" KEYS is replaced:
 * .\" KEYS options WHERE   the options that set them
 * .\" KEYS keys WHERE      the keys of a file, each with what it is
 * .\" KEYS names WHERE     all keys, with a comma behind each
 * .\" KEYS rows WHERE      the others, which have nothing to be said, as rows of a table */
#include "keys/keys.h"

#include <stdio.h>
#include <string.h>

static const char MARK[] = ".\\\" KEYS ";

/* name: no minus of it is a hyphen. */
static void put(FILE *to, const char *text, bool name) {
    static const struct {
        const char *plain, *roff;
    } SIGNS[] = {{"°", "\\(de"}, {"±", "\\(+-"}, {"\\", "\\e"}};
    for (const char *c = text; *c != '\0'; c++) {
        size_t i = 0, count = sizeof SIGNS / sizeof SIGNS[0];
        while (i < count && strncmp(c, SIGNS[i].plain, strlen(SIGNS[i].plain)) != 0) i++;
        if (i < count) {
            fputs(SIGNS[i].roff, to);
            c += strlen(SIGNS[i].plain) - 1;
        } else if (*c == '-' && (name || (c[1] >= '0' && c[1] <= '9')))
            fputs("\\-", to);
        else
            fputc(*c, to);
    }
}

static bool is_number(const jl_key *key) {
    return key->form == JL_AS_NUMBER || key->form == JL_AS_SHARE;
}

/* What a key is, in a line. */
static void describe(FILE *to, const jl_key *key) {
    bool source = key->source != NULL && strcmp(key->source, JL_NONE_STATED) != 0;
    if (key->help[0] == '\'' || key->help[0] == '.') fputs("\\&", to);
    put(to, key->help, false);
    if (is_number(key)) {
        fputs("; ", to);
        put(to, key->range, false);
        fputs(key->usual != NULL ? "; default " : source ? "; default: " : "", to);
        if (key->usual != NULL) put(to, key->usual, false);
        if (key->usual != NULL && source) fputs(", ", to);
        if (source) put(to, key->source, false);
    }
    if ((key->where & JL_REPEATS) != 0) fputs("; may repeat", to);
    fputc('\n', to);
}

static void put_option(FILE *to, const jl_key *key) {
    if (key->option == NULL || key->form == JL_AS_TEXT || key->form == JL_AS_TIME ||
        (key->where & JL_SINGLY) != 0)
        return;
    fputs(".TP\n.BI \\-\\-", to);
    put(to, key->option, true);
    fprintf(to, " \" %s\"\n", key->argument);
    describe(to, key);
}

static void put_key(FILE *to, const jl_key *key) {
    if (key->help == NULL) return;
    fprintf(to, ".TP\n.B %s\n", key->name);
    describe(to, key);
}

static void put_row(FILE *to, const jl_key *key) {
    if (key->help != NULL) return;
    bool practice = key->source == NULL || strcmp(key->source, JL_COMMON_PRACTICE) == 0;
    fprintf(to, "%s\t", key->name);
    put(to, key->usual != NULL ? key->usual : practice ? "0" : key->source, false);
    fputc('\n', to);
}

static void put_name(FILE *to, const jl_key *key) {
    fprintf(to, ".BR %s ,\n", key->name);
}

/* False for a mark that is not known. */
static bool fill(FILE *to, const char *mark) {
    static const struct {
        const char *name;
        void (*put)(FILE *, const jl_key *);
    } WHAT[] = {
        {"options ", put_option}, {"keys ", put_key}, {"rows ", put_row}, {"names ", put_name}};
    static const struct {
        const char *name;
        unsigned where;
    } WHERE[] = {
        {"run\n", JL_IN_RUN},       {"still\n", JL_IN_STILL}, {"instruments\n", JL_IN_INSTRUMENTS},
        {"charge\n", JL_IN_CHARGE}, {"end\n", JL_IN_RUN_END}, {"wash\n", JL_IN_WASH},
        {"book\n", JL_IN_BOOK}};
    size_t what = 0, where = 0, length;
    while (what < 4 && strncmp(mark, WHAT[what].name, strlen(WHAT[what].name)) != 0) what++;
    if (what == 4) return false;
    length = strlen(WHAT[what].name);
    const size_t places = sizeof WHERE / sizeof WHERE[0];
    while (where < places && strcmp(mark + length, WHERE[where].name) != 0) where++;
    if (where == places) return false;
    for (size_t id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & WHERE[where].where) != 0) WHAT[what].put(to, &jl_keys[id]);
    return true;
}

static bool fill_page(FILE *page, FILE *to) {
    char line[4096];
    bool good = true;
    while (good && fgets(line, sizeof line, page) != NULL)
        if (strncmp(line, MARK, strlen(MARK)) == 0)
            good = fill(to, line + strlen(MARK));
        else
            good = fputs(line, to) >= 0;
    return good && ferror(page) == 0;
}

int main(int argc, char **argv) {
    FILE *page = argc == 3 ? fopen(argv[1], "r") : NULL;
    FILE *to = page != NULL ? fopen(argv[2], "w") : NULL;
    bool good = to != NULL && fill_page(page, to);
    if (page != NULL) fclose(page);
    if (to != NULL && fclose(to) != 0) good = false;
    if (!good) fprintf(stderr, "fill: %s cannot be filled\n", argc > 1 ? argv[1] : "no page");
    return good ? 0 : 1;
}
