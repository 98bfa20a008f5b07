/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/factfile.h"
#include "answer/say.h"
#include "answer/status.h"

#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A value as RFC 4180 writes it: in quotes, with quotes inside doubled. */
static void write_quoted(FILE *to, const char *text) {
    fputc('"', to);
    for (; *text != '\0'; text++) {
        if (*text == '"') fputc('"', to);
        fputc(*text, to);
    }
    fputc('"', to);
}

/* A file of facts holds a key and its value on each line. */
static bool is_one_line(const char *text) {
    for (; *text != '\0'; text++)
        if ((unsigned char)*text < ' ' || *text == 127) return false;
    return true;
}

static char *charge_text(const charge_facts *facts, size_t *length) {
    char *text = NULL;
    FILE *to = need(open_memstream(&text, length));
    fprintf(to, "# %s\ntitle,", facts->origin);
    write_quoted(to, facts->title);
    fprintf(to, "\ncharge_l,%.12g\ncharge_strength_pct,%.12g\n", facts->charge_l,
            facts->charge_strength_pct);
    bool bad = ferror(to) != 0;
    if (fclose(to) != 0 || bad) {
        free(text);
        return need(NULL);
    }
    return text;
}

int write_new_file(const char *path, const char *text, size_t length) {
    jl_trouble trouble = {0};
    jl_status status = jl_create(path, text, length, &trouble);
    if (status == JL_OK) return 0;
    return fail(exit_of_file(status), "%s: %s%s%s; nothing was written%s", path,
                jl_status_text(status), trouble.error != 0 ? ": " : "",
                trouble.error != 0 ? strerror(trouble.error) : "",
                trouble.uncertain ? ", or only in part: look at the file" : "");
}

int write_charge(const char *path, const charge_facts *facts) {
    size_t length;
    if (!is_one_line(facts->title))
        return fail(EXIT_USAGE, "--title '%s': expected text on one line", facts->title);
    char *text = charge_text(facts, &length);
    int bad = write_new_file(path, text, length);
    free(text);
    return bad;
}

static int read_number(const jl_facts *facts, const char *path, const jl_fact_key *key,
                       jl_quantity *quantity) {
    jl_fault fault;
    if (jl_facts_quantity(facts, key, quantity, &fault) == JL_OK) return 0;
    return fail_fault(path, &fault);
}

int read_charge(const char *path, double *charge_l, double *charge_strength_pct) {
    static const jl_fact_key VOLUME = {"charge", JL_VOLUME, 1e-6, 1e9,
                                       "a volume above 0, as charge_l,24"};
    static const jl_fact_key STRENGTH = {"charge_strength", JL_STRENGTH, 0, 100,
                                         "a strength, as charge_strength_pct,11.8"};
    jl_facts *facts;
    jl_fault fault;
    jl_quantity volume, strength;
    double p;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(path, &fault);
    int bad = read_number(facts, path, &VOLUME, &volume);
    if (bad == 0) bad = read_number(facts, path, &STRENGTH, &strength);
    jl_facts_free(facts);
    if (bad != 0) return bad;
    if (jl_strength_to_mass_fraction(strength, &p) != JL_OK ||
        jl_strength_pct(p, JL_STRENGTH_C, charge_strength_pct) != JL_OK)
        return fail(EXIT_DATA, "%s: the strength is out of range; expected %s", path,
                    STRENGTH.expected);
    *charge_l = volume.value;
    return 0;
}
