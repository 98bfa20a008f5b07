/* bench: the bench file shown, changed, filled.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/bench.h"
#include "answer/output.h"
#include "answer/say.h"
#include "answer/show.h"
#include "command.h"
#include "input/line.h"
#include "input/questions.h"
#include "input/settings.h"
#include "keys/facts.h"
#include "keys/likely.h"
#include "learn/learnt.h"
#include "log/settings_file.h"
#include "still/from_settings.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- Keys ---- */

/* Behind a key's stem, by which its unit is known. */
static const char *unit_of(const jl_key *key) {
    static const struct {
        const char *end, *unit;
    } UNITS[] = {{"_kj_c", "kJ/°C"}, {"_per_c", "per °C"}, {"_kpa", "kPa"}, {"_pct", "%"},
                 {"_sg", "SG"},      {"_ml", "mL"},        {"_l", "L"},     {"_c", "°C"},
                 {"_g", "g"},        {"_w", "W"},          {"_m", "m"}};
    if (key->fact.kind == JL_STRENGTH) return "% vol";
    size_t length = strlen(key->name);
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        size_t end = strlen(UNITS[i].end);
        if (length > end && strcmp(key->name + length - end, UNITS[i].end) == 0)
            return UNITS[i].unit;
    }
    return "";
}

/* ---- Showing ---- */

static void show_row(show *s, const char *still, const char *key, const char *value,
                     const char *from) {
    show_cells(s, CELLS(V(still), V(key), V(value), V(from)));
}

/* Whether what was learnt with a still leaves its stages open. */
static bool leaves_stages_open(const jl_facts *facts, const jl_fact *section) {
    static jl_learnt_still learnt; /* too large for some stacks */
    jl_learnt_summary sum;
    return jl_learnt_read_section(facts, section, &learnt, NULL) == JL_OK &&
           jl_learnt_summarize(&learnt, &sum) == JL_OK && !sum.stages_told;
}

/* all: each row of what was learnt, which people seldom read. */
static void show_stated(show *s, const jl_facts *facts, const char *wanted, bool all) {
    size_t rows = 0;
    const jl_fact *section = NULL;
    const char *still = "";
    const jl_fact *fact;
    char from[48];
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        const jl_key_id id = jl_key_of(fact, JL_IN_SETTINGS);
        if (id == JL_KEY_STILL) {
            section = fact;
            still = fact->text;
        }
        if (id == JL_KEY_STILL || id == JL_KEY_JARLINE || id == JL_KEY_KIND) continue;
        if (wanted != NULL && still[0] != '\0' && strcasecmp(still, wanted) != 0) continue;
        if (!all && strcmp(fact->key, "learnt_stages") == 0) {
            rows++;
            continue;
        }
        bool open = id == JL_KEY_STAGES && leaves_stages_open(facts, section);
        snprintf(from, sizeof from, "line %zu%s", fact->line, open ? ", not shown by runs" : "");
        show_row(s, still, fact->key, fact->text, from);
    }
    if (rows > 0)
        show_text_remark(s,
                         "What calibrate learnt stands in %zu rows more, learnt_stages; --details "
                         "shows them.",
                         rows);
}

static bool is_stated(const jl_facts *facts, jl_key_id id) {
    const jl_fact *fact;
    for (size_t i = 0; facts != NULL && (fact = jl_facts_at(facts, i)) != NULL; i++)
        if (jl_key_of(fact, JL_IN_SETTINGS) == id) return true;
    return false;
}

/* What the file leaves to its default, or leaves open. */
static void show_left_out(show *s, const jl_facts *facts) {
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_key *key = &jl_keys[id];
        if ((key->where & JL_IN_SETTINGS) == 0 || key->form == JL_AS_ROW || is_stated(facts, id) ||
            id == JL_KEY_JARLINE || id == JL_KEY_KIND || id == JL_KEY_STILL)
            continue;
        if (id == JL_KEY_PRESSURE && is_stated(facts, JL_KEY_ALTITUDE)) continue;
        show_row(s, "", key->name, key->usual == NULL ? "" : key->usual,
                 key->usual == NULL ? "not stated" : key->source);
    }
}

/* Whether every command can read it, its head and each of its stills. */
static int check_readable(const char *path, const jl_facts *facts) {
    static jl_settings s;
    settings_file file = {.name = path, .where = JL_IN_SETTINGS, .optional = true};
    const jl_fact *section = jl_still_section(facts, 0);
    const char *name = NULL;
    int bad;
    size_t i = 0;
    do {
        file.still = section == NULL ? NULL : section->text;
        jl_settings_begin(&s);
        bad = settings_file_read(&file, JL_IN_SETTINGS, &s, &name);
        section = jl_still_section(facts, ++i);
    } while (bad == 0 && section != NULL);
    return bad;
}

