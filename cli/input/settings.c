/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/settings.h"
#include "answer/say.h"
#include "answer/status.h"
#include "still/settings.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* The keys that a file may have, in words. */
static void list_keys(unsigned where, char *text, size_t size) {
    size_t n = 0;
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & where) != 0 && id != JL_KEY_JARLINE && n < size)
            n += (size_t)snprintf(text + n, size - n, "%s%s", n > 0 ? ", " : "", jl_keys[id].name);
}

static int take_facts(const char *file, const jl_facts *facts, unsigned where, jl_settings *s) {
    char known[2000];
    jl_fault fault = {0};
    if (jl_settings_take(s, facts, where, JL_FROM_FILE, file, &fault) == JL_OK) return 0;
    if (fault.expected == NULL) {
        list_keys(where, known, sizeof known);
        fault.expected = known;
    }
    return fail_fault(file, &fault);
}

int settings_file(const char *file, unsigned where, jl_settings *s) {
    jl_facts *facts;
    jl_fault fault = {0};
    int fd = open(file, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", file, strerror(errno));
    jl_status status = jl_facts_read(fd, &facts, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(file, &fault);
    int bad = take_facts(file, facts, where, s);
    jl_facts_free(facts);
    return bad;
}

int arg_setting(const char *word, jl_key_id id, jl_settings *s) {
    char name[48];
    jl_fault fault;
    if (word == NULL || jl_settings_option(s, id, word, &fault) == JL_OK) return 0;
    snprintf(name, sizeof name, "--%s", jl_keys[id].option);
    return fail_argument(name, word, fault.status, fault.expected);
}

int arg_air(const char *pressure, const char *altitude, jl_settings *s, double *pressure_kpa) {
    jl_settings_begin(s);
    int bad = arg_setting(pressure, JL_KEY_PRESSURE, s);
    if (bad == 0) bad = arg_setting(altitude, JL_KEY_ALTITUDE, s);
    *pressure_kpa = jl_settings_to_still(s).pressure_kpa;
    return bad;
}

int arg_cut(const char *name, const char *word, jl_cut *cut) {
    jl_fault fault;
    if (jl_cut_read(word, false, cut, &fault) == JL_OK) return 0;
    return fail_argument(name, word, fault.status, fault.expected);
}

int settings_read(const setting_options *o, unsigned where, jl_settings *s) {
    int bad = o->file == NULL ? 0 : settings_file(o->file, where, s);
    for (jl_key_id id = 0; bad == 0 && id < JL_KEYS; id++) bad = arg_setting(o->words[id], id, s);
    return bad;
}

int still_settings_add(const setting_options *o, double charge_strength_pct, still_settings *s) {
    int bad = settings_read(o, JL_IN_STILL, &s->all);
    s->still = jl_settings_to_still(&s->all);
    s->plan = jl_settings_to_plan(&s->all, charge_strength_pct);
    return bad;
}

int still_settings_read(const setting_options *o, double charge_strength_pct, still_settings *s) {
    jl_settings_begin(&s->all);
    return still_settings_add(o, charge_strength_pct, s);
}

int instruments_read(const char *file, jl_settings *bench) {
    jl_settings_begin(bench);
    return file == NULL ? 0 : settings_file(file, JL_IN_INSTRUMENTS, bench);
}

int arg_instrument(const setting_options *o, jl_alcoholometer *instrument) {
    jl_settings s;
    jl_settings_begin(&s);
    int bad = settings_read(o, JL_IN_INSTRUMENTS, &s);
    *instrument = jl_settings_to_alcoholometer(&s);
    return bad;
}
