/* What of a jar does not fit what was expected, or what came before it, and what was meant.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jars.h"
#include "run/run.h"
#include "spirit/spirit.h"
#include "text/digits.h"
#include "text/quantity.h"

#include <math.h>
#include <string.h>

/* Common practice, no source: what a slip of the pen exceeds and a run seldom does. */
static const double FORECAST_PCT = 5, FITS_PCT = 2, RISE_PCT = 3, FALL_PCT = 10;
static const double TEMP_C = 8, HEAD_C = 5, HEAD_FORECAST_C = 8, BOILER_C = 5, COLDER_C = 0.5;
static const double LONG_S = 12 * 3600;
static const double VOLUME_TIMES = 5, FIRST_TIMES = 20, FITS_TIMES = 2;

/* Of spirit, near enough to tell a jar by its weight: 0.83 to 0.97 from 90 to 20 % vol. */
static const double KG_PER_L = 0.9;

/* And what jars, heads and boilers usually have. */
typedef struct bounds {
    double least, most;
} bounds;

static const bounds USUAL[JL_JAR_FIGURES] = {
    [JL_JAR_VOLUME] = {JL_JAR_SMALL_L, 50},
    [JL_JAR_TEMP] = {2, 38},
    [JL_JAR_HEAD] = {60, 102},
    [JL_JAR_BOILER] = {60, 112},
    [JL_JAR_WEIGHT] = {0.01, 60},
    [JL_JAR_EMPTY] = {0.005, 15},
    [JL_JAR_SPOUT_TEMP] = {2, 38},
};

/* ---- units ---- */

static bool is_proof(const jl_column *column) {
    return jl_column_is_in(column, &jl_units[JL_PROOF]);
}

/* The column that a figure would get in a log like this one; an empty jar is weighed on the full
 * one's scale. */
static const jl_column *column_like(const jl_columns *columns, jl_jar_figure figure) {
    const jl_column *const *what = columns->what;
    if (figure == JL_JAR_EMPTY && what[JL_ROLE_WEIGHT] != NULL) return what[JL_ROLE_WEIGHT];
    return jl_column_like(columns, jl_role_of(figure),
                          is_proof(what[JL_ROLE_READING]) || is_proof(what[JL_ROLE_STRENGTH]) ||
                              is_proof(what[JL_ROLE_SPOUT]));
}

static const jl_column *column_of(const jl_run *run, jl_jar_figure figure) {
    const jl_columns *columns = jl_run_columns(run);
    const jl_column *column = columns->what[jl_role_of(figure)];
    return column != NULL ? column : column_like(columns, figure);
}

jl_log_unit jl_run_unit(const jl_run *run, jl_jar_figure figure) {
    const jl_column *column = column_of(run, figure);
    const jl_unit_of_kind *u = column->unit != NULL ? column->unit : &jl_units[JL_PLAIN];
    return (jl_log_unit){
        u->factor, u->offset, jl_in_unit(u, column->least), jl_in_unit(u, column->most),
        u->unit,   u->shown};
}

double jl_run_strength(const jl_run *run, double pct) {
    return jl_strength_on(jl_run_unit(run, JL_JAR_READING).scale, pct);
}

static double to_log(const jl_run *run, jl_jar_figure figure, double value) {
    return jl_in_unit(column_of(run, figure)->unit, value);
}

static double from_log(const jl_run *run, jl_jar_figure figure, double number) {
    return jl_from_unit(column_of(run, figure)->unit, number);
}

/* ---- a figure beside others ---- */

typedef struct look {
    const jl_run *run;
    const jl_jar *before; /* NULL: none */
    jl_jar jar;
    double from_l, to_l; /* that it holds of the run, at 20 °C */
} look;

/* Where a jar's place in the run is not known yet, it is as large as the one before. */
static look look_of(const jl_run *run, const jl_jar *before, const jl_jar *jar) {
    look l = {.run = run, .before = before, .jar = *jar};
    double volume_l = jar->volume_l;
    if (isnan(volume_l) && before != NULL) volume_l = before->volume_l;
    l.from_l = before == NULL ? 0 : before->until_l;
    l.to_l = l.from_l + volume_l;
    return l;
}

static bool has_number(jl_quantity q) {
    return !isnan(q.value);
}

/* What an instrument shows, or what is stated, of the jar or of the running spout. */
typedef struct shown {
    jl_quantity number;
    double temp_c;
    bool is_reading;
} shown;

