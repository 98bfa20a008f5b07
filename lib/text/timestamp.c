/* Moments as RFC 3339 writes them, read without the C library: that reads by locale and time zone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <stdio.h>

typedef struct scan {
    const char *text;
    size_t length, at;
} scan;

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* Exactly so many digits. */
static bool take_number(scan *s, int digits, int *number) {
    int value = 0;
    for (int i = 0; i < digits; i++) {
        if (s->at >= s->length || !is_digit(s->text[s->at])) return false;
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
    while (s->at < s->length && is_digit(s->text[s->at])) s->at++;
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
    while (length > 0 && is_blank(text[0])) text++, length--;
    while (length > 0 && is_blank(text[length - 1])) length--;
    scan s = {text, length, 0};
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
    int64_t unix_s =
        days_since_1970(year, month, day) * 86400 + hour * 3600 + minute * 60 + second - offset_s;
    /* A leap second is the last of a day in UTC. */
    if (second == 60 && unix_s % 86400 != 0) return JL_RANGE;
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
    const int64_t first = days_since_1970(0, 1, 1) * 86400;
    const int64_t end = days_since_1970(10000, 1, 1) * 86400;
    if (time.offset_s <= -86400 || time.offset_s >= 86400 || time.offset_s % 60 != 0)
        return JL_RANGE;
    if (time.unix_s < first - 86400 || time.unix_s > end + 86400) return JL_RANGE;
    int64_t local = time.unix_s + time.offset_s;
    if (local < first || local >= end) return JL_RANGE;
    int64_t from_first = local - first;
    int second = (int)(from_first % 86400);
    int year, month, day;
    date_of_days((local - second) / 86400, &year, &month, &day);
    int offset = time.offset_s < 0 ? -time.offset_s : time.offset_s;
    int length = snprintf(text, size, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", year, month, day,
                          second / 3600, second / 60 % 60, second % 60,
                          time.offset_s < 0 ? '-' : '+', offset / 3600, offset / 60 % 60);
    return length > 0 && (size_t)length < size ? JL_OK : JL_RANGE;
}
