/* The book on the disk.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "book/book_file.h"
#include "run/jars.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"
#include "text/timestamp.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum role {
    ENTRY,
    TIME,
    WHAT,
    FROM,
    INTO,
    RECEIVER,
    KIND,
    VOLUME,
    WEIGHT,
    READING,
    READING_PROOF,
    STRENGTH,
    STRENGTH_PROOF,
    TEMP,
    SOLIDS,
    BOTTLES,
    BOTTLE,
    LOT,
    RUN,
    LATE,
    NOTE,
    ETHANOL,
    WATER,
    LOGGED_ETHANOL,
    LOGGED_WATER,
    ROLES
} role;

_Static_assert((int)ROLES <= (int)JL_ROLES_MOST, "every role has its place among a file's columns");

#define TEXT    NULL, 0, 0
#define NUMBER  &jl_units[JL_PLAIN]
#define AMOUNT  0, 1e9, "a number of 0 or more"
#define FACTS_C -20, 40, "a temperature of -20 to 40 °C"

static const char ENTRY_EXPECTED[] =
    "the entry's year and number, as 2026-31, above the one before";
static const char HEADER_EXPECTED[] = "the header of a book, with the columns entry, time and what";
static const char TIME_EXPECTED[] = "a date and time with its offset, as 2026-10-24T09:02:30+02:00";

/* A new book has these, in this order, of two that hold the same the first; proof has columns of its
 * own, since a reading belongs to its instrument's scale. */
static const jl_column COLUMNS[] = {
    {"entry", ENTRY, TEXT, ENTRY_EXPECTED},
    {"time", TIME, TEXT, TIME_EXPECTED},
    {"what", WHAT, TEXT, jl_book_words_expected},
    {"from", FROM, TEXT, ""},
    {"into", INTO, TEXT, ""},
    {"receiver", RECEIVER, TEXT, ""},
    {"kind", KIND, TEXT, ""},
    {"volume_l", VOLUME, &jl_units[JL_L], AMOUNT},
    {"volume_ml", VOLUME, &jl_units[JL_ML], AMOUNT},
    {"weight_kg", WEIGHT, &jl_units[JL_KG], AMOUNT},
    {"weight_g", WEIGHT, &jl_units[JL_G], AMOUNT},
    {"reading_pct", READING, &jl_units[JL_PCT], 0, 100, "0 to 100 % vol"},
    {"reading_proof", READING_PROOF, &jl_units[JL_PROOF], 0, 200, "0 to 200 proof"},
    {"strength_pct", STRENGTH, &jl_units[JL_PCT], 0, 100, "0 to 100 % vol"},
    {"strength_proof", STRENGTH_PROOF, &jl_units[JL_PROOF], 0, 200, "0 to 200 proof"},
    {"temp_c", TEMP, &jl_units[JL_C], FACTS_C},
    {"temp_f", TEMP, &jl_units[JL_F], FACTS_C},
    {"solids_g_100ml", SOLIDS, NUMBER, 0, 100, "0 to 100 g in 100 mL"},
    {"bottles", BOTTLES, NUMBER, 0, 1e9, "a whole number of bottles"},
    {"bottle_ml", BOTTLE, &jl_units[JL_ML], 0, 1000, "a bottle's volume in mL"},
    {"lot", LOT, TEXT, ""},
    {"run", RUN, TEXT, ""},
    {"late", LATE, TEXT, "when a late entry was written, as 2026-10-24T09:02:30+02:00"},
    {"note", NOTE, TEXT, ""},
    {"ethanol_kg", ETHANOL, NUMBER, 0, 1e9, "kg of ethanol"},
    {"water_kg", WATER, NUMBER, 0, 1e9, "kg of water"},
    {"logged_ethanol_kg", LOGGED_ETHANOL, NUMBER, 0, 1e9, "kg of ethanol"},
    {"logged_water_kg", LOGGED_WATER, NUMBER, 0, 1e9, "kg of water"},
    {NULL, 0, TEXT, NULL},
};

