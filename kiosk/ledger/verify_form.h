#ifndef KIOSK_LEDGER_VERIFY_FORM_H
#define KIOSK_LEDGER_VERIFY_FORM_H

#include "kiosk/ledger/audit.h"

/* What verify must not take for granted before it reads rows as structs: values that read alike and are not. SQLite
 * keeps a text in a column of numbers and bytes in a column of texts; read through our structs they look right, and yet
 * no comparison in SQL finds them. Also: movements with numbers below 1, which no walk from the beginning meets;
 * triggers and views. (Movements themselves are looked at as they are read.) */

/* Fills a sentence for the first trouble; "" when there is none. */
bool verify_form(struct ledger *ledger, const char *address, char sentence[FAULT_TEXT_SIZE], struct fault *fault);

#endif
