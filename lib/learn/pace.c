/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/pace.h"
#include "run/run.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>

/* A jar that took so much longer or shorter than its heat, by the pace of most, tells of no pace: the
 * heat was off, or a moment is another's. Common practice, no source. */
static const double PACE_OFF = 1.4, MOMENTS_OFF = 4;

jl_status jl_pace_open(const jl_learning_run *run, jl_pace *pace) {
    *pace = (jl_pace){.stretches = calloc(run->count + 1, sizeof *pace->stretches),
                      .room = calloc(run->count + 1, sizeof *pace->room)};
    return pace->stretches != NULL && pace->room != NULL ? JL_OK : JL_MEMORY;
}

void jl_pace_close(jl_pace *pace) {
    free(pace->stretches);
    free(pace->room);
}

double jl_moment_l(const jl_linear *linear, size_t jar) {
    return jar < linear->run->count ? linear->end_l[jar] : 0;
}

double jl_heat_between_j(const jl_linear *linear, const jl_batch *batch, double from_l,
                         double to_l) {
    jl_waypoint from = jl_batch_at(batch, from_l), to = jl_batch_at(batch, to_l);
    double heat_j = jl_batch_heat_j(batch, &to, linear->run->boiler_heat_j_k) -
                    jl_batch_heat_j(batch, &from, linear->run->boiler_heat_j_k);
    return fmax(heat_j, 1);
}

static double heat_of(const jl_linear *linear, const jl_batch *batch, jl_stretch i) {
    return jl_heat_between_j(linear, batch, jl_moment_l(linear, i.from), jl_moment_l(linear, i.to));
}

double jl_pace_heat_j(const jl_linear *linear, const jl_batch *batch, const jl_pace *pace) {
    double sum_j = 0;
    for (size_t i = 0; i < pace->count; i++) sum_j += heat_of(linear, batch, pace->stretches[i]);
    return fmax(sum_j, 1);
}

static size_t next_moment(const jl_learning_run *run, size_t jar) {
    while (jar < run->count && !isfinite(run->jars[jar].full_s)) jar++;
    return jar;
}

static bool pace_of(const jl_linear *linear, const jl_batch *batch, jl_stretch i, double *s,
                    double *j) {
    const jl_learning_jar *jars = linear->run->jars;
    *s = jars[i.to].full_s - jars[i.from].full_s;
    *j = heat_of(linear, batch, i);
    return fabs(*s) <= JL_JAR_LONGEST_S && !jars[i.to].paused;
}

/* s/J of most intervals; 0: there is none. Of jars that fill fast some moments stand in the wrong
 * order: leaving only those out would count too much time. */
static double usual_pace(const jl_linear *linear, const jl_batch *batch, double *paces) {
    size_t n = 0;
    double s, j;
    jl_stretch i = {next_moment(linear->run, 0), 0};
    for (; (i.to = next_moment(linear->run, i.from + 1)) < linear->run->count; i.from = i.to)
        if (pace_of(linear, batch, i, &s, &j)) paces[n++] = s / j;
    gsl_sort(paces, 1, n);
    return n > 0 ? fmax(gsl_stats_median_from_sorted_data(paces, 1, n), 0) : 0;
}

static void add_interval(jl_pace *p, jl_stretch i, double s) {
    jl_stretch *last = p->count > 0 ? &p->stretches[p->count - 1] : NULL;
    if (last != NULL && last->to == i.from)
        last->to = i.to;
    else
        p->stretches[p->count++] = i;
    p->timed_s += s;
    p->jars += i.to - i.from;
}

void jl_pace_find(const jl_linear *linear, const jl_batch *batch, double time_s, jl_pace *p) {
    double pace = usual_pace(linear, batch, p->room), slack_s = MOMENTS_OFF * time_s, s, j;
    jl_stretch i = {next_moment(linear->run, 0), 0};
    p->count = p->jars = 0;
    p->timed_s = 0;
    p->last = i.from;
    for (; (i.to = next_moment(linear->run, i.from + 1)) < linear->run->count; i.from = i.to) {
        bool good = pace_of(linear, batch, i, &s, &j) && s <= PACE_OFF * j * pace + slack_s &&
                    s >= j * pace / PACE_OFF - slack_s;
        if (good) add_interval(p, i, s);
        p->last = i.to;
    }
    if (!(p->timed_s > 0)) p->count = 0;
}

double jl_pace_variance(const jl_pace *pace, double time_s) {
    double error = time_s * sqrt(2 * (double)pace->count) / pace->timed_s;
    return error * error;
}
