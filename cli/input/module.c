/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/module.h"

#include <dlfcn.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/auxv.h>
#include <unistd.h>

/* The program's own file. Where /proc is not mounted, as in a bare root, the name it was started by
 * leads there too. */
static bool find_self(char self[PATH_MAX]) {
    ssize_t n = readlink("/proc/self/exe", self, PATH_MAX - 1);
    if (n >= 0) {
        self[n] = '\0';
        return true;
    }
    const char *started_by = (const char *)getauxval(AT_EXECFN);
    return started_by != NULL && realpath(started_by, self) != NULL;
}

/* folder: where to look, seen from the program's own. */
static void *load_near(const char *folder, const char *module) {
    char self[PATH_MAX], path[2 * PATH_MAX];
    if (!find_self(self)) return NULL;
    char *slash = strrchr(self, '/');
    if (slash == NULL) return NULL;
    snprintf(path, sizeof path, "%.*s/%s%s.so", (int)(slash - self), self, folder, module);
    return access(path, R_OK) == 0 ? dlopen(path, RTLD_NOW | RTLD_LOCAL) : NULL;
}

static void *load_installed(const char *module) {
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s/%s.so", JARLINE_MODULES, module);
    return dlopen(path, RTLD_NOW | RTLD_LOCAL);
}

void *module_function(const char *module, const char *function, const char **why) {
    void *loaded = load_near("", module); /* a build folder */
    /* An installation that was moved as a whole. */
    if (loaded == NULL) loaded = load_near("../" JARLINE_LIBDIR "/jarline/", module);
    if (loaded == NULL) loaded = load_installed(module);
    void *found = loaded == NULL ? NULL : dlsym(loaded, function);
    if (found == NULL) *why = dlerror();
    return found;
}
