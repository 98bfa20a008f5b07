/* Checks of a JSON answer: PATH OPERATOR VALUE.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "case.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One step of a path: ".key" or "[3]" or "[-1]". NULL when there is no such thing. */
static const json_t *step(const json_t *from, const char **path) {
    const char *at = *path;
    if (*at == '.') {
        size_t length = strcspn(++at, ".[");
        *path = at + length;
        return length == 0 ? from : json_object_getn(from, at, length);
    }
    char *end;
    long index = strtol(at + 1, &end, 10);
    *path = *end == ']' ? end + 1 : end + strlen(end);
    if (index < 0) index += (long)json_array_size(from);
    return index < 0 ? NULL : json_array_get(from, (size_t)index);
}

static const json_t *find(const json_t *root, const char *path) {
    while (root != NULL && *path != '\0') root = step(root, &path);
    return root;
}

static bool has_text(const json_t *value, const char *text) {
    if (json_is_string(value)) return strstr(json_string_value(value), text) != NULL;
    for (size_t i = 0; i < json_array_size(value); i++)
        if (has_text(json_array_get(value, i), text)) return true;
    return false;
}

static bool near(const json_t *value, const char *rest, bool *readable) {
    char *first, *second;
    double want = strtod(rest, &first);
    double tolerance = strtod(first, &second);
    *readable = first != rest && second != first && *second == '\0';
    return *readable && json_is_number(value) && fabs(json_number_value(value) - want) <= tolerance;
}

static bool equal(const json_t *value, const char *rest, bool *readable) {
    json_t *want = json_loads(rest, JSON_DECODE_ANY, NULL);
    bool same = value != NULL && json_equal(value, want);
    *readable = want != NULL;
    json_decref(want);
    return same;
}

static bool holds(const json_t *value, const char *operator, const char * rest, bool *readable) {
    char *end;
    *readable = true;
    if (strcmp(operator, "~") == 0) return near(value, rest, readable);
    if (strcmp(operator, "=") == 0) return equal(value, rest, readable);
    if (strcmp(operator, "has") == 0) return has_text(value, rest);
    if (strcmp(operator, "absent") == 0) return value == NULL;
    *readable = strcmp(operator, "count") == 0 && *rest != '\0';
    long count = strtol(rest, &end, 10);
    if (*end != '\0') *readable = false;
    return *readable && json_is_array(value) && json_array_size(value) == (size_t)count;
}

static void describe(const json_t *value, char *problem, size_t size) {
    char *got = value != NULL ? json_dumps(value, JSON_ENCODE_ANY | JSON_REAL_PRECISION(12)) : NULL;
    snprintf(problem, size, "got %s", got != NULL ? got : "no such key");
    free(got);
}

void json_check(const char *text, const char *value, char *problem, size_t size) {
    char path[256], operator[16];
    int end = 0;
    bool readable;
    json_error_t error;
    problem[0] = '\0';
    if (sscanf(value, "%255s %15s%n", path, operator, & end) != 2) {
        snprintf(problem, size, "expected PATH ~ NUMBER TOLERANCE, or = has count absent");
        return;
    }
    const char *rest = value + end + strspn(value + end, " ");
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (root == NULL) {
        snprintf(problem, size, "standard output is no JSON: %s, line %d", error.text, error.line);
        return;
    }
    const json_t *found = find(root, path);
    if (!holds(found, operator, rest, &readable)) describe(found, problem, size);
    if (!readable) snprintf(problem, size, "the check itself cannot be read");
    json_decref(root);
}
