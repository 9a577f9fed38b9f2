#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

/* The table holds the key of the name, never the name: that is in the erasable table. */
struct person_row {
    struct person person;
    char text[TEXT_ID_SIZE];
};
static const struct row_field PERSON_LIST[] = {
    ROW_FIELD(TEXT, person_row, person.serial),   ROW_FIELD(TEXT, person_row, person.role),
    ROW_FIELD(TEXT, person_row, person.training), ROW_FIELD(TEXT, person_row, text),
    ROW_FIELD(WHOLE, person_row, person.version),
};
static const struct row_fields PERSON_FIELDS = ROW_FIELDS("person", PERSON_LIST);
enum { NAME_COLUMN = sizeof PERSON_LIST / sizeof *PERSON_LIST };

#define PERSON_SELECT                                                                                                  \
    "SELECT p.serial, p.role, p.training, p.text_id, p.version, t.value FROM person AS p"                              \
    " LEFT JOIN erasable_text AS t ON t.id = p.text_id"

static const struct sql_text PERSON_SAVE = {
    "INSERT INTO person (serial, role, training, text_id, version) VALUES ($1, $2, $3, $4, $5)"
    " ON CONFLICT (serial) DO UPDATE SET role = excluded.role, training = excluded.training,"
    " version = excluded.version,"
    " text_id = CASE WHEN excluded.text_id = '' THEN person.text_id ELSE excluded.text_id END"
    " WHERE person.version <= excluded.version",
    "tttti"};
static const struct sql_text PERSON_LOAD = {PERSON_SELECT " WHERE p.serial = $1", "t"};
static const struct sql_text PERSON_EACH = {PERSON_SELECT " ORDER BY p.serial", ""};

bool person_save(struct ledger *ledger, const struct person *row, const char *text, struct fault *fault)
{
    struct person_row full = {.person = *row};
    if (!span_copy(span_of(text), full.text, sizeof full.text))
        return fault_set(fault, FAULT_INPUT, "'%.20s…' is not the key of a text", text);
    return row_save(ledger, &PERSON_SAVE, &PERSON_FIELDS, &full, fault);
}

bool person_load_row(struct ledger *ledger, struct person *row, bool *found, struct fault *fault)
{
    struct person_row full = {.person = *row};
    if (!row_load(ledger, &PERSON_LOAD, ROW_KEYS({.text = row->serial}), &PERSON_FIELDS, &full, sizeof full, found,
                  fault))
        return false;
    *row = full.person;
    return true;
}

bool person_load(struct ledger *ledger, const char *serial, struct person *person, bool *found, struct fault *fault)
{
    struct row_walk walk;
    struct person_row row = {.text = ""};
    if (!row_walk_start(&walk, ledger, &PERSON_LOAD, ROW_KEYS({.text = serial}), fault))
        return false;
    const bool there = row_walk_next(&walk, &PERSON_FIELDS, &row, fault);
    if (there)
        row_read_cut(walk.statement, NAME_COLUMN, row.person.name, sizeof row.person.name);
    if (!row_walk_end(&walk))
        return false;
    if (there)
        *person = row.person;
    *found = there;
    return true;
}

bool person_each(struct ledger *ledger, person_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct person_row row = {.text = ""};
    bool more = true;
    if (!row_walk_start(&walk, ledger, &PERSON_EACH, NULL, fault))
        return false;
    while (more && row_walk_next(&walk, &PERSON_FIELDS, &row, fault)) {
        row_read_cut(walk.statement, NAME_COLUMN, row.person.name, sizeof row.person.name);
        more = visit(&row.person, context);
    }
    return row_walk_end(&walk);
}

bool person_each_row(struct ledger *ledger, person_row_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct person_row row = {.text = ""};
    if (!row_walk_start(&walk, ledger, &PERSON_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &PERSON_FIELDS, &row, fault) && visit(&row.person, row.text, context))
        ;
    return row_walk_end(&walk);
}