struct jl_book_file {
    jl_locked_file lock; /* lock.fd -1: only read */
    jl_file file;
    jl_facts *facts;
    jl_columns columns;
    jl_alcoholometer instrument;
    jl_book *book;
    jl_book_odd odd[JL_BOOK_ODD_MOST];
    size_t odd_count;
    jl_typed_times typed;
    bool instrument_read, mark_found;
    jl_trouble trouble;
};

static bool is_book_header(const jl_row *header) {
    bool entry = false, what = false;
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *c =
            jl_column_named(COLUMNS, header->cells[i].text, header->cells[i].length);
        entry = entry || (c != NULL && c->role == ENTRY);
        what = what || (c != NULL && c->role == WHAT);
    }
    return entry && what;
}

/* ---- what stands in which column ---- */

typedef struct field {
    role at;
    enum { TEXT_FIELD, NUMBER_FIELD, MASS_FIELD, SCALE_FIELD } kind;
    size_t offset; /* in an entry */
} field;

#define OF(member) offsetof(jl_book_entry, member)

/* Of a number NaN is none; a mass is written with all its digits; a value on a scale goes into the
 * column of its scale. Other columns have rules of their own. */
static const field FIELDS[] = {
    {FROM, TEXT_FIELD, OF(from)},
    {INTO, TEXT_FIELD, OF(into)},
    {RECEIVER, TEXT_FIELD, OF(receiver)},
    {KIND, TEXT_FIELD, OF(kind)},
    {LOT, TEXT_FIELD, OF(lot)},
    {RUN, TEXT_FIELD, OF(run)},
    {NOTE, TEXT_FIELD, OF(note)},
    {VOLUME, NUMBER_FIELD, OF(measured.volume_l)},
    {WEIGHT, NUMBER_FIELD, OF(measured.weight_kg)},
    {TEMP, NUMBER_FIELD, OF(measured.temp_c)},
    {SOLIDS, NUMBER_FIELD, OF(measured.solids_g_100ml)},
    {READING, SCALE_FIELD, OF(measured.reading)},
    {READING_PROOF, SCALE_FIELD, OF(measured.reading)},
    {STRENGTH, SCALE_FIELD, OF(measured.strength)},
    {STRENGTH_PROOF, SCALE_FIELD, OF(measured.strength)},
    {ETHANOL, MASS_FIELD, OF(amount.ethanol_kg)},
    {WATER, MASS_FIELD, OF(amount.water_kg)},
    {LOGGED_ETHANOL, MASS_FIELD, OF(logged.ethanol_kg)},
    {LOGGED_WATER, MASS_FIELD, OF(logged.water_kg)},
};
enum { FIELD_COUNT = sizeof FIELDS / sizeof FIELDS[0] };

/* Where it stands in an entry. */
static void *value_of(const jl_book_entry *e, const field *f) {
    return (char *)e + f->offset;
}

static const field *field_of(role at) {
    for (size_t i = 0; i < FIELD_COUNT; i++)
        if (FIELDS[i].at == at) return &FIELDS[i];
    return NULL;
}

/* ---- a row ---- */

static jl_status fault_at_role(const jl_book_file *f, const jl_row *row, role at, jl_status status,
                               jl_fault *fault) {
    const jl_column *column = COLUMNS;
    while (column->role != at) column++;
    return jl_columns_fault(&f->columns, row, at, status, column->expected, fault);
}

static const char *text_of(const jl_book_file *f, const jl_row *row, role at) {
    jl_cell cell = jl_columns_cell(&f->columns, row, at);
    return cell.text + jl_note_skip(cell.text, cell.length);
}

static jl_status read_time(jl_book_file *f, const jl_row *row, role at, jl_time *time,
                           jl_fault *fault) {
    jl_cell cell = jl_columns_cell(&f->columns, row, at);
    size_t count;
    const jl_book_entry *entries = jl_book_entries(f->book, &count);
    const jl_time *before = count > 0 ? &entries[count - 1].written : NULL;
    jl_status status = cell.length == 0
                           ? JL_MISSING
                           : jl_time_in_cell(cell.text, cell.length, before, time, &f->typed);
    return status == JL_OK ? JL_OK : fault_at_role(f, row, at, status, fault);
}

