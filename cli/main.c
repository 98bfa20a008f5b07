/* Picks the command.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "command.h"
#include "input/complete.h"
#include "text/letters.h"

#include <fcntl.h>
#include <locale.h>
#include <signal.h>
#include <string.h>

typedef struct command {
    const char *when; /* heading in --help, where a new part of the job begins */
    const char *name;
    const char *answers;
    command_run *run;
} command;

static const command COMMANDS[] = {
    {"once", "bench", "the bench file: instruments, stills, sizes", command_bench},
    {"the wash", "wash", "how strong a wash is, and whether it has finished", command_wash},
    {NULL, "charge", "how a wash goes into the boiler: loads, lifts", command_charge},
    {"before the run", "forecast", "the run to expect: jars, cuts, clock, heat, water",
     command_forecast},
    {NULL, "boil", "boiling point and vapour of a liquid, and back", command_boil},
    {"during the run", "start", "a new run log", command_start},
    {NULL, "record", "jars into it, one by one or at a prompt", command_record},
    {"after the run", "cut", "which jar is what, tried on paper", command_cut},
    {NULL, "tally", "what a run gave: jars, fractions, recovery", command_tally},
    {NULL, "blend", "any amounts mixed: volume, strength, contraction", command_blend},
    {"to the bottle", "correct", "a reading at a temperature, as strength at 20 °C",
     command_correct},
    {NULL, "dilute", "water to bottling strength, by weight and by volume", command_dilute},
    {NULL, "spirit", "everything about one spirit", command_spirit},
    {"in the store", "book", "an entry: collected, moved, bottled, given, lost", command_book},
    {NULL, "stock", "what every vessel and lot of bottles holds", command_stock},
    {NULL, "account", "a period's account that closes", command_account},
    {"on paper", "chart", "a run as a picture, or several on the same axes", command_chart},
    {NULL, "report", "a run on paper", command_report},
    {NULL, "card", "tables for the wall: corrections, dilution, boiling", command_card},
    {NULL, "label", "strips for jars, labels for the bottles of a lot", command_label},
    {"over the months", "history", "runs side by side, sums for a period, trends", command_history},
    {NULL, "calibrate", "the still learnt from its runs", command_calibrate},
    {"trust", "selfcheck", "every published table recomputed", command_selfcheck},
};
enum { COMMANDS_KNOWN = sizeof COMMANDS / sizeof COMMANDS[0] };

/* A closed standard stream's number would go to the next file opened, and messages into a log. The
 * stand-ins fail when they are used the usual way, so a closed output is still noticed. */
static void hold_standard_streams(void) {
    for (int fd = 0; fd <= 2; fd++)
        if (fcntl(fd, F_GETFD) < 0 && open("/dev/null", fd == 0 ? O_WRONLY : O_RDONLY) < 0) return;
}

/* Fits a screen of 24 lines. */
static void help(FILE *to) {
    char simple[256];
    fputs("jarline COMMAND ...; its options: 'jarline help COMMAND'; more: 'man jarline'\n", to);
    for (size_t i = 0; i < COMMANDS_KNOWN; i++)
        fprintf(to, "%-16s%-10s %s\n", COMMANDS[i].when == NULL ? "" : COMMANDS[i].when,
                COMMANDS[i].name, on_screen(COMMANDS[i].answers, simple, sizeof simple));
}

/* The command that a misspelt word was meant to be, or NULL. */
static const char *nearest_command(const char *word) {
    jl_nearest near = jl_nearest_to(word);
    for (size_t i = 0; i < COMMANDS_KNOWN; i++) jl_nearest_offer(&near, COMMANDS[i].name);
    return near.found;
}

static int run(int argc, const char **argv) {
    for (size_t i = 0; i < COMMANDS_KNOWN; i++)
        if (strcmp(argv[0], COMMANDS[i].name) == 0) {
            bool asks = argc == 2 && strcmp(argv[1], "help") == 0;
            say_name(argv[0]);
            return asks ? COMMANDS[i].run(2, (const char *[]){argv[0], "--help", NULL})
                        : COMMANDS[i].run(argc, argv);
        }
    const char *near = nearest_command(argv[0]);
    if (near != NULL)
        return refuse("'%s' is no command; was it '%s'? 'jarline --help' lists them", argv[0],
                      near);
    return refuse("'%s' is no command; 'jarline --help' lists them", argv[0]);
}

/* "jarline --complete WORD...", for the shells. */
static int complete(int argc, const char **words) {
    complete_begin(words, (size_t)argc);
    bool of_help = argc == 2 && strcmp(words[0], "help") == 0;
    for (size_t i = 0; i < COMMANDS_KNOWN; i++) {
        if (argc == 1 || of_help) complete_offer(COMMANDS[i].name, COMMANDS[i].answers);
        if (argc > 1 && strcmp(words[0], COMMANDS[i].name) == 0)
            return COMMANDS[i].run(argc, words);
    }
    if (argc == 1) {
        complete_offer("help", "a command's options");
        complete_offer("--help", "all commands");
        complete_offer("--version", "the version");
    }
    return close_output(EXIT_DONE);
}

int main(int argc, char **argv) {
    hold_standard_streams();
    signal(SIGPIPE, SIG_IGN); /* a closed pipe is an error that a command sees and says */
    signal(SIGXFSZ, SIG_IGN); /* so is a file at its limit */
    setlocale(LC_CTYPE, "");
    jl_quiet();
    if (argc < 2) {
        help(stderr);
        return EXIT_USAGE;
    }
    const char *word = argv[1];
    bool asks = strcmp(word, "help") == 0;
    if (strcmp(word, "--complete") == 0 && argc > 2)
        return complete(argc - 2, (const char **)argv + 2);
    bool version = strcmp(word, "--version") == 0 || strcmp(word, "-V") == 0;
    bool helps = asks || strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0;
    if (asks && argc > 2) return run(2, (const char *[]){argv[2], "--help", NULL});
    if (version) puts("jarline " JARLINE_VERSION);
    if (helps) help(stdout);
    if (version || helps) return close_output(EXIT_DONE);
    return run(argc - 1, (const char **)argv + 1);
}
