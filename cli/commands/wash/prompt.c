/* The prompt of a wash's log: one row after the other, each on the disk before the next is asked for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nothing is kept between two rows but what the log says. */
#include "commands/wash/prompt.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "commands/wash/daily.h"
#include "input/clock.h"
#include "input/line.h"
#include "input/logfile.h"
#include "input/questions.h"
#include "text/letters.h"
#include "wash/gravity.h"
#include "wash/wash.h"
#include "wash/wash_log.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GRAVITY, TEMP, STEP, DURING, ADD, NOTE };

/* A row that is being typed, below what the log has. */
typedef struct typing {
    const char *path;
    const jl_settings *bench;
    jl_hydrometer hydrometer;
    jl_wash_log *log;
    jl_wash_entry e;
    questions *q;    /* that ask for it */
    bool has_moment; /* it was typed; else it is now */
    bool usual_wait; /* of the step */
    bool named;      /* the step was typed as a word, and not asked for */
    keep kept;       /* its texts */
    int exit_status;
} typing;

static const jl_wash_reading *last_reading(const typing *t) {
    size_t count;
    const jl_wash_reading *r = jl_wash_log_readings(t->log, &count);
    return count == 0 ? NULL : &r[count - 1];
}

/* ---- answers, checked where they are typed ---- */

static answered question_gravity(const typing *t, double sg, remark *r) {
    wash_question_gravity(t->log, last_reading(t), sg, t->has_moment ? t->e.time : clock_now(),
                          r->text, sizeof r->text);
    if (r->text[0] == '\0') return ANSWER_TAKEN;
    snprintf(r->kept, sizeof r->kept, "%.3f", sg);
    return ANSWER_UNLIKELY;
}

static answered refuse_gravity(const char *text, remark *r) {
    char meant[JL_GRAVITY_UNITS_BYTES];
    if (!jl_gravity_units_meant(text, meant)) {
        double same = is_bare_number(text) ? jl_gravity_meant(text) : NAN;
        if (!isnan(same)) snprintf(r->guess, sizeof r->guess, "%.3f", same);
        return answer_refused(r,
                              "A gravity from 0.970 to 1.180, as 1.012, 12pts or 15.2P. Enter: a "
                              "step, or what went in.");
    }
    snprintf(r->text, sizeof r->text, "'%.20s': expected its unit: %s.", text, meant);
    return ANSWER_REFUSED;
}

static answered read_gravity(typing *t, const char *text, bool stays, remark *r) {
    char written[JL_GRAVITY_TEXT_BYTES];
    jl_quantity q;
    double sg;
    t->e.gravity = t->e.step = t->e.duration = NULL;
    if (answer_is_none(text)) return ANSWER_TAKEN;
    if (jl_gravity_is_bare(text) || jl_quantity_read(text, JL_GRAVITY, &q) != JL_OK ||
        jl_gravity_at_20(&t->hydrometer, q, t->hydrometer.calibrated_c, &sg) != JL_OK)
        return refuse_gravity(text, r);
    if (!wash_gravity_can_be(t->log, sg, r->text, sizeof r->text)) return ANSWER_REFUSED;
    answered a = stays ? ANSWER_TAKEN : question_gravity(t, sg, r);
    if (a == ANSWER_TAKEN) {
        jl_gravity_write(text, written);
        t->e.gravity = keep_text(&t->kept, written);
    }
    return a;
}

/* A bare number is °C, or °F where only that can be meant. */
static answered read_temp(typing *t, const char *text, bool stays, remark *r) {
    char typed[REMARK_WORD];
    jl_quantity q;
    const jl_wash_reading *last = last_reading(t);
    t->e.temp_c = NAN;
    if (answer_is_none(text)) return ANSWER_TAKEN;
    size_t digits = strspn(text, "0123456789.,");
    bool bare = digits < sizeof typed - 1 && text[digits] == '\0';
    snprintf(typed, sizeof typed, "%.*s%s", (int)sizeof typed - 2, text, bare ? "C" : "");
    jl_status status = jl_quantity_read(typed, JL_TEMPERATURE, &q);
    if (status != JL_OK || !jl_wash_temp_ok(q.value)) {
        if (bare && strtod(text, NULL) > 40 && strtod(text, NULL) <= 104)
            snprintf(r->guess, sizeof r->guess, "%.20sF", text);
        return answer_refused(
            r,
            "The temperature of the wash: 0 to 40 °C, as 21, or 70F. Enter: the hydrometer's own.");
    }
    if (!stays && last != NULL && !jl_wash_temp_follows(last->temp_c, q.value)) {
        snprintf(r->text, sizeof r->text, "%.1f °C? The reading before had %.1f °C.", q.value,
                 last->temp_c);
        snprintf(r->kept, sizeof r->kept, "%.1f °C", q.value);
        return ANSWER_UNLIKELY;
    }
    t->e.temp_c = q.value;
    return ANSWER_TAKEN;
}

