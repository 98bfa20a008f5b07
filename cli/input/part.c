/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/part.h"
#include "answer/say.h"
#include "answer/table.h"
#include "answer/units.h"
#include "input/file_kind.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "run/run.h"
#include "spirit/spirit.h"
#include "text/letters.h"
#include "wash/wash.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* "8" or "8a". */
static bool read_jar(const char **text, jl_jar_key *key) {
    size_t length = strspn(*text, "0123456789");
    if (length == 0) return false;
    if (isalpha((unsigned char)(*text)[length])) length++;
    if (jl_jar_name_read(*text, length, key) != JL_OK) return false;
    *text += length;
    return true;
}

static void skip_blanks(const char **text) {
    while (**text == ' ') (*text)++;
}

/* "4", "4-11", "12-" or "-3". */
static bool read_range(const char **text, range *r) {
    *r = (range){0, RANGE_OPEN};
    skip_blanks(text);
    bool first = read_jar(text, &r->first);
    skip_blanks(text);
    if (**text != '-') {
        r->last = r->first;
        return first;
    }
    (*text)++;
    skip_blanks(text);
    bool last = read_jar(text, &r->last);
    skip_blanks(text);
    return (first || last) && r->first <= r->last;
}

static void add_range(ranges *r, range next) {
    r->all = need(realloc(r->all, (r->count + 1) * sizeof *r->all));
    r->all[r->count++] = next;
}

bool ranges_read(const char *text, ranges *r) {
    *r = (ranges){0};
    if (strcmp(text, "all") == 0) {
        add_range(r, (range){0, RANGE_OPEN});
        return true;
    }
    for (;;) {
        range next;
        if (!read_range(&text, &next)) break;
        add_range(r, next);
        if (*text == '\0') return true;
        if (*text++ != ',') break;
    }
    ranges_free(r);
    return false;
}

bool ranges_have(const ranges *r, const jl_jar *jar) {
    jl_jar_key key = jl_jar_key_of(jar);
    for (size_t i = 0; i < r->count; i++)
        if (key >= r->all[i].first && key <= r->all[i].last) return true;
    return false;
}

bool ranges_stand(const ranges *r, const jl_run *run, char name[JL_JAR_NAME_BYTES]) {
    for (size_t i = 0; i < r->count; i++) {
        const jl_jar_key ends[] = {r->all[i].first, r->all[i].last};
        for (int e = 0; e < 2; e++) {
            if (ends[e] == 0 || ends[e] == RANGE_OPEN) continue;
            jl_jar_name_write(ends[e], name);
            if (jl_run_jar_named(run, name) == NULL) return false;
        }
    }
    return true;
}

void ranges_free(ranges *r) {
    free(r->all);
    *r = (ranges){0};
}

/* ---- a run's jars ---- */

char *run_name(const char *path, const jl_run *run) {
    const char *slash = strrchr(path, '/');
    const char *title = jl_run_title(run);
    const char *started = jl_facts_text(jl_run_facts(run), "started");
    char *name = NULL;
    if (title == NULL) title = slash == NULL ? path : slash + 1;
    if (asprintf(&name, "%s%s%s", title, started == NULL ? "" : ", ",
                 started == NULL ? "" : started) < 0)
        need(NULL);
    return name;
}

const char *fraction_word(jl_fraction fraction, jl_spirit charge) {
    bool strip = fraction == JL_UNDECIDED && jl_makes_strip_run(charge);
    return strip ? "low wines" : jl_fraction_name(fraction);
}

/* What a fraction becomes in the store. */
static const char *kind_of(const jl_run *run, jl_fraction fraction) {
    if (fraction == JL_HEARTS) return "spirit";
    if (fraction == JL_FORESHOTS) return "foreshots";
    if (fraction != JL_UNDECIDED) return "feints";
    return jl_makes_strip_run(jl_run_recovery(run)->charge) ? "low wines" : "";
}

static void take_jar(const jl_jar *jar, file_part *part) {
    part->measured[part->count] = jl_jar_amount(jar);
    part->keys[part->count++] = jl_jar_key_of(jar);
    double left = jl_jar_left_share(jar);
    part->spirit = jl_blend(
        part->spirit, (jl_spirit){left * jar->spirit.ethanol_kg, left * jar->spirit.water_kg});
    part->parts_l += left * jar->volume_20c_l;
}

