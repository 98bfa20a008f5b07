/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/show.h"
#include "answer/balance.h"
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/slips.h"
#include "answer/units.h"
#include "input/clock.h"
#include "input/file_kind.h"
#include "run/tally.h"

#include <dirent.h>
#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const jl_jar *jar_before(const jl_run *run, const jl_jar *jar) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    size_t place = jar == NULL ? count : (size_t)(jar - jars);
    return place > 0 ? &jars[place - 1] : NULL;
}

/* ---- one jar ---- */

/* ", head 89.7 °C" */
static void add_figure(const jl_run *run, const char *before, jl_jar_figure which, double value,
                       char *text, size_t size) {
    char number[48];
    size_t length = strlen(text);
    if (isnan(value)) return;
    write_logged(run, which, logged_number(run, which, value), number, sizeof number);
    snprintf(text + length, size - length, "%s%s", before, number);
}

void write_figures(const jl_run *run, const jl_jar *jar, char *text, size_t size) {
    text[0] = '\0';
    if (jar->by_weight) add_figure(run, "", JL_JAR_WEIGHT, jar->weight_kg, text, size);
    add_figure(run, jar->by_weight ? ", " : "", JL_JAR_VOLUME, jar->volume_l, text, size);
    if (jar->has_reading) add_figure(run, ", ", JL_JAR_READING, jar->reading.value, text, size);
    if (!isnan(jar->spout.value)) {
        add_figure(run, ", ", JL_JAR_SPOUT, jar->spout.value, text, size);
        add_figure(run, " at the spout at ", JL_JAR_SPOUT_TEMP, jar->spout_temp_c, text, size);
    }
    add_figure(run, jar->has_reading && isnan(jar->spout.value) ? " at " : ", jar at ", JL_JAR_TEMP,
               jar->temp_c, text, size);
    if (jar->taken_l > 0) {
        add_figure(run, ", ", JL_JAR_VOLUME, jar->taken_l, text, size);
        strncat(text, " taken", size - strlen(text) - 1);
    }
    add_figure(run, ", head ", JL_JAR_HEAD, jar->head_c, text, size);
    add_figure(run, ", boiler ", JL_JAR_BOILER, jar->boiler_c, text, size);
}

static void show_figures(show *s, const jl_jar *jar) {
    bool proof = jar->reading.unit == JL_UNIT_PROOF_US;
    show_text(s, "jar", NULL, jar->name);
    show_number(s, proof ? "reading_proof" : "reading_pct", NULL, jar->reading.value, 1, "");
    show_number(s, "temp_c", NULL, jar->temp_c, 1, "°C");
    show_number(s, "head_c", NULL, jar->head_c, 1, "°C");
    show_number(s, "boiler_c", NULL, jar->boiler_c, 1, "°C");
    show_number(s, "weight_kg", NULL, jar->weight_kg, 4, "kg");
    show_number(s, "empty_kg", NULL, jar->empty_kg, 4, "kg");
    show_number(s, jar->spout.unit == JL_UNIT_PROOF_US ? "spout_proof" : "spout_pct", NULL,
                jar->spout.value, 1, "");
    show_number(s, "spout_temp_c", NULL, jar->spout_temp_c, 1, "°C");
    show_number(s, "taken_l", NULL, jar->taken_l, 4, "L");
    show_number(s, "strength_pct", NULL, jl_spirit_strength_pct(jar->spirit), 2, "% vol");
}

static void show_recorded_jar(show *s, const jl_run *run, const jl_jar *jar) {
    const jl_jar *before = jar_before(run, jar);
    show_figures(s, jar);
    show_number(s, "expected_strength_pct", NULL,
                jl_run_expected_pct(run, jar->before_l, jar->until_l), 2, "% vol");
    show_number(s, "measured_l", NULL, jar->volume_l, 4, "L");
    show_number(s, "volume_l", NULL, jl_volume_l(jar->spirit, JL_STRENGTH_C), 4, "L");
    show_number(s, "pure_alcohol_l", NULL, jl_pure_alcohol_l(jar->spirit), 4, "L");
    show_number(s, "since_s", NULL, 60 * jl_jar_minutes(before, jar), 0, "s");
    show_number(s, "rate_ml_min", NULL, jl_jar_rate_ml_min(before, jar), 1, "mL/min");
}

