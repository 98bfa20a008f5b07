/* label: strips for jars before a run, labels for the bottles of a lot.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/label.h"
#include "answer/assume.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "command.h"
#include "commands/book/open.h"
#include "input/file_kind.h"
#include "input/logfile.h"
#include "input/settings.h"
#include "picture/paper.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Texts of the options; NULL when not given. */
typedef struct words {
    char *jars, *count, *name, *words, *time;
    char *rows, *columns, *margins, *gaps, *used;
    setting_options with;
    paper_options paper;
    int no_lines, json;
} words;

/* What is to be printed. */
typedef struct order {
    label_stock stock;
    size_t first, count; /* jars: the first one's number; 0: bottles */
    bool usual;          /* so many jars by default */
    short_text date;     /* "": not known */
    const char *name;
    /* Of bottles: */
    double name_weight;
    const char *lot, *house;                       /* "": the bench file has no name of it */
    double strength_pct, strength_u_pct, bottle_l; /* k = 1 */
    jl_instruments instruments;
} order;

enum { LABELS_MOST = 1000, ON_SHEET_MOST = 100 };

/* ---- The stock ---- */

static int read_count(const char *name, const char *text, size_t least, size_t most,
                      size_t *count) {
    double number = (double)*count;
    int bad = arg_whole(name, text, (double)least, (double)most, &number);
    if (bad == EXIT_DONE) *count = (size_t)number;
    return bad;
}

static bool in_mm(const char *text, size_t length) {
    return length > 2 && strncmp(text + length - 2, "mm", 2) == 0;
}

static int read_mm(const char *name, const char *text, size_t length, double *points) {
    char number[32];
    double mm;
    if (in_mm(text, length)) length -= 2;
    snprintf(number, sizeof number, "%.*s", (int)length, text);
    int bad = arg_value(name, number, JL_NUMBER, &mm);
    if (bad != EXIT_DONE) return bad;
    if (!(mm >= 0 && mm <= 150)) return fail_argument(name, text, JL_RANGE, "0 to 150 mm");
    *points = mm * POINTS_PER_MM;
    return EXIT_DONE;
}

/* "12.9mm,7mm" or one for both. With a unit behind one of them alone a decimal comma may be meant. */
static int read_pair(const char *name, const char *text, double *first, double *second) {
    if (text == NULL) return EXIT_DONE;
    const char *comma = strchr(text, ',');
    size_t length = comma == NULL ? strlen(text) : (size_t)(comma - text);
    bool several = comma != NULL && (strchr(comma + 1, ',') != NULL ||
                                     in_mm(text, length) != in_mm(comma + 1, strlen(comma + 1)));
    if (several)
        return fail_argument(name, text, JL_AMBIGUOUS, "one or two lengths, as 12.9mm,7mm");
    int bad = read_mm(name, text, length, first);
    if (comma == NULL) *second = *first;
    if (bad != EXIT_DONE || comma == NULL) return bad;
    return read_mm(name, comma + 1, strlen(comma + 1), second);
}

/* Rows that have about a height, on sheets of any size. */
static const double JAR_MM = 23, BOTTLE_MM = 55, MARGIN_MM = 10;

static int read_stock(const words *w, bool jars, label_stock *k) {
    double margin = MARGIN_MM * POINTS_PER_MM, width, height;
    *k = (label_stock){
        .columns = 2, .margin_top = margin, .margin_side = margin, .lines = w->no_lines == 0};
    int bad = paper_size(&w->paper, &k->width, &k->height);
    if (bad == 0) bad = read_pair("--margins", w->margins, &k->margin_top, &k->margin_side);
    if (bad == 0) bad = read_pair("--gaps", w->gaps, &k->gap_rows, &k->gap_columns);
    if (bad != 0) return bad;
    double about = (jars ? JAR_MM : BOTTLE_MM) * POINTS_PER_MM;
    k->rows = (size_t)fmax(1, floor((k->height - 2 * k->margin_top) / about));
    bad = read_count("--rows", w->rows, 1, ON_SHEET_MOST, &k->rows);
    if (bad == 0) bad = read_count("--columns", w->columns, 1, ON_SHEET_MOST, &k->columns);
    if (bad == 0) bad = read_count("--used", w->used, 0, k->rows * k->columns - 1, &k->used);
    if (bad != 0 || label_size(k, &width, &height)) return bad;
    return refuse("%zu rows and %zu columns leave labels of %.1f x %.1f mm; expected 5 mm at "
                  "least: fewer of them, or other --margins and --gaps",
                  k->rows, k->columns, width / POINTS_PER_MM, height / POINTS_PER_MM);
}

