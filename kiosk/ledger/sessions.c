#include <string.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/row.h"
#include "labels/basics/text.h"

static const struct sql_text SESSION_LOAD = {"SELECT state FROM session WHERE counter = $1", "t"};
static const struct sql_text SESSION_STORE = {
    "INSERT INTO session (counter, state) VALUES ($1, $2) ON CONFLICT (counter) DO UPDATE SET state = excluded.state",
    "tt"};

bool session_load(struct ledger *ledger, const char *counter, char *state, size_t size, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    struct span stored = {"", 0};
    bool row = false;
    if (!sql_start(ledger_sql(ledger), &SESSION_LOAD, &statement, fault))
        return false;
    sql_bind_text(statement, 1, counter);
    bool fine = sql_step(statement, &row, fault);
    if (fine && row)
        stored.at = sql_text(statement, 0, &stored.length);
    fine = fine && sql_check_read(statement, fault);
    if (fine && stored.length >= size) /* half of a JSON text is worth nothing */
        fine = fault_set(fault, FAULT_STORAGE, "the session of counter '%s' is too long to be read: sign in again",
                         counter);
    if (fine)
        (void)span_copy(stored, state, size);
    sql_done(statement);
    return fine;
}

bool session_store(struct ledger *ledger, const char *counter, const char *state, struct fault *fault)
{
    if (strlen(state) >= SESSION_STATE_SIZE)
        return fault_set(fault, FAULT_INPUT,
                         "the session of counter '%s' has %zu bytes, %d are allowed: close what is "
                         "open there",
                         counter, strlen(state), SESSION_STATE_SIZE - 1);
    return row_run(ledger, &SESSION_STORE, ROW_KEYS({.text = counter}, {.text = state}), NULL, fault);
}
