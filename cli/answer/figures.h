/* The figures of an answer, and their uncertainty.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A command has one list of its figures and one function that fills their values from its inputs;
 * text, JSON and --uncertainty all come from that list and that function. */
#ifndef JARLINE_FIGURES_H
#define JARLINE_FIGURES_H

#include "answer/show.h"
#include "input/settings.h"
#include "uncertainty/readings.h"

/* A figure of a command. */
typedef struct figure {
    const char *key;   /* in JSON; NULL: in text only */
    const char *label; /* in text; NULL: in JSON only */
    const char *unit;  /* "s": hours and minutes in text */
    int decimals;
    bool difference;   /* see show_difference */
    bool at;           /* the question's temperature follows the label: "Density at 24 °C" */
    unsigned of;       /* the questions that have it, as bits; 0: all */
    unsigned text_of;  /* those that have it in text; 0: all of them */
    const char *brief; /* above its column of the budget; NULL: shown without its uncertainty */
    const char *alone; /* label in the table of uncertainties; NULL: the other */
    unsigned brief_of; /* questions that have it there; 0: all of them */
} figure;

/* The figures of one question. */
typedef struct figures {
    const figure *list;
    size_t count;
    const double *values; /* of each */
    unsigned of;          /* the question's bits */
    double temp_c;        /* of the labels that name it */
    double *standard; /* of each, by the command's budget, for its digits; NULL: the usual ones */
    double
        *expanded; /* where show_uncertainty leaves U (k = 2) of those that have it; may be NULL */
} figures;

/* Those from one place to before another. */
void show_figures(show *s, const figures *f, size_t from, size_t to);

/* The same of one thing, which key names (NULL: of the answer itself): an object in JSON, one line in
 * text. */
void show_figures_in_line(show *s, const figures *f, const char *key, const char *label,
                          size_t from, size_t to);

/* Volume, strength and pure alcohol at 20 °C in one line, in text alone. standard: of the three; NULL:
 * as one that was measured. */
void show_hearts_line(show *s, jl_spirit hearts, const double *standard);

/* "2 h 05 min", in text alone. */
void show_duration(show *s, const char *label, double seconds);

/* Volume, strength and pure alcohol at 20 °C as cells. */
#define V_AMOUNT(spirit)                                                                           \
    V(jl_volume_l(spirit, JL_STRENGTH_C)), V(jl_spirit_strength_pct(spirit)), v_pure(spirit)

/* A row for each fraction that has jars: its name, their numbers (none without jars), how many, the
 * amount, and its share of all pure alcohol. fractions: of each jar; NULL: those that it is in.
 * charge: of the run, whose name a jar not decided has of it; 0 and 0: not known. */
void fraction_rows(struct table *t, const jl_tally *tally, const jl_jar *jars, size_t count,
                   const jl_fraction *fractions, jl_spirit charge);

/* The answer's table of them, "fractions"; jars: NULL where their numbers would mean nothing. */
void show_tally(show *s, const jl_tally *tally, const jl_jar *jars, size_t count,
                const jl_fraction *fractions, jl_spirit charge);

/* A column of a table for a figure. */
column figure_column(const figure *f, const char *title, int width);

/* The options, shared by every command that can. */
typedef struct uncertainty_options {
    char *draws, *seed;
    int uncertainty;
} uncertainty_options;

#define UNCERTAINTY_OPTIONS(o)                                                                     \
    FLAG("uncertainty", &(o).uncertainty, "each main figure with its uncertainty and its causes"), \
        OPTION("monte-carlo", &(o).draws, "N",                                                     \
               "the same, with 95 % intervals from N draws, 1000 or more"),                        \
        OPTION("seed", &(o).seed, "N", "of the draws (1)")

/* How the inputs of a question are measured. Where no uncertainty was asked for everything is exact
 * and nothing more is shown. */
typedef struct uncertainty {
    jl_measuring by;
    size_t draws;
    uint32_t seed;
    bool wanted;    /* to be shown */
    bool intervals; /* draws were asked for: their intervals are shown */
} uncertainty;

/* with: whose bench file states the instruments. Returns the exit status, or 0. */
int uncertainty_read(const uncertainty_options *o, const setting_options *with, uncertainty *u);
void uncertainty_free(uncertainty *u);

/* What is measured from now on enters the budget also where it is not to be shown: for the digits of
 * the figures. */
void uncertainty_for_digits(uncertainty *u);

/* Fills f->standard to first order; leaves it NULL where the budget does not say. */
void figures_take_digits(const uncertainty *u, figures *f, double *standard, jl_model *model,
                         void *with);

/* An amount among the figures has the digits that it has everywhere: its volume and its pure alcohol, by
 * their places. standard: one for each figure of the list. */
void figures_measured(figures *f, double *standard, size_t volume, size_t pure);
bool uncertainty_wanted(const uncertainty *u);

/* The figures that have a column in the budget, with their uncertainty, where it comes from, and what
 * was assumed. model fills all of the list from the inputs. Returns the exit status, or 0; on failure
 * nothing is shown. */
int show_uncertainty(show *s, uncertainty *u, const figures *f, jl_model *model, void *with);

#endif