/* ---- What stands on them ---- */

static int read_time(const words *w, order *o) {
    jl_time time;
    if (w->time == NULL) return EXIT_DONE;
    int bad = period_read("--time", w->time, false, &time);
    if (bad == EXIT_DONE) o->date = moment_in_words(time, false);
    return bad;
}

/* "1-24" */
static int read_jars(const char *text, order *o) {
    char *end;
    const char *last = text == NULL ? NULL : strchr(text, '-');
    if (text == NULL) return EXIT_DONE;
    unsigned long first = strtoul(text, &end, 10),
                  to = last == NULL ? 0 : strtoul(last + 1, NULL, 10);
    if (last == NULL || end != last || first < 1 || to < first || to - first >= LABELS_MOST ||
        strspn(last + 1, "0123456789") != strlen(last + 1))
        return fail_argument("--jars", text, JL_FORM, "the first and the last number, as 1-24");
    o->first = first;
    o->count = to - first + 1;
    return EXIT_DONE;
}

/* As many as the run is expected to fill, where its log says so, and no fewer than it has filled. */
static const size_t JARS_USUAL = 24;

static int of_run(const words *w, jl_run *run, order *o) {
    jl_time started;
    size_t expected = 0, recorded = 0;
    if (run != NULL) {
        recorded = jl_run_next_jar(run) - 1;
        jl_run_expected(run, &expected);
        if (w->name == NULL) o->name = jl_run_title(run);
        if (w->time == NULL && jl_run_started(run, &started))
            o->date = moment_in_words(started, false);
    }
    o->first = 1;
    o->count = expected > 0 && expected <= LABELS_MOST ? expected : JARS_USUAL;
    if (recorded > o->count && recorded <= LABELS_MOST) o->count = recorded;
    o->usual = w->jars == NULL && o->count != expected && o->count != recorded;
    return read_jars(w->jars, o);
}

static int fail_no_lot(const char *path, const char *lot, const jl_book *book) {
    size_t count;
    const jl_book_lot *lots = jl_book_lots(book, &count);
    bytes names = {0};
    for (size_t i = 0; i < count; i++) bytes_print(&names, "%s%s", i > 0 ? ", " : "", lots[i].name);
    int bad = refuse("%s has no lot '%s'; expected %s%s", path, lot,
                     count > 0 ? "one of: " : "a book with bottles: none are in this one",
                     count > 0 ? names.data : "");
    bytes_free(&names);
    return bad;
}

static int of_lot(const words *w, const char *path, const char *name, const jl_book *book,
                  order *o) {
    size_t count, at = 0;
    const jl_book_lot *lots = jl_book_lots(book, &count);
    while (at < count && strcmp(lots[at].name, name) != 0) at++;
    if (at == count) return fail_no_lot(path, name, book);
    o->lot = lots[at].name;
    o->bottle_l = lots[at].bottle_l;
    o->strength_pct = jl_spirit_strength_pct(lots[at].spirit);
    if (w->time == NULL) o->date = moment_in_words(lots[at].since, false);
    if (o->name == NULL) o->name = lots[at].kind;
    o->count = lots[at].bottles;
    int bad = read_count("--count", w->count, 1, LABELS_MOST, &o->count);
    if (bad != 0 || (o->count > 0 && o->count <= LABELS_MOST)) return bad;
    return refuse("lot %s has %zu bottles; expected --count, from 1 to %d", name, o->count,
                  LABELS_MOST);
}

