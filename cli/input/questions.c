/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/questions.h"
#include "answer/say.h"
#include "input/line.h"
#include "text/letters.h"
#include "text/timestamp.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* Where the questions stand. */
typedef struct asking {
    questions *q;
    size_t at, return_to; /* return_to: where a figure was gone back from; 0: nowhere */
    char *pending; /* of the last line, to be freed: answers to the questions behind this one */
    bool begun, in_line, again;
    bool is_named; /* what is pending is the answer to the figure that was named */
} asking;

/* How an answer ended: ASKED_ALL with *again: asked again. */
typedef struct settled {
    asked how;
    bool again;
} settled;

static const settled NEXT = {ASKED_ALL, false}, AGAIN = {ASKED_ALL, true};

static settled over(asked how) {
    return (settled){how, false};
}

bool answer_is_none(const char *text) {
    return text[0] == '\0' || strcmp(text, "-") == 0;
}

answered answer_refused(remark *r, const char *why) {
    snprintf(r->text, sizeof r->text, "%s", why);
    return ANSWER_REFUSED;
}

int questions_fail_line(void) {
    return fail(EXIT_DATA,
                "line %zu of the input is refused; nothing of it or below it was recorded",
                line_number());
}

obeyed word_shown(show *s, int *exit_status) {
    *exit_status = show_close(s, EXIT_DONE);
    return *exit_status == EXIT_DONE ? WORD_DONE : WORD_FAILED;
}

void questions_tell(const char *text) {
    char shown[ON_SCREEN_BYTES(REMARK_BYTES)];
    if (line_is_person()) {
        fflush(stdout);
        put_sentence(stderr, "  ", "  ", on_screen(text, shown, sizeof shown));
    } else
        say("line %zu of the input: %s", line_number(), text);
}

static settled failed(asking *r, int exit_status) {
    r->q->exit_status = exit_status;
    return over(ASKED_FAILED);
}

/* ---- lines ---- */

static settled get(asking *r, const char *text, bool typed, char **line) {
    switch (typed ? line_ask_typed(text, line) : line_ask(text, line)) {
    case LINE_GIVEN:
        return NEXT;
    case LINE_INTERRUPTED:
        return over(ASKED_DROPPED);
    case LINE_END:
        return over(ASKED_LEFT);
    case LINE_UNREADABLE:
        break;
    }
    return failed(r, fail(EXIT_DATA, "line %zu of the input holds a NUL byte or more than 128 KiB",
                          line_number()));
}

/* What stood behind it in the line may belong to other questions. */
static void forget_pending(asking *r) {
    free(r->pending);
    r->pending = NULL;
}

/* A person is asked again; the lines of a pipe would no longer fit their questions. */
static settled after_mistake(asking *r) {
    forget_pending(r);
    if (line_is_person()) return AGAIN;
    return failed(r, fail(EXIT_DATA,
                          "line %zu of the input is no answer; nothing below it was recorded",
                          line_number()));
}

/* ---- words ---- */

static void show_help(const asking *r) {
    const question *at = &r->q->all[r->at];
    fflush(stdout);
    put_sentence(stdout, "  ", "  ", at->help);
    if (r->q->words != NULL) fputs(r->q->words, stdout);
    puts("  back     the question before; back to where it was by its answer\n"
         "  quit     leave; nothing recorded is lost");
}

/* A figure that stands in the line is taken where it would not be asked for. */
static bool is_for(const question *q, const char *behind) {
    return q->left_to_line && behind != NULL && isdigit((unsigned char)behind[0]);
}

static bool applies(const asking *r, size_t at) {
    const question *q = &r->q->all[at];
    return is_for(q, r->pending) || r->q->applies == NULL || r->q->applies(r->q->with, q->which);
}

static void return_to(asking *r, size_t at) {
    if (r->return_to < r->at) r->return_to = r->at;
    r->at = at;
}

static void go_back(asking *r) {
    size_t at = r->at;
    while (at > 0 && (!applies(r, at - 1) || r->q->all[at - 1].kind == QUESTION_BEHIND)) at--;
    forget_pending(r);
    if (at > 0)
        return_to(r, at - 1);
    else
        questions_tell("This is the first question.");
}

