/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/stages.h"

#include <math.h>

double jl_step_down(const jl_curve *curve, int stages, double reflux, double distillate,
                    double *slope, double *liquid) {
    double down = reflux / (reflux + 1);
    double y = distillate, dy = 1;
    double x = 0, dx = 0;
    for (int i = 0; i < stages; i++) {
        double per_y;
        x = curve->liquid(curve, y, &per_y);
        dx = per_y * dy;
        if (liquid != NULL) liquid[i] = x;
        y = down * x + distillate / (reflux + 1);
        dy = down * dx + 1 / (reflux + 1);
    }
    *slope = dx;
    return x;
}

/* The distillate whose lowest stage holds x. More stages than one take it from the boiler's vapour
 * y towards the end of the curve, but never past what one stage less than all reflux could lift:
 * with the operating line through (x, y) itself, where the steps would never end. */
static void solve_stages(const jl_rectifier *column, int stages, double x, double y, double guess,
                         jl_solved *solved) {
    enum { STEPS_MOST = 120 };
    double end = column->curve->end;
    double pinch = y + column->reflux * (y - x);
    double low = y, high = y;
    if (y > x)
        high = end < pinch ? end : pinch;
    else
        low = end > pinch ? end : pinch;
    double at = !(guess > low) ? low : guess > high ? high : guess;
    double before = 2 * (high - low), slope = 1;
    for (int i = 0; i < STEPS_MOST && high - low > 1e-15 * high; i++) {
        double miss = jl_step_down(column->curve, stages, column->reflux, at, &slope, NULL) - x;
        if (miss > 0)
            high = at;
        else
            low = at;
        double next = at - miss / slope;
        /* A step out of the bracket, or one that does not shrink, gives way to halving. */
        bool newton = next >= low && next <= high && fabs(next - at) <= before / 2;
        if (!newton) next = low + (high - low) / 2;
        before = fabs(next - at);
        at = next;
        /* The error left is of the order of the square of the step, over the distance in which the
         * steps' shape changes: near the end of the curve that is the distance to the end. */
        double distance = fabs(end - at) < at ? fabs(end - at) : at;
        if (newton && (before <= 1e-7 * distance || before <= 1e-15)) break;
    }
    *solved = (jl_solved){at, 1 / slope};
}

static double guess_from(const jl_solved *solved, double moved) {
    return solved->distillate + solved->per_x * moved;
}

/* With one stage, or nothing returned, the distillate is the boiler's vapour. */
void jl_distil(const jl_rectifier *column, double x, jl_distillate *d) {
    double y = column->curve->vapour(column->curve, x);
    int whole = (int)column->stages;
    double part = column->stages - whole;
    double moved = x - d->liquid;
    d->liquid = x;
    if (column->reflux == 0 || column->stages == 1 || x <= 0 || x >= 1) {
        d->below = d->above = (jl_solved){y, 0};
        d->x = y;
        return;
    }
    if (whole == 1)
        d->below = (jl_solved){y, 0};
    else
        solve_stages(column, whole, x, y, guess_from(&d->below, moved), &d->below);
    if (part == 0)
        d->above = d->below;
    else
        solve_stages(column, whole + 1, x, y, guess_from(&d->above, moved), &d->above);
    d->x = d->below.distillate + part * (d->above.distillate - d->below.distillate);
}

double jl_head_c(const jl_table *table, const jl_rectifier *column, double x, double distillate) {
    double slope;
    if (column->reflux == 0 || column->stages == 1) return jl_table_temp_c(table, x);
    return jl_table_temp_c(table, table->curve.liquid(&table->curve, distillate, &slope));
}
