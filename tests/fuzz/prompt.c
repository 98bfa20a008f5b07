/* Any lines at a prompt: the run log's, the book's or the wash's by the first byte. Whatever is typed,
 * the file can be read afterwards and no other one has changed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "inside.h"

enum { BYTES_MOST = 4096 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const struct {
        const char *words[3];
        const char *others[3];
    } PROMPTS[] = {
        {{"record", "run.csv", NULL}, {"wash.csv", "book.csv", "saved.csv"}},
        {{"record", "saved.csv", NULL}, {"wash.csv", "book.csv", "run.csv"}},
        {{"book", "book.csv", NULL}, {"wash.csv", "saved.csv", "still.csv"}},
        {{"record", "wash.csv", NULL}, {"run.csv", "book.csv", "saved.csv"}},
    };
    char *words[3];
    /* An amount may be a part of a file: none outside the folder. */
    if (size < 1 || size > BYTES_MOST || memchr(data + 1, '/', size - 1) != NULL) return 0;
    size_t which = data[0] % (sizeof PROMPTS / sizeof PROMPTS[0]);
    for (size_t i = 0; i < 3; i++) words[i] = (char *)PROMPTS[which].words[i];
    season();
    said s = run_inside(words, data + 1, size - 1);
    said_holds(&s, data, size);
    for (size_t i = 0; i < 3; i++) HOLDS(is_untouched(PROMPTS[which].others[i]));
    said_free(&s);
    return 0;
}