/* ---- the run ---- */

static void show_to_come(show *s, const jl_run *run, bool seen) {
    double volume_l, pure_l;
    bool known = jl_run_to_come(run, &volume_l, &pure_l), told = known && seen;
    show_number(s, "to_come_l", told ? "Still to come by forecast" : NULL, known ? volume_l : NAN,
                3, "L");
    show_number(s, "to_come_pure_alcohol_l", told ? "Pure alcohol in that" : NULL,
                known ? pure_l : NAN, 3, "L");
}

/* What is missing is a figure only when the boiler's rest was measured. */
static void show_recovery(show *s, const jl_recovery *r, double missing_u_l, bool seen) {
    if (!r->charge_stated) return;
    show_number(s, "recovery_pct", seen ? "Recovered" : NULL, r->recovery_pct,
                digits_left(digits_share_standard(r->collected, r->charge), 1), "% of the charge");
    if (!r->left_stated) return;
    show_pure(s, "left_pure_alcohol_l", seen ? "Left in the boiler" : NULL, r->left);
    int decimals = digits_left(missing_u_l, 3);
    show_difference(s, "not_recovered_l", seen ? "Not recovered" : NULL, r->missing_l, missing_u_l,
                    EXACT + decimals, "L");
}

static void show_sums(show *s, const jl_run *run, bool seen) {
    char heading[64];
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *recovery = jl_run_recovery(run);
    bool any = count > 0;
    const jl_instruments by = rest_instruments();
    bool balanced = recovery->charge_stated && (recovery->left_stated || recovery->missing_l < 0);
    double missing_u_l = balanced ? balance_missing_u_l(run, &by) : 0;
    snprintf(heading, sizeof heading, "The run so far: %zu jar%s", count, count == 1 ? "" : "s");
    show_group(s, "total", seen ? heading : NULL);
    show_number(s, "jars_count", NULL, (double)count, 0, "");
    double strength_pct = any ? jl_spirit_strength_pct(recovery->collected) : NAN;
    show_number(s, "volume_l", seen ? "Volume so far, at 20 °C" : NULL,
                any ? jars[count - 1].until_l : 0, 3, "L");
    show_number(s, "strength_pct", any && seen ? "Strength so far" : NULL, strength_pct, 2,
                "% vol");
    show_pure(s, "pure_alcohol_l", seen ? "Pure alcohol so far" : NULL, recovery->collected);
    show_recovery(s, recovery, missing_u_l, seen);
    show_to_come(s, run, seen);
    show_group_end(s);
    if (recovery->charge_stated && recovery->missing_l < 0)
        warn_of_recovery(s, recovery, missing_u_l);
}

void show_run_so_far(show *s, const jl_run *run) {
    show_sums(s, run, true);
}

/* "09:02" */
static const char *clock_of(const jl_jar *jar, char text[JL_TIME_BYTES]) {
    if (!jar->has_time || jl_time_write(jar->time, text, JL_TIME_BYTES) != JL_OK) return NULL;
    text[16] = '\0';
    return text + 11;
}

static void show_reading(show *s, const jl_jar *jar) {
    char text[24];
    if (!jar->from_spout) {
        show_cells(s, CELLS(V(jar->has_reading ? jar->reading.value : NAN)));
        return;
    }
    snprintf(text, sizeof text, "%.1f*", jar->spout.value);
    show_cells(s, CELLS(V(text)));
}

