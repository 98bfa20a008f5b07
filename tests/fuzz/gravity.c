/* Any bytes as a gravity log: rows in order of time, or a fault.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jl_wash_log *log;
    jl_wash_row row;
    jl_fault fault;
    int64_t before = INT64_MIN;
    int fd = given_bytes((const char *)data, size);
    jl_status status = jl_wash_log_open(fd, &JL_HYDROMETER, &log, &fault);
    if (status == JL_OK) {
        while ((status = jl_wash_log_next(log, &row, &fault)) == JL_OK) {
            HOLDS(row.time.unix_s >= before && row.line > 0);
            HOLDS(row.is_step == (row.step[0] != '\0'));
            HOLDS(row.is_step || (row.sg >= JL_GRAVITY_MIN && row.sg <= JL_GRAVITY_MAX));
            HOLDS(row.note != NULL);
            before = row.time.unix_s;
        }
        jl_wash_log_close(log);
    }
    if (status != JL_END) fault_holds(status, &fault);
    close(fd);
    return 0;
}
