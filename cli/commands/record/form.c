/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/form.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/slips.h"
#include "answer/units.h"
#include "commands/record/show.h"
#include "input/clock.h"
#include "input/jar_words.h"
#include "input/line.h"
#include "run/jars.h"
#include "run/run.h"
#include "run/tally.h"
#include "text/letters.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NOTE = JL_JAR_FIGURES };

/* The temperature of a jar of which the spout was read: its slot. */
enum { JAR_TEMP_BESIDE_SPOUT = JL_JAR_SPOUT_TEMP };

/* ---- the form and the record ---- */

static void take_ways(form *f);

void form_begin(form *f, jl_run *const *run, double jar_l) {
    *f = (form){.run = run, .e = JL_ENTRY, .now = clock_now(), .jar_l = jar_l};
    clock_write(f->now, f->stamp);
    take_ways(f);
}

void form_correct(form *f, jl_run *const *run, const char *name) {
    form_begin(f, run, NAN);
    snprintf(f->name, sizeof f->name, "%s", name);
    take_ways(f);
}

void form_put_in(form *f, jl_run *const *run, const char *name, double jar_l) {
    form_begin(f, run, jar_l);
    snprintf(f->forgotten, sizeof f->forgotten, "%s", name);
    f->e.jar = f->forgotten;
    f->e.time = ""; /* now is not when it was full */
    take_ways(f);
}

void form_free(form *f) {
    free(f->note);
    f->note = NULL;
}

void form_note(form *f, const char *note) {
    free(f->note);
    f->note = need(strdup(note));
    f->e.note = f->note;
}

static const jl_jar *jar_corrected(const form *f) {
    return jl_run_jar_named(*f->run, f->name);
}

const jl_jar *jar_before_named(const jl_run *run, const char *name) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    jl_jar_key key;
    if (name != NULL && jl_jar_name_read(name, strlen(name), &key) == JL_OK)
        while (count > 0 && jl_jar_key_of(&jars[count - 1]) >= key) count--;
    return count > 0 ? &jars[count - 1] : NULL;
}

static const jl_jar *jar_before_it(const form *f) {
    const jl_jar *old = jar_corrected(f);
    return jar_before_named(*f->run, old != NULL ? old->name : f->forgotten);
}

/* A jar is full when the first word of it is typed, and not when its question was shown. */
static void begin_now(form *f) {
    if (f->is_begun) return;
    f->is_begun = true;
    f->now = clock_now();
    if (f->e.time != f->stamp) clock_write(f->now, f->stamp);
}

bool moment_before(const jl_run *run, const jl_jar *before, jl_time *when) {
    size_t count;
    const jl_jar *first = jl_run_jars(run, &count);
    for (const jl_jar *jar = before; jar != NULL && jar >= first; jar--)
        if (jar->has_time) {
            *when = jar->time;
            return true;
        }
    return jl_run_started(run, when);
}

/* A bare time is the first after the jar before, or after the start. */
bool form_time(form *f, const char *text) {
    jl_time when, from = {0, 0};
    bool known = moment_before(*f->run, jar_before_it(f), &from);
    begin_now(f);
    if (clock_read_from("time", text, known ? &from : NULL, &when) != EXIT_DONE) return false;
    clock_write(when, f->stamp);
    f->e.time = f->stamp;
    f->time_kept = f->time_held = false;
    return true;
}

void form_hold(form *f) {
    f->time_held = f->time_asked;
}

/* What stands in brackets: the jar's own figures, or those of the jar before. */
static const jl_jar *jar_offered(const form *f) {
    const jl_jar *old = jar_corrected(f);
    return old != NULL ? old : jar_before_it(f);
}

static bool has_column(const form *f, jl_role role) {
    return jl_run_columns(*f->run)->what[role] != NULL;
}

/* A log of true strengths has no readings. */
static bool states_strength(const form *f) {
    return !has_column(f, JL_ROLE_READING) && has_column(f, JL_ROLE_STRENGTH);
}

static bool states_empty(const form *f) {
    return !isnan(jl_setting_value(jl_run_settings(*f->run), JL_KEY_EMPTY));
}

/* As the jar's own figures are, or the jar before's; a first jar by the log's columns. */
static void take_ways(form *f) {
    const jl_jar *like = jar_offered(f);
    bool volume = has_column(f, JL_ROLE_VOLUME), weight = has_column(f, JL_ROLE_WEIGHT);
    bool read = has_column(f, JL_ROLE_READING) || has_column(f, JL_ROLE_STRENGTH);
    f->by_weight = like != NULL ? like->by_weight : states_empty(f) || (weight && !volume);
    f->by_spout = like != NULL ? like->from_spout : has_column(f, JL_ROLE_SPOUT) && !read;
}

/* The figure that a question's slot asks for. */
static jl_jar_figure figure_in(const form *f, int which) {
    if (which == JL_JAR_VOLUME) return f->by_weight ? JL_JAR_WEIGHT : JL_JAR_VOLUME;
    if (which == JL_JAR_READING) return f->by_spout ? JL_JAR_SPOUT : JL_JAR_READING;
    if (which == JL_JAR_TEMP) return f->by_spout ? JL_JAR_SPOUT_TEMP : JL_JAR_TEMP;
    return which == JAR_TEMP_BESIDE_SPOUT ? JL_JAR_TEMP : (jl_jar_figure)which;
}

static bool any_has_boiler(const form *f) {
    size_t count;
    const jl_jar *jars = jl_run_jars(*f->run, &count);
    for (size_t i = 0; i < count; i++)
        if (!isnan(jars[i].boiler_c)) return true;
    return false;
}

static jl_role role_of(jl_jar_figure which, bool strength) {
    return which == JL_JAR_READING && strength ? JL_ROLE_STRENGTH : jl_role_of(which);
}

static double *place(jl_entry *e, jl_jar_figure which, bool strength) {
    return jl_entry_place(e, role_of(which, strength));
}

