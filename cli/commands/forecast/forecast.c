/* forecast: the run to expect, jar by jar, before the fire is lit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/next.h"
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "command.h"
#include "commands/forecast/show.h"
#include "input/logfile.h"
#include "still/causes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct words {
    char *from, *load, *strip_until, *feints, *feints_from;
    setting_options still;
    setting_options instrument;
    uncertainty_options uncertainties;
    int strip, congeners, brief, json;
    const char *reading; /* the charge as written, where it is a reading at a temperature */
} words;

/* ---- Reading ---- */

static int read_charge_words(words *w, const args *a, const jl_alcoholometer *instrument,
                             jl_spirit *charge) {
    const char *amount = w->from == NULL ? a->rest[0] : NULL;
    const char *at = amount == NULL ? NULL : strchr(amount, '@');
    if (at != NULL && strchr(at + 1, '@') != NULL) w->reading = amount;
    return planned_charge(amount, w->from, instrument, charge);
}

/* Heads and tails of an earlier run. */
static int feints_of(const char *path, jl_spirit *feints) {
    jl_run *run;
    int bad = run_read_jars(path, &run);
    if (bad != 0) return bad;
    *feints = jl_tally_sum(jl_run_tally(run), JL_OF_FEINTS).spirit;
    jl_run_free(run);
    if (jl_mass_kg(*feints) > 0) return 0;
    return fail(EXIT_DATA, "%s has no jar marked heads or tails; 'jarline cut' marks them", path);
}

typedef struct feints_words {
    char **texts;
    bool *from_log;
    size_t count;
} feints_words;

