/* Any part of any file as an amount: "x.csv:PART", where the first line of the input is the part and
 * the rest is the file.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/part.h"
#include "scratch.h"

enum { BYTES_MOST = 1 << 15, PART_MOST = 100 };

static void amount_holds(const given_amount *given) {
    const file_part *part = &given->part;
    HOLDS(isfinite(given->spirit.ethanol_kg) && given->spirit.ethanol_kg >= 0);
    HOLDS(isfinite(given->spirit.water_kg) && given->spirit.water_kg >= 0);
    HOLDS(part->path != NULL && strstr(part->path, "x.csv") != NULL);
    for (size_t i = 1; i < part->count; i++) HOLDS(part->keys[i] > part->keys[i - 1]);
    HOLDS(part->vessel != NULL || part->count > 0);
    HOLDS(part->parts_l >= 0 && part->kind != NULL);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char path[128], text[128 + PART_MOST + 2], *err = NULL;
    size_t err_size;
    given_amount given;
    const uint8_t *end = size > 0 ? memchr(data, '\n', size) : NULL;
    size_t part = end == NULL ? size : (size_t)(end - data);
    if (size > BYTES_MOST || part > PART_MOST || end == NULL || memchr(data, '/', part) != NULL)
        return 0;
    scratch_path("x.csv", path);
    scratch_put("x.csv", end + 1, size - part - 1);
    snprintf(text, sizeof text, "%s:%.*s", path, (int)part, (const char *)data);
    FILE *own = stderr;
    stderr = open_memstream(&err, &err_size);
    int bad = given_read(text, &JL_ALCOHOLOMETER, NULL, &given);
    fclose(stderr);
    stderr = own;
    HOLDS(bad == 0 || err_size > 0);
    if (bad == 0) {
        amount_holds(&given);
        given_free(&given);
    }
    free(err);
    scratch_clear();
    return 0;
}
