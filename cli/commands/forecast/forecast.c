/* forecast: the run to expect, jar by jar, before the fire is lit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/forecast/forecast.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "input/cut_words.h"
#include "input/factfile.h"
#include "input/logfile.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct words {
    char *from, *load, *strip_until, *feints, *feints_from;
    still_options still;
    instrument_options instrument;
    uncertainty_options uncertainties;
    int strip, congeners, brief, json;
    const char *reading; /* the charge as written, where it is a reading at a temperature */
} words;

/* ---- Reading ---- */

static int read_charge_words(words *w, const args *a, const jl_alcoholometer *instrument,
                             jl_spirit *charge) {
    double volume_l, strength_pct, p;
    if (w->from == NULL) {
        const char *at = strchr(a->rest[0], '@');
        if (at != NULL && strchr(at + 1, '@') != NULL) w->reading = a->rest[0];
        return arg_amount(a->rest[0], instrument, charge);
    }
    int bad = read_charge(w->from, &volume_l, &strength_pct);
    if (bad != 0) return bad;
    jl_status status = jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &p);
    if (status == JL_OK) status = jl_spirit_from_volume(volume_l, p, JL_STRENGTH_C, charge);
    return status == JL_OK
               ? 0
               : fail(EXIT_DATA, "%s: the charge is %s", w->from, jl_status_text(status));
}

/* Heads and tails of an earlier run. */
static int add_feints_of(const char *path, jl_spirit *feints) {
    logfile f;
    jl_jar jar;
    bool more = true;
    jl_spirit sum = {0, 0};
    int bad = logfile_open(&f, path);
    if (bad != 0) return bad;
    while ((bad = logfile_next(&f, &jar, &more)) == 0 && more)
        if (jar.fraction == JL_HEADS || jar.fraction == JL_TAILS) sum = jl_blend(sum, jar.spirit);
    logfile_close(&f);
    if (bad == 0 && !(jl_mass_kg(sum) > 0))
        return fail(EXIT_DATA, "%s has no jar marked heads or tails; 'jarline cut' marks them",
                    path);
    *feints = jl_blend(*feints, sum);
    return bad;
}

typedef struct feints_words {
    char **texts;
    bool *from_log;
    size_t count;
} feints_words;

static int read_feints(const feints_words *f, const jl_alcoholometer *instrument, chain *c) {
    int bad = 0;
    c->has_feints = f->count > 0;
    for (size_t i = 0; i < f->count && bad == 0; i++) {
        jl_spirit amount;
        if (f->from_log[i])
            bad = add_feints_of(f->texts[i], &c->feints);
        else if ((bad = arg_amount(f->texts[i], instrument, &amount)) == 0)
            c->feints = jl_blend(c->feints, amount);
    }
    return bad;
}

/* --feints and --feints-from may repeat, the others not. */
static int read_options(args *a, words *w, feints_words *f) {
    const struct poptOption *option;
    while ((option = args_next(a)) != NULL) {
        if (option->arg == &w->feints || option->arg == &w->feints_from) {
            f->from_log[f->count] = option->arg == &w->feints_from;
            f->texts[f->count++] = *(char **)option->arg;
            *(char **)option->arg = NULL;
            continue;
        }
        if (!args_once(a, option)) return a->exit_status;
    }
    return args_finish(a) ? 0 : a->exit_status;
}

/* ---- Answering ---- */

void assume_model(show *s) {
    show_assumption(s, "A forecast by equilibrium stages: nothing held up in the head, no "
                       "entrainment, no heat lost in the head; a wash is taken as ethanol and "
                       "water.");
    show_assumption(s, "Vapour by NRTL fitted to published data, which differ among themselves by "
                       "up to 0.018 mole fraction; stages by McCabe and Thiele. Volumes and "
                       "strengths hold at 20 °C.");
}

/* What a charge that was read with an alcoholometer rests on. */
static void assume_reading(show *s, const words *w, const planned *p) {
    jl_alcoholometer instrument;
    if (w->reading == NULL || arg_instrument(&w->instrument, &instrument) != 0) return;
    assume_instrument(s, &instrument, unit_of_reading(w->reading));
    note_on_reading(s, jl_spirit_strength_pct(p->charge), JL_STRENGTH_C);
}

