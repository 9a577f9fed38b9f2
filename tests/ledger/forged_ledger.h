#ifndef TESTS_LEDGER_FORGED_LEDGER_H
#define TESTS_LEDGER_FORGED_LEDGER_H

#include "tests/support/ledger_fixture.h"

/* What somebody can make who has our program and the ledger: the first `kept` movements of the ledger at `from`, every
 * row made by apply, the head set to match; from number `changed_from` on (0: none) every movement a second later and
 * its hash computed anew. By itself such a ledger agrees. Names and notes are copied, acts are not. */
void forged_ledger_make(const struct ledger_fixture *fixture, const char *from, int kept, int changed_from);

#endif
