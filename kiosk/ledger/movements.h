#ifndef KIOSK_LEDGER_MOVEMENTS_H
#define KIOSK_LEDGER_MOVEMENTS_H

#include "kiosk/ledger/ledger.h"

/* Appends one row to the table of movements, as it is. For ledger_book.c alone. */
bool movement_insert(struct ledger *ledger, const struct movement *movement, struct fault *fault);

#endif