static double figure_of(const jl_jar *jar, jl_jar_figure which, bool strength) {
    return jar == NULL ? NAN : jl_jar_number(jar, role_of(which, strength));
}

static double typed_value(form *f, jl_jar_figure which) {
    return *place(&f->e, which, states_strength(f));
}

/* A new jar has one of its own. */
static bool is_own(const form *f, jl_jar_figure which) {
    return f->name[0] == '\0' &&
           (which == JL_JAR_READING || which == JL_JAR_SPOUT || which == JL_JAR_WEIGHT);
}

/* What Enter takes; NaN: nothing. */
static double offered_value(form *f, jl_jar_figure which) {
    if (f->was_taken[which]) return typed_value(f, which);
    if (is_own(f, which)) return NAN;
    if (which == JL_JAR_VOLUME && f->name[0] == '\0')
        return jl_run_next_volume_l(*f->run, jar_before_it(f), f->jar_l);
    return figure_of(jar_offered(f), which, states_strength(f));
}

/* The jar as far as it is known. */
static jl_jar jar_so_far(form *f) {
    jl_jar jar = {.size = sizeof jar};
    const jl_jar *old = jar_corrected(f);
    jl_entry *e = &f->e;
    bool is_new = old == NULL;
    if (is_new) {
        memcpy(jar.name, f->forgotten, sizeof jar.name);
        jar.number = (uint32_t)strtoul(jar.name, NULL, 10);
    } else
        jar = *old;
    jar.spirit = (jl_spirit){0, 0};
    jar.by_weight = f->by_weight;
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_TAKEN; role++) {
        double given = *jl_entry_place(e, role);
        if (is_new || !isnan(given)) *jl_jar_place(&jar, role) = given;
    }
    if (is_new || !isnan(e->reading.value)) jar.reading.unit = e->reading.unit;
    if (is_new || !isnan(e->strength.value)) jar.strength.unit = e->strength.unit;
    if (is_new || !isnan(e->spout.value)) jar.spout.unit = e->spout.unit;
    bool has_own = e->time != NULL && e->time[0] != '\0';
    if (has_own || (is_new && e->time == NULL))
        jar.has_time = jl_time_read(f->stamp, strlen(f->stamp), &jar.time) == JL_OK;
    return jar;
}

/* ---- what is asked ---- */

static bool time_is_unlikely(form *f, jl_slip *slip) {
    const jl_jar jar = jar_so_far(f);
    bool is_set = f->name[0] == '\0' || f->e.time != NULL;
    return is_set && has_column(f, JL_ROLE_TIME) && !f->time_kept &&
           jl_run_slip(*f->run, jar_before_it(f), &jar, JL_JAR_TIME, &f->now, slip);
}

/* And how the other jar is corrected, where that one may be wrong. */
static void tell_time_slip(const form *f, const jl_slip *slip) {
    char text[SLIP_BYTES + 64], time[SLIP_BYTES];
    const jl_jar *other = jar_doubted_too(*f->run, slip);
    write_slip(*f->run, slip, time);
    int n = snprintf(text, sizeof text, "%s", time);
    if (other != NULL)
        snprintf(text + n, sizeof text - (size_t)n, " 'jar %s time 9:40' corrects it.",
                 other->name);
    questions_tell(text);
}

/* It is asked about behind the last figure, where the jar can still be dropped. */
bool form_tell_moment(form *f) {
    jl_slip slip;
    if (!line_is_person() || !time_is_unlikely(f, &slip)) return false;
    tell_time_slip(f, &slip);
    return true;
}

/* Of a jar that was forgotten the time is asked for. */
static bool time_is_wanted(const form *f) {
    return f->forgotten[0] != '\0' && f->e.time != f->stamp && !f->time_kept &&
           has_column(f, JL_ROLE_TIME);
}

/* Of a jug that was filled, where the jar before has one. */
static bool has_temp_beside_spout(const form *f) {
    const jl_jar *like = jar_offered(f);
    return f->by_spout && !f->by_weight && (like == NULL || !isnan(like->temp_c));
}

static bool needs_temp(const form *f) {
    return f->by_spout || (!f->is_stated && (!states_strength(f) || has_column(f, JL_ROLE_TEMP)));
}

static bool applies(void *with, int which) {
    form *f = with;
    jl_slip slip;
    if (which == NOTE) return true;
    if (f->has_given[figure_in(f, which)]) return true;
    if (which == JL_JAR_TEMP) return needs_temp(f);
    if (which == JL_JAR_READING) return f->by_spout || !f->is_stated;
    if (which == JL_JAR_EMPTY)
        return f->by_weight && (!states_empty(f) || has_column(f, JL_ROLE_EMPTY));
    if (which == JAR_TEMP_BESIDE_SPOUT) return has_temp_beside_spout(f);
    /* With the first jar, then as long as one has it. */
    if (which == JL_JAR_BOILER)
        return f->name[0] != '\0' || jar_before_it(f) == NULL || any_has_boiler(f);
    /* The lines of a pipe are answers in a known order. */
    if (which == JL_JAR_TIME)
        return line_is_person() &&
               (f->time_held || time_is_wanted(f) || time_is_unlikely(f, &slip));
    return true;
}

static const char *name_of(form *f, jl_jar_figure which) {
    if (which == JL_JAR_TEMP && f->by_spout) return "temperature of the jar";
    return which == JL_JAR_READING && states_strength(f) ? "strength" : figure_name(which);
}

/* "Jar 8 (12 min since jar 7), ". */
static void write_jar_name(form *f, char *text, size_t size) {
    char fraction[24] = "";
    const jl_jar *before = jar_before_it(f);
    jl_jar full = {.has_time = true, .time = clock_now()};
    if (f->e.time == f->stamp) jl_time_read(f->stamp, strlen(f->stamp), &full.time);
    double minutes = jl_jar_minutes(before, &full);
    if (f->fraction[0] != '\0') snprintf(fraction, sizeof fraction, ", %s", f->fraction);
    if (f->name[0] != '\0')
        snprintf(text, size, "Jar %s again, ", f->name);
    else if (f->forgotten[0] != '\0')
        snprintf(text, size, "Jar %s, ", f->forgotten);
    else if (before != NULL && minutes < 24 * 60)
        snprintf(text, size, "Jar %" PRIu32 " (%.0f min since jar %s)%s, ",
                 jl_run_next_jar(*f->run), minutes, before->name, fraction);
    else
        snprintf(text, size, "Jar %" PRIu32 "%s, ", jl_run_next_jar(*f->run), fraction);
}