static int finish(show *s, const words *w, const planned *p, const jl_forecast *sum, int bad) {
    if (bad == 0 && w->congeners) bad = show_congeners(s, p);
    if (bad != 0) return show_abandon(s, bad);
    still_settings_assume(&p->settings, s);
    assume_model(s);
    assume_reading(s, w, p);
    note_run(s, p, sum);
    if (!w->brief) caution_running(s);
    return show_close(s, EXIT_DONE);
}

static void head(show *s, const char *what, const planned *p) {
    char text[160], more[48] = "";
    double pct = jl_spirit_strength_pct(p->charge);
    double litres = jl_volume_l(p->charge, JL_STRENGTH_C);
    bool cuts = p->settings.plan.cuts.heads.by != JL_CUT_NEVER ||
                p->settings.plan.cuts.hearts.by != JL_CUT_NEVER ||
                p->settings.plan.cuts.foreshots.by != JL_CUT_NEVER;
    if (p->times > 1) snprintf(more, sizeof more, ", one of %zu", p->times);
    snprintf(text, sizeof text, "%s: %.6g l at %.4g %% vol%s%s", what, litres, pct,
             cuts ? "" : ", without cuts", more);
    show_heading(s, text);
    show_number(s, "charge_l", NULL, litres, 3, "l");
    show_number(s, "charge_strength_pct", NULL, pct, 2, "% vol");
    show_number(s, "charge_pure_alcohol_l", NULL, jl_pure_alcohol_l(p->charge), 3, "l");
}

/* The charge as it was written, for its doubt. */
static jl_amount written_charge(const args *a, jl_spirit charge) {
    jl_amount amount = {.size = jl_volume_l(charge, JL_STRENGTH_C),
                        .strength = {jl_spirit_strength_pct(charge), JL_UNIT_PCT_VOL},
                        .temp_c = JL_STRENGTH_C};
    if (a->count == 1) jl_amount_read(a->rest[0], &amount, NULL);
    return amount;
}

static int forecast_one(const words *w, const args *a, jl_spirit charge,
                        const jl_alcoholometer *instrument, uncertainty *d) {
    planned p = {.charge = charge, .times = 1};
    jl_forecasting *run;
    jl_forecast_jar first;
    jl_forecast sum;
    int bad = still_settings_read(&w->still, jl_spirit_strength_pct(charge), &p.settings);
    if (bad == 0) bad = begin_run(&p, &run, &first);
    if (bad != 0) return bad;
    show *s = show_open(w->json != 0);
    head(s, "Forecast of a run", &p);
    bad = show_forecast(s, &p, run, first, &sum);
    const jl_amount amount = written_charge(a, charge);
    if (bad == 0) bad = forecast_uncertainty(s, d, &p, &amount, instrument, &sum);
    return finish(s, w, &p, &sum, bad);
}

/* The strip run: the same still as a plain pot, and its own rule to stop. */
static int read_strip(const words *w, chain *c) {
    still_options plain = w->still;
    plain.stages = plain.reflux = plain.schedule = NULL;
    plain.foreshots = plain.heads = plain.hearts_until = NULL;
    plain.stop_at = NULL;
    int bad = still_settings_read(&plain, 0, &c->strip.settings);
    jl_cut_rules *cuts = &c->strip.settings.plan.cuts;
    *cuts = jl_default_cuts(0); /* rules in a file are the spirit run's */
    if (bad == 0 && w->strip_until != NULL)
        bad = cut_read(NULL, "--strip-until", w->strip_until, CUT_ANY, &cuts->tails);
    c->strip.settings.still.stages = 1;
    c->strip.settings.still.reflux = 0;
    c->strip.settings.still.schedule_count = 0;
    if (bad == 0) bad = arg_value("--load", w->load, JL_VOLUME, &c->load_l);
    if (bad == 0 && w->load != NULL && !(c->load_l > 0))
        bad = fail_argument("--load", w->load, JL_RANGE, "a volume above 0, as 20l");
    return bad;
}

static void assume_strip(show *s, const words *w, const chain *c) {
    char rule[80];
    cut_text(&c->strip.settings.plan.cuts.tails, rule, sizeof rule);
    show_assumption(s, "The strip run is a plain pot's, without reflux, and stops at %s%s.", rule,
                    w->strip_until == NULL ? " (default: common practice, no source)" : "");
    if (w->load == NULL)
        show_assumption(s, "Default: all of the wash fits into one load (--load says otherwise).");
}

