#include <string.h>

#include <sodium.h>

#include "kiosk/basics/id.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/row.h"
#include "labels/basics/text.h"

static const struct sql_text PUT = {"INSERT INTO erasable_text (id, salt, value) VALUES ($1, $2, $3)", "tbt"};
static const struct sql_text GET = {"SELECT value FROM erasable_text WHERE id = $1", "t"};
static const struct sql_text ERASE = {"UPDATE erasable_text SET salt = NULL, value = NULL WHERE id = $1", "t"};
static const struct sql_text EACH = {"SELECT id, salt, value FROM erasable_text ORDER BY id", ""};

/* Hex SHA-256 of salt and value. */
static void digest_text(const uint8_t salt[TEXT_SALT_BYTES], const char *value, char id[TEXT_ID_SIZE])
{
    uint8_t digest[crypto_hash_sha256_BYTES];
    crypto_hash_sha256_state state;
    (void)crypto_hash_sha256_init(&state);
    (void)crypto_hash_sha256_update(&state, salt, TEXT_SALT_BYTES);
    (void)crypto_hash_sha256_update(&state, (const uint8_t *)value, strlen(value));
    (void)crypto_hash_sha256_final(&state, digest);
    (void)sodium_bin2hex(id, TEXT_ID_SIZE, digest, sizeof digest);
}

static bool insert(struct ledger *ledger, const struct text_row *row, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &PUT, &statement, fault))
        return false;
    sql_bind_text(statement, 1, row->id);
    if (row->erased) {
        sql_bind_null(statement, 2);
        sql_bind_null(statement, 3);
    } else {
        sql_bind_blob(statement, 2, row->salt, sizeof row->salt);
        sql_bind_text(statement, 3, row->value);
    }
    return sql_finish(statement, NULL, fault);
}

bool ledger_text_put(struct ledger *ledger, const char *value, char id[TEXT_ID_SIZE], struct fault *fault)
{
    struct text_row row = {.erased = false};
    if (!*value)
        return fault_set(fault, FAULT_INPUT, "an empty text cannot be stored: leave it out");
    if (!span_copy(span_of(value), row.value, sizeof row.value))
        return fault_set(fault, FAULT_INPUT, "the text has %zu bytes, %d are allowed: say it shorter", strlen(value),
                         TEXT_VALUE_SIZE - 1);
    id_random(row.salt, sizeof row.salt);
    digest_text(row.salt, row.value, row.id);
    if (!insert(ledger, &row, fault))
        return false;
    memcpy(id, row.id, TEXT_ID_SIZE);
    return true;
}

bool ledger_text_put_as_is(struct ledger *ledger, const struct text_row *row, struct fault *fault)
{
    char id[TEXT_ID_SIZE];
    digest_text(row->salt, row->value, id);
    if (!row->erased && strcmp(id, row->id) != 0)
        return fault_set(fault, FAULT_INPUT, "text '%.16s…' does not fit its digest: it was changed", row->id);
    return insert(ledger, row, fault);
}

bool ledger_text_exists(struct ledger *ledger, const char *id, bool *exists, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!sql_start(ledger_sql(ledger), &GET, &statement, fault))
        return false;
    sql_bind_text(statement, 1, id);
    const bool read = sql_step(statement, &row, fault);
    sql_done(statement);
    if (read)
        *exists = row;
    return read;
}

bool ledger_text_get(struct ledger *ledger, const char *id, char *value, size_t size, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    if (!*id) {
        value[0] = '\0';
        return true;
    }
    if (!sql_start(ledger_sql(ledger), &GET, &statement, fault))
        return false;
    sql_bind_text(statement, 1, id);
    bool fine = sql_step(statement, &row, fault);
    if (fine && row) {
        row_read_cut(statement, 0, value, size);
        fine = sql_check_read(statement, fault);
    } else if (fine) {
        value[0] = '\0';
    }
    sql_done(statement);
    return fine;
}

bool ledger_text_erase(struct ledger *ledger, const char *id, struct fault *fault)
{
    ledger_text_was_erased(ledger);
    return row_run(ledger, &ERASE, ROW_KEYS({.text = id}), NULL, fault);
}

static bool read_row(struct sql_statement *statement, struct text_row *row, struct fault *fault)
{
    struct span id = {0}, value = {0};
    size_t length = 0;
    id.at = sql_text(statement, 0, &id.length);
    const uint8_t *salt = sql_blob(statement, 1, &length);
    value.at = sql_text(statement, 2, &value.length);
    *row = (struct text_row){.erased = sql_is_null(statement, 2)};
    if (!sql_check_read(statement, fault))
        return false;
    if (!span_copy(id, row->id, sizeof row->id) || !span_copy(value, row->value, sizeof row->value) ||
        length != (row->erased ? 0 : sizeof row->salt))
        return fault_set(fault, FAULT_DAMAGED,
                         "table 'erasable_text' holds a row that no kiosk wrote: go back to the "
                         "newest backup");
    memcpy(row->salt, salt, length);
    return true;
}

bool ledger_text_each(struct ledger *ledger, text_visitor *visit, void *context, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    struct text_row text;
    bool row = false, fine = true;
    if (!sql_start(ledger_sql(ledger), &EACH, &statement, fault))
        return false;
    while ((fine = sql_step(statement, &row, fault)) && row && (fine = read_row(statement, &text, fault)) &&
           visit(&text, context))
        ;
    sql_done(statement);
    return fine;
}