/* A section that is asked for is there. */
static int check_still(const char *path, const jl_facts *facts, const char *still) {
    const jl_fact *section;
    if (still == NULL || jl_still_named(facts, still, &section) == JL_OK) return EXIT_DONE;
    return refuse("--still-name '%s': %s has no such still", still, path);
}

static int show_bench_file(const char *path, const char *option, const char *still, bool details,
                           bool json) {
    static const column COLUMNS[] = {{"still_name", "still", "", 10, 0, COLUMN_WORDS},
                                     {"key", "key", "", 26, 0, COLUMN_WORDS},
                                     {"stated", "value", "", 10, 0, COLUMN_WORDS},
                                     {"from", "from", "", 26, 0, COLUMN_WORDS}};
    jl_facts *facts = NULL;
    const char *place = path != NULL ? path : bench_place(option);
    int bad = path == NULL ? 0 : settings_file_facts(path, &facts);
    if (bad == 0 && path != NULL) bad = check_still(path, facts, still);
    if (bad != 0) {
        jl_facts_free(facts);
        return bad;
    }
    show *s = show_open(json);
    if (path != NULL || details) {
        show_table(s, "settings", COLUMNS, sizeof COLUMNS / sizeof COLUMNS[0]);
        show_table_above(s);
        if (facts != NULL) show_stated(s, facts, still, details || json);
        if (details) show_left_out(s, facts);
    }
    if (path != NULL)
        show_bench(path);
    else
        show_text(s, NULL, "Bench file", "none is found: every value is a default");
    show_text(s, "place", path == NULL ? "A new one" : NULL, place);
    if (path == NULL) show_next(s, "jarline bench --init");
    if (path != NULL) bad = check_readable(path, facts);
    jl_facts_free(facts);
    return show_close(s, bad);
}

/* ---- Writing ---- */

/* The folder of the user's settings may not be there yet. */
static void make_folders(const char *path) {
    char folder[4096];
    for (const char *c = strchr(path + 1, '/'); c != NULL; c = strchr(c + 1, '/')) {
        snprintf(folder, sizeof folder, "%.*s", (int)(c - path), path);
        if (mkdir(folder, 0777) != 0 && errno != EEXIST) return; /* creating the file says why */
    }
}

static int write_changes(const char *path, const jl_settings_change *changes, size_t count) {
    jl_fault fault;
    jl_trouble trouble;
    if (access(path, F_OK) != 0) make_folders(path);
    jl_status status = jl_settings_file_change(path, changes, count, &fault, &trouble);
    if (status == JL_OK) return 0;
    if (fault.status == status && fault.line > 0) {
        char expected[300];
        snprintf(expected, sizeof expected, "%s; nothing was changed",
                 fault.expected == NULL ? "a key that jarline-bench(5) lists" : fault.expected);
        fault.expected = expected;
        return fail_fault(path, &fault);
    }
    return fail_write(path, status, trouble, NULL, "changed");
}

static int show_written_to(const char *path, bool json) {
    show *s = show_open(json);
    show_bench(path);
    show_written_path(s, path);
    show_on_disk(s, "the change is in %s", path);
    return show_close(s, EXIT_DONE);
}

/* name: of the key, with the unit of such a number. */
static bool is_bare(jl_key_id id, const char *name, const char *text, jl_quantity *number) {
    const jl_fact fact = {
        .key = name, .values = &text, .count = 1, .text = text, .comma = JL_COMMA_DECIMAL};
    return jl_fact_quantity(&fact, &jl_keys[id].fact, number, NULL) == JL_OK;
}

/* A number without its unit that no small still has: "2.2 W", and what was probably meant. */
static bool is_unlikely(jl_key_id id, const char *name, const char *text, char figure[REMARK_WORD],
                        char meant[REMARK_WORD]) {
    jl_quantity number;
    const jl_key *key = &jl_keys[id];
    if (key->form != JL_AS_NUMBER || !is_bare(id, name, text, &number)) return false;
    if (jl_key_is_likely(id, number.value)) return false;
    const char *unit = jl_key_unit_meant(id, text);
    snprintf(figure, REMARK_WORD, "%.6g %s", jl_fact_value(key->name, &key->fact, number.value),
             unit_of(key));
    snprintf(meant, REMARK_WORD, "%.20s%s", unit == NULL ? "" : text, unit == NULL ? "" : unit);
    return true;
}

