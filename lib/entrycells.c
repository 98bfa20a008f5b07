/* The cells that an entry gives.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "entrycells.h"

#include <math.h>
#include <string.h>

static double in_f(double temp_c) {
    return temp_c * 9 / 5 + 32;
}

/* The number that an entry has for a column; NaN: none. */
static double number_for(const jl_entry *e, jl_log_column column) {
    switch (column) {
    case JL_COLUMN_VOLUME_ML:
        return e->volume_l * 1000;
    case JL_COLUMN_VOLUME_L:
        return e->volume_l;
    case JL_COLUMN_READING_PCT:
        return e->reading.unit == JL_UNIT_PCT_VOL ? e->reading.value : NAN;
    case JL_COLUMN_READING_PROOF:
        return e->reading.unit == JL_UNIT_PROOF_US ? e->reading.value : NAN;
    case JL_COLUMN_STRENGTH_PCT:
        return e->strength.unit == JL_UNIT_PCT_VOL ? e->strength.value : NAN;
    case JL_COLUMN_STRENGTH_PROOF:
        return e->strength.unit == JL_UNIT_PROOF_US ? e->strength.value : NAN;
    case JL_COLUMN_TEMP_C:
        return e->temp_c;
    case JL_COLUMN_TEMP_F:
        return in_f(e->temp_c);
    case JL_COLUMN_HEAD_C:
        return e->head_c;
    case JL_COLUMN_HEAD_F:
        return in_f(e->head_c);
    case JL_COLUMN_BOILER_C:
        return e->boiler_c;
    case JL_COLUMN_BOILER_F:
        return in_f(e->boiler_c);
    default:
        return NAN;
    }
}

static const char *text_for(const jl_entry *e, jl_log_column column) {
    return column == JL_COLUMN_TIME       ? e->time
           : column == JL_COLUMN_FRACTION ? e->fraction
           : column == JL_COLUMN_NOTE     ? e->note
                                          : NULL;
}

/* The other column for the same figure: another unit. */
static jl_log_column sibling_of(jl_log_column column) {
    if (column < JL_COLUMN_VOLUME_ML || column > JL_COLUMN_BOILER_F) return column;
    size_t from_first = (size_t)column - JL_COLUMN_VOLUME_ML;
    return from_first % 2 == 0 ? column + 1 : column - 1;
}

/* Volumes and temperatures go into either unit, a reading and a strength only into their own. */
static bool converts(jl_log_column column) {
    return column <= JL_COLUMN_VOLUME_L || column >= JL_COLUMN_TEMP_C;
}

const jl_cell *jl_entry_cell(const jl_layout *l, const jl_row *row, jl_log_column column) {
    size_t at = l->at[column];
    return row != NULL && at < row->count && row->cells[at].length > 0 ? &row->cells[at] : NULL;
}

/* Of two columns that both can take a figure: the one there is, the one the jar already uses. */
static bool is_chosen(const jl_layout *l, const jl_row *row, jl_log_column column) {
    jl_log_column other = sibling_of(column);
    if (other == column || !converts(column)) return true;
    bool second = other < column;
    if (l->at[other] == JL_NO_PLACE) return l->at[column] != JL_NO_PLACE || !second;
    if (l->at[column] == JL_NO_PLACE) return false;
    bool used = jl_entry_cell(l, row, column) != NULL;
    bool other_used = jl_entry_cell(l, row, other) != NULL;
    return used != other_used ? used : !second;
}

bool jl_entry_gives(const jl_layout *l, const jl_row *row, const jl_entry *e,
                    jl_log_column column) {
    if (text_for(e, column) != NULL) return true;
    return !isnan(number_for(e, column)) && is_chosen(l, row, column);
}

void jl_entry_add(const jl_layout *l, const jl_entry *e, jl_log_column column, jl_text *text) {
    const char *words = text_for(e, column);
    double number = number_for(e, column);
    if (column == JL_COLUMN_NOTE && words != NULL)
        jl_cell_add_note(text, &l->dialect, words, strlen(words));
    else if (words != NULL)
        jl_cell_add(text, &l->dialect, words, strlen(words));
    else if (!isnan(number))
        jl_cell_add_number(text, &l->dialect, number);
}

/* The same number, or the same text: then its bytes stay. */
bool jl_entry_same(const jl_layout *l, const jl_cell *cell, const jl_entry *e,
                   jl_log_column column) {
    const char *words = text_for(e, column);
    double number;
    if (cell == NULL) return words != NULL && words[0] == '\0';
    if (words != NULL) {
        size_t skip = column == JL_COLUMN_NOTE ? jl_note_skip(cell->text, cell->length) : 0;
        return strcmp(cell->text + skip, words) == 0;
    }
    jl_comma comma = jl_delimiter_comma(l->dialect.delimiter);
    double wanted = number_for(e, column);
    return jl_decimal_read(cell->text, cell->length, comma, &number) == JL_OK &&
           fabs(number - wanted) <= 1e-9 * fabs(wanted);
}

/* Whether a cell is to be emptied, because its figure is now given in another unit. */
bool jl_entry_outdates(const jl_layout *l, const jl_row *row, const jl_entry *e,
                       jl_log_column column) {
    jl_log_column other = sibling_of(column);
    return other != column && jl_entry_cell(l, row, column) != NULL &&
           jl_entry_gives(l, row, e, other);
}
