/* The prompt: one jar after the other, each on the disk before the next is asked for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Nothing is kept between two jars but what the log says, so that it can be left, cut off and taken
 * up again at any moment. */
#include "commands/record/prompt.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/status.h"
#include "commands/record/form.h"
#include "commands/record/show.h"
#include "commands/record/write.h"
#include "input/clock.h"
#include "input/jar_words.h"
#include "input/line.h"
#include "input/logfile.h"
#include "run/jars.h"
#include "run/run.h"
#include "text/letters.h"

#include <ctype.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { ROWS_SHOWN = 6, ROWS_USUAL = 24, ROWS_AROUND = 6, WORD_MOST = 120 };

typedef struct prompt {
    const char *path;
    jl_run *run;
    char fraction[16]; /* of the jars from now on, as "cut" said; "": undecided */
    int exit_status;
    bool begun; /* a jar was asked for */
} prompt;

/* A jar being typed, and the prompt that its words are for. */
typedef struct typing {
    form form; /* first: the questions hand it to the words */
    prompt *p;
    bool anew;               /* it is, by a whole line */
    const char *first;       /* a line that is its first answer; NULL: none */
    char instead[WORD_MOST]; /* the jar and figures that are to be corrected in its place */
} typing;

static const jl_jar *newest_jar(const jl_run *run) {
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    return count > 0 ? &jars[count - 1] : NULL;
}

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

static bool close_page(prompt *p, show *s) {
    p->exit_status = show_close(s, EXIT_DONE);
    return p->exit_status == EXIT_DONE;
}

static bool show_first_page(prompt *p) {
    size_t count;
    show *s = show_open(false);
    jl_run_jars(p->run, &count);
    show_heading(s, p->path);
    show_table_of_jars(s, p->run, count > ROWS_SHOWN ? count - ROWS_SHOWN : 0, count);
    show_run_so_far(s, p->run);
    return close_page(p, s);
}

/* All jars, a screen at a time. */
static obeyed show_table_page(prompt *p) {
    size_t count, page = line_is_person() ? rows_of_terminal() - ROWS_AROUND : SIZE_MAX;
    jl_run_jars(p->run, &count);
    for (size_t from = 0; from < count; from += page) {
        bool more = count - from > page, stop = false;
        show *s = show_open(false);
        show_table_of_jars(s, p->run, from, more ? from + page : count);
        if (!close_page(p, s)) return WORD_FAILED;
        if (!more) break;
        asked a = question_yes("  Enter: the next jars; y: enough: ", &stop);
        if (a == ASKED_LEFT) return WORD_LEAVE;
        if (a != ASKED_ALL || stop) return WORD_DONE;
    }
    show *s = show_open(false);
    show_run_so_far(s, p->run);
    return close_page(p, s) ? WORD_DONE : WORD_FAILED;
}

static obeyed show_rest_word(prompt *p) {
    show *s = show_open(false);
    if (!jl_run_rest_possible(p->run))
        show_text_remark(s, "The rest of the run needs a charge in the log, and a jar.");
    show_rest_page(s, p->run);
    return close_page(p, s) ? WORD_DONE : WORD_FAILED;
}

/* An answer that nobody sees: the jar is said to be on the disk, and the prompt ends. */
static obeyed show_done(prompt *p, const jl_jar *jar, const char *name, const char *deed) {
    show *s = show_open(false);
    show_jar_done(s, p->run, jar, name, deed);
    if (jar != NULL && !line_is_person()) note_slips(s, p->run, jar);
    if (close_page(p, s)) return WORD_DONE;
    say("jar %s is %s in %s all the same, on the disk", name, deed, p->path);
    return WORD_FAILED;
}

/* ---- what is written ---- */

/* Nothing is in the log; a person may put right what is wrong and type it again. */
static obeyed after_write(prompt *p, int bad, jl_run *run) {
    if (bad == EXIT_DONE) {
        take_run(p, run);
        return WORD_DONE;
    }
    bool over = !line_is_person() || bad == EXIT_INPUT || bad == EXIT_DATA;
    return over ? word_failed(p, bad) : WORD_OVER;
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
    return show_done(p, jl_run_jar_named(p->run, name), name, "recorded");
}

static void drop_unchanged(const jl_jar *old, jl_entry *e) {
    if (e->weight_kg == old->weight_kg) e->weight_kg = NAN;
    if (e->empty_kg == old->empty_kg) e->empty_kg = NAN;
    if (e->spout_temp_c == old->spout_temp_c) e->spout_temp_c = NAN;
    if (e->volume_l == old->volume_l) e->volume_l = NAN;
    if (e->temp_c == old->temp_c) e->temp_c = NAN;
    if (e->head_c == old->head_c) e->head_c = NAN;
    if (e->boiler_c == old->boiler_c) e->boiler_c = NAN;
}