/* A number in the unit of the key, or an option's word with its own. */
static bool read_value(jl_key_id id, const char *text, char value[QUESTION_BYTES]) {
    const jl_key *key = &jl_keys[id];
    static jl_settings scratch;
    jl_quantity number;
    snprintf(value, QUESTION_BYTES, "%s", text);
    if (key->form == JL_AS_TEXT) return strcspn(text, "\r\n") == strlen(text);
    if (is_bare(id, key->name, text, &number)) return true;
    jl_settings_begin(&scratch);
    if (jl_settings_option(&scratch, id, text, NULL) != JL_OK) return false;
    snprintf(value, QUESTION_BYTES, "%.10g",
             jl_fact_value(key->name, &key->fact, jl_setting_value(&scratch, id)));
    return true;
}

static int fail_set(const char *word, const char *key, bool of_still) {
    char akin[400];
    list_akin_keys(key, of_still ? JL_IN_STILL : JL_IN_SETTINGS, akin, sizeof akin);
    if (akin[0] == '\0')
        snprintf(akin, sizeof akin, "%s", of_still ? "power_w" : "alcoholometer_division_pct");
    return refuse("--set '%s': expected a key that 'jarline bench --details' lists, as %s", word,
                  akin);
}

/* What the change of a line means for the stills of the file. */
typedef struct of_stills {
    char others[400]; /* where the still is a new one beside them: their names; "": it is not */
    char own[400];    /* the stills whose own line of the key stands above what was set for all */
} of_stills;

static void add_name(char *list, size_t size, const char *name) {
    size_t n = strlen(list);
    snprintf(list + n, size - n, "%s%s", n > 0 ? ", " : "", name);
}

static void look_at_stills(const jl_facts *facts, const char *still, jl_key_id id, of_stills *of) {
    const jl_fact *fact, *section = NULL;
    bool known = still == NULL || jl_still_named(facts, still, &section) == JL_OK;
    section = NULL;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        if (jl_begins_section(fact)) {
            section = fact;
            if (!known) add_name(of->others, sizeof of->others, section->text);
        } else if (still == NULL && section != NULL && jl_key_of(fact, JL_IN_STILL) == id)
            add_name(of->own, sizeof of->own, section->text);
    }
}

static int read_stills(const char *path, const char *still, jl_key_id id, of_stills *of) {
    jl_facts *facts;
    *of = (of_stills){"", ""};
    if (access(path, F_OK) != 0) return EXIT_DONE;
    int bad = settings_file_facts(path, &facts);
    if (bad != EXIT_DONE) return bad;
    look_at_stills(facts, still, id, of);
    jl_facts_free(facts);
    return EXIT_DONE;
}

static int show_set(const char *path, const char *still, const char *key, const of_stills *of,
                    bool json) {
    show *s = show_open(json);
    show_bench(path);
    if (of->others[0] != '\0') {
        show_text(s, "new_still", NULL, still);
        show_remark(
            s,
            "A new still, %s, beside %s; 'jarline bench --still-name \"%s\" --remove' takes "
            "it out.",
            still, of->others, still);
    }
    if (of->own[0] != '\0')
        show_warning(s,
                     "%s has its own %s, which stands above this one; --still-name NAME changes "
                     "that.",
                     of->own, key);
    show_written_path(s, path);
    show_on_disk(s, "the change is in %s", path);
    return show_close(s, EXIT_DONE);
}

static int refuse_unlikely(jl_key_id id, const char *word, const char *figure, const char *meant) {
    return refuse("--set '%s': %s is unlikely (usual: %s); expected it with its unit%s%s", word,
                  figure, jl_key_likely_range(id), meant[0] == '\0' ? "" : ", as ", meant);
}

static int set_one(const char *path, const char *still, const char *word, bool json) {
    of_stills of;
    char figure[REMARK_WORD], meant[REMARK_WORD];
    char key[JL_KEY_BYTES], value[QUESTION_BYTES];
    const char *equals = strchr(word, '=');
    if (equals == NULL || (size_t)(equals - word) >= sizeof key)
        return refuse("--set '%s': expected a key and its value, as power_w=2000", word);
    snprintf(key, sizeof key, "%.*s", (int)(equals - word), word);
    const jl_fact fact = {.key = key};
    jl_key_id id = jl_key_of(&fact, still == NULL ? JL_IN_SETTINGS : JL_IN_STILL);
    if (id == JL_KEY_STILL)
        return refuse(
            "--set '%s': a still is named by --still-name NAME beside --set of one of its "
            "keys, and renamed by --still-name NAME --rename OTHER",
            word);
    if (id == JL_KEYS || jl_keys[id].form == JL_AS_ROW) return fail_set(word, key, still != NULL);
    const bool plain = jl_keys[id].form == JL_AS_TEXT || !read_value(id, equals + 1, value);
    if (is_unlikely(id, key, equals + 1, figure, meant))
        return refuse_unlikely(id, word, figure, meant);
    const jl_settings_change change = {still, key, plain ? equals + 1 : value, NULL};
    int bad = read_stills(path, still, id, &of);
    if (bad == 0) bad = write_changes(path, &change, 1);
    return bad == 0 ? show_set(path, still, key, &of, json) : bad;
}

