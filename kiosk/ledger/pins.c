#include "kiosk/ledger/pins.h"

#include <stddef.h>

#include "kiosk/ledger/row.h"

static const struct row_field PIN_LIST[] = {
    ROW_FIELD(TEXT, pin, person), ROW_FIELD(TEXT, pin, hash),      ROW_FIELD(WHOLE, pin, issued_ms),
    ROW_FIELD(WHOLE, pin, wrong), ROW_FIELD(WHOLE, pin, tried_ms),
};
static const struct row_fields PIN_FIELDS = ROW_FIELDS("pin", PIN_LIST);

static const struct sql_text PIN_LOAD = {"SELECT person, hash, issued_ms, wrong, tried_ms FROM pin WHERE person = $1",
                                         "t"};
static const struct sql_text PIN_ANY = {
    "SELECT person, hash, issued_ms, wrong, tried_ms FROM pin ORDER BY person LIMIT 1", ""};
static const struct sql_text PIN_STORE = {
    "INSERT INTO pin (person, hash, issued_ms, wrong, tried_ms) VALUES ($1, $2, $3, $4, $5)"
    " ON CONFLICT (person) DO UPDATE SET hash = excluded.hash, issued_ms = excluded.issued_ms,"
    " wrong = excluded.wrong, tried_ms = excluded.tried_ms",
    "ttiii"};
static const struct sql_text PIN_FORGET = {"DELETE FROM pin WHERE person = $1", "t"};

bool pin_load(struct ledger *ledger, const char *person, struct pin *pin, bool *found, struct fault *fault)
{
    return row_load(ledger, &PIN_LOAD, ROW_KEYS({.text = person}), &PIN_FIELDS, pin, sizeof *pin, found, fault);
}

bool pin_store(struct ledger *ledger, const struct pin *pin, struct fault *fault)
{
    return row_save(ledger, &PIN_STORE, &PIN_FIELDS, pin, fault);
}

bool pin_forget(struct ledger *ledger, const char *person, struct fault *fault)
{
    return row_run(ledger, &PIN_FORGET, ROW_KEYS({.text = person}), NULL, fault);
}

bool pin_any(struct ledger *ledger, bool *any, struct fault *fault)
{
    struct pin pin;
    return row_load(ledger, &PIN_ANY, NULL, &PIN_FIELDS, &pin, sizeof pin, any, fault);
}
