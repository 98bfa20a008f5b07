/* Memory runs out at every allocation that reading makes: the answer is JL_MEMORY, and nothing
 * leaks (this program is run by the sanitizers too).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Linked with -Wl,--wrap for malloc, calloc and realloc. */
#include "csvrows.h"
#include "given.h"

#include <stdio.h>
#include <stdlib.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);

/* Allocations that still succeed. libcsv asks again for less, so none may succeed after them. */
static long left = -1;
static bool failed;

static bool fails(void) {
    if (left < 0) return false;
    if (left > 0) {
        left--;
        return false;
    }
    failed = true;
    return true;
}

void *__wrap_malloc(size_t size) {
    return fails() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *old, size_t size) {
    return fails() ? NULL : __real_realloc(old, size);
}

/* ---- what is tried ---- */

static jl_status read_log(const char *text, jl_fault *fault) {
    jl_log *log;
    jl_jar jar;
    int fd = given(text);
    jl_status status = jl_log_open(fd, &log, fault);
    if (status == JL_OK) {
        while ((status = jl_log_next(log, &jar, fault)) == JL_OK) continue;
        jl_log_close(log);
    }
    close(fd);
    return status;
}

static jl_status read_facts(const char *text, jl_fault *fault) {
    jl_facts *facts;
    int fd = given(text);
    jl_status status = jl_facts_read(fd, &facts, fault);
    if (status == JL_OK) jl_facts_free(facts);
    close(fd);
    return status;
}

static jl_status find_spans(const char *text, jl_fault *fault) {
    jl_span spans[4];
    size_t count;
    jl_status status = jl_row_spans(text, strlen(text), ',', spans, 4, &count);
    *fault = (jl_fault){.status = status};
    return status;
}

/* None succeeds, then one, until the work needs no more of them. */
static int try_all(const char *what, jl_status (*work)(const char *, jl_fault *), const char *text,
                   jl_status good, long allocations_least) {
    for (long n = 0;; n++) {
        jl_fault fault = {.status = JL_OK};
        failed = false;
        left = n;
        jl_status status = work(text, &fault);
        left = -1;
        if (status != (failed ? JL_MEMORY : good) || (failed && fault.status != JL_MEMORY))
            return printf("%s, %ld allocations: status %s, in the fault %s\n", what, n,
                          status_name(status), status_name(fault.status));
        if (failed) continue;
        printf("%s: %ld allocations\n", what, n);
        return n < allocations_least;
    }
}

int main(void) {
    static char log[8000], facts[2000];
    size_t used = (size_t)sprintf(log, "#jarline,1\n#title,x\njar,volume_l,strength_pct,note\n");
    for (int i = 0; i < 10; i++) used += (size_t)sprintf(log + used, "%d,1,40,\n", 1 + 2000 * i);
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(log + used, "%d,1,40,\n", 2 + i);
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(log + used, "#undone,%d,\n", 2 + i);
    sprintf(log + used, "50,1,40,%04500d\n", 0);
    used = 0;
    for (int i = 0; i < 20; i++) used += (size_t)sprintf(facts + used, "k%d,%d\n", i, i);
    int wrong = try_all("a log", read_log, log, JL_END, 25);
    wrong |= try_all("a file of facts", read_facts, facts, JL_OK, 22);
    wrong |= try_all("spans", find_spans, "a,b,c\n", JL_OK, 1);
    return wrong != 0;
}
