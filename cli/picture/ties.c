/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/ties.h"

#include <string.h>

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool begins_with(const char *text, const char *word) {
    size_t length = strlen(word);
    return strncmp(text, word, length) == 0 && !is_letter(text[length]);
}

bool text_ties(const char *text, size_t at) {
    static const char *const UNITS[] = {"%",   "L",   "mL",  "hL",   "g", "kg", "W", "kW",
                                        "kWh", "kPa", "hPa", "mmHg", "m", "mm", "h", "min"};
    if (at == 0 || text[at] != ' ') return false;
    if (text[at - 1] == '%') return begins_with(text + at + 1, "vol");
    if (text[at - 1] < '0' || text[at - 1] > '9') return false;
    if (strncmp(text + at + 1, "°", strlen("°")) == 0) return true;
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++)
        if (begins_with(text + at + 1, UNITS[i])) return true;
    return false;
}
