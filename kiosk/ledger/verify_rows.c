#include "kiosk/ledger/verify_rows.h"

#include <inttypes.h>
#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/database_store.h"

/* ---- every field of every row ---- */

enum type { TEXT, NUMBER, FLAG, LETTER, STATUS, STATE };

struct field {
    const char *name;
    enum type type;
    size_t offset;
};

#define F(row, field, type)                                                                                            \
    {                                                                                                                  \
#field, type, offsetof(struct row, field)                                                                      \
    }

static const struct field item_fields[] = {F(item, letter, LETTER),
                                           F(item, name, TEXT),
                                           F(item, resin, TEXT),
                                           F(item, revision, TEXT),
                                           F(item, gtin, TEXT),
                                           F(item, maker_code, TEXT),
                                           F(item, fits, TEXT),
                                           F(item, content_ul, NUMBER),
                                           F(item, minimum_days, NUMBER),
                                           F(item, life_minutes, NUMBER),
                                           F(item, density_mg_ml, NUMBER),
                                           F(item, stir_days, NUMBER),
                                           F(item, inspect_minutes, NUMBER),
                                           F(item, surface_minutes, NUMBER),
                                           F(item, sds.product, TEXT),
                                           F(item, sds.signal_word, TEXT),
                                           F(item, sds.pictograms, TEXT),
                                           F(item, sds.statements, TEXT),
                                           F(item, sds.precautions, TEXT),
                                           F(item, sds.revised, TEXT),
                                           F(item, sds.place, TEXT),
                                           F(item, sds.label, TEXT),
                                           F(item, sds.supplier, TEXT),
                                           F(item, sds.address, TEXT),
                                           F(item, sds.phone, TEXT),
                                           F(item, sds.quantity, TEXT),
                                           F(item, sds.ufi, TEXT),
                                           F(item, sds.language, TEXT),
                                           F(item, provisional, FLAG),
                                           F(item, version, NUMBER),
                                           {NULL, TEXT, 0}};
static const struct field lot_fields[] = {F(lot, expires, NUMBER), F(lot, version, NUMBER), {NULL, TEXT, 0}};
static const struct field place_fields[] = {
    F(place, kind, TEXT), F(place, printer, TEXT), F(place, name, TEXT), F(place, version, NUMBER), {NULL, TEXT, 0}};
static const struct field machine_fields[] = {
    F(machine, name, TEXT), F(machine, slots, NUMBER), F(machine, version, NUMBER), {NULL, TEXT, 0}};
static const struct field person_fields[] = {
    F(person, role, TEXT), F(person, training, TEXT), F(person, version, NUMBER), {NULL, TEXT, 0}};
static const struct field unit_fields[] = {F(unit, item, TEXT),
                                           F(unit, resin, TEXT),
                                           F(unit, lot, TEXT),
                                           F(unit, status, STATUS),
                                           F(unit, place, TEXT),
                                           F(unit, holder, TEXT),
                                           F(unit, printer, TEXT),
                                           F(unit, job, TEXT),
                                           F(unit, delivery, TEXT),
                                           F(unit, hold, TEXT),
                                           F(unit, film, TEXT),
                                           F(unit, filled, NUMBER),
                                           F(unit, expires, NUMBER),
                                           F(unit, amount_ul, NUMBER),
                                           F(unit, minutes, NUMBER),
                                           F(unit, labelled, FLAG),
                                           F(unit, prints, NUMBER),
                                           F(unit, out_since_ms, NUMBER),
                                           F(unit, estimated, FLAG),
                                           F(unit, recovered, FLAG),
                                           F(unit, first_filled, NUMBER),
                                           F(unit, opened, NUMBER),
                                           F(unit, tare_dg, NUMBER),
                                           F(unit, heir, TEXT),
                                           F(unit, reserved, TEXT),
                                           F(unit, reserved_until, NUMBER),
                                           F(unit, due, NUMBER),
                                           F(unit, pair, TEXT),
                                           F(unit, stood_ms, NUMBER),
                                           F(unit, inspected_minutes, NUMBER),
                                           F(unit, surface_minutes, NUMBER),
                                           F(unit, version, NUMBER),
                                           {NULL, TEXT, 0}};
static const struct field unit_mix_fields[] = {F(unit_mix, lots, TEXT), F(unit_mix, version, NUMBER), {NULL, TEXT, 0}};
static const struct field delivery_fields[] = {F(delivery, supplier, TEXT),
                                               F(delivery, open, FLAG),
                                               F(delivery, opened_ms, NUMBER),
                                               F(delivery, version, NUMBER),
                                               {NULL, TEXT, 0}};
