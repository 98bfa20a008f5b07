/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/bench.h"
#include "answer/keep.h"
#include "answer/say.h"
#include "input/file_kind.h"
#include "learn/learnt.h"
#include "text/letters.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Paths and names, for as long as the process lives: settings point to them. */
static keep kept;

/* ---- Where the bench file is ---- */

static const char *joined(const char *folder, size_t length, const char *name) {
    char *path = keep_room(&kept, length + strlen(name) + 1);
    memcpy(path, folder, length);
    strcpy(path + length, name);
    return path;
}

/* A folder of the user's settings counts only by an absolute path (XDG Base Directory). */
static const char *path_in_home(void) {
    const char *config = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME");
    if (config != NULL && config[0] == '/')
        return joined(config, strlen(config), "/jarline/bench.csv");
    if (home == NULL || home[0] != '/') return NULL;
    return joined(home, strlen(home), "/.config/jarline/bench.csv");
}

static const char *path_beside(const char *log) {
    const char *slash = log == NULL ? NULL : strrchr(log, '/');
    return joined(slash == NULL ? "" : log, slash == NULL ? 0 : (size_t)(slash + 1 - log),
                  "bench.csv");
}

/* What cannot be looked at is there: reading it says why it cannot be read. */
static bool is_there(const char *path) {
    return path != NULL && (access(path, F_OK) == 0 || (errno != ENOENT && errno != ENOTDIR));
}

static const char *named(const char *option) {
    const char *environment = getenv("JARLINE_BENCH");
    if (option != NULL || environment == NULL || environment[0] == '\0') return option;
    return environment;
}

const char *bench_path(const char *option, const char *log) {
    const char *stated = named(option), *beside, *home;
    if (stated != NULL) return keep_text(&kept, stated);
    beside = path_beside(log);
    if (is_there(beside)) return beside;
    home = path_in_home();
    return is_there(home) ? home : NULL;
}

const char *bench_place(const char *option) {
    const char *stated = named(option);
    return stated != NULL ? keep_text(&kept, stated) : path_in_home();
}

/* ---- Reading ---- */

/* The key that a misspelt one was meant to be, or NULL. */
static const char *nearest_key(const char *name, unsigned where) {
    jl_nearest near = jl_nearest_to(name);
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & where) != 0) jl_nearest_offer(&near, jl_keys[id].name);
    return near.found;
}

/* Whether two keys have their first word in common, or the last, which is the unit. */
static bool is_akin(const char *a, const char *b) {
    size_t first = strcspn(a, "_");
    const char *unit_a = strrchr(a, '_'), *unit_b = strrchr(b, '_');
    if (strncmp(a, b, first) == 0 && (b[first] == '_' || b[first] == '\0')) return true;
    return unit_a != NULL && unit_b != NULL && strcmp(unit_a, unit_b) == 0;
}

void list_akin_keys(const char *name, unsigned where, char *text, size_t size) {
    const char *near = nearest_key(name, where);
    size_t n = 0;
    snprintf(text, size, "%s", near == NULL ? "" : near);
    for (jl_key_id id = 0; near == NULL && id < JL_KEYS; id++)
        if ((jl_keys[id].where & where) != 0 && is_akin(name, jl_keys[id].name) && n < size)
            n += (size_t)snprintf(text + n, size - n, "%s%s", n > 0 ? ", " : "", jl_keys[id].name);
}

/* The keys that a file may have, in words. */
static void list_keys(unsigned where, char *text, size_t size) {
    size_t n = 0;
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & where) != 0 && id != JL_KEY_JARLINE && n < size)
            n += (size_t)snprintf(text + n, size - n, "%s%s", n > 0 ? ", " : "", jl_keys[id].name);
}

static int fail_key(const char *file, const jl_fault *fault, unsigned where) {
    char expected[2000];
    jl_fault known = *fault;
    const char *near = nearest_key(fault->cell, where);
    if (near != NULL)
        snprintf(expected, sizeof expected, "a key that jarline-bench(5) lists; was it %s?", near);
    else
        list_keys(where, expected, sizeof expected);
    known.expected = expected;
    return fail_fault(file, &known);
}