static jl_status read_moments(jl_book_file *f, const jl_row *row, jl_book_entry *e,
                              jl_fault *fault) {
    jl_status status = read_time(f, row, TIME, &e->time, fault);
    e->late = jl_columns_cell(&f->columns, row, LATE).length > 0;
    e->written = e->time;
    return status == JL_OK && e->late ? read_time(f, row, LATE, &e->written, fault) : status;
}

/* Of two columns for two scales, the one that is filled. */
static jl_status read_scales(const jl_book_file *f, const jl_row *row, role pct, role proof,
                             jl_quantity *value, jl_fault *fault) {
    double by_proof = NAN;
    jl_status status = jl_columns_value(&f->columns, row, pct, &value->value, fault);
    if (status == JL_OK) status = jl_columns_value(&f->columns, row, proof, &by_proof, fault);
    if (status != JL_OK || isnan(by_proof)) return status;
    if (!isnan(value->value))
        return jl_columns_fault(&f->columns, row, proof, JL_CONFLICT,
                                "nothing here, where the same stands in % vol", fault);
    *value = (jl_quantity){by_proof, JL_UNIT_PROOF_US};
    return JL_OK;
}

static jl_status read_number(const jl_book_file *f, const jl_row *row, const field *of,
                             jl_book_entry *e, jl_fault *fault) {
    double *value = value_of(e, of);
    jl_status status = jl_columns_value(&f->columns, row, of->at, value, fault);
    if (status == JL_OK && of->kind == MASS_FIELD && isnan(*value)) *value = 0;
    return status;
}

static jl_status read_bottles(const jl_book_file *f, const jl_row *row, jl_book_entry *e,
                              jl_fault *fault) {
    double bottles, bottle_l;
    jl_status status = jl_columns_value(&f->columns, row, BOTTLES, &bottles, fault);
    if (status == JL_OK) status = jl_columns_value(&f->columns, row, BOTTLE, &bottle_l, fault);
    if (status != JL_OK) return status;
    if (bottles != floor(bottles) && !isnan(bottles))
        return fault_at_role(f, row, BOTTLES, JL_FORM, fault);
    e->bottles = isnan(bottles) ? 0 : (uint32_t)bottles;
    e->bottle_l = isnan(bottle_l) ? 0 : bottle_l;
    return JL_OK;
}

static jl_status read_numbers(const jl_book_file *f, const jl_row *row, jl_book_entry *e,
                              jl_fault *fault) {
    jl_status status = read_scales(f, row, READING, READING_PROOF, &e->measured.reading, fault);
    if (status == JL_OK)
        status = read_scales(f, row, STRENGTH, STRENGTH_PROOF, &e->measured.strength, fault);
    for (size_t i = 0; status == JL_OK && i < FIELD_COUNT; i++)
        if (FIELDS[i].kind == NUMBER_FIELD || FIELDS[i].kind == MASS_FIELD)
            status = read_number(f, row, &FIELDS[i], e, fault);
    return status == JL_OK ? read_bottles(f, row, e, fault) : status;
}

static void read_texts(const jl_book_file *f, const jl_row *row, jl_book_entry *e) {
    for (size_t i = 0; i < FIELD_COUNT; i++)
        if (FIELDS[i].kind == TEXT_FIELD)
            *(const char **)value_of(e, &FIELDS[i]) = text_of(f, row, FIELDS[i].at);
}

static jl_status read_entry(jl_book_file *f, const jl_row *row, jl_book_entry *e, jl_fault *fault) {
    *e = (jl_book_entry){.measured = JL_BOOK_UNMEASURED, .line = row->line};
    if (jl_book_number_read(jl_columns_cell(&f->columns, row, ENTRY).text, &e->number) != JL_OK)
        return fault_at_role(f, row, ENTRY, JL_FORM, fault);
    if (jl_book_what_read(jl_columns_cell(&f->columns, row, WHAT).text, &e->what) != JL_OK)
        return fault_at_role(f, row, WHAT, JL_FORM, fault);
    read_texts(f, row, e);
    if (e->what == JL_BOOK_CANCELLED && jl_book_number_read(e->from, &e->cancelled) != JL_OK)
        return jl_columns_fault(&f->columns, row, FROM, JL_FORM,
                                "the number of the entry that is cancelled, as 2026-31", fault);
    if (e->what == JL_BOOK_CANCELLED) e->from = "";
    jl_status status = read_moments(f, row, e, fault);
    return status == JL_OK ? read_numbers(f, row, e, fault) : status;
}