static int forecast_chain(const words *w, const args *a, jl_spirit wash, const feints_words *feints,
                          const jl_alcoholometer *instrument, uncertainty *d) {
    chain c = {.wash = wash};
    jl_forecasting *run;
    jl_forecast_jar first;
    jl_forecast sum;
    int bad = read_strip(w, &c);
    if (bad == 0) bad = read_feints(feints, instrument, &c);
    if (bad == 0) bad = chain_strip(&c);
    /* The spirit run is cut whatever its strength: 20 % vol is where cuts begin. */
    double pct = jl_spirit_strength_pct(c.spirit.charge);
    if (bad == 0) bad = still_settings_read(&w->still, pct < 20 ? 20 : pct, &c.spirit.settings);
    if (bad == 0) bad = begin_run(&c.spirit, &run, &first);
    if (bad != 0) return bad;
    show *s = show_open(w->json != 0);
    show_heading(s, "Forecast of a strip run and the spirit run after it");
    show_strip(s, &c);
    head(s, "Spirit run", &c.spirit);
    bad = show_forecast(s, &c.spirit, run, first, &sum);
    if (bad == 0) {
        const jl_amount amount = written_charge(a, wash);
        show_chain(s, &c, &sum);
        bad = chain_uncertainty(s, d, &c, &amount, instrument);
        assume_strip(s, w, &c);
    }
    return finish(s, w, &c.spirit, &sum, bad);
}

static int forecast(words *w, const args *a, const feints_words *feints, uncertainty *d) {
    jl_alcoholometer instrument;
    jl_spirit charge;
    if ((w->from != NULL) + a->count != 1)
        return fail(EXIT_USAGE, "expected one charge, as 20l@12%%, or --charge-from FILE");
    int bad = arg_instrument(&w->instrument, &instrument);
    if (bad == 0) bad = read_charge_words(w, a, &instrument, &charge);
    if (bad != 0) return bad;
    if (w->strip) return forecast_chain(w, a, charge, feints, &instrument, d);
    if (feints->count > 0 || w->load != NULL || w->strip_until != NULL)
        return fail(EXIT_USAGE,
                    "--feints, --feints-from, --load and --strip-until belong to --strip");
    return forecast_one(w, a, charge, &instrument, d);
}

int command_forecast(int argc, const char **argv) {
    words w = {0};
    const struct poptOption table[] = {
        OPTION("charge-from", &w.from, "FILE", "the charge from a file of facts"),
        STILL_OPTIONS(w.still),
        FLAG("strip", &w.strip, "a strip run first, then the spirit run on its low wines"),
        OPTION("load", &w.load, "VOLUME", "what the boiler takes at once (all of it)"),
        OPTION("strip-until", &w.strip_until, "RULE", "where the strip run ends (10%)"),
        OPTION("feints", &w.feints, "AMOUNT", "joins the low wines: 1.5L@45%; may repeat"),
        OPTION("feints-from", &w.feints_from, "RUN.csv",
               "heads and tails of an earlier run; may repeat"),
        FLAG("congeners", &w.congeners, "where methanol, esters and fusel oils would go"),
        INSTRUMENT_OPTIONS(w.instrument),
        UNCERTAINTY_OPTIONS(w.uncertainties),
        FLAG("brief", &w.brief, "without the cautions"),
        FLAG("json", &w.json, "answer as JSON"),
        POPT_TABLEEND,
    };
    args a;
    feints_words feints = {need(calloc((size_t)argc, sizeof *feints.texts)),
                           need(calloc((size_t)argc, sizeof *feints.from_log)), 0};
    args_begin(&a, argc, argv, table, "CHARGE",
               "The run to expect, jar by jar, before the fire is lit: 20l@12%");
    int bad = read_options(&a, &w, &feints);
    uncertainty *d = NULL;
    bool wanted = bad == 0 && a.rest != NULL; /* not after --help */
    if (wanted) bad = uncertainty_open(&w.uncertainties, w.instrument.file, &d);
    if (wanted && bad == 0) bad = forecast(&w, &a, &feints, d);
    uncertainty_close(d);
    for (size_t i = 0; i < feints.count; i++) free(feints.texts[i]);
    free(feints.texts);
    free(feints.from_log);
    args_close(&a);
    return bad;
}
