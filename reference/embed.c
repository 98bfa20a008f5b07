/* Writes files into a C source as arrays: embed OUT.c NAME.csv...
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Runs while building, on the machine that builds, so it takes nothing but the standard library.
 * Arrays and not string literals: a literal need not hold more than 4095 bytes (C17 5.2.4.1). */
#include <stdio.h>
#include <string.h>

/* The bare name of a path, without folder and ".csv". */
static int bare_name(const char *path, char *name, size_t size) {
    const char *slash = strrchr(path, '/');
    int length = snprintf(name, size, "%s", slash != NULL ? slash + 1 : path);
    if (length < 0 || (size_t)length >= size) return -1;
    char *dot = strrchr(name, '.');
    if (dot != NULL) *dot = '\0';
    return 0;
}

static int write_text(FILE *out, const char *path, int number) {
    FILE *in = fopen(path, "rb");
    if (in == NULL) {
        perror(path);
        return -1;
    }
    fprintf(out, "\nstatic const unsigned char text_%d[] = {", number);
    long at = 0;
    for (int byte = getc(in); byte != EOF; byte = getc(in))
        fprintf(out, "%s%d,", at++ % 24 == 0 ? "\n    " : "", byte);
    fputs("\n    0};\n", out);
    int bad = ferror(in);
    if (bad) perror(path);
    fclose(in);
    return bad ? -1 : 0;
}

static int write_index(FILE *out, int count, char **paths) {
    char name[256];
    fputs("\nconst reference_file REFERENCE_FILES[] = {\n", out);
    for (int i = 0; i < count; i++) {
        if (bare_name(paths[i], name, sizeof name) != 0) return -1;
        fprintf(out, "    {\"%s\", (const char *)text_%d, sizeof text_%d - 1},\n", name, i, i);
    }
    fprintf(out, "};\n\nconst size_t REFERENCE_FILES_COUNT = %d;\n", count);
    return 0;
}

int main(int argc, char **argv) {
    if (argc < 3) {
        fputs("usage: embed OUT.c FILE...\n", stderr);
        return 2;
    }
    FILE *out = fopen(argv[1], "w");
    if (out == NULL) {
        perror(argv[1]);
        return 1;
    }
    fputs("#include \"reference.h\"\n", out);
    int bad = 0;
    for (int i = 2; i < argc && !bad; i++) bad = write_text(out, argv[i], i - 2);
    if (!bad) bad = write_index(out, argc - 2, argv + 2);
    if (ferror(out)) bad = -1;
    if (fclose(out) != 0) bad = -1;
    if (bad) remove(argv[1]);
    return bad ? 1 : 0;
}
