/* A clock that was set: the time of day is CLOCK_OFF_S seconds off.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Preloaded by places.py. */
#include <stdlib.h>
#include <time.h>

__attribute__((visibility("default"))) time_t time(time_t *seconds);

time_t time(time_t *seconds) {
    struct timespec now;
    const char *off = getenv("CLOCK_OFF_S");
    clock_gettime(CLOCK_REALTIME, &now);
    time_t is = now.tv_sec + (off == NULL ? 0 : strtol(off, NULL, 10));
    if (seconds != NULL) *seconds = is;
    return is;
}
