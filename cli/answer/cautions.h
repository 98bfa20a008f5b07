/* What can hurt, said once in an answer that needs it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CAUTIONS_H
#define JARLINE_CAUTIONS_H

#include "answer/show.h"

/* Of running a still. */
void caution_running(show *s);

#endif