static int read_uncertainty(const words *w, order *o) {
    jl_settings bench;
    int bad = instruments_read(&w->with, &bench);
    if (bad != EXIT_DONE) return bad;
    o->instruments = jl_settings_to_instruments(&bench);
    if (jl_strength_standard_pct(&o->instruments, o->strength_pct, &o->strength_u_pct) != JL_OK)
        o->strength_u_pct = NAN;
    return EXIT_DONE;
}

/* ---- The labels ---- */

/* At most one decimal (Regulation (EU) No 1169/2011, annex XII), and none where it would say more
 * than is known. */
static int strength_decimals(const order *o) {
    return o->strength_u_pct >= 1 ? 0 : 1;
}

static void add_line(label *l, const char *text, double weight, bool bold, bool wraps) {
    if (text == NULL || text[0] == '\0') return;
    l->lines[l->count++] = (label_line){text, weight, bold, wraps, NULL};
}

static void add_blank(label *l, const char *text, double weight, const char *end) {
    l->lines[l->count++] = (label_line){text, weight, false, false, end};
}

static label jar_label(const words *w, const order *o, size_t at, char number[24]) {
    label l = {.number = number};
    snprintf(number, 24, "%zu", o->first + at);
    add_line(&l, o->name, 1, true, true);
    if (o->name == NULL) add_blank(&l, "run", 1, "");
    add_line(&l, o->date.text, 0.9, false, false);
    if (o->date.text[0] == '\0') add_blank(&l, "date", 0.9, "");
    add_line(&l, w->words, 0.8, false, true);
    add_blank(&l, "empty", 0.9, "g");
    return l;
}

/* Texts of a bottle's label. */
typedef struct bottle_texts {
    char strength[64], lot[128];
} bottle_texts;

static label bottle_label(const words *w, const order *o, bottle_texts *t) {
    label l = {0};
    bool litres = o->bottle_l >= 1;
    snprintf(t->strength, sizeof t->strength, "%.*f %% vol · %.6g %s", strength_decimals(o),
             o->strength_pct, litres ? o->bottle_l : 1000 * o->bottle_l, litres ? "L" : "mL");
    snprintf(t->lot, sizeof t->lot, "Lot %s%s%s", o->lot, o->date.text[0] != '\0' ? " · " : "",
             o->date.text);
    add_line(&l, o->house, 0.9, false, true);
    add_line(&l, o->name, o->name_weight, true, true);
    add_line(&l, t->strength, 1.2, true, false);
    add_line(&l, "strength and volume at 20 °C", 0.7, false, false);
    add_line(&l, t->lot, 0.9, false, false);
    add_line(&l, w->words, 0.9, false, true);
    return l;
}

/* The widest that there is, by which all have their type. */
static label widest(const words *w, const order *o, char number[24], bottle_texts *t) {
    return o->lot == NULL ? jar_label(w, o, o->count - 1, number) : bottle_label(w, o, t);
}

static int fail_type(const order *o) {
    double width, height;
    label_size(&o->stock, &width, &height);
    return refuse("the words do not fit a label of %.1f x %.1f mm in type that can be read; "
                  "expected fewer words, or fewer --rows and --columns",
                  width / POINTS_PER_MM, height / POINTS_PER_MM);
}

static void put_labels(const words *w, const order *o, double type, sheet *sheets) {
    char number[24], longest[24];
    bottle_texts t;
    snprintf(longest, sizeof longest, "%zu", o->first + o->count - 1);
    for (size_t i = 0; i < o->count; i++) {
        label l = o->lot == NULL ? jar_label(w, o, i, number) : bottle_label(w, o, &t);
        label_put(&o->stock, &l, i, type, longest, &sheets[label_sheet(&o->stock, i)]);
    }
}

/* A long name stands out less. */
static double fit_type(const words *w, order *o) {
    static const double WEIGHTS[] = {1.7, 1.3, 1};
    char number[24];
    bottle_texts t;
    double type = 0;
    for (size_t i = 0; type == 0 && i < sizeof WEIGHTS / sizeof WEIGHTS[0]; i++) {
        o->name_weight = WEIGHTS[i];
        label l = widest(w, o, number, &t);
        type = label_type(&o->stock, &l);
    }
    return type;
}

