/* wash: how strong a wash is, or what can be said of it, and whether it has finished.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/next.h"
#include "answer/output.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/wash/log.h"
#include "commands/wash/ways.h"
#include "input/factfile.h"
#include "input/settings.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The words of the command line. */
typedef struct wash_words {
    char *og, *fg, *og_temp, *fg_temp, *temp, *fermented, *volume;
    char *calibrated, *glass, *division;
    char *sugar, *sugar_kind, *yield;
    char *distilled, *made_up_to, *reading, *at, *reading_division;
    setting_options alcoholometer;
    wash_log_words log;
    output_options output;
    char *title;
    char *instrument;
    uncertainty_options uncertainties;
    int json;
} wash_words;

/* ---- the hydrometer and its gravities ---- */

/* A division in SG, also when it was given in °P. */
static int read_division(const char *text, double *division) {
    jl_quantity q;
    double from, to;
    if (text == NULL) return 0;
    int bad = arg_quantity("--hydrometer-division", text, JL_GRAVITY, &q);
    if (bad != 0) return bad;
    if (q.unit == JL_UNIT_PLATO && jl_gravity_from_extract(0, &from) == JL_OK &&
        jl_gravity_from_extract(q.value, &to) == JL_OK)
        q.value = to - from;
    else if (q.unit == JL_UNIT_PLATO)
        q.value = NAN;
    *division = q.value;
    if (*division > 0 && *division <= 0.02) return 0;
    return fail_argument("--hydrometer-division", text, JL_RANGE,
                         "above 0, to 0.02 (5P), as 0.001 or 0.2P");
}

static int read_hydrometer(const wash_words *words, jl_hydrometer *h) {
    int bad = arg_value("--hydrometer-scale", words->calibrated, JL_TEMPERATURE, &h->calibrated_c);
    if (bad == 0) bad = arg_value("--hydrometer-glass", words->glass, JL_NUMBER, &h->glass_per_c);
    if (bad == 0) bad = read_division(words->division, &h->division_sg);
    if (bad != 0) return bad;
    if (!(h->calibrated_c >= 0 && h->calibrated_c <= 40))
        return fail_argument("--hydrometer-scale", words->calibrated, JL_RANGE, "20C, 60F or 15C");
    if (!(h->glass_per_c >= 0 && h->glass_per_c <= 1e-4))
        return fail_argument("--hydrometer-glass", words->glass, JL_RANGE,
                             "0 to 1e-4 per °C, as 25e-6");
    return 0;
}

/* Without a temperature it was read at the hydrometer's own. */
static int read_gravity(const char *name, const char *text, const char *own_name,
                        const char *own_temp, const wash_words *words, jl_wash_gravity *g) {
    if (text == NULL) return 0;
    bool own = own_temp != NULL;
    g->known = true;
    int bad = arg_quantity(name, text, JL_GRAVITY, &g->reading);
    if (bad == 0)
        bad = arg_value(own ? own_name : "--temp", own ? own_temp : words->temp, JL_TEMPERATURE,
                        &g->temp_c);
    if (bad == 0 && !(g->temp_c >= 0 && g->temp_c <= 40))
        bad = fail_argument(own ? own_name : "--temp", own ? own_temp : words->temp, JL_RANGE,
                            "0 to 40 °C (32 to 104 °F)");
    return bad;
}

