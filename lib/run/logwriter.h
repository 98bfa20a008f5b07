/* A run log held for one change: what the writing functions share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LOGWRITER_H
#define JL_LOGWRITER_H

#include "log/durable.h"
#include "run/logedit.h"
#include "run/loglayout.h"

struct jl_writer {
    jl_locked_file file;
    jl_source source;
    jl_layout layout;
    jl_trouble trouble;
};

typedef enum jl_row_kind { JL_ROW_FACT, JL_ROW_HEADER, JL_ROW_JAR } jl_row_kind;

/* Called for each row that is not empty; edit is NULL when the log is only looked at. What it does
 * not touch is copied. jar: the jar's number. */
typedef jl_status jl_visit(const jl_writer *w, jl_edit *edit, const jl_row *row, jl_row_kind kind,
                           uint32_t jar, void *with);

/* Looks at every row but a torn one. */
jl_status jl_writer_look(jl_writer *w, jl_visit *each, void *with);

/* Adds rows at the end, each with its line end: in one append, or with a new file when the log is
 * hand-made. */
jl_status jl_writer_append(jl_writer *w, const jl_text *rows);

/* Puts a new file in the old one's place; added: rows at its end, or NULL. */
jl_status jl_writer_rewrite(jl_writer *w, jl_visit *each, void *with, const jl_text *added);

/* A torn row must show at its missing line end, so no row of ours has one inside. */
bool jl_is_one_line(const char *text);

#endif
