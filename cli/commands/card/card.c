/* card: tables for the wall.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/card/page.h"
#include "commands/card/tables.h"
#include "input/args.h"
#include "input/settings.h"
#include "picture/paper.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct words {
    card_words card;
    paper_options paper;
    int json;
} words;

/* Which options belong to which card: a set of 1 << card. */
static int refuse_others(const card_words *w, size_t kind) {
    enum { CORRECTION = 1 << CARD_CORRECTION, DILUTION = 1 << CARD_DILUTION };
    enum { HEAD = 1 << CARD_HEAD, AIR = 1 << CARD_BOIL | HEAD };
    const struct {
        const char *name, *text;
        unsigned cards;
    } OPTIONS[] = {
        {"--temps", w->temps, CORRECTION | HEAD},
        {"--alcoholometer-scale", w->with.words[JL_KEY_CALIBRATED], CORRECTION},
        {"--alcoholometer-glass", w->with.words[JL_KEY_GLASS], CORRECTION},
        {"--reading-correction", w->with.words[JL_KEY_READING_CORRECTION], CORRECTION},
        {"--thermometer-correction", w->with.words[JL_KEY_THERMOMETER_CORRECTION], CORRECTION},
        {"--bottle", w->bottle, DILUTION},
        {"--water-temp", w->water_temp, DILUTION},
        {"--to", w->to, DILUTION},
        {"--low", w->span.low, ~(unsigned)HEAD},
        {"--high", w->span.high, ~(unsigned)HEAD},
        {"--step", w->span.step, ~(unsigned)HEAD},
        {"--altitude", w->with.words[JL_KEY_ALTITUDE], AIR},
        {"--pressure", w->with.words[JL_KEY_PRESSURE], AIR},
    };
    for (size_t i = 0; i < sizeof OPTIONS / sizeof OPTIONS[0]; i++)
        if (OPTIONS[i].text != NULL && (OPTIONS[i].cards & 1U << kind) == 0)
            return fail(EXIT_USAGE,
                        "%s does not belong to a %s card; 'jarline card --help' lists "
                        "what does",
                        OPTIONS[i].name, CARD_KINDS[kind].name);
    return EXIT_DONE;
}

static int make(const card_words *w, size_t kind, card *c) {
    jl_settings settings;
    setting_options with = w->with;
    with.any_still = true;
    jl_settings_begin(&settings);
    int bad = settings_read(&with, CARD_KINDS[kind].asks, &settings);
    if (bad != 0) return bad;
    phrase_sources(&settings);
    return CARD_KINDS[kind].fill(w, &settings, c);
}

/* to: a file, or NULL. */
static int put_letters(card *c, paper_format format, const paper_options *to) {
    bytes b = {0};
    FILE *text = need(open_memstream(&b.data, &b.count));
    format == PAPER_CSV ? table_csv(c->table, text) : card_text(c, text);
    if (fclose(text) != 0) need(NULL);
    int exit_status = to != NULL ? output_write(&to->file, b.data, b.count) : paper_print(&b);
    bytes_free(&b);
    return exit_status;
}

static int put_on_paper(const card *c, paper_format format, const paper_options *to) {
    double width, height;
    sheet pages[CARD_PAGES_MOST];
    int exit_status = paper_size(to, &width, &height);
    if (exit_status != EXIT_DONE) return exit_status;
    size_t count = card_pages(c, width, height, pages);
    exit_status = paper_make(to, pages, count, format, c->title);
    for (size_t i = 0; i < count; i++) sheet_free(&pages[i]);
    return exit_status;
}

static int put(const words *w, paper_format format, card *c) {
    const paper_options *to = w->paper.file.path == NULL ? NULL : &w->paper;
    int exit_status = EXIT_DONE;
    if (to != NULL)
        exit_status = format == PAPER_TEXT || format == PAPER_CSV ? put_letters(c, format, to)
                                                                  : put_on_paper(c, format, to);
    if (exit_status != EXIT_DONE) return exit_status;
    if (w->json) return card_json(c);
    return to == NULL ? put_letters(c, PAPER_TEXT, NULL) : say_written(&to->file);
}

static int answer(const words *w, size_t kind) {
    static const unsigned ALLOWED =
        1 << PAPER_PDF | 1 << PAPER_PNG | 1 << PAPER_SVG | 1 << PAPER_TEXT | 1 << PAPER_CSV;
    paper_format format = PAPER_TEXT;
    card c = {0};
    int bad = refuse_others(&w->card, kind);
    if (bad == 0 && w->paper.file.path != NULL)
        bad = paper_format_of(w->paper.file.path, ALLOWED, &format);
    if (bad == 0) bad = make(&w->card, kind, &c);
    if (bad == 0) bad = put(w, format, &c);
    card_free(&c);
    return bad;
}

static int answer_kind(const words *w, const char *name) {
    for (size_t i = 0; name != NULL && i < CARDS; i++)
        if (strcmp(name, CARD_KINDS[i].name) == 0) return answer(w, i);
    return fail(EXIT_USAGE, "expected one card: correction, dilution, boil or head");
}

int command_card(int argc, const char **argv) {
    words w = {0};
    card_words *c = &w.card;
    const struct poptOption table[] = {
        OPTION("temps", &c->temps, "TEMP-TEMP",
               "correction, head: first and last, 10C-30C or 50F-90F"),
        OPTION("to", &c->to, "STRENGTH", "dilution: the strength wanted, at 20 °C"),
        OPTION("low", &c->span.low, "STRENGTH", "lowest reading (35%), or strength"),
        OPTION("high", &c->span.high, "STRENGTH", "highest reading (90%), or strength"),
        OPTION("step", &c->span.step, "STRENGTH", "from one to the next: 5%, 2.5% or 1%"),
        FLAG("proof", &c->proof, "in US proof at 60 °F, and in °F"),
        BENCH_OPTION(c->with),
        INSTRUMENT_OPTIONS(c->with),
        OPTION("bottle", &c->bottle, "VOLUME", "dilution: what makes one bottle of this volume"),
        OPTION("water-temp", &c->water_temp, "TEMP",
               "dilution: of the water, for its volume (20C)"),
        OPTION("altitude", &c->with.words[JL_KEY_ALTITUDE], "ALTITUDE",
               "boil, head: 650m or 2100ft, for the air pressure"),
        OPTION("pressure", &c->with.words[JL_KEY_PRESSURE], "PRESSURE",
               "boil, head: 98.5kPa, 985hPa or 740mmHg"),
        PAPER_OPTIONS(w.paper, "card.pdf, .png, .svg, .txt or .csv"),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    if (args_read(&a, argc, argv, table, "correction|dilution|boil|head",
                  "A table for the wall: correction --temps 10C-30C -o card.pdf"))
        a.exit_status = answer_kind(&w, a.count == 1 ? a.rest[0] : NULL);
    return args_close(&a);
}
