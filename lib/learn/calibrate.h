/* What a calibration has beside what jarline.h shows of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_CALIBRATE_H
#define JL_CALIBRATE_H

#include "keys/settings.h"

/* What the runs that belong state of a setting. */
typedef struct jl_stated {
    size_t stating, runs;
    bool differ;
    const jl_settings *first; /* that states it; NULL: none does */
} jl_stated;

jl_stated jl_runs_state(const jl_calibrating *of, const jl_calibration *c, jl_key_id id);

/* Whether the still's file has a setting of the logs, where they agree: those that were not learnt. */
bool jl_calibration_carries(const jl_calibration *c, jl_key_id id);

#endif
