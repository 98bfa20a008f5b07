/* record: jars into a run log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "command.h"
#include "commands/record/form.h"
#include "commands/record/show.h"
#include "commands/record/write.h"
#include "commands/wash/daily.h"
#include "commands/wash/prompt.h"
#include "input/clock.h"
#include "input/file_kind.h"
#include "input/jar_words.h"
#include "input/line.h"
#include "input/logfile.h"
#include "input/part.h"
#include "input/settings.h"
#include "run/jars.h"
#include "run/run.h"
#include "run/tally.h"
#include "text/letters.h"
#include "text/timestamp.h"

#include <ctype.h>
#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* ---- The prompt ---- */

enum { ROWS_SHOWN = 6, ROWS_USUAL = 24, ROWS_AROUND = 6, WORD_MOST = 120 };

typedef struct prompt {
    const char *path;
    double jar_l; /* of the bench, NaN: not known */
    jl_run *run;
    char fraction[16]; /* of the jars from now on, as "cut" said; "": undecided */
    int exit_status;
    bool begun; /* a jar was asked for */
    bool lines; /* of "record RUN -": noted before, so that now is no moment of theirs */
    size_t timeless;
} prompt;

/* A jar being typed, and the prompt that its words are for. */
typedef struct typing {
    form form; /* first: the questions hand it to the words */
    questions *q;
    prompt *p;
    bool anew;               /* it is, by a whole line */
    const char *first;       /* a line that is its first answer; NULL: none */
    char instead[WORD_MOST]; /* the jar and figures that are to be corrected in its place */
} typing;

static obeyed word_failed(prompt *p, int exit_status) {
    p->exit_status = exit_status;
    return WORD_FAILED;
}

static obeyed word_refused(prompt *p) {
    return line_is_person() ? WORD_DONE : word_failed(p, questions_fail_line());
}

/* ---- the record ---- */