static int make(const words *w, order *o, paper_format format) {
    double type = fit_type(w, o);
    if (!(type > 0)) return fail_type(o);
    size_t count = label_sheets(&o->stock, o->count);
    sheet *sheets = need(calloc(count, sizeof *sheets));
    for (size_t i = 0; i < count; i++) {
        sheet_begin(&sheets[i], o->stock.width, o->stock.height);
        sheets[i].on_paper = true;
    }
    put_labels(w, o, type, sheets);
    int bad = paper_make(&w->paper, sheets, count, format, o->name == NULL ? "Labels" : o->name);
    for (size_t i = 0; i < count; i++) sheet_free(&sheets[i]);
    free(sheets);
    return bad;
}

/* ---- The answer ---- */

/* By which the strength on a label of spirits may be off: Regulation (EU) No 1169/2011, annex XII. */
static const double LABEL_OFF_PCT = 0.3;

static void show_strength(show *s, const order *o) {
    double u = JL_COVERAGE_K * o->strength_u_pct;
    show_number(s, "strength_pct", "Strength at 20 °C", o->strength_pct,
                EXACT + strength_decimals(o), "% vol");
    show_number(s, "strength_expanded_pct", isnan(u) ? NULL : "  ± (k = 2)", u, EXACT + 2, "% vol");
    show_number(s, "bottle_l", "Bottle", o->bottle_l, EXACT + 3, "L");
    if (!(u <= LABEL_OFF_PCT))
        show_warning(
            s,
            "Read with these instruments, the strength is known to ±%.2f %% vol, more than "
            "the ±%.1f %% vol by which a label of spirits may be off in the EU (Regulation "
            "(EU) No 1169/2011, annex XII): have it measured better.",
            u, LABEL_OFF_PCT);
    assume_limits(s, &o->instruments, JL_BY_ALCOHOLOMETER);
    assume_limits(s, &o->instruments, JL_BY_THERMOMETER);
    show_caution(s, "What a label must show is for your authority to say: ask it.");
}

/* What no option said. */
static void assume_sheet(show *s, const words *w, const order *o) {
    const label_stock *k = &o->stock;
    bytes b = {0};
    if (o->usual) bytes_print(&b, ", %zu jars", o->count);
    if (w->paper.paper == NULL) bytes_print(&b, ", paper a4");
    if (w->rows == NULL) bytes_print(&b, ", %zu row%s", k->rows, k->rows == 1 ? "" : "s");
    if (w->columns == NULL) bytes_print(&b, ", %zu columns", k->columns);
    if (w->margins == NULL) bytes_print(&b, ", margins %g mm", MARGIN_MM);
    if (w->gaps == NULL) bytes_print(&b, ", no gaps");
    if (b.count > 0) show_assumption(s, "Default: %s.", b.data + strlen(", "));
    bytes_free(&b);
}

static int answer(const words *w, const order *o) {
    double width, height;
    char size[64];
    show *s = show_open(w->json != 0);
    label_size(&o->stock, &width, &height);
    snprintf(size, sizeof size, "%.1f x %.1f mm", width / POINTS_PER_MM, height / POINTS_PER_MM);
    show_number(s, "labels", "Labels", (double)o->count, EXACT, "");
    show_number(s, "sheets", "Sheets", (double)label_sheets(&o->stock, o->count), EXACT, "");
    show_text(s, NULL, "Each", size);
    show_number(s, "width_mm", NULL, width / POINTS_PER_MM, 3, "mm");
    show_number(s, "height_mm", NULL, height / POINTS_PER_MM, 3, "mm");
    assume_sheet(s, w, o);
    if (o->lot != NULL) {
        show_text(s, "lot", "Lot", o->lot);
        show_strength(s, o);
    }
    show_written(s, &w->paper.file);
    return show_close(s, EXIT_DONE);
}