static int read_gravities(const wash_words *words, wash_answer *w) {
    jl_wash *wash = &w->wash;
    if (words->og != NULL) wash->original.temp_c = wash->hydrometer.calibrated_c;
    if (words->fg != NULL) wash->final.temp_c = wash->hydrometer.calibrated_c;
    int bad = read_gravity("--og", words->og, "--og-temp", words->og_temp, words, &wash->original);
    if (bad == 0)
        bad = read_gravity("--fg", words->fg, "--fg-temp", words->fg_temp, words, &wash->final);
    if (bad != 0) return bad;
    if (words->og != NULL) w->original_temp_stated = words->og_temp != NULL || words->temp != NULL;
    if (words->fg != NULL) w->final_temp_stated = words->fg_temp != NULL || words->temp != NULL;
    if (words->og_temp != NULL && words->og == NULL)
        return fail(EXIT_USAGE, "--og-temp goes with --og");
    if (words->fg_temp != NULL && words->fg == NULL)
        return fail(EXIT_USAGE, "--fg-temp goes with --fg");
    if (words->temp != NULL && words->og == NULL && words->fg == NULL)
        return fail(EXIT_USAGE, "--temp goes with --og or --fg; a distilled sample takes --at");
    return 0;
}

/* ---- what else is known ---- */

static wash_kind kind_of(jl_sugar sugar) {
    return sugar == JL_EXTRACT ? KIND_MALT : KIND_SUGAR;
}

static int read_kind(const wash_words *words, wash_answer *w) {
    const char *text = words->fermented;
    if (text == NULL)
        w->kind = w->wash.has_sugar ? kind_of(w->wash.sugar) : KIND_UNSTATED;
    else if (strcmp(text, "malt") == 0)
        w->kind = KIND_MALT;
    else if (strcmp(text, "sugar") == 0)
        w->kind = KIND_SUGAR;
    else
        return fail_argument("--fermented", text, JL_FORM, "malt or sugar");
    return 0;
}

static int read_volume(const wash_words *words, wash_answer *w) {
    int bad = arg_value("--volume", words->volume, JL_VOLUME, &w->wash.volume_l);
    if (bad == 0 && words->volume != NULL && !(w->wash.volume_l > 0))
        bad = fail_argument("--volume", words->volume, JL_RANGE, "a volume above 0, as 25L");
    return bad;
}

static int read_sugar_kind(const wash_words *words, wash_answer *w) {
    static const char *const NAMES[] = {"sucrose", "glucose", "extract"};
    const char *text = words->sugar_kind == NULL ? NAMES[0] : words->sugar_kind;
    for (int i = 0; i < 3; i++)
        if (strcmp(text, NAMES[i]) == 0) {
            w->wash.sugar = (jl_sugar)i;
            return 0;
        }
    return fail_argument("--sugar-kind", text, JL_FORM, "sucrose, glucose or extract");
}

static int read_sugar(const wash_words *words, wash_answer *w) {
    if (words->sugar == NULL && (words->sugar_kind != NULL || words->yield != NULL))
        return fail(EXIT_USAGE, "--sugar-kind and --yield go with --sugar, as --sugar 6kg");
    if (words->sugar == NULL) return 0;
    if (words->volume == NULL)
        return fail(EXIT_USAGE, "--sugar needs the volume of the wash made up with it; expected "
                                "--volume, as --volume 25L");
    int bad = arg_value("--sugar", words->sugar, JL_MASS, &w->wash.sugar_kg);
    if (bad == 0) bad = read_sugar_kind(words, w);
    if (bad != 0) return bad;
    w->wash.yield_share = jl_sugar_usual_yield_share(w->wash.sugar);
    bad = arg_value("--yield", words->yield, JL_SHARE, &w->wash.yield_share);
    if (bad != 0) return bad;
    if (!(w->wash.yield_share > 0))
        return fail_argument("--yield", words->yield, JL_RANGE, "above 0, to 100%, as 92%");
    w->wash.has_sugar = true;
    return 0;
}

