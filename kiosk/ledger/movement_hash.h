#ifndef KIOSK_LEDGER_MOVEMENT_HASH_H
#define KIOSK_LEDGER_MOVEMENT_HASH_H

#include "kiosk/ledger/movement.h"

/* The hash chain: hash(n) = SHA-256(hash(n-1), encoding(n)), hash(0) = 32 zero bytes. The encoding is canonical and
 * the same on every database: one byte of form version, then for each field in a fixed order a tag byte, a type byte
 * (0 null, 1 whole number, 2 text), and for numbers 8 bytes big-endian, for text a 4-byte big-endian length and the
 * bytes. A later form adds fields at the end under a new version; old movements keep their own. */

enum { MOVEMENT_FORM = 1 };

void movement_hash(const uint8_t previous[HASH_BYTES], const struct movement *movement, uint8_t hash[HASH_BYTES]);

#endif
