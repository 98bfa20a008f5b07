/* card: tables for the wall.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/card.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"

#include <stdio.h>
#include <string.h>

/* Which options belong to which card: a set of 1 << card. */
typedef enum card_kind { CORRECTION, DILUTION, BOIL, CARDS } card_kind;

static const struct {
    const char *name;
    card_make *make;
} KINDS[CARDS] = {
    {"correction", card_correction}, {"dilution", card_dilution}, {"boil", card_boil}};

static int refuse_others(const card_words *w, card_kind kind) {
    const struct {
        const char *name, *text;
        unsigned cards;
    } OPTIONS[] = {
        {"--from", w->from, 1 << CORRECTION},
        {"--calibrated", w->instrument.calibrated, 1 << CORRECTION},
        {"--glass", w->instrument.glass, 1 << CORRECTION},
        {"--reading-correction", w->instrument.reading_correction, 1 << CORRECTION},
        {"--thermometer-correction", w->instrument.thermometer_correction, 1 << CORRECTION},
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
                        OPTIONS[i].name, KINDS[kind].name);
    return EXIT_DONE;
}

static int put_on_paper(const paper_options *o, const card *c, paper_format format) {
    double width, height;
    bytes b = {0};
    int exit_status = EXIT_DONE;
    if (format == PAPER_TEXT || format == PAPER_CSV) {
        format == PAPER_TEXT ? card_text(c, &b) : card_csv(c, &b);
        exit_status = paper_write(o, &b);
        bytes_free(&b);
        return exit_status;
    }
    sheet s;
    exit_status = paper_size(o, &width, &height);
    if (exit_status != EXIT_DONE) return exit_status;
    card_page(c, width, height, &s);
    exit_status = paper_make(o, &s, format, c->title);
    sheet_free(&s);
    return exit_status;
}

static int answer(const card_words *w, const paper_options *o, card_kind kind, bool json) {
    static const unsigned ALLOWED =
        1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG | 1 << PAPER_TEXT | 1 << PAPER_CSV;
    paper_format format = PAPER_TEXT;
    card c = {0};
    int exit_status = refuse_others(w, kind);
    if (exit_status == EXIT_DONE && o->output != NULL)
        exit_status = paper_format_of(o->output, ALLOWED, &format);
    if (exit_status == EXIT_DONE) exit_status = KINDS[kind].make(w, &c);
    if (exit_status == EXIT_DONE && o->output != NULL) exit_status = put_on_paper(o, &c, format);
    if (exit_status == EXIT_DONE && json) exit_status = card_json(&c);
    if (exit_status == EXIT_DONE && o->output == NULL && !json) {
        bytes b = {0};
        card_text(&c, &b);
        exit_status = paper_print(&b);
        bytes_free(&b);
    }
    card_free(&c);
    return exit_status;
}

static int answer_kind(const card_words *w, const paper_options *o, const char *name, bool json) {
    for (int i = 0; name != NULL && i < CARDS; i++)
        if (strcmp(name, KINDS[i].name) == 0) return answer(w, o, (card_kind)i, json);
    return fail(EXIT_USAGE, "expected one card: correction, dilution or boil");
}

int command_card(int argc, const char **argv) {
    card_words w = {0};
    paper_options o = {0};
    int json = 0;
    const struct poptOption table[] = {
        OPTION("from", &w.from, "TEMP", "correction: first temperature, 10C or 50F"),
        OPTION("to", &w.to, "TEMP|STRENGTH",
               "correction: last temperature; dilution: the strength wanted, at 20 °C"),
        OPTION("low", &w.low, "STRENGTH", "lowest reading (35%), or strength"),
        OPTION("high", &w.high, "STRENGTH", "highest reading (90%), or strength"),
        OPTION("step", &w.step, "STRENGTH", "from one to the next"),
        INSTRUMENT_OPTIONS(w.instrument),
        OPTION("bottle", &w.bottle, "VOLUME", "dilution: what makes one bottle of this volume"),
        OPTION("water-temp", &w.water_temp, "TEMP", "dilution: of the water, for its volume (20C)"),
        OPTION("altitude", &w.altitude, "HEIGHT", "boil: 650m or 2100ft, for the air pressure"),
        OPTION("pressure", &w.pressure, "PRESSURE", "boil: 98.5kPa, 985hPa or 740mmHg"),
        PAPER_OPTIONS(o, "card.pdf, .png, .svg, .txt or .csv"),
        FLAG("json", &json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "correction|dilution|boil",
                  "A table for the wall, one page: correction --from 10C --to 30C -o card.pdf"))
        a.exit_status = answer_kind(&w, &o, a.count == 1 ? a.rest[0] : NULL, json != 0);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
