/* start: a new run log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "args.h"
#include "clock.h"
#include "command.h"
#include "say.h"
#include "show.h"
#include "trouble.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Facts in the order in which they will stand. */
typedef struct facts {
    jl_fact_entry *all;
    size_t count;
} facts;

static jl_fact_entry *add_fact(facts *f, const char *key) {
    f->all = need(realloc(f->all, (f->count + 1) * sizeof *f->all));
    f->all[f->count] = (jl_fact_entry){.key = key};
    return &f->all[f->count++];
}

static void add_number(facts *f, const char *key, double value) {
    jl_fact_entry *fact = add_fact(f, key);
    fact->values[0] = value;
    fact->count = 1;
}

static void add_text(facts *f, const char *key, const char *text) {
    if (text != NULL) add_fact(f, key)->text = text;
}

typedef struct start {
    const char *path;
    jl_spirit charge;
    bool charged;
    char started[JL_TIME_BYTES];
    jl_alcoholometer instrument;
    bool json;
} start;

/* ---- the charge ---- */

static int charge_from_facts(const char *path, const jl_facts *f, jl_spirit *charge) {
    static const jl_fact_key VOLUME = {"charge", JL_VOLUME, 1e-6, 1e9,
                                       "a volume above 0, as charge_l,24"};
    static const jl_fact_key STRENGTH = {"charge_strength", JL_STRENGTH, 0, 100,
                                         "a strength at 20 °C, as charge_strength_pct,8.6"};
    jl_quantity volume, strength;
    jl_fault fault;
    double p;
    jl_status status = jl_facts_quantity(f, &VOLUME, &volume, &fault);
    if (status == JL_OK) status = jl_facts_quantity(f, &STRENGTH, &strength, &fault);
    if (status != JL_OK) return fail_fault(path, &fault);
    status = jl_strength_to_mass_fraction(strength, &p);
    if (status == JL_OK) status = jl_spirit_from_volume(volume.value, p, JL_STRENGTH_C, charge);
    return status == JL_OK ? EXIT_DONE
                           : fail(EXIT_DATA, "%s: the charge is %s", path, jl_status_text(status));
}

static int charge_from(const char *path, jl_spirit *charge) {
    jl_facts *f;
    jl_fault fault;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    jl_status status = jl_facts_read(fd, &f, &fault);
    close(fd);
    if (status != JL_OK) return fail_fault(path, &fault);
    int bad = charge_from_facts(path, f, charge);
    jl_facts_free(f);
    return bad;
}

static int read_charge(const char *amount, const char *from, start *s) {
    s->charged = amount != NULL || from != NULL;
    if (amount != NULL && from != NULL)
        return fail(EXIT_USAGE, "expected --charge or --charge-from, not both");
    if (amount != NULL) return arg_amount(amount, &s->instrument, &s->charge);
    return from == NULL ? EXIT_DONE : charge_from(from, &s->charge);
}

/* ---- the log ---- */

static void gather(const start *s, const char *title, facts *f) {
    add_text(f, "title", title);
    add_text(f, "started", s->started);
    if (s->charged) {
        add_number(f, "charge_l", jl_volume_l(s->charge, JL_STRENGTH_C));
        add_number(f, "charge_strength_pct", jl_spirit_strength_pct(s->charge));
    }
    if (!isnan(s->instrument.calibrated_c))
        add_number(f, "calibrated_c", s->instrument.calibrated_c);
    if (s->instrument.reading_correction_pct != 0)
        add_number(f, "reading_correction_pct", s->instrument.reading_correction_pct);
    if (s->instrument.thermometer_correction_c != 0)
        add_number(f, "thermometer_correction_c", s->instrument.thermometer_correction_c);
}

static int answer(const start *s, const char *title) {
    show *out = show_open(s->json);
    show_text(out, "log", "Started", s->path);
    show_text(out, "title", title == NULL ? NULL : "Title", title);
    show_text(out, "started", "At", s->started);
    if (s->charged) {
        show_number(out, "charge_l", "Charge at 20 °C", jl_volume_l(s->charge, JL_STRENGTH_C), 3,
                    "l");
        show_number(out, "charge_strength_pct", "Its strength at 20 °C",
                    jl_spirit_strength_pct(s->charge), 2, "% vol");
        show_number(out, "pure_alcohol_l", "Pure alcohol in it", jl_pure_alcohol_l(s->charge), 3,
                    "l");
    } else
        show_note(out, "Without --charge nothing can be said of what is recovered.");
    show_note(out, "Write each jar down as it fills: jarline record %s 500ml 72.5%% 24C", s->path);
    return close_written(out, "the new log is in %s", s->path);
}

static int begin(const start *s, const char *title) {
    facts f = {0};
    jl_trouble trouble;
    gather(s, title, &f);
    jl_status status = jl_log_create(s->path, f.all, f.count, &trouble);
    free(f.all);
    if (status != JL_OK) return fail_write(s->path, status, trouble, "started");
    return answer(s, title);
}

int command_start(int argc, const char **argv) {
    char *charge = NULL, *from = NULL, *title = NULL, *when = NULL;
    int json = 0;
    instrument_options with = {0};
    const struct poptOption table[] = {
        OPTION("charge", &charge, "AMOUNT", "what goes into the boiler: 24L@8.6%"),
        OPTION("charge-from", &from, "FILE", "the charge from a file that 'charge' wrote"),
        OPTION("title", &title, "TEXT", "a name for the run"),
        OPTION("time", &when, "TIME", "when it begins (now)"),
        INSTRUMENT_OPTIONS(with),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    start s = {0};
    if (args_read(&a, argc, argv, table, "RUN.csv --charge AMOUNT",
                  "A new run log, into which 'record' writes jars.")) {
        jl_time started = clock_now();
        s.json = json != 0;
        int bad = a.count == 1 ? 0 : fail(EXIT_USAGE, "expected one file to be made, as RUN.csv");
        if (bad == 0) bad = arg_instrument(&with, &s.instrument);
        if (bad == 0) bad = read_charge(charge, from, &s);
        if (bad == 0 && when != NULL) bad = clock_read("--time", when, &started);
        if (bad == 0) {
            s.path = a.rest[0];
            clock_write(started, s.started);
            bad = begin(&s, title);
        }
        a.exit_status = bad;
    }
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