/* words: with blanks between them. */
static bool is_among(const char *words, const char *text, size_t length) {
    for (const char *word = words; *word != '\0';) {
        size_t size = strcspn(word, " ");
        if (size == length && jl_same_letters_to(text, word, size)) return true;
        word += size + strspn(word + size, " ");
    }
    return false;
}

const char *behind_word(const char *words, const char *text) {
    size_t length = strcspn(text, " ");
    return is_among(words, text, length) ? text + length + strspn(text + length, " ") : NULL;
}

/* "reading 73.5", "reading": the text behind a name of the question; NULL: it begins otherwise. */
static const char *behind_name(const char *names, const char *text) {
    const char *more = behind_word(names, text);
    return more == NULL || *more == '\0' || isdigit((unsigned char)*more) ? more : NULL;
}

/* A figure of those that were asked for is typed anew, and the question before is asked again. */
static bool go_to_named(asking *r, const char *text) {
    for (size_t at = 0; at <= r->at; at++) {
        const char *names = r->q->all[at].names;
        const char *more = names == NULL ? NULL : behind_name(names, text);
        if (more == NULL || !applies(r, at)) continue;
        forget_pending(r);
        return_to(r, at);
        r->is_named = *more != '\0';
        if (r->is_named) r->pending = need(strdup(more));
        return true;
    }
    return false;
}

/* A word has changed what was asked for there. */
static void go_to(asking *r, int which) {
    forget_pending(r);
    for (size_t at = 0; at < r->at; at++)
        if (r->q->all[at].which == which) r->at = at;
}

static bool is_quit(const char *text) {
    return jl_same_letters(text, "quit") || jl_same_letters(text, "q") ||
           jl_same_letters(text, "exit");
}

/* *word: whether the line was one. */
static settled obey(asking *r, const char *text, bool *word) {
    *word = true;
    if (is_quit(text)) return over(ASKED_LEFT);
    if (jl_same_letters(text, "?") || jl_same_letters(text, "help")) return show_help(r), AGAIN;
    if (jl_same_letters(text, "back")) return go_back(r), AGAIN;
    if (go_to_named(r, text)) return AGAIN;
    switch (r->q->obey == NULL ? NO_WORD : r->q->obey(r->q->with, text, r->begun)) {
    case WORD_DONE:
        return AGAIN;
    case WORD_BACK:
        go_to(r, r->q->back_to);
        return AGAIN;
    case WORD_OVER:
        return over(ASKED_DROPPED);
    case WORD_LEAVE:
        return over(ASKED_LEFT);
    case WORD_FAILED:
        return over(ASKED_FAILED);
    case NO_WORD:
        break;
    }
    *word = false;
    return NEXT;
}

/* ---- a line with its moment in it ---- */

const char *word_after(const char *word) {
    size_t length = strcspn(word, " ");
    return word + length + strspn(word + length, " ");
}

/* The most words that are a moment; the first alone where none are, to be refused. */
static size_t length_of_moment(const char *text) {
    jl_written_time w;
    size_t found = 0;
    for (const char *end = text; *end != '\0'; end = word_after(end)) {
        size_t length = (size_t)(end - text) + strcspn(end, " ");
        jl_status status = jl_written_time_read(text, length, &w);
        if (status == JL_AMBIGUOUS || (status == JL_OK && w.has_clock)) found = length;
    }
    return found;
}

static bool is_figure_word(const char *word) {
    size_t length = strcspn(word, " ");
    bool proof = length == strlen("proof") && jl_same_letters_to(word, "proof", length);
    return !isalpha((unsigned char)word[0]) || length <= strlen("mL") || proof;
}

/* How long the moment behind the word is; of a note only one that ends it. 0: none. */
static size_t moment_behind(const char *moment, bool figures) {
    if (moment == NULL || !isdigit((unsigned char)moment[0])) return 0;
    size_t length = length_of_moment(moment);
    if (figures) return length > 0 ? length : strcspn(moment, " ");
    return moment[length] == '\0' ? length : 0;
}

static void drop_blanks_behind(char *text) {
    size_t length = strlen(text);
    while (length > 0 && text[length - 1] == ' ') text[--length] = '\0';
}

