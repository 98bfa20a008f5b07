/* An amount of spirit as a person writes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <string.h>

enum { PARTS_MOST = 3, PART_BYTES = 32 };

static const char FORMS[] = "3.2L@72% (at 20 °C), 3.2L@72.5%@24C (a reading at its temperature) or "
                            "2.8kg@72% (by weight)";

/* Splits at '@'; 0 when there are too many parts or one is too long for any quantity. */
static int split(const char *text, char parts[PARTS_MOST][PART_BYTES]) {
    int count = 0;
    for (;;) {
        size_t length = strcspn(text, "@");
        if (count == PARTS_MOST || length >= PART_BYTES) return 0;
        memcpy(parts[count], text, length);
        parts[count++][length] = '\0';
        if (text[length] == '\0') return count;
        text += length + 1;
    }
}

static jl_status fail(jl_fault *fault, jl_status status, const char *part, const char *expected) {
    if (fault != NULL) {
        *fault = (jl_fault){.status = status, .expected = expected};
        size_t length = strnlen(part, sizeof fault->cell - 1);
        memcpy(fault->cell, part, length);
    }
    return status;
}

static jl_status read_part(const char *part, jl_kind kind, jl_quantity *quantity, jl_fault *fault) {
    jl_status status = jl_quantity_read(part, kind, quantity);
    if (status == JL_OK) return JL_OK;
    bool out = status == JL_RANGE && kind == JL_STRENGTH;
    return fail(fault, status, part,
                out ? "a strength of 0 to 100 %, or 0 to 200 proof" : jl_quantity_forms(kind));
}

/* The first part is a volume or, failing that, a mass. */
static jl_status read_size(const char *part, jl_quantity *size, bool *by_mass, jl_fault *fault) {
    *by_mass = jl_quantity_read(part, JL_MASS, size) == JL_OK;
    jl_status status = *by_mass ? JL_OK : jl_quantity_read(part, JL_VOLUME, size);
    if (status != JL_OK) return fail(fault, status, part, "a volume or a mass: 500ml, 0.5l, 2.8kg");
    if (!(size->value > 0)) return fail(fault, JL_RANGE, part, "a volume or a mass above 0");
    return JL_OK;
}

jl_status jl_amount_read(const char *text, jl_amount *amount, jl_fault *fault) {
    char parts[PARTS_MOST][PART_BYTES];
    int count = split(text, parts);
    if (count < 2) return fail(fault, JL_FORM, text, FORMS);
    jl_quantity size, strength, temp = {JL_STRENGTH_C, JL_UNIT_BASE};
    bool by_mass;
    jl_status status = read_size(parts[0], &size, &by_mass, fault);
    if (status == JL_OK) status = read_part(parts[1], JL_STRENGTH, &strength, fault);
    if (status == JL_OK && count == 3) status = read_part(parts[2], JL_TEMPERATURE, &temp, fault);
    if (status == JL_OK)
        *amount = (jl_amount){size.value, by_mass, count == 3, strength, temp.value};
    return status;
}

jl_status jl_amount_spirit(const jl_amount *amount, const jl_alcoholometer *instrument,
                           jl_spirit *spirit) {
    double p, density_kg_m3;
    double temp_c = amount->temp_c + (amount->measured ? instrument->thermometer_correction_c : 0);
    jl_status status = amount->measured ? jl_reading_to_mass_fraction(instrument, amount->strength,
                                                                      amount->temp_c, &p)
                                        : jl_strength_to_mass_fraction(amount->strength, &p);
    if (status != JL_OK) return status;
    if (!amount->by_mass) return jl_spirit_from_volume(amount->size, p, temp_c, spirit);
    status = jl_density_kg_m3(p, temp_c, &density_kg_m3);
    if (status != JL_OK) return status;
    return jl_spirit_from_mass(jl_mass_from_scale_kg(amount->size, density_kg_m3), p, spirit);
}

jl_status jl_spirit_read(const char *text, const jl_alcoholometer *instrument, jl_spirit *spirit,
                         jl_fault *fault) {
    jl_amount amount;
    jl_status status = jl_amount_read(text, &amount, fault);
    if (status != JL_OK) return status;
    status = jl_amount_spirit(&amount, instrument, spirit);
    if (status == JL_OK) return JL_OK;
    return fail(
        fault, status, text,
        status == JL_CONFLICT
            ? "a reading in % vol, or an instrument calibrated at 60 °F, to which proof belongs"
        : status == JL_UNIT ? "a reading in % vol or proof: an instrument has no % mas scale"
        : status == JL_NO_MIXTURE
            ? "a reading that some mixture of ethanol and water shows at that temperature"
            : "a strength of 0 to 100 % vol at a temperature of -20 to 40 °C");
}