static int read_feints(const feints_words *f, const jl_alcoholometer *instrument,
                       jl_spirit *feints) {
    int bad = 0;
    for (size_t i = 0; i < f->count && bad == 0; i++) {
        jl_spirit amount = {0, 0};
        bad = f->from_log[i] ? feints_of(f->texts[i], &amount)
                             : arg_amount(f->texts[i], instrument, &amount);
        *feints = jl_blend(*feints, amount);
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

/* ---- How sure it is ---- */

/* A forecast costs a thousand times what a reading does. */
enum { DRAWS = 2000 };

static void say_deviations(show *s, const jl_causes *c, const jl_settings *settings) {
    double reflux = c->inputs[JL_OF_REFLUX].width, efficiency = c->inputs[JL_OF_EFFICIENCY].width;
    bool known = !isnan(c->known.reflux_share_u) || !isnan(c->known.efficiency_u);
    show_assumption(s,
                    "Published vapour compositions lie ±6.6 %% (k = 2) about the model in how far "
                    "the volatility is from 1, by five sets.");
    if (reflux > 0 && isnan(c->known.reflux_share_u))
        show_assumption(s, "The reflux holds within ±%.0f %% (common practice, no source).",
                        100 * reflux);
    else if (reflux > 0)
        show_assumption(s, "The share that runs back holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * reflux, settings->of[JL_KEY_REFLUX_SHARE_U].source);
    if (efficiency > 0 && isnan(c->known.efficiency_u))
        show_assumption(
            s, "The efficiency holds within ±%.0f %% of itself (common practice, no source).",
            100 * efficiency);
    else if (efficiency > 0)
        show_assumption(s, "The efficiency holds within ±%.2g (k = 2, from %s).",
                        JL_COVERAGE_K * efficiency, settings->of[JL_KEY_EFFICIENCY_U].source);
    show_note(s,
              "The uncertainty is that of what was measured and of the vapour. That a still is no "
              "row of perfect stages comes on top%s.",
              known ? "" : ": 'jarline calibrate' learns a still's own figures");
}

/* What a run depends on beside its charge; strip: NULL, or a chain's. */
static jl_causes causes_of(const planned *run, const planned *strip, const jl_chain_charge *loads) {
    const jl_settings *settings = &run->settings.all;
    jl_causes c = {.still = &run->settings.still,
                   .plan = &run->settings.plan,
                   .known = {jl_setting_value(settings, JL_KEY_REFLUX_SHARE_U),
                             jl_setting_value(settings, JL_KEY_EFFICIENCY_U)}};
    if (strip == NULL) return c;
    c.strip_still = &strip->settings.still;
    c.strip_plan = &strip->settings.plan;
    c.loads = *loads;
    return c;
}

/* The charge as it was written, for its uncertainty. */
static jl_amount written_charge(const args *a, jl_spirit charge) {
    jl_amount amount = jl_amount_at_20(charge);
    if (a->count == 1) jl_amount_read(a->rest[0], &amount, NULL);
    return amount;
}

/* Shows the main figures with their uncertainty, where it was asked for. Returns the exit status, or
 * 0. */
static int show_sure(show *s, uncertainty *u, jl_causes *c, const planned *run, const figures *f) {
    if (!uncertainty_wanted(u)) return 0;
    if (!u->intervals) u->draws = DRAWS;
    int bad = show_uncertainty(s, u, f, jl_causes_figures, c);
    if (bad != 0) return bad;
    say_deviations(s, c, &run->settings.all);
    if (jl_mass_kg(c->loads.feints) > 0)
        show_assumption(s, "The feints together are as uncertain as one jug and one reading.");
    return 0;
}

static unsigned of_those(double hearts_l, double duration_h) {
    return (hearts_l > 0 ? WITH_HEARTS : 0) | (duration_h > 0 ? WITH_CLOCK : 0);
}

/* ---- Answering ---- */

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
    planned_assume(p, s);
    assume_reading(s, w, p);
    note_run(s, p, sum);
    if (!w->brief) caution_running(s);
    return show_close(s, EXIT_DONE);
}

/* The same charge and still, as a run. */
static void suggest_start(show *s, const words *w, jl_spirit charge) {
    next_command next = {"jarline start RUN.csv"};
    char amount[64];
    snprintf(amount, sizeof amount, "%.6gl@%.4g%%", jl_volume_l(charge, JL_STRENGTH_C),
             jl_spirit_strength_pct(charge));
    next_option(&next, w->from == NULL ? "charge" : "charge-from",
                w->from == NULL ? amount : w->from);
    next_still(&next, &w->still);
    show_next_command(s, &next);
}

/* A run that ends at its first drop is none. name: of the option with the rule. */
static int refuse_at_once(const char *what, const planned *p, const jl_forecast *sum,
                          const char *name) {
    char rule[JL_CUT_BYTES];
    jl_cut_write(&p->settings.plan.cuts.tails, rule);
    return fail(EXIT_NO,
                "the %s ends at its first drop, which has %.1f %% vol at 20 °C: the rule is to "
                "stop at %s (%s)",
                what, sum->first_spout_pct, rule, name);
}

/* The same as planned_jars, of a run that has any. */
static int some_jars(const planned *p, jl_forecast_jars *all) {
    int bad = planned_jars(p, all);
    if (bad != 0 || all->count > 0) return bad;
    return refuse_at_once("run", p, &all->sum, "--stop-at");
}

static int forecast_one(const words *w, const args *a, jl_spirit charge,
                        const jl_alcoholometer *instrument, uncertainty *u) {
    planned p = {.charge = charge};
    jl_forecast_jars all;
    double values[JL_RUN_FIGURES];
    int bad = still_settings_read(&w->still, jl_spirit_strength_pct(charge), &p.settings);
    if (bad == 0) bad = some_jars(&p, &all);
    if (bad != 0) return bad;
    show *s = show_open(w->json != 0);
    jl_causes causes = causes_of(&p, NULL, NULL);
    show_charge(s, "Forecast of a run", &p, 1);
    show_forecast(s, &p, &all);
    jl_forecast_figures(&all.sum, values);
    const figures f = {.list = RUN_FIGURES,
                       .count = JL_RUN_FIGURES,
                       .values = values,
                       .of = of_those(values[JL_RUN_HEARTS_L], values[JL_RUN_DURATION_H])};
    jl_causes_measure(&causes, &u->by, written_charge(a, charge), instrument);
    bad = show_sure(s, u, &causes, &p, &f);
    suggest_start(s, w, charge);
    bad = finish(s, w, &p, &all.sum, bad);
    jl_forecast_jars_free(&all);
    return bad;
}

/* ---- A strip run and the spirit run on its low wines ---- */

/* The same still as a plain pot, and its own rule to stop. */
static int read_strip(const words *w, planned *strip, double *load_l) {
    setting_options plain = w->still;
    static const jl_key_id SPIRIT_RUN[] = {JL_KEY_STAGES,    JL_KEY_REFLUX, JL_KEY_REFLUX_SCHEDULE,
                                           JL_KEY_FORESHOTS, JL_KEY_HEADS,  JL_KEY_HEARTS_UNTIL,
                                           JL_KEY_STOP_AT};
    for (size_t i = 0; i < sizeof SPIRIT_RUN / sizeof SPIRIT_RUN[0]; i++)
        plain.words[SPIRIT_RUN[i]] = NULL;
    int bad = still_settings_read(&plain, 0, &strip->settings);
    jl_cut_rules *cuts = &strip->settings.plan.cuts;
    *cuts = jl_default_cuts(0); /* rules in a file are the spirit run's */
    if (bad == 0 && w->strip_until != NULL)
        bad = arg_cut("--strip-until", w->strip_until, &cuts->tails);
    strip->settings.still.stages = 1;
    strip->settings.still.reflux_ratio = 0;
    strip->settings.still.schedule_count = 0;
    if (bad == 0) bad = arg_value("--load", w->load, JL_VOLUME, load_l);
    if (bad == 0 && w->load != NULL && !(*load_l > 0))
        bad = fail_argument("--load", w->load, JL_RANGE, "a volume above 0, as 20l");
    return bad;
}

static void assume_strip(show *s, const words *w, const planned *strip) {
    char rule[JL_CUT_BYTES];
    jl_cut_write(&strip->settings.plan.cuts.tails, rule);
    show_assumption(s, "The strip run is a plain pot's, without reflux, and stops at %s%s.", rule,
                    w->strip_until == NULL ? " (default: common practice, no source)" : "");
    if (w->load == NULL)
        show_assumption(s, "Default: all of the wash fits into one load (--load says otherwise).");
}

static int run_strip(planned *strip, const jl_chain_charge *charge, jl_chain *chain) {
    jl_status status = jl_chain_strip(&strip->settings.still, &strip->settings.plan, charge, chain);
    if (status == JL_OK && jl_mass_kg(chain->low_wines) > 0) return 0;
    if (status == JL_OK) return refuse_at_once("strip run", strip, &chain->strip, "--strip-until");
    double loads = jl_even_loads(jl_volume_l(charge->wash, JL_STRENGTH_C), charge->load_l);
    strip->charge = (jl_spirit){charge->wash.ethanol_kg / loads, charge->wash.water_kg / loads};
    return planned_fail(strip, status);
}

/* Settings and jars of the spirit run, which is cut whatever its strength: 20 % vol is where cuts
 * begin. */
static int run_spirit(const words *w, jl_chain *chain, planned *spirit, jl_forecast_jars *all) {
    double pct = jl_spirit_strength_pct(chain->spirit_charge);
    spirit->charge = chain->spirit_charge;
    int bad = still_settings_read(&w->still, pct < 20 ? 20 : pct, &spirit->settings);
    if (bad == 0) bad = some_jars(spirit, all);
    if (bad == 0) chain->spirit = all->sum;
    return bad;
}

static int forecast_chain(const words *w, const args *a, jl_spirit wash, const feints_words *feints,
                          const jl_alcoholometer *instrument, uncertainty *u) {
    jl_chain_charge charge = {.wash = wash};
    jl_chain chain;
    planned strip = {.charge = wash}, spirit;
    jl_forecast_jars all;
    double values[JL_CHAIN_FIGURES];
    int bad = read_strip(w, &strip, &charge.load_l);
    if (bad == 0) bad = read_feints(feints, instrument, &charge.feints);
    if (bad == 0) bad = run_strip(&strip, &charge, &chain);
    if (bad == 0) bad = run_spirit(w, &chain, &spirit, &all);
    if (bad != 0) return bad;
    show *s = show_open(w->json != 0);
    show_heading(s, "Forecast of a strip run and the spirit run after it");
    show_strip(s, &chain);
    show_charge(s, "Spirit run", &spirit, chain.spirit_loads);
    show_forecast(s, &spirit, &all);
    show_chain(s, &chain);
    charge.strip_loads = chain.strip_loads;
    charge.spirit_loads = chain.spirit_loads;
    jl_causes causes = causes_of(&spirit, &strip, &charge);
    jl_chain_figures(&chain, values);
    const figures f = {.list = CHAIN_FIGURES,
                       .count = JL_CHAIN_FIGURES,
                       .values = values,
                       .of = of_those(values[JL_CHAIN_HEARTS_L], values[JL_CHAIN_DURATION_H])};
    jl_causes_measure(&causes, &u->by, written_charge(a, wash), instrument);
    bad = show_sure(s, u, &causes, &spirit, &f);
    if (bad == 0) assume_strip(s, w, &strip);
    bad = finish(s, w, &spirit, &all.sum, bad);
    jl_forecast_jars_free(&all);
    return bad;
}

static int forecast(words *w, const args *a, const feints_words *feints, uncertainty *u) {
    jl_alcoholometer instrument;
    jl_spirit charge;
    if ((w->from != NULL) + a->count != 1)
        return fail(EXIT_USAGE, "expected one charge, as 20l@12%%, or --charge-from FILE");
    int bad = arg_instrument(&w->instrument, &instrument);
    if (bad == 0) bad = read_charge_words(w, a, &instrument, &charge);
    if (bad != 0) return bad;
    if (w->strip) return forecast_chain(w, a, charge, feints, &instrument, u);
    if (feints->count > 0 || w->load != NULL || w->strip_until != NULL)
        return fail(EXIT_USAGE,
                    "--feints, --feints-from, --load and --strip-until belong to --strip");
    return forecast_one(w, a, charge, &instrument, u);
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
    uncertainty u = {0};
    bool wanted = bad == 0 && a.rest != NULL; /* not after --help */
    if (wanted) bad = uncertainty_read(&w.uncertainties, w.instrument.file, &u);
    if (wanted && bad == 0) bad = forecast(&w, &a, &feints, &u);
    uncertainty_free(&u);
    for (size_t i = 0; i < feints.count; i++) free(feints.texts[i]);
    free(feints.texts);
    free(feints.from_log);
    args_close(&a);
    return bad;
}