/* The temperature of a jug is one where the jar has no reading. */
static bool may_be_none(const form *f, jl_jar_figure which) {
    return which == JL_JAR_HEAD || which == JL_JAR_BOILER || (which == JL_JAR_TEMP && f->by_spout);
}

/* " (Enter: 250)", " (jar 7: 74.1)". */
static void write_offer(form *f, jl_jar_figure which, char *text, size_t size) {
    char number[32];
    jl_log_unit unit = jl_run_unit(*f->run, which);
    const jl_jar *before = jar_before_it(f);
    double offered = offered_value(f, which);
    double was = figure_of(before, which, states_strength(f));
    text[0] = '\0';
    if (!isnan(offered)) {
        write_number(&unit, logged_number(*f->run, which, offered), number, sizeof number);
        snprintf(text, size, " (Enter: %s)", number);
    } else if (is_own(f, which) && !isnan(was)) {
        write_number(&unit, logged_number(*f->run, which, was), number, sizeof number);
        snprintf(text, size, " (jar %s: %s)", before->name, number);
    } else if (may_be_none(f, which))
        snprintf(text, size, " (Enter: none)");
}

/* How the next jars are asked for as those of the log's other column. */
static const char *way_back(const form *f, jl_jar_figure which) {
    if (f->name[0] != '\0' || jar_before_it(f) == NULL) return NULL;
    if (which == JL_JAR_WEIGHT && has_column(f, JL_ROLE_VOLUME)) return "350mL: by volume";
    bool read = has_column(f, JL_ROLE_READING) || has_column(f, JL_ROLE_STRENGTH);
    return which == JL_JAR_SPOUT && read ? "spout: in the jar" : NULL;
}

/* Into the brackets of the offer, or in brackets of its own. */
static void add_way_back(const form *f, jl_jar_figure which, char *text, size_t size) {
    const char *way = way_back(f, which);
    size_t length = strlen(text);
    if (way == NULL) return;
    if (length > 0) length--; /* the bracket */
    snprintf(text + length, size - length, "%s%s)", length > 0 ? "; " : " (", way);
}

static void write_time_question(form *f, char text[QUESTION_BYTES]) {
    jl_slip slip;
    f->time_asked = true;
    if (time_is_wanted(f)) {
        snprintf(text, QUESTION_BYTES, "  when was it full? As 9:40 (Enter: not known): ");
        return;
    }
    bool doubted = time_is_unlikely(f, &slip);
    if (doubted) tell_time_slip(f, &slip);
    if (doubted && slip.by == JL_SLIP_SAME)
        snprintf(text, QUESTION_BYTES, "  y: another jar; Ctrl-C: drop it; its time, as 9:40: ");
    else
        snprintf(text, QUESTION_BYTES,
                 "  when was it full? As 9:40; y: keep %.10s %.5s: ", f->stamp, f->stamp + 11);
}

static void write_question(void *with, int which, char text[QUESTION_BYTES]) {
    form *f = with;
    char jar[64] = "  ", offer[64];
    text[0] = '\0';
    if (which == JL_JAR_TIME) write_time_question(f, text);
    if (which == JL_JAR_TIME || which == NOTE) return;
    jl_jar_figure figure = figure_in(f, which);
    if (which == JL_JAR_VOLUME) write_jar_name(f, jar, sizeof jar);
    write_offer(f, figure, offer, sizeof offer);
    add_way_back(f, figure, offer, sizeof offer);
    snprintf(text, QUESTION_BYTES, "%s%s, %s%s%s: ", jar, name_of(f, figure),
             jl_run_unit(*f->run, figure).name, offer,
             which == JL_JAR_VOLUME && f->is_first ? " (?: help)" : "");
}

/* ---- answers ---- */

static jl_kind kind_of(jl_jar_figure which) {
    static const jl_kind KINDS[JL_JAR_FIGURES] = {[JL_JAR_VOLUME] = JL_VOLUME,
                                                  [JL_JAR_READING] = JL_STRENGTH,
                                                  [JL_JAR_TEMP] = JL_TEMPERATURE,
                                                  [JL_JAR_HEAD] = JL_TEMPERATURE,
                                                  [JL_JAR_BOILER] = JL_TEMPERATURE,
                                                  [JL_JAR_WEIGHT] = JL_MASS,
                                                  [JL_JAR_EMPTY] = JL_MASS,
                                                  [JL_JAR_SPOUT] = JL_STRENGTH,
                                                  [JL_JAR_SPOUT_TEMP] = JL_TEMPERATURE};
    return KINDS[which];
}

/* Of which there is always more than 0. */
static bool is_amount_of(jl_jar_figure which) {
    return kind_of(which) == JL_VOLUME || kind_of(which) == JL_MASS;
}

static const char *example_of(const jl_log_unit *unit, jl_jar_figure which) {
    bool proof = unit->scale == JL_UNIT_PROOF_US, fahrenheit = unit->offset != 0;
    switch (which) {
    case JL_JAR_VOLUME:
        return unit->factor == 1 ? "0.5 or 500mL" : "500 or 0.5L";
    case JL_JAR_WEIGHT:
        return unit->factor == 1 ? "0.652 or 652g" : "652 or 0.652kg";
    case JL_JAR_EMPTY:
        return unit->factor == 1 ? "0.184 or 184g" : "184 or 0.184kg";
    case JL_JAR_READING:
    case JL_JAR_SPOUT:
        return proof ? "145.5" : "72.5";
    case JL_JAR_TEMP:
    case JL_JAR_SPOUT_TEMP:
        return fahrenheit ? "75 or 24C" : "24 or 75F";
    default:
        return fahrenheit ? "185 or 85C" : "85 or 185F";
    }
}