static double first_number(double a, double b) {
    return isnan(a) ? b : a;
}

/* As far as it is known, the temperature is that of the jar before. */
static shown shown_of(const look *l, jl_jar_figure figure) {
    double before_c = l->before == NULL ? JL_STRENGTH_C : l->before->temp_c;
    double temp_c = first_number(first_number(l->jar.temp_c, before_c), JL_STRENGTH_C);
    bool reading = has_number(l->jar.reading);
    if (figure == JL_JAR_SPOUT)
        return (shown){l->jar.spout, first_number(l->jar.spout_temp_c, temp_c), true};
    return (shown){reading ? l->jar.reading : l->jar.strength, temp_c, reading};
}

/* % vol at 20 °C; NaN where no mixture has that reading. */
static double strength_pct(const look *l, jl_jar_figure figure) {
    double p, pct;
    jl_alcoholometer instrument = jl_run_instrument(l->run);
    shown s = shown_of(l, figure);
    jl_status status = s.is_reading
                           ? jl_reading_to_mass_fraction(&instrument, s.number, s.temp_c, &p)
                           : jl_strength_to_mass_fraction(s.number, &p);
    if (status == JL_OK) status = jl_strength_pct(p, JL_STRENGTH_C, &pct);
    return status == JL_OK ? pct : NAN;
}

/* What the log would have for such a strength in place of the jar's figure. */
static double shown_of_pct(const look *l, jl_jar_figure figure, double pct) {
    double p, number;
    jl_alcoholometer instrument = jl_run_instrument(l->run);
    shown s = shown_of(l, figure);
    if (!s.is_reading) return jl_strength_on(s.number.unit, pct);
    jl_status status = jl_strength_to_mass_fraction((jl_quantity){pct, JL_UNIT_PCT_VOL}, &p);
    if (status == JL_OK)
        status = jl_reading_from_mass_fraction(&instrument, p, s.temp_c, s.number.unit, &number);
    return status == JL_OK ? number : NAN;
}

static double expected_pct(const look *l) {
    return jl_run_expected_pct(l->run, l->from_l, l->to_l);
}

static const jl_expected *expected_row(const look *l) {
    size_t count;
    const jl_expected *rows = jl_run_expected(l->run, &count);
    double middle_l = isnan(l->to_l) ? l->from_l : (l->from_l + l->to_l) / 2;
    for (size_t i = 0; i < count; i++)
        if (middle_l < rows[i].end_l) return &rows[i];
    return NULL;
}

/* As large as the largest of the jars that were expected: others end with a fraction. */
static double expected_jar_l(const jl_run *run) {
    size_t count;
    const jl_expected *rows = jl_run_expected(run, &count);
    double most = NAN;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, rows[i].end_l - (i == 0 ? 0 : rows[i - 1].end_l));
    return most;
}

/* A strength that is stated stands for the reading that there is not. */
static jl_role role_in(const jl_jar *jar, jl_jar_figure figure) {
    bool stated =
        figure == JL_JAR_READING && !has_number(jar->reading) && has_number(jar->strength);
    return stated ? JL_ROLE_STRENGTH : jl_role_of(figure);
}

static double value_of(const jl_jar *jar, jl_jar_figure figure) {
    if (figure == JL_JAR_TIME) return jar->has_time ? (double)jar->time.unix_s : NAN;
    return jl_jar_number(jar, role_in(jar, figure));
}

static bool is_scale(jl_jar_figure figure) {
    return figure == JL_JAR_READING || figure == JL_JAR_SPOUT;
}

/* In l, kg, °C or a scale's own number, as found; *slip has them as the log writes them. */
static bool found(const look *l, jl_jar_figure figure, jl_slip_by by, double beside,
                  jl_slip *slip) {
    bool plain = is_scale(figure) || figure == JL_JAR_TIME;
    double is = value_of(&l->jar, figure);
    *slip = (jl_slip){.figure = figure,
                      .by = by,
                      .is = plain ? is : to_log(l->run, figure, is),
                      .beside = plain ? beside : to_log(l->run, figure, beside),
                      .offset_s = l->jar.time.offset_s,
                      .guess = {NAN, NAN, NULL}};
    return true;
}

/* ---- strength ---- */

/* % vol at 20 °C. */
typedef struct strengths {
    double is, expected, was, was_expected; /* of the jar before; NaN: there is none */
} strengths;

