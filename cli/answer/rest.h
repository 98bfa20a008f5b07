/* The rest of a run, forecast anew from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REST_H
#define JARLINE_REST_H

#include "answer/show.h"
#include "jarline.h"
#include "uncertainty/readings.h"

enum { REST_NEXT = 3 }; /* jars of which the strength is forecast */

/* Above it a log is no run that goes on, and learning from it would take long. */
enum { JARS_OF_A_RUN = 200 };

typedef struct outlook {
    jl_outlook of;
    jl_estimate next[REST_NEXT];
} outlook;

/* How much of it is shown to a person; programs see all. */
typedef enum rest_form { REST_WHOLE, REST_PAGE, REST_LINE } rest_form;

enum { EVENT_BYTES = 240 };

/* "Hearts end in about 9 min, 10:34 (10:30 to 10:39), after 0.41 L". now: far from the jars' clock the
 * minutes are left out. */
void write_next_event(const jl_outlook *o, jl_time now, char text[EVENT_BYTES]);

/* name: of the log, in messages. Returns the exit status, or 0; what is missing has then been said. */
int rest_forecast(const char *name, const jl_run *run, const jl_settings *instruments, outlook *o);

void show_rest(show *s, const jl_run *run, const outlook *o);

/* The instruments behind the next two; kept by the caller. */
void rest_by(const jl_settings *instruments);
jl_instruments rest_instruments(void);

/* On a page of its own at the prompt: the same in few lines, or nothing where the log does not allow
 * it. */
void show_rest_page(show *s, const jl_run *run);

/* After a jar was recorded: a line with the next event on the clock, a warning where this jar or an
 * earlier one does not fit; all of the rest for programs. Nothing where the log does not allow it.
 * Never fails, as the jar is on the disk. */
bool show_rest_after_jar(show *s, const jl_run *run, jl_time now);

#endif
