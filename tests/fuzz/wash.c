/* Any bytes as a wash log, and a row written into it: gravities, steps and what went in hold together,
 * and all rows are there afterwards; or a fault, and nothing has changed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "scratch.h"
#include "wash/wash_log.h"

enum { BYTES_MOST = 1 << 16 };

typedef struct sizes {
    size_t readings, left_out, steps, added;
} sizes;

static sizes sizes_of(const jl_wash_log *log) {
    sizes s;
    jl_wash_log_readings(log, &s.readings);
    jl_wash_log_left_out(log, &s.left_out);
    jl_wash_log_steps(log, &s.steps);
    jl_wash_log_added(log, &s.added);
    return s;
}

static void log_holds(const jl_wash_log *log) {
    const sizes s = sizes_of(log);
    const jl_wash_reading *r = jl_wash_log_readings(log, &(size_t){0});
    const jl_wash_step *steps = jl_wash_log_steps(log, &(size_t){0});
    int64_t before_s = INT64_MIN;
    for (size_t i = 0; i < s.readings; i++) {
        HOLDS(r[i].sg > 0.9 && r[i].sg < 1.3 && r[i].line > 0 && r[i].note != NULL);
        if (!r[i].has_time) continue;
        HOLDS(r[i].time.unix_s > before_s);
        before_s = r[i].time.unix_s;
    }
    for (size_t i = 0; i < s.steps; i++) {
        HOLDS(steps[i].ends.unix_s >= steps[i].begins.unix_s && steps[i].duration_s >= 0);
        HOLDS(jl_wash_has_step(log, steps[i].name));
    }
    jl_ferment f;
    jl_recipe recipe;
    if (jl_wash_log_judge(log, &JL_FINISH_RULE, &f) == JL_OK) HOLDS(!isnan(f.slope_per_day));
    if (jl_wash_log_recipe(log, &recipe) == JL_OK) HOLDS(s.added > 0);
    jl_wash wash = JL_WASH;
    jl_wash_strength strength;
    if (jl_wash_log_wash(log, &wash) == JL_OK &&
        jl_wash_strength_of(&wash, NULL, &strength) == JL_OK)
        HOLDS(isfinite(strength.strength_pct) && strength.strength_u_pct >= 0);
}

/* Later than whatever stands in the log. */
static jl_wash_entry entry_of(uint8_t which) {
    jl_wash_entry e = {.time = {4102444800, 0}, .temp_c = NAN};
    if (which % 3 == 0) {
        e.gravity = "1.010";
        e.note = "=a, \"b\"";
    }
    if (which % 3 == 1) e.add = "6kg sugar";
    if (which % 3 == 2) {
        e.step = "settle";
        e.duration = "2d";
    }
    return e;
}

static void write_row(const char *path, uint8_t which, const char *before, size_t size) {
    static char after[2 * BYTES_MOST];
    jl_wash_log *log, *again;
    jl_fault fault = {0};
    const jl_wash_entry e = entry_of(which);
    if (jl_wash_log_open(path, 0, &JL_HYDROMETER, &log, &fault, NULL) != JL_OK) return;
    const sizes had = sizes_of(log);
    jl_status status = jl_wash_log_write(log, &e, &fault);
    jl_wash_log_free(log);
    size_t length = scratch_get("wash.csv", after, sizeof after);
    HOLDS(length < sizeof after);
    if (status != JL_OK) {
        HOLDS(length <= size && memcmp(after, before, length) == 0);
        return;
    }
    int fd = given_bytes(after, length);
    HOLDS(jl_wash_log_read(fd, &JL_HYDROMETER, &again, &fault) == JL_OK);
    close(fd);
    const sizes has = sizes_of(again);
    HOLDS(has.readings + has.left_out == had.readings + had.left_out + (e.gravity != NULL));
    HOLDS(has.steps == had.steps + (e.step != NULL));
    HOLDS(has.added == had.added + (e.add != NULL));
    log_holds(again);
    jl_wash_log_free(again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char path[128];
    jl_wash_log *log;
    jl_fault fault;
    if (size < 1 || size > BYTES_MOST) return 0;
    const char *bytes = (const char *)data + 1;
    int fd = given_bytes(bytes, size - 1);
    jl_status status = jl_wash_log_read(fd, &JL_HYDROMETER, &log, &fault);
    close(fd);
    if (status != JL_OK) {
        fault_holds(status, &fault);
        return 0;
    }
    log_holds(log);
    jl_wash_log_free(log);
    scratch_path("wash.csv", path);
    scratch_put("wash.csv", bytes, size - 1);
    write_row(path, data[0], bytes, size - 1);
    scratch_clear();
    return 0;
}