static answered refuse_number(const char *name, const jl_log_unit *unit, jl_jar_figure which,
                              const char *text, remark *r) {
    if (is_clock(text))
        snprintf(r->text, sizeof r->text,
                 "'%.20s' is a time of day; 'time 9:02 pm' says when the jar was full.", text);
    else if (text[0] == '\0')
        snprintf(r->text, sizeof r->text, "A %s is needed here, in %s, as %s.", name, unit->name,
                 example_of(unit, which));
    else
        snprintf(r->text, sizeof r->text, "'%.60s' is no %s; expected one in %s, as %s.", text,
                 name, unit->name, example_of(unit, which));
    return ANSWER_REFUSED;
}

static const question *question_named(const char *word);

/* "head 83,4" before a jar is begun is one of the last jar's. */
static void tell_of_jar_before(const form *f, jl_jar_figure which, const char *text, remark *r) {
    const jl_jar *before = jar_before_it(f);
    size_t length = strlen(r->text);
    if (which != figure_in(f, JL_JAR_VOLUME) || f->name[0] != '\0' || before == NULL) return;
    const question *named = question_named(text);
    if (named == NULL) return;
    jl_jar_figure of = figure_in(f, named->which);
    char figure[32];
    const jl_log_unit unit = jl_run_unit(*f->run, of);
    snprintf(figure, sizeof figure, "%.*s", (int)strcspn(example_of(&unit, of), " "),
             example_of(&unit, of));
    snprintf(r->text + length, sizeof r->text - length, " 'jar %s %.20s %s' corrects jar %s.",
             before->name, text, figure, before->name);
}

static answered refuse_form(form *f, jl_jar_figure which, const char *text, remark *r) {
    jl_log_unit unit = jl_run_unit(*f->run, which);
    refuse_number(name_of(f, which), &unit, which, text, r);
    tell_of_jar_before(f, which, text, r);
    return ANSWER_REFUSED;
}

static void take_guess(form *f, jl_jar_figure which, const jl_guess *guess, remark *r) {
    write_guess(*f->run, which, guess, r->guess, sizeof r->guess);
}

static answered refuse_range(form *f, jl_jar_figure which, double number, remark *r) {
    jl_log_unit unit = jl_run_unit(*f->run, which);
    jl_jar jar = jar_so_far(f);
    char is[48];
    jl_guess guess = jl_run_guess(*f->run, jar_before_it(f), &jar, which, number);
    take_guess(f, which, &guess, r);
    write_logged(*f->run, which, number, is, sizeof is);
    int n = is_amount_of(which) ? snprintf(r->text, sizeof r->text, "%s %s? Expected one above 0.",
                                           name_of(f, which), is)
                                : snprintf(r->text, sizeof r->text, "%s %s? Expected %.4g to %.4g.",
                                           name_of(f, which), is, unit.least, unit.most);
    if (r->guess[0] != '\0')
        snprintf(r->text + n, sizeof r->text - (size_t)n, " Was %s meant?", r->guess);
    return ANSWER_REFUSED;
}

/* Without the sign of a degree that is neither C nor F. */
static size_t length_of_number(const char *text) {
    static const char DEGREE[] = "°";
    size_t length = strlen(text), sign = sizeof DEGREE - 1;
    return length > sign && strcmp(text + length - sign, DEGREE) == 0 ? length - sign : length;
}

/* A bare number is one of the log's column. *value is in l, °C, or on the log's scale. */
static jl_status read_number(const jl_log_unit *unit, jl_jar_figure which, const char *text,
                             double *value) {
    jl_quantity q;
    jl_status status = jl_decimal_read(text, length_of_number(text), JL_COMMA_SAFE, value);
    if (status == JL_OK) {
        if (unit->scale == JL_UNIT_BASE) *value = (*value - unit->offset) * unit->factor;
        return JL_OK;
    }
    if (status != JL_FORM) return status;
    status = jl_quantity_read(text, kind_of(which), &q);
    if (status == JL_RANGE &&
        kind_of(which) == JL_STRENGTH) { /* the number is wanted all the same */
        size_t length = strspn(text, "0123456789.,");
        return jl_decimal_read(text, length, JL_COMMA_SAFE, value);
    }
    if (status == JL_OK && q.unit != unit->scale) status = JL_UNIT;
    if (status == JL_OK) *value = q.value;
    return status;
}

static answered take(form *f, jl_jar_figure which, double value) {
    bool strength = states_strength(f);
    jl_unit scale = jl_run_unit(*f->run, JL_JAR_READING).scale;
    *place(&f->e, which, strength) = value;
    if (which == JL_JAR_SPOUT) f->e.spout.unit = jl_run_unit(*f->run, JL_JAR_SPOUT).scale;
    if (which == JL_JAR_READING) *(strength ? &f->e.strength.unit : &f->e.reading.unit) = scale;
    f->was_taken[which] = true;
    return ANSWER_TAKEN;
}

/* A reading and a temperature that no mixture has. */
static answered check_mixture(form *f, jl_jar_figure which, remark *r) {
    jl_jar jar = {.size = sizeof jar};
    jl_jar_figure temp = f->by_spout ? JL_JAR_SPOUT_TEMP : JL_JAR_TEMP;
    bool either = which == temp || which == figure_in(f, JL_JAR_READING);
    bool both = !isnan(typed_value(f, temp)) && f->was_taken[figure_in(f, JL_JAR_READING)];
    if (!either || !both || (isnan(f->e.volume_l) && isnan(f->e.weight_kg))) return ANSWER_TAKEN;
    const char *name = f->name[0] == '\0' ? NULL : f->name;
    if (jl_run_jar_of_entry(*f->run, name, &f->e, &jar, NULL) == JL_OK) return ANSWER_TAKEN;
    char shown[48], at[48];
    write_logged(*f->run, f->by_spout ? JL_JAR_SPOUT : JL_JAR_READING,
                 f->by_spout ? f->e.spout.value : f->e.reading.value, shown, sizeof shown);
    write_logged(*f->run, temp, logged_number(*f->run, temp, *place(&f->e, temp, false)), at,
                 sizeof at);
    snprintf(r->text, sizeof r->text,
             "No mixture shows %s at %s. 'back' returns to the question before.", shown, at);
    f->was_taken[which] = false;
    *place(&f->e, which, states_strength(f)) = NAN;
    return ANSWER_REFUSED;
}

