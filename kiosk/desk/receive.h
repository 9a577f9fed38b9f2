#ifndef KIOSK_DESK_RECEIVE_H
#define KIOSK_DESK_RECEIVE_H

#include "kiosk/desk/turn.h"
#include "labels/content/scan.h"

/* Receiving: with a delivery open, a maker's code proposes item, lot, expiry and quantity; YES books that many units
 * with serials, receipts and labels. Each further scan of the same code counts one more. An item nobody has entered
 * is made provisional from the scan, and its units are held until a storekeeper completes it. */

/* A maker's code was scanned. */
bool receive_scan(struct turn *turn, const struct supplier_label *label, struct fault *fault);
/* The proposal as it is now, with what speaks against it. */
bool receive_show(struct turn *turn, struct fault *fault);
/* The hold its units would get, "" = none. */
bool receive_hold(struct ledger *ledger, const struct counter_receipt *receipt, const struct moment *moment,
                  char hold[WORD_SIZE], struct fault *fault);
/* YES; `quantity` MOVEMENT_NULL = as proposed. */
bool receive_confirm(struct turn *turn, int64_t quantity, struct fault *fault);
/* The key DELIVERY: opens one whose supplier was not said, and proposes what was just scanned. */
bool receive_open_delivery(struct turn *turn, struct fault *fault);

bool delivery_open_act(struct act_context *context, json_t **answer, struct fault *fault);
bool delivery_resume_act(struct act_context *context, json_t **answer, struct fault *fault);
bool delivery_close_act(struct act_context *context, json_t **answer, struct fault *fault);
bool receive_act(struct act_context *context, json_t **answer, struct fault *fault); /* typed, without a code */

#endif
