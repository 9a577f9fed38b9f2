#ifndef KIOSK_LEDGER_DATABASE_STORE_H
#define KIOSK_LEDGER_DATABASE_STORE_H

#include "kiosk/ledger/apply.h"

/* The store that apply works on when it books: the ledger's own tables, inside the open transaction. Saving a row whose
 * version is older than the stored one is FAULT_CONFLICT. For a person or question an empty `text` keeps the text
 * that the row has. `ledger` is borrowed for the store's life. */
struct apply_store database_store(struct ledger *ledger);

#endif
