/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/complete.h"
#include "answer/say.h"
#include "book/book_file.h"
#include "checks.h"
#include "input/file_kind.h"
#include "keys/keys.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The words typed, and the beginning of the last one that stands before what is completed of it:
 * "--bench=", "october.csv:". */
static struct {
    const char *const *words;
    size_t count;
    size_t begin;
} typed;

void complete_begin(const char *const *words, size_t count) {
    typed.words = words;
    typed.count = count;
}

bool completing(void) {
    return typed.count > 0;
}

static const char *last_word(void) {
    return typed.words[typed.count - 1] + typed.begin;
}

void complete_offer(const char *word, const char *about) {
    const char *last = last_word();
    if (strncmp(word, last, strlen(last)) != 0) return;
    printf("%.*s%s", (int)typed.begin, typed.words[typed.count - 1], word);
    if (about != NULL) printf("\t%s", about);
    putchar('\n');
}

static void offer_with(const char *word, char sign, const char *about) {
    char text[PATH_MAX + 260];
    snprintf(text, sizeof text, "%s%c", word, sign);
    complete_offer(text, about);
}

/* ---- Files ---- */

/* Which ones, each FILE_... a bit. */
enum {
    ANY_FILE = 0,
    RUN_LOGS = 1 << FILE_RUN,
    WASH_LOGS = 1 << FILE_WASH,
    BOOKS = 1 << FILE_BOOK,
    SETTINGS_FILES = 1 << FILE_SETTINGS
};

static int compare_names(const void *a, const void *b) {
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* Names in a folder that may begin so, in order; hidden ones only where the dot is typed. */
static char **names_in(const char *folder, const char *begins, size_t *count) {
    char **names = NULL;
    size_t room = 0;
    struct dirent *entry;
    DIR *open = opendir(folder);
    *count = 0;
    while (open != NULL && (entry = readdir(open)) != NULL) {
        if (strncmp(entry->d_name, begins, strlen(begins)) != 0) continue;
        if (entry->d_name[0] == '.' && begins[0] != '.') continue;
        if (strchr(entry->d_name, '\n') != NULL) continue;
        need_room(&names, *count, &room, sizeof *names);
        names[(*count)++] = need(strdup(entry->d_name));
    }
    if (open != NULL) closedir(open);
    if (*count > 0) qsort(names, *count, sizeof *names, compare_names);
    return names;
}

/* colons: the kinds behind which a colon stands, for a part. */
static void offer_file(const char *path, const char *shown, unsigned kinds, unsigned colons) {
    struct stat about;
    if (stat(path, &about) != 0) return;
    unsigned kind = S_ISDIR(about.st_mode) || kinds == ANY_FILE ? 0 : 1U << file_kind_of(path);
    if (S_ISDIR(about.st_mode))
        offer_with(shown, '/', NULL);
    else if (kinds == ANY_FILE || (kinds & kind) != 0)
        offer_with(shown, (colons & kind) != 0 ? ':' : '\0', NULL);
}

static void offer_files(unsigned kinds, unsigned colons) {
    const char *last = last_word(), *slash = strrchr(last, '/');
    const char *home = strncmp(last, "~/", 2) == 0 ? getenv("HOME") : NULL;
    int length = slash == NULL ? 0 : (int)(slash + 1 - last);
    char folder[PATH_MAX], path[PATH_MAX + 256], shown[PATH_MAX + 256];
    size_t count;
    snprintf(folder, sizeof folder, "%s%.*s", home == NULL ? "" : home,
             home == NULL ? length : length - 1, home == NULL ? last : last + 1);
    char **names = names_in(length == 0 ? "." : folder, last + length, &count);
    for (size_t i = 0; i < count; i++) {
        snprintf(path, sizeof path, "%s%s", folder, names[i]);
        snprintf(shown, sizeof shown, "%.*s%s", length, last, names[i]);
        offer_file(path, shown, kinds, colons);
        free(names[i]);
    }
    free(names);
}

/* ---- Words that files and tables have ---- */

static void offer_fractions(void) {
    for (jl_fraction f = JL_UNDECIDED; f <= JL_TAILS; f++)
        complete_offer(jl_fraction_name(f), NULL);
}

static void offer_of_book(const char *path, bool lots) {
    jl_book_file *book;
    size_t count;
    int fd = open_to_read(path);
    if (fd < 0) return;
    if (jl_book_read(fd, &book, NULL) == JL_OK) {
        const jl_book_lot *lot = jl_book_lots(jl_book_in(book), &count);
        for (size_t i = 0; lots && i < count; i++) complete_offer(lot[i].name, lot[i].kind);
        const jl_book_vessel *all = jl_book_vessels(jl_book_in(book), &count);
        for (size_t i = 0; !lots && i < count; i++)
            if (!all[i].retired) complete_offer(all[i].name, all[i].kind);
        jl_book_close(book);
    }
    close(fd);
}

static void offer_vessels(const char *path) {
    offer_of_book(path, false);
}

/* Behind "house.csv:" and "house.csv:lot:". */
static void offer_lots(void) {
    const char *last = last_word(), *lot = strstr(last, ":lot:");
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%.*s", (int)(lot == NULL ? 0 : lot - last), last);
    typed.begin += (size_t)((lot == NULL ? strrchr(last, ':') + 1 : lot + 5) - last);
    if (lot == NULL)
        complete_offer("lot:", NULL);
    else
        offer_of_book(path, true);
}

/* Amounts are written, or parts of files: "october.csv:hearts". */
static void offer_amounts(void) {
    const char *last = last_word(), *colon = strrchr(last, ':');
    char path[PATH_MAX];
    if (colon == NULL) {
        offer_files(RUN_LOGS | BOOKS, RUN_LOGS | BOOKS);
        return;
    }
    snprintf(path, sizeof path, "%.*s", (int)(colon - last), last);
    typed.begin += (size_t)(colon + 1 - last);
    file_kind kind = file_kind_of(path);
    if (kind == FILE_RUN) offer_fractions();
    if (kind == FILE_BOOK) offer_vessels(path);
}

static void offer_tables(void) {
    for (size_t i = 0; i < CHECKS_COUNT; i++)
        if (i == 0 || strcmp(CHECKS[i].file, CHECKS[i - 1].file) != 0)
            complete_offer(CHECKS[i].file, NULL);
}

static void offer_keys(void) {
    for (size_t id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & JL_IN_SETTINGS) != 0 && jl_keys[id].form != JL_AS_ROW)
            offer_with(jl_keys[id].name, '=', jl_keys[id].help);
}