/* In the units of the log. */
void show_table_of_jars(show *s, const jl_run *run, size_t from, size_t to) {
    size_t count, spouts = 0;
    const jl_jar *jars = jl_run_jars(run, &count);
    const char *volume = jl_run_unit(run, JL_JAR_VOLUME).name;
    const char *strength = unit_seen(PCT_VOL);
    const column columns[] = {
        {"jar", "jar", "", 4, 0, COLUMN_NUMBERS},
        {"time", "time", "", 5, 0, COLUMN_WORDS},
        {"volume", "volume", volume, 6, strcmp(volume, "L") == 0 ? 3 : 0, COLUMN_NUMBERS},
        {"reading", "reading", jl_run_unit(run, JL_JAR_READING).name, 7, 1, COLUMN_NUMBERS},
        {"temp", "temperature", jl_run_unit(run, JL_JAR_TEMP).name, 11, 1, COLUMN_NUMBERS},
        {"strength", "strength", strength, 8, 1, COLUMN_NUMBERS},
        {"expected_strength", "forecast", strength, 8, 1, COLUMN_NUMBERS},
        {"pure_alcohol_l", NULL, "L", 12, 3, COLUMN_NUMBERS},
        {"head", "head", jl_run_unit(run, JL_JAR_HEAD).name, 5, 1, COLUMN_NUMBERS},
        {"rate_ml_min", "mL/min", "", 6, 1, COLUMN_NUMBERS},
    };
    if (count == 0) return;
    show_table(s, "jars", columns, sizeof columns / sizeof columns[0]);
    for (const jl_jar *jar = jars + from; jar < jars + to; jar++) {
        char clock[JL_TIME_BYTES];
        double expected_pct = jl_run_expected_pct(run, jar->before_l, jar->until_l);
        spouts += jar->from_spout;
        show_cells(s, CELLS(V(jar->name), V(clock_of(jar, clock)),
                            V(logged_number(run, JL_JAR_VOLUME, jar->volume_l))));
        show_reading(s, jar);
        show_cells(s, CELLS(V(logged_number(run, JL_JAR_TEMP, jar->temp_c)),
                            V(value_seen(jl_spirit_strength_pct(jar->spirit), PCT_VOL)),
                            V(value_seen(expected_pct, PCT_VOL)), v_pure(jar->so_far),
                            V(logged_number(run, JL_JAR_HEAD, jar->head_c)),
                            V(jl_jar_rate_ml_min(jar_before(run, jar), jar))));
    }
    if (spouts > 0) show_text_remark(s, "* of the running spout; the strength is the jar's mean.");
}

/* ---- below a jar ---- */

/* "So far 2.000 L, 1.484 L pure, 54.4 % recovered." */
static void write_so_far(const jl_run *run, char *text, size_t size) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    const jl_recovery *r = jl_run_recovery(run);
    if (count == 0) {
        snprintf(text, size, "No jar counts so far.");
        return;
    }
    double pure_l = jl_pure_alcohol_l(r->collected);
    double standard = digits_share_standard(r->collected, r->charge);
    int n = snprintf(text, size, "So far %s, %s of pure alcohol", LITRES(jars[count - 1].until_l),
                     PURE_OF(r->collected));
    if (r->charge_stated)
        n += snprintf(text + n, size - (size_t)n, ", %.*f %% recovered", digits_left(standard, 1),
                      100 * pure_l / jl_pure_alcohol_l(r->charge));
    snprintf(text + n, size - (size_t)n, ".");
}

/* "67.4 % vol, forecast 68.1." Of the log's scale. */
static void write_beside_forecast(const jl_run *run, const jl_jar *jar, char *text, size_t size) {
    char forecast[32] = "";
    double expected = value_seen(jl_run_expected_pct(run, jar->before_l, jar->until_l), PCT_VOL);
    if (!isnan(expected)) snprintf(forecast, sizeof forecast, ", forecast %.1f", expected);
    snprintf(text, size, "%s%s.", AT_STRENGTH(jl_spirit_strength_pct(jar->spirit)), forecast);
}

