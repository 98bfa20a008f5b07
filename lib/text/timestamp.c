/* Moments, as RFC 3339 writes them and as people do, read without the C library: that reads by locale
 * and time zone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/timestamp.h"
#include "text/letters.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

typedef struct scan {
    const char *text;
    size_t length, at;
} scan;

static scan trimmed(const char *text, size_t length) {
    while (length > 0 && jl_is_blank(text[0])) text++, length--;
    while (length > 0 && jl_is_blank(text[length - 1])) length--;
    return (scan){text, length, 0};
}

/* Exactly so many digits. */
static bool take_number(scan *s, int digits, int *number) {
    int value = 0;
    for (int i = 0; i < digits; i++) {
        if (s->at >= s->length || !jl_is_digit(s->text[s->at])) return false;
        value = value * 10 + (s->text[s->at++] - '0');
    }
    *number = value;
    return true;
}

static bool take_one_of(scan *s, const char *chars, char *which) {
    if (s->at >= s->length) return false;
    for (; *chars != '\0'; chars++)
        if (s->text[s->at] == *chars) {
            *which = *chars;
            s->at++;
            return true;
        }
    return false;
}

static bool take(scan *s, char c) {
    const char chars[] = {c, '\0'};
    char which;
    return take_one_of(s, chars, &which);
}

static bool take_fraction(scan *s) {
    if (!take(s, '.')) return true;
    size_t begin = s->at;
    while (s->at < s->length && jl_is_digit(s->text[s->at])) s->at++;
    return s->at > begin;
}

/* Z, or hours and minutes east or west of it. */
static bool take_offset(scan *s, int *hours, int *minutes, int *sign) {
    char which;
    *hours = *minutes = 0;
    *sign = 1;
    if (take_one_of(s, "Zz", &which)) return true;
    if (!take_one_of(s, "+-", &which)) return false;
    *sign = which == '-' ? -1 : 1;
    return take_number(s, 2, hours) && take(s, ':') && take_number(s, 2, minutes);
}

