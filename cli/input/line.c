/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/line.h"
#include "answer/exit_status.h"
#include "answer/say.h"
#include "input/module.h"

#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static volatile sig_atomic_t interrupted;
static line_editor *edited; /* NULL without a terminal, or without readline */
static size_t lines_read;

/* Lines that wait, the first of them first. */
static struct {
    char **of;
    size_t count, room, next;
    int held;
} waiting;

static void note_interrupt(int signal_number) {
    (void)signal_number;
    interrupted = 1;
}

bool line_is_person(void) {
    return isatty(STDIN_FILENO) == 1;
}

bool line_may_go_on(int exit_status) {
    return line_is_person() && exit_status != EXIT_INPUT && exit_status != EXIT_DATA &&
           ferror(stdout) == 0;
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

/* *bad: the line holds a NUL byte, so that its end cannot be told, or has no end. */
static char *plain_line(const char *prompt, bool *bad) {
    enum { LINE_MOST = 1 << 17 }; /* a note of 64 KiB, and more */
    char *line = NULL;
    size_t count = 0, room = 0;
    int c;
    if (line_is_person()) fputs(prompt, stderr);
    while (!*bad && (c = getc(stdin)) != EOF && c != '\n') {
        need_room(&line, count, &room, 1);
        line[count++] = (char)c;
        *bad = c == '\0' || count == LINE_MOST;
    }
    bool over = !*bad && c == EOF && (count == 0 || ferror(stdin) != 0);
    need_room(&line, count, &room, 1);
    line[count] = '\0';
    if (!over) return line;
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

static line_result read_line(const char *prompt, char **line) {
    fflush(stdout);
    bool bad = false;
    char *given = edited != NULL ? edited(prompt, &interrupted) : plain_line(prompt, &bad);
    bool stopped = interrupted != 0;
    lines_read++;
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

static void forget_waiting(void) {
    while (waiting.next < waiting.count) free(waiting.of[waiting.next++]);
}

void line_put_back(const char *line) {
    if (waiting.next == waiting.count) waiting.next = waiting.count = 0;
    need_room(&waiting.of, waiting.count, &waiting.room, sizeof *waiting.of);
    waiting.of[waiting.count++] = need(strdup(line));
}

void line_hold(bool held) {
    waiting.held += held ? 1 : -1;
}

size_t line_number(void) {
    return lines_read;
}

line_result line_ask(const char *prompt, char **line) {
    char shown[ON_SCREEN_BYTES(256)];
    prompt = on_screen(prompt, shown, sizeof shown);
    if (waiting.held == 0 && waiting.next < waiting.count) {
        *line = waiting.of[waiting.next++];
        fprintf(stderr, "%s%s\n", prompt, *line);
        return LINE_GIVEN;
    }
    line_result result = read_line(prompt, line);
    if (result != LINE_GIVEN) forget_waiting();
    return result;
}

/* A line that is there before the question was seen answers something else. */
static line_result keep_typed_ahead(void) {
    struct pollfd input = {.fd = STDIN_FILENO, .events = POLLIN};
    while (line_is_person() && poll(&input, 1, 0) > 0) {
        char *line;
        line_result result = read_line("", &line);
        if (result != LINE_GIVEN) return result;
        line_put_back(line);
        free(line);
    }
    return LINE_GIVEN;
}

line_result line_ask_typed(const char *prompt, char **line) {
    char shown[ON_SCREEN_BYTES(256)];
    line_result result = keep_typed_ahead();
    if (result == LINE_GIVEN) result = read_line(on_screen(prompt, shown, sizeof shown), line);
    if (result != LINE_GIVEN) forget_waiting();
    return result;
}