static const char NO_STEP[] =
    "A step is a word: degas, clear, settle, stirred, racked, pitched or one "
    "of your own. back: the gravity.";

/* The known step that was probably meant; "": none, or it is one. */
static const char *step_meant(const char *text) {
    jl_nearest near = jl_nearest_to(text);
    const char *known;
    if (!isnan(jl_wash_usual_wait_s(text))) return "";
    for (size_t i = 0; (known = jl_wash_known_step(i)) != NULL; i++) jl_nearest_offer(&near, known);
    return near.found == NULL ? "" : near.found;
}

static bool is_word(const char *text) {
    return jl_is_letter(text[0]) || (unsigned char)text[0] >= 0x80;
}

static answered question_step(const char *text, remark *r) {
    const char *meant = step_meant(text);
    if (!answer_is_none(text) && !is_word(text)) return answer_refused(r, NO_STEP);
    if (answer_is_none(text) || meant[0] == '\0') return ANSWER_TAKEN;
    snprintf(r->text, sizeof r->text, "'%.40s' is no usual step. Was %s meant?", text, meant);
    snprintf(r->kept, sizeof r->kept, "%.40s", text);
    snprintf(r->guess, sizeof r->guess, "%s", meant);
    return ANSWER_UNLIKELY;
}

static answered read_step(typing *t, const char *text) {
    t->e.step = answer_is_none(text) ? NULL : keep_text(&t->kept, text);
    t->e.duration = NULL;
    return ANSWER_TAKEN;
}

static answered read_during(typing *t, const char *text, remark *r) {
    jl_quantity q;
    t->e.duration = NULL;
    if (answer_is_none(text) && !isnan(jl_wash_usual_wait_s(t->e.step))) return ANSWER_TAKEN;
    if (answer_is_none(text) || jl_quantity_read(text, JL_DURATION, &q) != JL_OK) {
        if (!answer_is_none(text) && text[strspn(text, "0123456789")] == '\0')
            snprintf(r->guess, sizeof r->guess, "%.20sh", text);
        return answer_refused(r, "How long it takes, as 24h or 2d: only degas, clear and settle "
                                 "have a usual wait, and stirred, racked and pitched none. back: "
                                 "another step, or none; Ctrl-C drops the row.");
    }
    t->e.duration = keep_text(&t->kept, text);
    return ANSWER_TAKEN;
}

static answered read_add(typing *t, const char *text, remark *r) {
    jl_ingredient in;
    t->e.add = NULL;
    if (answer_is_none(text)) return ANSWER_TAKEN;
    if (jl_ingredient_read(text, strlen(text), &in) != JL_OK) {
        snprintf(r->text, sizeof r->text, "Expected %s.", JL_INGREDIENT_FORMS);
        return ANSWER_REFUSED;
    }
    t->e.add = keep_text(&t->kept, text);
    return ANSWER_TAKEN;
}

static answered read_answer(void *with, int which, const char *text, bool stays, remark *r) {
    typing *t = with;
    switch (which) {
    case GRAVITY:
        return read_gravity(t, text, stays, r);
    case TEMP:
        return read_temp(t, text, stays, r);
    case STEP: {
        answered a = stays ? ANSWER_TAKEN : question_step(text, r);
        return a == ANSWER_TAKEN ? read_step(t, text) : a;
    }
    case DURING:
        return read_during(t, text, r);
    case ADD:
        return read_add(t, text, r);
    default:
        t->e.note = answer_is_none(text) ? NULL : keep_text(&t->kept, text);
        return ANSWER_TAKEN;
    }
}