/* ---- what it comes to ---- */

static const char *why_expected(jl_book_why why) {
    static const char *const EXPECTED[] = {
        [JL_BOOK_TAKEN] = "",
        [JL_BOOK_NO_VESSEL] = "a vessel of the book",
        [JL_BOOK_NO_LOT] = "a lot of the book",
        [JL_BOOK_RETIRED] = "a vessel that is not retired",
        [JL_BOOK_HOLDS_LESS] = "no more than there is",
        [JL_BOOK_ABOVE_CAPACITY] = "no more than the vessel has room for",
        [JL_BOOK_EMPTY] = "a vessel that holds something",
        [JL_BOOK_TWICE] = "jars that no entry above has collected",
        [JL_BOOK_BEFORE_LAST] = "a moment not before the last entry's, or one marked late",
        [JL_BOOK_STANDS_ON] = "an entry on which no later one stands",
        [JL_BOOK_NO_ENTRY] = "the number of an entry that stands",
        [JL_BOOK_EXISTS] = "a new name; a lot's bottles all of one size",
        [JL_BOOK_NOT_EMPTY] = "an empty vessel",
        [JL_BOOK_NO_AMOUNT] = "what the entry needs, in its range",
        [JL_BOOK_SAME] = "two vessels",
        [JL_BOOK_NAME] = "a name without a colon"};
    return EXPECTED[why];
}

static bool nearly(double a, double b, double scale) {
    return fabs(a - b) <= JL_BOOK_DROPPED * scale + 1e-9;
}

/* What was measured is settled once more beside what stands in the row. */
static void compare(jl_book_file *f, const jl_book_entry *e) {
    jl_book_entry again = *e;
    jl_book_refusal refusal;
    again.measured.all =
        e->what != JL_BOOK_BOTTLED && e->bottles == 0 && !jl_book_has_size(&e->measured);
    if (jl_book_amount(f->book, &f->instrument, &again, &refusal) != JL_OK) return;
    double scale = jl_mass_kg(e->amount) + jl_mass_kg(again.amount);
    if (nearly(again.amount.ethanol_kg, e->amount.ethanol_kg, scale) &&
        nearly(again.amount.water_kg, e->amount.water_kg, scale))
        return;
    if (f->odd_count < JL_BOOK_ODD_MOST)
        f->odd[f->odd_count] = (jl_book_odd){e->line, e->number, e->amount, again.amount};
    f->odd_count++;
}

static jl_status take_entry(jl_book_file *f, const jl_row *row, jl_fault *fault) {
    jl_book_entry e;
    jl_book_refusal refusal;
    size_t count;
    jl_status status = jl_columns_width(&f->columns, row, fault);
    if (status == JL_OK && !f->mark_found)
        f->mark_found = jl_columns_mark(&f->columns, row, &f->file.dialect.comma);
    if (status == JL_OK) status = read_entry(f, row, &e, fault);
    if (status != JL_OK) return status;
    const jl_book_entry *entries = jl_book_entries(f->book, &count);
    const jl_book_number *last = count > 0 ? &entries[count - 1].number : NULL;
    if (last != NULL && (e.number.year < last->year ||
                         (e.number.year == last->year && e.number.serial <= last->serial)))
        return fault_at_role(f, row, ENTRY, JL_CONFLICT, fault);
    compare(f, &e);
    status = jl_book_take(f->book, &e, &refusal);
    if (status == JL_OK || status == JL_MEMORY) return status;
    return jl_columns_fault(&f->columns, row, WHAT, JL_CONFLICT, why_expected(refusal.why), fault);
}