/* The stills of a file, in words. */
static void list_stills(const jl_facts *facts, char *text, size_t size) {
    const jl_fact *still;
    size_t n = 0;
    text[0] = '\0';
    for (size_t i = 0; (still = jl_still_section(facts, i)) != NULL && n < size; i++)
        n += (size_t)snprintf(text + n, size - n, "%s%s", i > 0 ? ", " : "", still->text);
}

static int pick(const settings_file *file, const jl_facts *facts, const jl_fact **still) {
    char names[400];
    jl_status status = jl_still_named(facts, file->still, still);
    if (status == JL_OK || file->optional) return 0;
    list_stills(facts, names, sizeof names);
    if (status == JL_NO)
        return refuse("--still-name '%s': %s has no such still; expected %s", file->still,
                      file->name, names[0] == '\0' ? "no --still-name" : names);
    return refuse("%s has several stills; expected --still-name and one of %s", file->name, names);
}

/* The file's head and one of its sections are two sources, with one name for the eye. */
static int take(const settings_file *file, const jl_facts *facts, const jl_fact *still,
                jl_settings *s) {
    jl_fault fault = {0};
    const char *name = keep_text(&kept, file->name), *section = name;
    if (still != NULL) {
        char *text = keep_room(&kept, strlen(name) + strlen(still->text) + 16);
        sprintf(text, "%s, still %s", name, still->text);
        section = text;
    }
    jl_status status =
        jl_settings_take_sections(s, facts, file->where, still, name, section, &fault);
    if (status == JL_OK) return 0;
    return fault.expected == NULL && status == JL_FORM ? fail_key(file->name, &fault, file->where)
                                                       : fail_fault(file->name, &fault);
}

static int take_learnt(const settings_file *file, const jl_facts *facts, const jl_fact *still) {
    jl_fault fault;
    jl_status status = jl_learnt_read_section(facts, still, file->learnt, &fault);
    return status == JL_OK || status == JL_MISSING ? 0 : fail_fault(file->name, &fault);
}

/* The settings files of this call, which no output of it may replace. */
typedef struct read_file {
    struct read_file *before;
    struct stat about;
} read_file;

static read_file *last_read;

static void remember(int fd) {
    read_file *file = keep_room(&kept, sizeof *file);
    file->before = last_read;
    if (fstat(fd, &file->about) == 0) last_read = file;
}

bool settings_file_was_read(const char *path) {
    struct stat about;
    const read_file *file = stat(path, &about) == 0 ? last_read : NULL;
    while (file != NULL &&
           (file->about.st_dev != about.st_dev || file->about.st_ino != about.st_ino))
        file = file->before;
    return file != NULL;
}

int settings_file_facts(const char *name, jl_facts **facts) {
    jl_fault fault = {0};
    int fd = open_to_read(name);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", name, strerror(errno));
    remember(fd);
    jl_status status = jl_facts_read(fd, facts, &fault);
    close(fd);
    return status == JL_OK ? 0 : fail_fault(name, &fault);
}

int settings_file_text(const char *name, const char *key, const char **text) {
    jl_facts *facts;
    int bad = settings_file_facts(name, &facts);
    if (bad != 0) return bad;
    const char *stated = jl_facts_text(facts, key);
    if (stated != NULL) *text = keep_text(&kept, stated);
    jl_facts_free(facts);
    return 0;
}

int settings_file_read(const settings_file *file, unsigned wanted, jl_settings *s,
                       const char **still) {
    static jl_settings stated;
    jl_facts *facts;
    const jl_fact *section = NULL;
    int bad = settings_file_facts(file->name, &facts);
    if (bad != 0) return bad;
    jl_settings_begin(&stated);
    if ((wanted & JL_IN_STILL) != 0) bad = pick(file, facts, &section);
    if (bad == 0) bad = take(file, facts, section, &stated);
    if (bad == 0 && file->learnt != NULL) bad = take_learnt(file, facts, section);
    if (bad == 0) jl_settings_over(s, &stated, wanted);
    if (bad == 0 && section != NULL) *still = keep_text(&kept, section->text);
    jl_facts_free(facts);
    return bad;
}
