/* Cases from a file.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void *must(void *allocated) {
    if (allocated == NULL) abort();
    return allocated;
}

char *with_line(char *text, const char *line) {
    size_t had = text != NULL ? strlen(text) : 0;
    size_t more = strlen(line);
    char *both = must(realloc(text, had + more + 2));
    memcpy(both + had, line, more);
    memcpy(both + had + more, "\n", 2);
    return both;
}

static void chop(char *text) {
    size_t length = strlen(text);
    if (length > 0 && text[length - 1] == '\n') text[length - 1] = '\0';
}

typedef struct keyword {
    const char *word;
    enum { CASE, SOURCE, SETUP, STDIN, RUN, EXIT_STATUS, CHECK } what;
    check_kind kind;
    bool of_stderr;
} keyword;

static const keyword KEYWORDS[] = {
    {"case", CASE, 0, false},
    {"source", SOURCE, 0, false},
    {"setup", SETUP, 0, false},
    {"stdin", STDIN, 0, false},
    {"run", RUN, 0, false},
    {"exit", EXIT_STATUS, 0, false},
    {"stdout is", CHECK, CHECK_IS, false},
    {"stdout has", CHECK, CHECK_HAS, false},
    {"stdout lacks", CHECK, CHECK_LACKS, false},
    {"stdout line", CHECK, CHECK_LINE, false},
    {"stderr is", CHECK, CHECK_IS, true},
    {"stderr has", CHECK, CHECK_HAS, true},
    {"stderr lacks", CHECK, CHECK_LACKS, true},
    {"stderr line", CHECK, CHECK_LINE, true},
    {"json", CHECK, CHECK_JSON, false},
    {"unchanged", CHECK, CHECK_UNCHANGED, false},
    {"folder unchanged", CHECK, CHECK_FOLDER, false},
};

static const keyword *keyword_of(const char *line, const char **value) {
    const char *colon = strchr(line, ':');
    if (colon == NULL) return NULL;
    for (size_t i = 0; i < sizeof KEYWORDS / sizeof KEYWORDS[0]; i++) {
        const keyword *k = &KEYWORDS[i];
        if (strlen(k->word) == (size_t)(colon - line) &&
            memcmp(k->word, line, strlen(k->word)) == 0) {
            *value = colon[1] == ' ' ? colon + 2 : colon + 1;
            return k;
        }
    }
    return NULL;
}

cli_case *add_case(cli_cases *cases, const char *file, unsigned line) {
    cases->at = must(realloc(cases->at, (cases->count + 1) * sizeof *cases->at));
    cli_case *c = &cases->at[cases->count++];
    *c = (cli_case){.file = file, .line = line};
    return c;
}

check *add_check(cli_case *c, check_kind kind, bool of_stderr, unsigned line) {
    c->checks = must(realloc(c->checks, (c->checks_count + 1) * sizeof *c->checks));
    check *added = &c->checks[c->checks_count++];
    *added = (check){kind, of_stderr, line, NULL};
    return added;
}

typedef struct reader {
    const char *file;
    unsigned line;
    cli_cases *cases;
    cli_case *c;
    char *ignored; /* a source, an exit status */
    char **place;  /* where the value being read goes */
} reader;

static bool complain(const reader *r, const char *what) {
    fprintf(stderr, "%s:%u: %s\n", r->file, r->line, what);
    return false;
}

/* A case is whole when it says what to run, what exit status to expect, and one thing more. */
static bool finish_case(reader *r) {
    cli_case *c = r->c;
    if (c == NULL) return true;
    r->line = c->line;
    if (c->name == NULL) return complain(r, "a case without the fact it checks");
    if (c->run == NULL) return complain(r, "a case without 'run'");
    if (!c->exit_given) return complain(r, "a case without 'exit'");
    if (c->checks_count == 0) return complain(r, "a case without a check beside 'exit'");
    chop(c->name);
    for (size_t i = 0; i < c->checks_count; i++) {
        check *of = &c->checks[i];
        if (of->value == NULL) of->value = must(strdup(""));
        if (of->kind != CHECK_IS) chop(of->value);
        if (of->kind != CHECK_IS && of->kind != CHECK_FOLDER && of->value[0] == '\0')
            return complain(r, "a check without a value");
    }
    return true;
}

static bool take_keyword(reader *r, const keyword *k, const char *value) {
    char *end;
    if (k->what == CASE) {
        unsigned line = r->line;
        if (!finish_case(r)) return false;
        r->line = line;
        r->c = add_case(r->cases, r->file, line);
        r->place = &r->c->name;
    } else if (r->c == NULL) {
        return complain(r, "expected 'case: the fact it checks' first");
    } else if (k->what == CHECK) {
        r->place = &add_check(r->c, k->kind, k->of_stderr, r->line)->value;
    } else if (k->what == SETUP) {
        r->place = &r->c->setup;
    } else if (k->what == STDIN) {
        r->place = &r->c->input;
    } else if (k->what == RUN) {
        if (r->c->run != NULL) return complain(r, "a second 'run' in one case");
        r->place = &r->c->run;
    } else {
        r->place = &r->ignored;
    }
    if (k->what == EXIT_STATUS) {
        long status = strtol(value, &end, 10);
        if (end == value || *end != '\0' || r->c->exit_given)
            return complain(r, "expected one exit status");
        r->c->exit_status = (int)status;
        r->c->exit_given = true;
    }
    if (*value != '\0') *r->place = with_line(*r->place, value);
    return true;
}

static bool take_line(reader *r, const char *line) {
    if (line[0] == '#' || line[0] == '\0') return true;
    if (line[0] == '|') {
        if (r->place == NULL) return complain(r, "a further line of nothing");
        *r->place = with_line(*r->place, line[1] == ' ' ? line + 2 : line + 1);
        return true;
    }
    const char *value;
    const keyword *k = keyword_of(line, &value);
    if (k == NULL) return complain(r, "no keyword of a case");
    return take_keyword(r, k, value);
}

bool cases_read(const char *path, cli_cases *cases) {
    FILE *in = fopen(path, "r");
    if (in == NULL) {
        perror(path);
        return false;
    }
    const char *slash = strrchr(path, '/');
    reader r = {.file = slash != NULL ? slash + 1 : path, .cases = cases};
    char *line = NULL;
    size_t room = 0;
    bool good = true;
    while (good && getline(&line, &room, in) >= 0) {
        r.line++;
        chop(line);
        good = take_line(&r, line);
    }
    if (good) good = finish_case(&r);
    free(line);
    free(r.ignored);
    fclose(in);
    return good;
}

void cases_free(cli_cases *cases) {
    for (size_t i = 0; i < cases->count; i++) {
        cli_case *c = &cases->at[i];
        for (size_t k = 0; k < c->checks_count; k++) free(c->checks[k].value);
        free(c->checks);
        free(c->name);
        free(c->setup);
        free(c->input);
        free(c->run);
    }
    free(cases->at);
}
