/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/run_picture.h"
#include "answer/digits.h"
#include "answer/rest.h"
#include "answer/say.h"
#include "answer/units.h"
#include "input/logfile.h"
#include "run/run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char PICTURE_VOLUME[] = "Collected, L at 20 °C",
           PICTURE_NEVER_ALONE[] = "A running still is never left alone.";

const char *picture_strength_words(void) {
    return units_seen().proof ? "Strength at 60 °F, proof" : "Strength at 20 °C, % vol";
}

double picture_strength_end(void) {
    return difference_seen(100, PCT_VOL);
}

void picture_begin(run_picture *r) {
    *r = (run_picture){.charge_l = NAN, .charge_strength_pct = NAN, .charge_pure_l = NAN};
}

void picture_free(run_picture *r) {
    free(r->title);
    free(r->started);
    free(r->own);
    free(r->end_l);
    free(r->rest_pct);
    free(r->slices);
    jl_run_free(r->run);
    picture_begin(r);
}

static void take_jars(run_picture *r, const jl_jar *jars, size_t count) {
    double end_l = 0;
    r->jars = jars;
    r->count = count;
    r->end_l = need(calloc(count + 1, sizeof *r->end_l));
    for (size_t i = 0; i < count; i++)
        r->end_l[i] = end_l += jl_volume_l(jars[i].spirit, JL_STRENGTH_C);
}

void picture_own_jars(run_picture *r, jl_jar *jars, size_t count) {
    r->own = jars;
    take_jars(r, jars, count);
}

/* ---- out of a log ---- */

static char *copy_of(const char *text) {
    return text == NULL || *text == '\0' ? NULL : need(strdup(text));
}

static void take_words(const char *path, const jl_facts *facts, run_picture *r) {
    r->title = copy_of(jl_facts_text(facts, "title"));
    if (r->title == NULL) r->title = need(strdup(strcmp(path, "-") == 0 ? "Run" : base_name(path)));
    r->started = copy_of(jl_facts_text(facts, "started"));
}

enum { REST_MOST = 200 };

static void take_rest(run_picture *r) {
    jl_outlook *o = &r->outlook;
    jl_estimate *next = need(calloc(REST_MOST, sizeof *next));
    bool over = r->count > JARS_OF_A_RUN || jl_run_recovery(r->run)->left_stated;
    if (!over && jl_run_rest(r->run, NULL, REST_MOST, next, o) == JL_OK && !o->ahead.stop_past) {
        size_t wanted = (size_t)fmin(ceil(o->ahead.stop_l.value / o->plan.jar_l), REST_MOST);
        while (r->rest_count < wanted && !isnan(next[r->rest_count].value)) r->rest_count++;
        r->rest_jar_l = o->plan.jar_l;
    }
    r->goes_on = r->rest_count > 0;
    if (r->goes_on)
        r->rest_pct = next;
    else
        free(next);
}

