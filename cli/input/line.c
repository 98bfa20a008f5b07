/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/line.h"
#include "answer/say.h"
#include "input/module.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static volatile sig_atomic_t interrupted;
static line_editor *edited; /* NULL without a terminal, or without readline */

static void note_interrupt(int signal_number) {
    (void)signal_number;
    interrupted = 1;
}

bool line_is_person(void) {
    return isatty(STDIN_FILENO) == 1;
}

void line_begin(void) {
    /* Without SA_RESTART, so that a read that waits comes back. */
    struct sigaction action = {.sa_handler = note_interrupt};
    sigaction(SIGINT, &action, NULL);
    if (!line_is_person() || isatty(STDOUT_FILENO) != 1) return;
    const char *why = NULL;
    void *function = module_function("jarline-prompt", "jarline_prompt_line", &why);
    if (function == NULL) say("no line editing here: %s", why == NULL ? "no module" : why);
    *(void **)&edited = function;
}

/* *bad: the line holds a NUL byte, so that its end cannot be told. */
static char *plain_line(const char *prompt, bool *bad) {
    char *line = NULL;
    size_t size = 0;
    if (line_is_person()) fputs(prompt, stderr);
    ssize_t n = getline(&line, &size, stdin);
    *bad = n >= 0 && (size_t)n != strlen(line);
    if (n >= 0) return line;
    free(line);
    return NULL;
}

static char *trimmed(char *line) {
    static const char BLANKS[] = " \t\r\n";
    size_t lead = strspn(line, BLANKS);
    size_t length = strlen(line);
    while (length > lead && strchr(BLANKS, line[length - 1]) != NULL) length--;
    memmove(line, line + lead, length - lead);
    line[length - lead] = '\0';
    return line;
}

line_result line_ask(const char *prompt, char **line) {
    char shown[256];
    prompt = on_screen(prompt, shown, sizeof shown);
    fflush(stdout);
    bool bad = false;
    char *given = edited != NULL ? edited(prompt, &interrupted) : plain_line(prompt, &bad);
    bool stopped = interrupted != 0;
    if (stopped || bad) free(given);
    if (stopped) {
        interrupted = 0;
        if (line_is_person() && edited == NULL) fputs("\n", stderr);
        return LINE_INTERRUPTED;
    }
    if (bad) return LINE_UNREADABLE;
    if (given == NULL) return LINE_END;
    *line = trimmed(given);
    return LINE_GIVEN;
}