static obeyed write_changes(prompt *p, const char *name, const jl_entry *e) {
    jl_run *run;
    bool added;
    int bad = write_corrected(p->path, name, e, &run, &added);
    obeyed o = after_write(p, bad, run);
    if (o != WORD_DONE) return o;
    return show_done(p, jl_run_jar_named(p->run, name), name, added ? "recorded" : "corrected");
}

/* ---- words ---- */

static bool is_word(const char *text, const char *word) {
    return jl_same_letters(text, word);
}

/* "note pear": what follows the word; NULL: another word. */
static const char *behind(const char *text, const char *word) {
    size_t length = strlen(word);
    bool ends =
        text[length] == ' ' || text[length] == '\0' || (text[length] >= '0' && text[length] <= '9');
    if (!jl_same_letters_to(text, word, length) || !ends) return NULL;
    return text + length + strspn(text + length, " ");
}

static obeyed obey(void *with, const char *word, bool begun);

static obeyed obeyed_of(asked a, prompt *p, const questions *q) {
    if (a == ASKED_LEFT) return WORD_LEAVE;
    if (a != ASKED_FAILED) return WORD_DONE;
    if (p->exit_status == EXIT_DONE) p->exit_status = q->exit_status;
    return WORD_FAILED;
}

static const char WORDS[] =
    "Words at any question; a figure that was typed stays:\n"
    "  reading 73.5     that figure anew, from any later question: volume, head, ...\n"
    "  jar 5    correct jar 5; jar 5 74.1 24C, jar 5 --note pear: only this of it\n"
    "  8a       put a jar in that was forgotten behind jar 8\n"
    "  spout 63%@24C    read in the running spout; spout: from now on, or no longer\n"
    "  undo     undo the last jar\n"
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
    questions q = form_questions(&t->form, obey, WORDS);
    asked a = questions_ask(&q);
    obeyed o = obeyed_of(a, p, &q);
    const jl_jar *old = jl_run_jar_named(p->run, t->form.name);
    if (a != ASKED_ALL || old == NULL) return o;
    drop_unchanged(old, &t->form.e);
    if (gives_anything(&t->form.e)) return write_changes(p, t->form.name, &t->form.e);
    questions_tell("Nothing was changed.");
    return o;
}

static obeyed type_jar(typing *t, asked *how) {
    questions q = form_questions(&t->form, obey, WORDS);
    q.first = t->first;
    *how = questions_ask(&q);
    if (*how == ASKED_ALL) return write_new(t->p, &t->form);
    if (t->anew)
        puts("  The jar is typed anew.");
    else if (t->form.was_taken[JL_JAR_VOLUME])
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
    typing t = {.p = p, .first = line[0] == '\0' ? NULL : line};
    asked how;
    if (!may_be_put_in(p->run, name)) {
        fail(EXIT_USAGE, "the log has no jar %s that counts", name);
        return word_refused(p);
    }
    form_put_in(&t.form, &p->run, name);
    obeyed o = type_jar(&t, &how);
    form_free(&t.form);
    return o;
}

static obeyed correct_one(prompt *p, const char *name, const char *line, char *instead) {
    typing t = {.p = p};
    form_begin(&t.form, &p->run, name);
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
            fail(EXIT_USAGE, "'%s' is no jar's number; expected one as 5, or 8a", wanted);
            return word_refused(p);
        }
        o = jl_run_jar_named(p->run, name) == NULL ? put_in(p, name, line)
                                                   : correct_one(p, name, line, instead);
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

static obeyed undo(prompt *p, bool begun) {
    const jl_jar *was = jl_run_last_written(p->run);
    jl_jar known = was == NULL ? (jl_jar){0} : *was;
    jl_run *run;
    char name[JL_JAR_NAME_BYTES];
    bool yes = true;
    obeyed o = refresh(p);
    if (o != WORD_DONE) return o;
    const jl_jar *jar = jl_run_last_written(p->run);
    if (jar != NULL && (begun || !same_jar(&known, jar))) o = ask_undo(p->run, jar, begun, &yes);
    if (o != WORD_DONE || !yes) return o;
    jl_jar old = jar == NULL ? (jl_jar){0} : *jar;
    int bad = write_undone(p->path, jar == NULL ? NULL : old.name, &run, name);
    if (bad == EXIT_NO) return word_refused(p);
    o = after_write(p, bad, run);
    if (o == WORD_DONE) o = show_done(p, NULL, name, "undone");
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
    return is_word(word, "left") ? WORD_DONE : obey(t->jar, word, true);
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
    if (a != ASKED_ALL) return o;
    int bad = write_left(p->path, &t.form.left, &run);
    o = after_write(p, bad, run);
    if (o != WORD_DONE) return o == WORD_OVER ? WORD_DONE : o;
    show *s = show_open(false);
    show_left_done(s, p->run, &t.form.left);
    return close_page(p, s) ? WORD_DONE : WORD_FAILED;
}

