/* The prompt: one jar after the other, each on the disk before the next is asked for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nothing is kept between two jars but what the log says, so that it can be left, cut off and taken
 * up again at any moment. */
#include "commands/record/prompt.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/slips.h"
#include "answer/status.h"
#include "commands/record/show.h"
#include "commands/record/write.h"
#include "input/clock.h"
#include "input/jar_words.h"
#include "input/line.h"
#include "input/logfile.h"
#include "run/run.h"
#include "text/letters.h"

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_SHOWN = 6 };

/* How a question or a jar ended. */
typedef enum outcome {
    ANSWERED,
    DROPPED, /* Ctrl-C: this jar is not written */
    LEFT,    /* end of input, quit */
    FAILED   /* the prompt ends with its exit status */
} outcome;

typedef struct prompt {
    const char *path;
    jl_run *run;
    bool person; /* who can be asked again */
    size_t lines;
    int exit_status;
} prompt;

static outcome end_failed(prompt *p, int exit_status) {
    p->exit_status = exit_status;
    return FAILED;
}

static const jl_jar *newest_jar(const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    return count > 0 ? &jars[count - 1] : NULL;
}

/* ---- questions ---- */

static bool is_word(const char *text, const char *word) {
    return jl_same_letters(text, word);
}

static outcome ask(prompt *p, const char *question, char **answer) {
    line_result result = line_ask(question, answer);
    p->lines++;
    switch (result) {
    case LINE_GIVEN:
        return ANSWERED;
    case LINE_INTERRUPTED:
        return DROPPED;
    case LINE_END:
        return LEFT;
    case LINE_UNREADABLE:
        break;
    }
    return end_failed(p, fail(EXIT_DATA, "line %zu of the input holds a NUL byte", p->lines));
}

/* A person is asked again; the lines of a pipe would no longer fit their questions. */
static outcome after_mistake(prompt *p) {
    if (p->person) return ANSWERED;
    return end_failed(p, fail(EXIT_DATA,
                              "line %zu of the input is no answer; nothing below it was "
                              "recorded",
                              p->lines));
}

typedef int read_answer(const char *text, const void *with, jl_entry *entry);

/* Asks until the answer can be read. offered: what Enter alone means; NULL: it means nothing. */
static outcome ask_figure(prompt *p, const char *question, bool offered, read_answer *read,
                          const void *with, jl_entry *entry) {
    for (;;) {
        char *answer;
        outcome o = ask(p, question, &answer);
        if (o != ANSWERED) return o;
        bool empty = answer[0] == '\0';
        int bad = EXIT_DONE;
        if (empty && !offered)
            bad = fail(EXIT_USAGE, "a figure is needed here; Ctrl-C drops this jar");
        else if (!empty)
            bad = read(answer, with, entry);
        free(answer);
        if (bad == EXIT_DONE) return ANSWERED;
        if ((o = after_mistake(p)) != ANSWERED) return o;
    }
}

typedef struct wanted_figure {
    figure which;
    const char *name, *unit;
} wanted_figure;

static int read_wanted(const char *text, const void *with, jl_entry *entry) {
    const wanted_figure *w = with;
    return read_figure(w->which, w->name, text, w->unit, entry);
}

/* A temperature that may be missing: "-" is none. Bare numbers are in °C. */
static int read_gauge(const char *text, const char *name, bool correcting, double *temp_c) {
    char with_unit[64];
    double bare;
    if (strcmp(text, "-") == 0 && correcting)
        return fail(EXIT_USAGE, "what stands can be mended here, not taken out");
    if (strcmp(text, "-") == 0) {
        *temp_c = NAN;
        return EXIT_DONE;
    }
    bool number = jl_decimal_read(text, strlen(text), JL_COMMA_SAFE, &bare) == JL_OK;
    snprintf(with_unit, sizeof with_unit, "%s%s", text, number ? "C" : "");
    return read_vapour(name, with_unit, temp_c);
}

static int read_head(const char *text, const void *with, jl_entry *entry) {
    return read_gauge(text, "the head", with != NULL, &entry->head_c);
}

static int read_boiler(const char *text, const void *with, jl_entry *entry) {
    return read_gauge(text, "the boiler", with != NULL, &entry->boiler_c);
}

static void write_offer(char *text, size_t size, const char *what, const char *unit, double value,
                        int decimals) {
    char number[32];
    if (jl_decimal_write(value, decimals, number, sizeof number) == JL_OK)
        snprintf(text, size, "  %s, %s [%s]: ", what, unit, number);
    else
        snprintf(text, size, "  %s, %s: ", what, unit);
}

