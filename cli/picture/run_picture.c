/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/run_picture.h"
#include "answer/say.h"
#include "answer/status.h"
#include "input/logfile.h"
#include "run/run.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void picture_begin(run_picture *r) {
    *r = (run_picture){.charge_l = NAN, .charge_strength_pct = NAN, .charge_pure_l = NAN};
}

void picture_free(run_picture *r) {
    free(r->title);
    free(r->started);
    free(r->jars);
    free(r->expected);
    jl_run_free(r->run);
    picture_begin(r);
}

void picture_add_jar(run_picture *r, int64_t number, jl_fraction fraction, jl_spirit spirit,
                     double head_c) {
    need_room(&r->jars, r->count, &r->room, sizeof *r->jars);
    double volume_l = jl_volume_l(spirit, JL_STRENGTH_C);
    jl_spirit blended = jl_blend(r->blended, spirit);
    double before_l = picture_volume_l(r), before_pure_l = picture_pure_l(r);
    r->jars[r->count++] = (picture_jar){
        .number = number,
        .fraction = fraction,
        .volume_l = volume_l,
        .strength_pct = jl_spirit_strength_pct(spirit),
        .head_c = head_c,
        .end_l = before_l + volume_l,
        .blended_l = jl_volume_l(blended, JL_STRENGTH_C),
        .end_pure_l = before_pure_l + jl_pure_alcohol_l(spirit),
    };
    r->blended = blended;
}

void picture_add_expected(run_picture *r, jl_expected e) {
    need_room(&r->expected, r->expected_count, &r->expected_room, sizeof *r->expected);
    r->expected[r->expected_count++] = e;
}

/* ---- out of a log ---- */

static char *copy_of(const char *text) {
    return text == NULL || *text == '\0' ? NULL : need(strdup(text));
}

static void take_words(const char *path, const jl_facts *facts, run_picture *r) {
    const char *slash = strrchr(path, '/');
    const char *name = slash != NULL ? slash + 1 : path;
    r->title = copy_of(jl_facts_text(facts, "title"));
    if (r->title == NULL) r->title = need(strdup(strcmp(path, "-") == 0 ? "Run" : name));
    r->started = copy_of(jl_facts_text(facts, "started"));
}

static void take_record(run_picture *r) {
    size_t jars, expected;
    const jl_jar *jar = jl_run_jars(r->run, &jars);
    const jl_expected *e = jl_run_expected(r->run, &expected);
    const jl_recovery *v = jl_run_recovery(r->run);
    for (size_t i = 0; i < jars; i++)
        picture_add_jar(r, jar[i].number, jar[i].fraction, jar[i].spirit, jar[i].head_c);
    for (size_t i = 0; i < expected; i++) picture_add_expected(r, e[i]);
    if (!v->charge_stated) return;
    r->charge_l = jl_volume_l(v->charge, JL_STRENGTH_C);
    r->charge_strength_pct = jl_spirit_strength_pct(v->charge);
    r->charge_pure_l = jl_pure_alcohol_l(v->charge);
}

int picture_read(const char *path, run_picture *r) {
    jl_fault fault = {0};
    picture_begin(r);
    int bad = run_read_log(path, &r->run);
    if (bad != EXIT_DONE) return bad;
    take_record(r);
    if (r->count + r->expected_count == 0 && jl_run_some(r->run, &fault) != JL_OK) {
        picture_free(r);
        return fail_fault(strcmp(path, "-") == 0 ? "standard input" : path, &fault);
    }
    take_words(path, jl_run_facts(r->run), r);
    say_torn(path, jl_run_torn_line(r->run));
    return EXIT_DONE;
}

/* ---- what it shows ---- */

double picture_volume_l(const run_picture *r) {
    return r->count == 0 ? 0 : r->jars[r->count - 1].end_l;
}

double picture_pure_l(const run_picture *r) {
    return r->count == 0 ? 0 : r->jars[r->count - 1].end_pure_l;
}

bool picture_has_head(const run_picture *r) {
    for (size_t i = 0; i < r->count; i++)
        if (!isnan(r->jars[i].head_c)) return true;
    for (size_t i = 0; i < r->expected_count; i++)
        if (!isnan(r->expected[i].head_c)) return true;
    return false;
}

/* "2026-10-17 09:05" from RFC 3339; another text as it is. */
static void write_started(const char *started, char *text, size_t size) {
    snprintf(text, size, "%s", started);
    if (strlen(text) >= 16 && text[10] == 'T' && text[13] == ':') {
        text[10] = ' ';
        text[16] = '\0';
    }
}

void picture_words_charge(const run_picture *r, char *text, size_t size) {
    char started[64] = "", charge[96] = "";
    if (r->started != NULL) write_started(r->started, started, sizeof started);
    if (!isnan(r->charge_l) && !isnan(r->charge_strength_pct))
        snprintf(charge, sizeof charge, "charge %.4g l at %.3g %% vol: %.2f l of pure alcohol",
                 r->charge_l, r->charge_strength_pct, r->charge_pure_l);
    else if (!isnan(r->charge_l))
        snprintf(charge, sizeof charge, "charge %.4g l", r->charge_l);
    snprintf(text, size, "%s%s%s", started, *started != '\0' && *charge != '\0' ? " · " : "",
             charge);
}

static double blended_l(const run_picture *r) {
    return r->count == 0 ? 0 : jl_volume_l(r->blended, JL_STRENGTH_C);
}

void picture_words_collected(const run_picture *r, char *text, size_t size) {
    char share[48] = "";
    if (r->charge_pure_l > 0)
        snprintf(share, sizeof share, " (%.1f %%%s)", 100 * picture_pure_l(r) / r->charge_pure_l,
                 r->forecast ? "" : " of the charge's");
    snprintf(text, size, "%s%zu jar%s · %.3f l at 20 °C · %.3f l of pure alcohol%s",
             r->forecast ? "a forecast: " : "", r->count, r->count == 1 ? "" : "s", blended_l(r),
             picture_pure_l(r), share);
}

void picture_words_brief(const run_picture *r, char *text, size_t size) {
    char share[32] = "";
    if (r->charge_pure_l > 0)
        snprintf(share, sizeof share, " (%.1f %%)", 100 * picture_pure_l(r) / r->charge_pure_l);
    snprintf(text, size, "%s%zu jar%s · %.2f l · %.2f l pure%s", r->forecast ? "forecast: " : "",
             r->count, r->count == 1 ? "" : "s", blended_l(r), picture_pure_l(r), share);
}
