#ifndef KIOSK_LEDGER_CHAIN_H
#define KIOSK_LEDGER_CHAIN_H

#include "kiosk/ledger/ledger.h"
#include "labels/basics/text.h"

/* A place in a hash chain, as people and backups keep it: the number of a movement and its hash, which stands for that
 * movement and all before it. Written "NUMBER:HASH", the hash in upper-case hex: all 64 digits, or at least the first
 * CHAIN_DIGITS_LEAST of them, as a page may show it. */

enum { CHAIN_DIGITS_LEAST = 16, CHAIN_MARK_SIZE = 20 + 1 + 2 * HASH_BYTES + 1 };

struct chain_mark {
    int64_t seq;
    uint8_t hash[HASH_BYTES];
    size_t bytes; /* of the hash that are known: 8 to 32 */
};

/* Blanks between the digits do not count. FAULT_INPUT: it is no mark. */
bool chain_mark_read(struct span said, struct chain_mark *mark, struct fault *fault);
/* With the whole hash. Returns `text`. */
const char *chain_mark_write(int64_t seq, const uint8_t hash[HASH_BYTES], char text[CHAIN_MARK_SIZE]);

/* The movement of this number, as stored; *found false when there is none. */
bool chain_movement(struct ledger *ledger, int64_t seq, struct movement *movement, bool *found, struct fault *fault);

/* The last number up to which two ledgers hold the same chain, 0 when they differ from the start. By halving, which is
 * right as long as each ledger's hashes follow from one another (verify); opened readers, few reads. */
bool chain_common(struct ledger *one, struct ledger *other, int64_t *seq, struct fault *fault);

#endif
