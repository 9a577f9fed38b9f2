#ifndef KIOSK_LEDGER_SCHEMA_H
#define KIOSK_LEDGER_SCHEMA_H

#include "kiosk/ledger/sql/sql.h"

/* The ledger's tables: one text for both databases, with words put in ({int}, {blob}, {text}; {rowless}: rows stand in
 * the order of their key). A number counts up with each change; what a new ledger gets is in schema_tables.c, how an
 * earlier one becomes the same in schema_forms.c. */

enum { SCHEMA_VERSION = 7 };

/* A writer's: makes the tables or brings them up to SCHEMA_VERSION, in one transaction. A reader's: only looks.
 * FAULT_MISSING: a reader found no ledger yet. FAULT_STORAGE: not a ledger, or one of a newer program. */
bool schema_prepare(struct sql *sql, struct fault *fault);

#endif