static const struct field job_fields[] = {F(job, machine, TEXT),    F(job, person, TEXT),    F(job, started_ms, NUMBER),
                                          F(job, ended_ms, NUMBER), F(job, need_ul, NUMBER), F(job, end_day, NUMBER),
                                          F(job, minutes, NUMBER),  F(job, code, TEXT),      F(job, end_ms, NUMBER),
                                          F(job, ticket, NUMBER),   F(job, outcome, TEXT),   F(job, used_ul, NUMBER),
                                          F(job, version, NUMBER),  {NULL, TEXT, 0}};
static const struct field print_fields[] = {F(print, state, STATE),        F(print, label_template, TEXT),
                                            F(print, device, TEXT),        F(print, device_job, NUMBER),
                                            F(print, ordered_seq, NUMBER), F(print, ordered_ms, NUMBER),
                                            F(print, batch, TEXT),         F(print, rank, NUMBER),
                                            F(print, version, NUMBER),     {NULL, TEXT, 0}};
static const struct field label_printer_fields[] = {
    F(label_printer, dpi, NUMBER),           F(label_printer, shift_right, NUMBER),
    F(label_printer, shift_down, NUMBER),    F(label_printer, module_dots, NUMBER),
    F(label_printer, stretch_mm, NUMBER),    F(label_printer, stretch_um, NUMBER),
    F(label_printer, size_across, NUMBER),   F(label_printer, size_down, NUMBER),
    F(label_printer, calibrated_ms, NUMBER), F(label_printer, baseline_seq, NUMBER),
    F(label_printer, version, NUMBER),       {NULL, TEXT, 0}};
static const struct field print_look_fields[] = {
    F(print_look, device, TEXT),       F(print_look, unit, TEXT),       F(print_look, number, NUMBER),
    F(print_look, at_ms, NUMBER),      F(print_look, source, TEXT),     F(print_look, pixels, NUMBER),
    F(print_look, modulation, NUMBER), F(print_look, margin, NUMBER),   F(print_look, axial, NUMBER),
    F(print_look, grid, NUMBER),       F(print_look, unused, NUMBER),   F(print_look, fixed, NUMBER),
    F(print_look, growth_x, NUMBER),   F(print_look, growth_y, NUMBER), F(print_look, contrast, NUMBER),
    F(print_look, from_um, NUMBER),    F(print_look, to_um, NUMBER),    F(print_look, marks, TEXT),
    F(print_look, edition, TEXT),      F(print_look, version, NUMBER),  {NULL, TEXT, 0}};
static const struct field question_fields[] = {
    F(question, code, TEXT), F(question, unit, TEXT),        F(question, person, TEXT),
    F(question, open, FLAG), F(question, opened_ms, NUMBER), F(question, version, NUMBER),
    {NULL, TEXT, 0}};

static const struct field sticker_fields[] = {F(sticker, supplier, TEXT),  F(sticker, pattern, TEXT),
                                              F(sticker, example, TEXT),   F(sticker, forgotten, FLAG),
                                              F(sticker, version, NUMBER), {NULL, TEXT, 0}};

static const struct field substitution_fields[] = {F(substitution, approver, TEXT),
                                                   F(substitution, until, NUMBER),
                                                   F(substitution, ended, FLAG),
                                                   F(substitution, version, NUMBER),
                                                   {NULL, TEXT, 0}};

static const struct field *const fields[MEMORY_TABLES] = {
    [MEMORY_ITEMS] = item_fields,
    [MEMORY_LOTS] = lot_fields,
    [MEMORY_PLACES] = place_fields,
    [MEMORY_MACHINES] = machine_fields,
    [MEMORY_PERSONS] = person_fields,
    [MEMORY_UNITS] = unit_fields,
    [MEMORY_UNIT_MIXES] = unit_mix_fields,
    [MEMORY_DELIVERIES] = delivery_fields,
    [MEMORY_JOBS] = job_fields,
    [MEMORY_PRINTS] = print_fields,
    [MEMORY_LABEL_PRINTERS] = label_printer_fields,
    [MEMORY_PRINT_LOOKS] = print_look_fields,
    [MEMORY_QUESTIONS] = question_fields,
    [MEMORY_STICKERS] = sticker_fields,
    [MEMORY_SUBSTITUTIONS] = substitution_fields,
};

static void show_number(int64_t number, char text[VERIFY_VALUE_SIZE])
{
    struct builder builder;
    builder_init(&builder, text, VERIFY_VALUE_SIZE);
    if (number == MOVEMENT_NULL)
        builder_add(&builder, "unknown");
    else
        builder_addf(&builder, "%" PRId64, number);
}

