/* Numbers with units, read and written the same in every locale.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/quantity.h"
#include "text/letters.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- decimal numbers ---- */

/* The parts of a number's text. Digits beyond the nineteenth do not fit the mantissa. */
typedef struct decimal {
    bool negative;
    bool exact;        /* every digit is in the mantissa */
    uint64_t mantissa; /* all digits */
    int digits;        /* significant ones */
    int exponent;      /* of ten */
    size_t length;     /* bytes of text that the number takes */
    size_t comma_at;   /* where a comma stood, or 0 */
    int after_mark;    /* digits after the point or comma */
    bool whole_zero;   /* nothing but a 0 before the mark */
} decimal;

static void take_digit(decimal *d, char c) {
    if (d->digits == 0 && c == '0') return;
    if (d->digits < 19)
        d->mantissa = d->mantissa * 10 + (uint64_t)(c - '0');
    else {
        d->exact = false;
        d->exponent++;
    }
    d->digits++;
}

/* "e" and digits after a number; without digits the letter is the beginning of a unit. */
static size_t scan_exponent(const char *text, size_t length, size_t at, decimal *d) {
    size_t i = at;
    if (i >= length || (text[i] != 'e' && text[i] != 'E')) return at;
    i++;
    bool negative = i < length && text[i] == '-';
    if (i < length && (text[i] == '-' || text[i] == '+')) i++;
    if (i >= length || !jl_is_digit(text[i])) return at;
    int exponent = 0;
    for (; i < length && jl_is_digit(text[i]); i++)
        if (exponent < 100000) exponent = exponent * 10 + (text[i] - '0');
    d->exponent += negative ? -exponent : exponent;
    return i;
}

/* Scans sign, digits, one mark, digits, exponent. False when there is no digit. */
static bool scan(const char *text, size_t length, bool commas, decimal *d) {
    *d = (decimal){.exact = true};
    size_t i = 0;
    if (i < length && (text[i] == '-' || text[i] == '+')) d->negative = text[i++] == '-';
    size_t first = i;
    for (; i < length && jl_is_digit(text[i]); i++) take_digit(d, text[i]);
    size_t before = i - first;
    d->whole_zero = before == 1 && text[first] == '0';
    if (i < length && (text[i] == '.' || (commas && text[i] == ','))) {
        if (text[i] == ',') d->comma_at = i;
        i++;
        for (; i < length && jl_is_digit(text[i]); i++) {
            take_digit(d, text[i]);
            d->exponent--;
            d->after_mark++;
        }
    }
    if (before == 0 && d->after_mark == 0) return false;
    d->length = scan_exponent(text, length, i, d);
    return true;
}

/* Digits that no short way gives exactly go through the C library, in the C locale. */
static jl_status convert_slowly(const char *text, const decimal *d, double *value) {
    enum { SHORT = 128 };
    char few[SHORT];
    char *copy = d->length < SHORT ? few : malloc(d->length + 1);
    if (copy == NULL) return JL_MEMORY;
    memcpy(copy, text, d->length);
    copy[d->length] = '\0';
    if (d->comma_at > 0) copy[d->comma_at] = '.';
    jl_status status = JL_MEMORY;
    locale_t plain = newlocale(LC_NUMERIC_MASK, "C", (locale_t)0);
    if (plain != (locale_t)0) {
        double got = strtod_l(copy, NULL, plain);
        freelocale(plain);
        status = isfinite(got) ? JL_OK : JL_RANGE;
        if (status == JL_OK) *value = got;
    }
    if (copy != few) free(copy);
    return status;
}