/* A jar is heavier than when it was empty, be that its own weight or that of all. */
static answered refuse_weight(form *f, jl_jar_figure which, double value, remark *r) {
    char is[48], beside[48];
    const jl_jar jar = jar_so_far(f);
    bool empty = which == JL_JAR_EMPTY;
    double all = jl_setting_value(jl_run_settings(*f->run), JL_KEY_EMPTY);
    double other = empty ? jar.weight_kg : applies(f, JL_JAR_EMPTY) ? NAN : all;
    if (!(empty ? value >= other : value <= other)) return ANSWER_TAKEN;
    write_logged(*f->run, which, logged_number(*f->run, which, value), is, sizeof is);
    write_logged(*f->run, which, logged_number(*f->run, which, other), beside, sizeof beside);
    snprintf(r->text, sizeof r->text, "%s %s? The %s jar weighs %s.", figure_name(which), is,
             empty ? "full" : "empty", beside);
    return ANSWER_REFUSED;
}

static bool is_unlikely(form *f, jl_jar_figure which, double value, jl_slip *slip) {
    form tried = *f;
    take(&tried, which, value);
    const jl_jar jar = jar_so_far(&tried);
    return jl_run_slip(*f->run, jar_before_it(f), &jar, which, &f->now, slip);
}

/* Of a jar that was recorded without its head, such a number may be that. */
static void ask_for_head(form *f, jl_jar_figure which, double value, remark *r) {
    const jl_jar *before = jar_before_it(f);
    if (which != JL_JAR_VOLUME || f->name[0] != '\0' || before == NULL || !isnan(before->head_c))
        return;
    jl_slip slip;
    jl_log_unit unit = jl_run_unit(*f->run, JL_JAR_HEAD);
    double number = logged_number(*f->run, which, value);
    jl_jar jar = *before;
    jar.head_c = (number - unit.offset) * unit.factor;
    if (jl_run_slip(*f->run, jar_before_named(*f->run, jar.name), &jar, JL_JAR_HEAD, NULL, &slip))
        return;
    size_t length = strlen(r->text);
    snprintf(r->text + length, sizeof r->text - length,
             " If it is jar %s's head: 'jar %s head %.7g'.", jar.name, jar.name, number);
}

/* Takes a value, unless it is unlikely and not to be kept all the same. */
static answered take_likely(form *f, jl_jar_figure which, double value, bool stays, remark *r) {
    jl_slip slip;
    if (stays || !is_unlikely(f, which, value, &slip)) {
        take(f, which, value);
        return check_mixture(f, which, r);
    }
    write_slip(*f->run, &slip, r->text);
    ask_for_head(f, which, value, r);
    write_logged(*f->run, which, slip.is, r->kept, sizeof r->kept);
    take_guess(f, which, &slip.guess, r);
    return ANSWER_UNLIKELY;
}

/* The size that is offered behind a small jar is not questioned beside that jar. */
static bool is_size_offered(form *f, jl_jar_figure which, double offered) {
    jl_slip slip;
    return which == JL_JAR_VOLUME && f->name[0] == '\0' && is_unlikely(f, which, offered, &slip) &&
           slip.by == JL_SLIP_BEFORE;
}

/* Enter keeps what was questioned only where it was kept before. */
static answered take_offered(form *f, jl_jar_figure which, bool stays, remark *r) {
    double offered = offered_value(f, which);
    bool gauge = may_be_none(f, which), stands = f->was_taken[which] || f->name[0] != '\0';
    if (isnan(offered) && !gauge) return refuse_form(f, which, "", r);
    if (isnan(offered)) return take(f, which, NAN);
    if (which == JL_JAR_EMPTY && refuse_weight(f, which, offered, r) == ANSWER_REFUSED)
        return ANSWER_REFUSED;
    stays = stays || stands || is_size_offered(f, which, offered);
    return take_likely(f, which, offered, stays, r);
}

/* "-": none. */
static answered take_none(form *f, jl_jar_figure which, remark *r) {
    if (f->name[0] == '\0') return take(f, which, NAN);
    snprintf(r->text, sizeof r->text, "A figure can be corrected here, not taken out.");
    return ANSWER_REFUSED;
}

/* "352g" for a volume: the jar was weighed, and so are the next. */
static jl_jar_figure figure_typed(form *f, jl_jar_figure which, const char *text) {
    jl_quantity q;
    bool volume = which == JL_JAR_VOLUME, weight = which == JL_JAR_WEIGHT;
    if (!volume && !weight) return which;
    if (jl_quantity_read(text, volume ? JL_MASS : JL_VOLUME, &q) != JL_OK) return which;
    f->by_weight = volume;
    return volume ? JL_JAR_WEIGHT : JL_JAR_VOLUME;
}

static answered read_figure(form *f, jl_jar_figure asked_for, const char *text, bool stays,
                            remark *r) {
    double value;
    jl_jar_figure which = figure_typed(f, asked_for, text);
    jl_log_unit unit = jl_run_unit(*f->run, which);
    if (text[0] == '\0') return take_offered(f, which, stays, r);
    if (strcmp(text, "-") == 0 && may_be_none(f, which)) return take_none(f, which, r);
    if (read_number(&unit, which, text, &value) != JL_OK) return refuse_form(f, which, text, r);
    double number = logged_number(*f->run, which, value);
    bool above_0 = !is_amount_of(which) || value > 0;
    if (!(number >= unit.least && number <= unit.most && above_0))
        return refuse_range(f, which, number, r);
    if (kind_of(which) == JL_MASS && refuse_weight(f, which, value, r) == ANSWER_REFUSED)
        return ANSWER_REFUSED;
    return take_likely(f, which, value, stays, r);
}