bool show_jar_done(show *s, const jl_run *run, const jl_jar *jar, const char *name,
                   const char *deed, bool timed) {
    char figures[160] = "", heading[224], so_far[192], strength[64] = "";
    if (jar != NULL) write_figures(run, jar, figures, sizeof figures);
    snprintf(heading, sizeof heading, "Jar %s %s%s%s", name, deed, jar == NULL ? "" : ": ",
             figures);
    show_heading(s, heading);
    write_so_far(run, so_far, sizeof so_far);
    if (jar != NULL) write_beside_forecast(run, jar, strength, sizeof strength);
    if (strength[0] != '\0') show_heading(s, strength);
    show_heading(s, so_far);
    if (timed && jar != NULL && jar->has_time) {
        snprintf(heading, sizeof heading, "It was full at %s.", MOMENT(jar->time));
        show_heading(s, heading);
    }
    show_text(s, "done", NULL, deed);
    if (jar != NULL) show_recorded_jar(s, run, jar);
    show_sums(s, run, false);
    return show_rest_after_jar(s, run, clock_now());
}

static void note_slip(show *s, const jl_run *run, const jl_jar *jar, const jl_slip *slip) {
    char text[SLIP_BYTES];
    const jl_jar *other = jar_doubted_too(run, slip);
    write_slip_within(run, slip, text);
    show_warning(s, "Look again at jar %s: %s; --jar %s%s%s%s corrects it, --undo removes it.",
                 jar->name, text, other == NULL ? jar->name : other->name,
                 other == NULL ? "" : " or ", other == NULL ? "" : jar->name,
                 other == NULL ? "" : " with --time");
}

size_t note_slips(show *s, const jl_run *run, const jl_jar *jar) {
    jl_slips slips;
    jl_time now = clock_now();
    jl_run_slips(run, jar_before(run, jar), jar, &now, &slips);
    for (size_t i = 0; i < slips.count; i++) note_slip(s, run, jar, &slips.of[i]);
    return slips.count;
}

void show_cut_by_rules(show *s, const jl_run *run) {
    jl_cut_rules rules;
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    jl_fraction *fractions = need(calloc(count + 1, sizeof *fractions));
    jl_status status = jl_run_cut_rules(run, &rules);
    if (status == JL_OK) status = jl_run_suggest_cut(run, &rules, fractions);
    for (size_t i = 0, first = 0; status == JL_OK && i < count; i++) {
        if (i + 1 < count && fractions[i + 1] == fractions[i]) continue;
        show_text_remark(
            s, first == i ? "By the rules, %s: jar %s." : "By the rules, %s: jars %s to %s.",
            jl_fraction_name(fractions[i]), jars[first].name, jars[i].name);
        first = i + 1;
    }
    if (status == JL_MISSING)
        show_text_remark(s, "The log states no charge, on which the rules rest.");
    if (status == JL_NO) show_text_remark(s, "A strip run has no cut.");
    show_text_remark(s, "Nose and tongue decide. 'cut hearts' marks the jars from now on; "
                        "afterwards 'jarline cut' shows and saves any choice.");
    free(fractions);
}

/* ---- what follows ---- */

enum { STRIPS_MOST = 6 };

/* Strip runs of the same still that began before this one, and when the last run with cuts did, which
 * had the low wines of those before it. */
typedef struct strips {
    const char *still;
    int64_t began_s, cut_s;
    struct {
        char *path;
        int64_t began_s;
    } all[STRIPS_MOST];
    size_t count;
} strips;

static const char *still_of(const jl_run *run) {
    const char *still = jl_facts_text(jl_run_facts(run), jl_keys[JL_KEY_STILL].name);
    return still == NULL ? "" : still;
}

static void add_strip(strips *all, const char *path, int64_t began_s) {
    size_t at = all->count;
    if (at == STRIPS_MOST) return;
    for (; at > 0 && all->all[at - 1].began_s > began_s; at--) all->all[at] = all->all[at - 1];
    all->all[at].path = need(strdup(path));
    all->all[at].began_s = began_s;
    all->count++;
}

/* What cannot be read is passed over: nobody asked for it. */
static void look_at_log(strips *all, const char *path) {
    jl_run *run;
    jl_fault fault;
    jl_time began;
    int fd = file_kind_of(path) == FILE_RUN ? open_to_read(path) : -1;
    bool read = fd >= 0 && jl_run_read(fd, &run, &fault) == JL_OK;
    if (fd >= 0) close(fd);
    if (!read) return;
    jl_spirit charge = jl_run_recovery(run)->charge;
    if (jl_run_started(run, &began) && began.unix_s < all->began_s &&
        strcmp(still_of(run), all->still) == 0) {
        if (gave_low_wines(jl_run_tally(run), charge))
            add_strip(all, path, began.unix_s);
        else if (!jl_makes_strip_run(charge) && jl_mass_kg(charge) > 0 && began.unix_s > all->cut_s)
            all->cut_s = began.unix_s;
    }
    jl_run_free(run);
}

