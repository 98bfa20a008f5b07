/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/args.h"
#include "answer/say.h"
#include "answer/show.h"
#include "input/complete.h"
#include "keys/keys.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Stands before a negative number while popt looks at the words, so that it is no option. */
static const char GUARD = '\x01';

static bool is_negative_number(const char *word) {
    return word[0] == '-' && (strchr("0123456789.,", word[1]) != NULL && word[1] != '\0');
}

static const char *guarded(const char *word) {
    size_t length = strlen(word);
    bool number = is_negative_number(word);
    char *copy = need(malloc(length + 2));
    copy[0] = GUARD; /* overwritten unless it is a number */
    memcpy(copy + number, word, length + 1);
    return copy;
}

static void unguard(char *word) {
    if (word != NULL && word[0] == GUARD) memmove(word, word + 1, strlen(word));
}

static int count_options(const struct poptOption *table) {
    int count = 0;
    while (table[count].longName != NULL) count++;
    return count;
}

/* Whether a key is an option of those that may stand somewhere of where. */
static bool is_option(const jl_key *key, int where) {
    return key->option != NULL && key->form != JL_AS_TEXT && key->form != JL_AS_TIME &&
           (key->where & (unsigned)where) != 0 && (key->where & JL_SINGLY) == 0;
}

/* The options of a KEY_OPTIONS or KEY_OPTION; *table is where they stand. Returns how many. */
static int add_keys(const struct poptOption *keys, struct poptOption *table) {
    bool one = keys->argInfo == KEY_OF_TABLE;
    int count = 0;
    for (size_t id = 0; id < JL_KEYS; id++) {
        const jl_key *key = &jl_keys[id];
        char *help;
        if (one ? (int)id != keys->val : !is_option(key, keys->val)) continue;
        if (asprintf(&help, key->usual == NULL ? "%s" : "%s (%s)", key->help, key->usual) < 0)
            need(NULL);
        table[count++] = (struct poptOption)OPTION(key->option, (char **)keys->arg + (one ? 0 : id),
                                                   key->argument, help);
    }
    return count;
}

/* The same letter in every command; '\0': none. */
static char short_name(const char *name) {
    static const char *const NAMES[] = {"help", "json", "output", "force", "quiet"};
    for (size_t i = 0; i < sizeof NAMES / sizeof NAMES[0]; i++)
        if (strcmp(name, NAMES[i]) == 0) return name[0];
    return strcmp(name, "version") == 0 ? 'V' : '\0';
}

enum { OFFER_BYTES = 160, OFFERED_MOST = 3 };

/* "; was it --boiler-size?": the options that begin with the word, else the one that a misspelt word was
 * meant to be; "" where there is none. */
static void write_offer(const args *a, const char *word, char text[OFFER_BYTES]) {
    char name[64];
    int n = 0, offered = 0;
    snprintf(name, sizeof name, "%.*s", (int)strcspn(word + 2, "="), word + 2);
    jl_nearest near = jl_nearest_to(name);
    text[0] = '\0';
    for (const struct poptOption *o = a->table; o->longName != NULL; o++) {
        jl_nearest_offer(&near, o->longName);
        bool begins = strlen(name) > 1 && strncmp(o->longName, name, strlen(name)) == 0;
        if (begins && offered < OFFERED_MOST)
            n += snprintf(text + n, OFFER_BYTES - (size_t)n, "%s--%s",
                          offered++ == 0 ? "; was it " : " or ", o->longName);
    }
    if (offered == 0 && near.found != NULL)
        n = snprintf(text, OFFER_BYTES, "; was it --%s", near.found);
    if (n > 0) snprintf(text + n, OFFER_BYTES - (size_t)n, "?");
}

static int fail_option(const args *a, int val) {
    char offer[OFFER_BYTES] = "";
    const char *word = poptBadOption(a->context, POPT_BADOPTION_NOALIAS);
    if (val == POPT_ERROR_BADOPT && strncmp(word, "--", 2) == 0) write_offer(a, word, offer);
    if (val == POPT_ERROR_BADOPT && a->of_wash != NULL && offer[0] == '\0')
        return refuse("%s: not for a wash; '%s %s --help' lists the options", word, a->argv[0],
                      a->of_wash);
    return refuse("%s: %s%s '%s --help' lists the options", word, poptStrerror(val),
                  offer[0] == '\0' ? ";" : offer, a->argv[0]);
}

