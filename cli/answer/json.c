/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/json.h"
#include "answer/characters.h"
#include "jarline.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DIGITS = 12, NUMBER_BYTES = 32 };

/* Zeros at the end say nothing, but for one behind the point. */
static size_t without_zeros(const char *text, size_t length) {
    while (text[length - 1] == '0' && text[length - 2] != '.') length--;
    return length;
}

static void very_large_or_small(FILE *to, double value) {
    char text[NUMBER_BYTES];
    snprintf(text, sizeof text, "%.*g", DIGITS, value);
    char *exponent = strchr(text, 'e');
    if (exponent != NULL)
        fprintf(to, "%.*se%d", (int)(exponent - text), text, atoi(exponent + 1));
    else
        fprintf(to, "%s%s", text, strchr(text, '.') == NULL ? ".0" : "");
}

static void fraction(FILE *to, double value) {
    char text[NUMBER_BYTES];
    double size = fabs(value);
    int whole_digits = size >= 1 ? 1 : 0;
    for (double ten = 10; size >= ten; ten *= 10) whole_digits++;
    for (double tenth = 0.1; size < tenth; tenth /= 10) whole_digits--;
    jl_decimal_write(value, DIGITS - whole_digits, text, sizeof text);
    fwrite_unlocked(text, 1, without_zeros(text, strlen(text)), to);
}

void json_number(FILE *to, double value) {
    char text[NUMBER_BYTES];
    double size = fabs(value);
    bool whole = value == floor(value) && size < 1e15;
    if (!isfinite(value))
        fputs_unlocked("null", to);
    else if (!whole && !(size >= 1e-4 && size < 1e11))
        very_large_or_small(to, value);
    else if (!whole)
        fraction(to, value);
    else if (jl_decimal_write(value, 0, text, sizeof text) == JL_OK)
        fputs_unlocked(text, to);
}

/* Bytes that stand for themselves. */
static size_t plain_bytes(const char *text) {
    size_t length = 0, bytes;
    while ((unsigned char)text[length] >= ' ' && text[length] != '"' && text[length] != '\\' &&
           (bytes = utf8_bytes(text + length)) > 0 && !utf8_steers(text + length, bytes))
        length += bytes;
    return length;
}

/* One character, or a byte that is none. Returns its bytes. */
static size_t escaped(FILE *to, const char *text) {
    static const char NAMED[] = "\b\f\n\r\t\"\\", NAMES[] = "bfnrt\"\\";
    const char *named = strchr(NAMED, *text);
    size_t bytes = utf8_bytes(text);
    if (named != NULL)
        fprintf(to, "\\%c", NAMES[named - NAMED]);
    else if (bytes > 0)
        fprintf(to, "\\u%04X", utf8_code(text, bytes));
    else
        fputs("\xef\xbf\xbd", to); /* U+FFFD */
    return bytes > 0 ? bytes : 1;
}

void json_text(FILE *to, const char *text) {
    if (text == NULL) {
        fputs_unlocked("null", to);
        return;
    }
    fputc_unlocked('"', to);
    for (;;) {
        size_t length = plain_bytes(text);
        fwrite_unlocked(text, 1, length, to);
        text += length;
        if (*text == '\0') break;
        text += escaped(to, text);
    }
    fputc_unlocked('"', to);
}

void json_truth(FILE *to, bool value) {
    fputs_unlocked(value ? "true" : "false", to);
}
