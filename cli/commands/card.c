/* card: tables for the wall.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/card/boil.h"
#include "commands/card/correction.h"
#include "commands/card/dilution.h"
#include "input/args.h"
#include "picture/paper.h"

#include <stdio.h>
#include <string.h>

/* Which options belong to which card: a set of 1 << card. */
typedef enum card_kind { CORRECTION, DILUTION, BOIL, CARDS } card_kind;

static const char *const KINDS[CARDS] = {"correction", "dilution", "boil"};

/* Texts of the options; NULL when not given. */
typedef struct words {
    char *from, *to, *bottle, *water_temp, *altitude, *pressure;
    card_span_words span;
    setting_options instrument;
    paper_options paper;
    int json;
} words;

static int refuse_others(const words *w, card_kind kind) {
    const struct {
        const char *name, *text;
        unsigned cards;
    } OPTIONS[] = {
        {"--from", w->from, 1 << CORRECTION},
        {"--calibrated", w->instrument.words[JL_KEY_CALIBRATED], 1 << CORRECTION},
        {"--glass", w->instrument.words[JL_KEY_GLASS], 1 << CORRECTION},
        {"--reading-correction", w->instrument.words[JL_KEY_READING_CORRECTION], 1 << CORRECTION},
        {"--thermometer-correction", w->instrument.words[JL_KEY_THERMOMETER_CORRECTION],
         1 << CORRECTION},
        {"--bottle", w->bottle, 1 << DILUTION},
        {"--water-temp", w->water_temp, 1 << DILUTION},
        {"--to", w->to, 1 << CORRECTION | 1 << DILUTION},
        {"--altitude", w->altitude, 1 << BOIL},
        {"--pressure", w->pressure, 1 << BOIL},
    };
    for (size_t i = 0; i < sizeof OPTIONS / sizeof OPTIONS[0]; i++)
        if (OPTIONS[i].text != NULL && (OPTIONS[i].cards & 1U << kind) == 0)
            return fail(EXIT_USAGE,
                        "%s does not belong to a %s card; 'jarline card --help' lists "
                        "what does",
                        OPTIONS[i].name, KINDS[kind]);
    return EXIT_DONE;
}

static int make(const words *w, card_kind kind, card *c) {
    if (kind == CORRECTION)
        return card_correction(&(correction_words){w->from, w->to, w->span, w->instrument}, c);
    if (kind == DILUTION)
        return card_dilution(&(dilution_words){w->to, w->span, w->bottle, w->water_temp}, c);
    return card_boil(&(boil_words){w->span, w->altitude, w->pressure}, c);
}

/* to: a file, or NULL. */
static int put_letters(card *c, paper_format format, const paper_options *to) {
    bytes b = {0};
    FILE *text = need(open_memstream(&b.data, &b.count));
    format == PAPER_CSV ? table_csv(c->table, text) : card_text(c, text);
    if (fclose(text) != 0) need(NULL);
    int exit_status = to != NULL ? paper_write(to, &b) : paper_print(&b);
    bytes_free(&b);
    return exit_status;
}

static int put_on_paper(const card *c, paper_format format, const paper_options *to) {
    double width, height;
    sheet s;
    int exit_status = paper_size(to, &width, &height);
    if (exit_status != EXIT_DONE) return exit_status;
    card_page(c, width, height, &s);
    exit_status = paper_make(to, &s, format, c->title);
    sheet_free(&s);
    return exit_status;
}

static int put(const words *w, paper_format format, card *c) {
    const paper_options *to = w->paper.output == NULL ? NULL : &w->paper;
    int exit_status = EXIT_DONE;
    if (to != NULL)
        exit_status = format == PAPER_TEXT || format == PAPER_CSV ? put_letters(c, format, to)
                                                                  : put_on_paper(c, format, to);
    if (exit_status == EXIT_DONE && w->json) return card_json(c);
    return exit_status == EXIT_DONE && to == NULL ? put_letters(c, PAPER_TEXT, NULL) : exit_status;
}

static int answer(const words *w, card_kind kind) {
    static const unsigned ALLOWED =
        1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG | 1 << PAPER_TEXT | 1 << PAPER_CSV;
    paper_format format = PAPER_TEXT;
    card c = {0};
    int bad = refuse_others(w, kind);
    if (bad == 0 && w->paper.output != NULL)
        bad = paper_format_of(w->paper.output, ALLOWED, &format);
    if (bad == 0) bad = make(w, kind, &c);
    if (bad == 0) bad = put(w, format, &c);
    card_free(&c);
    return bad;
}

static int answer_kind(const words *w, const char *name) {
    for (int i = 0; name != NULL && i < CARDS; i++)
        if (strcmp(name, KINDS[i]) == 0) return answer(w, (card_kind)i);
    return fail(EXIT_USAGE, "expected one card: correction, dilution or boil");
}

int command_card(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("from", &w.from, "TEMP", "correction: first temperature, 10C or 50F"),
        OPTION("to", &w.to, "TEMP|STRENGTH",
               "correction: last temperature; dilution: the strength wanted, at 20 °C"),
        OPTION("low", &w.span.low, "STRENGTH", "lowest reading (35%), or strength"),
        OPTION("high", &w.span.high, "STRENGTH", "highest reading (90%), or strength"),
        OPTION("step", &w.span.step, "STRENGTH", "from one to the next"),
        INSTRUMENT_OPTIONS(w.instrument),
        OPTION("bottle", &w.bottle, "VOLUME", "dilution: what makes one bottle of this volume"),
        OPTION("water-temp", &w.water_temp, "TEMP", "dilution: of the water, for its volume (20C)"),
        OPTION("altitude", &w.altitude, "HEIGHT", "boil: 650m or 2100ft, for the air pressure"),
        OPTION("pressure", &w.pressure, "PRESSURE", "boil: 98.5kPa, 985hPa or 740mmHg"),
        PAPER_OPTIONS(w.paper, "card.pdf, .png, .svg, .txt or .csv"),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "correction|dilution|boil",
                  "A table for the wall, one page: correction --from 10C --to 30C -o card.pdf"))
        a.exit_status = answer_kind(&w, a.count == 1 ? a.rest[0] : NULL);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
