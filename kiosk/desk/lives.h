#ifndef KIOSK_DESK_LIVES_H
#define KIOSK_DESK_LIVES_H

#include <jansson.h>

#include "kiosk/ledger/ledger.h"

/* How long this room's own vats or platforms of one item last, out of the ledger: each thing's hours of light, from
 * those with which it came here to those of its end, by the rule kiosk/rules/survival.h. One that was taken on with
 * hours on it survived those unseen, so it enters late, at those hours; one whose label was lost is the same thing
 * under a new serial. Worn, film damaged, leaking, scratched is an end; whatever else became of a thing, it lasted at
 * least so long.
 *
 * Left out, and counted: what nobody knows the hours of, then or now, and what has not run here yet.
 *
 * `*answer`, the caller's: `item`, `rated_hours` (null: none entered), `units`, `ends`, `left_out`, `cut` (there are
 * more than were looked at), `quantiles` ([{p, hours}], hours null: not reached, or too few ends), `outlast_rated`
 * (share, null: not known), `sentence`. FAULT_MISSING: no such item. */
bool lives_of_item(struct ledger *ledger, const char *item, json_t **answer, struct fault *fault);

#endif