/* name: "": it is taken out. */
static int change_still(const char *path, const char *still, const char *name, bool json) {
    jl_facts *facts;
    if (still == NULL)
        return refuse("expected --still-name NAME, the still to be removed or renamed");
    int bad = settings_file_facts(path, &facts);
    if (bad != 0) return bad;
    bad = check_still(path, facts, still);
    jl_facts_free(facts);
    const jl_settings_change change = {still, jl_keys[JL_KEY_STILL].name, name, NULL};
    if (bad == 0) bad = write_changes(path, &change, 1);
    return bad == 0 ? show_written_to(path, json) : bad;
}

/* ---- Taking files over ---- */

/* The name under which a still's file goes in: as stated there or on the line, else the file's. */
static void name_still(const char *file, const jl_facts *facts, const char *option, char *name,
                       size_t size) {
    const jl_fact *section = jl_still_section(facts, 0);
    const char *base = strrchr(file, '/'), *title = jl_facts_text(facts, "title");
    base = base == NULL ? file : base + 1;
    if (option == NULL && section != NULL) option = section->text;
    if (option == NULL) option = title;
    if (option != NULL)
        snprintf(name, size, "%s", option);
    else
        snprintf(name, size, "%.*s", (int)strcspn(base, "."), base);
}

static bool is_row(const jl_fact *fact) {
    jl_key_id id = jl_key_of(fact, JL_IN_STILL);
    return id != JL_KEYS && id != JL_KEY_JARLINE && jl_keys[id].form == JL_AS_ROW;
}

/* A fault of what is taken over is one of its file, and not of the bench file to be. */
static int check_adopted(const char *file, const jl_facts *facts) {
    static jl_settings scratch;
    jl_fault fault = {0};
    if (jl_still_section(facts, 1) != NULL)
        return fail(EXIT_DATA,
                    "%s has several stills; expected a file of one still or of instruments", file);
    jl_settings_begin(&scratch);
    jl_status status =
        jl_settings_take_sections(&scratch, facts, JL_IN_SETTINGS, NULL, file, NULL, &fault);
    if (status == JL_OK) return 0;
    if (fault.expected == NULL) fault.expected = "a key that jarline-bench(5) lists";
    return fail_fault(file, &fault);
}

/* Keys of a still alone go into its section, the others before the first. */
static int adopt(const char *path, const char *file, const char *option, bool json) {
    jl_facts *facts;
    const jl_fact *fact;
    char name[200];
    int bad = settings_file_facts(file, &facts);
    if (bad != 0) return bad;
    bad = check_adopted(file, facts);
    if (bad != 0) {
        jl_facts_free(facts);
        return bad;
    }
    name_still(file, facts, option, name, sizeof name);
    size_t count = 0, room = 0;
    while (jl_facts_at(facts, room) != NULL) room++;
    jl_settings_change *changes = need(calloc(2 * room + 1, sizeof *changes));
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        if (is_row(fact)) changes[count++] = (jl_settings_change){name, fact->key, "", NULL};
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        jl_key_id id = jl_key_of(fact, JL_IN_SETTINGS);
        bool of_still = id != JL_KEYS && (jl_keys[id].where & JL_IN_INSTRUMENTS) == 0;
        if (id == JL_KEY_JARLINE || id == JL_KEY_KIND || id == JL_KEY_STILL || id == JL_KEY_TITLE)
            continue;
        changes[count++] = (jl_settings_change){of_still ? name : NULL, fact->key, fact->text,
                                                is_row(fact) ? fact : NULL};
    }
    bad = write_changes(path, changes, count);
    free(changes);
    jl_facts_free(facts);
    return bad == 0 ? show_written_to(path, json) : bad;
}

/* ---- A thermometer of the still, checked in boiling water ---- */

static const struct {
    const char *option, *label;
    jl_key_id offset, standard;
} CHECKS[] = {
    {"--check-thermometer", "Head thermometer shows too much", JL_KEY_HEAD_OFFSET,
     JL_KEY_HEAD_OFFSET_U},
    {"--check-boiler-thermometer", "Boiler thermometer shows too much", JL_KEY_BOILER_OFFSET,
     JL_KEY_BOILER_OFFSET_U},
};