static int take_jars(const char *text, const jl_run *run, bool by_fraction, jl_fraction fraction,
                     const ranges *r, file_part *part) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    part->keys = need(calloc(count + 1, sizeof *part->keys));
    const jl_jar **of = need(calloc(count + 1, sizeof(jl_jar *)));
    bytes names = {0};
    part->measured = need(calloc(count + 1, sizeof *part->measured));
    part->instrument = jl_run_instrument(run);
    bool one_kind = true;
    for (size_t i = 0; i < count; i++) {
        bool in = by_fraction ? jars[i].fraction == fraction : ranges_have(r, &jars[i]);
        if (!in) continue;
        if (part->count == 0) fraction = jars[i].fraction;
        one_kind = one_kind && jars[i].fraction == fraction;
        of[part->count] = &jars[i];
        take_jar(&jars[i], part);
    }
    write_jars(&names, of, part->count, " ");
    free(of);
    part->kind = one_kind ? kind_of(run, fraction) : "";
    if (part->count == 0)
        return fail(EXIT_DATA, "%s: the log has no such jar; 'jarline tally' shows what it has",
                    text);
    part->jars = names.data;
    return EXIT_DONE;
}

/* What fractions are called in a part. */
static int fail_part(const char *text, const char *which) {
    static const char *const PARTS[] = {"foreshots", "heads",     "hearts", "tails",
                                        "low-wines", "undecided", "all"};
    jl_nearest near = jl_nearest_to(which);
    for (size_t i = 0; i < sizeof PARTS / sizeof PARTS[0]; i++) jl_nearest_offer(&near, PARTS[i]);
    return refuse("%s: '%s' names no part of a run; expected foreshots, heads, hearts, tails, "
                  "low-wines, undecided, all, or jars, as 3-11%s%s%s",
                  text, which, near.found == NULL ? "" : "; was ",
                  near.found == NULL ? "" : near.found, near.found == NULL ? "" : " meant?");
}

static int part_of_run(const char *text, const char *which, file_part *part) {
    jl_run *run;
    jl_fraction fraction = JL_UNDECIDED;
    ranges r = {0};
    char name[JL_JAR_NAME_BYTES];
    bool low_wines = strcmp(which, "low-wines") == 0;
    bool named =
        low_wines || (*which != '\0' && jl_fraction_read(which, strlen(which), &fraction) == JL_OK);
    if (!named && !ranges_read(which, &r)) return fail_part(text, which);
    int bad = run_read_log(part->path, &run);
    if (bad == EXIT_DONE) {
        part->run = run_name(part->path, run);
        if (low_wines && !jl_makes_strip_run(jl_run_recovery(run)->charge))
            bad = fail(EXIT_DATA,
                       "%s: the run has none: its charge is not stated as below 20 %% vol", text);
        if (!named && !ranges_stand(&r, run, name))
            bad = fail(EXIT_DATA, "%s: the log has no jar %s that counts", text, name);
        if (bad == EXIT_DONE) bad = take_jars(text, run, named, fraction, &r, part);
        jl_run_free(run);
    }
    ranges_free(&r);
    return bad;
}

/* ---- what a vessel holds ---- */

static int take_size(const char *text, const char *size, file_part *part) {
    jl_quantity mass;
    double volume_l = NAN;
    double share;
    if (jl_quantity_read(size, JL_MASS, &mass) == JL_OK) {
        double density = jl_mass_kg(part->spirit) / jl_volume_l(part->spirit, JL_STRENGTH_C) * 1000;
        share = jl_mass_from_scale_kg(mass.value, density) / jl_mass_kg(part->spirit);
    } else {
        int bad = arg_value(text, size, JL_VOLUME, &volume_l);
        if (bad != EXIT_DONE) return bad;
        share = volume_l / jl_volume_l(part->spirit, JL_STRENGTH_C);
    }
    if (!(share > 0)) return refuse("%s: expected more than nothing", text);
    if (share > 1 + 1e-9)
        return fail(EXIT_NO, "%s: the vessel holds %s at 20 °C; expected no more", text,
                    litres_apart(jl_volume_l(part->spirit, JL_STRENGTH_C),
                                 share * jl_volume_l(part->spirit, JL_STRENGTH_C))
                        .one.text);
    part->spirit.ethanol_kg *= share;
    part->spirit.water_kg *= share;
    return EXIT_DONE;
}

