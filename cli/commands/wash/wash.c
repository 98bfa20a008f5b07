/* wash: how strong a wash is, or what can be said of it, and whether it has finished.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/wash/wash.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/wash/wash_log.h"
#include "input/factfile.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- what goes on to the charge ---- */

static int check_write(const wash_words *words, const wash *w) {
    if (words->title != NULL && words->write == NULL)
        return fail(EXIT_USAGE, "--title goes with --write, as --write wash.csv");
    if (words->write == NULL) return 0;
    if (words->volume == NULL)
        return fail(EXIT_USAGE, "--write needs the volume of the wash; expected --volume, as "
                                "--volume 25l");
    if (isnan(wash_strength(w, NULL)))
        return fail(EXIT_NO,
                    "--write %s: a lower bound is no strength to go on with; nothing was "
                    "written",
                    words->write);
    return 0;
}

static int write_wash(const wash_words *words, const wash *w) {
    const char *way;
    char title[96], origin[160];
    double strength_pct = wash_strength(w, &way);
    snprintf(title, sizeof title, "Wash of %g l, %.1f %% vol", w->volume_l, strength_pct);
    snprintf(origin, sizeof origin,
             "Written by jarline wash: volume and strength at 20 °C, from %s.", way);
    return write_charge(words->write, &(charge_facts){words->title == NULL ? title : words->title,
                                                      origin, w->volume_l, strength_pct});
}

/* ---- the answer ---- */

static int answer_log(const wash_words *words, wash *w, wash_log *log, uncertainty *d) {
    int bad = wash_log_read(words, w, log);
    if (bad == 0) bad = wash_read(words, w);
    if (bad == 0) bad = check_write(words, w);
    if (bad != 0) return bad;
    bool finished = log->ferment.state == JL_FINISHED;
    if (words->write != NULL && finished) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    wash_log_show(s, log);
    show_assumption(s, "%s",
                    words->og == NULL
                        ? "The first reading of the log is taken for the original gravity, the "
                          "last for the final "
                          "one."
                        : "The last reading of the log is taken for the final gravity.");
    wash_show(s, w);
    bad = wash_uncertainty(s, d, w, words->division != NULL);
    if (bad != 0) return show_abandon(s, bad);
    if (words->write != NULL && finished) show_note(s, "Written: %s.", words->write);
    bad = show_close(s, finished ? EXIT_DONE : EXIT_NO);
    if (words->write != NULL && !finished)
        say("%s was not written: the wash has not finished", words->write);
    return bad;
}

static int answer_wash(const wash_words *words, wash *w, uncertainty *d) {
    if (words->span != NULL || words->expect_fg != NULL || words->now != NULL)
        return fail(EXIT_USAGE, "--span, --expect-fg and --now go with --log");
    int bad = wash_read(words, w);
    if (bad == 0) bad = check_write(words, w);
    if (bad == 0 && words->write != NULL) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    wash_show(s, w);
    bad = wash_uncertainty(s, d, w, words->division != NULL);
    if (bad != 0) return show_abandon(s, bad);
    if (words->write != NULL) show_note(s, "Written: %s.", words->write);
    return show_close(s, EXIT_DONE);
}

static int answer(const wash_words *words, uncertainty *d) {
    wash w = {0};
    int bad = wash_read_hydrometer(words, &w);
    if (bad != 0) return bad;
    if (words->log == NULL) return answer_wash(words, &w, d);
    wash_log log;
    bad = answer_log(words, &w, &log, d);
    wash_log_free(&log);
    return bad;
}

int command_wash(int argc, const char **argv) {
    wash_words w = {0};
    const struct poptOption table[] = {
        OPTION("og", &w.og, "GRAVITY", "original gravity, as 1.080 or 19.3P"),
        OPTION("fg", &w.fg, "GRAVITY", "final gravity; alone it gives only a lower bound"),
        OPTION("temp", &w.temp, "TEMP", "of the wash at both readings"),
        OPTION("og-temp", &w.og_temp, "TEMP", "at the original gravity's, instead"),
        OPTION("fg-temp", &w.fg_temp, "TEMP", "at the final gravity's, instead"),
        OPTION("kind", &w.kind, "malt|sugar", "what was fermented, for the rule's bias"),
        OPTION("volume", &w.volume, "VOLUME", "of the wash, at 20 °C"),
        OPTION("calibrated", &w.calibrated, "20C|60F|15C", "temperature of the hydrometer's scale"),
        OPTION("glass", &w.glass, "PER_C", "cubic expansion of its glass (25e-6 per °C)"),
        OPTION("division", &w.division, "GRAVITY", "of its scale (0.001)"),
        OPTION("sugar", &w.sugar, "MASS", "sugar that went in; with --volume"),
        OPTION("sugar-kind", &w.sugar_kind, "KIND", "sucrose, glucose or extract (sucrose)"),
        OPTION("yield", &w.yield, "SHARE", "of theory (92%; of extract 65%)"),
        OPTION("distilled", &w.distilled, "VOLUME", "sample that was distilled"),
        OPTION("made-up-to", &w.made_up_to, "VOLUME", "its distillate and water (the same)"),
        OPTION("reading", &w.reading, "READING", "of the alcoholometer in that"),
        OPTION("at", &w.at, "TEMP", "temperature of the distillate at the reading"),
        OPTION("reading-division", &w.reading_division, "PCT", "of the alcoholometer (1%)"),
        OPTION("reading-calibrated", &w.alcoholometer.calibrated, "20C|60F|15C",
               "temperature of the alcoholometer's scale"),
        OPTION("reading-correction", &w.alcoholometer.reading_correction, "PCT",
               "its certificate's correction, added to the reading"),
        OPTION("thermometer-correction", &w.alcoholometer.thermometer_correction, "DEGREES",
               "the thermometer's, added to --at"),
        OPTION("log", &w.log, "FILE", "dated gravities: has it finished"),
        OPTION("span", &w.span, "TIME", "how long the gravity must stand still (3d)"),
        OPTION("expect-fg", &w.expect_fg, "GRAVITY", "final gravity to be reached (1.000)"),
        OPTION("now", &w.now, "TIME", "the moment to judge the waits by (the clock)"),
        OPTION("write", &w.write, "FILE", "volume and strength, for charge and forecast"),
        OPTION("title", &w.title, "TEXT", "of that file"),
        OPTION("instrument", &w.instrument, "FILE", "facts of the bench's instruments"),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    uncertainty *d = NULL;
    if (args_read(&a, argc, argv, table, "WAYS",
                  "The strength of a wash: --og 1.080 --fg 0.992, --sugar 6kg --volume 25l,\n"
                  "--distilled 200ml --reading 8.3% --at 21C, or --log GRAVITY.csv"))
        a.exit_status = a.count == 0 ? uncertainty_open(&w.uncertainties, w.instrument, &d)
                                     : fail(EXIT_USAGE,
                                            "'%s' is not an option; expected --og 1.080 "
                                            "--fg 0.992 or another way",
                                            a.rest[0]);
    if (a.exit_status == 0 && a.rest != NULL) a.exit_status = answer(&w, d);
    uncertainty_close(d);
    int exit_status = a.exit_status;
    args_close(&a);
    return exit_status;
}
