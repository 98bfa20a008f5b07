/* One line from a terminal, with editing and history: the only file that uses readline, in a module
 * of its own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/line.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <unistd.h>

#include <readline/history.h>
#include <readline/readline.h>

static volatile const sig_atomic_t *interrupted;

/* Waits for a key or a signal. SIGINT is let in only while waiting, so that none comes between the
 * look at the flag and the wait, where it would go unseen until the next key. */
static bool wait_for_key(int terminal) {
    struct pollfd wanted = {.fd = terminal, .events = POLLIN};
    sigset_t interrupt, before;
    sigemptyset(&interrupt);
    sigaddset(&interrupt, SIGINT);
    sigprocmask(SIG_BLOCK, &interrupt, &before);
    bool caught = rl_pending_signal() != 0 || *interrupted != 0;
    int ready = caught ? -1 : ppoll(&wanted, 1, NULL, &before);
    sigprocmask(SIG_SETMASK, &before, NULL);
    return ready > 0;
}

/* A key; a line's end when Ctrl-C came instead, so that the line is left at once. Readline puts the
 * terminal right before the caller's handler is called, and back afterwards. */
static int next_key(FILE *terminal) {
    for (;;) {
        unsigned char key;
        bool ready = wait_for_key(fileno(terminal));
        if (rl_pending_signal() != 0) rl_check_signals();
        if (*interrupted != 0) return '\n';
        if (!ready) continue;
        ssize_t n = read(fileno(terminal), &key, 1);
        if (n == 1) return key;
        if (n == 0 || errno != EINTR) return EOF;
    }
}

static char *no_completion(const char *text, int state) {
    (void)text;
    (void)state;
    return NULL;
}

__attribute__((visibility("default"))) line_editor jarline_prompt_line;

char *jarline_prompt_line(const char *prompt, volatile const sig_atomic_t *flag) {
    static int ready;
    interrupted = flag;
    if (!ready) {
        rl_readline_name = "jarline";
        rl_completion_entry_function = no_completion;
        rl_getc_function = next_key;
        rl_catch_signals = 1;
        /* A serial line would show the codes. */
        rl_variable_bind("enable-bracketed-paste", "off");
        ready = 1;
    }
    char *line = readline(prompt);
    if (line != NULL && line[0] != '\0' && *flag == 0) add_history(line);
    return line;
}