/* ---- the file ---- */

static jl_status take_instrument(jl_book_file *f, jl_fault *fault) {
    if (f->instrument_read) return JL_OK;
    f->instrument_read = true;
    return jl_instrument_read(f->facts, &f->columns, &f->instrument, NULL, fault);
}

static jl_status take_fact(jl_book_file *f, const jl_row *row, jl_fault *fault) {
    const jl_fact *fact;
    jl_status status = jl_facts_add(f->facts, row, f->file.dialect.delimiter, &fact, fault);
    if (status != JL_OK || fact == NULL || strcmp(fact->key, "kind") != 0) return status;
    if (jl_same_letters(fact->text, "book")) return JL_OK;
    return jl_row_fault(row, 1, JL_CONFLICT, "a book: #kind,book", fault);
}

static jl_status take_header(jl_book_file *f, const jl_row *row, jl_fault *fault) {
    if (!is_book_header(row))
        return jl_fault_at(fault, JL_MISSING, row->line, 0, NULL, 0, HEADER_EXPECTED);
    return jl_columns_read(COLUMNS, row, f->file.dialect.delimiter, &f->columns, fault);
}

static jl_status read_rows(jl_book_file *f, jl_fault *fault) {
    jl_row row;
    jl_status status = jl_file_begin(&f->file, is_book_header, fault);
    while (status == JL_OK) {
        status = jl_file_next(&f->file, &row, fault);
        if (status != JL_OK) break;
        if (jl_row_is_fact(&row))
            status = take_fact(f, &row, fault);
        else if (f->columns.line == 0)
            status = take_header(f, &row, fault);
        else {
            status = take_instrument(f, fault);
            if (status == JL_OK) status = take_entry(f, &row, fault);
        }
    }
    if (status != JL_END) return status;
    if (f->columns.line == 0) return jl_plain_fault(fault, JL_MISSING, HEADER_EXPECTED);
    return take_instrument(f, fault);
}

/* Takes the file's bytes, whatever it returns. */
static jl_status book_of_file(jl_file *file, jl_book_file **book, jl_fault *fault) {
    jl_book_file *f = calloc(1, sizeof *f);
    if (f == NULL) {
        jl_file_free(file);
        return jl_no_memory(fault);
    }
    f->lock.fd = -1;
    f->file = *file;
    f->instrument = JL_ALCOHOLOMETER;
    jl_status status = jl_facts_new(&f->facts);
    if (status == JL_OK) status = jl_book_new(&f->book);
    status = status == JL_OK ? read_rows(f, fault) : jl_plain_fault(fault, status, NULL);
    jl_file_end(&f->file);
    if (status == JL_OK)
        *book = f;
    else
        jl_book_close(f);
    return status;
}

jl_status jl_book_read(int fd, jl_book_file **file, jl_fault *fault) {
    jl_file bytes;
    jl_status status = jl_file_read(fd, true, &bytes, fault);
    return status == JL_OK ? book_of_file(&bytes, file, fault) : status;
}

jl_status jl_book_open(const char *path, double wait_s, jl_book_file **file, jl_fault *fault,
                       jl_trouble *trouble) {
    jl_locked_file lock;
    jl_file bytes;
    jl_status status = jl_file_hold(path, wait_s, &lock, &bytes, fault, trouble);
    if (status != JL_OK) return status;
    status = book_of_file(&bytes, file, fault);
    if (status == JL_OK)
        (*file)->lock = lock;
    else
        jl_locked_file_release(&lock);
    return status;
}

void jl_book_close(jl_book_file *f) {
    if (f == NULL) return;
    if (f->lock.fd >= 0) jl_locked_file_release(&f->lock);
    jl_book_free(f->book);
    jl_facts_free(f->facts);
    jl_file_free(&f->file);
    free(f);
}

const jl_book *jl_book_in(const jl_book_file *file) {
    return file->book;
}

const jl_facts *jl_book_facts(const jl_book_file *file) {
    return file->facts;
}

const jl_typed_times *jl_book_typed_times(const jl_book_file *file) {
    return &file->typed;
}