bool questions_split_time(const char *text, char **line, char **time) {
    bool figures = is_figure_word(text);
    *line = *time = NULL;
    if (strchr(text, '"') != NULL) return false;
    for (const char *word = word_after(text); *word != '\0'; word = word_after(word)) {
        const char *moment = behind_word("time --time", word);
        size_t length = moment_behind(moment, figures);
        figures = figures && is_figure_word(word);
        if (length == 0) continue;
        *time = need(strndup(moment, length));
        moment += length + strspn(moment + length, " ");
        if (asprintf(line, "%.*s%s", (int)(word - text), text, moment) < 0) need(NULL);
        drop_blanks_behind(*line);
        return true;
    }
    return false;
}

obeyed questions_go_on(questions *q, obeyed done, char *line) {
    if (done == NO_WORD)
        q->rest = line;
    else
        free(line);
    return done;
}

/* ---- a line as answers ---- */

static const char BLANKS[] = " \t\n";

/* "72.5 %", "3 bottles": a unit belongs to the number before it. own: of the question; NULL: none. */
static bool is_unit(const char *own, const char *text, size_t length) {
    static const char UNITS[] = "mL L cL gal qt pt floz % proof c f °c °f g kg lb oz min h d";
    return is_among(UNITS, text, length) || (own != NULL && is_among(own, text, length));
}

/* "250, 74.1, 21": a comma behind a figure is none of it. */
static void drop_comma(const char *from, char *end) {
    if (end - from > 1 && (end[-1] == ',' || end[-1] == ';')) end[-1] = '\0';
}

/* "topped up": a word of two. */
static bool is_particle(const char *word, size_t length) {
    return length == 2 && jl_same_letters_to(word, "up", 2);
}

/* Cuts the first answer off, and leaves the rest. */
static char *cut_answer(const char *units, char *text, char **behind) {
    char *end = text + strcspn(text, BLANKS);
    char *next = end + strspn(end, BLANKS);
    size_t unit = strcspn(next, " \t\n,;");
    bool word = isalpha((unsigned char)text[0]); /* "moved c" has no unit */
    if (unit > 0 && (word ? is_particle(next, unit) : is_unit(units, next, unit)))
        end = next + unit;
    *behind = end + strspn(end, BLANKS);
    if (**behind == '\0') *behind = NULL;
    *end = '\0';
    drop_comma(text, end);
    return text;
}

static char *unquoted(char *text) {
    size_t length = strlen(text);
    if (length < 2 || text[0] != '"' || text[length - 1] != '"') return text;
    text[length - 1] = '\0';
    return text + 1;
}

static bool has_several(const char *text) {
    char *copy = need(strdup(text)), *behind;
    cut_answer(NULL, copy, &behind);
    free(copy);
    return behind != NULL;
}

/* ---- an answer that is not taken at once: only a person says what becomes of it ---- */

static void write_choice(const remark *r, bool unlikely, char text[QUESTION_BYTES]) {
    int n = snprintf(text, QUESTION_BYTES, "  Enter: type it again");
    if (unlikely)
        n += snprintf(text + n, QUESTION_BYTES - (size_t)n, "; y: keep %s",
                      r->kept[0] == '\0' ? "it" : r->kept);
    if (r->guess[0] != '\0')
        n += snprintf(text + n, QUESTION_BYTES - (size_t)n, "; g: take %s", r->guess);
    snprintf(text + n, QUESTION_BYTES - (size_t)n, ": ");
}

/* What becomes of it. None of them: the person is asked again. */
typedef struct choice {
    bool stays, again;
    char *text; /* to be freed: another answer */
} choice;

/* A figure has been typed, and what waits is for the questions of this one. */
static settled obey_between(asking *r, const char *line, bool *word) {
    bool begun = r->begun;
    r->begun = r->q->at_doubt = true;
    line_hold(true);
    settled s = obey(r, line, word);
    line_hold(false);
    r->q->at_doubt = false;
    r->begun = begun;
    return s;
}

