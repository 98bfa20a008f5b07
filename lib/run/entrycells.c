/* The cells that an entry gives.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/entrycells.h"
#include "text/letters.h"

#include <math.h>
#include <string.h>

static double number_for(const jl_entry *e, jl_role role) {
    switch (role) {
    case JL_ROLE_VOLUME:
        return e->volume_l;
    case JL_ROLE_READING:
        return e->reading.value;
    case JL_ROLE_STRENGTH:
        return e->strength.value;
    case JL_ROLE_TEMP:
        return e->temp_c;
    case JL_ROLE_HEAD:
        return e->head_c;
    case JL_ROLE_BOILER:
        return e->boiler_c;
    default:
        return NAN;
    }
}

static const char *text_for(const jl_entry *e, jl_role role) {
    return role == JL_ROLE_TIME       ? e->time
           : role == JL_ROLE_FRACTION ? e->fraction
           : role == JL_ROLE_NOTE     ? e->note
                                      : NULL;
}

static double in_column(const jl_entry *e, const jl_column *column) {
    return number_for(e, column->role) / column->factor + column->offset;
}

bool jl_entry_gives(const jl_entry *e, jl_role role) {
    return text_for(e, role) != NULL || !isnan(number_for(e, role));
}

static const char *usual_name(const jl_entry *e, jl_role role) {
    static const char *const NAMES[JL_ROLES] = {
        [JL_ROLE_JAR] = "jar",     [JL_ROLE_TIME] = "time",         [JL_ROLE_VOLUME] = "volume_ml",
        [JL_ROLE_TEMP] = "temp_c", [JL_ROLE_HEAD] = "head_c",       [JL_ROLE_BOILER] = "boiler_c",
        [JL_ROLE_NOTE] = "note",   [JL_ROLE_FRACTION] = "fraction",
    };
    if (role == JL_ROLE_READING)
        return e->reading.unit == JL_UNIT_PROOF_US ? "reading_proof" : "reading_pct";
    if (role == JL_ROLE_STRENGTH)
        return e->strength.unit == JL_UNIT_PROOF_US ? "strength_proof" : "strength_pct";
    return NAMES[role];
}

jl_status jl_entry_column(const jl_entry *e, const jl_layout *layout, jl_role role,
                          const jl_column **column) {
    const jl_column *own = layout->columns.what[role];
    *column = own != NULL ? own : jl_column_named(usual_name(e, role));
    bool other_scale = (role == JL_ROLE_READING && e->reading.unit != (*column)->unit) ||
                       (role == JL_ROLE_STRENGTH && e->strength.unit != (*column)->unit);
    return other_scale ? JL_CONFLICT : JL_OK;
}

void jl_entry_add(const jl_entry *e, const jl_dialect *dialect, const jl_column *column,
                  jl_text *text) {
    const char *words = text_for(e, column->role);
    if (words == NULL)
        jl_cell_add_number(text, dialect, in_column(e, column));
    else if (column->role == JL_ROLE_NOTE)
        jl_cell_add_note(text, dialect, words, strlen(words));
    else
        jl_cell_add(text, dialect, words, strlen(words));
}

bool jl_entry_same(const jl_entry *e, const jl_column *column, const jl_cell *cell,
                   jl_comma comma) {
    const char *words = text_for(e, column->role);
    double number;
    if (cell == NULL) return words != NULL && words[0] == '\0';
    if (column->role == JL_ROLE_FRACTION) return jl_same_letters(cell->text, words);
    if (words != NULL) {
        size_t skip = column->role == JL_ROLE_NOTE ? jl_note_skip(cell->text, cell->length) : 0;
        return strcmp(cell->text + skip, words) == 0;
    }
    double wanted = in_column(e, column);
    return jl_decimal_read(cell->text, cell->length, comma, &number) == JL_OK &&
           fabs(number - wanted) <= 1e-9 * fabs(wanted);
}
