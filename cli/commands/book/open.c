/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/book/open.h"
#include "answer/assume.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "input/clock.h"
#include "text/timestamp.h"

#include <string.h>

number_text number_in_words(jl_book_number number) {
    number_text t = {""};
    jl_book_number_write(number, t.text);
    return t;
}

void warn_of_book(show *s, const jl_book_file *f) {
    size_t count;
    const jl_book_odd *odd = jl_book_odd_rows(f, &count);
    for (size_t i = 0; i < count && i < JL_BOOK_ODD_MOST; i++)
        show_warning(
            s,
            "Line %zu, entry %s: what was measured comes to %.4f L of pure alcohol, and the row "
            "says %.4f: a figure was changed by hand, and the row's ethanol_kg and water_kg count.",
            odd[i].line, ENTRY_NUMBER(odd[i].number), jl_pure_alcohol_l(odd[i].measured),
            jl_pure_alcohol_l(odd[i].stated));
    warn_of_facts(s, jl_book_facts(f), JL_IN_BOOK, 0);
    if (jl_book_torn_line(f) > 0)
        show_warning(s, "Line %zu has no line end: it was not written to its end and is left out.",
                     jl_book_torn_line(f));
}

/* A clock of that day, "2026-10-31T00:00". */
static int read_day(const char *name, const jl_written_time *written, const char *clock,
                    jl_time *when) {
    char day[64];
    jl_time midnight;
    jl_written_time at = *written;
    at.has_clock = true;
    jl_status status = jl_time_of_written(&at, NULL, 0, &midnight);
    if (status != JL_OK || jl_time_write(midnight, day, sizeof day) != JL_OK)
        return refuse("%s: expected a date of a year from 0 to 9999", name);
    snprintf(day + strlen("2026-10-31"), sizeof day - strlen("2026-10-31"), "T%s", clock);
    return clock_read(name, day, when);
}

static int read_written(const char *name, const char *text, jl_written_time *written) {
    jl_status status = jl_written_time_read(text, strlen(text), written);
    if (status == JL_AMBIGUOUS) return fail_ambiguous(name, text);
    if (status == JL_OK) return EXIT_DONE;
    return fail_argument(name, text, status, "a date, as 2026-10-31, or " JL_TIME_FORMS);
}

int period_read(const char *name, const char *text, bool end, jl_time *when) {
    jl_written_time written;
    int bad = read_written(name, text, &written);
    if (bad != EXIT_DONE) return bad;
    if (written.has_clock) return clock_read(name, text, when);
    if (end) written.days++;
    return read_day(name, &written, "00:00", when);
}

int event_read(const char *name, const char *text, jl_time *when, known_when *known) {
    jl_written_time written;
    *known = WHEN_NOW;
    *when = clock_now();
    if (text == NULL) return EXIT_DONE;
    int bad = read_written(name, text, &written);
    if (bad != EXIT_DONE) return bad;
    *known = written.has_clock ? WHEN_SAID : WHEN_DAY;
    return written.has_clock ? clock_read(name, text, when)
                             : read_day(name, &written, "12:00", when);
}

static bool same_day(jl_time a, jl_time b) {
    return strcmp(DAY(a), DAY(b)) == 0;
}

void settle_when(const jl_book *book, known_when known, jl_book_entry *e) {
    size_t count;
    const jl_book_entry *all = jl_book_entries(book, &count);
    if (known == WHEN_NOW && !e->late) e->time = e->written = clock_now();
    if (known != WHEN_DAY || count == 0 || e->late || !same_day(e->time, all[count - 1].time))
        return;
    if (e->time.unix_s < all[count - 1].time.unix_s) e->time = e->written = all[count - 1].time;
}

static bool is_within(jl_time t, int64_t since_s, int64_t until_s) {
    return t.unix_s >= since_s && t.unix_s < until_s;
}

bool was_written_later(const jl_book_entry *all, size_t at, int64_t since_s, int64_t until_s,
                       const jl_book_entry **of) {
    const jl_book_entry *e = &all[at];
    bool back = e->what == JL_BOOK_CANCELLED;
    *of = back ? &all[e->taken_back] : e;
    bool stands = !back && e->late && e->taken_back == JL_BOOK_STANDS;
    return back ? is_within((*of)->written, since_s, until_s)
                : stands && is_within(e->time, since_s, until_s);
}

void later_in_words(const jl_book_entry *e, const jl_book_entry *of, double amount, int decimals,
                    const char *unit, char text[LATER_BYTES]) {
    char what[96];
    int used = snprintf(what, sizeof what, "%s", jl_book_word(of->what));
    if (amount > 0)
        snprintf(what + used, sizeof what - (size_t)used, " %.*f %s", decimals, amount, unit);
    snprintf(text, LATER_BYTES, "%s %s%s%s%s, happened %s, was written later",
             ENTRY_NUMBER(e->number), of != e ? "cancels " : "",
             of != e ? ENTRY_NUMBER(of->number) : "", of != e ? ", " : "", what, DAY(of->time));
}