static void (*above_help)(void);

void help_begins_with(void (*print)(void)) {
    above_help = print;
}

static void print_help(poptContext context) {
    if (above_help != NULL) above_help();
    poptPrintHelp(context, stdout, 0);
}

/* The options that every command has. */
enum { WHY, QUIET, VERSION, HELP, COMMON_OPTIONS };

static const struct poptOption COMMON[COMMON_OPTIONS] = {
    [WHY] = FLAG("why", NULL, "all assumptions, notes and cautions below the answer, in full"),
    [QUIET] = FLAG("quiet", NULL, "the answer with its warnings alone"),
    [VERSION] = FLAG("version", NULL, "the version"),
    [HELP] = FLAG("help", NULL, "this help"),
};

/* A copy of the table with keys in the place of their mark, numbered; what all have behind. */
static void number_options(args *a, const struct poptOption *table) {
    size_t room = (size_t)count_options(table) * (JL_KEYS + 1) + COMMON_OPTIONS + 1;
    a->table = need(calloc(room, sizeof *a->table));
    a->own_help = need(calloc(room, sizeof *a->own_help));
    a->given = need(calloc(room, sizeof *a->given));
    a->first = need(calloc(room, sizeof *a->first));
    int count = 0;
    for (; table->longName != NULL; table++) {
        bool keys = table->argInfo == KEYS_OF_TABLE || table->argInfo == KEY_OF_TABLE;
        int added = keys ? add_keys(table, a->table + count) : 1;
        if (!keys) a->table[count] = *table;
        for (int i = count; i < count + added; i++) a->own_help[i] = keys;
        count += added;
    }
    for (int i = 0; i < COMMON_OPTIONS; i++) a->table[count++] = COMMON[i];
    for (int i = 0; i < count; i++) {
        a->table[i].val = i + 1;
        a->table[i].shortName = short_name(a->table[i].longName);
    }
}

static void end(args *a, int exit_status) {
    a->exit_status = exit_status;
    a->ended = true;
}

/* All that was wanted has been printed. */
static void end_well(args *a) {
    end(a, close_output(EXIT_DONE));
}

/* ---- words that a space took apart ---- */

/* "250"; of an amount its last figure, as in "2L@71". */
static bool is_number_alone(const char *word) {
    const char *at = strrchr(word, '@');
    if (at != NULL) word = at + 1;
    size_t sign = *word == '-' || *word == '+' ? 1 : 0,
           length = strspn(word + sign, "0123456789.,");
    return length > 0 && word[sign + length] == '\0' && jl_is_digit(word[sign + length - 1]);
}

/* "ml", "%", or in front of a strength, "l@71%". */
static bool is_unit_alone(const char *word) {
    char name[16];
    size_t length = strcspn(word, "@");
    if (length == 0 || length >= sizeof name) return false;
    snprintf(name, sizeof name, "%.*s", (int)length, word);
    return jl_is_unit(name);
}

/* "24.10.2026" and "9:02", a time and "pm". */
static bool is_moment(const char *word, const char *next) {
    char both[64];
    jl_written_time w;
    bool half_day = jl_same_letters(next, "am") || jl_same_letters(next, "pm");
    bool date = jl_written_time_read(word, strlen(word), &w) == JL_OK && w.has_date && !w.has_clock;
    int length = snprintf(both, sizeof both, "%s %s", word, next);
    return (half_day || date) && (size_t)length < sizeof both &&
           jl_written_time_read(both, (size_t)length, &w) == JL_OK && w.has_clock;
}

/* "250 ml", "24.10.2026 9:02": one word for whoever types it without quotes. */
static bool is_one_word(const char *word, const char *next) {
    return (is_number_alone(word) && is_unit_alone(next)) || is_moment(word, next);
}

