/* What is known of a still as points of stages and share, with everything else jointly normal at each.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Jars depend on the share far from in straight lines, on the rest nearly so: the share has a grid,
 * the rest has linear algebra, and nothing is drawn. */
#ifndef JL_NODES_H
#define JL_NODES_H

#include "learn/model.h"

typedef struct jl_node {
    const jl_learnt_stages *of; /* the still's, which must outlive it */
    double stages, share;
    double step;     /* to the next share; 0: it is the only one */
    double ln_scale; /* of what makes densities of shares add to the stages' weight */
    double ln_prior;
    bool weighed;
    double glance;   /* how far it is from the run, seen from afar */
    jl_normal prior; /* of one run's unknowns */
    double ln_heat;  /* of the efficiency, and its variance in one run */
    double heat_variance;
    double ln_evidence; /* of the run, with ln_prior in it */
    jl_normal found[JL_NOISES];
    double noise_weight[JL_NOISES]; /* they add to 1 */
    double mean[JL_UNKNOWNS];       /* of all that was found, or about which to look */
} jl_node;

/* Points of a still, which must outlive them: by stages, then by shares. */
typedef struct jl_points {
    const jl_learnt_still *still;
    jl_node *nodes;
    size_t count;
} jl_points;

/* Paths, vapours and lines of one run that is looked at from many points. */
typedef struct jl_look {
    const jl_learning_run *run;
    const jl_learning_widths *widths;
    jl_vapours vapours;
    jl_tracks *tracks;
    jl_linear linear;
    double x_top;
    double at[JL_UNKNOWNS]; /* about which it was last made linear */
} jl_look;

jl_status jl_look_open(const jl_learning_run *run, const jl_learning_widths *widths,
                       jl_look **look);
void jl_look_close(jl_look *look);

/* After the run that it looks at has changed. Errors: JL_MEMORY */
jl_status jl_look_again(jl_look *look);

/* The points of a still that are worth a look: of one of which nothing is known those that a glance does
 * not find much further from the run than the nearest. Errors: JL_MEMORY */
jl_status jl_points_of(const jl_learnt_still *still, jl_look *look, jl_points *points);
void jl_points_free(jl_points *points);

/* The run from one point, linear about its unknowns at given values. */
void jl_look_from(jl_look *look, const jl_node *node, const double unknowns[JL_UNKNOWNS]);

/* What the run says of a node's unknowns and how well the node says the run. */
void jl_look_weigh(jl_look *look, jl_node *node);

/* The same for one noise: ln of its weight; *gram as it was. When all are done the node is settled. */
double jl_look_condition(jl_look *look, int noise, jl_node *node, jl_gram *gram);
void jl_node_settle(jl_node *node);

/* Weighs those that were not yet. NULL: the run leaves none of them any weight. */
const jl_node *jl_points_weigh(jl_look *look, jl_points *points);

/* A look from a point, which holds until the next. */
typedef void jl_at_point(jl_look *look, jl_node *node, void *with);

/* Of weighed points those where the run leaves some weight beside the best, their shares as close as it
 * needs; at most so many. They take the place of the others. Each is looked at from so near to what is
 * found there that one look tells, and then handed on. Errors: JL_MEMORY */
jl_status jl_points_closer(jl_look *look, const jl_node *best, jl_points *points, jl_at_point *at,
                           void *with);
size_t jl_points_most(const jl_points *points);

#endif