static void offer_entries(void) {
    for (jl_book_what what = 0; what < JL_BOOK_WHATS; what++)
        complete_offer(jl_book_word(what), NULL);
}

/* ---- What a command takes ---- */

/* The option of a word, "--jar-size", "--jar-size=1L" or "-o"; NULL: it is none. */
static const struct poptOption *option_of(const struct poptOption *options, const char *word) {
    size_t length = strcspn(word, "=");
    for (const struct poptOption *o = options; o->longName != NULL; o++) {
        if (word[0] != '-') continue;
        if (o->shortName != '\0' && word[1] == o->shortName && word[2] == '\0') return o;
        if (length > 2 && word[1] == '-' && strlen(o->longName) == length - 2 &&
            strncmp(o->longName, word + 2, length - 2) == 0)
            return o;
    }
    return NULL;
}

static bool takes_value(const struct poptOption *option) {
    return option != NULL && option->argInfo == POPT_ARG_STRING;
}

/* Whether the word at a place is the value of the option before it. */
static bool is_value(const struct poptOption *options, size_t at) {
    const char *before = at == 0 ? "" : typed.words[at - 1];
    return strchr(before, '=') == NULL && takes_value(option_of(options, before));
}

/* The words before the last one that are neither options nor their values: how many, and the first
 * two. */
static size_t arguments_before(const struct poptOption *options, const char *first[2]) {
    size_t count = 0;
    first[0] = first[1] = "";
    for (size_t i = 1; i + 1 < typed.count; i++) {
        if (typed.words[i][0] == '-' || is_value(options, i)) continue;
        if (count < 2) first[count] = typed.words[i];
        count++;
    }
    return count;
}

/* What stands for others is in capitals of two letters or more: VOLUME. */
static bool stands_for_others(const char *word) {
    size_t capitals = strspn(word, "ABCDEFGHIJKLMNOPQRSTUVWXYZ-=_.,@%");
    return capitals > 1 && word[capitals] == '\0';
}

/* The files of a name in capitals; 0: it is none of a file. */
static unsigned files_named(const char *what) {
    static const struct {
        const char *what;
        unsigned kinds;
    } FILES[] = {{"RUN.csv", RUN_LOGS},
                 {"WASH.csv", WASH_LOGS},
                 {"BOOK.csv", BOOKS},
                 {"FILE", SETTINGS_FILES}};
    for (size_t i = 0; i < sizeof FILES / sizeof FILES[0]; i++)
        if (strcmp(what, FILES[i].what) == 0) return FILES[i].kinds;
    return 0;
}