static int read_sample_measured(const wash_words *words, jl_wash *w) {
    if (words->reading == NULL || words->at == NULL)
        return fail(EXIT_USAGE,
                    "--distilled needs a reading of the distillate and its temperature; "
                    "expected --reading 8.3%% --at 21C");
    int bad = arg_value("--distilled", words->distilled, JL_VOLUME, &w->sample_l);
    if (bad == 0) {
        w->made_up_l = w->sample_l;
        bad = arg_value("--made-up-to", words->made_up_to, JL_VOLUME, &w->made_up_l);
    }
    if (bad == 0) bad = arg_quantity("--reading", words->reading, JL_STRENGTH, &w->sample_reading);
    if (bad == 0) bad = arg_value("--at", words->at, JL_TEMPERATURE, &w->sample_c);
    if (bad == 0)
        bad = arg_value("--alcoholometer-division", words->reading_division, JL_STRENGTH,
                        &w->sample_division_pct);
    if (bad != 0) return bad;
    if (!(w->sample_l > 0))
        return fail_argument("--distilled", words->distilled, JL_RANGE,
                             "a volume above 0, as 200mL");
    if (!(w->made_up_l > 0))
        return fail_argument("--made-up-to", words->made_up_to, JL_RANGE,
                             "a volume above 0, as 200mL");
    if (!(w->sample_division_pct > 0 && w->sample_division_pct <= 10))
        return fail_argument("--alcoholometer-division", words->reading_division, JL_RANGE,
                             "above 0, to 10%, as 1%");
    return 0;
}

static int read_sample(const wash_words *words, jl_wash *w) {
    if (words->distilled == NULL) {
        if (words->made_up_to != NULL || words->reading != NULL || words->at != NULL ||
            words->reading_division != NULL ||
            words->alcoholometer.words[JL_KEY_CALIBRATED] != NULL ||
            words->alcoholometer.words[JL_KEY_READING_CORRECTION] != NULL ||
            words->alcoholometer.words[JL_KEY_THERMOMETER_CORRECTION] != NULL)
            return fail(EXIT_USAGE,
                        "--made-up-to, --reading, --at and the alcoholometer's options go with "
                        "--distilled, as --distilled 200mL");
        return 0;
    }
    w->has_sample = true;
    int bad = read_sample_measured(words, w);
    return bad == 0 ? arg_instrument(&words->alcoholometer, &w->alcoholometer) : bad;
}

static int read_known(const wash_words *words, wash_answer *w) {
    int bad = read_volume(words, w);
    if (bad == 0) bad = read_gravities(words, w);
    if (bad == 0) bad = read_sugar(words, w);
    if (bad == 0) bad = read_sample(words, &w->wash);
    return bad == 0 ? read_kind(words, w) : bad;
}

/* ---- what every way makes of it ---- */

static int fail_sample(const wash_words *words, const jl_wash *w, jl_status status) {
    double p;
    if (jl_reading_to_mass_fraction(&w->alcoholometer, w->sample_reading, w->sample_c, &p) == JL_OK)
        return fail_argument("--made-up-to", words->made_up_to, JL_RANGE,
                             "a volume at which the wash comes to 100 % vol or less");
    return fail_reading(words->reading, words->at, &w->alcoholometer, w->sample_reading,
                        w->sample_c, status);
}

static int fail_gravities(const jl_wash *w, const jl_wash_fault *fault) {
    double original_sg = fault->original_sg, final_sg = fault->final_sg;
    if (fault->status == JL_CONFLICT && !w->original.known)
        return fail(EXIT_USAGE,
                    "the final gravity %.4f is above %.4f, the original gravity that this sugar "
                    "makes, both at 20 °C; expected more sugar, less volume or a lower --fg",
                    final_sg, original_sg);
    if (fault->status == JL_CONFLICT)
        return fail(EXIT_USAGE,
                    "the final gravity %.4f is above the original %.4f, both at 20 °C; expected a "
                    "final gravity that is not higher: perhaps the two were exchanged",
                    final_sg, original_sg);
    return fail(EXIT_USAGE,
                "the original gravity %.4f at 20 °C is out of range; expected one above "
                "1.000, up to 1.180",
                original_sg);
}

