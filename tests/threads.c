/* Eight threads that use the library at once get the answers of one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "works.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { THREADS = 8, ROUNDS = 3 };

typedef struct thread {
    pthread_t id;
    char folder[40];
    digest answers;
    bool wrong;
} thread;

static void *work_through(void *with) {
    thread *t = with;
    for (int round = 0; round < ROUNDS; round++)
        for (const work *w = works; w->name != NULL; w++)
            if (w->run(t->folder, &t->answers) != w->good) t->wrong = true;
    return NULL;
}

static bool begin(thread *t) {
    *t = (thread){.folder = "/tmp/jarline-threads-XXXXXX"};
    return mkdtemp(t->folder) != NULL;
}

int main(void) {
    thread one, all[THREADS];
    int alike = 0;
    jl_quiet();
    if (!begin(&one)) return 2;
    work_through(&one);
    rmdir(one.folder);
    for (int i = 0; i < THREADS; i++)
        if (!begin(&all[i]) || pthread_create(&all[i].id, NULL, work_through, &all[i]) != 0)
            return 2;
    for (int i = 0; i < THREADS; i++) {
        pthread_join(all[i].id, NULL);
        rmdir(all[i].folder);
        alike += !all[i].wrong && all[i].answers.hash == one.answers.hash;
    }
    printf("%d of %d threads give the answers of one\n", alike, THREADS);
    return one.wrong || alike != THREADS;
}