/* A jar's strength is its mean. */
static strengths strengths_of_jars(const look *l) {
    const jl_jar *b = l->before;
    bool any = b != NULL;
    return (strengths){strength_pct(l, JL_JAR_READING), expected_pct(l),
                       any ? jl_spirit_strength_pct(b->spirit) : NAN,
                       any ? jl_run_expected_pct(l->run, b->before_l, b->until_l) : NAN};
}

/* Around the end of a jar: what is expected there of the spout. */
static double expected_at_end(const look *l, double from_l, double to_l) {
    double half_l = (to_l - from_l) / 2;
    return jl_run_expected_pct(l->run, to_l - half_l, to_l + half_l);
}

static strengths strengths_of_spout(const look *l) {
    const jl_jar *b = l->before;
    strengths s = {strength_pct(l, JL_JAR_SPOUT), expected_at_end(l, l->from_l, l->to_l), NAN, NAN};
    if (b == NULL) return s;
    look was = {.run = l->run, .jar = *b};
    bool same = has_number(b->spout);
    s.was = same ? strength_pct(&was, JL_JAR_SPOUT) : jl_spirit_strength_pct(b->spirit);
    s.was_expected = same ? expected_at_end(l, b->before_l, b->until_l)
                          : jl_run_expected_pct(l->run, b->before_l, b->until_l);
    return s;
}

static strengths strengths_of(const look *l, jl_jar_figure figure) {
    strengths s = figure == JL_JAR_SPOUT ? strengths_of_spout(l) : strengths_of_jars(l);
    jl_quantity q = shown_of(l, figure).number;
    if (isnan(s.is)) s.is = q.value / jl_per_pct(q.unit);
    return s;
}

static double shown_before(const look *l, jl_jar_figure figure, double was_pct) {
    const jl_jar *b = l->before;
    shown now = shown_of(l, figure);
    jl_quantity was = figure == JL_JAR_SPOUT ? b->spout : b->reading;
    if (now.is_reading && has_number(was) && was.unit == now.number.unit) return was.value;
    return shown_of_pct(l, figure, was_pct);
}

/* How much the strength fell to the jar before; 0 where none came before it. In large jars it falls
 * fast, and from jar to jar faster: common practice, no source. */
static double fall_before(const look *l) {
    const jl_jar *above = jl_run_jar(l->run, 0), *jar;
    for (size_t i = 1; l->before != NULL && (jar = jl_run_jar(l->run, i)) != NULL; i++) {
        if (strcmp(jar->name, l->before->name) == 0)
            return fmax(jl_spirit_strength_pct(above->spirit) - jl_spirit_strength_pct(jar->spirit),
                        0);
        above = jar;
    }
    return 0;
}

/* A run that goes its own way is said once and not at every jar. */
static bool look_at_strength(const look *l, jl_jar_figure figure, jl_slip *slip) {
    strengths s = strengths_of(l, figure);
    double apart = s.is - s.expected, rise = s.is - s.was;
    bool as_before = fabs(s.was - s.was_expected - apart) < RISE_PCT;
    if ((rise > RISE_PCT || rise < -fmax(FALL_PCT, 1.5 * fall_before(l))) &&
        !(fabs(apart) <= FITS_PCT))
        return found(l, figure, JL_SLIP_BEFORE, shown_before(l, figure, s.was), slip);
    if (fabs(apart) > FORECAST_PCT && !as_before)
        return found(l, figure, JL_SLIP_EXPECTED, shown_of_pct(l, figure, s.expected), slip);
    return false;
}

/* ---- the other figures ---- */

static bool beyond(double times, double most) {
    return times > most || times < 1 / most;
}

/* Less may well be all that came. A fifth and below is a digit lost, and above that a number that a
 * thermometer or an alcoholometer shows may be the answer to a later question. */
static bool is_less(const look *l, double times) {
    double number = to_log(l->run, JL_JAR_VOLUME, l->jar.volume_l);
    bool gauged = number >= to_log(l->run, JL_JAR_TEMP, USUAL[JL_JAR_TEMP].least) &&
                  number <= to_log(l->run, JL_JAR_BOILER, USUAL[JL_JAR_BOILER].most);
    return times < 1 / (gauged ? FITS_TIMES : VOLUME_TIMES);
}

static bool is_other(const look *l, double times) {
    return times > FITS_TIMES || is_less(l, times);
}