/* Figures are kept with as many decimals as a person would write. */
static int decimals_of(double value) {
    return fabs(value - round(value)) < 1e-6 ? 0 : 1;
}

static outcome ask_volume(prompt *p, const char *first, const jl_jar *like, jl_entry *e) {
    char question[160];
    static const wanted_figure VOLUME = {FIGURE_VOLUME, "the volume", "ml"};
    double volume_ml = like == NULL ? NAN : 1000 * like->volume_l;
    write_offer(question, sizeof question, "volume", "ml", volume_ml, decimals_of(volume_ml));
    if (like != NULL) e->volume_l = like->volume_l;
    int bad = EXIT_DONE;
    if (first != NULL) bad = first[0] == '\0' ? EXIT_DONE : read_wanted(first, &VOLUME, e);
    if (first != NULL && bad == EXIT_DONE && !isnan(e->volume_l)) return ANSWERED;
    if (first != NULL) {
        if (bad == EXIT_DONE) fail(EXIT_USAGE, "a volume is needed, as 500ml");
        outcome o = after_mistake(p);
        if (o != ANSWERED) return o;
    }
    return ask_figure(p, question, like != NULL, read_wanted, &VOLUME, e);
}

/* The log's own scale; a new log's is of % vol. */
static outcome ask_reading(prompt *p, const jl_jar *before, bool correcting, jl_entry *e) {
    char question[96];
    bool proof = before != NULL && before->reading.unit == JL_UNIT_PROOF_US;
    const wanted_figure reading = {FIGURE_READING, "the reading", proof ? "proof" : "%"};
    bool known = before != NULL && !isnan(before->reading.value);
    if (known && correcting)
        snprintf(question, sizeof question, "  reading, %s [%g]: ", reading.unit,
                 before->reading.value);
    else if (known)
        snprintf(question, sizeof question, "  reading, %s (jar %" PRIu32 ": %g): ", reading.unit,
                 before->number, before->reading.value);
    else
        snprintf(question, sizeof question, "  reading, %s: ", reading.unit);
    return ask_figure(p, question, known && correcting, read_wanted, &reading, e);
}

static outcome ask_temp(prompt *p, const jl_jar *like, jl_entry *e) {
    char question[96];
    static const wanted_figure TEMP = {FIGURE_TEMP, "the temperature", "C"};
    double temp_c = like == NULL ? NAN : like->temp_c;
    write_offer(question, sizeof question, "its temperature", "C", temp_c, decimals_of(temp_c));
    e->temp_c = temp_c;
    return ask_figure(p, question, !isnan(temp_c), read_wanted, &TEMP, e);
}

static outcome ask_gauge(prompt *p, const char *what, bool correcting, double like_c,
                         read_answer *read, double *temp_c, jl_entry *e) {
    char question[96];
    const char *unit = correcting ? "C" : "C, - for none";
    write_offer(question, sizeof question, what, unit, like_c, decimals_of(like_c));
    *temp_c = like_c;
    return ask_figure(p, question, true, read, correcting ? p : NULL, e);
}

/* ---- one jar ---- */

static outcome ask_rest(prompt *p, const jl_jar *like, bool correcting, jl_entry *e, char **note) {
    outcome o = ask_reading(p, like, correcting, e);
    if (o == ANSWERED) o = ask_temp(p, like, e);
    if (o == ANSWERED)
        o = ask_gauge(p, "head", correcting, like == NULL ? NAN : like->head_c, read_head,
                      &e->head_c, e);
    /* With the first jar, then as long as it is given. */
    double boiler_c = like == NULL ? NAN : like->boiler_c;
    if (o == ANSWERED && (like == NULL || correcting || !isnan(boiler_c)))
        o = ask_gauge(p, "boiler", correcting, boiler_c, read_boiler, &e->boiler_c, e);
    if (o != ANSWERED) return o;
    o = ask(p, "  note: ", note);
    /* "-" is none here too, as it is for the gauges. */
    if (o == ANSWERED && (*note)[0] != '\0' && strcmp(*note, "-") != 0) e->note = *note;
    return o;
}

