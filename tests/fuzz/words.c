/* A mutator of command lines: words go, come and change, and those that come are the command's own, as
 * its option table has them. Every other time bytes change as they do without it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "inside.h"
#include "mutator.h"

#include <ctype.h>

enum { COMMANDS_MOST = 40, OPTIONS_MOST = 100, NAME_BYTES = 32, LINES_MOST = 64 };

/* What --help lists: the commands, and of each the options. */
static struct {
    char name[NAME_BYTES];
    char options[OPTIONS_MOST][NAME_BYTES];
    size_t count;
} commands[COMMANDS_MOST];
static size_t command_count;

static void take_options(size_t which) {
    char help[] = "--help", *words[] = {commands[which].name, help, NULL};
    said s = run_inside(words, "", 0);
    for (char *at = s.out; (at = strstr(at, "--")) != NULL; at += 2) {
        size_t length = 2;
        while (isalnum((unsigned char)at[length]) || at[length] == '-') length++;
        if (length < 3 || length >= NAME_BYTES || commands[which].count == OPTIONS_MOST) continue;
        memcpy(commands[which].options[commands[which].count++], at, length);
    }
    said_free(&s);
}

static void learn_words(void) {
    char help[] = "--help", *words[] = {help, NULL}, name[NAME_BYTES];
    if (command_count > 0) return;
    season();
    said s = run_inside(words, "", 0);
    for (char *line = s.out; line != NULL && command_count < COMMANDS_MOST;) {
        if (sscanf(line, "  %31[a-z] ", name) == 1 && strncmp(line, "  ", 2) == 0)
            strcpy(commands[command_count++].name, name);
        line = strchr(line, '\n');
        if (line != NULL) line++;
    }
    said_free(&s);
    HOLDS(command_count > 10);
    for (size_t i = 0; i < command_count; i++) take_options(i);
}

static const char *const VALUES[] = {"run.csv",
                                     "saved.csv",
                                     "wash.csv",
                                     "book.csv",
                                     "still.csv",
                                     "none.csv",
                                     "-",
                                     "run.csv:hearts",
                                     "run.csv:1-2",
                                     "saved.csv:2",
                                     "book.csv:a",
                                     "book.csv:a:2L",
                                     "250ml",
                                     "0.5L",
                                     "1L@40%",
                                     "10L@8%",
                                     "1kg@50%",
                                     "2gal",
                                     "72.5%",
                                     "60%mas",
                                     "144proof",
                                     "40%",
                                     "0%",
                                     "100%",
                                     "20C",
                                     "75F",
                                     "-5C",
                                     "79.5C",
                                     "1.5kW",
                                     "1800W",
                                     "2h30",
                                     "90min",
                                     "98.5kPa",
                                     "650m",
                                     "1.062",
                                     "15.2P",
                                     "6kg",
                                     "500g",
                                     "0.5g/100mL",
                                     "1",
                                     "2",
                                     "0",
                                     "-1",
                                     "8a",
                                     "1-",
                                     "2-3",
                                     "9-1",
                                     "1e309",
                                     "5e-324",
                                     "99999999999999999999",
                                     "nan",
                                     "",
                                     "2026-10-24 09:02",
                                     "24.10.2026",
                                     "9:02 pm",
                                     "2026",
                                     "2026-Q1",
                                     "none",
                                     "hearts",
                                     "heads",
                                     "tails",
                                     "a",
                                     "b",
                                     "vessel",
                                     "moved",
                                     "gauged",
                                     "lost",
                                     "bottled",
                                     "cancelled",
                                     "glass",
                                     "sugar",
                                     "settle",
                                     "html",
                                     "svg",
                                     "csv",
                                     "=1+1",
                                     "a\xc2\xb0\xe2\x80\xae",
                                     "%s%n",
                                     "x.csv",
                                     "run.csv:",
                                     ":",
                                     "@",
                                     "4%%"};
enum { VALUES_KNOWN = sizeof VALUES / sizeof VALUES[0] };

typedef struct lines {
    const char *of[LINES_MOST];
    size_t count;
    unsigned seed;
} lines;

/* Of the command that stands there, or of any. */
static const char *new_word(lines *l) {
    size_t which = below(&l->seed, command_count);
    for (size_t i = 0; i < command_count; i++)
        if (l->count > 0 && strcmp(l->of[0], commands[i].name) == 0) which = i;
    if (commands[which].count > 0 && below(&l->seed, 2) == 0)
        return commands[which].options[below(&l->seed, commands[which].count)];
    return VALUES[below(&l->seed, VALUES_KNOWN)];
}

static void change(lines *l) {
    size_t at = below(&l->seed, l->count);
    switch (below(&l->seed, 6)) {
    case 0:
        if (l->count > 1) memmove(&l->of[at], &l->of[at + 1], (--l->count - at) * sizeof *l->of);
        break;
    case 1:
        l->of[at] = at == 0 ? commands[below(&l->seed, command_count)].name : new_word(l);
        break;
    case 2: {
        size_t other = below(&l->seed, l->count);
        const char *word = l->of[at];
        l->of[at] = l->of[other];
        l->of[other] = word;
        break;
    }
    default:
        if (l->count + 1 >= LINES_MOST) break;
        at += l->count > 0;
        memmove(&l->of[at + 1], &l->of[at], (l->count - at) * sizeof *l->of);
        l->of[at] = at == 0 ? commands[below(&l->seed, command_count)].name : new_word(l);
        l->count++;
    }
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed) {
    static char text[1 << 13];
    lines l = {.seed = seed};
    learn_words();
    if (below(&l.seed, 2) == 0 || size >= sizeof text) return LLVMFuzzerMutate(data, size, most);
    memcpy(text, data, size);
    text[size] = '\0';
    for (char *line = text; line != NULL && l.count < LINES_MOST - 1;) {
        l.of[l.count++] = line;
        line = strchr(line, '\n');
        if (line != NULL) *line++ = '\0';
    }
    for (unsigned i = 1 + below(&l.seed, 3); i > 0; i--) change(&l);
    size_t used = 0;
    for (size_t i = 0; i < l.count; i++) {
        size_t length = strlen(l.of[i]);
        if (used + length + 1 > most) break;
        if (i > 0) data[used++] = '\n';
        memcpy(data + used, l.of[i], length);
        used += length;
    }
    return used;
}