static void offer_named(const char *what, const char *book) {
    static const struct {
        const char *what;
        void (*offer)(void);
    } WORDS[] = {{"AMOUNT", offer_amounts},     {"CHARGE", offer_amounts},
                 {"FRACTION", offer_fractions}, {"TABLE", offer_tables},
                 {"KEY=VALUE", offer_keys},     {"ENTRY", offer_entries}};
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++)
        if (strcmp(what, WORDS[i].what) == 0) WORDS[i].offer();
    if (strcmp(what, "VESSEL") == 0) offer_vessels(book);
}

/* One of several choices. Returns which files it stands for; *colons: those of them that have a part. */
static unsigned offer_choice(const char *one, const char *choices, const char *book,
                             unsigned *colons) {
    unsigned kinds = files_named(one);
    if (strstr(one, ".csv:lot:") != NULL) {
        *colons |= BOOKS;
        return BOOKS;
    }
    if (stands_for_others(one))
        offer_named(one, book);
    else if (strchr(choices, '|') != NULL && kinds == 0)
        complete_offer(one, NULL);
    return kinds;
}

/* "a4|letter": each of them, or what it stands for. */
static void offer_choices(const char *choices, const char *book) {
    char text[512], *behind = NULL;
    unsigned kinds = 0, colons = 0;
    snprintf(text, sizeof text, "%s", choices);
    for (char *one = strtok_r(text, "|", &behind); one != NULL; one = strtok_r(NULL, "|", &behind))
        kinds |= offer_choice(one, choices, book, &colons);
    if (colons != 0 && strchr(last_word(), ':') != NULL)
        offer_lots();
    else if (kinds != 0)
        offer_files(kinds, colons);
}

static void offer_value(const struct poptOption *option, const char *book) {
    if (strcmp(option->longName, "output") == 0)
        offer_files(ANY_FILE, 0);
    else
        offer_choices(option->argDescrip, book);
}

static void offer_options(const struct poptOption *options) {
    char name[80], simple[256];
    for (const struct poptOption *o = options; o->longName != NULL; o++) {
        snprintf(name, sizeof name, "--%s%s", o->longName, takes_value(o) ? "=" : "");
        complete_offer(name, on_screen(o->descrip, simple, sizeof simple));
    }
}

/* The argument that usage has at a place: the last one again where it may repeat. "" : none. */
static void usage_at(const char *usage, size_t place, char *text, size_t size) {
    const char *last = "";
    int length = 0;
    while (*usage != '\0') {
        usage += strspn(usage, " []");
        size_t word = strcspn(usage, " []");
        bool repeats = strncmp(usage, "...", 3) == 0;
        if (word == 0 || usage[0] == '-' || usage[0] == '|') break;
        if (!repeats) {
            const char *dots = memmem(usage, word, "...", 3);
            last = usage;
            length = dots == NULL ? (int)word : (int)(dots - usage);
            repeats = dots != NULL;
        }
        if (repeats || place-- == 0) {
            snprintf(text, size, "%.*s", length, last);
            return;
        }
        usage += word;
    }
    text[0] = '\0';
}

/* Behind "book house.csv moved" stand vessels, and behind "collected" a run's jars. */
static void offer_of_entry(const char *book, const char *entry) {
    jl_book_what what;
    if (jl_book_what_read(entry, &what) == JL_OK && what == JL_BOOK_COLLECTED)
        offer_amounts();
    else
        offer_vessels(book);
}

static void offer_arguments(const struct poptOption *options, const char *usage) {
    char what[256];
    const char *first[2];
    size_t place = arguments_before(options, first);
    usage_at(usage, place, what, sizeof what);
    if (strcmp(what, "ENTRY") == 0 && place > 1)
        offer_of_entry(first[0], first[1]);
    else
        offer_choices(what, first[0]);
}

void complete_command(const struct poptOption *options, const char *usage) {
    const char *last = last_word(), *first[2];
    const struct poptOption *option = option_of(options, last);
    arguments_before(options, first);
    if (is_value(options, typed.count - 1)) {
        offer_value(option_of(options, typed.words[typed.count - 2]), first[0]);
    } else if (last[0] == '-' && last[1] == '-' && strchr(last, '=') != NULL) {
        typed.begin = strcspn(last, "=") + 1;
        if (takes_value(option)) offer_value(option, first[0]);
    } else if (last[0] == '-') {
        offer_options(options);
    } else {
        offer_arguments(options, usage);
    }
}