/* More is seldom seen: common practice, no source. */
static const double OFFSET_USUAL_C = 3;

/* A shown temperature out of range: with what boils where. */
static int fail_check(const char *option, const char *text, jl_status status,
                      const jl_settings *s) {
    jl_boiling water = {NAN, NAN, NAN};
    if (status == JL_MISSING)
        return refuse("%s needs the air's pressure; expected --pressure 985hPa, or an altitude",
                      option);
    jl_boil(0, jl_settings_to_still(s).pressure_kpa, &water);
    return refuse("%s '%s': water boils at %.1f °C there; expected within 20 °C of that", option,
                  text, water.temp_c);
}

static int show_checked(const char *path, int which, const jl_settings *s, double offset_c,
                        double standard_c, bool json) {
    jl_boiling water;
    show *out = show_open(json);
    show_bench(path);
    show_number(out, "offset_c", CHECKS[which].label, offset_c, 2, "°C");
    show_number(out, "expanded_c", "  ± (k = 2)", JL_COVERAGE_K * standard_c, 2, "°C");
    if (jl_boil(0, jl_settings_to_still(s).pressure_kpa, &water) == JL_OK)
        show_number(out, "boil_c", "Water boils there at", water.temp_c, 1, "°C");
    show_number(out, "pressure_kpa", "Air pressure", jl_settings_to_still(s).pressure_kpa, 2,
                "kPa");
    if (fabs(offset_c) > OFFSET_USUAL_C)
        show_warning(out,
                     "%.1f °C is much for a thermometer (more than %.0f °C; common practice, no "
                     "source): check again whether the water boiled and the pressure is right.",
                     offset_c, OFFSET_USUAL_C);
    if (!jl_is_stated(s, JL_KEY_PRESSURE))
        show_assumption(out, "The pressure is that of an average day at the altitude; with "
                             "--pressure the uncertainty is smaller.");
    show_written_path(out, path);
    show_on_disk(out, "the check is in %s", path);
    return show_close(out, EXIT_DONE);
}

static int check_thermometer(const char *path, int which, const char *text,
                             const setting_options *o, bool json) {
    static jl_settings s;
    char nothing[] = "/dev/null";
    setting_options with = *o;
    if (access(path, F_OK) != 0) with.bench = nothing; /* it is made here */
    double shown_c, pressure_kpa, offset_c, standard_c;
    char offset[32], standard[32];
    int bad = arg_value(CHECKS[which].option, text, JL_TEMPERATURE, &shown_c);
    if (bad == 0) bad = arg_air(&with, &s, &pressure_kpa);
    if (bad == 0) bad = settings_read(&with, JL_IN_INSTRUMENTS, &s);
    if (bad != 0) return bad;
    jl_status status = jl_thermometer_check(shown_c, &s, &offset_c, &standard_c);
    if (status != JL_OK) return fail_check(CHECKS[which].option, text, status, &s);
    snprintf(offset, sizeof offset, "%.2f", offset_c);
    snprintf(standard, sizeof standard, "%.2f", standard_c);
    const jl_settings_change changes[] = {
        {NULL, jl_keys[CHECKS[which].offset].name, offset, NULL},
        {NULL, jl_keys[CHECKS[which].standard].name, standard, NULL}};
    bad = write_changes(path, changes, 2);
    return bad == 0 ? show_checked(path, which, &s, offset_c, standard_c, json) : bad;
}

/* ---- Asking ---- */

enum { ASK_BOILER = 13, ASK_MARK, ASKED = 18 };

typedef struct asking {
    char answers[ASKED][QUESTION_BYTES]; /* as the file has them; "": left to its default */
} asking;

static const struct {
    jl_key_id id;
    const char *what, *enter; /* enter: what it means; NULL: the key's default, or none */
} QUESTIONS[ASKED] = {
    {JL_KEY_ALCOHOLOMETER_DIVISION, "division of the alcoholometer, % vol"},
    {JL_KEY_CALIBRATED, "temperature of the alcoholometer's scale, °C",
     " (Enter: 20 °C, of proof 60 °F)"},
    {JL_KEY_THERMOMETER_DIVISION, "division of the thermometer, °C"},
    {JL_KEY_THERMOMETER_CORRECTION, "correction of the thermometer, added to what it shows, °C",
     " (Enter: none)"},
    {JL_KEY_JUG_DIVISION, "division of the measuring jug, mL"},
    {JL_KEY_SCALE_DIVISION, "division of the scale, g"},
    {JL_KEY_HYDROMETER_DIVISION, "division of the hydrometer, SG"},
    {JL_KEY_ALTITUDE, "altitude of the house, m"},
    {JL_KEY_PROOF, "US proof and °F in new run logs, y or n", " (Enter: n)"},
    {JL_KEY_BOTTLE, "volume of a bottle, L"},
    {JL_KEY_HOUSE, "name of the house"},
    {JL_KEY_STILL, "name of the still"},
    {JL_KEY_POWER, "power of the still's heating, W"},
    {JL_KEY_BOILER, "size of the still's boiler, to the brim, L"},
    {JL_KEY_MARK, "mark to which it is filled, L", " (Enter: two thirds of it)"},
    {JL_KEY_MIN_LIQUID, "liquid that covers the still's heating element, L"},
    {JL_KEY_STAGES, "stages of the still, 1 is a plain pot"},
    {JL_KEY_JAR, "volume of a jar, L"},
};