static int fail_bound(const jl_wash *w, const jl_wash_fault *fault) {
    if (fault->status != JL_NO)
        return fail(EXIT_USAGE,
                    "--fg at %.1f °C: %s; expected a mixture of ethanol and water "
                    "from 0.970 up",
                    w->final.temp_c, jl_status_text(fault->status));
    return fail(EXIT_NO,
                "a final gravity of %.4f at 20 °C, half a division of %g allowed for, is not below "
                "water: alone it says nothing of the strength; needed: the original gravity "
                "(--og), the sugar (--sugar and --volume), or a distilled sample (--distilled)",
                fault->final_sg, w->hydrometer.division_sg);
}

static int fail_part(const wash_words *words, const jl_wash *w, const jl_wash_fault *fault) {
    jl_status status = fault->status;
    switch (fault->part) {
    case JL_PART_ORIGINAL:
        return fail_gravity("--og", words->og, status);
    case JL_PART_FINAL:
        return fail_gravity("--fg", words->fg, status);
    case JL_PART_SUGAR:
        return fail_argument("--sugar", words->sugar, status == JL_NO ? JL_RANGE : status,
                             status == JL_NO ? "no more than a wash of 1.180 (40P) holds, about "
                                               "0.47 kg in a litre"
                                             : "a mass, as 6kg");
    case JL_PART_SAMPLE:
        return fail_sample(words, w, status);
    case JL_PART_BOTH_GRAVITIES:
        return fail_gravities(w, fault);
    case JL_PART_FINAL_ALONE:
        return fail_bound(w, fault);
    case JL_PART_NONE:
        break;
    }
    return fail(EXIT_USAGE,
                "nothing to go by; expected --og and --fg, --sugar and --volume, "
                "--distilled with --reading and --at, a log of gravities, or --fg alone");
}

/* Reads what is known beside a log, whose gravities already stand in *w, and computes. */
static int read_wash(const wash_words *words, wash_answer *w) {
    const jl_wash *wash = &w->wash;
    jl_wash_fault fault = {.status = JL_OK};
    int bad = read_known(words, w);
    if (bad != 0) return bad;
    jl_wash_by_all_ways(wash, &w->ways, &fault);
    bool parts_hold = fault.status == JL_OK || fault.part == JL_PART_NONE;
    if (parts_hold && wash->original.known && !wash->final.known && !wash->has_sugar)
        return fail(EXIT_USAGE, "--og needs the final gravity; expected --fg, as --fg 0.992");
    if (fault.status != JL_OK) return fail_part(words, wash, &fault);
    if (!wash->original.known && !wash->final.known &&
        (words->calibrated != NULL || words->division != NULL || words->glass != NULL))
        return fail(EXIT_USAGE, "--hydrometer-scale, --hydrometer-glass and --hydrometer-division "
                                "belong to the hydrometer of "
                                "--og and --fg; the alcoholometer has --alcoholometer-scale and "
                                "--alcoholometer-division");
    return 0;
}

/* ---- what goes on to the charge ---- */

static int check_write(const wash_words *words, const wash_answer *w) {
    if (words->title != NULL && words->output.path == NULL)
        return fail(EXIT_USAGE, "--title goes with -o, as -o wash.csv");
    if (words->output.path == NULL) return 0;
    if (words->volume == NULL)
        return fail(EXIT_USAGE, "-o needs the volume of the wash; expected --volume, as "
                                "--volume 25L");
    if (isnan(wash_strength(w, NULL)))
        return fail(EXIT_NO,
                    "-o %s: a lower bound is no strength to go on with; nothing was "
                    "written",
                    words->output.path);
    return 0;
}

static int write_wash(const wash_words *words, const wash_answer *w) {
    const char *way;
    char title[96], origin[160];
    double strength_pct = wash_strength(w, &way);
    snprintf(title, sizeof title, "Wash of %g L, %.1f %% vol", w->wash.volume_l, strength_pct);
    snprintf(origin, sizeof origin,
             "Written by jarline wash: volume and strength at 20 °C, from %s.", way);
    return write_charge(&words->output, &(charge_facts){words->title == NULL ? title : words->title,
                                                        origin, w->wash.volume_l, strength_pct});
}

