#ifndef TESTS_WEB_SHELVES_H
#define TESTS_WEB_SHELVES_H

#include "kiosk/ledger/ledger.h"

/* Shelves with something of each kind, saved as rows and not booked, so that each test states what it is about:
 *   C1000001 KELP lot K1, in B-01, delivery D-7, ready       C1000005 KELP lot K2, in B-02, expired
 *   C1000002 KELP lot K1, in B-01, on hold                   C1000006 KELP lot K1, gone
 *   C1000003 KELP lot K1, in, delivery D-7, label 2 sent     C1000007 KELP lot K1, delivery D-7, void
 *   C1000004 KELP lot K1, out in SPINDLE with H1000001       V1000001 VAT-S, in B-01, ready     V1000002 VAT-S, retired
 * and SHELVES_PLACES shelves S-0000 … besides. Delivery D-7 is open. */

enum { SHELVES_PLACES = 1100, SHELVES_LOTS = 502 };

bool shelves_fill(struct ledger *ledger, struct fault *fault);
/* Five more of KELP, C2000001 to C2000005: out to the room ANNEX until far ahead, without a day, until long ago; out in
 * a printer until a day later than that; and in, at B-02. */
bool shelves_fill_lent(struct ledger *ledger, struct fault *fault);
/* SHELVES_LOTS units of item OAK more, each of its own lot. */
bool shelves_fill_lots(struct ledger *ledger, struct fault *fault);
/* Labels of theirs in every state but proved; ordered one second a number after 1970 began. */
bool shelves_fill_labels(struct ledger *ledger, struct fault *fault);

#endif