static const question TO_ASK[ASKED] = {
    {0, QUESTION_TEXT,
     "Division: from one line of a scale to the next. A reading can be wrong by half of it, and "
     "the limit of an alcoholometer follows from it.",
     false},
    {1, QUESTION_TEXT,
     "The scale's temperature stands on the glass; a reading of warmer or colder spirit is "
     "corrected by it.",
     false},
    {2, QUESTION_TEXT, "Temperatures can be wrong by half of the thermometer's division.", false},
    {3, QUESTION_TEXT,
     "The correction stands in a certificate, or is what melting ice and boiling water show.",
     false},
    {4, QUESTION_TEXT,
     "Volumes of jars can be wrong by half of the jug's division, beside the jug's own limit.",
     false},
    {5, QUESTION_TEXT, "Weights can be wrong by half of the scale's division.", false},
    {6, QUESTION_TEXT, "Gravities of the wash can be wrong by half of the hydrometer's division.",
     false},
    {7, QUESTION_TEXT, "The altitude gives the air's pressure, which decides boiling points.",
     false},
    {8, QUESTION_TEXT,
     "Where the alcoholometer shows proof, new run logs, cards and accounts are in proof and °F.",
     false},
    {9, QUESTION_TEXT, "The volume of a bottle is for counting bottles.", false},
    {10, QUESTION_TEXT, "The house's name is printed on reports and labels.", false},
    {11, QUESTION_TEXT, "The answers behind this one hold for this still; a run's log names it.",
     false},
    {12, QUESTION_TEXT, "How long a run takes follows from the power.", false},
    {ASK_BOILER, QUESTION_TEXT, "How many loads a wash makes follows from the boiler's size.",
     false},
    {ASK_MARK, QUESTION_TEXT,
     "A load is never above the mark: what boils needs room, and a wash foams.", false},
    {15, QUESTION_TEXT, "A run that would uncover the heating element is refused.", false},
    {16, QUESTION_TEXT,
     "How strong the spirit comes over follows from the stages; 'jarline calibrate' learns them "
     "from runs.",
     false},
    {17, QUESTION_TEXT, "A forecast is shown in jars of this volume.", false},
};

static void write_question(void *with, int which, char text[QUESTION_BYTES]) {
    const asking *a = with;
    const char *usual = jl_keys[QUESTIONS[which].id].usual, *enter = QUESTIONS[which].enter;
    const char *given = a->answers[which];
    if (given[0] != '\0') /* gone back to: Enter leaves it */
        snprintf(text, QUESTION_BYTES,
                 "  %s (Enter: %s, as given; -: none): ", QUESTIONS[which].what, given);
    else if (enter != NULL)
        snprintf(text, QUESTION_BYTES, "  %s%s: ", QUESTIONS[which].what, enter);
    else
        snprintf(text, QUESTION_BYTES, "  %s (Enter: %s): ", QUESTIONS[which].what,
                 usual == NULL ? "not stated" : usual);
}

static double answered_l(const asking *a, int which) {
    jl_quantity number;
    const jl_key_id id = QUESTIONS[which].id;
    return is_bare(id, jl_keys[id].name, a->answers[which], &number) ? number.value : NAN;
}

/* An answer that stands; a mark that lies within the boiler. */
static answered check_taken(asking *a, int which, remark *r) {
    if (which != ASK_MARK || !(answered_l(a, ASK_MARK) > answered_l(a, ASK_BOILER)))
        return ANSWER_TAKEN;
    snprintf(r->text, sizeof r->text, "'%.40s': expected a mark within the boiler's %.40s L, or -.",
             a->answers[ASK_MARK], a->answers[ASK_BOILER]);
    a->answers[ASK_MARK][0] = '\0';
    return ANSWER_REFUSED;
}