static int days_of_month(int year, int month) {
    static const int DAYS[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return month == 2 && leap ? 29 : DAYS[month - 1];
}

/* 400 Gregorian years, and the days from 1 March of the year -400 to 1970-01-01: years are counted
 * from March on, so that a leap day ends one, and from there on, so that none is negative. */
enum { CYCLE_YEARS = 400, CYCLE_DAYS = 146097, MARCH_TO_1970 = 719468 + CYCLE_DAYS };

static int64_t days_since_1970(int year, int month, int day) {
    int64_t y = CYCLE_YEARS + (month > 2 ? year : year - 1);
    int64_t day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    int64_t from_march = y * 365 + y / 4 - y / 100 + y / 400;
    return from_march + day_of_year - MARCH_TO_1970;
}

jl_status jl_time_read(const char *text, size_t length, jl_time *time) {
    scan s = trimmed(text, length);
    int year, month, day, hour, minute, second, off_hours, off_minutes, sign;
    char between;
    bool form = take_number(&s, 4, &year) && take(&s, '-') && take_number(&s, 2, &month) &&
                take(&s, '-') && take_number(&s, 2, &day) && take_one_of(&s, "Tt ", &between) &&
                take_number(&s, 2, &hour) && take(&s, ':') && take_number(&s, 2, &minute) &&
                take(&s, ':') && take_number(&s, 2, &second) && take_fraction(&s) &&
                take_offset(&s, &off_hours, &off_minutes, &sign) && s.at == s.length;
    if (!form) return JL_FORM;
    if (month < 1 || month > 12 || day < 1 || day > days_of_month(year, month)) return JL_RANGE;
    if (hour > 23 || minute > 59 || second > 60 || off_hours > 23 || off_minutes > 59)
        return JL_RANGE;
    int offset_s = sign * (off_hours * 3600 + off_minutes * 60);
    int64_t unix_s = days_since_1970(year, month, day) * JL_DAY_S + hour * 3600 + minute * 60 +
                     second - offset_s;
    /* A leap second is the last of a day in UTC. */
    if (second == 60 && unix_s % JL_DAY_S != 0) return JL_RANGE;
    *time = (jl_time){unix_s, offset_s};
    return JL_OK;
}

/* The inverse of days_since_1970, days not before year 0. */
static void date_of_days(int64_t days, int *year, int *month, int *day) {
    int64_t n = days + MARCH_TO_1970;
    int64_t era = n / CYCLE_DAYS;
    int64_t of_era = n % CYCLE_DAYS;
    int64_t y = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int64_t of_year = of_era - (365 * y + y / 4 - y / 100);
    int64_t m = (5 * of_year + 2) / 153;
    *day = (int)(of_year - (153 * m + 2) / 5) + 1;
    *month = (int)(m < 10 ? m + 3 : m - 9);
    *year = (int)((era - 1) * CYCLE_YEARS + y + (*month <= 2 ? 1 : 0));
}

jl_status jl_time_write(jl_time time, char *text, size_t size) {
    const int64_t first = days_since_1970(0, 1, 1) * JL_DAY_S;
    const int64_t end = days_since_1970(10000, 1, 1) * JL_DAY_S;
    if (time.offset_s <= -JL_DAY_S || time.offset_s >= JL_DAY_S || time.offset_s % 60 != 0)
        return JL_RANGE;
    if (time.unix_s < first - JL_DAY_S || time.unix_s > end + JL_DAY_S) return JL_RANGE;
    int64_t local = time.unix_s + time.offset_s;
    if (local < first || local >= end) return JL_RANGE;
    int64_t from_first = local - first;
    int second = (int)(from_first % JL_DAY_S);
    int year, month, day;
    date_of_days((local - second) / JL_DAY_S, &year, &month, &day);
    int offset = time.offset_s < 0 ? -time.offset_s : time.offset_s;
    int length = snprintf(text, size, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", year, month, day,
                          second / 3600, second / 60 % 60, second % 60,
                          time.offset_s < 0 ? '-' : '+', offset / 3600, offset / 60 % 60);
    return (size_t)length < size ? JL_OK : JL_RANGE;
}

/* ---- as people write them ---- */

static void take_blanks(scan *s) {
    while (s->at < s->length && jl_is_blank(s->text[s->at])) s->at++;
}

/* One to so many digits; *digits: how many there were. */
static bool take_count(scan *s, int most, int *number, int *digits) {
    int value = 0, n = 0;
    while (s->at < s->length && n < most && jl_is_digit(s->text[s->at])) {
        value = value * 10 + (s->text[s->at++] - '0');
        n++;
    }
    *number = value;
    *digits = n;
    return n > 0;
}

/* An English month by its name or its first three letters: 1 to 12. */
static bool take_month(scan *s, int *month) {
    static const char *const NAMES[] = {"january",   "february", "march",    "april",
                                        "may",       "june",     "july",     "august",
                                        "september", "october",  "november", "december"};
    size_t letters = 0;
    while (s->at + letters < s->length && jl_is_letter(s->text[s->at + letters])) letters++;
    for (int i = 0; i < 12; i++) {
        size_t most = strlen(NAMES[i]), n = 0;
        while (n < letters && n < most && jl_lower(s->text[s->at + n]) == NAMES[i][n]) n++;
        if (n < 3 || n < letters) continue;
        s->at += letters;
        (void)take(s, '.');
        *month = i + 1;
        return true;
    }
    return false;
}

typedef struct date {
    int year, month, day;
} date;

static bool is_date(date d) {
    return d.month >= 1 && d.month <= 12 && d.day >= 1 && d.day <= days_of_month(d.year, d.month);
}

/* The rest of a date that begins with a number: "2026-10-24", "24.10.2026", "24 Oct 2026", and with
 * slashes, whose order of day and month is then still open. */
static bool take_numbered_date(scan *s, date *d, bool *slashes) {
    int first, second, digits;
    char between;
    *slashes = false;
    (void)take_count(s, 4, &first, &digits); /* a digit stands there */
    if (digits == 4) {
        if (!take_one_of(s, "-/", &between)) return false;
        d->year = first;
        return take_count(s, 2, &d->month, &digits) && take(s, between) &&
               take_count(s, 2, &d->day, &digits);
    }
    if (digits > 2) return false;
    d->day = first;
    if (take_one_of(s, "./", &between)) {
        *slashes = between == '/';
        if (!take_count(s, 2, &second, &digits) || !take(s, between)) return false;
        d->month = second;
    } else {
        (void)take(s, '-');
        take_blanks(s);
        if (!take_month(s, &d->month)) return false;
        (void)take_one_of(s, "-,", &between);
        take_blanks(s);
    }
    return take_number(s, 4, &d->year);
}

/* "Oct 24, 2026" */
static bool take_named_date(scan *s, date *d) {
    int digits;
    if (!take_month(s, &d->month)) return false;
    take_blanks(s);
    if (!take_count(s, 2, &d->day, &digits)) return false;
    (void)take(s, ',');
    take_blanks(s);
    return take_number(s, 4, &d->year);
}

/* A date; between slashes whichever of day and month can be one. JL_AMBIGUOUS: both can, and differ;
 * then *d is one reading and exchanging day and month the other. */
static jl_status take_date(scan *s, date *d) {
    bool slashes = false;
    bool form = s->at < s->length && jl_is_digit(s->text[s->at])
                    ? take_numbered_date(s, d, &slashes)
                    : take_named_date(s, d);
    if (!form) return JL_FORM;
    if (slashes) {
        date other = {d->year, d->day, d->month};
        if (is_date(*d) && is_date(other) && d->day != d->month) return JL_AMBIGUOUS;
        if (!is_date(*d)) *d = other;
    }
    return is_date(*d) ? JL_OK : JL_RANGE;
}

/* "am" and "pm", with points or without: hours to add to those of a clock of twelve, or -1. */
static int take_half_day(scan *s) {
    scan before = *s;
    char half, m;
    take_blanks(s);
    bool letter = take_one_of(s, "aApP", &half);
    (void)take(s, '.');
    if (letter && take_one_of(s, "mM", &m)) {
        (void)take(s, '.');
        return half == 'a' || half == 'A' ? 0 : 12;
    }
    *s = before;
    return -1;
}

/* "9.02" as "9:02": two digits behind the point, and neither a third nor a second point. */
static bool take_point_of_clock(scan *s) {
    scan after = *s;
    int minute, digits;
    if (!take(&after, '.') || !take_count(&after, 3, &minute, &digits) || digits != 2) return false;
    if (after.at < after.length && after.text[after.at] == '.') return false;
    s->at++;
    return true;
}

/* "9:02", "09:02:30", "9:02 pm", "9.02 pm", "9 pm" */
static jl_status take_clock(scan *s, int *second_of_day) {
    int hour, minute = 0, second = 0, digits;
    if (!take_count(s, 2, &hour, &digits)) return JL_FORM;
    bool minutes = take(s, ':') || take_point_of_clock(s);
    if (minutes && !take_number(s, 2, &minute)) return JL_FORM;
    if (minutes && take(s, ':') && !(take_number(s, 2, &second) && take_fraction(s)))
        return JL_FORM;
    int half = take_half_day(s);
    if (half < 0 && !minutes) return JL_FORM;
    if (half >= 0 && (hour < 1 || hour > 12)) return JL_RANGE;
    if (half >= 0) hour = hour % 12 + half;
    if (hour > 23 || minute > 59 || second > 59) return JL_RANGE;
    *second_of_day = hour * 3600 + minute * 60 + second;
    return JL_OK;
}

/* As take_offset, but the colon and the minutes may be left out (ISO 8601). */
static jl_status take_any_offset(scan *s, jl_written_time *w) {
    int hours = 0, minutes = 0;
    char which;
    take_blanks(s);
    if (s->at == s->length) return JL_OK;
    if (!take_one_of(s, "Zz+-", &which)) return JL_FORM;
    if (which == '+' || which == '-') {
        if (!take_number(s, 2, &hours)) return JL_FORM;
        bool colon = take(s, ':');
        if ((colon || s->at < s->length) && !take_number(s, 2, &minutes)) return JL_FORM;
        if (hours > 23 || minutes > 59) return JL_RANGE;
    }
    w->has_offset = true;
    w->offset_s = (which == '-' ? -1 : 1) * (hours * 3600 + minutes * 60);
    return s->at == s->length ? JL_OK : JL_FORM;
}

/* A time begins like a date: what stands behind its digits tells. 9.02 alone may be a day in February, and
 * is no time; 9.02 pm and 9.45 are. */
static bool begins_with_clock(scan s) {
    int number, digits, minute;
    if (!take_count(&s, 2, &number, &digits)) return false;
    if (!take_point_of_clock(&s)) return take(&s, ':') || take_half_day(&s) >= 0;
    (void)take_count(&s, 2, &minute, &digits);
    return minute == 0 || minute > 12 || take_half_day(&s) >= 0;
}

/* Between a date and a time: T, a comma, "at" or blanks alone. */
static void take_between(scan *s) {
    char t;
    if (take_one_of(s, "Tt", &t)) return;
    (void)take(s, ',');
    take_blanks(s);
    if (s->length - s->at > 2 && jl_lower(s->text[s->at]) == 'a' &&
        jl_lower(s->text[s->at + 1]) == 't') {
        s->at += 2;
        take_blanks(s);
    }
}

jl_status jl_written_time_read(const char *text, size_t length, jl_written_time *written) {
    jl_time exact;
    jl_written_time w = {0};
    if (jl_time_read(text, length, &exact) == JL_OK) {
        int64_t local = exact.unix_s + exact.offset_s;
        w = (jl_written_time){.has_date = true,
                              .has_clock = true,
                              .has_offset = true,
                              .second_of_day = (int)((local % JL_DAY_S + JL_DAY_S) % JL_DAY_S),
                              .offset_s = exact.offset_s};
        w.days = (local - w.second_of_day) / JL_DAY_S;
        *written = w;
        return JL_OK;
    }
    scan s = trimmed(text, length);
    jl_status status = JL_OK;
    if (!begins_with_clock(s)) {
        date d = {0, 0, 0};
        status = take_date(&s, &d);
        if (status != JL_OK) return status;
        w.has_date = true;
        w.days = days_since_1970(d.year, d.month, d.day);
        if (s.at == s.length) {
            *written = w;
            return JL_OK;
        }
        take_between(&s);
    }
    w.has_clock = true;
    status = take_clock(&s, &w.second_of_day);
    if (status == JL_OK) status = take_any_offset(&s, &w);
    if (status == JL_OK) *written = w;
    return status;
}

/* d is a date: its numbers are small and not negative. */
static void write_date(unsigned year, unsigned month, unsigned day, char text[JL_DATE_BYTES]) {
    snprintf(text, JL_DATE_BYTES, "%04u-%02u-%02u", year % 10000, month % 100, day % 100);
}

jl_status jl_date_readings(const char *text, size_t length, char first[JL_DATE_BYTES],
                           char second[JL_DATE_BYTES]) {
    scan s = trimmed(text, length);
    date d = {0, 0, 0};
    if (take_date(&s, &d) != JL_AMBIGUOUS) return JL_NO;
    write_date((unsigned)d.year, (unsigned)d.month, (unsigned)d.day, first);
    write_date((unsigned)d.year, (unsigned)d.day, (unsigned)d.month, second);
    return JL_OK;
}

jl_status jl_time_of_written(const jl_written_time *w, const jl_time *before, int offset_s,
                             jl_time *time) {
    if (!w->has_clock || (!w->has_date && before == NULL)) return JL_MISSING;
    int offset = w->has_offset ? w->offset_s : offset_s;
    if (offset <= -JL_DAY_S || offset >= JL_DAY_S) return JL_RANGE;
    int64_t days = w->days;
    if (!w->has_date) {
        int64_t local = before->unix_s + offset;
        int64_t of_day = (local % JL_DAY_S + JL_DAY_S) % JL_DAY_S;
        days = (local - of_day) / JL_DAY_S;
        if (days * JL_DAY_S + w->second_of_day < local) days++;
    }
    *time = (jl_time){days * JL_DAY_S + w->second_of_day - offset, offset};
    return JL_OK;
}

/* Of the machine's clock about when it shows so many seconds since 1970. */
static int offset_of_machine(int64_t wall_s) {
    const time_t when = (time_t)wall_s;
    struct tm local = {0};
    localtime_r(&when, &local);
    return (int)(local.tm_gmtoff / 60 * 60);
}

static void note_typed(const jl_written_time *w, jl_time time, jl_typed_times *typed) {
    if (typed == NULL || (w->has_date && w->has_offset)) return;
    if (typed->count == 0 || time.unix_s < typed->first.unix_s) typed->first = time;
    if (typed->count == 0 || time.unix_s > typed->last.unix_s) typed->last = time;
    typed->count++;
}

jl_status jl_time_in_cell(const char *text, size_t length, const jl_time *before, jl_time *time,
                          jl_typed_times *typed) {
    jl_written_time w;
    jl_status status = jl_written_time_read(text, length, &w);
    if (status != JL_OK) return status;
    int offset_s = before != NULL ? before->offset_s
                   : w.has_offset ? 0
                                  : offset_of_machine(w.days * JL_DAY_S + w.second_of_day);
    status = jl_time_of_written(&w, before, offset_s, time);
    if (status == JL_OK) note_typed(&w, *time, typed);
    return status;
}