static bool same_text(const char *a, const char *b) {
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

/* Whether a log read anew is of the run that was shown, and not another that took its name. */
static bool is_same_run(const jl_run *a, const jl_run *b) {
    jl_time started[2] = {{0, 0}, {0, 0}};
    const jl_jar *first = jl_run_jar(a, 0);
    bool has[2] = {jl_run_started(a, &started[0]), jl_run_started(b, &started[1])};
    if (has[0] != has[1] || started[0].unix_s != started[1].unix_s) return false;
    if (!same_text(jl_run_title(a), jl_run_title(b))) return false;
    const jl_jar *still = first == NULL ? NULL : jl_run_jar_named(b, first->name);
    if (first == NULL || has[0]) return true;
    return still != NULL && still->time.unix_s == first->time.unix_s &&
           still->volume_l == first->volume_l;
}

static void take_run(prompt *p, jl_run *run) {
    jl_run_free(p->run);
    p->run = run;
}

/* The log may have changed at other hands. WORD_OVER: it is another run, into which the person will not
 * write. */
static obeyed refresh(prompt *p) {
    jl_run *run;
    bool yes = true;
    int bad = run_read_log(p->path, &run);
    if (bad != EXIT_DONE) return word_failed(p, bad);
    if (p->run != NULL && !is_same_run(p->run, run)) {
        const char *title = jl_run_title(run);
        char text[QUESTION_BYTES];
        questions_tell("The log is of another run than before.");
        snprintf(text, sizeof text,
                 "  Go on with %.100s? y: yes; Enter: leave: ", title == NULL ? "it" : title);
        if (!line_is_person() || question_yes(text, &yes) != ASKED_ALL) yes = false;
    }
    if (yes) {
        take_run(p, run);
        return WORD_DONE;
    }
    jl_run_free(run);
    if (line_is_person()) return WORD_LEAVE;
    return word_failed(
        p, fail(EXIT_DATA, "%s is of another run than before; nothing was recorded", p->path));
}

/* ---- pages ---- */

static size_t rows_of_terminal(void) {
    struct winsize size;
    bool known = ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > ROWS_AROUND;
    return known ? size.ws_row : ROWS_USUAL;
}

static obeyed show_first_page(prompt *p) {
    size_t count;
    show *s = show_open(false);
    jl_run_jars(p->run, &count);
    show_heading(s, p->path);
    show_table_of_jars(s, p->run, count > ROWS_SHOWN ? count - ROWS_SHOWN : 0, count);
    show_run_so_far(s, p->run);
    return word_shown(s, &p->exit_status);
}

/* All jars, a screen at a time. */
static obeyed show_table_page(prompt *p) {
    size_t count, page = line_is_person() ? rows_of_terminal() - ROWS_AROUND : SIZE_MAX;
    jl_run_jars(p->run, &count);
    for (size_t from = 0; from < count; from += page) {
        bool more = count - from > page, stop = false;
        show *s = show_open(false);
        show_table_of_jars(s, p->run, from, more ? from + page : count);
        if (word_shown(s, &p->exit_status) != WORD_DONE) return WORD_FAILED;
        if (!more) break;
        asked a = question_yes("  Enter: the next jars; y: enough: ", &stop);
        if (a == ASKED_LEFT) return WORD_LEAVE;
        if (a != ASKED_ALL || stop) return WORD_DONE;
    }
    show *s = show_open(false);
    show_run_so_far(s, p->run);
    return word_shown(s, &p->exit_status);
}

static obeyed show_rest_word(prompt *p) {
    show *s = show_open(false);
    if (!jl_run_rest_possible(p->run))
        show_text_remark(s, "The rest of the run needs a charge in the log, and a jar.");
    show_rest_page(s, p->run);
    return word_shown(s, &p->exit_status);
}

static bool has_own_time(const jl_entry *e) {
    return e->time != NULL && e->time[0] != '\0';
}

/* An answer that nobody sees: the jar is said to be on the disk, and the prompt ends. */
static obeyed show_done(prompt *p, const jl_jar *jar, const char *name, const char *deed,
                        const jl_entry *e) {
    show *s = show_open(false);
    show_jar_done(s, p->run, jar, name, deed, e != NULL && has_own_time(e));
    if (jar != NULL && !line_is_person()) note_slips(s, p->run, jar);
    if (word_shown(s, &p->exit_status) == WORD_DONE) return WORD_DONE;
    say("jar %s is %s in %s all the same, on the disk", name, deed, p->path);
    return WORD_FAILED;
}

/* ---- what is written ---- */

/* Where nothing is in the log. */
static obeyed after_write(prompt *p, int bad, jl_run *run) {
    if (bad == EXIT_DONE) {
        take_run(p, run);
        return WORD_DONE;
    }
    return line_may_go_on(bad) ? WORD_OVER : word_failed(p, bad);
}

static obeyed write_new(prompt *p, form *f) {
    jl_run *run;
    obeyed o = refresh(p);
    if (o != WORD_DONE) return o;
    f->e.now = f->stamp;
    if (f->fraction[0] != '\0') f->e.fraction = f->fraction;
    char name[JL_JAR_NAME_BYTES];
    int bad = write_jar(p->path, &f->e, &run, name);
    o = after_write(p, bad, run);
    if (o != WORD_DONE) return o;
    const jl_jar *jar = jl_run_jar_named(p->run, name);
    bool may_have_time = jl_run_columns(p->run)->what[JL_ROLE_TIME] != NULL;
    if (p->lines && may_have_time && !jar->has_time) p->timeless++;
    return show_done(p, jar, name, "recorded", &f->e);
}

static bool is_same(jl_quantity a, jl_quantity b) {
    return a.value == b.value && a.unit == b.unit;
}

static void drop_unchanged(const jl_jar *old, jl_entry *e) {
    if (old->has_reading && is_same(e->reading, old->reading)) e->reading.value = NAN;
    if (old->has_strength && is_same(e->strength, old->strength)) e->strength.value = NAN;
    if (e->weight_kg == old->weight_kg && old->by_weight) e->weight_kg = NAN;
    if (e->empty_kg == old->empty_kg) e->empty_kg = NAN;
    if (e->spout_temp_c == old->spout_temp_c) e->spout_temp_c = NAN;
    if (isnan(e->spout_temp_c) && old->from_spout && is_same(e->spout, old->spout))
        e->spout.value = NAN;
    if (e->volume_l == old->volume_l && !old->by_weight) e->volume_l = NAN;
    if (e->temp_c == old->temp_c) e->temp_c = NAN;
    if (e->head_c == old->head_c) e->head_c = NAN;
    if (e->boiler_c == old->boiler_c) e->boiler_c = NAN;
}

/* jar: its name, which may be the record's own, and the record is read anew. */
static obeyed write_changes(prompt *p, const char *jar, const jl_entry *e) {
    jl_run *run;
    bool added;
    char name[JL_JAR_NAME_BYTES];
    snprintf(name, sizeof name, "%s", jar);
    int bad = write_corrected(p->path, name, e, &run, &added);
    obeyed o = after_write(p, bad, run);
    if (o != WORD_DONE) return o;
    return show_done(p, jl_run_jar_named(p->run, name), name, added ? "recorded" : "corrected", e);
}

/* ---- words ---- */

/* "note pear", "jar5": what follows the word; NULL: another word. */
static const char *behind(const char *text, const char *word) {
    size_t length = strlen(word);
    bool number = jl_same_letters_to(text, word, length) && isdigit((unsigned char)text[length]);
    return number ? text + length : behind_word(word, text);
}

static obeyed obey(void *with, const char *word, bool begun);
static obeyed obey_line(void *with, const char *word, bool begun);

static obeyed obeyed_of(asked a, prompt *p, const questions *q) {
    if (a == ASKED_LEFT) return WORD_LEAVE;
    if (a != ASKED_FAILED) return WORD_DONE;
    if (p->exit_status == EXIT_DONE) p->exit_status = q->exit_status;
    return WORD_FAILED;
}

/* What a word began and a pipe's end left: without its last answer nothing of it is in the log. */
static obeyed left_off(asked a, prompt *p, obeyed o, const char *what) {
    if (a != ASKED_LEFT || line_is_person()) return o;
    say("%s was not recorded", what);
    return word_failed(p, EXIT_DATA);
}

static const char WORDS[] =
    "Words at any question; a figure that was typed stays:\n"
    "  reading 73.5     that figure anew, from any later question: volume, head, ...\n"
    "  jar 5    correct jar 5; jar 5 74.1 24C, jar 5 --note pear: only this of it\n"
    "  8a       put a jar in that was forgotten behind jar 8\n"
    "  spout 63%@24C    read in the running spout; spout: from now on, or no longer\n"
    "  undo     undo the last jar            resume   on after a stop; resume 10:44\n"
    "  table    all jars                     rest     what is to come\n"
    "  cut      by the rules; cut hearts: the jars from now on are hearts\n"
    "  note TEXT, time 9:40    of this jar; before its volume, a note of the last jar\n"
    "  left     what is left in the boiler   Ctrl-C   drop the jar being typed\n";

/* "5 74.1 24C": a jar's name, and what follows it. False: it begins with none. */
static bool read_name_and_line(const char *text, char name[JL_JAR_NAME_BYTES], const char **line) {
    jl_jar_key key;
    size_t length = strcspn(text, " ");
    if (jl_jar_name_read(text, length, &key) != JL_OK) return false;
    jl_jar_name_write(key, name);
    *line = text + length + strspn(text + length, " ");
    return true;
}

/* The jar as it stands is offered, figure by figure. */
static obeyed correct_jar(prompt *p, typing *t) {
    questions q = form_questions(&t->form, obey_line, WORDS);
    /* cppcheck-suppress autoVariables ; it is asked only while this runs */
    t->q = &q;
    asked a = questions_ask(&q);
    obeyed o = obeyed_of(a, p, &q);
    const jl_jar *old = jl_run_jar_named(p->run, t->form.name);
    if (a != ASKED_ALL || old == NULL) return left_off(a, p, o, "the unfinished correction");
    drop_unchanged(old, &t->form.e);
    if (gives_anything(&t->form.e)) return write_changes(p, t->form.name, &t->form.e);
    questions_tell("Nothing was changed.");
    return o;
}

static bool is_begun(const form *f) {
    return f->was_taken[JL_JAR_VOLUME] || f->was_taken[JL_JAR_WEIGHT];
}

static obeyed type_jar(typing *t, asked *how) {
    questions q = form_questions(&t->form, obey_line, WORDS);
    q.first = t->first;
    /* cppcheck-suppress autoVariables ; it is asked only while this runs */
    t->q = &q;
    *how = questions_ask(&q);
    if (*how == ASKED_ALL) return write_new(t->p, &t->form);
    if (t->anew)
        puts("  The jar is typed anew.");
    else if (is_begun(&t->form))
        say("the unfinished jar was not recorded");
    return obeyed_of(*how, t->p, &q);
}

/* A number that was undone is free again; else there must be a jar before it. */
static bool may_be_put_in(const jl_run *run, const char *name) {
    jl_entry e = JL_ENTRY;
    jl_jar jar = {.size = sizeof jar};
    e.jar = name;
    e.volume_l = 1;
    e.strength = (jl_quantity){50, JL_UNIT_PCT_VOL};
    return strtoul(name, NULL, 10) < jl_run_next_jar(run) &&
           jl_run_jar_of_entry(run, NULL, &e, &jar, NULL) == JL_OK;
}

static obeyed put_in(prompt *p, const char *name, const char *line) {
    typing t = {.p = p};
    char *rest = NULL, *time = NULL;
    asked how;
    if (!may_be_put_in(p->run, name)) {
        refuse("the log has no jar %s that counts", name);
        return word_refused(p);
    }
    form_put_in(&t.form, &p->run, name, p->jar_l);
    bool whole = jl_is_digit(line[0]);
    bool good = !whole || !questions_split_time(line, &rest, &time) || form_time(&t.form, time);
    if (rest != NULL) line = rest;
    if (line[0] != '\0') t.first = line;
    obeyed o = good ? type_jar(&t, &how) : word_refused(p);
    form_free(&t.form);
    free(rest);
    free(time);
    return o;
}

static obeyed correct_at_prompt(prompt *p, const char *name, const char *line, char *instead) {
    typing t = {.p = p};
    form_correct(&t.form, &p->run, name);
    obeyed o = form_line(&t.form, line) ? correct_jar(p, &t) : word_refused(p);
    form_free(&t.form);
    snprintf(instead, WORD_MOST, "%s", t.instead);
    return o;
}

/* "5", "5 74.1 24C", "8a": a jar to be corrected, or put in where none has that name. */
static obeyed correct(prompt *p, const char *text) {
    char wanted[WORD_MOST], instead[WORD_MOST], name[JL_JAR_NAME_BYTES];
    obeyed o = WORD_DONE;
    snprintf(wanted, sizeof wanted, "%s", text);
    while (o == WORD_DONE && wanted[0] != '\0') {
        const char *line;
        instead[0] = '\0';
        o = refresh(p);
        if (o != WORD_DONE) break;
        if (!read_name_and_line(wanted, name, &line)) {
            refuse("'%s' is no jar's number; expected one as 5, or 8a", wanted);
            return word_refused(p);
        }
        o = jl_run_jar_named(p->run, name) == NULL ? put_in(p, name, line)
                                                   : correct_at_prompt(p, name, line, instead);
        snprintf(wanted, sizeof wanted, "%s", instead);
    }
    return o == WORD_OVER ? WORD_DONE : o;
}

/* While a jar is being corrected, another takes its place; while a new one is typed, that waits. */
static obeyed correct_or_instead(typing *t, const char *text) {
    if (t->form.name[0] == '\0') return correct(t->p, text);
    snprintf(t->instead, sizeof t->instead, "%s", text);
    return WORD_OVER;
}

/* "8a": a number with a letter behind it that is no unit, as in 24C or 2l; "jar 8c" can be none. */
static bool names_forgotten(const char *word) {
    char name[JL_JAR_NAME_BYTES];
    const char *line;
    size_t digits = strspn(word, "0123456789");
    return digits > 0 && isalpha((unsigned char)word[digits]) &&
           strchr("cCfFgGlL", word[digits]) == NULL && read_name_and_line(word, name, &line);
}

static bool same_jar(const jl_jar *a, const jl_jar *b) {
    return a != NULL && b != NULL && strcmp(a->name, b->name) == 0 && a->line == b->line;
}

/* What another prompt recorded meanwhile, or while a jar is being typed, is asked about. */
static obeyed ask_undo(const jl_run *run, const jl_jar *jar, bool begun, bool *yes) {
    char figures[160], text[QUESTION_BYTES + 160];
    *yes = true;
    if (!line_is_person()) return WORD_DONE;
    write_figures(run, jar, figures, sizeof figures);
    snprintf(text, sizeof text, "%s jar %s: %s.",
             begun ? "This undoes a jar that is recorded," : "Meanwhile came", jar->name, figures);
    questions_tell(text);
    asked a = question_yes("  y: undo it; Enter: leave it: ", yes);
    if (a == ASKED_DROPPED) *yes = false;
    return a == ASKED_LEFT ? WORD_LEAVE : WORD_DONE;
}

/* Of one that what is written next may replace; NULL: none. */
static jl_jar copy_of(const jl_jar *jar) {
    const jl_jar none = {0};
    return jar == NULL ? none : *jar;
}

static obeyed undo(prompt *p, bool begun) {
    const jl_jar *was = jl_run_last_written(p->run);
    jl_jar known = copy_of(was);
    jl_run *run;
    char name[JL_JAR_NAME_BYTES];
    bool yes = true;
    obeyed o = refresh(p);
    if (o != WORD_DONE) return o;
    const jl_jar *jar = jl_run_last_written(p->run);
    if (jar != NULL && (begun || !same_jar(&known, jar))) o = ask_undo(p->run, jar, begun, &yes);
    if (o != WORD_DONE || !yes) return o;
    jl_jar old = copy_of(jar);
    int bad = write_undone(p->path, jar == NULL ? NULL : old.name, &run, name);
    if (bad == EXIT_NO) return word_refused(p);
    o = after_write(p, bad, run);
    if (o == WORD_DONE) o = show_done(p, NULL, name, "undone", NULL);
    return o == WORD_OVER ? WORD_DONE : o;
}

/* What is left being typed: the words are for the jar that waits. */
typedef struct left_typing {
    left_form form; /* first, as above */
    typing *jar;
} left_typing;

static obeyed obey_left(void *with, const char *word, bool begun) {
    const left_typing *t = with;
    (void)begun;
    if (behind(word, "spout") != NULL) {
        questions_tell("Here is asked what is left in the boiler; 'spout' belongs to a jar.");
        return word_refused(t->jar->p);
    }
    return jl_same_letters(word, "left") ? WORD_DONE : obey(t->jar, word, true);
}

/* "left 5.4 1.5 22": the answers may stand behind the word. */
static obeyed left(typing *jar, const char *line) {
    prompt *p = jar->p;
    left_typing t = {.form = {.run = &p->run}, .jar = jar};
    jl_run *run;
    obeyed o = refresh(p);
    if (o != WORD_DONE) return o;
    questions q = left_questions(&t.form, obey_left, WORDS);
    if (line[0] != '\0') q.first = line;
    asked a = questions_ask(&q);
    o = obeyed_of(a, p, &q);
    if (a != ASKED_ALL) return left_off(a, p, o, "the unfinished rest");
    int bad = write_left(p->path, &t.form.left, &run);
    o = after_write(p, bad, run);
    if (o != WORD_DONE) return o == WORD_OVER ? WORD_DONE : o;
    show *s = show_open(false);
    show_left_done(s, p->path, p->run, &t.form.left);
    return word_shown(s, &p->exit_status);
}

/* A run goes on behind the jars that it has. */
static int check_resumed(const jl_run *run, jl_time when) {
    jl_time last;
    if (!moment_before(run, jar_before(run, NULL), &last) || when.unix_s / 60 >= last.unix_s / 60)
        return EXIT_DONE;
    return refuse("the run cannot go on at %s: the last moment in the log is %s", MOMENT(when),
                  MOMENT(last));
}

/* "resume", "resume 10:44": the run goes on after a stop, from now or from then. */
static obeyed resume_at(prompt *p, const char *text) {
    char stamp[JL_TIME_BYTES];
    jl_run *run;
    jl_time when = clock_now(), last;
    obeyed o = refresh(p);
    if (o != WORD_DONE) return o;
    bool known = moment_before(p->run, jar_before(p->run, NULL), &last);
    if ((text[0] != '\0' &&
         clock_read_from("resume", text, known ? &last : NULL, &when) != EXIT_DONE) ||
        check_resumed(p->run, when) != EXIT_DONE)
        return word_refused(p);
    clock_write(when, stamp);
    int bad = write_fact(p->path, &(jl_fact_entry){.key = "resumed", .text = stamp}, &run);
    o = after_write(p, bad, run);
    if (o == WORD_DONE) printf("  The run goes on from %s.\n", MOMENT(when));
    return o == WORD_OVER ? WORD_DONE : o;
}

static obeyed page(prompt *p, obeyed (*show_it)(prompt *)) {
    obeyed o = refresh(p);
    return o == WORD_DONE ? show_it(p) : o;
}

static obeyed show_cut_word(prompt *p) {
    show *s = show_open(false);
    show_cut_by_rules(s, p->run);
    return word_shown(s, &p->exit_status);
}

/* "cut hearts" marks the jars from this one on, until the next such word. */
static obeyed cut(prompt *p, form *f, const char *name) {
    jl_fraction fraction;
    if (name[0] == '\0') return page(p, show_cut_word);
    if (jl_fraction_read(name, strlen(name), &fraction) != JL_OK) {
        refuse("'%s' is no fraction; expected %s", name, FRACTIONS_EXPECTED);
        return word_refused(p);
    }
    snprintf(p->fraction, sizeof p->fraction, "%s",
             fraction == JL_UNDECIDED ? "" : jl_fraction_name(fraction));
    snprintf(f->fraction, sizeof f->fraction, "%s", p->fraction);
    printf("  The jars from this one on are %s, until the next 'cut'.\n",
           jl_fraction_name(fraction));
    return WORD_DONE;
}

/* Behind the note that the jar has by now, be it of other hands. */
static obeyed add_note(prompt *p, const char *name, const char *text) {
    const jl_jar *jar = jl_run_jar_named(p->run, name);
    jl_entry e = JL_ENTRY;
    char *both = NULL;
    if (jar != NULL && jar->note_length > 0 && asprintf(&both, "%s; %s", jar->note, text) < 0)
        need(NULL);
    e.note = both == NULL ? text : both;
    obeyed o = write_changes(p, name, &e);
    free(both);
    return o == WORD_OVER ? WORD_DONE : o;
}

/* Before a jar is begun the note is the last jar's. */
static obeyed note(prompt *p, form *f, const char *text, bool begun) {
    char name[JL_JAR_NAME_BYTES];
    const jl_jar *jar = jar_before(p->run, NULL);
    if (text[0] == '\0') {
        questions_tell("A note follows the word: note pear, clean");
        return word_refused(p);
    }
    if (begun || f->name[0] != '\0' || jar == NULL) {
        form_note(f, text);
        puts("  The note is kept with this jar.");
        return WORD_DONE;
    }
    snprintf(name, sizeof name, "%s", jar->name);
    obeyed o = refresh(p);
    return o == WORD_DONE ? add_note(p, name, text) : o;
}

static obeyed set_time(prompt *p, form *f, const char *text) {
    if (text[0] == '\0' || !form_time(f, text)) {
        if (text[0] == '\0') questions_tell("A time follows the word: time 9:40");
        return word_refused(p);
    }
    if (!form_tell_moment(f))
        printf("  This jar was full at %.10s %.5s.\n", f->stamp, f->stamp + 11);
    return WORD_DONE;
}

/* "352g 64.5% 21.5C --empty 184g": each figure answers its question. */
static obeyed take_words(typing *t, const char *text) {
    return form_words(&t->form, text) ? WORD_DONE : word_refused(t->p);
}

/* "250 ml 70.8 ..." where a later figure is asked for: the jar is typed anew. */
static bool is_jar_anew(const typing *t, const char *word) {
    char first[REMARK_WORD];
    jl_quantity q;
    size_t length = strcspn(word, " ");
    const char *next = word + length + strspn(word + length, " ");
    size_t unit = strcspn(next, " ");
    if (t->form.name[0] != '\0' || *next == '\0') return false;
    snprintf(first, sizeof first, "%.*s", (int)length, word);
    if (jl_quantity_read(first, JL_VOLUME, &q) == JL_OK) return true;
    snprintf(first, sizeof first, "%.*s%.*s", (int)length, word, (int)unit, next);
    return next[unit] != '\0' && jl_quantity_read(first, JL_VOLUME, &q) == JL_OK;
}

/* Behind the reading it stands for that, which is asked for again. */
static obeyed spout(typing *t, const char *text) {
    if (!form_spout(&t->form, text)) return word_refused(t->p);
    t->q->back_to = JL_JAR_READING;
    return WORD_BACK;
}

static obeyed obey(void *with, const char *word, bool begun) {
    typing *t = with;
    const char *more;
    if (jl_same_letters(word, "undo")) {
        form_hold(&t->form);
        return undo(t->p, begun || t->form.name[0] != 0 || t->form.forgotten[0] != 0);
    }
    if ((more = behind(word, "jar")) != NULL) return correct_or_instead(t, more);
    if (names_forgotten(word) && strtoul(word, NULL, 10) < jl_run_next_jar(t->p->run))
        return correct_or_instead(t, word);
    if (jl_same_letters(word, "table")) return page(t->p, show_table_page);
    if (jl_same_letters(word, "rest")) return page(t->p, show_rest_word);
    if ((more = behind(word, "left")) != NULL) return left(t, more);
    if ((more = behind(word, "resume")) != NULL) return resume_at(t->p, more);
    if ((more = behind(word, "spout")) != NULL) return spout(t, more);
    if (is_jar_line(word) && (!begun || strstr(word, "--") != NULL)) return take_words(t, word);
    if (begun && line_is_person() && is_jar_anew(t, word)) {
        line_put_back(word);
        t->anew = true;
        return WORD_OVER;
    }
    if ((more = behind(word, "cut")) != NULL) return cut(t->p, &t->form, more);
    if ((more = behind(word, "note")) != NULL) return note(t->p, &t->form, more, begun);
    if ((more = behind(word, "time")) != NULL) return set_time(t->p, &t->form, more);
    return NO_WORD;
}

/* A line of figures may have the moment in it. */
static obeyed obey_line(void *with, const char *word, bool begun) {
    typing *t = with;
    char *line, *time;
    if (t->q->at_doubt || names_forgotten(word) || !jl_is_digit(word[0]) ||
        !questions_split_time(word, &line, &time))
        return obey(with, word, begun);
    obeyed o = form_time(&t->form, time) ? obey(with, line, begun) : word_refused(t->p);
    free(time);
    return questions_go_on(t->q, o, line);
}

/* ---- the round ---- */

static obeyed take_jar(prompt *p) {
    typing t = {.p = p};
    asked how;
    form_begin(&t.form, &p->run, p->jar_l);
    snprintf(t.form.fraction, sizeof t.form.fraction, "%s", p->fraction);
    if (p->lines) t.form.e.time = "";
    t.form.is_first = !p->begun;
    p->begun = true;
    obeyed o = type_jar(&t, &how);
    bool begun = is_begun(&t.form);
    if (how == ASKED_DROPPED && !begun) o = WORD_LEAVE; /* Ctrl-C where nothing is begun */
    if (how == ASKED_LEFT && begun && !line_is_person()) o = word_failed(p, EXIT_DATA);
    form_free(&t.form);
    return o;
}

/* Before the first jar is typed: a log that cannot be written. */
static int check_writable(const char *path) {
    jl_run *run;
    int bad = open_log(path, &run);
    if (bad == EXIT_DONE) jl_run_free(run);
    return bad;
}

static const char *what_follows(const jl_run *run) {
    const jl_tally *t = jl_run_tally(run);
    if (t->of[JL_UNDECIDED].jars == 0) return "says how much water goes to the hearts";
    return jl_makes_strip_run(jl_run_recovery(run)->charge)
               ? "forecasts the spirit run on its low wines"
               : "shows which jars may be kept";
}

static void tell_of_end(const char *path, const jl_run *run) {
    char *text;
    next_command next;
    bool any = next_after_run(&next, path, jl_run_tally(run), jl_run_recovery(run)->charge);
    if (asprintf(&text, "All jars are in %s. 'jarline record %s' takes it up again%s%s%s%s.", path,
                 path, any ? "; afterwards '" : "", any ? next.text : "", any ? "' " : "",
                 any ? what_follows(run) : "") < 0)
        need(NULL);
    putchar('\n');
    put_sentence(stdout, "", "", text);
    free(text);
}

/* Returns the exit status. */
static int record_prompt(const char *path, double jar_l, bool lines) {
    prompt p = {.path = path, .jar_l = jar_l, .lines = lines};
    int bad = check_writable(path);
    if (bad != EXIT_DONE) return bad;
    obeyed o = refresh(&p);
    if (o != WORD_DONE) return p.exit_status;
    line_begin();
    p.lines = lines && !line_is_person();
    o = show_first_page(&p);
    show_bench(NULL); /* it is named once */
    while (o == WORD_DONE || o == WORD_OVER) o = take_jar(&p);
    if (p.timeless > 0)
        say("%zu %s no time, as the lines do not say when %s full: --time 9:40 in a line does",
            p.timeless, p.timeless == 1 ? "jar has" : "jars have",
            p.timeless == 1 ? "it was" : "they were");
    if (o == WORD_LEAVE && line_is_person()) tell_of_end(path, p.run);
    jl_run_free(p.run);
    return o == WORD_FAILED ? p.exit_status : EXIT_DONE;
}

/* ---- By one line ---- */

typedef struct record_options {
    jar_options of_jar;
    char *jar, *charge;
    int undo, json, resume;
    char *left[JL_KEYS]; /* what is left in the boiler */
    setting_options with;
} record_options;

/* ---- options ---- */

static bool is_bare(const char *text) {
    jl_written_time w;
    return jl_written_time_read(text, strlen(text), &w) == JL_OK && w.has_clock && !w.has_date;
}

/* name: NULL: of a new jar. */
static int read_bare_time(const char *path, const char *name, const char *text, jl_time *when) {
    jl_run *run;
    jl_time before;
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    bool known = moment_before(run, jar_before_named(run, name), &before);
    jl_run_free(run);
    return clock_read_from("--time", text, known ? &before : NULL, when);
}

static int read_time(const char *path, const char *name, const char *text, jl_entry *e,
                     char *stamp) {
    jl_time when = clock_now();
    bool none = text != NULL && strcmp(text, "none") == 0;
    if (text != NULL && !none) {
        int bad = is_bare(text) ? read_bare_time(path, name, text, &when)
                                : clock_read("--time", text, &when);
        if (bad != EXIT_DONE) return bad;
    }
    clock_write(when, stamp);
    e->now = none ? NULL : stamp;
    if (text != NULL) e->time = none ? "" : stamp;
    return EXIT_DONE;
}

static int read_entry(const record_options *o, const args *a, size_t count, jl_entry *e,
                      char *stamp) {
    int bad = read_jar(a->words + 1, count - 1, &o->of_jar, e);
    if (bad == EXIT_DONE) bad = read_time(a->words[0], o->jar, o->of_jar.time, e, stamp);
    return bad;
}

/* ---- answers ---- */

static int answer_jar(const char *path, const char *deed, const jl_run *run, const jl_jar *jar,
                      bool timed, bool json) {
    show *s = show_open(json);
    bool over = show_jar_done(s, run, jar, jar->name, deed, timed);
    bool questioned = note_slips(s, run, jar) > 0;
    jl_alcoholometer instrument = jl_run_instrument(run);
    if (jar->has_reading && (json || !questioned))
        assume_log_instrument(s, &instrument, jar->reading.unit);
    if (jar->at_20c) show_note(s, "Without a temperature the volume counts as at 20 °C.");
    if (over) show_next_of_run(s, path, run);
    show_on_disk(s, "jar %s is in %s", jar->name, path);
    return show_close(s, EXIT_DONE);
}

static int record_one(const char *path, const jl_entry *e, bool json) {
    jl_run *run;
    char name[JL_JAR_NAME_BYTES];
    int bad = check_entry(e);
    if (bad == EXIT_DONE) bad = write_jar(path, e, &run, name);
    if (bad != EXIT_DONE) return bad;
    bad = answer_jar(path, "recorded", run, jl_run_jar_named(run, name), has_own_time(e), json);
    jl_run_free(run);
    return bad;
}

static int check_name(const char *option, const char *text) {
    jl_jar_key key;
    jl_status status = jl_jar_name_read(text, strlen(text), &key);
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(option, text, status,
                         "the number of a jar, as 5, or 5a for one that was put in behind it");
}

static int correct_one(const char *path, const char *name, const jl_entry *e, bool json) {
    jl_run *run;
    bool added;
    int bad = check_name("--jar", name);
    if (bad == EXIT_DONE) bad = write_corrected(path, name, e, &run, &added);
    if (bad != EXIT_DONE) return bad;
    bad = answer_jar(path, added ? "recorded" : "corrected", run, jl_run_jar_named(run, name),
                     has_own_time(e), json);
    jl_run_free(run);
    return bad;
}

static int undo_one(const char *path, const char *wanted, bool json) {
    jl_run *run;
    char name[JL_JAR_NAME_BYTES], heading[48];
    int bad = wanted == NULL ? EXIT_DONE : check_name("--undo", wanted);
    if (bad == EXIT_DONE) bad = write_undone(path, wanted, &run, name);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    snprintf(heading, sizeof heading, "Jar %s undone", name);
    show_heading(s, heading);
    show_text(s, "done", NULL, "undone");
    show_text(s, "jar", NULL, name);
    show_run_so_far(s, run);
    show_remark(s, "It stays in the file, marked as undone; its number is free again.");
    jl_run_free(run);
    show_on_disk(s, "jar %s is undone in %s", name, path);
    return show_close(s, EXIT_DONE);
}

/* ---- what is left in the boiler ---- */

static int read_left(char *const *words, jl_left *left) {
    jl_settings s;
    int bad = EXIT_DONE;
    const char *reading_word = words[JL_KEY_LEFT_READING];
    if (reading_word != NULL && reading_word[0] == '-')
        return refuse("--left-reading '%s': below the scale; expected %s", reading_word,
                      jl_left_below_water);
    jl_settings_begin(&s);
    for (jl_key_id id = JL_KEY_LEFT; bad == EXIT_DONE && id <= JL_KEY_LEFT_TEMP; id++)
        bad = arg_setting(words[id], id, &s);
    if (bad != EXIT_DONE) return bad;
    bool strength = s.of[JL_KEY_LEFT_STRENGTH].has, reading = s.of[JL_KEY_LEFT_READING].has;
    if (!s.of[JL_KEY_LEFT].has || strength == reading)
        return refuse(
            "expected --left VOLUME with --left-strength, or with --left-reading and --left-temp");
    if (reading && !s.of[JL_KEY_LEFT_TEMP].has)
        return refuse("--left-reading needs --left-temp: the temperature it was read at");
    const jl_quantity none = {NAN, JL_UNIT_PCT_VOL};
    left->volume_l = jl_setting_value(&s, JL_KEY_LEFT);
    left->temp_c = jl_setting_value(&s, JL_KEY_LEFT_TEMP);
    left->strength = strength ? s.of[JL_KEY_LEFT_STRENGTH].number : none;
    left->reading = reading ? s.of[JL_KEY_LEFT_READING].number : none;
    return EXIT_DONE;
}

static int record_left(const char *path, char *const *words, bool json) {
    jl_run *run;
    jl_left left;
    int bad = read_left(words, &left);
    if (bad == EXIT_DONE) bad = write_left(path, &left, &run);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    show_left_done(s, path, run, &left);
    jl_run_free(run);
    show_on_disk(s, "what is left is in %s", path);
    return show_close(s, EXIT_DONE);
}

/* ---- the command ---- */

static bool has_left(char *const *words) {
    bool any = false;
    for (size_t id = 0; id < JL_KEYS; id++) any = any || words[id] != NULL;
    return any;
}

/* Now, or at --time. */
static int resume(const char *path, const jl_entry *e, bool json) {
    jl_run *run;
    const char *when = e->time == NULL || *e->time == '\0' ? e->now : e->time;
    jl_time at;
    int bad = run_read_log(path, &run);
    if (bad != EXIT_DONE) return bad;
    if (jl_time_read(when, strlen(when), &at) == JL_OK) bad = check_resumed(run, at);
    jl_run_free(run);
    if (bad == EXIT_DONE)
        bad = write_fact(path, &(jl_fact_entry){.key = "resumed", .text = when}, &run);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    show_heading(s, "Recorded: the run goes on");
    show_text(s, "done", NULL, "recorded");
    show_text(s, "resumed", "At", when);
    jl_run_free(run);
    show_on_disk(s, "the run goes on in %s", path);
    return show_close(s, EXIT_DONE);
}

static int correct_charge(const char *path, const char *word, const char *bench, bool json) {
    jl_run *run;
    size_t jars;
    int bad = write_run_charge(path, word, bench, &run);
    if (bad != EXIT_DONE) return bad;
    const jl_spirit charge = jl_run_recovery(run)->charge;
    jl_run_expected(run, &jars);
    show *s = show_open(json);
    show_heading(s, "Recorded: the charge as it was");
    show_text(s, "done", NULL, "recorded");
    show_number(s, "charge_l", "Charge at 20 °C", jl_volume_l(charge, JL_STRENGTH_C), 3, "L");
    show_number(s, "charge_strength_pct", "Its strength at 20 °C", jl_spirit_strength_pct(charge),
                2, "% vol");
    show_number(s, "expected_jars", "Jars expected anew", (double)jars, 0, "");
    show_run_so_far(s, run);
    jl_run_free(run);
    show_on_disk(s, "the charge is in %s", path);
    return show_close(s, EXIT_DONE);
}

static int run_record(const record_options *o, const args *a) {
    static jl_settings bench;
    char stamp[JL_TIME_BYTES];
    jl_entry e;
    const char *path = a->words[0];
    if (a->count == 0) return refuse("expected a run log, as RUN.csv");
    int bad = instruments_read(&o->with, &bench);
    if (bad != EXIT_DONE) return bad;
    rest_by(&bench);
    const char *undone = o->undo != 0 && a->count == 2 ? a->words[1] : NULL;
    if (undone != NULL) return undo_one(path, undone, o->json != 0);
    bool lines = a->count == 2 && strcmp(a->words[1], "-") == 0;
    for (size_t i = 1; i < a->count && bad == EXIT_DONE; i++)
        if (is_bare_number(a->words[i]) && file_kind_of(path) == FILE_WASH)
            bad = fail_wash_number(a->words[i]);
    if (bad != EXIT_DONE) return bad;
    bad = read_entry(o, a, lines ? 1 : a->count, &e, stamp);
    if (bad != EXIT_DONE) return bad;
    const char *time = e.time;
    if (o->resume != 0) e.time = NULL; /* it is that of the stop's end */
    bool figures = gives_anything(&e);
    e.time = time;
    bool left = has_left(o->left);
    if ((o->undo != 0) + (o->resume != 0) + (o->charge != NULL) + left + (o->jar != NULL) > 1 ||
        (figures && (o->undo != 0 || o->resume != 0 || o->charge != NULL || left)))
        return refuse(
            "expected one thing at a time: a jar, --jar, --undo, --resume, --charge or --left");
    if (o->charge != NULL) return correct_charge(path, o->charge, o->with.bench, o->json != 0);
    if (o->resume != 0) return resume(path, &e, o->json != 0);
    if (o->undo != 0) return undo_one(path, NULL, o->json != 0);
    if (left) return record_left(path, o->left, o->json != 0);
    if (o->jar != NULL && !figures)
        return refuse("--jar %s: expected what is to be corrected, as 72.5%%", o->jar);
    if (o->jar != NULL) return correct_one(path, o->jar, &e, o->json != 0);
    if (figures) return record_one(path, &e, o->json != 0);
    if (o->json != 0) return refuse("--json: expected a jar; the prompt has no JSON");
    file_kind kind = file_kind_of(path);
    if (errno != 0 && errno != ENOENT) return fail(EXIT_INPUT, "%s: %s", path, strerror(errno));
    if (kind == FILE_WASH) return wash_prompt(path, &bench);
    double jar_l;
    bad = bench_jar(&o->with, &jar_l);
    return bad == EXIT_DONE ? record_prompt(path, jar_l, lines) : bad;
}

int command_record(int argc, const char **argv) {
    if (is_wash_record(argc, argv)) return record_wash(argc, argv);
    record_options o = {0};
    const struct poptOption table[] = {
        JAR_OPTIONS(&o.of_jar),
        OPTION("jar", &o.jar, "N",
               "correct jar N, only what is given; or put in a forgotten one, as 8a"),
        OPTION("charge", &o.charge, "AMOUNT",
               "the charge that was meant, where start had another: 23.5L@8.4%"),
        FLAG("resume", &o.resume, "a run that was stopped goes on: no rate across it"),
        FLAG("undo", &o.undo, "undo the last jar, or --undo 8a"),
        KEY_OPTIONS(JL_IN_RUN_END, o.left),
        BENCH_OPTION(o.with),
        JSON_LAST(&o.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "RUN.csv|WASH.csv [VOLUME|WEIGHT READING TEMP]",
                  "Writes down one jar: RUN.csv 500mL 72.5% 24C. Without one it asks for them;\n"
                  "- takes lines. Of a wash, WASH.csv 1.012 21C: record WASH.csv --help.")) {
        o.with.log = a.words[0];
        a.exit_status = run_record(&o, &a);
    }
    return args_close(&a);
}