static answered take_answer(void *with, int which, const char *text, bool stays, remark *r) {
    asking *a = with;
    const jl_key *key = &jl_keys[QUESTIONS[which].id];
    bool yes, decision = QUESTIONS[which].id == JL_KEY_PROOF;
    if (text[0] == '\0') return check_taken(a, which, r); /* as it was, or its default */
    a->answers[which][0] = '\0';
    if (strcmp(text, "-") == 0) return ANSWER_TAKEN;
    if (decision && answer_is_yes_or_no(text, &yes)) text = yes ? "1" : "0";
    if (!stays && is_unlikely(QUESTIONS[which].id, key->name, text, r->kept, r->guess)) {
        snprintf(r->text, sizeof r->text, "%s is unlikely (usual: %s).%s%s%s", r->kept,
                 jl_key_likely_range(QUESTIONS[which].id), r->guess[0] == '\0' ? "" : " Was ",
                 r->guess, r->guess[0] == '\0' ? "" : " meant?");
        return ANSWER_UNLIKELY;
    }
    if (read_value(QUESTIONS[which].id, text, a->answers[which])) return check_taken(a, which, r);
    a->answers[which][0] = '\0';
    snprintf(r->text, sizeof r->text, "'%.40s': expected %s, or Enter.", text,
             decision ? "y or n" : key->range);
    return ANSWER_REFUSED;
}

static int write_answers(const char *path, const asking *a) {
    jl_settings_change changes[ASKED];
    size_t count = 0;
    const char *still = NULL;
    for (int i = 0; i < ASKED; i++) {
        const char *value = a->answers[i];
        bool names = QUESTIONS[i].id == JL_KEY_STILL;
        if (names && value[0] != '\0') still = value;
        if (value[0] == '\0' || names) continue;
        bool of_still = (jl_keys[QUESTIONS[i].id].where & JL_IN_STILL) != 0 &&
                        QUESTIONS[i].id != JL_KEY_ALTITUDE;
        changes[count++] = (jl_settings_change){of_still ? still : NULL,
                                                jl_keys[QUESTIONS[i].id].name, value, NULL};
    }
    return write_changes(path, changes, count);
}

static int show_made(const char *path) {
    show *s = show_open(false);
    show_bench(path);
    show_written_path(s, path);
    show_next(s, "jarline bench --bench %s", path);
    show_on_disk(s, "the bench file is %s", path);
    return show_close(s, EXIT_DONE);
}

static int ask(const char *path) {
    static asking a;
    questions q = {.all = TO_ASK,
                   .count = ASKED,
                   .words = "  Nothing is written before the last answer.\n",
                   .explained = true,
                   .with = &a,
                   .write = write_question,
                   .read = take_answer};
    if (access(path, F_OK) == 0)
        return fail(EXIT_CREATE,
                    "%s is there already; expected --set KEY=VALUE, which changes a line of it, or "
                    "--bench FILE for another",
                    path);
    line_begin();
    if (line_is_person())
        puts("The bench file: what is the same every day. Enter leaves a question at what\n"
             "stands behind it; back returns to the one before.");
    asked how = questions_ask(&q);
    if (how == ASKED_FAILED) return q.exit_status;
    if (how != ASKED_ALL)
        return fail(EXIT_NO, "nothing was written: the questions were not answered to the end");
    int bad = write_answers(path, &a);
    return bad == 0 ? show_made(path) : bad;
}

/* ---- The command ---- */

typedef struct words {
    setting_options with;
    char *set, *adopt, *rename, *checked[2];
    int init, remove, details, json;
} words;

static int run_bench(const words *w, const args *a) {
    const char *path = bench_path(w->with.bench, NULL);
    const char *to = path != NULL ? path : bench_place(w->with.bench);
    if (a->count > 0) return refuse("'%s': expected options alone", a->words[0]);
    int changes = (w->set != NULL) + (w->adopt != NULL) + (w->init != 0) + (w->checked[0] != NULL) +
                  (w->checked[1] != NULL) + (w->rename != NULL) + (w->remove != 0);
    if (w->checked[0] == NULL && w->checked[1] == NULL &&
        (w->with.words[JL_KEY_PRESSURE] != NULL || w->with.words[JL_KEY_ALTITUDE] != NULL))
        return refuse("--pressure and --altitude go with a checked thermometer; in the file they "
                      "are --set pressure_kpa=98.5 or altitude_m=650");
    if (changes > 1)
        return refuse("expected one of --set, --adopt, --init, --rename, --remove and a checked "
                      "thermometer");
    if (changes > 0 && to == NULL)
        return refuse("there is no folder for settings; expected --bench FILE");
    if (w->init != 0) return ask(to);
    if (w->set != NULL) return set_one(to, w->with.still_name, w->set, w->json != 0);
    if (w->rename != NULL && w->rename[0] == '\0')
        return refuse("--rename '': expected a name; --remove takes a still out");
    if (w->rename != NULL || w->remove != 0)
        return change_still(to, w->with.still_name, w->remove != 0 ? "" : w->rename, w->json != 0);
    if (w->adopt != NULL) return adopt(to, w->adopt, w->with.still_name, w->json != 0);
    for (int i = 0; i < 2; i++)
        if (w->checked[i] != NULL)
            return check_thermometer(to, i, w->checked[i], &w->with, w->json != 0);
    return show_bench_file(path, w->with.bench, w->with.still_name, w->details != 0, w->json != 0);
}