static void show(const void *row, const struct field *field, char text[VERIFY_VALUE_SIZE])
{
    const char *at = (const char *)row + field->offset;
    int64_t number = 0;
    int word = 0;
    bool flag = false;
    switch (field->type) {
    case TEXT:
        text_show(span_of(at), text, VERIFY_VALUE_SIZE);
        return;
    case LETTER:
        text_show((struct span){at, 1}, text, VERIFY_VALUE_SIZE);
        return;
    case NUMBER:
        memcpy(&number, at, sizeof number);
        show_number(number, text);
        return;
    case FLAG:
        memcpy(&flag, at, sizeof flag);
        text_show(span_of(flag ? "yes" : "no"), text, VERIFY_VALUE_SIZE);
        return;
    default:
        memcpy(&word, at, sizeof word);
        text_show(span_of(field->type == STATUS ? unit_status_word((enum unit_status)word)
                                                : print_state_word((enum print_state)word)),
                  text, VERIFY_VALUE_SIZE);
    }
}

static bool same(const void *one, const void *two, const struct field *field)
{
    const char *a = (const char *)one + field->offset, *b = (const char *)two + field->offset;
    switch (field->type) {
    case TEXT:
        return strcmp(a, b) == 0;
    case NUMBER:
        return memcmp(a, b, sizeof(int64_t)) == 0;
    case FLAG:
        return memcmp(a, b, sizeof(bool)) == 0;
    case LETTER:
        return *a == *b;
    default:
        return memcmp(a, b, sizeof(enum unit_status)) == 0;
    }
}
_Static_assert(sizeof(enum unit_status) == sizeof(int) && sizeof(enum print_state) == sizeof(int), "read as int");

const char *verify_row_differs(enum memory_table table, const void *stored, const void *made,
                               char stored_text[VERIFY_VALUE_SIZE], char made_text[VERIFY_VALUE_SIZE])
{
    for (const struct field *field = fields[table]; field->name; field++)
        if (!same(stored, made, field)) {
            show(stored, field, stored_text);
            show(made, field, made_text);
            return field->name;
        }
    return NULL;
}

/* ---- the tables' rows against memory's ---- */

struct comparison {
    const struct memory_store *memory;
    enum memory_table table;
    size_t known; /* rows of the table that memory has too */
    struct verify_rows *rows;
};

static void report(struct comparison *comparison, const void *row, const char *trouble, const char *field,
                   const char *stored, const char *made)
{
    char name[MEMORY_NAME_SIZE];
    struct builder builder;
    comparison->rows->different++;
    if (comparison->rows->first[0])
        return;
    builder_init(&builder, comparison->rows->first, sizeof comparison->rows->first);
    builder_addf(&builder, "%s %s: ", memory_table_word(comparison->table),
                 memory_row_name(comparison->table, row, name));
    if (field)
        builder_addf(&builder, "%s is '%s' in the table, but its movements make it '%s'", field, stored, made);
    else
        builder_add(&builder, trouble);
}

static bool compare(struct comparison *comparison, const void *row, const char *text)
{
    char stored_text[VERIFY_VALUE_SIZE], made_text[VERIFY_VALUE_SIZE];
    const char *made_digest = "";
    const void *made = memory_store_find(comparison->memory, comparison->table, row, &made_digest);
    comparison->rows->compared++;
    if (!made) {
        report(comparison, row, "it stands in the table, but no movement made it", NULL, "", "");
        return true;
    }
    comparison->known++;
    const char *field = verify_row_differs(comparison->table, row, made, stored_text, made_text);
    if (field)
        report(comparison, row, "", field, stored_text, made_text);
    else if (strcmp(text, made_digest) != 0)
        report(comparison, row, "", "the digest of its text", text, made_digest);
    return true;
}

#define VISITOR(type)                                                                                                  \
    static bool compare_##type(const struct type *row, void *context)                                                  \
    {                                                                                                                  \
        return compare(context, row, "");                                                                              \
    }

VISITOR(item)
VISITOR(lot)
VISITOR(place)
VISITOR(machine)
VISITOR(unit)
VISITOR(unit_mix)
VISITOR(delivery)
VISITOR(job)
VISITOR(print)
VISITOR(sticker)
VISITOR(substitution)
VISITOR(label_printer)
VISITOR(print_look)

static bool compare_person(const struct person *row, const char *text, void *context)
{
    return compare(context, row, text);
}

static bool compare_question(const struct question *row, const char *text, void *context)
{
    return compare(context, row, text);
}

