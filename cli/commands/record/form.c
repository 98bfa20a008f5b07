/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/record/form.h"
#include "answer/say.h"
#include "answer/slips.h"
#include "answer/status.h"
#include "input/clock.h"
#include "input/line.h"
#include "log/columns.h"
#include "run/jars.h"
#include "run/run.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NOTE = JL_JAR_FIGURES };

/* ---- the form and the record ---- */

void form_begin(form *f, jl_run *const *run, const char *name) {
    *f = (form){.run = run, .e = JL_ENTRY, .now = clock_now()};
    snprintf(f->name, sizeof f->name, "%s", name);
    clock_write(f->now, f->stamp);
}

void form_put_in(form *f, jl_run *const *run, const char *name) {
    form_begin(f, run, "");
    snprintf(f->forgotten, sizeof f->forgotten, "%s", name);
    f->e.jar = f->forgotten;
    f->e.time = ""; /* now is not when it was full */
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

static const jl_jar *jar_before_it(const form *f) {
    size_t count;
    const jl_jar *jars = jl_run_jars(*f->run, &count), *old = jar_corrected(f);
    jl_jar_key key;
    if (old != NULL) return old > jars ? old - 1 : NULL;
    if (f->forgotten[0] != '\0' &&
        jl_jar_name_read(f->forgotten, strlen(f->forgotten), &key) == JL_OK)
        while (count > 0 && jl_jar_key_of(&jars[count - 1]) >= key) count--;
    return count > 0 ? &jars[count - 1] : NULL;
}

/* A bare time is the first after the jar before, or after the start. */
bool form_time(form *f, const char *text) {
    jl_time when, from = {0, 0};
    const jl_jar *before = jar_before_it(f);
    bool known = before != NULL && before->has_time;
    if (known) from = before->time;
    if (!known) known = jl_run_started(*f->run, &from);
    if (clock_read_from("time", text, known ? &from : NULL, &when) != EXIT_DONE) return false;
    clock_write(when, f->stamp);
    f->e.time = f->stamp;
    f->time_kept = false;
    return true;
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

static bool any_has_boiler(const form *f) {
    size_t count;
    const jl_jar *jars = jl_run_jars(*f->run, &count);
    for (size_t i = 0; i < count; i++)
        if (!isnan(jars[i].boiler_c)) return true;
    return false;
}

static double *place(jl_entry *e, jl_jar_figure which, bool strength) {
    switch (which) {
    case JL_JAR_VOLUME:
        return &e->volume_l;
    case JL_JAR_READING:
        return strength ? &e->strength.value : &e->reading.value;
    case JL_JAR_TEMP:
        return &e->temp_c;
    case JL_JAR_HEAD:
        return &e->head_c;
    default:
        return &e->boiler_c;
    }
}

static double figure_of(const jl_jar *jar, jl_jar_figure which, bool strength) {
    jl_entry e = JL_ENTRY;
    if (jar == NULL) return NAN;
    e.volume_l = jar->volume_l;
    e.reading = jar->reading;
    e.strength = jar->strength;
    e.temp_c = jar->temp_c;
    e.head_c = jar->head_c;
    e.boiler_c = jar->boiler_c;
    return *place(&e, which, strength);
}

static double typed_value(form *f, jl_jar_figure which) {
    return *place(&f->e, which, states_strength(f));
}

/* What Enter takes; NaN: nothing. A new jar has a reading of its own. */
static double offered_value(form *f, jl_jar_figure which) {
    if (f->was_taken[which]) return typed_value(f, which);
    if (which == JL_JAR_READING && f->name[0] == '\0') return NAN;
    return figure_of(jar_offered(f), which, states_strength(f));
}

/* The jar as far as it is known. */
static jl_jar jar_so_far(form *f) {
    jl_jar jar = {.size = sizeof jar};
    const jl_jar *old = jar_corrected(f);
    if (old != NULL) jar = *old;
    const jl_entry *e = &f->e;
    bool is_new = old == NULL;
    jar.spirit = (jl_spirit){0, 0};
    if (is_new || !isnan(e->volume_l)) jar.volume_l = e->volume_l;
    if (is_new || !isnan(e->temp_c)) jar.temp_c = e->temp_c;
    if (is_new || !isnan(e->head_c)) jar.head_c = e->head_c;
    if (is_new || !isnan(e->boiler_c)) jar.boiler_c = e->boiler_c;
    if (is_new || !isnan(e->reading.value)) jar.reading = e->reading;
    if (is_new || !isnan(e->strength.value)) jar.strength = e->strength;
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

/* Of a jar that was forgotten the time is asked for. */
static bool time_is_wanted(const form *f) {
    return f->forgotten[0] != '\0' && f->e.time != f->stamp && !f->time_kept &&
           has_column(f, JL_ROLE_TIME);
}

static bool applies(void *with, int which) {
    form *f = with;
    jl_slip slip;
    if (which == JL_JAR_TEMP) return !states_strength(f) || has_column(f, JL_ROLE_TEMP);
    /* With the first jar, then as long as one has it. */
    if (which == JL_JAR_BOILER)
        return f->name[0] != '\0' || jar_before_it(f) == NULL || any_has_boiler(f);
    /* The lines of a pipe are answers in a known order. */
    if (which == JL_JAR_TIME)
        return line_is_person() && (time_is_wanted(f) || time_is_unlikely(f, &slip));
    return true;
}

static double to_log(const jl_log_unit *unit, double value) {
    return unit->scale == JL_UNIT_BASE ? value / unit->factor + unit->offset : value;
}

static const char *name_of(form *f, jl_jar_figure which) {
    return which == JL_JAR_READING && states_strength(f) ? "strength" : figure_name(which);
}

/* "Jar 8 (12 min since jar 7), ". */
static void write_jar_name(form *f, char *text, size_t size) {
    char fraction[24] = "";
    const jl_jar *before = jar_before_it(f);
    const jl_jar now = {.has_time = true, .time = clock_now()};
    double minutes = jl_jar_minutes(before, &now);
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

/* " [250]", " (jar 7: 74.1)". */
static void write_offer(form *f, jl_jar_figure which, char *text, size_t size) {
    char number[32];
    jl_log_unit unit = jl_run_unit(*f->run, which);
    const jl_jar *before = jar_before_it(f);
    double offered = offered_value(f, which);
    double was = figure_of(before, which, states_strength(f));
    text[0] = '\0';
    if (!isnan(offered)) {
        write_number(&unit, to_log(&unit, offered), number, sizeof number);
        snprintf(text, size, " [%s]", number);
    } else if (which == JL_JAR_READING && !isnan(was)) {
        write_number(&unit, to_log(&unit, was), number, sizeof number);
        snprintf(text, size, " (jar %s: %s)", before->name, number);
    } else if (which >= JL_JAR_HEAD)
        snprintf(text, size, " (Enter: none)");
}

static void write_time_question(form *f, char text[QUESTION_BYTES]) {
    jl_slip slip;
    char why[SLIP_BYTES];
    if (time_is_wanted(f))
        snprintf(text, QUESTION_BYTES, "  when was it full? As 9:40 (Enter: not known): ");
    if (time_is_wanted(f) || !time_is_unlikely(f, &slip)) return;
    questions_tell(write_slip(*f->run, &slip, why));
    snprintf(text, QUESTION_BYTES, "  when was it full? As 9:40; y: keep %.10s %.5s: ", f->stamp,
             f->stamp + 11);
}

static void write_question(void *with, int which, char text[QUESTION_BYTES]) {
    form *f = with;
    char jar[64] = "  ", offer[64];
    jl_jar_figure figure = (jl_jar_figure)which;
    text[0] = '\0';
    if (which == JL_JAR_TIME) write_time_question(f, text);
    if (which >= JL_JAR_TIME) return;
    if (which == JL_JAR_VOLUME) write_jar_name(f, jar, sizeof jar);
    write_offer(f, figure, offer, sizeof offer);
    snprintf(text, QUESTION_BYTES, "%s%s, %s%s%s: ", jar, name_of(f, figure),
             jl_run_unit(*f->run, figure).name, offer,
             which == JL_JAR_VOLUME ? " (? for help)" : "");
}

/* ---- answers ---- */

static jl_kind kind_of(jl_jar_figure which) {
    return which == JL_JAR_VOLUME    ? JL_VOLUME
           : which == JL_JAR_READING ? JL_STRENGTH
                                     : JL_TEMPERATURE;
}

static const char *example_of(const jl_log_unit *unit, jl_jar_figure which) {
    bool proof = unit->scale == JL_UNIT_PROOF_US, fahrenheit = unit->offset != 0;
    switch (which) {
    case JL_JAR_VOLUME:
        return unit->factor == 1 ? "0.5 or 500mL" : "500 or 0.5L";
    case JL_JAR_READING:
        return proof ? "145.5" : "72.5";
    case JL_JAR_TEMP:
        return fahrenheit ? "75 or 24C" : "24 or 75F";
    default:
        return fahrenheit ? "185 or 85C" : "85 or 185F";
    }
}

static answered refuse(const char *name, const jl_log_unit *unit, jl_jar_figure which,
                       const char *text, remark *r) {
    if (text[0] == '\0')
        snprintf(r->text, sizeof r->text, "A %s is needed here, in %s, as %s.", name, unit->name,
                 example_of(unit, which));
    else
        snprintf(r->text, sizeof r->text, "'%.60s' is no %s; expected one in %s, as %s.", text,
                 name, unit->name, example_of(unit, which));
    return ANSWER_REFUSED;
}

static answered refuse_form(form *f, jl_jar_figure which, const char *text, remark *r) {
    jl_log_unit unit = jl_run_unit(*f->run, which);
    return refuse(name_of(f, which), &unit, which, text, r);
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
    int n = which == JL_JAR_VOLUME
                ? snprintf(r->text, sizeof r->text, "volume %s? Expected one above 0.", is)
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
    if (status == JL_RANGE && which == JL_JAR_READING) { /* the number is wanted all the same */
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
    if (which == JL_JAR_READING) *(strength ? &f->e.strength.unit : &f->e.reading.unit) = scale;
    f->was_taken[which] = true;
    return ANSWER_TAKEN;
}

/* A reading and a temperature that no mixture has. */
static answered check_mixture(form *f, jl_jar_figure which, remark *r) {
    jl_jar jar = {.size = sizeof jar};
    if (which != JL_JAR_TEMP || isnan(f->e.volume_l)) return ANSWER_TAKEN;
    const char *name = f->name[0] == '\0' ? NULL : f->name;
    if (jl_run_jar_of_entry(*f->run, name, &f->e, &jar, NULL) == JL_OK) return ANSWER_TAKEN;
    jl_log_unit unit = jl_run_unit(*f->run, JL_JAR_READING);
    snprintf(r->text, sizeof r->text,
             "No mixture shows %.4g %s at %.3g °C. 'back' returns to the reading.",
             f->e.reading.value, unit.name, f->e.temp_c);
    f->was_taken[which] = false;
    f->e.temp_c = NAN;
    return ANSWER_REFUSED;
}

/* Takes a value, unless it is unlikely and not to be kept all the same. */
static answered take_likely(form *f, jl_jar_figure which, double value, bool keep, remark *r) {
    form tried = *f;
    jl_slip slip;
    take(&tried, which, value);
    const jl_jar jar = jar_so_far(&tried);
    bool unlikely = !keep && jl_run_slip(*f->run, jar_before_it(f), &jar, which, &f->now, &slip);
    if (!unlikely) {
        take(f, which, value);
        return check_mixture(f, which, r);
    }
    write_slip(*f->run, &slip, r->text);
    write_logged(*f->run, which, slip.is, r->kept, sizeof r->kept);
    take_guess(f, which, &slip.guess, r);
    return ANSWER_UNLIKELY;
}

/* Enter keeps what was doubted only where it was kept before. */
static answered take_offered(form *f, jl_jar_figure which, remark *r) {
    double offered = offered_value(f, which);
    bool gauge = which == JL_JAR_HEAD || which == JL_JAR_BOILER;
    if (isnan(offered) && !gauge) return refuse_form(f, which, "", r);
    if (isnan(offered)) return take(f, which, NAN);
    return take_likely(f, which, offered, f->was_taken[which] || f->name[0] != '\0', r);
}

static answered read_figure(form *f, jl_jar_figure which, const char *text, bool keep, remark *r) {
    double value;
    jl_log_unit unit = jl_run_unit(*f->run, which);
    bool gauge = which == JL_JAR_HEAD || which == JL_JAR_BOILER;
    if (text[0] == '\0') return take_offered(f, which, r);
    if (strcmp(text, "-") == 0 && gauge && f->name[0] == '\0') return take(f, which, NAN);
    if (strcmp(text, "-") == 0 && gauge) {
        snprintf(r->text, sizeof r->text, "A figure can be corrected here, not taken out.");
        return ANSWER_REFUSED;
    }
    if (read_number(&unit, which, text, &value) != JL_OK) return refuse_form(f, which, text, r);
    double number = to_log(&unit, value);
    bool above_0 = which != JL_JAR_VOLUME || value > 0;
    if (!(number >= unit.least && number <= unit.most && above_0))
        return refuse_range(f, which, number, r);
    return take_likely(f, which, value, keep, r);
}

/* ---- figures in one line ---- */

static bool give(form *f, const char *word) {
    static const jl_jar_figure FIGURES_OF_A_LINE[] = {JL_JAR_READING, JL_JAR_VOLUME, JL_JAR_TEMP};
    double value;
    for (size_t i = 0; i < sizeof FIGURES_OF_A_LINE / sizeof FIGURES_OF_A_LINE[0]; i++) {
        jl_jar_figure which = FIGURES_OF_A_LINE[i];
        jl_log_unit unit = jl_run_unit(*f->run, which);
        if (read_number(&unit, which, word, &value) != JL_OK) continue;
        snprintf(f->given[which], sizeof f->given[which], "%s", word);
        return true;
    }
    fail(EXIT_USAGE, "'%s' is no figure of a jar; expected a reading, 250ml, 24C or 75F", word);
    return false;
}

bool form_line(form *f, const char *text) {
    char word[REMARK_WORD];
    f->is_line = *text != '\0';
    while (*text != '\0') {
        size_t length = strcspn(text, " ");
        snprintf(word, sizeof word, "%.*s", (int)length, text);
        if (!give(f, word)) return false;
        text += length + strspn(text + length, " ");
    }
    return true;
}

/* Once: what is not taken is asked for. */
static const char *given_answer(void *with, int which) {
    form *f = with;
    if (!f->is_line || which >= JL_JAR_TIME || f->was_given[which]) return NULL;
    f->was_given[which] = true;
    return f->given[which];
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

static answered read_answer(void *with, int which, const char *text, bool keep, remark *r) {
    form *f = with;
    if (which == JL_JAR_TIME) return read_moment(f, text, r);
    if (which != NOTE) return read_figure(f, (jl_jar_figure)which, text, keep, r);
    form_note(f, text);
    return ANSWER_TAKEN;
}

static const question JAR[] = {
    {JL_JAR_VOLUME, QUESTION_FIGURE,
     "The volume of the jar. Several figures in one line answer the next questions too, and a line "
     "with volume, reading and temperature is a whole jar: 250 74.5 21 86.5 pear, clean",
     false},
    {JL_JAR_READING, QUESTION_FIGURE,
     "What the alcoholometer shows in the jar, at the jar's temperature, as on the scale.", false},
    {JL_JAR_TEMP, QUESTION_FIGURE, "The temperature of the jar when it was read.", false},
    {JL_JAR_HEAD, QUESTION_FIGURE,
     "The temperature at the head as the jar ends; - is none. A note may follow: 86.5 pear, clean",
     true},
    {JL_JAR_BOILER, QUESTION_FIGURE,
     "The temperature in the boiler as the jar ends; - is none. A note may follow: 91.5 pear, "
     "clean",
     true},
    {NOTE, QUESTION_BEHIND, "Smell, taste, anything.", false},
    {JL_JAR_TIME, QUESTION_TEXT, "When the jar was full.", false},
};

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

static answered read_left(void *with, int which, const char *text, bool keep, remark *r) {
    left_form *f = with;
    double value;
    jl_jar_figure figure = (jl_jar_figure)which;
    jl_log_unit unit = left_unit(f, which);
    (void)keep;
    bool number = read_number(&unit, figure, text, &value) == JL_OK;
    if (!number || !(to_log(&unit, value) >= unit.least && to_log(&unit, value) <= unit.most))
        return refuse(figure_name(figure), &unit, figure, text, r);
    if (which == JL_JAR_VOLUME) f->left.volume_l = value;
    if (which == JL_JAR_READING) f->left.reading = (jl_quantity){value, unit.scale};
    if (which == JL_JAR_TEMP) f->left.temp_c = value;
    return ANSWER_TAKEN;
}

static const question LEFT[] = {
    {JL_JAR_VOLUME, QUESTION_FIGURE, "What is left in the boiler, all of it, when it is cool.",
     false},
    {JL_JAR_READING, QUESTION_FIGURE, "What the alcoholometer shows in it.", false},
    {JL_JAR_TEMP, QUESTION_FIGURE, "Its temperature when it was read.", false},
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