/* The charge that stands and left the vessel as it is; NULL: something else did. */
static const jl_book_entry *charge_that_emptied(const jl_book *book, const char *name) {
    size_t count;
    const jl_book_entry *e = jl_book_entries(book, &count);
    while (count-- > 0) {
        if (e[count].taken_back != JL_BOOK_STANDS) continue;
        if (strcmp(jl_book_taken_from(&e[count]), name) == 0)
            return e[count].what == JL_BOOK_CHARGED ? &e[count] : NULL;
    }
    return NULL;
}

static int fail_empty(const char *text, const jl_book *book, const char *name) {
    const jl_book_entry *e = charge_that_emptied(book, name);
    if (e == NULL)
        return fail(EXIT_NO, "%s: %s is empty; expected a vessel that holds something", text, name);
    char number[JL_BOOK_NUMBER_BYTES];
    jl_book_number_write(e->number, number);
    return fail(EXIT_NO,
                "%s: %s is empty: entry %s charged the still with it; begin with 'start' before "
                "that entry, or state the amount, as --charge %s",
                text, name, number, AMOUNT_WORD(e->amount));
}

static int part_of_book(const char *text, const char *which, jl_book_file *f, file_part *part) {
    const char *colon = strchr(which, ':');
    char name[JL_BOOK_NAME_BYTES];
    size_t length = colon == NULL ? strlen(which) : (size_t)(colon - which);
    snprintf(name, sizeof name, "%.*s", (int)length, which);
    const jl_book_vessel *v = jl_book_vessel_named(jl_book_in(f), name);
    if (v == NULL) return fail(EXIT_NO, "%s: the book has no vessel '%s'", text, name);
    if (!(jl_mass_kg(v->spirit) > 0)) return fail_empty(text, jl_book_in(f), v->name);
    part->vessel = need(strdup(v->name));
    part->spirit = v->spirit;
    part->whole = colon == NULL;
    int bad = colon == NULL ? EXIT_DONE : take_size(text, colon + 1, part);
    part->parts_l = jl_volume_l(part->spirit, JL_STRENGTH_C);
    return bad;
}

/* ---- a wash ---- */

/* A wash that still works has the strength of today alone. */
static void say_unfinished(const char *path, const jl_wash_log *log) {
    jl_finish_rule rule;
    jl_ferment f;
    jl_wash_log_rule(log, &rule);
    if (jl_wash_log_judge(log, &rule, &f) != JL_OK || f.state != JL_FINISHED)
        say("%s: by its log this wash has not finished ('jarline wash %s' says more); its strength "
            "is that of the last reading",
            path, path);
}

static int take_wash(const char *path, const jl_wash_log *log, const jl_settings *bench,
                     file_part *part) {
    jl_wash wash = JL_WASH;
    jl_wash_strength strength;
    jl_status status = jl_wash_log_wash(log, &wash);
    if (status == JL_OK && isnan(wash.volume_l))
        return fail(EXIT_DATA,
                    "%s: the log does not state its wash's volume; expected #wash_l, as #wash_l,25",
                    path);
    if (status == JL_OK) status = jl_wash_strength_of(&wash, bench, &strength);
    if (status == JL_OK)
        status = jl_spirit_at_20(wash.volume_l, strength.strength_pct, &part->spirit);
    if (status != JL_OK)
        return fail(EXIT_DATA,
                    "%s: the log does not say how strong its wash is; 'jarline wash %s' says what "
                    "is missing",
                    path, path);
    part->strength_u_pct = strength.strength_u_pct;
    part->parts_l = wash.volume_l;
    say_unfinished(path, log);
    return EXIT_DONE;
}