jl_alcoholometer jl_book_instrument(const jl_book_file *file) {
    return file->instrument;
}

const jl_book_odd *jl_book_odd_rows(const jl_book_file *file, size_t *count) {
    *count = file->odd_count;
    return file->odd;
}

size_t jl_book_torn_line(const jl_book_file *file) {
    return file->file.torn_line;
}

jl_trouble jl_book_trouble(const jl_book_file *file) {
    return file->trouble;
}

/* ---- writing ---- */

/* All the digits that a double has, so that anyone can sum the book. What a vessel has room for has so
 * many digits at most. */
static void add_exact(jl_text *text, const jl_dialect *dialect, double value) {
    char digits[48] = "";
    jl_decimal_write(value, 17, digits, sizeof digits);
    for (char *c = digits; *c != '\0'; c++)
        if (*c == '.' && dialect->comma) *c = ',';
    jl_cell_add(text, dialect, digits, strlen(digits));
}

static void add_text(jl_text *text, const jl_dialect *dialect, const char *words) {
    if (*words != '\0') jl_cell_add_note(text, dialect, words, strlen(words));
}

/* Of a moment that check_moments let pass. */
static void add_time(jl_text *text, const jl_dialect *dialect, jl_time time) {
    char moment[JL_TIME_BYTES] = "";
    jl_time_write(time, moment, sizeof moment);
    jl_cell_add(text, dialect, moment, strlen(moment));
}

static void add_number(jl_text *text, const jl_dialect *dialect, const jl_column *column,
                       double value) {
    if (!isnan(value)) jl_cell_add_number(text, dialect, jl_column_number(column, value));
}

static void add_entry_number(jl_text *text, const jl_dialect *dialect, jl_book_number number) {
    char digits[JL_BOOK_NUMBER_BYTES];
    jl_book_number_write(number, digits);
    jl_cell_add(text, dialect, digits, strlen(digits));
}

static bool is_counted(const jl_book_entry *e) {
    return e->bottles > 0 || (e->what == JL_BOOK_GAUGED && jl_book_is_lot(e->from));
}

/* The cells with rules of their own. */
static void add_own(const jl_book_entry *e, const jl_column *c, const jl_dialect *dialect,
                    jl_text *text) {
    if (c->role == ENTRY) add_entry_number(text, dialect, e->number);
    if (c->role == TIME) add_time(text, dialect, e->time);
    if (c->role == WHAT) add_text(text, dialect, jl_book_word(e->what));
    if (c->role == BOTTLES && is_counted(e)) add_number(text, dialect, c, e->bottles);
    if (c->role == BOTTLE && e->bottle_l > 0) add_number(text, dialect, c, e->bottle_l);
    if (c->role == LATE && e->late) add_time(text, dialect, e->written);
}

static void add_mass(const jl_book_entry *e, const field *of, const jl_dialect *dialect,
                     jl_text *text) {
    bool logged = of->at == LOGGED_ETHANOL || of->at == LOGGED_WATER;
    if (!logged || jl_book_measured_apart(e))
        add_exact(text, dialect, *(const double *)value_of(e, of));
}

static void add_cell(const jl_book_entry *e, const jl_column *c, const jl_dialect *dialect,
                     jl_text *text) {
    const field *of = field_of((role)c->role);
    if (of == NULL)
        add_own(e, c, dialect, text);
    else if (of->at == FROM && e->what == JL_BOOK_CANCELLED)
        add_entry_number(text, dialect, e->cancelled);
    else if (of->kind == TEXT_FIELD)
        add_text(text, dialect, *(const char **)value_of(e, of));
    else if (of->kind == NUMBER_FIELD)
        add_number(text, dialect, c, *(const double *)value_of(e, of));
    else if (of->kind == MASS_FIELD)
        add_mass(e, of, dialect, text);
    else {
        const jl_quantity *q = value_of(e, of);
        if (q->unit == c->unit->unit) add_number(text, dialect, c, q->value);
    }
}

