/* Runs one case in a scratch folder of its own and asserts its checks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "case.h"

#include <CUnit/CUnit.h>
#include <fcntl.h>
#include <regex.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* A folder of its own: "in" is where the command runs, "before" a copy of that, and beside them the
 * standard streams. */
typedef struct scratch {
    char top[256];
} scratch;

typedef struct place {
    char path[300];
} place;

static place in_scratch(const scratch *s, const char *name) {
    place p;
    snprintf(p.path, sizeof p.path, "%s/%s", s->top, name);
    return p;
}

static void stream_to(const scratch *s, const char *name, int fd, int flags) {
    int opened = open(in_scratch(s, name).path, flags, 0666);
    if (opened < 0 || dup2(opened, fd) < 0) _exit(126);
    close(opened);
}

/* Runs shell lines in the scratch folder, for CASE_SECONDS or a minute at most. Returns the exit
 * status, or -1 when a signal ended the shell. */
static int shell(const scratch *s, const char *lines) {
    const char *limit_s = getenv("CASE_SECONDS");
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        stream_to(s, "stdin", STDIN_FILENO, O_RDONLY);
        stream_to(s, "stdout", STDOUT_FILENO, O_WRONLY | O_CREAT | O_TRUNC);
        stream_to(s, "stderr", STDERR_FILENO, O_WRONLY | O_CREAT | O_TRUNC);
        if (chdir(in_scratch(s, "in").path) != 0) _exit(126);
        execlp("timeout", "timeout", limit_s != NULL ? limit_s : "60", "sh", "-c", lines,
               (char *)NULL);
        _exit(127);
    }
    int status;
    if (child < 0 || waitpid(child, &status, 0) != child || !WIFEXITED(status)) return -1;
    return WEXITSTATUS(status);
}

static bool write_input(const scratch *s, const char *text) {
    FILE *out = fopen(in_scratch(s, "stdin").path, "w");
    if (out == NULL) return false;
    if (text != NULL) fputs(text, out);
    return fclose(out) == 0;
}

/* All of a stream. NULL when it cannot be read or has a NUL byte, which no answer has. */
static char *slurp(const scratch *s, const char *name) {
    char *text = NULL;
    size_t room = 0;
    FILE *in = fopen(in_scratch(s, name).path, "r");
    if (in == NULL) return NULL;
    ssize_t got = getdelim(&text, &room, '\0', in);
    fclose(in);
    bool has_nul = got > 0 && text[got - 1] == '\0';
    if (got > 0 && !has_nul) return text;
    free(text);
    return has_nul ? NULL : strdup("");
}

static bool scratch_open(scratch *s) {
    const char *tmp = getenv("TMPDIR");
    /* cppcheck-suppress ctuuninitvar ; written to, not read */
    snprintf(s->top, sizeof s->top, "%s/jarline-case-XXXXXX", tmp != NULL ? tmp : "/tmp");
    return mkdtemp(s->top) != NULL && mkdir(in_scratch(s, "in").path, 0777) == 0 &&
           setenv("SCRATCH", s->top, 1) == 0 && write_input(s, NULL);
}

static void scratch_close(const scratch *s) {
    shell(s, "cd / && chmod -R u+rwX \"$SCRATCH\" && rm -rf \"$SCRATCH\"");
}

/* Asserts; a failure says what is wrong and what was got (NULL: nothing to show). */
static void verdict(bool good, const cli_case *c, unsigned line, const char *what,
                    const char *got) {
    if (!good) printf("\n    %s:%u: %s", c->file, line, what);
    if (!good && got != NULL) printf("\n    got: %.3000s", got);
    CU_assertImplementation(good, line, what, c->file, "", CU_FALSE);
}

static bool line_matches(const char *text, const char *pattern) {
    char whole[1024];
    regex_t regex;
    snprintf(whole, sizeof whole, "^(%s)$", pattern);
    if (regcomp(&regex, whole, REG_EXTENDED | REG_NOSUB | REG_NEWLINE) != 0) return false;
    bool matches = regexec(&regex, text, 0, NULL, 0) == 0;
    regfree(&regex);
    return matches;
}

static bool text_holds(const check *of, const char *text) {
    switch (of->kind) {
    case CHECK_IS:
        return strcmp(text, of->value) == 0;
    case CHECK_HAS:
        return strstr(text, of->value) != NULL;
    case CHECK_LACKS:
        return strstr(text, of->value) == NULL;
    default:
        return line_matches(text, of->value);
    }
}

static const char *const OF_TEXT[] = {
    [CHECK_IS] = "is not",
    [CHECK_HAS] = "has not",
    [CHECK_LACKS] = "has",
    [CHECK_LINE] = "has no line",
};

static void check_text(const cli_case *c, const check *of, const char *text) {
    char what[400];
    snprintf(what, sizeof what, "standard %s %s: %.300s", of->of_stderr ? "error" : "output",
             OF_TEXT[of->kind], of->value);
    verdict(text_holds(of, text), c, of->line, what, text);
}

static void check_json(const cli_case *c, const check *of, const char *text) {
    char problem[600], what[1000];
    json_check(text, of->value, problem, sizeof problem);
    snprintf(what, sizeof what, "%.300s: %s", of->value, problem);
    verdict(problem[0] == '\0', c, of->line, what, NULL);
}

static void check_files(const cli_case *c, const check *of, const scratch *s) {
    setenv("CHECKED", of->kind == CHECK_FOLDER ? "." : of->value, 1);
    bool same = shell(s, "diff -r \"../before/$CHECKED\" \"$CHECKED\"") == 0;
    char *differences = slurp(s, "stdout");
    verdict(same, c, of->line, "files changed", differences);
    free(differences);
}

static void check_all(const cli_case *c, const scratch *s, const char *out, const char *err) {
    for (size_t i = 0; i < c->checks_count; i++) {
        const check *of = &c->checks[i];
        if (of->kind == CHECK_JSON)
            check_json(c, of, out);
        else if (of->kind == CHECK_UNCHANGED || of->kind == CHECK_FOLDER)
            check_files(c, of, s);
        else
            check_text(c, of, of->of_stderr ? err : out);
    }
}

static bool prepare(const cli_case *c, const scratch *s) {
    return (c->setup == NULL || shell(s, c->setup) == 0) &&
           shell(s, "cp -a ../in ../before") == 0 && write_input(s, c->input);
}

static void run_in(const cli_case *c, const scratch *s) {
    char what[80];
    bool ready = prepare(c, s);
    verdict(ready, c, c->line, "the setup failed", NULL);
    if (!ready) return;
    int exit_status = shell(s, c->run);
    char *out = slurp(s, "stdout");
    char *err = slurp(s, "stderr");
    bool readable = out != NULL && err != NULL;
    verdict(readable, c, c->line, "a NUL byte in the output", NULL);
    if (readable) {
        snprintf(what, sizeof what, "exit status %d, not %d", exit_status, c->exit_status);
        verdict(exit_status == c->exit_status, c, c->line, what, err);
        verdict(strstr(err, "Sanitizer") == NULL && strstr(err, "runtime error:") == NULL, c,
                c->line, "a sanitizer reports", err);
        check_all(c, s, out, err);
    }
    free(out);
    free(err);
}

void case_run(const cli_case *c) {
    scratch s;
    bool opened = scratch_open(&s);
    verdict(opened, c, c->line, "no scratch folder", NULL);
    if (!opened) return;
    run_in(c, &s);
    scratch_close(&s);
}
