#ifndef KIOSK_LEDGER_DEVICES_H
#define KIOSK_LEDGER_DEVICES_H

#include "kiosk/ledger/ledger.h"
#include "labels/basics/text.h"

/* Printers, slicers and scripts that speak for themselves: each shows a token with what it sends (RFC 6750). The ledger
 * keeps the token's SHA-256, never the token; a token is 32 random bytes, so the digest needs no salt. The table stands
 * beside the chain, is not exported, and an import begins without devices. */

enum { DEVICE_DIGEST_SIZE = 65, DEVICE_TOKEN_BYTES = 32, DEVICE_TOKEN_SIZE = 2 * DEVICE_TOKEN_BYTES + 1 };

struct device {
    char name[WORD_SIZE];
    char printer[PRINTER_SIZE];      /* the only one it may speak of; "" any */
    char digest[DEVICE_DIGEST_SIZE]; /* lower-case hex */
    int64_t issued_ms;
    bool revoked;
};

bool device_load(struct ledger *ledger, const char *name, struct device *row, bool *found, struct fault *fault);
/* Whose token is this? A revoked one is nobody's. */
bool device_find(struct ledger *ledger, struct span token, struct device *row, bool *found, struct fault *fault);
bool device_store(struct ledger *ledger, const struct device *row, struct fault *fault);
typedef bool device_visitor(const struct device *row, void *context);
bool device_each(struct ledger *ledger, device_visitor *visit, void *context, struct fault *fault);

/* A new token, in hex, and the digest of any. */
void device_make_token(char token[DEVICE_TOKEN_SIZE]);
void device_digest(struct span token, char digest[DEVICE_DIGEST_SIZE]);

#endif