/* Copies, guarded, from the last one: "9 pm" is one before the date in front of it is looked at. */
static void take_words(args *a, int argc, const char **argv) {
    char **words = need(calloc((size_t)argc + 1, sizeof *words));
    int first = argc;
    for (int i = argc - 1; i >= 0; i--) {
        char *both = NULL;
        bool one = i > 0 && first < argc && is_one_word(argv[i], words[first]);
        if (one && asprintf(&both, "%s %s", argv[i], words[first]) < 0) need(NULL);
        if (one) free(words[first++]);
        words[--first] = one ? both : need(strdup(argv[i]));
    }
    a->argc = argc - first;
    a->argv = need(calloc((size_t)a->argc + 1, sizeof *a->argv));
    for (int i = 0; i < a->argc; i++) {
        a->argv[i] = guarded(words[first + i]);
        free(words[first + i]);
    }
    free(words);
}

bool args_begin(args *a, int argc, const char **argv, const struct poptOption *table,
                const char *usage, const char *about) {
    char line[1024];
    *a = (args){.exit_status = EXIT_DONE};
    number_options(a, table);
    take_words(a, argc, argv);
    free((char *)a->argv[0]);
    snprintf(line, sizeof line, "jarline %s", argv[0]);
    a->argv[0] = need(strdup(line)); /* the name that --help shows */
    a->context = need(poptGetContext("jarline", a->argc, a->argv, a->table, 0));
    snprintf(line, sizeof line, "%s\n\n%s\n", usage, about);
    poptSetOtherOptionHelp(a->context, line);
    if (completing()) {
        complete_command(a->table, usage);
        end_well(a);
    }
    return true;
}

/* An option that every command has: they stand last. */
static const struct poptOption *take_common(args *a, int val) {
    int which = val - 1 - (count_options(a->table) - COMMON_OPTIONS);
    if (which == WHY) show_why();
    if (which == QUIET) show_quiet();
    if (which == WHY || which == QUIET) return args_next(a);
    if (which == VERSION) puts("jarline " JARLINE_VERSION);
    if (which == HELP) print_help(a->context);
    end_well(a);
    return NULL;
}

const struct poptOption *args_next(args *a) {
    if (a->ended) return NULL;
    int val = poptGetNextOpt(a->context);
    if (val < -1) {
        end(a, fail_option(a, val));
        return NULL;
    }
    if (val < 0) return NULL;
    struct poptOption *option = &a->table[val - 1];
    if (option->arg == NULL) return take_common(a, val);
    if (option->argInfo == POPT_ARG_STRING) unguard(*(char **)option->arg);
    return option;
}

bool args_finish(args *a) {
    if (a->ended) return false;
    a->words = poptGetArgs(a->context);
    static const char *nothing[] = {NULL};
    if (a->words == NULL) a->words = nothing;
    for (; a->words[a->count] != NULL; a->count++) unguard((char *)a->words[a->count]);
    return true;
}

bool args_once(args *a, const struct poptOption *option) {
    size_t place = (size_t)(option - a->table);
    if (a->given[place] > 0) {
        free(a->first[place]); /* popt has put the second text over it */
        end(a, refuse("--%s stands twice; expected once", option->longName));
        return false;
    }
    a->given[place] = ++a->count_given;
    if (option->argInfo == POPT_ARG_STRING) a->first[place] = *(char **)option->arg;
    return true;
}

bool args_later(const args *a, const void *place, const void *other) {
    size_t first = 0, second = 0;
    for (const struct poptOption *o = a->table; o->longName != NULL; o++) {
        if (o->arg == place) first = a->given[o - a->table];
        if (o->arg == other) second = a->given[o - a->table];
    }
    return second > 0 && first > second;
}

bool args_read(args *a, int argc, const char **argv, const struct poptOption *table,
               const char *usage, const char *about) {
    args_begin(a, argc, argv, table, usage, about);
    return args_take(a);
}

bool args_take(args *a) {
    const struct poptOption *option;
    while ((option = args_next(a)) != NULL)
        if (!args_once(a, option)) return false;
    return args_finish(a);
}

int fail_count(const args *a, size_t wanted, const char *expected) {
    if (a->count <= wanted) return refuse("expected %s", expected);
    return refuse("'%s' is one argument too many; expected %s", a->words[wanted], expected);
}

