/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/factfile.h"
#include "answer/say.h"
#include "answer/status.h"

#include "keys/keys.h"
#include "log/durable.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A file of facts holds a key and its value on each line. */
static bool is_one_line(const char *text) {
    for (; *text != '\0'; text++)
        if ((unsigned char)*text < ' ' || *text == 127) return false;
    return true;
}

void facts_text(const char *comment, const jl_fact_entry *facts, size_t count, jl_text *text) {
    const jl_dialect plain = {.delimiter = ','};
    jl_text_add(text, "# ", 2);
    jl_text_add(text, comment, strlen(comment));
    jl_line_end_add(text, &plain);
    for (size_t i = 0; i < count; i++) {
        const char *words = facts[i].text;
        jl_text_add(text, facts[i].key, strlen(facts[i].key));
        jl_delimiter_add(text, &plain);
        if (words == NULL)
            jl_cell_add_number(text, &plain, facts[i].values[0]);
        else
            jl_cell_add_note(text, &plain, words, strlen(words));
        jl_line_end_add(text, &plain);
    }
    if (text->failed) need(NULL);
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
    const jl_fact_entry rows[] = {
        {jl_keys[JL_KEY_TITLE].name, {0}, 0, facts->title},
        {jl_keys[JL_KEY_CHARGE].name, {facts->charge_l}, 1, NULL},
        {jl_keys[JL_KEY_CHARGE_STRENGTH].name, {facts->charge_strength_pct}, 1, NULL}};
    jl_text text = {0};
    if (!is_one_line(facts->title))
        return fail(EXIT_USAGE, "--title '%s': expected text on one line", facts->title);
    facts_text(facts->origin, rows, sizeof rows / sizeof rows[0], &text);
    int bad = write_new_file(path, text.bytes, text.length);
    jl_text_free(&text);
    return bad;
}

static int read_number(const jl_facts *facts, const char *path, const jl_fact_key *key,
                       jl_quantity *quantity) {
    jl_fault fault;
    if (jl_facts_quantity(facts, key, quantity, &fault) == JL_OK) return 0;
    return fail_fault(path, &fault);
}

int read_charge(const char *path, double *charge_l, double *charge_strength_pct) {
    jl_facts *facts;
    jl_fault fault;
    jl_quantity volume, strength;
    double p;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(path, &fault);
    int bad = read_number(facts, path, &jl_keys[JL_KEY_CHARGE].fact, &volume);
    if (bad == 0) bad = read_number(facts, path, &jl_keys[JL_KEY_CHARGE_STRENGTH].fact, &strength);
    jl_facts_free(facts);
    if (bad != 0) return bad;
    if (jl_strength_to_mass_fraction(strength, &p) != JL_OK ||
        jl_strength_pct(p, JL_STRENGTH_C, charge_strength_pct) != JL_OK)
        return fail(EXIT_DATA, "%s: the strength is out of range; expected %s", path,
                    jl_keys[JL_KEY_CHARGE_STRENGTH].fact.expected);
    *charge_l = volume.value;
    return 0;
}