static bool walk_table(struct ledger *ledger, struct comparison *comparison, struct fault *fault)
{
    switch (comparison->table) {
    case MEMORY_ITEMS:
        return item_each(ledger, compare_item, comparison, fault);
    case MEMORY_LOTS:
        return lot_each(ledger, compare_lot, comparison, fault);
    case MEMORY_PLACES:
        return place_each(ledger, compare_place, comparison, fault);
    case MEMORY_MACHINES:
        return machine_each(ledger, compare_machine, comparison, fault);
    case MEMORY_PERSONS:
        return person_each_row(ledger, compare_person, comparison, fault);
    case MEMORY_UNITS:
        return unit_each_row(ledger, compare_unit, comparison, fault);
    case MEMORY_UNIT_MIXES:
        return unit_mix_each(ledger, compare_unit_mix, comparison, fault);
    case MEMORY_DELIVERIES:
        return delivery_each(ledger, compare_delivery, comparison, fault);
    case MEMORY_JOBS:
        return job_each(ledger, compare_job, comparison, fault);
    case MEMORY_PRINTS:
        return print_each(ledger, compare_print, comparison, fault);
    case MEMORY_STICKERS:
        return sticker_each_row(ledger, compare_sticker, comparison, fault);
    case MEMORY_SUBSTITUTIONS:
        return substitution_each(ledger, compare_substitution, comparison, fault);
    case MEMORY_LABEL_PRINTERS:
        return label_printer_each(ledger, compare_label_printer, comparison, fault);
    case MEMORY_PRINT_LOOKS:
        return print_look_each(ledger, compare_print_look, comparison, fault);
    default:
        return question_each_row(ledger, compare_question, comparison, fault);
    }
}

/* ---- memory's rows that the tables lack ---- */

struct search {
    struct comparison *comparison;
    struct apply_store store;
    struct fault fault;
    bool ok;
};

/* One load a table, all through one door: copies of the key's fields go in. */
static bool is_stored(const struct apply_store *store, enum memory_table table, const void *row, bool *found,
                      struct fault *fault)
{
    union {
        struct item item;
        struct lot lot;
        struct place place;
        struct machine machine;
        struct person person;
        struct unit unit;
        struct unit_mix unit_mix;
        struct delivery delivery;
        struct job job;
        struct print print;
        struct label_printer label_printer;
        struct print_look print_look;
        struct question question;
        struct sticker sticker;
        struct substitution substitution;
    } copy;
#define LOAD(field)                                                                                                    \
    (copy.field = *(const struct field *)row, store->load_##field(store->context, &copy.field, found, fault))
    switch (table) {
    case MEMORY_ITEMS:
        return LOAD(item);
    case MEMORY_LOTS:
        return LOAD(lot);
    case MEMORY_PLACES:
        return LOAD(place);
    case MEMORY_MACHINES:
        return LOAD(machine);
    case MEMORY_PERSONS:
        return LOAD(person);
    case MEMORY_UNITS:
        return LOAD(unit);
    case MEMORY_UNIT_MIXES:
        return LOAD(unit_mix);
    case MEMORY_DELIVERIES:
        return LOAD(delivery);
    case MEMORY_JOBS:
        return LOAD(job);
    case MEMORY_PRINTS:
        return LOAD(print);
    case MEMORY_STICKERS:
        return LOAD(sticker);
    case MEMORY_SUBSTITUTIONS:
        return LOAD(substitution);
    case MEMORY_LABEL_PRINTERS:
        return LOAD(label_printer);
    case MEMORY_PRINT_LOOKS:
        return LOAD(print_look);
    default:
        return LOAD(question);
    }
#undef LOAD
}

static bool search_one(const void *row, const char *text, void *context)
{
    struct search *search = context;
    bool found = false;
    (void)text;
    search->ok = is_stored(&search->store, search->comparison->table, row, &found, &search->fault);
    if (search->ok && !found) {
        search->comparison->rows->compared++;
        report(search->comparison, row, "its movements make it, but it is not in the table", NULL, "", "");
    }
    return search->ok;
}

static bool find_missing(struct ledger *ledger, struct comparison *comparison, struct fault *fault)
{
    struct search search = {.comparison = comparison, .store = database_store(ledger), .ok = true};
    memory_store_each(comparison->memory, comparison->table, search_one, &search);
    return search.ok || fault_set(fault, search.fault.code, "%s", search.fault.text);
}

bool verify_rows(struct ledger *ledger, const struct memory_store *memory, struct verify_rows *rows,
                 struct fault *fault)
{
    struct verify_rows result = {0};
    for (int table = 0; table < MEMORY_TABLES; table++) {
        struct comparison comparison = {.memory = memory, .table = (enum memory_table)table, .rows = &result};
        if (!walk_table(ledger, &comparison, fault))
            return false;
        if (comparison.known < memory_store_count(memory, comparison.table) &&
            !find_missing(ledger, &comparison, fault))
            return false;
    }
    *rows = result;
    return true;
}