/* Beside the jar before; where jars of a size are expected, unless it is nearly of that. */
static bool is_other_volume(const look *l) {
    double expected = expected_jar_l(l->run), was_l = l->before->volume_l, is = l->jar.volume_l;
    if (isnan(expected)) return is / was_l > VOLUME_TIMES || is_less(l, is / was_l);
    return is_other(l, is / expected) && is_other(l, is / was_l);
}

static bool look_at_volume(const look *l, jl_slip *slip) {
    double is = l->jar.volume_l, expected = expected_jar_l(l->run);
    const jl_recovery *r = jl_run_recovery(l->run);
    double charge_l = r->charge_stated ? jl_volume_l(r->charge, JL_STRENGTH_C) : NAN;
    if (l->from_l + is > charge_l)
        return found(l, JL_JAR_VOLUME, JL_SLIP_CHARGE, charge_l - l->from_l, slip);
    if (l->before != NULL)
        return is_other_volume(l) &&
               found(l, JL_JAR_VOLUME, JL_SLIP_BEFORE, l->before->volume_l, slip);
    return (is / expected > VOLUME_TIMES || is / expected < 1 / FIRST_TIMES) &&
           found(l, JL_JAR_VOLUME, JL_SLIP_EXPECTED, expected, slip);
}

static bool look_beside_weight(const look *l, jl_slip *slip) {
    double weighed_l;
    return jl_run_amounts_differ(l->run, &l->jar, &weighed_l) &&
           found(l, JL_JAR_VOLUME, JL_SLIP_WEIGHT, weighed_l, slip);
}

/* Its own, that of the jar before, or that of all. */
static double empty_kg(const look *l) {
    double all = jl_setting_value(jl_run_settings(l->run), JL_KEY_EMPTY);
    bool weighed = l->before != NULL && l->before->by_weight;
    return first_number(l->jar.empty_kg, weighed ? l->before->empty_kg : all);
}

/* By the volume that it comes to. */
static bool look_at_weight(const look *l, jl_slip *slip) {
    look by_volume = *l;
    jl_slip s;
    double empty = empty_kg(l), is_l = (l->jar.weight_kg - empty) / KG_PER_L;
    bool weighed = l->before != NULL && l->before->by_weight;
    if (is_l <= 0) return found(l, JL_JAR_WEIGHT, JL_SLIP_EMPTY, empty, slip);
    if (isnan(is_l)) return false;
    by_volume.jar.volume_l = is_l;
    by_volume.to_l = l->from_l + is_l;
    if (!look_at_volume(&by_volume, &s)) return false;
    double beside = empty + from_log(l->run, JL_JAR_VOLUME, s.beside) * KG_PER_L;
    if (s.by == JL_SLIP_BEFORE && weighed) beside = l->before->weight_kg;
    return found(l, JL_JAR_WEIGHT, s.by, beside, slip);
}

static bool look_at_empty(const look *l, jl_slip *slip) {
    double was = l->before == NULL ? NAN : l->before->empty_kg;
    return beyond(l->jar.empty_kg / was, FITS_TIMES) &&
           found(l, JL_JAR_EMPTY, JL_SLIP_BEFORE, was, slip);
}

static bool look_at_usual(const look *l, jl_jar_figure figure, jl_slip *slip) {
    double is = value_of(&l->jar, figure);
    bounds usual = USUAL[figure];
    if (is < usual.least) return found(l, figure, JL_SLIP_USUAL, usual.least, slip);
    if (is > usual.most) return found(l, figure, JL_SLIP_USUAL, usual.most, slip);
    return false;
}

static bool look_before(const look *l, jl_jar_figure figure, double most_c, jl_slip *slip) {
    if (l->before == NULL) return false;
    double was = value_of(l->before, figure);
    return fabs(value_of(&l->jar, figure) - was) > most_c &&
           found(l, figure, JL_SLIP_BEFORE, was, slip);
}

static bool look_at_head(const look *l, jl_slip *slip) {
    const jl_expected *row = expected_row(l);
    double expected = row == NULL ? NAN : row->head_c;
    if (look_before(l, JL_JAR_HEAD, HEAD_C, slip)) return true;
    if (l->before != NULL && !isnan(l->before->head_c)) return false;
    return fabs(l->jar.head_c - expected) > HEAD_FORECAST_C &&
           found(l, JL_JAR_HEAD, JL_SLIP_EXPECTED, expected, slip);
}