/* "cut hearts" marks the jars from this one on, until the next such word. */
static obeyed cut(prompt *p, form *f, const char *name) {
    jl_fraction fraction;
    show *s;
    if (name[0] != '\0' && jl_fraction_read(name, strlen(name), &fraction) != JL_OK) {
        fail(EXIT_USAGE, "'%s' is no fraction; expected %s", name, FRACTIONS_EXPECTED);
        return word_refused(p);
    }
    if (name[0] == '\0') {
        s = show_open(false);
        show_cut_by_rules(s, p->run);
        return close_page(p, s) ? WORD_DONE : WORD_FAILED;
    }
    snprintf(p->fraction, sizeof p->fraction, "%s",
             fraction == JL_UNDECIDED ? "" : jl_fraction_name(fraction));
    snprintf(f->fraction, sizeof f->fraction, "%s", p->fraction);
    printf("  The jars from this one on are %s, until the next 'cut'.\n",
           jl_fraction_name(fraction));
    return WORD_DONE;
}

/* Before a jar is begun the note is the last jar's, behind the one it has. */
static obeyed note(prompt *p, form *f, const char *text, bool begun) {
    const jl_jar *jar = newest_jar(p->run);
    if (text[0] == '\0') {
        questions_tell("A note follows the word: note pear, clean");
        return word_refused(p);
    }
    if (begun || f->name[0] != '\0' || jar == NULL) {
        form_note(f, text);
        puts("  The note is kept with this jar.");
        return WORD_DONE;
    }
    size_t size = jar->note_length + strlen(text) + 3;
    char *both = need(malloc(size));
    jl_entry e = JL_ENTRY;
    snprintf(both, size, "%s%s%s", jar->note, jar->note_length > 0 ? "; " : "", text);
    e.note = both;
    obeyed o = write_changes(p, jar->name, &e);
    free(both);
    return o == WORD_OVER ? WORD_DONE : o;
}

static obeyed set_time(prompt *p, form *f, const char *text) {
    if (text[0] == '\0' || !form_time(f, text)) {
        if (text[0] == '\0') questions_tell("A time follows the word: time 9:40");
        return word_refused(p);
    }
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

static obeyed page(prompt *p, obeyed (*show_it)(prompt *)) {
    obeyed o = refresh(p);
    return o == WORD_DONE ? show_it(p) : o;
}

static obeyed obey(void *with, const char *word, bool begun) {
    typing *t = with;
    const char *more;
    if (is_word(word, "undo")) return undo(t->p, begun);
    if ((more = behind(word, "jar")) != NULL) return correct_or_instead(t, more);
    if (names_forgotten(word)) return correct_or_instead(t, word);
    if (is_word(word, "table")) return page(t->p, show_table_page);
    if (is_word(word, "rest")) return page(t->p, show_rest_word);
    if ((more = behind(word, "left")) != NULL) return left(t, more);
    if ((more = behind(word, "spout")) != NULL)
        return form_spout(&t->form, more) ? WORD_DONE : WORD_FAILED;
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

/* ---- the round ---- */

static obeyed take_jar(prompt *p) {
    typing t = {.p = p};
    asked how;
    form_begin(&t.form, &p->run, "");
    snprintf(t.form.fraction, sizeof t.form.fraction, "%s", p->fraction);
    t.form.is_first = !p->begun;
    p->begun = true;
    obeyed o = type_jar(&t, &how);
    bool begun = t.form.was_taken[JL_JAR_VOLUME];
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

static void tell_of_end(const char *path) {
    char *text;
    if (asprintf(&text,
                 "All jars are in %s. 'jarline record %s' takes it up again; afterwards "
                 "'jarline cut %s' decides what is kept.",
                 path, path, path) < 0)
        need(NULL);
    putchar('\n');
    put_sentence(stdout, "", "", text);
    free(text);
}

int record_prompt(const char *path) {
    prompt p = {.path = path};
    int bad = check_writable(path);
    if (bad != EXIT_DONE) return bad;
    obeyed o = refresh(&p);
    if (o != WORD_DONE) return p.exit_status;
    line_begin();
    o = show_first_page(&p) ? WORD_DONE : WORD_FAILED;
    while (o == WORD_DONE || o == WORD_OVER) o = take_jar(&p);
    if (o == WORD_LEAVE && line_is_person()) tell_of_end(path);
    jl_run_free(p.run);
    return o == WORD_FAILED ? p.exit_status : EXIT_DONE;
}