/* ---- the questions of a jar ---- */

static const question JAR[] = {
    {JL_JAR_VOLUME, QUESTION_FIGURE,
     "The volume of the jar; its weight, as 652g, where it was weighed. Several figures in one "
     "line answer the next questions too, and a line with volume, reading and temperature is a "
     "whole jar: 250 74.5 21 86.5 pear, clean",
     .names = "volume weight"},
    {JL_JAR_EMPTY, QUESTION_FIGURE,
     "The weight of the empty jar; one of all stands in the log as #empty_g.", .names = "empty"},
    {JL_JAR_READING, QUESTION_FIGURE,
     "What the alcoholometer shows in the jar, at the jar's temperature, as on the scale; where "
     "the spout is read, in the running spout as the jar ends.",
     .names = "reading strength"},
    {JL_JAR_TEMP, QUESTION_FIGURE, "The temperature of what was read, when it was.",
     .names = "temperature temp"},
    {JAR_TEMP_BESIDE_SPOUT, QUESTION_FIGURE,
     "The temperature of the jar when its volume was read; - is none."},
    {JL_JAR_HEAD, QUESTION_FIGURE,
     "The temperature at the head as the jar ends; - is none. A note may follow: 86.5 pear, clean",
     true, "head"},
    {JL_JAR_BOILER, QUESTION_FIGURE,
     "The temperature in the boiler as the jar ends; - is none. A note may follow: 91.5 pear, "
     "clean",
     true, "boiler"},
    {NOTE, QUESTION_BEHIND, "Smell, taste, anything.", .leads = "note --note"},
    {JL_JAR_TIME, QUESTION_TEXT, "When the jar was full."},
};
enum { JAR_FIGURES = sizeof JAR / sizeof JAR[0] - 2 }; /* the first of them */

/* ---- figures in one line ---- */

static void give(form *f, jl_jar_figure which, const char *word) {
    snprintf(f->given[which], sizeof f->given[which], "%s", word);
    f->has_given[which] = true;
}

static bool give_word(form *f, const char *word) {
    static const jl_jar_figure FIGURES_OF_A_LINE[] = {JL_JAR_READING, JL_JAR_VOLUME, JL_JAR_TEMP,
                                                      JL_JAR_WEIGHT};
    double value;
    for (size_t i = 0; i < sizeof FIGURES_OF_A_LINE / sizeof FIGURES_OF_A_LINE[0]; i++) {
        jl_jar_figure which = FIGURES_OF_A_LINE[i];
        if (which == JL_JAR_READING && f->by_spout) which = JL_JAR_SPOUT;
        jl_log_unit unit = jl_run_unit(*f->run, which);
        if (read_number(&unit, which, word, &value) != JL_OK) continue;
        if (which == JL_JAR_WEIGHT) f->by_weight = true;
        if (which == JL_JAR_VOLUME) f->by_weight = false;
        give(f, which, word);
        return true;
    }
    if (is_clock(word)) {
        refuse("'%s' is a time of day; expected it behind 'time', as time 9:02 pm", word);
        return false;
    }
    refuse("'%s' is no figure of a jar; expected a reading, 250mL, 352g, 24C or 75F", word);
    return false;
}

/* What a line does not name stays as it is, or is none. */
static void give_others(form *f) {
    for (size_t i = 0; i < JAR_FIGURES; i++) {
        jl_jar_figure which = figure_in(f, JAR[i].which);
        if (f->has_given[which] || !applies(f, JAR[i].which)) continue;
        if (f->name[0] != '\0') give(f, which, "");
        if (f->name[0] == '\0' && may_be_none(f, which)) give(f, which, "-");
    }
}

/* Numbers without a unit, in the order of the questions; of a jar that is corrected only the reading. */
static bool give_bare(form *f, const char *const *words, size_t count) {
    size_t taken = 0;
    bool corrected = f->name[0] != '\0';
    for (size_t i = 0; i < JAR_FIGURES && taken < count; i++) {
        jl_jar_figure which = figure_in(f, JAR[i].which);
        bool later = JAR[i].which == JL_JAR_BOILER || applies(f, JAR[i].which);
        if (f->has_given[which] || !later || (corrected && JAR[i].which != JL_JAR_READING))
            continue;
        give(f, which, words[taken++]);
    }
    if (taken < count) refuse("'%s' is more than is asked for", words[taken]);
    return taken == count;
}

/* Whether a new jar has its amount and its strength. */
static bool is_whole(const form *f) {
    bool strength = f->is_stated || f->has_given[figure_in(f, JL_JAR_READING)];
    return f->has_given[figure_in(f, JL_JAR_VOLUME)] && strength &&
           (f->is_stated || f->has_given[figure_in(f, JL_JAR_TEMP)]);
}

static bool take_time_word(form *f, const char *time) {
    if (time == NULL) return true;
    if (strcmp(time, "none") != 0) return form_time(f, time);
    f->e.time = "";
    return true;
}

/* The question that a word names; NULL: none. */
static const question *question_named(const char *word) {
    for (size_t i = 0; i < JAR_FIGURES; i++)
        if (JAR[i].names != NULL && behind_word(JAR[i].names, word) != NULL) return &JAR[i];
    return NULL;
}

/* "head 83,4" */
static bool give_named(form *f, const char *name, const question *of, const char *word) {
    double value;
    if (of->which == JL_JAR_VOLUME) f->by_weight = jl_same_letters(name, "weight");
    jl_jar_figure which = figure_in(f, of->which);
    jl_log_unit unit = jl_run_unit(*f->run, which);
    if (read_number(&unit, which, word, &value) == JL_OK) {
        give(f, which, word);
        return true;
    }
    refuse("'%s %s': expected its figure in %s behind it, as %s %s", name, word, unit.name, name,
           example_of(&unit, which));
    return false;
}

