/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/digits.h"
#include "answer/units.h"

#include <stdio.h>
#include <string.h>

static jl_instruments by;
static bool stated;

void digits_by(const jl_instruments *instruments) {
    by = *instruments;
    stated = true;
}

static const jl_instruments *digits_instruments(void) {
    if (!stated) {
        const jl_instruments usual = jl_settings_to_instruments(NULL);
        digits_by(&usual);
    }
    return &by;
}

int digits_left(double standard, int most) {
    if (!(standard > 0)) return most;
    int left = (int)fmax(0, -floor(log10(standard)));
    return left < most ? left : most;
}

static bool begins(const char *unit, const char *with) {
    size_t length = strlen(with);
    return strncmp(unit, with, length) == 0 && strchr(" ,", unit[length]) != NULL;
}

/* 0: of no instrument. */
static double usual_standard(double value, const char *unit) {
    static const double WEIGHED_KG = 0.0006; /* a scale's gram, read to its half */
    static const double L_A_GALLON = 1.9;    /* of pure alcohol in a US proof gallon */
    const jl_standards u = jl_amount_standards(digits_instruments(), value, 0);
    if (begins(unit, "L")) return u.volume_l;
    if (begins(unit, "% vol") || begins(unit, "% mas")) return u.strength_pct;
    if (begins(unit, "proof") && strstr(unit, "gallon") == NULL) return 2 * u.strength_pct;
    if (begins(unit, "hL")) return usual_standard(100 * value, "L") / 100;
    if (strstr(unit, "proof gallons") != NULL)
        return usual_standard(L_A_GALLON * value, "L") / L_A_GALLON;
    return begins(unit, "kg") ? hypot(u.water_share * value, WEIGHED_KG) : 0;
}

int digits_of(double value, int most, const char *unit) {
    return most >= EXACT ? most - EXACT : digits_left(usual_standard(value, unit_seen(unit)), most);
}

int digits_known(double value, double standard, int most, const char *unit) {
    return standard > 0 ? digits_left(difference_seen(standard, unit), most)
                        : digits_of(value, most, unit);
}

jl_standards digits_of_amount(double volume_l, double strength_pct) {
    return jl_amount_standards(digits_instruments(), volume_l, strength_pct);
}

jl_standards digits_standards(jl_spirit spirit) {
    return digits_of_amount(jl_volume_l(spirit, JL_STRENGTH_C), jl_spirit_strength_pct(spirit));
}

double digits_charged(double volume_l, double strength_pct, double strength_u_pct) {
    const jl_standards u = digits_of_amount(volume_l, strength_pct);
    double pct = strength_u_pct > 0 ? strength_u_pct : u.stated_pct;
    return hypot(u.volume_l * strength_pct, volume_l * pct) / 100;
}

double digits_share_standard(jl_spirit part, jl_spirit whole) {
    double part_l = jl_pure_alcohol_l(part), whole_l = jl_pure_alcohol_l(whole);
    if (!(part_l > 0) || !(whole_l > 0)) return NAN;
    return 100 * part_l / whole_l *
           hypot(digits_standards(part).pure_alcohol_l / part_l,
                 digits_standards(whole).pure_alcohol_l / whole_l);
}

figure_text figure_in_words(double value, double standard, int most, const char *unit) {
    figure_text f = {"-"};
    char number[32];
    int decimals = digits_known(value, standard, most, unit);
    if (jl_decimal_write(value_seen(value, unit), decimals, number, sizeof number) == JL_OK)
        snprintf(f.text, sizeof f.text, "%s %s", number, unit_seen(unit));
    return f;
}

figure_text figure_below_zero(double value, double standard, int most, const char *unit) {
    figure_text f = {""};
    char number[32], expanded[32];
    int decimals = digits_left(standard, most);
    if (value < 0 && -value <= JL_COVERAGE_K * standard &&
        jl_decimal_write(value, decimals, number, sizeof number) == JL_OK &&
        jl_decimal_write(JL_COVERAGE_K * standard, decimals, expanded, sizeof expanded) == JL_OK)
        snprintf(f.text, sizeof f.text, "%.18s ± %.18s%s%.6s", number, expanded,
                 *unit == '\0' ? "" : " ", unit);
    return f;
}

litres_pair litres_apart(double one_l, double other_l) {
    static const int MOST[] = {3, EXACT + 3, EXACT + 6};
    litres_pair pair;
    for (size_t i = 0; i < sizeof MOST / sizeof MOST[0]; i++) {
        pair.one = figure_in_words(one_l, NAN, MOST[i], "L");
        pair.other = figure_in_words(other_l, NAN, MOST[i], "L");
        if (one_l == other_l || strcmp(pair.one.text, pair.other.text) != 0) break;
    }
    return pair;
}

figure_text figure_short(double value, int most, const char *unit) {
    figure_text f = {"-"};
    char number[32];
    int decimals = digits_of(value, most, unit);
    if (jl_decimal_write(value_seen(value, unit), decimals, number, sizeof number) != JL_OK)
        return f;
    size_t length = strlen(number);
    bool point = strchr(number, '.') != NULL;
    while (point && number[length - 1] == '0') length--;
    if (point && number[length - 1] == '.') length--;
    snprintf(f.text, sizeof f.text, "%.*s %s", (int)length, number, unit_seen(unit));
    return f;
}

int digits_of_expanded(double expanded) {
    if (!(expanded > 0)) return 4;
    int decimals = 1 - (int)floor(log10(expanded));
    return decimals < 0 ? 0 : decimals > 7 ? 7 : decimals;
}

int digits_of_estimate(jl_estimate e, int most) {
    return digits_left((e.high - e.low) / (2 * JL_COVERAGE_K), most);
}
