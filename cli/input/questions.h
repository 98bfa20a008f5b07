/* Questions one after the other, at a terminal or from a pipe: each answer is checked where it is typed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is asked stands in a table; what an answer means, whether it is likely, and the words that are
 * no answers, are the caller's. Nothing is kept here between two calls but lines that were pasted. */
#ifndef JARLINE_QUESTIONS_H
#define JARLINE_QUESTIONS_H

#include "answer/show.h"

#include <stdbool.h>
#include <stddef.h>

enum { QUESTION_BYTES = 200, REMARK_BYTES = 320, REMARK_WORD = 48 };

typedef enum answered {
    ANSWER_TAKEN,
    ANSWER_UNLIKELY, /* not taken: a person is asked whether it stays, a pipe's is taken and said */
    ANSWER_REFUSED,  /* it cannot be; a pipe ends here */
    ANSWER_FAILED    /* the questions end with their exit status */
} answered;

/* What is said of an answer that is not taken at once. */
typedef struct remark {
    char text[REMARK_BYTES]; /* sentences: "reading 53.5 %? The jar before had 74.1 %." */
    char kept[REMARK_WORD];  /* the answer as it would be kept: "53.5 %"; "" is "it" */
    char guess[REMARK_WORD]; /* what was probably meant, as it could be typed; "": nothing likely */
} remark;

/* What a word did that is no answer. */
typedef enum obeyed {
    NO_WORD,    /* it is none: an answer */
    WORD_DONE,  /* the question is asked again */
    WORD_BACK,  /* so is another before it, and those behind that: its place in .back_to */
    WORD_OVER,  /* these questions end, as if Ctrl-C had been typed */
    WORD_LEAVE, /* the prompt ends */
    WORD_FAILED /* so too, with the exit status */
} obeyed;

typedef enum asked {
    ASKED_ALL,
    ASKED_DROPPED, /* Ctrl-C, or a word said so */
    ASKED_LEFT,    /* end of input, quit */
    ASKED_FAILED   /* with the exit status */
} asked;

typedef enum question_kind {
    QUESTION_FIGURE, /* one word: what follows it in the line answers the next questions */
    QUESTION_TEXT,   /* the whole line; in quotes where it would be a word otherwise */
    QUESTION_BEHIND  /* a text that is never asked for: what stands behind the last answer */
} question_kind;

typedef struct question {
    int which; /* for the functions below */
    question_kind kind;
    const char *help;  /* one sentence, for "?" */
    bool left_to_line; /* not asked for when the line had the answers before it */
    const char *names; /* words that return to it, as "reading 73.5"; NULL: none */
    const char *leads; /* words that may stand before its answer, as "into cask-1"; NULL: none */
    bool decides;      /* which others are asked: typed anew, all behind it are */
    const char *units; /* words that belong to the number before them, as "bottles"; NULL: none */
    bool led; /* of a line with other answers it takes only what stands behind one of its leads */
} question;

typedef struct questions {
    const question *all;
    size_t count;
    bool explained;    /* to a person each is explained by its help before it is asked */
    const char *words; /* lines that "?" shows of the caller's own words */
    const char *first; /* a line that answers the first question already; NULL: none */
    void *with;
    int exit_status; /* of what failed */
    int back_to;     /* which, of WORD_BACK */
    bool at_doubt;   /* obey's line answers a doubt */
    char *rest;      /* what a word left of its line, with NO_WORD: the answer; to be freed */
    /* Whether it is asked at all now; NULL: each is. */
    bool (*applies)(void *with, int which);
    /* An answer that is there already, once; NULL: it is to be asked for. May be NULL. */
    const char *(*given)(void *with, int which);
    /* What stands before the answer: "  reading, % (jar 7: 74.1): ". */
    void (*write)(void *with, int which, char text[QUESTION_BYTES]);
    /* text: "" is Enter alone. stays: the person has said so; it is not questioned then. */
    answered (*read)(void *with, int which, const char *text, bool stays, remark *r);
    /* NULL: no words but "?", "back" and "quit". begun: a question has been answered. */
    obeyed (*obey)(void *with, const char *word, bool begun);
} questions;

/* Asks all that apply, in order. */
asked questions_ask(questions *q);

/* Asks for yes or no until it is one of them; Enter is no. A pipe's next line is the answer. */
asked question_yes(const char *text, bool *yes);

/* Whether it is one of the two, in any case of its letters; in short too. */
bool answer_is_yes_or_no(const char *text, bool *yes);

/* Enter alone, or "-". */
bool answer_is_none(const char *text);

/* The text behind one of the words, which stand with blanks between them: of "note", "note pear" has
 * "pear"; NULL: it begins otherwise. */
const char *behind_word(const char *words, const char *text);

/* The next word of a text; "": there is none. */
const char *word_after(const char *text);

/* "350 74 20 84 time 9:50 pear": a line of answers with its moment in it. *line: without it, *time: it; both
 * to be freed. False: there is none, and both are NULL. */
bool questions_split_time(const char *text, char **line, char **time);

/* Behind obey, of a line that was cut out of another: what is no word is taken as answers. Takes the line.
 * Returns what obey did. */
obeyed questions_go_on(questions *q, obeyed done, char *line);

/* Why it is not taken. Returns ANSWER_REFUSED. */
answered answer_refused(remark *r, const char *why);

/* From a pipe what is refused ends it, as the lines below may rest on it: says so and returns the exit
 * status. */
int questions_fail_line(void);

/* Closes an answer that a word asked for; its exit status. */
obeyed word_shown(show *s, int *exit_status);

/* A remark on its own lines: filled on a terminal, a message otherwise. */
void questions_tell(const char *text);

#endif