/* ---- Help ---- */

/* Of a key of an instrument's widths, which has no help of its own. */
static const char *help_of(jl_key_id id) {
    static const char *const WIDTHS[JL_WIDTHS] = {
        [JL_LIMIT] = "limit ± of its class or its maker",
        [JL_CERTIFICATE] = "expanded uncertainty (k = 2) of its certificate, in place of a limit",
        [JL_DIVISION] = "from one line of its scale to the next",
        [JL_REPEATABILITY] = "standard uncertainty of the same reading taken again"};
    if (jl_keys[id].help != NULL) return jl_keys[id].help;
    return WIDTHS[(id - JL_KEY_ALCOHOLOMETER_LIMIT) % JL_WIDTHS];
}

/* NULL: none. */
static const char *default_of(jl_key_id id) {
    const jl_key *key = &jl_keys[id];
    bool named = key->source != NULL && strcmp(key->source, JL_NONE_STATED) != 0 &&
                 strcmp(key->source, JL_COMMON_PRACTICE) != 0;
    if (key->usual != NULL) return key->usual;
    if (id == JL_KEY_ALCOHOLOMETER_LIMIT) return "that of its division";
    if (key->help == NULL) return "0";
    return named ? key->source : NULL;
}

/* "power_w", and below it "power of the heating; 1 W to 1000 kW; default 2kW". */
static void print_key(jl_key_id id) {
    const jl_key *key = &jl_keys[id];
    const char *unit = unit_of(key), *usual = default_of(id);
    bool said = *unit == '\0' || strstr(key->range, unit) != NULL;
    char text[512];
    snprintf(text, sizeof text, "%s; %s%s%s%s%s", help_of(id), key->range, said ? "" : ", in ",
             said ? "" : unit, usual != NULL ? "; default " : "", usual != NULL ? usual : "");
    printf("  %s\n", key->name);
    put_sentence(stdout, "      ", "      ", text);
}

/* Keys of the house, then those of each still. */
static void print_keys(void) {
    puts("Keys of the bench file, each in a line of its own, as bottle_l,0.7\n");
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & JL_IN_INSTRUMENTS) != 0) print_key(id);
    puts("\nKeys of a still, below its line still,NAME\n");
    for (jl_key_id id = 0; id < JL_KEYS; id++)
        if ((jl_keys[id].where & (JL_IN_STILL | JL_IN_INSTRUMENTS)) == JL_IN_STILL) print_key(id);
    puts("");
}

int command_bench(int argc, const char **argv) {
    words w = {0};
    help_begins_with(print_keys);
    const struct poptOption table[] = {
        BENCH_OPTION(w.with),
        STILL_NAME_OPTION(w.with),
        OPTION("set", &w.set, "KEY=VALUE", "change one line: power_w=2000; KEY= takes it out"),
        OPTION("adopt", &w.adopt, "FILE", "take a settings file of instruments or a still over"),
        OPTION("rename", &w.rename, "OTHER", "another name for the still of --still-name"),
        FLAG("remove", &w.remove, "take the still of --still-name out, all its lines"),
        FLAG("init", &w.init, "asks for the instruments, the place and the still"),
        OPTION("check-thermometer", &w.checked[0], "TEMP",
               "what the head's thermometer shows in boiling water"),
        OPTION("check-boiler-thermometer", &w.checked[1], "TEMP", "the same of the boiler's"),
        KEY_OPTION(JL_KEY_PRESSURE, w.with.words),
        KEY_OPTION(JL_KEY_ALTITUDE, w.with.words),
        FLAG("details", &w.details, "also what is left to its default"),
        JSON_LAST(&w.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "[--set KEY=VALUE | --adopt FILE | --init]",
                  "The bench file: instruments, stills and what else is the same every day"))
        a.exit_status = run_bench(&w, &a);
    return args_close(&a);
}