static bool look_at_boiler(const look *l, jl_slip *slip) {
    if (look_before(l, JL_JAR_BOILER, BOILER_C, slip)) return true;
    return l->jar.boiler_c < l->jar.head_c - COLDER_C &&
           found(l, JL_JAR_BOILER, JL_SLIP_VAPOUR, l->jar.head_c, slip);
}

/* By the minute, as times are typed. */
static bool is_earlier(int64_t a_s, int64_t b_s) {
    return a_s / 60 < b_s / 60;
}

/* A log keeps fewer digits than a pint or a degree Fahrenheit has. */
static bool same_or_none(double a, double b) {
    return fabs(a - b) <= 1e-3 * fabs(b) || (isnan(a) && isnan(b));
}

bool jl_run_same_jar(const jl_jar *before, const jl_jar *jar) {
    if (before == NULL || !before->has_time || !jar->has_time ||
        fabs((double)jar->time.unix_s - (double)before->time.unix_s) >= JL_JAR_SHORTEST_S)
        return false;
    jl_role from = jar->by_weight ? JL_ROLE_READING : JL_ROLE_VOLUME;
    for (jl_role role = from; role <= JL_ROLE_TAKEN; role++)
        if (!same_or_none(jl_jar_number(before, role), jl_jar_number(jar, role))) return false;
    return jar->note == NULL || strcmp(jar->note, before->note) == 0;
}

/* The first jar behind it in the run; NULL: it is the last, or its place is not known yet. */
static const jl_jar *jar_behind(const look *l) {
    size_t count;
    const jl_jar *jars = jl_run_jars(l->run, &count);
    for (size_t i = 0; l->jar.name[0] != '\0' && i < count; i++)
        if (jl_jar_key_of(&jars[i]) > jl_jar_key_of(&l->jar)) return &jars[i];
    return NULL;
}

static bool look_at_time(const look *l, const jl_time *now, jl_slip *slip) {
    jl_time started = {0, 0}, on;
    const jl_jar *b = l->before;
    int64_t is = l->jar.time.unix_s;
    const jl_jar *after = jar_behind(l);
    bool known = b != NULL && b->has_time;
    if (jl_run_same_jar(b, &l->jar))
        return found(l, JL_JAR_TIME, JL_SLIP_SAME, (double)b->time.unix_s, slip);
    if (now != NULL && is_earlier(now->unix_s, is))
        return found(l, JL_JAR_TIME, JL_SLIP_FUTURE, (double)now->unix_s, slip);
    if (known && is_earlier(is, b->time.unix_s))
        return found(l, JL_JAR_TIME, JL_SLIP_BEFORE, (double)b->time.unix_s, slip);
    if (after != NULL && after->has_time && is_earlier(after->time.unix_s, is))
        return found(l, JL_JAR_TIME, JL_SLIP_AFTER, (double)after->time.unix_s, slip);
    bool begun = jl_run_started(l->run, &started);
    if (begun && is_earlier(is, started.unix_s))
        return found(l, JL_JAR_TIME, JL_SLIP_START, (double)started.unix_s, slip);
    jl_time last = known ? b->time : started;
    return (known || begun) && (double)(is - last.unix_s) > LONG_S &&
           !jl_run_resumed(l->run, last, l->jar.time, &on) &&
           found(l, JL_JAR_TIME, JL_SLIP_LONG, (double)last.unix_s, slip);
}

/* Beside the jar before, or what is expected; *kept: such a figure of the jar before stood, however
 * unusual. */
static bool look_beside(const look *l, jl_jar_figure figure, const jl_time *now, jl_slip *slip,
                        bool *kept) {
    *kept = l->before != NULL && !isnan(value_of(l->before, figure));
    switch (figure) {
    case JL_JAR_VOLUME:
        return look_beside_weight(l, slip) || look_at_volume(l, slip);
    case JL_JAR_READING:
    case JL_JAR_SPOUT:
        *kept = true;
        return look_at_strength(l, figure, slip);
    case JL_JAR_TEMP:
    case JL_JAR_SPOUT_TEMP:
        return look_before(l, figure, TEMP_C, slip);
    case JL_JAR_HEAD:
        *kept = false;
        return look_at_head(l, slip);
    case JL_JAR_BOILER:
        *kept = false;
        return look_at_boiler(l, slip);
    case JL_JAR_WEIGHT:
        return look_at_weight(l, slip);
    case JL_JAR_EMPTY:
        return look_at_empty(l, slip);
    default: /* JL_JAR_TIME */
        *kept = true;
        return look_at_time(l, now, slip);
    }
}

