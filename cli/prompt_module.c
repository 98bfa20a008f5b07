/* One line from a terminal, with editing and history: the only file that uses readline, in a module
 * of its own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "prompt_module.h"

#include <signal.h>
#include <stdio.h>

#include <readline/history.h>
#include <readline/readline.h>

static volatile const sig_atomic_t *interrupted;

/* Readline calls this after it has set the terminal right again for a signal. */
static int leave_line(void) {
    if (*interrupted != 0) rl_done = 1;
    return 0;
}

static char *no_completion(const char *text, int state) {
    (void)text;
    (void)state;
    return NULL;
}

__attribute__((visibility("default"))) char *
jarline_prompt_line(const char *prompt, volatile const sig_atomic_t *flag) {
    static int ready;
    interrupted = flag;
    if (!ready) {
        rl_readline_name = "jarline";
        rl_completion_entry_function = no_completion;
        rl_signal_event_hook = leave_line;
        rl_catch_signals = 1;
        /* A serial line would show the codes. */
        rl_variable_bind("enable-bracketed-paste", "off");
        ready = 1;
    }
    char *line = readline(prompt);
    if (line != NULL && line[0] != '\0' && *flag == 0) add_history(line);
    return line;
}