static settled read_choice(asking *r, const remark *m, bool unlikely, const char *line, choice *c) {
    bool word;
    size_t at = r->at;
    c->again = line[0] == '\0';
    c->stays = unlikely && (jl_same_letters(line, "y") || jl_same_letters(line, "yes"));
    if (c->again || c->stays) return NEXT;
    if (m->guess[0] != '\0' && jl_same_letters(line, "g")) {
        c->text = need(strdup(m->guess));
        return NEXT;
    }
    settled s = obey_between(r, line, &word);
    if (s.how != ASKED_ALL) return s;
    c->again = r->at != at || r->is_named; /* "back" */
    if (!word && has_several(line)) {      /* what was pasted is no answer to this */
        line_put_back(line);
        questions_tell("That waits until this is answered.");
    } else if (!word)
        c->text = need(strdup(line));
    return NEXT;
}

static settled choose(asking *r, const remark *m, bool unlikely, choice *c) {
    char text[QUESTION_BYTES], *line;
    *c = (choice){0};
    write_choice(m, unlikely, text);
    for (;;) {
        settled s = get(r, text, true, &line);
        if (s.how != ASKED_ALL) return s;
        s = read_choice(r, m, unlikely, line, c);
        free(line);
        if (s.how != ASKED_ALL || c->again || c->stays || c->text != NULL) return s;
    }
}

/* What becomes of an answer that was not taken: asked again, or *text anew, kept or not. */
static settled after_remark(asking *r, const remark *m, bool unlikely, char **text, bool *stays) {
    choice c;
    bool person = line_is_person();
    *stays = unlikely && !person;
    if (*stays)
        say("line %zu of the input is taken as it stands: %s", line_number(), m->text);
    else if (m->text[0] != '\0')
        questions_tell(m->text);
    if (*stays) return NEXT;
    if (!person || (!unlikely && m->guess[0] == '\0')) return after_mistake(r);
    settled s = choose(r, m, unlikely, &c);
    if (s.how != ASKED_ALL) return s;
    *stays = c.stays;
    if (c.text != NULL) {
        free(*text);
        *text = c.text;
    }
    return c.again ? AGAIN : NEXT;
}

static settled settle(asking *r, const char *given) {
    char *text = need(strdup(given));
    bool stays = false;
    settled s = NEXT;
    while (s.how == ASKED_ALL && !s.again) {
        remark m = {0};
        answered a = r->q->read(r->q->with, r->q->all[r->at].which, text, stays, &m);
        if (a == ANSWER_TAKEN) break;
        if (a == ANSWER_FAILED) s = over(ASKED_FAILED);
        if (a != ANSWER_FAILED) s = after_remark(r, &m, a == ANSWER_UNLIKELY, &text, &stays);
    }
    free(text);
    return s;
}

/* ---- the round ---- */

/* Whether a text may follow this question's answer and nothing else. */
static bool is_before_text(const asking *r) {
    size_t next = r->at + 1;
    if (r->q->all[r->at].kind != QUESTION_FIGURE) return false;
    while (next < r->q->count && !applies(r, next)) next++;
    return next < r->q->count && r->q->all[next].kind == QUESTION_BEHIND;
}

/* "pear, clean" leaves the figure as offered. */
static bool is_text(const char *text) {
    unsigned char first = (unsigned char)text[0];
    return first == '"' || ((isalpha(first) || first >= 0x80) && strlen(text) > 2);
}

static void set_pending(asking *r, const char *text) {
    if (text == NULL) return;
    forget_pending(r);
    r->pending = need(strdup(text));
}

static settled refuse_one_more(asking *r, const char *behind) {
    char text[REMARK_BYTES];
    snprintf(
        text, sizeof text,
        "'%.60s' is more than is asked for. A note that begins with a number stands in quotes.",
        behind);
    questions_tell(text);
    return after_mistake(r);
}