/* ---- the answer ---- */

/* Into the boiler, where volume and strength are known. */
static void suggest_charge(show *s, const wash_words *words, const wash_answer *w) {
    next_command next = {"jarline charge"};
    double strength_pct = wash_strength(w, NULL);
    if (words->output.path != NULL)
        next_option(&next, "charge-from", words->output.path);
    else if (w->wash.volume_l > 0 && !isnan(strength_pct))
        next_amount(&next, w->wash.volume_l, strength_pct);
    else
        return;
    next_option(&next, "boiler-size", "VOLUME");
    show_next_command(s, &next);
}

/* Its first gravity counts unless one is given. */
static void take_log(const wash_words *words, const judged_log *log, wash_answer *w) {
    const jl_wash_reading *last = &log->readings[log->count - 1], *first = &log->readings[0];
    double own_c = w->wash.hydrometer.calibrated_c;
    w->final_temp_stated = !isnan(last->temp_c);
    w->wash.final =
        (jl_wash_gravity){true, last->reading, w->final_temp_stated ? last->temp_c : own_c};
    if (words->og != NULL) return;
    w->original_temp_stated = !isnan(first->temp_c);
    w->wash.original =
        (jl_wash_gravity){true, first->reading, w->original_temp_stated ? first->temp_c : own_c};
}

static int read_log(const wash_words *words, const char *file, wash_answer *w, judged_log *log) {
    bool malt = words->fermented != NULL && strcmp(words->fermented, "malt") == 0;
    int bad = wash_log_read(file, &words->log, &w->wash.hydrometer, malt, log);
    if (bad != 0) return bad;
    take_log(words, log, w);
    bad = read_wash(words, w);
    return bad == 0 ? check_write(words, w) : bad;
}

static int answer_log(const wash_words *words, const char *file, wash_answer *w, judged_log *log,
                      uncertainty *u) {
    int bad = read_log(words, file, w, log);
    if (bad != 0) return bad;
    bool finished = log->ferment.state == JL_FINISHED;
    if (words->output.path != NULL && finished) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    wash_log_show(s, log);
    show_assumption(s, "%s",
                    words->og == NULL
                        ? "The first reading of the log is taken for the original gravity, the "
                          "last for the final "
                          "one."
                        : "The last reading of the log is taken for the final gravity.");
    bad = wash_show(s, w, u);
    if (bad != 0) return show_abandon(s, bad);
    if (finished) show_written(s, &words->output);
    if (finished) suggest_charge(s, words, w);
    bad = show_close(s, finished ? EXIT_DONE : EXIT_NO);
    if (words->output.path != NULL && !finished)
        say("%s was not written: the wash has not finished", words->output.path);
    return bad;
}

static int answer_wash(const wash_words *words, wash_answer *w, uncertainty *u) {
    if (words->log.span != NULL || words->log.expect_fg != NULL || words->log.time != NULL)
        return fail(EXIT_USAGE, "--span, --expect-fg and --time go with a log of gravities, as "
                                "wash.csv");
    int bad = read_wash(words, w);
    if (bad == 0) bad = check_write(words, w);
    if (bad == 0 && words->output.path != NULL) bad = write_wash(words, w);
    if (bad != 0) return bad;
    show *s = show_open(words->json != 0);
    bad = wash_show(s, w, u);
    if (bad != 0) return show_abandon(s, bad);
    show_written(s, &words->output);
    suggest_charge(s, words, w);
    return show_close(s, EXIT_DONE);
}