/* ---- questions ---- */

static const question ROW[] = {
    {GRAVITY, QUESTION_FIGURE,
     "What the hydrometer shows, as 1.012 or 15.2P; temperature and a note may follow in the line. "
     "Enter: a step, or what went in.",
     false, "gravity", .decides = true},
    {TEMP, QUESTION_FIGURE, "Of the wash at the reading, °C. Enter: the hydrometer's own.", false,
     "temperature temp"},
    {STEP, QUESTION_FIGURE,
     "What was done: degas, clear, settle (they wait), stirred, racked, pitched, or a word of your "
     "own. Enter: nothing, but something went in.",
     false, "step", .decides = true},
    {DURING, QUESTION_FIGURE, "How long it takes, as 24h or 2d.", false, NULL},
    {ADD, QUESTION_TEXT,
     "What went in, as 6kg sugar, 4kg molasses 55% (its sugar), 3L juice 12P, 40L water.", false,
     NULL},
    {NOTE, QUESTION_BEHIND, "Smell, taste, anything.", .leads = "note --note"},
};

static const char WORDS[] = "Words at any question:\n"
                            "  step settle 4d   a step, and how long it takes\n"
                            "  add 2kg sugar    what went in\n"
                            "  time 9:40, note TEXT    of this row\n"
                            "  undo     undo the last row that is recorded\n"
                            "  wash     how strong it is, and what it waits for\n"
                            "  Ctrl-C   drops the row that is being typed\n";

static bool applies(void *with, int which) {
    const typing *t = with;
    const jl_wash_entry *e = &t->e;
    switch (which) {
    case GRAVITY:
        return !t->named && e->add == NULL;
    case TEMP:
        return e->gravity != NULL;
    case STEP:
        return e->gravity == NULL && e->add == NULL && !t->named;
    case DURING:
        return e->step != NULL && e->duration == NULL && !t->usual_wait &&
               jl_wash_usual_wait_s(e->step) != 0;
    case ADD:
        return e->gravity == NULL && e->step == NULL && e->add == NULL;
    default:
        return e->note == NULL;
    }
}

static void write_question(void *with, int which, char text[QUESTION_BYTES]) {
    const typing *t = with;
    const jl_wash_reading *last = last_reading(t);
    double usual_h = which == DURING ? jl_wash_usual_wait_s(t->e.step) / 3600 : NAN;
    char before[40] = "";
    if (last != NULL)
        snprintf(before, sizeof before,
                 last->reading.unit == JL_UNIT_PLATO ? "last %.1fP; " : "last %.3f; ",
                 last->reading.value);
    if (which == GRAVITY)
        snprintf(text, QUESTION_BYTES, "Gravity (%sEnter: a step, or what went in): ", before);
    else if (which == TEMP)
        snprintf(text, QUESTION_BYTES, "  temperature, °C: ");
    else if (which == STEP)
        snprintf(text, QUESTION_BYTES, "  step (degas, clear, settle, racked; Enter: none): ");
    else if (which == DURING && !isnan(usual_h))
        snprintf(text, QUESTION_BYTES, "  it takes (Enter: %.0f h): ", usual_h);
    else if (which == DURING)
        snprintf(text, QUESTION_BYTES, "  it takes (24h, 2d): ");
    else
        snprintf(text, QUESTION_BYTES, "  what went in (6kg sugar; Enter: nothing): ");
}

/* ---- the log ---- */

/* It may have changed at other hands. */
static int refresh(typing *t) {
    jl_wash_log *log;
    int bad = wash_read_log(t->path, &t->hydrometer, &log);
    if (bad != EXIT_DONE) return bad;
    jl_wash_log_free(t->log);
    t->log = log;
    return EXIT_DONE;
}

static obeyed show_wash(typing *t) {
    t->exit_status = refresh(t);
    if (t->exit_status != EXIT_DONE) return WORD_FAILED;
    show *s = show_open(false);
    show_heading(s, t->path);
    wash_show_so_far(s, t->log, t->bench, clock_now());
    return word_shown(s, &t->exit_status);
}

/* ---- words ---- */

