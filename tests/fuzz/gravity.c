/* Any bytes as a wash log: readings and steps in order of time, or a fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"

static void readings_hold(const jl_wash_log *log) {
    size_t count;
    const jl_wash_reading *before = NULL, *readings = jl_wash_log_readings(log, &count);
    for (size_t i = 0; i < count; i++) {
        HOLDS(!readings[i].has_time || before == NULL ||
              readings[i].time.unix_s > before->time.unix_s);
        if (readings[i].has_time) before = &readings[i];
        HOLDS(readings[i].line > 0 && readings[i].note != NULL);
        HOLDS(readings[i].sg >= JL_GRAVITY_MIN && readings[i].sg <= JL_GRAVITY_MAX);
    }
}

static void steps_hold(const jl_wash_log *log) {
    size_t count;
    const jl_wash_step *steps = jl_wash_log_steps(log, &count);
    for (size_t i = 0; i < count; i++) {
        HOLDS(i == 0 || steps[i].begins.unix_s >= steps[i - 1].begins.unix_s);
        HOLDS(steps[i].line > 0 && steps[i].name[0] != '\0');
        HOLDS(steps[i].duration_s >= 0 && steps[i].ends.unix_s >= steps[i].begins.unix_s);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_wash_log *log;
    jl_fault fault;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_wash_log_read(fd, &JL_HYDROMETER, &log, &fault);
    if (status == JL_OK) {
        readings_hold(log);
        steps_hold(log);
        jl_wash_log_free(log);
    } else
        fault_holds(status, &fault);
    close(fd);
    return 0;
}
