/* The digits of a figure: those that its uncertainty leaves, down to the first one of its standard
 * uncertainty.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DIGITS_H
#define JARLINE_DIGITS_H

#include "jarline.h"
#include "uncertainty/readings.h"

#include <math.h>

/* Decimals of a figure of a known standard uncertainty; most: as many at the most, and where it is not
 * known (0 or NaN). */
int digits_left(double standard, int most);

/* As many decimals as give two digits of an expanded uncertainty (GUM 7.2.6). */
int digits_of_expanded(double expanded);

/* Of a value in an interval of 95 %. */
int digits_of_estimate(jl_estimate e, int most);

/* The bench's instruments, by which what has no budget of its own counts as measured from now on; the
 * usual ones without. */
void digits_by(const jl_instruments *instruments);

/* The same of a figure that has no budget of its own: by its unit ("% vol", "L so far"). With EXACT
 * added to most it has as many, as what is computed from exact numbers. */
enum { EXACT = 16 };
int digits_of(double value, int most, const char *unit);

/* By its standard uncertainty where it has one; 0 or NaN: of no budget. */
int digits_known(double value, double standard, int most, const char *unit);

/* "2.24 L", for a sentence; "-" where it is missing. standard: NaN: of no budget. */
typedef struct figure_text {
    char text[48];
} figure_text;
figure_text figure_in_words(double value, double standard, int most, const char *unit);

/* A difference that is below 0 by no more than its uncertainty: "-0.03 ± 0.08 L", which may be 0. "": it
 * is none. */
figure_text figure_below_zero(double value, double standard, int most, const char *unit);

/* The same without zeros behind the point, as a person writes it: "10 L". */
figure_text figure_short(double value, int most, const char *unit);
/* Of two in one sentence: with more digits where they would look the same and are not. */
typedef struct litres_pair {
    figure_text one, other;
} litres_pair;
litres_pair litres_apart(double one_l, double other_l);

#define LITRES(value) figure_in_words(value, NAN, 3, "L").text
/* In % vol, with one decimal. */
#define AT_STRENGTH(value) figure_in_words(value, NAN, EXACT + 1, "% vol").text
#define PURE_OF(spirit)                                                                            \
    figure_in_words(jl_pure_alcohol_l(spirit), digits_standards(spirit).pure_alcohol_l, 3, "L").text

/* Of a part's pure alcohol as a share of the whole's, in %. */
double digits_share_standard(jl_spirit part, jl_spirit whole);

/* Standard uncertainties of an amount, as of one that is measured once with these instruments: what has
 * its digits by them has the same wherever it stands. */
jl_standards digits_standards(jl_spirit spirit);
jl_standards digits_of_amount(double volume_l, double strength_pct);

/* Of the pure alcohol in a charge, whose strength may be known to so much; 0 or NaN: as one that is
 * stated, which has no temperature of its own. */
double digits_charged(double volume_l, double strength_pct, double strength_u_pct);

#endif