/* What looks like a slip is said; a person may drop the jar. */
static outcome confirm(prompt *p, const jl_entry *e) {
    jl_jar jar = {.size = sizeof jar};
    jl_slips slips;
    char *answer, text[SLIP_BYTES];
    if (jar_of_entry(p->run, 0, e, &jar) != EXIT_DONE) return after_mistake(p);
    jar.has_time = jl_time_read(e->now, strlen(e->now), &jar.time) == JL_OK;
    jl_run_slips(p->run, newest_jar(p->run), &jar, NULL, &slips);
    for (size_t i = 0; i < slips.count; i++)
        say("look again: %s", write_slip(p->run, &slips.of[i], text));
    if (slips.count == 0 || !p->person) return ANSWERED;
    for (;;) {
        outcome o = ask(p, "  record it all the same? Enter for yes, n drops it: ", &answer);
        if (o != ANSWERED) return o;
        bool yes = answer[0] == '\0' || is_word(answer, "y") || is_word(answer, "yes");
        bool no = is_word(answer, "n") || is_word(answer, "no");
        free(answer);
        if (yes || no) return yes ? ANSWERED : DROPPED;
    }
}

static void show_page(prompt *p, const char *heading) {
    show *s = show_open(false);
    show_heading(s, heading);
    show_table_of_jars(s, p->run, ROWS_SHOWN);
    show_run_so_far(s, p->run, false);
    p->exit_status = show_close(s, EXIT_DONE);
}

static void show_run_page(prompt *p) {
    show_page(p, "The run");
}

/* On a page of its own: with the table it would not fit into 24 lines. */
static void show_rest_page(prompt *p) {
    show *s = show_open(false);
    show_rest_below_jar(s, p->run);
    p->exit_status = show_close(s, EXIT_DONE);
}

/* An answer that nobody sees: the jar is said to be on the disk, and the prompt ends. */
static outcome show_done(prompt *p, uint32_t number, const char *deed) {
    char heading[48];
    snprintf(heading, sizeof heading, "Jar %" PRIu32 " %s", number, deed);
    show_page(p, heading);
    if (p->exit_status == EXIT_DONE) return ANSWERED;
    say("jar %" PRIu32 " is %s in %s all the same, on the disk", number, deed, p->path);
    return FAILED;
}

/* The record of what was read last, or of what was just written. */
static outcome take_run(prompt *p, int bad, jl_run *run) {
    if (bad != EXIT_DONE) return end_failed(p, bad);
    jl_run_free(p->run);
    p->run = run;
    return ANSWERED;
}

/* The log may have changed at other hands. */
static outcome refresh(prompt *p) {
    jl_run *run;
    int bad = run_read_log(p->path, &run);
    return take_run(p, bad, run);
}

static outcome show_anew(prompt *p, void (*page)(prompt *)) {
    outcome o = refresh(p);
    if (o == ANSWERED) page(p);
    return o;
}

static outcome after_write(prompt *p, int bad, jl_run *run) {
    if (bad == EXIT_DONE) return take_run(p, bad, run);
    /* The jar is not in the log; a person may mend the trouble and type it again. */
    bool over = !p->person || bad == EXIT_INPUT || bad == EXIT_DATA;
    return over ? end_failed(p, bad) : DROPPED;
}

static outcome take_jar(prompt *p, const char *first) {
    char stamp[JL_TIME_BYTES];
    char *note = NULL;
    jl_entry e = JL_ENTRY;
    const jl_jar *newest = newest_jar(p->run);
    clock_write(clock_now(), stamp);
    e.now = stamp;
    outcome o = ask_volume(p, first, newest, &e);
    if (o == ANSWERED) o = ask_rest(p, newest, false, &e, &note);
    if (o == LEFT)
        o = end_failed(p, p->person ? EXIT_DONE : EXIT_DATA),
        say("the unfinished jar was not recorded");
    if (o == ANSWERED) o = confirm(p, &e);
    if (o == ANSWERED) {
        jl_run *run;
        int bad = write_jar(p->path, &e, &run);
        o = after_write(p, bad, run);
        if (o == ANSWERED) o = show_done(p, newest_jar(p->run)->number, "recorded");
    }
    free(note);
    return o;
}

/* ---- corrections ---- */

static void drop_unchanged(const jl_jar *old, jl_entry *e) {
    if (e->volume_l == old->volume_l) e->volume_l = NAN;
    if (e->temp_c == old->temp_c) e->temp_c = NAN;
    if (e->head_c == old->head_c) e->head_c = NAN;
    if (e->boiler_c == old->boiler_c) e->boiler_c = NAN;
}