static obeyed word_refused(typing *t, const char *text) {
    questions_tell(text);
    if (line_is_person()) return WORD_DONE;
    t->exit_status = questions_fail_line();
    return WORD_FAILED;
}

static obeyed take(typing *t, answered a, const remark *r) {
    return a == ANSWER_TAKEN ? WORD_DONE : word_refused(t, r->text);
}

/* "settle 4d", "settle". */
static obeyed step_word(typing *t, const char *text) {
    remark r = {0};
    char name[REMARK_WORD];
    size_t length = strcspn(text, " ");
    const char *during = text + length + strspn(text + length, " ");
    if (length == 0 || length >= sizeof name)
        return word_refused(t, "A step follows the word: step settle 4d");
    snprintf(name, sizeof name, "%.*s", (int)length, text);
    answered a = question_step(name, &r);
    if (a == ANSWER_REFUSED || (a == ANSWER_UNLIKELY && line_is_person()))
        return word_refused(t, r.text);
    r = (remark){0};
    t->e.gravity = t->e.add = NULL;
    read_step(t, name);
    t->named = true;
    t->usual_wait = *during == '\0' && !isnan(jl_wash_usual_wait_s(name));
    if (*during == '\0') return WORD_DONE; /* it is asked for where there is no usual one */
    obeyed o = take(t, read_during(t, during, &r), &r);
    if (o == WORD_DONE && t->e.duration == NULL) t->e.step = NULL;
    t->named = t->e.step != NULL;
    return o;
}

static obeyed add_word(typing *t, const char *text) {
    remark r = {0};
    if (*text == '\0') return word_refused(t, "What went in follows the word: add 2kg sugar");
    t->e.gravity = t->e.step = t->e.duration = NULL;
    t->named = false;
    return take(t, read_add(t, text, &r), &r);
}

static obeyed set_time(typing *t, const char *text) {
    if (*text == '\0') return word_refused(t, "A time follows the word: time 9:40");
    if (clock_read("time", text, &t->e.time) != EXIT_DONE)
        return word_refused(t, "Expected a time, as 9:40 or 2026-09-20 9:40.");
    t->has_moment = true;
    return WORD_DONE;
}

static obeyed time_word(typing *t, const char *text) {
    obeyed o = set_time(t, text);
    if (t->has_moment && o == WORD_DONE) printf("  This row is of %s.\n", MOMENT(t->e.time));
    return o;
}

/* "settle" in the place of a gravity. */
static bool is_usual_step(const char *text) {
    char name[REMARK_WORD];
    snprintf(name, sizeof name, "%.*s", (int)strcspn(text, " "), text);
    return !isnan(jl_wash_usual_wait_s(name));
}

static obeyed undo(typing *t) {
    if (t->e.gravity != NULL || t->e.step != NULL || t->e.add != NULL)
        return word_refused(t, "A row is being typed, which Ctrl-C drops; undo undoes the last "
                               "one that is recorded.");
    t->exit_status = wash_undo(t->path, t->bench, false);
    if (t->exit_status == EXIT_DONE) t->exit_status = refresh(t);
    return t->exit_status == EXIT_DONE || line_may_go_on(t->exit_status) ? WORD_DONE : WORD_FAILED;
}

static obeyed obey(void *with, const char *word, bool begun) {
    typing *t = with;
    const char *more;
    if ((more = behind_word("step", word)) != NULL) return step_word(t, more);
    if ((more = behind_word("add", word)) != NULL) return add_word(t, more);
    if ((more = behind_word("time", word)) != NULL) return time_word(t, more);
    if ((more = behind_word("note", word)) != NULL) {
        t->e.note = *more == '\0' ? NULL : keep_text(&t->kept, more);
        return WORD_DONE;
    }
    if (jl_same_letters(word, "undo")) return undo(t);
    if (!begun && is_usual_step(word)) return step_word(t, word);
    return jl_same_letters(word, "wash") ? show_wash(t) : NO_WORD;
}

/* "settle 4d note foam": cut off what is behind the word. */
static void cut_note(typing *t, char *line) {
    for (const char *word = word_after(line); *word != '\0'; word = word_after(word)) {
        const char *text = behind_word("note --note", word);
        if (text == NULL || *text == '\0') continue;
        t->e.note = keep_text(&t->kept, text);
        line[word - line - 1] = '\0';
        return;
    }
}

