/* Runs a target over the files of folders, without a fuzzer: FOLDER...
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "target.h"

#include <dirent.h>

enum { MOST = 1 << 20 };

static bool replay(const char *path) {
    FILE *file = fopen(path, "rb");
    if (file == NULL) return false;
    uint8_t *data = malloc(MOST);
    size_t size = data != NULL ? fread(data, 1, MOST, file) : 0;
    /* A copy of just that size, so that a sanitizer sees the byte behind it. */
    uint8_t *exact = data != NULL ? malloc(size > 0 ? size : 1) : NULL;
    bool ready = exact != NULL && !ferror(file);
    if (ready) memcpy(exact, data, size);
    free(data);
    fclose(file);
    if (ready) LLVMFuzzerTestOneInput(exact, size);
    free(exact);
    return ready;
}

static long replay_folder(const char *folder) {
    DIR *dir = opendir(folder);
    const struct dirent *entry;
    long inputs = 0;
    if (dir == NULL) return -1;
    while (inputs >= 0 && (entry = readdir(dir)) != NULL) {
        char path[4096];
        if (entry->d_name[0] == '.') continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        inputs = replay(path) ? inputs + 1 : -1;
    }
    closedir(dir);
    return inputs;
}

int main(int argc, char **argv) {
    long all = 0;
    for (int i = 1; i < argc; i++) {
        long inputs = replay_folder(argv[i]);
        if (inputs < 0) return fprintf(stderr, "%s cannot be read\n", argv[i]), 2;
        all += inputs;
    }
    printf("%ld inputs\n", all);
    return all > 0 ? 0 : 2;
}