static outcome correct_jar(prompt *p, uint32_t number) {
    jl_run *run;
    jl_entry e = JL_ENTRY;
    char *note = NULL;
    outcome o = refresh(p);
    if (o != ANSWERED) return o;
    const jl_jar *old = jl_run_jar_by_number(p->run, number);
    if (old == NULL) {
        fail(EXIT_USAGE, "the log has no jar %" PRIu32 " that counts", number);
        return after_mistake(p);
    }
    if (p->person) printf("Jar %" PRIu32 " again: Enter keeps what stands in brackets.\n", number);
    o = ask_volume(p, NULL, old, &e);
    if (o == ANSWERED) o = ask_rest(p, old, true, &e, &note);
    drop_unchanged(old, &e);
    if (o == ANSWERED && gives_anything(&e)) {
        int bad = write_corrected(p->path, number, &e, &run);
        o = after_write(p, bad, run);
        if (o == ANSWERED) o = show_done(p, number, "mended");
    }
    free(note);
    return o;
}

static outcome undo(prompt *p) {
    uint32_t number;
    jl_run *run;
    int bad = write_undone(p->path, &run, &number);
    if (bad == EXIT_NO) return after_mistake(p);
    outcome o = after_write(p, bad, run);
    return o == ANSWERED ? show_done(p, number, "taken back") : o;
}

/* ---- the round ---- */

static void show_help(void) {
    puts("A jar begins with its volume: 500 or 500ml, then Enter. Enter alone takes what\n"
         "stands in brackets. Other words here:\n"
         "  jar 5    mend jar 5          undo     take the last jar back\n"
         "  table    the run so far      rest     what is to come, by the jars so far\n"
         "  quit     leave; run it again to go on\n"
         "Ctrl-C drops a jar that is not finished. Nothing that was recorded is lost.");
}

static bool names_jar(const char *text, uint32_t *number) {
    char *end;
    if (!jl_same_letters_to(text, "jar", 3)) return false;
    errno = 0;
    long long value = strtoll(text + 3, &end, 10);
    if (errno != 0 || end == text + 3 || *end != '\0' || value <= 0) return false;
    *number = value > JL_JAR_MOST ? 0 : (uint32_t)value; /* no jar has the number 0 */
    return true;
}

static outcome obey(prompt *p, const char *word) {
    uint32_t number;
    if (is_word(word, "quit") || is_word(word, "q") || is_word(word, "exit")) return LEFT;
    if (is_word(word, "undo")) return undo(p);
    if (names_jar(word, &number)) return correct_jar(p, number);
    if (is_word(word, "?") || is_word(word, "help"))
        show_help();
    else if (is_word(word, "table"))
        return show_anew(p, show_run_page);
    else if (is_word(word, "rest"))
        return show_anew(p, show_rest_page);
    else
        return take_jar(p, word);
    return ANSWERED;
}

/* "Jar 8 (12 min since jar 7)". */
static void write_question(const jl_run *run, char *text, size_t size) {
    const jl_jar *newest = newest_jar(run);
    const jl_jar now = {.has_time = true, .time = clock_now()};
    double minutes = jl_jar_minutes(newest, &now);
    int n = snprintf(text, size, "Next jar");
    if (newest != NULL && minutes < 24 * 60)
        n += snprintf(text + n, size - (size_t)n, " (%.0f min since jar %" PRIu32 ")", minutes,
                      newest->number);
    if (newest == NULL)
        snprintf(text + n, size - (size_t)n, ", volume, ml (? for help): ");
    else
        snprintf(text + n, size - (size_t)n,
                 ", volume, ml [%.4g] (? for help): ", 1000 * newest->volume_l);
}

static outcome go_round(prompt *p) {
    char question[160];
    char *word;
    write_question(p->run, question, sizeof question);
    outcome o = ask(p, question, &word);
    if (o == DROPPED) return LEFT; /* Ctrl-C where nothing is begun */
    if (o != ANSWERED) return o;
    o = obey(p, word);
    free(word);
    if (o == DROPPED) say("this jar was not recorded");
    return o;
}

int record_prompt(const char *path) {
    prompt p = {.path = path, .person = line_is_person()};
    outcome o = refresh(&p);
    if (o != ANSWERED) return p.exit_status;
    line_begin();
    show_page(&p, path);
    o = p.exit_status == EXIT_DONE ? ANSWERED : FAILED;
    while (o == ANSWERED || o == DROPPED) o = go_round(&p);
    if (o == LEFT && p.person) printf("Left; 'jarline record %s' takes it up again.\n", path);
    jl_run_free(p.run);
    return o == FAILED ? p.exit_status : EXIT_DONE;
}
