/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "spirit/instruments.h"

#include <assert.h>
#include <math.h>

static_assert(JL_KEY_HYDROMETER_REPEATABILITY - JL_KEY_ALCOHOLOMETER_LIMIT + 1 ==
                  JL_INSTRUMENTS * JL_WIDTHS,
              "the table has the widths in the order of jl_instrument and jl_width");

jl_key_id jl_width_key(jl_instrument which, jl_width what) {
    return (jl_key_id)(JL_KEY_ALCOHOLOMETER_LIMIT + (int)which * JL_WIDTHS + (int)what);
}

jl_alcoholometer jl_settings_to_alcoholometer(const jl_settings *s) {
    jl_alcoholometer a = JL_ALCOHOLOMETER;
    a.calibrated_c = jl_setting_value(s, JL_KEY_CALIBRATED);
    a.glass_per_c = jl_setting_value(s, JL_KEY_GLASS);
    a.reading_correction_pct = jl_setting_value(s, JL_KEY_READING_CORRECTION);
    a.thermometer_correction_c = jl_setting_value(s, JL_KEY_THERMOMETER_CORRECTION);
    /* 60 °F is 15.56 or 15.6 °C in people's records. */
    if (fabs(a.calibrated_c - JL_PROOF_C) < 0.05) a.calibrated_c = JL_PROOF_C;
    return a;
}

/* A certificate says more than a class: it stands in the place of a limit that is not stated. */
jl_instruments jl_settings_to_instruments(const jl_settings *s) {
    jl_instruments in = {.alcoholometer = jl_settings_to_alcoholometer(s)};
    for (int which = 0; which < JL_INSTRUMENTS; which++) {
        for (int what = 0; what < JL_WIDTHS; what++) {
            jl_key_id id = jl_width_key((jl_instrument)which, (jl_width)what);
            in.stated[which][what] = jl_is_stated(s, id);
            in.width[which][what] = s->of[id].has ? s->of[id].number.value : 0;
        }
        if (in.stated[which][JL_CERTIFICATE] && !in.stated[which][JL_LIMIT])
            in.width[which][JL_LIMIT] = 0;
    }
    return in;
}

double jl_instrument_variance(const jl_instruments *in, jl_instrument which, bool common) {
    const double *w = in->width[which];
    double bound = common ? w[JL_LIMIT] : w[JL_DIVISION] / 2;
    double normal = common ? w[JL_CERTIFICATE] / JL_COVERAGE_K : w[JL_REPEATABILITY];
    return bound * bound / 3 + normal * normal;
}
