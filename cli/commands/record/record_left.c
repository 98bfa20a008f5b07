/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/phrases.h"
#include "answer/say.h"
#include "answer/status.h"
#include "commands/record/record.h"
#include "input/args.h"

#include <math.h>

static const char TOO_HOT[] =
    "at the most 40 °C (104 °F), where OIML R 22 ends: let it cool, then measure";

typedef struct left_in_boiler {
    double volume_l, temp_c;
    jl_quantity strength, reading; /* NaN: not given */
} left_in_boiler;

static int read_scale(const char *name, const char *text, jl_quantity *quantity) {
    *quantity = (jl_quantity){NAN, JL_UNIT_PCT_VOL};
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, quantity);
    if (bad == EXIT_DONE && quantity->unit == JL_UNIT_PCT_MASS)
        bad = fail_argument(name, text, JL_UNIT, "% vol or US proof, as 2.1%");
    return bad;
}

static int read_left(const left_words *words, left_in_boiler *left) {
    left->volume_l = left->temp_c = NAN;
    int bad = arg_value("--left", words->volume, JL_VOLUME, &left->volume_l);
    if (bad == 0) bad = read_scale("--left-strength", words->strength, &left->strength);
    if (bad == 0) bad = read_scale("--left-reading", words->reading, &left->reading);
    if (bad == 0) bad = arg_value("--left-temp", words->temp, JL_TEMPERATURE, &left->temp_c);
    if (bad != 0) return bad;
    if (words->volume == NULL || (words->strength == NULL) == (words->reading == NULL))
        return fail(EXIT_USAGE, "expected --left VOLUME with --left-strength, or with "
                                "--left-reading and --left-temp");
    if (!(left->volume_l > 0))
        return fail_argument("--left", words->volume, JL_RANGE, "a volume above 0");
    if (words->temp != NULL && !(left->temp_c >= JL_TEMP_MIN_C && left->temp_c <= JL_TEMP_MAX_C))
        return fail_argument("--left-temp", words->temp, JL_RANGE, TOO_HOT);
    if (words->reading != NULL && words->temp == NULL)
        return fail(EXIT_USAGE, "--left-reading needs --left-temp: the temperature it was read at");
    return EXIT_DONE;
}

/* The whole statement anew: what it does not say is taken out of the log. */
static int write_left(const char *path, const left_in_boiler *left, running *run) {
    bool proof = left->strength.unit == JL_UNIT_PROOF_US;
    bool reading_proof = left->reading.unit == JL_UNIT_PROOF_US;
    const struct {
        const char *key;
        double value;
    } values[] = {
        {"left_l", left->volume_l},
        {"left_ml", NAN},
        {"left_strength_pct", proof ? NAN : left->strength.value},
        {"left_strength_proof", proof ? left->strength.value : NAN},
        {"left_reading_pct", reading_proof ? NAN : left->reading.value},
        {"left_reading_proof", reading_proof ? left->reading.value : NAN},
        {"left_temp_c", left->temp_c},
        {"left_temp_f", NAN},
    };
    enum { COUNT = sizeof values / sizeof values[0] };
    jl_fact_entry facts[COUNT];
    for (int i = 0; i < COUNT; i++)
        facts[i] = (jl_fact_entry){.key = values[i].key,
                                   .values = {values[i].value},
                                   .count = isnan(values[i].value) ? 0 : 1};
    return write_facts(path, facts, COUNT, run);
}

/* What cannot be is found before it is written. */
static int check_left(const char *path, const left_in_boiler *left, const left_words *words) {
    running run;
    past_jar ignored;
    jl_entry as_jar = {.volume_l = left->volume_l,
                       .reading = left->reading,
                       .strength = left->strength,
                       .temp_c = left->temp_c,
                       .head_c = NAN,
                       .boiler_c = NAN};
    (void)words;
    int bad = read_run(path, -1, &run);
    if (bad == EXIT_DONE) bad = jar_of_entry(&run.instrument, &as_jar, &ignored);
    running_free(&run);
    return bad;
}

int record_left(const char *path, const left_words *words, bool json) {
    running run;
    left_in_boiler left;
    int bad = read_left(words, &left);
    if (bad == EXIT_DONE) bad = check_left(path, &left, words);
    if (bad == EXIT_DONE) bad = write_left(path, &left, &run);
    if (bad != EXIT_DONE) return bad;
    show *s = show_open(json);
    show_heading(s, "Recorded: what is left in the boiler");
    show_text(s, "done", NULL, "recorded");
    show_number(s, "left_l", "Volume at 20 °C", jl_volume_l(run.recovery.left, JL_STRENGTH_C), 3,
                "l");
    show_number(s, "left_strength_pct", "Strength at 20 °C",
                jl_spirit_strength_pct(run.recovery.left), 2, "% vol");
    show_number(s, "left_pure_alcohol_l", "Pure alcohol in it",
                jl_pure_alcohol_l(run.recovery.left), 3, "l");
    show_run_so_far(s, &run, false);
    if (words->reading != NULL) {
        assume_log_instrument(s, &run.instrument, left.reading.unit);
        note_on_reading(s, jl_spirit_strength_pct(run.recovery.left), left.temp_c);
    }
    if (!run.recovery.charge_stated)
        show_note(s, "The log states no charge, so what is missing cannot be told.");
    running_free(&run);
    return show_close_written(s, "what is left is in %s", path);
}