/* The first answer of a text; the others wait for their questions. */
static settled take_text(asking *r, char *text) {
    char *more;
    const char *leads = r->q->all[r->at].leads;
    const char *behind = leads == NULL ? NULL : behind_word(leads, text);
    if (behind != NULL && *behind != '\0') text += behind - text;
    if (r->q->all[r->at].kind != QUESTION_FIGURE) return settle(r, unquoted(text));
    if (is_before_text(r) && is_text(text)) {
        set_pending(r, text);
        return settle(r, "");
    }
    text = cut_answer(r->q->all[r->at].units, text, &more);
    bool figure = more != NULL && isdigit((unsigned char)more[0]);
    if (figure && is_before_text(r) && !is_for(&r->q->all[r->at + 1], more))
        return refuse_one_more(r, more);
    set_pending(r, more);
    return settle(r, text);
}

/* What stands behind the answer to another question. */
static settled drop_unled(asking *r) {
    char text[REMARK_BYTES];
    const char *leads = r->q->all[r->at].leads;
    snprintf(text, sizeof text,
             "'%.60s' is more than is asked for; in the line of another answer this one begins "
             "with '%.*s'.",
             r->pending, (int)strcspn(leads, " "), leads);
    questions_tell(text);
    return after_mistake(r);
}

static settled take_pending(asking *r) {
    char *text = r->pending;
    const question *at = &r->q->all[r->at];
    if (at->led && !r->is_named && behind_word(at->leads, text) == NULL) return drop_unled(r);
    r->pending = NULL;
    r->in_line = r->in_line || !r->is_named;
    r->is_named = false;
    settled s = take_text(r, text);
    free(text);
    return s;
}

static settled ask_line(asking *r) {
    char text[QUESTION_BYTES], *line;
    bool word;
    if (r->q->explained && !r->again && line_is_person())
        put_sentence(stdout, "", "", r->q->all[r->at].help);
    r->q->write(r->q->with, r->q->all[r->at].which, text);
    settled s = get(r, text, false, &line);
    if (s.how != ASKED_ALL) return s;
    s = obey(r, line, &word);
    r->in_line = false;
    if (r->q->rest != NULL) {
        free(line);
        line = r->q->rest;
        r->q->rest = NULL;
    }
    if (!word && s.how == ASKED_ALL) s = take_text(r, line);
    free(line);
    return s;
}

static settled ask_one(asking *r) {
    const question *at = &r->q->all[r->at];
    if (r->q->first != NULL) {
        set_pending(r, r->q->first);
        r->q->first = NULL;
    }
    const char *given = r->q->given == NULL ? NULL : r->q->given(r->q->with, at->which);
    if (given != NULL) return settle(r, given);
    if (r->pending != NULL && (!r->again || r->is_named)) return take_pending(r);
    if (at->kind == QUESTION_BEHIND) return NEXT;
    if (at->left_to_line && r->in_line && !r->again) return settle(r, "-");
    return ask_line(r);
}

asked questions_ask(questions *q) {
    asking r = {.q = q};
    settled s = NEXT;
    while (r.at < q->count && s.how == ASKED_ALL) {
        s = applies(&r, r.at) ? ask_one(&r) : NEXT;
        r.again = s.again;
        if (s.how != ASKED_ALL || s.again) continue;
        r.begun = true;
        r.at++;
        if (r.pending != NULL || r.return_to == 0) continue;
        if (r.at < r.return_to && !q->all[r.at - 1].decides) r.at = r.return_to;
        r.return_to = 0;
    }
    if (s.how == ASKED_ALL && r.pending != NULL)
        questions_tell("Behind the last answer stands more than is asked for; it is left out.");
    forget_pending(&r);
    return s.how;
}

bool answer_is_yes_or_no(const char *text, bool *yes) {
    *yes = jl_same_letters(text, "y") || jl_same_letters(text, "yes");
    return *yes || jl_same_letters(text, "n") || jl_same_letters(text, "no");
}

asked question_yes(const char *text, bool *yes) {
    for (;;) {
        char *line;
        line_result got = line_ask_typed(text, &line);
        if (got != LINE_GIVEN) return got == LINE_INTERRUPTED ? ASKED_DROPPED : ASKED_LEFT;
        bool decided = answer_is_yes_or_no(line, yes) || line[0] == '\0';
        bool leaves = is_quit(line);
        free(line);
        if (decided) return ASKED_ALL;
        if (leaves || !line_is_person()) return ASKED_LEFT;
        questions_tell("Expected y, or Enter.");
    }
}
