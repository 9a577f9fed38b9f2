#ifndef KIOSK_LEDGER_PINS_H
#define KIOSK_LEDGER_PINS_H

#include "kiosk/ledger/ledger.h"

/* PINs of those who approve: a row a badge, beside the chain, so that it can be forgotten. No movement, stored answer
 * or export has a PIN or its hash; a backup copy has the hashes. Changed inside an act's transaction only. */

enum { PIN_HASH_SIZE = 128, PIN_DIGITS = 6 }; /* as libsodium's crypto_pwhash_STRBYTES */

struct pin {
    char person[SERIAL_SIZE];
    char hash[PIN_HASH_SIZE]; /* argon2id, with its salt and its limits */
    int64_t issued_ms;
    int64_t wrong;    /* wrong ones since the last right one */
    int64_t tried_ms; /* wall instant of the last wrong one; 0 when there is none */
};

bool pin_load(struct ledger *ledger, const char *person, struct pin *pin, bool *found, struct fault *fault);
/* In the stead of the one before. */
bool pin_store(struct ledger *ledger, const struct pin *pin, struct fault *fault);
bool pin_forget(struct ledger *ledger, const char *person, struct fault *fault);
/* Has anybody a PIN? */
bool pin_any(struct ledger *ledger, bool *any, struct fault *fault);

#endif