/* The volume of a jar that was weighed is no figure of its own. */
static bool look_at(const look *l, jl_jar_figure figure, const jl_time *now, jl_slip *slip) {
    bool kept;
    if (isnan(value_of(&l->jar, figure))) return false;
    if (figure == JL_JAR_VOLUME && l->jar.by_weight) return false;
    return look_beside(l, figure, now, slip, &kept) || (!kept && look_at_usual(l, figure, slip));
}

/* ---- what was meant ---- */

static void set_value(jl_jar *jar, jl_jar_figure figure, jl_unit scale, double value) {
    jl_role role = role_in(jar, figure);
    *jl_jar_place(jar, role) = value;
    if (is_scale(figure))
        (role == JL_ROLE_STRENGTH ? &jar->strength
         : role == JL_ROLE_SPOUT  ? &jar->spout
                                  : &jar->reading)
            ->unit = scale;
}

typedef struct guessing {
    const jl_run *run;
    const jl_jar *before, *jar;
    jl_jar_figure figure;
    jl_log_unit unit;
    double likely;    /* in the unit of the log */
    jl_guess nearest; /* to it */
} guessing;

/* How far from what is likely a guess may lie: less than what makes a slip. */
static bool is_near(const guessing *g, double number) {
    double apart = fabs(number - g->likely) * g->unit.factor;
    switch (g->figure) {
    case JL_JAR_VOLUME:
    case JL_JAR_WEIGHT:
    case JL_JAR_EMPTY:
        return !beyond(number / g->likely, FITS_TIMES);
    case JL_JAR_READING:
    case JL_JAR_SPOUT:
        return apart <= jl_per_pct(g->unit.scale) * RISE_PCT;
    case JL_JAR_TEMP:
    case JL_JAR_SPOUT_TEMP:
        return apart <= TEMP_C;
    default:
        return apart <= HEAD_FORECAST_C;
    }
}

/* What the jar would be with another number. */
static look look_with(const guessing *g, double number) {
    jl_jar jar = *g->jar;
    bool plain = is_scale(g->figure);
    set_value(&jar, g->figure, g->unit.scale, plain ? number : from_log(g->run, g->figure, number));
    return look_of(g->run, g->before, &jar);
}

static void try_number(guessing *g, double number, double typed, const char *unit) {
    jl_slip slip;
    bool in_range = number >= g->unit.least && number <= g->unit.most && number > 0;
    bool nearer = !(fabs(number - g->likely) >= fabs(g->nearest.number - g->likely));
    if (!in_range || !nearer || !is_near(g, number)) return;
    look l = look_with(g, number);
    bool mixture = !is_scale(g->figure) || !isnan(strength_pct(&l, g->figure));
    if (mixture && !look_at(&l, g->figure, NULL, &slip))
        g->nearest = (jl_guess){number, typed, unit};
}

/* The same digits in the unit that the log does not have. */
static void try_unit(guessing *g, double typed) {
    const jl_unit_of_kind *own = column_of(g->run, g->figure)->unit, *other = jl_unit_beside(own);
    if (other != NULL)
        try_number(g, jl_in_unit(own, jl_from_unit(other, typed)), typed, other->shown);
}

static void try_meant(void *with, double number) {
    try_number(with, number, NAN, NULL);
}

static double likely_value(const look *l, jl_jar_figure figure) {
    const jl_jar *b = l->before;
    double was = b == NULL ? NAN : value_of(b, figure);
    const jl_expected *row = expected_row(l);
    bounds usual = USUAL[figure];
    if (figure == JL_JAR_HEAD && isnan(was) && row != NULL) was = row->head_c;
    if (figure == JL_JAR_VOLUME && isnan(was)) was = expected_jar_l(l->run);
    if (figure == JL_JAR_WEIGHT && isnan(was))
        was = empty_kg(l) + KG_PER_L * expected_jar_l(l->run);
    return isnan(was) ? (usual.least + usual.most) / 2 : was;
}

/* A strength goes on as it was expected to from the jar before. */
static double likely_shown(const look *l, jl_jar_figure figure) {
    strengths s = strengths_of(l, figure);
    double goes = s.was + (s.expected - s.was_expected);
    double pct = l->before == NULL ? s.expected : first_number(goes, s.was);
    return shown_of_pct(l, figure, first_number(pct, 70));
}