int args_close(args *a) {
    poptFreeContext(a->context);
    for (struct poptOption *o = a->table; o->longName != NULL; o++) {
        if (o->argInfo == POPT_ARG_STRING) {
            free(*(char **)o->arg);
            *(char **)o->arg = NULL;
        }
        if (a->own_help[o - a->table]) free((char *)o->descrip);
    }
    for (int i = 0; i < a->argc; i++) free((char *)a->argv[i]);
    free(a->argv);
    free(a->given);
    free(a->own_help);
    free(a->first);
    free(a->table);
    return a->exit_status;
}

/* What a quantity of a kind can be at all. */
static const char *const RANGES[] = {
    [JL_VOLUME] = "0 or more",
    [JL_MASS] = "0 or more",
    [JL_STRENGTH] = "0 to 100 %, or 0 to 200 proof",
    [JL_TEMPERATURE] = "a temperature above absolute zero",
    [JL_POWER] = "0 or more",
    [JL_DURATION] = "0 or more",
    [JL_PRESSURE] = "0 or more",
    [JL_ALTITUDE] = "-300 to 4150 m",
    [JL_SHARE] = "0 to 100 %",
    [JL_NUMBER] = NULL,
    [JL_HEAT] = "0 or more",
};

int arg_quantity(const char *name, const char *text, jl_kind kind, jl_quantity *quantity) {
    jl_status status = jl_quantity_read(text, kind, quantity);
    if (status == JL_OK) return EXIT_DONE;
    if (status == JL_AMBIGUOUS) return fail_argument(name, text, status, jl_unambiguous_expected);
    if (status != JL_RANGE || RANGES[kind] == NULL)
        return fail_argument(name, text, status, jl_quantity_forms(kind));
    return refuse("%s '%s': %s; expected %s, as %s", name, text, jl_status_text(status),
                  RANGES[kind], jl_quantity_forms(kind));
}

int arg_value(const char *name, const char *text, jl_kind kind, double *value) {
    jl_quantity quantity;
    if (text == NULL) return EXIT_DONE;
    int exit_status = arg_quantity(name, text, kind, &quantity);
    if (exit_status == EXIT_DONE) *value = quantity.value;
    return exit_status;
}

int arg_above_zero(const char *name, const char *text, jl_kind kind, const char *expected,
                   double *value) {
    int bad = arg_value(name, text, kind, value);
    if (bad != EXIT_DONE || text == NULL || *value > 0) return bad;
    return fail_argument(name, text, JL_RANGE, expected);
}

int arg_whole(const char *name, const char *text, double least, double most, double *number) {
    char expected[64];
    int bad = arg_value(name, text, JL_NUMBER, number);
    if (bad != EXIT_DONE || text == NULL) return bad;
    if (*number >= least && *number <= most && *number == floor(*number)) return EXIT_DONE;
    snprintf(expected, sizeof expected, "a whole number from %.0f to %.0f", least, most);
    return fail_argument(name, text, JL_RANGE, expected);
}

int arg_solids(const char *text, double *solids_g_100ml) {
    char mass[32];
    jl_quantity grams;
    const char *slash = text == NULL ? NULL : strchr(text, '/');
    if (text == NULL) return EXIT_DONE;
    snprintf(mass, sizeof mass, "%.*s", slash == NULL ? 0 : (int)(slash - text), text);
    bool in_litre = slash != NULL && jl_same_letters(slash, "/L");
    if (slash == NULL || !(in_litre || jl_same_letters(slash, "/100mL")) ||
        jl_quantity_read(mass, JL_MASS, &grams) != JL_OK)
        return fail_argument("--solids", text, JL_FORM, "g in 100 mL, as 0.5g/100mL");
    *solids_g_100ml = (in_litre ? 100 : 1000) * grams.value;
    return EXIT_DONE;
}

int arg_strength(const char *name, const char *text, double *mass_fraction) {
    jl_quantity strength;
    int exit_status = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (exit_status != EXIT_DONE) return exit_status;
    jl_status status = jl_strength_to_mass_fraction(strength, mass_fraction);
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(name, text, status, jl_quantity_forms(JL_STRENGTH));
}

int arg_target(const char *text, double *mass_fraction) {
    int bad = arg_strength("--to", text, mass_fraction);
    if (bad != EXIT_DONE || *mass_fraction > 0) return bad;
    return fail_argument("--to", text, JL_RANGE, "a strength above 0, as 40%");
}