/* The first word of a text, and what is behind it. */
static const char *cut_word(const char *text, char word[REMARK_WORD]) {
    snprintf(word, REMARK_WORD, "%.*s", (int)strcspn(text, " "), text);
    return word_after(text);
}

bool form_line(form *f, const char *text) {
    char word[REMARK_WORD], figure[REMARK_WORD];
    if (is_jar_line(text)) return form_words(f, text);
    if (*text == '\0') return true;
    while (*text != '\0') {
        text = cut_word(text, word);
        const question *named = question_named(word);
        if (named != NULL) {
            text = cut_word(text, figure);
            if (!give_named(f, word, named, figure)) return false;
            continue;
        }
        if (jl_same_letters(word, "time")) {
            if (!take_time_word(f, text)) return false;
            break;
        }
        if (!give_word(f, word)) return false;
    }
    give_others(f);
    return true;
}

static void give_number(form *f, jl_jar_figure which, double value, const char *unit) {
    char word[REMARK_WORD];
    if (isnan(value)) return;
    snprintf(word, sizeof word, "%.10g%s", value, unit);
    give(f, which, word);
}

/* The figures answer their questions; the others are taken as they are. */
static void give_entry(form *f, const jl_entry *e) {
    bool weight = !isnan(e->weight_kg), volume = !isnan(e->volume_l);
    bool spout = !isnan(e->spout.value), read = !isnan(e->reading.value);
    bool stated = !isnan(e->strength.value);
    if (weight || volume) f->by_weight = weight && !volume;
    if (spout || read || stated) f->by_spout = spout && !read && !stated;
    give_number(f, JL_JAR_VOLUME, e->volume_l, "L");
    give_number(f, JL_JAR_WEIGHT, e->weight_kg, "kg");
    give_number(f, JL_JAR_EMPTY, e->empty_kg, "kg");
    give_number(f, JL_JAR_READING, e->reading.value, reading_unit(e->reading.unit));
    give_number(f, JL_JAR_TEMP, e->temp_c, "C");
    give_number(f, JL_JAR_HEAD, e->head_c, "C");
    give_number(f, JL_JAR_BOILER, e->boiler_c, "C");
    if (f->by_spout) {
        give_number(f, JL_JAR_SPOUT, e->spout.value, reading_unit(e->spout.unit));
        give_number(f, JL_JAR_SPOUT_TEMP, e->spout_temp_c, "C");
    } else if (spout) {
        f->e.spout = e->spout;
        f->e.spout_temp_c = e->spout_temp_c;
    }
    if (stated && states_strength(f))
        give_number(f, JL_JAR_READING, e->strength.value, reading_unit(e->strength.unit));
    else if (stated) {
        f->is_stated = true;
        f->e.strength = e->strength;
    }
    if (!isnan(e->taken_l)) f->e.taken_l = e->taken_l;
    if (e->note != NULL) form_note(f, e->note);
    if (e->fraction != NULL) snprintf(f->fraction, sizeof f->fraction, "%s", e->fraction);
    if (e->fraction != NULL) f->e.fraction = f->fraction;
}

/* A person is asked for what is missing; a pipe is told. */
static bool check_words(const form *f, const jar_line *line) {
    if (line_is_person() || f->name[0] != '\0') return true;
    if (line->bare == 0) return check_entry(&line->entry) == EXIT_DONE;
    if (!is_whole(f)) refuse("expected a whole jar, as 250mL 72.5%% 24C");
    return is_whole(f);
}

bool form_words(form *f, const char *text) {
    jar_line line;
    bool good = jar_line_read(&line, text) == EXIT_DONE;
    if (good) good = take_time_word(f, line.options.time);
    if (good) give_entry(f, &line.entry);
    if (good) good = give_bare(f, line.args.words, line.bare);
    if (good) good = check_words(f, &line);
    if (good && (f->name[0] != '\0' || is_whole(f))) give_others(f);
    jar_line_free(&line);
    return good;
}

static bool is_figure(const form *f, jl_jar_figure which, const char *text) {
    double value;
    jl_log_unit unit = jl_run_unit(*f->run, which);
    if (read_number(&unit, which, text, &value) == JL_OK) return true;
    refuse("'%s' is no %s; expected 'spout', or 'spout 63%%@24C'", text, figure_name(which));
    return false;
}

bool form_spout(form *f, const char *text) {
    char word[REMARK_WORD], *temp;
    snprintf(word, sizeof word, "%s", text);
    word[strcspn(word, "@ ")] = '\0';
    temp = word + strlen(word) + (strlen(word) < strlen(text));
    temp += strspn(temp, " ");
    if (text[0] != '\0' && !(is_figure(f, JL_JAR_SPOUT, word) &&
                             (*temp == '\0' || is_figure(f, JL_JAR_SPOUT_TEMP, temp))))
        return false;
    bool asked_for = text[0] == '\0' && !f->by_spout;
    f->by_spout = text[0] != '\0' || asked_for;
    /* the one or the other stands for the jar */
    f->was_taken[JL_JAR_READING] = f->was_taken[JL_JAR_SPOUT] = false;
    f->e.reading.value = f->e.strength.value = f->e.spout.value = NAN;
    if (text[0] == '\0') return true;
    give(f, JL_JAR_SPOUT, word);
    if (*temp != '\0') give(f, JL_JAR_SPOUT_TEMP, temp);
    return true;
}

/* Once: what is not taken is asked for. */
static const char *given_answer(void *with, int which) {
    form *f = with;
    if (which == JL_JAR_TIME || which == NOTE) return NULL;
    jl_jar_figure figure = figure_in(f, which);
    if (!f->has_given[figure]) return NULL;
    f->has_given[figure] = false;
    return f->given[figure];
}

