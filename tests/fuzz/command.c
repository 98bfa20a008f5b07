/* Any words as a command line: an answer or a message, no file of ours that cannot be read afterwards,
 * and nothing changed where it failed. A line of the input is a word; what follows an empty line is
 * standard input.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "inside.h"

enum { WORDS_MOST = 24, BYTES_MOST = 4096 };

/* What is right and takes long is left out, and names outside the folder. */
static bool is_fair(char *const *words, size_t count) {
    if (count > 0 && strcmp(words[0], "selfcheck") == 0) return false;
    for (size_t i = 0; i < count; i++) {
        if (strncmp(words[i], "--follow", 8) == 0) return false; /* for hours */
        bool draws = strncmp(words[i], "--draws", 6) == 0;
        const char *number = words[i] + strcspn(words[i], "=");
        if (*number == '\0' && i + 1 < count) number = words[i + 1];
        if (draws && strlen(number) > 4) return false;
    }
    return count > 0;
}

static size_t cut_words(char *text, char **words, char **input) {
    size_t count = 0;
    *input = text + strlen(text);
    while (*text != '\0' && count < WORDS_MOST) {
        char *end = text + strcspn(text, "\n");
        bool last = *end == '\0';
        *end = '\0';
        words[count++] = text;
        text = last ? end : end + 1;
        if (*text == '\n') {
            *input = text + 1;
            break;
        }
    }
    words[count] = NULL;
    return count;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const char *const FILES[] = {"run.csv", "saved.csv", "wash.csv", "book.csv",
                                        "still.csv"};
    char text[BYTES_MOST + 1], *words[WORDS_MOST + 1], *input;
    if (size > BYTES_MOST || memchr(data, '\0', size) != NULL || memchr(data, '/', size) != NULL)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    size_t count = cut_words(text, words, &input), given = strlen(input);
    if (!is_fair(words, count)) return 0;
    season();
    said s = run_inside(words, input, given);
    said_holds(&s, data, size);
    for (size_t i = 0; s.status != 0 && given == 0 && i < sizeof FILES / sizeof FILES[0]; i++)
        HOLDS(is_untouched(FILES[i]));
    said_free(&s);
    return 0;
}