jl_guess jl_run_guess(const jl_run *run, const jl_jar *before, const jl_jar *jar,
                      jl_jar_figure figure, double typed) {
    guessing g = {.run = run, .before = before, .jar = jar, .figure = figure};
    g.nearest = (jl_guess){NAN, NAN, NULL};
    if (figure == JL_JAR_TIME || !(fabs(typed) < 1e9)) return g.nearest;
    g.unit = jl_run_unit(run, figure);
    look l = look_with(&g, 1);
    g.likely =
        is_scale(figure) ? likely_shown(&l, figure) : to_log(run, figure, likely_value(&l, figure));
    try_unit(&g, typed);
    jl_other_points(typed, try_meant, &g);
    if (isnan(g.nearest.number)) jl_other_digits(typed, try_meant, &g);
    return g.nearest;
}

bool jl_run_slip(const jl_run *run, const jl_jar *before, const jl_jar *jar, jl_jar_figure figure,
                 const jl_time *now, jl_slip *slip) {
    look l = look_of(run, before, jar);
    if (!look_at(&l, figure, now, slip)) return false;
    if (slip->by != JL_SLIP_WEIGHT) /* that is what was meant */
        slip->guess = jl_run_guess(run, before, jar, figure, slip->is);
    return true;
}

void jl_run_slips(const jl_run *run, const jl_jar *before, const jl_jar *jar, const jl_time *now,
                  jl_slips *slips) {
    slips->count = 0;
    for (int f = 0; f < JL_JAR_FIGURES; f++)
        slips->count +=
            jl_run_slip(run, before, jar, (jl_jar_figure)f, now, &slips->of[slips->count]);
}

/* ---- What is left in the boiler ---- */

bool jl_run_left_slip(const jl_run *run, const jl_left *left, double *most) {
    const jl_recovery *r = jl_run_recovery(run);
    if (!r->charge_stated) return false;
    double charge_l = jl_volume_l(r->charge, JL_STRENGTH_C);
    bool volume = !isnan(left->volume_l);
    *most = volume ? charge_l - jl_volume_l(r->collected, JL_STRENGTH_C)
                   : jl_spirit_strength_pct(r->charge);
    if (volume) return left->volume_l > *most + charge_l / 10;
    return left->reading.value / jl_per_pct(left->reading.unit) > *most;
}

/* ---- The volume of the next jar ---- */

/* Jars alike differ by no more than this, one of a size by no more than that; a small one is less than
 * half of it. */
static const double ALIKE = 0.2, OF_A_SIZE = 0.1, SMALL = 0.5;
enum { ALIKE_ENOUGH = 3 };

static double size_said_l(const jl_run *run, double bench_l) {
    const jl_settings *s = jl_run_settings(run);
    double expected_l = expected_jar_l(run);
    if (!isnan(expected_l)) return expected_l;
    return jl_is_stated(s, JL_KEY_JAR) ? jl_setting_value(s, JL_KEY_JAR) : bench_l;
}

/* How many jars up to this one are as large as it, of those that count from the first on. */
static size_t alike(const jl_jar *first, const jl_jar *last) {
    size_t count = 1;
    while (last - count >= first && fabs((last - count)->volume_l / last->volume_l - 1) <= ALIKE)
        count++;
    return count;
}

static double last_not_small_l(const jl_jar *first, const jl_jar *last) {
    double most_l = 0;
    for (const jl_jar *jar = first; jar <= last; jar++) most_l = fmax(most_l, jar->volume_l);
    while (last->volume_l < SMALL * most_l) last--;
    return last->fraction == JL_FORESHOTS ? NAN : last->volume_l;
}

double jl_run_next_volume_l(const jl_run *run, const jl_jar *before, double bench_l) {
    size_t count;
    const jl_jar *first = jl_run_jars(run, &count);
    if (before == NULL) return NAN;
    double size_l = size_said_l(run, bench_l), was_l = before->volume_l;
    size_t same = alike(first, before);
    if (same >= ALIKE_ENOUGH) return was_l;
    if (isnan(size_l)) return last_not_small_l(first, before);
    bool of_size = fabs(was_l / size_l - 1) <= OF_A_SIZE || (same > 1 && was_l >= SMALL * size_l);
    return of_size ? was_l : size_l;
}