static answered read_moment(form *f, const char *text, remark *r) {
    bool yes = strcmp(text, "y") == 0 || strcmp(text, "yes") == 0, wanted = time_is_wanted(f);
    jl_slip slip;
    f->time_kept = (yes && !wanted) || (wanted && text[0] == '\0');
    if (f->time_kept) return ANSWER_TAKEN;
    if (text[0] == '\0' || yes) {
        snprintf(r->text, sizeof r->text, "A time is needed here%s.", yes ? "" : ", or y");
        return ANSWER_REFUSED;
    }
    /* What is wrong was said, or is asked about again. */
    return !form_time(f, text) || time_is_unlikely(f, &slip) ? ANSWER_REFUSED : ANSWER_TAKEN;
}

static answered read_answer(void *with, int which, const char *text, bool stays, remark *r) {
    form *f = with;
    begin_now(f);
    if (which == JL_JAR_TIME) return read_moment(f, text, r);
    if (which != NOTE) return read_figure(f, figure_in(f, which), text, stays, r);
    form_note(f, text);
    return ANSWER_TAKEN;
}

questions form_questions(form *f, obeyed (*obey)(void *f, const char *word, bool begun),
                         const char *words) {
    return (questions){.all = JAR,
                       .count = sizeof JAR / sizeof JAR[0],
                       .words = words,
                       .with = f,
                       .applies = applies,
                       .given = given_answer,
                       .write = write_question,
                       .read = read_answer,
                       .obey = obey};
}

/* ---- what is left in the boiler ---- */

/* As in the log, but a boiler's volume is in L. */
static jl_log_unit left_unit(const left_form *f, int which) {
    jl_log_unit unit = jl_run_unit(*f->run, (jl_jar_figure)which);
    if (which != JL_JAR_VOLUME) return unit;
    return (jl_log_unit){.factor = 1, .least = 0, .most = unit.most, .name = "L"};
}

static void write_left_question(void *with, int which, char text[QUESTION_BYTES]) {
    snprintf(text, QUESTION_BYTES,
             "%s%s, %s: ", which == JL_JAR_VOLUME ? "Left in the boiler, " : "  ",
             figure_name((jl_jar_figure)which), left_unit(with, which).name);
}

/* What reads below water is asked for again, and the volume stays. */
static answered take_left_temp(left_form *f, double temp_c, remark *r) {
    char shown[48], at[48];
    bool water;
    double p;
    const jl_alcoholometer instrument = jl_run_instrument(*f->run);
    f->left.temp_c = temp_c;
    if (jl_left_reading(&instrument, f->left.reading, temp_c, &water, &p) != JL_NO_MIXTURE)
        return ANSWER_TAKEN;
    write_logged(*f->run, JL_JAR_READING, f->left.reading.value, shown, sizeof shown);
    write_logged(*f->run, JL_JAR_TEMP, logged_number(*f->run, JL_JAR_TEMP, temp_c), at, sizeof at);
    snprintf(r->text, sizeof r->text, "%s at %s is below water; expected %s.", shown, at,
             jl_left_below_water);
    return ANSWER_REFUSED;
}

static answered question_left(const left_form *f, jl_jar_figure figure, double value, remark *r) {
    const jl_left left = {.volume_l = figure == JL_JAR_VOLUME ? value : NAN,
                          .reading = {value, left_unit(f, (int)figure).scale}};
    double most;
    if (figure == JL_JAR_TEMP || !jl_run_left_slip(*f->run, &left, &most)) return ANSWER_TAKEN;
    snprintf(r->kept, sizeof r->kept, "%.6g %s", value, left_unit(f, (int)figure).name);
    if (figure == JL_JAR_VOLUME)
        snprintf(r->text, sizeof r->text, "%s? Of the charge only %.3g L is left.", r->kept, most);
    else
        snprintf(r->text, sizeof r->text, "%s? The charge had %.3g %s.", r->kept,
                 value_seen(most, PCT_VOL), unit_seen(PCT_VOL));
    return ANSWER_UNLIKELY;
}

static answered read_left(void *with, int which, const char *text, bool stays, remark *r) {
    left_form *f = with;
    double value = NAN;
    jl_jar_figure figure = (jl_jar_figure)which;
    jl_log_unit unit = left_unit(f, which);
    bool read = read_number(&unit, figure, text, &value) == JL_OK;
    double number = which == JL_JAR_VOLUME ? value : logged_number(*f->run, figure, value);
    if (read && number < 0 && which == JL_JAR_READING) {
        snprintf(r->text, sizeof r->text, "%.20s is below the scale; expected %s.", text,
                 jl_left_below_water);
        return ANSWER_REFUSED;
    }
    if (!read || !(number >= unit.least && number <= unit.most))
        return refuse_number(figure_name(figure), &unit, figure, text, r);
    if (!stays && question_left(f, figure, value, r) == ANSWER_UNLIKELY) return ANSWER_UNLIKELY;
    if (which == JL_JAR_VOLUME) f->left.volume_l = value;
    if (which == JL_JAR_READING) f->left.reading = (jl_quantity){value, unit.scale};
    if (which == JL_JAR_TEMP) return take_left_temp(f, value, r);
    return ANSWER_TAKEN;
}

static const question LEFT[] = {
    {JL_JAR_VOLUME, QUESTION_FIGURE, "What is left in the boiler, all of it, when it is cool.",
     .names = "volume"},
    {JL_JAR_READING, QUESTION_FIGURE, "What the alcoholometer shows in it.", .names = "reading"},
    {JL_JAR_TEMP, QUESTION_FIGURE, "Its temperature when it was read.",
     .names = "temperature temp"},
};

questions left_questions(left_form *f, obeyed (*obey)(void *f, const char *word, bool begun),
                         const char *words) {
    f->left = (jl_left){NAN, NAN, {NAN, JL_UNIT_PCT_VOL}, {NAN, JL_UNIT_PCT_VOL}};
    return (questions){.all = LEFT,
                       .count = sizeof LEFT / sizeof LEFT[0],
                       .words = words,
                       .with = f,
                       .obey = obey,
                       .write = write_left_question,
                       .read = read_left};
}