static const double TEN[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                             1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/* Both operands exact in a double: one rounding, so the nearest double (Clinger, PLDI 1990). */
static bool convert_quickly(const decimal *d, double *value) {
    if (!d->exact || d->mantissa > (UINT64_C(1) << 53)) return false;
    if (d->exponent < -22 || d->exponent > 22) return false;
    double m = (double)d->mantissa;
    m = d->exponent < 0 ? m / TEN[-d->exponent] : m * TEN[d->exponent];
    *value = d->negative ? -m : m;
    return true;
}

/* Nothing but at most fifteen digits and a point: nearly every cell of a log. The same answer as
 * the longer way, in a fraction of its time. */
static bool read_plainly(const char *text, size_t length, double *value) {
    enum { LENGTH_MOST = 15 };
    if (length == 0 || length > LENGTH_MOST) return false;
    uint64_t mantissa = 0;
    size_t after_point = 0; /* bytes from the point on, itself included */
    for (size_t i = 0; i < length; i++) {
        if (jl_is_digit(text[i]))
            mantissa = mantissa * 10 + (uint64_t)(text[i] - '0');
        else if (text[i] == '.' && after_point == 0)
            after_point = length - i;
        else
            return false;
    }
    if (after_point == length && length == 1) return false;
    *value = (double)mantissa;
    if (after_point > 1) *value /= TEN[after_point - 1];
    return true;
}

static jl_status convert(const char *text, const decimal *d, jl_comma comma, double *value) {
    if (d->comma_at > 0 && comma == JL_COMMA_SAFE && d->after_mark == 3 && !d->whole_zero)
        return JL_AMBIGUOUS;
    return convert_quickly(d, value) ? JL_OK : convert_slowly(text, d, value);
}

/* "1,000,000": commas between groups of three. Not a number here, but the reader may be told why.
 */
static bool is_grouped(const char *behind) {
    return behind[0] == ',' && jl_is_digit(behind[1]);
}

jl_status jl_decimal_read(const char *text, size_t length, jl_comma comma, double *value) {
    if (read_plainly(text, length, value)) return JL_OK;
    while (length > 0 && jl_is_blank(text[0])) text++, length--;
    while (length > 0 && jl_is_blank(text[length - 1])) length--;
    decimal d;
    if (!scan(text, length, comma != JL_COMMA_NONE, &d) || d.length != length) return JL_FORM;
    return convert(text, &d, comma, value);
}

enum { DECIMALS_MOST = 17, DIGITS_BYTES = 32 };

/* Below 1e12 the product is off by less than 1.2e-4: far from a half it is rounded right. */
static bool scale(double size, int decimals, uint64_t *whole) {
    double scaled = size * TEN[decimals];
    if (!(scaled < 1e12)) return false;
    double below = floor(scaled);
    if (fabs(scaled - below - 0.5) < 1e-3) return false;
    *whole = (uint64_t)below + (scaled - below > 0.5 ? 1 : 0);
    return true;
}

/* A finite value, digit by digit, where that is certain to be what printf would write: in a tenth of its
 * time, which is most of what a long table takes. Returns its length, or 0 where printf has to decide:
 * beyond 12 digits, and near the middle between two results. No negative zero. */
static size_t write_digits(double value, int decimals, char text[DIGITS_BYTES]) {
    uint64_t whole;
    if (!scale(fabs(value), decimals, &whole)) return 0;
    char *end = text + DIGITS_BYTES - 1, *at = end;
    bool negative = value < 0 && whole > 0;
    for (int i = 0; whole > 0 || i <= decimals; i++, whole /= 10) {
        if (i == decimals && decimals > 0) *--at = '.';
        *--at = (char)('0' + whole % 10);
    }
    if (negative) *--at = '-';
    size_t length = (size_t)(end - at);
    memmove(text, at, length);
    text[length] = '\0';
    return length;
}

jl_status jl_decimal_write(double value, int decimals, char *text, size_t size) {
    if (!isfinite(value) || decimals < 0 || decimals > DECIMALS_MOST || size == 0) return JL_RANGE;
    char digits[DIGITS_BYTES];
    size_t quickly = write_digits(value, decimals, digits);
    if (quickly >= size) return JL_RANGE;
    if (quickly > 0) {
        memcpy(text, digits, quickly + 1);
        return JL_OK;
    }
    int length = snprintf(text, size, "%.*f", decimals, value);
    if ((size_t)length >= size) return JL_RANGE;
    bool zero = true;
    for (char *c = text; *c != '\0'; c++) {
        if (*c != '-' && !jl_is_digit(*c)) *c = '.';
        if (*c > '0') zero = false;
    }
    if (zero && text[0] == '-') memmove(text, text + 1, (size_t)length);
    return JL_OK;
}

/* ---- units ---- */

const jl_unit_of_kind jl_units[] = {
    [JL_L] = {JL_VOLUME, "l", 1, 0, JL_UNIT_BASE, "_l", "L"},
    [JL_ML] = {JL_VOLUME, "ml", 1e-3, 0, JL_UNIT_BASE, "_ml", "mL"},
    [JL_KG] = {JL_MASS, "kg", 1, 0, JL_UNIT_BASE, "_kg", "kg"},
    [JL_G] = {JL_MASS, "g", 1e-3, 0, JL_UNIT_BASE, "_g", "g"},
    [JL_PCT] = {JL_STRENGTH, "%", 1, 0, JL_UNIT_PCT_VOL, "_pct", "%"},
    [JL_PROOF] = {JL_STRENGTH, "proof", 1, 0, JL_UNIT_PROOF_US, "_proof", "proof"},
    [JL_C] = {JL_TEMPERATURE, "c", 1, 0, JL_UNIT_BASE, "_c", "°C"},
    [JL_F] = {JL_TEMPERATURE, "f", 5.0 / 9, 32, JL_UNIT_BASE, "_f", "°F"},
    [JL_PLAIN] = {JL_NUMBER, "", 1, 0, JL_UNIT_BASE, "", ""},
    {JL_VOLUME, "cl", 1e-2, 0, JL_UNIT_BASE},
    {JL_VOLUME, "dl", 0.1, 0, JL_UNIT_BASE},
    {JL_VOLUME, "hl", 100, 0, JL_UNIT_BASE},
    {JL_VOLUME, "gal", JL_GALLON_US_L, 0, JL_UNIT_BASE},
    {JL_VOLUME, "qt", JL_GALLON_US_L / 4, 0, JL_UNIT_BASE}, /* US, NIST SP 811, appendix B */
    {JL_VOLUME, "pt", JL_GALLON_US_L / 8, 0, JL_UNIT_BASE},
    {JL_VOLUME, "floz", JL_GALLON_US_L / 128, 0, JL_UNIT_BASE},
    {JL_VOLUME, "impgal", 4.54609, 0, JL_UNIT_BASE},
    {JL_MASS, "lb", JL_POUND_KG, 0, JL_UNIT_BASE},
    {JL_MASS, "oz", JL_POUND_KG / 16, 0, JL_UNIT_BASE},
    {JL_STRENGTH, "%vol", 1, 0, JL_UNIT_PCT_VOL},
    {JL_STRENGTH, "%mas", 1, 0, JL_UNIT_PCT_MASS},
    {JL_TEMPERATURE, "k", 1, JL_KELVIN, JL_UNIT_BASE},
    {JL_TEMPERATURE_DIFFERENCE, "c", 1, 0, JL_UNIT_BASE, "_c"},
    {JL_TEMPERATURE_DIFFERENCE, "f", 5.0 / 9, 0, JL_UNIT_BASE, "_f"},
    {JL_TEMPERATURE_DIFFERENCE, "k", 1, 0, JL_UNIT_BASE},
    {JL_POWER, "w", 1, 0, JL_UNIT_BASE, "_w"},
    {JL_POWER, "kw", 1000, 0, JL_UNIT_BASE, "_kw"},
    {JL_DURATION, "s", 1, 0, JL_UNIT_BASE, "_s"},
    {JL_DURATION, "min", 60, 0, JL_UNIT_BASE, "_min"},
    {JL_DURATION, "m", 60, 0, JL_UNIT_BASE},
    {JL_DURATION, "h", 3600, 0, JL_UNIT_BASE, "_h"},
    {JL_DURATION, "d", 86400, 0, JL_UNIT_BASE},
    {JL_DURATION, "hour", 3600, 0, JL_UNIT_BASE},
    {JL_DURATION, "hours", 3600, 0, JL_UNIT_BASE},
    {JL_DURATION, "day", 86400, 0, JL_UNIT_BASE},
    {JL_DURATION, "days", 86400, 0, JL_UNIT_BASE},
    {JL_PRESSURE, "kpa", 1, 0, JL_UNIT_BASE, "_kpa"},
    {JL_PRESSURE, "hpa", 0.1, 0, JL_UNIT_BASE, "_hpa"},
    {JL_PRESSURE, "mmhg", JL_MMHG_KPA, 0, JL_UNIT_BASE, "_mmhg"},
    {JL_PRESSURE, "mbar", 0.1, 0, JL_UNIT_BASE},
    {JL_PRESSURE, "bar", 100, 0, JL_UNIT_BASE},
    {JL_PRESSURE, "pa", 1e-3, 0, JL_UNIT_BASE},
    {JL_ALTITUDE, "m", 1, 0, JL_UNIT_BASE, "_m"},
    {JL_ALTITUDE, "ft", 0.3048, 0, JL_UNIT_BASE, "_ft"},
    {JL_ALTITUDE, "km", 1000, 0, JL_UNIT_BASE},
    {JL_GRAVITY, "sg", 1, 0, JL_UNIT_SG, ""},
    {JL_GRAVITY, "", 1, 0, JL_UNIT_SG},
    {JL_GRAVITY, "p", 1, 0, JL_UNIT_PLATO, "_plato"},
    {JL_GRAVITY, "pts", 1e-3, -1000, JL_UNIT_SG}, /* 60 points are 1.060 */
    {JL_GRAVITY, "points", 1e-3, -1000, JL_UNIT_SG},
    {JL_SHARE, "%", 0.01, 0, JL_UNIT_BASE, "_pct"},
    {JL_HEAT, "kj/c", 1000, 0, JL_UNIT_BASE, "_kj_c"},
    {JL_HEAT, "kj/k", 1000, 0, JL_UNIT_BASE},
    {JL_HEAT, "j/c", 1, 0, JL_UNIT_BASE},
    {JL_HEAT, "j/k", 1, 0, JL_UNIT_BASE},
};
static const jl_unit_of_kind *const UNITS_END = jl_units + sizeof jl_units / sizeof jl_units[0];

/* What is known of a kind: the values it can have at all, and how to write it. */
typedef struct kind {
    double least, most; /* in the unit of jl_quantity.value; of proof twice the most */
    const char *forms;
} kind;

static const kind KINDS[] = {
    [JL_VOLUME] = {0, 1e9, "500mL, 0.5L, 2gal (US) or 2impgal"},
    [JL_MASS] = {0, 1e9, "1.5kg, 250g or 3lb"},
    [JL_STRENGTH] = {0, 100, "72.5% (by volume), 30%mas (by mass) or 144proof (US)"},
    [JL_TEMPERATURE] = {-JL_KELVIN, 1000, "24C, 75F or -5C"},
    [JL_TEMPERATURE_DIFFERENCE] = {-1000, 1000, "0.3C, -0.5C or 2F"},
    [JL_POWER] = {0, 1e9, "2kW or 1800W"},
    [JL_DURATION] = {0, 1e9, "90min, 2h30, 45s or 3d"},
    [JL_PRESSURE] = {0, 1e6, "98.5kPa, 985hPa or 740mmHg"},
    [JL_ALTITUDE] = {-1000, 12000, "650m or 2100ft"},
    [JL_GRAVITY] = {-100, 1e9, "1.062, 62pts or 15.2P"}, /* a dry wash is below 0 °P */
    [JL_SHARE] = {0, 1, "67%"},
    [JL_HEAT] = {0, 1e9, "3kJ/C or 500J/K"},
    [JL_NUMBER] = {-1e300, 1e300, "a number without a unit, as 4 or 1.5"},
};
enum { KINDS_KNOWN = sizeof KINDS / sizeof KINDS[0] };

const char jl_unambiguous_expected[] = "no comma before three digits: 1000 or 1.0 in its place";

const char *jl_quantity_forms(jl_kind kind_wanted) {
    return (size_t)kind_wanted < KINDS_KNOWN ? KINDS[kind_wanted].forms : "";
}

/* A degree sign may stand before C, F or P. */
static const char *after_degree_sign(const char *text) {
    return strncmp(text, "\xc2\xb0", 2) == 0 ? text + 2 : text;
}

static void squeeze(const char *text, char *out, size_t size) {
    size_t n = 0;
    for (text = after_degree_sign(text); *text != '\0' && n + 1 < size; text++)
        if (!jl_is_blank(*text)) out[n++] = jl_lower(*text);
    out[n] = '\0';
}

static const jl_unit_of_kind *find_unit(jl_kind kind_wanted, const char *text) {
    char name[12];
    squeeze(text, name, sizeof name);
    for (const jl_unit_of_kind *u = jl_units; u < UNITS_END; u++)
        if (u->kind == kind_wanted && strcmp(u->name, name) == 0) return u;
    return NULL;
}

bool jl_is_unit(const char *text) {
    char name[12];
    squeeze(text, name, sizeof name);
    for (const jl_unit_of_kind *u = jl_units; u < UNITS_END; u++)
        if (name[0] != '\0' && strcmp(u->name, name) == 0) return true;
    return false;
}

const jl_unit_of_kind *jl_unit_ending(jl_kind kind_wanted, const char *ending) {
    for (const jl_unit_of_kind *u = jl_units; u < UNITS_END; u++)
        if (u->kind == kind_wanted && u->ending != NULL &&
            (ending == NULL || strcmp(u->ending, ending) == 0))
            return u;
    return NULL;
}

const jl_unit_of_kind *jl_unit_beside(const jl_unit_of_kind *unit) {
    for (const jl_unit_of_kind *u = jl_units; u < jl_units + JL_PLAIN; u++)
        if (u != unit && u->kind == unit->kind && u->unit == unit->unit) return u;
    return NULL;
}

double jl_temperature_written(double number) {
    double typed = round(number * 1e4) / 1e4;
    return fabs(typed - number) < 1e-9 ? typed : round(number * 100) / 100;
}

/* "2h30", "2h30min", "2h30s": what stands behind the hours begins with a digit. */
static jl_status read_after_hours(const char *behind, double hours, double *seconds) {
    decimal d;
    (void)scan(behind, strlen(behind), false, &d);
    const char *tail = behind + d.length;
    const jl_unit_of_kind *u = find_unit(JL_DURATION, *tail == '\0' ? "min" : tail);
    if (u == NULL || u->factor > 60) return JL_FORM;
    double value;
    jl_status status = convert(behind, &d, JL_COMMA_NONE, &value);
    if (status != JL_OK) return status;
    if (value >= 60 || hours != floor(hours)) return JL_FORM;
    *seconds = hours * 3600 + value * u->factor;
    return JL_OK;
}

/* "1060" is written for 1.060, and can be no other gravity. */
static bool is_in_thousandths(const char *text, const decimal *d, double number,
                              const char *behind) {
    const jl_unit_of_kind *u = find_unit(JL_GRAVITY, behind);
    bool whole = strspn(text, "0123456789") == d->length;
    return whole && u != NULL && u->unit == JL_UNIT_SG && u->factor == 1 && number >= 900 &&
           number < 1200;
}

static jl_status with_unit(jl_kind kind_wanted, double number, const char *behind,
                           jl_quantity *quantity) {
    const kind *k = &KINDS[kind_wanted];
    const jl_unit_of_kind *u = find_unit(kind_wanted, behind);
    if (u == NULL) return JL_UNIT;
    double value = jl_from_unit(u, number);
    if (!(value >= k->least && value <= jl_per_pct(u->unit) * k->most)) return JL_RANGE;
    *quantity = (jl_quantity){value, u->unit};
    return JL_OK;
}

jl_status jl_quantity_read(const char *text, jl_kind kind_wanted, jl_quantity *quantity) {
    if ((size_t)kind_wanted >= KINDS_KNOWN) return JL_RANGE;
    while (jl_is_blank(*text)) text++;
    decimal d;
    if (!scan(text, strlen(text), true, &d)) return JL_FORM;
    const char *behind = text + d.length;
    if (is_grouped(behind)) return JL_AMBIGUOUS;
    double number;
    jl_comma comma = kind_wanted == JL_GRAVITY ? JL_COMMA_DECIMAL : JL_COMMA_SAFE;
    jl_status status = convert(text, &d, comma, &number);
    if (status != JL_OK) return status;
    while (jl_is_blank(*behind)) behind++;
    if (kind_wanted == JL_DURATION && (behind[0] == 'h' || behind[0] == 'H') &&
        jl_is_digit(behind[1])) {
        double seconds;
        status = read_after_hours(behind + 1, number, &seconds);
        if (status == JL_OK) *quantity = (jl_quantity){seconds, JL_UNIT_BASE};
        return status;
    }
    if (kind_wanted == JL_GRAVITY && is_in_thousandths(text, &d, number, behind)) number /= 1000;
    return with_unit(kind_wanted, number, behind, quantity);
}