static int part_of_wash(const char *text, const char *size, const char *bench_file,
                        file_part *part) {
    jl_settings bench;
    jl_wash_log *log;
    const setting_options by = {.log = part->path, .bench = (char *)bench_file};
    int bad = instruments_read(&by, &bench);
    if (bad != EXIT_DONE) return bad;
    const jl_hydrometer hydrometer = jl_settings_to_hydrometer(&bench);
    bad = wash_read_log(part->path, &hydrometer, &log);
    if (bad != EXIT_DONE) return bad;
    bad = take_wash(part->path, log, &bench, part);
    jl_wash_log_free(log);
    part->wash = true;
    part->whole = size == NULL;
    if (bad == EXIT_DONE && size != NULL) bad = take_size(text, size, part);
    part->parts_l = jl_volume_l(part->spirit, JL_STRENGTH_C);
    return bad;
}

/* ---- a charge's file ---- */

static int part_of_plan(file_part *part) {
    int bad = read_charge(part->path, &part->plan);
    if (bad != EXIT_DONE) return bad;
    if (part->plan.vessel != NULL) part->vessel = need(strdup(part->plan.vessel));
    jl_status status =
        jl_spirit_at_20(part->plan.charge_l, part->plan.charge_strength_pct, &part->spirit);
    if (status != JL_OK)
        return fail(EXIT_DATA, "%s: the charge is %s", part->path, jl_status_text(status));
    part->planned = true;
    part->parts_l = part->plan.charge_l;
    if (part->plan.charge_strength_u_pct > 0)
        part->strength_u_pct = part->plan.charge_strength_u_pct;
    return EXIT_DONE;
}

/* A run without cuts, as a strip run, has but one part. */
static int read_whole_run(file_part *part) {
    const char *path = part->path;
    jl_run *run;
    size_t count;
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    const jl_jar *jars = jl_run_jars(run, &count);
    bool cut = count == 0;
    for (size_t i = 0; i < count; i++) cut = cut || jars[i].fraction != JL_UNDECIDED;
    jl_run_free(run);
    if (!cut) return part_of_run(path, "all", part);
    return refuse("%s: which part of the run? Expected %s:hearts, %s:all or jars, as %s:3-11", path,
                  path, path, path);
}

static int read_whole(const char *bench, file_part *part) {
    const char *path = part->path;
    switch (file_kind_of(path)) {
    case FILE_WASH:
        return part_of_wash(path, NULL, bench, part);
    case FILE_RUN:
        return read_whole_run(part);
    case FILE_BOOK:
        return refuse("%s: which vessel of the book? Expected %s:VESSEL", path, path);
    default:
        return part_of_plan(part);
    }
}

/* ---- which file it is ---- */

static int read_book(const char *text, const char *which, file_part *part) {
    jl_book_file *book;
    int bad = book_open_to_read(part->path, &book);
    if (bad != EXIT_DONE) return bad;
    bad = part_of_book(text, which, book, part);
    jl_book_close(book);
    return bad;
}

/* What is neither is taken for a run log, which says what is wrong with it. */
static int read_file(const char *text, const char *which, const char *bench, file_part *part) {
    file_kind kind = file_kind_of(part->path);
    if (errno != 0) return fail(EXIT_INPUT, "%s: %s", part->path, strerror(errno));
    return kind == FILE_WASH   ? part_of_wash(text, which, bench, part)
           : kind == FILE_BOOK ? read_book(text, which, part)
                               : part_of_run(text, which, part);
}

/* Not a folder that happens to be called as a strength is. */
static bool is_file(const char *text) {
    struct stat about;
    return stat(text, &about) == 0 && S_ISREG(about.st_mode);
}

int part_read(const char *text, const char *bench, file_part *part) {
    *part = (file_part){.kind = ""};
    const char *colon = colon_behind_file(text, &part->path);
    bool whole = colon == NULL && is_file(text);
    if (colon == NULL && !whole) return EXIT_DONE;
    if (whole) part->path = need(strdup(text));
    int bad = whole ? read_whole(bench, part) : read_file(text, colon + 1, bench, part);
    if (bad != EXIT_DONE) part_free(part);
    return bad;
}

