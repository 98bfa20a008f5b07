/* A file that others write, and what is to be done each time.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FOLLOW_H
#define JARLINE_FOLLOW_H

#include <stdbool.h>

/* Reads the file and does what follows from it. Sets *over when there is nothing more to follow. Returns the
 * exit status, or 0 to go on. */
typedef int follow_changed(void *with, bool *over);

/* Calls changed, and again each time the file was written, until it is over, fails, or so many hours have
 * passed. Returns the exit status, or 0. */
int follow_file(const char *path, double hours, follow_changed *changed, void *with);

#endif
