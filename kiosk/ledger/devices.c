#include "kiosk/ledger/devices.h"

#include <stddef.h>

#include <sodium.h>

#include "kiosk/basics/id.h"
#include "kiosk/ledger/row.h"

static const struct row_field DEVICE_LIST[] = {
    ROW_FIELD(TEXT, device, name),       ROW_FIELD(TEXT, device, printer), ROW_FIELD(TEXT, device, digest),
    ROW_FIELD(WHOLE, device, issued_ms), ROW_FIELD(FLAG, device, revoked),
};
static const struct row_fields DEVICE_FIELDS = ROW_FIELDS("device", DEVICE_LIST);

#define DEVICE_COLUMNS "name, printer, digest, issued_ms, revoked"
static const struct sql_text DEVICE_LOAD = {"SELECT " DEVICE_COLUMNS " FROM device WHERE name = $1", "t"};
static const struct sql_text DEVICE_FIND = {"SELECT " DEVICE_COLUMNS " FROM device WHERE digest = $1 AND revoked = 0",
                                            "t"};
static const struct sql_text DEVICE_STORE = {
    "INSERT INTO device (" DEVICE_COLUMNS ") VALUES ($1, $2, $3, $4, $5)"
    " ON CONFLICT (name) DO UPDATE SET printer = excluded.printer, digest = excluded.digest,"
    " issued_ms = excluded.issued_ms, revoked = excluded.revoked",
    "tttii"};
static const struct sql_text DEVICE_EACH = {"SELECT " DEVICE_COLUMNS " FROM device ORDER BY name", ""};

void device_make_token(char token[DEVICE_TOKEN_SIZE])
{
    uint8_t bytes[DEVICE_TOKEN_BYTES];
    id_random(bytes, sizeof bytes);
    (void)sodium_bin2hex(token, DEVICE_TOKEN_SIZE, bytes, sizeof bytes);
    sodium_memzero(bytes, sizeof bytes);
}

void device_digest(struct span token, char digest[DEVICE_DIGEST_SIZE])
{
    uint8_t bytes[crypto_hash_sha256_BYTES];
    (void)crypto_hash_sha256(bytes, (const uint8_t *)token.at, token.length);
    (void)sodium_bin2hex(digest, DEVICE_DIGEST_SIZE, bytes, sizeof bytes);
}

bool device_load(struct ledger *ledger, const char *name, struct device *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &DEVICE_LOAD, ROW_KEYS({.text = name}), &DEVICE_FIELDS, row, sizeof *row, found, fault);
}

bool device_find(struct ledger *ledger, struct span token, struct device *row, bool *found, struct fault *fault)
{
    char digest[DEVICE_DIGEST_SIZE];
    device_digest(token, digest);
    return row_load(ledger, &DEVICE_FIND, ROW_KEYS({.text = digest}), &DEVICE_FIELDS, row, sizeof *row, found, fault);
}

bool device_store(struct ledger *ledger, const struct device *row, struct fault *fault)
{
    return row_save(ledger, &DEVICE_STORE, &DEVICE_FIELDS, row, fault);
}

bool device_each(struct ledger *ledger, device_visitor *visit, void *context, struct fault *fault)
{
    struct row_walk walk;
    struct device row;
    if (!row_walk_start(&walk, ledger, &DEVICE_EACH, NULL, fault))
        return false;
    while (row_walk_next(&walk, &DEVICE_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}