/* A line of figures, a step or what went in may have its moment in it, and the two others a note. */
static obeyed obey_line(void *with, const char *word, bool begun) {
    typing *t = with;
    char *line, *shorter, *time;
    bool named = behind_word("step add", word) != NULL || (!begun && is_usual_step(word));
    if (t->q->at_doubt || (!named && !jl_is_digit(word[0]))) return obey(with, word, begun);
    if (!questions_split_time(word, &line, &time)) line = need(strdup(word));
    if (named) cut_note(t, line);
    if (named && time == NULL && questions_split_time(line, &shorter, &time)) {
        free(line);
        line = shorter;
    }
    obeyed o = time == NULL ? WORD_DONE : set_time(t, time);
    if (o == WORD_DONE) o = obey(with, line, begun);
    free(time);
    return questions_go_on(t->q, o, line);
}

/* ---- the round ---- */

static obeyed write_row(typing *t) {
    if (t->e.gravity == NULL && t->e.step == NULL && t->e.add == NULL) {
        questions_tell("Nothing was recorded; 'quit' leaves.");
        return WORD_DONE;
    }
    if (!t->has_moment) t->e.time = clock_now();
    int bad = wash_record_row(t->path, &t->e, t->has_moment, t->bench, &t->hydrometer, false);
    if (bad == EXIT_DONE) return WORD_DONE;
    t->exit_status = bad;
    return line_may_go_on(bad) ? WORD_DONE : WORD_FAILED;
}

static obeyed take_row(typing *t) {
    questions q = {.all = ROW,
                   .count = sizeof ROW / sizeof ROW[0],
                   .words = WORDS,
                   .with = t,
                   .applies = applies,
                   .write = write_question,
                   .read = read_answer,
                   .obey = obey_line};
    /* cppcheck-suppress autoVariables ; it is asked only while this runs */
    t->q = &q;
    t->e = (jl_wash_entry){.temp_c = NAN};
    t->has_moment = t->usual_wait = t->named = false;
    t->exit_status = refresh(t);
    if (t->exit_status != EXIT_DONE) return WORD_FAILED;
    asked a = questions_ask(&q);
    bool begun = t->e.gravity != NULL || t->e.step != NULL || t->e.add != NULL;
    if (a == ASKED_ALL) return write_row(t);
    if (begun) say("the unfinished row was not recorded");
    if (a == ASKED_FAILED && t->exit_status == EXIT_DONE) t->exit_status = q.exit_status;
    if (a == ASKED_LEFT && begun && !line_is_person()) t->exit_status = EXIT_DATA;
    return a == ASKED_FAILED || t->exit_status != EXIT_DONE ? WORD_FAILED
           : a == ASKED_LEFT || !begun                      ? WORD_LEAVE
                                                            : WORD_DONE;
}

/* Before the first row is typed: a log that cannot be written. */
static int check_writable(const typing *t) {
    jl_wash_log *log;
    jl_fault fault = {0};
    jl_trouble trouble = {0};
    jl_status status =
        jl_wash_log_open(t->path, LOCK_WAIT_S, &t->hydrometer, &log, &fault, &trouble);
    if (status != JL_OK) return fail_write(t->path, status, trouble, &fault, "recorded");
    jl_wash_log_free(log);
    return EXIT_DONE;
}

int wash_prompt(const char *path, const jl_settings *bench) {
    typing t = {.path = path, .bench = bench, .hydrometer = jl_settings_to_hydrometer(bench)};
    t.exit_status = check_writable(&t);
    if (t.exit_status != EXIT_DONE) return t.exit_status;
    line_begin();
    show_quiet(); /* what is assumed need not be said with every row */
    obeyed o = show_wash(&t);
    while (o == WORD_DONE) o = take_row(&t);
    if (o == WORD_LEAVE && line_is_person())
        printf("\nAll rows are in %s. 'jarline record %s' takes it up again;\n'jarline wash %s' "
               "judges it.\n",
               path, path, path);
    jl_wash_log_free(t.log);
    keep_free(&t.kept);
    return o == WORD_FAILED ? t.exit_status : EXIT_DONE;
}