static void look_beside(strips *all, const char *path) {
    const char *slash = strrchr(path, '/');
    int folder = slash == NULL ? 0 : (int)(slash - path) + 1;
    char *name;
    if (asprintf(&name, "%.*s", folder, path) < 0) need(NULL);
    DIR *open = opendir(folder == 0 ? "." : name);
    free(name);
    for (struct dirent *e; open != NULL && (e = readdir(open)) != NULL;) {
        const char *end = strrchr(e->d_name, '.');
        bool own = strcmp(e->d_name, path + folder) == 0; /* it is held already */
        if (end == NULL || own || e->d_name[0] == '.' || strcmp(end, ".csv") != 0) continue;
        if (asprintf(&name, "%.*s%s", folder, path, e->d_name) < 0) need(NULL);
        look_at_log(all, name);
        free(name);
    }
    if (open != NULL) closedir(open);
}

/* "jarline blend strip-1.csv:low-wines strip-2.csv:low-wines": all strip runs since the last run with
 * cuts. False: this is the only one. */
static bool next_pools(next_command *next, const char *path, const jl_run *run) {
    jl_time began;
    strips all = {.still = still_of(run), .cut_s = INT64_MIN};
    size_t pooled = 0;
    *next = (next_command){"jarline blend"};
    if (!gave_low_wines(jl_run_tally(run), jl_run_recovery(run)->charge) ||
        !jl_run_started(run, &began))
        return false;
    all.began_s = began.unix_s;
    look_beside(&all, path);
    for (size_t i = 0; i < all.count; i++) {
        if (all.all[i].began_s > all.cut_s) {
            next_part(next, all.all[i].path, "low-wines", (jl_spirit){0, 0});
            pooled++;
        }
        free(all.all[i].path);
    }
    next_part(next, path, "low-wines", (jl_spirit){0, 0});
    return pooled > 0 && !next->cut_off;
}

void show_next_of_run(show *s, const char *path, const jl_run *run) {
    next_command pool;
    if (next_pools(&pool, path, run))
        show_next_command(s, &pool);
    else
        show_next_after_run(s, path, jl_run_tally(run), jl_run_recovery(run)->charge);
}

/* ---- what is left in the boiler ---- */

void show_left_done(show *s, const char *path, const jl_run *run, const jl_left *left) {
    const jl_recovery *recovery = jl_run_recovery(run);
    jl_alcoholometer instrument = jl_run_instrument(run);
    show_heading(s, "Recorded: what is left in the boiler");
    show_text(s, "done", NULL, "recorded");
    show_number(s, "left_l", "Volume at 20 °C", jl_volume_l(recovery->left, JL_STRENGTH_C), 3, "L");
    double strength_pct = jl_spirit_strength_pct(recovery->left);
    show_number(s, "left_strength_pct", "Strength at 20 °C", strength_pct, 2, "% vol");
    show_pure(s, "left_pure_alcohol_l", "Pure alcohol in it", recovery->left);
    show_run_so_far(s, run);
    warn_of_left(s, recovery);
    bool water = false;
    double p;
    if (!isnan(left->reading.value) &&
        jl_left_reading(&instrument, left->reading, left->temp_c, &water, &p) == JL_OK && water)
        show_remark(s,
                    "It reads within half a division of water: its strength counts as 0 %% vol.");
    if (!isnan(left->reading.value)) {
        assume_log_instrument(s, &instrument, left->reading.unit);
        note_on_reading(s, jl_spirit_strength_pct(recovery->left), left->temp_c);
    }
    if (!recovery->charge_stated)
        show_remark(s, "The log states no charge, so what was not recovered cannot be computed.");
    show_next_of_run(s, path, run);
}