static int answer(const wash_words *words, const char *file, uncertainty *u) {
    wash_answer w = {.wash = JL_WASH};
    judged_log log = {.log = NULL};
    int bad = read_hydrometer(words, &w.wash.hydrometer);
    if (bad != 0) return bad;
    if (words->division != NULL) {
        u->by.instruments.width[JL_BY_HYDROMETER][JL_DIVISION] = w.wash.hydrometer.division_sg;
        u->by.instruments.stated[JL_BY_HYDROMETER][JL_DIVISION] = true;
    }
    if (file == NULL) return answer_wash(words, &w, u);
    if (words->fg != NULL || words->fg_temp != NULL)
        return fail(EXIT_USAGE,
                    "the log has the final gravity already; expected --fg without a log");
    bad = answer_log(words, file, &w, &log, u);
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
        OPTION("fermented", &w.fermented, "malt|sugar", "what was fermented, for the rule's bias"),
        OPTION("volume", &w.volume, "VOLUME", "of the wash, at 20 °C"),
        OPTION("hydrometer-scale", &w.calibrated, "20C|60F|15C",
               "temperature of the hydrometer's scale"),
        OPTION("hydrometer-glass", &w.glass, "PER_C",
               "cubic expansion of its glass (25e-6 per °C)"),
        OPTION("hydrometer-division", &w.division, "GRAVITY", "of its scale (0.001)"),
        OPTION("sugar", &w.sugar, "MASS", "sugar that went in; with --volume"),
        OPTION("sugar-kind", &w.sugar_kind, "KIND", "sucrose, glucose or extract (sucrose)"),
        OPTION("yield", &w.yield, "SHARE", "of theory (92%; of extract 65%)"),
        OPTION("distilled", &w.distilled, "VOLUME", "sample that was distilled"),
        OPTION("made-up-to", &w.made_up_to, "VOLUME", "its distillate and water (the same)"),
        OPTION("reading", &w.reading, "READING", "of the alcoholometer in that"),
        OPTION("at", &w.at, "TEMP", "temperature of the distillate at the reading"),
        OPTION("alcoholometer-division", &w.reading_division, "PCT", "of the alcoholometer (1%)"),
        OPTION("alcoholometer-scale", &w.alcoholometer.words[JL_KEY_CALIBRATED], "20C|60F|15C",
               "temperature of the alcoholometer's scale"),
        OPTION("reading-correction", &w.alcoholometer.words[JL_KEY_READING_CORRECTION], "PCT",
               "its certificate's correction, added to the reading"),
        OPTION("thermometer-correction", &w.alcoholometer.words[JL_KEY_THERMOMETER_CORRECTION],
               "DEGREES", "the thermometer's, added to --at"),
        OPTION("span", &w.log.span, "DURATION", "how long the gravity must stand still (3d)"),
        OPTION("expect-fg", &w.log.expect_fg, "GRAVITY", "final gravity to be reached (1.000)"),
        OPTION("time", &w.log.time, "TIME", "of a log: the moment to judge the waits by (now)"),
        OUTPUT_OPTIONS(w.output, "volume and strength, for charge and forecast"),
        OPTION("title", &w.title, "TEXT", "of that file"),
        OPTION("instrument", &w.instrument, "FILE", "limits and divisions of the instruments"),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    uncertainty u = {0};
    if (args_read(&a, argc, argv, table, "[GRAVITY.csv] WAYS",
                  "The strength of a wash: --og 1.080 --fg 0.992, --sugar 6kg --volume 25L,\n"
                  "--distilled 200mL --reading 8.3% --at 21C, or a log of gravities"))
        a.exit_status = a.count <= 1 ? uncertainty_read(&w.uncertainties, w.instrument, &u)
                                     : fail(EXIT_USAGE,
                                            "'%s' is one argument too many; expected one log of "
                                            "gravities, or options alone",
                                            a.rest[1]);
    if (a.exit_status == 0 && a.rest != NULL) a.exit_status = answer(&w, a.rest[0], &u);
    uncertainty_free(&u);
    return args_close(&a);
}
