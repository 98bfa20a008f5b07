/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/digits.h"
#include "jarline.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void jl_other_points(double typed, jl_meant *meant, void *with) {
    static const double TIMES[] = {0.1, 10, 0.01, 100};
    for (size_t i = 0; i < sizeof TIMES / sizeof TIMES[0]; i++) meant(with, typed * TIMES[i]);
}

enum { DIGITS_MOST = 16 };

typedef struct trial {
    jl_meant *meant;
    void *with;
} trial;

static void try_text(const trial *t, const char *text) {
    double number = NAN;
    (void)jl_decimal_read(text, strlen(text), JL_COMMA_NONE, &number); /* digits and a point */
    t->meant(t->with, number);
}

static void try_digits_at(const trial *t, const char *typed, size_t at) {
    char text[DIGITS_MOST + 2];
    size_t behind = strlen(typed + at);
    for (char digit = '0'; digit <= '9'; digit++) {
        snprintf(text, sizeof text, "%.*s%c%s", (int)at, typed, digit, typed + at);
        try_text(t, text);
        if (behind == 0) continue;
        snprintf(text, sizeof text, "%.*s%c%s", (int)at, typed, digit, typed + at + 1);
        try_text(t, text);
    }
    if (behind < 2) return;
    snprintf(text, sizeof text, "%.*s%s", (int)at, typed, typed + at + 1);
    try_text(t, text);
    snprintf(text, sizeof text, "%.*s%c%c%s", (int)at, typed, typed[at + 1], typed[at],
             typed + at + 2);
    try_text(t, text);
}

void jl_other_digits(double typed, jl_meant *meant, void *with) {
    char digits[DIGITS_MOST];
    const trial t = {meant, with};
    snprintf(digits, sizeof digits, "%.6g", typed);
    if (strspn(digits, "0123456789.") != strlen(digits)) return;
    for (size_t at = 0; at <= strlen(digits); at++) try_digits_at(&t, digits, at);
}