static void take_record(run_picture *r) {
    size_t count;
    const jl_jar *jars = jl_run_jars(r->run, &count);
    const jl_recovery *v = jl_run_recovery(r->run);
    take_jars(r, jars, count);
    r->expected = jl_run_expected(r->run, &r->expected_count);
    if (!v->charge_stated) return;
    r->charge_l = jl_volume_l(v->charge, JL_STRENGTH_C);
    r->charge_strength_pct = jl_spirit_strength_pct(v->charge);
    r->charge = v->charge;
    r->charge_pure_l = jl_pure_alcohol_l(v->charge);
    take_rest(r);
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

static jl_status take_slices(run_picture *r) {
    enum { SLICES = 40 };
    r->slices = need(calloc(SLICES, sizeof *r->slices));
    jl_status status = jl_run_expected_slices(r->run, NULL, SLICES, r->slices, &r->slice_l);
    r->slice_count = status == JL_OK ? SLICES : 0;
    return status;
}

bool picture_knows_still(const run_picture *r) {
    return r->run != NULL && jl_facts_text(jl_run_facts(r->run), "stages") != NULL;
}

void picture_expect_if(run_picture *r) {
    take_slices(r);
}

int picture_expect(const char *path, run_picture *r) {
    jl_status status = take_slices(r);
    if (status == JL_OK) return EXIT_DONE;
    if (status == JL_MISSING)
        return fail(EXIT_DATA,
                    "%s: nothing was to be expected without charge_l and charge_strength_pct of "
                    "0.5 to 90 %% vol in the log",
                    path);
    return fail(EXIT_NO, "%s: no run was to be expected of the still as the log has it: %s", path,
                jl_status_text(status));
}

/* ---- what it shows ---- */

double picture_volume_l(const run_picture *r) {
    return r->count == 0 ? 0 : r->end_l[r->count - 1];
}

double picture_expected_l(const run_picture *r) {
    double stated_l = r->expected_count == 0 ? 0 : r->expected[r->expected_count - 1].end_l;
    return fmax(stated_l, r->slice_l * (double)r->slice_count);
}

double picture_to_come_l(const run_picture *r) {
    return picture_volume_l(r) + r->rest_jar_l * (double)r->rest_count;
}

double picture_pure_l(const run_picture *r) {
    return r->count == 0 ? 0 : jl_pure_alcohol_l(r->jars[r->count - 1].so_far);
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

jl_spirit picture_collected(const run_picture *r) {
    return r->count == 0 ? (jl_spirit){0, 0} : r->jars[r->count - 1].so_far;
}

static figure_text share_of_charge(const run_picture *r) {
    return figure_in_words(100 * picture_pure_l(r) / r->charge_pure_l,
                           digits_share_standard(picture_collected(r), r->charge), 1, "%");
}

static void words_charge(const run_picture *r, bool brief, char *text, size_t size) {
    char started[64] = "", charge[160] = "", pure[80] = "";
    if (r->started != NULL) write_started(r->started, started, sizeof started);
    if (!brief) snprintf(pure, sizeof pure, ": %s of pure alcohol", PURE_OF(r->charge));
    if (!isnan(r->charge_l) && !isnan(r->charge_strength_pct))
        snprintf(charge, sizeof charge, "charge %.4g L at 20 °C, %.3g %s%s", r->charge_l,
                 value_seen(r->charge_strength_pct, PCT_VOL), unit_seen(PCT_VOL), pure);
    else if (!isnan(r->charge_l))
        snprintf(charge, sizeof charge, "charge %.4g L at 20 °C", r->charge_l);
    snprintf(text, size, "%s%s%s", started, *started != '\0' && *charge != '\0' ? " · " : "",
             charge);
}

void picture_words_charge(const run_picture *r, char *text, size_t size) {
    words_charge(r, false, text, size);
}

void picture_words_charge_brief(const run_picture *r, char *text, size_t size) {
    words_charge(r, true, text, size);
}

void picture_words_collected(const run_picture *r, char *text, size_t size) {
    char share[80] = "";
    if (r->count == 0) {
        snprintf(text, size, "No jar yet");
        return;
    }
    if (r->charge_pure_l > 0)
        snprintf(share, sizeof share, " (%s%s)", share_of_charge(r).text,
                 r->forecast ? "" : " of the charge's");
    snprintf(text, size, "%s%zu jar%s · %s at 20 °C · %s of pure alcohol%s",
             r->forecast ? "a forecast: " : "", r->count, r->count == 1 ? "" : "s",
             LITRES(jl_volume_l(picture_collected(r), JL_STRENGTH_C)),
             PURE_OF(picture_collected(r)), share);
}

void picture_words_brief(const run_picture *r, char *text, size_t size) {
    char share[64] = "";
    if (r->charge_pure_l > 0) snprintf(share, sizeof share, " (%s)", share_of_charge(r).text);
    snprintf(text, size, "%s%zu jar%s, %s, pure alcohol %s%s", r->forecast ? "forecast: " : "",
             r->count, r->count == 1 ? "" : "s",
             LITRES(jl_volume_l(picture_collected(r), JL_STRENGTH_C)),
             PURE_OF(picture_collected(r)), share);
}

jl_spirit picture_hearts(const run_picture *r) {
    jl_spirit hearts = {0, 0};
    for (size_t i = 0; i < r->count; i++)
        if (r->jars[i].fraction == JL_HEARTS) hearts = jl_blend(hearts, r->jars[i].spirit);
    return hearts;
}

/* "hearts, jars 3-11: 2.236 L at 70.3 % vol"; nothing where no jar is hearts. */
static void words_hearts(const run_picture *r, char *text, size_t size) {
    const jl_spirit hearts = picture_hearts(r);
    size_t first = 0, last = 0, count = 0;
    char jars[80];
    for (size_t i = 0; i < r->count; i++) {
        if (r->jars[i].fraction != JL_HEARTS) continue;
        if (count++ == 0) first = i;
        last = i;
    }
    text[0] = '\0';
    if (count == 0) return;
    if (count == 1)
        snprintf(jars, sizeof jars, "jar %s", r->jars[first].name);
    else if (count == last - first + 1)
        snprintf(jars, sizeof jars, "jars %s-%s", r->jars[first].name, r->jars[last].name);
    else
        snprintf(jars, sizeof jars, "%zu jars", count);
    snprintf(text, size, "; hearts, %s: %s at %s", jars, LITRES(jl_volume_l(hearts, JL_STRENGTH_C)),
             AT_STRENGTH(jl_spirit_strength_pct(hearts)));
}

void picture_words_summary(const run_picture *r, char *text, size_t size) {
    char hearts[208];
    if (r->count == 0) {
        snprintf(text, size, "No jar yet");
        return;
    }
    words_hearts(r, hearts, sizeof hearts);
    double first_pct = jl_spirit_strength_pct(r->jars[0].spirit);
    double last_pct = jl_spirit_strength_pct(r->jars[r->count - 1].spirit);
    snprintf(text, size, "At %s: %.1f to %s%s", at_reference(units_seen()),
             value_seen(first_pct, PCT_VOL), AT_STRENGTH(last_pct), hearts);
}

void picture_words_all(const run_picture *r, char *text, size_t size) {
    char charge[256], collected[256], summary[256];
    picture_words_charge(r, charge, sizeof charge);
    picture_words_collected(r, collected, sizeof collected);
    picture_words_summary(r, summary, sizeof summary);
    snprintf(text, size, "%s%s%s. %s%s%s", charge, charge[0] != '\0' ? ". " : "", collected,
             r->count == 0 ? "" : summary, r->count == 0 ? "" : ". ",
             r->goes_on ? PICTURE_NEVER_ALONE : "");
}
