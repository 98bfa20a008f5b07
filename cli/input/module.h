/* Parts of the command that few calls need, loaded when they are: their libraries would otherwise
 * cost every start.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_MODULE_H
#define JARLINE_MODULE_H

/* The function of a module: "jarline-prompt" and the name it exports. Looks beside the running
 * program first (a build folder), then where modules are installed. NULL when there is none;
 * *why then is a text that holds until the next call. */
void *module_function(const char *module, const char *function, const char **why);

#endif