static int finish(const words *w, order *o) {
    static const unsigned ALLOWED = 1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG;
    paper_format format;
    int bad = read_stock(w, o->lot == NULL, &o->stock);
    if (bad == 0 && w->paper.file.path != NULL) {
        bad = paper_format_of(w->paper.file.path, ALLOWED, &format);
        if (bad == 0) bad = make(w, o, format);
    }
    return bad == 0 ? answer(w, o) : bad;
}

static int label_jars(const words *w, const char *path, order *o) {
    jl_run *run = NULL;
    if (w->count != NULL)
        return refuse("--count belongs to the bottles of a lot; expected --jars 1-24");
    int bad = path == NULL ? EXIT_DONE : run_read_log(path, &run);
    if (bad == 0) bad = of_run(w, run, o);
    if (bad == 0) bad = finish(w, o);
    if (run != NULL) jl_run_free(run);
    return bad;
}

static int label_bottles(const words *w, const char *path, const char *lot, order *o) {
    jl_book_file *book;
    if (w->jars != NULL) return refuse("--jars belongs to a run; expected --count for a lot");
    int bad = book_open_to_read(path, &book);
    if (bad != 0) return bad;
    bad = of_lot(w, path, lot, jl_book_in(book), o);
    if (bad == 0) bad = read_uncertainty(w, o);
    if (bad == 0) bad = bench_house(&w->with, &o->house);
    if (bad == 0) bad = finish(w, o);
    jl_book_close(book);
    return bad;
}

/* The last ":lot:" parts a book from its lot. */
static int label_of(words *w, const char *source) {
    static const char LOT[] = ":lot:";
    order o = {.name = w->name};
    char *path = source == NULL ? NULL : need(strdup(source)), *lot = NULL;
    for (char *at = path; at != NULL && (at = strstr(at, LOT)) != NULL; at++) lot = at;
    int bad = read_time(w, &o);
    if (lot != NULL) {
        *lot = '\0';
        w->with.log = path;
    }
    if (bad == 0 && lot == NULL && path != NULL && file_kind_of(path) == FILE_BOOK)
        bad =
            fail(EXIT_DATA, "%s is a book; expected a run log, or a lot of the book, as %s%s2026-1",
                 path, path, LOT);
    if (bad == 0)
        bad = lot == NULL ? label_jars(w, path, &o) : label_bottles(w, path, lot + strlen(LOT), &o);
    free(path);
    return bad;
}

/* A lot behind its book and a blank is what it seems to be. */
static int refuse_several(const args *a) {
    bool lot = a->count == 2 && jl_book_is_lot(a->words[1]);
    return refuse("expected one run log, as run.csv, or one lot, as %s:%s",
                  lot ? a->words[0] : "house.csv", lot ? a->words[1] : "lot:2026-1");
}

int command_label(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("jars", &w.jars, "FIRST-LAST", "jars: their numbers (what is expected, or 1-24)"),
        OPTION("count", &w.count, "N", "bottles: how many labels (as many as the lot has)"),
        OPTION("name", &w.name, "TEXT", "the run's name, or the spirit's (what the file has)"),
        OPTION("time", &w.time, "TIME", "the day on them (what the file has)"),
        OPTION("words", &w.words, "TEXT", "words of your own"),
        OPTION("rows", &w.rows, "N", "labels below each other on a sheet"),
        OPTION("columns", &w.columns, "N", "labels beside each other (2)"),
        OPTION("margins", &w.margins, "MM,MM", "above and below, and at both sides (10mm)"),
        OPTION("gaps", &w.gaps, "MM,MM", "between rows, and between columns (0mm)"),
        OPTION("used", &w.used, "N", "labels of the first sheet that are gone (0)"),
        FLAG("no-lines", &w.no_lines, "no lines to cut along"),
        BENCH_OPTION(w.with),
        PAPER_OPTIONS(w.paper, "labels.pdf, .svg or .png"),
        JSON_LAST(&w.json),
    };
    args a;
    if (args_read(&a, argc, argv, table, "[RUN.csv|BOOK.csv:lot:LOT]",
                  "Strips for the jars of a run, or labels for the bottles of a lot"))
        a.exit_status = a.count <= 1 ? label_of(&w, a.words[0]) : refuse_several(&a);
    return args_close(&a);
}
