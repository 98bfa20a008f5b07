/* The run log jar by jar, out of its record.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/status.h"

#include <stdlib.h>

struct jl_log {
    jl_run *run;
    size_t next;
};

jl_status jl_log_open(int fd, jl_log **log, jl_fault *fault) {
    jl_log *made = calloc(1, sizeof *made);
    if (made == NULL) return jl_fault_at(fault, JL_MEMORY, 0, 0, NULL, 0, NULL);
    jl_status status = jl_run_read(fd, &made->run, fault);
    if (status == JL_OK)
        *log = made;
    else
        free(made);
    return status;
}

jl_status jl_log_next(jl_log *log, jl_jar *jar, jl_fault *fault) {
    size_t count;
    const jl_jar *jars = jl_run_jars(log->run, &count);
    if (log->next == count) return jl_fault_at(fault, JL_END, 0, 0, NULL, 0, NULL);
    *jar = jars[log->next++];
    return JL_OK;
}

jl_status jl_log_some(const jl_log *log, jl_fault *fault) {
    return jl_run_some(log->run, fault);
}

const jl_facts *jl_log_facts(const jl_log *log) {
    return jl_run_facts(log->run);
}

jl_alcoholometer jl_log_instrument(const jl_log *log) {
    return jl_run_instrument(log->run);
}

size_t jl_log_torn_line(const jl_log *log) {
    return jl_run_torn_line(log->run);
}

uint32_t jl_log_number(const jl_log *log, jl_fraction fraction, uint32_t after) {
    size_t count;
    uint32_t least = 0;
    const jl_jar *jars = jl_run_jars(log->run, &count);
    for (size_t i = 0; i < count; i++)
        if (jars[i].fraction == fraction && jars[i].number > after &&
            (least == 0 || jars[i].number < least))
            least = jars[i].number;
    return least;
}

const char *jl_log_unknown_column(const jl_log *log, size_t index) {
    return jl_run_unknown_column(log->run, index);
}

void jl_log_close(jl_log *log) {
    if (log == NULL) return;
    jl_run_free(log->run);
    free(log);
}
