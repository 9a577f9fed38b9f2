#ifndef KIOSK_LEDGER_SCHEMA_PARTS_H
#define KIOSK_LEDGER_SCHEMA_PARTS_H

#include "kiosk/ledger/schema.h"

/* What schema.c runs: texts of statements with {int}, {blob}, {text} and {rowless} in them. */

extern const char SCHEMA_TABLES[]; /* of a new ledger; the row of its form is not in it */

/* [n - 1] leads from form n to n + 1, and writes the new number. */
extern const char *const SCHEMA_STEPS[SCHEMA_VERSION - 1];

#endif
