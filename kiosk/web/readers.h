#ifndef KIOSK_WEB_READERS_H
#define KIOSK_WEB_READERS_H

#include "kiosk/ledger/ledger.h"
#include "labels/basics/fault.h"

/* A few read-only connections to the ledger, opened when first needed and kept. Whoever takes one has it alone, inside
 * a transaction, so that all it reads is of one moment. Any thread. */

enum { READERS = 4 };

struct readers;

struct readers *readers_create(const char *address); /* copied; NULL: no memory */
void readers_destroy(struct readers *readers);       /* accepts NULL; all must have been given back */

/* FAULT_BUSY when all are in use; else as ledger_open and ledger_begin. */
bool readers_take(struct readers *readers, struct ledger **ledger, struct fault *fault);
/* Ends the transaction. `broken`: a call on it gave FAULT_STORAGE; it is closed, and the next taker opens afresh. */
void readers_give(struct readers *readers, struct ledger *ledger, bool broken);

#endif
