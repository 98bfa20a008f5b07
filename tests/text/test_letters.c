/* How far a misspelt word is from one that is known.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "suites.h"
#include "text/letters.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Both as long as they are, so that a sanitizer sees what is read around them. */
static size_t apart(const char *a, const char *b) {
    char *first = strdup(a), *second = strdup(b);
    size_t letters = first == NULL || second == NULL ? SIZE_MAX : jl_letters_apart(first, second);
    free(first);
    free(second);
    return letters;
}

/* The usual examples of edit distances; of optimal string alignment, "ca" and "abc" are 3. */
static void letters_apart_are_counted(void) {
    static const struct {
        const char *a, *b;
        size_t letters;
    } AT[] = {
        {"", "", 0},           {"a", "", 1},     {"kitten", "sitting", 3}, {"recrod", "record", 1},
        {"tally", "TALLY", 0}, {"ca", "abc", 3}, {"ab", "ba", 1},          {"abcd", "badc", 2},
        {"flaw", "lawn", 2},   {"a", "b", 1},    {"stock", "stick", 1},    {"chart", "card", 2},
    };
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        CHECK(apart(AT[i].a, AT[i].b) == AT[i].letters);
        CHECK(apart(AT[i].b, AT[i].a) == AT[i].letters);
    }
}

static void words_of_more_than_63_letters_are_near_to_none(void) {
    char most[64], more[65];
    memset(most, 'a', 63);
    memset(more, 'a', 64);
    most[63] = more[64] = '\0';
    CHECK(apart(most, most) == 0 && apart(most, "a") == 62);
    CHECK(apart(more, "a") == SIZE_MAX && apart("a", more) == SIZE_MAX);
}

static void the_nearest_is_within_a_third_of_the_letters(void) {
    static const char *const WORDS[] = {"record", "report", "stock", "start"};
    static const struct {
        const char *word, *nearest;
    } AT[] = {{"recrod", "record"}, {"reprt", "report"},  {"stokc", "stock"}, {"zzzzz", NULL},
              {"st", NULL},         {"RECORD", "record"}, {"starts", "start"}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        jl_nearest nearest = jl_nearest_to(AT[i].word);
        for (size_t k = 0; k < sizeof WORDS / sizeof WORDS[0]; k++)
            jl_nearest_offer(&nearest, WORDS[k]);
        bool good = AT[i].nearest == NULL
                        ? nearest.found == NULL
                        : nearest.found != NULL && strcmp(nearest.found, AT[i].nearest) == 0;
        if (!good)
            printf("\n    %s: %s", AT[i].word, nearest.found == NULL ? "none" : nearest.found);
        CHECK(good);
    }
}

CU_TestInfo letters_tests[] = {
    {"letters apart are counted", letters_apart_are_counted},
    {"words of more than 63 letters are near to none",
     words_of_more_than_63_letters_are_near_to_none},
    {"the nearest is within a third of the letters", the_nearest_is_within_a_third_of_the_letters},
    CU_TEST_INFO_NULL,
};
