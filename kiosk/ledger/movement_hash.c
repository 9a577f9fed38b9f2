#include "kiosk/ledger/movement_hash.h"

#include <string.h>

#include <sodium.h>

#include "kiosk/ledger/movement_field.h"

_Static_assert(HASH_BYTES == crypto_hash_sha256_BYTES, "the chain is SHA-256");

enum { TYPE_NULL = 0, TYPE_NUMBER = 1, TYPE_TEXT = 2 };

static void add(crypto_hash_sha256_state *state, const void *bytes, size_t length)
{
    crypto_hash_sha256_update(state, bytes, length);
}

static void add_big_endian(crypto_hash_sha256_state *state, uint64_t value, int width)
{
    uint8_t bytes[8];
    for (int i = 0; i < width; i++)
        bytes[i] = (uint8_t)(value >> (8 * (width - 1 - i)));
    add(state, bytes, (size_t)width);
}

static void add_text(crypto_hash_sha256_state *state, uint8_t tag, const char *text)
{
    const size_t length = strlen(text);
    add(state, (uint8_t[2]){tag, length ? TYPE_TEXT : TYPE_NULL}, 2);
    if (length == 0)
        return;
    add_big_endian(state, length, 4);
    add(state, text, length);
}

static void add_number(crypto_hash_sha256_state *state, uint8_t tag, int64_t number)
{
    const bool said = number != MOVEMENT_NULL;
    add(state, (uint8_t[2]){tag, said ? TYPE_NUMBER : TYPE_NULL}, 2);
    if (said)
        add_big_endian(state, (uint64_t)number, 8);
}

void movement_hash(const uint8_t previous[HASH_BYTES], const struct movement *movement, uint8_t hash[HASH_BYTES])
{
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    add(&state, previous, HASH_BYTES);
    add(&state, (uint8_t[1]){MOVEMENT_FORM}, 1);
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        const struct movement_field *field = &movement_fields[i];
        switch (field->type) {
        case MOVEMENT_FIELD_TEXT:
        case MOVEMENT_FIELD_DETAIL:
        case MOVEMENT_FIELD_KIND:
            add_text(&state, field->tag, movement_field_text(movement, field));
            break;
        default:
            add_number(&state, field->tag, movement_field_number(movement, field));
            break;
        }
    }
    crypto_hash_sha256_final(&state, hash);
}
