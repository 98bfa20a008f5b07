/* book: an entry into the book of the house.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/book/prompt.h"
#include "commands/book/words.h"
#include "commands/book/write.h"
#include "input/args.h"

#include <math.h>
#include <string.h>

static bool options_given(const book_options *o) {
    const book_options none = {0};
    return memcmp(o, &none, sizeof none) != 0;
}

static int run_book(const args *a, const book_options *o, bool json) {
    book_words w;
    known_when known = WHEN_NOW;
    if (a->count == 0)
        return fail(EXIT_USAGE, "expected a book, and an entry, as house.csv moved demijohn-3 2.5L "
                                "--into cask-1");
    if (a->count == 1 && (json || options_given(o)))
        return fail(EXIT_USAGE, "without an entry the book asks for one; its options, and --json, "
                                "go with an entry");
    if (a->count == 1) return book_prompt(a->rest[0]);
    int bad = book_words_read(a->rest + 1, a->count - 1, o, &w);
    if (bad == EXIT_DONE) bad = entry_moment(o->time, o->late != 0, &w.entry, &known);
    if (bad == EXIT_DONE)
        bad = book_enter(a->rest[0], &w.entry, known, w.part.planned ? w.part.plan.feints_l : NAN,
                         json);
    book_words_free(&w);
    return bad;
}

int command_book(int argc, const char **argv) {
    book_options o = {0};
    int json = 0;
    const struct poptOption table[] = {
        OPTION("into", &o.into, "VESSEL", "of collected and moved: where it goes"),
        OPTION("receiver", &o.receiver, "WHO", "of removed: who has it now"),
        OPTION("sender", &o.sender, "WHO", "of received: where it came from"),
        OPTION("kind-of", &o.kind, "KIND", "what it is: low-wines, feints, spirit, your own word"),
        OPTION("lot", &o.lot, "LOT", "of bottled: the lot of the bottles, as 2026-7"),
        OPTION("run", &o.run, "RUN.csv", "of charged: the run that it was charged to"),
        OPTION("solids", &o.solids, "MASS", "of gauged: dissolved solids, as 0.5g/100mL"),
        OPTION("true-strength", &o.distilled, "STRENGTH",
               "of gauged: the true one, of a distilled sample"),
        OPTION("because", &o.because, "TEXT", "of cancelled: the reason"),
        OPTION("time", &o.time, "TIME", "when it happened (now)"),
        FLAG("late", &o.late, "it happened before entries that are in the book"),
        OPTION("note", &o.note, "TEXT", "anything"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "BOOK.csv [ENTRY ...]",
                  "Writes one entry into the book of the house. Without one it asks.\n"
                  "  vessel NAME CAPACITY glass|steel|wood|other; NAME retired\n"
                  "  opening VESSEL AMOUNT           5L@70%\n"
                  "  received VESSEL AMOUNT [--sender WHO]\n"
                  "  collected RUN.csv:PART --into VESSEL\n"
                  "  charged VESSEL [SIZE] [--run RUN.csv]\n"
                  "  moved VESSEL SIZE --into VESSEL   2.5L, 1.2kg or all\n"
                  "  water VESSEL SIZE\n"
                  "  bottled VESSEL COUNTxVOLUME --lot LOT\n"
                  "  removed FROM SIZE [--receiver WHO]   cask-1 50mL; lot:2026-7 6\n"
                  "  gauged VESSEL VOLUME READING TEMP   48.2L 44.5% 14C; lot:2026-7 38\n"
                  "  lost FROM SIZE\n"
                  "  cancelled NUMBER --because TEXT"))
        a.exit_status = run_book(&a, &o, json != 0);
    return args_close(&a);
}
