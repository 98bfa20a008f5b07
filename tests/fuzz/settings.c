/* Any bytes as a bench file, of which one key is then set: it can be read as before, the key is what it
 * was set to, every other line is the one that it was; or nothing has changed. The first byte chooses
 * the key.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/settings.h"
#include "log/settings_file.h"
#include "scratch.h"

#include <strings.h>

enum { BYTES_MOST = 1 << 14 };

static const jl_settings_change CHANGES[] = {
    {NULL, "power_w", "1750", NULL},
    {NULL, "altitude_m", "650", NULL},
    {NULL, "alcoholometer_division_pct", "", NULL},
    {"Pot", "stages", "2", NULL},
    {"Pot", "reflux", "", NULL},
    {"a;b, \"c\"", "jar_ml", "250", NULL},
};

static bool read_all(const char *bytes, size_t size, jl_facts **facts) {
    int fd = given_bytes(bytes, size);
    jl_settings s;
    bool good = jl_facts_read(fd, facts, NULL) == JL_OK;
    close(fd);
    if (!good) return false;
    jl_settings_begin(&s);
    if (jl_settings_take_sections(&s, *facts, JL_IN_SETTINGS, NULL, NULL, NULL, NULL) == JL_OK)
        return true;
    jl_facts_free(*facts);
    return false;
}

/* In the section of the change, or before the first. */
static const jl_fact *stands(const jl_facts *facts, const jl_settings_change *change) {
    const jl_fact *fact, *found = NULL;
    bool within = change->still == NULL;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        if (strcmp(fact->key, "still") == 0)
            within = change->still != NULL && strcasecmp(fact->text, change->still) == 0;
        else if (within && strcmp(fact->key, change->key) == 0)
            found = fact;
    }
    return found;
}

/* Lines that both have in the same order; what is left of a is what went. */
static size_t lines_gone(const char *a, size_t na, const char *b, size_t nb) {
    size_t gone = 0, at = 0;
    while (na > 0) {
        const char *end = memchr(a, '\n', na);
        size_t line = end == NULL ? na : (size_t)(end - a) + 1, from = at;
        while (from < nb && !(nb - from >= line && (from == 0 || b[from - 1] == '\n') &&
                              memcmp(b + from, a, line) == 0))
            from++;
        if (from < nb)
            at = from + line;
        else
            gone++;
        a += line;
        na -= line;
    }
    return gone;
}

/* How much of a key does not depend on its unit: power_w and power_kw are one. */
static size_t stem_of(const char *key) {
    const char *unit = strrchr(key, '_');
    return unit == NULL ? strlen(key) + 1 : (size_t)(unit - key) + 1;
}

static void change_holds(const jl_settings_change *change, const char *before, size_t size,
                         const char *after, size_t length) {
    jl_facts *facts, *had;
    HOLDS(read_all(after, length, &facts));
    const jl_fact *fact = stands(facts, change);
    HOLDS(change->value[0] == '\0' ? fact == NULL
                                   : fact != NULL && strcmp(fact->text, change->value) == 0);
    jl_facts_free(facts);
    size_t stood = 0, stem = stem_of(change->key);
    if (!read_all(before, size, &had)) return; /* the change has mended it */
    for (size_t i = 0; jl_facts_at(had, i) != NULL; i++)
        stood += strncmp(jl_facts_at(had, i)->key, change->key, stem) == 0;
    jl_facts_free(had);
    HOLDS(lines_gone(before, size, after, length) <= stood + 1);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static char after[2 * BYTES_MOST];
    char path[128];
    jl_fault fault;
    jl_trouble trouble;
    if (size < 1 || size > BYTES_MOST) return 0;
    const jl_settings_change *change = &CHANGES[data[0] % (sizeof CHANGES / sizeof CHANGES[0])];
    const char *before = (const char *)data + 1;
    scratch_path("bench.csv", path);
    scratch_put("bench.csv", before, size - 1);
    jl_status status = jl_settings_file_change(path, change, 1, &fault, &trouble);
    size_t length = scratch_get("bench.csv", after, sizeof after);
    HOLDS(length < sizeof after);
    if (status == JL_OK)
        change_holds(change, before, size - 1, after, length);
    else
        HOLDS(length == size - 1 && memcmp(after, before, length) == 0);
    scratch_clear();
    return 0;
}