void part_free(file_part *part) {
    free(part->path);
    free(part->run);
    free(part->jars);
    free(part->keys);
    free(part->measured);
    free(part->vessel);
    *part = (file_part){.kind = ""};
}

static bool same_file(const char *a, const char *b) {
    struct stat x, y;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

static int compare_keys(const void *a, const void *b) {
    jl_jar_key x = *(const jl_jar_key *)a, y = *(const jl_jar_key *)b;
    return (x > y) - (x < y);
}

bool parts_overlap(const file_part *a, const file_part *b) {
    if (!same_file(a->path, b->path)) return false;
    if (a->vessel != NULL && b->vessel != NULL) return strcmp(a->vessel, b->vessel) == 0;
    if (a->wash || b->wash || a->planned || b->planned) return true;
    for (size_t i = 0; i < a->count; i++)
        if (bsearch(&a->keys[i], b->keys, b->count, sizeof *b->keys, compare_keys) != NULL)
            return true;
    return false;
}

/* ---- an amount ---- */

amount_word amount_in_a_word(double volume_l, double strength_pct) {
    amount_word word;
    jl_spirit spirit;
    bool proof = units_seen().proof && jl_spirit_at_20(volume_l, strength_pct, &spirit) == JL_OK;
    if (proof) volume_l = jl_volume_l(spirit, JL_PROOF_C);
    snprintf(word.text, sizeof word.text, "%.9gL@%.4g%s", round(1000 * volume_l) / 1000,
             value_seen(strength_pct, PCT_VOL), proof ? "proof" : "%");
    return word;
}

bool is_amount(const char *text) {
    char *path;
    bool of_file = colon_behind_file(text, &path) != NULL;
    free(path);
    return of_file || is_file(text) || strchr(text, '@') != NULL || strchr(text, ':') != NULL;
}

static int read_written(const char *text, const jl_alcoholometer *instrument, given_amount *g) {
    jl_fault fault = {0};
    jl_status status = jl_amount_read(text, &g->amount, &fault);
    if (status == JL_OK) status = jl_amount_spirit(&g->amount, instrument, &g->spirit);
    if (status == JL_OK) return EXIT_DONE;
    if (strchr(text, ':') != NULL)
        return refuse("amount '%s': no file of that name; expected a file and its part, as "
                      "october.csv:hearts, october.csv:3-11 or house.csv:demijohn-3:2.5L",
                      text);
    return fail_argument("amount", text, status,
                         fault.expected != NULL
                             ? fault.expected
                             : "a reading that its alcoholometer can show at its temperature, from "
                               "-20 to 40 °C (-4 to 104 °F)");
}

int given_read(const char *text, const jl_alcoholometer *instrument, const char *bench,
               given_amount *given) {
    given_amount g = {0};
    int bad = part_read(text, bench, &g.part);
    if (bad != EXIT_DONE) return bad;
    if (g.part.path == NULL) {
        bad = read_written(text, instrument, &g);
        if (bad != EXIT_DONE) return bad;
    } else {
        g.spirit = g.part.spirit;
        g.amount = jl_amount_at_20(g.spirit);
    }
    *given = g;
    return EXIT_DONE;
}

int given_charge(const char *text, const char *file, const jl_alcoholometer *instrument,
                 const char *bench, given_amount *given) {
    *given = (given_amount){0};
    if (file == NULL) return given_read(text, instrument, bench, given);
    given->part.path = need(strdup(file));
    int bad = read_whole(bench, &given->part);
    if (bad != EXIT_DONE) given_free(given);
    given->spirit = given->part.spirit;
    given->amount = jl_amount_at_20(given->spirit);
    return bad;
}

void answer_by_amount(const jl_amount *amount) {
    if (amount->strength.unit == JL_UNIT_PROOF_US) units_by((units){true, true}, UNITS_OF_WORDS);
}

void given_free(given_amount *given) {
    part_free(&given->part);
}

int arg_spirit(const char *text, const jl_alcoholometer *instrument, const char *bench,
               jl_spirit *spirit) {
    given_amount g;
    int bad = given_read(text, instrument, bench, &g);
    if (bad != EXIT_DONE) return bad;
    *spirit = g.spirit;
    given_free(&g);
    return EXIT_DONE;
}