static jl_status check_texts(const jl_book_entry *e, jl_fault *fault) {
    for (size_t i = 0; i < FIELD_COUNT; i++) {
        if (FIELDS[i].kind != TEXT_FIELD) continue;
        const char *text = *(const char **)value_of(e, &FIELDS[i]);
        size_t length = strlen(text);
        if (length > 4096)
            return jl_fault_at(fault, JL_TOO_LONG, 0, 0, text, length, "at most 4096 bytes");
        if (!jl_is_one_line(text))
            return jl_fault_at(fault, JL_FORM, 0, 0, text, length, "text on one line");
    }
    return JL_OK;
}

static jl_status check_moments(const jl_book_entry *e, jl_fault *fault) {
    char text[JL_TIME_BYTES];
    jl_status status = jl_time_write(e->time, text, sizeof text);
    if (status == JL_OK) status = jl_time_write(e->written, text, sizeof text);
    return status == JL_OK ? JL_OK : jl_plain_fault(fault, status, TIME_EXPECTED);
}

/* Columns that a header made by hand may lack are needed where something would stand in them. */
static jl_status check_columns(const jl_book_file *f, const jl_book_entry *e, jl_fault *fault) {
    unsigned before = ROLES;
    for (const jl_column *c = COLUMNS; c->name != NULL; before = c->role, c++) {
        jl_text cell = {0};
        if (c->role == before || f->columns.what[c->role] != NULL) continue;
        add_cell(e, c, &f->file.dialect, &cell);
        size_t length = cell.length;
        bool failed = cell.failed;
        jl_text_free(&cell);
        if (failed) return jl_no_memory(fault);
        if (length > 0)
            return jl_fault_at(fault, JL_EXISTS, f->columns.line, 0, c->name, strlen(c->name),
                               "a header with this column, in which the entry is to stand");
    }
    return JL_OK;
}

/* A true strength is the same on either scale; a header may have one of them alone. */
static void to_own_scale(const jl_book_file *f, jl_quantity *strength) {
    bool proof = strength->unit == JL_UNIT_PROOF_US;
    double mass_fraction, value;
    if (isnan(strength->value) || f->columns.what[proof ? STRENGTH_PROOF : STRENGTH] != NULL ||
        f->columns.what[proof ? STRENGTH : STRENGTH_PROOF] == NULL)
        return;
    if (jl_strength_to_mass_fraction(*strength, &mass_fraction) != JL_OK ||
        jl_strength_pct(mass_fraction, proof ? JL_STRENGTH_C : JL_PROOF_C, &value) != JL_OK)
        return;
    *strength =
        proof ? (jl_quantity){value, JL_UNIT_PCT_VOL} : (jl_quantity){2 * value, JL_UNIT_PROOF_US};
}

/* What is settled is what will stand in its cell. */
static void to_own_digits(const jl_book_file *f, double *temp_c) {
    const jl_column *column = f->columns.what[TEMP];
    if (column == NULL || isnan(*temp_c)) return;
    *temp_c = jl_from_unit(column->unit, jl_column_number(column, *temp_c));
}

/* The book becomes that of what has been written. */
static void take_over(jl_book_file *f, jl_book_file *made) {
    jl_book_file before = *f;
    *f = *made;
    f->lock = before.lock;
    *made = before;
    made->lock.fd = -1;
}

static jl_status put(jl_book_file *f, const jl_text *row, jl_fault *fault) {
    jl_edit edit;
    jl_book_file *made;
    size_t before, after;
    jl_edit_begin(&edit, &f->file);
    jl_status status = jl_edit_end(&edit, row);
    if (status != JL_OK) return jl_plain_fault(fault, status, NULL);
    const jl_text text = edit.text;
    jl_file file = {.bytes = text.bytes, .size = text.length};
    status = book_of_file(&file, &made, fault);
    if (status != JL_OK) return status;
    jl_book_entries(f->book, &before);
    jl_book_entries(made->book, &after);
    status = after == before + 1 ? jl_file_put(&f->file, &f->lock, &text) : JL_CONFLICT;
    f->trouble = f->lock.trouble;
    if (status == JL_OK)
        take_over(f, made);
    else
        jl_plain_fault(fault, status, NULL);
    jl_book_close(made);
    return status;
}

/* The entry's row, with its number and what it comes to. */
static jl_status make_row(jl_book_file *f, jl_book_entry *entry, jl_text *row,
                          jl_book_refusal *refusal, jl_fault *fault) {
    entry->number = jl_book_next(f->book, entry->written);
    to_own_scale(f, &entry->measured.strength);
    to_own_digits(f, &entry->measured.temp_c);
    jl_status status = check_texts(entry, fault);
    if (status == JL_OK) status = check_moments(entry, fault);
    if (status == JL_OK) status = jl_book_settle(f->book, &f->instrument, entry, refusal);
    if (status == JL_OK) status = check_columns(f, entry, fault);
    if (status != JL_OK) return status;
    for (size_t at = 0; at < f->columns.cells; at++) {
        const jl_column *column = jl_columns_at(&f->columns, at);
        if (at > 0) jl_delimiter_add(row, &f->file.dialect);
        if (column != NULL) add_cell(entry, column, &f->file.dialect, row);
    }
    jl_line_end_add(row, &f->file.dialect);
    return row->failed ? JL_MEMORY : JL_OK;
}

jl_status jl_book_write(jl_book_file *f, jl_book_entry *entry, jl_book_refusal *refusal,
                        jl_fault *fault) {
    jl_text row = {0};
    *refusal = (jl_book_refusal){.why = JL_BOOK_TAKEN, .status = JL_OK};
    f->trouble = (jl_trouble){0};
    if (f->lock.fd < 0)
        return jl_plain_fault(fault, JL_EXISTS, "a book that was opened for writing");
    jl_status status = make_row(f, entry, &row, refusal, fault);
    if (status == JL_OK) status = put(f, &row, fault);
    jl_text_free(&row);
    return status;
}

/* ---- a new book ---- */

static void add_header(jl_text *text, const jl_dialect *dialect) {
    unsigned before = ROLES;
    for (const jl_column *c = COLUMNS; c->name != NULL; c++) {
        if (c->role == before) continue;
        if (before != ROLES) jl_delimiter_add(text, dialect);
        jl_text_add(text, c->name, strlen(c->name));
        before = c->role;
    }
    jl_line_end_add(text, dialect);
}

static jl_status add_facts(const char *title, const jl_dialect *dialect, jl_text *text) {
    const jl_fact_entry facts[] = {
        {.key = "jarline", .values = {1}, .count = 1},
        {.key = "kind", .text = "book"},
        {.key = "title", .text = title},
    };
    for (size_t i = 0; i < (title == NULL ? 2 : 3); i++) {
        if (!jl_fact_entry_ok(&facts[i])) return JL_FORM;
        jl_fact_add(text, dialect, &facts[i]);
    }
    return JL_OK;
}

/* A book of these bytes, which stay the caller's. */
static jl_status book_of_text(const jl_text *text, jl_book_file **f, jl_fault *fault) {
    jl_file file;
    if (jl_file_of_text(text, &file) != JL_OK) return jl_no_memory(fault);
    return book_of_file(&file, f, fault);
}

jl_status jl_book_create(const char *path, const char *title, jl_book_entry *first,
                         jl_book_refusal *refusal, jl_fault *fault, jl_trouble *trouble) {
    const jl_dialect dialect = {',', false, false};
    jl_text text = {0};
    jl_book_file *f = NULL, *whole = NULL;
    *refusal = (jl_book_refusal){.why = JL_BOOK_TAKEN, .status = JL_OK};
    jl_status status = add_facts(title, &dialect, &text);
    add_header(&text, &dialect);
    if (status == JL_OK) status = book_of_text(&text, &f, fault);
    if (status == JL_OK) status = make_row(f, first, &text, refusal, fault);
    if (status == JL_OK) status = book_of_text(&text, &whole, fault);
    if (status == JL_OK) status = jl_create(path, text.bytes, text.length, trouble);
    jl_book_close(f);
    jl_book_close(whole);
    jl_text_free(&text);
    return status;
}
